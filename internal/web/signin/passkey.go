package signin

import (
	"encoding/json"
	"io"
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// What the script of a passkey sends and gets. The question and the answer are
// the forms of W3C Web Authentication.
type asking struct {
	Asked    programme.ID    `json:"asked"`
	Question json.RawMessage `json:"question"`
}

type answering struct {
	Asked  programme.ID    `json:"asked"`
	Answer json.RawMessage `json:"answer"`
	Name   string          `json:"name"`
}

// origin is the address the browser is at, as it says itself; that it is one
// of ours was checked before.
func origin(v *page.Visit) string { return v.R.Header.Get("Origin") }

func sendJSON(v *page.Visit, status int, body any) error {
	b, err := json.Marshal(body)
	if err != nil {
		return programme.Fail(programme.CodeInternal, err, "The answer could not be written.")
	}
	v.W.Header().Set("Content-Type", "application/json; charset=utf-8")
	v.W.WriteHeader(status)
	_, _ = v.W.Write(b)
	return nil
}

// say tells the script what was refused; other errors go on.
func say(v *page.Visit, err error) error {
	switch programme.CodeOf(err) {
	case programme.CodeSignIn, programme.CodeTooManyTries, programme.CodeConflict, programme.CodeInvalid, programme.CodeSignedOut:
		return sendJSON(v, http.StatusUnprocessableEntity, map[string]string{"sentence": programme.SentenceOf(err)})
	}
	return err
}

func read(v *page.Visit) (answering, error) {
	var a answering
	b, err := io.ReadAll(v.R.Body)
	if err == nil {
		err = json.Unmarshal(b, &a)
	}
	if err != nil {
		return a, programme.Fail(programme.CodeInvalid, err, "The browser's answer was not understood.")
	}
	return a, nil
}

func askPasskey(v *page.Visit) error {
	id, question, err := v.Kit.SignIn.AskPasskey(v.R.Context(), origin(v))
	if err != nil {
		return say(v, err)
	}
	return sendJSON(v, http.StatusOK, asking{id, question})
}

func enterPasskey(v *page.Visit) error {
	a, err := read(v)
	if err != nil {
		return say(v, err)
	}
	t, err := v.Kit.SignIn.EnterPasskey(v.R.Context(), origin(v), a.Asked, a.Answer, v.Device(), v.From())
	if err != nil {
		return say(v, err)
	}
	v.SetTicket(t)
	return sendJSON(v, http.StatusOK, map[string]string{"to": "/students"})
}

func askNewPasskey(v *page.Visit) error {
	id, question, err := v.Kit.SignIn.AskNewPasskey(v.R.Context(), v.Token(), origin(v))
	if err != nil {
		return say(v, err)
	}
	return sendJSON(v, http.StatusOK, asking{id, question})
}

func addPasskey(v *page.Visit) error {
	a, err := read(v)
	if err != nil {
		return say(v, err)
	}
	name := a.Name
	if name == "" {
		name = v.Device()
	}
	if err := v.Kit.SignIn.AddPasskey(v.R.Context(), v.Token(), origin(v), a.Asked, a.Answer, name); err != nil {
		return say(v, err)
	}
	return sendJSON(v, http.StatusOK, map[string]string{"to": "/me?saved=passkey"})
}

func removePasskey(v *page.Visit) error {
	if err := v.Kit.SignIn.RemovePasskey(v.R.Context(), v.Token(), programme.ID(v.Typed("passkey"))); err != nil {
		return err
	}
	return v.Go("/me", "unkeyed")
}
