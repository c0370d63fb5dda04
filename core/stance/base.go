package stance

import (
	"math"

	"firnhand/core/quantity"
)

// Edge is one edge of a base of support.
type Edge struct {
	From, To Point
	Faces    Direction
	Distance quantity.Metre // of the place asked about, inwards; negative where it lies beyond
}

// Base is a base of support: the smallest convex polygon around points, and how
// a place lies in it.
type Base struct {
	Edges  []Edge // counter-clockwise seen from above
	Margin quantity.Metre
	Toward Direction // of the nearest edge
	// Ways is how far it is to the edge in each direction, and Tips the lean from
	// level that takes a centre of mass of that height there; 0 outside.
	Ways [8]quantity.Metre
	Tips [8]quantity.Radian
}

// mostPoints is the most points a base may have.
const mostPoints = 64

// BaseOf returns the base of support of points, and how a centre of mass above
// a place stands on it. Less than three points not in one line are refused; a
// height of 0 gives no lean.
func BaseOf(points []Point, at Point, height quantity.Metre) (Base, error) {
	if len(points) > mostPoints {
		return Base{}, refuse("too_many", "A base of support has at most %d points.", mostPoints)
	}
	for _, p := range append(points[:len(points):len(points)], at) {
		for _, v := range []quantity.Metre{p.X, p.Y} {
			if err := within("A place on the snow", float64(v), -farthest, farthest, "m"); err != nil {
				return Base{}, err
			}
		}
	}
	if err := within("The height of the centre of mass", float64(height), 0, highest, "m"); err != nil {
		return Base{}, err
	}
	all := make([]vec, len(points))
	for i, p := range points {
		all[i] = p.vec()
	}
	var g polygon
	if g.hull(all); g.n < 3 {
		return Base{}, refuse("no_base", "A base of support needs three points that are not in one line.")
	}
	margin, edge := g.margin(at.vec())
	b := Base{Margin: quantity.Metre(margin), Toward: g.faces(edge, at.vec())}
	for i := range g.n {
		b.Edges = append(b.Edges, Edge{g.at[i].point(), g.at[(i+1)%g.n].point(), g.faces(i, at.vec()), quantity.Metre(g.inside(i, at.vec()))})
	}
	for d := range b.Ways {
		way, ok := g.reach(at.vec(), Direction(d).way())
		if b.Ways[d] = quantity.Metre(way); ok && height > 0 {
			b.Tips[d] = quantity.Radian(math.Atan(way / float64(height)))
		}
	}
	return b, nil
}
