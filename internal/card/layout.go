package card

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"firnhand/internal/picture"

	"golang.org/x/text/unicode/norm"
	"rsc.io/qr"
)

// headH is the height of a heading, mm.
const headH = headPt * picture.MMPerPoint * 1.2

const mmPerPt = picture.MMPerPoint

// The sheet and the zones kept free, mm.
const (
	pageW, pageH = 148.0, 210.0 // A5 portrait, ISO 216
	margin       = 8.5          // left, right and top; the rule asks for 8 or more
	thumb        = 15.2         // free at the bottom for a gloved thumb; the rule asks for 15 or more
	holeZone     = 22.0         // square at the top left corner kept free for a punched hole
	textW        = pageW - 2*margin
	bottomLine   = pageH - thumb
	qrSide       = 15.0
)

// Type sizes in pt that do not change with how full a card is.
const (
	labelPt = 11.0
	headPt  = 11.0
	tracePt = 8.0 // read at a desk, never on snow
)

// Classes of text, also the classes of the SVG. Each has a least size.
const (
	classNumber = "number" // key numbers and the words of a hold: 24 pt or more
	className   = "name"   // 14 pt or more
	classAction = "action" // 11 pt or more, 14 pt while it fits
	classLabel  = "label"  // 11 pt or more
	classTrace  = "trace"  // 8 pt
)

// sizes is one step of the rule by which a full card gets smaller.
type sizes struct {
	action, number float64 // pt
	figure         float64 // least height of the drawing, mm
	gap            float64 // between blocks, mm
}

// steps are tried in order; the first that fits is used. At step firstMoving
// second-priority lines move to the record, one by one, before a smaller step
// is tried; at the last step the rest of the handover follows.
var steps = []sizes{
	{14, 26, 44, 3},
	{14, 25, 40, 2.2},
	{13.5, 25, 38, 2},
	{13, 24, 36, 1.8},
	{12.5, 24, 34, 1.6},
	{12, 24, 34, 1.5},
	{11.5, 24, 32, 1.2},
	{11, 24, 30, 1},
}

const firstMoving = 5

// Report says what the layout had to do to make the content fit.
type Report struct {
	ActionPt     float64 // size of the actions, pt; 14 unless the card is full
	Moved        int     // lines that moved to the record
	NameInRecord bool    // the name's script is in no font of the card
}

// layout validates a content and places it on the sheet. It returns an *Error
// with code "card_full" when even the smallest step leaves too little room.
func layout(c Content) (picture.Drawing, Report, error) {
	if err := c.Validate(); err != nil {
		return picture.Drawing{}, Report{}, err
	}
	p := prepare(c, true)
	p.qr = qrOutline(c.Trace.CardID)
	second, all := p.movable()
	for i, s := range steps {
		from, to := 0, 0 // how many lines to move at this step
		switch {
		case i == firstMoving:
			to = second
		case i == len(steps)-1:
			from, to = second, all
		case i > firstMoving:
			from, to = second, second
		}
		for n := from; n <= to; n++ {
			if d, ok := place(p.without(n), s); ok {
				return d, Report{s.action, n, p.NameInRecord}, nil
			}
		}
	}
	return picture.Drawing{}, Report{}, &Error{Code: "card_full", Field: "cautions",
		Sentence: "This does not fit on one card even in the smallest type: shorten the cautions, the settings or the plan."}
}

// sheet is a card being laid out from the top down.
type sheet struct {
	d picture.Drawing
	y float64 // where the next thing begins, mm
	s sizes
}

// place lays out at one step; ok is false when the blocks run into the foot.
// Room left over is shared out between the blocks.
func place(p prepared, s sizes) (picture.Drawing, bool) {
	d, bottom, blocks, foot := placeWith(p, s)
	spare := foot - bottom
	if spare < 0 {
		return d, false
	}
	if blocks > 0 {
		s.gap += min(3, spare/float64(blocks+1))
		d, _, _, _ = placeWith(p, s)
	}
	return d, true
}

func placeWith(p prepared, s sizes) (d picture.Drawing, bottom float64, blocks int, foot float64) {
	h := &sheet{s: s}
	h.d = picture.Drawing{Width: pageW, Height: pageH, Title: "Lesson card " + p.LessonCode}
	foot = h.foot(p)
	h.header(p)
	for _, block := range []func(prepared) bool{h.hold, h.cautions, h.setUp, h.plan, h.handover} {
		before := h.y
		h.y += s.gap
		if block(p) {
			blocks++
		} else {
			h.y = before
		}
	}
	return h.d, h.y + s.gap, blocks, foot
}

// text writes one line at a baseline.
func (h *sheet) text(x, y, size float64, bold bool, class, s string) {
	h.d.Write(picture.Text{X: x, Y: y, Size: size, Bold: bold, S: s, Class: class})
}

func (h *sheet) rule(x1, x2, y, line float64) {
	h.d.Draw(picture.Line(x1, y, x2, y), picture.Style{Stroke: picture.Black, Line: line, Butt: true})
}

// lead is the height of one line of text, and drop the way from its top to
// its baseline, mm.
func lead(size float64) float64 { return size * mmPerPt * 1.25 }
func drop(size float64) float64 { return lead(size)/2 + size*mmPerPt*0.334 } // capitals are 0.668 em high

// word is a piece of a line that is not broken.
type word struct {
	s    string
	bold bool
}

func wordsOf(s string, bold bool) []word {
	var out []word
	for _, f := range strings.Fields(s) {
		out = append(out, word{f, bold})
	}
	return out
}

// wrap breaks words into lines no wider than w; a word wider than that alone
// is broken between characters.
func wrap(words []word, size, w float64) [][]word {
	var lines [][]word
	var line []word
	used := 0.0
	for _, t := range words {
		space := width(" ", size, t.bold)
		if tw := width(t.s, size, t.bold); len(line) > 0 && used+space+tw <= w {
			line, used = append(line, t), used+space+tw
			continue
		}
		if len(line) > 0 {
			lines, line, used = append(lines, line), nil, 0
		}
		for width(t.s, size, t.bold) > w && len(t.s) > 1 {
			head, tail := split(t.s, size, t.bold, w)
			lines = append(lines, []word{{head, t.bold}})
			t.s = tail
		}
		line, used = []word{t}, width(t.s, size, t.bold)
	}
	if len(line) > 0 {
		lines = append(lines, line)
	}
	return lines
}

// split cuts a word after as many characters as fit into w, at a hyphen if
// there is one, but after at least one character, so that breaking a word
// always ends.
func split(s string, size float64, bold bool, w float64) (head, tail string) {
	end := len(s)
	for i := range s {
		if i > 0 && end == len(s) {
			end = i // the first character, whatever its width
		}
		if i > 0 && width(s[:i], size, bold) <= w {
			end = i
		} else if i > 0 {
			break
		}
	}
	if i := strings.LastIndexByte(s[:end], '-'); i > 0 {
		end = i + 1
	}
	return s[:end], s[end:]
}

// paragraph writes wrapped words with their first line's top at y and returns
// the y below the last line.
func (h *sheet) paragraph(x, y, w, size float64, class string, words []word) float64 {
	for _, line := range wrap(words, size, w) {
		h.line(x, y+drop(size), size, class, line)
		y += lead(size)
	}
	return y
}

// line writes the words of one line, joining neighbours of one weight.
func (h *sheet) line(x, baseline, size float64, class string, words []word) {
	for i := 0; i < len(words); {
		j, s := i+1, words[i].s
		for j < len(words) && words[j].bold == words[i].bold {
			s += " " + words[j].s
			j++
		}
		h.text(x, baseline, size, words[i].bold, class, s)
		x += width(s, size, words[i].bold)
		if j < len(words) {
			x += width(" ", size, words[j].bold)
		}
		i = j
	}
}

// heading starts a block.
func (h *sheet) heading(s string, moved int) {
	base := h.y + drop(headPt) - 0.5
	h.text(margin, base, headPt, true, classLabel, s)
	h.headRule(margin+width(s, headPt, true)+2, base, moved)
	h.y += headH
}

// headRule draws the rest of a heading's line. Lines that moved to the record
// are counted at its end.
func (h *sheet) headRule(from, base float64, moved int) {
	to := pageW - margin
	if moved > 0 {
		note := movedWords(moved)
		h.d.Write(picture.Text{X: to, Y: base, Size: labelPt, Bold: true, Anchor: picture.End, S: note, Class: classLabel})
		to -= width(note, labelPt, true) + 2
	}
	if from < to {
		h.rule(from, to, base-headPt*mmPerPt*0.334, 0.5)
	}
}

// headline starts a block whose most important line stands on the line of the
// heading, where it fits, else below it.
func (h *sheet) headline(s string, key []word, moved int) {
	size, x := h.s.action+1, margin+width(s, headPt, true)+4
	end, room := x+lineWidth(key, size), pageW-margin
	if moved > 0 {
		room -= width(movedWords(moved), labelPt, true) + 3
	}
	if len(key) == 0 || end > room {
		h.heading(s, moved)
		h.y = h.paragraph(margin, h.y, textW, h.s.action, classAction, key)
		return
	}
	base := h.y + drop(size) - 0.5
	h.text(margin, base, headPt, true, classLabel, s)
	h.line(x, base, size, classAction, key)
	h.headRule(end+2, base, moved)
	h.y += lead(size) - 0.3
}

// header writes the name and goal beside the hole zone, the day and time, and
// the QR code.
func (h *sheet) header(p prepared) {
	h.d.Draw(p.qr.Apply(picture.Move(pageW-margin-qrSide, margin)), picture.Style{Fill: picture.Black})
	right := pageW - margin - qrSide - 4
	day, lesson := Day(p.Day), "Lesson "+p.LessonCode
	if p.Slot != "" {
		lesson = p.Slot + ", " + p.LessonCode
	}
	const valid, daySize = "Valid only on", 17.0
	for _, t := range []picture.Text{
		{Y: 3.2, Size: labelPt, S: valid, Class: classLabel},
		{Y: 9.6, Size: daySize, Bold: true, S: day, Class: classAction},
		{Y: 14.8, Size: labelPt, S: lesson, Class: classLabel},
	} {
		t.X, t.Y, t.Anchor = right, t.Y+margin, picture.End
		h.d.Write(t)
	}
	dateW := max(width(day, daySize, true), width(valid, labelPt, false), width(lesson, labelPt, false))

	const x = holeZone + 1
	h.y = h.name(p.Name, x, right-dateW-5-x)
	if p.NameInRecord {
		h.text(x, h.y+drop(labelPt), labelPt, false, classLabel, "Name: "+inRecord)
		h.y += lead(labelPt)
	}
	h.y = max(h.y, margin+qrSide-4.5)
	if p.Goal != "" {
		words := append(wordsOf("Goal:", true), wordsOf(p.Goal, false)...)
		room := right - dateW - 5 - x // beside the time; below it there is more
		if top := h.y; top >= margin+15.2 {
			room = right - x
		}
		h.y = h.paragraph(x, h.y, room, labelPt, classLabel, words)
	}
	h.y = max(h.y, holeZone, margin+qrSide)
}

// name writes the name as large as its room allows, on two lines if need be,
// and returns the y below it.
func (h *sheet) name(name string, x, room float64) float64 {
	words := wordsOf(name, true)
	size, lines := 26.0, 1
	for size > 14 && len(wrap(words, size, room)) > lines {
		if size -= 2; size < 18 {
			lines = 2
		}
	}
	base := margin                     // so that tall letters touch the margin
	base += 2 * float64(accents(name)) // and so do accents on capitals
	for _, l := range wrap(words, size, room) {
		base += size * mmPerPt * 0.72
		h.line(x, base, size, className, l)
		base += size * mmPerPt * 0.24
	}
	return base
}

// accents returns how many marks stand on one letter of the name at most, up
// to two.
func accents(name string) int {
	most, n := 0, 0
	for _, r := range norm.NFD.String(name) {
		if unicode.Is(unicode.Mn, r) {
			n++
		} else {
			n = 0
		}
		most = max(most, n)
	}
	return min(most, 2)
}

// qrOutline is the card's id, and nothing else, as a QR code (ISO/IEC 18004)
// with its top left corner at the origin. The white of the paper around it is
// its quiet zone.
func qrOutline(id string) picture.Outline {
	code, err := qr.Encode(id, qr.M)
	if err != nil {
		return nil // cannot happen for an id of at most 32 characters
	}
	m := qrSide / float64(code.Size)
	var o picture.Outline
	for row := range code.Size {
		for col := 0; col < code.Size; col++ {
			start := col
			for col < code.Size && code.Black(col, row) {
				col++
			}
			if col > start { // one bar per run, a hair taller than a module so that rows join
				o = append(o, picture.Rect(float64(start)*m, float64(row)*m, float64(col-start)*m, m+0.01, 0)...)
			}
		}
	}
	return o
}

func (h *sheet) hold(p prepared) bool {
	if p.Hold == nil {
		return false
	}
	const band, line, size = 14.0, 1.6, 28.0 // dark on light, set off by a heavy frame
	h.d.Draw(picture.Rect(margin+line/2, h.y+line/2, textW-line, band-line, 0), picture.Style{Stroke: picture.Black, Line: line, Butt: true})
	h.text(margin+5, h.y+band/2+size*mmPerPt*0.334, size, true, classNumber, p.Hold.Kind.Says())
	h.y += band + 1.5
	h.text(margin, h.y+drop(headPt), headPt, true, classLabel, "What is needed, and from whom")
	h.y += headH
	for _, n := range p.Hold.Needed {
		h.bullet(append(wordsOf(strings.TrimRight(n.What, ".")+".", false),
			append(wordsOf("From:", true), wordsOf(n.From, false)...)...))
	}
	h.y += 1
	h.text(margin, h.y+drop(headPt), headPt, true, classLabel, "Today instead")
	h.y += headH
	h.y = h.paragraph(margin, h.y, textW, h.s.action, classAction, wordsOf(p.Hold.Instead, true))
	return true
}

// bullet writes one item with a square in front of it.
func (h *sheet) bullet(words []word) {
	const indent = 4.5
	mid := h.y + lead(h.s.action)/2
	h.d.Draw(picture.Rect(margin+0.4, mid-0.8, 1.6, 1.6, 0), picture.Style{Fill: picture.Black})
	h.y = h.paragraph(margin+indent, h.y, textW-indent, h.s.action, classAction, words)
}

func (h *sheet) cautions(p prepared) bool {
	if len(p.Cautions) == 0 && p.StopWord == "" {
		return false
	}
	var stop []word
	if p.StopWord != "" {
		stop = append(wordsOf("Stop word:", false), wordsOf(p.StopWord, true)...)
	}
	h.headline("Cautions", stop, 0)
	const indent = 4.5
	top := h.y
	for _, l := range p.Cautions {
		var words []word
		if l.Label != "" {
			words = wordsOf(strings.TrimRight(l.Label, ":")+":", true)
		}
		h.y = h.paragraph(margin+indent, h.y, textW-indent, h.s.action, classAction, append(words, wordsOf(l.Text, false)...))
	}
	if len(p.Cautions) > 0 {
		h.d.Draw(picture.Rect(margin, top+0.3, 1.8, h.y-top-0.6, 0), picture.Style{Fill: picture.Black})
	}
	return true
}

func (h *sheet) plan(p prepared) bool {
	q := p.Plan
	var lines []Line
	for _, l := range []Line{{"Help", q.Help, false}, {"Helpers", q.Helpers, false}} {
		if l.Text != "" {
			lines = append(lines, l)
		}
	}
	lines = append(lines, q.More...)
	tiles := []SidedSetting{{Label: "Fan left", Left: q.FanLeft}, {Label: "On snow", Left: q.Block},
		{Label: "Rest", Left: q.Rest}, {Label: "Fan right", Left: q.FanRight}}
	moved := p.Moved.Plan
	if len(p.Handover) == 0 { // a heading of its own with nothing below it takes a line of the plan's
		moved += p.Moved.Handover
	}
	any := false
	for _, t := range tiles {
		any = any || !t.Left.empty()
	}
	if !any && len(lines) == 0 && q.Terrain == "" && moved == 0 {
		return false
	}
	h.headline("Plan for today", wordsOf(q.Terrain, true), moved)
	if any {
		h.tiles(tiles)
		var all []Setting
		for _, t := range tiles {
			all = append(all, Setting{Label: t.Label, Value: t.Left})
		}
		h.howTo(all)
	}
	h.lines(lines, p.labelColumn())
	return true
}

func (h *sheet) handover(p prepared) bool {
	if len(p.Handover) == 0 {
		return false
	}
	h.heading("Handed over from last time", p.Moved.Handover)
	h.lines(p.Handover, p.labelColumn())
	return true
}

// labelColumn is the width of the column of labels that plan and handover
// share, so that their texts line up.
func (p prepared) labelColumn() float64 {
	w := width("Helpers", labelPt, true)
	for _, ls := range [][]Line{p.Plan.More, p.Handover} {
		for _, l := range ls {
			w = max(w, width(l.Label, labelPt, true))
		}
	}
	return min(w+2.5, 34)
}

// lines writes labelled lines with their texts in one column.
func (h *sheet) lines(ls []Line, column float64) {
	for _, l := range ls {
		base := h.y + drop(h.s.action)
		text := h.paragraph(margin+column, h.y, textW-column, h.s.action, classAction, wordsOf(l.Text, false))
		label := h.y
		for i, part := range wrap(wordsOf(l.Label, true), labelPt, column-2) {
			h.line(margin, base+float64(i)*lead(labelPt), labelPt, classLabel, part)
			label += lead(labelPt)
		}
		h.y = max(text, label)
	}
}

// foot places contacts and trace from the bottom up and returns where the
// blocks above must end.
func (h *sheet) foot(p prepared) float64 {
	trace := wrap(wordsOf(p.Trace.line(), false), tracePt, textW)
	y := bottomLine - float64(len(trace))*lead(tracePt)
	for i, l := range trace {
		h.line(margin, y+drop(tracePt)+float64(i)*lead(tracePt), tracePt, classTrace, l)
	}
	y -= 0.5 + float64(len(h.rows(p.Contacts, true)))*lead(h.s.action)
	keep := h.y
	h.y = y
	h.running(p.Contacts, true)
	h.y = keep
	y -= 1
	h.rule(margin, pageW-margin, y, 0.5)
	return y - 0.5
}

func lineWidth(words []word, size float64) float64 {
	sum := 0.0
	for i, w := range words {
		if i > 0 {
			sum += width(" ", size, w.bold)
		}
		sum += width(w.s, size, w.bold)
	}
	return sum
}

// line is the trace as printed.
func (t Trace) line() string {
	data := stamp(t.DataAt)
	if y, m, d := t.MadeAt.Date(); t.DataAt == time.Date(y, m, d, t.DataAt.Hour(), t.DataAt.Minute(), t.DataAt.Second(), t.DataAt.Nanosecond(), t.MadeAt.Location()) {
		data = t.DataAt.Format("15:04")
	}
	return fmt.Sprintf("Card %s, made %s, data to %d at %s, core %s, inputs %s",
		t.CardID, stamp(t.MadeAt), t.DataUpTo, data, t.CoreVersion, t.InputCode)
}

// Day writes a date as cards do: "Tue 14 Jan".
func Day(t time.Time) string { return t.Format("Mon 2 Jan") }

func stamp(t time.Time) string { return t.Format("2 Jan 2006 15:04") }
