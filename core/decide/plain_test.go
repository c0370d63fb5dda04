package decide

import (
	"slices"

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
