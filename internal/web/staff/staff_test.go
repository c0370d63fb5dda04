package staff_test

import (
	"net/http"
	"testing"

	"firnhand/internal/web/webtest"
)

// TestStaff: the lead adds somebody, who joins with the code, once; the last
// lead cannot go.
func TestStaff(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.Link("Staff").Link("Add a member of staff").Press("Save this person", nil).Is(http.StatusUnprocessableEntity).Says("Write the name used.", "Tick at least one role.")
	c.Press("Save this person", map[string]string{"name_used": "Bero", "roles": "scheduler"}).Is(http.StatusOK).Says("Saved: the member of staff.", "Bero", "Scheduler.")
	c.Press("Make a code to join", nil).Is(http.StatusOK).Says("Give it to Bero in person.")
	code := webtest.Squeeze(c.Doc.Find(".code").Text())

	bero := b.Client().Get("/join")
	bero.Press("Join and sign in", map[string]string{"code": "wrong", "login": "bero", "password": "four plain words here"}).Is(http.StatusUnprocessableEntity)
	bero.Press("Join and sign in", map[string]string{"code": code, "password": "four plain words here"}).Is(http.StatusOK).Says("Students", "Bero")
	bero.Get("/staff").Is(http.StatusOK).SaysNot("Make a code", "Add a member", "Change")
	b.Client().Get("/join").Press("Join and sign in", map[string]string{"code": code, "login": "x", "password": "four plain words here"}).Is(http.StatusUnprocessableEntity)

	c.Get("/staff").Link("Change Ines").Press("Save this person", map[string]string{"ended": "yes"}).Is(http.StatusUnprocessableEntity).Says("The programme would have no lead.")
	c.Get("/staff").SaysNot("for Ines")
}
