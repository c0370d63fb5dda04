package lesson

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"firnhand/core/effort"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/quantity"
)

var students = flag.Int("students", 10000, "random students planned for")

// broken reads a plan against the rules, each on its own, from the request and
// the ladder alone; "" where none is broken.
func broken(q Request, out *Result) string {
	if out.None != nil {
		if len(out.Blocks) > 0 || out.None.Why == "" {
			return "no plan, and yet blocks, or no reason"
		}
		return ""
	}
	l, s, d := ladder.Standing(), q.Student, q.Day
	rank := func(id string) int { _, r, _ := l.Terrain(id); return r }
	set := func(name string) int { return q.Numbers.of(name) }
	board, err := l.Open(s.Setup, s.Passes)
	if err != nil {
		return err.Error()
	}
	if s.Plan == "PL-H" || s.Plan == "PL-F" || d.People < s.People || d.Cold != nil && d.Cold.Stop {
		return "a plan for somebody who does not ski today"
	}
	works := map[ladder.Missing]bool{}
	for _, e := range board.Entries {
		works[ladder.Missing{Skill: e.Skill.ID, Side: e.Side}] = e.Counts() && e.Possible
	}
	today := map[ladder.Missing]Block{}
	at, stretch, cap, kcal, flat := 0, 0, 0, 0.0, 0
	block := s.BlockMin
	if block == 0 {
		block = set("block_unknown_min")
	}
	if s.Setup.OneSki() {
		block = min(block, set("block_one_ski_min"))
	}
	if s.ShortRuns {
		block = min(block, set("block_short_runs_min"))
	}
	cap = block
	lookAt := 0
	if d.Cold != nil && d.Cold.Timed {
		cap = min(cap, int(d.Cold.First.Minutes()))
	}
	var before *Block
	rested, learned := false, 0
	order := -1000
	for i := range out.Blocks {
		x := out.Blocks[i]
		if x.Start != at || x.Minutes <= 0 || x.Minutes%Step != 0 {
			return fmt.Sprintf("block %d begins at %d, not at %d, for %d", i, x.Start, at, x.Minutes)
		}
		at += x.Minutes
		kcal += x.Kcal
		if x.Role == Rest {
			least := set("rest_min")
			if s.Split {
				least = max(least, set("split_rest_min"))
			}
			if x.Minutes < least || stretch == 0 || i == len(out.Blocks)-1 {
				return "a rest too short, or out of place"
			}
			stretch, cap, rested = 0, block, true
			if d.Cold != nil && d.Cold.Timed {
				cap = min(cap, int(d.Cold.Longest.Minutes()))
				if !slices.Contains(out.Looks, x.Start) || !slices.Contains(out.Looks, at) {
					return "no look at a rest"
				}
				lookAt = at
			}
			continue
		}
		if x.Minutes > 20 {
			return "a block longer than any skill takes"
		}
		if stretch += x.Minutes; stretch > cap {
			return fmt.Sprintf("%d minutes without a rest, at most %d", stretch, cap)
		}
		if d.Cold != nil && d.Cold.Timed && float64(at-lookAt) > max(d.Cold.First, d.Cold.Longest).Minutes() {
			return "too long without a look"
		}
		k := ladder.Missing{Skill: x.Skill.ID, Side: x.Side}
		e, ok := board.At(k.Skill, k.Side)
		if !ok || !e.Possible {
			return fmt.Sprintf("%s is not possible with this set-up: %s", k.Skill, e.Why)
		}
		if err := l.Admit(ladder.Attempt{Skill: k.Skill, Side: k.Side, Terrain: x.Terrain.ID, Help: x.Help, Aids: s.Setup.Aids}); err != nil {
			return err.Error()
		}
		// Gear, legs, person, day.
		wedge := s.Setup.Wedge()
		switch id := k.Skill; {
		case x.Skill.WedgeRoute && wedge != ladder.WedgeYes && wedge != ladder.WedgeFresh,
			x.Skill.WedgeRoute && wedge == ladder.WedgeFresh && rested && x.Role == New,
			s.ShortRuns && (id == "K20" || id == "K33" || id == "K37"),
			(s.NoLift || !d.Chair || d.Hard) && (id == "K34" || id == "K35" || id == "K36" || id == "K37"),
			!d.Carpet && id == "K13":
			return id + " is excluded today"
		}
		// Terrain.
		ground := rank(x.Terrain.ID)
		if ground > 0 && !slices.Contains(d.Terrains, x.Terrain.ID) {
			return "a terrain there is not"
		}
		limit := map[string]int{"flat_only": 0, "under_5pct_runout": 1, "under_5pct_then_8_12pct": 2}[s.FirstTerrain]
		if len(s.Passes) > 0 {
			seen := 1
			for _, p := range s.Passes {
				if p.Aids.Clean() == s.Setup.Clean() {
					seen = max(seen, rank(p.Terrain))
				}
			}
			limit = seen + 1
			if d.Hard {
				limit = max(seen-1, 1)
			}
		}
		if s.EasySlopes {
			limit = min(limit, 2)
			if d.Hard {
				limit = min(limit, 1)
			}
		}
		if ground > limit || ground < rank(x.Skill.Place.ID) && x.Role != WarmUp && x.Role != Close {
			return fmt.Sprintf("%s on terrain %d, at most %d", k.Skill, ground, limit)
		}
		if x.People > d.People || x.Help >= 6 && d.People < 2 || (x.Help == 2 || x.Help == 3) && d.People < 2 || x.Help >= 4 && ground >= 2 && d.People < 2 {
			return "not the people for it"
		}
		// What it needs is passed, or worked through earlier today.
		isNew := x.Role == New
		if isNew {
			if e.Counts() {
				return "new, and passed already"
			}
			for _, need := range x.Skill.Needs {
				if !metToday(board, need, x.Skill, k.Side, today) {
					return fmt.Sprintf("%s %s before what it needs", k.Skill, k.Side)
				}
			}
		}
		// One thing harder at a time.
		if before != nil {
			n := 0
			if isNew {
				n++
			}
			if ground > rank(before.Terrain.ID) {
				n++
			}
			if x.Help < before.Help && !(isNew && x.Skill.NoHands) {
				n++
			}
			if x.Help > before.Help {
				n--
			}
			if n > 1 {
				return fmt.Sprintf("%d things harder at once at %s", n, k.Skill)
			}
		}
		switch x.Role {
		case WarmUp, Close:
			if x.Role == WarmUp && i != 0 || x.Role == Close && i != len(out.Blocks)-1 {
				return "a beginning or an end out of place"
			}
			_, made := today[k]
			least, most := e.Help, rank(e.Terrain)
			if e.State == ladder.Carried { // with fewer aids: one level more, where it is taught
				least, most = e.Start, rank(x.Skill.Place.ID)
			}
			if !(works[k] && x.Help >= least && ground <= most) && !(x.Role == Close && made && (before.Skill != x.Skill || before.Side != x.Side)) {
				return k.Skill + " does not work yet"
			}
		case LessHelp:
			if !works[k] || x.Aim != e.Help-1 || x.Help < e.Help || ground > rank(e.Terrain) {
				return "less help by more than one level, or on other ground"
			}
		case Ground:
			if !works[k] || ground != rank(e.Terrain)+1 || x.Help <= e.Help && x.Help < 7 {
				return "harder ground without more help"
			}
		}
		if x.Role == New || x.Role == LessHelp || x.Role == Ground || x.Role == Again {
			if learned++; x.Start >= (d.Minutes*set("fresh_pct")+99)/100+Step {
				return "something harder, begun tired"
			}
			if isNew && s.HardFirst && rested {
				return "something new after a rest, and fresh is better than tired"
			}
			if _, twice := today[k]; twice {
				return "twice the same"
			}
			if x.Full {
				today[k] = x
			}
		}
		// The hard skill first: in a later lesson nothing new comes after an
		// easier new one that it does not need.
		if isNew && len(s.Passes) > 0 {
			place := slices.IndexFunc(l.Skills(), func(o *ladder.Skill) bool { return o.ID == k.Skill })
			if place > order && order >= 0 && e.State != ladder.Waiting { // what waits today comes when it may
				return fmt.Sprintf("%s after something easier", k.Skill)
			}
			order = place
		}
		if ground == 0 {
			flat += x.Minutes
		}
		before = &out.Blocks[i]
	}
	if len(s.Passes) == 0 {
		if at > set("first_most_min") || flat > set("flat_most_min") {
			return "a first lesson too long, or too long on the flat"
		}
		last := -1
		for _, x := range out.Blocks {
			if x.Role != New {
				continue
			}
			n := slices.Index(out.Plan.Skills, x.Skill.ID)
			if n < 0 || n < last {
				return "not in the order of the first plan"
			}
			last = n
		}
	} else if learned > set("learn_most") {
		return "too many skills"
	}
	n := len(out.Blocks)
	if n == 0 || out.Blocks[n-1].Role != Close {
		return "does not end on something that works"
	}
	if at > d.Minutes || out.Minutes != at {
		return "more minutes than there are"
	}
	if s.Effort != nil && s.Effort.Capacity != nil {
		return overspent(q, out, kcal)
	}
	return ""
}

// overspent reads the budget of effort: all minutes together within the low end
// of what is kept up, and after every stretch the rest that is owed, also after
// the last.
func overspent(q Request, out *Result, kcal float64) string {
	e := q.Student.Effort
	_, low, _, err := effort.Budget(*e.Capacity, e.Mass, quantity.Must(quantity.Minutes(float64(q.Day.Minutes))))
	by, _, err2 := effort.StandardOf(*e.Capacity, e.Mass)
	if err != nil || err2 != nil {
		return "no budget"
	}
	resting := by.Resting.KilocaloriesPerMinute()
	if all := kcal + resting*float64(q.Day.Minutes-out.Minutes); all > low+1e-9 {
		return fmt.Sprintf("%.1f kcal, at most %.1f", all, low)
	}
	minutes, spent := 0, 0.0
	for i := 0; i <= len(out.Blocks); i++ {
		rest := q.Day.Minutes - out.Minutes
		if i < len(out.Blocks) {
			if out.Blocks[i].Role != Rest {
				minutes, spent = minutes+out.Blocks[i].Minutes, spent+out.Blocks[i].Kcal
				continue
			}
			rest = out.Blocks[i].Minutes
		}
		power := quantity.Must(quantity.KilocaloriesPerMinute(spent / float64(minutes)))
		owed, err := effort.Rest(quantity.Must(quantity.Minutes(float64(minutes))), power, by)
		if err != nil || owed.Minutes() > float64(rest)+1e-9 {
			return fmt.Sprintf("a rest of %d minutes, %.1f are owed", rest, owed.Minutes())
		}
		minutes, spent = 0, 0
	}
	return ""
}

// metToday tells whether one need is met by passes or by what was worked
// through today; a plain reading.
func metToday(b *ladder.Board, need ladder.Need, s *ladder.Skill, side finding.Side, today map[ladder.Missing]Block) bool {
	l := ladder.Standing()
	for _, one := range need {
		n, _ := l.Skill(one.Skill)
		sides := n.SidesOf(b.Setup.Aids)
		if one.Which == ladder.Same && n.Sides != ladder.NoSides {
			sides = []finding.Side{side}
		}
		count := 0
		for _, at := range sides {
			e, ok := b.At(n.ID, at)
			_, now := today[ladder.Missing{Skill: n.ID, Side: at}]
			switch {
			case len(need) > 1 && !e.Possible:
			case ok && e.Counts(), now:
				count++
			case !e.Possible && !slices.ContainsFunc(n.Needs, func(deeper ladder.Need) bool { return !metToday(b, deeper, n, at, today) }):
				count++ // stood in for by what it needs itself
			}
		}
		if count == len(sides) || one.Which == ladder.Either && count > 0 {
			return true
		}
	}
	return false
}

// A plan never breaks a prerequisite, an exclusion or a budget.
func TestNeverBroken(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 1))
	plans, blocks, longest, most := 0, 0, time.Duration(0), 0
	none := map[string]int{}
	roles := map[Role]int{}
	for i := range *students {
		q := invented(r)
		from := time.Now()
		out, err := Make(q)
		took := time.Since(from)
		if err != nil {
			t.Fatalf("student %d: %v", i, err)
		}
		if took > longest {
			longest, most = took, out.Nodes
		}
		if why := broken(q, out); why != "" {
			t.Fatalf("student %d: %s\n%+v\n%+v\n%s", i, why, q.Student, q.Day, told(out))
		}
		if out.None != nil {
			none[out.None.Code]++
			continue
		}
		plans++
		for _, x := range out.Blocks {
			roles[x.Role]++
			blocks++
		}
	}
	t.Logf("%d plans, %d blocks, roles %v, none %v; longest %v with %d places", plans, blocks, roles, none, longest, most)
	if plans < *students/3 || len(roles) < 7 {
		t.Errorf("too little was tried: %d plans, roles %v", plans, roles)
	}
}

func told(out *Result) string {
	s := ""
	for _, x := range out.Blocks {
		name := ""
		if x.Skill != nil {
			name = x.Skill.ID + " " + x.Side.String() + " " + x.Terrain.ID
		}
		s += fmt.Sprintf("%3d %2d %-9s %s help %d aim %d after %v\n", x.Start, x.Minutes, x.Role, name, x.Help, x.Aim, x.After)
	}
	return s
}
