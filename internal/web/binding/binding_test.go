package binding_test

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

var asking = map[string]string{"type": "1", "sole_l": "305", "sole_r": "305 mm", "standard_l": "iso_5355_a", "standard_r": "iso_5355_a",
	"boot_l": "Larch 90", "boot_r": "Larch 90", "binding_l": "Tarn 10", "binding_r": "Tarn 10", "ski_l": "Scree 140", "ski_r": "Scree 140",
	"plate_l": "none", "plate_r": "none", "lent": "yes"}

// seeded is the seeded student with height and mass: row K of the printed table
// at 300 mm, where it prints 5.50, 50 and 194.
func seeded(t *testing.T) (*webtest.Seeded, string) {
	t.Helper()
	s := webtest.Seed(webtest.New(t))
	var all []programme.NewFinding
	for id, v := range map[string]string{"height_cm": "172", "mass_kg": "70"} {
		all = append(all, programme.NewFinding{Made: programme.Made{ID: s.IDs.Next()}, Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: id, Side: "none", State: "both"}, Value: v}})
	}
	if _, err := s.Cases.RecordFindings(context.Background(), s.Actors[programme.Lead], s.Student, all); err != nil {
		t.Fatal(err)
	}
	return s, "/students/" + string(s.Student) + "/binding"
}

// TestRequestAndTest walks a request from the question to the technician's
// record. What is asked and what comes back is the trade's list for the sheet.
func TestRequestAndTest(t *testing.T) {
	s, base := seeded(t)
	c := s.Client(s.Cookies[programme.EquipmentLead])
	c.Get(base).Is(http.StatusOK).Says("This program names no setting", "Waits for a certified technician. There is no setting before one recorded it.")
	c.Link("Ask again").Is(http.StatusOK).Says("Filled in as on the last request", "Not asked yet")
	values := map[string]string{}
	for k, v := range asking {
		values[k] = v
	}
	values["sole_l"], values["sole_r"] = "300.5", "long"
	delete(values, "type")
	c.Press("Ask the technician", values).Is(http.StatusUnprocessableEntity).Says("Say what the student declares", "whole number of millimetres between 150 and 400", `"long" is not a number in mm.`)
	if c.Doc.Find("input[name=boot_r]").AttrOr("value", "") != "Larch 90" || c.Doc.Find("select[name=standard_l] option[selected]").AttrOr("value", "") != "iso_5355_a" {
		t.Error("what was typed is lost")
	}
	c.Press("Ask the technician", map[string]string{"type": "1", "sole_l": "300", "sole_r": "300"}).Is(http.StatusOK).
		Says("The technician is asked.", "172 cm", "70 kg", "25 years", "300 mm", "ISO 5355 A (adult alpine)", "Larch 90", "Why the usual table may not apply", "Never tightened to stop releases by spasm", "Not known when it was asked")
	sheet := c.Doc.Find("main a[href$=pdf]").AttrOr("href", "")
	c.Get(sheet).Is(http.StatusOK)
	if c.Header.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(c.Body, "%PDF") || len(s.Sheets) != 1 || s.Sheets[0].Sheet.Left.Boot != "Larch 90" {
		t.Errorf("the sheet: %s %.20q", c.Header.Get("Content-Type"), c.Body)
	}

	tech := s.Client(s.Cookies[programme.Technician]).Get("/bindings").Is(http.StatusOK).Says("1 request waits", "Edda")
	tech.Link("Edda").Is(http.StatusOK).Says("Waits", "172 cm").SaysNot("Ask again", "Goal-Tarnlight")
	tech.Link("Record what you set and measured").Is(http.StatusOK).Says("This page proposes nothing.")
	tech.Doc.Find("main form input[type=text]").Each(func(_ int, in *goquery.Selection) {
		if v := in.AttrOr("value", ""); v != "" {
			t.Errorf("%s is filled in with %q", in.AttrOr("name", ""), v)
		}
	})
	tech.Press("Record and sign", map[string]string{"toe_l": "abc", "twist_l": "50 51"}).Is(http.StatusUnprocessableEntity).
		Says(`"abc" is not a number.`, "Write the indicator value of the right heel.", "Write three values, or leave it empty", "Write your name", "Sign for what you set and measured", "Write the day of the test")
	rec := map[string]string{"toe_l": "5.5", "toe_r": "5,5", "heel_l": "5.5", "heel_r": "5.5", "twist_l": "50 51 49", "twist_r": "50, 50, 50", "lean_l": "194 190 200 N m", "lean_r": "194 194 194",
		"instrument": "bench 2", "tested_on": "2027-01-14", "valid_until": "2037-01-14", "technician": "Brannoc Iveson", "signed": "yes"}
	tech.Press("Record and sign", rec).Is(http.StatusUnprocessableEntity).Says("valid for at most 2 years")
	if at := tech.Doc.Find("#problems a").AttrOr("href", ""); at != "#valid_until" {
		t.Errorf("the problem is at %q", at)
	}
	tech.Press("Record and sign", map[string]string{"valid_until": "2027-12-31"}).Is(http.StatusOK).
		Says("Saved: what the technician recorded.", "In use", "Plausible: within one row", "Row K of the printed table", "Brannoc Iveson, signed", "50, 51, 49 N m", "Valid until Fri 31 Dec 2027", "How the row was found")
	tech.Get("/bindings").Says("No request waits.")
	c.Get(strings.TrimSuffix(base, "/binding")).Says("Bindings: Recorded and signed by the technician, and plausible.")
	s.Client(s.Cookies[programme.MedicalReviewer]).Get(strings.TrimSuffix(base, "/binding")).SaysNot("Recorded and signed by the technician")
	c.Get(base).Says("5.5", "Recorded by the technician")
	// The sheet stays the question: what came back is on the page alone.
	c.Get(sheet)
	if b, err := json.Marshal(s.Sheets[len(s.Sheets)-1]); err != nil || strings.Contains(string(b), "5.5") || strings.Contains(string(b), "194") {
		t.Errorf("the sheet holds what came back: %s, %v", b, err)
	}
	for _, role := range []programme.Role{programme.Scheduler, programme.MedicalReviewer} {
		s.Client(s.Cookies[role]).Get(base).Is(http.StatusForbidden)
	}
	// New boots: void, and the old record stays with its own request.
	c.Get("/students/"+string(s.Student)+"/set-up/changed").Press("The gear changed", map[string]string{"what": "boots", "side": "none"})
	c.Get(base).Says("Void", "Boots: changed on 2027-01-14. The setting is void: ask the technician again.")
	tech.Get(base).Link("Record what you set and measured")
	rec["valid_until"] = "2027-12-31"
	tech.Press("Record and sign", rec).Is(http.StatusUnprocessableEntity).Says("Ask again before anything is recorded.")
	c.Get(base+"/ask").Press("Ask the technician", map[string]string{"type": "2"}).Is(http.StatusOK).Says("Waits", "Other requests", "Recorded by Brannoc Iveson: accepted")
}

// TestOnlyTechniciansRecord: no other role is shown the form, and sending it
// all the same changes nothing; a lead neither.
func TestOnlyTechniciansRecord(t *testing.T) {
	s, base := seeded(t)
	for _, role := range programme.Roles {
		if role == programme.Technician {
			continue
		}
		before := s.Facts()
		c := s.Client(s.Cookies[role])
		c.Get(base).SaysNot("Record what you set")
		c.Get(base + "/" + string(s.Request) + "/test").Is(http.StatusForbidden)
		c.Post(base+"/"+string(s.Request)+"/test", url.Values{"toe_l": {"5.5"}, "signed": {"yes"}}).Is(http.StatusForbidden)
		if s.Facts() != before {
			t.Errorf("%s wrote something", role)
		}
	}
}

// TestNoSettingOnAnyPage asks for every address in every role before a
// technician recorded anything, and looks for what the printed table holds for
// this student. Afterwards the same search finds it.
func TestNoSettingOnAnyPage(t *testing.T) {
	s, base := seeded(t)
	c := s.Client(s.Cookies[programme.Lead])
	values := map[string]string{}
	for k, v := range asking {
		values[k] = v
	}
	values["sole_l"], values["sole_r"] = "300", "300"
	c.Get(base+"/ask").Press("Ask the technician", values).Is(http.StatusOK)
	request := strings.Split(c.Doc.Find("main a[href$=pdf]").AttrOr("href", ""), "/")[4]
	setting := regexp.MustCompile(`(^|[^0-9.])(5\.50?|194)([^0-9.]|$)|[Rr]ow [A-O]\b`)
	// A setting has no unit: 5.5 degrees of a slope is not one.
	measured := regexp.MustCompile(`[0-9.–-]+( |\x{a0})?(°|%|(m|cm|mm|km|N|kN|kg|s|min|m/s|km/h|C)\b)`)
	walk := func() map[string]string {
		found := map[string]string{}
		for _, role := range programme.Roles {
			for _, route := range s.Site.Routes {
				// The pages of the hill hold no person's facts, and their coordinates any number.
				if !strings.HasPrefix(route.Pattern, "GET /") || strings.Contains(route.Pattern, "static") || strings.HasPrefix(route.Pattern, "GET /hill/") {
					continue
				}
				for _, to := range []string{s.Path(route.Pattern), strings.ReplaceAll(s.Path(route.Pattern), string(s.Request), request)} {
					c := s.Client(s.Cookies[role]).Get(to)
					text := c.Body
					if strings.Contains(c.Header.Get("Content-Type"), "html") {
						text = c.Text()
						c.Doc.Find("input").Each(func(_ int, in *goquery.Selection) { text += " " + in.AttrOr("value", "") })
					}
					if m := setting.FindString(measured.ReplaceAllString(text, "")); m != "" {
						found[to] = m
					}
				}
			}
		}
		for _, o := range s.Sheets {
			b, err := json.Marshal(o.Sheet)
			if err != nil {
				t.Fatal(err)
			}
			if m := setting.FindString(string(b)); m != "" {
				found["sheet"] = m
			}
		}
		return found
	}
	for to, m := range walk() {
		t.Errorf("%s shows %q before a technician recorded anything", to, m)
	}
	tech := s.Client(s.Cookies[programme.Technician]).Get(base + "/" + request + "/test")
	tech.Press("Record and sign", map[string]string{"toe_l": "5.5", "toe_r": "5.5", "heel_l": "5.5", "heel_r": "5.5", "twist_l": "50 50 50", "twist_r": "50 50 50", "lean_l": "194 194 194", "lean_r": "194 194 194",
		"instrument": "bench", "tested_on": "2027-01-14", "valid_until": "2027-12-31", "technician": "B. Iveson", "signed": "yes"}).Is(http.StatusOK)
	found := walk()
	if found[base] == "" || found["sheet"] != "" {
		t.Errorf("after the record the search finds %v", found)
	}
	for to := range found {
		// The lead's copy of everything held is the one other place.
		if !strings.HasPrefix(to, base) && !strings.HasSuffix(to, "/export") {
			t.Errorf("%s shows what the technician recorded; only the binding's page should", to)
		}
	}
}

// TestAskTwice: the form sent twice asks once.
func TestAskTwice(t *testing.T) {
	s, base := seeded(t)
	c := s.Client(s.Cookies[programme.Lead]).Get(base + "/ask")
	doc, to := c.Doc, c.URL
	c.Press("Ask the technician", asking).Is(http.StatusOK)
	once := s.Facts()
	c.Doc, c.URL = doc, to
	c.Press("Ask the technician", asking).Is(http.StatusOK)
	if s.Facts() != once {
		t.Error("asked twice")
	}
}
