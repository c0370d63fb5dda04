// Package report holds what is handed to others: the plain page for the family,
// a student's season in small pictures, others like this, the programme's season
// in counts that single nobody out, tables of everything and calendars.
package report

import (
	"bytes"
	"embed"
	"encoding/csv"
	"fmt"
	"html/template"
	"net/http"
	"strings"

	"firnhand/internal/picture"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}/season", programme.ReadWork, season)
	k.Handle("GET /students/{student}/season/pdf", programme.ReadWork, seasonPDF)
	k.Handle("GET /students/{student}/family", programme.ReadWork, family)
	k.Handle("GET /students/{student}/family/pdf", programme.ReadWork, familyPDF)
	k.Handle("GET /students/{student}/lessons/ics", programme.ReadWork, calendar)
	k.Handle("GET /students/{student}/alike", programme.ReadReports, alike)
	k.Handle("GET /report", programme.ReadReports, programmeReport)
	k.Handle("GET /report/pdf", programme.ReadReports, programmePDF)
	k.Handle("GET /report/{table}/csv", programme.ReadReports, table)
	k.Handle("GET /report/ics", programme.ReadReports, calendarOfAll)
}

// cautions stand under every report.
const cautions = "Help levels and skills are what instructors saw on the days named; they allow nothing by themselves."

type seasonBody struct {
	Days     []programme.Date
	Says     string
	Drawings []template.HTML
	Rows     []seasonRow
	Left     int // skills that have no panel
	Few      bool
}

type seasonRow struct {
	Skill, Side string
	Cells       []string
	Few         bool
}

// seasonOf reads the season of the student in the address.
func seasonOf(v *page.Visit) (page.Decided, programme.Season, error) {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return d, programme.Season{}, err
	}
	return d, programme.SeasonOf(d.Record, d.Record.SeasonFrom(), 40), nil
}

// panels are the small pictures of a season.
func panels(name string, s programme.Season) picture.Multiples {
	m := picture.Multiples{Title: name + ": help level by lesson", Lessons: len(s.Days)}
	for _, skill := range s.Skills[:min(len(s.Skills), picture.PanelsMost)] {
		p := picture.Panel{Name: skill.Skill + " " + skill.Name}
		if r := []rune(p.Name); len(r) > 26 {
			p.Name = string(r[:25]) + "…"
		}
		for _, side := range skill.Sides {
			p.Lines = append(p.Lines, picture.PanelLine{Label: side.Words, Level: side.Level, Missed: side.Missed})
		}
		m.Panels = append(m.Panels, p)
	}
	return m
}

func season(v *page.Visit) error {
	d, s, err := seasonOf(v)
	if err != nil {
		return err
	}
	body := seasonBody{Days: s.Days, Left: max(0, len(s.Skills)-picture.PanelsMost)}
	if len(s.Days) == 0 {
		body.Says = "No lesson with attempts this season."
	} else {
		body.Says = fmt.Sprintf("%s since %s.", many(len(s.Days), "lesson", "lessons"), page.Day(s.Days[0]))
		for _, drawn := range panels(d.Record.NameUsed, s).Apart() {
			body.Drawings = append(body.Drawings, template.HTML(drawn.SVG())) // the drawing escapes all text in it
		}
	}
	for _, skill := range s.Skills {
		for _, side := range skill.Sides {
			row := seasonRow{Skill: skill.Skill + " " + skill.Name, Side: side.Words, Few: side.Points() < picture.FewPoints}
			for i, level := range side.Level {
				cell := ""
				switch {
				case level >= 0:
					cell = fmt.Sprint(level)
				case side.Missed[i]:
					cell = "not clean"
				}
				row.Cells = append(row.Cells, cell)
			}
			body.Few = body.Few || row.Few
			body.Rows = append(body.Rows, row)
		}
	}
	return v.Render(http.StatusOK, "season", page.View{Title: "Season", Student: v.HeadingOf(d.Record), Here: "season", Body: body})
}

func many(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

func seasonPDF(v *page.Visit) error {
	d, s, err := seasonOf(v)
	if err != nil {
		return err
	}
	order := page.PaperOrder{Title: d.Record.NameUsed + ", the season", MadeAt: v.Kit.Clock.Now().In(v.Kit.Zone), Foot: cautions}
	if len(s.Days) == 0 {
		order.Lead = "No lesson with attempts this season."
	} else {
		order.Lead = fmt.Sprintf("%s from %s to %s. Help from 7, full, at the top to 0, independent, at the bottom; filled is the first side, hollow the second.", many(len(s.Days), "lesson", "lessons"), page.Day(s.Days[0]), page.Day(s.Days[len(s.Days)-1]))
		order.Blocks = []page.PaperBlock{{Drawing: panels(d.Record.NameUsed, s).Draw}}
	}
	return v.Paper(order, "season.pdf")
}

type familyBody struct {
	programme.Family
	Since programme.Date
}

func familyOf(v *page.Visit) (page.Decided, programme.Family, error) {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return d, programme.Family{}, err
	}
	f, err := programme.FamilyOf(d.Table, d.Record, programme.ProgressNumbers(d.Signed), d.Record.SeasonFrom())
	return d, f, err
}

func family(v *page.Visit) error {
	d, f, err := familyOf(v)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "family", page.View{Title: "Page for the family", Student: v.HeadingOf(d.Record), Here: "family", Body: familyBody{f, d.Record.SeasonFrom()}})
}

func familyPDF(v *page.Visit) error {
	_, f, err := familyOf(v)
	if err != nil {
		return err
	}
	order := page.PaperOrder{Title: f.Name, MadeAt: v.Kit.Clock.Now().In(v.Kit.Zone), Foot: "Written by the instructors of the programme. What helps today may differ tomorrow: snow, form and weather have a say."}
	if f.Goal != "" {
		order.Lead = "Goal: " + f.Goal
	}
	none := func(list []string, otherwise string) []string {
		if len(list) == 0 {
			return []string{otherwise}
		}
		return list
	}
	order.Blocks = []page.PaperBlock{{Heading: "What works now", Lines: none(f.Does, "The first lesson comes."), Bullets: true},
		{Heading: "What comes next", Lines: none(f.Next, "To be found out together."), Bullets: true},
		{Heading: "Kit", Lines: none(f.Kit, "Fitted at the first lesson."), Bullets: true}}
	if f.Photo {
		order.Blocks = append(order.Blocks, page.PaperBlock{Heading: "Photo", Frame: 70})
	}
	return v.Paper(order, "family.pdf")
}

func alike(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	a, err := v.Kit.Cases.OthersLike(v.R.Context(), v.Actor, v.StudentID())
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "alike", page.View{Title: "Others like this", Student: v.HeadingOf(r), Here: "alike", Body: a})
}

// onDay is the day asked for.
func onDay(v *page.Visit) (programme.Date, page.Problems) {
	var p page.Problems
	d, err := programme.ParseDate(strings.TrimSpace(v.R.URL.Query().Get("on")))
	if err != nil {
		p.Add("on", programme.SentenceOf(err))
	}
	return d, p
}

type reportBody struct {
	programme.SeasonReport
	Asking page.Form
	Tables [][2]string
}

// tables are the tables of everything: a name and what is in it.
var tables = [][2]string{{"lessons", "Lessons"}, {"attempts", "Attempts"}, {"snow", "Falls, stops, checks on snow"}, {"findings", "Findings as they stand"}}

func programmeReport(v *page.Visit) error {
	on, problems := onDay(v)
	rep, err := v.Kit.Cases.SeasonReport(v.R.Context(), v.Actor, on)
	if err != nil {
		return err
	}
	asking := page.Form{{Kind: "date", Name: "on", Label: "As of", Value: rep.Asked.String(), Problem: problems.At("on")}}
	st := http.StatusOK
	if problems != nil {
		st = http.StatusUnprocessableEntity
	}
	return v.Render(st, "report", page.View{Title: "Season report", Problems: problems, Body: reportBody{rep, asking, tables}})
}

func programmePDF(v *page.Visit) error {
	on, problems := onDay(v)
	if problems != nil {
		return programme.Refuse(programme.CodeInvalid, "%s", problems[0].Sentence)
	}
	rep, err := v.Kit.Cases.SeasonReport(v.R.Context(), v.Actor, on)
	if err != nil {
		return err
	}
	order := page.PaperOrder{Title: "Season report", MadeAt: v.Kit.Clock.Now().In(v.Kit.Zone), Foot: strings.Join(rep.Notes, " ")}
	if rep.Shown {
		order.Lead = fmt.Sprintf("%d people had lessons from %s to %s.", rep.People, page.Day(rep.From), page.Day(rep.To))
		rows := func(list []programme.ReportRow) (out [][2]string) {
			for _, r := range list {
				out = append(out, [2]string{r.Label, fmt.Sprint(r.N)})
			}
			return out
		}
		order.Blocks = append(order.Blocks, page.PaperBlock{Heading: "How they ski", Rows: rows(rep.Ways)})
		if len(rep.Ages) > 0 {
			order.Blocks = append(order.Blocks, page.PaperBlock{Heading: "Ages", Rows: rows(rep.Ages)})
		}
		var figures [][2]string
		for _, f := range rep.Figures {
			text := f.Text
			if !f.UpTo.IsZero() {
				text += " (to " + page.Day(f.UpTo) + ")"
			}
			if f.Note != "" {
				text += "; " + f.Note
			}
			figures = append(figures, [2]string{f.Label, text})
		}
		order.Blocks = append(order.Blocks, page.PaperBlock{Heading: "Figures", Rows: figures})
	}
	return v.Paper(order, "season-report.pdf")
}

// table hands out one table of everything as comma-separated values, for the
// lead alone.
func table(v *page.Visit) error {
	name := v.R.PathValue("table")
	all, err := v.Kit.Cases.Everything(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	write := func(cells ...string) {
		for i := range cells {
			cells[i] = programme.Harmless(cells[i])
		}
		_ = out.Write(cells)
	}
	switch name {
	case "lessons":
		lessonsTable(all, write)
	case "attempts":
		attemptsTable(all, write)
	case "snow":
		snowTable(v, all, write)
	case "findings":
		findingsTable(all, write)
	default:
		return programme.Refuse(programme.CodeNotFound, "There is no table called %q.", page.Clip(name))
	}
	out.Flush()
	v.W.Header().Set("Content-Disposition", `attachment; filename="`+name+`.csv"`)
	return v.Send("text/csv; charset=utf-8", b.Bytes())
}

func lessonsTable(all []programme.Record, write func(...string)) {
	head := []string{"student", "name", "day", "way", "tie", "on_snow_min", "volunteer_h", "goal_reached", "mood_before", "mood_after", "closed", "lesson"}
	for _, k := range programme.HandoverKeys {
		head = append(head, "handover_"+k[0])
	}
	write(head...)
	number := func(n *int) string {
		if n == nil {
			return ""
		}
		return fmt.Sprint(*n)
	}
	for _, r := range all {
		for _, l := range r.Lessons {
			row := []string{string(r.Student), r.NameUsed, l.Day.String(), l.Way, l.Tie, number(l.OnSnow), fmt.Sprint(l.Volunteer), number(l.Reached), number(l.Before), number(l.After), fmt.Sprint(l.Closed), string(l.ID)}
			for _, k := range programme.HandoverKeys {
				row = append(row, r.HandedOverIn(l.ID, k[0]))
			}
			write(row...)
		}
	}
}

func attemptsTable(all []programme.Record, write func(...string)) {
	write(append([]string{"student", "name"}, programme.AttemptColumns...)...)
	for _, r := range all {
		for _, a := range r.History().Attempts {
			write(append([]string{string(r.Student), r.NameUsed}, programme.AttemptRow(a)...)...)
		}
	}
}

func snowTable(v *page.Visit, all []programme.Record, write func(...string)) {
	write("student", "name", "when", "event", "reason", "hurt", "head", "found", "where", "what", "set_up", "stopped_by", "minutes_into_lesson")
	for _, r := range all {
		for _, s := range r.Snow {
			minutes := ""
			if s.Minutes != nil {
				minutes = fmt.Sprint(*s.Minutes)
			}
			write(string(r.Student), r.NameUsed, s.MadeAt.In(v.Kit.Zone).Format("2006-01-02 15:04"), s.Event, s.Reason, s.Hurt, s.Head, s.Found, s.Where, s.What, s.SetUp, s.StoppedBy, minutes)
		}
	}
}

func findingsTable(all []programme.Record, write func(...string)) {
	write("student", "name", "finding", "side", "state", "value", "day")
	for _, r := range all {
		for _, f := range r.AllFindings() {
			write(string(r.Student), r.NameUsed, f.Finding.Finding, f.Side, f.State, f.Value, programme.DateOf(f.MadeAt).String())
		}
	}
}

func calendar(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	staff, err := v.StaffNames()
	if err != nil {
		return err
	}
	return sendCalendar(v, programme.CalendarOf(r, staff))
}

func calendarOfAll(v *page.Visit) error {
	all, err := v.Kit.Cases.Everything(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	staff, err := v.StaffNames()
	if err != nil {
		return err
	}
	var lessons []programme.CalendarLesson
	for _, r := range all {
		lessons = append(lessons, programme.CalendarOf(r, staff)...)
	}
	return sendCalendar(v, lessons)
}

func sendCalendar(v *page.Visit, lessons []programme.CalendarLesson) error {
	var b bytes.Buffer
	if err := programme.WriteCalendar(&b, lessons); err != nil {
		return err
	}
	v.W.Header().Set("Content-Disposition", `attachment; filename="lessons.ics"`)
	return v.Send("text/calendar; charset=utf-8", b.Bytes())
}
