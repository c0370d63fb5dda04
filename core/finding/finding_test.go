package finding_test

import (
	"errors"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/core/finding"
)

func lookup(t testing.TB, id string) *finding.Def {
	t.Helper()
	d, ok := finding.Lookup(id)
	if !ok {
		t.Fatalf("no finding %s", id)
	}
	return d
}

// The scales of the evaluation, as trade table B1 records them (common
// practice except where marked; strength after the MRC scale [S43]).
func TestScalesAreTheTrades(t *testing.T) {
	for _, c := range []struct{ id, test, levels string }{
		{"gait", "1", "W0 W1 W2 W3 W4 W5"},
		{"knee_bend", "5", "none drops controlled"},
		{"toe_in_alone", "8", "no drags yes"},
		{"push_out", "9", "0 1 2 3 4"}, // 0 none ... 4 holds a flat-hand push
		{"push_in", "9", "0 1 2 3 4"},
		{"scissor", "10", "at_rest excited none"},
		{"trunk", "11", "0 1 2 3"}, // 0 cannot sit ... 3 recovers
		{"grip", "13", "0 1 2 3 4"},
		{"push_down", "13", "0 1 2 3 4"},
		{"sensation", "15", "none reduced full"},
		{"startle", "16", "strong mild none"},
		{"gross_motor_level", "gates", "5 4 3 2 1"}, // worst first
		{"waiver", "gates", "missing expired valid"},
	} {
		d := lookup(t, c.id)
		var ids []string
		for _, l := range d.Levels {
			ids = append(ids, l.ID)
		}
		if got := strings.Join(ids, " "); d.Scale != finding.Ordered || got != c.levels || d.Test != c.test {
			t.Errorf("%s: test %s, levels %s, want test %s, %s", c.id, d.Test, got, c.test, c.levels)
		}
	}
	for _, c := range []struct {
		id       string
		min, max float64
		unit     string
		more     bool
	}{
		{"stand_s", 0, 60, "s", true}, // B1 test 2: seconds, cap 60
		{"place_of5", 0, 5, "", true}, // B1 test 14: hits of 5
		{"one_leg_s", 0, 60, "s", true},
		{"one_leg_bends", 0, 5, "", true}, // B1 test 4: 5 small knee bends
		{"hip_migration", 0, 100, "%", false},
		{"leg_short_mm", 0, 150, "mm", false},
	} {
		d := lookup(t, c.id)
		if d.Scale != finding.Number || d.Min != c.min || d.Max != c.max || d.Unit != c.unit || d.MoreIsGood != c.more {
			t.Errorf("%s: %+v", c.id, d)
		}
	}
	// Sides apart, and fresh and tired apart, where B1 scores both sides and
	// test 18 repeats 1, 2 and 9.
	for _, id := range []string{"push_out", "push_in", "toe_in_alone", "grip", "push_down", "place_of5", "one_leg_s"} {
		if d := lookup(t, id); !d.Sided || !d.Tiring {
			t.Errorf("%s is not kept by side and state", id)
		}
	}
	for _, id := range []string{"gait", "stand_s", "trunk"} {
		if d := lookup(t, id); d.Sided || !d.Tiring {
			t.Errorf("%s is not kept fresh and tired", id)
		}
	}
}

// Every definition of the vocabulary is whole.
func TestVocabulary(t *testing.T) {
	tests := map[string]bool{"person": true, "gates": true}
	for _, n := range strings.Fields("1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19") {
		tests[n] = true
	}
	seen := map[string]bool{}
	for _, d := range finding.All() {
		if seen[d.ID] || d.ID == "" || strings.ToLower(d.ID) != d.ID || d.Label == "" || !tests[d.Test] {
			t.Errorf("id %q label %q test %q", d.ID, d.Label, d.Test)
		}
		seen[d.ID] = true
		if got, ok := finding.Lookup(d.ID); !ok || got != d {
			t.Errorf("%s is not looked up", d.ID)
		}
		levels := map[string]bool{}
		for _, l := range d.Levels {
			if levels[l.ID] || l.Label == "" || strings.ContainsAny(l.ID, " ,()<>=!") {
				t.Errorf("%s: level %q %q", d.ID, l.ID, l.Label)
			}
			levels[l.ID] = true
		}
		switch d.Scale {
		case finding.Number:
			if !(d.Min < d.Max) || len(d.Levels) > 0 || (d.Unit == "" && d.ID != "lessons_before" && d.ID != "lessons_same_help" && d.ID != "one_leg_bends" && d.ID != "place_of5") {
				t.Errorf("%s: %g to %g %q", d.ID, d.Min, d.Max, d.Unit)
			}
		case finding.Text:
			if d.Measured() != (d.Normal == "") || len(d.Levels) > 0 || d.Sided || d.Tiring {
				t.Errorf("%s: free text with more to it", d.ID)
			}
		default:
			if len(d.Levels) < 2 {
				t.Errorf("%s has %d levels", d.ID, len(d.Levels))
			}
		}
		if d.SideValue && (d.Scale != finding.Choice || !levels["left"] || !levels["right"]) {
			t.Errorf("%s should name sides", d.ID)
		}
		if d.Normal != "" {
			for _, k := range d.Keys() {
				if v, err := finding.Parse(d.ID, k.Side, k.State, d.Normal); err != nil || v.Kind == finding.Unknown {
					t.Errorf("normal value of %s: %v %v", k, v, err)
				}
			}
		}
		want := 1
		if d.Sided {
			want *= 2
		}
		if d.Tiring {
			want *= 2
		}
		if len(d.Keys()) != want {
			t.Errorf("%s has keys %v", d.ID, d.Keys())
		}
	}
	if _, ok := finding.Lookup("nothing"); ok {
		t.Error("nothing is a finding")
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		id   string
		side finding.Side
		text string
		want finding.Value
		say  string
	}{
		{"gait", finding.NoSide, "W4", finding.Value{Kind: finding.Known, X: 4}, "one cane, or unsteady"},
		{"gait", finding.NoSide, " w4 ", finding.Value{Kind: finding.Known, X: 4}, "one cane, or unsteady"},
		{"push_out", finding.Left, "3", finding.Value{Kind: finding.Known, X: 3}, "holds a two-finger push"},
		{"push_out", finding.Right, "na", finding.Value{Kind: finding.NotApplicable}, "cannot be tested"},
		{"push_out", finding.Right, "NA", finding.Value{Kind: finding.NotApplicable}, "cannot be tested"},
		{"push_out", finding.Right, "unknown", finding.Value{}, "not known"},
		{"push_out", finding.Right, "", finding.Value{}, "not known"},
		{"push_out", finding.Right, " \t\n", finding.Value{}, "not known"},
		{"snow_today", finding.NoSide, "flat_light", finding.Value{Kind: finding.Known, X: 4}, "flat light"},
		{"stand_s", finding.NoSide, "12", finding.Value{Kind: finding.Known, X: 12}, "12 s"},
		{"stand_s", finding.NoSide, "12 s", finding.Value{Kind: finding.Known, X: 12}, "12 s"},
		{"stand_s", finding.NoSide, "12s", finding.Value{Kind: finding.Known, X: 12}, "12 s"},
		{"stand_s", finding.NoSide, "0", finding.Value{Kind: finding.Known}, "0 s"},
		{"stand_s", finding.NoSide, "60", finding.Value{Kind: finding.Known, X: 60}, "60 s"},
		{"hip_migration", finding.Left, "30.5 %", finding.Value{Kind: finding.Known, X: 30.5}, "30.5 %"},
		{"ankle_deg", finding.Left, "-5 degrees", finding.Value{Kind: finding.Known, X: -5}, "-5 degrees"},
		{"place_of5", finding.Left, "4", finding.Value{Kind: finding.Known, X: 4}, "4"},
		{"mass_kg", finding.NoSide, "2.75e1", finding.Value{Kind: finding.Known, X: 27.5}, "27.5 kg"},
		{"cue", finding.NoSide, " copy me ", finding.Value{Kind: finding.Known, Text: "copy me"}, "copy me"},
		{"hip_check_months", finding.NoSide, "na", finding.Value{Kind: finding.NotApplicable}, "cannot be tested"},
	} {
		got, err := finding.Parse(c.id, c.side, finding.Fresh, c.text)
		if err != nil || got != c.want {
			t.Errorf("%s %q: %+v %v", c.id, c.text, got, err)
			continue
		}
		d := lookup(t, c.id)
		if say := finding.Say(d, got); say != c.say {
			t.Errorf("%s %q is said %q, want %q", c.id, c.text, say, c.say)
		}
		again, err := finding.Parse(c.id, c.side, finding.Fresh, finding.Format(d, got))
		if err != nil || again != got {
			t.Errorf("%s %q written as %q reads as %+v %v", c.id, c.text, finding.Format(d, got), again, err)
		}
	}
}

// Every level of every scale reads back as itself, whatever its case.
func TestLevelsReadBack(t *testing.T) {
	for _, d := range finding.All() {
		for i, l := range d.Levels {
			for _, k := range d.Keys() {
				for _, text := range []string{l.ID, strings.ToUpper(l.ID), strings.ToLower(l.ID)} {
					v, err := finding.Parse(d.ID, k.Side, k.State, text)
					if err != nil || v.Kind != finding.Known || v.X != float64(i) {
						t.Errorf("%s %q: %+v %v", k, text, v, err)
					}
					if finding.Format(d, v) != l.ID || finding.Say(d, v) != l.Label {
						t.Errorf("%s %q is written %q, said %q", k, text, finding.Format(d, v), finding.Say(d, v))
					}
				}
			}
		}
	}
}

const big = 5 << 20

// Each way to be refused, with its code and a sentence that names the trouble
// and what would be right.
func TestRefused(t *testing.T) {
	huge := strings.Repeat("9", big)
	for _, c := range []struct {
		id    string
		side  finding.Side
		state finding.State
		text  string
		code  string
		say   []string
	}{
		{"gaite", finding.NoSide, finding.Fresh, "W4", "unknown_finding", []string{`"gaite"`, "Did you mean gait?"}},
		{"push_uot", finding.Left, finding.Fresh, "3", "unknown_finding", []string{"Did you mean push_out?"}},
		{"favourite_colour", finding.NoSide, finding.Fresh, "red", "unknown_finding", []string{`There is no finding called "favourite_colour".`}},
		{"", finding.NoSide, finding.Fresh, "red", "unknown_finding", []string{`called ""`}},
		{strings.Repeat("x", big), finding.NoSide, finding.Fresh, "1", "unknown_finding", []string{"xxx..."}},
		{"push_out", finding.NoSide, finding.Fresh, "3", "wrong_side", []string{"Push out at the knee (push_out)", "say which side"}},
		{"gait", finding.Left, finding.Fresh, "W4", "wrong_side", []string{"Walking (gait) has no sides."}},
		{"brace", finding.Left, finding.Tired, "none", "wrong_state", []string{"Brace (brace) has no tired value."}},
		{"gait", finding.NoSide, finding.Fresh, "W6", "unknown_level", []string{`no level "W6"`, "W0, W1, W2, W3, W4, W5 or unknown"}},
		{"gait", finding.NoSide, finding.Fresh, "na", "unknown_level", []string{`cannot be "na"`, `write "unknown"`}},
		{"push_in", finding.Right, finding.Tired, "5", "unknown_level", []string{`no level "5"`, "0, 1, 2, 3, 4, na or unknown"}},
		{"push_in", finding.Right, finding.Fresh, huge, "unknown_level", []string{"999..."}},
		{"snow_today", finding.NoSide, finding.Fresh, "powder", "unknown_level", []string{"normal, ice, slush, crowd, flat_light"}},
		{"stand_s", finding.NoSide, finding.Fresh, "NaN", "not_a_number", []string{"Free standing (stand_s) takes a number in s, not \"NaN\""}},
		{"stand_s", finding.NoSide, finding.Fresh, "nan", "not_a_number", nil},
		{"stand_s", finding.NoSide, finding.Fresh, "Inf", "not_a_number", nil},
		{"stand_s", finding.NoSide, finding.Fresh, "-inf", "not_a_number", nil},
		{"stand_s", finding.NoSide, finding.Fresh, "infinity", "not_a_number", nil},
		{"stand_s", finding.NoSide, finding.Fresh, "1e999", "not_a_number", []string{`"1e999"`}},
		{"stand_s", finding.NoSide, finding.Fresh, "-1e999", "not_a_number", nil},
		{"stand_s", finding.NoSide, finding.Fresh, "12 or so", "not_a_number", []string{`"12 or so"`}},
		{"stand_s", finding.NoSide, finding.Fresh, "12,5", "not_a_number", nil},
		{"place_of5", finding.Left, finding.Fresh, "four", "not_a_number", []string{"a number in plain digits"}},
		{"stand_s", finding.NoSide, finding.Fresh, "60.001", "out_of_range", []string{"is 60.001 s; it must lie between 0 and 60"}},
		{"stand_s", finding.NoSide, finding.Fresh, "-0.001", "out_of_range", nil},
		{"age_years", finding.NoSide, finding.Fresh, "0", "out_of_range", []string{"between 1 and 110"}},
		{"stand_s", finding.NoSide, finding.Fresh, strings.Repeat("1", 300), "out_of_range", nil},
		{"stand_s", finding.NoSide, finding.Fresh, huge, "not_a_number", []string{"999..."}},
		{"stop_word", finding.NoSide, finding.Fresh, strings.Repeat("wo", big/2), "out_of_range", []string{"at most 400 characters"}},
	} {
		start := time.Now()
		v, err := finding.Parse(c.id, c.side, c.state, c.text)
		var refused *finding.Error
		name := c.id
		if len(name) > 20 {
			name = name[:20]
		}
		if !errors.As(err, &refused) || v != (finding.Value{}) {
			t.Errorf("%s: %+v %v", name, v, err)
			continue
		}
		if refused.Code != c.code {
			t.Errorf("%s: code %s, want %s (%s)", name, refused.Code, c.code, refused.Sentence)
		}
		for _, s := range c.say {
			if !strings.Contains(refused.Error(), s) {
				t.Errorf("%s: %q does not say %q", name, refused.Sentence, s)
			}
		}
		if n := len(refused.Sentence); n > 600 || n < 20 || !strings.HasSuffix(refused.Sentence, ".") && !strings.HasSuffix(refused.Sentence, "?") {
			t.Errorf("%s: sentence of %d characters: %.200q", name, n, refused.Sentence)
		}
		if took := time.Since(start); took > 2*time.Second {
			t.Errorf("%s: refused after %v", name, took)
		}
	}
}

// At the limits and one step of the number line past them, for every number.
func TestNumberLimits(t *testing.T) {
	for _, d := range finding.All() {
		if d.Scale != finding.Number {
			continue
		}
		k := d.Keys()[0]
		for x, in := range map[float64]bool{
			d.Min: true, d.Max: true,
			math.Nextafter(d.Min, d.Max): true, math.Nextafter(d.Max, d.Min): true,
			math.Nextafter(d.Min, math.Inf(-1)): false, math.Nextafter(d.Max, math.Inf(1)): false,
		} {
			_, err := finding.Parse(d.ID, k.Side, k.State, exact(x))
			if (err == nil) != in {
				t.Errorf("%s %v: %v", d.ID, x, err)
			}
		}
	}
}

func TestPut(t *testing.T) {
	s := finding.Set{}
	if err := s.PutBoth("push_out", finding.Left, "3"); err != nil {
		t.Fatal(err)
	}
	if err := s.Put("push_out", finding.Left, finding.Tired, "2"); err != nil {
		t.Fatal(err)
	}
	if err := s.PutBoth("brace", finding.Right, "ankle"); err != nil {
		t.Fatal(err)
	}
	if got := s.Get("push_out", finding.Left, finding.Fresh); got.X != 3 {
		t.Errorf("fresh %+v", got)
	}
	if got := s.Get("push_out", finding.Left, finding.Tired); got.X != 2 {
		t.Errorf("tired %+v", got)
	}
	if len(s) != 3 {
		t.Errorf("a brace does not tire: %v", s)
	}
	if got := s.Get("push_out", finding.Right, finding.Fresh); got.Kind != finding.Unknown {
		t.Errorf("absent is unknown, not %+v", got)
	}
	before := s.Clone()
	for _, f := range []func() error{
		func() error { return s.Put("push_out", finding.NoSide, finding.Fresh, "3") },
		func() error { return s.PutBoth("push_out", finding.Left, "7") },
		func() error { return s.PutBoth("nothing", finding.Left, "7") },
	} {
		if f() == nil {
			t.Error("put although refused")
		}
	}
	if !maps.Equal(s, before) {
		t.Error("a refused value left something behind")
	}
	s.Put("gait", finding.NoSide, finding.Fresh, "W5")
	if len(before) != 3 {
		t.Error("the clone is not independent")
	}
}

func TestKeys(t *testing.T) {
	s := finding.Set{}
	for _, k := range []finding.Key{{ID: "stand_s", State: finding.Tired}, {ID: "stand_s"}, {ID: "push_out", Side: finding.Right}, {ID: "push_out", Side: finding.Left},
		{ID: "zz_later_word"}, {ID: "aa_later_word"}, {ID: "age_years"}} {
		s[k] = finding.Value{Kind: finding.Known, X: 1}
	}
	s[finding.Key{ID: "trunk"}] = finding.Value{}
	s[finding.Key{ID: "push_in", Side: finding.Left}] = finding.Value{Kind: finding.NotApplicable}
	var got []string
	for _, k := range s.Keys() {
		got = append(got, k.String())
	}
	want := "age_years, stand_s, stand_s tired, push_out L, push_out R, push_in L, aa_later_word, zz_later_word"
	if strings.Join(got, ", ") != want {
		t.Errorf("keys %s, want %s", strings.Join(got, ", "), want)
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{finding.Left.String(), "L"}, {finding.Right.String(), "R"}, {finding.NoSide.String(), ""},
		{finding.Left.Word(), "left"}, {finding.Right.Word(), "right"}, {finding.NoSide.Word(), ""},
		{finding.Left.Other().Word(), "right"}, {finding.Right.Other().Word(), "left"}, {finding.NoSide.Other().Word(), ""},
		{finding.Fresh.String(), "fresh"}, {finding.Tired.String(), "tired"},
		{finding.FormatNumber(12), "12"}, {finding.FormatNumber(0.5), "0.5"}, {finding.FormatNumber(1.0004), "1"},
		{finding.FormatNumber(-27), "-27"}, {finding.FormatNumber(100), "100"}, {finding.FormatNumber(1e6), "1000000"}, {finding.FormatNumber(0), "0"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// random fills a set with values of every kind.
func random(r *rand.Rand) finding.Set {
	s := finding.Set{}
	for _, d := range finding.All() {
		for _, k := range d.Keys() {
			switch v := (finding.Value{Kind: finding.Known}); r.IntN(5) {
			case 0:
			case 1:
				if d.NA {
					s[k] = finding.Value{Kind: finding.NotApplicable}
				} else {
					s[k] = finding.Value{}
				}
			default:
				switch d.Scale {
				case finding.Text:
					v.Text = "left and right"
				case finding.Number:
					v.X = d.Min + r.Float64()*(d.Max-d.Min)
				default:
					v.X = float64(r.IntN(len(d.Levels)))
				}
				s[k] = v
			}
		}
	}
	return s
}

const seed = 20260301

func TestMirror(t *testing.T) {
	t.Logf("seed=%d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	for range 300 {
		s := random(r)
		m := s.Mirror()
		if !maps.Equal(m.Mirror(), s) {
			t.Fatal("mirrored twice is not the same")
		}
		for k, v := range s {
			d := lookup(t, k.ID)
			other := k
			other.Side = k.Side.Other()
			want := v
			if d.SideValue && v.Kind == finding.Known {
				swap := map[string]string{"left": "right", "right": "left", "none": "none"}[d.Levels[int(v.X)].ID]
				want.X = float64(slices.IndexFunc(d.Levels, func(l finding.Level) bool { return l.ID == swap }))
			}
			if m[other] != want {
				t.Fatalf("%s %+v mirrors to %+v, want %+v", k, v, m[other], want)
			}
		}
	}
	odd := finding.Set{{ID: "not_in_the_vocabulary", Side: finding.Left}: {Kind: finding.Known, X: 2}}
	if m := odd.Mirror(); m.Get("not_in_the_vocabulary", finding.Right, finding.Fresh).X != 2 {
		t.Errorf("a value of a later vocabulary mirrors to %v", m)
	}
}

func TestFillNormal(t *testing.T) {
	s := finding.Set{}
	if err := s.PutBoth("grip", finding.Left, "2"); err != nil {
		t.Fatal(err)
	}
	s[finding.Key{ID: "neck_sign"}] = finding.Value{} // asked, and not known
	filled := s.FillNormal(func(d *finding.Def) bool { return d.Test != "17" })
	if slices.Contains(filled, "neck_sign") || s.Get("neck_sign", finding.NoSide, finding.Fresh).Kind != finding.Unknown {
		t.Error("recorded as unknown became normal")
	}
	if s.Get("grip", finding.Left, finding.Fresh).X != 2 || s.Get("grip", finding.Right, finding.Tired).X != 4 {
		t.Errorf("grip %v", s)
	}
	if !slices.Contains(filled, "grip") || slices.Contains(filled, "vision_m") || slices.Contains(filled, "field_gap") {
		t.Errorf("filled %v", filled)
	}
	at := -1
	for _, id := range filled {
		i := slices.IndexFunc(finding.All(), func(d *finding.Def) bool { return d.ID == id })
		if i <= at {
			t.Errorf("%s out of order", id)
		}
		at = i
	}
	for _, d := range finding.All() {
		for _, k := range d.Keys() {
			if _, has := s[k]; has && d.Measured() {
				t.Errorf("%s has to be measured", k)
			}
		}
	}
	// What must be measured can never be filled in by silence: it decides
	// whether anybody stands (trade B1, D1).
	for _, id := range []string{"load_test", "gait", "stand_s", "trunk", "push_out", "push_in", "toe_in_alone", "endurance_min", "waiver", "place_of5"} {
		if !lookup(t, id).Measured() {
			t.Errorf("%s must be measured", id)
		}
	}
	if again := s.FillNormal(func(d *finding.Def) bool { return d.Test != "17" }); len(again) > 0 {
		t.Errorf("filled again: %v", again)
	}
}
