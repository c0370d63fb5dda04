package webtest

import (
	"context"
	"net/http"
	"strings"

	"firnhand/core/binding"
	"firnhand/programme"
)

// Canaries are words that stand in the seeded record and must not be shown to
// everybody. Each names the right that shows it.
var Canaries = map[string]programme.Action{
	"Larkmoor-Quill":   programme.ReadContact, // surname
	"2001-03-09":       programme.ReadContact, // birth date
	"Guardian-Pell":    programme.ReadContact,
	"5550142":          programme.ReadContact, // phone number of the guardian
	"Goal-Tarnlight":   programme.ReadWork,    // a finding
	"Worknote-Birch":   programme.ReadWork,
	"Mednote-Alder":    programme.ReadMedical,
	"Reason-Rowan":     programme.ReadMedical, // reason of a hold by hand
	"Clearer-Hazel":    programme.ReadMedical, // who wrote the letter
	"Paper-Willow":     programme.ReadMedical, // where it is kept
	"hip at risk":      programme.ReadHold,
	"No spreading fo":  programme.ReadWork,
	"Setup-Wisteria":   programme.ReadWork,     // on the set-up sheet
	"Boot-Juniper":     programme.ReadBinding,  // on the request to the technician
	"Hillnote-Sorrel":  programme.ReadWork,     // with the slope that was chosen
	"Handover-Sallow":  programme.ReadWork,     // written when a lesson was closed
	"Incident-Spindle": programme.ReadIncident, // written by the lead
	"Witness-Bramble":  programme.ReadIncident, // a statement of the medical reviewer's
}

// Seeded is a programme with one member of staff in each role and one student
// whose record has something of everything.
type Seeded struct {
	*Bench
	Student  programme.ID
	Hold     programme.ID // raised by hand, cleared in writing
	Note     programme.ID // for work
	Finding  programme.ID
	Card     programme.ID
	Guardian programme.ID
	SetUp    programme.ID // a version of the set-up sheet
	Request  programme.ID // to the binding technician
	Slope    programme.ID // of the hill
	Lift     programme.ID
	Glides   programme.ID // timed on the slope
	Lesson   programme.ID // closed, with its handover
	Incident programme.ID // written by the lead
	Cookies  map[programme.Role]*http.Cookie
	Actors   map[programme.Role]programme.Actor
}

// Seed fills a bench.
func Seed(b *Bench) *Seeded {
	b.T.Helper()
	s := &Seeded{Bench: b, Student: b.IDs.Next(), Hold: b.IDs.Next(), Note: b.IDs.Next(), Finding: b.IDs.Next(), Card: b.IDs.Next(), Guardian: b.IDs.Next(), SetUp: b.IDs.Next(), Request: b.IDs.Next(),
		Cookies: map[programme.Role]*http.Cookie{}, Actors: map[programme.Role]programme.Actor{}}
	for _, r := range []programme.Role{programme.Lead, programme.Instructor, programme.Scheduler, programme.EquipmentLead, programme.Technician, programme.MedicalReviewer} {
		s.Actors[r], s.Cookies[r] = b.Staff("Staff "+strings.ReplaceAll(string(r), "_", " "), r)
	}
	ctx, lead := context.Background(), s.Actors[programme.Lead]
	made := func() programme.Made { return programme.Made{ID: b.IDs.Next()} }
	must := func(_ programme.Receipt, err error) {
		b.T.Helper()
		if err != nil {
			b.T.Fatal(err)
		}
	}
	day := programme.DateOf(b.Clock.Now())
	must(b.Cases.AddStudent(ctx, lead, made(), s.Student, programme.StudentDetails{NameUsed: "Edda", FullName: "Edda Larkmoor-Quill",
		BirthDate: programme.Date{Year: 2001, Month: 3, Day: 9}, BindsSelf: programme.BindsYes, Language: "en"}))
	must(b.Cases.PutGuardian(ctx, lead, made(), s.Student, programme.GuardianDetails{Guardian: s.Guardian, Name: "Guardian-Pell", Phone: "+99 5550142", MaySign: true}))
	for _, c := range []programme.ConsentKind{programme.ConsentWaiver, programme.ConsentHealth} {
		must(b.Cases.RecordConsent(ctx, lead, made(), s.Student, programme.Consent{Consent: c, Answer: programme.ConsentGiven, Wording: "2026-10", SignedOn: day,
			SignedBy: []programme.Signature{{Student: true}}}))
	}
	finding := func(id programme.ID, key, side, value string) programme.NewFinding {
		return programme.NewFinding{Made: programme.Made{ID: id}, Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: key, Side: side, State: "both"}, Value: value, How: "seen"}}
	}
	_, err := b.Cases.RecordFindings(ctx, lead, s.Student, []programme.NewFinding{
		finding(s.Finding, "goal", "none", "Goal-Tarnlight"),
		finding(b.IDs.Next(), "standing_loss", "none", "yes"),
		finding(b.IDs.Next(), "gait", "none", "W4"),
		finding(b.IDs.Next(), "push_out", "left", "3"),
	})
	if err != nil {
		b.T.Fatal(err)
	}
	must(b.Cases.AddNote(ctx, lead, programme.Made{ID: s.Note}, s.Student, programme.Note{Class: programme.NoteWork, About: "next step", Text: "Worknote-Birch"}))
	must(b.Cases.AddNote(ctx, lead, made(), s.Student, programme.Note{Class: programme.NoteMedical, Text: "Mednote-Alder"}))
	must(b.Cases.RaiseHold(ctx, lead, programme.Made{ID: s.Hold}, s.Student, programme.Hold{Reason: "Reason-Rowan", Clearer: "physician"}))
	must(b.Cases.RecordClearance(ctx, lead, made(), s.Student, programme.Clearance{Hold: s.Hold, ClearedBy: "Clearer-Hazel", Licence: "physician", InWriting: true,
		ClearedOn: day, ValidUntil: day.AddMonths(3), Paper: "Paper-Willow"}))
	must(b.Cases.ProposeSetUp(ctx, lead, programme.Made{ID: s.SetUp}, s.Student, programme.SetUpProposal{UpTo: 1, Items: []programme.SetUpItem{
		{SetUpKey: programme.SetUpKey{Item: "tie", Side: "none"}, Label: "Tip tie", Words: "Setup-Wisteria"}}}))
	must(b.Cases.AskBinding(ctx, lead, programme.Made{ID: s.Request}, s.Student, programme.BindingGear{Left: binding.Side{Boot: "Boot-Juniper"}}))
	c := b.Client(s.Cookies[programme.Lead])
	c.Get("/students/"+string(s.Student)+"/card").Press("Make the card", nil)
	s.Card = programme.ID(strings.Split(strings.TrimPrefix(c.URL, "/cards/"), "?")[0])
	s.seedHill(must)
	s.seedLesson(must)
	must(b.Cases.BeginEvaluation(ctx, lead, made(), s.Student, programme.EvaluationBegun{Reason: "first"}))
	return s
}

// Facts counts what is in the store.
func (b *Bench) Facts() int64 {
	b.T.Helper()
	n, err := b.Store.Counts(context.Background())
	if err != nil {
		b.T.Fatal(err)
	}
	return n.Facts
}

// Path fills in the names of a route's pattern.
func (s *Seeded) Path(pattern string) string {
	_, path, _ := strings.Cut(pattern, " ")
	switch pattern {
	case "/":
		return "/nowhere"
	case "GET /static/{name}":
		return "/static/base.css"
	}
	return strings.NewReplacer("{student}", string(s.Student), "{hold}", string(s.Hold), "{note}", string(s.Note), "{fact}", string(s.Finding), "{card}", string(s.Card),
		"{guardian}", string(s.Guardian), "{staff}", string(s.Actors[programme.Instructor].Staff), "{block}", "bones", "{test}", "9", "{kind}", "waiver",
		"{topic}", "stance", "{name}", "upright_min", "{sheet}", string(s.SetUp), "{request}", string(s.Request), "{slope}", string(s.Slope), "{lift}", string(s.Lift), "{glides}", string(s.Glides), "{lesson}", string(s.Lesson), "{incident}", string(s.Incident), "{table}", "lessons", "{$}", "", "{phone}", string(s.Student), "{file...}", "").Replace(path)
}
