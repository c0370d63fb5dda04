package progress

import (
	"math"
	"slices"
	"sync"

	"firnhand/core/source"
)

// model holds the figures of the model. Effects are on the scale of log odds
// of a clean attempt; all are proposed until attempts of a programme have been
// fitted.
//
// The effect of an attempt is
//
//	usual + help (level - middle) - terrain rank - minutes
//	  + student(day) + lesson + skill(day) ± half of (side(day) + side of the skill(day)) + set-up
//	  + own response to help (level - middle)
//
// with independent Gaussian student, lesson, skill, side and set-up effects.
// Those of a day are correlated by exp(-days/fading) and so drift between
// lessons and fade towards zero, what is usual, while nobody skis.
type model struct {
	usual, help, middle, terrain, minute float64
	partly                               float64 // exp(-width of partly)

	student, lesson, skill, side, skillSide, setUp, ownHelp float64 // variances

	fadeStudent, fadeSkill float64 // days
}

// figures returns the model as proposed.
var figures = sync.OnceValue(func() *model {
	square := func(id string) float64 { v := source.Value(id); return v * v }
	return &model{
		usual: source.Value("progress_usual"), help: source.Value("progress_help"), middle: source.Value("progress_help_middle"),
		terrain: source.Value("progress_terrain"), minute: source.Value("progress_minute"),
		partly:  math.Exp(-source.Value("progress_partly")),
		student: square("progress_student"), lesson: square("progress_lesson"), skill: square("progress_skill"),
		side: square("progress_side"), skillSide: square("progress_skill_side"), setUp: square("progress_set_up"), ownHelp: square("progress_own_help"),
		fadeStudent: source.Value("progress_fade_student"), fadeSkill: source.Value("progress_fade_skill"),
	}
})

// effect names what an attempt depends on, beside what is known of everybody.
type effect struct {
	lesson int     // index; attempts of one lesson share its day's form
	day    float64 // days
	skill  int
	side   float64 // a half for the left, minus a half for the right, 0 without side
	setUp  int
	level  float64 // help level
}

// offset is the known part of an attempt.
func (m *model) offset(level, rank, minutes float64) float64 {
	return m.usual + m.help*(level-m.middle) - m.terrain*rank - m.minute*minutes
}

// covariance of two attempts' effects before anything is seen.
func (m *model) covariance(a, b effect) float64 {
	days := math.Abs(a.day - b.day)
	return m.covarianceFaded(a, b, math.Exp(-days/m.fadeStudent), math.Exp(-days/m.fadeSkill))
}

func (m *model) covarianceFaded(a, b effect, student, skill float64) float64 {
	c := m.student*student + m.ownHelp*(a.level-m.middle)*(b.level-m.middle)
	both := a.side * b.side
	own := m.side * both
	if a.skill == b.skill {
		own += m.skill + m.skillSide*both
	}
	c += own * skill
	if a.lesson == b.lesson {
		c += m.lesson
	}
	if a.setUp == b.setUp {
		c += m.setUp
	}
	return c
}

// gap is the covariance of an attempt's effect with left less right of a skill
// on a day: the side effect and the skill's own.
func (m *model) gap(a effect, skill int, day float64) float64 {
	c := m.side
	if a.skill == skill {
		c += m.skillSide
	}
	return c * a.side * math.Exp(-math.Abs(a.day-day)/m.fadeSkill)
}

// cell is a group of attempts with the same effect: one lesson, skill, side,
// set-up and help level. Terrain and minutes are known shifts within it.
type cell struct {
	effect
	obs []seen
}

// cells groups attempts; they come in time order.
func (m *model) cells(effects []effect, offsets []float64, outcomes []Outcome) []cell {
	var out []cell
	at := map[effect]int{}
	for i, e := range effects {
		j, ok := at[e]
		if !ok {
			j = len(out)
			at[e] = j
			out = append(out, cell{effect: e})
		}
		out[j].obs = append(out[j].obs, seen{math.Exp(-offsets[i]), outcomes[i]})
	}
	return out
}

// limit keeps the newest cells: of each skill, side and set-up the newest
// first, in turn, until there are most. It returns them in time order, with the
// number of attempts left out.
func limit(cells []cell, most int) (kept []cell, left int) {
	if len(cells) <= most {
		return cells, 0
	}
	type track struct {
		skill, setUp int
		side         float64
	}
	rank := map[track]int{}
	order := make([]int, 0, len(cells))
	turn := make([]int, len(cells))
	for i := len(cells) - 1; i >= 0; i-- {
		k := track{cells[i].skill, cells[i].setUp, cells[i].side}
		turn[i] = rank[k]
		rank[k]++
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return turn[a] - turn[b] })
	keep := order[:most]
	slices.Sort(keep)
	for _, i := range keep {
		kept = append(kept, cells[i])
	}
	for _, i := range order[most:] {
		left += len(cells[i].obs)
	}
	return kept, left
}
