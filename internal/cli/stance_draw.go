package cli

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
	"firnhand/internal/paper"
	"firnhand/internal/picture"
)

// stanceDrawFlags write drawings to scale.
type stanceDrawFlags struct {
	Above    string  `placeholder:"FILE" help:"Draw it from above into this file, .svg or .pdf." group:"drawings"`
	Side     string  `name:"side-view" placeholder:"FILE" help:"Draw it from the side into this file; from a person's file only." group:"drawings"`
	From     string  `name:"side-from" enum:",left,right" default:"" help:"The side it is seen from; the one with the outrigger, or the right." group:"drawings"`
	WidthMM  float64 `name:"width-mm" default:"120" help:"Width of a drawing." group:"drawings"`
	HeightMM float64 `name:"height-mm" default:"150" help:"Height of a drawing." group:"drawings"`
}

// drawStance writes the drawings asked for.
func (a *app) drawStance(asked stanceAsked, r stance.Result) error {
	f := asked.draw
	if f.Above == "" && f.Side == "" {
		return nil
	}
	for _, v := range []float64{f.WidthMM, f.HeightMM} {
		if !(v >= 30 && v <= 1000) {
			return refuse("out_of_range", "A drawing is between 30 and 1000 mm wide and high.")
		}
	}
	if f.Above != "" {
		if err := writeDrawing(f.Above, aboveOf(r, asked.stance).Draw(f.WidthMM, f.HeightMM), a.Clock.Now()); err != nil {
			return err
		}
	}
	if f.Side == "" {
		return nil
	}
	if asked.who == nil {
		return refuse("usage", "A drawing from the side needs a person's file: plain contacts have no body.")
	}
	return writeDrawing(f.Side, asked.who.posed.side(r, asked.stance, f.From).Draw(f.WidthMM, f.HeightMM), a.Clock.Now())
}

func writeDrawing(path string, d picture.Drawing, made time.Time) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg":
		return replace(path, []byte(d.SVG()))
	case ".pdf":
		var b bytes.Buffer
		if err := paper.PDF(&b, d, made); err != nil {
			return internal(err, "The drawing could not be written as a PDF.")
		}
		return replace(path, b.Bytes())
	}
	return refuse("usage", "A drawing is written as .svg or .pdf, not %s.", path)
}

// centimetres turns metres of the snow into what the drawings take.
func centimetres(p stance.Point) picture.Point {
	return picture.Point{X: 100 * float64(p.X), Y: 100 * float64(p.Y)}
}

// aboveOf turns a balance into its drawing from above.
func aboveOf(r stance.Result, s stance.Stance) picture.StanceAbove {
	out := picture.StanceAbove{Loads: r.Carried >= 1, Verdict: verdictWords[r.Verdict]}
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

// side draws a posed body from the side.
func (ps *posedStance) side(r stance.Result, s stance.Stance, from string) picture.StanceSide {
	near := body.Right
	if from == "left" || from == "" && ps.told(body.Left) && !ps.told(body.Right) {
		near = body.Left
	}
	at := func(v body.Vec) picture.Point { return picture.Point{X: 100 * v.Y, Y: 100 * v.Z} }
	j := ps.posed.Joints
	out := picture.StanceSide{FromLeft: near == body.Left, SlopeDeg: ps.slope, SkiLength: 100 * skiLength(ps.body),
		Centre:       picture.Point{X: 100 * float64(s.Centre.Y.Value()), Y: 100 * float64(s.Centre.Height.Value())},
		CentreErrorX: 50 * float64(s.Centre.Y.Width()), CentreErrorY: 50 * float64(s.Centre.Height.Width()), Acts: 100 * float64(r.Acts[1].Value())}
	top, neck := at(j.Vertex), at(j.Neck)
	long := math.Hypot(top.X-neck.X, top.Y-neck.Y)
	out.HeadRadius = 0.42 * long
	out.Head = picture.Point{X: top.X + (neck.X-top.X)*0.42, Y: top.Y + (neck.Y-top.Y)*0.42}
	out.Sticks = append(out.Sticks, picture.Stick{From: at(j.MidHip), To: neck}, picture.Stick{From: neck, To: picture.Point{X: out.Head.X, Y: out.Head.Y - 0.8*out.HeadRadius}})
	for _, part := range ps.posed.Parts {
		out.Sticks = append(out.Sticks, ps.sticks(part, part.Side != near, at)...)
	}
	for _, side := range body.Sides {
		far := side != near
		if ps.posed.Standing.At(side) {
			ankle := at(j.Ankle.At(side))
			heel := source.Value("ankle_on_sole")
			out.Boots = append(out.Boots, picture.SideBoot{Ankle: ankle, Knee: at(j.Knee.At(side)), Far: far,
				Heel: picture.Point{X: ankle.X - heel*ps.sole, Y: at(j.Heel.At(side)).Y}, Toe: picture.Point{X: ankle.X + (100-heel)*ps.sole, Y: at(j.Toe.At(side)).Y}})
		}
		ps.aids(&out, side, far, at)
	}
	out.Words = ps.words(near)
	return out
}

// told tells whether a side has what the other may not: a limb lost, or else
// the only outrigger.
func (ps *posedStance) told(side body.Side) bool {
	losses := ps.body.Person().Losses
	if len(losses) > 0 {
		return slices.ContainsFunc(losses, func(l body.Loss) bool { return l.Side == side })
	}
	return ps.grip.At(side) != nil
}

// sticks are the lines of one part of the body. What is worn on the feet and
// held is drawn by itself.
func (ps *posedStance) sticks(p body.Part, far bool, at func(body.Vec) picture.Point) []picture.Stick {
	j := ps.posed.Joints
	switch p.Name {
	case "boot", "ski", "outrigger", string(body.Head), string(body.Trunk), string(body.Foot):
		return nil
	case "prosthesis":
		if from := at(p.From); from.Y > at(j.Knee.At(p.Side)).Y+1 && p.To.Z < p.From.Z && at(p.To).Y < at(j.Knee.At(p.Side)).Y {
			knee := at(j.Knee.At(p.Side))
			return []picture.Stick{{From: from, To: knee, Far: far, Hollow: true}, {From: knee, To: at(j.Ankle.At(p.Side)), Far: far, Hollow: true}}
		}
		return []picture.Stick{{From: at(p.From), To: at(p.To), Far: far, Hollow: true}}
	}
	stick := picture.Stick{From: at(p.From), To: at(p.To), Far: far}
	if grip := ps.grip.At(p.Side); p.Name == string(body.Hand) && grip != nil {
		stick.To = at(j.Grip.At(p.Side)) // a fist closes there
	}
	return []picture.Stick{stick}
}

// aids adds the outrigger or the frame of one side, its angle and its height.
func (ps *posedStance) aids(out *picture.StanceSide, side body.Side, far bool, at func(body.Vec) picture.Point) {
	j := ps.posed.Joints
	for _, joint := range []body.Vec{j.Shoulder.At(side), j.Elbow.At(side), j.Hip.At(side), j.Knee.At(side)} {
		if ps.has(joint) {
			out.Joints = append(out.Joints, picture.Stick{From: at(joint), Far: far})
		}
	}
	top := ps.handle.At(side)
	if top == nil {
		return
	}
	a := picture.SideAid{Handle: at(*ps.grip.At(side)), Far: far}
	a.Handle.Y = 100 * *top
	if r := ps.runner.At(side); r != nil {
		a.Runner, a.Half = at(*r), 20
		elbow, wrist := at(j.Elbow.At(side)), at(j.Wrist.At(side))
		a.Cuff = picture.Point{X: elbow.X + (wrist.X-elbow.X)*0.25, Y: elbow.Y + (wrist.Y-elbow.Y)*0.25}
	} else {
		_, ahead, behind := ps.frame()
		a.Frame, a.Half, a.Runner = true, 50*(ahead+behind), picture.Point{X: 50 * (ahead - behind)}
	}
	out.Aids = append(out.Aids, a)
	if far {
		return
	}
	out.HandleHeight, out.HandleLabel = 100**top, quantity.Decimals(1).Text(100**top)+" cm"
	out.Angles = append(out.Angles, picture.SideAngle{At: at(j.Elbow.At(side)), From: at(j.Shoulder.At(side)), To: at(j.Wrist.At(side)),
		Label: fmt.Sprintf("elbow %.0f°", ps.posed.Elbow.At(side)*radian)})
}

// has tells whether some part of the body begins or ends at a place.
func (ps *posedStance) has(v body.Vec) bool {
	for _, p := range ps.posed.Parts {
		for _, e := range []body.Vec{p.From, p.To} {
			if p.Name != "boot" && p.Name != "ski" && p.Name != "outrigger" && math.Hypot(math.Hypot(e.X-v.X, e.Y-v.Y), e.Z-v.Z) < 0.005 {
				return true
			}
		}
	}
	return false
}

// skiLength is how long a ski is drawn: to the chin, as beginners' are.
func skiLength(b *body.Body) float64 { return b.Frame().Neck.Value }

func (ps *posedStance) words(near body.Side) string {
	s := []string{"A standing body from the student's " + near.Word() + " side, on skis."}
	if ps.slider {
		s = append(s, "A slider's frame.")
	}
	for _, side := range body.Sides {
		if h := ps.handle.At(side); h != nil && !ps.slider {
			s = append(s, fmt.Sprintf("%s outrigger, handle %.1f cm over the snow, elbow bent %.0f degrees.", strings.ToUpper(side.Word()[:1])+side.Word()[1:], 100**h, ps.posed.Elbow.At(side)*radian))
		}
	}
	return strings.Join(s, " ")
}
