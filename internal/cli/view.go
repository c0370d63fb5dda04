package cli

import (
	"slices"
	"strconv"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/person"
	"firnhand/programme"
)

// open stands in the place of an answer that unknown findings leave open; the
// answers still possible are then under possible.
const open = "open"

// sided is a value for the student's left and right.
type sided[T any] struct {
	L T `json:"L"`
	R T `json:"R"`
}

// decisionView is the answer about one person, as "decide --json" prints it.
type decisionView struct {
	Name       string `json:"name,omitempty"`
	LessonCode string `json:"lesson_code,omitempty"`
	On         string `json:"on"` // date, YYYY-MM-DD
	Table      string `json:"table"`
	Version    string `json:"version"`

	Gate         string      `json:"gate"`
	GatePossible []string    `json:"gate_possible,omitempty"`
	Holds        []holdView  `json:"holds"`      // in force
	OpenGates    []holdView  `json:"open_gates"` // may hold once their findings are known
	Rules        []ruleLine  `json:"rules"`      // gates that put a rule on the card
	Cleared      []clearView `json:"cleared"`
	Lapsed       []clearView `json:"lapsed"`

	Today  todayView  `json:"today"`
	Answer answerView `json:"answer"`
	notesView

	AfterClearance *laterView `json:"after_clearance,omitempty"`

	Axes      []decide.AxisAnswer `json:"axes"`
	NextTests []decide.NextTest   `json:"next_tests"`
	DependsOn []dependsView       `json:"depends_on"`

	TakenAsNormal []takenView        `json:"taken_as_normal"`
	NotChecked    []person.Unchecked `json:"not_checked"`
	Settings      []settingView      `json:"settings_used"`
	Notes         []noteView         `json:"notes"`
}

// notesView are the sentences that go with an answer.
type notesView struct {
	StopRules []said `json:"stop_rules"`
	Warn      []said `json:"warn"`
	MustNot   []said `json:"must_not"`
	Recheck   []said `json:"recheck"`
	Do        []said `json:"do"`
}

type said struct {
	Code     string   `json:"code"`
	Sentence string   `json:"sentence"`
	Side     string   `json:"side,omitempty"`
	Basis    []string `json:"basis"`
}

// holdView is a gate that holds, or may hold once its findings are known.
type holdView struct {
	ID      string           `json:"id"`
	Effect  string           `json:"effect"`
	Clears  string           `json:"clears,omitempty"`
	Because string           `json:"because"`
	Basis   []string         `json:"basis"`
	Read    []decide.Reading `json:"read,omitempty"`
}

type ruleLine struct {
	ID      string   `json:"id"`
	Because string   `json:"because"`
	Card    string   `json:"card,omitempty"`
	Basis   []string `json:"basis"`
}

type clearView struct {
	Gate      string `json:"gate"`
	ClearedBy string `json:"cleared_by"`
	Role      string `json:"role_of_clearer"`
	Until     string `json:"until"`
}

// todayView is what is done today.
type todayView struct {
	Skiing   string   `json:"skiing"` // standing, sitting, sitting_if_painless, no, open
	Plan     []string `json:"plan"`
	PlanSays string   `json:"plan_says,omitempty"`
	Terrain  []string `json:"terrain"`
	BlockMin *float64 `json:"block_min"`
	Helpers  *int     `json:"helpers_total"`
}

// answerView is the set-up in the trade's words. A text that is open says
// "open", a number that is open or not asked for is null; possible lists the
// answers that remain, by the name of the field ("aid", "braces.L").
type answerView struct {
	Discipline string        `json:"discipline"` // two_skis, one_ski, sitting
	SkiLeg     string        `json:"ski_leg,omitempty"`
	Aid        string        `json:"aid"` // none, outriggers, one_outrigger_left, one_outrigger_right, slider
	Trough     sided[string] `json:"trough"`
	Tie        string        `json:"tie"`    // none, carry_elastic, elastic, rigid, not_used
	Spacer     string        `json:"spacer"` // none, natural_gap, not_used
	SpacerMM   *float64      `json:"spacer_mm"`

	Braces sided[string]      `json:"braces"`
	HeelMM sided[*heelView]   `json:"heel_mm"`
	Length sided[*lengthView] `json:"length"`
	Boots  sided[string]      `json:"boots"`
	Cant   sided[string]      `json:"cant"`

	Route        routeView `json:"route"`
	Reins        string    `json:"reins"`
	HelpersTotal *int      `json:"helpers_total"`
	HelperSide   string    `json:"helper_side"`
	CueSide      string    `json:"cue_side"`
	Guide        string    `json:"guide"`
	Terrain      []string  `json:"terrain"`
	Plan         []string  `json:"plan"`
	BlockMin     *float64  `json:"block_min"`
	FeetCheckMin *float64  `json:"feet_check_min"`
	WindChillC   *float64  `json:"wind_chill_stop_c"`
	Slot         string    `json:"slot"`
	Order        string    `json:"order"`
	WeakerTurn   string    `json:"weaker_turn"`
	StopWord     *string   `json:"stop_word"`
	Cue          *string   `json:"cue"`

	Possible map[string][]string `json:"possible"`
}

type heelView struct {
	Start float64 `json:"start"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

type lengthView struct {
	How       string   `json:"how"` // none, in_boot, plate
	InBootMM  *float64 `json:"in_boot_mm"`
	PlateDay1 *float64 `json:"plate_mm_day1"`
	PlateMM   *float64 `json:"plate_mm_final"`
}

type routeView struct {
	LeftTurns  string `json:"left_turns"`
	RightTurns string `json:"right_turns"`
	Summary    string `json:"summary"`
}

// laterView is what the answer would be once every hold is cleared in writing.
type laterView struct {
	Answer answerView `json:"answer"`
	notesView
	Sentence string `json:"sentence"`
}

type dependsView struct {
	Axis     string           `json:"axis"`
	Side     string           `json:"side,omitempty"`
	Possible []decide.Value   `json:"possible"`
	WaitsFor []decide.Reading `json:"waits_for"`
}

type takenView struct {
	Finding  string `json:"finding"`
	Side     string `json:"side,omitempty"`
	State    string `json:"state,omitempty"`
	Label    string `json:"label"`
	Value    string `json:"value"`
	Measured bool   `json:"measured,omitempty"` // usually has to be measured
}

type noteView struct {
	About string `json:"about"`
	Text  string `json:"text"`
}

// decided is everything known about one decision while it is shown.
type decided struct {
	person *person.Person
	c      *person.Case
	table  *decide.Table
	answer *decide.Answer
	next   []decide.NextTest
	later  *decide.Answer
	on     programme.Date
}

func (d *decided) view() decisionView {
	a := d.answer
	v := decisionView{
		Name: d.person.Name, LessonCode: d.person.LessonCode, On: d.on.String(), Table: a.Table, Version: a.Version,
		Holds: []holdView{}, OpenGates: []holdView{}, Rules: []ruleLine{}, Axes: a.Axes, NextTests: d.next, NotChecked: d.c.NotChecked,
		Answer: trade(a, d.c.Input.Findings), notesView: notesOf(a), Settings: settings(d.table, nil),
		Cleared: letters(d.c.Cleared), Lapsed: letters(d.c.Lapsed),
		DependsOn: []dependsView{}, TakenAsNormal: []takenView{}, Notes: []noteView{},
	}
	if v.NextTests == nil {
		v.NextTests = []decide.NextTest{}
	}
	if v.NotChecked == nil {
		v.NotChecked = []person.Unchecked{}
	}
	v.Gate, v.GatePossible = axisValue(a, "gate")
	for _, g := range a.Gates {
		switch {
		case g.Cleared:
		case g.Effect == decide.RuleOnly.String():
			if !g.Open {
				v.Rules = append(v.Rules, ruleLine{g.ID, g.Because, g.Card, g.Basis})
			}
		case g.Open:
			v.OpenGates = append(v.OpenGates, d.hold(g))
		default:
			v.Holds = append(v.Holds, d.hold(g))
		}
	}
	v.Today = today(a, v.Answer)
	if d.later != nil {
		v.AfterClearance = &laterView{Answer: trade(d.later, d.c.Input.Findings), notesView: notesOf(d.later),
			Sentence: "For planning only: what the answer would be with every hold cleared in writing and the tests it asks for done again."}
	}
	for _, x := range a.Axes {
		if x.Open {
			v.DependsOn = append(v.DependsOn, dependsView{x.Axis, x.Side, x.Possible, x.WaitsFor})
		}
	}
	for _, t := range d.c.Taken {
		def, _ := finding.Lookup(t.Key.ID)
		tv := takenView{Finding: t.Key.ID, Side: t.Key.Side.Word(), Label: def.Label, Value: t.Value, Measured: t.Measured}
		if def.Tiring {
			tv.State = t.Key.State.String()
		}
		v.TakenAsNormal = append(v.TakenAsNormal, tv)
	}
	for _, n := range d.person.Notes {
		v.Notes = append(v.Notes, noteView{n.About, n.Text})
	}
	return v
}

// hold shows a gate; what a hold by hand says comes from the file.
func (d *decided) hold(g decide.GateAnswer) holdView {
	v := holdView{ID: g.ID, Effect: g.Effect, Clears: g.Clears, Because: g.Because, Basis: g.Basis, Read: g.Read}
	for _, h := range d.person.Holds {
		byHand := g.ID == "HOLD" && h.Effect == decide.Hold || g.ID == "HOLD_STANDING" && h.Effect == decide.HoldStanding
		if byHand {
			v.Because = h.Because
			if h.Clears != "" {
				v.Clears = h.Clears
			}
		}
	}
	return v
}

func letters(in []person.Letter) []clearView {
	out := []clearView{}
	for _, l := range in {
		out = append(out, clearView{l.Gate, l.ClearedBy, l.Role, l.Until.String()})
	}
	return out
}

// notesOf sorts the sentences by what they are for.
func notesOf(a *decide.Answer) notesView {
	v := notesView{StopRules: []said{}, Warn: []said{}, MustNot: []said{}, Recheck: []said{}, Do: []said{}}
	to := map[string]*[]said{"stop": &v.StopRules, "warn": &v.Warn, "avoid": &v.MustNot, "check": &v.Recheck, "do": &v.Do}
	for _, n := range a.Notes {
		if list, ok := to[n.Kind]; ok {
			*list = append(*list, said{n.Code, n.Say, n.Side, n.Basis})
		}
	}
	return v
}

// axisValue returns the answer of an axis, or "open" and what is possible. An
// axis that the table does not have is empty.
func axisValue(a *decide.Answer, id string) (string, []string) {
	x, ok := a.Axis(id)
	switch {
	case !ok:
		return "", nil
	case !x.Open:
		return x.Value, nil
	}
	var ids []string
	for _, p := range x.Possible {
		ids = append(ids, p.ID)
	}
	return open, ids
}

// trader puts axes into the trade's words.
type trader struct {
	a        *decide.Answer
	possible map[string][]string
}

// word returns what the axis answers, put through say; several possible
// answers that say the same are one answer.
func (t trader) word(field, axis string, say func(string) string) string {
	v, possible := axisValue(t.a, axis)
	if v != open {
		return say(v)
	}
	var out []string
	for _, p := range possible {
		if s := say(p); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	if len(out) == 1 {
		return out[0]
	}
	t.possible[field] = out
	return open
}

func same(s string) string { return s }

func (t trader) both(field, axis string) sided[string] {
	return sided[string]{t.word(field+".L", axis+"_left", same), t.word(field+".R", axis+"_right", same)}
}

// list is word for an answer that is a list of words.
func (t trader) list(field, axis string, say func(string) []string) []string {
	v := t.word(field, axis, func(s string) string { return strings.Join(say(s), " + ") })
	if v == open || v == "" {
		return []string{}
	}
	return strings.Split(v, " + ")
}

// trade puts an answer into the trade's words.
func trade(a *decide.Answer, fs finding.Set) answerView {
	t := trader{a, map[string][]string{}}
	n := a.Numbers
	v := answerView{
		Discipline: t.word("discipline", "way", discipline),
		Aid:        t.word("aid", "way", aid),
		Trough:     t.both("trough", "trough"),
		Tie:        t.word("tie", "tie", tieWord),
		Spacer:     t.word("spacer", "tie", spacerWord),
		Braces:     t.both("braces", "braces"),
		HeelMM:     sided[*heelView]{t.heel("heel_mm.L", "heel_left", n.HeelLiftMM.Left), t.heel("heel_mm.R", "heel_right", n.HeelLiftMM.Right)},
		Length: sided[*lengthView]{
			t.length("length.L", "length_left", n.LengthInBootMM.Left, n.LengthPlateDayMM.Left, n.LengthPlateMM.Left),
			t.length("length.R", "length_right", n.LengthInBootMM.Right, n.LengthPlateDayMM.Right, n.LengthPlateMM.Right)},
		Boots:        t.both("boots", "boot"),
		Cant:         t.both("cant", "cant"),
		Route:        t.route(),
		Reins:        t.word("reins", "reins", same),
		HelperSide:   t.word("helper_side", "helper_side", same),
		CueSide:      t.word("cue_side", "cue_side", same),
		Guide:        t.word("guide", "guide", same),
		Terrain:      t.list("terrain", "terrain", terrainWords),
		BlockMin:     n.BlockMin,
		FeetCheckMin: n.FeetCheckMin,
		WindChillC:   n.WindChillStopC,
		Slot:         t.word("slot", "slot", same),
		Order:        t.word("order", "order", same),
		WeakerTurn:   t.word("weaker_turn", "weaker_turn", same),
		StopWord:     textOf(fs, "stop_word"),
		Cue:          textOf(fs, "cue"),
		Possible:     t.possible,
	}
	v.SkiLeg = skiLeg(a)
	v.Plan = t.list("plan", "plan", func(s string) []string { return []string{s} })
	if len(v.Plan) == 1 && v.Plan[0] != "PL-H" && a.Is("guide", "yes") {
		v.Plan = append(v.Plan, "PL-E")
	}
	if people := t.word("helpers_total", "people", same); people != open {
		if count, err := strconv.Atoi(people); err == nil {
			v.HelpersTotal = &count
		}
	}
	if n.SpacerMM != nil {
		v.SpacerMM = &n.SpacerMM.Value
	}
	return v
}

func textOf(fs finding.Set, id string) *string {
	v := fs.Get(id, finding.NoSide, finding.Fresh)
	if v.Kind != finding.Known || v.Text == "" {
		return nil
	}
	return &v.Text
}

func (t trader) heel(field, axis string, r *decide.Range) *heelView {
	t.word(field, axis, same)
	if r == nil {
		return nil
	}
	return &heelView{r.Value, r.Low, r.High}
}

func (t trader) length(field, axis string, boot, day, final *float64) *lengthView {
	how := t.word(field, axis, same)
	if how == open || how == "" {
		return nil
	}
	return &lengthView{how, boot, day, final}
}

func (t trader) route() routeView {
	v := routeView{LeftTurns: t.word("route.left_turns", "route_left", same), RightTurns: t.word("route.right_turns", "route_right", same)}
	switch {
	case v.LeftTurns == open || v.RightTurns == open:
		v.Summary = open
	case v.LeftTurns == v.RightTurns:
		v.Summary = v.LeftTurns
	default:
		v.Summary = "left_turns_" + v.LeftTurns + "_right_turns_" + v.RightTurns
	}
	return v
}

func discipline(way string) string {
	switch way {
	case "sitting":
		return "sitting"
	case "one_ski_left", "one_ski_right":
		return "one_ski"
	}
	return "two_skis"
}

func aid(way string) string {
	switch way {
	case "sitting":
		return "none"
	case "one_ski_left", "one_ski_right":
		return "outriggers"
	}
	return way
}

func skiLeg(a *decide.Answer) string {
	switch {
	case a.Is("way", "one_ski_left"):
		return "left"
	case a.Is("way", "one_ski_right"):
		return "right"
	}
	return ""
}

func tieWord(tie string) string {
	if tie == "rigid_spacer" {
		return "rigid"
	}
	return tie
}

func spacerWord(tie string) string {
	switch tie {
	case "rigid_spacer":
		return "natural_gap"
	case "not_used":
		return "not_used"
	}
	return "none"
}

func terrainWords(terrain string) []string {
	if terrain == "under_5pct_then_8_12pct" {
		return []string{"under_5pct_runout", "8-12pct"}
	}
	return []string{terrain}
}

// today says what is done today.
func today(a *decide.Answer, v answerView) todayView {
	t := todayView{Skiing: "standing", Plan: v.Plan, Terrain: v.Terrain, BlockMin: v.BlockMin, Helpers: v.HelpersTotal}
	plan, possible := axisValue(a, "plan")
	if plan == open {
		switch {
		case !slices.Contains(possible, "PL-F") || len(possible) > 2 || !slices.Contains(possible, "PL-H"):
			t.Skiing = open
		default:
			t.Skiing = "sitting_if_painless"
		}
		return t
	}
	if x, ok := a.Axis("plan"); ok {
		t.PlanSays = x.Label
	}
	switch plan {
	case "PL-H":
		t.Skiing, t.BlockMin, t.Helpers = "no", nil, nil
	case "PL-F":
		t.Skiing = "sitting"
	}
	return t
}
