package effort_test

import (
	"fmt"

	"firnhand/core/effort"
	"firnhand/core/quantity"
)

func ExampleWalk() {
	r, err := effort.Walk(0.8, 8)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.PerKg.Text(quantity.Decimals(1)))
	fmt.Println(quantity.Text(r.Power(60).Value(), quantity.Decimals(0)))
	// Output:
	// 5.4 W/kg (5.0 to 5.8)
	// 323 W
}

func ExampleWalkLoaded() {
	snow, err := effort.Snow(quantity.Must(quantity.Centimetres(8)))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := effort.WalkLoaded(60, 0, snow, 0.6, 0)
	fmt.Println(r.PerKg.Text(quantity.Decimals(2)), err)
	fmt.Println(r.Notes[0])
	// Output:
	// 2.56 W/kg (2.56 to 2.79) <nil>
	// The two published fits for snow part beyond 5 cm: 1.96 against 2.38 here.
}

func ExampleFromWalk() {
	m, err := effort.FromWalk(180, 360, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Ratio.Text(quantity.Decimals(1)), m.Verified)
	// Output: 1.5 (1.4 to 1.9) false
}

func ExampleSideStep() {
	slope := quantity.Must(quantity.GradePercent(8))
	c, err := effort.SideStep(0.6, slope, 15)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(quantity.Decimals(1).Text(c.Rise.Centimetres()), "cm with each step")
	// Output: 4.8 cm with each step
}

func ExampleActivity() {
	r, l, err := effort.Activity("19150")
	fmt.Println(l.Words, err)
	fmt.Println(quantity.Decimals(1).Text(r.Power(60).Value().KilocaloriesPerMinute()), "kcal/min")
	// Output:
	// downhill light, active time only <nil>
	// 4.5 kcal/min
}

func ExampleRest() {
	work := quantity.Must(quantity.Minutes(60))
	at := quantity.Must(quantity.KilocaloriesPerMinute(7.5))
	rest, err := effort.Rest(work, at, effort.Murrell())
	fmt.Println(quantity.Decimals(1).Text(rest.Minutes()), "min", err)
	// Output: 25.0 min <nil>
}

func ExampleShareOf() {
	r, _ := effort.Equivalents(4.3)
	c, err := effort.NewCapacity(30.6, 21.9, 39.3)
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := effort.ShareOf(r, c)
	fmt.Println(quantity.Decimals(0).Text(s.Pct.Value().Percent()), "%", s.Load, s.Worst, err)
	// Output: 49 % not_kept_up not_kept_up <nil>
}
