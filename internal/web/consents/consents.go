// Package consents holds the pages of consents and guardians: who answered
// what, who signed, and until when it holds.
package consents

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
	k.Handle("GET "+at+"/consents", programme.ReadIdentity, list)
	k.Handle("GET "+at+"/consents/{kind}", programme.WriteConsent, showForm)
	k.Handle("POST "+at+"/consents/{kind}", programme.WriteConsent, record)
	k.Handle("GET "+at+"/guardians/{guardian}", programme.WriteStudent, showGuardian)
	k.Handle("POST "+at+"/guardians/{guardian}", programme.WriteStudent, saveGuardian)
}
