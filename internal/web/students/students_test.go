package students_test

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestStates: the list says in a word how each student stands, and what comes
// next.
func TestStates(t *testing.T) {
	b := webtest.New(t)
	lead, cookie := b.Staff("Ines", programme.Lead)
	ctx := context.Background()
	add := func(name string) programme.ID {
		id := b.IDs.Next()
		if _, err := b.Cases.AddStudent(ctx, lead, programme.Made{ID: b.IDs.Next()}, id, programme.StudentDetails{NameUsed: name, BirthDate: programme.Date{Year: 1990, Month: 1, Day: 1}, BindsSelf: programme.BindsYes}); err != nil {
			t.Fatal(err)
		}
		return id
	}
	waiver := func(id programme.ID) {
		if _, err := b.Cases.RecordConsent(ctx, lead, programme.Made{ID: b.IDs.Next()}, id, programme.Consent{Consent: programme.ConsentWaiver, Answer: programme.ConsentGiven, Wording: "w",
			SignedOn: programme.DateOf(b.Clock.Now()), SignedBy: []programme.Signature{{Student: true}}}); err != nil {
			t.Fatal(err)
		}
	}
	evaluate := func(id programme.ID, finish bool) {
		e := b.IDs.Next()
		if _, err := b.Cases.BeginEvaluation(ctx, lead, programme.Made{ID: e}, id, programme.EvaluationBegun{Reason: "first"}); err != nil {
			t.Fatal(err)
		}
		if !finish {
			return
		}
		if _, err := b.Cases.CloseEvaluation(ctx, lead, programme.Made{ID: b.IDs.Next()}, id, programme.EvaluationClosed{Evaluation: e, Complete: true}); err != nil {
			t.Fatal(err)
		}
	}
	old := add("Old")
	evaluate(old, true)
	b.Clock.Advance(310 * 24 * time.Hour)
	waiver(old)
	add("Nowaiver")
	waits := add("Waits")
	waiver(waits)
	begun := add("Begun")
	waiver(begun)
	evaluate(begun, false)
	free := add("Free")
	waiver(free)
	evaluate(free, true)
	held := add("Held")
	if _, err := b.Cases.RecordFindings(ctx, lead, held, []programme.NewFinding{{Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "hip_pain", Side: "none", State: "both"}, Value: "yes"}}}); err != nil {
		t.Fatal(err)
	}
	c := b.Client(cookie).Get("/students").Is(http.StatusOK).Says("6 students. 1 held, 4 waiting for something.")
	rows := map[string]string{}
	for i := range c.Doc.Find(".students li").Nodes {
		row := webtest.Spoken(c.Doc.Find(".students li").Eq(i))
		rows[strings.Fields(row)[0]] = row
	}
	for name, want := range map[string][]string{
		"Old": {"Evaluation is old", "Evaluate again"}, "Nowaiver": {"Waiver missing", "Record the waiver"}, "Waits": {"Evaluation waits", "Begin the evaluation"},
		"Begun": {"Evaluation under way", "Go on with the evaluation"}, "Free": {"No hold", "Ask today's questions"}, "Held": {"Held", "hip at risk", "See what clears it"},
	} {
		for _, w := range want {
			if !strings.Contains(rows[name], w) {
				t.Errorf("%s: %q does not say %q", name, rows[name], w)
			}
		}
	}
}

// TestNewStudent: what is wrong stands at its field, and an ended student
// leaves the list but not the record.
func TestNewStudent(t *testing.T) {
	b := webtest.New(t)
	_, cookie := b.Staff("Ines", programme.Lead)
	c := b.Client(cookie).Get("/students/new")
	c.Press("Save and go on", map[string]string{"birth_date": "2999-01-01", "name_used": "Orla"}).Is(http.StatusUnprocessableEntity).
		Says("Say whether the student's own signature binds.")
	c.Press("Save and go on", map[string]string{"binds_self": "unknown"}).Is(http.StatusUnprocessableEntity)
	if to := c.Doc.Find("#problems a").AttrOr("href", ""); to != "#birth_date" {
		t.Errorf("the problem leads to %s: %s", to, c.Main())
	}
	c.Press("Save and go on", map[string]string{"birth_date": "", "age_years": "34"}).Is(http.StatusOK).Says("Saved: the student's details.")
	c.Link("Details").Press("Save the details", map[string]string{"ended": "yes"}).Is(http.StatusOK)
	c.Get("/students").SaysNot("Orla")
	c.Link("Show those").Says("Orla", "no longer with the programme", "34 years")
}
