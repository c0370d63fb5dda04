package programme

import "context"

// OpenLesson implements [UseCases].
func (s *Service) OpenLesson(ctx context.Context, a Actor, m Made, student ID, l LessonOpened) (Receipt, error) {
	if err := allow(a, LogSnow); err != nil {
		return Receipt{}, err
	}
	if err := l.check(s.today()); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindLessonOpened, "", l)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		for _, o := range r.Lessons {
			if o.Day == l.Day && !o.Closed {
				return Refuse(CodeConflict, "A lesson of that day is open already. Close it first.")
			}
		}
		if l.SetUp != "" {
			if _, ok := r.SetUpByID(l.SetUp); !ok {
				return Refuse(CodeNotFound, "This student's record has no such set-up sheet.")
			}
		}
		return nil
	})
}

// RecordAttempt implements [UseCases].
func (s *Service) RecordAttempt(ctx context.Context, a Actor, m Made, student ID, v AttemptMade) (Receipt, error) {
	return s.attempt(ctx, a, m, student, "", v)
}

// CorrectAttempt implements [UseCases].
func (s *Service) CorrectAttempt(ctx context.Context, a Actor, m Made, student, earlier ID, v AttemptMade) (Receipt, error) {
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	return s.attempt(ctx, a, m, student, earlier, v)
}

// attempt takes an attempt whatever became of its lesson: a phone may bring it
// days later, and nothing that was seen is lost.
func (s *Service) attempt(ctx context.Context, a Actor, m Made, student, earlier ID, v AttemptMade) (Receipt, error) {
	if err := allow(a, LogSnow); err != nil {
		return Receipt{}, err
	}
	if err := v.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindAttempt, earlier, v)
	if err != nil {
		return Receipt{}, err
	}
	if earlier == "" {
		return s.put(ctx, f, func() error { return s.known(ctx, student) })
	}
	return s.putOn(ctx, f, func(r Record) error {
		e, err := standing(r, earlier, "attempt")
		if err == nil && e.Kind != KindAttempt {
			err = Refuse(CodeConflict, "That is no attempt.")
		}
		return err
	})
}

func init() {
	takers[KindAttempt] = reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, v AttemptMade) (Receipt, error) {
		return s.attempt(ctx, a, m, it.Student, it.Names, v)
	})
	takers[KindLessonOpened] = reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, l LessonOpened) (Receipt, error) {
		return s.OpenLesson(ctx, a, m, it.Student, l)
	})
}
