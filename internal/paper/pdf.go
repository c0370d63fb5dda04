package paper

import (
	"io"
	"time"

	"firnhand/internal/picture"

	"codeberg.org/go-pdf/fpdf"
)

// PDF writes a drawing as a PDF of one page of its size, with the fonts it
// uses embedded and its title as the document's. The same drawing and time give
// the same bytes.
func PDF(w io.Writer, d picture.Drawing, made time.Time) error {
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: d.Width, Ht: d.Height}})
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCatalogSort(true)
	f.SetCreationDate(made)
	f.SetModificationDate(made)
	f.SetProducer("Firnhand", false)
	f.SetTitle(d.Title, true)
	f.SetLang("en")
	f.AddPage()
	p := pdfWriter{f, map[*face]bool{}}
	for _, op := range d.Ops {
		switch o := op.(type) {
		case picture.Path:
			p.path(o)
		case picture.Text:
			p.text(o)
		}
	}
	return f.Output(w)
}

// pdfWriter walks a drawing's ops onto a page.
type pdfWriter struct {
	f     *fpdf.Fpdf
	added map[*face]bool
}

var grey = [...]int{picture.NoInk: 0, picture.Black: 0, picture.White: 255, picture.Band: 217}

func (p pdfWriter) path(o picture.Path) {
	how := ""
	if o.Fill != picture.NoInk {
		g := grey[o.Fill]
		p.f.SetFillColor(g, g, g)
		how = "F"
	}
	if o.Stroke != picture.NoInk {
		g := grey[o.Stroke]
		p.f.SetDrawColor(g, g, g)
		p.f.SetLineWidth(o.Line)
		style, join := "round", "round"
		if o.Butt {
			style, join = "butt", "miter"
		}
		p.f.SetLineCapStyle(style)
		p.f.SetLineJoinStyle(join)
		p.f.SetDashPattern(o.Dash, 0)
		how += "D"
	}
	for _, s := range o.Outline {
		switch s.Kind {
		case picture.MoveTo:
			p.f.MoveTo(s.To.X, s.To.Y)
		case picture.LineTo:
			p.f.LineTo(s.To.X, s.To.Y)
		case picture.CurveTo:
			p.f.CurveBezierCubicTo(s.C1.X, s.C1.Y, s.C2.X, s.C2.Y, s.To.X, s.To.Y)
		case picture.Close:
			p.f.ClosePath()
		}
	}
	p.f.DrawPath(how)
}

func (p pdfWriter) text(t picture.Text) {
	x := t.X
	switch t.Anchor {
	case picture.Middle:
		x -= Width(t.S, t.Size, t.Bold) / 2
	case picture.End:
		x -= Width(t.S, t.Size, t.Bold)
	}
	g := grey[t.Ink]
	p.f.SetTextColor(g, g, g)
	for _, r := range runs(t.S, t.Bold) {
		if !p.added[r.face] {
			p.f.AddUTF8FontFromBytes(r.face.name, "", r.face.ttf)
			p.added[r.face] = true
		}
		p.f.SetFont(r.face.name, "", t.Size)
		p.f.Text(x, t.Y, r.s)
		x += r.width * t.Size * picture.MMPerPoint
	}
}
