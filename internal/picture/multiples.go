package picture

import "fmt"

// Multiples are small panels of the same scale side by side: one for each skill,
// lessons along, help levels up, left and right in each. The scale of y is that
// of the levels, not of the data.
type Multiples struct {
	Title   string
	Lessons int // along, the same in all panels
	Panels  []Panel
}

// Panel is one skill.
type Panel struct {
	Name  string
	Lines []PanelLine
}

// PanelLine is one side of a skill. Level has one entry for each lesson; a
// lesson without it is -1, and a gap.
type PanelLine struct {
	Label string // "left", "right", or "" where there are no sides
	Level []int  // least help of a clean attempt; -1: none
	// Missed marks lessons in which it was tried and never clean.
	Missed []bool
}

// PanelsMost is how many panels stand on a page; FewPoints is how many points
// make a line.
const (
	PanelsMost = 12
	FewPoints  = 5
)

const (
	panelW, panelH = 55.0, 33.0 // at least
	panelGap       = 5.0
	panelHead      = 7.0
)

// Height returns the height of the drawing for a width, mm.
func (m Multiples) Height(width float64) float64 {
	columns := m.columns(width)
	rows := (min(len(m.Panels), PanelsMost) + columns - 1) / columns
	return float64(rows) * (panelH + panelGap)
}

func (m Multiples) columns(width float64) int {
	return max(1, int((width+panelGap)/(panelW+panelGap)))
}

// Draw returns the panels in a box of this width in mm.
func (m Multiples) Draw(width float64) Drawing {
	d := Drawing{Width: width, Height: m.Height(width), Title: m.Title, Desc: m.describe()}
	columns := m.columns(width)
	w := (width - panelGap*float64(columns-1)) / float64(columns)
	for i, p := range m.Panels[:min(len(m.Panels), PanelsMost)] {
		m.panel(&d, p, float64(i%columns)*(w+panelGap), float64(i/columns)*(panelH+panelGap), w)
	}
	return d
}

// Apart returns the panels one by one, for a page that puts as many side by side
// as it has room for.
func (m Multiples) Apart() []Drawing {
	out := make([]Drawing, 0, len(m.Panels))
	for _, p := range m.Panels[:min(len(m.Panels), PanelsMost)] {
		one := Multiples{Title: p.Name, Lessons: m.Lessons, Panels: []Panel{p}}
		d := one.Draw(panelW)
		d.Height = panelH
		out = append(out, d)
	}
	return out
}

// panel draws one skill; 7, full help, stands at the top and independent at the
// bottom.
func (m Multiples) panel(d *Drawing, p Panel, x, y, w float64) {
	const mostHelp = 7.0
	d.Write(Text{X: x, Y: y + 4.4, Size: axisPt, Bold: true, S: p.Name, Class: "label"})
	const left, right, foot = 5.5, 22.0, 1.5
	a := axes{d: d, left: x + left, top: y + panelHead, right: x + w - right, bottom: y + panelH - foot, x0: 0.5, x1: float64(max(m.Lessons, 2)) + 0.5, y0: 0, y1: mostHelp}
	hair := Style{Stroke: Black, Line: 0.2, Butt: true}
	light := Style{Stroke: Band, Line: 0.2, Butt: true}
	for level := 0.0; level <= mostHelp; level++ {
		from, to := a.at(a.x0, level), a.at(a.x1, level)
		style := light
		if level == 0 {
			style = hair
		}
		d.Draw(Line(from.X, from.Y, to.X, to.Y), style)
		if level == 0 || level == mostHelp {
			a.write(from, -1, 1.3, End, false, fmt.Sprint(int(level)))
		}
	}
	labels := 0
	for i, l := range p.Lines {
		labels += l.draw(d, a, i, labels)
	}
}

// draw draws one side and returns how many labels it wrote; i tells the sides
// apart by their marks, filled and hollow.
func (l PanelLine) draw(d *Drawing, a axes, i, labels int) int {
	mark := Style{Fill: Black, Stroke: Black, Line: 0.3}
	if i > 0 {
		mark.Fill = White
	}
	points, last := 0, -1
	for _, level := range l.Level {
		if level >= 0 {
			points++
		}
	}
	offset := 0.12 * (2*float64(i) - 1) * float64(min(1, len(l.Label)))
	if points >= FewPoints {
		for n := 1; n < len(l.Level); n++ {
			if l.Level[n-1] < 0 || l.Level[n] < 0 {
				continue // a lesson without it is a gap
			}
			p, q := a.at(float64(n)+offset, float64(l.Level[n-1])), a.at(float64(n+1)+offset, float64(l.Level[n]))
			d.Draw(Line(p.X, p.Y, q.X, q.Y), Style{Stroke: Black, Line: 0.3})
		}
	}
	size := min(0.85, max(0.4, (a.right-a.left)/(a.x1-a.x0)*0.45))
	for n, level := range l.Level {
		if level < 0 {
			if n < len(l.Missed) && l.Missed[n] {
				p := a.at(float64(n+1)+offset, 7) // at the top, full help
				d.Draw(Line(p.X-0.7, p.Y-0.7, p.X+0.7, p.Y+0.7), Style{Stroke: Black, Line: 0.3})
				d.Draw(Line(p.X-0.7, p.Y+0.7, p.X+0.7, p.Y-0.7), Style{Stroke: Black, Line: 0.3})
			}
			continue
		}
		p := a.at(float64(n+1)+offset, float64(level))
		d.Draw(Circle(p.X, p.Y, size), mark)
		last = level
	}
	if last < 0 {
		return 0
	}
	text := fmt.Sprint(last)
	if l.Label != "" {
		text = l.Label + " " + text
	}
	if points < FewPoints {
		text += ", few"
	}
	y := a.top + 4 + 5*float64(labels)
	d.Draw(Circle(a.right+2, y-1.2, 0.85), mark)
	d.Write(Text{X: a.right + 4, Y: y, Size: 9, S: text, Class: "label"})
	return 1
}

func (m Multiples) describe() string {
	text := "Help level from 7, full, at the top to 0, independent, at the bottom, lesson by lesson. "
	for _, p := range m.Panels {
		text += p.Name + ":"
		for _, l := range p.Lines {
			text += " " + l.Label
			for n, level := range l.Level {
				if level >= 0 {
					text += fmt.Sprintf(" %d (lesson %d)", level, n+1)
				}
			}
			text += ";"
		}
		text += " "
	}
	return text
}
