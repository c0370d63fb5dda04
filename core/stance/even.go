package stance

import "math"

// A second way to close the balance: where every support gives alike, the
// forces are those with the least sum of squares among all that balance, none
// of them a pull and all within their limits. A single point counts as both
// ends of a line in one place.

// even finds those forces for the place in the middle of where the weight may
// act. It starts from any forces that balance and moves by active sets: go to
// the least sum within the limits that bind, stop at the next limit and let it
// bind too, and let go of one that holds the forces back. It is not ok where
// the stance is not held.
type even struct {
	x    [maxEnds]float64 // forces, shares of the weight
	stay [maxEnds]int8    // 0 free, 1 at no force, 2 at the most of a single point
	bind [maxRows]int8    // 0 free, 1 at its low limit, 2 at its high one, 3 always
}

// Even writes the end forces that share the load evenly, in the order of
// Forces. It is not ok where the stance is not held.
func (s *Solver) Even(out *[maxEnds]float64) (ok bool) {
	if !s.Held() {
		return false
	}
	l := &s.p
	var e even
	copy(e.x[:l.ends], l.x[:l.ends])
	for i := range l.rows {
		if l.lo[l.logical(i)] == l.hi[l.logical(i)] || i == rowX || i == rowY {
			e.bind[i] = 3
		}
	}
	for step := range stepsMost {
		var target [maxEnds]float64
		var pull [maxRows]float64
		e.least(s, &target, &pull)
		if !e.advance(s, &target) {
			continue // stopped at a limit, which binds now
		}
		if !e.release(s, &pull, step > stepsMost/2) {
			s.spread(&e.x, out)
			return true
		}
	}
	return false
}

func (s *Solver) spread(x, out *[maxEnds]float64) {
	for i := range s.n {
		out[2*i], out[2*i+1] = x[s.first[i]], 0
		if s.count[i] == 2 {
			out[2*i+1] = x[s.first[i]+1]
		}
	}
}

// bound returns the limit at which a row binds.
func (e *even) bound(s *Solver, row int) float64 {
	l := &s.p
	lo, hi := l.lo[l.logical(row)], l.hi[l.logical(row)]
	switch {
	case row == rowX || row == rowY:
		return 0 // the middle of where the weight may act
	case e.bind[row] == 2:
		return hi
	}
	return lo
}

// softness writes how much each end gives, against that of one end of a line: a
// point is two springs in one place, and its end counts half.
func (s *Solver) softness(soft *[maxEnds]float64) {
	for i := range s.n {
		j := s.first[i]
		if soft[j] = 2; s.count[i] == 2 {
			soft[j], soft[j+1] = 1, 1
		}
	}
}

// least finds the forces of the least sum of squares that meet the binding
// rows, and the pull of each of those rows.
func (e *even) least(s *Solver, target *[maxEnds]float64, pull *[maxRows]float64) {
	l := &s.p
	var soft [maxEnds]float64
	s.softness(&soft)
	for j := range l.ends {
		if target[j] = 0; e.stay[j] != 0 {
			target[j], soft[j] = e.x[j], 0
		}
	}
	var m [maxRows][maxRows + 1]float64
	for i := range l.rows {
		if e.bind[i] == 0 {
			continue
		}
		for k := range l.rows {
			if e.bind[k] == 0 {
				continue
			}
			for j := range l.ends {
				m[i][k] += l.a[i][j] * soft[j] * l.a[k][j]
			}
		}
		m[i][maxRows] = l.rhs[i] - e.bound(s, i)
		for j := range l.ends {
			m[i][maxRows] -= l.a[i][j] * target[j] // of the ends that stay
		}
	}
	solveSymmetric(&m, l.rows, pull)
	for j := range l.ends {
		for i := range l.rows {
			target[j] += soft[j] * l.a[i][j] * pull[i]
		}
	}
}

// solveSymmetric solves a system that may lack rank, by elimination with
// pivots from the diagonal; unknowns without a pivot are zero.
func solveSymmetric(m *[maxRows][maxRows + 1]float64, n int, x *[maxRows]float64) {
	var order [maxRows]int
	var used [maxRows]bool
	rank := 0
	for range n {
		best, size := -1, 1e-12
		for i := range n {
			if !used[i] && m[i][i] > size {
				best, size = i, m[i][i]
			}
		}
		if best < 0 {
			break
		}
		used[best] = true
		order[rank] = best
		rank++
		for i := range n {
			if i == best || m[i][best] == 0 {
				continue
			}
			f := m[i][best] / m[best][best]
			for k := range n {
				m[i][k] -= f * m[best][k]
			}
			m[i][best] = 0
			m[i][maxRows] -= f * m[best][maxRows]
		}
	}
	*x = [maxRows]float64{}
	for _, i := range order[:rank] {
		x[i] = m[i][maxRows] / m[i][i]
	}
}

// advance goes towards the target and tells whether it was reached. Where a
// limit comes first it binds from then on.
func (e *even) advance(s *Solver, target *[maxEnds]float64) bool {
	l := &s.p
	far, end, row, kind := 1.0, -1, -1, int8(0)
	for j := range l.ends {
		switch d := target[j] - e.x[j]; {
		case e.stay[j] != 0:
		case d < -tieWidth:
			if k := max(0, -e.x[j]/d); k < far {
				far, end, kind = k, j, 1
			}
		case d > tieWidth && !math.IsInf(l.hi[j], 1):
			if k := max(0, (l.hi[j]-e.x[j])/d); k < far {
				far, end, kind = k, j, 2
			}
		}
	}
	for i := range l.rows {
		if e.bind[i] != 0 {
			continue
		}
		now, then := l.rhs[i], l.rhs[i]
		for j := range l.ends {
			now -= l.a[i][j] * e.x[j]
			then -= l.a[i][j] * target[j]
		}
		lo, hi := l.lo[l.logical(i)], l.hi[l.logical(i)]
		switch d := then - now; {
		case d < -tieWidth && !math.IsInf(lo, -1):
			if k := max(0, (lo-now)/d); k < far {
				far, end, row, kind = k, -1, i, 1
			}
		case d > tieWidth && !math.IsInf(hi, 1):
			if k := max(0, (hi-now)/d); k < far {
				far, end, row, kind = k, -1, i, 2
			}
		}
	}
	for j := range l.ends {
		e.x[j] += far * (target[j] - e.x[j])
	}
	switch {
	case end >= 0:
		if e.stay[end], e.x[end] = kind, 0; kind == 2 {
			e.x[end] = l.hi[end]
		}
	case row >= 0:
		e.bind[row] = kind
	default:
		e.x = *target
		return true
	}
	return false
}

// release lets go of the limit that holds the forces back most, or of the
// first one, and tells whether there was one.
func (e *even) release(s *Solver, pull *[maxRows]float64, first bool) bool {
	l := &s.p
	var soft [maxEnds]float64
	s.softness(&soft)
	end, row, most := -1, -1, priceLeast
	for j := range l.ends {
		if e.stay[j] == 0 || l.hi[j] == 0 {
			continue
		}
		gain := -e.x[j] / soft[j] // of letting the force rise
		for i := range l.rows {
			gain += l.a[i][j] * pull[i]
		}
		if e.stay[j] == 2 {
			gain = -gain
		}
		if gain > most {
			end, most = j, gain
			if first {
				break
			}
		}
	}
	for i := range l.rows {
		gain := 0.0
		switch e.bind[i] {
		case 1:
			gain = pull[i] // a low limit of the logical is a high one of the forces
		case 2:
			gain = -pull[i]
		}
		if gain > most && !(first && end >= 0) {
			end, row, most = -1, i, gain
			if first {
				break
			}
		}
	}
	switch {
	case end >= 0:
		e.stay[end] = 0
	case row >= 0:
		e.bind[row] = 0
	default:
		return false
	}
	return true
}
