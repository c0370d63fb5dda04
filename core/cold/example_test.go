package cold_test

import (
	"fmt"

	"firnhand/core/cold"
	"firnhand/core/quantity"
)

func ExampleOf() {
	wind := quantity.Must(quantity.KilometresPerHour(30))
	c, err := cold.Of(cold.InCelsius, -20, wind)
	fmt.Println(c.Printed(), err)
	// Output: -33 <nil>
}

func ExampleFelt() {
	own := quantity.Must(quantity.KilometresPerHour(15))
	felt, err := cold.Felt(0, own)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := cold.Of(cold.InCelsius, -10, felt)
	fmt.Println(quantity.Decimals(1).Text(felt.KilometresPerHour()), "km/h,", c.Printed(), err)
	// Output: 15.3 km/h, -17 <nil>
}

func ExampleFreeze() {
	f, err := cold.Freeze(-30, quantity.Must(quantity.KilometresPerHour(40)))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Least.Minutes(), "to", f.Most.Minutes(), "min;", f.Notes[0])
	// Output: 2 to 5 min; The formula gives 6.2 minutes, outside the band; the band is used.
}

func ExampleLook() {
	f, err := cold.Freeze(-8, quantity.Must(quantity.KilometresPerHour(10)))
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := cold.Look(f, cold.Missing, cold.Limits{Stop: -27, StopReduced: -15, Look: 1800})
	fmt.Println(err)
	for _, s := range w.Say {
		fmt.Println(s)
	}
	// Output:
	// <nil>
	// The programme's stop for this student is -15, 2 away.
	// Look at the parts that feel less by eye and hand after 15.0 minutes; found warm, every 20.0 minutes at most.
}

func ExampleAtHeight() {
	air, err := cold.AtHeight(-3, 900, 1700)
	fmt.Println(quantity.Text(air, quantity.Decimals(1)), err)
	// Output: -8.2 °C <nil>
}
