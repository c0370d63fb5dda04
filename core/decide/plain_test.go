package decide

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"firnhand/core/finding"
)

// The plain version: the rule text read a second time, by other means. It
// works on the concrete values of one person with ordinary true and false. It
// knows no bands, no masks and no "maybe": where a value is unknown it tries
// every value there is, and where a change is asked for it makes changes and
// looks. It is short and slow, so that reading it is enough to believe it.
// plain_compare_test.go holds the engine against it.

// plainTable is a rule text as the plain version understands it.
type plainTable struct {
	settings map[string]string
	defines  map[string]string
	axes     map[string]*plainAxis
	order    []*plainAxis // as written, the gate last
	gates    []plainGate
	notes    []plainNote

	keys     []finding.Key              // every value some condition mentions
	slot     map[finding.Key]int        // its place in a person
	compared map[string][]plainCut      // number comparisons written for a finding
	steps    map[string][]finding.Value // one value per step of a finding's scale
	reading  *plainAxis                 // whose conditions are being read
}

// plainAxis is a question. A sum has extras and starts from another axis.
type plainAxis struct {
	id     string
	n      int
	sided  bool
	values []string
	rules  []plainRule
	from   *plainAxis
	most   int
	extras []plainRule

	apart bool                // mentions fresh or tired values by themselves
	keys  map[int]bool        // slots it mentions
	above map[*plainAxis]bool // axes it mentions
}

type plainRule struct {
	id   string
	each bool
	cond plainCond
	then [3]int // for each side "this" may be
}

type plainGate struct {
	id     string
	effect Effect
	cond   plainCond
}

type plainNote struct {
	code [3]string
	cond plainCond
	each bool
}

type plainCut struct {
	sign string
	x    float64
}

// plainCond is a condition asked of a person, for the side called "this" and
// for the fresh copy of a question or the usual one.
type plainCond func(p *plainPerson, this finding.Side, fresh bool) bool

// plainPerson is a person while one question is answered.
type plainPerson struct {
	t       *plainTable
	vals    []finding.Value
	cleared map[string]bool
	held    []Effect

	read   []int  // slots looked at since reset
	looked []bool // the same as a list of yes and no
	missed int    // first unknown slot looked at, -1 for none
	done   []int  // answers found since reset, plus one
	by     string // rule that gave the answer
	tries  int    // times a question was asked
}

func (t *plainTable) person(in Input) *plainPerson {
	p := &plainPerson{t: t, vals: make([]finding.Value, len(t.keys)), looked: make([]bool, len(t.keys)), missed: -1,
		cleared: map[string]bool{}, held: in.Held, done: make([]int, 6*len(t.order))}
	for i, k := range t.keys {
		p.vals[i] = in.Findings[k]
	}
	for _, g := range in.Cleared {
		p.cleared[g] = true
	}
	return p
}

func (p *plainPerson) reset() {
	for _, i := range p.read {
		p.looked[i] = false
	}
	p.read, p.missed = p.read[:0], -1
	clear(p.done)
}

// look reads a value and remembers that it was read. What is answered after
// an unknown value was read does not count.
func (p *plainPerson) look(slot int) finding.Value {
	if !p.looked[slot] {
		p.looked[slot] = true
		p.read = append(p.read, slot)
	}
	if p.vals[slot].Kind == finding.Unknown && p.missed < 0 {
		p.missed = slot
	}
	return p.vals[slot]
}

// answer gives the answer of a question: the first rule that holds.
func (p *plainPerson) answer(a *plainAxis, side finding.Side, fresh bool) int {
	if fresh && (a.id == "gate" || a.from != nil) {
		fresh = false
	}
	at := a.n*6 + int(side)*2
	if fresh {
		at++
	}
	if p.done[at] == 0 {
		p.done[at] = 1 + p.first(a, side, fresh)
	}
	return p.done[at] - 1
}

func (p *plainPerson) first(a *plainAxis, side finding.Side, fresh bool) int {
	switch {
	case a.id == "gate":
		return p.gate()
	case a.from != nil:
		n := p.answer(a.from, side, false)
		for _, e := range a.extras {
			if e.cond(p, finding.NoSide, false) {
				n++
			}
		}
		return min(n, a.most-1)
	}
	for _, r := range a.rules {
		turns := []finding.Side{side}
		if r.each {
			turns = []finding.Side{finding.Left, finding.Right}
		}
		for _, this := range turns {
			if r.cond(p, this, fresh) {
				p.by = r.id
				return r.then[this]
			}
		}
	}
	panic("plain: no rule of " + a.id + " holds")
}

// gate is the strictest effect that is active.
func (p *plainPerson) gate() int {
	for e := Refuse; e > NoEffect; e-- {
		if slices.Contains(p.held, e) {
			return int(e)
		}
		for _, g := range p.t.gates {
			if g.effect == e && !p.cleared[g.id] && g.cond(p, finding.NoSide, false) {
				return int(e)
			}
		}
	}
	return int(NoEffect)
}

// ------------------------------------------------------------ reading the text

type plainBlock struct {
	kind, head string
	words      []string
	lines      [][2]string
}

func (b *plainBlock) get(key string) string {
	for _, l := range b.lines {
		if l[0] == key {
			return l[1]
		}
	}
	return ""
}

func (b *plainBlock) each() bool {
	return strings.HasSuffix(b.head, "each side") || b.get("each") == "side"
}

var plainSides = []finding.Side{finding.NoSide, finding.Left, finding.Right}

func plainBlocks(text string) (blocks []*plainBlock) {
	for _, line := range strings.Split(text, "\n") {
		words := strings.Fields(line)
		if len(words) == 0 || words[0][0] == '#' {
			continue
		}
		all := strings.Join(words, " ")
		if line[0] != ' ' {
			blocks = append(blocks, &plainBlock{kind: words[0], head: strings.TrimPrefix(all, words[0]+" "), words: words[1:]})
			continue
		}
		b := blocks[len(blocks)-1]
		switch {
		case b.kind == "define":
			b.head += " " + all
		case strings.HasPrefix(line, "    "):
			b.lines[len(b.lines)-1][1] += " " + all
		default:
			b.lines = append(b.lines, [2]string{words[0], strings.Join(words[1:], " ")})
		}
	}
	return blocks
}

func plainRead(text string, values map[string]float64) *plainTable {
	t := &plainTable{settings: map[string]string{}, defines: map[string]string{}, axes: map[string]*plainAxis{},
		slot: map[finding.Key]int{}, compared: map[string][]plainCut{}, steps: map[string][]finding.Value{}}
	axis := func(id string, sided bool) *plainAxis {
		a := &plainAxis{id: id, n: len(t.order), sided: sided, keys: map[int]bool{}, above: map[*plainAxis]bool{}}
		t.axes[id] = a
		t.order = append(t.order, a)
		return a
	}
	blocks := plainBlocks(text)
	for _, b := range blocks { // names first
		switch b.kind {
		case "setting": // name = value unit, low to high
			t.settings[b.words[0]] = strings.TrimSuffix(b.words[2], ",")
			if v, ok := values[b.words[0]]; ok {
				t.settings[b.words[0]] = strconv.FormatFloat(v, 'f', -1, 64)
			}
		case "define":
			name, body, _ := strings.Cut(b.head, " = ")
			t.defines[name] = body
		case "axis", "sum":
			a := axis(b.words[0], b.each())
			for _, l := range b.lines {
				if l[0] == "value" {
					a.values = append(a.values, strings.Fields(l[1])[0])
				}
			}
		}
	}
	gate := axis("gate", false)
	gate.values = effectNames[:]
	for _, b := range blocks { // then conditions
		t.reading = &plainAxis{keys: map[int]bool{}, above: map[*plainAxis]bool{}}
		switch b.kind {
		case "gate":
			t.reading = gate
			effect := Effect(slices.Index(effectNames[:], strings.Replace(b.words[1], "rule", "none_with_rules", 1)))
			t.gates = append(t.gates, plainGate{b.words[0], effect, t.cond(b.get("when"))})
		case "rule", "extra":
			a := t.axes[b.get("for")]
			t.reading = a
			r := plainRule{id: b.words[0], each: b.each() && !a.sided}
			r.cond = func(*plainPerson, finding.Side, bool) bool { return true }
			if when := b.get("when"); when != "" {
				r.cond = t.cond(when)
			}
			if b.kind == "extra" {
				a.extras = append(a.extras, r)
				continue
			}
			for _, s := range plainSides {
				r.then[s] = slices.Index(a.values, t.fill(b.get("then")+b.get("otherwise"), s))
			}
			a.rules = append(a.rules, r)
		case "sum":
			a := t.axes[b.words[0]]
			a.from = t.axes[b.get("from")]
			a.above[a.from] = true
			a.most, _ = strconv.Atoi(t.fill(b.get("most"), finding.NoSide))
			for i := 1; i <= a.most; i++ {
				a.values = append(a.values, strconv.Itoa(i))
			}
		case "note":
			n := plainNote{cond: t.cond(b.get("when")), each: b.each()}
			code := b.get("code")
			if code == "" {
				code = b.words[0]
			}
			for _, s := range plainSides {
				n.code[s] = t.fill(code, s)
			}
			t.notes = append(t.notes, n)
		}
	}
	for _, k := range t.keys {
		t.steps[k.ID] = t.stepsOf(k.ID)
	}
	return t
}

// fill replaces settings and, for a side, {this} and {other}.
func (t *plainTable) fill(text string, this finding.Side) string {
	for name, v := range t.settings {
		text = strings.ReplaceAll(text, "{"+name+"}", v)
	}
	if this != finding.NoSide {
		text = strings.NewReplacer("{this}", this.Word(), "{other}", this.Other().Word()).Replace(text)
	}
	return text
}

// plainWords are the words of a condition still to be read.
type plainWords struct {
	t *plainTable
	w []string
}

func (s *plainWords) next() string {
	w := s.w[0]
	s.w = s.w[1:]
	return w
}

func (s *plainWords) take(w string) bool {
	if len(s.w) > 0 && s.w[0] == w {
		s.w = s.w[1:]
		return true
	}
	return false
}

func (t *plainTable) cond(text string) plainCond {
	text = strings.NewReplacer("(", " ( ", ")", " ) ", ",", " , ").Replace(t.fill(text, finding.NoSide))
	s := &plainWords{t, strings.Fields(text)}
	c := s.or()
	if len(s.w) > 0 {
		panic("plain: left over: " + strings.Join(s.w, " "))
	}
	return c
}

func (s *plainWords) or() plainCond {
	any := []plainCond{s.and()}
	for s.take("or") {
		any = append(any, s.and())
	}
	return func(p *plainPerson, this finding.Side, fresh bool) bool {
		for _, c := range any {
			if c(p, this, fresh) {
				return true
			}
		}
		return false
	}
}

func (s *plainWords) and() plainCond {
	all := []plainCond{s.not()}
	for s.take("and") {
		all = append(all, s.not())
	}
	return func(p *plainPerson, this finding.Side, fresh bool) bool {
		for _, c := range all {
			if !c(p, this, fresh) {
				return false
			}
		}
		return true
	}
}

func (s *plainWords) not() plainCond {
	if s.take("not") {
		c := s.not()
		return func(p *plainPerson, this finding.Side, fresh bool) bool { return !c(p, this, fresh) }
	}
	if s.take("(") {
		c := s.or()
		s.next()
		return c
	}
	return s.term()
}

// term is one comparison, with the words in front of it that say which side
// and which state are meant.
func (s *plainWords) term() plainCond {
	which, state := "", ""
	for {
		w := s.next()
		switch w {
		case "each", "either", "left", "right", "this", "other", "gap", "tires":
			which = w
			continue
		case "fresh", "tired":
			state = w
			continue
		}
		if state != "" || which == "tires" {
			s.t.reading.apart = true
		}
		if body, ok := s.t.defines[w]; ok {
			c := s.t.cond(body)
			return func(p *plainPerson, this finding.Side, fresh bool) bool {
				return plainOver(which, this, true, func(side finding.Side) bool { return c(p, side, fresh || state == "fresh") })
			}
		}
		if a, ok := s.t.axes[w]; ok {
			return s.axis(a, which, state)
		}
		return s.finding(w, which, state)
	}
}

// plainOver asks f of the side or sides meant. A define without a side keeps
// the side it is read for.
func plainOver(which string, this finding.Side, keep bool, f func(finding.Side) bool) bool {
	switch which {
	case "each":
		return f(finding.Left) && f(finding.Right)
	case "either":
		return f(finding.Left) || f(finding.Right)
	case "left":
		return f(finding.Left)
	case "right":
		return f(finding.Right)
	case "this":
		return f(this)
	case "other":
		return f(this.Other())
	}
	if keep {
		return f(this)
	}
	return f(finding.NoSide)
}

// sign reads a sign and one word or a list of words.
func (s *plainWords) sign() (sign string, words []string) {
	sign = s.next()
	if sign == "not" {
		sign += " " + s.next()
	}
	if !strings.HasSuffix(sign, "in") {
		return sign, []string{s.next()}
	}
	for s.next() != ")" { // "(" first, then "," between
		words = append(words, s.next())
	}
	return sign, words
}

func (s *plainWords) axis(a *plainAxis, which, state string) plainCond {
	s.t.reading.above[a] = true
	if which == "tires" {
		return func(p *plainPerson, _ finding.Side, _ bool) bool {
			return p.answer(a, finding.NoSide, false) != p.answer(a, finding.NoSide, true)
		}
	}
	sign, words := s.sign()
	var accepted [3][]bool
	for _, this := range plainSides {
		ok := make([]bool, 40)
		for _, w := range words {
			if i := slices.Index(a.values, s.t.fill(w, this)); i >= 0 {
				ok[i] = true
			}
		}
		accepted[this] = ok
	}
	in := sign == "=" || sign == "in"
	return func(p *plainPerson, this finding.Side, fresh bool) bool {
		return plainOver(which, this, false, func(side finding.Side) bool {
			return accepted[this][p.answer(a, side, fresh || state == "fresh")] == in
		})
	}
}

// finding reads a comparison with a finding. Without "fresh" or "tired" the
// worse of the two is meant: at most x when either is, at least x when both
// are, or the other way round where more is worse. A value that cannot be
// tested is neither at most nor at least anything.
func (s *plainWords) finding(id, which, state string) plainCond {
	d, ok := finding.Lookup(id)
	if !ok {
		panic("plain: " + id)
	}
	t := s.t
	var slots [3][2]int // by side and state
	for _, k := range d.Keys() {
		n, ok := t.slot[k]
		if !ok {
			n = len(t.keys)
			t.slot[k] = n
			t.keys = append(t.keys, k)
		}
		slots[k.Side][k.State] = n
		if (which != "left" && which != "right") || which == k.Side.Word() {
			t.reading.keys[n] = true
		}
	}
	lowIsWorse := d.Scale != finding.Number || d.MoreIsGood
	// either or both of fresh and tired
	states := func(fresh, any bool, f func(state int) bool) bool {
		switch {
		case !d.Tiring || state == "fresh" || (fresh && state == ""):
			return f(0)
		case state == "tired":
			return f(1)
		case any:
			return f(0) || f(1)
		}
		return f(0) && f(1)
	}
	atMost := func(p *plainPerson, side finding.Side, fresh bool, x float64, strictly bool) bool {
		return states(fresh, lowIsWorse, func(st int) bool {
			v := p.look(slots[side][st])
			return v.Kind == finding.Known && (v.X < x || (v.X == x && !strictly))
		})
	}
	atLeast := func(p *plainPerson, side finding.Side, fresh bool, x float64, strictly bool) bool {
		return states(fresh, !lowIsWorse, func(st int) bool {
			v := p.look(slots[side][st])
			return v.Kind == finding.Known && (v.X > x || (v.X == x && !strictly))
		})
	}
	sign, words := s.sign()
	if which == "gap" {
		n, _ := strconv.Atoi(words[0])
		return func(p *plainPerson, _ finding.Side, fresh bool) bool {
			for low := 0; low+n < len(d.Levels); low++ {
				lo, hi := float64(low), float64(low+n)
				if (atMost(p, finding.Left, fresh, lo, false) && atLeast(p, finding.Right, fresh, hi, false)) ||
					(atMost(p, finding.Right, fresh, lo, false) && atLeast(p, finding.Left, fresh, hi, false)) {
					return true
				}
			}
			return false
		}
	}
	if against := words[0]; !d.SideValue && (against == "other" || against == "this" || against == "left" || against == "right") {
		s.next() // "this push_out < other push_out"
		for _, k := range d.Keys() {
			t.reading.keys[t.slot[k]] = true
		}
		return func(p *plainPerson, this finding.Side, fresh bool) bool {
			return plainOver(which, this, false, func(weak finding.Side) bool {
				return plainOver(against, this, false, func(strong finding.Side) bool {
					if sign == ">" {
						weak, strong = strong, weak
					}
					for x := range d.Levels {
						if atMost(p, weak, fresh, float64(x), false) && atLeast(p, strong, fresh, float64(x), true) {
							return true
						}
					}
					return false
				})
			})
		}
	}
	type wanted struct {
		na bool
		xs []float64
	}
	var want [3]wanted
	for _, this := range plainSides {
		for _, w := range words {
			v, err := finding.Parse(id, d.Keys()[0].Side, finding.Fresh, t.fill(w, this))
			switch {
			case err != nil: // {this} without a side
			case v.Kind == finding.NotApplicable:
				want[this].na = true
			default:
				want[this].xs = append(want[this].xs, v.X)
				if this == finding.NoSide && d.Scale == finding.Number {
					t.compared[id] = append(t.compared[id], plainCut{strings.TrimPrefix(strings.Replace(sign, "!=", "=", 1), "not "), v.X})
				}
			}
		}
	}
	return func(p *plainPerson, this finding.Side, fresh bool) bool {
		want := &want[this]
		return plainOver(which, this, false, func(side finding.Side) bool {
			switch sign {
			case "<":
				return atMost(p, side, fresh, want.xs[0], true)
			case "<=":
				return atMost(p, side, fresh, want.xs[0], false)
			case ">":
				return atLeast(p, side, fresh, want.xs[0], true)
			case ">=":
				return atLeast(p, side, fresh, want.xs[0], false)
			}
			is := false
			for _, x := range want.xs {
				is = is || (atMost(p, side, fresh, x, false) && atLeast(p, side, fresh, x, false))
			}
			if want.na {
				is = is || states(fresh, true, func(st int) bool { return p.look(slots[side][st]).Kind == finding.NotApplicable })
			}
			return is == (sign == "=" || sign == "in")
		})
	}
}

// stepsOf lists one value for every step of a finding's scale: the levels, or
// for a number one value for each stretch no comparison in the text can tell
// apart.
func (t *plainTable) stepsOf(id string) []finding.Value {
	d, _ := finding.Lookup(id)
	var out []finding.Value
	if d.Scale != finding.Number {
		for i := range d.Levels {
			out = append(out, finding.Value{Kind: finding.Known, X: float64(i)})
		}
		return out
	}
	points := []float64{d.Min, d.Max}
	for _, c := range t.compared[id] {
		if c.x >= d.Min && c.x <= d.Max {
			points = append(points, c.x)
		}
	}
	sort.Float64s(points)
	points = slices.Compact(points)
	for i := len(points) - 1; i > 0; i-- {
		points = slices.Insert(points, i, (points[i-1]+points[i])/2)
	}
	last := ""
	for _, x := range points {
		if now := t.signature(id, x); now != last {
			out = append(out, finding.Value{Kind: finding.Known, X: x})
			last = now
		}
	}
	return out
}

// signature is what all comparisons of the text say of a number.
func (t *plainTable) signature(id string, x float64) string {
	s := "/"
	for _, c := range t.compared[id] {
		is := false
		switch c.sign {
		case "<":
			is = x < c.x
		case "<=":
			is = x <= c.x
		case ">":
			is = x > c.x
		case ">=":
			is = x >= c.x
		default:
			is = x == c.x
		}
		s += strconv.FormatBool(is)[:1]
	}
	return s
}

// step tells on which step of its scale a known value is.
func (t *plainTable) step(id string, v finding.Value) int {
	d, _ := finding.Lookup(id)
	if d.Scale != finding.Number {
		return int(v.X)
	}
	sig := t.signature(id, v.X)
	for i, s := range t.steps[id] {
		if t.signature(id, s.X) == sig {
			return i
		}
	}
	panic("plain: a value on no step")
}

// every lists every value an unknown finding may turn out to have.
func (t *plainTable) every(slot int) []finding.Value {
	id := t.keys[slot].ID
	if d, _ := finding.Lookup(id); d.NA {
		return append(slices.Clone(t.steps[id]), finding.Value{Kind: finding.NotApplicable})
	}
	return t.steps[id]
}

// ------------------------------------------------------------ what is asked

// plainQuestion is an axis on one side.
type plainQuestion struct {
	axis *plainAxis
	side finding.Side
}

func (q plainQuestion) id() string { return axisID(q.axis.id, q.side, false) }

// questions lists every question, left before right.
func (t *plainTable) questions() []plainQuestion {
	var out []plainQuestion
	for _, a := range t.order {
		for _, s := range sides(a.sided) {
			out = append(out, plainQuestion{a, s})
		}
	}
	return out
}

// seen is what came out of trying: every answer, and every slot that was read.
type plainSeen struct {
	answers []bool
	read    []bool
}

// only returns the single answer, false when several are possible.
func (s *plainSeen) only() (int, bool) {
	at := slices.Index(s.answers, true)
	return at, at >= 0 && !slices.Contains(s.answers[at+1:], true)
}

func (s *plainSeen) count() (n int) {
	for _, is := range s.answers {
		if is {
			n++
		}
	}
	return n
}

func (p *plainPerson) nothingSeen() *plainSeen {
	return &plainSeen{make([]bool, 32), make([]bool, len(p.vals))}
}

// possible gives every answer the unknown findings leave open.
func (p *plainPerson) possible(q plainQuestion, into *plainSeen) *plainSeen {
	clear(into.answers)
	clear(into.read)
	p.try(func() int { return p.answer(q.axis, q.side, false) }, into)
	return into
}

// try asks f. As soon as f looks at an unknown finding, it is asked again for
// every value that finding may have.
func (p *plainPerson) try(f func() int, into *plainSeen) {
	p.reset()
	p.tries++
	v := f()
	if p.missed < 0 {
		into.answers[v] = true
		for _, i := range p.read {
			into.read[i] = true
		}
		return
	}
	at := p.missed
	for _, x := range p.t.every(at) {
		p.vals[at] = x
		p.try(f, into)
	}
	p.vals[at] = finding.Value{}
	into.read[at] = true
}

// says tells whether a note is certain, and which.
func (p *plainPerson) says(n *plainNote, side finding.Side, into *plainSeen) bool {
	clear(into.answers)
	p.try(func() int {
		if n.cond(p, side, false) {
			return 1
		}
		return 0
	}, into)
	return !into.answers[0]
}

// ------------------------------------------------------------------ changes

// plainVar is what changes as one: a known finding on one side. Its fresh and
// tired values change together where they are on the same step; then the tired
// value can also get worse alone, for questions that read one of them apart.
type plainVar struct {
	slots []int
	tires bool
	moves []plainStep
}

type plainStep struct {
	to, steps int
}

type plainMove struct {
	v, to int
}

// plainSet is a set of at most three moves in order of the variables.
type plainSet struct {
	n, cost int
	moves   [3]plainMove
}

func (s plainSet) with(m plainMove, cost int) plainSet {
	i := s.n
	for ; i > 0 && s.moves[i-1].v > m.v; i-- {
		s.moves[i] = s.moves[i-1]
	}
	s.moves[i] = m
	s.n++
	s.cost += cost
	return s
}

// apart tells whether a question, or one it rests on, reads fresh or tired
// values by themselves.
func (a *plainAxis) readsApart() bool {
	if a.apart {
		return true
	}
	for b := range a.above {
		if b.readsApart() {
			return true
		}
	}
	return false
}

// cone is every slot a question mentions, directly or through others.
func (a *plainAxis) cone(into map[int]bool) map[int]bool {
	for k := range a.keys {
		into[k] = true
	}
	for b := range a.above {
		b.cone(into)
	}
	return into
}

func (p *plainPerson) vars() []plainVar {
	var out []plainVar
	known := func(i int) bool { return p.vals[i].Kind == finding.Known }
	step := func(i int) int { return p.t.step(p.t.keys[i].ID, p.vals[i]) }
	for i, k := range p.t.keys {
		k.State = finding.Tired - k.State
		twin, has := p.t.slot[k]
		has = has && k != p.t.keys[i] && known(twin)
		switch {
		case !known(i):
		case !has || step(i) != step(twin):
			out = append(out, plainVar{slots: []int{i}})
		case i < twin: // fresh comes before tired
			out = append(out, plainVar{slots: []int{i, twin}}, plainVar{slots: []int{twin}, tires: true})
		}
	}
	for i := range out {
		out[i].moves = p.movesOf(out[i])
	}
	return out
}

// movesOf lists where a variable can go and in how many steps.
func (p *plainPerson) movesOf(v plainVar) (out []plainStep) {
	id := p.t.keys[v.slots[0]].ID
	d, _ := finding.Lookup(id)
	from := p.t.step(id, p.vals[v.slots[0]])
	for to := range p.t.steps[id] {
		steps := max(to-from, from-to)
		better := to > from
		if d.Scale == finding.Number && !d.MoreIsGood {
			better = !better
		}
		if steps == 0 || (v.tires && better) {
			continue
		}
		if d.Scale == finding.Choice {
			steps = 1
		}
		out = append(out, plainStep{to, steps})
	}
	return out
}

// make makes moves and returns how to undo them.
func (p *plainPerson) make(vars []plainVar, s plainSet) (undo func()) {
	var was [6]finding.Value
	var at [6]int
	n := 0
	for _, m := range s.moves[:s.n] {
		for _, i := range vars[m.v].slots {
			was[n], at[n] = p.vals[i], i
			n++
			p.vals[i] = p.t.steps[p.t.keys[i].ID][m.to]
		}
	}
	return func() {
		for k := range n {
			p.vals[at[k]] = was[k]
		}
	}
}

// under asks a question of the person with a set of moves made.
func (p *plainPerson) under(q plainQuestion, vars []plainVar, s plainSet, into *plainSeen) *plainSeen {
	undo := p.make(vars, s)
	p.possible(q, into)
	undo()
	return into
}

// plainTogether tells whether two variables may move in one set: the tired value
// does not get worse alone while the pair moves too.
func plainTogether(p *plainPerson, a, b plainVar) bool {
	if !a.tires && !b.tires {
		return true
	}
	ka, kb := p.t.keys[a.slots[0]], p.t.keys[b.slots[0]]
	return ka.ID != kb.ID || ka.Side != kb.Side
}

// plainFound is a change with the answer it gives.
type plainFound struct {
	set plainSet
	to  int
}

// alone asks every question that has one answer again with every single move
// made of a finding it looked at. The result tells by question, variable and
// move the only answer, or -1 when there are several. Of a question that waits
// for unknown findings it gives up after budget tries and leaves it out.
func (p *plainPerson) alone(qs []plainQuestion, vars []plainVar, budget int) [][][]int {
	seen := p.nothingSeen()
	out := make([][][]int, len(qs))
	var known []int // questions that looked at nothing unknown
	for i, q := range qs {
		if _, only := p.possible(q, seen).only(); !only {
			continue
		}
		out[i] = make([][]int, len(vars))
		for k, v := range vars {
			if slices.ContainsFunc(v.slots, func(s int) bool { return seen.read[s] }) {
				out[i][k] = make([]int, len(v.moves))
			}
		}
		open := false
		for s, read := range seen.read {
			open = open || (read && p.vals[s].Kind == finding.Unknown)
		}
		if !open {
			known = append(known, i)
			continue
		}
		stop := p.tries + budget
		for k, v := range vars {
			for m := range out[i][k] {
				if p.tries > stop {
					break
				}
				out[i][k][m] = p.onlyAnswer(q, vars, plainSet{n: 1, moves: [3]plainMove{{k, v.moves[m].to}}}, seen)
			}
		}
		if p.tries > stop {
			out[i] = nil
		}
	}
	for k, v := range vars {
		for m, move := range v.moves {
			set := plainSet{n: 1, moves: [3]plainMove{{k, move.to}}}
			undo := p.make(vars, set)
			p.reset()
			for _, i := range known {
				if out[i][k] == nil {
					continue
				}
				if out[i][k][m] = p.answer(qs[i].axis, qs[i].side, false); p.missed >= 0 {
					out[i][k][m] = p.onlyAnswer(qs[i], vars, set, seen)
					p.reset()
				}
			}
			undo()
		}
	}
	return out
}

func (p *plainPerson) onlyAnswer(q plainQuestion, vars []plainVar, s plainSet, seen *plainSeen) int {
	if v, only := p.under(q, vars, s, seen).only(); only {
		return v
	}
	return -1
}

// smallest finds every cheapest change of at most three findings that gives
// another answer for certain: level by level of total steps, and it stops at
// the first level that has one. A set is only made larger by a finding that was
// looked at when it was tried; what was not looked at cannot matter. Single
// moves were tried before, by alone. It gives up after budget tries and says
// up to which level it has been complete.
func (p *plainPerson) smallest(q plainQuestion, vars []plainVar, single [][]int, budget int) (found []plainFound, complete int, all bool) {
	seen := p.nothingSeen()
	was, _ := p.possible(q, seen).only()
	apart := q.axis.readsApart()
	levels := [][]plainSet{{{}}}
	put := func(s plainSet) {
		for len(levels) <= s.cost {
			levels = append(levels, nil)
		}
		levels[s.cost] = append(levels[s.cost], s)
	}
	made := map[plainSet]bool{}
	stop := p.tries + budget
	for cost := 0; cost < len(levels); cost++ {
		for _, s := range levels[cost] {
			v, only := was, true
			switch {
			case s.n == 1:
				at := slices.IndexFunc(vars[s.moves[0].v].moves, func(m plainStep) bool { return m.to == s.moves[0].to })
				v = single[s.moves[0].v][at]
				only = v >= 0
			case s.n > 1:
				if p.tries > stop {
					return nil, cost - 1, false
				}
				v, only = p.under(q, vars, s, seen).only()
			}
			if only && v != was {
				found = append(found, plainFound{s, v})
			}
		}
		if len(found) > 0 {
			return found, cost, true
		}
		for _, s := range levels[cost] {
			if s.n == 3 {
				continue
			}
			if p.tries > stop {
				return nil, cost, false
			}
			p.under(q, vars, s, seen)
			for i, v := range vars {
				if (v.tires && !apart) || !slices.ContainsFunc(v.slots, func(k int) bool { return seen.read[k] }) {
					continue
				}
				if slices.ContainsFunc(s.moves[:s.n], func(m plainMove) bool { return m.v == i || !plainTogether(p, vars[m.v], v) }) {
					continue
				}
				for _, m := range v.moves {
					next := s.with(plainMove{i, m.to}, m.steps)
					if next.n > 1 {
						if made[next] {
							continue
						}
						made[next] = true
					}
					put(next)
				}
			}
		}
	}
	return nil, len(levels), true
}

// brute is smallest without any thought: every set of at most most findings
// that the question mentions anywhere, level by level of total steps. It says
// up to which level it has been complete, which is every level unless budget
// tries were not enough.
func (p *plainPerson) brute(q plainQuestion, vars []plainVar, most, budget int) (found []plainFound, complete int, all bool) {
	seen := p.nothingSeen()
	was, _ := p.possible(q, seen).only()
	apart := q.axis.readsApart()
	cone := q.axis.cone(map[int]bool{})
	stop := p.tries + budget
	var grow func(s plainSet, from, level int) (longer bool)
	grow = func(s plainSet, from, level int) (longer bool) {
		if p.tries > stop {
			return false
		}
		if s.cost == level {
			if v, only := p.under(q, vars, s, seen).only(); only && v != was {
				found = append(found, plainFound{s, v})
			}
			return true
		}
		if s.n == most {
			return false
		}
		for i := from; i < len(vars); i++ {
			v := vars[i]
			if (v.tires && !apart) || !slices.ContainsFunc(v.slots, func(k int) bool { return cone[k] }) ||
				slices.ContainsFunc(s.moves[:s.n], func(m plainMove) bool { return !plainTogether(p, vars[m.v], v) }) {
				continue
			}
			for _, m := range v.moves {
				if s.cost+m.steps <= level && grow(s.with(plainMove{i, m.to}, m.steps), i+1, level) {
					longer = true
				}
			}
		}
		return longer
	}
	for level := 1; ; level++ {
		longer := grow(plainSet{}, 0, level)
		switch {
		case p.tries > stop:
			return nil, level - 1, false
		case len(found) > 0 || !longer:
			return found, level, true
		}
	}
}

// ---------------------------------------------------------------- next test

// plainWorth is what knowing an unknown finding is worth, as NextTest says.
type plainWorth struct {
	drop    float64
	settles []string
}

// worth values every unknown finding some open question mentions, keyed as
// plainTestKey writes it. Fresh and tired are valued as one where both are
// unknown.
func (p *plainPerson) worth(open []plainQuestion) map[string]plainWorth {
	out := map[string]plainWorth{}
	seen := p.nothingSeen()
	for i, k := range p.t.keys {
		if p.vals[i].Kind != finding.Unknown {
			continue
		}
		d, _ := finding.Lookup(k.ID)
		slots, state := []int{i}, ""
		if d.Tiring {
			other := k
			other.State = finding.Tired - k.State
			if p.vals[p.t.slot[other]].Kind == finding.Unknown {
				if k.State == finding.Tired {
					continue
				}
				slots = append(slots, p.t.slot[other])
			} else {
				state = k.State.String()
			}
		}
		var w plainWorth
		for _, q := range open {
			cone := q.axis.cone(map[int]bool{})
			if !slices.ContainsFunc(slots, func(s int) bool { return cone[s] }) {
				continue
			}
			now := math.Log2(float64(p.possible(q, seen).count()))
			settles := false
			values := p.t.every(i)
			for _, v := range values {
				for _, s := range slots {
					p.vals[s] = v
				}
				n := p.possible(q, seen).count()
				w.drop += (now - math.Log2(float64(n))) / float64(len(values))
				settles = settles || n == 1
			}
			for _, s := range slots {
				p.vals[s] = finding.Value{}
			}
			if settles {
				w.settles = append(w.settles, q.id())
			}
		}
		if w.drop > 1e-12 || len(w.settles) > 0 {
			out[plainTestKey(k.ID, k.Side.Word(), state)] = w
		}
	}
	return out
}

func plainTestKey(id, side, state string) string { return id + "/" + side + "/" + state }
