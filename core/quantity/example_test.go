package quantity_test

import (
	"fmt"
	"math"

	"firnhand/core/quantity"
)

func ExampleCentimetres() {
	h, err := quantity.Centimetres(128)
	fmt.Println(h, err)
	_, err = quantity.Centimetres(math.NaN())
	fmt.Println(err)
	// Output:
	// 1.28 <nil>
	// this is not a number
}

func ExampleGradePercent() {
	slope := quantity.Must(quantity.GradePercent(25))
	fmt.Println(quantity.Decimals(1).Text(slope.Degrees()), "degrees")
	// Output: 14.0 degrees
}

func ExampleText() {
	mass := quantity.Must(quantity.Pounds(150))
	fmt.Println(quantity.Text(mass, quantity.Decimals(1)))
	// Output: 68.0 kg
}

func ExamplePlusMinus() {
	handle := quantity.Must(quantity.PlusMinus[quantity.Metre](0.794, 0.020))
	lift := quantity.Must(quantity.PlusMinus[quantity.Metre](0.070, 0.010))
	fmt.Println(handle.Add(lift).Text(quantity.Decimals(2)))
	// Output: 0.86 m (0.83 to 0.89)
}

func ExampleStep_Text() {
	holes := quantity.Every(25, 1) // holes 2.5 cm apart
	fmt.Println(holes.Text(68), holes.Text(70))
	// Output: 67.5 70.0
}
