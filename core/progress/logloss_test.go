package progress

import (
	"math"
	"math/rand/v2"
	"testing"
)

// forecast is a set of chances of miss, partly, clean.
type forecast [3]float64

func (f forecast) loss(o Outcome) float64 { return -math.Log(f[o]) }

// rate is a forecast by counts, each with one added.
func rate(counts [3]float64) forecast {
	all := counts[0] + counts[1] + counts[2] + 3
	return forecast{(counts[0] + 1) / all, (counts[1] + 1) / all, (counts[2] + 1) / all}
}

func (m *model) forecast(a along, offset float64) forecast {
	clean, partly := m.clean(a, offset)
	const least = 1e-6
	return forecast{max(1-partly, least), max(partly-clean, least), max(clean, least)}
}

// losses are mean log losses on attempts nobody showed the forecasters.
type losses struct {
	Model, Overall, LastThree, PerSkill float64
	n                                   int
}

// compare simulates students with taught, and lets the model and three simple
// forecasters predict every attempt of each student's last lesson from what
// came before: the overall rate of all students, the last three attempts of the
// same record, and the rate of the skill over all students. All know the same
// earlier lessons.
func compare(m *model, seed uint64, many int, taught func(*rand.Rand) history) losses {
	r := rand.New(rand.NewPCG(seed, 2))
	var all [3]float64
	skill := map[int][3]float64{}
	hs := make([]history, many)
	cuts := make([]int, many)
	for i := range hs {
		h := taught(r)
		cut := len(h.effects)
		for cut > 0 && h.effects[cut-1].lesson == h.effects[len(h.effects)-1].lesson {
			cut--
		}
		for q, o := range h.outcomes[:cut] {
			all[o]++
			k := skill[h.effects[q].skill]
			k[o]++
			skill[h.effects[q].skill] = k
		}
		hs[i], cuts[i] = h, cut
	}
	var l losses
	for i, h := range hs {
		p := m.fit(m.cells(h.effects[:cuts[i]], h.offsets[:cuts[i]], h.outcomes[:cuts[i]]))
		for q := cuts[i]; q < len(h.effects); q++ {
			e, o := h.effects[q], h.outcomes[q]
			a := p.of(m.covariance(e, e), func(c effect) float64 { return m.covariance(e, c) })
			l.Model += m.forecast(a, h.offsets[q]).loss(o)
			l.Overall += rate(all).loss(o)
			l.PerSkill += rate(skill[e.skill]).loss(o)
			var last [3]float64
			for b, seen := cuts[i]-1, 0; b >= 0 && seen < 3; b-- {
				if h.effects[b].skill == e.skill && h.effects[b].side == e.side {
					last[h.outcomes[b]]++
					seen++
				}
			}
			l.LastThree += rate(last).loss(o)
			l.n++
		}
	}
	n := float64(l.n)
	l.Model, l.Overall, l.LastThree, l.PerSkill = l.Model/n, l.Overall/n, l.LastThree/n, l.PerSkill/n
	return l
}

// fromModel teaches a student drawn from the model.
func fromModel(m *model) func(*rand.Rand) history {
	return func(r *rand.Rand) history {
		h, _ := teach(m, r, newStudent(m, r), 3+r.IntN(8))
		return h
	}
}

// fromCurve teaches a student whom the model does not describe: learning along a
// curve of practice of an own speed, skills forgotten by a tenth a week, good and
// bad days drawn evenly, now and then a slip whatever the skill, one leg worse in
// half of the students, and help that counts less the more there is.
func fromCurve(m *model) func(*rand.Rand) history {
	return func(r *rand.Rand) (h history) {
		speed, gain, start := 6+12*r.Float64(), 1+3*r.Float64(), -3+2*r.Float64()
		weak := 0.0
		if r.IntN(2) == 0 {
			weak = 0.5 + 1.5*r.Float64()
		}
		practice := map[[2]int]float64{}
		help := map[[2]int]float64{}
		day := 0.0
		for l := range 3 + r.IntN(8) {
			form := 1.2 * (r.Float64() - 0.5)
			for range 2 + r.IntN(2) {
				skill := r.IntN(4)
				for side := range 2 {
					k := [2]int{skill, side}
					if _, ok := help[k]; !ok {
						help[k] = 5
					}
					run := 0
					for i := range 2 + r.IntN(4) {
						level := help[k]
						eta := start + gain*(1-math.Exp(-practice[k]/speed)) - 0.4*float64(skill) + form + 3*(1-math.Exp(-level/3)) - 0.008*float64(5*i)
						if side == 0 {
							eta -= weak
						}
						o := m.outcome(r, eta)
						if r.IntN(20) == 0 {
							o = Outcome(r.IntN(3))
						}
						e := effect{lesson: l, day: day, skill: skill, side: 0.5 - float64(side), level: level}
						h.effects, h.offsets, h.outcomes = append(h.effects, e), append(h.offsets, m.offset(level, 0, float64(5*i))), append(h.outcomes, o)
						practice[k]++
						if run++; o != Clean {
							run = 0
						}
						switch {
						case o == Miss:
							help[k] = math.Min(7, level+1)
						case run == 3:
							help[k], run = math.Max(0, level-1), 0
						}
					}
				}
			}
			gap := float64(1 + r.IntN(14))
			day += gap
			for k := range practice {
				practice[k] *= math.Pow(0.9, gap/7)
			}
		}
		return h
	}
}

// TestLogLoss: the model's forecasts of a lesson it has not seen are better than
// three simple ones, on students it describes and on students it does not.
func TestLogLoss(t *testing.T) {
	m := figures()
	for _, c := range []struct {
		name   string
		taught func(*rand.Rand) history
	}{{"drawn from the model", fromModel(m)}, {"learning along a curve", fromCurve(m)}} {
		l := compare(m, 9, 1000, c.taught)
		t.Logf("%s: %d attempts, log loss model %.4f, overall rate %.4f, last three %.4f, rate of the skill %.4f", c.name, l.n, l.Model, l.Overall, l.LastThree, l.PerSkill)
		if l.Model >= l.Overall || l.Model >= l.LastThree || l.Model >= l.PerSkill {
			t.Errorf("%s: a simple forecast is as good", c.name)
		}
	}
}
