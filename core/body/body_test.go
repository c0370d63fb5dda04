package body_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

func metre(v float64) *quantity.Metre { m := quantity.Metre(v); return &m }

func deg(v float64) quantity.Radian { return quantity.Must(quantity.Degrees(v)) }

func years(v float64) *float64 { return &v }

func made(t testing.TB, p body.Person) *body.Body {
	t.Helper()
	b, err := body.New(p)
	if err != nil {
		t.Fatalf("%+v: %v", p, err)
	}
	return b
}

func posed(t testing.TB, b *body.Body, p body.Pose, g body.Gear) body.Posed {
	t.Helper()
	q, err := b.Pose(p, g)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// middle is an invented person of the middle size.
func middle() body.Person {
	return body.Person{Sex: body.Male, Mass: 73, Stature: metre(1.755)}
}

// bent is a beginner's straight run.
func bent() body.Pose {
	return body.Pose{Leg: body.Both(body.LegPose{Ankle: deg(15), Knee: deg(30)}), StanceWidth: metre(0.22), Trunk: body.Lean{Forward: deg(15)}}
}

// people are the sizes that must all work.
func people() map[string]body.Person {
	return map[string]body.Person{
		"woman":        {Sex: body.Female, Mass: 62, Stature: metre(1.63), AgeYears: years(34)},
		"man":          middle(),
		"sex not said": {Mass: 70, Stature: metre(1.70)},
		"child of 6":   {Sex: body.Female, Mass: 20, AgeYears: years(6)},
		"child of 4":   {Mass: 16, Stature: metre(1.02), AgeYears: years(4)},
		"adult of 75":  {Sex: body.Female, Mass: 64, Stature: metre(1.58), AgeYears: years(75)},
		"1.20 m":       {Sex: body.Male, Mass: 45, Stature: metre(1.20), AgeYears: years(30)},
		"2.05 m":       {Sex: body.Male, Mass: 105, Stature: metre(2.05), AgeYears: years(30)},
	}
}

// losses are no loss, and one at every level with and without a prosthesis.
func losses() []*body.Loss {
	out := []*body.Loss{nil}
	for _, l := range body.Levels() {
		for _, s := range body.Sides {
			out = append(out, &body.Loss{Side: s, Level: l}, &body.Loss{Side: s, Level: l, Prosthesis: &body.Prosthesis{}})
		}
	}
	return out
}

func with(p body.Person, l *body.Loss) body.Person {
	if l != nil {
		p.Losses = []body.Loss{*l}
	}
	return p
}

func points(j body.Joints) []body.Vec {
	out := []body.Vec{j.Vertex, j.Neck, j.MidHip}
	for _, p := range []body.Pair[body.Vec]{j.Shoulder, j.Elbow, j.Wrist, j.Grip, j.Fingertip, j.Hip, j.Knee, j.Ankle, j.Heel, j.Toe} {
		out = append(out, p.Left, p.Right)
	}
	return out
}

// Every size of person, with every limb and with one missing at every level,
// has finite joints in the order of a standing body, masses that sum to what
// was weighed, and a centre of mass inside its own parts.
func TestEverybodyIsOrdered(t *testing.T) {
	for name, p := range people() {
		for _, l := range losses() {
			b := made(t, with(p, l))
			q := posed(t, b, bent(), body.UsualGear(body.Both(true)))
			for _, v := range points(q.Joints) {
				if math.IsNaN(v.Norm()) || math.IsInf(v.Norm(), 0) {
					t.Fatalf("%s %+v: a joint at %v", name, l, v)
				}
			}
			j := q.Joints
			if !(j.Vertex.Z > j.Neck.Z && j.Neck.Z > j.MidHip.Z && j.Shoulder.Left.Z > j.Hip.Left.Z && j.Neck.Z < b.Frame().Stature.Value+0.1) {
				t.Errorf("%s %+v: trunk out of order", name, l)
			}
			for _, s := range body.Sides {
				if q.Standing.At(s) && !(j.Hip.At(s).Z > j.Knee.At(s).Z && j.Knee.At(s).Z > j.Ankle.At(s).Z && j.Ankle.At(s).Z > j.Heel.At(s).Z) {
					t.Errorf("%s %+v: %s leg out of order", name, l, s.Word())
				}
				if out := body.Outward(s); out*j.Shoulder.At(s).X < out*j.Neck.X {
					t.Errorf("%s %+v: %s shoulder on the other side", name, l, s.Word())
				}
			}
			own, all := 0.0, 0.0
			low, high := body.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, body.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
			for _, x := range q.Parts {
				if x.Mass <= 0 {
					t.Errorf("%s %+v: %s weighs %g", name, l, x.Name, x.Mass)
				}
				all += x.Mass
				if !x.Worn {
					own += x.Mass
				}
				low = body.Vec{X: min(low.X, x.At.X), Y: min(low.Y, x.At.Y), Z: min(low.Z, x.At.Z)}
				high = body.Vec{X: max(high.X, x.At.X), Y: max(high.Y, x.At.Y), Z: max(high.Z, x.At.Z)}
			}
			if math.Abs(own-float64(p.Mass)) > 1e-9 || math.Abs(all-q.Mass) > 1e-9 {
				t.Errorf("%s %+v: parts weigh %g of %g kg", name, l, own, float64(p.Mass))
			}
			c := q.CM
			if c.X < low.X || c.X > high.X || c.Y < low.Y || c.Y > high.Y || c.Z < low.Z || c.Z > high.Z {
				t.Errorf("%s %+v: centre %v outside its parts", name, l, c)
			}
			// Textbooks put it at 55 to 57 % of an upright adult's stature; boots,
			// skis and a bent stance lower it, a lost leg raises it.
			if share := c.Z / b.Frame().Stature.Value; share < 0.40 || share > 0.68 {
				t.Errorf("%s %+v: centre at %.0f %% of stature", name, l, 100*share)
			}
			if !(q.SD.Z > 0 && q.SD.Z < 0.12*b.Frame().Stature.Value) {
				t.Errorf("%s %+v: uncertainty %v", name, l, q.SD)
			}
		}
	}
}

// The mirror image of a person in the mirror image of a pose has the mirror
// image of the centre of mass.
func TestMirror(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	angle := func(low, high float64) quantity.Radian { return deg(low + rnd.Float64()*(high-low)) }
	levels := body.Levels()
	for range 400 {
		p := middle()
		p.LegShort.Left = quantity.Metre(rnd.Float64() * 0.02)
		if rnd.IntN(2) == 0 {
			l := body.Loss{Side: body.Left, Level: levels[rnd.IntN(len(levels))]}
			if l.Level.Cut() != "" {
				l.Residual = metre(0.08 + 0.1*rnd.Float64())
			}
			if rnd.IntN(2) == 0 {
				l.Prosthesis = &body.Prosthesis{}
			}
			p.Losses = []body.Loss{l}
		}
		a := angle(5, 20)
		pose := body.Pose{Leg: body.Pair[body.LegPose]{Left: body.LegPose{Ankle: a, Knee: angle(15, 40)}, Right: body.LegPose{Ankle: a, Knee: angle(15, 40)}},
			StanceWidth: metre(0.1 + 0.3*rnd.Float64()), Shift: quantity.Metre(0.1*rnd.Float64() - 0.05),
			Trunk: body.Lean{Forward: angle(-5, 30), Right: angle(-15, 15)},
			Arm:   body.Pair[body.ArmPose]{Left: body.ArmPose{Forward: angle(-20, 60), Out: angle(0, 40), Elbow: angle(0, 90)}, Right: body.ArmPose{Grip: &body.Vec{X: 0.4, Y: 0.3, Z: 0.9}}}}
		g := body.UsualGear(body.Pair[bool]{Left: true})
		g.Plate.Right = quantity.Metre(0.01 * rnd.Float64())
		q, err := made(t, p).Pose(pose, g)
		if err != nil {
			var e *body.Error
			if errors.As(err, &e) && e.Code == "pose_impossible" {
				continue // the hips would stand further apart than the pelvis is wide
			}
			t.Fatal(err)
		}
		m := p
		m.LegShort = p.LegShort.Swap()
		m.Losses = nil
		for _, l := range p.Losses {
			l.Side = body.Right
			m.Losses = append(m.Losses, l)
		}
		mp := pose
		mp.Leg, mp.Arm, mp.Shift, mp.Trunk.Right = pose.Leg.Swap(), pose.Arm.Swap(), -pose.Shift, -pose.Trunk.Right
		if grip := mp.Arm.Left.Grip; grip != nil {
			v := grip.Mirror()
			mp.Arm.Left.Grip = &v
		}
		mg := g
		mg.Outrigger, mg.Plate = g.Outrigger.Swap(), g.Plate.Swap()
		r := posed(t, made(t, m), mp, mg)
		if d := r.CM.Sub(q.CM.Mirror()).Norm(); d > 1e-12 {
			t.Fatalf("mirror image is off by %g m\n%+v\n%+v", d, p, pose)
		}
		if d := r.SD.Sub(q.SD).Norm(); d > 1e-12 {
			t.Fatalf("mirror image's uncertainty is off by %g m", d)
		}
	}
}

// The answer does not depend on the units somebody measured in.
func TestUnits(t *testing.T) {
	pounds := quantity.Must(quantity.Pounds(160))
	inches := quantity.Must(quantity.Inches(69))
	kg := quantity.Must(quantity.Kilograms(160 * 0.45359237))
	cm := quantity.Must(quantity.Centimetres(69 * 2.54))
	a := posed(t, made(t, body.Person{Sex: body.Female, Mass: pounds, Stature: &inches}), bent(), body.Gear{})
	b := posed(t, made(t, body.Person{Sex: body.Female, Mass: kg, Stature: &cm}), bent(), body.Gear{})
	if a.CM.Sub(b.CM).Norm() > 1e-12 || math.Abs(a.Mass-b.Mass) > 1e-9 {
		t.Errorf("pounds and inches give %v, kilograms and centimetres %v", a.CM, b.CM)
	}
}

// A body twice as heavy has the same centre; every share scales.
func TestMassScales(t *testing.T) {
	p := middle()
	one := posed(t, made(t, p), bent(), body.Gear{})
	p.Mass *= 2
	two := posed(t, made(t, p), bent(), body.Gear{})
	if one.CM.Sub(two.CM).Norm() > 1e-12 || math.Abs(two.Mass-2*one.Mass) > 1e-9 {
		t.Errorf("twice the mass moves the centre from %v to %v", one.CM, two.CM)
	}
}

// upright puts the same person, with and without a loss, over the middle of
// the hips, so that what moved is the limb alone.
func upright(t *testing.T, l *body.Loss) body.Vec {
	q := posed(t, made(t, with(middle(), l)), body.Pose{}, body.Gear{})
	return q.BodyCM.Sub(q.Joints.MidHip)
}

// A lost leg moves the centre up and to the sound side, the more the higher; a
// lost arm moves it to the other side, and at the shoulder down (directions of
// the Giancoli table without parts, body.md section 2).
func TestLossMovesTheCentre(t *testing.T) {
	whole := upright(t, nil)
	up := 0.0
	for _, level := range []body.Level{body.AtFoot, body.Transtibial, body.AtKnee, body.Transfemoral, body.AtHip} {
		d := upright(t, &body.Loss{Side: body.Left, Level: level}).Sub(whole)
		if d.Z <= up || d.X <= 0 {
			t.Errorf("left leg lost at %s moves the centre by %v", level, d)
		}
		up = d.Z
	}
	across := 0.0
	for _, level := range []body.Level{body.AtHand, body.Transradial, body.AtElbow, body.Transhumeral, body.AtShoulder} {
		d := upright(t, &body.Loss{Side: body.Right, Level: level}).Sub(whole)
		if d.X >= across {
			t.Errorf("right arm lost at %s moves the centre by %v", level, d)
		}
		across = d.X
	}
	if d := upright(t, &body.Loss{Side: body.Right, Level: body.AtShoulder}).Sub(whole); d.Z >= 0 {
		t.Errorf("an arm lost at the shoulder raises the centre by %v", d)
	}
}

// The longer the residual, the smaller the shift, from the joint above to the
// joint below without a jump.
func TestResidual(t *testing.T) {
	whole := upright(t, nil)
	for _, x := range []struct{ cut, above, below body.Level }{{body.Transtibial, body.AtKnee, body.AtFoot}, {body.Transfemoral, body.AtHip, body.AtKnee},
		{body.Transradial, body.AtElbow, body.AtHand}, {body.Transhumeral, body.AtShoulder, body.AtElbow}} {
		shift := func(l *body.Loss) float64 { return upright(t, l).Sub(whole).Norm() }
		last := shift(&body.Loss{Side: body.Left, Level: x.above})
		b := made(t, middle())
		f := b.Frame()
		length := map[body.Level]float64{body.Transtibial: f.Knee.Value - f.Ankle.Value, body.Transfemoral: f.Hip.Value - f.Knee.Value,
			body.Transradial: f.Forearm.Left.Value, body.Transhumeral: f.UpperArm.Left.Value}[x.cut]
		for i := 1; i <= 50; i++ {
			r := quantity.Metre(length * float64(i) / 50)
			now := shift(&body.Loss{Side: body.Left, Level: x.cut, Residual: &r})
			if now > last+1e-12 {
				t.Fatalf("%s: a residual of %g m moves the centre by %g, a shorter one by %g", x.cut, float64(r), now, last)
			}
			if last-now > 0.02 {
				t.Fatalf("%s: a jump from %g to %g m at a residual of %g m", x.cut, last, now, float64(r))
			}
			last = now
		}
		if end := shift(&body.Loss{Side: body.Left, Level: x.below}); math.Abs(end-last) > 1e-9 {
			t.Errorf("%s with the whole segment left shifts %g m, %s %g m", x.cut, last, x.below, end)
		}
	}
}

// A residual cone of full length is the segment of the table; its mass and
// moment grow with its length.
func TestRemaining(t *testing.T) {
	for c := 0.26; c < 0.74; c += 0.01 {
		m, at := body.Remaining(c, 1)
		if math.Abs(m-1) > 1e-12 || math.Abs(at-c) > 1e-9 {
			t.Fatalf("the whole cone of centre %g has mass %g at %g", c, m, at)
		}
		lastM, lastAt := 0.0, 0.0
		for s := 0.02; s <= 1; s += 0.02 {
			m, at := body.Remaining(c, s)
			if m <= lastM || at <= lastAt || at >= s {
				t.Fatalf("centre %g, share %g: mass %g at %g", c, s, m, at)
			}
			lastM, lastAt = m, at
		}
	}
	// A cylinder keeps what its length keeps.
	if m, at := body.Remaining(0.5, 0.4); math.Abs(m-0.4) > 1e-9 || math.Abs(at-0.2) > 1e-9 {
		t.Errorf("two fifths of a cylinder: mass %g at %g", m, at)
	}
}

// A prosthesis brings the centre back towards where it was.
func TestProsthesisBringsBack(t *testing.T) {
	whole := upright(t, nil)
	for _, l := range body.Levels() {
		without := upright(t, &body.Loss{Side: body.Left, Level: l}).Sub(whole).Norm()
		worn := upright(t, &body.Loss{Side: body.Left, Level: l, Prosthesis: &body.Prosthesis{}}).Sub(whole).Norm()
		if worn >= without {
			t.Errorf("%s: with the prosthesis the centre is off by %g m, without by %g", l, worn, without)
		}
	}
}

// The hand closes round the point asked for, at the lengths of the arm; out of
// reach it says by how much.
func TestGrip(t *testing.T) {
	b := made(t, middle())
	rnd := rand.New(rand.NewPCG(13, 14))
	f := b.Frame()
	for range 500 {
		grip := body.Vec{X: 0.2 + 0.3*rnd.Float64(), Y: -0.1 + 0.7*rnd.Float64(), Z: 0.5 + 0.7*rnd.Float64()}
		pose := bent()
		pose.Arm.Right.Grip = &grip
		q := posed(t, b, pose, body.Gear{})
		j := q.Joints
		if d := j.Elbow.Right.Sub(j.Shoulder.Right).Norm(); math.Abs(d-f.UpperArm.Right.Value) > 1e-9 {
			t.Fatalf("upper arm of %g m, not %g", d, f.UpperArm.Right.Value)
		}
		if d := j.Grip.Right.Sub(grip).Norm(); math.Abs(d-q.Short.Right) > 1e-9 {
			t.Fatalf("the hand misses by %g m and says %g", d, q.Short.Right)
		}
		d := j.Grip.Right.Sub(j.Shoulder.Right).Norm()
		bend, err := body.ElbowBend(quantity.Metre(d), quantity.Metre(f.UpperArm.Right.Value), quantity.Metre(f.Forearm.Right.Value+f.Grip.Right.Value))
		if err == nil && math.Abs(float64(bend)-q.Elbow.Right) > 1e-6 {
			t.Fatalf("elbow %g rad, by its sides %g", q.Elbow.Right, float64(bend))
		}
	}
}

// A leg that is shorter lowers its hip and tilts the pelvis; a plate of the
// same height levels it.
func TestPlateLevelsHips(t *testing.T) {
	p := middle()
	p.LegShort.Left = 0.02
	q := posed(t, made(t, p), body.Pose{StanceWidth: metre(0.2)}, body.Gear{})
	if d := q.Joints.Hip.Right.Z - q.Joints.Hip.Left.Z; math.Abs(d-0.02) > 1e-4 {
		t.Errorf("a leg 20 mm short puts its hip %g m lower", d)
	}
	q = posed(t, made(t, p), body.Pose{StanceWidth: metre(0.2)}, body.Gear{Plate: body.Pair[quantity.Metre]{Left: 0.02}})
	if d := q.Joints.Hip.Right.Z - q.Joints.Hip.Left.Z; math.Abs(d) > 1e-4 {
		t.Errorf("with the plate the hips are %g m apart in height", d)
	}
}

// A length somebody measured makes the answer surer, never less sure.
func TestMeasuringNarrows(t *testing.T) {
	p := middle()
	before := posed(t, made(t, p), bent(), body.Gear{}).SD.Z
	f := made(t, p).Frame()
	p.Measured.HipHeight = &body.Reading{Value: quantity.Metre(f.Hip.Value)}
	after := posed(t, made(t, p), bent(), body.Gear{}).SD.Z
	if !(after < before) {
		t.Errorf("measuring the hip's height takes the error from %g to %g m", before, after)
	}
}

func TestModelIsChosenWhole(t *testing.T) {
	for _, x := range []struct {
		p    body.Person
		want string
	}{
		{body.Person{Sex: body.Female, Mass: 60, Stature: metre(1.65), AgeYears: years(30)}, "deleva_f"},
		{body.Person{Sex: body.Male, Mass: 60, Stature: metre(1.65)}, "deleva_m"},
		{body.Person{Mass: 60, Stature: metre(1.65), AgeYears: years(64.9)}, "deleva"},
		{body.Person{Mass: 60, Stature: metre(1.65), AgeYears: years(65)}, "pavol"},
		{body.Person{Mass: 30, Stature: metre(1.3), AgeYears: years(17.9)}, "jensen"},
		{body.Person{Mass: 30, Stature: metre(1.3), AgeYears: years(70), Model: "jensen_fletcher"}, "jensen_fletcher"},
	} {
		m := made(t, x.p).Model()
		if m.Name != x.want || m.Reason == "" {
			t.Errorf("%+v: %s because %q, want %s", x.p, m.Name, m.Reason, x.want)
		}
		sum := 0.0
		for _, s := range body.Segments() {
			n := 1.0
			if s.Paired() {
				n = 2
			}
			sum += n * m.Of(s).Mass
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("%s sums to %g", m.Name, sum)
		}
	}
}

// The printed columns of the children's table, rescaled to 100 (Jensen 1986,
// 1989, one copy): 15 years sums to 100.2 %.
func TestChildColumns(t *testing.T) {
	for _, x := range []struct{ age, head, sum float64 }{{6, 18.2, 99.9}, {12, 10.1, 99.8}, {15, 6.7, 99.9}} {
		b := made(t, body.Person{Sex: body.Male, Mass: 40, Stature: metre(1.4), AgeYears: &x.age})
		if got := 100 * b.Model().Of(body.Head).Mass; math.Abs(got-x.head) > 0.05 {
			t.Errorf("head at %g years is %.2f %%, printed %.1f", x.age, got, x.head)
		}
	}
}
