package stance

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Lean is how apparent gravity stands to the snow: the tangents of its lean
// from the normal, and how much of the weight presses on the snow. The zero
// Lean is level ground.
type Lean struct {
	Right, Forward quantity.Range[quantity.Ratio] // positive towards the student's right, and forward
	Normal         quantity.Ratio                 // share of the weight normal to the snow, the cosine of the slope; 0 counts as 1
}

func (l Lean) normal() float64 {
	if l.Normal == 0 {
		return 1
	}
	return float64(l.Normal)
}

// Met returns the lean for somebody who leans against whatever they feel: its
// values without their ranges.
func (l Lean) Met() Lean {
	out := l
	for _, r := range []*quantity.Range[quantity.Ratio]{&out.Right, &out.Forward} {
		*r = ranged(r.Value(), r.Value(), r.Value())
	}
	return out
}

// Angle returns the angle between apparent gravity and the snow's normal.
func (l Lean) Angle() quantity.Radian {
	return quantity.Radian(math.Atan(math.Hypot(float64(l.Right.Value()), float64(l.Forward.Value()))))
}

func (l Lean) check() error {
	for _, r := range []quantity.Range[quantity.Ratio]{l.Right, l.Forward} {
		if math.IsNaN(float64(r.Low())) || math.IsInf(float64(r.Width()), 0) {
			return refuse(notNumber, "The lean of apparent gravity is not a number.")
		}
	}
	return within("The share of the weight that presses on the snow", l.normal(), math.SmallestNonzeroFloat64, 1, "of it")
}

// Standing returns the lean of a skier who stands still on a slope. The heading
// is the angle of the skis from the fall line, positive where they are turned to
// the left; a heading of 90° stands across the slope with the valley on the
// student's right.
func Standing(slope, heading quantity.Radian) (Lean, error) {
	return moving(slope, heading, quantity.Range[quantity.Ratio]{}, func(down float64) float64 { return down })
}

// Gliding returns the lean of a skier who slides straight ahead. The resistance
// is what snow and air take from the motion, as a share of the weight on the
// snow; the rest of the pull of the slope accelerates the skier and is not felt.
func Gliding(slope, heading quantity.Radian, resistance quantity.Range[quantity.Ratio]) (Lean, error) {
	if err := resistanceOK(resistance); err != nil {
		return Lean{}, err
	}
	return moving(slope, heading, resistance, nil)
}

// Speeding returns the lean of a skier whose speed along the skis changes by
// this much each second, against gravity g (0 for the standard one).
func Speeding(slope, heading quantity.Radian, by, g quantity.MetrePerSecondSquared) (Lean, error) {
	s := Stance{Gravity: g}
	pull := float64(by) / s.gravity()
	if err := within("The change of speed", float64(by), -strongest, strongest, "m/s²"); err != nil {
		return Lean{}, err
	}
	return moving(slope, heading, quantity.Range[quantity.Ratio]{}, func(down float64) float64 {
		return down - pull/math.Cos(float64(slope))
	})
}

// Glide returns what snow takes from skis that glide straight, on all kinds of
// snow, as a share of the weight on it, and the work that measured it.
func Glide() (taken quantity.Range[quantity.Ratio], ref string) {
	r, ok := source.Table("friction").Where("item", "ski, straight glide, all snow").Only()
	if !ok {
		panic("stance: the friction of a straight glide is missing")
	}
	low, _ := r.Number("mu_low")
	high, _ := r.Number("mu_high")
	return ranged(quantity.Ratio((low+high)/2), quantity.Ratio(low), quantity.Ratio(high)), r.Ref()
}

// Situation is a stance on a slope that a lesson meets again and again.
type Situation struct {
	Code string
	Name string
	Lean Lean
}

// Situations returns how apparent gravity leans in the straight run, waiting
// with the skis down the slope, and standing across it either way. Who stands
// upright there leans against it; the body square to the snow would have to
// hold all of it.
func Situations(slope quantity.Radian, resistance quantity.Range[quantity.Ratio]) ([]Situation, error) {
	straight, err := Gliding(slope, 0, resistance)
	if err != nil {
		return nil, err
	}
	out := []Situation{{"level", "on level snow", Lean{}}, {"straight_run", "straight run, gliding", straight}}
	quarter := quantity.Radian(math.Pi / 2)
	for _, s := range []struct {
		code, name string
		heading    quantity.Radian
	}{{"waiting_down", "waiting, skis down the slope", 0}, {"across_valley_right", "across, valley on the right", quarter},
		{"across_valley_left", "across, valley on the left", -quarter}} {
		l, err := Standing(slope, s.heading)
		if err != nil {
			return nil, err
		}
		out = append(out, Situation{s.code, s.name, l})
	}
	return out, nil
}

func resistanceOK(r quantity.Range[quantity.Ratio]) error {
	if math.IsNaN(float64(r.Low())) || r.Low() < 0 || r.High() > 2 {
		return refuse("out_of_range", "The resistance must lie between 0 and 2 times the weight.")
	}
	return nil
}

// moving builds a lean: across the skis the whole pull of the slope is felt,
// and forward what felt makes of the part along the skis, or the resistance.
func moving(slope, heading quantity.Radian, resistance quantity.Range[quantity.Ratio], felt func(float64) float64) (Lean, error) {
	if err := within("The slope", slope.Degrees(), 0, steepest, "degrees"); err != nil {
		return Lean{}, err
	}
	if err := within("The heading", heading.Degrees(), -180, 180, "degrees"); err != nil {
		return Lean{}, err
	}
	sin, cos := math.Sincos(float64(heading))
	steep := math.Tan(float64(slope))
	l := Lean{Normal: quantity.Ratio(math.Cos(float64(slope)))}
	var err error
	if l.Right, err = quantity.Exactly(quantity.Ratio(steep * sin)); err != nil {
		return Lean{}, refuse(notNumber, "The heading is not a number.")
	}
	l.Forward = resistance
	if felt != nil {
		if l.Forward, err = quantity.Exactly(quantity.Ratio(felt(steep * cos))); err != nil {
			return Lean{}, refuse(notNumber, "The change of speed is not a number.")
		}
	}
	return l, nil
}
