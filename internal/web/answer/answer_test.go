package answer_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestHoldComesFirst: with a hold the headline is the hold and the plan, never
// the set-up (advice is never permission).
func TestHoldComesFirst(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor]).Get("/students/" + string(s.Student) + "/answer").Is(http.StatusOK)
	main := c.Main()
	hold, says := strings.Index(main, "No standing: hip at risk"), strings.Index(main, "Without the hold the findings say")
	if hold < 0 || says < 0 || hold > says {
		t.Errorf("the hold does not come first: %.300s", main)
	}
	if line := webtest.Spoken(c.Doc.Find(".answer-line")); strings.Contains(line, "two skis") || !strings.Contains(line, "meet, tour, evaluation only") {
		t.Errorf("the headline is %q", line)
	}
	c.Says("it allows nothing today", "orthopaedic surgeon")
}

// TestArgument: the answer of the first acceptance case with everything that
// belongs to it: why, why not, what would change it, what it depends on, and
// numbers with range, unit and basis.
func TestArgument(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := "/students/" + strings.Split(c.URL, "/")[2]
	c.EvaluateMila()
	c.ConsentMila()
	c.Get(student+"/evaluation").Press("Close it as complete", nil)
	c.Says("Two skis and outriggers", "Four contact points give time", "Why not the others", "Two skis in a slider: its reason would be \"Unsteady aim beats strength",
		"It becomes rigid hinged tie with push in at the knee, right: moves with gravity taken away instead of gives to a touch.",
		"What it depends on", "On nothing that is missing.",
		"Start with 5 mm, between 5 and 10 mm", "Heel lift to start with. 5 mm, may be set 3 to 10. Common practice, no source.",
		"Stop at a wind chill of -27 °C proposed, not signed off yet")
	if got := webtest.Spoken(c.Doc.Find("#panel")); got != "" {
		t.Error("the panel of the evaluation stands on the page of the answer")
	}
}

// TestDependsOn: with little known the page says what is still possible, what
// it waits for and what to test next.
func TestDependsOn(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.Link("Add a student").Press("Save and go on", map[string]string{"name_used": "Orla", "binds_self": "unknown"})
	student := "/students/" + strings.Split(c.URL, "/")[2]
	c.Get(student+"/answer").Is(http.StatusOK).Says("No skiing: waiver", "Hold: meet, tour, evaluation only", "Worth doing next:", "Tests worth doing, best first", "Whether these hold is not known yet:")
	c.Get(student+"/evaluation").Press("Begin the evaluation", map[string]string{"reason": "first"})
	panel := webtest.Spoken(c.Doc.Find("#panel"))
	for _, w := range []string{"The answer so far", "Not decided", "Still possible: two skis, no aids; two skis and outriggers", "Worth doing next:", "It waits for"} {
		if !strings.Contains(panel, w) {
			t.Errorf("the panel does not say %q: %s", w, panel)
		}
	}
}
