package progress_test

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// taught is a bench with one student, and a way to write attempts of days ago.
type taught struct {
	*webtest.Bench
	student programme.ID
	by      programme.Actor
}

func (w taught) lesson(t *testing.T, day string, tries ...string) {
	t.Helper()
	ctx := context.Background()
	made := func() programme.Made { return programme.Made{ID: w.IDs.Next()} }
	on, err := programme.ParseDate(day)
	if err != nil {
		t.Fatal(err)
	}
	opened := made()
	if _, err := w.Cases.OpenLesson(ctx, w.by, opened, w.student, programme.LessonOpened{Day: on, Way: "outriggers", Tie: "elastic", Terrain: "beginner"}); err != nil {
		t.Fatal(err)
	}
	for i, one := range tries {
		side, outcome, _ := strings.Cut(one, " ")
		minute := 3 + i/2
		if _, err := w.Cases.RecordAttempt(ctx, w.by, made(), w.student, programme.AttemptMade{Lesson: opened.ID, Skill: "K25", Side: side, Help: 4, Outcome: outcome,
			Terrain: "beginner", Way: "outriggers", Tie: "elastic", Minutes: &minute}); err != nil {
			t.Fatal(err)
		}
	}
}

func teach(t *testing.T) (taught, *webtest.Client) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := programme.ID(strings.Split(c.URL, "/")[2])
	c.EvaluateMila()
	c.ConsentMila()
	nia, _ := b.Staff("Nia", programme.Instructor)
	return taught{b, student, nia}, c
}

// Nothing tried: nothing is counted, the rules stand below with their numbers.
func TestNothingTried(t *testing.T) {
	w, c := teach(t)
	c.Get("/students/"+string(w.student)+"/progress").Is(http.StatusOK).Says("Nothing was tried yet", "3 clean in a row in one lesson", "proposed, not signed off yet", "Open now")
	if strings.ContainsAny(c.Main(), "{}") {
		t.Error("a number of the rules is not filled in")
	}
}

// The sides are counted apart: three clean to the left earn less help to the
// left, misses to the right ask for more, and the answer stands first.
func TestSidesApart(t *testing.T) {
	w, c := teach(t)
	day := programme.DateOf(w.Clock.Now()).String()
	w.lesson(t, day, "left clean", "left clean", "left clean", "right clean", "right miss", "right miss")
	c.Get("/students/" + string(w.student) + "/progress").Is(http.StatusOK)
	c.Says("Now: uphill turn, 15-30°, to the left level 3, tight reins; to the right level 5, firm hold.")
	var sides []string
	c.Doc.Find(".progress-skills .side-box").Each(func(_ int, s *goquery.Selection) { sides = append(sides, webtest.Squeeze(s.Text())) })
	if len(sides) != 2 || !strings.Contains(sides[0], "To the left 3") || !strings.Contains(sides[0], "(A1)") || !strings.Contains(sides[1], "To the right 5") || !strings.Contains(sides[1], "(A4)") {
		t.Errorf("the sides: %q", sides)
	}
	for _, side := range sides { // three attempts are too few for a chance
		if !strings.Contains(side, "oo few") || strings.Contains(side, "% clean") {
			t.Errorf("a chance from three attempts: %s", side)
		}
	}
	main := c.Main()
	if strings.Index(main, "Now: uphill turn") > strings.Index(main, "Help now") || strings.Index(main, "Help now") > strings.Index(main, "The ladder") {
		t.Error("the answer does not come first")
	}
	// Two and two exchanged gives the sides exchanged.
	m, d := teach(t)
	m.lesson(t, day, "right clean", "right clean", "right clean", "left clean", "left miss", "left miss")
	d.Get("/students/" + string(m.student) + "/progress").Says("to the left level 5, firm hold; to the right level 3, tight reins.")
}

// With enough attempts the chance stands with its interval, and the gap between
// the sides with what speaks for it.
func TestChance(t *testing.T) {
	w, c := teach(t)
	for i := range 4 {
		day := programme.DateOf(w.Clock.Now().Add(-time.Duration(7*(4-i)) * 24 * time.Hour)).String()
		w.lesson(t, day, "left clean", "left clean", "left clean", "left clean", "right miss", "right partly", "right miss", "right miss")
	}
	c.Get("/students/"+string(w.student)+"/progress").Is(http.StatusOK).Says("clean, between", "Weaker: to the right", "sure (16 attempts left, 16 right)", "Next lesson:")
	if n := c.Doc.Find(".progress-skills .side-box").Length(); n != 2 {
		t.Errorf("%d sides", n)
	}
}

// An attempt written down wrongly is refused with a sentence, and what was
// typed stays; pain asks for a stop before anything else.
func TestAttempt(t *testing.T) {
	w, c := teach(t)
	student := "/students/" + string(w.student)
	c.Get(student + "/attempts/new").Is(http.StatusOK).Says("K14 straight slide, held")
	c.Get(student + "/attempts/new?skill=K25").Is(http.StatusOK)
	if n := c.Doc.Find("main input[type=radio][checked]").Length(); n != 0 {
		t.Errorf("%d answers are chosen beforehand", n)
	}
	w.lesson(t, programme.DateOf(w.Clock.Now()).String())
	facts := w.Facts()
	c.Get(student+"/attempts/new?skill=K25").Press("Save the attempt", map[string]string{"cue": "look at the hut"}).Is(http.StatusUnprocessableEntity).Says("Say which side.")
	if got := c.Doc.Find("input[name=cue]").AttrOr("value", ""); got != "look at the hut" || w.Facts() != facts {
		t.Errorf("typed: %q", got)
	}
	c.Press("Save the attempt", map[string]string{"side": "left", "outcome": "miss", "help": "5", "terrain": "beginner", "minutes": "soon"}).Is(http.StatusUnprocessableEntity)
	c.Press("Save the attempt", map[string]string{"side": "left", "outcome": "miss", "help": "5", "terrain": "beginner", "minutes": "4", "trouble": "pain"}).Is(http.StatusOK).
		Says("Stop the lesson", "left")
	if w.Facts() != facts+1 {
		t.Errorf("%d facts", w.Facts()-facts)
	}
	// What was written down in error is taken out, and counts no more.
	c.Link("Take out").Press("Take it out for good", map[string]string{"reason": "It was somebody else."}).Is(http.StatusOK)
	c.Get(student + "/progress").SaysNot("Stop the lesson").Says("Nothing was tried yet")
	c.Get(student + "/attempts/new?skill=K99").Is(http.StatusOK) // offers the skills again
}

// A number of the counting rules that the lead signs off counts from then on,
// and says who signed it.
func TestSignedNumber(t *testing.T) {
	w, c := teach(t)
	day := programme.DateOf(w.Clock.Now()).String()
	w.lesson(t, day, "left clean", "left clean", "left clean")
	at := "/students/" + string(w.student) + "/progress"
	c.Get(at).Says("to the left level 3")
	c.Get("/settings").Says("Clean attempts in a row after which help goes down by one level.")
	c.Get("/settings/fade_in_a_row").Press("Sign it off", map[string]string{"value": "5", "signed_by": "Ines, lead"}).Is(http.StatusOK)
	c.Get(at).Says("to the left level 4", "5 clean in a row in one lesson", "signed off by Ines, lead")
	c.Get("/settings/fade_in_a_row").Press("Sign it off", map[string]string{"value": "0", "signed_by": "Ines, lead"}).Is(http.StatusUnprocessableEntity)
}
