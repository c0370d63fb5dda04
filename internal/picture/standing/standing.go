// Package standing turns a balanced stance and a posed body into the two
// drawings to scale, from above and from the side, for page, card and phone
// alike.
package standing

import (
	"math"
	"slices"
	"strings"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
	"firnhand/internal/picture"
)

// Words says in a few words whether a stance can be held.
func Words(v stance.Verdict) string {
	switch v {
	case stance.Held:
		return "This stance can be held."
	case stance.Partly:
		return "This stance could not be shown to hold."
	}
	return "This stance cannot be held."
}

// centimetres turns metres of the snow into what the drawings take.
func centimetres(p stance.Point) picture.Point {
	return picture.Point{X: 100 * float64(p.X), Y: 100 * float64(p.Y)}
}

// Above returns the drawing of a balance from above.
func Above(r stance.Result) picture.StanceAbove {
	s := r.Of
	out := picture.StanceAbove{Loads: r.Carried >= 1, Verdict: Words(r.Verdict)}
	kinds := map[stance.Kind]picture.FootKind{stance.Ski: picture.FootSki, stance.Runner: picture.FootRunner, stance.Frame: picture.FootFrame}
	for _, l := range r.Loads {
		c := l.Contact
		f := picture.Foot{Kind: kinds[c.Kind], Right: c.Side == body.Right, Rear: centimetres(c.Rear), Front: centimetres(c.Front),
			Newtons: float64(l.Even), Share: float64(l.Even / r.Weight)}
		f.Press = f.Rear
		if l.Even > 0 {
			k := float64(l.EvenFront / l.Even)
			f.Press = picture.Point{X: f.Rear.X + k*(f.Front.X-f.Rear.X), Y: f.Rear.Y + k*(f.Front.Y-f.Rear.Y)}
		}
		out.Feet = append(out.Feet, f)
	}
	for _, p := range r.Polygon {
		out.Polygon = append(out.Polygon, centimetres(p))
	}
	for _, p := range r.Region {
		out.Region = append(out.Region, centimetres(p))
	}
	at := func(x, y quantity.Metre) picture.Point { return centimetres(stance.Point{X: x, Y: y}) }
	out.Acts = at(r.Acts[0].Value(), r.Acts[1].Value())
	out.Least, out.Most = at(r.Acts[0].Low(), r.Acts[1].Low()), at(r.Acts[0].High(), r.Acts[1].High())
	out.Centre = at(s.Centre.X.Value(), s.Centre.Y.Value())
	if s.Lean.Normal > 0 && s.Lean.Normal < 1 {
		out.Downhill = picture.Point{X: float64(s.Lean.Right.Value()), Y: float64(s.Lean.Forward.Value())}
	}
	return out
}

// Side returns the drawing of a posed person from one side; NoSide takes the
// one with a limb missing, or with the only outrigger, or the right. slope is
// that of the snow along the skis, positive downhill ahead.
func Side(p *stance.Posed, r stance.Result, from body.Side, slope quantity.Radian) picture.StanceSide {
	if from != body.Left && from != body.Right {
		from = body.Right
		if told(p, body.Left) && !told(p, body.Right) {
			from = body.Left
		}
	}
	s, j := r.Of, p.Pose.Joints
	out := picture.StanceSide{FromLeft: from == body.Left, SlopeDeg: slope.Degrees(), SkiLength: 100 * p.Body.Frame().Neck.Value, // a beginner's ski reaches to the chin
		Centre:       picture.Point{X: 100 * float64(s.Centre.Y.Value()), Y: 100 * float64(s.Centre.Height.Value())},
		CentreErrorX: 50 * float64(s.Centre.Y.Width()), CentreErrorY: 50 * float64(s.Centre.Height.Width()), Acts: 100 * float64(r.Acts[1].Value())}
	top, neck := at(j.Vertex), at(j.Neck)
	out.HeadRadius = 0.42 * math.Hypot(top.X-neck.X, top.Y-neck.Y)
	out.Head = picture.Point{X: top.X + (neck.X-top.X)*0.42, Y: top.Y + (neck.Y-top.Y)*0.42}
	out.Sticks = append(out.Sticks, picture.Stick{From: at(j.MidHip), To: neck}, picture.Stick{From: neck, To: picture.Point{X: out.Head.X, Y: out.Head.Y - 0.8*out.HeadRadius}})
	for _, part := range p.Pose.Parts {
		out.Sticks = append(out.Sticks, sticks(p, part, part.Side != from)...)
	}
	for _, side := range body.Sides {
		far := side != from
		if p.Pose.Standing.At(side) {
			ankle, heel := at(j.Ankle.At(side)), source.Value("ankle_on_sole")
			out.Boots = append(out.Boots, picture.SideBoot{Ankle: ankle, Knee: at(j.Knee.At(side)), Far: far,
				Heel: picture.Point{X: ankle.X - heel*float64(p.Sole), Y: at(j.Heel.At(side)).Y}, Toe: picture.Point{X: ankle.X + (100-heel)*float64(p.Sole), Y: at(j.Toe.At(side)).Y}})
		}
		if !p.Pose.Standing.At(side) && has(p, j.Toe.At(side)) { // a foot off the snow
			out.Sticks = append(out.Sticks, picture.Stick{From: at(j.Ankle.At(side)), To: at(j.Toe.At(side)), Far: far}, picture.Stick{From: at(j.Ankle.At(side)), To: at(j.Heel.At(side)), Far: far})
		}
		for _, joint := range []body.Vec{j.Shoulder.At(side), j.Elbow.At(side), j.Hip.At(side), j.Knee.At(side)} {
			if has(p, joint) {
				out.Joints = append(out.Joints, picture.Stick{From: at(joint), Far: far})
			}
		}
		aids(&out, p, side, far)
	}
	out.Words = words(p, from)
	return out
}

// Behind returns the drawing of a posed person from behind, upright on a snow
// that falls to the student's right by slope where that is positive.
func Behind(p *stance.Posed, r stance.Result, slope quantity.Radian) picture.StanceBehind {
	sin, cos := math.Sincos(float64(slope))
	on := func(x, z float64) picture.Point { // upright, from the frame of the snow
		return picture.Point{X: 100 * (x*cos + z*sin), Y: 100 * (z*cos - x*sin)}
	}
	v := func(w body.Vec) picture.Point { return on(w.X, w.Z) }
	s, j := r.Of, p.Pose.Joints
	out := picture.StanceBehind{SlopeDeg: slope.Degrees(), Frame: p.Slider != nil,
		Centre: on(float64(s.Centre.X.Value()), float64(s.Centre.Height.Value())), CentreErrorX: 50 * float64(s.Centre.X.Width()), CentreErrorY: 50 * float64(s.Centre.Height.Width()),
		Acts: on(float64(r.Acts[0].Value()), 0)}
	top, neck := v(j.Vertex), v(j.Neck)
	out.HeadRadius = 0.42 * math.Hypot(top.X-neck.X, top.Y-neck.Y)
	out.Head = picture.Point{X: top.X + (neck.X-top.X)*0.42, Y: top.Y + (neck.Y-top.Y)*0.42}
	line := func(a, b body.Vec, hollow bool) {
		out.Sticks = append(out.Sticks, picture.Stick{From: v(a), To: v(b), Hollow: hollow})
	}
	line(j.MidHip, j.Neck, false)
	out.Sticks = append(out.Sticks, picture.Stick{From: neck, To: picture.Point{X: out.Head.X, Y: out.Head.Y - 0.8*out.HeadRadius}})
	line(j.Hip.Left, j.Hip.Right, false)
	line(j.Shoulder.Left, j.Shoulder.Right, false)
	for _, part := range p.Pose.Parts {
		switch part.Name {
		case "boot", "ski", "outrigger", string(body.Head), string(body.Trunk), string(body.Foot):
		case "prosthesis":
			knee := j.Knee.At(part.Side)
			if part.From.Z > knee.Z+0.01 && part.To.Z < knee.Z {
				line(part.From, knee, true)
				line(knee, j.Ankle.At(part.Side), true)
			} else {
				line(part.From, part.To, true)
			}
		case string(body.Hand):
			if p.Grip.At(part.Side) != nil {
				line(part.From, j.Grip.At(part.Side), false)
			} else {
				line(part.From, part.To, false)
			}
		default:
			line(part.From, part.To, false)
		}
	}
	half := source.Value("ski_half_width") / 1000
	uphill := 1.0 // edged skis stand on the edge up the slope
	if slope > 0 {
		uphill = -1
	}
	for _, side := range body.Sides {
		for _, joint := range []body.Vec{j.Shoulder.At(side), j.Elbow.At(side), j.Hip.At(side), j.Knee.At(side)} {
			if has(p, joint) {
				out.Joints = append(out.Joints, v(joint))
			}
		}
		if x := p.Line.At(side); p.Pose.Standing.At(side) && x != nil {
			edge, ankle := on(float64(*x), 0), v(j.Ankle.At(side))
			if u := p.Upright; u != nil && u.Roll != 0 {
				out.Skis = append(out.Skis, picture.BehindSki{Edge: edge, Base: picture.Point{X: edge.X - uphill*200*half, Y: edge.Y}, Ankle: ankle})
			} else {
				out.Skis = append(out.Skis, picture.BehindSki{Edge: on(float64(*x)-half, 0), Base: on(float64(*x)+half, 0), Ankle: ankle})
			}
			knee := 0.0
			if u := p.Upright; u != nil {
				knee = u.Knee.At(side).Degrees()
				out.Labels = append(out.Labels, picture.BehindLabel{At: v(j.Knee.At(side)), Text: quantity.Decimals(0).Text(knee) + "°", Left: side == body.Left})
			}
		}
		if g := p.Grip.At(side); g != nil {
			foot := body.Vec{X: g.X}
			if r := p.Runner.At(side); r != nil {
				foot = body.Vec{X: r.X}
			}
			for _, c := range p.Slider {
				if c.Side == side {
					foot = body.Vec{X: float64(c.Rear.X)}
				}
			}
			out.Aids = append(out.Aids, picture.BehindAid{Handle: v(*g), Runner: v(foot)})
		}
	}
	out.Words = "A standing body from behind, on a slope of " + quantity.Decimals(0).Text(math.Abs(slope.Degrees())) + " degrees. " + p.Says()
	return out
}

// at turns a place of the body into one of the drawing from the side.
func at(v body.Vec) picture.Point { return picture.Point{X: 100 * v.Y, Y: 100 * v.Z} }

// told tells whether a side has what the other may not: a limb lost, or else
// the only outrigger.
func told(p *stance.Posed, side body.Side) bool {
	if losses := p.Body.Person().Losses; len(losses) > 0 {
		return slices.ContainsFunc(losses, func(l body.Loss) bool { return l.Side == side })
	}
	return p.Grip.At(side) != nil
}

// sticks are the lines of one part of the body. What is worn on the feet and
// held is drawn by itself.
func sticks(p *stance.Posed, part body.Part, far bool) []picture.Stick {
	j := p.Pose.Joints
	one := picture.Stick{From: at(part.From), To: at(part.To), Far: far}
	switch part.Name {
	case "boot", "ski", "outrigger", string(body.Head), string(body.Trunk), string(body.Foot):
		return nil
	case "prosthesis":
		one.Hollow = true
		if knee := at(j.Knee.At(part.Side)); one.From.Y > knee.Y+1 && one.To.Y < knee.Y { // of a leg, from above the knee
			return []picture.Stick{{From: one.From, To: knee, Far: far, Hollow: true}, {From: knee, To: at(j.Ankle.At(part.Side)), Far: far, Hollow: true}}
		}
	case string(body.Hand):
		if p.Grip.At(part.Side) != nil {
			one.To = at(j.Grip.At(part.Side)) // a fist closes there
		}
	}
	return []picture.Stick{one}
}

// aids adds the outrigger or the frame of one side, its angle and its height.
func aids(out *picture.StanceSide, p *stance.Posed, side body.Side, far bool) {
	top, j := p.Handle.At(side), p.Pose.Joints
	if top == nil {
		return
	}
	a := picture.SideAid{Handle: at(*p.Grip.At(side)), Far: far}
	a.Handle.Y = top.Centimetres()
	if r := p.Runner.At(side); r != nil {
		elbow, wrist := at(j.Elbow.At(side)), at(j.Wrist.At(side))
		a.Runner, a.Half = at(*r), 20
		a.Cuff = picture.Point{X: elbow.X + (wrist.X-elbow.X)*0.25, Y: elbow.Y + (wrist.Y-elbow.Y)*0.25}
	} else {
		for _, c := range p.Slider {
			rear, front := c.Rear.Y.Centimetres(), c.Front.Y.Centimetres()
			a.Frame, a.Half, a.Runner = true, (front-rear)/2, picture.Point{X: (front + rear) / 2}
		}
	}
	out.Aids = append(out.Aids, a)
	if bend, ok := p.Elbow(side); ok && !far {
		out.HandleHeight, out.HandleLabel = top.Centimetres(), quantity.Decimals(1).Text(top.Centimetres())+" cm"
		out.Angles = append(out.Angles, picture.SideAngle{At: at(j.Elbow.At(side)), From: at(j.Shoulder.At(side)), To: at(j.Wrist.At(side)),
			Label: "elbow " + quantity.Decimals(0).Text(bend.Degrees()) + "°"})
	}
}

// has tells whether some part of the body begins or ends at a place.
func has(p *stance.Posed, v body.Vec) bool {
	const near = 0.005 // metres
	for _, part := range p.Pose.Parts {
		for _, e := range []body.Vec{part.From, part.To} {
			if part.Name != "boot" && part.Name != "ski" && part.Name != "outrigger" && math.Hypot(math.Hypot(e.X-v.X, e.Y-v.Y), e.Z-v.Z) < near {
				return true
			}
		}
	}
	return false
}

// words describes the drawing from the side.
func words(p *stance.Posed, from body.Side) string {
	s := []string{"A standing body from the student's " + from.Word() + ", on skis."}
	for _, l := range p.Body.Person().Losses {
		loss := "The " + l.Side.Word() + " limb ends: " + string(l.Level)
		if l.Prosthesis != nil {
			loss += ", prosthesis worn"
		}
		s = append(s, loss+".")
	}
	if p.Slider != nil {
		s = append(s, "A slider's frame.")
	}
	for _, side := range body.Sides {
		if bend, ok := p.Elbow(side); ok {
			w := side.Word()
			s = append(s, strings.ToUpper(w[:1])+w[1:]+" handle "+quantity.Decimals(1).Text(p.Handle.At(side).Centimetres())+" cm over the snow, elbow bent "+
				quantity.Decimals(0).Text(bend.Degrees())+" degrees.")
		}
	}
	return strings.Join(s, " ")
}
