package picture

import (
	"math"
	"strconv"
)

// BehindSki is a ski seen from behind. Edge is where it presses on the snow;
// Base runs from there across its base.
type BehindSki struct {
	Edge, Base Point
	Ankle      Point
}

// BehindAid is an outrigger or one side of a slider's frame.
type BehindAid struct {
	Handle, Runner Point
}

// BehindLabel is a word beside a joint.
type BehindLabel struct {
	At   Point
	Text string
	Left bool // written to the left of the joint
}

// StanceBehind is a stance seen from behind, drawn to scale and upright, so
// that the student's left is the left of the page. Places are centimetres, x to
// the right and y up along gravity.
type StanceBehind struct {
	Head       Point
	HeadRadius float64
	Sticks     []Stick // Hollow is a prosthesis; Far is not used
	Joints     []Point
	Skis       []BehindSki
	Aids       []BehindAid
	Frame      bool // the aids are a slider's: a bar joins them
	Labels     []BehindLabel
	Centre     Point // of mass
	CentreErrorX,
	CentreErrorY float64
	Acts     Point   // where the weight acts on the snow
	SlopeDeg float64 // of the snow, down to the right where positive
	Words    string
}

// behindFoot is the height of what stands under the picture, mm.
const behindFoot = 5.2 * stanceText

func (s StanceBehind) extent() (least, most Point) {
	least, most = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	add := func(p Point, pad float64) {
		least = Point{math.Min(least.X, p.X-pad), math.Min(least.Y, p.Y-pad)}
		most = Point{math.Max(most.X, p.X+pad), math.Max(most.Y, p.Y+pad)}
	}
	add(s.Head, s.HeadRadius+1)
	add(s.Centre, 3)
	add(s.Acts, 4)
	for _, k := range s.Sticks {
		add(k.From, 3)
		add(k.To, 3)
	}
	for _, k := range s.Skis {
		add(k.Edge, 8)
		add(k.Base, 8)
	}
	for _, a := range s.Aids {
		add(a.Handle, 3)
		add(a.Runner, 6)
	}
	return least, most
}

// widest returns the largest scale, mm of page per cm, that a width allows.
func (s StanceBehind) widest(width float64) float64 {
	least, most := s.extent()
	return (width - 2*s.sideRoom()) / (most.X - least.X)
}

// sideRoom is what the words beside joints may need, mm.
func (s StanceBehind) sideRoom() float64 {
	if len(s.Labels) > 0 {
		return 8
	}
	return 0
}

// Tallest returns the height in mm beyond which a box of this width leaves the
// drawing no larger.
func (s StanceBehind) Tallest(width float64) float64 {
	if len(s.Sticks) == 0 {
		return 0
	}
	least, most := s.extent()
	return math.Max(s.widest(width), 0)*(most.Y-least.Y) + behindFoot
}

// Draw returns the drawing fitted into a box of this size in mm.
func (s StanceBehind) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "The stance from behind", Desc: s.Words}
	if len(s.Sticks) == 0 {
		return d
	}
	least, most := s.extent()
	k := math.Min(s.widest(width), (height-behindFoot)/(most.Y-least.Y))
	if !(k > 0) {
		return d
	}
	m := Matrix{A: k, D: -k, E: width/2 - k*(least.X+most.X)/2, F: k * most.Y}
	v := stanceView{&d, m, k}
	s.drawSnow(v, k*(most.Y-least.Y))
	s.drawSkis(v)
	s.drawAids(v)
	s.drawBody(v)
	s.drawCentre(v)
	s.drawFoot(v)
	return d
}

// drawSnow draws the line of the snow across the page, as far as it stays in
// the picture.
func (s StanceBehind) drawSnow(v stanceView, bottom float64) {
	at := v.m.On(s.Acts)
	slope := math.Tan(s.SlopeDeg * math.Pi / 180)
	left, right := 0.0, v.d.Width
	y := func(x float64) float64 { return at.Y + slope*(x-at.X) }
	if slope > 0 {
		right = math.Min(right, at.X+(bottom-at.Y)/slope)
	}
	if slope < 0 {
		left = math.Max(left, at.X+(bottom-at.Y)/slope)
	}
	v.d.Draw(Line(left, y(left), right, y(right)), Style{Stroke: Black, Line: 0.35, Butt: true})
}

func (s StanceBehind) drawSkis(v stanceView) {
	for _, k := range s.Skis {
		up := 1.6
		v.draw(Polygon(k.Edge, k.Base, Point{k.Base.X, k.Base.Y + up}, Point{k.Edge.X, k.Edge.Y + up}), Style{Fill: Black, Stroke: Black, Line: 0.3})
		mid := Point{(k.Edge.X + k.Base.X) / 2, (k.Edge.Y+k.Base.Y)/2 + up}
		const half = 4.2
		v.draw(Polygon(Point{mid.X - half, mid.Y}, Point{mid.X + half, mid.Y}, Point{k.Ankle.X + half, k.Ankle.Y + 14}, Point{k.Ankle.X - half, k.Ankle.Y + 14}),
			Style{Fill: White, Stroke: Black, Line: 0.5})
	}
}

func (s StanceBehind) drawAids(v stanceView) {
	shaft := Style{Stroke: Black, Line: 0.9}
	for _, a := range s.Aids {
		v.draw(Line(a.Handle.X, a.Handle.Y, a.Runner.X, a.Runner.Y), shaft)
		v.draw(Circle(a.Runner.X, a.Runner.Y, 1.1/v.k), solid)
		v.draw(Circle(a.Handle.X, a.Handle.Y, 1.0/v.k), solid)
	}
	if s.Frame && len(s.Aids) == 2 {
		v.draw(Line(s.Aids[0].Handle.X, s.Aids[0].Handle.Y, s.Aids[1].Handle.X, s.Aids[1].Handle.Y), Style{Stroke: Black, Line: 0.5, Dash: []float64{1.4, 1.2}})
	}
}

func (s StanceBehind) drawBody(v stanceView) {
	v.draw(Ellipse(s.Head.X, s.Head.Y, s.HeadRadius*0.8, s.HeadRadius), outer)
	for _, k := range s.Sticks {
		if !k.Hollow {
			v.draw(Line(k.From.X, k.From.Y, k.To.X, k.To.Y), Style{Stroke: Black, Line: nearLimb})
			continue
		}
		v.draw(Line(k.From.X, k.From.Y, k.To.X, k.To.Y), Style{Stroke: Black, Line: nearLimb + 0.5, Butt: true})
		v.draw(Line(k.From.X, k.From.Y, k.To.X, k.To.Y), Style{Stroke: White, Line: nearLimb - 0.3, Butt: true})
	}
	for _, j := range s.Joints {
		v.draw(Circle(j.X, j.Y, 1.1/v.k), Style{Fill: White, Stroke: Black, Line: 0.5})
	}
	for _, l := range s.Labels {
		at, anchor, x := v.m.On(l.At), Start, 2.2
		if l.Left {
			anchor, x = End, -2.2
		}
		wide, from := 0.6*stanceText*float64(len([]rune(l.Text))), at.X+x
		if l.Left {
			from -= wide
		}
		top, bottom := at.Y-stanceText*0.55, at.Y+stanceText*0.45
		v.d.Draw(Polygon(Point{from, top}, Point{from + wide, top}, Point{from + wide, bottom}, Point{from, bottom}), Style{Fill: White})
		v.writeMM(at.X+x, at.Y+stanceText*0.3, anchor, l.Text, true)
	}
}

func (s StanceBehind) drawCentre(v stanceView) {
	c, foot := v.m.On(s.Centre), v.m.On(s.Acts)
	v.d.Draw(Line(c.X, c.Y, foot.X, foot.Y), Style{Stroke: Black, Line: 0.5, Dash: []float64{2, 1.4}})
	if s.CentreErrorX*v.k > 0.3 || s.CentreErrorY*v.k > 0.3 {
		v.draw(Ellipse(s.Centre.X, s.Centre.Y, math.Max(s.CentreErrorX, 0.3/v.k), math.Max(s.CentreErrorY, 0.3/v.k)), Style{Fill: White, Stroke: Black, Line: 0.45})
	}
	armX, armY := math.Max(2, s.CentreErrorX*v.k+1), math.Max(2, s.CentreErrorY*v.k+1)
	v.d.Draw(Line(c.X-armX, c.Y, c.X+armX, c.Y), Style{Stroke: Black, Line: 0.5, Butt: true})
	v.d.Draw(Line(c.X, c.Y-armY, c.X, c.Y+armY), Style{Stroke: Black, Line: 0.5, Butt: true})
	const head = 1.6
	v.d.Draw(Polygon(foot, Point{foot.X - head*0.6, foot.Y - head*1.8}, Point{foot.X + head*0.6, foot.Y - head*1.8}), solid)
}

// drawFoot writes the sides, what is seen from where, and the scale.
func (s StanceBehind) drawFoot(v stanceView) {
	y := v.d.Height - 1
	v.writeMM(0, y-stanceText*1.35, Start, "Seen from behind.", false)
	v.writeMM(0, y, Start, "Cross: centre of mass, in its range.", false)
	length := 10.0
	for _, l := range []float64{20, 50} {
		if l*v.k < 26 && l*v.k/2+scaleWords < v.d.Width/2 {
			length = l
		}
	}
	y -= stanceText * 2.8
	bar := Style{Stroke: Black, Line: 0.5, Butt: true}
	x0 := v.d.Width/2 - length*v.k/2
	v.d.Draw(Line(x0, y-0.4, x0+length*v.k, y-0.4), bar)
	for _, x := range []float64{x0, x0 + length*v.k} {
		v.d.Draw(Line(x, y-1.6, x, y+0.6), bar)
	}
	v.writeMM(x0+length*v.k+1.2, y, Start, strconv.Itoa(int(length))+" cm", false)
	v.writeMM(0, y, Start, "left", true)
	v.writeMM(v.d.Width, y, End, "right", true)
}
