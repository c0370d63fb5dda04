package decide

import "math/bits"

// explorer finds every answer an axis can still have: exactly, by splitting
// what is unknown at the conditions that depend on it. Each answer found keeps
// a witness, the possible bands of every cell under which it is certain.
type explorer struct {
	t         *Table
	axis      int
	found     uint32
	witnesses []witness
	visits    int
	wide      bool // gave up being exact; found is then an upper bound
	s         *supporter
	scratch   *world
	base      []uint32 // what every cell may be before anything is split
	pair      bool     // stop as soon as two answers are found: it is open then
}

// witness is a world in which one answer is certain.
type witness struct {
	w      *world
	answer int
}

// exploreMost bounds the work of one exploration. It is far above what the
// standing table needs and keeps a hostile table from running for ever.
const exploreMost = 20000

func (t *Table) explorer(axis int) *explorer { return &explorer{t: t, axis: axis} }

// exactly returns the only answer an axis can have, also where reading its
// conditions one by one leaves it open; more than one bit when it is open
// indeed. All the axis needs must have been computed.
func (t *Table) exactly(w *world, axis int) uint32 {
	if m := w.axes[axis]; single(m) {
		return m
	}
	e := t.explorer(axis)
	e.pair = true
	e.from(w, w.axes[axis])
	return e.found
}

// from explores every completion of a world, in which all the axis needs has
// been computed, until the answers in enough are found.
func (e *explorer) from(base *world, enough uint32) {
	e.ends(base)
	if e.done(enough) {
		return
	}
	w := base.clone()
	e.base = base.cells
	e.visits = 0
	if e.s == nil {
		e.s = newSupporter(w)
	}
	e.s.w = w
	e.split(w, enough)
}

// done tells whether there is nothing left to look for.
func (e *explorer) done(enough uint32) bool {
	return enough&^e.found == 0 || (e.pair && e.found != 0 && !single(e.found))
}

// ends tries everything unknown at its lowest, and at its highest: mostly
// enough to see that an axis is open.
func (e *explorer) ends(base *world) {
	var moved bitset
	e.t.axes[e.axis].cone.each(func(i int) {
		if !single(base.cells[i]) {
			moved.add(i)
		}
	})
	for high := range 2 {
		w := base.clone()
		moved.each(func(i int) {
			m := w.cells[i]
			if w.cells[i] = m & -m; high == 1 {
				w.cells[i] = 1 << (bits.Len32(m) - 1)
			}
		})
		if m := w.rerun(e.axis, &moved); single(m) && m&^e.found != 0 {
			e.note(w)
		}
	}
}

// split explores one part of what is unknown. It returns cells whose present
// bands already rule out every answer not found: when the cell just split is
// not among them, the other half cannot bring anything new either.
func (e *explorer) split(w *world, enough uint32) bitset {
	if e.done(enough) {
		return bitset{}
	}
	m := w.axes[e.axis]
	if single(m) && m&^e.found != 0 {
		e.witness(w)
	}
	if m&^e.found == 0 {
		e.s.reset()
		return e.s.refute(e.axis, enough&^e.found)
	}
	if e.visits++; e.visits > exploreMost {
		e.wide = true
		e.found |= m
		return bitset{}
	}
	i, mask := w.undecided(e.axis)
	was := w.cells[i]
	left := e.half(w, i, was&mask, enough)
	if !left.has(i) {
		return left
	}
	right := e.half(w, i, was&^mask, enough)
	if !right.has(i) {
		return right
	}
	left.or(&right)
	if was == e.base[i] {
		left.remove(i) // both halves of all it may be; a cell narrowed before stays a reason
	}
	return left
}

// half explores with cell i narrowed to mask, and takes the world back.
func (e *explorer) half(w *world, i int, mask uint32, enough uint32) bitset {
	was := w.cells[i]
	need := e.t.axes[e.axis].need
	saved := make([]uint32, len(need))
	for k, n := range need {
		saved[k] = w.axes[n]
	}
	var moved bitset
	moved.add(i)
	w.cells[i] = mask
	w.rerun(e.axis, &moved)
	out := e.split(w, enough)
	w.cells[i] = was
	for k, n := range need {
		w.axes[n] = saved[k]
	}
	return out
}

// witness notes a copy of a world in which the answer is certain.
func (e *explorer) witness(w *world) { e.note(w.clone()) }

// note keeps a world in which the answer is certain.
func (e *explorer) note(w *world) {
	m := w.axes[e.axis]
	e.found |= m
	e.witnesses = append(e.witnesses, witness{w, bits.TrailingZeros32(m)})
}

// undecided returns the first cell, with the bands asked for, that leaves the
// axis open.
func (w *world) undecided(axis int) (cell int, mask uint32) {
	outer := w.cuts
	w.cuts = cuts{}
	defer func() { w.cuts = outer }()
	a := w.t.axes[axis]
	switch {
	case a.gate:
		for i := range w.t.gates {
			if g := w.t.gateAxis0 + i; !single(w.axes[g]) {
				return w.undecided(g)
			}
		}
	case a.sumBase >= 0:
		if !single(w.axes[a.sumBase]) {
			return w.undecided(a.sumBase)
		}
		for _, r := range a.extras {
			if w.truth(r.cond) == maybe {
				return w.open(r.cond)
			}
		}
	}
	for _, r := range a.rules {
		if w.truth(r.cond) == maybe {
			return w.open(r.cond)
		}
	}
	panic("decide: an open axis has an open condition")
}

// open returns the first cell that leaves the condition open.
func (w *world) open(n *node) (cell int, mask uint32) {
	switch n.op {
	case opCell:
		return n.index, n.mask
	case opAxis:
		return w.undecided(n.index)
	}
	for _, k := range n.kids {
		if w.truth(k) == maybe {
			return w.open(k)
		}
	}
	panic("decide: an open condition has an open part")
}

// allOpen is a world in which nothing is known.
func (t *Table) allOpen() *world {
	w := &world{t: t, cells: make([]uint32, len(t.cells)), axes: make([]uint32, len(t.axes))}
	for i := range t.cells {
		w.cells[i] = t.cells[i].all()
	}
	return w
}
