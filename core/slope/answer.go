package slope

import (
	"math"
	"slices"
	"strings"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Figure is one number of an answer, or one that entered it.
type Figure struct {
	ID    string // ends in its unit
	Label string
	Unit  string // as it is printed; "" for none
	Span
	Step quantity.Step // how it is printed
	From []string      // for what entered: ids of core/source, nil where a person gave it
}

// Text prints the figure once rounded, with its limits and its unit.
func (f Figure) Text() string {
	s := f.Step.Text(f.Value)
	unit := f.Unit
	if unit != "" {
		unit = " " + unit
	}
	low, high := f.Step.Text(f.Low), f.Step.Text(f.High)
	if low == high {
		return s + unit
	}
	return s + unit + " (" + low + " to " + high + ")"
}

// Answer is what comes out of a question: figures with their range, what they
// mean in words, what entered, where it is from, and what to beware of.
type Answer struct {
	About    string
	Figures  []Figure
	Says     []string
	Inputs   []Figure
	Sources  []string // ids of core/source: works, tables, figures
	Outside  []string // what lies outside what the equations or the sources cover
	Warnings []string
	Cautions []string
}

// Figure returns the figure of an id.
func (a *Answer) Figure(id string) (Figure, bool) {
	i := slices.IndexFunc(a.Figures, func(f Figure) bool { return f.ID == id })
	if i < 0 {
		return Figure{}, false
	}
	return a.Figures[i], true
}

func (a *Answer) add(id, label, unit string, decimals int, s Span) {
	if s.finite() {
		a.Figures = append(a.Figures, Figure{ID: id, Label: label, Unit: unit, Span: s, Step: quantity.Decimals(decimals)})
	}
}

func (a *Answer) say(parts ...string) { a.Says = append(a.Says, strings.Join(parts, "")) }
func (a *Answer) warn(parts ...string) {
	if w := strings.Join(parts, ""); !slices.Contains(a.Warnings, w) {
		a.Warnings = append(a.Warnings, w)
	}
}
func (a *Answer) outside(parts ...string) {
	if w := strings.Join(parts, ""); !slices.Contains(a.Outside, w) {
		a.Outside = append(a.Outside, w)
	}
}

func (a *Answer) cite(ids ...string) {
	for _, id := range ids {
		if !slices.Contains(a.Sources, id) {
			a.Sources = append(a.Sources, id)
		}
	}
}

// took records what entered.
func (a *Answer) took(id, label, unit string, decimals int, k Known) {
	a.Inputs = append(a.Inputs, Figure{ID: id, Label: label, Unit: unit, Span: k.Span, Step: quantity.Decimals(decimals), From: k.From})
	a.cite(k.From...)
}

// Known is a number that enters a question, and where it is from.
type Known struct {
	Span
	From []string // ids of core/source; nil where somebody gave it
}

// Given returns a number somebody gave.
func Given(s Span) Known { return Known{Span: s} }

// Sourced returns a figure of core/source with its limits, in its own unit.
func Sourced(id string) Known {
	d, ok := source.Figure(id)
	if !ok {
		panic("slope: there is no figure " + id)
	}
	return Known{Span{d.Value, d.Low, d.High}, []string{id}}
}

// scaled returns a known number in another unit.
func (k Known) scaled(by float64) Span { return k.Map(func(v float64) float64 { return v * by }) }

// asked tells whether a number was given at all.
func (k Known) asked() bool { return k.Span != Span{} || k.From != nil }

// The usual cautions.
const (
	cautionLimit    = "A prediction or a limit is never a recommendation. The instructor on the snow decides, on what they see."
	cautionLocal    = "Local rules, lift staff and ski patrol come first."
	cautionSnow     = "Friction changes within metres and within minutes: watch the first run from below, with a way out."
	cautionReins    = "Reins are held only by somebody signed off for them, on an edge that holds both weights. Numbers replace neither the training nor the word of the student."
	cautionWrap     = "No line is ever wrapped round a hand, a wrist or a body (common practice, no source)."
	cautionLetGo    = "Never let go of a moving student: a wrist or harness loop backs up the hands; if control is going, turn both uphill and sit (common practice, no source)."
	cautionBraking  = "Braking friction was not published anywhere that was found. Use what was measured with this student, on this snow, today."
	cautionStandard = "This advises a trained instructor; it clears nobody and sets no gear."
)

// Cautions returns the cautions that go with every answer of this package.
func Cautions() []string { return []string{cautionLimit, cautionLocal, cautionSnow, cautionStandard} }

// ReinCautions returns those that go with every answer on reins.
func ReinCautions() []string {
	return []string{cautionReins, cautionWrap, cautionLetGo, cautionLimit, cautionLocal, cautionStandard}
}

// Ask is what questions on sliding share.
type Ask struct {
	Gravity  float64 // m/s²
	Slope    Known   // θ, rad, downhill positive
	Path     float64 // φ, rad, from the fall line in the slope plane
	Friction Known   // μ
	Mass     Known   // kg with gear; may be left out where there is no drag and no pull
	DragArea Known   // m²
	Density  Known   // kg/m³
	HeadWind float64 // m/s against the motion
	Pull     float64 // N back along the path
	Edges    bool    // see [Conditions]
}

func (a Ask) check() error {
	if a.needsMass() {
		if !a.Mass.asked() {
			return entry.Refuse("mass_needed", "The air or a line acts on the skier, so the mass with gear is needed.")
		}
		if err := checkSpan(boundMass, a.Mass.Span); err != nil {
			return err
		}
	}
	return entry.First(boundGravity.Check(a.Gravity), checkSpan(boundSlope, a.Slope.Span), boundAngle.Check(a.Path), checkSpan(boundFriction, a.Friction.Span),
		checkSpan(boundArea, a.DragArea.Span), checkSpan(boundDensity, a.Density.Span), boundWind.Check(a.HeadWind), boundForce.Check(a.Pull))
}

func (a Ask) air() bool       { return a.DragArea.High > 0 && a.Density.High > 0 }
func (a Ask) needsMass() bool { return a.air() || a.Pull > 0 }

// choice is one choice of every number that has a range.
type choice struct {
	Conditions
	Piece
	mass float64
}

// choices returns the case of the values first, then every corner of the
// ranges. What is computed rises or falls with each number by itself, so its
// limits lie in corners.
func (a Ask) choices() []choice {
	at := func(slope, mu, mass, area, density float64) choice {
		c := choice{Conditions: Conditions{Gravity: a.Gravity, HeadWind: a.HeadWind, Edges: a.Edges},
			Piece: Piece{Slope: slope, Path: a.Path, Friction: mu}, mass: mass}
		if mass > 0 {
			c.Drag, c.Pull = DragOf(density, area, mass), a.Pull/mass
		}
		return c
	}
	out := []choice{at(a.Slope.Value, a.Friction.Value, a.Mass.Value, a.DragArea.Value, a.Density.Value)}
	for _, s := range ends(a.Slope) {
		for _, mu := range ends(a.Friction) {
			for _, m := range ends(a.Mass) {
				for _, area := range ends(a.DragArea) {
					for _, d := range ends(a.Density) {
						out = append(out, at(s, mu, m, area, d))
					}
				}
			}
		}
	}
	return out
}

func ends(k Known) []float64 {
	if k.Low == k.High {
		return []float64{k.Value}
	}
	return []float64{k.Low, k.High}
}

// over returns the span of a number over the choices; ok is false where it
// has no value for the first, and all is false where it has none for some.
func over(choices []choice, f func(choice) (float64, bool)) (s Span, ok, all bool) {
	v, ok := f(choices[0])
	s, all = Exactly(v), ok
	for _, c := range choices[1:] {
		w, has := f(c)
		switch {
		case !has:
			all = false
		case !ok:
		default:
			s.Low, s.High = min(s.Low, w), max(s.High, w)
		}
	}
	return s, ok, all
}

const degrees = 180 / math.Pi

func (a Ask) record(out *Answer) { a.recordAll(out, true) }

// recordAll records what entered, and judges it; friction where it did enter.
func (a Ask) recordAll(out *Answer, friction bool) {
	out.took("gravity_m_s2", "free fall", "m/s²", 5, gravityFrom(a.Gravity))
	out.took("slope_deg", "slope", "°", 2, Known{a.Slope.scaled(degrees), a.Slope.From})
	if math.Abs(a.Slope.Value) < quarter-1e-6 {
		out.took("slope_pct", "slope as a gradient", "%", 1, Known{a.Slope.Map(func(v float64) float64 { return 100 * math.Tan(v) }), a.Slope.From})
	}
	if a.Path != 0 {
		out.took("path_deg", "path from the fall line, in the slope plane", "°", 1, Given(Exactly(a.Path*degrees)))
	}
	if friction {
		out.took("friction", "friction", "", 3, a.Friction)
	}
	if a.needsMass() {
		out.took("mass_kg", "mass with gear", "kg", 1, a.Mass)
	}
	out.took("drag_area_m2", "drag area", "m²", 3, a.DragArea)
	out.took("density_kg_m3", "air density", "kg/m³", 3, a.Density)
	if a.HeadWind != 0 {
		out.took("head_wind_m_s", "head wind", "m/s", 1, Given(Exactly(a.HeadWind)))
	}
	if a.Pull > 0 {
		out.took("pull_n", "pull back along the path", "N", 1, Given(Exactly(a.Pull)))
	}
	a.judge(out, friction)
}

func gravityFrom(g float64) Known {
	k := Given(Exactly(g))
	if g == value("gravity_standard") {
		k.From = []string{"gravity_standard"}
	}
	return k
}

// judge says what lies outside what the equations and the sources cover.
func (a Ask) judge(out *Answer, friction bool) {
	low, high := value("friction_glide_low"), value("friction_glide_high")
	three := quantity.Decimals(3)
	if friction && (a.Friction.Low < low || a.Friction.High > high) {
		out.outside("A friction of ", a.spanText(three), " reaches beyond what was published for straight gliding on snow (", three.Text(low), " to ", three.Text(high), ", Wolfsperger2021).")
		out.cite("friction_glide_low", "friction_glide_high")
	}
	if math.Abs(a.Slope.Value) > math.Pi/4 {
		out.outside("The slope is steeper than 45°; no source here measured friction on snow so steep.")
	}
	if a.HeadWind != 0 {
		out.outside("The wind is taken as steady and straight along the path. A cross wind or gusts have no closed form and are not computed.")
	}
	if a.Path != 0 && !a.Edges && friction {
		out.warn("On a traverse the edges carry weight too; this uses the simple form of the normal force. Ask with edges for the other form.")
	}
}

func (a Ask) spanText(step quantity.Step) string {
	f := Figure{Span: a.Friction.Span, Step: step}
	return f.Text()
}

// fast warns of speeds nobody was recorded at.
func fast(out *Answer, v float64) {
	most := value("speed_fastest_recreational")
	if kmh := quantity.MetrePerSecond(v).KilometresPerHour(); kmh > most {
		out.outside("A speed of ", quantity.Decimals(0).Text(kmh), " km/h is above the fastest recreational skier of the studies here (", quantity.Decimals(1).Text(most), " km/h, Dickson2012).")
		out.cite("speed_fastest_recreational")
	}
}

func kmh(s Span) Span {
	return s.Map(func(v float64) float64 { return quantity.MetrePerSecond(v).KilometresPerHour() })
}

// percentOf returns the gradient in percent of an angle in rad.
func percentOf(theta float64) float64 { return 100 * math.Tan(theta) }

// AirAt returns the density of the air at a height above the sea in m, between
// the heights of the table evenly in its logarithm; beyond the table nothing.
func AirAt(height float64) (Known, error) {
	rows := source.Table("drag")
	var heights, densities []float64
	for h := range 4 {
		name := "air density at " + quantity.Decimals(0).Text(float64(h)*1000) + " m"
		r, ok := rows.Where("item", name).Only()
		if !ok {
			panic("slope: no row " + name)
		}
		v, _ := r.Number("low")
		heights, densities = append(heights, float64(h)*1000), append(densities, v)
	}
	last := len(heights) - 1
	if !(height >= heights[0] && height <= heights[last]) {
		return Known{}, entry.Refuse("out_of_range", "The density of the air is known here from 0 to 3000 m above the sea; give the density itself.")
	}
	i := 0
	for i+2 < len(heights) && heights[i+1] < height {
		i++
	}
	t := (height - heights[i]) / (heights[i+1] - heights[i])
	v := math.Exp(math.Log(densities[i]) + t*(math.Log(densities[i+1])-math.Log(densities[i])))
	return Known{Exactly(v), []string{"drag", "ISA"}}, nil
}

// rowOf returns one row of a table as a known number.
func rowOf(table, item, low, high string) Known {
	r, ok := source.Table(table).Where("item", item).Only()
	if !ok {
		panic("slope: no row " + item + " in " + table)
	}
	a, _ := r.Number(low)
	b, has := r.Number(high)
	if !has {
		b = a
	}
	return Known{Between(a, b), []string{table, r.Ref()}}
}

// Upright returns the drag area of an upright adult in winter clothing.
func Upright() Known {
	return rowOf("drag", "drag area, upright adult in winter clothing", "low", "high")
}

// Snows lists the kinds of snow whose range of friction is known here.
func Snows() []string { return []string{"all", "cold", "wet", "fresh"} }

var snowRows = map[string]string{
	"all": "ski, straight glide, all snow", "cold": "cold dry groomed", "wet": "wet or slushy groomed", "fresh": "fresh unpacked",
}

// FrictionOf returns the range of friction of a kind of snow.
func FrictionOf(snow string) (Known, error) {
	row, ok := snowRows[snow]
	if !ok {
		return Known{}, entry.Refuse("unknown_snow", "The kinds of snow known here are "+strings.Join(Snows(), ", ")+".")
	}
	return rowOf("friction", row, "mu_low", "mu_high"), nil
}

// PriorOf returns what is held about friction on a kind of snow before timing.
// The ends are as soft as the published fits are uncertain.
func PriorOf(snow string) (Prior, []string, error) {
	k, err := FrictionOf(snow)
	if err != nil {
		return Prior{}, nil, err
	}
	low, _ := source.Figure("friction_glide_low")
	high, _ := source.Figure("friction_glide_high")
	return Prior{Low: k.Low, LowSD: low.SD, High: k.High, HighSD: high.SD}, append(k.From, "friction_glide_low", "friction_glide_high"), nil
}
