// Package privacy holds the pages by which the lead answers for what is kept
// about a student: who may read medical details, how long a record is kept, a
// copy of everything, and having somebody forgotten.
package privacy

import (
	"embed"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	const at = "/students/{student}"
	k.Handle("GET "+at+"/assigned", programme.Assign, assigned)
	k.Handle("POST "+at+"/assigned", programme.Assign, assign)
	k.Handle("GET "+at+"/export", programme.TakeOut, export)
	k.Handle("GET "+at+"/forget", programme.Forget, showForget)
	k.Handle("POST "+at+"/forget", programme.Forget, forget)
	k.Handle("GET /retention", programme.Forget, retention)
}
