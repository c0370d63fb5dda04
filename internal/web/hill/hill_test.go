package hill_test

import (
	"context"
	"io"
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/hill"
	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// now is the hill as the lead sees it.
func now(s *webtest.Seeded) programme.Hill {
	s.T.Helper()
	h, err := s.Cases.HillAt(context.Background(), s.Actors[programme.Lead], programme.AsOf{})
	if err != nil {
		s.T.Fatal(err)
	}
	return h
}

// A slope drawn by hand on the page is there with its figures; changing its
// width leaves its points.
func TestSlopeByHand(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	c.Get("/hill").Is(http.StatusOK).Says("Lower Larch", "Larch chair", "Cold dry groomed snow")
	id := string(s.IDs.Next())
	values := map[string]string{"name": "Upper Larch", "table": "0 20\n100 10\n180 4", "run_out_m": "25 m", "run_out_pct": "-2", "error_pct": "0,5"}
	c.Upload("/hill/slopes/"+id, values, "file", "", nil).Is(http.StatusOK).Says("Upper Larch", "180 m long", "steepest 50 m 10.0 %", "Run-out 25 m, rising 2.0 %", "Not measured: the width", "drawn by hand", "never a recommendation")
	c.Get("/hill/slopes/" + id + "/change").Is(http.StatusOK).Says("It has 3 points")
	c.Upload("/hill/slopes/"+id, map[string]string{"name": "Upper Larch", "width_m": "28", "run_out_m": "25"}, "file", "", nil).Is(http.StatusOK).Says("180 m long")
	d, ok := now(s).SlopeByID(programme.ID(id))
	if !ok || len(d.Stations) != 3 || !d.Drawn || *d.WidthM != 28 || d.RunOutPct != nil {
		t.Errorf("the slope: %+v", d.SlopeDetails)
	}
}

// What cannot be a slope is refused at its field, what was typed stays, and
// nothing is written.
func TestSlopeRefused(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	id := string(s.IDs.Next())
	for name, one := range map[string]struct {
		values map[string]string
		file   string
		body   io.Reader
		words  string
	}{
		"nothing":        {map[string]string{"name": "X"}, "", nil, "Choose a file, or write the points"},
		"no name":        {map[string]string{"table": "0 20\n100 10"}, "", nil, "Write the name"},
		"one point":      {map[string]string{"name": "X", "table": "0 20"}, "", nil, "at least two points"},
		"unsorted":       {map[string]string{"name": "X", "table": "0 20\n50 10\n40 8"}, "", nil, "must rise from the top"},
		"uphill":         {map[string]string{"name": "X", "table": "0 2\n50 10"}, "", nil, "does not fall"},
		"kilometres":     {map[string]string{"name": "X", "table": "0 20\n0.1 10"}, "", nil, "in kilometres"},
		"words":          {map[string]string{"name": "X", "table": "top bottom"}, "", nil, "not a distance and a height"},
		"width in words": {map[string]string{"name": "X", "table": "0 20\n100 10", "width_m": "wide"}, "", nil, "\"wide\" is not a number in m"},
		"both":           {map[string]string{"name": "X", "table": "0 20\n100 10"}, "a.csv", strings.NewReader("d;h\n0;20\n100;10"), "not both"},
		"empty file":     {map[string]string{"name": "X"}, "a.gpx", strings.NewReader(""), "The file is empty"},
		"same name":      {map[string]string{"name": "lower larch", "table": "0 20\n100 10"}, "", nil, "already"},
		"100 MB":         {map[string]string{"name": "X"}, "a.gpx", io.LimitReader(zeros{}, 100<<20), "larger than 16 MB"},
	} {
		before := s.Facts()
		c.Upload("/hill/slopes/"+id, one.values, "file", one.file, one.body).Is(http.StatusUnprocessableEntity).Says("There is a problem", one.words)
		if s.Facts() != before {
			t.Errorf("%s: something was written", name)
		}
		if typed := one.values["table"]; typed != "" && strings.TrimSpace(c.Doc.Find("textarea[name=table]").Text()) != typed {
			t.Errorf("%s: what was typed is gone", name)
		}
	}
	if hill.MaxFile != 16<<20 {
		t.Errorf("files of %d bytes are taken", hill.MaxFile)
	}
}

// zeros is a file without an end.
type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }

// A form that breaks off is told, and nothing is written.
func TestBrokenUpload(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	before := s.Facts()
	c := s.Client(s.Cookies[programme.Lead])
	c.Upload("/hill/slopes/"+string(s.IDs.Next()), map[string]string{"name": "X"}, "file", "a.gpx", broken{}).Is(http.StatusUnprocessableEntity).Says("did not arrive whole", "Nothing was saved")
	c.Upload("/hill/slopes/"+string(s.IDs.Next()), map[string]string{"name": strings.Repeat("x", 70<<10)}, "file", "", nil).Is(http.StatusUnprocessableEntity).Says("Nothing was saved")
	if s.Facts() != before {
		t.Error("something was written")
	}
	// Without a sign-in nothing of it is read.
	s.Client().Upload("/hill/slopes/"+string(s.IDs.Next()), map[string]string{"name": "X", "table": "0 2\n9 1"}, "file", "", nil).Is(http.StatusUnauthorized)
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestLiftForm(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	id := string(s.IDs.Next())
	c.Get("/hill/lifts/"+id+"/change").Is(http.StatusOK).Press("Save the lift", map[string]string{"name": "Drag", "kind": "t_bar", "speed": "2,5", "interval": "12"}).
		Is(http.StatusOK).Says("Drag", "T-bar", "2.5 m/s", "30.0 m", "Not measured", "Lift staff decide")
	for _, one := range []struct {
		values map[string]string
		words  string
	}{
		{map[string]string{"name": "", "kind": "t_bar", "speed": "2", "interval": "9"}, "Write the name"},
		{map[string]string{"name": "Y", "speed": "2", "interval": "9"}, "what kind of lift"},
		{map[string]string{"name": "Y", "kind": "t_bar", "speed": "2"}, "Give the interval"},
		{map[string]string{"name": "Y", "kind": "t_bar", "speed": "2", "interval": "9", "spacing": "40"}, "one of the three is wrong"},
		{map[string]string{"name": "Y", "kind": "t_bar", "speed": "2", "interval": "9", "wait": "far"}, "\"far\" is not a number"},
		{map[string]string{"name": "Y", "kind": "t_bar", "speed": "200", "interval": "9"}, "check the value and its unit"},
	} {
		before := s.Facts()
		c.Get("/hill/lifts/"+string(s.IDs.Next())+"/change").Press("Save the lift", one.values).Is(http.StatusUnprocessableEntity).Says(one.words)
		if s.Facts() != before {
			t.Errorf("%v was written", one.values)
		}
	}
}

// A day is written down by hand or from a file, never half of it.
func TestDayForm(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Scheduler])
	send := func(values map[string]string, file, body string) *webtest.Client {
		values["day"] = "2027-01-14"
		return c.Upload("/hill/day", values, "file", file, strings.NewReader(body))
	}
	send(map[string]string{"snow": "wet", "from": "hut", "time_1": "9:00", "air_1": "-20", "wind_1": "30"}, "", "").Is(http.StatusOK).Says("Wet or slushy snow", "-33", "10 to 30 min") // the chart's own cell
	send(map[string]string{"snow": "cold", "from": "valley"}, "f.csv", "09:00,-10,10\n12:00,-4,20").Is(http.StatusOK).Says("-15", "12:00")
	for _, one := range []struct {
		values map[string]string
		file   string
		words  string
	}{
		{map[string]string{"from": "hut", "time_1": "9:00", "air_1": "-20"}, "", "Write the wind of row 1"},
		{map[string]string{"from": "hut", "air_1": "-20", "wind_1": "3"}, "", "Write the time of row 1"},
		{map[string]string{"from": "hut", "time_1": "noon", "air_1": "-2", "wind_1": "3"}, "", "not a time of the day"},
		{map[string]string{"time_1": "09:00", "air_1": "-2", "wind_1": "3"}, "", "Where the forecast is from"},
		{map[string]string{"from": "hut", "time_1": "09:00", "air_1": "260", "wind_1": "3"}, "", "The air temperature"},
		{map[string]string{"from": "hut"}, "cold", "is not a time"},
		{map[string]string{"from": "hut", "time_1": "09:00", "air_1": "-2", "wind_1": "3"}, "09:00,-1,2", "not both"},
	} {
		before, name := s.Facts(), ""
		if one.file != "" {
			name = "f.csv"
		}
		send(one.values, name, one.file).Is(http.StatusUnprocessableEntity).Says(one.words)
		if s.Facts() != before {
			t.Errorf("%v was written", one.values)
		}
	}
}

// Glides are timed, corrected and taken back; the friction of the day follows.
func TestGlidesForm(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Scheduler])
	to := "/hill/slopes/" + string(s.Slope)
	c.Get(to).Is(http.StatusOK).Says("from glides timed here today", "10.9, 11.2 s")
	c.Get(to+"/glides").Is(http.StatusOK).Press("Save the glides", map[string]string{"length": "25", "pct": "12", "mass": "70", "times": "8.9 9,1"}).Is(http.StatusOK).Says("25 m at 12.0 %", "8.9, 9.1 s")
	before := s.Facts()
	c.Get(to+"/glides").Press("Save the glides", map[string]string{"length": "25", "pct": "12", "mass": "70"}).Is(http.StatusUnprocessableEntity).Says("no glide to record")
	c.Get(to+"/glides").Press("Save the glides", map[string]string{"length": "25", "pct": "12", "mass": "70", "times": "fast"}).Is(http.StatusUnprocessableEntity).Says("\"fast\" is not a number in s")
	c.Get("/hill/glides/"+string(s.Glides)).Press("Take the glides back", nil).Is(http.StatusUnprocessableEntity).Says("why the glides are taken back")
	if s.Facts() != before {
		t.Error("something was written")
	}
	c.Get("/hill/glides/"+string(s.Glides)).Press("Save the correction", map[string]string{"times": "12.4"}).Is(http.StatusOK).Says("12.4 s").SaysNot("10.9")
	c.Get("/hill/glides/"+string(s.Glides)).Press("Take the glides back", map[string]string{"reason": "pushed off"}).Is(http.StatusOK).SaysNot("12.4 s")
	c.Get("/hill/glides/" + string(s.Glides)).Is(http.StatusNotFound)
}
