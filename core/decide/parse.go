package decide

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"firnhand/core/finding"
)

// Problem is one fault of a rule table.
type Problem struct {
	Line     int    // line of the text, from 1
	Code     string // "syntax", "unknown_id", "contradiction", "unreachable", "gap", "cycle", "duplicate"
	Sentence string
}

// Problems is the error Parse returns: every fault it found, in line order.
type Problems []Problem

// Error lists the problems, one a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = fmt.Sprintf("line %d: %s", one.Line, one.Sentence)
	}
	return strings.Join(lines, "\n")
}

// statement is one block of the text: a head line and its clauses.
type statement struct {
	kind  string
	words []string // the rest of the head line, in words
	rest  string   // the rest of the head line
	line  int
	parts []clause
}

type clause struct {
	key, text string
	line      int
}

func (s *statement) get(key string) string {
	for _, c := range s.parts {
		if c.key == key {
			return c.text
		}
	}
	return ""
}

func (s *statement) has(key string) bool {
	for _, c := range s.parts {
		if c.key == key {
			return true
		}
	}
	return false
}

// define is a named condition; its text is expanded where it is used.
type define struct {
	name, text string
	line       int
	used       bool
}

// reader holds what is known while a text is compiled.
type reader struct {
	t        *Table
	over     map[string]float64
	defines  map[string]*define
	problems Problems
	stmts    []*statement
	exprs    []*pending
	ruleOf   map[string][]*statement // rules of an axis in order
	extraOf  map[string][]*statement
	axisStmt map[string]*statement
	depth    int
	terms    int // comparisons in the condition being read
}

// pending is a parsed condition that waits for the cut points of all numbers.
type pending struct {
	e    *expr
	dest **node
}

// Parse compiles a rule table from its text. Every fault found is reported;
// the error is a Problems. See standing.rules for the form of the text.
func Parse(text string) (*Table, error) { return ParseWith(text, nil) }

// ParseWith is Parse with the values of some settings replaced, as a programme
// does that has signed off its own numbers. An unknown name or a value outside
// the setting's range is a problem.
func ParseWith(text string, values map[string]float64) (*Table, error) {
	return read(text, values, true)
}

// textMost is the longest rule table read, in bytes.
const textMost = 1 << 20

// read compiles a table; looking for unreachable rules can be left out for a
// text that has been through it before.
func read(text string, values map[string]float64, lint bool) (*Table, error) {
	r := &reader{
		t: &Table{settingMap: map[string]*Setting{}, axisIndex: map[string]int{}, gateIndex: map[string]int{},
			cellIndex: map[finding.Key]int{}, source: text, gateAxis: -1},
		over: values, defines: map[string]*define{}, ruleOf: map[string][]*statement{},
		extraOf: map[string][]*statement{}, axisStmt: map[string]*statement{},
	}
	if len(text) > textMost {
		return nil, Problems{{1, "syntax", "The rule table is larger than 1 MB."}}
	}
	r.split(text)
	r.declare()
	r.compile()
	if len(r.problems) == 0 {
		r.finish()
	}
	if len(r.problems) == 0 && lint {
		r.lint()
	}
	if len(r.problems) > 0 {
		sort.SliceStable(r.problems, func(i, j int) bool { return r.problems[i].Line < r.problems[j].Line })
		return nil, r.problems
	}
	return r.t, nil
}

func (r *reader) problem(line int, code, format string, args ...any) {
	r.problems = append(r.problems, Problem{line, code, fmt.Sprintf(format, args...)})
}

var heads = map[string]bool{"table": true, "version": true, "setting": true, "define": true, "axis": true, "rule": true,
	"gate": true, "note": true, "sum": true, "extra": true}

var clauses = map[string]bool{"means": true, "basis": true, "asks": true, "value": true, "for": true, "when": true, "then": true,
	"because": true, "otherwise": true, "each": true, "clears": true, "card": true, "assume": true, "say": true, "code": true,
	"from": true, "most": true}

// split cuts the text into statements. A head starts in the first column; its
// clauses are indented by two spaces, a continued clause by four.
func (r *reader) split(text string) {
	var cur *statement
	for i, raw := range strings.Split(text, "\n") {
		line := i + 1
		body := strings.TrimRight(raw, " \t\r")
		trim := strings.TrimSpace(body)
		if trim == "" || strings.HasPrefix(trim, "#") {
			continue
		}
		indent := len(body) - len(strings.TrimLeft(body, " "))
		first, rest, _ := strings.Cut(trim, " ")
		rest = strings.TrimSpace(rest)
		switch {
		case indent == 0 && heads[first]:
			cur = &statement{kind: first, words: strings.Fields(rest), rest: rest, line: line}
			r.stmts = append(r.stmts, cur)
		case indent == 0:
			r.problem(line, "syntax", "%q does not start anything; a block starts with table, setting, define, axis, rule, gate, note, sum or extra.", first)
			cur = nil
		case cur == nil:
			continue
		case cur.kind == "define":
			cur.rest += " " + trim
		case indent >= 4 && len(cur.parts) > 0:
			cur.parts[len(cur.parts)-1].text += " " + trim
		case clauses[first]:
			cur.parts = append(cur.parts, clause{first, rest, line})
		default:
			r.problem(line, "syntax", "%q is not a line of a %s.", first, cur.kind)
		}
	}
}

// declare reads everything that can be named before conditions are compiled.
func (r *reader) declare() {
	seen := map[string]int{}
	once := func(kind, id string, line int) bool {
		if id == "" {
			r.problem(line, "syntax", "A %s needs a name.", kind)
			return false
		}
		key := kind + " " + id
		if at, twice := seen[key]; twice {
			r.problem(line, "duplicate", "The %s %s is already on line %d.", kind, id, at)
			return false
		}
		seen[key] = line
		return true
	}
	for _, s := range r.stmts {
		name := ""
		if len(s.words) > 0 {
			name = s.words[0]
		}
		switch s.kind {
		case "table":
			r.t.Name = s.rest
		case "version":
			r.t.Version = s.rest
		case "setting":
			if once("setting", name, s.line) {
				r.setting(s)
			}
		case "define":
			if once("define", name, s.line) {
				_, body, ok := strings.Cut(s.rest, "=")
				if !ok {
					r.problem(s.line, "syntax", "Write: define name = condition.")
					continue
				}
				r.defines[name] = &define{name: name, text: strings.TrimSpace(body), line: s.line}
			}
		case "axis", "sum":
			if once("axis", name, s.line) {
				if _, taken := finding.Lookup(name); taken {
					r.problem(s.line, "duplicate", "%s is the name of a finding already.", name)
				}
				r.axisStmt[name] = s
			}
		case "rule":
			if once("rule", name, s.line) {
				r.ruleOf[s.get("for")] = append(r.ruleOf[s.get("for")], s)
			}
		case "extra":
			if once("rule", name, s.line) {
				r.extraOf[s.get("for")] = append(r.extraOf[s.get("for")], s)
			}
		case "gate", "note":
			once(s.kind, name, s.line)
		}
	}
	for axis, rules := range r.ruleOf {
		if st, ok := r.axisStmt[axis]; !ok || st.kind != "axis" {
			for _, s := range rules {
				r.problem(s.line, "unknown_id", "Rule %s is for %q, which is not an axis of this table.", s.words[0], axis)
			}
		}
	}
	for axis, rules := range r.extraOf {
		if st, ok := r.axisStmt[axis]; !ok || st.kind != "sum" {
			for _, s := range rules {
				r.problem(s.line, "unknown_id", "Extra %s is for %q, which is not a sum of this table.", s.words[0], axis)
			}
		}
	}
	for name := range r.over {
		if _, ok := r.t.settingMap[name]; !ok {
			r.problem(0, "unknown_id", "There is no setting called %q.", name)
		}
	}
}

// setting reads "name = 30 s, 10 to 60".
func (r *reader) setting(s *statement) {
	head, span, ok := strings.Cut(s.rest, ",")
	f := strings.Fields(head)
	if !ok || len(f) < 3 || f[1] != "=" {
		r.problem(s.line, "syntax", "Write: setting name = value unit, low to high.")
		return
	}
	v, err := strconv.ParseFloat(f[2], 64)
	lowText, highText, ok := strings.Cut(span, " to ")
	lo, err2 := strconv.ParseFloat(strings.TrimSpace(lowText), 64)
	hi, err3 := strconv.ParseFloat(strings.TrimSpace(highText), 64)
	if !ok || err != nil || err2 != nil || err3 != nil || v < lo || v > hi {
		r.problem(s.line, "syntax", "Setting %s needs a value inside its own range: name = value unit, low to high.", f[0])
		return
	}
	if x, given := r.over[f[0]]; given {
		if math.IsNaN(x) || x < lo || x > hi {
			r.problem(s.line, "syntax", "Setting %s is %s; it must lie between %s and %s.", f[0],
				finding.FormatNumber(x), finding.FormatNumber(lo), finding.FormatNumber(hi))
			return
		}
		v = x
	}
	set := &Setting{Name: f[0], Value: v, Unit: strings.Join(f[3:], " "), Min: lo, Max: hi, Means: s.get("means"),
		Basis: strings.Fields(s.get("basis")), line: s.line}
	for _, b := range set.Basis {
		set.Proposed = set.Proposed || b == "P"
	}
	r.basis(s)
	r.t.settings = append(r.t.settings, set)
	r.t.settingMap[set.Name] = set
}

// basis refuses a statement without one.
func (r *reader) basis(s *statement) []string {
	b := strings.Fields(s.get("basis"))
	if len(b) == 0 {
		r.problem(s.line, "syntax", "The %s on this line has no basis: S1 to S56, CP, M or P.", s.kind)
	}
	for _, one := range b {
		if !basisKnown(one) {
			r.problem(s.line, "unknown_id", "%q is not a basis: use S1 to S56, CP, M or P.", one)
		}
	}
	return b
}

func basisKnown(b string) bool {
	switch b {
	case "CP", "M", "P":
		return true
	}
	if !strings.HasPrefix(b, "S") {
		return false
	}
	n, err := strconv.Atoi(strings.TrimSuffix(b[1:], "b"))
	return err == nil && n >= 1 && n <= 56
}

// fill replaces {setting}, {this}, {This}, {other} and {Other}.
func (r *reader) fill(text string, side finding.Side, line int) string {
	var out strings.Builder
	for {
		i := strings.IndexByte(text, '{')
		if i < 0 {
			out.WriteString(text)
			return out.String()
		}
		j := strings.IndexByte(text[i:], '}')
		if j < 0 {
			r.problem(line, "syntax", "A { without its }.")
			return text
		}
		out.WriteString(text[:i])
		name := text[i+1 : i+j]
		text = text[i+j+1:]
		switch name {
		case "this", "This", "other", "Other":
			if side == finding.NoSide {
				r.problem(line, "syntax", "{%s} needs a block that says: each side.", name)
				continue
			}
			word := side.Word()
			if strings.ToLower(name) == "other" {
				word = side.Other().Word()
			}
			if name[0] < 'a' {
				word = strings.ToUpper(word[:1]) + word[1:]
			}
			out.WriteString(word)
		default:
			s, ok := r.t.settingMap[name]
			if !ok {
				r.problem(line, "unknown_id", "There is no setting called %q.", name)
				continue
			}
			out.WriteString(finding.FormatNumber(s.Value))
		}
	}
}

func sides(each bool) []finding.Side {
	if each {
		return []finding.Side{finding.Left, finding.Right}
	}
	return []finding.Side{finding.NoSide}
}

func eachSide(s *statement) bool {
	return s.get("each") == "side" || strings.HasSuffix(s.rest, "each side")
}

// axisID names a compiled axis.
func axisID(base string, side finding.Side, fresh bool) string {
	id := base
	if side != finding.NoSide {
		id += "_" + side.Word()
	}
	if fresh {
		id += " fresh"
	}
	return id
}

// compile turns statements into axes, gates and notes, in the order written.
func (r *reader) compile() {
	r.compileGates()
	for _, s := range r.stmts {
		if len(s.words) == 0 {
			continue // said already
		}
		switch s.kind {
		case "axis":
			for _, side := range sides(eachSide(s)) {
				r.axis(s, side, false)
			}
		case "sum":
			r.sum(s)
		case "note":
			r.note(s)
		}
	}
	for name, d := range r.defines {
		if !d.used {
			r.problem(d.line, "unreachable", "The condition %s is named but never used.", name)
		}
	}
}

func (r *reader) newAxis(a *axis) int {
	a.sumBase = -1
	r.t.axes = append(r.t.axes, a)
	i := len(r.t.axes) - 1
	r.t.axisIndex[a.id] = i
	return i
}

func (r *reader) axis(s *statement, side finding.Side, fresh bool) int {
	base := s.words[0]
	a := &axis{id: axisID(base, side, fresh), base: base, side: side, fresh: fresh, asks: s.get("asks")}
	for _, c := range s.parts {
		if c.key == "value" {
			id, label, _ := strings.Cut(c.text, " ")
			for _, v := range a.values {
				if v.ID == id {
					r.problem(c.line, "duplicate", "Axis %s has the value %s twice.", base, id)
				}
			}
			a.values = append(a.values, Value{id, strings.TrimSpace(label)})
		}
	}
	if len(a.values) < 2 || len(a.values) > 31 {
		r.problem(s.line, "syntax", "Axis %s needs between 2 and 31 values.", base)
		return -1
	}
	rules := r.ruleOf[base]
	if len(rules) == 0 {
		r.problem(s.line, "gap", "Axis %s has no rules.", base)
		return -1
	}
	for _, rs := range rules {
		turns := []finding.Side{side}
		if side == finding.NoSide {
			turns = sides(eachSide(rs))
		}
		for _, this := range turns {
			rule := r.rule(rs, a, this, fresh)
			if rule != nil {
				a.rules = append(a.rules, rule)
			}
		}
	}
	i := r.newAxis(a)
	if last := rules[len(rules)-1]; !last.has("otherwise") {
		r.problem(last.line, "gap", "The last rule of axis %s must say otherwise, so that every person gets an answer.", base)
	}
	return i
}

func (r *reader) rule(s *statement, a *axis, this finding.Side, fresh bool) *Rule {
	rule := &Rule{ID: s.words[0], Axis: a.id, Side: this, When: s.get("when"), Because: s.fillText(r, "because", this), Basis: r.basis(s), Line: s.line}
	then := s.get("then")
	switch {
	case s.has("otherwise"):
		then = s.get("otherwise")
		rule.When = ""
		rule.cond = &node{op: opTrue}
	case rule.When == "":
		r.problem(s.line, "syntax", "Rule %s needs a line that starts with when or otherwise.", rule.ID)
		return nil
	default:
		r.condition(rule.When, scope{this: this, fresh: fresh, line: s.line}, &rule.cond)
	}
	if rule.Because == "" {
		r.problem(s.line, "syntax", "Rule %s gives no reason.", rule.ID)
	}
	rule.Then = r.fill(then, this, s.line)
	rule.value = -1
	for i, v := range a.values {
		if v.ID == rule.Then {
			rule.value = i
		}
	}
	if rule.value < 0 {
		r.problem(s.line, "unknown_id", "Rule %s answers %q, which is not a value of axis %s.", rule.ID, rule.Then, a.base)
		return nil
	}
	return rule
}

func (s *statement) fillText(r *reader, key string, this finding.Side) string {
	return r.fill(s.get(key), this, s.line)
}

// sum compiles an axis that adds one for every extra that holds.
func (r *reader) sum(s *statement) {
	base, ok := r.t.axisIndex[s.get("from")]
	if !ok {
		r.problem(s.line, "unknown_id", "Sum %s starts from %q, which is not an axis above it.", s.words[0], s.get("from"))
		return
	}
	for i, v := range r.t.axes[base].values {
		if v.ID != strconv.Itoa(i+1) {
			r.problem(s.line, "syntax", "Sum %s can only start from an axis whose values are 1, 2 and so on; %s is not.", s.words[0], s.get("from"))
			return
		}
	}
	most, err := strconv.Atoi(r.fill(s.get("most"), finding.NoSide, s.line))
	if err != nil || most < 1 || most > 20 {
		r.problem(s.line, "syntax", "Sum %s needs a whole number as its most.", s.words[0])
		return
	}
	a := &axis{id: s.words[0], base: s.words[0], asks: s.get("asks")}
	for i := 1; i <= most; i++ {
		a.values = append(a.values, Value{strconv.Itoa(i), strconv.Itoa(i)})
	}
	for _, es := range r.extraOf[a.base] {
		e := &Rule{ID: es.words[0], Axis: a.id, When: es.get("when"), Because: es.get("because"), Basis: r.basis(es), Line: es.line}
		r.condition(e.When, scope{line: es.line}, &e.cond)
		a.extras = append(a.extras, e)
	}
	i := r.newAxis(a)
	r.t.axes[i].sumBase, r.t.axes[i].sumMost = base, most
}

func (r *reader) compileGates() {
	t := r.t
	strict := map[string]Effect{"rule": RuleOnly, "re_evaluate": ReEvaluate, "hold_standing": HoldStanding, "hold": Hold, "refuse": Refuse}
	for _, s := range r.stmts {
		if s.kind != "gate" || len(s.words) != 2 {
			if s.kind == "gate" {
				r.problem(s.line, "syntax", "Write: gate id effect, the effect being rule, re_evaluate, hold_standing, hold or refuse.")
			}
			continue
		}
		effect, ok := strict[s.words[1]]
		if !ok {
			r.problem(s.line, "unknown_id", "%q is not an effect of a gate.", s.words[1])
			continue
		}
		g := &Gate{ID: s.words[0], Effect: effect, When: s.get("when"), Clears: s.get("clears"), Because: s.get("because"),
			Card: s.fillText(r, "card", finding.NoSide), Basis: r.basis(s), Line: s.line}
		for _, part := range strings.Split(s.get("assume"), ",") {
			if part = strings.TrimSpace(part); part != "" {
				id, v, _ := strings.Cut(part, "=")
				g.Assume = append(g.Assume, Assumption{strings.TrimSpace(id), strings.TrimSpace(v)})
				if _, err := finding.Parse(strings.TrimSpace(id), finding.NoSide, finding.Fresh, strings.TrimSpace(v)); err != nil {
					r.problem(s.line, "unknown_id", "%v", err)
				}
			}
		}
		if g.Because == "" || g.When == "" {
			r.problem(s.line, "syntax", "Gate %s needs a condition and a reason.", g.ID)
			continue
		}
		if g.Clears == "" && effect != RuleOnly && effect != Refuse {
			r.problem(s.line, "syntax", "Gate %s holds but does not say who clears it.", g.ID)
		}
		r.addGate(g, scope{line: s.line})
	}
	for _, effect := range []Effect{HoldStanding, Hold} {
		r.addGate(&Gate{ID: manualGate(effect), Effect: effect, Clears: "the person named in the hold", Because: "A hold entered by hand stands.",
			Basis: []string{"CP"}, manual: true}, scope{})
	}
	a := &axis{id: "gate", base: "gate", asks: "Gate", gate: true}
	for e := NoEffect; e <= Refuse; e++ {
		a.values = append(a.values, Value{e.String(), gateLabels[e]})
	}
	t.gateAxis = r.newAxis(a)
}

var gateLabels = [...]string{"open", "open, with rules on the card", "evaluate again first", "no standing today", "no skiing today", "no"}

func manualGate(e Effect) string {
	if e == HoldStanding {
		return "HOLD_STANDING"
	}
	return "HOLD"
}

// addGate makes a gate and the yes/no axis that says whether it is active.
func (r *reader) addGate(g *Gate, sc scope) {
	t := r.t
	g.clear = len(t.cells)
	t.cells = append(t.cells, cell{gate: g.ID, bands: 2})
	if g.manual {
		// Band 1 of the pseudo cell means "held by hand".
		g.cond = &node{op: opCell, index: g.clear, mask: 2}
	} else {
		r.condition(g.When, sc, &g.cond)
	}
	t.gateIndex[g.ID] = len(t.gates)
	t.gates = append(t.gates, g)
	i := r.newAxis(&axis{id: "gate " + g.ID, base: "gate " + g.ID, values: []Value{{"no", "no"}, {"yes", "yes"}}})
	if len(t.gates) == 1 {
		t.gateAxis0 = i
	}
}

var noteKinds = map[string]bool{"stop": true, "warn": true, "avoid": true, "check": true, "do": true}

func (r *reader) note(s *statement) {
	if len(s.words) < 2 || !noteKinds[s.words[1]] {
		r.problem(s.line, "syntax", "Write: note name kind, the kind being stop, warn, avoid, check or do.")
		return
	}
	for _, side := range sides(eachSide(s)) {
		code := s.fillText(r, "code", side)
		if code == "" {
			code = s.words[0]
			if side != finding.NoSide {
				r.problem(s.line, "syntax", "Note %s is read for each side and needs a code with {this} or {other}.", code)
			}
		}
		n := &Note{Code: code, Kind: s.words[1], Side: side, When: s.get("when"), Say: s.fillText(r, "say", side), Basis: r.basis(s), Line: s.line}
		if n.When == "" || n.Say == "" {
			r.problem(s.line, "syntax", "Note %s needs a condition and something to say.", code)
			continue
		}
		r.condition(n.When, scope{this: side, line: s.line}, &n.cond)
		n.axis = r.newAxis(&axis{id: "note " + s.words[0] + " " + side.Word(), base: "note", values: []Value{{"no", "no"}, {"yes", "yes"}}})
		r.t.notes = append(r.t.notes, n)
	}
}
