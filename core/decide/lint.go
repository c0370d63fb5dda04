package decide

import (
	"strings"

	"firnhand/core/finding"
)

// lint looks for what a trainer could not see by reading: rules that no person
// can reach, notes and gates that can never speak, and rules that contradict
// each other.
func (r *reader) lint() {
	t := r.t
	for i, a := range t.axes {
		if a.fresh || len(a.rules) == 0 || a.helper() {
			continue
		}
		r.contradictions(a)
		reached := t.reachedRules(i)
		for k, rule := range a.rules {
			if !reached[k] {
				r.problem(rule.Line, "unreachable", "Rule %s of axis %s can never decide: an earlier rule always does, or its condition cannot hold.", rule.ID, a.id)
			}
		}
	}
	for i, g := range t.gates {
		if !g.manual && !t.canHold(t.gateAxis0+i) {
			r.problem(g.Line, "unreachable", "The condition of gate %s can never hold.", g.ID)
		}
	}
	for _, n := range t.notes {
		if !t.canHold(n.axis) {
			r.problem(n.Line, "unreachable", "The condition of note %s can never hold.", n.Code)
		}
	}
	for _, a := range t.axes {
		for _, e := range a.extras {
			possible := t.canHold(t.addProbe(e.cond))
			t.dropProbe()
			if !possible {
				r.problem(e.Line, "unreachable", "The condition of extra %s can never hold.", e.ID)
			}
		}
	}
}

// contradictions finds two rules of one axis with the same condition and
// different answers: the second can never mean what it says.
func (r *reader) contradictions(a *axis) {
	type seen struct {
		id, then string
	}
	by := map[string]seen{}
	for _, rule := range a.rules {
		if rule.When == "" {
			continue
		}
		key := strings.Join(strings.Fields(r.fill(rule.When, rule.Side, rule.Line)), " ")
		if rule.Side == finding.Right && !strings.Contains(rule.When, "this") && !strings.Contains(rule.When, "other") {
			continue
		}
		if first, ok := by[key+rule.Side.String()]; ok && first.then != rule.Then {
			r.problem(rule.Line, "contradiction", "Rules %s and %s have the same condition and answer %s and %s.", first.id, rule.ID, first.then, rule.Then)
		}
		by[key+rule.Side.String()] = seen{rule.ID, rule.Then}
	}
}

// reachedRules tells which rules of an axis decide for some person. For the
// time of the search answers are rules, a handful at once and one answer for
// all the others.
func (t *Table) reachedRules(i int) []bool {
	const handful = 30
	a := t.axes[i]
	values, names := make([]int, len(a.rules)), a.values
	for k, rule := range a.rules {
		values[k] = rule.value
	}
	a.values = make([]Value, handful+1)
	reached := make([]bool, len(a.rules))
	for first := 0; first < len(a.rules); first += handful {
		for k, rule := range a.rules {
			rule.value = handful
			if k >= first && k < first+handful {
				rule.value = k - first
			}
		}
		e := t.explorer(i)
		w := t.allOpen()
		w.run(i)
		e.from(w, 1<<handful-1)
		for k := first; k < min(first+handful, len(a.rules)); k++ {
			reached[k] = e.found&(1<<(k-first)) != 0
		}
	}
	for k, rule := range a.rules {
		rule.value = values[k]
	}
	a.values = names
	return reached
}

// canHold tells whether a yes/no axis can be yes.
func (t *Table) canHold(i int) bool {
	e := t.explorer(i)
	w := t.allOpen()
	w.run(i)
	e.from(w, 2)
	return e.found&2 != 0
}

// addProbe puts a yes/no axis for a condition at the end; dropProbe removes it.
func (t *Table) addProbe(cond *node) int {
	a := &axis{id: "probe", sumBase: -1, values: []Value{{"no", "no"}, {"yes", "yes"}},
		rules: []*Rule{{cond: cond, value: 1}, {cond: &node{op: opTrue}, value: 0}}}
	t.axes = append(t.axes, a)
	i := len(t.axes) - 1
	a.uses = t.uses(a)
	seen := map[int]bool{}
	for _, u := range a.uses {
		for _, n := range t.axes[u].need {
			if !seen[n] {
				seen[n] = true
				a.need = append(a.need, n)
			}
		}
	}
	a.need = append(a.need, i)
	a.cone, _ = t.cone(a)
	return i
}

func (t *Table) dropProbe() { t.axes = t.axes[:len(t.axes)-1] }
