package cli

import (
	"fmt"
	"slices"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
	"firnhand/internal/person"
)

// stanceOfCmd balances the person of a file.
type stanceOfCmd struct {
	File string `arg:"" help:"A person's file; - reads from standard input."`
	Aid  string `enum:",none,outriggers,one_outrigger_left,one_outrigger_right,slider" default:"" help:"What the arms lean on: none, outriggers, one_outrigger_left, one_outrigger_right, slider; what the decision says where it is not given."`

	StandOn string `name:"stand-on" enum:",both,left,right" default:"" help:"Legs that stand: both, left, right; what the decision says where it is not given."`

	poseFlags
	slopeFlags
	scaleFlags
	NoLimits bool   `name:"no-limits" help:"Set no limits from the findings."`
	Changes  bool   `help:"Also what to change, with the margin it buys."`
	Rules    string `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`
	stanceDrawFlags
	JSON bool `name:"json" help:"As JSON."`
}

// posedStance is a posed person with what stands on the snow.
type posedStance struct {
	body   *body.Body
	posed  body.Posed
	grip   body.Pair[*body.Vec]
	handle body.Pair[*float64] // height of the top of the handle, metres
	runner body.Pair[*body.Vec]
	slider bool
	half   float64 // between a slider's runners, metres
	small  bool    // a child's slider
	sole   float64 // boot sole, metres
	slope  float64 // degrees downhill ahead
}

// Run poses and balances.
func (c *stanceOfCmd) Run(a *app) error {
	d, err := a.decide(c.File, c.Rules, "")
	if err != nil {
		return err
	}
	p := d.person
	aid := c.Aid
	if aid == "" {
		var legs string
		if aid, legs, err = aidOf(d); err != nil {
			return err
		}
		if c.StandOn == "" {
			c.StandOn = legs
		}
	}
	who := &whoStands{Name: p.Name, Aid: aid, Taken: []string{}}
	posed, err := c.poseWith(d, aid, who)
	if err != nil {
		return inFile(err, c.File)
	}
	who.posed = posed
	s, err := posed.stance()
	if err != nil {
		return inFile(stanceFault(err), c.File)
	}
	s.Gravity = quantity.MetrePerSecondSquared(c.Gravity)
	if s.Lean, err = c.lean(); err != nil {
		return err
	}
	if slope, err := c.slope(); err == nil && c.HeadingDeg == 0 {
		posed.slope = slope.Degrees()
	}
	if !c.NoLimits {
		s.FromFindings(p.Findings)
	}
	if s.LeftShare, err = c.share(0); err != nil {
		return err
	}
	return a.stance(stanceAsked{stance: s, changes: c.Changes, draw: c.stanceDrawFlags, json: c.JSON, who: who})
}

// aidOf returns the aid of a decision, and the legs that stand.
func aidOf(d *decided) (with, legs string, err error) {
	way, _ := axisValue(d.answer, "way")
	switch {
	case way == open || way == "":
		return "", "", refuse("aid_open", "The decision leaves the aid open; say which to try: --aid outriggers.")
	case way == "sitting":
		return "", "", refuse("sits", "The decision is to sit; a standing stance can still be tried with --aid.")
	}
	if with = aid(way); aidWords[with] == "" {
		with = "none"
	}
	return with, skiLeg(d.answer), nil
}

// poseWith poses a person in the straight-run stance with an aid.
func (c *stanceOfCmd) poseWith(d *decided, aid string, who *whoStands) (*posedStance, error) {
	in, err := (&fitCmd{For: aid}).input(d)
	if err != nil {
		return nil, err
	}
	fitted, err := fit.Propose(in)
	if err != nil {
		return nil, bodyFault(err)
	}
	b, p := in.Body, d.person
	made, m := b.Person(), p.Measured
	pose, err := c.pose(m)
	if err != nil {
		return nil, err
	}
	for _, s := range body.Sides {
		if c.StandOn == s.Other().Word() {
			pose.Leg.Of(s).Off = true
		}
	}
	c.usualPose(b, m, &pose, who)
	ps := &posedStance{body: b, slider: aid == "slider"}
	rigs := body.Pair[bool]{Left: aid == "outriggers" || aid == "one_outrigger_left", Right: aid == "outriggers" || aid == "one_outrigger_right"}
	for _, s := range body.Sides {
		if rigs.At(s) && !hasHand(made, s) {
			*rigs.Of(s) = false
			who.Taken = append(who.Taken, "There is no "+s.Word()+" hand to hold an outrigger; none is drawn there.")
		}
	}
	gear := (&poseFlags{Gear: true}).gear(m)
	for _, s := range body.Sides {
		if out := gear.Outrigger.Of(s); !rigs.At(s) {
			*out = nil
		} else if *out == nil {
			*out = body.UsualGear(body.Both(true)).Outrigger.At(s)
		}
	}
	if v := p.Findings.Get("boot_sole_mm", 0, 0); v.Kind != 0 && v.X > 0 {
		ps.sole = v.X / 1000
	} else {
		ps.sole = b.Frame().FootLength.Value + 0.03
		who.Taken = append(who.Taken, fmt.Sprintf("The boot sole was not measured; %.0f mm are taken, 30 mm more than the foot.", 1000*ps.sole))
	}
	if err := c.overFoot(b, &pose, gear); err != nil {
		return nil, bodyFault(err)
	}
	if ps.half = cm("try_frame_half"); ps.slider {
		if width, ok := fitted.Item("slider_width", finding.NoSide); ok && width.Known {
			ps.half = width.Value / 2000
		}
	}
	hanging, err := b.Pose(pose, gear)
	if err != nil {
		return nil, bodyFault(err)
	}
	for _, s := range body.Sides {
		holds := rigs.At(s) || ps.slider && hasHand(made, s)
		if !holds {
			continue
		}
		top := handleTop(m, s, fitted, hanging, who)
		shoulder := hanging.Joints.Shoulder.At(s)
		ahead, outside := handAt(m, s, b)
		grip := body.Vec{Z: top - float64(body.GripBelow()), Y: shoulder.Y + ahead, X: shoulder.X + body.Outward(s)*outside}
		if ps.slider {
			grip.X = body.Outward(s) * ps.half
			child, _ := source.Figure("handle_range_child")
			ps.small = top*100 < child.High
			grip.Y = hanging.Joints.MidHip.Y + cm("slider_hands_ahead")
		}
		*ps.handle.Of(s), *ps.grip.Of(s) = &top, &grip
		pose.Arm.Of(s).Grip = &grip
		if rigs.At(s) {
			ps.runnerOf(m, s, hanging)
			gear.Outrigger.At(s).Runner = ps.runner.At(s)
		}
	}
	if ps.posed, err = b.Pose(pose, gear); err != nil {
		return nil, bodyFault(err)
	}
	for _, s := range body.Sides {
		if h := ps.handle.At(s); h != nil {
			bend := ps.posed.Elbow.At(s) * radian
			if s == body.Left {
				who.Handle.L, who.Elbow.L = ptr(100**h), &bend
			} else {
				who.Handle.R, who.Elbow.R = ptr(100**h), &bend
			}
			if short := ps.posed.Short.At(s); short > 0.005 {
				who.Taken = append(who.Taken, fmt.Sprintf("The %s hand misses its handle by %.0f cm.", s.Word(), 100*short))
			}
		}
	}
	who.Taken = append(who.Taken, b.Notes()...)
	return ps, nil
}

func mm(id string) float64 { return source.Value(id) / 1000 }
func cm(id string) float64 { return source.Value(id) / 100 }

// usualPose bends what neither the flags nor the file bend.
func (c *stanceOfCmd) usualPose(b *body.Body, m *person.Measured, pose *body.Pose, who *whoStands) {
	angle := func(id string) quantity.Radian { return quantity.Must(quantity.Degrees(source.Value(id))) }
	taken := false
	for _, s := range body.Sides {
		leg := pose.Leg.Of(s)
		if _, ok := m.Side("stance_ankle_deg", s); !ok && c.Ankle == "" {
			leg.Ankle, taken = angle("stance_ankle"), true
		}
		if _, ok := m.Side("stance_knee_deg", s); !ok && c.Knee == "" {
			leg.Knee, taken = angle("stance_knee"), true
		}
	}
	if _, ok := m.Number("stance_trunk_deg"); !ok && c.Trunk == nil {
		pose.Trunk.Forward, taken = angle("stance_trunk"), true
	}
	if feet := standing(b, *pose); len(feet) < 2 {
		pose.StanceWidth = nil
	} else if pose.StanceWidth == nil {
		w := quantity.Metre(b.Frame().HipsApart.Value)
		pose.StanceWidth, taken = &w, true
	}
	if taken {
		who.Taken = append(who.Taken, "Where the stance was not measured, a beginner's straight-run stance is taken, feet under the hips.")
	}
}

// overFoot brings the body of somebody who stands on one leg over that foot,
// unless the flags say how the leg is held.
func (c *stanceOfCmd) overFoot(b *body.Body, pose *body.Pose, gear body.Gear) error {
	feet := standing(b, *pose)
	if len(feet) != 1 || c.Abduct != "" {
		return nil
	}
	leg := pose.Leg.Of(feet[0])
	for range 8 { // each step takes away nearly all of what is left
		p, err := b.Pose(*pose, gear)
		if err != nil {
			return err
		}
		high := p.Joints.Hip.At(feet[0]).Z - p.Joints.Ankle.At(feet[0]).Z
		if high <= 0 {
			return nil
		}
		off := (p.Joints.Ankle.At(feet[0]).X - p.CM.X) * body.Outward(feet[0])
		leg.Abduction -= quantity.Radian(off / high)
	}
	return nil
}

// standing lists the sides that have a foot to stand on.
func standing(b *body.Body, pose body.Pose) []body.Side {
	var out []body.Side
	for _, s := range body.Sides {
		if !pose.Leg.At(s).Off && !slices.ContainsFunc(b.Person().Losses, func(l body.Loss) bool { return l.Side == s && !l.Level.Arm() && l.Prosthesis == nil }) {
			out = append(out, s)
		}
	}
	return out
}

// hasHand tells whether there is a hand or a prosthesis to hold a handle.
func hasHand(p body.Person, s body.Side) bool {
	return !slices.ContainsFunc(p.Losses, func(l body.Loss) bool { return l.Side == s && l.Level.Arm() && l.Prosthesis == nil })
}

// handleTop returns the height of a handle over the snow: as it is set now, as
// it is fitted, or at the wrist crease of the posed body.
func handleTop(m *person.Measured, s body.Side, fitted fit.Sheet, hanging body.Posed, who *whoStands) float64 {
	if v, ok := m.Side("handle_now_mm", s); ok {
		return v / 1000
	}
	for _, id := range []string{"outrigger_handle", "slider_handle"} {
		for _, side := range []body.Side{s, finding.NoSide} {
			if item, ok := fitted.Item(id, side); ok && item.Known {
				if item.Basis == fit.Predicted {
					who.Taken = append(who.Taken, "The "+s.Word()+" handle is predicted from stature; measure the wrist crease in boots on skis.")
				}
				return item.Value / 1000
			}
		}
	}
	who.Taken = append(who.Taken, "The "+s.Word()+" handle stands at the wrist crease of the computed body.")
	return hanging.Joints.Wrist.At(s).Z - float64(body.CreaseBelow())
}

// handAt returns how far a hand is ahead of the shoulder and outside it: as
// measured, or as the figures say for somebody of the stature they were derived
// from, carried to this person's stature.
func handAt(m *person.Measured, s body.Side, b *body.Body) (ahead, outside float64) {
	whole := 0.0
	studied := source.Table("ansur2_summary").Where("measure", "stature").Rows()
	for _, r := range studied {
		v, _ := r.Number("mean")
		whole += v / float64(len(studied)) / 1000
	}
	size := b.Frame().Stature.Value / whole
	ahead, outside = mm("hand_ahead_shoulder")*size, mm("hand_outside_shoulder")*size
	if v, ok := m.Side("hand_ahead_mm", s); ok {
		ahead = v / 1000
	}
	if v, ok := m.Side("hand_outside_mm", s); ok {
		outside = v / 1000
	}
	return ahead, outside
}

// runnerOf places the runner of a side.
func (ps *posedStance) runnerOf(m *person.Measured, s body.Side, hanging body.Posed) {
	ahead, outside := cm("runner_ahead_of_toe_piece"), cm("runner_outside_ski")
	if v, ok := m.Side("runner_ahead_mm", s); ok {
		ahead = v / 1000
	}
	if v, ok := m.Side("runner_outside_mm", s); ok {
		outside = v / 1000
	}
	ankle, toe := hanging.Joints.Ankle.At(s), hanging.Joints.Toe.At(s).Y
	if !hanging.Standing.At(s) {
		ankle = hanging.Joints.Ankle.At(s.Other())
		toe = hanging.Joints.Toe.At(s.Other()).Y
		ankle.X = hanging.Joints.Shoulder.At(s).X // the runner of a side without a ski stands under its own shoulder
	}
	*ps.runner.Of(s) = &body.Vec{X: ankle.X + body.Outward(s)*(mm("ski_half_width")+outside), Y: toe + ahead, Z: mm("runner_hinge_height")}
}

// frame returns half the distance of a slider's runners, and how far they reach
// ahead of the ankles and behind them, metres. A child's slider is the shortest.
func (ps *posedStance) frame() (half, ahead, behind float64) {
	a, _ := source.Figure("try_frame_ahead")
	b, _ := source.Figure("try_frame_behind")
	if ps.small {
		return ps.half, a.Low / 100, b.Low / 100
	}
	return ps.half, a.Value / 100, b.Value / 100
}

// stance gives the core what stands on the snow.
func (ps *posedStance) stance() (stance.Stance, error) {
	setup := stance.Setup{BootSole: quantity.Metre(ps.sole)}
	if ps.slider {
		half, ahead, behind := ps.frame()
		setup.Slider = stance.SliderFrame(quantity.Metre(half), quantity.Metre(ahead), quantity.Metre(behind))
	}
	for _, s := range body.Sides {
		if r := ps.runner.At(s); r != nil {
			*setup.Runner.Of(s) = &stance.Point{X: quantity.Metre(r.X), Y: quantity.Metre(r.Y)}
		}
	}
	return setup.Standing(ps.posed)
}
