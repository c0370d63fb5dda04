package verify

import (
	"math"

	"firnhand/core/body"
	"firnhand/core/fit"
	"firnhand/core/quantity"
)

// fitChecks compares core/fit with the trade's rules.
func fitChecks() []Check {
	var checks []Check
	person := func(stature quantity.Metre) body.Person {
		return body.Person{Sex: body.Male, Mass: 75, Stature: &stature}
	}
	item := func(in fit.Input, id string, side body.Side) fit.Item {
		s := ok(fit.Propose(in))
		i, found := s.Item(id, side)
		if !found || !i.Known {
			return fit.Item{Value: math.NaN()}
		}
		return i
	}
	for _, x := range []struct {
		stature  quantity.Metre
		expected string
	}{{1.50, "50"}, {1.73, "75"}, {1.83, "100"}, {1.95, "100"}} {
		in := fit.Input{Body: ok(body.New(person(x.stature))), Way: "outriggers"}
		checks = append(checks, Check{ID: "fit/cuff_" + quantity.Decimals(2).Text(float64(x.stature)), What: "cuff under the elbow at a stature of " + quantity.Decimals(2).Text(float64(x.stature)) + " m",
			Source: "S40", Unit: "mm", Expected: x.expected, Got: item(in, "cuff_below_elbow", body.Left).Value})
	}
	// Handle at the wrist crease: a reading at the crease is the handle.
	crease := body.Both(&body.Reading{Value: 0.820})
	in := fit.Input{Body: ok(body.New(person(1.755))), Way: "outriggers", CreaseBoots: crease}
	checks = append(checks, Check{ID: "fit/handle_at_crease", What: "handle with the wrist crease at 820 mm in boots on skis", Source: "Leaflets", Unit: "mm", Expected: "820", Got: item(in, "outrigger_handle", body.Left).Value})
	bend := item(in, "elbow_bend", body.Left).Value
	checks = append(checks, inBand("fit/elbow_at_crease", "elbow bend of a middle man with the handle at the crease, 15 to 30 degrees", "Leaflets", bend, 15, 30))
	// Ten millimetres of handle height and the holes' 25.
	b := ok(body.New(person(1.755))).Frame()
	at := func(over float64) float64 {
		up := b.UpperArm.Left.Value + b.Forearm.Left.Value + float64(body.CreaseBelow()+body.GripBelow()) - over
		return ok(body.ElbowBend(quantity.Metre(math.Sqrt(up*up+0.1*0.1+0.1*0.1)), quantity.Metre(b.UpperArm.Left.Value), quantity.Metre(b.Forearm.Left.Value+b.Grip.Left.Value))).Degrees()
	}
	checks = append(checks, inBand("fit/elbow_per_10_mm", "change of elbow bend by 10 mm of handle height, 5.5 to 8.5 degrees", "D", (at(0.005)-at(-0.005)), 5.5, 8.5),
		inBand("fit/elbow_per_hole", "change of elbow bend by one hole of 25 mm, 14.5 to 20.5 degrees", "D", at(0.0125)-at(-0.0125), 14.5, 20.5))
	// Boot and ski raise about as much as bending lowers.
	bare := quantity.Metre(body.Predict("wristheight", body.Male, 1.755, nil).Value)
	in = fit.Input{Body: ok(body.New(person(1.755))), Way: "outriggers", CreaseBare: body.Both(&body.Reading{Value: bare})}
	net := item(in, "outrigger_handle", body.Right).Value - 1000*float64(bare)
	checks = append(checks, inBand("fit/handle_net", "handle over the barefoot wrist crease, 15 to 50 mm", "D", net, 15, 50))
	// Slider: 30 to 50 mm clear at each hip.
	wide := person(1.755)
	wide.Measured.HipBreadth = &body.Reading{Value: 0.360}
	s := item(fit.Input{Body: ok(body.New(wide)), Way: "slider"}, "slider_width", 0)
	checks = append(checks, Check{ID: "fit/slider_width", What: "slider inside for hips of 360 mm, 40 mm clear each side", Source: "CP", Unit: "mm", Expected: "440", Got: s.Value})
	for _, way := range []string{"outriggers", "one_ski_left"} {
		i := item(fit.Input{Body: ok(body.New(person(1.755))), Way: way}, "ski_length", 0)
		limit, word := i.High, "upper"
		if way == "one_ski_left" {
			limit, word = i.Low, "lower"
		}
		checks = append(checks, Check{ID: "fit/ski_" + way, What: "ski with " + way + ": " + word + " limit at the chin of a stature of 1.755 m", Source: "Drillis1966", Unit: "cm", Expected: "152.7", Got: limit, Tolerance: 0.1})
	}
	c := quantity.Must(quantity.Degrees(3.2))
	sheet := ok(fit.Propose(fit.Input{Body: ok(body.New(person(1.755))), Cant: body.Both(&c)}))
	i, _ := sheet.Item("cant", body.Left)
	word := "technician"
	if i.Known {
		word = "a figure"
	}
	return append(checks, Check{ID: "fit/cant_over_3", What: "a cant of 3.2 degrees goes to", Source: "CP", Expected: "technician", GotWord: word})
}

// inBand checks that a figure lies in a printed band.
func inBand(id, what, src string, got, low, high float64) Check {
	word := "outside: " + quantity.Decimals(1).Text(got)
	if got >= low && got <= high {
		word = "within"
	}
	return Check{ID: id, What: what, Source: src, Expected: "within", GotWord: word}
}
