package body

import (
	"math"
	"slices"
	"strings"

	"firnhand/core/quantity"
)

// Level names where a limb ends.
type Level string

// The levels of limb loss, from the end of each limb inward.
const (
	AtFoot       Level = "foot"         // through the ankle
	Transtibial  Level = "transtibial"  // through the shank
	AtKnee       Level = "knee"         // through the knee joint
	Transfemoral Level = "transfemoral" // through the thigh
	AtHip        Level = "hip"          // through the hip joint
	AtHand       Level = "hand"         // through the wrist
	Transradial  Level = "transradial"  // through the forearm
	AtElbow      Level = "elbow"        // through the elbow joint
	Transhumeral Level = "transhumeral" // through the upper arm
	AtShoulder   Level = "shoulder"     // through the shoulder joint
)

// levelForm says what a level takes away.
type levelForm struct {
	level Level
	arm   bool
	cut   Segment   // the segment that is cut through; "" where a joint is
	gone  []Segment // segments that are gone whole
	from  string    // where a residual is measured from
}

var levelForms = []levelForm{
	{AtFoot, false, "", []Segment{Foot}, ""},
	{Transtibial, false, Shank, []Segment{Foot}, "the knee"},
	{AtKnee, false, "", []Segment{Shank, Foot}, ""},
	{Transfemoral, false, Thigh, []Segment{Shank, Foot}, "the hip"},
	{AtHip, false, "", []Segment{Thigh, Shank, Foot}, ""},
	{AtHand, true, "", []Segment{Hand}, ""},
	{Transradial, true, Forearm, []Segment{Hand}, "the elbow"},
	{AtElbow, true, "", []Segment{Forearm, Hand}, ""},
	{Transhumeral, true, UpperArm, []Segment{Forearm, Hand}, "the shoulder"},
	{AtShoulder, true, "", []Segment{UpperArm, Forearm, Hand}, ""},
}

// Levels lists the levels, legs first, from the end of the limb inward.
func Levels() []Level {
	out := make([]Level, len(levelForms))
	for i, f := range levelForms {
		out[i] = f.level
	}
	return out
}

func (l Level) form() (levelForm, bool) {
	i := slices.IndexFunc(levelForms, func(f levelForm) bool { return f.level == l })
	if i < 0 {
		return levelForm{}, false
	}
	return levelForms[i], true
}

// Arm tells whether the level is one of the arm.
func (l Level) Arm() bool {
	f, _ := l.form()
	return f.arm
}

// Gone lists the segments that are gone whole at a level.
func (l Level) Gone() []Segment {
	f, _ := l.form()
	return slices.Clone(f.gone)
}

// Cut returns the segment that is cut through, "" where a joint is.
func (l Level) Cut() Segment {
	f, _ := l.form()
	return f.cut
}

// Loss is one limb that ends early.
type Loss struct {
	Side  Side
	Level Level
	// Residual is the length of what remains of the cut segment, from the joint
	// above it; nil where nobody measured it. Only for levels that cut a segment.
	Residual *quantity.Metre
	// Prosthesis is what is worn on it; nil for none.
	Prosthesis *Prosthesis
}

// Prosthesis is worn in place of a lost limb. It makes the limb as long as the
// other one.
type Prosthesis struct {
	// Mass as weighed; nil takes the usual mass of the level with its range.
	Mass *quantity.Range[quantity.Kilogram]
	// Balance is how far above the sole (of a leg) or short of the fingertips
	// (of an arm) it balances on a finger; nil takes where the lost parts had
	// their centre.
	Balance *quantity.Metre
}

// limb names one of the four limbs.
type limb struct {
	arm  bool
	side Side
}

// cut is a loss with its figures settled.
type cut struct {
	loss  Loss
	form  levelForm
	share float64 // length of the residual over that of its segment; 1 for a joint
	sd    float64 // of the share
	mass  quantity.Range[quantity.Kilogram]
	along float64 // balance point from the far end; below zero where not measured
}

// frustum is a segment as a cone cut off flat, even in density: k is the far
// radius over the near one.
type frustum float64

// frustumOf returns the cone whose centre lies where the table puts the
// segment's, so that a whole segment comes out as the table has it. Centres
// beyond what a cone can have are taken at its limit.
func frustumOf(centre float64) frustum {
	// The centre c of a cone with radii 1 and k satisfies
	// (4c-3)k² + (4c-2)k + (4c-1) = 0.
	c := min(max(centre, 0.25), 0.74) // exact: a point and nearly an upturned one
	a, b, d := 4*c-3, 4*c-2, 4*c-1
	return frustum((-b - math.Sqrt(b*b-4*a*d)) / (2 * a))
}

// upTo returns the share of the mass in the first share s of the length, and
// the centre of that part as a share of the whole length.
func (k frustum) upTo(s float64) (mass, centre float64) {
	t := float64(k) - 1
	volume := func(s float64) float64 { return s + t*s*s + t*t*s*s*s/3 }
	moment := s*s/2 + 2*t*s*s*s/3 + t*t*s*s*s*s/4
	if s <= 0 {
		return 0, 0
	}
	return volume(s) / volume(1), moment / volume(s)
}

// Remaining returns what is left of a segment cut at share s of its length,
// as a cone that fits the segment's centre: its share of the segment's mass,
// and its centre as a share of the whole segment's length, both from the upper
// end. s is clamped to 0 and 1.
func Remaining(centre, s float64) (mass, at float64) {
	return frustumOf(centre).upTo(min(1, max(0, s)))
}

// cutLimbs settles the losses.
func (b *Body) cutLimbs() error {
	b.limbs = map[limb]cut{}
	lost := 0.0
	for _, l := range b.person.Losses {
		c, err := b.settle(l)
		if err != nil {
			return err
		}
		key := limb{c.form.arm, l.Side}
		if _, twice := b.limbs[key]; twice {
			return refuse("limb_twice", "Two losses are given for one limb; give the one nearest the body.")
		}
		b.limbs[key] = c
		lost += b.lostShare(c)
	}
	b.intact = float64(b.person.Mass) / (1 - lost)
	for _, l := range b.person.Losses {
		if err := b.fit(l); err != nil {
			return err
		}
	}
	return nil
}

// LostShare returns the share of the intact body that is missing, by the
// segment masses in use.
func (b *Body) LostShare() float64 {
	lost := 0.0
	for _, c := range b.limbs {
		lost += b.lostShare(c)
	}
	return lost
}

func (b *Body) lostShare(c cut) float64 {
	lost := 0.0
	for _, s := range c.form.gone {
		lost += b.model.Of(s).Mass
	}
	if c.form.cut != "" {
		kept, _ := Remaining(b.model.Of(c.form.cut).Centre, c.share)
		lost += b.model.Of(c.form.cut).Mass * (1 - kept)
	}
	return lost
}

// length returns the length of a limb's segment on one side.
func (b *Body) length(s Segment, side Side) Length {
	f := b.frame
	short := b.shortening(side)
	switch s {
	case UpperArm:
		return f.UpperArm.At(side)
	case Forearm:
		return f.Forearm.At(side)
	case Hand:
		return f.Hand.At(side)
	case Thigh:
		return Length{Value: (f.Hip.Value - f.Knee.Value) * short, SD: math.Hypot(f.Hip.SD, f.Knee.SD)}
	case Shank:
		return Length{Value: (f.Knee.Value - f.Ankle.Value) * short, SD: math.Hypot(f.Knee.SD, f.Ankle.SD)}
	}
	return f.FootLength
}

// shortening is what the bones of a leg are multiplied by.
func (b *Body) shortening(side Side) float64 {
	return 1 - float64(b.person.LegShort.At(side))/(b.frame.Hip.Value-b.frame.Ankle.Value)
}

func (b *Body) settle(l Loss) (cut, error) {
	form, ok := l.Level.form()
	switch {
	case !ok:
		words := make([]string, len(levelForms))
		for i, f := range levelForms {
			words[i] = string(f.level)
		}
		return cut{}, refuse("unknown_level", "There is no level of limb loss called "+string(l.Level)+"; there are "+strings.Join(words, ", ")+".")
	case l.Side != Left && l.Side != Right:
		return cut{}, refuse("side_needed", "A lost limb is on the left or on the right.")
	case form.cut == "" && l.Residual != nil:
		return cut{}, refuse("residual_unused", "At the level "+string(l.Level)+" a joint is the end; there is no residual to measure.")
	}
	c := cut{loss: l, form: form, share: 1, along: -1}
	if form.cut == "" {
		return c, nil
	}
	whole := b.length(form.cut, l.Side)
	if l.Residual == nil {
		d := figure("residual_usual")
		c.share, c.sd = d.Value*perCent, (d.High-d.Low)/2*perCent
		b.notes = append(b.notes, "The "+l.Side.Word()+" residual was not measured; half the "+strings.ReplaceAll(string(form.cut), "_", " ")+" is taken.")
		return c, nil
	}
	r := float64(*l.Residual)
	switch {
	case !finite(r):
		return cut{}, refuse("not_a_number", "The residual length is not a number.")
	case r <= 0:
		return cut{}, refuse("length_not_positive", "A residual must be longer than zero; where nothing is left, name the joint above.")
	case r > whole.Value+2*whole.SD:
		return cut{}, refuse("residual_too_long", "A residual of "+mm(r)+" mm from "+form.from+" is longer than the "+
			strings.ReplaceAll(string(form.cut), "_", " ")+" of about "+mm(whole.Value)+" mm.")
	case r > whole.Value:
		b.notes = append(b.notes, "The "+l.Side.Word()+" residual is as long as the whole segment is thought to be; measure the other side.")
	}
	c.share, c.sd = min(1, r/whole.Value), r/whole.Value*math.Hypot(whole.SD/whole.Value, figure("reading_error").Value*millimetre/r)
	return c, nil
}

// fit settles what is worn on a loss, once the intact mass is known.
func (b *Body) fit(l Loss) error {
	p := l.Prosthesis
	if p == nil {
		return nil
	}
	key := limb{l.Level.Arm(), l.Side}
	c := b.limbs[key]
	if p.Mass != nil {
		if err := checkMass("prosthesis", *p.Mass); err != nil {
			return err
		}
		c.mass = *p.Mass
	} else {
		c.mass = b.usualProsthesis(c)
		b.notes = append(b.notes, "The "+l.Side.Word()+" prosthesis was not weighed; "+
			quantity.Decimals(1).Text(float64(c.mass.Value()))+" kg is taken ("+quantity.Decimals(1).Text(float64(c.mass.Low()))+" to "+
			quantity.Decimals(1).Text(float64(c.mass.High()))+").")
	}
	if p.Balance != nil {
		a := float64(*p.Balance)
		if !finite(a) || a < 0 || a > b.reach(c.form.arm, l.Side) {
			return refuse("balance_impossible", "The balance point of a prosthesis lies between its far end and the joint of the body.")
		}
		c.along = a
	}
	b.limbs[key] = c
	return nil
}

// reach is the length of a whole limb, to the sole or the fingertips.
func (b *Body) reach(arm bool, s Side) float64 {
	if arm {
		return b.length(UpperArm, s).Value + b.length(Forearm, s).Value + b.length(Hand, s).Value
	}
	return b.length(Thigh, s).Value + b.length(Shank, s).Value + b.frame.Ankle.Value
}

// usualProsthesis is the mass of a prosthesis nobody weighed.
func (b *Body) usualProsthesis(c cut) quantity.Range[quantity.Kilogram] {
	id := map[Level]string{AtFoot: "prosthesis_mass_foot", Transtibial: "prosthesis_mass_transtibial", AtKnee: "prosthesis_mass_transfemoral",
		Transfemoral: "prosthesis_mass_transfemoral", AtHip: "prosthesis_mass_transfemoral"}[c.form.level]
	if id != "" {
		d := figure(id)
		return quantity.Must(quantity.NewRange(quantity.Kilogram(d.Value), quantity.Kilogram(d.Low), quantity.Kilogram(d.High)))
	}
	// No figure was found for arms: the share a prosthetic shank has of a sound
	// one, from nothing to all of what is lost.
	lost := b.lostShare(c) * b.intact
	share := figure("prosthetic_shank_mass").Value / figure("sound_shank_mass").Value
	return quantity.Must(quantity.NewRange(quantity.Kilogram(lost*share), 0, quantity.Kilogram(lost)))
}

func checkMass(what string, m quantity.Range[quantity.Kilogram]) error {
	if m.Low() < 0 || m.Value() < 0 {
		return refuse("mass_not_positive", "The mass of the "+what+" must not be below zero.")
	}
	if m.Value() > heaviestKg {
		return refuse("mass_impossible", "The mass of the "+what+" cannot be right; check the unit.")
	}
	return nil
}
