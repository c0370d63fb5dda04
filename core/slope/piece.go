package slope

import "math"

// Motion is what acts on a skier along one straight piece of constant
// gradient: dv/dt = Drive - Drag (v + HeadWind) |v + HeadWind|, for v ≥ 0.
type Motion struct {
	Drive    float64 // m/s²: gravity along the path less friction; below zero it slows
	Drag     float64 // 1/m: air density times drag area over twice the mass
	HeadWind float64 // m/s against the motion; below zero for a tail wind
}

// Steady returns the speed in m/s that the motion tends to. ok is false where
// it tends to none above zero.
func (m Motion) Steady() (v float64, ok bool) {
	if !(m.Drag > 0) {
		return 0, false
	}
	v = math.Copysign(math.Sqrt(math.Abs(m.Drive)/m.Drag), m.Drive) - m.HeadWind
	return max(v, 0), v > 0
}

// Starts tells whether a skier at rest sets off.
func (m Motion) Starts() bool { return m.at(0) > 0 }

// at returns the acceleration at a speed.
func (m Motion) at(v float64) float64 {
	u := v + m.HeadWind
	return m.Drive - m.Drag*u*math.Abs(u)
}

// Arrival is where and how a skier comes to the end of a piece, or stops on it.
type Arrival struct {
	Distance float64 // m along the piece
	Speed    float64 // m/s
	Time     float64 // s
	Stopped  bool    // at rest before the end, or never set off
}

// Over returns the arrival after a length in m, from a speed v0 ≥ 0 in m/s.
// A skier who is at rest where the piece does not set anybody off stays there.
func (m Motion) Over(v0, length float64) Arrival {
	if v0 <= 0 && !m.Starts() {
		return Arrival{Stopped: true}
	}
	if length <= 0 {
		return Arrival{Speed: v0}
	}
	if m.HeadWind != 0 && m.Drag > 0 {
		return m.overInWind(v0, length)
	}
	a, k := m.Drive, m.Drag
	// Close to the steady speed the time loses digits where a piece is long
	// against 1/k, so it is taken in parts.
	const part, most = 2, 20 // exact: in units of 1/k
	var before Arrival
	if a > 0 && k*length > part+1 {
		for range most {
			if k*(length-before.Distance) <= part+1 {
				break
			}
			r := m.Over(v0, part/k)
			before.Distance += part / k
			before.Time += r.Time
			v0 = r.Speed
		}
		length -= before.Distance
		if k*length > part+1 { // steady to the last digit
			before.Distance, before.Time, before.Speed = before.Distance+length, before.Time+length/v0, v0
			return before
		}
	}
	kept, reach := decay(k, length)
	w := kept*v0*v0 + 2*a*reach
	if w <= 0 {
		if a == 0 { // drag alone, so long that no speed is left to count
			return Arrival{Distance: length, Time: math.MaxFloat64, Stopped: true}
		}
		x, t := brake(-a, k, v0)
		return Arrival{Distance: min(x, length), Time: t, Stopped: true}
	}
	v1 := math.Sqrt(max(w, 0))
	tau := 2 * reach / (v1 + v0*kept)
	return Arrival{Distance: before.Distance + length, Speed: v1, Time: before.Time + tau*arcOver(k*a*tau*tau)}
}

// Start returns the speed in m/s a skier needs at the beginning of a piece to
// come to its end with v1. Where they would come faster even from rest, it
// returns how far before the end they must stand still to come with v1; rest
// is true then.
func (m Motion) Start(v1, length float64) (v0, before float64, rest bool) {
	kept, reach := decay(m.Drag, length)
	w := v1*v1 - 2*m.Drive*reach
	if w >= 0 {
		return math.Sqrt(w / kept), length, false
	}
	// From rest: v1² = 2 a x (1 - exp(-2 k x)) / (2 k x).
	z := -m.Drag * v1 * v1 / m.Drive
	return 0, v1 * v1 / (2 * m.Drive) * logOver(z), true
}

// Stop returns how far in m and how long in s a skier goes on from v0. ok is
// false where they never come to rest.
func (m Motion) Stop(v0 float64) (distance, time float64, ok bool) {
	if v0 <= 0 && !m.Starts() {
		return 0, 0, true
	}
	if m.HeadWind != 0 && m.Drag > 0 {
		r := m.inWind(v0, math.Inf(1))
		return r.Distance, r.Time, r.Stopped
	}
	if m.Drive >= 0 {
		return 0, 0, false
	}
	x, t := brake(-m.Drive, m.Drag, v0)
	return x, t, true
}

// After returns the state a time in s after leaving the start with v0. It is
// stopped where the skier came to rest before; Time is then when.
func (m Motion) After(v0, t float64) Arrival {
	if v0 <= 0 && !m.Starts() {
		return Arrival{Stopped: true}
	}
	if m.HeadWind != 0 && m.Drag > 0 {
		return m.inWind(v0, t)
	}
	if m.Drive < 0 {
		if x, end := brake(-m.Drive, m.Drag, v0); t >= end {
			return Arrival{Distance: x, Time: end, Stopped: true}
		}
	}
	v, x := riccati(m.Drive, m.Drag, v0, t)
	return Arrival{Distance: x, Speed: v, Time: t}
}

// decay returns exp(-2 k x) and (1 - exp(-2 k x)) / (2 k), which is x where
// there is no drag.
func decay(k, x float64) (kept, reach float64) {
	z := 2 * k * x
	if z == 0 {
		return 1, x
	}
	lost := -math.Expm1(-z)
	return math.Exp(-z), x * (lost / z)
}

// brake returns how far and how long a skier goes on who slows by b > 0 and by
// drag.
func brake(b, k, v0 float64) (x, t float64) {
	z := k * v0 * v0 / b
	return v0 * v0 / (2 * b) * logOver(z), v0 / b * arcOver(-z)
}

// riccati solves du/dt = a - k u² for u ≥ 0 and returns u and its integral.
func riccati(a, k, u0, t float64) (u, x float64) {
	z := k * a * t * t
	s := t * tanOver(z)
	y := k * u0 * s
	return (u0 + a*s) / (1 + y), a*t*t*lnCosOver(z) + u0*s*logOver(y)
}

// Below: functions of z that are atanh, tanh and log-cosh where z > 0, and
// their circular sisters where z < 0, each over the power that makes it one
// smooth function through z = 0. Near zero a power series replaces them.
const nearZero = 1e-4

// arcOver returns atanh(√z)/√z, or atan(√-z)/√-z.
func arcOver(z float64) float64 {
	switch {
	case math.Abs(z) < nearZero:
		return 1 + z*(1/3.+z*(1/5.+z*(1/7.+z/9))) // exact: power series
	case z > 0:
		s := math.Sqrt(z)
		return math.Atanh(s) / s
	}
	s := math.Sqrt(-z)
	return math.Atan(s) / s
}

// tanOver returns tanh(√z)/√z, or tan(√-z)/√-z.
func tanOver(z float64) float64 {
	switch {
	case math.Abs(z) < nearZero:
		return 1 - z*(1/3.-z*(2/15.-z*(17/315.-z*62/2835))) // exact: power series
	case z > 0:
		s := math.Sqrt(z)
		return math.Tanh(s) / s
	}
	s := math.Sqrt(-z)
	return math.Tan(s) / s
}

// lnCosOver returns ln cosh(√z)/z, or ln cos(√-z)/z.
func lnCosOver(z float64) float64 {
	switch {
	case math.Abs(z) < nearZero:
		return 1/2. - z*(1/12.-z*(1/45.-z*(17/2520.-z*31/14175))) // exact: power series
	case z > 1:
		s := math.Sqrt(z)
		return (s + math.Log1p(math.Exp(-2*s)) - math.Ln2) / z
	case z > 0:
		h := math.Sinh(math.Sqrt(z) / 2)
		return math.Log1p(2*h*h) / z
	}
	s := math.Sqrt(-z)
	h := math.Sin(s / 2)
	return math.Log1p(-2*h*h) / z
}

// logOver returns ln(1 + y)/y.
func logOver(y float64) float64 {
	if y == 0 {
		return 1
	}
	return math.Log1p(y) / y
}
