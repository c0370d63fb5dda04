package effort

import "math"

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, sentence string) *Error { return &Error{code, sentence} }

// bound is what a number that enters may be. It refuses slips of the pen and
// of the unit, no one.
type bound struct {
	name      string  // what it is, as a sentence begins
	low, high float64 // in the unit the words name
	said      string  // the limits and the unit in words
}

func (b bound) check(v float64) *Error {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return refuse("not_a_number", b.name+" is not a number.")
	case v < b.low || v > b.high:
		return refuse("out_of_range", b.name+" must be "+b.said+"; check the value and its unit.")
	}
	return nil
}

// What may enter.
var (
	boundSpeed    = bound{"The walking speed", 0, 10, "between 0 and 10 m/s"}
	boundGrade    = bound{"The gradient", -100, 100, "between -100 and 100 %"}
	boundMass     = bound{"The mass", 2, 500, "between 2 and 500 kg"}
	boundLoad     = bound{"The load", 0, 200, "between 0 and 200 kg"}
	boundEta      = bound{"The terrain factor", 0.5, 20, "between 0.5 and 20"}
	boundSinkage  = bound{"The sinkage", 0, 2, "between 0 and 2 m"}
	boundHeight   = bound{"The height of a step", 0, 1, "between 0 and 1 m"}
	boundRate     = bound{"The rate of stepping", 0, 200, "between 0 and 200 steps a minute"}
	boundOxygen   = bound{"The oxygen uptake", 1, 100, "between 1 and 100 mL/(kg min)"}
	boundWalk     = bound{"The distance walked", 1, 5000, "between 1 and 5000 m"}
	boundWalkTime = bound{"The time walked", 10, 3600, "between 10 s and an hour"}
	boundTime     = bound{"The time", 0, 86400, "between 0 and 24 hours"}
	boundPower    = bound{"The work", 0, 3000, "between 0 and 3000 W"}
	boundRatio    = bound{"The multiplier", 0.5, 10, "between 0.5 and 10"}
	boundMET      = bound{"The metabolic equivalent", 0.5, 25, "between 0.5 and 25"}
)

// first returns the first refusal.
func first(errs ...*Error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
