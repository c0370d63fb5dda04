package programme

import (
	"context"
	"slices"
	"strings"
)

// IssueCard implements [UseCases].
func (s *Service) IssueCard(ctx context.Context, a Actor, m Made, student ID, c Card) (Receipt, error) {
	if err := allow(a, IssueCardAct); err != nil {
		return Receipt{}, err
	}
	if err := c.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindCard, "", c)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(Record) error {
		n, err := s.Store.Counts(ctx)
		if err == nil && c.UpTo > n.LastSeq {
			err = Refuse(CodeInvalid, "The card names facts up to %d, but the last one is %d.", c.UpTo, n.LastSeq)
		}
		return err
	})
}

// CardByID implements [UseCases].
func (s *Service) CardByID(ctx context.Context, a Actor, card ID) (ID, CardState, error) {
	if err := allow(a, ReadWork); err != nil {
		return "", CardState{}, err
	}
	if err := card.Check(); err != nil {
		return "", CardState{}, err
	}
	f, err := s.Store.Fact(ctx, card)
	if CodeOf(err) == CodeNotFound || err == nil && f.Kind != KindCard {
		return "", CardState{}, Refuse(CodeNotFound, "No card with this code was issued here.")
	}
	if err != nil {
		return "", CardState{}, err
	}
	c := CardState{Provenance: provenance(f, f.ID)}
	return f.Student, c, f.Read(&c.Card)
}

// staff returns everybody as known, in the order in which they came.
func (s *Service) staff(ctx context.Context) ([]StaffState, error) {
	facts, err := s.Store.Facts(ctx, Query{Kinds: []Kind{KindStaff}})
	if err != nil {
		return nil, err
	}
	var all []StaffState
	at := map[ID]int{}
	for _, f := range facts {
		st := StaffState{From: provenance(f, f.ID)}
		if err := f.Read(&st.StaffDetails); err != nil {
			return nil, err
		}
		if i, ok := at[st.Staff]; ok {
			all[i] = st
			continue
		}
		at[st.Staff] = len(all)
		all = append(all, st)
	}
	return all, nil
}

func leads(all []StaffState, but ID) int {
	n := 0
	for _, st := range all {
		if !st.Ended && st.Staff != but && slices.Contains(st.Roles, Lead) {
			n++
		}
	}
	return n
}

// PutStaff implements [UseCases].
func (s *Service) PutStaff(ctx context.Context, a Actor, m Made, d StaffDetails) (Receipt, error) {
	if err := allow(a, ManageStaff); err != nil {
		return Receipt{}, err
	}
	if err := d.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, "", KindStaff, "", d)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, func() error {
		all, err := s.staff(ctx)
		if err == nil && leads(all, d.Staff) == 0 && (d.Ended || !slices.Contains(d.Roles, Lead)) {
			err = Refuse(CodeConflict, "The programme would have no lead. Name another lead first.")
		}
		return err
	})
}

// Staff implements [UseCases].
func (s *Service) Staff(ctx context.Context, a Actor, ended bool) ([]StaffState, error) {
	if err := allow(a, ReadIdentity); err != nil {
		return nil, err
	}
	all, err := s.staff(ctx)
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(st StaffState) bool { return st.Ended && !ended })
	slices.SortStableFunc(all, func(x, y StaffState) int {
		return strings.Compare(strings.ToLower(x.NameUsed), strings.ToLower(y.NameUsed))
	})
	return all, nil
}

// ActorOf implements [UseCases].
func (s *Service) ActorOf(ctx context.Context, staff ID) (Actor, error) {
	all, err := s.staff(ctx)
	if err != nil {
		return Actor{}, err
	}
	for _, st := range all {
		if st.Staff == staff && !st.Ended {
			return Actor{Staff: st.Staff, Name: st.NameUsed, Roles: slices.Clone(st.Roles)}, nil
		}
	}
	return Actor{}, Refuse(CodeNotFound, "There is no such staff member here.")
}

// HasLead implements [UseCases].
func (s *Service) HasLead(ctx context.Context) (bool, error) {
	all, err := s.staff(ctx)
	return leads(all, "") > 0, err
}

// FirstLead implements [UseCases].
func (s *Service) FirstLead(ctx context.Context, m Made, d StaffDetails) (Receipt, error) {
	if !slices.Contains(d.Roles, Lead) {
		d.Roles = append(slices.Clone(d.Roles), Lead)
	}
	if err := d.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(Actor{Staff: d.Staff}, m, "", KindStaff, "", d)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, func() error {
		has, err := s.HasLead(ctx)
		if err == nil && has {
			err = Refuse(CodeConflict, "The programme has a lead already. Ask the lead to add you.")
		}
		return err
	})
}

// PutSetting implements [UseCases].
func (s *Service) PutSetting(ctx context.Context, a Actor, m Made, v Setting) (Receipt, error) {
	if err := allow(a, ManageSettings); err != nil {
		return Receipt{}, err
	}
	if err := v.check(s.Vocabulary, s.today()); err != nil {
		return Receipt{}, asError(err)
	}
	f, err := s.fact(a, m, "", KindSetting, "", v)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, nil)
}

// Settings implements [UseCases].
func (s *Service) Settings(ctx context.Context, a Actor, at AsOf) (map[string]SettingState, error) {
	if err := allow(a, ReadIdentity); err != nil {
		return nil, err
	}
	return s.settings(ctx, at)
}

// Readings implements [UseCases].
func (s *Service) Readings(ctx context.Context, a Actor, student ID, limit int) ([]Reading, error) {
	if err := allow(a, ReadLog); err != nil {
		return nil, err
	}
	return s.Store.Readings(ctx, student, limit)
}
