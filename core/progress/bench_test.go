package progress

import (
	"math"
	"math/rand/v2"
	"testing"
)

// season draws attempts of one student: lessons, each with skills on sides.
func season(m *model, r *rand.Rand, lessons, tracks, each int) (e []effect, off []float64, out []Outcome) {
	for l := range lessons {
		for range tracks {
			one := effect{lesson: l, day: float64(3 * l), skill: r.IntN(8), side: r.Float64() - 0.5, level: float64(2 + r.IntN(3)), setUp: l / 10}
			one.side = math.Copysign(0.5, one.side)
			for range each {
				e = append(e, one)
				off = append(off, m.offset(one.level, 0, float64(r.IntN(60))))
				out = append(out, Outcome(r.IntN(3)))
			}
		}
	}
	return
}

func BenchmarkFit(b *testing.B) {
	m := figures()
	e, off, out := season(m, rand.New(rand.NewPCG(3, 4)), 20, 5, 3)
	var p *posterior
	for b.Loop() {
		p = m.fit(m.cells(e, off, out))
	}
	b.ReportMetric(float64(len(p.cells)), "cells")
	b.ReportMetric(float64(p.sweeps), "sweeps")
}
