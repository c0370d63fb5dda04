package stance

import (
	"math"
	"math/rand/v2"

	"firnhand/core/finding"
)

// randomProblem makes a stance as one meets them: one or two skis, none, one
// or two outriggers, or a slider; points or lines; limits of every kind; the
// weight mostly inside the supports, sometimes outside.
func randomProblem(r *rand.Rand) Problem {
	p := Problem{ArmsMost: math.Inf(1)}
	limit := func(most float64) float64 {
		switch r.IntN(5) {
		case 0, 1:
			return math.Inf(1)
		case 2:
			return most * r.Float64() * 0.2
		}
		return most * (0.2 + 0.8*r.Float64())
	}
	line := func(x, y float64, foot finding.Side, arm bool, most float64) {
		s := Support{RearX: x, RearY: y, FrontX: x, FrontY: y, Foot: foot, Arm: arm, Most: most}
		if r.IntN(4) > 0 {
			yaw := (r.Float64() - 0.5) * 0.3
			rear, front := 0.05+0.3*r.Float64(), 0.05+0.4*r.Float64()
			s.RearX, s.RearY = x-rear*math.Sin(yaw), y-rear*math.Cos(yaw)
			s.FrontX, s.FrontY = x+front*math.Sin(yaw), y+front*math.Cos(yaw)
		}
		p.Supports = append(p.Supports, s)
	}
	half := 0.08 + 0.15*r.Float64()
	skis := r.IntN(8)
	if skis != 0 {
		line(-half, 0.1*(r.Float64()-0.5), finding.Left, false, limit(1.5))
	}
	if skis != 1 {
		line(half, 0.1*(r.Float64()-0.5), finding.Right, false, limit(1.5))
	}
	out, ahead := 0.2+0.4*r.Float64(), 0.1+0.5*r.Float64()
	switch hands := r.IntN(6); {
	case hands < 4:
		if hands != 1 {
			line(-out, ahead, finding.NoSide, true, limit(0.5))
		}
		if hands != 2 {
			line(out, ahead+0.1*(r.Float64()-0.5), finding.NoSide, true, limit(0.5))
		}
		p.ArmsMost = limit(0.8)
	case hands == 4:
		line(-out, 0.1, finding.NoSide, true, math.Inf(1))
		line(out, 0.1, finding.NoSide, true, math.Inf(1))
		p.ArmsMost = limit(0.5)
	}
	if skis > 1 && r.IntN(4) == 0 {
		share := 0.2 + 0.6*r.Float64()
		wide := 0.0
		if r.IntN(2) == 0 {
			wide = 0.1 * r.Float64()
		}
		p.HasShare, p.Share = true, [2]float64{max(0, share-wide), min(1, share+wide)}
	}
	// Half of the time the weight acts where loads within the limits put it, so
	// that about half of the stances are held.
	x, y := (r.Float64()-0.5)*0.5, r.Float64()*0.5-0.12
	if r.IntN(8) > 0 {
		var at [3]float64
		for _, c := range p.Supports {
			load := r.Float64() * min(c.Most, 1)
			k := r.Float64()
			at[0] += load
			at[1] += load * (k*c.RearX + (1-k)*c.FrontX)
			at[2] += load * (k*c.RearY + (1-k)*c.FrontY)
		}
		if at[0] > 0 {
			x, y = at[1]/at[0], at[2]/at[0]
		}
	}
	p.X, p.Y = [2]float64{x, x}, [2]float64{y, y}
	if r.IntN(6) == 0 { // not known exactly
		w := 0.05 * r.Float64()
		p.X, p.Y = [2]float64{x - w, x + w}, [2]float64{y - w/2, y + w/2}
	}
	return p
}

// mirrored swaps left and right.
func (p Problem) mirrored() Problem {
	out := p
	out.Supports = nil
	for _, s := range p.Supports {
		s.RearX, s.FrontX, s.Foot = -s.RearX, -s.FrontX, s.Foot.Other()
		out.Supports = append(out.Supports, s)
	}
	out.X = [2]float64{-p.X[1], -p.X[0]}
	out.Share = [2]float64{1 - p.Share[1], 1 - p.Share[0]}
	return out
}
