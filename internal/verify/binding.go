package verify

import (
	"strconv"

	"firnhand/core/binding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// bindingChecks works rows of the printed binding table by hand. All but the
// last are derived from the table itself, so they test the arithmetic and are
// not independent of it. A row is found by handing in a record with the
// expected values: the core names no value by itself.
func bindingChecks() []Check {
	var checks []Check
	for _, c := range []struct {
		mass, height, age, sole float64
		typ                     binding.Type
		row, z                  string
		twist, lean             float64
	}{
		{52, 160, 34, 275, binding.Type1, "I", "4.00", 37, 141},
		{75, 182, 61, 315, binding.Type1, "J", "4.00", 43, 165},
		{98, 185, 45, 325, binding.Type1, "L", "6.00", 58, 229},
		{28, 128, 8, 245, binding.Type1, "D", "1.75", 17, 64},
		{64, 170, 50, 290, binding.Type1, "I", "4.00", 37, 141},
		{64, 170, 49, 291, binding.Type1, "J", "4.50", 43, 165},
		{40, 150, 12, 255, binding.Type2, "H", "3.50", 31, 120},
	} {
		given := number0(c.mass) + " kg, " + number0(c.height) + " cm, " + number0(c.age) + " years, type " + string(c.typ) + ", sole " + number0(c.sole) + " mm"
		s := binding.Skier{MassKG: c.mass, HeightCM: c.height, AgeYears: c.age, Type: c.typ, SoleLeftMM: c.sole, SoleRightMM: c.sole}
		checks = append(checks, Check{
			ID:     "binding/row_" + number0(c.mass) + "_" + number0(c.height) + "_" + number0(c.age) + "_" + string(c.typ) + "_" + number0(c.sole),
			What:   "row of the printed table, and a record with its values found as printed: " + given,
			Source: "BindingManual", Status: source.Derived, Expected: c.row + " " + c.z + " " + number0(c.twist) + "/" + number0(c.lean),
			GotWord: rowOf(s, c.z, c.twist, c.lean), Note: "derived from the table, not independent",
		})
	}
	kg := quantity.Must(quantity.Pounds(175))
	m := quantity.Must(quantity.Inches(67))
	const age, sole = 30, 300 // without a correction by age; any printed sole
	s := binding.Skier{MassKG: float64(kg), HeightCM: m.Centimetres(), AgeYears: age, Type: binding.Type1, SoleLeftMM: sole, SoleRightMM: sole}
	v, err := binding.Check(s, bindingRecord(1, 1, 1))
	if err != nil {
		v.Row = err.Error()
	}
	return append(checks, Check{ID: "binding/step_175_lb_67_in", What: "row of a skier of 175 lb and 5 ft 7 in, type 1", Source: "Marker1996",
		Expected: "K", GotWord: v.Row})
}

// rowOf names the row of a skier and repeats the values that were handed in
// where the table prints just those.
func rowOf(s binding.Skier, z string, twist, lean float64) string {
	value, err := strconv.ParseFloat(z, 64)
	if err != nil {
		return err.Error()
	}
	v, err := binding.Check(s, bindingRecord(value, twist, lean))
	if err != nil {
		return err.Error()
	}
	for _, i := range v.Items {
		if i.Say != "What the row prints." {
			return v.Row + ", but not " + i.What
		}
	}
	return v.Row + " " + z + " " + number0(twist) + "/" + number0(lean)
}

func bindingRecord(z, twist, lean float64) binding.Record {
	ski := binding.Ski{Toe: z, Heel: z, Twist: binding.Tests{twist, twist, twist}, Lean: binding.Tests{lean, lean, lean}}
	return binding.Record{Technician: "check", Instrument: "check", TestedOn: "check", Left: ski, Right: ski}
}

func number0(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
