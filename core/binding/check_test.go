package binding_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"firnhand/core/binding"
	"firnhand/core/source"
)

// record is a complete record with one indicator value everywhere and one
// torque in each direction.
func record(z, twist, lean float64) binding.Record {
	s := binding.Ski{Toe: z, Heel: z, Twist: binding.Tests{twist, twist, twist}, Lean: binding.Tests{lean, lean, lean}}
	return binding.Record{Technician: "Brannoc Iveson", Instrument: "bench 2", TestedOn: "2027-01-14", Left: s, Right: s}
}

func skier(kg, cm, years float64, typ binding.Type, sole float64) binding.Skier {
	return binding.Skier{MassKG: kg, HeightCM: cm, AgeYears: years, Type: typ, SoleLeftMM: sole, SoleRightMM: sole}
}

// The row arithmetic worked by hand from the printed table. It is derived from
// the table and so not independent of it; it tests the code, not the figures.
// The last row is a step printed elsewhere: 175 lb and 5 ft 7 in are row K
// (Marker literature 1996).
func TestRows(t *testing.T) {
	for _, c := range []struct {
		kg, cm, years  float64
		typ            binding.Type
		sole           float64
		row            string
		z, twist, lean float64
	}{
		{52, 160, 34, "1", 275, "I", 4.00, 37, 141},
		{75, 182, 61, "1", 315, "J", 4.00, 43, 165},
		{98, 185, 45, "1", 325, "L", 6.00, 58, 229},
		{28, 128, 8, "1", 245, "D", 1.75, 17, 64},
		{64, 170, 50, "1", 290, "I", 4.00, 37, 141},
		{64, 170, 49, "1", 291, "J", 4.50, 43, 165},
		{40, 150, 12, "2", 255, "H", 3.50, 31, 120},
		{175 * 0.45359237, 67 * 2.54, 30, "1", 300, "K", 5.50, 50, 194},
	} {
		s := skier(c.kg, c.cm, c.years, c.typ, c.sole)
		v, err := binding.Check(s, record(c.z, c.twist, c.lean))
		if err != nil {
			t.Fatal(err)
		}
		if v.Row != c.row || v.Word != binding.Accepted || !v.InUse {
			t.Errorf("%v: row %s, %s, want row %s accepted\n%v", s, v.Row, v.Word, c.row, v.Items)
		}
		for _, i := range v.Items {
			if i.Say != "What the row prints." {
				t.Errorf("%v: %s %s of row %s: %s", s, i.Side, i.What, v.Row, i.Say)
			}
		}
		for name, off := range map[string]binding.Record{ // any other value is no longer what the row prints
			"indicator": record(c.z+0.01, c.twist, c.lean), "twist": record(c.z, c.twist-1, c.lean), "lean": record(c.z, c.twist, c.lean+1)} {
			v, err := binding.Check(s, off)
			if err != nil || !slices.ContainsFunc(v.Items, func(i binding.Item) bool { return i.Say != "What the row prints." }) {
				t.Errorf("%v: another %s passes for what the row prints (%v)", s, name, err)
			}
		}
	}
}

// A row is entered on reaching its lower edge, not before. Where the kilogram
// and pound columns print different edges the lower row counts: row L begins
// at 79 kg and at 175 lb (79.379 kg), row J at 58 kg and at 126 lb (57.153 kg).
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		kg, cm float64
		row    string
	}{
		{48.9, 200, "H"}, {49, 200, "I"}, {57.9, 200, "I"}, {58, 200, "J"}, {67, 200, "J"}, {67.1, 200, "J"}, {67.14, 200, "K"},
		{78.9, 200, "K"}, {79, 200, "K"}, {79.3, 200, "K"}, {79.379, 200, "L"}, {94.9, 200, "L"}, {95, 200, "L"}, {95.26, 200, "M"}, {180, 220, "M"},
		{90, 148, "H"}, {90, 148.9, "H"}, {90, 149, "I"}, {90, 157.9, "I"}, {90, 158, "J"}, {90, 167, "K"}, {90, 178.9, "K"}, {90, 179, "L"},
		{99, 194, "L"}, {99, 195, "M"}, {22, 120, "D"}, {25.9, 120, "D"}, {26, 120, "E"}, {41, 170, "G"}, {42, 120, "H"}, {45, 140, "H"},
	} {
		v, err := binding.Check(skier(c.kg, c.cm, 30, "1", 300), record(5, 50, 190))
		if err != nil || v.Row != c.row {
			t.Errorf("%v kg, %v cm: row %q (%v), want %s\n%s", c.kg, c.cm, v.Row, err, c.row, strings.Join(v.Steps, "\n"))
		}
	}
}

// TestOracleRow finds rows a second way: by walking the printed bands as whole
// pounds and kilograms from the top, and the corrections on the letters.
func TestOracleRow(t *testing.T) {
	const letters = "ABCDEFGHIJKLMNO"
	kgEdge := []float64{10, 14, 18, 22, 26, 31, 36, 42, 49, 58, 67, 79, 95}
	lbEdge := []float64{22, 30, 39, 48, 57, 67, 79, 92, 108, 126, 148, 175, 210}
	cmEdge := map[byte]float64{'I': 149, 'J': 158, 'K': 167, 'L': 179, 'M': 195}
	rnd := rand.New(rand.NewPCG(7, 11))
	types := []binding.Type{"1", "2", "3", "-1", "3+", ""}
	for range 20000 {
		s := skier(22+float64(rnd.IntN(1600))/10, 100+float64(rnd.IntN(1200))/10, 1+float64(rnd.IntN(90)), types[rnd.IntN(len(types))], float64(200+rnd.IntN(180)))
		at := 0
		for i := range kgEdge {
			if s.MassKG >= kgEdge[i] && s.MassKG/0.45359237 >= lbEdge[i] {
				at = i
			}
		}
		for at > 7 && s.HeightCM < cmEdge[letters[at]] {
			at--
		}
		switch s.Type {
		case "-1":
			at--
		case "2":
			at++
		case "3":
			at += 2
		case "3+":
			at += 3
		}
		if s.AgeYears < 10 || s.AgeYears > 49 {
			at--
		}
		want := ""
		if at >= 0 && at < len(letters) {
			want = letters[at : at+1]
		}
		v, err := binding.Check(s, record(5, 50, 190))
		if err != nil || v.Row != want {
			t.Fatalf("%+v: row %q (%v), want %q", s, v.Row, err, want)
		}
		if want == "" && v.Word != binding.Refer {
			t.Fatalf("%+v: outside the table, but %s", s, v.Word)
		}
	}
}

// Within one row accepted, within two in use but readjust, beyond: no use
// (the tolerances of the printed rules). Row J: its neighbours print 37 and 50
// in twist, the next ones 31 and 58; in lean 141 and 194, 120 and 229. Sole
// 290 mm: J prints 5.00, I 4.00, K 6.00, H 3.00, L 7.00.
func TestTolerance(t *testing.T) {
	s := skier(60, 160, 30, "1", 290)
	for _, c := range []struct {
		z, twist, lean float64
		want           binding.Word
	}{
		{5, 43, 165, "accepted"}, {5, 37, 165, "accepted"}, {5, 36.9, 165, "readjust"}, {5, 31, 165, "readjust"}, {5, 30.9, 165, "inspect"},
		{5, 50, 165, "accepted"}, {5, 50.1, 165, "readjust"}, {5, 58, 165, "readjust"}, {5, 58.1, 165, "inspect"},
		{5, 43, 141, "accepted"}, {5, 43, 140, "readjust"}, {5, 43, 119, "inspect"}, {5, 43, 194, "accepted"}, {5, 43, 229, "readjust"}, {5, 43, 230, "inspect"},
		{4, 43, 165, "accepted"}, {3.99, 43, 165, "readjust"}, {3, 43, 165, "readjust"}, {2.9, 43, 165, "inspect"}, {6, 43, 165, "accepted"}, {7, 43, 165, "readjust"}, {7.5, 43, 165, "inspect"},
		{6.5, 43, 240, "inspect"}, {29, 43, 165, "inspect"},
	} {
		v, err := binding.Check(s, record(c.z, c.twist, c.lean))
		if err != nil || v.Row != "J" || v.Word != c.want || v.InUse != (c.want != "inspect") {
			t.Errorf("%v %v %v: %s in row %s (%v), want %s", c.z, c.twist, c.lean, v.Word, v.Row, err, c.want)
		}
	}
}

// Where no neighbour is printed, nothing is filled in: an indicator value other
// than the row's is the technician's to judge (row D at 300 mm prints 1.25, row C
// nothing), and a torque beyond the last row, O with 91 and 380, is inspected.
func TestTheTableEnds(t *testing.T) {
	d := skier(23, 125, 12, "1", 300)
	for z, want := range map[float64]binding.Word{1.25: "accepted", 1: "refer", 1.5: "accepted", 1.75: "readjust"} {
		v, err := binding.Check(d, record(z, 17, 64))
		if err != nil || v.Row != "D" || v.Word != want || v.Torques != binding.Accepted {
			t.Errorf("%v: %s in row %s (%v), want %s", z, v.Word, v.Row, err, want)
		}
	}
	o := skier(94, 200, 30, "3+", 310)
	for twist, want := range map[float64]binding.Word{91: "accepted", 78: "accepted", 66.9: "inspect", 92: "inspect", 300: "inspect"} {
		v, err := binding.Check(o, record(11, twist, 380))
		if err != nil || v.Row != "O" || v.Word != want {
			t.Errorf("%v: %s in row %s (%v), want %s", twist, v.Word, v.Row, err, want)
		}
	}
	if ty, err := binding.ParseType(" unsure "); err != nil || ty != binding.TypeUnsure {
		t.Errorf("unsure is %q, %v", ty, err)
	}
}

// Three tests in each direction, and the median counts: one slip among three
// changes nothing, wherever it stands.
func TestMedian(t *testing.T) {
	s := skier(60, 160, 30, "1", 290)
	for _, tests := range []binding.Tests{{43, 43, 200}, {43, 200, 43}, {200, 43, 43}, {1, 43, 200}, {200, 1, 43}, {43, 42, 60}} {
		r := record(5, 43, 165)
		r.Left.Twist = tests
		if v, err := binding.Check(s, r); err != nil || v.Word != binding.Accepted {
			t.Errorf("%v: %s (%v)", tests, v.Word, err)
		}
	}
	r := record(5, 43, 165)
	r.Right.Lean = binding.Tests{165, 300, 300}
	if v, err := binding.Check(s, r); err != nil || v.Word != binding.Inspect {
		t.Errorf("two of three beyond: %s (%v)", v.Word, err)
	}
	r = record(5, 43, 165)
	r.Left.Twist, r.Left.Lean, r.Right.Twist, r.Right.Lean = nil, nil, nil, nil
	if v, err := binding.Check(s, r); err != nil || v.Word != binding.Incomplete || v.InUse || v.Row != "J" || v.Indicators != binding.Accepted || v.Torques != binding.Incomplete {
		t.Errorf("without tests: %s in row %s, in use %v (%v)", v.Word, v.Row, v.InUse, err)
	}
	r.Left.Toe = 29
	if v, _ := binding.Check(s, r); v.Word != binding.Inspect {
		t.Errorf("without tests and far off: %s", v.Word)
	}
}

// Nothing is filled in where nothing is printed, and doubtful copies and
// uncertain bands are told.
func TestReferReasonsOfTheTable(t *testing.T) {
	codes := func(v binding.Verdict) string {
		var out []string
		for _, r := range v.Refer {
			out = append(out, strings.Trim(r.Code+" "+r.Side, " "))
		}
		return strings.Join(out, ", ")
	}
	for _, c := range []struct {
		s    binding.Skier
		word binding.Word
		row  string
		want string
	}{
		{skier(60, 160, 30, "1", 290), "accepted", "J", ""},
		{skier(21.9, 120, 12, "1", 250), "refer", "", "mass_under_22_kg"},
		{skier(95.3, 200, 30, "1", 320), "inspect", "M", "mass_over_95_kg"},
		{skier(95, 200, 30, "1", 320), "readjust", "L", ""},
		{skier(60, 148, 30, "1", 270), "readjust", "H", "height_148_cm_or_less"},
		{skier(45, 140, 30, "1", 270), "readjust", "H", ""},
		{skier(60, 160, 30, "1", 240), "refer", "J", "blank_cell left, blank_cell right"},
		{skier(60, 160, 30, "1", 340), "accepted", "J", "doubtful_cell left, doubtful_cell right"},
		{skier(95.3, 200, 30, "3+", 340), "refer", "", "mass_over_95_kg, outside_bands"},
	} {
		v, err := binding.Check(c.s, record(5, 43, 165))
		if c.s.SoleLeftMM == 340 {
			v, err = binding.Check(c.s, record(3.5, 43, 165))
		}
		if err != nil || codes(v) != c.want || v.Word != c.word || v.Row != c.row {
			t.Errorf("%+v: %s in row %q with %q (%v), want %s in %q with %q", c.s, v.Word, v.Row, codes(v), err, c.word, c.row, c.want)
		}
	}
	v, err := binding.Check(binding.Skier{MassKG: 60, HeightCM: 160, AgeYears: 30, Type: "1", SoleLeftMM: 290, SoleRightMM: 240}, record(5, 43, 165))
	if err != nil || codes(v) != "blank_cell right" || v.Word != binding.Refer {
		t.Errorf("one blank side: %s with %q (%v)", v.Word, codes(v), err)
	}
}

// Left and right are treated alike: a mirrored record gives the mirrored
// items and the same verdict.
func TestCheckMirror(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 5))
	for range 2000 {
		s := skier(20+rnd.Float64()*100, 110+rnd.Float64()*100, float64(3+rnd.IntN(80)), "2", float64(220+rnd.IntN(150)))
		s.SoleRightMM = float64(220 + rnd.IntN(150))
		r := record(1+rnd.Float64()*9, 10+rnd.Float64()*80, 40+rnd.Float64()*300)
		r.Right = record(1+rnd.Float64()*9, 10+rnd.Float64()*80, 40+rnd.Float64()*300).Right
		ms, mr := s, r
		ms.SoleLeftMM, ms.SoleRightMM = s.SoleRightMM, s.SoleLeftMM
		mr.Left, mr.Right = r.Right, r.Left
		v, err := binding.Check(s, r)
		m, err2 := binding.Check(ms, mr)
		if err != nil || err2 != nil || v.Word != m.Word || v.Row != m.Row {
			t.Fatalf("%s in %s, mirrored %s in %s (%v, %v)", v.Word, v.Row, m.Word, m.Row, err, err2)
		}
		for i := range v.Items {
			a, b := v.Items[i], m.Items[(i+4)%8]
			if a.Side == b.Side || a.What != b.What || a.Word != b.Word || a.Say != b.Say || a.Recorded != b.Recorded {
				t.Fatalf("%+v is not the mirror of %+v", b, a)
			}
		}
	}
}

// A farther value is never a better one.
func TestCheckOrder(t *testing.T) {
	rank := map[binding.Word]int{"accepted": 0, "readjust": 1, "inspect": 2}
	s := skier(60, 160, 30, "1", 290)
	for _, d := range []float64{1, -1} {
		last := 0
		for off := 0.0; off < 25; off += 0.25 {
			v, err := binding.Check(s, record(5, 43+d*off, 165))
			if err != nil || rank[v.Word] < last {
				t.Fatalf("twist %v: %s after something graver (%v)", 43+d*off, v.Word, err)
			}
			last = rank[v.Word]
		}
		if last != 2 {
			t.Errorf("never inspected on side %v", d)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	good := skier(60, 160, 30, "1", 290)
	for _, c := range []struct {
		field, words string
		s            func(*binding.Skier)
		r            func(*binding.Record)
	}{
		{"technician", "The certified technician's name is missing", nil, func(r *binding.Record) { r.Technician = " " }},
		{"instrument", "The instrument the torques were measured with is missing", nil, func(r *binding.Record) { r.Instrument = "" }},
		{"tested_on", "The day of the test is missing", nil, func(r *binding.Record) { r.TestedOn = "" }},
		{"toe_left", "indicator value of the left toe is missing", nil, func(r *binding.Record) { r.Left.Toe = 0 }},
		{"heel_right", "indicator value of the right heel is missing", nil, func(r *binding.Record) { r.Right.Heel = 0 }},
		{"toe_right", "cannot be right", nil, func(r *binding.Record) { r.Right.Toe = -3 }},
		{"toe_right", "cannot be right", nil, func(r *binding.Record) { r.Right.Toe = 31 }},
		{"heel_left", "not a number", nil, func(r *binding.Record) { r.Left.Heel = math.NaN() }},
		{"twist_left_nm", "not 2: the median of three counts", nil, func(r *binding.Record) { r.Left.Twist = binding.Tests{43, 43} }},
		{"lean_right_nm", "not 4", nil, func(r *binding.Record) { r.Right.Lean = binding.Tests{1, 2, 3, 4} }},
		{"lean_right_nm", "cannot be right", nil, func(r *binding.Record) { r.Right.Lean = binding.Tests{165, 0, 165} }},
		{"twist_right_nm", "not a number", nil, func(r *binding.Record) { r.Right.Twist = binding.Tests{math.Inf(1), 1, 1} }},
		{"mass_kg", "mass is missing", func(s *binding.Skier) { s.MassKG = 0 }, nil},
		{"mass_kg", "between 5 and 250 kg", func(s *binding.Skier) { s.MassKG = -60 }, nil},
		{"height_cm", "not a number", func(s *binding.Skier) { s.HeightCM = math.NaN() }, nil},
		{"age_years", "between 1 and 110 years", func(s *binding.Skier) { s.AgeYears = 111 }, nil},
		{"sole_left_mm", "whole millimetres", func(s *binding.Skier) { s.SoleLeftMM = 290.5 }, nil},
		{"type", "A skier type is 1, 2, 3, -1 or 3+", func(s *binding.Skier) { s.Type = "4" }, nil},
	} {
		s, r := good, record(5, 43, 165)
		if c.s != nil {
			c.s(&s)
		}
		if c.r != nil {
			c.r(&r)
		}
		v, err := binding.Check(s, r)
		e, ok := err.(*binding.Error)
		if !ok || e.Field != c.field || !strings.Contains(e.Sentence, c.words) {
			t.Errorf("got %v, want %s and %q", err, c.field, c.words)
		}
		if v.Word != "" || v.Row != "" || v.Items != nil || v.Steps != nil {
			t.Errorf("a refused record was answered: %+v", v)
		}
	}
}

// One ski: the other side is neither asked for nor compared.
func TestOneSki(t *testing.T) {
	s := skier(60, 160, 30, "1", 290)
	s.SoleLeftMM = 0
	r := record(5, 43, 165)
	r.Left = binding.Ski{}
	v, err := binding.Check(s, r)
	if err != nil || v.Word != binding.Accepted || len(v.Items) != 4 || v.Items[0].Side != "right" {
		t.Errorf("%+v, %v", v, err)
	}
	s.SoleRightMM = 0
	if _, err := binding.Check(s, r); err == nil || !strings.Contains(err.Error(), "sole length of the left boot is missing") {
		t.Errorf("no sole at all: %v", err)
	}
}

// The weight classes are the printed bands of mass; the figures are those of
// the table's pages, read here a second time.
func TestSameWeightClass(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want bool
	}{{58, 66.9, true}, {57.9, 58, false}, {66, 68, false}, {79, 78, true}, {79.4, 79, false}, {96, 140, true}, {8, 9, false}, {8, 8, true}, {10, 13, true}} {
		if binding.SameWeightClass(c.a, c.b) != c.want || binding.SameWeightClass(c.b, c.a) != c.want {
			t.Errorf("%v and %v kg: want the same class %v", c.a, c.b, c.want)
		}
	}
}

// Every basis is known, and every word has its sentence.
func TestWords(t *testing.T) {
	for _, w := range []binding.Word{binding.Accepted, binding.Readjust, binding.Incomplete, binding.Refer, binding.Inspect} {
		if w.Says() == "" {
			t.Errorf("%s says nothing", w)
		}
	}
	for _, ty := range append(binding.Types(), binding.TypeUnsure) {
		got, err := binding.ParseType(string(ty))
		if err != nil || got != ty || ty.Says() == "" {
			t.Errorf("type %q: %q, %v", ty, got, err)
		}
	}
	for _, s := range append(binding.Standards(), binding.SoleUnknown) {
		got, err := binding.ParseStandard(string(s))
		if err != nil || got != s || s.Says() == "" {
			t.Errorf("sole %q: %q, %v", s, got, err)
		}
	}
	if _, err := binding.ParseStandard("iso_1"); err == nil {
		t.Error("iso_1 is no sole")
	}
	if _, err := binding.ParseType(strings.Repeat("9", 60)); err == nil || len(err.Error()) > 200 {
		t.Errorf("%v", err)
	}
}

// tableNumbers are the printed start values and torques, as text.
func tableNumbers() map[string]bool {
	out := map[string]bool{}
	for _, r := range source.Table("binding_table").Rows() {
		for _, name := range source.Table("binding_table").Columns() {
			if strings.HasPrefix(name, "z_bsl") || strings.HasSuffix(name, "_nm") {
				if v, ok := r.Number(name); ok {
					out[strconv.FormatFloat(v, 'f', -1, 64)] = true
				}
			}
		}
	}
	return out
}

// No verdict prints a start value or torque of the table that was not typed
// in: a record with other values learns the letter of the row and no number.
func TestVerdictPrintsNoSetting(t *testing.T) {
	numbers := tableNumbers()
	if len(numbers) < 40 {
		t.Fatalf("only %d numbers in the table", len(numbers))
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		s := skier(20+rnd.Float64()*110, 105+rnd.Float64()*105, float64(2+rnd.IntN(85)), "3", float64(210+rnd.IntN(160)))
		v, err := binding.Check(s, record(0.111+rnd.Float64(), 3.333, 7.777))
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(append(append([]string{v.Says}, v.Steps...), v.Notices...), " ")
		for _, i := range v.Items {
			text += " " + i.Say + " " + i.Label
		}
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' }) {
			w = strings.Trim(w, ".")
			if f, err := strconv.ParseFloat(w, 64); err == nil && numbers[strconv.FormatFloat(f, 'f', -1, 64)] && !allowed[w] {
				t.Fatalf("%s stands in the verdict: %s", w, text)
			}
		}
	}
}

// allowed are numbers of the printed rules and standards that happen to be in
// the table too.
var allowed = map[string]bool{"10": true, "3": true, "2": true, "1": true}

func ExampleCheck() {
	s := binding.Skier{MassKG: 52, HeightCM: 160, AgeYears: 34, Type: binding.Type1, SoleLeftMM: 275, SoleRightMM: 275}
	ski := binding.Ski{Toe: 4, Heel: 4, Twist: binding.Tests{36, 38, 37}, Lean: binding.Tests{141, 140, 150}}
	v, err := binding.Check(s, binding.Record{Technician: "Brannoc Iveson", Instrument: "bench 2", TestedOn: "2027-01-14", Left: ski, Right: ski})
	fmt.Println(v.Row, v.Word, err)
	_, err = binding.Check(s, binding.Record{Left: ski, Right: ski})
	fmt.Println(err)
	// Output:
	// I accepted <nil>
	// The certified technician's name is missing. Only what a certified technician set and measured is looked at; the program names no setting.
}
