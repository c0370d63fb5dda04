package lift_test

import (
	"fmt"

	"firnhand/core/lift"
	"firnhand/core/quantity"
)

func ExampleSolve() {
	speed := quantity.MetrePerSecond(2.5)
	people := 1200.0
	l, err := lift.Solve(lift.Given{Speed: &speed, PerHour: &people, Seats: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	slow, err := l.Slowed(0.5)
	fmt.Println(l.Interval, l.Spacing, slow.Interval, slow.Spacing, err)
	// Output: 6 15 12 15 <nil>
}

func ExampleBetween() {
	speed, interval := quantity.MetrePerSecond(2.3), quantity.Second(7)
	l, err := lift.Solve(lift.Given{Speed: &speed, Interval: &interval})
	if err != nil {
		fmt.Println(err)
		return
	}
	pace, err := lift.Measured(3, []quantity.Second{4.8, 5.6, 6.3}) // three pushes over 3 m
	if err != nil {
		fmt.Println(err)
		return
	}
	s := lift.Student{
		Distance: quantity.Must(quantity.Exactly[quantity.Metre](2.5)),
		Speed:    pace,
		Settle:   quantity.Must(quantity.NewRange[quantity.Second](2, 1, 3)),
	}
	r, err := lift.Between(l, s, lift.Carrier(), lift.Reserve())
	fmt.Println(r.Verdict, err)
	fmt.Println(r.Margin.Text(quantity.Decimals(1)))
	fmt.Println("ask for at most", quantity.Text(r.Limit, quantity.Decimals(1)))
	// Output:
	// not_reached <nil>
	// -0.3 s (-2.1 to 1.6)
	// ask for at most 1.3 m/s
}

func ExampleAsking() {
	k, err := lift.Asking(lift.Rider{Way: "slider", Lowered: lift.No, Strapped: lift.Yes}, nil)
	fmt.Println(k.Rides, k.People, err)
	fmt.Println(k.Refusals[0].Say)
	// Output:
	// no 2 <nil>
	// No lift today: could not be lowered from a stopped lift.
}
