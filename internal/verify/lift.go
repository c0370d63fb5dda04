package verify

import (
	"firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// liftChecks compares lifts with printed examples and rules.
func liftChecks() []Check {
	at := func(v float64) *quantity.MetrePerSecond { s := quantity.MetrePerSecond(v); return &s }
	every := func(v float64) *quantity.Second { s := quantity.Second(v); return &s }
	apart := func(v float64) *quantity.Metre { m := quantity.Metre(v); return &m }
	feet := func(v float64) *quantity.MetrePerSecond { s := kept(quantity.FeetPerMinute(v)); return &s }
	people := func(v float64) *float64 { return &v }
	solve := func(g lift.Given) lift.Line { return kept(lift.Solve(g)) }
	hour := func(g lift.Given) float64 { n, _ := solve(g).PerHour(); return n }
	double := solve(lift.Given{PerHour: people(1200), Seats: 2, Speed: at(2.5)})
	quad := solve(lift.Given{PerHour: people(2400), Seats: 4, Speed: at(5)})
	slow := solve(lift.Given{Spacing: apart(15), Speed: at(1.25)})
	row := func(item string) float64 { return number(single("lifts", "item", item), "low") }
	checks := []Check{
		{ID: "lift/quad_6s", What: "people an hour, 4 places every 6 s", Source: "SAM2018", Unit: "1/h", Expected: "2400", Got: hour(lift.Given{Interval: every(6), Seats: 4})},
		{ID: "lift/quad_8s", What: "people an hour, 4 places every 8 s", Source: "SAM2018", Unit: "1/h", Expected: "1800", Got: hour(lift.Given{Interval: every(8), Seats: 4})},
		{ID: "lift/double_interval", What: "interval of a double of 1200 an hour", Source: "Chairlift", Unit: "s", Expected: "6.0", Got: float64(double.Interval)},
		{ID: "lift/double_spacing", What: "its spacing at 2.5 m/s", Source: "Chairlift", Unit: "m", Expected: "15.0", Got: float64(double.Spacing)},
		{ID: "lift/detachable_interval", What: "interval of a quad of 2400 an hour", Source: "Chairlift", Status: source.Derived, Unit: "s", Expected: "6.0", Got: float64(quad.Interval)},
		{ID: "lift/detachable_spacing", What: "its spacing at 5 m/s", Source: "Chairlift", Status: source.Derived, Unit: "m", Expected: "30.0", Got: float64(quad.Spacing)},
		{ID: "lift/fixed_400", What: "spacing at 400 ft/min every 6 s", Source: "LiftWiki", Unit: "ft", Expected: "40", Got: solve(lift.Given{Speed: feet(400), Interval: every(6)}).Spacing.Feet()},
		{ID: "lift/fixed_400_metres", What: "spacing at 400 ft/min every 6 s", Source: "SAM2018", Status: source.Derived, Unit: "m", Expected: "12.19", Got: float64(solve(lift.Given{Speed: feet(400), Interval: every(6)}).Spacing)},
		{ID: "lift/speed_400", What: "400 ft/min in metres a second", Source: "SAM2018", Status: source.Derived, Unit: "m/s", Expected: "2.032", Got: float64(*feet(400))},
		{ID: "lift/detachable_1200", What: "spacing at 1200 ft/min every 6 s", Source: "LiftWiki", Unit: "ft", Expected: "120", Got: solve(lift.Given{Speed: feet(1200), Interval: every(6)}).Spacing.Feet()},
		{ID: "lift/slowed", What: "interval of carriers 15 m apart at 1.25 m/s", Source: "D", Unit: "s", Expected: "12.0", Got: float64(slow.Interval)},
		{ID: "lift/t_bar", What: "people an hour, two riders at the least interval of a T-bar", Source: "PaCode", Unit: "1/h", Expected: "1440", Got: hour(lift.Given{Interval: every(row("T-bar, least interval")), Seats: 2}),
			Note: "the rule says just under 1400, with the time the outfit extends"},
		{ID: "lift/single", What: "people an hour, one rider at the least interval of a single outfit", Source: "PaCode", Unit: "1/h", Expected: "1200", Got: hour(lift.Given{Interval: every(row("single surface outfit, least interval")), Seats: 1})},
		{ID: "lift/three_metres", What: "time for 3 m at 0.5 m/s", Source: "D", Unit: "s", Expected: "6.0", Got: need(3, 0.5)},
		{ID: "lift/two_metres", What: "time for 2 m at 0.2 m/s", Source: "D", Unit: "s", Expected: "10.0", Got: need(2, 0.2)},
	}
	line := solve(lift.Given{Interval: every(6)})
	r := kept(lift.Between(line, lift.Student{Distance: exact(quantity.Metre(3)), Speed: exact(quantity.MetrePerSecond(0.5))}, exact(quantity.Metre(0)), 0))
	return append(checks, Check{ID: "lift/whole_interval", What: "3 m at 0.5 m/s against a whole interval of 6 s", Source: "D", Expected: "not_reached", GotWord: string(r.Verdict)})
}

func exact[T quantity.Scalar](v T) quantity.Range[T] { return kept(quantity.Exactly(v)) }

func need(d quantity.Metre, v quantity.MetrePerSecond) float64 {
	return float64(kept(lift.Student{Distance: exact(d), Speed: exact(v)}.Need()).Value())
}
