// Package signin holds the pages on which a person becomes known: sign in, the
// first-run code that makes the first lead, the code with which a new member
// of staff joins, and the page about oneself.
package signin

import (
	"embed"
	"net"
	"strings"

	"firnhand/internal/web/page"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.HandleOpen("GET /{$}", start)
	k.HandleOpen("GET /sign-in", show)
	k.HandleOpen("POST /sign-in", enter)
	k.Handle("POST /sign-out", "", leave)
	k.HandleOpen("GET /first-run", showFirstRun)
	k.HandleOpen("POST /first-run", firstRun)
	k.HandleOpen("GET /join", showJoin)
	k.HandleOpen("POST /join", join)
	k.Handle("GET /me", "", me)
	k.Handle("POST /me/password", "", changePassword)
	k.Handle("POST /me/devices", "", endDevice)
}

// device names the browser so that its owner recognises it.
func device(v *page.Visit) string {
	ua := v.R.UserAgent()
	name, system := "Browser", ""
	for _, b := range []struct{ in, out string }{{"Firefox/", "Firefox"}, {"Edg/", "Edge"}, {"Chrome/", "Chromium"}, {"Safari/", "Safari"}} {
		if strings.Contains(ua, b.in) {
			name = b.out
			break
		}
	}
	for _, s := range []struct{ in, out string }{{"Android", "Android"}, {"iPhone", "iPhone"}, {"iPad", "iPad"}, {"Windows", "Windows"}, {"Mac OS", "Mac"}, {"Linux", "Linux"}} {
		if strings.Contains(ua, s.in) {
			system = " on " + s.out
			break
		}
	}
	return name + system
}

// from is the address a request came from.
func from(v *page.Visit) string {
	host, _, err := net.SplitHostPort(v.R.RemoteAddr)
	if err != nil {
		return v.R.RemoteAddr
	}
	return host
}
