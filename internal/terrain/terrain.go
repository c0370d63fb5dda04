// Package terrain reads the shape of a run from a file: a track in GPX, a line
// in GeoJSON, or a table of distance and height as CSV. It gives stations for
// [firnhand/core/slope] and refuses, in a sentence, what is no run.
//
// A file is read whole and never followed to anywhere else. [MaxBytes] holds
// before anything is parsed.
package terrain

import (
	"bytes"
	"fmt"
	"math"
	"path"
	"strings"

	"firnhand/core/slope"
)

// MaxBytes is the largest file that is read: a season recorded every second
// is smaller.
const MaxBytes = 16 << 20

// maxPoints is the most points of one line.
const maxPoints = 200_000

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
	Cause    error // for the log; may be nil
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

func refuse(code, format string, args ...any) *Error {
	return &Error{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

func unreadable(kind string, cause error) *Error {
	return &Error{Code: "unreadable", Sentence: "This is not a readable " + kind + " file; it ends early or is damaged.", Cause: cause}
}

// Options choose one run from a file.
type Options struct {
	Line     int     // which of several lines, from 1; 0 where there is one only
	From, To float64 // m on the map along the line; To 0 for its end
	Reverse  bool    // the file goes up the run
}

// Run is one run out of a file.
type Run struct {
	Kind     string          // "GPX", "GeoJSON", "CSV"
	Name     string          // of the line in the file; may be empty
	Stations []slope.Station // distance 0 at the top
	// Across is the gradient across the run, falling to the left positive, by
	// a plane through further points of the file; nil where there are too few.
	Across *float64
	Notes  []string // what was done to the file's content, in sentences
}

// line is one line of a file: places on the map in m, or distances only.
type line struct {
	name     string
	stations []slope.Station
	places   []place // of each station; nil where only distances are known
	spots    []place // further points beside it
	drawn    bool    // set down by somebody, not recorded
}

// place is a point on the map in m, east and north of the line's first.
type place struct{ east, north, height float64 }

// Read reads a run from the bytes of a file. name is the name of the file; its
// ending says what it is, else the content does.
func Read(name string, data []byte, o Options) (Run, error) {
	if len(data) > MaxBytes {
		return Run{}, refuse("too_big", "The file is larger than %d MB; a run has a few hundred points. Nothing was read.", MaxBytes>>20)
	}
	text := bytes.TrimSpace(bytes.TrimPrefix(data, []byte("\ufeff")))
	if len(text) == 0 {
		return Run{}, refuse("empty", "The file is empty.")
	}
	kind, read := kindOf(name, text)
	lines, err := read(text)
	if err != nil {
		return Run{}, err
	}
	l, err := choose(lines, o.Line)
	if err != nil {
		return Run{}, err
	}
	r := Run{Kind: kind, Name: l.name}
	if err := r.take(l, o); err != nil {
		return Run{}, err
	}
	return r, nil
}

func kindOf(name string, text []byte) (string, func([]byte) ([]line, error)) {
	switch strings.ToLower(path.Ext(strings.ReplaceAll(name, `\`, "/"))) {
	case ".gpx":
		return "GPX", readGPX
	case ".geojson", ".json":
		return "GeoJSON", readGeoJSON
	case ".csv", ".tsv", ".txt":
		return "CSV", readCSV
	}
	switch text[0] {
	case '<':
		return "GPX", readGPX
	case '{':
		return "GeoJSON", readGeoJSON
	}
	return "CSV", readCSV
}

func choose(lines []line, which int) (line, error) {
	switch {
	case len(lines) == 0:
		return line{}, refuse("empty", "The file holds no line with points, so there is no run in it.")
	case which < 0 || which > len(lines):
		return line{}, refuse("no_line", "There is no line %d; the file holds %d.", which, len(lines))
	case which > 0:
		return lines[which-1], nil
	case len(lines) > 1:
		var names []string
		for i, l := range lines {
			name := l.name
			if name == "" {
				name = "without a name"
			}
			names = append(names, fmt.Sprintf("%d (%s, %d points)", i+1, name, len(l.stations)))
			if len(names) == 8 {
				names = append(names, "...")
				break
			}
		}
		return line{}, refuse("several_lines", "The file holds %d lines: %s. Choose one by its number.", len(lines), strings.Join(names, ", "))
	}
	return lines[0], nil
}

// take checks a line and cuts the run out of it.
func (r *Run) take(l line, o Options) error {
	if err := plausible(l); err != nil {
		return err
	}
	if o.Reverse {
		l = l.reversed()
		r.Notes = append(r.Notes, "The line was turned round, so that it goes down.")
	}
	last := l.stations[len(l.stations)-1].Distance
	to := o.To
	if to == 0 {
		to = last
	}
	if o.From < 0 || o.From >= to || to > last*(1+1e-9) || math.IsNaN(o.From) || math.IsNaN(to) {
		return refuse("out_of_range", "The part from %.0f to %.0f m does not lie on the line, which is %.0f m long on the map.", o.From, to, last)
	}
	whole := o.From == 0 && to == last
	if !whole {
		l = l.cut(o.From, to)
		if len(l.stations) < 2 {
			return refuse("one_point", "The part from %.0f to %.0f m holds fewer than two points.", o.From, to)
		}
		r.Notes = append(r.Notes, fmt.Sprintf("Only the part from %.0f to %.0f m was taken.", o.From, to))
	}
	if err := oneWay(l); err != nil {
		return err
	}
	start := l.stations[0].Distance
	for i := range l.stations {
		l.stations[i].Distance -= start
	}
	r.Stations = l.stations
	if g, off, ok := l.plane(); ok {
		r.Across = &g.Across
		r.Notes = append(r.Notes, fmt.Sprintf("The fall across the run is that of a plane through %d points beside it, which lie %.1f m off it on average.", len(l.spots), off))
	}
	return nil
}

// plausible refuses what cannot be a run in metres.
func plausible(l line) error {
	n := len(l.stations)
	switch {
	case n == 0:
		return refuse("empty", "The file holds no points, so there is no run in it.")
	case n == 1:
		return refuse("one_point", "The file holds one point only; a run needs at least two.")
	case n > maxPoints:
		return refuse("too_many", "The line has %d points, more than the %d that are taken.", n, maxPoints)
	}
	low, high, none := math.Inf(1), math.Inf(-1), 0
	for i, s := range l.stations {
		if math.IsNaN(s.Height) || math.IsInf(s.Height, 0) || math.IsNaN(s.Distance) || math.IsInf(s.Distance, 0) {
			return refuse("not_a_number", "Point %d has a distance or a height that is not a number.", i+1)
		}
		if i > 0 && s.Distance < l.stations[i-1].Distance {
			return refuse("unsorted", "The distances are not in order: after %.1f m comes %.1f m (point %d). They must rise from the top of the run to its end.", l.stations[i-1].Distance, s.Distance, i+1)
		}
		low, high = min(low, s.Height), max(high, s.Height)
		if s.Height == 0 {
			none++
		}
	}
	length := l.stations[n-1].Distance - l.stations[0].Distance
	switch {
	case low == high && low == 0:
		return refuse("no_heights", "The points have no heights (all are 0), so nothing about the slope follows from them. Record or export them with heights.")
	case !l.drawn && none > 0 && high-low > 50:
		return refuse("no_heights", "%d of the %d points have no height (it stands as 0). Record or export the line with a height at every point, or take a part that has them.", none, n)
	case low < -430 || high > 9000: // the lowest shore and the highest summit on Earth, in round metres
		return refuse("unit", "The heights run from %.0f to %.0f m, which is nowhere on Earth; check whether they are in feet.", low, high)
	case length == 0:
		return refuse("no_length", "All points lie at one place, so there is no run.")
	case length < 5:
		return refuse("unit", "The line is only %.3g m long; check whether the distances are in kilometres.", length)
	case length > 50_000:
		return refuse("unit", "The line is %.0f km long, which is no ski run; check the unit of the distances, or take a part of it.", length/1000)
	case high-low > 2*length:
		return refuse("unit", "The line falls %.0f m over %.0f m, which is a wall; check the units of distances and heights.", high-low, length)
	}
	return nil
}

// turns is the least height in m that counts as going up or down again.
const turns = 10

// oneWay refuses a line that goes up and down, such as a day with its lifts,
// and one that only goes up.
func oneWay(l line) error {
	parts := slope.Parts(l.stations, turns)
	if !l.drawn { // a spike of the recorder is no hill
		calm, _ := slope.Despiked(l.stations)
		if p := slope.Parts(calm, turns); len(p) != len(parts) {
			parts = p
		}
	}
	var down, up []slope.Part
	for _, p := range parts {
		switch {
		case p.Rises <= -turns:
			down = append(down, p)
		case p.Rises >= turns:
			up = append(up, p)
		}
	}
	if len(up) == 0 && len(down) <= 1 {
		return nil
	}
	if len(down) == 0 {
		return refuse("uphill", "The line only goes up, by %.0f m. If it was recorded from below, read it the other way round.", up[0].Rises)
	}
	var list []string
	for _, p := range down {
		list = append(list, fmt.Sprintf("%.0f to %.0f m (falls %.0f m)", p.From, p.To, -p.Rises))
		if len(list) == 6 {
			list = append(list, "...")
			break
		}
	}
	what := "goes up as well as down"
	if l.loops() {
		what = "comes back to where it began, as a loop does"
	}
	return refuse("loop", "The line %s, so it is not one run. Take one of the parts that go down: %s.", what, strings.Join(list, ", "))
}

// loops tells whether the line ends where it began.
func (l line) loops() bool {
	if len(l.places) < 3 {
		return false
	}
	a, b := l.places[0], l.places[len(l.places)-1]
	length := l.stations[len(l.stations)-1].Distance - l.stations[0].Distance
	return math.Hypot(a.east-b.east, a.north-b.north) < length/10
}

func (l line) reversed() line {
	n := len(l.stations)
	last := l.stations[n-1].Distance
	out := line{name: l.name, spots: l.spots, drawn: l.drawn}
	for i := n - 1; i >= 0; i-- {
		out.stations = append(out.stations, slope.Station{Distance: last - l.stations[i].Distance, Height: l.stations[i].Height})
		if l.places != nil {
			out.places = append(out.places, l.places[i])
		}
	}
	return out
}

// cut keeps the stations of a part, with its two ends set between stations.
func (l line) cut(from, to float64) line {
	out := line{name: l.name, spots: l.spots, drawn: l.drawn}
	add := func(s slope.Station, p place) {
		out.stations = append(out.stations, s)
		if l.places != nil {
			out.places = append(out.places, p)
		}
	}
	at := func(i int) place {
		if l.places == nil {
			return place{}
		}
		return l.places[i]
	}
	for i, s := range l.stations {
		if i > 0 {
			before := l.stations[i-1]
			for _, edge := range []float64{from, to} {
				if before.Distance < edge && edge < s.Distance {
					t := (edge - before.Distance) / (s.Distance - before.Distance)
					a, b := at(i-1), at(i)
					add(slope.Station{Distance: edge, Height: before.Height + t*(s.Height-before.Height)},
						place{a.east + t*(b.east-a.east), a.north + t*(b.north-a.north), a.height + t*(b.height-a.height)})
				}
			}
		}
		if s.Distance >= from && s.Distance <= to {
			add(s, at(i))
		}
	}
	return out
}

// plane fits a plane to the points beside a line, in the frame of the line
// from its first point to its last.
func (l line) plane() (g slope.Grade, off float64, ok bool) {
	if len(l.places) < 2 || len(l.spots) < 3 {
		return slope.Grade{}, 0, false
	}
	a, b := l.places[0], l.places[len(l.places)-1]
	dx, dy := b.east-a.east, b.north-a.north
	length := math.Hypot(dx, dy)
	if length == 0 {
		return slope.Grade{}, 0, false
	}
	dx, dy = dx/length, dy/length
	spots := make([]slope.Spot, len(l.spots))
	for i, p := range l.spots {
		x, y := p.east-a.east, p.north-a.north
		// To the left of somebody who looks along (dx, dy) is (-dy, dx).
		spots[i] = slope.Spot{Along: x*dx + y*dy, Left: -x*dy + y*dx, Height: p.height}
	}
	return slope.Plane(spots)
}
