package setup_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// evaluated is the trade's first case, evaluated, with her lead and others of
// the staff: she skis with outriggers and an elastic tie.
func evaluated(t *testing.T) (b *webtest.Bench, c *webtest.Client, base string) {
	t.Helper()
	b = webtest.New(t)
	c = b.First()
	c.MeetMila()
	c.EvaluateMila()
	return b, c, "/students/" + strings.Split(c.URL, "/")[2]
}

func as(b *webtest.Bench, name string, role programme.Role) *webtest.Client {
	_, cookie := b.Staff(name, role)
	return b.Client(cookie)
}

// everyLine fills in the whole form with what is proposed, or with a number.
func everyLine(c *webtest.Client) map[string]string {
	values := map[string]string{}
	c.Doc.Find("main form input").Each(func(_ int, in *goquery.Selection) {
		name := in.AttrOr("name", "")
		switch {
		case strings.HasPrefix(name, "v.") && in.AttrOr("type", "") == "radio":
			values[name] = "as_proposed"
		case strings.HasPrefix(name, "v."):
			values[name] = "5"
		}
	})
	return values
}

// TestSheet walks the set-up sheet from the proposal to two signatures, and
// what makes it void (the trade's list: growth, brace, plate, boots ...).
func TestSheet(t *testing.T) {
	b, c, base := evaluated(t)
	c.Get(base + "/set-up").Is(http.StatusOK).Says("Nothing is proposed yet")
	c.Link("Propose a set-up").Is(http.StatusOK).Says("Two skis and outriggers", "Left wrist crease over the snow", "Lowest hole")
	c.Press("Propose from the answer", map[string]string{"crease_left": "forty", "hole_first": "45"}).Is(http.StatusUnprocessableEntity).
		Says(`"forty" is not a number in cm.`, "Write how far the holes are apart.", "Write how many holes the pair has.")
	c.Press("Propose from the answer", map[string]string{"crease_left": "61,5 cm", "crease_right": "400", "hole_first": "45", "hole_step": "2.5", "hole_count": "10"}).
		Is(http.StatusUnprocessableEntity).Says("The right wrist crease is 400 cm; it must lie between 15 and 150 cm.")
	if at := c.Doc.Find("#problems a").AttrOr("href", ""); at != "#crease_right" {
		t.Errorf("the problem is at %q", at)
	}
	c.Press("Propose from the answer", map[string]string{"crease_right": "61"}).Is(http.StatusOK).
		Says("A set-up is proposed.", "To be measured", "Outrigger handle", "61.5 cm", "61 cm", "hole 8 (62.5 cm)", "Heel lift", "A wrong fit looks like this", "shoulders at the ears", "nobody yet", "two skis and outriggers")
	if c.Doc.Find("form[action$=sign]").Length() != 0 {
		t.Error("an unmeasured sheet can be signed")
	}

	// One line at a time; an empty form is told so.
	c.Link("Measure on the person").Is(http.StatusOK).Says("Proposed 61.5 cm, between")
	if c.Doc.Find("input[checked]").Length() != 0 {
		t.Error("something is chosen beforehand")
	}
	c.Press("Write it down", nil).Is(http.StatusUnprocessableEntity).Says("Nothing was written down")
	c.Press("Write it down", map[string]string{"v.outrigger_handle.left": "62.5", "h.outrigger_handle.left": "11", "v.tie.none": "else"}).Is(http.StatusUnprocessableEntity).
		Says("A hole is a whole number from 1 to 10.", "Write what was chosen instead.")
	c.Press("Write it down", map[string]string{"h.outrigger_handle.left": "8", "v.tie.none": "as_proposed", "note": "after the lift"}).Is(http.StatusOK).
		Says("Saved: what was measured.", "62.5 cm", "hole 8 (62.5 cm)", "by Ines", "after the lift", "still to be measured")
	c.Link("Measure on the person").Says("Written down: 62.5 cm, hole 8 (62.5 cm) (Ines)")
	c.Press("Write it down", everyLine(c)).Is(http.StatusOK).Says("To be signed", "two people sign", "outside the range")

	// Two different people sign.
	c.Press("Sign this set-up", nil).Is(http.StatusOK).Says("Signed.", "You signed. A second person signs it too.")
	if c.Doc.Find("form[action$=sign]").Length() != 0 {
		t.Error("the same person can sign twice")
	}
	medic := as(b, "Mirren", programme.MedicalReviewer).Get(base + "/set-up").Is(http.StatusOK)
	if medic.Doc.Find("main form").Length() != 0 || medic.Doc.Find("main a.button").Length() != 0 {
		t.Error("the medical reviewer is offered to write")
	}
	as(b, "Bertil", programme.Technician).Get(base + "/set-up").Is(http.StatusForbidden)
	as(b, "Sif", programme.Scheduler).Get(base + "/set-up").Is(http.StatusForbidden)
	gear := as(b, "Edmund", programme.EquipmentLead)
	gear.Get(base+"/set-up").Press("Sign this set-up", nil).Is(http.StatusOK).Says("Signed by two people", "Ines", "Edmund")
	gear.SaysNot("Measure again")

	c.Get(base).Says("Outrigger handle, signed: left 5 cm, right 5 cm")

	// Gear changes: void, with the reason; a new version is made.
	gear.Get(base+"/set-up").Link("Write down that gear changed").Press("The gear changed", nil).Is(http.StatusUnprocessableEntity).Says("Say what changed.", "Say on which side.")
	gear.Press("The gear changed", map[string]string{"what": "boots", "side": "none", "note": "one size up"}).Is(http.StatusOK).
		Says("Saved: the gear changed.", "Void", "Why it was reopened", "Boots: changed on 2027-01-14 (one size up).", "Measure and sign anew.")
	gear.Link("Propose a new version").Press("Propose from the answer", nil).Is(http.StatusOK).Says("Version 2", "Other versions", "Version 1", "Reopened: Boots: changed")
	c.Get(base).Says("Set-up sheet: Not everything is measured").SaysNot("signed: left")
	gear.Link("Version 1").Is(http.StatusOK).Says("This is version 1.", "62.5 cm", "Signatures", "Edmund").SaysNot("Sign this set-up")
}

// TestGrowthReopens: growth over the setting, recorded on the intake page,
// makes the signed sheet void (3 cm, proposed).
func TestGrowthReopens(t *testing.T) {
	b, c, base := evaluated(t)
	c.Get(base+"/set-up/propose").Press("Propose from the answer", nil).Is(http.StatusOK)
	c.Link("Measure on the person")
	c.Press("Write it down", everyLine(c)).Press("Sign this set-up", nil)
	as(b, "Ragna", programme.Instructor).Get(base+"/set-up").Press("Sign this set-up", nil).Says("Signed by two people")
	c.Get(base+"/intake/changes").Press("Save and continue", map[string]string{webtest.F("growth_cm"): "4"})
	c.Get(base+"/set-up").Says("Void", "Grew 4 cm")
}

// TestAnswerChanged: an evaluation that comes to another way of skiing is told
// beside the sheet (D5: grip under 3 on both sides is a slider).
func TestAnswerChanged(t *testing.T) {
	_, c, base := evaluated(t)
	c.Get(base+"/set-up/propose").Press("Propose from the answer", nil).Is(http.StatusOK).SaysNot("The answer has changed")
	f := webtest.F
	c.Get(base+"/evaluation/13").Press("Save and go", map[string]string{f("grip", "l"): "1", f("grip", "r"): "1"})
	c.Get(base+"/set-up").Says("The answer has changed.", "two skis and outriggers on the sheet, two skis in a slider by the evaluation now")
}

// TestNotDecided: nothing is proposed while the way of skiing is open, nor for
// sitting.
func TestNotDecided(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	c.Get("/students/" + string(s.Student) + "/set-up/propose").Is(http.StatusOK).SaysNot("Propose from the answer")
	before := s.Facts()
	c.Post("/students/"+string(s.Student)+"/set-up", nil).Is(http.StatusConflict).Says("The way of skiing is not decided yet")
	c.Get("/students/" + string(s.Student) + "/set-up/" + string(s.Request)).Is(http.StatusNotFound)
	if s.Facts() != before {
		t.Error("something was written")
	}
}

// TestSentTwice: each form sent twice writes once.
func TestSentTwice(t *testing.T) {
	b, c, base := evaluated(t)
	twice := func(to, button string, values func() map[string]string) {
		t.Helper()
		c.Get(to).Is(http.StatusOK)
		doc, url := c.Doc, c.URL
		v := values()
		c.Press(button, v).Is(http.StatusOK)
		once := b.Facts()
		c.Doc, c.URL = doc, url
		c.Press(button, v)
		if n := b.Facts(); n != once || c.Status >= 500 {
			t.Errorf("%s sent twice: %d facts more, answer %d", to, n-once, c.Status)
		}
	}
	none := func() map[string]string { return nil }
	twice(base+"/set-up/propose", "Propose from the answer", none)
	sheet := c.Get(base+"/set-up").Doc.Find("a[href$=measure]").AttrOr("href", "")
	twice(sheet, "Write it down", func() map[string]string { return everyLine(c) })
	twice(base+"/set-up", "Sign this set-up", none)
	twice(base+"/set-up/changed", "The gear changed", func() map[string]string { return map[string]string{"what": "skis", "side": "left"} })
}

// TestRecordTellsIt: the record names what was proposed, measured and signed,
// and a measurement recorded in error is taken out there.
func TestRecordTellsIt(t *testing.T) {
	_, c, base := evaluated(t)
	c.Get(base+"/set-up/propose").Press("Propose from the answer", nil)
	c.Link("Measure on the person").Press("Write it down", map[string]string{"v.outrigger_handle.left": "57"})
	c.Get(base+"/record").Says("Set-up proposed", "Version 1", "Set-up measured", "Outrigger handle, left 57 cm").SaysNot("set_up_")
	var to string
	c.Doc.Find("li").EachWithBreak(func(_ int, li *goquery.Selection) bool {
		if strings.Contains(li.Text(), "Set-up measured") {
			to = li.Find("a[href$=retract]").Last().AttrOr("href", "")
		}
		return to == ""
	})
	if to == "" {
		t.Fatal("a measurement cannot be taken out")
	}
	c.Get(to).Is(http.StatusOK).Press("Take it out", map[string]string{"reason": "another student's"}).Is(http.StatusOK)
	c.Get(base + "/set-up").SaysNot("57 cm</strong>")
}
