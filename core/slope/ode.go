package slope

import "math"

// state is where a skier is on an arc: metres along it and metres a second.
type state struct{ s, v float64 }

func (y state) add(d state, h float64) state { return state{y.s + h*d.s, y.v + h*d.v} }

// rates is the right-hand side of an equation of motion that does not depend
// on time itself.
type rates func(state) state

// columns is how far the extrapolation goes: to order 2 columns.
const columns = 8

// solver follows an equation of motion by extrapolation of the modified
// midpoint rule (Gragg, Bulirsch and Stoer), with the step and the order that
// the error asks for.
type solver struct {
	f       rates
	allowed float64 // error of a step, relative and in m or m/s
	h       float64 // step to try next, s
	longest float64 // longest step, s
}

// midpoint goes over a step of h in n parts by the modified midpoint rule.
func (o *solver) midpoint(y, d0 state, h float64, n int) state {
	part := h / float64(n)
	before, now := y, y.add(d0, part)
	for range n - 1 {
		before, now = now, before.add(o.f(now), 2*part)
	}
	return state{(now.s + before.s + part*o.f(now).s) / 2, (now.v + before.v + part*o.f(now).v) / 2}
}

// try goes over a step of h. It returns the new state and how large the error
// is against what is allowed, and in which column it was judged.
func (o *solver) try(y state, h float64) (to state, size float64, column int) {
	d0 := o.f(y)
	var row, last [columns]state
	for j := range columns {
		row[0] = o.midpoint(y, d0, h, 2*(j+1))
		for i := 1; i <= j; i++ {
			// Parts of step j against those of step j-i, squared.
			q := float64((j+1)*(j+1)) / float64((j+1-i)*(j+1-i))
			row[i] = state{row[i-1].s + (row[i-1].s-last[i-1].s)/(q-1), row[i-1].v + (row[i-1].v-last[i-1].v)/(q-1)}
		}
		if j >= 2 {
			size = max(o.size(row[j].s, row[j-1].s, y.s), o.size(row[j].v, row[j-1].v, y.v))
			if size <= 1 {
				return row[j], size, j
			}
		}
		last = row
	}
	return last[columns-1], size, columns - 1
}

func (o *solver) size(a, b, start float64) float64 {
	e := math.Abs(a-b) / (o.allowed * (1 + max(math.Abs(a), math.Abs(start))))
	if math.IsNaN(e) {
		return math.Inf(1)
	}
	return e
}

// step goes one step of at most most seconds and returns how long it was.
func (o *solver) step(y state, most float64) (to state, h float64) {
	const smallest = 1e-9
	for {
		h = min(o.h, o.longest, most)
		to, size, column := o.try(y, h)
		// An error of column j shrinks with the step to the power 2j + 1.
		scale := 4.0 // exact: grow at most so much at once
		if size > 0 {
			scale = 0.9 * math.Pow(size, -1/float64(2*column+1)) // exact: a margin
		}
		o.h = h * min(max(scale, 0.1), 4)
		if size <= 1 || h <= smallest {
			return to, h
		}
	}
}

// reach goes over a span of h seconds exactly.
func (o *solver) reach(y state, h float64) state {
	saved := o.h
	for h > 0 {
		var used float64
		y, used = o.step(y, h)
		h -= used
	}
	o.h = saved
	return y
}

// find returns the time after y, within a step of h, at which g crosses zero,
// and the state there. The signs of g at the two ends differ. slope is the
// rate of change of g.
func (o *solver) find(y state, h float64, g, slope func(state) float64) (float64, state) {
	low, high := 0.0, h
	rising := g(y) < 0
	t := h / 2
	to := y
	for range 100 {
		to = o.reach(y, t)
		miss := g(to)
		if (miss > 0) == rising {
			high = t
		} else {
			low = t
		}
		next := t - miss/slope(to)
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if miss == 0 || math.Abs(next-t) <= 1e-15*(1+t) || high-low <= 1e-15 {
			break
		}
		t = next
	}
	return t, to
}
