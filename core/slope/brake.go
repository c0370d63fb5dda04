package slope

import "math"

// BrakeTrial is one measured stop: from a speed to rest over a length, or in a
// time, straight down the fall line.
type BrakeTrial struct {
	Speed  float64 // m/s when the braking begins
	Length float64 // m to rest; 0 where it was timed
	Time   float64 // s to rest, used where Length is 0
}

// Friction returns the coefficient of friction that stops a skier so on a
// slope θ, with a drag k in 1/m: the sum of glide and braking. Below zero no
// braking explains the trial.
func (b BrakeTrial) Friction(theta, gravity, drag float64) float64 {
	sin, cos := math.Sincos(theta)
	return (b.slows(drag)/gravity + sin) / cos
}

// slows returns the deceleration by everything but drag, m/s².
func (b BrakeTrial) slows(k float64) float64 {
	if b.Length > 0 {
		// x = ln(1 + k v²/b) / (2 k), the other way round.
		z := 2 * k * b.Length
		over := 1.0
		if z > 0 {
			over = math.Expm1(z) / z
		}
		return b.Speed * b.Speed / (2 * b.Length * over)
	}
	// t = atan(v √(k/b)) / √(k b), which falls as b rises.
	takes := func(x float64) float64 { _, t := brake(x, k, b.Speed); return t }
	low, high := 0.0, b.Speed/b.Time
	for range 200 {
		middle := (low + high) / 2
		if middle <= low || middle >= high {
			break
		}
		if takes(middle) > b.Time {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// EnergySpeed returns the speed in m/s after a fall of height drop in m from a
// speed v0, with work in J done on a mass in kg by everything but gravity;
// work that slows is below zero. reached is false where the energy does not
// suffice.
func EnergySpeed(v0, drop, work, mass, gravity float64) (v float64, reached bool) {
	w := v0*v0 + 2*gravity*drop + 2*work/mass
	return math.Sqrt(max(w, 0)), w >= 0
}
