package stance

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The region is by its meaning every place at which the linear programme finds
// the weight carried, so the two must agree wherever one asks.
func TestRegionIsWhereItHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 28))
	var s Solver
	var g polygon
	inside, outside, empty := 0, 0, 0
	for range 500 {
		p := randomProblem(r)
		s.region(&p, &g)
		if g.n == 0 {
			empty++
			s.load(&p, true)
			if s.Held() {
				t.Fatalf("no region, but held somewhere: %+v", p)
			}
			continue
		}
		for k := range 24 {
			at := vec{(r.Float64() - 0.5) * 1.2, r.Float64()*1.4 - 0.5}
			if k < 12 { // near the edge, where a slip would show
				a, b := g.at[r.IntN(g.n)], g.at[r.IntN(g.n)]
				at = a.add(b.sub(a).times(r.Float64()))
				at = at.add(vec{r.NormFloat64(), r.NormFloat64()}.times(1e-4))
			}
			q := p
			q.X, q.Y = [2]float64{at.x, at.x}, [2]float64{at.y, at.y}
			s.Load(&q)
			m, _ := g.margin(at)
			if math.Abs(m) < 1e-7 {
				continue
			}
			if m > 0 {
				inside++
			} else {
				outside++
			}
			if s.Held() != (m > 0) {
				t.Fatalf("held %v at %v, %g m inside the region: %+v", s.Held(), at, m, p)
			}
		}
	}
	if inside < 1000 || outside < 1000 || empty < 20 {
		t.Errorf("%d inside, %d outside, %d without a region", inside, outside, empty)
	}
}

// Without limits the region is the support polygon.
func TestRegionWithoutLimits(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	var s Solver
	var g, hull polygon
	for range 300 {
		p := randomProblem(r)
		p.HasShare, p.ArmsMost = false, math.Inf(1)
		for i := range p.Supports {
			p.Supports[i].Most = math.Inf(1)
		}
		s.region(&p, &g)
		hull.base(p.Supports)
		if g.n != hull.n {
			t.Fatalf("%d corners, the hull has %d: %+v", g.n, hull.n, p)
		}
		for _, c := range hull.corners() {
			if m, _ := g.margin(c); math.Abs(m) > 1e-9 {
				t.Fatalf("corner %v is %g off", c, m)
			}
		}
	}
}

// area is by the shoelace formula of Gauss, and must be positive: the corners
// turn counter-clockwise. Every point lies inside its hull.
func TestHull(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	var g polygon
	for range 2000 {
		points := make([]vec, 3+r.IntN(maxEnds-2))
		for i := range points {
			points[i] = vec{math.Round(r.Float64()*4) / 4, math.Round(r.Float64()*4) / 4} // many in line, many twice
		}
		all := append([]vec(nil), points...)
		g.hull(points)
		area := 0.0
		for i := range g.n {
			area += g.at[i].cross(g.at[(i+1)%g.n]) / 2
		}
		if g.n > 2 && area <= 0 {
			t.Fatalf("area %g of %v", area, g.corners())
		}
		for _, p := range all {
			if m, _ := g.margin(p); m < -1e-9 {
				t.Fatalf("%v lies %g outside its hull %v", p, -m, g.corners())
			}
		}
	}
	g.hull([]vec{{0, 0}, {1, 0}, {1, 1}, {0, 1}})
	for _, c := range []struct {
		p    vec
		want float64
	}{{vec{0.5, 0.5}, 0.5}, {vec{0.2, 0.5}, 0.2}, {vec{-1, 0.5}, -1}, {vec{2, 2}, -math.Sqrt2}, {vec{1, 0.5}, 0}} {
		if m, _ := g.margin(c.p); math.Abs(m-c.want) > 1e-12 {
			t.Errorf("margin of %v is %g, want %g", c.p, m, c.want)
		}
	}
	if d, ok := g.reach(vec{0.5, 0.5}, vec{math.Sqrt2 / 2, math.Sqrt2 / 2}); !ok || math.Abs(d-math.Sqrt2/2) > 1e-12 {
		t.Errorf("way to the corner %g, %v", d, ok)
	}
	if _, ok := g.reach(vec{2, 2}, vec{1, 0}); ok {
		t.Error("a place outside has a way out")
	}
}

// The solver agrees with its own mirror image to rounding, whatever the
// problem.
func TestSolverMirror(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	var s, m Solver
	for range 2000 {
		p := randomProblem(r)
		q := p.mirrored()
		s.Load(&p)
		m.Load(&q)
		if math.Abs(s.Carried()-m.Carried()) > 1e-9 || s.Held() != m.Held() {
			t.Fatalf("carries %v, mirrored %v: %+v", s.Carried(), m.Carried(), p)
		}
		if s.Held() && math.Abs(s.LeastArms()-m.LeastArms()) > 1e-9 {
			t.Fatalf("arms %v, mirrored %v: %+v", s.LeastArms(), m.LeastArms(), p)
		}
	}
}

// A tableau that has drifted is built again: spoiled on purpose, it still gives
// the answer of a fresh one.
func TestRebuild(t *testing.T) {
	p := benchProblem()
	var s Solver
	s.Load(&p)
	want := s.LeastArms()
	s.Interval(1)
	for i := range s.p.rows {
		for j := range s.p.cols {
			s.p.t[i][j] *= 1 + 1e-4*float64(i-j)
		}
	}
	if got := s.LeastArms(); math.Abs(got-want) > 1e-12 {
		t.Errorf("after drifting %v, want %v", got, want)
	}
}

// WE22 again, through the base of support alone: front 0.310, rear 0.140, each
// side 0.210 m.
func TestBaseOf(t *testing.T) {
	points := []Point{{-0.45, 0.35}, {0.45, 0.35}, {0.16, -0.10}, {-0.16, -0.10}, {0, 0.1}}
	b, err := BaseOf(points, Point{0, 0.04}, 1)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{"forward": 0.310, "back": 0.140, "right": 0.210, "left": 0.210}
	for _, e := range b.Edges {
		name := e.Faces.String()
		if name == "back right" || name == "back left" {
			name = name[5:]
		}
		if math.Abs(float64(e.Distance)-want[name]) > 0.0005 {
			t.Errorf("edge facing %s is %v away", e.Faces, e.Distance)
		}
	}
	if len(b.Edges) != 4 || math.Abs(float64(b.Margin)-0.140) > 1e-12 || b.Toward.String() != "back" {
		t.Errorf("%+v", b)
	}
	if math.Abs(float64(b.Tips[0])-math.Atan(0.31)) > 1e-12 {
		t.Errorf("tips forward at %v", b.Tips[0])
	}
	for _, bad := range [][]Point{nil, points[:2], {{0, 0}, {1, 1}, {2, 2}}, make([]Point, 65)} {
		if _, err := BaseOf(bad, Point{}, 1); err == nil {
			t.Errorf("a base of %d points in line was taken", len(bad))
		}
	}
}
