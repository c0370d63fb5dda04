package lesson

import (
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"firnhand/core/ladder"
)

// piece is a block of a plan as the plain search writes it down: a beginning
// (warm), an item with an option, an end, or a rest.
type piece struct {
	kind      byte // 'w', 'i', 'e', 't' (an end of today), 'r'
	item, opt int
	slots     int
}

// plain judges a whole sequence by the rules as they are written, with no
// thought for speed; ok is false where one is broken.
func plain(p *problem, seq []piece) (gain int, ok bool) {
	slot, stretch, load, rested, flat, learned := 0, 0, 0, false, 0, 0
	var done uint64
	lastItem := -1
	var before *option
	levels := map[int]option{}
	var order []int // items worked through, as they came
	block := func(o option, load2 int, isNew, noHands bool) bool {
		slot, stretch, load = slot+o.slots, stretch+o.slots, max(load, load2)
		cap := p.cap1
		if !rested {
			cap = p.cap0
		}
		if o.terrain == p.flatRank {
			flat += o.slots
		}
		n := 0
		if before != nil {
			if isNew {
				n++
			}
			if o.terrain > before.terrain {
				n++
			}
			if o.help < before.help && !noHands {
				n++
			}
			if o.help > before.help {
				n--
			}
		}
		before = &o
		return slot <= p.slots && stretch <= cap && flat <= p.flatMost && n <= 1
	}
	for i, x := range seq {
		switch x.kind {
		case 'r':
			if i == 0 || i == len(seq)-1 || seq[i-1].kind == 'r' || x.slots != p.rests[load][stretch] {
				return 0, false
			}
			slot, stretch, load, rested = slot+x.slots, 0, 0, true
		case 'w':
			w := p.warm[x.opt]
			if i != 0 || x.slots != 1 || !block(option{terrain: w.terrain, help: w.help, slots: 1}, w.load, false, false) {
				return 0, false
			}
		case 'i':
			it := p.items[x.item]
			o := it.opts[x.opt]
			if slot >= p.lastHard || it.first && rested || learned == p.learnMost || len(order) > 0 && order[len(order)-1] >= x.item {
				return 0, false
			}
			if i == 0 && len(p.warm) > 0 {
				return 0, false
			}
			// Any way of every need, and with it everything that way rests on.
			rests, met := restsOn(p, x.item, done)
			if !met || !block(o, it.load, it.role == New, it.noHands) {
				return 0, false
			}
			g := o.gain * it.chance / 100
			for j := range p.items {
				if rests&(1<<j) != 0 {
					g = g * p.items[j].chance / 100
				}
			}
			gain += g
			learned, lastItem = learned+1, x.item
			order, levels[x.item] = append(order, x.item), o
			if o.full {
				done |= 1 << x.item
			}
		case 'e':
			e := p.ends[x.opt]
			if i != len(seq)-1 || lastItem >= 0 && p.items[lastItem].key == e.key {
				return 0, false
			}
			if !block(option{terrain: e.terrain, help: e.help, slots: x.slots}, e.load, false, false) {
				return 0, false
			}
			gain += e.gain * x.slots
		case 't':
			// The first slide of today, or the first drill where the slide was the
			// block just before.
			if !p.made || i != len(seq)-1 {
				return 0, false
			}
			slide, drill := -1, -1
			for _, j := range order {
				if p.items[j].repeat == 0 || done&(1<<j) == 0 {
					continue
				}
				if levels[j].terrain == p.flatRank && drill < 0 {
					drill = j
				}
				if levels[j].terrain != p.flatRank && slide < 0 {
					slide = j
				}
			}
			pick := slide
			if pick < 0 || pick == lastItem {
				pick = drill
			}
			if pick != x.item || pick == lastItem {
				return 0, false
			}
			it := p.items[pick]
			// It was worth what it rested on when it was done.
			upTo := uint64(0)
			for _, j := range order {
				if j == pick {
					break
				}
				upTo |= done & (1 << j)
			}
			rests, _ := restsOn(p, pick, upTo)
			rests |= 1 << pick
			g := it.repeat
			for j := range p.items {
				if rests&(1<<j) != 0 {
					g = g * p.items[j].chance / 100
				}
			}
			if !block(option{terrain: levels[pick].terrain, help: levels[pick].help, slots: x.slots}, it.load, false, false) {
				return 0, false
			}
			gain += g * x.slots
		}
	}
	if n := len(seq); n == 0 || seq[n-1].kind != 'e' && seq[n-1].kind != 't' || slot+p.owed[load][stretch] > p.slots {
		return 0, false
	}
	return gain, true
}

// restsOn is the rule of needs read once more, by sets of bits.
func restsOn(p *problem, i int, done uint64) (uint64, bool) {
	var all uint64
	for _, ways := range p.items[i].ways {
		k := slices.IndexFunc(ways, func(way uint64) bool { return way&done == way })
		if k < 0 {
			return 0, false
		}
		all |= ways[k]
		for j := range p.items {
			if ways[k]&(1<<j) != 0 {
				below, _ := restsOn(p, j, done)
				all |= below
			}
		}
	}
	return all, true
}

// brute tries every sequence of pieces whatsoever, in any order, with a rest
// anywhere.
func brute(p *problem) (best int, tried int) {
	best = -1
	var seq []piece
	var used uint64
	var try func(slot int)
	try = func(slot int) {
		tried++
		if gain, ok := plain(p, seq); ok {
			best = max(best, gain)
		}
		if slot >= p.slots {
			return
		}
		add := func(x piece) {
			seq = append(seq, x)
			try(slot + x.slots)
			seq = seq[:len(seq)-1]
		}
		if n := len(seq); n > 0 && (seq[n-1].kind == 'e' || seq[n-1].kind == 't') {
			return
		}
		if len(seq) == 0 {
			for i := range p.warm {
				add(piece{'w', 0, i, 1})
			}
		}
		if n := len(seq); n > 0 && seq[n-1].kind != 'r' {
			lengths := map[int]bool{}
			for _, of := range p.rests {
				for _, r := range of {
					if r > 0 && slot+r < p.slots {
						lengths[r] = true
					}
				}
			}
			for r := 1; r <= p.slots; r++ {
				if lengths[r] {
					add(piece{'r', 0, 0, r})
				}
			}
		}
		for i, it := range p.items {
			if used&(1<<i) != 0 {
				continue
			}
			used |= 1 << i
			for k, o := range it.opts {
				if slot+o.slots <= p.slots {
					add(piece{'i', i, k, o.slots})
				}
			}
			used &^= 1 << i
		}
		for k := 1; k <= p.closeMost && slot+k <= p.slots; k++ {
			for i := range p.ends {
				add(piece{'e', 0, i, k})
			}
			if p.made {
				for m := used; m != 0; m &= m - 1 {
					add(piece{'t', bits.TrailingZeros64(m), 0, k})
				}
			}
		}
	}
	try(0)
	return best, tried
}

// small makes a problem of a few items and slots, any rule of which may bind.
func small(r *rand.Rand) *problem {
	n := r.IntN(5)
	p := &problem{slots: 1 + r.IntN(7), cap0: 1 + r.IntN(4), cap1: 1 + r.IntN(4), rest: 1, flatMost: 1 + r.IntN(7), learnMost: 1 + r.IntN(4), closeMost: 1 + r.IntN(2)}
	p.lastHard = 1 + r.IntN(p.slots)
	p.optional = r.IntN(2) == 0
	wide := max(p.cap0, p.cap1) + 1
	for load := range 3 {
		p.rests, p.owed = append(p.rests, make([]int, wide)), append(p.owed, make([]int, wide))
		for k := range wide {
			if p.optional && k > 0 { // longer after more, and after harder
				p.owed[load][k] = (k*(1+load) + r.IntN(2)) / 2
				p.owed[load][k] = max(p.owed[load][k], p.owed[load][k-1])
				if load > 0 {
					p.owed[load][k] = max(p.owed[load][k], p.owed[load-1][k])
				}
			}
			p.rests[load][k] = max(p.rest, p.owed[load][k])
		}
	}
	for i := range n {
		it := item{key: key{Skill: string(rune('a' + i))}, role: []Role{New, New, LessHelp, Again}[r.IntN(4)], chance: 30 + r.IntN(71),
			noHands: r.IntN(4) == 0, first: r.IntN(6) == 0, load: r.IntN(3), repeat: 1000 * r.IntN(2)}
		terrain := r.IntN(3)
		full := 1 + r.IntN(3)
		help := 1 + r.IntN(4)
		for more := range 1 + r.IntN(2) {
			for slots := full; slots >= (full+1)/2; slots-- {
				it.opts = append(it.opts, option{terrain: terrain, help: help + more, slots: slots, full: slots == full, gain: (100 + r.IntN(1000)) * slots / full})
			}
		}
		for range r.IntN(2) {
			var ways []uint64
			for range 1 + r.IntN(2) {
				if i > 0 {
					ways = append(ways, uint64(1+r.IntN(1<<i-1)))
				}
			}
			if ways != nil {
				it.ways = append(it.ways, ways)
			}
		}
		p.items = append(p.items, it)
	}
	for i := range r.IntN(3) {
		e := end{key: key{Skill: string(rune('a' + r.IntN(6)))}, terrain: r.IntN(3), help: 1 + r.IntN(5), gain: 500 + r.IntN(1000), load: r.IntN(3)}
		p.ends = append(p.ends, e)
		if i == 0 && r.IntN(2) == 0 {
			p.warm = append(p.warm, e)
		}
	}
	p.made = len(p.ends) == 0
	return p
}

// The search gains what trying every sequence gains.
func TestOracleEverySequence(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 2))
	none, some, tried := 0, 0, 0
	for i := range 4000 {
		p := small(r)
		want, n := brute(p)
		tried += n
		for _, eager := range []bool{false, true} {
			got, ok := solveWith(p, eager)
			if !ok {
				got.gain = -1
			}
			if got.gain != want {
				t.Fatalf("problem %d: gain %d, every sequence gives %d\n%+v", i, got.gain, want, p)
			}
			if !ok {
				none++
				continue
			}
			some++
			if gain, fine := plain(p, pieces(p, got)); !fine || gain != got.gain {
				t.Fatalf("problem %d: the plan found breaks a rule, or gains %d, not %d\n%+v\n%+v", i, gain, got.gain, p, got.steps)
			}
		}
	}
	t.Logf("%d with a plan, %d without, %d sequences tried", some, none, tried)
	if some < 3000 || none < 1000 {
		t.Errorf("%d with a plan, %d without", some, none)
	}
}

// pieces writes a found plan as the plain search does.
func pieces(p *problem, f found) []piece {
	var seq []piece
	for _, s := range f.steps {
		if s.rest > 0 {
			seq = append(seq, piece{'r', 0, 0, s.rest})
		}
		switch {
		case s.item >= 0:
			seq = append(seq, piece{'i', s.item, s.opt, s.slots})
		case s.warm:
			seq = append(seq, piece{'w', 0, s.opt, s.slots})
		case s.opt < 0:
			seq = append(seq, piece{'t', -s.opt - 1, 0, s.slots})
		default:
			seq = append(seq, piece{'e', 0, s.opt, s.slots})
		}
	}
	return seq
}

// Students with little time, planned for by the search and by trying every
// sequence.
func TestOracleStudents(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 3))
	plans := 0
	for plans < 40 {
		q := invented(r)
		q.Day.Minutes = 10 + 5*r.IntN(4)
		q.Student.Passes = nil
		if r.IntN(2) == 0 {
			a := q.Student.Setup.Aids
			q.Student.Passes = []ladder.Pass{{Skill: "K02", Terrain: "flat", Help: 1, Aids: a}, {Skill: "K14", Terrain: "run_out", Help: 4, Aids: a}}
		}
		p, err := problemOf(q)
		if err != nil {
			t.Fatal(err)
		}
		if p == nil || len(p.items) > 9 {
			continue
		}
		plans++
		want, _ := brute(p)
		got, ok := solve(p)
		if !ok {
			got.gain = -1
		}
		if got.gain != want {
			t.Fatalf("gain %d, every sequence gives %d: %+v", got.gain, want, q)
		}
	}
}

// problemOf is the problem of a request; nil where there is none.
func problemOf(q Request) (*problem, error) {
	b, out, err := build(q)
	if err != nil || out.None != nil {
		return nil, err
	}
	return &b.p, nil
}
