// Package decide turns findings into a set-up and argues for it.
//
// Rules are data: a table of axes, each with its rules in order, every rule
// with a condition, a reason and its basis. Conditions are evaluated in
// three-valued logic over what is still possible for each finding, so an
// axis comes out as decided, or open with the answers that remain and the
// findings it waits for. From the same table the package computes why an
// answer was given, why each alternative was not, the cheapest change of
// findings that would give another, and which test is worth doing next.
//
// The package is pure: it depends only on core/finding and the pure part of
// the standard library.
package decide

import (
	_ "embed"
	"sync"

	"firnhand/core/finding"
)

//go:embed standing.rules
var standingRules string

//go:embed notes.rules
var notesRules string

// Standing returns the rule table that comes with the program, with the
// settings as proposed. It panics when the embedded text does not compile,
// which a test excludes.
func Standing() *Table { return standing() }

var standing = sync.OnceValue(func() *Table {
	t, err := read(StandingText(), nil, false)
	if err != nil {
		panic(err)
	}
	return t
})

// StandingText returns the text Standing is read from.
func StandingText() string { return standingRules + "\n" + notesRules }

// Setting is a number of the programme that rules refer to by name.
type Setting struct {
	Name     string
	Value    float64 // in Unit
	Unit     string
	Min, Max float64
	Means    string
	Basis    []string
	Proposed bool // marked P: wants the signature of a working lead
	line     int
}

// Effect is what an active gate does. Larger is stricter.
type Effect uint8

// The effects, from none to a refusal.
const (
	NoEffect     Effect = iota
	RuleOnly            // a rule goes on the card, skiing is open
	ReEvaluate          // evaluation first, old set-up void
	HoldStanding        // no standing; sitting may be open
	Hold                // no skiing
	Refuse              // not at all
)

var effectNames = [...]string{"none", "none_with_rules", "re_evaluate", "hold_standing", "hold", "refuse"}

// String returns the value of the gate axis for the effect.
func (e Effect) String() string { return effectNames[e] }

// Assumption is a finding taken for granted once a hold has been cleared,
// because it has to be tested again before skiing anyway.
type Assumption struct {
	ID, Value string
}

// Rule is one rule of the table as written.
type Rule struct {
	ID      string
	Axis    string
	Side    finding.Side // for "each side" rules, the side {this} stands for
	When    string       // condition as written; empty for "otherwise"
	Then    string
	Because string
	Basis   []string
	Line    int

	cond  *node
	value int    // index into the axis values
	cone  bitset // every cell the condition can depend on
}

// Gate is one gate rule.
type Gate struct {
	ID      string
	Effect  Effect
	When    string
	Clears  string // who can clear it
	Because string
	Card    string // line for the card, when there is one
	Assume  []Assumption
	Basis   []string
	Line    int

	cond   *node
	clear  int // cell that says "cleared"
	manual bool
}

// Note is one sentence that goes with an answer under a condition.
type Note struct {
	Code  string
	Kind  string // stop, warn, avoid, check, do
	Side  finding.Side
	When  string
	Say   string
	Basis []string
	Line  int

	cond *node
	axis int // its yes/no axis
}

// Value is one possible answer of an axis.
type Value struct {
	ID    string
	Label string
}

// axis is a compiled question.
type axis struct {
	id     string // "way", "brace_left", "way fresh"
	base   string // "way", "brace"
	side   finding.Side
	fresh  bool
	asks   string
	values []Value
	rules  []*Rule

	gate bool // computed from the gates

	sumBase int // index of the axis a sum starts from, -1 otherwise
	sumMost int
	extras  []*Rule

	uses  []int  // axes read directly
	need  []int  // uses, closed under use, in evaluation order, self last
	cone  bitset // every cell it can depend on
	apart bool   // reads fresh or tired values by themselves
}

// Table is a compiled rule table. It is immutable and safe for concurrent use.
type Table struct {
	Name, Version string

	settings   []*Setting
	settingMap map[string]*Setting
	axes       []*axis
	axisIndex  map[string]int
	gates      []*Gate
	gateIndex  map[string]int
	notes      []*Note
	source     string

	cells     []cell
	cellIndex map[finding.Key]int
	order     []int // axes so that each comes after all it reads
	gateAxis0 int   // first of the boolean axes made from gates
	gateAxis  int
}

// Settings returns the programme numbers of the table in order.
func (t *Table) Settings() []*Setting { return t.settings }

// Gates returns the gate rules in order.
func (t *Table) Gates() []*Gate { return t.gates }

// Notes returns the notes in order.
func (t *Table) Notes() []*Note { return t.notes }

// Rules returns every rule as written, in order; rules read for each side
// appear once per side.
func (t *Table) Rules() []*Rule {
	var out []*Rule
	for _, a := range t.axes {
		if a.fresh || a.helper() {
			continue
		}
		out = append(out, a.rules...)
		out = append(out, a.extras...)
	}
	return out
}
