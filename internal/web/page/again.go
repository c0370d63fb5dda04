package page

import (
	"net"
	"net/http"
	"slices"
	"strings"

	"firnhand/programme"
)

// Names of the form values with which somebody signs in while sending a form
// that arrived after their sign-in had ended.
const (
	againLogin    = "again-login"
	againPassword = "again-password"
)

// keptMost bounds what a form may bring to be kept on the page, in bytes.
const keptMost = 256 << 10

// Kept is one form value that a page carries on without showing it.
type Kept struct{ Name, Value string }

// again signs in with what the kept form brought; false when it brought nothing.
func (v *Visit) again() (token string, tried bool, err error) {
	if v.R.Method != http.MethodPost || v.R.PostFormValue(againLogin) == "" {
		return "", false, nil
	}
	t, err := v.Kit.SignIn.Enter(v.R.Context(), v.Typed(againLogin), v.R.PostFormValue(againPassword), v.Device(), v.From())
	if err != nil {
		return "", true, err
	}
	v.SetTicket(t)
	for _, name := range []string{againLogin, againPassword} {
		v.R.PostForm.Del(name)
		v.R.Form.Del(name)
	}
	return t.Token, true, nil
}

// kept returns what was typed into a form that cannot be taken now, nil when it
// is not to be carried on: passwords and codes never are.
func (v *Visit) kept() []Kept {
	if v.R.Method != http.MethodPost || v.R.Header.Get("X-Part") != "" || v.R.ParseForm() != nil {
		return nil
	}
	var out []Kept
	size := 0
	for name, values := range v.R.PostForm {
		switch name {
		case "password", "old", "new", "code":
			return nil
		case againLogin, againPassword:
			continue
		}
		for _, value := range values {
			out = append(out, Kept{name, value})
			size += len(name) + len(value)
		}
	}
	if size > keptMost {
		return nil
	}
	slices.SortStableFunc(out, func(a, b Kept) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// againForm asks for login and password on the page that keeps what was typed.
func (v *Visit) againForm(err error) Form {
	f := Form{
		{Kind: "text", Name: againLogin, Label: "Login", Auto: "username", Value: v.Typed(againLogin)},
		{Kind: "secret", Name: againPassword, Label: "Password", Auto: "current-password"},
	}
	if v.Typed(againLogin) != "" {
		f[0].Problem = programme.SentenceOf(err)
	}
	return f
}

// Device names the browser so that its owner recognises it.
func (v *Visit) Device() string {
	ua := v.R.UserAgent()
	name, system := "Browser", ""
	for _, b := range []struct{ in, out string }{{"Firefox/", "Firefox"}, {"Edg/", "Edge"}, {"Chrome/", "Chromium"}, {"Safari/", "Safari"}} {
		if strings.Contains(ua, b.in) {
			name = b.out
			break
		}
	}
	for _, s := range []struct{ in, out string }{{"Android", "Android"}, {"iPhone", "iPhone"}, {"iPad", "iPad"}, {"Windows", "Windows"}, {"Mac OS", "Mac"}, {"Linux", "Linux"}} {
		if strings.Contains(ua, s.in) {
			system = " on " + s.out
			break
		}
	}
	return name + system
}

// From is the address a request came from.
func (v *Visit) From() string {
	host, _, err := net.SplitHostPort(v.R.RemoteAddr)
	if err != nil {
		return v.R.RemoteAddr
	}
	return host
}
