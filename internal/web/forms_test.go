package web_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestProblemsKeepWhatWasTyped: the list of problems stands first and leads to
// the fields, the same words stand at the field, what was typed is kept, and
// nothing is saved (look.md 6.1, row "errors").
func TestProblemsKeepWhatWasTyped(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead]).Get("/students/" + string(s.Student) + "/evaluation/2")
	before := counts(t, s)
	field := webtest.F("stand_s")
	c.Press("Save and go", map[string]string{field: "a while", webtest.F("base"): "wide"}).Is(http.StatusUnprocessableEntity)
	if counts(t, s) != before {
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

// TestNothingPreselected: a question that was never answered has no answer
// chosen for it (look.md 6.1, row "questions").
func TestNothingPreselected(t *testing.T) {
	b := webtest.New(t)
	c := first(t, b)
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
		once := counts(t, s)
		c.Doc, c.URL = doc, one.page
		c.Press(one.button, one.values)
		if n := counts(t, s); n != once || c.Status >= 500 {
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
	one, once := c.URL, counts(t, s)
	c.Doc = doc
	c.Press("Make the card", nil).Is(http.StatusOK)
	if c.URL != one || counts(t, s) != once {
		t.Errorf("the card was made twice: %s, %s", one, c.URL)
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
		c.Press("Looked at", map[string]string{f("gait"): level}).Is(http.StatusOK)
	}
	r, err := s.Cases.StudentAt(context.Background(), s.Actors[programme.Lead], s.Student, programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	if seen, _ := r.Current("gait", "none", "fresh"); seen.Value != "W3" {
		t.Errorf("the record says %s", seen.Value)
	}
}

// TestTooMuch: a form far too large is refused and nothing is saved.
func TestTooMuch(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	before := counts(t, s)
	c := s.Client(s.Cookies[programme.Lead])
	c.Post("/students/"+string(s.Student)+"/notes", url.Values{"text": {strings.Repeat("a", 5<<20)}, "about": {"lesson"}, "class": {"work"}})
	if c.Status != http.StatusUnprocessableEntity && c.Status != http.StatusRequestEntityTooLarge || counts(t, s) != before {
		t.Errorf("%d", c.Status)
	}
	c.Post("/students/"+string(s.Student)+"/notes", url.Values{"text": {strings.Repeat("a", 5000)}, "about": {"lesson"}, "class": {"work"}}).
		Is(http.StatusUnprocessableEntity).Says("The note is too long: at most 4000 characters.")
}

// TestClearance walks a hold from the finding that raises it to the letter
// that clears it (gate rule G7: the orthopaedic surgeon, in writing).
func TestClearance(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	base := "/students/" + string(s.Student)
	c := s.Client(s.Cookies[programme.MedicalReviewer]).Get(base+"/holds").Says("No standing", "Hip at risk", "Recent loss of standing ability: yes", "Cleared in writing by: orthopaedic surgeon")
	c.Link("Write down a clearance").Is(http.StatusOK).Says("You do not clear this hold.")
	c.Press("Write down the clearance", map[string]string{"in_writing": "no", "licence": "somebody_else", "cleared_by": "her mother", "cleared_on": "2027-01-13", "valid_until": "2027-06-01"}).
		Is(http.StatusUnprocessableEntity).Says("A clearance counts only in writing.", "Only one of the licensed people above clears this hold.")
	if c.Doc.Find("input[value='her mother']").Length() != 1 {
		t.Error("what was typed is lost")
	}
	c.Press("Write down the clearance", map[string]string{"in_writing": "yes", "licence": "orthopaedic_surgeon", "cleared_by": "Dr Fenn", "cleared_on": "2027-01-13", "valid_until": "2026-06-01"}).
		Is(http.StatusUnprocessableEntity)
	if c.Doc.Find("#problems a").AttrOr("href", "") != "#valid_until" {
		t.Errorf("the problem is at %s: %s", c.Doc.Find("#problems a").AttrOr("href", ""), c.Doc.Find("#problems").Text())
	}
	c.Press("Write down the clearance", map[string]string{"valid_until": "2027-06-01"}).Is(http.StatusOK).
		Says("Saved: the written clearance.", "Nothing holds Edda today", "Cleared in writing (orthopaedic surgeon, 2027-01-13) until 2027-06-01")
	s.Client(s.Cookies[programme.Instructor]).Get(base+"/holds").SaysNot("Dr Fenn", "Reason-Rowan").Says("orthopaedic surgeon: letter of Wed 13 Jan 2027")
	s.Client(s.Cookies[programme.Lead]).Get("/readings").Says("Staff medical reviewer", "Edda", "record")
}

// TestAsItWas: a correction and what came before it.
func TestAsItWas(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	base := "/students/" + string(s.Student)
	c := s.Client(s.Cookies[programme.Lead]).Get(base + "/facts/" + string(s.Finding) + "/correct")
	c.Says("What would make this a good day", "Goal-Tarnlight").Press("Save the correction", map[string]string{f("goal"): "see the valley", "note": "misheard"}).
		Is(http.StatusOK).Says("Saved: the correction.", "see the valley. misheard", "corrected later")
	last := c.Doc.Find("a[href*=upto]").First().AttrOr("href", "")
	c.Get(base+"/record?upto=15").Says("As it was on", "Goal-Tarnlight").SaysNot("see the valley", "Correct it")
	c.Link("The answer as it was").Is(http.StatusOK).Says("As it was on")
	c.Get(last).Says("see the valley")
	c.Get(base + "/record?on=2026-12-24").Is(http.StatusNotFound).Says("Nothing was recorded about this student by the end of that day.")
	c.Get(base + "/record?on=yesterday").Is(http.StatusUnprocessableEntity)
}

// TestSignedNumber: a number that the lead signs off changes the answer's
// argument and says who signed.
func TestSignedNumber(t *testing.T) {
	b := webtest.New(t)
	c := first(t, b)
	meetMila(t, c)
	student := strings.Split(c.URL, "/")[2]
	testMila(t, c)
	c.Get("/students/" + student + "/answer").Says("Longest block before a rest 20 min proposed, not signed off yet")
	c.Get("/settings/block_share").Press("Sign it off", map[string]string{"value": "0,6", "signed_by": "Ines, lead"}).Is(http.StatusOK).Says("Signed off by Ines, lead on Thu 14 Jan 2027")
	// 60 % of the 25 minutes that were seen: the arithmetic of the setting's own text.
	c.Get("/students/"+student+"/answer").Says("Longest block before a rest 15 min", "Signed off by Ines, lead")
	c.Get("/settings/block_share").Press("Sign it off", map[string]string{"value": "9", "signed_by": "Ines, lead"}).Is(http.StatusUnprocessableEntity).Says("Write a number between 0.5 and 1")
}
