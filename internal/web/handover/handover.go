// Package handover opens a lesson, and closes it with the ten lines that the
// next instructor wants in 30 seconds: computed from what was seen, editable,
// asking only for what is missing.
package handover

import (
	"embed"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"firnhand/core/ladder"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}/handover", programme.ReadWork, show)
	k.Handle("GET /students/{student}/lessons/new", programme.LogSnow, askOpen)
	k.Handle("POST /students/{student}/lessons", programme.LogSnow, open)
	k.Handle("GET /students/{student}/lessons/{lesson}", programme.LogSnow, askClose)
	k.Handle("POST /students/{student}/lessons/{lesson}", programme.LogSnow, closeIt)
}

type line struct {
	Title, Text string
	Edited      bool
}

type past struct {
	ID                  programme.ID
	Day                 programme.Date
	Goal, Lead, Reached string
	OnSnow              *int
	Attempts            int
	Closed              bool
}

type showBody struct {
	Last   *programme.LessonState
	Lines  []line
	By     string
	Later  int // attempts that came after the closing
	Open   []programme.LessonState
	Past   []past
	MayLog bool
	Today  programme.Date
}

func show(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := showBody{Open: r.UnclosedLessons(), MayLog: v.Actor.May(programme.LogSnow), Today: r.Day}
	if l, ok := r.LastHandover(); ok {
		body.Last, body.By = &l, names[l.Closing.By]
		for i, one := range l.Handover {
			body.Lines = append(body.Lines, line{programme.HandoverKeys[i][1], one.Text, one.Edited})
		}
		for _, a := range r.Attempts {
			if a.Lesson == l.ID && a.Seq > l.Closing.Seq {
				body.Later++
			}
		}
	}
	for i := len(r.Lessons) - 1; i >= 0; i-- {
		l := r.Lessons[i]
		p := past{ID: l.ID, Day: l.Day, Goal: l.Goal, Lead: names[l.Lead], OnSnow: l.OnSnow, Closed: l.Closed}
		if p.Lead == "" {
			p.Lead = names[l.By]
		}
		if l.Reached != nil {
			p.Reached = reachedWords[*l.Reached+2]
		}
		for _, a := range r.Attempts {
			if a.Lesson == l.ID {
				p.Attempts++
			}
		}
		body.Past = append(body.Past, p)
	}
	return v.Render(http.StatusOK, "handover", page.View{Title: "Handover", Student: v.HeadingOf(r), Here: "handover", Body: body})
}

var reachedWords = [5]string{"far less than hoped", "less than hoped", "as hoped", "more than hoped", "far more than hoped"}

type openBody struct {
	Form page.Form
	Fact programme.ID
}

func openForm(d page.Decided) page.Form {
	way := &page.Field{Kind: "radio", Name: "way", Label: "With which aids?"}
	for _, w := range ladder.Ways() {
		way.Options = append(way.Options, page.Option{Value: w, Label: upper(ladder.Aids{Way: w}.Words())})
	}
	tie := &page.Field{Kind: "radio", Name: "tie", Label: "Which tip tie?"}
	for _, t := range ladder.Ties() {
		words := ladder.Aids{Way: "none", Tie: t}.TieWords()
		if words == "" {
			words = "none"
		}
		tie.Options = append(tie.Options, page.Option{Value: t, Label: upper(words)})
	}
	if s, err := ladder.Of(d.Answer); err == nil {
		way.Last, tie.Last = "Decided: "+s.Aids.Words(), ""
	}
	if a, ok := d.Record.AidsOf(d.Record.History()); ok {
		tie.Last = "Last time: " + a.Words()
	}
	where := &page.Field{Kind: "radio", Name: "terrain", Label: "Where does it begin?"}
	for _, t := range ladder.Standing().Terrains() {
		where.Options = append(where.Options, page.Option{Value: t.ID, Label: upper(t.Name)})
	}
	return page.Form{{Kind: "date", Name: "day", Label: "Day", Value: d.Record.Day.String()}, way, tie, where,
		{Kind: "text", Name: "goal", Label: "Today's goal, in the student's words", Hint: "Leave empty where it is the one of the evaluation."},
		{Kind: "text", Name: "helpers", Label: "Helpers", Hint: "Names used, with commas between."},
		{Kind: "number", Name: "planned", Label: "Planned", Unit: "min", Mode: "numeric"}}
}

func askOpen(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	return renderOpen(v, d, http.StatusOK, openForm(d), nil)
}

func renderOpen(v *page.Visit, d page.Decided, st int, f page.Form, problems page.Problems) error {
	return v.Render(st, "lesson-open", page.View{Title: "Open a lesson", Student: v.HeadingOf(d.Record), Here: "handover", Problems: problems, Body: openBody{f, v.FormID("fact")}})
}

func open(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	var problems page.Problems
	l := programme.LessonOpened{Lead: v.Actor.Staff, Goal: v.Typed("goal"), Way: v.Typed("way"), Tie: v.Typed("tie"), Terrain: v.Typed("terrain")}
	if l.Day, err = programme.ParseDate(v.Typed("day")); err != nil {
		problems.Add("day", programme.SentenceOf(err))
	}
	if l.Way == "" {
		problems.Add("way", "Say with which aids.")
	}
	for _, name := range strings.Split(v.Typed("helpers"), ",") {
		if name = strings.TrimSpace(name); name != "" {
			l.Helpers = append(l.Helpers, name)
		}
	}
	if n := v.Number(&problems, "planned", "min"); n != nil {
		l.Planned = int(*n)
	}
	if s, ok := d.Record.SetUp(); ok {
		l.SetUp = s.ID
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.OpenLesson(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, v.StudentID(), l)
		if err == nil {
			return v.Go("/students/"+string(v.StudentID())+"/progress", "lesson")
		}
		if programme.CodeOf(err) != programme.CodeInvalid && programme.CodeOf(err) != programme.CodeUnknown {
			return err
		}
		problems.Add("way", programme.SentenceOf(err))
	}
	return renderOpen(v, d, http.StatusUnprocessableEntity, openForm(d).Fill(v, problems), problems)
}

type closeBody struct {
	Lesson  programme.LessonState
	Fact    programme.ID
	Asked   page.Form // what is missing
	Known   page.Form // computed, to be changed where it is wrong
	More    page.Form
	Earlier programme.ID // the closing that is corrected
	Closed  bool
	Seen    int
}

// fieldOf is the form field of a line.
func fieldOf(l programme.HandoverLine, ask string) *page.Field {
	f := &page.Field{Kind: "area", Name: "line-" + l.Key, Label: programme.HandoverTitle(l.Key), Value: l.Text}
	if ask != "" {
		f.Label, f.Hint = ask, ""
	}
	return f
}

func askClose(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	return renderClose(v, r, http.StatusOK, nil)
}

func renderClose(v *page.Visit, r programme.Record, st int, problems page.Problems) error {
	id := programme.ID(v.R.PathValue("lesson"))
	h, err := v.Kit.Cases.HandoverDraft(v.R.Context(), v.Actor, v.StudentID(), id)
	if err != nil {
		return err
	}
	body := closeBody{Lesson: h.Lesson, Fact: v.FormID("fact"), Closed: h.Lesson.Closed}
	if h.Lesson.Closed {
		body.Earlier = h.Lesson.Closing.Fact
	}
	for _, a := range r.Attempts {
		if a.Lesson == id {
			body.Seen++
		}
	}
	asks := map[string]string{}
	for _, a := range h.Asks {
		asks[a.Key] = a.Question
	}
	for _, l := range h.Lines {
		if h.Lesson.Closed { // what was signed stands until it is changed
			l.Text = r.HandedOverIn(id, l.Key)
		}
		if asks[l.Key] != "" {
			body.Asked = append(body.Asked, fieldOf(l, asks[l.Key]))
		} else {
			body.Known = append(body.Known, fieldOf(l, ""))
		}
	}
	if h.ReinsReason != "" {
		body.Asked = append(body.Asked, &page.Field{Kind: "area", Name: "reins", Label: "Why were the reins not slackened?", Why: h.ReinsReason, Value: h.Lesson.ReinsReason})
	}
	body.More = moreForm(h)
	if problems != nil {
		body.Asked.Fill(v, problems)
		body.Known.Fill(v, problems)
		body.More.Fill(v, problems)
	}
	return v.Render(st, "lesson-close", page.View{Title: "Close the lesson", Student: v.HeadingOf(r), Here: "handover", Problems: problems, Body: body})
}

// moreForm is what may be told beside the ten lines.
func moreForm(h programme.Handover) page.Form {
	scale := func(name, label string, options ...string) *page.Field {
		f := &page.Field{Kind: "radio", Name: name, Label: label}
		for i, o := range options {
			value := fmt.Sprint(i + 1)
			if name == "reached" {
				value = fmt.Sprint(i - 2)
			}
			f.Options = append(f.Options, page.Option{Value: value, Label: o})
		}
		return f
	}
	minutes := &page.Field{Kind: "number", Name: "on_snow", Label: "Minutes on snow", Unit: "min", Mode: "numeric"}
	if n := h.OnSnow; n > 0 {
		minutes.Value = fmt.Sprint(n)
		minutes.Hint = "From the first attempt to the last; change it where it was more."
	}
	if c := h.Lesson; c.Closed && c.OnSnow != nil {
		minutes.Value = fmt.Sprint(*c.OnSnow)
	}
	f := page.Form{minutes, scale("reached", "How far was today's goal reached?", "Far less than hoped", "Less than hoped", "As hoped", "More than hoped", "Far more than hoped"),
		scale("before", "The student's mood before", "1, very low", "2", "3", "4", "5, very good"), scale("after", "The student's mood after", "1, very low", "2", "3", "4", "5, very good"),
		{Kind: "number", Name: "volunteer", Label: "Hours of helpers who are not paid", Unit: "h"}}
	if c := h.Lesson; c.Closed {
		for name, n := range map[string]*int{"reached": c.Reached, "before": c.Before, "after": c.After} {
			if n != nil {
				f.Get(name).Choose(fmt.Sprint(*n))
			}
		}
		if c.Volunteer > 0 {
			f.Get("volunteer").Value = fmt.Sprint(c.Volunteer)
		}
	}
	return f
}

func closeIt(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	id := programme.ID(v.R.PathValue("lesson"))
	h, err := v.Kit.Cases.HandoverDraft(v.R.Context(), v.Actor, v.StudentID(), id)
	if err != nil {
		return err
	}
	var problems page.Problems
	c := programme.LessonClosed{Lesson: id, ReinsReason: v.Typed("reins")}
	whole := func(name, unit string) *int {
		x := v.Number(&problems, name, unit)
		if x == nil {
			return nil
		}
		n := int(*x)
		return &n
	}
	c.OnSnow, c.Reached, c.Before, c.After = whole("on_snow", "min"), whole("reached", ""), whole("before", ""), whole("after", "")
	if x := v.Number(&problems, "volunteer", "h"); x != nil {
		c.Volunteer = *x
	}
	for _, l := range h.Lines {
		text := strings.Join(strings.Fields(v.Typed("line-"+l.Key)), " ")
		c.Handover = append(c.Handover, programme.HandoverLine{Key: l.Key, Text: text, Edited: text != l.Text})
	}
	for _, a := range h.Asks {
		if i := slices.IndexFunc(c.Handover, func(l programme.HandoverLine) bool { return l.Key == a.Key }); c.Handover[i].Text == "" {
			problems.Add("line-"+a.Key, a.Question)
		}
	}
	if h.ReinsReason != "" && c.ReinsReason == "" {
		problems.Add("reins", "Write down why the reins were not slackened.")
	}
	if len(problems) == 0 {
		made := programme.Made{ID: v.FormID("fact")}
		if earlier := programme.ID(v.Typed("earlier")); earlier != "" {
			_, err = v.Kit.Cases.CorrectHandover(v.R.Context(), v.Actor, made, v.StudentID(), earlier, c)
		} else {
			_, err = v.Kit.Cases.CloseLesson(v.R.Context(), v.Actor, made, v.StudentID(), c)
		}
		if err == nil {
			return v.Go("/students/"+string(v.StudentID())+"/handover", "handover")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("", programme.SentenceOf(err))
	}
	return renderClose(v, r, http.StatusUnprocessableEntity, problems)
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
