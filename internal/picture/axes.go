package picture

import (
	"math"
	"strconv"
)

// axes maps figures to the page: a plot area with a scale on each side.
type axes struct {
	d                        *Drawing
	left, top, right, bottom float64 // of the plot area, mm
	x0, x1, y0, y1           float64 // figures at its edges; y grows up the page
}

const axisPt = 11

func (a axes) at(x, y float64) Point {
	return Point{a.left + (x-a.x0)/(a.x1-a.x0)*(a.right-a.left), a.bottom - (y-a.y0)/(a.y1-a.y0)*(a.bottom-a.top)}
}

// line returns the open line through figures.
func (a axes) line(xs, ys []float64) Outline {
	points := make([]Point, min(len(xs), len(ys)))
	for i := range points {
		points[i] = a.at(xs[i], ys[i])
	}
	return Polyline(points...)
}

// between returns the closed shape between two lines over the same places.
func (a axes) between(xs, low, high []float64) Outline {
	var points []Point
	for i := range xs {
		points = append(points, a.at(xs[i], low[i]))
	}
	for i := len(xs) - 1; i >= 0; i-- {
		points = append(points, a.at(xs[i], high[i]))
	}
	return Polygon(points...)
}

func (a axes) write(p Point, dx, dy float64, anchor Anchor, bold bool, s string) {
	a.d.Write(Text{X: p.X + dx, Y: p.Y + dy, Size: axisPt, Anchor: anchor, Bold: bold, S: s, Class: "label"})
}

// scales draws the two axes with round figures and what they count.
func (a axes) scales(xName, yName string) {
	hair := Style{Stroke: Black, Line: 0.25, Butt: true}
	a.d.Draw(Polyline(Point{a.left, a.top}, Point{a.left, a.bottom}, Point{a.right, a.bottom}), hair)
	const tick, letters = 1.2, axisPt * MMPerPoint
	for _, x := range ticks(a.x0, a.x1, int((a.right-a.left)/22)) {
		p := a.at(x, a.y0)
		a.d.Draw(Line(p.X, p.Y, p.X, p.Y+tick), hair)
		a.write(p, 0, tick+letters*0.95, Middle, false, round(x))
	}
	for _, y := range ticks(a.y0, a.y1, int((a.bottom-a.top)/11)) {
		p := a.at(a.x0, y)
		a.d.Draw(Line(p.X-tick, p.Y, p.X, p.Y), hair)
		a.write(p, -tick-0.8, letters*0.35, End, false, round(y))
	}
	a.write(Point{(a.left + a.right) / 2, a.bottom}, 0, tick+2.2*letters, Middle, false, xName)
	a.write(Point{a.left, a.top}, -tick-0.8, -letters*0.7, Start, false, yName)
}

// ticks returns round figures between two limits, about so many, at least
// two steps where the limits allow.
func ticks(low, high float64, about int) []float64 {
	if !(high > low) || math.IsInf(high-low, 0) {
		return nil
	}
	rough := (high - low) / float64(max(about, 2))
	size := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, m := range []float64{1, 2, 5, 10} {
		if size*m >= rough {
			size *= m
			break
		}
	}
	var out []float64
	for i := math.Ceil(low/size - 1e-9); i*size <= high+size*1e-9; i++ {
		out = append(out, i*size+0) // never minus zero
	}
	return out
}

// round writes a figure without digits that say nothing.
func round(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

func limits(lists ...[]float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, list := range lists {
		for _, v := range list {
			low, high = min(low, v), max(high, v)
		}
	}
	return low, high
}
