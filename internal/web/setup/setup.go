// Package setup holds the set-up sheet: what the program proposes, what was
// measured on the person beside it, who signed, and the history of versions
// with why each was reopened.
package setup

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
	const at = "/students/{student}/set-up"
	k.Handle("GET "+at, programme.ReadWork, show)
	k.Handle("GET "+at+"/propose", programme.WriteSetUp, showPropose)
	k.Handle("POST "+at, programme.WriteSetUp, propose)
	k.Handle("GET "+at+"/changed", programme.WriteSetUp, showChanged)
	k.Handle("POST "+at+"/changed", programme.WriteSetUp, changed)
	k.Handle("GET "+at+"/{sheet}", programme.ReadWork, showVersion)
	k.Handle("GET "+at+"/{sheet}/measure", programme.WriteSetUp, showMeasure)
	k.Handle("POST "+at+"/{sheet}/measure", programme.WriteSetUp, measure)
	k.Handle("POST "+at+"/{sheet}/sign", programme.WriteSetUp, sign)
}

// address is where the pages of a student's sheet lie.
func address(r programme.Record) string { return "/students/" + string(r.Student) + "/set-up" }
