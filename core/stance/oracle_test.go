package stance

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// standard writes a problem as least c x for A x = b, x >= 0, from the
// equations of statics: end forces, then one slack for each limit.
func standard(p *Problem) (a [][]float64, b []float64, ends int) {
	type column struct {
		x, y    float64
		support int
	}
	var cols []column
	for i, s := range p.Supports {
		cols = append(cols, column{s.RearX, s.RearY, i})
		if !s.point() {
			cols = append(cols, column{s.FrontX, s.FrontY, i})
		}
	}
	ends = len(cols)
	row := func(f func(column) float64, rhs float64) {
		r := make([]float64, ends)
		for j, c := range cols {
			r[j] = f(c)
		}
		a, b = append(a, r), append(b, rhs)
	}
	row(func(column) float64 { return 1 }, 1)
	row(func(c column) float64 { return c.x - p.X[0] }, 0)
	row(func(c column) float64 { return c.y - p.Y[0] }, 0)
	slacks := 0
	limit := func(f func(column) float64, rhs float64) {
		row(f, rhs)
		slacks++
	}
	for i, s := range p.Supports {
		if !math.IsInf(s.Most, 1) {
			limit(func(c column) float64 {
				if c.support == i {
					return 1
				}
				return 0
			}, s.Most)
		}
	}
	if !math.IsInf(p.ArmsMost, 1) {
		limit(func(c column) float64 {
			if p.Supports[c.support].Arm {
				return 1
			}
			return 0
		}, p.ArmsMost)
	}
	for i := range a {
		a[i] = append(a[i], make([]float64, slacks)...)
		if i >= 3 {
			a[i][ends+i-3] = 1
		}
	}
	return a, b, ends
}

// vertexMinimum finds the least c x over every basis there is, in rational
// numbers: slow, simple and exact. ok is false where nothing is feasible.
func vertexMinimum(a [][]float64, b, c []float64) (best *big.Rat, ok bool) {
	n, m := len(a[0]), len(a)
	pick := make([]int, m)
	var choose func(at, from int)
	choose = func(at, from int) {
		if at == m {
			if x, solved := solveRat(a, b, pick); solved {
				sum := new(big.Rat)
				for i, j := range pick {
					if x[i].Sign() < 0 {
						return
					}
					sum.Add(sum, new(big.Rat).Mul(rat(c[j]), x[i]))
				}
				if !ok || sum.Cmp(best) < 0 {
					best, ok = sum, true
				}
			}
			return
		}
		for j := from; j <= n-(m-at); j++ {
			pick[at] = j
			choose(at+1, j+1)
		}
	}
	choose(0, 0)
	return best, ok
}

func rat(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }

// solveRat solves for the columns picked; solved is false where they are
// dependent.
func solveRat(a [][]float64, b []float64, pick []int) (x []*big.Rat, solved bool) {
	m := len(a)
	t := make([][]*big.Rat, m)
	for i := range t {
		t[i] = make([]*big.Rat, m+1)
		for k, j := range pick {
			t[i][k] = rat(a[i][j])
		}
		t[i][m] = rat(b[i])
	}
	for k := range m {
		p := k
		for p < m && t[p][k].Sign() == 0 {
			p++
		}
		if p == m {
			return nil, false
		}
		t[k], t[p] = t[p], t[k]
		for i := range m {
			if i == k || t[i][k].Sign() == 0 {
				continue
			}
			f := new(big.Rat).Quo(t[i][k], t[k][k])
			for j := k; j <= m; j++ {
				t[i][j] = new(big.Rat).Sub(t[i][j], new(big.Rat).Mul(f, t[k][j]))
			}
		}
	}
	x = make([]*big.Rat, m)
	for i := range x {
		x[i] = new(big.Rat).Quo(t[i][m], t[i][i])
	}
	return x, true
}

// plain returns a random problem of a size that the slow way can do: no given
// share, one place, and not too many limits.
func plain(r *rand.Rand, most int) Problem {
	for {
		p := randomProblem(r)
		if p.HasShare || p.X[0] != p.X[1] {
			continue
		}
		if a, _, _ := standard(&p); len(a[0]) <= most {
			return p
		}
	}
}

// Linear programming's own theorem is the outside source: an optimum lies at a
// basis. Trying every one in rational numbers must give the same answers.
func TestOracleEveryBasis(t *testing.T) {
	n := 60
	if testing.Short() {
		n = 10
	}
	r := rand.New(rand.NewPCG(5, 8))
	var s Solver
	held := 0
	for range n {
		p := plain(r, 11)
		a, b, ends := standard(&p)
		c := make([]float64, len(a[0]))
		for j, k := 0, 0; k < len(p.Supports); k++ {
			for range 2 {
				if p.Supports[k].Arm {
					c[j] = 1
				}
				j++
				if p.Supports[k].point() {
					break
				}
			}
		}
		want, ok := vertexMinimum(a, b, c)
		s.Load(&p)
		if s.Held() != ok {
			t.Fatalf("held is %v, by every basis %v: %+v (%d ends)", s.Held(), ok, p, ends)
		}
		if !ok {
			continue
		}
		held++
		w, _ := want.Float64()
		if got := s.LeastArms(); math.Abs(got-w) > 1e-12 {
			t.Errorf("least of the arms %v, by every basis %v: %+v", got, w, p)
		}
	}
	if held < n/5 {
		t.Errorf("only %d of %d stances are held", held, n)
	}
}

// simplex asks the general-purpose solver of gonum, in this process.
func simplex(p *Problem, cost func(end int, support Support) float64) (float64, error) {
	a, b, _ := standard(p)
	c := make([]float64, len(a[0]))
	j := 0
	for _, s := range p.Supports {
		for e := range 2 {
			if e == 1 && s.point() {
				break
			}
			c[j] = cost(j, s)
			j++
		}
	}
	if len(a) >= len(a[0]) {
		return 0, errors.New("gonum wants more unknowns than equations")
	}
	flat := mat.NewDense(len(a), len(a[0]), nil)
	for i := range a {
		flat.SetRow(i, a[i])
	}
	v, _, err := lp.Simplex(c, flat, b, 1e-12, nil)
	return v, err
}

// The even share is the least sum of squares. A point of a convex set is the
// nearest to the origin exactly when no other point of the set lies further
// against its own direction; the second general-purpose solver, gonum, looks
// for one.
func TestEvenShareIsTheLeastSumOfSquares(t *testing.T) {
	n := 400
	if testing.Short() {
		n = 60
	}
	r := rand.New(rand.NewPCG(11, 3))
	var s Solver
	asked := 0
	for range n {
		p := plain(r, 16)
		s.Load(&p)
		var even [maxEnds]float64
		if ok := s.Even(&even); ok != s.Held() {
			t.Fatalf("even share found %v, held %v: %+v", ok, s.Held(), p)
		} else if !ok {
			continue
		}
		if res := residual(&p, &even, 1); res > 1e-12 {
			t.Errorf("the even share misses the balance by %g: %+v", res, p)
		}
		// The slope of the sum of squares: a point counts as two ends.
		var slope []float64
		now := 0.0
		for i, c := range p.Supports {
			for e := range 2 {
				f := even[2*i+e]
				if e == 1 && c.point() {
					break
				}
				if f < -1e-12 {
					t.Errorf("the even share pulls by %g: %+v", -f, p)
				}
				g := f
				if c.point() {
					g = f / 2
				}
				slope = append(slope, g)
				now += g * f
			}
			if total := even[2*i] + even[2*i+1]; total > c.Most+1e-10 {
				t.Errorf("the even share exceeds a limit by %g: %+v", total-c.Most, p)
			}
		}
		least, err := simplex(&p, func(end int, _ Support) float64 { return slope[end] })
		if err != nil {
			continue // gonum gives up on some that have a redundant row
		}
		asked++
		if least < now-1e-9 {
			t.Errorf("another share has a smaller sum of squares, by %g: %+v", now-least, p)
		}
	}
	if asked < n/5 {
		t.Errorf("only %d of %d were compared", asked, n)
	}
}

// benchProblem is four line contacts with a limit each.
func benchProblem() Problem {
	return Problem{
		Supports: []Support{
			{RearX: -0.12, RearY: -0.09, FrontX: -0.12, FrontY: 0.22, Most: 0.4},
			{RearX: 0.12, RearY: -0.09, FrontX: 0.12, FrontY: 0.22, Most: 0.95},
			{RearX: -0.45, RearY: 0.3, FrontX: -0.45, FrontY: 0.4, Most: 0.25, Arm: true},
			{RearX: 0.45, RearY: 0.3, FrontX: 0.45, FrontY: 0.4, Most: 0.25, Arm: true},
		},
		ArmsMost: 0.5, X: [2]float64{-0.03, -0.03}, Y: [2]float64{0.2, 0.2},
	}
}

func BenchmarkLeastArms(b *testing.B) {
	p := benchProblem()
	var s Solver
	b.ReportAllocs()
	for b.Loop() {
		s.Load(&p)
		if !s.Held() || s.LeastArms() < 0 {
			b.Fatal("not held")
		}
	}
}

func BenchmarkLeastArmsGonum(b *testing.B) {
	p := benchProblem()
	var s Solver
	s.Load(&p)
	want := s.LeastArms()
	b.ReportAllocs()
	for b.Loop() {
		v, err := simplex(&p, func(_ int, s Support) float64 {
			if s.Arm {
				return 1
			}
			return 0
		})
		if err != nil || math.Abs(v-want) > 1e-9 {
			b.Fatal(v, want, err)
		}
	}
}

func BenchmarkEverything(b *testing.B) {
	p := benchProblem()
	var s Solver
	var even [maxEnds]float64
	var region polygon
	b.ReportAllocs()
	for b.Loop() {
		s.Load(&p)
		s.LeastArms()
		for i := range p.Supports {
			s.Interval(i)
		}
		s.Even(&even)
		s.region(&p, &region)
	}
}

// Nothing is allocated while the solver works.
func TestSolverDoesNotAllocate(t *testing.T) {
	p := benchProblem()
	var s Solver
	var even [maxEnds]float64
	var region polygon
	if n := testing.AllocsPerRun(100, func() {
		s.Load(&p)
		s.LeastArms()
		s.Interval(0)
		s.Even(&even)
		s.region(&p, &region)
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
	if region.n < 4 {
		t.Errorf("the region has %d corners", region.n)
	}
}
