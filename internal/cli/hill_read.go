package cli

import (
	"bytes"
	"errors"
	"math"

	"firnhand/core/slope"
	"firnhand/internal/forecast"
	"firnhand/internal/terrain"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// readShape reads the shape of a slope from a file for the records. A
// recording of more points than they keep is smoothed first, as it would be
// later anyway.
func readShape(f page.ShapeFile) (page.Shape, error) {
	r, err := terrain.Read(f.Name, f.Data, terrain.Options{Line: f.Line, From: f.FromM, To: f.ToM, Reverse: f.Reverse})
	if err != nil {
		return page.Shape{}, unreadableFile(err)
	}
	return shapeOf(r, f.Name)
}

func unreadableFile(err error) error {
	var t *terrain.Error
	var w *forecast.Error
	switch {
	case errors.As(err, &t):
		return programme.Fail(programme.CodeInvalid, t.Cause, "%s", t.Sentence)
	case errors.As(err, &w) && w.Line > 0:
		return programme.Refuse(programme.CodeInvalid, "Line %d: %s", w.Line, w.Sentence)
	case errors.As(err, &w):
		return programme.Refuse(programme.CodeInvalid, "%s", w.Sentence)
	}
	return programme.Fail(programme.CodeInternal, err, "The file could not be read.")
}

func shapeOf(r terrain.Run, name string) (page.Shape, error) {
	out := page.Shape{Drawn: r.Kind == "CSV", From: r.Kind + " " + name}
	if r.Name != "" {
		out.From += ", " + r.Name
	}
	if r.Across != nil {
		pct := 100 * *r.Across
		out.AcrossPct = &pct
	}
	s := r.Stations
	if len(s) > programme.MaxStations {
		even := slope.Usual()
		if last := s[len(s)-1].Distance; last/even.Spacing >= programme.MaxStations {
			even.Spacing = math.Ceil(last / (programme.MaxStations - 1))
		}
		if out.Drawn {
			even.Sigma, even.Dense = 0, 0
		}
		p, err := slope.Smooth(s, even)
		if err != nil {
			return out, hillFault(err)
		}
		s, out.Drawn = stations(p), true
		out.From += " (" + fixed(float64(len(r.Stations)), 0) + " points, made " + fixed(float64(len(s)), 0) + ")"
	}
	for _, at := range s {
		one := slope.Station{Distance: millimetres(at.Distance), Height: millimetres(at.Height)}
		if n := len(out.Stations); n > 0 && one.Distance <= out.Stations[n-1].Distance {
			continue // a second reading at one place
		}
		out.Stations = append(out.Stations, one)
	}
	return out, nil
}

// millimetres rounds a length to what the records keep.
func millimetres(m float64) float64 { return math.Round(m*1000) / 1000 }

// readForecast reads a forecast for the records.
func readForecast(data []byte) ([]page.ForecastHour, error) {
	hours, err := forecast.Read(bytes.NewReader(data))
	if err != nil {
		return nil, unreadableFile(err)
	}
	var out []page.ForecastHour
	for _, h := range hours {
		one := page.ForecastHour{DayHour: programme.DayHour{Time: h.At.Format("15:04"), AirC: float64(h.Air), WindMS: float64(h.Wind)}}
		if h.At.Year() > 0 {
			one.Day = programme.DateOf(h.At)
		}
		out = append(out, one)
	}
	return out, nil
}
