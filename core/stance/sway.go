package stance

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Sway is a body swaying over its feet like a pendulum upside down: Hof,
// Gazendam and Sinke 2005. Where it stops is not told by where the centre of
// mass is but by the extrapolated centre, which leads it by the speed over the
// pendulum's own rate.
type Sway struct {
	Length quantity.Metre  // of the pendulum
	Rate   float64         // 1/s, the root of gravity over length
	Lead   quantity.Metre  // of the extrapolated centre over the centre of mass, towards where it moves
	Margin *quantity.Metre // of the extrapolated centre inside the edge; negative outside
}

// PendulumOf returns the length of the pendulum for the height of the greater
// trochanter: "standing" with the trunk upright, "whole" where the body swings
// as one, "frontal" for side to side.
func PendulumOf(trochanter quantity.Metre, way string) (quantity.Metre, error) {
	id := map[string]string{"standing": "pendulum_standing", "whole": "pendulum_whole", "frontal": "pendulum_frontal"}[way]
	if id == "" {
		return 0, refuse("unknown_way", "The sway is \"standing\", \"whole\" or \"frontal\".")
	}
	if err := within("The height of the trochanter", float64(trochanter), math.SmallestNonzeroFloat64, highest, "m"); err != nil {
		return 0, err
	}
	return trochanter * quantity.Metre(source.Value(id)), nil
}

// Extrapolate returns the sway of a pendulum at a speed. Inside is how far the
// centre of mass is inside the edge it moves towards; nil where nobody asks.
func Extrapolate(length quantity.Metre, g quantity.MetrePerSecondSquared, speed quantity.MetrePerSecond, inside *quantity.Metre) (Sway, error) {
	s := Stance{Gravity: g}
	for _, err := range []error{
		within("The length of the pendulum", float64(length), math.SmallestNonzeroFloat64, highest, "m"),
		within("The acceleration of gravity", s.gravity(), math.SmallestNonzeroFloat64, strongest, "m/s²"),
		within("The speed", float64(speed), -fastest, fastest, "m/s"),
	} {
		if err != nil {
			return Sway{}, err
		}
	}
	rate := math.Sqrt(s.gravity() / float64(length))
	sway := Sway{Length: length, Rate: rate, Lead: quantity.Metre(float64(speed) / rate)}
	if inside != nil {
		if err := within("The distance inside the edge", float64(*inside), -farthest, farthest, "m"); err != nil {
			return Sway{}, err
		}
		margin := *inside - sway.Lead
		sway.Margin = &margin
	}
	return sway, nil
}

// Across is a skier on two feet across a slope, seen from behind: half the
// stance is the distance of each foot from the middle along the slope, and the
// centre of mass stands square to it.
type Across struct {
	HalfStance quantity.Metre
	Height     quantity.Metre // of the centre of mass, square to the slope
	Uphill     quantity.Metre // of the centre of mass, from the middle of the feet
	Slope      quantity.Radian
	Runners    quantity.Metre // distance between two outriggers' runners; 0 for none
}

// Sides is what follows for the two sides of somebody across the slope.
type Sides struct {
	Downhill quantity.Ratio  // share of the load on the downhill foot; above 1 the body tips
	Tips     quantity.Radian // slope at which all of it is on the downhill foot
	Stands   bool
	// What an upright body needs instead, its feet level with each other no more.
	ShorterLeg    quantity.Metre // of the uphill leg against the downhill one
	ShorterRunner quantity.Metre // of the uphill outrigger against the downhill one
	// Uphill is how far uphill of the middle the centre of mass has to go for
	// half of the load on each foot.
	Uphill quantity.Metre
}

// Sides returns the loads of both sides.
func (a Across) Sides() (Sides, error) {
	for _, err := range []error{
		within("Half the stance", float64(a.HalfStance), math.SmallestNonzeroFloat64, farthest, "m"),
		within("The height of the centre of mass", float64(a.Height), math.SmallestNonzeroFloat64, highest, "m"),
		within("The place of the centre of mass uphill", float64(a.Uphill), -farthest, farthest, "m"),
		within("The slope", a.Slope.Degrees(), 0, steepest, "degrees"),
		within("The distance between the runners", float64(a.Runners), 0, farthest, "m"),
	} {
		if err != nil {
			return Sides{}, err
		}
	}
	half, height := float64(a.HalfStance), float64(a.Height)
	down := height*math.Tan(float64(a.Slope)) - float64(a.Uphill)
	share := 0.5 + down/(2*half)
	sin := math.Sin(float64(a.Slope))
	return Sides{
		Downhill: quantity.Ratio(share), Stands: share >= 0 && share <= 1,
		Tips:       quantity.Radian(math.Atan((half + float64(a.Uphill)) / height)),
		ShorterLeg: quantity.Metre(2 * half * sin), ShorterRunner: quantity.Metre(float64(a.Runners) * sin),
		Uphill: quantity.Metre(height * math.Tan(float64(a.Slope))),
	}, nil
}
