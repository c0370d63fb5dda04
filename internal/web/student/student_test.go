package student_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestTenLines: the read has the ten lines of the trade's handover (section H)
// in their order, and says what the answer of the first acceptance case says.
func TestTenLines(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := "/students/" + strings.Split(c.URL, "/")[2]
	c.EvaluateMila()
	c.ConsentMila()
	c.Get(student+"/evaluation").Press("Close it as complete", nil)
	c.Get(student+"/notes").Press("Save the note", map[string]string{"text": "Straight slide, hips stay over the feet.", "about": "next step", "class": "work"})
	c.Get(student).Is(http.StatusOK)
	lines := map[string]string{}
	var order []string
	c.Doc.Find(".ten dt").Each(func(_ int, dt *goquery.Selection) {
		order = append(order, dt.Text())
		lines[dt.Text()] = webtest.Spoken(dt.Next())
	})
	if got, want := strings.Join(order, ", "), "Name and goal, Stop rules, Set-up, Start here, Cue, Weak turn, Tires, Next step, Lift, Changed today"; got != want {
		t.Errorf("the lines are %s", got)
	}
	for title, want := range map[string]string{"Name and goal": "Mila, 9 years Goal: ski with my brother", "Set-up": "Tip tie: elastic tie", "Start here": "crutch walk", "Cue": "Works: copy me",
		"Weak turn": "Left turns", "Tires": "25 min", "Next step": "Straight slide, hips stay over the feet.", "Lift": "2 people, lead included", "Changed today": "Nothing"} {
		if !strings.Contains(lines[title], want) {
			t.Errorf("%s says %q, not %q", title, lines[title], want)
		}
	}
	if c.Doc.Find(".from-above svg desc").Length() != 1 {
		t.Error("the drawing is missing, or has no words")
	}
}

// TestHeldRead: a hold stands first and the set-up is not for today.
func TestHeldRead(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor]).Get("/students/" + string(s.Student))
	c.Says("Held hip at risk (no standing)", "Set-up, not for today", "No standing: hip at risk.")
	if c.Doc.Find(".from-above").Length() != 0 {
		t.Error("a set-up is drawn though nobody stands today")
	}
	s.Client(s.Cookies[programme.Scheduler]).Get("/students/" + string(s.Student)).Says("Your role does not show findings and notes.").SaysNot("Set-up")
}

// TestHandedRead: after a lesson the read says what was handed on, and a note
// written later stands before it.
func TestHandedRead(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	at := "/students/" + string(s.Student)
	line := func(title string) string {
		t.Helper()
		c.Get(at).Is(http.StatusOK)
		return webtest.Spoken(c.Doc.Find(".ten dt").FilterFunction(func(_ int, dt *goquery.Selection) bool { return dt.Text() == title }).Next())
	}
	for _, title := range []string{"Cue", "Tires"} {
		if got := line(title); got != "Handover-Sallow" {
			t.Errorf("%s: %q", title, got)
		}
	}
	if got := line("Start here"); !strings.Contains(got, "Last time: Handover-Sallow") {
		t.Errorf("start: %q", got)
	}
	if got := line("Next step"); !strings.HasPrefix(got, "Handover-Sallow Handover of") || strings.Contains(got, "Worknote-Birch") {
		t.Errorf("next: %q", got)
	}
	c.Get(at+"/notes").Press("Save the note", map[string]string{"text": "First the lift, on foot.", "about": "next step"})
	if got := line("Next step"); !strings.HasPrefix(got, "First the lift, on foot. Handover-Sallow") {
		t.Errorf("next: %q", got)
	}
}
