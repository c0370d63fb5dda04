package record

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/programme"
)

// hillWords are the kinds of fact about a student on the hill.
var hillWords = map[programme.Kind]string{programme.KindHillChoice: "Slope and lift chosen", programme.KindLiftTimes: "Timed for a lift",
	programme.KindStops: "Stops measured", programme.KindEffort: "Effort known from"}

// isHill tells whether a fact is one of them.
func isHill(k programme.Kind) bool { return hillWords[k] != "" }

// hillSays says what a fact about a student on the hill says, as far as it
// stands. The hill's own names are on its pages.
func hillSays(r programme.Record, e programme.Entry) string {
	switch e.Kind {
	case programme.KindHillChoice:
		i := slices.IndexFunc(r.Hill.Choices, func(c programme.HillChoiceState) bool { return c.Fact == e.Fact })
		if i >= 0 {
			c := r.Hill.Choices[i]
			return withNote(fmt.Sprintf("Fan left %s, right %s", stepWord(c.StepLeft), stepWord(c.StepRight)), c.Note)
		}
	case programme.KindLiftTimes:
		i := slices.IndexFunc(r.Hill.LiftTimes, func(t programme.LiftTimesState) bool { return t.Fact == e.Fact })
		if i >= 0 {
			t := r.Hill.LiftTimes[i]
			return withNote(fmt.Sprintf("%d pushes over %s m", len(t.PushS), finding.FormatNumber(t.PushM)), t.Note)
		}
	case programme.KindStops:
		i := slices.IndexFunc(r.Hill.Stops, func(s programme.StopsState) bool { return s.Fact == e.Fact })
		if i >= 0 {
			s := r.Hill.Stops[i]
			return withNote(fmt.Sprintf("%s, %d", programme.StopLabel(s.How), len(s.Trials)), s.Note)
		}
	case programme.KindEffort:
		i := slices.IndexFunc(r.Hill.Efforts, func(s programme.EffortState) bool { return s.Fact == e.Fact })
		if i >= 0 {
			return withNote(effortWord(r.Hill.Efforts[i].EffortBasis), r.Hill.Efforts[i].Note)
		}
	}
	return ""
}

func effortWord(e programme.EffortBasis) string {
	switch {
	case e.WalkM > 0:
		const minute = 60
		return finding.FormatNumber(e.WalkM) + " m walked in " + finding.FormatNumber(e.WalkS/minute) + " min"
	case e.Group != "":
		return "A published group: " + e.Group
	}
	return "What a clinic measured"
}

func stepWord(n int) string {
	if n == 0 {
		return "none yet"
	}
	return fmt.Sprintf("step %d", n)
}

func withNote(words, note string) string { return strings.TrimSuffix(words+". "+note, ". ") }
