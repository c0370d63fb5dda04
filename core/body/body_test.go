package body_test

import (
	"math"
	"testing"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

func metre(v float64) *quantity.Metre { m := quantity.Metre(v); return &m }

func deg(v float64) quantity.Radian { return quantity.Must(quantity.Degrees(v)) }

func TestLimbsMissingSumToTheMass(t *testing.T) {
	b, err := body.New(body.Person{Sex: body.Male, Mass: 73, Stature: metre(1.741)})
	if err != nil {
		t.Fatal(err)
	}
	legs := body.Both(body.LegPose{Ankle: deg(15), Knee: deg(30)})
	_, err = b.Pose(body.Pose{Leg: legs, StanceWidth: metre(0.25), Trunk: body.Lean{Forward: deg(15)}}, body.UsualGear(body.Both(true)))
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range body.Levels() {
		for _, pr := range []*body.Prosthesis{nil, {}} {
			b, err := body.New(body.Person{Sex: body.Male, Mass: 73, Stature: metre(1.741), Losses: []body.Loss{{Side: body.Left, Level: l, Prosthesis: pr}}})
			if err != nil {
				t.Fatal(err)
			}
			q, err := b.Pose(body.Pose{}, body.Gear{})
			if err != nil {
				t.Fatal(err)
			}
			s := 0.0
			for _, p := range q.Parts {
				s += p.Mass
			}
			if math.Abs(s-q.Mass) > 1e-9 {
				t.Error("sum")
			}
		}
	}
}
