package picture

import "math"

// SpeedBand is speed along a run: the lines below which a tenth, a half and
// nine tenths of the draws lie, km/h over m along the snow.
type SpeedBand struct {
	Distance          []float64
	Low, Middle, High []float64
}

// Draw returns the drawing in a box of this size in mm.
func (b SpeedBand) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "Speed along the run"}
	n := len(b.Distance)
	if n < 2 || len(b.Low) != n || len(b.Middle) != n || len(b.High) != n {
		return d
	}
	_, top := limits(b.High)
	a := axes{d: &d, left: 14, top: 9, right: width - 24, bottom: height - 11, x0: b.Distance[0], x1: b.Distance[n-1], y1: max(top*1.08, 1)}
	d.Draw(a.between(b.Distance, b.Low, b.High), Style{Fill: Band})
	d.Draw(a.line(b.Distance, b.Middle), Style{Stroke: Black, Line: 0.7})
	for _, edge := range [][]float64{b.Low, b.High} {
		d.Draw(a.line(b.Distance, edge), Style{Stroke: Black, Line: 0.25})
	}
	a.scales("m along the snow", "km/h")
	// Labels at the ends of the lines, pushed apart where they would meet.
	ends := []struct {
		v    float64
		name string
		bold bool
	}{{b.High[n-1], "9 of 10", false}, {b.Middle[n-1], "half", true}, {b.Low[n-1], "1 of 10", false}}
	y := math.Inf(-1)
	for _, e := range ends {
		p := a.at(b.Distance[n-1], e.v)
		y = max(p.Y, y+4.4)
		a.write(Point{p.X, y}, 1, 1.3, Start, e.bold, e.name+" "+round(math.Round(e.v)))
	}
	peak := 0
	for i := range b.Middle {
		if b.Middle[i] > b.Middle[peak] {
			peak = i
		}
	}
	d.Desc = "Half of the draws stay below " + round(math.Round(b.Middle[peak])) + " km/h, reached after " + round(math.Round(b.Distance[peak])) +
		" m; nine of ten stay below " + round(math.Round(top)) + " km/h anywhere. At the end: one of ten below " + round(math.Round(b.Low[n-1])) + ", half below " +
		round(math.Round(b.Middle[n-1])) + ", nine of ten below " + round(math.Round(b.High[n-1])) + " km/h."
	return d
}
