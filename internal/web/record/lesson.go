package record

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/ladder"
	"firnhand/programme"
)

// lessonWords are the kinds of fact about lessons and what happened in them.
var lessonWords = map[programme.Kind]string{programme.KindLessonOpened: "Lesson opened", programme.KindLessonClosed: "Lesson closed, handed over", programme.KindAttempt: "Attempt",
	programme.KindSnow: "On snow", programme.KindIncident: "Incident or near miss written down", programme.KindWitness: "Statement of a witness"}

var snowWords = map[string]string{programme.SnowFall: "a fall", programme.SnowStop: "a stop", programme.SnowNearMiss: "a near miss", programme.SnowCheck: "a check"}

// lessonSays says what a fact about a lesson says, as far as it stands. Incidents
// and statements are read on their own pages only, by those who may.
func lessonSays(r programme.Record, e programme.Entry) string {
	switch e.Kind {
	case programme.KindLessonOpened:
		if l, ok := r.LessonByID(e.Fact); ok {
			return withNote(ladder.Aids{Way: l.Way, Tie: l.Tie}.Clean().Words(), l.Goal)
		}
	case programme.KindLessonClosed:
		for _, l := range r.Lessons {
			if l.Closed && l.Closing.Fact == e.Fact {
				return r.HandedOverIn(l.ID, "next")
			}
		}
	case programme.KindAttempt:
		i := slices.IndexFunc(r.Attempts, func(a programme.AttemptState) bool { return a.Fact == e.Fact })
		if i >= 0 {
			return attemptSays(r.Attempts[i].AttemptMade)
		}
	case programme.KindSnow:
		i := slices.IndexFunc(r.Snow, func(s programme.SnowState) bool { return s.Fact == e.Fact })
		if i >= 0 {
			return strings.TrimSuffix(snowWords[r.Snow[i].Event]+", "+r.Snow[i].Reason, ", ")
		}
	}
	return ""
}

func attemptSays(a programme.AttemptMade) string {
	name := a.Skill
	if s, ok := ladder.Standing().Skill(a.Skill); ok {
		name += " " + s.Name
	}
	if a.Side == "left" || a.Side == "right" {
		name += ", " + a.Side
	}
	return fmt.Sprintf("%s, help level %d, %s", name, a.Help, a.Outcome)
}

// sameLesson tells whether two events are attempts that one person wrote down
// one after the other.
func sameLesson(a, b event) bool {
	return a.Kind == programme.KindAttempt && b.Kind == programme.KindAttempt && a.Entry.By == b.Entry.By
}

// aboutAttempt names what an attempt was about, for the head of several.
func aboutAttempt(r programme.Record, e programme.Entry) string {
	i := slices.IndexFunc(r.Attempts, func(a programme.AttemptState) bool { return a.Fact == e.Fact })
	if i < 0 {
		return lessonWords[e.Kind]
	}
	return strings.TrimSpace(r.Attempts[i].Skill + " " + strings.TrimPrefix(r.Attempts[i].Side, "none"))
}
