package body_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

// refused checks the code of a refusal and that a sentence comes with it.
func refused(t *testing.T, what string, err error, code string) {
	t.Helper()
	var e *body.Error
	if !errors.As(err, &e) || e.Code != code {
		t.Errorf("%s: %v, want a refusal with the code %s", what, err, code)
		return
	}
	if !strings.HasSuffix(e.Sentence, ".") || strings.ToUpper(e.Sentence[:1]) != e.Sentence[:1] {
		t.Errorf("%s: %q is no sentence", what, e.Sentence)
	}
}

func TestPersonRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	change := func(f func(*body.Person)) body.Person {
		p := middle()
		f(&p)
		return p
	}
	loss := func(l ...body.Loss) body.Person { return change(func(p *body.Person) { p.Losses = l }) }
	for _, x := range []struct {
		what string
		p    body.Person
		code string
	}{
		{"mass below zero", change(func(p *body.Person) { p.Mass = -5 }), "mass_not_positive"},
		{"no mass", change(func(p *body.Person) { p.Mass = 0 }), "mass_not_positive"},
		{"mass NaN", change(func(p *body.Person) { p.Mass = quantity.Kilogram(nan) }), "not_a_number"},
		{"mass in grams", change(func(p *body.Person) { p.Mass = 73000 }), "mass_impossible"},
		{"stature NaN", change(func(p *body.Person) { p.Stature = metre(nan) }), "not_a_number"},
		{"stature infinite", change(func(p *body.Person) { p.Stature = metre(inf) }), "not_a_number"},
		{"stature below zero", change(func(p *body.Person) { p.Stature = metre(-1.7) }), "length_not_positive"},
		{"stature in cm", change(func(p *body.Person) { p.Stature = metre(175) }), "length_impossible"},
		{"no stature, grown", change(func(p *body.Person) { p.Stature = nil }), "stature_needed"},
		{"age below zero", change(func(p *body.Person) { p.AgeYears = years(-1) }), "age_impossible"},
		{"age NaN", change(func(p *body.Person) { p.AgeYears = years(nan) }), "not_a_number"},
		{"unknown sex", change(func(p *body.Person) { p.Sex = "X" }), "unknown_sex"},
		{"unknown model", change(func(p *body.Person) { p.Model = "own" }), "unknown_model"},
		{"both legs shorter", change(func(p *body.Person) { p.LegShort = body.Both(quantity.Metre(0.01)) }), "both_shorter"},
		{"knee above hip", change(func(p *body.Person) { p.Measured.KneeHeight = &body.Reading{Value: 1.2} }), "lengths_out_of_order"},
		{"knee below zero", change(func(p *body.Person) { p.Measured.KneeHeight = &body.Reading{Value: -0.4} }), "length_not_positive"},
		{"error below zero", change(func(p *body.Person) { p.Measured.HipHeight = &body.Reading{Value: 0.9, Error: -1} }), "error_negative"},
		{"residual longer than the shank", loss(body.Loss{Side: body.Left, Level: body.Transtibial, Residual: metre(0.6)}), "residual_too_long"},
		{"residual longer than the upper arm", loss(body.Loss{Side: body.Left, Level: body.Transhumeral, Residual: metre(0.5)}), "residual_too_long"},
		{"residual zero", loss(body.Loss{Side: body.Left, Level: body.Transfemoral, Residual: metre(0)}), "length_not_positive"},
		{"residual NaN", loss(body.Loss{Side: body.Left, Level: body.Transfemoral, Residual: metre(nan)}), "not_a_number"},
		{"residual at a joint", loss(body.Loss{Side: body.Left, Level: body.AtKnee, Residual: metre(0.1)}), "residual_unused"},
		{"unknown level", loss(body.Loss{Side: body.Left, Level: "shin"}), "unknown_level"},
		{"no side", loss(body.Loss{Level: body.AtKnee}), "side_needed"},
		{"one leg twice", loss(body.Loss{Side: body.Left, Level: body.AtKnee}, body.Loss{Side: body.Left, Level: body.AtFoot}), "limb_twice"},
		{"balance point beyond the limb", loss(body.Loss{Side: body.Left, Level: body.AtKnee, Prosthesis: &body.Prosthesis{Balance: metre(2)}}), "balance_impossible"},
	} {
		_, err := body.New(x.p)
		refused(t, x.what, err, x.code)
	}
	minus := quantity.Must(quantity.PlusMinus(quantity.Kilogram(0.5), quantity.Kilogram(1)))
	_, err := body.New(loss(body.Loss{Side: body.Left, Level: body.AtKnee, Prosthesis: &body.Prosthesis{Mass: &minus}}))
	refused(t, "prosthesis that may weigh less than nothing", err, "mass_not_positive")
}

func TestPoseRefusals(t *testing.T) {
	b := made(t, middle())
	for _, x := range []struct {
		what   string
		change func(*body.Pose)
		code   string
	}{
		{"knee backwards", func(p *body.Pose) { p.Leg.Left.Knee = deg(-20) }, "knee_backwards"},
		{"knee NaN", func(p *body.Pose) { p.Leg.Left.Knee = quantity.Radian(math.NaN()) }, "not_a_number"},
		{"knee folded through itself", func(p *body.Pose) { p.Leg.Right.Knee = deg(200) }, "knee_impossible"},
		{"elbow backwards", func(p *body.Pose) { p.Arm.Right.Elbow = deg(-30) }, "elbow_backwards"},
		{"trunk upside down", func(p *body.Pose) { p.Trunk.Forward = deg(170) }, "lean_impossible"},
		{"feet too far apart", func(p *body.Pose) { p.StanceWidth = metre(3) }, "pose_impossible"},
		{"one knee bent, the other straight, feet level", func(p *body.Pose) { p.Leg.Left = body.LegPose{Ankle: deg(40), Knee: deg(130)} }, "pose_impossible"},
		{"nobody stands", func(p *body.Pose) { p.Leg.Left.Off, p.Leg.Right.Off = true, true }, "no_leg"},
		{"hand nowhere", func(p *body.Pose) { p.Arm.Left.Grip = &body.Vec{X: math.Inf(1)} }, "not_a_number"},
	} {
		p := bent()
		x.change(&p)
		_, err := b.Pose(p, body.Gear{})
		refused(t, x.what, err, x.code)
	}
	// A knee pushed straight beyond 0, as many do, is taken.
	p := bent()
	p.Leg = body.Both(body.LegPose{Knee: deg(-8)})
	if _, err := b.Pose(p, body.Gear{}); err != nil {
		t.Errorf("a knee pushed 8 degrees beyond straight is refused: %v", err)
	}
	_, err := b.Pose(bent(), body.Gear{Sole: -0.1})
	refused(t, "sole under the snow", err, "length_impossible")
}

func TestHelperRefusals(t *testing.T) {
	nan := math.NaN()
	_, err := body.NewPlane(nil)
	refused(t, "no lumps", err, "nothing_given")
	_, err = body.NewPlane([]body.Lump{{Mass: -1}})
	refused(t, "mass below zero", err, "mass_not_positive")
	_, err = body.NewPlane([]body.Lump{{Mass: 1, To: body.Point{X: nan}}})
	refused(t, "place NaN", err, "not_a_number")
	_, err = body.OnScales([]body.Scale{{Force: 1}})
	refused(t, "one scale", err, "scales_needed")
	_, err = body.OnScales([]body.Scale{{Force: -1}, {Force: 4}})
	refused(t, "scale below zero", err, "reading_negative")
	_, err = body.ReactionBoard(1.8, 31, 10, 52)
	refused(t, "lighter with the person on", err, "reading_negative")
	_, err = body.ReactionBoard(1.8, 0, 60, 52)
	refused(t, "centre beyond the board", err, "scales_contradict")
	_, _, err = body.Reactions(1, 1, nil)
	refused(t, "supports at one place", err, "supports_equal")
	_, err = body.Counterweight(1, 1, nil)
	refused(t, "load on the pivot", err, "supports_equal")
	_, err = body.ElbowBend(0.9, 0.3, 0.3)
	refused(t, "out of reach", err, "out_of_reach")
	_, err = body.ElbowBend(quantity.Metre(nan), 0.3, 0.3)
	refused(t, "distance NaN", err, "not_a_number")
	_, err = body.OsterkampLoss("shin", -1)
	refused(t, "unknown level", err, "unknown_level")
	_, err = body.OsterkampLoss(body.Transtibial, 1.2)
	refused(t, "residual longer than the segment", err, "residual_too_long")
	_, err = body.OsterkampPart("tail")
	refused(t, "unknown part", err, "unknown_part")
	_, err = body.IntactMass(-3, nil)
	refused(t, "mass below zero", err, "mass_not_positive")
	_, err = body.LostSum([]body.Absent{{Loss: 0.6}, {Loss: 0.6}})
	refused(t, "more lost than there is", err, "share_impossible")
	_, err = body.Row("winter_dempster", "tail", "", 0, 0)
	refused(t, "unknown segment", err, "unknown_segment")
	_, err = body.Row("deleva1996", "thigh", "", 0, 0)
	refused(t, "no column named", err, "sex_needed")
	_, err = body.Rows("somebody", "", 0, 0)
	refused(t, "unknown table", err, "unknown_table")
	_, err = body.Rows("chandler1975", "", 0, 0)
	refused(t, "no weight", err, "weight_needed")
	_, err = body.Flex(0.4, 0.4, 0.5, 0, deg(-30), 0)
	refused(t, "knee backwards", err, "knee_backwards")
	_, err = body.GrowthAt("stature_cm", body.Male, 40)
	refused(t, "age outside the chart", err, "age_outside_chart")
	_, err = body.ElbowOfPopulation("", body.AtWristCrease, 0, 0)
	refused(t, "sexes pooled", err, "sex_needed")
}

// Two scales that contradict the person's mass by more than their error are
// refused; within it they are taken, and hands on a rail widen it downward.
func TestTwoScales(t *testing.T) {
	expected := quantity.Must(quantity.PlusMinus(quantity.Kilogram(70), quantity.Kilogram(1)))
	s, err := body.TwoScales(28, 42, 0.5, expected, 0)
	if err != nil || math.Abs(s.Left-0.4) > 1e-12 {
		t.Errorf("28 and 42 kg: %+v, %v", s, err)
	}
	_, err = body.TwoScales(20, 42, 0.5, expected, 0)
	refused(t, "62 kg for a person of 70", err, "scales_contradict")
	_, err = body.TwoScales(40, 42, 0.5, expected, 0)
	refused(t, "82 kg for a person of 70", err, "scales_contradict")
	if _, err = body.TwoScales(20, 42, 0.5, expected, 10); err != nil {
		t.Errorf("10 kg held by hands: %v", err)
	}
	_, err = body.TwoScales(-1, 42, 0.5, expected, 0)
	refused(t, "scale below zero", err, "reading_negative")
	_, err = body.TwoScales(quantity.Kilogram(math.NaN()), 42, 0.5, expected, 0)
	refused(t, "scale NaN", err, "not_a_number")
}

// FuzzNew: whatever numbers come in, either a refusal comes out or a body with
// finite joints whose parts weigh what was weighed.
func FuzzNew(f *testing.F) {
	f.Add(73.0, 1.755, 30.0, 0.16, 15.0, 30.0, 15.0, uint8(1))
	f.Add(-1.0, 0.0, math.NaN(), 9.0, 400.0, -50.0, 1e300, uint8(7))
	f.Add(20.0, 1.1, 6.0, 0.1, 0.0, 0.0, 0.0, uint8(33))
	f.Fuzz(func(t *testing.T, mass, stature, age, residual, ankle, knee, trunk float64, pick uint8) {
		p := body.Person{Mass: quantity.Kilogram(mass), Stature: metre(stature), AgeYears: &age, Sex: []body.Sex{"", "F", "M"}[pick%3]}
		levels := body.Levels()
		if i := int(pick) % (len(levels) + 1); i < len(levels) {
			l := body.Loss{Side: body.Sides[pick%2], Level: levels[i]}
			if l.Level.Cut() != "" {
				l.Residual = metre(residual)
			}
			if pick%5 == 0 {
				l.Prosthesis = &body.Prosthesis{}
			}
			p.Losses = []body.Loss{l}
		}
		b, err := body.New(p)
		if err != nil {
			var e *body.Error
			if !errors.As(err, &e) || e.Code == "" || e.Sentence == "" {
				t.Fatalf("a refusal of another shape: %v", err)
			}
			return
		}
		rad := func(d float64) quantity.Radian { return quantity.Radian(d / 180 * math.Pi) }
		q, err := b.Pose(body.Pose{Leg: body.Both(body.LegPose{Ankle: rad(ankle), Knee: rad(knee)}), Trunk: body.Lean{Forward: rad(trunk)}}, body.UsualGear(body.Both(true)))
		if err != nil {
			return
		}
		own := 0.0
		for _, x := range q.Parts {
			if !x.Worn {
				own += x.Mass
			}
		}
		if math.Abs(own-mass) > 1e-9*mass {
			t.Fatalf("parts weigh %g of %g kg", own, mass)
		}
		for _, v := range append(points(q.Joints), q.CM, q.SD) {
			if math.IsNaN(v.Norm()) || math.IsInf(v.Norm(), 0) {
				t.Fatalf("a point at %v", v)
			}
		}
	})
}

// FuzzTwoScales: a share always lies between nothing and everything.
func FuzzTwoScales(f *testing.F) {
	f.Add(28.0, 42.0, 0.5, 70.0)
	f.Add(math.NaN(), -1.0, 1e308, 1e308)
	f.Fuzz(func(t *testing.T, left, right, each, expected float64) {
		want, err := quantity.PlusMinus(quantity.Kilogram(expected), quantity.Kilogram(1))
		if err != nil {
			return
		}
		s, err := body.TwoScales(quantity.Kilogram(left), quantity.Kilogram(right), quantity.Kilogram(each), want, 0)
		if err == nil && !(s.Left >= 0 && s.Left <= 1) {
			t.Fatalf("left carries %g", s.Left)
		}
	})
}
