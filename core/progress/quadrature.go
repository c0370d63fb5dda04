package progress

import "math"

// seen is one outcome at an offset: its category depends on the effect plus
// the offset alone.
type seen struct {
	shift   float64 // exp(-offset)
	outcome Outcome
}

// tilted is what one Gaussian becomes when outcomes are seen along it: its first
// four cumulants.
type tilted struct {
	mean, v          float64
	skew3, kurtosis4 float64 // third and fourth cumulant
}

// Steps of the rule of quadrature, in standard deviations of the density at
// its top. The trapezoid rule on a smooth density that dies out on both sides
// converges faster than any power of the step; logistic factors have their
// nearest poles at pi, which at this step leaves an error below 1e-8.
const (
	quadStep  = 0.5 // exact: a step of the method, no figure of the world
	quadLimit = 25. // exact: the density is cut where it is below exp(-25) of its top
	quadMost  = 400 // points on each side; never reached by a density that falls off
)

// chance returns the probability of an outcome at an effect; e is exp(-effect).
// With x = exp(-(effect + offset)) and r = exp(-width) the chance of clean is
// 1/(1+x), of at least partly 1/(1+xr).
func (m *model) chance(s seen, e float64) float64 {
	x := e * s.shift
	switch s.outcome {
	case Clean:
		return 1 / (1 + x)
	case Partly:
		if math.IsInf(x, 1) {
			return 0
		}
		return x / (1 + x) * (1 - m.partly) / (1 + x*m.partly)
	}
	if y := x * m.partly; y < math.MaxFloat64 {
		return y / (1 + y)
	}
	return 1
}

// slope returns the first two derivatives of the log probability of an outcome
// with the effect.
func (m *model) slope(s seen, e float64) (d1, d2 float64) {
	x := e * s.shift
	p := 1 / (1 + x)          // of clean
	q := 1 / (1 + x*m.partly) // of at least partly
	switch s.outcome {
	case Clean:
		return 1 - p, -p * (1 - p)
	case Miss:
		return -q, -q * (1 - q)
	}
	return 1 - p - q, -p*(1-p) - q*(1-q)
}

// top finds where the density of a Gaussian times what was seen is greatest,
// and the standard deviation of the Gaussian that fits it there, beginning from
// a place near by. The log of the
// density is concave, so Newton's steps, halved where they overshoot, arrive.
func (m *model) top(mean, v, from float64, obs []seen) (at, sd float64) {
	at = from
	for range 60 {
		d1, d2 := (mean-at)/v, -1/v
		e := math.Exp(-at)
		for _, s := range obs {
			a, b := m.slope(s, e)
			d1, d2 = d1+a, d2+b
		}
		step := -d1 / d2
		sd = math.Sqrt(-1 / d2)
		step = max(-4, min(4, step)) // exact: a bound on one step, against flat tails
		at += step
		if math.Abs(step) < sd/100 {
			break
		}
	}
	return at, sd
}

// tilt computes the cumulants of a Gaussian times the probabilities of what was
// seen along it, by the trapezoid rule.
func (m *model) tilt(mean, v, from float64, obs []seen) tilted {
	at, sd := m.top(mean, v, from, obs)
	h := quadStep * sd
	density := func(x float64) float64 {
		z := x - mean
		p := 1.0
		e := math.Exp(-x)
		for _, s := range obs {
			p *= m.chance(s, e)
		}
		return p * math.Exp(-z*z/(2*v))
	}
	f0 := density(at)
	if f0 == 0 { // a history so long that its probability is no number
		return m.tiltLog(mean, v, obs, at, sd)
	}
	cut := f0 * math.Exp(-quadLimit)
	var s0, s1, s2, s3, s4 float64
	add := func(d, f float64) {
		d2 := d * d
		s0, s1, s2, s3, s4 = s0+f, s1+f*d, s2+f*d2, s3+f*d2*d, s4+f*d2*d2
	}
	add(0, f0)
	for _, sign := range [2]float64{1, -1} {
		for i := 1; i <= quadMost; i++ {
			d := sign * h * float64(i)
			f := density(at + d)
			add(d, f)
			if f < cut {
				break
			}
		}
	}
	return gather(at, s0, s1, s2, s3, s4)
}

// tiltLog is tilt in logarithms.
func (m *model) tiltLog(mean, v float64, obs []seen, at, sd float64) tilted {
	h := quadStep * sd
	density := func(x float64) float64 {
		z := x - mean
		l := -z * z / (2 * v)
		e := math.Exp(-x)
		for _, s := range obs {
			l += math.Log(m.chance(s, e))
		}
		return l
	}
	l0 := density(at)
	var s0, s1, s2, s3, s4 float64
	for _, sign := range [2]float64{1, -1} {
		for i := range quadMost {
			if i == 0 && sign < 0 {
				continue
			}
			d := sign * h * float64(i)
			l := density(at+d) - l0
			if l < -quadLimit {
				break
			}
			f, d2 := math.Exp(l), d*d
			s0, s1, s2, s3, s4 = s0+f, s1+f*d, s2+f*d2, s3+f*d2*d, s4+f*d2*d2
		}
	}
	return gather(at, s0, s1, s2, s3, s4)
}

// gather makes cumulants of sums of powers of distances from a place.
func gather(at, s0, s1, s2, s3, s4 float64) tilted {
	m1, m2, m3, m4 := s1/s0, s2/s0, s3/s0, s4/s0
	v := m2 - m1*m1
	return tilted{at + m1, v, m3 - 3*m1*m2 + 2*m1*m1*m1, // exact
		m4 - 4*m1*m3 - 3*m2*m2 + 12*m1*m1*m2 - 6*m1*m1*m1*m1} // exact
}
