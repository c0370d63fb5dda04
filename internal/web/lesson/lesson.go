// Package lesson shows the plan of a student's lesson: the answer first, the
// blocks along the minutes, what the plan keeps within, what did not fit and
// why.
package lesson

import (
	"embed"
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/effort"
	"firnhand/core/ladder"
	core "firnhand/core/lesson"
	"firnhand/core/quantity"
	"firnhand/internal/picture/timeline"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the page.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}/plan", programme.ReadWork, show)
}

// most is how many findings are named that a plan waits for.
const most = 8

// usual is how long a lesson is where nobody says so.
const usual = 60 // minutes on snow

var (
	zero  = quantity.Decimals(0)
	tenth = quantity.Decimals(1)
)

type need struct{ Label, Title, Link string }

// block is one row of the plan.
type block struct {
	Role    string
	Rest    bool
	Time    string // "5 to 15"
	Title   string
	Help    string
	Terrain string
	Why     string // "new, only after K15 was clean"
	Pass    string
	People  int
}

type leftOut struct{ What, Why string }

type limit struct{ What, Says string }

type showBody struct {
	Holds    []answer.Gate
	Says     string // the answer, in one line
	Stops    string // why there is no plan
	Needs    []need
	More     int    // needs that are not listed
	Goal     string // in the student's words
	Toward   string
	Setup    string
	Before   []string
	Blocks   []block
	After    []string
	Free     int
	Either   bool
	Limits   []limit
	Cold     []string
	Left     []leftOut
	Know     []string
	Drawing  template.HTML
	DrawSays string
	Cautions []string
	Numbers  []number
	Asked    page.Form
	Problems []string
}

type number struct{ Means, Value, Basis string }

func show(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	body := showBody{Holds: answer.PanelOf(d).Holds, Cautions: append(core.Cautions(), effort.Cautions()[0])}
	q, form, problems := asked(v)
	body.Asked = form
	for _, p := range problems {
		body.Problems = append(body.Problems, p.Sentence)
	}
	p, err := programme.PlanOf(d.Table, d.Record, h, q)
	switch {
	case programme.CodeOf(err) == programme.CodeInvalid:
		body.Problems = append(body.Problems, programme.SentenceOf(err))
	case err != nil:
		return err
	default:
		body.fill(d, p)
	}
	return v.Render(http.StatusOK, "lesson", page.View{Title: "Lesson plan", Student: v.HeadingOf(d.Record), Here: "plan", Body: body})
}

// asked reads what is asked in the address; what cannot be read is told, and
// the usual taken.
func asked(v *page.Visit) (programme.PlanAsk, page.Form, page.Problems) {
	q := programme.PlanAsk{Day: v.Today(), Begins: v.Minutes(), Minutes: usual}
	var problems page.Problems
	get := v.R.URL.Query().Get
	whole := func(name string, low, high int, what string, to *int) {
		text := strings.TrimSpace(get(name))
		if text == "" {
			return
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < low || n > high {
			problems.Add(name, fmt.Sprintf("%s is a whole number from %d to %d, not %q.", what, low, high, page.Clip(text)))
			return
		}
		*to = n
	}
	whole("minutes", core.Step, core.MostMinutes, "Minutes on snow", &q.Minutes)
	whole("people", 1, 20, "The number of people", &q.People)
	if text := strings.TrimSpace(get("begins")); text != "" {
		n, ok := programme.DayHour{Time: text}.Minutes()
		if ok {
			q.Begins = n
		} else {
			problems.Add("begins", fmt.Sprintf("%q is not a time of the day; write 09:45.", page.Clip(text)))
		}
	}
	q.Goal = strings.ToUpper(strings.TrimSpace(get("goal")))
	if _, ok := ladder.Standing().Skill(q.Goal); !ok && q.Goal != "" {
		problems.Add("goal", fmt.Sprintf("There is no skill %q on the ladder.", page.Clip(q.Goal)))
		q.Goal = ""
	}
	form := page.Form{
		{Kind: "number", Name: "minutes", Label: "Minutes on snow", Unit: "min", Value: get("minutes"), Hint: "Rests included. Empty: " + strconv.Itoa(usual) + "."},
		{Kind: "number", Name: "people", Label: "People there are", Value: get("people"), Hint: "The lead included. Empty: as many as the student needs."},
		{Kind: "text", Name: "begins", Label: "Begins on snow at", Value: get("begins"), Hint: "Such as 09:45, for the cold. Empty: now."},
		{Kind: "text", Name: "goal", Label: "Goes for", Value: get("goal"), Hint: "A skill of the ladder, K01 to K37. Empty: the plan's own goal, or the next milestone."},
	}
	return q, form, problems
}

// fill writes the plan.
func (b *showBody) fill(d page.Decided, p *programme.Planned) {
	b.Goal = p.Goal
	if p.Stops != "" {
		b.Says, b.Stops = "No lesson can be planned yet.", p.Stops
		seen := map[string]bool{}
		for _, r := range p.Waits {
			if seen[r.Finding] {
				continue
			}
			seen[r.Finding] = true
			if len(b.Needs) == most {
				b.More++
				continue
			}
			title, link := answer.Where(d.Record.Student, r.Finding)
			b.Needs = append(b.Needs, need{answer.SayLabel(r.Finding), title, link})
		}
		return
	}
	r := p.Result
	b.Know = append(append([]string{}, p.Taken...), r.Say...)
	if w := p.Request.Day.Cold; w != nil {
		b.Cold = w.Say
	}
	for _, s := range core.Settings() {
		b.Numbers = append(b.Numbers, number{s.Means, strconv.Itoa(s.Value), strings.Join(s.Basis, " ") + map[bool]string{true: ", proposed, nobody has signed it off"}[s.Proposed]})
	}
	if r.None != nil {
		b.Says, b.Stops = "No lesson on snow.", r.None.Why
		return
	}
	b.Setup = upper(p.Request.Student.Setup.Words())
	b.Toward = r.Goal.ID + ", " + r.Goal.Name
	hard := ""
	for _, x := range r.Blocks {
		if hard == "" && x.Role != core.WarmUp && x.Role != core.Rest {
			hard = x.Title()
		}
	}
	b.Says = fmt.Sprintf("%d of %d minutes on snow, %s first.", r.Minutes, r.Given, hard)
	if r.First {
		b.Says = fmt.Sprintf("A first lesson of %d minutes on snow, after plan %s.", r.Minutes, r.Plan.ID)
	}
	for _, x := range core.Before() {
		b.Before = append(b.Before, around(x))
	}
	for _, x := range core.After() {
		b.After = append(b.After, around(x))
	}
	for _, x := range r.Blocks {
		b.Blocks = append(b.Blocks, blockOf(x, p.Request.Student.Setup.TieWords()))
	}
	b.Free, b.Either = r.Given-r.Minutes, r.EitherSide
	b.limits(p)
	for _, l := range r.Left {
		what := l.Skill.ID + " " + l.Skill.Name
		if w := l.Skill.SideWords(l.Side); w != "" {
			what += ", " + w
		}
		b.Left = append(b.Left, leftOut{what, l.Why})
	}
	t := timeline.Of(r)
	drawing := t.Draw(110, t.HeightFor())
	b.Drawing, b.DrawSays = template.HTML(drawing.SVG()), drawing.Desc
}

func around(x core.Around) string {
	if x.Least < x.Most {
		return fmt.Sprintf("%d to %d min: %s.", x.Least, x.Most, x.What)
	}
	return fmt.Sprintf("%d min: %s.", x.Most, x.What)
}

func blockOf(x core.Block, tie string) block {
	b := block{Role: string(x.Role), Rest: x.Role == core.Rest, Time: fmt.Sprintf("%d to %d", x.Start, x.Start+x.Minutes), Title: x.Title(), People: x.People}
	if b.Rest {
		return b
	}
	if tie != "" && x.Skill.WedgeRoute {
		b.Title += " (" + tie + ")"
	}
	b.Help, b.Terrain, b.Pass = upper(x.HelpWords()), x.Terrain.Name, x.Skill.Pass
	b.Why = upper(x.Role.Words())
	if w := x.AfterWords(); w != "" {
		b.Why += ", " + w
	}
	return b
}

// limits writes what the plan keeps within.
func (b *showBody) limits(p *programme.Planned) {
	r := p.Result
	add := func(what, says string) { b.Limits = append(b.Limits, limit{what, says}) }
	before := fmt.Sprintf("at most %d min", r.LaterBlock)
	if r.FirstBlock != r.LaterBlock {
		before = fmt.Sprintf("at most %d min at first, %d later", r.FirstBlock, r.LaterBlock)
	}
	add("Before a rest", fmt.Sprintf("%s; a rest is %d min or more", before, r.RestMin))
	add("Something harder", fmt.Sprintf("begins before minute %d", r.HardUntil))
	add("People", fmt.Sprintf("%d needed, lead included", p.Request.Student.People))
	switch {
	case r.Kcal != nil && r.KcalMost != nil:
		add("Effort", fmt.Sprintf("%s kcal, at most %s; %d min of rest are owed after the end", zero.Text(*r.Kcal), zero.Text(*r.KcalMost), r.RestAfter))
	case r.Kcal != nil:
		add("Effort", zero.Text(*r.Kcal)+" kcal; nothing is budgeted by it")
	}
	if r.LookMost != nil {
		var at []string
		for _, m := range r.Looks {
			at = append(at, strconv.Itoa(m))
		}
		add("Looks at parts that feel less", fmt.Sprintf("at minute %s; at most %s min to the first, %s between two", strings.Join(at, ", "), tenth.Text(*r.LookFirst), tenth.Text(*r.LookMost)))
	}
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
