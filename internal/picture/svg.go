package picture

import (
	"html"
	"math"
	"strconv"
	"strings"
)

// FontFamily is the list of font families an SVG text asks for.
const FontFamily = "Atkinson Hyperlegible Next, Noto Sans, sans-serif"

var inkColour = [...]string{NoInk: "none", Black: "#000", White: "#fff", Band: "#d9d9d9"}

// SVG returns the drawing as a stand-alone SVG element, sized in millimetres
// and drawn in millimetre units. Everything that came in as text is escaped;
// numbers are rounded to 0.01 mm. The same drawing always gives the same
// bytes.
func (d Drawing) SVG() string {
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" role="img" width="` + num(d.Width) + `mm" height="` + num(d.Height) +
		`mm" viewBox="0 0 ` + num(d.Width) + ` ` + num(d.Height) + `" font-family="` + FontFamily + `">`)
	if d.Title != "" {
		b.WriteString("<title>" + html.EscapeString(d.Title) + "</title>")
	}
	if d.Desc != "" {
		b.WriteString("<desc>" + html.EscapeString(d.Desc) + "</desc>")
	}
	for _, op := range d.Ops {
		switch o := op.(type) {
		case Path:
			writePath(&b, o)
		case Text:
			writeText(&b, o)
		}
	}
	b.WriteString("</svg>")
	return b.String()
}

func writePath(b *strings.Builder, p Path) {
	b.WriteString(`<path d="`)
	for i, s := range p.Outline {
		if i > 0 {
			b.WriteByte(' ')
		}
		switch s.Kind {
		case MoveTo:
			b.WriteString("M" + pair(s.To))
		case LineTo:
			b.WriteString("L" + pair(s.To))
		case CurveTo:
			b.WriteString("C" + pair(s.C1) + " " + pair(s.C2) + " " + pair(s.To))
		case Close:
			b.WriteByte('Z')
		}
	}
	b.WriteString(`" fill="` + inkColour[p.Fill] + `"`)
	if p.Stroke != NoInk {
		b.WriteString(` stroke="` + inkColour[p.Stroke] + `" stroke-width="` + num(p.Line) + `"`)
		if !p.Butt {
			b.WriteString(` stroke-linecap="round" stroke-linejoin="round"`)
		}
		if len(p.Dash) > 0 {
			parts := make([]string, len(p.Dash))
			for i, v := range p.Dash {
				parts[i] = num(v)
			}
			b.WriteString(` stroke-dasharray="` + strings.Join(parts, " ") + `"`)
		}
	}
	b.WriteString("/>")
}

func writeText(b *strings.Builder, t Text) {
	b.WriteString(`<text x="` + num(t.X) + `" y="` + num(t.Y) + `" font-size="` + num(t.Size*MMPerPoint) + `"`)
	if t.Bold {
		b.WriteString(` font-weight="700"`)
	} else {
		b.WriteString(` font-weight="500"`)
	}
	switch t.Anchor {
	case Middle:
		b.WriteString(` text-anchor="middle"`)
	case End:
		b.WriteString(` text-anchor="end"`)
	}
	if t.Ink != Black && t.Ink != NoInk {
		b.WriteString(` fill="` + inkColour[t.Ink] + `"`)
	}
	if t.Class != "" {
		b.WriteString(` class="` + html.EscapeString(t.Class) + `"`)
	}
	b.WriteString(">" + html.EscapeString(t.S) + "</text>")
}

func pair(p Point) string { return num(p.X) + "," + num(p.Y) }

// num writes a length rounded to 0.01, without trailing zeros and never "-0".
func num(v float64) string {
	r := math.Round(v*100) / 100
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}
