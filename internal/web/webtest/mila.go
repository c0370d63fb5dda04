package webtest

import (
	"net/http"
	"strings"
)

// MilaTests are the answers of the tests for Mila, an invented girl of 9 with
// the findings of the trade's first case: wobbly walker with good arms, legs
// that cross when excited.
var MilaTests = []map[string]string{
	{F("gait"): "W4", F("steps_x10"): "yes"},
	{F("stand_s"): "20 s"},
	{F("load_test"): "yes", F("load_pain"): "no"},
	{F("one_leg_s", "l"): "3", F("one_leg_s", "r"): "2", F("one_leg_bends", "l"): "na", F("one_leg_bends", "r"): "na"},
	{F("knee_path"): "in"},
	{F("brace", "l"): "ankle", F("brace", "r"): "ankle"},
	{F("ankle_deg", "l"): "5", F("ankle_deg", "r"): "6"},
	{F("toe_in_alone", "l"): "yes", F("toe_in_alone", "r"): "yes"},
	{F("push_out", "l"): "3", F("push_in", "l"): "3", F("push_out", "r"): "3", F("push_in", "r"): "2"},
	{F("scissor"): "excited", F("natural_boot_gap_mm"): "unknown"},
	{F("trunk"): "3", F("sitting_painless"): "yes"},
	{},
	{F("grip", "l"): "4", F("grip", "r"): "4", F("push_down", "l"): "3", F("push_down", "r"): "3"},
	{F("place_of5", "l"): "5", F("place_of5", "r"): "4"},
	{},
	{F("startle"): "mild"},
	{},
	{F("endurance_min"): "25"},
}

// First begins a programme with the printed code and returns its lead's
// browser.
func (b *Bench) First() *Client {
	b.T.Helper()
	c := b.Client()
	c.Get("/").Is(http.StatusOK).Says("Begin a new programme")
	c.Press("Begin as lead", map[string]string{"code": FirstCode, "name": "Ines", "login": "ines", "password": "four plain words here"})
	return c.Is(http.StatusOK).Says("Students", "Nobody is here yet")
}

// MeetMila adds the student and answers the intake.
func (c *Client) MeetMila() {
	c.T.Helper()
	c.Link("Add a student").Press("Save and go on", map[string]string{"name_used": "Mila", "birth_date": "2017-05-04", "binds_self": "no"})
	c.Is(http.StatusOK).Says("Intake", "Saved: the student's details.")
	c.Link("Begin the intake")
	c.Press("Save and continue", map[string]string{F("height_cm"): "128", F("mass_kg"): "27", F("goal"): "ski with my brother", F("wish"): "none"})
	for strings.Contains(c.URL, "/intake/") {
		values := map[string]string{}
		if strings.Contains(c.URL, "bones") {
			values = map[string]string{F("gross_motor_level"): "2", F("hip_migration", "l"): "18", F("hip_migration", "r"): "21", F("hip_check_months"): "7"}
		}
		c.Is(http.StatusOK).Press("All asked", values)
	}
}

// EvaluateMila goes through the tests one by one.
func (c *Client) EvaluateMila() {
	c.T.Helper()
	c.Press("Begin the evaluation", map[string]string{"reason": "first"})
	for _, values := range MilaTests {
		button := "Save and go to"
		if c.Doc.Find(`button[value=normal]`).Length() > 0 {
			button = "Looked at"
		}
		c.Press(button, values).Is(http.StatusOK)
	}
	c.Says("Tired retest")
	c.Press("Everything looked the same as fresh", map[string]string{F("stand_s", "n", "tired"): "12"})
	c.Says("What works to say")
	c.Press("Looked at", map[string]string{F("cue"): "copy me"})
}

// ConsentMila records a guardian, the waiver and the health consent.
func (c *Client) ConsentMila() {
	c.T.Helper()
	c.Link("Consents").Says("Not asked", "Nobody takes part without it.")
	c.Link("Add a guardian").Press("Save this person", map[string]string{"name": "Runa Larkmoor", "relation": "mother", "may_sign": "yes"})
	c.Says("Saved: the guardian.", "May sign for the student.")
	for _, kind := range []string{"Waiver of the season", "Keeping health data"} {
		c.Link("Record the answer (" + kind).Is(http.StatusOK)
		c.Press("Record the answer", map[string]string{"answer": "given", "wording": "2026-10", "on_paper": "yes", "signed_by": c.Doc.Find("input[name=signed_by]").Last().AttrOr("value", "")})
		c.Is(http.StatusOK).Says("Saved: the consent.", "signed by Runa Larkmoor")
	}
}
