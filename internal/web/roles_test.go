package web_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestEveryRouteEveryRole asks for every route as a stranger and in every
// role. The right each route needs is the table programme.Permissions; the
// words that must not be shown are in webtest.Canaries.
func TestEveryRouteEveryRole(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	if len(s.Site.Routes) < 40 {
		t.Fatalf("only %d routes", len(s.Site.Routes))
	}
	open := 0
	for _, route := range s.Site.Routes {
		if route.Open {
			open++
		}
		method, _, _ := strings.Cut(route.Pattern, " ")
		path := s.Path(route.Pattern)
		if route.Pattern == "GET /static/{name}" {
			path = "/static/base.css"
		}
		if strings.Contains(path, "{") {
			t.Errorf("%s: the test does not know how to ask for it", route.Pattern)
			continue
		}
		t.Run(route.Pattern, func(t *testing.T) {
			stranger(t, s, method, path, route.Open)
			if method == http.MethodPost {
				return // what a role may write is tried below, one case each
			}
			for _, role := range programme.Roles {
				inRole(t, s, path, role, route.Needs)
			}
		})
	}
	// The pages open to strangers, each with a reason: style, start, sign-in,
	// first run, join.
	if open != 8 {
		t.Errorf("%d routes are open to strangers, not 8", open)
	}
}

// stranger asks without being signed in.
func stranger(t *testing.T, s *webtest.Seeded, method, path string, open bool) {
	t.Helper()
	r := httptest.NewRequest(method, path, nil)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	w := httptest.NewRecorder()
	s.Site.ServeHTTP(w, r)
	body := w.Body.String()
	for word := range webtest.Canaries {
		if strings.Contains(body, word) {
			t.Errorf("a stranger is shown %q", word)
		}
	}
	switch {
	case open && w.Code == http.StatusUnauthorized:
		t.Errorf("it should be open, but answers %d", w.Code)
	case !open && method == http.MethodGet && (w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/sign-in"):
		t.Errorf("a stranger gets %d %s", w.Code, w.Header().Get("Location"))
	case !open && method == http.MethodPost && w.Code != http.StatusUnauthorized:
		t.Errorf("a stranger's form gets %d", w.Code)
	}
}

// inRole asks in a role and looks for words the role may not read.
func inRole(t *testing.T, s *webtest.Seeded, path string, role programme.Role, needs programme.Action) {
	t.Helper()
	actor := s.Actors[role]
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.AddCookie(s.Cookies[role])
	w := httptest.NewRecorder()
	s.Site.ServeHTTP(w, r)
	body := w.Body.String()
	for word, act := range webtest.Canaries {
		// The rules and settings are the same for everybody and name no student.
		about := strings.HasPrefix(path, "/students") || strings.HasPrefix(path, "/cards")
		if !actor.May(act) && about && strings.Contains(body, word) {
			t.Errorf("%s is shown %q", role, word)
		}
	}
	if may := needs == "" || actor.May(needs); may && w.Code >= 400 {
		t.Errorf("%s gets %d, but may: %.300s", role, w.Code, webtest.Squeeze(body))
	} else if !may && w.Code != http.StatusForbidden {
		t.Errorf("%s gets %d, but may not", role, w.Code)
	}
}

// TestCanariesAreThere keeps the test above honest: each word is shown to
// somebody who may read it.
func TestCanariesAreThere(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	var all strings.Builder
	for _, role := range programme.Roles {
		for _, route := range s.Site.Routes {
			if strings.HasPrefix(route.Pattern, "GET /students") {
				c := s.Client(s.Cookies[role])
				c.Get(s.Path(route.Pattern))
				all.WriteString(c.Body)
			}
		}
	}
	for word := range webtest.Canaries {
		if !strings.Contains(all.String(), word) {
			t.Errorf("%q is shown to nobody, so the test of roles proves nothing about it", word)
		}
	}
}

// TestWritesNeedTheRight sends every form in every role. Nothing may be
// written by a role that the table does not name.
func TestWritesNeedTheRight(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	for _, route := range s.Site.Routes {
		method, _, _ := strings.Cut(route.Pattern, " ")
		if method != http.MethodPost || route.Needs == "" || route.Open {
			continue
		}
		for _, role := range programme.Roles {
			if s.Actors[role].May(route.Needs) {
				continue
			}
			before := s.Facts()
			c := s.Client(s.Cookies[role])
			c.Post(s.Path(route.Pattern), url.Values{"reason": {"x"}, "text": {"x"}, "about": {"lesson"}})
			if c.Status != http.StatusForbidden || s.Facts() != before {
				t.Errorf("%s as %s: %d", route.Pattern, role, c.Status)
			}
		}
	}
}

// TestHeaders looks at every answer: pages, style, errors, refusals.
func TestHeaders(t *testing.T) {
	b := webtest.NewWith(t, true)
	ask := func(method, path string) http.Header {
		r := httptest.NewRequest(method, path, nil)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		w := httptest.NewRecorder()
		b.Site.ServeHTTP(w, r)
		return w.Header()
	}
	paths := []string{"GET /sign-in", "GET /nowhere", "POST /sign-out", "GET /static/base.css", "GET /static/nothing.css", "GET /students", "POST /sign-in", "DELETE /students"}
	for _, p := range paths {
		method, path, _ := strings.Cut(p, " ")
		h := ask(method, path)
		csp := h.Get("Content-Security-Policy")
		for _, part := range []string{"default-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "object-src 'none'"} {
			if !slices.Contains(strings.Split(csp, "; "), part) {
				t.Errorf("%s: policy %q lacks %s", p, csp, part)
			}
		}
		if strings.Contains(csp, "unsafe") {
			t.Errorf("%s: policy %q", p, csp)
		}
		for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Strict-Transport-Security": "max-age=31536000"} {
			if h.Get(name) != want {
				t.Errorf("%s: %s is %q", p, name, h.Get(name))
			}
		}
		if cc := h.Get("Cache-Control"); !strings.HasPrefix(path, "/static/") && cc != "no-store" {
			t.Errorf("%s: Cache-Control is %q", p, cc)
		}
	}
}

// TestCookie: the sign-in is kept from scripts, from other sites, and under
// TLS from plain connections.
func TestCookie(t *testing.T) {
	for _, secure := range []bool{false, true} {
		b := webtest.NewWith(t, secure)
		r := httptest.NewRequest(http.MethodPost, "/first-run", strings.NewReader(url.Values{"code": {webtest.FirstCode}, "name": {"Ines"}, "login": {"ines"}, "password": {"four plain words here"}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		w := httptest.NewRecorder()
		b.Site.ServeHTTP(w, r)
		if w.Code != http.StatusSeeOther || len(w.Result().Cookies()) != 1 {
			t.Fatalf("first run: %d %s", w.Code, w.Body)
		}
		c := w.Result().Cookies()[0]
		if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" || c.Secure != secure || strings.HasPrefix(c.Name, "__Host-") != secure {
			t.Errorf("secure %v: %+v", secure, c)
		}
	}
}

// TestForged: a form sent from another site changes nothing.
func TestForged(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	for _, h := range []http.Header{{"Sec-Fetch-Site": {"cross-site"}}, {"Origin": {"https://elsewhere.example.org"}}} {
		before := s.Facts()
		body := url.Values{"text": {"x"}, "about": {"lesson"}, "class": {"work"}}.Encode()
		r := httptest.NewRequest(http.MethodPost, "/students/"+string(s.Student)+"/notes", strings.NewReader(body))
		r.Header = h.Clone()
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(s.Cookies[programme.Lead])
		w := httptest.NewRecorder()
		s.Site.ServeHTTP(w, r)
		if w.Code != http.StatusForbidden || s.Facts() != before {
			t.Errorf("%v: %d", h, w.Code)
		}
	}
}
