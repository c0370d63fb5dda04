package slope

import (
	"net/http"
	"strconv"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// trialRows is how many stops the form has room for.
const trialRows = 4

type trialFields struct{ Speed, Length, Time *page.Field }

type stopsBody struct {
	Form   page.Form
	Trials []trialFields
	Fact   programme.ID
	Slope  string
}

func stopsForm() (stopsBody, page.Form) {
	how := &page.Field{Kind: "radio", Name: "how", Label: "How do they stop?"}
	for _, w := range programme.StopWays {
		how.Options = append(how.Options, page.Option{Value: w.ID, Label: w.Label})
	}
	body := stopsBody{Form: page.Form{how,
		{Kind: "date", Name: "day", Label: "Day"},
		{Kind: "number", Name: "pct", Label: "Gradient of the place", Unit: "%", Hint: "Downhill is above zero."},
		{Kind: "text", Name: "note", Label: "Note", Hint: "May stay empty."}}}
	all := append(page.Form{}, body.Form...)
	for i := range trialRows {
		n := strconv.Itoa(i + 1)
		t := trialFields{&page.Field{Kind: "number", Name: "speed_" + n, Label: "Speed " + n, Unit: "km/h"}, &page.Field{Kind: "number", Name: "length_" + n, Label: "Length " + n, Unit: "m"},
			&page.Field{Kind: "number", Name: "time_" + n, Label: "Time " + n, Unit: "s"}}
		body.Trials = append(body.Trials, t)
		all = append(all, t.Speed, t.Length, t.Time)
	}
	return body, all
}

// chosen is the slope that was chosen for the student.
func chosen(r programme.Record, h programme.Hill) (programme.SlopeState, bool) {
	c, _ := r.Hill.Choice()
	return h.SlopeByID(c.Slope)
}

func newStops(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	body, all := stopsForm()
	body.Fact = v.NewID()
	all.Get("day").Value = v.Today().String()
	if s, ok := chosen(r, h); ok {
		body.Slope, all.Get("pct").Value = s.Name, tenth.Text(s.MeanPct())
	}
	return v.Render(http.StatusOK, "slope-stops", page.View{Title: "Measured stops", Student: v.HeadingOf(r), Here: "slope", Body: body})
}

func saveStops(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	var p page.Problems
	st := programme.MeasuredStops{How: v.Typed("how"), Note: v.Typed("note")}
	if s, ok := chosen(r, h); ok {
		st.Slope = s.Slope
	}
	if st.How == "" {
		p.Add("how", "Say how they stop.")
	}
	if st.Day, err = programme.ParseDate(v.Typed("day")); err != nil {
		p.Add("day", programme.SentenceOf(err))
	}
	if x := v.Number(&p, "pct", "%"); x != nil {
		st.Pct = *x
	} else if p.At("pct") == "" {
		p.Add("pct", "Write the gradient of the place.")
	}
	for i := range trialRows {
		n := strconv.Itoa(i + 1)
		speed, length, time := v.Number(&p, "speed_"+n, "km/h"), v.Number(&p, "length_"+n, "m"), v.Number(&p, "time_"+n, "s")
		if speed == nil && length == nil && time == nil {
			continue
		}
		var one programme.StopMeasure
		for _, x := range []struct {
			from *float64
			to   *float64
		}{{speed, &one.SpeedKmh}, {length, &one.LengthM}, {time, &one.TimeS}} {
			if x.from != nil {
				*x.to = *x.from
			}
		}
		st.Trials = append(st.Trials, one)
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.RecordStops(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, st)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/slope", "stops")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		field := "speed_1"
		for _, f := range []struct{ words, field string }{{"day of", "day"}, {"gradient", "pct"}, {"stop is one of", "how"}, {"length", "length_1"}} {
			if strings.Contains(programme.SentenceOf(err), f.words) {
				field = f.field
				break
			}
		}
		p.Add(field, programme.SentenceOf(err))
	}
	body, all := stopsForm()
	all.Fill(v, p)
	body.Fact = v.FormID("fact")
	return v.Render(http.StatusUnprocessableEntity, "slope-stops", page.View{Title: "Measured stops", Student: v.HeadingOf(r), Here: "slope", Problems: p, Body: body})
}
