package programme

// HandoverLine is one of the ten lines the next instructor wants in 30
// seconds.
type HandoverLine struct {
	Key    string `json:"key"`              // of HandoverKeys
	Text   string `json:"text"`             // "" where nothing is known
	Edited bool   `json:"edited,omitempty"` // the instructor's own words, not the computed ones
}

// HandoverKeys lists the ten lines in the trade's order: a short name and the
// title.
var HandoverKeys = [][2]string{
	{"name", "Name and goal"}, {"stop", "Stop rules"}, {"set_up", "Set-up"}, {"start", "Start here"}, {"cue", "Cue"},
	{"weak", "Weak turn"}, {"tires", "Tires"}, {"next", "Next step"}, {"lift", "Lift"}, {"changed", "Changed today"},
}
