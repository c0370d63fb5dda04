package notes_test

import (
	"net/url"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestNotesByRole: the kind of note decides who may write it.
func TestNotesByRole(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	for _, role := range programme.Roles {
		for _, class := range []string{"work", "medical"} {
			act := programme.WriteNote
			if class == "medical" {
				act = programme.WriteMedical
			}
			before := s.Facts()
			c := s.Client(s.Cookies[role])
			c.Post("/students/"+string(s.Student)+"/notes", url.Values{"text": {"a note"}, "about": {"lesson"}, "class": {class}})
			wrote := s.Facts() > before
			if wrote != s.Actors[role].May(act) {
				t.Errorf("%s wrote a %s note: %v (%d)", role, class, wrote, c.Status)
			}
		}
	}
}
