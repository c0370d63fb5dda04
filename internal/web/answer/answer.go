// Package answer shows what the rules say about a student: the panel beside
// the evaluation, and the whole answer with its argument. The answer stands
// first, why second, and everything else is there on demand.
package answer

import (
	"embed"
	"html/template"
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/decide"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the page.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}/answer", programme.ReadWork, show)
}

type answerBody struct {
	Panel    Panel
	Drawing  template.HTML
	Parts    []Part // of the set-up; those out of the ordinary first
	Plain    []Part // nothing out of the ordinary
	Day      []Number
	Notes    map[string][]decide.NoteAnswer // by kind
	Rules    []decide.GateAnswer            // rules for the card
	Open     []OpenGate
	Next     []Next
	After    *decide.Answer // what it would be once the holds are cleared
	AfterWay string
	Missing  []programme.ConsentState
	Labels   map[programme.ConsentKind]string
	AskAgain []string
	Underway bool
	Stale    bool
	Table    string
	Upto     int64 // an earlier moment is shown
	Record   programme.Record
}

// OpenGate is a gate that unknown findings leave open.
type OpenGate struct {
	Word  string
	Waits []string
}

// AsOf reads the moment that an address asks for: "upto" is the last fact that
// counts. ok is false for now.
func AsOf(v *page.Visit) (at programme.AsOf, ok bool) {
	n, err := strconv.ParseInt(v.R.URL.Query().Get("upto"), 10, 64)
	if err != nil || n < 1 {
		return programme.AsOf{}, false
	}
	return programme.AsOf{Seq: n}, true
}

func show(v *page.Visit) error {
	at, past := AsOf(v)
	d, err := v.Decide(at, true)
	if err != nil {
		return err
	}
	body := answerBody{Panel: PanelOf(d), Drawing: Drawing(d.Answer), Day: DayNumbers(d), Notes: map[string][]decide.NoteAnswer{}, Missing: d.Record.MissingConsents(),
		Labels: map[programme.ConsentKind]string{}, Underway: d.Decision.Underway, Table: d.Answer.Version, Record: d.Record}
	for _, p := range SetUpOf(d) {
		if p.Usual {
			body.Plain = append(body.Plain, p)
		} else {
			body.Parts = append(body.Parts, p)
		}
	}
	for _, n := range d.Answer.Notes {
		body.Notes[n.Kind] = append(body.Notes[n.Kind], n)
	}
	for _, g := range d.Answer.Gates {
		switch {
		case g.Open:
			body.Open = append(body.Open, openGate(d, g))
		case g.Effect == decide.RuleOnly.String():
			body.Rules = append(body.Rules, g)
		}
	}
	for i, n := range d.Next {
		if i < 5 {
			body.Next = append(body.Next, *next(d, n))
		}
	}
	if len(body.Panel.Holds) > 0 {
		if body.After = d.Table.AfterClearance(d.Decision.Input); body.After != nil {
			if x, ok := body.After.Axis("way"); ok {
				body.AfterWay = line(x).Says()
			}
		}
	}
	for _, c := range programme.ConsentRules {
		body.Labels[c.Kind] = c.Label
	}
	seen := map[string]bool{}
	for _, k := range d.Decision.AskAgain {
		if label := SayLabel(k.ID); !seen[label] {
			seen[label] = true
			body.AskAgain = append(body.AskAgain, label)
		}
	}
	_, open := d.Record.OpenEvaluation()
	body.Stale = open && !d.Decision.Underway
	h := v.HeadingOf(d.Record)
	if past {
		body.Upto = at.Seq
		h.AsOf = v.When(d.Record.At)
	}
	return v.Render(http.StatusOK, "answer", page.View{Title: "Answer", Student: h, Here: "answer", Body: body})
}

func openGate(d page.Decided, g decide.GateAnswer) OpenGate {
	o := OpenGate{Word: page.HoldWord(g.ID)}
	for _, r := range g.Read {
		if r.Value == "unknown" {
			o.Waits = append(o.Waits, lower(SayLabel(r.Finding)))
		}
	}
	return o
}

// Says writes a line in words.
func (l Line) Says() string {
	if l.Open {
		return strings.Join(l.Possible, " or ")
	}
	return l.Label
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
