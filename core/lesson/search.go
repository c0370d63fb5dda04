package lesson

import (
	"math/bits"
	"slices"
)

// step is one step of a found plan: a block, or a rest before it.
type step struct {
	item  int // index of an item; -1 for one of the ends
	opt   int // index of its option, or of the end
	slots int
	rest  int // slots of rest before it
	warm  bool
}

// found is a plan in numbers.
type found struct {
	steps []step
	gain  int
	// load and stretch are those after the last rest.
	load, stretch int
	nodes         int // places of the search that were looked at
}

// place is where the search stands: what is to come depends on nothing else.
type place struct {
	fixed
	spent
}

// fixed is the part of a place that is as it is.
type fixed struct {
	next    int8 // item from which on one may come
	later   bool // a rest has been
	terrain int8
	help    int8
	last    int8   // item of the last block where an end asks for it; else -1
	mask    uint64 // items worked through once that later ones need
	// drill and slide are the first of today that can be repeated at the end.
	drill, slide today
}

// spent is the part of a place of which less is never worse.
type spent struct {
	slot    int8
	stretch int8 // slots since the last rest
	load    int8 // hardest activity since then
	count   int8 // items
	flat    int8 // slots on the flat
}

// within tells whether nothing is more than in another.
func (a spent) within(b spent) bool {
	return a.slot <= b.slot && a.stretch <= b.stretch && a.load <= b.load && a.count <= b.count && a.flat <= b.flat
}

// reached is a place that was looked at, by what was spent on it.
type reached struct {
	spent
	gain int
}

// today is something worked through today that can be repeated at the end.
type today struct {
	item  int8 // and one; 0 for none
	help  int8
	worth int32 // thousandths for each slot
}

// standing is the terrain and the help level of a block.
type standing struct{ terrain, help int }

// search is one exact search: depth first over the items in their order, cut
// where even the best that could still come gains no more, and where the same
// place was reached before with as much.
type search struct {
	*problem
	best        found
	trail       []step
	chances     []int    // percent, of items
	matters     []uint64 // items that those from an index on may need
	at          []standing
	index       [8][8]int // of a terrain and a help level in at
	wide        int
	counts      int
	bound       []int32 // by item, standing, count and slots
	endGain     int     // most that the last block can gain
	ways        [][]way // of each depth, kept for their room
	hard        bool    // the search gave up to begin again with tight bounds
	tight       []int32 // by item, standing, count, slot and stretch; nil while not needed
	caps        int
	asked       []bool // items that are ends as well
	longestRest int
	after       []int // slots of blocks in so many that begin with a rest
	seen        map[fixed][]reached
	nodes       int
}

// solve returns the plan with the greatest gain, and false where there is
// none.
func solve(p *problem) (found, bool) { return solveWith(p, false) }

// solveWith is solve, with the better bounds from the start where they are
// wanted.
func solveWith(p *problem, eager bool) (found, bool) {
	s := &search{problem: p, seen: map[fixed][]reached{}}
	s.best.gain = -1
	n := len(p.items)
	s.chances = make([]int, n)
	s.matters = make([]uint64, n+1)
	all := make([]uint64, n) // below an item, whichever way
	for i, it := range p.items {
		s.chances[i] = it.chance
		for _, ways := range it.ways {
			for _, way := range ways {
				all[i] |= way
				for m := way; m != 0; m &= m - 1 {
					all[i] |= all[bits.TrailingZeros64(m)]
				}
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		s.matters[i] = s.matters[i+1] | all[i]
	}
	for _, e := range p.ends {
		s.endGain = max(s.endGain, e.gain*p.closeMost)
	}
	for _, it := range p.items {
		if p.made {
			s.endGain = max(s.endGain, it.repeat*p.closeMost)
		}
	}
	s.asked = make([]bool, n)
	for i, it := range p.items {
		s.asked[i] = slices.ContainsFunc(p.ends, func(e end) bool { return e.key == it.key })
	}
	s.fits()
	s.bounds()
	if eager {
		s.tighten()
	}
	s.begin()
	if s.hard {
		s.seen, s.trail, s.hard = map[fixed][]reached{}, nil, false
		s.tighten()
		s.begin()
	}
	s.best.nodes = s.nodes
	return s.best, s.best.gain >= 0
}

// bounds fills what the items from an index on, and an end, can gain at most:
// by the terrain and help of the block before, in so many slots of blocks, with
// so many blocks. What opens what, rests and effort are left out of it.
func (s *search) bounds() {
	n := len(s.items)
	s.wide, s.counts = s.slots+1, min(s.learnMost, n)+1
	s.standings()
	level := len(s.at) * s.counts * s.wide
	s.bound = make([]int32, (n+1)*level)
	for from := range s.at {
		for c := range s.counts {
			row := s.bound[n*level+(from*s.counts+c)*s.wide:]
			for r := 1; r < s.wide; r++ {
				row[r] = s.endBound(from, r)
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		it := s.items[i]
		gains := make([]int32, len(it.opts))
		to := make([]int, len(it.opts))
		for k, o := range it.opts {
			gains[k], to[k] = s.atMost(i, o), s.standing(o.terrain, o.help)
		}
		after := s.bound[(i+1)*level:]
		for from, f := range s.at {
			rows := s.bound[i*level+from*s.counts*s.wide:][:s.counts*s.wide]
			copy(rows, after[from*s.counts*s.wide:])
			for k, o := range it.opts {
				if f.terrain >= 0 && harder(it.role == New, it.noHands, f.terrain, f.help, o.terrain, o.help) > 1 {
					continue
				}
				next := after[to[k]*s.counts*s.wide:]
				for c := 1; c < s.counts; c++ {
					row, one := rows[c*s.wide:(c+1)*s.wide], next[(c-1)*s.wide:]
					for r := o.slots + 1; r < s.wide; r++ { // one more for the end
						row[r] = max(row[r], gains[k]+one[r-o.slots])
					}
				}
			}
		}
	}
}

// standing is the index of a terrain and a help level.
func (s *search) standing(terrain, help int) int {
	for i, a := range s.at {
		if a.terrain == terrain && a.help == help {
			return i
		}
	}
	s.at = append(s.at, standing{terrain, help})
	return len(s.at) - 1
}

// standings collects every terrain with every help level there is; the first is
// that of no block.
func (s *search) standings() {
	s.standing(-1, -1)
	for _, w := range s.warm {
		s.standing(w.terrain, w.help)
	}
	for _, it := range s.items {
		for _, o := range it.opts {
			s.standing(o.terrain, o.help)
		}
	}
	s.index = [8][8]int{}
	for i, a := range s.at[1:] {
		s.index[a.terrain][a.help] = i + 1
	}
}

// endBound is the most an end can gain after a standing in so many slots.
func (s *search) endBound(from, slots int) int32 {
	best := 0
	for _, e := range s.ends {
		terrain, help := e.terrain, e.help
		if f := s.at[from]; f.terrain >= 0 && harder(false, false, f.terrain, f.help, terrain, help) > 1 {
			continue
		}
		best = max(best, e.gain*min(slots, s.closeMost))
	}
	for _, it := range s.items {
		if s.made {
			best = max(best, up(it.repeat, it.chance)*min(slots, s.closeMost))
		}
	}
	return int32(best)
}

// tighten fills bounds that also know the time of day and the minutes since
// the last rest. What opens what, effort, the flat and which activity asks for
// how long a rest are still left out.
func (s *search) tighten() {
	n := len(s.items)
	c1 := max(s.cap0, s.cap1)
	s.caps = c1 + 1
	block := s.wide * s.caps
	level := len(s.at) * s.counts * block
	t := make([]int32, (n+1)*level)
	const never = -1 << 28
	rest := s.rests[0]
	ends := t[n*level:]
	for from := range s.at {
		first := ends[from*s.counts*block:][:block]
		for slot := range s.wide {
			for stretch := range s.caps {
				best := int32(never)
				for k := s.closeMost; k >= 1; k-- {
					if stretch+k <= c1 && slot+k+s.owed[0][stretch+k] <= s.slots || stretch > 0 && k <= c1 && slot+rest[stretch]+k+s.owed[0][k] <= s.slots {
						best = s.endBound(from, k)
						break
					}
				}
				first[slot*s.caps+stretch] = best
			}
		}
		for c := 1; c < s.counts; c++ {
			copy(ends[(from*s.counts+c)*block:][:block], first)
		}
	}
	reach := make([]int, len(s.at)) // first item from which on a standing can be that of the block before
	for i := range reach {
		reach[i] = n + 1
	}
	reach[0] = 0
	for _, w := range s.warm {
		reach[s.index[w.terrain][w.help]] = 0
	}
	for i, it := range s.items {
		for _, o := range it.opts {
			at := s.index[o.terrain][o.help]
			reach[at] = min(reach[at], i+1)
		}
	}
	for i := n - 1; i >= 0; i-- {
		it := s.items[i]
		here, after := t[i*level:][:level], t[(i+1)*level:][:level]
		copy(here, after)
		for _, o := range it.opts {
			gain, to := s.atMost(i, o), s.index[o.terrain][o.help]
			for from, f := range s.at {
				if reach[from] > i || f.terrain >= 0 && harder(it.role == New, it.noHands, f.terrain, f.help, o.terrain, o.help) > 1 {
					continue
				}
				for c := 1; c < s.counts; c++ {
					row, next := here[(from*s.counts+c)*block:][:block], after[(to*s.counts+c-1)*block:][:block]
					for slot := 0; slot < s.lastHard && slot+o.slots < s.slots; slot++ {
						for stretch := 0; stretch < s.caps; stretch++ {
							best := row[slot*s.caps+stretch]
							if stretch+o.slots <= c1 {
								best = max(best, gain+next[(slot+o.slots)*s.caps+stretch+o.slots])
							}
							if stretch > 0 && o.slots <= c1 && !it.first {
								if then := slot + rest[stretch]; then < s.lastHard && then+o.slots < s.slots {
									best = max(best, gain+next[(then+o.slots)*s.caps+o.slots])
								}
							}
							row[slot*s.caps+stretch] = best
						}
					}
				}
			}
		}
	}
	s.tight = t
}

// atMost is what an option of an item can gain at most.
func (s *search) atMost(i int, o option) int32 {
	g := up(o.gain, s.items[i].chance)
	for m := s.forced(i); m != 0; m &= m - 1 {
		g = up(g, s.items[bits.TrailingZeros64(m)].chance)
	}
	return int32(g)
}

// forced returns the items that an item cannot do without.
func (s *search) forced(i int) uint64 {
	var out uint64
	for _, ways := range s.items[i].ways {
		if len(ways) != 1 {
			continue
		}
		out |= ways[0]
		for m := ways[0]; m != 0; m &= m - 1 {
			out |= s.forced(bits.TrailingZeros64(m))
		}
	}
	return out
}

// up is a share in percent, rounded up.
func up(gain, pct int) int { return (gain*pct + 99) / 100 }

// relied returns the items an item rests on, the first met way of each need,
// and theirs; ok is false where a need is not met.
func (p *problem) relied(i int, done uint64) (mask uint64, ok bool) {
	for _, ways := range p.items[i].ways {
		met := false
		for _, way := range ways {
			if way&^done == 0 {
				mask |= way
				for m := way; m != 0; m &= m - 1 {
					below, _ := p.relied(bits.TrailingZeros64(m), done)
					mask |= below
				}
				met = true
				break
			}
		}
		if !met {
			return 0, false
		}
	}
	return mask, true
}

// expected is a gain times the chance that all it rests on was passed.
func (p *problem) expected(gain int, rests uint64) int {
	for m := rests; m != 0; m &= m - 1 {
		gain = gain * p.items[bits.TrailingZeros64(m)].chance / 100
	}
	return gain
}

// harder counts what gets harder from one block to the next, less what gets
// easier by more help. Letting go of the student is what a skill without hands
// is about, and counts once.
func harder(new, noHands bool, fromTerrain, fromHelp, terrain, help int) int {
	n := 0
	if new {
		n++
	}
	if terrain > fromTerrain {
		n++
	}
	switch {
	case help > fromHelp:
		n--
	case help < fromHelp && !noHands:
		n++
	}
	return n
}

// begin starts with what works, or with the first item.
func (s *search) begin() {
	start := place{fixed: fixed{last: -1, terrain: -1, help: -1}}
	if len(s.warm) == 0 {
		s.visit(start, 0, 0)
		return
	}
	s.finish(start, 0) // a lesson so short that it is only its end
	for i, w := range s.warm {
		if s.slots < 1 || s.cap0 < 1 {
			break
		}
		at := start
		at.slot, at.stretch, at.terrain, at.help = 1, 1, int8(w.terrain), int8(w.help)
		at.load = int8(w.load)
		if w.terrain == s.flatRank {
			at.flat = 1
		}
		s.trail = append(s.trail, step{item: -1, opt: i, slots: 1, warm: true})
		s.visit(at, 0, 0)
		s.trail = s.trail[:len(s.trail)-1]
	}
}

// fits fills how many slots of blocks fit at most into so many slots that
// begin with a rest, every rest as short as it can be.
func (s *search) fits() {
	s.after = make([]int, s.slots+1)
	for _, of := range s.rests {
		s.longestRest = max(s.longestRest, slices.Max(of))
	}
	for room := range s.after {
		for k := 1; k <= s.cap1 && k+s.rest <= room; k++ {
			n := k
			if left := room - s.rest - k; left > 0 {
				// The rest before was that of the blocks before it; the one after is
				// that of these.
				n += s.after[max(0, left-(s.rests[0][k]-s.rest))]
			}
			s.after[room] = max(s.after[room], n)
		}
	}
}

// usable is how many slots of blocks fit at most before a slot.
func (s *search) usable(at place, until int) int {
	room, c := until-int(at.slot), s.cap1
	if !at.later {
		c = s.cap0
	}
	best := 0
	for k := 0; k <= min(room, c-int(at.stretch)); k++ {
		n := k
		if stretch := int(at.stretch) + k; stretch > 0 {
			n += s.after[max(0, room-k-(s.rests[at.load][stretch]-s.rest))]
		}
		best = max(best, n)
	}
	return best
}

// way is one way on from a place.
type way struct {
	to    place
	step  step
	done  uint64
	gain  int
	bound int // most that can come of it
}

// easy is how many places are looked at before better bounds are worth their
// time.
const easy = 2000

// visit looks at every way on from a place, the most promising first. done are
// the items worked through once.
func (s *search) visit(at place, done uint64, gain int) {
	if s.nodes++; s.nodes > easy && s.tight == nil {
		s.hard = true // begin again with bounds that take longer to make
	}
	if s.hard || s.known(at, done, gain) {
		return
	}
	s.finish(at, gain)
	depth := len(s.trail)
	for len(s.ways) <= depth {
		s.ways = append(s.ways, nil)
	}
	ways := s.ways[depth][:0]
	left := s.learnMost - int(at.count)
	if left > 0 {
		room := s.room(at)
		for i := int(at.next); i < len(s.items); i++ {
			if gain+s.most(i, at, left, room) <= s.best.gain {
				break
			}
			ways = s.take(ways, at, i, done, gain)
		}
	}
	s.ways[depth] = ways
	slices.SortStableFunc(ways, func(a, b way) int { return b.bound - a.bound })
	for _, w := range ways {
		if w.bound <= s.best.gain {
			break
		}
		s.trail = append(s.trail, w.step)
		s.visit(w.to, w.done, w.gain)
		s.trail = s.trail[:depth]
	}
}

// room is how many slots of blocks may still come: to learn before a slot, and
// after it perhaps a rest and an end.
func (s *search) room(at place) int {
	if s.tight != nil {
		return 0
	}
	const longest = 4 // slots of the longest block
	return s.usable(at, min(s.slots, s.lastHard-1+longest+s.longestRest+s.closeMost))
}

// most is what the items from an index on, and an end, can still gain.
func (s *search) most(i int, at place, left, room int) int {
	from := 0
	if at.terrain >= 0 {
		from = s.index[at.terrain][at.help]
	}
	if left >= s.counts {
		left = s.counts - 1
	}
	if s.tight != nil {
		return int(s.tight[(((i*len(s.at)+from)*s.counts+left)*s.wide+int(at.slot))*s.caps+int(at.stretch)])
	}
	return int(s.bound[((i*len(s.at)+from)*s.counts+left)*s.wide+room])
}

// known tells whether a place was reached before with no less gain and no more
// spent, and keeps it where it was not.
func (s *search) known(at place, done uint64, gain int) bool {
	f := at.fixed
	f.mask = done & s.matters[at.next]
	if l := at.last; l < 0 || !s.asked[l] && l+1 != at.slide.item && l+1 != at.drill.item {
		f.last = -1
	}
	list := s.seen[f]
	for _, r := range list {
		if r.gain >= gain && r.within(at.spent) {
			return true
		}
	}
	keep := list[:0]
	for _, r := range list {
		if !(gain >= r.gain && at.spent.within(r.spent)) {
			keep = append(keep, r)
		}
	}
	s.seen[f] = append(keep, reached{at.spent, gain})
	return false
}

// take adds every way to put an item next, with and without a rest before it.
func (s *search) take(ways []way, at place, i int, done uint64, gain int) []way {
	it := &s.items[i]
	rests, ok := s.relied(i, done)
	if !ok || it.first && at.later {
		return ways
	}
	for k, o := range it.opts {
		if at.terrain >= 0 && harder(it.role == New, it.noHands, int(at.terrain), int(at.help), o.terrain, o.help) > 1 {
			continue
		}
		if o.terrain == s.flatRank && int(at.flat)+o.slots > s.flatMost {
			continue
		}
		for _, rested := range [2]bool{false, true} {
			next, rest, ok := s.on(at, rested, it.first, o.slots, it.load)
			if !ok || int(next.slot)-o.slots >= s.lastHard || int(next.slot) >= s.slots {
				continue
			}
			next.next, next.terrain, next.help, next.last, next.count = int8(i+1), int8(o.terrain), int8(o.help), int8(i), at.count+1
			if o.terrain == s.flatRank {
				next.flat += int8(o.slots)
			}
			now := done
			if o.full {
				now |= 1 << i
				s.repeatable(&next, i, o, rests)
			}
			w := way{to: next, step: step{item: i, opt: k, slots: o.slots, rest: rest}, done: now, gain: gain + s.expected(o.gain*it.chance/100, rests)}
			w.bound = w.gain + s.most(i+1, next, s.learnMost-int(next.count), s.room(next))
			if w.bound > s.best.gain {
				ways = append(ways, w)
			}
		}
	}
	return ways
}

// repeatable keeps the first drill and the first slide of today.
func (s *search) repeatable(at *place, i int, o option, rests uint64) {
	it := &s.items[i]
	if !s.made || it.repeat == 0 {
		return
	}
	t := today{int8(i + 1), int8(o.help), int32(s.expected(it.repeat, rests|1<<i))}
	switch {
	case o.terrain == s.flatRank && at.drill.item == 0:
		at.drill = t
	case o.terrain != s.flatRank && at.slide.item == 0:
		at.slide = t
	}
}

// on goes on by one block, after a rest or not; ok is false where a limit
// forbids it or where resting gains nothing: a later rest is never worse.
func (s *search) on(at place, rested, first bool, slots, load int) (next place, rest int, ok bool) {
	next = at
	c := s.cap1
	if !at.later {
		c = s.cap0
	}
	if rested {
		if at.stretch == 0 || first || !s.optional && int(at.stretch)+slots <= c {
			return next, 0, false
		}
		rest = s.rests[at.load][at.stretch]
		next.slot, next.stretch, next.load, next.later = next.slot+int8(rest), 0, 0, true
		c = s.cap1
	}
	next.slot, next.stretch, next.load = next.slot+int8(slots), next.stretch+int8(slots), max(next.load, int8(load))
	return next, rest, int(next.stretch) <= c && int(next.slot) <= s.slots
}

// finish ends the plan with something that works.
func (s *search) finish(at place, gain int) {
	if s.slots-int(at.slot) < 1 || gain+s.endGain <= s.best.gain {
		return
	}
	for i, e := range s.ends {
		if at.last < 0 || s.items[at.last].key != e.key {
			s.end(at, gain, i, e)
		}
	}
	if !s.made {
		return
	}
	t := at.slide
	if t.item == 0 || t.item == at.last+1 {
		t = at.drill
	}
	if t.item == 0 || t.item == at.last+1 {
		return
	}
	it := &s.items[t.item-1]
	s.end(at, gain, -int(t.item), end{key: it.key, terrain: it.opts[0].terrain, help: int(t.help), gain: int(t.worth), load: it.load})
}

// end tries one end in every length. A number below zero is an item of today.
func (s *search) end(at place, gain, number int, e end) {
	if at.terrain >= 0 && harder(false, false, int(at.terrain), int(at.help), e.terrain, e.help) > 1 {
		return
	}
	for slots := s.closeMost; slots >= 1; slots-- {
		for _, rested := range [2]bool{false, true} {
			next, rest, ok := s.on(at, rested, false, slots, e.load)
			if !ok || e.terrain == s.flatRank && int(next.flat)+slots > s.flatMost {
				continue
			}
			if int(next.slot)+s.owed[next.load][next.stretch] > s.slots {
				continue // the rest after it lies within the minutes as well
			}
			if total := gain + e.gain*slots; total > s.best.gain {
				s.best.gain, s.best.load, s.best.stretch = total, int(next.load), int(next.stretch)
				s.best.steps = append(append([]step(nil), s.trail...), step{item: -1, opt: number, slots: slots, rest: rest})
			}
		}
	}
}
