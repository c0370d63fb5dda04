package programme_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"firnhand/programme"
	"firnhand/programme/programmetest"
)

const digest = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" // SHA-256 of nothing, FIPS 180-4

// scene is a student with something of every kind, and the calls that make
// more of it. Each call can be repeated with the same Made.
type scene struct {
	*rig
	student, fresh, guardian, hold, eval, finding, note, medNote, consent, student2 programme.ID
}

func newScene(r *rig) *scene {
	s := &scene{rig: r, student: r.student(), fresh: r.ids.Next()}
	s.guardian = r.guardian(s.student).Guardian
	s.hold = r.hip(s.student).ID
	s.eval = r.ok(r.BeginEvaluation(ctx, lead, r.made(), s.student, programme.EvaluationBegun{Reason: "first"}))
	s.finding = r.find(s.student, "gait", "none", "both", "W3")
	s.note = r.ok(r.AddNote(ctx, lead, r.made(), s.student, programme.Note{Class: programme.NoteWork, Text: "likes the blue run"}))
	s.medNote = r.ok(r.AddNote(ctx, lead, r.made(), s.student, programme.Note{Class: programme.NoteMedical, Text: "letter says"}))
	s.consent = r.ok(r.RecordConsent(ctx, lead, r.made(), s.student, waiver(self)))
	return s
}

// write is one writing use case.
type write struct {
	name  string
	who   string // the roles that may, in the order of programme.Roles: i l s e t m
	do    func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error)
	other func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) // the same id, other content
}

func one(got []programme.Receipt, err error) (programme.Receipt, error) {
	if len(got) != 1 {
		return programme.Receipt{}, err
	}
	return got[0], err
}

// writes lists every use case that writes. Who may do what follows the trade's
// roles: instructors evaluate and write notes, only lead and medical reviewer
// record clearances and read medical papers ("readable by lead and medical
// reviewer only"), only the lead runs staff and settings; the rest is common
// practice, no source.
var writes = []write{
	{"AddStudent", "ils", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.AddStudent(ctx, a, m, s.fresh, programme.StudentDetails{NameUsed: "New"})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.AddStudent(ctx, a, m, s.fresh, programme.StudentDetails{NameUsed: "Newer"})
	}},
	{"ChangeStudent", "ils", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.ChangeStudent(ctx, a, m, s.student, programme.StudentDetails{NameUsed: "Tam"})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.ChangeStudent(ctx, a, m, s.student, programme.StudentDetails{NameUsed: "Tom"})
	}},
	{"PutGuardian", "ils", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.PutGuardian(ctx, a, m, s.student, programme.GuardianDetails{Guardian: s.guardian, Name: "Corin"})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.PutGuardian(ctx, a, m, s.student, programme.GuardianDetails{Guardian: s.guardian, Name: "Karin"})
	}},
	{"RecordConsent", "ils", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.RecordConsent(ctx, a, m, s.student, waiver(self))
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		c := waiver(self)
		c.Wording = "other"
		return s.RecordConsent(ctx, a, m, s.student, c)
	}},
	{"CorrectConsent", "ils", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CorrectConsent(ctx, a, m, s.student, s.consent, waiver(self))
	}, nil},
	{"RaiseHold", "ilm", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.RaiseHold(ctx, a, m, s.student, programme.Hold{Reason: "grey"})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.RaiseHold(ctx, a, m, s.student, programme.Hold{Reason: "pale"})
	}},
	{"RecordClearance", "lm", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.RecordClearance(ctx, a, m, s.student, letter(s.hold))
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		c := letter(s.hold)
		c.ValidUntil = date("2027-02-01")
		return s.RecordClearance(ctx, a, m, s.student, c)
	}},
	{"RecordFindings", "il", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return one(s.RecordFindings(ctx, a, s.student, []programme.NewFinding{{Made: m, Finding: f("trunk", "none", "both", "2")}}))
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return one(s.RecordFindings(ctx, a, s.student, []programme.NewFinding{{Made: m, Finding: f("trunk", "none", "both", "3")}}))
	}},
	{"CorrectFinding", "il", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CorrectFinding(ctx, a, m, s.student, s.finding, f("gait", "none", "both", "W4"))
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CorrectFinding(ctx, a, m, s.student, s.finding, f("gait", "none", "both", "W5"))
	}},
	{"AddNote", "ile", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.AddNote(ctx, a, m, s.student, programme.Note{Class: programme.NoteWork, Text: "one"})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.AddNote(ctx, a, m, s.student, programme.Note{Class: programme.NoteWork, Text: "two"})
	}},
	{"AddMedicalNote", "lm", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.AddNote(ctx, a, m, s.student, programme.Note{Class: programme.NoteMedical, Text: "one"})
	}, nil},
	{"CorrectNote", "ile", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CorrectNote(ctx, a, m, s.student, s.note, programme.Note{Class: programme.NoteWork, Text: "better"})
	}, nil},
	{"MedicalNoteMadeWork", "l", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CorrectNote(ctx, a, m, s.student, s.medNote, programme.Note{Class: programme.NoteWork, Text: "for all"})
	}, nil},
	{"RetractFinding", "il", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.Retract(ctx, a, m, s.student, s.finding, programme.Retraction{Reason: "wrong"})
	}, nil},
	{"RetractMedicalNote", "lm", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.Retract(ctx, a, m, s.student, s.medNote, programme.Retraction{Reason: "wrong"})
	}, nil},
	{"IssueCard", "il", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.IssueCard(ctx, a, m, s.student, programme.Card{UpTo: 1, Digest: digest, ForDay: date("2027-01-15")})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.IssueCard(ctx, a, m, s.student, programme.Card{UpTo: 2, Digest: digest, ForDay: date("2027-01-15")})
	}},
	{"Assign", "l", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.Assign(ctx, a, m, s.student, programme.Assignment{Staff: instructor.Staff, Ended: true})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.Assign(ctx, a, m, s.student, programme.Assignment{Staff: equipment.Staff, Ended: true})
	}},
	{"PutStaff", "l", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.PutStaff(ctx, a, m, programme.StaffDetails{Staff: lead.Staff, NameUsed: "Lead", Roles: []programme.Role{programme.Lead}})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.PutStaff(ctx, a, m, programme.StaffDetails{Staff: lead.Staff, NameUsed: "Chief", Roles: []programme.Role{programme.Lead}})
	}},
	{"PutSetting", "l", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.PutSetting(ctx, a, m, programme.Setting{Name: "upright_min", Value: "12", SignedBy: "Lead", SignedOn: date("2027-01-14")})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.PutSetting(ctx, a, m, programme.Setting{Name: "upright_min", Value: "13", SignedBy: "Lead", SignedOn: date("2027-01-14")})
	}},
	{"BeginEvaluation", "il", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.BeginEvaluation(ctx, a, m, s.other(), programme.EvaluationBegun{Reason: "season"})
	}, nil},
	{"CloseEvaluation", "il", func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CloseEvaluation(ctx, a, m, s.student, programme.EvaluationClosed{Evaluation: s.eval, Complete: true})
	}, func(s *scene, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return s.CloseEvaluation(ctx, a, m, s.student, programme.EvaluationClosed{Evaluation: s.eval})
	}},
}

// other is a second student, the same for every call of a scene.
func (s *scene) other() programme.ID {
	if s.fresh != "" {
		id := s.fresh
		if _, err := s.AddStudent(ctx, lead, programme.Made{}, id, programme.StudentDetails{NameUsed: "Second"}); err != nil {
			s.t.Fatal(err)
		}
		s.fresh = ""
		s.student2 = id
	}
	return s.student2
}

// TestRoles: every use case by every role, against the table above.
func TestRoles(t *testing.T) {
	for _, w := range writes {
		for i, a := range append(everybody, programme.Actor{}) {
			s := newScene(newRig(t))
			if w.name == "BeginEvaluation" {
				s.other()
			}
			n := s.count()
			_, err := w.do(s, a, s.made())
			may := i < len(everybody) && strings.ContainsRune(w.who, rune("ilsetm"[i]))
			code := programme.CodeNotAllowed
			if a.Staff == "" {
				code = programme.CodeSignedOut
			}
			if may && err != nil {
				t.Errorf("%s by %s: %v", w.name, a.Name, err)
			}
			if !may && (programme.CodeOf(err) != code || s.count() != n) {
				t.Errorf("%s by %q: %v and %d facts written, want %s and none", w.name, a.Name, err, s.count()-n, code)
			}
		}
	}
	// Nobody may do what is not in the table, and every role in it exists.
	for act, roles := range programme.Permissions {
		for _, role := range roles {
			if role.Label() == string(role) && role != programme.Instructor && role != programme.Scheduler {
				t.Errorf("%s names the unknown role %q", act, role)
			}
		}
	}
	if (programme.Actor{Staff: lead.Staff, Roles: programme.Roles}).May("clear_hold") {
		t.Error("somebody may do an action that is not in the table")
	}
}

// TestRetries: the same call again answers Exists whatever happened meanwhile,
// also with another clock; other content under the same id is refused; and
// nothing is written twice.
func TestRetries(t *testing.T) {
	for _, w := range writes {
		s := newScene(newRig(t))
		if w.name == "BeginEvaluation" {
			s.other()
		}
		m := s.made()
		id := s.ok(w.do(s, lead, m))
		if id != m.ID {
			t.Errorf("%s used another id", w.name)
		}
		n := s.count()
		s.clock.Advance(time.Hour)
		got, err := w.do(s, lead, m)
		if err != nil || got.Outcome != programme.Exists || got.ID != m.ID || s.count() != n {
			t.Errorf("%s again: %+v, %v, %d new facts", w.name, got, err, s.count()-n)
		}
		_, err = w.do(s, lead2, m) // the author is content too
		if w.name != "PutStaff" {
			s.refused(n, err, programme.CodeIDTaken, "was used before for something else. Nothing was saved.")
		}
		if w.other != nil {
			_, err = w.other(s, lead, m)
			t.Log(w.name)
			s.refused(n, err, programme.CodeIDTaken, "was used before for something else. Nothing was saved.")
		}
		odd := programme.Made{ID: "not-an-id"}
		_, err = w.do(s, lead, odd)
		s.refused(n, err, programme.CodeInvalid, `"not-an-id" is not an id`)
	}
}

// failing is a store whose n-th call fails.
type failing struct {
	programme.Store
	left int
}

func (f *failing) fails() error {
	f.left--
	if f.left == 0 {
		return programme.Fail(programme.CodeDiskFull, fmt.Errorf("no space"), "The disk is full.")
	}
	return nil
}

func (f *failing) Append(ctx context.Context, now time.Time, facts ...programme.Fact) ([]programme.Receipt, error) {
	if err := f.fails(); err != nil {
		return nil, err
	}
	return f.Store.Append(ctx, now, facts...)
}

func (f *failing) Facts(ctx context.Context, q programme.Query) ([]programme.Fact, error) {
	if err := f.fails(); err != nil {
		return nil, err
	}
	return f.Store.Facts(ctx, q)
}

func (f *failing) Fact(ctx context.Context, id programme.ID) (programme.Fact, error) {
	if err := f.fails(); err != nil {
		return programme.Fact{}, err
	}
	return f.Store.Fact(ctx, id)
}

func (f *failing) Counts(ctx context.Context) (programme.Counts, error) {
	if err := f.fails(); err != nil {
		return programme.Counts{}, err
	}
	return f.Store.Counts(ctx)
}

// TestEveryCallFails (trust.md S5): each store call of each use case fails in
// turn; the error comes through, nothing is written, and the next try works.
func TestEveryCallFails(t *testing.T) {
	sites := 0
	for _, w := range writes {
		for n := 1; ; n++ {
			store := &failing{Store: programmetest.NewMemory()}
			s := newScene(rigOn(t, store))
			if w.name == "BeginEvaluation" {
				s.other()
			}
			before := s.count()
			m := s.made()
			store.left = n
			got, err := w.do(s, lead, m)
			if store.left > 0 { // fewer than n calls: all sites were tried
				if err != nil {
					t.Errorf("%s: %v", w.name, err)
				}
				break
			}
			sites++
			store.left = 0
			s.refused(before, err, programme.CodeDiskFull, "The disk is full.")
			if got.ID != "" {
				t.Errorf("%s gave a receipt with the error: %+v", w.name, got)
			}
			s.ok(w.do(s, lead, m))
		}
	}
	if sites < 3*len(writes) {
		t.Errorf("only %d failing calls were tried", sites)
	}
}

// TestReading: what each role sees and must not see. The words are planted in
// every field of the record.
func TestReading(t *testing.T) {
	r := newRig(t)
	s := r.student(func(d *programme.StudentDetails) { d.NameUsed, d.FullName = "USEDNAME", "FULLNAME" })
	g := r.guardian(s, func(g *programme.GuardianDetails) { g.Name, g.Phone = "GUARDNAME", "GUARDPHONE" })
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(self, g)))
	hip := r.hip(s)
	c := letter(hip.ID)
	c.ClearedBy, c.Paper, c.Limits = "DOCTORNAME", "PAPERPLACE", "NOJUMPS"
	r.ok(r.RecordClearance(ctx, lead, r.made(), s, c))
	r.ok(r.RaiseHold(ctx, lead, r.made(), s, programme.Hold{Reason: "HANDREASON"}))
	gone := r.ok(r.RaiseHold(ctx, lead, r.made(), s, programme.Hold{Reason: "GONEREASON"}))
	r.ok(r.Retract(ctx, lead, r.made(), s, gone, programme.Retraction{Reason: "WITHDRAWREASON"}))
	r.ok(r.AddNote(ctx, lead, r.made(), s, programme.Note{Class: programme.NoteWork, Text: "WORKNOTE"}))
	r.ok(r.AddNote(ctx, lead, r.made(), s, programme.Note{Class: programme.NoteMedical, Text: "MEDICALNOTE"}))
	r.find(s, "goal", "none", "both", "FINDINGTEXT")
	identity := "USEDNAME"
	contact := "FULLNAME GUARDNAME GUARDPHONE 1990-05-02"
	holds := "NOJUMPS orthopaedic G7"
	work := "WORKNOTE FINDINGTEXT"
	medic := "MEDICALNOTE DOCTORNAME PAPERPLACE HANDREASON WITHDRAWREASON GONEREASON"
	for _, c := range []struct {
		who             programme.Actor
		must, mustNot   string
		logged, heldOpt bool
	}{
		{lead, strings.Join([]string{identity, contact, holds, work, medic}, " "), "", true, true},
		{medical, strings.Join([]string{identity, contact, holds, work, medic}, " "), "", true, true},
		{instructor, strings.Join([]string{identity, contact, holds, work}, " "), medic, false, true},
		{equipment, strings.Join([]string{identity, holds, work}, " "), contact + " " + medic, false, true},
		{scheduler, strings.Join([]string{identity, contact, holds}, " "), work + " " + medic, false, true},
		{technician, identity, strings.Join([]string{contact, holds, work, medic}, " "), false, false},
	} {
		before, err := r.Readings(ctx, lead, s, 0)
		if err != nil {
			t.Fatal(err)
		}
		rec, err := r.StudentAt(ctx, c.who, s, programme.AsOf{})
		if err != nil {
			t.Errorf("%s: %v", c.who.Name, err)
			continue
		}
		all := fmt.Sprintf("%+v", rec)
		for _, w := range strings.Fields(c.must) {
			if !strings.Contains(all, w) {
				t.Errorf("%s does not see %s", c.who.Name, w)
			}
		}
		for _, w := range strings.Fields(c.mustNot) {
			if strings.Contains(all, w) {
				t.Errorf("%s sees %s", c.who.Name, w)
			}
		}
		after, err := r.Readings(ctx, medical, s, 0)
		if err != nil || (len(after) > len(before)) != c.logged {
			t.Errorf("%s: the log grew from %d to %d, %v", c.who.Name, len(before), len(after), err)
		}
		if c.logged && (after[0].Staff != c.who.Staff || after[0].Student != s || !after[0].At.Equal(r.clock.Now())) {
			t.Errorf("log entry %+v", after[0])
		}
		lines, err := r.Students(ctx, c.who, false)
		if err != nil || len(lines) != 1 || lines[0].NameUsed != "USEDNAME" || !lines[0].Held || !lines[0].WaiverValid || lines[0].AgeNow != 36 {
			t.Errorf("%s lists %+v, %v", c.who.Name, lines, err)
		}
		if (lines[0].FullName != "") != strings.Contains(c.must, "FULLNAME") || (len(lines[0].HoldRules) > 0) != c.heldOpt {
			t.Errorf("%s lists %+v", c.who.Name, lines[0])
		}
	}
	for _, who := range []programme.Actor{instructor, scheduler, equipment, technician, {}} {
		if _, err := r.Readings(ctx, who, s, 0); err == nil {
			t.Errorf("%q reads the log", who.Name)
		}
	}
	if _, err := r.StudentAt(ctx, programme.Actor{}, s, programme.AsOf{}); programme.CodeOf(err) != programme.CodeSignedOut {
		t.Errorf("a stranger reads: %v", err)
	}
	if _, err := r.Students(ctx, programme.Actor{}, true); programme.CodeOf(err) != programme.CodeSignedOut {
		t.Errorf("a stranger lists: %v", err)
	}
}

// TestBadInput: a clear sentence, and nothing written.
func TestBadInput(t *testing.T) {
	s := newScene(newRig(t))
	long := strings.Repeat("ü", programme.MaxText+1)
	finding := func(v programme.Finding) error {
		_, err := s.RecordFindings(ctx, lead, s.student, []programme.NewFinding{{Finding: v}})
		return err
	}
	student := func(d programme.StudentDetails) error {
		_, err := s.ChangeStudent(ctx, lead, s.made(), s.student, d)
		return err
	}
	setting := func(v programme.Setting) error {
		if v.SignedBy == "" {
			v.SignedBy = "Lead"
		}
		if v.SignedOn.IsZero() {
			v.SignedOn = date("2027-01-14")
		}
		_, err := s.PutSetting(ctx, lead, s.made(), v)
		return err
	}
	twice := s.made()
	for _, c := range []struct {
		name  string
		err   error
		code  programme.Code
		words string
	}{
		{"unknown finding", finding(f("gate", "none", "both", "W3")), programme.CodeUnknown, `There is no finding called "gate".`},
		{"impossible level", finding(f("gait", "none", "both", "W9")), programme.CodeInvalid, `has no level "W9"`},
		{"NaN", finding(f("stand_s", "none", "both", "NaN")), programme.CodeInvalid, "takes a number in s"},
		{"infinite", finding(f("mass_kg", "none", "both", "Inf")), programme.CodeInvalid, "takes a number"},
		{"out of range", finding(f("mass_kg", "none", "both", "900")), programme.CodeInvalid, "it must lie between 5 and 250"},
		{"no side", finding(f("push_out", "none", "both", "3")), programme.CodeInvalid, "say which side"},
		{"a side too many", finding(f("gait", "left", "both", "W3")), programme.CodeInvalid, "has no sides"},
		{"odd side", finding(f("push_out", "both", "both", "3")), programme.CodeInvalid, "A side is none, left or right"},
		{"odd state", finding(f("push_out", "left", "cold", "3")), programme.CodeInvalid, "A state is fresh, tired or both"},
		{"never tired", finding(f("load_test", "none", "tired", "yes")), programme.CodeInvalid, "has no tired value"},
		{"from the record", finding(f("waiver", "none", "both", "valid")), programme.CodeInvalid, "it follows from the birth date, the consents and the evaluations"},
		{"long how", finding(programme.Finding{FindingKey: programme.FindingKey{Finding: "gait"}, Value: "W3", How: long}), programme.CodeInvalid, "How it was seen is too long"},
		{"not UTF-8", finding(f("goal", "none", "both", "a\xff")), programme.CodeInvalid, "not readable text"},
		{"megabytes", finding(f("goal", "none", "both", strings.Repeat("x", 5<<20))), programme.CodeInvalid, "at most"},
		{"huge id", finding(f(strings.Repeat("x", 5<<20), "none", "both", "1")), programme.CodeUnknown, "There is no finding called"},
		{"nothing", second(s.RecordFindings(ctx, lead, s.student, nil)), programme.CodeInvalid, "There is nothing to record."},
		{"the same finding twice", second(s.RecordFindings(ctx, lead, s.student, []programme.NewFinding{{Finding: f("gait", "", "", "W3")}, {Finding: f("gait", "none", "tired", "W2")}})),
			programme.CodeInvalid, "gait (none, tired) is given twice. Nothing was saved."},
		{"the same id twice", second(s.RecordFindings(ctx, lead, s.student, []programme.NewFinding{{Made: twice, Finding: f("gait", "", "", "W3")}, {Made: twice, Finding: f("trunk", "", "", "2")}})),
			programme.CodeInvalid, "stands for two findings. Nothing was saved."},
		{"one bad among good", second(s.RecordFindings(ctx, lead, s.student, []programme.NewFinding{{Finding: f("gait", "", "", "W3")}, {Finding: f("trunk", "", "", "9")}})), programme.CodeInvalid, `has no level "9"`},
		{"unknown student", second(s.RecordFindings(ctx, lead, s.ids.Next(), []programme.NewFinding{{Finding: f("gait", "", "", "W3")}})), programme.CodeNotFound, "There is no such student here."},
		{"odd student", second(s.RecordFindings(ctx, lead, "Tamsin", []programme.NewFinding{{Finding: f("gait", "", "", "W3")}})), programme.CodeInvalid, `"Tamsin" is not an id`},

		{"no name", student(programme.StudentDetails{NameUsed: " "}), programme.CodeInvalid, "The name used is missing."},
		{"long name", student(programme.StudentDetails{NameUsed: strings.Repeat("n", 121)}), programme.CodeInvalid, "The name used is too long: at most 120 characters."},
		{"two lines", student(programme.StudentDetails{NameUsed: "a\nb"}), programme.CodeInvalid, "control character"},
		{"language", student(programme.StudentDetails{NameUsed: "a", Language: "English, please"}), programme.CodeInvalid, "not a language tag"},
		{"born tomorrow", student(programme.StudentDetails{NameUsed: "a", BirthDate: date("2027-01-15")}), programme.CodeInvalid, "cannot be right"},
		{"very old", student(programme.StudentDetails{NameUsed: "a", BirthDate: date("1900-01-01")}), programme.CodeInvalid, "cannot be right"},
		{"birth date and age", student(programme.StudentDetails{NameUsed: "a", BirthDate: date("2000-01-01"), AgeYears: 27}), programme.CodeInvalid, "not both"},
		{"age", student(programme.StudentDetails{NameUsed: "a", AgeYears: -1}), programme.CodeInvalid, "cannot be right"},
		{"age tomorrow", student(programme.StudentDetails{NameUsed: "a", AgeYears: 9, AgeOn: date("2027-02-01")}), programme.CodeInvalid, "in the future"},
		{"binds", student(programme.StudentDetails{NameUsed: "a", BindsSelf: "perhaps"}), programme.CodeInvalid, "yes, no or unknown"},
		{"taken", second2(s.AddStudent(ctx, lead, s.made(), s.student, programme.StudentDetails{NameUsed: "a"})), programme.CodeIDTaken, "used before"},

		{"note class", second2(s.AddNote(ctx, lead, s.made(), s.student, programme.Note{Class: "secret", Text: "x"})), programme.CodeInvalid, `work or medical, not "secret"`},
		{"empty note", second2(s.AddNote(ctx, lead, s.made(), s.student, programme.Note{Class: programme.NoteWork})), programme.CodeInvalid, "The note is missing."},
		{"long note", second2(s.AddNote(ctx, lead, s.made(), s.student, programme.Note{Class: programme.NoteWork, Text: long})), programme.CodeInvalid, "at most 4000 characters"},
		{"evaluation reason", second2(s.BeginEvaluation(ctx, lead, s.made(), s.student, programme.EvaluationBegun{Reason: "fun"})), programme.CodeInvalid, "The reason of an evaluation is one of first,"},
		{"card from the future", second2(s.IssueCard(ctx, lead, s.made(), s.student, programme.Card{UpTo: 9999, Digest: digest, ForDay: date("2027-01-15")})), programme.CodeInvalid, "names facts up to 9999"},
		{"card digest", second2(s.IssueCard(ctx, lead, s.made(), s.student, programme.Card{UpTo: 1, Digest: "e3", ForDay: date("2027-01-15")})), programme.CodeInvalid, "64 hexadecimal digits"},
		{"guardian", second2(s.PutGuardian(ctx, lead, s.made(), s.student, programme.GuardianDetails{Guardian: s.ids.Next()})), programme.CodeInvalid, "The guardian's name is missing."},

		{"setting", setting(programme.Setting{Name: "luck", Value: "1"}), programme.CodeUnknown, `There is no setting called "luck".`},
		{"setting range", setting(programme.Setting{Name: "adult_age_years", Value: "12"}), programme.CodeInvalid, "between 16 and 21"},
		{"setting number", setting(programme.Setting{Name: "upright_min", Value: "NaN"}), programme.CodeInvalid, "takes a number between 1 and 60 min"},
		{"setting signed later", setting(programme.Setting{Name: "upright_min", Value: "9", SignedOn: date("2027-01-15")}), programme.CodeInvalid, "in the future"},
		{"setting by nobody", second2(s.PutSetting(ctx, lead, s.made(), programme.Setting{Name: "upright_min", Value: "9", SignedOn: date("2027-01-14")})), programme.CodeInvalid, "Who signs it off is missing."},
		{"role", second2(s.PutStaff(ctx, lead, s.made(), programme.StaffDetails{Staff: s.ids.Next(), NameUsed: "a", Roles: []programme.Role{"king"}})), programme.CodeUnknown, `There is no role called "king".`},
		{"no role", second2(s.PutStaff(ctx, lead, s.made(), programme.StaffDetails{Staff: s.ids.Next(), NameUsed: "a"})), programme.CodeInvalid, "at least one role"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if programme.CodeOf(c.err) != c.code || !strings.Contains(programme.SentenceOf(c.err), c.words) {
				t.Errorf("got %v\nwant code %s and the words %q", c.err, c.code, c.words)
			}
			if len(programme.SentenceOf(c.err)) > 400 {
				t.Errorf("the sentence has %d bytes", len(programme.SentenceOf(c.err)))
			}
		})
	}
	if rec := s.at(s.student); rec.NameUsed != "Tamsin" || value(t, rec, "gait", "none", "fresh").Value != "W3" || len(rec.Notes) != 2 {
		t.Errorf("something was written: %+v", rec)
	}
}

func second[T any](_ T, err error) error           { return err }
func second2(_ programme.Receipt, err error) error { return err }

// TestErrorsOfAnotherShape: their own text never reaches people.
func TestErrorsOfAnotherShape(t *testing.T) {
	err := fmt.Errorf("sql: row of Tamsin Orrel")
	if programme.CodeOf(err) != programme.CodeInternal || strings.Contains(programme.SentenceOf(err), "Tamsin") {
		t.Errorf("%s: %s", programme.CodeOf(err), programme.SentenceOf(err))
	}
	wrapped := fmt.Errorf("saving: %w", programme.Fail(programme.CodeBusy, err, "Try again."))
	if programme.CodeOf(wrapped) != programme.CodeBusy || programme.SentenceOf(wrapped) != "Try again." {
		t.Errorf("%s: %s", programme.CodeOf(wrapped), programme.SentenceOf(wrapped))
	}
	if programme.CodeOf(nil) != "" || programme.SentenceOf(nil) != "" {
		t.Error("no error has a code or a sentence")
	}
}

func TestStaff(t *testing.T) {
	r := newRig(t)
	if has, err := r.HasLead(ctx); err != nil || has {
		t.Fatalf("an empty programme has a lead: %v, %v", has, err)
	}
	if _, err := r.ActorOf(ctx, lead.Staff); programme.CodeOf(err) != programme.CodeNotFound {
		t.Fatalf("ActorOf nobody: %v", err)
	}
	d := programme.StaffDetails{Staff: lead.Staff, NameUsed: "Wenna", Roles: []programme.Role{programme.Instructor}}
	m := r.made()
	r.ok(r.FirstLead(ctx, m, d))
	if again, err := r.FirstLead(ctx, m, d); err != nil || again.Outcome != programme.Exists {
		t.Fatalf("again: %+v, %v", again, err)
	}
	n := r.count()
	_, err := r.FirstLead(ctx, m, programme.StaffDetails{Staff: lead2.Staff, NameUsed: "Thief"})
	r.refused(n, err, programme.CodeIDTaken, "used before")
	_, err = r.FirstLead(ctx, r.made(), programme.StaffDetails{Staff: lead2.Staff, NameUsed: "Late"})
	r.refused(n, err, programme.CodeConflict, "The programme has a lead already.")
	a, err := r.ActorOf(ctx, lead.Staff)
	if err != nil || !a.May(programme.ManageStaff) || !a.May(programme.Evaluate) || a.Name != "Wenna" {
		t.Fatalf("ActorOf = %+v, %v", a, err)
	}
	for _, roles := range [][]programme.Role{{programme.Instructor}, {programme.MedicalReviewer, programme.Scheduler}} {
		_, err = r.PutStaff(ctx, a, r.made(), programme.StaffDetails{Staff: lead.Staff, NameUsed: "Wenna", Roles: roles})
		r.refused(n, err, programme.CodeConflict, "The programme would have no lead. Name another lead first.")
	}
	_, err = r.PutStaff(ctx, a, r.made(), programme.StaffDetails{Staff: lead.Staff, NameUsed: "Wenna", Roles: []programme.Role{programme.Lead}, Ended: true})
	r.refused(n, err, programme.CodeConflict, "no lead")
	r.ok(r.PutStaff(ctx, a, r.made(), programme.StaffDetails{Staff: lead2.Staff, NameUsed: "Alva", Roles: []programme.Role{programme.Lead}}))
	r.ok(r.PutStaff(ctx, a, r.made(), programme.StaffDetails{Staff: lead.Staff, NameUsed: "Wenna", Roles: []programme.Role{programme.Instructor}, Ended: true}))
	if _, err := r.ActorOf(ctx, lead.Staff); programme.CodeOf(err) != programme.CodeNotFound {
		t.Fatalf("an ended member signs in: %v", err)
	}
	now, err := r.Staff(ctx, lead2, false)
	all, err2 := r.Staff(ctx, lead2, true)
	if err != nil || err2 != nil || len(now) != 1 || now[0].NameUsed != "Alva" || len(all) != 2 || !all[1].Ended {
		t.Fatalf("%+v, %+v", now, all)
	}
}

func TestSettings(t *testing.T) {
	r := newRig(t)
	s := r.student(func(d *programme.StudentDetails) { d.BirthDate = date("2008-06-01") }) // 18
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(self)))
	before := r.clock.Now()
	r.clock.Advance(time.Minute)
	r.ok(r.PutSetting(ctx, lead, r.made(), programme.Setting{Name: "adult_age_years", Value: " 21 ", SignedBy: "W. Lead, programme lead", SignedOn: date("2027-01-10"), Rationale: "local law"}))
	r.ok(r.PutSetting(ctx, lead, r.made(), programme.Setting{Name: "heel_mm_per_deg", Value: "3.50", SignedBy: "W. Lead", SignedOn: date("2027-01-10")}))
	got, err := r.Settings(ctx, instructor, programme.AsOf{})
	if err != nil || got["adult_age_years"].Value != "21" || got["adult_age_years"].SignedBy != "W. Lead, programme lead" || got["heel_mm_per_deg"].Value != "3.5" || got["adult_age_years"].From.By != lead.Staff {
		t.Fatalf("%+v, %v", got, err)
	}
	if old, err := r.Settings(ctx, lead, programme.AsOf{Time: before}); err != nil || len(old) != 0 {
		t.Fatalf("before: %+v, %v", old, err)
	}
	if w := r.at(s).ConsentOf(programme.ConsentWaiver); w.Valid {
		t.Fatal("the new age of signing does not count")
	}
	if w := r.at(s, programme.AsOf{Time: before}).ConsentOf(programme.ConsentWaiver); !w.Valid {
		t.Fatalf("the earlier record changed: %s", w.Why)
	}
	if n := programme.NumbersOf(nil); n != (programme.Numbers{AdultAgeYears: 18, ConsentMonths: 12, ClearanceMonths: 12, SeasonMonth: 7, RetentionMonths: 24, WaiverYears: 7, FirstSlidePct: 5, GrowthCM: 3}) {
		t.Fatalf("proposed numbers %+v", n)
	}
}

// TestForgetNeedsKeys: without keys nothing can be forgotten, and it says so.
func TestForgetNeedsKeys(t *testing.T) {
	r := newRig(t)
	s := r.student()
	err := r.ForgetStudent(ctx, lead, s)
	r.refused(r.count(), err, programme.CodeConflict, "keeps no keys")
	if err := r.ForgetStudent(ctx, instructor, s); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("an instructor forgets: %v", err)
	}
}

// TestLaterVersions: facts of a kind that this version does not know are kept
// and counted, unknown fields do no harm.
func TestLaterVersions(t *testing.T) {
	r := newRig(t)
	s := r.student()
	later, _ := json.Marshal(map[string]any{"finding": "gait", "side": "none", "state": "both", "value": "W3", "confidence": 0.9})
	for _, fact := range []programme.Fact{
		{ID: r.ids.Next(), Student: s, Kind: "photograph", Version: 3, Payload: []byte{1}, Author: lead.Staff, MadeAt: r.clock.Now()},
		{ID: r.ids.Next(), Student: s, Kind: programme.KindFinding, Version: 2, Payload: later, Author: lead.Staff, MadeAt: r.clock.Now()},
		{ID: r.ids.Next(), Student: s, Kind: programme.KindNote, Version: 1, Payload: []byte("{"), Author: lead.Staff, MadeAt: r.clock.Now()},
	} {
		if _, err := r.store.Append(ctx, r.clock.Now(), fact); err != nil {
			t.Fatal(err)
		}
	}
	rec := r.at(s)
	if rec.Unread != 2 || value(t, rec, "gait", "none", "tired").Value != "W3" || rec.Facts != 4 {
		t.Errorf("unread %d of %d, %+v", rec.Unread, rec.Facts, rec.Findings)
	}
}
