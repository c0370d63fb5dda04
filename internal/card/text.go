package card

import (
	"bufio"
	"io"
	"strings"
	"unicode/utf8"
)

// textWidth is the width of the card in a terminal, in characters.
const textWidth = 80

// Text writes the same content for a terminal, at most 80 characters wide,
// under the same rules as PDF except that nothing has to move to the record
// for want of room. It writes nothing when there is an *Error.
func Text(w io.Writer, c Content) error {
	if err := c.Validate(); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	t := textCard{b}
	t.card(prepare(c, false))
	return b.Flush()
}

// textCard writes lines; its writer keeps the first error for Flush.
type textCard struct{ w *bufio.Writer }

func (t textCard) line(s string) {
	// The first error sticks to the writer and comes out of Flush.
	_, _ = t.w.WriteString(strings.TrimRight(s, " ") + "\n")
}

// hang writes a text with a first-line prefix and the following lines
// indented as far.
func (t textCard) hang(prefix, s string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(prefix))
	for i, l := range fold(s, textWidth-len(indent)) {
		if i == 0 {
			t.line(prefix + l)
		} else {
			t.line(indent + l)
		}
	}
}

func (t textCard) heading(s string) {
	t.line("")
	t.line(s + " " + strings.Repeat("-", textWidth-1-utf8.RuneCountInString(s)))
}

func (t textCard) labelled(ls []Line) {
	for _, l := range ls {
		t.hang("  "+pad(l.Label, 16)+"  ", l.Text)
	}
}

func (t textCard) card(p prepared) {
	day := "Valid only on " + Day(p.Day)
	if p.Slot != "" {
		day += ", " + p.Slot
	}
	t.line(p.Name)
	t.line(day + ", lesson " + p.LessonCode)
	if p.Goal != "" {
		t.hang("Goal: ", p.Goal)
	}
	if p.Hold != nil {
		t.hold(p.Hold)
	}
	if p.StopWord != "" || len(p.Cautions) > 0 {
		t.heading("Cautions")
		if p.StopWord != "" {
			t.hang("  Stop word: ", p.StopWord)
		}
		for _, l := range p.Cautions {
			s := l.Text
			if l.Label != "" {
				s = strings.TrimRight(l.Label, ":") + ": " + s
			}
			t.hang("  - ", s)
		}
	}
	t.setUp(p.SetUp)
	t.plan(p.Plan)
	if len(p.Handover) > 0 {
		t.heading("Handed over from last time")
		t.labelled(p.Handover)
	}
	t.heading("Contacts")
	t.labelled(p.Contacts)
	t.line("")
	t.hang("", p.Trace.line())
}

func (t textCard) hold(h *Hold) {
	t.line("")
	t.line("*** " + h.Kind.Says() + " ***")
	t.heading("What is needed, and from whom")
	for _, n := range h.Needed {
		t.hang("  - ", strings.TrimRight(n.What, ".")+". From: "+n.From)
	}
	t.heading("Today instead")
	t.hang("  ", h.Instead)
}

func (t textCard) setUp(u SetUp) {
	if u.Way == "" && len(u.Sided) == 0 && len(u.Shared) == 0 {
		return
	}
	t.heading("Set-up")
	if u.Way != "" {
		t.hang("  ", u.Way)
	}
	if len(u.Sided) > 0 {
		const label, column = 26, 27
		t.line("")
		t.line("  " + strings.Repeat(" ", label-2) + pad("Student's left", column) + "Student's right")
		for _, r := range u.Sided {
			labels, left, right := fold(r.Label, label-4), fold(r.Left.text(), column-2), fold(r.Right.text(), column-2)
			for i := range max(len(labels), len(left), len(right)) {
				t.line("  " + pad(at(labels, i), label-2) + pad(at(left, i), column) + at(right, i))
			}
		}
		t.line("")
	}
	for _, s := range u.Shared {
		t.hang("  "+pad(s.Label, 24)+"  ", s.Value.text())
	}
}

func (t textCard) plan(q Plan) {
	lines := []Line{{Label: "Terrain", Text: q.Terrain}}
	for _, n := range []SidedSetting{{Label: "Fan left", Left: q.FanLeft}, {Label: "Fan right", Left: q.FanRight},
		{Label: "On snow", Left: q.Block}, {Label: "Rest", Left: q.Rest}} {
		lines = append(lines, Line{Label: n.Label, Text: n.Left.text()})
	}
	lines = append(append(lines, Line{Label: "Help", Text: q.Help}, Line{Label: "Helpers", Text: q.Helpers}), q.More...)
	var given []Line
	for _, l := range lines {
		if l.Text != "" {
			given = append(given, l)
		}
	}
	if len(given) > 0 {
		t.heading("Plan for today")
		t.labelled(given)
	}
}

// text is the value in words: "94 cm, 91–97", "out", "____ cm, 86–93, measure:
// wrist crease to snow".
func (v Value) text() string {
	s := v.Words
	switch {
	case v.empty():
		return ""
	case v.Number != "":
		s = v.Number
	case v.Measure != "":
		s = "____"
	}
	if v.Unit != "" && v.Unit != "°" {
		s += " "
	}
	s += v.Unit
	if r := v.rangeText(); r != "" {
		s += ", " + r
	}
	if v.Measure != "" {
		s += ", measure: " + v.Measure
	}
	return s
}

// fold breaks a text into lines of at most w characters; a longer word is cut.
func fold(s string, w int) []string {
	var out []string
	line := ""
	for _, f := range strings.Fields(s) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(f) <= w {
			line += " " + f
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		r := []rune(f)
		for len(r) > w {
			out = append(out, string(r[:w]))
			r = r[w:]
		}
		line = string(r)
	}
	if line != "" || len(out) == 0 {
		out = append(out, line)
	}
	return out
}

func at(list []string, i int) string {
	if i < len(list) {
		return list[i]
	}
	return ""
}

func pad(s string, w int) string {
	return s + strings.Repeat(" ", max(w-utf8.RuneCountInString(s), 0))
}
