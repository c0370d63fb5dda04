package programme

import (
	"context"
	"slices"
	"time"
)

// reportKinds are the facts that reports are made from.
var reportKinds = []Kind{KindStudent, KindLessonOpened, KindLessonClosed, KindAttempt, KindSnow, KindFinding, KindRetraction}

// everybody returns the records of all students, as far as reports need them.
// Students whose text was destroyed are left out.
func (s *Service) everybody(ctx context.Context) ([]Record, error) {
	facts, err := s.Store.Facts(ctx, Query{Everyone: true, Kinds: reportKinds})
	if err != nil {
		return nil, err
	}
	j, err := s.judging(ctx, AsOf{})
	if err != nil {
		return nil, err
	}
	of := map[ID][]Fact{}
	var order []ID
	for _, f := range facts {
		if f.Student == "" {
			continue
		}
		if of[f.Student] == nil {
			order = append(order, f.Student)
		}
		of[f.Student] = append(of[f.Student], f)
	}
	var out []Record
	for _, id := range order {
		if r := RecordOf(id, of[id], j); !r.Forgotten {
			out = append(out, r)
		}
	}
	return out, nil
}

// seasonStart is the first day of the season that a day lies in.
func seasonStart(d Date, month int) Date {
	year := d.Year
	if int(d.Month) < month {
		year--
	}
	return Date{year, time.Month(month), 1}
}

// SeasonReport implements [UseCases].
func (s *Service) SeasonReport(ctx context.Context, a Actor, on Date) (SeasonReport, error) {
	if err := allow(a, ReadReports); err != nil {
		return SeasonReport{}, err
	}
	today := s.today()
	if on.IsZero() || on.After(today) {
		on = today
	}
	n, err := s.numbers(ctx)
	if err != nil {
		return SeasonReport{}, err
	}
	all, err := s.everybody(ctx)
	if err != nil {
		return SeasonReport{}, err
	}
	people := make([]ReportPerson, 0, len(all))
	for _, r := range all {
		people = append(people, ReportPersonOf(r))
	}
	incidents, err := s.incidents(ctx)
	if err != nil {
		return SeasonReport{}, err
	}
	from := seasonStart(on, n.SeasonMonth)
	var none ReportPerson
	for _, i := range incidents {
		if i.Day.Before(from) {
			continue
		}
		p := &none
		if at := slices.IndexFunc(people, func(p ReportPerson) bool { return p.ID == i.Student }); at >= 0 {
			p = &people[at]
		}
		if i.NearMiss {
			p.Near = append(p.Near, i.Day)
		} else {
			p.Harm = append(p.Harm, i.Day)
		}
	}
	return SeasonReportOf(people, from, on, none), nil
}

// OthersLike implements [UseCases].
func (s *Service) OthersLike(ctx context.Context, a Actor, student ID) (Alike, error) {
	if err := allow(a, ReadReports); err != nil {
		return Alike{}, err
	}
	if err := s.known(ctx, student); err != nil {
		return Alike{}, err
	}
	all, err := s.everybody(ctx)
	if err != nil {
		return Alike{}, err
	}
	people := make([]FunctionPerson, 0, len(all))
	for _, r := range all {
		people = append(people, FunctionPersonOf(r))
	}
	return AlikeOf(people, student), nil
}

// Everything implements [UseCases].
func (s *Service) Everything(ctx context.Context, a Actor) ([]Record, error) {
	if err := allow(a, ReadReports); err != nil {
		return nil, err
	}
	return s.everybody(ctx)
}
