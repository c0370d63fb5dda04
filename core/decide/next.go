package decide

import (
	"math"
	"math/bits"
	"sort"
)

// NextTest is an unknown finding and what knowing it is worth.
type NextTest struct {
	Finding string `json:"finding"`
	Side    string `json:"side,omitempty"`
	State   string `json:"state,omitempty"`
	Label   string `json:"label"`
	Test    string `json:"test"` // number of the test in the evaluation, or intake block
	// DropBits is the expected drop in uncertainty: the sum over axes of log2
	// of the number of possible answers, now less its mean over the levels (or
	// bands) the finding may have, each taken as equally likely.
	DropBits float64 `json:"drop_bits"`
	// Settles names the axes that some value of the finding would decide.
	Settles []string `json:"settles,omitempty"`

	cells []int
}

func log2(mask uint32) float64 {
	if mask == 0 {
		return 0
	}
	return math.Log2(float64(bits.OnesCount32(mask)))
}

// next values every unknown finding that an open axis can depend on. Findings
// whose value cannot change the number of possible answers are left out, so
// an empty list means: stop testing, no answer depends on it.
func (t *Table) next(w *world, explorers []*explorer) []NextTest {
	var open []int
	var cone bitset
	for i, e := range explorers {
		if e != nil && !single(e.found) {
			open = append(open, i)
			cone.or(&t.axes[i].cone)
		}
	}
	var out []NextTest
	cone.each(func(i int) {
		c := &t.cells[i]
		if c.gate != "" || single(w.cells[i]) {
			return
		}
		cells := []int{i}
		if twin := t.twin(i); twin >= 0 && !single(w.cells[twin]) {
			if twin < i {
				return // valued together with its twin
			}
			cells = append(cells, twin)
		}
		n := NextTest{Finding: c.key.ID, Side: c.key.Side.Word(), Label: c.def.Label, Test: c.def.Test, cells: cells}
		if c.def.Tiring && len(cells) == 1 {
			n.State = c.key.State.String()
		}
		t.worth(w, explorers, open, &n)
		if n.DropBits > 1e-12 || len(n.Settles) > 0 {
			out = append(out, n)
		}
	})
	sort.SliceStable(out, func(i, j int) bool { return out[i].DropBits > out[j].DropBits+1e-12 })
	return out
}

// worth computes the expected drop for one finding.
func (t *Table) worth(w *world, explorers []*explorer, open []int, n *NextTest) {
	first := n.cells[0]
	bands := w.cells[first]
	share := 1 / float64(bits.OnesCount32(bands))
	for _, ax := range open {
		touched := false
		for _, i := range n.cells {
			touched = touched || t.axes[ax].cone.has(i)
		}
		if !touched {
			continue
		}
		e := explorers[ax]
		now, settles := log2(e.found), false
		for m := bands; m != 0; m &= m - 1 {
			bit := m & -m
			got := e.given(w, n.cells, bit)
			n.DropBits += share * (now - log2(got))
			settles = settles || single(got)
		}
		if settles {
			n.Settles = append(n.Settles, t.axes[ax].id)
		}
	}
}

// given returns the answers still possible once the cells are in band bit.
// Witnesses found before that allow the band answer most of it.
func (e *explorer) given(w *world, cells []int, bit uint32) uint32 {
	sub := e.t.explorer(e.axis)
	sub.s, sub.scratch = e.s, e.scratch
	for _, wit := range e.witnesses {
		if sub.found&(1<<wit.answer) == 0 && wit.allows(cells, bit) {
			sub.found |= 1 << wit.answer
		}
	}
	var moved bitset
	for _, i := range cells {
		moved.add(i)
	}
	for _, wit := range e.witnesses {
		if sub.found&(1<<wit.answer) == 0 {
			sub.vary(wit, cells, bit, &moved)
		}
	}
	if sub.found != e.found {
		at := w.clone()
		for _, i := range cells {
			at.cells[i] = bit
		}
		at.rerun(e.axis, &moved)
		sub.from(at, e.found)
		e.s = sub.s
	}
	e.scratch = sub.scratch
	e.witnesses = append(e.witnesses, sub.witnesses...)
	return sub.found
}

func (wit witness) allows(cells []int, bit uint32) bool {
	for _, i := range cells {
		if wit.w.cells[i]&bit == 0 {
			return false
		}
	}
	return true
}

// vary looks whether a witness still gives an answer when the cells are put
// into band bit.
func (e *explorer) vary(wit witness, cells []int, bit uint32, moved *bitset) {
	if e.scratch == nil {
		e.scratch = wit.w.clone()
	}
	w := e.scratch
	copy(w.cells, wit.w.cells)
	copy(w.axes, wit.w.axes)
	for _, i := range cells {
		w.cells[i] = bit
	}
	if m := w.rerun(e.axis, moved); single(m) && m&e.found == 0 {
		e.note(w)
		e.scratch = nil // kept as a witness
	}
}
