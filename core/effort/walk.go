package effort

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// healthy is the note that goes with every equation of walking.
const healthy = "Measured on healthy adults; a changed gait costs more."

// Walk returns the rate of walking at a speed on a gradient in percent,
// uphill positive, without a load, by Looney et al. 2019. It counts for the
// level, up and down; at no speed it is standing. Its range is one standard
// error of estimate.
func Walk(speed quantity.MetrePerSecond, gradePct float64) (Rate, error) {
	if err := entry.First(boundSpeed.Check(float64(speed)), boundGrade.Check(gradePct)); err != nil {
		return Rate{}, err
	}
	c := figures()
	v := lcda(float64(speed), gradePct)
	spread := c.levelError
	if gradePct != 0 {
		spread = c.gradedError
	}
	r := known(v, max(v-spread, 0), v+spread, "Looney2019")
	if float64(speed) > c.speedMost {
		r = r.outside("The equation was measured up to " + text(c.speedMost, 2) + " m/s; this is faster, and people run rather than walk.")
	}
	if gradePct < c.gradeLeast || gradePct > c.gradeMost {
		r = r.outside("The equation was measured from " + text(c.gradeLeast, 0) + " to " + text(c.gradeMost, 0) + " %; this gradient lies outside.")
	}
	return r.note(healthy), nil
}

// lcda is the equation in W/kg, speed in m/s, gradient in percent.
func lcda(s, g float64) float64 {
	c := figures()
	level := c.walk0 + c.walkS*math.Pow(s, c.walkP) + c.walk4*math.Pow(s, 4)
	return level + c.gradeF*s*g*(1-math.Pow(c.gradeOuter, 1-math.Pow(c.gradeInner, g+c.gradeIn)))
}

// Terrain is what the ground does to the cost of walking, with its range.
type Terrain struct {
	Eta     quantity.Range[quantity.Ratio]
	Ref     string
	Outside []string
	Notes   []string
	// Fits are the two published fits for snow, in the order Pandolf 1976,
	// CRREL; nil for other ground.
	Fits []float64
}

// Factor returns ground with a given terrain factor.
func Factor(eta float64) (Terrain, error) {
	if err := entry.First(boundEta.Check(eta)); err != nil {
		return Terrain{}, err
	}
	r, _ := quantity.Exactly(quantity.Ratio(eta))
	return Terrain{Eta: r}, nil
}

// Surfaces lists the ground of the table of terrain factors.
func Surfaces() []string { return source.Table("terrain_factors").Names("surface") }

// Surface returns the ground of a name of [Surfaces].
func Surface(name string) (Terrain, error) {
	row, ok := source.Table("terrain_factors").Where("surface", name).Only()
	if !ok {
		return Terrain{}, entry.Refuse("unknown_surface", "There is no terrain factor for that ground.")
	}
	eta, _ := row.Number("eta")
	t, err := Factor(eta)
	t.Ref = "terrain_factors"
	return t, err
}

// Snow returns the terrain factor of snow into which the foot sinks so deep.
// The value follows Pandolf et al. 1976; the range goes to the other
// published fit. They agree to about 5 cm, and beyond 10 cm they part so far
// that no factor is given but that of 10 cm.
func Snow(sinkage quantity.Metre) (Terrain, error) {
	if err := entry.First(boundSinkage.Check(float64(sinkage))); err != nil {
		return Terrain{}, err
	}
	c := figures()
	z := sinkage.Centimetres()
	used := min(z, c.sinkMost)
	a := c.eta0 + c.eta1*used
	b := c.z0 + used*(c.z1+used*(c.z2+used*c.z3))
	r := quantity.Must(quantity.NewRange(quantity.Ratio(a), quantity.Ratio(min(a, b)), quantity.Ratio(max(a, b))))
	t := Terrain{Eta: r, Ref: "Pandolf1976", Fits: []float64{a, b}}
	if used > c.sinkPart {
		t.Notes = append(t.Notes, "The two published fits for snow part beyond "+text(c.sinkPart, 0)+" cm: "+text(a, 2)+" against "+text(b, 2)+" here.")
	}
	if z > c.sinkMost {
		t.Outside = append(t.Outside, "Deeper than "+text(c.sinkMost, 0)+" cm the published fits disagree by half and more; this is the factor of "+
			text(c.sinkMost, 0)+" cm, and deeper snow costs more.")
	}
	return t, nil
}

// WalkLoaded returns the rate of walking with a load by Pandolf et al. 1977,
// for each kilogram of the body without the load. The gradient in percent must
// not be below the level: going down the equation falls without end, and the
// rate is then unknown.
func WalkLoaded(body, load quantity.Kilogram, on Terrain, speed quantity.MetrePerSecond, gradePct float64) (Rate, error) {
	if err := entry.First(boundMass.Check(float64(body)), boundLoad.Check(float64(load)), boundSpeed.Check(float64(speed)), boundGrade.Check(gradePct)); err != nil {
		return Rate{}, err
	}
	c := figures()
	refs := []string{"Pandolf1977"}
	if on.Ref != "" {
		refs = append(refs, on.Ref)
	}
	if gradePct < 0 {
		return unknown("The equation of Pandolf et al. 1977 was not made for going down: below the level it falls without end. Take the LCDA equation.", refs...), nil
	}
	at := func(eta quantity.Ratio) float64 {
		w, l, v := float64(body), float64(load), float64(speed)
		return (c.loadBody*w + c.loadSquare*(w+l)*(l/w)*(l/w) + float64(eta)*(w+l)*(c.loadSpeed*v*v+c.loadG*v*gradePct)) / w
	}
	r := known(at(on.Eta.Value()), at(on.Eta.Low()), at(on.Eta.High()), refs...)
	r.Outside = append(r.Outside, on.Outside...)
	r.Notes = append(r.Notes, on.Notes...)
	if float64(speed) > c.walkMost {
		r = r.outside("Above about " + text(c.walkMost, 1) + " m/s people run; this is an equation of walking.")
	}
	if load > 0 {
		r = r.note("The load is carried on the back; the same mass on the feet, such as boots and skis, costs more.")
	}
	return r.note(healthy), nil
}

// WalkOxygen returns the rate of walking by the ACSM equation. Below the level
// it is unknown.
func WalkOxygen(speed quantity.MetrePerSecond, gradePct float64) (Rate, error) {
	if err := entry.First(boundSpeed.Check(float64(speed)), boundGrade.Check(gradePct)); err != nil {
		return Rate{}, err
	}
	if gradePct < 0 {
		return unknown("The ACSM walking equation was not made for going down. Take the LCDA equation.", "ACSM"), nil
	}
	c := figures()
	s := speed.MetresPerMinute()
	grade := gradePct / 100
	v := c.rest + c.oxWalk*s + c.oxClimb*s*grade
	r := oxygen(v, v, v, "ACSM")
	if s < c.oxLow || s > c.oxHigh {
		r = r.outside("The equation is meant for " + text(c.oxLow, 0) + " to " + text(c.oxHigh, 0) + " m a minute (" +
			text(c.oxLow/60, 2) + " to " + text(c.oxHigh/60, 2) + " m/s); this speed lies outside.")
	}
	return r.note(healthy), nil
}

// text prints a figure in a sentence.
func text(v float64, decimals int) string { return quantity.Decimals(decimals).Text(v) }
