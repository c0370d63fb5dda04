package picture_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/internal/picture"
)

// fromAbove is a random stance from above.
func fromAbove(r *rand.Rand) picture.StanceAbove {
	a := picture.StanceAbove{Loads: r.IntN(4) > 0, Verdict: "This stance can be held."}
	left := 1.0
	add := func(k picture.FootKind, right bool, x, y, half float64) {
		share := left * r.Float64()
		left -= share
		if !right {
			x = -x
		}
		f := picture.Foot{Kind: k, Right: right, Rear: picture.Point{X: x, Y: y - half}, Front: picture.Point{X: x + r.Float64(), Y: y + half}, Share: share, Newtons: 700 * share}
		f.Press = picture.Point{X: f.Rear.X, Y: y}
		a.Feet = append(a.Feet, f)
		a.Polygon = append(a.Polygon, f.Rear)
	}
	half := 6 + 8*r.Float64()
	if r.IntN(4) > 0 {
		add(picture.FootSki, false, half, 0, 15)
	}
	add(picture.FootSki, true, half, 0, 15)
	kind, long := picture.FootRunner, 5.0
	if r.IntN(3) == 0 {
		kind, long = picture.FootFrame, 50
	}
	if r.IntN(4) > 0 {
		add(kind, false, 25+20*r.Float64(), 20*r.Float64(), long)
	}
	if r.IntN(4) > 0 {
		add(kind, true, 25+20*r.Float64(), 20*r.Float64(), long)
	}
	if r.IntN(2) == 0 {
		a.Region = []picture.Point{{X: -5, Y: 0}, {X: 5, Y: 0}, {X: 3, Y: 20}}
	}
	a.Acts = picture.Point{X: 10 * (r.Float64() - 0.5), Y: 15 * r.Float64()}
	wide := 3 * r.Float64()
	a.Least, a.Most = picture.Point{X: a.Acts.X - wide, Y: a.Acts.Y - wide}, picture.Point{X: a.Acts.X + wide, Y: a.Acts.Y + wide}
	a.Centre = a.Acts
	if r.IntN(2) == 0 {
		a.Downhill = picture.Point{X: r.Float64() - 0.5, Y: r.Float64() - 0.5}
	}
	return a
}

// fromSide is a random stance from the side: a body on two links and an
// outrigger.
func fromSide(r *rand.Rand) picture.StanceSide {
	tall := 100 + 110*r.Float64()
	p := func(x, y float64) picture.Point { return picture.Point{X: x * tall / 170, Y: y * tall / 170} }
	s := picture.StanceSide{FromLeft: r.IntN(2) == 0, Head: p(15, 160), HeadRadius: 10 * tall / 170, SkiLength: 0.9 * tall,
		Sticks: []picture.Stick{{From: p(0, 95), To: p(15, 145)}, {From: p(0, 95), To: p(10, 55)}, {From: p(10, 55), To: p(0, 14)},
			{From: p(12, 138), To: p(18, 110)}, {From: p(18, 110), To: p(32, 88), Hollow: r.IntN(2) == 0}, {From: p(12, 138), To: p(20, 112), Far: true}},
		Joints: []picture.Stick{{From: p(18, 110)}, {From: p(10, 55)}},
		Boots:  []picture.SideBoot{{Heel: p(-8, 7), Toe: p(22, 7), Ankle: p(0, 14), Knee: p(10, 55)}, {Heel: p(-8, 7), Toe: p(22, 7), Ankle: p(0, 14), Knee: p(10, 55), Far: true}},
		Angles: []picture.SideAngle{{At: p(18, 110), From: p(12, 138), To: p(32, 88), Label: "elbow 25°"}},
		Centre: p(8, 92), CentreErrorX: 1, CentreErrorY: 3, Acts: 8, SlopeDeg: 30 * (r.Float64() - 0.5), Words: "A body."}
	aid := picture.SideAid{Handle: p(32, 88), Runner: p(45, 6), Half: 18, Cuff: p(22, 104)}
	if r.IntN(3) == 0 {
		aid = picture.SideAid{Handle: p(32, 88), Runner: p(10, 0), Half: 55, Frame: true}
	}
	s.Aids = append(s.Aids, aid)
	s.HandleHeight, s.HandleLabel = aid.Handle.Y, fmt.Sprintf("%.1f cm", aid.Handle.Y)
	return s
}

// Left and right are always the student's: swapping them swaps the drawing. The
// words beside loads may move a little, since they look for room in turn.
func TestStanceAboveMirrors(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	keep := func(d picture.Drawing) []string {
		var shapes picture.Drawing
		shapes.Width = d.Width
		for _, op := range d.Ops {
			if p, ok := op.(picture.Path); ok {
				l, _, right, b := (picture.Drawing{Ops: []picture.Op{p}}).Bounds()
				if b < 200 && !(right-l > 0 && b > 0 && isFrame(p)) {
					shapes.Ops = append(shapes.Ops, p)
				}
			}
		}
		return marks(shapes)
	}
	for range 500 {
		a := fromAbove(r)
		a.Downhill = picture.Point{} // its arrow stands among the words, always at the left
		d, m := a.Draw(120, 150), a.Mirror().Draw(120, 150)
		if got, want := strings.Join(keep(m), "\n"), strings.Join(keep(d.Mirror()), "\n"); got != want {
			t.Fatalf("the mirror of %+v is not the mirrored drawing", a)
		}
		if a.Mirror().Mirror().Draw(120, 150).SVG() != d.SVG() {
			t.Fatal("mirroring twice changes the drawing")
		}
	}
}

// isFrame tells the scale bar, which does not mirror: butt ends of 0.5 mm.
func isFrame(p picture.Path) bool { return p.Butt && p.Line == 0.5 && len(p.Outline) == 2 }

// A drawing stays in its box, whatever the box, and all its words are of the
// size that is read on a card: 11 points (see the card's rules on type).
func TestStanceStaysInItsBoxAndReadable(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 1000 {
		w, h := 80+80*r.Float64(), 90+120*r.Float64()
		for name, d := range map[string]picture.Drawing{"above": fromAbove(r).Draw(w, h), "side": fromSide(r).Draw(w, h)} {
			left, top, right, bottom := d.Bounds()
			if left < -0.5 || top < -0.5 || right > w+0.5 || bottom > h+0.5 {
				t.Fatalf("%s in %.0f x %.0f reaches %.1f %.1f %.1f %.1f", name, w, h, left, top, right, bottom)
			}
			for _, op := range d.Ops {
				if x, ok := op.(picture.Text); ok {
					if x.Size < 11 {
						t.Fatalf("%s: %q has %g points", name, x.S, x.Size)
					}
					if x.X < -0.1 || x.X > w+0.1 || x.Y < 0 || x.Y > h+0.1 {
						t.Fatalf("%s: %q stands at %.1f, %.1f of %.0f x %.0f", name, x.S, x.X, x.Y, w, h)
					}
				}
			}
		}
	}
}

// Drawn to scale: what is twice as far apart on the snow is twice as far apart
// on the page, and the scale bar says by how much.
func TestStanceAboveIsToScale(t *testing.T) {
	a := fromAbove(rand.New(rand.NewPCG(9, 9)))
	a.Loads, a.Feet = false, a.Feet[:1]
	a.Polygon = []picture.Point{{X: -20, Y: -10}, {X: 20, Y: -10}, {X: 20, Y: 30}, {X: -20, Y: 30}}
	d := a.Draw(120, 150)
	var bar, side float64
	for _, op := range d.Ops {
		p, ok := op.(picture.Path)
		if !ok {
			continue
		}
		one := picture.Drawing{Ops: []picture.Op{op}}
		l, top, r, b := one.Bounds()
		switch {
		case len(p.Dash) > 0 && len(p.Outline) == 5:
			side = r - l - p.Line
			if math.Abs((b-top)-(r-l)) > 1e-9 {
				t.Errorf("a square is drawn %.3f by %.3f", r-l, b-top)
			}
		case p.Butt && p.Line == 0.5 && r-l > 5:
			bar = r - l - p.Line
		}
	}
	label := 0.0
	for _, op := range d.Ops {
		if x, ok := op.(picture.Text); ok && strings.HasSuffix(x.S, " cm") {
			fmt.Sscanf(x.S, "%f", &label)
		}
	}
	if label == 0 || math.Abs(side/40-bar/label) > 1e-6 {
		t.Errorf("40 cm are %.3f mm, the bar of %g cm is %.3f mm", side, label, bar)
	}
}

// Loads are drawn as areas: twice the load, twice the area; and none covers
// another.
func TestLoadsAreAreas(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 300 {
		a := fromAbove(r)
		a.Loads = true
		type circle struct{ x, y, r float64 }
		var circles []circle
		for _, op := range a.Draw(150, 200).Ops {
			p, ok := op.(picture.Path)
			if !ok || len(p.Outline) != 6 || p.Fill != picture.NoInk || p.Line != 0.6 {
				continue
			}
			l, top, right, b := (picture.Drawing{Ops: []picture.Op{op}}).Bounds()
			circles = append(circles, circle{(l + right) / 2, (top + b) / 2, (right - l - p.Line) / 2})
		}
		var shares []float64
		for _, f := range a.Feet {
			shares = append(shares, f.Share)
		}
		if len(circles) > len(shares) {
			t.Fatalf("%d circles for %d loads", len(circles), len(shares))
		}
		for i, c := range circles {
			for j, o := range circles[:i] {
				if math.Hypot(c.x-o.x, c.y-o.y) < (c.r+o.r)*0.99 {
					t.Fatalf("loads %d and %d cover each other", i, j)
				}
			}
			if len(circles) == len(shares) {
				if k, want := c.r*c.r/(circles[0].r*circles[0].r), shares[i]/shares[0]; math.Abs(k-want) > 0.02*math.Max(1, want) {
					t.Fatalf("areas stand as %.3f, loads as %.3f", k, want)
				}
			}
		}
	}
}

func TestTallest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for range 200 {
		a, s := fromAbove(r), fromSide(r)
		for name, x := range map[string]struct {
			tallest float64
			draw    func(h float64) picture.Drawing
		}{
			"above": {a.Tallest(100), func(h float64) picture.Drawing { return a.Draw(100, h) }},
			"side":  {s.Tallest(100), func(h float64) picture.Drawing { return s.Draw(100, h) }},
		} {
			left, _, right, _ := x.draw(x.tallest).Bounds()
			l, _, rr, _ := x.draw(x.tallest + 50).Bounds()
			if math.Abs((right-left)-(rr-l)) > 0.01 {
				t.Errorf("%s: beyond its tallest it still grows, from %.2f to %.2f mm", name, right-left, rr-l)
			}
		}
	}
}

func ExampleStanceAbove() {
	d := picture.StanceAbove{
		Feet: []picture.Foot{
			{Rear: picture.Point{X: -12, Y: -9}, Front: picture.Point{X: -12, Y: 21}, Press: picture.Point{X: -12, Y: 5}, Share: 0.4, Newtons: 275},
			{Right: true, Rear: picture.Point{X: 12, Y: -9}, Front: picture.Point{X: 12, Y: 21}, Press: picture.Point{X: 12, Y: 5}, Share: 0.6, Newtons: 412},
		},
		Loads: true, Verdict: "This stance can be held.",
	}.Draw(100, 120)
	fmt.Println(d.Title)
	fmt.Println(d.Desc)
	// Output:
	// The stance from above, facing up the page
	// Left ski 275 N, 40 %. Right ski 412 N, 60 %. This stance can be held.
}

func BenchmarkStanceAboveSVG(b *testing.B) {
	a := fromAbove(rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		_ = a.Draw(90, 120).SVG()
	}
}

func BenchmarkStanceSideSVG(b *testing.B) {
	s := fromSide(rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		_ = s.Draw(90, 120).SVG()
	}
}
