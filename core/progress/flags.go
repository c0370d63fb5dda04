package progress

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// visit is what one lesson had of one skill on one side.
type visit struct {
	lesson string
	day    int
	help   int            // least
	cues   map[string]int // how often each was used
	aids   []ladder.Aids
}

// cue is the cue that was used most; "" where none was recorded.
func (v visit) cue() string {
	most := ""
	for c, n := range v.cues {
		if most == "" || n > v.cues[most] || n == v.cues[most] && c < most {
			most = c
		}
	}
	return most
}

// visits lists the lessons of each skill and side.
func (j *judge) visits() (order []Track, of map[Track][]visit) {
	if j.visited != nil {
		return j.visitedIn, j.visited
	}
	of = map[Track][]visit{}
	for _, a := range j.all {
		t := Track{Skill: a.Skill, Side: a.Side}
		if len(of[t]) == 0 {
			order = append(order, t)
		}
		vs := of[t]
		if n := len(vs); n == 0 || vs[n-1].lesson != a.Lesson {
			vs = append(vs, visit{lesson: a.Lesson, day: a.Day, help: a.Help})
		}
		v := &vs[len(vs)-1]
		v.help = min(v.help, a.Help)
		if a.Cue != "" {
			if v.cues == nil {
				v.cues = map[string]int{}
			}
			v.cues[a.Cue]++
		}
		if !slices.Contains(v.aids, a.Aids) {
			v.aids = append(v.aids, a.Aids)
		}
		of[t] = vs
	}
	j.visitedIn, j.visited = order, of
	return order, of
}

// plateaus finds skills whose help level did not drop for the set number of
// lessons. A level of 0 is no plateau.
func (j *judge) plateaus() []PlateauFlag {
	var out []PlateauFlag
	order, of := j.visits()
	for _, t := range order {
		vs := of[t]
		n := len(vs)
		from := n - 1 // the first lesson of the stretch without a drop
		for least := vs[n-1].help; from > 0 && vs[from-1].help <= least; from-- {
			least = vs[from-1].help
		}
		if n-from < j.n.of("plateau_lessons") || vs[n-1].help == ladder.LeastHelp {
			continue
		}
		cues, aids := map[string]bool{}, map[ladder.Aids]bool{}
		for _, v := range vs[from:] {
			if c := v.cue(); c != "" {
				cues[c] = true
			}
			for _, a := range v.aids {
				aids[a] = true
			}
		}
		f := PlateauFlag{Skill: t.Skill, Side: t.Side, Lessons: n - from, Help: vs[n-1].help, Next: "cue"}
		do := "change the cue"
		switch {
		case len(aids) > 1:
			f.Next, do = "evaluation", "the set-up was changed already, so evaluate again"
		case len(cues) > 1:
			f.Next, do = "set_up", "the cue was changed already, so change the set-up"
		}
		f.Says = fmt.Sprintf("No drop of the help level in %d lessons, now %d: %s.", f.Lessons, f.Help, do)
		out = append(out, f)
	}
	return out
}

// The levels of reins.
const (
	tightReins = 3
	slackReins = 2
)

// reins looks at the last lessons in which reins were used: tight and never
// slack or less wants a reason. A lesson with nothing but more help than reins
// says nothing about them.
func (j *judge) reins() *ReinsFlag {
	n := 0
	for i := len(j.all) - 1; i >= 0; {
		lesson, tight, slack := j.all[i].Lesson, false, false
		for ; i >= 0 && j.all[i].Lesson == lesson; i-- {
			tight = tight || j.all[i].Help == tightReins
			slack = slack || j.all[i].Help <= slackReins
		}
		if slack {
			break
		}
		if tight {
			n++
		}
	}
	if n < j.n.of("slacken_lessons") || j.now.ReinsReason {
		return nil
	}
	return &ReinsFlag{n, fmt.Sprintf("Reins were tight in the last %d lessons with reins and never slack: slacken them, or write down why not.", n)}
}

// changes finds attempts of the last lesson where, against the attempt of the
// same skill and side before, several things changed at once.
func (j *judge) changes() []ChangeFlag {
	var out []ChangeFlag
	before := map[Track]Attempt{}
	for i, a := range j.all {
		t := Track{Skill: a.Skill, Side: a.Side}
		b, ok := before[t]
		before[t] = a
		if !ok || a.Lesson != j.all[len(j.all)-1].Lesson || a.Help > b.Help {
			continue
		}
		var what []string
		if a.Help != b.Help {
			what = append(what, "help")
		}
		if a.Terrain != b.Terrain {
			what = append(what, "terrain")
		}
		if a.Aids != b.Aids {
			what = append(what, "set-up")
		}
		if a.Helper != b.Helper && a.Helper != "" && b.Helper != "" {
			what = append(what, "helper")
		}
		if len(what) < 2 || a.Lesson != b.Lesson && !slices.Contains(what, "help") {
			continue
		}
		out = append(out, ChangeFlag{i, what, fmt.Sprintf("%s%s: %s changed at once. Change one thing at a time.", a.Skill, sideMark(a.Side), strings.Join(what, " and "))})
	}
	return out
}

func sideMark(s finding.Side) string {
	if s == finding.NoSide {
		return ""
	}
	return " " + s.Word()
}
