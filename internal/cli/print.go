package cli

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

// cautions end every answer.
const cautions = "This supports the instructor's decision; it clears nobody and prescribes nothing. " +
	"Bindings are set by a certified technician. Pain, hips, bones, heart and braces belong to the physician or therapist. " +
	"Lift staff, patrol and the hill's own rules have the last word."

// print writes the answer for people: first the answer, then why.
func (d *decided) print(p *sheet, all bool) error {
	v := d.view()
	d.head(p, v)
	d.gate(p, v)
	d.today(p, v)
	d.setUp(p, v)
	d.says(p, v.notesView)
	d.later1(p, v)
	d.why(p, all)
	d.changes(p, all)
	d.openAxes(p, v)
	d.nextTests(p)
	d.taken(p, v, all)
	if all {
		d.everyAxis(p)
		d.numbers(p, v)
	}
	p.blank()
	p.para(0, cautions)
	return p.err
}

func (d *decided) head(p *sheet, v decisionView) {
	name := v.Name
	if name == "" {
		name = "A student without a name in the file"
	}
	if v.LessonCode != "" {
		name += " (" + v.LessonCode + ")"
	}
	p.line("%s", name)
	p.line("%s, by the rule table %s, version %s", d.on.String(), v.Table, v.Version)
}

func (d *decided) gate(p *sheet, v decisionView) {
	p.blank()
	x, _ := d.answer.Axis("gate")
	switch {
	case x == nil:
	case x.Open:
		p.line("GATE: open, it could be %s", oneOf(labels(x.Possible)))
	case x.Value == "none":
		p.line("No hold.")
	case x.Value == "none_with_rules":
		p.line("No hold; rules for the card.")
	default:
		p.line("HOLD: %s", x.Label)
	}
	for _, h := range v.Holds {
		p.labelled(2, 8, h.ID, h.Because)
		if h.Clears != "" {
			p.para(8, "Clears: "+h.Clears+inWriting(h.Effect)+".")
		}
	}
	for _, r := range v.Rules {
		text := r.Card
		if text == "" {
			text = r.Because
		}
		p.labelled(2, 8, r.ID, text)
	}
	for _, c := range v.Cleared {
		p.labelled(2, 8, c.Gate, fmt.Sprintf("cleared in writing by %s (%s) until %s.", c.ClearedBy, words(c.Role), c.Until))
	}
	for _, c := range v.Lapsed {
		p.labelled(2, 8, c.Gate, fmt.Sprintf("The letter of %s ran out on %s: it clears nothing.", c.ClearedBy, c.Until))
	}
	if len(v.OpenGates) > 0 && x != nil && x.Open {
		var ids []string
		for _, g := range v.OpenGates {
			ids = append(ids, g.ID)
		}
		p.para(2, "Not settled: "+strings.Join(ids, ", ")+".")
	}
}

func (d *decided) today(p *sheet, v decisionView) {
	p.heading("TODAY")
	switch v.Today.Skiing {
	case "no":
		p.labelled(2, 18, "Skiing", "no")
	case "sitting_if_painless":
		p.labelled(2, 18, "Skiing", "sitting if that is painless; else meet, tour, evaluation only")
	case "sitting":
		p.labelled(2, 18, "Skiing", "sitting")
	}
	if !d.held() || v.Today.Skiing == "open" {
		p.labelled(2, 18, "Way", d.say("way"))
	}
	p.labelled(2, 18, "Plan", d.planSays(v))
	p.labelled(2, 18, "Terrain", d.say("terrain"))
	if d.held() {
		return
	}
	p.labelled(2, 18, "People", d.people())
	if v.Answer.BlockMin != nil {
		p.labelled(2, 18, "Block", finding.FormatNumber(*v.Answer.BlockMin)+" min at most, then a rest")
	} else {
		p.labelled(2, 18, "Block", "not known: see how long quality lasts (test 18)")
	}
	for _, id := range []string{"slot", "order", "reins"} {
		x, ok := d.answer.Axis(id)
		if ok && (x.Open || x.Value != "any" && x.Value != "usual" && x.Value != "not_used") {
			p.labelled(2, 18, map[string]string{"slot": "Time of day", "order": "Order", "reins": "Reins"}[id], d.say(id))
		}
	}
	if x, ok := d.answer.Axis("cue_side"); ok && x.Value != "either" && !x.Open {
		p.labelled(2, 18, "Cues", "from the "+x.Label)
	}
	for _, w := range []struct {
		label string
		text  *string
	}{{"Stop word", v.Answer.StopWord}, {"Cue that works", v.Answer.Cue}} {
		if w.text != nil {
			p.labelled(2, 18, w.label, strings.ReplaceAll(*w.text, "_", " "))
		}
	}
	if x, ok := d.answer.Axis("weaker_turn"); ok && !x.Open && x.Value != "none" {
		p.labelled(2, 18, "Will lag", x.Label)
	}
}

func (d *decided) planSays(v decisionView) string {
	text := d.say("plan")
	if x, ok := d.answer.Axis("plan"); ok && !x.Open {
		text = x.Value + ", " + x.Label
	}
	if slices.Contains(v.Answer.Plan, "PL-E") {
		text += "; with the guide (PL-E)"
	}
	return text
}

func (d *decided) people() string {
	text := d.say("people")
	if x, ok := d.answer.Axis("people"); ok && !x.Open {
		if text == "1" {
			return "the lead alone"
		}
		text += ", lead included"
	}
	if x, ok := d.answer.Axis("helper_side"); ok && !x.Open && x.Value != "either" {
		text += "; helper on the " + x.Label
	}
	if d.answer.Is("guide", "yes") {
		text += "; one of them guides"
	}
	return text
}

// say is the answer of an axis in words, or what it could still be.
func (d *decided) say(id string) string {
	x, ok := d.answer.Axis(id)
	switch {
	case !ok:
		return "not in this rule table"
	case x.Open:
		return "open: " + oneOf(labels(x.Possible))
	}
	return x.Label
}

func (d *decided) setUp(p *sheet, v decisionView) {
	if d.held() || d.answer.Is("way", "sitting") {
		return
	}
	p.heading("SET-UP")
	p.labelled(2, 18, "Tip tie", d.say("tie"))
	if n := d.answer.Numbers.SpacerMM; n != nil {
		p.labelled(2, 18, "Spacer", finding.FormatNumber(n.Value)+" mm, the natural gap; never wider")
	} else if d.answer.Is("tie", "rigid_spacer") {
		p.labelled(2, 18, "Spacer", "measure the gap between the boots, standing relaxed; never wider")
	}
	p.row("", "left", "right")
	p.row("Turns to the", d.say("route_left"), d.say("route_right"))
	p.row("Brace", d.say("braces_left"), d.say("braces_right"))
	n := d.answer.Numbers
	p.row("Heel lift", d.heelSays("heel_left", n.HeelLiftMM.Left), d.heelSays("heel_right", n.HeelLiftMM.Right))
	p.row("Leg length", d.lengthSays("length_left", v.Answer.Length.L), d.lengthSays("length_right", v.Answer.Length.R))
	p.row("Boot", d.say("boot_left"), d.say("boot_right"))
	p.row("Cant", d.say("cant_left"), d.say("cant_right"))
	if d.answer.Is("way", "slider") {
		p.row("Trough", d.say("trough_left"), d.say("trough_right"))
	}
}

func (d *decided) heelSays(axis string, r *decide.Range) string {
	if r == nil || r.High == 0 {
		return d.say(axis)
	}
	return fmt.Sprintf("%s mm, %s to %s", finding.FormatNumber(r.Value), finding.FormatNumber(r.Low), finding.FormatNumber(r.High))
}

func (d *decided) lengthSays(axis string, l *lengthView) string {
	if l == nil || l.How == "none" || l.InBootMM == nil {
		return d.say(axis)
	}
	text := finding.FormatNumber(*l.InBootMM) + " mm in the boot"
	if l.How == "plate" && l.PlateDay1 != nil && l.PlateMM != nil {
		text += fmt.Sprintf(", plate %s mm on day one, %s mm in the end", finding.FormatNumber(*l.PlateDay1), finding.FormatNumber(*l.PlateMM))
	}
	return text
}

func (d *decided) says(p *sheet, v notesView) {
	for _, part := range []struct {
		heading string
		said    []said
	}{{"STOP", v.StopRules}, {"TAKE CARE", v.Warn}, {"NOT TODAY", v.MustNot}, {"DO", v.Do}, {"LOOK AGAIN", v.Recheck}} {
		if len(part.said) == 0 {
			continue
		}
		p.heading(part.heading)
		for _, s := range part.said {
			p.bullet(s.Sentence)
		}
	}
}

// later1 says in a few lines what would be done once the holds are cleared.
func (d *decided) later1(p *sheet, v decisionView) {
	if v.AfterClearance == nil {
		return
	}
	l := decided{person: d.person, c: d.c, table: d.table, answer: d.later, on: d.on}
	p.heading("ONCE CLEARED IN WRITING (for planning, not permission)")
	p.labelled(2, 18, "Way", l.say("way"))
	p.labelled(2, 18, "Tip tie", l.say("tie"))
	if n := l.answer.Numbers.SpacerMM; n != nil {
		p.labelled(2, 18, "Spacer", finding.FormatNumber(n.Value)+" mm, the natural gap; never wider")
	}
	p.labelled(2, 18, "Route", "left turns "+l.say("route_left")+", right turns "+l.say("route_right"))
	p.labelled(2, 18, "Reins", l.say("reins"))
	p.labelled(2, 18, "People", l.people())
	p.labelled(2, 18, "Plan", l.say("plan"))
}

// plainAnswers need no argument when space is short.
var plainAnswers = []string{"none", "no", "usual", "any", "either", "not_used"}

// why gives the reason of each answer that is more than "nothing".
func (d *decided) why(p *sheet, all bool) {
	p.heading("WHY")
	told := map[string]bool{}
	for _, x := range d.answer.Axes {
		if x.Open || x.Axis == "gate" || x.Axis == "people_base" || x.Axis == "terrain" || x.Axis == "plan" {
			continue
		}
		if x.Axis != "way" && x.Axis != "tie" && slices.Contains(plainAnswers, x.Value) {
			continue
		}
		side := x.Side
		if x.Side == "left" {
			if other, ok := d.answer.Axis(x.Axis + "_right"); ok && !other.Open && other.Rule == x.Rule && other.Value == x.Value {
				side, told[x.Axis+"_right"] = "left and right", true
			}
		}
		if told[x.Axis+"_"+x.Side] {
			continue
		}
		p.para(2, fmt.Sprintf("%s: %s (%s)", asks(x, side), x.Label, x.Rule))
		p.para(4, x.Because)
		if read := d.readings(x.Read, all); read != "" && (all || slices.Contains(argued, x.Axis)) {
			p.para(4, read)
		}
		if x.Axis == "way" {
			d.whyNot(p, x, all)
		}
	}
}

// argued are the axes whose findings are told without --all. The others follow
// from these, and would only repeat them.
var argued = []string{"way", "tie", "braces", "heel", "length", "cant", "guide", "helper_side", "cue_side", "slot"}

func asks(x decide.AxisAnswer, side string) string {
	switch {
	case side == "":
		return x.Asks
	case x.Axis == "route" && side == "left and right":
		return x.Asks + ", both ways"
	case x.Axis == "route":
		return x.Asks + ", to the " + side
	}
	return x.Asks + ", " + side
}

// whyNot argues against the other answers of an axis.
func (d *decided) whyNot(p *sheet, x decide.AxisAnswer, all bool) {
	for _, w := range x.WhyNot {
		if !all && (strings.HasPrefix(w.Value, "one_ski") || w.Value == "not_used") {
			continue
		}
		text := "Not " + w.Label + ": "
		if w.Against == "not met" {
			text += w.Rule + " is not met"
		} else {
			text += w.Rule + " " + w.Against
		}
		if read := d.readings(w.Read, all); read != "" && w.Against == "not met" {
			text += " (" + read + ")"
		}
		p.para(4, text+".")
	}
}

// readings writes findings with what was measured, not the band it fell in.
// What was taken as normal is left out unless all is asked for.
func (d *decided) readings(read []decide.Reading, all bool) string {
	const most = 6
	var out []string
	for _, r := range read {
		if s := d.reading(r, all); s != "" {
			out = append(out, s)
		}
	}
	if !all && len(out) > most {
		out = append(out[:most], fmt.Sprintf("and %d more", len(out)-most))
	}
	return strings.Join(out, "; ")
}

func (d *decided) reading(r decide.Reading, all bool) string {
	def, ok := finding.Lookup(r.Finding)
	if !ok {
		return ""
	}
	side := sideOf(r.Side)
	fresh := d.c.Input.Findings.Get(r.Finding, side, finding.Fresh)
	tired := d.c.Input.Findings.Get(r.Finding, side, finding.Tired)
	if !all && d.assumed(finding.Key{ID: r.Finding, Side: side}) {
		return ""
	}
	name := def.Label
	if r.Side != "" {
		name += " " + r.Side
	}
	switch {
	case !def.Tiring:
		return name + ": " + finding.Say(def, fresh)
	case r.State == "tired":
		return name + ", tired: " + finding.Say(def, tired)
	case r.State == "fresh and tired" && fresh != tired:
		return name + ": " + finding.Say(def, fresh) + " fresh, " + finding.Say(def, tired) + " tired"
	case fresh == tired:
		return name + ": " + finding.Say(def, fresh)
	}
	return name + ", fresh: " + finding.Say(def, fresh)
}

// assumed tells whether the fresh value under a key was taken as normal.
func (d *decided) assumed(k finding.Key) bool {
	for _, t := range d.c.Taken {
		if t.Key == k {
			return true
		}
	}
	return false
}

func sideOf(word string) finding.Side {
	switch word {
	case "left":
		return finding.Left
	case "right":
		return finding.Right
	}
	return finding.NoSide
}

// changes writes what would give another way of skiing, tie or route; with all
// also another gate and another rein.
func (d *decided) changes(p *sheet, all bool) {
	axes, most := []string{"way", "tie", "route"}, 4
	if all {
		axes, most = append(axes, "gate", "reins", "plan"), decide.ChangesShown
	}
	first := true
	for _, x := range d.answer.Axes {
		if x.Open || !slices.Contains(axes, x.Axis) || x.Value == "not_used" {
			continue
		}
		var shown []decide.Change
		for _, c := range x.Changes {
			if all || c.To != "not_used" && len(shown) < most {
				shown = append(shown, c)
			}
		}
		if len(shown) == 0 {
			continue
		}
		if first {
			p.heading("THE SMALLEST CHANGES THAT WOULD CHANGE IT")
			first = false
		}
		p.para(2, asks(x, x.Side)+":")
		for _, c := range shown {
			var parts []string
			for _, f := range c.Findings {
				parts = append(parts, d.altered(f))
			}
			p.bullet(strings.Join(parts, " and ") + ": " + c.Label)
		}
		if more := x.ChangesFound - len(shown); more > 0 {
			p.para(4, fmt.Sprintf("and %d more as small; --all and --json show more", more))
		}
	}
}

func (d *decided) altered(f decide.Altered) string {
	name := f.Label
	if f.Side != "" {
		name += " " + f.Side
	}
	if f.State != "" {
		name += ", " + f.State
	}
	return name + " " + f.SayFrom + " -> " + f.SayTo
}

// openAxes writes what the answer still depends on.
func (d *decided) openAxes(p *sheet, v decisionView) {
	if len(v.DependsOn) == 0 {
		return
	}
	p.heading("OPEN, AND WHAT EACH WAITS FOR")
	for _, o := range v.DependsOn {
		if o.Axis == "people_base" {
			continue
		}
		x, ok := d.answer.Axis(strings.TrimSuffix(o.Axis+"_"+o.Side, "_"))
		if !ok {
			continue
		}
		p.para(2, asks(*x, o.Side)+": "+oneOf(labels(o.Possible)))
		p.para(4, "waits for "+waits(o.WaitsFor))
	}
}

// waits names findings, each with its test.
func waits(read []decide.Reading) string {
	const most = 8
	var out []string
	for _, r := range read {
		name := strings.ToLower(r.Label[:1]) + r.Label[1:]
		if r.Side != "" {
			name += " " + r.Side
		}
		if r.State == "tired" {
			name += " tired"
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if len(out) > most {
		out = append(out[:most], fmt.Sprintf("%d more", len(out)-most))
	}
	return strings.Join(out, ", ")
}

func (d *decided) nextTests(p *sheet) {
	if len(d.next) == 0 {
		return
	}
	const most = 5
	p.heading("WORTH TESTING NEXT")
	for i, n := range d.next {
		if i == most {
			p.para(2, fmt.Sprintf("and %d more that could still matter", len(d.next)-most))
			break
		}
		name := n.Label
		if n.Side != "" {
			name += " " + n.Side
		}
		if n.State != "" {
			name += ", " + n.State
		}
		where := "intake"
		for _, t := range finding.Tests() {
			if t.Number == n.Test {
				where = "test " + t.Number + ", " + t.Title
			}
		}
		text := name + " (" + where + ")"
		if axes := settles(n.Settles); axes != "" {
			text += ": may settle " + axes
		}
		p.bullet(text)
	}
}

// settles names axes, each once, a few at most.
func settles(ids []string) string {
	const most = 6
	var out []string
	for _, id := range ids {
		if id == "people_base" {
			continue
		}
		name := words(strings.TrimSuffix(strings.TrimSuffix(id, "_left"), "_right"))
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if len(out) > most {
		out = append(out[:most], fmt.Sprintf("and %d more", len(out)-most))
	}
	return strings.Join(out, ", ")
}

func (d *decided) taken(p *sheet, v decisionView, all bool) {
	if len(v.TakenAsNormal) > 0 {
		p.blank()
		ids := []string{}
		for _, t := range v.TakenAsNormal {
			if !slices.Contains(ids, t.Finding) {
				ids = append(ids, t.Finding)
			}
		}
		if all {
			p.para(0, "Taken as normal because the file does not say: "+strings.Join(ids, ", ")+".")
		} else {
			p.para(0, fmt.Sprintf("%d findings the file does not mention were taken as normal; --all lists them.", len(ids)))
		}
	}
	for _, n := range v.NotChecked {
		p.para(0, "Not checked: "+n.Sentence)
	}
	unsigned := 0
	for _, s := range v.Settings {
		if s.Proposed && s.SignedOffBy == nil {
			unsigned++
		}
	}
	if unsigned > 0 {
		p.para(0, fmt.Sprintf("%d of the %d numbers in these rules are proposed and nobody has signed them off: \"firnhand settings list\".", unsigned, len(v.Settings)))
	}
}

// everyAxis writes the whole argument.
func (d *decided) everyAxis(p *sheet) {
	p.heading("EVERY AXIS")
	for _, x := range d.answer.Axes {
		if x.Open {
			p.para(2, asks(x, x.Side)+": open, "+oneOf(labels(x.Possible)))
			p.para(4, "waits for "+waits(x.WaitsFor))
		} else {
			p.para(2, fmt.Sprintf("%s: %s (%s; %s)", asks(x, x.Side), x.Label, orDash(x.Rule), orDash(strings.Join(x.Basis, " "))))
			p.para(4, x.Because)
			if read := d.readings(x.Read, true); read != "" && x.Axis != "gate" {
				p.para(4, read)
			}
		}
		if x.Axis != "way" {
			d.whyNot(p, x, true)
		}
	}
}

func (d *decided) numbers(p *sheet, v decisionView) {
	p.heading("NUMBERS IN THE RULES")
	printSettings(p, v.Settings)
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func labels(values []decide.Value) []string {
	var out []string
	for _, v := range values {
		out = append(out, v.Label)
	}
	return out
}

func oneOf(what []string) string {
	switch n := len(what); n {
	case 0:
		return "nothing"
	case 1:
		return what[0]
	default:
		return strings.Join(what[:n-1], "; ") + " or " + what[n-1]
	}
}

// words writes an id as words.
func words(id string) string { return strings.ReplaceAll(id, "_", " ") }

// inWriting ends who clears a hold, where that takes a letter.
func inWriting(effect string) string {
	if effect == decide.ReEvaluate.String() {
		return ""
	}
	return ", in writing"
}
