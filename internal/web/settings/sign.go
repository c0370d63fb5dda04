package settings

import (
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type signBody struct {
	Number number
	Form   page.Form
	Fact   programme.ID
}

func form(n number) page.Form {
	return page.Form{
		{Kind: "number", Name: "value", Label: "Value", Unit: n.Unit, Hint: "Between " + n.Min + " and " + n.Max + ". It comes as " + n.Proposed + "."},
		{Kind: "text", Name: "signed_by", Label: "Who signs it off?", Hint: "Name and function of the working lead or medical reviewer who answers for it."},
		{Kind: "date", Name: "signed_on", Label: "Signed on"},
		{Kind: "area", Name: "rationale", Label: "Why this value?", Hint: "May stay empty."},
	}
}

func find(v *page.Visit) (number, error) {
	all, err := numbers(v)
	if err != nil {
		return number{}, err
	}
	for _, n := range all {
		if n.Name == v.R.PathValue("name") {
			return n, nil
		}
	}
	return number{}, programme.Refuse(programme.CodeNotFound, "There is no such number.")
}

func show(v *page.Visit) error {
	n, err := find(v)
	if err != nil {
		return err
	}
	f := form(n)
	f.Get("value").Value, f.Get("signed_on").Value = n.Value, v.Today().String()
	return v.Render(http.StatusOK, "sign-off", page.View{Title: "Sign off a number", Body: signBody{n, f, v.NewID()}})
}

func sign(v *page.Visit) error {
	n, err := find(v)
	if err != nil {
		return err
	}
	var problems page.Problems
	s := programme.Setting{Name: n.Name, Value: strings.Replace(strings.TrimSpace(strings.TrimSuffix(v.Typed("value"), n.Unit)), ",", ".", 1),
		SignedBy: v.Typed("signed_by"), Rationale: v.Typed("rationale")}
	if s.Value == "" {
		problems.Add("value", "Write the value.")
	}
	if s.SignedBy == "" {
		problems.Add("signed_by", "Write who signs it off.")
	}
	s.SignedOn, err = programme.ParseDate(v.Typed("signed_on"))
	switch {
	case err != nil:
		problems.Add("signed_on", programme.SentenceOf(err))
	case s.SignedOn.IsZero():
		problems.Add("signed_on", "Write the day of signing off.")
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.PutSetting(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, s)
		if err == nil {
			return v.Go("/settings", "setting")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		field, sentence := "value", "Write a number between "+n.Min+" and "+n.Max+" "+n.Unit+"."
		if said := programme.SentenceOf(err); strings.Contains(said, "day of signing") {
			field, sentence = "signed_on", said
		}
		problems.Add(field, sentence)
	}
	return v.Render(http.StatusUnprocessableEntity, "sign-off", page.View{Title: "Sign off a number", Problems: problems, Body: signBody{n, form(n).Fill(v, problems), v.FormID("fact")}})
}
