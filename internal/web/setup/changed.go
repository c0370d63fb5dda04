package setup

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type changedBody struct {
	Form page.Form
	Fact programme.ID
}

func changedForm() page.Form {
	what := &page.Field{Kind: "radio", Name: "what", Label: "What changed?"}
	for _, k := range programme.GearChanges {
		o := page.Option{Value: k.What, Label: k.Label}
		if k.Binding {
			o.Hint = "The binding's setting is void too."
		}
		what.Options = append(what.Options, o)
	}
	return page.Form{what,
		{Kind: "radio", Name: "side", Label: "On which side?", Options: []page.Option{{Value: "none", Label: "Both, or it has no side"}, {Value: "left", Label: "Left, the student's"}, {Value: "right", Label: "Right, the student's"}}},
		{Kind: "text", Name: "note", Label: "What is it now?", Hint: "A few words. Needed for something else."},
	}
}

func showChanged(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "set-up-changed", page.View{Title: "Gear changed", Student: v.HeadingOf(r), Here: "set-up", Body: changedBody{changedForm(), v.NewID()}})
}

func changed(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	var problems page.Problems
	g := programme.GearChange{What: v.Typed("what"), Side: v.Typed("side"), Note: v.Typed("note")}
	if g.What == "" {
		problems.Add("what", "Say what changed.")
	}
	if g.Side == "" {
		problems.Add("side", "Say on which side.")
	}
	if g.What == "other" && g.Note == "" {
		problems.Add("note", "Write what changed.")
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RecordGearChange(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, g)
		if err == nil {
			return v.Go(address(r), "gear")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("note", programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "set-up-changed", page.View{Title: "Gear changed", Student: v.HeadingOf(r), Here: "set-up", Problems: problems,
		Body: changedBody{changedForm().Fill(v, problems), v.FormID("fact")}})
}
