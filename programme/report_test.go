package programme_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"firnhand/core/decide"
	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/programme"
)

// A calendar is read by another program as it was meant, whatever is in the
// names: RFC 5545 sections 3.1 (lines end with CR LF and have at most 75
// octets), 3.3.5 (times in UTC), 3.3.11 (text is escaped).
func TestCalendar(t *testing.T) {
	begins := time.Date(2027, 1, 16, 9, 30, 0, 0, time.FixedZone("place", 3600))
	var lessons []programme.CalendarLesson
	for i, name := range []string{"Mila", "a, b; c \\ d", "two\nlines", strings.Repeat("Wollgräßer ", 20), "END:VEVENT", ""} {
		lessons = append(lessons, programme.CalendarLesson{ID: programme.ID(fmt.Sprintf("0190a5d0-ac96-774b-8cce-b302099%05d", i)), Begins: begins.AddDate(0, 0, i), Ends: begins.AddDate(0, 0, i).Add(75 * time.Minute),
			Name: name, Lead: "Noor: " + name, Recorded: begins.Add(5 * time.Minute)})
	}
	var b bytes.Buffer
	if err := programme.WriteCalendar(&b, lessons); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	if strings.Contains(strings.ReplaceAll(text, "\r\n", ""), "\n") || !strings.HasSuffix(text, "END:VCALENDAR\r\n") {
		t.Error("a line does not end with CR LF")
	}
	for _, line := range strings.Split(text, "\r\n") {
		if len(line) > 75 {
			t.Errorf("%d octets: %s", len(line), line)
		}
	}
	cal, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	events := cal.Events()
	if len(events) != len(lessons) {
		t.Fatalf("%d events, not %d", len(events), len(lessons))
	}
	for i, e := range events {
		want := lessons[i]
		from, err := e.GetStartAt()
		to, err2 := e.GetEndAt()
		if err != nil || err2 != nil || !from.Equal(want.Begins) || !to.Equal(want.Ends) {
			t.Errorf("%s to %s (%v, %v), not %s to %s", from, to, err, err2, want.Begins, want.Ends)
		}
		summary := strings.TrimPrefix(strings.TrimPrefix(ics.FromText(e.GetProperty(ics.ComponentPropertySummary).Value), "Ski lesson"), ": ")
		if summary != want.Name {
			t.Errorf("read as %q, not %q", summary, want.Name)
		}
		if got := e.Id(); got != string(want.ID)+"@firnhand" {
			t.Errorf("id %q", got)
		}
	}
}

// What is written as a table of attempts is read back as it was, on invented
// histories, with commas, quotes and line breaks in the words.
func TestAttemptsTable(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 11))
	l := ladder.Standing()
	words := []string{"", "show", "tell, then show", "\"hips\"", "zwei\nZeilen", "-1+1", "Ümlaut"}
	var all []progress.Attempt
	for len(all) < 400 {
		s := l.Skills()[r.IntN(len(l.Skills()))]
		a := progress.Attempt{Attempt: ladder.Attempt{Skill: s.ID, Terrain: s.Place.ID, Help: r.IntN(8), Aids: ladder.Aids{Way: ladder.Ways()[r.IntN(len(ladder.Ways()))], Tie: ladder.Ties()[r.IntN(len(ladder.Ties()))]}.Clean()},
			Outcome: progress.Outcome(r.IntN(3)), Day: 20_000 + r.IntN(300), Lesson: fmt.Sprint("l", r.IntN(9)), Helper: words[r.IntN(4)], Cue: words[r.IntN(len(words))], Minute: float64(r.IntN(90)), Poor: r.IntN(2) == 0,
			Trouble: progress.Trouble(1<<r.IntN(4)) * progress.Trouble(r.IntN(2))}
		if r.IntN(4) == 0 {
			a.Minute = progress.MinuteUnknown
		}
		if sides := s.SidesOf(a.Aids); s.Sides != ladder.NoSides && len(sides) > 0 {
			a.Side = sides[r.IntN(len(sides))]
		}
		if l.Admit(a.Attempt) == nil {
			all = append(all, a)
		}
	}
	slices.SortStableFunc(all, func(a, b progress.Attempt) int { return a.Day - b.Day })
	var b bytes.Buffer
	if err := programme.WriteAttempts(&b, all); err != nil {
		t.Fatal(err)
	}
	back, _, problems := programme.ReadAttempts(b.Bytes(), ladder.Aids{})
	if len(problems) > 0 || len(back) != len(all) {
		t.Fatalf("%d of %d read: %v", len(back), len(all), problems)
	}
	for i, a := range back {
		want := all[i]
		a.Cue, want.Cue = strings.TrimPrefix(strings.Join(strings.Fields(a.Cue), " "), "'"), strings.Join(strings.Fields(want.Cue), " ") // no cell is a formula
		if a != want {
			t.Fatalf("row %d:\n%+v, not\n%+v", i, a, want)
		}
	}
}

// A season has one entry for each lesson: the least help of a clean attempt, a
// miss where nothing was clean, a gap where it was not tried.
func TestSeasonRows(t *testing.T) {
	r := newRig(t)
	st := r.student()
	try := func(lesson programme.ID, side, outcome string, help int) {
		r.ok(r.RecordAttempt(ctx, instructor, r.made(), st, programme.AttemptMade{Lesson: lesson, Skill: "K25", Side: side, Help: help, Outcome: outcome, Terrain: "beginner", Way: "outriggers"}))
	}
	for i := range 3 {
		m := r.made()
		r.ok(r.OpenLesson(ctx, instructor, m, st, programme.LessonOpened{Day: programme.DateOf(r.clock.Now()), Way: "outriggers"}))
		switch i {
		case 0:
			try(m.ID, "left", "clean", 5)
			try(m.ID, "left", "clean", 4)
			try(m.ID, "left", "miss", 3)
			try(m.ID, "right", "miss", 5)
		case 1:
			try(m.ID, "left", "partly", 4)
			try(m.ID, "left", "clean", 3)
		default:
			try(m.ID, "right", "clean", 5)
		}
		r.days(3)
	}
	record := r.at(st)
	s := programme.SeasonOf(record, record.SeasonFrom(), 10)
	if len(s.Days) != 3 || len(s.Skills) != 1 || len(s.Skills[0].Sides) != 2 {
		t.Fatalf("%+v", s)
	}
	left, right := s.Skills[0].Sides[0], s.Skills[0].Sides[1]
	if !slices.Equal(left.Level, []int{4, 3, -1}) || slices.Contains(left.Missed, true) || left.Last != 3 || left.Points() != 2 {
		t.Errorf("left: %+v", left)
	}
	if !slices.Equal(right.Level, []int{-1, -1, 5}) || !slices.Equal(right.Missed, []bool{true, false, false}) || right.Last != 5 {
		t.Errorf("right: %+v", right)
	}
	f, err := programme.FamilyOf(decide.Standing(), record, nil, record.SeasonFrom())
	if err != nil || f.Lessons != 3 || f.Photo || len(f.Does) != 1 || !strings.Contains(f.Does[0], "left with reins") || !strings.Contains(f.Does[0], "right with a firm hold") {
		t.Errorf("%+v, %v", f, err)
	}
}
