package page

import (
	"fmt"
	"net/http"
	"runtime/debug"

	"firnhand/programme"
)

// bodyMost bounds what a form may send.
const bodyMost = 512 << 10

// Handler returns the pages with what stands around all of them: security
// headers, the check against forged requests, a bound on what is sent, and a
// page for an address that does not exist or a handler that broke.
func (k *Kit) Handler() http.Handler {
	k.route(Route{Pattern: "/", Open: true}, func(w http.ResponseWriter, r *http.Request) {
		v := k.visit(w, r)
		_ = k.enter(v, "") // only to show the right way back
		v.Fail(programme.Refuse(programme.CodeNotFound, "There is no page at this address."))
	})
	forged := http.NewCrossOriginProtection()
	forged.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		k.visit(w, r).Fail(programme.Refuse(programme.CodeNotAllowed,
			"This was sent from another site, so nothing was saved. Open the page here and send it again."))
	}))
	inner := forged.Handler(k.mux)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		k.headers(w.Header())
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				err := fmt.Errorf("panic: %v\n%s", p, debug.Stack())
				k.visit(w, r).Fail(programme.Fail(programme.CodeInternal, err, "%s", programme.SentenceOf(err)))
			}
		}()
		most := int64(bodyMost)
		if k.takesFiles(r) {
			most = drainMost
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		inner.ServeHTTP(w, r)
	})
}

// headers are set on every answer; static files loosen the caching.
func (k *Kit) headers(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'self'; base-uri 'none'; object-src 'none'; form-action 'self'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-store")
	if k.Secure {
		h.Set("Strict-Transport-Security", "max-age=31536000")
	}
}

// cookieName is the name of the sign-in cookie.
func (k *Kit) cookieName() string {
	if k.Secure {
		return "__Host-firnhand"
	}
	return "firnhand"
}

func (k *Kit) token(r *http.Request) string {
	c, err := r.Cookie(k.cookieName())
	if err != nil {
		return ""
	}
	return c.Value
}

// SetTicket gives the browser a sign-in.
func (v *Visit) SetTicket(t Ticket) {
	http.SetCookie(v.W, &http.Cookie{Name: v.Kit.cookieName(), Value: t.Token, Path: "/", Expires: t.Ends.UTC(),
		HttpOnly: true, Secure: v.Kit.Secure, SameSite: http.SameSiteLaxMode})
}

// DropTicket takes the sign-in from the browser.
func (v *Visit) DropTicket() {
	http.SetCookie(v.W, &http.Cookie{Name: v.Kit.cookieName(), Path: "/", MaxAge: -1,
		HttpOnly: true, Secure: v.Kit.Secure, SameSite: http.SameSiteLaxMode})
}

// Token returns the sign-in of the browser, "" when there is none.
func (v *Visit) Token() string { return v.Kit.token(v.R) }
