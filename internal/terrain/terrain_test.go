package terrain

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"firnhand/core/slope"
)

// track writes a GPX file of an invented line along a meridian: step metres
// apart, with these heights.
func track(step float64, heights ...float64) string {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0"?><gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>Upper meadow</name><trkseg>`)
	for i, h := range heights {
		lat := 46 - float64(i)*step/earth*180/math.Pi
		fmt.Fprintf(&b, `<trkpt lat="%.9f" lon="10.5"><ele>%g</ele><time>2027-01-14T09:00:%02dZ</time></trkpt>`, lat, h, i%60)
	}
	b.WriteString(`</trkseg></trk></gpx>`)
	return b.String()
}

func falling(n int, from, by float64) []float64 {
	h := make([]float64, n)
	for i := range h {
		h[i] = from - by*float64(i)
	}
	return h
}

func read(t *testing.T, name, text string, o Options) Run {
	t.Helper()
	r, err := Read(name, []byte(text), o)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return r
}

func TestGPX(t *testing.T) {
	r := read(t, "run.GPX", track(10, falling(31, 1500, 1.2)...), Options{})
	last := r.Stations[len(r.Stations)-1]
	if r.Kind != "GPX" || r.Name != "Upper meadow" || len(r.Stations) != 31 || math.Abs(last.Distance-300) > 1e-3 || last.Height != 1500-36 {
		t.Errorf("%+v", r)
	}
	p, err := slope.Smooth(r.Stations, slope.Usual())
	if err != nil || math.Abs(p.Steepest(50).Gradient-0.12) > 1e-5 {
		t.Errorf("%v %v", p.Steepest(50), err)
	}
	route := strings.NewReplacer("<trk>", "<rte>", "</trk>", "</rte>", "<trkseg>", "", "</trkseg>", "", "trkpt", "rtept").Replace(track(10, falling(5, 100, 2)...))
	if r := read(t, "x", route, Options{}); len(r.Stations) != 5 {
		t.Errorf("%+v", r)
	}
}

// A known length on the ground: one degree of latitude is 111.195 km on a
// sphere of the mean radius (2 π R / 360), a degree of longitude at 60° half
// of that.
func TestDistances(t *testing.T) {
	one := 2 * math.Pi * earth / 360
	if d := haversine(degrees{10, 46, 0}, degrees{10, 47, 0}); math.Abs(d-one) > 1e-6 || math.Abs(one-111195) > 1 {
		t.Error(d)
	}
	if d := haversine(degrees{10, 60, 0}, degrees{10.01, 60, 0}); math.Abs(d-one/200) > 1e-3 {
		t.Error(d)
	}
	p := flat(degrees{179.999, 60, 0}, degrees{-179.999, 60.001, 5})
	if math.Abs(p.east-one/1000) > 0.1 || math.Abs(p.north-one/1000) > 1e-6 || p.height != 5 {
		t.Errorf("%+v", p)
	}
}

const collection = `{"type":"FeatureCollection","features":[
 {"type":"Feature","properties":{"name":"Lower meadow"},"geometry":{"type":"LineString","coordinates":[[10,46,1500],[10,45.999,1490],[10,45.998,1480]]}},
 {"type":"Feature","properties":{},"geometry":{"type":"MultiPoint","coordinates":[[10.0005,46,1496],[10.0005,45.998,1476],[9.9995,46,1504],[9.9995,45.998,1484]]}},
 {"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[10,45.9995,1495]}},
 {"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[10,45.9995]}},
 {"type":"Feature","properties":{},"geometry":null}]}`

func TestGeoJSON(t *testing.T) {
	r := read(t, "meadow.geojson", collection, Options{})
	if r.Kind != "GeoJSON" || r.Name != "Lower meadow" || len(r.Stations) != 3 || r.Across == nil {
		t.Fatalf("%+v", r)
	}
	// The line runs south, so its left is east; the ground falls 8 m from west
	// to east over 0.001 degrees of longitude at 46°.
	want := 8 / (2 * math.Pi * earth / 360 * 0.001 * math.Cos(46*math.Pi/180))
	if math.Abs(*r.Across-want) > 1e-3 {
		t.Errorf("falls across by %v, want %v", *r.Across, want)
	}
	for _, text := range []string{
		`{"type":"LineString","coordinates":[[10,46,1500],[10,45.999,1490]]}`,
		`{"type":"Feature","properties":null,"geometry":{"type":"MultiLineString","coordinates":[[[10,46,1500],[10,45.999,1490]]]}}`,
		`{"type":"GeometryCollection","geometries":[{"type":"LineString","coordinates":[[10,46,1500],[10,45.999,1490]]}]}`,
	} {
		if r := read(t, "x.json", text, Options{}); len(r.Stations) != 2 || r.Across != nil {
			t.Errorf("%+v", r)
		}
	}
}

func TestTable(t *testing.T) {
	for name, text := range map[string]string{
		"map":       "distance_m,height_m\n0,1500\n# a comment\n30,1497\n60,1494\n",
		"semicolon": "distance_m;height_m\n0;1500,0\n30;1497,0\n60,0;1494\n",
		"tab":       "height_m\tdistance_m\tname\n1500\t0\ta\n1497\t30\tb\n1494\t60\tc\n",
		"feet":      "distance_ft,height_ft\n0,4921.2598425197\n98.4251968504,4911.4173228346\n196.8503937008,4901.5748031496\n",
		"order":     "Distance_m , Height_m\n0, 1500\n30, 1497\n60, 1494\n",
	} {
		r := read(t, name+".csv", text, Options{})
		last := r.Stations[len(r.Stations)-1]
		if len(r.Stations) != 3 || math.Abs(last.Distance-60) > 1e-6 || math.Abs(last.Height-1494) > 1e-6 {
			t.Errorf("%s: %+v", name, r)
		}
	}
	// On the snow: 50 m of tape over 30 m of height are 40 m on the map.
	along := read(t, "", "along_m,height_m\n100,80\n150,50\n200,20\n", Options{})
	if d := along.Stations[2].Distance; math.Abs(d-80) > 1e-9 || along.Stations[0].Distance != 0 {
		t.Error(along.Stations)
	}
	pieces := read(t, "x.txt", "length_m,slope_pct\n30,10\n20,-2\n", Options{})
	if got := slope.PiecesOf(pieces.Stations); len(got) != 2 || math.Abs(got[0].Length-30) > 1e-9 || math.Abs(math.Tan(got[1].Slope)+0.02) > 1e-12 {
		t.Errorf("%+v", pieces)
	}
	steep := read(t, "x.txt", "length_m,slope_deg\n30,45\n", Options{})
	if got := slope.PiecesOf(steep.Stations); math.Abs(got[0].Slope-math.Pi/4) > 1e-12 {
		t.Errorf("%+v", steep)
	}
}

func TestParts(t *testing.T) {
	// Down 60 m, up 60 m by a lift, down 60 m again.
	day := append(append(falling(21, 1500, 3), falling(20, 1443, -3)...), falling(20, 1497, 3)...)
	text := track(10, day...)
	_, err := Read("day.gpx", []byte(text), Options{})
	var e *Error
	if !errors.As(err, &e) || e.Code != "loop" || !strings.Contains(e.Sentence, "0 to 200 m (falls 60 m)") || !strings.Contains(e.Sentence, "400 to 600 m") {
		t.Fatal(err)
	}
	r := read(t, "day.gpx", text, Options{From: 405, To: 595})
	if len(r.Notes) != 1 || r.Stations[0].Distance != 0 || math.Abs(r.Stations[len(r.Stations)-1].Distance-190) > 1e-6 {
		t.Errorf("%+v", r)
	}
	up := track(10, falling(21, 1400, -3)...)
	if _, err := Read("up.gpx", []byte(up), Options{}); !errors.As(err, &e) || e.Code != "uphill" {
		t.Error(err)
	}
	if r := read(t, "up.gpx", up, Options{Reverse: true}); r.Stations[0].Height != 1460 || r.Stations[20].Height != 1400 {
		t.Errorf("%+v", r.Stations)
	}
	two := strings.Replace(text, "</gpx>", "<trk><trkseg><trkpt lat=\"46\" lon=\"10\"><ele>5</ele></trkpt></trkseg></trk></gpx>", 1)
	if _, err := Read("two.gpx", []byte(two), Options{}); !errors.As(err, &e) || e.Code != "several_lines" || !strings.Contains(e.Sentence, "Upper meadow") {
		t.Error(err)
	}
	read(t, "two.gpx", two, Options{Line: 1, To: 200})
	// One spike of a recorder makes no second run.
	spiked := falling(60, 1500, 1)
	spiked[30] += 40
	read(t, "spike.gpx", track(5, spiked...), Options{})
	// A loop on level ground comes back to where it began.
	ring := `{"type":"LineString","coordinates":[[10,46,1500],[10.001,46,1480],[10.001,46.001,1460],[10,46.001,1480],[10,46,1500]]}`
	if _, err := Read("ring.json", []byte(ring), Options{}); !errors.As(err, &e) || e.Code != "loop" || !strings.Contains(e.Sentence, "comes back") {
		t.Error(err)
	}
}

// Bad files get a sentence: what is wrong and what to do, on one line, with
// nothing of the parser's own words.
func TestRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, code, part string }{
		{"a.gpx", "", "empty", "is empty"},
		{"a.gpx", "  \n\ufeff ", "unreadable", "GPX"},
		{"a.csv", "\ufeff\n", "empty", "is empty"},
		{"a.gpx", "<gpx></gpx>", "empty", "no line"},
		{"a.gpx", "<gpx><trk><trkseg>", "unreadable", "damaged"},
		{"a.gpx", "not xml at all", "unreadable", "GPX"},
		{"a.gpx", track(10, 1500), "one_point", "one point only"},
		{"a.gpx", track(10, 0, 0, 0, 0), "no_heights", "no heights"},
		{"a.gpx", track(10, 1500, 0, 1498, 1497), "no_heights", "1 of the 4 points"},
		{"a.gpx", track(10, 30000, 29990, 29980), "unit", "nowhere on Earth"},
		{"a.gpx", track(0.1, 1500, 1499.9, 1499.8), "unit", "kilometres"},
		{"a.gpx", track(40000, 1500, 1400, 1300), "unit", "no ski run"},
		{"a.gpx", track(10, 1500, 1450, 1400), "unit", "wall"},
		{"a.gpx", track(0, 1500, 1500, 1500), "no_length", "one place"},
		{"a.gpx", strings.Replace(track(10, 1500, 1499), `lat="46`, `lat="146`, 1), "unit", "not on Earth"},
		{"a.json", `{"a":1}`, "unreadable", "no type"},
		{"a.json", `[1,2]`, "unreadable", "GeoJSON"},
		{"a.json", `{"type":"LineString","coordinates":[[10,46],[10,45]]}`, "no_heights", "third number"},
		{"a.json", `{"type":"LineString","coordinates":"x"}`, "unreadable", "GeoJSON"},
		{"a.json", `{"type":"Polygon","coordinates":[[[10,46,1],[10,45,1],[11,45,1],[10,46,1]]]}`, "empty", "no line"},
		{"a.json", `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"LineString","coordinates":[[10,46,1],[10]]}}]}`, "unreadable", "GeoJSON"},
		{"a.json", `{"type":"Feature","geometry":7}`, "unreadable", "GeoJSON"},
		{"a.csv", "1,2\n3,4\n", "columns", "distance_m,height_m"},
		{"a.csv", "distance_m,height_m\n", "empty", "no points"},
		{"a.csv", "distance_m,height_m\n0,5\n", "one_point", "one point only"},
		{"a.csv", "distance_m,height_m\n0,5\n20,4\n10,3\n", "unsorted", "not in order"},
		{"a.csv", "along_m,height_m\n0,5\n20,4\n10,3\n", "unsorted", "row 4"},
		{"a.csv", "along_m,height_m\n0,50\n20,4\n", "unit", "cannot be"},
		{"a.csv", "distance_m,height_m\n0,five\n", "not_a_number", "row 2"},
		{"a.csv", "distance_m,height_m\nNaN,5\n", "not_a_number", "Row 2"},
		{"a.csv", "distance_m,height_m\n0,5,6\n", "unreadable", "3 fields"},
		{"a.csv", "distance_m,height_m\n\"0,5\n", "unreadable", "CSV"},
		{"a.csv", "distance_km,height_m\n0,5\n", "unit", "km"},
		{"a.csv", "distance_m,height_yd\n0,5\n", "unit", "yd"},
		{"a.csv", "length_m,slope_rad\n5,5\n", "unit", "rad"},
		{"a.csv", "length_m,height_m\n5,5\n", "columns", "go with"},
		{"a.csv", "distance_m,along_m,height_m\n5,5,5\n", "columns", "Two columns"},
		{"a.csv", "distance_m,height_m,height_ft\n5,5,5\n", "columns", "Two columns"},
		{"a.csv", "length_m,slope_pct\n-5,5\n", "out_of_range", "above 0"},
		{"a.csv", "length_m,slope_deg\n5,95\n", "out_of_range", "no gradient"},
		{"a.csv", "distance_m,height_m\n0,500\n600000,0\n", "unit", "600 km"},
	} {
		_, err := Read(c.name, []byte(c.text), Options{})
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if e.Code != c.code || !strings.Contains(strings.ToLower(e.Sentence), strings.ToLower(c.part)) {
			t.Errorf("%q: %s %q, want %s %q", c.text[:min(60, len(c.text))], e.Code, e.Sentence, c.code, c.part)
		}
		if !strings.HasSuffix(e.Sentence, ".") || strings.Contains(e.Sentence, "\n") || e.Error() != e.Sentence || errors.Unwrap(e) != e.Cause {
			t.Errorf("%q is no sentence", e.Sentence)
		}
	}
	var e *Error
	if _, err := Read("big.gpx", make([]byte, MaxBytes+1), Options{}); !errors.As(err, &e) || e.Code != "too_big" {
		t.Error(err)
	}
	rows := strings.Repeat("0,5\n", maxPoints+2)
	if _, err := Read("big.csv", []byte("distance_m,height_m\n"+rows), Options{}); !errors.As(err, &e) || e.Code != "too_many" {
		t.Error(err)
	}
	text := track(10, falling(20, 1500, 1)...)
	for _, o := range []Options{{Line: 2}, {Line: -1}, {From: 500}, {From: 50, To: 20}, {To: 900}, {From: math.NaN()}} {
		if _, err := Read("a.gpx", []byte(text), o); !errors.As(err, &e) {
			t.Errorf("%+v: %v", o, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("a.gpx", track(10, 1500, 1499, 1498))
	f.Add("a.json", collection)
	f.Add("a.csv", "distance_m;height_m\n0;5,5\n30;4\n")
	f.Add("a.csv", "along_m,height_m\n0,5\n30,4\n")
	f.Add("a.csv", "length_m,slope_pct\n0,5\n30,4\n")
	f.Add("", `{"type":"GeometryCollection","geometries":[{"type":"LineString","coordinates":[[1,2,3],[4,5,6]]}]}`)
	f.Fuzz(func(t *testing.T, name, text string) {
		r, err := Read(name, []byte(text), Options{})
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Code == "" || !utf8.ValidString(e.Sentence) && utf8.ValidString(text) {
				t.Fatalf("%T %v", err, err)
			}
			return
		}
		if len(r.Stations) < 2 {
			t.Fatalf("%+v", r)
		}
		for i, s := range r.Stations {
			if math.IsNaN(s.Distance) || math.IsNaN(s.Height) || i > 0 && s.Distance < r.Stations[i-1].Distance {
				t.Fatalf("%+v", r.Stations)
			}
		}
	})
}

func Example() {
	run, err := Read("meadow.csv", []byte("distance_m,height_m\n0,1500\n50,1495\n100,1489\n"), Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := slope.Smooth(run.Stations, slope.Smoothing{Spacing: 5})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: steepest 50 m %.0f %%\n", run.Kind, 100*p.Steepest(50).Gradient)
	// Output: CSV: steepest 50 m 12 %
}
