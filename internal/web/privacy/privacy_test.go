package privacy_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestAssign: the lead opens medical details to an instructor until a day, who
// then reads them, each time into the log, until the lead ends it.
func TestAssign(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	at := "/students/" + string(s.Student)
	lead, them := s.Client(s.Cookies[programme.Lead]), s.Client(s.Cookies[programme.Instructor])
	them.Get(at + "/notes").Is(http.StatusOK).SaysNot("Mednote-Alder")
	staff := string(s.Actors[programme.Instructor].Staff)

	lead.Get(at+"/assigned").Is(http.StatusOK).Says("Always", "Staff lead", "Staff medical reviewer", "Nobody.")
	lead.Press("Open medical details", nil).Is(http.StatusUnprocessableEntity).Says("Choose somebody.", "Write what it is needed for.")
	lead.Press("Open medical details", map[string]string{"staff": staff, "until": "2027-01-13", "why": "teaches this week"}).
		Is(http.StatusUnprocessableEntity).Says("it may not be past")
	lead.Press("Open medical details", map[string]string{"until": "2027-01-20"}).Is(http.StatusOK).
		Says("Saved: who may read medical details.", "Staff instructor", "until Wed 20 Jan 2027: teaches this week")

	them.Get(at + "/notes").Is(http.StatusOK).Says("Mednote-Alder")
	lead.Get("/readings").Says("Staff instructor")
	them.Get(at + "/assigned").Is(http.StatusForbidden)

	lead.Get(at+"/assigned").Press("End it", nil).Is(http.StatusOK).Says("Nobody.")
	them.Get(at + "/notes").SaysNot("Mednote-Alder")
}

// TestCopyAndForget: the copy is a file without a name in its name; forgetting
// wants the name written, and a store without keys says that it cannot.
func TestCopyAndForget(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	at := "/students/" + string(s.Student)
	c := s.Client(s.Cookies[programme.Lead])
	c.Get(at + "/export").Is(http.StatusOK)
	name := c.Header.Get("Content-Disposition")
	if !strings.HasPrefix(name, `attachment; filename="student-`) || strings.Contains(name, "Edda") {
		t.Errorf("Content-Disposition is %q", name)
	}
	c.Get("/readings").Says("export")
	c.Get(at+"/forget").Is(http.StatusOK).Says("Forget Edda", "A waiver is on record; it is destroyed too.", "no signed original on paper is recorded")
	before := s.Facts()
	c.Press("for good", map[string]string{"name": "Adda"}).Is(http.StatusUnprocessableEntity).Says("Nothing was destroyed.")
	c.Press("for good", map[string]string{"name": "edda"}).Is(http.StatusConflict).Says("keeps no keys")
	if s.Facts() != before {
		t.Error("something was written")
	}
	c.Get("/retention").Is(http.StatusOK).Says("Nobody's record is due.", "Edda")
	s.Clock.Advance(3 * 365 * 24 * 60 * 60 * 1e9)
	c = s.Client(s.Cookies[programme.Lead])
	c.Get("/retention").Is(http.StatusOK).Says("The waiver speaks against it", "put a signed original on paper first")
}
