package slope

import "firnhand/core/entry"

// Error is a refusal: a short code for programs and one sentence for people.
type Error = entry.Error

const quarter = 1.5707963267948968 // exact: a hair above π/2

func checkSpan(b entry.Bound, s Span) *Error { return b.Range(s.Value, s.Low, s.High) }

// What may enter.
var (
	boundSlope    = entry.Within("The slope", -quarter, quarter, "between straight up and straight down")
	boundAngle    = entry.Within("The angle of the path", -2*quarter, 2*quarter, "between -180 and 180 degrees")
	boundFriction = entry.Within("The coefficient of friction", 0, 5, "between 0 and 5")
	boundMass     = entry.Above("The mass", 0, 1000, "above 0 and at most 1000 kg")
	boundArea     = entry.Within("The drag area", 0, 20, "between 0 and 20 m²")
	boundDensity  = entry.Within("The density of the air", 0, 2, "between 0 and 2 kg/m³")
	boundGravity  = entry.Above("The acceleration of free fall", 0, 100, "above 0 and at most 100 m/s²")
	boundSpeed    = entry.Within("The speed", 0, 200, "between 0 and 200 m/s")
	boundWind     = entry.Within("The wind", -100, 100, "between -100 and 100 m/s")
	boundLength   = entry.Within("The length", 0, 20000, "between 0 and 20 000 m")
	boundHeight   = entry.Within("The height", -10000, 10000, "between -10 000 and 10 000 m")
	boundTime     = entry.Within("The time", 0, 36000, "between 0 and 36 000 s")
	boundRadius   = entry.Above("The radius of the turn", 0, 1000, "above 0 and at most 1000 m")
	boundForce    = entry.Within("The force", 0, 100000, "between 0 and 100 000 N")
	boundStiff    = entry.Above("The stiffness of the line", 0, 1e9, "above 0 and at most 1 000 000 000 N/m")
	boundSD       = entry.Within("The standard deviation", 0, 1000, "between 0 and 1000")
	boundWork     = entry.Within("The work", -1e9, 1e9, "between -1 000 000 000 and 1 000 000 000 J")
)
