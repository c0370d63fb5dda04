package picture

import "math"

// Point is a place on the page, mm.
type Point struct{ X, Y float64 }

// SegKind is the kind of one step of an outline.
type SegKind uint8

// The kinds of step.
const (
	MoveTo SegKind = iota
	LineTo
	CurveTo // cubic Bézier through the control points C1 and C2
	Close
)

// Seg is one step of an outline, ending at To. C1 and C2 count for CurveTo
// only; Close counts none of the points.
type Seg struct {
	Kind       SegKind
	C1, C2, To Point
}

func (s Seg) points() []Point {
	switch s.Kind {
	case CurveTo:
		return []Point{s.C1, s.C2, s.To}
	case Close:
		return nil
	}
	return []Point{s.To}
}

// Outline is a list of steps; it may hold several closed or open parts.
type Outline []Seg

// Matrix is an affine map: x' = A x + C y + E, y' = B x + D y + F.
type Matrix struct{ A, B, C, D, E, F float64 }

// Move returns the map that shifts by x, y.
func Move(x, y float64) Matrix { return Matrix{A: 1, D: 1, E: x, F: y} }

// Scale returns the map that stretches by x and y about the origin.
func Scale(x, y float64) Matrix { return Matrix{A: x, D: y} }

// Turn returns the map that turns by degrees about the origin, clockwise on
// the page (y runs down).
func Turn(degrees float64) Matrix {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return Matrix{A: c, B: s, C: -s, D: c}
}

// Then returns the map that does m first and n after it.
func (m Matrix) Then(n Matrix) Matrix {
	return Matrix{
		A: n.A*m.A + n.C*m.B, B: n.B*m.A + n.D*m.B,
		C: n.A*m.C + n.C*m.D, D: n.B*m.C + n.D*m.D,
		E: n.A*m.E + n.C*m.F + n.E, F: n.B*m.E + n.D*m.F + n.F,
	}
}

// On returns where the map takes a point.
func (m Matrix) On(p Point) Point {
	return Point{m.A*p.X + m.C*p.Y + m.E, m.B*p.X + m.D*p.Y + m.F}
}

// Apply returns the outline taken through the map.
func (o Outline) Apply(m Matrix) Outline {
	out := make(Outline, len(o))
	for i, s := range o {
		out[i] = Seg{s.Kind, m.On(s.C1), m.On(s.C2), m.On(s.To)}
	}
	return out
}

// And returns the two outlines as one, painted together.
func (o Outline) And(more Outline) Outline {
	return append(append(make(Outline, 0, len(o)+len(more)), o...), more...)
}

// Line returns the straight line between two points.
func Line(x1, y1, x2, y2 float64) Outline { return Polyline(Point{x1, y1}, Point{x2, y2}) }

// Polyline returns the open line through the points.
func Polyline(points ...Point) Outline {
	out := make(Outline, len(points))
	for i, p := range points {
		out[i] = Seg{Kind: LineTo, To: p}
	}
	if len(out) > 0 {
		out[0].Kind = MoveTo
	}
	return out
}

// Polygon returns the closed shape with these corners.
func Polygon(points ...Point) Outline { return append(Polyline(points...), Seg{Kind: Close}) }

// Rect returns a rectangle with corners rounded by radius r, which is cut to
// half the shorter edge.
func Rect(x, y, w, h, r float64) Outline {
	r = math.Min(r, math.Min(w, h)/2)
	if r <= 0 {
		return Polygon(Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
	}
	k := r * (1 - kappa)
	return Outline{
		{Kind: MoveTo, To: Point{x + r, y}},
		{Kind: LineTo, To: Point{x + w - r, y}},
		{CurveTo, Point{x + w - k, y}, Point{x + w, y + k}, Point{x + w, y + r}},
		{Kind: LineTo, To: Point{x + w, y + h - r}},
		{CurveTo, Point{x + w, y + h - k}, Point{x + w - k, y + h}, Point{x + w - r, y + h}},
		{Kind: LineTo, To: Point{x + r, y + h}},
		{CurveTo, Point{x + k, y + h}, Point{x, y + h - k}, Point{x, y + h - r}},
		{Kind: LineTo, To: Point{x, y + r}},
		{CurveTo, Point{x, y + k}, Point{x + k, y}, Point{x + r, y}},
		{Kind: Close},
	}
}

// kappa is the control length, in radii, of the cubic that stands in for a
// quarter circle and leaves it by less than 0.03 % of the radius.
const kappa = 0.5522847498

// Ellipse returns the ellipse about a centre with half axes rx and ry.
func Ellipse(cx, cy, rx, ry float64) Outline {
	kx, ky := rx*kappa, ry*kappa
	return Outline{
		{Kind: MoveTo, To: Point{cx + rx, cy}},
		{CurveTo, Point{cx + rx, cy + ky}, Point{cx + kx, cy + ry}, Point{cx, cy + ry}},
		{CurveTo, Point{cx - kx, cy + ry}, Point{cx - rx, cy + ky}, Point{cx - rx, cy}},
		{CurveTo, Point{cx - rx, cy - ky}, Point{cx - kx, cy - ry}, Point{cx, cy - ry}},
		{CurveTo, Point{cx + kx, cy - ry}, Point{cx + rx, cy - ky}, Point{cx + rx, cy}},
		{Kind: Close},
	}
}

// Circle returns the circle about a centre.
func Circle(cx, cy, r float64) Outline { return Ellipse(cx, cy, r, r) }

// Arc returns the open circular arc from one angle to another, in degrees
// clockwise on the page from the x axis, in steps of at most a quarter turn.
func Arc(cx, cy, r, from, to float64) Outline {
	steps := int(math.Ceil(math.Abs(to-from) / 90))
	if steps == 0 {
		return nil
	}
	d := (to - from) / float64(steps) * math.Pi / 180
	k := 4.0 / 3 * math.Tan(d/4) * r
	at := func(a float64) (p, t Point) {
		s, c := math.Sincos(a)
		return Point{cx + r*c, cy + r*s}, Point{-s, c}
	}
	a := from * math.Pi / 180
	p, t := at(a)
	out := Outline{{Kind: MoveTo, To: p}}
	for range steps {
		a += d
		q, u := at(a)
		out = append(out, Seg{CurveTo, Point{p.X + k*t.X, p.Y + k*t.Y}, Point{q.X - k*u.X, q.Y - k*u.Y}, q})
		p, t = q, u
	}
	return out
}
