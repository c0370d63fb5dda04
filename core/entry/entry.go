// Package entry says what may enter a computation, and refuses the rest in a
// sentence. It refuses slips of the pen and of the unit, no one.
package entry

import "math"

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

// Refuse returns a refusal.
func Refuse(code, sentence string) *Error { return &Error{code, sentence} }

// First returns the first refusal, or nil.
func First(errs ...*Error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// Bound is what a number that enters may be.
type Bound struct {
	name      string  // what it is, as a sentence begins
	low, high float64 // in the unit the words name
	said      string  // the limits and the unit in words
	open      bool    // low itself is refused
}

// Within returns the bound of a number from low to high, both taken. name
// begins a sentence, said gives limits and unit in words: "between 0 and 5".
func Within(name string, low, high float64, said string) Bound {
	return Bound{name, low, high, said, false}
}

// Above is [Within], with low itself refused.
func Above(name string, low, high float64, said string) Bound {
	return Bound{name, low, high, said, true}
}

// Check refuses a value that is no number or lies outside the bound.
func (b Bound) Check(values ...float64) *Error {
	for _, v := range values {
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			return Refuse("not_a_number", b.name+" is not a number.")
		case v < b.low || v > b.high || b.open && v == b.low:
			return Refuse("out_of_range", b.name+" must be "+b.said+"; check the value and its unit.")
		}
	}
	return nil
}

// Range refuses a range whose ends or value Check refuses, or that is not in
// order.
func (b Bound) Range(value, low, high float64) *Error {
	if err := b.Check(value, low, high); err != nil {
		return err
	}
	if low > value || value > high {
		return Refuse("order", b.name+": the low end of a range must not lie above its value, nor the value above the high end.")
	}
	return nil
}
