// Package cards makes the lesson card and shows cards that were made. A card
// can be made again exactly from the facts it names.
package cards

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
	k.Handle("GET /students/{student}/card", programme.IssueCardAct, show)
	k.Handle("POST /students/{student}/card", programme.IssueCardAct, issue)
	k.Handle("GET /cards/{card}", programme.ReadWork, again)
	k.Handle("GET /cards/{card}/pdf", programme.ReadWork, pdf)
	k.Handle("GET /cards/{card}/text", programme.ReadWork, text)
}
