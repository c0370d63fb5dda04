package stance

import (
	"math"

	"firnhand/core/finding"
)

// Support is one contact as the solver sees it: a line on the snow that two
// forces at its ends press on, or a single point where both ends are the same.
type Support struct {
	RearX, RearY   float64      // metres
	FrontX, FrontY float64      // metres
	Most           float64      // most it carries, as a share of the weight; +Inf for no limit
	Arm            bool         // loaded through an arm
	Foot           finding.Side // the side of a foot, for a given share; NoSide for others
}

// point tells whether both ends are the same.
func (s Support) point() bool { return s.RearX == s.FrontX && s.RearY == s.FrontY }

// Problem is the balance in shares of the weight. Its forces are normal to the
// snow, none below zero; they add up to the weight, and their moments to that
// of the weight, which acts where the line of apparent gravity through the
// centre of mass meets the snow.
type Problem struct {
	Supports []Support // at most six
	ArmsMost float64   // most all arms carry together; +Inf for no limit

	// X and Y hold the least and the most of where the weight acts, metres.
	// Both the same asks about one place.
	X, Y [2]float64

	// Share holds the least and the most share of the feet's load on the left
	// foot, where one is given.
	Share    [2]float64
	HasShare bool
}

// Solver finds what a stance can hold. The zero value is ready; it holds all
// its memory, so nothing is allocated while it works, and it may be used again
// for any number of problems. It is not safe for several goroutines at once.
type Solver struct {
	p      tableau
	cost   [maxCols]float64
	n      int              // supports
	first  [maxContacts]int // column of the rear end
	count  [maxContacts]int // 1 or 2 ends
	total  [maxContacts]int // row of the total; -1 where the end itself is the total
	arms   int              // row of all arms together
	scale  float64          // metres in one unit of length
	centre vec              // of the moments, metres
	lacks  float64          // part of the weight that could not be carried, 0 to 1
}

// Rows of the programme: the weight, the moments about both axes, then the
// totals.
const (
	rowWeight = iota
	rowX
	rowY
	rowsFixed
)

// Load takes a problem and finds whether its weight can be carried. The
// problem must be one that Analyse would accept; it is not checked again.
func (s *Solver) Load(p *Problem) { s.load(p, false) }

// load builds the programme. Where free is true the weight may act anywhere.
func (s *Solver) load(p *Problem, free bool) {
	s.n = min(len(p.Supports), maxContacts)
	ends, rows := 0, rowsFixed
	// Lengths count from the middle of where the weight may act, so that the
	// moments of an empty stance are a place to start from.
	cx, cy := (p.X[0]+p.X[1])/2, (p.Y[0]+p.Y[1])/2
	s.centre = vec{cx, cy}
	s.scale = 0
	for i := range s.n {
		c := &p.Supports[i]
		s.first[i], s.count[i], s.total[i] = ends, 2, rows
		if c.point() {
			s.count[i], s.total[i] = 1, -1
		} else {
			rows++
		}
		ends += s.count[i]
		s.scale = max(s.scale, math.Abs(c.RearX-cx), math.Abs(c.RearY-cy), math.Abs(c.FrontX-cx), math.Abs(c.FrontY-cy))
	}
	if s.scale == 0 {
		s.scale = 1
	}
	s.arms = rows
	rows++
	shares := rows
	if p.HasShare {
		rows += 2
	}
	l := &s.p
	l.reset(rows, ends)
	l.rhs[rowWeight] = 1
	l.hi[l.logical(rowWeight)] = 1
	l.lo[l.logical(rowX)], l.hi[l.logical(rowX)] = (p.X[0]-cx)/s.scale, (p.X[1]-cx)/s.scale
	l.lo[l.logical(rowY)], l.hi[l.logical(rowY)] = (p.Y[0]-cy)/s.scale, (p.Y[1]-cy)/s.scale
	if free {
		for _, row := range [...]int{rowX, rowY} {
			l.lo[l.logical(row)], l.hi[l.logical(row)] = math.Inf(-1), math.Inf(1)
		}
	}
	l.hi[l.logical(s.arms)] = p.ArmsMost
	for i := range s.n {
		c := &p.Supports[i]
		j := s.first[i]
		s.end(j, (c.RearX-cx)/s.scale, (c.RearY-cy)/s.scale, c, p, shares)
		if s.count[i] == 1 {
			l.hi[j] = c.Most
			continue
		}
		s.end(j+1, (c.FrontX-cx)/s.scale, (c.FrontY-cy)/s.scale, c, p, shares)
		l.a[s.total[i]][j], l.a[s.total[i]][j+1] = -1, -1
		l.hi[l.logical(s.total[i])] = c.Most
	}
	l.start()
	s.cost = [maxCols]float64{}
	s.cost[l.logical(rowWeight)] = 1
	l.minimise(&s.cost)
	s.lacks = l.x[l.logical(rowWeight)]
	// What is not carried now stays fixed, at nothing where the stance holds.
	l.lo[l.logical(rowWeight)], l.hi[l.logical(rowWeight)] = 0, 0
}

// end fills the column of one end force.
func (s *Solver) end(j int, x, y float64, c *Support, p *Problem, shares int) {
	l := &s.p
	l.a[rowWeight][j] = 1
	l.a[rowX][j], l.a[rowY][j] = -x, -y
	if c.Arm {
		l.a[s.arms][j] = -1
	}
	if !p.HasShare {
		return
	}
	// left - share (left + right) is at least zero for the least share, and at
	// most zero for the most.
	switch c.Foot {
	case finding.Left:
		l.a[shares][j], l.a[shares+1][j] = -(1 - p.Share[0]), 1-p.Share[1]
	case finding.Right:
		l.a[shares][j], l.a[shares+1][j] = p.Share[0], -p.Share[1]
	}
}

// Carried returns the largest share of the weight that can be carried here, 0
// to 1.
func (s *Solver) Carried() float64 { return 1 - s.lacks }

// Held tells whether all of the weight can be carried.
func (s *Solver) Held() bool { return s.lacks <= heldWithin }

// LeastArms returns the least share of the weight that the arms have to carry
// together. The stance must be held.
func (s *Solver) LeastArms() float64 {
	s.cost = [maxCols]float64{}
	s.cost[s.p.logical(s.arms)] = 1
	s.p.minimise(&s.cost)
	return max(0, s.p.x[s.p.logical(s.arms)]) // rounding goes below
}

// Interval returns the least and the most share of the weight that can rest on
// one support. The stance must be held.
func (s *Solver) Interval(support int) (least, most float64) {
	return s.extreme(support, 1), s.extreme(support, -1)
}

// extreme minimises the total of a support times the sign.
func (s *Solver) extreme(support int, sign float64) float64 {
	s.cost = [maxCols]float64{}
	col := s.first[support]
	if row := s.total[support]; row >= 0 {
		col = s.p.logical(row)
	}
	s.cost[col] = sign
	s.p.minimise(&s.cost)
	return s.p.x[col]
}

// Forces writes the end forces of the last answer, as shares of the weight, a
// rear and a front one for each support. At a single point the rear one is all
// of it.
func (s *Solver) Forces(out *[maxEnds]float64) {
	for i := range s.n {
		out[2*i], out[2*i+1] = s.p.x[s.first[i]], 0
		if s.count[i] == 2 {
			out[2*i+1] = s.p.x[s.first[i]+1]
		}
	}
}
