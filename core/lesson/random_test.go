package lesson

import (
	"math/rand/v2"

	"firnhand/core/cold"
	"firnhand/core/effort"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/quantity"
)

// invented makes a student and a day. Students are anywhere from their first
// day to the end of the ladder; days from warm to too cold.
func invented(r *rand.Rand) Request {
	l := ladder.Standing()
	one := func(list ...string) string { return list[r.IntN(len(list))] }
	yes := func(of int) bool { return r.IntN(of) == 0 }
	var q Request
	s, d := &q.Student, &q.Day
	for {
		way := one("none", "none", "outriggers", "outriggers", "outriggers", "slider", "one_outrigger_left", "one_outrigger_right", "one_ski_left", "one_ski_right")
		s.Setup.Aids = ladder.Aids{Way: way, Tie: one("none", "none", "elastic", "rigid", "rigid_spacer")}
		if s.Setup.Aids.Check() == nil {
			break
		}
	}
	routes := []string{"wedge", "wedge_early_then_wedgeless", "wedge_or_wedgeless", "wedgeless"}
	s.Setup.RouteLeft, s.Setup.RouteRight = one(routes...), one(routes...)
	if yes(3) {
		s.Setup.RouteRight = s.Setup.RouteLeft
	}
	if s.Setup.OneSki() {
		s.Setup.RouteLeft, s.Setup.RouteRight = "not_used", "not_used"
	}
	s.Plan = map[string]string{"none": "PL-A", "outriggers": "PL-B", "one_outrigger_left": "PL-B", "one_outrigger_right": "PL-B", "slider": "PL-C",
		"one_ski_left": "PL-D", "one_ski_right": "PL-D"}[s.Setup.Way]
	s.FirstTerrain = one("flat_only", "under_5pct_runout", "under_5pct_then_8_12pct", "under_5pct_then_8_12pct")
	s.Reins, s.People = yes(3), 1+r.IntN(3)
	s.BlockMin = []int{0, 5, 8, 15, 20, 20, 24, 30}[r.IntN(8)]
	s.Split, s.HardFirst = yes(10), yes(4)
	s.Lagging = finding.Side(r.IntN(3))
	s.EasySlopes, s.ShortRuns, s.NoLift = yes(8), yes(8), yes(8)
	if yes(3) {
		skills := l.Skills()
		s.Goal = skills[r.IntN(len(skills))].ID
	}
	s.Passes = climbed(r, *s)
	for range r.IntN(3) {
		skills := l.Skills()
		s.Chances = append(s.Chances, Chance{skills[r.IntN(len(skills))].ID, finding.Side(r.IntN(3)), r.IntN(101)})
	}
	if yes(2) {
		s.Effort = &Effort{Mass: quantity.Kilogram(20 + 80*r.Float64())}
		if yes(2) {
			m := quantity.Must(effort.Given(1 + r.Float64()))
			s.Effort.Multiplier = &m
		}
		if yes(2) {
			v := 15 + 30*r.Float64()
			c := quantity.Must(effort.NewCapacity(v, 0.9*v, 1.1*v))
			s.Effort.Capacity = &c
		}
	}
	d.Minutes = []int{0, 5, 10, 20, 30, 45, 60, 60, 75, 90, 90, 120, 150, 180}[r.IntN(14)] + r.IntN(5)
	d.Minutes = min(d.Minutes, MostMinutes)
	for _, t := range l.Terrains() {
		if !yes(5) {
			d.Terrains = append(d.Terrains, t.ID)
		}
	}
	d.Hard, d.Carpet, d.Chair, d.People = yes(5), !yes(3), !yes(3), s.People+r.IntN(3)
	if yes(12) {
		d.People = s.People - 1
	}
	if !yes(4) {
		air, wind := quantity.Celsius(-18+26*r.Float64()), quantity.MetrePerSecond(8*r.Float64())
		f := quantity.Must(cold.Freeze(air, wind))
		feel := cold.Feels()[r.IntN(4)]
		look := quantity.Must(quantity.Minutes(30))
		w := quantity.Must(cold.Look(f, feel, cold.Limits{Stop: -27, StopReduced: -15, Look: look}))
		d.Cold = &w
	}
	return q
}

// climbed passes skills as they open, up to some point of the ladder.
func climbed(r *rand.Rand, s Student) []ladder.Pass {
	l := ladder.Standing()
	var passes []ladder.Pass
	want := []int{0, 0, 5, 12, 25, 45, 60}[r.IntN(7)]
	in := s.Setup
	if r.IntN(6) == 0 && !in.OneSki() { // the first passes were with other aids
		in.Tie = []string{"none", "elastic", "rigid", "rigid_spacer"}[r.IntN(4)]
	}
	for len(passes) < want {
		b, err := l.Open(in, passes)
		if err != nil {
			panic(err)
		}
		var open []ladder.Entry
		for _, e := range b.Entries {
			if e.State == ladder.Open {
				open = append(open, e)
			}
		}
		if len(open) == 0 {
			break
		}
		for range min(want-len(passes), 1+r.IntN(6)) {
			e := open[r.IntN(len(open))]
			p := ladder.Pass{Skill: e.Skill.ID, Side: e.Side, Terrain: e.Skill.Place.ID, Help: max(r.IntN(6), e.LeastHelp), Aids: in.Aids}
			if _, rank, _ := l.Terrain(p.Terrain); r.IntN(5) == 0 && rank+1 < len(l.Terrains()) {
				p.Terrain = l.Terrains()[rank+1].ID
			}
			passes = append(passes, p)
		}
		if r.IntN(30) == 0 {
			in = s.Setup
		}
	}
	return passes
}
