// Package incident takes incidents and near misses in a minute, with a draft
// filled from the log, each witness apart, gear out of use by its tag; shows
// every wording that was ever written; and hands them out as a table or a text.
package incident

import (
	"embed"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /incidents", programme.WriteIncident, list)
	k.Handle("GET /incidents/new", programme.WriteIncident, ask)
	k.Handle("POST /incidents", programme.WriteIncident, record)
	k.Handle("GET /incidents/csv", programme.ReadIncident, table)
	k.Handle("GET /incidents/{incident}", programme.WriteIncident, show)
	k.Handle("GET /incidents/{incident}/text", programme.ReadIncident, asText)
	k.Handle("GET /incidents/{incident}/correct", programme.WriteIncident, askCorrect)
	k.Handle("POST /incidents/{incident}", programme.WriteIncident, correct)
	k.Handle("GET /incidents/{incident}/statement", programme.WriteIncident, askWitness)
	k.Handle("POST /incidents/{incident}/statements", programme.WriteIncident, witness)
	k.Handle("POST /quarantine", programme.ReleaseGearAct, release)
}

// row is one line of the list.
type row struct {
	ID       programme.ID
	Title    string
	Day      programme.Date
	Time     string
	Student  string
	By       string
	NearMiss bool
	OnSnow   bool
	Hurt     bool
	Of       programme.ID // student
}

type listBody struct {
	Rows    []row
	Out     []out
	Days    []programme.IncidentDay // to give a statement for
	All     bool                    // every incident is shown
	MayBack bool
	Fact    programme.ID
}

type out struct {
	programme.GearTagState
	By             string
	Typed, Problem string
}

// people returns the names of students for somebody who may read incidents.
func people(v *page.Visit) (map[programme.ID]string, error) {
	all, err := v.Kit.Cases.Students(v.R.Context(), v.Actor, true)
	if err != nil {
		return nil, err
	}
	names := map[programme.ID]string{}
	for _, s := range all {
		names[s.Student] = s.NameUsed
	}
	return names, nil
}

func list(v *page.Visit) error { return renderList(v, http.StatusOK, nil) }

// renderList shows the incidents, with the problems of giving gear back.
func renderList(v *page.Visit, st int, problems page.Problems) error {
	all, err := v.Kit.Cases.Incidents(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	tags, err := v.Kit.Cases.Quarantined(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	names, err := people(v)
	if err != nil {
		return err
	}
	staff, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := listBody{All: v.Actor.May(programme.ReadIncident), MayBack: v.Actor.May(programme.ReleaseGearAct), Fact: v.NewID()}
	for _, i := range all {
		body.Rows = append(body.Rows, row{i.ID, title(i), i.Day, i.Time, names[i.Student], staff[i.By], i.NearMiss, i.OnSnow, i.Hurt == "yes" || i.Head == "yes", i.Student})
	}
	if body.Days, err = v.Kit.Cases.IncidentDays(v.R.Context(), v.Actor); err != nil {
		return err
	}
	for _, t := range tags {
		o := out{GearTagState: t, By: staff[t.By], Problem: problems.At("back-" + t.Tag)}
		if o.Problem != "" {
			o.Typed = v.Typed("reason")
		}
		body.Out = append(body.Out, o)
	}
	return v.Render(st, "incidents", page.View{Title: "Incidents", Problems: problems, Body: body})
}

// title is the beginning of what happened.
func title(i programme.IncidentState) string {
	text := i.What
	if text == "" {
		text = i.Where
	}
	if r := []rune(text); len(r) > 90 {
		text = string(r[:88]) + "…"
	}
	return text
}

type askBody struct {
	Fact    programme.ID
	Student programme.ID
	Name    string
	From    programme.ID
	Lesson  programme.ID
	Log     []string
	Quick   page.Form
	More    page.Form
	Action  string
	Earlier *programme.IncidentState
}

// forms asks for what makes an entry, and, folded away, for what may be added
// later. i is what is known already.
func forms(i programme.Incident) (quick, more page.Form) {
	kind := &page.Field{Kind: "radio", Name: "kind", Label: "What was it?", Options: []page.Option{
		{Value: "near_miss", Label: "A near miss", Hint: "Nothing happened, and it could have."}, {Value: "incident", Label: "An incident", Hint: "Something happened, treated or not."}}}
	quick = page.Form{kind,
		{Kind: "area", Name: "what", Label: "What happened?", Hint: "Known facts only, with names; no guesses, no diagnosis.", Value: i.What},
		{Kind: "text", Name: "where", Label: "Where?", Value: i.Where},
		{Kind: "text", Name: "tags", Label: "Tags of the gear", Hint: "With commas between. It is out of use from now on, until somebody looked at it.", Value: strings.Join(i.Tags, ", ")},
		{Kind: "text", Name: "stopped", Label: "What stopped it?", Value: i.StoppedBy}}
	yes := func(name, label string, value string) *page.Field {
		f := &page.Field{Kind: "radio", Name: name, Label: label, Options: []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}, {Value: "unknown", Label: "I do not know"}}}
		f.Choose(value)
		return f
	}
	part := &page.Field{Kind: "radio", Name: "part", Label: "Where does it hurt?", Options: []page.Option{}}
	for _, p := range programme.BodyParts {
		part.Options = append(part.Options, page.Option{Value: p[0], Label: p[1]})
	}
	part.Choose(i.Part)
	help := &page.Field{Kind: "number", Name: "help", Label: "Help level, 7 full to 0 independent", Mode: "numeric"}
	if i.Help != nil {
		help.Value = fmt.Sprint(*i.Help)
	}
	more = page.Form{{Kind: "date", Name: "day", Label: "Day", Value: i.Day.String()}, {Kind: "text", Name: "time", Label: "Time", Hint: "14:05", Short: true, Value: i.Time},
		help, {Kind: "text", Name: "set_up", Label: "The set-up", Value: i.SetUp}, yes("hurt", "Was anybody hurt?", i.Hurt), part,
		yes("head", "Head strike, neck pain or odd numbness?", i.Head), yes("patrol", "Was patrol called?", i.Patrol),
		{Kind: "text", Name: "paper", Label: "Where is patrol's paper kept?", Value: i.Paper}}
	return quick, more
}

func ask(v *page.Visit) error {
	student := programme.ID(v.R.URL.Query().Get("student"))
	i, log, err := v.Kit.Cases.IncidentDraft(v.R.Context(), v.Actor, student)
	if err != nil {
		return err
	}
	body := askBody{Student: student, Log: log, Lesson: i.Lesson, From: programme.ID(v.R.URL.Query().Get("from"))}
	kind := ""
	if body.From != "" { // written down on snow: it is filled from there
		s, err := v.Kit.Cases.IncidentByID(v.R.Context(), v.Actor, body.From)
		if err != nil {
			return err
		}
		i, student, kind = s.Incident, s.Student, "near_miss"
		body.Student = student
	}
	body.Quick, body.More = forms(i)
	body.Quick.Get("kind").Choose(kind)
	return render(v, http.StatusOK, body, nil)
}

func render(v *page.Visit, st int, body askBody, problems page.Problems) error {
	body.Fact = v.FormID("fact")
	title := "Write an incident down"
	if body.Earlier != nil {
		title = "Correct an incident"
	} else {
		body.Action = "/incidents"
	}
	if body.Student != "" {
		names, err := people(v)
		if err != nil {
			return err
		}
		body.Name = names[body.Student]
	}
	return v.Render(st, "incident-new", page.View{Title: title, Problems: problems, Body: body})
}

// read takes what was typed.
func read(v *page.Visit) (programme.Incident, page.Problems) {
	var p page.Problems
	i := programme.Incident{What: v.Typed("what"), Where: v.Typed("where"), StoppedBy: v.Typed("stopped"), Time: v.Typed("time"), SetUp: v.Typed("set_up"), Hurt: v.Typed("hurt"),
		Part: v.Typed("part"), Head: v.Typed("head"), Patrol: v.Typed("patrol"), Paper: v.Typed("paper"), Lesson: programme.ID(v.Typed("lesson")), From: programme.ID(v.Typed("from"))}
	switch v.Typed("kind") {
	case "near_miss":
		i.NearMiss = true
	case "incident":
	default:
		p.Add("kind", "Say whether it was a near miss or an incident.")
	}
	if i.What == "" {
		p.Add("what", "Write what happened.")
	}
	for _, t := range strings.FieldsFunc(v.Typed("tags"), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if t = strings.TrimSpace(t); t != "" {
			i.Tags = append(i.Tags, t)
		}
	}
	if n := v.Number(&p, "help", ""); n != nil {
		h := int(*n)
		i.Help = &h
	}
	var err error
	if i.Day, err = programme.ParseDate(v.Typed("day")); err != nil {
		p.Add("day", programme.SentenceOf(err))
	} else if i.Day.IsZero() {
		i.Day = v.Today()
	}
	return i, p
}

func record(v *page.Visit) error {
	i, problems := read(v)
	student := programme.ID(v.Typed("student"))
	id := v.FormID("fact")
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RecordIncident(v.R.Context(), v.Actor, programme.Made{ID: id}, student, i)
		if err == nil {
			return v.Go("/incidents/"+string(id), "incident")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("what", programme.SentenceOf(err))
	}
	body := askBody{Student: student, Lesson: i.Lesson, From: i.From}
	body.Quick, body.More = forms(i)
	body.Quick.Fill(v, problems)
	body.More.Fill(v, problems)
	return render(v, http.StatusUnprocessableEntity, body, problems)
}

func (b *askBody) correcting(s programme.IncidentState) {
	b.Student, b.Lesson, b.From, b.Action, b.Earlier = s.Student, s.Lesson, s.From, "/incidents/"+string(s.ID), &s
}

func askCorrect(v *page.Visit) error {
	s, err := v.Kit.Cases.IncidentByID(v.R.Context(), v.Actor, programme.ID(v.R.PathValue("incident")))
	if err != nil {
		return err
	}
	var body askBody
	body.correcting(s)
	body.Quick, body.More = forms(s.Incident)
	kind := "incident"
	if s.NearMiss {
		kind = "near_miss"
	}
	body.Quick.Get("kind").Choose(kind)
	return render(v, http.StatusOK, body, nil)
}

func correct(v *page.Visit) error {
	s, err := v.Kit.Cases.IncidentByID(v.R.Context(), v.Actor, programme.ID(v.R.PathValue("incident")))
	if err != nil {
		return err
	}
	i, problems := read(v)
	if len(problems) == 0 {
		_, err := v.Kit.Cases.CorrectIncident(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, s.Student, s.ID, i)
		if err == nil {
			return v.Go("/incidents/"+string(s.ID), "correction")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("what", programme.SentenceOf(err))
	}
	var body askBody
	body.correcting(s)
	body.Quick, body.More = forms(i)
	body.Quick.Fill(v, problems)
	body.More.Fill(v, problems)
	return render(v, http.StatusUnprocessableEntity, body, problems)
}

func release(v *page.Visit) error {
	g := programme.GearTag{Tag: v.Typed("tag"), Reason: v.Typed("reason")}
	_, err := v.Kit.Cases.ReleaseGear(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, g)
	if programme.CodeOf(err) == programme.CodeInvalid {
		var problems page.Problems
		problems.Add("back-"+g.Tag, programme.SentenceOf(err))
		return renderList(v, http.StatusUnprocessableEntity, problems)
	}
	if err != nil {
		return err
	}
	return v.Go("/incidents", "released")
}

type witnessBody struct {
	ID   programme.ID
	Day  programme.IncidentDay
	Fact programme.ID
	Form page.Form
}

// statementForm asks a witness.
func statementForm() page.Form {
	return page.Form{{Kind: "area", Name: "statement", Label: "What did you see, in your own words?"}, {Kind: "text", Name: "name", Label: "Who saw it, if it was not you?"}}
}

// askWitness asks for a statement without showing what others wrote.
func askWitness(v *page.Visit) error {
	return renderWitness(v, http.StatusOK, statementForm(), nil)
}

func renderWitness(v *page.Visit, st int, f page.Form, problems page.Problems) error {
	days, err := v.Kit.Cases.IncidentDays(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	id := programme.ID(v.R.PathValue("incident"))
	i := slices.IndexFunc(days, func(d programme.IncidentDay) bool { return d.ID == id })
	if i < 0 {
		s, err := v.Kit.Cases.IncidentByID(v.R.Context(), v.Actor, id)
		if err != nil {
			return err
		}
		i, days = 0, []programme.IncidentDay{{ID: id, Day: s.Day, Time: s.Time, NearMiss: s.NearMiss}}
	}
	return v.Render(st, "statement", page.View{Title: "Your statement", Problems: problems, Body: witnessBody{id, days[i], v.FormID("fact"), f}})
}

func witness(v *page.Visit) error {
	id := programme.ID(v.R.PathValue("incident"))
	w := programme.Witness{Incident: id, Name: v.Typed("name"), Text: v.Typed("statement")}
	_, err := v.Kit.Cases.AddWitness(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, w)
	if programme.CodeOf(err) == programme.CodeInvalid {
		var problems page.Problems
		problems.Add("statement", programme.SentenceOf(err))
		return renderWitness(v, http.StatusUnprocessableEntity, statementForm().Fill(v, problems), problems)
	}
	if err != nil {
		return err
	}
	return v.Go("/incidents/"+string(id), "statement")
}
