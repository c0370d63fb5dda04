package lift

import (
	"net/http"
	"strings"

	core "firnhand/core/lift"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type timesBody struct {
	Lift programme.LiftState
	Form page.Form
	Fact programme.ID
}

func timesForm() page.Form {
	know := func() []page.Option {
		return []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}, {Value: "unknown", Label: "Not tried"}}
	}
	return page.Form{
		{Kind: "date", Name: "day", Label: "Day"},
		{Kind: "number", Name: "push_m", Label: "Distance of the pushes", Unit: "m", Hint: "Off the lift, on the flat, as far as from the wait line to the load line."},
		{Kind: "text", Name: "push_s", Label: "Each push (s)", Hint: "From the word to being there, on the gear of the day: 4.8 5.6 6.3. At least once, better three times."},
		{Kind: "text", Name: "settle_s", Label: "Then, to settle (s)", Hint: "From being there to ready to sit."},
		{Kind: "text", Name: "stand_s", Label: "To stand up from a chair (s)", Hint: "From the word to standing."},
		{Kind: "text", Name: "clear_s", Label: "From standing to the clear place (s)", Hint: "Over the distance that is written down for this lift, else 10 m."},
		{Kind: "radio", Name: "harness", Label: "Does the rescue harness fit?", Hint: "Tried on the flat, with patrol.", Options: know()},
		{Kind: "text", Name: "gear", Label: "What were they on?", Hint: "Two skis with outriggers, and so on."},
		{Kind: "text", Name: "note", Label: "Note", Hint: "May stay empty."},
	}
}

// of returns the lift that is timed for.
func of(v *page.Visit, r programme.Record, asked string) (programme.LiftState, error) {
	h, err := v.Hill()
	if err != nil {
		return programme.LiftState{}, err
	}
	id, _ := at(v, r, asked)
	l, ok := h.LiftByID(id)
	if !ok {
		return l, programme.Refuse(programme.CodeNotFound, "No lift is chosen for this student. Choose one on the slope page first.")
	}
	return l, nil
}

func newTimes(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	l, err := of(v, r, v.R.URL.Query().Get("at"))
	if err != nil {
		return err
	}
	f := timesForm()
	f.Get("day").Value = v.Today().String()
	if len(l.WaitM) > 0 {
		f.Get("push_m").Value = tenth.Text(l.WaitM[len(l.WaitM)-1])
	}
	return v.Render(http.StatusOK, "lift-times", page.View{Title: "Time for the lift", Student: v.HeadingOf(r), Here: "lift", Body: timesBody{l, f, v.NewID()}})
}

func saveTimes(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	l, err := of(v, r, v.Typed("at"))
	if err != nil {
		return err
	}
	var p page.Problems
	t := programme.LiftTimes{Lift: l.Lift, PushS: v.Numbers(&p, "push_s", "s"), SettleS: v.Numbers(&p, "settle_s", "s"), StandS: v.Numbers(&p, "stand_s", "s"), ClearS: v.Numbers(&p, "clear_s", "s"),
		Harness: core.Know(v.Typed("harness")), Gear: v.Typed("gear"), Note: v.Typed("note")}
	if x := v.Number(&p, "push_m", "m"); x != nil {
		t.PushM = *x
	} else if p.At("push_m") == "" {
		p.Add("push_m", "Write the distance of the pushes.")
	}
	if len(t.PushS) == 0 && p.At("push_s") == "" {
		p.Add("push_s", "Write at least one push.")
	}
	if t.Day, err = programme.ParseDate(v.Typed("day")); err != nil {
		p.Add("day", programme.SentenceOf(err))
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.RecordLiftTimes(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, t)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/lift", "times")
		}
		if c := programme.CodeOf(err); c != programme.CodeInvalid && c != programme.CodeConflict {
			return err
		}
		field := ""
		for _, f := range []struct{ words, field string }{{"distance of the pushes", "push_m"}, {"push", "push_s"}, {"settle", "settle_s"}, {"stand up", "stand_s"}, {"clear", "clear_s"}, {"day of", "day"}, {"harness", "harness"}} {
			if strings.Contains(programme.SentenceOf(err), f.words) {
				field = f.field
				break
			}
		}
		p.Add(field, programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "lift-times", page.View{Title: "Time for the lift", Student: v.HeadingOf(r), Here: "lift", Problems: p, Body: timesBody{l, timesForm().Fill(v, p), v.FormID("fact")}})
}
