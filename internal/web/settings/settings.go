// Package settings shows the numbers of the programme: what each is for, where
// it comes from, and who signed it off. The lead signs.
package settings

import (
	"embed"
	"net/http"
	"strconv"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/progress"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /settings", programme.ReadIdentity, list)
	k.Handle("GET /settings/{name}", programme.ManageSettings, show)
	k.Handle("POST /settings/{name}", programme.ManageSettings, sign)
}

// number is one number of the programme.
type number struct {
	Name, Means, Unit string
	Value             string // in force
	Proposed          string // as it comes with the program
	Min, Max          string
	Basis             []string
	Signed            *programme.SettingState
	Open              bool // proposed, and nobody signed it off
}

type listBody struct {
	Open, Rest []number
	May        bool
}

// numbers lists every number with what was signed off.
func numbers(v *page.Visit) ([]number, error) {
	signed, err := v.Kit.Cases.Settings(v.R.Context(), v.Actor, programme.AsOf{})
	if err != nil {
		return nil, err
	}
	var out []number
	add := func(n number, proposed bool) {
		n.Value = n.Proposed
		if s, ok := signed[n.Name]; ok {
			n.Signed, n.Value = &s, s.Value
		}
		n.Open = proposed && n.Signed == nil
		out = append(out, n)
	}
	for _, s := range decide.Standing().Settings() {
		add(number{Name: s.Name, Means: s.Means, Unit: s.Unit, Proposed: finding.FormatNumber(s.Value), Min: finding.FormatNumber(s.Min), Max: finding.FormatNumber(s.Max), Basis: s.Basis}, s.Proposed)
	}
	for _, s := range progress.Settings() { // of the counting rules, and of how the model is read
		add(number{Name: s.Name, Means: s.Means, Proposed: strconv.Itoa(s.Value), Min: strconv.Itoa(s.Min), Max: strconv.Itoa(s.Max), Basis: s.Basis}, s.Proposed)
	}
	for _, s := range programme.OwnSettings {
		add(number{Name: s.Name, Means: s.Means, Unit: s.Unit, Proposed: strconv.Itoa(s.Value), Min: strconv.Itoa(s.Min), Max: strconv.Itoa(s.Max), Basis: []string{"P"}}, true)
	}
	return out, nil
}

func list(v *page.Visit) error {
	all, err := numbers(v)
	if err != nil {
		return err
	}
	body := listBody{May: v.Actor.May(programme.ManageSettings)}
	for _, n := range all {
		if n.Open {
			body.Open = append(body.Open, n)
		} else {
			body.Rest = append(body.Rest, n)
		}
	}
	return v.Render(http.StatusOK, "settings", page.View{Title: "Settings", Body: body})
}
