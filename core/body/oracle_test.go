package body_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

// TestOracleSagittal poses random people symmetrically and finds the centre a
// second time, by adding up segments along a stick figure seen from the side.
func TestOracleSagittal(t *testing.T) {
	rnd := rand.New(rand.NewPCG(31, 32))
	for range 500 {
		p := body.Person{Sex: []body.Sex{body.Female, body.Male}[rnd.IntN(2)], Mass: quantity.Kilogram(30 + 80*rnd.Float64()), Stature: metre(1.3 + 0.7*rnd.Float64()), AgeYears: years(7 + 70*rnd.Float64())}
		b := made(t, p)
		ankle, knee, trunk, arm, elbow := 30*rnd.Float64(), 60*rnd.Float64(), 40*rnd.Float64(), 60*rnd.Float64(), 90*rnd.Float64()
		pose := body.Pose{Leg: body.Both(body.LegPose{Ankle: deg(ankle), Knee: deg(knee)}), Trunk: body.Lean{Forward: deg(trunk)},
			Arm: body.Both(body.ArmPose{Forward: deg(arm), Elbow: deg(elbow)})}
		got := posed(t, b, pose, body.Gear{Sole: 0.07})
		f, m := b.Frame(), b.Model()

		type at struct{ y, z float64 }
		step := func(from at, length, lean float64) at {
			a := lean / 180 * math.Pi
			return at{from.y + length*math.Sin(a), from.z + length*math.Cos(a)}
		}
		part := func(from, to at, share float64) at {
			return at{from.y + (to.y-from.y)*share, from.z + (to.z-from.z)*share}
		}
		foot := at{0, 0.07 + f.Ankle.Value}
		kneeAt := step(foot, f.Knee.Value-f.Ankle.Value, ankle)
		hip := step(kneeAt, f.Hip.Value-f.Knee.Value, ankle-knee)
		neck := step(hip, f.Neck.Value-f.Hip.Value, trunk)
		vertex := step(neck, f.Stature.Value-f.Neck.Value, 0)
		shoulder := step(hip, f.Shoulder.Value-f.Hip.Value, trunk)
		elbowAt := step(shoulder, f.UpperArm.Left.Value, 180-arm)
		wrist := step(elbowAt, f.Forearm.Left.Value, 180-arm-elbow)
		tip := step(wrist, f.Hand.Left.Value, 180-arm-elbow)
		heel := at{-0.25 * f.FootLength.Value, 0.07}
		toe := at{heel.y + f.FootLength.Value, 0.07}
		var sum, y, z float64
		add := func(s body.Segment, n float64, from, to at, up float64) {
			c := part(from, to, m.Of(s).Centre)
			w := n * m.Of(s).Mass
			sum += w
			y += w * c.y
			z += w * (c.z + up)
		}
		add(body.Head, 1, vertex, neck, 0)
		add(body.Trunk, 1, neck, hip, 0)
		add(body.UpperArm, 2, shoulder, elbowAt, 0)
		add(body.Forearm, 2, elbowAt, wrist, 0)
		add(body.Hand, 2, wrist, tip, 0)
		add(body.Thigh, 2, hip, kneeAt, 0)
		add(body.Shank, 2, kneeAt, foot, 0)
		add(body.Foot, 2, heel, toe, f.Ankle.Value/2)
		want := body.Vec{Y: y / sum, Z: z / sum}
		if d := got.CM.Sub(want).Norm(); d > 1e-12 {
			t.Fatalf("%+v: centre at %v, the stick figure's at %v", p, got.CM, want)
		}
	}
}
