// Package programmetest checks stores against the contracts of package
// programme: [Exercise] for programme.Store and [ExerciseSignIn] for
// programme.SignInStore. It also has a store in memory that passes both, for
// tests of what lies above a store.
package programmetest

import (
	"bytes"
	"context"
	"slices"
	"sort"
	"sync"
	"time"

	"firnhand/programme"
)

// Memory is a store that lives as long as the process. It is deliberately
// simple: slices and loops, so that it can serve as the second opinion on a
// real store.
type Memory struct {
	mu       sync.Mutex
	closed   bool
	facts    []programme.Fact
	readings []programme.Reading
	creds    []programme.Credential
	sessions []programme.Session
	codes    []programme.OneTimeCode

	failAt int // calls until one fails; 0: none does
	calls  int
}

// FailAt makes the n-th call from now on fail as on a full disk, and only that
// one; 0 makes none fail. It returns how many calls there were since the last
// time.
func (m *Memory) FailAt(n int) (calls int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	calls = m.calls
	m.failAt, m.calls = n, 0
	return calls
}

// NewMemory returns an empty store.
func NewMemory() *Memory { return &Memory{} }

var (
	_ programme.Store       = (*Memory)(nil)
	_ programme.SignInStore = (*Memory)(nil)
)

func (m *Memory) enter() error {
	m.mu.Lock()
	if m.closed {
		m.mu.Unlock()
		return programme.Refuse(programme.CodeInternal, "The store is closed.")
	}
	if m.calls++; m.calls == m.failAt {
		m.mu.Unlock()
		return programme.Refuse(programme.CodeDiskFull, "The disk is full.")
	}
	return nil
}

// Append implements programme.Store.
func (m *Memory) Append(_ context.Context, now time.Time, facts ...programme.Fact) ([]programme.Receipt, error) {
	if err := m.enter(); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	if err := programme.CheckFacts(facts); err != nil {
		return nil, err
	}
	at := now.UTC().Truncate(time.Millisecond)
	if n := len(m.facts); n > 0 && m.facts[n-1].RecordedAt.After(at) {
		at = m.facts[n-1].RecordedAt
	}
	all := slices.Clone(m.facts)
	var out []programme.Receipt
	for _, f := range facts {
		if i := find(all, f.ID); i >= 0 {
			if !programme.SameContent(all[i], f) {
				return nil, programme.Refuse(programme.CodeIDTaken, "The id %s was used before for something else. Nothing was saved.", f.ID)
			}
			out = append(out, programme.Receipt{ID: f.ID, Outcome: programme.Exists, Seq: all[i].Seq, RecordedAt: all[i].RecordedAt})
			continue
		}
		if f.Names != "" {
			if i := find(all, f.Names); i < 0 || all[i].Student != f.Student {
				return nil, programme.Refuse(programme.CodeNotFound, "The fact that this one names is not in the same record.")
			}
		}
		f.Payload = bytes.Clone(f.Payload)
		f.MadeAt = f.MadeAt.Truncate(time.Millisecond)
		f.Seq, f.RecordedAt, f.Forgotten = int64(len(all)+1), at, false
		all = append(all, f)
		out = append(out, programme.Receipt{ID: f.ID, Outcome: programme.Created, Seq: f.Seq, RecordedAt: at})
	}
	m.facts = all
	return out, nil
}

func find(all []programme.Fact, id programme.ID) int {
	return slices.IndexFunc(all, func(f programme.Fact) bool { return f.ID == id })
}

// Facts implements programme.Store.
func (m *Memory) Facts(_ context.Context, q programme.Query) ([]programme.Fact, error) {
	if err := m.enter(); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	limit := q.Limit
	if limit <= 0 || limit > programme.MaxQuery {
		limit = programme.MaxQuery
	}
	out := []programme.Fact{}
	for _, f := range m.facts {
		if len(out) == limit {
			break
		}
		if (q.Everyone || f.Student == q.Student) &&
			(len(q.Kinds) == 0 || slices.Contains(q.Kinds, f.Kind)) &&
			f.Seq > q.After && (q.UpTo == 0 || f.Seq <= q.UpTo) &&
			(q.UpToTime.IsZero() || !f.RecordedAt.After(q.UpToTime)) {
			f.Payload = bytes.Clone(f.Payload)
			out = append(out, f)
		}
	}
	return out, nil
}

// Fact implements programme.Store.
func (m *Memory) Fact(_ context.Context, id programme.ID) (programme.Fact, error) {
	if err := m.enter(); err != nil {
		return programme.Fact{}, err
	}
	defer m.mu.Unlock()
	i := find(m.facts, id)
	if i < 0 {
		return programme.Fact{}, programme.Refuse(programme.CodeNotFound, "There is no such fact.")
	}
	f := m.facts[i]
	f.Payload = bytes.Clone(f.Payload)
	return f, nil
}

// Counts implements programme.Store.
func (m *Memory) Counts(context.Context) (programme.Counts, error) {
	if err := m.enter(); err != nil {
		return programme.Counts{}, err
	}
	defer m.mu.Unlock()
	students := map[programme.ID]bool{}
	for _, f := range m.facts {
		if f.Student != "" {
			students[f.Student] = true
		}
	}
	n := int64(len(m.facts))
	return programme.Counts{Facts: n, Students: int64(len(students)), LastSeq: n}, nil
}

// LogReading implements programme.Store.
func (m *Memory) LogReading(_ context.Context, r programme.Reading) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	r.At = r.At.UTC().Truncate(time.Millisecond)
	m.readings = append(m.readings, r)
	return nil
}

// Readings implements programme.Store.
func (m *Memory) Readings(_ context.Context, student programme.ID, limit int) ([]programme.Reading, error) {
	if err := m.enter(); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	if limit <= 0 {
		limit = 1000
	}
	out := []programme.Reading{}
	for i := len(m.readings) - 1; i >= 0 && len(out) < limit; i-- {
		if student == "" || m.readings[i].Student == student {
			out = append(out, m.readings[i])
		}
	}
	return out, nil
}

// Close implements programme.Store.
func (m *Memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.closed = true
	return nil
}

// PutCredential implements programme.SignInStore.
func (m *Memory) PutCredential(_ context.Context, c programme.Credential) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	c.Secret, c.Changed = bytes.Clone(c.Secret), c.Changed.UTC().Truncate(time.Millisecond)
	if c.Kind == "password" {
		for _, o := range m.creds {
			if o.Kind == c.Kind && o.Login == c.Login && o.Staff != c.Staff {
				return programme.Refuse(programme.CodeConflict, "Somebody else signs in with that name.")
			}
		}
	}
	m.creds = slices.DeleteFunc(m.creds, func(o programme.Credential) bool {
		return o.ID == c.ID || c.Kind == "password" && o.Kind == c.Kind && o.Staff == c.Staff
	})
	m.creds = append(m.creds, c)
	return nil
}

// CredentialByLogin implements programme.SignInStore.
func (m *Memory) CredentialByLogin(_ context.Context, login string) (programme.Credential, error) {
	if err := m.enter(); err != nil {
		return programme.Credential{}, err
	}
	defer m.mu.Unlock()
	for _, c := range m.creds {
		if c.Kind == "password" && c.Login == login {
			return c, nil
		}
	}
	return programme.Credential{}, programme.Refuse(programme.CodeNotFound, "There is no such sign-in name.")
}

// CredentialsOf implements programme.SignInStore.
func (m *Memory) CredentialsOf(_ context.Context, staff programme.ID) ([]programme.Credential, error) {
	if err := m.enter(); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	out := []programme.Credential{}
	for _, c := range m.creds {
		if c.Staff == staff {
			out = append(out, c)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Changed.Before(out[b].Changed) })
	return out, nil
}

// DeleteCredential implements programme.SignInStore.
func (m *Memory) DeleteCredential(_ context.Context, id programme.ID) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	m.creds = slices.DeleteFunc(m.creds, func(c programme.Credential) bool { return c.ID == id })
	return nil
}

// DeleteCredentials implements programme.SignInStore.
func (m *Memory) DeleteCredentials(_ context.Context, staff programme.ID) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	m.creds = slices.DeleteFunc(m.creds, func(c programme.Credential) bool { return c.Staff == staff })
	return nil
}

// PutSession implements programme.SignInStore.
func (m *Memory) PutSession(_ context.Context, s programme.Session) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	for _, t := range []*time.Time{&s.Began, &s.LastSeen, &s.IdleEnds, &s.Ends} {
		*t = t.UTC().Truncate(time.Millisecond)
	}
	m.sessions = append(m.sessions, s)
	return nil
}

// SessionByToken implements programme.SignInStore.
func (m *Memory) SessionByToken(_ context.Context, hash []byte) (programme.Session, error) {
	if err := m.enter(); err != nil {
		return programme.Session{}, err
	}
	defer m.mu.Unlock()
	for _, s := range m.sessions {
		if bytes.Equal(s.TokenHash, hash) {
			return s, nil
		}
	}
	return programme.Session{}, programme.Refuse(programme.CodeNotFound, "That sign-in has ended.")
}

// TouchSession implements programme.SignInStore.
func (m *Memory) TouchSession(_ context.Context, id programme.ID, seen, idleEnds time.Time) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	for i := range m.sessions {
		if m.sessions[i].ID == id {
			m.sessions[i].LastSeen = seen.UTC().Truncate(time.Millisecond)
			m.sessions[i].IdleEnds = idleEnds.UTC().Truncate(time.Millisecond)
			return nil
		}
	}
	return programme.Refuse(programme.CodeNotFound, "That sign-in has ended.")
}

// SessionsOf implements programme.SignInStore.
func (m *Memory) SessionsOf(_ context.Context, staff programme.ID) ([]programme.Session, error) {
	if err := m.enter(); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	out := []programme.Session{}
	for _, s := range m.sessions {
		if s.Staff == staff {
			out = append(out, s)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Began.After(out[b].Began) })
	return out, nil
}

func (m *Memory) dropSessions(drop func(programme.Session) bool) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	m.sessions = slices.DeleteFunc(m.sessions, drop)
	return nil
}

// DeleteSession implements programme.SignInStore.
func (m *Memory) DeleteSession(_ context.Context, id programme.ID) error {
	return m.dropSessions(func(s programme.Session) bool { return s.ID == id })
}

// DeleteSessionsOf implements programme.SignInStore.
func (m *Memory) DeleteSessionsOf(_ context.Context, staff, keep programme.ID) error {
	return m.dropSessions(func(s programme.Session) bool { return s.Staff == staff && s.ID != keep })
}

// DeleteSessionsBefore implements programme.SignInStore.
func (m *Memory) DeleteSessionsBefore(_ context.Context, t time.Time) error {
	return m.dropSessions(func(s programme.Session) bool { return !s.IdleEnds.After(t) || !s.Ends.After(t) })
}

// PutCode implements programme.SignInStore.
func (m *Memory) PutCode(_ context.Context, c programme.OneTimeCode) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	m.codes = slices.DeleteFunc(m.codes, func(o programme.OneTimeCode) bool {
		return o.Purpose == c.Purpose && o.Staff == c.Staff && o.Used.IsZero()
	})
	c.Made, c.Expires = c.Made.UTC().Truncate(time.Millisecond), c.Expires.UTC().Truncate(time.Millisecond)
	m.codes = append(m.codes, c)
	return nil
}

// Codes implements programme.SignInStore.
func (m *Memory) Codes(_ context.Context, purpose string) ([]programme.OneTimeCode, error) {
	if err := m.enter(); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	out := []programme.OneTimeCode{}
	for _, c := range m.codes {
		if c.Purpose == purpose && c.Used.IsZero() {
			out = append(out, c)
		}
	}
	return out, nil
}

// UseCode implements programme.SignInStore.
func (m *Memory) UseCode(_ context.Context, id programme.ID, at time.Time) error {
	if err := m.enter(); err != nil {
		return err
	}
	defer m.mu.Unlock()
	for i := range m.codes {
		if m.codes[i].ID == id {
			if !m.codes[i].Used.IsZero() {
				return programme.Refuse(programme.CodeConflict, "That code was used before.")
			}
			m.codes[i].Used = at.UTC().Truncate(time.Millisecond)
			return nil
		}
	}
	return programme.Refuse(programme.CodeNotFound, "There is no such code.")
}
