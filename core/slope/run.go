package slope

import "math"

// Piece is a straight part of a path of constant gradient.
type Piece struct {
	Length   float64 // m along the path, on the snow
	Slope    float64 // θ, rad, downhill positive
	Path     float64 // φ, rad, from the fall line in the slope plane
	Friction float64 // μ
	Pull     float64 // m/s²: a steady pull back along the path, for each kilogram
}

// Conditions are what holds along a whole path.
type Conditions struct {
	Gravity  float64 // m/s²
	Drag     float64 // k, 1/m
	HeadWind float64 // m/s against the motion; below zero for a tail wind
	// Edges counts what the edges carry on a traverse into the normal force:
	// n = √(cos²θ + sin²θ sin²φ). Otherwise n = cos θ, the form of the text
	// books. Along the fall line they are the same.
	Edges bool
}

// DragOf returns k in 1/m from air density in kg/m³, drag area in m² and mass
// in kg.
func DragOf(density, area, mass float64) float64 { return density * area / (2 * mass) }

// NormalLoad returns the normal force in weights on a path of angle φ on a
// slope θ, both in rad.
func NormalLoad(theta, phi float64, edges bool) float64 {
	sin, cos := math.Sincos(theta)
	if !edges {
		return cos
	}
	return math.Hypot(cos, sin*math.Sin(phi))
}

// level is the difference of two numbers of order one that is rounding only.
const level = 1e-14

// Drive returns the acceleration in m/s² by gravity and friction along a
// piece. Where the two are equal to the last digits it is zero.
func (c Conditions) Drive(p Piece) float64 {
	along := math.Sin(p.Slope) * math.Cos(p.Path)
	hold := p.Friction * NormalLoad(p.Slope, p.Path, c.Edges)
	net := along - hold
	if math.Abs(net) <= level {
		net = 0
	}
	return c.Gravity*net - p.Pull
}

// Motion returns what acts along a piece.
func (c Conditions) Motion(p Piece) Motion {
	return Motion{Drive: c.Drive(p), Drag: c.Drag, HeadWind: c.HeadWind}
}

// Stays tells whether friction holds a skier at rest on a piece, skis along
// the path.
func (c Conditions) Stays(p Piece) bool {
	along := math.Abs(math.Sin(p.Slope) * math.Cos(p.Path))
	return along <= p.Friction*NormalLoad(p.Slope, p.Path, c.Edges)+level
}

// Along is one place of a run.
type Along struct {
	Distance float64 `json:"distance_m"` // along the path
	Drop     float64 `json:"drop_m"`     // below the start
	Speed    float64 `json:"speed_m_s"`
	Time     float64 `json:"time_s"`
}

// Run is a slide over a chain of pieces.
type Run struct {
	At      []Along // the start, the end of each piece, and the stop
	Peak    float64 // highest speed, m/s
	PeakAt  float64 // where, m along the path
	Stopped bool    // came to rest before the end
	Stays   bool    // at rest, friction holds where it stopped
}

// End returns the last place of the run.
func (r Run) End() Along { return r.At[len(r.At)-1] }

// Glide slides over pieces from a speed v0 ≥ 0 in m/s. On a piece of constant
// gradient the speed only rises or only falls, so the peak is at an end of one.
// Who has stopped stays where they stopped.
func (c Conditions) Glide(pieces []Piece, v0 float64) Run {
	r := Run{At: make([]Along, 1, len(pieces)+1), Peak: v0}
	at := Along{Speed: v0}
	r.At[0] = at
	for _, p := range pieces {
		a := c.Motion(p).Over(at.Speed, p.Length)
		at.Distance += a.Distance
		at.Drop += a.Distance * math.Sin(p.Slope) * math.Cos(p.Path)
		at.Time += a.Time
		at.Speed = a.Speed
		r.At = append(r.At, at)
		if at.Speed > r.Peak {
			r.Peak, r.PeakAt = at.Speed, at.Distance
		}
		if a.Stopped {
			r.Stopped, r.Stays = true, c.Stays(p)
			break
		}
	}
	return r
}

// Before returns how far before the end of a chain of pieces a skier must
// start from rest to come to that end with a speed in m/s. ok is false where
// even a start from the top is not enough. There must be no wind.
func (c Conditions) Before(pieces []Piece, speed float64) (distance float64, ok bool) {
	v := speed
	for i := len(pieces) - 1; i >= 0; i-- {
		m := Motion{Drive: c.Drive(pieces[i]), Drag: c.Drag}
		v0, x, rest := m.Start(v, pieces[i].Length)
		distance += x
		if rest || v0 == 0 && m.Drive > 0 {
			return distance, true
		}
		v = v0
	}
	return distance, false
}
