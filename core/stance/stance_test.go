package stance_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/stance"
)

// The worked examples of statics are derived here from the equations, each
// beside its check; WE numbers are rows of the project's list of worked
// examples. A hundredth of a percent or of a degree is half of what is printed.

func exactly[T quantity.Scalar](v T) quantity.Range[T] { return quantity.Must(quantity.Exactly(v)) }

func degrees(v float64) quantity.Radian { return quantity.Must(quantity.Degrees(v)) }

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, within)
	}
}

func point(kind stance.Kind, side finding.Side, x, y quantity.Metre) stance.Contact {
	return stance.Contact{Kind: kind, Side: side, Rear: stance.Point{X: x, Y: y}, Front: stance.Point{X: x, Y: y}}
}

// fourPoints is a student of 70 kg on four points.
func fourPoints(x, y quantity.Metre) stance.Stance {
	return stance.Stance{
		Mass: 70, Centre: quantity.Must(stance.At(x, y, 0.9)),
		Contacts: []stance.Contact{
			point(stance.Ski, finding.Left, -0.12, 0), point(stance.Ski, finding.Right, 0.12, 0),
			point(stance.Runner, finding.Left, -0.45, 0.35), point(stance.Runner, finding.Right, 0.45, 0.35),
		},
	}
}

func analyse(t *testing.T, s stance.Stance) stance.Result {
	t.Helper()
	r, err := stance.Analyse(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// WE19: level, the left foot carries 40 % of the feet's load; centre of mass 7
// cm ahead, outriggers 35 cm ahead. Outriggers together 20 % of the weight,
// feet 32 and 48 %, outriggers 12.13 and 7.87 %.
func TestGivenShareOfFourSupports(t *testing.T) {
	s := fourPoints(0, 0.07)
	share := exactly(quantity.Ratio(0.4))
	s.LeftShare = &share
	r := analyse(t, s)
	w := float64(r.Weight)
	near(t, "arms", float64(r.Arms.Value())/w*100, 20, 0.005)
	for i, want := range []float64{32, 48, 12.13, 7.87} {
		l := r.Loads[i]
		near(t, "even share of the "+l.Contact.Name(), float64(l.Even)/w*100, want, 0.005)
		near(t, "freedom of the "+l.Contact.Name(), float64(l.Possible.Width())/w, 0, 1e-9)
	}
}

// Sagittal part is determinate when feet and outriggers are two lines: the
// hands' share is y of the centre over y of the outriggers.
func TestHandsShareIsDeterminate(t *testing.T) {
	for _, c := range []struct{ y, share float64 }{{0.07, 0.2}, {0, 0}, {0.35, 1}, {0.14, 0.4}} {
		r := analyse(t, fourPoints(0, quantity.Metre(c.y)))
		near(t, "hands", float64(r.Arms.Value()/r.Weight), c.share, 1e-9)
		near(t, "hands, even share", float64(r.ArmsEven/r.Weight), c.share, 1e-9)
	}
}

// WE22: hull of (±0.45, 0.35) and (±0.16, -0.10), centre of mass (0, 0.04):
// front 0.310, rear 0.140, each side 0.210, margin 0.140 m.
func TestSupportPolygon(t *testing.T) {
	s := fourPoints(0, 0.04)
	s.Contacts[0] = point(stance.Ski, finding.Left, -0.16, -0.10)
	s.Contacts[1] = point(stance.Ski, finding.Right, 0.16, -0.10)
	r := analyse(t, s)
	near(t, "margin", float64(r.Margin.Value()), 0.140, 1e-12)
	if r.Edge.String() != "back" || len(r.Polygon) != 4 {
		t.Errorf("nearest edge is %s of %d", r.Edge, len(r.Polygon))
	}
	near(t, "to the front", float64(r.Rooms[0].Edge.Value()), 0.310, 1e-12)
	near(t, "to the back", float64(r.Rooms[4].Edge.Value()), 0.140, 1e-12)
	near(t, "lean back to tipping", r.Rooms[4].Tips.Value().Degrees(), math.Atan(0.14/0.9)*180/math.Pi, 1e-9)
	// The side edge runs from (0.16, -0.10) to (0.45, 0.35); square to it 0.210.
	s.Centre = quantity.Must(stance.At(0, 0.30, 0.9))
	r = analyse(t, s)
	near(t, "margin near the front", float64(r.Margin.Value()), 0.05, 1e-12)
}

// WE20 and body.md 5: feet 0.125 m to each side, centre of mass 1.0 m: the
// downhill foot has 85 % at 5 degrees, 99.1 % at 7, and it tips at 7.1.
func TestAcrossTheSlope(t *testing.T) {
	a := stance.Across{HalfStance: 0.125, Height: 1, Slope: degrees(5), Runners: 0.9}
	five := quantity.Must(a.Sides())
	near(t, "downhill at 5 degrees", float64(five.Downhill), 0.850, 0.0005)
	near(t, "tips", five.Tips.Degrees(), 7.13, 0.005)
	// An upright body: 22, 43, 65 mm at 5, 10, 15 degrees for feet 25 cm apart.
	for _, c := range []struct{ deg, mm float64 }{{5, 22}, {10, 43}, {15, 65}} {
		a.Slope = degrees(c.deg)
		near(t, "shorter leg", quantity.Must(a.Sides()).ShorterLeg.Millimetres(), c.mm, 0.5)
	}
	a.Slope = degrees(7)
	near(t, "downhill at 7 degrees", float64(quantity.Must(a.Sides()).Downhill), 0.991, 0.0005)
	a.Slope = degrees(7.2)
	if quantity.Must(a.Sides()).Stands {
		t.Error("it stands beyond the angle at which it tips")
	}
	// The same by the general way: two feet, heading across, valley to the right.
	lean := quantity.Must(stance.Standing(degrees(5), degrees(90)))
	s := stance.Stance{Mass: 60, Centre: quantity.Must(stance.At(0, 0, 1)), Lean: lean, Contacts: []stance.Contact{
		point(stance.Ski, finding.Left, -0.125, 0), point(stance.Ski, finding.Right, 0.125, 0),
	}}
	r := analyse(t, s)
	near(t, "right foot", float64(r.Loads[1].Even/r.Weight), 0.850, 0.0005)
	s.Lean = stance.Lean{}
	near(t, "tips from level", analyse(t, s).Rooms[2].Tips.Value().Degrees(), 7.13, 0.005)
}

// WE21: slope of 10 degrees, standing still, gliding with a resistance of 0.05
// of the weight, gliding without any: 10.0, 2.86, 0.0 degrees.
func TestApparentGravity(t *testing.T) {
	still := quantity.Must(stance.Standing(degrees(10), 0))
	near(t, "standing", still.Angle().Degrees(), 10, 1e-9)
	near(t, "gliding", quantity.Must(stance.Gliding(degrees(10), 0, exactly(quantity.Ratio(0.05)))).Angle().Degrees(), 2.86, 0.005)
	near(t, "no resistance", quantity.Must(stance.Gliding(degrees(10), 0, exactly(quantity.Ratio(0)))).Angle().Degrees(), 0, 1e-12)
	// A glide that speeds up by g (sin a - mu cos a) is the same glide.
	const g, a = 9.81, 10 * math.Pi / 180
	by := quantity.MetrePerSecondSquared(g * (math.Sin(a) - 0.05*math.Cos(a)))
	near(t, "by its acceleration", quantity.Must(stance.Speeding(degrees(10), 0, by, g)).Angle().Degrees(), 2.86, 0.005)
	// Skis turned to the left have the valley on the student's right.
	if l := quantity.Must(stance.Standing(degrees(10), degrees(90))); l.Right.Value() <= 0 || math.Abs(float64(l.Forward.Value())) > 1e-12 {
		t.Errorf("across to the left leans %v forward, %v right", l.Forward.Value(), l.Right.Value())
	}
}

// What a lesson meets: a steady glide feels its resistance only, waiting down
// the slope feels the whole slope, and across it the valley pulls sideways; a
// shaft cut for level ground therefore fits a gliding skier (body.md 5).
func TestSituations(t *testing.T) {
	list, err := stance.Situations(degrees(6), exactly(quantity.Ratio(0.05)))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][2]float64{"level": {0, 0}, "straight_run": {2.86, 0}, "waiting_down": {6, 0}, "across_valley_right": {0, 6}, "across_valley_left": {0, -6}}
	for _, s := range list {
		f, r := math.Atan(float64(s.Lean.Forward.Value()))*180/math.Pi, math.Atan(float64(s.Lean.Right.Value()))*180/math.Pi
		near(t, s.Code+" forward", f, want[s.Code][0], 0.005)
		near(t, s.Code+" right", r, want[s.Code][1], 0.005)
		delete(want, s.Code)
	}
	if len(want) > 0 {
		t.Errorf("not told: %v", want)
	}
	_, err = stance.Situations(degrees(80), exactly(quantity.Ratio(0.05)))
	refused(t, "a wall", err, "out_of_range")
}

// WE18: trochanter 0.901 m, pendulum 1.34 times that, g 9.81, 0.05 m inside the
// edge at 0.10 m/s towards it: 1.207 m, 2.851 1/s, 0.035 m, +0.015 m.
func TestExtrapolatedCentre(t *testing.T) {
	l := quantity.Must(stance.PendulumOf(0.901, "frontal"))
	inside := quantity.Metre(0.05)
	s := quantity.Must(stance.Extrapolate(l, 9.81, 0.10, &inside))
	near(t, "length", float64(s.Length), 1.207, 0.0005)
	// 2.851 is printed for the length rounded to 1.207 m; unrounded it is 2.8505.
	near(t, "rate", quantity.Must(stance.Extrapolate(1.207, 9.81, 0, nil)).Rate, 2.851, 0.0005)
	near(t, "rate, length not rounded", s.Rate, 2.8505, 0.00005)
	near(t, "lead", float64(s.Lead), 0.035, 0.0005)
	near(t, "margin", float64(*s.Margin), 0.015, 0.0005)
	// body.md 5: the root of l over g is 0.33 to 0.35 s at 1.76 m, 0.32 to 0.34 s
	// at 1.63 m, for pendulums of 1.2 to 1.34 times a trochanter at 51.3 and
	// 51.9 % of stature (ANSUR II).
	for _, c := range []struct{ trochanter, low, high float64 }{{1.76 * 0.513, 0.33, 0.35}, {1.63 * 0.519, 0.32, 0.34}} {
		for way, want := range map[string]float64{"standing": c.low, "frontal": c.high} {
			l := quantity.Must(stance.PendulumOf(quantity.Metre(c.trochanter), way))
			near(t, way, 1/quantity.Must(stance.Extrapolate(l, 0, 0, nil)).Rate, want, 0.0051)
		}
	}
	// In a stance: 0.1 m/s to the right from 0.05 m inside the right edge.
	st := stance.Stance{Mass: 60, Gravity: 9.81, Centre: quantity.Must(stance.At(0.4, 0.1, 1)), Right: 0.1, Pendulum: 1.207,
		Contacts: []stance.Contact{
			{Kind: stance.Ski, Side: finding.Left, Rear: stance.Point{X: -0.45, Y: -0.4}, Front: stance.Point{X: -0.45, Y: 0.6}},
			{Kind: stance.Ski, Side: finding.Right, Rear: stance.Point{X: 0.45, Y: -0.4}, Front: stance.Point{X: 0.45, Y: 0.6}},
		}}
	near(t, "margin in a stance", float64(analyse(t, st).Moving.Margin.Value()), 0.015, 0.0005)
}

// Statics of beams: a body across two points shares its weight by the lever
// rule. WE7: scales 2.50 m apart show 290 and 122 N: 412 N, 0.740 m from the
// head end (Walker, Physics).
func TestLeverRule(t *testing.T) {
	s := stance.Stance{Mass: 412 / 9.81, Gravity: 9.81, Centre: quantity.Must(stance.At(0.740, 0, 0.2)), Contacts: []stance.Contact{
		point(stance.Ski, finding.Left, 0, 0), point(stance.Ski, finding.Right, 2.5, 0),
	}}
	r := analyse(t, s)
	near(t, "head end", float64(r.Loads[0].Even), 290, 0.5)
	near(t, "foot end", float64(r.Loads[1].Even), 122, 0.5)
	if r.Verdict != stance.Held {
		t.Errorf("verdict %v", r.Verdict)
	}
}

// What two scales show adds up to the mass, by statics; readings further off
// than all errors together contradict it.
func TestScales(t *testing.T) {
	r := quantity.Must(stance.Scales{Left: 28, Right: 42}.Share(70, 0.5))
	near(t, "share", float64(r.Value()), 0.4, 1e-12)
	near(t, "least", float64(r.Low()), 27.5/70, 1e-12)
	near(t, "most", float64(r.High()), 28.5/70, 1e-12)
	if _, err := (stance.Scales{Left: 20, Right: 30, Hands: true}).Share(70, 0); err != nil {
		t.Errorf("hands that rest take weight: %v", err)
	}
	for name, c := range map[string]struct {
		s    stance.Scales
		mass quantity.Kilogram
		code string
	}{
		"too much":     {stance.Scales{Left: 40, Right: 40}, 70, "scales_contradict"},
		"too little":   {stance.Scales{Left: 20, Right: 30}, 70, "scales_contradict"},
		"hands, more":  {stance.Scales{Left: 40, Right: 40, Hands: true}, 70, "scales_contradict"},
		"nothing":      {stance.Scales{}, 70, "scales_empty"},
		"below zero":   {stance.Scales{Left: -1, Right: 30}, 70, "negative"},
		"not a number": {stance.Scales{Left: quantity.Kilogram(math.NaN()), Right: 30}, 70, "not_a_number"},
	} {
		_, err := c.s.Share(c.mass, 0)
		refused(t, name, err, c.code)
	}
}

func refused(t *testing.T, name string, err error, code string) {
	t.Helper()
	var e *stance.Error
	if !errors.As(err, &e) || e.Code != code {
		t.Errorf("%s: got %v, want code %s", name, err, code)
		return
	}
	if !strings.HasSuffix(e.Sentence, ".") && !strings.HasSuffix(e.Sentence, "?") {
		t.Errorf("%s: %q is no sentence", name, e.Sentence)
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		change func(*stance.Stance)
		code   string
	}{
		"no mass":          {func(s *stance.Stance) { s.Mass = 0 }, "not_positive"},
		"negative mass":    {func(s *stance.Stance) { s.Mass = -70 }, "not_positive"},
		"mass NaN":         {func(s *stance.Stance) { s.Mass = quantity.Kilogram(nan) }, "not_a_number"},
		"mass infinite":    {func(s *stance.Stance) { s.Mass = quantity.Kilogram(math.Inf(1)) }, "not_a_number"},
		"mass in grams":    {func(s *stance.Stance) { s.Mass = 70000 }, "out_of_range"},
		"gravity":          {func(s *stance.Stance) { s.Gravity = -9.81 }, "not_positive"},
		"height in cm":     {func(s *stance.Stance) { s.Centre.Height = exactly(quantity.Metre(90)) }, "out_of_range"},
		"no contacts":      {func(s *stance.Stance) { s.Contacts = nil }, "no_contacts"},
		"no side":          {func(s *stance.Stance) { s.Contacts[0].Side = finding.NoSide }, "bad_contact"},
		"contact NaN":      {func(s *stance.Stance) { s.Contacts[0].Rear.X = quantity.Metre(nan) }, "not_a_number"},
		"twice":            {func(s *stance.Stance) { s.Contacts[1].Side = finding.Left }, "contact_twice"},
		"coincide":         {func(s *stance.Stance) { s.Contacts[1] = point(stance.Ski, finding.Right, -0.12, 0) }, "contacts_coincide"},
		"swapped":          {func(s *stance.Stance) { s.Contacts[0] = point(stance.Ski, finding.Left, 0.3, 0) }, "sides_swapped"},
		"turned round":     {func(s *stance.Stance) { s.Contacts[0].Front.Y = -1 }, "turned_round"},
		"negative limit":   {func(s *stance.Stance) { s.Contacts[0].Limit = stance.AtMost(-1, "") }, "negative"},
		"limit NaN":        {func(s *stance.Stance) { s.Arms = stance.AtMost(quantity.Newton(nan), "") }, "not_a_number"},
		"outriggers, cage": {func(s *stance.Stance) { s.Contacts[2].Kind = stance.Frame }, "both_aids"},
		"share above one": {func(s *stance.Stance) {
			r := exactly(quantity.Ratio(1.2))
			s.LeftShare = &r
		}, "out_of_range"},
		"share of one foot": {func(s *stance.Stance) {
			r := exactly(quantity.Ratio(0.2))
			s.LeftShare, s.Contacts = &r, s.Contacts[1:]
		}, "no_share"},
		"speed": {func(s *stance.Stance) { s.Right = quantity.MetrePerSecond(nan) }, "not_a_number"},
	} {
		s := fourPoints(0, 0.07)
		c.change(&s)
		_, err := stance.Analyse(s)
		refused(t, name, err, c.code)
		_, err = stance.Changes(s)
		refused(t, name+", changes", err, c.code)
	}
	_, err := stance.Standing(degrees(80), 0)
	refused(t, "a wall", err, "out_of_range")
	_, err = stance.Gliding(degrees(8), 0, exactly(quantity.Ratio(-0.1)))
	refused(t, "negative resistance", err, "out_of_range")
	_, err = stance.Extrapolate(0, 0, 1, nil)
	refused(t, "no pendulum", err, "not_positive")
	_, err = stance.PendulumOf(0.9, "sideways")
	refused(t, "unknown sway", err, "unknown_way")
	_, err = stance.LegLimit(5, 700)
	refused(t, "score", err, "out_of_range")
	_, err = stance.At(quantity.Metre(nan), 0, 1)
	refused(t, "centre", err, "not_a_number")
}

// someone is a random student on lines, with limits and an uncertain centre.
func someone(r *rand.Rand) stance.Stance {
	line := func(kind stance.Kind, side finding.Side, x float64) stance.Contact {
		if side == finding.Left {
			x = -x
		}
		y, skew := 0.3*r.Float64(), 0.1*(r.Float64()-0.5)
		if kind == stance.Ski {
			y = 0.1 * (r.Float64() - 0.5)
		}
		c := stance.Contact{Kind: kind, Side: side, Rear: stance.Point{X: quantity.Metre(x - skew), Y: quantity.Metre(y - 0.1*r.Float64())},
			Front: stance.Point{X: quantity.Metre(x + skew), Y: quantity.Metre(y + 0.05 + 0.2*r.Float64())}}
		if r.IntN(3) > 0 {
			c.Limit = stance.AtMost(quantity.Newton(50+600*r.Float64()), "")
		}
		return c
	}
	s := stance.Stance{Mass: quantity.Kilogram(20 + 80*r.Float64())}
	half := 0.08 + 0.1*r.Float64()
	s.Contacts = append(s.Contacts, line(stance.Ski, finding.Left, half))
	if r.IntN(4) > 0 {
		s.Contacts = append(s.Contacts, line(stance.Ski, finding.Right, half))
	}
	kind := stance.Runner
	if r.IntN(3) == 0 {
		kind = stance.Frame
	}
	if r.IntN(5) > 0 {
		s.Contacts = append(s.Contacts, line(kind, finding.Left, 0.3+0.2*r.Float64()))
	}
	if r.IntN(5) > 0 {
		s.Contacts = append(s.Contacts, line(kind, finding.Right, 0.3+0.2*r.Float64()))
	}
	if r.IntN(2) == 0 {
		s.Arms = stance.AtMost(quantity.Newton(500*r.Float64()), "")
	}
	if r.IntN(2) == 0 {
		s.Lean, _ = stance.Standing(degrees(12*r.Float64()), degrees(360*r.Float64()-180))
	}
	wide := func(v, by float64) quantity.Range[quantity.Metre] {
		if r.IntN(3) == 0 {
			by = 0
		}
		return quantity.Must(quantity.PlusMinus(quantity.Metre(v), quantity.Metre(by)))
	}
	s.Centre = stance.Centre{X: wide(0.1*(r.Float64()-0.5), 0.02*r.Float64()), Y: wide(0.25*r.Float64()-0.03, 0.03*r.Float64()), Height: wide(0.5+0.6*r.Float64(), 0.05)}
	if r.IntN(4) == 0 {
		s.Pendulum, s.Right, s.Forward = 1.1, quantity.MetrePerSecond(r.Float64()-0.5), quantity.MetrePerSecond(r.Float64()-0.5)
	}
	return s
}

// mirror swaps left and right.
func mirror(s stance.Stance) stance.Stance {
	out := s
	out.Contacts = nil
	for _, c := range s.Contacts {
		c.Side, c.Rear.X, c.Front.X = c.Side.Other(), -c.Rear.X, -c.Front.X
		out.Contacts = append(out.Contacts, c)
	}
	out.Centre.X, out.Lean.Right, out.Right = s.Centre.X.Scale(-1), s.Lean.Right.Scale(-1), -s.Right
	if s.LeftShare != nil {
		r := exactly(quantity.Ratio(1)).Sub(*s.LeftShare)
		out.LeftShare = &r
	}
	return out
}

// Statics knows no left and right: the mirrored student has the mirrored
// balance.
func TestMirror(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	for range 400 {
		s := someone(r)
		a, b := analyse(t, s), analyse(t, mirror(s))
		if a.Verdict != b.Verdict {
			t.Fatalf("%v and mirrored %v: %+v", a.Verdict, b.Verdict, s)
		}
		near(t, "arms", float64(b.Arms.Value()), float64(a.Arms.Value()), 1e-8)
		near(t, "arms at most", float64(b.Arms.High()), float64(a.Arms.High()), 1e-8)
		near(t, "margin", float64(b.Margin.Value()), float64(a.Margin.Value()), 1e-10)
		near(t, "reserve", float64(b.Reserve.Low()), float64(a.Reserve.Low()), 1e-8)
		for i, l := range a.Loads {
			m := b.Loads[i]
			if l.Contact.Side != m.Contact.Side.Other() {
				t.Fatal("sides do not answer each other")
			}
			near(t, "even", float64(m.Even), float64(l.Even), 1e-7)
			near(t, "most", float64(m.Wide.High()), float64(l.Wide.High()), 1e-7)
		}
		for d, room := range a.Rooms {
			m := b.Rooms[(8-d)%8]
			near(t, "tips "+room.Toward.String(), float64(m.Tips.Value()), float64(room.Tips.Value()), 1e-9)
			near(t, "fails "+room.Toward.String(), float64(m.Fails.Low()), float64(room.Fails.Low()), 1e-7)
		}
		if t.Failed() {
			t.Fatalf("%+v", s)
		}
	}
}

// The three equations of statics hold for the forces that are shown, and none
// of them pulls or exceeds its limit.
func TestEquilibrium(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 41))
	held := 0
	for range 3000 {
		s := someone(r)
		a := analyse(t, s)
		if a.Carried < 1 {
			continue
		}
		held++
		if a.Residual > 1e-9 {
			t.Fatalf("the balance is off by %g: %+v", a.Residual, s)
		}
		var sum, mx, my float64
		for _, l := range a.Loads {
			if l.EvenRear < -1e-9 || l.EvenFront < -1e-9 {
				t.Fatalf("the %s pulls: %+v", l.Contact.Name(), l)
			}
			if l.Contact.Limit.Known && l.Even > l.Contact.Limit.Most+1e-7 {
				t.Fatalf("the %s exceeds its limit: %+v", l.Contact.Name(), l)
			}
			rear, front := float64(l.EvenRear), float64(l.EvenFront)
			sum += rear + front
			mx += rear*float64(l.Contact.Rear.X) + front*float64(l.Contact.Front.X)
			my += rear*float64(l.Contact.Rear.Y) + front*float64(l.Contact.Front.Y)
		}
		w := float64(a.Weight)
		near(t, "weight", sum, w, 1e-8)
		near(t, "moment about y", mx, w*float64(a.Acts[0].Value()), 1e-8)
		near(t, "moment about x", my, w*float64(a.Acts[1].Value()), 1e-8)
		if t.Failed() {
			t.Fatalf("%+v", s)
		}
	}
	if held < 500 {
		t.Errorf("only %d are held", held)
	}
}

// More strength never makes a stance fail, and never makes the arms carry more
// at least.
func TestMoreStrengthNeverHurts(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 72))
	for range 3000 {
		s := someone(r)
		a := analyse(t, s)
		more := s
		more.Contacts = append([]stance.Contact(nil), s.Contacts...)
		for i := range more.Contacts {
			more.Contacts[i].Limit.Most += quantity.Newton(200 * r.Float64())
		}
		more.Arms.Most += quantity.Newton(100 * r.Float64())
		b := analyse(t, more)
		if b.Verdict < a.Verdict || b.Carried < a.Carried-1e-9 {
			t.Fatalf("%v carrying %v became %v carrying %v with more strength: %+v", a.Verdict, a.Carried, b.Verdict, b.Carried, s)
		}
		if a.Verdict == stance.Held && b.Arms.Value() > a.Arms.Value()+1e-7 {
			t.Fatalf("the arms must carry %v instead of %v with more strength: %+v", b.Arms.Value(), a.Arms.Value(), s)
		}
	}
}

// Ranges hold what any centre of mass within its own range gives.
func TestRangesEnclose(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 81))
	pick := func(of quantity.Range[quantity.Metre]) quantity.Metre {
		return of.Low() + of.Width()*quantity.Metre(r.Float64())
	}
	for range 300 {
		s := someone(r)
		a := analyse(t, s)
		for range 10 {
			one := s
			one.Centre = quantity.Must(stance.At(pick(s.Centre.X), pick(s.Centre.Y), pick(s.Centre.Height)))
			b := analyse(t, one)
			switch {
			case a.Verdict == stance.Held && b.Verdict != stance.Held, a.Verdict == stance.NotHeld && b.Verdict != stance.NotHeld:
				t.Fatalf("%v, but %v within the range: %+v", a.Verdict, b.Verdict, s)
			}
			in := func(what string, v, low, high float64) {
				if v < low-1e-7 || v > high+1e-7 {
					t.Errorf("%s %.9g lies outside %.9g to %.9g", what, v, low, high)
				}
			}
			in("margin", float64(b.Margin.Value()), float64(a.Margin.Low()), float64(a.Margin.High()))
			if !a.RegionEmpty {
				in("reserve", float64(b.Reserve.Value()), float64(a.Reserve.Low()), float64(a.Reserve.High()))
			}
			if b.Verdict == stance.Held && a.Verdict == stance.Held {
				in("arms", float64(b.Arms.Value()), float64(a.Arms.Low()), float64(a.Arms.High()))
			}
			if b.Verdict == stance.Held {
				for i, l := range b.Loads {
					in("least of the "+l.Contact.Name(), float64(l.Possible.Low()), float64(a.Loads[i].Wide.Low()), float64(a.Loads[i].Wide.High()))
					in("most of the "+l.Contact.Name(), float64(l.Possible.High()), float64(a.Loads[i].Wide.Low()), float64(a.Loads[i].Wide.High()))
				}
			}
			if a.Margin.Value() > 0 {
				for d, room := range b.Rooms {
					in("way "+room.Toward.String(), float64(room.Edge.Value()), float64(a.Rooms[d].Edge.Low()), float64(a.Rooms[d].Edge.High()))
				}
			}
			if t.Failed() {
				t.Fatalf("%+v", s)
			}
		}
	}
}

// The strength map: what is written beside each figure.
func TestLimits(t *testing.T) {
	f := finding.Set{}
	put := func(id string, side finding.Side, text string) {
		t.Helper()
		if err := f.PutBoth(id, side, text); err != nil {
			t.Fatal(err)
		}
	}
	put("one_leg_s", finding.Left, "0")
	put("one_leg_bends", finding.Left, "0")
	put("one_leg_s", finding.Right, "12")
	put("one_leg_bends", finding.Right, "5")
	put("push_down", finding.Left, "4")
	put("push_down", finding.Right, "3")
	s := fourPoints(0, 0.07)
	s.FromFindings(f)
	w := float64(s.BodyWeight())
	// WeakLeg1996: healthy people put about 95 % on one leg. Hemiparesis: the weak
	// leg takes 39.7 % in quiet standing. Youdas2005: 50 % are taken off by a pair
	// of crutches, 24 to 25 by one.
	near(t, "right leg", float64(s.Contacts[1].Limit.Most)/w, 1, 1e-9)
	near(t, "right leg, shown", float64(s.Contacts[1].Limit.Low)/w, 0.95, 1e-9)
	near(t, "left leg", float64(s.Contacts[0].Limit.Most)/w, 0.397, 1e-9)
	near(t, "left arm", float64(s.Contacts[2].Limit.Most)/w, 0.25, 1e-9)
	near(t, "right arm", float64(s.Contacts[3].Limit.Most)/w, 0.25*0.75, 1e-9)
	near(t, "arms", float64(s.Arms.Most)/w, 0.5, 1e-9)
	if _, known := stance.LegScore(finding.Set{}, finding.Left); known {
		t.Error("a leg nobody tested has a score")
	}
	if err := f.Put("leg", finding.Right, finding.Fresh, "absent"); err != nil {
		t.Fatal(err)
	}
	if score, known := stance.LegScore(f, finding.Right); score != 0 || !known {
		t.Errorf("an absent leg scores %d, %v", score, known)
	}
	// Worse of fresh and tired.
	if err := f.Put("push_down", finding.Left, finding.Tired, "1"); err != nil {
		t.Fatal(err)
	}
	if score, _ := stance.ArmScore(f, finding.Left); score != 1 {
		t.Errorf("a tired arm scores %d, not 1", score)
	}
	slider := fourPoints(0, 0)
	slider.Contacts = append(slider.Contacts[:2], stance.UsualSlider()...)
	slider.FromFindings(f)
	// Youdas2005: a frame takes 36 %, rounded down to 35 here; arms of 1 and 3
	// carry a tenth and three quarters of their half.
	near(t, "slider", float64(slider.Arms.Most)/w, 0.35/2*(0.1+0.75), 1e-9)
	lone := stance.ArmsLimit(stance.Slider, stance.Limit{}, stance.Limit{}, 100)
	near(t, "slider, arms not tested", float64(lone.Most), 35, 1e-9)
}
