package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// width is the number of columns that text for people keeps to.
const width = 80

// wrapAt breaks text into lines of at most width columns. It begins in column
// first of its line; lines after the first are indented.
func wrapAt(text string, first, indent, width int) string {
	var out strings.Builder
	column, fresh := first, true
	for _, w := range strings.Fields(text) {
		n := utf8.RuneCountInString(w)
		switch {
		case fresh:
		case column+1+n > width:
			out.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		default:
			out.WriteByte(' ')
			column++
		}
		out.WriteString(w)
		column += n
		fresh = false
	}
	return out.String()
}

// sheet writes text for people.
type sheet struct {
	w   io.Writer
	err error
}

func (p *sheet) write(s string) {
	if p.err == nil {
		_, p.err = io.WriteString(p.w, s)
	}
}

func (p *sheet) line(format string, args ...any) { p.write(fmt.Sprintf(format, args...) + "\n") }

func (p *sheet) blank() { p.write("\n") }

// para writes wrapped text after indent columns.
func (p *sheet) para(indent int, text string) {
	p.write(strings.Repeat(" ", indent) + wrapAt(text, indent, indent, width) + "\n")
}

// heading writes a heading with an empty line before it.
func (p *sheet) heading(text string) { p.line("\n%s", text) }

// labelled writes a label in a column and wrapped text beside it.
func (p *sheet) labelled(indent, column int, label, text string) {
	gap := column - indent - utf8.RuneCountInString(label)
	if gap < 1 {
		p.line("%s%s", strings.Repeat(" ", indent), label)
		p.para(column, text)
		return
	}
	p.write(strings.Repeat(" ", indent) + label + strings.Repeat(" ", gap) + wrapAt(text, column, column, width) + "\n")
}

// bullet writes wrapped text after a dash.
func (p *sheet) bullet(text string) {
	p.write("  - " + wrapAt(text, 4, 4, width) + "\n")
}

// row writes three columns: a label, left and right.
func (p *sheet) row(label, left, right string) {
	const one, two = 18, 49
	cell := func(s string, w int) []string { return strings.Split(wrapAt(s, 0, 0, w), "\n") }
	l, r := cell(left, two-one-2), cell(right, width-two)
	for i := range max(len(l), len(r)) {
		name, a, b := "", "", ""
		if i == 0 {
			name = "  " + label
		}
		if i < len(l) {
			a = l[i]
		}
		if i < len(r) {
			b = r[i]
		}
		p.write(strings.TrimRight(pad(name, one)+pad(a, two-one)+b, " ") + "\n")
	}
}

func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}
