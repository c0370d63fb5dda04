package cold

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
	boundAir    = bound{"The air temperature", -90, 60, "between -90 and 60 °C"}
	boundWind   = bound{"The wind", 0, 120, "between 0 and 120 m/s (432 km/h)"}
	boundOwn    = bound{"The speed of the skier or the chair", 0, 60, "between 0 and 60 m/s (216 km/h)"}
	boundHeight = bound{"The height", -500, 9000, "between -500 and 9000 m"}
	boundStop   = bound{"The wind chill at which lessons stop", -90, 20, "between -90 and 20"}
	boundEvery  = bound{"The time between looks", 1, 86400, "between a second and a day"}
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
