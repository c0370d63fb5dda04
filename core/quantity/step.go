package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Step is the smallest difference a printed figure shows: 1, 0.5, 0.1, 25. It
// is kept as whole units of a decimal place, so a rounded value and its text
// are always the same number on every machine.
type Step struct {
	units    int64 // the step, in units of the last decimal place
	decimals int   // decimal places printed, 0 to maxDecimals
}

// maxDecimals keeps ten to its power exact in a float64.
const maxDecimals = 9

// halfGuard makes a decimal half that binary fractions store a hair too low
// (0.15 to steps of 0.1) go away from zero, as it does on paper.
const halfGuard = 1e-9

// Every returns the step of the given number of units of a decimal place:
// Every(5, 1) is 0.5 and Every(25, 0) is 25. It panics where units is below 1
// or decimals outside 0 to 9, since steps are written in the program.
func Every(units int64, decimals int) Step {
	if units < 1 || decimals < 0 || decimals > maxDecimals {
		panic("quantity: a step needs at least one unit and 0 to 9 decimals")
	}
	return Step{units, decimals}
}

// Decimals returns the step of one unit of a decimal place: Decimals(2) is
// 0.01.
func Decimals(n int) Step { return Every(1, n) }

// Size returns the step as a number.
func (s Step) Size() float64 { return float64(s.units) / s.scale() }

// Round returns v at the nearest multiple of the step, halves away from zero.
// NaN, infinities and values too large to have a step come back unchanged.
func (s Step) Round(v float64) float64 {
	n, ok := s.whole(v)
	if !ok {
		return v
	}
	return float64(n) / s.scale()
}

// Text prints v rounded once to the step, with as many decimals as the step
// has. What it prints reads back as Round(v), and is never "-0". NaN and
// infinities, which no constructor lets in, print as "unknown".
func (s Step) Text(v float64) string {
	n, ok := s.whole(v)
	if !ok {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return "unknown"
		}
		return strconv.FormatFloat(v, 'f', s.decimals, 64)
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	digits := strconv.FormatInt(n, 10)
	if s.decimals == 0 {
		return sign + digits
	}
	if short := s.decimals + 1 - len(digits); short > 0 {
		digits = strings.Repeat("0", short) + digits
	}
	point := len(digits) - s.decimals
	return sign + digits[:point] + "." + digits[point:]
}

// Same tells whether two values print alike.
func (s Step) Same(a, b float64) bool { return s.Text(a) == s.Text(b) }

func (s Step) scale() float64 { return math.Pow10(s.decimals) }

// whole returns v in units of the last decimal place, rounded to the step; ok
// is false where that is no whole number a float64 holds exactly.
func (s Step) whole(v float64) (n int64, ok bool) {
	if s.units == 0 {
		s.units = 1 // the zero Step is whole numbers
	}
	const exact = 1 << 53
	steps := math.Floor(math.Abs(v)*s.scale()/float64(s.units) + 0.5 + halfGuard)
	if !(steps*float64(s.units) < exact) {
		return 0, false
	}
	n = int64(steps) * s.units
	if v < 0 {
		n = -n
	}
	return n, true
}
