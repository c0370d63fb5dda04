package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"

	"firnhand/core/binding"
	"firnhand/core/source"
	"firnhand/internal/paper"
	"firnhand/internal/picture"
)

// Request is a request to the technician as it is printed.
type Request struct {
	Name    string          // name used; at most 60 characters
	Code    string          // leads back to the record; at most 40 characters
	Day     time.Time       // the day it was asked; only the date counts
	MadeAt  time.Time       // also the creation date of the PDF
	Version string          // of the program; may be empty
	Sheet   binding.Request // what is asked
}

// Error is a refused sheet: a code for programs and a sentence for people.
type Error struct{ Code, Sentence string }

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

// PDF writes the request as a PDF of one A4 page. The same request gives the
// same bytes. What does not fit is refused with an *Error, never cut.
func PDF(w io.Writer, r Request) error {
	d, err := Draw(r)
	if err != nil {
		return err
	}
	return paper.PDF(w, d, r.MadeAt)
}

// The page and its type. A4 is ISO 216; sizes are chosen to be read at a bench
// (common practice, no source).
const (
	pageW, pageH = 210.0, 297.0
	margin       = 15.0
	textW        = pageW - 2*margin
	titlePt      = 16.0
	headPt       = 11.0
	leastPt      = 8.0
	mostPt       = 10.5
	stepPt       = 0.5
	smallest     = 8.0 // of the foot
	boxH         = 7.5 // height of a box to write in, mm
)

// Draw lays the request out, in the largest type that fits.
func Draw(r Request) (picture.Drawing, error) {
	if strings.TrimSpace(r.Name) == "" {
		return picture.Drawing{}, &Error{"missing", "The request needs the skier's name."}
	}
	r = r.printable()
	for pt := mostPt; pt >= leastPt; pt -= stepPt {
		p := &page{pt: pt}
		p.d = picture.Drawing{Width: pageW, Height: pageH, Title: "Request to a certified binding technician"}
		p.request(r)
		if p.y <= p.foot(r) {
			return p.d, nil
		}
	}
	return picture.Drawing{}, &Error{"sheet_full", "This does not fit on one page even in the smallest type: shorten the models and notes."}
}

// printable replaces what is in a script that no font of the sheet has.
func (r Request) printable() Request {
	const elsewhere = "(in the record)"
	for _, s := range []*string{&r.Name, &r.Sheet.AskedBy, &r.Sheet.Left.Boot, &r.Sheet.Left.Binding, &r.Sheet.Left.Ski, &r.Sheet.Left.Plate,
		&r.Sheet.Right.Boot, &r.Sheet.Right.Binding, &r.Sheet.Right.Ski, &r.Sheet.Right.Plate} {
		if !paper.Covered(*s) {
			*s = elsewhere
		}
	}
	return r
}

// page is a sheet being laid out from the top down.
type page struct {
	d  picture.Drawing
	y  float64 // where the next thing begins, mm
	pt float64
}

func (p *page) lead() float64 { return p.pt * picture.MMPerPoint * 1.28 }

func (p *page) text(x, y, size float64, bold bool, s string) {
	p.d.Write(picture.Text{X: x, Y: y, Size: size, Bold: bold, S: s})
}

func (p *page) rule(y, thick float64) { p.line(margin, y, pageW-margin, y, thick) }

func (p *page) line(x1, y1, x2, y2, thick float64) {
	p.d.Draw(picture.Line(x1, y1, x2, y2), picture.Style{Stroke: picture.Black, Line: thick, Butt: true})
}

// wrap breaks text into lines no wider than w.
func wrap(s string, size float64, bold bool, w float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		joined := strings.TrimSpace(line + " " + word)
		if line != "" && paper.Width(joined, size, bold) > w {
			lines, line = append(lines, line), word
		} else {
			line = joined
		}
		for paper.Width(line, size, bold) > w { // one long word
			runes, n := []rune(line), len([]rune(line))-1
			for n > 1 && paper.Width(string(runes[:n]), size, bold) > w {
				n--
			}
			lines, line = append(lines, string(runes[:n])), string(runes[n:])
		}
	}
	return append(lines, line)
}

// para writes wrapped text at x and moves on.
func (p *page) para(x, w float64, bold bool, s string) {
	for _, l := range wrap(s, p.pt, bold, w) {
		p.y += p.lead()
		p.text(x, p.y-0.28*p.lead(), p.pt, bold, l)
	}
}

// bullet writes wrapped text beside a dash.
func (p *page) bullet(s string) {
	p.text(margin+1, p.y+0.72*p.lead(), p.pt, false, "-")
	p.para(margin+4, textW-4, false, s)
	p.y += 0.3
}

func (p *page) head(s string) {
	p.y += 2.2
	p.rule(p.y, 0.4)
	p.y += headPt * picture.MMPerPoint * 1.25
	p.text(margin, p.y-0.6, headPt, true, s)
	p.y += 0.8
}

func (p *page) request(r Request) {
	p.y = margin + 4
	p.text(margin, p.y, titlePt, true, "Request to a certified binding technician")
	p.y += 2
	p.para(margin, textW, true, r.Sheet.Cautions[0])
	p.identity(r)
	p.skier(r.Sheet)
	p.gear(r.Sheet)
	p.reasons(r.Sheet)
	p.answer(r.Sheet)
	p.head("Cautions")
	for _, c := range r.Sheet.Cautions[1:] {
		p.bullet(c)
	}
}

// columns writes labelled values side by side, each in its share of the width.
func (p *page) columns(cells [][2]string, shares []float64) {
	x, top, bottom := margin, p.y, p.y
	for i, c := range cells {
		w := textW * shares[i]
		p.y = top
		p.text(x, p.y+0.72*p.lead()*0.9, p.pt*0.9, false, c[0])
		p.y += 0.9 * p.lead()
		p.para(x, w-2, true, c[1])
		bottom = max(bottom, p.y)
		x += w
	}
	p.y = bottom + 0.6
}

func (p *page) identity(r Request) {
	p.y += 1.2
	p.columns([][2]string{{"Skier", r.Name}, {"Asked on", r.Day.Format("Mon 2 Jan 2006")}, {"Asked by", or(r.Sheet.AskedBy, "not written")}, {"Request", or(r.Code, "-")}},
		[]float64{0.3, 0.2, 0.25, 0.25})
}

func or(s, otherwise string) string {
	if strings.TrimSpace(s) == "" {
		return otherwise
	}
	return s
}

const blank = "not known: ______"

func amount(v *float64, unit string) string {
	if v == nil {
		return blank + " " + unit
	}
	return trim(*v) + " " + unit
}

func trim(v float64) string {
	s := strings.TrimRight(fmt.Sprintf("%.2f", v), "0")
	return strings.TrimSuffix(s, ".")
}

func (p *page) skier(s binding.Request) {
	p.head("The skier")
	last, lent := or(s.LastTest, "not known"), "not said"
	if s.Lent != nil {
		lent = map[bool]string{true: "lent by the programme", false: "the skier's own"}[*s.Lent]
	}
	p.columns([][2]string{{"Mass", amount(s.MassKG, "kg")}, {"Height", amount(s.HeightCM, "cm")}, {"Age", amount(s.AgeYears, "years")}, {"Last test", last}, {"Gear", lent}},
		[]float64{0.2, 0.2, 0.2, 0.18, 0.22})
	p.para(margin, textW, false, "The skier's own declaration: "+s.TypeSays+".")
}

// gear is the table of both sides, the skier's left at the left.
func (p *page) gear(s binding.Request) {
	p.head("Boots, bindings, skis")
	const labelW = 50.0
	half := (textW - labelW) / 2
	plate := func(g binding.Side) string {
		switch {
		case g.Plate == "":
			return "not looked at"
		case g.PlateMM > 0:
			return g.Plate + ", " + trim(g.PlateMM) + " mm"
		}
		return g.Plate
	}
	sole := func(g binding.Side) string {
		if g.SoleMM == 0 {
			return blank + " mm"
		}
		return trim(g.SoleMM) + " mm"
	}
	rows := [][3]string{
		{"Sole length, as printed", sole(s.Left), sole(s.Right)},
		{"Standard on the sole", s.Left.Standard.Says(), s.Right.Standard.Says()},
		{"Boot", or(s.Left.Boot, "not written"), or(s.Right.Boot, "not written")},
		{"Binding", or(s.Left.Binding, "not written"), or(s.Right.Binding, "not written")},
		{"Ski", or(s.Left.Ski, "not written"), or(s.Right.Ski, "not written")},
		{"Plate or lift under boot or binding", plate(s.Left), plate(s.Right)},
	}
	for i := range rows {
		if s.OnlySki == "right" {
			rows[i][1] = "no ski"
		}
		if s.OnlySki == "left" {
			rows[i][2] = "no ski"
		}
	}
	p.row([3]string{"", "Left (the skier's)", "Right (the skier's)"}, labelW, half, true)
	p.y += 0.5
	for i, r := range rows {
		if i > 0 {
			p.y += 0.3
			p.rule(p.y, 0.1)
			p.y += 0.5
		}
		p.row(r, labelW, half, false)
	}
}

func (p *page) row(cells [3]string, labelW, half float64, bold bool) {
	top, bottom := p.y, p.y
	for i, c := range cells {
		x, w := margin, labelW
		if i > 0 {
			x, w = margin+labelW+float64(i-1)*half, half
		}
		p.y = top
		p.para(x, w-2, bold || i > 0, c)
		bottom = max(bottom, p.y)
	}
	p.y = bottom
}

// reasons lists why the usual table may not apply, left and right together.
func (p *page) reasons(s binding.Request) {
	p.head("Why the usual table may not apply")
	for _, one := range binding.Together(s.Reasons) {
		p.bullet(one.Say + " (" + basis(one.Basis) + ")")
	}
	if len(s.Reasons) == 0 {
		p.bullet("No reason was found so far.")
	}
	if len(s.NotKnown) > 0 {
		p.bullet("Not known yet: " + strings.Join(s.NotKnown, "; ") + ".")
	}
	if len(s.Missing) > 0 {
		p.bullet("Missing on this sheet: " + strings.Join(s.Missing, "; ") + ".")
	}
}

// basis names the works behind a reason, shortly.
func basis(marks []string) string {
	var out []string
	for _, m := range marks {
		switch w, ok := source.Reference(m); {
		case m == "CP":
			out = append(out, "common practice, no source")
		case m == "D":
			out = append(out, "derived, no source")
		case ok:
			name, _, _ := strings.Cut(w.Text, ",")
			out = append(out, name)
		}
	}
	return strings.Join(out, "; ")
}

// answer is the table that the technician fills in by hand.
func (p *page) answer(s binding.Request) {
	p.head("Filled in by the technician")
	const labelW = 50.0
	half := (textW - labelW) / 2
	p.row([3]string{"", "Left (the skier's)", "Right (the skier's)"}, labelW, half, true)
	p.y += 0.5
	for _, r := range []struct {
		label string
		boxes int
	}{{"Indicator value, toe", 1}, {"Indicator value, heel", 1}, {"Twist (N m), three tests", 3}, {"Forward lean (N m), three", 3}} {
		top := p.y + 0.5
		p.text(margin, top+boxH*0.64, p.pt, false, r.label)
		for side := range 2 {
			if side == 0 && s.OnlySki == "right" || side == 1 && s.OnlySki == "left" {
				p.text(margin+labelW+float64(side)*half, top+boxH*0.64, p.pt, true, "no ski")
				continue
			}
			const boxW = 18.0
			for i := range r.boxes {
				x := margin + labelW + float64(side)*half + float64(i)*(boxW+2)
				p.d.Draw(picture.Rect(x, top, boxW, boxH, 0), picture.Style{Stroke: picture.Black, Line: 0.3})
			}
		}
		p.y = top + boxH
	}
	p.y += 1.5
	p.sign([]string{"Instrument", "Day of the test", "Valid until"})
	p.sign([]string{"Name, in block letters", "Signature of the certified technician"})
}

// sign draws lines to write on, each with its label below.
func (p *page) sign(labels []string) {
	p.y += 8
	w := (textW - 6*float64(len(labels)-1)) / float64(len(labels))
	for i, l := range labels {
		x := margin + float64(i)*(w+6)
		p.line(x, p.y, x+w, p.y, 0.3)
		p.text(x, p.y+3.4, leastPt, false, l)
	}
	p.y += 3.6
}

// foot writes the last lines and returns where they begin.
func (p *page) foot(r Request) float64 {
	y := pageH - margin
	trace := "Firnhand " + r.Version
	p.text(margin, y, smallest, false, strings.TrimSpace(trace)+", made "+r.MadeAt.Format("2006-01-02 15:04")+". Health data: keep it with the work, then shred it.")
	return y - smallest*picture.MMPerPoint - 1
}
