package holds_test

import (
	"net/http"
	"net/url"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestClearance walks a hold from the finding that raises it to the letter
// that clears it (gate rule G7: the orthopaedic surgeon, in writing).
func TestClearance(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	base := "/students/" + string(s.Student)
	c := s.Client(s.Cookies[programme.MedicalReviewer]).Get(base+"/holds").Says("No standing", "Hip at risk", "Recent loss of standing ability: yes", "Cleared in writing by: orthopaedic surgeon")
	c.Link("Write down a clearance").Is(http.StatusOK).Says("You do not clear this hold.")
	c.Press("Write down the clearance", map[string]string{"in_writing": "no", "licence": "somebody_else", "cleared_by": "her mother", "cleared_on": "2027-01-13", "valid_until": "2027-06-01"}).
		Is(http.StatusUnprocessableEntity).Says("A clearance counts only in writing.", "Only one of the licensed people above clears this hold.")
	if c.Doc.Find("input[value='her mother']").Length() != 1 {
		t.Error("what was typed is lost")
	}
	c.Press("Write down the clearance", map[string]string{"in_writing": "yes", "licence": "orthopaedic_surgeon", "cleared_by": "Dr Fenn", "cleared_on": "2027-01-13", "valid_until": "2026-06-01"}).
		Is(http.StatusUnprocessableEntity)
	if c.Doc.Find("#problems a").AttrOr("href", "") != "#valid_until" {
		t.Errorf("the problem is at %s: %s", c.Doc.Find("#problems a").AttrOr("href", ""), c.Doc.Find("#problems").Text())
	}
	c.Press("Write down the clearance", map[string]string{"valid_until": "2027-06-01"}).Is(http.StatusOK).
		Says("Saved: the written clearance.", "Nothing holds Edda today", "Cleared in writing (orthopaedic surgeon, 2027-01-13) until 2027-06-01")
	s.Client(s.Cookies[programme.Instructor]).Get(base+"/holds").SaysNot("Dr Fenn", "Reason-Rowan").Says("orthopaedic surgeon: letter of Wed 13 Jan 2027")
	s.Client(s.Cookies[programme.Lead]).Get("/readings").Says("Staff medical reviewer", "Edda", "record")
}

// TestInstructorNeverClears: an instructor is not shown the form, and sending
// it all the same changes nothing (house rule; gate rules: "instructors never
// clear a medical hold").
func TestInstructorNeverClears(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	c.Get("/students/"+string(s.Student)+"/holds").Is(http.StatusOK).SaysNot("Write down a clearance", "Recorded in error")
	before := s.Facts()
	c.Post("/students/"+string(s.Student)+"/holds/"+string(s.Hold)+"/clearance", url.Values{"in_writing": {"yes"}, "licence": {"physician"}, "cleared_by": {"x"},
		"cleared_on": {"2027-01-13"}, "valid_until": {"2027-03-01"}}).Is(http.StatusForbidden).Says("Not open to you")
	c.Post("/students/"+string(s.Student)+"/facts/"+string(s.Hold)+"/retract", url.Values{"reason": {"x"}}).Is(http.StatusForbidden)
	if s.Facts() != before {
		t.Error("something was written")
	}
}
