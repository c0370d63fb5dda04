package incident_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// Seconds: what, where, the gear. The draft knows what was logged, the gear is
// out of use at once, a correction shows the wording before, and somebody who
// looked at it gives it back.
func TestIncident(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	c.Get("/incidents/new?student="+string(s.Student)).Is(http.StatusOK).Says("Logged last", "clean", "patrol, no trial run")
	if n := c.Doc.Find("form .field").Length(); n == 0 || c.Doc.Find("form details .field").Length() < 5 {
		t.Error("more is not folded away")
	}
	if got := c.Doc.Find("input[name=set_up]").AttrOr("value", ""); !strings.Contains(strings.ToLower(got), "outriggers") {
		t.Errorf("the set-up is not filled in from the lesson: %q", got)
	}
	facts := s.Bench.Facts()
	c.Press("Save", map[string]string{"what": "Slid off the mat, sat down."}).Is(http.StatusUnprocessableEntity).Says("Say whether it was a near miss or an incident.", "Slid off the mat")
	c.Press("Save", map[string]string{"kind": "near_miss", "what": "Slid off the mat, sat down.", "where": "Foot of the slope", "tags": "TIE-77, sl-9"}).Is(http.StatusOK)
	c.Says("Near miss", "Slid off the mat, sat down.", "TIE-77")
	if n := s.Bench.Facts(); n <= facts {
		t.Error("nothing was written")
	}
	at := c.URL
	c.Link("Correct").Press("Save the correction", map[string]string{"kind": "near_miss", "what": "Slid off the mat, sat down on it."}).Is(http.StatusOK)
	c.Says("sat down on it.", "Earlier wordings", "replaced")
	if got := webtest.Squeeze(c.Doc.Find("del").Text()); got != "Slid off the mat, sat down." {
		t.Errorf("the wording before: %q", got)
	}
	if strings.Contains(c.Main(), "diagnosis was") {
		t.Error("a diagnosis")
	}

	e := s.Client(s.Cookies[programme.EquipmentLead])
	e.Get("/incidents").Is(http.StatusOK).Says("TIE-77", "Gear out of use")
	e.Press("Give TIE-77 back", nil).Is(http.StatusUnprocessableEntity).Says("TIE-77", "The reason is missing.")
	e.Press("Give TIE-77 back", map[string]string{"reason": "Tie pulled at, cord whole."}).Is(http.StatusOK)
	e.Get("/incidents").SaysNot("Give TIE-77 back")
	c.Get(at).Is(http.StatusOK).Says("TIE-77") // it stays in what was written
}

// Witnesses write apart: nobody reads the others' statements before giving one
// of their own, and those who may read all read all.
func TestWitnessesApart(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	c.Get("/incidents").Is(http.StatusOK).SaysNot("Incident-Spindle", "Witness-Bramble")
	c.Link("write what you saw").Is(http.StatusOK).SaysNot("Incident-Spindle", "Witness-Bramble")
	c.Press("Save the statement", map[string]string{"name": "Bela, a helper"}).Is(http.StatusUnprocessableEntity)
	if got := c.Doc.Find("input[name=name]").AttrOr("value", ""); got != "Bela, a helper" {
		t.Errorf("typed and lost: %q", got)
	}
	c.Press("Save the statement", map[string]string{"statement": "I stood above and heard it only."}).SaysNot("Witness-Bramble")
	c.Get("/incidents/" + string(s.Incident)).SaysNot("Witness-Bramble")
	lead := s.Client(s.Cookies[programme.Lead])
	lead.Get("/incidents/"+string(s.Incident)).Is(http.StatusOK).Says("Witness-Bramble", "I stood above and heard it only.", "Incident-Spindle")
	lead.Get("/incidents/" + string(s.Incident) + "/text").Is(http.StatusOK)
	if text := lead.Body; !strings.Contains(text, "Incident-Spindle") || !strings.Contains(text, "Witness-Bramble") {
		t.Errorf("the text: %s", text)
	}
	lead.Get("/incidents/csv").Is(http.StatusOK)
	if text := lead.Body; !strings.Contains(text, "Incident-Spindle") || !strings.HasPrefix(text, "day,time,kind") {
		t.Errorf("the table: %s", text)
	}
	c.Get("/incidents/csv").Is(http.StatusForbidden)
}
