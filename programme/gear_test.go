package programme_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"firnhand/core/binding"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var (
	instructor2 = actor(programme.Instructor, "0012")
	technician2 = actor(programme.Technician, "0015")
)

func num(v float64) *float64 { return &v }

// proposal is a small sheet: two numbers with sides and one line in words.
func proposal() programme.SetUpProposal {
	item := func(side string) programme.SetUpItem {
		return programme.SetUpItem{SetUpKey: programme.SetUpKey{Item: "outrigger_handle", Side: side}, Label: "Outrigger handle", Unit: "cm",
			Value: num(78), Low: num(75), High: num(81), Holes: []float64{70, 72.5, 75, 77.5, 80}, Hole: 4,
			Measure: "wrist crease to snow, in boots on skis", Wrong: []string{"shoulders up at the ears"}, Recheck: "after 20 min"}
	}
	return programme.SetUpProposal{UpTo: 1, Rules: "1", Items: []programme.SetUpItem{item("left"), item("right"),
		{SetUpKey: programme.SetUpKey{Item: "tie", Side: "none"}, Label: "Tip tie", Words: "elastic tie"}}}
}

// measures are values for the whole proposal.
func measures(sheet programme.ID) programme.SetUpMeasures {
	handle := func(side string, cm float64, hole int) programme.SetUpValue {
		return programme.SetUpValue{SetUpKey: programme.SetUpKey{Item: "outrigger_handle", Side: side}, Value: num(cm), Hole: hole}
	}
	return programme.SetUpMeasures{SetUp: sheet, Values: []programme.SetUpValue{handle("left", 77.5, 4), handle("right", 75, 3),
		{SetUpKey: programme.SetUpKey{Item: "tie", Side: "none"}, Words: "elastic tie"}}}
}

func bindingGear() programme.BindingGear {
	s := binding.Side{SoleMM: 305, Standard: binding.SoleAlpineA, Boot: "Larch 90", Binding: "Tarn 10", Ski: "Scree 150", Plate: binding.NoPlate}
	return programme.BindingGear{Left: s, Right: s, Type: binding.Type1, LastTest: date("2026-01-02")}
}

// tested is a record that fits a skier of row J with a sole of 305 mm: the
// table prints 4.50, 43 and 165 there (one maker's table, for the code only).
func tested(request programme.ID) programme.BindingRecord {
	s := programme.BindingSki{Toe: 4.5, Heel: 4.5, TwistNM: []float64{43, 44, 42}, LeanNM: []float64{165, 160, 166}}
	return programme.BindingRecord{Request: request, Left: s, Right: s, Technician: "Brannoc Iveson", Instrument: "bench 2",
		TestedOn: date("2027-01-14"), ValidUntil: date("2027-12-31"), Signed: true}
}

// measured adds a student whose mass, height and age are known.
func (r *rig) measured() programme.ID {
	s := r.student(func(d *programme.StudentDetails) { d.BirthDate = date("1992-05-02") }) // 34
	r.find(s, "mass_kg", "none", "both", "60")
	r.find(s, "height_cm", "none", "both", "165")
	return s
}

func (r *rig) propose(s programme.ID) programme.ID {
	r.t.Helper()
	return r.ok(r.ProposeSetUp(ctx, instructor, r.made(), s, proposal()))
}

// signedSheet brings a sheet to two signatures.
func (r *rig) signedSheet(s programme.ID) programme.ID {
	r.t.Helper()
	id := r.propose(s)
	r.ok(r.MeasureSetUp(ctx, instructor, r.made(), s, measures(id)))
	r.ok(r.SignSetUp(ctx, instructor, r.made(), s, programme.SetUpSignature{SetUp: id}))
	r.ok(r.SignSetUp(ctx, equipment, r.made(), s, programme.SetUpSignature{SetUp: id}))
	return id
}

// gearWrite is one writing use case of set-up and bindings.
type gearWrite struct {
	name string
	who  string // roles that may: i l s e t m
	by   programme.Actor
	prep func(r *rig, s programme.ID) programme.ID
	do   func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error)
	odd  func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error) // the same id, other content
}

// Who may do what is the trade's habit: equipment lead and instructors fit and
// sign, only the technician sets bindings (common practice, no source).
var gearWrites = []gearWrite{
	{"ProposeSetUp", "ile", instructor, (*rig).none,
		func(r *rig, a programme.Actor, m programme.Made, s, _ programme.ID) (programme.Receipt, error) {
			return r.ProposeSetUp(ctx, a, m, s, proposal())
		},
		func(r *rig, a programme.Actor, m programme.Made, s, _ programme.ID) (programme.Receipt, error) {
			p := proposal()
			p.Items[2].Words = "no tie"
			return r.ProposeSetUp(ctx, a, m, s, p)
		}},
	{"MeasureSetUp", "ile", equipment, (*rig).propose,
		func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error) {
			return r.MeasureSetUp(ctx, a, m, s, measures(on))
		},
		func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error) {
			v := measures(on)
			v.Values = v.Values[:1]
			return r.MeasureSetUp(ctx, a, m, s, v)
		}},
	{"SignSetUp", "ile", lead, func(r *rig, s programme.ID) programme.ID {
		id := r.propose(s)
		r.ok(r.MeasureSetUp(ctx, instructor, r.made(), s, measures(id)))
		return id
	}, func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error) {
		return r.SignSetUp(ctx, a, m, s, programme.SetUpSignature{SetUp: on})
	}, nil},
	{"RecordGearChange", "ile", equipment, (*rig).none,
		func(r *rig, a programme.Actor, m programme.Made, s, _ programme.ID) (programme.Receipt, error) {
			return r.RecordGearChange(ctx, a, m, s, programme.GearChange{What: "boots"})
		},
		func(r *rig, a programme.Actor, m programme.Made, s, _ programme.ID) (programme.Receipt, error) {
			return r.RecordGearChange(ctx, a, m, s, programme.GearChange{What: "skis"})
		}},
	{"AskBinding", "ile", equipment, (*rig).none,
		func(r *rig, a programme.Actor, m programme.Made, s, _ programme.ID) (programme.Receipt, error) {
			return r.AskBinding(ctx, a, m, s, bindingGear())
		},
		func(r *rig, a programme.Actor, m programme.Made, s, _ programme.ID) (programme.Receipt, error) {
			g := bindingGear()
			g.Type = binding.Type2
			return r.AskBinding(ctx, a, m, s, g)
		}},
	{"RecordBindingTest", "t", technician, (*rig).ask,
		func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error) {
			return r.RecordBindingTest(ctx, a, m, s, tested(on))
		},
		func(r *rig, a programme.Actor, m programme.Made, s, on programme.ID) (programme.Receipt, error) {
			b := tested(on)
			b.Left.Toe = 5
			return r.RecordBindingTest(ctx, a, m, s, b)
		}},
}

func (r *rig) none(programme.ID) programme.ID { return "" }

func (r *rig) ask(s programme.ID) programme.ID {
	r.t.Helper()
	return r.ok(r.AskBinding(ctx, instructor, r.made(), s, bindingGear()))
}

func TestGearRoles(t *testing.T) {
	for _, w := range gearWrites {
		for i, a := range append(everybody, programme.Actor{}) {
			r := newRig(t)
			s := r.measured()
			on := w.prep(r, s)
			n := r.count()
			_, err := w.do(r, a, r.made(), s, on)
			may := i < len(everybody) && strings.ContainsRune(w.who, rune("ilsetm"[i]))
			code := programme.CodeNotAllowed
			if a.Staff == "" {
				code = programme.CodeSignedOut
			}
			if may && err != nil {
				t.Errorf("%s by %s: %v", w.name, a.Name, err)
			}
			if !may && (programme.CodeOf(err) != code || r.count() != n) {
				t.Errorf("%s by %q: %v and %d facts written, want %s and none", w.name, a.Name, err, r.count()-n, code)
			}
		}
	}
}

// The same call again answers Exists, though the record has grown meanwhile;
// other content under the same id is refused.
func TestGearRetries(t *testing.T) {
	for _, w := range gearWrites {
		r := newRig(t)
		s := r.measured()
		on := w.prep(r, s)
		m := r.made()
		if id := r.ok(w.do(r, w.by, m, s, on)); id != m.ID {
			t.Errorf("%s used another id", w.name)
		}
		r.find(s, "mass_kg", "none", "both", "61")
		n := r.count()
		r.clock.Advance(time.Hour)
		got, err := w.do(r, w.by, m, s, on)
		if err != nil || got.Outcome != programme.Exists || got.ID != m.ID || r.count() != n {
			t.Errorf("%s again: %+v, %v, %d new facts", w.name, got, err, r.count()-n)
		}
		other := instructor2
		if w.name == "RecordBindingTest" {
			other = technician2
		}
		_, err = w.do(r, other, m, s, on)
		r.refused(n, err, programme.CodeIDTaken, "was used before for something else. Nothing was saved.")
		if w.odd != nil {
			_, err = w.odd(r, w.by, m, s, on)
			r.refused(n, err, programme.CodeIDTaken, "was used before for something else. Nothing was saved.")
		}
		_, err = w.do(r, w.by, programme.Made{ID: "not-an-id"}, s, on)
		r.refused(n, err, programme.CodeInvalid, `"not-an-id" is not an id`)
	}
}

// Each store call of each use case fails in turn; the error comes through,
// nothing is written, and the next try works.
func TestGearEveryCallFails(t *testing.T) {
	sites := 0
	for _, w := range gearWrites {
		for n := 1; ; n++ {
			store := &failing{Store: programmetest.NewMemory()}
			r := rigOn(t, store)
			s := r.measured()
			on := w.prep(r, s)
			before, m := r.count(), r.made()
			store.left = n
			got, err := w.do(r, w.by, m, s, on)
			if store.left > 0 {
				if err != nil {
					t.Errorf("%s: %v", w.name, err)
				}
				break
			}
			sites++
			store.left = 0
			r.refused(before, err, programme.CodeDiskFull, "The disk is full.")
			if got.ID != "" {
				t.Errorf("%s gave a receipt with the error: %+v", w.name, got)
			}
			r.ok(w.do(r, w.by, m, s, on))
		}
	}
	if sites < 3*len(gearWrites) {
		t.Errorf("only %d failing calls were tried", sites)
	}
}

// A sheet from the proposal to the second signature, with what is refused on
// the way.
func TestSetUpSheet(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	start := r.clock.Now()
	r.clock.Advance(time.Hour)
	id := r.propose(s)
	status := func(want programme.SetUpStatus, why string) programme.SetUpState {
		t.Helper()
		got, ok := r.at(s).LatestSetUp()
		if !ok || got.Status != want || !strings.Contains(got.Why, why) {
			t.Fatalf("the sheet is %s (%s), want %s and %q", got.Status, got.Why, want, why)
		}
		return got
	}
	status(programme.SetUpDraft, "Not everything is measured")
	n := r.count()
	_, err := r.SignSetUp(ctx, instructor, r.made(), s, programme.SetUpSignature{SetUp: id})
	r.refused(n, err, programme.CodeConflict, "Not everything on the sheet is measured")

	part := measures(id)
	part.Values = part.Values[:1]
	r.ok(r.MeasureSetUp(ctx, equipment, r.made(), s, part))
	got := status(programme.SetUpDraft, "Not everything")
	it, m, ok := got.Item("outrigger_handle", "left")
	if !ok || !m.Done || *m.Value != 77.5 || m.Hole != 4 || m.By != equipment.Staff || *it.Value != 78 || it.Outside(m.SetUpValue) {
		t.Fatalf("left handle %+v for %+v", m, it)
	}
	if _, m, _ := got.Item("outrigger_handle", "right"); m.Done {
		t.Fatal("the right side counts as measured")
	}
	rest := measures(id)
	rest.Values = rest.Values[1:]
	rest.Values[0].Value = num(82) // outside the tolerance: allowed, and told
	r.ok(r.MeasureSetUp(ctx, instructor, r.made(), s, rest))
	got = status(programme.SetUpMeasured, "two people sign")
	if it, m, _ := got.Item("outrigger_handle", "right"); !it.Outside(m.SetUpValue) || m.By != instructor.Staff {
		t.Fatal("82 cm does not lie outside 75 to 81 cm")
	}
	if _, ok := r.at(s).SetUp(); ok {
		t.Fatal("an unsigned sheet is in force")
	}

	r.ok(r.SignSetUp(ctx, instructor, r.made(), s, programme.SetUpSignature{SetUp: id}))
	status(programme.SetUpMeasured, "a second person signs")
	n = r.count()
	_, err = r.SignSetUp(ctx, instructor, r.made(), s, programme.SetUpSignature{SetUp: id})
	r.refused(n, err, programme.CodeConflict, "You signed this version already. A second person signs it too.")
	// A value measured after a signature ends it.
	r.ok(r.MeasureSetUp(ctx, instructor, r.made(), s, part))
	if got := status(programme.SetUpMeasured, "two people sign"); len(got.Signatures) != 0 {
		t.Fatalf("%d signatures outlived a measurement", len(got.Signatures))
	}
	r.ok(r.SignSetUp(ctx, instructor, r.made(), s, programme.SetUpSignature{SetUp: id}))
	r.ok(r.SignSetUp(ctx, lead, r.made(), s, programme.SetUpSignature{SetUp: id}))
	status(programme.SetUpSigned, "Signed by two people on 2027-01-14.")
	if got, ok := r.at(s).SetUp(); !ok || got.ID != id || got.Signatures[0].By != instructor.Staff || got.Signatures[1].By != lead.Staff {
		t.Fatalf("in force: %+v", got)
	}
	n = r.count()
	_, err = r.SignSetUp(ctx, equipment, r.made(), s, programme.SetUpSignature{SetUp: id})
	r.refused(n, err, programme.CodeConflict, "signed by two people already")
	_, err = r.MeasureSetUp(ctx, equipment, r.made(), s, part)
	r.refused(n, err, programme.CodeConflict, "Propose a new one to change it")
	_, err = r.Retract(ctx, lead, r.made(), s, id, programme.Retraction{Reason: "wrong"})
	r.refused(n, err, programme.CodeConflict, "replaced by a new version, not retracted")

	// A later version leaves this one in force until it is signed itself.
	next := r.propose(s)
	if got, ok := r.at(s).SetUp(); !ok || got.ID != id {
		t.Fatal("a proposal ended what two people signed")
	}
	n = r.count()
	_, err = r.MeasureSetUp(ctx, equipment, r.made(), s, part)
	r.refused(n, err, programme.CodeConflict, "A later version")
	r.ok(r.MeasureSetUp(ctx, equipment, r.made(), s, measures(next)))
	r.ok(r.SignSetUp(ctx, equipment, r.made(), s, programme.SetUpSignature{SetUp: next}))
	r.ok(r.SignSetUp(ctx, instructor2, r.made(), s, programme.SetUpSignature{SetUp: next}))
	rec := r.at(s)
	if got, ok := rec.SetUp(); !ok || got.ID != next || got.Version != 2 || rec.SetUps[0].Status != programme.SetUpReplaced {
		t.Fatalf("in force: version %d, the first is %s", got.Version, rec.SetUps[0].Status)
	}
	// And as of an earlier moment nothing of it is there.
	if old := r.at(s, programme.AsOf{Time: start}); len(old.SetUps) != 0 {
		t.Fatalf("%d sheets before the first was proposed", len(old.SetUps))
	}
}

// What makes a signed set-up void is the trade's list: growth over the
// setting, a new brace, a plate, anything of gate G13, new boots, soles or
// weight class (proposed numbers; common practice, no source).
func TestWhatVoidsASetUp(t *testing.T) {
	find := func(id, side, value string) func(*rig, programme.ID) {
		return func(r *rig, s programme.ID) { r.find(s, id, side, "both", value) }
	}
	change := func(what string) func(*rig, programme.ID) {
		return func(r *rig, s programme.ID) {
			r.ok(r.RecordGearChange(ctx, equipment, r.made(), s, programme.GearChange{What: what, Side: "left", Note: "as seen"}))
		}
	}
	for _, c := range []struct {
		name string
		do   func(*rig, programme.ID)
		code string // "" where it stays
		also bool   // the binding's setting is void too
	}{
		{"grew 3 cm", find("growth_cm", "none", "3"), "", false},
		{"grew 3.5 cm", find("growth_cm", "none", "3.5"), "growth", false},
		{"measured 168 cm", find("height_cm", "none", "168"), "", false},
		{"measured 168.5 cm", find("height_cm", "none", "168.5"), "growth", false},
		{"shorter", find("height_cm", "none", "160"), "", false},
		{"no new brace", find("new_brace", "none", "no"), "", false},
		{"new brace", find("new_brace", "none", "yes"), "brace", false},
		{"the same brace", find("brace", "left", "none"), "", false},
		{"another brace", find("brace", "left", "ankle"), "brace", false},
		{"another leg", find("leg", "right", "below_knee"), "leg", false},
		{"pump", find("pump_change", "none", "yes"), "g13", false},
		{"injections long ago", find("botulinum_months", "none", "9"), "", false},
		{"injections now", find("botulinum_months", "none", "0"), "g13", false},
		{"the same leg length", find("leg_short_mm", "left", "5"), "", false},
		{"another leg length", find("leg_short_mm", "left", "24"), "leg_length", false},
		{"the same sole", find("boot_sole_mm", "none", "305"), "", false},
		{"another sole", find("boot_sole_mm", "none", "315"), "soles", true},
		{"2 kg more in the class", find("mass_kg", "none", "62"), "", false},
		{"another weight class", find("mass_kg", "none", "68"), "weight", true},
		{"something else was found", find("trunk", "none", "2"), "", false},
		{"boots", change("boots"), "boots", true},
		{"soles", change("soles"), "soles", true},
		{"plate", change("plate"), "plate", true},
		{"binding", change("binding"), "binding", true},
		{"skis", change("skis"), "skis", true},
		{"brace changed", change("brace"), "brace", false},
		{"outriggers", change("hand_aid"), "hand_aid", false},
		{"other", change("other"), "other", false},
	} {
		r := newRig(t)
		s := r.measured()
		for id, v := range map[string]string{"boot_sole_mm none": "305", "leg_short_mm left": "5", "brace left": "none", "leg right": "whole", "botulinum_months none": "na", "pump_change none": "no"} {
			f, side, _ := strings.Cut(id, " ")
			r.find(s, f, side, "both", v)
		}
		id := r.signedSheet(s)
		request := r.ask(s)
		r.ok(r.RecordBindingTest(ctx, technician, r.made(), s, tested(request)))
		signed := r.clock.Now()
		r.days(40)
		c.do(r, s)
		rec := r.at(s)
		got, _ := rec.SetUpByID(id)
		b, _ := rec.Binding()
		if (c.code != "") != (got.Status == programme.SetUpVoid) {
			t.Errorf("%s: the set-up is %s: %s", c.name, got.Status, got.Why)
			continue
		}
		if c.also != (b.Status == programme.BindingVoid) {
			t.Errorf("%s: the binding is %s: %s", c.name, b.Status, b.Why)
		}
		if c.code == "" {
			continue
		}
		if got.Void[0].Code != c.code || !strings.HasSuffix(got.Why, "Measure and sign anew.") || !strings.Contains(got.Why, "2027-02-23") {
			t.Errorf("%s: %s because %s: %q", c.name, got.Status, got.Void[0].Code, got.Why)
		}
		if _, ok := rec.SetUp(); ok {
			t.Errorf("%s: the void set-up is in force", c.name)
		}
		n := r.count()
		_, err := r.MeasureSetUp(ctx, instructor, r.made(), s, measures(id))
		r.refused(n, err, programme.CodeConflict, "This version is void.")
		_, err = r.SignSetUp(ctx, lead, r.made(), s, programme.SetUpSignature{SetUp: id})
		r.refused(n, err, programme.CodeConflict, "This version is void.")
		// Before the change it stood, and it still says so.
		if old, ok := r.at(s, programme.AsOf{Time: signed}).SetUp(); !ok || old.ID != id {
			t.Errorf("%s: the record of that day changed", c.name)
		}
		// Measured and signed anew it is in force again.
		next := r.signedSheet(s)
		if now, ok := r.at(s).SetUp(); !ok || now.ID != next || now.Version != 2 {
			t.Errorf("%s: version %d is in force after a new one was signed", c.name, now.Version)
		}
	}
}

// Growth adds up over evaluations; a correction of what the set-up was
// measured by makes it void; a retracted change no longer does.
func TestVoidFromTheRecord(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	id := r.signedSheet(s)
	for range 2 {
		e := r.ok(r.BeginEvaluation(ctx, lead, r.made(), s, programme.EvaluationBegun{Reason: "recheck"}))
		g := f("growth_cm", "none", "both", "2")
		g.Evaluation = e
		if _, err := r.RecordFindings(ctx, lead, s, []programme.NewFinding{{Made: r.made(), Finding: g}}); err != nil {
			t.Fatal(err)
		}
		r.ok(r.CloseEvaluation(ctx, lead, r.made(), s, programme.EvaluationClosed{Evaluation: e, Complete: true}))
	}
	got, _ := r.at(s).SetUpByID(id)
	if got.Status != programme.SetUpVoid || !strings.Contains(got.Why, "Grew 4 cm") {
		t.Errorf("2 cm and 2 cm more: %s, %s", got.Status, got.Why)
	}

	r = newRig(t)
	s = r.measured()
	mass := r.find(s, "mass_kg", "none", "both", "60")
	id = r.signedSheet(s)
	r.ok(r.CorrectFinding(ctx, instructor, r.made(), s, mass, f("mass_kg", "none", "both", "80")))
	if got, _ := r.at(s).SetUpByID(id); got.Status != programme.SetUpVoid {
		t.Errorf("a mass corrected from 60 to 80 kg leaves the set-up %s", got.Status)
	}

	r.find(s, "new_brace", "none", "both", "yes")
	id = r.signedSheet(s)
	later := r.find(s, "new_brace", "none", "both", "yes")
	if got, _ := r.at(s).SetUpByID(id); got.Status != programme.SetUpVoid {
		t.Errorf("a second new brace leaves the set-up %s", got.Status)
	}
	r.ok(r.Retract(ctx, instructor, r.made(), s, later, programme.Retraction{Reason: "same brace"}))
	if got, _ := r.at(s).SetUpByID(id); got.Status != programme.SetUpSigned {
		t.Errorf("taken back, but the set-up is %s: %s", got.Status, got.Why)
	}
	c := r.ok(r.RecordGearChange(ctx, equipment, r.made(), s, programme.GearChange{What: "boots"}))
	r.ok(r.Retract(ctx, equipment, r.made(), s, c, programme.Retraction{Reason: "another student's"}))
	if got, _ := r.at(s).SetUpByID(id); got.Status != programme.SetUpSigned {
		t.Errorf("a change taken back leaves the set-up %s", got.Status)
	}
}

// The setting for growth is the programme's own once it is signed off.
func TestGrowthIsASetting(t *testing.T) {
	r := newRig(t)
	s := r.measured()
	id := r.signedSheet(s)
	r.find(s, "growth_cm", "none", "both", "2")
	if got, _ := r.at(s).SetUpByID(id); got.Status != programme.SetUpSigned {
		t.Fatalf("2 cm: %s", got.Status)
	}
	r.ok(r.PutSetting(ctx, lead, r.made(), programme.Setting{Name: "growth_cm", Value: "1.5", SignedBy: "Lead", SignedOn: date("2027-01-14")}))
	if got, _ := r.at(s).SetUpByID(id); got.Status != programme.SetUpVoid {
		t.Fatalf("2 cm over 1.5 cm: %s", got.Status)
	}
}

// Whatever happens, in whatever order: a set-up in force is complete, was
// signed by two different people after its last measurement, is the newest
// signed one, and nothing that voids it came later. A void version never
// comes back without something being taken back.
func TestSetUpProperties(t *testing.T) {
	rnd := rand.New(rand.NewPCG(41, 43))
	people := []programme.Actor{instructor, instructor2, equipment, lead}
	inForce, voids := 0, 0
	for range 25 {
		r := newRig(t)
		s := r.measured()
		void := map[programme.ID]bool{}
		for range 40 {
			a := people[rnd.IntN(len(people))]
			latest, some := r.at(s).LatestSetUp()
			switch n := rnd.IntN(12); {
			case !some || n == 0:
				_, _ = r.ProposeSetUp(ctx, a, r.made(), s, proposal())
			case n < 4:
				v := measures(latest.ID)
				if n == 1 {
					v.Values = v.Values[rnd.IntN(3):]
				}
				_, _ = r.MeasureSetUp(ctx, a, r.made(), s, v)
			case n < 10:
				_, _ = r.SignSetUp(ctx, a, r.made(), s, programme.SetUpSignature{SetUp: latest.ID})
			case n == 10:
				r.find(s, "mass_kg", "none", "both", fmt.Sprint(50+rnd.IntN(40)))
			default:
				_, _ = r.RecordGearChange(ctx, a, r.made(), s, programme.GearChange{What: "boots"})
			}
			rec := r.at(s)
			signed := 0
			for i, one := range rec.SetUps {
				if one.Version != i+1 {
					t.Fatalf("version %d stands at place %d", one.Version, i+1)
				}
				if void[one.ID] && one.Status != programme.SetUpVoid && one.Status != programme.SetUpReplaced {
					t.Fatalf("version %d came back as %s", one.Version, one.Status)
				}
				void[one.ID] = void[one.ID] || one.Status == programme.SetUpVoid
				if one.Status != programme.SetUpSigned {
					continue
				}
				signed++
				inForce++
				if !one.Complete() || len(one.Signatures) != 2 || one.Signatures[0].By == one.Signatures[1].By || len(one.Void) != 0 {
					t.Fatalf("in force: %+v", one)
				}
				for _, m := range one.Measured {
					if m.Seq > one.Signatures[0].Seq {
						t.Fatal("measured after it was signed")
					}
				}
			}
			if signed > 1 {
				t.Fatalf("%d set-ups are in force", signed)
			}
		}
		voids += len(void)
	}
	if inForce < 50 || voids < 20 {
		t.Errorf("only %d moments with a set-up in force and %d versions", inForce, voids)
	}
}
