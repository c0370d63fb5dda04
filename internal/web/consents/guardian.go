package consents

import (
	"net/http"
	"slices"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type guardianBody struct {
	ID   programme.ID
	Form page.Form
	Fact programme.ID
	New  bool
}

func guardianForm() page.Form {
	return page.Form{
		{Kind: "text", Name: "name", Label: "Name"},
		{Kind: "text", Name: "relation", Label: "Relation", Hint: "Mother, father, carer, court-appointed guardian."},
		{Kind: "text", Name: "phone", Label: "Phone", Why: "Reached while the student is on snow.", Auto: "off"},
		{Kind: "radio", Name: "may_sign", Label: "May this person sign for the student?", Options: []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}}},
		{Kind: "tick", Name: "ended", Label: "No longer a guardian or contact"},
	}
}

// known returns the guardian in the address, as recorded.
func known(v *page.Visit) (programme.Record, programme.GuardianState, bool, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.GuardianState{}, false, err
	}
	id := programme.ID(v.R.PathValue("guardian"))
	if err := id.Check(); err != nil {
		return r, programme.GuardianState{}, false, programme.Refuse(programme.CodeNotFound, "There is no such person in this record.")
	}
	i := slices.IndexFunc(r.Guardians, func(g programme.GuardianState) bool { return g.Guardian == id })
	if i < 0 {
		return r, programme.GuardianState{}, false, nil
	}
	return r, r.Guardians[i], true, nil
}

func showGuardian(v *page.Visit) error {
	r, g, old, err := known(v)
	if err != nil {
		return err
	}
	f := guardianForm()
	if old {
		f.Get("name").Value, f.Get("relation").Value, f.Get("phone").Value = g.Name, g.Relation, g.Phone
		sign := "no"
		if g.MaySign {
			sign = "yes"
		}
		f.Get("may_sign").Choose(sign)
		if g.Ended {
			f.Get("ended").Value = "yes"
		}
	}
	return v.Render(http.StatusOK, "guardian", page.View{Title: "Guardian or contact", Student: v.HeadingOf(r), Here: "consents",
		Body: guardianBody{programme.ID(v.R.PathValue("guardian")), f, v.NewID(), !old}})
}

func saveGuardian(v *page.Visit) error {
	r, _, old, err := known(v)
	if err != nil {
		return err
	}
	var problems page.Problems
	g := programme.GuardianDetails{Guardian: programme.ID(v.R.PathValue("guardian")), Name: v.Typed("name"), Relation: v.Typed("relation"), Phone: v.Typed("phone"),
		MaySign: v.Typed("may_sign") == "yes", Ended: v.Ticked("ended")}
	if g.Name == "" {
		problems.Add("name", "Write the name.")
	}
	if v.Typed("may_sign") == "" {
		problems.Add("may_sign", "Say whether this person may sign for the student.")
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.PutGuardian(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, g)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/consents", "guardian")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("name", programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "guardian", page.View{Title: "Guardian or contact", Student: v.HeadingOf(r), Here: "consents", Problems: problems,
		Body: guardianBody{g.Guardian, guardianForm().Fill(v, problems), v.FormID("fact"), !old}})
}
