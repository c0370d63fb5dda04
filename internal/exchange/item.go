package exchange

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
)

// Limits of what is exchanged. They are no figures of the trade.
const (
	MaxPayload = 64 << 10  // bytes of one item's payload; longer ones are set aside on the phone
	MaxItems   = 200       // items of one request
	RoomFirst  = 32 << 10  // bytes that the first request of a page may fill
	RoomLeast  = 512       // one item always goes, however long
	RoomMost   = 256 << 10 // what a request grows to on a good link
	Envelope   = 400       // bytes of an item beside its payload, about
)

// Times in ms. They are no figures of the trade.
const (
	MinGap    = 60_000      // between two tries that nobody asked for
	LongWait  = 300_000     // the longest wait for the next try
	PackAge   = 300_000     // after which the day's pack is asked for again
	ClockOff  = 120_000     // a phone's clock off by more is shown
	LockAfter = 12 * 3600e3 // without contact, where the programme has signed nothing else
)

// Item is one thing that a person recorded on a phone. Its envelope never
// gets further fields, so that an older server loses none: what is new goes
// into the payload, which is kept byte by byte.
type Item struct {
	ID      string `json:"id"`      // UUID of version 7 or 4, made on the phone
	Author  string `json:"author"`  // who was signed in there
	Student string `json:"student"` // "" where it is about no student
	Kind    string `json:"kind"`    // as the programme names kinds of fact
	Version int    `json:"version"` // of the payload's form
	Payload string `json:"payload"` // JSON as text
	Names   string `json:"names"`   // the earlier item or fact that this one corrects or takes back, or ""
	MadeAt  string `json:"made_at"` // label of the phone's clock, RFC 3339
	Sum     string `json:"sum"`     // SumOf the fields above but MadeAt, made when the item was
}

// SumOf is the checksum of what an item says: the first 128 bits of the
// SHA-256 (FIPS 180-4) of its fields, each after its length in bytes and a
// colon. The clock's label is left out.
func SumOf(i Item) string {
	h := sha256.New()
	for _, part := range []string{i.ID, i.Author, i.Student, i.Kind, strconv.Itoa(i.Version), i.Payload, i.Names} {
		h.Write([]byte(strconv.Itoa(len(part)) + ":"))
		h.Write([]byte(part))
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// RowState says how an item on the phone stands.
type RowState string

// The states of an item that storage has confirmed.
const (
	Kept     RowState = "kept"      // saved on the phone, not sent
	Sent     RowState = "sent"      // the server has it
	SetAside RowState = "set_aside" // the server refused it, or it is too long; kept and shown
)

// Row is an item as it stands on the phone.
type Row struct {
	N        int64    `json:"n"` // place in the order of this phone, given by its storage
	Item     Item     `json:"item"`
	Size     int      `json:"size"` // bytes of the payload
	State    RowState `json:"state"`
	Seq      int64    `json:"seq"`      // the server's order, once sent
	Code     string   `json:"code"`     // why it was set aside; "held" where the lead must look at it
	Sentence string   `json:"sentence"` // the same for people
	Build    string   `json:"build"`    // the server's build that refused it
	Exported bool     `json:"exported"` // the person has it in a file
}

// Mark is a change of a row that storage is asked to write.
type Mark struct {
	ID       string   `json:"id"`
	State    RowState `json:"state"`
	Seq      int64    `json:"seq"`
	Code     string   `json:"code"`
	Sentence string   `json:"sentence"`
	Build    string   `json:"build"`
	Exported bool     `json:"exported"`
	Again    bool     `json:"again"` // it is sent once more, whatever it was: the server turned out not to have it
}

// Apply writes the mark on a row as storage does it. Two pages of one phone
// may mark one row; what one of them knows to be sent stays sent.
func (m Mark) Apply(r Row) Row {
	r.Exported = r.Exported || m.Exported
	if r.State == Sent && m.State != Sent && !m.Again {
		return r
	}
	r.State, r.Seq, r.Code, r.Sentence, r.Build = m.State, m.Seq, m.Code, m.Sentence, m.Build
	return r
}

// Ending says that a phone is being emptied.
type Ending string

// The ways a day on a phone ends.
const (
	NotEnding Ending = ""
	Done      Ending = "done"    // the person is done for today
	Revoked   Ending = "revoked" // the lead has revoked the phone
)

// Meta is what a phone keeps beside its items. Epoch rises whenever the phone
// changes hands or is emptied, so that a page that has not noticed cannot
// write into what is no longer its own.
type Meta struct {
	Device      string `json:"device"`
	Epoch       int64  `json:"epoch"`
	Person      string `json:"person"`       // whose day is on the phone; "" nobody's
	Contact     int64  `json:"contact"`      // the phone's clock when the server last answered, ms
	Offset      int64  `json:"offset"`       // server's clock less the phone's, ms
	OffsetKnown bool   `json:"offset_known"` // false: never measured
	LockAfter   int64  `json:"lock_after"`   // ms without contact after which nothing can be read
	Locked      bool   `json:"locked"`       // nothing can be read until the server answers; recording goes on
	Ending      Ending `json:"ending"`
	Build       string `json:"build"`   // the server's, when it last answered
	Pack        string `json:"pack"`    // version of the day's pack; "" none
	PackAt      int64  `json:"pack_at"` // the phone's clock when it came, ms
}

// AfterTurn returns what a phone keeps when it becomes somebody else's.
func (m Meta) AfterTurn(person string) Meta {
	m.Epoch, m.Person, m.Pack, m.PackAt, m.Locked, m.Ending = m.Epoch+1, person, "", 0, false, NotEnding
	return m
}

// AfterWipe returns what a phone keeps when it was emptied.
func (m Meta) AfterWipe() Meta {
	return Meta{Device: m.Device, Epoch: m.Epoch + 1, LockAfter: m.LockAfter, Build: m.Build}
}

// Patch is a change of Meta that storage is asked to write: the fields that
// are there, and only while the phone's epoch is the one named with it.
type Patch struct {
	Contact     *int64  `json:"contact,omitempty"`
	Offset      *int64  `json:"offset,omitempty"`
	OffsetKnown *bool   `json:"offset_known,omitempty"`
	LockAfter   *int64  `json:"lock_after,omitempty"`
	Locked      *bool   `json:"locked,omitempty"`
	Ending      *Ending `json:"ending,omitempty"`
	Build       *string `json:"build,omitempty"`
	Pack        *string `json:"pack,omitempty"`
	PackAt      *int64  `json:"pack_at,omitempty"`
}

// Apply writes the patch.
func (p Patch) Apply(m Meta) Meta {
	set(&m.Contact, p.Contact)
	set(&m.Offset, p.Offset)
	set(&m.OffsetKnown, p.OffsetKnown)
	set(&m.LockAfter, p.LockAfter)
	set(&m.Locked, p.Locked)
	set(&m.Ending, p.Ending)
	set(&m.Build, p.Build)
	set(&m.Pack, p.Pack)
	set(&m.PackAt, p.PackAt)
	return m
}

func set[T any](to *T, from *T) {
	if from != nil {
		*to = *from
	}
}

// Snapshot is what was read from a phone's storage.
type Snapshot struct {
	Fresh bool  `json:"fresh"` // there was nothing: a new phone, or all of it was thrown away
	Tally int   `json:"tally"` // items not sent, by the note kept outside this storage; 0 where there is none
	Meta  Meta  `json:"meta"`
	Rows  []Row `json:"rows"` // rising N
}
