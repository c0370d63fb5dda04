package verify

import (
	"errors"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/lesson"
)

// lessonChecks are facts of the trade that the ladder and the plan of a lesson
// rest on. Most are common practice without a source.
func lessonChecks() []Check {
	l := ladder.Standing()
	most := func(id string) float64 {
		t, _, _ := l.Terrain(id)
		return t.ToPct
	}
	tied := ladder.Aids{Way: "outriggers", Tie: "elastic"}
	admitted := func(skill string, side finding.Side, help int, a ladder.Aids) string {
		s, _ := l.Skill(skill)
		_, err := l.AdmitPass(ladder.Pass{Skill: skill, Side: side, Terrain: s.Place.ID, Help: help, Aids: a})
		var e *ladder.Error
		if errors.As(err, &e) {
			return e.Code
		}
		return "admitted"
	}
	first := plannedFirst()
	place := func(skill string) int {
		for i, b := range first.Blocks {
			if b.Skill != nil && b.Skill.ID == skill {
				return i
			}
		}
		return -1
	}
	slide, brake, steer := place("K15"), place("K18"), place("K22")
	return []Check{
		{ID: "ladder/skills", What: "skills of the ladder for skiing standing", Source: "CP", Unit: "1", Expected: "37", Got: float64(len(l.Skills()))},
		{ID: "ladder/beginner_most_pct", What: "steepest gradient of a beginner slope", Source: "S39", Unit: "%", Expected: "12", Got: most("beginner")},
		{ID: "ladder/novice_most_pct", What: "steepest gradient of a novice run", Source: "S39", Unit: "%", Expected: "25", Got: most("novice")},
		{ID: "ladder/novice_short_pct", What: "steepest short pitch of a novice run", Source: "S39", Unit: "%", Expected: "30", Got: most("short_pitch")},
		{ID: "ladder/sidestep_tied", What: "a sidestep pass with a tie on", Source: "CP", Expected: "not_with_tie", GotWord: admitted("K11", finding.Left, 1, tied)},
		{ID: "ladder/wedge_hinged_tie", What: "a wedge with an elastic tie on", Source: "S44", Expected: "admitted", GotWord: admitted("K19", finding.NoSide, 1, tied)},
		{ID: "ladder/wedge_spacer", What: "a wedge with a spacer on", Source: "CP", Expected: "not_with_spacer", GotWord: admitted("K19", finding.NoSide, 1, ladder.Aids{Way: "outriggers", Tie: "rigid_spacer"})},
		{ID: "ladder/get_up_slider", What: "getting up alone in a slider", Source: "CP", Expected: "alone_not_with_slider", GotWord: admitted("K10", finding.Left, 0, ladder.Aids{Way: "slider"})},
		{ID: "lesson/first_most", What: "a first lesson of which 180 minutes are asked has 60 to 90 on snow", Source: "CP", Expected: "yes", GotWord: word(first.Minutes >= 60 && first.Minutes <= 90)},
		{ID: "lesson/brake_before_steering", What: "first lesson on outriggers: straight slide, then brake, then steering", Source: "S2", Expected: "yes", GotWord: word(0 <= slide && slide < brake && brake < steer)},
	}
}

func word(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// plannedFirst is a first lesson on outriggers with more time than it may take.
func plannedFirst() *lesson.Result {
	r, err := lesson.Make(lesson.Request{
		Student: lesson.Student{Setup: ladder.Setup{Aids: ladder.Aids{Way: "outriggers"}, RouteLeft: "wedge", RouteRight: "wedge"}, Plan: "PL-B",
			FirstTerrain: "under_5pct_then_8_12pct", People: 2, BlockMin: 20, Lagging: finding.Left},
		Day: lesson.Day{Minutes: lesson.MostMinutes, Terrains: []string{"run_out", "beginner"}, People: 2},
	})
	if err != nil {
		return &lesson.Result{}
	}
	return r
}
