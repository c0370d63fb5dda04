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

type meBody struct {
	Form     page.Form
	Devices  []page.Device
	Passkeys []page.Passkey
	May      bool // passkeys can be used here
	Strict   bool // with a passkey the password alone is not enough
}

func me(v *page.Visit) error { return showMe(v, http.StatusOK, nil) }

func showMe(v *page.Visit, st int, problems page.Problems) error {
	devices, err := v.Kit.SignIn.Devices(v.R.Context(), v.Token())
	if err != nil {
		return err
	}
	keys, err := v.Kit.SignIn.Passkeys(v.R.Context(), v.Token())
	if err != nil {
		return err
	}
	body := meBody{passwordForm().Fill(nil, problems), devices, keys, v.Kit.SignIn.Origins(v.Origin()), v.Actor.May(programme.ReadMedical)}
	return v.Render(st, "me", page.View{Title: "About you", Script: "passkey.js", Problems: problems, Body: body})
}

// endDevice ends one of the person's other sign-ins, or all of them.
func endDevice(v *page.Visit) error {
	if err := v.Kit.SignIn.EndDevice(v.R.Context(), v.Token(), programme.ID(v.Typed("device"))); err != nil {
		return err
	}
	return v.Go("/me", "device")
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
	return showMe(v, http.StatusUnprocessableEntity, problems)
}
