// Package evaluation guides an instructor through the tests: one at a time,
// with how it is done and why it matters, and beside it the answer as it
// changes while findings arrive.
package evaluation

import (
	"embed"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css *.js
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	const at = "/students/{student}/evaluation"
	k.Handle("GET "+at, programme.Evaluate, overview)
	k.Handle("POST "+at, programme.Evaluate, begin)
	k.Handle("POST "+at+"/close", programme.Evaluate, closeIt)
	k.Handle("GET "+at+"/tired", programme.Evaluate, showTired)
	k.Handle("POST "+at+"/tired", programme.Evaluate, saveTired)
	k.Handle("POST "+at+"/panel", programme.Evaluate, panel)
	k.Handle("GET "+at+"/{test}", programme.Evaluate, show)
	k.Handle("POST "+at+"/{test}", programme.Evaluate, save)
}
