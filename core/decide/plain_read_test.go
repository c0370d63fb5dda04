package decide

import (
	"slices"
	"sort"
	"strconv"
	"strings"

	"firnhand/core/finding"
)

// How the plain version reads the rule text.

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
