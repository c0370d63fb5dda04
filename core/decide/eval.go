package decide

import "math/bits"

// truth is a value of three-valued logic (Kleene).
type truth uint8

const (
	no truth = iota
	maybe
	yes
)

// bitset is a set of cells.
type bitset [4]uint64

func (b *bitset) add(i int)      { b[i>>6] |= 1 << (i & 63) }
func (b *bitset) has(i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }
func (b *bitset) or(c *bitset) {
	for i := range b {
		b[i] |= c[i]
	}
}
func (b *bitset) len() int {
	n := 0
	for _, w := range b {
		n += bits.OnesCount64(w)
	}
	return n
}

// each calls f for every member in order.
func (b *bitset) each(f func(i int)) {
	for w, word := range b {
		for word != 0 {
			f(w<<6 + bits.TrailingZeros64(word))
			word &= word - 1
		}
	}
}

// world is what is possible: for each cell the bands it may be in, for each
// axis the answers it may have. Axes are computed on demand.
type world struct {
	t     *Table
	cells []uint32
	axes  []uint32
}

// variable is something that can change as one: a finding on one side, its
// fresh and tired values together where they are equal.
type variable struct {
	cells []int
}

// single tells whether a mask holds exactly one member.
func single(m uint32) bool { return m != 0 && m&(m-1) == 0 }

// truth evaluates a condition.
func (w *world) truth(n *node) truth {
	switch n.op {
	case opCell:
		return member(w.cells[n.index], n.mask)
	case opAxis:
		return member(w.axes[n.index], n.mask)
	case opAnd:
		out := yes
		for _, k := range n.kids {
			switch w.truth(k) {
			case no:
				return no
			case maybe:
				out = maybe
			}
		}
		return out
	case opOr:
		out := no
		for _, k := range n.kids {
			switch w.truth(k) {
			case yes:
				return yes
			case maybe:
				out = maybe
			}
		}
		return out
	}
	return yes
}

func member(possible, accepted uint32) truth {
	switch possible & accepted {
	case 0:
		return no
	case possible:
		return yes
	}
	return maybe
}

// eval computes the possible answers of axis i, whose needs must be computed.
func (w *world) eval(i int) uint32 {
	a := w.t.axes[i]
	var m uint32
	switch {
	case a.gate:
		m = w.gateMask()
	case a.sumBase >= 0:
		m = w.sumMask(a)
	default:
		for _, r := range a.rules {
			v := w.truth(r.cond)
			if v == no {
				continue
			}
			m |= 1 << r.value
			if v == yes {
				break
			}
		}
	}
	w.axes[i] = m
	return m
}

// gateMask is the strictest effect of the active gates.
func (w *world) gateMask() uint32 {
	var m uint32 // effects that may be the strictest
	floor := NoEffect
	for i, g := range w.t.gates {
		switch w.axes[w.t.gateAxis0+i] {
		case 2:
			if g.Effect > floor {
				floor = g.Effect
			}
			m |= 1 << g.Effect
		case 3:
			m |= 1 << g.Effect
		}
	}
	m &^= 1<<floor - 1
	return m | 1<<floor
}

func (w *world) sumMask(a *axis) uint32 {
	sure, perhaps := 0, 0
	for _, e := range a.extras {
		switch w.truth(e.cond) {
		case yes:
			sure++
		case maybe:
			perhaps++
		}
	}
	var m uint32
	for base := w.axes[a.sumBase]; base != 0; base &= base - 1 {
		b := bits.TrailingZeros32(base) + 1
		for n := sure; n <= sure+perhaps; n++ {
			m |= 1 << (min(b+n, a.sumMost) - 1)
		}
	}
	return m
}

// run computes axis i and all it needs.
func (w *world) run(i int) uint32 {
	for _, k := range w.t.axes[i].need {
		w.eval(k)
	}
	return w.axes[i]
}

// runAll computes every axis.
func (w *world) runAll() {
	for i := range w.t.axes {
		w.eval(w.t.order[i])
	}
}

// reasons finds, for a condition that evaluates to want, a set of cells whose
// present values alone force that. For a conjunction that fails or a
// disjunction that holds it keeps the smallest single cause.
func (s *supporter) reasons(n *node, want truth) bitset {
	var out bitset
	switch n.op {
	case opCell:
		out.add(n.index)
	case opAxis:
		return s.axis(n.index)
	case opAnd, opOr:
		one := (n.op == opAnd && want == no) || (n.op == opOr && want == yes)
		best := 1 << 30
		for _, k := range n.kids {
			if one && s.w.truth(k) != want {
				continue
			}
			kid := s.reasons(k, s.w.truth(k))
			if !one {
				out.or(&kid)
				continue
			}
			if l := kid.len(); l < best {
				best, out = l, kid
			}
		}
	}
	return out
}

// supporter finds reasons in one world; answers of axes are found once.
type supporter struct {
	w     *world
	known []bool
	sets  []bitset
}

func newSupporter(w *world) *supporter {
	return &supporter{w: w, known: make([]bool, len(w.t.axes)), sets: make([]bitset, len(w.t.axes))}
}

// reset forgets the answers, for another world in the same arrays.
func (s *supporter) reset() { clear(s.known) }

// axis returns a set of cells that forces the present answers of the axis.
func (s *supporter) axis(i int) bitset {
	if s.known[i] {
		return s.sets[i]
	}
	var out bitset
	a := s.w.t.axes[i]
	switch {
	case a.gate:
		out = s.gate()
	case a.sumBase >= 0:
		out = s.axis(a.sumBase)
		for _, e := range a.extras {
			r := s.reasons(e.cond, s.w.truth(e.cond))
			out.or(&r)
		}
	default:
		for _, r := range a.rules {
			v := s.w.truth(r.cond)
			set := s.reasons(r.cond, v)
			out.or(&set)
			if v == yes {
				break
			}
		}
	}
	s.known[i], s.sets[i] = true, out
	return out
}

// gate: one active gate of the strictest effect, and every stricter one that
// is not active.
func (s *supporter) gate() bitset {
	t, w := s.w.t, s.w
	m := w.axes[t.gateAxis]
	var out bitset
	if single(m) {
		top := Effect(bits.TrailingZeros32(m))
		done := top == NoEffect
		for i, g := range t.gates {
			active := w.axes[t.gateAxis0+i]
			if g.Effect == top && active == 2 && !done {
				set := s.axis(t.gateAxis0 + i)
				out.or(&set)
				done = true
			}
			if g.Effect > top {
				set := s.axis(t.gateAxis0 + i)
				out.or(&set)
			}
		}
		return out
	}
	for i := range t.gates {
		set := s.axis(t.gateAxis0 + i)
		out.or(&set)
	}
	return out
}

// wire makes the yes/no axes of gates and notes, sorts axes so that each comes
// after all it reads, and lists what can change as one.
func (t *Table) wire() {
	for i, g := range t.gates {
		cond := g.cond
		if !g.manual {
			cond = &node{op: opAnd, kids: []*node{g.cond, {op: opCell, index: g.clear, mask: 1}}}
		}
		t.axes[t.gateAxis0+i].rules = []*Rule{{cond: cond, value: 1}, {cond: &node{op: opTrue}, value: 0}}
	}
	for _, n := range t.notes {
		t.axes[n.axis].rules = []*Rule{{cond: n.cond, value: 1}, {cond: &node{op: opTrue}, value: 0}}
	}
	for _, a := range t.axes {
		a.uses = t.uses(a)
	}
	done := make([]bool, len(t.axes))
	t.order = t.order[:0]
	var visit func(i int)
	visit = func(i int) {
		if done[i] {
			return
		}
		done[i] = true
		for _, u := range t.axes[i].uses {
			visit(u)
		}
		t.order = append(t.order, i)
	}
	for i := range t.axes {
		visit(i)
	}
	for i, a := range t.axes {
		wanted := make([]bool, len(t.axes))
		var mark func(i int)
		mark = func(i int) {
			if !wanted[i] {
				wanted[i] = true
				for _, u := range t.axes[i].uses {
					mark(u)
				}
			}
		}
		mark(i)
		a.need = nil
		for _, o := range t.order {
			if wanted[o] {
				a.need = append(a.need, o)
			}
		}
		a.cone = t.cone(a)
	}
}

// uses lists the axes an axis reads directly.
func (t *Table) uses(a *axis) []int {
	seen := map[int]bool{}
	var out []int
	put := func(i int) {
		if !seen[i] {
			seen[i] = true
			out = append(out, i)
		}
	}
	var walk func(n *node)
	walk = func(n *node) {
		if n.op == opAxis {
			put(n.index)
		}
		for _, k := range n.kids {
			walk(k)
		}
	}
	for _, r := range a.rules {
		walk(r.cond)
	}
	for _, r := range a.extras {
		walk(r.cond)
	}
	if a.sumBase >= 0 {
		put(a.sumBase)
	}
	if a.gate {
		for i := range t.gates {
			put(t.gateAxis0 + i)
		}
	}
	return out
}

// cone is every cell an axis can depend on.
func (t *Table) cone(a *axis) bitset {
	var out bitset
	var walk func(n *node)
	walk = func(n *node) {
		if n.op == opCell {
			out.add(n.index)
		}
		for _, k := range n.kids {
			walk(k)
		}
	}
	for _, i := range a.need {
		for _, r := range t.axes[i].rules {
			walk(r.cond)
		}
		for _, r := range t.axes[i].extras {
			walk(r.cond)
		}
	}
	return out
}
