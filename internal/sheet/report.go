package sheet

import (
	"io"
	"strings"
	"time"

	"firnhand/internal/paper"
	"firnhand/internal/picture"
)

// Report is a page for people: a title, then blocks of words, rows and drawings.
type Report struct {
	Title   string
	Lead    string // in large type under the title; may be empty
	Blocks  []Block
	Foot    string // small, at the bottom
	MadeAt  time.Time
	Version string
}

// Block is one part of a report.
type Block struct {
	Heading string
	Lines   []string // paragraphs; each a bullet where Bullets
	Bullets bool
	Rows    [][2]string // a label and what it says
	// Drawing is placed at the full width of the text; nil for none.
	Drawing func(width float64) picture.Drawing
	// Frame leaves an empty frame of this height in mm, such as for a photo.
	Frame float64
}

// ReportPDF writes a report as a PDF of one A4 page. The same report gives the
// same bytes. What does not fit is refused with an *Error, never cut.
func ReportPDF(w io.Writer, r Report) error {
	d, err := DrawReport(r)
	if err != nil {
		return err
	}
	return paper.PDF(w, d, r.MadeAt)
}

// reportPt is the largest type of a report.
const reportPt = 12.0

// DrawReport lays a report out, in the largest type that fits.
func DrawReport(r Report) (picture.Drawing, error) {
	if strings.TrimSpace(r.Title) == "" {
		return picture.Drawing{}, &Error{"missing", "The report needs a title."}
	}
	for pt := reportPt; pt >= leastPt; pt -= stepPt {
		p := &page{pt: pt}
		p.d = picture.Drawing{Width: pageW, Height: pageH, Title: r.Title}
		p.report(r)
		if p.y <= pageH-margin-8 {
			return p.d, nil
		}
	}
	return picture.Drawing{}, &Error{"sheet_full", "This does not fit on one page even in the smallest type."}
}

// covered replaces what is in a script that no font of the sheet has.
func covered(s string) string {
	if paper.Covered(s) {
		return s
	}
	return "(in the record)"
}

func (p *page) report(r Report) {
	p.y = margin + 6
	p.text(margin, p.y, titlePt+4, true, covered(r.Title))
	p.y += 3
	if r.Lead != "" {
		pt := p.pt
		p.pt = pt + 2
		p.para(margin, textW, false, covered(r.Lead))
		p.pt = pt
		p.y++
	}
	for _, b := range r.Blocks {
		p.block(b)
	}
	foot := r.Foot
	if r.Version != "" {
		foot = strings.TrimSpace(foot + " Firnhand " + r.Version + ".")
	}
	y := pageH - margin
	lines := wrap(foot, smallest, false, textW)
	for i := len(lines) - 1; i >= 0; i-- {
		p.text(margin, y, smallest, false, lines[i])
		y -= smallest * picture.MMPerPoint * 1.3
	}
	p.y += float64(len(lines)-1) * smallest * picture.MMPerPoint * 1.3
}

func (p *page) block(b Block) {
	if b.Heading != "" {
		p.head(b.Heading)
	}
	for _, l := range b.Lines {
		if b.Bullets {
			p.bullet(covered(l))
		} else {
			p.para(margin, textW, false, covered(l))
			p.y += 0.6
		}
	}
	const labelW = 70.0
	for i, row := range b.Rows {
		if i > 0 {
			p.y += 0.4
			p.rule(p.y, 0.1)
			p.y += 0.6
		}
		top := p.y
		p.para(margin, labelW-3, false, covered(row[0]))
		bottom := p.y
		p.y = top
		p.para(margin+labelW, textW-labelW, true, covered(row[1]))
		p.y = max(p.y, bottom)
	}
	if b.Drawing != nil {
		d := b.Drawing(textW)
		p.y += 2
		p.d.Place(d, margin, p.y)
		p.y += d.Height
	}
	if b.Frame > 0 {
		p.y += 2
		p.d.Draw(picture.Rect(margin, p.y, b.Frame*4/3, b.Frame, 0), picture.Style{Stroke: picture.Black, Line: 0.3})
		p.y += b.Frame + 2
	}
}
