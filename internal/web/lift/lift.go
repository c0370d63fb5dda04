// Package lift shows a student at a lift of the hill: whether anything speaks
// against riding, the margin between two carriers, the speed to name, and the
// request card for lift staff and patrol.
package lift

import (
	"embed"
	"net/http"

	core "firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /students/{student}/lift", programme.ReadWork, show)
	k.Handle("GET /students/{student}/lift/times", programme.PlanHill, newTimes)
	k.Handle("POST /students/{student}/lift/times", programme.PlanHill, saveTimes)
}

var tenth = quantity.Decimals(1)

type option struct {
	ID   programme.ID
	Name string
	Here bool
}

// part is one part of the request card.
type part struct {
	Heading string
	Items   []core.Item
}

type showBody struct {
	Holds    []answer.Gate
	Lifts    []option
	Chosen   bool
	On       *programme.OnLift
	Says     string
	Load     reach
	Unload   *reach
	Stand    string
	Limit    string
	Links    map[string]string
	Card     []part
	People   int
	Cautions []string
	May      bool
	TimedOn  programme.Date
	Gear     string
}

// reach is a need against what two carriers leave, in words.
type reach struct {
	Verdict, Need, Gap, Margin, Reserve, Push string
	Say                                       []string
}

func show(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	body, err := bodyOf(v, d, h)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "lift", page.View{Title: "Lift", Student: v.HeadingOf(d.Record), Here: "lift", Body: body})
}

// at is the lift that is looked at: the one asked for, else the one chosen.
func at(v *page.Visit, r programme.Record, asked string) (id programme.ID, chosen bool) {
	c, _ := r.Hill.Choice()
	if asked != "" && programme.ID(asked) != c.Lift {
		return programme.ID(asked), false
	}
	return c.Lift, c.Lift != ""
}

func bodyOf(v *page.Visit, d page.Decided, h programme.Hill) (showBody, error) {
	body := showBody{Holds: answer.PanelOf(d).Holds, Cautions: core.Cautions(), May: v.Actor.May(programme.PlanHill)}
	id, chosen := at(v, d.Record, v.R.URL.Query().Get("at"))
	body.Chosen = chosen
	_, lifts := h.InUse()
	for _, l := range lifts {
		body.Lifts = append(body.Lifts, option{l.Lift, l.Name, l.Lift == id})
	}
	if id == "" {
		return body, nil
	}
	o, err := programme.LiftOn(d.Table, d.Record, h, id)
	if err != nil {
		return body, err
	}
	body.On, body.Says, body.People = o, o.Says(), o.Ask.People
	if o.Timed {
		body.Load = reachOf(o.Load)
		body.Load.Push = span(o.Speed, "m/s", quantity.Decimals(2))
		body.TimedOn, body.Gear = o.Times.Day, o.Times.Gear
		if o.Unload != nil {
			u := reachOf(*o.Unload)
			body.Unload = &u
		}
		if o.Stand != nil {
			body.Stand = "The seat is over the zone " + span(o.Stand.Time, "s", tenth) + "; to spare " + span(o.Stand.Margin, "s", tenth) + "."
		}
	}
	if o.HasLimit {
		body.Limit = tenth.Text(float64(o.Limit)) + " m/s"
		if o.Limit == 0 {
			body.Limit = "a stop"
		}
	}
	base := "/students/" + string(d.Record.Student)
	body.Links = map[string]string{"not_timed": base + "/lift/times?at=" + string(id), "ask_harness": base + "/lift/times?at=" + string(id), "ask_bar": "/hill/lifts/" + string(id) + "/change",
		"ask_lowered": base + "/intake/today", "ask_two_lift": base + "/intake/wish", "ask_strap": base + "/intake/seizures", "ask_sugar": base + "/intake/medicine"}
	for _, p := range []part{{"To know first", o.Ask.Waits}, {"Before the queue", o.Ask.Before}, {"Ask lift staff for", o.Ask.Asked}, {"Load", o.Ask.Load}, {"Ride", o.Ask.Ride}, {"Unload", o.Ask.Unload}, {"If the lift stops", o.Ask.Stopped}} {
		if len(p.Items) > 0 {
			body.Card = append(body.Card, p)
		}
	}
	return body, nil
}

func reachOf(r core.Reach) reach {
	return reach{Verdict: verdictWord(r.Verdict), Need: span(r.Need, "s", tenth), Gap: span(r.Gap, "s", tenth), Margin: span(r.Margin, "s", tenth), Reserve: tenth.Text(float64(r.Reserve)) + " s", Say: r.Say}
}

func verdictWord(v core.Verdict) string {
	return map[core.Verdict]string{core.Reached: "reached, with the reserve", core.Tight: "not reached every time", core.NotReached: "not reached"}[v]
}

// span writes a range, rounded once.
func span[T quantity.Scalar](r quantity.Range[T], unit string, step quantity.Step) string {
	value, low, high := step.Text(float64(r.Value())), step.Text(float64(r.Low())), step.Text(float64(r.High()))
	if low == high {
		return value + " " + unit
	}
	return value + " " + unit + ", between " + low + " and " + high
}
