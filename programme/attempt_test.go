package programme_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"firnhand/core/progress"
	"firnhand/programme"
)

// What is recorded of lessons and attempts is the house's own; that a sidestep
// with a tie on is refused is the trade's (common practice, no source).

func traverse(side, outcome string, help int) programme.AttemptMade {
	return programme.AttemptMade{Skill: "K23", Side: side, Help: help, Outcome: outcome, Terrain: "beginner", Way: "outriggers"}
}

func (r *rig) opened(student programme.ID) programme.ID {
	r.t.Helper()
	m := r.made()
	r.ok(r.OpenLesson(ctx, instructor, m, student, programme.LessonOpened{Day: programme.DateOf(r.clock.Now().In(place)), Way: "outriggers", Terrain: "beginner"}))
	return m.ID
}

func (r *rig) record(student programme.ID) programme.Record {
	r.t.Helper()
	got, err := r.StudentAt(ctx, lead, student, programme.AsOf{})
	if err != nil {
		r.t.Fatal(err)
	}
	return got
}

func TestAttemptsMakeAHistory(t *testing.T) {
	r := newRig(t)
	st := r.student()
	lesson := r.opened(st)
	for range 3 {
		r.clock.Advance(4 * time.Minute)
		a := traverse("left", "clean", 4)
		a.Lesson = lesson
		r.ok(r.RecordAttempt(ctx, instructor, r.made(), st, a))
	}
	// Without a lesson: that of the day. Another side, with minutes.
	minutes := 30
	b := traverse("right", "miss", 4)
	b.Minutes = &minutes
	m := r.made()
	r.ok(r.RecordAttempt(ctx, instructor, m, st, b))
	h := r.record(st).History()
	if len(h.Attempts) != 4 || h.Attempts[0].Minute != 4 || h.Attempts[2].Minute != 12 || h.Attempts[3].Minute != 30 || h.From[3] != m.ID {
		t.Fatalf("%+v", h)
	}
	for _, a := range h.Attempts {
		if a.Lesson != string(lesson) || a.Aids.Tie != "none" {
			t.Errorf("%+v", a)
		}
	}
	got, _, err := programme.ProgressOf(r.record(st), nil)
	if err != nil || len(got.Lines) != 2 || got.Lines[0].Advice.Help != 3 || got.Lines[0].Advice.Change != progress.Less {
		t.Errorf("%v %+v", err, got.Lines)
	}

	// A correction stands in its place; a retraction takes it out.
	c := b
	c.Outcome = "partly"
	r.ok(r.CorrectAttempt(ctx, instructor, r.made(), st, m.ID, c))
	if h := r.record(st).History(); len(h.Attempts) != 4 || h.Attempts[3].Outcome != progress.Partly || h.From[3] != m.ID {
		t.Errorf("%+v", h.Attempts[3])
	}
	r.ok(r.Retract(ctx, instructor, r.made(), st, m.ID, programme.Retraction{Reason: "Tapped by mistake"}))
	if h := r.record(st).History(); len(h.Attempts) != 3 {
		t.Errorf("%d attempts", len(h.Attempts))
	}

	// A fall counts to the attempt before it, a rest begins the minutes anew.
	r.ok(r.RecordSnow(ctx, instructor, r.made(), st, programme.SnowEvent{Event: programme.SnowFall, Hurt: "no", Head: "no"}))
	r.clock.Advance(20 * time.Minute)
	r.ok(r.RecordSnow(ctx, instructor, r.made(), st, programme.SnowEvent{Event: programme.SnowCheck, Reason: "rest"}))
	r.clock.Advance(5 * time.Minute)
	r.ok(r.RecordAttempt(ctx, instructor, r.made(), st, traverse("left", "clean", 5)))
	h = r.record(st).History()
	if h.Attempts[2].Trouble != progress.UncontrolledFall || h.Attempts[3].Minute != 5 {
		t.Errorf("%+v", h.Attempts)
	}

	// The next day's attempts come after, whenever the phone brings them; a day
	// without an opened lesson is a lesson.
	r.days(1)
	r.ok(r.RecordAttempt(ctx, instructor, r.made(), st, traverse("left", "clean", 5)))
	late := r.made()
	late.At = r.clock.Now().AddDate(0, 0, -2)
	r.ok(r.RecordAttempt(ctx, instructor, late, st, traverse("left", "miss", 6)))
	h = r.record(st).History()
	if n := len(h.Attempts); n != 6 || h.Attempts[0].Outcome != progress.Miss || h.Attempts[5].Lesson != "day 2027-01-15" {
		t.Errorf("%+v", h.Attempts)
	}
	if got, _, err := programme.ProgressOf(r.record(st), nil); err != nil || got.Lines[0].Advice.Change != progress.Begin {
		t.Errorf("%v %+v", err, got)
	}
}

func TestAttemptsRefused(t *testing.T) {
	r := newRig(t)
	st := r.student()
	for name, change := range map[string]func(*programme.AttemptMade){
		"not with a tie on":  func(a *programme.AttemptMade) { a.Skill, a.Tie = "K11", "elastic" },
		"left and right":     func(a *programme.AttemptMade) { a.Side = "" },
		"miss, partly":       func(a *programme.AttemptMade) { a.Outcome = "nearly" },
		"help level":         func(a *programme.AttemptMade) { a.Help = 8 },
		"no skill":           func(a *programme.AttemptMade) { a.Skill = "K99" },
		"terrain is one of":  func(a *programme.AttemptMade) { a.Terrain = "moon" },
		"minutes":            func(a *programme.AttemptMade) { n := -1; a.Minutes = &n },
		"What happened is":   func(a *programme.AttemptMade) { a.Trouble = []string{"rain"} },
		"control character":  func(a *programme.AttemptMade) { a.Cue = "a\x00b" },
		"sitting has":        func(a *programme.AttemptMade) { a.Way = "sitting" },
		"is not an id":       func(a *programme.AttemptMade) { a.Lesson = "first" },
		"is none, left or r": func(a *programme.AttemptMade) { a.Side = "up" },
	} {
		a := traverse("left", "clean", 4)
		change(&a)
		_, err := r.RecordAttempt(ctx, instructor, r.made(), st, a)
		if programme.CodeOf(err) != programme.CodeInvalid || !strings.Contains(strings.ToLower(programme.SentenceOf(err)), strings.ToLower(name)) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := r.RecordAttempt(ctx, scheduler, r.made(), st, traverse("left", "clean", 4)); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("the scheduler records: %v", err)
	}
	if _, err := r.RecordAttempt(ctx, instructor, r.made(), r.ids.Next(), traverse("left", "clean", 4)); programme.CodeOf(err) != programme.CodeNotFound {
		t.Errorf("nobody skis: %v", err)
	}
	r.opened(st)
	if _, err := r.OpenLesson(ctx, instructor, r.made(), st, programme.LessonOpened{Day: date("2027-01-14"), Way: "outriggers"}); programme.CodeOf(err) != programme.CodeConflict {
		t.Errorf("two lessons at once: %v", err)
	}
	if _, err := r.OpenLesson(ctx, instructor, r.made(), st, programme.LessonOpened{Day: date("2027-01-15"), Way: "outriggers"}); programme.CodeOf(err) != programme.CodeInvalid {
		t.Errorf("a lesson of tomorrow: %v", err)
	}
}

// A phone brings attempts as it wrote them, with fields this program does not
// know.
func TestAttemptsFromAPhone(t *testing.T) {
	r := newRig(t)
	st := r.student()
	payload, err := json.Marshal(traverse("left", "clean", 4))
	if err != nil {
		t.Fatal(err)
	}
	more := strings.TrimSuffix(string(payload), "}") + `,"snow_in_the_boot":true}`
	lesson := r.item(st, programme.KindLessonOpened, `{"day":"2027-01-14","way":"outriggers","terrain":"beginner"}`)
	one := r.item(st, programme.KindAttempt, more)
	two := r.item(st, programme.KindAttempt, strings.Replace(more, `"clean"`, `"miss"`, 1), one.ID)
	tied := r.item(st, programme.KindAttempt, `{"skill":"K11","side":"left","help":3,"outcome":"clean","terrain":"beginner","way":"outriggers","tie":"elastic"}`)
	if got := words(r.TakeFromPhone(ctx, instructor, []programme.PhoneItem{lesson, one, two, tied})); got != "created created created refused:invalid" {
		t.Error(got)
	}
	if h := r.record(st).History(); len(h.Attempts) != 1 || h.Attempts[0].Outcome != progress.Miss || h.Attempts[0].Lesson != string(lesson.ID) {
		t.Errorf("%+v", h)
	}
}
