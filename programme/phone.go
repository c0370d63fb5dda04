package programme

import (
	"encoding/hex"
	"slices"
	"strings"
	"time"
)

// The kinds of fact that phones bring with them.
const (
	KindPhone    Kind = "phone"     // PhoneDetails; the latest of each phone stands; no student
	KindHeldItem Kind = "held_item" // HeldItem: came from a phone that was revoked
	KindPhoneDay Kind = "phone_day" // PhoneDay: whom an instructor has today; the latest of each day and person stands; no student
	KindSnow     Kind = "snow"      // SnowEvent: what happened on snow beside attempts
)

// PhoneDetails is the payload of a KindPhone fact: a phone that may keep a
// day's pack, and whose it was last.
type PhoneDetails struct {
	Phone      ID     `json:"phone"`
	Staff      ID     `json:"staff"`
	Name       string `json:"name"`        // what its owner will recognise: "Firefox on Android"
	SecretHash string `json:"secret_hash"` // SHA-256 of what the phone proves itself with, 64 hex digits
	Revoked    bool   `json:"revoked,omitempty"`
	Reason     string `json:"reason,omitempty"` // why it was revoked
}

// PhoneState is a phone as known.
type PhoneState struct {
	PhoneDetails
	From Provenance
}

// PhoneDay is the payload of a KindPhoneDay fact: the people whom a member of
// staff has on a day, and so on the phone.
type PhoneDay struct {
	Day      Date `json:"day"`
	Staff    ID   `json:"staff"`
	Students []ID `json:"students"` // in order
}

// MaxPhoneDay bounds the people of one day on a phone.
const MaxPhoneDay = 20

// HeldItem is the payload of a KindHeldItem fact: an item that came from a
// phone after it was revoked. It counts for nothing until the lead takes it
// over.
type HeldItem struct {
	Phone   ID     `json:"phone"`
	Kind    Kind   `json:"kind"`
	Version int    `json:"version"`
	Payload string `json:"payload"`
	Author  ID     `json:"author"`
	Names   ID     `json:"names,omitempty"`
}

// HeldState is one such item.
type HeldState struct {
	Provenance
	Student ID
	HeldItem
}

// PhoneItem is one thing recorded on a phone, as it came.
type PhoneItem struct {
	ID      ID
	Student ID
	Kind    Kind
	Version int
	Payload []byte
	Names   ID
	MadeAt  time.Time // label
	Author  ID
}

// PhoneOutcome says what became of one item. Outcome is Created or Exists, or
// one of those below.
type PhoneOutcome struct {
	ID       ID
	Outcome  Outcome
	Seq      int64
	Code     Code
	Sentence string
}

// What may become of an item beside Created and Exists.
const (
	ItemHeld    Outcome = "held"    // kept for the lead to look at
	ItemRefused Outcome = "refused" // never taken as it is; Code says why, CodeNewer that a newer program may
	ItemLater   Outcome = "later"   // not now: nothing of it or of what follows was written
)

// CodeNewer is the code of an item of a kind or version that this program does
// not know.
const CodeNewer Code = "newer"

// The events on snow.
const (
	SnowFall     = "fall"
	SnowStop     = "stop"      // the lesson was stopped
	SnowNearMiss = "near_miss" // nothing happened, and it could have
	SnowCheck    = "check"     // a look at skin, a rest, the cold
)

// StopReasons are why a lesson is stopped, in the order in which a page shows
// them: an id and the words.
var StopReasons = [][2]string{
	{"said_stop", "Student says stop"}, {"pain", "Pain"}, {"skin", "Numb or white skin"}, {"cold", "Too cold"}, {"tired", "Tired"},
	{"weakness", "New weakness"}, {"head", "Headache, vomiting, sight"}, {"ad_signs", "Flushed, sweating, pounding head"}, {"seizure", "Seizure"},
	{"chest", "Chest"}, {"sugar", "Low sugar"}, {"spasm", "Spasm over 5 min"}, {"uncontrolled", "Uncontrolled run"}, {"gear", "Gear fault"}, {"unease", "Lead's unease"},
}

// checksOnSnow are what is looked at.
var checksOnSnow = []string{"skin", "rest", "cold"}

// answersOnSnow are the answers to a plain question.
var answersOnSnow = []string{"", "yes", "no", "unknown"}

// SnowEvent is the payload of a KindSnow fact.
type SnowEvent struct {
	Event     string `json:"event"`                // SnowFall, SnowStop, SnowNearMiss or SnowCheck
	Reason    string `json:"reason,omitempty"`     // stop: one of StopReasons; check: skin, rest or cold
	Hurt      string `json:"hurt,omitempty"`       // fall: yes, no, unknown
	Head      string `json:"head,omitempty"`       // fall: head, neck, numbness: patrol; yes, no, unknown
	Found     string `json:"found,omitempty"`      // check: what was seen
	Where     string `json:"where,omitempty"`      // near miss
	What      string `json:"what,omitempty"`       // near miss, fall: what happened, known facts only
	SetUp     string `json:"set_up,omitempty"`     // near miss: tags of the gear
	StoppedBy string `json:"stopped_by,omitempty"` // near miss: what stopped it
	Help      *int   `json:"help,omitempty"`       // near miss, fall: help level, 7 full to 0 independent
	Minutes   *int   `json:"minutes,omitempty"`    // into the lesson
}

// SnowState is one event on snow.
type SnowState struct {
	Provenance
	SnowEvent
}

func (e *SnowEvent) check() error {
	reasons := []string{""}
	switch e.Event {
	case SnowStop:
		reasons = nil
		for _, r := range StopReasons {
			reasons = append(reasons, r[0])
		}
	case SnowCheck:
		reasons = checksOnSnow
	case SnowFall, SnowNearMiss:
	default:
		return Refuse(CodeUnknown, "There is no event on snow called %q.", clip(e.Event))
	}
	if !slices.Contains(reasons, e.Reason) {
		return Refuse(CodeInvalid, "The reason %q does not go with it; one of %s does.", clip(e.Reason), strings.Join(reasons, ", "))
	}
	if !slices.Contains(answersOnSnow, e.Hurt) || !slices.Contains(answersOnSnow, e.Head) {
		return Refuse(CodeInvalid, "Whether somebody is hurt is yes, no or unknown.")
	}
	if e.Help != nil && (*e.Help < 0 || *e.Help > 7) {
		return Refuse(CodeInvalid, "A help level lies between 7, full, and 0, independent.")
	}
	if e.Minutes != nil && (*e.Minutes < 0 || *e.Minutes > 24*60) {
		return Refuse(CodeInvalid, "The minutes into the lesson cannot be right.")
	}
	for _, err := range []error{
		text("What was seen", &e.Found, MaxShort, false, false),
		text("Where it was", &e.Where, MaxShort, e.Event == SnowNearMiss && e.What == "", false),
		text("What happened", &e.What, MaxText, false, true),
		text("The set-up", &e.SetUp, MaxShort, false, false),
		text("What stopped it", &e.StoppedBy, MaxShort, false, false),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

func (d *PhoneDetails) check() error {
	if err := d.Phone.Check(); err != nil {
		return err
	}
	if err := d.Staff.Check(); err != nil {
		return err
	}
	if b, err := hex.DecodeString(d.SecretHash); err != nil || len(b) != 32 {
		return Refuse(CodeInvalid, "A phone proves itself by 64 hexadecimal digits.")
	}
	if err := text("The name of the phone", &d.Name, MaxName, false, false); err != nil {
		return err
	}
	return text("Why it is revoked", &d.Reason, MaxShort, d.Revoked, false)
}

// takePhone adds what phones brought to a record. mine is false for facts of
// other kinds.
func (p *projection) takePhone(f Fact, from Provenance) (ok, mine bool) {
	switch f.Kind {
	case KindSnow:
		s := SnowState{Provenance: from}
		if ok = f.Read(&s.SnowEvent) == nil; ok {
			p.r.Snow = append(p.r.Snow, s)
		}
		return ok, true
	case KindHeldItem:
		h := HeldState{Provenance: from, Student: p.r.Student}
		if ok = f.Read(&h.HeldItem) == nil; ok {
			p.r.HeldItems = append(p.r.HeldItems, h)
		}
		return ok, true
	}
	return true, false
}
