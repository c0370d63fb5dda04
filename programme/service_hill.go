package programme

import "context"

// hill returns the hill as of a moment.
func (s *Service) hill(ctx context.Context, at AsOf) (Hill, error) {
	facts, err := s.Store.Facts(ctx, Query{Kinds: hillKinds, UpTo: at.Seq, UpToTime: at.Time})
	if err != nil {
		return Hill{}, err
	}
	return HillOf(facts), nil
}

// HillAt implements [UseCases].
func (s *Service) HillAt(ctx context.Context, a Actor, at AsOf) (Hill, error) {
	if err := allow(a, ReadHill); err != nil {
		return Hill{}, err
	}
	return s.hill(ctx, at)
}

// putHill appends a fact of the hill once check accepted it.
func (s *Service) putHill(ctx context.Context, a Actor, m Made, kind Kind, names ID, payload any, check func(Hill) error) (Receipt, error) {
	f, err := s.fact(a, m, "", kind, names, payload)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, func() error {
		if check == nil {
			return nil
		}
		h, err := s.hill(ctx, AsOf{})
		if err == nil {
			err = check(h)
		}
		return err
	})
}

// PutSlope implements [UseCases].
func (s *Service) PutSlope(ctx context.Context, a Actor, m Made, d SlopeDetails) (Receipt, error) {
	if err := allow(a, WriteHill); err != nil {
		return Receipt{}, err
	}
	if err := d.check(); err != nil {
		return Receipt{}, err
	}
	return s.putHill(ctx, a, m, KindSlope, "", d, func(h Hill) error {
		for _, o := range h.Slopes {
			if o.Slope != d.Slope && !o.Ended && !d.Ended && sameName(o.Name, d.Name) {
				return Refuse(CodeConflict, "There is a slope called %s already.", d.Name)
			}
		}
		return nil
	})
}

// PutLift implements [UseCases].
func (s *Service) PutLift(ctx context.Context, a Actor, m Made, d LiftDetails) (Receipt, error) {
	if err := allow(a, WriteHill); err != nil {
		return Receipt{}, err
	}
	if err := d.check(s.today()); err != nil {
		return Receipt{}, err
	}
	return s.putHill(ctx, a, m, KindLift, "", d, func(h Hill) error {
		for _, o := range h.Lifts {
			if o.Lift != d.Lift && !o.Ended && !d.Ended && sameName(o.Name, d.Name) {
				return Refuse(CodeConflict, "There is a lift called %s already.", d.Name)
			}
		}
		return nil
	})
}

// PutDay implements [UseCases].
func (s *Service) PutDay(ctx context.Context, a Actor, m Made, d DayDetails) (Receipt, error) {
	if err := allow(a, WriteDay); err != nil {
		return Receipt{}, err
	}
	if err := d.check(); err != nil {
		return Receipt{}, err
	}
	return s.putHill(ctx, a, m, KindDay, "", d, nil)
}

// RecordGlides implements [UseCases].
func (s *Service) RecordGlides(ctx context.Context, a Actor, m Made, g TimedGlides) (Receipt, error) {
	return s.glides(ctx, a, m, "", g)
}

// CorrectGlides implements [UseCases].
func (s *Service) CorrectGlides(ctx context.Context, a Actor, m Made, earlier ID, g TimedGlides) (Receipt, error) {
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	return s.glides(ctx, a, m, earlier, g)
}

func (s *Service) glides(ctx context.Context, a Actor, m Made, earlier ID, g TimedGlides) (Receipt, error) {
	if err := allow(a, WriteDay); err != nil {
		return Receipt{}, err
	}
	if err := g.check(s.today()); err != nil {
		return Receipt{}, err
	}
	return s.putHill(ctx, a, m, KindGlides, earlier, g, func(h Hill) error {
		if _, ok := h.SlopeByID(g.Slope); !ok {
			return Refuse(CodeNotFound, "The programme's hill has no such slope.")
		}
		if earlier == "" {
			return nil
		}
		return h.glidesStand(earlier)
	})
}

// RetractGlides implements [UseCases].
func (s *Service) RetractGlides(ctx context.Context, a Actor, m Made, earlier ID, why Retraction) (Receipt, error) {
	if err := allow(a, WriteDay); err != nil {
		return Receipt{}, err
	}
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	if err := why.check(); err != nil {
		return Receipt{}, err
	}
	return s.putHill(ctx, a, m, KindRetraction, earlier, why, func(h Hill) error { return h.glidesStand(earlier) })
}

// glidesStand refuses what is not, or no longer, among the glides.
func (h Hill) glidesStand(id ID) error {
	for _, g := range h.Glides {
		if g.Fact == id || g.First == id {
			return nil
		}
	}
	return Refuse(CodeNotFound, "There are no such glides, or they were taken back.")
}

// ChooseHill implements [UseCases].
func (s *Service) ChooseHill(ctx context.Context, a Actor, m Made, student ID, c HillChoice) (Receipt, error) {
	if err := allow(a, PlanHill); err != nil {
		return Receipt{}, err
	}
	if err := c.check(); err != nil {
		return Receipt{}, err
	}
	return s.putOnHill(ctx, a, m, student, KindHillChoice, c, c.on)
}

// RecordLiftTimes implements [UseCases].
func (s *Service) RecordLiftTimes(ctx context.Context, a Actor, m Made, student ID, t LiftTimes) (Receipt, error) {
	if err := allow(a, PlanHill); err != nil {
		return Receipt{}, err
	}
	if err := t.check(s.today()); err != nil {
		return Receipt{}, err
	}
	return s.putOnHill(ctx, a, m, student, KindLiftTimes, t, func(h Hill) error { return onLift(h, t.Lift) })
}

// RecordStops implements [UseCases].
func (s *Service) RecordStops(ctx context.Context, a Actor, m Made, student ID, st MeasuredStops) (Receipt, error) {
	if err := allow(a, PlanHill); err != nil {
		return Receipt{}, err
	}
	if err := st.check(s.today()); err != nil {
		return Receipt{}, err
	}
	return s.putOnHill(ctx, a, m, student, KindStops, st, func(h Hill) error {
		if _, ok := h.SlopeByID(st.Slope); st.Slope != "" && !ok {
			return Refuse(CodeNotFound, "The programme's hill has no such slope.")
		}
		return nil
	})
}

// RecordEffort implements [UseCases].
func (s *Service) RecordEffort(ctx context.Context, a Actor, m Made, student ID, e EffortBasis) (Receipt, error) {
	if err := allow(a, PlanHill); err != nil {
		return Receipt{}, err
	}
	if err := e.check(s.today()); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindEffort, "", e)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, nil)
}

// putOnHill appends a fact of a student that names parts of the hill.
func (s *Service) putOnHill(ctx context.Context, a Actor, m Made, student ID, kind Kind, payload any, check func(Hill) error) (Receipt, error) {
	f, err := s.fact(a, m, student, kind, "", payload)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(Record) error {
		h, err := s.hill(ctx, AsOf{})
		if err == nil {
			err = check(h)
		}
		return err
	})
}
