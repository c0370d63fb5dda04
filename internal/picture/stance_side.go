package picture

import (
	"math"
	"strconv"
)

// Stick is one straight piece of a body, centimetres: x forward from the
// ankles, y up from the snow.
type Stick struct {
	From, To Point
	Far      bool // on the side away from who looks
	Hollow   bool // a prosthesis
}

// SideBoot is a boot on its ski.
type SideBoot struct {
	Heel, Toe Point // ends of the sole
	Ankle     Point
	Knee      Point // the cuff leans along the shank towards it
	Far       bool
}

// SideAid is an outrigger or the frame of a slider.
type SideAid struct {
	Handle Point
	Cuff   Point // where the cuff holds the forearm; the zero Point for none
	Runner Point // hinge of the runner, or the middle of the frame's runner
	Half   float64
	Frame  bool
	Far    bool
}

// posts returns where the uprights of a frame stand.
func (a SideAid) posts() (rear, front float64) {
	return a.Runner.X - a.Half*0.85, a.Runner.X + a.Half*0.78
}

// SideAngle is an angle to be written at a joint.
type SideAngle struct {
	At, From, To Point
	Label        string
}

// StanceSide is a stance from the side, drawn to scale in the frame of the snow
// and turned to the slope. Places are centimetres as in Stick.
type StanceSide struct {
	FromLeft   bool // seen from the student's left; otherwise from their right
	Head       Point
	HeadRadius float64
	Sticks     []Stick
	Joints     []Stick // From is the joint; To is not used
	Boots      []SideBoot
	SkiLength  float64 // cm; 0 for none
	Aids       []SideAid
	Angles     []SideAngle
	// HandleHeight is drawn beside the handle of the nearer aid; 0 for none.
	HandleHeight float64
	HandleLabel  string
	Centre       Point // of mass
	CentreErrorX float64
	CentreErrorY float64
	Acts         float64 // forward place where the weight acts on the snow
	SlopeDeg     float64 // downhill is forward where positive
	Words        string  // for the description
}

// Widths of the lines of a body, mm of page.
const (
	nearLimb, farLimb = 1.7, 1.0
	skiThick          = 1.1  // mm of page
	tailShown         = 30.0 // cm of a ski drawn behind the heel; the rest is left out
)

func (s StanceSide) extent() (least, most Point) {
	least, most = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	turn := s.turn()
	add := func(p Point, pad float64) {
		p = turn.On(p)
		least = Point{math.Min(least.X, p.X-pad), math.Min(least.Y, p.Y-pad)}
		most = Point{math.Max(most.X, p.X+pad), math.Max(most.Y, p.Y+pad)}
	}
	add(s.Head, s.HeadRadius+1)
	add(s.Centre, 3)
	add(Point{s.Acts, -1}, 3)
	for _, k := range s.Sticks {
		add(k.From, 3)
		add(k.To, 3)
	}
	for _, b := range s.Boots {
		add(b.Heel, 6)
		add(b.Toe, 6)
		add(Point{math.Max(b.Ankle.X-s.SkiLength*0.45, b.Heel.X-tailShown), 0}, 1)
		add(Point{b.Ankle.X + s.SkiLength*0.55, 4}, 1)
	}
	for _, a := range s.Aids {
		add(a.Handle, 4)
		if rear, front := a.posts(); a.Frame {
			add(Point{rear, a.Handle.Y}, 1)
			add(Point{front, a.Handle.Y}, 1)
		}
		add(Point{a.Runner.X - a.Half, 0}, 2)
		add(Point{a.Runner.X + a.Half + 3, 0}, 2)
	}
	if _, x, ok := s.measure(); ok {
		add(Point{x, 0}, 0.5)
		add(Point{x, s.HandleHeight}, 0.5)
	}
	return least, most
}

// measure returns the handle whose height is drawn, and how far ahead the
// measure stands: clear of skis and runners.
func (s StanceSide) measure() (handle Point, x float64, ok bool) {
	if s.HandleHeight <= 0 || len(s.Aids) == 0 {
		return Point{}, 0, false
	}
	for _, a := range s.Aids {
		if !a.Far || !ok {
			handle, ok = a.Handle, true
		}
		x = math.Max(x, a.Runner.X+a.Half)
	}
	for _, b := range s.Boots {
		x = math.Max(x, b.Ankle.X+s.SkiLength*0.55)
	}
	return handle, x + 6, true
}

// turn turns the frame of the snow to the slope, y up.
func (s StanceSide) turn() Matrix { return Turn(-s.SlopeDeg) }

// Draw returns the drawing fitted into a box of this size in mm.
func (s StanceSide) Draw(width, height float64) Drawing {
	side := "right"
	if s.FromLeft {
		side = "left"
	}
	d := Drawing{Width: width, Height: height, Title: "The stance from the student's " + side, Desc: s.Words}
	if len(s.Sticks) == 0 {
		return d
	}
	least, most := s.extent()
	right := s.sideRoom()
	k := math.Min(s.widest(width), (height-sideFoot)/(most.Y-least.Y))
	if !(k > 0) {
		return d
	}
	flip := 1.0
	if s.FromLeft {
		flip = -1
	}
	// Whoever looks sees forward to the right, or to the left from the left. The
	// room for the height of the handle lies ahead of the student.
	mid := (width - right) / 2
	if s.FromLeft {
		mid = (width + right) / 2
	}
	m := s.turn().Then(Matrix{A: flip * k, D: -k, E: mid - flip*k*(least.X+most.X)/2, F: k * most.Y})
	v := stanceView{&d, m, k}
	s.drawSnow(v)
	for _, far := range []bool{true, false} {
		s.drawSkisAndBoots(v, far)
		s.drawBody(v, far)
		s.drawAids(v, far)
	}
	s.drawCentre(v)
	s.drawAngles(v)
	s.drawHandle(v, flip)
	s.drawFoot(v, side)
	return d
}

// sideFoot is the height of what stands under the picture, mm.
const sideFoot = 5 * stanceText

// sideRoom is what the height of the handle needs beside the picture, mm.
func (s StanceSide) sideRoom() float64 {
	if _, _, ok := s.measure(); ok {
		return 20
	}
	return 0
}

// widest returns the largest scale, mm of page per cm, that a width allows.
func (s StanceSide) widest(width float64) float64 {
	least, most := s.extent()
	return (width - s.sideRoom()) / (most.X - least.X)
}

// Tallest returns the height in mm beyond which a box of this width leaves the
// drawing no larger.
func (s StanceSide) Tallest(width float64) float64 {
	if len(s.Sticks) == 0 {
		return 0
	}
	least, most := s.extent()
	return math.Max(s.widest(width), 0)*(most.Y-least.Y) + sideFoot
}

// drawSnow draws the line of the snow across the page.
func (s StanceSide) drawSnow(v stanceView) {
	a, b := v.m.On(Point{}), v.m.On(Point{100, 0})
	if math.Abs(b.X-a.X) < 1e-9 {
		return
	}
	slope := (b.Y - a.Y) / (b.X - a.X)
	y := func(x float64) float64 { return a.Y + slope*(x-a.X) + skiThick*0.9 }
	v.d.Draw(Line(0, y(0), v.d.Width, y(v.d.Width)), Style{Stroke: Black, Line: 0.35, Butt: true})
}

// drawSkisAndBoots draws one side.
func (s StanceSide) drawSkisAndBoots(v stanceView, far bool) {
	for _, b := range s.Boots {
		if b.Far != far {
			continue
		}
		if s.SkiLength > 0 {
			rear, front := math.Max(b.Ankle.X-s.SkiLength*0.45, b.Heel.X-tailShown), b.Ankle.X+s.SkiLength*0.55
			ski := Outline{
				{Kind: MoveTo, To: Point{rear, 0}}, {Kind: LineTo, To: Point{front - 12, 0}},
				{CurveTo, Point{front - 6, 0}, Point{front - 3, 1}, Point{front, 4}},
			}
			v.draw(ski, Style{Stroke: Black, Line: lineOf(far, skiThick, 0.5)})
		}
		v.draw(bootShape(b), Style{Fill: White, Stroke: Black, Line: lineOf(far, 0.6, 0.35)})
		// The plate and binding that carry the sole over the ski.
		for _, x := range []float64{b.Heel.X + 2, b.Toe.X - 2} {
			v.draw(Line(x, 0, x, math.Max(b.Heel.Y-2.5, 0.5)), Style{Stroke: Black, Line: lineOf(far, 0.9, 0.4), Butt: true})
		}
	}
}

func lineOf(far bool, near, away float64) float64 {
	if far {
		return away
	}
	return near
}

// bootShape is a ski boot around foot and lower shank.
func bootShape(b SideBoot) Outline {
	length := b.Toe.X - b.Heel.X
	ux, uy := b.Knee.X-b.Ankle.X, b.Knee.Y-b.Ankle.Y
	n := math.Hypot(ux, uy)
	if n == 0 {
		ux, uy, n = 0, 1, 1
	}
	ux, uy = ux/n, uy/n
	cuff := math.Min(length*0.75, n*0.62)
	half := length * 0.19
	top := Point{b.Ankle.X + ux*cuff, b.Ankle.Y + uy*cuff}
	sole := b.Heel.Y - 2.5
	return Polygon(
		Point{b.Heel.X, sole}, Point{b.Toe.X, sole}, Point{b.Toe.X, sole + length*0.16},
		Point{b.Ankle.X + half*1.35, b.Ankle.Y + length*0.06},
		Point{top.X + half*uy, top.Y - half*ux}, Point{top.X - half*uy, top.Y + half*ux},
		Point{b.Ankle.X - half*1.1, b.Ankle.Y + length*0.05}, Point{b.Heel.X, sole + length*0.25},
	)
}

// drawBody draws head, trunk and the limbs of one side.
func (s StanceSide) drawBody(v stanceView, far bool) {
	if !far {
		v.draw(Ellipse(s.Head.X, s.Head.Y, s.HeadRadius*0.8, s.HeadRadius), outer)
	}
	for _, k := range s.Sticks {
		if k.Far != far {
			continue
		}
		w := lineOf(far, nearLimb, farLimb)
		if !k.Hollow {
			v.draw(Line(k.From.X, k.From.Y, k.To.X, k.To.Y), Style{Stroke: Black, Line: w})
			continue
		}
		v.draw(Line(k.From.X, k.From.Y, k.To.X, k.To.Y), Style{Stroke: Black, Line: w + 0.5, Butt: true})
		v.draw(Line(k.From.X, k.From.Y, k.To.X, k.To.Y), Style{Stroke: White, Line: w - 0.3, Butt: true})
	}
	for _, j := range s.Joints {
		if j.Far == far {
			v.draw(Circle(j.From.X, j.From.Y, lineOf(far, 1.25, 0.7)/v.k), Style{Fill: White, Stroke: Black, Line: lineOf(far, 0.55, 0.35)})
		}
	}
}

// drawAids draws outriggers, or the frame of a slider.
func (s StanceSide) drawAids(v stanceView, far bool) {
	for _, a := range s.Aids {
		if a.Far != far {
			continue
		}
		shaft := Style{Stroke: Black, Line: lineOf(far, 0.9, 0.4)}
		if a.Frame {
			rear, front := a.posts()
			for _, x := range []float64{rear, front} {
				v.draw(Line(x, 0, x, a.Handle.Y), shaft)
			}
			v.draw(Line(rear, a.Handle.Y, front, a.Handle.Y), shaft)
		} else {
			v.draw(Line(a.Handle.X, a.Handle.Y, a.Runner.X, a.Runner.Y), shaft)
			if a.Cuff != (Point{}) {
				v.draw(Line(a.Handle.X, a.Handle.Y, a.Cuff.X, a.Cuff.Y), Style{Stroke: Black, Line: lineOf(far, 0.6, 0.3)})
			}
			v.draw(Line(a.Runner.X, a.Runner.Y, a.Runner.X, 0), shaft)
		}
		front := a.Runner.X + a.Half
		v.draw(Outline{
			{Kind: MoveTo, To: Point{a.Runner.X - a.Half, 0}}, {Kind: LineTo, To: Point{front - 3, 0}},
			{CurveTo, Point{front - 1, 0}, Point{front + 1, 1}, Point{front + 2, 3}},
		}, Style{Stroke: Black, Line: lineOf(far, skiThick, 0.5)})
		if !far {
			v.draw(Circle(a.Handle.X, a.Handle.Y, 1.0/v.k), solid)
		}
	}
}

// drawCentre draws the centre of mass and the line of its weight.
func (s StanceSide) drawCentre(v stanceView) {
	c, foot := v.m.On(s.Centre), v.m.On(Point{s.Acts, 0})
	v.d.Draw(Line(c.X, c.Y, foot.X, foot.Y), Style{Stroke: Black, Line: 0.5, Dash: []float64{2, 1.4}})
	if s.CentreErrorX*v.k > 0.3 || s.CentreErrorY*v.k > 0.3 {
		v.draw(Ellipse(s.Centre.X, s.Centre.Y, math.Max(s.CentreErrorX, 0.3/v.k), math.Max(s.CentreErrorY, 0.3/v.k)),
			Style{Fill: White, Stroke: Black, Line: 0.45})
	}
	armX, armY := math.Max(2, s.CentreErrorX*v.k+1), math.Max(2, s.CentreErrorY*v.k+1)
	v.d.Draw(Line(c.X-armX, c.Y, c.X+armX, c.Y), Style{Stroke: Black, Line: 0.5, Butt: true})
	v.d.Draw(Line(c.X, c.Y-armY, c.X, c.Y+armY), Style{Stroke: Black, Line: 0.5, Butt: true})
	const head = 1.6
	n := math.Hypot(foot.X-c.X, foot.Y-c.Y)
	if n > 0 {
		ux, uy := (foot.X-c.X)/n, (foot.Y-c.Y)/n
		v.d.Draw(Polygon(foot, Point{foot.X - head*1.8*ux - head*0.6*uy, foot.Y - head*1.8*uy + head*0.6*ux},
			Point{foot.X - head*1.8*ux + head*0.6*uy, foot.Y - head*1.8*uy - head*0.6*ux}), solid)
	}
}

// drawAngles writes the bend of joints with an arc.
func (s StanceSide) drawAngles(v stanceView) {
	for _, a := range s.Angles {
		at, from, to := v.m.On(a.At), v.m.On(a.From), v.m.On(a.To)
		// The bend is what is missing from a straight line: the near piece is
		// carried on as a thin line.
		n := math.Hypot(at.X-from.X, at.Y-from.Y)
		if n == 0 {
			continue
		}
		on := Point{at.X + (at.X-from.X)/n*7, at.Y + (at.Y-from.Y)/n*7}
		v.d.Draw(Line(at.X, at.Y, on.X, on.Y), Style{Stroke: Black, Line: 0.3, Dash: []float64{0.9, 0.9}})
		deg := func(p Point) float64 { return math.Atan2(p.Y-at.Y, p.X-at.X) * 180 / math.Pi }
		begin, end := deg(on), deg(to)
		for end-begin > 180 {
			end -= 360
		}
		for begin-end > 180 {
			end += 360
		}
		v.d.Draw(Arc(at.X, at.Y, 5, begin, end), Style{Stroke: Black, Line: 0.4})
		x, y, anchor := s.freeOf(v, at, a.Label)
		v.writeMM(x, y, anchor, a.Label, true)
	}
}

// freeOf returns where words beside a joint cover least of the body: before it
// or behind it, level with it or above.
func (s StanceSide) freeOf(v stanceView, at Point, words string) (x, y float64, anchor Anchor) {
	wide, least := 0.55*stanceText*float64(len([]rune(words))), math.Inf(1)
	for i, try := range []struct {
		out, up float64
		anchor  Anchor
	}{{3.5, 0.5, Start}, {-3.5, 0.5, End}, {3.5, 2, Start}, {-3.5, 2, End}, {5.5, -1, Start}, {-5.5, -1, End}} {
		px, py := at.X+try.out, at.Y-stanceText*try.up
		box := [4]float64{px, py - 0.8*stanceText, px + wide, py + 0.2*stanceText}
		if try.anchor == End {
			box[0], box[2] = px-wide, px
		}
		covers := 0.1 * float64(i)
		if box[0] < 0 || box[2] > v.d.Width {
			covers += 1000
		}
		for _, k := range append(s.aidLines(), s.Sticks...) {
			p, q := v.m.On(k.From), v.m.On(k.To)
			const steps = 24
			for n := range steps + 1 {
				t := float64(n) / steps
				if cx, cy := p.X+(q.X-p.X)*t, p.Y+(q.Y-p.Y)*t; cx > box[0]-0.8 && cx < box[2]+0.8 && cy > box[1]-0.5 && cy < box[3]+0.5 {
					covers++
				}
			}
		}
		if covers < least {
			x, y, anchor, least = px, py, try.anchor, covers
		}
	}
	return x, y, anchor
}

// aidLines are the lines of what the hands hold.
func (s StanceSide) aidLines() []Stick {
	var out []Stick
	for _, a := range s.Aids {
		if rear, front := a.posts(); a.Frame {
			out = append(out, Stick{From: Point{rear, a.Handle.Y}, To: Point{front, a.Handle.Y}})
			continue
		}
		out = append(out, Stick{From: a.Handle, To: a.Runner})
	}
	if handle, x, ok := s.measure(); ok {
		out = append(out, Stick{From: handle, To: Point{x, s.HandleHeight}})
	}
	return out
}

// drawHandle draws the height of the handle as a measure beside it.
func (s StanceSide) drawHandle(v stanceView, flip float64) {
	handle, x, ok := s.measure()
	if !ok {
		return
	}
	top, low, high := v.m.On(handle), v.m.On(Point{x, 0}), v.m.On(Point{x, s.HandleHeight})
	measure := Style{Stroke: Black, Line: 0.35, Butt: true}
	v.d.Draw(Line(top.X, top.Y, high.X, high.Y), Style{Stroke: Black, Line: 0.25, Dash: []float64{0.8, 1}, Butt: true})
	v.d.Draw(Line(low.X, low.Y, high.X, high.Y), measure)
	for _, y := range []float64{0, s.HandleHeight} {
		p, q := v.m.On(Point{x - 1.2/v.k, y}), v.m.On(Point{x + 1.2/v.k, y})
		v.d.Draw(Line(p.X, p.Y, q.X, q.Y), measure)
	}
	anchor, side := Start, math.Max(low.X, high.X)+1.8
	if flip < 0 {
		anchor, side = End, math.Min(low.X, high.X)-1.8
	}
	mid := (low.Y + high.Y) / 2
	v.writeMM(side, mid-stanceText*0.15, anchor, "handle", false)
	v.writeMM(side, mid+stanceText*1.0, anchor, s.HandleLabel, true)
}

// drawFoot writes what is seen from where, and the scale.
func (s StanceSide) drawFoot(v stanceView, side string) {
	y := v.d.Height - 1
	v.writeMM(0, y-stanceText*1.35, Start, "Seen from the student's "+side+".", false)
	v.writeMM(0, y, Start, "Cross: centre of mass, in its range.", false)
	length := 10.0
	for _, l := range []float64{20, 50} {
		if l*v.k < 26 {
			length = l
		}
	}
	y -= stanceText * 2.7
	bar := Style{Stroke: Black, Line: 0.5, Butt: true}
	x1 := 1 + length*v.k
	v.d.Draw(Line(1, y-0.4, x1, y-0.4), bar)
	for _, x := range []float64{1, x1} {
		v.d.Draw(Line(x, y-1.6, x, y+0.6), bar)
	}
	v.writeMM(x1+1.2, y, Start, strconv.Itoa(int(length))+" cm", false)
}
