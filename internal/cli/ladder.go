package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"firnhand/core/ladder"
)

// ladderCmd lists the skills, or says which are open.
type ladderCmd struct {
	Passes string `arg:"" optional:"" help:"Passes so far as comma-separated values: skill, help_level, side, terrain, way, tie; - reads from standard input. Without it: the whole ladder."`
	setupFlags
	Open bool `help:"Say what is open with no passes at all."`
	JSON bool `name:"json" help:"As JSON."`
}

// setupFlags choose a set-up by name or from a person's file.
type setupFlags struct {
	Way        string `placeholder:"NAME" help:"Way of skiing: none, outriggers, one_outrigger_left, one_outrigger_right, slider, one_ski_left, one_ski_right."`
	Tie        string `placeholder:"NAME" help:"Tie: none, elastic, rigid, rigid_spacer."`
	RouteLeft  string `name:"route-left" placeholder:"NAME" help:"Route into left turns: wedge, wedge_early_then_wedgeless, wedge_or_wedgeless, wedgeless."`
	RouteRight string `name:"route-right" placeholder:"NAME" help:"Route into right turns."`
	Person     string `placeholder:"FILE" help:"Take the set-up from a person's file."`
	On         string `placeholder:"DATE" help:"With --person: as of this day (YYYY-MM-DD) instead of today."`
	Rules      string `placeholder:"FILE" help:"With --person: decide by this rule table instead of the one built in."`
}

// ladderFault gives a refusal of the ladder the one shape.
func ladderFault(err error) error {
	var e *ladder.Error
	if errors.As(err, &e) {
		return refuse(e.Code, "%s", e.Sentence)
	}
	return err
}

// setup returns the set-up; given is false where none was named.
func (f setupFlags) setup(a *app) (s ladder.Setup, given, held bool, err error) {
	named := f.Way + f.Tie + f.RouteLeft + f.RouteRight
	switch {
	case f.Person != "" && named != "":
		return s, true, false, refuse("given_twice", "Give the set-up by name or with --person, not both.")
	case f.Person != "":
		d, err := a.decide(f.Person, f.Rules, f.On)
		if err != nil {
			return s, true, false, err
		}
		s, err = ladder.Of(d.answer)
		return s, true, d.held(), ladderFault(err)
	case named == "":
		return s, false, false, nil
	case f.Way == "":
		return s, true, false, refuse("missing", "A set-up wants its way of skiing: --way.")
	}
	s = ladder.Setup{Aids: ladder.Aids{Way: f.Way, Tie: f.Tie}.Clean(), RouteLeft: f.RouteLeft, RouteRight: f.RouteRight}
	return s, true, false, ladderFault(s.Check())
}

// Run lists or opens.
func (c *ladderCmd) Run(a *app) error {
	s, given, held, err := c.setup(a)
	if err != nil {
		return err
	}
	if !given {
		if c.Passes != "" || c.Open {
			return refuse("missing", "What is open depends on the set-up: give --way, and --tie, --route-left, --route-right where they count, or --person FILE.")
		}
		return c.list(a)
	}
	passes, err := a.passes(c.Passes, s.Aids)
	if err != nil {
		return err
	}
	b, err := ladder.Standing().Open(s, passes)
	if err != nil {
		return ladderFault(err)
	}
	v := viewBoard(b, passes)
	if c.JSON {
		err = a.printJSON(v)
	} else {
		p := &sheet{w: a.Out}
		v.print(p)
		err = p.err
	}
	if err == nil && held {
		return errHeld
	}
	return err
}

// needView is one skill that is needed, with which of its sides.
type needView struct {
	Skill string `json:"skill"`
	Sides string `json:"sides"` // same, both, either
}

// skillView is a skill as JSON.
type skillView struct {
	ID          string       `json:"id"`
	Name        string       `json:"name"`
	Pass        string       `json:"pass"`
	Needs       [][]needView `json:"needs"` // all of; any of each
	WedgeRoute  bool         `json:"needs_wedge_route"`
	NotWith     []string     `json:"not_with"`
	AloneNot    []string     `json:"alone_not_with"`
	Only        []string     `json:"only"`
	NoHands     bool         `json:"pass_with_no_hand_on_student"`
	LeftRight   bool         `json:"left_and_right"`
	SideKind    string       `json:"side_kind,omitempty"`
	Terrain     string       `json:"terrain"`
	TerrainPass bool         `json:"pass_counts_only_from_terrain"`
	Basis       []string     `json:"basis"`
}

func viewSkill(s *ladder.Skill) skillView {
	v := skillView{ID: s.ID, Name: s.Name, Pass: s.Pass, Needs: [][]needView{}, WedgeRoute: s.WedgeRoute, NoHands: s.NoHands, LeftRight: s.Sides != ladder.NoSides,
		SideKind: string(s.Sides), Terrain: s.Place.ID, TerrainPass: s.SeenOn, Basis: s.Basis}
	for _, n := range s.Needs {
		var any []needView
		for _, one := range n {
			any = append(any, needView{one.Skill, []string{"same", "both", "either"}[one.Which]})
		}
		v.Needs = append(v.Needs, any)
	}
	v.NotWith = flagged(flag{"tie", s.NotWithTie}, flag{"spacer", s.NotWithSpacer}, flag{"slider", s.NotWithSlider})
	v.AloneNot = flagged(flag{"slider", s.AloneNotWithSlider})
	v.Only = flagged(flag{"outriggers", s.OnlyOutriggers}, flag{"two_skis", s.OnlyTwoSkis}, flag{"both_hands", s.BothHands})
	return v
}

type flag struct {
	name string
	on   bool
}

// flagged names the flags that are on.
func flagged(flags ...flag) []string {
	out := []string{}
	for _, f := range flags {
		if f.on {
			out = append(out, f.name)
		}
	}
	return out
}

type helpView struct {
	Level int    `json:"help_level"`
	Name  string `json:"name"`
	Means string `json:"means"`
	Hands bool   `json:"hands_on_student"`
}

type terrainView struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`
	FromPct float64  `json:"from_pct"`
	ToPct   float64  `json:"to_pct"`
	Basis   []string `json:"basis"`
}

// ladderSetting is a number of the ladder.
type ladderSetting struct {
	Name     string   `json:"name"`
	Value    int      `json:"value"`
	Low      int      `json:"low"`
	High     int      `json:"high"`
	Means    string   `json:"means"`
	Basis    []string `json:"basis"`
	Proposed bool     `json:"proposed"`
}

type ladderView struct {
	Ladder   string          `json:"ladder"`
	Version  string          `json:"version"`
	Skills   []skillView     `json:"skills"`
	Levels   []helpView      `json:"help_levels"`
	Terrains []terrainView   `json:"terrains"`
	Settings []ladderSetting `json:"settings"`
}

// list prints the whole ladder.
func (c *ladderCmd) list(a *app) error {
	l := ladder.Standing()
	v := ladderView{Ladder: l.Name, Version: l.Version}
	for _, s := range l.Skills() {
		v.Skills = append(v.Skills, viewSkill(s))
	}
	for _, h := range l.Levels() {
		v.Levels = append(v.Levels, helpView{h.Level, h.Name, h.Means, h.Hands})
	}
	for _, t := range l.Terrains() {
		v.Terrains = append(v.Terrains, terrainView{t.ID, t.Name, t.FromPct, t.ToPct, t.Basis})
	}
	for _, s := range l.Settings() {
		v.Settings = append(v.Settings, ladderSetting{s.Name, s.Value, s.Min, s.Max, s.Means, s.Basis, s.Proposed})
	}
	if c.JSON {
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	p.line("The ladder of skills")
	p.para(2, fmt.Sprintf("A pass is %d clean in a row with the help, terrain and aids written down beside it.", l.Setting("in_a_row")))
	p.blank()
	for _, s := range v.Skills {
		p.labelled(0, 5, s.ID, s.says())
	}
	p.heading("HELP LEVELS")
	for _, h := range v.Levels {
		p.labelled(2, 5, fmt.Sprint(h.Level), h.Name+": "+h.Means)
	}
	p.heading("TERRAIN")
	for _, t := range v.Terrains {
		p.labelled(2, 15, t.ID, t.Name)
	}
	p.blank()
	p.para(0, "What is open for a set-up: firnhand ladder --open --way outriggers --tie elastic; with passes so far: firnhand ladder passes.csv --person FILE.")
	return p.err
}

// says writes a skill in one paragraph.
func (s skillView) says() string {
	text := strings.ToUpper(s.Name[:1]) + s.Name[1:]
	if s.LeftRight {
		text += ", left and right"
	}
	text += ". Passed: " + strings.ToLower(s.Pass[:1]) + s.Pass[1:]
	if needs := s.needsSay(); needs != "" {
		text += " Needs " + needs + "."
	}
	if len(s.NotWith) > 0 {
		text += " Not with " + strings.Join(s.NotWith, ", ") + "."
	}
	if len(s.AloneNot) > 0 {
		text += " Not alone with " + strings.Join(s.AloneNot, ", ") + "."
	}
	if len(s.Only) > 0 {
		text += " Only with " + strings.ReplaceAll(strings.Join(s.Only, " and "), "_", " ") + "."
	}
	return text
}

func (s skillView) needsSay() string {
	var all []string
	for _, need := range s.Needs {
		var any []string
		for _, one := range need {
			words := one.Skill
			if one.Sides != "same" {
				words += map[string]string{"both": " both sides", "either": " one side"}[one.Sides]
			}
			any = append(any, words)
		}
		all = append(all, strings.Join(any, " or "))
	}
	if s.WedgeRoute {
		all = append(all, "the wedge route")
	}
	return strings.Join(all, ", ")
}

// missingView is what a skill waits for.
type missingView struct {
	Skill string `json:"skill"`
	Side  string `json:"side,omitempty"`
}

// entryView is where a skill stands, as JSON.
type entryView struct {
	Skill     string        `json:"skill"`
	Name      string        `json:"name"`
	Side      string        `json:"side,omitempty"`
	SideWords string        `json:"side_words,omitempty"`
	State     string        `json:"state"`
	Possible  bool          `json:"possible"`
	Help      *int          `json:"passed_help_level"`
	Terrain   string        `json:"passed_terrain,omitempty"`
	Start     *int          `json:"start_help_level"`
	LeastHelp int           `json:"least_help_level"`
	Reopened  bool          `json:"reopened"`
	FreshOnly bool          `json:"fresh_only"`
	Waits     []missingView `json:"waits_for"`
	With      string        `json:"with,omitempty"`
	Wedge     bool          `json:"-"` // told with its tie even before it is passed
	Why       string        `json:"why,omitempty"`
}

// passView is a pass as it is kept.
type passView struct {
	Skill   string   `json:"skill"`
	Side    string   `json:"side,omitempty"`
	Terrain string   `json:"terrain"`
	Help    int      `json:"help_level"`
	Way     string   `json:"way"`
	Tie     string   `json:"tie"`
	Remarks []string `json:"remarks"`
}

type setupView struct {
	Way        string `json:"way"`
	Tie        string `json:"tie"`
	RouteLeft  string `json:"route_left,omitempty"`
	RouteRight string `json:"route_right,omitempty"`
	Words      string `json:"words"`
}

type boardView struct {
	Setup  setupView   `json:"set_up"`
	Skills []entryView `json:"skills"`
	Passes []passView  `json:"passes"`
}

func viewSetup(s ladder.Setup) setupView {
	return setupView{s.Way, s.Clean().Tie, s.RouteLeft, s.RouteRight, s.Words()}
}

func viewBoard(b *ladder.Board, passes []ladder.Pass) boardView {
	v := boardView{Setup: viewSetup(b.Setup), Skills: []entryView{}, Passes: []passView{}}
	number := func(n int) *int {
		if n < 0 {
			return nil
		}
		return &n
	}
	for _, e := range b.Entries {
		x := entryView{Skill: e.Skill.ID, Name: e.Skill.Name, Side: e.Side.Word(), SideWords: e.Skill.SideWords(e.Side), State: string(e.State), Possible: e.Possible,
			Help: number(e.Help), Terrain: e.Terrain, Start: number(e.Start), LeastHelp: e.LeastHelp, Reopened: e.Reopened, FreshOnly: e.FreshOnly,
			Waits: []missingView{}, With: e.With, Why: e.Why, Wedge: e.Skill.WedgeRoute && e.Possible}
		for _, m := range e.Missing {
			x.Waits = append(x.Waits, missingView{m.Skill, m.Side.Word()})
		}
		v.Skills = append(v.Skills, x)
	}
	for _, p := range passes {
		remarks, _ := ladder.Standing().AdmitPass(p) // admitted when it was read
		a := p.Aids.Clean()
		v.Passes = append(v.Passes, passView{p.Skill, p.Side.Word(), p.Terrain, p.Help, a.Way, a.Tie, list(remarks)})
	}
	return v
}

func (v boardView) print(p *sheet) {
	p.line("What is open %s", v.Setup.Words)
	for _, part := range []struct{ state, heading string }{
		{string(ladder.Open), "OPEN"}, {string(ladder.Carried), "PASSED WITH FEWER AIDS, COUNTS"}, {string(ladder.Passed), "PASSED"},
		{string(ladder.Waiting), "WAITING"}, {string(ladder.Impossible), "NOT WITH THIS SET-UP"},
	} {
		first := true
		for _, e := range v.Skills {
			if e.State != part.state {
				continue
			}
			if first {
				p.heading(part.heading)
				first = false
			}
			p.labelled(2, 7, e.Skill, e.says())
		}
	}
	var order []string
	of := map[string][]string{}
	for _, x := range v.Passes {
		for _, r := range x.Remarks {
			if of[r] == nil {
				order = append(order, r)
			}
			if id := strings.TrimSpace(x.Skill + " " + x.Side); !slices.Contains(of[r], id) {
				of[r] = append(of[r], id)
			}
		}
	}
	for i, r := range order {
		if i == 0 {
			p.heading("TO KNOW")
		}
		p.bullet(strings.Join(of[r], ", ") + ": " + r)
	}
}

// says writes where a skill stands.
func (e entryView) says() string {
	text := e.Name
	if e.SideWords != "" {
		text += ", " + e.SideWords
	}
	if e.With != "" && (e.Help != nil || e.FreshOnly || e.Wedge) {
		text += " (" + e.With + ")"
	}
	if e.Help != nil {
		text += fmt.Sprintf(", at help level %d on %s", *e.Help, words(e.Terrain))
	}
	if e.Start != nil {
		text += fmt.Sprintf("; start at help level %d", *e.Start)
	}
	if e.Reopened {
		text += ", an aid has come off"
	}
	if e.FreshOnly {
		text += "; only while fresh"
	}
	if e.LeastHelp > 0 {
		text += fmt.Sprintf("; never below help level %d", e.LeastHelp)
	}
	if len(e.Waits) > 0 {
		var all []string
		for _, m := range e.Waits {
			all = append(all, strings.TrimSpace(m.Skill+" "+m.Side))
		}
		text += "; waits for " + strings.Join(all, ", ")
	}
	if e.Why != "" {
		text += "; " + strings.TrimPrefix(e.Why, e.Skill+", "+e.Name+": ")
	}
	return strings.TrimSuffix(text, ".") + "."
}
