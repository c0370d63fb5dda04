package picture

import "math"

// HillProfile is a run from the side: heights over distance on the map, both
// in m, from its top.
type HillProfile struct {
	Distance, Height []float64
	Marks            []HillMark
	Start            float64     // where the student starts, m on the map from its top; 0: at the top
	RunOut           *HillRunOut // the ground after its end; nil where it was not measured
}

// HillRunOut is the free ground after a run.
type HillRunOut struct {
	Length float64 // m
	Grade  float64 // fall of height for each metre; below zero where it rises
	Need   float64 // m within which nine of ten stop; 0 for not asked
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
	end := Point{h.Distance[len(h.Distance)-1], h.Height[len(h.Height)-1]}
	last, foot := end.X, end.Y
	if h.RunOut != nil {
		last += h.RunOut.shown()
		foot -= h.RunOut.shown() * h.RunOut.Grade
	}
	low, high := limits(h.Height, []float64{foot})
	a := axes{d: &d, left: 17, top: 9, right: width - 4, bottom: height - 11, x1: last, y0: low, y1: high}
	larger := h.fit(&a)
	d.Desc = "Height over distance on the map: from " + round(math.Round(h.Height[0])) + " m at the top to " + round(math.Round(h.Height[len(h.Height)-1])) +
		" m after " + round(math.Round(last)) + " m. Heights are drawn " + round(math.Round(larger*10)/10) + " times as large as distances."
	h.afterwards(&a, end)
	below := "m on the map (heights drawn " + round(math.Round(larger*10)/10) + " times as large)"
	if letters(below) > a.right-a.left {
		below = "m on the map; heights times " + round(math.Round(larger*10)/10)
	}
	a.scales(below, "height, m")
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
		if p.X+dx+letters(m.Label) > a.d.Width {
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
	if h.RunOut != nil { // room below the run for what a stop needs
		const below = 12.0
		span = max(span, (a.y1-a.y0)*1.08/(1-below/(a.bottom-a.top)))
		middle -= span * below / (a.bottom - a.top) / 2
	}
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

// shown is how much of the ground after the run is drawn: what a stop needs,
// as long as that is not many times what is there.
func (r *HillRunOut) shown() float64 {
	const most = 3
	return max(r.Length, min(r.Need, most*max(r.Length, 10)))
}

// afterwards draws the start and the ground after the end: what is there as a
// line, what a stop needs as a measure below it.
func (h HillProfile) afterwards(a *axes, end Point) {
	d := a.d
	if h.Start > 0 {
		xs, ys := h.stretch(h.Start, end.X)
		if len(xs) > 0 {
			p := a.at(xs[0], ys[0])
			d.Draw(Polygon(Point{p.X - 1.5, p.Y - 3.4}, Point{p.X + 1.5, p.Y - 3.4}, Point{p.X, p.Y - 0.8}), Style{Fill: Black})
			a.write(Point{p.X, p.Y}, 0, -4.4, Middle, false, "start")
			d.Desc += " The start is " + round(math.Round(h.Start)) + " m from the top."
		}
	}
	r := h.RunOut
	if r == nil {
		return
	}
	on := func(x float64) Point { return a.at(end.X+x, end.Y-x*r.Grade) }
	there, foot := on(r.Length), on(0)
	d.Draw(Line(foot.X, foot.Y-1.6, foot.X, foot.Y+1.6), Style{Stroke: Black, Line: 0.4, Butt: true})
	d.Draw(Line(foot.X, foot.Y, there.X, there.Y), Style{Stroke: Black, Line: 0.6})
	d.Draw(Line(there.X, there.Y-1.6, there.X, there.Y+1.6), Style{Stroke: Black, Line: 0.8, Butt: true})
	words := "run-out " + round(math.Round(r.Length)) + " m"
	// Above everything that is drawn where the words stand.
	top := min(foot.Y, there.Y)
	from := a.x0 + (a.right-letters(words)-a.left)/(a.right-a.left)*(a.x1-a.x0)
	if _, ys := h.stretch(from, end.X); len(ys) > 0 {
		top = min(top, a.at(0, ys[0]).Y)
	}
	a.write(Point{a.right, top}, 0, -2.6, End, true, words)
	d.Desc += " After the end " + round(math.Round(r.Length)) + " m are free"
	switch {
	case r.Grade < 0:
		d.Desc += ", rising " + round(-100*r.Grade) + " %."
	case r.Grade > 0:
		d.Desc += ", falling " + round(100*r.Grade) + " %."
	default:
		d.Desc += ", level."
	}
	if r.Need <= 0 {
		return
	}
	to, arrow := on(min(r.Need, r.shown())), r.Need > r.shown()
	y := max(foot.Y, to.Y, there.Y) + 4
	d.Draw(Line(foot.X, y, to.X, y), Style{Stroke: Black, Line: 0.4, Butt: true})
	d.Draw(Line(foot.X, y-1.2, foot.X, y+1.2), Style{Stroke: Black, Line: 0.4, Butt: true})
	if arrow {
		d.Draw(Polygon(Point{to.X - 2.2, y - 1.3}, Point{to.X, y}, Point{to.X - 2.2, y + 1.3}), Style{Fill: Black})
	} else {
		d.Draw(Line(to.X, y-1.2, to.X, y+1.2), Style{Stroke: Black, Line: 0.4, Butt: true})
	}
	a.write(Point{a.right, y}, 0, 5, End, false, "9 of 10 stop within "+round(math.Ceil(r.Need))+" m")
	d.Desc += " Nine of ten stop within " + round(math.Ceil(r.Need)) + " m of it."
}

// letters is about how wide a label is at most, mm: no font is at hand here.
func letters(s string) float64 {
	const each = 0.58 * axisPt * MMPerPoint
	return each * float64(len([]rune(s)))
}
