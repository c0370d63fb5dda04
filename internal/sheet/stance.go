package sheet

import (
	"io"
	"strings"
	"time"

	"firnhand/internal/paper"
	"firnhand/internal/picture"
)

// Drawable is a drawing that fits itself into a box, mm.
type Drawable interface {
	Draw(width, height float64) picture.Drawing
	Tallest(width float64) float64
}

// Stance is a stance as a card of A5, to go with the lesson card: the same
// drawings as on the page, and the numbers of the set-up.
type Stance struct {
	Name    string // name used
	Day     time.Time
	MadeAt  time.Time // also the creation date of the PDF
	Version string    // of the program; may be empty
	Way     string    // how the student skis, and where: "Two skis and outriggers, straight run"
	Stop    string    // what holds the student today; "" for nothing
	Verdict string
	Lines   []string // sentences
	Numbers []StanceNumber
	// Drawings stand beside each other, two at most.
	Drawings []Drawable
}

// StanceNumber is one number of the set-up with its unit, left and right; both
// the same stand once.
type StanceNumber struct{ Label, Left, Right string }

// The card and its type: A5 is ISO 216.
const (
	cardW, cardH = 148.0, 210.0
	cardMargin   = 9.0
	cardNamePt   = 20.0
	cardWordsPt  = 13.0
	cardMostPt   = 11.0
	cardGap      = 6.0 // between drawings, mm
	cardLeast    = 70.0
)

const stanceCaution = "A computed balance of somebody who stands still: where to start looking, not a clearance. Stand beside the student and try it on the flat first. Bindings are set by a certified technician."

// PDF writes the card as a PDF of one A5 page. What does not fit is refused
// with an *Error, never cut.
func (s Stance) PDF(w io.Writer) error {
	d, err := s.Draw()
	if err != nil {
		return err
	}
	return paper.PDF(w, d, s.MadeAt)
}

// Draw lays the card out: words above, the drawings as large as the rest lets
// them be.
func (s Stance) Draw() (picture.Drawing, error) {
	switch {
	case strings.TrimSpace(s.Name) == "":
		return picture.Drawing{}, &Error{"missing", "The card needs the student's first name."}
	case len(s.Drawings) == 0 || len(s.Drawings) > 2:
		return picture.Drawing{}, &Error{"missing", "The card needs one or two drawings."}
	}
	if !paper.Covered(s.Name) {
		s.Name = "(in the record)"
	}
	for pt := cardMostPt; pt >= leastPt; pt -= stepPt {
		p := &page{pt: pt}
		p.d = picture.Drawing{Width: cardW, Height: cardH, Title: "The stance of " + s.Name}
		s.head(p)
		foot := s.foot(p)
		wide := (cardW - 2*cardMargin - cardGap*float64(len(s.Drawings)-1)) / float64(len(s.Drawings))
		tall := foot - p.y - 4 - s.tableHigh(p)
		need := 0.0
		for _, d := range s.Drawings {
			need = max(need, min(cardLeast, d.Tallest(wide)))
		}
		if tall < need {
			continue
		}
		p.y += 3
		used := 0.0
		for i, d := range s.Drawings {
			one := d.Draw(wide, min(tall, d.Tallest(wide)))
			p.d.Place(one, cardMargin+float64(i)*(wide+cardGap), p.y)
			used = max(used, one.Height)
			p.d.Desc = strings.TrimSpace(p.d.Desc + " " + one.Desc)
		}
		p.y += used + 1
		s.table(p)
		return p.d, nil
	}
	return picture.Drawing{}, &Error{"sheet_full", "This does not fit on one card even in the smallest type."}
}

// head writes what stands above the drawings.
func (s Stance) head(p *page) {
	mm := func(pt float64) float64 { return pt * picture.MMPerPoint }
	p.y = cardMargin + mm(cardNamePt)*0.8
	p.text(cardMargin, p.y, cardNamePt, true, s.Name)
	day := s.Day.Format("Mon 2 Jan 2006")
	p.d.Write(picture.Text{X: cardW - cardMargin, Y: p.y, Size: cardWordsPt, Anchor: picture.End, S: day})
	p.y += 2.5
	p.line(cardMargin, p.y, cardW-cardMargin, p.y, 0.5)
	p.y += 1.5
	wide := cardW - 2*cardMargin
	p.para(cardMargin, wide, false, s.Way)
	if s.Stop != "" {
		p.para(cardMargin, wide, true, s.Stop)
	}
	for _, l := range wrap(s.Verdict, cardWordsPt, true, wide) {
		p.y += mm(cardWordsPt) * 1.3
		p.text(cardMargin, p.y-mm(cardWordsPt)*0.25, cardWordsPt, true, l)
	}
	for _, one := range s.Lines {
		p.para(cardMargin, wide, false, one)
	}
}

// cells are the rows of the table of numbers.
func (s Stance) cells() [][3]string {
	var out [][3]string
	for _, n := range s.Numbers {
		out = append(out, [3]string{n.Label, n.Left, n.Right})
	}
	return out
}

func (s Stance) tableHigh(p *page) float64 {
	if len(s.Numbers) == 0 {
		return 0
	}
	return p.lead()*float64(len(s.Numbers)+1) + 4
}

// table writes the numbers of the set-up under the drawings.
func (s Stance) table(p *page) {
	if len(s.Numbers) == 0 {
		return
	}
	const label, half = 46.0, 42.0
	row := func(cells [3]string, bold bool) {
		p.y += p.lead()
		p.text(cardMargin, p.y-0.28*p.lead(), p.pt, bold, cells[0])
		p.text(cardMargin+label, p.y-0.28*p.lead(), p.pt, true, cells[1])
		if cells[1] != cells[2] || bold {
			p.text(cardMargin+label+half, p.y-0.28*p.lead(), p.pt, true, cells[2])
		}
	}
	row([3]string{"Set-up", "Left", "Right"}, true)
	p.line(cardMargin, p.y+0.3, cardW-cardMargin, p.y+0.3, 0.3)
	p.y += 0.8
	for _, c := range s.cells() {
		row(c, false)
	}
}

// foot writes the last lines and returns where they begin.
func (s Stance) foot(p *page) float64 {
	lines := wrap(stanceCaution, smallest, false, cardW-2*cardMargin)
	lines = append(lines, strings.TrimSpace("Firnhand "+s.Version)+", made "+s.MadeAt.Format("2006-01-02 15:04")+".")
	step := smallest * picture.MMPerPoint * 1.25
	top := cardH - cardMargin - step*float64(len(lines))
	for i, l := range lines {
		p.text(cardMargin, top+step*float64(i+1), smallest, false, l)
	}
	return top
}
