package slope

import (
	core "firnhand/core/slope"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// asked is a form that asks without writing anything down.
type asked page.Form

func askedForm() asked {
	return asked{
		{Kind: "number", Name: "kmh", Label: "Wanted speed at the end", Unit: "km/h"},
		{Kind: "number", Name: "handler_kg", Label: "Who holds the reins, with gear", Unit: "kg"},
		{Kind: "text", Name: "handler_mu", Label: "Friction of their braking", Hint: "As measured with this handler on this snow: one number, or lowest and highest, such as 0.25 0.35. Nothing was published."},
		{Kind: "number", Name: "slack_m", Label: "Slack in the line", Unit: "m", Hint: "May stay empty."},
	}
}

// fill puts in what stands in the address.
func (f asked) fill(v *page.Visit) page.Form {
	for _, one := range f {
		one.Value = v.R.URL.Query().Get(one.Name)
	}
	return page.Form(f)
}

// ask answers what stands in the address; a value that cannot be read is told.
func ask(v *page.Visit, o *programme.OnSlope, out *shown) {
	if len(o.Needs) > 0 {
		return
	}
	var p page.Problems
	get := func(name, unit string) *float64 { return v.Asked(&p, name, unit) }
	wanted, kg, slack := get("kmh", "km/h"), get("handler_kg", "kg"), get("slack_m", "m")
	mu := v.AskedList(&p, "handler_mu")
	if len(p) > 0 {
		out.Problem = p[0].Sentence
		return
	}
	if wanted != nil {
		a, err := o.StartFor(*wanted)
		if err != nil {
			out.Problem = programme.SentenceOf(err)
		}
		out.Wanted, out.WantedAt = a, tenth.Text(*wanted)
	}
	switch {
	case kg == nil && len(mu) == 0:
	case kg == nil || len(mu) == 0 || len(mu) > 2:
		out.Problem = "The reins need the handler's mass and the friction of their braking, one number or lowest and highest."
	default:
		by := programme.Handler{MassKG: *kg, Mu: core.Between(mu[0], mu[len(mu)-1]), Lines: 2}
		if slack != nil {
			by.SlackM = *slack
		}
		a, err := o.Reins(by)
		if err != nil {
			out.Problem = programme.SentenceOf(err)
		}
		out.Reins = a
	}
}
