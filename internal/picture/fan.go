package picture

import "math"

// Fan is the exercise of start angles seen from above, as the student sees it
// from the start: downhill is up the page, the student's left is left.
type Fan struct {
	Runs []FanTrack
	// Wide is the width of the slope in m, with the start in its middle; 0
	// where it is not known.
	Wide float64
	// PerMetre is how far down the fall line the ground falls one metre, m; 0
	// draws no lines of height.
	PerMetre float64
}

// FanTrack is the track of one run on the slope.
type FanTrack struct {
	Left  bool         // a run to the student's left
	Step  string       // what the step is called: "45°"
	Note  string       // what is said at its end: "9 km/h"; may be empty
	Track [][2]float64 // m: down the fall line from the start, and to the left
	Now   bool         // the step this side is on
}

// Draw returns the drawing in a box of this size in mm, to scale. The step a
// side is on is drawn thick and its label bold; runs that do not set off are
// only named.
func (f Fan) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "The fan from above: downhill is up the page, the student's left is left"}
	low, high := [2]float64{}, [2]float64{}
	for _, r := range f.Runs {
		for _, p := range r.Track {
			for k, v := range [2]float64{p[0], p[1]} {
				low[k], high[k] = min(low[k], v), max(high[k], v)
			}
		}
	}
	const pad, words, below = 8.0, 31.0, 15.0
	wide := 2 * max(high[1], -low[1], 0.5)
	k := min((width-2*words)/wide, (height-pad-below)/max(high[0]-low[0], 0.5))
	at := func(p [2]float64) Point { return Point{width/2 - p[1]*k, height - below + (low[0]-p[0])*k} }
	a := axes{d: &d}
	// The start, the fall line and straight across.
	start := at([2]float64{})
	f.ground(&d, start, k, width, pad)
	hair := Style{Stroke: Black, Line: 0.25, Dash: []float64{1.2, 1.2}, Butt: true}
	d.Draw(Line(start.X, start.Y, start.X, pad/2), hair)
	d.Draw(Line(words/2, start.Y, width-words/2, start.Y), hair)
	d.Draw(Polygon(Point{start.X - 1.3, pad/2 + 2.4}, Point{start.X, pad / 2}, Point{start.X + 1.3, pad/2 + 2.4}), Style{Fill: Black})
	a.write(Point{start.X, pad / 2}, 2.4, 2.6, Start, false, "downhill")
	var stuck [2][]string
	var ends [2][]fanLabel
	for _, r := range f.Runs {
		side := 1
		if r.Left {
			side = 0
		}
		if len(r.Track) < 2 {
			stuck[side] = append(stuck[side], r.Step)
			continue
		}
		points := make([]Point, len(r.Track))
		for i, p := range r.Track {
			points[i] = at(p)
		}
		line := 0.45
		if r.Now {
			line = 1.5
		}
		d.Draw(Polyline(points...), Style{Stroke: Black, Line: line})
		end := points[len(points)-1]
		d.Draw(Circle(end.X, end.Y, 0.5+line/2), Style{Fill: Black})
		label := r.Step
		if r.Note != "" {
			label += ": " + r.Note
		}
		ends[side] = append(ends[side], fanLabel{end, label, r.Now})
		d.Desc += sideWord(r.Left) + " " + label + ", stops " + round(math.Round(10*r.Track[len(r.Track)-1][0])/10) + " m down and " +
			round(math.Round(10*math.Abs(r.Track[len(r.Track)-1][1]))/10) + " m aside"
		if r.Now {
			d.Desc += ", the step this side is on"
		}
		d.Desc += ". "
	}
	for side, left := range [2]bool{true, false} {
		a.labels(ends[side], left, width, pad, start.Y-3)
		anchor, x := End, width-2
		if left {
			anchor, x = Start, 2
		}
		a.write(Point{x, start.Y}, 0, 4.6, anchor, true, sideWord(left))
		if len(stuck[side]) > 0 {
			said := "no glide: " + joinWords(stuck[side])
			a.write(Point{x, start.Y}, 0, 9.4, anchor, false, said)
			d.Desc += sideWord(left) + ", does not set off: " + joinWords(stuck[side]) + ". "
		}
	}
	a.scaleBar(k, width, height)
	return d
}

// fanLabel is the label of one run, to be set beside its end.
type fanLabel struct {
	end   Point
	text  string
	thick bool
}

// labels sets the labels of one side in a column at the edge, in the order of
// their ends, with a hair to each end.
func (a axes) labels(list []fanLabel, left bool, width, top, bottom float64) {
	sorted := append([]fanLabel(nil), list...)
	for i := range sorted { // a handful: the plainest order
		for j := i; j > 0 && sorted[j].end.Y < sorted[j-1].end.Y; j-- {
			sorted[j], sorted[j-1] = sorted[j-1], sorted[j]
		}
	}
	const apart = 4.9
	ys := make([]float64, len(sorted))
	y := top
	for i, l := range sorted {
		y = max(y, l.end.Y)
		ys[i] = y
		y += apart
	}
	limit := bottom
	for i := len(ys) - 1; i >= 0; i-- {
		ys[i] = min(ys[i], limit)
		limit = ys[i] - apart
	}
	x, anchor, near := width-2, End, width-28.0
	if left {
		x, anchor, near = 2, Start, 28
	}
	for i, l := range sorted {
		a.d.Draw(Line(l.end.X, l.end.Y, near, ys[i]), Style{Stroke: Black, Line: 0.2, Dash: []float64{0.5, 1}, Butt: true})
		a.write(Point{x, ys[i]}, 0, 1.3, anchor, l.thick, l.text)
	}
}

// scaleBar draws a round length at the foot; k is mm of page for each m.
func (a axes) scaleBar(k, width, height float64) {
	length := 1.0
	for _, m := range []float64{1, 2, 5, 10, 20, 50, 100} {
		if m*k <= width/4 {
			length = m
		}
	}
	y := height - 5.5
	x := width/2 - length*k/2
	a.d.Draw(Line(x, y, x+length*k, y), Style{Stroke: Black, Line: 0.8, Butt: true})
	a.write(Point{width / 2, y}, 0, 4.4, Middle, false, round(length)+" m")
}

func sideWord(left bool) string {
	if left {
		return "left"
	}
	return "right"
}

func joinWords(list []string) string {
	out := ""
	for i, s := range list {
		if i > 0 {
			out += ", "
		}
		out += s
	}
	return out
}

// ground draws the hill below the runs: lines of height a round step apart, and
// the edges of the slope where they lie within the drawing.
func (f Fan) ground(d *Drawing, start Point, k, width, top float64) {
	a := axes{d: d}
	if f.PerMetre > 0 {
		every, apart := 0.0, f.PerMetre*k
		for _, every = range []float64{0.1, 0.2, 0.5, 1, 2, 5, 10} {
			if apart*every >= 9 { // lines of height stand apart enough to be told
				break
			}
		}
		n := 0
		for y := start.Y - apart*every; y > top; y -= apart * every {
			d.Draw(Line(31, y, width-31, y), Style{Stroke: Band, Line: 0.5, Butt: true})
			n++
		}
		if n > 0 {
			d.Desc += "Each line across is " + round(every) + " m of height lower. "
			a.write(Point{width / 2, start.Y}, 0, 4.6, Middle, false, "grey: each "+round(every)+" m of height")
		}
	}
	if f.Wide > 0 {
		for _, side := range []float64{-1, 1} {
			if x := start.X + side*f.Wide/2*k; x > 31 && x < width-31 {
				d.Draw(Line(x, start.Y, x, top), Style{Stroke: Black, Line: 0.9, Butt: true})
			}
		}
		d.Desc += "The slope is " + round(f.Wide) + " m wide. "
	}
}
