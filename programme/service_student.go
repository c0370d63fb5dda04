package programme

import (
	"context"
	"slices"
	"strings"
	"time"
)

// AddStudent implements [UseCases].
func (s *Service) AddStudent(ctx context.Context, a Actor, m Made, student ID, d StudentDetails) (Receipt, error) {
	if err := allow(a, WriteStudent); err != nil {
		return Receipt{}, err
	}
	if err := student.Check(); err != nil {
		return Receipt{}, err
	}
	if err := d.check(s.today()); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindStudent, "", d)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, func() error {
		old, err := s.Store.Facts(ctx, Query{Student: student, Limit: 1})
		if err == nil && len(old) > 0 {
			err = idTaken(student)
		}
		return err
	})
}

// ChangeStudent implements [UseCases].
func (s *Service) ChangeStudent(ctx context.Context, a Actor, m Made, student ID, d StudentDetails) (Receipt, error) {
	if err := allow(a, WriteStudent); err != nil {
		return Receipt{}, err
	}
	if err := d.check(s.today()); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindStudent, "", d)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, nil)
}

// PutGuardian implements [UseCases].
func (s *Service) PutGuardian(ctx context.Context, a Actor, m Made, student ID, g GuardianDetails) (Receipt, error) {
	if err := allow(a, WriteStudent); err != nil {
		return Receipt{}, err
	}
	if err := g.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindGuardian, "", g)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		if len(r.Guardians) >= MaxGuardians &&
			!slices.ContainsFunc(r.Guardians, func(o GuardianState) bool { return o.Guardian == g.Guardian }) {
			return Refuse(CodeInvalid, "A student has at most %d guardians.", MaxGuardians)
		}
		return nil
	})
}

// lineKinds are the facts that the list of students is made from.
var lineKinds = []Kind{KindStudent, KindGuardian, KindConsent, KindHold, KindClearance,
	KindEvaluationBegun, KindEvaluationClosed, KindRetraction}

// Students implements [UseCases].
func (s *Service) Students(ctx context.Context, a Actor, ended bool) ([]StudentLine, error) {
	if err := allow(a, ReadIdentity); err != nil {
		return nil, err
	}
	facts, err := s.Store.Facts(ctx, Query{Everyone: true, Kinds: lineKinds})
	if err != nil {
		return nil, err
	}
	j, err := s.judging(ctx, AsOf{})
	if err != nil {
		return nil, err
	}
	of := map[ID][]Fact{}
	for _, f := range facts {
		if f.Student != "" {
			of[f.Student] = append(of[f.Student], f)
		}
	}
	lines := make([]StudentLine, 0, len(of))
	for id, facts := range of {
		r := RecordOf(id, facts, j)
		if r.Ended && !ended || r.NameUsed == "" {
			continue
		}
		l := line(r, facts[0].RecordedAt)
		r.redact(a)
		l.FullName = r.FullName
		if !a.May(ReadHold) {
			l.HoldRules = nil
		}
		lines = append(lines, l)
	}
	slices.SortFunc(lines, func(x, y StudentLine) int {
		if c := strings.Compare(strings.ToLower(x.NameUsed), strings.ToLower(y.NameUsed)); c != 0 {
			return c
		}
		return strings.Compare(string(x.Student), string(y.Student))
	})
	return lines, nil
}

func line(r Record, added time.Time) StudentLine {
	l := StudentLine{Student: r.Student, NameUsed: r.NameUsed, FullName: r.FullName, Language: r.Language,
		AgeNow: r.AgeNow, AgeKnown: r.AgeKnown, Ended: r.Ended, Added: added,
		WaiverValid: r.ConsentOf(ConsentWaiver).Valid}
	for _, h := range r.OpenHolds() {
		l.Held = true
		l.HoldRules = append(l.HoldRules, h.Rule)
	}
	_, l.Evaluating = r.OpenEvaluation()
	if e, ok := r.LastEvaluation(); ok {
		l.LastEvaluated = e.Closing.RecordedAt
	}
	return l
}

// StudentAt implements [UseCases].
func (s *Service) StudentAt(ctx context.Context, a Actor, student ID, at AsOf) (Record, error) {
	if err := allow(a, ReadIdentity); err != nil {
		return Record{}, err
	}
	r, err := s.load(ctx, student, at)
	if err != nil {
		return Record{}, err
	}
	if r.Forgotten {
		return Record{}, errForgotten
	}
	if r.medical() && r.opens(a, ReadMedical) {
		err := s.Store.LogReading(ctx, Reading{At: s.Clock.Now(), Staff: a.Staff, Student: student, What: ReadRecord})
		if err != nil {
			return Record{}, err // what cannot be logged is not shown
		}
	}
	r.redact(a)
	return r, nil
}

// medical tells whether the record holds something that only ReadMedical shows.
func (r *Record) medical() bool {
	for _, h := range r.Holds {
		if h.Rule == "" || len(h.Clearances) > 0 {
			return true
		}
	}
	return slices.ContainsFunc(r.Notes, func(n NoteState) bool { return n.Class == NoteMedical })
}

// redact empties what the actor may not read.
func (r *Record) redact(a Actor) {
	for _, act := range []Action{ReadContact, ReadHold, ReadWork, ReadBinding, ReadMedical} {
		if !r.opens(a, act) {
			r.Hidden = append(r.Hidden, act)
		}
	}
	if !a.May(ReadContact) {
		r.FullName, r.BirthDate, r.Guardians = "", Date{}, nil
		for i := range r.Consents {
			r.Consents[i].SignedBy = nil
		}
	}
	if !a.May(ReadWork) {
		r.Findings, r.history, r.Evaluations, r.Notes, r.Cards, r.Log = nil, nil, nil, nil, nil, nil
		r.SetUps, r.GearChanges, r.Measures, r.Hill = nil, nil, nil, OnHill{}
		r.Snow, r.HeldItems, r.Lessons, r.Attempts = nil, nil, nil, nil
	}
	if !a.May(ReadBinding) {
		r.Bindings = nil
	}
	if !a.May(ReadHold) {
		r.Holds = nil
	}
	open := r.opens(a, ReadMedical)
	if !a.May(Assign) {
		r.Assigned = nil
	}
	if open {
		return
	}
	r.Notes = slices.DeleteFunc(r.Notes, func(n NoteState) bool { return n.Class == NoteMedical })
	for i := range r.Log {
		r.Log[i].Reason = ""
	}
	for i := range r.Holds {
		h := &r.Holds[i]
		if h.Rule == "" || !a.May(ReadWork) {
			h.Reason = "The lead and the medical reviewer can read why."
		}
		h.Withdrawn = ""
		if h.Status == HoldWithdrawn {
			h.Why = "Withdrawn as recorded in error."
		}
		for k := range h.Clearances {
			h.Clearances[k].ClearedBy, h.Clearances[k].Paper = "", ""
		}
	}
}

// ForgetStudent implements [UseCases].
func (s *Service) ForgetStudent(ctx context.Context, a Actor, student ID) error {
	if err := allow(a, Forget); err != nil {
		return err
	}
	if err := student.Check(); err != nil {
		return err
	}
	if s.Keys == nil {
		return Refuse(CodeConflict, "This store keeps no keys, so a student's text cannot be destroyed.")
	}
	got, err := s.Store.Facts(ctx, Query{Student: student, Limit: 1})
	if err != nil {
		return err
	}
	if len(got) == 0 {
		return Refuse(CodeNotFound, "There is no such student here.")
	}
	if !got[0].Forgotten {
		err := s.Store.LogReading(ctx, Reading{At: s.Clock.Now(), Staff: a.Staff, Student: student, What: ReadForgotten})
		if err != nil {
			return err // who had somebody forgotten is known, or nobody is
		}
	}
	return asError(s.Keys.Destroy(ctx, student))
}
