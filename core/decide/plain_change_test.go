package decide

import (
	"math"
	"slices"

	"firnhand/core/finding"
)

// What the plain version changes, and what it finds worth knowing.

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
