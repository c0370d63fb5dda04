package webtest

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"

	"github.com/PuerkitoBio/goquery"

	"firnhand/core/lift"
	"firnhand/core/slope"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// number is a figure that was measured.
func number(v float64) *float64 { return &v }

// seedHill puts a slope, a lift, a day and glides there, and what the student
// does on them.
func (s *Seeded) seedHill(must func(programme.Receipt, error)) {
	ctx, lead := context.Background(), s.Actors[programme.Lead]
	made := func() programme.Made { return programme.Made{ID: s.IDs.Next()} }
	day := programme.DateOf(s.Clock.Now())
	s.Slope, s.Lift, s.Glides = s.IDs.Next(), s.IDs.Next(), s.IDs.Next()
	must(s.Cases.PutSlope(ctx, lead, made(), programme.SlopeDetails{Slope: s.Slope, Name: "Lower Larch", Drawn: true, From: "drawn by hand", ErrorPct: 0.5,
		Stations: []slope.Station{{Distance: 0, Height: 14}, {Distance: 60, Height: 8}, {Distance: 140, Height: 0}},
		WidthM:   number(30), RunOutM: number(40), RunOutPct: number(-2), AcrossPct: number(1), TopM: number(1300)}))
	must(s.Cases.PutLift(ctx, lead, made(), programme.LiftDetails{Lift: s.Lift, Name: "Larch chair", What: lift.FixedChair, SpeedMS: number(2), Interval: number(8), Seats: 2,
		WaitM: []float64{2.4}, ClearM: []float64{9}, ZoneM: []float64{3}, CarrierM: []float64{1.2}, Bar: lift.Yes, Measured: day}))
	must(s.Cases.PutDay(ctx, lead, made(), programme.DayDetails{Day: day, Snow: "cold", From: "read on the hill", Hours: []programme.DayHour{{Time: "08:00", AirC: -6, WindMS: 2}, {Time: "12:00", AirC: -3, WindMS: 4}}}))
	must(s.Cases.RecordGlides(ctx, lead, programme.Made{ID: s.Glides}, programme.TimedGlides{Day: day, Slope: s.Slope, LengthM: 30, Pct: 10, PctSD: 0.5, MassKG: 80, WatchSD: 0.2, TimesS: []float64{10.9, 11.2}}))
	must(s.Cases.ChooseHill(ctx, lead, made(), s.Student, programme.HillChoice{Slope: s.Slope, Lift: s.Lift, StepLeft: 3, StepRight: 5, Note: "Hillnote-Sorrel"}))
	must(s.Cases.RecordLiftTimes(ctx, lead, made(), s.Student, programme.LiftTimes{Lift: s.Lift, Day: day, PushM: 2.4, PushS: []float64{3.8, 4.4}, SettleS: []float64{2}, StandS: []float64{2}, ClearS: []float64{9}, Harness: lift.Yes}))
	must(s.Cases.RecordStops(ctx, lead, made(), s.Student, programme.MeasuredStops{Day: day, Slope: s.Slope, Pct: 10, How: "wedge", Trials: []programme.StopMeasure{{SpeedKmh: 10, LengthM: 5}}}))
	must(s.Cases.RecordEffort(ctx, lead, made(), s.Student, programme.EffortBasis{Day: day, WalkM: 240, WalkS: 360}))
}

// readShape stands for the reader of runs: two numbers a line under a first
// line, or a refusal in its words.
func readShape(f page.ShapeFile) (page.Shape, error) {
	out := page.Shape{Drawn: true, From: f.Name}
	for i, line := range strings.Split(strings.TrimSpace(string(f.Data)), "\n") {
		if i == 0 {
			continue
		}
		x, y, ok := strings.Cut(strings.TrimSpace(line), ";")
		distance, err1 := strconv.ParseFloat(x, 64)
		height, err2 := strconv.ParseFloat(y, 64)
		if !ok || err1 != nil || err2 != nil {
			return out, programme.Refuse(programme.CodeInvalid, "Row %d is not a distance and a height.", i+1)
		}
		out.Stations = append(out.Stations, slope.Station{Distance: distance, Height: height})
	}
	if len(out.Stations) == 0 {
		return out, programme.Refuse(programme.CodeInvalid, "The file is empty.")
	}
	return out, nil
}

// readForecast stands for the reader of forecasts: a time, °C and km/h a line.
func readForecast(data []byte) ([]page.ForecastHour, error) {
	var out []page.ForecastHour
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		parts := strings.Split(strings.TrimSpace(line), ",")
		if len(parts) != 3 || len(parts[0]) != 5 {
			return nil, programme.Refuse(programme.CodeInvalid, "%q is not a time.", parts[0])
		}
		air, _ := strconv.ParseFloat(parts[1], 64)
		wind, _ := strconv.ParseFloat(parts[2], 64)
		out = append(out, page.ForecastHour{DayHour: programme.DayHour{Time: parts[0], AirC: air, WindMS: wind / 3.6}})
	}
	return out, nil
}

// Upload sends a form with a file, as a browser would; body is what the file
// holds.
func (c *Client) Upload(to string, values map[string]string, field, name string, body io.Reader) *Client {
	c.T.Helper()
	reader, writer := io.Pipe()
	form := multipart.NewWriter(writer)
	go func() {
		for k, v := range values {
			_ = form.WriteField(k, v)
		}
		if name != "" {
			part, err := form.CreateFormFile(field, name)
			if err == nil {
				_, err = io.Copy(part, body)
			}
			if err != nil {
				writer.CloseWithError(err)
				return
			}
		}
		writer.CloseWithError(form.Close())
	}()
	r := httptest.NewRequest(http.MethodPost, to, reader)
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	for _, k := range c.Cookies {
		r.AddCookie(k)
	}
	w := httptest.NewRecorder()
	c.Handler.ServeHTTP(w, r)
	if to := w.Header().Get("Location"); w.Code >= 300 && w.Code < 400 {
		return c.Get(to)
	}
	c.URL, c.Status, c.Header, c.Body = to, w.Code, w.Header(), w.Body.String()
	doc, err := goquery.NewDocumentFromReader(bytes.NewReader(w.Body.Bytes()))
	if err != nil {
		c.T.Fatal(err)
	}
	c.Doc = doc
	return c
}
