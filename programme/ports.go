package programme

import (
	"context"
	"time"
)

// Clock tells the time. Nothing else in this package does.
type Clock interface {
	Now() time.Time
}

// Vocabulary knows what may be recorded. [CoreVocabulary] puts core behind it.
// Each method returns an error with a code and a sentence (*Error or one with
// the same two fields in core) and never panics on odd input.
type Vocabulary interface {
	// CheckFinding returns the value in its canonical written form. It refuses an
	// unknown id (CodeUnknown), and a side, state or value that the finding does
	// not have (CodeInvalid). state "both" is right for every finding.
	CheckFinding(key FindingKey, value string) (canonical string, err error)

	// Tires tells whether the finding has a tired value beside the fresh one.
	Tires(finding string) bool

	// NeedsPaper tells whether the value says that a licensed person's paper is on
	// file ("hip_surgeon_word" = "yes"): then only those who may record a
	// clearance may record it.
	NeedsPaper(finding, value string) bool

	// CheckSetting returns the setting's value in its canonical written form. It
	// refuses an unknown name (CodeUnknown) and an impossible value (CodeInvalid).
	CheckSetting(name, value string) (canonical string, err error)

	// CheckGate refuses a hold rule that does not exist (CodeUnknown).
	CheckGate(rule string) error
}

// Query selects facts. The zero Query selects the facts of the programme
// itself (staff, settings).
type Query struct {
	Student  ID        // facts of this student; "" with Everyone false: facts without a student
	Everyone bool      // facts of all students and of the programme; Student is then ignored
	Kinds    []Kind    // only these; empty: all
	After    int64     // only Seq > After
	UpTo     int64     // only Seq <= UpTo; 0: no limit
	UpToTime time.Time // only RecordedAt <= UpToTime; zero: no limit
	Limit    int       // at most so many, lowest Seq first; 0: MaxQuery
}

// Counts are whole-store figures for checks and for doctors of the store.
type Counts struct {
	Facts    int64
	Students int64
	LastSeq  int64
}

// Store keeps facts. It is safe for concurrent use. All errors are *Error.
//
// A store never changes or removes a fact. It does not understand payloads: it
// keeps their bytes.
type Store interface {
	// Append adds the facts in order, all or none, and is durable when it
	// returns: a fact whose receipt came back is there after a crash or a power
	// cut. now becomes RecordedAt, unless an earlier fact carries a later time;
	// then that time is used, so RecordedAt never goes back.
	//
	// A fact that is there already with the same content (SameContent) is
	// answered Exists with its first Seq, RecordedAt and MadeAt; one with other
	// content refuses the whole append with CodeIDTaken. The same holds for two
	// facts in one call.
	//
	// Names must be the id of a fact of the same student, in the store or earlier
	// in the call, else CodeNotFound. What CheckFacts refuses: CodeInvalid. A full or
	// read-only disk: CodeDiskFull, CodeReadOnly. After any error nothing was
	// written. A cancelled ctx may come back as CodeInternal with nothing written.
	//
	// Promised order: if append A returned before append B began, A's facts have
	// smaller Seq. Not promised: Seq without gaps.
	Append(ctx context.Context, now time.Time, facts ...Fact) ([]Receipt, error)

	// Facts returns the selected facts in rising Seq. No match: an empty slice.
	// A read sees every append that returned before it began, and never half of
	// one.
	Facts(ctx context.Context, q Query) ([]Fact, error)

	// Fact returns one fact. CodeNotFound when there is none.
	Fact(ctx context.Context, id ID) (Fact, error)

	// Counts returns whole-store figures.
	Counts(ctx context.Context) (Counts, error)

	// LogReading writes down that somebody opened medical details. Durable like
	// Append.
	LogReading(ctx context.Context, r Reading) error

	// Readings returns the log for one student, or for all with "", newest first,
	// at most limit (0: 1000).
	Readings(ctx context.Context, student ID, limit int) ([]Reading, error)

	// Close ends the store. Calls after it return errors.
	Close() error
}

// Reading is one entry of the log of opened medical details.
type Reading struct {
	At      time.Time // UTC, millisecond
	Staff   ID
	Student ID
	What    string // one of the words below
}

// What may be written to the log of openings.
const (
	ReadRecord    = "record"    // a record with medical details was opened
	ReadExport    = "export"    // everything about the student was taken out
	ReadForgotten = "forgotten" // the student was forgotten; nothing was opened
)

// Keys seals the text of students, one key each, so that a student's text can
// be destroyed by destroying the key while the facts keep their count and
// order. Package vault implements it; a store without keys keeps text in the clear.
type Keys interface {
	// Seal encrypts the payload of a fact. The same fact sealed twice gives the
	// same bytes, so that a store can compare them.
	Seal(f Fact) (keyID string, sealed []byte, err error)

	// Open decrypts. A destroyed key: CodeForgotten. Altered bytes: CodeDamaged.
	Open(f Fact) (payload []byte, err error)

	// Destroy destroys a student's key for good; durable when it returns.
	// Destroying twice is no error.
	Destroy(ctx context.Context, student ID) error
}
