package body

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Flexed is what bending the legs and the trunk does to the shoulder.
type Flexed struct {
	Drop  quantity.Metre // the shoulder is lower than upright by this
	Ahead quantity.Metre // the shoulder stands ahead of the ankle by this
}

// Flex returns how far the shoulder sinks and comes forward when the shank
// leans by ankle, the knee bends and the trunk leans from the vertical. Lengths
// are knee to ankle, hip to knee and shoulder centre to hip.
func Flex(shank, thigh, trunk quantity.Metre, ankle, knee, lean quantity.Radian) (Flexed, error) {
	s, t, u := float64(shank), float64(thigh), float64(trunk)
	a, k, l := float64(ankle), float64(knee), float64(lean)
	for _, v := range []float64{s, t, u, a, k, l} {
		if !finite(v) {
			return Flexed{}, refuse("not_a_number", "A length or angle is not a number.")
		}
	}
	if s <= 0 || t <= 0 || u <= 0 {
		return Flexed{}, refuse("length_not_positive", "Shank, thigh and trunk must be longer than zero.")
	}
	if back := figure("knee_straight_beyond").Value; knee.Degrees() < -back {
		return Flexed{}, refuse("knee_backwards", "The knee would bend backwards by "+quantity.Decimals(0).Text(-knee.Degrees())+" degrees; up to "+
			quantity.Decimals(0).Text(back)+" are taken as a knee pushed straight.")
	}
	drop := s*(1-math.Cos(a)) + t*(1-math.Cos(k-a)) + u*(1-math.Cos(l))
	ahead := s*math.Sin(a) - t*math.Sin(k-a) + u*math.Sin(l)
	return Flexed{quantity.Metre(drop), quantity.Metre(ahead)}, nil
}

// DrillisLengths returns shank, thigh and trunk of a stature by the segment
// lengths of Drillis and Contini.
func DrillisLengths(stature quantity.Metre) (shank, thigh, trunk quantity.Metre) {
	of := func(item string) quantity.Metre {
		return stature * quantity.Metre(number(only(source.Table("drillis1966").Where("item", item)), "fraction_of_stature"))
	}
	return of("shank length (knee-ankle)"), of("thigh length (hip-knee)"), of("trunk (shoulder-hip)")
}

// Flex returns the same for a body, with its own lengths and the mean of its
// two legs.
func (b *Body) Flex(ankle, knee Pair[quantity.Radian], lean quantity.Radian) (Flexed, error) {
	f := b.frame
	var out Flexed
	for _, s := range Sides {
		k := b.shortening(s)
		x, err := Flex(quantity.Metre((f.Knee.Value-f.Ankle.Value)*k), quantity.Metre((f.Hip.Value-f.Knee.Value)*k),
			quantity.Metre(f.Shoulder.Value-f.Hip.Value), ankle.At(s), knee.At(s), lean)
		if err != nil {
			return Flexed{}, err
		}
		out.Drop += x.Drop / 2
		out.Ahead += x.Ahead / 2
	}
	return out, nil
}

// Chain returns how far the hip stands over its ankle and ahead of it, in the
// plane of the leg, with the shank leaning by ankle and the knee bent.
func (b *Body) Chain(s Side, ankle, knee quantity.Radian) (up, ahead quantity.Metre) {
	f, k := b.frame, b.shortening(s)
	thigh, shank := (f.Hip.Value-f.Knee.Value)*k, (f.Knee.Value-f.Ankle.Value)*k
	a, lean := float64(ankle), float64(ankle-knee)
	return quantity.Metre(shank*math.Cos(a) + thigh*math.Cos(lean)), quantity.Metre(shank*math.Sin(a) + thigh*math.Sin(lean))
}
