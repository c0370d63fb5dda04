package stance_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/stance"
)

// on poses somebody against a lean.
func (p somebody) on(t *testing.T, against stance.Lean, square bool) *stance.Posed {
	t.Helper()
	h := quantity.Metre(p.cm / 100)
	b, err := body.New(body.Person{AgeYears: &p.age, Sex: p.sex, Mass: quantity.Kilogram(p.kg), Stature: &h, Losses: p.losses})
	if err != nil {
		t.Fatalf("%s: %v", p.name, err)
	}
	way, _ := stance.WayOf(p.way)
	posed, err := stance.Posing{Fit: fit.Input{Body: b, Way: p.way}, Way: way, Gear: b.UsualGear(body.Pair[bool]{}), Against: against, Square: square}.Pose()
	if err != nil {
		t.Fatalf("%s: %v", p.name, err)
	}
	return posed
}

// lesson is what a lesson meets on the steepest slope planned for beginners, 12 %.
func lesson(t *testing.T) []stance.Situation {
	t.Helper()
	taken, _ := stance.Glide()
	return quantity.Must(stance.Situations(quantity.Must(quantity.GradePercent(12)), taken))
}

// Geometry of body.md 5: who stands upright across a slope with feet 25 cm
// apart needs an uphill leg that is 22, 43 and 65 mm shorter at 5, 10 and 15
// degrees. The trunk leans uphill by the slope, and the pelvis stays level.
func TestUprightAcrossTheSlope(t *testing.T) {
	p := somebody{name: "adult", age: 30, cm: 176, kg: 75, sex: body.Male, way: "none"}
	h, width := quantity.Metre(1.76), quantity.Metre(0.25)
	b := quantity.Must(body.New(body.Person{AgeYears: &p.age, Sex: p.sex, Mass: 75, Stature: &h}))
	for _, c := range []struct{ deg, mm float64 }{{5, 22}, {10, 43}, {15, 65}} {
		for _, heading := range []float64{90, -90} {
			lean := quantity.Must(stance.Standing(degrees(c.deg), degrees(heading)))
			in := fit.Input{Body: b, Way: "none"}
			in.Stance.Width = &width
			d, err := stance.Posing{Fit: in, Gear: b.UsualGear(body.Pair[bool]{}), Against: lean}.Pose()
			if err != nil {
				t.Fatal(err)
			}
			uphill := finding.Left
			if heading < 0 {
				uphill = finding.Right
			}
			u := d.Upright
			long := func(s body.Side) float64 { // hip over ankle, along the trunk
				up, _ := b.Chain(s, degrees(15), u.Knee.At(s))
				return float64(up)
			}
			// The hips go uphill by half a ski, to be over the edges, which tilts one
			// leg more than the other: a few millimetres.
			near(t, "shorter uphill leg, mm", 1000*(long(uphill.Other())-long(uphill)), c.mm, 6)
			feet := d.Pose.Joints.Ankle.At(uphill).Sub(d.Pose.Joints.Ankle.At(uphill.Other()))
			sin, cos := math.Sincos(c.deg * math.Pi / 180)
			near(t, "uphill foot higher, mm", 1000*(feet.X*sin*body.Outward(uphill)+feet.Z*cos), c.mm, 0.5)
			if u.Knee.At(uphill) <= u.KneeLevel.At(uphill) || u.Ahead.At(uphill) <= 0 || !u.Enough {
				t.Errorf("%g degrees: %+v", c.deg, u)
			}
			j := d.Pose.Joints
			leans := func(lower, upper body.Vec) float64 {
				return math.Atan2(lower.X-upper.X, upper.Z-lower.Z) * 180 / math.Pi
			}
			near(t, "trunk leans uphill", leans(j.MidHip, j.Neck), c.deg*body.Outward(uphill.Other()), 0.5)
			across := j.Hip.Right.Sub(j.Hip.Left)
			near(t, "pelvis, degrees from the snow", math.Atan2(across.Z, across.X)*180/math.Pi, c.deg*body.Outward(uphill.Other()), 0.05)
			s := quantity.Must(d.Stance())
			near(t, "skis apart", float64(s.Contacts[1].Rear.X-s.Contacts[0].Rear.X), 0.25, 1e-9)
		}
	}
}

// Who stands upright is balanced as on level snow, whatever the body: the
// weight acts where it acts there, within a centimetre, and what can be held
// there can be held here. Square to the snow across the slope most could not.
func TestUprightIsBalancedAsOnLevelSnow(t *testing.T) {
	square := 0
	for _, p := range everybody() {
		level := quantity.Must(p.on(t, stance.Lean{}, false).Stance())
		for _, situation := range lesson(t) {
			d := p.on(t, situation.Lean, false)
			s, err := d.Stance()
			if err != nil {
				t.Fatalf("%s, %s: %v", p.name, situation.Code, err)
			}
			s.Lean = situation.Lean.Met()
			r := analyse(t, s)
			if r.Verdict != stance.Held {
				t.Errorf("%s, %s: %v", p.name, situation.Code, r.Verdict)
			}
			near(t, p.name+", "+situation.Code+", acts to the right", float64(r.Acts[0].Value()), float64(level.Centre.X.Value()), 0.01)
			near(t, p.name+", "+situation.Code+", acts forward", float64(r.Acts[1].Value()), float64(level.Centre.Y.Value()), 0.01)
			for _, side := range body.Sides {
				if u := d.Upright; u != nil && (!u.Enough || u.Knee.At(side).Degrees() > 70 || u.Knee.At(side) < 0) {
					t.Errorf("%s, %s: knees %v", p.name, situation.Code, u.Knee)
				}
				if d.Pose.Short.At(side) > 0.02 {
					t.Errorf("%s, %s: the %s hand misses by %.3f m", p.name, situation.Code, side.Word(), d.Pose.Short.At(side))
				}
			}
			if (d.Upright == nil) != (situation.Code == "level") || (d.Says() == "") != (situation.Code == "level") {
				t.Errorf("%s, %s: says %q", p.name, situation.Code, d.Says())
			}
		}
		q := p.on(t, lesson(t)[3].Lean, true)
		s := quantity.Must(q.Stance())
		s.Lean = lesson(t)[3].Lean
		if r := analyse(t, s); r.Verdict != stance.Held && len(s.Contacts) == 2 {
			square++
		}
	}
	if square == 0 {
		t.Error("everybody can stand square to a slope without an aid")
	}
}

// The mirrored person with the valley on the other side stands mirrored.
func TestUprightMirror(t *testing.T) {
	swap := strings.NewReplacer("left", "right", "right", "left", "Upright", "Upright")
	places := lesson(t)
	for _, p := range everybody() {
		m := p
		m.way, m.losses = swap.Replace(p.way), nil
		for _, l := range p.losses {
			l.Side = l.Side.Other()
			m.losses = append(m.losses, l)
		}
		for i, j := range []int{0, 1, 2, 4, 3} {
			a, b := p.on(t, places[i].Lean, false), m.on(t, places[j].Lean, false)
			if d := a.Pose.CM.Sub(b.Pose.CM.Mirror()).Norm(); d > 1e-9 {
				t.Errorf("%s, %s: the mirrored centre of mass is off by %g m", p.name, places[i].Code, d)
			}
			if a.Says() != swap.Replace(b.Says()) {
				t.Errorf("%s, %s: %q, mirrored %q", p.name, places[i].Code, a.Says(), b.Says())
			}
		}
	}
}

// A prosthesis with a knee of its own is not bent to stand upright; that is
// said, and left to the prosthetist.
func TestUprightLeavesAStiffLeg(t *testing.T) {
	p := somebody{name: "transfemoral", age: 40, cm: 176, kg: 75, way: "outriggers", losses: []body.Loss{{Side: body.Left, Level: body.Transfemoral, Prosthesis: &body.Prosthesis{}}}}
	d := p.on(t, lesson(t)[3].Lean, false) // valley on the right, the left leg uphill
	if u := d.Upright; !u.Stiff || math.Abs(float64(u.Knee.Left-u.KneeLevel.Left)) > 1e-6 || !strings.Contains(d.Says(), "prosthetist") {
		t.Errorf("%+v: %s", u, d.Says())
	}
	if d := p.on(t, lesson(t)[4].Lean, false); d.Upright.Stiff {
		t.Error("downhill it need not bend")
	}
}

// A hand whose arm runs straight downhill is told how much longer its
// outrigger would have to be (trade: downhill longer, uphill shorter).
func TestUprightTellsALongerOutrigger(t *testing.T) {
	p := somebody{name: "child of 6", age: 6, cm: 115, kg: 20, way: "outriggers"}
	u := p.on(t, lesson(t)[3].Lean, false).Upright
	if u.Longer.Right <= 0 || u.Longer.Right > 0.1 || u.Longer.Left != 0 {
		t.Errorf("longer by %v", u.Longer)
	}
}

// Limits that are ranges: what is held by all that was shown is held by
// anything in the ranges; what is not held by all that is not ruled out is held
// by nothing in them; more of either never makes it worse.
func TestLimitRangesEnclose(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 44))
	seen := map[stance.Verdict]int{}
	widen := func(l *stance.Limit) {
		l.Low, l.High = l.Most*quantity.Newton(r.Float64()), l.Most*quantity.Newton(1+r.Float64())+1
	}
	within := func(l stance.Limit) stance.Limit {
		return stance.AtMost(l.Low+(l.High-l.Low)*quantity.Newton(r.Float64()), "")
	}
	for range 1500 {
		s := someone(r)
		s.Contacts = append([]stance.Contact(nil), s.Contacts...)
		for i := range s.Contacts {
			if s.Contacts[i].Limit.Known {
				widen(&s.Contacts[i].Limit)
			}
		}
		if s.Arms.Known {
			widen(&s.Arms)
		}
		a := analyse(t, s)
		seen[a.Verdict]++
		for range 4 {
			one := s
			one.Contacts = append([]stance.Contact(nil), s.Contacts...)
			for i := range one.Contacts {
				if one.Contacts[i].Limit.Known {
					one.Contacts[i].Limit = within(s.Contacts[i].Limit)
				}
			}
			if one.Arms.Known {
				one.Arms = within(s.Arms)
			}
			b := analyse(t, one)
			if a.Verdict == stance.Held && b.Verdict != stance.Held || a.Verdict == stance.NotHeld && b.Verdict != stance.NotHeld {
				t.Fatalf("%v, but %v within the ranges: %+v", a.Verdict, b.Verdict, s)
			}
		}
		more := s
		more.Contacts = append([]stance.Contact(nil), s.Contacts...)
		for i := range more.Contacts {
			l := &more.Contacts[i].Limit
			d := quantity.Newton(100 * r.Float64())
			l.Low, l.Most, l.High = l.Low+d, l.Most+d, l.High+d
		}
		if b := analyse(t, more); b.Verdict < a.Verdict || b.Sure < a.Sure-1e-9 {
			t.Fatalf("%v became %v with more strength: %+v", a.Verdict, b.Verdict, s)
		}
	}
	for _, v := range []stance.Verdict{stance.NotHeld, stance.Partly, stance.Held} {
		if seen[v] < 50 {
			t.Errorf("%v came up %d times only", v, seen[v])
		}
	}
}

// What both legs were seen to do counts for each (common practice, no source:
// whoever stands free carries half on each leg; whoever walks steadily carries
// all of it on each leg in turn).
func TestWhatLegsWereSeenToDo(t *testing.T) {
	const w = 1000
	set := func(pairs ...string) finding.Set {
		f := finding.Set{}
		for i := 0; i < len(pairs); i += 2 {
			id, side := strings.TrimSuffix(strings.TrimSuffix(pairs[i], " L"), " R"), finding.NoSide
			switch {
			case strings.HasSuffix(pairs[i], " L"):
				side = finding.Left
			case strings.HasSuffix(pairs[i], " R"):
				side = finding.Right
			}
			if err := f.PutBoth(id, side, pairs[i+1]); err != nil {
				if err = f.Put(id, side, finding.Fresh, pairs[i+1]); err != nil {
					t.Fatal(err)
				}
			}
		}
		return f
	}
	weak := []string{"one_leg_s L", "0", "one_leg_bends L", "0", "one_leg_s R", "0", "one_leg_bends R", "0"}
	for _, c := range []struct {
		name              string
		f                 finding.Set
		low, value, limit float64
	}{
		{"nothing known", finding.Set{}, -1, -1, -1},
		{"neither leg holds alone", set(weak...), 150, 397, 950},
		{"but stands free", set(append(weak, "stand_s", "9")...), 500, 603, 950},
		{"for a moment only", set(append(weak, "stand_s", "2")...), 150, 397, 950},
		{"or stood the load test", set(append(weak, "load_test", "yes")...), 450, 500, 950},
		{"or failed it", set(append(weak, "load_test", "no")...), 150, 397, 950},
		{"or walks steadily", set(append(weak, "gait", "W5")...), 801, 950, 950},
		{"or with a cane", set(append(weak, "gait", "W4")...), 603, 755, 950},
		{"weaker than the other", set("one_leg_s L", "0", "one_leg_bends L", "0", "one_leg_s R", "12", "one_leg_bends R", "5", "stand_s", "20"), 255, 397, 950},
		{"the only leg, standing free", set("leg R", "absent", "one_leg_s L", "12", "one_leg_bends L", "5", "stand_s", "20"), 1000, 1000, 1500},
		{"no leg to load", set("leg L", "cannot_load", "stand_s", "20"), 0, 0, 0},
		{"only the load test", set("load_test", "yes"), 450, 500, 1500},
	} {
		l := stance.Leg(c.f, finding.Left, w)
		if c.low < 0 {
			if l.Known {
				t.Errorf("%s: %+v", c.name, l)
			}
			continue
		}
		r := l.Range()
		near(t, c.name+", shown", float64(r.Low()), c.low, 1e-6)
		near(t, c.name+", taken", float64(r.Value()), c.value, 1e-6)
		near(t, c.name+", not ruled out", float64(r.High()), c.limit, 1e-6)
	}
}
