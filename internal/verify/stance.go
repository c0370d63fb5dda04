package verify

import (
	"fmt"
	"math"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/stance"
)

// stanceChecks compares the balance of a standing skier with the worked
// examples of statics and with published figures.
func stanceChecks() []Check {
	checks := fourContacts()
	checks = append(checks, sideSlopes()...)
	checks = append(checks, apparentGravity()...)
	checks = append(checks, sway()...)
	checks = append(checks, supportBase()...)
	return append(checks, leverRule()...)
}

func stanceAt(x, y, height quantity.Metre, mass quantity.Kilogram, contacts ...stance.Contact) stance.Stance {
	return stance.Stance{Mass: mass, Centre: quantity.Must(stance.At(x, y, height)), Contacts: contacts}
}

func pointOn(kind stance.Kind, side finding.Side, x, y quantity.Metre) stance.Contact {
	return stance.Contact{Kind: kind, Side: side, Rear: stance.Point{X: x, Y: y}, Front: stance.Point{X: x, Y: y}}
}

// balanced returns the shares of the weight on each contact in percent, shared
// evenly, and the least of the arms.
func balanced(s stance.Stance) (pct []float64, arms float64) {
	r, err := stance.Analyse(s)
	if err != nil || r.Verdict != stance.Held {
		return []float64{math.NaN(), math.NaN(), math.NaN(), math.NaN()}, math.NaN()
	}
	for _, l := range r.Loads {
		pct = append(pct, 100*float64(l.Even/r.Weight))
	}
	return pct, 100 * float64(r.Arms.Value()/r.Weight)
}

func fourContacts() []Check {
	s := stanceAt(0, 0.07, 0.9, 70, pointOn(stance.Ski, finding.Left, -0.12, 0), pointOn(stance.Ski, finding.Right, 0.12, 0),
		pointOn(stance.Runner, finding.Left, -0.45, 0.35), pointOn(stance.Runner, finding.Right, 0.45, 0.35))
	_, hands := balanced(s)
	share := quantity.Must(quantity.Exactly(quantity.Ratio(0.4)))
	s.LeftShare = &share
	pct, arms := balanced(s)
	const given = "feet 12 cm out, outriggers 45 cm out and 35 cm ahead, centre of mass 7 cm ahead"
	checks := []Check{
		{ID: "stance/hands_share", What: given + ": on both outriggers", Source: "D", Unit: "%", Expected: "20", Got: hands},
		{ID: "stance/we19_arms", What: given + ", left foot 40 % of the feet's load: on both outriggers", Source: "D", Unit: "%", Expected: "20", Got: arms},
	}
	for i, c := range []struct{ id, expected string }{{"left_foot", "32"}, {"right_foot", "48"}, {"left_outrigger", "12.13"}, {"right_outrigger", "7.87"}} {
		checks = append(checks, Check{ID: "stance/we19_" + c.id, What: given + ", left foot 40 %: on the " + s.Contacts[i].Name(), Source: "D", Unit: "%", Expected: c.expected, Got: pct[i]})
	}
	// Readings of two scales under the feet in sit to stand: 458 and 296 N.
	both := quantity.Must(stance.Scales{Left: 458, Right: 296}.Share(0, 0))
	return append(checks, Check{ID: "stance/two_scales", What: "458 and 296 N under the feet of people after a stroke, sit to stand: share of the stronger side", Source: "EngChu2002", Unit: "%",
		Expected: "61", Got: both.Value().Percent()})
}

func sideSlopes() []Check {
	side := func(deg float64) stance.Sides {
		s, err := stance.Across{HalfStance: 0.125, Height: 1, Slope: quantity.Must(quantity.Degrees(deg))}.Sides()
		if err != nil {
			return stance.Sides{Downhill: quantity.Ratio(math.NaN())}
		}
		return s
	}
	const given = "feet 12.5 cm from the middle, centre of mass 1.0 m, square to a side slope: "
	checks := []Check{
		{ID: "stance/we20_5_deg", What: given + "on the downhill foot at 5 degrees", Source: "D", Unit: "1", Expected: "0.850", Got: float64(side(5).Downhill)},
		{ID: "stance/we20_5_deg_pct", What: given + "on the downhill foot at 5 degrees", Source: "D", Unit: "%", Expected: "85", Got: side(5).Downhill.Percent()},
		{ID: "stance/we20_7_deg", What: given + "on the downhill foot at 7 degrees", Source: "D", Unit: "1", Expected: "0.991", Got: float64(side(7).Downhill)},
		{ID: "stance/we20_tips", What: given + "tips beyond", Source: "D", Unit: "deg", Expected: "7.13", Got: side(5).Tips.Degrees()},
	}
	for _, c := range []struct {
		deg      float64
		expected string
	}{{5, "22"}, {10, "43"}, {15, "65"}} {
		checks = append(checks, Check{ID: fmt.Sprintf("stance/upright_%.0f_deg", c.deg), What: fmt.Sprintf("upright body, feet 25 cm apart, side slope of %.0f degrees: uphill leg shorter by", c.deg),
			Source: "D", Unit: "mm", Expected: c.expected, Got: side(c.deg).ShorterLeg.Millimetres()})
	}
	// The same through the balance of two contacts.
	s := stanceAt(0, 0, 1, 60, pointOn(stance.Ski, finding.Left, -0.125, 0), pointOn(stance.Ski, finding.Right, 0.125, 0))
	level, err := stance.Analyse(s)
	tips := math.NaN()
	if err == nil {
		tips = level.Rooms[2].Tips.Value().Degrees()
	}
	s.Lean = quantity.Must(stance.Standing(quantity.Must(quantity.Degrees(5)), quantity.Must(quantity.Degrees(90))))
	pct, _ := balanced(s)
	return append(checks,
		Check{ID: "stance/two_contacts_5_deg", What: "the same by two contacts: on the downhill ski", Source: "D", Unit: "%", Expected: "85", Got: pct[1]},
		Check{ID: "stance/two_contacts_tips", What: "the same by two contacts: lean that tips", Source: "D", Unit: "deg", Expected: "7.1", Got: tips},
	)
}

func apparentGravity() []Check {
	ten := quantity.Must(quantity.Degrees(10))
	lean := func(l stance.Lean, err error) float64 {
		if err != nil {
			return math.NaN()
		}
		return l.Angle().Degrees()
	}
	glide := func(mu quantity.Ratio) float64 {
		return lean(stance.Gliding(ten, 0, quantity.Must(quantity.Exactly(mu))))
	}
	return []Check{
		{ID: "stance/we21_standing", What: "lean of apparent gravity on 10 degrees, standing still", Source: "D", Unit: "deg", Expected: "10.0", Got: lean(stance.Standing(ten, 0))},
		{ID: "stance/we21_gliding", What: "lean of apparent gravity on 10 degrees, gliding with a resistance of 0.05", Source: "D", Unit: "deg", Expected: "2.86", Got: glide(0.05)},
		{ID: "stance/we21_free", What: "lean of apparent gravity on 10 degrees, gliding without resistance", Source: "D", Unit: "deg", Expected: "0.0", Got: glide(0)},
	}
}

func sway() []Check {
	extrapolate := func(length quantity.Metre, inside *quantity.Metre) stance.Sway {
		s, err := stance.Extrapolate(length, 9.81, 0.10, inside)
		if err != nil {
			return stance.Sway{Rate: math.NaN()}
		}
		return s
	}
	length, err := stance.PendulumOf(0.901, "frontal")
	if err != nil {
		length = quantity.Metre(math.NaN())
	}
	inside := quantity.Metre(0.05)
	s := extrapolate(length, &inside)
	margin := math.NaN()
	if s.Margin != nil {
		margin = float64(*s.Margin)
	}
	const given = "trochanter 0.901 m, pendulum 1.34 times that, 0.10 m/s: "
	checks := []Check{
		{ID: "stance/we18_length", What: given + "length of the pendulum", Source: "Hof2005", Status: "derived here", Unit: "m", Expected: "1.207", Got: float64(s.Length)},
		{ID: "stance/we18_rate", What: "rate of a pendulum of 1.207 m", Source: "Hof2005", Status: "derived here", Unit: "1/s", Expected: "2.851", Got: extrapolate(1.207, nil).Rate},
		{ID: "stance/we18_lead", What: given + "lead of the extrapolated centre", Source: "Hof2005", Status: "derived here", Unit: "m", Expected: "0.035", Got: float64(s.Lead)},
		{ID: "stance/we18_margin", What: given + "margin from 0.05 m inside the edge", Source: "Hof2005", Status: "derived here", Unit: "m", Expected: "0.015", Got: margin},
	}
	return checks
}

func supportBase() []Check {
	b, err := stance.BaseOf([]stance.Point{{X: -0.45, Y: 0.35}, {X: 0.45, Y: 0.35}, {X: 0.16, Y: -0.10}, {X: -0.16, Y: -0.10}}, stance.Point{Y: 0.04}, 0)
	got := map[string]float64{}
	if err == nil {
		for _, e := range b.Edges {
			got[e.Faces.String()] = float64(e.Distance)
		}
	}
	far := func(edge string) float64 {
		if d, ok := got[edge]; ok {
			return d
		}
		return math.NaN()
	}
	const given = "corners 45 cm out and 35 cm ahead, 16 cm out and 10 cm behind, centre of mass 4 cm ahead: "
	return []Check{
		{ID: "stance/we22_front", What: given + "to the front edge", Source: "D", Unit: "m", Expected: "0.310", Got: far("forward")},
		{ID: "stance/we22_rear", What: given + "to the rear edge", Source: "D", Unit: "m", Expected: "0.140", Got: far("back")},
		{ID: "stance/we22_right", What: given + "to the right edge", Source: "D", Unit: "m", Expected: "0.210", Got: far("back right")},
		{ID: "stance/we22_left", What: given + "to the left edge", Source: "D", Unit: "m", Expected: "0.210", Got: far("back left")},
		{ID: "stance/we22_margin", What: given + "margin", Source: "D", Unit: "m", Expected: "0.140", Got: float64(b.Margin)},
	}
}

// leverRule balances a body on two contacts in one line: the two-scale board of
// a textbook, the other way round.
func leverRule() []Check {
	s := stanceAt(0.740, 0, 0.2, 412/9.81, pointOn(stance.Ski, finding.Left, 0, 0), pointOn(stance.Ski, finding.Right, 2.5, 0))
	s.Gravity = 9.81
	pct, _ := balanced(s)
	return []Check{
		{ID: "stance/two_scale_board_head", What: "412 N, centre of mass 0.740 m from the head end, scales 2.50 m apart: at the head", Source: "Walker", Unit: "N", Expected: "290", Got: pct[0] / 100 * 412},
		{ID: "stance/two_scale_board_foot", What: "412 N, centre of mass 0.740 m from the head end, scales 2.50 m apart: at the other end", Source: "Walker", Unit: "N", Expected: "122", Got: pct[1] / 100 * 412},
	}
}
