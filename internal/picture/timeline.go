package picture

import (
	"math"
	"strings"
)

// Timeline is a lesson on snow from its first minute down: blocks and rests,
// with what runs along beside them.
type Timeline struct {
	Minutes float64 // of the whole, what is left free included
	Blocks  []TimeBlock
	// HardUntil is the minute before which something harder may begin; 0 leaves
	// it out.
	HardUntil float64
	// Looks are the minutes at which something is looked at.
	Looks []float64
	// Along are figures that run along, two at most.
	Along []Along
}

// TimeBlock is a piece of the lesson. Lines are what stands in it, the most
// important first. Where there is room for one line only, One stands in for
// them if it fits; Short stands in for the first where that does not fit.
type TimeBlock struct {
	From, To float64
	Short    string
	One      string
	Lines    []string
	Rest     bool
	Strong   bool // something new
}

// Along is a figure that runs along, with its limit.
type Along struct {
	Name   string
	Unit   string
	Minute []float64
	Value  []float64
	Most   float64 // 0: none
}

// TimelinePerMinute is the least height of a minute in mm: a block of five has
// room for a line.
const TimelinePerMinute = 1.25

const (
	timeHead  = 13.0 // mm above the first minute
	timeFoot  = 4.0
	timeLeft  = 11.0 // mm for the minutes
	alongWide = 25.0
	timeLine  = 4.7 // mm from one line of text to the next
)

// HeightFor returns the least height of the drawing in mm.
func (t Timeline) HeightFor() float64 {
	return timeHead + TimelinePerMinute*t.Minutes + timeFoot
}

// Draw returns the drawing in a box of this size in mm. Lower than HeightFor
// it leaves out what has no room.
func (t Timeline) Draw(width, height float64) Drawing {
	d := Drawing{Width: width, Height: height, Title: "The lesson, minute by minute", Desc: t.describe()}
	if !(t.Minutes > 0) || len(t.Blocks) == 0 || width < 40 || height < timeHead+timeFoot+10 {
		return d
	}
	along := t.Along
	for len(along) > 0 && width-timeLeft-alongWide*float64(len(along)) < 45 {
		along = along[:len(along)-1] // the blocks come first
	}
	right := width - 3.5 - alongWide*float64(len(along))
	per := (height - timeHead - timeFoot) / t.Minutes
	y := func(minute float64) float64 { return timeHead + per*minute }
	write := func(x, y float64, anchor Anchor, bold bool, s string) {
		d.Write(Text{X: x, Y: y, Size: axisPt, Anchor: anchor, Bold: bold, S: s, Class: "label"})
	}
	hair := Style{Stroke: Black, Line: 0.25, Butt: true}
	write(timeLeft-1.5, timeHead-2, End, false, "min")
	last := -100.0
	mark := func(minute float64) {
		if at := y(minute); at-last > 4 {
			write(timeLeft-1.5, at+1.3, End, false, round(minute))
			last = at
		}
	}
	for _, b := range t.Blocks {
		t.block(&d, b, timeLeft, right, y, write)
		mark(b.From)
	}
	mark(t.Blocks[len(t.Blocks)-1].To)
	mark(t.Minutes)
	if t.HardUntil > 0 && t.HardUntil < t.Minutes {
		at := y(t.HardUntil)
		d.Draw(Line(timeLeft, at, right, at), Style{Stroke: Black, Line: 0.3, Dash: []float64{2, 1.4}, Butt: true})
	}
	if end := t.Blocks[len(t.Blocks)-1].To; end < t.Minutes {
		d.Draw(Rect(timeLeft, y(end), right-timeLeft, y(t.Minutes)-y(end), 0), Style{Stroke: Black, Line: 0.2, Dash: []float64{0.8, 1.2}})
	}
	for _, minute := range t.Looks {
		at := y(minute)
		d.Draw(Polygon(Point{right + 0.4, at}, Point{right + 3, at - 1.5}, Point{right + 3, at + 1.5}), Style{Fill: Black})
	}
	for i, a := range along {
		a.draw(&d, right+5+alongWide*float64(i), right+1+alongWide*float64(i+1), y, t.Minutes, hair, write)
	}
	return d
}

// block draws one block with as much text as has room.
func (t Timeline) block(d *Drawing, b TimeBlock, left, right float64, y func(float64) float64, write func(x, y float64, anchor Anchor, bold bool, s string)) {
	top, bottom := y(b.From), y(b.To)
	style := Style{Stroke: Black, Line: 0.3}
	if b.Strong {
		style.Line = 0.8
	}
	if b.Rest {
		style.Fill = Band
	}
	d.Draw(Rect(left, top, right-left, bottom-top, 0), style)
	rows := int((bottom - top - 0.6) / timeLine)
	if rows < 1 || len(b.Lines) == 0 {
		return
	}
	room := right - left - 3
	at := top + 4.6
	if rows == 1 || len(b.Lines) == 1 { // in the middle
		at = (top+bottom)/2 + 1.4
	}
	if rows > 1 && len(b.Lines) > 1 {
		at = (top+bottom)/2 + 1.4 - timeLine*float64(min(rows, len(b.Lines))-1)/2
	}
	for i, s := range b.Lines {
		if i == rows {
			return
		}
		switch {
		case i == 0 && rows == 1 && b.One != "" && wide(b.One) <= room:
			s = b.One
		case i == 0 && wide(s) > room:
			s = b.Short
		}
		write(left+1.5, at+timeLine*float64(i), Start, i == 0 && !b.Rest, fit(s, room))
	}
}

// draw draws a figure that runs along, with its limit as a dashed line.
func (a Along) draw(d *Drawing, left, right float64, y func(float64) float64, minutes float64, hair Style, write func(x, y float64, anchor Anchor, bold bool, s string)) {
	_, top := limits(a.Value, []float64{a.Most})
	if !(top > 0) {
		return
	}
	top *= 1.05
	x := func(v float64) float64 { return left + v/top*(right-left) }
	d.Draw(Polyline(Point{left, y(minutes)}, Point{left, y(0)}, Point{right, y(0)}), hair)
	write(left, timeHead-7, Start, true, a.Name)
	write(left, timeHead-2, Start, false, "0")
	_, reached := limits(a.Value)
	write(right, timeHead-2, End, false, round(math.Round(max(reached, a.Most)))+" "+a.Unit)
	if a.Most > 0 {
		d.Draw(Line(x(a.Most), y(0), x(a.Most), y(minutes)), Style{Stroke: Black, Line: 0.3, Dash: []float64{2, 1.4}, Butt: true})
	}
	var points []Point
	for i := range a.Value {
		points = append(points, Point{x(a.Value[i]), y(a.Minute[i])})
	}
	d.Draw(Polyline(points...), Style{Stroke: Black, Line: 0.7})
}

// wide is about how wide a text is in mm, rather too wide than too narrow.
func wide(s string) float64 {
	const em = 0.56
	return em * axisPt * MMPerPoint * float64(len([]rune(s)))
}

// fit shortens a text to a width.
func fit(s string, room float64) string {
	r := []rune(s)
	for wide(string(r)) > room && len(r) > 1 {
		r = r[:len(r)-1]
	}
	if len(r) < len([]rune(s)) {
		return strings.TrimRight(string(r[:len(r)-1]), " ,:;") + "…"
	}
	return s
}

// describe says the lesson in sentences.
func (t Timeline) describe() string {
	var out []string
	for _, b := range t.Blocks {
		out = append(out, "Minute "+round(b.From)+" to "+round(b.To)+": "+strings.Join(b.Lines, "; ")+".")
	}
	for _, a := range t.Along {
		if _, top := limits(a.Value); len(a.Value) > 0 {
			s := a.Name + " reaches " + round(math.Round(top)) + " " + a.Unit
			if a.Most > 0 {
				s += ", at most " + round(math.Round(a.Most))
			}
			out = append(out, s+".")
		}
	}
	return strings.Join(out, " ")
}
