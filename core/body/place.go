package body

import (
	"math"

	"firnhand/core/finding"
	"firnhand/core/quantity"
)

// Places of the segments in the arrays of a state.
const (
	head = iota
	trunk
	upperArm
	forearm
	hand
	thigh
	shank
	foot
	kinds
)

// order gives each place its segment.
var order = [kinds]Segment{Head, Trunk, UpperArm, Forearm, Hand, Thigh, Shank, Foot}

// state is everything a pose is computed from that may be in error.
type state struct {
	mass      [kinds][2]float64 // share of the intact body, each side
	centre    [kinds][2]float64
	frame     Frame
	share     [2][2]float64 // residual over segment: leg, arm; left, right
	worn      [2][2]float64 // mass of a prosthesis: leg, arm; left, right
	boot, ski [2]float64
	out       [2]float64
}

func at(s Side) int {
	if s == Left {
		return 0
	}
	return 1
}

func which(arm bool) int {
	if arm {
		return 1
	}
	return 0
}

func (b *Body) state(g Gear) state {
	var st state
	for i, seg := range order {
		x := b.model.Of(seg)
		st.mass[i], st.centre[i] = [2]float64{x.Mass, x.Mass}, [2]float64{x.Centre, x.Centre}
	}
	st.frame = b.frame
	for _, s := range Sides {
		for _, arm := range []bool{false, true} {
			st.share[which(arm)][at(s)] = 1
			if c, ok := b.limbs[limb{arm, s}]; ok {
				st.share[which(arm)][at(s)] = c.share
				st.worn[which(arm)][at(s)] = float64(c.mass.Value())
			}
		}
		st.boot[at(s)], st.ski[at(s)] = float64(g.Boot.At(s).Value()), float64(g.Ski.At(s).Value())
		if o := g.Outrigger.At(s); o != nil {
			st.out[at(s)] = float64(o.Mass.Value())
		}
	}
	return st
}

// mostParts is how many parts a posed body can have.
const mostParts = 32

// placing is one pose being computed.
type placing struct {
	*Posed
	b      *Body
	st     *state
	p      Pose
	g      Gear
	intact float64 // kg of the whole body by this state
}

// place computes a pose from a state.
// The parts are written over those of the buffer.
func (b *Body) place(p Pose, g Gear, st *state, parts []Part) (Posed, error) {
	out := Posed{Parts: parts[:0]}
	pl := &placing{Posed: &out, b: b, st: st, p: p, g: g}
	pl.weigh()
	if err := pl.legs(); err != nil {
		return Posed{}, err
	}
	pl.trunk()
	for _, s := range Sides {
		pl.leg(s)
		pl.arm(s)
	}
	pl.sum()
	return out, nil
}

// weigh finds the intact mass of the state: what was weighed lacks what is
// lost.
func (pl *placing) weigh() {
	st, whole, lost := pl.st, 0.0, 0.0
	for i, seg := range order {
		if seg.Paired() {
			whole += st.mass[i][0] + st.mass[i][1]
		} else {
			whole += st.mass[i][0]
		}
	}
	for key, c := range pl.b.limbs {
		side := at(key.side)
		for i, seg := range order {
			for _, gone := range c.form.gone {
				if seg == gone {
					lost += st.mass[i][side]
				}
			}
			if seg == c.form.cut {
				kept, _ := Remaining(st.centre[i][side], st.share[which(key.arm)][side])
				lost += st.mass[i][side] * (1 - kept)
			}
		}
	}
	pl.intact = float64(pl.b.person.Mass) / (whole - lost)
}

// stands tells whether a leg reaches the snow.
func (pl *placing) stands(s Side) bool {
	c, lost := pl.b.limbs[limb{false, s}]
	return !pl.p.Leg.At(s).Off && (!lost || c.loss.Prosthesis != nil)
}

// bones returns the lengths of thigh and shank.
func (pl *placing) bones(s Side) (thigh, shank float64) {
	f := pl.st.frame
	short := 1 - float64(pl.b.person.LegShort.At(s))/(f.Hip.Value-f.Ankle.Value)
	return (f.Hip.Value - f.Knee.Value) * short, (f.Knee.Value - f.Ankle.Value) * short
}

// chain returns, in the plane of a leg, how far the hip stands above the ankle
// and ahead of it.
func (pl *placing) chain(s Side) (up, ahead float64) {
	t, k := pl.bones(s)
	leg := pl.p.Leg.At(s)
	a, lean := float64(leg.Ankle), float64(leg.Ankle-leg.Knee)
	return k*math.Cos(a) + t*math.Cos(lean), k*math.Sin(a) + t*math.Sin(lean)
}

// ankleHeight is how far the ankle stands over the snow.
func (pl *placing) ankleHeight(s Side) float64 {
	return float64(pl.p.FootUp.At(s)+pl.g.Sole+pl.g.Plate.At(s)) + pl.st.frame.Ankle.Value
}

// legs finds the hips from the legs that stand.
func (pl *placing) legs() error {
	pl.Standing = Pair[bool]{pl.stands(Left), pl.stands(Right)}
	j, w := &pl.Joints, pl.st.frame.HipsApart.Value
	switch {
	case !pl.Standing.Left && !pl.Standing.Right:
		return refuse("no_leg", "Neither leg reaches the snow; this body cannot be posed standing.")
	case pl.Standing.Left && pl.Standing.Right:
		return pl.both(w)
	}
	s := Left
	if pl.Standing.Right {
		s = Right
	}
	up, ahead := pl.chain(s)
	tilt := float64(pl.p.Leg.At(s).Abduction)
	*j.Ankle.Of(s) = Vec{0, 0, pl.ankleHeight(s)}
	hip := Vec{-Outward(s) * up * math.Sin(tilt), ahead, pl.ankleHeight(s) + up*math.Cos(tilt)}
	*j.Hip.Of(s) = hip
	*j.Hip.Of(other(s)) = hip.Sub(Vec{X: Outward(s) * w})
	j.MidHip = j.Hip.Left.Towards(j.Hip.Right, 0.5)
	return nil
}

func other(s Side) Side {
	if s == Left {
		return Right
	}
	return Left
}

// both places the hips over two legs. Where the legs' angles do not agree,
// the pelvis tilts and turns to meet both; its width is kept.
func (pl *placing) both(w float64) error {
	var up, ahead, tilt, z [2]float64
	for _, s := range Sides {
		up[at(s)], ahead[at(s)] = pl.chain(s)
		ahead[at(s)] += float64(pl.p.FootForward.At(s))
		tilt[at(s)] = float64(pl.p.Leg.At(s).Abduction)
	}
	mid := float64(pl.p.FootForward.Left+pl.p.FootForward.Right) / 2
	half := w / 2
	for range 8 { // settles at once where the legs agree
		if pl.p.StanceWidth != nil {
			for _, s := range Sides {
				out := float64(*pl.p.StanceWidth)/2 - half - Outward(s)*float64(pl.p.Shift)
				if math.Abs(out) > up[at(s)] {
					return refuse("pose_impossible", "The legs do not reach that far apart.")
				}
				tilt[at(s)] = math.Asin(out / up[at(s)])
			}
		}
		for _, s := range Sides {
			z[at(s)] = pl.ankleHeight(s) + up[at(s)]*math.Cos(tilt[at(s)])
		}
		square := w*w - (z[0]-z[1])*(z[0]-z[1]) - (ahead[0]-ahead[1])*(ahead[0]-ahead[1])
		if square <= 0 {
			return refuse("pose_impossible", "The two legs' angles put the hips further apart than the pelvis is wide.")
		}
		half = math.Sqrt(square) / 2
	}
	j := &pl.Joints
	var ankle [2]float64
	for _, s := range Sides {
		hip := Outward(s) * half
		if pl.p.StanceWidth != nil {
			hip += float64(pl.p.Shift)
		}
		ankle[at(s)] = hip + Outward(s)*up[at(s)]*math.Sin(tilt[at(s)])
		*j.Hip.Of(s) = Vec{hip, ahead[at(s)] - mid, z[at(s)]}
	}
	middle := (ankle[0] + ankle[1]) / 2
	for _, s := range Sides {
		j.Hip.Of(s).X -= middle
		*j.Ankle.Of(s) = Vec{ankle[at(s)] - middle, float64(pl.p.FootForward.At(s)) - mid, pl.ankleHeight(s)}
	}
	j.MidHip = j.Hip.Left.Towards(j.Hip.Right, 0.5)
	return nil
}

func (pl *placing) trunk() {
	j, f, axis := &pl.Joints, pl.st.frame, pl.p.Trunk.direction()
	j.Neck = j.MidHip.Add(axis.Scale(f.Neck.Value - f.Hip.Value))
	up := Lean{}
	if pl.p.Head != nil {
		up = *pl.p.Head
	}
	j.Vertex = j.Neck.Add(up.direction().Scale(f.Stature.Value - f.Neck.Value))
	across := Vec{math.Cos(float64(pl.p.Trunk.Right)), 0, -math.Sin(float64(pl.p.Trunk.Right))}
	middle := j.MidHip.Add(axis.Scale(f.Shoulder.Value - f.Hip.Value))
	for _, s := range Sides {
		*j.Shoulder.Of(s) = middle.Add(across.Scale(Outward(s) * f.ShouldersApart.Value / 2))
	}
	pl.add(head, finding.NoSide, j.Vertex, j.Neck)
	pl.add(trunk, finding.NoSide, j.Neck, j.MidHip)
}

// add puts a whole segment between two points.
func (pl *placing) add(kind int, s Side, from, to Vec) { pl.addCut(kind, s, from, to, 1) }

// addCut puts the first share of a segment between two points.
func (pl *placing) addCut(kind int, s Side, from, to Vec, share float64) {
	c := pl.st.centre[kind][at(s)]
	mass, centre := 1.0, c
	if share < 1 {
		mass, centre = Remaining(c, share)
	}
	pl.Parts = append(pl.Parts, Part{Name: string(order[kind]), Side: s, Mass: pl.intact * pl.st.mass[kind][at(s)] * mass,
		At: from.Towards(to, centre), From: from, To: from.Towards(to, share)})
}

func (pl *placing) wear(name string, s Side, mass float64, where, from, to Vec) {
	if mass > 0 {
		pl.Parts = append(pl.Parts, Part{Name: name, Side: s, Mass: mass, At: where, From: from, To: to, Worn: true})
	}
}

// leg places the parts of one leg between its hip and its ankle.
func (pl *placing) leg(s Side) {
	j, f := &pl.Joints, pl.st.frame
	hip, pose := j.Hip.At(s), pl.p.Leg.At(s)
	thighLength, shankLength := pl.bones(s)
	lean, ankle := float64(pose.Ankle-pose.Knee), float64(pose.Ankle)
	// The plane of the leg: down along it, and forward.
	tilt := float64(pose.Abduction)
	if pl.Standing.At(s) {
		up, _ := pl.chain(s)
		tilt = math.Asin(min(1, max(-1, Outward(s)*(j.Ankle.At(s).X-hip.X)/up)))
	}
	down := func(length, lean float64) Vec {
		u := length * math.Cos(lean)
		return Vec{Outward(s) * u * math.Sin(tilt), -length * math.Sin(lean), -u * math.Cos(tilt)}
	}
	knee := hip.Add(down(thighLength, lean))
	foot0 := knee.Add(down(shankLength, ankle))
	heelBack := pl.b.heel * f.FootLength.Value
	sole := foot0.Add(Vec{Z: -f.Ankle.Value})
	heel := sole.Add(Vec{Y: -heelBack})
	toe := heel.Add(Vec{Y: f.FootLength.Value})
	*j.Knee.Of(s), *j.Ankle.Of(s), *j.Heel.Of(s), *j.Toe.Of(s) = knee, foot0, heel, toe
	c, lost := pl.b.limbs[limb{false, s}]
	share := pl.st.share[0][at(s)]
	level := AtFoot
	if lost {
		level = c.form.level
	}
	end := heel
	switch {
	case !lost:
		pl.add(thigh, s, hip, knee)
		pl.add(shank, s, knee, foot0)
	case level == AtFoot:
		pl.add(thigh, s, hip, knee)
		pl.add(shank, s, knee, foot0)
		end = foot0
	case level == Transtibial:
		pl.add(thigh, s, hip, knee)
		pl.addCut(shank, s, knee, foot0, share)
		end = knee.Towards(foot0, share)
	case level == AtKnee:
		pl.add(thigh, s, hip, knee)
		end = knee
	case level == Transfemoral:
		pl.addCut(thigh, s, hip, knee, share)
		end = hip.Towards(knee, share)
	default:
		end = hip
	}
	if !lost {
		pl.footPart(s, heel, toe)
	}
	if lost && c.loss.Prosthesis != nil {
		pl.wear("prosthesis", s, pl.st.worn[0][at(s)], pl.balance(c, s, []Vec{sole, foot0, knee, hip}), end, sole)
	}
	if lost && c.loss.Prosthesis == nil {
		// Beyond the end of a limb there is nothing: its joints stand there.
		switch level {
		case AtHip, Transfemoral:
			*j.Knee.Of(s) = end
			fallthrough
		default:
			if level != AtFoot {
				*j.Ankle.Of(s) = end
			}
			*j.Heel.Of(s), *j.Toe.Of(s) = end, end
		}
		return
	}
	over := Vec{sole.X, (heel.Y + toe.Y) / 2, sole.Z}
	pl.wear("boot", s, pl.st.boot[at(s)], over.Add(Vec{Z: f.Ankle.Value / 2}), heel, toe)
	if pl.Standing.At(s) {
		pl.wear("ski", s, pl.st.ski[at(s)], Vec{over.X, over.Y, float64(pl.p.FootUp.At(s)) + float64(pl.g.Sole)/2}, heel, toe)
	}
}

// footPart puts the foot, its centre halfway between sole and ankle.
func (pl *placing) footPart(s Side, heel, toe Vec) {
	pl.add(foot, s, heel, toe)
	pl.Parts[len(pl.Parts)-1].At.Z += pl.st.frame.Ankle.Value / 2
}

// balance returns the point a measured way along a limb from its far end, or
// where the lost parts had their centre.
func (pl *placing) balance(c cut, s Side, path []Vec) Vec {
	along := c.along
	if along < 0 {
		along = pl.lostCentre(c, s)
	}
	for i := 1; i < len(path); i++ {
		step := path[i].Sub(path[i-1]).Norm()
		if along <= step || i == len(path)-1 {
			return path[i-1].Towards(path[i], min(1, along/max(step, tiny)))
		}
		along -= step
	}
	return path[len(path)-1]
}

// tiny keeps a division by a length of zero away.
const tiny = 1e-12

// lostCentre is how far from the far end of the straight limb the lost parts
// have their common centre.
func (pl *placing) lostCentre(c cut, s Side) float64 {
	f, i := pl.st.frame, at(s)
	var sum, moment float64
	put := func(kind int, mass, from float64) {
		sum += mass * pl.st.mass[kind][i]
		moment += mass * pl.st.mass[kind][i] * from
	}
	upper, lower := pl.bones(s)
	near, far, tip, end := thigh, shank, foot, f.Ankle.Value
	if c.form.arm {
		upper, lower, end = f.UpperArm.At(s).Value, f.Forearm.At(s).Value, f.Hand.At(s).Value
		near, far, tip = upperArm, forearm, hand
	}
	for _, gone := range c.form.gone {
		switch gone {
		case order[near]:
			put(near, 1, end+lower+upper*(1-pl.st.centre[near][i]))
		case order[far]:
			put(far, 1, end+lower*(1-pl.st.centre[far][i]))
		case Foot:
			put(tip, 1, end/2)
		case Hand:
			put(tip, 1, end*(1-pl.st.centre[tip][i]))
		}
	}
	if c.form.cut != "" {
		kind, length, below := near, upper, end+lower
		if c.form.cut == order[far] {
			kind, length, below = far, lower, end
		}
		whole := pl.st.centre[kind][i]
		kept, at := Remaining(whole, pl.st.share[which(c.form.arm)][i])
		if kept < 1 {
			centre := (whole - kept*at) / (1 - kept)
			put(kind, 1-kept, below+length*(1-centre))
		}
	}
	return moment / max(sum, tiny)
}

// arm places the parts of one arm.
func (pl *placing) arm(s Side) {
	j, f, pose := &pl.Joints, pl.st.frame, pl.p.Arm.At(s)
	shoulder := j.Shoulder.At(s)
	upper, lower, grip := f.UpperArm.At(s).Value, f.Forearm.At(s).Value, f.Grip.At(s).Value
	var elbow, along Vec
	if pose.Grip != nil {
		var short float64
		elbow, along, short = twoLink(shoulder, *pose.Grip, upper, lower+grip, s)
		*pl.Short.Of(s) = short
	} else {
		sw, out, bend := float64(pose.Forward), float64(pose.Out), float64(pose.Elbow)
		dir := Vec{Outward(s) * math.Sin(out), math.Sin(sw) * math.Cos(out), -math.Cos(sw) * math.Cos(out)}
		forward := Vec{0, math.Cos(sw), math.Sin(sw)}
		elbow = shoulder.Add(dir.Scale(upper))
		along = dir.Scale(math.Cos(bend)).Add(forward.Scale(math.Sin(bend)))
	}
	cos := elbow.Sub(shoulder).Dot(along) / max(upper, tiny)
	*pl.Elbow.Of(s) = math.Acos(min(1, max(-1, cos)))
	wrist := elbow.Add(along.Scale(lower))
	fist := elbow.Add(along.Scale(lower + grip))
	tip := wrist.Add(along.Scale(f.Hand.At(s).Value))
	*j.Elbow.Of(s), *j.Wrist.Of(s), *j.Grip.Of(s), *j.Fingertip.Of(s) = elbow, wrist, fist, tip
	c, lost := pl.b.limbs[limb{true, s}]
	share := pl.st.share[1][at(s)]
	end := tip
	if lost {
		switch c.form.level {
		case AtHand:
			end = wrist
		case Transradial:
			end = elbow.Towards(wrist, share)
		case AtElbow:
			end = elbow
		case Transhumeral:
			end = shoulder.Towards(elbow, share)
		default:
			end = shoulder
		}
	}
	whole := func(levels ...Level) bool {
		for _, l := range levels {
			if lost && c.form.level == l {
				return false
			}
		}
		return true
	}
	switch {
	case !whole(Transhumeral):
		pl.addCut(upperArm, s, shoulder, elbow, share)
	case whole(AtShoulder):
		pl.add(upperArm, s, shoulder, elbow)
	}
	switch {
	case !whole(Transradial):
		pl.addCut(forearm, s, elbow, wrist, share)
	case whole(AtShoulder, Transhumeral, AtElbow):
		pl.add(forearm, s, elbow, wrist)
	}
	if !lost {
		pl.add(hand, s, wrist, tip)
	}
	if lost && c.loss.Prosthesis != nil {
		pl.wear("prosthesis", s, pl.st.worn[1][at(s)], pl.balance(c, s, []Vec{tip, wrist, elbow, shoulder}), end, tip)
	}
	if lost && c.loss.Prosthesis == nil {
		fist = end
		switch c.form.level {
		case AtShoulder, Transhumeral:
			*j.Elbow.Of(s) = end
			fallthrough
		case AtElbow, Transradial:
			*j.Wrist.Of(s) = end
		}
		*j.Grip.Of(s), *j.Fingertip.Of(s) = end, end
	}
	if o := pl.g.Outrigger.At(s); o != nil {
		runner := Vec{fist.X, fist.Y, 0}
		if o.Runner != nil {
			runner = *o.Runner
		}
		pl.wear("outrigger", s, pl.st.out[at(s)], fist.Towards(runner, 0.5), fist, runner)
	}
}

// twoLink places an elbow between a shoulder and a grip: behind the line
// between them and a little outside. short is by how much the arm misses.
func twoLink(shoulder, grip Vec, upper, lower float64, s Side) (elbow, along Vec, short float64) {
	way := grip.Sub(shoulder)
	d := way.Norm()
	if d < tiny {
		way, d = Vec{Z: -tiny}, tiny
	}
	u := way.Scale(1 / d)
	reach := min(d, upper+lower)
	reach = max(reach, math.Abs(upper-lower))
	p := (upper*upper - lower*lower + reach*reach) / (2 * max(reach, tiny))
	h := math.Sqrt(max(0, upper*upper-p*p))
	hint := Vec{Outward(s) * 0.5, -1, 0}
	n := hint.Sub(u.Scale(hint.Dot(u)))
	if n.Norm() < tiny {
		n = Vec{Z: -1}
	}
	elbow = shoulder.Add(u.Scale(p)).Add(n.Scale(h / n.Norm()))
	end := shoulder.Add(u.Scale(reach))
	along = end.Sub(elbow)
	along = along.Scale(1 / max(along.Norm(), tiny))
	return elbow, along, math.Abs(d - reach)
}

func (pl *placing) sum() {
	var all, body float64
	var moment, own Vec
	for _, p := range pl.Parts {
		all += p.Mass
		moment = moment.Add(p.At.Scale(p.Mass))
		if !p.Worn || p.Name == "prosthesis" {
			body += p.Mass
			own = own.Add(p.At.Scale(p.Mass))
		}
	}
	pl.Mass, pl.CM = all, moment.Scale(1/all)
	pl.BodyMass, pl.BodyCM = body, own.Scale(1/body)
}

// uncertainty joins the errors of everything a pose is computed from.
func (b *Body) uncertainty(p Pose, g Gear, st state, cm Vec) Vec {
	var sum Vec
	buffer := make([]Part, 0, mostParts)
	try := func(sd float64, change func(*state, float64)) {
		if sd == 0 {
			return
		}
		moved := st
		change(&moved, sd)
		out, err := b.place(p, g, &moved, buffer)
		if err != nil {
			return // a pose at the edge of what is possible
		}
		d := out.CM.Sub(cm)
		sum = sum.Add(Vec{d.X * d.X, d.Y * d.Y, d.Z * d.Z})
	}
	massError, sideError, centreError := figure("segment_mass_error").Value*perCent, figure("side_asymmetry").Value*perCent, figure("segment_centre_error").Value*perCent
	for i, seg := range order {
		try(massError, func(s *state, k float64) { s.mass[i][0] *= 1 + k; s.mass[i][1] *= 1 + k })
		try(centreError, func(s *state, k float64) { s.centre[i][0] += k; s.centre[i][1] += k })
		if seg.Paired() {
			for side := range 2 {
				try(sideError, func(s *state, k float64) { s.mass[i][side] *= 1 + k })
			}
		}
	}
	for _, l := range frameLengths(&st.frame) {
		try(l.SD, func(s *state, d float64) { frameLengths(&s.frame)[l.index].Value += d })
	}
	for key, c := range b.limbs {
		w, side := which(key.arm), at(key.side)
		try(c.sd, func(s *state, d float64) { s.share[w][side] = min(1, max(tiny, s.share[w][side]-d)) })
		try(spread(c.mass), func(s *state, d float64) { s.worn[w][side] += d })
	}
	for _, s := range Sides {
		side := at(s)
		try(spread(g.Boot.At(s)), func(st *state, d float64) { st.boot[side] += d })
		try(spread(g.Ski.At(s)), func(st *state, d float64) { st.ski[side] += d })
		if o := g.Outrigger.At(s); o != nil {
			try(spread(o.Mass), func(st *state, d float64) { st.out[side] += d })
		}
	}
	return Vec{math.Sqrt(sum.X), math.Sqrt(sum.Y), math.Sqrt(sum.Z)}
}

// spread takes the limits of a range as two standard errors apart from each
// side of its middle would be too narrow: half its width is one.
func spread(r quantity.Range[quantity.Kilogram]) float64 { return float64(r.Width()) / 2 }

// indexed is a length of a frame that may be in error.
type indexed struct {
	*Length
	index int
}

// frameLengths lists the lengths of a frame that move the centre of mass.
func frameLengths(f *Frame) []indexed {
	list := []*Length{&f.Stature, &f.Ankle, &f.Knee, &f.Hip, &f.Shoulder, &f.Neck, &f.FootLength, &f.HipsApart, &f.ShouldersApart,
		&f.UpperArm.Left, &f.UpperArm.Right, &f.Forearm.Left, &f.Forearm.Right, &f.Grip.Left, &f.Grip.Right, &f.Hand.Left, &f.Hand.Right}
	out := make([]indexed, len(list))
	for i, l := range list {
		out[i] = indexed{l, i}
	}
	return out
}
