package forecast_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"firnhand/internal/forecast"
)

// A morning written in four ways is the same morning: 14 °F is -10 °C, and 10
// knots are 18.52 km/h (a knot is 1852 m an hour).
func TestUnits(t *testing.T) {
	for _, text := range []string{
		"time,temp_c,wind_kmh\n2027-01-14 09:00,-10,18.52\n2027-01-14 10:00,-8,0\n",
		"\uFEFFtime, temp_f, wind_knots\r\n2027-01-14T09:00, 14, 10\r\n2027-01-14T10:00, 17.6, 0\r\n",
		"note,wind_m_s,TIME,Temp_C\n\"wind, some\",5.144444444444,2027-01-14T09:00:00Z,-10\n,0,2027-01-14T10:00:00Z,-8\n",
		"time,temp_c,wind_mph\n09:00,-10,11.50779448\n10:00,-8,0\n",
	} {
		hours, err := forecast.Read(strings.NewReader(text))
		if err != nil || len(hours) != 2 {
			t.Fatalf("%q: %v %v", text, hours, err)
		}
		h := hours[0]
		if math.Abs(float64(h.Air)+10) > 1e-9 || math.Abs(h.Wind.KilometresPerHour()-18.52) > 1e-6 || hours[1].At.Sub(h.At) != time.Hour || h.When == "" {
			t.Errorf("%q: %+v", text, h)
		}
	}
}

// Each fault is refused with a code, a sentence and its line.
func TestRefuses(t *testing.T) {
	const head = "time,temp_c,wind_kmh\n"
	many := strings.Builder{}
	many.WriteString(head)
	for range forecast.MaxHours + 1 {
		many.WriteString("09:00,-5,10\n")
	}
	for _, c := range []struct {
		name, text, code string
		line             int
	}{
		{"nothing", "", "empty", 0},
		{"header only", head, "empty", 0},
		{"no header", "09:00,-5,10\n", "no_column", 1},
		{"no unit", "time,temp,wind\n09:00,-5,10\n", "no_column", 1},
		{"one column missing", "time,temp_c\n09:00,-5\n", "no_column", 1},
		{"two temperatures", "time,temp_c,temp_f,wind_kmh\n09:00,-5,23,10\n", "column_twice", 1},
		{"no time", head + "morning,-5,10\n", "no_time", 2},
		{"no number", head + "09:00,cold,10\n", "not_a_number", 2},
		{"decimal comma", head + "09:00,\"-5,5\",10\n", "not_a_number", 2},
		{"NaN", head + "09:00,NaN,10\n", "not_a_number", 2},
		{"infinity", head + "09:00,-5,Inf\n", "not_a_number", 2},
		{"blank", head + "09:00,,10\n", "blank", 2},
		{"Fahrenheit in Celsius", head + "09:00,95,10\n", "out_of_range", 2},
		{"colder than ever", head + "09:00,-95,10\n", "out_of_range", 2},
		{"wind below zero", head + "09:00,-5,-1\n", "out_of_range", 2},
		{"wind of no storm", head + "09:00,-5,480\n", "out_of_range", 2},
		{"far off", head + "09:00,-5,1e9\n", "out_of_range", 2},
		{"short row", head + "09:00,-5\n", "short_row", 2},
		{"backwards", head + "10:00,-5,10\n09:00,-5,10\n", "order", 3},
		{"twice", head + "09:00,-5,10\n09:00,-5,10\n", "order", 3},
		{"quotation mark", head + "09:00,-5,1\"0\n", "not_csv", 2},
		{"broken header", "time,\"temp_c,wind_kmh\n", "not_csv", 1},
		{"not text", head + "09:00,-5,\xff\n", "not_text", 0},
		{"too big", head + strings.Repeat("x", forecast.MaxBytes), "too_big", 0},
		{"long word", head + strings.Repeat("z", 500) + ",-5,10\n", "no_time", 2},
	} {
		hours, err := forecast.Read(strings.NewReader(c.text))
		var e *forecast.Error
		if !errors.As(err, &e) || hours != nil || e.Code != c.code || e.Line != c.line || !strings.HasSuffix(e.Error(), ".") || len(e.Error()) > 250 {
			t.Errorf("%s: %v, %+v", c.name, hours, err)
		}
	}
	if _, err := forecast.Read(strings.NewReader(many.String())); err == nil {
		t.Error("rows without end were read")
	}
	var e *forecast.Error
	if _, err := forecast.Read(iotest.ErrReader(errors.New("no"))); !errors.As(err, &e) || e.Code != "unreadable" {
		t.Errorf("%v", err)
	}
}

func TestTooMany(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,temp_c,wind_kmh\n")
	at := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range forecast.MaxHours + 1 {
		b.WriteString(at.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04") + ",-5,10\n")
	}
	var e *forecast.Error
	if _, err := forecast.Read(strings.NewReader(b.String())); !errors.As(err, &e) || e.Code != "too_many" {
		t.Errorf("%v", err)
	}
}

// Whatever comes in, what is read can be used: in order, in range, no NaN.
func FuzzRead(f *testing.F) {
	f.Add("time,temp_c,wind_kmh\n09:00,-5,10\n10:00,-4,12\n")
	f.Add("time,temp_f,wind_knots\n2027-01-14T09:00,14,10\n")
	f.Add("time,temp_c\n")
	f.Fuzz(func(t *testing.T, text string) {
		hours, err := forecast.Read(strings.NewReader(text))
		if err != nil {
			var e *forecast.Error
			if !errors.As(err, &e) || e.Code == "" {
				t.Fatalf("%v", err)
			}
			return
		}
		for i, h := range hours {
			if !(h.Air >= -90 && h.Air <= 60 && h.Wind >= 0 && h.Wind <= 120) || i > 0 && !h.At.After(hours[i-1].At) {
				t.Fatalf("%+v", h)
			}
		}
	})
}
