// Package ladder is the ladder of skills: what each skill needs, what is seen
// when it is passed, with which gear it cannot be done, left and right apart.
//
// The ladder is data, read and checked when loaded like a rule table. From it,
// a set-up and the passes of a student the package says for every skill
// whether it is passed, open, waiting for others, or not possible with this
// gear ([Ladder.Open]), and whether something may be recorded at all
// ([Ladder.Admit]). A pass belongs to the aids it was seen with: changing an
// aid starts a parallel record, taking one off reopens the skill.
//
// Help levels run from 7, helpers move skis and body, to 0, independent. Sides
// are the student's. The package is pure.
package ladder

import (
	_ "embed"
	"slices"
	"sync"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

//go:embed standing.ladder
var standingText string

// Standing returns the ladder that comes with the program, with its settings
// as proposed.
func Standing() *Ladder { return standing() }

// StandingText returns the text Standing is read from.
func StandingText() string { return standingText }

var standing = sync.OnceValue(func() *Ladder {
	l, err := Parse(standingText)
	if err != nil {
		panic(err) // a test excludes it
	}
	return l
})

// The highest and the lowest help level.
const (
	MostHelp  = 7 // helpers move skis and body
	LeastHelp = 0 // independent
)

// Level is a help level.
type Level struct {
	Level int
	Name  string // "light hold"
	Means string
	Hands bool // somebody has a hand on the student
	Basis []string
	line  int
}

// Terrain is a place where skills are taught, easiest first.
type Terrain struct {
	ID      string // "beginner"
	Name    string
	FromPct float64 // gradient, in percent
	ToPct   float64
	Basis   []string
	line    int
}

// SideKind says what the left and the right of a skill are.
type SideKind string

// The kinds of sides.
const (
	NoSides   SideKind = ""          // one record
	Hand      SideKind = "hand"      // left and right hand
	Foot      SideKind = "foot"      // left and right foot
	Direction SideKind = "direction" // to the left and to the right
	Fall      SideKind = "fall"      // onto the left and onto the right
	LoadSide  SideKind = "load"      // of the helper, or of the carrier's door
)

// Which says which sides of a needed skill count.
type Which uint8

// Which sides.
const (
	Same   Which = iota // the same side, or the skill has no sides
	Both                // every side this gear has
	Either              // one is enough
)

// One is one skill that is needed.
type One struct {
	Skill string
	Which Which
}

// Need is met by any one of its skills.
type Need []One

// Skill is one skill of the ladder.
type Skill struct {
	ID         string
	Name       string
	Pass       string // what is seen on snow
	Needs      []Need // all of them
	WedgeRoute bool   // both legs must be able to make a wedge

	NotWithTie, NotWithSpacer, NotWithSlider bool
	AloneNotWithSlider                       bool // a hand on the student, with a slider
	OnlyOutriggers, OnlyTwoSkis, BothHands   bool
	NoHands                                  bool // the pass is seen with no hand on the student

	Sides  SideKind
	Place  Terrain // where it is taught and passed
	SeenOn bool    // a pass on less terrain does not count
	Basis  []string
	Line   int

	index int
}

// Index is the skill's place in the ladder, from 0.
func (s *Skill) Index() int { return s.index }

// Setting is a number of the programme.
type Setting struct {
	Name     string
	Value    int
	Min, Max int
	Means    string
	Basis    []string
	Proposed bool // wants the signature of a working lead
	line     int
}

// Ladder is a checked ladder. It does not change and is safe for concurrent
// use.
type Ladder struct {
	Name, Version string

	settings []Setting
	levels   []Level // by level
	terrains []Terrain
	skills   []*Skill
	byID     map[string]*Skill
}

// Skills returns the skills in the order of the ladder.
func (l *Ladder) Skills() []*Skill { return slices.Clone(l.skills) }

// Skill returns a skill by its id.
func (l *Ladder) Skill(id string) (*Skill, bool) {
	s, ok := l.byID[id]
	return s, ok
}

// Levels returns the help levels, most help first.
func (l *Ladder) Levels() []Level {
	out := slices.Clone(l.levels)
	slices.Reverse(out)
	return out
}

// Level returns a help level from 0 to 7.
func (l *Ladder) Level(n int) (Level, bool) {
	if n < LeastHelp || n > MostHelp {
		return Level{}, false
	}
	return l.levels[n], true
}

// Terrains returns the terrains, easiest first.
func (l *Ladder) Terrains() []Terrain { return slices.Clone(l.terrains) }

// Terrain returns a terrain by its id, and its place from the easiest, 0.
func (l *Ladder) Terrain(id string) (t Terrain, rank int, ok bool) {
	rank = slices.IndexFunc(l.terrains, func(t Terrain) bool { return t.ID == id })
	if rank < 0 {
		return Terrain{}, -1, false
	}
	return l.terrains[rank], rank, true
}

// TerrainOf returns the easiest terrain that holds a gradient in percent; ok
// is false beyond the last.
func (l *Ladder) TerrainOf(pct float64) (Terrain, bool) {
	for _, t := range l.terrains {
		if pct <= t.ToPct {
			return t, pct >= 0
		}
	}
	return Terrain{}, false
}

// Settings returns the programme's numbers.
func (l *Ladder) Settings() []Setting { return slices.Clone(l.settings) }

// Setting returns the value of one of the programme's numbers. It panics where
// there is none of that name.
func (l *Ladder) Setting(name string) int {
	for _, s := range l.settings {
		if s.Name == name {
			return s.Value
		}
	}
	panic("ladder: there is no setting " + name)
}

// SidesOf returns the sides of a skill that this gear has: none, both, or the
// one hand or foot.
func (s *Skill) SidesOf(a Aids) []finding.Side {
	switch {
	case s.Sides == NoSides:
		return []finding.Side{finding.NoSide}
	case s.Sides == Hand && a.Way == "one_outrigger_left", s.Sides == Foot && a.Way == "one_ski_left":
		return []finding.Side{finding.Left}
	case s.Sides == Hand && a.Way == "one_outrigger_right", s.Sides == Foot && a.Way == "one_ski_right":
		return []finding.Side{finding.Right}
	}
	return []finding.Side{finding.Left, finding.Right}
}

// SideWords says a side of the skill: "left hand", "to the left".
func (s *Skill) SideWords(side finding.Side) string {
	w := side.Word()
	switch {
	case w == "":
		return ""
	case s.Sides == Hand || s.Sides == Foot:
		return w + " " + string(s.Sides)
	case s.Sides == Fall:
		return "onto the " + w
	case s.Sides == LoadSide:
		return w + " side"
	}
	return "to the " + w
}

// Problem and Problems are the faults of a ladder's text.
type (
	Problem  = decide.Problem
	Problems = decide.Problems
)
