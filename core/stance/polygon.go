package stance

import (
	"math"

	"firnhand/core/quantity"
)

// Point is a place on the snow in metres: x to the student's right, y forward,
// from midway between the ankles.
type Point struct{ X, Y quantity.Metre }

// vec is a point or a direction without units.
type vec struct{ x, y float64 }

func (a vec) sub(b vec) vec       { return vec{a.x - b.x, a.y - b.y} }
func (a vec) add(b vec) vec       { return vec{a.x + b.x, a.y + b.y} }
func (a vec) times(k float64) vec { return vec{a.x * k, a.y * k} }
func (a vec) dot(b vec) float64   { return a.x*b.x + a.y*b.y }
func (a vec) cross(b vec) float64 { return a.x*b.y - a.y*b.x }
func (a vec) length() float64     { return math.Hypot(a.x, a.y) }

func (p Point) vec() vec { return vec{float64(p.X), float64(p.Y)} }

// point returns a place, without the minus of a negative zero.
func (a vec) point() Point { return Point{quantity.Metre(a.x + 0), quantity.Metre(a.y + 0)} }

// sameWithin is the distance in metres under which two corners are one.
const sameWithin = 1e-9

// maxCorners is more than a region can have: one corner for each order in which
// a turning direction meets two ends.
const maxCorners = maxEnds*(maxEnds-1) + 8

// polygon is a convex polygon, counter-clockwise seen from above; one or two
// corners are a point and a line. It holds its memory.
type polygon struct {
	at [maxCorners]vec
	n  int
}

func (g *polygon) corners() []vec { return g.at[:g.n] }

// hull makes g the smallest convex polygon around points, which it sorts.
func (g *polygon) hull(points []vec) {
	g.n = 0
	for i := 1; i < len(points); i++ { // a few points: insertion is enough
		for j := i; j > 0 && before(points[j], points[j-1]); j-- {
			points[j], points[j-1] = points[j-1], points[j]
		}
	}
	kept := points[:0]
	for _, p := range points {
		if len(kept) == 0 || p.sub(kept[len(kept)-1]).length() > sameWithin {
			kept = append(kept, p)
		}
	}
	if len(kept) < 3 {
		g.n = copy(g.at[:], kept)
		return
	}
	for _, p := range kept {
		g.wrap(p, 0)
	}
	lower := g.n - 1
	for i := len(kept) - 2; i >= 0; i-- {
		g.wrap(kept[i], lower)
	}
	g.n-- // the first corner came again
}

// wrap adds a corner, taking back those of this half that no longer bulge.
func (g *polygon) wrap(p vec, from int) {
	for g.n >= from+2 {
		a, b := g.at[g.n-2], g.at[g.n-1]
		if b.sub(a).cross(p.sub(a)) > sameWithin*p.sub(a).length() {
			break
		}
		g.n--
	}
	g.at[g.n] = p
	g.n++
}

func before(a, b vec) bool { return a.x < b.x || a.x == b.x && a.y < b.y }

// margin returns how far p lies inside the polygon, the least distance to an
// edge, and which edge that is, from its corner to the next. It is negative
// outside: the distance to the polygon with a minus. A point or a line has no
// inside, and no polygon gives minus infinity.
func (g *polygon) margin(p vec) (distance float64, edge int) {
	switch g.n {
	case 0:
		return math.Inf(-1), -1
	case 1:
		return -p.sub(g.at[0]).length(), 0
	case 2:
		return -toSegment(p, g.at[0], g.at[1]), 0
	}
	inside, distance := true, math.Inf(1)
	for i := range g.n {
		a, b := g.at[i], g.at[(i+1)%g.n]
		along := b.sub(a)
		d := along.cross(p.sub(a)) / along.length()
		if d < 0 {
			if inside {
				distance = math.Inf(1)
			}
			inside = false
		}
		if !inside {
			d = toSegment(p, a, b)
		}
		if d < distance && (inside || along.cross(p.sub(a)) < 0) {
			distance, edge = d, i
		}
	}
	if !inside {
		distance = -distance
	}
	return distance, edge
}

// toSegment returns the distance of p from the line between a and b.
func toSegment(p, a, b vec) float64 {
	along := b.sub(a)
	size := along.dot(along)
	if size == 0 {
		return p.sub(a).length()
	}
	k := min(max(p.sub(a).dot(along)/size, 0), 1)
	return p.sub(a.add(along.times(k))).length()
}

// reach returns how far one can go from p in a direction of length one before
// leaving the polygon. It is not ok where p is outside already.
func (g *polygon) reach(p, way vec) (distance float64, ok bool) {
	if m, _ := g.margin(p); m < -sameWithin || g.n == 0 {
		return 0, false
	}
	far := math.Inf(1)
	for i := range g.n {
		a, b := g.at[i], g.at[(i+1)%g.n]
		along := b.sub(a)
		if out := -along.cross(way) / along.length(); out > tieWidth {
			far = min(far, max(0, along.cross(p.sub(a))/along.length()/out))
		}
	}
	if g.n == 2 { // a line: one stays on it only when going along it
		along := g.at[1].sub(g.at[0])
		if math.Abs(along.cross(way)) > sameWithin*along.length() {
			return 0, true
		}
		end := g.at[0]
		if along.dot(way) > 0 {
			end = g.at[1]
		}
		return end.sub(p).length(), true
	}
	if math.IsInf(far, 1) { // a single point
		return 0, true
	}
	return far, true
}

// base makes g the support polygon: the smallest convex polygon around all
// ends, with no regard to what arms and legs can carry.
func (g *polygon) base(supports []Support) {
	var ends [maxEnds]vec
	n := 0
	for i := range supports {
		s := &supports[i]
		ends[n], ends[n+1] = vec{s.RearX, s.RearY}, vec{s.FrontX, s.FrontY}
		n += 2
	}
	g.hull(ends[:n])
}

// Region makes g every place where the weight may act and be carried within
// all limits. It is empty where the supports together cannot carry the weight.
// The region is convex, and each corner is the answer of one linear programme:
// the farthest place square to the line between two corners known already.
func (s *Solver) region(p *Problem, g *polygon) {
	g.n = 0
	s.load(p, true)
	if !s.Held() {
		return
	}
	var open [maxCorners][2]vec
	n := 0
	first, last := s.farthest(vec{-1, 0}), s.farthest(vec{1, 0})
	open[0], open[1] = [2]vec{first, last}, [2]vec{last, first}
	n = 2
	var corners [maxCorners]vec
	corners[0], corners[1] = first, last
	found := 2
	if last.sub(first).length() <= sameWithin { // at most upright
		low, high := s.farthest(vec{0, -1}), s.farthest(vec{0, 1})
		corners[0], corners[1] = low, high
		n = 0
	}
	for n > 0 && found < len(corners) {
		n--
		a, b := open[n][0], open[n][1]
		along := b.sub(a)
		size := along.length()
		if size <= sameWithin {
			continue
		}
		out := vec{along.y / size, -along.x / size}
		c := s.farthest(out)
		if out.dot(c.sub(a)) <= sameWithin {
			continue
		}
		corners[found] = c
		found++
		if n+2 > len(open) {
			break
		}
		open[n], open[n+1] = [2]vec{a, c}, [2]vec{c, b}
		n += 2
	}
	g.hull(corners[:found])
}

// farthest returns the place farthest in a direction, in metres.
func (s *Solver) farthest(way vec) vec {
	l := &s.p
	s.cost = [maxCols]float64{}
	s.cost[l.logical(rowX)], s.cost[l.logical(rowY)] = -way.x, -way.y
	l.minimise(&s.cost)
	return vec{l.x[l.logical(rowX)]*s.scale + s.centre.x, l.x[l.logical(rowY)]*s.scale + s.centre.y}
}
