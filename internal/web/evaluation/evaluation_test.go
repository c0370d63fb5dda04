package evaluation_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestProblemsKeepWhatWasTyped: the list of problems stands first and leads to
// the fields, the same words stand at the field, what was typed is kept, and
// nothing is saved (look.md 6.1, row "errors").
func TestProblemsKeepWhatWasTyped(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead]).Get("/students/" + string(s.Student) + "/evaluation/2")
	before := s.Facts()
	field := webtest.F("stand_s")
	c.Press("Save and go", map[string]string{field: "a while", webtest.F("base"): "wide"}).Is(http.StatusUnprocessableEntity)
	if s.Facts() != before {
		t.Error("something was saved")
	}
	link := c.Doc.Find("#problems a")
	words := "Free standing: write digits, such as 12, between 0 and 60 s."
	if link.Length() != 1 || link.AttrOr("href", "") != "#"+field || link.Text() != words {
		t.Errorf("the list of problems says %q to %s", link.Text(), link.AttrOr("href", ""))
	}
	if _, first := c.Doc.Find("#problems").Attr("autofocus"); !first {
		t.Error("the list of problems does not take the focus")
	}
	if !strings.HasPrefix(c.Doc.Find("title").Text(), "Problem: ") {
		t.Error("the title does not say that there is a problem")
	}
	at := c.Doc.Find("[id='" + field + "-problem']")
	if !strings.Contains(at.Text(), words) {
		t.Errorf("the field says %q", at.Text())
	}
	box := c.Doc.Find("[id='" + field + "']")
	if box.AttrOr("value", "") != "a while" || box.AttrOr("aria-invalid", "") != "true" || !strings.Contains(box.AttrOr("aria-describedby", ""), field+"-problem") {
		t.Error("what was typed is lost, or not tied to its problem")
	}
	if c.Doc.Find("input[value=wide][checked]").Length() != 1 {
		t.Error("the other answer is lost")
	}
	c.Press("Save and go", map[string]string{field: "61"}).Is(http.StatusUnprocessableEntity).Says("Free standing: 61 is outside 0 to 60 s.")
	c.Press("Save and go", map[string]string{field: "12,5 s"}).Is(http.StatusOK).Says("Saved: the findings.")
	c.Get("/students/" + string(s.Student) + "/record").Says("Free standing (fresh): 12.5 s")
}

// TestNumberOrTick: a number and a tick for the same question do not go
// together.
func TestNumberOrTick(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	c.Post("/students/"+string(s.Student)+"/evaluation/2", url.Values{webtest.F("stand_s"): {"12", "unknown"}}).Is(http.StatusUnprocessableEntity).
		Says("write a value or tick one box, not both.")
	if c.Doc.Find("input[value='12']").Length() != 1 || c.Doc.Find("input[value=unknown][checked]").Length() != 1 {
		t.Error("what was typed is lost")
	}
}

// TestChangedMind: an answer that is changed and changed back ends as it was
// said last, also when an old form is sent again.
func TestChangedMind(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead]).Get("/students/" + string(s.Student) + "/evaluation/1")
	doc := c.Doc
	for _, level := range []string{"W3", "W5", "W3"} {
		c.Doc = doc
		c.Press("Looked at", map[string]string{webtest.F("gait"): level}).Is(http.StatusOK)
	}
	r, err := s.Cases.StudentAt(context.Background(), s.Actors[programme.Lead], s.Student, programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	if seen, _ := r.Current("gait", "none", "fresh"); seen.Value != "W3" {
		t.Errorf("the record says %s", seen.Value)
	}
}
