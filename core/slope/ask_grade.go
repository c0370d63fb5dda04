package slope

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
)

// Grading asks what a slope is: in both units, along a path, with a side fall,
// and in the published classes.
type Grading struct {
	Along  float64  // gradient along the run, downhill positive
	Across float64  // gradient across it, falling to the left positive
	Path   *float64 // φ, rad in the slope plane; one of the three or none
	Map    *float64 // ψ, rad on the map
	Start  *float64 // start angle of the fan, rad from straight across
}

// Answer converts and grades.
func (q Grading) Answer() (*Answer, []Class, error) {
	const most = 1e9 // exact: a wall to the last digit
	if err := entry.Within("The gradient", -most, most, "a gradient of a slope").Check(q.Along, q.Across); err != nil {
		return nil, nil, err
	}
	out := &Answer{About: "What a slope is", Cautions: Cautions(), Sources: []string{"slope_grades"}}
	g := Grade{q.Along, q.Across}
	theta, off := g.Steepest()
	sign := 1.0
	if q.Across == 0 && q.Along < 0 { // a rise along the run is no fall line behind
		theta, off, sign = -theta, 0, -1
	}
	steepest := math.Tan(theta)
	out.add("slope_deg", "slope", "°", 4, Exactly(theta*degrees))
	out.add("slope_pct", "slope", "%", 2, Exactly(100*steepest))
	if q.Across != 0 {
		out.add("along_deg", "along the run", "°", 2, Exactly(math.Atan(q.Along)*degrees))
		out.add("fall_line_deg", "true fall line from the axis of the run, on the map, to the left", "°", 2, Exactly(off*degrees))
		out.say("The slope falls to the ", map[bool]string{true: "left", false: "right"}[q.Across > 0], " of the run as well: start angles count from straight across the true fall line.")
	}
	angles := 0
	var phi float64
	for _, a := range []struct {
		v    *float64
		path func(float64) float64
	}{{q.Path, func(v float64) float64 { return v }}, {q.Map, func(v float64) float64 { return PathAngle(v, theta) }},
		{q.Start, func(v float64) float64 { return FromAcross(v, Left) }}} {
		if a.v == nil {
			continue
		}
		if err := boundAngle.Check(*a.v); err != nil {
			return nil, nil, err
		}
		angles++
		phi = a.path(*a.v)
	}
	if angles > 1 {
		return nil, nil, entry.Refuse("one_angle", "Give the angle of the path once: in the slope plane, on the map, or from straight across.")
	}
	if angles == 1 {
		alpha := PathSlope(theta, phi)
		out.add("path_deg", "path from the fall line, in the slope plane", "°", 3, Exactly(phi*degrees))
		out.add("map_deg", "path from the fall line, on the map", "°", 3, Exactly(MapAngle(phi, theta)*degrees))
		out.add("path_slope_deg", "slope along the path", "°", 3, Exactly(alpha*degrees))
		out.add("path_gradient_pct", "gradient along the path", "%", 2, Exactly(percentOf(alpha)))
	}
	var classes []Class
	if sign > 0 {
		classes = Classes(steepest, steepest)
		for _, c := range classes {
			out.cite(c.Ref)
		}
	}
	out.took("along_pct", "gradient along the run", "%", 2, Given(Exactly(100*q.Along)))
	out.took("across_pct", "gradient across the run, falling to the left", "%", 2, Given(Exactly(100*q.Across)))
	return out, classes, nil
}

// Shape asks for the shape of a measured run.
type Shape struct {
	Stations []Station
	Smoothing
	Across float64 // gradient across the run, falling to the left positive; 0 where it was not measured
}

// Windows over which the steepest stretch is reported, m on the map.
const (
	shortWindow = 20 // src: CP
	longWindow  = 50 // src: CP
)

// Answer smooths the run and reports its steepest stretches and classes.
func (q Shape) Answer() (*Answer, Profile, []Class, error) {
	p, err := Smooth(q.Stations, q.Smoothing)
	if err != nil {
		return nil, Profile{}, nil, err
	}
	if err := entry.Within("The gradient across the run", -10, 10, "between -1000 and 1000 %").Check(q.Across); err != nil {
		return nil, Profile{}, nil, err
	}
	out := &Answer{About: "The shape of a run", Cautions: Cautions(), Sources: []string{"slope_grades", "profile_spacing", "profile_sigma", "CP"}}
	short, long := p.Steepest(shortWindow), p.Steepest(longWindow)
	out.add("length_m", "length on the map", "m", 0, Exactly(p.Length()))
	out.add("drop_m", "fall of height", "m", 1, Exactly(p.Drop()))
	out.add("mean_pct", "mean gradient", "%", 1, Exactly(100*p.Drop()/p.Length()))
	out.add("steepest_20_pct", "steepest 20 m", "%", 1, Exactly(100*short.Gradient))
	out.add("steepest_20_deg", "steepest 20 m", "°", 1, Exactly(math.Atan(short.Gradient)*degrees))
	out.add("steepest_20_from_m", "where it begins, on the map", "m", 0, Exactly(short.From))
	out.add("steepest_50_pct", "steepest 50 m", "%", 1, Exactly(100*long.Gradient))
	out.add("steepest_50_deg", "steepest 50 m", "°", 1, Exactly(math.Atan(long.Gradient)*degrees))
	out.add("steepest_50_from_m", "where it begins, on the map", "m", 0, Exactly(long.From))
	tail := min(longWindow, p.Length())
	out.add("end_pct", "gradient of the last 50 m", "%", 1, Exactly(100*(p.At(p.Length()-tail)-p.At(p.Length()))/tail))
	zero := quantity.Decimals(0)
	if p.Length() < longWindow {
		out.outside("The run is ", zero.Text(p.Length()), " m long: shorter than the stretches asked for, so it counts as a whole.")
	}
	if q.Across != 0 {
		theta, off := Grade{long.Gradient, q.Across}.Steepest()
		out.add("fall_line_pct", "true gradient of the steepest 50 m, with the fall across", "%", 1, Exactly(percentOf(theta)))
		out.add("fall_line_deg", "true fall line from the axis of the run, on the map, to the left", "°", 1, Exactly(off*degrees))
	} else {
		out.outside("A fall across the run was not given, so a double fall line is not seen: the slope can be steeper than the run.")
	}
	if p.Drop() < 0 {
		out.warn("The run ends higher than it begins: check whether it is the other way round.")
	}
	if p.Spikes > 0 {
		out.warn(zero.Text(float64(p.Spikes)), " of the heights were spikes or jitter: the median of five moved them by more than half a metre.")
	}
	if p.Doubles > 0 {
		out.warn(zero.Text(float64(p.Doubles)), " points lay at the place of another and were made one.")
	}
	if q.Sigma == 0 {
		out.warn("The heights were not smoothed: single readings show as gradients.")
	}
	steep := long.Gradient
	if q.Across != 0 {
		theta, _ := Grade{long.Gradient, q.Across}.Steepest()
		steep = math.Tan(theta)
	}
	const most = 0.8 // src: S39
	if steep > most {
		out.outside("The steepest 50 m are steeper than the steepest published class (80 %, S39): check that heights and distances are in the same unit.")
	}
	classes := Classes(steep, max(short.Gradient, steep))
	for _, c := range classes {
		out.cite(c.Ref)
	}
	out.took("points_count", "points", "", 0, Given(Exactly(float64(len(q.Stations)))))
	out.took("spacing_m", "spacing after smoothing", "m", 1, Given(Exactly(p.Spacing)))
	out.took("sigma_m", "weights of smoothing, standard deviation", "m", 1, Given(Exactly(q.Sigma)))
	out.took("across_pct", "gradient across the run, falling to the left", "%", 1, Given(Exactly(100*q.Across)))
	return out, p, classes, nil
}
