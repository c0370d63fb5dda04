package standing_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"firnhand/core/body"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/stance"
	"firnhand/internal/picture"
	"firnhand/internal/picture/standing"
)

func pose(t *testing.T, cm, kg float64, way string, losses ...body.Loss) (*stance.Posed, stance.Result) {
	t.Helper()
	h := quantity.Metre(cm / 100)
	b, err := body.New(body.Person{Mass: quantity.Kilogram(kg), Stature: &h, Losses: losses})
	if err != nil {
		t.Fatal(err)
	}
	w, ok := stance.WayOf(way)
	if !ok {
		t.Fatalf("no way %s", way)
	}
	p, err := stance.Posing{Fit: fit.Input{Body: b, Way: way}, Way: w, Gear: body.UsualGear(body.Pair[bool]{})}.Pose()
	if err != nil {
		t.Fatal(err)
	}
	s, err := p.Stance()
	if err != nil {
		t.Fatal(err)
	}
	if s.Lean, err = stance.Gliding(0.1, 0, quantity.Must(quantity.Exactly(quantity.Ratio(0.05)))); err != nil {
		t.Fatal(err)
	}
	r, err := stance.Analyse(s)
	if err != nil {
		t.Fatal(err)
	}
	return p, r
}

// Everybody is drawn inside the box, whole, with words of 11 points at least,
// and the words beside loads do not cover each other.
func TestEverybodyIsDrawn(t *testing.T) {
	type one struct {
		cm, kg float64
		way    string
		losses []body.Loss
	}
	people := []one{{115, 20, "outriggers", nil}, {115, 20, "slider", nil}, {164, 63, "outriggers", nil}, {120, 38, "outriggers", nil},
		{205, 105, "slider", nil}, {205, 105, "none", nil}, {176, 75, "one_outrigger_left", nil}, {176, 75, "one_ski_right", nil}}
	for _, l := range body.Levels() {
		people = append(people, one{176, 75, "outriggers", []body.Loss{{Side: body.Left, Level: l}}},
			one{176, 75, "slider", []body.Loss{{Side: body.Right, Level: l, Prosthesis: &body.Prosthesis{}}}})
	}
	for _, x := range people {
		name := fmt.Sprintf("%.0f cm, %s, %v", x.cm, x.way, x.losses)
		p, r := pose(t, x.cm, x.kg, x.way, x.losses...)
		above := standing.Above(r).Draw(90, 120)
		side := standing.Side(p, r, 0, 0.1).Draw(90, 120)
		behind := standing.Behind(p, r, 0).Draw(90, 120)
		for what, d := range map[string]picture.Drawing{"above": above, "side": side, "behind": behind} {
			left, top, right, bottom := d.Bounds()
			if left < -0.5 || top < -0.5 || right > 90.5 || bottom > 120.5 || right-left < 20 {
				t.Errorf("%s: %s reaches %.1f %.1f %.1f %.1f", name, what, left, top, right, bottom)
			}
			if d.Desc == "" || len(d.Ops) < 15 {
				t.Errorf("%s: %s shows %d things, %q", name, what, len(d.Ops), d.Desc)
			}
			for _, op := range d.Ops {
				if w, ok := op.(picture.Text); ok && w.Size < 11 {
					t.Errorf("%s: %q has %g points", name, w.S, w.Size)
				}
			}
		}
		for i, a := range words(above) {
			for _, b := range words(above)[:i] {
				if a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom {
					t.Errorf("%s: %q and %q cover each other", name, a.s, b.s)
				}
			}
		}
	}
}

// Across a slope everybody is drawn from behind, upright, on a snow that falls
// to the side of the valley, left at the left; and the mirrored person is the
// mirrored drawing.
func TestBehindAcrossTheSlope(t *testing.T) {
	for _, way := range []string{"none", "outriggers", "slider", "one_ski_left"} {
		h := quantity.Metre(1.7)
		b := quantity.Must(body.New(body.Person{Mass: 70, Stature: &h}))
		w, _ := stance.WayOf(way)
		draw := func(heading quantity.Radian, w stance.Way, way string) picture.StanceBehind {
			lean := quantity.Must(stance.Standing(0.12, heading))
			p, err := stance.Posing{Fit: fit.Input{Body: b, Way: way}, Way: w, Gear: b.UsualGear(body.Pair[bool]{}), Against: lean}.Pose()
			if err != nil {
				t.Fatal(err)
			}
			s := quantity.Must(p.Stance())
			s.Lean = lean
			slope := quantity.Radian(0.12)
			if heading < 0 {
				slope = -slope
			}
			return standing.Behind(p, quantity.Must(stance.Analyse(s)), slope)
		}
		right := draw(math.Pi/2, w, way)
		d := right.Draw(90, 120)
		left, top, r, bottom := d.Bounds()
		if left < -0.5 || top < -0.5 || r > 90.5 || bottom > 120.5 {
			t.Errorf("%s reaches %.1f %.1f %.1f %.1f", way, left, top, r, bottom)
		}
		if !strings.Contains(right.Words, "upright") && !strings.Contains(right.Words, "Upright") {
			t.Errorf("%s: %q", way, right.Words)
		}
		// Upright: the head over the feet, within the width of a hand.
		if d := right.Head.X - right.Acts.X; math.Abs(d) > 8 {
			t.Errorf("%s: the head is %.1f cm beside where the weight acts", way, d)
		}
		if way == "one_ski_left" {
			continue
		}
		mirrored := draw(-math.Pi/2, w, way)
		if math.Abs(right.Head.X+mirrored.Head.X) > 1e-6 || math.Abs(right.Centre.Y-mirrored.Centre.Y) > 1e-6 || len(right.Sticks) != len(mirrored.Sticks) {
			t.Errorf("%s: head at %.3f and %.3f", way, right.Head.X, mirrored.Head.X)
		}
		if len(right.Skis) == 2 && right.Skis[0].Edge.Y <= right.Skis[1].Edge.Y {
			t.Errorf("%s: the left ski, uphill, is not higher", way)
		}
	}
}

type word struct {
	left, top, right, bottom float64
	s                        string
}

// words lists the boxes of all texts, judged by half an em for each letter.
func words(d picture.Drawing) []word {
	var out []word
	for _, op := range d.Ops {
		x, ok := op.(picture.Text)
		if !ok {
			continue
		}
		em := x.Size * picture.MMPerPoint
		w := word{x.X, x.Y - 0.7*em, x.X + 0.5*em*float64(len([]rune(x.S))), x.Y + 0.1*em, x.S}
		if x.Anchor == picture.End {
			w.left, w.right = 2*x.X-w.right, x.X
		}
		out = append(out, w)
	}
	return out
}

// Left and right are the student's, and who lost a limb is seen from that side.
func TestSidesOfTheDrawing(t *testing.T) {
	p, r := pose(t, 176, 75, "outriggers", body.Loss{Side: body.Left, Level: body.Transtibial, Prosthesis: &body.Prosthesis{}})
	if d := standing.Side(p, r, 0, 0); !d.FromLeft {
		t.Error("a loss on the left is seen from the right")
	}
	if d := standing.Side(p, r, body.Right, 0); d.FromLeft {
		t.Error("asked from the right, seen from the left")
	}
	hollow := 0
	for _, s := range standing.Side(p, r, 0, 0).Sticks {
		if s.Hollow && !s.Far {
			hollow++
		}
	}
	if hollow == 0 {
		t.Error("the prosthesis is not drawn as one")
	}
	if words := standing.Side(p, r, 0, 0).Words; !strings.Contains(words, "left limb ends: transtibial, prosthesis worn") {
		t.Errorf("the description is %q", words)
	}
	for _, f := range standing.Above(r).Feet {
		if f.Right != (f.Rear.X > 0) {
			t.Errorf("a thing at x = %.1f cm is on the wrong side", f.Rear.X)
		}
	}
	q, s := pose(t, 176, 75, "one_outrigger_left")
	if d := standing.Side(q, s, 0, 0); !d.FromLeft {
		t.Error("the only outrigger, on the left, is seen from the right")
	}
	if w := standing.Words(stance.Partly); !strings.Contains(w, "could not be shown") || standing.Words(stance.Held) == standing.Words(stance.NotHeld) {
		t.Error("the verdicts read alike")
	}
}
