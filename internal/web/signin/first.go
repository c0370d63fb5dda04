package signin

import (
	"net/http"
	"slices"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

func personForm(named bool, codeHint string) page.Form {
	f := page.Form{{Kind: "text", Name: "code", Label: "Code", Hint: codeHint, Auto: "one-time-code"}}
	if named {
		f = append(f, &page.Field{Kind: "text", Name: "name", Label: "Your name", Hint: "As colleagues call you.", Auto: "name"})
	}
	return append(f,
		&page.Field{Kind: "text", Name: "login", Label: "Login", Hint: "What you will type to sign in.", Auto: "username"},
		&page.Field{Kind: "secret", Name: "password", Label: "Password", Hint: "At least 8 characters; four plain words make a good one. Pasting is fine.", Auto: "new-password"})
}

const firstHint = "The program printed it when it started for the first time."

func showFirstRun(v *page.Visit) error {
	has, err := v.Kit.Cases.HasLead(v.R.Context())
	if err != nil {
		return err
	}
	if has {
		return v.Go("/sign-in", "")
	}
	return v.Render(http.StatusOK, "first-run", page.View{Title: "Begin a new programme", Body: personForm(true, firstHint)})
}

func firstRun(v *page.Visit) error {
	f := personForm(true, firstHint)
	problems := needed(v, f)
	if len(problems) == 0 {
		t, err := v.Kit.SignIn.FirstLead(v.R.Context(), v.Typed("code"), person(v), v.Device(), v.From())
		if err == nil {
			v.SetTicket(t)
			return v.Go("/students", "")
		}
		if err := keep(err, &problems); err != nil {
			return err
		}
	}
	return v.Render(http.StatusUnprocessableEntity, "first-run", page.View{Title: "Begin a new programme", Problems: problems, Body: refill(v, f, problems)})
}

const joinHint = "Your lead gave it to you. It works once."

func showJoin(v *page.Visit) error {
	return v.Render(http.StatusOK, "join", page.View{Title: "Join the programme", Body: personForm(false, joinHint)})
}

func join(v *page.Visit) error {
	f := personForm(false, joinHint)
	problems := needed(v, f)
	if len(problems) == 0 {
		t, err := v.Kit.SignIn.Join(v.R.Context(), v.Typed("code"), person(v), v.Device(), v.From())
		if err == nil {
			v.SetTicket(t)
			return v.Go("/students", "")
		}
		if err := keep(err, &problems); err != nil {
			return err
		}
	}
	return v.Render(http.StatusUnprocessableEntity, "join", page.View{Title: "Join the programme", Problems: problems, Body: refill(v, f, problems)})
}

func person(v *page.Visit) page.Person {
	return page.Person{Name: v.Typed("name"), Login: v.Typed("login"), Password: v.R.PostFormValue("password")}
}

// needed asks for every field of a form that is empty.
func needed(v *page.Visit, f page.Form) page.Problems {
	words := map[string]string{"code": "Write the code.", "name": "Write your name.", "login": "Write a login.", "password": "Write a password."}
	var problems page.Problems
	for _, one := range f {
		if v.R.PostFormValue(one.Name) == "" {
			problems.Add(one.Name, words[one.Name])
		}
	}
	return problems
}

// keep turns a refusal into a problem of the form; other errors go on.
func keep(err error, problems *page.Problems) error {
	refusals := []programme.Code{programme.CodeSignIn, programme.CodeTooManyTries, programme.CodeInvalid, programme.CodeConflict, programme.CodeNotFound}
	code := programme.CodeOf(err)
	if !slices.Contains(refusals, code) {
		return err
	}
	field := "code"
	if code == programme.CodeInvalid || code == programme.CodeConflict {
		field = "login"
	}
	problems.Add(field, programme.SentenceOf(err))
	return nil
}

// refill keeps what was typed, but never a password.
func refill(v *page.Visit, f page.Form, problems page.Problems) page.Form {
	f.Fill(v, problems)
	f.Get("password").Value = ""
	return f
}
