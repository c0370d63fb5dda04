// Package signin holds the pages on which a person becomes known: sign in, the
// first-run code that makes the first lead, the code with which a new member
// of staff joins, and the page about oneself.
package signin

import (
	"embed"

	"firnhand/internal/web/page"
)

//go:embed *.html *.js *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.HandleOpen("GET /{$}", start)
	k.HandleOpen("GET /sign-in", show)
	k.HandleOpen("POST /sign-in", enter)
	k.Handle("POST /sign-out", "", leave)
	k.HandleOpen("GET /first-run", showFirstRun)
	k.HandleOpen("POST /first-run", firstRun)
	k.HandleOpen("GET /join", showJoin)
	k.HandleOpen("POST /join", join)
	k.HandleOpen("POST /sign-in/passkey/ask", askPasskey)
	k.HandleOpen("POST /sign-in/passkey", enterPasskey)
	k.HandleOpen("GET /enrol", showEnrol)
	k.HandleOpen("POST /enrol", enrol)
	k.Handle("GET /me", "", me)
	k.Handle("POST /me/phone", "", phoneCode)
	k.Handle("POST /me/passkeys/ask", "", askNewPasskey)
	k.Handle("POST /me/passkeys", "", addPasskey)
	k.Handle("POST /me/passkeys/remove", "", removePasskey)
	k.Handle("POST /me/password", "", changePassword)
	k.Handle("POST /me/devices", "", endDevice)
}
