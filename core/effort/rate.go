package effort

import (
	"slices"
	"sync"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// PerKg is energy for each second and kilogram of the body, with its range.
type PerKg = quantity.Range[quantity.WattPerKilogram]

// Rate is what an activity costs, rest included.
type Rate struct {
	// Known is false where the equation would mislead; Outside then says why
	// and the other figures are zero.
	Known bool
	PerKg PerKg
	// Refs are the ids of the figures, tables or works it comes from.
	Refs []string
	// Outside says in words where the equation is used beyond what it was
	// measured on.
	Outside []string
	// Notes are what else a reader must know.
	Notes []string
}

// coefficients are the figures of the equations, read once.
type coefficients struct {
	walk0, walkS, walkP, walk4               float64 // W/kg, 1, 1, 1
	gradeF, gradeOuter, gradeInner, gradeIn  float64
	speedMost, levelError, gradedError       float64 // m/s, W/kg, W/kg
	gradeLeast, gradeMost                    float64 // %
	loadBody, loadSquare, loadSpeed, loadG   float64
	walkMost                                 float64 // m/s
	rest, oxWalk, oxClimb, oxStep, oxDown    float64
	oxLow, oxHigh                            float64 // m/min
	rateLow, rateHigh, heightLow, heightHigh float64 // 1/min, m
	stepError                                float64 // mL/(kg min)
	wattsPerOxygen                           float64 // W/kg for each mL/(kg min)
	eta0, eta1                               float64 // 1, 1/cm
	z0, z1, z2, z3                           float64 // 1, 1/cm, 1/cm², 1/cm³
	sinkMost, sinkPart                       float64 // cm
	climbShare, gravity                      float64
	ownPace, ownPaceLow, ownPaceHigh         float64 // mL/(kg min)
	murrellLimit, murrellRest                float64 // kcal/min
	shareLow, shareMid, shareHigh            float64 // %
}

var figures = sync.OnceValue(func() *coefficients {
	v := source.Value
	d := func(id string) source.Datum {
		d, _ := source.Figure(id)
		return d
	}
	const millilitres = 1000
	litre := float64(quantity.Must(quantity.KilocaloriesPerMinute(v("kcal_per_litre"))))
	return &coefficients{
		walk0: v("walk_constant"), walkS: v("walk_speed"), walkP: v("walk_speed_power"), walk4: v("walk_fourth"),
		gradeF: v("walk_grade"), gradeOuter: v("walk_grade_outer"), gradeInner: v("walk_grade_inner"), gradeIn: v("walk_grade_shift"),
		speedMost: v("walk_speed_most"), levelError: v("walk_error_level"), gradedError: v("walk_error_graded"),
		gradeLeast: d("walk_grade_range").Low, gradeMost: d("walk_grade_range").High,
		loadBody: v("load_body"), loadSquare: v("load_square"), loadSpeed: v("load_speed"), loadG: v("load_grade"),
		walkMost: v("walk_most"),
		rest:     v("oxygen_rest"), oxWalk: v("oxygen_walk"), oxClimb: v("oxygen_climb"), oxStep: v("oxygen_step"), oxDown: v("oxygen_step_down"),
		oxLow: d("oxygen_walk_range").Low, oxHigh: d("oxygen_walk_range").High,
		rateLow: d("step_rate_range").Low, rateHigh: d("step_rate_range").High,
		heightLow: d("step_height_range").Low, heightHigh: d("step_height_range").High,
		stepError:      v("step_error"),
		wattsPerOxygen: litre / millilitres,
		eta0:           v("snow_eta_constant"), eta1: v("snow_eta_per_cm"),
		z0: v("snow_eta_crrel_z0"), z1: v("snow_eta_crrel_z1"), z2: v("snow_eta_crrel_z2"), z3: v("snow_eta_crrel_z3"),
		sinkMost: v("snow_eta_most"), sinkPart: v("snow_eta_part"),
		climbShare: v("climb_share"), gravity: v("gravity_standard"),
		ownPace: v("own_pace_oxygen"), ownPaceLow: d("own_pace_oxygen").Low, ownPaceHigh: d("own_pace_oxygen").High,
		murrellLimit: v("murrell_limit"), murrellRest: v("murrell_rest"),
		shareLow: d("sustained_share").Low, shareMid: v("sustained_share"), shareHigh: d("sustained_share").High,
	}
})

// known makes a rate of a value and its limits in W/kg. Whoever calls it has
// bounded what came in, so the figures are finite and in order.
func known(value, low, high float64, refs ...string) Rate {
	r := quantity.Must(quantity.NewRange(quantity.WattPerKilogram(value), quantity.WattPerKilogram(low), quantity.WattPerKilogram(high)))
	return Rate{Known: true, PerKg: r, Refs: refs}
}

// oxygen makes a rate of a value and its limits in mL/(kg min).
func oxygen(value, low, high float64, refs ...string) Rate {
	w := figures().wattsPerOxygen
	return known(value*w, low*w, high*w, refs...)
}

// unknown makes a rate that says why it is not known.
func unknown(why string, refs ...string) Rate {
	return Rate{Outside: []string{why}, Refs: refs}
}

// OxygenOf returns the oxygen uptake in mL/(kg min) of a power for each
// kilogram, by 5 kcal a litre.
func OxygenOf(p quantity.WattPerKilogram) float64 { return float64(p) / figures().wattsPerOxygen }

// OfOxygen is the inverse of [OxygenOf].
func OfOxygen(vo2 float64) quantity.WattPerKilogram {
	return quantity.WattPerKilogram(vo2 * figures().wattsPerOxygen)
}

// Oxygen returns the best value in mL/(kg min).
func (r Rate) Oxygen() float64 { return OxygenOf(r.PerKg.Value()) }

// MET returns the best value in metabolic equivalents of 3.5 mL/(kg min).
func (r Rate) MET() float64 { return r.Oxygen() / figures().rest }

// Power returns the rate of a body of a mass; nothing where the mass is no
// usable number.
func (r Rate) Power(mass quantity.Kilogram) quantity.Range[quantity.Watt] {
	m := quantity.Watt(mass)
	p, err := quantity.NewRange(quantity.Watt(r.PerKg.Value())*m, quantity.Watt(r.PerKg.Low())*m, quantity.Watt(r.PerKg.High())*m)
	if err != nil {
		return quantity.Range[quantity.Watt]{}
	}
	return p
}

func (r Rate) outside(words string) Rate {
	r.Outside = append(slices.Clone(r.Outside), words)
	return r
}

func (r Rate) note(words string) Rate {
	r.Notes = append(slices.Clone(r.Notes), words)
	return r
}
