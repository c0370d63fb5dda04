package slope

import "math"

// inWind follows the motion for a time in steady wind along the path, from a
// speed v0 at which it moves. In the speed through the air, u = v + w, the
// equation is the one without wind as long as the sign of u holds; where a
// tail wind is faster than the skier its drag drives, and u is below zero.
func (m Motion) inWind(v0, t float64) Arrival {
	u, w := v0+m.HeadWind, m.HeadWind
	var got Arrival
	for range 4 { // at most: overtaken by the wind, level with it, faster, at rest
		left := t - got.Time
		if left <= 0 {
			break
		}
		var phase phase
		switch {
		case u > 0 || u == 0 && m.Drive > 0:
			phase = m.ahead(u)
		case u < 0 || m.Drive < 0:
			phase = m.behind(-u)
		default: // carried along at the speed of the wind
			got.Distance, got.Time = got.Distance-w*left, t
			got.Speed = -w
			return got
		}
		if phase.end >= left {
			if math.IsInf(left, 1) { // it moves for ever
				return Arrival{Distance: left, Time: left}
			}
			y, x := riccati(phase.drive, m.Drag, phase.from, left)
			got.Distance += phase.sign*x - w*left
			got.Time, got.Speed = t, max(phase.sign*y-w, 0)
			return got
		}
		_, x := riccati(phase.drive, m.Drag, phase.from, phase.end)
		got.Distance += phase.sign*x - w*phase.end
		got.Time += phase.end
		if phase.rests {
			got.Speed, got.Stopped = 0, true
			return got
		}
		u, got.Speed = 0, -w
	}
	return got
}

// phase is a part of the motion in which the sign of the speed through the
// air holds: sign times a solution of dy/dt = drive - k y² that begins at from
// and ends after a time, maybe never.
type phase struct {
	sign, drive, from float64
	end               float64 // s
	rests             bool    // it ends at rest on the snow; otherwise level with the wind
}

// ahead is the phase in which the skier is faster than the wind.
func (m Motion) ahead(u float64) phase {
	floor := max(m.HeadWind, 0)
	return phase{1, m.Drive, u, fall(m.Drive, m.Drag, u, floor), m.HeadWind >= 0}
}

// behind is the phase in which a tail wind of y is felt from behind.
func (m Motion) behind(y float64) phase {
	if -m.Drive > m.Drag*y*y { // slowing, so the wind is felt more and more
		return phase{-1, -m.Drive, y, rise(-m.Drive, m.Drag, y, -m.HeadWind), true}
	}
	return phase{-1, -m.Drive, y, fall(-m.Drive, m.Drag, y, 0), false}
}

// fall returns when a solution of dy/dt = a - k y² that begins at y comes down
// to a floor; +Inf where it does not.
func fall(a, k, y, floor float64) float64 {
	if y <= floor {
		if a-k*y*y < 0 {
			return 0
		}
		return math.Inf(1)
	}
	if a-k*floor*floor >= 0 {
		return math.Inf(1)
	}
	return between(a, k, y, floor)
}

// rise returns when it comes up to a ceiling.
func rise(a, k, y, ceiling float64) float64 {
	if y >= ceiling {
		return 0
	}
	if a-k*ceiling*ceiling <= 0 {
		return math.Inf(1)
	}
	return between(a, k, y, ceiling)
}

func between(a, k, from, to float64) float64 {
	tau := (to - from) / (a - k*from*to)
	return tau * arcOver(k*a*tau*tau)
}

// overInWind returns the arrival after a length. The distance has its closed
// form in time, so the time is found from it, to the last digits.
func (m Motion) overInWind(v0, length float64) Arrival {
	end := m.inWind(v0, math.Inf(1))
	if end.Stopped && end.Distance <= length {
		return end
	}
	low, high := 0.0, 1.0
	if end.Stopped {
		high = end.Time
	} else {
		for m.inWind(v0, high).Distance < length && high < math.MaxFloat64/2 {
			low, high = high, 2*high
		}
	}
	t := (low + high) / 2
	var r Arrival
	for range 200 {
		r = m.inWind(v0, t)
		miss := r.Distance - length
		if miss > 0 {
			high = t
		} else {
			low = t
		}
		next := t - miss/r.Speed
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if next == t || miss == 0 {
			break
		}
		t = next
	}
	r.Distance, r.Stopped = length, false
	return r
}
