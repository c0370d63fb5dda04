package programme

import (
	"encoding/json"
	"time"
)

// Kind says what a fact is about, and so how its payload reads.
type Kind string

// The kinds of fact. Those of staff and settings carry no student.
const (
	KindStudent          Kind = "student"           // StudentDetails; the latest stands
	KindGuardian         Kind = "guardian"          // GuardianDetails; the latest of each guardian stands
	KindConsent          Kind = "consent"           // Consent; the latest of each kind of consent stands
	KindHold             Kind = "hold"              // Hold
	KindClearance        Kind = "clearance"         // Clearance of one hold
	KindEvaluationBegun  Kind = "evaluation_begun"  // EvaluationBegun; the fact's id is the evaluation's id
	KindEvaluationClosed Kind = "evaluation_closed" // EvaluationClosed
	KindFinding          Kind = "finding"           // Finding: one value
	KindNote             Kind = "note"              // Note
	KindCard             Kind = "card"              // Card: what was printed
	KindRetraction       Kind = "retraction"        // Retraction of an earlier fact
	KindStaff            Kind = "staff"             // StaffDetails; the latest of each person stands
	KindSetting          Kind = "setting"           // Setting; the latest of each name stands
)

// Fact is one thing that was observed or decided, as it is stored.
//
// ID, Student, Kind, Version, Payload, Author and Names are its content. MadeAt
// is only a label from the clock where it was made. Seq and RecordedAt are
// given by the store and are zero before Append.
type Fact struct {
	ID      ID
	Student ID   // empty for facts of the programme (staff, settings)
	Kind    Kind // see the constants
	Version int  // version of the payload's form, 1 or more
	Payload []byte
	KeyID   string // names the key that sealed Payload; "" when it is in the clear
	Author  ID     // the staff member who made it
	Names   ID     // the earlier fact that this one corrects or retracts, or ""

	MadeAt     time.Time // label; kept to the millisecond with its offset
	Seq        int64     // order of the store: later facts have larger numbers
	RecordedAt time.Time // when the store took it; UTC, millisecond; never goes back as Seq rises

	// Forgotten is set by a reading store when the key was destroyed. Payload is
	// then empty.
	Forgotten bool
}

// Outcome answers an append.
type Outcome string

// The outcomes of appending one fact.
const (
	Created Outcome = "created" // it is in the store now
	Exists  Outcome = "exists"  // it was there already, with the same content
)

// Receipt says what became of one fact.
type Receipt struct {
	ID         ID
	Outcome    Outcome
	Seq        int64
	RecordedAt time.Time
}

// SameContent tells whether two facts say the same; labels and what the store
// added are left out. It is the rule by which a store answers Exists.
func SameContent(a, b Fact) bool {
	return a.ID == b.ID && a.Student == b.Student && a.Kind == b.Kind && a.Version == b.Version &&
		a.Author == b.Author && a.Names == b.Names && a.KeyID == b.KeyID && string(a.Payload) == string(b.Payload)
}

// Limits of what is accepted. Text is counted in characters.
const (
	MaxName        = 120       // a name, a label, a relation, a phone number
	MaxText        = 4000      // a note, a reason
	MaxShort       = 300       // how something was seen, a wording version, a reference
	MaxPayload     = 64 << 10  // bytes of one fact's payload
	SealRoom       = 64        // bytes that sealing may add to a payload
	MaxBatch       = 1000      // facts in one append
	MaxGuardians   = 20        // guardians of one student
	MaxBecause     = 50        // facts named as the reason of a hold
	MaxSettingText = 500       // value of a setting
	MaxAge         = 120       // years
	MaxQuery       = 1_000_000 // facts returned by one query
)

// BindsSelf says whether an adult's own signature binds.
type BindsSelf string

// The answers to "who decides for this person?".
const (
	BindsYes     BindsSelf = "yes"
	BindsNo      BindsSelf = "no"
	BindsUnknown BindsSelf = "unknown"
)

// StudentDetails is the payload of a KindStudent fact: the whole identity as
// it stands from then on.
type StudentDetails struct {
	NameUsed  string    `json:"name_used"`
	FullName  string    `json:"full_name,omitempty"`
	Language  string    `json:"language,omitempty"` // BCP 47 tag such as "en" or "pt-BR"
	BirthDate Date      `json:"birth_date"`
	AgeYears  int       `json:"age_years,omitempty"` // where the birth date is not given; 0 is unknown
	AgeOn     Date      `json:"age_on"`              // the day on which AgeYears was true
	BindsSelf BindsSelf `json:"binds_self"`
	Ended     bool      `json:"ended,omitempty"` // no longer with the programme; the record stays
}

// Age returns the age in completed years on a day and whether it is known. An
// age without a birth date is only known to grow: the years passed since AgeOn
// are added, so the answer is the lowest possible age.
func (d StudentDetails) Age(on Date) (years int, known bool) {
	switch {
	case !d.BirthDate.IsZero():
		return d.BirthDate.Years(on), true
	case d.AgeYears > 0 && !d.AgeOn.IsZero():
		return d.AgeYears + max(0, d.AgeOn.Years(on)), true
	}
	return 0, false
}

// GuardianDetails is the payload of a KindGuardian fact.
type GuardianDetails struct {
	Guardian ID     `json:"guardian"` // the person, the same in every later fact about them
	Name     string `json:"name"`
	Relation string `json:"relation,omitempty"`
	Phone    string `json:"phone,omitempty"`
	MaySign  bool   `json:"may_sign"`        // signs for the student
	Ended    bool   `json:"ended,omitempty"` // no longer
}

// ConsentKind names what a consent is about.
type ConsentKind string

// The consents.
const (
	ConsentWaiver    ConsentKind = "waiver"          // waiver of the season
	ConsentHealth    ConsentKind = "health_data"     // keeping health data
	ConsentPhoto     ConsentKind = "photo"           // photos and video
	ConsentSharing   ConsentKind = "share_clinician" // sharing with a clinician
	ConsentEmergency ConsentKind = "emergency_treatment"
	ConsentTouch     ConsentKind = "touch" // asked again on snow each time
)

// ConsentAnswer says what was answered.
type ConsentAnswer string

// The answers to a consent.
const (
	ConsentGiven     ConsentAnswer = "given"
	ConsentRefused   ConsentAnswer = "refused"
	ConsentWithdrawn ConsentAnswer = "withdrawn"
)

// Consent is the payload of a KindConsent fact.
type Consent struct {
	Consent  ConsentKind   `json:"consent"`
	Answer   ConsentAnswer `json:"answer"`
	Wording  string        `json:"wording"` // version of the wording that was signed
	SignedBy []Signature   `json:"signed_by"`
	SignedOn Date          `json:"signed_on"`
	Expires  Date          `json:"expires"`            // last day on which it holds
	OnPaper  bool          `json:"on_paper,omitempty"` // a signed original is kept
}

// Signature names who signed: the student, or a guardian by id.
type Signature struct {
	Student  bool `json:"student,omitempty"`
	Guardian ID   `json:"guardian,omitempty"`
}

// Hold is the payload of a KindHold fact. The fact's id is the hold's id. It
// ends only with a licensed person's written clearance.
type Hold struct {
	Rule         string `json:"rule,omitempty"`          // gate rule that raised it, such as "G7"; "" when by hand
	Reason       string `json:"reason"`                  // one sentence
	Clearer      string `json:"clearer,omitempty"`       // who can clear it, in words: "orthopaedic surgeon"
	StandingOnly bool   `json:"standing_only,omitempty"` // sitting may stay open; else no skiing at all
	Because      []ID   `json:"because,omitempty"`       // the facts it rests on
}

// Clearance is the payload of a KindClearance fact: a licensed person's word,
// in writing, written down here by the lead or the medical reviewer.
type Clearance struct {
	Hold       ID     `json:"hold"`
	ClearedBy  string `json:"cleared_by"`       // the licensed person's name or practice
	Licence    string `json:"licence"`          // licensed role, the ID of one of Clearers
	InWriting  bool   `json:"in_writing"`       // must be true
	ClearedOn  Date   `json:"cleared_on"`       // date on the paper
	ValidUntil Date   `json:"valid_until"`      // last day on which it holds
	Paper      string `json:"paper,omitempty"`  // where the paper is kept
	Limits     string `json:"limits,omitempty"` // what the letter allows only with limits
}

// EvaluationBegun is the payload of a KindEvaluationBegun fact.
type EvaluationBegun struct {
	Reason string `json:"reason"` // one of EvaluationReasons
}

// EvaluationReasons are the accepted reasons for an evaluation.
var EvaluationReasons = []string{"first", "return", "daily_check", "season", "change", "recheck"}

// EvaluationClosed is the payload of a KindEvaluationClosed fact.
type EvaluationClosed struct {
	Evaluation ID     `json:"evaluation"`
	Summary    string `json:"summary,omitempty"`
	Complete   bool   `json:"complete"` // false: broken off
}

// FindingKey names one value of an evaluation.
type FindingKey struct {
	Finding string `json:"finding"` // id in the vocabulary
	Side    string `json:"side"`    // "none", "left" or "right", always the student's
	State   string `json:"state"`   // "fresh", "tired" or "both"
}

// Finding is the payload of a KindFinding fact.
type Finding struct {
	FindingKey
	Value      string `json:"value"`                // as written: "W4", "3", "20", "yes", "unknown", "na"
	How        string `json:"how,omitempty"`        // how it was seen: "rail, ski boots"
	Note       string `json:"note,omitempty"`       // free words
	Evaluation ID     `json:"evaluation,omitempty"` // the evaluation it belongs to
}

// NoteClass says who may read a note.
type NoteClass string

// The classes of note.
const (
	NoteWork    NoteClass = "work"    // what to do; for everybody who works with the student
	NoteMedical NoteClass = "medical" // only for the lead and the medical reviewer; every opening is logged
)

// Note is the payload of a KindNote fact.
type Note struct {
	Class NoteClass `json:"class"`
	About string    `json:"about,omitempty"` // "lesson", "gear", "lift" ..., free
	Text  string    `json:"text"`
}

// Card is the payload of a KindCard fact: what is needed to print the same
// card again. The fact's id is the opaque id in the card's code.
type Card struct {
	UpTo     int64  `json:"up_to"`              // the last fact that the card was computed from
	Digest   string `json:"digest"`             // SHA-256 of what was printed, 64 hex digits
	ForDay   Date   `json:"for_day"`            // the day on which it was to be used
	Rules    string `json:"rules,omitempty"`    // version of the rule table
	Software string `json:"software,omitempty"` // version of the program that made it
}

// Retraction is the payload of a KindRetraction fact; the fact's Names is what
// it takes out of the record.
type Retraction struct {
	Reason string `json:"reason"`
}

// StaffDetails is the payload of a KindStaff fact.
type StaffDetails struct {
	Staff    ID     `json:"staff"`
	NameUsed string `json:"name_used"`
	FullName string `json:"full_name,omitempty"`
	Roles    []Role `json:"roles"`
	Ended    bool   `json:"ended,omitempty"`
}

// Setting is the payload of a KindSetting fact: one number or choice of the
// programme, with the person who answers for it.
type Setting struct {
	Name      string `json:"name"`
	Value     string `json:"value"`
	SignedBy  string `json:"signed_by"` // who signed it off, by name and function
	SignedOn  Date   `json:"signed_on"`
	Rationale string `json:"rationale,omitempty"`
}

// payloadVersion is the version of every payload form above.
const payloadVersion = 1

// Read unpacks the fact's payload into one of the payload structs above. A
// payload of a newer version reads as far as it is understood: unknown fields
// stay in the store and are left out.
func (f Fact) Read(into any) error {
	if f.Forgotten {
		return Refuse(CodeForgotten, "The text of this record was destroyed on request and cannot be read.")
	}
	if err := json.Unmarshal(f.Payload, into); err != nil {
		return Fail(CodeDamaged, err, "A stored %s cannot be read.", f.Kind)
	}
	return nil
}

// CheckFacts refuses what no store accepts in one append: too many facts, a
// malformed id, an empty or overlong kind, a payload over MaxPayload, a version
// under 1. Every store calls it.
func CheckFacts(facts []Fact) error {
	if len(facts) > MaxBatch {
		return Refuse(CodeInvalid, "At most %d facts are saved at once.", MaxBatch)
	}
	for _, f := range facts {
		for _, id := range []ID{f.ID, f.Student, f.Author, f.Names} {
			if id == "" && id != f.ID {
				continue
			}
			if err := id.Check(); err != nil {
				return err
			}
		}
		switch {
		case f.Kind == "" || len(f.Kind) > MaxName:
			return Refuse(CodeInvalid, "A fact needs a kind.")
		case f.Version < 1:
			return Refuse(CodeInvalid, "A fact's version is 1 or more.")
		case len(f.Payload) > MaxPayload && (f.KeyID == "" || len(f.Payload) > MaxPayload+SealRoom):
			return Refuse(CodeInvalid, "A fact holds at most %d bytes.", MaxPayload)
		case f.MadeAt.Year() < 1 || f.MadeAt.Year() > 9999:
			return Refuse(CodeInvalid, "The time at which a fact was made lies between the years 1 and 9999.")
		case len(f.KeyID) > MaxName:
			return Refuse(CodeInvalid, "A key id is too long.")
		}
	}
	return nil
}
