// Package measure holds what is measured on a person and their gear for body,
// fit and stance: what is known, what stands out, and a form for each topic.
package measure

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
	const at = "/students/{student}/measures"
	k.Handle("GET "+at, programme.ReadWork, show)
	k.Handle("GET "+at+"/{topic}", programme.WriteSetUp, showForm)
	k.Handle("POST "+at+"/{topic}", programme.WriteSetUp, save)
}

func address(r programme.Record) string { return "/students/" + string(r.Student) + "/measures" }
