package stance_test

import (
	"fmt"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/stance"
)

func ExampleAnalyse() {
	s := stance.Stance{
		Mass:   70,
		Centre: quantity.Must(stance.At(0, 0.07, 0.9)),
		Contacts: []stance.Contact{
			{Kind: stance.Ski, Side: finding.Left, Rear: stance.Point{X: -0.12, Y: -0.09}, Front: stance.Point{X: -0.12, Y: 0.21}},
			{Kind: stance.Ski, Side: finding.Right, Rear: stance.Point{X: 0.12, Y: -0.09}, Front: stance.Point{X: 0.12, Y: 0.21}},
			{Kind: stance.Runner, Side: finding.Left, Rear: stance.Point{X: -0.3, Y: 0.3}, Front: stance.Point{X: -0.3, Y: 0.4}},
			{Kind: stance.Runner, Side: finding.Right, Rear: stance.Point{X: 0.3, Y: 0.3}, Front: stance.Point{X: 0.3, Y: 0.4}},
		},
	}
	s.Contacts[0].Limit = quantity.Must(stance.LegLimit(1, s.BodyWeight())) // a weak left leg
	r, err := stance.Analyse(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	n := quantity.Decimals(0)
	fmt.Println(r.Verdict, "with", quantity.Text(r.Arms.Value(), n), "on the arms at least")
	for _, l := range r.Loads {
		fmt.Println(l.Contact.Name()+":", n.Text(float64(l.Possible.Low())), "to", quantity.Text(l.Possible.High(), n))
	}
	fmt.Println("tips backward at", quantity.Decimals(1).Text(r.Rooms[4].Tips.Value().Degrees()), "degrees")
	// Output:
	// held with 40 N on the arms at least
	// left ski: 0 to 273 N
	// right ski: 132 to 490 N
	// left runner: 40 to 222 N
	// right runner: 0 to 169 N
	// tips backward at 10.1 degrees
}

func ExampleScales_Share() {
	_, err := stance.Scales{Left: 20, Right: 30}.Share(70, 1)
	fmt.Println(err)
	share, _ := stance.Scales{Left: 28, Right: 42}.Share(70, 1)
	fmt.Println(share.Scale(100).Text(quantity.Decimals(1)), "% on the left foot")
	// Output:
	// The scales show 50.0 kg together, less than the mass of 70.0 kg by more than their error of 2.0 kg; were the hands free?
	// 40.0 (39.3 to 40.7) % on the left foot
}

func ExampleAcross_Sides() {
	a := stance.Across{HalfStance: 0.125, Height: 1, Slope: quantity.Must(quantity.Degrees(5))}
	s, _ := a.Sides()
	fmt.Println(quantity.Decimals(0).Text(s.Downhill.Percent()), "% on the downhill foot; tips at", quantity.Decimals(1).Text(s.Tips.Degrees()), "degrees")
	// Output: 85 % on the downhill foot; tips at 7.1 degrees
}
