package signin_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
)

// TestDoor walks in and out: wrong code, wrong password, joining, a changed
// password, ending another sign-in.
func TestDoor(t *testing.T) {
	b := webtest.New(t)
	c := b.Client().Get("/sign-in").Is(http.StatusOK).Says("Begin a new programme")
	c.Press("Begin as lead", map[string]string{"code": "wrong", "name": "Ines", "login": "ines", "password": "four plain words here"}).
		Is(http.StatusUnprocessableEntity).Says("This code is not the one that was printed.")
	if c.Doc.Find("#login").AttrOr("value", "") != "ines" || c.Doc.Find("#password").AttrOr("value", "") != "" {
		t.Error("the login is lost, or the password came back")
	}
	c.Press("Begin as lead", map[string]string{"code": webtest.FirstCode, "password": "four plain words here"}).Is(http.StatusOK).Says("Students")
	b.Client().Get("/first-run").Says("Sign in").SaysNot("Begin as lead")

	two := b.Client().Get("/").Says("Sign in")
	two.Press("Sign in", nil).Is(http.StatusUnprocessableEntity).Says("Write your login.", "Write your password.")
	two.Press("Sign in", map[string]string{"login": "ines", "password": "nearly"}).Is(http.StatusUnprocessableEntity).Says("do not go together")
	two.Press("Sign in", map[string]string{"password": "four plain words here"}).Is(http.StatusOK).Says("Students")

	c.Link("Ines").Says("This one.", "End this sign-in").Press("End this sign-in", nil).Says("That sign-in has ended.")
	two.Get("/students").Says("Sign in").SaysNot("Add a student")

	c.Press("Change the password", map[string]string{"old": "nearly", "new": "five other plain words"}).Is(http.StatusUnprocessableEntity)
	if c.Doc.Find("#problems a").AttrOr("href", "") != "#old" || strings.Contains(c.Body, "nearly") {
		t.Error("the problem is in the wrong place, or the password came back")
	}
	c.Press("Change the password", map[string]string{"old": "four plain words here", "new": "short"}).Is(http.StatusUnprocessableEntity).Says("at least 8 characters")
	c.Press("Change the password", map[string]string{"old": "four plain words here", "new": "five other plain words"}).Is(http.StatusOK).Says("The password was changed.")

	c.Press("Sign out", nil).Says("You are signed out.")
	if len(c.Cookies) != 0 {
		t.Error("the cookie stays")
	}
	c.Get("/students").Says("Sign in")
}
