package stance

import (
	"math"

	"slices"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Way is how somebody stands: what the hands hold and which legs carry.
type Way struct {
	Outrigger body.Pair[bool]
	Slider    bool
	OneLeg    finding.Side // the only leg that stands; NoSide for whoever has two to stand on
}

// WayOf reads a way of skiing as core/decide names it. It is not ok for
// "sitting" and for words it does not know.
func WayOf(name string) (w Way, ok bool) {
	switch name {
	case "none":
	case "outriggers":
		w.Outrigger = body.Both(true)
	case "one_outrigger_left":
		w.Outrigger.Left = true
	case "one_outrigger_right":
		w.Outrigger.Right = true
	case "slider":
		w.Slider = true
	case "one_ski_left":
		w.Outrigger, w.OneLeg = body.Both(true), finding.Left
	case "one_ski_right":
		w.Outrigger, w.OneLeg = body.Both(true), finding.Right
	default:
		return w, false
	}
	return w, true
}

// Posing is what a person is posed from.
type Posing struct {
	Fit      fit.Input // measurements and the body; its stance is the pose
	Way      Way
	Gear     body.Gear       // what is worn; outriggers are put into the hands that hold one
	BootSole *quantity.Metre // nil where it was not measured
	Right    quantity.Radian // lean of the trunk to the right
	// Against is the apparent gravity that the person stands upright against;
	// the zero Lean is level snow. Its values count, not its ranges: people lean
	// against what they feel.
	Against Lean
	Square  bool // keep the body square to the snow, as on level snow
}

// Posed is a person posed on skis with what they hold.
type Posed struct {
	Body   *body.Body
	Pose   body.Posed
	Sole   quantity.Metre
	Handle body.Pair[*quantity.Metre] // height of the top of the handle over the snow; nil where no hand holds one
	Grip   body.Pair[*body.Vec]
	Runner body.Pair[*body.Vec] // hinge of an outrigger's runner
	Slider []Contact
	// Line is the x of the line that a ski presses on, where a foot stands: under
	// the ankle on level snow, along the uphill edge of a ski that is edged.
	Line    body.Pair[*quantity.Metre]
	Upright *Upright // how somebody stands upright on a slope; nil on level snow and square to it
	Taken   []string // what was not measured, and what stands in for it, in sentences

	rise body.Pair[float64] // how much higher the real hand is than the computed one, metres
	legs body.Pose          // without the arms, as they are on level snow
}

// Pose poses a person in the straight-run stance: as measured, else as a
// beginner usually stands, feet under the hips; somebody on one leg over that
// foot. Handles stand as they are set, else as fitted. On a slope the person
// then stands upright against what pulls, with the same hands on the same
// shafts.
func (p Posing) Pose() (*Posed, error) {
	level, err := p.level()
	if err != nil || p.Square || level0(p.Against.Right) == 0 && level0(p.Against.Forward) == 0 {
		return level, err
	}
	return p.upright(level)
}

// level poses the person on level snow.
func (p Posing) level() (*Posed, error) {
	fitted, err := fit.Propose(p.Fit)
	if err != nil {
		return nil, err
	}
	out := &Posed{Body: p.Fit.Body}
	pose := p.usual(out)
	gear := p.held(p.hands(out))
	p.sole(out)
	if err := overFoot(out.Body, &pose, gear, 0); err != nil {
		return nil, err
	}
	out.legs = pose
	hanging, err := out.Body.Pose(pose, gear)
	if err != nil {
		return nil, err
	}
	half := quantity.Metre(metres("try_frame_half", centimetre))
	if width, ok := fitted.Item("slider_width", finding.NoSide); ok && width.Known {
		half = quantity.Metre(width.Value * millimetre / 2)
	}
	for _, s := range body.Sides {
		rig := gear.Outrigger.At(s)
		if rig == nil && !(p.Way.Slider && hasHand(out.Body, s)) {
			continue
		}
		top := p.handle(s, fitted, hanging, out)
		shoulder := hanging.Joints.Shoulder.At(s)
		ahead, outside := p.hand(s)
		grip := &body.Vec{X: shoulder.X + body.Outward(s)*outside, Y: shoulder.Y + ahead, Z: float64(top - body.GripBelow())}
		if p.Way.Slider {
			grip.X = body.Outward(s) * float64(half)
			grip.Y = hanging.Joints.MidHip.Y + metres("slider_hands_ahead", centimetre)
		}
		*out.rise.Of(s) = p.taller(s, hanging, out)
		grip.Z -= out.rise.At(s)
		*out.Handle.Of(s), *out.Grip.Of(s) = &top, grip
		pose.Arm.Of(s).Grip = grip
		if rig != nil {
			*out.Runner.Of(s) = p.runner(s, hanging)
			rig.Runner = out.Runner.At(s)
		}
	}
	if p.Way.Slider {
		out.Slider = sliderAround(half, out.Handle)
	}
	if out.Pose, err = out.Body.Pose(pose, gear); err != nil {
		return nil, err
	}
	for _, s := range body.Sides {
		if out.Pose.Standing.At(s) {
			x := quantity.Metre(out.Pose.Joints.Ankle.At(s).X)
			*out.Line.Of(s) = &x
		}
	}
	out.misses()
	out.Taken = append(out.Taken, out.Body.Notes()...)
	return out, nil
}

// held returns the gear with an outrigger of its own in each hand that holds
// one.
func (p Posing) held(rigs body.Pair[bool]) body.Gear {
	gear := p.Gear
	for _, s := range body.Sides {
		if at := gear.Outrigger.Of(s); !rigs.At(s) {
			*at = nil
		} else if *at == nil {
			*at = p.Fit.Body.UsualGear(body.Both(true)).Outrigger.At(s)
		} else {
			own := **at
			*at = &own
		}
	}
	return gear
}

// misses says where a hand does not reach its handle.
func (d *Posed) misses() {
	for _, s := range body.Sides {
		if short := d.Pose.Short.At(s); d.Handle.At(s) != nil && short > millimetre {
			d.say("The " + s.Word() + " hand misses its handle by " + quantity.Decimals(0).Text(short/centimetre) + " cm.")
		}
	}
}

func (d *Posed) say(sentence string) { d.Taken = append(d.Taken, sentence) }

// usual bends the body.
func (p Posing) usual(out *Posed) body.Pose {
	angle := func(given *quantity.Radian, figure string, taken *bool) quantity.Radian {
		if given != nil {
			return *given
		}
		*taken = true
		return quantity.Must(quantity.Degrees(source.Value(figure)))
	}
	taken := false
	pose := body.Pose{Trunk: body.Lean{Forward: angle(p.Fit.Stance.Trunk, "stance_trunk", &taken), Right: p.Right}}
	for _, s := range body.Sides {
		leg := pose.Leg.Of(s)
		leg.Ankle = angle(p.Fit.Stance.Ankle.At(s), "stance_ankle", &taken)
		leg.Knee = angle(p.Fit.Stance.Knee.At(s), "stance_knee", &taken)
		leg.Off = p.Way.OneLeg == s.Other()
	}
	// A leg that does not stand is held off the snow, the shin back, unless it
	// was measured.
	for _, s := range body.Sides {
		leg := pose.Leg.Of(s)
		if slices.Contains(standing(p.Fit.Body, pose), s) || p.Fit.Stance.Ankle.At(s) != nil || p.Fit.Stance.Knee.At(s) != nil {
			continue
		}
		thigh := leg.Ankle - leg.Knee
		leg.Ankle = quantity.Must(quantity.Degrees(source.Value("held_leg_shank")))
		leg.Knee = leg.Ankle - thigh
	}
	if len(standing(p.Fit.Body, pose)) == 2 {
		if pose.StanceWidth = p.Fit.Stance.Width; pose.StanceWidth == nil {
			w := quantity.Metre(p.Fit.Body.Frame().HipsApart.Value)
			pose.StanceWidth, taken = &w, true
		}
	}
	if taken {
		out.say("Where the stance was not measured, a beginner's straight-run stance is taken, feet under the hips.")
	}
	return pose
}

// standing lists the sides that have a foot to stand on.
func standing(b *body.Body, pose body.Pose) []body.Side {
	var out []body.Side
	for _, s := range body.Sides {
		lost := slices.ContainsFunc(b.Person().Losses, func(l body.Loss) bool { return l.Side == s && !l.Level.Arm() && l.Prosthesis == nil })
		if !pose.Leg.At(s).Off && !lost {
			out = append(out, s)
		}
	}
	return out
}

// hasHand tells whether there is a hand, or a prosthesis, to hold a handle.
func hasHand(b *body.Body, s body.Side) bool {
	return !slices.ContainsFunc(b.Person().Losses, func(l body.Loss) bool { return l.Side == s && l.Level.Arm() && l.Prosthesis == nil })
}

// hands returns which hands hold an outrigger.
func (p Posing) hands(out *Posed) body.Pair[bool] {
	rigs := p.Way.Outrigger
	for _, s := range body.Sides {
		if rigs.At(s) && !hasHand(p.Fit.Body, s) {
			*rigs.Of(s) = false
			out.say("There is no " + s.Word() + " hand to hold an outrigger; none is taken there.")
		}
	}
	return rigs
}

func (p Posing) sole(out *Posed) {
	if p.BootSole != nil {
		out.Sole = *p.BootSole
		return
	}
	out.Sole = quantity.Metre(p.Fit.Body.Frame().FootLength.Value + metres("sole_over_foot", millimetre))
	out.say("The boot sole was not measured; " + quantity.Decimals(0).Text(out.Sole.Millimetres()) + " mm are taken.")
}

// overFoot brings the body of somebody who stands on one leg over a line beside
// that foot, x from the ankle.
func overFoot(b *body.Body, pose *body.Pose, gear body.Gear, line float64) error {
	feet := standing(b, *pose)
	if len(feet) != 1 {
		return nil
	}
	leg := pose.Leg.Of(feet[0])
	for range 8 { // each step takes away nearly all of what is left
		p, err := b.Place(*pose, gear)
		if err != nil {
			return err
		}
		ankle := p.Joints.Ankle.At(feet[0])
		high := p.Joints.Hip.At(feet[0]).Z - ankle.Z
		if high <= 0 {
			return nil
		}
		leg.Abduction -= quantity.Radian((ankle.X + line - p.CM.X) * body.Outward(feet[0]) / high)
	}
	return nil
}

// handle returns the height of the top of a handle over the snow: as it is set
// now, as it is fitted, or at the wrist crease of the posed body.
func (p Posing) handle(s body.Side, fitted fit.Sheet, hanging body.Posed, out *Posed) quantity.Metre {
	if now := p.Fit.HandleNow.At(s); now != nil {
		return *now
	}
	for _, id := range []string{"outrigger_handle", "slider_handle"} {
		for _, side := range []body.Side{s, finding.NoSide} {
			item, ok := fitted.Item(id, side)
			if !ok || !item.Known {
				continue
			}
			if item.Basis == fit.Predicted {
				out.say("The " + s.Word() + " handle is predicted from stature; measure the wrist crease in boots on skis.")
			}
			return quantity.Metre(item.Value * millimetre)
		}
	}
	out.say("The " + s.Word() + " handle stands at the wrist crease of the computed body.")
	return quantity.Metre(hanging.Joints.Wrist.At(s).Z) - body.CreaseBelow()
}

// taller returns how much higher the wrist crease was measured in the stance
// than the computed body carries it. The hand is put that much lower on the
// computed body, so that the elbow bends as the measurement says and not as
// predicted lengths would have it.
func (p Posing) taller(s body.Side, hanging body.Posed, out *Posed) float64 {
	measured := p.Fit.CreaseBoots.At(s)
	if measured == nil {
		return 0
	}
	d := float64(measured.Value) - (hanging.Joints.Wrist.At(s).Z - float64(body.CreaseBelow()))
	if more := math.Abs(d); more >= centimetre {
		word := "higher"
		if d < 0 {
			word = "lower"
		}
		out.say("The " + s.Word() + " wrist crease was measured " + quantity.Decimals(0).Text(more/centimetre) + " cm " + word +
			" than predicted lengths put it; the elbow is bent as measured.")
	}
	return d
}

// hand returns how far a hand is ahead of the shoulder and outside it: as
// measured, or as the figures say of people of the stature they were derived
// from, carried to this person's stature.
func (p Posing) hand(s body.Side) (ahead, outside float64) {
	whole := 0.0
	studied := source.Table("ansur2_summary").Where("measure", "stature").Rows()
	for _, r := range studied {
		v, _ := r.Number("mean")
		whole += v * millimetre / float64(len(studied))
	}
	size := p.Fit.Body.Frame().Stature.Value / whole
	ahead, outside = metres("hand_ahead_shoulder", millimetre)*size, metres("hand_outside_shoulder", millimetre)*size
	if v := p.Fit.HandAhead.At(s); v != nil {
		ahead = float64(*v)
	}
	if v := p.Fit.HandOutside.At(s); v != nil {
		outside = float64(*v)
	}
	return ahead, outside
}

// runner places the hinge of a runner: from the ankle and the toe of its own
// foot, or under its own shoulder and from the other toe where that foot does
// not stand.
func (p Posing) runner(s body.Side, hanging body.Posed) *body.Vec {
	ahead, outside := metres("runner_ahead_of_toe_piece", centimetre), metres("runner_outside_ski", centimetre)
	if v := p.Fit.RunnerAhead.At(s); v != nil {
		ahead = float64(*v)
	}
	if v := p.Fit.RunnerOutside.At(s); v != nil {
		outside = float64(*v)
	}
	hinge := metres("runner_hinge_height", millimetre)
	if v := p.Fit.HingeHeight; v != nil {
		hinge = float64(*v)
	}
	x, toe := hanging.Joints.Ankle.At(s).X, hanging.Joints.Toe.At(s).Y
	if !hanging.Standing.At(s) {
		x, toe = hanging.Joints.Shoulder.At(s).X, hanging.Joints.Toe.At(s.Other()).Y
	}
	return &body.Vec{X: x + body.Outward(s)*(metres("ski_half_width", millimetre)+outside), Y: toe + ahead, Z: hinge}
}

// sliderAround returns a slider of a width; one whose handles stand as low as a
// child's is as short as a child's.
func sliderAround(half quantity.Metre, handle body.Pair[*quantity.Metre]) []Contact {
	ahead, _ := source.Figure("try_frame_ahead")
	behind, _ := source.Figure("try_frame_behind")
	child, _ := source.Figure("handle_range_child")
	a, b := ahead.Value, behind.Value
	for _, s := range body.Sides {
		if h := handle.At(s); h != nil && h.Centimetres() < child.High {
			a, b = ahead.Low, behind.Low
		}
	}
	return SliderFrame(half, quantity.Metre(a*centimetre), quantity.Metre(b*centimetre))
}

// Stance returns the stance of the posed person. Limits, lean and share are the
// caller's.
func (d *Posed) Stance() (Stance, error) {
	setup := Setup{BootSole: d.Sole, Slider: d.Slider, Line: d.Line}
	for _, s := range body.Sides {
		if r := d.Runner.At(s); r != nil {
			*setup.Runner.Of(s) = &Point{quantity.Metre(r.X), quantity.Metre(r.Y)}
		}
	}
	st, err := setup.Standing(d.Pose)
	for _, s := range body.Sides {
		if r := d.Runner.At(s); r != nil {
			grip := *d.Grip.At(s)
			grip.Z += d.rise.At(s)
			*st.Shaft.Of(s) = &Shaft{Grip: grip, Hinge: quantity.Metre(r.Z)}
		}
	}
	return st, err
}

// Elbow returns the bend of an elbow that holds a handle; ok is false where it
// holds none.
func (d *Posed) Elbow(s body.Side) (bend quantity.Radian, ok bool) {
	return quantity.Radian(d.Pose.Elbow.At(s)), d.Handle.At(s) != nil
}
