// Package phone serves the page that an instructor's phone keeps: its files,
// the exchange of what was recorded for the day's people, and the pages where
// phones are seen and revoked and the people of a day are chosen.
package phone

import (
	"bytes"
	"compress/gzip"
	"embed"
	"encoding/json"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"

	"firnhand/internal/exchange"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// lockAfter is how long a phone shows a day without contact. Proposed, to be
// signed off.
const lockAfter = 12 * time.Hour

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /phones", programme.LogSnow, list)
	k.Handle("POST /phones/day", programme.LogSnow, pickDay)
	k.Handle("POST /phones/{phone}/revoke", programme.LogSnow, revoke)
	k.HandleOpen("POST /phone/exchange", talk)
	k.HandleOpen("GET /phone/{file...}", file)
}

// talk answers the exchange. It is open to strangers, because a phone that was
// revoked or whose sign-in has ended must be told so.
func talk(v *page.Visit) error {
	var r exchange.Request
	if err := json.NewDecoder(v.R.Body).Decode(&r); err != nil || r.Device == "" {
		return programme.Refuse(programme.CodeInvalid, "This is not a request of a phone.")
	}
	who, err := v.Asking()
	if err != nil && programme.CodeOf(err) != programme.CodeSignedOut {
		return err
	}
	desk := exchange.Desk{Cases: v.Kit.Cases, Clock: v.Kit.Clock, Build: v.Kit.Version, LockAfter: lockAfter, Day: day{v}.pack}
	b, err := json.Marshal(desk.Answer(v.R.Context(), who, device(v.R.UserAgent()), r))
	if err != nil {
		return err
	}
	return send(v, "application/json; charset=utf-8", b)
}

// send compresses an answer worth it: a day's pack shrinks to a tenth, on a
// link where that is seconds.
func send(v *page.Visit, kind string, body []byte) error {
	if len(body) > 1400 && strings.Contains(v.R.Header.Get("Accept-Encoding"), "gzip") {
		var z bytes.Buffer
		w := gzip.NewWriter(&z)
		if _, err := w.Write(body); err == nil && w.Close() == nil {
			v.W.Header().Set("Content-Encoding", "gzip")
			body = z.Bytes()
		}
	}
	return v.Send(kind, body)
}

// device says in a few words what a phone is.
func device(agent string) string {
	for _, d := range []string{"iPhone", "iPad", "Android", "Windows", "Macintosh", "Linux"} {
		if strings.Contains(agent, d) {
			return d
		}
	}
	return "a phone"
}

// kinds of the files of the page.
var kinds = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".woff2": "font/woff2",
	".webmanifest": "application/manifest+json; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png", ".json": "application/json; charset=utf-8", ".wasm": "application/wasm",
}

// policy lets the page compute in WebAssembly, which the other pages do not.
const policy = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; base-uri 'none'; object-src 'none'; form-action 'self'; frame-ancestors 'none'"

// file serves one file of the page. They hold no data of anybody; names with a
// digest never change, and the rest is asked for again each time.
func file(v *page.Visit) error {
	name := v.R.PathValue("file")
	if name == "" {
		name = "index.html"
	}
	if v.Kit.Phone == nil || !fs.ValidPath(name) || kinds[path.Ext(name)] == "" {
		return programme.Refuse(programme.CodeNotFound, "There is no page at this address.")
	}
	h := v.W.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Cache-Control", "no-cache")
	if strings.Count(path.Base(name), ".") > 1 {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	h.Set("Vary", "Accept-Encoding")
	for _, c := range []struct{ ending, encoding string }{{".br", "br"}, {".gz", "gzip"}} {
		if !strings.Contains(v.R.Header.Get("Accept-Encoding"), c.encoding) {
			continue
		}
		if b, err := fs.ReadFile(v.Kit.Phone, name+c.ending); err == nil {
			h.Set("Content-Encoding", c.encoding)
			return v.Send(kinds[path.Ext(name)], b)
		}
	}
	b, err := fs.ReadFile(v.Kit.Phone, name)
	if err != nil {
		return programme.Refuse(programme.CodeNotFound, "There is no page at this address.")
	}
	return v.Send(kinds[path.Ext(name)], b)
}

type listBody struct {
	Phones   []programme.PhoneState
	Names    map[programme.ID]string
	Lead     bool
	Me       programme.ID
	Fact     programme.ID
	Today    programme.Date
	Students []programme.StudentLine
	Picked   map[programme.ID]bool
}

func list(v *page.Visit) error {
	all, err := v.Kit.Cases.Phones(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	students, err := v.Kit.Cases.Students(v.R.Context(), v.Actor, false)
	if err != nil {
		return err
	}
	picked, err := v.Kit.Cases.PickedDay(v.R.Context(), v.Actor, v.Today())
	if err != nil {
		return err
	}
	body := listBody{Phones: all, Names: names, Lead: v.Actor.May(programme.ManageStaff), Me: v.Actor.Staff, Fact: v.NewID(), Today: v.Today(),
		Students: students, Picked: map[programme.ID]bool{}}
	for _, id := range picked.Students {
		body.Picked[id] = true
	}
	return v.Render(http.StatusOK, "phones", page.View{Title: "Phones", Body: body})
}

func pickDay(v *page.Visit) error {
	d := programme.PhoneDay{Day: v.Today(), Staff: v.Actor.Staff, Students: []programme.ID{}}
	for _, id := range v.R.PostForm["student"] {
		d.Students = append(d.Students, programme.ID(id))
	}
	if _, err := v.Kit.Cases.PickDay(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, d); err != nil {
		return err
	}
	return v.Go("/phones", "picked")
}

func revoke(v *page.Visit) error {
	reason := v.Typed("reason")
	if reason == "" {
		reason = "not said"
	}
	_, err := v.Kit.Cases.RevokePhone(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, programme.ID(v.R.PathValue("phone")), reason)
	if err != nil {
		return err
	}
	return v.Go("/phones", "revoked")
}
