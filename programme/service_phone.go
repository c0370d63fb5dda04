package programme

import (
	"bytes"
	"context"
	"crypto/subtle"
	"encoding/json"
	"slices"
)

// RecordSnow implements [UseCases].
func (s *Service) RecordSnow(ctx context.Context, a Actor, m Made, student ID, e SnowEvent) (Receipt, error) {
	if err := allow(a, LogSnow); err != nil {
		return Receipt{}, err
	}
	if err := e.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindSnow, "", e)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, func() error { return s.known(ctx, student) })
}

// known refuses a student of whom nothing was ever recorded.
func (s *Service) known(ctx context.Context, student ID) error {
	if err := student.Check(); err != nil {
		return err
	}
	if _, ok := s.seen.Load(student); ok {
		return nil
	}
	got, err := s.Store.Facts(ctx, Query{Student: student, Limit: 1})
	switch {
	case err != nil:
		return err
	case len(got) == 0:
		return Refuse(CodeNotFound, "There is no such student here.")
	}
	if got[0].Seq < draftSeq { // what is only drafted may never be written
		s.seen.Store(student, true)
	}
	return nil
}

// phones returns every phone as known, in the order in which they came.
func (s *Service) phones(ctx context.Context) ([]PhoneState, error) {
	facts, err := s.Store.Facts(ctx, Query{Kinds: []Kind{KindPhone}})
	if err != nil {
		return nil, err
	}
	var all []PhoneState
	for _, f := range facts {
		st := PhoneState{From: provenance(f, f.ID)}
		if err := f.Read(&st.PhoneDetails); err != nil {
			return nil, err
		}
		all = latest(all, st, func(o PhoneState) bool { return o.Phone == st.Phone })
	}
	return all, nil
}

// Phones implements [UseCases].
func (s *Service) Phones(ctx context.Context, a Actor) ([]PhoneState, error) {
	if err := allow(a, LogSnow); err != nil {
		return nil, err
	}
	all, err := s.phones(ctx)
	if err != nil || a.May(ManageStaff) {
		return all, err
	}
	return slices.DeleteFunc(all, func(p PhoneState) bool { return p.Staff != a.Staff }), nil
}

// PhoneOf implements [UseCases].
func (s *Service) PhoneOf(ctx context.Context, phone ID, secretHash string) (PhoneState, error) {
	all, err := s.phones(ctx)
	if err != nil {
		return PhoneState{}, err
	}
	i := slices.IndexFunc(all, func(p PhoneState) bool { return p.Phone == phone })
	if i < 0 {
		return PhoneState{}, Refuse(CodeNotFound, "This phone is not known here.")
	}
	if subtle.ConstantTimeCompare([]byte(all[i].SecretHash), []byte(secretHash)) != 1 {
		return PhoneState{}, Refuse(CodeNotAllowed, "This is not the phone that it says it is.")
	}
	return all[i], nil
}

// EnrolPhone implements [UseCases].
func (s *Service) EnrolPhone(ctx context.Context, a Actor, phone ID, secretHash, name string) (PhoneState, error) {
	if err := allow(a, LogSnow); err != nil {
		return PhoneState{}, err
	}
	d := PhoneDetails{Phone: phone, Staff: a.Staff, SecretHash: secretHash, Name: name}
	if err := d.check(); err != nil {
		return PhoneState{}, err
	}
	had, err := s.PhoneOf(ctx, phone, secretHash)
	switch {
	case err == nil && (had.Revoked || had.Staff == a.Staff):
		return had, nil
	case err != nil && CodeOf(err) != CodeNotFound:
		return PhoneState{}, err
	}
	f, err := s.fact(a, Made{}, "", KindPhone, "", d)
	if err != nil {
		return PhoneState{}, err
	}
	if _, err := s.put(ctx, f, nil); err != nil {
		return PhoneState{}, err
	}
	return PhoneState{PhoneDetails: d}, nil
}

// RevokePhone implements [UseCases].
func (s *Service) RevokePhone(ctx context.Context, a Actor, m Made, phone ID, reason string) (Receipt, error) {
	all, err := s.Phones(ctx, a)
	if err != nil {
		return Receipt{}, err
	}
	i := slices.IndexFunc(all, func(p PhoneState) bool { return p.Phone == phone })
	if i < 0 {
		return Receipt{}, Refuse(CodeNotFound, "There is no such phone, or it is not yours to revoke.")
	}
	d := all[i].PhoneDetails
	d.Revoked, d.Reason = true, reason
	if err := d.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, "", KindPhone, "", d)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, nil)
}

// PickDay implements [UseCases].
func (s *Service) PickDay(ctx context.Context, a Actor, m Made, d PhoneDay) (Receipt, error) {
	if err := allow(a, LogSnow); err != nil {
		return Receipt{}, err
	}
	if d.Staff == "" {
		d.Staff = a.Staff
	}
	switch {
	case d.Staff != a.Staff && !a.May(ManageStaff):
		return Receipt{}, Refuse(CodeNotAllowed, "Only the lead may choose somebody else's people.")
	case d.Day.IsZero():
		return Receipt{}, Refuse(CodeInvalid, "The day is missing.")
	case len(d.Students) > MaxPhoneDay:
		return Receipt{}, Refuse(CodeInvalid, "A phone keeps at most %d people for one day.", MaxPhoneDay)
	}
	for i, id := range d.Students {
		if err := s.known(ctx, id); err != nil {
			return Receipt{}, err
		}
		if slices.Contains(d.Students[:i], id) {
			return Receipt{}, Refuse(CodeInvalid, "A student is chosen twice.")
		}
	}
	if err := d.Staff.Check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, "", KindPhoneDay, "", d)
	if err != nil {
		return Receipt{}, err
	}
	return s.put(ctx, f, nil)
}

// PickedDay implements [UseCases].
func (s *Service) PickedDay(ctx context.Context, a Actor, day Date) (PhoneDay, error) {
	out := PhoneDay{Day: day, Staff: a.Staff}
	if err := allow(a, LogSnow); err != nil {
		return out, err
	}
	facts, err := s.Store.Facts(ctx, Query{Kinds: []Kind{KindPhoneDay}})
	if err != nil {
		return out, err
	}
	for i := len(facts) - 1; i >= 0; i-- {
		var d PhoneDay
		if facts[i].Read(&d) == nil && d.Day == day && d.Staff == a.Staff {
			return d, nil
		}
	}
	return out, nil
}

// FromPhone implements [UseCases].
func (s *Service) FromPhone(ctx context.Context, a Actor, ids []ID) ([]Fact, error) {
	if err := allow(a, LogSnow); err != nil {
		return nil, err
	}
	var out []Fact
	for _, id := range ids {
		f, err := s.Store.Fact(ctx, id)
		switch {
		case CodeOf(err) == CodeNotFound || err == nil && f.Author != a.Staff:
			continue
		case err != nil:
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// TakeFromPhone implements [UseCases]. The rules of the use cases look at each
// item in turn on a draft of the records; what they let through is written in
// one append.
func (s *Service) TakeFromPhone(ctx context.Context, a Actor, items []PhoneItem) []PhoneOutcome {
	students := []ID{""}
	for _, it := range items {
		students = append(students, it.Student)
	}
	defer s.lockAll(students)()
	out, d := s.drafted(ctx, a, items)
	if len(d.facts) == 0 {
		return out
	}
	got, err := s.Store.Append(ctx, s.Clock.Now(), d.facts...)
	if err != nil && !passing(err) && len(items) > 1 {
		// Somebody else wrote in between; each by itself finds what is in the way.
		out = nil
		for i := range items {
			one := s.takeAlone(ctx, a, items[i])
			out = append(out, one)
			if one.Outcome == ItemLater {
				return append(out, putOff(items[i+1:], one.Code, one.Sentence)...)
			}
		}
		return out
	}
	if err != nil && !passing(err) {
		return []PhoneOutcome{refused(items[0], err)}
	}
	if err != nil {
		for i := range out {
			if out[i].Outcome == Created {
				return append(out[:i:i], putOff(items[i:], CodeOf(err), SentenceOf(err))...)
			}
		}
		return out
	}
	real := map[ID]Receipt{}
	for _, r := range got {
		real[r.ID] = r
	}
	for i := range out {
		if r, ok := real[out[i].ID]; ok {
			out[i].Seq = r.Seq
			if out[i].Outcome == Created {
				out[i].Outcome = r.Outcome
			}
		}
	}
	return out
}

// drafted takes the items on a draft. The usual case, that all are new and
// none is refused, is tried without asking the store for each; anything else
// is done again with every id looked up.
func (s *Service) drafted(ctx context.Context, a Actor, items []PhoneItem) ([]PhoneOutcome, *draft) {
	on := New(s.Config)
	on.seen = s.seen
	if n := len(items); n > 2 {
		d := newDraft(s.Store)
		on.Store = d
		_, err1 := d.Fact(ctx, items[0].ID)
		_, err2 := d.Fact(ctx, items[n-1].ID)
		if CodeOf(err1) == CodeNotFound && CodeOf(err2) == CodeNotFound {
			d.takesAsNew(items)
			out := on.takeEach(ctx, a, items)
			if !slices.ContainsFunc(out, func(o PhoneOutcome) bool { return o.Outcome != Created }) {
				return out, d
			}
		}
	}
	d := newDraft(s.Store)
	on.Store = d
	return on.takeEach(ctx, a, items), d
}

// takeAlone takes one item over a draft of its own; the locks are held.
func (s *Service) takeAlone(ctx context.Context, a Actor, it PhoneItem) PhoneOutcome {
	d := newDraft(s.Store)
	on := New(s.Config)
	on.Store = d
	out := on.takeEach(ctx, a, []PhoneItem{it})[0]
	if len(d.facts) == 0 {
		return out
	}
	got, err := s.Store.Append(ctx, s.Clock.Now(), d.facts...)
	if err != nil {
		return refused(it, err)
	}
	out.Outcome, out.Seq = got[0].Outcome, got[0].Seq
	return out
}

// passing tells whether an error may be gone at the next try.
func passing(err error) bool {
	switch CodeOf(err) {
	case CodeBusy, CodeDiskFull, CodeReadOnly, CodeInternal, CodeDamaged:
		return true
	}
	return false
}

func refused(it PhoneItem, err error) PhoneOutcome {
	o := PhoneOutcome{ID: it.ID, Outcome: ItemRefused, Code: CodeOf(err), Sentence: SentenceOf(err)}
	if passing(err) {
		o.Outcome = ItemLater
	}
	return o
}

// putOff answers items that are not looked at now.
func putOff(items []PhoneItem, code Code, sentence string) []PhoneOutcome {
	var out []PhoneOutcome
	for _, it := range items {
		out = append(out, PhoneOutcome{ID: it.ID, Outcome: ItemLater, Code: code, Sentence: sentence})
	}
	return out
}

// takeEach lets the use cases take each item in turn, until one cannot be
// taken now: what was made after it must not come before it.
func (s *Service) takeEach(ctx context.Context, a Actor, items []PhoneItem) []PhoneOutcome {
	var out []PhoneOutcome
	for i, it := range items {
		r, err := s.takeOne(ctx, a, it)
		if err == nil {
			out = append(out, PhoneOutcome{ID: it.ID, Outcome: r.Outcome, Seq: r.Seq})
			continue
		}
		out = append(out, refused(it, err))
		if passing(err) {
			return append(out, putOff(items[i+1:], CodeOf(err), SentenceOf(err))...)
		}
	}
	return out
}

// taker reads a payload and carries out its use case.
type taker func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem) (Receipt, error)

// takers are the kinds of fact that a phone may bring.
var takers = map[Kind]taker{
	KindNote: reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, n Note) (Receipt, error) {
		return s.note(ctx, a, m, it.Student, it.Names, n)
	}),
	KindFinding: reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, v Finding) (Receipt, error) {
		if it.Names != "" {
			return s.CorrectFinding(ctx, a, m, it.Student, it.Names, v)
		}
		got, err := s.RecordFindings(ctx, a, it.Student, []NewFinding{{m, v}})
		if err != nil {
			return Receipt{}, err
		}
		return got[0], nil
	}),
	KindRetraction: reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, why Retraction) (Receipt, error) {
		if it.Student == "" {
			return s.RetractGlides(ctx, a, m, it.Names, why)
		}
		return s.Retract(ctx, a, m, it.Student, it.Names, why)
	}),
	KindGlides: reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, g TimedGlides) (Receipt, error) {
		return s.glides(ctx, a, m, it.Names, g)
	}),
	KindSnow: reading(func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem, e SnowEvent) (Receipt, error) {
		return s.RecordSnow(ctx, a, m, it.Student, e)
	}),
}

// reading reads the payload first. Fields that this program does not know
// stay in it.
func reading[T any](then func(*Service, context.Context, Actor, Made, PhoneItem, T) (Receipt, error)) taker {
	return func(s *Service, ctx context.Context, a Actor, m Made, it PhoneItem) (Receipt, error) {
		var v T
		if err := json.Unmarshal(it.Payload, &v); err != nil {
			return Receipt{}, Refuse(CodeInvalid, "What was recorded on the phone cannot be read.")
		}
		said, err := json.Marshal(v)
		if err != nil {
			return Receipt{}, Fail(CodeInternal, err, "The input could not be written down.")
		}
		m.said = said
		return then(s, ctx, a, m, it, v)
	}
}

func (s *Service) takeOne(ctx context.Context, a Actor, it PhoneItem) (Receipt, error) {
	take, known := takers[it.Kind]
	switch {
	case it.Author != a.Staff:
		return Receipt{}, Refuse(CodeNotAllowed, "This was recorded by somebody else.")
	case !known || it.Version > payloadVersion:
		return Receipt{}, Refuse(CodeNewer, "This program does not know what was recorded there; a newer one may.")
	case len(it.Payload) > MaxPayload:
		return Receipt{}, Refuse(CodeInvalid, "This is too long to be one record.")
	}
	if err := it.ID.Check(); err != nil {
		return Receipt{}, err
	}
	f := Fact{ID: it.ID, Student: it.Student, Kind: it.Kind, Version: payloadVersion, Payload: it.Payload, Author: a.Staff, Names: it.Names}
	if had, err := s.already(ctx, f); err != nil {
		return Receipt{}, err
	} else if had != nil {
		return *had, nil
	}
	return take(s, ctx, a, Made{ID: it.ID, At: it.MadeAt, Written: it.Payload}, it)
}

// written returns a payload as it was written where the fact was made, if it
// says the same as the checked one. Fields that this program does not know
// stay in it.
func written(m Made, checked []byte, payload any) ([]byte, error) {
	again := m.said
	if again == nil {
		var err error
		if again, err = reread(m.Written, payload); err != nil {
			return nil, err
		}
	}
	if !bytes.Equal(again, checked) {
		return nil, Refuse(CodeInvalid, "What was recorded there is not written as the records write it.")
	}
	return m.Written, nil
}

// HoldFromPhone implements [UseCases].
func (s *Service) HoldFromPhone(ctx context.Context, p PhoneState, items []PhoneItem) []PhoneOutcome {
	var out []PhoneOutcome
	for i, it := range items {
		r, err := s.holdOne(ctx, p, it)
		switch {
		case err == nil && r.Outcome == Exists:
			out = append(out, PhoneOutcome{ID: it.ID, Outcome: Exists, Seq: r.Seq})
		case err == nil:
			out = append(out, PhoneOutcome{ID: it.ID, Outcome: ItemHeld, Seq: r.Seq})
		default:
			out = append(out, refused(it, err))
			if passing(err) {
				return append(out, putOff(items[i+1:], CodeOf(err), SentenceOf(err))...)
			}
		}
	}
	return out
}

func (s *Service) holdOne(ctx context.Context, p PhoneState, it PhoneItem) (Receipt, error) {
	if err := it.ID.Check(); err != nil {
		return Receipt{}, err
	}
	if had, err := s.Store.Fact(ctx, it.ID); err == nil && had.Kind == it.Kind {
		return Receipt{ID: it.ID, Outcome: Exists, Seq: had.Seq}, nil
	}
	if it.Student != "" {
		if err := s.known(ctx, it.Student); err != nil {
			return Receipt{}, err
		}
	}
	f, err := s.fact(Actor{Staff: p.Staff}, Made{ID: it.ID, At: it.MadeAt}, it.Student, KindHeldItem, "",
		HeldItem{p.Phone, it.Kind, it.Version, string(it.Payload), it.Author, it.Names})
	if err != nil {
		return Receipt{}, err
	}
	r, err := s.put(ctx, f, nil)
	r.Outcome = Created // held, the first time and again
	return r, err
}
