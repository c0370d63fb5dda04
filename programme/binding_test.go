package programme_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"firnhand/core/binding"
	"firnhand/core/source"
	"firnhand/programme"
)

// A request, and what the technician records.
func TestBindingRequest(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	id := r.ask(s)
	b, _ := r.at(s).Binding()
	if b.ID != id || b.Status != programme.BindingWaits || b.Record != nil || b.Usable() || *b.Sheet.MassKG != 60 || *b.Sheet.AgeYears != 34 || b.Sheet.AskedBy != instructor.Name {
		t.Fatalf("the request is %+v", b)
	}
	if !strings.Contains(b.Why, "There is no setting before one recorded it") {
		t.Errorf("it says %q", b.Why)
	}
	waiting, err := r.WaitingBindings(ctx, technician)
	if err != nil || len(waiting) != 1 || waiting[0].Request != id || waiting[0].NameUsed != "Tamsin" || waiting[0].Asked.By != instructor.Staff {
		t.Fatalf("waiting %+v, %v", waiting, err)
	}
	r.ok(r.RecordBindingTest(ctx, technician, r.made(), s, tested(id)))
	b, _ = r.at(s).Binding()
	if b.Status != programme.BindingInUse || !b.Usable() || b.Record.Verdict.Row != "J" || b.Record.Verdict.Word != binding.Accepted || b.Record.By != technician.Staff {
		t.Fatalf("recorded: %s (%s), %+v", b.Status, b.Why, b.Record)
	}
	if waiting, err := r.WaitingBindings(ctx, technician); err != nil || len(waiting) != 0 {
		t.Errorf("still waiting: %+v, %v", waiting, err)
	}
	n := r.count()
	_, err = r.Retract(ctx, lead, r.made(), s, id, programme.Retraction{Reason: "wrong"})
	r.refused(n, err, programme.CodeConflict, "A technician answered this request")
	_, err = r.Retract(ctx, lead, r.made(), s, b.Record.Fact, programme.Retraction{Reason: "wrong"})
	r.refused(n, err, programme.CodeNotAllowed, "Only a binding technician records")

	// The technician's date passes.
	r.days(400)
	if b, _ := r.at(s).Binding(); b.Status != programme.BindingLapsed || b.Usable() {
		t.Errorf("after the date: %s", b.Status)
	}
	// A later request stands in its place.
	again := r.ask(s)
	rec := r.at(s)
	if b, _ := rec.Binding(); b.ID != again || b.Status != programme.BindingWaits || rec.Bindings[0].Status != programme.BindingReplaced {
		t.Errorf("asked again: %s, the first is %s", b.Status, rec.Bindings[0].Status)
	}
	n = r.count()
	_, err = r.RecordBindingTest(ctx, technician, r.made(), s, tested(id))
	r.refused(n, err, programme.CodeConflict, "A later request")
}

// The verdict is kept with the record, and decides whether it is in use.
func TestBindingVerdicts(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*programme.BindingRecord)
		word   binding.Word
		status programme.BindingStatus
	}{
		{"as printed", func(*programme.BindingRecord) {}, "accepted", "in_use"},
		{"two rows off in twist", func(b *programme.BindingRecord) { b.Right.TwistNM = []float64{55, 55, 55} }, "readjust", "readjust"},
		{"far off", func(b *programme.BindingRecord) { b.Left.LeanNM = []float64{300, 300, 300} }, "inspect", "no_use"},
		{"without tests", func(b *programme.BindingRecord) { b.Left.LeanNM = nil }, "incomplete", "no_use"},
		{"the technician reads a shorter sole, where nothing is printed", func(b *programme.BindingRecord) { b.Left.SoleMM, b.Right.SoleMM = 240, 240 }, "refer", "on_word"},
	} {
		r := newRig(t)
		s := r.measured()
		rec := tested(r.ask(s))
		c.change(&rec)
		r.ok(r.RecordBindingTest(ctx, technician, r.made(), s, rec))
		b, _ := r.at(s).Binding()
		if b.Record.Verdict.Word != c.word || b.Status != c.status {
			t.Errorf("%s: %s and %s, want %s and %s", c.name, b.Record.Verdict.Word, b.Status, c.word, c.status)
		}
	}
}

func TestGearRefusals(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	sheet := r.propose(s)
	request := r.ask(s)
	bare := r.student()
	r.find(bare, "mass_kg", "none", "both", "60")
	bareAsk := r.ok(r.AskBinding(ctx, lead, r.made(), bare, programme.BindingGear{}))
	n := r.count()
	try := func(err error, code programme.Code, words string) { t.Helper(); r.refused(n, err, code, words) }
	prop := func(change func(*programme.SetUpProposal)) error {
		p := proposal()
		change(&p)
		_, err := r.ProposeSetUp(ctx, lead, r.made(), s, p)
		return err
	}
	try(prop(func(p *programme.SetUpProposal) { p.Items = nil }), programme.CodeInvalid, "at least one line")
	try(prop(func(p *programme.SetUpProposal) { p.UpTo = 0 }), programme.CodeInvalid, "from which facts")
	try(prop(func(p *programme.SetUpProposal) { p.UpTo = 9999 }), programme.CodeInvalid, "the last one is")
	try(prop(func(p *programme.SetUpProposal) { p.Items[1].Side = "left" }), programme.CodeInvalid, "stands twice")
	try(prop(func(p *programme.SetUpProposal) { p.Items[0].High = num(77) }), programme.CodeInvalid, "outside its own tolerance")
	try(prop(func(p *programme.SetUpProposal) { p.Items[0].Low = nil }), programme.CodeInvalid, "half a tolerance")
	try(prop(func(p *programme.SetUpProposal) { p.Items[0].Hole = 6 }), programme.CodeInvalid, "a hole that is not there")
	try(prop(func(p *programme.SetUpProposal) { p.Items[2].Value = num(1) }), programme.CodeInvalid, "a number but no unit")
	try(prop(func(p *programme.SetUpProposal) { p.Items[0].Side = "both" }), programme.CodeInvalid, "A side is none, left or right")

	meas := func(change func(*programme.SetUpMeasures)) error {
		v := measures(sheet)
		change(&v)
		_, err := r.MeasureSetUp(ctx, lead, r.made(), s, v)
		return err
	}
	try(meas(func(v *programme.SetUpMeasures) { v.Values = nil }), programme.CodeInvalid, "nothing to record")
	try(meas(func(v *programme.SetUpMeasures) { v.SetUp = request }), programme.CodeNotFound, "no such set-up sheet")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[0].Item = "saddle" }), programme.CodeNotFound, "no line saddle")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[0].Value = nil }), programme.CodeInvalid, "is a number in cm")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[0].Value = num(-4) }), programme.CodeInvalid, "cannot be below 0")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[0].Hole = 6 }), programme.CodeInvalid, "has 5 holes")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[0].Words = "long" }), programme.CodeInvalid, "put words into the note")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[2].Words = "" }), programme.CodeInvalid, "What was chosen for Tip tie")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[2].Value = num(3) }), programme.CodeInvalid, "is said in words")
	try(meas(func(v *programme.SetUpMeasures) { v.Values[1].Side = "left" }), programme.CodeInvalid, "given twice")
	_, err := r.RecordGearChange(ctx, lead, r.made(), s, programme.GearChange{What: "hat"})
	try(err, programme.CodeInvalid, "one of the listed things")
	_, err = r.RecordGearChange(ctx, lead, r.made(), s, programme.GearChange{What: "other"})
	try(err, programme.CodeInvalid, "The note is missing")

	ask := func(change func(*programme.BindingGear)) error {
		g := bindingGear()
		change(&g)
		_, err := r.AskBinding(ctx, lead, r.made(), s, g)
		return err
	}
	try(ask(func(g *programme.BindingGear) { g.Type = "9" }), programme.CodeInvalid, "A skier type is 1, 2, 3, -1 or 3+")
	try(ask(func(g *programme.BindingGear) { g.Left.SoleMM = 305.5 }), programme.CodeInvalid, "whole number of millimetres")
	try(ask(func(g *programme.BindingGear) { g.Right.Standard = "iso_1" }), programme.CodeInvalid, "A sole is iso_5355_a")
	try(ask(func(g *programme.BindingGear) { g.Right.PlateMM = 5 }), programme.CodeInvalid, "a height but no plate on the right")
	try(ask(func(g *programme.BindingGear) { g.LastTest = date("2027-02-01") }), programme.CodeInvalid, "in the future")

	rec := func(change func(*programme.BindingRecord)) error {
		b := tested(request)
		change(&b)
		_, err := r.RecordBindingTest(ctx, technician, r.made(), s, b)
		return err
	}
	try(rec(func(b *programme.BindingRecord) { b.Technician = "" }), programme.CodeInvalid, "The technician's name is missing")
	try(rec(func(b *programme.BindingRecord) { b.Instrument = " " }), programme.CodeInvalid, "The instrument is missing")
	try(rec(func(b *programme.BindingRecord) { b.TestedOn = programme.Date{} }), programme.CodeInvalid, "The day of the test is missing")
	try(rec(func(b *programme.BindingRecord) { b.TestedOn = date("2027-01-15") }), programme.CodeInvalid, "in the future")
	try(rec(func(b *programme.BindingRecord) { b.ValidUntil = programme.Date{} }), programme.CodeInvalid, "Until when it is valid is missing")
	try(rec(func(b *programme.BindingRecord) { b.ValidUntil = date("2027-01-13") }), programme.CodeInvalid, "before the test")
	try(rec(func(b *programme.BindingRecord) { b.ValidUntil = date("2030-01-13") }), programme.CodeInvalid, "at most 2 years")
	try(rec(func(b *programme.BindingRecord) { b.Signed = false }), programme.CodeInvalid, "The technician signs")
	try(rec(func(b *programme.BindingRecord) { b.Right.Heel = 0 }), programme.CodeInvalid, "right heel is missing")
	try(rec(func(b *programme.BindingRecord) { b.Left.TwistNM = b.Left.TwistNM[:2] }), programme.CodeInvalid, "the median of three counts")
	try(rec(func(b *programme.BindingRecord) { b.Request = sheet }), programme.CodeNotFound, "no such request")
	_, err = r.RecordBindingTest(ctx, technician, r.made(), bare, tested(bareAsk))
	try(err, programme.CodeInvalid, "The request lacks what a record is compared with: height, sole length of the left boot")

	r.ok(r.RecordGearChange(ctx, lead, r.made(), s, programme.GearChange{What: "boots"}))
	n = r.count()
	try(rec(func(*programme.BindingRecord) {}), programme.CodeConflict, "Ask again before anything is recorded")
}

// Who reads set-ups and requests. The technician sees the request and nothing
// else of the student's work; the medical reviewer sees no bindings.
func TestGearReading(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	r.signedSheet(s)
	r.ask(s)
	for i, a := range everybody {
		rec, err := r.StudentAt(ctx, a, s, programme.AsOf{})
		if err != nil {
			t.Fatal(err)
		}
		role := rune("ilsetm"[i])
		if got := len(rec.SetUps) > 0; got != strings.ContainsRune("ilem", role) {
			t.Errorf("%s sees the set-up: %v", a.Name, got)
		}
		if got := len(rec.Bindings) > 0; got != strings.ContainsRune("ilet", role) {
			t.Errorf("%s sees the binding: %v", a.Name, got)
		}
		_, err = r.WaitingBindings(ctx, a)
		if may := strings.ContainsRune("ilet", role); (err == nil) != may {
			t.Errorf("%s lists the requests: %v", a.Name, err)
		}
	}
}

// Before a technician recorded one, no setting is anywhere in the record:
// whoever reads it, as of whatever moment, as JSON. The values of one maker's
// table for this skier are looked for by number.
func TestNoSettingBeforeARecord(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	r.find(s, "boot_sole_mm", "none", "both", "305")
	p := proposal()
	p.Items = p.Items[2:] // no numbers of its own
	r.ok(r.ProposeSetUp(ctx, instructor, r.made(), s, p))
	request := r.ask(s)
	settings := []string{"4.5", "4.50", "43", "165"}
	row := source.Table("binding_table").Where("code", "J").Rows()[0]
	if row.Text("z_bsl_mm_291_310") != settings[1] || row.Text("twist_nm") != settings[2] || row.Text("forward_lean_nm") != settings[3] {
		t.Fatal("the table's row for this skier is another one")
	}
	in := map[string]bool{"165": true} // the height
	shows := func(a programme.Actor, at programme.AsOf) []string {
		rec, err := r.StudentAt(ctx, a, s, at)
		if err != nil {
			t.Fatal(err)
		}
		rec.Student, rec.Log = "", nil
		for i := range rec.Bindings {
			rec.Bindings[i].Provenance, rec.Bindings[i].ID = programme.Provenance{}, ""
			if rec.Bindings[i].Record != nil {
				rec.Bindings[i].Record.Provenance = programme.Provenance{}
			}
		}
		b, err := json.Marshal(rec.Bindings)
		b2, err2 := json.Marshal(rec.SetUps)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		text := string(b)
		if len(rec.SetUps) > 0 {
			text += strings.ReplaceAll(string(b2), string(rec.SetUps[0].ID), "")
		}
		var found []string
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' }) {
			if w = strings.Trim(w, "."); slices.Contains(settings, w) && !in[w] {
				found = append(found, w)
			}
		}
		if strings.Contains(text, "row") {
			found = append(found, "row")
		}
		return found
	}
	last, err := r.store.Counts(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range everybody {
		for seq := int64(1); seq <= last.LastSeq; seq++ {
			if _, err := r.StudentAt(ctx, a, s, programme.AsOf{Seq: seq}); err != nil {
				continue // before the student was there
			}
			if found := shows(a, programme.AsOf{Seq: seq}); len(found) > 0 {
				t.Fatalf("%s at %d sees %v", a.Name, seq, found)
			}
		}
	}
	r.ok(r.RecordBindingTest(ctx, technician, r.made(), s, tested(request)))
	if found := shows(technician, programme.AsOf{}); len(found) < 3 {
		t.Errorf("after the record only %v are found: the search is blind", found)
	}
	if found := shows(technician, programme.AsOf{Seq: last.LastSeq}); len(found) != 0 {
		t.Errorf("as of before the record: %v", found)
	}
}
