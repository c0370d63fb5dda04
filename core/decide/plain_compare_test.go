package decide

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"firnhand/core/finding"
)

// TestPlain compares the engine with the plain version on random people:
// every answer, every set of answers still possible, the rule that decided,
// the notes, every smallest change, and what each next test is worth.
//
// For everybody all single changes are tried. Changes of two and three
// findings are searched level by level of total steps until searchBudget is
// used up; then the answer is compared up to the last complete level. The
// first hundred people have no such limit, each twentieth a wide one; with
// -deep everybody has the wide one. The tally says how many were compared in
// full and how many in part. The search leaves out findings nobody looked at;
// TestPlainBrute shows that it loses nothing by that.
func TestPlain(t *testing.T) {
	people := *peopleFlag
	if testing.Short() {
		people /= 50
	}
	sayPeople(t, people)
	var tally plainTally
	var wrong atomic.Int64
	var wg sync.WaitGroup
	var next atomic.Int64
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			table := Standing()
			plain := plainRead(StandingText(), nil)
			draw := drawer{plain}
			for n := int(next.Add(1)) - 1; n < people; n = int(next.Add(1)) - 1 {
				in := draw.person(n)
				if diff := comparePlain(table, plain, in, searchBudget(n), &tally); diff != "" {
					if wrong.Add(1) <= 40 {
						t.Errorf("seed=%d person %d (%s):\n%s", *seedFlag, n, written(in), diff)
					}
				}
			}
		})
	}
	wg.Wait()
	t.Logf("%s", tally.String())
	if n := wrong.Load(); n > 0 {
		t.Errorf("%d of %d people differ", n, people)
	}
}

// searchBudget is how many questions the plain version may ask for one axis of
// person n once all single changes have been tried.
func searchBudget(n int) int {
	switch {
	case n < 0 && !testing.Short():
		return 1 << 40
	case *deepFlag || n%20 == 0:
		return 3000
	}
	return 100
}

type plainTally struct {
	axes, open, changes, none, capped, tests, asked atomic.Int64
	cappedAt                                        [32]atomic.Int64
}

func (y *plainTally) String() string {
	var at []string
	for i := range y.cappedAt {
		if n := y.cappedAt[i].Load(); n > 0 {
			at = append(at, fmt.Sprintf("%d to %d steps", n, i))
		}
	}
	return fmt.Sprintf("questions %d, open %d; changes compared in full: %d questions, %d changes, %d questions without any; in part: %d (%s); next tests %d",
		y.axes.Load(), y.open.Load(), y.asked.Load(), y.changes.Load(), y.none.Load(), y.capped.Load(), strings.Join(at, ", "), y.tests.Load())
}

func comparePlain(t *Table, plain *plainTable, in Input, budget int, y *plainTally) string {
	var diff []string
	say := func(format string, args ...any) { diff = append(diff, fmt.Sprintf(format, args...)) }
	a, tests := t.Argue(in)
	p := plain.person(in)
	seen := p.nothingSeen()
	vars := p.vars()
	qs := plain.questions()
	if len(qs) != len(a.Axes) {
		say("%d questions, plain %d", len(a.Axes), len(qs))
	}
	var open []plainQuestion
	bits := 0.0
	single := p.alone(qs, vars, 10*budget)
	for i, q := range qs {
		x, ok := a.Axis(q.id())
		if !ok {
			say("no axis %s", q.id())
			continue
		}
		y.axes.Add(1)
		p.possible(q, seen)
		bits += math.Log2(float64(seen.count()))
		var want, got []string
		for i, is := range seen.answers {
			if is {
				want = append(want, q.axis.values[i])
			}
		}
		if x.Open {
			for _, v := range x.Possible {
				got = append(got, v.ID)
			}
		} else {
			got = []string{x.Value}
		}
		if !slices.Equal(got, want) {
			say("%s: %v, plain %v", q.id(), got, want)
			continue
		}
		if len(want) > 1 {
			y.open.Add(1)
			open = append(open, q)
			continue
		}
		p.reset()
		p.by = ""
		p.first(q.axis, q.side, false)
		if p.missed < 0 && q.axis.id != "gate" && q.axis.from == nil && x.Rule != p.by {
			say("%s: by rule %s, plain %s", q.id(), x.Rule, p.by)
		}
		compareChanges(t, p, q, x, vars, single[i], budget, y, say)
	}
	if math.Abs(bits-a.OpenBits) > 1e-9 {
		say("open bits %g, plain %g", a.OpenBits, bits)
	}
	compareNotes(p, a, say)
	worth := p.worth(open)
	for _, n := range tests {
		y.tests.Add(1)
		k := plainTestKey(n.Finding, n.Side, n.State)
		w, ok := worth[k]
		delete(worth, k)
		settles := slices.Clone(n.Settles)
		sort.Strings(settles)
		sort.Strings(w.settles)
		if !ok || math.Abs(n.DropBits-w.drop) > 1e-9 || !slices.Equal(settles, w.settles) {
			say("next test %s: %g %v, plain %g %v", k, n.DropBits, n.Settles, w.drop, w.settles)
		}
	}
	for k, w := range worth {
		say("next test %s: left out, plain %g %v", k, w.drop, w.settles)
	}
	return strings.Join(diff, "\n")
}

func compareChanges(t *Table, p *plainPerson, q plainQuestion, x *AxisAnswer, vars []plainVar, single [][]int, budget int, y *plainTally, say func(string, ...any)) {
	var found []plainFound
	complete, all := 0, false
	if single != nil {
		found, complete, all = p.smallest(q, vars, single, budget)
	}
	if !all {
		y.capped.Add(1)
		y.cappedAt[complete].Add(1)
		if len(x.Changes) > 0 && x.Changes[0].Steps <= complete {
			say("%s: a change of %d steps, plain has none up to %d: %s", q.id(), x.Changes[0].Steps, complete, changeText(x.Changes[0]))
		}
		return
	}
	y.asked.Add(1)
	y.changes.Add(int64(len(found)))
	if len(found) == 0 {
		y.none.Add(1)
	}
	want := map[string]bool{}
	for _, f := range found {
		want[plainChangeText(t, p, q, vars, f)] = true
	}
	if x.ChangesFound != len(found) {
		say("%s: %d smallest changes, plain %d", q.id(), x.ChangesFound, len(found))
		for i, ch := range x.Changes {
			if i < 3 {
				say("   engine %s", changeText(ch))
			}
		}
		for i, f := range found {
			if i < 3 {
				say("   plain %s", plainChangeText(t, p, q, vars, f))
			}
		}
		return
	}
	for _, ch := range x.Changes {
		if text := changeText(ch); !want[text] {
			say("%s: change %s is not among the plain ones", q.id(), text)
		}
	}
}

func changeText(ch Change) string {
	var parts []string
	for _, f := range ch.Findings {
		parts = append(parts, fmt.Sprintf("%s %s %s to %s", f.Finding, f.Side, f.State, f.To))
	}
	sort.Strings(parts)
	return fmt.Sprintf("%s in %d: %s", ch.To, ch.Steps, strings.Join(parts, ", "))
}

// plainChangeText writes a plain change as changeText does; the engine is only
// asked for the name of a step.
func plainChangeText(t *Table, p *plainPerson, q plainQuestion, vars []plainVar, f plainFound) string {
	var parts []string
	for _, m := range f.set.moves[:f.set.n] {
		v := vars[m.v]
		k := p.t.keys[v.slots[0]]
		def, _ := finding.Lookup(k.ID)
		state := ""
		if def.Tiring && len(v.slots) == 1 {
			state = k.State.String()
		}
		to, _ := t.bandText(&t.cells[t.cellIndex[k]], 1<<m.to)
		parts = append(parts, fmt.Sprintf("%s %s %s to %s", k.ID, k.Side.Word(), state, to))
	}
	sort.Strings(parts)
	return fmt.Sprintf("%s in %d: %s", q.axis.values[f.to], f.set.cost, strings.Join(parts, ", "))
}

func compareNotes(p *plainPerson, a *Answer, say func(string, ...any)) {
	seen := p.nothingSeen()
	want := map[string]int{}
	for i := range p.t.notes {
		n := &p.t.notes[i]
		for _, s := range sides(n.each) {
			if p.says(n, s, seen) {
				want[n.code[s]+" "+s.Word()]++
			}
		}
	}
	for _, n := range a.Notes {
		want[n.Code+" "+n.Side]--
	}
	for code, n := range want {
		if n > 0 {
			say("note %s is missing", code)
		}
		if n < 0 {
			say("note %s is not certain", code)
		}
	}
}

// TestPlainBrute holds the plain search for changes against one that leaves
// nothing out: every set of up to three findings a question mentions, or as
// far as the tries reach.
func TestPlainBrute(t *testing.T) {
	const people, tries = 40, 60000
	sayPeople(t, people)
	plain := plainRead(StandingText(), nil)
	draw := drawer{plain}
	full, part, sets := 0, 0, 0
	for n := range people {
		in := draw.person(3_000_000 + n)
		p := plain.person(in)
		seen := p.nothingSeen()
		vars := p.vars()
		qs := plain.questions()
		single := p.alone(qs, vars, 1<<40)
		for i, q := range qs {
			if _, only := p.possible(q, seen).only(); !only {
				continue
			}
			found, _, all := p.smallest(q, vars, single[i], tries)
			brute, to, exact := p.brute(q, vars, 3, tries)
			if !all || !exact {
				if part++; all && len(found) > 0 && found[0].set.cost <= to {
					t.Fatalf("seed=%d person %d %s: the brute force has no change of %d steps (%s)", *seedFlag, n, q.id(), found[0].set.cost, written(in))
				}
				continue
			}
			full++
			sets += len(brute)
			for _, f := range append(found, brute...) {
				if !slices.Contains(found, f) || !slices.Contains(brute, f) {
					t.Fatalf("seed=%d person %d %s: %v found one way only (%s)", *seedFlag, n, q.id(), f, written(in))
				}
			}
		}
	}
	t.Logf("%d questions with %d changes in full, %d too long to try", full, sets, part)
	if full < 10*part {
		t.Errorf("only %d of %d questions were tried in full", full, full+part)
	}
}
