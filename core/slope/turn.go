package slope

import (
	"math"
	"slices"
)

// Plane slope and snow for a path that turns.
type Hill struct {
	Slope   float64 // θ, rad
	Gravity float64 // m/s²
	Drag    float64 // k, 1/m
}

// Leg is one part of a path on a plane slope: straight, or an arc of one
// radius.
type Leg struct {
	// Radius of the arc in m, measured in the slope plane; 0 for straight.
	Radius float64
	// To is the path angle φ at which an arc ends, rad. It lies to the left of
	// where the arc begins for a turn to the left, and may pass ±π.
	To float64
	// Length in m or Lasts in s ends a straight leg, whichever comes first; 0
	// for no such end.
	Length, Lasts float64
	// Friction is μ of the glide; Skid is what turning the skis across the
	// path adds to it.
	Friction, Skid float64
}

// Point is one moment of a path on a plane slope, in the slope frame.
type Point struct {
	Time    float64 `json:"time_s"`
	Down    float64 `json:"down_m"`
	Left    float64 `json:"left_m"`
	Path    float64 `json:"path_rad"` // φ
	Speed   float64 `json:"speed_m_s"`
	Load    float64 `json:"load_weights"` // normal force of the snow over the weight
	Along   float64 `json:"along_m"`      // length of the path so far
	Leg     int     `json:"leg"`          // index of the leg
	Lateral float64 `json:"-"`            // force across the path in weights, to the left
}

// Lean returns the angle in rad by which a balanced skier leans from the
// normal of the snow towards the inside.
func (p Point) Lean() float64 {
	normal := math.Sqrt(max(p.Load*p.Load-p.Lateral*p.Lateral, 0))
	return math.Atan2(p.Lateral, normal)
}

// Track is a slide over legs.
type Track struct {
	Points  []Point // in time, with the ends of every leg
	Peak    Point   // where the speed was highest
	Heavy   Point   // where the load was highest
	Stopped bool
	Stays   bool // at rest, friction without skid holds where it stopped
	Starts  bool // it set off at all
}

// End returns the last moment of the track.
func (p Track) End() Point { return p.Points[len(p.Points)-1] }

// Each step of an arc is at most this long, so that a drawing through the
// points is smooth; and its error at most that, relative and in m or m/s.
const (
	longestStep = 0.25 // exact: s
	stepError   = 1e-12
)

// Slide follows legs from a speed v0 ≥ 0 in m/s and a path angle phi in rad.
// On the whole path the edges carry what pulls across it, in a turn also what
// the turn needs, and friction grows with that load. Air is still.
func (h Hill) Slide(legs []Leg, v0, phi float64) Track {
	at := Point{Speed: v0, Path: phi}
	at.Load, at.Lateral = h.load(0, v0, phi)
	p := Track{Points: []Point{at}, Peak: at, Heavy: at}
	for i, leg := range legs {
		at.Leg = i
		if leg.Radius > 0 {
			at = h.arc(&p, at, leg)
		} else {
			at = h.straight(&p, at, leg)
		}
		p.Starts = p.Starts || at.Along > 0
		if p.Stopped {
			rest := Piece{Slope: h.Slope, Path: at.Path, Friction: leg.Friction}
			p.Stays = Conditions{Gravity: h.Gravity, Edges: true}.Stays(rest)
			break
		}
	}
	return p
}

// load returns the load and the force across the path, both in weights, at a
// speed on a curvature in 1/m, positive to the left.
func (h Hill) load(curve, v, phi float64) (load, lateral float64) {
	sin, cos := math.Sincos(h.Slope)
	lateral = v*v*curve/h.Gravity + sin*math.Sin(phi)
	return math.Hypot(cos, lateral), lateral
}

// note adds a moment to the track.
func (p *Track) note(at Point) {
	p.Points = append(p.Points, at)
	if at.Speed > p.Peak.Speed {
		p.Peak = at
	}
	if at.Load > p.Heavy.Load {
		p.Heavy = at
	}
}

// straight follows a straight leg, whose motion has a closed form.
func (h Hill) straight(p *Track, at Point, leg Leg) Point {
	c := Conditions{Gravity: h.Gravity, Drag: h.Drag, Edges: true}
	piece := Piece{Slope: h.Slope, Path: at.Path, Friction: leg.Friction + leg.Skid}
	m := c.Motion(piece)
	r := Arrival{Stopped: true}
	switch x, t, stops := m.Stop(at.Speed); {
	case stops && at.Speed <= 0:
	case leg.Length > 0:
		r = m.Over(at.Speed, leg.Length)
		if leg.Lasts > 0 && r.Time > leg.Lasts {
			r = m.After(at.Speed, leg.Lasts)
		}
	case leg.Lasts > 0:
		r = m.After(at.Speed, leg.Lasts)
	case stops:
		r = Arrival{Distance: x, Time: t, Stopped: true}
	default: // no end and no stop: as if it were not there
		return at
	}
	sin, cos := math.Sincos(at.Path)
	parts := int(math.Ceil(min(r.Time, 100) / longestStep))
	from := at
	for i := 1; i <= parts; i++ {
		q := r
		if i < parts {
			q = m.After(from.Speed, r.Time*float64(i)/float64(parts))
		}
		at.Time, at.Along = from.Time+q.Time, from.Along+q.Distance
		at.Down, at.Left = from.Down+q.Distance*cos, from.Left+q.Distance*sin
		at.Speed = q.Speed
		at.Load, at.Lateral = h.load(0, at.Speed, at.Path)
		p.note(at)
	}
	p.Stopped = r.Stopped
	return at
}

// arc follows an arc to its end or to a stop.
func (h Hill) arc(p *Track, at Point, leg Leg) Point {
	curve := math.Copysign(1/leg.Radius, leg.To-at.Path)
	end := math.Abs(leg.To-at.Path) * leg.Radius
	if end == 0 {
		return at
	}
	sin, cos := math.Sincos(h.Slope)
	phi0, mu := at.Path, leg.Friction+leg.Skid
	slows := func(y state) float64 {
		along, across := math.Sincos(phi0 + curve*y.s)
		load := math.Hypot(cos, y.v*y.v*curve/h.Gravity+sin*along)
		return h.Gravity*(sin*across-mu*load) - h.Drag*y.v*y.v
	}
	o := solver{f: func(y state) state { return state{y.v, slows(y)} }, allowed: stepError, h: longestStep, longest: longestStep}
	y := state{0, at.Speed}
	if y.v <= 0 && slows(y) <= 0 {
		p.Stopped = true
		return at
	}
	from := at
	moment := func(y state, t float64) Point {
		q := from
		q.Time, q.Along, q.Speed, q.Path = from.Time+t, from.Along+y.s, y.v, phi0+curve*y.s
		q.Down, q.Left = from.Down+(math.Sin(q.Path)-math.Sin(phi0))/curve, from.Left-(math.Cos(q.Path)-math.Cos(phi0))/curve
		q.Load, q.Lateral = h.load(curve, y.v, q.Path)
		return q
	}
	speed := func(y state) float64 { return y.v }
	for t := 0.0; ; {
		next, dt := o.step(y, longestStep)
		stops, ends := next.v <= 0, next.s >= end
		if slows(y) > 0 && slows(next) < 0 { // the speed peaked on the way
			h, top := o.find(y, dt, func(y state) float64 { return slows(y) }, func(y state) float64 {
				const small = 1e-6
				return (slows(state{y.s + y.v*small, y.v + slows(y)*small}) - slows(y)) / small
			})
			if top.s < end {
				p.note(moment(top, t+h))
			}
		}
		if stops {
			dt, next = o.find(y, dt, speed, slows)
			next.v = 0
			ends = next.s >= end
		}
		if ends {
			dt, next = o.find(y, dt, func(y state) float64 { return y.s - end }, speed)
			next.s = end
			stops = false
		}
		t += dt
		y = next
		at = moment(y, t)
		p.note(at)
		if stops || ends {
			p.Stopped = stops
			return at
		}
	}
}

// JTurn returns the legs of the run of the trade: a straight slide of glide
// seconds, then an arc uphill to a full stop, to a side.
func JTurn(side Side, glide, radius, friction, skid float64) []Leg {
	return []Leg{
		{Lasts: glide, Friction: friction},
		{Radius: radius, To: side.sign() * math.Pi, Friction: friction, Skid: skid},
		{Friction: friction},
	}
}

// Garland returns the legs of dips without crossing the fall line: from a
// traverse at path angle high to the side, dips times down to the path angle
// low and back up to high. Angles are rad from the fall line, without sign.
func Garland(side Side, dips int, high, low, radius, friction, skid float64) []Leg {
	down := Leg{Radius: radius, To: side.sign() * low, Friction: friction, Skid: skid}
	up := Leg{Radius: radius, To: side.sign() * high, Friction: friction, Skid: skid}
	return slices.Repeat([]Leg{down, up}, dips)
}
