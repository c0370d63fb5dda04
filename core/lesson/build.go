package lesson

import (
	"math"
	"slices"

	"firnhand/core/effort"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/quantity"
)

// Role is why a block is in a plan.
type Role string

// The roles.
const (
	WarmUp   Role = "warm_up"       // works already; today's beginning
	New      Role = "new"           // not passed with these aids
	Again    Role = "again"         // passed with fewer aids; repeated with these
	LessHelp Role = "less_help"     // passed; one level less
	Ground   Role = "harder_ground" // passed alone; one terrain on, with one level more
	Close    Role = "close"         // works already, or was clean today; the end
	Rest     Role = "rest"
)

// key names a skill on a side.
type key = ladder.Missing

// option is one way to put an item into a plan.
type option struct {
	terrain int // rank
	help    int
	aim     int // level to be passed
	slots   int
	full    bool // worked through once, so that what needs it may follow
	gain    int  // thousandths, before the chance that what it needs is passed
}

// item is a skill on a side that may be worked on.
type item struct {
	key
	role    Role
	skill   *ladder.Skill
	opts    []option
	ways    [][]uint64 // what it needs of other items: any way of each need
	chance  int        // percent
	noHands bool       // new, and passed with no hand: letting go is the skill
	first   bool       // only before the first rest
	load    int        // of the activity, for the rest it asks for
	repeat  int        // what it gains at the end for each slot; 0 where it is nothing to end on
}

// end is something that works.
type end struct {
	key
	terrain int
	help    int
	gain    int // thousandths for each slot, before chances
	load    int // of the activity
}

// problem is what is searched: numbers only. Time is in slots of Step minutes.
type problem struct {
	slots     int     // on snow
	cap0      int     // before the first rest
	cap1      int     // between later ones
	rest      int     // the shortest
	rests     [][]int // by load and slots since the last rest
	owed      [][]int // the same, only what effort asks for
	lastHard  int     // something harder begins before this slot
	flatMost  int
	flatRank  int
	learnMost int
	closeMost int
	optional  bool
	items     []item // in the order in which they may come
	warm      []end  // empty: none is asked for
	ends      []end
	made      bool // nothing works yet: the end is the first slide of today, or the first drill
}

// left is something that is not in a plan, with the reason known beforehand.
type left struct {
	key
	code, why string
}

// builder makes the problem of a request.
type builder struct {
	Request
	l       *ladder.Ladder
	board   *ladder.Board
	first   bool // first lesson
	plan    Plan
	goal    string
	path    map[string]bool
	heights map[string]int
	p       problem
	left    []left
	most    int   // hardest terrain, rank
	there   []int // ranks of the terrains there are, easiest first
	power   [len(codes)]quantity.Watt
	by      effort.Standard
	nothing string // why effort leaves nothing
}

func (b *builder) n(name string) int { return b.Numbers.of(name) }

// ceil and floor of minutes in slots.
func ceil(minutes int) int  { return (minutes + Step - 1) / Step }
func floor(minutes int) int { return minutes / Step }

// terrains finds where this lesson may go.
func (b *builder) terrains() {
	rank := func(id string) int { _, r, _ := b.l.Terrain(id); return r }
	flat, out, beginner := rank("flat"), rank("run_out"), rank("beginner")
	b.most = map[string]int{"flat_only": flat, "under_5pct_then_8_12pct": beginner}[b.Student.FirstTerrain]
	if b.Student.FirstTerrain == "under_5pct_runout" {
		b.most = out
	}
	if !b.first {
		seen := out
		for _, e := range b.board.Entries {
			if e.Terrain != "" {
				seen = max(seen, rank(e.Terrain))
			}
		}
		b.most = seen + 1
		if b.Day.Hard {
			b.most = max(seen-1, out)
		}
	}
	// Nothing steep: no more than the beginner slope; nothing icy.
	if b.Student.EasySlopes {
		b.most = min(b.most, beginner)
		if b.Day.Hard {
			b.most = min(b.most, out)
		}
	}
	if b.Student.Setup.Tied() || b.Student.ShortRuns { // slower terrain (rule X15)
		b.most = min(b.most, rank("novice"))
	}
	for i, t := range b.l.Terrains() {
		if i <= b.most && (i == flat || slices.Contains(b.Day.Terrains, t.ID)) {
			b.there = append(b.there, i)
		}
	}
	b.p.flatRank = flat
}

// at returns the easiest terrain there is that is at least of a rank.
func (b *builder) at(rank int) (int, bool) {
	for _, t := range b.there {
		if t >= rank {
			return t, true
		}
	}
	return 0, false
}

// people returns how many a block takes.
func (b *builder) people(id string, terrain, help int) int {
	need := b.Student.People
	_, beginner, _ := b.l.Terrain("beginner")
	switch {
	case help >= 6, help == 3, help == 2, help >= 4 && terrain >= beginner:
		need = max(need, 2) // two hold, or one holds and another looks uphill
	}
	if id == "K34" {
		need = max(need, 2)
		if help >= 3 {
			need = max(need, b.Student.People+1)
		}
	}
	return need
}

// kept says why a skill is not for this person or this day.
func (b *builder) kept(id string) (code, why string) {
	s := b.Student
	switch {
	case s.ShortRuns && slices.Contains(noBraking, id):
		return "no_braking", "Hard braking with the legs is kept from a muscle disease (rule G11)."
	case slices.Contains(byLift, id) && s.NoLift:
		return "no_lift", "Could not be lowered from a stopped lift, so no lift today."
	case slices.Contains(byLift, id) && !b.Day.Chair:
		return "no_chair", "There is no chair today."
	case slices.Contains(byLift, id) && b.Day.Hard:
		return "hard_snow", "Ice, slush, crowd or flat light: no lift for practice (rule TR4)."
	case id == "K13" && !b.Day.Carpet:
		return "no_carpet", "There is no carpet today."
	}
	return "", ""
}

// costs fills what each activity costs.
func (b *builder) costs() error {
	e := b.Student.Effort
	if e == nil {
		return nil
	}
	for i, code := range codes {
		r, _, err := effort.Activity(code)
		if err != nil {
			return err
		}
		if e.Multiplier != nil {
			r = e.Multiplier.Apply(r)
		}
		b.power[i] = r.Power(e.Mass).Value()
	}
	active := quantity.Watt(b.n("active_pct")) / 100
	for i := range b.power {
		b.power[i] = active*b.power[i] + (1-active)*b.power[still]
	}
	if e.Capacity == nil {
		return nil
	}
	var outside []string
	var err error
	if b.by, outside, err = effort.StandardOf(*e.Capacity, e.Mass); err != nil {
		return err
	}
	b.p.optional = true
	if len(outside) > 0 {
		b.nothing = outside[0]
	}
	return nil
}

// cost returns the energy of some slots in kcal, and resting that of resting;
// zero without a mass.
func (b *builder) cost(d doing, slots int) float64 {
	if b.Student.Effort == nil {
		return 0
	}
	return b.power[d].KilocaloriesPerMinute() * float64(slots*Step)
}

func (b *builder) resting(slots int) float64 {
	if e := b.Student.Effort; e == nil || e.Capacity == nil {
		return 0
	}
	return b.by.Resting.KilocaloriesPerMinute() * float64(slots*Step)
}

// restOwed is the rest after so many slots of a power, in slots: what Murrell's
// rule asks for, and no less than brings work and rest together to the limit,
// so that a lesson of such pieces stays within its budget.
func (b *builder) restOwed(slots int, power quantity.Watt) (int, error) {
	work := quantity.Must(quantity.Minutes(float64(slots * Step)))
	owed, err := effort.Rest(work, power, b.by)
	if err != nil {
		return 0, err
	}
	if power > b.by.Limit {
		owed = max(owed, work*quantity.Second((power-b.by.Limit)/(b.by.Limit-b.by.Resting)))
	}
	return min(ceil(int(math.Ceil(owed.Minutes()))), floor(MostMinutes)), nil
}

// rests fills how long a rest is after so many slots of each activity. With a
// capacity that was measured it is no shorter than what is owed if all of them
// were as hard as the hardest, and no activity counts as less than a light
// slide.
func (b *builder) rests() error {
	wide := max(b.p.cap0, b.p.cap1) + 1
	b.p.rests, b.p.owed = make([][]int, len(codes)), make([][]int, len(codes))
	for load, d := range byLoad {
		b.p.rests[load], b.p.owed[load] = make([]int, wide), make([]int, wide)
		for slots := range wide {
			if e := b.Student.Effort; e != nil && e.Capacity != nil {
				owed, err := b.restOwed(slots, max(b.power[d], b.power[gliding]))
				if err != nil {
					return err
				}
				b.p.owed[load][slots] = owed
			}
			b.p.rests[load][slots] = max(b.p.rest, b.p.owed[load][slots])
		}
	}
	return nil
}

// chance is that of a skill worked through once.
func (b *builder) chance(k key) int {
	for _, c := range b.Student.Chances {
		if c.Skill == k.Skill && c.Side == k.Side {
			return c.Pct
		}
	}
	return usually[k.Skill].chance
}

// worth is what a skill counts in a role, in thousandths of a step.
func (b *builder) worth(k key, role Role) int {
	base := map[Role]int{New: b.n("worth_path"), Again: b.n("worth_less_help"), LessHelp: b.n("worth_less_help"), Ground: b.n("worth_ground")}[role]
	switch {
	case b.path[k.Skill], b.first && slices.Contains(b.plan.Core, k.Skill):
	case b.first:
		base = b.n("worth_plan")
	default:
		base = base * b.n("beside_pct") / 100
	}
	if role != New { // what was passed long ago brings the goal less near
		base = base * min(b.height(k.Skill), b.height(b.goal)) / b.height(b.goal)
	}
	if k.Side != finding.NoSide && k.Side == b.lead(k) && b.Student.Lagging != finding.NoSide {
		base = base * b.n("lagging_pct") / 100
	}
	return 10 * base
}

// height is how many skills lie below a skill on its longest way down, and
// itself.
func (b *builder) height(id string) int {
	if h, ok := b.heights[id]; ok {
		return h
	}
	s, _ := b.l.Skill(id)
	h := 1
	for _, need := range s.Needs {
		for _, one := range need {
			h = max(h, b.height(one.Skill)+1)
		}
	}
	b.heights[id] = h
	return h
}

// lead returns the side of a skill that comes first: the one that lags. A hand
// or foot belongs to the turn of the other side.
func (b *builder) lead(k key) finding.Side {
	s, _ := b.l.Skill(k.Skill)
	side := b.Student.Lagging
	if side == finding.NoSide {
		side = finding.Left // either; said so in the plan
	}
	if s.Sides == ladder.Hand || s.Sides == ladder.Foot {
		return side.Other()
	}
	return side
}

// onPath marks the skills below the goal.
func (b *builder) onPath(id string) {
	if b.path[id] {
		return
	}
	b.path[id] = true
	s, _ := b.l.Skill(id)
	for _, need := range s.Needs {
		for _, one := range need {
			b.onPath(one.Skill)
		}
	}
}

// start is the help level of a new skill.
func (b *builder) start(e ladder.Entry) int {
	s := b.Student
	start := b.n("start_light")
	switch aided := s.Setup.Way != "none"; {
	case e.Start >= 0:
		start = e.Start
	case e.Skill.ID == "K14" && aided:
		start = b.n("start_hold")
	case e.Skill.ID == "K14": // a light hold
	case e.Skill.NoHands && s.Reins && e.Skill.Place.FromPct > 0:
		start = b.n("start_reins")
	case e.Skill.NoHands || !aided:
		start = b.n("start_free")
	case s.Reins && e.Skill.Place.FromPct > 0:
		start = b.n("start_reins")
	}
	return max(start, e.LeastHelp)
}

// options fills the ways to put an item into a plan; code says why there are
// none.
func (b *builder) options(it *item, e ladder.Entry) (code, why string) {
	u := usually[it.Skill]
	worth := b.worth(it.key, it.role)
	_, place, _ := b.l.Terrain(it.skill.Place.ID)
	type level struct{ terrain, help, aim, pct int }
	var levels []level
	terrain, ok := b.at(place)
	none := func() (string, string) {
		return "terrain", "It wants " + it.skill.Place.Name + ", which today's lesson does not have."
	}
	switch it.role {
	case New, Again:
		if !ok {
			return none()
		}
		pct := 100
		for help := b.start(e); help <= min(b.start(e)+2, ladder.MostHelp); help++ {
			levels = append(levels, level{terrain, help, help, pct})
			pct = pct * b.n("more_help_pct") / 100
		}
	case LessHelp:
		_, seen, _ := b.l.Terrain(e.Terrain)
		if !slices.Contains(b.there, seen) {
			if terrain, ok = b.at(place); !ok || terrain > seen {
				return none()
			}
		} else {
			terrain = seen
		}
		// The day begins one level above the last.
		levels = append(levels, level{terrain, min(e.Help+1, ladder.MostHelp), e.Help - 1, 100})
	case Ground:
		_, seen, _ := b.l.Terrain(e.Terrain)
		if !slices.Contains(b.there, seen+1) {
			return none()
		}
		levels = append(levels, level{seen + 1, min(e.Help+1, ladder.MostHelp), min(e.Help+1, ladder.MostHelp), 100})
	}
	full := ceil(u.minutes)
	most := max(b.p.cap0, b.p.cap1)
	if it.first {
		most = b.p.cap0
	}
	// Where blocks are short, once through is less likely to be enough.
	it.chance = it.chance * min(full, most) / full
	for _, v := range levels {
		if b.people(it.Skill, v.terrain, v.help) > b.Day.People {
			continue
		}
		for slots := min(full, most); slots >= min((full+1)/2, most); slots-- {
			o := option{terrain: v.terrain, help: v.help, aim: v.aim, slots: slots, full: slots == min(full, most),
				gain: worth * v.pct / 100 * slots / full}
			it.opts = append(it.opts, o)
		}
	}
	if len(it.opts) == 0 {
		return "people", "There are not the people for it today: whoever holds cannot look uphill as well."
	}
	return "", ""
}

// candidates makes the items: what a first lesson lists, or all of the ladder
// that is not done.
func (b *builder) candidates() []item {
	var list []item
	for _, e := range b.board.Entries {
		k := key{Skill: e.Skill.ID, Side: e.Side}
		u := usually[k.Skill]
		it := item{key: k, skill: e.Skill, chance: b.chance(k), load: u.does.load()}
		if u.works {
			it.repeat = 1000
		}
		listed := !b.first || slices.Contains(b.plan.Skills, k.Skill)
		note := func(code, why string) {
			if listed && (b.first || b.path[k.Skill] || e.State == ladder.Open) {
				b.left = append(b.left, left{k, code, why})
			}
		}
		switch {
		case e.State == ladder.Passed && !e.Possible, e.State == ladder.Carried && !e.Possible:
			continue
		case !e.Possible:
			note("not_possible", e.Why)
			continue
		case e.State == ladder.Passed && e.Help > e.LeastHelp:
			it.role = LessHelp
		case e.State == ladder.Passed:
			it.role = Ground
			if e.Help > 1 {
				continue
			}
		case e.State == ladder.Carried:
			it.role = Again
		default:
			it.role = New
			it.noHands = e.Skill.NoHands
		}
		if !listed {
			continue
		}
		if code, why := b.kept(k.Skill); code != "" {
			note(code, why)
			continue
		}
		if e.State == ladder.Waiting && len(e.Missing) == 0 {
			note("not_decided", e.Why)
			continue
		}
		it.first = e.FreshOnly || b.Student.HardFirst && it.role == New
		if code, why := b.options(&it, e); code != "" {
			if it.role != Ground {
				note(code, why)
			}
			continue
		}
		list = append(list, it)
	}
	return list
}

// reachable drops the items whose needs no plan could meet, and fills the ways
// of the others.
func (b *builder) reachable(list []item) []item {
	wants := make([][][][]ladder.Missing, len(list))
	for i, it := range list {
		if it.role == New {
			wants[i] = b.l.Wants(b.board, it.Skill, it.Side)
		}
	}
	in := map[key]bool{}
	for again := true; again; { // what is reached by what is reached
		again = false
		for i, it := range list {
			if in[it.key] {
				continue
			}
			ok := !slices.ContainsFunc(wants[i], func(ways [][]ladder.Missing) bool {
				return !slices.ContainsFunc(ways, func(way []ladder.Missing) bool {
					return !slices.ContainsFunc(way, func(m ladder.Missing) bool { return !in[m] })
				})
			})
			if ok {
				in[it.key], again = true, true
			}
		}
	}
	var keep []item
	for i, it := range list {
		if !in[it.key] {
			e, _ := b.board.At(it.Skill, it.Side)
			b.left = append(b.left, left{it.key, "waits", "It waits for " + b.names(e.Missing) + ", which cannot be passed today."})
			continue
		}
		keep = append(keep, it)
		wants[len(keep)-1] = wants[i]
	}
	return b.ordered(keep, wants[:len(keep)])
}

// names lists skills: "K22 left, K25 right".
func (b *builder) names(ms []ladder.Missing) string {
	out := ""
	for i, m := range ms {
		if i > 0 {
			out += ", "
		}
		out += m.Skill
		if w := m.Side.Word(); w != "" {
			out += " " + w
		}
	}
	return out
}

// ordered puts the items in the order in which they may come: that of the
// first plan, or the hardest new one first and after what it needs, then those
// that are known. Within a pair the side that lags comes first.
func (b *builder) ordered(list []item, wants [][][][]ladder.Missing) []item {
	n := len(list)
	at := map[key]int{}
	for i, it := range list {
		at[it.key] = i
	}
	below := make([][]int, n) // items that come before, whichever way is taken
	for i := range list {
		for _, ways := range wants[i] {
			for _, way := range ways {
				for _, m := range way {
					if j, ok := at[m]; ok && !slices.Contains(below[i], j) {
						below[i] = append(below[i], j)
					}
				}
			}
		}
	}
	index := func(i int) int {
		if b.first {
			return -slices.Index(b.plan.Skills, list[i].Skill)
		}
		place := list[i].skill.Index()
		switch list[i].role {
		case Again: // with other gear again from the bottom up
			return 1000 - place
		case New:
			return place
		}
		return place - 1000
	}
	placed := make([]int, n) // new place; -1 while not placed
	for i := range placed {
		placed[i] = -1
	}
	var order []int
	for len(order) < n {
		best := -1
		for i := range list {
			if placed[i] >= 0 || slices.ContainsFunc(below[i], func(j int) bool { return placed[j] < 0 }) {
				continue
			}
			switch {
			case best < 0 || index(i) > index(best):
				best = i
			case index(i) == index(best) && list[i].Side == b.lead(list[i].key):
				best = i
			}
		}
		placed[best] = len(order)
		order = append(order, best)
	}
	out := make([]item, n)
	for i, it := range list {
		for _, ways := range wants[i] {
			var masks []uint64
			for _, way := range ways {
				mask, whole := uint64(0), true
				for _, m := range way {
					j, ok := at[m]
					if !ok {
						whole = false
						break
					}
					mask |= 1 << placed[j]
				}
				if whole {
					masks = append(masks, mask)
				}
			}
			slices.Sort(masks) // the same whichever side is left
			it.ways = append(it.ways, masks)
		}
		out[placed[i]] = it
	}
	if b.first {
		b.core(out)
	}
	return out
}

// core makes each skill of a first plan's core wait for those before it, such
// as a brake before steering. A wedge that is only there while fresh is not
// waited for.
func (b *builder) core(list []item) {
	for i := range list {
		place := slices.Index(b.plan.Core, list[i].Skill)
		mask := uint64(0)
		for j := range list[:i] {
			if before := slices.Index(b.plan.Core, list[j].Skill); before >= 0 && before < place && !list[j].first {
				mask |= 1 << j
			}
		}
		if mask != 0 {
			list[i].ways = append(list[i].ways, []uint64{mask})
		}
	}
}

// works fills what the lesson may begin and end on.
func (b *builder) works() {
	var all []end
	slides, passed := false, false
	for i, s := range b.l.Skills() {
		for _, side := range []finding.Side{b.lead(key{Skill: s.ID}), b.lead(key{Skill: s.ID}).Other()} {
			k := key{Skill: s.ID, Side: side}
			if s.Sides == ladder.NoSides {
				k.Side = finding.NoSide
				if side != b.lead(k) {
					continue
				}
			}
			e, ok := b.board.At(k.Skill, k.Side)
			if code, _ := b.kept(k.Skill); !ok || !e.Counts() || !e.Possible || !usually[k.Skill].works || code != "" {
				continue
			}
			_, place, _ := b.l.Terrain(s.Place.ID)
			_, seen, _ := b.l.Terrain(e.Terrain)
			if e.State == ladder.Carried { // with fewer aids, and with more help
				seen, e.Help = place, e.Start
			} else {
				passed = true
			}
			terrain, ok := b.at(place)
			if !ok || terrain > seen {
				continue
			}
			for _, t := range b.there {
				if t <= seen {
					terrain = t // the hardest it was passed on
				}
			}
			for help := e.Help; help <= min(e.Help+1, ladder.MostHelp); help++ {
				if b.people(k.Skill, terrain, help) > b.Day.People {
					continue
				}
				u := usually[k.Skill]
				w := end{key: k, terrain: terrain, help: help, gain: 1000 + 10*i, load: u.does.load()}
				all = append(all, w)
				slides = slides || terrain > b.p.flatRank
			}
		}
	}
	if slides { // end on a slide, not on a drill on the flat
		all = slices.DeleteFunc(all, func(w end) bool { return w.terrain == b.p.flatRank })
	}
	b.p.ends = all
	for _, w := range all { // the day begins one level above the last
		if e, _ := b.board.At(w.Skill, w.Side); e.State == ladder.Passed && w.help == min(e.Help+1, ladder.MostHelp) {
			b.p.warm = append(b.p.warm, w)
		}
	}
	// With aids nothing was passed with yet, begin with the straight slide.
	for _, id := range []string{"K15", "K14", "K02"} {
		for _, w := range all {
			if !passed && len(b.p.warm) == 0 && w.Skill == id {
				b.p.warm = append(b.p.warm, w)
			}
		}
	}
	b.p.made = len(all) == 0
}
