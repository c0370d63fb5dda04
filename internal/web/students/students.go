// Package students holds the list of students, the form for a new one, and the
// details of one.
package students

import (
	"embed"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students", programme.ReadIdentity, list)
	k.Handle("GET /students/new", programme.WriteStudent, showNew)
	k.Handle("POST /students", programme.WriteStudent, add)
	k.Handle("GET /students/{student}/details", programme.ReadIdentity, showDetails)
	k.Handle("POST /students/{student}/details", programme.WriteStudent, change)
}
