package body

import (
	"math"

	"firnhand/core/quantity"
)

// Scale is one scale under a board or under a foot: where it is and what it
// shows, with what it showed when empty.
type Scale struct {
	At    Point
	Force float64 // newtons, or any one unit of all scales of a board
	Empty float64 // the same unit; 0 where the board is light
}

// Balance is what scales under one board tell.
type Balance struct {
	Force  float64 // of what lies on the board, in the scales' unit
	Centre Point   // where its centre of mass is
}

// OnScales returns the weight and the place of what lies on a board that rests
// on two or more scales. A scale that shows less than when empty, or nothing
// on the board, is refused.
func OnScales(scales []Scale) (Balance, error) {
	var sum, mx, my float64
	if len(scales) < 2 {
		return Balance{}, refuse("scales_needed", "Two scales or more are needed; for one scale and a pivot use the reaction board.")
	}
	for _, s := range scales {
		if !finite(s.At.X) || !finite(s.At.Y) || !finite(s.Force) || !finite(s.Empty) {
			return Balance{}, refuse("not_a_number", "A reading or place is not a number.")
		}
		if s.Force < 0 || s.Empty < 0 {
			return Balance{}, refuse("reading_negative", "A scale does not show less than zero.")
		}
		if s.Force < s.Empty {
			return Balance{}, refuse("reading_negative", "A scale shows less with the person on the board than without.")
		}
		net := s.Force - s.Empty
		sum += net
		mx += net * s.At.X
		my += net * s.At.Y
	}
	if sum <= 0 {
		return Balance{}, refuse("nothing_given", "The scales show nothing on the board.")
	}
	return Balance{sum, Point{mx / sum, my / sum}}, nil
}

// ReactionBoard returns how far from the pivot the centre of mass of a person
// lies on a board of that length, pivot at one end and a scale at the other:
// (loaded - empty) x length / weight. Loaded, empty and weight in one unit.
func ReactionBoard(length, empty, loaded, weight float64) (float64, error) {
	for _, v := range []float64{length, empty, loaded, weight} {
		if !finite(v) {
			return 0, refuse("not_a_number", "A reading or length is not a number.")
		}
	}
	switch {
	case length <= 0:
		return 0, refuse("length_not_positive", "The board must be longer than zero.")
	case weight <= 0:
		return 0, refuse("mass_not_positive", "The person's weight must be above zero.")
	case empty < 0 || loaded < empty:
		return 0, refuse("reading_negative", "The scale shows less with the person on the board than without.")
	case loaded-empty > weight:
		return 0, refuse("scales_contradict", "The scale took on more than the person weighs; the person's centre would lie beyond the board.")
	}
	return (loaded - empty) * length / weight, nil
}

// Load is a force down at a place along a beam.
type Load struct {
	At    float64 // metres
	Force float64 // newtons or any one unit
}

// Reactions returns what two supports of a light beam carry. A support that
// would have to pull is told by a negative reaction.
func Reactions(a, b float64, loads []Load) (atA, atB float64, err error) {
	if !finite(a) || !finite(b) || a == b {
		return 0, 0, refuse("supports_equal", "The two supports must stand at different places.")
	}
	var sum, moment float64
	for _, l := range loads {
		if !finite(l.At) || !finite(l.Force) {
			return 0, 0, refuse("not_a_number", "A load or its place is not a number.")
		}
		sum += l.Force
		moment += l.Force * (l.At - a)
	}
	atB = moment / (b - a)
	return sum - atB, atB, nil
}

// Counterweight returns the force that, put down at a place, balances loads on
// a pivot.
func Counterweight(pivot, at float64, loads []Load) (float64, error) {
	if !finite(pivot) || !finite(at) || pivot == at {
		return 0, refuse("supports_equal", "A load on the pivot itself balances nothing.")
	}
	moment := 0.0
	for _, l := range loads {
		if !finite(l.At) || !finite(l.Force) {
			return 0, refuse("not_a_number", "A load or its place is not a number.")
		}
		moment += l.Force * (l.At - pivot)
	}
	return moment / (pivot - at), nil
}

// Shares are two scales under two feet, checked against what should stand on
// them.
type Shares struct {
	Total Pair[float64] // kg on each scale
	Left  float64       // share of the left, 0 to 1
	SD    float64       // of that share
}

// TwoScales returns the share each foot carries. expected is the mass that
// stands on the two scales together, with its range; each scale is right to
// within its error. Readings whose sum misses the expected range by more than
// the errors of both scales are refused: then a hand held on, a foot stood
// beside, or a scale is wrong. held is what is knowingly held elsewhere, by
// hands on a rail, as a range from 0; it widens what is expected downward.
func TwoScales(left, right quantity.Kilogram, each quantity.Kilogram, expected quantity.Range[quantity.Kilogram], held quantity.Kilogram) (Shares, error) {
	l, r, e := float64(left), float64(right), float64(each)
	switch {
	case !finite(l) || !finite(r) || !finite(e) || !finite(float64(held)):
		return Shares{}, refuse("not_a_number", "A reading is not a number.")
	case l < 0 || r < 0:
		return Shares{}, refuse("reading_negative", "A scale does not show less than zero.")
	case e < 0 || held < 0:
		return Shares{}, refuse("error_negative", "The error of a scale must not be below zero.")
	case l+r <= 0:
		return Shares{}, refuse("nothing_given", "The scales show nothing.")
	}
	sum := l + r
	low, high := float64(expected.Low())-float64(held)-2*e, float64(expected.High())+2*e
	if sum < low || sum > high {
		one := quantity.Decimals(1)
		return Shares{}, refuse("scales_contradict", "The two scales show "+one.Text(sum)+" kg together, but "+one.Text(low)+" to "+
			one.Text(high)+" kg should stand on them; weigh again, nothing held, both feet whole on their scales.")
	}
	// d(l/(l+r)) from independent errors of both scales.
	sd := e * math.Hypot(l, r) / (sum * sum)
	return Shares{Pair[float64]{l, r}, l / sum, sd}, nil
}

// CounterPlace returns where a force must be put down to balance loads on a
// pivot.
func CounterPlace(pivot, force float64, loads []Load) (float64, error) {
	if !finite(pivot) || !finite(force) {
		return 0, refuse("not_a_number", "A load or its place is not a number.")
	}
	if force <= 0 {
		return 0, refuse("mass_not_positive", "The load must be above zero.")
	}
	moment := 0.0
	for _, l := range loads {
		if !finite(l.At) || !finite(l.Force) {
			return 0, refuse("not_a_number", "A load or its place is not a number.")
		}
		moment += l.Force * (l.At - pivot)
	}
	return pivot - moment/force, nil
}

// ScaleError is the error taken for a bathroom scale nobody checked.
func ScaleError() quantity.Kilogram { return quantity.Kilogram(figure("scale_error").Value) }
