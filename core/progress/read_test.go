package progress

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

func read(t *testing.T, h []Attempt, now Now) *Reading {
	t.Helper()
	r, err := Read(ladder.Standing(), nil, h, now)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func lineOf(t *testing.T, r *Reading, skill string, side finding.Side) Line {
	t.Helper()
	i := slices.IndexFunc(r.Lines, func(l Line) bool { return l.Skill == skill && l.Side == side && l.Current })
	if i < 0 {
		t.Fatalf("no line of %s %s", skill, side.Word())
	}
	return r.Lines[i]
}

func sane(t *testing.T, c Chance) {
	t.Helper()
	if !(c.Low >= 0 && c.Low <= c.Clean && c.Clean <= c.High && c.High <= 1) {
		t.Errorf("%+v is no chance with an interval", c)
	}
}

// TestModelLoosensNothing: whatever the model says, the advice is the rules'
// own; every number is a number, and a mirrored history gives the mirrored
// answer.
func TestModelLoosensNothing(t *testing.T) {
	l := ladder.Standing()
	r := rand.New(rand.NewPCG(7, 8))
	disagree := map[string]int{}
	for range 600 {
		h := randomHistory(r, l, 1+r.IntN(60))
		if len(h) == 0 {
			continue
		}
		last := h[len(h)-1]
		now := Now{Day: last.Day + r.IntN(2)*r.IntN(90), Aids: last.Aids}
		if r.IntN(2) == 0 {
			now.Lesson, now.Day = last.Lesson, last.Day
		}
		by, err := Judge(l, nil, h, now)
		if err != nil {
			t.Fatal(err)
		}
		got := read(t, h, now)
		mirrored := slices.Clone(h)
		for q := range mirrored {
			mirrored[q] = mirrored[q].Mirror()
		}
		other := read(t, mirrored, now.Mirror())
		for i, line := range got.Lines {
			want := by.Standings[i].Advice
			if line.Advice.Help != want.Help || line.Advice.Change != want.Change || line.Advice.Stop != want.Stop {
				t.Fatalf("the model changed %+v to %+v", want, line.Advice)
			}
			sane(t, line.Estimate.Less)
			sane(t, line.Estimate.Last)
			if !line.Estimate.Enough && (line.Disagree != nil || !strings.HasPrefix(line.Estimate.Why, "Too few to judge")) {
				t.Fatalf("too few, and yet %+v", line)
			}
			if line.Disagree != nil {
				disagree[line.Disagree.Kind]++
				if line.Disagree.Rule == "" || line.Disagree.Model == "" || line.Disagree.Because == "" {
					t.Fatalf("%+v does not say both and why", line.Disagree)
				}
			}
			if line.Estimate.Less.Help < line.Estimate.Last.Help && line.Estimate.Less.Clean > line.Estimate.Last.Clean+0.2 {
				t.Fatalf("less help, far better: %+v", line.Estimate)
			}
			m := slices.IndexFunc(other.Lines, func(o Line) bool {
				return o.Track == Track{line.Skill, line.Side.Other(), line.Aids.Mirror()}
			})
			if m < 0 || math.Abs(other.Lines[m].Estimate.Less.Clean-line.Estimate.Less.Clean) > 1e-6 {
				t.Fatalf("mirror of %+v", line)
			}
		}
		for i, g := range got.Gaps {
			o := other.Gaps[i]
			if o.Skill != g.Skill || o.LeftN != g.RightN || o.Weaker != g.Weaker.Other() || math.Abs(o.Sure-g.Sure) > 1e-5 || math.Abs(o.Left.Clean-g.Right.Clean) > 1e-6 {
				t.Fatalf("gap %+v, mirrored %+v", g, o)
			}
		}
	}
	for _, kind := range []string{"model_doubts", "model_ready"} {
		if disagree[kind] == 0 {
			t.Errorf("the model never disagrees by %s: %v", kind, disagree)
		}
	}
}

// More of what went well speaks for more, what went badly for less; the more is
// seen, the narrower the interval.
func TestModelLearns(t *testing.T) {
	less := func(text string) Chance {
		return lineOf(t, read(t, try("a", 1, "K23", finding.Left, "beginner", text), Now{Day: 1, Lesson: "a"}), "K23", finding.Left).Estimate.Less
	}
	width := func(c Chance) float64 { return math.Log(c.High/(1-c.High)) - math.Log(c.Low/(1-c.Low)) }
	before := less("p4")
	for n := 2; n < 30; n++ {
		now := less(strings.Repeat("c4 ", n))
		if now.Clean <= less(strings.Repeat("c4 ", n-1)).Clean || now.Clean <= less(strings.Repeat("m4 ", n)).Clean {
			t.Errorf("%d clean do not speak for more", n)
		}
	}
	if mixed := less(strings.Repeat("c4 p4 m4 ", 8)); width(mixed) >= width(before) {
		t.Errorf("24 attempts tell no more than one: %+v, %+v", mixed, before)
	}
}

// While nobody skis, what was learned fades towards what is usual, and the
// interval widens; the student's own level stays longest.
func TestForgetting(t *testing.T) {
	l := ladder.Standing()
	var h []Attempt
	for i := range 4 {
		h = append(h, try(string(rune('a'+i)), 7*i, "K23", finding.Left, "beginner", "c3 c3 c3 c3")...)
	}
	last := Chance{Clean: 2}
	for _, days := range []int{0, 7, 30, 90, 300, 3000} {
		r, err := Read(l, nil, h, Now{Day: 21 + days})
		if err != nil {
			t.Fatal(err)
		}
		e := lineOf(t, r, "K23", finding.Left).Estimate
		if e.Less.Clean >= last.Clean || e.Days != days {
			t.Errorf("after %d days %+v, before %+v", days, e, last)
		}
		if e.Then <= e.Less.Clean && days > 0 {
			t.Errorf("nothing faded in %d days: %+v", days, e)
		}
		last = e.Less
	}
	far := lineOf(t, read(t, h, Now{Day: 100_000}), "K23", finding.Left).Estimate.Less
	never := lineOf(t, read(t, try("a", 0, "K23", finding.Left, "beginner", "p3"), Now{Day: 100_000}), "K23", finding.Left).Estimate.Less
	if math.Abs(far.Clean-never.Clean) > 0.06 {
		t.Errorf("after a lifetime %.3f, who never skied %.3f: the set-up and the own response to help are all that may be left", far.Clean, never.Clean)
	}
}

// A gap is named when there is enough of it, on the right side, with what it
// rests on.
func TestGap(t *testing.T) {
	sides := func(left, right string) Gap {
		h := append(try("a", 1, "K25", finding.Left, "beginner", left), try("a", 1, "K25", finding.Right, "beginner", right)...)
		r := read(t, h, Now{Day: 1, Lesson: "a"})
		if len(r.Gaps) != 2 || r.Gaps[0].Skill != "" || r.Gaps[1].Skill != "K25" {
			t.Fatalf("%+v", r.Gaps)
		}
		return r.Gaps[1]
	}
	if g := sides("m4 m4 p4 m4 m4 m4 m4", "c4 c4 c4 c4 c4 p4 c4"); g.Weaker != finding.Left || !g.Enough || g.Left.Clean >= g.Right.Clean || !strings.Contains(g.Says, "to the left") || !strings.Contains(g.Says, "7 attempts left") {
		t.Errorf("%+v", g)
	}
	if g := sides("m4 m4 p4 m4", "c4 c4 c4 c4"); g.Enough || g.Weaker != finding.NoSide || !strings.HasPrefix(g.Says, "Too few to judge") {
		t.Errorf("%+v", g)
	}
	if g := sides("c4 p4 c4 m4 c4 c4", "c4 c4 p4 c4 m4 c4"); g.Weaker != finding.NoSide || !strings.HasPrefix(g.Says, "No clear difference") {
		t.Errorf("%+v", g)
	}
	// The same outcomes with more help speak for less.
	h := append(try("a", 1, "K25", finding.Left, "beginner", "c6 c6 p6 c6 p6 c6 c6"), try("a", 1, "K25", finding.Right, "beginner", "c2 c2 p2 c2 p2 c2 c2")...)
	if g := read(t, h, Now{Day: 1, Lesson: "a"}).Gaps[1]; g.Left.Clean >= g.Right.Clean {
		t.Errorf("%+v", g)
	}
}

// Both are shown where they differ: three clean after many misses; two clean of
// somebody who never misses.
func TestDisagreement(t *testing.T) {
	doubt := lineOf(t, read(t, try("a", 1, "K23", finding.Left, "beginner", "m3 c4 p3 p3 m3 p4 p3 p3 m3 p3 c4 m3 p3 p3 c3 c3 c3"), Now{Day: 1, Lesson: "a"}), "K23", finding.Left)
	if doubt.Advice.Change != Less || doubt.Disagree == nil || doubt.Disagree.Kind != "model_doubts" {
		t.Errorf("%+v %+v", doubt.Advice, doubt.Disagree)
	}
	h := append(try("a", 1, "K23", finding.Left, "beginner", strings.Repeat("c3 ", 15)), try("b", 2, "K23", finding.Left, "beginner", "c3 c3")...)
	ready := lineOf(t, read(t, h, Now{Day: 2, Lesson: "b"}), "K23", finding.Left)
	if ready.Advice.Change != Same || ready.Disagree == nil || ready.Disagree.Kind != "model_ready" {
		t.Errorf("%+v %+v %+v", ready.Advice, ready.Disagree, ready.Estimate)
	}
	var p []Attempt
	for i, levels := range []string{"m3 m3 m4 m4 m4 m3 m3", "m3 p3 p3 m4 m3 p3 m3", "c3 c4 p3 c3", "c3 c3 c3 c3 c3 c3 c3 c3 c3 c3 c3 c3 c3"} {
		p = append(p, try(string(rune('a'+i)), 20*i, "K23", finding.Left, "beginner", levels)...)
	}
	r := read(t, p, Now{Day: 60, Lesson: "d"})
	if len(r.Plateaus) != 1 || r.Plateaus[0].Disagree == nil || r.Plateaus[0].Rise.Risen < 0.9 {
		t.Errorf("%+v", r.Plateaus)
	}
}

// With a new set-up a parallel record begins, with what is known carried over.
func TestParallelRecord(t *testing.T) {
	h := try("a", 1, "K23", finding.Left, "beginner", strings.Repeat("c2 ", 12))
	now := Now{Day: 2, Aids: ladder.Aids{Way: "none"}}
	line := lineOf(t, read(t, h, now), "K23", finding.Left)
	if line.Attempts != 0 || line.Advice.Help != 3 || line.Advice.Reasons[0].Rule != NewSetUp || line.Estimate.Enough {
		t.Errorf("%+v", line)
	}
	usual := lineOf(t, read(t, try("a", 1, "K23", finding.Left, "beginner", "m2 m2 m2 m2"), now), "K23", finding.Left)
	if line.Estimate.Last.Clean < usual.Estimate.Last.Clean+0.1 {
		t.Errorf("nothing is carried over: %.3f, %.3f", line.Estimate.Last.Clean, usual.Estimate.Last.Clean)
	}
}

// A long record stays quick: of each record the newest is kept, the rest is
// counted.
func TestLongRecord(t *testing.T) {
	var h []Attempt
	for i := range 400 {
		h = append(h, try("l"+digit(i/100)+digit(i/10%10)+digit(i%10), i, "K23", finding.Left, "beginner", "c3 p3")...)
	}
	h = append(try("first", -1, "K31", finding.NoSide, "beginner", "c3 c3 c3")[:3], h...)
	r := read(t, h, Now{Day: 500})
	if r.LeftOut != 2*(400-mostCells+1) {
		t.Errorf("%d attempts left out", r.LeftOut)
	}
	if e := lineOf(t, r, "K31", finding.NoSide).Estimate; e.Less.Clean == 0 {
		t.Errorf("%+v", e)
	}
}

func BenchmarkSeason(b *testing.B) {
	h := seasonOf(20, 15)
	l := ladder.Standing()
	now := Now{Day: h[len(h)-1].Day, Lesson: h[len(h)-1].Lesson}
	var r *Reading
	var err error
	for b.Loop() {
		if r, err = Read(l, nil, h, now); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(h)), "attempts")
	b.ReportMetric(float64(r.Sweeps), "sweeps")
	b.ReportMetric(float64(r.Cells), "cells")
	b.ReportMetric(float64(len(r.Lines)), "records")
}

// seasonOf is one student's season: lessons of so many attempts, six skills of
// which three in a lesson.
func seasonOf(lessons, each int) (h []Attempt) {
	r := rand.New(rand.NewPCG(1, 1))
	skills := []string{"K22", "K23", "K25", "K26", "K31", "K15"}
	help := map[string]int{}
	for i := range lessons {
		for q := range each {
			skill := skills[(i/3+q%3)%len(skills)]
			side := finding.Left + finding.Side(q/3%2)
			if skill == "K31" || skill == "K15" {
				side = finding.NoSide
			}
			k := skill + side.Word()
			if _, ok := help[k]; !ok || q/6 == 1 && r.IntN(3) == 0 {
				help[k] = 2 + r.IntN(3)
			}
			h = append(h, Attempt{Attempt: ladder.Attempt{Skill: skill, Side: side, Terrain: "beginner", Help: help[k], Aids: outriggers},
				Outcome: Outcome(min(2, r.IntN(4))), Lesson: "l" + digit(i/10) + digit(i%10), Day: 3 * i, Minute: float64(4 * q)})
		}
	}
	return h
}
