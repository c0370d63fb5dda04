package exchange

import "encoding/json"

// Version of what goes over the wire. A server takes every earlier one.
const Version = 1

// Marker is in every answer of the server. Anything without it came from
// something else, such as the sign-in page of a guest network.
const Marker = "exchange"

// Request is what a phone sends. Only one of Items, IDs and Pack is used.
type Request struct {
	Exchange int      `json:"exchange"` // Version of the page
	Echo     string   `json:"echo"`     // random; the answer repeats it
	Device   string   `json:"device"`
	Secret   string   `json:"secret"` // proves the device; made on the phone, 256 bits
	Person   string   `json:"person"` // whose items they are, or whose day is on the phone; "" not known
	Build    string   `json:"build"`  // of the page
	Now      int64    `json:"now"`    // the phone's clock, ms
	Items    []Item   `json:"items,omitempty"`
	IDs      []string `json:"ids,omitempty"`  // checksums are asked for
	Pack     bool     `json:"pack,omitempty"` // the day's pack is asked for
}

// Code says in one word what a request came to.
type Code string

// The codes of an answer.
const (
	Taken       Code = "taken"        // each item has its result
	SignedOut   Code = "signed_out"   // nobody is signed in, or the sign-in has ended
	NotAllowed  Code = "not_allowed"  // the role was taken away
	OtherPerson Code = "other_person" // somebody else is signed in
	Gone        Code = "revoked"      // the phone was revoked; its items were put before the lead
	TooBig      Code = "too_big"      // the request is too long
	Busy        Code = "busy"         // not now; nothing was taken
)

// Answer is what the server says. Fields that a page does not know are left
// out of account.
type Answer struct {
	Firnhand  string            `json:"firnhand"` // Marker
	Exchange  int               `json:"exchange"`
	Echo      string            `json:"echo"`
	Code      Code              `json:"code"`
	Sentence  string            `json:"sentence"`
	Person    string            `json:"person"` // who is signed in
	At        int64             `json:"at"`     // the server's clock, ms
	Build     string            `json:"build"`  // of the server
	LockAfter int64             `json:"lock_after"`
	Results   []Result          `json:"results"`
	Sums      map[string]string `json:"sums"` // checksum by id, computed from what the store gave back
	Pack      string            `json:"pack"` // version of the pack that is in Day
	Day       json.RawMessage   `json:"day,omitempty"`
}

// Outcome says what became of one item.
type Outcome string

// The outcomes. A page takes one that it does not know for Later.
const (
	Created Outcome = "created" // it is in the records now
	Exists  Outcome = "exists"  // it was there already
	Held    Outcome = "held"    // the server keeps it for the lead to look at
	Refused Outcome = "refused" // it will never be taken as it is
	Later   Outcome = "later"   // not now
)

// Result answers one item.
type Result struct {
	ID       string  `json:"id"`
	Outcome  Outcome `json:"outcome"`
	Seq      int64   `json:"seq"`
	Code     string  `json:"code"`
	Sentence string  `json:"sentence"`
}

// CodeNewer is the code of an item that a newer server may take.
const CodeNewer = "newer"

// Timeout returns how long a request of so many bytes may take, ms: long
// enough for 2 kbit/s with answers after 3 s while it is short, and for
// 64 kbit/s beyond.
func Timeout(bytes int) int64 {
	short := min(bytes, 4096)
	return 15_000 + 4*int64(short) + int64(bytes-short)/8
}
