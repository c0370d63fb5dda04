package verify

import (
	"fmt"
	"strconv"
	"strings"

	"firnhand/core/cold"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// coldChecks compares wind chill with every cell of two charts, and the rest of
// the cold with what is printed.
func coldChecks() []Check {
	kmh := func(v float64) quantity.MetrePerSecond { return kept(quantity.KilometresPerHour(v)) }
	ten, four := kept(quantity.DegreesFahrenheit(10)), kept(quantity.MilesPerHour(4))
	calm := kept(cold.Felt(0, kmh(15)))
	bite, _, _ := cold.Frostbite(-30, kmh(40))
	frozen := kept(cold.Freeze(-30, kmh(40)))
	checks := []Check{
		{ID: "cold/f_10_4", What: "wind chill of 10 °F in 4 mile/h, Fahrenheit form", Source: "D", Unit: "1", Expected: "2.664", Got: kept(cold.Of(cold.InFahrenheit, ten, four)).Fahrenheit()},
		{ID: "cold/c_10_4", What: "wind chill of 10 °F in 4 mile/h, Celsius form on the Fahrenheit scale", Source: "D", Unit: "1", Expected: "2.623", Got: kept(cold.Of(cold.InCelsius, ten, four)).Fahrenheit()},
		{ID: "cold/not_knots", What: "wind chill of 0 °F in 30 mile/h", Source: "NWS2001", Unit: "1", Expected: "-25.86", Got: kept(cold.Of(cold.InFahrenheit, kept(quantity.DegreesFahrenheit(0)), kept(quantity.MilesPerHour(30)))).Fahrenheit(),
			Note: "a public test expects -24.50 and feeds knots"},
		{ID: "cold/light_wind", What: "wind chill of -10 °C in 2 km/h", Source: "ECChart", Status: source.Memory, Unit: "1", Expected: "-11.17", Got: float64(kept(cold.Of(cold.InCelsius, -10, kmh(2))).Value), Note: "the chart authors' line for light wind"},
		{ID: "cold/own_speed", What: "wind at 10 m felt as 15 km/h of own speed in calm", Source: "D", Unit: "km/h", Expected: "15.3", Got: calm.KilometresPerHour()},
		{ID: "cold/own_speed_chill", What: "wind chill of -10 °C in calm at 15 km/h", Source: "D", Unit: "1", Expected: "-16.8", Got: float64(kept(cold.Of(cold.InCelsius, -10, calm)).Value)},
		{ID: "cold/frostbite", What: "minutes to frostbite at -30 °C in 40 km/h, by the formula", Source: "Osczevski2005", Unit: "min", Expected: "6.2", Got: bite},
		{ID: "cold/band_wins", What: "longest minutes used there: the band's", Source: "S38", Unit: "min", Expected: "5", Got: frozen.Most.Minutes()},
		{ID: "cold/lapse", What: "air at 2000 m when it is -2 °C at 1000 m", Source: "ISA", Unit: "degC", Expected: "-8.5", Got: float64(kept(cold.AtHeight(-2, 1000, 2000)))},
	}
	for _, c := range []struct{ table, windCol, airCol string }{{"windchill_ec", "wind_kmh", "air_c"}, {"windchill_nws", "wind_mph", "air_f"}} {
		for _, r := range source.Table(c.table).Rows() {
			checks = append(checks, cellCheck(c.table, r, number(r, c.windCol), number(r, c.airCol)))
		}
	}
	return append(append(checks, bandChecks()...), trialChecks()...)
}

// cellCheck is one cell of a chart.
func cellCheck(table string, r source.Row, wind, air float64) Check {
	id := fmt.Sprintf("%s/%g_%g", table, air, wind)
	if table == "windchill_ec" {
		c := kept(cold.Of(cold.InCelsius, quantity.Celsius(air), kept(quantity.KilometresPerHour(wind))))
		return Check{ID: id, What: fmt.Sprintf("wind chill of %g °C in %g km/h", air, wind), Source: "ECChart", Unit: "1", Expected: r.Text("wind_chill"), Got: float64(c.Value)}
	}
	c := kept(cold.Of(cold.InFahrenheit, kept(quantity.DegreesFahrenheit(air)), kept(quantity.MilesPerHour(wind))))
	return Check{ID: id, What: fmt.Sprintf("wind chill of %g °F in %g mile/h", air, wind), Source: "NWS2001", Unit: "1", Expected: r.Text("wind_chill"), Got: c.Fahrenheit()}
}

// bandChecks reads the bands at their printed ends.
func bandChecks() []Check {
	var checks []Check
	for _, at := range []struct{ chill, want string }{
		{"-9", "no time"}, {"-27", "no time"}, {"-28", "10 to 30"}, {"-39", "10 to 30"}, {"-40", "5 to 10"}, {"-47", "5 to 10"}, {"-48", "2 to 5"}, {"-54", "2 to 5"}, {"-55", "0 to 2"},
	} {
		v, _ := strconv.ParseFloat(at.chill, 64)
		b, _ := cold.BandOf(cold.Chill{Known: true, Value: quantity.Celsius(v)})
		got := "no time"
		if b.Freezes {
			got = fmt.Sprintf("%g to %g", b.Least.Minutes(), b.Most.Minutes())
		}
		checks = append(checks, Check{ID: "cold/band_" + strings.TrimPrefix(at.chill, "-"), What: "minutes until bare skin freezes at a wind chill of " + at.chill, Source: "S38", Expected: at.want, GotWord: got})
	}
	return checks
}

// trialChecks holds the bands against a wind tunnel: no trial was quicker than
// the band's least time for the wind at 10 m that gives the tunnel's wind at
// the face.
func trialChecks() []Check {
	share, walk := source.Value("face_wind_share"), source.Value("face_wind_walk")
	var checks []Check
	for _, r := range source.Table("frostnip_trials").Rows() {
		min, ok := r.Number("time_min")
		face, err := strconv.ParseFloat(r.Text("wind_kmh"), 64)
		if !ok || err != nil {
			continue
		}
		f := kept(cold.Freeze(quantity.Celsius(number(r, "air_c")), kept(quantity.KilometresPerHour((face-walk)/share))))
		got := "quicker"
		if f.Freezes && f.Least.Minutes() <= min {
			got = "not quicker"
		}
		checks = append(checks, Check{ID: "cold/trial_" + strings.TrimPrefix(r.Text("air_c"), "-") + "_" + r.Text("wind_kmh"),
			What:   "frostnip after " + r.Text("time_min") + " min at " + r.Text("air_c") + " °C, " + r.Text("wind_kmh") + " km/h at the face, against the band's least time",
			Source: "Ducharme", Expected: "not quicker", GotWord: got})
	}
	return checks
}
