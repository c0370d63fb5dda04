package staff

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type signInsBody struct {
	ID      programme.ID
	Name    string
	Devices []page.Device
}

// signIns lists where a person is signed in.
func signIns(v *page.Visit) error {
	s, old, err := known(v)
	if err != nil {
		return err
	}
	if !old {
		return programme.Refuse(programme.CodeNotFound, "There is no such member of staff.")
	}
	all, err := v.Kit.SignIn.DevicesOf(v.R.Context(), v.Actor, s.Staff)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "sign-ins", page.View{Title: "Sign-ins", Body: signInsBody{s.Staff, s.NameUsed, all}})
}

// endSignIns ends one of them, or all.
func endSignIns(v *page.Visit) error {
	id := programme.ID(v.R.PathValue("staff"))
	if err := v.Kit.SignIn.EndDevices(v.R.Context(), v.Actor, id, programme.ID(v.Typed("device"))); err != nil {
		return err
	}
	return v.Go("/staff/"+string(id)+"/sign-ins", "device")
}
