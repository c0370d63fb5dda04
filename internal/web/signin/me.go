package signin

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

func passwordForm() page.Form {
	return page.Form{
		{Kind: "secret", Name: "old", Label: "Password now", Auto: "current-password"},
		{Kind: "secret", Name: "new", Label: "New password", Hint: "At least 8 characters. Every other sign-in of yours ends.", Auto: "new-password"},
	}
}

func me(v *page.Visit) error {
	return v.Render(http.StatusOK, "me", page.View{Title: "About you", Body: passwordForm()})
}

func changePassword(v *page.Visit) error {
	var problems page.Problems
	old, new := v.R.PostFormValue("old"), v.R.PostFormValue("new")
	if old == "" {
		problems.Add("old", "Write the password you have now.")
	}
	if new == "" {
		problems.Add("new", "Write a new password.")
	}
	if len(problems) == 0 {
		err := v.Kit.SignIn.ChangePassword(v.R.Context(), v.Token(), old, new)
		switch programme.CodeOf(err) {
		case "":
			return v.Go("/me", "password")
		case programme.CodeSignIn, programme.CodeTooManyTries:
			problems.Add("old", programme.SentenceOf(err))
		case programme.CodeInvalid:
			problems.Add("new", programme.SentenceOf(err))
		default:
			return err
		}
	}
	f := passwordForm().Fill(nil, problems)
	return v.Render(http.StatusUnprocessableEntity, "me", page.View{Title: "About you", Problems: problems, Body: f})
}
