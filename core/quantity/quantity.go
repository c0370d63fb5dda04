package quantity

import (
	"errors"
	"math"
	"strconv"
)

// Kilogram is a mass in kilograms.
type Kilogram float64

// Metre is a length in metres.
type Metre float64

// Second is a duration in seconds.
type Second float64

// Radian is an angle in radians, counted as its definition says.
type Radian float64

// Newton is a force in newtons.
type Newton float64

// NewtonMetre is a torque in newton metres.
type NewtonMetre float64

// MetrePerSecond is a speed in metres per second.
type MetrePerSecond float64

// MetrePerSecondSquared is an acceleration in metres per second squared.
type MetrePerSecondSquared float64

// Celsius is a temperature in degrees Celsius.
type Celsius float64

// Ratio is a number without unit: a share, a coefficient of friction, the
// tangent of a slope. A share of 1 is the whole.
type Ratio float64

// Symbol returns "kg".
func (Kilogram) Symbol() string { return "kg" }

// Symbol returns "m".
func (Metre) Symbol() string { return "m" }

// Symbol returns "s".
func (Second) Symbol() string { return "s" }

// Symbol returns "rad".
func (Radian) Symbol() string { return "rad" }

// Symbol returns "N".
func (Newton) Symbol() string { return "N" }

// Symbol returns "N m".
func (NewtonMetre) Symbol() string { return "N m" }

// Symbol returns "m/s".
func (MetrePerSecond) Symbol() string { return "m/s" }

// Symbol returns "m/s²".
func (MetrePerSecondSquared) Symbol() string { return "m/s²" }

// Symbol returns "°C".
func (Celsius) Symbol() string { return "°C" }

// Symbol returns "1", the symbol of the unit one.
func (Ratio) Symbol() string { return "1" }

// Scalar is any quantity of this package.
type Scalar interface {
	~float64
	// Symbol returns the unit's symbol as it is printed after a number.
	Symbol() string
}

// Errors a constructor can return. They are wrapped, so test with errors.Is.
var (
	// ErrNotANumber refuses NaN.
	ErrNotANumber = errors.New("this is not a number")
	// ErrInfinite refuses the infinities, and a value that overflowed into one.
	ErrInfinite = errors.New("this number is too large to use")
	// ErrOrder refuses a range whose value lies outside its own limits.
	ErrOrder = errors.New("the low end of a range must not lie above its value, nor the value above the high end")
	// ErrNegative refuses a spread below zero.
	ErrNegative = errors.New("a plus-minus must not be negative")
)

// Of returns v as a quantity in its own unit, refusing NaN and infinities.
func Of[T Scalar](v float64) (T, error) {
	switch {
	case math.IsNaN(v):
		return 0, ErrNotANumber
	case math.IsInf(v, 0):
		return 0, ErrInfinite
	}
	return T(v), nil
}

// Must returns v, or panics with err: for figures written in the program
// itself, never for anything a person entered.
func Must[T any](v T, err error) T {
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return v
}

// Text prints a quantity rounded once to the given step, with its unit:
// "1.28 m". A ratio is printed without a unit.
func Text[T Scalar](v T, step Step) string {
	s := step.Text(float64(v))
	if unit := v.Symbol(); unit != "1" {
		s += " " + unit
	}
	return s
}

// Parse reads a decimal number written with a point, such as "12.5", as a
// quantity in its own unit. Words, blanks, NaN and infinities are refused.
func Parse[T Scalar](s string) (T, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		if errors.Is(err, strconv.ErrRange) {
			return 0, ErrInfinite
		}
		return 0, ErrNotANumber
	}
	return Of[T](v)
}
