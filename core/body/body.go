// Package body computes where the mass of a person is: one body with its left
// and right apart, with limbs that may be missing or replaced, posed on skis.
//
// A [Person] is what is known: mass, stature, age, sex, whatever heights and
// lengths were measured, limbs lost. [New] chooses one published set of segment
// masses for that person as a whole (sets are never mixed), predicts what was
// not measured and says how far off the prediction may be. [Body.Pose] bends
// the body and returns every joint, every part and the centre of mass with its
// standard uncertainty. Beside it stand the general helpers that textbook
// examples need: [Plane] for limbs in a plane, the boards in this package, the
// weight of a body without a limb.
//
// Frame: origin on the snow midway between the ankles, x to the student's
// right, y forward, z up. Everything is SI. Angles are radians.
package body

import (
	"math"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Side is the student's left or right.
type Side = finding.Side

// The two sides, in the order they are printed.
const (
	Left  = finding.Left
	Right = finding.Right
)

// Sides lists left and right.
var Sides = [2]Side{Left, Right}

// Outward returns +1 for the right side and -1 for the left: the sign of x
// away from the middle.
func Outward(s Side) float64 {
	if s == Left {
		return -1
	}
	return 1
}

// Pair is one thing for the left and one for the right.
type Pair[T any] struct {
	Left  T `json:"left"`
	Right T `json:"right"`
}

// Both returns a pair of equal things.
func Both[T any](v T) Pair[T] { return Pair[T]{v, v} }

// At returns the thing of a side.
func (p Pair[T]) At(s Side) T {
	if s == Left {
		return p.Left
	}
	return p.Right
}

// Of points to the thing of a side.
func (p *Pair[T]) Of(s Side) *T {
	if s == Left {
		return &p.Left
	}
	return &p.Right
}

// Swap returns the pair with left and right exchanged.
func (p Pair[T]) Swap() Pair[T] { return Pair[T]{p.Right, p.Left} }

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, sentence string) *Error { return &Error{code, sentence} }

// Sex is the sex whose body tables are used; "" where it is not said, and then
// the mean of women and men is used with the difference in the uncertainty.
type Sex string

// The sexes of the body tables.
const (
	Unsaid Sex = ""
	Female Sex = "F"
	Male   Sex = "M"
)

// Vec is a point or a direction in the body frame, in metres.
type Vec struct {
	X float64 `json:"x_m"`
	Y float64 `json:"y_m"`
	Z float64 `json:"z_m"`
}

// Add returns v + w.
func (v Vec) Add(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Sub returns v - w.
func (v Vec) Sub(w Vec) Vec { return Vec{v.X - w.X, v.Y - w.Y, v.Z - w.Z} }

// Scale returns v times k.
func (v Vec) Scale(k float64) Vec { return Vec{v.X * k, v.Y * k, v.Z * k} }

// Dot returns the scalar product.
func (v Vec) Dot(w Vec) float64 { return v.X*w.X + v.Y*w.Y + v.Z*w.Z }

// Norm returns the length of v.
func (v Vec) Norm() float64 { return math.Sqrt(v.Dot(v)) }

// Towards returns the point at share t of the way from v to w.
func (v Vec) Towards(w Vec, t float64) Vec { return v.Add(w.Sub(v).Scale(t)) }

// Mirror returns v with left and right exchanged.
func (v Vec) Mirror() Vec { return Vec{-v.X, v.Y, v.Z} }

// finite tells whether a number can be computed with.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Person is what is known about one body.
type Person struct {
	// AgeYears is nil where it is not known; a grown person under 65 is taken.
	AgeYears *float64
	Sex      Sex
	// Mass of the person as weighed, without prostheses, boots or skis.
	Mass quantity.Kilogram
	// Stature without shoes; nil for a child of known age and sex, whose
	// growth chart then stands in. Of somebody with a leg missing: as it was
	// before, or from the prosthesis.
	Stature *quantity.Metre
	// Measured heights and lengths; what is nil is predicted.
	Measured Measured
	// Losses lists lost limbs, at most one for each arm and leg.
	Losses []Loss
	// LegShort is by how much a leg is shorter than the other; one of the two
	// is 0.
	LegShort Pair[quantity.Metre]
	// Model names the set of segment masses to use instead of the one that
	// follows from age and sex; "" chooses.
	Model string
}

// Body is a person whose masses and lengths are settled. It does not change.
type Body struct {
	person Person
	model  Model
	frame  Frame
	// heel is how far the ankle stands ahead of the heel, of the foot's length.
	heel float64
	// intact is the mass the person would have with every limb.
	intact float64
	limbs  map[limb]cut
	notes  []string
}

// Model returns the set of segment masses in use, and why it was chosen.
func (b *Body) Model() Model { return b.model }

// Frame returns the lengths in use, each with its error and its origin.
func (b *Body) Frame() Frame { return b.frame }

// Person returns what the body was made from.
func (b *Body) Person() Person { return b.person }

// IntactMass returns the mass the person would have with every limb, by the
// segment masses in use; equal to the mass where nothing is missing.
func (b *Body) IntactMass() quantity.Kilogram { return quantity.Kilogram(b.intact) }

// Notes returns what somebody using the result should know, in sentences.
func (b *Body) Notes() []string { return append([]string(nil), b.notes...) }

// Limits of what is taken for a person. They refuse slips of the pen, no one.
const (
	lightestKg   = 3   // exact: a limit of entry, no figure
	heaviestKg   = 400 // exact: a limit of entry, no figure
	shortestCm   = 40  // exact: a limit of entry, no figure
	tallestCm    = 260 // exact: a limit of entry, no figure
	oldestYears  = 120 // exact: a limit of entry, no figure
	centimetre   = 0.01
	millimetre   = 0.001
	perCent      = 0.01
	halfTurnDegs = 180
)

// New settles a body. It refuses a mass, stature, age or length that cannot
// be a person's, a limb lost twice, a residual longer than its segment.
func New(p Person) (*Body, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	b := &Body{person: p, heel: figure("heel_to_ankle").Value}
	var err error
	if b.model, err = choose(p); err != nil {
		return nil, err
	}
	if err := b.measure(); err != nil {
		return nil, err
	}
	if err := b.cutLimbs(); err != nil {
		return nil, err
	}
	return b, nil
}

func (p Person) check() error {
	m := float64(p.Mass)
	switch {
	case !finite(m):
		return refuse("not_a_number", "The body mass is not a number.")
	case m <= 0:
		return refuse("mass_not_positive", "A body mass must be above zero.")
	case m < lightestKg || m > heaviestKg:
		return refuse("mass_impossible", "A body mass between 3 and 400 kg is expected; check the unit.")
	case p.AgeYears != nil && !finite(*p.AgeYears):
		return refuse("not_a_number", "The age is not a number.")
	case p.AgeYears != nil && (*p.AgeYears <= 0 || *p.AgeYears > oldestYears):
		return refuse("age_impossible", "An age above 0 and up to 120 years is expected.")
	case p.Sex != Unsaid && p.Sex != Female && p.Sex != Male:
		return refuse("unknown_sex", "The body tables know F and M, or nothing said.")
	case p.LegShort.Left > 0 && p.LegShort.Right > 0:
		return refuse("both_shorter", "Only one leg can be shorter than the other.")
	}
	if p.Stature != nil {
		if err := checkLength("stature", float64(*p.Stature), shortestCm*centimetre, tallestCm*centimetre); err != nil {
			return err
		}
	}
	for _, s := range Sides {
		short := float64(p.LegShort.At(s))
		if !finite(short) || short < 0 || short > 0.5 {
			return refuse("length_impossible", "A leg is shorter by 0 to 500 mm.")
		}
	}
	return nil
}

func checkLength(what string, v, low, high float64) error {
	switch {
	case !finite(v):
		return refuse("not_a_number", "The "+what+" is not a number.")
	case v <= 0:
		return refuse("length_not_positive", "The "+what+" must be above zero.")
	case v < low || v > high:
		return refuse("length_impossible", "The "+what+" should lie between "+mm(low)+" and "+mm(high)+" mm; check the unit.")
	}
	return nil
}

// mm prints a length in whole millimetres.
func mm(v float64) string { return quantity.Decimals(0).Text(v / millimetre) }

// figure returns a figure of core/source in its own unit.
func figure(id string) source.Datum {
	d, ok := source.Figure(id)
	if !ok {
		panic("body: there is no figure " + id)
	}
	return d
}
