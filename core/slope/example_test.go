package slope_test

import (
	"fmt"
	"math"

	"firnhand/core/slope"
)

// A glide from rest over 30 m of 10 %, friction 0.05.
func ExampleConditions_Motion() {
	c := slope.Conditions{Gravity: 9.81, Drag: slope.DragOf(1.0, 0.6, 80)}
	m := c.Motion(slope.Piece{Slope: math.Atan(0.10), Friction: 0.05})
	a := m.Over(0, 30)
	fmt.Printf("%.2f m/s after %.1f s\n", a.Speed, a.Time)
	// Output: 5.12 m/s after 11.3 s
}

// Two pieces: down 12 %, then a run-out that rises.
func ExampleConditions_Glide() {
	c := slope.Conditions{Gravity: 9.81, Drag: slope.DragOf(1.1, 0.6, 70)}
	run := c.Glide([]slope.Piece{
		{Length: 40, Slope: math.Atan(0.12), Friction: 0.05},
		{Length: 100, Slope: math.Atan(-0.03), Friction: 0.05},
	}, 0)
	fmt.Printf("peak %.1f m/s, stops after %.0f m: %v\n", run.Peak, run.End().Distance, run.Stopped)
	// Output: peak 6.7 m/s, stops after 66 m: true
}

// What three timed glides say about the friction of today.
func ExampleGlides_Friction() {
	g := slope.Glides{WatchSD: 0.2, DragArea: slope.Between(0.5, 0.8), Density: 1.1, Mass: 80, Gravity: 9.80665,
		Prior: slope.Prior{Low: 0.023, LowSD: 0.006, High: 0.139, HighSD: 0.018},
		Timed: []slope.Timed{{Slope: math.Atan(0.10), SlopeSD: 0.01, Length: 30, Times: []float64{11.2, 11.4, 11.5}}}}
	p, err := g.Friction()
	if err != nil {
		fmt.Println(err)
		return
	}
	s := p.Within(0.9)
	fmt.Printf("%.3f (%.3f to %.3f)\n", s.Value, s.Low, s.High)
	// Output: 0.050 (0.034 to 0.067)
}

// The limit slope of a pair, and the snatch of half a metre of slack.
func ExamplePair() {
	p := slope.Pair{StudentMass: 80, StudentFriction: 0.05, HandlerMass: 75, HandlerFriction: 0.25}
	fmt.Printf("no longer stops beyond %.1f %%\n", 100*math.Tan(p.LimitSlope()))
	m := slope.Conditions{Gravity: 9.81}.Motion(slope.Piece{Slope: math.Atan(0.12), Friction: 0.05})
	fmt.Printf("snatch %.0f N\n", slope.Shock(80, m.Drive, 5000, m.Over(0, 0.5).Speed))
	// Output:
	// no longer stops beyond 14.7 %
	// snatch 580 N
}
