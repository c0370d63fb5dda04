// Package notes holds the notes about a student: what to do, for everybody who
// works with them, and medical notes that only the lead and the medical
// reviewer may read.
package notes

import (
	"embed"
	"net/http"
	"slices"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /students/{student}/notes", programme.ReadWork, list)
	k.Handle("POST /students/{student}/notes", "", add) // the kind of note decides who may
	k.Handle("GET /students/{student}/notes/{note}", programme.ReadWork, showCorrect)
	k.Handle("POST /students/{student}/notes/{note}", "", correct)
}

// abouts are what a note may be about; the 30-second read takes the newest of
// some of them.
var abouts = []page.Option{{Value: "next step", Label: "Next step", Hint: "One only; it stands in the 30-second read."}, {Value: "lesson", Label: "The lesson"}, {Value: "lift", Label: "The lift: side, helpers, speed"},
	{Value: "tires", Label: "What tiring looks like"}, {Value: "gear", Label: "Gear"}, {Value: "", Label: "Something else"}}

type listBody struct {
	Notes    []programme.NoteState
	Names    map[programme.ID]string
	Form     page.Form
	Fact     programme.ID
	MayWork  bool
	MayMed   bool
	Corrects programme.ID
}

func form(a programme.Actor) page.Form {
	f := page.Form{
		{Kind: "area", Name: "text", Label: "Note", Hint: "What to do, with side, ground and help level. No diagnosis where an action will do."},
		{Kind: "radio", Name: "about", Label: "About", Options: slices.Clone(abouts)},
	}
	f[1].Options[len(abouts)-1].Value = "other"
	if a.May(programme.WriteMedical) {
		o := []page.Option{}
		if a.May(programme.WriteNote) {
			o = append(o, page.Option{Value: "work", Label: "Everybody who works with the student"})
		}
		f = append(f, &page.Field{Kind: "radio", Name: "class", Label: "Who may read it?", Options: append(o,
			page.Option{Value: "medical", Label: "Only the lead and the medical reviewer", Hint: "Every opening is written to the reading log."})})
	}
	return f
}

func list(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	return render(v, http.StatusOK, r, form(v.Actor), v.NewID(), "", nil)
}

func render(v *page.Visit, st int, r programme.Record, f page.Form, fact, corrects programme.ID, problems page.Problems) error {
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := listBody{Names: names, Form: f, Fact: fact, MayWork: v.Actor.May(programme.WriteNote), MayMed: v.Actor.May(programme.WriteMedical), Corrects: corrects}
	for i := len(r.Notes) - 1; i >= 0; i-- {
		body.Notes = append(body.Notes, r.Notes[i])
	}
	return v.Render(st, "notes", page.View{Title: "Notes", Student: v.HeadingOf(r), Here: "notes", Problems: problems, Body: body})
}

// read takes the note that was typed.
func read(v *page.Visit) (programme.Note, page.Problems) {
	var p page.Problems
	n := programme.Note{Class: programme.NoteWork, About: v.Typed("about"), Text: v.Typed("text")}
	if n.About == "other" {
		n.About = ""
	}
	if n.Text == "" {
		p.Add("text", "Write the note.")
	}
	// Whoever cannot choose writes for everybody; a choice that was sent all the
	// same is kept, and refused where it is not theirs.
	if class := v.Typed("class"); class != "" || v.Actor.May(programme.WriteMedical) {
		switch n.Class = programme.NoteClass(class); n.Class {
		case programme.NoteWork, programme.NoteMedical:
		default:
			p.Add("class", "Say who may read it.")
		}
	}
	return n, p
}

func add(v *page.Visit) error {
	n, problems := read(v)
	return save(v, n, problems, "")
}

func correct(v *page.Visit) error {
	n, problems := read(v)
	return save(v, n, problems, programme.ID(v.R.PathValue("note")))
}

// save records a note; corrects names the earlier one that it replaces.
func save(v *page.Visit, n programme.Note, problems page.Problems, corrects programme.ID) error {
	if len(problems) == 0 {
		var err error
		made := programme.Made{ID: v.FormID("fact")}
		if corrects != "" {
			_, err = v.Kit.Cases.CorrectNote(v.R.Context(), v.Actor, made, v.StudentID(), corrects, n)
		} else {
			_, err = v.Kit.Cases.AddNote(v.R.Context(), v.Actor, made, v.StudentID(), n)
		}
		if err == nil {
			return v.Go("/students/"+string(v.StudentID())+"/notes", "note")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("text", programme.SentenceOf(err))
	} else if !v.Actor.May(programme.WriteNote) && !v.Actor.May(programme.WriteMedical) {
		return programme.Refuse(programme.CodeNotAllowed, "Your role does not allow notes.")
	}
	r, err := v.Record()
	if err != nil {
		return err
	}
	return render(v, http.StatusUnprocessableEntity, r, form(v.Actor).Fill(v, problems), v.FormID("fact"), corrects, problems)
}

func showCorrect(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	id := programme.ID(v.R.PathValue("note"))
	i := slices.IndexFunc(r.Notes, func(n programme.NoteState) bool { return n.Fact == id })
	if i < 0 {
		return programme.Refuse(programme.CodeNotFound, "There is no such note in this record.")
	}
	f := form(v.Actor)
	n := r.Notes[i]
	f.Get("text").Value = n.Text
	about := n.About
	if about == "" {
		about = "other"
	}
	f.Get("about").Choose(about)
	if len(f) > 2 {
		f.Get("class").Choose(string(n.Class))
	}
	return render(v, http.StatusOK, r, f, v.NewID(), id, nil)
}
