package programme

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"firnhand/core/ladder"
)

// RecordIncident implements [UseCases].
func (s *Service) RecordIncident(ctx context.Context, a Actor, m Made, student ID, i Incident) (Receipt, error) {
	return s.incident(ctx, a, m, student, "", i)
}

// CorrectIncident implements [UseCases].
func (s *Service) CorrectIncident(ctx context.Context, a Actor, m Made, student, earlier ID, i Incident) (Receipt, error) {
	if err := earlier.Check(); err != nil {
		return Receipt{}, err
	}
	return s.incident(ctx, a, m, student, earlier, i)
}

func (s *Service) incident(ctx context.Context, a Actor, m Made, student, earlier ID, i Incident) (Receipt, error) {
	if err := allow(a, WriteIncident); err != nil {
		return Receipt{}, err
	}
	i.Tags = slices.Clone(i.Tags)
	if err := i.check(s.today()); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindIncident, earlier, i)
	if err != nil {
		return Receipt{}, err
	}
	defer s.lock(student)()
	if had, err := s.already(ctx, f); err != nil {
		return Receipt{}, err
	} else if had != nil {
		return *had, nil
	}
	if err := s.mayIncident(ctx, a, student, earlier); err != nil {
		return Receipt{}, err
	}
	facts := []Fact{f}
	first := f.ID
	if earlier != "" {
		first = earlier
	}
	out, err := s.Quarantined(ctx, a)
	if err != nil {
		return Receipt{}, err
	}
	for _, tag := range i.Tags {
		if slices.ContainsFunc(out, func(g GearTagState) bool { return g.Tag == tag }) {
			continue
		}
		why := "Incident of " + i.Day.String()
		if i.NearMiss {
			why = "Near miss of " + i.Day.String()
		}
		g, err := s.fact(a, Made{At: f.MadeAt}, "", KindGearTag, "", GearTag{tag, true, why, first})
		if err != nil {
			return Receipt{}, err
		}
		facts = append(facts, g)
	}
	got, err := s.Store.Append(ctx, s.Clock.Now(), facts...)
	if err != nil {
		return Receipt{}, err
	}
	return got[0], nil
}

// mayIncident checks that the student is known, and that an incident is
// corrected by whoever wrote it, or by the lead.
func (s *Service) mayIncident(ctx context.Context, a Actor, student, earlier ID) error {
	if student != "" {
		if err := s.known(ctx, student); err != nil {
			return err
		}
	}
	if earlier == "" {
		return nil
	}
	had, err := s.Store.Fact(ctx, earlier)
	switch {
	case err != nil:
		return err
	case had.Kind != KindIncident || had.Student != student:
		return Refuse(CodeNotFound, "There is no such incident here.")
	case had.Author != a.Staff && !a.May(ReadIncident):
		return Refuse(CodeNotAllowed, "Whoever wrote it, or the lead, corrects it. Write what you saw as a statement of your own.")
	}
	return nil
}

// AddWitness implements [UseCases].
func (s *Service) AddWitness(ctx context.Context, a Actor, m Made, w Witness) (Receipt, error) {
	if err := allow(a, WriteIncident); err != nil {
		return Receipt{}, err
	}
	if err := w.check(); err != nil {
		return Receipt{}, err
	}
	of, err := s.Store.Fact(ctx, w.Incident)
	if err != nil {
		return Receipt{}, err
	}
	if of.Kind != KindIncident {
		return Receipt{}, Refuse(CodeNotFound, "There is no such incident here.")
	}
	f, err := s.fact(a, m, of.Student, KindWitness, "", w)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, nil)
}

// Incidents implements [UseCases].
func (s *Service) Incidents(ctx context.Context, a Actor) ([]IncidentState, error) {
	if err := allow(a, WriteIncident); err != nil {
		return nil, err
	}
	all, err := s.incidents(ctx)
	if err != nil {
		return nil, err
	}
	out := slices.DeleteFunc(all, func(i IncidentState) bool { return !mayRead(a, i) })
	for i := range out {
		out[i].apart(a)
	}
	slices.Reverse(out)
	slices.SortStableFunc(out, func(x, y IncidentState) int { return strings.Compare(y.Day.String(), x.Day.String()) })
	return out, nil
}

func (s *Service) incidents(ctx context.Context) ([]IncidentState, error) {
	facts, err := s.Store.Facts(ctx, Query{Everyone: true, Kinds: incidentKinds})
	if err != nil {
		return nil, err
	}
	return IncidentsOf(facts, func(f Fact) Date { return DateOf(f.MadeAt.In(s.Zone)) }), nil
}

// mayRead tells whether somebody reads an incident: the lead and the medical
// reviewer all, others what they wrote or gave a statement for.
func mayRead(a Actor, i IncidentState) bool {
	return a.May(ReadIncident) || i.First != "" && (i.By == a.Staff || slices.ContainsFunc(i.Earlier, func(v IncidentVersion) bool { return v.By == a.Staff })) ||
		slices.ContainsFunc(i.Witnesses, func(w WitnessState) bool { return w.By == a.Staff })
}

// apart leaves only the reader's own statements where they may not read all:
// each witness writes without having read the others.
func (i *IncidentState) apart(a Actor) {
	if a.May(ReadIncident) {
		return
	}
	had := len(i.Witnesses)
	i.Witnesses = slices.DeleteFunc(i.Witnesses, func(w WitnessState) bool { return w.By != a.Staff })
	i.Hidden = had - len(i.Witnesses)
}

// IncidentByID implements [UseCases].
func (s *Service) IncidentByID(ctx context.Context, a Actor, id ID) (IncidentState, error) {
	if err := allow(a, WriteIncident); err != nil {
		return IncidentState{}, err
	}
	all, err := s.incidents(ctx)
	if err != nil {
		return IncidentState{}, err
	}
	for _, i := range all {
		if i.ID != id {
			continue
		}
		if !mayRead(a, i) {
			return IncidentState{}, Refuse(CodeNotAllowed, "Whoever wrote it, the lead and the medical reviewer read it. Write what you saw as a statement of your own.")
		}
		if i.Student != "" && a.May(ReadMedical) {
			if err := s.Store.LogReading(ctx, Reading{At: s.Clock.Now(), Staff: a.Staff, Student: i.Student, What: "incident"}); err != nil {
				return IncidentState{}, err // what cannot be logged is not shown
			}
		}
		i.apart(a)
		return i, nil
	}
	return IncidentState{}, Refuse(CodeNotFound, "There is no such incident here.")
}

// IncidentDay is an incident as anybody of the staff may know of it: when it
// was, so that they can say what they saw.
type IncidentDay struct {
	ID       ID
	Day      Date
	Time     string
	NearMiss bool
}

// statementDays is how long staff are asked for statements.
const statementDays = 30

// IncidentDays implements [UseCases].
func (s *Service) IncidentDays(ctx context.Context, a Actor) ([]IncidentDay, error) {
	if err := allow(a, WriteIncident); err != nil {
		return nil, err
	}
	all, err := s.incidents(ctx)
	if err != nil {
		return nil, err
	}
	var out []IncidentDay
	since := s.today().AddDays(-statementDays)
	for _, i := range all {
		if !i.OnSnow && !mayRead(a, i) && !i.Day.Before(since) {
			out = append(out, IncidentDay{i.ID, i.Day, i.Time, i.NearMiss})
		}
	}
	return out, nil
}

// IncidentDraft implements [UseCases].
func (s *Service) IncidentDraft(ctx context.Context, a Actor, student ID) (Incident, []string, error) {
	if err := allow(a, WriteIncident); err != nil {
		return Incident{}, nil, err
	}
	now := s.Clock.Now().In(s.Zone)
	i := Incident{Day: DateOf(now), Time: now.Format("15:04")}
	if student == "" || !a.May(ReadWork) {
		return i, nil, nil
	}
	r, err := s.load(ctx, student, AsOf{})
	if err != nil {
		return i, nil, err
	}
	return i.fill(r), i.log(r), nil
}

// fill takes lesson, set-up, help and place from the last attempt of the day.
func (i Incident) fill(r Record) Incident {
	if l, ok := r.OpenLesson(); ok {
		i.Lesson = l.ID
		i.SetUp = upperFirst(ladder.Aids{Way: l.Way, Tie: l.Tie}.Clean().Words())
	}
	h := r.History()
	if n := len(h.Attempts); n > 0 && dateOfNumber(h.Attempts[n-1].Day) == i.Day {
		last := h.Attempts[n-1]
		help := last.Help
		i.Help, i.SetUp = &help, upperFirst(last.Aids.Words())
		if t, _, ok := ladderOf().Terrain(last.Terrain); ok {
			i.Where = upperFirst(t.Name)
		}
	}
	return i
}

// logLines is how many of the last things on snow are shown beside a draft.
const logLines = 6

// log writes what was recorded last that day, oldest first.
func (i Incident) log(r Record) []string {
	type one struct {
		at   int64
		text string
	}
	var all []one
	for _, a := range r.Attempts {
		if DateOf(a.MadeAt.In(r.zone())) != i.Day {
			continue
		}
		name := a.Skill
		if s, ok := ladderOf().Skill(a.Skill); ok {
			name += " " + s.Name
		}
		if a.Side != "none" {
			name += " " + a.Side
		}
		all = append(all, one{a.MadeAt.UnixMilli(), fmt.Sprintf("%s %s, help level %d: %s", a.MadeAt.In(r.zone()).Format("15:04"), name, a.Help, a.Outcome)})
	}
	for _, e := range r.Snow {
		if DateOf(e.MadeAt.In(r.zone())) == i.Day {
			all = append(all, one{e.MadeAt.UnixMilli(), e.MadeAt.In(r.zone()).Format("15:04") + " " + strings.ReplaceAll(strings.TrimSpace(e.Event+" "+e.Reason), "_", " ")})
		}
	}
	slices.SortStableFunc(all, func(a, b one) int { return int(a.at - b.at) })
	var out []string
	for _, o := range all[max(0, len(all)-logLines):] {
		out = append(out, o.text)
	}
	return out
}

// Quarantined implements [UseCases].
func (s *Service) Quarantined(ctx context.Context, a Actor) ([]GearTagState, error) {
	if err := allow(a, WriteIncident); err != nil {
		return nil, err
	}
	facts, err := s.Store.Facts(ctx, Query{Kinds: []Kind{KindGearTag}})
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(GearTagsOf(facts), func(g GearTagState) bool { return !g.Out }), nil
}

// ReleaseGear implements [UseCases].
func (s *Service) ReleaseGear(ctx context.Context, a Actor, m Made, g GearTag) (Receipt, error) {
	if err := allow(a, ReleaseGearAct); err != nil {
		return Receipt{}, err
	}
	g.Out = false
	if err := g.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, "", KindGearTag, "", g)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, func() error {
		out, err := s.Quarantined(ctx, a)
		if err == nil && !slices.ContainsFunc(out, func(o GearTagState) bool { return o.Tag == g.Tag }) {
			err = Refuse(CodeConflict, "%s is not out of use.", g.Tag)
		}
		return err
	})
}

func init() {
	takers[KindIncident] = reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, i Incident) (Receipt, error) {
		return s.incident(ctx, a, m, it.Student, it.Names, i)
	})
	takers[KindWitness] = reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, w Witness) (Receipt, error) {
		return s.AddWitness(ctx, a, m, w)
	})
}
