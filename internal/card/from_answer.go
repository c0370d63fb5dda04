package card

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/picture"
)

// Lesson is what a card is made from: an answer, the findings it was made
// from, and what the answer cannot know. Where it comes from (a file, the
// records of a programme) makes no difference to the card.
type Lesson struct {
	FirstName  string
	LessonCode string
	Day        time.Time
	Slot       string // time of the lesson; may be empty

	Answer   *decide.Answer
	Findings finding.Set // goal, cue and stop word are read from here

	// What is known from elsewhere; all of it may be empty. A setting stands in
	// the place of the answer's own with the same label.
	Sided    []SidedSetting // gear with sides, such as the outrigger handle
	Shared   []Setting      // gear without sides, such as the skis
	Hill     *Hill          // slope, lift and cold of the day; nil without
	Rest     Value
	Help     string // help level to start with
	Minutes  string // what begins at which minute on snow, instead of the order of a first lesson
	Handover []Line // what the last instructor wrote
	Contacts []Line
	Trace    Trace
}

// The most lines of a block that FromAnswer fills.
const (
	mostCautions = 9
	mostMore     = 7
	mostSided    = 7
	mostNeeds    = 5
	mostText     = 100
	mostLabel    = 16
)

// FromAnswer chooses what the card says. It writes actions, never what
// somebody has; it puts stop rules first, then what is not done today, then
// what to take care of and look at again. What the answer leaves open stands
// on the card as something to decide, never as a guess; a gate that is not
// settled is a hold. Cautions that find no room are counted in a last line
// that points to the record. The error is an *Error.
func FromAnswer(l Lesson) (Content, error) {
	if l.Answer == nil {
		return Content{}, &Error{"missing", "answer", "A card is made from an answer; there is none."}
	}
	m := maker{l: l, a: l.Answer}
	c := Content{
		FirstName: l.FirstName, LessonCode: l.LessonCode, Day: l.Day, Slot: l.Slot,
		Goal: shorten(m.own("goal"), 60), Hold: m.hold(), StopWord: m.own("stop_word"),
		Contacts: l.Contacts, Trace: l.Trace,
	}
	c.SetUp = m.setUp(c.Hold)
	c.Plan = m.plan(c.Hold)
	c.Handover = m.handover()
	return m.fit(c)
}

// roomyPt is the type size of actions below which cautions give way.
const roomyPt = 12.5

// fewestCautions is how far the list is shortened for the sake of the type
// size and the rest of the card; what hurts if done stays in any case.
const fewestCautions = 6

// fit puts in as many cautions as leave the card easy to read and move nothing
// else to the record.
func (m maker) fit(c Content) (Content, error) {
	all, must := m.cautions(c.Hold)
	most := min(len(all), mostCautions)
	fewest := min(most, max(fewestCautions, must+1)) // the last line counts what is in the record
	var first, best Content
	var firstErr error
	drawn := false
	for n := most; n >= min(most, 3); n-- {
		c.Cautions = firstOf(all, n)
		_, report, err := layout(c)
		var refused *Error
		if err != nil && (!errors.As(err, &refused) || refused.Code != "card_full") {
			return c, err
		}
		if n == most {
			first, firstErr = c, err
		}
		if err != nil {
			continue
		}
		best, drawn = c, true
		if n <= fewest || (report.ActionPt >= roomyPt && report.Moved == 0) {
			return c, nil
		}
	}
	if !drawn {
		return first, firstErr
	}
	return best, nil
}

// firstOf keeps n lines; the last of them then says how many are in the
// record.
func firstOf(all []Line, n int) []Line {
	if n >= len(all) {
		return all
	}
	if n < 1 {
		return nil
	}
	out := slices.Clone(all[:n-1])
	return append(out, Line{Label: "More", Text: movedWords(len(all) - n + 1)})
}

// maker makes one card.
type maker struct {
	l Lesson
	a *decide.Answer
}

// own returns the student's own words for a finding.
func (m maker) own(id string) string {
	v := m.l.Findings.Get(id, finding.NoSide, finding.Fresh)
	if v.Kind != finding.Known {
		return ""
	}
	return strings.Join(strings.Fields(strings.ReplaceAll(v.Text, "_", " ")), " ")
}

// Shorten cuts words that are no caution to at most most characters, at a
// space, and marks the cut.
func Shorten(s string, most int) string { return shorten(strings.Join(strings.Fields(s), " "), most) }

func shorten(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	r := []rune(s)[:most-1]
	if i := strings.LastIndex(string(r), " "); i > 0 {
		return strings.TrimRight(string(r)[:i], ",;: ") + "…"
	}
	return string(r) + "…"
}

// is tells whether an axis is decided with that value.
func (m maker) is(axis string, values ...string) bool {
	return slices.ContainsFunc(values, func(v string) bool { return m.a.Is(axis, v) })
}

// open tells whether an axis is not decided yet.
func (m maker) open(axis string) bool {
	x, ok := m.a.Axis(axis)
	return ok && x.Open
}

// has tells whether the answer carries a note.
func (m maker) has(code string) bool {
	return slices.ContainsFunc(m.a.Notes, func(n decide.NoteAnswer) bool { return n.Code == code })
}

// hold turns the gate axis into the card's first block.
func (m maker) hold() *Hold {
	gate, ok := m.a.Axis("gate")
	if !ok {
		return nil
	}
	if gate.Open {
		return m.unsettled(gate)
	}
	h := Hold{Kind: NoSkiing, Instead: "Meet, tour, evaluation only"}
	switch gate.Value {
	case "refuse", "hold":
	case "re_evaluate":
		h.Instead = "Evaluate again; no snow before that"
	case "hold_standing":
		h.Kind = NoStanding
		switch plan, _ := m.a.Axis("plan"); {
		case plan == nil || plan.Open:
			h.Instead = "Sitting if it does not hurt; else meet, tour, evaluation only"
		case plan.Value == "PL-F":
			h.Instead = "Sitting, with the sitting lead"
		}
	default:
		return nil
	}
	for _, g := range m.a.Gates {
		if !g.Open && !g.Cleared && !slices.Contains([]string{"none_with_rules", "none"}, g.Effect) {
			h.Needed = append(h.Needed, needOf(g))
		}
	}
	h.Needed = someNeeds(h.Needed)
	return &h
}

func someNeeds(all []Need) []Need {
	if len(all) <= mostNeeds {
		return all
	}
	out := slices.Clone(all[:mostNeeds-1])
	return append(out, Need{movedWords(len(all) - mostNeeds + 1), "programme lead"})
}

// unsettled is the hold of a gate that questions not asked yet leave open.
func (m maker) unsettled(gate *decide.AxisAnswer) *Hold {
	strict := slices.ContainsFunc(gate.Possible, func(v decide.Value) bool {
		return v.ID != "none" && v.ID != "none_with_rules"
	})
	if !strict {
		return nil
	}
	return &Hold{Kind: NoSkiing, Needed: []Need{{m.questions(gate), "student, family or record"}},
		Instead: "Meet and evaluate; no snow before this is settled"}
}

// questions says what has to be asked before a gate is settled: by name where
// that is short and names no condition, else how many questions are open.
func (m maker) questions(gate *decide.AxisAnswer) string {
	var ask []string
	short := true
	for _, r := range gate.WaitsFor {
		label := lower(r.Label)
		short = short && DiagnosisIn(r.Label) == ""
		if !slices.Contains(ask, label) {
			ask = append(ask, label)
		}
	}
	text := "Ask first: " + strings.Join(ask, ", ")
	if len(ask) == 0 || !short || utf8.RuneCountInString(text) > 90 {
		text = fmt.Sprintf("Ask the %d questions of intake and morning that are open", len(ask))
	}
	return text
}

// needs are what ends a hold, by gate, where the gate's own words are too long
// for the card or name a condition.
var needs = map[string]Need{
	"G1":   {"Neck examination that says fit for this sport, in writing", "physician"},
	"G9":   {"Emergency plan in writing, on the lesson card", "physician"},
	"G10S": {"Sugar back in range, by the student's own plan", "the student's plan; physician"},
	"G14":  {"A helmet that can be worn, and breathing without a device", "nobody here can waive it"},
	"G16":  {"A valid waiver of this season", "the student or a guardian"},
}

// needOf says what ends a hold and who gives it.
func needOf(g decide.GateAnswer) Need {
	if n, ok := needs[g.ID]; ok {
		return n
	}
	from, rest, _ := strings.Cut(g.Clears, ",")
	from, _, _ = strings.Cut(from, ";")
	from = shorten(strings.TrimSpace(from), 40)
	if from == "" || DiagnosisIn(from) != "" {
		from = "programme lead"
	}
	n := Need{"Written release", from}
	if g.Effect == "re_evaluate" {
		n.What = "A new evaluation"
	} else if rest = strings.TrimSpace(rest); rest != "" && DiagnosisIn(rest) == "" {
		n.What = shorten("Written release, "+rest, 90)
	}
	return n
}

// Words for settings, short enough for the card's columns. A value that is not
// listed is shown by its own label.
var (
	tieWords   = map[string]string{"none": "none", "carry_elastic": "carry elastic", "elastic": "elastic", "rigid": "rigid, hinged", "rigid_spacer": "rigid, hinged"}
	reinWords  = map[string]string{"none": "none", "none_at_start": "none at start", "tip_reins": "tip reins", "hip_harness": "hip harness", "frame": "frame, low rear rings"}
	routeWords = map[string]string{"wedge": "wedge", "wedge_early_then_wedgeless": "wedge, later wedgeless", "wedge_or_wedgeless": "wedge or wedgeless", "wedgeless": "wedgeless"}
	braceWords = map[string]string{"none": "none", "out": "out", "in": "in", "in_or_sit": "in, or sit", "unlock_or_sit": "never locked; or sit"}
	bootWords  = map[string]string{"usual": "usual", "soft_upright": "upright, soft", "wide_or_rear_entry": "rear entry or wide"}
	cantWords  = map[string]string{"none": "none", "shim_inside": "shim, thick side inside", "shim_outside": "shim, thick side outside", "try": "try both ways"}
)

// undecided stands where an answer is open.
var undecided = Value{Words: "decide at the test"}

// word returns the answer of an axis as a setting, and whether it is one that
// the card must show.
func (m maker) word(axis string, say map[string]string, plain ...string) (v Value, matters bool) {
	x, ok := m.a.Axis(axis)
	switch {
	case !ok || !x.Open && x.Value == "not_used":
		return Value{Words: "none"}, false
	case x.Open:
		return undecided, true
	}
	text := say[x.Value]
	if text == "" {
		text = shorten(x.Label, 28)
	}
	return Value{Words: text}, !slices.Contains(plain, x.Value)
}

// sided returns a setting for both sides, and whether either side matters.
func (m maker) sided(label, axis string, say map[string]string, plain ...string) (SidedSetting, bool) {
	l, a := m.word(axis+"_left", say, plain...)
	r, b := m.word(axis+"_right", say, plain...)
	return SidedSetting{label, l, r}, a || b
}

func (m maker) setUp(hold *Hold) SetUp {
	if hold != nil {
		if hold.Kind == NoStanding && m.is("plan", "PL-F") {
			return SetUp{Way: "Sitting, hand over to the sitting lead"}
		}
		return SetUp{}
	}
	s := SetUp{Way: "Open: decide at the evaluation"}
	if way, ok := m.a.Axis("way"); ok && !way.Open {
		s.Way = shorten(upper(way.Label), 70)
	}
	if m.is("way", "sitting") {
		s.Way = "Sitting, hand over to the sitting lead"
		return s
	}
	s.Sided = m.sidedSettings()
	s.Shared = m.sharedSettings()
	s.Figure = m.figure()
	return s
}

func (m maker) sidedSettings() []SidedSetting {
	out := slices.Clone(m.l.Sided)
	add := func(s SidedSetting, matters bool) {
		known := slices.ContainsFunc(out, func(o SidedSetting) bool { return o.Label == s.Label })
		if matters && !known && len(out) < mostSided {
			out = append(out, s)
		}
	}
	add(m.handle())
	add(m.sided("Turns", "route", routeWords))
	add(m.heel())
	add(m.length("Lift in the boot", m.a.Numbers.LengthInBootMM, nil))
	add(m.length("Plate under boot", m.a.Numbers.LengthPlateDayMM, &m.a.Numbers.LengthPlateMM))
	add(m.sided("Brace", "braces", braceWords, "none"))
	if !m.open("boot_left") && !m.open("boot_right") { // open only while the heel or the brace is
		add(m.sided("Boot", "boot", bootWords, "usual"))
	}
	add(m.sided("Cant", "cant", cantWords, "none"))
	add(m.sided("Forearm trough", "trough", map[string]string{"yes": "yes", "no": "none"}, "no"))
	return out
}

// handle asks for the length of what the hands hold where nobody measured it.
func (m maker) handle() (SidedSetting, bool) {
	none, measure := Value{Words: "none"}, Value{Measure: "wrist crease to snow, in boots on skis", Unit: "cm"}
	switch {
	case m.is("way", "outriggers", "one_ski_left", "one_ski_right"):
		return SidedSetting{"Outrigger handle", measure, measure}, true
	case m.is("way", "one_outrigger_left"):
		return SidedSetting{"Outrigger handle", measure, none}, true
	case m.is("way", "one_outrigger_right"):
		return SidedSetting{"Outrigger handle", none, measure}, true
	case m.is("way", "slider"):
		return SidedSetting{"Slider handle", measure, measure}, true
	}
	return SidedSetting{}, false
}

func (m maker) heel() (SidedSetting, bool) {
	one := func(axis string, r *decide.Range) (Value, bool) {
		x, ok := m.a.Axis(axis)
		switch {
		case !ok || !x.Open && (x.Value == "none" || x.Value == "not_used"):
			return Value{Words: "none"}, false
		case x.Open:
			return Value{Measure: "ankle bend first", Unit: "mm"}, true
		case x.Value == "try" || r == nil:
			return Value{Words: "try in 3 mm steps"}, true
		}
		return Value{Number: whole(r.Value), Unit: "mm", Low: whole(r.Low), High: whole(r.High)}, true
	}
	l, a := one("heel_left", m.a.Numbers.HeelLiftMM.Left)
	r, b := one("heel_right", m.a.Numbers.HeelLiftMM.Right)
	return SidedSetting{"Heel lift", l, r}, a || b
}

// length shows a height for each side; up to gives the height in the end.
func (m maker) length(label string, now decide.Pair[*float64], end *decide.Pair[*float64]) (SidedSetting, bool) {
	one := func(axis string, n, most *float64) (Value, bool) {
		x, ok := m.a.Axis(axis)
		switch {
		case ok && x.Open:
			return undecided, true
		case !ok || n == nil || *n == 0 && (most == nil || *most == 0):
			return Value{Words: "none"}, false
		}
		v := Value{Number: whole(*n), Unit: "mm"}
		if most != nil && *most > *n {
			v.Low, v.High = whole(*n), whole(*most)
		}
		return v, true
	}
	var endL, endR *float64
	if end != nil {
		endL, endR = end.Left, end.Right
	}
	l, a := one("length_left", now.Left, endL)
	r, b := one("length_right", now.Right, endR)
	return SidedSetting{label, l, r}, a || b
}

func whole(x float64) string { return finding.FormatNumber(float64(int(x*10+0.5)) / 10) }

func (m maker) sharedSettings() []Setting {
	var out []Setting
	placed := map[string]bool{}
	add := func(s Setting) {
		if i := slices.IndexFunc(m.l.Shared, func(o Setting) bool { return o.Label == s.Label }); i >= 0 {
			s = m.l.Shared[i]
		}
		placed[s.Label] = true
		out = append(out, s)
	}
	tie, _ := m.word("tie", tieWords)
	add(Setting{Label: "Tip tie", Value: tie})
	if n := m.a.Numbers.SpacerMM; n != nil {
		add(Setting{Label: "Spacer, never wider", Value: Value{Number: whole(n.Value), Unit: "mm", Low: whole(n.Low), High: whole(n.High)}})
	} else if m.is("tie", "rigid_spacer") {
		add(Setting{Label: "Spacer, never wider", Value: Value{Measure: "gap between the boots, relaxed", Unit: "mm"}})
	}
	if m.is("way", "slider") {
		add(Setting{Label: "Slider inner width", Value: Value{Measure: "hips, and 3 to 5 cm clear on each side", Unit: "cm"}})
	}
	reins, _ := m.word("reins", reinWords)
	add(Setting{Label: "Reins", Value: reins})
	for _, s := range m.l.Shared {
		if !placed[s.Label] && len(out) < mostCautions {
			out = append(out, s)
		}
	}
	return out
}

// figure draws the student from above; nothing is drawn while the way is open.
func (m maker) figure() *picture.Above {
	way, ok := m.a.Axis("way")
	if !ok || way.Open {
		return nil
	}
	f := &picture.Above{}
	switch way.Value {
	case "outriggers":
		f.Support = picture.BothOutriggers
	case "one_outrigger_left":
		f.Support = picture.LeftOutrigger
	case "one_outrigger_right":
		f.Support = picture.RightOutrigger
	case "slider":
		f.Support = picture.Slider
	case "one_ski_left":
		f.Skis, f.Support = picture.LeftSkiOnly, picture.BothOutriggers
	case "one_ski_right":
		f.Skis, f.Support = picture.RightSkiOnly, picture.BothOutriggers
	}
	f.TroughL, f.TroughR = m.is("trough_left", "yes"), m.is("trough_right", "yes")
	switch {
	case m.is("tie", "elastic"):
		f.Tie = picture.ElasticTie
	case m.is("tie", "rigid", "rigid_spacer"):
		f.Tie = picture.RigidTie
	}
	f.Spacer = m.is("tie", "rigid_spacer")
	switch {
	case m.is("reins", "tip_reins"):
		f.Reins = picture.TipReins
	case m.is("reins", "hip_harness"):
		f.Reins = picture.HipReins
	case m.is("reins", "frame"):
		f.Reins = picture.FrameReins
	}
	f.LiftL, f.LiftR = m.lift("left"), m.lift("right")
	f.People = m.people()
	return f
}

func (m maker) lift(side string) string {
	switch {
	case m.is("length_"+side, "plate"):
		return "plate"
	case m.is("length_"+side, "in_boot"):
		return "lift"
	case m.is("heel_"+side, "lift"):
		return "heel lift"
	}
	return ""
}

// people places the lead and the helpers: the lead where the reins or the
// first holds want them, a helper where the answer asks for one.
func (m maker) people() []picture.Person {
	n := m.count()
	lead := picture.Ahead
	if m.is("reins", "frame", "hip_harness", "tip_reins") {
		lead = picture.Behind
	}
	out := []picture.Person{{Place: lead, Label: "lead"}}
	side := picture.AtRight
	if m.is("helper_side", "left") {
		side = picture.AtLeft
	}
	free := []picture.Place{picture.Behind, side}
	if m.is("helper_side", "left", "right") {
		free = []picture.Place{side, picture.Behind}
	}
	if lead == picture.Behind {
		free = []picture.Place{picture.Ahead, side}
		if m.is("helper_side", "left", "right") {
			free = []picture.Place{side, picture.Ahead}
		}
	}
	free = append(free, otherSide(side))
	for i := range min(n-1, len(free)) {
		label := "helper"
		if i == 0 && m.is("guide", "yes") {
			label = "guide"
		}
		out = append(out, picture.Person{Place: free[i], Label: label})
	}
	return out
}

func otherSide(p picture.Place) picture.Place {
	if p == picture.AtLeft {
		return picture.AtRight
	}
	return picture.AtLeft
}

// count returns how many people are with the student, lead included; 1 while
// that is open.
func (m maker) count() int {
	x, ok := m.a.Axis("people")
	n := 0
	if ok && !x.Open {
		for _, c := range x.Value {
			if c < '0' || c > '9' {
				return 1
			}
			n = n*10 + int(c-'0')
		}
	}
	return max(1, n)
}

func (m maker) plan(hold *Hold) Plan {
	p := Plan{Rest: m.l.Rest, Help: shorten(m.l.Help, mostText)}
	plan, _ := m.a.Axis("plan")
	if hold != nil && (hold.Kind == NoSkiing || plan == nil || plan.Open) {
		p.Rest = Value{}
		return p
	}
	if hold == nil && !m.is("way", "sitting") {
		p.FanLeft, p.FanRight = m.l.Hill.fan()
	}
	if b := m.a.Numbers.BlockMin; b != nil && *b >= 1 {
		p.Block = Value{Number: whole(*b), Unit: "min"}
	}
	p.Terrain = m.phrase("terrain", "Decide after the evaluation")
	p.Helpers = m.helpers()
	add := func(label, text string, second bool) {
		if text != "" && len(p.More) < mostMore {
			p.More = append(p.More, Line{label, shorten(text, mostText), second})
		}
	}
	for _, l := range m.openLines() {
		add(l.Label, l.Text, false)
	}
	if hold == nil && !m.is("way", "sitting") {
		for _, l := range m.l.Hill.lines() {
			add(l.Label, l.Text, false)
		}
	}
	if hold == nil {
		add("From minute", m.l.Minutes, false)
	}
	if plan != nil && !plan.Open && (hold != nil || m.l.Minutes == "") {
		_, order, ok := strings.Cut(plan.Label, ": ")
		if ok {
			add("Order", upper(order), false)
		}
	}
	if x, ok := m.a.Axis("weaker_turn"); ok && !x.Open && x.Value != "none" && !m.handedOver("Weak turn") {
		add("Will lag", upper(x.Label)+": the outside leg is the weaker one", false)
	}
	if m.is("guide", "yes") {
		add("Guide", "One guide, one voice; use the sight there is", false)
	}
	if x, ok := m.a.Axis("slot"); ok && !x.Open && x.Value != "any" {
		add("Time of day", upper(x.Label), true)
	}
	if x, ok := m.a.Axis("order"); ok && !x.Open && x.Value != "usual" {
		add("First", upper(x.Label)+", while fresh", false)
	}
	if m.is("reins", "none_at_start") {
		add("Reins", "Hold first; tip reins only if the stops fail", true)
	}
	return p
}

// phrase returns the label of an axis as a sentence, or what to say while it
// is open.
func (m maker) phrase(axis, otherwise string) string {
	x, ok := m.a.Axis(axis)
	switch {
	case !ok:
		return ""
	case x.Open:
		return otherwise
	}
	return shorten(upper(x.Label), mostText)
}

func (m maker) helpers() string {
	x, ok := m.a.Axis("people")
	switch {
	case !ok:
		return ""
	case x.Open:
		return "Decide after the evaluation; not fewer than two"
	}
	n := m.count()
	parts := []string{"lead"}
	if m.is("reins", "frame") {
		parts = []string{"lead on the reins"}
	}
	rest := n - 1
	if m.is("guide", "yes") && rest > 0 {
		parts, rest = append(parts, "guide"), rest-1
	}
	if rest > 0 {
		text := "one helper"
		if rest > 1 {
			text = fmt.Sprintf("%d helpers", rest)
		}
		switch {
		case m.is("helper_side", "left"):
			text += ", on the left"
		case m.is("helper_side", "right"):
			text += ", on the right"
		}
		parts = append(parts, text)
	}
	return fmt.Sprintf("%d: %s", n, strings.Join(parts, ", "))
}

// openLines says what is still to be decided, and by which test.
func (m maker) openLines() []Line {
	var out []Line
	for _, axis := range []string{"way", "tie", "route_left", "route_right", "reins"} {
		x, ok := m.a.Axis(axis)
		if !ok || !x.Open {
			continue
		}
		name := map[string]string{"way": "Way", "tie": "Tie", "route_left": "Left turns", "route_right": "Right turns", "reins": "Reins"}[axis]
		tests := testsOf(x.WaitsFor)
		text := "decide at the test: " + tests
		if tests == "" {
			text = "decide on the hill"
		}
		out = append(out, Line{Label: name, Text: text})
	}
	return out
}

// testsOf names the tests that findings wait for: "2 Free standing, 9 Push at
// each knee".
func testsOf(read []decide.Reading) string {
	var out []string
	length := 0
	for _, t := range finding.Tests() {
		if slices.ContainsFunc(read, func(r decide.Reading) bool { return slices.Contains(t.Findings, r.Finding) }) {
			name := t.Number + " " + lower(t.Title)
			if length += len(name) + 2; length > 74 {
				return strings.Join(out, ", ") + " …"
			}
			out = append(out, name)
		}
	}
	return strings.Join(out, ", ")
}

// handedOver tells whether the last instructor wrote a line with that label.
func (m maker) handedOver(label string) bool {
	return slices.ContainsFunc(m.l.Handover, func(l Line) bool { return l.Label == label })
}

func (m maker) handover() []Line {
	var out []Line
	add := func(label, text string, second bool) {
		if text != "" && !m.handedOver(label) { // the last instructor's own words are newer
			out = append(out, Line{label, shorten(text, mostText), second})
		}
	}
	add("Cue works", m.own("cue"), false)
	add("Cue fails", m.own("cue_fails"), true)
	out = append(out, m.l.Handover...)
	return out[:min(len(out), mostCautions)]
}

// upper and lower change the first letter of a phrase; a word in capitals
// stays.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func lower(s string) string {
	if len(s) < 2 || s[1] >= 'A' && s[1] <= 'Z' {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
