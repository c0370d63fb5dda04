package decide

import (
	"math/bits"
	"sort"

	"firnhand/core/finding"
)

// ChangesMost is the most findings one change may touch.
const ChangesMost = 3

// ChangesShown is the most changes listed for one axis.
const ChangesShown = 6

// Change is a set of findings that would give another answer.
type Change struct {
	To       string    `json:"to"` // the answer it gives
	Label    string    `json:"label"`
	Steps    int       `json:"steps"` // sum of scale steps
	Findings []Altered `json:"findings"`
}

// Altered is one finding of a change.
type Altered struct {
	Finding string `json:"finding"`
	Side    string `json:"side,omitempty"`
	State   string `json:"state,omitempty"`
	Label   string `json:"label"`
	From    string `json:"from"`
	To      string `json:"to"`
	SayFrom string `json:"say_from"`
	SayTo   string `json:"say_to"`
	Steps   int    `json:"steps"`
}

// variable is something that changes as one: a finding on one side, its fresh
// and tired values together where they are equal. Where an axis reads fresh or
// tired by itself, the tired value of such a pair can also get worse alone.
type variable struct {
	cells []int
	group int // first cell of the finding and side; one move per group
	tires bool
}

// move sets a variable to a band, or to anything else than it is.
type move struct {
	v    int16
	band int8
}

// anything is the band of a loose move; no cell has as many.
const anything = bandsMost

// looseAfter is how many plans are tried value by value before the search
// begins anew with loose moves: most questions turn on a near change, where
// loose moves only come on top.
const looseAfter = 1500

// loose returns the first move whose band is not settled, -1 without one.
func (p plan) loose() int {
	for i, m := range p.moves[:p.n] {
		if m.band == anything {
			return i
		}
	}
	return -1
}

// plan is a set of moves under search, sorted by variable.
type plan struct {
	n     int8
	cost  int8
	moves [ChangesMost]move
}

func (p plan) key() uint64 {
	k := uint64(p.n)
	for _, m := range p.moves[:p.n] {
		k = k<<16 | uint64(m.v)<<5 | uint64(m.band)
	}
	return k
}

// touches tells whether the plan moves the finding of variable v already.
func (c *changer) touches(p plan, v int16) bool {
	for _, m := range p.moves[:p.n] {
		if m.v == v || (c.vars[m.v].group == c.vars[v].group && (c.vars[m.v].tires || c.vars[v].tires)) {
			return true
		}
	}
	return false
}

func (p plan) with(m move, steps int) plan {
	i := int(p.n)
	for i > 0 && p.moves[i-1].v > m.v {
		p.moves[i] = p.moves[i-1]
		i--
	}
	p.moves[i] = m
	p.n++
	p.cost += int8(steps)
	return p
}

// changer looks for the smallest changes in one world.
type changer struct {
	base *world
	w    *world // scratch
	s    *supporter
	vars []variable
	of   [][]int16 // variables of each cell
	seen map[uint64]struct{}

	buckets [][]plan // plans to look at, by cost
	again   []plan   // those of one bucket that are to grow
	loosely bool     // grow by loose moves
}

// changer lists what can change: every known finding that some rule reads.
// Fresh and tired values of one finding move together where they are equal.
func (t *Table) changer(base *world) *changer {
	c := &changer{base: base, w: base.clone(),
		of: make([][]int16, len(t.cells))}
	c.w.from = base.settled()
	c.s = newSupporter(c.w)
	c.s.base = newSupporter(base)
	add := func(tires bool, cells ...int) {
		group := cells[0]
		if twin := t.twin(group); twin >= 0 {
			group = min(group, twin)
		}
		for _, i := range cells {
			c.of[i] = append(c.of[i], int16(len(c.vars)))
		}
		c.vars = append(c.vars, variable{cells, group, tires})
	}
	for i := range t.cells {
		cl := &t.cells[i]
		if cl.gate != "" || !c.movable(i) {
			continue
		}
		twin := t.twin(i)
		switch {
		case twin < 0 || !c.movable(twin) || base.cells[twin] != base.cells[i]:
			add(false, i)
		case twin > i:
			add(false, i, twin)
			add(true, twin) // fresh comes before tired
		}
	}
	return c
}

// twin returns the cell of the same finding in the other state, -1 without one.
func (t *Table) twin(i int) int {
	k := t.cells[i].key
	k.State = 1 - k.State
	if j, ok := t.cellIndex[k]; ok && t.cells[i].def.Tiring {
		return j
	}
	return -1
}

// movable tells whether a cell holds a known value of its scale.
func (c *changer) movable(i int) bool {
	m := c.base.cells[i]
	na := c.base.t.cells[i].naBand()
	return single(m) && (na < 0 || m != 1<<na)
}

// smallest finds all cheapest changes that decide axis i otherwise.
func (c *changer) smallest(axis int) ([]Change, int) {
	was := c.base.axes[axis]
	if !single(was) { // decided by exploring only: compare with what it is decided as
		e := c.base.t.explorer(axis)
		e.from(c.base, was)
		was = e.found
	}
	c.loosely = false
	found, to, done := c.search(axis, was)
	if !done {
		c.loosely = true
		found, to, _ = c.search(axis, was)
	}
	return c.changes(axis, found, to)
}

// search is best-first by cost. Every change that matters must touch a finding
// among the reasons for the present answer, so only those are tried. When it
// grows loosely a finding is first moved to anything else than it is: as long
// as that leaves the answer, none of its values needs trying. It is not done
// when growing value by value became too wide.
func (c *changer) search(axis int, was uint32) (found []plan, to []int, done bool) {
	c.seen = map[uint64]struct{}{} // clearing one that grew large would cost more
	for k := range c.buckets {
		c.buckets[k] = c.buckets[k][:0]
	}
	c.put(plan{})
	for cost := 0; cost < len(c.buckets) && len(found) == 0; cost++ {
		c.again = c.again[:0]
		for k := 0; k < len(c.buckets[cost]); k++ { // settling adds to the bucket
			p := c.buckets[cost][k]
			m := c.apply(p, axis)
			at := p.loose()
			if at < 0 && !single(m) {
				m = c.base.t.exactly(c.w, axis)
			}
			c.undo(p, axis)
			switch {
			case at >= 0 && m != was:
				c.settle(p, at)
			case single(m) && m != was:
				found = append(found, p)
				to = append(to, bits.TrailingZeros32(m))
			case p.n < ChangesMost:
				c.again = append(c.again, p)
			}
		}
		if len(found) > 0 {
			break
		}
		for _, p := range c.again {
			if !c.loosely && len(c.seen) > looseAfter {
				return nil, nil, false
			}
			c.apply(p, axis)
			c.grow(p, axis)
			c.undo(p, axis)
		}
	}
	return found, to, true
}

// settle puts every value of the loose move at index at into the buckets.
func (c *changer) settle(p plan, at int) {
	v := p.moves[at].v
	one := c.vars[v]
	cl := &c.base.t.cells[one.cells[0]]
	from := bits.TrailingZeros32(c.base.cells[one.cells[0]])
	for m := c.others(one); m != 0; m &= m - 1 {
		b := bits.TrailingZeros32(m)
		next := p
		next.moves[at].band = int8(b)
		next.cost += int8(cl.distance(from, b) - 1) // loose, it counted as one step
		c.put(next)
	}
}

// put adds a plan not seen before to the bucket of its cost.
func (c *changer) put(p plan) {
	key := p.key()
	if _, ok := c.seen[key]; ok {
		return
	}
	c.seen[key] = struct{}{}
	for len(c.buckets) <= int(p.cost) {
		c.buckets = append(c.buckets, nil)
	}
	c.buckets[p.cost] = append(c.buckets[p.cost], p)
}

// others is every band a variable can be moved to.
func (c *changer) others(one variable) uint32 {
	cl := &c.base.t.cells[one.cells[0]]
	now := c.base.cells[one.cells[0]]
	m := (1<<cl.steps() - 1) &^ now
	if !one.tires {
		return m
	}
	for rest := m; rest != 0; rest &= rest - 1 {
		if b := bits.TrailingZeros32(rest); !cl.worse(b, bits.TrailingZeros32(now)) {
			m &^= 1 << b
		}
	}
	return m
}

// grow puts every next step from p into the buckets.
func (c *changer) grow(p plan, axis int) {
	c.s.reset()
	c.s.moved = c.moved(p)
	set := c.s.axis(axis)
	set.each(func(i int) {
		for _, v := range c.of[i] {
			one := c.vars[v]
			if c.touches(p, v) || (one.tires && !c.base.t.axes[axis].apart) || c.others(one) == 0 {
				continue
			}
			next := p.with(move{v, anything}, 1)
			if c.loosely {
				c.put(next)
			} else {
				c.settle(next, next.loose())
			}
		}
	})
}

// worse tells whether band a is worse than band b.
func (c *cell) worse(a, b int) bool {
	if c.def.Scale == finding.Number && !c.def.MoreIsGood {
		return a > b
	}
	return a < b
}

// distance is the number of scale steps between two bands; between the values
// of a choice, which has no order, it is one.
func (c *cell) distance(a, b int) int {
	if c.def.Scale == finding.Choice {
		return 1
	}
	if a > b {
		return a - b
	}
	return b - a
}

// apply moves the scratch world and returns the answers of the axis in it.
// Axes that no moved cell can reach keep their answers.
func (c *changer) apply(p plan, axis int) uint32 {
	moved := c.moved(p)
	for _, m := range p.moves[:p.n] {
		one := c.vars[m.v]
		mask := uint32(1) << m.band
		if m.band == anything {
			mask = c.others(one)
		}
		for _, i := range one.cells {
			c.w.cells[i] = mask
		}
	}
	c.w.from.moved = moved
	return c.w.rerun(axis, &moved)
}

// moved returns the cells a plan moves.
func (c *changer) moved(p plan) bitset {
	var out bitset
	for _, m := range p.moves[:p.n] {
		for _, i := range c.vars[m.v].cells {
			out.add(i)
		}
	}
	return out
}

// undo takes the scratch world back.
func (c *changer) undo(p plan, axis int) {
	for _, m := range p.moves[:p.n] {
		for _, i := range c.vars[m.v].cells {
			c.w.cells[i] = c.base.cells[i]
		}
	}
	for _, k := range c.base.t.axes[axis].need {
		c.w.axes[k] = c.base.axes[k]
	}
}

// changes orders what was found: fewest findings first, then as the
// vocabulary goes.
func (c *changer) changes(axis int, found []plan, to []int) ([]Change, int) {
	order := make([]int, len(found))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(i, j int) bool {
		a, b := found[order[i]], found[order[j]]
		if a.n != b.n {
			return a.n < b.n
		}
		return a.key() < b.key()
	})
	if len(order) > ChangesShown {
		order = order[:ChangesShown]
	}
	t := c.base.t
	var out []Change
	for _, k := range order {
		p := found[k]
		v := t.axes[axis].values[to[k]]
		ch := Change{To: v.ID, Label: v.Label, Steps: int(p.cost)}
		for _, m := range p.moves[:p.n] {
			ch.Findings = append(ch.Findings, c.altered(m))
		}
		out = append(out, ch)
	}
	return out, len(found)
}

func (c *changer) altered(m move) Altered {
	t := c.base.t
	cells := c.vars[m.v].cells
	cl := &t.cells[cells[0]]
	from := c.base.cells[cells[0]]
	a := Altered{Finding: cl.key.ID, Side: cl.key.Side.Word(), Label: cl.def.Label, Steps: cl.distance(bits.TrailingZeros32(from), int(m.band))}
	if cl.def.Tiring && len(cells) == 1 {
		a.State = cl.key.State.String()
	}
	a.From, a.SayFrom = t.bandText(cl, from)
	a.To, a.SayTo = t.bandText(cl, 1<<m.band)
	return a
}
