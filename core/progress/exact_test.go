package progress

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// exactClean integrates the posterior of the cells on a grid and averages the
// chance of clean of a target over it: no factor is replaced by a Gaussian.
func exactClean(m *model, cells []cell, target effect, offset float64) float64 {
	n := len(cells)
	k := make([][]float64, n)
	for i := range cells {
		k[i] = make([]float64, n)
		for j := range cells {
			k[i][j] = m.covariance(cells[i].effect, cells[j].effect)
		}
		k[i][i] += 1e-9 // three levels of one record lie on a line
	}
	// The effects are f = L z with independent standard z.
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			s := k[i][j]
			for q := range j {
				s -= l[i][q] * l[j][q]
			}
			if i == j {
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	// The target given f: weights w on z, and what is left over.
	w := make([]float64, n)
	left := m.covariance(target, target)
	for i := range n {
		s := m.covariance(target, cells[i].effect)
		for q := range i {
			s -= l[i][q] * w[q]
		}
		w[i] = s / l[i][i]
		left -= w[i] * w[i]
	}
	// Tables on a fine line of effects, read by straight lines between points: the
	// chance of clean at a mean of the target, and the log chance of what each cell
	// saw.
	const from, step, points = -16.0, 0.02, 1601
	look := func(table []float64, x float64) float64 {
		at := math.Max(0, math.Min(points-1.001, (x-from)/step))
		i := int(at)
		u := at - float64(i)
		return table[i]*(1-u) + table[i+1]*u
	}
	clean := make([]float64, points)
	sd := math.Sqrt(math.Max(left, 0))
	for i := range clean {
		mean, sum, all := from+step*float64(i), 0.0, 0.0
		for z := -8.0; z <= 8; z += 0.4 {
			g := math.Exp(-z * z / 2)
			all += g
			sum += g / (1 + math.Exp(-(mean + sd*z + offset)))
		}
		clean[i] = sum / all
	}
	logp := make([][]float64, n)
	for q, c := range cells {
		logp[q] = make([]float64, points)
		for i := range points {
			f := from + step*float64(i)
			for _, o := range c.obs {
				eta := f - math.Log(o.shift)
				p, least := 1/(1+math.Exp(-eta)), 1/(1+math.Exp(-eta)*m.partly)
				switch o.outcome {
				case Clean:
					logp[q][i] += math.Log(p)
				case Partly:
					logp[q][i] += math.Log(least - p)
				default:
					logp[q][i] += math.Log(1 - least)
				}
			}
		}
	}
	h := 0.25
	if n >= 3 {
		h = 0.35
	}
	z := make([]float64, n)
	var sum, all float64
	var walk func(i int, lp, mean float64)
	walk = func(i int, lp, mean float64) {
		if i == n {
			p := math.Exp(lp)
			all += p
			sum += p * look(clean, mean)
			return
		}
		for z[i] = -6.5; z[i] <= 6.5; z[i] += h {
			f := 0.0
			for q := 0; q <= i; q++ {
				f += l[i][q] * z[q]
			}
			if p := lp - z[i]*z[i]/2 + look(logp[i], f); p > -60 {
				walk(i+1, p, mean+w[i]*z[i])
			}
		}
	}
	walk(0, 0, 0)
	return sum / all
}

func pick(r *rand.Rand, kind int) Outcome {
	if kind == 3 {
		return Outcome(r.IntN(3))
	}
	return Outcome(kind)
}

type small struct {
	cells  []cell
	target effect
	offset float64
}

func randomSmall(m *model, r *rand.Rand, most int) small {
	n := 1 + r.IntN(most)
	var s small
	sides := []float64{-0.5, 0.5}
	day := 0.0
	lesson := 0
	for len(s.cells) < n {
		e := effect{lesson: lesson, day: day, skill: r.IntN(2), side: sides[r.IntN(2)], setUp: r.IntN(2), level: float64(r.IntN(8))}
		if slices.ContainsFunc(s.cells, func(c cell) bool { return c.effect == e }) {
			continue
		}
		c := cell{effect: e}
		kind := r.IntN(4)
		for range 1 + r.IntN(6) {
			c.obs = append(c.obs, seen{math.Exp(-m.offset(e.level, float64(r.IntN(3)-1), float64(r.IntN(60)))), pick(r, kind)})
		}
		s.cells = append(s.cells, c)
		if r.IntN(2) == 0 {
			lesson++
			day += float64(r.IntN(30))
		}
	}
	last := s.cells[n-1].effect
	if r.IntN(2) == 0 {
		last.lesson++
		last.day += float64(r.IntN(60))
	}
	last.level = math.Max(0, last.level-1)
	if r.IntN(4) == 0 {
		last.side = -last.side
	}
	s.target, s.offset = last, m.offset(last.level, 0, 0)
	return s
}

// TestOracleQuadrature: on 1,000 small histories the chance of a clean attempt
// with one level less help agrees with brute integration of the whole posterior
// on a grid to 1e-3, most of them far closer.
func TestOracleQuadrature(t *testing.T) {
	m := figures()
	r := rand.New(rand.NewPCG(1, 2))
	worst, sum, plain := 0.0, 0.0, 0.0
	const histories = 1000
	for i := range histories {
		most := 3
		if i%50 == 0 {
			most = 4
		}
		s := randomSmall(m, r, most)
		want := exactClean(m, s.cells, s.target, s.offset)
		p := m.fit(s.cells)
		a := p.of(m.covariance(s.target, s.target), func(e effect) float64 { return m.covariance(s.target, e) })
		got, _ := m.clean(a, s.offset)
		d := math.Abs(got - want)
		if !(d <= 1e-3) {
			t.Errorf("history %d: %.6f, exact %.6f: %+v", i, got, want, s)
		}
		worst, sum = max(worst, d), sum+d
		a.skew3, a.kurtosis4 = 0, 0
		got, _ = m.clean(a, s.offset)
		plain = max(plain, math.Abs(got-want))
	}
	t.Logf("worst %.1e, mean %.1e; by mean and variance alone the worst is %.1e", worst, sum/histories, plain)
}
