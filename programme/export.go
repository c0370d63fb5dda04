package programme

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"time"
)

// exportForm is the version of an export's form.
const exportForm = 1

// Export is everything that is kept about one student, in the order in which it
// was recorded, as it leaves the programme. It can be read by people, and
// ImportStudent takes it in elsewhere.
type Export struct {
	Form     int               `json:"form"`
	MadeAt   time.Time         `json:"made_at"`
	Student  ID                `json:"student"`
	Facts    []ExportedFact    `json:"facts"`
	Readings []ExportedReading `json:"readings"` // who opened medical details, newest first
	Staff    map[ID]string     `json:"staff"`    // names used of those who are named above
	Digest   string            `json:"digest"`   // SHA-256 of the facts, 64 hex digits
}

// ExportedFact is one fact in the clear.
type ExportedFact struct {
	ID         ID              `json:"id"`
	Kind       Kind            `json:"kind"`
	Version    int             `json:"version"`
	Author     ID              `json:"author"`
	Names      ID              `json:"names,omitempty"`
	MadeAt     time.Time       `json:"made_at"`
	RecordedAt time.Time       `json:"recorded_at"`
	Payload    json.RawMessage `json:"payload,omitempty"`
	Bytes      []byte          `json:"bytes,omitempty"` // instead, where the payload is no JSON; base64
}

// ExportedReading is one opening of medical details.
type ExportedReading struct {
	At    time.Time `json:"at"`
	Staff ID        `json:"staff"`
	What  string    `json:"what"`
}

func (f ExportedFact) payload() []byte {
	if f.Payload != nil {
		return f.Payload
	}
	return f.Bytes
}

// digestOf is the same wherever the same facts are: what the store gave them is
// left out. Payloads that are JSON count by what they say, so an export may be
// indented or not.
func digestOf(student ID, facts []ExportedFact) (string, error) {
	h := sha256.New()
	put := func(parts ...[]byte) {
		var n [8]byte
		for _, p := range parts {
			binary.BigEndian.PutUint64(n[:], uint64(len(p)))
			h.Write(n[:])
			h.Write(p)
		}
	}
	put([]byte(student))
	for _, f := range facts {
		said := f.payload()
		if f.Payload != nil {
			var v any
			if err := json.Unmarshal(f.Payload, &v); err != nil {
				return "", err
			}
			b, err := json.Marshal(v)
			if err != nil {
				return "", err
			}
			said = b
		}
		version := binary.BigEndian.AppendUint64(nil, uint64(f.Version))
		put([]byte(f.ID), []byte(f.Kind), version, []byte(f.Author), []byte(f.Names), []byte(f.MadeAt.UTC().Format(time.RFC3339Nano)), said)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// compact writes JSON without the white space that a reader put in.
func compact(raw json.RawMessage) ([]byte, error) {
	var b bytes.Buffer
	err := json.Compact(&b, raw)
	return b.Bytes(), err
}

// ExportStudent implements [UseCases].
func (s *Service) ExportStudent(ctx context.Context, a Actor, student ID) (Export, error) {
	if err := allow(a, TakeOut); err != nil {
		return Export{}, err
	}
	_, facts, err := s.loadFacts(ctx, student, AsOf{})
	if err != nil {
		return Export{}, err
	}
	if facts[0].Forgotten {
		return Export{}, errForgotten
	}
	if err := s.Store.LogReading(ctx, Reading{At: s.Clock.Now(), Staff: a.Staff, Student: student, What: ReadExport}); err != nil {
		return Export{}, err // what cannot be logged is not shown
	}
	readings, err := s.Store.Readings(ctx, student, MaxQuery)
	if err != nil {
		return Export{}, err
	}
	all, err := s.staff(ctx)
	if err != nil {
		return Export{}, err
	}
	e := Export{Form: exportForm, MadeAt: s.Clock.Now().UTC(), Student: student, Facts: []ExportedFact{}, Readings: []ExportedReading{}, Staff: map[ID]string{}}
	named := map[ID]bool{}
	for _, f := range facts {
		x := ExportedFact{ID: f.ID, Kind: f.Kind, Version: f.Version, Author: f.Author, Names: f.Names, MadeAt: f.MadeAt, RecordedAt: f.RecordedAt}
		if json.Valid(f.Payload) {
			x.Payload = f.Payload
		} else {
			x.Bytes = f.Payload
		}
		e.Facts = append(e.Facts, x)
		named[f.Author] = true
	}
	for _, r := range readings {
		e.Readings = append(e.Readings, ExportedReading{r.At, r.Staff, r.What})
		named[r.Staff] = true
	}
	for _, st := range all {
		if named[st.Staff] {
			e.Staff[st.Staff] = st.NameUsed
		}
	}
	if e.Digest, err = digestOf(student, e.Facts); err != nil {
		return Export{}, Fail(CodeInternal, err, "The export could not be made.")
	}
	return e, nil
}

// ImportStudent implements [UseCases].
func (s *Service) ImportStudent(ctx context.Context, a Actor, e Export) (int, error) {
	if err := allow(a, TakeOut); err != nil {
		return 0, err
	}
	if e.Form > exportForm {
		return 0, Refuse(CodeNewer, "This export was made by a newer program (form %d; this one knows %d). Nothing was taken in.", e.Form, exportForm)
	}
	if err := e.Student.Check(); err != nil {
		return 0, err
	}
	sum, err := digestOf(e.Student, e.Facts)
	if err != nil || sum != e.Digest || e.Form != exportForm || len(e.Facts) == 0 {
		return 0, Fail(CodeDamaged, err, "This export was changed or cut off after it was made. Nothing was taken in.")
	}
	facts := make([]Fact, len(e.Facts))
	for i, f := range e.Facts {
		var payload []byte
		if f.Payload != nil {
			var b []byte
			if b, err = compact(f.Payload); err != nil {
				return 0, Fail(CodeDamaged, err, "This export cannot be read. Nothing was taken in.")
			}
			payload = b
		} else {
			payload = f.Bytes
		}
		facts[i] = Fact{ID: f.ID, Student: e.Student, Kind: f.Kind, Version: f.Version, Payload: payload, Author: f.Author, Names: f.Names, MadeAt: f.MadeAt}
	}
	created := 0
	for len(facts) > 0 {
		n := min(len(facts), MaxBatch)
		got, err := s.Store.Append(ctx, s.Clock.Now(), facts[:n]...)
		if err != nil {
			return created, err
		}
		for _, r := range got {
			if r.Outcome == Created {
				created++
			}
		}
		facts = facts[n:]
	}
	return created, nil
}
