package cli

import (
	"crypto/rand"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/source"
	"firnhand/internal/verify"
	"firnhand/programme"
)

// settingsCmd is about the programme's numbers.
type settingsCmd struct {
	List settingsListCmd `cmd:"" default:"withargs" help:"Value, unit, range, basis, and who signed each number off."`
}

type settingsListCmd struct {
	JSON  bool   `name:"json" help:"As JSON."`
	Rules string `placeholder:"FILE" xor:"from" help:"Of this rule table instead of the one built in."`
	Data  string `placeholder:"FILE" xor:"from" help:"As signed off in the records of this file."`
	Keys  string `placeholder:"FILE" help:"Key file of the records; without it FILE.keys beside them."`
}

// Run lists the settings.
func (c *settingsListCmd) Run(a *app) error {
	t, signed, err := c.source(a)
	if err != nil {
		return err
	}
	list := settings(t, signed)
	if c.JSON {
		return a.printJSON(map[string]any{"table": t.Name, "version": t.Version, "settings": list})
	}
	p := &sheet{w: a.Out}
	printSettings(p, list)
	return p.err
}

// source returns the table and who signed its numbers off.
func (c *settingsListCmd) source(a *app) (*decide.Table, map[string]signature, error) {
	if c.Data == "" {
		t, err := a.table(c.Rules)
		return t, nil, err
	}
	if _, err := os.Stat(c.Data); err != nil {
		return nil, nil, cannotOpen(c.Data, err)
	}
	ctx, stop := a.until()
	defer stop()
	h, err := openHouse(ctx, files{c.Data, c.Keys}, a.Clock, a.Clock, rand.Reader, time.Local, a.log())
	if err != nil {
		return nil, nil, err
	}
	defer h.Close()
	states, err := h.cases.Settings(ctx, steward, programme.AsOf{})
	if err != nil {
		return nil, nil, err
	}
	signed := map[string]signature{}
	for name, s := range states {
		signed[name] = signature{s.SignedBy, s.SignedOn.String()}
	}
	t, err := h.tables.For(states)
	return t, signed, err
}

func printSettings(p *sheet, list []settingView) {
	for _, s := range list {
		by := ""
		switch {
		case s.SignedOffBy != nil:
			by = "; signed off by " + *s.SignedOffBy
			if s.SignedOffOn != nil {
				by += ", " + *s.SignedOffOn
			}
		case s.Proposed:
			by = "; proposed, not signed off"
		}
		unit := s.Unit
		if unit != "" {
			unit = " " + unit
		}
		p.labelled(2, 31, s.Name, fmt.Sprintf("%s%s (%s to %s), basis %s%s", finding.FormatNumber(s.Value), unit,
			finding.FormatNumber(s.Low), finding.FormatNumber(s.High), strings.Join(s.Basis, " "), by))
		p.para(31, s.Means)
	}
}

// findingsCmd is about the vocabulary.
type findingsCmd struct {
	List findingsListCmd `cmd:"" default:"withargs" help:"Every finding with its scale and its normal value."`
}

type findingsListCmd struct {
	JSON bool   `name:"json" help:"As JSON."`
	Test string `help:"Only those of one test (1 to 19), or of person or gates."`
}

type findingView struct {
	ID         string      `json:"id"`
	Label      string      `json:"label"`
	Test       string      `json:"test"`  // "1" to "19", "person" or "gates"
	Scale      string      `json:"scale"` // ordered, choice, number, text
	Levels     []levelView `json:"levels,omitempty"`
	Unit       string      `json:"unit,omitempty"`
	Low        *float64    `json:"low,omitempty"`
	High       *float64    `json:"high,omitempty"`
	MoreIsGood *bool       `json:"more_is_good,omitempty"`
	Sided      bool        `json:"left_and_right"`
	Tiring     bool        `json:"fresh_and_tired"`
	NA         bool        `json:"may_be_na"`
	Normal     *string     `json:"normal"` // null: has to be measured
}

type levelView struct {
	ID    string `json:"id"`
	Label string `json:"label"`
}

var scaleNames = map[finding.Scale]string{finding.Ordered: "ordered", finding.Choice: "choice", finding.Number: "number", finding.Text: "text"}

func viewFinding(d *finding.Def) findingView {
	v := findingView{ID: d.ID, Label: d.Label, Test: d.Test, Scale: scaleNames[d.Scale], Unit: d.Unit, Sided: d.Sided, Tiring: d.Tiring, NA: d.NA}
	for _, l := range d.Levels {
		v.Levels = append(v.Levels, levelView{l.ID, l.Label})
	}
	if d.Scale == finding.Number {
		low, high, more := d.Min, d.Max, d.MoreIsGood
		v.Low, v.High, v.MoreIsGood = &low, &high, &more
	}
	if !d.Measured() {
		normal := d.Normal
		v.Normal = &normal
	}
	return v
}

// Run lists the vocabulary.
func (c *findingsListCmd) Run(a *app) error {
	list := []findingView{}
	for _, d := range finding.All() {
		if c.Test == "" || d.Test == c.Test {
			list = append(list, viewFinding(d))
		}
	}
	if len(list) == 0 {
		return refuse("usage", "There is no test %q: write 1 to 19, person or gates.", c.Test)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"findings": list})
	}
	p := &sheet{w: a.Out}
	last := ""
	for _, v := range list {
		if v.Test != last {
			p.heading(blockName(v.Test))
			last = v.Test
		}
		p.labelled(2, 31, v.ID, v.Label+"; "+v.takes())
	}
	return p.err
}

func blockName(test string) string {
	switch test {
	case "person":
		return "PERSON"
	case "gates":
		return "GATES"
	}
	for _, t := range finding.Tests() {
		if t.Number == test {
			return "TEST " + t.Number + ", " + strings.ToUpper(t.Title)
		}
	}
	return "TEST " + test
}

// takes says what may be written.
func (v findingView) takes() string {
	var parts []string
	switch v.Scale {
	case "number":
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%s to %s %s", finding.FormatNumber(*v.Low), finding.FormatNumber(*v.High), v.Unit)))
	case "text":
		parts = append(parts, "words")
	default:
		var ids []string
		for _, l := range v.Levels {
			ids = append(ids, l.ID)
		}
		parts = append(parts, strings.Join(ids, ", "))
	}
	if v.NA {
		parts = append(parts, "na")
	}
	if v.Sided {
		parts = append(parts, "L and R")
	}
	if v.Tiring {
		parts = append(parts, "fresh and tired")
	}
	if v.Normal != nil {
		parts = append(parts, "normal: "+*v.Normal)
	} else {
		parts = append(parts, "has to be measured")
	}
	return strings.Join(parts, "; ")
}

// testsCmd is about the tests of the evaluation.
type testsCmd struct {
	List testsListCmd `cmd:"" default:"withargs" help:"How each test is done and why it matters."`
}

type testsListCmd struct {
	JSON bool `name:"json" help:"As JSON."`
}

type testView struct {
	Number   string   `json:"number"`
	Title    string   `json:"title"`
	How      string   `json:"how"`
	Why      string   `json:"why"`
	Care     string   `json:"care,omitempty"`
	Minutes  float64  `json:"about_min"`
	Findings []string `json:"findings"`
}

// Run lists the tests.
func (c *testsListCmd) Run(a *app) error {
	tests := []testView{}
	for _, t := range finding.Tests() {
		tests = append(tests, testView(t))
	}
	if c.JSON {
		return a.printJSON(map[string]any{"before": finding.Before, "tests": tests})
	}
	p := &sheet{w: a.Out}
	p.para(0, finding.Before)
	for _, t := range tests {
		p.heading(t.Number + " " + strings.ToUpper(t.Title))
		p.labelled(2, 10, "How", t.How)
		p.labelled(2, 10, "Why", t.Why)
		if t.Care != "" {
			p.labelled(2, 10, "Care", t.Care)
		}
		p.labelled(2, 10, "Write", strings.Join(t.Findings, ", "))
	}
	return p.err
}

// rulesCmd is about the rule table.
type rulesCmd struct {
	List  rulesListCmd  `cmd:"" help:"Every gate, rule and note in short."`
	Show  rulesShowCmd  `cmd:"" help:"One gate, rule, note or setting in full."`
	Check rulesCheckCmd `cmd:"" help:"Check a rule table: unknown names, contradictions, gaps, rules nobody can reach."`
}

type rulesListCmd struct {
	JSON  bool   `name:"json" help:"As JSON."`
	Rules string `placeholder:"FILE" help:"Of this rule table instead of the one built in."`
}

type ruleView struct {
	Kind    string   `json:"kind"` // gate, rule, note, condition
	ID      string   `json:"id"`
	Axis    string   `json:"axis,omitempty"`
	Side    string   `json:"side,omitempty"`
	Effect  string   `json:"effect,omitempty"` // of a gate; the kind of a note
	When    string   `json:"when"`             // empty: otherwise
	Then    string   `json:"then,omitempty"`
	Clears  string   `json:"clears,omitempty"`
	Card    string   `json:"card,omitempty"`
	Because string   `json:"because"`
	Basis   []string `json:"basis"`
	Line    int      `json:"line"`
}

// ruleViews lists everything of a table that has an id.
func ruleViews(t *decide.Table) []ruleView {
	out := []ruleView{}
	for _, g := range t.Gates() {
		if g.Line > 0 {
			out = append(out, ruleView{Kind: "gate", ID: g.ID, Effect: g.Effect.String(), When: g.When, Clears: g.Clears, Card: g.Card, Because: g.Because, Basis: g.Basis, Line: g.Line})
		}
	}
	for _, r := range t.Rules() {
		out = append(out, ruleView{Kind: "rule", ID: r.ID, Axis: r.Axis, Side: r.Side.Word(), When: r.When, Then: r.Then, Because: r.Because, Basis: r.Basis, Line: r.Line})
	}
	for _, n := range t.Notes() {
		out = append(out, ruleView{Kind: "note", ID: n.Code, Effect: n.Kind, Side: n.Side.Word(), When: n.When, Because: n.Say, Basis: n.Basis, Line: n.Line})
	}
	return out
}

// Run lists the rules.
func (c *rulesListCmd) Run(a *app) error {
	t, err := a.table(c.Rules)
	if err != nil {
		return err
	}
	views := ruleViews(t)
	if c.JSON {
		return a.printJSON(map[string]any{"table": t.Name, "version": t.Version, "rules": views})
	}
	p := &sheet{w: a.Out}
	p.line("Rule table %s, version %s", t.Name, t.Version)
	last := ""
	told := map[string]bool{}
	for _, v := range views {
		head := map[string]string{"gate": "GATES", "note": "NOTES"}[v.Kind]
		if v.Kind == "rule" {
			head = strings.ToUpper(words(strings.TrimSuffix(strings.TrimSuffix(v.Axis, "_left"), "_right")))
		}
		key := v.Kind + v.ID + v.Then
		if told[key] {
			continue
		}
		told[key] = true
		if head != last {
			p.heading(head)
			last = head
		}
		result := v.Then
		if v.Kind != "rule" {
			result = v.Effect
		}
		p.labelled(2, 10, v.ID, result+": "+v.Because+" ["+strings.Join(v.Basis, " ")+"]")
	}
	return p.err
}

type rulesShowCmd struct {
	ID    string `arg:"" help:"Id of a gate, rule, note or setting, or the name of a condition."`
	JSON  bool   `name:"json" help:"As JSON."`
	Rules string `placeholder:"FILE" help:"From this rule table instead of the one built in."`
}

// Run shows one rule in full.
func (c *rulesShowCmd) Run(a *app) error {
	t, err := a.table(c.Rules)
	if err != nil {
		return err
	}
	found := []ruleView{}
	for _, v := range ruleViews(t) {
		if strings.EqualFold(v.ID, c.ID) {
			found = append(found, v)
		}
	}
	text, err := a.rules(c.Rules)
	if err != nil {
		return err
	}
	if line, when := named(text, c.ID); line > 0 {
		found = append(found, ruleView{Kind: "condition", ID: c.ID, When: when, Basis: []string{}, Line: line})
	}
	sets := slices.DeleteFunc(settings(t, nil), func(s settingView) bool { return s.Name != c.ID })
	if len(found) == 0 && len(sets) == 0 {
		return refuse("unknown_id", "There is no gate, rule, note or setting called %q; \"firnhand rules list\" shows them.", c.ID)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"rules": found, "settings": sets})
	}
	p := &sheet{w: a.Out}
	for i, v := range found {
		if i > 0 {
			p.blank()
		}
		v.print(p)
	}
	printSettings(p, sets)
	return p.err
}

// named finds a condition that the table gives a name to, so that a rule can
// be followed down to its findings. It returns line 0 where there is none.
func named(text, name string) (line int, when string) {
	for i, s := range strings.Split(text, "\n") {
		head, body, ok := strings.Cut(s, "=")
		switch {
		case line == 0 && ok && strings.Join(strings.Fields(head), " ") == "define "+name:
			line, when = i+1, strings.TrimSpace(body)
		case line > 0 && strings.HasPrefix(s, " "):
			when += " " + strings.TrimSpace(s)
		case line > 0:
			return line, when
		}
	}
	return line, when
}

func (v ruleView) print(p *sheet) {
	head := v.Kind + " " + v.ID
	if v.Axis != "" {
		head += ", about " + words(v.Axis)
	}
	if v.Side != "" {
		head += ", read for the " + v.Side
	}
	p.line("%s (line %d)", head, v.Line)
	when := v.When
	if when == "" {
		when = "otherwise"
	}
	for _, row := range [][2]string{{"when", when}, {"then", v.Then}, {"effect", v.Effect}, {"clears", v.Clears}, {"card", v.Card}, {"because", v.Because}} {
		if row[1] != "" {
			p.labelled(2, 12, row[0], row[1])
		}
	}
	for _, b := range v.Basis {
		text := b
		if w, ok := source.Reference(b); ok {
			text = b + ": " + w.Text + " (" + string(w.Status) + ")"
		}
		p.labelled(2, 12, "basis", text)
	}
}

type rulesCheckCmd struct {
	File string `arg:"" optional:"" help:"The rule table; without one the built-in table is checked."`
	JSON bool   `name:"json" help:"As JSON."`
}

// Run checks a rule table.
func (c *rulesCheckCmd) Run(a *app) error {
	name := c.File
	if name == "" {
		name = "the built-in table"
	}
	text, err := a.rules(c.File)
	if err != nil {
		return err
	}
	t, err := decide.Parse(text)
	if err != nil {
		return inFile(ruleFault(err), name)
	}
	n := map[string]int{}
	for _, v := range ruleViews(t) {
		n[v.Kind]++
	}
	if c.JSON {
		return a.printJSON(map[string]any{"table": t.Name, "version": t.Version, "problems": []string{},
			"gates": n["gate"], "rules": n["rule"], "notes": n["note"], "settings": len(t.Settings())})
	}
	fmt.Fprintf(a.Out, "%s: no problems. %d gates, %d rules, %d notes, %d settings.\n", name, n["gate"], n["rule"], n["note"], len(t.Settings()))
	return nil
}

// verifyCmd runs every check against an outside source.
type verifyCmd struct {
	JSON bool `name:"json" help:"As JSON."`
}

// Run prints every check. A check that fails is a fault of the program.
func (c *verifyCmd) Run(a *app) error {
	rep, err := verify.Run(verify.All())
	if err != nil {
		return internal(err, "The checks themselves are not well formed.")
	}
	if c.JSON {
		err = rep.JSON(a.Out)
	} else {
		err = rep.Text(a.Out)
	}
	if err == nil && rep.Failed > 0 {
		err = errFailed
	}
	return err
}

// sourcesCmd lists the figures.
type sourcesCmd struct {
	JSON bool `name:"json" help:"As JSON."`
}

type figureView struct {
	ID       string  `json:"id"`
	Quantity string  `json:"quantity"`
	Value    float64 `json:"value_in_unit"`
	Low      float64 `json:"low_in_unit"`
	High     float64 `json:"high_in_unit"`
	Unit     string  `json:"unit"`
	Source   string  `json:"source"`
	Place    string  `json:"place,omitempty"`
	Status   string  `json:"status"`
	Note     string  `json:"note,omitempty"`
}

type workView struct {
	Mark   string `json:"mark"`
	Text   string `json:"text"`
	Status string `json:"status"`
	Note   string `json:"note,omitempty"`
}

// Run lists every figure and every work.
func (c *sourcesCmd) Run(a *app) error {
	works, figures := []workView{}, []figureView{}
	for _, w := range source.References() {
		works = append(works, workView{w.Mark, w.Text, string(w.Status), w.Note})
	}
	for _, d := range source.All() {
		figures = append(figures, figureView{d.ID, d.Quantity, d.Value, d.Low, d.High, d.Unit, d.Ref, d.Place, string(d.Status), d.Note})
	}
	if c.JSON {
		return a.printJSON(map[string]any{"works": works, "figures": figures})
	}
	p := &sheet{w: a.Out}
	p.line("FIGURES")
	for _, f := range figures {
		p.labelled(2, 34, f.ID, strings.TrimSpace(fmt.Sprintf("%v %s", f.Value, strings.TrimPrefix(f.Unit, "1")))+", "+f.Quantity+" ["+f.Source+"; "+f.Status+"]")
	}
	p.heading("WORKS")
	for _, w := range works {
		p.labelled(2, 20, w.Mark, w.Text+" ("+w.Status+")")
	}
	return p.err
}
