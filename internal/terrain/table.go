package terrain

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"

	"firnhand/core/quantity"
	"firnhand/core/slope"
)

// The columns a table may have. Each names its unit.
const (
	onMap    = "distance" // m or ft on the map
	onSnow   = "along"    // m or ft on the snow, as a tape measures it
	ofPiece  = "length"   // m or ft on the snow, of one piece
	height   = "height"   // m or ft
	gradient = "slope"    // pct or deg, downhill positive, of that piece
)

// columnsSay ends a sentence on wrong columns.
const columnsSay = "The first row must name the columns with their units: distance_m,height_m (on the map), or along_m,height_m (on the snow), or length_m,slope_pct for pieces."

// readCSV reads a table of distance and height, or of pieces with their
// lengths and gradients. Fields are parted by commas, semicolons or tabs; with
// the latter two a decimal comma is understood.
func readCSV(text []byte) ([]line, error) {
	head, _, _ := strings.Cut(string(text), "\n")
	comma := ','
	for _, c := range []rune{';', '\t'} {
		if strings.ContainsRune(head, c) {
			comma = c
		}
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.Comment, r.TrimLeadingSpace, r.ReuseRecord = comma, '#', true, true
	first, err := r.Read()
	if err != nil {
		return nil, unreadable("CSV", err)
	}
	t, err := columns(first)
	if err != nil {
		return nil, err
	}
	for row := 2; ; row++ {
		fields, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return []line{{stations: t.stations, drawn: true}}, nil
		case errors.Is(err, csv.ErrFieldCount):
			return nil, refuse("unreadable", "Row %d has %d fields, the first row %d.", row, len(fields), r.FieldsPerRecord)
		case err != nil:
			return nil, unreadable("CSV", err)
		}
		if len(t.stations) > maxPoints {
			return nil, refuse("too_many", "The table has more rows than the %d that are taken.", maxPoints)
		}
		if err := t.row(row, fields, comma != ','); err != nil {
			return nil, err
		}
	}
}

// table reads rows into stations.
type table struct {
	place, value         string // what the two columns are
	placeCol, valueCol   int
	placeUnit, valueUnit string
	stations             []slope.Station
	along                float64 // last place on the snow, m
}

func columns(first []string) (*table, error) {
	t := &table{placeCol: -1, valueCol: -1}
	for i, name := range first {
		what, unit, _ := strings.Cut(strings.ToLower(strings.TrimSpace(name)), "_")
		switch what {
		case onMap, onSnow, ofPiece:
			if t.placeCol >= 0 {
				return nil, refuse("columns", "Two columns hold places. %s", columnsSay)
			}
			t.place, t.placeCol, t.placeUnit = what, i, unit
		case height, gradient:
			if t.valueCol >= 0 {
				return nil, refuse("columns", "Two columns hold heights or gradients. %s", columnsSay)
			}
			t.value, t.valueCol, t.valueUnit = what, i, unit
		}
	}
	switch {
	case t.placeCol < 0 || t.valueCol < 0:
		return nil, refuse("columns", "The table does not say what its columns are. %s", columnsSay)
	case (t.place == ofPiece) != (t.value == gradient):
		return nil, refuse("columns", "Lengths of pieces go with their gradients, places with heights. %s", columnsSay)
	case t.placeUnit != "m" && t.placeUnit != "ft":
		return nil, refuse("unit", "The column of places is in %q; metres (_m) or feet (_ft) are read.", t.placeUnit)
	case t.value == height && t.valueUnit != "m" && t.valueUnit != "ft":
		return nil, refuse("unit", "The column of heights is in %q; metres (_m) or feet (_ft) are read.", t.valueUnit)
	case t.value == gradient && t.valueUnit != "pct" && t.valueUnit != "deg":
		return nil, refuse("unit", "The column of gradients is in %q; percent (_pct) or degrees (_deg) are read.", t.valueUnit)
	}
	if t.place == ofPiece {
		t.stations = []slope.Station{{}}
	}
	return t, nil
}

func (t *table) row(n int, fields []string, decimalComma bool) error {
	number := func(column int) (float64, error) {
		text := strings.TrimSpace(fields[column])
		if decimalComma {
			text = strings.ReplaceAll(text, ",", ".")
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, refuse("not_a_number", "Row %d, column %d: %q is not a number.", n, column+1, clip(text))
		}
		return v, nil
	}
	x, err := number(t.placeCol)
	if err != nil {
		return err
	}
	v, err := number(t.valueCol)
	if err != nil {
		return err
	}
	x = metres(x, t.placeUnit)
	if t.value == gradient {
		return t.piece(n, x, v)
	}
	h := metres(v, t.valueUnit)
	if t.place == onSnow && len(t.stations) > 0 {
		last := t.stations[len(t.stations)-1]
		step, fall := x-t.along, h-last.Height
		switch {
		case step < 0:
			return refuse("unsorted", "The distances are not in order: after %.1f m comes %.1f m (row %d). They must rise from the top of the run to its end.", t.along, x, n)
		case math.Abs(fall) > step:
			return refuse("unit", "Row %d: the height changes by %.1f m over %.1f m on the snow, which cannot be; check the units.", n, fall, step)
		}
		t.along = x
		x = last.Distance + math.Sqrt(step*step-fall*fall)
	} else if t.place == onSnow {
		t.along = x
	}
	t.stations = append(t.stations, slope.Station{Distance: x, Height: h})
	return nil
}

// piece adds a piece of a length on the snow and a gradient.
func (t *table) piece(n int, length, v float64) error {
	if length <= 0 {
		return refuse("out_of_range", "Row %d: the length of a piece must be above 0.", n)
	}
	angle, err := quantity.GradePercent(v)
	if t.valueUnit == "deg" {
		angle, err = quantity.Degrees(v)
	}
	if err != nil || math.Abs(float64(angle)) >= math.Pi/2 {
		return refuse("out_of_range", "Row %d: %g is no gradient of a slope.", n, v)
	}
	last := t.stations[len(t.stations)-1]
	sin, cos := math.Sincos(float64(angle))
	t.stations = append(t.stations, slope.Station{Distance: last.Distance + length*cos, Height: last.Height - length*sin})
	return nil
}

func metres(v float64, unit string) float64 {
	if unit == "ft" {
		m, _ := quantity.Feet(v)
		return float64(m)
	}
	return v
}

func clip(s string) string {
	const most = 40
	if len(s) > most {
		return strings.ToValidUTF8(s[:most], "") + "..."
	}
	return s
}
