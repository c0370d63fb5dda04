package ladder

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"firnhand/core/source"
)

// textMost is the longest ladder read, in bytes.
const textMost = 1 << 18

// block is a head line with its clauses.
type block struct {
	kind, rest string
	line       int
	parts      map[string]string
	at         map[string]int // line of a clause
}

type reader struct {
	l        *Ladder
	problems Problems
	blocks   []block
}

func (r *reader) problem(line int, code, format string, args ...any) {
	r.problems = append(r.problems, Problem{Line: line, Code: code, Sentence: fmt.Sprintf(format, args...)})
}

// Parse reads a ladder and checks it. Every fault found is reported; the error
// is a Problems. See standing.ladder for the form of the text.
func Parse(text string) (*Ladder, error) {
	r := &reader{l: &Ladder{byID: map[string]*Skill{}, levels: make([]Level, MostHelp+1)}}
	if len(text) > textMost {
		return nil, Problems{{Line: 1, Code: "syntax", Sentence: "The ladder is larger than 256 kB."}}
	}
	r.split(text)
	for _, b := range r.blocks {
		switch b.kind {
		case "ladder":
			r.l.Name = b.rest
		case "version":
			r.l.Version = b.rest
		case "setting":
			r.setting(b)
		case "level":
			r.level(b)
		case "terrain":
			r.terrain(b)
		}
	}
	for _, b := range r.blocks {
		if b.kind == "skill" {
			r.skill(b)
		}
	}
	r.lint()
	if len(r.problems) > 0 {
		sort.SliceStable(r.problems, func(i, j int) bool { return r.problems[i].Line < r.problems[j].Line })
		return nil, r.problems
	}
	return r.l, nil
}

// clauses lists the lines a block may have.
var clauses = map[string][]string{
	"ladder": nil, "version": nil,
	"setting": {"means", "basis"},
	"level":   {"name", "means", "hands", "basis"},
	"terrain": {"name", "grade", "basis"},
	"skill":   {"name", "needs", "pass", "not_with", "alone_not_with", "only", "sides", "hands", "place", "seen_on", "basis"},
}

func (r *reader) split(text string) {
	for i, raw := range strings.Split(text, "\n") {
		line, body := i+1, strings.TrimRight(raw, " \t\r")
		trim := strings.TrimSpace(body)
		if trim == "" || strings.HasPrefix(trim, "#") {
			continue
		}
		first, rest, _ := strings.Cut(trim, " ")
		rest = strings.TrimSpace(rest)
		if body == trim {
			if _, ok := clauses[first]; !ok {
				r.problem(line, "syntax", "%q does not start anything; a block starts with ladder, version, setting, level, terrain or skill.", first)
				r.blocks = append(r.blocks, block{kind: "unknown", parts: map[string]string{}, at: map[string]int{}})
				continue
			}
			r.blocks = append(r.blocks, block{first, rest, line, map[string]string{}, map[string]int{}})
			continue
		}
		if len(r.blocks) == 0 {
			r.problem(line, "syntax", "A line of a block stands before the first block.")
			continue
		}
		b := &r.blocks[len(r.blocks)-1]
		switch {
		case b.kind == "unknown": // said already
		case !slices.Contains(clauses[b.kind], first):
			r.problem(line, "syntax", "%q is not a line of a %s.", first, b.kind)
		case b.at[first] > 0:
			r.problem(line, "duplicate", "The line %s stands twice in this %s, first on line %d.", first, b.kind, b.at[first])
		default:
			b.parts[first], b.at[first] = rest, line
		}
	}
}

// basis refuses a block without one.
func (r *reader) basis(b block) []string {
	list := strings.Fields(b.parts["basis"])
	if len(list) == 0 {
		r.problem(b.line, "syntax", "The %s on this line has no basis.", b.kind)
	}
	for _, one := range list {
		if !source.Known(one) {
			r.problem(b.at["basis"], "unknown_id", "%q is not a source of the list, nor CP, M or P.", one)
		}
	}
	return list
}

// must returns a clause that may not be missing.
func (r *reader) must(b block, key string) string {
	v := b.parts[key]
	if v == "" {
		r.problem(b.line, "syntax", "The %s %s needs a line %s.", b.kind, b.rest, key)
	}
	return v
}

func (r *reader) setting(b block) {
	head, span, ok := strings.Cut(b.rest, ",")
	name, value, ok2 := strings.Cut(head, "=")
	low, high, ok3 := strings.Cut(span, " to ")
	s := Setting{Name: strings.TrimSpace(name), Means: r.must(b, "means"), Basis: r.basis(b), line: b.line}
	var errs [3]error
	s.Value, errs[0] = strconv.Atoi(strings.TrimSpace(value))
	s.Min, errs[1] = strconv.Atoi(strings.TrimSpace(low))
	s.Max, errs[2] = strconv.Atoi(strings.TrimSpace(high))
	if !ok || !ok2 || !ok3 || errs != [3]error{} || s.Value < s.Min || s.Value > s.Max {
		r.problem(b.line, "syntax", "Write: setting name = whole number, low to high; the number inside its own range.")
		return
	}
	s.Proposed = slices.Contains(s.Basis, "P")
	for _, old := range r.l.settings {
		if old.Name == s.Name {
			r.problem(b.line, "duplicate", "The setting %s is already on line %d.", s.Name, old.line)
			return
		}
	}
	r.l.settings = append(r.l.settings, s)
}

func (r *reader) level(b block) {
	n, err := strconv.Atoi(b.rest)
	if err != nil || n < LeastHelp || n > MostHelp {
		r.problem(b.line, "syntax", "A level is a whole number from 0 to 7, not %q.", b.rest)
		return
	}
	if old := r.l.levels[n]; old.line > 0 {
		r.problem(b.line, "duplicate", "Level %d is already on line %d.", n, old.line)
		return
	}
	r.l.levels[n] = Level{n, r.must(b, "name"), r.must(b, "means"), r.yes(b, "hands"), r.basis(b), b.line}
}

// yes reads a clause that says yes or no.
func (r *reader) yes(b block, key string) bool {
	v := b.parts[key]
	if v != "yes" && v != "no" {
		r.problem(b.line, "syntax", "The line %s of %s %s says yes or no.", key, b.kind, b.rest)
	}
	return v == "yes"
}

func (r *reader) terrain(b block) {
	f := strings.Fields(b.parts["grade"]) // 5 to 12 %
	t := Terrain{ID: b.rest, Name: r.must(b, "name"), Basis: r.basis(b), line: b.line}
	var low, high error
	if len(f) == 4 && f[1] == "to" && f[3] == "%" {
		t.FromPct, low = strconv.ParseFloat(f[0], 64)
		t.ToPct, high = strconv.ParseFloat(f[2], 64)
	}
	if len(f) != 4 || low != nil || high != nil || !(0 <= t.FromPct && t.FromPct < t.ToPct && t.ToPct <= 100) {
		r.problem(b.line, "syntax", "Terrain %s needs a line: grade low to high %%.", b.rest)
		return
	}
	if _, _, twice := r.l.Terrain(t.ID); twice || t.ID == "" {
		r.problem(b.line, "duplicate", "A terrain needs a name of its own.")
		return
	}
	if n := len(r.l.terrains); n > 0 && r.l.terrains[n-1].ToPct != t.FromPct {
		r.problem(b.line, "gap", "Terrain %s does not begin where %s ends.", t.ID, r.l.terrains[n-1].ID)
	}
	r.l.terrains = append(r.l.terrains, t)
}

func (r *reader) skill(b block) {
	s := &Skill{ID: b.rest, Name: r.must(b, "name"), Pass: r.must(b, "pass"), Basis: r.basis(b), Line: b.line, index: len(r.l.skills)}
	if old, twice := r.l.byID[s.ID]; twice || s.ID == "" {
		line := b.line
		if twice {
			line = old.Line
		}
		r.problem(b.line, "duplicate", "Skill %q needs an id of its own; see line %d.", s.ID, line)
		return
	}
	r.flags(b, "not_with", map[string]*bool{"tie": &s.NotWithTie, "spacer": &s.NotWithSpacer, "slider": &s.NotWithSlider})
	r.flags(b, "alone_not_with", map[string]*bool{"slider": &s.AloneNotWithSlider})
	r.flags(b, "only", map[string]*bool{"outriggers": &s.OnlyOutriggers, "two_skis": &s.OnlyTwoSkis, "both_hands": &s.BothHands})
	if s.NotWithTie && !s.NotWithSpacer {
		r.problem(b.line, "contradiction", "Skill %s cannot be done with a tie but with a spacer, which never goes without a tie.", s.ID)
	}
	if _, ok := b.parts["hands"]; ok {
		s.NoHands = !r.yes(b, "hands")
	}
	s.Sides = SideKind(b.parts["sides"])
	if !slices.Contains([]SideKind{NoSides, Hand, Foot, Direction, Fall, LoadSide}, s.Sides) {
		r.problem(b.at["sides"], "unknown_id", "Sides are hand, foot, direction, fall or load, not %q.", s.Sides)
	}
	place, seen := b.parts["place"], b.parts["seen_on"]
	if (place == "") == (seen == "") {
		r.problem(b.line, "syntax", "Skill %s needs a line place or a line seen_on, one of the two.", s.ID)
	}
	s.SeenOn = seen != ""
	t, _, ok := r.l.Terrain(place + seen)
	if !ok {
		r.problem(b.line, "unknown_id", "Skill %s names a terrain %q that there is not.", s.ID, place+seen)
	}
	s.Place = t
	for part := range strings.SplitSeq(b.parts["needs"], ",") {
		if part = strings.TrimSpace(part); part != "" {
			r.need(b, s, part)
		}
	}
	r.l.skills = append(r.l.skills, s)
	r.l.byID[s.ID] = s
}

func (r *reader) flags(b block, key string, known map[string]*bool) {
	for _, word := range strings.Fields(b.parts[key]) {
		p, ok := known[word]
		if !ok {
			r.problem(b.at[key], "unknown_id", "%q is not known in the line %s.", word, key)
			continue
		}
		*p = true
	}
}

// need reads "K18 or K20 or K25 both".
func (r *reader) need(b block, s *Skill, text string) {
	if text == "wedge route" {
		s.WedgeRoute = true
		return
	}
	var need Need
	for part := range strings.SplitSeq(text, " or ") {
		f := strings.Fields(part)
		one := One{}
		switch {
		case len(f) == 1:
			one = One{f[0], Same}
		case len(f) == 2 && f[1] == "both":
			one = One{f[0], Both}
		case len(f) == 2 && f[1] == "either":
			one = One{f[0], Either}
		default:
			r.problem(b.at["needs"], "syntax", "%q is not a need: write a skill, and both or either where its sides ask for it.", part)
			continue
		}
		need = append(need, one)
	}
	if len(need) > 0 {
		s.Needs = append(s.Needs, need)
	}
}

// lint looks for what cannot be seen by reading one skill.
func (r *reader) lint() {
	for n, level := range r.l.levels {
		if level.line == 0 {
			r.problem(0, "gap", "There is no help level %d.", n)
		}
	}
	for _, name := range []string{"in_a_row", "aid_off_levels", "new_set_up_levels"} {
		if !slices.ContainsFunc(r.l.settings, func(s Setting) bool { return s.Name == name }) {
			r.problem(0, "gap", "The setting %s is missing.", name)
		}
	}
	if len(r.l.skills) == 0 {
		r.problem(0, "gap", "The ladder has no skills.")
	}
	whole := true
	for _, s := range r.l.skills {
		for _, need := range s.Needs {
			for _, one := range need {
				whole = r.lintNeed(s, one) && whole
			}
		}
	}
	if whole && !r.cycles() {
		r.reached()
	}
}

func (r *reader) lintNeed(s *Skill, one One) bool {
	n, ok := r.l.byID[one.Skill]
	if !ok {
		r.problem(s.Line, "unknown_id", "Skill %s needs %s, which there is not.", s.ID, one.Skill)
		return false
	}
	same := n.Sides != NoSides && n.Sides == s.Sides
	switch {
	case n.Sides == NoSides && one.Which != Same:
		r.problem(s.Line, "contradiction", "Skill %s needs both or either side of %s, which has none.", s.ID, n.ID)
	case n.Sides != NoSides && !same && one.Which == Same:
		r.problem(s.Line, "gap", "Skill %s needs %s without saying both or either.", s.ID, n.ID)
	}
	return true
}

// cycles reports skills that need themselves.
func (r *reader) cycles() bool {
	const (
		open = iota + 1
		done
	)
	state := map[string]int{}
	found := false
	var visit func(s *Skill)
	visit = func(s *Skill) {
		state[s.ID] = open
		for _, need := range s.Needs {
			for _, one := range need {
				switch n := r.l.byID[one.Skill]; state[n.ID] {
				case open:
					r.problem(s.Line, "cycle", "Skill %s needs %s, which needs it in turn.", s.ID, n.ID)
					found = true
				case 0:
					visit(n)
				}
			}
		}
		state[s.ID] = done
	}
	for _, s := range r.l.skills {
		if state[s.ID] == 0 {
			visit(s)
		}
	}
	return found
}

// reached reports skills that no set-up ever opens.
func (r *reader) reached() {
	can := map[string]bool{}
	for _, way := range ways {
		for _, tie := range ties {
			s := Setup{Aids{way, tie}, "wedge", "wedge"}
			if s.Check() != nil {
				continue
			}
			for _, skill := range r.l.skills {
				if why := r.l.impossible(skill, s); why == nil {
					can[skill.ID] = true
				}
			}
		}
	}
	for _, s := range r.l.skills {
		if !can[s.ID] {
			r.problem(s.Line, "unreachable", "Skill %s cannot be done in any set-up.", s.ID)
		}
	}
}
