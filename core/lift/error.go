package lift

import (
	"firnhand/core/entry"
	"firnhand/core/quantity"
)

// Error is a refusal: a short code for programs and one sentence for people.
type Error = entry.Error

func spanOf[T quantity.Scalar](b entry.Bound, r quantity.Range[T]) *Error {
	return b.Check(float64(r.Value()), float64(r.Low()), float64(r.High()))
}

// What may enter.
var (
	boundSpeed    = entry.Above("The speed of the lift", 0, 15, "above 0 and at most 15 m/s")
	boundInterval = entry.Above("The interval", 0, 600, "above 0 and at most 600 s")
	boundSpacing  = entry.Above("The spacing", 0, 1000, "above 0 and at most 1000 m")
	boundSeats    = entry.Within("The number of places", 1, 20, "between 1 and 20")
	boundPerHour  = entry.Above("The number of people an hour", 0, 20000, "above 0 and at most 20 000")
	boundShare    = entry.Above("The share of the speed", 0, 1, "above 0 and at most 100 %")
	boundDistance = entry.Within("The distance", 0, 200, "between 0 and 200 m")
	boundWalk     = entry.Above("The student's speed", 0, 10, "above 0 and at most 10 m/s")
	boundTime     = entry.Within("The time", 0, 600, "between 0 and 600 s")
	boundCarrier  = entry.Within("The length of the carrier", 0, 10, "between 0 and 10 m")
	boundMinutes  = entry.Within("The time since the check", 0, 10080, "between 0 and 10 080 minutes")
)

// text prints a figure in a sentence.
func text(v float64, decimals int) string { return quantity.Decimals(decimals).Text(v) }
