package verify

import (
	"strings"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/core/source"
)

// tried writes attempts of one record in one lesson: "c3 m3 p4" is clean at help
// level 3, a miss at 3, partly at 4. The first is at minute 1, each next a minute
// later.
func tried(lesson string, day int, skill string, side finding.Side, terrain, text string) []progress.Attempt {
	var out []progress.Attempt
	for i, w := range strings.Fields(text) {
		o := map[byte]progress.Outcome{'c': progress.Clean, 'm': progress.Miss, 'p': progress.Partly}[w[0]]
		out = append(out, progress.Attempt{Attempt: ladder.Attempt{Skill: skill, Side: side, Terrain: terrain, Help: int(w[1] - '0'), Aids: ladder.Aids{Way: "outriggers"}},
			Outcome: o, Lesson: lesson, Day: day, Minute: float64(i + 1)})
	}
	return out
}

// progressChecks compares the model's chance of a clean attempt with SciPy's
// integration of the same posterior, and the counting rules with what the trade
// says.
func progressChecks() []Check {
	l := ladder.Standing()
	line := func(h []progress.Attempt, now progress.Now) progress.Line {
		r := kept(progress.Read(l, nil, h, now))
		last := h[len(h)-1]
		for _, x := range r.Lines {
			if x.Skill == last.Skill && x.Side == last.Side && x.Current {
				return x
			}
		}
		panic("verify: no record of the last attempt")
	}
	left, right := finding.Left, finding.Right
	var checks []Check
	for _, c := range []struct {
		id, what, want string
		h              []progress.Attempt
		days           int // to the next lesson
	}{
		{"one_record", "five traverses left at level 4, next at 3", "0.4506", tried("a", 0, "K23", left, "beginner", "m4 p4 c4 c4 c4"), 7},
		{"all_missed", "six missed at level 6, next at 5", "0.0708", tried("a", 0, "K23", left, "beginner", "m6 m6 m6 m6 m6 m6"), 0},
		{"two_lessons", "clean at 3, a month later at 2 on harder terrain", "0.3920",
			append(tried("a", 0, "K25", right, "beginner", "c3 c3 p3 c3"), tried("b", 30, "K25", right, "novice", "c2 c2 p2")...), 30},
		{"other_side", "the right after the left", "0.3760",
			append(tried("a", 0, "K25", left, "beginner", "c3 c3 c3 c3 c3"), tried("a", 0, "K25", right, "beginner", "m3 p3")...), 3},
		{"other_skill", "a skill after another", "0.5435",
			append(tried("a", 0, "K23", left, "beginner", "c2 c2 c2 c2"), tried("b", 2, "K25", left, "beginner", "p4")...), 3},
	} {
		last := c.h[len(c.h)-1]
		got := line(c.h, progress.Now{Day: last.Day + c.days}).Estimate.Less.Clean
		checks = append(checks, Check{ID: "progress/" + c.id, What: "chance of a clean attempt, " + c.what, Source: "D", Status: source.Derived, Unit: "1", Expected: c.want, Tolerance: 1e-3, Got: got,
			Note: "the same model integrated with SciPy"})
	}
	for _, c := range []struct {
		id, what, text, want string
		day                  int
	}{
		{"fade", "three clean in a row, fresh, same terrain", "c4 c4 c4", "3 less", 0},
		{"not_yet", "two clean in a row", "c4 c4", "4 same", 0},
		{"back", "two misses in three", "m4 c4 m4", "5 more", 0},
		{"start_of_day", "the next day after level 4", "c4 p4 c4", "5 begin", 1},
	} {
		h := tried("a", 0, "K23", left, "beginner", c.text)
		now := progress.Now{Lesson: "a"}
		if c.day > 0 {
			now = progress.Now{Day: c.day}
		}
		a := line(h, now).Advice
		checks = append(checks, Check{ID: "progress/rule_" + c.id, What: "help after " + c.what, Source: "P", Expected: c.want, GotWord: string(rune('0'+a.Help)) + " " + string(a.Change)})
	}
	return checks
}
