package picture

import (
	"strings"
	"unicode/utf8"
)

// Support is what the student holds or stands in.
type Support uint8

// The supports.
const (
	NoSupport      Support = iota
	BothOutriggers         // one in each hand
	LeftOutrigger          // one, in the student's left hand
	RightOutrigger         // one, in the student's right hand
	Slider                 // frame on skis around the student
	Poles
)

// Tie is the link between the ski tips.
type Tie uint8

// The ties.
const (
	NoTie Tie = iota
	ElasticTie
	RigidTie
)

// Reins says where control lines are fixed.
type Reins uint8

// The reins.
const (
	NoReins Reins = iota
	TipReins
	HipReins
	FrameReins
)

// Place is where a person stands, seen from the student.
type Place uint8

// The places. The zero Place is behind, because that is where the lead of a
// first slide most often is.
const (
	Behind Place = iota
	Ahead
	AtLeft
	AtRight
)

// Person is somebody with the student, and what to write beside them.
type Person struct {
	Place Place
	Label string // "lead", "helper"; a word, it is not wrapped
}

// Standing on one ski or two.
const (
	TwoSkis = iota
	LeftSkiOnly
	RightSkiOnly
)

// Above describes the student from above, facing up the page, so that the
// student's left is the left of the page. The zero value is a student on two
// skis with nothing else.
type Above struct {
	Skis    int // TwoSkis, LeftSkiOnly, RightSkiOnly
	Support Support
	TroughL bool // forearm trough on the slider, left
	TroughR bool
	Tie     Tie
	Spacer  bool // bar between the boots
	Reins   Reins
	LiftL   string // word for what lifts the left foot ("heel lift", "plate"), empty for none
	LiftR   string
	People  []Person
}

// Mirror returns the same student with left and right swapped.
func (a Above) Mirror() Above {
	swapSki := [...]int{TwoSkis: TwoSkis, LeftSkiOnly: RightSkiOnly, RightSkiOnly: LeftSkiOnly}
	if a.Skis >= 0 && a.Skis < len(swapSki) {
		a.Skis = swapSki[a.Skis]
	}
	switch a.Support {
	case LeftOutrigger:
		a.Support = RightOutrigger
	case RightOutrigger:
		a.Support = LeftOutrigger
	}
	a.TroughL, a.TroughR = a.TroughR, a.TroughL
	a.LiftL, a.LiftR = a.LiftR, a.LiftL
	people := make([]Person, len(a.People))
	for i, p := range a.People {
		switch p.Place {
		case AtLeft:
			p.Place = AtRight
		case AtRight:
			p.Place = AtLeft
		}
		people[i] = p
	}
	a.People = people
	return a
}

// Body and gear in centimetres about the middle of the boots, y down the page.
// Round figures for an adult; the drawing is a sign, not a measurement.
const (
	skiX, skiHalf     = 12.0, 4.6 // half the stance, half a ski's width
	skiTip, skiTail   = -70.0, 50.0
	bootTop, bootEnd  = -20.0, 16.0
	shoulderX         = 23.0
	riggerX, riggerUp = 41.0, -56.0 // an outrigger's runner and its front end
	riggerEnd         = -16.0       // its claw, just ahead of the toe piece
	frameX            = 41.0
	frameUp, frameEnd = -62.0, 44.0
	besideX           = 75.0
	aheadY, behindY   = -98.0, 79.0
	labelPt           = 11.0
	largest           = 0.30 // mm of page per cm; more would only be louder
)

// Draw returns the drawing fitted into a box of this size in mm, the student's
// middle line in the middle of the box. Labels stay 11 pt whatever the size;
// in a small box only people are labelled.
func (a Above) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "The student from above, facing up the page", Desc: a.describe()}
	up, down, widest := a.extent(width)
	topPad := 0.0
	roomy := height > 55
	if a.Tie != NoTie && roomy {
		topPad = labelPt * MMPerPoint * 1.15
	}
	k := min((height-topPad)/(up+down), widest)
	spare := (height - topPad - k*(up+down)) / 2
	v := view{&d, Scale(k, k).Then(Move(width/2, topPad+spare+k*up)), k, roomy && k > 0.2}
	a.drawReins(v)
	a.drawSkis(v)
	a.drawSupportUnder(v)
	a.drawBody(v)
	a.drawTie(v)
	a.drawLifts(v)
	a.drawPeople(v)
	return d
}

// Tallest returns the height in mm beyond which a box of this width leaves the
// drawing no larger.
func (a Above) Tallest(width float64) float64 {
	up, down, k := a.extent(width)
	return k * (up + down)
}

// extent returns how far the drawing reaches up and down from the boots, in
// cm, and the largest scale, in mm per cm, that a width allows.
func (a Above) extent(width float64) (up, down, k float64) {
	up, down = -skiTip+4, skiTail+4
	side, words := 34.0, 0.0
	besideLabel := skiX + skiHalf + 4 // what a label below a person beside must keep clear of
	if a.Support != NoSupport {
		side = riggerX + 6
	}
	if a.Support == Slider {
		up, besideLabel = -frameUp+20, frameX+6
	}
	if a.Reins != NoReins { // they run to where their holder stands
		down = behindY + 13
	}
	for _, p := range a.People {
		switch p.Place {
		case Ahead:
			up = -aheadY + 14
		case Behind:
			down = behindY + 13
		default:
			words = max(words, 0.54*labelPt*MMPerPoint*float64(utf8.RuneCountInString(p.Label)))
		}
	}
	if words > 0 { // somebody beside: their body, and their word clear of the gear
		return up, down, min(largest, width/2/(besideX+21), max((width/2-words)/besideLabel, 0.1))
	}
	return up, down, min(largest, width/2/side)
}

// view draws centimetres about the boots onto the page.
type view struct {
	d *Drawing
	m Matrix
	k float64 // mm of page per cm

	names bool // whether gear is labelled; in a small drawing labels would cover it
}

func (v view) draw(o Outline, s Style) { v.d.Draw(o.Apply(v.m), s) }

func (v view) label(x, y float64, anchor Anchor, s string) {
	p := v.m.On(Point{x, y})
	v.d.Write(Text{X: p.X, Y: p.Y, Size: labelPt, Anchor: anchor, S: s, Class: "label"})
}

var (
	thin  = Style{Stroke: Black, Line: 0.35}
	outer = Style{Fill: White, Stroke: Black, Line: 0.45}
	solid = Style{Fill: Black}
	limb  = Style{Stroke: Black, Line: 1.3}
)

func sides() [2]float64 { return [2]float64{-1, 1} }

// ski is a ski seen from above with its shovel at the front end.
func ski(x, half, tip, tail float64) Outline {
	n := half * 2.6 // length of the shovel
	return Outline{
		{Kind: MoveTo, To: Point{x - half, tail}},
		{Kind: LineTo, To: Point{x - half, tip + n}},
		{CurveTo, Point{x - half, tip + n*0.45}, Point{x - half*0.55, tip}, Point{x, tip}},
		{CurveTo, Point{x + half*0.55, tip}, Point{x + half, tip + n*0.45}, Point{x + half, tip + n}},
		{Kind: LineTo, To: Point{x + half, tail}},
		{Kind: Close},
	}
}

func (a Above) hasSki(side float64) bool {
	return a.Skis == TwoSkis || side < 0 && a.Skis == LeftSkiOnly || side > 0 && a.Skis == RightSkiOnly
}

func (a Above) hasRigger(side float64) bool {
	return a.Support == BothOutriggers || side < 0 && a.Support == LeftOutrigger || side > 0 && a.Support == RightOutrigger
}

func (a Above) drawSkis(v view) {
	for _, s := range sides() {
		if a.hasSki(s) {
			v.draw(ski(s*skiX, skiHalf, skiTip, skiTail), outer)
			v.draw(Rect(s*skiX-4.2, bootTop, 8.4, bootEnd-bootTop, 4.2), solid)
		}
	}
	if a.Spacer {
		v.draw(Line(-skiX, bootTop+3, skiX, bootTop+3), Style{Stroke: Black, Line: 1.1, Butt: true})
	}
}

func (a Above) drawSupportUnder(v view) {
	for _, s := range sides() {
		if a.hasRigger(s) {
			v.draw(ski(s*riggerX, 4, riggerUp, riggerEnd), outer)
		}
	}
	if a.Support != Slider {
		return
	}
	for _, s := range sides() {
		v.draw(ski(s*frameX, 4, frameUp-14, frameEnd), outer)
		v.draw(Line(s*frameX, frameUp+14, s*frameX, frameEnd-20), limb)
	}
	v.draw(Line(-frameX, frameUp+14, frameX, frameUp+14), limb)
}

func (a Above) drawBody(v view) {
	for _, s := range sides() {
		hand := Point{s * 30, -26}
		switch {
		case a.hasRigger(s):
			hand = Point{s * riggerX, -33}
		case a.Support == Slider:
			hand = Point{s * frameX, -26}
		}
		elbow := Point{s * (shoulderX + 6), -6}
		if a.Support == Slider && (s < 0 && a.TroughL || s > 0 && a.TroughR) {
			v.draw(Rect(s*frameX-7, -34, 14, 26, 3), outer)
			hand.Y = -30
		}
		v.draw(Polyline(Point{s * (shoulderX - 4), 1}, elbow, hand), limb)
		v.draw(Circle(hand.X, hand.Y, 4.2), solid)
		if a.Support == Poles {
			v.draw(Line(hand.X, hand.Y, s*40, 14), thin)
		}
	}
	v.draw(Ellipse(0, 3, shoulderX, 9.5), outer)
	v.draw(Polygon(Point{-4, -9}, Point{0, -15}, Point{4, -9}), solid)
	v.draw(Ellipse(0, 0, 9, 10), solid)
}

func (a Above) drawTie(v view) {
	const y = skiTip + 9
	switch a.Tie {
	case ElasticTie:
		pts := []Point{{-skiX, y}}
		for i := range 5 {
			pts = append(pts, Point{-skiX + 4 + float64(i)*4, y + 3.4*float64(i%2*2-1)})
		}
		v.draw(Polyline(append(pts, Point{skiX, y})...), Style{Stroke: Black, Line: 0.6})
	case RigidTie:
		v.draw(Line(-skiX, y, skiX, y), Style{Stroke: Black, Line: 1.3, Butt: true})
	default:
		return
	}
	for _, s := range sides() {
		v.draw(Circle(s*skiX, y, 2.8), solid)
	}
	if !v.names {
		return
	}
	v.label(0, skiTip-4, Middle, map[Tie]string{ElasticTie: "elastic tie", RigidTie: "rigid tie"}[a.Tie])
}

func (a Above) drawLifts(v view) {
	for _, s := range sides() {
		word, anchor := a.LiftR, Start
		if s < 0 {
			word, anchor = a.LiftL, End
		}
		if word == "" {
			continue
		}
		v.draw(Rect(s*skiX-6.5, bootEnd-2, 13, 7, 0), solid)
		if !v.names {
			continue
		}
		v.draw(Line(s*(skiX+6), bootEnd+3, s*(skiX+14), bootEnd+12), thin)
		down := labelPt * MMPerPoint * 0.66 / v.k
		v.label(s*(skiX+9), bootEnd+13+down, anchor, word)
	}
}

func (a Above) drawReins(v view) {
	from := Point{}
	switch a.Reins {
	case TipReins:
		from = Point{skiX + skiHalf, skiTip + 10}
	case HipReins:
		from = Point{8, 8}
	case FrameReins:
		from = Point{frameX, frameEnd - 8}
	default:
		return
	}
	for _, s := range sides() {
		pts := []Point{{s * from.X, from.Y}}
		if a.Reins == TipReins {
			pts = append(pts, Point{s * (skiX + skiHalf + 7), 20})
		}
		pts = append(pts, Point{s * 7, behindY - 9})
		v.draw(Polyline(pts...), Style{Stroke: Black, Line: 0.5})
	}
}

func (a Above) drawPeople(v view) {
	count := map[Place]int{}
	for _, p := range a.People {
		shift := 24 * float64(count[p.Place])
		count[p.Place]++
		at, turn := Point{0, behindY + shift}, 0.0
		switch p.Place {
		case Ahead:
			at, turn = Point{0, aheadY - shift}, 180 // faces the student, skiing backwards
		case AtLeft:
			at = Point{-besideX, -6 + 3*shift}
		case AtRight:
			at = Point{besideX, -6 + 3*shift}
		}
		m := Turn(turn).Then(Move(at.X, at.Y))
		v.draw(Ellipse(0, 2, 19, 8).Apply(m), outer)
		v.draw(Polygon(Point{-3.6, -8}, Point{0, -13}, Point{3.6, -8}).Apply(m), outer)
		v.draw(Ellipse(0, 0, 8, 9).Apply(m), outer)
		mid := labelPt * MMPerPoint * 0.34 / v.k
		switch p.Place {
		case AtLeft: // written inwards from the edge of the box, so that it never leaves it
			v.label(-v.d.Width/2/v.k, at.Y+13+2*mid, Start, p.Label)
		case AtRight:
			v.label(v.d.Width/2/v.k, at.Y+13+2*mid, End, p.Label)
		default:
			v.label(at.X+24, at.Y+mid, Start, p.Label)
		}
	}
}

// describe says the drawing in sentences.
func (a Above) describe() string {
	var s []string
	switch a.Skis {
	case LeftSkiOnly:
		s = append(s, "Stands on the left ski only.")
	case RightSkiOnly:
		s = append(s, "Stands on the right ski only.")
	default:
		s = append(s, "Stands on two skis.")
	}
	switch a.Support {
	case BothOutriggers:
		s = append(s, "An outrigger in each hand.")
	case LeftOutrigger:
		s = append(s, "One outrigger, in the left hand.")
	case RightOutrigger:
		s = append(s, "One outrigger, in the right hand.")
	case Slider:
		s = append(s, "A slider around the student.")
		if a.TroughL {
			s = append(s, "Forearm trough on the left.")
		}
		if a.TroughR {
			s = append(s, "Forearm trough on the right.")
		}
	case Poles:
		s = append(s, "Poles.")
	}
	switch a.Tie {
	case ElasticTie:
		s = append(s, "Elastic tie between the tips.")
	case RigidTie:
		s = append(s, "Rigid tie between the tips.")
	}
	if a.Spacer {
		s = append(s, "Spacer between the boots.")
	}
	if a.LiftL != "" {
		s = append(s, "Left: "+a.LiftL+".")
	}
	if a.LiftR != "" {
		s = append(s, "Right: "+a.LiftR+".")
	}
	if w := [...]string{"", "tips", "hips", "frame"}; int(a.Reins) < len(w) && a.Reins != NoReins {
		s = append(s, "Reins to the "+w[a.Reins]+".")
	}
	where := [...]string{Behind: "behind", Ahead: "ahead", AtLeft: "at the left", AtRight: "at the right"}
	for _, p := range a.People {
		if int(p.Place) < len(where) {
			s = append(s, strings.TrimSpace(p.Label+" "+where[p.Place])+".")
		}
	}
	return strings.Join(s, " ")
}
