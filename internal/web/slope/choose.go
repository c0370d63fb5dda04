package slope

import (
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/quantity"
	core "firnhand/core/slope"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type chooseBody struct {
	Form page.Form
	Fact programme.ID
	None bool // the hill has no slope in use
}

// chooseForm lists what can be chosen. What is chosen already but no longer
// used is not among it.
func chooseForm(h programme.Hill) page.Form {
	slopes, lifts := h.InUse()
	on := &page.Field{Kind: "radio", Name: "slope", Label: "Slope"}
	for _, s := range slopes {
		on.Options = append(on.Options, page.Option{Value: string(s.Slope), Label: s.Name, Hint: zero.Text(s.LengthM()) + " m, " + tenth.Text(s.MeanPct()) + " % on average"})
	}
	by := &page.Field{Kind: "radio", Name: "lift", Label: "Lift", Options: []page.Option{{Value: "none", Label: "None"}}}
	for _, l := range lifts {
		by.Options = append(by.Options, page.Option{Value: string(l.Lift), Label: l.Name})
	}
	f := page.Form{on, {Kind: "number", Name: "start", Label: "Start below the top", Unit: "m", Hint: "Along the slope on the map. Empty for the top."}}
	for _, side := range []string{"left", "right"} {
		one := &page.Field{Kind: "radio", Name: "step_" + side, Label: "Fan to the student's " + side, Hint: "The step at which this side stops cleanly three of three times.",
			Options: []page.Option{{Value: "0", Label: "None yet"}}}
		for i, start := range core.TradeLadder() {
			one.Options = append(one.Options, page.Option{Value: strconv.Itoa(i + 1), Label: strconv.Itoa(i+1) + ": " + zero.Text(quantity.Radian(start).Degrees()) + " degrees from straight across"})
		}
		f = append(f, one)
	}
	return append(f, by, &page.Field{Kind: "text", Name: "note", Label: "Note", Hint: "May stay empty."})
}

func choose(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	f := chooseForm(h)
	c, ok := r.Hill.Choice()
	if ok {
		f.Get("slope").Choose(string(c.Slope))
		f.Get("lift").Choose(string(c.Lift))
		if c.StartM > 0 {
			f.Get("start").Value = page.TextOf(&c.StartM)
		}
		f.Get("note").Value = c.Note
		f.Get("step_left").Choose(strconv.Itoa(c.StepLeft))
		f.Get("step_right").Choose(strconv.Itoa(c.StepRight))
	}
	return choosePage(v, r, h, http.StatusOK, f, v.NewID(), nil)
}

func choosePage(v *page.Visit, r programme.Record, h programme.Hill, status int, f page.Form, fact programme.ID, p page.Problems) error {
	slopes, _ := h.InUse()
	return v.Render(status, "slope-choose", page.View{Title: "Choose a slope", Student: v.HeadingOf(r), Here: "slope", Problems: p, Body: chooseBody{f, fact, len(slopes) == 0}})
}

func saveChoice(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	var p page.Problems
	c := programme.HillChoice{Slope: programme.ID(v.Typed("slope")), Note: v.Typed("note")}
	if lift := v.Typed("lift"); lift != "none" {
		c.Lift = programme.ID(lift)
	}
	for name, to := range map[string]*int{"step_left": &c.StepLeft, "step_right": &c.StepRight} {
		if text := v.Typed(name); text != "" {
			n, err := strconv.Atoi(text)
			if err != nil {
				p.Add(name, "A step of the fan is 1 to 6, or none yet.")
			}
			*to = n
		}
	}
	if x := v.Number(&p, "start", "m"); x != nil {
		c.StartM = *x
	}
	if c.Slope == "" {
		p.Add("slope", "Choose a slope.")
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.ChooseHill(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, c)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/slope", "choice")
		}
		if code := programme.CodeOf(err); code != programme.CodeInvalid && code != programme.CodeConflict {
			return err
		}
		field := "slope"
		for _, f := range []struct{ words, field string }{{"start", "start"}, {"lift", "lift"}, {"step", "step_left"}} {
			if strings.Contains(programme.SentenceOf(err), f.words) {
				field = f.field
				break
			}
		}
		p.Add(field, programme.SentenceOf(err))
	}
	return choosePage(v, r, h, http.StatusUnprocessableEntity, chooseForm(h).Fill(v, p), v.FormID("fact"), p)
}
