// Package finding holds what an evaluation records: the vocabulary of findings
// with their scales, and sets of values in which unknown is a value like any
// other.
//
// A finding is named by an id, a side where it has one (always the student's
// left or right) and a state (fresh or tired) where tiring can change it. The
// package knows nothing of people, time or storage; it depends only on the
// pure part of the standard library.
package finding

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
)

// Side is the student's left or right, or NoSide for a finding without sides.
type Side uint8

// The sides. Both is only a way of writing: it never names a stored value.
const (
	NoSide Side = iota
	Left
	Right
)

// String returns "", "L" or "R".
func (s Side) String() string {
	switch s {
	case Left:
		return "L"
	case Right:
		return "R"
	}
	return ""
}

// Word returns "", "left" or "right".
func (s Side) Word() string {
	switch s {
	case Left:
		return "left"
	case Right:
		return "right"
	}
	return ""
}

// Other returns the opposite side; NoSide is its own opposite.
func (s Side) Other() Side {
	switch s {
	case Left:
		return Right
	case Right:
		return Left
	}
	return NoSide
}

// State tells whether a value was seen fresh or tired. Findings that tiring
// does not change only use Fresh.
type State uint8

// The two states of a finding.
const (
	Fresh State = iota
	Tired
)

// String returns "fresh" or "tired".
func (s State) String() string {
	if s == Tired {
		return "tired"
	}
	return "fresh"
}

// Key names one value of an evaluation.
type Key struct {
	ID    string
	Side  Side
	State State
}

// String renders a key for people and logs of programs: "push_in R tired".
func (k Key) String() string {
	out := k.ID
	if k.Side != NoSide {
		out += " " + k.Side.String()
	}
	if k.State == Tired {
		out += " tired"
	}
	return out
}

// Scale is the kind of value a finding takes.
type Scale uint8

// The scales.
const (
	Ordered Scale = iota // named levels, worst first
	Choice               // named levels without order
	Number               // a number with a unit
	Text                 // free words; no rule reads them
)

// Level is one named step of an Ordered or Choice scale.
type Level struct {
	ID    string // what is written, such as "W3"
	Label string // what is shown, such as "two crutches or canes"
}

// Def describes one finding of the vocabulary.
type Def struct {
	ID     string
	Test   string // the test of the evaluation ("1" to "19") or the intake block it belongs to
	Label  string // short name for people
	Scale  Scale
	Levels []Level // Ordered: worst first

	Unit       string  // Number: unit in which the value is written
	Min, Max   float64 // Number: accepted values, both included
	MoreIsGood bool    // Number: true when a larger value is the better one

	Sided  bool   // has a left and a right value
	Tiring bool   // has a fresh and a tired value
	NA     bool   // may be "na": cannot be tested on this person
	Normal string // value meant by "looked at, nothing noted"; empty when it must be measured

	// SideValue marks a Choice whose levels name sides ("left", "right"), so
	// that mirroring a person mirrors the value too.
	SideValue bool

	index int
}

// Value is what is known of one finding. The zero Value is unknown.
type Value struct {
	Kind Kind
	X    float64 // level index for Ordered and Choice, number in the definition's unit for Number
	Text string  // for Text
}

// Kind tells known values from unknown ones and from "cannot be tested".
type Kind uint8

// The kinds of value.
const (
	Unknown Kind = iota
	NotApplicable
	Known
)

// Set is a person's findings. A key that is absent is unknown.
type Set map[Key]Value

// Get returns the value under key, the unknown Value when there is none.
func (s Set) Get(id string, side Side, state State) Value {
	return s[Key{id, side, state}]
}

// Clone returns an independent copy.
func (s Set) Clone() Set {
	out := make(Set, len(s))
	for k, v := range s {
		out[k] = v
	}
	return out
}

// Keys returns the known or not-applicable keys in vocabulary order.
func (s Set) Keys() []Key {
	keys := make([]Key, 0, len(s))
	for k, v := range s {
		if v.Kind != Unknown {
			keys = append(keys, k)
		}
	}
	sort.Slice(keys, func(i, j int) bool { return Less(keys[i], keys[j]) })
	return keys
}

// Less orders keys as the vocabulary does: by definition, side, state.
func Less(a, b Key) bool {
	ia, ib := math.MaxInt, math.MaxInt
	if d, ok := byID[a.ID]; ok {
		ia = d.index
	}
	if d, ok := byID[b.ID]; ok {
		ib = d.index
	}
	if ia != ib {
		return ia < ib
	}
	if a.ID != b.ID {
		return a.ID < b.ID
	}
	if a.Side != b.Side {
		return a.Side < b.Side
	}
	return a.State < b.State
}

// Mirror returns the set with left and right swapped everywhere.
func (s Set) Mirror() Set {
	out := make(Set, len(s))
	for k, v := range s {
		d, ok := byID[k.ID]
		if ok && d.SideValue && v.Kind == Known {
			v.X = float64(mirrorLevel(d, int(v.X)))
		}
		k.Side = k.Side.Other()
		out[k] = v
	}
	return out
}

func mirrorLevel(d *Def, level int) int {
	want := ""
	switch d.Levels[level].ID {
	case "left":
		want = "right"
	case "right":
		want = "left"
	default:
		return level
	}
	for i, l := range d.Levels {
		if l.ID == want {
			return i
		}
	}
	return level
}

// Put parses text for the finding and stores it. For a Tiring finding
// state Fresh and Tired are set apart; use PutBoth for a value that holds for
// both.
func (s Set) Put(id string, side Side, state State, text string) error {
	v, err := Parse(id, side, state, text)
	if err != nil {
		return err
	}
	s[Key{id, side, state}] = v
	return nil
}

// PutBoth stores the value for fresh and tired alike; for a finding that does
// not tire it is the same as Put with Fresh.
func (s Set) PutBoth(id string, side Side, text string) error {
	if err := s.Put(id, side, Fresh, text); err != nil {
		return err
	}
	if byID[id].Tiring {
		s[Key{id, side, Tired}] = s[Key{id, side, Fresh}]
	}
	return nil
}

// Error is a refused finding: a code for programs and a sentence for people.
type Error struct {
	Code     string // "unknown_finding", "unknown_level", "not_a_number", "out_of_range", "wrong_side", "wrong_state"
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, format string, args ...any) error {
	return &Error{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

// Parse reads the written form of a value: a level id, a number with or
// without its unit, "unknown", or "na" where the definition allows it. It
// refuses what the vocabulary does not know with an *Error.
func Parse(id string, side Side, state State, text string) (Value, error) {
	d, ok := byID[id]
	if !ok {
		return Value{}, refuse("unknown_finding", "There is no finding called %q.%s", clip(id), suggestion(id))
	}
	if d.Sided && side == NoSide {
		return Value{}, refuse("wrong_side", "%s (%s) is recorded for the left and the right apart: say which side.", d.Label, id)
	}
	if !d.Sided && side != NoSide {
		return Value{}, refuse("wrong_side", "%s (%s) has no sides.", d.Label, id)
	}
	if state == Tired && !d.Tiring {
		return Value{}, refuse("wrong_state", "%s (%s) has no tired value.", d.Label, id)
	}
	t := strings.TrimSpace(text)
	switch strings.ToLower(t) {
	case "", "unknown":
		return Value{}, nil
	case "na":
		if !d.NA {
			return Value{}, refuse("unknown_level", "%s (%s) cannot be \"na\"; write \"unknown\" if it was not tested.", d.Label, id)
		}
		return Value{Kind: NotApplicable}, nil
	}
	switch d.Scale {
	case Text:
		if len(t) > MaxText {
			return Value{}, refuse("out_of_range", "%s (%s) takes at most %d characters.", d.Label, id, MaxText)
		}
		return Value{Kind: Known, Text: t}, nil
	case Number:
		return parseNumber(d, t)
	}
	for i, l := range d.Levels {
		if strings.EqualFold(l.ID, t) {
			return Value{Kind: Known, X: float64(i)}, nil
		}
	}
	return Value{}, refuse("unknown_level", "%s (%s) has no level %q; use %s.", d.Label, id, clip(t), levelList(d))
}

// MaxText is the longest free text of a Text finding, in bytes.
const MaxText = 400

func parseNumber(d *Def, t string) (Value, error) {
	t = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(t, d.Unit), " "))
	x, err := strconv.ParseFloat(t, 64)
	if err != nil && !isRangeErr(err) {
		return Value{}, refuse("not_a_number", "%s (%s) takes a number in %s, not %q.", d.Label, d.ID, unitName(d), clip(t))
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Value{}, refuse("not_a_number", "%s (%s) takes a number in %s, not %q.", d.Label, d.ID, unitName(d), clip(t))
	}
	if x < d.Min || x > d.Max {
		return Value{}, refuse("out_of_range", "%s (%s) is %s %s; it must lie between %s and %s.", d.Label, d.ID,
			FormatNumber(x), d.Unit, FormatNumber(d.Min), FormatNumber(d.Max))
	}
	return Value{Kind: Known, X: x}, nil
}

func isRangeErr(err error) bool {
	ne, ok := err.(*strconv.NumError)
	return ok && ne.Err == strconv.ErrRange
}

func unitName(d *Def) string {
	if d.Unit == "" {
		return "plain digits"
	}
	return d.Unit
}

func levelList(d *Def) string {
	ids := make([]string, len(d.Levels))
	for i, l := range d.Levels {
		ids[i] = l.ID
	}
	list := strings.Join(ids, ", ")
	if d.NA {
		list += ", na"
	}
	return list + " or unknown"
}

// Format writes a value the way Parse reads it.
func Format(d *Def, v Value) string {
	switch v.Kind {
	case Unknown:
		return "unknown"
	case NotApplicable:
		return "na"
	}
	switch d.Scale {
	case Text:
		return v.Text
	case Number:
		return FormatNumber(v.X)
	}
	return d.Levels[int(v.X)].ID
}

// Say renders a value for people: "two crutches or canes", "12 s".
func Say(d *Def, v Value) string {
	switch {
	case v.Kind == Unknown:
		return "not known"
	case v.Kind == NotApplicable:
		return "cannot be tested"
	case d.Scale == Text:
		return v.Text
	case d.Scale == Number && d.Unit != "":
		return FormatNumber(v.X) + " " + d.Unit
	case d.Scale == Number:
		return FormatNumber(v.X)
	}
	return d.Levels[int(v.X)].Label
}

// FormatNumber prints a number with at most three decimals and no trailing zeros.
func FormatNumber(x float64) string {
	s := strconv.FormatFloat(x, 'f', 3, 64)
	s = strings.TrimRight(s, "0")
	return strings.TrimSuffix(s, ".")
}

// Lookup returns the definition of a finding.
func Lookup(id string) (*Def, bool) {
	d, ok := byID[id]
	return d, ok
}

// All returns every definition in vocabulary order. The slice must not be changed.
func All() []*Def { return ordered }

// Keys returns the keys the definition can hold, left before right and fresh before tired.
func (d *Def) Keys() []Key {
	sides := []Side{NoSide}
	if d.Sided {
		sides = []Side{Left, Right}
	}
	var keys []Key
	for _, s := range sides {
		keys = append(keys, Key{d.ID, s, Fresh})
		if d.Tiring {
			keys = append(keys, Key{d.ID, s, Tired})
		}
	}
	return keys
}

// FillNormal sets every key that is absent to the normal value of its
// definition, for those definitions that keep(def) accepts and that have one.
// It returns the ids it filled, in vocabulary order. "Absent" means not in the
// map at all: a key explicitly recorded as unknown stays unknown.
func (s Set) FillNormal(keep func(*Def) bool) []string {
	var filled []string
	for _, d := range ordered {
		if d.Normal == "" || !keep(d) {
			continue
		}
		any := false
		for _, k := range d.Keys() {
			if _, ok := s[k]; ok {
				continue
			}
			v, err := Parse(d.ID, k.Side, k.State, d.Normal)
			if err != nil {
				panic("finding: normal value of " + d.ID + ": " + err.Error())
			}
			s[k] = v
			any = true
		}
		if any {
			filled = append(filled, d.ID)
		}
	}
	return filled
}

func clip(s string) string {
	const most = 40
	if len(s) > most {
		return s[:most] + "..."
	}
	return s
}

// suggestion names the closest id when one is close enough to be a slip.
func suggestion(id string) string {
	best, bestDist := "", 3
	for _, d := range ordered {
		if dist := editDistance(id, d.ID); dist < bestDist {
			best, bestDist = d.ID, dist
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf(" Did you mean %s?", best)
}

func editDistance(a, b string) int {
	if len(a) > 60 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		prev := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := prev
			if a[i-1] != b[j-1] {
				cost++
			}
			prev = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
