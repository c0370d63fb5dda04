// Package card makes the lesson card: one person, one day, one side of A5, to
// be read on snow with gloves on. Content is what the card says, already
// chosen and already rounded; PDF, SVG and Text show the same content on
// paper, on a page and in a terminal.
//
// The card carries actions, never diagnoses, and no more of a person than the
// first name and a lesson code. Left and right are always the student's. The
// layout keeps its promises by rule: key numbers never below 24 pt, labels
// never below 11 pt, actions 14 pt as long as they fit. A fuller card goes down
// in half points to 12 pt; then second-priority lines leave it one by one and
// their block says so ("2 more: see record"); then type goes down to 11 pt; as
// a last resort the rest of the handover, the goal and the end of the plan
// leave too. Cautions, holds, set-up, help, helpers and contacts never leave
// it. What still does not fit is refused, never cut.
//
// Sizes and order follow the printed-card rules of the product's design notes
// (checklists of fewer than ten items a block, sans serif, sentence case, dark
// on light, date on the card: Gawande/Brigham 2010; Degani 1992, NASA
// CR-177605). Sheet and type sizes themselves are proposed values.
package card

import (
	"time"

	"firnhand/internal/picture"
)

// Content is everything one card says. Sentences are plain text on one line,
// in sentence case; numbers are strings, rounded once by whoever computed
// them. Content is pure data: the same Content always gives the same bytes.
//
// What is sure to fit: six cautions of about 55 characters, three rows of
// sided numbers and one of words, four settings without sides, three contacts,
// and a plan and handover of any allowed length, the end of which then moves
// to the record. About 16 lines of text in all stay at 14 pt. Fit tells what
// the layout had to do.
type Content struct {
	FirstName  string    `json:"first_name"`  // the name the student uses; no surname; at most 40 characters
	LessonCode string    `json:"lesson_code"` // short code that leads to the record, such as "W5-14"; at most 12
	Day        time.Time `json:"day"`         // the one day the card is valid for; only the date counts
	Slot       string    `json:"slot"`        // time of the lesson, such as "10:00–12:00"; may be empty
	Goal       string    `json:"goal"`        // the student's goal in a few words; may be empty

	Hold *Hold `json:"hold,omitempty"` // set when the student may not ski, or not stand, today

	StopWord string `json:"stop_word"` // the word, sign or gesture agreed for stop; may be empty
	Cautions []Line `json:"cautions"`  // cautions and stop rules, most urgent first; never dropped; at most 9
	SetUp    SetUp  `json:"set_up"`
	Plan     Plan   `json:"plan"`
	Handover []Line `json:"handover"` // what the last instructor hands on: cue, weak turn, tires, next step ...; at most 9

	Contacts []Line `json:"contacts"` // Label who ("Patrol"), Text how ("radio 1"); at most 6
	Trace    Trace  `json:"trace"`
}

// Line is one item of a block: a short label in bold and what it says. In a
// block of cautions the label runs into the text ("Never: pull the right
// arm"); it may be empty there. Elsewhere labels stand in a column.
type Line struct {
	Label string `json:"label"` // at most 16 characters
	Text  string `json:"text"`  // at most 100 characters

	// Second marks a line that may move to the record when the card is full;
	// the last such line goes first. It has no effect on cautions and contacts.
	Second bool `json:"second,omitempty"`
}

// HoldKind says what is not done today.
type HoldKind uint8

// The holds.
const (
	NoSkiing   HoldKind = iota // nothing on snow
	NoStanding                 // sitting may still go ahead
)

// Says returns the words printed large on the card.
func (k HoldKind) Says() string {
	if k == NoStanding {
		return "No standing today"
	}
	return "No skiing today"
}

// Hold is a card's first block when something must be cleared first.
type Hold struct {
	Kind    HoldKind `json:"kind"`
	Needed  []Need   `json:"needed"`  // what ends the hold; 1 to 5
	Instead string   `json:"instead"` // what is done today: "Sitting if painless; else meet, tour, evaluation only"
}

// Need is one thing that must come before the hold can end.
type Need struct {
	What string `json:"what"` // as an action or a paper: "Written word that standing load is fine"; at most 90
	From string `json:"from"` // who gives it: "orthopaedic surgeon"; at most 40
}

// SetUp is the block of numbers and words that say how the gear is set.
type SetUp struct {
	Way    string         `json:"way"`    // way of skiing in one line: "Two skis, one outrigger on the left"; at most 70
	Sided  []SidedSetting `json:"sided"`  // settings with a left and a right; at most 7
	Shared []Setting      `json:"shared"` // settings without sides; at most 9
	Figure *picture.Above `json:"figure"` // drawing between the two columns; nil for none
}

// SidedSetting is one setting for the left and for the right. Neither side
// may be blank: a side without the thing says "none".
type SidedSetting struct {
	Label string `json:"label"` // at most 24
	Left  Value  `json:"left"`
	Right Value  `json:"right"`
}

// Setting is one setting without sides.
type Setting struct {
	Label  string `json:"label"` // at most 24
	Value  Value  `json:"value"`
	Second bool   `json:"second,omitempty"` // may move to the record when the card is full
}

// Value is what a setting is set to: exactly one of a Number, some Words, or
// the way to Measure a number that is not known yet.
type Value struct {
	Number string `json:"number,omitempty"` // "94", "0.5"; digits, at most one point, a digit on both sides of it
	Words  string `json:"words,omitempty"`  // "out", "none", "rear entry"; at most 28
	// Measure is how to find the number, written after "measure:". The card
	// leaves a line for it in pencil. At most 60 characters.
	Measure string `json:"measure,omitempty"`

	Unit string `json:"unit,omitempty"` // "cm", "mm", "°", "min"; with Number or Measure
	Low  string `json:"low,omitempty"`  // allowed range, both ends or none; a Number lies inside it
	High string `json:"high,omitempty"`
}

// Plan is what is meant to happen today.
type Plan struct {
	FanLeft  Value  `json:"fan_left"`  // start angle from straight across, turns to the left; empty when unknown
	FanRight Value  `json:"fan_right"` // the same for turns to the right
	Block    Value  `json:"block"`     // minutes on snow before a rest
	Rest     Value  `json:"rest"`      // minutes of rest
	Terrain  string `json:"terrain"`   // "Under 5 %, flat run-out; then 8–12 %"; each text at most 100
	Help     string `json:"help"`      // help level in words: "4, light hold; right 3, tight reins"
	Helpers  string `json:"helpers"`   // how many and on which side: "2: lead behind, helper on the right"
	More     []Line `json:"more"`      // anything else, in order; at most 7
}

// Trace says where the card comes from, so that it can be made again exactly.
type Trace struct {
	CardID      string    `json:"card_id"`      // opaque; the only thing in the QR code; letters, digits, "-", "_"; 6 to 32
	MadeAt      time.Time `json:"made_at"`      // also the creation date of the PDF
	DataUpTo    uint64    `json:"data_up_to"`   // sequence number of the last fact read
	DataAt      time.Time `json:"data_at"`      // when that fact was recorded
	CoreVersion string    `json:"core_version"` // at most 16
	InputCode   string    `json:"input_code"`   // short code of the inputs; at most 16
}

// empty tells whether nothing was given.
func (v Value) empty() bool { return v == Value{} }

// rangeText is the allowed range as printed, without a unit: "91–97".
func (v Value) rangeText() string {
	if v.Low == "" && v.High == "" {
		return ""
	}
	if v.Low == v.High {
		return "only " + v.Low
	}
	return v.Low + "–" + v.High
}
