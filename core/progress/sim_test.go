package progress

import (
	"math"
	"math/rand/v2"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// student is an invented student whose true effects are known: drawn from the
// model's own distributions, one after the other, conditional on those before.
type student struct {
	m       *model
	r       *rand.Rand
	effects []effect
	low     [][]float64 // Cholesky rows
	z       []float64
	values  []float64
}

// draw returns the true effect at e.
func (s *student) draw(e effect) float64 {
	return s.drawWith(s.m.covariance(e, e), func(c effect) float64 { return s.m.covariance(e, c) }, &e)
}

// drawWith draws a combination with a variance and its covariance with every
// effect drawn before; keep adds it to them.
func (s *student) drawWith(v float64, with func(effect) float64, keep *effect) float64 {
	if keep != nil {
		for i, c := range s.effects {
			if c == *keep {
				return s.values[i]
			}
		}
	}
	n := len(s.effects)
	l := make([]float64, n+1)
	x, left := 0.0, v
	for i, c := range s.effects {
		l[i] = with(c)
		for q := range i {
			l[i] -= s.low[i][q] * l[q]
		}
		l[i] /= s.low[i][i]
		x += l[i] * s.z[i]
		left -= l[i] * l[i]
	}
	l[n] = math.Sqrt(math.Max(left, 1e-12))
	z := s.r.NormFloat64()
	x += l[n] * z
	if keep != nil {
		s.effects, s.low, s.z, s.values = append(s.effects, *keep), append(s.low, l), append(s.z, z), append(s.values, x)
	}
	return x
}

// outcome draws how an attempt goes at a total effect.
func (m *model) outcome(r *rand.Rand, eta float64) Outcome {
	u := r.Float64()
	switch clean := logistic(eta); {
	case u < clean:
		return Clean
	case u < 1/(1+math.Exp(-eta)*m.partly):
		return Partly
	}
	return Miss
}

// history is what an invented student did, with the design of each attempt.
type history struct {
	effects  []effect
	offsets  []float64
	outcomes []Outcome
}

// teach simulates lessons. The help follows a crude form of the rules: up after
// a miss, down after two clean; what is tried depends on what was seen, as on
// snow.
func teach(m *model, r *rand.Rand, s *student, lessons int) (h history, tracks []effect) {
	day := 0.0
	help := map[[2]int]float64{}
	skills := 2 + r.IntN(5)
	for l := range lessons {
		for range 1 + r.IntN(3) {
			skill := r.IntN(skills)
			for side := range 2 {
				if r.IntN(6) == 0 {
					continue
				}
				k := [2]int{skill, side}
				if _, ok := help[k]; !ok {
					help[k] = float64(2 + r.IntN(5))
				}
				run := 0
				for i := range 2 + r.IntN(4) {
					e := effect{lesson: l, day: day, skill: skill, side: 0.5 - float64(side), setUp: l / 6, level: help[k]}
					off := m.offset(e.level, float64(r.IntN(2)), float64(5*i+r.IntN(30)))
					o := m.outcome(r, s.draw(e)+off)
					h.effects, h.offsets, h.outcomes = append(h.effects, e), append(h.offsets, off), append(h.outcomes, o)
					if o == Clean {
						run++
					} else {
						run = 0
					}
					switch {
					case o == Miss:
						help[k] = math.Min(7, help[k]+1)
					case run == 2:
						help[k], run = math.Max(0, help[k]-1), 0
					}
					tracks = append(tracks, e)
				}
			}
		}
		day += float64(1 + r.IntN(14))
	}
	return h, tracks
}

func newStudent(m *model, r *rand.Rand) *student { return &student{m: m, r: r} }

// attempts of invented people for the rules: any order of any skills, as odd as
// the ladder admits.
func randomHistory(r *rand.Rand, l *ladder.Ladder, n int) []Attempt {
	skills := l.Skills()
	var pool []*ladder.Skill
	for range 1 + r.IntN(3) {
		pool = append(pool, skills[r.IntN(len(skills))])
	}
	aids := []ladder.Aids{{Way: "outriggers", Tie: "none"}, {Way: "outriggers", Tie: "elastic"}, {Way: "slider", Tie: "none"}, {Way: "none", Tie: "none"}, {Way: "one_outrigger_left", Tie: "none"}, {Way: "one_ski_right", Tie: "none"}}
	at := aids[r.IntN(len(aids))]
	terrains := l.Terrains()
	helpers := []string{"", "Ina", "Jo"}
	cues := []string{"", "show", "tell"}
	day, lesson, minute := 100, 0, 0.0
	help := r.IntN(8)
	terrain := terrains[r.IntN(len(terrains))].ID
	helper, cue := helpers[r.IntN(3)], cues[r.IntN(3)]
	skill, poor := pool[0], false
	cleanOften := r.IntN(3) > 0
	var out []Attempt
	for tries := 0; len(out) < n && tries < 40*n; tries++ {
		switch r.IntN(12) {
		case 0:
			lesson++
			day += r.IntN(20)
			minute = 0
		case 1:
			help = r.IntN(8)
		case 2:
			terrain = terrains[r.IntN(len(terrains))].ID
		case 3:
			helper = helpers[r.IntN(3)]
		case 4:
			skill = pool[r.IntN(len(pool))]
		case 5:
			cue = cues[r.IntN(3)]
		case 6:
			if r.IntN(6) == 0 {
				at = aids[r.IntN(len(aids))]
			}
		case 7:
			poor = r.IntN(4) == 0
		case 8:
			help = max(0, help-1)
		}
		minute = math.Min(MaxMinute, minute+r.Float64()*4)
		a := Attempt{Attempt: ladder.Attempt{Skill: skill.ID, Terrain: terrain, Help: help, Aids: at}, Lesson: string(rune('a'+lesson%26)) + digit(lesson/26%10), Day: day,
			Minute: minute, Helper: helper, Cue: cue, Poor: poor, Outcome: Outcome(r.IntN(3))}
		if skill.Sides != ladder.NoSides {
			a.Side = finding.Side(1 + r.IntN(2))
		}
		if cleanOften && r.IntN(4) > 0 {
			a.Outcome = Clean
		}
		if r.IntN(25) == 0 {
			a.Trouble = 1 << r.IntN(5)
		}
		if r.IntN(15) == 0 {
			a.Minute = MinuteUnknown
		}
		if l.Admit(a.Attempt) != nil {
			continue
		}
		out = append(out, a)
	}
	return out
}
