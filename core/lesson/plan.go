package lesson

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/effort"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/quantity"
)

// Block is one piece of a plan. A rest has a role and minutes only.
type Block struct {
	Role    Role
	Start   int // minutes from the first on snow
	Minutes int
	Skill   *ladder.Skill
	Side    finding.Side
	Terrain ladder.Terrain
	Help    int // level to begin with
	Aim     int // level to be passed
	// After are the skills of this plan that have to be clean first; else go on
	// with them, or end.
	After  []ladder.Missing
	People int // lead included
	// Kcal is what it costs, rest metabolism included; zero where the mass is
	// not known.
	Kcal float64
	// Gain is expected, in steps of the ladder toward the goal.
	Gain float64
	Full bool // long enough to work it through once
	// NoReins tells that no reins are used, so that help 3 and 2 come from
	// within reach.
	NoReins bool
}

// Left is what did not fit, and why.
type Left struct {
	Skill *ladder.Skill
	Side  finding.Side
	Code  string // not_possible, terrain, people, waits, no_time, order ...
	Why   string
}

// None says why there is no plan.
type None struct {
	Code string
	Why  string
}

// Result is a plan with its limits and what did not fit.
type Result struct {
	None   *None // nil where there is a plan
	First  bool  // a first lesson
	Plan   Plan  // zero for a later lesson
	Goal   *ladder.Skill
	Board  *ladder.Board
	Blocks []Block
	Left   []Left

	Given   int // minutes on snow there are
	Minutes int // minutes of the plan, rests included
	// FirstBlock and LaterBlock are the most minutes before the first rest and
	// between later ones; RestMin is a rest.
	FirstBlock, LaterBlock, RestMin int
	// HardUntil is the minute before which something harder may begin.
	HardUntil int
	// Kcal of the plan, rests included, and the most there is; nil where the
	// mass or the capacity is not known.
	Kcal, KcalMost *float64
	// RestAfter is the rest owed after the end, minutes, within those there are.
	RestAfter int
	// Looks are the minutes at which parts that cannot feel are looked at, and
	// LookFirst and LookMost the most until the first and between two; nil
	// where no timer runs.
	Looks               []int
	LookFirst, LookMost *float64
	Gain                float64 // expected steps of the ladder toward the goal
	EitherSide          bool    // neither side lags: either may come first
	Say                 []string
	Nodes               int // places of the search that were looked at
}

// Make returns the plan with the greatest expected gain. A day on which nobody
// skis, or a lesson too short, is an answer without blocks; the error is an
// *Error and refuses what is no request.
func Make(r Request) (*Result, error) {
	b, out, err := build(r)
	if err != nil || out.None != nil {
		return out, err
	}
	got, ok := solve(&b.p)
	out.Nodes = got.nodes
	if !ok {
		out.None = &None{"too_short", fmt.Sprintf("In %d minutes with these limits no lesson can end on something that works. Give it more minutes, or meet, fit and rehearse indoors.", r.Day.Minutes)}
		if b.p.optional {
			out.None.Why += " The rest that effort asks for counts in them."
		}
		return out, nil
	}
	return out, b.fill(out, got)
}

// build makes the problem of a request, or says why there is none.
func build(r Request) (*builder, *Result, error) {
	l := ladder.Standing()
	if err := r.check(l); err != nil {
		return nil, nil, err
	}
	out := &Result{Given: r.Day.Minutes}
	if out.None = closed(r); out.None != nil {
		return nil, out, nil
	}
	board, err := l.Open(r.Student.Setup, r.Student.Passes)
	if err != nil {
		return nil, nil, err
	}
	b := &builder{Request: r, l: l, board: board, first: len(r.Student.Passes) == 0, path: map[string]bool{}, heights: map[string]int{}}
	b.plan, _ = planOf(r.Student.Plan)
	out.Board, out.First = board, b.first
	if b.first {
		out.Plan = b.plan
	}
	if out.None = b.limits(out); out.None != nil {
		return nil, out, nil
	}
	b.aim(out)
	b.terrains()
	if err := b.costs(); err != nil {
		return nil, nil, err
	}
	if b.nothing != "" {
		out.None = &None{"effort", b.nothing}
		return nil, out, nil
	}
	if err := b.rests(); err != nil {
		return nil, nil, err
	}
	b.p.items = b.reachable(b.candidates())
	b.works()
	return b, out, nil
}

// closed says why nobody skis standing today; nil where they may.
func closed(r Request) *None {
	s, d := r.Student, r.Day
	switch {
	case s.Plan == "PL-H":
		return &None{"hold", "A hold stands: meet, tour, evaluation only."}
	case s.Plan == "PL-F":
		return &None{"sitting", "The student skis sitting: hand over to the sitting lead."}
	case d.Cold != nil && d.Cold.Stop:
		return &None{"cold_stop", strings.Join(d.Cold.Say[:1], " ")}
	case d.People < s.People:
		return &None{"people", fmt.Sprintf("This student needs %d people around them, lead included; there %s.", s.People, counted(d.People, "is", "are"))}
	case d.Minutes < Step:
		return &None{"no_time", "There are no minutes on snow."}
	}
	return nil
}

func counted(n int, one, many string) string {
	if n == 1 {
		return one + " 1"
	}
	return fmt.Sprintf("%s %d", many, n)
}

// limits turns minutes into slots, and says where nothing is left.
func (b *builder) limits(out *Result) *None {
	s, d := b.Student, b.Day
	minutes := d.Minutes
	if most := b.n("first_most_min"); b.first && minutes > most {
		minutes = most
		out.Say = append(out.Say, fmt.Sprintf("A first lesson has at most %d minutes on snow; the others are for meeting, fitting and looking.", most))
	}
	block := s.BlockMin
	if block == 0 {
		block = b.n("block_unknown_min")
		out.Say = append(out.Say, fmt.Sprintf("How long quality lasts is not known: blocks of at most %d minutes (test 18).", block))
	}
	if s.Setup.OneSki() {
		block = min(block, b.n("block_one_ski_min"))
	}
	if s.ShortRuns {
		block = min(block, b.n("block_short_runs_min"))
	}
	rest := b.n("rest_min")
	if s.Split {
		rest = max(rest, b.n("split_rest_min"))
	}
	b.p = problem{slots: floor(minutes), cap0: floor(block), cap1: floor(block), rest: ceil(rest), flatMost: floor(minutes),
		learnMost: b.n("learn_most"), closeMost: max(1, floor(b.n("close_most_min")))}
	if b.first {
		b.p.flatMost, b.p.learnMost = floor(b.n("flat_most_min")), len(b.plan.Skills)*2
	}
	if c := d.Cold; c != nil && c.Timed {
		first, longest := c.First.Minutes(), c.Longest.Minutes()
		out.LookFirst, out.LookMost = &first, &longest
		b.p.cap0, b.p.cap1 = min(b.p.cap0, floor(int(first))), min(b.p.cap1, floor(int(longest)))
		if b.p.cap0 < 1 || b.p.cap1 < 1 {
			return &None{"cold", fmt.Sprintf("Parts have to be looked at after %s minutes: that leaves no block of %d minutes. Indoors today.", quantity.Decimals(1).Text(first), Step)}
		}
	}
	if b.p.cap0 < 1 {
		return &None{"block", fmt.Sprintf("Quality lasts %d minutes, less than a block of %d.", block, Step)}
	}
	// Something harder begins before this slot.
	b.p.lastHard = (b.p.slots*b.n("fresh_pct") + 99) / 100
	out.FirstBlock, out.LaterBlock, out.RestMin, out.HardUntil = b.p.cap0*Step, b.p.cap1*Step, b.p.rest*Step, b.p.lastHard*Step
	return nil
}

// aim chooses the goal and marks the way to it.
func (b *builder) aim(out *Result) {
	goals := milestones
	if b.first {
		goals = b.plan.Goals
	}
	can := func(id string) (possible, passed bool) {
		s, _ := b.l.Skill(id)
		passed = true
		for _, side := range s.SidesOf(b.board.Setup.Aids) {
			e, _ := b.board.At(id, side)
			possible = possible || e.Possible
			passed = passed && e.Counts()
		}
		return possible, passed
	}
	if id := b.Student.Goal; id != "" {
		s, _ := b.l.Skill(id)
		if possible, _ := can(id); possible {
			b.goal = id
		} else {
			e, _ := b.board.At(id, s.SidesOf(b.board.Setup.Aids)[0])
			out.Say = append(out.Say, "The goal cannot be reached with this set-up: "+e.Why+" The plan goes for the usual one.")
		}
	}
	for i, id := range goals {
		possible, passed := can(id)
		if b.goal != "" || !possible || passed && !b.first {
			continue
		}
		// What is open already is too near to plan a lesson by.
		if e, ok := b.board.At(id, finding.NoSide); b.first || !ok || e.State != ladder.Open || i+1 == len(goals) {
			b.goal = id
		}
	}
	if b.goal == "" {
		b.goal = goals[len(goals)-1]
	}
	out.Goal, _ = b.l.Skill(b.goal)
	b.onPath(b.goal)
}

// fill turns what was found into the plan.
func (b *builder) fill(out *Result, got found) error {
	var done uint64
	at, kcal := 0, 0.0
	aim := map[key]int{}
	thousandths := func(g int) float64 { return float64(g) / 1000 }
	planned := map[key]bool{}
	for _, st := range got.steps {
		if st.rest > 0 {
			out.Blocks = append(out.Blocks, Block{Role: Rest, Start: at * Step, Minutes: st.rest * Step, Kcal: b.resting(st.rest)})
			if out.LookFirst != nil {
				out.Looks = append(out.Looks, at*Step, (at+st.rest)*Step)
			}
			at, kcal = at+st.rest, kcal+b.resting(st.rest)
		}
		x := Block{Start: at * Step, Minutes: st.slots * Step, NoReins: !b.Student.Reins}
		var k key
		var terrain int
		var rests uint64
		if st.item >= 0 {
			it := b.p.items[st.item]
			o := it.opts[st.opt]
			k, terrain = it.key, o.terrain
			rests, _ = b.p.relied(st.item, done)
			x.Role, x.Help, x.Aim, x.Full = it.role, o.help, o.aim, o.full
			x.Gain = thousandths(b.p.expected(o.gain*it.chance/100, rests))
			if o.full {
				done |= 1 << st.item
			}
			aim[k] = o.help
			planned[k] = true
		} else {
			list := b.p.ends
			x.Role = Close
			if st.warm {
				list, x.Role = b.p.warm, WarmUp
			}
			var worth int
			if st.opt < 0 { // the first slide or drill of today
				it := b.p.items[-st.opt-1]
				k, terrain, x.Help = it.key, it.opts[0].terrain, aim[it.key]
				rests, _ = b.p.relied(-st.opt-1, done)
				rests |= 1 << (-st.opt - 1)
				worth = b.p.expected(it.repeat, rests)
			} else {
				e := list[st.opt]
				k, terrain, x.Help, worth = e.key, e.terrain, e.help, e.gain
			}
			x.Aim = x.Help
			if !st.warm {
				x.Gain = thousandths(worth * st.slots)
			}
		}
		x.Skill, _ = b.l.Skill(k.Skill)
		x.Side, x.Terrain = k.Side, b.l.Terrains()[terrain]
		x.People = b.people(k.Skill, terrain, x.Help)
		for i, it := range b.p.items {
			if rests&(1<<i) != 0 {
				x.After = append(x.After, it.key)
			}
		}
		x.Kcal = b.cost(usually[k.Skill].does, st.slots)
		kcal += x.Kcal
		out.Blocks = append(out.Blocks, x)
		at += st.slots
	}
	out.Minutes, out.Gain = at*Step, thousandths(got.gain)
	if out.LookFirst != nil {
		out.Looks = append(out.Looks, out.Minutes)
	}
	if e := b.Student.Effort; e != nil {
		out.Kcal = &kcal
		if e.Capacity != nil {
			_, low, _, err := effort.Budget(*e.Capacity, e.Mass, quantity.Must(quantity.Minutes(float64(out.Given))))
			if err != nil {
				return err
			}
			most := low - b.resting(b.p.slots-at) // waiting after the end
			out.KcalMost, out.RestAfter = &most, b.p.owed[got.load][got.stretch]*Step
		} else {
			out.Say = append(out.Say, "The student's capacity was not measured: effort is shown, and nothing is budgeted by it.")
		}
	} else {
		out.Say = append(out.Say, "Without the student's mass no effort is computed.")
	}
	if b.Day.Cold == nil {
		out.Say = append(out.Say, "No forecast was given: the cold was not judged.")
	}
	out.EitherSide = b.Student.Lagging == finding.NoSide
	b.leftOut(out, got, planned)
	return nil
}

// leftOut lists what did not fit, in the order of the ladder.
func (b *builder) leftOut(out *Result, got found, planned map[key]bool) {
	add := func(k key, code, why string) {
		s, _ := b.l.Skill(k.Skill)
		out.Left = append(out.Left, Left{s, k.Side, code, why})
	}
	for _, x := range b.left {
		add(x.key, x.code, x.why)
	}
	inPlan := func(i int) bool { return planned[b.p.items[i].key] }
	learned, free := 0, b.p.slots
	for _, st := range got.steps {
		free -= st.rest + st.slots
		if st.item >= 0 {
			learned++
		}
	}
	last := out.Blocks[len(out.Blocks)-1].Start / Step
	for i, it := range b.p.items {
		if inPlan(i) || it.role == Ground || !b.first && !b.path[it.Skill] && it.role != New {
			continue
		}
		if e, _ := b.board.At(it.Skill, it.Side); !b.first && e.State == ladder.Waiting && it.Skill != b.goal {
			continue // plain from the ladder
		}
		var waits []ladder.Missing
		for _, ways := range it.ways {
			for j, other := range b.p.items {
				if ways[0]&(1<<j) != 0 && !inPlan(j) && !slices.Contains(waits, other.key) {
					waits = append(waits, other.key)
				}
			}
		}
		shortest := it.opts[len(it.opts)-1].slots
		switch {
		case len(waits) > 0:
			add(it.key, "waits", "It waits for "+b.names(waits)+", which did not fit either.")
		case learned >= b.p.learnMost:
			add(it.key, "enough", fmt.Sprintf("A lesson works on at most %d skills; those in it bring more.", b.p.learnMost))
		case free < shortest:
			add(it.key, "no_time", "No minutes are left for it; what is in the plan brings more for its time.")
		case last >= b.p.lastHard:
			add(it.key, "tired", fmt.Sprintf("Only minutes are left in which nothing harder begins, after minute %d.", out.HardUntil))
		default:
			add(it.key, "order", "Rested, on this ground and with one thing harder at a time there is no place for it that brings more.")
		}
	}
	slices.SortStableFunc(out.Left, func(x, y Left) int {
		if d := x.Skill.Index() - y.Skill.Index(); d != 0 {
			return d
		}
		return map[bool]int{true: -1, false: 1}[x.Side == b.lead(key{Skill: x.Skill.ID})]
	})
}
