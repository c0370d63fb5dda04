package progress

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Ranks of the truth among so many draws from the posterior, in so many bins.
const (
	ranksDraws = 99
	ranksBins  = 20
	students   = 2000
	// chiSquare99 is the 0.99 quantile of chi-square with 19 degrees of freedom,
	// from any printed table: 36.191.
	chiSquare99 = 36.191
)

// ranks counts in which bin the truth falls among posterior draws.
type ranks [ranksBins]int

func (c *ranks) add(r *rand.Rand, truth float64, post along) {
	below := 0
	for range ranksDraws {
		if post.at(r.NormFloat64()) < truth {
			below++
		}
	}
	c[below*ranksBins/(ranksDraws+1)]++
}

// chiSquare is Pearson's statistic against equal counts.
func (c *ranks) chiSquare() float64 {
	all := 0
	for _, n := range c {
		all += n
	}
	want, x := float64(all)/ranksBins, 0.0
	for _, n := range c {
		x += (float64(n) - want) * (float64(n) - want) / want
	}
	return x
}

// calibrate simulates students from truth and fits them with m.
func calibrate(truth, m *model, students int, seed uint64) map[string]*ranks {
	r := rand.New(rand.NewPCG(seed, 1))
	out := map[string]*ranks{"effect": {}, "left less right": {}, "student": {}}
	for range students {
		s := newStudent(truth, r)
		h, tracks := teach(truth, r, s, 2+r.IntN(9))
		if len(tracks) == 0 {
			continue
		}
		p := m.fit(m.cells(h.effects, h.offsets, h.outcomes))
		last := tracks[len(tracks)-1]

		// An attempt in the next lesson, one level less.
		next := tracks[r.IntN(len(tracks))]
		next.lesson, next.day = last.lesson+1, last.day+float64(r.IntN(30))
		next.level = math.Max(0, next.level-1)
		out["effect"].add(r, s.draw(next), p.of(m.covariance(next, next), func(c effect) float64 { return m.covariance(next, c) }))

		gap := s.drawWith(truth.side+truth.skillSide, func(c effect) float64 { return truth.gap(c, last.skill, last.day) }, nil)
		out["left less right"].add(r, gap, p.of(m.side+m.skillSide, func(c effect) float64 { return m.gap(c, last.skill, last.day) }))

		level := func(m *model, day float64) func(effect) float64 {
			return func(c effect) float64 { return m.student * math.Exp(-math.Abs(c.day-day)/m.fadeStudent) }
		}
		// The gap was drawn without being kept, so the student effect is drawn
		// from what the attempts were drawn with, as it must be.
		a := s.drawWith(truth.student, level(truth, last.day), nil)
		out["student"].add(r, a, p.of(m.student, level(m, last.day)))
	}
	return out
}

// TestCalibration: over 2,000 students drawn from the model, the rank of the
// truth among draws from the posterior is uniform (simulation-based
// calibration, Talts et al. 2018). Test: Pearson's chi-square over 20 bins,
// refused above its 0.99 quantile.
func TestCalibration(t *testing.T) {
	m := figures()
	for name, c := range calibrate(m, m, students, 6) {
		x := c.chiSquare()
		t.Logf("%s: chi-square %.1f with 19 degrees of freedom, ranks %v", name, x, *c)
		if x > chiSquare99 {
			t.Errorf("%s: the ranks are not uniform", name)
		}
	}
}

// TestCalibrationSees: the same test refuses a model that is off: skills twice as
// wide, a lesson's form left out, students or sides too much alike.
func TestCalibrationSees(t *testing.T) {
	for name, c := range map[string]struct {
		bend func(*model)
		in   string
	}{
		"skills twice as wide": {func(m *model) { m.skill *= 4 }, "effect"},
		"no form of a lesson":  {func(m *model) { m.lesson = 1e-6 }, "effect"},
		"students alike":       {func(m *model) { m.student /= 4 }, "student"},
		"sides half as far":    {func(m *model) { m.side /= 4; m.skillSide /= 4 }, "left less right"},
	} {
		m := *figures()
		c.bend(&m)
		got := calibrate(figures(), &m, students/2, 6)[c.in]
		t.Logf("%s: chi-square %.1f", name, got.chiSquare())
		if got.chiSquare() <= chiSquare99 {
			t.Errorf("%s: not seen", name)
		}
	}
}
