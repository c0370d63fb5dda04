package programme

import (
	"context"
	"slices"
)

func (c *LessonClosed) check() error {
	if err := c.Lesson.Check(); err != nil {
		return err
	}
	for _, n := range []struct {
		what      string
		v         *int
		low, high int
	}{{"The minutes on snow", c.OnSnow, 0, MaxLessonMin}, {"How far the goal was reached", c.Reached, -2, 2}, {"The mood before", c.Before, 1, 5}, {"The mood after", c.After, 1, 5}} {
		if n.v != nil && (*n.v < n.low || *n.v > n.high) {
			return Refuse(CodeInvalid, "%s lies between %d and %d.", n.what, n.low, n.high)
		}
	}
	if !(c.Volunteer >= 0 && c.Volunteer <= 100) {
		return Refuse(CodeInvalid, "The hours of volunteers lie between 0 and 100.")
	}
	if len(c.Handover) != len(HandoverKeys) {
		return Refuse(CodeInvalid, "A handover has ten lines.")
	}
	for i := range c.Handover {
		l := &c.Handover[i]
		if l.Key != HandoverKeys[i][0] {
			return Refuse(CodeInvalid, "The lines of a handover stand in their order; %s does not.", clip(l.Key))
		}
		if err := text(HandoverKeys[i][1], &l.Text, MaxHandover, false, false); err != nil {
			return err
		}
	}
	return text("The reason for the reins", &c.ReinsReason, MaxShort, false, false)
}

// handover computes the ten lines of a lesson as of now.
func (s *Service) handover(ctx context.Context, r Record, lesson ID) (Handover, error) {
	signed, err := s.settings(ctx, AsOf{})
	if err != nil {
		return Handover{}, err
	}
	t, err := s.tables.For(signed)
	if err != nil {
		return Handover{}, err
	}
	hill, err := s.hill(ctx, AsOf{})
	if err != nil {
		return Handover{}, err
	}
	return HandoverOf(t, r, lesson, ProgressNumbers(signed), hill)
}

// HandoverDraft implements [UseCases].
func (s *Service) HandoverDraft(ctx context.Context, a Actor, student, lesson ID) (Handover, error) {
	if err := allow(a, ReadWork); err != nil {
		return Handover{}, err
	}
	r, err := s.load(ctx, student, AsOf{})
	if err != nil {
		return Handover{}, err
	}
	return s.handover(ctx, r, lesson)
}

// CloseLesson implements [UseCases].
func (s *Service) CloseLesson(ctx context.Context, a Actor, m Made, student ID, c LessonClosed) (Receipt, error) {
	return s.closeLesson(ctx, a, m, student, "", c)
}

// CorrectHandover implements [UseCases].
func (s *Service) CorrectHandover(ctx context.Context, a Actor, m Made, student, earlier ID, c LessonClosed) (Receipt, error) {
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	return s.closeLesson(ctx, a, m, student, earlier, c)
}

func (s *Service) closeLesson(ctx context.Context, a Actor, m Made, student, earlier ID, c LessonClosed) (Receipt, error) {
	if err := allow(a, LogSnow); err != nil {
		return Receipt{}, err
	}
	if err := c.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindLessonClosed, earlier, c)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		l, ok := r.LessonByID(c.Lesson)
		switch {
		case !ok:
			return Refuse(CodeNotFound, "This student's record has no such lesson.")
		case earlier == "" && l.Closed:
			return Refuse(CodeConflict, "This lesson is closed already. Correct its handover instead.")
		case earlier != "":
			e, err := standing(r, earlier, "handover")
			if err != nil {
				return err
			}
			if e.Kind != KindLessonClosed {
				return Refuse(CodeConflict, "That is no handover.")
			}
		}
		h, err := s.handover(ctx, r, c.Lesson)
		if err != nil {
			return err
		}
		for _, ask := range h.Asks {
			if c.line(ask.Key) == "" {
				return Refuse(CodeInvalid, "%s is missing. %s", HandoverTitle(ask.Key), ask.Question)
			}
		}
		if h.ReinsReason != "" && c.ReinsReason == "" {
			return Refuse(CodeInvalid, "%s A reason is missing.", h.ReinsReason)
		}
		return nil
	})
}

// line returns the text of a line.
func (c LessonClosed) line(key string) string {
	i := slices.IndexFunc(c.Handover, func(l HandoverLine) bool { return l.Key == key })
	if i < 0 {
		return ""
	}
	return c.Handover[i].Text
}

// LastHandover returns the newest closed lesson of a record.
func (r Record) LastHandover() (LessonState, bool) {
	for i := len(r.Lessons) - 1; i >= 0; i-- {
		if r.Lessons[i].Closed {
			return r.Lessons[i], true
		}
	}
	return LessonState{}, false
}

// HandedOver returns a line of the last handover that the instructor wrote or
// that was computed then; "" where there is none.
func (r Record) HandedOver(key string) string {
	l, ok := r.LastHandover()
	if !ok {
		return ""
	}
	return l.LessonClosed.line(key)
}

func init() {
	takers[KindLessonClosed] = reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, c LessonClosed) (Receipt, error) {
		return s.closeLesson(ctx, a, m, it.Student, it.Names, c)
	})
}

// HandedOverIn returns a line as it stood when a lesson was closed.
func (r Record) HandedOverIn(lesson ID, key string) string {
	l, _ := r.LessonByID(lesson)
	return l.LessonClosed.line(key)
}
