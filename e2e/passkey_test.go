package e2e

import (
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
)

// chrome starts a browser, or skips the test and says why.
func chrome(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed, so this is not tried in a real browser")
	}
	if testing.Short() {
		t.Skip("short run: this is not tried in a real browser")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel2 := chromedp.NewContext(ctx)
	t.Cleanup(cancel2)
	ctx, cancel3 := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel3)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Skipf("chromium does not start here, so this is not tried in a real browser: %v", err)
	}
	return ctx
}

// surfer drives a page by script, as a hand would.
type surfer struct {
	t   *testing.T
	ctx context.Context
}

func (s surfer) eval(js string) string {
	s.t.Helper()
	v, err := chromedp.Run(s.ctx, chromedp.Evaluate[any](js))
	if err != nil {
		s.t.Fatalf("%s: %v", js, err)
	}
	return fmt.Sprint(v)
}

func (s surfer) open(to string) {
	s.t.Helper()
	if err := chromedp.Do(s.ctx, chromedp.Navigate(to)); err != nil {
		s.t.Fatal(err)
	}
}

// until waits until the page says the words.
func (s surfer) until(words string) {
	s.t.Helper()
	last := ""
	for range 200 {
		if last = s.eval(`document.body ? document.body.innerText : ""`); strings.Contains(last, words) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.t.Fatalf("the page at %s never says %q:\n%s", s.eval("location.href"), words, last)
}

func (s surfer) fill(values map[string]string) {
	s.t.Helper()
	for id, v := range values {
		s.eval(fmt.Sprintf(`document.getElementById(%q).value = %q`, id, v))
	}
}

func (s surfer) press(words string) {
	s.t.Helper()
	s.eval(fmt.Sprintf(`[...document.querySelectorAll('button')].find(b => b.textContent.includes(%q)).click()`, words))
}

// TestPasskey goes through it in a real browser with a virtual authenticator:
// a lead adds a passkey, the password alone is then no longer enough, the
// passkey is, an authenticator without it is not, and once it is removed the
// password serves again.
func TestPasskey(t *testing.T) {
	ctx := chrome(t)
	srv := start(t, filepath.Join(t.TempDir(), "records.db"), "use this code")
	code := regexp.MustCompile(`([0-9a-z]{5}(-[0-9a-z]{5}){3})`).FindString(srv.said)
	base := strings.Replace(srv.base, "127.0.0.1", "localhost", 1)
	if _, err := chromedp.Call(ctx, webauthn.Enable, webauthn.EnableParams{}); err != nil {
		t.Skipf("this chromium has no virtual authenticator: %v", err)
	}
	device := func() webauthn.AuthenticatorID {
		r, err := chromedp.Call(ctx, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
			Protocol: "ctap2", Transport: "internal", HasResidentKey: true, HasUserVerification: true, IsUserVerified: true, AutomaticPresenceSimulation: true}})
		if err != nil {
			t.Fatal(err)
		}
		return r.AuthenticatorID
	}
	first := device()
	s := surfer{t, ctx}
	s.open(base + "/first-run")
	s.fill(map[string]string{"code": code, "name": "Ines", "login": "ines", "password": "four plain words here"})
	s.press("Begin as lead")
	s.until("Nobody is here yet")
	s.open(base + "/me")
	s.until("Add a passkey")
	s.press("Add a passkey")
	s.until("The passkey is added.")

	s.press("Sign out")
	s.until("You are signed out.")
	s.open(base + "/sign-in")
	s.fill(map[string]string{"login": "ines", "password": "four plain words here"})
	s.press("Sign in")
	s.until("You have a passkey: sign in with it.")
	s.press("Use a passkey")
	s.until("Nobody is here yet")

	// Another device knows nothing of it.
	s.press("Sign out")
	s.until("You are signed out.")
	if _, err := chromedp.Call(ctx, webauthn.RemoveVirtualAuthenticator, webauthn.RemoveVirtualAuthenticatorParams{AuthenticatorID: first}); err != nil {
		t.Fatal(err)
	}
	device()
	s.open(base + "/sign-in")
	s.press("Use a passkey")
	s.until("No passkey was used.")

	// Under the number of the machine instead of its name there are none.
	s.open(srv.base + "/sign-in")
	s.press("Use a passkey")
	s.until("Passkeys cannot be used under this address.")
}
