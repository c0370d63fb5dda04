package exchange

import "slices"

// Pending is an item that storage has not confirmed.
type Pending struct {
	Item Item `json:"item"`
	Size int  `json:"size"`
}

// Phone is the state of one open page. Meta and Rows mirror the phone's
// storage; everything else is gone when the page is.
type Phone struct {
	Mode    Mode      `json:"mode"`
	Meta    Meta      `json:"meta"`
	Rows    []Row     `json:"rows"`    // rising N
	Unsaved []Pending `json:"unsaved"` // recorded; nobody was told that they are saved

	No       int      `json:"no"`    // number of the last request
	Asked    []string `json:"asked"` // ids in it
	SentMono int64    `json:"sent_mono"`
	LastTry  int64    `json:"last_try"` // Mono of the last request; below 0: none
	RetryAt  int64    `json:"retry_at"` // Mono of the next try, in Waiting
	Tries    int      `json:"tries"`    // failed in a row
	Room     int      `json:"room"`     // bytes that the next request may fill
	Stalled  bool     `json:"stalled"`  // the last answer moved nothing on
	Turned   bool     `json:"turned"`   // the phone changed hands under the request
	Behind   bool     `json:"behind"`   // another page stored items before one of this page that this page has not read
	Checked  []string `json:"checked"`  // ids whose checksum came back right
	Why      string   `json:"why"`      // code of the answer that led to SignedOut
	Lost     int      `json:"lost"`     // items that were thrown away with the phone's storage

	Wall int64 `json:"wall"` // the phone's clock at the last event, ms since 1970
	Mono int64 `json:"mono"` // ms since the page was opened; never goes back
}

// New returns a page that has just been opened.
func New() *Phone {
	return &Phone{Mode: Opening, LastTry: -1, Room: RoomFirst}
}

// Event is one thing that happened. Wall and Mono are always set, the rest as
// the kind wants it.
type Event struct {
	Kind EventKind `json:"kind"`
	Wall int64     `json:"wall"`
	Mono int64     `json:"mono"`
	No   int       `json:"no"` // of the request that a reply belongs to

	Snapshot *Snapshot `json:"snapshot,omitempty"` // Loaded
	Item     *Item     `json:"item,omitempty"`     // Record
	Size     int       `json:"size,omitempty"`     // Record: bytes of the payload
	Rows     []Row     `json:"rows,omitempty"`     // Stored
	IDs      []string  `json:"ids,omitempty"`      // NotStored, Exported, Release
	Why      string    `json:"why,omitempty"`      // NotStored: "full", "turned", "closed"
	Answer   *Answer   `json:"answer,omitempty"`   // replies of the server
}

// Effect is one thing to be done. They are done in order.
type Effect struct {
	Kind      EffectKind `json:"kind"`
	Epoch     int64      `json:"epoch,omitempty"`
	No        int        `json:"no,omitempty"`
	Items     []Pending  `json:"items,omitempty"`  // Put
	Marks     []Mark     `json:"marks,omitempty"`  // Write
	Patch     *Patch     `json:"patch,omitempty"`  // Amend, KeepPack
	Person    string     `json:"person,omitempty"` // Turn, Wipe, Send
	IDs       []string   `json:"ids,omitempty"`    // Send, Check, Wipe
	All       bool       `json:"all,omitempty"`    // Wipe: everybody's; DropPack: the short list of people too
	TimeoutMS int64      `json:"timeout_ms,omitempty"`
	At        int64      `json:"at,omitempty"`  // Arm: Mono
	Say       string     `json:"say,omitempty"` // Tell: one of the sayings
	Count     int        `json:"count,omitempty"`
	Sentence  string     `json:"sentence,omitempty"`
}

// EffectKind names what is to be done.
type EffectKind string

// The effects.
const (
	Read     EffectKind = "read"      // read the whole storage; Loaded or Unreadable follows
	Put      EffectKind = "put"       // add items, durably; Stored or NotStored follows
	Write    EffectKind = "write"     // write marks on rows
	Amend    EffectKind = "amend"     // change Meta
	Turn     EffectKind = "turn"      // the phone is Person's from now on; the pack goes
	KeepPack EffectKind = "keep_pack" // keep the pack that came with request No
	DropPack EffectKind = "drop_pack" // the pack goes
	Wipe     EffectKind = "wipe"      // empty the storage if it holds just IDs; Wiped or NotWiped follows
	Send     EffectKind = "send"      // send the items IDs as request No
	Fetch    EffectKind = "fetch"     // ask for the day's pack as request No
	Check    EffectKind = "check"     // ask for the checksums of IDs as request No
	Arm      EffectKind = "arm"       // a Tick is wanted at Mono At
	Tally    EffectKind = "tally"     // note outside the storage that Count items are not sent
	Tell     EffectKind = "tell"      // tell the person
)

// The sayings of Tell.
const (
	SaySaved       = "saved"        // Count: how many wait to be sent
	SayNotSaved    = "not_saved"    // Sentence: why, in one word
	SaySent        = "sent"         // Count: how many went with this answer
	SaySetAside    = "set_aside"    // Sentence: the server's
	SaySignedOut   = "signed_out"   // Count: how many wait
	SayOtherPerson = "other_person" // Count: how many of somebody else's are held
	SayNotOurs     = "not_ours"     // something else answered
	SayStuck       = "stuck"        // this phone cannot keep anything
	SayNoDay       = "no_day"       // nobody's day is on this phone
	SayRevoked     = "revoked"
	SayLocked      = "locked"
	SayKeptBack    = "kept_back" // the phone cannot be emptied: Count items are set aside and in no file
	SayEmptied     = "emptied"
	SayLost        = "lost" // Count items were thrown away with the storage
)

// reply tells whether an event answers a request, and in which mode it may.
func (k EventKind) reply() (is bool, in []Mode) {
	asking := []Mode{Sending, Fetching, Checking}
	switch k {
	case Answered:
		return true, []Mode{Sending}
	case Packed:
		return true, []Mode{Fetching}
	case Summed:
		return true, []Mode{Checking}
	case NoAnswer, NotOurs, SignOut, Other, Revoke, TooLong:
		return true, asking
	}
	return false, nil
}

// Step takes one event and returns what is to be done, by the table. A reply
// to a request that is no longer under way is the event Late.
func (t Table) Step(s *Phone, e Event) []Effect {
	out, _ := t.step(s, e)
	return out
}

// step also tells which way of the cell was taken.
func (t Table) step(s *Phone, e Event) ([]Effect, Taking) {
	s.Wall, s.Mono = e.Wall, max(s.Mono, e.Mono)
	if is, in := e.Kind.reply(); is && (e.No != s.No || !slices.Contains(in, s.Mode)) {
		e.Kind = Late
	}
	d := doing{s: s, e: e}
	d.lockIfDue()
	cell, from := t[s.Mode][e.Kind], s.Mode
	for _, a := range cell.Do {
		actions[a](&d)
	}
	for i, w := range cell.Ways {
		if w.If != "" && !guards[w.If](s) {
			continue
		}
		for _, a := range w.Do {
			actions[a](&d)
		}
		s.Mode = w.To
		return d.out, Taking{from, e.Kind, i}
	}
	return d.out, Taking{from, e.Kind, -1}
}

// Taking names one way of one cell.
type Taking struct {
	Mode  Mode
	Event EventKind
	Way   int
}

// StepSeen is Step that also tells which way of the table was taken.
func (t Table) StepSeen(s *Phone, e Event) ([]Effect, Taking) { return t.step(s, e) }

// ClockShown tells whether the phone's clock is off by enough to say so.
func (m Meta) ClockShown() bool {
	return m.OffsetKnown && (m.Offset > ClockOff || m.Offset < -ClockOff)
}
