package cold_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/core/cold"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func kmh(v float64) quantity.MetrePerSecond { return quantity.Must(quantity.KilometresPerHour(v)) }

func minutes(v float64) quantity.Second { return quantity.Must(quantity.Minutes(v)) }

func chill(t *testing.T, by cold.Form, air quantity.Celsius, wind quantity.MetrePerSecond) cold.Chill {
	t.Helper()
	return must[cold.Chill](t)(cold.Of(by, air, wind))
}

func cell(t *testing.T, r source.Row, column string) float64 {
	t.Helper()
	v, ok := r.Number(column)
	if !ok {
		t.Fatalf("no %s in %v", column, r)
	}
	return v
}

// Every cell of the chart of Environment Canada prints right.
func TestEveryCellInCelsius(t *testing.T) {
	rows := source.Table("windchill_ec").Rows()
	if len(rows) != 192 {
		t.Fatalf("%d cells", len(rows))
	}
	for _, r := range rows {
		c := chill(t, cold.InCelsius, quantity.Celsius(cell(t, r, "air_c")), kmh(cell(t, r, "wind_kmh")))
		if !c.Known || c.Printed() != cell(t, r, "wind_chill") || len(c.Outside) != 0 {
			t.Errorf("%v: %v (%v) %v", r, c.Printed(), c.Value, c.Outside)
		}
	}
}

// Every cell of the chart of the US National Weather Service prints right.
func TestEveryCellInFahrenheit(t *testing.T) {
	rows := source.Table("windchill_nws").Rows()
	if len(rows) != 216 {
		t.Fatalf("%d cells", len(rows))
	}
	for _, r := range rows {
		air := quantity.Must(quantity.DegreesFahrenheit(cell(t, r, "air_f")))
		c := chill(t, cold.InFahrenheit, air, quantity.Must(quantity.MilesPerHour(cell(t, r, "wind_mph"))))
		if got := quantity.Decimals(0).Round(c.Fahrenheit()); got != cell(t, r, "wind_chill") || len(c.Outside) != 0 {
			t.Errorf("%v: %v (%v) %v", r, got, c.Fahrenheit(), c.Outside)
		}
	}
}

// The misprinted cells of circulating copies do not come out: the checks of
// the charts follow the formula and two copies, not one.
func TestMisprintsDoNotComeOut(t *testing.T) {
	if got := chill(t, cold.InCelsius, -25, kmh(30)).Printed(); got != -39 {
		t.Errorf("-25, 30 km/h: %v", got)
	}
	// 0 °F in 30 mile/h is -26 (-25.86); fed with knots instead, 30 knots give
	// another figure, and 30 mile/h taken for knots is the trap.
	zero := quantity.Must(quantity.DegreesFahrenheit(0))
	c := chill(t, cold.InFahrenheit, zero, quantity.Must(quantity.MilesPerHour(30)))
	if got := c.Fahrenheit(); math.Abs(got+25.86) > 0.005 {
		t.Errorf("0 °F, 30 mile/h: %v", got)
	}
	if got := chill(t, cold.InFahrenheit, zero, quantity.Must(quantity.Knots(30))).Fahrenheit(); math.Abs(got+25.86) < 1 {
		t.Errorf("30 knots are not 30 mile/h: %v", got)
	}
	// The two forms at 10 °F and 4 mile/h: 2.664 and 2.623.
	ten, four := quantity.Must(quantity.DegreesFahrenheit(10)), quantity.Must(quantity.MilesPerHour(4))
	if f, c := chill(t, cold.InFahrenheit, ten, four).Fahrenheit(), chill(t, cold.InCelsius, ten, four).Fahrenheit(); math.Abs(f-2.664) > 0.0005 || math.Abs(c-2.623) > 0.0005 {
		t.Errorf("10 °F, 4 mile/h: %v and %v", f, c)
	}
}

// Environment Canada's own line for winds under 5 km/h (from memory),
// T + (-1.59 + 0.1345 T)/5 V, is the straight line used here to two hundredths.
func TestLightWind(t *testing.T) {
	for air := -50.0; air <= 5; air++ {
		for v := 0.0; v < 5; v += 0.5 {
			want := air + (-1.59+0.1345*air)/5*v
			c := chill(t, cold.InCelsius, quantity.Celsius(air), kmh(v))
			if got := float64(c.Value); math.Abs(got-want) > 0.02 || len(c.Outside) != 1 {
				t.Errorf("%v °C, %v km/h: %v, want %v; %v", air, v, got, want, c.Outside)
			}
		}
	}
	if c := chill(t, cold.InCelsius, -10, 0); c.Value != -10 {
		t.Errorf("calm: %v", c.Value)
	}
}

// No jump in wind or air, in either form; more wind and colder air never feel
// warmer where a chart covers them.
func TestChillIsContinuousAndFalls(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for range 50_000 {
		form := []cold.Form{cold.InCelsius, cold.InFahrenheit}[rnd.IntN(2)]
		air, wind := -50+rnd.Float64()*55, rnd.Float64()*80
		const step = 1e-7
		at := func(a, w float64) float64 { return float64(chill(t, form, quantity.Celsius(a), kmh(w)).Value) }
		v := at(air, wind)
		if d := math.Abs(at(air, wind+step) - v); d > 10*step {
			t.Fatalf("jump of %v in the wind at %v °C, %v km/h, %s", d, air, wind, form)
		}
		if d := math.Abs(at(air+step, wind) - v); d > 10*step {
			t.Fatalf("jump of %v in the air at %v °C, %v km/h, %s", d, air, wind, form)
		}
		more, colder := rnd.Float64()*20, rnd.Float64()*5
		if at(air, wind+more) > v+1e-9 || at(air-colder, wind) > v+1e-9 {
			t.Fatalf("more wind or colder air feels warmer at %v °C, %v km/h, %s", air, wind, form)
		}
	}
	for _, edge := range []float64{5, 3 * 1.609344} {
		for _, form := range []cold.Form{cold.InCelsius, cold.InFahrenheit} {
			a, b := chill(t, form, -20, kmh(edge-1e-9)), chill(t, form, -20, kmh(edge+1e-9))
			if d := math.Abs(float64(a.Value - b.Value)); d > 1e-7 {
				t.Errorf("%s jumps by %v at %v km/h", form, d, edge)
			}
		}
	}
}

// A second writing of both forms on random input.
func TestOracleChill(t *testing.T) {
	rnd := rand.New(rand.NewPCG(13, 14))
	for range 50_000 {
		air, wind := -60+rnd.Float64()*70, 5+rnd.Float64()*100
		p := math.Exp(0.16 * math.Log(wind))
		want := 13.12 + 0.6215*air - 11.37*p + 0.3965*air*p
		if got := float64(chill(t, cold.InCelsius, quantity.Celsius(air), kmh(wind)).Value); math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
			t.Fatalf("%v °C, %v km/h: %v, want %v", air, wind, got, want)
		}
		f, mph := air*9/5+32, wind/1.609344
		if mph < 3 {
			continue
		}
		q := math.Exp(0.16 * math.Log(mph))
		want = 35.74 + 0.6215*f - 35.75*q + 0.4275*f*q
		if got := chill(t, cold.InFahrenheit, quantity.Celsius(air), kmh(wind)).Fahrenheit(); math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
			t.Fatalf("%v °F, %v mile/h: %v, want %v", f, mph, got, want)
		}
	}
}

func TestChillOutside(t *testing.T) {
	for _, c := range []struct {
		form  cold.Form
		air   quantity.Celsius
		wind  float64
		known bool
		says  int
	}{
		{cold.InCelsius, 10, 20, true, 0}, {cold.InCelsius, 10.01, 20, false, 1}, {cold.InFahrenheit, quantity.Must(quantity.DegreesFahrenheit(50)), 20, true, 0},
		{cold.InCelsius, -50, 80, true, 0}, {cold.InCelsius, -50.1, 80, true, 1}, {cold.InCelsius, -50, 80.1, true, 1}, {cold.InCelsius, -60, 90, true, 2},
		{cold.InCelsius, -10, 5, true, 0}, {cold.InCelsius, -10, 4.9, true, 1},
		{cold.InFahrenheit, -10, 4.9, true, 0}, {cold.InFahrenheit, -10, 4.8, true, 1}, {cold.InFahrenheit, -10, 97, true, 1},
	} {
		got := chill(t, c.form, c.air, kmh(c.wind))
		if got.Known != c.known || len(got.Outside) != c.says {
			t.Errorf("%+v: %v %v", c, got.Known, got.Outside)
		}
		if _, in := cold.BandOf(got); !got.Known && in {
			t.Error("a band without a wind chill")
		}
	}
}

// The bands of Environment Canada, as printed, cover every whole number from 0
// down, each once, and give the minutes that are printed.
func TestBands(t *testing.T) {
	for w := 0; w >= -90; w-- {
		n := 0
		for _, b := range cold.Bands() {
			if float64(w) <= b.From && float64(w) >= b.To {
				n++
			}
		}
		if n != 1 {
			t.Errorf("wind chill %d lies in %d bands", w, n)
		}
	}
	for _, c := range []struct {
		at          float64
		freezes     bool
		least, most float64
	}{{0, false, 0, 0}, {-9, false, 0, 0}, {-27, false, 0, 0}, {-27.49, false, 0, 0}, {-27.5, true, 10, 30}, {-28, true, 10, 30}, {-39, true, 10, 30},
		{-40, true, 5, 10}, {-47, true, 5, 10}, {-48, true, 2, 5}, {-54, true, 2, 5}, {-55, true, 0, 2}, {-80, true, 0, 2}} {
		b, ok := cold.BandOf(cold.Chill{Known: true, Value: quantity.Celsius(c.at)})
		if !ok || b.Freezes != c.freezes || b.Freezes && (b.Least != minutes(c.least) || b.Most != minutes(c.most)) || b.Ref != "S38" {
			t.Errorf("%v: %+v %v", c.at, b, ok)
		}
	}
	if _, ok := cold.BandOf(cold.Chill{Known: true, Value: 1}); ok {
		t.Error("a band above zero")
	}
}

// Ducharme and Brajkovic, abstract: time to frostnip in a wind tunnel. No
// trial was quicker than the band says for the wind at 10 m that gives the
// tunnel's wind at the face, but for the coldest rows by rounding of the band.
func TestTrialsAgainstBands(t *testing.T) {
	n := 0
	for _, r := range source.Table("frostnip_trials").Rows() {
		min, ok := r.Number("time_min")
		if !ok {
			continue
		}
		n++
		face := map[string]float64{"16": 16, "32": 32}[r.Text("wind_kmh")]
		f := must[cold.Freezing](t)(cold.Freeze(quantity.Celsius(cell(t, r, "air_c")), kmh((face-4.8)/0.667)))
		if !f.Freezes || f.Least.Minutes() > min {
			t.Errorf("%v: the band gives %v at the earliest (%v)", r, f.Least.Minutes(), f.Chill.Printed())
		}
	}
	if n != 6 {
		t.Errorf("%d trials", n)
	}
}

// The formula from memory at -30 °C in 40 km/h gives 6.2 minutes, where the
// bands give 2 to 5: the bands win.
func TestFrostbite(t *testing.T) {
	m, _, ok := cold.Frostbite(-30, kmh(40))
	if !ok || math.Abs(m-6.2) > 0.05 {
		t.Errorf("%v %v", m, ok)
	}
	f := must[cold.Freezing](t)(cold.Freeze(-30, kmh(40)))
	if !f.BandWins || f.Least != minutes(2) || f.Most != minutes(5) || len(f.Notes) != 1 {
		t.Errorf("%+v", f)
	}
	for _, c := range []struct {
		air  quantity.Celsius
		wind float64
		ok   bool
	}{{-30, 25, true}, {-30, 24.9, false}, {-15, 25, false}, {-4.8, 50, false}, {5, 50, false}, {-30, 80.1, false}, {-30, 80, true}} {
		if m, why, ok := cold.Frostbite(c.air, kmh(c.wind)); ok != c.ok || ok == (why != "") || ok && !(m > 0 && m <= 15) {
			t.Errorf("%+v: %v %q %v", c, m, why, ok)
		}
	}
	if _, _, ok := cold.Frostbite(quantity.Celsius(math.NaN()), 10); ok {
		t.Error("NaN gave minutes")
	}
	// Above 50 km/h the bands' own note is said.
	if f := must[cold.Freezing](t)(cold.Freeze(-25, kmh(60))); len(f.Notes) == 0 || !strings.Contains(f.Notes[len(f.Notes)-1], "50 km/h") {
		t.Errorf("%v", f.Notes)
	}
}

// Own speed: in calm at 15 km/h as in 15.3 km/h, and -16.8 at -10 °C.
func TestFelt(t *testing.T) {
	calm := must[quantity.MetrePerSecond](t)(cold.Felt(0, kmh(15)))
	if got := calm.KilometresPerHour(); math.Abs(got-15.3) > 0.05 {
		t.Errorf("%v km/h", got)
	}
	if got := float64(chill(t, cold.InCelsius, -10, calm).Value); math.Abs(got+16.8) > 0.05 {
		t.Errorf("wind chill %v", got)
	}
	rnd := rand.New(rand.NewPCG(15, 16))
	for range 10_000 {
		w, v := rnd.Float64()*80, rnd.Float64()*60
		felt := must[quantity.MetrePerSecond](t)(cold.Felt(kmh(w), kmh(v))).KilometresPerHour()
		// Both sides of the derivation: the wind at the face is the same.
		if face := 0.667*felt + 4.8; math.Abs(face-(0.667*w+math.Max(v, 4.8))) > 1e-9 || felt < w-1e-9 {
			t.Fatalf("wind %v, own %v: %v at the face", w, v, face)
		}
	}
	// Standing and walking are the formula itself.
	for _, v := range []float64{0, 2, 4.8} {
		if felt := must[quantity.MetrePerSecond](t)(cold.Felt(kmh(20), kmh(v))); felt != kmh(20) {
			t.Errorf("at %v km/h: %v", v, felt)
		}
	}
	m := cold.Moment{Air: -10, Wind: kmh(10)}
	f, felt, err := cold.Through(m, kmh(20), kmh(9))
	if err != nil || felt != must[quantity.MetrePerSecond](t)(cold.Felt(kmh(10), kmh(20))) || f.Chill.Wind != felt {
		t.Errorf("%+v %v %v", f, felt, err)
	}
	if _, _, err := cold.Through(m, -1, 0); err != nil {
		t.Errorf("the chair's speed counts where the own is smaller: %v", err)
	}
	if _, _, err := cold.Through(m, -2, -1); err == nil {
		t.Error("a speed below zero was taken")
	}
}

// ISA: 6.5 K a kilometre.
func TestAtHeight(t *testing.T) {
	if got := must[quantity.Celsius](t)(cold.AtHeight(-2, 1000, 2000)); math.Abs(float64(got)+8.5) > 1e-12 {
		t.Errorf("%v", got)
	}
	if got := must[quantity.Celsius](t)(cold.AtHeight(-2, 2000, 1000)); math.Abs(float64(got)-4.5) > 1e-12 {
		t.Errorf("%v", got)
	}
}

var limits = cold.Limits{Stop: -27, StopReduced: -15, Look: 1800}

// The trade's numbers: stop at -27, at -15 with less feeling; looked at every
// 30 min; without feeling half the band's time, 15 to 20 min at most.
func TestLook(t *testing.T) {
	for _, c := range []struct {
		name           string
		at             float64
		feel           cold.Feel
		stop, timed    bool
		first, longest float64
	}{
		{"warm enough", -10, cold.Full, false, false, 0, 0},
		{"just above the stop", -26.4, cold.Full, false, false, 0, 0},
		{"at the stop as printed", -26.5, cold.Full, true, false, 0, 0},
		{"at the stop", -27, cold.Full, true, false, 0, 0},
		{"bare skin", -30, cold.Full, true, true, 10, 10},
		{"less feeling", -10, cold.Reduced, false, true, 30, 30},
		{"less feeling, above the stop", -14.4, cold.Reduced, false, true, 30, 30},
		{"less feeling, stop as printed", -14.5, cold.Reduced, true, true, 30, 30},
		{"less feeling, freezing", -30, cold.Reduced, true, true, 5, 10},
		{"no feeling", -10, cold.Missing, false, true, 15, 20},
		{"no feeling, freezing", -30, cold.Missing, true, true, 5, 5},
		{"no feeling, colder", -45, cold.Missing, true, true, 2.5, 2.5},
		{"no feeling, coldest", -60, cold.Missing, true, true, 0, 0},
		{"nobody looked", -10, cold.NotKnown, false, true, 15, 20},
	} {
		f := cold.Freezing{Chill: cold.Chill{Known: true, Value: quantity.Celsius(c.at)}}
		f.Band, f.InBand = cold.BandOf(f.Chill)
		f.Freezes, f.Least, f.Most = f.Band.Freezes, f.Band.Least, f.Band.Most
		w := must[cold.Watch](t)(cold.Look(f, c.feel, limits))
		if w.Stop != c.stop || w.Timed != c.timed || w.First != minutes(c.first) || w.Longest != minutes(c.longest) || len(w.Say) == 0 {
			t.Errorf("%s: stop %v, timed %v, %v to %v min; %v", c.name, w.Stop, w.Timed, w.First.Minutes(), w.Longest.Minutes(), w.Say)
		}
		if (c.feel == cold.NotKnown) != strings.Contains(strings.Join(w.Say, " "), "Nobody has tested") {
			t.Errorf("%s: %v", c.name, w.Say)
		}
	}
	// The programme's own interval is kept where it is shorter.
	short := limits
	short.Look = 600
	f := must[cold.Freezing](t)(cold.Freeze(-5, kmh(10)))
	for _, feel := range []cold.Feel{cold.Reduced, cold.Missing} {
		if w := must[cold.Watch](t)(cold.Look(f, feel, short)); w.First != 600 || w.Longest != 600 {
			t.Errorf("%s: %v %v", feel, w.First, w.Longest)
		}
	}
	// In warm air there is no stop.
	warm := must[cold.Freezing](t)(cold.Freeze(12, kmh(10)))
	if w := must[cold.Watch](t)(cold.Look(warm, cold.Missing, limits)); w.Stop || !w.Timed || !strings.Contains(w.Say[0], "No wind chill") {
		t.Errorf("%+v", w)
	}
	if half := f.Halved(); half != 0 {
		t.Errorf("half of no time is %v", half)
	}
}

// Less feeling never stops later, never looks less often; colder never either.
func TestLookIsCautious(t *testing.T) {
	rnd := rand.New(rand.NewPCG(17, 18))
	rank := []cold.Feel{cold.Full, cold.Reduced, cold.Missing}
	often := func(w cold.Watch) float64 {
		if !w.Timed {
			return math.Inf(1)
		}
		return float64(w.First)
	}
	for range 20_000 {
		air, wind := -50+rnd.Float64()*55, rnd.Float64()*80
		by := cold.Limits{Stop: quantity.Celsius(-40 + rnd.Float64()*35), StopReduced: quantity.Celsius(-40 + rnd.Float64()*40), Look: minutes(10 + rnd.Float64()*50)}
		var before cold.Watch
		for i, feel := range rank {
			w := must[cold.Watch](t)(cold.Look(must[cold.Freezing](t)(cold.Freeze(quantity.Celsius(air), kmh(wind))), feel, by))
			if i > 0 && (before.Stop && !w.Stop || often(w) > often(before)+1e-9 || w.StopAt < before.StopAt) {
				t.Fatalf("%v after %v at %v °C, %v km/h: %+v, %+v", feel, rank[i-1], air, wind, w, before)
			}
			if w.First > w.Longest {
				t.Fatalf("first look after %v, later every %v", w.First, w.Longest)
			}
			colder := must[cold.Watch](t)(cold.Look(must[cold.Freezing](t)(cold.Freeze(quantity.Celsius(air-3), kmh(wind))), feel, by))
			if w.Stop && !colder.Stop || often(colder) > often(w)+1e-9 {
				t.Fatalf("colder is less careful: %+v then %+v", w, colder)
			}
			before = w
		}
	}
}

func TestFeelOf(t *testing.T) {
	set := func(pairs ...string) finding.Set {
		fs := finding.Set{}
		for i := 0; i < len(pairs); i += 2 {
			id, side, _ := strings.Cut(pairs[i], " ")
			on := map[string]finding.Side{"": finding.NoSide, "L": finding.Left, "R": finding.Right}[side]
			if err := fs.PutBoth(id, on, pairs[i+1]); err != nil {
				t.Fatal(err)
			}
		}
		return fs
	}
	for _, c := range []struct {
		want cold.Feel
		fs   finding.Set
	}{
		{cold.NotKnown, finding.Set{}},
		{cold.Full, set("sensation L", "full", "sensation R", "full")},
		{cold.Reduced, set("sensation L", "full", "sensation R", "reduced")},
		{cold.Missing, set("sensation L", "none", "sensation R", "reduced")},
		{cold.Missing, set("sensation L", "none")},
		{cold.NotKnown, set("sensation L", "reduced")},
		{cold.Full, set("sensation L", "na", "sensation R", "full")},
		{cold.Reduced, set("sensation L", "full", "sensation R", "full", "poor_circulation", "yes")},
		{cold.Full, set("sensation L", "full", "sensation R", "full", "poor_circulation", "no", "spina_bifida", "no")},
		{cold.Reduced, set("sensation L", "full", "sensation R", "full", "spina_bifida", "yes")},
	} {
		if got := cold.FeelOf(c.fs); got != c.want || cold.FeelOf(c.fs.Mirror()) != got {
			t.Errorf("%v: %v, want %v", c.fs, got, c.want)
		}
	}
	if len(cold.Feels()) != 4 {
		t.Error("feelings are missing")
	}
}

// Every reason to be careful is a whole sentence, and the first is that a part
// that cannot feel does not warn.
func TestCautions(t *testing.T) {
	all := cold.Cautions()
	if len(all) < 3 || !strings.Contains(all[0], "cannot feel") {
		t.Errorf("%v", all)
	}
	for _, s := range all {
		if !strings.HasSuffix(s, ".") {
			t.Errorf("%q", s)
		}
	}
}

// The formula, where it counts, lies where the bands give a time, so it never
// warns alone.
func TestFormulaOnlyWhereBandsFreeze(t *testing.T) {
	for air := -50.0; air < 0; air += 0.25 {
		for v := 25.0; v <= 80; v++ {
			if _, _, ok := cold.Frostbite(quantity.Celsius(air), kmh(v)); ok {
				if f := must[cold.Freezing](t)(cold.Freeze(quantity.Celsius(air), kmh(v))); !f.Freezes {
					t.Errorf("%v °C, %v km/h", air, v)
				}
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	errs := map[string]error{}
	keep := func(name string, err error) { errs[name] = err }
	for name, v := range map[string]float64{"NaN": math.NaN(), "infinity": math.Inf(1), "far off": 1e5, "far below": -1e5} {
		_, err := cold.Of(cold.InCelsius, quantity.Celsius(v), 5)
		keep("air "+name, err)
		_, err = cold.Of(cold.InCelsius, -5, quantity.MetrePerSecond(v))
		keep("wind "+name, err)
		_, err = cold.Freeze(quantity.Celsius(v), 5)
		keep("freeze "+name, err)
		_, err = cold.Felt(quantity.MetrePerSecond(v), 5)
		keep("felt "+name, err)
		_, err = cold.Felt(5, quantity.MetrePerSecond(v))
		keep("own "+name, err)
		_, err = cold.AtHeight(0, quantity.Metre(v), 1000)
		keep("station "+name, err)
		_, err = cold.AtHeight(0, 1000, quantity.Metre(v))
		keep("slope "+name, err)
		_, err = cold.AtHeight(quantity.Celsius(v), 1000, 1000)
		keep("air at height "+name, err)
		f := must[cold.Freezing](t)(cold.Freeze(-5, 5))
		_, err = cold.Look(f, cold.Full, cold.Limits{Stop: quantity.Celsius(v), StopReduced: -15, Look: 1800})
		keep("stop "+name, err)
		_, err = cold.Look(f, cold.Full, cold.Limits{Stop: -27, StopReduced: -15, Look: quantity.Second(v)})
		keep("look "+name, err)
	}
	_, err := cold.Of("kelvin", -5, 5)
	keep("form", err)
	f := must[cold.Freezing](t)(cold.Freeze(-5, 5))
	_, err = cold.Look(f, "some", limits)
	keep("feeling", err)
	for name, err := range errs {
		var e *cold.Error
		if !errors.As(err, &e) || e.Code == "" || !strings.HasSuffix(e.Error(), ".") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Whatever comes in, nothing is NaN and the times stay in order.
func FuzzFreeze(f *testing.F) {
	f.Add(-20.0, 30.0, 15.0)
	f.Add(math.Inf(-1), math.NaN(), -3.0)
	f.Fuzz(func(t *testing.T, air, wind, own float64) {
		felt, err := cold.Felt(quantity.MetrePerSecond(wind), quantity.MetrePerSecond(own))
		if err != nil {
			return
		}
		got, err := cold.Freeze(quantity.Celsius(air), felt)
		if err != nil {
			return
		}
		if math.IsNaN(float64(got.Chill.Value)) || got.Least > got.Most || got.HasMinutes && !(got.Minutes > 0) {
			t.Fatalf("%+v", got)
		}
		for _, feel := range cold.Feels() {
			w, err := cold.Look(got, feel, limits)
			if err != nil || w.First > w.Longest || w.First < 0 {
				t.Fatalf("%+v %v", w, err)
			}
		}
	})
}
