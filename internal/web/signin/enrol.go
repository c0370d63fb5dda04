package signin

import (
	"net/http"
	"time"

	"firnhand/internal/web/page"
)

const enrolHint = "It is on the page \"About you\" of the computer where you are signed in. It works once, for ten minutes."

func enrolForm() page.Form {
	return page.Form{{Kind: "text", Name: "code", Label: "Code", Hint: enrolHint, Auto: "one-time-code"}}
}

// showEnrol is where a phone's camera leads. The code lies behind the # of the
// address, which no browser sends; a script puts it into the form.
func showEnrol(v *page.Visit) error {
	return v.Render(http.StatusOK, "enrol", page.View{Title: "Sign in this phone", Script: "enrol.js", Body: enrolForm()})
}

func enrol(v *page.Visit) error {
	var problems page.Problems
	if v.Typed("code") == "" {
		problems.Add("code", "Write the code.")
	}
	if len(problems) == 0 {
		t, err := v.Kit.SignIn.EnterPhone(v.R.Context(), v.Typed("code"), v.Device(), v.From())
		if err == nil {
			v.SetTicket(t)
			return v.Go("/students", "")
		}
		if err := keep(err, &problems); err != nil {
			return err
		}
	}
	return v.Render(http.StatusUnprocessableEntity, "enrol", page.View{Title: "Sign in this phone", Script: "enrol.js", Problems: problems, Body: enrolForm().Fill(v, problems)})
}

// phoneCode makes the code for the person's own phone and shows it once.
func phoneCode(v *page.Visit) error {
	code, ends, err := v.Kit.SignIn.PhoneCode(v.R.Context(), v.Token())
	if err != nil {
		return err
	}
	drawn, err := page.NewQR(v.Origin() + "/enrol#" + code)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "phone-code", page.View{Title: "Sign in a phone", Body: struct {
		QR   page.QR
		Code string
		At   string
		Ends time.Time
	}{drawn, code, v.Origin() + "/enrol", ends}})
}
