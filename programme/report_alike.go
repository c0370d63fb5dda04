package programme

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// FunctionFindings are the findings by which people are alike: what a body can
// do, never what it is called. Scales run over the values of the evaluation.
var FunctionFindings = []struct {
	Finding, Side string
	Range         float64 // of the scale, so that each weighs the same
}{
	{"gait", "none", 5}, {"stand_s", "none", 60}, {"trunk", "none", 3}, {"push_out", "weaker", 4}, {"push_in", "weaker", 4},
	{"push_out", "stronger", 4}, {"push_in", "stronger", 4}, {"grip", "weaker", 4}, {"push_down", "weaker", 4}, {"place_of5", "weaker", 5},
	{"one_leg_s", "weaker", 30}, {"endurance_min", "none", 60},
}

// fewestFindings is how many of them must be known of somebody.
const fewestFindings = 8

// FunctionPerson is what others like this looks at: function, set-up, course; no
// name and no diagnosis.
type FunctionPerson struct {
	ID      ID
	Values  []float64 // one for each of FunctionFindings, 0 to 1; NaN where not known
	Way     string
	Tie     string
	Lessons int
	Change  float64 // mean change of help; NaN where too little was tried
	Passes  int
}

// Alike is what is told of others like somebody.
type Alike struct {
	Enough  bool
	Why     string // where there are not enough
	N       int    // others
	SetUps  []ReportRow
	Lessons string
	Change  string
	Passes  string
	Spread  string // how alike they are
}

// known counts the values that are known.
func (p FunctionPerson) known() int {
	n := 0
	for _, v := range p.Values {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n
}

// apart is the mean difference of what is known of both, 0 to 1; infinite where
// too little is.
func apart(a, b FunctionPerson) float64 {
	sum, n := 0.0, 0
	for i := range a.Values {
		if !math.IsNaN(a.Values[i]) && !math.IsNaN(b.Values[i]) {
			sum, n = sum+math.Abs(a.Values[i]-b.Values[i]), n+1
		}
	}
	if n < fewestFindings {
		return math.Inf(1)
	}
	return sum / float64(n)
}

// alikeGroups parts people into groups of at least LeastCell+1, the nearest
// together, so that each has LeastCell others; nobody is in two groups. Asking
// for one person and then for another therefore gives the same answer or one
// about other people, never two that differ by one. It is deterministic.
func alikeGroups(people []FunctionPerson) [][]int {
	var left []int
	for i, p := range people {
		if p.known() >= fewestFindings {
			left = append(left, i)
		}
	}
	slices.SortFunc(left, func(a, b int) int { return strings.Compare(string(people[a].ID), string(people[b].ID)) })
	const size = LeastCell + 1
	var out [][]int
	for len(left) >= 2*size {
		// The one furthest from all begins a group with those nearest to it
		// (microaggregation by maximum distance, Domingo-Ferrer and Mateo-Sanz 2002,
		// from memory).
		far, most := 0, -1.0
		for i, a := range left {
			sum := 0.0
			for _, b := range left {
				if d := apart(people[a], people[b]); !math.IsInf(d, 1) {
					sum += d
				}
			}
			if sum > most {
				far, most = i, sum
			}
		}
		first := left[far]
		slices.SortStableFunc(left, func(a, b int) int {
			return cmpFloat(apart(people[first], people[a]), apart(people[first], people[b]))
		})
		out = append(out, slices.Clone(left[:size]))
		left = left[size:]
		slices.SortFunc(left, func(a, b int) int { return strings.Compare(string(people[a].ID), string(people[b].ID)) })
	}
	if len(left) >= size {
		out = append(out, left)
	}
	return out
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// furthest is how far apart two of a group may be and still be called alike, as
// a mean over the scales: beyond a quarter the answer is none (proposed).
const furthest = 0.25

// AlikeOf tells of others like one student: what was set up and how it went, of
// at least LeastCell people or not at all. It is pure.
func AlikeOf(people []FunctionPerson, who ID) Alike {
	at := slices.IndexFunc(people, func(p FunctionPerson) bool { return p.ID == who })
	switch {
	case at < 0 || people[at].known() < fewestFindings:
		return Alike{Why: fmt.Sprintf("Too little is known of what this student can do: %d findings at least.", fewestFindings)}
	case people[at].Lessons == 0:
		// Their own course is none yet, which is no reason to hide others'.
	}
	for _, g := range alikeGroups(people) {
		if !slices.Contains(g, at) {
			continue
		}
		var others []FunctionPerson
		spread := 0.0
		for _, i := range g {
			if i != at && people[i].Lessons > 0 {
				others = append(others, people[i])
			}
			for _, j := range g {
				spread = max(spread, apart(people[i], people[j]))
			}
		}
		if spread > furthest {
			return Alike{Why: "Nobody here is like this student in what they can do; those who are nearest are too different."}
		}
		// All of the group are told of, the student included: else two students of
		// one group would get answers that differ by one person.
		all := make([]FunctionPerson, 0, len(g))
		for _, i := range g {
			if people[i].Lessons > 0 {
				all = append(all, people[i])
			}
		}
		if len(others) < LeastCell || len(all) < LeastCell+1 {
			return Alike{Why: fmt.Sprintf("Fewer than %d others like this student have had lessons.", LeastCell)}
		}
		return tell(all, spread)
	}
	return Alike{Why: "There are not enough others whose function is known."}
}

// tell sums up a group without anybody in it standing out.
func tell(all []FunctionPerson, spread float64) Alike {
	a := Alike{Enough: true, N: len(all) - 1}
	count := map[string]int{}
	for _, p := range all {
		count[wayGroup(p.Way)]++
	}
	small := 0
	for label, n := range count {
		if n < LeastCell {
			small += n
			continue
		}
		a.SetUps = append(a.SetUps, ReportRow{label, n})
	}
	if small > 0 && small < LeastCell { // what is left over would tell of so few
		a.SetUps = nil
		small = len(all)
	}
	slices.SortFunc(a.SetUps, func(x, y ReportRow) int { return strings.Compare(x.Label, y.Label) })
	if small > 0 {
		a.SetUps = append(a.SetUps, ReportRow{"Different ways", small})
	}
	median := func(of func(FunctionPerson) float64) (float64, bool) {
		var v []float64
		for _, p := range all {
			if x := of(p); !math.IsNaN(x) {
				v = append(v, x)
			}
		}
		if len(v) < LeastCell {
			return 0, false
		}
		slices.Sort(v)
		return v[len(v)/2], true
	}
	if x, ok := median(func(p FunctionPerson) float64 { return float64(p.Lessons) }); ok {
		a.Lessons = fmt.Sprintf("%.0f lessons so far, in the middle of them", x)
	}
	if x, ok := median(func(p FunctionPerson) float64 { return p.Change }); ok {
		a.Change = fmt.Sprintf("Help of a skill changed by %+.1f levels, in the middle of them; below zero is less help", x)
	}
	if x, ok := median(func(p FunctionPerson) float64 { return float64(p.Passes) }); ok {
		a.Passes = fmt.Sprintf("%.0f skills passed, in the middle of them", x)
	}
	a.Spread = fmt.Sprintf("The two least alike of them differ by %.0f %% of the scales on average", 100*spread)
	return a
}

// FunctionPersonOf is what others like this looks at in a record.
func FunctionPersonOf(r Record) FunctionPerson {
	p := FunctionPerson{ID: r.Student, Change: math.NaN(), Lessons: len(r.Lessons)}
	number := func(finding, side string) float64 {
		worst := math.NaN()
		for _, state := range []string{"fresh", "tired"} {
			s, ok := r.Current(finding, side, state)
			if !ok {
				continue
			}
			v, err := strconv.ParseFloat(strings.TrimPrefix(s.Value, "W"), 64)
			if err == nil && (math.IsNaN(worst) || v < worst) {
				worst = v
			}
		}
		return worst
	}
	for _, f := range FunctionFindings {
		v := math.NaN()
		switch f.Side {
		case "none":
			v = number(f.Finding, "none")
		default:
			left, right := number(f.Finding, "left"), number(f.Finding, "right")
			if !math.IsNaN(left) && !math.IsNaN(right) {
				v = min(left, right)
				if f.Side == "stronger" {
					v = max(left, right)
				}
			}
		}
		p.Values = append(p.Values, math.Min(v/f.Range, 1))
	}
	person := ReportPersonOf(r)
	if n := len(r.Lessons); n > 0 {
		p.Way, p.Tie = r.Lessons[n-1].Way, r.Lessons[n-1].Tie
	}
	p.Passes = len(person.Passes)
	first, last, tried := map[string]int{}, map[string]int{}, map[string]int{}
	for _, l := range person.Lessons {
		for k, level := range l.Levels {
			if tried[k]++; tried[k] == 1 {
				first[k] = level
			}
			last[k] = level
		}
	}
	sum, n := 0, 0
	for k, times := range tried {
		if times > 1 {
			sum, n = sum+last[k]-first[k], n+1
		}
	}
	if n > 0 {
		p.Change = float64(sum) / float64(n)
	}
	return p
}
