package decide

import (
	"math/bits"
	"strings"

	"firnhand/core/finding"
)

// Input is what a decision is made from.
type Input struct {
	Findings finding.Set
	// Cleared names the gates for which a written clearance stands today. Who
	// may clear what, and until when, is checked where clearances are recorded.
	Cleared []string
	// Held are holds entered by hand: Hold or HoldStanding.
	Held []Effect
}

// Answer is a decision with its argument. Everything in it follows from the
// table and the input alone.
type Answer struct {
	Table   string       `json:"table"`
	Version string       `json:"version"`
	Gates   []GateAnswer `json:"gates"` // active gates, and those still open
	Axes    []AxisAnswer `json:"axes"`
	Notes   []NoteAnswer `json:"notes"`
	Numbers Numbers      `json:"numbers"`
	// WaitsFor lists the unknown findings that can still change an answer.
	WaitsFor []Reading `json:"waits_for,omitempty"`
	// OpenBits is the uncertainty left: the sum over axes of log2 of the
	// number of answers still possible.
	OpenBits float64 `json:"open_bits"`

	index map[string]int
}

// Reading is one finding as it was read, or as it is waited for.
type Reading struct {
	Finding string `json:"finding"`
	Side    string `json:"side,omitempty"`
	State   string `json:"state,omitempty"` // "fresh" or "tired" for findings that tire
	Label   string `json:"label"`
	Value   string `json:"value"`
	Say     string `json:"say"`
}

// GateAnswer is an active gate, or one that unknown findings leave open.
type GateAnswer struct {
	ID      string    `json:"id"`
	Effect  string    `json:"effect"`
	Open    bool      `json:"open,omitempty"` // not known yet whether it is active
	Cleared bool      `json:"cleared,omitempty"`
	Clears  string    `json:"clears,omitempty"`
	Because string    `json:"because"`
	Card    string    `json:"card,omitempty"`
	Basis   []string  `json:"basis"`
	Read    []Reading `json:"read,omitempty"`
}

// AxisAnswer is the answer of one axis with its argument.
type AxisAnswer struct {
	Axis     string    `json:"axis"`
	Side     string    `json:"side,omitempty"`
	Asks     string    `json:"asks"`
	Open     bool      `json:"open"`
	Value    string    `json:"value,omitempty"`
	Label    string    `json:"label,omitempty"`
	Rule     string    `json:"rule,omitempty"`
	Because  string    `json:"because,omitempty"`
	Basis    []string  `json:"basis,omitempty"`
	Read     []Reading `json:"read,omitempty"`
	Possible []Value   `json:"possible,omitempty"` // every answer still possible, when open
	WaitsFor []Reading `json:"waits_for,omitempty"`
	WhyNot   []WhyNot  `json:"why_not,omitempty"`
	// Changes are the cheapest changes of findings that give another answer;
	// ChangesFound counts them all, of which at most ChangesShown are listed.
	Changes      []Change `json:"smallest_changes,omitempty"`
	ChangesFound int      `json:"smallest_changes_found"`

	axis int
	mask uint32
}

// WhyNot is an alternative and the first rule against it.
type WhyNot struct {
	Value   string    `json:"value"`
	Label   string    `json:"label"`
	Rule    string    `json:"rule"`
	Against string    `json:"against"` // "not met" or "overruled by D5c"
	Because string    `json:"because"`
	Read    []Reading `json:"read,omitempty"`
}

// NoteAnswer is a sentence that goes with the answer.
type NoteAnswer struct {
	Code  string    `json:"code"`
	Kind  string    `json:"kind"`
	Side  string    `json:"side,omitempty"`
	Say   string    `json:"say"`
	Basis []string  `json:"basis"`
	Read  []Reading `json:"read,omitempty"`
}

// Axis returns the answer for "way", or "route_left" where an axis has sides.
func (a *Answer) Axis(id string) (*AxisAnswer, bool) {
	i, ok := a.index[id]
	if !ok {
		return nil, false
	}
	return &a.Axes[i], true
}

// Is tells whether the axis is decided with that value.
func (a *Answer) Is(id, value string) bool {
	x, ok := a.Axis(id)
	return ok && !x.Open && x.Value == value
}

// world builds what is possible from an input.
func (t *Table) world(in Input) *world {
	w := t.allOpen()
	for i := range t.cells {
		c := &t.cells[i]
		if c.gate != "" {
			w.cells[i] = 1
			continue
		}
		v, ok := in.Findings[c.key]
		if !ok || v.Kind == finding.Unknown {
			continue
		}
		if b := c.bandOf(v); b >= 0 {
			w.cells[i] = 1 << b
		}
	}
	for _, id := range in.Cleared {
		if k, ok := t.gateIndex[id]; ok && !t.gates[k].manual {
			w.cells[t.gates[k].clear] = 2
		}
	}
	for _, e := range in.Held {
		if k, ok := t.gateIndex[manualGate(e)]; ok {
			w.cells[t.gates[k].clear] = 2
		}
	}
	return w
}

// Decide answers every axis and says why. It does not look for changes or the
// next test; see Argue.
func (t *Table) Decide(in Input) *Answer {
	a, _, _ := t.decide(in)
	return a
}

// Argue is Decide with, for every axis, the smallest change that gives
// another answer, and the tests worth doing next.
func (t *Table) Argue(in Input) (*Answer, []NextTest) {
	a, w, ex := t.decide(in)
	c := t.changer(w)
	for i := range a.Axes {
		x := &a.Axes[i]
		if !x.Open {
			x.Changes, x.ChangesFound = c.smallest(x.axis)
		}
	}
	return a, t.next(w, ex)
}

// helper tells whether an axis is made from one gate or note.
func (a *axis) helper() bool { return a.base == "note" || strings.HasPrefix(a.base, "gate ") }

// asked tells whether an axis is a question of the table, not one of the
// helpers made from gates, notes and fresh copies.
func (a *axis) asked() bool {
	return !a.fresh && a.base != "note" && (a.gate || a.asks != "" || a.sumBase >= 0)
}

func (t *Table) decide(in Input) (*Answer, *world, []*explorer) {
	w := t.world(in)
	w.runAll()
	s := newSupporter(w)
	a := &Answer{Table: t.Name, Version: t.Version, index: map[string]int{}}
	explorers := make([]*explorer, len(t.axes))
	var waits bitset
	for i, ax := range t.axes {
		if !ax.asked() {
			continue
		}
		e := t.explorer(i)
		if single(w.axes[i]) {
			e.found = w.axes[i]
		} else {
			e.from(w, w.axes[i])
			if !single(e.found) {
				need := t.unknownIn(w, s.axis(i))
				waits.or(&need)
			}
		}
		explorers[i] = e
		a.OpenBits += log2(e.found)
		a.index[ax.id] = len(a.Axes)
		a.Axes = append(a.Axes, t.axisAnswer(w, s, i, e.found))
	}
	a.Gates = t.gateAnswers(w, s)
	a.Notes = t.noteAnswers(w, s)
	a.WaitsFor = t.readings(w, waits)
	a.Numbers = t.numbers(in.Findings, a)
	return a, w, explorers
}

func (t *Table) axisAnswer(w *world, s *supporter, i int, mask uint32) AxisAnswer {
	ax := t.axes[i]
	x := AxisAnswer{Axis: ax.base, Side: ax.side.Word(), Asks: ax.asks, axis: i, mask: mask, Open: !single(mask)}
	if x.Open {
		for m := mask; m != 0; m &= m - 1 {
			x.Possible = append(x.Possible, ax.values[bits.TrailingZeros32(m)])
		}
		x.WaitsFor = t.readings(w, t.unknownIn(w, s.axis(i)))
	} else {
		v := ax.values[bits.TrailingZeros32(mask)]
		x.Value, x.Label = v.ID, v.Label
		t.argue(w, s, i, &x)
	}
	t.whyNot(w, s, i, &x)
	return x
}

// argue fills in the rule that decided and what it read.
func (t *Table) argue(w *world, s *supporter, i int, x *AxisAnswer) {
	ax := t.axes[i]
	switch {
	case ax.gate:
		x.Because = "Strictest of the active gates."
		x.Read = t.readings(w, s.axis(i))
		if x.Value == NoEffect.String() {
			x.Because, x.Read = "No gate is active.", nil
		}
	case ax.sumBase >= 0:
		base := t.firstYes(w, t.axes[ax.sumBase].rules)
		if base == nil {
			return
		}
		x.Rule, x.Because, x.Basis = base.ID, base.Because, base.Basis
		read := s.reasons(base.cond, yes)
		for _, e := range ax.extras {
			if w.truth(e.cond) == yes {
				x.Rule += " + " + e.ID
				x.Because += " One more: " + e.Because
				set := s.reasons(e.cond, yes)
				read.or(&set)
			}
		}
		x.Read = t.readings(w, read)
	default:
		r := t.firstYes(w, ax.rules)
		if r == nil { // decided although rules are open: those left all answer this
			for _, one := range ax.rules {
				if ax.values[one.value].ID == x.Value && w.truth(one.cond) != no {
					r = one
					break
				}
			}
		}
		x.Rule, x.Because, x.Basis = r.ID, r.Because, r.Basis
		set := s.reasons(r.cond, w.truth(r.cond))
		if r.When == "" {
			set = s.axis(i)
		}
		x.Read = t.readings(w, set)
	}
}

func (t *Table) firstYes(w *world, rules []*Rule) *Rule {
	for _, r := range rules {
		switch w.truth(r.cond) {
		case yes:
			return r
		case maybe:
			return nil
		}
	}
	return nil
}

// whyNot names, for every answer that is out, the first rule against it.
func (t *Table) whyNot(w *world, s *supporter, i int, x *AxisAnswer) {
	ax := t.axes[i]
	if ax.gate || ax.sumBase >= 0 {
		return
	}
	decider := ""
	for v := range ax.values {
		if x.mask&(1<<v) != 0 {
			continue
		}
		for _, r := range ax.rules {
			verdict := w.truth(r.cond)
			if verdict == yes && decider == "" {
				decider = r.ID
			}
			if r.value != v {
				continue
			}
			n := WhyNot{Value: ax.values[v].ID, Label: ax.values[v].Label, Rule: r.ID}
			if verdict == no {
				n.Against = "not met"
				n.Because = r.Because
				n.Read = t.readings(w, s.reasons(r.cond, no))
			} else if d := t.firstYes(w, ax.rules); d != nil {
				n.Against = "overruled by " + d.ID
				n.Because = d.Because
				n.Read = t.readings(w, s.reasons(d.cond, yes))
			} else {
				n.Against = "cannot come out any more"
			}
			x.WhyNot = append(x.WhyNot, n)
			break
		}
	}
}

// unknownIn keeps the cells of a set that are not known.
func (t *Table) unknownIn(w *world, set bitset) bitset {
	var out bitset
	set.each(func(i int) {
		if !single(w.cells[i]) {
			out.add(i)
		}
	})
	return out
}

// readings turns cells into what people read. Fresh and tired values that are
// the same are told once.
func (t *Table) readings(w *world, set bitset) []Reading {
	var out []Reading
	set.each(func(i int) {
		c := &t.cells[i]
		if c.gate != "" {
			return
		}
		r := Reading{Finding: c.key.ID, Side: c.key.Side.Word(), Label: c.def.Label}
		if c.def.Tiring {
			r.State = c.key.State.String()
		}
		r.Value, r.Say = t.bandText(c, w.cells[i])
		if n := len(out); n > 0 && r.State == "tired" {
			p := &out[n-1]
			if p.Finding == r.Finding && p.Side == r.Side && p.Value == r.Value {
				p.State = "fresh and tired"
				return
			}
		}
		out = append(out, r)
	})
	return out
}

// bandText says what a cell's mask means: a level, or the band a number is in.
func (t *Table) bandText(c *cell, m uint32) (value, say string) {
	if !single(m) {
		return "unknown", "not known"
	}
	b := bits.TrailingZeros32(m)
	if b == c.naBand() {
		return "na", "cannot be tested or does not apply"
	}
	if c.def.Scale != finding.Number {
		return c.def.Levels[b].ID, c.def.Levels[b].Label
	}
	text := c.spanText(b)
	return text, text
}

// spanText writes a band of numbers in words: "5 to under 30 s".
func (c *cell) spanText(b int) string {
	unit := ""
	if c.def.Unit != "" {
		unit = " " + c.def.Unit
	}
	lo, hi := c.span(b)
	first, last := b == 0, b == len(c.cuts)
	low, high := finding.FormatNumber(lo), finding.FormatNumber(hi)
	switch {
	case first && last:
		return "any"
	case !first && !last && lo == hi:
		return low + unit
	case first && c.cuts[0].after:
		return high + unit + " or less"
	case first:
		return "under " + high + unit
	case last && c.cuts[b-1].after:
		return "more than " + low + unit
	case last:
		return low + unit + " or more"
	}
	text := low
	if c.cuts[b-1].after {
		text = "more than " + low
	}
	if c.cuts[b].after {
		return text + " to " + high + unit
	}
	return text + " to under " + high + unit
}

func (t *Table) gateAnswers(w *world, s *supporter) []GateAnswer {
	out := []GateAnswer{}
	for i, g := range t.gates {
		m := t.exactly(w, t.gateAxis0+i)
		cleared := !g.manual && w.cells[g.clear] == 2 && w.truth(g.cond) != no
		if m == 1 && !cleared {
			continue
		}
		ga := GateAnswer{ID: g.ID, Effect: g.Effect.String(), Open: m == 3, Cleared: cleared, Clears: g.Clears,
			Because: g.Because, Card: g.Card, Basis: g.Basis}
		if cleared {
			ga.Read = t.readings(w, s.reasons(g.cond, w.truth(g.cond)))
		} else {
			ga.Read = t.readings(w, s.axis(t.gateAxis0+i))
		}
		out = append(out, ga)
	}
	return out
}

func (t *Table) noteAnswers(w *world, s *supporter) []NoteAnswer {
	out := []NoteAnswer{}
	for _, n := range t.notes {
		if t.exactly(w, n.axis) != 2 {
			continue
		}
		out = append(out, NoteAnswer{Code: n.Code, Kind: n.Kind, Side: n.Side.Word(), Say: n.Say, Basis: n.Basis,
			Read: t.readings(w, s.axis(n.axis))})
	}
	return out
}

// Cleared returns the answer that would hold if every active hold were cleared
// in writing and the findings its gate asks to test again came out well. It is
// nil when no hold is active. It is advice for planning, never permission.
func (t *Table) AfterClearance(in Input) *Answer {
	w := t.world(in)
	w.runAll()
	later := Input{Findings: in.Findings.Clone(), Cleared: append([]string(nil), in.Cleared...)}
	holds := len(in.Held) > 0
	for i, g := range t.gates {
		if w.axes[t.gateAxis0+i] == 1 || g.Effect <= RuleOnly || g.Effect == Refuse || g.manual {
			continue
		}
		if w.axes[t.gateAxis0+i] == 2 {
			holds = true
		}
		later.Cleared = append(later.Cleared, g.ID)
		for _, as := range g.Assume {
			// The gate texts were checked when the table was read.
			_ = later.Findings.PutBoth(as.ID, finding.NoSide, as.Value)
		}
	}
	if !holds {
		return nil
	}
	return t.Decide(later)
}
