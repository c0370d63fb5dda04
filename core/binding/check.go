package binding

import (
	"math"
	"slices"
	"strings"

	"firnhand/core/finding"
)

// Word is what a comparison comes to.
type Word string

// The words, from the one that lets a ski into use to the one that keeps it
// out.
const (
	Accepted   Word = "accepted"   // within one row
	Readjust   Word = "readjust"   // within two rows: in use, readjust and test again
	Refer      Word = "refer"      // the table says nothing: the technician decides by the maker's chart
	Incomplete Word = "incomplete" // not everything was measured: not in use
	Inspect    Word = "inspect"    // beyond two rows: no use before it was inspected
)

// order ranks words; the gravest of a record's comparisons is its verdict.
var order = []Word{Accepted, Readjust, Refer, Incomplete, Inspect}

// Says returns the word in a sentence.
func (w Word) Says() string {
	switch w {
	case Accepted:
		return "Plausible: within one row of the printed table."
	case Readjust:
		return "Within two rows of the printed table: in use, readjust and test again."
	case Incomplete:
		return "Not complete: not in use before three tests in each direction are recorded."
	case Refer:
		return "The printed table says nothing for this skier: the technician decides by the maker's current chart."
	case Inspect:
		return "Beyond two rows of the printed table: inspect, no use."
	}
	return ""
}

// Tests are the torques measured in one direction, in N m, three of them. The
// median counts. None means that nothing was measured.
type Tests []float64

// wanted is how many tests a direction has.
const wanted = 3

// Ski is what a technician recorded of one ski; the zero Ski is a side without
// one.
type Ski struct {
	Toe, Heel float64 // indicator values, without unit
	Twist     Tests   // N m
	Lean      Tests   // forward lean, N m
}

// Record is what a certified technician wrote down.
type Record struct {
	Technician string // name
	Instrument string // what the torques were measured with
	TestedOn   string // the day, as written: 2027-01-14
	Left       Ski
	Right      Ski
}

// Item is the comparison of one recorded value.
type Item struct {
	Side     string  `json:"side"`  // "left" or "right"
	What     string  `json:"what"`  // "toe_indicator", "heel_indicator", "twist_torque", "forward_lean_torque"
	Label    string  `json:"label"` // the same for people
	Recorded float64 `json:"recorded_in_unit"`
	Unit     string  `json:"unit"` // "1" for an indicator value, "Nm" for a torque
	Word     Word    `json:"verdict"`
	Say      string  `json:"says"`
}

// Verdict is the answer to a record. It is about plausibility alone: whether a
// ski is used is the technician's word and signature.
type Verdict struct {
	Word  Word   `json:"verdict"`
	Says  string `json:"says"`
	InUse bool   `json:"in_use"` // plausible enough to be used; false where the table says nothing
	Row   string `json:"row"`    // letter of the table's row; "" where there is none
	// The gravest word of the indicator values alone, and of the torques alone.
	Indicators Word     `json:"indicators_verdict"`
	Torques    Word     `json:"torques_verdict"`
	Steps      []string `json:"how_the_row_was_found"`
	Items      []Item   `json:"items"`
	Refer      []Reason `json:"refer_reasons"` // those that follow from mass, height, sole length and the table
	Notices    []string `json:"notices"`
}

// Check compares a technician's record with the printed table. Without the
// technician's name, the instrument, the day and the four indicator values it
// refuses, with an *Error, and says nothing of the table.
func Check(s Skier, r Record) (Verdict, error) {
	if err := r.check(s); err != nil {
		return Verdict{}, err
	}
	if err := s.check(); err != nil {
		return Verdict{}, err
	}
	t := printed()
	f := t.find(s)
	v := Verdict{Steps: f.steps, Refer: t.reasons(s, f), Items: []Item{}, Notices: notices(s, r)}
	if f.row >= 0 {
		v.Row = t.rows[f.row].code
	}
	for _, side := range bothSides {
		if s.sole(side) != 0 {
			v.Items = append(v.Items, t.ski(f, side.Word(), s.sole(side), r.of(side))...)
		}
	}
	v.Word, v.Indicators, v.Torques = worst(v.Items, ""), worst(v.Items, "_indicator"), worst(v.Items, "_torque")
	v.Says = v.Word.Says()
	v.InUse = v.Word == Accepted || v.Word == Readjust
	return v, nil
}

// worst returns the gravest word of the items whose name ends so.
func worst(items []Item, ending string) Word {
	at := 0
	for _, i := range items {
		if strings.HasSuffix(i.What, ending) {
			at = max(at, slices.Index(order, i.Word))
		}
	}
	return order[at]
}

func (r Record) of(side finding.Side) Ski {
	if side == finding.Left {
		return r.Left
	}
	return r.Right
}

// empty tells whether nothing was recorded of a ski.
func (s Ski) empty() bool { return s.Toe == 0 && s.Heel == 0 && len(s.Twist)+len(s.Lean) == 0 }

func (r Record) check(skier Skier) *Error {
	for _, n := range []struct{ field, what, text string }{
		{"technician", "The certified technician's name", r.Technician},
		{"instrument", "The instrument the torques were measured with", r.Instrument},
		{"tested_on", "The day of the test", r.TestedOn},
	} {
		if strings.TrimSpace(n.text) == "" {
			return refuse("missing", n.field, "%s is missing. Only what a certified technician set and measured is looked at; the program names no setting.", n.what)
		}
	}
	for _, s := range bothSides {
		side := struct {
			name string
			Ski
		}{s.Word(), r.of(s)}
		if skier.sole(s) == 0 && side.empty() {
			continue
		}
		for _, z := range []struct {
			part string
			v    float64
		}{{"toe", side.Toe}, {"heel", side.Heel}} {
			field := z.part + "_" + side.name
			switch {
			case math.IsNaN(z.v) || math.IsInf(z.v, 0):
				return refuse("not_a_number", field, "The indicator value of the %s %s is not a number.", side.name, z.part)
			case z.v == 0:
				return refuse("missing", field, "The indicator value of the %s %s is missing.", side.name, z.part)
			case z.v < 0 || z.v > mostIndicator:
				return refuse("out_of_range", field, "An indicator value of %s cannot be right.", number(z.v))
			}
		}
		for _, d := range []struct {
			name, field string
			tests       Tests
		}{{"twist", "twist_" + side.name + "_nm", side.Twist}, {"forward lean", "lean_" + side.name + "_nm", side.Lean}} {
			if err := d.tests.check(side.name+" ski in "+d.name, d.field); err != nil {
				return err
			}
		}
	}
	return nil
}

// What no binding or instrument of a skier reads; a slip of the pen.
const (
	mostIndicator = 30
	mostTorqueNM  = 1000
)

func (t Tests) check(where, field string) *Error {
	if len(t) != 0 && len(t) != wanted {
		return refuse("missing", field, "Three torques are recorded for the %s, not %d: the median of three counts.", where, len(t))
	}
	for _, v := range t {
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			return refuse("not_a_number", field, "A torque of the %s is not a number.", where)
		case v <= 0 || v > mostTorqueNM:
			return refuse("out_of_range", field, "A torque of %s N m on the %s cannot be right.", number(v), where)
		}
	}
	return nil
}

// Median returns the middle of three; ok is false where nothing was measured.
func (t Tests) Median() (nm float64, ok bool) {
	if len(t) != wanted {
		return 0, false
	}
	sorted := slices.Sorted(slices.Values(t))
	return sorted[wanted/2], true
}

// ski compares the four values of one ski.
func (t *table) ski(f found, side string, soleMM float64, s Ski) []Item {
	c := t.column(soleMM)
	start := func(i int) (float64, bool) { return t.rows[i].start[c].v, t.rows[i].start[c].ok }
	twist := func(i int) (float64, bool) { return t.rows[i].twist, t.rows[i].torquesKnown }
	lean := func(i int) (float64, bool) { return t.rows[i].lean, t.rows[i].torquesKnown }
	items := []Item{
		{What: "toe_indicator", Label: "Toe indicator", Recorded: s.Toe, Unit: "1"},
		{What: "heel_indicator", Label: "Heel indicator", Recorded: s.Heel, Unit: "1"},
		{What: "twist_torque", Label: "Twist, median of three", Unit: "Nm"},
		{What: "forward_lean_torque", Label: "Forward lean, median of three", Unit: "Nm"},
	}
	for i := range items {
		one := &items[i]
		one.Side = side
		of := []func(int) (float64, bool){start, start, twist, lean}[i]
		if i >= 2 {
			median, ok := []Tests{s.Twist, s.Lean}[i-2].Median()
			if !ok {
				one.Word, one.Say = Incomplete, "Three tests are missing."
				continue
			}
			one.Recorded = median
		}
		one.Word, one.Say = t.compare(f, one.Recorded, of)
	}
	return items
}

// compare places a recorded value among the printed ones of the neighbouring
// rows.
func (t *table) compare(f found, got float64, of func(int) (float64, bool)) (Word, string) {
	if f.row < 0 {
		return Refer, "The table has no row for this skier."
	}
	at := func(i int) (float64, bool) {
		if i < 0 || i >= len(t.rows) {
			return 0, false
		}
		return of(i)
	}
	own, ok := at(f.row)
	if !ok {
		return Refer, "Nothing is printed here for this sole length, and nothing is filled in."
	}
	if same(got, own) {
		return Accepted, "What the row prints."
	}
	step, side := 1, "above"
	if got < own {
		step, side = -1, "below"
	}
	beyond := func(limit float64) bool { return !same(got, limit) && (got-limit)*float64(step) > 0 }
	one, ok := at(f.row + step)
	switch next := f.row + step; {
	case next < 0 || next >= len(t.rows):
		return Inspect, "Beyond the last row that is printed: inspect."
	case !ok:
		return Refer, "It lies " + side + " the row, and no neighbour is printed to compare it with."
	}
	if !beyond(one) {
		return Accepted, "Within one row, " + side + "."
	}
	two, ok := at(f.row + 2*step)
	if ok && !beyond(two) {
		return Readjust, "More than one row " + side + ", within two: readjust and test again."
	}
	return Inspect, "More than two rows " + side + ": inspect."
}

// same compares as people write: to a thousandth.
func same(a, b float64) bool { return math.Abs(a-b) < thousandth }

const thousandth = 0.0005 // exact: half of a thousandth

// notices are what a person should look at beside the verdict.
func notices(s Skier, r Record) []string {
	out := []string{}
	for _, one := range bothSides {
		side := struct {
			name string
			Ski
		}{one.Word(), r.of(one)}
		if !same(side.Toe, side.Heel) {
			out = append(out, "Toe and heel of the "+side.name+" ski show different values; they start alike, and the torque test decides.")
		}
		if side.Toe > mostUsual || side.Heel > mostUsual {
			out = append(out, "A value above 10 on the "+side.name+" ski is outside the usual standards.")
		}
	}
	if s.SoleLeftMM != 0 && s.SoleRightMM != 0 && !same(r.Left.Toe, r.Right.Toe) {
		out = append(out, "Left and right show different values: write on the sheet why.")
	}
	if s.Type == TypeUnsure {
		out = append(out, "The skier's own declaration of type is missing.")
	}
	return append(out, "The table is one maker's, undated, and for plausibility only; the technician's current chart and signature decide.")
}
