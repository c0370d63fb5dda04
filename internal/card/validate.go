package card

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Error is a refused card: a code for programs, the field it is about, and a
// sentence for people. The sentence never repeats what the field held.
type Error struct {
	// Code is one of "missing", "too_many", "too_long", "not_one_line",
	// "bad_number", "outside_range", "bad_range", "not_one_value", "bad_id",
	// "diagnosis", "card_full".
	Code     string
	Field    string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

// Validate returns an *Error for the first thing that keeps the content from
// being a card, or nil. It checks what can be checked without laying it out.
func (c Content) Validate() error {
	k := &checker{}
	c.walk(k)
	if k.err != nil {
		return k.err
	}
	return nil
}

// checker keeps the first refusal.
type checker struct{ err *Error }

func (k *checker) refuse(code, field, format string, args ...any) {
	if k.err == nil {
		k.err = &Error{Code: code, Field: field, Sentence: fmt.Sprintf(format, args...)}
	}
}

// text checks one line of text of at most max characters.
func (k *checker) text(field, what, s string, max int, must bool) {
	switch {
	case strings.TrimSpace(s) == "":
		if must {
			k.refuse("missing", field, "The card needs %s.", what)
		}
	case utf8.RuneCountInString(s) > max:
		k.refuse("too_long", field, "On the card, %s may have %d characters; this one has %d.", what, max, utf8.RuneCountInString(s))
	case !oneLine(s):
		k.refuse("not_one_line", field, "On the card, %s must be plain text on one line.", what)
	}
}

// said is text that the programme itself chose: it may not name a condition.
func (k *checker) said(field, what, s string, max int, must bool) {
	k.text(field, what, s, max, must)
	if DiagnosisIn(s) != "" {
		k.refuse("diagnosis", field, "On the card, %s names a condition; say what to do instead.", what)
	}
}

func (k *checker) count(field, what string, n, max int) {
	if n > max {
		k.refuse("too_many", field, "The card takes at most %d %s; there are %d.", max, what, n)
	}
}

// oneLine refuses control characters, line breaks and marks that turn the
// direction of writing, which could make a card read other than it was stored.
func oneLine(s string) bool {
	if !utf8.ValidString(s) {
		return false
	}
	for _, r := range s {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' {
			return false
		}
	}
	return true
}

func (c Content) walk(k *checker) {
	k.text("first_name", "the first name", c.FirstName, 40, true)
	k.said("lesson_code", "the lesson code", c.LessonCode, 12, true)
	if c.Day.IsZero() {
		k.refuse("missing", "day", "The card needs the day it is valid for.")
	}
	k.said("slot", "the time of the lesson", c.Slot, 20, false)
	k.text("goal", "the goal", c.Goal, 60, false)
	k.said("stop_word", "the stop word", c.StopWord, 40, false)
	if c.Hold != nil {
		c.Hold.walk(k)
	}
	k.count("cautions", "cautions", len(c.Cautions), 9)
	for _, l := range c.Cautions {
		k.said("cautions", "the label of a caution", l.Label, 16, false)
		k.said("cautions", "a caution", l.Text, 100, true)
	}
	c.SetUp.walk(k)
	if c.Hold == nil && c.SetUp.Way == "" {
		k.refuse("missing", "set_up.way", "The card needs the way of skiing.")
	}
	c.Plan.walk(k)
	k.count("handover", "handover lines", len(c.Handover), 9)
	for _, l := range c.Handover {
		k.said("handover", "the label of a handover line", l.Label, 16, true)
		k.text("handover", "a handover line", l.Text, 100, true)
	}
	k.count("contacts", "contacts", len(c.Contacts), 6)
	if len(c.Contacts) == 0 {
		k.refuse("missing", "contacts", "The card needs at least one contact.")
	}
	for _, l := range c.Contacts {
		k.said("contacts", "who a contact is", l.Label, 16, true)
		k.said("contacts", "how to reach a contact", l.Text, 40, true)
	}
	c.Trace.walk(k)
}

func (h *Hold) walk(k *checker) {
	if h.Kind > NoStanding {
		k.refuse("missing", "hold.kind", "The card needs to know whether it is no skiing or no standing today.")
	}
	if len(h.Needed) == 0 {
		k.refuse("missing", "hold.needed", "A card with a hold needs what would end it, and from whom.")
	}
	k.count("hold.needed", "things a hold waits for", len(h.Needed), 5)
	for _, n := range h.Needed {
		k.said("hold.needed", "what a hold waits for", n.What, 90, true)
		k.said("hold.needed", "who can end a hold", n.From, 40, true)
	}
	k.said("hold.instead", "what is done today instead", h.Instead, 100, true)
}

func (s SetUp) walk(k *checker) {
	k.said("set_up.way", "the way of skiing", s.Way, 70, false)
	k.count("set_up.sided", "settings with sides", len(s.Sided), 7)
	k.count("set_up.shared", "settings without sides", len(s.Shared), 9)
	for _, r := range s.Sided {
		k.said("set_up.sided", "the label of a setting", r.Label, 24, true)
		k.value("set_up.sided", "the left side of a setting", r.Left, true)
		k.value("set_up.sided", "the right side of a setting", r.Right, true)
	}
	for _, r := range s.Shared {
		k.said("set_up.shared", "the label of a setting", r.Label, 24, true)
		k.value("set_up.shared", "a setting", r.Value, true)
	}
	if s.Figure != nil {
		for _, p := range s.Figure.People {
			k.said("set_up.figure", "the label of a person in the drawing", p.Label, 8, false)
		}
		k.said("set_up.figure", "the word for a lift in the drawing", s.Figure.LiftL, 10, false)
		k.said("set_up.figure", "the word for a lift in the drawing", s.Figure.LiftR, 10, false)
		k.count("set_up.figure", "people in the drawing", len(s.Figure.People), 4)
	}
}

func (p Plan) walk(k *checker) {
	k.value("plan.fan_left", "the fan step on the left", p.FanLeft, false)
	k.value("plan.fan_right", "the fan step on the right", p.FanRight, false)
	k.value("plan.block", "the minutes of a block", p.Block, false)
	k.value("plan.rest", "the minutes of rest", p.Rest, false)
	k.said("plan.terrain", "the terrain", p.Terrain, 100, false)
	k.said("plan.help", "the help level", p.Help, 100, false)
	k.said("plan.helpers", "the helpers", p.Helpers, 100, false)
	k.count("plan.more", "more lines of plan", len(p.More), 7)
	for _, l := range p.More {
		k.said("plan.more", "the label of a plan line", l.Label, 16, true)
		k.said("plan.more", "a plan line", l.Text, 100, true)
	}
}

var plainNumber = regexp.MustCompile(`^[0-9]{1,5}(\.[0-9]{1,2})?$`)

// number returns the number a string stands for, and whether it is written as
// the card wants it: digits on both sides of a point, and no leading zeros
// ("0.5", not ".5" or "05").
func number(s string) (float64, bool) {
	if !plainNumber.MatchString(s) || len(s) > 1 && s[0] == '0' && s[1] != '.' {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil
}

func (k *checker) value(field, what string, v Value, must bool) {
	if v.empty() {
		if must {
			k.refuse("missing", field, "On the card, %s may not be blank; say \"none\" where there is none.", what)
		}
		return
	}
	given := 0
	for _, s := range []string{v.Number, v.Words, v.Measure} {
		if s != "" {
			given++
		}
	}
	if given != 1 {
		k.refuse("not_one_value", field, "On the card, %s needs a number, or words, or how to measure it: one of the three.", what)
	}
	k.said(field, what, v.Words, 28, false)
	k.said(field, "how to measure "+what, v.Measure, 60, false)
	k.said(field, "the unit of "+what, v.Unit, 4, false)
	x, good := number(v.Number)
	if v.Number != "" && !good {
		k.refuse("bad_number", field, "On the card, %s must be a plain number such as 94 or 0.5.", what)
	}
	if v.Low == "" && v.High == "" {
		return
	}
	low, okLow := number(v.Low)
	high, okHigh := number(v.High)
	switch {
	case v.Words != "" || !okLow || !okHigh || low > high:
		k.refuse("bad_range", field, "On the card, the range of %s needs a low and a high number, and belongs to a number.", what)
	case v.Number != "" && (x < low || x > high):
		k.refuse("outside_range", field, "On the card, %s lies outside its own range.", what)
	}
}

var opaqueID = regexp.MustCompile(`^[A-Za-z0-9_-]{6,32}$`)

func (t Trace) walk(k *checker) {
	if !opaqueID.MatchString(t.CardID) {
		k.refuse("bad_id", "trace.card_id", "The card needs an id of 6 to 32 letters, digits, - or _.")
	}
	if t.MadeAt.IsZero() {
		k.refuse("missing", "trace.made_at", "The card needs the time it was made.")
	}
	if t.DataAt.IsZero() {
		k.refuse("missing", "trace.data_at", "The card needs the time of the newest fact it uses.")
	}
	k.text("trace.core_version", "the version of the rules", t.CoreVersion, 16, true)
	k.text("trace.input_code", "the short code of the inputs", t.InputCode, 16, true)
}
