package lesson_test

import (
	"context"
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// A student with a hold gets no plan, and the page says why.
func TestHeld(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila() // nobody has signed the waiver
	c.Link("Lesson plan").Is(http.StatusOK).Says("No lesson on snow.", "A hold stands", "never by a plan", "ski with my brother")
	if n := c.Doc.Find("main svg").Length(); n != 0 {
		t.Error("a plan was drawn for somebody who does not ski today")
	}
}

// The first lesson of a student on outriggers: the answer first, the blocks,
// the drawing, the limits, and what did not fit.
func TestFirstLesson(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	c.EvaluateMila()
	c.ConsentMila()
	c.Link("Lesson plan")
	at := c.URL
	before := b.Facts()
	c.Get(at).Is(http.StatusOK).Says("A first lesson of", "PL-B", "K14 straight slide, held", "Under 5 %", "Rest", "Limits, never goals", "at most 20 min", "What did not fit, and why",
		"a run-out and a beginner slope are taken to be there", "No forecast was given", "nobody has signed it off", "Stop at once for pain")
	if n := c.Doc.Find("main svg").Length(); n != 1 {
		t.Errorf("%d drawings", n)
	}
	if n := c.Doc.Find("ol.plan-blocks li").Length(); n < 6 {
		t.Errorf("%d blocks", n)
	}
	main := c.Main()
	if strings.Index(main, "A first lesson of") > strings.Index(main, "Limits, never goals") {
		t.Error("the answer does not come first")
	}
	// Asking otherwise writes nothing down.
	c.Get(at+"?minutes=20&people=1&goal=K22&begins=09:45").Is(http.StatusOK).Says("No lesson on snow.", "needs 2 people around them, lead included; there is 1.")
	c.Get(at + "?minutes=soon").Is(http.StatusOK).Says("Minutes on snow is a whole number from 5 to 180, not \"soon\".")
	c.Get(at+"?minutes=900&people=-2&begins=25:00&goal=K99").Is(http.StatusOK).Says("from 5 to 180", "from 1 to 20", "\"25:00\" is not a time of the day", "There is no skill \"K99\"")
	if b.Facts() != before {
		t.Error("asking wrote something")
	}
}

// What was clean three times on snow is passed: the next lesson begins with it
// and goes on from there.
func TestLaterLesson(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := programme.ID(strings.Split(c.URL, "/")[2])
	c.EvaluateMila()
	c.ConsentMila()
	ctx := context.Background()
	nia, _ := b.Staff("Nia", programme.Instructor)
	made := func() programme.Made { return programme.Made{ID: b.IDs.Next()} }
	opened := made()
	if _, err := b.Cases.OpenLesson(ctx, nia, opened, student, programme.LessonOpened{Day: programme.DateOf(b.Clock.Now()), Way: "outriggers", Tie: "elastic", Terrain: "run_out"}); err != nil {
		t.Fatal(err)
	}
	for _, skill := range []string{"K02", "K14", "K15"} {
		for i := range 3 {
			minute := 5 + i
			if _, err := b.Cases.RecordAttempt(ctx, nia, made(), student, programme.AttemptMade{Lesson: opened.ID, Skill: skill, Help: 3, Outcome: "clean",
				Terrain: "run_out", Way: "outriggers", Tie: "elastic", Minutes: &minute}); err != nil {
				t.Fatal(err)
			}
		}
	}
	c.Get("/students/"+string(student)+"/plan").Is(http.StatusOK).Says("K15 straight slide, free", "Works already: begin with it", "minutes on snow", "with elastic tie").SaysNot("A first lesson of")
	if first := c.Doc.Find("ol.plan-blocks li").First(); !first.HasClass("warm_up") {
		t.Error("does not begin with what works")
	}
}

// Without findings nothing is planned, and the page says what it waits for.
func TestWaits(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	c.Get("/students/"+string(s.Student)+"/plan").Is(http.StatusOK).Says("No lesson can be planned yet.", "It waits for", "and", "more", "Goal-Tarnlight")
}
