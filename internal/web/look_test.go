package web_test

import (
	"context"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
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

// shoot takes a picture of every address at both sizes, when FIRNHAND_SHOTS
// names a folder for them.
func shoot(t *testing.T, ctx context.Context, b *webtest.Bench, c *webtest.Client, pages map[string]string) {
	t.Helper()
	dir := os.Getenv("FIRNHAND_SHOTS")
	if dir == "" {
		t.Skip("FIRNHAND_SHOTS is not set: nobody wants pictures")
	}
	only := os.Getenv("FIRNHAND_SHOTS_ONLY")
	for name, to := range pages {
		if only != "" && !strings.Contains(only, name) {
			continue
		}
		for _, s := range sizes {
			signIn(t, ctx, b, c.Cookies)
			window(t, ctx, s.width, s.height)
			if err := chromedp.Do(ctx, chromedp.Navigate(b.Serve().URL+to)); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if err := os.WriteFile(filepath.Join(dir, name+"-"+s.name+".png"), png, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestPictures takes pictures of the pages for a look by eye.
func TestPictures(t *testing.T) {
	if os.Getenv("FIRNHAND_SHOTS") == "" {
		t.Skip("FIRNHAND_SHOTS is not set: nobody wants pictures")
	}
	ctx := browser(t)
	b := webtest.New(t)
	c := first(t, b)
	meetMila(t, c)
	mid := c.URL
	student := "/students/" + strings.Split(mid, "/")[2]
	shoot(t, ctx, b, c, map[string]string{"begin": student + "/evaluation"})
	testMila(t, c)
	shoot(t, ctx, b, c, map[string]string{
		"students": "/students", "new": "/students/new", "intake": student + "/intake", "nerves": student + "/intake/nerves", "bones": student + "/intake/bones",
		"today": student + "/intake/today", "wish": student + "/intake/wish",
		"evaluation": student + "/evaluation", "test1": student + "/evaluation/1", "test2": student + "/evaluation/2", "test4": student + "/evaluation/4", "test6": student + "/evaluation/6",
		"test9": student + "/evaluation/9", "test13": student + "/evaluation/13", "tired": student + "/evaluation/tired", "signin": "/sign-in", "details": student + "/details", "missing": "/nowhere",
	})
	consentMila(t, c)
	c.Get(student+"/evaluation").Press("Close it as complete", map[string]string{"summary": "Quiet start works."})
	c.Get(student+"/card").Press("Make the card", nil)
	made := c.URL[:strings.Index(c.URL, "?")]
	c.Get(student+"/notes").Press("Save the note", map[string]string{"text": "Six linked turns to the left on the fan at 45 degrees, light hold.", "about": "next step", "class": "work"})
	shoot(t, ctx, b, c, map[string]string{
		"read": student, "consents": student + "/consents", "waiver": student + "/consents/waiver", "answer": student + "/answer", "card": student + "/card", "made": made,
		"notes": student + "/notes", "record": student + "/record", "settings": "/settings", "signoff": "/settings/upright_min", "rules": "/rules", "staff": "/staff", "me": "/me",
		"holdnew": student + "/holds/new", "readings": "/readings",
	})
	c.Get(student+"/holds/new").Press("Hold Mila from now on", map[string]string{"reason": "Fainted at breakfast, her mother says.", "standing": "all", "clearer": "physician"})
	c.Get(student+"/intake/bones").Press("Save and continue", map[string]string{f("standing_loss"): "yes"})
	hold := c.Get(student+"/holds").Doc.Find("a[href$=clearance]").First().AttrOr("href", "")
	c.Get(hold).Press("Write down the clearance", map[string]string{"in_writing": "no", "cleared_by": "Dr Fenn"})
	shoot(t, ctx, b, c, map[string]string{"holds": student + "/holds", "clearance": hold, "held": student, "heldanswer": student + "/answer", "heldlist": "/students"})
}
