package holds

import (
	"net/http"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type hold struct {
	programme.HoldState
	Word    string
	By      string
	Because []string // the findings it rests on, in words
}

type listBody struct {
	Open, Cleared, Withdrawn []hold
	Gates                    []answer.Gate // active by the findings or the record, with no hold of their own
	MayRaise, MayClear       bool
	Names                    map[programme.ID]string
	Licences                 map[string]string
}

func list(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := listBody{MayRaise: v.Actor.May(programme.RaiseHoldAct), MayClear: v.Actor.May(programme.RecordClears), Names: names, Licences: map[string]string{}}
	for _, c := range programme.Clearers {
		body.Licences[c.ID] = c.Label
	}
	has := map[string]bool{}
	for i := len(r.Holds) - 1; i >= 0; i-- {
		h := hold{HoldState: r.Holds[i], Word: page.HoldWord(r.Holds[i].Rule), By: names[r.Holds[i].By], Because: because(r, r.Holds[i])}
		switch h.Status {
		case programme.HoldOpen:
			body.Open = append(body.Open, h)
			has[h.Rule] = true
		case programme.HoldCleared:
			body.Cleared = append(body.Cleared, h)
		default:
			body.Withdrawn = append(body.Withdrawn, h)
		}
	}
	if v.Actor.May(programme.ReadWork) {
		d, err := v.DecideOn(r, programme.AsOf{}, false)
		if err != nil {
			return err
		}
		for _, g := range answer.PanelOf(d).Holds {
			if !has[g.ID] && g.ID != "HOLD" && g.ID != "HOLD_STANDING" {
				body.Gates = append(body.Gates, g)
			}
		}
	}
	return v.Render(http.StatusOK, "holds", page.View{Title: "Holds", Student: v.HeadingOf(r), Here: "holds", Body: body})
}

// because says which findings a hold rests on.
func because(r programme.Record, h programme.HoldState) []string {
	var out []string
	for _, id := range h.Because {
		for _, seen := range r.AllFindings() {
			if seen.Fact != id {
				continue
			}
			d, ok := finding.Lookup(seen.Finding.Finding)
			if !ok {
				continue
			}
			s := d.Label + ": " + answer.SayFinding(seen.Finding)
			if seen.Side == "left" || seen.Side == "right" {
				s = d.Label + ", " + seen.Side + ": " + answer.SayFinding(seen.Finding)
			}
			out = append(out, s+" ("+page.Day(programme.DateOf(seen.MadeAt))+")")
		}
	}
	return out
}
