package effort

import (
	"math"
	"strconv"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Step returns the rate of stepping up and down, so many steps a minute of so
// much height, by the ACSM equation; one step is up and down again. Its range
// is one standard error.
func Step(height quantity.Metre, perMinute float64) (Rate, error) {
	if err := entry.First(boundHeight.Check(float64(height)), boundRate.Check(perMinute)); err != nil {
		return Rate{}, err
	}
	c := figures()
	v := c.rest + perMinute*perStep(float64(height))
	r := oxygen(v, max(v-c.stepError, 0), v+c.stepError, "ACSM", "Latin2001")
	return r.steps(float64(height), perMinute).note(healthy), nil
}

// perStep is the oxygen of one step in mL/kg, beyond rest.
func perStep(height float64) float64 {
	c := figures()
	return c.oxStep + c.oxDown*c.oxClimb*height
}

// steps adds where the stepping equation is used beyond what it is meant for.
func (r Rate) steps(height, perMinute float64) Rate {
	c := figures()
	if perMinute < c.rateLow || perMinute > c.rateHigh {
		r = r.outside("The stepping equation is meant for " + text(c.rateLow, 0) + " to " + text(c.rateHigh, 0) + " steps a minute; this rate lies outside.")
	}
	if height < c.heightLow || height > c.heightHigh {
		r = r.outside("The stepping equation is meant for steps of " + text(100*c.heightLow, 0) + " to " + text(100*c.heightHigh, 0) + " cm; this height lies outside.")
	}
	return r
}

// Climb is a climb by side steps.
type Climb struct {
	Rate Rate
	// Rise is the height won with each step.
	Rise quantity.Metre
	// PerStep is the energy of one step for each kilogram in J/kg, beyond
	// rest: value and high by the stepping equation, low by the lifting of the
	// body alone.
	PerStep, PerStepLow float64
}

// SideStep returns what climbing by side steps costs: steps of a width
// measured up the slope, on a slope, so many a minute. No activity table lists
// it; it is derived here. The value takes the ACSM stepping equation, which
// counts the coming down as well and so lies above; the low end lifts the body
// with a fifth of the energy used.
func SideStep(width quantity.Metre, slope quantity.Radian, perMinute float64) (Climb, error) {
	if err := entry.First(boundHeight.Check(float64(width)), boundGrade.Check(slope.GradePercent()), boundRate.Check(perMinute)); err != nil {
		return Climb{}, err
	}
	if slope < 0 {
		return Climb{}, entry.Refuse("out_of_range", "Side steps are counted up the slope: give the slope as a positive number.")
	}
	return sideStep(quantity.Metre(float64(width)*math.Sin(float64(slope))), perMinute)
}

// Rising is [SideStep] where the height won with each step is known.
func Rising(rise quantity.Metre, perMinute float64) (Climb, error) {
	if err := entry.First(boundHeight.Check(float64(rise)), boundRate.Check(perMinute)); err != nil {
		return Climb{}, err
	}
	return sideStep(rise, perMinute)
}

func sideStep(rise quantity.Metre, perMinute float64) (Climb, error) {
	c := figures()
	h := float64(rise)
	const minute = 60
	energy := perStep(h) * c.wattsPerOxygen * minute
	lifting := c.gravity * h / c.climbShare
	rest := c.rest * c.wattsPerOxygen
	v, low := rest+energy*perMinute/minute, rest+lifting*perMinute/minute
	r := known(v, min(v, low), max(v, low), "ACSM", "climb_share", "D")
	// With the equation's own limits, and what makes the estimate weak.
	r = r.steps(h, perMinute)
	r = r.note("Derived here: no published figure for side steps on skis was found. Skis, boots and packing snow are not in it, so it may well be more.")
	return Climb{Rate: r, Rise: rise, PerStep: energy, PerStepLow: min(lifting, energy)}, nil
}

// Listed is an activity of the Compendium of 2011.
type Listed struct {
	Code, Words string
	MET         float64
}

// Activities lists the activities known here.
func Activities() []Listed {
	var list []Listed
	for _, r := range source.Table("compendium2011").Rows() {
		met, _ := r.Number("met")
		list = append(list, Listed{r.Text("code"), r.Text("activity"), met})
	}
	return list
}

// Activity returns the rate of an activity by its code. METs carry no range.
func Activity(code string) (Rate, Listed, error) {
	for _, l := range Activities() {
		if l.Code == code {
			r, err := Equivalents(l.MET)
			r.Refs = []string{"compendium2011"}
			return r.note("Counts the time in motion only, not the waiting and riding between; adults."), l, err
		}
	}
	return Rate{}, Listed{}, entry.Refuse("unknown_activity", "There is no activity with the code "+strconv.Quote(code)+" in the list kept here.")
}

// Equivalents returns the rate of so many metabolic equivalents.
func Equivalents(met float64) (Rate, error) {
	if err := entry.First(boundMET.Check(met)); err != nil {
		return Rate{}, err
	}
	v := met * figures().rest
	return oxygen(v, v, v, "oxygen_rest"), nil
}
