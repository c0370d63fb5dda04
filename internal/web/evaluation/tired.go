package evaluation

import (
	"net/http"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

// repeated are the tests that are done again tired; the others that tiring can
// change are looked at on the way.
var repeated = []string{"1", "2", "9"}

// tiredAsks lists the questions of the tired retest: the repeated tests first.
func tiredAsks() []q.Ask {
	var first, rest []q.Ask
	for _, t := range finding.Tests() {
		again := false
		for _, n := range repeated {
			again = again || n == t.Number
		}
		for _, a := range asksOf(t, finding.Tired) {
			d, _ := finding.Lookup(a.ID)
			switch {
			case !d.Tiring:
			case again:
				first = append(first, a)
			default:
				rest = append(rest, a)
			}
		}
	}
	return append(first, rest...)
}

func tiredStep(r programme.Record, evaluation programme.ID) step {
	s := step{Test: finding.Test{Number: "tired", Title: "Tired retest"}}
	for _, a := range tiredAsks() {
		for _, k := range a.Keys() {
			s.Of++
			if look(r, evaluation)(k).Value != "" {
				s.Done++
			}
		}
	}
	return s
}

type tiredBody struct {
	Number string // for the panel
	First  []q.Item
	Rest   []q.Item
	Form   programme.ID
	Fresh  int // fresh values that could be the same
	Back   string
	Skip   string
	Panel  answer.Panel
}

// tiredLook is look, with the fresh value of this evaluation beside it.
func tiredLook(r programme.Record, evaluation programme.ID) q.Look {
	now := look(r, evaluation)
	return func(k finding.Key) q.Known {
		known := now(k)
		if fresh := now(finding.Key{ID: k.ID, Side: k.Side, State: finding.Fresh}).Value; fresh != "" {
			d, _ := finding.Lookup(k.ID)
			if val, err := finding.Parse(k.ID, k.Side, finding.Fresh, fresh); err == nil {
				known.Last = "When fresh: " + finding.Say(d, val)
			}
		}
		return known
	}
}

func showTired(v *page.Visit) error {
	r, e, open, err := opened(v)
	if err != nil {
		return err
	}
	if !open {
		return v.Go("/students/"+string(r.Student)+"/evaluation", "")
	}
	return renderTired(v, http.StatusOK, r, e.ID, q.Typed{}, string(v.NewID()))
}

func renderTired(v *page.Visit, st int, r programme.Record, evaluation programme.ID, typed q.Typed, form string) error {
	base := "/students/" + string(r.Student) + "/evaluation"
	body := tiredBody{Number: "tired", Form: programme.ID(form), Back: base + "/18", Skip: base + "/19"}
	var first, rest []q.Ask
	for _, a := range tiredAsks() {
		d, _ := finding.Lookup(a.ID)
		if d.Test == "1" || d.Test == "2" || d.Test == "9" {
			first = append(first, a)
		} else {
			rest = append(rest, a)
		}
	}
	body.First, body.Rest = q.Items(first, tiredLook(r, evaluation)), q.Items(rest, tiredLook(r, evaluation))
	if typed.Values != nil {
		body.First, body.Rest = typed.Keep(body.First), typed.Keep(body.Rest)
	}
	draw(body.First)
	body.Fresh = len(sameAsFresh(r, evaluation, nil))
	d, err := v.DecideOn(r, programme.AsOf{}, true)
	if err != nil {
		return err
	}
	body.Panel = answer.PanelOf(d)
	return v.Render(st, "tired", page.View{Title: "Tired retest", Student: v.HeadingOf(r), Here: "evaluation", Problems: typed.Problems, Script: "panel.js", Body: body})
}

// sameAsFresh returns the fresh values of the evaluation for every tired value
// that was neither recorded nor typed.
func sameAsFresh(r programme.Record, evaluation programme.ID, typed map[finding.Key]string) map[finding.Key]string {
	now := look(r, evaluation)
	out := map[finding.Key]string{}
	for _, a := range tiredAsks() {
		for _, k := range a.Keys() {
			fresh := now(finding.Key{ID: k.ID, Side: k.Side, State: finding.Fresh}).Value
			if _, has := typed[k]; !has && fresh != "" && fresh != "unknown" && now(k).Value == "" {
				out[k] = fresh
			}
		}
	}
	return out
}

// saveTired records the tired values; "same" fills in the fresh ones for
// everything that was left open.
func saveTired(v *page.Visit) error {
	r, e, open, err := opened(v)
	if err != nil {
		return err
	}
	if !open {
		return programme.Refuse(programme.CodeConflict, "No evaluation is open, so nothing was saved. Begin one first.")
	}
	typed := q.Read(v, tiredAsks())
	form := v.Typed("form")
	if len(typed.Problems) > 0 {
		return renderTired(v, http.StatusUnprocessableEntity, r, e.ID, typed, form)
	}
	n, err := q.Save(v, r, form, typed.Values, "seen tired", q.InEvaluation(e.ID))
	if err != nil {
		return err
	}
	if v.Typed("rest") == "same" {
		same := sameAsFresh(r, e.ID, typed.Values)
		m, err := q.Save(v, r, form, same, "seen tired: the same as fresh", q.InEvaluation(e.ID))
		if err != nil {
			return err
		}
		n += m
	}
	saved := "findings"
	if n == 0 {
		saved = ""
	}
	return v.Go("/students/"+string(r.Student)+"/evaluation/19", saved)
}
