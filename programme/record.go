package programme

import "time"

// AsOf chooses a moment of the record. The zero AsOf is now.
//
// With Seq, exactly the facts up to and including that sequence count. With
// Time, those recorded by then. With both, both limits hold, and what expires
// is judged at Time. With Seq alone, what expires is judged at the time the
// last included fact was recorded.
type AsOf struct {
	Seq  int64
	Time time.Time
}

// Provenance says where a shown value comes from.
type Provenance struct {
	Fact       ID // the fact whose content is shown
	First      ID // the fact that it corrects in the end; the same as Fact when never corrected
	Seq        int64
	By         ID        // staff member
	MadeAt     time.Time // label of the clock where it was made
	RecordedAt time.Time
}

// Corrected tells whether the shown value replaced an earlier one.
func (p Provenance) Corrected() bool { return p.Fact != p.First }

// Seen is the current value of one finding with where it comes from.
type Seen struct {
	Provenance
	Finding
}

// GuardianState is a guardian as known.
type GuardianState struct {
	Provenance
	GuardianDetails
}

// ConsentState is how one kind of consent stands.
type ConsentState struct {
	Kind     ConsentKind
	Needed   bool   // nobody takes part without it
	Recorded bool   // something was recorded; else only Kind, Needed and Why count
	Valid    bool   // given, signed by everybody who must, not expired
	Why      string // one sentence: why it is not valid, or until when it is
	Provenance
	Consent
}

// HoldStatus says how a hold stands.
type HoldStatus string

// The states of a hold.
const (
	HoldOpen      HoldStatus = "open"
	HoldCleared   HoldStatus = "cleared"   // a written clearance holds today
	HoldWithdrawn HoldStatus = "withdrawn" // recorded in error; it never counted
)

// HoldState is a hold with its clearances.
type HoldState struct {
	ID ID
	Hold
	Provenance
	Status     HoldStatus
	Why        string // one sentence: what the status rests on
	Lapsed     bool   // open again because a clearance ran out
	Until      Date   // cleared: last day of the clearance
	Clearances []ClearanceState
	Withdrawn  string // the reason, when withdrawn
}

// ClearanceState is one written clearance.
type ClearanceState struct {
	Provenance
	Clearance
	Counts bool // holds on the record's day
}

// EvaluationState is one evaluation.
type EvaluationState struct {
	ID ID
	EvaluationBegun
	Provenance
	Closed   bool
	Closing  Provenance // when Closed
	Complete bool
	Summary  string
	Findings int // values recorded in it that stand
}

// NoteState is one note.
type NoteState struct {
	Provenance
	Note
}

// CardState is one issued card.
type CardState struct {
	Provenance
	Card
}

// Standing says what became of a fact.
type Standing string

// What may become of a fact.
const (
	Stands    Standing = "stands"
	Corrected Standing = "corrected"
	Retracted Standing = "retracted"
)

// Entry is one fact in the list of everything that was recorded.
type Entry struct {
	Provenance
	Kind     Kind
	Standing Standing
	ByFact   ID     // the correcting or retracting fact
	Reason   string // of a retraction
}

// Record is everything known about a student at a moment, computed from facts.
type Record struct {
	Student ID
	At      time.Time // the moment at which expiry was judged
	Day     Date      // At as a civil day where the programme is
	UpTo    int64     // Seq of the last fact that counts
	Facts   int       // number of facts that count
	Unread  int       // facts of a kind that this version does not know
	Hidden  []Action  // reading rights that the asking person lacks; those fields are empty

	StudentDetails
	DetailsFrom Provenance
	AgeNow      int
	AgeKnown    bool

	Guardians   []GuardianState
	Consents    []ConsentState      // one for each kind, in the order of ConsentRules
	Holds       []HoldState         // oldest first, withdrawn ones too
	Findings    map[FindingKey]Seen // State is "fresh" or "tired", never "both"
	Evaluations []EvaluationState   // oldest first
	Notes       []NoteState         // oldest first
	Cards       []CardState         // oldest first
	SetUps      []SetUpState        // versions of the set-up sheet, oldest first
	GearChanges []GearChangeState   // oldest first
	Bindings    []BindingState      // requests to the technician with what came back, oldest first
	Hill        OnHill              // slope and lift, lift times, stops
	Assigned    []AssignmentState   // who else may read medical details
	Snow        []SnowState         // falls, stops, near misses and checks on snow, oldest first
	HeldItems   []HeldState         // from phones that were revoked; they count for nothing
	Lessons     []LessonState       // oldest first
	Attempts    []AttemptState      // as the store took them; History puts them in the order of their lessons
	Log         []Entry             // every fact, oldest first
	Forgotten   bool                // the student's text was destroyed

	Measures map[MeasureKey]MeasureSeen // what was measured on the student and their gear

	history map[FindingKey][]Seen // every standing value, oldest first
	numbers Numbers               // of the programme, at that moment
	place   *time.Location        // of the programme
}

// StudentLine is one line of the list of students.
type StudentLine struct {
	Student       ID
	NameUsed      string
	FullName      string // empty without ReadContact
	Language      string
	AgeNow        int
	AgeKnown      bool
	Ended         bool
	Held          bool
	HoldRules     []string // rules of the open holds, "" for one by hand
	WaiverValid   bool
	Evaluating    bool      // an evaluation is open
	LastEvaluated time.Time // when the last complete evaluation was closed; zero: never
	Added         time.Time // when the student was first recorded
}

// StaffState is a staff member as known.
type StaffState struct {
	StaffDetails
	From Provenance
}

// SettingState is a setting as signed off.
type SettingState struct {
	Setting
	From Provenance
}
