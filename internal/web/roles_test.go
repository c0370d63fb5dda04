package web_test

import (
	"fmt"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// letters are the roles as the table writes them, in the order of
// programme.Roles.
const letters = "ILSETM"

// TestEveryRouteEveryRole asks for every route of the server's own mux as a
// stranger and in every role, and compares who is let in and who reads which
// planted word with the table. A route without a row fails, and so does a row
// without a route.
func TestEveryRouteEveryRole(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	if len(plants) != len(webtest.Canaries) {
		t.Errorf("%d plants, %d canaries", len(plants), len(webtest.Canaries))
	}
	of := map[string]row{}
	for _, r := range table {
		if _, twice := of[r.route]; twice {
			t.Errorf("two rows for %q", r.route)
		}
		of[r.route] = r
	}
	var forms *webtest.Seeded // a programme that no form has changed yet
	for _, route := range s.Site.Routes {
		r, ok := of[route.Pattern]
		delete(of, route.Pattern)
		t.Run(route.Pattern, func(t *testing.T) {
			if !ok {
				t.Errorf("no row in routes_table_test.go; as it is now:\n\t%s", asIs(t, route.Pattern))
				return
			}
			if route.Open != (r.may == "open") {
				t.Errorf("open to strangers: %v, the row says %q", route.Open, r.may)
			}
			if strings.HasPrefix(route.Pattern, "POST") {
				if forms == nil {
					forms = webtest.Seed(webtest.New(t))
				}
				if writes(t, forms, r) {
					forms = nil
				}
				return
			}
			path := s.Path(route.Pattern)
			if strings.Contains(path, "{") {
				t.Fatalf("Seeded.Path in webtest does not know how to ask for %s", path)
			}
			stranger(t, s, http.MethodGet, path, route.Open)
			for i, role := range programme.Roles {
				inRole(t, s, r, path, role, letters[i])
			}
		})
	}
	for route := range of {
		t.Errorf("the table has a row for %q, which is no route", route)
	}
}

// readers lists who reads each planted word by the row.
func (r row) readers(t *testing.T) map[string]string {
	out := map[string]string{}
	for _, one := range strings.Fields(r.reads) {
		short, roles, _ := strings.Cut(one, ":")
		if plants[short] == "" || len(roles) != len(letters) {
			t.Fatalf("the row of %s has %q", r.route, one)
		}
		out[plants[short]] = roles
	}
	return out
}

func (r row) lets(letter byte) bool { return r.may == "open" || strings.IndexByte(r.may, letter) >= 0 }

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
	case !open && method == http.MethodGet && w.Code != http.StatusUnauthorized && (w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/sign-in"):
		t.Errorf("a stranger gets %d %s", w.Code, w.Header().Get("Location"))
	case !open && method == http.MethodPost && w.Code != http.StatusUnauthorized:
		t.Errorf("a stranger's form gets %d", w.Code)
	}
}

// inRole asks in a role: what must be there is, and what must not is not.
func inRole(t *testing.T, s *webtest.Seeded, row row, path string, role programme.Role, letter byte) {
	t.Helper()
	w := asked(s, http.MethodGet, path, s.Cookies[role], "")
	body := w.Body.String()
	switch may := row.lets(letter); {
	case may && w.Code >= 400 && row.route != "/" && row.route != "GET /static/{name}":
		t.Errorf("%s gets %d, but may: %.300s", role, w.Code, webtest.Squeeze(body))
	case !may && w.Code != http.StatusForbidden:
		t.Errorf("%s gets %d, but may not", role, w.Code)
	}
	if row.lets(letter) && w.Code < 400 && w.Code != http.StatusSeeOther {
		for _, want := range strings.Split(row.says, "|") {
			if !strings.Contains(body, want) {
				t.Errorf("%s is not told %q", role, want)
			}
		}
	}
	readers := row.readers(t)
	for word := range webtest.Canaries {
		should, does := strings.IndexByte(readers[word], letter) >= 0, strings.Contains(body, word)
		if should != does {
			t.Errorf("%s: shown %q is %v, and should be %v", role, word, does, should)
		}
	}
}

// asked sends one request as a browser on the site does.
func asked(s *webtest.Seeded, method, path string, cookie *http.Cookie, send string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, strings.NewReader(send))
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if cookie != nil {
		r.AddCookie(cookie)
	}
	w := httptest.NewRecorder()
	s.Site.ServeHTTP(w, r)
	return w
}

// writes sends a form as a stranger and in every role, those first who may
// not. A refused one writes nothing. It tells whether a form was taken.
func writes(t *testing.T, s *webtest.Seeded, row row) (taken bool) {
	t.Helper()
	path := s.Path(row.route)
	if strings.Contains(path, "{") {
		t.Fatalf("Seeded.Path in webtest does not know how to ask for %s", path)
	}
	stranger(t, s, http.MethodPost, path, row.may == "open")
	for _, may := range []bool{false, true} {
		for i, role := range programme.Roles {
			if row.lets(letters[i]) != may {
				continue
			}
			before := s.Facts()
			w := asked(s, http.MethodPost, path, s.Cookies[role], row.send)
			switch {
			case may && (w.Code == http.StatusForbidden || w.Code == http.StatusUnauthorized || w.Code >= 500):
				t.Errorf("%s gets %d, but may: %.300s", role, w.Code, webtest.Squeeze(w.Body.String()))
			case !may && (w.Code != http.StatusForbidden || s.Facts() != before):
				t.Errorf("%s gets %d, but may not; %d facts more", role, w.Code, s.Facts()-before)
			}
			taken = taken || w.Code < 400
			for word, act := range webtest.Canaries {
				if !s.Actors[role].May(act) && strings.Contains(w.Body.String(), word) {
					t.Errorf("%s is shown %q", role, word)
				}
			}
		}
	}
	return taken
}

// asIs writes the row that a route would have as it is now.
func asIs(t *testing.T, route string) string {
	t.Helper()
	s := webtest.Seed(webtest.New(t))
	method, _, _ := strings.Cut(route, " ")
	if method != http.MethodPost {
		method = http.MethodGet
	}
	may, reads := "", map[string]string{}
	for i, role := range programme.Roles {
		w := asked(s, method, s.Path(route), s.Cookies[role], "")
		letter := letters[i : i+1]
		if w.Code == http.StatusForbidden {
			letter = "."
		}
		may += letter
		for short, word := range plants {
			if strings.Contains(w.Body.String(), word) {
				reads[short] += letters[i : i+1]
			} else {
				reads[short] += "."
			}
		}
	}
	var words []string
	for short, roles := range reads {
		if strings.Trim(roles, ".") != "" {
			words = append(words, short+":"+roles)
		}
	}
	slices.Sort(words)
	return fmt.Sprintf("{route: %q, may: %q, says: \"...\", reads: %q},", route, may, strings.Join(words, " "))
}

// TestCanariesAreThere keeps the table honest: each planted word is read by
// somebody on some page.
func TestCanariesAreThere(t *testing.T) {
	read := map[string]bool{}
	for _, r := range table {
		if strings.Contains(r.route, "/students/{student}") {
			for word := range r.readers(t) {
				read[word] = true
			}
		}
	}
	for word := range webtest.Canaries {
		if !read[word] {
			t.Errorf("%q is read by nobody, so the table proves nothing about it", word)
		}
	}
}

// TestOneDoor: only the kit registers routes, so that the list which the table
// is held against is the whole of the mux.
func TestOneDoor(t *testing.T) {
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		b, err := os.ReadFile(path)
		for _, way := range []string{"HandleFunc(", "NewServeMux(", "mux.Handle("} {
			if n := strings.Count(string(b), way); n > 0 && filepath.ToSlash(path) != "page/kit.go" || n > 1 {
				t.Errorf("%s registers routes with %s", path, way)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
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

// TestContentTypes (ASVS 5.0, 4.1.1 and 5.4.1): every answer says what it is,
// text with its character set, and what is taken away as a file has a name in
// which nobody's stands.
func TestContentTypes(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	files := 0
	for _, r := range table {
		if strings.HasPrefix(r.route, "POST") || !r.lets('L') {
			continue
		}
		w := asked(s, http.MethodGet, s.Path(r.route), s.Cookies[programme.Lead], "")
		kind := w.Header().Get("Content-Type")
		if w.Body.Len() > 0 && kind == "" {
			t.Errorf("%s: no Content-Type", r.route)
		}
		textual := strings.HasPrefix(kind, "text/") || strings.HasPrefix(kind, "application/json")
		if textual && !strings.HasSuffix(kind, "; charset=utf-8") {
			t.Errorf("%s: Content-Type %q has no character set", r.route, kind)
		}
		if name := w.Header().Get("Content-Disposition"); name != "" {
			files++
			for word := range webtest.Canaries {
				if strings.Contains(name, word) {
					t.Errorf("%s: a name stands in %q", r.route, name)
				}
			}
			if strings.Contains(name, "Edda") {
				t.Errorf("%s: a name stands in %q", r.route, name)
			}
		}
	}
	if files < 2 {
		t.Errorf("only %d answers are files", files)
	}
}
