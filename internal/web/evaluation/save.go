package evaluation

import (
	"net/http"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

// save records a test's values and goes on to the next test.
func save(v *page.Visit) error {
	t, i, err := find(v.R.PathValue("test"))
	if err != nil {
		return err
	}
	r, e, open, err := opened(v)
	if err != nil {
		return err
	}
	base := "/students/" + string(r.Student) + "/evaluation"
	if !open {
		return programme.Refuse(programme.CodeConflict, "No evaluation is open, so nothing was saved. Begin one first.")
	}
	asks := asksOf(t, finding.Fresh)
	typed := q.Read(v, asks)
	form := v.Typed("form")
	if len(typed.Problems) > 0 {
		return render(v, http.StatusUnprocessableEntity, t, i, r, e.ID, typed, form)
	}
	how := "test " + t.Number
	if v.Typed("rest") == "normal" {
		how += "; looked at, nothing noted where nothing was written"
		for _, a := range asks {
			d, _ := finding.Lookup(a.ID)
			for _, k := range a.Keys() {
				if _, has := typed.Values[k]; !has && d.Normal != "" && look(r, e.ID)(k).Value == "" {
					typed.Values[k] = d.Normal
				}
			}
		}
	}
	n, err := q.Save(v, r, form, typed.Values, how, q.InEvaluation(e.ID))
	if err != nil {
		return err
	}
	saved := "findings"
	if n == 0 {
		saved = ""
	}
	to, _ := after(base, i)
	return v.Go(to, saved)
}

// panel answers the panel for what is typed and not saved yet. It changes
// nothing.
func panel(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	var asks []q.Ask
	trial := false
	if v.Typed("test") == "tired" {
		asks = tiredAsks()
	} else if t, _, err := find(v.Typed("test")); err == nil {
		asks = asksOf(t, finding.Fresh)
	}
	set := d.Decision.Input.Findings.Clone()
	for k, text := range q.Read(v, asks).Values {
		if val, err := finding.Parse(k.ID, k.Side, k.State, text); err == nil {
			trial = trial || set[k] != val
			set[k] = val
		}
	}
	d.Decision.Input.Findings = set
	d.Answer, d.Next = d.Table.Argue(d.Decision.Input)
	p := answer.PanelOf(d)
	p.Trial = trial
	return v.Fragment("test", "panel", p)
}
