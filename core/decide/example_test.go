package decide_test

import (
	"fmt"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

// person is a child who walks unsteadily and holds her knees well.
func person() finding.Set {
	s := finding.Set{}
	for id, v := range map[string]string{"waiver": "valid", "age_years": "9", "mass_kg": "27", "gait": "W4", "stand_s": "20", "load_test": "yes",
		"trunk": "3", "endurance_min": "25", "sitting_painless": "yes"} {
		_ = s.PutBoth(id, finding.NoSide, v)
	}
	for id, v := range map[string]string{"push_out": "3", "push_in": "3", "toe_in_alone": "yes", "ankle_deg": "18", "place_of5": "5",
		"one_leg_s": "5", "one_leg_bends": "5"} {
		_ = s.PutBoth(id, finding.Left, v)
		_ = s.PutBoth(id, finding.Right, v)
	}
	s.FillNormal(func(*finding.Def) bool { return true })
	return s
}

// Decide answers every question of the table and says why.
func ExampleTable_Decide() {
	a := decide.Standing().Decide(decide.Input{Findings: person()})
	way, _ := a.Axis("way")
	fmt.Println(way.Label, "by", way.Rule)
	fmt.Println(way.Because)
	for _, w := range way.WhyNot[:1] {
		fmt.Printf("not %s: %s %s\n", w.Value, w.Rule, w.Against)
	}
	// Output:
	// two skis and outriggers by D4
	// Four contact points give time; the arms are good enough for them.
	// not none: D3 overruled by D4
}

// What is not known leaves questions open, with the answers that remain and
// what they wait for.
func ExampleTable_Decide_unknown() {
	s := person()
	delete(s, finding.Key{ID: "trunk"})
	delete(s, finding.Key{ID: "trunk", State: finding.Tired})
	a := decide.Standing().Decide(decide.Input{Findings: s})
	way, _ := a.Axis("way")
	for _, v := range way.Possible {
		fmt.Println(v.ID)
	}
	for _, r := range way.WaitsFor {
		fmt.Println("waits for:", r.Label, r.State)
	}
	// Output:
	// outriggers
	// slider
	// sitting
	// waits for: Sitting trunk fresh and tired
}

// Argue also names the smallest changes that would give another answer, and
// the tests worth doing.
func ExampleTable_Argue() {
	s := person()
	delete(s, finding.Key{ID: "vision_m"})
	a, next := decide.Standing().Argue(decide.Input{Findings: s})
	side, _ := a.Axis("helper_side")
	fmt.Println(side.Value)
	for _, c := range side.Changes {
		f := c.Findings[0]
		fmt.Printf("%s in %d step with %s from %s to %s\n", c.To, c.Steps, f.Label, f.From, f.To)
	}
	for _, n := range next {
		fmt.Printf("test %s, %s: settles %v\n", n.Test, n.Label, n.Settles)
	}
	// Output:
	// either
	// left in 1 step with Gap in the field of view from none to left
	// right in 1 step with Gap in the field of view from none to right
	// test 17, Usable sight: settles [guide people]
}

// A programme signs off its own numbers; anything outside a number's range is
// refused.
func ExampleParseWith() {
	table, err := decide.ParseWith(decide.StandingText(), map[string]float64{"stand_unaided_s": 15})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := person()
	_ = s.PutBoth("gait", finding.NoSide, "W5")
	a := table.Decide(decide.Input{Findings: s})
	fmt.Println(a.Is("way", "none"))
	_, err = decide.ParseWith(decide.StandingText(), map[string]float64{"upright_min": 0})
	fmt.Println(err != nil)
	// Output:
	// true
	// true
}
