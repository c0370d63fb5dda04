package intake_test

import (
	"net/http"
	"net/url"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestPapersByInstructors: an instructor cannot record that a letter is here,
// neither by the form nor past it.
func TestPapersByInstructors(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	c.Get("/students/" + string(s.Student) + "/intake/bones").Is(http.StatusOK)
	name := webtest.F("hip_surgeon_word")
	if n := c.Doc.Find(`input[name="` + name + `"][value=yes]`).Length(); n != 0 {
		t.Error("an instructor is offered to record the surgeon's word")
	}
	before := s.Facts()
	c.Post("/students/"+string(s.Student)+"/intake/bones", url.Values{name: {"yes"}, "rest": {"open"}}).Is(http.StatusForbidden)
	if s.Facts() != before {
		t.Error("something was written")
	}
	lead := s.Client(s.Cookies[programme.Lead]).Get("/students/" + string(s.Student) + "/intake/bones")
	if n := lead.Doc.Find(`input[name="` + name + `"][value=yes]`).Length(); n != 1 {
		t.Error("the lead is not offered to record the surgeon's word")
	}
}
