package programme

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
)

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

// HandoverTitle returns the title of a line.
func HandoverTitle(key string) string {
	for _, k := range HandoverKeys {
		if k[0] == key {
			return k[1]
		}
	}
	return key
}

// Handover is what a lesson hands on, as far as the records know it.
type Handover struct {
	Lesson LessonState
	Lines  []HandoverLine // all ten
	Asks   []HandoverAsk  // what is missing
	// Minutes on snow, from the first attempt to the last; 0 where that is not
	// known.
	OnSnow int
	// ReinsReason tells that a reason is wanted for reins never slackened.
	ReinsReason string
}

// HandoverAsk is a line nothing is known for, with what to ask the instructor.
type HandoverAsk struct {
	Key      string
	Question string
}

var handoverAsks = map[string]string{
	"name":   "What is the goal, in the student's own words?",
	"set_up": "What is the set-up, in numbers: hole left and right, tie, lift, boots, skis, reins?",
	"start":  "Where to start next time: terrain, fan step left and right, help level?",
	"cue":    "Which cue worked, and which did not?",
	"weak":   "Which turn is the weaker one, and why? \"Cannot tell\" is an answer.",
	"tires":  "After how many minutes did quality drop, and what did it look like?",
	"next":   "What is the one next step?",
	"lift":   "How was the lift: side, helpers, speed?",
}

// Line returns a line by its key.
func (h Handover) Line(key string) HandoverLine {
	i := slices.IndexFunc(h.Lines, func(l HandoverLine) bool { return l.Key == key })
	if i < 0 {
		return HandoverLine{Key: key}
	}
	return h.Lines[i]
}

// HandoverOf computes the ten lines for a lesson of a record from what was
// decided, set up, tried and seen. It invents nothing: a line it knows nothing
// for is empty, and asked for where the trade wants it. hill names slopes and
// lifts. It is pure.
func HandoverOf(t *decide.Table, r Record, lesson ID, n progress.Numbers, hill Hill) (Handover, error) {
	l, ok := r.LessonByID(lesson)
	if !ok {
		return Handover{}, Refuse(CodeNotFound, "This student's record has no such lesson.")
	}
	hist := r.History()
	now := r.ProgressNow(hist)
	now.Lesson, now.Aids = "", ladder.Aids{Way: l.Way, Tie: l.Tie}.Clean()
	read, err := progress.Read(ladderOf(), n, hist.Attempts, now)
	if err != nil {
		return Handover{}, Fail(CodeInternal, err, "The attempts could not be read: %s", err)
	}
	d := DecisionOf(t, r)
	h := handing{r: r, l: l, a: t.Decide(d.Input), in: d.Input.Findings, read: read, hill: hill}
	for _, a := range hist.Attempts {
		switch {
		case a.Lesson == string(lesson):
			h.today = append(h.today, a)
		case len(h.today) == 0:
			h.before = append(h.before, a)
		}
	}
	out := Handover{Lesson: l, OnSnow: h.minutes()}
	if read.Reins != nil {
		out.ReinsReason = read.Reins.Says
	}
	for _, k := range HandoverKeys {
		text := map[string]func() []string{"name": h.name, "stop": h.stop, "set_up": h.setUp, "start": h.start, "cue": h.cue,
			"weak": h.weak, "tires": h.tires, "next": h.next, "lift": h.lift, "changed": h.changed}[k[0]]()
		line := HandoverLine{Key: k[0], Text: joined(text)}
		out.Lines = append(out.Lines, line)
		if line.Text == "" && handoverAsks[k[0]] != "" && h.wanted(k[0]) {
			out.Asks = append(out.Asks, HandoverAsk{k[0], handoverAsks[k[0]]})
		}
	}
	return out, nil
}

// joined makes one line of sentences, within what a line may hold.
func joined(parts []string) string {
	text := ""
	for _, p := range parts {
		if p = strings.TrimSpace(p); p == "" {
			continue
		}
		if !strings.ContainsAny(p[len(p)-1:], ".!?") {
			p += "."
		}
		if len([]rune(text))+len([]rune(p))+1 > MaxHandover {
			break
		}
		text = strings.TrimSpace(text + " " + p)
	}
	return text
}

// MaxHandover is the longest line of a handover, in characters.
const MaxHandover = 400

// handing is what the lines are written from.
type handing struct {
	r             Record
	l             LessonState
	a             *decide.Answer
	in            finding.Set
	read          *progress.Reading
	hill          Hill
	today, before []progress.Attempt
}

// wanted tells whether a missing line is asked for.
func (h *handing) wanted(key string) bool {
	if key == "lift" {
		c, chosen := h.r.Hill.Choice()
		return chosen && c.Lift != "" || slices.ContainsFunc(h.today, func(a progress.Attempt) bool { return a.Skill == chair || a.Skill == carpet })
	}
	return true
}

// The skills of lifts.
const (
	carpet = "K13"
	chair  = "K34"
)

func (h *handing) minutes() int {
	var first, last *AttemptState
	for i := range h.r.Attempts {
		a := &h.r.Attempts[i]
		if key, _, _ := h.r.lessonKey(*a); key != string(h.l.ID) {
			continue
		}
		if first == nil || a.MadeAt.Before(first.MadeAt) {
			first = a
		}
		if last == nil || a.MadeAt.After(last.MadeAt) {
			last = a
		}
	}
	if first == nil || first == last {
		return 0
	}
	if m := int(last.MadeAt.Sub(first.MadeAt).Minutes()); m <= MaxLessonMin {
		return m
	}
	return 0
}

// own returns the student's own words for a finding.
func (h *handing) own(id string) string {
	v := h.in.Get(id, finding.NoSide, finding.Fresh)
	if v.Kind != finding.Known {
		return ""
	}
	return strings.Join(strings.Fields(strings.ReplaceAll(v.Text, "_", " ")), " ")
}

func (h *handing) name() []string {
	goal := h.l.LessonOpened.Goal
	if goal == "" {
		goal = h.own("goal")
	}
	if goal == "" {
		return nil
	}
	return []string{h.r.NameUsed, "Goal: " + goal}
}

// stop writes actions, never what somebody has.
func (h *handing) stop() []string {
	var out []string
	add := func(s string) {
		if s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	if holds := h.r.OpenHolds(); len(holds) > 0 {
		add("A hold is open: ask the lead before any skiing")
	}
	for _, g := range h.a.Gates {
		if !g.Open {
			add(g.Card)
		}
	}
	if b := h.a.Numbers.BlockMin; b != nil {
		add("Rest after " + finding.FormatNumber(*b) + " min at the latest")
	}
	if w := h.own("stop_word"); w != "" {
		add("Stop word: " + w)
	}
	for _, n := range h.a.Notes {
		if n.Kind == "stop" && n.Code != "stop_always" && n.Code != "uncontrolled_run" {
			add(n.Say)
		}
	}
	if len(out) == 0 {
		add("The usual ones")
	}
	return out
}

func (h *handing) setUp() []string {
	aids := ladder.Aids{Way: h.l.Way, Tie: h.l.Tie}.Clean()
	out := []string{upperFirst(aids.Words())}
	if x, ok := h.a.Axis("reins"); ok && !x.Open && x.Value != "none" && x.Value != "not_used" {
		out = append(out, "Reins: "+x.Label)
	}
	s, ok := h.r.SetUp()
	if !ok {
		if sheet, any := h.r.LatestSetUp(); any {
			out = append(out, "Numbers are not signed by two yet: "+sheet.Why)
		}
		return out
	}
	return append(out, signedSetUp(s)...)
}

// signedSetUp writes the numbers of a sheet: "Outrigger handle: left 62.5 cm
// (hole 8), right 61 cm (hole 8)".
func signedSetUp(s SetUpState) []string {
	var order []string
	parts := map[string][]string{}
	for i, it := range s.Items {
		m := s.Measured[i]
		if it.Unit == "" || m.Value == nil {
			continue
		}
		text := finding.FormatNumber(*m.Value) + " " + it.Unit
		if it.Side != "none" {
			text = it.Side + " " + text
		}
		if m.Hole > 0 {
			text += fmt.Sprintf(" (hole %d)", m.Hole)
		}
		if parts[it.Label] == nil {
			order = append(order, it.Label)
		}
		parts[it.Label] = append(parts[it.Label], text)
	}
	var out []string
	for _, label := range order {
		out = append(out, label+": "+strings.Join(parts[label], ", "))
	}
	return out
}

// front is the skill furthest up the ladder that was tried today with the aids
// of the lesson; ok is false where none was.
func (h *handing) front() (s *ladder.Skill, ok bool) {
	at := -1
	for i, one := range ladderOf().Skills() {
		if slices.ContainsFunc(h.today, func(a progress.Attempt) bool { return a.Skill == one.ID }) && i > at && one.ID != chair && one.ID != carpet {
			s, at, ok = one, i, true
		}
	}
	return s, ok
}

// linesOf returns the records of a skill with the aids of the lesson.
func (h *handing) linesOf(skill string) []progress.Line {
	var out []progress.Line
	for _, l := range h.read.Lines {
		if l.Current && l.Skill == skill && l.Attempts > 0 {
			out = append(out, l)
		}
	}
	return out
}

func (h *handing) start() []string {
	s, ok := h.front()
	if !ok {
		return nil
	}
	lines := h.linesOf(s.ID)
	if len(lines) == 0 {
		return nil
	}
	var levels []string
	for _, l := range lines {
		levels = append(levels, strings.TrimSpace(s.SideWords(l.Side)+fmt.Sprintf(" begin at help level %d (stands at %d)", l.Advice.Help, l.Stands)))
	}
	terrain, _, _ := ladderOf().Terrain(lines[0].Last.Terrain)
	out := []string{upperFirst(terrain.Name), s.ID + " " + s.Name + ": " + strings.Join(levels, ", ")}
	if c, chosen := h.r.Hill.Choice(); chosen {
		if sl, known := h.hill.SlopeByID(c.Slope); known {
			out[0] = sl.Name + ", " + terrain.Name
		}
		if c.StepLeft > 0 || c.StepRight > 0 {
			step := func(n int) string {
				if n == 0 {
					return "none yet"
				}
				return fmt.Sprint(n)
			}
			out = append(out, "Fan step left "+step(c.StepLeft)+", right "+step(c.StepRight))
		}
	}
	return out
}

// The fewest attempts with a cue for which its share is told.
const cueAttempts = 4

func (h *handing) cue() []string {
	type tally struct{ clean, all int }
	of, order := map[string]*tally{}, []string{}
	for _, a := range h.today {
		if a.Cue == "" {
			continue
		}
		if of[a.Cue] == nil {
			of[a.Cue] = &tally{}
			order = append(order, a.Cue)
		}
		of[a.Cue].all++
		if a.Outcome == progress.Clean {
			of[a.Cue].clean++
		}
	}
	var out []string
	if c := h.own("cue"); c != "" {
		out = append(out, "Works: "+c)
	}
	if c := h.own("cue_fails"); c != "" {
		out = append(out, "Fails: "+c)
	}
	var today []string
	for _, c := range order {
		if t := of[c]; t.all >= cueAttempts {
			today = append(today, fmt.Sprintf("%s %d of %d clean", c, t.clean, t.all))
		}
	}
	if len(today) > 0 {
		out = append(out, "Today: "+strings.Join(today, ", "))
	}
	return out
}

// weak names a side only where the attempts or the evaluation do.
func (h *handing) weak() []string {
	var out []string
	for _, g := range h.read.Gaps {
		s, ok := ladderOf().Skill(g.Skill)
		if ok && s.Sides == ladder.Direction && g.Weaker != finding.NoSide { // the furthest up the ladder stands
			out = []string{fmt.Sprintf("Seen: %s is the weaker turn (%s, %s), so the %s leg works less", s.SideWords(g.Weaker), s.ID, tries(g), g.Weaker.Other().Word())}
		}
	}
	if x, ok := h.a.Axis("weaker_turn"); ok && !x.Open {
		switch {
		case x.Value != "none":
			out = append(out, "Evaluated: "+x.Label+". "+x.Because)
		case len(out) == 0 && h.evenTurns():
			out = append(out, "Neither, by evaluation and attempts")
		}
	}
	return out
}

// tries counts the attempts a gap rests on.
func tries(g progress.Gap) string {
	return fmt.Sprintf("%d tries left, %d right", g.LeftN, g.RightN)
}

// evenTurns tells whether enough turns to both sides were seen.
func (h *handing) evenTurns() bool {
	return slices.ContainsFunc(h.read.Gaps, func(g progress.Gap) bool {
		s, ok := ladderOf().Skill(g.Skill)
		return ok && s.Sides == ladder.Direction && g.Enough
	})
}

func (h *handing) tires() []string {
	var out []string
	if m := h.r.KnownMinutes(); m > 0 {
		out = append(out, "Known: quality drops after "+finding.FormatNumber(m)+" min")
	}
	for _, s := range h.r.Snow {
		if s.Event == SnowStop && s.Reason == "tired" && DateOf(s.MadeAt.In(h.r.zone())) == h.l.Day {
			text := "Stopped today, tired"
			if s.Minutes != nil {
				text += fmt.Sprintf(", at minute %d", *s.Minutes)
			}
			out = append(out, text)
		}
	}
	for i := len(h.r.Notes) - 1; i >= 0; i-- {
		if n := h.r.Notes[i]; n.About == "tires" && n.Class == NoteWork {
			return append(out, "Looks like: "+n.Text)
		}
	}
	return out
}

// next is one step: of the skill furthest up, on its weaker side.
func (h *handing) next() []string {
	s, ok := h.front()
	if !ok {
		return nil
	}
	lines := h.linesOf(s.ID)
	if len(lines) == 0 {
		return nil
	}
	l := slices.MaxFunc(lines, func(a, b progress.Line) int { return a.Advice.Help - b.Advice.Help })
	what := strings.TrimSpace(s.ID + " " + s.Name + " " + s.SideWords(l.Side))
	out := []string{fmt.Sprintf("%s: begin at help level %d", upperFirst(what), l.Advice.Help)}
	if l.Advice.Help > ladder.LeastHelp {
		out = append(out, "Three clean in a row, fresh, then one level less")
	}
	for _, p := range h.read.Plateaus {
		if p.Skill == s.ID && p.Side == l.Side {
			out = append(out, p.Says)
		}
	}
	return out
}

func (h *handing) lift() []string {
	var out []string
	if c, ok := h.r.Hill.Choice(); ok && c.Lift != "" {
		if l, known := h.hill.LiftByID(c.Lift); known {
			out = append(out, l.Name)
		}
	}
	tried := false
	for _, id := range []string{carpet, chair} {
		s, _ := ladderOf().Skill(id)
		for _, l := range h.linesOf(id) {
			tried = true
			out = append(out, strings.TrimSpace(upperFirst(s.Name)+" "+s.SideWords(l.Side))+fmt.Sprintf(": help level %d, %s", l.Last.Help, l.Last.Outcome))
		}
	}
	if !tried {
		if len(out) > 0 {
			return nil // a lift was chosen, and nobody wrote how it went
		}
		return []string{"No lift written down yet"}
	}
	if x, ok := h.a.Axis("people"); ok && !x.Open {
		people := x.Label + " people, lead included"
		if x.Value == "1" {
			people = "The lead alone"
		}
		out = append(out, people)
	}
	if x, ok := h.a.Axis("helper_side"); ok && !x.Open && x.Value != "either" {
		out = append(out, "Helper on the "+x.Label)
	}
	return out
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
