package answer

import (
	"slices"
	"strconv"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/web/intake"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// Panel is the decision as it stands while findings arrive.
type Panel struct {
	Student programme.ID
	Holds   []Gate // active, strictest first
	Plan    string // what is done today, or what it can still be
	Cleared []Gate
	Way     Line
	Lines   []Line // the other answers, decided ones first
	Waits   []Wait
	Next    *Next
	Says    string // one sentence that is read out when the panel changes
	Tired   bool   // waits for tired values
	Trial   bool   // holds what is typed and not saved yet
}

// Line is one answer, or what it can still be.
type Line struct {
	Asks     string
	Label    string
	Open     bool
	Possible []string
}

// Gate is a hold or a rule on the card.
type Gate struct {
	decide.GateAnswer
	Word     string
	Standing bool // only standing is held
	Refuse   bool
	Again    bool // wants a new evaluation
}

// Wait is a test or block of questions that an answer waits for.
type Wait struct {
	Title, Link string
	Count       int
}

// Next is the test worth doing next.
type Next struct {
	Title, Link, Label string
	Settles            []string
}

// panelAxes are shown beside the evaluation.
var panelAxes = []string{"tie", "route", "braces", "heel", "reins", "people", "guide", "plan"}

// PanelOf makes the panel of a decision.
func PanelOf(d page.Decided) Panel {
	p := Panel{Student: d.Record.Student}
	p.Holds, p.Cleared = gates(d.Answer, d.Table)
	way, _ := d.Answer.Axis("way")
	p.Way = line(way)
	var open []Line
	for _, part := range SetUpOf(d) {
		if !slices.Contains(panelAxes, part.Axis) || !part.Open && part.Value == "not_used" {
			continue
		}
		if l := (Line{part.Asks, part.Label, part.Open, part.Words}); l.Open {
			open = append(open, l)
		} else {
			p.Lines = append(p.Lines, l)
		}
	}
	p.Lines = append(p.Lines, open...)
	if x, ok := d.Answer.Axis("plan"); ok {
		p.Plan = line(x).Says()
	}
	p.Waits, p.Tired = waits(d)
	if len(d.Next) > 0 {
		p.Next = next(d, d.Next[0])
	}
	p.Says = says(p)
	return p
}

func says(p Panel) string {
	switch {
	case len(p.Holds) > 0:
		return "Held: " + p.Holds[0].Word + "."
	case p.Way.Open:
		return "Way of skiing: not decided yet, " + strconv.Itoa(len(p.Way.Possible)) + " answers possible."
	}
	return "Way of skiing: " + p.Way.Label + "."
}

func line(x *decide.AxisAnswer) Line {
	l := Line{Asks: asks(x), Label: x.Label, Open: x.Open}
	for _, v := range x.Possible {
		l.Possible = append(l.Possible, v.Label)
	}
	return l
}

// asks names an axis with its side.
func asks(x *decide.AxisAnswer) string {
	switch {
	case x.Axis == "route":
		return "Turns to the " + x.Side
	case x.Side != "":
		return x.Asks + ", " + x.Side
	}
	return x.Asks
}

// gates sorts out the active holds and the cleared ones. Rules that only go
// onto the card are not among them.
func gates(a *decide.Answer, t *decide.Table) (holds, cleared []Gate) {
	for _, g := range a.Gates {
		if g.Open || g.Effect == decide.RuleOnly.String() {
			continue
		}
		one := Gate{GateAnswer: g, Word: page.HoldWord(g.ID), Standing: g.Effect == decide.HoldStanding.String(),
			Refuse: g.Effect == decide.Refuse.String(), Again: g.Effect == decide.ReEvaluate.String()}
		if g.ID == "HOLD" || g.ID == "HOLD_STANDING" {
			one.Word = "a hold in the record"
		}
		if g.Cleared {
			cleared = append(cleared, one)
		} else {
			holds = append(holds, one)
		}
	}
	rank := map[string]int{decide.Refuse.String(): 0, decide.Hold.String(): 1, decide.HoldStanding.String(): 2, decide.ReEvaluate.String(): 3}
	slices.SortStableFunc(holds, func(x, y Gate) int { return rank[x.Effect] - rank[y.Effect] })
	return holds, cleared
}

// where says on which page a finding is asked.
func where(student programme.ID, id, state string) (title, link string) {
	d, ok := finding.Lookup(id)
	if !ok {
		return id, ""
	}
	base := "/students/" + string(student)
	switch {
	case id == "waiver":
		return "Waiver", base + "/consents"
	case id == "age_years":
		return "Age", base + "/details"
	case id == "evaluation_age_days":
		return "An evaluation", base + "/evaluation"
	case state == "tired":
		return "Tired retest", base + "/evaluation/tired"
	}
	for _, b := range intake.Blocks {
		for _, a := range b.Asks {
			if a.ID == id {
				return b.Title, base + "/intake/" + b.ID
			}
		}
	}
	for _, t := range finding.Tests() {
		if t.Number == d.Test {
			return "Test " + t.Number + ", " + t.Title, base + "/evaluation/" + t.Number
		}
	}
	return d.Label, base + "/evaluation"
}

// waits groups what the answers wait for by the page on which it is asked.
func waits(d page.Decided) (out []Wait, tired bool) {
	at := map[string]int{}
	for _, r := range d.Answer.WaitsFor {
		state := r.State
		if state == "fresh and tired" {
			state = "fresh"
		}
		tired = tired || state == "tired"
		title, link := where(d.Record.Student, r.Finding, state)
		i, ok := at[link]
		if !ok {
			i = len(out)
			at[link] = i
			out = append(out, Wait{Title: title, Link: link})
		}
		out[i].Count++
	}
	return out, tired
}

// axisNames are what a test settles, in words.
func axisName(a *decide.Answer, id string) string {
	if id == "gate" {
		return "whether anything holds"
	}
	x, ok := a.Axis(id)
	if !ok {
		return id
	}
	return lower(asks(x))
}

// Where names the page on which a finding is entered, and its address.
func Where(student programme.ID, id string) (title, link string) { return where(student, id, "fresh") }

func next(d page.Decided, n decide.NextTest) *Next {
	title, link := where(d.Record.Student, n.Finding, n.State)
	out := &Next{Title: title, Link: link, Label: n.Label}
	if n.Side != "" {
		out.Label += ", " + n.Side
	}
	for _, id := range n.Settles {
		if w := axisName(d.Answer, id); !slices.Contains(out.Settles, w) && len(out.Settles) < 4 {
			out.Settles = append(out.Settles, w)
		}
	}
	return out
}
