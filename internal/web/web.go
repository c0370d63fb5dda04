// Package web serves the pages of the office: drawn on the server, usable
// without script, better with it. Every page is closed to strangers, and each
// route names the right it needs.
package web

import (
	"net/http"

	"firnhand/internal/web/answer"
	"firnhand/internal/web/binding"
	"firnhand/internal/web/cards"
	"firnhand/internal/web/cold"
	"firnhand/internal/web/consents"
	"firnhand/internal/web/evaluation"
	"firnhand/internal/web/handover"
	"firnhand/internal/web/hill"
	"firnhand/internal/web/holds"
	"firnhand/internal/web/incident"
	"firnhand/internal/web/intake"
	"firnhand/internal/web/lesson"
	"firnhand/internal/web/lift"
	"firnhand/internal/web/measure"
	"firnhand/internal/web/notes"
	"firnhand/internal/web/page"
	"firnhand/internal/web/phone"
	"firnhand/internal/web/privacy"
	"firnhand/internal/web/progress"
	"firnhand/internal/web/record"
	"firnhand/internal/web/report"
	"firnhand/internal/web/rulebook"
	"firnhand/internal/web/settings"
	"firnhand/internal/web/setup"
	"firnhand/internal/web/signin"
	"firnhand/internal/web/slope"
	"firnhand/internal/web/staff"
	"firnhand/internal/web/stance"
	"firnhand/internal/web/student"
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
	for _, add := range []func(*page.Kit){signin.Add, privacy.Add, students.Add, intake.Add, evaluation.Add,
		answer.Add, student.Add, consents.Add, holds.Add, cards.Add,
		setup.Add, measure.Add, stance.Add, binding.Add, notes.Add, record.Add, hill.Add, slope.Add, lift.Add, cold.Add, lesson.Add, progress.Add, handover.Add, incident.Add, report.Add, settings.Add, rulebook.Add, staff.Add, phone.Add} {
		add(k)
	}
	h := k.Handler()
	return &Site{h, k.Routes}
}
