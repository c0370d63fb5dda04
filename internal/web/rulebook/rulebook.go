// Package rulebook shows the rules as they are in force: what each asks for,
// what it leads to, why, and on what it rests. They are read here, not edited.
package rulebook

import (
	"embed"
	"net/http"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the page.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /rules", "", show)
}

type group struct {
	ID    string
	Title string
	Sided bool // some rules are read once for each side
	Rules []decide.Rule
}

type body struct {
	Version string
	Gates   []*decide.Gate
	Groups  []group
	Notes   []*decide.Note
	Effects map[string]string
}

// effects are what a gate does, in words.
var effects = map[string]string{"none_with_rules": "a rule for the day", "re_evaluate": "evaluate first", "hold_standing": "no standing",
	"hold": "no skiing", "refuse": "no skiing here", "none": "nothing"}

func show(v *page.Visit) error {
	t, err := v.Kit.Table(v.R.Context(), v.Actor, programme.AsOf{})
	if err != nil {
		return err
	}
	asks := map[string]string{}
	a := t.Decide(decide.Input{Findings: finding.Set{}})
	for _, x := range a.Axes {
		asks[x.Axis] = x.Asks
	}
	pairs := []string{"{this}", "left", "{This}", "Left", "{other}", "right", "{Other}", "Right"}
	for _, s := range t.Settings() {
		pairs = append(pairs, "{"+s.Name+"}", strings.TrimSpace(finding.FormatNumber(s.Value)+" "+s.Unit))
	}
	fill := strings.NewReplacer(pairs...)
	out := body{Version: t.Version, Notes: notes(t, fill), Effects: effects}
	for _, g := range t.Gates() {
		one := *g
		one.When = fill.Replace(one.When)
		out.Gates = append(out.Gates, &one)
	}
	at := map[string]int{}
	seen := map[string]bool{}
	for _, r := range t.Rules() {
		axis := strings.TrimSuffix(strings.TrimSuffix(r.Axis, "_left"), "_right")
		if asks[axis] == "" || seen[axis+r.ID] {
			continue // read for both sides, written once
		}
		seen[axis+r.ID] = true
		i, ok := at[axis]
		if !ok {
			i = len(out.Groups)
			at[axis] = i
			out.Groups = append(out.Groups, group{ID: axis, Title: asks[axis]})
		}
		if r.Side != finding.NoSide {
			out.Groups[i].Sided = true
		}
		one := *r
		one.When = fill.Replace(one.When)
		out.Groups[i].Rules = append(out.Groups[i].Rules, one)
	}
	return v.Render(http.StatusOK, "rules", page.View{Title: "Rules", Body: out})
}

// notes lists each note once, though it may be read for both sides.
func notes(t *decide.Table, fill *strings.Replacer) []*decide.Note {
	var out []*decide.Note
	seen := map[int]bool{}
	for _, n := range t.Notes() {
		if !seen[n.Line] {
			seen[n.Line] = true
			one := *n
			one.When = fill.Replace(one.When)
			out = append(out, &one)
		}
	}
	return out
}
