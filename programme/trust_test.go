package programme_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// hire makes the people of the tests known as staff.
func (r *rig) hire() {
	r.t.Helper()
	for _, a := range append([]programme.Actor{lead}, everybody...) {
		d := programme.StaffDetails{Staff: a.Staff, NameUsed: a.Name, Roles: a.Roles}
		if has, _ := r.HasLead(ctx); !has {
			if _, err := r.FirstLead(ctx, r.made(), d); err != nil {
				r.t.Fatal(err)
			}
		}
		if _, err := r.PutStaff(ctx, lead, r.made(), d); err != nil {
			r.t.Fatal(err)
		}
	}
}

// TestAssigned: medical details are open to the lead, the medical reviewer and
// those assigned to this student, as long as the assignment lasts; each opening
// is in the log; nobody else reads them, and an assignment widens nothing else.
func TestAssigned(t *testing.T) {
	r := newRig(t)
	r.hire()
	s, other := r.student(), r.student()
	for _, one := range []programme.ID{s, other} {
		r.ok(r.AddNote(ctx, medical, r.made(), one, programme.Note{Class: programme.NoteMedical, Text: "MEDICALNOTE"}))
		r.ok(r.RaiseHold(ctx, lead, r.made(), one, programme.Hold{Reason: "HANDREASON"}))
	}
	reads := func(a programme.Actor, one programme.ID) bool {
		t.Helper()
		before, _ := r.Readings(ctx, lead, one, 0)
		rec, err := r.StudentAt(ctx, a, one, programme.AsOf{})
		if err != nil {
			t.Fatal(err)
		}
		all := fmt.Sprintf("%+v", rec)
		note, reason := strings.Contains(all, "MEDICALNOTE"), strings.Contains(all, "HANDREASON")
		after, _ := r.Readings(ctx, lead, one, 0)
		if note != reason || note != (len(after) == len(before)+1) || note == slices.Contains(rec.Hidden, programme.ReadMedical) {
			t.Errorf("%s: note %v, reason %v, %d openings more, hidden %v", a.Name, note, reason, len(after)-len(before), rec.Hidden)
		}
		return note
	}
	if reads(instructor, s) || reads(scheduler, s) || !reads(lead, s) || !reads(medical, s) {
		t.Error("before anybody is assigned")
	}
	r.ok(r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: instructor.Staff, Until: date("2027-01-16"), Why: "teaches this week"}))
	r.ok(r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: scheduler.Staff, Until: date("2027-01-16"), Why: "by mistake"}))
	if !reads(instructor, s) || reads(instructor, other) || reads(equipment, s) {
		t.Error("assigned")
	}
	if reads(scheduler, s) {
		t.Error("an assignment opened medical details to a role that reads no findings")
	}
	rec, err := r.StudentAt(ctx, instructor, s, programme.AsOf{})
	if err != nil || len(rec.Assigned) != 0 {
		t.Errorf("who is assigned is the lead's to see: %+v, %v", rec.Assigned, err)
	}
	if got := r.at(s).Assigned; len(got) != 2 || !got[0].Holds {
		t.Errorf("the lead sees %+v", got)
	}
	r.days(2) // the last day
	if !reads(instructor, s) {
		t.Error("on the last day")
	}
	r.days(1)
	if reads(instructor, s) {
		t.Error("after the last day")
	}
	r.ok(r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: instructor.Staff, Until: date("2027-02-16"), Why: "again"}))
	if !reads(instructor, s) {
		t.Error("assigned again")
	}
	r.ok(r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: instructor.Staff, Ended: true}))
	if reads(instructor, s) {
		t.Error("after it was ended")
	}
	n := r.count()
	_, err = r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: instructor.Staff, Until: date("2027-01-16"), Why: "x"})
	r.refused(n, err, programme.CodeInvalid, "it may not be past")
	_, err = r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: instructor.Staff, Until: date("2028-01-16"), Why: "x"})
	r.refused(n, err, programme.CodeInvalid, "at most 180 days")
	_, err = r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: instructor.Staff, Until: date("2027-02-16")})
	r.refused(n, err, programme.CodeInvalid, "reason")
	_, err = r.Assign(ctx, lead, r.made(), s, programme.Assignment{Staff: r.ids.Next(), Until: date("2027-02-16"), Why: "x"})
	r.refused(n, err, programme.CodeNotFound, "no such staff member")
}

// TestRetention: the rule by worked dates. Nothing is destroyed by a rule: the
// lead is shown what is due, and what the waiver has against it.
func TestRetention(t *testing.T) {
	r := newRig(t) // 14 January 2027
	consent := func(s programme.ID, paper bool, by programme.Signature) {
		r.ok(r.RecordConsent(ctx, lead, r.made(), s, programme.Consent{Consent: programme.ConsentWaiver, Answer: programme.ConsentGiven, Wording: "2026-10",
			SignedOn: date("2027-01-14"), OnPaper: paper, SignedBy: []programme.Signature{by}}))
	}
	none := r.student()
	signed := r.student()
	consent(signed, false, programme.Signature{Student: true})
	paper := r.student()
	consent(paper, true, programme.Signature{Student: true})
	child := r.student(func(d *programme.StudentDetails) { d.BirthDate, d.BindsSelf = date("2017-05-04"), programme.BindsNo })
	consent(child, false, programme.Signature{Guardian: r.guardian(child).Guardian})
	lines := func() map[programme.ID]programme.RetentionLine {
		t.Helper()
		got, err := r.Retention(ctx, lead)
		if err != nil || len(got) != 4 {
			t.Fatalf("%+v, %v", got, err)
		}
		out := map[programme.ID]programme.RetentionLine{}
		for _, l := range got {
			out[l.Student] = l
		}
		return out
	}
	for id, want := range map[programme.ID]string{none: "0000-00-00", signed: "2035-01-13", paper: "2035-01-13", child: "2042-05-04"} {
		l := lines()[id]
		if l.IsDue || l.Conflict || l.Due != date("2029-01-14") || want != "0000-00-00" && l.KeepUntil.String() != want || l.Waiver == (id == none) {
			t.Errorf("want kept until %s: %+v", want, l)
		}
	}
	r.days(730) // 13 January 2029, one day before it is due
	if l := lines()[none]; l.IsDue || l.Why != "Kept until 2029-01-13." {
		t.Errorf("%+v", l)
	}
	r.days(1)
	got := lines()
	if l := got[none]; !l.IsDue || l.Conflict || l.Why != "Due since 2029-01-14." {
		t.Errorf("%+v", l)
	}
	if l := got[signed]; !l.IsDue || !l.Conflict || !strings.Contains(l.Why, "the waiver is to be kept until 2035-01-13 and no signed original on paper is recorded") {
		t.Errorf("%+v", l)
	}
	if l := got[paper]; !l.IsDue || l.Conflict || !strings.Contains(l.Why, "keep the signed original on paper") {
		t.Errorf("%+v", l)
	}
	r.days(365*6 + 3) // 15 January 2035 or later: the adults' waivers may go, the child's not
	got = lines()
	if got[signed].Conflict || !got[child].Conflict {
		t.Errorf("%+v\n%+v", got[signed], got[child])
	}
	// What is written starts the time anew.
	r.ok(r.AddNote(ctx, instructor, r.made(), none, programme.Note{Class: programme.NoteWork, Text: "came back"}))
	if l := lines()[none]; l.IsDue {
		t.Errorf("%+v", l)
	}
	for _, a := range []programme.Actor{instructor, scheduler, equipment, technician, medical, {}} {
		if _, err := r.Retention(ctx, a); err == nil {
			t.Errorf("%q reads it", a.Name)
		}
	}
}

// TestExportImport (trust.md U8): everything about a person goes out as JSON and
// comes in elsewhere with the same digest; a second time adds nothing; an export
// that was changed is refused whole.
func TestExportImport(t *testing.T) {
	s := newScene(newRig(t))
	s.hire()
	e, err := s.ExportStudent(ctx, lead, s.student)
	if err != nil {
		t.Fatal(err)
	}
	rec, _ := s.StudentAt(ctx, lead, s.student, programme.AsOf{})
	if len(e.Facts) != rec.Facts || len(e.Readings) == 0 || e.Readings[0].What != programme.ReadExport || e.Staff[lead.Staff] != lead.Name {
		t.Fatalf("%d facts of %d, readings %+v, staff %v", len(e.Facts), rec.Facts, e.Readings, e.Staff)
	}
	sent, err := json.MarshalIndent(e, "", "   ")
	if err != nil {
		t.Fatal(err)
	}
	for _, words := range []string{"Tamsin Orrel", "likes the blue run", "letter says"} {
		if !strings.Contains(string(sent), words) {
			t.Errorf("the export lacks %q", words)
		}
	}
	var arrived programme.Export
	if err := json.Unmarshal(sent, &arrived); err != nil {
		t.Fatal(err)
	}
	there := newRig(t)
	n, err := there.ImportStudent(ctx, lead, arrived)
	if err != nil || n != len(e.Facts) {
		t.Fatalf("%d facts, %v", n, err)
	}
	if n, err = there.ImportStudent(ctx, lead, arrived); err != nil || n != 0 {
		t.Fatalf("a second time: %d facts, %v", n, err)
	}
	back, err := there.ExportStudent(ctx, lead, s.student)
	if err != nil || back.Digest != e.Digest {
		t.Fatalf("the digest is %s, was %s, %v", back.Digest, e.Digest, err)
	}
	a, _ := there.StudentAt(ctx, lead, s.student, programme.AsOf{})
	if a.NameUsed != rec.NameUsed || len(a.Holds) != len(rec.Holds) || len(a.Notes) != len(rec.Notes) || len(a.Findings) != len(rec.Findings) || a.Unread != 0 {
		t.Errorf("the record is not the same:\n%+v\n%+v", a, rec)
	}
	for name, change := range map[string]func(*programme.Export){
		"a letter": func(e *programme.Export) {
			for i, f := range e.Facts {
				if f.Kind == programme.KindNote {
					e.Facts[i].Payload = json.RawMessage(strings.Replace(string(f.Payload), "blue", "grey", 1))
				}
			}
		},
		"one fact less":   func(e *programme.Export) { e.Facts = e.Facts[1:] },
		"none":            func(e *programme.Export) { e.Facts = nil },
		"another order":   func(e *programme.Export) { e.Facts[0], e.Facts[1] = e.Facts[1], e.Facts[0] },
		"another student": func(e *programme.Export) { e.Student = lead.Staff },
		"another author":  func(e *programme.Export) { e.Facts[0].Author = medical.Staff },
		"another time":    func(e *programme.Export) { e.Facts[0].MadeAt = e.Facts[0].MadeAt.Add(time.Second) },
		"no digest":       func(e *programme.Export) { e.Digest = "" },
		"an older form":   func(e *programme.Export) { e.Form = 0 },
	} {
		var bad programme.Export
		if err := json.Unmarshal(sent, &bad); err != nil {
			t.Fatal(err)
		}
		change(&bad)
		fresh := rigOn(t, programmetest.NewMemory())
		_, err := fresh.ImportStudent(ctx, lead, bad)
		if programme.CodeOf(err) != programme.CodeDamaged {
			t.Errorf("%s: %v", name, err)
		}
		if fresh.count() != 0 {
			t.Errorf("%s: %d facts were taken in", name, fresh.count())
		}
	}
	arrived.Form = 99
	_, err = there.ImportStudent(ctx, lead, arrived)
	there.refused(there.count(), err, programme.CodeNewer, "newer program")
	for _, a := range []programme.Actor{instructor, scheduler, equipment, technician, medical, {}} {
		if _, err := s.ExportStudent(ctx, a, s.student); err == nil {
			t.Errorf("%q takes it out", a.Name)
		}
		if _, err := there.ImportStudent(ctx, a, e); err == nil {
			t.Errorf("%q takes it in", a.Name)
		}
	}
	if _, err := s.ExportStudent(ctx, lead, s.ids.Next()); programme.CodeOf(err) != programme.CodeNotFound {
		t.Errorf("nobody: %v", err)
	}
}
