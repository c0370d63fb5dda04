package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"firnhand/core/binding"
	"firnhand/core/finding"
	paperwork "firnhand/internal/sheet"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// bindingCmd is about release bindings. It names no setting.
type bindingCmd struct {
	Request bindingRequestCmd `cmd:"" help:"Fill the request to a certified technician from a person's file. It names no setting."`
	Check   bindingCheckCmd   `cmd:"" help:"Look at whether what a certified technician recorded is plausible."`
}

// gearFlags are what somebody read off boots, bindings and skis. What holds
// for one side only goes before what holds for both.
type gearFlags struct {
	Type              string  `default:"unsure" help:"The skier's own declaration: 1, 2, 3, -1, 3+ or unsure."`
	SoleMM            float64 `name:"sole-mm" help:"Sole length printed on both boots, mm."`
	SoleLeftMM        float64 `name:"sole-left-mm" help:"Only the left boot's."`
	SoleRightMM       float64 `name:"sole-right-mm" help:"Only the right boot's."`
	SoleStandard      string  `help:"Standard on both soles: iso_5355_a, iso_5355_c, iso_23223, iso_9523, pin, not_printed, other."`
	SoleStandardLeft  string  `help:"Only on the left sole."`
	SoleStandardRight string  `help:"Only on the right sole."`
	Boot              string  `help:"Model of both boots."`
	BootLeft          string  `help:"Only of the left boot."`
	BootRight         string  `help:"Only of the right boot."`
	BindingModel      string  `help:"Model of both bindings."`
	BindingModelLeft  string  `help:"Only of the left binding."`
	BindingModelRight string  `help:"Only of the right binding."`
	Ski               string  `help:"Both skis."`
	SkiLeft           string  `help:"Only the left ski."`
	SkiRight          string  `help:"Only the right ski."`
	Plate             string  `help:"What lies under both boots or bindings; \"none\" where somebody looked."`
	PlateLeft         string  `help:"Only on the left."`
	PlateRight        string  `help:"Only on the right."`
	PlateMM           float64 `name:"plate-mm" help:"Height of it on both sides, mm."`
	PlateLeftMM       float64 `name:"plate-left-mm" help:"Only on the left."`
	PlateRightMM      float64 `name:"plate-right-mm" help:"Only on the right."`
	LastTest          string  `placeholder:"DATE" help:"Day of the last test."`
	Lent              string  `enum:"yes,no,unknown" default:"unknown" help:"Gear lent by the programme: yes, no, unknown."`
	Line              bool    `help:"A line to the skier or the skis is used."`
	AskedBy           string  `help:"Who asks."`
}

func (g gearFlags) gear() (binding.Gear, error) {
	typ, err := binding.ParseType(g.Type)
	if err != nil {
		return binding.Gear{}, bindingFault(err)
	}
	if g.LastTest != "" {
		if _, err := programme.ParseDate(g.LastTest); err != nil {
			return binding.Gear{}, refuse("usage", "%s", programme.SentenceOf(err))
		}
	}
	out := binding.Gear{Type: typ, LastTest: g.LastTest, AskedBy: g.AskedBy}
	if g.Lent != "unknown" {
		lent := g.Lent == "yes"
		out.Lent = &lent
	}
	if g.Line {
		out.Line = &g.Line
	}
	for _, one := range []struct {
		into                              *binding.Side
		sole                              float64
		standard, boot, model, ski, plate string
		plateMM                           float64
	}{
		{&out.Left, g.SoleLeftMM, g.SoleStandardLeft, g.BootLeft, g.BindingModelLeft, g.SkiLeft, g.PlateLeft, g.PlateLeftMM},
		{&out.Right, g.SoleRightMM, g.SoleStandardRight, g.BootRight, g.BindingModelRight, g.SkiRight, g.PlateRight, g.PlateRightMM},
	} {
		standard, err := binding.ParseStandard(first(one.standard, g.SoleStandard))
		if err != nil {
			return binding.Gear{}, bindingFault(err)
		}
		*one.into = binding.Side{SoleMM: firstNumber(one.sole, g.SoleMM), Standard: standard, Boot: first(one.boot, g.Boot), Binding: first(one.model, g.BindingModel),
			Ski: first(one.ski, g.Ski), Plate: first(one.plate, g.Plate), PlateMM: firstNumber(one.plateMM, g.PlateMM)}
		if s := one.into.SoleMM; s != 0 && (s < 150 || s > 400 || s != float64(int(s))) {
			return binding.Gear{}, refuse("out_of_range", "A sole length is a whole number of millimetres between 150 and 400, as printed on the boot.")
		}
	}
	return out, nil
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func firstNumber(a, b float64) float64 {
	if a != 0 {
		return a
	}
	return b
}

// bindingFault gives a refusal of core the one shape.
func bindingFault(err error) error {
	var e *binding.Error
	if errors.As(err, &e) {
		return refuse(e.Code, "%s", e.Sentence)
	}
	return err
}

// bindingRequestCmd fills the request.
type bindingRequestCmd struct {
	File string `arg:"" help:"The person's file; - reads from standard input."`
	JSON bool   `name:"json" help:"As JSON."`
	Out  string `short:"o" placeholder:"SHEET.pdf" help:"Write the request as a PDF of one A4 page to this file."`
	On   string `placeholder:"DATE" help:"Decide as of this day (YYYY-MM-DD) instead of today."`
	gearFlags
}

// requestView is the request as JSON.
type requestView struct {
	Name string `json:"name,omitempty"`
	On   string `json:"on"` // date, YYYY-MM-DD
	binding.Request
	Setting string `json:"setting"` // a sentence: there is none
}

// noSetting stands wherever somebody might look for a setting.
const noSetting = "None is named here. A certified technician sets and tests, by the maker's current chart."

// Run composes the request.
func (c *bindingRequestCmd) Run(a *app) error {
	g, err := c.gear()
	if err != nil {
		return err
	}
	d, err := a.decide(c.File, "", c.On)
	if err != nil {
		return err
	}
	r := binding.Compose(d.c.Input.Findings, d.answer, g)
	if c.Out != "" {
		day := time.Date(d.on.Year, d.on.Month, d.on.Day, 0, 0, 0, 0, time.UTC)
		var pdf bytes.Buffer
		err := paperwork.PDF(&pdf, paperwork.Request{Name: d.person.Name, Code: d.person.LessonCode, Day: day, MadeAt: a.Clock.Now(), Version: a.Version, Sheet: r})
		var refused *paperwork.Error
		switch {
		case errors.As(err, &refused):
			return refuse(refused.Code, "%s", refused.Sentence)
		case err != nil:
			return err
		}
		if err := replace(c.Out, pdf.Bytes()); err != nil {
			return err
		}
	}
	switch {
	case c.JSON:
		return a.printJSON(requestView{d.person.Name, d.on.String(), r, noSetting})
	case c.Out != "":
		_, err := fmt.Fprintln(a.Out, "Wrote", c.Out)
		return err
	}
	p := &sheet{w: a.Out}
	printRequest(p, d.person.Name, d.on, r)
	return p.err
}

func known(v *float64, unit string) string {
	if v == nil {
		return "not known"
	}
	return finding.FormatNumber(*v) + " " + unit
}

func printRequest(w *sheet, name string, on programme.Date, r binding.Request) {
	w.line("Request to a certified binding technician, %s", on)
	w.para(0, r.Cautions[0])
	w.heading("The skier")
	w.labelled(2, 22, "Name", or(name, "not written"))
	w.labelled(2, 22, "Mass", known(r.MassKG, "kg"))
	w.labelled(2, 22, "Height", known(r.HeightCM, "cm"))
	w.labelled(2, 22, "Age", known(r.AgeYears, "years"))
	w.labelled(2, 22, "Own declaration", r.TypeSays)
	w.labelled(2, 22, "Last test", or(r.LastTest, "not known"))
	w.labelled(2, 22, "Asked by", or(r.AskedBy, "not written"))
	w.heading("Boots, bindings, skis")
	w.row("", "left", "right")
	side := func(label string, of func(binding.Side) string) { w.row(label, of(r.Left), of(r.Right)) }
	side("Sole length", func(s binding.Side) string {
		if s.SoleMM == 0 {
			return "not known"
		}
		return finding.FormatNumber(s.SoleMM) + " mm"
	})
	side("Sole", func(s binding.Side) string { return s.Standard.Says() })
	side("Boot", func(s binding.Side) string { return or(s.Boot, "not written") })
	side("Binding", func(s binding.Side) string { return or(s.Binding, "not written") })
	side("Ski", func(s binding.Side) string { return or(s.Ski, "not written") })
	side("Plate or lift", func(s binding.Side) string {
		if s.PlateMM > 0 {
			return s.Plate + ", " + finding.FormatNumber(s.PlateMM) + " mm"
		}
		return or(s.Plate, "not looked at")
	})
	w.heading("Why the usual table may not apply")
	for _, one := range binding.Together(r.Reasons) {
		w.bullet(one.Say + " (" + strings.Join(one.Basis, " ") + ")")
	}
	if len(r.Reasons) == 0 {
		w.bullet("No reason was found so far.")
	}
	if len(r.NotKnown) > 0 {
		w.bullet("Not known yet: " + strings.Join(r.NotKnown, "; ") + ".")
	}
	if len(r.Missing) > 0 {
		w.bullet("Missing on this sheet: " + strings.Join(r.Missing, "; ") + ".")
	}
	w.heading("Comes back, written and signed by the technician")
	for _, c := range r.ComesBack {
		w.bullet(c)
	}
	w.heading("Cautions")
	for _, c := range r.Cautions[1:] {
		w.bullet(c)
	}
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// bindingCheckCmd compares a technician's record with the printed table.
type bindingCheckCmd struct {
	JSON     bool    `name:"json" help:"As JSON."`
	MassKG   float64 `name:"mass-kg" help:"The skier's mass, kg."`
	HeightCM float64 `name:"height-cm" help:"The skier's height, cm."`
	AgeYears float64 `name:"age-years" help:"The skier's age, years."`
	Type     string  `default:"unsure" help:"The skier's own declaration: 1, 2, 3, -1, 3+ or unsure."`
	SoleMM   float64 `name:"sole-mm" help:"Sole length printed on both boots, mm."`
	SoleL    float64 `name:"sole-left-mm" help:"Only the left boot's."`
	SoleR    float64 `name:"sole-right-mm" help:"Only the right boot's."`
	OneSki   string  `enum:"left,right,none" default:"none" help:"There is a ski on this side only: left or right."`

	ToeL   float64   `name:"recorded-toe-left" help:"Indicator value of the left toe, as the technician set it."`
	ToeR   float64   `name:"recorded-toe-right" help:"Of the right toe."`
	HeelL  float64   `name:"recorded-heel-left" help:"Of the left heel."`
	HeelR  float64   `name:"recorded-heel-right" help:"Of the right heel."`
	TwistL []float64 `name:"recorded-twist-left-nm" aliases:"twist-left-nm" placeholder:"A,B,C" help:"Three torques in twist of the left ski, N m, as measured."`
	TwistR []float64 `name:"recorded-twist-right-nm" aliases:"twist-right-nm" placeholder:"A,B,C" help:"Of the right ski."`
	LeanL  []float64 `name:"recorded-lean-left-nm" aliases:"lean-left-nm,recorded-forward-lean-left-nm,forward-lean-left-nm" placeholder:"A,B,C" help:"Three torques in forward lean of the left ski, N m."`
	LeanR  []float64 `name:"recorded-lean-right-nm" aliases:"lean-right-nm,recorded-forward-lean-right-nm,forward-lean-right-nm" placeholder:"A,B,C" help:"Of the right ski."`

	Technician string `help:"Name of the certified technician who set and measured it."`
	Instrument string `help:"What the torques were measured with."`
	Date       string `aliases:"on,tested-on,test-date" placeholder:"DATE" help:"Day of the test (YYYY-MM-DD)."`
}

// checkView is the verdict as JSON.
type checkView struct {
	Technician string `json:"technician"`
	Instrument string `json:"instrument"`
	TestedOn   string `json:"tested_on"`
	binding.Verdict
	Caution string `json:"caution"`
}

// checkCaution stands under every verdict.
const checkCaution = "This says whether what was recorded is plausible. It clears nothing: the technician's signature and the maker's current chart decide, and a sheet with reasons against the usual table needs more than plausibility."

// Run checks.
func (c *bindingCheckCmd) Run(a *app) error {
	typ, err := binding.ParseType(c.Type)
	if err != nil {
		return bindingFault(err)
	}
	if c.Date != "" {
		day, err := programme.ParseDate(c.Date)
		if err != nil {
			return refuse("usage", "%s", programme.SentenceOf(err))
		}
		if today, err := a.day(""); err == nil && day.After(today) {
			return refuse("out_of_range", "The day of the test, %s, is in the future.", day)
		}
	}
	s := binding.Skier{MassKG: c.MassKG, HeightCM: c.HeightCM, AgeYears: c.AgeYears, Type: typ,
		SoleLeftMM: firstNumber(c.SoleL, c.SoleMM), SoleRightMM: firstNumber(c.SoleR, c.SoleMM)}
	switch c.OneSki {
	case "left":
		s.SoleRightMM = 0
	case "right":
		s.SoleLeftMM = 0
	}
	v, err := binding.Check(s, binding.Record{Technician: c.Technician, Instrument: c.Instrument, TestedOn: c.Date,
		Left:  binding.Ski{Toe: c.ToeL, Heel: c.HeelL, Twist: c.TwistL, Lean: c.LeanL},
		Right: binding.Ski{Toe: c.ToeR, Heel: c.HeelR, Twist: c.TwistR, Lean: c.LeanR}})
	if err != nil {
		return bindingFault(err)
	}
	if c.JSON {
		err = a.printJSON(checkView{c.Technician, c.Instrument, c.Date, v, checkCaution})
	} else {
		p := &sheet{w: a.Out}
		printVerdict(p, v)
		err = p.err
	}
	if err == nil && (v.Word == binding.Inspect || v.Word == binding.Incomplete) {
		return errHeld
	}
	return err
}

func printVerdict(w *sheet, v binding.Verdict) {
	w.para(0, v.Says)
	if v.Row != "" {
		w.line("Row %s of the printed table.", v.Row)
	}
	w.heading("How the row was found")
	for _, s := range v.Steps {
		w.bullet(s)
	}
	w.heading("What was recorded")
	for _, i := range v.Items {
		value := finding.FormatNumber(i.Recorded)
		switch {
		case i.Word == binding.Incomplete:
			value = "not measured"
		case i.Unit == "Nm":
			value += " N m"
		}
		w.labelled(2, 38, i.Side+", "+strings.ToLower(i.Label[:1])+i.Label[1:], value+": "+string(i.Word)+". "+i.Say)
	}
	if len(v.Refer) > 0 {
		w.heading("Refer to the technician")
		for _, r := range binding.Together(v.Refer) {
			w.bullet(r.Say)
		}
	}
	w.heading("Look at")
	for _, n := range v.Notices {
		w.bullet(n)
	}
	w.blank()
	w.para(0, checkCaution)
}

// printSheet prints a request to the technician out of the records.
func printSheet(_ context.Context, o page.SheetOrder) ([]byte, error) {
	var pdf bytes.Buffer
	err := paperwork.PDF(&pdf, paperwork.Request{Name: o.Name, Code: tail(string(o.ID), 12), Day: o.MadeAt, MadeAt: o.MadeAt, Sheet: o.Sheet})
	var refused *paperwork.Error
	switch {
	case errors.As(err, &refused):
		return nil, programme.Refuse(programme.CodeInvalid, "%s", refused.Sentence)
	case err != nil:
		return nil, programme.Fail(programme.CodeInternal, err, "The sheet could not be printed.")
	}
	return pdf.Bytes(), nil
}
