package programme

import (
	"context"
	"slices"
)

// BeginEvaluation implements [UseCases].
func (s *Service) BeginEvaluation(ctx context.Context, a Actor, m Made, student ID, e EvaluationBegun) (Receipt, error) {
	if err := allow(a, Evaluate); err != nil {
		return Receipt{}, err
	}
	if err := e.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindEvaluationBegun, "", e)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		if _, open := r.OpenEvaluation(); open {
			return Refuse(CodeConflict, "An evaluation of this student is open. Close it first.")
		}
		return nil
	})
}

// CloseEvaluation implements [UseCases].
func (s *Service) CloseEvaluation(ctx context.Context, a Actor, m Made, student ID, e EvaluationClosed) (Receipt, error) {
	if err := allow(a, Evaluate); err != nil {
		return Receipt{}, err
	}
	if err := e.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindEvaluationClosed, "", e)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error { return mustBeOpen(r, e.Evaluation) })
}

func mustBeOpen(r Record, evaluation ID) error {
	for _, o := range r.Evaluations {
		if o.ID == evaluation {
			if o.Closed {
				return Refuse(CodeConflict, "That evaluation is closed.")
			}
			return nil
		}
	}
	return Refuse(CodeNotFound, "This student's record has no such evaluation.")
}

// RecordFindings implements [UseCases].
func (s *Service) RecordFindings(ctx context.Context, a Actor, student ID, fs []NewFinding) ([]Receipt, error) {
	if err := allow(a, Evaluate); err != nil {
		return nil, err
	}
	if len(fs) == 0 {
		return nil, Refuse(CodeInvalid, "There is nothing to record.")
	}
	if len(fs) > MaxBatch {
		return nil, Refuse(CodeInvalid, "At most %d findings are recorded at once.", MaxBatch)
	}
	fs = slices.Clone(fs) // what is normalised stays ours
	facts := make([]Fact, len(fs))
	ids := map[ID]bool{}
	keys := map[FindingKey]bool{}
	for i, n := range fs {
		if err := s.checkFinding(a, &n.Finding); err != nil {
			return nil, err
		}
		if err := once(keys, n.FindingKey); err != nil {
			return nil, err
		}
		f, err := s.fact(a, n.Made, student, KindFinding, "", n.Finding)
		if err != nil {
			return nil, err
		}
		if ids[f.ID] {
			return nil, Refuse(CodeInvalid, "The id %s stands for two findings. Nothing was saved.", f.ID)
		}
		ids[f.ID] = true
		fs[i].Finding, facts[i] = n.Finding, f
	}
	defer s.lock(student)()
	r, old, err := s.loadFacts(ctx, student, AsOf{})
	if err != nil {
		return nil, err
	}
	if err := s.findingsFit(ctx, r, fs, facts); err != nil {
		return nil, err
	}
	return s.appendWithHolds(ctx, a, student, old, facts)
}

// appendWithHolds appends findings together with the holds that the gate rules
// ask for because of them.
func (s *Service) appendWithHolds(ctx context.Context, a Actor, student ID, old, facts []Fact) ([]Receipt, error) {
	all := facts
	if s.Holds != nil {
		holds, err := s.holdsFor(ctx, a, student, old, facts)
		if err != nil {
			return nil, err
		}
		all = append(slices.Clip(facts), holds...)
	}
	got, err := s.Store.Append(ctx, s.Clock.Now(), all...)
	if err != nil {
		return nil, err
	}
	return got[:len(facts)], nil
}

// holdsFor looks at the record as it will be and returns the holds it lacks.
func (s *Service) holdsFor(ctx context.Context, a Actor, student ID, old, facts []Fact) ([]Fact, error) {
	there := map[ID]bool{}
	for _, f := range old {
		there[f.ID] = true
	}
	soon, seq := slices.Clip(old), old[len(old)-1].Seq
	for _, f := range facts {
		if !there[f.ID] {
			seq++
			f.Seq, f.RecordedAt = seq, s.Clock.Now()
			soon = append(soon, f)
		}
	}
	j, err := s.judging(ctx, AsOf{})
	if err != nil {
		return nil, err
	}
	r := RecordOf(student, soon, j)
	var out []Fact
	for _, h := range s.Holds(r) {
		if err := h.check(); err != nil {
			return nil, err
		}
		newest, err := newestOf(r, h)
		if err != nil {
			return nil, err
		}
		if sameHold(r, h, newest) != nil {
			continue
		}
		f, err := s.fact(a, Made{}, student, KindHold, "", h)
		if err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// checkFinding checks one value by itself, and the right to say that a
// licensed person's paper is on file.
func (s *Service) checkFinding(a Actor, f *Finding) error {
	if err := f.check(s.Vocabulary); err != nil {
		return asError(err)
	}
	if s.Vocabulary.NeedsPaper(f.Finding, f.Value) {
		return allow(a, RecordClears)
	}
	return nil
}

// once refuses a finding that is given twice in one call.
func once(keys map[FindingKey]bool, k FindingKey) error {
	states := []string{k.State}
	if k.State == "both" {
		states = []string{"fresh", "tired"}
	}
	for _, st := range states {
		k.State = st
		if keys[k] {
			return Refuse(CodeInvalid, "%s (%s, %s) is given twice. Nothing was saved.", k.Finding, k.Side, st)
		}
		keys[k] = true
	}
	return nil
}

// findingsFit checks new findings against the record; those that are there
// already were checked when they came.
func (s *Service) findingsFit(ctx context.Context, r Record, fs []NewFinding, facts []Fact) error {
	for i, f := range facts {
		had, err := s.already(ctx, f)
		if err != nil {
			return err
		}
		if had != nil || fs[i].Evaluation == "" {
			continue
		}
		if err := mustBeOpen(r, fs[i].Evaluation); err != nil {
			return err
		}
	}
	return nil
}

// CorrectFinding implements [UseCases].
func (s *Service) CorrectFinding(ctx context.Context, a Actor, m Made, student, earlier ID, v Finding) (Receipt, error) {
	if err := allow(a, Evaluate); err != nil {
		return Receipt{}, err
	}
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	if err := s.checkFinding(a, &v); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindFinding, earlier, v)
	if err != nil {
		return Receipt{}, err
	}
	defer s.lock(student)()
	if had, err := s.already(ctx, f); err != nil {
		return Receipt{}, err
	} else if had != nil {
		return *had, nil
	}
	r, old, err := s.loadFacts(ctx, student, AsOf{})
	if err != nil {
		return Receipt{}, err
	}
	if err := mayCorrect(r, earlier, KindFinding, "finding"); err != nil {
		return Receipt{}, err
	}
	if v.Evaluation != "" && !slices.ContainsFunc(r.Evaluations, func(e EvaluationState) bool { return e.ID == v.Evaluation }) {
		return Receipt{}, Refuse(CodeNotFound, "This student's record has no such evaluation.")
	}
	got, err := s.appendWithHolds(ctx, a, student, old, []Fact{f})
	if err != nil {
		return Receipt{}, err
	}
	return got[0], nil
}

// AddNote implements [UseCases].
func (s *Service) AddNote(ctx context.Context, a Actor, m Made, student ID, n Note) (Receipt, error) {
	return s.note(ctx, a, m, student, "", n)
}

// CorrectNote implements [UseCases].
func (s *Service) CorrectNote(ctx context.Context, a Actor, m Made, student, earlier ID, n Note) (Receipt, error) {
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	return s.note(ctx, a, m, student, earlier, n)
}

func (s *Service) note(ctx context.Context, a Actor, m Made, student, earlier ID, n Note) (Receipt, error) {
	act := WriteNote
	if n.Class == NoteMedical {
		act = WriteMedical
	}
	if err := allow(a, act); err != nil {
		return Receipt{}, err
	}
	if err := n.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindNote, earlier, n)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		if err := mayCorrect(r, earlier, KindNote, "note"); err != nil {
			return err
		}
		if isMedicalNote(r, earlier) {
			return allow(a, WriteMedical)
		}
		return nil
	})
}

// isMedicalNote tells whether a fact belongs to a medical note.
func isMedicalNote(r Record, id ID) bool {
	for _, e := range r.Log {
		if e.Fact == id {
			return slices.ContainsFunc(r.Notes, func(n NoteState) bool {
				return n.First == e.First && n.Class == NoteMedical
			})
		}
	}
	return false
}
