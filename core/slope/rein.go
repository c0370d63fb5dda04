package slope

import "math"

// Line is how a line runs from the student to the handler above.
type Line struct {
	Up    float64 // δ, rad up from the slope plane at the student
	Apart float64 // ε, rad sideways from the path; two lines run at +ε and -ε
}

// Useful returns the part of a pull that acts along the path.
func (l Line) Useful() float64 { return math.Cos(l.Up) * math.Cos(l.Apart) }

// HoldForce returns the force in N along the slope that gives a student of a
// mass in kg and a friction an acceleration down the fall line: 0 for steady
// speed, below zero to slow. drag is the force of the air in N. Below zero
// nothing needs to be held.
func HoldForce(mass, friction, theta, acceleration, drag, gravity float64) float64 {
	sin, cos := math.Sincos(theta)
	return mass*(gravity*(sin-friction*cos)-acceleration) - drag
}

// Tension returns the pull in N, summed over the lines, that gives a useful
// force along the slope. What the line lifts off the student takes friction
// away, so a line that runs up pulls harder. ok is false where the line runs
// so steeply that no pull does.
func (l Line) Tension(useful, friction float64) (t float64, ok bool) {
	share := l.Useful() - friction*math.Sin(l.Up)
	if share <= 0 {
		return 0, false
	}
	return useful / share, true
}

// HandlerHolds returns the most pull in N that a handler of a mass and a
// friction while braking holds at steady speed on a slope θ, by their skis
// alone. A line that comes from below presses them on; 0 where they slide
// themselves, and ok is false where the line presses so steeply that they hold
// whatever comes.
func (l Line) HandlerHolds(mass, friction, theta, gravity float64) (n float64, ok bool) {
	sin, cos := math.Sincos(theta)
	own := mass * gravity * (friction*cos - sin)
	share := l.Useful() - friction*math.Sin(l.Up)
	if own <= 0 {
		return 0, true
	}
	if share <= 0 {
		return 0, false
	}
	return own / share, true
}

// Pair is a student and the handler behind.
type Pair struct {
	StudentMass, StudentFriction float64 // kg with gear, μ
	HandlerMass, HandlerFriction float64 // kg with gear, μ while braking
}

// friction returns the friction of the pair together.
func (p Pair) friction() float64 {
	return (p.StudentMass*p.StudentFriction + p.HandlerMass*p.HandlerFriction) / (p.StudentMass + p.HandlerMass)
}

// LimitSlope returns the slope θ in rad beyond which the pair no longer stops.
func (p Pair) LimitSlope() float64 { return math.Atan(p.friction()) }

// Slows returns the deceleration in m/s² of the pair on a slope θ; below zero
// it grows faster.
func (p Pair) Slows(theta, gravity float64) float64 {
	sin, cos := math.Sincos(theta)
	return gravity * (p.friction()*cos - sin)
}

// StopTension returns the force along the line in N while the pair stops.
func (p Pair) StopTension(theta, gravity float64) float64 {
	return HoldForce(p.StudentMass, p.StudentFriction, theta, -p.Slows(theta, gravity), 0, gravity)
}

// Shock returns the peak force in N when a slack line comes tight, of a
// stiffness in N/m. speed in m/s is at which the two part when it does; free
// in m/s² is how they would go on parting without a line; mass in kg is the
// student's against a handler who stands, or [Pair.Reduced] where both move.
func Shock(mass, free, stiffness, speed float64) float64 {
	force := mass * free
	return force + math.Sqrt(force*force+stiffness*mass*speed*speed)
}

// Reduced returns the mass in kg that stands for both where both move.
func (p Pair) Reduced() float64 {
	return p.StudentMass * p.HandlerMass / (p.StudentMass + p.HandlerMass)
}

// Parting returns how the two part in m/s² without a line on a slope θ, where
// both move.
func (p Pair) Parting(theta, gravity float64) float64 {
	return gravity * math.Cos(theta) * (p.HandlerFriction - p.StudentFriction)
}

// Wrapped returns by how many times a line wrapped round something through an
// angle in rad holds more than its end: the reason it cannot be let go, and
// why no line is ever wrapped round a hand.
func Wrapped(friction, angle float64) float64 { return math.Exp(friction * angle) }
