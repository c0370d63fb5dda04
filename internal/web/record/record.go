// Package record shows everything that was recorded about a student, in order,
// as it is and as it was; and it holds the pages on which a finding is
// corrected and a fact is taken out of the record.
package record

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
	k.Handle("GET "+at+"/record", programme.ReadWork, timeline)
	k.Handle("GET "+at+"/facts/{fact}/correct", programme.Evaluate, showCorrect)
	k.Handle("POST "+at+"/facts/{fact}/correct", programme.Evaluate, correct)
	k.Handle("GET "+at+"/facts/{fact}/retract", programme.ReadWork, showRetract)
	k.Handle("POST "+at+"/facts/{fact}/retract", programme.ReadWork, retract)
	k.Handle("GET /readings", programme.ReadLog, readings)
}
