package consents_test

import (
	"net/http"
	"testing"

	"firnhand/internal/web/webtest"
)

// TestWhoSigns: a minor's own signature is not enough (trade A4: guardian signs
// for minors), a refusal and a correction are kept, and a consent ends a year
// after it was signed (waiver once a year).
func TestWhoSigns(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	c.Link("Consents").Link("Record the answer (Waiver").Press("Record the answer", nil).Is(http.StatusUnprocessableEntity).Says("Say what was answered.")
	c.Press("Record the answer", map[string]string{"answer": "given", "signed_by": "student", "wording": "2026-10"}).Is(http.StatusUnprocessableEntity).
		Says("a minor needs a guardian's signature")
	if to := c.Doc.Find("#problems a").AttrOr("href", ""); to != "#signed_by" {
		t.Errorf("the problem leads to %s", to)
	}
	if c.Doc.Find("#wording").AttrOr("value", "") != "2026-10" || c.Doc.Find("#signed_by[checked]").Length() != 1 {
		t.Error("what was typed is lost")
	}
	c.Link("Back to the consents")
	c.ConsentMila()
	c.Says("Valid until 2028-01-13")
	c.Link("Correct what was written (Waiver").Says("You are correcting what was written.").Press("Save the correction", map[string]string{"expires": "2027-04-30"}).
		Is(http.StatusOK).Says("Valid until 2027-04-30")
	c.Link("Record the answer (Photos").Press("Record the answer", map[string]string{"answer": "refused"}).Is(http.StatusOK).Says("Refused")
	c.Link("Record a new answer (Waiver").Press("Record the answer", map[string]string{"answer": "withdrawn"}).Is(http.StatusOK).Says("Withdrawn", "Nobody takes part without it.")
	c.Link("Answer").Says("No skiing: waiver", "Hold: meet, tour, evaluation only")
}
