package body_test

import (
	"fmt"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

// An invented skier with the left leg lost below the knee, in a beginner's
// straight run.
func ExampleBody_Pose() {
	stature, residual, width := quantity.Metre(1.68), quantity.Metre(0.16), quantity.Metre(0.22)
	b, err := body.New(body.Person{Sex: body.Female, Mass: 62, Stature: &stature,
		Losses: []body.Loss{{Side: body.Left, Level: body.Transtibial, Residual: &residual, Prosthesis: &body.Prosthesis{}}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	legs := body.Both(body.LegPose{Ankle: quantity.Must(quantity.Degrees(15)), Knee: quantity.Must(quantity.Degrees(30))})
	p, err := b.Pose(body.Pose{Leg: legs, StanceWidth: &width, Trunk: body.Lean{Forward: quantity.Must(quantity.Degrees(15))}}, body.UsualGear(body.Both(true)))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f m over the snow, %.0f mm ahead of the ankles\n", p.CM.Z, 1000*p.CM.Y)
	_, err = b.Pose(body.Pose{Leg: body.Both(body.LegPose{Knee: quantity.Must(quantity.Degrees(-25))})}, body.Gear{})
	fmt.Println(err)
	// Output:
	// 0.86 m over the snow, 76 mm ahead of the ankles
	// The left knee would bend backwards by 25 degrees; up to 10 are taken as a knee pushed straight.
}

func ExampleIntactMass() {
	lost, _ := body.OsterkampLoss(body.Transtibial, -1)
	kg, _ := body.IntactMass(65.9, append(lost, lost...)) // both legs below the knee
	fmt.Printf("%.1f kg\n", kg)
	// Output: 74.7 kg
}

func ExampleElbowBend() {
	bend, _ := body.ElbowBend(0.59, 0.30, 0.33)
	fmt.Printf("%.0f degrees\n", bend.Degrees())
	// Output: 41 degrees
}
