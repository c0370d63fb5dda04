package stance

import (
	"math"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Upright is how somebody stands upright on a slope, against the gravity they
// feel, with what their own stance on level snow is changed by. Across a slope
// the uphill leg is shorter by a bend of its knee, its foot comes forward for
// that, and the skis stand on their uphill edges; down a slope both knees bend
// and the trunk leans back. Boots hold the shanks as on level snow.
type Upright struct {
	Roll  quantity.Radian // of the body to its left, from square to the snow
	Pitch quantity.Radian // of the body backward
	// Knee and KneeLevel are the bends of the knees here and on level snow.
	Knee, KneeLevel body.Pair[quantity.Radian]
	Ahead           body.Pair[quantity.Metre] // of one foot against the other
	Trunk           quantity.Radian           // ahead of square to the snow
	// Enough tells whether the weight acts where it does on level snow; otherwise
	// the knees would have to bend or straighten further than is taken.
	Enough bool
	// Longer is by how much an outrigger would have to be longer so that the elbow
	// keeps what bend it has on level snow, at most that of a fitted aid; 0 where
	// it keeps it.
	Longer body.Pair[quantity.Metre]
	// Stiff is an uphill leg that is not bent here: a prosthesis with a knee of
	// its own.
	Stiff bool
}

const (
	// mostBend is how far knees are taken to bend to stand upright, degrees.
	mostBend = 80 // exact: a limit of the search, no figure
	// edgedAt is the slope across the skis from which they stand wholly on their
	// edges, degrees; below it the line they press on moves there evenly.
	edgedAt = 3 // exact: keeps the answer from jumping
	// settled is how near, in metres, the hips are brought to where they go.
	settled = 1e-9
	// flat is the lean under which nothing pulls: rounding of a heading.
	flat = 1e-12
)

// tilted is a person being posed upright. Poses are computed in a frame that
// stands upright, and told in that of the snow.
type tilted struct {
	p          Posing
	level, out *Posed
	pose       body.Pose
	gear       body.Gear
	roll       quantity.Radian
	slope      vec       // tangents: right, forward
	origin     body.Vec  // of the snow's frame, in the upright one
	uphill     body.Side // NoSide where nothing is uphill
	knees      [2]quantity.Radian
	feet       []body.Side
	higher     quantity.Metre // what the uphill hip would stand too high without
}

// upright poses the person again, upright against what pulls.
func (p Posing) upright(level *Posed) (*Posed, error) {
	if err := p.Against.check(); err != nil {
		return nil, err
	}
	out := *level
	out.Taken = nil
	t := &tilted{p: p, level: level, out: &out}
	t.pose = p.usual(&out)
	t.gear = p.held(p.hands(&out))
	out.Taken = append([]string(nil), level.Taken...)
	t.slope = vec{level0(p.Against.Right), level0(p.Against.Forward)}
	t.roll = quantity.Radian(math.Atan(t.slope.x))
	pitch := quantity.Radian(math.Atan(t.slope.y))
	t.pose.Trunk.Forward -= pitch
	t.feet = standing(out.Body, t.pose)
	t.knees = [2]quantity.Radian{t.pose.Leg.Left.Knee, t.pose.Leg.Right.Knee}
	out.Upright = &Upright{Roll: t.roll, Pitch: pitch, Trunk: t.pose.Trunk.Forward, KneeLevel: body.Pair[quantity.Radian]{Left: t.knees[0], Right: t.knees[1]}}
	t.stand()
	if err := t.bend(); err != nil {
		return nil, err
	}
	if err := t.hold(); err != nil {
		return nil, err
	}
	u := out.Upright
	for _, s := range body.Sides {
		*u.Knee.Of(s) = t.pose.Leg.At(s).Knee
		*u.Ahead.Of(s) = max(0, t.pose.FootForward.At(s))
	}
	out.misses()
	return &out, nil
}

// level0 returns the value of a lean, nothing where it is rounding.
func level0(r quantity.Range[quantity.Ratio]) float64 {
	if v := float64(r.Value()); math.Abs(v) >= flat {
		return v
	}
	return 0
}

// stand puts the feet on the slope, and the frame of the snow under them.
func (t *tilted) stand() {
	sign := 1.0
	switch {
	case t.roll > 0:
		t.uphill = body.Left
	case t.roll < 0:
		t.uphill, sign = body.Right, -1
	}
	edge := metres("ski_half_width", millimetre) * min(1, math.Abs(t.roll.Degrees())/edgedAt)
	t.origin = body.Vec{X: -sign * edge}
	if len(t.feet) < 2 || t.uphill == 0 {
		return
	}
	width := float64(*t.pose.StanceWidth)
	rise := quantity.Metre(width / 2 * math.Sin(float64(t.roll)))
	t.pose.FootUp = body.Pair[quantity.Metre]{Left: rise, Right: -rise}
	apart := quantity.Metre(width * math.Cos(float64(t.roll)))
	t.pose.StanceWidth = &apart
}

// bend finds the bends of the knees, and where the hips are, that let the
// weight act where it acts on level snow.
func (t *tilted) bend() error {
	// Arms hang in both, so that only what the legs do is compared.
	hanging, err := t.out.Body.Place(t.level.legs, t.p.held(t.p.hands(&Posed{})))
	if err != nil {
		return err
	}
	want := vec{hanging.CM.X, hanging.CM.Y}
	at := func(more quantity.Radian) (float64, error) {
		// Legs that tilt sideways are a little lower: the hips are levelled again
		// once they are where they go.
		for range 3 {
			t.legs(more)
			if err := t.aside(want.x); err != nil {
				return 0, err
			}
			q, err := t.out.Body.Place(t.pose, t.gear)
			if err != nil {
				return 0, err
			}
			if t.uphill == 0 || len(t.feet) < 2 {
				break
			}
			up, down := t.uphill, t.uphill.Other()
			was := hanging.Joints.Hip.At(up).Z - hanging.Joints.Hip.At(down).Z
			off := q.Joints.Hip.At(up).Z - q.Joints.Hip.At(down).Z - was
			t.higher += quantity.Metre(off)
			if math.Abs(off) < settled {
				break
			}
		}
		q, err := t.out.Body.Place(t.pose, t.gear)
		if err != nil {
			return 0, err
		}
		cm := q.Roll(t.origin, t.roll).CM
		return cm.Y + cm.Z*t.slope.y - want.y, nil
	}
	// Bending takes the weight back, straightening forward.
	least, most := quantity.Radian(-mostBend), quantity.Must(quantity.Degrees(mostBend))
	for _, s := range t.feet {
		least, most = max(least, -t.knees[side(s)]), min(most, quantity.Must(quantity.Degrees(mostBend))-t.knees[side(s)])
	}
	low, high := least, max(most, least)
	ahead, err := at(low)
	if err != nil || ahead <= 0 {
		return err
	}
	if back, err := at(high); err != nil || back >= 0 {
		return err
	}
	for range 40 {
		half := (low + high) / 2
		v, err := at(half)
		if err != nil {
			return err
		}
		if v > 0 {
			low = half
		} else {
			high = half
		}
	}
	t.out.Upright.Enough = true
	return nil
}

func side(s body.Side) int {
	if s == body.Left {
		return 0
	}
	return 1
}

// legs bends both knees by as much more, and the uphill one until the hips are
// as level as they are on level snow; its foot comes forward by as much as
// that takes its hip back.
func (t *tilted) legs(more quantity.Radian) {
	for _, s := range t.feet {
		t.pose.Leg.Of(s).Knee = t.knees[side(s)] + more
	}
	t.pose.FootForward = body.Pair[quantity.Metre]{}
	if len(t.feet) < 2 || t.uphill == 0 {
		return
	}
	b, up := t.out.Body, t.pose.Leg.Of(t.uphill)
	if stiff(b, t.uphill) {
		t.out.Upright.Stiff = true
		return
	}
	high, backBefore := b.Chain(t.uphill, up.Ankle, up.Knee)
	want := high - 2*t.pose.FootUp.At(t.uphill) - t.higher
	low, most := up.Knee, quantity.Must(quantity.Degrees(mostBend))+up.Knee
	for range 50 {
		half := (low + most) / 2
		if h, _ := b.Chain(t.uphill, up.Ankle, half); h > want {
			low = half
		} else {
			most = half
		}
	}
	up.Knee = (low + most) / 2
	_, back := b.Chain(t.uphill, up.Ankle, up.Knee)
	*t.pose.FootForward.Of(t.uphill) = max(0, backBefore-back)
}

// stiff tells whether a leg has a prosthesis with a knee of its own, of which
// nobody knows whether it bends and holds.
func stiff(b *body.Body, s body.Side) bool {
	for _, l := range b.Person().Losses {
		if l.Side == s && l.Prosthesis != nil && (l.Level == body.AtKnee || l.Level == body.Transfemoral || l.Level == body.AtHip) {
			return true
		}
	}
	return false
}

// aside moves the hips sideways until the weight acts at an x of the snow.
func (t *tilted) aside(want float64) error {
	if len(t.feet) == 1 {
		return overFoot(t.out.Body, &t.pose, t.gear, t.origin.X)
	}
	for range 4 { // each step takes away nearly all of what is left
		q, err := t.out.Body.Place(t.pose, t.gear)
		if err != nil {
			return err
		}
		cm := q.Roll(t.origin, t.roll).CM
		high := q.Joints.MidHip.Z - (q.Joints.Ankle.Left.Z+q.Joints.Ankle.Right.Z)/2
		if high <= 0 {
			return nil
		}
		off := cm.X + cm.Z*t.slope.x - want
		t.pose.Shift -= quantity.Metre(off)
		if math.Abs(off) < settled {
			return nil
		}
	}
	return nil
}

// fromSnow turns a place of the snow's frame into one of the upright frame.
func (t *tilted) fromSnow(v body.Vec) body.Vec {
	sin, cos := math.Sincos(float64(t.roll))
	return t.origin.Add(body.Vec{X: v.X*cos + v.Z*sin, Y: v.Y, Z: v.Z*cos - v.X*sin})
}

// hold puts the hands on their handles: outriggers as long as they are on level
// snow, a slider's frame square to the snow. It poses the body for good.
func (t *tilted) hold() error {
	b, out := t.out.Body, t.out
	hanging, err := b.Place(t.pose, t.gear)
	if err != nil {
		return err
	}
	for _, s := range body.Sides {
		was := t.level.Grip.At(s)
		if was == nil {
			continue
		}
		high := was.Add(body.Vec{Z: t.level.rise.At(s)})
		var grip body.Vec
		if r := t.level.Runner.At(s); r != nil {
			runner := *r
			if out.Pose.Standing.At(s) {
				runner.Y += hanging.Joints.Ankle.At(s).Y - t.level.Pose.Joints.Ankle.At(s).Y
			}
			*out.Runner.Of(s) = &runner
			foot := t.fromSnow(runner)
			t.gear.Outrigger.At(s).Runner = &foot
			grip = t.reach(s, hanging.Joints.Shoulder.At(s), foot, high.Sub(*r).Norm())
		} else {
			grip = t.fromSnow(body.Vec{X: high.X, Y: high.Y + hanging.Joints.MidHip.Y - t.level.Pose.Joints.MidHip.Y, Z: high.Z})
		}
		grip.Z -= t.level.rise.At(s)
		t.pose.Arm.Of(s).Grip = &grip
	}
	q, err := b.Pose(t.pose, t.gear)
	if err != nil {
		return err
	}
	out.Pose = q.Roll(t.origin, t.roll)
	for _, s := range body.Sides {
		if g := t.pose.Arm.At(s).Grip; g != nil {
			at := body.Posed{CM: *g}.Roll(t.origin, t.roll).CM
			*out.Grip.Of(s) = &at
		}
	}
	return nil
}

// reach returns where a hand holds an outrigger of a length whose runner stands
// at foot: as far from the shoulder as on level snow, or nearer to over the
// runner where the elbow would else be straighter than it is there, and than a
// fitted aid leaves it.
func (t *tilted) reach(s body.Side, shoulder, foot body.Vec, shaft float64) body.Vec {
	ahead, outside := t.p.hand(s)
	own := body.Vec{X: shoulder.X + body.Outward(s)*outside, Y: shoulder.Y + ahead}
	f := t.out.Body.Frame()
	upper, lower := quantity.Metre(f.UpperArm.At(s).Value), quantity.Metre(f.Forearm.At(s).Value+f.Grip.At(s).Value)
	least, _ := t.level.Elbow(s)
	fitted, _ := source.Figure("elbow_bend_leaflets")
	least = min(least, quantity.Must(quantity.Degrees(fitted.Low)))
	const steps = 20
	var best body.Vec
	most := quantity.Radian(-1)
	for i := range steps + 1 {
		grip := own.Towards(body.Vec{X: foot.X, Y: foot.Y}, float64(i)/steps)
		flat := math.Hypot(grip.X-foot.X, grip.Y-foot.Y)
		grip.Z = foot.Z + math.Sqrt(max(0, shaft*shaft-flat*flat))
		at := grip.Add(body.Vec{Z: -t.level.rise.At(s)})
		bend, err := body.ElbowBend(quantity.Metre(at.Sub(shoulder).Norm()), upper, lower)
		if err != nil {
			bend = 0 // the arm does not reach, or is folded
		}
		if bend > most {
			best, most = grip, bend
		}
		if bend >= least-quantity.Radian(sameWithin) {
			return best
		}
	}
	if d, err := body.DistanceForBend(least, upper, lower); err == nil {
		off := math.Hypot(own.X-shoulder.X, own.Y-shoulder.Y)
		own.Z = shoulder.Z - math.Sqrt(max(0, float64(d*d)-off*off)) + t.level.rise.At(s)
		*t.out.Upright.Longer.Of(s) = quantity.Metre(max(0, own.Sub(foot).Norm()-shaft))
	}
	return best
}

// Says tells in a sentence or two how a person stands upright; "" where they
// stand as on level snow or square to it.
func (d *Posed) Says() string {
	u := d.Upright
	if u == nil {
		return ""
	}
	n := quantity.Decimals(0)
	out := "Upright against what pulls: "
	uphill := body.Left
	if u.Roll < 0 {
		uphill = body.Right
	}
	across := n.Text(math.Abs(u.Roll.Degrees())) != "0"
	if across {
		out += "leaned " + n.Text(math.Abs(u.Roll.Degrees())) + " degrees uphill from square to the snow, skis on their uphill edges"
		if two := d.Pose.Standing.Left && d.Pose.Standing.Right; two && u.Stiff {
			out += ", the pelvis tilted, since the " + uphill.Word() + " leg, uphill, is a prosthesis of which it is not known whether it bends and holds: ask the prosthetist"
		} else if two {
			out += ", the " + uphill.Word() + " knee, uphill, bent " + n.Text(u.Knee.At(uphill).Degrees()) + " degrees instead of " + n.Text(u.KneeLevel.At(uphill).Degrees()) +
				", the other " + n.Text(u.Knee.At(uphill.Other()).Degrees()) + ", the uphill ski " + n.Text(u.Ahead.At(uphill).Centimetres()) + " cm ahead"
		}
	}
	if n.Text(math.Abs(u.Pitch.Degrees())) != "0" {
		if across {
			out += "; "
		}
		word := "back"
		if u.Pitch < 0 {
			word = "forward"
		}
		out += "leaned " + n.Text(math.Abs(u.Pitch.Degrees())) + " degrees " + word + ", " + d.kneesSay()
		if !u.Enough {
			out += "; the knees are not taken any further, so the weight acts elsewhere than on level snow"
		}
	}
	if out == "Upright against what pulls: " {
		return ""
	}
	out += "."
	for _, s := range body.Sides {
		if cm := n.Text(u.Longer.At(s).Centimetres()); u.Longer.At(s) > 0 && cm != "0" {
			out += " The " + s.Word() + " arm is nearly straight here: that outrigger would have to be " + cm + " cm longer, or stand nearer."
		}
	}
	return out
}

// kneesSay tells the bend of the knees that stand.
func (d *Posed) kneesSay() string {
	u, n := d.Upright, quantity.Decimals(0)
	say := func(s body.Side) string {
		return n.Text(u.Knee.At(s).Degrees()) + " degrees instead of " + n.Text(u.KneeLevel.At(s).Degrees())
	}
	switch left, right := say(body.Left), say(body.Right); {
	case !d.Pose.Standing.Left:
		return "the right knee bent " + right
	case !d.Pose.Standing.Right:
		return "the left knee bent " + left
	case left == right:
		return "both knees bent " + left
	default:
		return "the left knee bent " + left + ", the right " + right
	}
}
