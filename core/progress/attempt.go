package progress

import (
	"fmt"
	"math"
	"slices"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// Outcome is how an attempt went.
type Outcome uint8

// The outcomes, worst first.
const (
	Miss Outcome = iota
	Partly
	Clean
)

var outcomeNames = [...]string{"miss", "partly", "clean"}

// String returns "miss", "partly" or "clean".
func (o Outcome) String() string { return outcomeNames[o] }

// ParseOutcome reads an outcome.
func ParseOutcome(s string) (Outcome, error) {
	if i := slices.Index(outcomeNames[:], s); i >= 0 {
		return Outcome(i), nil
	}
	return Miss, refuse("unknown_outcome", "An outcome is miss, partly or clean, not %q.", s)
}

// Trouble is what happened beside the outcome; several may have.
type Trouble uint8

// The troubles.
const (
	UncontrolledFall Trouble = 1 << iota
	Pain
	Spasm   // that did not settle
	Contact // with a person or a thing
	Fear    // that did not settle
)

var troubleNames = [...]string{"uncontrolled_fall", "pain", "spasm", "contact", "fear"}

var troubleWords = [...]string{"an uncontrolled fall", "pain", "spasm", "contact", "fear that did not settle"}

// Troubles lists the names of the troubles.
func Troubles() []string { return slices.Clone(troubleNames[:]) }

// Names lists the troubles of a set by name.
func (t Trouble) Names() []string { return t.list(troubleNames[:]) }

// Words lists the troubles of a set in words.
func (t Trouble) Words() []string { return t.list(troubleWords[:]) }

func (t Trouble) list(names []string) []string {
	var out []string
	for i, n := range names {
		if t&(1<<i) != 0 {
			out = append(out, n)
		}
	}
	return out
}

// ParseTrouble reads one name of a trouble.
func ParseTrouble(s string) (Trouble, error) {
	if i := slices.Index(troubleNames[:], s); i >= 0 {
		return 1 << i, nil
	}
	return 0, refuse("unknown_trouble", "What happened is one of uncontrolled_fall, pain, spasm, contact, fear; not %q.", s)
}

// MinuteUnknown stands for a minute that was not recorded.
const MinuteUnknown = -1

// Attempt is one try at a skill with how it went.
type Attempt struct {
	ladder.Attempt
	Outcome Outcome
	Trouble Trouble
	Lesson  string  // names the lesson
	Day     int     // civil day, counted from any day
	Minute  float64 // minutes since the lesson began, or since the last rest in it; MinuteUnknown where it was not recorded
	Helper  string  // who helped; "" where it was not recorded
	Cue     string  // the cue that was used; "" where it was not recorded
	Poor    bool    // ice, slush, crowd or flat light
}

// Mirror swaps left and right.
func (a Attempt) Mirror() Attempt {
	a.Side, a.Aids = a.Side.Other(), a.Aids.Mirror()
	return a
}

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
	Attempt  int // index of the attempt that was refused; -1 for none
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, format string, args ...any) *Error {
	return &Error{code, fmt.Sprintf(format, args...), -1}
}

// Bounds of what may enter; they refuse slips of the pen, no one.
const (
	MaxMinute   = 600     // minutes into a lesson
	MaxAttempts = 100_000 // of one student
	maxDay      = 4_000_000
	maxWord     = 120 // bytes of a name
)

// check refuses what no attempt can be.
func (a Attempt) check(l *ladder.Ladder) error {
	if err := l.Admit(a.Attempt); err != nil {
		var code string
		if e, ok := err.(*ladder.Error); ok {
			code = e.Code
		}
		return refuse(code, "%s", err.Error())
	}
	switch {
	case a.Outcome > Clean:
		return refuse("unknown_outcome", "An outcome is miss, partly or clean.")
	case a.Lesson == "" || len(a.Lesson) > maxWord:
		return refuse("lesson_missing", "An attempt names its lesson.")
	case len(a.Helper) > maxWord || len(a.Cue) > maxWord:
		return refuse("too_long", "A helper or cue has at most %d characters.", maxWord)
	case a.Day < -maxDay || a.Day > maxDay:
		return refuse("out_of_range", "The day of an attempt cannot be right.")
	case a.Minute != MinuteUnknown && (math.IsNaN(a.Minute) || a.Minute < 0 || a.Minute > MaxMinute):
		return refuse("out_of_range", "The minute of an attempt lies between 0 and %d.", MaxMinute)
	}
	return nil
}

// check refuses a history in which something cannot be, or that is out of
// order, and returns it with the aids written one way.
func check(l *ladder.Ladder, history []Attempt) ([]Attempt, error) {
	if len(history) > MaxAttempts {
		return nil, refuse("too_many", "At most %d attempts of one student are looked at.", MaxAttempts)
	}
	out := slices.Clone(history)
	ended := map[string]bool{}
	for i := range out {
		out[i].Aids = out[i].Aids.Clean()
		at := func(e *Error) error { e.Attempt = i; return e }
		if err := out[i].check(l); err != nil {
			return nil, at(err.(*Error))
		}
		if i == 0 || out[i].Lesson == out[i-1].Lesson {
			if i > 0 && out[i].Day != out[i-1].Day {
				return nil, at(refuse("lesson_on_two_days", "A lesson lies on one day; lesson %q has two.", out[i].Lesson))
			}
			continue
		}
		switch {
		case out[i].Day < out[i-1].Day:
			return nil, at(refuse("order", "Attempts come in order of time; lesson %q lies before the one above it.", out[i].Lesson))
		case ended[out[i].Lesson]:
			return nil, at(refuse("lesson_in_parts", "The attempts of lesson %q do not stand together.", out[i].Lesson))
		}
		ended[out[i-1].Lesson] = true
	}
	return out, nil
}

// Track names a record: a skill, on a side, with these aids.
type Track struct {
	Skill string
	Side  finding.Side
	Aids  ladder.Aids
}

func (a Attempt) track() Track { return Track{a.Skill, a.Side, a.Aids} }

// Passes returns the passes in a history: clean as often in a row in one lesson
// as the ladder asks, with the same help, on the same terrain, with the same
// aids, where such a pass may stand. Each is named once, where it was first
// reached.
func Passes(l *ladder.Ladder, history []Attempt) ([]ladder.Pass, error) {
	history, err := check(l, history)
	if err != nil {
		return nil, err
	}
	return passes(l, history), nil
}

func passes(l *ladder.Ladder, history []Attempt) []ladder.Pass {
	var out []ladder.Pass
	type run struct {
		of     ladder.Attempt
		lesson string
		n      int
	}
	runs := map[Track]run{}
	for _, a := range history {
		r := runs[a.track()]
		if a.Outcome != Clean || a.Trouble != 0 {
			delete(runs, a.track())
			continue
		}
		if r.of != a.Attempt || r.lesson != a.Lesson {
			r = run{of: a.Attempt, lesson: a.Lesson}
		}
		r.n++
		runs[a.track()] = r
		if r.n != l.Setting("in_a_row") {
			continue
		}
		p := ladder.Pass(a.Attempt)
		if _, err := l.AdmitPass(p); err == nil && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}
