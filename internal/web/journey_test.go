package web_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
)

var f = webtest.F

// TestJourneyWithoutScript goes from the printed code to the printed card with
// a browser that has no script. What the answer must be is the trade's first
// acceptance case (domain/cases.md, C01).
func TestJourneyWithoutScript(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	c.EvaluateMila()
	c.Says("Close it as complete")
	c.ConsentMila()
	c.Link("Card").Says("Close it first").SaysNot("Make the card</button>")
	c.Link("Go and close the evaluation").Press("Close it as complete", map[string]string{"summary": "Quiet start works."})
	c.Is(http.StatusOK).Says("The evaluation is closed.", "Two skis and outriggers", "Elastic tie", "Brace out, the boot does its job", "Start with 5 mm, between 5 and 10 mm",
		"Tie on: no sidestep, herringbone, skating, kick turn or one-ski slide.", "What would change it", "It becomes rigid hinged tie with push in at the knee, right")
	c.Link("Card").Press("Make the card", nil).Is(http.StatusOK).Says("Card for Thu 14 Jan 2027", "two skis and outriggers")
	card := c.URL
	c.Link("Open the card to print").Is(http.StatusOK)
	if !strings.HasPrefix(c.Body, "%PDF-") || c.Header.Get("Content-Type") != "application/pdf" {
		t.Errorf("the card is %.20q as %s", c.Body, c.Header.Get("Content-Type"))
	}
	c.Get(card).Link("As plain text").Says("Mila", "2027-01-14")
	if n := len(b.Orders); n < 2 || b.Orders[0].Answer.Version != b.Orders[n-1].Answer.Version {
		t.Errorf("the card was ordered %d times", n)
	}
}
