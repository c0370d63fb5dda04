package cards_test

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestAgain: a card is made again to the byte after the record has changed, a
// number was signed off and time has passed; a new card says the new things.
func TestAgain(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	lead := s.Client(s.Cookies[programme.Lead])
	base := "/students/" + string(s.Student)
	old := "/cards/" + string(s.Card)
	first := lead.Get(old + "/pdf").Body
	lead.Get(base+"/intake/wish").Press("Save and continue", map[string]string{webtest.F("wish"): "sitting"})
	lead.Get("/settings/block_share").Press("Sign it off", map[string]string{"value": "0.6", "signed_by": "Ines, lead"})
	lead.Get(base+"/evaluation").Press("Close it as complete", nil)
	s.Clock.Advance(40 * 24 * time.Hour)
	if again := lead.Get(old + "/pdf").Body; again != first {
		t.Errorf("made again it differs:\n%s\n%s", first, again)
	}
	lead.Get(old).Is(http.StatusOK).SaysNot("Not the same to the letter")
	lead.Get("/cards/" + strings.ToUpper(strings.ReplaceAll(string(s.Card), "-", ""))).Is(http.StatusOK).Says("Card for Thu 14 Jan 2027") // as the code on it
	lead.Get("/cards/nonsense").Is(http.StatusUnprocessableEntity)
	lead.Get("/cards/" + string(s.IDs.Next())).Is(http.StatusNotFound).Says("No card with this code was issued here.")
	o := s.Orders
	was, now := o[0], o[len(o)-1]
	if was.UpTo != now.UpTo || !was.MadeAt.Equal(now.MadeAt) || !was.DataAt.Equal(now.DataAt) || was.Record.UpTo != now.Record.UpTo || was.Decision.Input.Findings.Get("wish", 0, 0) != now.Decision.Input.Findings.Get("wish", 0, 0) {
		t.Errorf("it is ordered from other data: %+v", now)
	}
	lead.Get(base+"/card").Press("Make the card", map[string]string{"for_day": "2027-02-24"}).Is(http.StatusOK).Says("Card for Wed 24 Feb 2027")
	if new := s.Orders[len(s.Orders)-1]; new.UpTo <= was.UpTo || new.ID == was.ID {
		t.Error("the new card is made from old data")
	}
	lead.Get(base+"/card").Press("Make the card", map[string]string{"for_day": "2027-02-01"}).Is(http.StatusUnprocessableEntity).Says("That day is over.")
	lead.Get(base+"/card").Press("Make the card", map[string]string{"for_day": ""}).Is(http.StatusUnprocessableEntity).Says("Write the day of the lesson.")
}

// TestUnderway: while an evaluation is under way no card is made, and no fact
// is written for one.
func TestUnderway(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	before := s.Facts()
	c.Post("/students/"+string(s.Student)+"/card", map[string][]string{"for_day": {"2027-01-14"}}).Is(http.StatusUnprocessableEntity).Says("Close the evaluation first")
	if s.Facts() != before {
		t.Error("something was written")
	}
}

// TestAddressIsOpaque: nothing about a person stands in the address of a card
// or the name of its file (privacy: opaque ids only).
func TestAddressIsOpaque(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead]).Get("/cards/" + string(s.Card) + "/pdf")
	r, err := s.Cases.StudentAt(context.Background(), s.Actors[programme.Lead], s.Student, programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	name := c.Header.Get("Content-Disposition")
	if strings.Contains(strings.ToLower(name+c.URL), strings.ToLower(r.NameUsed)) || name != `inline; filename="card-2027-01-14.pdf"` {
		t.Errorf("%s %s", c.URL, name)
	}
}
