package cli

import (
	"strings"

	"firnhand/core/slope"
	"firnhand/core/source"
)

// numberView is one number as JSON, in the unit its name ends in.
type numberView struct {
	Value float64  `json:"value"`
	Low   float64  `json:"low"`
	High  float64  `json:"high"`
	Unit  string   `json:"unit"`
	Label string   `json:"label"`
	Text  string   `json:"text"` // rounded once, with limits and unit
	From  []string `json:"from,omitempty"`
}

type citedView struct {
	ID     string `json:"id"`
	What   string `json:"what"`
	Status string `json:"status"`
}

// slopeView is an answer on the slope as JSON.
type slopeView struct {
	About    string                `json:"about"`
	Figures  map[string]numberView `json:"figures"`
	Says     []string              `json:"says"`
	Inputs   map[string]numberView `json:"inputs"`
	Sources  []citedView           `json:"sources"`
	Outside  []string              `json:"outside"`
	Warnings []string              `json:"warnings"`
	Cautions []string              `json:"cautions"`

	Track    []slope.Point      `json:"track,omitempty"`
	Ladders  []slope.FanLadders `json:"ladders,omitempty"`
	Along    any                `json:"along,omitempty"` // places of a run or a band
	Classes  []slope.Class      `json:"classes,omitempty"`
	Stations []slope.Station    `json:"stations,omitempty"`
	File     *fileView          `json:"file,omitempty"`
	Density  []densityView      `json:"chance,omitempty"` // of friction
}

type densityView struct {
	Mu      float64 `json:"friction"`
	Density float64 `json:"density"`
}

// fileView is what a terrain file was taken for.
type fileView struct {
	Name  string   `json:"name"`
	Kind  string   `json:"kind"`
	Line  string   `json:"line,omitempty"`
	Notes []string `json:"notes"`
}

func viewFigures(list []slope.Figure) map[string]numberView {
	out := map[string]numberView{}
	for _, f := range list {
		out[f.ID] = numberView{f.Value, f.Low, f.High, f.Unit, f.Label, f.Text(), f.From}
	}
	return out
}

// cited says what an id of core/source stands for.
func cited(id string) citedView {
	if w, ok := source.Reference(id); ok {
		return citedView{id, w.Text, string(w.Status)}
	}
	if d, ok := source.Figure(id); ok {
		return citedView{id, d.Quantity, string(d.Status)}
	}
	t := source.Table(id)
	return citedView{id, t.Title, string(t.Status)}
}

func viewAnswer(a *slope.Answer) slopeView {
	v := slopeView{About: a.About, Figures: viewFigures(a.Figures), Says: list(a.Says), Inputs: viewFigures(a.Inputs), Sources: []citedView{},
		Outside: list(a.Outside), Warnings: list(a.Warnings), Cautions: list(a.Cautions)}
	for _, id := range a.Sources {
		v.Sources = append(v.Sources, cited(id))
	}
	return v
}

// printAnswer writes an answer for people; more comes between the figures and
// what to beware of.
func printAnswer(p *sheet, a *slope.Answer, more func(*sheet)) {
	p.para(0, a.About+".")
	p.blank()
	for _, f := range a.Figures {
		p.labelled(2, 50, f.Label, f.Text())
	}
	for _, s := range a.Says {
		p.para(2, s)
	}
	if more != nil {
		more(p)
	}
	for _, part := range []struct {
		heading string
		lines   []string
	}{{"BEWARE", a.Warnings}, {"OUTSIDE", a.Outside}, {"CAUTIONS", a.Cautions}} {
		if len(part.lines) == 0 {
			continue
		}
		p.heading(part.heading)
		for _, s := range part.lines {
			p.bullet(s)
		}
	}
	p.heading("FROM")
	for _, f := range a.Inputs {
		from := ""
		if len(f.From) > 0 {
			from = "; " + strings.Join(f.From, ", ")
		}
		p.labelled(2, 50, f.Label, f.Text()+from)
	}
	for _, id := range a.Sources {
		c := cited(id)
		p.labelled(2, 20, c.ID, c.What+" ("+c.Status+")")
	}
}

// answer prints an answer in the form that was asked for.
func (a *app) answer(asJSON bool, ans *slope.Answer, add func(*slopeView), more func(*sheet)) error {
	if asJSON {
		v := viewAnswer(ans)
		if add != nil {
			add(&v)
		}
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	printAnswer(p, ans, more)
	return p.err
}
