package slope

import (
	"math"
	"slices"
)

// Band asks how fast a skier comes along a run when snow, air, mass and
// gradient are known within ranges only.
type Band struct {
	Pieces []Piece // Friction of a piece is added to what is drawn
	Start  float64 // speed at the beginning, m/s

	Friction  Chance // μ
	Mass      Chance // kg, with gear
	DragArea  Chance // m²
	Density   Chance // kg/m³
	SlopeMiss Chance // rad added to the slope of every piece; nil for none

	Gravity float64
	Edges   bool

	// RunOut is the ground after the last piece, for the distance a stop
	// needs; nil where that is not asked.
	RunOut *RunOut

	Draws  int
	Random Draws
}

// RunOut is the ground on which somebody brakes to a stop.
type RunOut struct {
	Slope    float64 // θ, rad, downhill positive
	Friction Chance  // μ while braking
	Reaction Chance  // s before the braking begins, at constant speed
}

// Deciles are the values below which a tenth, a half and nine tenths of the
// draws lie.
type Deciles struct {
	P10 float64 `json:"p10"`
	P50 float64 `json:"p50"`
	P90 float64 `json:"p90"`
}

// BandAt is the band at one place.
type BandAt struct {
	Distance float64 `json:"distance_m"` // along the path
	Speed    Deciles `json:"speed_m_s"`
	Moving   float64 `json:"moving_share"` // of the draws still moving here
}

// BandResult is what the draws give.
type BandResult struct {
	At      []BandAt
	Peak    Deciles // highest speed of each draw, m/s
	Stopped float64 // share of draws that stop before the end
	StopAt  Deciles // where those stop, m along the path; zero where none does
	// RunOut is the length in m that a stop needs after the last piece, with
	// the reaction; Endless is the share of draws in which none comes.
	RunOut  Deciles
	Endless float64
}

// bandWork holds one number for each draw, in rows that are walked together.
type bandWork struct {
	w            []float64 // speed squared
	friction     []float64
	drag         []float64 // k
	sin, cos     []float64 // of the slope miss
	kept, bySin  []float64 // over the present length
	byCos, reach []float64
	best         []float64 // highest speed squared
	alive        []bool
	halted       []int // those who stopped on the present piece
	pick         picker
}

// Speeds draws and slides. Draws share their work: pieces of one length share
// their exponentials, and along the fall line a piece then costs each draw
// three multiplications. The same seed gives the same band.
func (b Band) Speeds() BandResult {
	n := b.Draws
	k := bandWork{alive: make([]bool, n), pick: newPicker()}
	for _, row := range []*[]float64{&k.w, &k.friction, &k.drag, &k.sin, &k.cos, &k.kept, &k.bySin, &k.byCos, &k.reach, &k.best} {
		*row = make([]float64, n)
	}
	react, brakes := make([]float64, n), make([]float64, n)
	for d := range n {
		k.alive[d] = true
		k.w[d] = b.Start * b.Start
		k.best[d] = k.w[d]
		k.friction[d] = b.Friction.Quantile(b.Random())
		k.drag[d] = DragOf(b.Density.Quantile(b.Random()), b.DragArea.Quantile(b.Random()), b.Mass.Quantile(b.Random()))
		miss := 0.0
		if b.SlopeMiss != nil {
			miss = b.SlopeMiss.Quantile(b.Random())
		}
		k.sin[d], k.cos[d] = math.Sincos(miss)
		if b.RunOut != nil {
			react[d], brakes[d] = b.RunOut.Reaction.Quantile(b.Random()), b.RunOut.Friction.Quantile(b.Random())
		}
	}
	out := BandResult{At: make([]BandAt, 0, len(b.Pieces)+1)}
	var stops []float64
	note := func(at float64) {
		out.At = append(out.At, BandAt{Distance: at, Speed: k.pick.speeds(k.w), Moving: 1 - float64(len(stops))/float64(n)})
	}
	note(0)
	at, length := 0.0, math.NaN()
	for _, p := range b.Pieces {
		if p.Length != length {
			length = p.Length
			k.lengthen(length, b.Gravity)
		}
		k.halted = k.halted[:0]
		if p.Path == 0 && p.Friction == 0 && p.Pull == 0 {
			k.downhill(p)
		} else {
			k.anywhere(p, b)
		}
		for _, d := range k.halted {
			stops = append(stops, at+k.rest(d, p, b))
			k.w[d], k.alive[d] = 0, false
			k.kept[d], k.bySin[d], k.byCos[d], k.reach[d] = 0, 0, 0, 0
		}
		at += p.Length
		note(at)
	}
	out.Peak = k.pick.speeds(k.best)
	out.Stopped = float64(len(stops)) / float64(n)
	if len(stops) > 0 {
		out.StopAt = deciles(stops)
	}
	if b.RunOut != nil {
		out.RunOut, out.Endless = k.runOut(b, react, brakes)
	}
	return out
}

// lengthen prepares for pieces of another length: the square of the speed at
// their end is kept w + bySin sin θ + byCos cos θ.
func (k *bandWork) lengthen(length, gravity float64) {
	for d, alive := range k.alive {
		if !alive {
			continue
		}
		kept, reach := decay(k.drag[d], length)
		twice := 2 * reach * gravity
		k.kept[d], k.reach[d] = kept, twice
		k.bySin[d] = twice * (k.cos[d] + k.friction[d]*k.sin[d])
		k.byCos[d] = twice * (k.sin[d] - k.friction[d]*k.cos[d])
	}
}

// downhill slides over a piece in the fall line.
func (k *bandWork) downhill(p Piece) {
	sin, cos := math.Sincos(p.Slope)
	w := k.w
	n := len(w)
	kept, bySin, byCos, best := k.kept[:n], k.bySin[:n], k.byCos[:n], k.best[:n]
	for d := range w {
		v := kept[d]*w[d] + (sin*bySin[d] + cos*byCos[d])
		w[d] = v
		if v > best[d] {
			best[d] = v
		} else if v <= 0 && k.alive[d] {
			k.halted = append(k.halted, d)
		}
	}
}

// anywhere slides over any other piece.
func (k *bandWork) anywhere(p Piece, b Band) {
	for d := range k.w {
		if !k.alive[d] {
			continue
		}
		net := b.drive(p, k.friction[d], math.Atan2(k.sin[d], k.cos[d])) / b.Gravity
		v := k.kept[d]*k.w[d] + k.reach[d]*net
		k.w[d] = v
		if v > k.best[d] {
			k.best[d] = v
		} else if v <= 0 {
			k.halted = append(k.halted, d)
		}
	}
}

// drive is the acceleration by gravity and friction of one draw.
func (b Band) drive(p Piece, friction, miss float64) float64 {
	p.Friction += friction
	p.Slope += miss
	return Conditions{Gravity: b.Gravity, Edges: b.Edges}.Drive(p)
}

// rest returns how far along a piece a draw came to rest.
func (k *bandWork) rest(d int, p Piece, b Band) float64 {
	a := b.drive(p, k.friction[d], math.Atan2(k.sin[d], k.cos[d]))
	kept, reach := decay(k.drag[d], p.Length)
	before := (k.w[d] - 2*reach*a) / kept // speed squared at the beginning
	if a >= 0 || before <= 0 {
		return 0
	}
	x, _ := brake(-a, k.drag[d], math.Sqrt(before))
	return min(x, p.Length)
}

// runOut returns what a stop needs after the last piece.
func (k *bandWork) runOut(b Band, react, brakes []float64) (Deciles, float64) {
	var need []float64
	sin, cos := math.Sincos(b.RunOut.Slope)
	endless := 0
	for d, w := range k.w {
		slow := b.Gravity * (brakes[d]*cos - sin)
		if slow <= 0 && w > 0 {
			endless++
			continue
		}
		v := math.Sqrt(max(w, 0))
		x := 0.0
		if v > 0 {
			x, _ = brake(slow, k.drag[d], v)
		}
		need = append(need, v*react[d]+x)
	}
	if len(need) == 0 {
		return Deciles{}, 1
	}
	return deciles(need), float64(endless) / float64(len(k.w))
}

// rank is the place, from 0, of the value below which a share of tenths of n
// values lies: the nearest rank.
func rank(n, tenths int) int { return max((n*tenths+9)/10-1, 0) }

// deciles sorts values and picks.
func deciles(values []float64) Deciles {
	slices.Sort(values)
	n := len(values)
	return Deciles{values[rank(n, 1)], values[rank(n, 5)], values[rank(n, 9)]}
}

// picker finds deciles without sorting everything: it counts values in equal
// bins, and sorts only the bins that hold the wanted ranks.
type picker struct {
	bins  []int
	small [3][]float64
}

const binsOfPicker = 1024

func newPicker() picker { return picker{bins: make([]int, binsOfPicker)} }

// speeds returns the deciles of the roots of values.
func (p *picker) speeds(w []float64) Deciles {
	low, high := w[0], w[0]
	for _, v := range w {
		if v < low {
			low = v
		} else if v > high {
			high = v
		}
	}
	if low == high {
		v := math.Sqrt(max(low, 0))
		return Deciles{v, v, v}
	}
	clear(p.bins)
	scale := (binsOfPicker - 1) / (high - low)
	for _, v := range w {
		p.bins[int((v-low)*scale)]++
	}
	var want, bin [3]int
	for i, tenths := range [3]int{1, 5, 9} {
		want[i] = rank(len(w), tenths)
		for want[i] >= p.bins[bin[i]] {
			want[i] -= p.bins[bin[i]]
			bin[i]++
		}
		p.small[i] = p.small[i][:0]
	}
	for _, v := range w {
		at := int((v - low) * scale)
		if at == bin[0] {
			p.small[0] = append(p.small[0], v)
		}
		if at == bin[1] {
			p.small[1] = append(p.small[1], v)
		}
		if at == bin[2] {
			p.small[2] = append(p.small[2], v)
		}
	}
	root := func(i int) float64 {
		slices.Sort(p.small[i])
		return math.Sqrt(max(p.small[i][want[i]], 0))
	}
	return Deciles{root(0), root(1), root(2)}
}
