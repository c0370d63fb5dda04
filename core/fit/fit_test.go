package fit_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

func metre(v float64) *quantity.Metre { m := quantity.Metre(v); return &m }

func years(v float64) *float64 { return &v }

func read(v float64) *body.Reading { return &body.Reading{Value: quantity.Metre(v)} }

func made(t testing.TB, p body.Person) *body.Body {
	t.Helper()
	b, err := body.New(p)
	if err != nil {
		t.Fatalf("%+v: %v", p, err)
	}
	return b
}

func proposed(t testing.TB, in fit.Input) fit.Sheet {
	t.Helper()
	s, err := fit.Propose(in)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func item(t testing.TB, s fit.Sheet, id string, side body.Side) fit.Item {
	t.Helper()
	i, ok := s.Item(id, side)
	if !ok {
		t.Fatalf("there is no item %s %s", id, side)
	}
	return i
}

func middle() body.Person {
	return body.Person{Sex: body.Male, Mass: 75, Stature: metre(1.755), AgeYears: years(30)}
}

func settings() map[string]float64 {
	out := map[string]float64{}
	for _, s := range decide.Standing().Settings() {
		out[s.Name] = s.Value
	}
	return out
}

// full is an input with everything in it.
func full(t testing.TB) fit.Input {
	p := middle()
	p.Measured.HipBreadth = read(0.36)
	two := 2.0
	five, ten := 5.0, 10.0
	return fit.Input{Body: made(t, p), CreaseBoots: body.Both(read(0.83)), CreaseBare: body.Both(read(0.80)), Lift: read(0.07),
		Holes: body.Both(&fit.Holes{First: 0.65, Step: 0.025, Count: 13, Plate: 100}), Gap: metre(0.19),
		Cant: body.Pair[*quantity.Radian]{Left: ptr(quantity.Must(quantity.Degrees(1.2)))}, Settings: settings(),
		Shell:   body.Both(fit.Shell{Gap: metre(0.018), ToesTouch: ptr(true), ToesFlat: ptr(true), Closes: ptr(true), HotSpot: ptr(false)}),
		Numbers: decide.Numbers{HeelLiftMM: decide.Pair[*decide.Range]{Left: &decide.Range{Value: 5, Low: 5, High: 10}, Right: &decide.Range{}}, LengthInBootMM: decide.Pair[*float64]{Right: &ten}, LengthPlateDayMM: decide.Pair[*float64]{Right: &two}, LengthPlateMM: decide.Pair[*float64]{Right: &five}}}
}

func ptr[T any](v T) *T { return &v }

// Every item is complete: limits round the value, a way, a sign of wrong fit,
// a time to look again, sources that exist; and no number is none.
func TestItemsAreComplete(t *testing.T) {
	for name, p := range people() {
		for _, way := range []string{"", "none", "outriggers", "one_outrigger_left", "one_outrigger_right", "slider", "one_ski_left", "one_ski_right", "sitting"} {
			for _, l := range losses() {
				q := p
				q.Losses = l
				in := full(t)
				in.Body, in.Way = made(t, q), way
				s, err := fit.Propose(in)
				if err != nil {
					var e *body.Error
					if errors.As(err, &e) && e.Code == "no_leg" {
						continue
					}
					t.Fatalf("%s, %s, %+v: %v", name, way, l, err)
				}
				for _, i := range s.Items {
					complete(t, fmt.Sprintf("%s, %s, %+v: %s %s", name, way, l, i.ID, i.Side), i)
				}
				for _, f := range s.Flags {
					if !strings.Contains(f.Sentence, "Limb loss") || !strings.Contains(f.Sentence, "contracture") || math.IsNaN(f.Value) {
						t.Errorf("%s: a flag that does not say it is no error: %+v", name, f)
					}
				}
			}
		}
	}
}

func complete(t *testing.T, what string, i fit.Item) {
	t.Helper()
	for _, v := range []float64{i.Value, i.Low, i.High} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("%s: a number that is none: %+v", what, i)
		}
	}
	switch {
	case i.Label == "" || i.Unit == "" || i.Basis == "":
		t.Errorf("%s: no label, unit or basis", what)
	case !i.Known && i.Words == "":
		t.Errorf("%s: not known and no word why", what)
	case i.Known && (i.Low > i.Value || i.Value > i.High):
		t.Errorf("%s: %g outside %g to %g", what, i.Value, i.Low, i.High)
	case i.Known && (i.Method == "" || i.Sign == "" || i.Recheck == "" || i.RecheckMin <= 0 || len(i.Sources) == 0):
		t.Errorf("%s: no method, sign, time to look again or source: %+v", what, i)
	case i.Narrow != nil && (!(i.Narrow.Then < i.Narrow.Now) || i.Narrow.Measure == "" || i.Narrow.Sentence == ""):
		t.Errorf("%s: narrows from %g to %g", what, i.Narrow.Now, i.Narrow.Then)
	}
	for _, src := range i.Sources {
		if !source.Known(src) {
			t.Errorf("%s cites %s, which core/source does not know", what, src)
		}
	}
}

func people() map[string]body.Person {
	return map[string]body.Person{
		"woman":      {Sex: body.Female, Mass: 62, Stature: metre(1.63), AgeYears: years(34)},
		"man":        middle(),
		"child of 6": {Sex: body.Female, Mass: 20, AgeYears: years(6)},
		"75 years":   {Sex: body.Female, Mass: 64, Stature: metre(1.58), AgeYears: years(75)},
		"1.20 m":     {Sex: body.Male, Mass: 45, Stature: metre(1.20), AgeYears: years(30)},
		"2.05 m":     {Sex: body.Male, Mass: 105, Stature: metre(2.05), AgeYears: years(30)},
	}
}

func losses() [][]body.Loss {
	out := [][]body.Loss{nil}
	for _, l := range body.Levels() {
		out = append(out, []body.Loss{{Side: body.Left, Level: l}}, []body.Loss{{Side: body.Right, Level: l, Prosthesis: &body.Prosthesis{}}})
	}
	return out
}

// The better the measurement, the narrower the handle's limits.
func TestHandleWays(t *testing.T) {
	in := fit.Input{Body: made(t, middle()), Way: "outriggers"}
	guess := item(t, proposed(t, in), "outrigger_handle", body.Left)
	in.CreaseBare = body.Both(read(0.80))
	bare := item(t, proposed(t, in), "outrigger_handle", body.Left)
	in.Lift = read(0.07)
	lifted := item(t, proposed(t, in), "outrigger_handle", body.Left)
	in.CreaseBoots = body.Both(read(0.826))
	boots := item(t, proposed(t, in), "outrigger_handle", body.Left)
	last := math.Inf(1)
	for _, x := range []struct {
		i     fit.Item
		basis fit.Basis
	}{{guess, fit.Predicted}, {bare, fit.Combined}, {lifted, fit.Combined}, {boots, fit.OnPerson}} {
		if x.i.Basis != x.basis {
			t.Errorf("basis %q, want %q", x.i.Basis, x.basis)
		}
		if w := x.i.High - x.i.Low; w >= last {
			t.Errorf("%s is ± %g mm, a worse way ± %g", x.basis, w/2, last/2)
		} else {
			last = w
		}
	}
	if boots.Value != 826 {
		t.Errorf("a crease at 826 mm in boots gives a handle at %g", boots.Value)
	}
	if guess.Narrow == nil || guess.Narrow.Measure != "wrist_crease_boots_mm" {
		t.Errorf("a guess is narrowed by %+v", guess.Narrow)
	}
	// Barefoot 800 mm, 70 mm of boot and ski, the drop of 15/30/15 for a middle
	// man is 40 to 50 mm (body.md 4.3 gives 47 with Drillis lengths).
	if lifted.Value < 815 || lifted.Value > 835 {
		t.Errorf("carried to boots and skis the handle is at %g mm", lifted.Value)
	}
	in.CreaseBoots = body.Both(read(0.95))
	if w := item(t, proposed(t, in), "outrigger_handle", body.Left).Warnings; len(w) == 0 || w[0].Code != "creases_disagree" {
		t.Errorf("creases 120 mm apart give %+v", w)
	}
}

// A stretched body scales its handle; a mirrored one swaps it.
func TestMirror(t *testing.T) {
	in := full(t)
	in.CreaseBoots = body.Pair[*body.Reading]{Left: read(0.80), Right: read(0.84)}
	in.RunnerAhead = body.Pair[*quantity.Metre]{Left: metre(0.10)}
	in.Shell.Left.Gap = metre(0.05)
	a := proposed(t, in)
	m := in
	m.CreaseBoots, m.CreaseBare, m.Holes, m.Cant, m.Shell, m.RunnerAhead = in.CreaseBoots.Swap(), in.CreaseBare.Swap(), in.Holes.Swap(), in.Cant.Swap(), in.Shell.Swap(), in.RunnerAhead.Swap()
	n := in.Numbers
	m.Numbers.HeelLiftMM = decide.Pair[*decide.Range]{Left: n.HeelLiftMM.Right, Right: n.HeelLiftMM.Left}
	for _, x := range []*decide.Pair[*float64]{&m.Numbers.LengthInBootMM, &m.Numbers.LengthPlateDayMM, &m.Numbers.LengthPlateMM} {
		x.Left, x.Right = x.Right, x.Left
	}
	b := proposed(t, m)
	if len(a.Items) != len(b.Items) || len(a.Checks) != len(b.Checks) {
		t.Fatalf("%d items, its mirror image %d", len(a.Items), len(b.Items))
	}
	other := map[body.Side]body.Side{body.Left: body.Right, body.Right: body.Left}
	for _, i := range a.Items {
		o := item(t, b, i.ID, other[i.Side])
		if math.Abs(i.Value-o.Value) > 1e-9 || math.Abs(i.Low-o.Low) > 1e-9 || math.Abs(i.High-o.High) > 1e-9 || i.Known != o.Known {
			t.Errorf("%s %s: %g (%g to %g), its mirror image %g (%g to %g)", i.ID, i.Side, i.Value, i.Low, i.High, o.Value, o.Low, o.High)
		}
	}
}

// The hole is the nearest in handle height, within half a step, and its
// handle's height agrees with the shaft.
func TestHoles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	for range 300 {
		in := full(t)
		in.Way = "outriggers"
		in.CreaseBoots = body.Both(read(0.70 + 0.2*rnd.Float64()))
		s := proposed(t, in)
		h, bend := item(t, s, "outrigger_hole", body.Left), item(t, s, "elbow_bend", body.Left)
		want := item(t, s, "outrigger_handle", body.Left).Value
		shaft := item(t, s, "shaft_length", body.Left).Value
		if !h.Known {
			t.Fatalf("no hole for a handle at %g mm", want)
		}
		along := 650 + 25*(h.Value-1)
		if math.Abs(along-shaft) > 12.5+1e-6 {
			after := item(t, s, "elbow_bend_in_hole", body.Left)
			if math.Abs(along-shaft) > 37.5 || after.Value < 15 || after.Value > 30 || bend.Value >= 15 && bend.Value <= 30 && math.Abs(after.Value-22.5) > 7.5 {
				t.Fatalf("hole %g is %g mm from %g", h.Value, along-shaft, shaft)
			}
		}
	}
	in := full(t)
	in.Way = "outriggers"
	in.Holes = body.Both(&fit.Holes{First: 0.95, Step: 0.025, Count: 3})
	if i := item(t, proposed(t, in), "outrigger_hole", body.Left); i.Known || i.Warnings[0].Code != "holes_too_long" {
		t.Errorf("a pair that is too long gives %+v", i)
	}
	in.Holes = body.Both(&fit.Holes{First: 0.45, Step: 0.025, Count: 3, Plate: 60})
	if i := item(t, proposed(t, in), "outrigger_hole", body.Left); i.Known || !has(i, "holes_too_short") || !has(i, "plate") {
		t.Errorf("a pair that is too short and too weak gives %+v", i)
	}
}

func has(i fit.Item, code string) bool {
	return slices.ContainsFunc(i.Warnings, func(w fit.Warning) bool { return w.Code == code })
}

// No hand, no outrigger; an arm prosthesis is not decided here.
func TestNoHand(t *testing.T) {
	for _, l := range []body.Level{body.AtHand, body.Transradial, body.AtElbow, body.Transhumeral, body.AtShoulder} {
		p := middle()
		p.Losses = []body.Loss{{Side: body.Left, Level: l}}
		in := full(t)
		in.Body, in.Way = made(t, p), "outriggers"
		s := proposed(t, in)
		if i := item(t, s, "outrigger_handle", body.Left); i.Known || !strings.Contains(i.Words, "No hand") {
			t.Errorf("%s: %+v", l, i)
		}
		if i := item(t, s, "outrigger_handle", body.Right); !i.Known {
			t.Errorf("%s: the other hand has no outrigger", l)
		}
	}
}

// The spacer is the gap as measured and never wider; with a hip at risk none
// is allowed too (rules T3 and T4 of the trade).
func TestSpacer(t *testing.T) {
	in := full(t)
	i := item(t, proposed(t, in), "spacer", 0)
	if i.Value != 190 || i.High != 190 || i.Low >= 190 {
		t.Errorf("a gap of 190 mm gives %g (%g to %g)", i.Value, i.Low, i.High)
	}
	in.HipAtRisk = true
	if i = item(t, proposed(t, in), "spacer", 0); i.High > 190 || i.Low != 0 || !has(i, "hip_at_risk") {
		t.Errorf("hip at risk: %+v", i)
	}
	in.Gap = nil
	if i = item(t, proposed(t, in), "spacer", 0); i.Known || i.Narrow == nil || i.Narrow.Measure != "natural_boot_gap_mm" {
		t.Errorf("no gap measured: %+v", i)
	}
}

// Beyond 3 degrees a cant goes to a boot technician, without a figure (C2 of
// the trade).
func TestCant(t *testing.T) {
	for _, x := range []struct {
		deg   float64
		known bool
		want  float64
	}{{0.3, true, 0}, {1.4, true, 1}, {-2.6, true, -3}, {3.0, true, 3}, {3.01, false, 0}, {-5, false, 0}} {
		in := full(t)
		in.Cant = body.Both(ptr(quantity.Must(quantity.Degrees(x.deg))))
		i := item(t, proposed(t, in), "cant", body.Right)
		if i.Known != x.known || i.Value != x.want || math.Abs(i.High) > 3 || math.Abs(i.Low) > 3 {
			t.Errorf("%g degrees: %+v", x.deg, i)
		}
	}
}

// Lifts and plates are those the decision computed, figure for figure.
func TestNumbersAreTheDecisions(t *testing.T) {
	s := proposed(t, full(t))
	if i := item(t, s, "heel_lift", body.Left); i.Value != 5 || i.High != 10 {
		t.Errorf("heel lift %+v", i)
	}
	if i := item(t, s, "length_plate", body.Right); i.Value != 2 || i.High != 5 || !has(i, "technician") {
		t.Errorf("plate %+v", i)
	}
	if i := item(t, s, "length_in_boot", body.Right); i.Value != 10 {
		t.Errorf("inside the boot %+v", i)
	}
	p := middle()
	p.Losses = []body.Loss{{Side: body.Left, Level: body.AtKnee}}
	in := full(t)
	in.Body = made(t, p)
	if _, ok := proposed(t, in).Item("heel_lift", body.Left); ok {
		t.Error("a heel lift for a foot that is not there")
	}
}

// Two fingers behind the heel with the toes touching.
func TestShell(t *testing.T) {
	for _, x := range []struct {
		gap   *quantity.Metre
		touch *bool
		want  string
	}{{metre(0.018), ptr(true), fit.Pass}, {metre(0.005), ptr(true), fit.Fail}, {metre(0.04), ptr(true), fit.Fail}, {metre(0.018), ptr(false), fit.Fail}, {nil, nil, fit.Unknown}} {
		in := full(t)
		in.Shell.Left.Gap, in.Shell.Left.ToesTouch = x.gap, x.touch
		for _, c := range proposed(t, in).Checks {
			if c.ID == "two_fingers" && c.Side == body.Left && (c.Result != x.want || (c.Do == "") != (x.want == fit.Pass)) {
				t.Errorf("gap %v, toes touch %v: %+v", x.gap, x.touch, c)
			}
		}
	}
}

// Flags mark what is outside the middle 98 of 100 and nothing inside it; they
// never keep an answer back.
func TestFlags(t *testing.T) {
	in := full(t)
	if f := proposed(t, in).Flags; len(f) != 0 {
		t.Errorf("a middle man is flagged: %+v", f)
	}
	p := middle()
	p.Measured.UpperArm = body.Pair[*body.Reading]{Left: read(0.20), Right: read(0.335)}
	p.Measured.HipBreadth = read(0.60)
	p.Stature = metre(1.30)
	in.Body = made(t, p)
	s := proposed(t, in)
	var seen []string
	for _, f := range s.Flags {
		seen = append(seen, f.Measure+f.Side.String())
	}
	for _, want := range []string{"height_cm", "hip_breadth_mm", "upper_arm_mm", "wrist_crease_boots_mmL"} {
		if !slices.ContainsFunc(seen, func(s string) bool { return strings.HasPrefix(s, want) }) {
			t.Errorf("%s is not flagged among %v", want, seen)
		}
	}
	if i := item(t, s, "outrigger_handle", body.Left); !i.Known {
		t.Error("a flag kept an answer back")
	}
}

// A child's stature and mass are placed on the growth chart (CDC 2000: a girl
// of 6 has a median of 115.0 cm and 20.3 kg).
func TestChildFlags(t *testing.T) {
	for _, x := range []struct {
		cm, kg float64
		flags  int
	}{{115, 20.3, 0}, {95, 20.3, 1}, {115, 45, 1}, {150, 45, 2}} {
		in := fit.Input{Body: made(t, body.Person{Sex: body.Female, AgeYears: years(6.04), Stature: metre(x.cm / 100), Mass: quantity.Kilogram(x.kg)})}
		if f := proposed(t, in).Flags; len(f) != x.flags {
			t.Errorf("%g cm, %g kg: %d flags, want %d: %+v", x.cm, x.kg, len(f), x.flags, f)
		}
	}
}

func TestRefusals(t *testing.T) {
	nan := quantity.Metre(math.NaN())
	for _, x := range []struct {
		what   string
		change func(*fit.Input)
		code   string
	}{
		{"no body", func(in *fit.Input) { in.Body = nil }, "body_needed"},
		{"crease NaN", func(in *fit.Input) { in.CreaseBoots.Left = &body.Reading{Value: nan} }, "not_a_number"},
		{"crease below the snow", func(in *fit.Input) { in.CreaseBare.Right = read(-0.8) }, "length_not_positive"},
		{"error below zero", func(in *fit.Input) { in.CreaseBare.Right = &body.Reading{Value: 0.8, Error: -1} }, "error_negative"},
		{"runner in mm", func(in *fit.Input) { in.RunnerAhead.Left = metre(150) }, "length_impossible"},
		{"no holes", func(in *fit.Input) { in.Holes.Left = &fit.Holes{First: 0.6, Step: 0.025} }, "holes_impossible"},
		{"holes without a step", func(in *fit.Input) { in.Holes.Left = &fit.Holes{First: 0.6, Count: 5} }, "holes_impossible"},
		{"gap below zero", func(in *fit.Input) { in.Gap = metre(-0.1) }, "length_not_positive"},
		{"cant of a right angle", func(in *fit.Input) { in.Cant.Left = ptr(quantity.Radian(1.5)) }, "angle_impossible"},
		{"cant NaN", func(in *fit.Input) { in.Cant.Left = ptr(quantity.Radian(math.NaN())) }, "angle_impossible"},
		{"knee backwards in the stance", func(in *fit.Input) { in.Stance.Knee.Left = ptr(quantity.Radian(-0.5)) }, "knee_backwards"},
	} {
		in := full(t)
		x.change(&in)
		_, err := fit.Propose(in)
		var e *body.Error
		if !errors.As(err, &e) || e.Code != x.code || !strings.HasSuffix(e.Sentence, ".") {
			t.Errorf("%s: %v, want %s", x.what, err, x.code)
		}
	}
}

// FuzzPropose: whatever was measured, a refusal or a sheet without a number
// that is none.
func FuzzPropose(f *testing.F) {
	f.Add(0.83, 0.80, 0.07, 0.65, 0.025, 13, 0.19, 0.02, 0.1)
	f.Add(-1.0, math.NaN(), 9.0, 1e300, 0.0, -4, 0.0, 9.0, 0.0)
	f.Fuzz(func(t *testing.T, boots, bare, lift, first, step float64, count int, gap, cant, ahead float64) {
		in := full(t)
		in.CreaseBoots, in.CreaseBare, in.Lift = body.Both(read(boots)), body.Pair[*body.Reading]{Left: read(bare)}, read(lift)
		in.Holes = body.Both(&fit.Holes{First: quantity.Metre(first), Step: quantity.Metre(step), Count: count})
		in.Gap, in.HandAhead, in.Cant = metre(gap), body.Both(metre(ahead)), body.Both(ptr(quantity.Radian(cant)))
		s, err := fit.Propose(in)
		if err != nil {
			return
		}
		for _, i := range s.Items {
			for _, v := range []float64{i.Value, i.Low, i.High} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%s: %+v", i.ID, i)
				}
			}
			if i.Known && (i.Low > i.Value || i.Value > i.High) {
				t.Fatalf("%s: %g outside %g to %g", i.ID, i.Value, i.Low, i.High)
			}
		}
	})
}

func BenchmarkPropose(b *testing.B) {
	in := full(b)
	for b.Loop() {
		proposed(b, in)
	}
}

// An invented skier, measured in boots on skis.
func ExamplePropose() {
	stature := quantity.Metre(1.68)
	b, _ := body.New(body.Person{Sex: body.Female, Mass: 62, Stature: &stature})
	s, _ := fit.Propose(fit.Input{Body: b, Way: "outriggers", CreaseBoots: body.Both(&body.Reading{Value: 0.815}),
		Holes: body.Both(&fit.Holes{First: 0.700, Step: 0.025, Count: 10})})
	handle, _ := s.Item("outrigger_handle", body.Left)
	hole, _ := s.Item("outrigger_hole", body.Left)
	fmt.Printf("%.0f mm (%.0f to %.0f), hole %.0f\n", handle.Value, handle.Low, handle.High, hole.Value)
	// Output: 815 mm (805 to 825), hole 6
}
