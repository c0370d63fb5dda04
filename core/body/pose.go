package body

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Pose is how a body stands. The zero Pose is upright with straight legs and
// the arms hanging.
type Pose struct {
	Leg Pair[LegPose]
	// StanceWidth is the distance between the ankles; nil lets the legs stand as
	// far apart as their abduction says. Only where two legs stand.
	StanceWidth *quantity.Metre
	// Shift moves the hips to the right of the middle of the feet. Only with
	// StanceWidth.
	Shift quantity.Metre
	// FootForward moves a foot ahead; the origin stays midway.
	FootForward Pair[quantity.Metre]
	// FootUp raises what a foot stands on over the plane z = 0, or lowers it.
	FootUp Pair[quantity.Metre]
	Trunk  Lean
	// Head leans by itself; nil keeps it upright, looking ahead.
	Head *Lean
	Arm  Pair[ArmPose]
}

// LegPose bends one leg.
type LegPose struct {
	// Ankle is the lean of the shank ahead of the vertical, as a boot holds it.
	Ankle quantity.Radian
	// Knee is the bend of the knee; a straight leg is 0.
	Knee quantity.Radian
	// Abduction tilts the leg outward, foot away from the middle; not used where
	// the stance width is given.
	Abduction quantity.Radian
	// Off the snow: the leg hangs from its hip, bent by the same two angles.
	Off bool
}

// Lean is an angle from the vertical, forward and to the right.
type Lean struct {
	Forward quantity.Radian
	Right   quantity.Radian
}

// direction returns the unit vector that points up along a leaning axis.
func (l Lean) direction() Vec {
	f, r := float64(l.Forward), float64(l.Right)
	return Vec{math.Sin(r) * math.Cos(f), math.Sin(f), math.Cos(r) * math.Cos(f)}
}

// ArmPose places one arm, by its angles or by where the hand is.
type ArmPose struct {
	// Forward and Out swing the upper arm from hanging straight down.
	Forward quantity.Radian
	Out     quantity.Radian
	// Elbow is the bend of the elbow, the forearm coming forward.
	Elbow quantity.Radian
	// Grip, where it is given, is the point the fist closes round; the angles
	// then follow from it, the elbow behind and a little outside.
	Grip *Vec
}

// Gear is what is worn and held. Masses are ranges: what was not weighed has
// its usual mass and its spread.
type Gear struct {
	// Sole is the height of the foot's sole over the snow: boot and ski.
	Sole quantity.Metre
	// Plate raises one foot further.
	Plate     Pair[quantity.Metre]
	Boot      Pair[quantity.Range[quantity.Kilogram]]
	Ski       Pair[quantity.Range[quantity.Kilogram]]
	Outrigger Pair[*Outrigger]
}

// Outrigger is held in one hand.
type Outrigger struct {
	Mass quantity.Range[quantity.Kilogram]
	// Runner is where it stands; its centre is taken halfway to the hand. nil
	// hangs it straight down to the snow.
	Runner *Vec
}

// UsualGear returns a grown person's pair of boots, pair of skis, outriggers
// where asked for, and the height of the sole, as figures that should be
// measured.
func UsualGear(outriggers Pair[bool]) Gear { return usualGear(outriggers, 1, 1, 1) }

// UsualGear returns the same for this person: whoever is smaller than grown
// people usually are has smaller gear. Its mass goes with a power of the
// stature (the figure gear_mass_power, which is proposed), and its range covers
// that of the power.
func (b *Body) UsualGear(outriggers Pair[bool]) Gear {
	size := min(1, b.frame.Stature.Value/grownStature())
	d := figure("gear_mass_power")
	return usualGear(outriggers, math.Pow(size, d.Value), math.Pow(size, d.High), math.Pow(size, d.Low))
}

// grownStature is the mean stature of the women and men of ANSUR II, metres.
func grownStature() float64 {
	mean := 0.0
	for _, sex := range []Sex{Female, Male} {
		mean += number(only(source.Table("ansur2_summary").Where("sex", string(sex)).Where("measure", "stature")), "mean") * millimetre / 2
	}
	return mean
}

// usualGear scales the masses of a grown person's gear.
func usualGear(outriggers Pair[bool], size, least, most float64) Gear {
	share := func(id string, k float64) quantity.Range[quantity.Kilogram] {
		d := figure(id)
		return quantity.Must(quantity.NewRange(quantity.Kilogram(k*size*d.Value), quantity.Kilogram(k*least*d.Low), quantity.Kilogram(k*most*d.High)))
	}
	g := Gear{Sole: quantity.Metre(figure("boot_and_ski_lift").Value * millimetre), Boot: Both(share("boots_mass", 0.5)), Ski: Both(share("skis_mass", 0.5))}
	for _, s := range Sides {
		if outriggers.At(s) {
			*g.Outrigger.Of(s) = &Outrigger{Mass: share("outrigger_mass", 1)}
		}
	}
	return g
}

// Part is one piece of the posed body with its mass.
type Part struct {
	Name string // a Segment, or "prosthesis", "boot", "ski", "outrigger"
	Side Side   // NoSide for the head and the trunk
	Mass float64
	At   Vec // its centre of mass
	From Vec // its upper or inner end
	To   Vec // its lower or outer end
	Worn bool
}

// Joints are the points of a posed body. What lies beyond the end of a limb
// stands at its end.
type Joints struct {
	Vertex, Neck, MidHip                    Vec
	Shoulder, Elbow, Wrist, Grip, Fingertip Pair[Vec]
	Hip, Knee, Ankle, Heel, Toe             Pair[Vec]
}

// Posed is a body that stands.
type Posed struct {
	Joints Joints
	Parts  []Part
	Mass   float64 // kg, with everything worn and held
	CM     Vec     // centre of mass of all of it
	SD     Vec     // standard uncertainty of CM along each axis
	// BodyMass and BodyCM are of the body with its prostheses, without boots,
	// skis and outriggers.
	BodyMass float64
	BodyCM   Vec
	Standing Pair[bool]    // which feet are on the snow
	Short    Pair[float64] // by how much a hand misses its Grip, metres
	Elbow    Pair[float64] // bend of the elbows, radians
}

// Limits of a pose, in degrees. They refuse slips, no one: joints that go
// beyond them do so in nobody who stands on skis.
const (
	mostLean  = 100 // exact: a limit of entry, no figure
	mostKnee  = 160 // exact: a limit of entry, no figure
	mostAnkle = 60  // exact: a limit of entry, no figure
	mostSwing = 180 // exact: a limit of entry, no figure
)

func (p Pose) check() error {
	back := figure("knee_straight_beyond").Value
	within := func(code, what string, a quantity.Radian, low, high float64) error {
		switch d := a.Degrees(); {
		case !finite(d):
			return refuse("not_a_number", "The "+what+" is not a number.")
		case d < low || d > high:
			return refuse(code, "The "+what+" of "+quantity.Decimals(0).Text(d)+" degrees is outside "+quantity.Decimals(0).Text(low)+
				" to "+quantity.Decimals(0).Text(high)+".")
		}
		return nil
	}
	for _, s := range Sides {
		leg, arm, w := p.Leg.At(s), p.Arm.At(s), s.Word()
		if leg.Knee.Degrees() < -back {
			return refuse("knee_backwards", "The "+w+" knee would bend backwards by "+quantity.Decimals(0).Text(-leg.Knee.Degrees())+
				" degrees; up to "+quantity.Decimals(0).Text(back)+" are taken as a knee pushed straight.")
		}
		if arm.Elbow.Degrees() < -back {
			return refuse("elbow_backwards", "The "+w+" elbow would bend backwards.")
		}
		for _, err := range []error{
			within("knee_impossible", w+" knee bend", leg.Knee, -back, mostKnee),
			within("ankle_impossible", w+" shank lean", leg.Ankle, -mostAnkle, mostAnkle),
			within("pose_impossible", w+" leg's abduction", leg.Abduction, -mostAnkle, mostAnkle),
			within("elbow_impossible", w+" elbow bend", arm.Elbow, -back, mostKnee),
			within("pose_impossible", w+" arm's swing", arm.Forward, -mostSwing, mostSwing),
			within("pose_impossible", w+" arm's swing outward", arm.Out, -mostLean, mostSwing),
		} {
			if err != nil {
				return err
			}
		}
		if g := arm.Grip; g != nil && !(finite(g.X) && finite(g.Y) && finite(g.Z)) {
			return refuse("not_a_number", "The place of the "+w+" hand is not a number.")
		}
		if f := float64(p.FootForward.At(s)); !finite(f) || math.Abs(f) > tallestCm*centimetre {
			return refuse("pose_impossible", "The "+w+" foot is too far ahead.")
		}
		if f := float64(p.FootUp.At(s)); !finite(f) || math.Abs(f) > tallestCm*centimetre {
			return refuse("pose_impossible", "The "+w+" foot is too far up or down.")
		}
	}
	leans := []Lean{p.Trunk}
	if p.Head != nil {
		leans = append(leans, *p.Head)
	}
	for _, l := range leans {
		if err := within("lean_impossible", "lean forward", l.Forward, -mostLean, mostLean); err != nil {
			return err
		}
		if err := within("lean_impossible", "lean sideways", l.Right, -mostLean, mostLean); err != nil {
			return err
		}
	}
	if p.StanceWidth != nil && (!finite(float64(*p.StanceWidth)) || *p.StanceWidth < 0) {
		return refuse("pose_impossible", "The stance width must not be below zero.")
	}
	if !finite(float64(p.Shift)) {
		return refuse("not_a_number", "The shift of the hips is not a number.")
	}
	return nil
}

func (g Gear) check() error {
	lengths := []quantity.Metre{g.Sole, g.Plate.Left, g.Plate.Right}
	for _, l := range lengths {
		if v := float64(l); !finite(v) || v < 0 || v > 0.5 {
			return refuse("length_impossible", "Boots, skis and plates raise the foot by 0 to 500 mm.")
		}
	}
	for _, s := range Sides {
		worn := map[string]quantity.Range[quantity.Kilogram]{"boot": g.Boot.At(s), "ski": g.Ski.At(s)}
		if o := g.Outrigger.At(s); o != nil {
			worn["outrigger"] = o.Mass
			if r := o.Runner; r != nil && !(finite(r.X) && finite(r.Y) && finite(r.Z)) {
				return refuse("not_a_number", "The place of a runner is not a number.")
			}
		}
		for what, m := range worn {
			if err := checkMass(what, m); err != nil {
				return err
			}
		}
	}
	return nil
}

// Pose bends the body and returns where everything is. The uncertainty of the
// centre of mass joins, as independent, the error of each segment's mass (10 %,
// for both sides together and another 3 % for each alone), of each centre (3 %
// of the length), of each length in use, of residuals, of prostheses and gear;
// see the figures segment_mass_error, segment_centre_error, side_asymmetry.
// Refused are angles no joint has, and a body without a leg to stand on.
func (b *Body) Pose(p Pose, g Gear) (Posed, error) {
	out, err := b.Place(p, g)
	if err != nil {
		return Posed{}, err
	}
	out.SD = b.uncertainty(p, g, b.state(g), out.CM)
	return out, nil
}

// Place is Pose without the uncertainty, for searches that pose a body often.
func (b *Body) Place(p Pose, g Gear) (Posed, error) {
	if err := p.check(); err != nil {
		return Posed{}, err
	}
	if err := g.check(); err != nil {
		return Posed{}, err
	}
	st := b.state(g)
	return b.place(p, g, &st, make([]Part, 0, mostParts))
}

// Roll returns the posed body seen in a frame that is turned about the y axis
// through a point: by a positive angle the frame's x axis dips, so that what
// stood upright leans towards its negative x. A place is then told from that
// point.
func (p Posed) Roll(about Vec, by quantity.Radian) Posed {
	sin, cos := math.Sincos(float64(by))
	turn := func(v Vec) Vec {
		d := v.Sub(about)
		return Vec{d.X*cos - d.Z*sin, d.Y, d.X*sin + d.Z*cos}
	}
	out := p
	out.Parts = append([]Part(nil), p.Parts...)
	for i := range out.Parts {
		one := &out.Parts[i]
		one.At, one.From, one.To = turn(one.At), turn(one.From), turn(one.To)
	}
	j := &out.Joints
	for _, v := range []*Vec{&j.Vertex, &j.Neck, &j.MidHip} {
		*v = turn(*v)
	}
	for _, pair := range []*Pair[Vec]{&j.Shoulder, &j.Elbow, &j.Wrist, &j.Grip, &j.Fingertip, &j.Hip, &j.Knee, &j.Ankle, &j.Heel, &j.Toe} {
		pair.Left, pair.Right = turn(pair.Left), turn(pair.Right)
	}
	out.CM, out.BodyCM = turn(p.CM), turn(p.BodyCM)
	out.SD = Vec{math.Hypot(p.SD.X*cos, p.SD.Z*sin), p.SD.Y, math.Hypot(p.SD.X*sin, p.SD.Z*cos)}
	return out
}
