package signin

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// start leads to where the work is: the first run, sign-in, or the students.
func start(v *page.Visit) error {
	has, err := v.Kit.Cases.HasLead(v.R.Context())
	if err != nil {
		return err
	}
	if !has {
		return v.Go("/first-run", "")
	}
	if _, err := v.Kit.SignIn.Who(v.R.Context(), v.Token()); err != nil {
		return v.Go("/sign-in", "")
	}
	return v.Go("/students", "")
}

func enterForm() page.Form {
	return page.Form{
		{Kind: "text", Name: "login", Label: "Login", Auto: "username"},
		{Kind: "secret", Name: "password", Label: "Password", Auto: "current-password"},
	}
}

func show(v *page.Visit) error {
	if has, err := v.Kit.Cases.HasLead(v.R.Context()); err != nil || !has {
		return start(v)
	}
	return v.Render(http.StatusOK, "sign-in", page.View{Title: "Sign in", Script: "passkey.js", Body: enterForm()})
}

func enter(v *page.Visit) error {
	var problems page.Problems
	if v.Typed("login") == "" {
		problems.Add("login", "Write your login.")
	}
	if v.R.PostFormValue("password") == "" {
		problems.Add("password", "Write your password.")
	}
	if len(problems) == 0 {
		t, err := v.Kit.SignIn.Enter(v.R.Context(), v.Typed("login"), v.R.PostFormValue("password"), v.Device(), v.From())
		if err == nil {
			v.SetTicket(t)
			return v.Go("/students", "")
		}
		if c := programme.CodeOf(err); c != programme.CodeSignIn && c != programme.CodeTooManyTries {
			return err
		}
		problems.Add("login", programme.SentenceOf(err))
	}
	f := enterForm().Fill(v, problems)
	f.Get("password").Value = ""
	return v.Render(http.StatusUnprocessableEntity, "sign-in", page.View{Title: "Sign in", Script: "passkey.js", Problems: problems, Body: f})
}

func leave(v *page.Visit) error {
	if err := v.Kit.SignIn.Leave(v.R.Context(), v.Token()); err != nil {
		return err
	}
	v.DropTicket()
	v.W.Header().Set("Clear-Site-Data", `"cache"`)
	return v.Go("/sign-in", "out")
}
