package progress

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// The rules are those of the trade's list of help levels (common practice, no
// source; its numbers are proposals). Each test is named after a sentence of it.

var outriggers = ladder.Aids{Way: "outriggers", Tie: "none"}

// try writes attempts of one record in one lesson: "c3 m3 p4" is clean at 3, a
// miss at 3, partly at 4. The first is at minute 1, each next a minute later.
func try(lesson string, day int, skill string, side finding.Side, terrain, text string) []Attempt {
	var out []Attempt
	for i, w := range strings.Fields(text) {
		o := map[byte]Outcome{'c': Clean, 'm': Miss, 'p': Partly}[w[0]]
		out = append(out, Attempt{Attempt: ladder.Attempt{Skill: skill, Side: side, Terrain: terrain, Help: int(w[1] - '0'), Aids: outriggers},
			Outcome: o, Lesson: lesson, Day: day, Minute: float64(i + 1)})
	}
	return out
}

func adviceOf(t *testing.T, h []Attempt, now Now) Advice {
	t.Helper()
	r, err := Judge(ladder.Standing(), nil, h, now)
	if err != nil {
		t.Fatal(err)
	}
	if now.Aids.Way == "" {
		now.Aids = h[len(h)-1].Aids
	}
	last := h[len(h)-1].track()
	last.Aids = now.Aids
	s, ok := r.Of(last)
	if !ok {
		t.Fatalf("no standing of %v", last)
	}
	return s.Advice
}

func TestSentences(t *testing.T) {
	traverse := func(text string) []Attempt { return try("a", 1, "K23", finding.Left, "beginner", text) }
	going := Now{Day: 1, Lesson: "a"}
	with := func(h []Attempt, i int, change func(*Attempt)) []Attempt {
		change(&h[len(h)-1-i])
		return h
	}
	for _, c := range []struct {
		name string
		h    []Attempt
		now  Now
		help int
		way  Change
		stop bool
		rule string
	}{
		{"three clean in a row", traverse("m4 c4 c4 c4"), going, 3, Less, false, Fade},
		{"two clean are not three", traverse("c4 c4"), going, 4, Same, false, Fade},
		{"partly breaks a row", traverse("c4 p4 c4 c4"), going, 4, Same, false, Fade},
		{"a row is at one level", traverse("c5 c4 c4"), going, 4, Same, false, Fade},
		{"a row is on one terrain", with(traverse("c4 c4 c4"), 2, func(a *Attempt) { a.Terrain = "run_out" }), going, 4, Same, false, Fade},
		{"fresh: a tired one does not count", with(traverse("c4 c4 c4"), 0, func(a *Attempt) { a.Minute = 45 }), going, 4, Same, false, Fade},
		{"fresh: 80 % of the known minutes", with(traverse("c4 c4 c4"), 0, func(a *Attempt) { a.Minute = 32 }), Now{Day: 1, Lesson: "a", KnownMinutes: 40}, 3, Less, false, Fade},
		{"fresh: beyond 80 % of the known minutes", with(traverse("c4 c4 c4"), 0, func(a *Attempt) { a.Minute = 32.1 }), Now{Day: 1, Lesson: "a", KnownMinutes: 40}, 4, Same, false, Fade},
		{"fresh: an unknown minute does not count", with(traverse("c4 c4 c4"), 1, func(a *Attempt) { a.Minute = MinuteUnknown }), going, 4, Same, false, Fade},
		{"nothing below independent", traverse("c0 c0 c0"), going, 0, Same, false, Fade},
		{"start of day, one above the last", traverse("c4 p4 c4"), Now{Day: 2}, 5, Begin, false, StartOfDay},
		{"start of day, what was earned is kept", traverse("c4 c4 c4"), Now{Day: 2}, 4, Begin, false, StartOfDay},
		{"start of day, the one above does not raise it", append(traverse("c4 p4 c4"), try("b", 2, "K23", finding.Left, "beginner", "c5 c5")...), Now{Day: 3}, 5, Begin, false, StartOfDay},
		{"start of day, more help than that does", append(traverse("c4 p4 c4"), try("b", 2, "K23", finding.Left, "beginner", "c6 c6")...), Now{Day: 3}, 7, Begin, false, StartOfDay},
		{"start of day, never above full", traverse("m7"), Now{Day: 2}, 7, Begin, false, StartOfDay},
		{"two misses in three", traverse("m4 c4 m4"), going, 5, More, false, BackOne},
		{"two misses in four", traverse("m4 c4 c4 m4"), going, 4, Same, false, Fade},
		{"misses are not counted twice", traverse("m4 m4 m5"), going, 5, Same, false, Fade},
		{"a step back stands until it was made", traverse("m4 m4 c4 c4 c4"), going, 5, More, false, BackOne},
		{"a step back is over once made", traverse("m4 m4 c5 c5 c5"), going, 4, Less, false, Fade},
		{"an uncontrolled fall", with(traverse("c4 m4"), 0, func(a *Attempt) { a.Trouble = UncontrolledFall }), going, 5, More, false, BackOne},
		{"quality at 80 % of fatigue", with(traverse("c4 p4"), 0, func(a *Attempt) { a.Minute = 33 }), Now{Day: 1, Lesson: "a", KnownMinutes: 40}, 5, More, false, BackOne},
		{"pain", with(traverse("c4 c4"), 0, func(a *Attempt) { a.Trouble = Pain }), going, 6, More, true, BackTwo},
		{"fear that does not settle", with(traverse("c6"), 0, func(a *Attempt) { a.Trouble = Fear }), going, 7, More, true, BackTwo},
		{"a step back is carried into the next day", traverse("m4 m4"), Now{Day: 2}, 6, Begin, false, StartOfDay},
		{"new terrain", traverse("c4 c4 c4"), Now{Day: 1, Lesson: "a", Terrain: "novice"}, 5, Begin, false, NewThing},
		{"new helper", with(traverse("c4 c4 c4"), 0, func(a *Attempt) { a.Helper = "Ina" }), Now{Day: 1, Lesson: "a", Helper: "Jo"}, 5, Begin, false, NewThing},
		{"ice, slush, crowd, flat light", traverse("c4 c4 c4"), Now{Day: 1, Lesson: "a", Poor: true}, 5, Begin, false, NewThing},
		{"new set-up", traverse("c4 p4 c4"), Now{Day: 1, Lesson: "a", Aids: ladder.Aids{Way: "none"}}, 5, Begin, false, NewSetUp},
	} {
		a := adviceOf(t, c.h, c.now)
		if a.Help != c.help || a.Change != c.way || a.Stop != c.stop || len(a.Reasons) == 0 || a.Reasons[0].Rule != c.rule {
			t.Errorf("%s: %+v, want %d %s stop %v by %s", c.name, a, c.help, c.way, c.stop, c.rule)
		}
	}
}

// That direction for skills with sides: the left says nothing of the right.
func TestThatDirection(t *testing.T) {
	h := append(try("a", 1, "K23", finding.Left, "beginner", "c4 c4 c4"), try("a", 1, "K23", finding.Right, "beginner", "m4 m4")...)
	r, err := Judge(ladder.Standing(), nil, h, Now{Day: 1, Lesson: "a"})
	if err != nil {
		t.Fatal(err)
	}
	left, _ := r.Of(Track{"K23", finding.Left, outriggers})
	right, _ := r.Of(Track{"K23", finding.Right, outriggers})
	if left.Advice.Help != 3 || right.Advice.Help != 5 {
		t.Errorf("left %+v right %+v", left.Advice, right.Advice)
	}
}

func TestFlags(t *testing.T) {
	l := ladder.Standing()
	lessons := func(levels string) (h []Attempt) {
		for i, c := range strings.Fields(levels) {
			h = append(h, try(string(rune('a'+i)), i, "K25", finding.Right, "beginner", c)...)
		}
		return h
	}
	for _, c := range []struct {
		levels  string
		plateau string
		reins   int
	}{
		{"c4 c4", "", 0}, {"c4 c4 c4", "cue", 0}, {"c5 c4 c4", "", 0}, {"c3 c4 c5", "cue", 0}, {"c0 c0 c0", "", 0}, {"c4 c4 c3", "", 0},
		{"m3 c3 c3", "cue", 0}, {"m3 c3 c3 m3", "cue", 4}, {"c3 c2 c3 c3 c3", "cue", 0}, {"c2 c3 c3 c3 c3", "cue", 4}, {"c3 c3 c5 c3 c3", "", 4},
	} {
		r, err := Judge(l, nil, lessons(c.levels), Now{Day: 50})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if len(r.Plateaus) == 1 {
			got = r.Plateaus[0].Next
		}
		reins := 0
		if r.Reins != nil {
			reins = r.Reins.Lessons
		}
		if got != c.plateau || reins != c.reins {
			t.Errorf("%s: plateau %q reins %d, want %q %d", c.levels, got, reins, c.plateau, c.reins)
		}
	}
	h := lessons("c4 c4 c4")
	h[0].Cue, h[1].Cue = "show", "tell"
	if r, _ := Judge(l, nil, h, Now{Day: 50}); r.Plateaus[0].Next != "set_up" {
		t.Errorf("after the cue: %+v", r.Plateaus)
	}
	h[2].Aids.Tie = "elastic"
	if r, _ := Judge(l, nil, h, Now{Day: 50}); r.Plateaus[0].Next != "evaluation" {
		t.Errorf("after the set-up: %+v", r.Plateaus)
	}
	if r, _ := Judge(l, nil, lessons("m3 c3 c3 m3"), Now{Day: 50, ReinsReason: true}); r.Reins != nil {
		t.Error("a written reason does not end the flag")
	}
	h = try("a", 1, "K25", finding.Right, "beginner", "c4 c3")
	h[1].Terrain = "novice"
	if r, _ := Judge(l, nil, h, Now{Day: 1, Lesson: "a"}); len(r.Changes) != 1 || r.Changes[0].Attempt != 1 {
		t.Errorf("two changes at once: %+v", r.Changes)
	}
	h[1].Help = 5
	if r, _ := Judge(l, nil, h, Now{Day: 1, Lesson: "a"}); len(r.Changes) != 0 {
		t.Errorf("a step back on other terrain is one change: %+v", r.Changes)
	}
}

// plainLevel is a second, plain reading of the rules for one record in the
// lesson that is going on, with nothing new: from the last attempt backward.
func plainLevel(h []Attempt, n Numbers, known float64) (level int) {
	last := h[len(h)-1]
	var same []Attempt
	for _, a := range h {
		if a.track() == last.track() && a.Lesson == last.Lesson {
			same = append(same, a)
		}
	}
	limit := float64(n.of("fresh_min"))
	if known > 0 {
		limit = known * float64(n.of("tired_pct")) / 100
	}
	// More help: walk forward keeping the level that is asked for.
	asked, counted := -1, []Outcome{}
	for _, a := range same {
		counted = append(counted, a.Outcome)
		tail := counted[max(0, len(counted)-n.of("back_of")):]
		misses := 0
		for _, o := range tail {
			if o == Miss {
				misses++
			}
		}
		add := 0
		if misses >= n.of("back_misses") || a.Trouble&UncontrolledFall != 0 || known > 0 && a.Minute > limit && a.Outcome != Clean {
			add = 1
		}
		if a.Trouble & ^UncontrolledFall != 0 {
			add = 2
		}
		if add > 0 {
			counted = nil
			asked = max(asked, min(7, a.Help+add))
		} else if a.Help >= asked {
			asked = -1
		}
	}
	if asked > last.Help || asked == last.Help && asked >= 0 {
		return asked
	}
	row, tired, names := 0, 0, map[string]bool{}
	for i := len(same) - 1; i >= 0; i-- {
		a := same[i]
		if a.Outcome != Clean || a.Trouble != 0 || a.Help != last.Help || a.Terrain != last.Terrain || a.Poor != last.Poor {
			break
		}
		if names[a.Helper] = true; names["Ina"] && names["Jo"] {
			break
		}
		if a.Minute != MinuteUnknown && a.Minute <= limit {
			row++
		} else {
			tired++
		}
	}
	if row >= n.of("fade_in_a_row") && last.Help > 0 {
		less := last.Attempt
		less.Help--
		if ladder.Standing().Admit(less) == nil {
			return less.Help
		}
	}
	return last.Help
}

// TestOracleRules: on generated histories the rules say what the plain reading
// says, and what must hold of any of them holds.
func TestOracleRules(t *testing.T) {
	l := ladder.Standing()
	r := rand.New(rand.NewPCG(5, 6))
	seen := map[Change]int{}
	stops := 0
	for i := range 10_000 {
		h := randomHistory(r, l, 1+r.IntN(25))
		if len(h) == 0 {
			continue
		}
		last := h[len(h)-1]
		now := Now{Day: last.Day, Lesson: last.Lesson, Aids: last.Aids, Terrain: last.Terrain}
		if r.IntN(2) == 0 {
			now.KnownMinutes = float64(10 + r.IntN(60))
		}
		a := adviceOf(t, h, now)
		seen[a.Change]++
		if a.Stop {
			stops++
		}
		want := plainLevel(h, nil, now.KnownMinutes)
		if a.Help != want || a.Help < last.Help-1 || a.Help > 7 {
			t.Fatalf("%d: advice %+v, plain %d\n%+v", i, a, want, h)
		}
		if a.Change == Less && (a.Help != last.Help-1 || last.Outcome != Clean || last.Trouble != 0) {
			t.Fatalf("%d: less help after %+v", i, last)
		}
		if last.Trouble & ^UncontrolledFall != 0 && (a.Help < min(7, last.Help+2) || !a.Stop) {
			t.Fatalf("%d: %v and %+v", i, last.Trouble.Words(), a)
		}

		// The next day, anything new, begins one above the last and never with less.
		day := now
		day.Lesson, day.Day = "", last.Day+1
		b := adviceOf(t, h, day)
		if b.Change != Begin || b.Help < min(7, last.Help) || b.Help < a.Help || b.Reasons[0].Rule != StartOfDay {
			t.Fatalf("%d: next day %+v after %d", i, b, last.Help)
		}
		// The day after a day on which nothing happened but the one above, clean
		// twice: the same again.
		twice := slices.Clone(h)
		for range 2 {
			up := last
			up.Help, up.Day, up.Lesson, up.Outcome, up.Trouble, up.Poor, up.Minute = b.Help, day.Day, "zz", Clean, 0, false, 1
			twice = append(twice, up)
		}
		day.Day++
		if c := adviceOf(t, twice, day); c.Help != b.Help && b.Help < 7 {
			t.Fatalf("%d: next day %+v, the day after %+v", i, b, c)
		}
		fresh := now
		fresh.Helper = "somebody nobody knows"
		if c := adviceOf(t, h, fresh); c.Help < min(7, last.Help+1) || c.Help < a.Help {
			t.Fatalf("%d: new helper %+v after %d", i, c, last.Help)
		}

		// Mirrored history, mirrored answer.
		mirrored := slices.Clone(h)
		for q := range mirrored {
			mirrored[q] = mirrored[q].Mirror()
		}
		one, err := Judge(l, nil, h, now)
		two, err2 := Judge(l, nil, mirrored, now.Mirror())
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		sameMirrored(t, one, two)

		// What happened in other records does not matter, but for pain.
		var own []Attempt
		for _, x := range h {
			if x.track() == last.track() {
				own = append(own, x)
			}
		}
		alone := adviceOf(t, own, now)
		if alone.Help != a.Help || alone.Change != a.Change || alone.Stop && !a.Stop {
			t.Fatalf("%d: alone %+v, among others %+v", i, alone, a)
		}
	}
	if seen[Less] < 150 || seen[More] < 500 || seen[Same] < 500 || stops < 50 {
		t.Errorf("the histories are too tame: %v, %d stops", seen, stops)
	}
}

// sameMirrored compares two reports of which one is the mirror of the other.
func sameMirrored(t *testing.T, one, two *Report) {
	t.Helper()
	for _, s := range one.Standings {
		m := Track{s.Skill, s.Side.Other(), s.Aids.Mirror()}
		o, ok := two.Of(m)
		if !ok || o.Advice.Help != s.Advice.Help || o.Advice.Change != s.Advice.Change || o.Advice.Stop != s.Advice.Stop || o.Row != s.Row || o.Attempts != s.Attempts {
			t.Fatalf("%v: %+v, mirrored %+v", m, s.Advice, o.Advice)
		}
	}
	if len(one.Standings) != len(two.Standings) || len(one.Plateaus) != len(two.Plateaus) || !reflect.DeepEqual(one.Reins, two.Reins) || len(one.Changes) != len(two.Changes) {
		t.Fatal("mirrored reports differ")
	}
}

// A setting changes what it names: with four in a row three are too few.
func TestNumbers(t *testing.T) {
	h := try("a", 1, "K23", finding.Left, "beginner", "c4 c4 c4")
	r, err := Judge(ladder.Standing(), Numbers{"fade_in_a_row": 4}, h, Now{Day: 1, Lesson: "a"})
	if err != nil || r.Standings[0].Advice.Change != Same {
		t.Errorf("%v %+v", err, r)
	}
	for _, n := range []Numbers{{"fade_in_a_row": 1}, {"nothing": 3}, {"back_misses": 4}} {
		if n.Check() == nil {
			t.Errorf("%v was taken", n)
		}
	}
}

// What cannot be is refused in a sentence that says which attempt.
func TestRefusals(t *testing.T) {
	l := ladder.Standing()
	good := func() []Attempt { return try("a", 1, "K23", finding.Left, "beginner", "c4 c4 c4") }
	for _, c := range []struct {
		code   string
		change func([]Attempt) ([]Attempt, Now)
	}{
		{"side_missing", func(h []Attempt) ([]Attempt, Now) { h[1].Side = finding.NoSide; return h, Now{Day: 1} }},
		{"unknown_skill", func(h []Attempt) ([]Attempt, Now) { h[1].Skill = "K99"; return h, Now{Day: 1} }},
		{"unknown_level", func(h []Attempt) ([]Attempt, Now) { h[1].Help = 8; return h, Now{Day: 1} }},
		{"not_with_tie", func(h []Attempt) ([]Attempt, Now) {
			h[1].Skill, h[1].Aids.Tie = "K11", "elastic" // the sidestep with a tie on
			return h, Now{Day: 1}
		}},
		{"lesson_missing", func(h []Attempt) ([]Attempt, Now) { h[1].Lesson = ""; return h, Now{Day: 1} }},
		{"out_of_range", func(h []Attempt) ([]Attempt, Now) { h[1].Minute = 601; return h, Now{Day: 1} }},
		{"lesson_on_two_days", func(h []Attempt) ([]Attempt, Now) { h[1].Day = 2; return h, Now{Day: 3} }},
		{"order", func(h []Attempt) ([]Attempt, Now) { h[1].Day, h[1].Lesson = 0, "b"; return h, Now{Day: 3} }},
		{"lesson_in_parts", func(h []Attempt) ([]Attempt, Now) { h[1].Lesson = "b"; return h, Now{Day: 3} }},
		{"order", func(h []Attempt) ([]Attempt, Now) { return h, Now{Day: 0} }},
		{"unknown_terrain", func(h []Attempt) ([]Attempt, Now) { return h, Now{Day: 1, Terrain: "moon"} }},
		{"aids", func(h []Attempt) ([]Attempt, Now) { return h, Now{Day: 1, Aids: ladder.Aids{Way: "stilts"}} }},
	} {
		h, now := c.change(good())
		_, err := Read(l, nil, h, now)
		e, ok := err.(*Error)
		if !ok || e.Code != c.code || !strings.HasSuffix(e.Sentence, ".") {
			t.Errorf("%s: %v", c.code, err)
		}
	}
}

// A pass is clean three times in a row in one lesson, with the same help,
// terrain and aids; a tie stays with it.
func TestPasses(t *testing.T) {
	l := ladder.Standing()
	h := append(try("a", 1, "K23", finding.Left, "beginner", "c4 c4 c3 c3 c3 m2 c2 c2"), try("b", 2, "K23", finding.Left, "beginner", "c2")...)
	got, err := Passes(l, h)
	if err != nil || len(got) != 1 || got[0].Help != 3 || got[0].Side != finding.Left {
		t.Errorf("%v %+v", err, got)
	}
	tied := try("a", 1, "K19", finding.NoSide, "beginner", "c4 c4 c4")
	for i := range tied {
		tied[i].Aids.Tie = "elastic"
	}
	got, err = Passes(l, tied)
	if err != nil || len(got) != 1 || got[0].Aids.Tie != "elastic" {
		t.Errorf("%v %+v", err, got)
	}
	if remarks, err := l.AdmitPass(got[0]); err != nil || len(remarks) == 0 || !strings.Contains(remarks[0], "elastic tie") {
		t.Errorf("a wedge with a tie is not shown as such: %v %v", remarks, err)
	}
}
