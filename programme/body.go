package programme

import (
	"errors"
	"math"
	"slices"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
)

// legLosses say what a recorded leg is for the body, where nobody measured it
// more exactly.
var legLosses = map[string]struct {
	level body.Level
	worn  bool
}{
	"below_knee": {body.Transtibial, true}, "above_knee_ski": {body.Transfemoral, true},
	"above_knee": {body.Transfemoral, false}, "absent": {body.Transfemoral, false},
}

// PersonOf makes the person that the core computes with from findings and
// measures, the same for a record and for a file. ok is false where nobody was
// weighed.
func PersonOf(set finding.Set, m Measures) (p body.Person, ok bool) {
	number := func(id string, side finding.Side) (float64, bool) {
		v := set.Get(id, side, finding.Fresh)
		return v.X, v.Kind == finding.Known
	}
	mass, ok := number("mass_kg", finding.NoSide)
	if !ok {
		return p, false
	}
	p.Sex = body.Sex(m.Word("body_table", finding.NoSide))
	if years, ok := number("age_years", finding.NoSide); ok {
		p.AgeYears = &years
	}
	if cm, ok := number("height_cm", finding.NoSide); ok {
		p.Stature = metres(&cm)
	}
	p.Measured = m.measured()
	worn := 0.0
	for _, s := range body.Sides {
		if mm, ok := number("leg_short_mm", s); ok {
			*p.LegShort.Of(s) = quantity.Metre(mm / 1000)
		}
		for _, limb := range []string{"leg", "arm"} {
			if loss, lost := m.loss(set, limb, s); lost {
				p.Losses = append(p.Losses, loss)
				if kg, ok := m.Number(limb+"_prosthesis_kg", s); ok && loss.Prosthesis != nil {
					worn += kg
				}
			}
		}
	}
	// The longer leg is 0: only what one is shorter by counts.
	if both := min(p.LegShort.Left, p.LegShort.Right); both > 0 {
		p.LegShort.Left, p.LegShort.Right = p.LegShort.Left-both, p.LegShort.Right-both
	}
	if with := m.Yes("weighed_with_prosthesis", finding.NoSide); with != nil && *with {
		mass -= worn
	}
	p.Mass = quantity.Kilogram(mass)
	return p, true
}

// reading is a measured length with its error.
func (m Measures) reading(key string, s finding.Side) *body.Reading {
	mm, ok := m.Number(key, s)
	if !ok {
		return nil
	}
	r := &body.Reading{Value: quantity.Metre(mm / 1000)}
	if e, ok := m.Number("reading_error_mm", finding.NoSide); ok {
		r.Error = quantity.Metre(e / 1000)
	}
	return r
}

func (m Measures) length(key string, s finding.Side) *quantity.Metre {
	mm, ok := m.Number(key, s)
	if !ok {
		return nil
	}
	v := quantity.Metre(mm / 1000)
	return &v
}

func (m Measures) angle(key string, s finding.Side) *quantity.Radian {
	deg, ok := m.Number(key, s)
	if !ok {
		return nil
	}
	v := quantity.Radian(deg / 180 * math.Pi)
	return &v
}

// measured are the lengths of a body.
func (m Measures) measured() body.Measured {
	one := func(key string) *body.Reading { return m.reading(key, finding.NoSide) }
	two := func(key string) body.Pair[*body.Reading] {
		return body.Pair[*body.Reading]{Left: m.reading(key, finding.Left), Right: m.reading(key, finding.Right)}
	}
	return body.Measured{AnkleHeight: one("ankle_height_mm"), KneeHeight: one("knee_height_mm"), HipHeight: one("hip_height_mm"),
		ShoulderHeight: one("shoulder_height_mm"), NeckHeight: one("neck_height_mm"), FootLength: one("foot_length_mm"), HipBreadth: one("hip_breadth_mm"),
		ShoulderWidth: one("shoulder_width_mm"), UpperArm: two("upper_arm_mm"), Forearm: two("forearm_mm"), ForearmGrip: two("forearm_grip_mm"), HandLength: two("hand_length_mm")}
}

// loss is a limb that ends early: as measured, else, for a leg, as the
// evaluation says.
func (m Measures) loss(set finding.Set, limb string, s finding.Side) (l body.Loss, lost bool) {
	l.Side = s
	worn := m.Yes(limb+"_prosthesis", s)
	switch level := m.Word(limb+"_level", s); {
	case level == "whole", level == "" && limb == "arm":
		return l, false
	case level != "":
		l.Level = body.Level(level)
		l.Residual = m.length(limb+"_residual_mm", s)
	default:
		v := set.Get("leg", s, finding.Fresh)
		def, ok := finding.Lookup("leg")
		if !ok || v.Kind != finding.Known {
			return l, false
		}
		known, ok := legLosses[finding.Format(def, v)]
		if !ok {
			return l, false
		}
		l.Level = known.level
		if l.Level.Cut() != "" {
			l.Residual = m.length(limb+"_residual_mm", s)
		}
		if worn == nil {
			worn = &known.worn
		}
	}
	kg, weighed := m.Number(limb+"_prosthesis_kg", s)
	if worn != nil && *worn || worn == nil && weighed {
		l.Prosthesis = &body.Prosthesis{Balance: m.length(limb+"_prosthesis_balance_mm", s)}
		if weighed {
			r := quantity.Must(quantity.Exactly(quantity.Kilogram(kg)))
			l.Prosthesis.Mass = &r
		}
	}
	return l, true
}

// FitInput is what findings, measures and the decision say for a fit. The body
// and the way of skiing are the caller's.
func FitInput(t *decide.Table, a *decide.Answer, set finding.Set, m Measures) fit.Input {
	in := m.input()
	in.Numbers, in.Settings = a.Numbers, map[string]float64{}
	for _, s := range t.Settings() {
		in.Settings[s.Name] = s.Value
	}
	for _, g := range a.Gates {
		in.HipAtRisk = in.HipAtRisk || g.ID == "G7"
	}
	if gap := set.Get("natural_boot_gap_mm", finding.NoSide, finding.Fresh); gap.Kind == finding.Known {
		cm := gap.X / 10
		in.Gap = metres(&cm)
	}
	for _, s := range body.Sides {
		*in.AnkleKnown.Of(s) = set.Get("ankle_deg", s, finding.Fresh).Kind == finding.Known
	}
	return in
}

// input is what measures say for a fit.
func (m Measures) input() fit.Input {
	var in fit.Input
	in.Lift = m.reading("boot_ski_lift_mm", finding.NoSide)
	in.HingeHeight, in.HingeMost = m.length("hinge_height_mm", finding.NoSide), m.angle("hinge_most_deg", finding.NoSide)
	in.Stance.Width, in.Stance.Trunk = m.length("stance_width_mm", finding.NoSide), m.angle("stance_trunk_deg", finding.NoSide)
	for _, s := range body.Sides {
		*in.CreaseBoots.Of(s), *in.CreaseBare.Of(s) = m.reading("wrist_crease_boots_mm", s), m.reading("wrist_crease_barefoot_mm", s)
		*in.HandAhead.Of(s), *in.HandOutside.Of(s) = m.length("hand_ahead_mm", s), m.length("hand_outside_mm", s)
		*in.RunnerAhead.Of(s), *in.RunnerOutside.Of(s) = m.length("runner_ahead_mm", s), m.length("runner_outside_mm", s)
		*in.HandleNow.Of(s) = m.length("handle_now_mm", s)
		*in.Stance.Ankle.Of(s), *in.Stance.Knee.Of(s) = m.angle("stance_ankle_deg", s), m.angle("stance_knee_deg", s)
		*in.Cant.Of(s), *in.FlexibleLeg.Of(s) = m.angle("cant_deg", s), m.Yes("flexible_leg", s)
		*in.Shell.Of(s) = fit.Shell{Gap: m.length("shell_gap_mm", s), ToesTouch: m.Yes("toes_touch", s), ToesFlat: m.Yes("toes_flat", s),
			Closes: m.Yes("closes", s), HotSpot: m.Yes("hot_spot", s)}
	}
	return in
}

// GearOf is what a body wears and holds: as it was weighed, else as usual for
// its size. Outriggers are those that are asked for and those that were weighed.
func GearOf(b *body.Body, m Measures, rigs body.Pair[bool]) body.Gear {
	for _, s := range body.Sides {
		if _, ok := m.Number("outrigger_kg", s); ok {
			*rigs.Of(s) = true
		}
	}
	g := b.UsualGear(rigs)
	exact := func(kg float64) quantity.Range[quantity.Kilogram] {
		return quantity.Must(quantity.Exactly(quantity.Kilogram(kg)))
	}
	if v, ok := m.Number("boots_kg", finding.NoSide); ok {
		g.Boot = body.Both(exact(v / 2))
	}
	if v, ok := m.Number("skis_kg", finding.NoSide); ok {
		g.Ski = body.Both(exact(v / 2))
	}
	for _, s := range body.Sides {
		if v, ok := m.Number("outrigger_kg", s); ok {
			g.Outrigger.At(s).Mass = exact(v)
		}
	}
	if v := m.length("boot_ski_lift_mm", finding.NoSide); v != nil {
		g.Sole = *v
	}
	return g
}

// PosingOf is what a person is posed from in a way of skiing.
func PosingOf(in fit.Input, way stance.Way, set finding.Set, m Measures) stance.Posing {
	p := stance.Posing{Fit: in, Way: way, Gear: GearOf(in.Body, m, body.Both(false))}
	if v := set.Get("boot_sole_mm", finding.NoSide, finding.Fresh); v.Kind == finding.Known {
		sole := quantity.Metre(v.X / 1000)
		p.BootSole = &sole
	}
	return p
}

// ScalesOf returns the readings of two bathroom scales; ok is false where there
// are not two.
func ScalesOf(m Measures) (s stance.Scales, ok bool) {
	left, l := m.Number("scale_kg", finding.Left)
	right, r := m.Number("scale_kg", finding.Right)
	if !l || !r {
		return s, false
	}
	s.Left, s.Right = quantity.Kilogram(left), quantity.Kilogram(right)
	if e, ok := m.Number("scale_error_kg", finding.NoSide); ok {
		s.Error = quantity.Kilogram(e)
	}
	hands := m.Yes("scale_hands", finding.NoSide)
	s.Hands = hands != nil && *hands
	return s, true
}

// ShareOf returns the share of the left foot by two scales, nil where there are
// none. Readings that contradict each other or the mass by more than all errors
// are refused; a prosthesis that nobody weighed adds its usual most to them.
func ShareOf(set finding.Set, m Measures) (*quantity.Range[quantity.Ratio], error) {
	s, ok := ScalesOf(m)
	if !ok {
		return nil, nil
	}
	var mass, off quantity.Kilogram
	if p, weighed := PersonOf(set, m); weighed {
		mass = p.Mass
		for _, l := range p.Losses {
			switch {
			case l.Prosthesis == nil:
			case l.Prosthesis.Mass != nil:
				mass += l.Prosthesis.Mass.Value()
			default:
				most, _ := source.Figure("prosthesis_mass_transfemoral")
				mass, off = mass+quantity.Kilogram(most.High/2), off+quantity.Kilogram(most.High/2)
			}
		}
	}
	r, err := s.Share(mass, off)
	if err != nil {
		return nil, stanceFault(err)
	}
	return &r, nil
}

// LimitsOf fills in what legs and arms were measured to carry on a scale, and,
// where nobody measured it, what the findings show.
func LimitsOf(st *stance.Stance, set finding.Set, m Measures) {
	for i := range st.Contacts {
		c := &st.Contacts[i]
		key := map[stance.Kind]string{stance.Ski: "leg_most_kg", stance.Runner: "arm_most_kg"}[c.Kind]
		if kg, ok := m.Number(key, c.Side); ok {
			if l, err := stance.OnScale(quantity.Kilogram(kg), st.Gravity); err == nil {
				c.Limit = l
			}
		}
	}
	left, l := m.Number("arm_most_kg", finding.Left)
	right, r := m.Number("arm_most_kg", finding.Right)
	if l && r && slices.Contains([]stance.Aid{stance.Pair, stance.Slider}, stance.AidOf(st.Contacts)) {
		if both, err := stance.OnScale(quantity.Kilogram(left+right), st.Gravity); err == nil {
			st.Arms = both
		}
	}
	st.FromFindings(set)
}

// checkMeasures refuses what contradicts itself or no body can be: it makes
// the body, bends it as measured and compares the scales. Where nobody was
// weighed, what needs a mass waits.
func checkMeasures(set finding.Set, m Measures) error {
	if _, err := ShareOf(set, m); err != nil {
		return Refuse(CodeInvalid, "%s", SentenceOf(err))
	}
	for _, s := range body.Sides {
		for _, limb := range []string{"leg", "arm"} {
			if err := m.checkLimb(set, limb, s); err != nil {
				return err
			}
		}
	}
	p, weighed := PersonOf(set, m)
	if !weighed {
		p = body.Person{Mass: someMass, Stature: p.Stature, AgeYears: p.AgeYears, Measured: p.Measured, Losses: p.Losses}
	}
	if p.Mass <= 0 {
		return Refuse(CodeInvalid, "The prostheses weigh more than the student was weighed with.")
	}
	if p.Stature == nil && p.AgeYears == nil {
		cm := float64(someStature)
		p.Stature = metres(&cm)
	}
	b, err := body.New(p)
	if err == nil {
		pose := body.Pose{Trunk: body.Lean{Forward: angleOr(m.angle("stance_trunk_deg", finding.NoSide))}}
		for _, s := range body.Sides {
			*pose.Leg.Of(s) = body.LegPose{Ankle: angleOr(m.angle("stance_ankle_deg", s)), Knee: angleOr(m.angle("stance_knee_deg", s))}
		}
		_, err = b.Place(pose, body.Gear{})
	}
	var e *body.Error
	switch {
	case err == nil, errors.As(err, &e) && (e.Code == "no_leg" || e.Code == "pose_impossible"): // of a stance, not of a reading
		return nil
	case errors.As(err, &e):
		return Refuse(CodeInvalid, "%s", e.Sentence)
	}
	return Fail(CodeInternal, err, "The measures could not be checked.")
}

// A grown person stands in for what is not known yet while measures are checked.
const (
	someMass    = 70
	someStature = 170
)

func angleOr(a *quantity.Radian) quantity.Radian {
	if a == nil {
		return 0
	}
	return *a
}

// checkLimb refuses a residual or a prosthesis of a limb that is whole.
func (m Measures) checkLimb(set finding.Set, limb string, s finding.Side) error {
	l, lost := m.loss(set, limb, s)
	_, residual := m.Number(limb+"_residual_mm", s)
	_, kg := m.Number(limb+"_prosthesis_kg", s)
	_, balance := m.Number(limb+"_prosthesis_balance_mm", s)
	worn := m.Yes(limb+"_prosthesis", s)
	switch what := s.Word() + " " + limb; {
	case !lost && (residual || kg || balance || worn != nil && *worn):
		return Refuse(CodeInvalid, "Something is measured of the %s's end or prosthesis; say where the %s ends.", what, what)
	case lost && residual && l.Level.Cut() == "":
		return Refuse(CodeInvalid, "The %s ends at a joint: there is no residual to measure. Leave it out, or say which bone is cut.", what)
	case lost && (kg || balance) && worn != nil && !*worn:
		return Refuse(CodeInvalid, "The %s's prosthesis is weighed here and said not to be worn.", what)
	}
	return nil
}
