package programme

import (
	"context"
	"slices"
)

// RecordConsent implements [UseCases].
func (s *Service) RecordConsent(ctx context.Context, a Actor, m Made, student ID, c Consent) (Receipt, error) {
	return s.consent(ctx, a, m, student, "", c)
}

// CorrectConsent implements [UseCases].
func (s *Service) CorrectConsent(ctx context.Context, a Actor, m Made, student, earlier ID, c Consent) (Receipt, error) {
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	return s.consent(ctx, a, m, student, earlier, c)
}

func (s *Service) consent(ctx context.Context, a Actor, m Made, student, earlier ID, c Consent) (Receipt, error) {
	if err := allow(a, WriteConsent); err != nil {
		return Receipt{}, err
	}
	n, err := s.numbers(ctx)
	if err != nil {
		return Receipt{}, err
	}
	if err := c.check(s.today(), n.ConsentMonths); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindConsent, earlier, c)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		if err := mayCorrect(r, earlier, KindConsent, "consent"); err != nil {
			return err
		}
		for _, sig := range c.SignedBy {
			if sig.Guardian == "" {
				continue
			}
			i := slices.IndexFunc(r.Guardians, func(g GuardianState) bool { return g.Guardian == sig.Guardian })
			switch {
			case i < 0:
				return Refuse(CodeNotFound, "The guardian who signed is not in this student's record. Add the guardian first.")
			case !r.Guardians[i].MaySign || r.Guardians[i].Ended:
				return Refuse(CodeInvalid, "%s may not sign for this student.", r.Guardians[i].Name)
			}
		}
		if c.Answer != ConsentGiven {
			return nil
		}
		rule, _ := ConsentRuleOf(c.Consent)
		if ok, why := signedEnough(rule, c, r.StudentDetails, n.AdultAgeYears); !ok {
			return Refuse(CodeInvalid, "%s is not signed by everybody who must sign: %s.", rule.Label, why)
		}
		return nil
	})
}

// mayCorrect checks what a correction names; "" names nothing.
func mayCorrect(r Record, earlier ID, kind Kind, what string) error {
	if earlier == "" {
		return nil
	}
	e, err := standing(r, earlier, what)
	if err == nil && e.Kind != kind {
		err = Refuse(CodeInvalid, "That is not a %s.", what)
	}
	return err
}

// RaiseHold implements [UseCases].
func (s *Service) RaiseHold(ctx context.Context, a Actor, m Made, student ID, h Hold) (Receipt, error) {
	if err := allow(a, RaiseHoldAct); err != nil {
		return Receipt{}, err
	}
	if h.Rule != "" {
		if err := s.Vocabulary.CheckGate(h.Rule); err != nil {
			return Receipt{}, err
		}
	}
	if err := h.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindHold, "", h)
	if err != nil {
		return Receipt{}, err
	}
	var had *HoldState
	got, err := s.putOn(ctx, f, func(r Record) error {
		newest, err := newestOf(r, h)
		if err != nil {
			return err
		}
		if had = sameHold(r, h, newest); had != nil {
			return errSameHold
		}
		return nil
	})
	if err == errSameHold {
		return Receipt{ID: had.ID, Outcome: Exists, Seq: had.Seq, RecordedAt: had.RecordedAt}, nil
	}
	return got, err
}

var errSameHold = Refuse(CodeConflict, "This hold is there already.")

// newestOf returns the latest sequence among the facts a hold rests on, which
// must all stand in the record.
func newestOf(r Record, h Hold) (int64, error) {
	newest := int64(0)
	for _, id := range h.Because {
		e, err := standing(r, id, "fact for the hold")
		if err != nil {
			return 0, err
		}
		newest = max(newest, e.Seq)
	}
	return newest, nil
}

// sameHold finds the hold of the same rule that makes another one needless:
// one that is open, or one whose clearance was recorded after everything the
// new one rests on.
func sameHold(r Record, h Hold, newest int64) *HoldState {
	if h.Rule == "" {
		return nil
	}
	for i := len(r.Holds) - 1; i >= 0; i-- {
		o := &r.Holds[i]
		if o.Rule != h.Rule || o.Status == HoldWithdrawn {
			continue
		}
		if o.Status == HoldOpen {
			return o
		}
		for _, c := range o.Clearances {
			if c.Counts && c.Seq > newest {
				return o
			}
		}
	}
	return nil
}

// RecordClearance implements [UseCases].
func (s *Service) RecordClearance(ctx context.Context, a Actor, m Made, student ID, c Clearance) (Receipt, error) {
	if err := allow(a, RecordClears); err != nil {
		return Receipt{}, err
	}
	n, err := s.numbers(ctx)
	if err != nil {
		return Receipt{}, err
	}
	if err := c.check(s.today(), n.ClearanceMonths); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindClearance, "", c)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		h, ok := r.HoldByID(c.Hold)
		switch {
		case !ok:
			return Refuse(CodeNotFound, "This student's record has no such hold.")
		case h.Status == HoldWithdrawn:
			return Refuse(CodeConflict, "That hold was withdrawn.")
		case !h.MayClear(c.Licence):
			label, _ := clearerLabel(c.Licence)
			return Refuse(CodeNotClearance, "This hold is not cleared by: %s. It needs: %s.", label, h.Clearer)
		}
		return s.newLetter(r, h, c)
	})
}

// newLetter refuses a letter older than a hold that was raised anew after an
// earlier clearance: the old letter did not know of the new reason.
func (s *Service) newLetter(r Record, h HoldState, c Clearance) error {
	raised := DateOf(h.RecordedAt.In(s.Zone))
	for _, o := range r.Holds {
		if h.Rule == "" || o.Rule != h.Rule || o.ID == h.ID {
			continue
		}
		for _, oc := range o.Clearances {
			if oc.Seq < h.Seq && c.ClearedOn.Before(raised) {
				return Refuse(CodeNotClearance, "This hold was raised anew on %s. The letter of %s is older and does not clear it.", raised, c.ClearedOn)
			}
		}
	}
	return nil
}

// Retract implements [UseCases].
func (s *Service) Retract(ctx context.Context, a Actor, m Made, student, earlier ID, why Retraction) (Receipt, error) {
	if a.Staff == "" {
		return Receipt{}, allow(a, ReadIdentity)
	}
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	if err := why.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindRetraction, earlier, why)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		e, err := standing(r, earlier, "fact")
		if err != nil {
			return err
		}
		return mayRetract(a, r, e)
	})
}

// mayRetract checks the right to take a fact out of the record.
func mayRetract(a Actor, r Record, e Entry) error {
	switch e.Kind {
	case KindStudent:
		return Refuse(CodeConflict, "A student's details are changed, not retracted.")
	case KindCard:
		return Refuse(CodeConflict, "A card that was printed stays in the record.")
	case KindRetraction:
		return Refuse(CodeConflict, "A retraction stays. Record the fact anew.")
	case KindGuardian:
		return allow(a, WriteStudent)
	case KindConsent:
		return allow(a, WriteConsent)
	case KindClearance:
		return allow(a, RecordClears)
	case KindEvaluationBegun, KindEvaluationClosed, KindFinding:
		return allow(a, Evaluate)
	case KindNote:
		if isMedicalNote(r, e.Fact) {
			return allow(a, WriteMedical)
		}
		return allow(a, WriteNote)
	case KindHold:
		return mayWithdraw(a, r, e)
	case KindMeasured:
		return allow(a, WriteSetUp)
	case KindSetUpProposed, KindSetUpMeasured, KindSetUpSigned, KindGearChanged, KindBindingRequested, KindBindingRecorded:
		return mayRetractGear(a, r, e)
	case KindSnow, KindAttempt, KindLessonOpened, KindLessonClosed:
		return allow(a, LogSnow)
	case KindHillChoice, KindLiftTimes, KindStops, KindEffort:
		return allow(a, PlanHill)
	}
	return Refuse(CodeConflict, "This kind of fact cannot be retracted.")
}

// mayWithdraw checks that a hold was recorded in error: withdrawing must not
// become a way of clearing.
func mayWithdraw(a Actor, r Record, e Entry) error {
	if err := allow(a, RecordClears); err != nil {
		return err
	}
	if slices.Contains(a.Roles, MedicalReviewer) {
		return nil
	}
	h, _ := r.HoldByID(e.First)
	if h.Rule == "" && e.By == a.Staff {
		return nil
	}
	gone := 0
	for _, id := range h.Because {
		if _, err := standing(r, id, "fact"); err != nil || replaced(r, id) {
			gone++
		}
	}
	if gone > 0 && gone == len(h.Because) {
		return nil
	}
	return Refuse(CodeNotAllowed, "A hold is not withdrawn to end it: record a written clearance. The lead may withdraw it only once every finding it rests on was corrected; the medical reviewer may do so if it was recorded in error.")
}

// replaced tells whether a fact was corrected by a later one.
func replaced(r Record, id ID) bool {
	return slices.ContainsFunc(r.Log, func(e Entry) bool { return e.Fact == id && e.Standing == Corrected })
}
