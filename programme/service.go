package programme

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"sync"
	"time"
)

// Config is what a Service is made of. Store, Clock, Vocabulary and Random are
// needed.
type Config struct {
	Store      Store
	Clock      Clock
	Vocabulary Vocabulary
	Random     io.Reader      // for ids that the caller did not make; safe for concurrent use
	Zone       *time.Location // where the programme is; nil: UTC
	Keys       Keys           // nil: students cannot be forgotten

	// Holds returns the holds that the gate rules ask for on a record; those that
	// are not there yet are raised with the findings that call for them, in the
	// same append. nil: none. CoreVocabulary.Holds serves.
	Holds func(Record) []Hold
}

// Service carries out the use cases over a store. It is safe for concurrent
// use. Rules that look at a student's record before a write (one open
// evaluation, the last lead) hold among the callers of one Service.
type Service struct {
	Config
	writers [64]sync.Mutex // by student
	seen    *sync.Map      // students of whom something was recorded; that never ends
	tables  Tables
}

var _ UseCases = (*Service)(nil)

// New returns a Service.
func New(c Config) *Service {
	if c.Zone == nil {
		c.Zone = time.UTC
	}
	return &Service{Config: c, seen: &sync.Map{}}
}

func (s *Service) today() Date { return DateOf(s.Clock.Now().In(s.Zone)) }

// allow refuses an actor who is not signed in or may not do the action.
func allow(a Actor, act Action) error {
	if a.Staff == "" {
		return Refuse(CodeSignedOut, "Please sign in.")
	}
	if !a.May(act) {
		return Refuse(CodeNotAllowed, "%s", refusals[act])
	}
	return nil
}

// refusals are the sentences for actions that a role does not allow.
var refusals = map[Action]string{
	ReadIdentity:   "Your role does not show students.",
	ReadContact:    "Your role does not show contact details.",
	ReadHold:       "Your role does not show holds.",
	ReadWork:       "Your role does not show findings and notes.",
	ReadMedical:    "Only the lead, the medical reviewer and those assigned to the student may read medical details.",
	WriteStudent:   "Your role does not allow adding or changing students.",
	WriteConsent:   "Your role does not allow recording consents.",
	RaiseHoldAct:   "Your role does not allow raising a hold. Tell the lead.",
	RecordClears:   "Instructors never clear a hold. Only the lead or the medical reviewer may record a written clearance.",
	Evaluate:       "Your role does not allow evaluating.",
	WriteNote:      "Your role does not allow notes.",
	WriteMedical:   "Only the lead and the medical reviewer may write medical notes.",
	IssueCardAct:   "Your role does not allow issuing a card.",
	WriteSetUp:     "Your role does not allow writing on the set-up sheet.",
	RequestBinding: "Your role does not allow asking the binding technician.",
	ReadBinding:    "Your role does not show requests to the binding technician.",
	RecordBinding:  "Only a binding technician records what was set and measured.",
	ReadHill:       "Your role does not show the hill.",
	WriteHill:      "Your role does not allow changing slopes and lifts.",
	WriteDay:       "Your role does not allow recording a day on the hill.",
	PlanHill:       "Your role does not allow choosing a student's slope or recording times on the hill.",
	LogSnow:        "Your role does not allow recording on snow, or a phone that keeps the day.",
	WriteIncident:  "Your role does not allow writing incidents.",
	ReadIncident:   "Only the lead and the medical reviewer read every incident.",
	ReleaseGearAct: "Only the lead and the equipment lead give gear back that is out of use.",
	ReadReports:    "Only the lead reads the programme's reports.",
	ManageStaff:    "Only the lead may change staff.",
	ManageSettings: "Only the lead may change the programme's settings.",
	ReadLog:        "Only the lead and the medical reviewer may read this log.",
	Assign:         "Only the lead may open medical details to others.",
	TakeOut:        "Only the lead may take everything about a student out or in.",
	Forget:         "Only the lead may have a student forgotten.",
}

// fact builds a fact from a checked payload.
func (s *Service) fact(a Actor, m Made, student ID, kind Kind, names ID, payload any) (Fact, error) {
	b, err := json.Marshal(payload)
	if err != nil {
		return Fact{}, Fail(CodeInternal, err, "The input could not be written down.")
	}
	if m.Written != nil {
		if b, err = written(m, b, payload); err != nil {
			return Fact{}, err
		}
	}
	if len(b) > MaxPayload {
		return Fact{}, Refuse(CodeInvalid, "This is too long to be one record.")
	}
	if m.ID == "" {
		if m.ID, err = NewID(s.Clock.Now(), s.Random); err != nil {
			return Fact{}, err
		}
	}
	if err := m.ID.Check(); err != nil {
		return Fact{}, err
	}
	if student != "" {
		if err := student.Check(); err != nil {
			return Fact{}, err
		}
	}
	if m.At.IsZero() {
		m.At = s.Clock.Now().In(s.Zone)
	}
	return Fact{ID: m.ID, Student: student, Kind: kind, Version: payloadVersion, Payload: b,
		Author: a.Staff, Names: names, MadeAt: m.At}, nil
}

// already answers a fact that is in the store. With neither a receipt nor an
// error the fact is new.
func (s *Service) already(ctx context.Context, f Fact) (*Receipt, error) {
	had, err := s.Store.Fact(ctx, f.ID)
	switch {
	case CodeOf(err) == CodeNotFound:
		return nil, nil
	case err != nil:
		return nil, err
	case !SameContent(had, f):
		return nil, idTaken(f.ID)
	}
	return &Receipt{ID: had.ID, Outcome: Exists, Seq: had.Seq, RecordedAt: had.RecordedAt}, nil
}

func idTaken(id ID) *Error {
	return Refuse(CodeIDTaken, "The id %s was used before for something else. Nothing was saved.", id)
}

// put appends one fact after check accepted it; check is skipped for a fact
// that is there already. Two facts of one student never pass check at once.
func (s *Service) put(ctx context.Context, f Fact, check func() error) (Receipt, error) {
	defer s.lock(f.Student)()
	if had, err := s.already(ctx, f); err != nil {
		return Receipt{}, err
	} else if had != nil {
		return *had, nil
	}
	if check != nil {
		if err := check(); err != nil {
			return Receipt{}, err
		}
	}
	got, err := s.Store.Append(ctx, s.Clock.Now(), f)
	if err != nil {
		return Receipt{}, err
	}
	return got[0], nil
}

// putOn is put with the student's record as it stands; check may be nil.
func (s *Service) putOn(ctx context.Context, f Fact, check func(Record) error) (Receipt, error) {
	return s.put(ctx, f, func() error {
		r, err := s.load(ctx, f.Student, AsOf{})
		if err == nil && check != nil {
			err = check(r)
		}
		return err
	})
}

// lock keeps out other writers of the same student (or, with "", of the
// programme) in this process until the returned function is called.
func (s *Service) lock(student ID) (unlock func()) {
	m := &s.writers[s.writerOf(student)]
	m.Lock()
	return m.Unlock
}

func (s *Service) writerOf(student ID) int {
	h := uint32(2166136261) // FNV-1a, exact
	for i := 0; i < len(student); i++ {
		h = (h ^ uint32(student[i])) * 16777619
	}
	return int(h % uint32(len(s.writers)))
}

// load returns a student's whole record. CodeNotFound when nothing was recorded
// by then.
func (s *Service) load(ctx context.Context, student ID, at AsOf) (Record, error) {
	r, _, err := s.loadFacts(ctx, student, at)
	return r, err
}

// loadFacts is load with the facts that the record was computed from.
func (s *Service) loadFacts(ctx context.Context, student ID, at AsOf) (Record, []Fact, error) {
	if err := student.Check(); err != nil {
		return Record{}, nil, err
	}
	facts, err := s.Store.Facts(ctx, Query{Student: student, UpTo: at.Seq, UpToTime: at.Time})
	if err != nil {
		return Record{}, nil, err
	}
	if len(facts) == 0 {
		return Record{}, nil, Refuse(CodeNotFound, "There is no such student here.")
	}
	j, err := s.judging(ctx, at)
	if err != nil {
		return Record{}, nil, err
	}
	return RecordOf(student, facts, j), facts, nil
}

// judging returns what records are judged by as of a moment.
func (s *Service) judging(ctx context.Context, at AsOf) (Judging, error) {
	signed, err := s.settings(ctx, at)
	if err != nil {
		return Judging{}, err
	}
	j := Judging{At: at.Time, Zone: s.Zone, Numbers: NumbersOf(signed), Tires: s.Vocabulary.Tires}
	if j.At.IsZero() && at.Seq == 0 {
		j.At = s.Clock.Now()
	}
	return j, nil
}

func (s *Service) settings(ctx context.Context, at AsOf) (map[string]SettingState, error) {
	facts, err := s.Store.Facts(ctx, Query{Kinds: []Kind{KindSetting}, UpTo: at.Seq, UpToTime: at.Time})
	if err != nil {
		return nil, err
	}
	out := map[string]SettingState{}
	for _, f := range facts {
		var v Setting
		if err := f.Read(&v); err != nil {
			return nil, err
		}
		out[v.Name] = SettingState{v, provenance(f, f.ID)}
	}
	return out, nil
}

func (s *Service) numbers(ctx context.Context) (Numbers, error) {
	signed, err := s.settings(ctx, AsOf{})
	return NumbersOf(signed), err
}

// standing finds a fact of the student's record that still stands.
func standing(r Record, id ID, what string) (Entry, error) {
	i := slices.IndexFunc(r.Log, func(e Entry) bool { return e.Fact == id })
	switch {
	case i < 0:
		return Entry{}, Refuse(CodeNotFound, "This student's record has no such %s.", what)
	case r.Log[i].Standing == Retracted:
		return Entry{}, Refuse(CodeConflict, "That %s was retracted. Record it anew.", what)
	}
	return r.Log[i], nil
}

// asError keeps errors of the one shape and wraps others.
func asError(err error) error {
	var e *Error
	if err == nil || errors.As(err, &e) {
		return err
	}
	return Fail(CodeInternal, err, "%s", SentenceOf(err))
}
