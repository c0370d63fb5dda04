// Package demo is an invented programme: a valley, a hill, the people who work
// and learn there, and one season of what they wrote down. Nothing in it is
// real; no name, place or firm in it exists outside this folder.
//
// The data are the YAML files beside this one: programme.yaml holds the place,
// the staff and the signed settings, students/ one file for each student with a
// comment that says what the student shows, people/ person files for the
// command line. [Load] writes the season into a programme through its use
// cases, step by step in the order of the days, as the people themselves would
// have done it.
//
// The package knows core and programme, no store and no page.
package demo

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"io"
	"sync"
	"time"

	"firnhand/programme"
)

//go:embed programme.yaml hill.yaml lessons.yaml students/*.yaml
var files embed.FS

// seed is what every id of the demo is made from. The same seed gives the same
// ids on every machine, so loading twice finds everything there.
const seed = "quillfell, the season of 2025-26"

// id makes the id of the thing called name that came to be at a moment.
func id(at time.Time, name string) programme.ID {
	sum := sha256.Sum256([]byte(seed + "\x00" + name))
	made, err := programme.NewID(at, bytes.NewReader(sum[:]))
	if err != nil {
		panic("demo: " + err.Error()) // 32 bytes are enough for an id
	}
	return made
}

// NewRandom returns the randomness of the demo: the same bytes from the
// beginning on every call. A service that loads the demo with it gives the same
// ids to the holds that the programme raises itself. It is safe for concurrent
// use, and for nothing that has to stay secret.
func NewRandom() io.Reader { return &stream{} }

// stream is the seed, hashed with a counter.
type stream struct {
	mu   sync.Mutex
	n    uint64
	left []byte
}

// Read implements io.Reader.
func (s *stream) Read(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i := range p {
		if len(s.left) == 0 {
			s.n++
			sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte(seed), s.n))
			s.left = sum[:]
		}
		p[i], s.left = s.left[0], s.left[1:]
	}
	return len(p), nil
}

// Programme is the invented programme as read from the files.
type Programme struct {
	Name    string
	Village string
	Zone    *time.Location // where it is
	First   programme.Date // first day of the season
	Last    programme.Date // last day of the season
	Today   time.Time      // the moment at which the demo is meant to be looked at
	Runs    []Run
	Lifts   []Lift
	Staff   []Staff
	// Students are in the order of their files.
	Students []Student
	// SignedSettings are the settings that the lead signed off by Last, with
	// their values; all others are still proposals.
	SignedSettings map[string]string

	steps []step
}

// Run is one slope of the invented hill.
type Run struct {
	Name     string
	SlopePct float64 // %
	WidthM   float64 // m
	LengthM  float64 // m
	RunOut   string  // what stops a skier at its foot
}

// Lift is one lift of the invented hill.
type Lift struct {
	Name     string
	Kind     string  // "carpet" or "chair"
	SpeedMS  float64 // m/s, as it usually runs
	Seats    int     // of a chair
	LengthM  float64 // m
	SlowedTo float64 // m/s, when asked for; 0: cannot be slowed
}

// Staff is one staff member with the sign-in of the demo.
type Staff struct {
	Key      string // short name inside the demo
	ID       programme.ID
	NameUsed string
	FullName string
	Roles    []programme.Role
	Login    string // sign-in name
	Password string // shown to everybody who opens the demo; good for nothing else
	Ended    bool   // no longer with the programme by Last; no sign-in
}

// Actor returns the staff member as somebody who acts in the programme.
func (s Staff) Actor() programme.Actor {
	return programme.Actor{Staff: s.ID, Name: s.NameUsed, Roles: s.Roles}
}

// Student is one student of the demo.
type Student struct {
	Key      string // short name inside the demo; the name of the file
	ID       programme.ID
	NameUsed string
	Shows    string // what the demo shows with this student
}

var read = sync.OnceValues(func() (*Programme, error) { return readAll(files) })

// Read returns the invented programme. It is read once; the result must not be
// changed. An error names the file and what is wrong in it.
func Read() (*Programme, error) { return read() }

// StudentByKey finds a student by the short name.
func (p *Programme) StudentByKey(key string) (Student, bool) {
	for _, s := range p.Students {
		if s.Key == key {
			return s, true
		}
	}
	return Student{}, false
}

// StaffByKey finds a staff member by the short name.
func (p *Programme) StaffByKey(key string) (Staff, bool) {
	for _, s := range p.Staff {
		if s.Key == key {
			return s, true
		}
	}
	return Staff{}, false
}
