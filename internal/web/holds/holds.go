// Package holds shows what stops a student and what ends it: holds raised by a
// gate rule or by hand, and the written clearances of licensed people. Nothing
// on these pages clears a hold; they only write down who did, when, and until
// when.
package holds

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
	const at = "/students/{student}/holds"
	k.Handle("GET "+at, programme.ReadHold, list)
	k.Handle("GET "+at+"/new", programme.RaiseHoldAct, showRaise)
	k.Handle("POST "+at, programme.RaiseHoldAct, raise)
	k.Handle("GET "+at+"/{hold}/clearance", programme.RecordClears, showClear)
	k.Handle("POST "+at+"/{hold}/clearance", programme.RecordClears, clearance)
}
