package page

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"net/http"
	"path"
	"strings"
	"time"

	"firnhand/programme"
)

// Kit holds the routes, templates and static files of the pages while they are
// put together, and serves them afterwards.
type Kit struct {
	Deps
	Routes []Route

	mux     *http.ServeMux
	uploads map[string]bool // patterns that take files
	base    *template.Template
	pages   map[string]*template.Template
	static  map[string]asset
	styles  []string
}

// Route is one route with the right it needs.
type Route struct {
	Pattern string           // as in http.ServeMux: "GET /students/{student}"
	Needs   programme.Action // "" where being signed in is enough
	Open    bool             // open to strangers
}

type asset struct {
	body []byte
	kind string
	hash string
}

// NewKit returns a kit with the shared layout and style.
func NewKit(d Deps) *Kit {
	if d.Zone == nil {
		d.Zone = time.UTC
	}
	if d.Log == nil {
		d.Log = slog.New(slog.DiscardHandler)
	}
	k := &Kit{Deps: d, mux: http.NewServeMux(), uploads: map[string]bool{}, pages: map[string]*template.Template{}, static: map[string]asset{}}
	k.base = template.Must(template.New("layout").Funcs(k.funcs()).ParseFS(files, "*.html"))
	shared, err := fs.Sub(files, "shared")
	if err != nil {
		panic(err)
	}
	k.Templates(shared)
	k.Static(files, "static")
	k.route(Route{Pattern: "GET /static/{name}", Open: true}, k.serveStatic)
	return k
}

// Templates adds a page's templates: each *.html file of the folder becomes a
// page by its name without the ending.
func (k *Kit) Templates(fsys fs.FS) {
	names, err := fs.Glob(fsys, "*.html")
	if err != nil || len(names) == 0 {
		panic("page: a folder without templates")
	}
	for _, n := range names {
		key := strings.TrimSuffix(n, ".html")
		if _, twice := k.pages[key]; twice {
			panic("page: two templates called " + key)
		}
		k.pages[key] = template.Must(template.Must(k.base.Clone()).ParseFS(fsys, n))
	}
}

var kinds = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".woff2": "font/woff2",
	".txt": "text/plain; charset=utf-8", ".svg": "image/svg+xml",
}

// Static adds the static files of a folder under their own names. Styles are
// put into every page, in the order in which they came; scripts are named by
// the pages that want them.
func (k *Kit) Static(fsys fs.FS, dir string) {
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		panic(err)
	}
	for _, e := range entries {
		kind := kinds[path.Ext(e.Name())]
		if e.IsDir() || kind == "" {
			continue
		}
		body, err := fs.ReadFile(fsys, path.Join(dir, e.Name()))
		if err != nil {
			panic(err)
		}
		if _, twice := k.static[e.Name()]; twice {
			panic("page: two static files called " + e.Name())
		}
		sum := sha256.Sum256(body)
		k.static[e.Name()] = asset{body, kind, hex.EncodeToString(sum[:6])}
		if path.Ext(e.Name()) == ".css" {
			k.styles = append(k.styles, e.Name())
		}
	}
}

// asset returns the address of a static file, which changes with its content.
func (k *Kit) asset(name string) (string, error) {
	a, ok := k.static[name]
	if !ok {
		return "", fmt.Errorf("page: no static file %q", name)
	}
	return "/static/" + name + "?v=" + a.hash, nil
}

func (k *Kit) serveStatic(w http.ResponseWriter, r *http.Request) {
	a, ok := k.static[r.PathValue("name")]
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", a.kind)
	if r.URL.Query().Get("v") == a.hash {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	} else {
		w.Header().Set("Cache-Control", "no-cache")
	}
	w.Write(a.body)
}

// route is the only way into the mux, so that Routes lists all of it.
func (k *Kit) route(r Route, do http.HandlerFunc) {
	k.Routes = append(k.Routes, r)
	k.mux.HandleFunc(r.Pattern, do)
}

// Handle adds a route that needs a right; with "" being signed in is enough.
func (k *Kit) Handle(pattern string, needs programme.Action, do func(*Visit) error) {
	k.route(Route{Pattern: pattern, Needs: needs}, func(w http.ResponseWriter, r *http.Request) {
		v := k.visit(w, r)
		err := v.parse()
		if err == nil {
			err = k.enter(v, needs)
		}
		if err == nil {
			err = do(v)
		}
		if err != nil {
			v.Fail(err)
		}
	})
}

// HandleOpen adds a route that is open to strangers.
func (k *Kit) HandleOpen(pattern string, do func(*Visit) error) {
	k.route(Route{Pattern: pattern, Open: true}, func(w http.ResponseWriter, r *http.Request) {
		v := k.visit(w, r)
		err := v.parse()
		if err == nil {
			err = do(v)
		}
		if err != nil {
			v.Fail(err)
		}
	})
}

// parse reads a form before anything looks at its values, so that none is
// missed because it was looked at too early.
func (v *Visit) parse() error {
	if v.R.Method != http.MethodPost || !strings.HasPrefix(v.R.Header.Get("Content-Type"), "application/x-www-form-urlencoded") {
		return nil
	}
	if err := v.R.ParseForm(); err != nil {
		return programme.Fail(programme.CodeInvalid, err, "This form was too long, or was cut off on the way. Nothing was saved.")
	}
	return nil
}

func (k *Kit) visit(w http.ResponseWriter, r *http.Request) *Visit {
	return &Visit{W: w, R: r, Kit: k}
}

// enter finds out who is asking and whether they may.
func (k *Kit) enter(v *Visit, needs programme.Action) error {
	a, err := k.who(v, k.token(v.R))
	if programme.CodeOf(err) == programme.CodeSignedOut {
		token, tried, errAgain := v.again()
		if errAgain != nil {
			return errAgain
		}
		if tried {
			a, err = k.who(v, token)
		}
	}
	if err != nil {
		return err
	}
	v.Actor = a
	if needs != "" && !a.May(needs) {
		return programme.Refuse(programme.CodeNotAllowed, "Your role does not show this page.")
	}
	return nil
}

func (k *Kit) who(v *Visit, token string) (programme.Actor, error) {
	if token == "" {
		return programme.Actor{}, programme.Refuse(programme.CodeSignedOut, "Sign in to go on.")
	}
	return k.SignIn.Who(v.R.Context(), token)
}
