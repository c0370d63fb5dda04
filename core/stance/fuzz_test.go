package stance_test

import (
	"errors"
	"math"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/stance"
)

// Whatever numbers come in, a stance is refused with a sentence or answered
// with plain numbers that balance.
func FuzzAnalyse(f *testing.F) {
	f.Add(70.0, 0.0, 0.07, 0.9, 0.12, 0.45, 0.35, 5.0, 90.0, 100.0, 0.02)
	f.Add(20.0, 0.3, -0.2, 0.5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
	f.Add(math.NaN(), math.Inf(1), -0.2, 0.5, 1e-300, 1e300, 0.0, -1.0, 720.0, -5.0, -0.1)
	f.Add(70.0, 1e-13, 1e-13, 1e-9, 1e-3, 1e-3, 1e-12, 60.0, 45.0, 1e-6, 5.0)
	f.Fuzz(func(t *testing.T, mass, x, y, h, half, out, ahead, slope, heading, limit, wide float64) {
		m := func(v float64) quantity.Metre { return quantity.Metre(v) }
		centre, err := stance.At(m(x), m(y), m(h))
		if err == nil && wide > 0 {
			if r, err := quantity.PlusMinus(m(x), m(wide)); err == nil {
				centre.X = r
			}
			if r, err := quantity.PlusMinus(m(y), m(wide/2)); err == nil {
				centre.Y = r
			}
		}
		lean, _ := stance.Standing(quantity.Radian(slope*math.Pi/180), quantity.Radian(heading*math.Pi/180))
		s := stance.Stance{Mass: quantity.Kilogram(mass), Centre: centre, Lean: lean, Arms: stance.AtMost(quantity.Newton(limit), ""),
			Contacts: []stance.Contact{
				{Kind: stance.Ski, Side: finding.Left, Rear: stance.Point{X: m(-half), Y: m(-ahead / 3)}, Front: stance.Point{X: m(-half), Y: m(ahead / 2)}, Limit: stance.AtMost(quantity.Newton(limit*2), "")},
				point(stance.Ski, finding.Right, m(half), 0),
				point(stance.Runner, finding.Left, m(-out), m(ahead)),
				point(stance.Runner, finding.Right, m(out), m(ahead)),
			}}
		r, err := stance.Analyse(s)
		if err != nil {
			var e *stance.Error
			if !errors.As(err, &e) || e.Code == "" || e.Sentence == "" {
				t.Fatalf("refused without a code and a sentence: %v", err)
			}
			return
		}
		w := float64(r.Weight)
		if !(w > 0) {
			t.Fatalf("weight %v", w)
		}
		for _, l := range r.Loads {
			for _, v := range []quantity.Newton{l.Possible.Low(), l.Possible.High(), l.Wide.Low(), l.Wide.High(), l.Even, l.EvenRear, l.EvenFront} {
				if math.IsNaN(float64(v)) || float64(v) < -1e-6*w || float64(v) > w*(1+1e-6) {
					t.Fatalf("the %s carries %v of %v", l.Contact.Name(), v, w)
				}
			}
		}
		if r.Verdict == stance.Held && r.Residual > 1e-9*max(w, 1)*100 {
			t.Fatalf("the balance is off by %v", r.Residual)
		}
		for _, room := range r.Rooms {
			if a := float64(room.Tips.Value()); math.IsNaN(a) || a < 0 || a > math.Pi {
				t.Fatalf("tips at %v", a)
			}
		}
		if _, err := stance.Changes(s); err != nil {
			t.Fatalf("analysed, but no changes: %v", err)
		}
	})
}

// What scales show is refused or becomes a share between 0 and 1.
func FuzzScales(f *testing.F) {
	f.Add(28.0, 42.0, 0.5, 70.0, 1.0, false)
	f.Add(0.0, 0.1, 5.0, 0.0, 0.0, true)
	f.Fuzz(func(t *testing.T, left, right, wrong, mass, massError float64, hands bool) {
		kg := func(v float64) quantity.Kilogram { return quantity.Kilogram(v) }
		r, err := stance.Scales{Left: kg(left), Right: kg(right), Error: kg(wrong), Hands: hands}.Share(kg(mass), kg(massError))
		if err != nil {
			var e *stance.Error
			if !errors.As(err, &e) || e.Code == "" || e.Sentence == "" {
				t.Fatalf("refused without a code and a sentence: %v", err)
			}
			return
		}
		if !(r.Low() >= 0 && r.High() <= 1) {
			t.Fatalf("share %v", r)
		}
	})
}
