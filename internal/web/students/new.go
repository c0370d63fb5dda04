package students

import (
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

func contains(s, part string) bool { return strings.Contains(strings.ToLower(s), part) }

type newBody struct {
	Form    page.Form
	Student programme.ID // made with the form, so that sending it twice adds one
	Fact    programme.ID
}

func showNew(v *page.Visit) error {
	return v.Render(http.StatusOK, "student-new", page.View{Title: "New student",
		Body: newBody{form(), v.NewID(), v.NewID()}})
}

func add(v *page.Visit) error {
	d, problems := read(v)
	student, fact := programme.ID(v.Typed("student")), programme.ID(v.Typed("fact"))
	if student.Check() != nil || fact.Check() != nil {
		student, fact = v.NewID(), v.NewID()
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.AddStudent(v.R.Context(), v.Actor, programme.Made{ID: fact}, student, d)
		if programme.CodeOf(err) == programme.CodeIDTaken {
			// The form was sent before with other words; it is the same student.
			return v.Go("/students/"+string(student)+"/details", "")
		}
		if err == nil {
			return v.Go("/students/"+string(student)+"/intake", "student")
		}
		if err := refused(err, &problems); err != nil {
			return err
		}
	}
	return v.Render(http.StatusUnprocessableEntity, "student-new", page.View{Title: "New student", Problems: problems,
		Body: newBody{form().Fill(v, problems), student, fact}})
}
