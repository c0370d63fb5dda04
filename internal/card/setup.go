package card

import (
	"unicode"
	"unicode/utf8"
)

// The set-up block: two columns under the words Left and Right with the
// student drawn between them, so that a number stands on the side it is for.
const (
	figureW = 40.0
	sideGap = 2.5
)

func (h *sheet) setUp(p prepared) bool {
	u := p.SetUp
	if u.Way == "" && len(u.Sided) == 0 && len(u.Shared) == 0 && p.Moved.SetUp == 0 {
		return false
	}
	h.headline("Set-up", wordsOf(u.Way, true), p.Moved.SetUp)
	if len(u.Sided) > 0 {
		h.sided(u)
	}
	h.shared(u.Shared)
	var all []Setting
	for _, r := range u.Sided {
		if r.Left.Measure != "" && r.Right.Measure != "" && r.Left.Measure != r.Right.Measure {
			all = append(all, Setting{Label: "left " + lowerFirst(r.Label), Value: r.Left}, Setting{Label: "right " + lowerFirst(r.Label), Value: r.Right})
			continue
		}
		all = append(all, Setting{Label: r.Label, Value: r.Left}, Setting{Label: r.Label, Value: r.Right})
	}
	h.howTo(append(all, u.Shared...))
	return true
}

func (h *sheet) sided(u SetUp) {
	middle := 2 * sideGap
	if u.Figure != nil {
		middle += figureW
	}
	colW := (textW - middle) / 2
	leftX, rightX := margin, pageW-margin-colW
	top := h.y
	y := top
	const head = 15.0
	for _, c := range []struct {
		x float64
		s string
	}{{leftX, "Left"}, {rightX, "Right"}} {
		h.text(c.x, y+drop(head), head, true, classAction, c.s)
		h.text(c.x+width(c.s+" ", head, true), y+drop(head), labelPt, false, classLabel, "student’s")
	}
	y += lead(head)
	for i, r := range u.Sided {
		heavy := 0.25
		if i == 0 {
			heavy = 0.8
		}
		h.rule(leftX, leftX+colW, y, heavy)
		h.rule(rightX, rightX+colW, y, heavy)
		y += 0.5
		rowH := max(h.cellHeight(colW, r.Label, r.Left), h.cellHeight(colW, r.Label, r.Right))
		h.cell(leftX, y, colW, rowH, r.Label, r.Left)
		h.cell(rightX, y, colW, rowH, r.Label, r.Right)
		y += rowH + 0.3
	}
	if u.Figure != nil {
		height := max(y-top, min(h.s.figure, u.Figure.Tallest(figureW)))
		h.d.Place(u.Figure.Draw(figureW, height), margin+colW+sideGap, top)
		y = max(y, top+height)
	}
	h.y = y + 0.5
}

// A cell holds a label and a value. The label stands at the left, on up to
// two lines; where that leaves too little room it stands above.

// cellHeight returns the height a cell needs at a width.
func (h *sheet) cellHeight(w float64, label string, v Value) float64 {
	probe := &sheet{s: h.s}
	return probe.cell(0, 0, w, 0, label, v)
}

// cell writes a label and its value, centred in rowH where that is more than
// they need, and returns the height they need.
func (h *sheet) cell(x, y, w, rowH float64, label string, v Value) float64 {
	valueW, valueH := h.valueSize(v, w)
	labelW := w - valueW - 1
	if labelW < 8 {
		return h.stacked(x, y, w, label, v)
	}
	lines := wrap(wordsOf(label, false), labelPt, labelW)
	if len(lines) > 2 || brokenWord(label, lines) {
		return h.stacked(x, y, w, label, v)
	}
	need := max(float64(len(lines))*labelLead, valueH)
	mid := y + max(rowH, need)/2
	h.tight(x, mid-float64(len(lines))*labelLead/2, lines)
	h.value(x+w-valueW, mid-valueH/2, valueW, v)
	return need
}

// tight writes lines of label close together and returns the y below.
func (h *sheet) tight(x, y float64, lines [][]word) float64 {
	for _, l := range lines {
		h.line(x, y+labelLead/2+labelPt*mmPerPt*0.334, labelPt, classLabel, l)
		y += labelLead
	}
	return y
}

func (h *sheet) stacked(x, y, w float64, label string, v Value) float64 {
	top := y
	y = h.paragraph(x, y, w, labelPt, classLabel, wordsOf(label, false))
	valueW, valueH := h.valueSize(v, w)
	h.value(x+w-valueW, y, valueW, v)
	return y + valueH - top
}

// tiles writes the numbers of the plan side by side, the left fan step at the
// left edge and the right one at the right edge, on two rows where one is too
// short.
func (h *sheet) tiles(tiles []SidedSetting) {
	const labelGap, between = 1.6, 3.0
	label := func(t SidedSetting) [][]word { return wrap(wordsOf(t.Label, false), labelPt, 12) }
	size := func(t SidedSetting) float64 {
		w, _ := h.valueSize(t.Left, textW/2)
		return widest(label(t), labelPt) + labelGap + w
	}
	total, n := 0.0, 0
	for _, t := range tiles {
		if !t.Left.empty() {
			total += size(t)
			n++
		}
	}
	if total+float64(n-1)*between > textW && len(tiles) == 4 { // the two sides on one row, the minutes on the next
		h.tiles([]SidedSetting{tiles[0], tiles[3]})
		h.tiles([]SidedSetting{tiles[1], tiles[2]})
		return
	}
	gap, x, rowH := (textW-total)/float64(max(n-1, 1)), margin, 0.0
	if n < 4 {
		gap = min(gap, 14)
	}
	for _, t := range tiles {
		if t.Left.empty() {
			continue
		}
		valueW, valueH := h.valueSize(t.Left, textW/2)
		rowH = max(rowH, valueH, 2*labelLead)
		lines := label(t)
		h.tight(x, h.y+(valueH-float64(len(lines))*labelLead)/2, lines)
		h.value(x+widest(lines, labelPt)+labelGap, h.y, valueW, t.Left)
		x += size(t) + gap
	}
	h.y += rowH
}

// brokenWord tells whether wrapping had to break inside a word.
func brokenWord(s string, lines [][]word) bool {
	n := 0
	for _, l := range lines {
		n += len(l)
	}
	return n != len(wordsOf(s, false))
}

func widest(lines [][]word, size float64) float64 {
	w := 0.0
	for _, l := range lines {
		w = max(w, lineWidth(l, size))
	}
	return w
}

// labelLead is the tighter line height of a label on two lines, mm.
const labelLead = labelPt * mmPerPt * 1.1

const pencilLine = 13.0 // room to write a number by hand, mm

// valueSize returns the room a value takes beside its label.
func (h *sheet) valueSize(v Value, w float64) (valueW, valueH float64) {
	switch {
	case v.Words != "":
		lines := wrap(wordsOf(v.Words, true), h.s.action, w*0.62)
		return widest(lines, h.s.action), float64(len(lines)) * lead(h.s.action)
	}
	return h.numberWidth(v) + h.tail(v), h.numberHeight()
}

// numberWidth is the room of the number itself, or of the line to write it on.
func (h *sheet) numberWidth(v Value) float64 {
	if v.Number == "" {
		return pencilLine
	}
	return width(v.Number, h.s.number, true)
}

func (h *sheet) numberHeight() float64 { return h.s.number*mmPerPt*0.72 + 3 }

// tail is the width of the unit and range behind a number.
func (h *sheet) tail(v Value) float64 {
	unit := unitGap + width(v.Unit, unitPt, true)
	if v.Unit == "°" {
		unit = width(v.Unit, h.s.number, true)
	}
	r := v.rangeText()
	if r == "" {
		return unit
	}
	if v.Unit == "°" {
		return unit + unitGap + width(r, rangePt, false)
	}
	return max(unit, unitGap+width(r, rangePt, false))
}

const (
	unitPt  = 13.0
	rangePt = 11.0
	unitGap = 1.2
)

// value writes a value with its top left corner at x, y. A number carries its
// unit behind it and its range below the unit.
func (h *sheet) value(x, y, w float64, v Value) {
	if v.Words != "" {
		h.paragraph(x, y, w+0.01, h.s.action, classAction, wordsOf(v.Words, true))
		return
	}
	base := y + (h.numberHeight()+h.s.number*mmPerPt*0.668)/2
	r := v.rangeText()
	if v.Number == "" {
		h.rule(x, x+pencilLine, base+0.5, 0.4)
	}
	h.text(x, base, h.s.number, true, classNumber, v.Number)
	x += h.numberWidth(v)
	if v.Unit == "°" {
		h.text(x, base, h.s.number, true, classNumber, v.Unit)
		x += width(v.Unit, h.s.number, true)
		h.text(x+unitGap, base, rangePt, false, classLabel, r)
		return
	}
	x += unitGap
	if r == "" {
		h.text(x, base, unitPt, true, classAction, v.Unit)
		return
	}
	mid := base - h.s.number*mmPerPt*0.334 // unit and range straddle the middle of the number
	h.text(x, mid-0.75, rangePt, true, classLabel, v.Unit)
	h.text(x, mid+0.75+rangePt*mmPerPt*0.668, rangePt, false, classLabel, r)
}

// howTo writes how to find the numbers that are not known yet, each way once.
func (h *sheet) howTo(settings []Setting) {
	said := map[string]bool{}
	for _, s := range settings {
		how := s.Value.Measure
		if how == "" || said[s.Label+how] {
			continue
		}
		said[s.Label+how] = true
		words := append(wordsOf("Measure "+lowerFirst(s.Label)+":", true), wordsOf(how, false)...)
		h.y = h.tight(margin, h.y, wrap(words, labelPt, textW))
	}
}

// lowerFirst puts a label in the middle of a sentence.
func lowerFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[n:]
}

// shared writes the settings without sides: numbers on a grid of two or three
// columns, words in running lines below.
func (h *sheet) shared(settings []Setting) {
	if len(settings) == 0 {
		return
	}
	h.rule(margin, pageW-margin, h.y, 0.25)
	h.y += 0.5
	var numbers []Setting
	var inline []Line
	for _, s := range settings {
		if s.Value.Words != "" {
			inline = append(inline, Line{Label: s.Label, Text: s.Value.Words})
		} else {
			numbers = append(numbers, s)
		}
	}
	const gap = 6.0
	columns := min(max(len(numbers), 2), 3)
	grid := (textW + gap) / float64(columns)
	for from := 0; from < len(numbers); from += columns {
		row, rowH := numbers[from:min(from+columns, len(numbers))], 0.0
		for _, s := range row {
			rowH = max(rowH, h.cellHeight(grid-gap, s.Label, s.Value))
		}
		for i, s := range row {
			h.cell(margin+float64(i)*grid, h.y, grid-gap, rowH, s.Label, s.Value)
		}
		h.y += rowH
	}
	h.running(inline, false)
}

// running writes short labelled items side by side, as many to a line as fit.
// The label is bold, or else the text.
func (h *sheet) running(items []Line, boldLabel bool) {
	for _, row := range h.rows(items, boldLabel) {
		x := margin
		for _, words := range row {
			h.line(x, h.y+drop(h.s.action), h.s.action, classAction, words)
			x += lineWidth(words, h.s.action) + runningGap
		}
		h.y += lead(h.s.action)
	}
}

const runningGap = 6.0

func (h *sheet) rows(items []Line, boldLabel bool) [][][]word {
	var rows [][][]word
	used := 0.0
	for _, c := range items {
		for i, words := range wrap(append(wordsOf(c.Label, boldLabel), wordsOf(c.Text, !boldLabel)...), h.s.action, textW) {
			w := lineWidth(words, h.s.action)
			if i == 0 && len(rows) > 0 && used+runningGap+w <= textW {
				rows[len(rows)-1] = append(rows[len(rows)-1], words)
				used += runningGap + w
				continue
			}
			rows, used = append(rows, [][]word{words}), w
		}
	}
	return rows
}
