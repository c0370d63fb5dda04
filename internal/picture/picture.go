// Package picture draws: it holds a small vector display list, the shapes that
// fill it, and the drawings built from them. One Drawing serves the screen (as
// SVG) and paper (a PDF writer walks its Ops), so both show the same lines.
//
// Lengths are millimetres, x to the right and y down the page; text sizes are
// points. There are only two kinds of Op, Path and Text: a circle or a
// rectangle is a Path by the time it is in the list, which keeps every writer
// short. Ink is black, white, or the one light band that marks an expected
// range; no meaning rests on it.
//
// The package knows nothing of students, time or storage.
package picture

import "math"

// MMPerPoint is the length of one typographic point in millimetres (1/72 inch).
const MMPerPoint = 25.4 / 72

// Ink is what a shape is filled or stroked with.
type Ink uint8

// The inks. The zero Ink draws nothing.
const (
	NoInk Ink = iota
	Black
	White
	Band // light grey, only for the band of an expected range
)

// Drawing is a display list with its size. The zero value is an empty drawing
// of no size. Ops are painted in order, later ones over earlier ones.
type Drawing struct {
	Width, Height float64 // mm
	Title         string  // what it shows, in a few words; read out instead of the drawing
	Desc          string  // the same content in sentences, for those who cannot see it
	Ops           []Op
}

// Op is one painted thing: a Path or a Text.
type Op interface{ isOp() }

// Path is an outline, filled and then stroked.
type Path struct {
	Outline Outline
	Style
}

// Style says how an outline is painted.
type Style struct {
	Fill   Ink
	Stroke Ink
	Line   float64   // stroke width, mm
	Dash   []float64 // lengths on, off, on ... in mm; nil for an unbroken line
	Butt   bool      // square-cut line ends instead of round ones
}

// Anchor says which point of a text lies at its X.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text. Y is its baseline. It is always upright.
type Text struct {
	X, Y   float64 // mm
	Size   float64 // pt
	Bold   bool
	Anchor Anchor
	Ink    Ink // NoInk counts as Black
	S      string
	Class  string // what kind of text it is, for style sheets and for tests of sizes; may be empty
}

func (Path) isOp() {}
func (Text) isOp() {}

// Draw adds an outline. A stroke with no width draws nothing and is dropped.
func (d *Drawing) Draw(o Outline, s Style) {
	if s.Line <= 0 {
		s.Stroke = NoInk
	}
	if len(o) == 0 || s.Fill == NoInk && s.Stroke == NoInk {
		return
	}
	d.Ops = append(d.Ops, Path{o, s})
}

// Write adds a text; an empty one is dropped.
func (d *Drawing) Write(t Text) {
	if t.S == "" {
		return
	}
	if t.Ink == NoInk {
		t.Ink = Black
	}
	d.Ops = append(d.Ops, t)
}

// Place adds a copy of another drawing with its top left corner at x, y.
func (d *Drawing) Place(sub Drawing, x, y float64) {
	for _, op := range sub.Ops {
		switch o := op.(type) {
		case Path:
			o.Outline = o.Outline.Apply(Move(x, y))
			d.Ops = append(d.Ops, o)
		case Text:
			o.X += x
			o.Y += y
			d.Ops = append(d.Ops, o)
		}
	}
}

// Mirror returns the drawing with left and right swapped; text stays readable.
func (d Drawing) Mirror() Drawing {
	out := d
	out.Ops = make([]Op, len(d.Ops))
	m := Matrix{A: -1, D: 1, E: d.Width}
	for i, op := range d.Ops {
		switch o := op.(type) {
		case Path:
			o.Outline = o.Outline.Apply(m)
			out.Ops[i] = o
		case Text:
			o.X = d.Width - o.X
			switch o.Anchor {
			case Start:
				o.Anchor = End
			case End:
				o.Anchor = Start
			}
			out.Ops[i] = o
		}
	}
	return out
}

// Bounds returns the box that holds every path of the drawing, strokes
// included, judged by control points (so never too small). Text is not
// counted: its width depends on the font. An empty drawing gives zeros.
func (d Drawing) Bounds() (left, top, right, bottom float64) {
	left, top = math.Inf(1), math.Inf(1)
	right, bottom = math.Inf(-1), math.Inf(-1)
	for _, op := range d.Ops {
		p, ok := op.(Path)
		if !ok {
			continue
		}
		pad := 0.0
		if p.Stroke != NoInk {
			pad = p.Line / 2
		}
		for _, s := range p.Outline {
			for _, q := range s.points() {
				left, right = math.Min(left, q.X-pad), math.Max(right, q.X+pad)
				top, bottom = math.Min(top, q.Y-pad), math.Max(bottom, q.Y+pad)
			}
		}
	}
	if left > right {
		return 0, 0, 0, 0
	}
	return left, top, right, bottom
}
