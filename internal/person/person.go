// Package person reads one person from a file: what was found at intake and in
// the evaluation, written by hand in plain words, as a trainer writes it down.
//
// The format is a small part of YAML (maps, lists, plain words and numbers)
// and is described in docs/reference/person-file.md. Reading is strict: an
// unknown key, a key written twice, a finding given two values, an impossible
// level or a number that is none is refused with the line it stands on. What
// the file does not say stays unknown unless the file's own policy says
// otherwise, and whatever was taken as normal is listed.
package person

import (
	"fmt"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/programme"
)

// Limits of a file.
const (
	MaxBytes    = 1 << 20 // size of a file
	maxTokens   = 20_000  // words and signs of a file; a long evaluation has under 1000
	maxDepth    = 8       // levels of maps inside maps
	maxProblems = 20      // problems told at once
	maxName     = 40      // characters of a name, as on the card
	maxCode     = 12      // characters of a lesson code, as on the card
	maxNote     = 400     // characters of a note
	maxSlot     = 20      // characters of a lesson's time, as on the card
	maxContacts = 6       // contacts, as on the card
	maxWho      = 16      // characters of who a contact is, as on the card
	maxHow      = 40      // characters of how to reach a contact, as on the card
)

// Policy says what a finding means that the file does not list.
type Policy string

// The policies.
const (
	// AsNormal is the policy of a file that says nothing: a finding whose scale
	// has a value for "looked at, nothing noted" counts as that; one that has to
	// be measured stays unknown.
	AsNormal Policy = ""
	// AsUnknown assumes nothing at all.
	AsUnknown Policy = "unknown"
	// AlsoMeasured is AsNormal, and the few measured findings of obviousNormal
	// count as normal too.
	AlsoMeasured Policy = "normal"
)

// obviousNormal are the measured findings that the policy "normal" fills in.
// What carries the student (load test, standing, pushes, trunk, ankle) and
// what gear is cut to (the gap between the boots) is never in this list.
var obviousNormal = map[string]string{
	"sitting_painless": "yes",
	"toe_in_alone":     "yes",
	"place_of5":        "5",
}

// Person is what one file says.
type Person struct {
	Name       string
	LessonCode string
	Findings   finding.Set // as written; a key recorded as unknown is in the set
	Unlisted   Policy
	Holds      []Hold
	Clearances []Clearance
	Notes      []Note
	Slot       string    // time of the lesson, for the card
	Contacts   []Note    // whom to call: About who, Text how; for the card
	Measured   *Measured // what was measured for fitting; nil where nothing was
}

// Hold is a hold entered by hand.
type Hold struct {
	Effect  decide.Effect // decide.Hold or decide.HoldStanding
	Because string
	Clears  string // who can clear it, in words; may be empty
	Line    int
}

// Clearance is a licensed person's written word on one gate, as the file
// tells it.
type Clearance struct {
	Gate         string
	ClearedBy    string
	Role         string // licensed role of who cleared, one of programme.Clearers
	RecordedBy   string
	RecorderRole programme.Role
	On, Until    programme.Date
	InWriting    bool
	Line         int
}

// Note is something kept for people that no rule reads.
type Note struct {
	About string
	Text  string
	Line  int
}

// Problem is one thing wrong with a file.
type Problem struct {
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
	Line     int    `json:"line,omitempty"` // from 1; 0 for the file as a whole
}

// Problems is the error of a file that was refused, in line order.
type Problems []Problem

// Error lists the problems, one a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Sentence
		if one.Line > 0 {
			lines[i] = fmt.Sprintf("line %d: %s", one.Line, one.Sentence)
		}
	}
	return strings.Join(lines, "\n")
}

// Read reads a file. The error is a Problems; no Person comes with it.
func Read(data []byte) (*Person, error) {
	root, err := parse(data)
	if err != nil {
		return nil, err
	}
	r := &reader{p: &Person{Findings: finding.Set{}}, first: map[finding.Key]where{}}
	r.file(root)
	if len(r.problems) > 0 {
		return nil, r.sorted()
	}
	return r.p, nil
}
