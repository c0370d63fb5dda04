package stance

import "math"

// Sizes of the linear programme. There are at most two skis, two runners and
// two frame runners.
const (
	maxContacts = 6
	maxEnds     = 2 * maxContacts
	maxRows     = 3 + maxContacts + 1 + 2 // weight, two moments, totals, arms, two sides of a given share
	maxCols     = maxEnds + maxRows
)

// Guards of the arithmetic. Forces are shares of the weight and lengths are
// scaled to the size of the stance, so the numbers are all of order one.
const (
	pivotLeast = 1e-9  // a smaller pivot is rounding
	priceLeast = 1e-11 // a smaller reduced cost is rounding
	tieWidth   = 1e-12 // ratios closer than this are equal
	driftMost  = 1e-10 // a larger residual has the tableau built again
	heldWithin = 1e-9  // share of the weight that may be missing in a stance that is held
	stallMost  = 8     // steps without gain before the order of columns decides alone
	stepsMost  = 400   // never met; Bland's rule ends long before
)

// tableau is a linear programme with bounded variables in a fixed amount of memory.
// Its columns are the end forces followed by one logical variable for each
// row. Row i reads
//
//	logical_i + sum over ends of a[i][end] x[end] = rhs[i]
//
// so the logicals are a basis to start from, and they stand for what is
// bounded or sought: the part of the weight not carried, the moments, the total
// of a contact, the total of the arms, the two sides of a given share.
//
// The method is the primal simplex method with bounds on a dense tableau. It
// takes the column of the largest reduced cost, and after a few steps without
// gain the first one (Bland's rule), so it always ends. The values are taken
// from the original rows at the end, with one step of refinement, and not from
// the tableau.
type tableau struct {
	rows, ends, cols int

	a      [maxRows][maxEnds]float64
	rhs    [maxRows]float64
	lo, hi [maxCols]float64

	t     [maxRows][maxCols]float64 // inverse of the basis times all columns
	x     [maxCols]float64
	price [maxCols]float64
	basis [maxRows]int
	in    [maxCols]int8 // row in which a column is basic, or one of the two below
}

const (
	atLow  int8 = -1
	atHigh int8 = -2
)

// logical returns the column of a row's logical variable.
func (p *tableau) logical(row int) int { return p.ends + row }

// reset empties the programme and gives it its size.
func (p *tableau) reset(rows, ends int) {
	p.rows, p.ends, p.cols = rows, ends, ends+rows
	for i := range rows {
		p.rhs[i] = 0
		for j := range ends {
			p.a[i][j] = 0
		}
	}
	for j := range p.cols {
		p.lo[j], p.hi[j] = 0, math.Inf(1)
	}
}

// start takes the logicals as the basis and every end force as zero.
func (p *tableau) start() {
	for i := range p.rows {
		row := &p.t[i]
		copy(row[:p.ends], p.a[i][:p.ends])
		for j := p.ends; j < p.cols; j++ {
			row[j] = 0
		}
		row[p.logical(i)] = 1
		p.basis[i] = p.logical(i)
		p.in[p.logical(i)] = int8(i)
		p.x[p.logical(i)] = p.rhs[i]
	}
	for j := range p.ends {
		p.in[j], p.x[j] = atLow, 0
	}
}

// minimise finds the least sum of cost times value over all columns, from the
// basis at hand, which must be feasible.
func (p *tableau) minimise(cost *[maxCols]float64) {
	for range 3 { // a second and third time only where rounding has drifted
		p.optimise(cost)
		if p.settle() <= driftMost {
			return
		}
		p.rebuild()
	}
}

func (p *tableau) optimise(cost *[maxCols]float64) {
	p.setPrices(cost)
	stalled := 0
	for range stepsMost {
		j := p.entering(stalled > stallMost)
		if j < 0 {
			return
		}
		if p.step(j, stalled > stallMost) > tieWidth {
			stalled = 0
		} else {
			stalled++
		}
	}
}

// setPrices computes the reduced costs.
func (p *tableau) setPrices(cost *[maxCols]float64) {
	for j := range p.cols {
		p.price[j] = cost[j]
	}
	for i := range p.rows {
		b := p.basis[i]
		c := cost[b]
		if c == 0 {
			continue
		}
		for j := range p.cols {
			p.price[j] -= c * p.t[i][j]
		}
		p.price[b] = 0
	}
}

// entering returns the column that gains, or -1 where none does.
func (p *tableau) entering(first bool) int {
	best, most := -1, priceLeast
	for j := range p.cols {
		gain := 0.0
		switch p.in[j] {
		case atLow:
			gain = -p.price[j]
		case atHigh:
			gain = p.price[j]
		default:
			continue
		}
		if gain > most && p.hi[j] > p.lo[j] {
			if first {
				return j
			}
			best, most = j, gain
		}
	}
	return best
}

// step moves column j from its bound as far as the bounds allow and returns
// how far it went.
func (p *tableau) step(j int, first bool) float64 {
	way := 1.0
	if p.in[j] == atHigh {
		way = -1
	}
	far, leave, size := p.hi[j]-p.lo[j], -1, 0.0
	for i := range p.rows {
		slope := -way * p.t[i][j] // of the basic variable of this row
		b := p.basis[i]
		limit := 0.0
		switch {
		case slope < -pivotLeast:
			limit = (p.x[b] - p.lo[b]) / -slope
		case slope > pivotLeast:
			limit = (p.hi[b] - p.x[b]) / slope
		default:
			continue
		}
		limit = max(limit, 0)
		better := limit < far-tieWidth
		if !better && leave >= 0 && limit <= far+tieWidth {
			if first {
				better = b < p.basis[leave]
			} else {
				better = math.Abs(slope) > size
			}
		}
		if better {
			far, leave, size = min(limit, far), i, math.Abs(slope)
		}
	}
	for i := range p.rows {
		p.x[p.basis[i]] -= way * far * p.t[i][j]
	}
	if leave < 0 { // the column's own other bound comes first
		if way > 0 {
			p.in[j], p.x[j] = atHigh, p.hi[j]
		} else {
			p.in[j], p.x[j] = atLow, p.lo[j]
		}
		return far
	}
	p.x[j] += way * far
	out := p.basis[leave]
	if -way*p.t[leave][j] < 0 {
		p.in[out], p.x[out] = atLow, p.lo[out]
	} else {
		p.in[out], p.x[out] = atHigh, p.hi[out]
	}
	p.pivot(leave, j)
	return far
}

// pivot makes column j basic in a row.
func (p *tableau) pivot(leave, j int) {
	pr := &p.t[leave]
	inv := 1 / pr[j]
	for k := range p.cols {
		pr[k] *= inv
	}
	pr[j] = 1
	for i := range p.rows {
		if f := p.t[i][j]; i != leave && f != 0 {
			row := &p.t[i]
			for k := range p.cols {
				row[k] -= f * pr[k]
			}
			row[j] = 0
		}
	}
	if f := p.price[j]; f != 0 {
		for k := range p.cols {
			p.price[k] -= f * pr[k]
		}
		p.price[j] = 0
	}
	p.basis[leave], p.in[j] = j, int8(leave)
}

// settle computes the basic values from the original rows, through the inverse
// that stands under the logicals, refines them once, and returns the largest
// residual that was left before the refinement.
func (p *tableau) settle() float64 {
	var r [maxRows]float64
	for i := range p.rows {
		p.x[p.basis[i]] = 0
	}
	worst := 0.0
	for pass := range 2 {
		p.residual(&r)
		if pass == 1 {
			for i := range p.rows {
				worst = max(worst, math.Abs(r[i]))
			}
		}
		for i := range p.rows {
			sum := 0.0
			for k := range p.rows {
				sum += p.t[i][p.logical(k)] * r[k]
			}
			p.x[p.basis[i]] += sum
		}
	}
	return worst
}

// residual writes what each row lacks at the present values.
func (p *tableau) residual(r *[maxRows]float64) {
	for i := range p.rows {
		sum := p.rhs[i] - p.x[p.logical(i)]
		for j := range p.ends {
			sum -= p.a[i][j] * p.x[j]
		}
		r[i] = sum
	}
}

// rebuild makes the tableau of the present basis anew from the original rows.
func (p *tableau) rebuild() {
	basic := p.basis
	for i := range p.rows {
		copy(p.t[i][:p.ends], p.a[i][:p.ends])
		for j := p.ends; j < p.cols; j++ {
			p.t[i][j] = 0
		}
		p.t[i][p.logical(i)] = 1
	}
	var done [maxRows]bool
	for _, b := range basic[:p.rows] {
		best := -1
		for i := range p.rows {
			if !done[i] && (best < 0 || math.Abs(p.t[i][b]) > math.Abs(p.t[best][b])) {
				best = i
			}
		}
		done[best] = true
		p.pivot(best, b)
	}
	p.settle()
}
