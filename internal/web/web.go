// Package web serves the pages of the office: drawn on the server, usable
// without script, better with it. Every page is closed to strangers, and each
// route names the right it needs.
package web

import (
	"net/http"

	"firnhand/internal/web/evaluation"
	"firnhand/internal/web/intake"
	"firnhand/internal/web/page"
	"firnhand/internal/web/signin"
	"firnhand/internal/web/students"
)

// Deps are the ports that the pages are given.
type Deps = page.Deps

// Site is the whole of the pages.
type Site struct {
	http.Handler
	Routes []page.Route // every route with the right it needs
}

// New returns the pages.
func New(d Deps) *Site {
	k := page.NewKit(d)
	for _, add := range []func(*page.Kit){signin.Add, students.Add, intake.Add, evaluation.Add} {
		add(k)
	}
	h := k.Handler()
	return &Site{h, k.Routes}
}
