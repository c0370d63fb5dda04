package decide

import (
	"fmt"
	"strconv"
	"strings"

	"firnhand/core/finding"
)

// op is the kind of a condition node.
type op uint8

const (
	opTrue op = iota
	opAnd
	opOr
	opCell // the finding lies in mask
	opAxis // the answer lies in mask
)

// node is a compiled condition: a positive and/or tree over "this cell lies in
// this set". Not is pushed down into the sets when compiling.
type node struct {
	op    op
	index int    // cell or axis
	mask  uint32 // accepted bands or values
	kids  []*node
	text  string // for opCell and opAxis: as written, for people
	apart bool   // opCell: asks for the fresh or the tired value alone
}

// scope is what a name means while a condition is read.
type scope struct {
	this  finding.Side
	fresh bool
	line  int
}

// expr is a parsed condition before numbers are cut into bands.
type expr struct {
	kind  string // "and", "or", "not", "cmp", "axis", "true", "false"
	kids  []*expr
	key   finding.Key // cmp
	cmp   string      // "<", "<=", "=", "na"
	x     float64     // level index or number
	axis  int
	mask  uint32
	text  string
	apart bool
}

func and(kids ...*expr) *expr { return &expr{kind: "and", kids: kids} }
func or(kids ...*expr) *expr  { return &expr{kind: "or", kids: kids} }
func not(e *expr) *expr       { return &expr{kind: "not", kids: []*expr{e}} }

// condition parses text now and compiles it into *dest once all are parsed.
func (r *reader) condition(text string, sc scope, dest **node) {
	r.terms = 0
	e := r.expression(text, sc)
	if e == nil {
		e = &expr{kind: "false"}
	}
	r.exprs = append(r.exprs, &pending{e, dest})
}

func (r *reader) expression(text string, sc scope) *expr {
	p := &parser{r: r, sc: sc, toks: tokens(r.fill(text, sc.this, sc.line))}
	e := p.or()
	if e != nil && p.pos < len(p.toks) {
		p.fail("syntax", "%q is not expected here.", p.toks[p.pos])
		return nil
	}
	return e
}

// tokens cuts a condition into words and signs.
func tokens(s string) []string {
	var out []string
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c == ' ' || c == '\t':
			i++
		case strings.IndexByte("(),", c) >= 0:
			out = append(out, s[i:i+1])
			i++
		case strings.IndexByte("<>=!", c) >= 0:
			n := 1
			if i+1 < len(s) && s[i+1] == '=' {
				n = 2
			}
			out = append(out, s[i:i+n])
			i += n
		default:
			j := i
			for j < len(s) && strings.IndexByte(" \t(),<>=!", s[j]) < 0 {
				j++
			}
			out = append(out, s[i:j])
			i = j
		}
	}
	return out
}

type parser struct {
	r      *reader
	sc     scope
	toks   []string
	pos    int
	deep   int
	failed bool
}

// Limits of one condition; a table of the trade stays far below them.
const (
	conditionDeepest = 50
	conditionMost    = 20000 // comparisons, with every named condition written out
)

func (p *parser) fail(code, format string, args ...any) *expr {
	if !p.failed {
		p.r.problem(p.sc.line, code, format, args...)
	}
	p.failed = true
	return nil
}

func (p *parser) peek() string {
	if p.pos < len(p.toks) {
		return p.toks[p.pos]
	}
	return ""
}

func (p *parser) take(t string) bool {
	if p.peek() == t {
		p.pos++
		return true
	}
	return false
}

func (p *parser) or() *expr {
	e := p.and()
	if e == nil {
		return nil
	}
	kids := []*expr{e}
	for p.take("or") {
		if e = p.and(); e == nil {
			return nil
		}
		kids = append(kids, e)
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return or(kids...)
}

func (p *parser) and() *expr {
	e := p.unary()
	if e == nil {
		return nil
	}
	kids := []*expr{e}
	for p.take("and") {
		if e = p.unary(); e == nil {
			return nil
		}
		kids = append(kids, e)
	}
	if len(kids) == 1 {
		return kids[0]
	}
	return and(kids...)
}

func (p *parser) unary() *expr {
	if p.take("not") {
		if p.deep++; p.deep > conditionDeepest {
			return p.fail("syntax", "More than %d times not.", conditionDeepest)
		}
		e := p.unary()
		p.deep--
		if e == nil {
			return nil
		}
		return not(e)
	}
	if p.take("(") {
		if p.deep++; p.deep > conditionDeepest {
			return p.fail("syntax", "More than %d brackets inside each other.", conditionDeepest)
		}
		e := p.or()
		p.deep--
		if e == nil {
			return nil
		}
		if !p.take(")") {
			return p.fail("syntax", "A ( without its ).")
		}
		return e
	}
	return p.term()
}

// place is the side and state words in front of a name.
type place struct {
	side   string // "", each, either, or a side
	sides  []finding.Side
	fresh  bool
	tired  bool
	gap    bool
	tires  bool
	spoken string
}

func (p *parser) place() (place, bool) {
	pl := place{fresh: p.sc.fresh}
	for {
		w := p.peek()
		switch w {
		case "each", "either", "left", "right", "this", "other":
			if pl.side != "" {
				p.fail("syntax", "%s and %s cannot stand before the same name.", pl.side, w)
				return pl, false
			}
		}
		switch w {
		case "each", "either":
			pl.side, pl.sides = w, []finding.Side{finding.Left, finding.Right}
		case "left":
			pl.side, pl.sides = w, []finding.Side{finding.Left}
		case "right":
			pl.side, pl.sides = w, []finding.Side{finding.Right}
		case "this", "other":
			if p.sc.this == finding.NoSide {
				p.fail("syntax", "%q needs a block that says: each side.", w)
				return pl, false
			}
			side := p.sc.this
			if w == "other" {
				side = side.Other()
			}
			pl.side, pl.sides = w, []finding.Side{side}
		case "fresh":
			pl.fresh, pl.tired = true, false
		case "tired":
			pl.tired, pl.fresh = true, false
		case "gap":
			pl.gap = true
		case "tires":
			pl.tires = true
		default:
			return pl, true
		}
		p.pos++
	}
}

func (p *parser) term() *expr {
	pl, ok := p.place()
	if !ok {
		return nil
	}
	name := p.peek()
	if name == "" {
		return p.fail("syntax", "The condition ends too early.")
	}
	p.pos++
	if p.r.terms++; p.r.terms > conditionMost {
		return p.fail("syntax", "The condition is too long once its names are written out.")
	}
	if d, ok := p.r.defines[name]; ok {
		return p.named(d, pl)
	}
	if pl.tires {
		return p.tires(name)
	}
	if _, ok := p.r.axisStmt[name]; ok || name == "gate" {
		return p.axisTerm(name, pl)
	}
	def, ok := finding.Lookup(name)
	if !ok {
		_, err := finding.Parse(name, finding.NoSide, finding.Fresh, "")
		return p.fail("unknown_id", "%v", err)
	}
	return p.findingTerm(def, pl)
}

// plainly refuses words in front of a name that say nothing about it.
func (p *parser) plainly(name string, pl place) bool {
	switch {
	case pl.gap:
		p.fail("syntax", "gap goes with a finding that has sides, not with %s.", name)
	case pl.tired:
		p.fail("syntax", "%s cannot be asked for tired; only a finding can.", name)
	default:
		return true
	}
	return false
}

// named expands a defined condition for the sides asked for.
func (p *parser) named(d *define, pl place) *expr {
	d.used = true
	if !p.plainly(d.name, pl) || pl.tires {
		return p.fail("syntax", "tires goes with an axis, not with %s.", d.name)
	}
	if p.r.depth > 20 {
		return p.fail("cycle", "The condition %s is defined by itself.", d.name)
	}
	p.r.depth++
	defer func() { p.r.depth-- }()
	list := pl.sides
	if len(list) == 0 {
		list = []finding.Side{p.sc.this}
	}
	var kids []*expr
	for _, side := range list {
		e := p.r.expression(d.text, scope{this: side, fresh: pl.fresh, line: d.line})
		if e == nil {
			p.failed = true
			return nil
		}
		kids = append(kids, e)
	}
	return joined(pl.side, kids)
}

func joined(side string, kids []*expr) *expr {
	if len(kids) == 1 {
		return kids[0]
	}
	if side == "either" {
		return or(kids...)
	}
	return and(kids...)
}

// tires reads "tires way": the answer while fresh differs from the answer for
// the worse of fresh and tired.
func (p *parser) tires(name string) *expr {
	if st := p.r.axisStmt[name]; st == nil || st.kind != "axis" {
		return p.fail("unknown_id", "tires goes with an axis; %s is none.", name)
	}
	full, ok := p.axis(name, finding.NoSide, false)
	if !ok {
		return nil
	}
	fresh, ok := p.axis(name, finding.NoSide, true)
	if !ok {
		return nil
	}
	var kids []*expr
	for i, v := range p.r.t.axes[full].values {
		bit := uint32(1) << i
		kids = append(kids, and(
			&expr{kind: "axis", axis: full, mask: bit, text: name + " = " + v.ID},
			not(&expr{kind: "axis", axis: fresh, mask: bit, text: "fresh " + name + " = " + v.ID})))
	}
	return or(kids...)
}

// axis finds a compiled axis, making its fresh copy when asked for.
func (p *parser) axis(name string, side finding.Side, fresh bool) (int, bool) {
	id := axisID(name, side, fresh)
	if i, ok := p.r.t.axisIndex[id]; ok {
		return i, true
	}
	if fresh {
		if _, ok := p.r.t.axisIndex[axisID(name, side, false)]; ok {
			if name == "gate" || p.r.axisStmt[name].kind == "sum" {
				return p.r.t.axisIndex[axisID(name, side, false)], true
			}
			return p.r.axis(p.r.axisStmt[name], side, true), true
		}
	}
	code, say := "cycle", "%s is asked for before it is decided; an axis may only read axes above it."
	if st := p.r.axisStmt[name]; st != nil && eachSide(st) && side == finding.NoSide {
		code, say = "syntax", "%s has a left and a right: say which side."
	}
	p.fail(code, say, name)
	return 0, false
}

func (p *parser) axisTerm(name string, pl place) *expr {
	if !p.plainly(name, pl) {
		return nil
	}
	sign, words, ok := p.comparison(name)
	if !ok {
		return nil
	}
	list := pl.sides
	if len(list) == 0 {
		list = []finding.Side{finding.NoSide}
	}
	var kids []*expr
	for _, side := range list {
		i, ok := p.axis(name, side, pl.fresh && name != "gate")
		if !ok {
			return nil
		}
		a := p.r.t.axes[i]
		var mask uint32
		for _, w := range words {
			bit := uint32(0)
			for k, v := range a.values {
				if v.ID == w {
					bit = 1 << k
				}
			}
			if bit == 0 {
				return p.fail("unknown_id", "%s has no answer %q.", name, w)
			}
			mask |= bit
		}
		switch sign {
		case "!=", "not in":
			mask = (1<<len(a.values) - 1) &^ mask
		case "=", "in":
		default:
			return p.fail("syntax", "%s can only be compared with =, != or in.", name)
		}
		kids = append(kids, &expr{kind: "axis", axis: i, mask: mask,
			text: strings.ReplaceAll(a.id, "_", " ") + " " + sign + " " + strings.Join(words, ", ")})
	}
	return joined(pl.side, kids)
}

// comparison reads a sign and one value or a list of them.
func (p *parser) comparison(name string) (sign string, words []string, ok bool) {
	sign = p.peek()
	p.pos++
	if sign == "not" && p.take("in") {
		sign = "not in"
	}
	switch sign {
	case "in", "not in":
		if !p.take("(") {
			p.fail("syntax", "Write: %s in (a, b).", name)
			return "", nil, false
		}
		for {
			words = append(words, p.peek())
			p.pos++
			if p.take(")") {
				return sign, words, true
			}
			if !p.take(",") {
				p.fail("syntax", "The list after %s in is not closed.", name)
				return "", nil, false
			}
		}
	case "=", "!=", "<", "<=", ">", ">=":
		w := p.peek()
		if w == "" {
			p.fail("syntax", "%s %s needs a value.", name, sign)
			return "", nil, false
		}
		p.pos++
		return sign, []string{w}, true
	}
	p.fail("syntax", "%s must be followed by =, !=, <, <=, >, >= or in.", name)
	return "", nil, false
}

func (p *parser) findingTerm(d *finding.Def, pl place) *expr {
	if d.Scale == finding.Text {
		return p.fail("syntax", "%s is free text; no rule may read it.", d.ID)
	}
	if pl.tired && !d.Tiring {
		return p.fail("syntax", "%s has no tired value.", d.ID)
	}
	list := pl.sides
	if d.Sided && len(list) == 0 && !pl.gap {
		return p.fail("syntax", "%s has a left and a right: say each, either, left, right, this or other.", d.ID)
	}
	if !d.Sided && len(list) > 0 {
		return p.fail("syntax", "%s has no sides.", d.ID)
	}
	if !d.Sided {
		list = []finding.Side{finding.NoSide}
	}
	sign, words, ok := p.comparison(d.ID)
	if !ok {
		return nil
	}
	if pl.gap {
		return p.gap(d, pl, sign, words)
	}
	if len(words) == 1 && (words[0] == "this" || words[0] == "other" || words[0] == "left" || words[0] == "right") && !d.SideValue {
		return p.against(d, pl, list[0], sign, words[0])
	}
	var xs []float64
	na := false
	for _, w := range words {
		if w == "na" {
			na = true
			continue
		}
		v, err := finding.Parse(d.ID, d.Keys()[0].Side, finding.Fresh, w)
		if err != nil || v.Kind != finding.Known {
			return p.fail("unknown_id", "%v", valueError(d, w, err))
		}
		xs = append(xs, v.X)
	}
	if d.Scale == finding.Choice && strings.ContainsAny(sign, "<>") {
		return p.fail("syntax", "%s has no order; compare it with =, != or in.", d.ID)
	}
	if na && !d.NA {
		return p.fail("unknown_id", "%s cannot be \"na\".", d.ID)
	}
	if strings.ContainsAny(sign, "<>") && len(xs) != 1 {
		return p.fail("syntax", "%s can be above or below a value, not \"na\".", d.ID)
	}
	var kids []*expr
	for _, side := range list {
		w := worst{d: d, side: side, pl: pl}
		text := w.text() + " " + sign + " " + strings.Join(words, ", ")
		var e *expr
		switch sign {
		case "<":
			e = w.below(xs[0], "<", text)
		case "<=":
			e = w.below(xs[0], "<=", text)
		case ">":
			e = w.above(xs[0], "<=", text)
		case ">=":
			e = w.above(xs[0], "<", text)
		case "=", "in":
			e = w.oneOf(xs, na, text)
		default: // "!=", "not in"
			e = not(w.oneOf(xs, na, text))
		}
		kids = append(kids, e)
	}
	return joined(pl.side, kids)
}

func valueError(d *finding.Def, w string, err error) error {
	if err != nil {
		return err
	}
	return fmt.Errorf("%s cannot be compared with %q.", d.ID, w)
}

// worst builds comparisons with the worse of the fresh and tired values.
type worst struct {
	d    *finding.Def
	side finding.Side
	pl   place
}

func (w worst) text() string {
	out := w.d.ID
	if w.side != finding.NoSide {
		out = w.side.Word() + " " + out
	}
	if w.pl.fresh && w.d.Tiring {
		out = "fresh " + out
	}
	if w.pl.tired {
		out = "tired " + out
	}
	return out
}

func (w worst) keys() []finding.Key {
	switch {
	case !w.d.Tiring, w.pl.fresh:
		return []finding.Key{{ID: w.d.ID, Side: w.side, State: finding.Fresh}}
	case w.pl.tired:
		return []finding.Key{{ID: w.d.ID, Side: w.side, State: finding.Tired}}
	}
	return []finding.Key{{ID: w.d.ID, Side: w.side, State: finding.Fresh}, {ID: w.d.ID, Side: w.side, State: finding.Tired}}
}

// lowIsWorse tells whether the worse of two values is the smaller one.
func (w worst) lowIsWorse() bool { return w.d.Scale != finding.Number || w.d.MoreIsGood }

func (w worst) leaf(k finding.Key, sign string, x float64, text string) *expr {
	return &expr{kind: "cmp", key: k, cmp: sign, x: x, text: text, apart: w.d.Tiring && (w.pl.fresh || w.pl.tired)}
}

// below is "the worse value is < x" (or <=).
func (w worst) below(x float64, sign, text string) *expr {
	var kids []*expr
	for _, k := range w.keys() {
		kids = append(kids, w.leaf(k, sign, x, text))
	}
	if w.lowIsWorse() {
		return or(kids...)
	}
	return and(kids...)
}

// above is "the worse value is not < x" (or not <=), which "na" never is.
func (w worst) above(x float64, sign, text string) *expr {
	flip := map[string]string{"<": ">=", "<=": ">"}[sign]
	var kids []*expr
	for _, k := range w.keys() {
		kids = append(kids, w.leaf(k, flip, x, text))
	}
	if w.lowIsWorse() {
		return and(kids...)
	}
	return or(kids...)
}

func (w worst) oneOf(xs []float64, na bool, text string) *expr {
	var kids []*expr
	for _, x := range xs {
		if len(w.keys()) == 1 {
			kids = append(kids, w.leaf(w.keys()[0], "=", x, text))
			continue
		}
		kids = append(kids, and(w.below(x, "<=", text), w.above(x, "<", text)))
	}
	if na {
		for _, k := range w.keys() {
			kids = append(kids, w.leaf(k, "na", 0, text))
		}
	}
	return or(kids...)
}

// gap reads "gap push_out >= 2": left and right differ by at least that many levels.
func (p *parser) gap(d *finding.Def, pl place, sign string, words []string) *expr {
	n, err := strconv.Atoi(words[0])
	if err != nil || sign != ">=" || n < 1 || !d.Sided || d.Scale != finding.Ordered {
		return p.fail("syntax", "Write: gap finding >= levels, for a finding with levels and sides.")
	}
	l, rt := worst{d, finding.Left, pl}, worst{d, finding.Right, pl}
	text := "left-right gap of " + d.ID + " >= " + words[0]
	var kids []*expr
	for a := 0; a+n < len(d.Levels); a++ {
		lo, hi := float64(a), float64(a+n)
		kids = append(kids, and(l.below(lo, "<=", text), rt.above(hi, "<", text)), and(rt.below(lo, "<=", text), l.above(hi, "<", text)))
	}
	return or(kids...)
}

// against reads "this push_out < other push_out".
func (p *parser) against(d *finding.Def, pl place, side finding.Side, sign, word string) *expr {
	p.pos-- // the side word is read again, with the finding behind it
	right, ok := p.place()
	if !ok {
		return nil
	}
	if p.peek() != d.ID || len(right.sides) != 1 || d.Scale != finding.Ordered || (sign != "<" && sign != ">") {
		return p.fail("syntax", "%s can only be compared with the other side of itself, with < or >.", d.ID)
	}
	p.pos++
	a, b := worst{d, side, pl}, worst{d, right.sides[0], pl}
	text := a.text() + " " + sign + " " + b.text()
	if sign == ">" {
		a, b = b, a
	}
	var kids []*expr
	for k := 0; k+1 < len(d.Levels); k++ {
		kids = append(kids, and(a.below(float64(k), "<=", text), b.above(float64(k), "<=", text)))
	}
	return or(kids...)
}
