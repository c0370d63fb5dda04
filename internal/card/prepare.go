package card

import (
	"strconv"
	"strings"

	"firnhand/internal/picture"

	"golang.org/x/text/unicode/norm"
)

// inRecord stands where something cannot be shown on the card.
const inRecord = "see record"

// prepared is content ready to be laid out: composed characters, people's own
// words screened, and, for paper, every character in a font.
type prepared struct {
	Content
	Name string // what is printed as the name
	// NameInRecord is set when no font of the card has the name's script and
	// the lesson code stands in its place.
	NameInRecord bool
	// Moved counts the lines that left each block for the record.
	Moved struct{ SetUp, Plan, Handover int }
	qr    picture.Outline // for paper
}

// prepare composes the texts (NFC) and moves people's own words that name a
// condition to the record. With printable set it also replaces words that no
// embedded font can show: paper shows "[see record]" rather than a wrong or
// missing letter. A terminal shows them as they are.
func prepare(c Content, printable bool) prepared {
	fix := func(s string) string {
		s = norm.NFC.String(strings.TrimSpace(s))
		if printable {
			s = onlyCovered(s)
		}
		return s
	}
	own := func(s string) string {
		if DiagnosisIn(s) != "" {
			return inRecord
		}
		return fix(s)
	}
	lines := func(in []Line, f func(string) string) []Line {
		out := make([]Line, len(in))
		for i, l := range in {
			out[i] = Line{fix(l.Label), f(l.Text), l.Second}
		}
		return out
	}
	value := func(v Value) Value {
		v.Words, v.Measure, v.Unit = fix(v.Words), fix(v.Measure), fix(v.Unit)
		return v
	}
	p := prepared{Content: c, Name: norm.NFC.String(strings.TrimSpace(c.FirstName))}
	if printable && !covered(p.Name) {
		p.Name, p.NameInRecord = fix(c.LessonCode), true
	}
	p.LessonCode, p.Slot, p.Goal, p.StopWord = fix(c.LessonCode), fix(c.Slot), own(c.Goal), own(c.StopWord)
	if c.Hold != nil {
		h := Hold{Kind: c.Hold.Kind, Instead: fix(c.Hold.Instead)}
		for _, n := range c.Hold.Needed {
			h.Needed = append(h.Needed, Need{fix(n.What), fix(n.From)})
		}
		p.Hold = &h
	}
	p.Cautions = lines(c.Cautions, fix)
	p.SetUp.Way = fix(c.SetUp.Way)
	p.SetUp.Sided = make([]SidedSetting, len(c.SetUp.Sided))
	for i, r := range c.SetUp.Sided {
		p.SetUp.Sided[i] = SidedSetting{fix(r.Label), value(r.Left), value(r.Right)}
	}
	p.SetUp.Shared = make([]Setting, len(c.SetUp.Shared))
	for i, r := range c.SetUp.Shared {
		p.SetUp.Shared[i] = Setting{fix(r.Label), value(r.Value), r.Second}
	}
	p.Plan.FanLeft, p.Plan.FanRight = value(c.Plan.FanLeft), value(c.Plan.FanRight)
	p.Plan.Block, p.Plan.Rest = value(c.Plan.Block), value(c.Plan.Rest)
	p.Plan.Terrain, p.Plan.Help, p.Plan.Helpers = fix(c.Plan.Terrain), fix(c.Plan.Help), fix(c.Plan.Helpers)
	p.Plan.More = lines(c.Plan.More, fix)
	p.Handover = lines(c.Handover, own)
	p.Contacts = lines(c.Contacts, fix)
	return p
}

// onlyCovered replaces each stretch of words with a character no font has.
func onlyCovered(s string) string {
	if covered(s) {
		return s
	}
	var out []string
	for _, w := range strings.Fields(s) {
		if !covered(w) {
			w = "[" + inRecord + "]"
			if n := len(out); n > 0 && out[n-1] == w {
				continue
			}
		}
		out = append(out, w)
	}
	return strings.Join(out, " ")
}

// movable counts the lines that may leave the card: those of second priority,
// and all that may in the last resort.
func (p prepared) movable() (second, all int) {
	for _, ls := range [][]Line{p.Handover, p.Plan.More} {
		for _, l := range ls {
			second += btoi(l.Second)
			all++
		}
	}
	for _, s := range p.SetUp.Shared {
		second += btoi(s.Second)
		all += btoi(s.Second)
	}
	return second, all + btoi(p.Goal != "")
}

// without returns the content with n lines moved to the record. Those of
// second priority go first, from the end of the handover, then of the plan,
// then of the settings without sides; after them the goal and the rest of
// handover and plan, in the same order.
func (p prepared) without(n int) prepared {
	second := func(l Line) bool { return l.Second }
	any := func(Line) bool { return true }
	n -= move(&p.Handover, n, second, &p.Moved.Handover)
	n -= move(&p.Plan.More, n, second, &p.Moved.Plan)
	n -= move(&p.SetUp.Shared, n, func(s Setting) bool { return s.Second }, &p.Moved.SetUp)
	if n > 0 && p.Goal != "" { // counted with the handover, whose first line it is
		p.Goal = ""
		p.Moved.Handover++
		n--
	}
	n -= move(&p.Handover, n, any, &p.Moved.Handover)
	move(&p.Plan.More, n, any, &p.Moved.Plan)
	return p
}

// move takes up to n items that may go off the end of the list, adds their
// number to the count and returns it. The list given is left as it is.
func move[T any](list *[]T, n int, may func(T) bool, count *int) int {
	var moved int
	*list, moved = cut(*list, n, may)
	*count += moved
	return moved
}

// cut returns the list without its last n items that may go, and how many went.
func cut[T any](in []T, n int, may func(T) bool) ([]T, int) {
	drop := map[int]bool{}
	for i := len(in) - 1; i >= 0 && len(drop) < n; i-- {
		if may(in[i]) {
			drop[i] = true
		}
	}
	if len(drop) == 0 {
		return in, 0
	}
	out := make([]T, 0, len(in)-len(drop))
	for i, x := range in {
		if !drop[i] {
			out = append(out, x)
		}
	}
	return out, len(drop)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// movedWords says how many lines of a block are in the record instead.
func movedWords(n int) string { return strconv.Itoa(n) + " more: " + inRecord }
