package handover_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
)

// asked are the questions of the page that closes a lesson.
func asked(c *webtest.Client) []string {
	var out []string
	c.Doc.Find(".handover-asked label.ask, .handover-asked legend").Each(func(_ int, s *goquery.Selection) { out = append(out, webtest.Squeeze(s.Text())) })
	return out
}

// A lesson is opened, tried in and closed from the keyboard: what is known is
// computed, closing asks only for what is missing and takes nothing less, and
// what was typed is kept. The next reader gets the ten lines, own words marked.
func TestLesson(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	c.EvaluateMila()
	c.ConsentMila()
	student := "/students/" + strings.Split(c.URL, "/")[2]
	c.Get(student + "/handover").Is(http.StatusOK).Says("No lesson was closed yet.")
	c.Link("Open a lesson").Is(http.StatusOK)
	at := c.URL
	c.Press("Open the lesson", map[string]string{"goal": "to the hut and back"}).Is(http.StatusUnprocessableEntity).Says("Say with which aids.")
	if got := c.Doc.Find("input[name=goal]").AttrOr("value", ""); got != "to the hut and back" {
		t.Errorf("what was typed is lost: %q", got)
	}
	c.Get(at).Press("Open the lesson", map[string]string{"way": "outriggers", "tie": "elastic", "terrain": "run_out", "goal": "to the hut and back", "helpers": "Runa, Bela", "planned": "60"})
	c.Is(http.StatusOK).Says("The lesson is open.")
	for _, outcome := range []string{"clean", "clean", "partly", "clean"} {
		c.Get(student+"/attempts/new?skill=K14").Press("Save the attempt", map[string]string{"outcome": outcome, "help": "4", "terrain": "run_out", "minutes": "5", "cue": "copy me"})
		c.Is(http.StatusOK)
	}

	c.Get(student+"/handover").Link("Close the lesson of").Is(http.StatusOK).Says("4 attempts were seen", "Nothing is missing", "Known")
	if missing := asked(c); len(missing) != 0 { // the evaluation and the attempts know it all
		t.Fatalf("asked: %q", missing)
	}
	known := c.Doc.Find("textarea[name=line-name]").Text()
	if !strings.Contains(known, "Mila") || !strings.Contains(known, "to the hut and back") {
		t.Errorf("the first line: %q", known)
	}
	if stop := c.Doc.Find("textarea[name=line-stop]").Text(); !strings.Contains(stop, "Rest after 20 min") { // of the 25 of the evaluation
		t.Errorf("the stop rules do not know the minutes: %q", stop)
	}
	c.Press("Close the lesson", map[string]string{"line-tires": "Sees the hut and forgets the feet.", "on_snow": "a while"}).Is(http.StatusUnprocessableEntity).Says("Sees the hut and forgets the feet.")
	c.Press("Close the lesson", map[string]string{"line-tires": "Sees the hut and forgets the feet.", "on_snow": "40"}).Is(http.StatusOK)
	c.Says("Handover of", "Sees the hut and forgets the feet.", "own words", "to the hut and back", "40 min")
	if n := c.Doc.Find("ol.handover-lines > li").Length(); n != 10 {
		t.Errorf("%d lines", n)
	}

	// A correction shows the new words; the record keeps the old ones.
	c.Link("Correct this handover").Is(http.StatusOK).Says("Nothing is missing.")
	c.Press("Save the correction", map[string]string{"line-next": "The same slide with level 3."}).Is(http.StatusOK).Says("The same slide with level 3.", "Sees the hut and forgets the feet.")
	c.Get(student+"/record").Is(http.StatusOK).Says("The same slide with level 3.", "Lesson closed, handed over", "corrected later", "4 attempts: K14", "K14 straight slide, held, help level 4, partly")
}

// Without an evaluation closing asks for what nobody knows, takes nothing less
// and keeps what was typed.
func TestAsksForTheMissing(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := "/students/" + strings.Split(c.URL, "/")[2]
	c.ConsentMila()
	c.Get(student+"/lessons/new").Press("Open the lesson", map[string]string{"way": "none", "tie": "none", "terrain": "run_out"}).Is(http.StatusOK)
	c.Get(student + "/handover").Link("Close the lesson of").Is(http.StatusOK)
	missing := asked(c)
	if len(missing) < 3 || len(missing) > 7 {
		t.Fatalf("asked: %q", missing)
	}
	for _, question := range missing { // the intake has the goal
		if strings.Contains(question, "goal") {
			t.Errorf("asked for what is known: %s", question)
		}
	}
	facts := b.Facts()
	first := c.Doc.Find(".handover-asked textarea").First().AttrOr("name", "")
	c.Press("Close the lesson", map[string]string{first: "Slow is fine."}).Is(http.StatusUnprocessableEntity).Says("Slow is fine.")
	if b.Facts() != facts {
		t.Fatal("closed although something is missing")
	}
	if left := asked(c); len(left) != len(missing) {
		t.Errorf("asked for %q, then for %q", missing, left)
	}
	all := map[string]string{}
	c.Doc.Find(".handover-asked textarea").Each(func(_ int, s *goquery.Selection) {
		all[s.AttrOr("name", "")] = "Slow is fine."
	})
	c.Press("Close the lesson", all).Is(http.StatusOK).Says("Handover of", "Slow is fine.", "own words")
}

// A lesson that is not of this student is not shown, and a page of nobody says
// that nothing is there.
func TestOtherLesson(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies["instructor"])
	path := "/students/" + string(s.Student) + "/lessons/"
	c.Get(path + string(s.Lesson)).Is(http.StatusOK).Says("Correct the handover")
	c.Get(path + string(s.Incident)).Is(http.StatusNotFound)
}
