package web_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
)

var f = webtest.F

// mila is an invented girl of 9 with the findings of the trade's first case:
// wobbly walker with good arms, legs that cross when excited.
var milaTests = []map[string]string{
	{f("gait"): "W4", f("steps_x10"): "yes"},
	{f("stand_s"): "20 s"},
	{f("load_test"): "yes", f("load_pain"): "no"},
	{f("one_leg_s", "l"): "3", f("one_leg_s", "r"): "2", f("one_leg_bends", "l"): "na", f("one_leg_bends", "r"): "na"},
	{f("knee_path"): "in"},
	{f("brace", "l"): "ankle", f("brace", "r"): "ankle"},
	{f("ankle_deg", "l"): "5", f("ankle_deg", "r"): "6"},
	{f("toe_in_alone", "l"): "yes", f("toe_in_alone", "r"): "yes"},
	{f("push_out", "l"): "3", f("push_in", "l"): "3", f("push_out", "r"): "3", f("push_in", "r"): "2"},
	{f("scissor"): "excited", f("natural_boot_gap_mm"): "unknown"},
	{f("trunk"): "3", f("sitting_painless"): "yes"},
	{},
	{f("grip", "l"): "4", f("grip", "r"): "4", f("push_down", "l"): "3", f("push_down", "r"): "3"},
	{f("place_of5", "l"): "5", f("place_of5", "r"): "4"},
	{},
	{f("startle"): "mild"},
	{},
	{f("endurance_min"): "25"},
}

// first begins a programme with the printed code and returns its lead's
// browser.
func first(t *testing.T, b *webtest.Bench) *webtest.Client {
	t.Helper()
	c := b.Client()
	c.Get("/").Is(http.StatusOK).Says("Begin a new programme")
	c.Press("Begin as lead", map[string]string{"code": webtest.FirstCode, "name": "Ines", "login": "ines", "password": "four plain words here"})
	return c.Is(http.StatusOK).Says("Students", "Nobody is here yet")
}

// meetMila adds the student and answers the intake.
func meetMila(t *testing.T, c *webtest.Client) {
	t.Helper()
	c.Link("Add a student").Press("Save and go on", map[string]string{"name_used": "Mila", "birth_date": "2017-05-04", "binds_self": "no"})
	c.Is(http.StatusOK).Says("Intake", "Saved: the student's details.")
	c.Link("Begin the intake")
	c.Press("Save and continue", map[string]string{f("height_cm"): "128", f("mass_kg"): "27", f("goal"): "ski with my brother", f("wish"): "none"})
	for strings.Contains(c.URL, "/intake/") {
		values := map[string]string{}
		if strings.Contains(c.URL, "bones") {
			values = map[string]string{f("gross_motor_level"): "2", f("hip_migration", "l"): "18", f("hip_migration", "r"): "21", f("hip_check_months"): "7"}
		}
		c.Is(http.StatusOK).Press("All asked", values)
	}
}

// testMila goes through the tests one by one.
func testMila(t *testing.T, c *webtest.Client) {
	t.Helper()
	c.Press("Begin the evaluation", map[string]string{"reason": "first"})
	for i, values := range milaTests {
		button := "Save and go to"
		if c.Doc.Find(`button[value=normal]`).Length() > 0 {
			button = "Looked at"
		}
		c.Press(button, values).Is(http.StatusOK)
		_ = i
	}
	c.Says("Tired retest")
	c.Press("Everything looked the same as fresh", map[string]string{f("stand_s", "n", "tired"): "12"})
	c.Says("What works to say")
	c.Press("Looked at", map[string]string{f("cue"): "copy me"})
}

// consentMila records a guardian, the waiver and the health consent.
func consentMila(t *testing.T, c *webtest.Client) {
	t.Helper()
	c.Link("Consents").Says("Not asked", "Nobody takes part without it.")
	c.Link("Add a guardian").Press("Save this person", map[string]string{"name": "Runa Larkmoor", "relation": "mother", "may_sign": "yes"})
	c.Says("Saved: the guardian.", "May sign for the student.")
	for _, kind := range []string{"Waiver of the season", "Keeping health data"} {
		c.Link("Record the answer (" + kind).Is(http.StatusOK)
		c.Press("Record the answer", map[string]string{"answer": "given", "wording": "2026-10", "on_paper": "yes", "signed_by": c.Doc.Find("input[name=signed_by]").Last().AttrOr("value", "")})
		c.Is(http.StatusOK).Says("Saved: the consent.", "signed by Runa Larkmoor")
	}
}

// TestJourneyWithoutScript goes from the printed code to the printed card with
// a browser that has no script. What the answer must be is the trade's first
// acceptance case (domain/cases.md, C01).
func TestJourneyWithoutScript(t *testing.T) {
	b := webtest.New(t)
	c := first(t, b)
	meetMila(t, c)
	testMila(t, c)
	c.Says("Close it as complete")
	consentMila(t, c)
	c.Link("Card").Says("Close it first").SaysNot("Make the card</button>")
	c.Link("Go and close the evaluation").Press("Close it as complete", map[string]string{"summary": "Quiet start works."})
	c.Is(http.StatusOK).Says("The evaluation is closed.", "Two skis and outriggers", "Elastic tie", "Brace out, the boot does its job", "Start with 5 mm, between 5 and 10 mm",
		"Tie on: no sidestep, herringbone, skating, kick turn or one-ski slide.", "What would change it", "It becomes rigid hinged tie if push in at the knee, right")
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
