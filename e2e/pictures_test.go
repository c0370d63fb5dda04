package e2e

import (
	"bytes"
	"context"
	"flag"
	"image"
	"image/png"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"firnhand/demo"
)

var pictures = flag.Bool("pictures", false, "take the pictures in docs/pictures again")

const pictureDir = "../docs/pictures/"

// mostDifferent is the share of pixels that may differ from a committed
// picture: another version of the browser or of its fonts draws edges a little
// differently, another page differs in much more.
const mostDifferent = 0.03

// TestPictures proves that the pictures in the README are what the built
// program shows today: the printed card of the example file, and pages of the
// demo programme, whose day stands still.
func TestPictures(t *testing.T) {
	for _, program := range []string{"chromium", "pdftoppm"} {
		if _, err := exec.LookPath(program); err != nil {
			t.Skipf("%s is not installed", program)
		}
	}
	t.Run("card", func(t *testing.T) { same(t, "card.png", cardPicture(t)) })

	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	s := startProgram(t, "Sign in as", "demo", "serve", "--addr", "127.0.0.1:0")
	b := newBrowser(s.base)
	_, r, err := b.post("/sign-in", url.Values{"login": {p.Staff[0].Login}, "password": {p.Staff[0].Password}})
	if err != nil || r.Request.URL.Path != "/students" {
		t.Fatalf("sign-in led to %v, %v", r.Request.URL, err)
	}
	list, _, err := b.get("/students")
	if err != nil {
		t.Fatal(err)
	}
	ctx := window(t, b)
	for _, one := range []struct {
		name, student, page string
		width, height       int64
	}{
		{"students.png", "", "/students", 1280, 800},
		{"evaluation.png", "Theo", "/evaluation/9", 1280, 800},
		{"evaluation-phone.png", "Theo", "/evaluation/9", 390, 844},
		{"answer.png", "Pia", "/answer", 1280, 800},
		{"read-phone.png", "Pia", "", 390, 844},
	} {
		t.Run(one.name, func(t *testing.T) {
			to := one.page
			if one.student != "" {
				to = studentPath(t, list, one.student) + one.page
			}
			same(t, one.name, shoot(t, ctx, s.base+to, one.width, one.height))
		})
	}
}

func studentPath(t *testing.T, list, name string) string {
	t.Helper()
	m := regexp.MustCompile(`href="(/students/[0-9a-f-]{36})"[^>]*>` + name + `<`).FindStringSubmatch(list)
	if m == nil {
		t.Fatalf("the demo has nobody called %s", name)
	}
	return m[1]
}

// window opens a browser window that carries the cookies of b.
func window(t *testing.T, b *browser) context.Context {
	t.Helper()
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	base, _ := url.Parse(b.base)
	for _, c := range b.jar.Cookies(base) {
		if _, err := chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{Name: c.Name, Value: c.Value, URL: b.base}); err != nil {
			t.Fatal(err)
		}
	}
	return ctx
}

func shoot(t *testing.T, ctx context.Context, to string, w, h int64) []byte {
	t.Helper()
	if _, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: w, Height: h, DeviceScaleFactor: 1, Mobile: w < 600}); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(to)); err != nil {
		t.Fatal(err)
	}
	shot, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	return shot
}

// cardPicture prints the card of the example file and draws its page.
func cardPicture(t *testing.T) []byte {
	t.Helper()
	bin, err := program()
	if err != nil {
		t.Fatal(err)
	}
	pdf := filepath.Join(t.TempDir(), "card.pdf")
	if out, err := exec.Command(bin, "card", "../demo/people/example.yaml", "--on", "2027-01-14", "-o", pdf).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	base := strings.TrimSuffix(pdf, ".pdf")
	if out, err := exec.Command("pdftoppm", "-r", "130", "-gray", "-png", "-singlefile", pdf, base).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err := os.ReadFile(base + ".png")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// same compares a picture with the committed one, or replaces that.
func same(t *testing.T, name string, got []byte) {
	t.Helper()
	if *pictures {
		if err := os.WriteFile(pictureDir+name, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(pictureDir + name)
	if err != nil {
		t.Fatal(err)
	}
	a, err := png.Decode(bytes.NewReader(got))
	if err != nil {
		t.Fatal(err)
	}
	b, err := png.Decode(bytes.NewReader(want))
	if err != nil {
		t.Fatal(err)
	}
	if a.Bounds() != b.Bounds() {
		t.Fatalf("%s is %v, the picture in docs is %v; take it again with: make pictures", name, a.Bounds(), b.Bounds())
	}
	if d := different(a, b); d > mostDifferent {
		t.Errorf("%.1f %% of %s differ from the picture in docs; take it again with: make pictures", 100*d, name)
	}
}

// different is the share of pixels whose grey differs clearly.
func different(a, b image.Image) float64 {
	n, all := 0, 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			all++
			if d := grey(a, x, y) - grey(b, x, y); d > 60 || d < -60 {
				n++
			}
		}
	}
	return float64(n) / float64(all)
}

func grey(m image.Image, x, y int) int {
	r, g, b, _ := m.At(x, y).RGBA()
	return int((r + g + b) / 3 >> 8)
}
