package students

import (
	"net/http"
	"strconv"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type detailsBody struct {
	Form   page.Form
	Fact   programme.ID
	Record programme.Record
	May    bool
	Ended  bool
}

func showDetails(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	f := form()
	d := r.StudentDetails
	f.Get("name_used").Value, f.Get("full_name").Value, f.Get("language").Value = d.NameUsed, d.FullName, d.Language
	f.Get("birth_date").Value = d.BirthDate.String()
	if d.AgeYears > 0 {
		f.Get("age_years").Value = strconv.Itoa(r.AgeNow)
	}
	f.Get("binds_self").Choose(string(d.BindsSelf))
	return v.Render(http.StatusOK, "details", page.View{Title: "Details", Student: v.HeadingOf(r), Here: "details",
		Body: detailsBody{f, v.NewID(), r, v.Actor.May(programme.WriteStudent), d.Ended}})
}

func change(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	d, problems := read(v)
	d.Ended = v.Ticked("ended")
	if len(problems) == 0 {
		_, err := v.Kit.Cases.ChangeStudent(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, d)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/details", "student")
		}
		if err := refused(err, &problems); err != nil {
			return err
		}
	}
	return v.Render(http.StatusUnprocessableEntity, "details", page.View{Title: "Details", Student: v.HeadingOf(r), Here: "details", Problems: problems,
		Body: detailsBody{form().Fill(v, problems), v.NewID(), r, true, d.Ended}})
}
