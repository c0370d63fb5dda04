package web_test

import (
	"context"
	"net/http"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"firnhand/internal/web/webtest"
)

// sizes are the windows in which pages are looked at: a phone and a desk.
var sizes = []struct {
	name          string
	width, height int64
}{{"phone", 390, 844}, {"desk", 1280, 800}}

// browser starts a browser, or skips the test and says why.
func browser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed, so pages are not tried in a real browser")
	}
	if testing.Short() {
		t.Skip("short run: pages are not tried in a real browser")
	}
	dir := t.TempDir()
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(dir), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	actx, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel2 := chromedp.NewContext(actx)
	t.Cleanup(cancel2)
	ctx, cancel3 := context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(cancel3)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Skipf("chromium does not start here, so pages are not tried in a real browser: %v", err)
	}
	return ctx
}

// signIn gives the browser somebody's cookies.
func signIn(t *testing.T, ctx context.Context, b *webtest.Bench, cookies map[string]*http.Cookie) {
	t.Helper()
	for _, c := range cookies {
		_, err := chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{Name: c.Name, Value: c.Value, URL: b.Serve().URL})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// window sets the size of the page.
func window(t *testing.T, ctx context.Context, w, h int64) {
	t.Helper()
	_, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: w, Height: h, DeviceScaleFactor: 1, Mobile: w < 600})
	if err != nil {
		t.Fatal(err)
	}
}
