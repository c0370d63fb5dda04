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
func (b *bitset) remove(i int)   { b[i>>6] &^= 1 << (i & 63) }
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

func (b *bitset) meets(c *bitset) bool {
	return b[0]&c[0]|b[1]&c[1]|b[2]&c[2]|b[3]&c[3] != 0
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
	cuts  cuts
	from  *settled // where this world was moved away from, when that helps
}

// settled is how every rule came out in a world, for the axes in which all of
// them were certain. A neighbouring world reads only the rules that one of the
// moved cells can reach.
type settled struct {
	truths [][]truth // by axis and rule
	moved  bitset
}

func (w *world) settled() *settled {
	s := &settled{truths: make([][]truth, len(w.t.axes))}
	for i, a := range w.t.axes {
		list := make([]truth, len(a.rules))
		for k, r := range a.rules {
			if list[k] = w.truth(r.cond); list[k] == maybe {
				list = nil
				break
			}
		}
		s.truths[i] = list
	}
	return s
}

// near is the answer of axis i as far as every rule is certain, else 0.
func (w *world) near(i int) uint32 {
	if w.from == nil || w.from.truths[i] == nil {
		return 0
	}
	for k, r := range w.t.axes[i].rules {
		switch w.rule(i, k) {
		case yes:
			return 1 << r.value
		case maybe:
			return 0
		}
	}
	return 0
}

// rule evaluates rule k of axis i.
func (w *world) rule(i, k int) truth {
	r := w.t.axes[i].rules[k]
	if f := w.from; f != nil && f.truths[i] != nil && !r.cone.meets(&f.moved) {
		return f.truths[i][k]
	}
	return w.truth(r.cond)
}

// cuts are bands and answers ruled out while the later rules of an axis are
// read: once a rule did not fire, what alone would have made it fire is out.
// That keeps "today is PL-H or PL-F" from leaving a third way open.
type cuts struct {
	cells, axes []entry
}

type entry struct {
	index int
	mask  uint32
}

// of returns what is ruled out at an index.
func of(list []entry, index int) uint32 {
	var m uint32
	for _, e := range list {
		if e.index == index {
			m |= e.mask
		}
	}
	return m
}

// unless notes that the condition, which may or may not hold, did not.
func (c *cuts) unless(n *node) {
	switch n.op {
	case opCell:
		c.cells = append(c.cells, entry{n.index, n.mask})
	case opAxis:
		c.axes = append(c.axes, entry{n.index, n.mask})
	case opOr:
		for _, k := range n.kids {
			c.unless(k)
		}
	}
}

// single tells whether a mask holds exactly one member.
func single(m uint32) bool { return m != 0 && m&(m-1) == 0 }

// truth evaluates a condition.
func (w *world) truth(n *node) truth {
	switch n.op {
	case opCell:
		return member(w.cells[n.index]&^of(w.cuts.cells, n.index), n.mask)
	case opAxis:
		return member(w.axes[n.index]&^of(w.cuts.axes, n.index), n.mask)
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
		if m = w.near(i); m != 0 {
			break
		}
		for _, r := range a.rules {
			v := w.truth(r.cond)
			if v == no {
				continue
			}
			m |= 1 << r.value
			if v == yes {
				break
			}
			w.cuts.unless(r.cond)
		}
		w.cuts = cuts{w.cuts.cells[:0], w.cuts.axes[:0]}
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

// rerun computes what a change of the cells can have changed of axis i, given
// that all it needs was computed before.
func (w *world) rerun(i int, moved *bitset) uint32 {
	for _, k := range w.t.axes[i].need {
		if w.t.axes[k].cone.meets(moved) {
			w.eval(k)
		}
	}
	return w.axes[i]
}

// clone returns an independent copy.
func (w *world) clone() *world {
	n := len(w.cells)
	both := make([]uint32, n+len(w.axes))
	copy(both, w.cells)
	copy(both[n:], w.axes)
	return &world{t: w.t, cells: both[:n:n], axes: both[n:]}
}

// runAll computes every axis.
func (w *world) runAll() {
	for i := range w.t.axes {
		w.eval(w.t.order[i])
	}
}

// supporter finds reasons in one world: sets of cells whose present values
// alone force what was seen. Answers of axes are found once.
type supporter struct {
	w     *world
	known []bool
	sets  []bitset
	memo  map[uint64]bitset // by axis and answers refuted
	rules map[*Rule]bitset  // of the base world

	// base, when set, knows the world this one was moved away from; what no
	// moved cell can reach has the same reasons there.
	base  *supporter
	moved bitset
}

func newSupporter(w *world) *supporter {
	return &supporter{w: w, known: make([]bool, len(w.t.axes)), sets: make([]bitset, len(w.t.axes)), memo: map[uint64]bitset{}}
}

// reset forgets the answers, for another world in the same arrays.
func (s *supporter) reset() {
	clear(s.known)
	clear(s.memo)
}

// still returns the supporter that may answer for axis i.
func (s *supporter) still(i int) *supporter {
	if s.base != nil && !s.w.t.axes[i].cone.meets(&s.moved) {
		return s.base
	}
	return s
}

// reasons returns cells that force the condition to stay want, its present
// value. For a conjunction that fails or a disjunction that holds it keeps the
// smallest single cause; a condition left open takes everything it reads.
func (s *supporter) reasons(n *node, want truth) bitset {
	var out bitset
	switch n.op {
	case opCell:
		out.add(n.index)
	case opAxis:
		cut := of(s.w.cuts.axes, n.index)
		switch want {
		case yes:
			return s.refute(n.index, ^(n.mask | cut))
		case no:
			return s.refute(n.index, n.mask&^cut)
		}
		return s.axis(n.index)
	case opAnd, opOr:
		one := (n.op == opAnd && want == no) || (n.op == opOr && want == yes)
		best := 1 << 30
		for _, k := range n.kids {
			v := s.w.truth(k)
			if one && v != want {
				continue
			}
			kid := s.reasons(k, v)
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

// because is reasons for a whole rule; where no moved cell reaches it, those
// it has in the base world.
func (s *supporter) because(r *Rule, want truth) bitset {
	if s.base == nil || len(s.w.cuts.cells)+len(s.w.cuts.axes) > 0 || r.cone.meets(&s.moved) {
		return s.reasons(r.cond, want)
	}
	b := s.base
	if set, ok := b.rules[r]; ok {
		return set
	}
	set := b.reasons(r.cond, want)
	if b.rules == nil {
		b.rules = map[*Rule]bitset{}
	}
	b.rules[r] = set
	return set
}

// axis returns cells that force the present answers of the axis: what refutes
// every other answer when it is decided, everything it reads when it is open.
func (s *supporter) axis(i int) bitset {
	s = s.still(i)
	if s.known[i] {
		return s.sets[i]
	}
	m := s.w.axes[i]
	var out bitset
	if single(m) {
		out = s.refute(i, ^m)
	} else {
		out = s.everything(i)
	}
	s.known[i], s.sets[i] = true, out
	return out
}

// everything returns what an open axis reads up to the first rule that decides.
func (s *supporter) everything(i int) bitset {
	outer := s.w.cuts
	s.w.cuts = cuts{}
	defer func() { s.w.cuts = outer }()
	a := s.w.t.axes[i]
	var out bitset
	put := func(set bitset) { out.or(&set) }
	if a.gate {
		for k := range s.w.t.gates {
			put(s.axis(s.w.t.gateAxis0 + k))
		}
	}
	if a.sumBase >= 0 {
		put(s.axis(a.sumBase))
	}
	for _, r := range a.extras {
		put(s.reasons(r.cond, s.w.truth(r.cond)))
	}
	for _, r := range a.rules {
		v := s.w.truth(r.cond)
		put(s.reasons(r.cond, v))
		if v == yes {
			break
		}
	}
	return out
}

// refute returns cells that force the axis to have none of the answers in
// out; none of them may be possible at present.
//
// Rules are read as in eval: one that may fire does not have an answer in
// against, so its not firing can be taken for granted for those after it.
func (s *supporter) refute(i int, against uint32) bitset {
	s = s.still(i)
	against &= 1<<len(s.w.t.axes[i].values) - 1
	key := uint64(i)<<32 | uint64(against)
	if set, ok := s.memo[key]; ok {
		return set
	}
	outer := s.w.cuts
	s.w.cuts = cuts{}
	set := s.refuteNow(i, against)
	s.w.cuts = outer
	s.memo[key] = set
	return set
}

func (s *supporter) refuteNow(i int, against uint32) bitset {
	a := s.w.t.axes[i]
	var out bitset
	put := func(set bitset) { out.or(&set) }
	switch {
	case a.gate:
		return s.refuteGate(against)
	case a.sumBase >= 0:
		return s.everything(i)
	}
	for k, r := range a.rules {
		switch s.w.rule(i, k) {
		case no:
			if against&(1<<r.value) != 0 {
				put(s.because(r, no))
			}
		case maybe:
			s.w.cuts.unless(r.cond)
		case yes:
			for _, later := range a.rules[k+1:] {
				if against&(1<<later.value) != 0 { // out only because this rule comes first
					put(s.because(r, yes))
					break
				}
			}
			return out
		}
	}
	return out
}

// refuteGate: an effect is out when a stricter gate is active, or when no gate
// of that effect is.
func (s *supporter) refuteGate(against uint32) bitset {
	t, w := s.w.t, s.w
	var out bitset
	put := func(set bitset) { out.or(&set) }
	top, strict := -1, NoEffect // strictest gate that is surely active
	for i, g := range t.gates {
		if w.axes[t.gateAxis0+i] == 2 && g.Effect > strict {
			top, strict = i, g.Effect
		}
	}
	if top >= 0 && against&(1<<strict-1) != 0 {
		put(s.axis(t.gateAxis0 + top))
	}
	for i, g := range t.gates {
		if g.Effect > strict && against&(1<<g.Effect) != 0 {
			put(s.axis(t.gateAxis0 + i))
		}
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
		a.cone, a.apart = t.cone(a)
	}
	for _, a := range t.axes {
		for _, r := range a.rules {
			r.cone = t.reach(r.cond)
		}
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

// reach is every cell a condition can depend on.
func (t *Table) reach(n *node) (out bitset) {
	switch n.op {
	case opCell:
		out.add(n.index)
	case opAxis:
		out.or(&t.axes[n.index].cone)
	}
	for _, k := range n.kids {
		set := t.reach(k)
		out.or(&set)
	}
	return out
}

// cone is every cell an axis can depend on, and whether it reads a fresh or
// tired value by itself.
func (t *Table) cone(a *axis) (out bitset, apart bool) {
	var walk func(n *node)
	walk = func(n *node) {
		if n.op == opCell {
			out.add(n.index)
			apart = apart || n.apart
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
	return out, apart
}
