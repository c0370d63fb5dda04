// Package student holds the 30-second read: what the next instructor wants to
// know before anything else, in ten lines.
package student

import (
	"embed"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the page.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}", programme.ReadIdentity, read)
}
