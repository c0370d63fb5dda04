package privacy

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// firstDays is how far ahead the form proposes.
const firstDays = 30

type assignedBody struct {
	Now    []line
	Always []string // read them by role
	Form   page.Form
	Fact   programme.ID
	New    programme.ID
}

type line struct {
	programme.AssignmentState
	Name string
}

func assigned(v *page.Visit) error { return showAssigned(v, http.StatusOK, nil) }

func showAssigned(v *page.Visit, st int, problems page.Problems) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	all, err := v.Kit.Cases.Staff(v.R.Context(), v.Actor, false)
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := assignedBody{Fact: v.NewID(), New: v.NewID()}
	who := &page.Field{Kind: "radio", Name: "staff", Label: "Who?"}
	for _, s := range all {
		a := programme.Actor{Staff: s.Staff, Roles: s.Roles}
		switch {
		case a.May(programme.ReadMedical):
			body.Always = append(body.Always, s.NameUsed)
		case a.May(programme.ReadWork):
			who.Options = append(who.Options, page.Option{Value: string(s.Staff), Label: s.NameUsed})
		}
	}
	for _, a := range r.Assigned {
		if a.Holds {
			body.Now = append(body.Now, line{a, names[a.Staff]})
		}
	}
	body.Form = page.Form{who,
		{Kind: "date", Name: "until", Label: "Until which day?", Value: v.Today().AddDays(firstDays).String()},
		{Kind: "text", Name: "why", Label: "What for?", Hint: "It stays in the record."}}
	if len(problems) > 0 {
		body.Form.Fill(v, problems)
	}
	return v.Render(st, "assigned", page.View{Title: "Who reads medical details", Student: v.HeadingOf(r), Here: "assigned", Problems: problems, Body: body})
}

// assign opens medical details to somebody, or ends that.
func assign(v *page.Visit) error {
	a := programme.Assignment{Staff: programme.ID(v.Typed("staff")), Why: v.Typed("why"), Ended: v.Ticked("ended")}
	var problems page.Problems
	if a.Staff == "" {
		problems.Add("staff", "Choose somebody.")
	}
	if !a.Ended {
		d, err := programme.ParseDate(v.Typed("until"))
		if err != nil {
			problems.Add("until", programme.SentenceOf(err))
		}
		a.Until = d
		if a.Why == "" {
			problems.Add("why", "Write what it is needed for.")
		}
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.Assign(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, v.StudentID(), a)
		if err == nil {
			return v.Go("/students/"+string(v.StudentID())+"/assigned", "assigned")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("until", programme.SentenceOf(err))
	}
	return showAssigned(v, http.StatusUnprocessableEntity, problems)
}
