package cold

import (
	"math"
	"sync"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Form is one of the two published forms of wind chill. They differ by less
// than a tenth of a degree.
type Form string

// The forms.
const (
	InCelsius    Form = "celsius"    // Environment Canada: °C and km/h
	InFahrenheit Form = "fahrenheit" // US National Weather Service: °F and mile/h
)

// whole is the step to which a wind chill is printed.
var whole = quantity.Decimals(0)

// form holds the figures of a form in its own units.
type form struct {
	constant, air, wind, both float64
	windLeast                 float64 // from where the formula counts
	windChart, airChart       float64 // the ends of the published chart
	airUnit, windUnit         string
}

// figures are what this package takes from core/source, read once.
type figures struct {
	forms                              map[Form]form
	power                              float64
	airMost                            quantity.Celsius
	share, walk                        float64 // 1, km/h
	frostWind, frostConstant, frostAir float64
	frostPower, frostLeast, frostMost  float64 // 1, km/h, min
	sustained                          float64 // km/h
	numbShare, numbStart, numbMost     float64 // 1, min, min
	lapse                              float64 // K/km
}

var known = sync.OnceValue(func() *figures {
	v := source.Value
	c := form{constant: v("chill_c_constant"), air: v("chill_c_air"), wind: v("chill_c_wind"), both: v("chill_c_both"),
		windLeast: v("chill_c_wind_least"), windChart: v("chill_c_wind_chart"), airChart: v("chill_c_air_chart"), airUnit: "°C", windUnit: "km/h"}
	f := form{constant: v("chill_f_constant"), air: v("chill_f_air"), wind: v("chill_f_wind"), both: v("chill_f_both"),
		windLeast: v("chill_f_wind_least"), windChart: v("chill_f_wind_chart"), airChart: v("chill_f_air_chart"), airUnit: "°F", windUnit: "mile/h"}
	numb, _ := source.Figure("numb_check")
	return &figures{
		forms: map[Form]form{InCelsius: c, InFahrenheit: f}, power: v("chill_power"),
		airMost: quantity.Must(quantity.DegreesFahrenheit(v("chill_air_most"))),
		share:   v("face_wind_share"), walk: v("face_wind_walk"),
		frostWind: v("frostbite_wind"), frostConstant: v("frostbite_constant"), frostAir: v("frostbite_air"), frostPower: v("frostbite_power"),
		frostLeast: v("frostbite_wind_least"), frostMost: v("frostbite_minutes_most"),
		sustained: v("band_sustained_wind"),
		numbShare: v("numb_share"), numbStart: numb.Low, numbMost: numb.High,
		lapse: v("lapse_rate"),
	}
})

// Chill is a wind chill.
type Chill struct {
	Form Form
	Air  quantity.Celsius
	Wind quantity.MetrePerSecond // at 10 m
	// Known is false where there is no wind chill: above 10 °C. Value is then
	// the air temperature.
	Known bool
	// Value is on the Celsius scale.
	Value quantity.Celsius
	// Outside says in words where the formula is used beyond its chart.
	Outside []string
}

// Printed returns the whole number that is printed, on the Celsius scale.
func (c Chill) Printed() float64 { return whole.Round(float64(c.Value)) }

// Fahrenheit returns the wind chill on the Fahrenheit scale.
func (c Chill) Fahrenheit() float64 { return c.Value.Fahrenheit() }

// Of returns the wind chill of air and wind at 10 m. Below the wind from which
// the form counts it goes in a straight line to the air temperature in calm,
// so that it has no jump.
func Of(by Form, air quantity.Celsius, wind quantity.MetrePerSecond) (Chill, error) {
	if err := entry.First(boundAir.Check(float64(air)), boundWind.Check(float64(wind))); err != nil {
		return Chill{}, err
	}
	k := known()
	f, ok := k.forms[by]
	if !ok {
		return Chill{}, entry.Refuse("unknown_form", "Wind chill has two forms: celsius and fahrenheit.")
	}
	c := Chill{Form: by, Air: air, Wind: wind, Value: air}
	// The conversion to Fahrenheit and back must not push 50 °F out.
	if float64(air-k.airMost) > 1e-9 {
		c.Outside = append(c.Outside, "There is no wind chill in air above 10 °C (50 °F).")
		return c, nil
	}
	t, v := float64(air), wind.KilometresPerHour()
	if by == InFahrenheit {
		t, v = air.Fahrenheit(), wind.MilesPerHour()
	}
	c.Known = true
	w := f.at(t, max(v, f.windLeast), k.power)
	if v < f.windLeast {
		w = t + (w-t)*(v/f.windLeast)
		c.Outside = append(c.Outside, "The formula counts from "+text(f.windLeast, 0)+" "+f.windUnit+"; in less wind this goes in a straight line to the air temperature in calm.")
	}
	if v > f.windChart+1e-9 {
		c.Outside = append(c.Outside, "The chart ends at "+text(f.windChart, 0)+" "+f.windUnit+"; beyond it the formula is only continued.")
	}
	if t < f.airChart-1e-9 {
		c.Outside = append(c.Outside, "The chart ends at "+text(f.airChart, 0)+" "+f.airUnit+"; beyond it the formula is only continued.")
	}
	if c.Value = quantity.Celsius(w); by == InFahrenheit {
		c.Value = quantity.Must(quantity.DegreesFahrenheit(w))
	}
	return c, nil
}

// at is the formula in the units of the form.
func (f form) at(t, v, power float64) float64 {
	p := math.Pow(v, power)
	return f.constant + f.air*t - f.wind*p + f.both*t*p
}

// text prints a figure in a sentence.
func text(v float64, decimals int) string { return quantity.Decimals(decimals).Text(v) }

// Felt returns the wind at 10 m that would cool the face of a walker as much as
// this wind cools somebody who moves head-on into it at a speed of their own,
// such as a skier or a rider on a chair. Wind chill has a walk of 4.8 km/h
// built in; nobody is credited for going slower than that. Derived here from
// the wind at the face that the formula takes: 0.667 of the wind at 10 m and
// the walk.
func Felt(wind, own quantity.MetrePerSecond) (quantity.MetrePerSecond, error) {
	if err := entry.First(boundWind.Check(float64(wind)), boundOwn.Check(float64(own))); err != nil {
		return 0, err
	}
	k := known()
	more := own.KilometresPerHour() - k.walk
	if more <= 0 {
		return wind, nil
	}
	add, err := quantity.KilometresPerHour(more / k.share)
	return wind + add, err
}

// AtHeight returns the air temperature on a slope from that at a station at
// another height, by the average fall of 6.5 K a kilometre. On clear calm
// nights and mornings a valley may be the colder place.
func AtHeight(air quantity.Celsius, station, slope quantity.Metre) (quantity.Celsius, error) {
	if err := entry.First(boundAir.Check(float64(air)), boundHeight.Check(float64(station)), boundHeight.Check(float64(slope))); err != nil {
		return 0, err
	}
	const metresPerKilometre = 1000
	return air - quantity.Celsius(known().lapse*float64(slope-station)/metresPerKilometre), nil
}
