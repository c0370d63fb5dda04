package verify

import (
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// exactly is the tolerance of a figure that is true by definition: what is
// left is the rounding of one multiplication.
const exactly = 1e-15

// quantityChecks compares unit conversions with the definitions of the units
// and with pairs of figures printed side by side.
func quantityChecks() []Check {
	must := func(v float64, err error) float64 { return quantity.Must(v, err) }
	inch, err := quantity.Inches(1)
	foot, err2 := quantity.Feet(1)
	pound, err3 := quantity.Pounds(1)
	mile, err4 := quantity.MilesPerHour(1)
	fpm, err5 := quantity.FeetPerMinute(1)
	degree, err6 := quantity.Degrees(1)
	kmh, err7 := quantity.KilometresPerHour(1)
	checks := []Check{
		definition("inch", "0.0254", must(float64(inch), err)),
		definition("foot", "0.3048", must(float64(foot), err2)),
		definition("pound", "0.45359237", must(float64(pound), err3)),
		definition("mile_per_hour", "0.44704", must(float64(mile), err4)),
		definition("foot_per_minute", "0.00508", must(float64(fpm), err5)),
		definition("degree", "0.01745329", must(float64(degree), err6)),
		definition("kilometre_per_hour", "0.2777778", must(float64(kmh), err7)),
	}
	for _, pair := range []struct{ id, expected, source string }{
		{"500", "2.5", "B77"}, {"450", "2.3", "B77"}, {"250", "1.3", "B77"}, {"200", "1.0", "B77"},
	} {
		speed := quantity.Must(quantity.Parse[quantity.Ratio](pair.id))
		v := quantity.Must(quantity.FeetPerMinute(float64(speed)))
		checks = append(checks, Check{ID: "quantity/lift_" + pair.id + "_ft_min", What: "lift limit of " + pair.id + " ft/min in metres a second",
			Source: pair.source, Unit: "m/s", Expected: pair.expected, Got: float64(v)})
	}
	return append(checks,
		Check{ID: "quantity/helmet_impact", What: "6.8 m/s in kilometres an hour", Source: "Steenstrup2017", Unit: "km/h", Expected: "24.5",
			Got: quantity.MetrePerSecond(6.8).KilometresPerHour()},
		Check{ID: "quantity/walking_71_m_min", What: "71 m/min in metres a second", Source: "Pagliarulo", Unit: "m/s", Expected: "1.183",
			Got: 71 / float64(quantity.Must(quantity.Minutes(1)))},
	)
}

// definition checks one conversion against a figure of core/source; the
// expected text is written here a second time, so a slip in either shows.
func definition(id, expected string, got float64) Check {
	d, _ := source.Figure(id)
	c := Check{ID: "quantity/" + id, What: d.Quantity, Source: d.Ref, Status: d.Status, Unit: d.Unit, Expected: expected, Got: got, Note: d.Place}
	if d.Status == source.Exact {
		c.Tolerance = exactly
	}
	return c
}

// gradeChecks compares gradients in percent with the degrees printed beside
// them.
func gradeChecks() []Check {
	var checks []Check
	for _, row := range []struct{ percent, degrees, source, skipped string }{
		{"10", "5.71", "S39", ""},
		{"20", "11.31", "S39", ""},
		{"30", "16.70", "S39", ""},
		{"40", "21.80", "S39", ""},
		{"50", "25.67", "S39", "the page is wrong in this row; arctangent of 0.50 is 26.57 degrees (see errata)"},
		{"75", "36.87", "S39", ""},
		{"100", "45", "S39", ""},
	} {
		p := quantity.Must(quantity.Parse[quantity.Ratio](row.percent))
		angle := quantity.Must(quantity.GradePercent(float64(p)))
		checks = append(checks, Check{ID: "slope/grade_" + row.percent, What: "slope of " + row.percent + " % in degrees", Source: row.source,
			Unit: "deg", Expected: row.degrees, Got: angle.Degrees(), Skipped: row.skipped})
	}
	coast := quantity.Must(quantity.GradePercent(quantity.Ratio(0.1).Percent()))
	lift := quantity.Must(quantity.Degrees(1))
	return append(checks,
		Check{ID: "slope/coasting_angle", What: "slope on which a coefficient of friction of 0.100 just holds", Source: "OpenStax",
			Unit: "deg", Expected: "5.71", Got: coast.Degrees()},
		Check{ID: "fit/heel_lift_per_degree", What: "heel lift that makes up one degree of missing ankle bend", Source: "CP",
			Unit: "mm", Expected: "3.5", Got: source.Value("heel_to_ball") * lift.GradePercent() / 100},
	)
}
