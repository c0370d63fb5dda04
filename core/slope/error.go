package slope

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, sentence string) *Error { return &Error{code, sentence} }

// bound is what a number that enters may be. It refuses slips of the pen and
// of the unit, no one.
type bound struct {
	name      string  // what it is, as a sentence begins
	low, high float64 // in the unit the sentence names
	said      string  // the limits and the unit in words
	open      bool    // low itself is refused
}

func (b bound) check(values ...float64) *Error {
	for _, v := range values {
		switch {
		case !finite(v):
			return refuse("not_a_number", b.name+" is not a number.")
		case v < b.low || v > b.high || b.open && v == b.low:
			return refuse("out_of_range", b.name+" must be "+b.said+"; check the value and its unit.")
		}
	}
	return nil
}

func (b bound) span(s Span) *Error {
	if err := b.check(s.Value, s.Low, s.High); err != nil {
		return err
	}
	if s.Low > s.Value || s.Value > s.High {
		return refuse("order", b.name+": the low end of a range must not lie above its value, nor the value above the high end.")
	}
	return nil
}

const quarter = 1.5707963267948968 // exact: a hair above π/2

// What may enter.
var (
	boundSlope    = bound{"The slope", -quarter, quarter, "between straight up and straight down", false}
	boundAngle    = bound{"The angle of the path", -2 * quarter, 2 * quarter, "between -180 and 180 degrees", false}
	boundFriction = bound{"The coefficient of friction", 0, 5, "between 0 and 5", false}
	boundMass     = bound{"The mass", 0, 1000, "above 0 and at most 1000 kg", true}
	boundArea     = bound{"The drag area", 0, 20, "between 0 and 20 m²", false}
	boundDensity  = bound{"The density of the air", 0, 2, "between 0 and 2 kg/m³", false}
	boundGravity  = bound{"The acceleration of free fall", 0, 100, "above 0 and at most 100 m/s²", true}
	boundSpeed    = bound{"The speed", 0, 200, "between 0 and 200 m/s", false}
	boundWind     = bound{"The wind", -100, 100, "between -100 and 100 m/s", false}
	boundLength   = bound{"The length", 0, 20000, "between 0 and 20 000 m", false}
	boundHeight   = bound{"The height", -10000, 10000, "between -10 000 and 10 000 m", false}
	boundTime     = bound{"The time", 0, 36000, "between 0 and 36 000 s", false}
	boundRadius   = bound{"The radius of the turn", 0, 1000, "above 0 and at most 1000 m", true}
	boundForce    = bound{"The force", 0, 100000, "between 0 and 100 000 N", false}
	boundStiff    = bound{"The stiffness of the line", 0, 1e9, "above 0 and at most 1 000 000 000 N/m", true}
	boundSD       = bound{"The standard deviation", 0, 1000, "between 0 and 1000", false}
	boundWork     = bound{"The work", -1e9, 1e9, "between -1 000 000 000 and 1 000 000 000 J", false}
)

// first returns the first refusal.
func first(errs ...*Error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
