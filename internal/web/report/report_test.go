package report_test

import (
	"context"
	"encoding/csv"
	"net/http"
	"strings"
	"testing"
	"time"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// A season stands as small pictures, left and right apart, with the same as a
// table; under five points nothing is drawn as a line.
func TestSeason(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	student := "/students/" + string(s.Student)
	c.Get(student+"/season").Is(http.StatusOK).Says("1 lesson since", "K25 uphill turn", "too few to judge")
	if n := c.Doc.Find("main figure svg").Length(); n != 1 {
		t.Errorf("%d pictures", n)
	}
	if desc := c.Doc.Find("main figure svg desc").Text(); !strings.Contains(desc, "left 4 (lesson 1)") || !strings.Contains(desc, "right 4 (lesson 1)") {
		t.Errorf("the picture in words: %q", desc)
	}
	if n := c.Doc.Find("main table tbody tr").Length(); n != 2 {
		t.Errorf("%d rows, one for each side", n)
	}
	c.Get(student + "/season/pdf").Is(http.StatusOK)
	if c.Header.Get("Content-Type") != "application/pdf" || len(s.Papers) != 1 || s.Papers[0].Blocks[0].Drawing == nil {
		t.Errorf("the page: %v", s.Papers)
	}
	nobody := s.Client(s.Cookies[programme.Scheduler])
	nobody.Get(student + "/season").Is(http.StatusForbidden)
}

// The family's page says what works, what comes next and the kit in plain
// words, nothing of health; a photo has room only where photos were agreed to.
func TestFamily(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := programme.ID(strings.Split(c.URL, "/")[2])
	c.EvaluateMila()
	c.ConsentMila()
	at := "/students/" + string(student)
	c.Get(at+"/lessons/new").Press("Open the lesson", map[string]string{"way": "outriggers", "tie": "elastic", "terrain": "run_out"}).Is(http.StatusOK)
	for range 3 {
		c.Get(at+"/attempts/new?skill=K14").Press("Save the attempt", map[string]string{"outcome": "clean", "help": "4", "terrain": "run_out", "minutes": "5"}).Is(http.StatusOK)
	}
	health := []string{"hip", "spastic", "scissor", "diagnos", "gross_motor", "level 2"}
	c.Get(at+"/family").Is(http.StatusOK).Says("Mila", "ski with my brother", "What works now", "traight slide, held: with a light hold", "What comes next", "With outriggers, with elastic tie", "No photo: nobody agreed to photos.")
	for _, word := range health {
		if strings.Contains(strings.ToLower(webtest.Squeeze(c.Doc.Find(".family-page").Text())), word) {
			t.Errorf("health on the family's page: %s", word)
		}
	}
	c.Get(at + "/family/pdf").Is(http.StatusOK)
	frames := func() (n int) {
		for _, block := range b.Papers[len(b.Papers)-1].Blocks {
			if block.Frame > 0 {
				n++
			}
		}
		return n
	}
	if frames() != 0 {
		t.Error("room for a photo without consent")
	}
	c.Get(at + "/consents").Link("Record the answer (Photo")
	c.Press("Record the answer", map[string]string{"answer": "given", "wording": "2026-10", "on_paper": "yes", "signed_by": c.Doc.Find("input[name=signed_by]").Last().AttrOr("value", "")}).Is(http.StatusOK)
	c.Get(at + "/family").Says("A photo may be put here")
	c.Get(at + "/family/pdf").Is(http.StatusOK)
	if frames() != 1 {
		t.Error("no room for a photo that was agreed to")
	}
}

// One student makes no report and no others like this: not one number is shown.
func TestTooFew(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	c.Get("/report").Is(http.StatusOK).Says("Fewer than 5 people").SaysNot("Figures", "Lessons 1")
	if n := c.Doc.Find("main dl dd").Length(); n != 0 {
		t.Errorf("%d numbers of one person", n)
	}
	c.Get("/report?on=soon").Is(http.StatusUnprocessableEntity)
	c.Get("/students/"+string(s.Student)+"/alike").Is(http.StatusOK).Says("never by name or diagnosis").SaysNot("What was set up", "How it went")
}

// With people enough the report has its numbers, and none of them under five.
func TestReport(t *testing.T) {
	b := webtest.New(t)
	b.First()
	ctx := context.Background()
	lead, cookie := b.Staff("Ottar", programme.Lead)
	made := func() programme.Made { return programme.Made{ID: b.IDs.Next()} }
	now := b.Clock.Now()
	day := programme.DateOf(now.Add(-70 * 24 * time.Hour))
	for i := range 7 {
		m := made()
		if _, err := b.Cases.AddStudent(ctx, lead, m, m.ID, programme.StudentDetails{NameUsed: "Alder-" + string(rune('A'+i))}); err != nil {
			t.Fatal(err)
		}
		opened := made()
		if _, err := b.Cases.OpenLesson(ctx, lead, opened, m.ID, programme.LessonOpened{Day: day, Way: "outriggers", Terrain: "run_out"}); err != nil {
			t.Fatal(err)
		}
		if _, err := b.Cases.RecordAttempt(ctx, lead, made(), m.ID, programme.AttemptMade{Lesson: opened.ID, Skill: "K15", Help: 3, Outcome: "clean", Terrain: "run_out", Way: "outriggers", Cue: "=1+1"}); err != nil {
			t.Fatal(err)
		}
	}
	c := b.Client(cookie)
	c.Get("/report").Is(http.StatusOK).Says("7 people had lessons", "Two skis, outriggers 7", "No number stands for fewer than 5 people", "not for funders").SaysNot("Alder-")
	c.Get("/report/pdf").Is(http.StatusOK)
	if !strings.Contains(c.Body, "Two skis, outriggers: 7") || strings.Contains(c.Body, "Alder") {
		t.Errorf("the page: %s", c.Body)
	}

	// The tables of everything are for the lead, whole, and no cell is taken for a
	// formula.
	rows := map[string]int{"lessons": 7, "attempts": 7, "snow": 0, "findings": 0}
	for name, n := range rows {
		c.Get("/report/" + name + "/csv").Is(http.StatusOK)
		all, err := csv.NewReader(strings.NewReader(c.Body)).ReadAll()
		if err != nil || len(all) != n+1 {
			t.Errorf("%s: %d rows, %v", name, len(all), err)
		}
		for _, row := range all {
			for _, cell := range row {
				if strings.HasPrefix(cell, "=") {
					t.Errorf("%s: %q is a formula to a table program", name, cell)
				}
			}
		}
	}
	c.Get("/report/secrets/csv").Is(http.StatusNotFound)
	c.Get("/report/ics").Is(http.StatusOK)
	if n := strings.Count(c.Body, "BEGIN:VEVENT\r\n"); n != 7 || !strings.HasPrefix(c.Body, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n") || c.Header.Get("Content-Type") != "text/calendar; charset=utf-8" {
		t.Errorf("%d lessons in the calendar: %s", n, c.Body)
	}
	_, other := b.Staff("Lone", programme.Instructor)
	for _, path := range []string{"/report", "/report/pdf", "/report/attempts/csv", "/report/ics"} {
		b.Client(other).Get(path).Is(http.StatusForbidden)
	}
}
