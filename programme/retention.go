package programme

import (
	"context"
	"slices"
	"strings"
	"time"
)

var errForgotten = Refuse(CodeForgotten, "This student was forgotten on request: what was recorded is destroyed and cannot be read. Only its count is left.")

// RetentionLine is how long one student's record is kept.
type RetentionLine struct {
	Student   ID
	NameUsed  string
	LastOn    Date // day of the last thing written
	Due       Date // from this day it is due to be forgotten
	IsDue     bool
	Waiver    bool // a waiver was given
	KeepUntil Date // last day on which the waiver is kept; zero without one
	OnPaper   bool // a signed original of it is kept on paper
	Conflict  bool // due, but the waiver must be kept and is nowhere else
	Why       string
}

// retentionOf judges one record. A record is due retention_months after the last
// thing written. A waiver that was given is kept waiver_years after it ended;
// for a minor, after the day on which the student came of age. Whoever forgets
// the student destroys the waiver too, unless a signed original is on paper.
func retentionOf(r Record, last time.Time, zone *time.Location, today Date) RetentionLine {
	l := RetentionLine{Student: r.Student, NameUsed: r.NameUsed, LastOn: DateOf(last.In(zone))}
	l.Due = l.LastOn.AddMonths(r.numbers.RetentionMonths)
	l.IsDue = !today.Before(l.Due)
	c := r.ConsentOf(ConsentWaiver)
	if c.Recorded && c.Answer != ConsentRefused {
		l.Waiver, l.OnPaper = true, c.OnPaper
		from := c.Expires
		if from.IsZero() {
			from = c.SignedOn
		}
		if !r.BirthDate.IsZero() {
			if of := r.BirthDate.AddMonths(12 * r.numbers.AdultAgeYears); from.Before(of) {
				from = of
			}
		}
		l.KeepUntil = from.AddMonths(12 * r.numbers.WaiverYears)
	}
	keep := l.Waiver && !l.KeepUntil.Before(today)
	l.Conflict = l.IsDue && keep && !l.OnPaper
	switch {
	case !l.IsDue:
		l.Why = "Kept until " + l.Due.AddDays(-1).String() + "."
	case l.Conflict:
		l.Why = "Due since " + l.Due.String() + ", but the waiver is to be kept until " + l.KeepUntil.String() +
			" and no signed original on paper is recorded. Forgetting destroys it: put a signed original on paper first, or ask the insurer."
	case keep:
		l.Why = "Due since " + l.Due.String() + ". The waiver is to be kept until " + l.KeepUntil.String() + ": keep the signed original on paper."
	default:
		l.Why = "Due since " + l.Due.String() + "."
	}
	return l
}

// Retention implements [UseCases].
func (s *Service) Retention(ctx context.Context, a Actor) ([]RetentionLine, error) {
	if err := allow(a, Forget); err != nil {
		return nil, err
	}
	facts, err := s.Store.Facts(ctx, Query{Everyone: true})
	if err != nil {
		return nil, err
	}
	j, err := s.judging(ctx, AsOf{})
	if err != nil {
		return nil, err
	}
	type kept struct {
		last  time.Time
		facts []Fact
	}
	of := map[ID]*kept{}
	for _, f := range facts {
		if f.Student == "" || f.Forgotten {
			continue
		}
		k := of[f.Student]
		if k == nil {
			k = &kept{}
			of[f.Student] = k
		}
		k.last = f.RecordedAt
		if slices.Contains(lineKinds, f.Kind) {
			k.facts = append(k.facts, f)
		}
	}
	out := make([]RetentionLine, 0, len(of))
	for id, k := range of {
		out = append(out, retentionOf(RecordOf(id, k.facts, j), k.last, s.Zone, s.today()))
	}
	slices.SortFunc(out, func(x, y RetentionLine) int {
		if x.Due != y.Due {
			if x.Due.Before(y.Due) {
				return -1
			}
			return 1
		}
		return strings.Compare(string(x.Student), string(y.Student))
	})
	return out, nil
}

// Assign implements [UseCases].
func (s *Service) Assign(ctx context.Context, a Actor, m Made, student ID, v Assignment) (Receipt, error) {
	if err := allow(a, Assign); err != nil {
		return Receipt{}, err
	}
	if err := v.check(s.today()); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindAssignment, "", v)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(Record) error {
		_, err := s.ActorOf(ctx, v.Staff)
		if v.Ended && CodeOf(err) == CodeNotFound {
			return nil // whoever left may still be taken off
		}
		return err
	})
}
