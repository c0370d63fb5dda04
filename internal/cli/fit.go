package cli

import (
	"fmt"
	"strconv"
	"strings"

	"firnhand/core/body"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/programme"
)

// fitCmd proposes settings for one person.
type fitCmd struct {
	File  string `arg:"" help:"The person's file; - reads from standard input."`
	JSON  bool   `name:"json" help:"As JSON, with everything."`
	All   bool   `help:"Also methods, sources and what was checked."`
	For   string `placeholder:"WAY" help:"Fit for this way of skiing instead of the one decided: none, outriggers, one_outrigger_left, one_outrigger_right, slider, one_ski_left, one_ski_right; all gives everything."`
	On    string `placeholder:"DATE" help:"Decide as of this day (YYYY-MM-DD) instead of today."`
	Rules string `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`
	Model string `placeholder:"NAME" help:"Set of segment masses instead of the one by age and sex."`
}

type fitItemView struct {
	ID         string        `json:"id"`
	Label      string        `json:"label"`
	Side       string        `json:"side,omitempty"`
	Value      *float64      `json:"value_in_unit"` // null where there is no figure
	Low        *float64      `json:"low_in_unit"`
	High       *float64      `json:"high_in_unit"`
	Unit       string        `json:"unit"`
	Words      string        `json:"words,omitempty"`
	Method     string        `json:"method,omitempty"`
	Basis      string        `json:"basis"`
	Narrow     *narrowView   `json:"narrow"` // null where measuring brings nothing more
	Sign       string        `json:"sign_of_wrong_fit,omitempty"`
	RecheckMin *float64      `json:"recheck_min,omitempty"`
	Recheck    string        `json:"recheck,omitempty"`
	Sources    []string      `json:"sources"`
	Warnings   []warningView `json:"warnings"`
}

type narrowView struct {
	Measure  string  `json:"measure"`
	Sentence string  `json:"sentence"`
	Now      float64 `json:"now_plus_minus_in_unit"`
	Then     float64 `json:"then_plus_minus_in_unit"`
}

type warningView struct {
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

type fitFlagView struct {
	Measure  string   `json:"measure"`
	Side     string   `json:"side,omitempty"`
	Value    float64  `json:"value_in_unit"`
	Low      float64  `json:"low_in_unit"`
	High     float64  `json:"high_in_unit"`
	Unit     string   `json:"unit"`
	Sentence string   `json:"sentence"`
	Sources  []string `json:"sources"`
}

type fitCheckView struct {
	ID       string   `json:"id"`
	Side     string   `json:"side"`
	Result   string   `json:"result"`
	Sentence string   `json:"sentence"`
	Do       string   `json:"do,omitempty"`
	Sources  []string `json:"sources"`
}

type fitView struct {
	Name       string         `json:"name,omitempty"`
	LessonCode string         `json:"lesson_code,omitempty"`
	On         string         `json:"on"`
	Way        string         `json:"way"` // what it is fitted for; "open" where everything is given
	Gate       string         `json:"gate"`
	Items      []fitItemView  `json:"items"`
	Checks     []fitCheckView `json:"checks"`
	Flags      []fitFlagView  `json:"flags"`
	Warnings   []warningView  `json:"warnings"`
	Cautions   string         `json:"cautions"`
}

// ways a fit may be asked for.
var fitWays = []string{"none", "outriggers", "one_outrigger_left", "one_outrigger_right", "slider", "one_ski_left", "one_ski_right", "sitting", "all"}

// Run fits and prints.
func (c *fitCmd) Run(a *app) error {
	if c.For != "" && !contains(fitWays, c.For) {
		return refuse("usage", "--for is one of %s; not %q.", strings.Join(fitWays, ", "), c.For)
	}
	d, err := a.decide(c.File, c.Rules, c.On)
	if err != nil {
		return err
	}
	in, err := c.input(d)
	if err != nil {
		return inFile(err, c.File)
	}
	s, err := fit.Propose(in)
	if err != nil {
		return inFile(bodyFault(err), c.File)
	}
	v := viewFit(d, in.Way, s)
	if c.JSON {
		err = a.printJSON(v)
	} else {
		err = printFit(a.sheet(false), v, c.All)
	}
	if err != nil {
		return err
	}
	if d.held() {
		return errHeld
	}
	return nil
}

// input makes the core's input from a decided person.
func (c *fitCmd) input(d *decided) (fit.Input, error) {
	m := d.person.Measured
	in := programme.FitInput(d.table, d.answer, d.person.Findings, m.Measures())
	made, err := bodyOf(d.person, c.Model)
	if err != nil {
		return in, err
	}
	if in.Body, err = body.New(made); err != nil {
		return in, bodyFault(err)
	}
	switch x, ok := d.answer.Axis("way"); {
	case c.For == "all":
	case c.For != "":
		in.Way = c.For
	case ok && !x.Open:
		in.Way = x.Value
	}
	if m == nil {
		return in, nil
	}
	for _, s := range body.Sides {
		h := m.Holes.Left
		if s == body.Right {
			h = m.Holes.Right
		}
		if h != nil {
			holes := &fit.Holes{First: quantity.Metre(h.FirstMM / 1000), Step: quantity.Metre(h.StepMM / 1000), Count: h.Count}
			if h.PlateKg != nil {
				holes.Plate = quantity.Kilogram(*h.PlateKg)
			}
			*in.Holes.Of(s) = holes
		}
	}
	return in, nil
}

func viewWarnings(list []fit.Warning) []warningView {
	out := []warningView{}
	for _, w := range list {
		out = append(out, warningView(w))
	}
	return out
}

func viewFit(d *decided, way string, s fit.Sheet) fitView {
	v := fitView{Name: d.person.Name, LessonCode: d.person.LessonCode, On: d.on.String(), Way: way, Cautions: cautions,
		Items: []fitItemView{}, Checks: []fitCheckView{}, Flags: []fitFlagView{}, Warnings: viewWarnings(s.Warnings)}
	if v.Way == "" {
		v.Way = open
	}
	v.Gate, _ = axisValue(d.answer, "gate")
	if d.held() {
		v.Warnings = append([]warningView{{"hold", "A hold is in force: gear may be fitted indoors, nobody goes on snow before it is cleared."}}, v.Warnings...)
	}
	for _, i := range s.Items {
		x := fitItemView{ID: i.ID, Label: i.Label, Side: i.Side.String(), Unit: i.Unit, Words: i.Words, Method: i.Method, Basis: string(i.Basis), Sign: i.Sign,
			Recheck: i.Recheck, Sources: append([]string{}, i.Sources...), Warnings: viewWarnings(i.Warnings)}
		if i.Known {
			x.Value, x.Low, x.High = ptr(i.Value), ptr(i.Low), ptr(i.High)
		}
		if i.RecheckMin > 0 {
			x.RecheckMin = ptr(i.RecheckMin)
		}
		if n := i.Narrow; n != nil {
			x.Narrow = &narrowView{n.Measure, n.Sentence, n.Now, n.Then}
		}
		v.Items = append(v.Items, x)
	}
	for _, c := range s.Checks {
		v.Checks = append(v.Checks, fitCheckView{c.ID, c.Side.String(), c.Result, c.Sentence, c.Do, c.Sources})
	}
	for _, f := range s.Flags {
		v.Flags = append(v.Flags, fitFlagView{f.Measure, f.Side.String(), f.Value, f.Low, f.High, f.Unit, f.Sentence, f.Sources})
	}
	return v
}

// steps a figure is printed to.
var fitSteps = map[string]quantity.Step{"mm": quantity.Decimals(0), "cm": quantity.Decimals(0), "deg": quantity.Decimals(0), "1": quantity.Decimals(0)}

// says prints a value with its limits.
func (i fitItemView) says() string {
	if i.Value == nil {
		return "not known"
	}
	step, unit := fitSteps[i.Unit], " "+strings.Replace(i.Unit, "deg", "degrees", 1)
	if i.Unit == "1" {
		unit = ""
	}
	text := step.Text(*i.Value) + unit
	if low, high := step.Text(*i.Low), step.Text(*i.High); low != high {
		text += " (" + low + " to " + high + ")"
	}
	return text
}

// sameFor tells whether what is said of the other side was said already.
func (v fitView) sameFor(i fitItemView, text func(fitItemView) string) bool {
	for _, o := range v.Items {
		if o.ID == i.ID && o.Side != i.Side {
			return i.Side == "R" && text(o) == text(i)
		}
	}
	return false
}

func printFit(p *sheet, v fitView, all bool) error {
	name := v.Name
	if name == "" {
		name = "A student without a name in the file"
	}
	p.line("%s", name)
	p.line("%s, fitted for: %s", v.On, strings.ReplaceAll(v.Way, "_", " "))
	done := map[string]bool{}
	for _, i := range v.Items {
		if done[i.ID] {
			continue
		}
		done[i.ID] = true
		p.blank()
		p.line("%s", i.Label)
		for _, o := range v.Items {
			if o.ID != i.ID {
				continue
			}
			label := map[string]string{"L": "left", "R": "right", "": ""}[o.Side]
			p.labelled(2, 10, label, o.says())
		}
		for _, o := range v.Items {
			if o.ID != i.ID {
				continue
			}
			for _, say := range o.remarks(all) {
				if !v.sameFor(o, func(x fitItemView) string { return strings.Join(x.remarks(all), "|") }) {
					p.para(10, say)
				}
			}
		}
	}
	p.heading("BOOTS, BARE SHELL")
	open := 0
	for _, c := range v.Checks {
		if c.Result == fit.Unknown {
			open++
			if !all {
				continue
			}
		}
		p.labelled(2, 6, c.Side, c.Result+": "+c.Sentence+" "+c.Do)
	}
	if open > 0 && !all {
		p.para(2, fmt.Sprintf("%d things were not looked at; --all lists them.", open))
	}
	if len(v.Flags) > 0 {
		p.heading("LOOK AGAIN")
		for _, f := range v.Flags {
			p.bullet(f.Sentence)
		}
	}
	p.blank()
	for _, w := range v.Warnings {
		p.bullet(w.Sentence)
	}
	p.blank()
	p.para(0, v.Cautions)
	return p.err
}

// remarks are the sentences under a value.
func (i fitItemView) remarks(all bool) []string {
	var out []string
	say := func(text string) {
		if text != "" {
			out = append(out, text)
		}
	}
	say(i.Words)
	if i.Value != nil {
		say(i.Method)
	}
	for _, w := range i.Warnings {
		if w.Sentence != i.Words {
			say("! " + w.Sentence)
		}
	}
	if n := i.Narrow; n != nil && (all || i.Value == nil || n.Now > 2*n.Then) {
		now, then := strconv.FormatFloat(n.Now, 'f', 0, 64), strconv.FormatFloat(n.Then, 'f', 0, 64)
		if now == then || then == "0" {
			now, then = short(n.Now), strconv.FormatFloat(n.Then, 'g', 1, 64)
		}
		say("To narrow it from ± " + now + " to ± " + then + ": " + n.Sentence)
	}
	if all {
		if i.Sign != "" {
			say("Wrong fit: " + i.Sign)
		}
		if i.Recheck != "" {
			say("Again: " + i.Recheck)
		}
		say("Sources: " + strings.Join(i.Sources, ", "))
	}
	return out
}
