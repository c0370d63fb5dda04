// Package intake asks what has to be known before a student is tested: one
// block of questions a page, each with its reason. The block "today" is asked
// again every morning.
package intake

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
	k.Handle("GET /students/{student}/intake", programme.Evaluate, overview)
	k.Handle("GET /students/{student}/intake/{block}", programme.Evaluate, show)
	k.Handle("POST /students/{student}/intake/{block}", programme.Evaluate, save)
}
