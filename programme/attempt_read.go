package programme

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"firnhand/core/ladder"
	"firnhand/core/progress"
)

// number counts civil days.
func (d Date) number() int { return int(d.utc().Unix() / 86400) }

// dateOfNumber is the day of such a number.
func dateOfNumber(n int) Date { return DateOf(time.Unix(int64(n)*86400, 0).UTC()) }

// History is a student's attempts in the order of their lessons, as core reads
// them, with the facts they come from.
type History struct {
	Attempts []progress.Attempt
	From     []ID // fact of each
}

// lessonKey names the lesson an attempt counts to: the one it was recorded in,
// else the day it was made on.
func (r Record) lessonKey(a AttemptState) (key string, day Date, opened *LessonState) {
	for i := range r.Lessons {
		if l := &r.Lessons[i]; l.ID == a.Lesson {
			return string(l.ID), l.Day, l
		}
	}
	day = DateOf(a.MadeAt.In(r.zone()))
	for i := range r.Lessons { // of that day, the one it was made in
		if l := &r.Lessons[i]; l.Day == day && !l.MadeAt.After(a.MadeAt) {
			opened = l
		}
	}
	if opened != nil {
		return string(opened.ID), day, opened
	}
	return "day " + day.String(), day, nil
}

// minutesInto is how long since the lesson began, or since the last rest in it,
// an attempt was made: as recorded, else by the label of its clock against that
// of the lesson's opening.
func (r Record) minutesInto(a AttemptState, day Date, opened *LessonState) float64 {
	into := func(at time.Time, said *int) (float64, bool) {
		if said != nil {
			return float64(*said), true
		}
		if opened == nil {
			return 0, false
		}
		m := at.Sub(opened.MadeAt).Minutes()
		return m, m >= 0 && m <= MaxLessonMin
	}
	m, known := into(a.MadeAt, a.Minutes)
	if !known {
		return progress.MinuteUnknown
	}
	for i := len(r.Snow) - 1; i >= 0; i-- {
		s := r.Snow[i]
		if s.Event != SnowCheck || s.Reason != "rest" || s.MadeAt.After(a.MadeAt) || DateOf(s.MadeAt.In(r.zone())) != day {
			continue
		}
		if rest, ok := into(s.MadeAt, s.Minutes); ok && rest <= m {
			return m - rest
		}
		break
	}
	return m
}

// History returns the attempts in the order of their lessons, within a lesson
// as the store took them. A fall, or a stop for pain, spasm or an uncontrolled
// run, that was recorded beside the attempts counts to the attempt before it in
// the same lesson.
func (r Record) History() History {
	type one struct {
		progress.Attempt
		from ID
		seq  int64
		at   time.Time
		open int64 // Seq of the lesson's opening
	}
	var all []one
	for _, a := range r.Attempts {
		key, day, opened := r.lessonKey(a)
		p, err := a.attempt(key, day.number(), r.minutesInto(a, day, opened))
		if err != nil || ladderOf().Admit(p.Attempt) != nil {
			continue // written by a program that knows more
		}
		o := one{p, a.First, a.Seq, a.MadeAt, 0}
		if opened != nil {
			o.open = opened.Seq
		}
		all = append(all, o)
	}
	slices.SortStableFunc(all, func(a, b one) int {
		if a.Day != b.Day {
			return a.Day - b.Day
		}
		if a.Lesson != b.Lesson {
			if a.open != b.open {
				return int(a.open - b.open)
			}
			return strings.Compare(a.Lesson, b.Lesson)
		}
		return 0
	})
	for _, s := range r.Snow {
		t := troubleOf(s.SnowEvent)
		if t == 0 {
			continue
		}
		day := DateOf(s.MadeAt.In(r.zone())).number()
		for i := len(all) - 1; i >= 0; i-- {
			if all[i].Day == day && !all[i].at.After(s.MadeAt) {
				all[i].Trouble |= t
				break
			}
		}
	}
	var h History
	for _, o := range all {
		h.Attempts, h.From = append(h.Attempts, o.Attempt), append(h.From, o.from)
	}
	return h
}

// troubleOf is what an event on snow means for the attempt before it.
func troubleOf(e SnowEvent) progress.Trouble {
	switch {
	case e.Event == SnowFall:
		return progress.UncontrolledFall
	case e.Event == SnowStop && e.Reason == "pain":
		return progress.Pain
	case e.Event == SnowStop && e.Reason == "spasm":
		return progress.Spasm
	case e.Event == SnowStop && e.Reason == "uncontrolled":
		return progress.UncontrolledFall
	}
	return 0
}

// zone is where the programme is.
func (r Record) zone() *time.Location {
	if r.place == nil {
		return time.UTC
	}
	return r.place
}

// OpenLesson returns the lesson that is going on: the last one opened that is
// not closed, of the record's day.
func (r Record) OpenLesson() (LessonState, bool) {
	for i := len(r.Lessons) - 1; i >= 0; i-- {
		if l := r.Lessons[i]; !l.Closed && l.Day == r.Day {
			return l, true
		}
	}
	return LessonState{}, false
}

// UnclosedLessons returns the lessons without a handover, oldest first.
func (r Record) UnclosedLessons() []LessonState {
	return slices.DeleteFunc(slices.Clone(r.Lessons), func(l LessonState) bool { return l.Closed })
}

// LessonByID finds a lesson.
func (r Record) LessonByID(id ID) (LessonState, bool) {
	i := slices.IndexFunc(r.Lessons, func(l LessonState) bool { return l.ID == id })
	if i < 0 {
		return LessonState{}, false
	}
	return r.Lessons[i], true
}

// KnownMinutes is the student's minutes to loss of quality, 0 where nobody
// tested it.
func (r Record) KnownMinutes() float64 {
	s, ok := r.Current("endurance_min", "none", "fresh")
	if !ok {
		return 0
	}
	v, err := strconv.ParseFloat(s.Value, 64)
	if err != nil || v <= 0 || v > progress.MaxMinute {
		return 0
	}
	return v
}

// AidsOf are the aids a student skis with: those of the lesson that is going
// on, else of the last attempt; ok is false where nothing was tried.
func (r Record) AidsOf(h History) (a ladder.Aids, ok bool) {
	if l, going := r.OpenLesson(); going {
		return ladder.Aids{Way: l.Way, Tie: l.Tie}.Clean(), true
	}
	if n := len(h.Attempts); n > 0 {
		return h.Attempts[n-1].Aids, true
	}
	return ladder.Aids{}, false
}

// ProgressNow is the moment for which help is asked of a record.
func (r Record) ProgressNow(h History) progress.Now {
	now := progress.Now{Day: r.Day.number(), KnownMinutes: r.KnownMinutes()}
	now.Aids, _ = r.AidsOf(h)
	if l, going := r.OpenLesson(); going {
		now.Lesson = string(l.ID)
	}
	if n := len(h.Attempts); n > 0 {
		now.Day = max(now.Day, h.Attempts[n-1].Day)
	}
	for i := len(r.Lessons) - 1; i >= 0; i-- {
		if l := r.Lessons[i]; l.Closed {
			now.ReinsReason = l.ReinsReason != ""
			break
		}
	}
	return now
}

// ProgressOf reads a record's attempts by rules and model.
func ProgressOf(r Record, n progress.Numbers) (*progress.Reading, History, error) {
	h := r.History()
	got, err := progress.Read(ladderOf(), n, h.Attempts, r.ProgressNow(h))
	if err != nil {
		return nil, h, Fail(CodeInternal, err, "The attempts could not be read: %s", err)
	}
	return got, h, nil
}

// ProgressNumbers are the programme's numbers for the counting rules, as signed
// off; what nobody signed off has its proposed value.
func ProgressNumbers(signed map[string]SettingState) progress.Numbers {
	n := progress.Numbers{}
	for _, s := range progress.Settings() {
		if v, ok := signed[s.Name]; ok {
			if x, err := strconv.Atoi(v.Value); err == nil && x >= s.Min && x <= s.Max {
				n[s.Name] = x
			}
		}
	}
	if n.Check() != nil { // two that do not go together
		return progress.Numbers{}
	}
	return n
}

// countSetting returns a number of the counting rules by its name.
func countSetting(name string) (ladder.Setting, bool) {
	for _, s := range progress.Settings() {
		if s.Name == name {
			return s, true
		}
	}
	return ladder.Setting{}, false
}

// checkCount returns the value of such a number in its written form.
func checkCount(s ladder.Setting, value string) (string, error) {
	n, err := strconv.Atoi(strings.TrimSpace(value))
	if err != nil || n < s.Min || n > s.Max {
		return "", Refuse(CodeInvalid, "%s takes a whole number between %d and %d, not %q.", s.Name, s.Min, s.Max, clip(value))
	}
	return strconv.Itoa(n), nil
}
