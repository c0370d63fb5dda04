package quantity

// Range is a quantity with the limits its inputs allow: low ≤ value ≤ high.
// The zero Range is exactly zero.
type Range[T Scalar] struct {
	value, low, high T
}

// NewRange returns the range of a value and its limits. It refuses NaN,
// infinities, and a value outside its own limits.
func NewRange[T Scalar](value, low, high T) (Range[T], error) {
	for _, v := range []T{value, low, high} {
		if _, err := Of[T](float64(v)); err != nil {
			return Range[T]{}, err
		}
	}
	if low > value || value > high {
		return Range[T]{}, ErrOrder
	}
	return Range[T]{value, low, high}, nil
}

// Exactly returns the range that has no width.
func Exactly[T Scalar](value T) (Range[T], error) { return NewRange(value, value, value) }

// PlusMinus returns value ± spread.
func PlusMinus[T Scalar](value, spread T) (Range[T], error) {
	if spread < 0 {
		return Range[T]{}, ErrNegative
	}
	return NewRange(value, value-spread, value+spread)
}

// Value returns the best single value.
func (r Range[T]) Value() T { return r.value }

// Low returns the lower limit.
func (r Range[T]) Low() T { return r.low }

// High returns the upper limit.
func (r Range[T]) High() T { return r.high }

// Width returns high minus low.
func (r Range[T]) Width() T { return r.high - r.low }

// Contains tells whether v lies within the limits, both ends included.
func (r Range[T]) Contains(v T) bool { return r.low <= v && v <= r.high }

// Add returns the sum of two independent ranges: limits add to limits.
func (r Range[T]) Add(o Range[T]) Range[T] {
	return Range[T]{r.value + o.value, r.low + o.low, r.high + o.high}
}

// Sub returns r minus o; the widths still add.
func (r Range[T]) Sub(o Range[T]) Range[T] {
	return Range[T]{r.value - o.value, r.low - o.high, r.high - o.low}
}

// Scale multiplies value and limits by a number; a negative number turns the
// limits round.
func (r Range[T]) Scale(by float64) Range[T] {
	k := T(by)
	s := Range[T]{r.value * k, r.low * k, r.high * k}
	if s.low > s.high {
		s.low, s.high = s.high, s.low
	}
	return s
}

// Text prints value and limits, each rounded once to the step: "0.85 m
// (0.83 to 0.87)". Where the three print alike it prints the value alone.
func (r Range[T]) Text(step Step) string {
	low, high := step.Text(float64(r.low)), step.Text(float64(r.high))
	if low == high {
		return Text(r.value, step)
	}
	return Text(r.value, step) + " (" + low + " to " + high + ")"
}
