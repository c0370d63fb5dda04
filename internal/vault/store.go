package vault

import (
	"context"
	"slices"
	"time"

	"firnhand/programme"
)

// sealedStore is a store whose students' texts are sealed in the store below.
type sealedStore struct {
	programme.Store
	keys *Keys
}

// Wrap returns a store that seals the payload of every fact about a student on
// the way in and opens it on the way out. Facts of the programme (staff,
// settings) stay in the clear. A fact that carries a KeyID of its own is
// refused (CodeInvalid): sealing is done here.
//
// A fact whose key was destroyed comes back without payload and with Forgotten
// set; new facts about that student are refused (CodeForgotten).
func Wrap(below programme.Store, keys *Keys) programme.Store {
	return &sealedStore{below, keys}
}

// Append implements programme.Store.
func (s *sealedStore) Append(ctx context.Context, now time.Time, facts ...programme.Fact) ([]programme.Receipt, error) {
	if err := programme.CheckFacts(facts); err != nil {
		return nil, err
	}
	sealed := slices.Clone(facts)
	if err := s.sealAll(sealed); err != nil {
		return nil, err
	}
	return s.Store.Append(ctx, now, sealed...)
}

func (s *sealedStore) sealAll(facts []programme.Fact) error {
	s.keys.mu.Lock()
	defer s.keys.mu.Unlock()
	if err := s.keys.refresh(); err != nil {
		return err
	}
	var students []programme.ID
	for _, f := range facts {
		if f.KeyID != "" {
			return programme.Refuse(programme.CodeInvalid, "A fact is sealed by the store, not before.")
		}
		if f.Student != "" {
			students = append(students, f.Student)
		}
	}
	if err := s.keys.need(students); err != nil {
		return err
	}
	for i, f := range facts {
		if f.Student == "" {
			continue
		}
		var err error
		if facts[i].KeyID, facts[i].Payload, err = s.keys.seal(f); err != nil {
			return err
		}
	}
	return nil
}

func (s *sealedStore) openAll(facts []programme.Fact) error {
	s.keys.mu.Lock()
	defer s.keys.mu.Unlock()
	if err := s.keys.refresh(); err != nil {
		return err
	}
	for i, f := range facts {
		if f.KeyID == "" {
			continue
		}
		text, err := s.keys.open(f)
		switch programme.CodeOf(err) {
		case "":
			facts[i].Payload, facts[i].KeyID = text, ""
		case programme.CodeForgotten:
			facts[i].Payload, facts[i].Forgotten = nil, true
		default:
			return err
		}
	}
	return nil
}

// Facts implements programme.Store.
func (s *sealedStore) Facts(ctx context.Context, q programme.Query) ([]programme.Fact, error) {
	facts, err := s.Store.Facts(ctx, q)
	if err != nil {
		return nil, err
	}
	if err := s.openAll(facts); err != nil {
		return nil, err
	}
	return facts, nil
}

// Fact implements programme.Store.
func (s *sealedStore) Fact(ctx context.Context, id programme.ID) (programme.Fact, error) {
	f, err := s.Store.Fact(ctx, id)
	if err != nil {
		return programme.Fact{}, err
	}
	one := []programme.Fact{f}
	if err := s.openAll(one); err != nil {
		return programme.Fact{}, err
	}
	return one[0], nil
}
