package slope

import "math"

// FanSide is how the runs of one side of the fan are skied.
type FanSide struct {
	Glide  float64 // s of straight slide before the turn
	Radius float64 // m of the turn uphill, in the slope plane
	Skid   float64 // what turning the skis adds to friction
}

// Fan is the exercise of start angles on one plane slope: from rest a straight
// slide at a start angle, then a turn uphill to a full stop.
type Fan struct {
	Hill     Hill
	Friction float64 // μ of the glide
	Sides    map[Side]FanSide
}

// FanRun is one run of the fan.
type FanRun struct {
	Side     Side
	Start    float64 // start angle from straight across, rad
	Gradient float64 // gradient angle of the straight slide, rad
	Track    Track
}

// GlideTime returns how long the straight slide lasts, s.
func (r FanRun) GlideTime() float64 {
	for i := len(r.Track.Points) - 1; i >= 0; i-- {
		if r.Track.Points[i].Leg == 0 {
			return r.Track.Points[i].Time
		}
	}
	return 0
}

// Run skis one run at a start angle in rad from straight across.
func (f Fan) Run(side Side, start float64) FanRun {
	s := f.Sides[side]
	phi := FromAcross(start, side)
	return FanRun{Side: side, Start: start, Gradient: PathSlope(f.Hill.Slope, phi),
		Track: f.Hill.Slide(JTurn(side, s.Glide, s.Radius, f.Friction, s.Skid), 0, phi)}
}

// TradeLadder returns the start angles the trade uses, in rad from straight
// across: 15, 30, 45, 60, 75 and 90 degrees.
func TradeLadder() []float64 {
	steps := make([]float64, FanSteps)
	for i := range steps {
		steps[i] = float64(i+1) / FanSteps * math.Pi / 2
	}
	return steps
}

// FanSteps is how many steps the ladder of start angles has.
const FanSteps = 6 // src: CP

// EvenLadder returns start angles in rad from straight across whose peak
// speeds rise in equal steps, from standing still to the peak speed of a start
// in the fall line, which is the last step. ok is false where even that start
// does not set off.
func (f Fan) EvenLadder(side Side) (starts []float64, ok bool) {
	peak := func(start float64) float64 { return f.Run(side, start).Track.Peak.Speed }
	top := peak(math.Pi / 2)
	if top <= 0 {
		return nil, false
	}
	starts = make([]float64, FanSteps)
	starts[FanSteps-1] = math.Pi / 2
	low := 0.0
	for i := range FanSteps - 1 {
		want := top * float64(i+1) / FanSteps
		starts[i] = solveRising(peak, want, low, math.Pi/2)
		low = starts[i]
	}
	return starts, true
}

// solveRising returns where a function that never falls between two places
// reaches a value, to about 1e-9 of the span.
func solveRising(f func(float64) float64, want, low, high float64) float64 {
	a, b := low, high
	fa, fb := f(a)-want, f(b)-want
	side := 0
	for range 100 {
		if b-a < 1e-9*(high-low) {
			break
		}
		// False position, its stuck end halved (Illinois), and halving where
		// the function is level at one end.
		x := (a*fb - b*fa) / (fb - fa)
		if !(x > a && x < b) {
			x = (a + b) / 2
		}
		fx := f(x) - want
		switch {
		case fx == 0:
			return x
		case fx > 0:
			b, fb = x, fx
			if side > 0 {
				fa /= 2
			}
			side = 1
		default:
			a, fa = x, fx
			if side < 0 {
				fb /= 2
			}
			side = -1
		}
	}
	return (a + b) / 2
}
