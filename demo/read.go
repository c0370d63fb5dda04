package demo

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/goccy/go-yaml"

	"firnhand/core/finding"
	"firnhand/programme"
)

// The minutes of an evaluation, from its beginning.
const (
	freshAfter = 10 * time.Minute
	tiredAfter = 30 * time.Minute
	closeAfter = 35 * time.Minute
)

// reader turns the files into a Programme with its steps.
type reader struct {
	p     *Programme
	staff map[string]Staff
}

// readAll reads programme.yaml and students/*.yaml.
func readAll(fsys fs.FS) (*Programme, error) {
	r := &reader{p: &Programme{SignedSettings: map[string]string{}}, staff: map[string]Staff{}}
	if err := r.programme(fsys); err != nil {
		return nil, fmt.Errorf("programme.yaml: %w", err)
	}
	names, err := fs.Glob(fsys, "students/*.yaml")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		if err := r.student(fsys, name); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	if err := r.hill(fsys); err != nil {
		return nil, fmt.Errorf("hill.yaml: %w", err)
	}
	if err := r.lessons(fsys); err != nil {
		return nil, fmt.Errorf("lessons.yaml: %w", err)
	}
	slices.SortStableFunc(r.p.steps, func(a, b step) int { return a.at.Compare(b.at) })
	return r.p, nil
}

func unmarshal(fsys fs.FS, name string, into any) error {
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		return err
	}
	return yaml.UnmarshalWithOptions(text, into, yaml.Strict())
}

func (r *reader) moment(text string) (time.Time, error) {
	at, err := time.ParseInLocation("2006-01-02 15:04", text, r.p.Zone)
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is not a moment such as 2025-12-06 09:10", text)
	}
	return at, nil
}

func (r *reader) person(key string) (Staff, error) {
	s, ok := r.staff[key]
	if !ok {
		return Staff{}, fmt.Errorf("there is no staff member %q", key)
	}
	return s, nil
}

// add appends one step that makes a single fact.
func (r *reader) add(at time.Time, what string, do func(context.Context, programme.UseCases, programme.Made) (programme.Receipt, error), made programme.Made) {
	r.p.steps = append(r.p.steps, step{at, what, func(ctx context.Context, uc programme.UseCases) ([]programme.Receipt, error) {
		got, err := do(ctx, uc, made)
		return []programme.Receipt{got}, err
	}})
}

func (r *reader) programme(fsys fs.FS) error {
	var f programmeFile
	if err := unmarshal(fsys, "programme.yaml", &f); err != nil {
		return err
	}
	p := r.p
	p.Name, p.Village = f.Name, f.Village
	p.Zone = time.FixedZone(f.Village, f.UTCHours*3600)
	var err error
	if p.First, err = programme.ParseDate(f.First); err != nil {
		return err
	}
	if p.Last, err = programme.ParseDate(f.Last); err != nil {
		return err
	}
	if p.Today, err = r.moment(f.Today); err != nil {
		return err
	}
	for _, run := range f.Runs {
		p.Runs = append(p.Runs, Run(run))
	}
	for _, l := range f.Lifts {
		p.Lifts = append(p.Lifts, Lift{Name: l.Name, Kind: l.Kind, SpeedMS: l.SpeedMS, Seats: l.Seats, LengthM: l.LengthM, SlowedTo: l.SlowedTo})
	}
	for _, s := range f.Staff {
		if err := r.staffMember(s); err != nil {
			return fmt.Errorf("%s: %w", s.Key, err)
		}
	}
	for _, s := range f.Settings {
		if err := r.setting(s); err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
	}
	return nil
}

func (r *reader) staffMember(f staffFile) error {
	joined, err := r.moment(f.Joined)
	if err != nil {
		return err
	}
	s := Staff{Key: f.Key, ID: id(joined, "staff/"+f.Key), NameUsed: f.NameUsed, FullName: f.FullName, Login: f.Login, Password: f.Password}
	for _, role := range f.Roles {
		s.Roles = append(s.Roles, programme.Role(role))
	}
	d := programme.StaffDetails{Staff: s.ID, NameUsed: s.NameUsed, FullName: s.FullName, Roles: s.Roles}
	made := programme.Made{ID: id(joined, "staff/"+f.Key+"/joined")}
	what := "programme.yaml: " + f.Key
	by := s
	if f.AddedBy == "" {
		r.add(joined, what, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.FirstLead(ctx, m, d)
		}, made)
	} else {
		if by, err = r.person(f.AddedBy); err != nil {
			return err
		}
		r.add(joined, what, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.PutStaff(ctx, by.Actor(), m, d)
		}, made)
	}
	if f.Left != "" {
		left, err := r.moment(f.Left)
		if err != nil {
			return err
		}
		s.Ended = true
		ended := d
		ended.Ended = true
		r.add(left, what+" leaves", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.PutStaff(ctx, by.Actor(), m, ended)
		}, programme.Made{ID: id(left, "staff/"+f.Key+"/left")})
	}
	r.staff[f.Key] = s
	r.p.Staff = append(r.p.Staff, s)
	return nil
}

func (r *reader) setting(f settingFile) error {
	at, err := r.moment(f.On)
	if err != nil {
		return err
	}
	by, err := r.person(f.By)
	if err != nil {
		return err
	}
	r.p.SignedSettings[f.Name] = f.Value
	v := programme.Setting{Name: f.Name, Value: f.Value, SignedBy: by.FullName + ", programme lead", SignedOn: programme.DateOf(at), Rationale: f.Rationale}
	r.add(at, "programme.yaml: setting "+f.Name, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.PutSetting(ctx, by.Actor(), m, v)
	}, programme.Made{ID: id(at, "setting/"+f.Name+"/"+f.On)})
	return nil
}

// pupil is one student while the file is read.
type pupil struct {
	*reader
	Student
	file      string
	guardians map[string]programme.ID
	facts     map[string]programme.ID       // the latest fact of a key: "hold/hip", "note/old", "push_out left fresh"
	within    map[programme.ID]programme.ID // the evaluation of a finding's fact
	last      time.Time
	at        time.Time // of the event being read
	by        Staff
	n         int // number of the event
}

func (r *reader) student(fsys fs.FS, name string) error {
	var f studentFile
	if err := unmarshal(fsys, name, &f); err != nil {
		return err
	}
	p := &pupil{reader: r, file: name, guardians: map[string]programme.ID{}, facts: map[string]programme.ID{},
		within: map[programme.ID]programme.ID{}}
	p.Key = strings.TrimSuffix(path.Base(name), ".yaml")
	p.NameUsed, p.Shows = f.Details.NameUsed, strings.Join(strings.Fields(f.Shows), " ")
	if err := p.begin(f.Met); err != nil {
		return fmt.Errorf("met: %w", err)
	}
	p.ID = id(p.at, "student/"+p.Key)
	r.p.Students = append(r.p.Students, p.Student)
	d, err := f.Details.details()
	if err != nil {
		return err
	}
	by := p.by
	p.step("added", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.AddStudent(ctx, by.Actor(), m, p.ID, d)
	})
	for _, key := range sortedKeys(f.Guardians) {
		g := f.Guardians[key]
		p.guardians[key] = id(p.at, "student/"+p.Key+"/guardian/"+key)
		v := programme.GuardianDetails{Guardian: p.guardians[key], Name: g.Name, Relation: g.Relation, Phone: g.Phone, MaySign: g.MaySign}
		p.step("guardian "+key, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.PutGuardian(ctx, by.Actor(), m, p.ID, v)
		})
	}
	for i := range f.Season {
		e := &f.Season[i]
		if err := p.event(e); err != nil {
			return fmt.Errorf("%s: %w", e.On, err)
		}
	}
	return nil
}

// begin takes the moment and the person of an event.
func (p *pupil) begin(e eventFile) error {
	var err error
	if p.at, err = p.moment(e.On); err != nil {
		return err
	}
	if p.at.Before(p.last) {
		return fmt.Errorf("comes after %s in the file; events are written in order", p.last.Format("2006-01-02 15:04"))
	}
	p.last = p.at
	p.n++
	p.by, err = p.person(e.By)
	return err
}

// made makes the id of what the event being read makes.
func (p *pupil) made(what string) programme.Made {
	return programme.Made{ID: id(p.at, fmt.Sprintf("student/%s/%d/%s", p.Key, p.n, what))}
}

func (p *pupil) where(what string) string {
	return p.file + ", " + p.at.Format("2006-01-02 15:04") + ": " + what
}

// step adds a step of one fact at the event's moment and returns the fact's id.
func (p *pupil) step(what string, do func(context.Context, programme.UseCases, programme.Made) (programme.Receipt, error)) programme.ID {
	made := p.made(what)
	p.add(p.at, p.where(what), do, made)
	return made.ID
}

func (p *pupil) event(e *eventFile) error {
	if got := e.kinds(); len(got) != 1 {
		return fmt.Errorf("holds %v; an entry holds exactly one thing", got)
	}
	if err := p.begin(*e); err != nil {
		return err
	}
	switch {
	case e.Details != nil:
		return p.details(e.Details)
	case e.Consents != nil:
		return p.consents(e.Consents)
	case e.Hold != nil:
		return p.hold(e.Hold)
	case e.Withdraw != nil:
		return p.withdraw(e.Withdraw)
	case e.Clearance != nil:
		return p.clearance(e.Clearance)
	case e.Evaluation != nil:
		return p.evaluation(e.Evaluation)
	case e.Findings != nil:
		return p.findings(p.at, "findings", "", e.Findings, nil, "")
	case e.Morning != nil:
		return p.morning(e.Morning)
	case e.CorrectFinding != nil:
		return p.correctFinding(e.CorrectFinding)
	case e.Note != nil:
		return p.note(e.Note)
	case e.SetUp != nil:
		return p.setUp(e.SetUp)
	case e.Measures != nil:
		return p.measures(e.Measures)
	case e.GearChanged != nil:
		return p.gearChange(e.GearChanged)
	case e.AskBinding != nil:
		return p.askBinding(e.AskBinding)
	case e.BindingTest != nil:
		return p.bindingTest(e.BindingTest)
	default:
		return p.correctNote(e.CorrectNote)
	}
}

func (f *detailsFile) details() (programme.StudentDetails, error) {
	born, err := programme.ParseDate(f.BirthDate)
	return programme.StudentDetails{NameUsed: f.NameUsed, FullName: f.FullName, Language: f.Language, BirthDate: born,
		BindsSelf: programme.BindsSelf(f.BindsSelf), Ended: f.Ended}, err
}

func (p *pupil) details(f *detailsFile) error {
	d, err := f.details()
	by := p.by
	p.step("details", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.ChangeStudent(ctx, by.Actor(), m, p.ID, d)
	})
	return err
}

func (p *pupil) consents(f *consentsFile) error {
	expires, err := programme.ParseDate(f.Expires)
	if err != nil {
		return err
	}
	answer := programme.ConsentGiven
	if f.Answer != "" {
		answer = programme.ConsentAnswer(f.Answer)
	}
	var signed []programme.Signature
	for _, who := range f.SignedBy {
		if who == "student" {
			signed = append(signed, programme.Signature{Student: true})
			continue
		}
		g, ok := p.guardians[who]
		if !ok {
			return fmt.Errorf("there is no guardian %q", who)
		}
		signed = append(signed, programme.Signature{Guardian: g})
	}
	by := p.by
	for _, kind := range f.Kinds {
		c := programme.Consent{Consent: programme.ConsentKind(kind), Answer: answer, Wording: f.Wording, SignedBy: signed,
			SignedOn: programme.DateOf(p.at), Expires: expires, OnPaper: f.OnPaper}
		p.step("consent "+kind, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.RecordConsent(ctx, by.Actor(), m, p.ID, c)
		})
	}
	return nil
}

func (p *pupil) hold(f *holdFile) error {
	h := programme.Hold{Reason: f.Reason, Clearer: f.Clearer}
	by := p.by
	p.facts["hold/"+f.Key] = p.step("hold "+f.Key, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.RaiseHold(ctx, by.Actor(), m, p.ID, h)
	})
	return nil
}

// holdID finds the id of a hold: one raised by hand has it from the file, one
// that a gate rule asked for has it from the programme, and is looked up as it
// stood at the moment of the event.
func (p *pupil) holdID(key string) func(context.Context, programme.UseCases) (programme.ID, error) {
	at := p.at
	if found, ok := p.facts["hold/"+key]; ok {
		return func(context.Context, programme.UseCases) (programme.ID, error) { return found, nil }
	}
	reader := programme.Actor{Staff: p.by.ID, Roles: []programme.Role{programme.Instructor}} // opens no medical detail
	return func(ctx context.Context, uc programme.UseCases) (programme.ID, error) {
		r, err := uc.StudentAt(ctx, reader, p.ID, programme.AsOf{Time: at})
		if err != nil {
			return "", err
		}
		for i := len(r.Holds) - 1; i >= 0; i-- {
			if r.Holds[i].Rule == key {
				return r.Holds[i].ID, nil
			}
		}
		return "", programme.Refuse(programme.CodeNotFound, "No hold of rule %s was raised by then.", key)
	}
}

func (p *pupil) withdraw(f *withdrawFile) error {
	hold, by, why := p.holdID(f.Hold), p.by, programme.Retraction{Reason: f.Reason}
	p.step("withdraw "+f.Hold, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		id, err := hold(ctx, uc)
		if err != nil {
			return programme.Receipt{}, err
		}
		return uc.Retract(ctx, by.Actor(), m, p.ID, id, why)
	})
	return nil
}

func (p *pupil) clearance(f *clearanceFile) error {
	on, err := programme.ParseDate(f.ClearedOn)
	if err != nil {
		return err
	}
	until, err := programme.ParseDate(f.ValidUntil)
	if err != nil {
		return err
	}
	c := programme.Clearance{ClearedBy: f.ClearedBy, Licence: f.Licence, InWriting: true, ClearedOn: on, ValidUntil: until,
		Paper: f.Paper, Limits: f.Limits}
	hold, by := p.holdID(f.Hold), p.by
	p.step("clearance "+f.Hold, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		id, err := hold(ctx, uc)
		if err != nil {
			return programme.Receipt{}, err
		}
		c := c
		c.Hold = id
		return uc.RecordClearance(ctx, by.Actor(), m, p.ID, c)
	})
	return nil
}

// morning records the short look at the door.
func (p *pupil) morning(f *morningFile) error {
	lines, has := slices.Clone(f.Findings), map[string]bool{}
	for _, l := range lines {
		has[l.finding] = true
	}
	for _, id := range programme.AskedEachDay() {
		if d, ok := finding.Lookup(id); ok && !has[id] {
			lines = append(lines, line{id, "none", "both", d.Normal})
		}
	}
	return p.findings(p.at, "morning", "", lines, nil, "at the door")
}

func (p *pupil) evaluation(f *evaluationFile) error {
	begun := programme.EvaluationBegun{Reason: f.Reason}
	by, start := p.by, p.at
	evaluation := p.step("evaluation", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.BeginEvaluation(ctx, by.Actor(), m, p.ID, begun)
	})
	all, err := f.Findings.withNothing(f.Nothing, p.facts)
	if err != nil {
		return err
	}
	var fresh, tired sheet
	for _, l := range all {
		if l.state == "tired" {
			tired = append(tired, l)
		} else {
			fresh = append(fresh, l)
		}
	}
	for _, part := range []struct {
		after time.Duration
		what  string
		lines sheet
	}{{freshAfter, "fresh", fresh}, {tiredAfter, "tired", tired}} {
		if len(part.lines) > 0 {
			if err := p.findings(start.Add(part.after), part.what, evaluation, part.lines, f.Said, f.How); err != nil {
				return err
			}
		}
	}
	if f.Closed == "" && f.Broken == "" {
		return nil
	}
	c := programme.EvaluationClosed{Evaluation: evaluation, Summary: f.Closed + f.Broken, Complete: f.Closed != ""}
	made := p.made("closed")
	p.add(start.Add(closeAfter), p.where("evaluation closed"), func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.CloseEvaluation(ctx, by.Actor(), m, p.ID, c)
	}, made)
	return nil
}

// withNothing adds the normal value of every finding of the named tests that
// neither the sheet nor an earlier fact mentions: asked or looked at, nothing
// to note.
func (s sheet) withNothing(tests []string, earlier map[string]programme.ID) (sheet, error) {
	left := map[string]bool{}
	for _, t := range tests {
		left[t] = true
	}
	has := map[string]bool{}
	for _, l := range s {
		has[l.finding+" "+l.side] = true
	}
	out := slices.Clone(s)
	known := map[string]bool{}
	for _, d := range finding.All() {
		known[d.Test] = true
		if !left[d.Test] || d.Normal == "" || programme.FromRecord(d.ID) {
			continue
		}
		for _, k := range d.Keys() {
			side := "none"
			if k.Side != finding.NoSide {
				side = k.Side.Word()
			}
			if k.State == finding.Fresh && !has[d.ID+" "+side] && earlier[d.ID+" "+side+" fresh"] == "" {
				out = append(out, line{d.ID, side, "both", d.Normal})
			}
		}
	}
	for _, t := range tests {
		if !known[t] {
			return nil, fmt.Errorf("there is no test %q", t)
		}
	}
	return out, nil
}

// factKey is how the latest fact of a finding is remembered.
func factKey(name, state string) string {
	f, side := place(name)
	return f + " " + side + " " + state
}

// findings adds one step that records all values of a sheet.
func (p *pupil) findings(at time.Time, what string, evaluation programme.ID, lines sheet, said map[string]string, how string) error {
	values := make([]programme.NewFinding, 0, len(lines))
	for _, l := range lines {
		made := p.made(what + " " + l.finding + " " + l.side + " " + l.state)
		values = append(values, programme.NewFinding{Made: made, Finding: programme.Finding{
			FindingKey: programme.FindingKey{Finding: l.finding, Side: l.side, State: l.state},
			Value:      l.value, How: how, Note: said[l.finding], Evaluation: evaluation}})
		for _, state := range []string{"fresh", "tired"} {
			if l.state == state || l.state == "both" {
				p.facts[l.finding+" "+l.side+" "+state] = made.ID
			}
		}
		p.within[made.ID] = evaluation
	}
	by := p.by
	p.p.steps = append(p.p.steps, step{at, p.where(what), func(ctx context.Context, uc programme.UseCases) ([]programme.Receipt, error) {
		return uc.RecordFindings(ctx, by.Actor(), p.ID, slices.Clone(values))
	}})
	return nil
}

func (p *pupil) correctFinding(f *correctFile) error {
	state := f.State
	if state == "" {
		state = "both"
	}
	look := state
	if look == "both" {
		look = "fresh"
	}
	earlier, ok := p.facts[factKey(f.Finding, look)]
	if !ok {
		return fmt.Errorf("there is no finding %q to correct", f.Finding)
	}
	name, side := place(f.Finding)
	v := programme.Finding{FindingKey: programme.FindingKey{Finding: name, Side: side, State: state}, Value: f.Value, Note: f.Note,
		Evaluation: p.within[earlier]}
	by := p.by
	fact := p.step("correct "+f.Finding+" "+state, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.CorrectFinding(ctx, by.Actor(), m, p.ID, earlier, v)
	})
	p.facts[factKey(f.Finding, look)] = fact
	p.within[fact] = p.within[earlier]
	return nil
}

func (f *noteFile) note() programme.Note {
	n := programme.Note{Class: programme.NoteClass(f.Class), About: f.About, Text: strings.TrimSpace(f.Text)}
	if n.Class == "" {
		n.Class = programme.NoteWork
	}
	return n
}

func (p *pupil) note(f *noteFile) error {
	by, n := p.by, f.note()
	fact := p.step("note", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.AddNote(ctx, by.Actor(), m, p.ID, n)
	})
	if f.Key != "" {
		p.facts["note/"+f.Key] = fact
	}
	return nil
}

func (p *pupil) correctNote(f *noteFile) error {
	earlier, ok := p.facts["note/"+f.Key]
	if !ok {
		return fmt.Errorf("there is no note %q before this", f.Key)
	}
	by, n := p.by, f.note()
	p.facts["note/"+f.Key] = p.step("correct note "+f.Key, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.CorrectNote(ctx, by.Actor(), m, p.ID, earlier, n)
	})
	return nil
}

func sortedKeys(m map[string]guardianFile) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
