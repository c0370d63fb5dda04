package student

import (
	"html/template"
	"net/http"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// line is one of the ten lines.
type line struct {
	Title string
	Says  []string // nothing: not recorded yet
	Stop  bool     // a line that stops the day
	Link  string
	Then  string // words of the link
	None  string // said when there is nothing
}

type readBody struct {
	Lines    []line
	Drawing  template.HTML
	Work     bool
	Record   programme.Record
	Missing  []programme.ConsentState
	Labels   map[programme.ConsentKind]string
	AskAgain int
	Underway bool
	Stale    bool // an evaluation was left open
	Go       string
	GoWords  string
}

func read(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	body := readBody{Record: r, Work: v.Actor.May(programme.ReadWork), Missing: r.MissingConsents(), Labels: map[programme.ConsentKind]string{}}
	for _, c := range programme.ConsentRules {
		body.Labels[c.Kind] = c.Label
	}
	if body.Work {
		d, err := v.DecideOn(r, programme.AsOf{}, false)
		if err != nil {
			return err
		}
		body.AskAgain, body.Underway = len(d.Decision.AskAgain), d.Decision.Underway
		_, open := r.OpenEvaluation()
		body.Stale = open && !body.Underway
		body.Lines, body.Drawing = lines(d), answer.Drawing(d.Answer)
		body.Go, body.GoWords = toDo(v, d, open)
	}
	return v.Render(http.StatusOK, "read", page.View{Title: "30-second read", Student: v.HeadingOf(r), Here: "read", Body: body})
}

// toDo is the one thing to do next.
func toDo(v *page.Visit, d page.Decided, open bool) (link, words string) {
	base := "/students/" + string(d.Record.Student)
	if !v.Actor.May(programme.Evaluate) {
		return base + "/answer", "See the answer"
	}
	_, ever := d.Record.LastEvaluation()
	switch {
	case open:
		return base + "/evaluation", "Go on with the evaluation"
	case !ever && len(d.Record.Findings) == 0:
		return base + "/intake", "Begin the intake"
	case !ever:
		return base + "/evaluation", "Begin the evaluation"
	case len(d.Decision.AskAgain) > 0:
		return base + "/intake/today", "Ask today's questions"
	}
	return base + "/card", "Make today's card"
}

// elsewhere are answers that have a line of their own.
var elsewhere = []string{"plan", "terrain", "weaker_turn", "people", "helper_side", "cue_side", "slot", "order"}

// lines are the ten lines of a handover, in the trade's order.
func lines(d page.Decided) []line {
	r, a := d.Record, d.Answer
	base := "/students/" + string(r.Student)
	p := answer.PanelOf(d)
	s := answer.SetUpOf(d)
	name := []string{r.NameUsed}
	if r.AgeKnown {
		name[0] += ", " + finding.FormatNumber(float64(r.AgeNow)) + " years"
	}
	if g := text(d, "goal"); g != "" {
		name = append(name, "Goal: "+g)
	}
	stop := line{Title: "Stop rules", Link: base + "/answer", Then: "All of them"}
	for _, h := range p.Holds {
		stop.Stop = true
		stop.Says = append(stop.Says, answer.HoldTitle(h)+": "+h.Word+". "+h.Because)
	}
	for _, g := range a.Gates {
		if g.Card != "" && !g.Open {
			stop.Says = append(stop.Says, g.Card)
		}
	}
	for _, n := range a.Notes {
		if n.Kind == "stop" && n.Code != "stop_always" && n.Code != "uncontrolled_run" {
			stop.Says = append(stop.Says, n.Say)
		}
	}
	stop.Says = distinct(stop.Says)
	if w := text(d, "stop_word"); w != "" {
		stop.Says = append(stop.Says, "Stop word: "+w)
	}
	set := line{Title: "Set-up", Link: base + "/answer", Then: "Why"}
	if len(p.Holds) > 0 {
		set.Title = "Set-up, not for today"
	}
	for _, one := range s {
		if one.Usual || slices.Contains(elsewhere, one.Axis) {
			continue
		}
		set.Says = append(set.Says, one.Asks+": "+one.Short())
	}
	set.Says = append(set.Says, gear(d)...)
	start := line{Title: "Start here"}
	for _, id := range []string{"plan", "terrain"} {
		if x, ok := a.Axis(id); ok && !x.Open {
			start.Says = append(start.Says, upper(x.Label))
		} else if ok {
			start.Says = append(start.Says, x.Asks+": not decided yet")
		}
	}
	if b := a.Numbers.BlockMin; b != nil {
		start.Says = append(start.Says, "Rest after "+finding.FormatNumber(*b)+" min at the latest")
	}
	cue := line{Title: "Cue"}
	if c := text(d, "cue"); c != "" {
		cue.Says = append(cue.Says, "Works: "+c)
	}
	if c := text(d, "cue_fails"); c != "" {
		cue.Says = append(cue.Says, "Fails: "+c)
	}
	if x, ok := a.Axis("cue_side"); ok && !x.Open && x.Value != "either" {
		cue.Says = append(cue.Says, "Speak and show from the "+x.Label)
	}
	weak := line{Title: "Weak turn"}
	if x, ok := a.Axis("weaker_turn"); ok {
		switch {
		case x.Open:
			weak.Says = []string{"Not decided yet"}
		case x.Value == "none":
			weak.Says = []string{"Neither"}
		default:
			weak.Says = []string{upper(x.Label) + ". " + x.Because}
		}
	}
	tires := line{Title: "Tires"}
	if e, ok := r.Current("endurance_min", "none", "fresh"); ok && e.Value != "unknown" {
		tires.Says = append(tires.Says, "Quality drops after "+e.Value+" min")
	}
	tires.Says = append(tires.Says, notes(r, "tires")...)
	lift := line{Title: "Lift", Says: notes(r, "lift")}
	if x, ok := a.Axis("people"); ok && !x.Open {
		lift.Says = append([]string{x.Label + " people, lead included"}, lift.Says...)
		if x.Value == "1" {
			lift.Says[0] = "The lead alone"
		}
	}
	if x, ok := a.Axis("helper_side"); ok && !x.Open && x.Value != "either" {
		lift.Says = append(lift.Says, "Helper on the "+x.Label)
	}
	next := line{Title: "Next step", Says: notes(r, "next step"), Link: base + "/notes", Then: "Write one"}
	if n := lastNote(r); n != "" && len(next.Says) == 0 {
		next.Says = []string{n}
	}
	return handedOver(r, []line{{Title: "Name and goal", Says: name}, stop, set, start, cue, weak, tires, next, lift,
		{Title: "Changed today", None: "Nothing", Says: changed(r), Link: base + "/record", Then: "The record"}})
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// distinct leaves out a sentence that repeats another.
func distinct(s []string) []string {
	var out []string
	for _, one := range s {
		twice := false
		for _, had := range out {
			twice = twice || had == one
		}
		if !twice {
			out = append(out, one)
		}
	}
	return out
}

// text returns a finding of free words.
func text(d page.Decided, id string) string {
	val := d.Decision.Input.Findings.Get(id, finding.NoSide, finding.Fresh)
	return val.Text
}

// notes returns the newest note about something.
func notes(r programme.Record, about string) []string {
	for i := len(r.Notes) - 1; i >= 0; i-- {
		if n := r.Notes[i]; n.About == about && n.Class == programme.NoteWork {
			return []string{n.Text}
		}
	}
	return nil
}

// lastNote is the newest note for the work, with its day.
func lastNote(r programme.Record) string {
	for i := len(r.Notes) - 1; i >= 0; i-- {
		if n := r.Notes[i]; n.Class == programme.NoteWork {
			return "Last note, " + page.Day(programme.DateOf(n.MadeAt)) + ": " + n.Text
		}
	}
	return ""
}

// changed lists what was recorded on the record's day that differs from before.
func changed(r programme.Record) []string {
	all := r.AllFindings()
	older := map[programme.FindingKey]bool{}
	for _, seen := range all {
		if programme.DateOf(seen.MadeAt).Before(r.Day) {
			older[seen.FindingKey] = true
		}
	}
	var out []string
	for _, seen := range all {
		state := seen.State
		if state == "both" {
			state = "fresh"
		}
		last, _ := r.LastChange(seen.Finding.Finding, seen.Side, state)
		d, ok := finding.Lookup(seen.Finding.Finding)
		if !ok || programme.DateOf(seen.MadeAt) != r.Day || last.Fact != seen.Fact || !older[seen.FindingKey] {
			continue
		}
		out = append(out, upper(strings.TrimSpace(side(seen.Side)+" "+strings.ToLower(d.Label)))+": "+answer.SayFinding(seen.Finding))
	}
	if len(out) > 6 {
		out = append(out[:5], "and more: see the record")
	}
	return out
}

func side(s string) string {
	if s == "none" {
		return ""
	}
	return s
}
