package picture

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
)

// FootKind is the kind of thing that stands on the snow.
type FootKind uint8

// The kinds.
const (
	FootSki FootKind = iota
	FootRunner
	FootFrame
)

// Foot is one thing on the snow. Its places are centimetres from midway between
// the ankles, x to the student's right and y forward.
type Foot struct {
	Kind        FootKind
	Right       bool // the student's right
	Rear, Front Point
	Press       Point   // where the load acts on it
	Share       float64 // of the weight, 0 to 1
	Newtons     float64
}

// StanceAbove is a stance from above, drawn to scale. The student faces up the
// page, so their left is the left of the page. All places are centimetres as in
// Foot.
type StanceAbove struct {
	Feet    []Foot
	Loads   bool    // whether Share and Newtons are known; without them nothing is drawn for them
	Polygon []Point // support polygon
	Region  []Point // where legs and arms can carry the weight
	// Acts is where the weight acts, Least and Most the box it may be in.
	Acts, Least, Most Point
	// Centre is the place under the centre of mass, square to the snow.
	Centre Point
	// Downhill points down the slope in the frame, of any length; zero on level
	// ground.
	Downhill Point
	Verdict  string // whether it can be held, in a few words
}

// Sizes of the drawing from above.
const (
	stancePt    = 11.0 // points, as everything that is read on a card
	stanceText  = stancePt * MMPerPoint
	mostRadius  = 13.0 // cm of the snow: radius of the area that stands for the whole weight, at most
	skiBreadth  = 7.6  // cm
	railBreadth = 6.0  // cm: a runner, a frame's runner
	beyond      = 9.0  // cm drawn beyond the outermost place
)

// grey is the fill of the region: the band of what is allowed.
var (
	regionStyle  = Style{Fill: Band, Stroke: Black, Line: 0.25}
	polygonStyle = Style{Stroke: Black, Line: 0.5, Dash: []float64{2, 1.6}}
	lineStyle    = Style{Stroke: Black, Line: 1.1}
	hair         = Style{Stroke: Black, Line: 0.3}
	loadStyle    = Style{Stroke: Black, Line: 0.6}
	leaderStyle  = Style{Stroke: Black, Line: 0.2}
)

// radius returns how large the whole weight is drawn, cm: as large as lets no
// two loads cover each other.
func (a StanceAbove) radius() float64 {
	r := mostRadius
	for i, f := range a.Feet {
		for _, g := range a.Feet[:i] {
			if sum := math.Sqrt(math.Max(f.Share, 0)) + math.Sqrt(math.Max(g.Share, 0)); sum > 0 {
				r = math.Min(r, 0.97*math.Hypot(f.Press.X-g.Press.X, f.Press.Y-g.Press.Y)/sum)
			}
		}
	}
	return r
}

// extent returns the box of everything, in cm.
func (a StanceAbove) extent() (least, most Point) {
	least, most = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	add := func(p Point, pad float64) {
		least = Point{math.Min(least.X, p.X-pad), math.Min(least.Y, p.Y-pad)}
		most = Point{math.Max(most.X, p.X+pad), math.Max(most.Y, p.Y+pad)}
	}
	whole := a.radius()
	for _, f := range a.Feet {
		up, down := reachOf(f.Kind)
		add(f.Rear, math.Min(down, beyond))
		if f.Kind != FootSki {
			up += railBreadth // its nose
		}
		add(f.Front, math.Min(up, beyond*1.7))
		if a.Loads {
			add(f.Press, whole*math.Sqrt(math.Max(f.Share, 0))+2)
		}
	}
	for _, p := range append(a.Polygon, a.Acts, a.Least, a.Most, a.Centre) {
		add(p, 4)
	}
	return least, most
}

// Draw returns the drawing fitted into a box of this size in mm.
func (a StanceAbove) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "The stance from above, facing up the page", Desc: a.describe()}
	if len(a.Feet) == 0 {
		return d
	}
	least, most := a.extent()
	keys := a.keys(width)
	k := math.Min(a.widest(width), (height-a.foot(keys)-1)/(most.Y-least.Y))
	if !(k > 0) {
		return d
	}
	const top = 1.0
	cx := (least.X + most.X) / 2
	m := Matrix{A: k, D: -k, E: width/2 - k*cx, F: top + k*most.Y}
	v := stanceView{&d, m, k}
	bottom := top + k*(most.Y-least.Y)
	a.drawGear(v, most.Y, least.Y)
	a.drawAreas(v)
	a.drawLines(v)
	a.drawLoads(v)
	a.drawCentre(v)
	a.drawFrame(v, bottom, keys)
	return d
}

// sideRoom is what the words beside the outermost loads need, mm.
const sideRoom = 15.0

// widest returns the largest scale, mm of page per cm, that a width allows.
func (a StanceAbove) widest(width float64) float64 {
	least, most := a.extent()
	return (width - 2*sideRoom) / (most.X - least.X)
}

// foot returns the height of what stands under the picture.
func (a StanceAbove) foot(keys []string) float64 {
	return (1.6 + 1.35*float64(len(keys))) * stanceText
}

// Tallest returns the height in mm beyond which a box of this width leaves the
// drawing no larger.
func (a StanceAbove) Tallest(width float64) float64 {
	if len(a.Feet) == 0 {
		return 0
	}
	least, most := a.extent()
	return math.Max(a.widest(width), 0)*(most.Y-least.Y) + a.foot(a.keys(width)) + 1
}

// stanceView draws centimetres of the snow onto the page.
type stanceView struct {
	d *Drawing
	m Matrix
	k float64 // mm of page per cm
}

func (v stanceView) draw(o Outline, s Style) { v.d.Draw(o.Apply(v.m), s) }

// writeMM writes at a place of the page.
func (v stanceView) writeMM(x, y float64, anchor Anchor, s string, bold bool) {
	v.d.Write(Text{X: x, Y: y, Size: stancePt, Anchor: anchor, S: s, Bold: bold, Class: "label"})
}

// reachOf returns how far a thing is drawn beyond the line it presses on, cm
// ahead and behind; a ski runs out of the picture.
func reachOf(k FootKind) (ahead, behind float64) {
	switch k {
	case FootRunner:
		return 9, 10
	case FootFrame:
		return 6, 3
	}
	return 70, 55
}

// drawGear draws skis and runners as open rails that run out of the picture.
func (a StanceAbove) drawGear(v stanceView, top, bottom float64) {
	for _, f := range a.Feet {
		half := skiBreadth / 2
		up, down := reachOf(f.Kind)
		if f.Kind != FootSki {
			half = railBreadth / 2
		}
		dx, dy := f.Front.X-f.Rear.X, f.Front.Y-f.Rear.Y
		n := math.Hypot(dx, dy)
		if n < 1 {
			dx, dy, n = 0, 1, 1
		}
		ux, uy := dx/n, dy/n
		if f.Kind == FootSki { // to the edges of the picture, or as long as a ski
			up = math.Min(up, (top-1-f.Front.Y)/math.Max(uy, 0.2))
			down = math.Min(down, (f.Rear.Y-bottom-1)/math.Max(uy, 0.2))
		}
		front := Point{f.Front.X + ux*up, f.Front.Y + uy*up}
		rear := Point{f.Rear.X - ux*down, f.Rear.Y - uy*down}
		ox, oy := -uy*half, ux*half
		v.draw(Polyline(Point{rear.X + ox, rear.Y + oy}, Point{front.X + ox, front.Y + oy}), hair)
		v.draw(Polyline(Point{rear.X - ox, rear.Y - oy}, Point{front.X - ox, front.Y - oy}), hair)
		if f.Kind != FootSki {
			nose := Point{front.X + ux*half*1.6, front.Y + uy*half*1.6}
			v.draw(Polyline(Point{front.X + ox, front.Y + oy}, nose, Point{front.X - ox, front.Y - oy}), hair)
			v.draw(Polyline(Point{rear.X + ox, rear.Y + oy}, Point{rear.X - ox, rear.Y - oy}), hair)
		}
	}
}

func (a StanceAbove) drawAreas(v stanceView) {
	if len(a.Region) > 2 {
		v.draw(Polygon(a.Region...), regionStyle)
	}
	if len(a.Polygon) > 1 {
		v.draw(Polygon(a.Polygon...), polygonStyle)
	}
}

// drawLines draws what each thing can press on.
func (a StanceAbove) drawLines(v stanceView) {
	for _, f := range a.Feet {
		if math.Hypot(f.Front.X-f.Rear.X, f.Front.Y-f.Rear.Y) < 0.5 {
			v.draw(Circle(f.Rear.X, f.Rear.Y, 0.8/v.k), solid)
			continue
		}
		v.draw(Line(f.Rear.X, f.Rear.Y, f.Front.X, f.Front.Y), lineStyle)
	}
}

// drawLoads draws each load as an area and writes it beside.
func (a StanceAbove) drawLoads(v stanceView) {
	if !a.Loads {
		return
	}
	whole := a.radius()
	for _, f := range a.Feet {
		if r := whole * math.Sqrt(math.Max(f.Share, 0)); r*v.k > 0.3 {
			v.draw(Circle(f.Press.X, f.Press.Y, r), loadStyle)
			v.draw(Circle(f.Press.X, f.Press.Y, 0.5/v.k), solid)
		}
	}
	a.writeLoads(v, whole)
}

// loadLabel is what is written of one load.
type loadLabel struct {
	circle Point // on the page
	radius float64
	y      float64 // middle of the words
	force  string
	share  string
}

// scaleWords is what the scale's length and the word beyond it need, mm.
const scaleWords = 24.0

// labelHigh is the height of the two lines of a load, mm.
const labelHigh = 2.3 * stanceText

// writeLoads writes the loads of each side in a column outside everything, from
// ahead to behind, each with a line to its circle. So no words cover each
// other, however narrow the stance.
func (a StanceAbove) writeLoads(v stanceView, whole float64) {
	least, most := a.extent()
	top, bottom := v.m.On(most).Y, v.m.On(least).Y
	for _, right := range []bool{false, true} {
		var column []loadLabel
		for _, f := range a.Feet {
			if f.Right != right {
				continue
			}
			at := v.m.On(f.Press)
			column = append(column, loadLabel{at, whole * math.Sqrt(math.Max(f.Share, 0)) * v.k, at.Y,
				strconv.Itoa(int(math.Round(f.Newtons))) + " N", strconv.Itoa(int(math.Round(100*f.Share))) + " %"})
		}
		slices.SortStableFunc(column, func(x, y loadLabel) int { return cmp.Compare(x.y, y.y) })
		apart(column, top, bottom)
		x, anchor, out := v.m.On(least).X, End, -1.0
		if right {
			x, anchor, out = v.m.On(most).X, Start, 1
		}
		for _, l := range column {
			from := Point{x + out*0.4, l.y}
			if d := math.Hypot(l.circle.X-from.X, l.circle.Y-from.Y); d > l.radius+0.8 {
				k := (d - l.radius) / d
				v.d.Draw(Line(from.X, from.Y, from.X+(l.circle.X-from.X)*k, from.Y+(l.circle.Y-from.Y)*k), leaderStyle)
			}
			v.writeMM(x+out*1.2, l.y-stanceText*0.15, anchor, l.force, true)
			v.writeMM(x+out*1.2, l.y+stanceText*0.95, anchor, l.share, false)
		}
	}
}

// apart moves labels, sorted from above, so far that none covers another, and
// keeps them between top and bottom.
func apart(column []loadLabel, top, bottom float64) {
	for i := range column {
		floor := top + labelHigh/2
		if i > 0 {
			floor = column[i-1].y + labelHigh
		}
		column[i].y = math.Max(column[i].y, floor)
	}
	for i := len(column) - 1; i >= 0; i-- {
		ceiling := bottom - labelHigh/2
		if i < len(column)-1 {
			ceiling = column[i+1].y - labelHigh
		}
		column[i].y = math.Min(column[i].y, ceiling)
	}
}

// drawCentre draws where the weight acts, with what is open about it.
func (a StanceAbove) drawCentre(v stanceView) {
	at := v.m.On(a.Acts)
	wide, tall := (a.Most.X-a.Least.X)/2, (a.Most.Y-a.Least.Y)/2
	if wide*v.k > 0.3 || tall*v.k > 0.3 {
		mid := Point{(a.Most.X + a.Least.X) / 2, (a.Most.Y + a.Least.Y) / 2}
		v.draw(Ellipse(mid.X, mid.Y, math.Max(wide, 0.3/v.k), math.Max(tall, 0.3/v.k)), Style{Fill: White, Stroke: Black, Line: 0.45})
	}
	if math.Hypot(a.Acts.X-a.Centre.X, a.Acts.Y-a.Centre.Y)*v.k > 1.5 {
		v.draw(Line(a.Centre.X, a.Centre.Y, a.Acts.X, a.Acts.Y), Style{Stroke: Black, Line: 0.5})
		v.draw(Circle(a.Centre.X, a.Centre.Y, 1.1/v.k), outer)
	}
	// The arms of the cross reach out of what is open about it.
	armX, armY := math.Max(2, wide*v.k+1), math.Max(2, tall*v.k+1)
	cross := Style{Stroke: Black, Line: 0.45, Butt: true}
	v.d.Draw(Line(at.X-armX, at.Y, at.X+armX, at.Y), cross)
	v.d.Draw(Line(at.X, at.Y-armY, at.X, at.Y+armY), cross)
}

// keys explains the marks, as many lines as the width asks for.
func (a StanceAbove) keys(width float64) []string {
	words := []string{"Cross: where the weight acts."}
	if a.Loads {
		words = append(words, "Circles: loads, by area.")
	}
	if len(a.Region) > 2 {
		words = append(words, "Grey: where legs and arms can carry it.")
	} else {
		words = append(words, "Legs and arms cannot carry it anywhere.")
	}
	words = append(words, "Dashed: support polygon.")
	var lines []string
	line := ""
	for _, w := range words {
		if line != "" && 0.5*stanceText*float64(len(line)+len(w)+1) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + w)
	}
	lines = append(lines, line)
	if a.Verdict != "" {
		lines = append([]string{a.Verdict}, lines...)
	}
	if a.Downhill != (Point{}) {
		lines = append(lines, downhillKey)
	}
	return lines
}

// downhillKey is the line of the keys that has an arrow.
const downhillKey = "downhill"

// drawFrame writes the sides, the scale and the keys.
func (a StanceAbove) drawFrame(v stanceView, bottom float64, keys []string) {
	y := bottom + stanceText*0.9
	v.writeMM(0, y, Start, "left", true)
	v.writeMM(v.d.Width, y, End, "right", true)
	length := 10.0
	for _, l := range []float64{20, 50, 100} {
		if l*v.k < 24 && l*v.k/2+scaleWords < v.d.Width/2 {
			length = l
		}
	}
	half := length * v.k / 2
	mid := v.d.Width / 2
	bar := Style{Stroke: Black, Line: 0.5, Butt: true}
	v.d.Draw(Line(mid-half, y-0.4, mid+half, y-0.4), bar)
	for _, x := range []float64{mid - half, mid + half} {
		v.d.Draw(Line(x, y-1.6, x, y+0.6), bar)
	}
	label := strconv.Itoa(int(length)) + " cm"
	v.writeMM(mid+half+1.2, y, Start, label, false)
	for i, line := range keys {
		at := y + stanceText*1.35*float64(i+1)
		if line == downhillKey {
			n := math.Hypot(a.Downhill.X, a.Downhill.Y)
			arrow(v.d, Point{3, at - stanceText*0.35}, a.Downhill.X/n, -a.Downhill.Y/n, 2.6)
			v.writeMM(8, at, Start, line, false)
			continue
		}
		v.writeMM(0, at, Start, line, i == 0 && a.Verdict != "")
	}
}

// arrow draws an arrow about a middle, along a direction of length one.
func arrow(d *Drawing, c Point, ux, uy, half float64) {
	tip, tail := Point{c.X + half*ux, c.Y + half*uy}, Point{c.X - half*ux, c.Y - half*uy}
	d.Draw(Line(tail.X, tail.Y, tip.X-half*0.6*ux, tip.Y-half*0.6*uy), Style{Stroke: Black, Line: 0.7, Butt: true})
	d.Draw(Polygon(tip, Point{tip.X - 2.4*ux - 1.1*uy, tip.Y - 2.4*uy + 1.1*ux}, Point{tip.X - 2.4*ux + 1.1*uy, tip.Y - 2.4*uy - 1.1*ux}), solid)
}

// Mirror returns the same stance with left and right swapped.
func (a StanceAbove) Mirror() StanceAbove {
	flip := func(p Point) Point { return Point{-p.X + 0, p.Y} }
	all := func(ps []Point) []Point {
		var out []Point
		for _, p := range ps {
			out = append(out, flip(p))
		}
		return out
	}
	out := a
	out.Feet = nil
	for _, f := range a.Feet {
		f.Right, f.Rear, f.Front, f.Press = !f.Right, flip(f.Rear), flip(f.Front), flip(f.Press)
		out.Feet = append(out.Feet, f)
	}
	out.Polygon, out.Region = all(a.Polygon), all(a.Region)
	out.Acts, out.Centre, out.Downhill = flip(a.Acts), flip(a.Centre), flip(a.Downhill)
	out.Least, out.Most = Point{-a.Most.X + 0, a.Least.Y}, Point{-a.Least.X + 0, a.Most.Y}
	return out
}

// describe says the drawing in sentences.
func (a StanceAbove) describe() string {
	var s []string
	for _, f := range a.Feet {
		name := "left "
		if f.Right {
			name = "right "
		}
		name += [...]string{FootSki: "ski", FootRunner: "outrigger", FootFrame: "slider runner"}[f.Kind]
		if a.Loads {
			name += " " + strconv.Itoa(int(math.Round(f.Newtons))) + " N, " + strconv.Itoa(int(math.Round(100*f.Share))) + " %"
		}
		s = append(s, strings.ToUpper(name[:1])+name[1:]+".")
	}
	if a.Verdict != "" {
		s = append(s, a.Verdict)
	}
	return strings.Join(s, " ")
}
