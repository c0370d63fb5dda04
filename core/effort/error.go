package effort

import "firnhand/core/entry"

// Error is a refusal: a short code for programs and one sentence for people.
type Error = entry.Error

// What may enter.
var (
	boundSpeed    = entry.Within("The walking speed", 0, 10, "between 0 and 10 m/s")
	boundGrade    = entry.Within("The gradient", -100, 100, "between -100 and 100 %")
	boundMass     = entry.Within("The mass", 2, 500, "between 2 and 500 kg")
	boundLoad     = entry.Within("The load", 0, 200, "between 0 and 200 kg")
	boundEta      = entry.Within("The terrain factor", 0.5, 20, "between 0.5 and 20")
	boundSinkage  = entry.Within("The sinkage", 0, 2, "between 0 and 2 m")
	boundHeight   = entry.Within("The height of a step", 0, 1, "between 0 and 1 m")
	boundRate     = entry.Within("The rate of stepping", 0, 200, "between 0 and 200 steps a minute")
	boundOxygen   = entry.Within("The oxygen uptake", 1, 100, "between 1 and 100 mL/(kg min)")
	boundWalk     = entry.Within("The distance walked", 1, 5000, "between 1 and 5000 m")
	boundWalkTime = entry.Within("The time walked", 10, 3600, "between 10 s and an hour")
	boundTime     = entry.Within("The time", 0, 86400, "between 0 and 24 hours")
	boundPower    = entry.Within("The work", 0, 3000, "between 0 and 3000 W")
	boundRatio    = entry.Within("The multiplier", 0.5, 10, "between 0.5 and 10")
	boundMET      = entry.Within("The metabolic equivalent", 0.5, 25, "between 0.5 and 25")
)
