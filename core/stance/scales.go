package stance

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Scales are two bathroom scales, one under each foot.
type Scales struct {
	Left, Right quantity.Kilogram
	Error       quantity.Kilogram // of each; 0 takes a usual bathroom scale's
	Hands       bool              // hands rested on something else meanwhile
}

// Share returns the share of the feet's load on the left foot, with the range
// that the scales' error leaves. The readings must agree with the mass: their
// sum is the mass when the hands were free, and no more than that when they
// rested on something, within the errors of both scales and of the mass. A
// mass of 0 checks nothing.
func (s Scales) Share(mass, massError quantity.Kilogram) (quantity.Range[quantity.Ratio], error) {
	none := quantity.Range[quantity.Ratio]{}
	e := s.Error
	if e == 0 {
		e = quantity.Kilogram(source.Value("scale_error"))
	}
	for _, n := range []struct {
		name string
		v    quantity.Kilogram
	}{
		{"The reading of the left scale", s.Left}, {"The reading of the right scale", s.Right},
		{"The error of the scales", e}, {"The mass", mass}, {"The error of the mass", massError},
	} {
		if math.IsNaN(float64(n.v)) || math.IsInf(float64(n.v), 0) {
			return none, refuse(notNumber, "%s is not a number.", n.name)
		}
		if n.v < 0 {
			return none, refuse("negative", "%s must not be negative.", n.name)
		}
	}
	sum, open := s.Left+s.Right, 2*e+massError
	kg := quantity.Decimals(1)
	switch {
	case sum <= 0:
		return none, refuse("scales_empty", "Both scales show nothing.")
	case mass > 0 && sum > mass+open:
		return none, refuse("scales_contradict", "The scales show %s kg together, more than the %s kg they can carry by more than their error of %s kg.",
			kg.Text(float64(sum)), kg.Text(float64(mass)), kg.Text(float64(open)))
	case mass > 0 && !s.Hands && sum < mass-open:
		return none, refuse("scales_contradict", "The scales show %s kg together, less than the mass of %s kg by more than their error of %s kg; were the hands free?",
			kg.Text(float64(sum)), kg.Text(float64(mass)), kg.Text(float64(open)))
	}
	share := func(l, r quantity.Kilogram) quantity.Ratio {
		l, r = max(l, 0), max(r, 0)
		if l+r == 0 {
			return 0
		}
		return quantity.Ratio(l / (l + r))
	}
	r, err := quantity.NewRange(share(s.Left, s.Right), share(s.Left-e, s.Right+e), share(s.Left+e, s.Right-e))
	if err != nil {
		return none, refuse("scales_empty", "The readings are no larger than the scales' error.")
	}
	return r, nil
}

// OnScale returns what a leg or an arm can carry from the most it put on a
// scale.
func OnScale(reading quantity.Kilogram, g quantity.MetrePerSecondSquared) (Limit, error) {
	s := Stance{Gravity: g}
	if math.IsNaN(float64(reading)) || math.IsInf(float64(reading), 0) {
		return Limit{}, refuse(notNumber, "The reading of the scale is not a number.")
	}
	if reading < 0 {
		return Limit{}, refuse("negative", "The reading of the scale must not be negative.")
	}
	return AtMost(quantity.Newton(float64(reading)*s.gravity()), "measured on a scale"), nil
}
