package incident

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type statement struct{ By, When, Text string }

type wording struct{ By, When, What string }

type fact struct{ Name, Says string }

type showBody struct {
	ID         programme.ID
	NearMiss   bool
	OnSnow     bool
	What       string
	Facts      []fact
	Earlier    []wording
	Statements []statement
	Hidden     int
	Student    programme.ID
	MayCorrect bool
	MayText    bool
	Fact       programme.ID
	Hurt       bool
	Form       page.Form
}

func show(v *page.Visit) error {
	s, err := v.Kit.Cases.IncidentByID(v.R.Context(), v.Actor, programme.ID(v.R.PathValue("incident")))
	if err != nil {
		return err
	}
	body, err := bodyOf(v, s)
	if err != nil {
		return err
	}
	title := "Incident"
	if s.NearMiss {
		title = "Near miss"
	}
	return v.Render(http.StatusOK, "incident", page.View{Title: title + " of " + page.Day(s.Day), Body: body})
}

func bodyOf(v *page.Visit, s programme.IncidentState) (showBody, error) {
	names, err := people(v)
	if err != nil {
		return showBody{}, err
	}
	staff, err := v.StaffNames()
	if err != nil {
		return showBody{}, err
	}
	body := showBody{ID: s.ID, NearMiss: s.NearMiss, OnSnow: s.OnSnow, What: s.What, Hidden: s.Hidden, Student: s.Student, Fact: v.NewID(), Form: statementForm(), Hurt: s.Hurt == "yes" || s.Head == "yes",
		MayCorrect: !s.OnSnow && (s.By == v.Actor.Staff || v.Actor.May(programme.ReadIncident)), MayText: v.Actor.May(programme.ReadIncident), Facts: facts(s, names, staff)}
	for _, e := range s.Earlier {
		body.Earlier = append(body.Earlier, wording{staff[e.By], v.When(e.MadeAt), e.What})
	}
	for _, w := range s.Witnesses {
		by := w.Name
		if by == "" {
			by = staff[w.By]
		} else {
			by += ", written down by " + staff[w.By]
		}
		body.Statements = append(body.Statements, statement{by, v.When(w.MadeAt), w.Text})
	}
	return body, nil
}

var answers = map[string]string{"yes": "yes", "no": "no", "unknown": "not known"}

// facts lists what is known, and nothing that is not.
func facts(s programme.IncidentState, names, staff map[programme.ID]string) []fact {
	var out []fact
	add := func(name, says string) {
		if says != "" {
			out = append(out, fact{name, says})
		}
	}
	when := page.Day(s.Day)
	if s.Time != "" {
		when += ", " + s.Time
	}
	add("When", when)
	add("Where", s.Where)
	add("Student", names[s.Student])
	add("Hurt", answers[s.Hurt])
	for _, p := range programme.BodyParts {
		if p[0] == s.Part {
			add("Where it hurts", p[1])
		}
	}
	add("Head strike, neck pain or odd numbness", answers[s.Head])
	add("Patrol called", answers[s.Patrol])
	add("Patrol's paper", s.Paper)
	add("What stopped it", s.StoppedBy)
	if s.Help != nil {
		add("Help level", fmt.Sprint(*s.Help))
	}
	add("Set-up", s.SetUp)
	add("Gear out of use", strings.Join(s.Tags, ", "))
	add("Written by", staff[s.By])
	return out
}

// table hands everything out as comma-separated values.
func table(v *page.Visit) error {
	all, err := v.Kit.Cases.Incidents(v.R.Context(), v.Actor)
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
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	_ = out.Write([]string{"day", "time", "kind", "student", "where", "what", "hurt", "part", "head", "patrol", "paper", "stopped_by", "help_level", "set_up", "tags", "statements", "wordings", "written_by", "id"})
	for _, i := range all {
		kind, help := "incident", ""
		if i.NearMiss {
			kind = "near miss"
		}
		if i.Help != nil {
			help = fmt.Sprint(*i.Help)
		}
		row := []string{i.Day.String(), i.Time, kind, names[i.Student], i.Where, i.What, i.Hurt, i.Part, i.Head, i.Patrol, i.Paper, i.StoppedBy, help, i.SetUp,
			strings.Join(i.Tags, " "), fmt.Sprint(len(i.Witnesses) + i.Hidden), fmt.Sprint(len(i.Earlier) + 1), staff[i.By], string(i.ID)}
		for n := range row {
			row[n] = programme.Harmless(row[n])
		}
		_ = out.Write(row)
	}
	out.Flush()
	v.W.Header().Set("Content-Disposition", `attachment; filename="incidents.csv"`)
	return v.Send("text/csv; charset=utf-8", b.Bytes())
}

// asText hands one incident out as plain text, to go with the waiver.
func asText(v *page.Visit) error {
	s, err := v.Kit.Cases.IncidentByID(v.R.Context(), v.Actor, programme.ID(v.R.PathValue("incident")))
	if err != nil {
		return err
	}
	body, err := bodyOf(v, s)
	if err != nil {
		return err
	}
	var b strings.Builder
	kind := "INCIDENT"
	if body.NearMiss {
		kind = "NEAR MISS"
	}
	fmt.Fprintf(&b, "%s\n\n%s\n", kind, body.What)
	for _, f := range body.Facts {
		fmt.Fprintf(&b, "\n%s: %s", f.Name, f.Says)
	}
	b.WriteString("\n")
	for _, w := range body.Earlier {
		fmt.Fprintf(&b, "\nEarlier wording (%s, %s), replaced:\n%s\n", w.By, w.When, w.What)
	}
	for _, w := range body.Statements {
		fmt.Fprintf(&b, "\nStatement of %s, %s:\n%s\n", w.By, w.When, w.Text)
	}
	v.W.Header().Set("Content-Disposition", `attachment; filename="incident.txt"`)
	return v.Send("text/plain; charset=utf-8", []byte(b.String()))
}
