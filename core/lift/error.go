package lift

import (
	"math"

	"firnhand/core/quantity"
)

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
	open      bool    // low itself is refused
}

func (b bound) check(values ...float64) *Error {
	for _, v := range values {
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			return refuse("not_a_number", b.name+" is not a number.")
		case v < b.low || v > b.high || b.open && v == b.low:
			return refuse("out_of_range", b.name+" must be "+b.said+"; check the value and its unit.")
		}
	}
	return nil
}

func spanOf[T quantity.Scalar](b bound, r quantity.Range[T]) *Error {
	return b.check(float64(r.Value()), float64(r.Low()), float64(r.High()))
}

// What may enter.
var (
	boundSpeed    = bound{"The speed of the lift", 0, 15, "above 0 and at most 15 m/s", true}
	boundInterval = bound{"The interval", 0, 600, "above 0 and at most 600 s", true}
	boundSpacing  = bound{"The spacing", 0, 1000, "above 0 and at most 1000 m", true}
	boundSeats    = bound{"The number of places", 1, 20, "between 1 and 20", false}
	boundPerHour  = bound{"The number of people an hour", 0, 20000, "above 0 and at most 20 000", true}
	boundShare    = bound{"The share of the speed", 0, 1, "above 0 and at most 100 %", true}
	boundDistance = bound{"The distance", 0, 200, "between 0 and 200 m", false}
	boundWalk     = bound{"The student's speed", 0, 10, "above 0 and at most 10 m/s", true}
	boundTime     = bound{"The time", 0, 600, "between 0 and 600 s", false}
	boundCarrier  = bound{"The length of the carrier", 0, 10, "between 0 and 10 m", false}
	boundMinutes  = bound{"The time since the check", 0, 10080, "between 0 and 10 080 minutes", false}
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

// text prints a figure in a sentence.
func text(v float64, decimals int) string { return quantity.Decimals(decimals).Text(v) }
