package picture_test

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"firnhand/internal/picture"
)

// bezier returns the point at t on a cubic.
func bezier(a picture.Point, s picture.Seg, t float64) picture.Point {
	u := 1 - t
	f := func(p0, p1, p2, p3 float64) float64 {
		return u*u*u*p0 + 3*u*u*t*p1 + 3*u*t*t*p2 + t*t*t*p3
	}
	return picture.Point{X: f(a.X, s.C1.X, s.C2.X, s.To.X), Y: f(a.Y, s.C1.Y, s.C2.Y, s.To.Y)}
}

// A cubic through the quarter circle with kappa 0.5523 leaves the circle by
// less than 0.028 % of the radius (known result on Bézier circles, from
// memory); the check itself is the equation of the circle.
func TestCircleAndArcLieOnTheCircle(t *testing.T) {
	const r = 10.0
	for name, o := range map[string]picture.Outline{
		"circle": picture.Circle(3, 4, r), "arc": picture.Arc(3, 4, r, -20, 250), "arc back": picture.Arc(3, 4, r, 100, -33),
	} {
		last := picture.Point{}
		for _, s := range o {
			if s.Kind == picture.CurveTo {
				for i := range 21 {
					p := bezier(last, s, float64(i)/20)
					if d := math.Abs(math.Hypot(p.X-3, p.Y-4)-r) / r; d > 0.00028 {
						t.Errorf("%s: %.5f of the radius off the circle", name, d)
					}
				}
			}
			if s.Kind != picture.Close {
				last = s.To
			}
		}
	}
	arc := picture.Arc(0, 0, 2, 0, 90)
	if end := arc[len(arc)-1].To; math.Abs(end.X) > 1e-12 || math.Abs(end.Y-2) > 1e-12 {
		t.Errorf("arc to 90 degrees ends at %v, want 0,2 (clockwise on the page)", end)
	}
}

func TestMatrixOrder(t *testing.T) {
	m := picture.Scale(2, 3).Then(picture.Turn(90)).Then(picture.Move(10, 20))
	// (1,1) -> (2,3) -> quarter turn clockwise on the page (-3,2) -> (7,22)
	if p := m.On(picture.Point{X: 1, Y: 1}); math.Abs(p.X-7) > 1e-12 || math.Abs(p.Y-22) > 1e-12 {
		t.Errorf("got %v, want 7,22", p)
	}
}

// The SVG must parse as XML whatever the texts hold, and give them back.
func TestSVGIsWellFormedAndEscapes(t *testing.T) {
	nasty := `a<b>&"'</text><script>x</script>`
	d := picture.Drawing{Width: 20, Height: 10, Title: nasty, Desc: nasty}
	d.Draw(picture.Rect(1, 1, 5, 5, 1), picture.Style{Fill: picture.White, Stroke: picture.Black, Line: 0.3, Dash: []float64{1, 0.5}})
	d.Write(picture.Text{X: 1, Y: 2, Size: 11, S: nasty, Class: nasty, Anchor: picture.End, Bold: true})
	dec := xml.NewDecoder(strings.NewReader(d.SVG()))
	seen := map[string]int{}
	texts := 0
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, d.SVG())
		}
		switch x := tok.(type) {
		case xml.StartElement:
			seen[x.Name.Local]++
		case xml.CharData:
			if string(x) == nasty {
				texts++
			}
		}
	}
	if seen["script"] != 0 || seen["svg"] != 1 || seen["text"] != 1 || seen["path"] != 1 || texts != 3 {
		t.Errorf("elements %v, texts given back %d", seen, texts)
	}
}

func TestNothingIsDrawnWithoutInk(t *testing.T) {
	var d picture.Drawing
	d.Draw(picture.Circle(0, 0, 1), picture.Style{})
	d.Draw(picture.Circle(0, 0, 1), picture.Style{Stroke: picture.Black})
	d.Draw(nil, picture.Style{Fill: picture.Black})
	d.Write(picture.Text{X: 1})
	if len(d.Ops) != 0 {
		t.Errorf("%d ops drawn, want none", len(d.Ops))
	}
}

func someone(r *rand.Rand) picture.Above {
	a := picture.Above{
		Skis: r.IntN(3), Support: picture.Support(r.IntN(6)), TroughL: r.IntN(2) == 0, TroughR: r.IntN(2) == 0,
		Tie: picture.Tie(r.IntN(3)), Spacer: r.IntN(2) == 0, Reins: picture.Reins(r.IntN(4)),
	}
	if r.IntN(2) == 0 {
		a.LiftL = "heel lift"
	}
	if r.IntN(2) == 0 {
		a.LiftR = "plate"
	}
	for _, p := range r.Perm(4)[:r.IntN(4)] {
		a.People = append(a.People, picture.Person{Place: picture.Place(p), Label: []string{"lead", "helper"}[r.IntN(2)]})
	}
	return a
}

// marks lists what a drawing shows, by boxes and styles, without regard to order.
func marks(d picture.Drawing) []string {
	var out []string
	for _, op := range d.Ops {
		one := picture.Drawing{Width: d.Width, Height: d.Height, Ops: []picture.Op{op}}
		if p, ok := op.(picture.Path); ok {
			l, t, r, b := one.Bounds()
			out = append(out, fmt.Sprintf("%.4f %.4f %.4f %.4f %d %d", l, t, r, b, p.Fill, p.Stroke))
		}
	}
	sort.Strings(out)
	return out
}

// Trade fact (design rule "left and right are always the student's"): swapping
// sides in the student swaps them in the drawing and changes nothing else.
func TestAboveMirrors(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for range 2000 {
		a := someone(r)
		got, want := marks(a.Mirror().Draw(40, 44)), marks(a.Draw(40, 44).Mirror())
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Fatalf("mirror of %+v is not the mirrored drawing", a)
		}
		if b := a.Mirror().Mirror().Draw(40, 44).SVG(); b != a.Draw(40, 44).SVG() {
			t.Fatalf("mirroring %+v twice changes the drawing", a)
		}
	}
}

func TestAboveStaysInItsBox(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 2000 {
		a := someone(r)
		w, h := 36+r.Float64()*60, 30+r.Float64()*60
		left, top, right, bottom := a.Draw(w, h).Bounds()
		if left < -0.3 || top < -0.3 || right > w+0.3 || bottom > h+0.3 {
			t.Fatalf("%+v in %.1f x %.1f reaches %.1f %.1f %.1f %.1f", a, w, h, left, top, right, bottom)
		}
	}
}

// One thing on one side must put its ink on that side of the page, because the
// student faces up the page.
func TestAboveSides(t *testing.T) {
	plain := marks(picture.Above{}.Draw(60, 60))
	have := map[string]bool{}
	for _, m := range plain {
		have[m] = true
	}
	for name, a := range map[string]picture.Above{
		"outrigger": {Support: picture.LeftOutrigger},
		"lift":      {LiftL: "plate"},
	} {
		for side, who := range map[string]picture.Above{"left": a, "right": a.Mirror()} {
			added := 0
			for _, m := range marks(who.Draw(60, 60)) {
				if have[m] {
					continue
				}
				var l, top, r, b float64
				if _, err := fmt.Sscanf(m, "%f %f %f %f", &l, &top, &r, &b); err != nil {
					t.Fatal(err)
				}
				added++
				if side == "left" && r > 30 || side == "right" && l < 30 {
					t.Errorf("%s on the %s draws at %.1f to %.1f of 60", name, side, l, r)
				}
			}
			if added == 0 {
				t.Errorf("%s on the %s draws nothing", name, side)
			}
			if !strings.Contains(strings.ToLower(who.Draw(60, 60).Desc), side) {
				t.Errorf("%s on the %s: description %q does not say so", name, side, who.Draw(60, 60).Desc)
			}
		}
	}
	for place, want := range map[picture.Place]string{picture.AtLeft: "left", picture.AtRight: "right", picture.Ahead: "ahead", picture.Behind: "behind"} {
		d := picture.Above{People: []picture.Person{{Place: place, Label: "helper"}}}.Draw(60, 60)
		if !strings.Contains(d.Desc, "helper") || !strings.Contains(d.Desc, want) {
			t.Errorf("description %q does not place the helper %s", d.Desc, want)
		}
		for _, op := range d.Ops {
			if x, ok := op.(picture.Text); ok && x.S == "helper" {
				if place == picture.AtLeft && x.X > 30 || place == picture.AtRight && x.X < 30 {
					t.Errorf("helper %s is labelled at %.1f of 60", want, x.X)
				}
			}
		}
	}
}

func TestPlaceMovesEverything(t *testing.T) {
	sub := picture.Above{Tie: picture.RigidTie}.Draw(40, 60)
	var d picture.Drawing
	d.Place(sub, 100, 50)
	l1, t1, _, _ := sub.Bounds()
	l2, t2, _, _ := d.Bounds()
	if math.Abs(l2-l1-100) > 1e-9 || math.Abs(t2-t1-50) > 1e-9 {
		t.Errorf("moved by %.3f, %.3f; want 100, 50", l2-l1, t2-t1)
	}
}

func BenchmarkAboveSVG(b *testing.B) {
	a := picture.Above{Support: picture.BothOutriggers, Tie: picture.ElasticTie, People: []picture.Person{{Place: picture.AtRight, Label: "helper"}}}
	for b.Loop() {
		_ = a.Draw(40, 44).SVG()
	}
}
