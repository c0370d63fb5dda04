// Package forecast reads a weather forecast for one place from a table of
// comma-separated values: a time, an air temperature and a wind in each row.
//
// The first row names the columns, in any order:
//
//	time         2027-01-14 09:00, 2027-01-14T09:00, or 09:00
//	temp_c       or temp_f
//	wind_kmh     or wind_m_s, wind_mph, wind_knots; at 10 m above the ground
//
// Other columns are left alone. Rows come in the order of their time. What
// cannot be read is refused with the line it stands in, and nothing of the file
// is used.
package forecast

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"firnhand/core/quantity"
)

// MaxBytes is the size of the largest forecast that is read, MaxHours the most
// rows.
const (
	MaxBytes = 1 << 20
	MaxHours = 2000
)

// Hour is one row.
type Hour struct {
	When string // as it was written
	At   time.Time
	Air  quantity.Celsius
	Wind quantity.MetrePerSecond // at 10 m
}

// Error is a refusal: a short code for programs, one sentence for people, and
// the line of the file it is about; 0 where it is the whole.
type Error struct {
	Code     string
	Sentence string
	Line     int
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(line int, code, format string, args ...any) *Error {
	return &Error{code, fmt.Sprintf(format, args...), line}
}

var airs = map[string]func(float64) (quantity.Celsius, error){"temp_c": quantity.DegreesCelsius, "temp_f": quantity.DegreesFahrenheit}

var winds = map[string]func(float64) (quantity.MetrePerSecond, error){"wind_kmh": quantity.KilometresPerHour, "wind_m_s": quantity.MetresPerSecond,
	"wind_mph": quantity.MilesPerHour, "wind_knots": quantity.Knots}

// layouts are the ways a time may be written. A time without a day is of the
// first day there is.
var layouts = []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05", time.RFC3339, "15:04"}

// columns is where the three columns are.
type columns struct {
	time, air, wind int
	airName         string
	windName        string
}

// Read reads a forecast.
func Read(r io.Reader) ([]Hour, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, refuse(0, "unreadable", "The forecast could not be read to its end.")
	}
	switch {
	case len(data) > MaxBytes:
		return nil, refuse(0, "too_big", "The forecast is larger than 1 MB; a day of one place is a few lines.")
	case !utf8.Valid(data):
		return nil, refuse(0, "not_text", "The forecast is not plain text in UTF-8.")
	}
	in := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))
	in.TrimLeadingSpace, in.FieldsPerRecord, in.ReuseRecord = true, -1, true
	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return nil, refuse(0, "empty", "The forecast is empty: the first line names the columns time, temp_c and wind_kmh.")
	} else if err != nil {
		return nil, broken(err)
	}
	c, err := find(header)
	if err != nil {
		return nil, err
	}
	return rows(in, c)
}

// broken is a line that is not comma-separated values.
func broken(err error) error {
	var p *csv.ParseError
	line := 0
	if errors.As(err, &p) {
		line = p.Line
	}
	return refuse(line, "not_csv", "This line is not comma-separated values: a quotation mark is out of place.")
}

// find finds the columns.
func find(header []string) (columns, error) {
	c := columns{-1, -1, -1, "", ""}
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		_, air := airs[name]
		_, wind := winds[name]
		var at *int
		switch {
		case name == "time":
			at = &c.time
		case air:
			at, c.airName = &c.air, name
		case wind:
			at, c.windName = &c.wind, name
		default:
			continue
		}
		if *at >= 0 {
			return c, refuse(1, "column_twice", "There is more than one column for %s.", strings.SplitN(name, "_", 2)[0])
		}
		*at = i
	}
	var missing []string
	for _, w := range []struct {
		at   int
		name string
	}{{c.time, "time"}, {c.air, "temp_c (or temp_f)"}, {c.wind, "wind_kmh (or wind_m_s, wind_mph, wind_knots)"}} {
		if w.at < 0 {
			missing = append(missing, w.name)
		}
	}
	if missing != nil {
		return c, refuse(1, "no_column", "The first line must name the column %s; units are never guessed.", strings.Join(missing, " and "))
	}
	return c, nil
}

// rows reads the rows under the header.
func rows(in *csv.Reader, c columns) ([]Hour, error) {
	var hours []Hour
	for {
		record, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, broken(err)
		}
		line, _ := in.FieldPos(0)
		if len(hours) == MaxHours {
			return nil, refuse(line, "too_many", "The forecast has more than %d rows.", MaxHours)
		}
		if len(record) <= slices.Max([]int{c.time, c.air, c.wind}) {
			return nil, refuse(line, "short_row", "This row has only %d of the columns the first line names.", len(record))
		}
		h, err := row(line, record, c)
		if err != nil {
			return nil, err
		}
		if n := len(hours); n > 0 && !h.At.After(hours[n-1].At) {
			return nil, refuse(line, "order", "The time %s does not come after the one before it, %s.", clip(h.When), clip(hours[n-1].When))
		}
		hours = append(hours, h)
	}
	if hours == nil {
		return nil, refuse(0, "empty", "The forecast names its columns and then has no row.")
	}
	return hours, nil
}

func row(line int, record []string, c columns) (Hour, error) {
	h := Hour{When: strings.TrimSpace(record[c.time])}
	ok := false
	for _, layout := range layouts {
		if t, err := time.Parse(layout, h.When); err == nil {
			h.At, ok = t, true
			break
		}
	}
	if !ok {
		return h, refuse(line, "no_time", "%q is not a time; write 2027-01-14 09:00 or 09:00.", clip(h.When))
	}
	air, err := number(line, c.airName, record[c.air], coldest, warmest)
	if err != nil {
		return h, err
	}
	wind, err := number(line, c.windName, record[c.wind], 0, strongest)
	if err != nil {
		return h, err
	}
	// What is finite and within those limits converts.
	h.Air, _ = airs[c.airName](air)
	h.Wind, _ = winds[c.windName](wind)
	if h.Air < -90 || h.Air > 60 {
		return h, refuse(line, "out_of_range", "An air temperature of %s in %s was never measured on earth; check the unit of the column.", clip(record[c.air]), c.airName)
	}
	if h.Wind > 120 {
		return h, refuse(line, "out_of_range", "A wind of %s in %s was never measured on earth; check the unit of the column.", clip(record[c.wind]), c.windName)
	}
	return h, nil
}

// What a cell may hold at all, in any unit.
const (
	coldest, warmest, strongest = -150.0, 150.0, 500.0
)

func number(line int, name, cell string, low, high float64) (float64, error) {
	cell = strings.TrimSpace(cell)
	v, err := strconv.ParseFloat(cell, 64)
	switch {
	case cell == "":
		return 0, refuse(line, "blank", "There is no value for %s in this row; leave the row out if it is not known.", name)
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
		hint := ""
		if strings.Contains(cell, ",") {
			hint = " Write the decimals with a point."
		}
		return 0, refuse(line, "not_a_number", "%q is not a number for %s.%s", clip(cell), name, hint)
	case v < low || v > high:
		return 0, refuse(line, "out_of_range", "%s is out of reach for %s; check the value and the unit of the column.", clip(cell), name)
	}
	return v, nil
}

// clip shortens a text that goes into a sentence.
func clip(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}
