package cold

import "firnhand/core/entry"

// Error is a refusal: a short code for programs and one sentence for people.
type Error = entry.Error

// What may enter.
var (
	boundAir    = entry.Within("The air temperature", -90, 60, "between -90 and 60 °C")
	boundWind   = entry.Within("The wind", 0, 120, "between 0 and 120 m/s (432 km/h)")
	boundOwn    = entry.Within("The speed of the skier or the chair", 0, 60, "between 0 and 60 m/s (216 km/h)")
	boundHeight = entry.Within("The height", -500, 9000, "between -500 and 9000 m")
	boundStop   = entry.Within("The wind chill at which lessons stop", -90, 20, "between -90 and 20")
	boundEvery  = entry.Within("The time between looks", 1, 86400, "between a second and a day")
)
