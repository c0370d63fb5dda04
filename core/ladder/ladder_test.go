package ladder_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// printed is the trade's table of skills, copied out by hand: needs, what the
// skill cannot be done with (T tie, S spacer, F slider), whether left and right
// are two records. Common practice, no source.
const printed = `
K01 -                 .          .
K02 -                 .          .
K03 K02               only-O     .
K04 K03               only-O     y
K05 K02               T-S-F      y
K06 K02               S          .
K07 K06               T-S-F      y
K08 K04               only-O     .
K09 K02               F          y
K10 K09               F-alone    y
K11 K05               T-S-F      y
K12 K11               T-S-F      .
K13 K06               .          .
K14 K02               .          .
K15 K14               .          .
K16 K15               .          .
K17 K15               only-O     y
K18 K15               only-O     .
K19 K15,wedge         S-F        .
K20 K19               S-F        .
K21 K18/K20/K25       .          .
K22 K15               .          y
K23 K22               .          y
K24 K23               F          y
K25 K23               .          y
K26 K25               .          y
K27 K26               .          y
K28 K26               .          y
K29 K27               .          y
K30 K29               .          y
K31 K30               .          .
K32 K31               .          .
K33 K24,K31           S          y
K34 K21,K26           .          y
K35 K31,K34           .          .
K36 K35               .          .
K37 K32,K36           .          .
`

func TestAsTheTradeSays(t *testing.T) {
	rows := strings.Split(strings.TrimSpace(printed), "\n")
	skills := ladder.Standing().Skills()
	if len(rows) != len(skills) {
		t.Fatalf("%d skills, the trade has %d", len(skills), len(rows))
	}
	for i, row := range rows {
		f, s := strings.Fields(row), skills[i]
		var needs []string
		for _, n := range s.Needs {
			var ways []string
			for _, one := range n {
				ways = append(ways, one.Skill)
			}
			needs = append(needs, strings.Join(ways, "/"))
		}
		if s.WedgeRoute && s.ID == "K19" {
			needs = append(needs, "wedge")
		}
		if got := strings.Join(append(needs, ""), ","); got != strings.Trim(f[1], "-")+"," && !(len(needs) == 0 && f[1] == "-") {
			t.Errorf("%s needs %s, the trade says %s", s.ID, got, f[1])
		}
		gear := map[bool]string{true: "T"}[s.NotWithTie] + map[bool]string{true: "S"}[s.NotWithSpacer] + map[bool]string{true: "F"}[s.NotWithSlider] +
			map[bool]string{true: "Falone"}[s.AloneNotWithSlider] + map[bool]string{true: "onlyO"}[s.OnlyOutriggers]
		if want := strings.ReplaceAll(strings.Trim(f[2], "."), "-", ""); gear != want {
			t.Errorf("%s: gear %q, the trade says %q", s.ID, gear, want)
		}
		if sided := s.Sides != ladder.NoSides; s.ID != f[0] || sided != (f[3] == "y") {
			t.Errorf("%s: sides %v, the trade says %s of %s", s.ID, sided, f[3], f[0])
		}
	}
}

func pass(skill, side string, help int, a ladder.Aids) ladder.Pass {
	s, _ := ladder.Standing().Skill(skill)
	at := map[string]finding.Side{"": finding.NoSide, "L": finding.Left, "R": finding.Right}[side]
	return ladder.Pass{Skill: skill, Side: at, Terrain: s.Place.ID, Help: help, Aids: a}
}

var (
	free    = ladder.Aids{Way: "none"}
	tied    = ladder.Aids{Way: "outriggers", Tie: "elastic"}
	spaced  = ladder.Aids{Way: "outriggers", Tie: "rigid_spacer"}
	slider  = ladder.Aids{Way: "slider"}
	riggers = ladder.Aids{Way: "outriggers"}
)

// The exclusions by gear, and the cases of the trade. Common practice, no
// source.
func TestAdmit(t *testing.T) {
	for _, c := range []struct {
		p    ladder.Pass
		code string // "" admitted
	}{
		{pass("K11", "L", 1, tied), "not_with_tie"}, // a sidestep pass while the tie is on
		{pass("K11", "L", 1, riggers), ""},
		{pass("K12", "", 1, tied), "not_with_tie"},
		{pass("K05", "R", 1, tied), "not_with_tie"},
		{pass("K19", "", 1, tied), ""}, // an elastic or hinged tie helps a wedge
		{pass("K19", "", 1, spaced), "not_with_spacer"},
		{pass("K20", "", 1, slider), "not_with_slider"},
		{pass("K06", "", 1, spaced), "not_with_spacer"},
		{pass("K03", "", 1, free), "only_outriggers"},
		{pass("K18", "", 1, slider), "only_outriggers"},
		{pass("K10", "L", 1, slider), "alone_not_with_slider"},
		{pass("K10", "L", 4, slider), ""},
		{pass("K09", "L", 4, slider), "not_with_slider"},
		{pass("K33", "L", 1, spaced), "not_with_spacer"},
		{pass("K19", "", 1, ladder.Aids{Way: "one_ski_left"}), "only_two_skis"},
		{pass("K08", "", 1, ladder.Aids{Way: "one_outrigger_left"}), "both_hands"},
		{pass("K17", "R", 1, ladder.Aids{Way: "one_outrigger_left"}), "side_not_there"},
		{pass("K17", "L", 1, ladder.Aids{Way: "one_outrigger_left"}), ""},
		{pass("K25", "", 1, free), "side_missing"},
		{pass("K21", "L", 1, free), "no_sides"},
		{pass("K21", "", 8, free), "unknown_level"},
		{pass("K21", "", -1, free), "unknown_level"},
		{ladder.Pass{Skill: "K38", Terrain: "flat", Aids: free}, "unknown_skill"},
		{ladder.Pass{Skill: "K20", Terrain: "run_out", Aids: free}, "terrain_too_easy"},
		{ladder.Pass{Skill: "K20", Terrain: "novice", Aids: free}, ""},
		{ladder.Pass{Skill: "K20", Terrain: "moon", Aids: free}, "unknown_terrain"},
		{pass("K02", "", 1, ladder.Aids{Way: "sitting"}), "sitting"},
		{pass("K02", "", 1, ladder.Aids{Way: "hover"}), "unknown_way"},
		{pass("K02", "", 1, ladder.Aids{Way: "none", Tie: "rope"}), "unknown_tie"},
		{pass("K02", "", 1, ladder.Aids{Way: "one_ski_left", Tie: "elastic"}), "tie_on_one_ski"},
	} {
		_, err := ladder.Standing().AdmitPass(c.p)
		var e *ladder.Error
		switch {
		case c.code == "" && err != nil, c.code != "" && (!errors.As(err, &e) || e.Code != c.code):
			t.Errorf("%+v: %v, want %q", c.p, err, c.code)
		case e != nil && !strings.HasSuffix(e.Sentence, "."):
			t.Errorf("not a sentence: %s", e.Sentence)
		}
	}
}

func TestRemarks(t *testing.T) {
	l := ladder.Standing()
	if r, err := l.AdmitPass(pass("K19", "", 1, tied)); err != nil || len(r) != 1 || !strings.Contains(r[0], "with elastic tie") {
		t.Errorf("a wedge with a tie on: %q, %v", r, err)
	}
	if r, err := l.AdmitPass(pass("K29", "L", 5, free)); err != nil || len(r) != 1 || !strings.Contains(r[0], "no hand") {
		t.Errorf("a crossing turn in a firm hold: %q, %v", r, err)
	}
	if r, err := l.AdmitPass(pass("K19", "", 1, free)); err != nil || len(r) != 0 {
		t.Errorf("a plain pass: %q, %v", r, err)
	}
}

func board(t *testing.T, in ladder.Setup, passes ...ladder.Pass) *ladder.Board {
	t.Helper()
	b, err := ladder.Standing().Open(in, passes)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func (x want) check(t *testing.T, b *ladder.Board) {
	t.Helper()
	side := map[string]finding.Side{"": finding.NoSide, "L": finding.Left, "R": finding.Right}[x.side]
	e, ok := b.At(x.skill, side)
	if !ok || e.State != x.state || x.start != 0 && e.Start != x.start {
		t.Errorf("%s %s: %s, start %d, missing %v, %s; want %s, start %d", x.skill, x.side, e.State, e.Start, e.Missing, e.Why, x.state, x.start)
	}
}

type want struct {
	skill, side string
	state       ladder.State
	start       int
}

// What opens what, and what a change of aids does to it. Common practice, no
// source.
func TestOpen(t *testing.T) {
	wedge := ladder.Setup{Aids: free, RouteLeft: "wedge", RouteRight: "wedge"}
	no := ladder.Setup{Aids: free, RouteLeft: "wedgeless", RouteRight: "wedge"}
	b := board(t, wedge)
	for _, w := range []want{{"K01", "", ladder.Open, 0}, {"K02", "", ladder.Open, 0}, {"K14", "", ladder.Waiting, 0}, {"K03", "", ladder.Impossible, 0}} {
		w.check(t, b)
	}
	base := []ladder.Pass{pass("K02", "", 1, free), pass("K14", "", 4, free), pass("K15", "", 1, free), pass("K22", "L", 1, free)}
	b = board(t, wedge, base...)
	for _, w := range []want{{"K19", "", ladder.Open, 0}, {"K20", "", ladder.Waiting, 0}, {"K23", "L", ladder.Open, 0}, {"K23", "R", ladder.Waiting, 0},
		{"K15", "", ladder.Passed, -1}, {"K21", "", ladder.Waiting, 0}} {
		w.check(t, b)
	}
	b = board(t, no, base...)
	for _, w := range []want{{"K19", "", ladder.Impossible, 0}, {"K20", "", ladder.Impossible, 0}} {
		w.check(t, b)
	}
	b = board(t, ladder.Setup{Aids: free, RouteLeft: "wedge"}, base...)
	want{"K19", "", ladder.Waiting, 0}.check(t, b)
	b = board(t, ladder.Setup{Aids: free, RouteLeft: "wedge_early_then_wedgeless", RouteRight: "wedge_early_then_wedgeless"}, base...)
	if e, _ := b.At("K19", finding.NoSide); e.State != ladder.Open || !e.FreshOnly {
		t.Errorf("a wedge while fresh: %+v", e)
	}

	// Adding a tie keeps what was passed, and starts a record of its own.
	b = board(t, ladder.Setup{Aids: ladder.Aids{Way: "none", Tie: "elastic"}, RouteLeft: "wedge", RouteRight: "wedge"}, base...)
	for _, w := range []want{{"K15", "", ladder.Carried, 2}, {"K19", "", ladder.Open, 0}} {
		w.check(t, b)
	}
	if e, _ := b.At("K19", finding.NoSide); e.With != "with elastic tie" {
		t.Errorf("a wedge with a tie on does not say so: %+v", e)
	}
	// Taking it off reopens, one help level higher.
	b = board(t, ladder.Setup{Aids: riggers, RouteLeft: "wedge", RouteRight: "wedge"},
		pass("K02", "", 0, tied), pass("K14", "", 5, tied), pass("K15", "", 2, tied), pass("K19", "", 2, tied))
	for _, w := range []want{{"K02", "", ladder.Open, 1}, {"K14", "", ladder.Waiting, 6}, {"K19", "", ladder.Waiting, 3}} {
		w.check(t, b)
	}
	// A slider cannot fall freely, and yet is got up from: what the fall needs
	// stands in for it.
	b = board(t, ladder.Setup{Aids: slider}, pass("K02", "", 5, slider))
	for _, w := range []want{{"K09", "L", ladder.Impossible, 0}, {"K10", "L", ladder.Open, 0}, {"K14", "", ladder.Open, 0}, {"K06", "", ladder.Open, 0}} {
		w.check(t, b)
	}
	// A stop on word comes by any of three ways; with the spacer two remain.
	spacedUp := []ladder.Pass{pass("K02", "", 1, spaced), pass("K14", "", 4, spaced), pass("K15", "", 2, spaced)}
	b = board(t, ladder.Setup{Aids: spaced}, spacedUp...)
	want{"K21", "", ladder.Waiting, 0}.check(t, b)
	b = board(t, ladder.Setup{Aids: spaced}, append(spacedUp, pass("K18", "", 2, spaced))...)
	want{"K21", "", ladder.Open, 0}.check(t, b)
}

func TestOpenRefuses(t *testing.T) {
	if _, err := ladder.Standing().Open(ladder.Setup{Aids: tied}, []ladder.Pass{pass("K11", "L", 0, tied)}); err == nil {
		t.Error("a sidestep pass with a tie on was taken")
	}
	if _, err := ladder.Standing().Open(ladder.Setup{Aids: tied, RouteLeft: "zigzag"}, nil); err == nil {
		t.Error("an unknown route was taken")
	}
}

// random makes a set-up and passes that may be.
func random(r *rand.Rand) (ladder.Setup, []ladder.Pass) {
	pick := func(list []string) string { return list[r.IntN(len(list))] }
	aids := func() ladder.Aids {
		for {
			if a := (ladder.Aids{Way: pick(ladder.Ways()), Tie: pick(ladder.Ties())}); a.Check() == nil {
				return a
			}
		}
	}
	routes := []string{"", "wedge", "wedge_early_then_wedgeless", "wedge_or_wedgeless", "wedgeless"}
	in := ladder.Setup{Aids: aids(), RouteLeft: pick(routes), RouteRight: pick(routes)}
	l := ladder.Standing()
	var passes []ladder.Pass
	for range r.IntN(60) {
		s := l.Skills()[r.IntN(len(l.Skills()))]
		p := ladder.Pass{Skill: s.ID, Terrain: s.Place.ID, Help: r.IntN(8), Aids: in.Aids}
		if r.IntN(4) == 0 {
			p.Aids = aids()
		}
		sides := s.SidesOf(p.Aids)
		p.Side = sides[r.IntN(len(sides))]
		if _, err := l.AdmitPass(p); err == nil {
			passes = append(passes, p)
		}
	}
	return in, passes
}

// met is a second, plain reading of the rule: what a skill needs is passed,
// where this gear allows it; what it rules out is stood in for by its own
// needs.
func met(b *ladder.Board, s *ladder.Skill, side finding.Side) bool {
	l := ladder.Standing()
	for _, need := range s.Needs {
		possible := []ladder.One{}
		for _, one := range need {
			n, _ := l.Skill(one.Skill)
			e, _ := b.At(one.Skill, n.SidesOf(b.Setup.Aids)[0])
			if e.Possible { // a stop that this gear rules out stops nobody
				possible = append(possible, one)
			}
		}
		ok := false
		for _, one := range need {
			n, _ := l.Skill(one.Skill)
			sides := n.SidesOf(b.Setup.Aids)
			if one.Which == ladder.Same && n.Sides != ladder.NoSides {
				sides = []finding.Side{side}
			}
			count := 0
			for _, at := range sides {
				if e, _ := b.At(n.ID, at); e.Counts() || !e.Possible && len(need) == 1 && met(b, n, at) {
					count++
				}
			}
			if !slices.Contains(possible, one) && len(need) > 1 {
				count = 0
			}
			if one.Which == ladder.Either && count > 0 || count == len(sides) {
				ok = true
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

func TestOracleOpen(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	states := map[ladder.State]int{}
	for range 4000 {
		in, passes := random(r)
		b := board(t, in, passes...)
		for _, e := range b.Entries {
			states[e.State]++
			can := met(b, e.Skill, e.Side)
			switch e.State {
			case ladder.Open:
				if !can {
					t.Fatalf("%s %s is open with %v, needs unmet", e.Skill.ID, e.Side, passes)
				}
			case ladder.Waiting:
				if can && e.Why == "" || can != (len(e.Missing) == 0) {
					t.Fatalf("%s %s waits for %v in %v with %v, and is met: %v", e.Skill.ID, e.Side, e.Missing, in, passes, can)
				}
			case ladder.Impossible:
				if e.Possible || e.Why == "" {
					t.Fatalf("%s is impossible without a reason", e.Skill.ID)
				}
			}
		}
	}
	for _, s := range []ladder.State{ladder.Passed, ladder.Carried, ladder.Open, ladder.Waiting, ladder.Impossible} {
		if states[s] < 1000 {
			t.Errorf("only %d entries were %s", states[s], s)
		}
	}
}

// Swapping left and right in set-up and passes swaps the board.
func TestMirror(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	for range 2000 {
		in, passes := random(r)
		b := board(t, in, passes...)
		for i := range passes {
			passes[i] = passes[i].Mirror()
		}
		m := board(t, in.Mirror(), passes...)
		if len(b.Entries) != len(m.Entries) {
			t.Fatal("the mirrored board has other entries")
		}
		for _, e := range b.Entries {
			o, ok := m.At(e.Skill.ID, e.Side.Other())
			if !ok || o.State != e.State || o.Help != e.Help || o.Start != e.Start || o.Terrain != e.Terrain || len(o.Missing) != len(e.Missing) {
				t.Fatalf("%s %s is %+v, mirrored %+v", e.Skill.ID, e.Side, e, o)
			}
		}
	}
}

// One more pass never closes a skill.
func TestMorePassesNeverClose(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	for range 1000 {
		in, passes := random(r)
		if len(passes) == 0 {
			continue
		}
		all, fewer := board(t, in, passes...), board(t, in, passes[1:]...)
		for _, e := range fewer.Entries {
			if now, _ := all.At(e.Skill.ID, e.Side); (e.State == ladder.Open || e.Counts()) && now.State == ladder.Waiting {
				t.Fatalf("%s was %s and waits after one more pass", e.Skill.ID, e.State)
			}
		}
	}
}

func TestParseRefuses(t *testing.T) {
	text := ladder.StandingText()
	change := func(old, new string) string {
		if !strings.Contains(text, old) {
			t.Fatalf("the ladder has no %q", old)
		}
		return strings.Replace(text, old, new, 1)
	}
	for _, c := range []struct{ text, code string }{
		{text, ""},
		{"", "gap"},
		{strings.Repeat("#", 1<<18+1), "syntax"},
		{"skil K01\n", "syntax"},
		{change("needs K14", "needs K99"), "unknown_id"},
		{change("needs K02\n  pass 10 m flipped", "needs K04 both\n  pass 10 m flipped"), "cycle"},
		{change("needs K29 both", "needs K31"), "cycle"},
		{change("needs K30 both", "needs K30"), "gap"},
		{change("needs K22", "needs K15 both"), "contradiction"},
		{change("only outriggers both_hands", "only outriggers two_skis\n  not_with tie slider"), "contradiction"},
		{change("needs K14", "needs K14 sometimes"), "syntax"},
		{change("only outriggers\n  hands no", "only riggers\n  hands no"), "unknown_id"},
		{change("sides hand", "sides hands"), "unknown_id"},
		{change("seen_on beginner", "seen_on beginner\n  place beginner"), "syntax"},
		{change("place run_out", "place moon"), "unknown_id"},
		{change("skill K02", "skill K01"), "duplicate"},
		{change("level 3", "level 4"), "duplicate"},
		{change("level 3", "level 9"), "syntax"},
		{change("grade 5 to 12 %", "grade 6 to 12 %"), "gap"},
		{change("grade 5 to 12 %", "grade 12 to 5 %"), "syntax"},
		{change("in_a_row = 3", "in_a_row = 9"), "syntax"},
		{change("setting in_a_row", "setting in_a_line"), "gap"},
		{change("basis CP S44", "basis S99"), "unknown_id"},
		{change("  pass Glides 2 m on each foot.\n", ""), "syntax"},
		{change("not_with slider\n  sides fall", "not_with slider\n  only outriggers\n  sides fall"), ""},
		{change("not_with spacer\n  only two_skis\n  place flat", "not_with tie spacer slider\n  only both_hands outriggers\n  place flat"), ""},
	} {
		_, err := ladder.Parse(c.text)
		var all ladder.Problems
		switch {
		case c.code == "" && err != nil:
			t.Errorf("refused: %v", err)
		case c.code != "" && (!errors.As(err, &all) || !slices.ContainsFunc(all, func(p ladder.Problem) bool { return p.Code == c.code })):
			t.Errorf("%q not found: %v", c.code, err)
		}
	}
}

func BenchmarkOpen(b *testing.B) {
	in, passes := random(rand.New(rand.NewPCG(7, 4)))
	for b.Loop() {
		if _, err := ladder.Standing().Open(in, passes); err != nil {
			b.Fatal(err)
		}
	}
}

func Example() {
	l := ladder.Standing()
	tied := ladder.Aids{Way: "outriggers", Tie: "elastic"}
	_, err := l.AdmitPass(ladder.Pass{Skill: "K11", Side: finding.Left, Terrain: "beginner", Help: 1, Aids: tied})
	fmt.Println(err)
	// Output: K11, sidestep up: not with a tie on.
}
