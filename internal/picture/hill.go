package picture

import "math"

// HillProfile is a run from the side: heights over distance on the map, both
// in m, from its top.
type HillProfile struct {
	Distance, Height []float64
	Marks            []HillMark
}

// HillMark is a stretch of the run that is pointed out.
type HillMark struct {
	From, To float64 // m on the map
	Label    string  // "steepest 20 m: 14.2 %"
}

// Draw returns the drawing in a box of this size in mm. Heights are drawn
// larger than distances where the run is long; the drawing says how much.
// Fewer than two places, or as many distances as heights not given, draw
// nothing.
func (h HillProfile) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "The run from the side"}
	if len(h.Distance) < 2 || len(h.Distance) != len(h.Height) {
		return d
	}
	low, high := limits(h.Height)
	last := h.Distance[len(h.Distance)-1]
	a := axes{d: &d, left: 17, top: 9, right: width - 4, bottom: height - 11, x1: last, y0: low, y1: high}
	larger := h.fit(&a)
	d.Desc = "Height over distance on the map: from " + round(math.Round(h.Height[0])) + " m at the top to " + round(math.Round(h.Height[len(h.Height)-1])) +
		" m after " + round(math.Round(last)) + " m. Heights are drawn " + round(math.Round(larger*10)/10) + " times as large as distances."
	a.scales("m on the map (heights drawn "+round(math.Round(larger*10)/10)+" times as large)", "height, m")
	d.Draw(a.line(h.Distance, h.Height), Style{Stroke: Black, Line: 0.6})
	for i, m := range h.Marks {
		d.Desc += " " + m.Label + ", from " + round(math.Round(m.From)) + " to " + round(math.Round(m.To)) + " m."
		xs, ys := h.stretch(m.From, m.To)
		d.Draw(a.line(xs, ys), Style{Stroke: Black, Line: max(2.4-1.1*float64(i), 1), Butt: true})
		if len(xs) == 0 {
			continue
		}
		// Above a run that falls there is room to the right of a stretch; the
		// first label stands higher.
		p := a.at(xs[0], ys[0])
		top := a.top + 4 + float64(i)*5.5
		anchor, dx := Start, 1.2
		if p.X > a.left+(a.right-a.left)*0.55 {
			anchor, dx = End, -1.2
		}
		if p.Y-top > 3 {
			d.Draw(Line(p.X, p.Y-1, p.X, top), Style{Stroke: Black, Line: 0.25, Dash: []float64{0.8, 0.8}, Butt: true})
		} else {
			top = p.Y - 2
		}
		a.write(Point{p.X, top}, dx, 1.4, anchor, true, m.Label)
	}
	return d
}

// fit widens the heights shown until they are drawn at most five times as
// large as distances, and returns how many times.
func (h HillProfile) fit(a *axes) float64 {
	const most = 5.0
	perX := (a.right - a.left) / (a.x1 - a.x0)
	span := max((a.bottom-a.top)/(perX*most), (a.y1-a.y0)*1.15)
	middle := (a.y0 + a.y1) / 2
	a.y0, a.y1 = middle-span/2, middle+span/2
	return (a.bottom - a.top) / span / perX
}

// stretch returns the run between two distances, its ends included.
func (h HillProfile) stretch(from, to float64) (xs, ys []float64) {
	for i := range h.Distance {
		if i > 0 {
			a, b := h.Distance[i-1], h.Distance[i]
			for _, edge := range []float64{from, to} {
				if a < edge && edge < b {
					xs = append(xs, edge)
					ys = append(ys, h.Height[i-1]+(edge-a)/(b-a)*(h.Height[i]-h.Height[i-1]))
				}
			}
		}
		if h.Distance[i] >= from && h.Distance[i] <= to {
			xs, ys = append(xs, h.Distance[i]), append(ys, h.Height[i])
		}
	}
	return xs, ys
}

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
