package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestNothingPreselected: a question that was never answered has no answer
// chosen for it (look.md 6.1, row "questions").
func TestNothingPreselected(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.Link("Add a student").Press("Save and go on", map[string]string{"name_used": "Orla", "binds_self": "unknown"})
	student := strings.Split(c.URL, "/")[2]
	base := "/students/" + student
	c.Get(base+"/evaluation").Press("Begin the evaluation", map[string]string{"reason": "first"})
	addresses := []string{"/students/new", base + "/holds/new", base + "/consents/waiver", base + "/evaluation/tired", base + "/notes"}
	for _, block := range []string{"wish", "changes", "nerves", "seizures", "medicine", "bones", "behaviour", "today"} {
		addresses = append(addresses, base+"/intake/"+block)
	}
	for _, n := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14", "15", "16", "17", "18", "19"} {
		addresses = append(addresses, base+"/evaluation/"+n)
	}
	questions := 0
	for _, a := range addresses {
		c.Get(a).Is(http.StatusOK)
		questions += c.Doc.Find("input[type=radio]").Length()
		c.Doc.Find("input[checked]").Each(func(_ int, s *goquery.Selection) {
			t.Errorf("%s has %s=%s chosen", a, s.AttrOr("name", ""), s.AttrOr("value", ""))
		})
	}
	if questions < 300 {
		t.Errorf("only %d choices were looked at", questions)
	}
}

// TestEveryFindingIsAsked: each finding of the vocabulary that the record does
// not know by itself is asked on exactly one page, with an answer for "not
// known", and every level is offered.
func TestEveryFindingIsAsked(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	asked := map[string]int{}
	values := map[string]map[string]bool{}
	base := "/students/" + string(s.Student)
	var pages []string
	for _, block := range []string{"wish", "changes", "nerves", "seizures", "medicine", "bones", "behaviour", "today"} {
		pages = append(pages, base+"/intake/"+block)
	}
	for _, n := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14", "15", "16", "17", "18", "19", "tired"} {
		pages = append(pages, base+"/evaluation/"+n)
	}
	for _, p := range pages {
		here := map[string]bool{}
		c.Get(p).Doc.Find("main input[name^='f.']").Each(func(_ int, in *goquery.Selection) {
			name := in.AttrOr("name", "")
			if values[name] == nil {
				values[name] = map[string]bool{}
			}
			if in.AttrOr("type", "text") != "text" {
				values[name][in.AttrOr("value", "")] = true
			} else {
				values[name]["*"] = true
			}
			if !here[name] {
				here[name] = true
				asked[name]++
			}
		})
	}
	wanted := 0
	for _, name := range keyNames() {
		wanted++
		if asked[name.name] != 1 {
			t.Errorf("%s is asked on %d pages", name.name, asked[name.name])
			continue
		}
		for _, v := range name.values {
			if !values[name.name][v] {
				t.Errorf("%s does not offer %q", name.name, v)
			}
		}
	}
	if wanted < 150 {
		t.Errorf("only %d values are asked for", wanted)
	}
}

// TestSentTwice: the same form sent twice records once, for every form of the
// journey.
func TestSentTwice(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	base := "/students/" + string(s.Student)
	forms := []struct {
		page, button string
		values       map[string]string
	}{
		{"/students/new", "Save and go on", map[string]string{"name_used": "Orla", "binds_self": "unknown"}},
		{base + "/details", "Save the details", nil},
		{base + "/intake/bones", "Save and continue", map[string]string{f("hip_check_months"): "7"}},
		{base + "/intake/today", "All asked", nil},
		{base + "/evaluation/9", "Save and go", map[string]string{f("push_in", "l"): "2", f("push_in", "r"): "na"}},
		{base + "/evaluation/tired", "Save only", map[string]string{f("gait", "n", "tired"): "W3"}},
		{base + "/notes", "Save the note", map[string]string{"text": "Once.", "about": "lesson", "class": "work"}},
		{base + "/holds/new", "Hold Edda", map[string]string{"reason": "Once.", "standing": "all"}},
		{base + "/consents/photo", "Record the answer", map[string]string{"answer": "refused"}},
		{"/staff/" + string(s.IDs.Next()), "Save this person", map[string]string{"name_used": "Twice", "roles": "scheduler"}},
		{"/settings/upright_min", "Sign it off", map[string]string{"signed_by": "Ines, lead"}},
		{base + "/facts/" + string(s.Finding) + "/correct", "Save the correction", map[string]string{f("goal"): "see the valley"}},
	}
	for _, one := range forms {
		c := s.Client(s.Cookies[programme.Lead]).Get(one.page).Is(http.StatusOK)
		doc := c.Doc
		c.Press(one.button, one.values)
		if c.Status != http.StatusOK {
			t.Errorf("%s: %d %s", one.page, c.Status, c.Main())
			continue
		}
		once := s.Facts()
		c.Doc, c.URL = doc, one.page
		c.Press(one.button, one.values)
		if n := s.Facts(); n != once || c.Status >= 500 {
			t.Errorf("%s sent twice: %d entries more, answer %d", one.page, n-once, c.Status)
		}
	}
	// The card and the end of an evaluation.
	c := s.Client(s.Cookies[programme.Lead]).Get(base + "/evaluation")
	doc := c.Doc
	c.Press("Close it as complete", nil).Is(http.StatusOK)
	c.Doc = doc
	c.Press("Close it as complete", nil)
	c.Get(base + "/card")
	doc = c.Doc
	c.Press("Make the card", nil).Is(http.StatusOK)
	one, once := c.URL, s.Facts()
	c.Doc = doc
	c.Press("Make the card", nil).Is(http.StatusOK)
	if c.URL != one || s.Facts() != once {
		t.Errorf("the card was made twice: %s, %s", one, c.URL)
	}
}

// TestTooMuch: a form far too large is refused and nothing is saved.
func TestTooMuch(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	before := s.Facts()
	c := s.Client(s.Cookies[programme.Lead])
	c.Post("/students/"+string(s.Student)+"/notes", url.Values{"text": {strings.Repeat("a", 5<<20)}, "about": {"lesson"}, "class": {"work"}})
	if c.Status != http.StatusUnprocessableEntity && c.Status != http.StatusRequestEntityTooLarge || s.Facts() != before {
		t.Errorf("%d", c.Status)
	}
	c.Post("/students/"+string(s.Student)+"/notes", url.Values{"text": {strings.Repeat("a", 5000)}, "about": {"lesson"}, "class": {"work"}}).
		Is(http.StatusUnprocessableEntity).Says("The note is too long: at most 4000 characters.")
}

// TestTypedTextSurvivesSignOut: a form that arrives after its sender's sign-in
// has ended is kept on the page, and saved once they sign in there; a wrong
// password keeps it too, and a password form is never carried on.
func TestTypedTextSurvivesSignOut(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.Link("Add a student").Press("Save and go on", map[string]string{"name_used": "Orla", "binds_self": "unknown"})
	c.Get("/students/" + strings.Split(c.URL, "/")[2] + "/notes")
	clear(c.Cookies) // what a browser does when the sign-in ends
	const text = `Looks up before the turn. <b>"Quietly"</b>`
	before := b.Facts()
	c.Press("Save the note", map[string]string{"class": "work", "text": text}).
		Is(http.StatusUnauthorized).Says("What you typed is still here")
	c.Press("Sign in and save", map[string]string{"again-login": "ines", "again-password": "not this one"}).
		Is(http.StatusUnprocessableEntity).Says("do not go together")
	if got := c.Doc.Find("input[name=text]").AttrOr("value", ""); got != text {
		t.Errorf("after a wrong password the page keeps %q", got)
	}
	if strings.Contains(c.Body, "not this one") {
		t.Error("the page shows a password")
	}
	if b.Facts() != before {
		t.Error("something was saved without a sign-in")
	}
	c.Press("Sign in and save", map[string]string{"again-login": "ines", "again-password": "four plain words here"}).
		Is(http.StatusOK).Says("Saved: the note.", text)

	b.Client().Post("/me/password", url.Values{"old": {"one secret"}, "new": {"another secret"}}).
		Is(http.StatusUnauthorized).SaysNot("What you typed").Link("Sign in")
}
