package slope

import (
	"math"
	"sort"

	"firnhand/core/entry"
)

// Prior is what is held about the friction of a glide before anything was
// timed: every value between two ends is as likely as any other, and each end
// is as soft as its standard deviation.
type Prior struct {
	Low, LowSD   float64
	High, HighSD float64
}

// density returns the chance of a friction, to a constant factor.
func (p Prior) density(mu float64) float64 {
	if mu < 0 {
		return 0
	}
	return soft((mu-p.Low)/p.LowSD) * soft((p.High-mu)/p.HighSD)
}

// soft is the normal distribution function; a step where the argument is not
// finite, as at an end without a standard deviation.
func soft(z float64) float64 {
	if math.IsNaN(z) {
		return 1
	}
	return math.Erfc(-z/math.Sqrt2) / 2
}

// spread is how many standard deviations are looked at; what lies beyond has
// a chance below one in ten thousand million.
const spread = 6.5 // exact: a limit of computation

// support returns the least and the most friction that the prior allows.
func (p Prior) support() (low, high float64) {
	return max(p.Low-spread*p.LowSD, 0), p.High + spread*p.HighSD
}

// Timed is what was timed on one part of one slope: glides straight down the
// fall line over one length.
type Timed struct {
	Slope   float64   // θ as measured, rad
	SlopeSD float64   // its standard deviation; the same miss holds for all glides here
	Length  float64   // m on the snow
	From    float64   // speed at the beginning, m/s; 0 from rest
	Times   []float64 // s, of glides that came to the end
	Short   int       // glides that came to rest before the end, with no times beside them
	Mass    float64   // kg of who slid here, with gear; 0 for that of [Glides]
}

// Glides is everything timed today with one skier.
type Glides struct {
	Timed    []Timed
	WatchSD  float64 // standard deviation of a time by the stopwatch, s
	DragArea Span    // m², every value as likely
	Density  float64 // kg/m³
	Mass     float64 // kg, with gear
	Gravity  float64
	Prior    Prior
}

// Posterior is what is held about friction after the glides. It is a
// [Chance].
type Posterior struct {
	Mu      []float64 // friction, rising
	Density []float64 // chance of each for each unit of friction; its integral is 1
	Mean    float64
	SD      float64
	// Edge is the share of the evidence at the outermost standard deviations
	// of the prior: near 1 the glides point outside what was published.
	Edge float64

	below []float64 // chance below each
}

// errNoFit says that no friction the prior allows explains the glides.
var errNoFit = entry.Refuse("no_friction_fits", "No friction that was published fits these times on this slope. Check the slope, the length, the start and the unit of the times.")

// Grids over friction: a first one to see where the chance lies, and a finer
// one there.
const (
	coarse = 101 // exact: numbers of nodes
	fine   = 121 // exact
)

// Friction returns the posterior of the friction of the glide, by quadrature
// over the miss of each slope and over the drag area.
func (g Glides) Friction() (Posterior, error) {
	nodes := g.prepare()
	if nodes == nil {
		return Posterior{}, errNoFit
	}
	low, high := g.reach(nodes)
	if !(low < high) {
		return Posterior{}, errNoFit
	}
	mu, p := g.on(nodes, low, high, coarse)
	top := 0.0
	for _, v := range p {
		top = max(top, v)
	}
	if !(top > 0) {
		return Posterior{}, errNoFit
	}
	const nothing = 1e-10
	first, last := 0, coarse-1
	for p[first] < top*nothing {
		first++
	}
	for p[last] < top*nothing {
		last--
	}
	mu, p = g.on(nodes, mu[max(first-1, 0)], mu[min(last+1, coarse-1)], fine)
	return posteriorOf(mu, p, g.Prior), nil
}

// reach returns the frictions between which both the prior and every time
// leave a chance.
func (g Glides) reach(nodes []node) (low, high float64) {
	low, high = g.Prior.support()
	for i, t := range g.Timed {
		if len(t.Times) == 0 {
			for _, n := range nodes {
				low = max(low, g.frictionAt(t.Slope-spread*t.SlopeSD, n.reads[i].reaches))
			}
			continue
		}
		least, most := math.Inf(1), math.Inf(-1)
		for _, n := range nodes {
			r := n.reads[i]
			least = min(least, g.frictionAt(t.Slope-spread*t.SlopeSD, r.high))
			most = max(most, g.frictionAt(t.Slope+spread*t.SlopeSD, r.low))
		}
		low, high = max(low, least), min(high, most)
	}
	return low, high
}

// frictionAt returns the friction at which a slope gives an acceleration.
func (g Glides) frictionAt(theta, a float64) float64 {
	sin, cos := math.Sincos(theta)
	return (sin - a/g.Gravity) / cos
}

func posteriorOf(mu, p []float64, prior Prior) Posterior {
	out := Posterior{Mu: mu, Density: p, below: make([]float64, len(mu))}
	for i := 1; i < len(mu); i++ {
		out.below[i] = out.below[i-1] + (mu[i]-mu[i-1])*(p[i]+p[i-1])/2
	}
	all := out.below[len(mu)-1]
	var m1, m2, edge float64
	for i := range mu {
		out.below[i] /= all
		p[i] /= all
		width := 0.0
		if i > 0 {
			width += (mu[i] - mu[i-1]) / 2
		}
		if i+1 < len(mu) {
			width += (mu[i+1] - mu[i]) / 2
		}
		share := width * p[i]
		m1 += share * mu[i]
		m2 += share * mu[i] * mu[i]
		if mu[i] < prior.Low || mu[i] > prior.High {
			edge += share
		}
	}
	out.Mean, out.SD, out.Edge = m1, math.Sqrt(max(m2-m1*m1, 0)), edge
	return out
}

// Quantile returns the friction below which a share of the chance lies.
func (p Posterior) Quantile(share float64) float64 {
	n := len(p.Mu)
	i := min(max(sort.SearchFloat64s(p.below, share), 1), n-1)
	left := share - p.below[i-1]
	width, a, b := p.Mu[i]-p.Mu[i-1], p.Density[i-1], p.Density[i]
	if left <= 0 {
		return p.Mu[i-1]
	}
	// The density is a straight line between nodes: left = a x + (b-a) x²/(2 width).
	x := 2 * left / (a + math.Sqrt(max(a*a+2*(b-a)*left/width, 0)))
	return p.Mu[i-1] + min(x, width)
}

// Interval returns the middle part of the chance: 0.9 for from the 5th to the
// 95th percentile.
func (p Posterior) Interval(share float64) (low, high float64) {
	return p.Quantile((1 - share) / 2), p.Quantile((1 + share) / 2)
}

// Within returns the middle of the chance with its interval.
func (p Posterior) Within(share float64) Span {
	low, high := p.Interval(share)
	return Span{p.Quantile(0.5), low, high}
}

// node is one drag area of the quadrature.
type node struct {
	weight float64
	reads  []reading
}

// reading is what one [Timed] says at one drag area.
type reading struct {
	Timed
	drag    float64 // k
	mean    float64 // of the times
	sd      float64 // of that mean
	low     float64 // accelerations between which the times have any chance
	high    float64
	narrow  float64 // standard deviation of the acceleration where it is least
	reaches float64 // acceleration at which the end is just reached
}

// legendre holds Gauss and Legendre's nodes on -1 to 1 and their weights, of
// order three: exact for a drag that enters to the fifth power.
var legendre = [3][2]float64{{-math.Sqrt(3. / 5), 5. / 9}, {0, 8. / 9}, {math.Sqrt(3. / 5), 5. / 9}} // exact

// prepare finds, for each drag area of the quadrature, where each time puts
// the acceleration; nil where a time cannot come from any.
func (g Glides) prepare() []node {
	var nodes []node
	for _, l := range legendre {
		at := g.DragArea.Low + (1+l[0])/2*(g.DragArea.High-g.DragArea.Low)
		n := node{weight: l[1] / 2}
		if g.DragArea.Low == g.DragArea.High {
			n.weight = 1
		}
		for _, t := range g.Timed {
			mass := t.Mass
			if mass == 0 {
				mass = g.Mass
			}
			r, ok := g.read(t, DragOf(g.Density, at, mass))
			if !ok {
				return nil
			}
			n.reads = append(n.reads, r)
		}
		nodes = append(nodes, n)
		if g.DragArea.Low == g.DragArea.High {
			break
		}
	}
	return nodes
}

func (g Glides) read(t Timed, drag float64) (reading, bool) {
	r := reading{Timed: t, drag: drag}
	kept, reach := decay(drag, t.Length)
	r.reaches = -t.From * t.From * kept / (2 * reach)
	n := float64(len(t.Times))
	if n == 0 {
		return r, true
	}
	for _, v := range t.Times {
		r.mean += v / n
	}
	r.sd = g.WatchSD / math.Sqrt(n)
	takes := func(a float64) float64 { return Motion{Drive: a, Drag: drag}.Over(t.From, t.Length).Time }
	// The steepest slope there is, and the quickest time it allows.
	most := g.Gravity
	quickest := takes(most)
	if r.mean+spread*r.sd < quickest {
		return r, false
	}
	drive := func(time float64) float64 {
		if time <= quickest {
			return most
		}
		low, high := r.reaches, most
		for range 60 {
			middle := (low + high) / 2
			if middle <= low || middle >= high {
				break
			}
			if a := (Motion{Drive: middle, Drag: drag}).Over(t.From, t.Length); a.Stopped || a.Time > time {
				low = middle
			} else {
				high = middle
			}
		}
		return high
	}
	r.low, r.high = drive(r.mean+spread*r.sd), drive(r.mean-spread*r.sd)
	// The slower the glide, the less the acceleration changes with the time.
	r.narrow = min(drive(r.mean+(spread-1)*r.sd)-r.low, (r.high-r.low)/(2*spread))
	return r, true
}

// on returns a grid over friction and the posterior on it, to a constant
// factor.
func (g Glides) on(nodes []node, low, high float64, count int) (mu, p []float64) {
	mu, p = make([]float64, count), make([]float64, count)
	for i := range mu {
		mu[i] = low + (high-low)*float64(i)/float64(count-1)
		prior := g.Prior.density(mu[i])
		if prior == 0 {
			continue
		}
		for _, n := range nodes {
			like := n.weight
			for _, r := range n.reads {
				like *= g.likelihood(mu[i], r)
			}
			p[i] += prior * like
		}
	}
	return mu, p
}

// likelihood returns the chance of what was timed, to a constant factor,
// averaged over the miss of the slope.
func (g Glides) likelihood(mu float64, r reading) float64 {
	if len(r.Times) == 0 {
		return g.shorts(mu, r)
	}
	chance := func(miss float64) float64 {
		sin, cos := math.Sincos(r.Slope + miss)
		a := Motion{Drive: g.Gravity * (sin - mu*cos), Drag: r.drag}.Over(r.From, r.Length)
		if a.Stopped {
			return 0
		}
		z := (a.Time - r.mean) / r.sd
		return math.Exp(-z * z / 2)
	}
	if r.SlopeSD == 0 {
		return chance(0)
	}
	from := max(g.miss(mu, r, r.low), -spread*r.SlopeSD)
	to := min(g.miss(mu, r, r.high), spread*r.SlopeSD)
	if from >= to {
		return 0
	}
	// The trapezoid rule is as good as exact for a hump that ends at zero on
	// both sides, if its step is below the width of the hump.
	width := 1 / math.Hypot(1/r.SlopeSD, g.Gravity/r.narrow)
	const finest = 4000 // exact: a limit of computation
	// exact: a step of 0.7 widths leaves less than 1e-14
	steps := int(min(max(math.Ceil(1.4*(to-from)/width), 8), finest))
	sum := 0.0
	for i := 1; i < steps; i++ {
		miss := from + (to-from)*float64(i)/float64(steps)
		z := miss / r.SlopeSD
		sum += chance(miss) * math.Exp(-z*z/2)
	}
	return sum * (to - from) / float64(steps) / (r.SlopeSD * math.Sqrt(2*math.Pi))
}

// miss returns by how much the slope must have been missed for a skier with a
// friction to have an acceleration: sin(θ + miss) - μ cos(θ + miss) = a/g.
func (g Glides) miss(mu float64, r reading, a float64) float64 {
	s := a / (g.Gravity * math.Hypot(1, mu))
	return math.Asin(min(max(s, -1), 1)) + math.Atan(mu) - r.Slope
}

// shorts returns the chance that the glides here come to rest before the end.
func (g Glides) shorts(mu float64, r reading) float64 {
	limit := g.miss(mu, r, r.reaches)
	if r.SlopeSD == 0 {
		if limit >= 0 {
			return 1
		}
		return 0
	}
	return soft(limit / r.SlopeSD)
}
