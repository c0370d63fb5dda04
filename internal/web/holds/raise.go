package holds

import (
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type raiseBody struct {
	Form page.Form
	Fact programme.ID
}

func raiseForm() page.Form {
	who := &page.Field{Kind: "ticks", Name: "clearer", Label: "Who can clear it in writing?", Hint: "Tick nobody if you do not know; then any licensed person may."}
	for _, c := range programme.Clearers {
		who.Options = append(who.Options, page.Option{Value: c.Label, Label: strings.ToUpper(c.Label[:1]) + c.Label[1:]})
	}
	return page.Form{
		{Kind: "area", Name: "reason", Label: "What was seen or heard?", Hint: "One sentence of facts. Only the lead and the medical reviewer can read it.", Why: "Whoever clears it must know what it is about."},
		{Kind: "radio", Name: "standing", Label: "What is held?", Options: []page.Option{{Value: "all", Label: "All skiing"}, {Value: "standing", Label: "Standing only; sitting may stay open"}}},
		who,
	}
}

func showRaise(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "hold-new", page.View{Title: "Raise a hold", Student: v.HeadingOf(r), Here: "holds", Body: raiseBody{raiseForm(), v.NewID()}})
}

func raise(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	var problems page.Problems
	h := programme.Hold{Reason: v.Typed("reason"), StandingOnly: v.Typed("standing") == "standing", Clearer: strings.Join(v.R.PostForm["clearer"], " or ")}
	if h.Reason == "" {
		problems.Add("reason", "Write what was seen or heard.")
	}
	if v.Typed("standing") == "" {
		problems.Add("standing", "Say what is held.")
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RaiseHold(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, h)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/holds", "hold")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("reason", programme.SentenceOf(err))
	}
	f := raiseForm().Fill(v, problems)
	tickAgain(v, f.Get("clearer"))
	return v.Render(http.StatusUnprocessableEntity, "hold-new", page.View{Title: "Raise a hold", Student: v.HeadingOf(r), Here: "holds", Problems: problems, Body: raiseBody{f, v.FormID("fact")}})
}

// tickAgain keeps the ticks of a field.
func tickAgain(v *page.Visit, f *page.Field) {
	for i := range f.Options {
		f.Options[i].On = false
		for _, s := range v.R.PostForm[f.Name] {
			f.Options[i].On = f.Options[i].On || s == f.Options[i].Value
		}
	}
}
