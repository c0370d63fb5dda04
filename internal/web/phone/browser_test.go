package phone_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"firnhand/internal/exchange"
	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// What the world between phone and server is like.
const (
	live   int32 = iota
	dead         // no signal: connections break off
	portal       // a guest network answers everything with a page of its own, 200
)

// hut is a programme with a phone in front of it.
type hut struct {
	t      *testing.T
	ctx    context.Context
	b      *webtest.Bench
	server *httptest.Server
	air    atomic.Int32
	build  atomic.Int32 // 1: a newer page is served
	lead   programme.Actor
	actor  programme.Actor
	people []programme.ID
	cookie *http.Cookie // the instructor's
}

// newHut opens a browser on the size of a phone, with an instructor signed in
// who has two people today.
func newHut(t *testing.T, width, height int64) *hut {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed, so the phone's page is not tried in a real browser")
	}
	if testing.Short() {
		t.Skip("short run: the phone's page is not tried in a real browser")
	}
	h := &hut{t: t, b: webtest.New(t)}
	h.server = httptest.NewServer(http.HandlerFunc(h.serve))
	t.Cleanup(h.server.Close)
	lead, _ := h.b.Staff("Lea", programme.Lead, programme.Instructor)
	h.lead = lead
	actor, cookie := h.b.Staff("Ines", programme.Instructor)
	h.actor, h.cookie = actor, cookie
	for _, name := range []string{"Mila Larkmoor-Quill", "Oskar Fenn"} {
		h.people = append(h.people, h.student(name))
	}
	if _, err := h.b.Cases.PickDay(t.Context(), actor, programme.Made{ID: h.b.IDs.Next()}, programme.PhoneDay{Day: programme.DateOf(webtest.Morning), Students: h.people}); err != nil {
		t.Fatal(err)
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	actx, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel2 := chromedp.NewContext(actx)
	t.Cleanup(cancel2)
	ctx, cancel3 := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(cancel3)
	h.ctx = ctx
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Skipf("chromium does not start here, so the phone's page is not tried in a real browser: %v", err)
	}
	h.signIn(cookie)
	h.window(width, height)
	return h
}

// serve is the way to the server.
func (h *hut) serve(w http.ResponseWriter, r *http.Request) {
	switch h.air.Load() {
	case dead:
		if c, _, err := http.NewResponseController(w).Hijack(); err == nil {
			c.Close()
		}
		return
	case portal:
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, "<html><title>Welcome</title>Accept the terms of this guest network</html>")
		return
	}
	if h.build.Load() == 1 && r.URL.Path == "/phone/sw.js" {
		rec := httptest.NewRecorder()
		r.Header.Del("Accept-Encoding")
		h.b.Site.ServeHTTP(rec, r)
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		w.Write(append(bytes.ReplaceAll(rec.Body.Bytes(), []byte("firnhand-phone-"), []byte("firnhand-phone-newer-")), "\n// newer\n"...))
		return
	}
	h.b.Site.ServeHTTP(w, r)
}

// student adds somebody with what an evaluation found, so that a way of skiing
// is decided.
func (h *hut) student(name string) programme.ID {
	h.t.Helper()
	id := h.b.IDs.Next()
	must := func(_ programme.Receipt, err error) {
		h.t.Helper()
		if err != nil {
			h.t.Fatal(err)
		}
	}
	ctx := context.Background()
	born, _ := programme.ParseDate("1990-03-09")
	must(h.b.Cases.AddStudent(ctx, h.lead, programme.Made{ID: h.b.IDs.Next()}, id, programme.StudentDetails{NameUsed: name, FullName: name, BirthDate: born, BindsSelf: programme.BindsYes}))
	must(h.b.Cases.RecordAttempt(ctx, h.actor, programme.Made{ID: h.b.IDs.Next()}, id, programme.AttemptMade{Skill: "K14", Help: 5, Outcome: "partly", Terrain: "beginner", Way: "outriggers", Tie: "none"}))
	return id
}

func (h *hut) signIn(c *http.Cookie) {
	h.t.Helper()
	if _, err := chromedp.Call(h.ctx, network.SetCookie, network.SetCookieParams{Name: c.Name, Value: c.Value, URL: h.server.URL}); err != nil {
		h.t.Fatal(err)
	}
}

func (h *hut) window(w, height int64) {
	h.t.Helper()
	if _, err := chromedp.Call(h.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: w, Height: height, DeviceScaleFactor: 1, Mobile: true}); err != nil {
		h.t.Fatal(err)
	}
}

// open opens the page and waits until it is usable.
func (h *hut) open() {
	h.t.Helper()
	if err := chromedp.Do(h.ctx, chromedp.Navigate(h.server.URL+"/phone/")); err != nil {
		h.t.Fatal(err)
	}
	h.waits("the page to be ready", "!!document.documentElement.dataset.ready")
}

func value[T any](h *hut, script string) T {
	h.t.Helper()
	got, err := chromedp.Run(h.ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		h.t.Fatalf("%s: %v", script, err)
	}
	return got
}

// waits waits until a script says true.
func (h *hut) waits(what, script string) {
	h.t.Helper()
	end := time.Now().Add(40 * time.Second)
	for !value[bool](h, "Promise.resolve("+script+").then((v) => !!v)") {
		if time.Now().After(end) {
			h.t.Fatalf("waited too long for %s; the page says:\n%s\nand its machine: %s", what, value[string](h, "document.body.innerText"), value[string](h, "JSON.stringify(firnhand.s).slice(0, 3000)"))
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// tap taps the button that begins with these words, as a finger does.
func (h *hut) tap(words string) {
	h.t.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll("button, a.button")].find((b) => b.innerText.startsWith(%q))`, words)
	h.waits("the button "+words, find)
	if err := chromedp.Do(h.ctx, chromedp.Sleep(10*time.Millisecond)); err != nil {
		h.t.Fatal(err)
	}
	value[bool](h, fmt.Sprintf(`(() => { const b = %s; b.scrollIntoView({block: "center"}); b.click(); return true })()`, find))
}

func (h *hut) says(words string) {
	h.t.Helper()
	h.waits("the words "+words, fmt.Sprintf("document.body.innerText.includes(%q)", words))
}

// shot takes a picture for a look by eye when FIRNHAND_SHOTS names a folder.
func (h *hut) shot(name string) {
	dir := os.Getenv("FIRNHAND_SHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(h.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, "phone-"+name+".png"), png, 0o600)
	}
	if err != nil {
		h.t.Fatal(err)
	}
}

// nudge is what a person does who wants it sent now.
func (h *hut) nudge() {
	h.t.Helper()
	value[bool](h, `(firnhand.happens({kind: "nudge"}), true)`)
}

// kept waits until the page would open without signal.
func (h *hut) kept() {
	h.t.Helper()
	h.waits("the files to be kept", `navigator.serviceWorker.ready.then((r) => r.active.state === "activated")`)
}

// sent asks for it and waits until nothing is left on the phone.
func (h *hut) sent() {
	h.t.Helper()
	h.nudge()
	h.waits("everything to be sent", `firnhand.s.rows.length > 0 && firnhand.s.rows.every((r) => r.state === "sent") && firnhand.s.unsaved.length === 0`)
}

// onServer returns what the store has of the phone's items, by checksum.
func (h *hut) onServer() map[string]string {
	h.t.Helper()
	facts, err := h.b.Store.Facts(context.Background(), programme.Query{Everyone: true})
	if err != nil {
		h.t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range facts {
		out[string(f.ID)] = exchange.SumOf(exchange.Item{ID: string(f.ID), Author: string(f.Author), Student: string(f.Student), Kind: string(f.Kind), Version: f.Version, Payload: string(f.Payload), Names: string(f.Names)})
	}
	return out
}

// same compares what the phone made with what the store has, item by item.
func (h *hut) same(want int) {
	h.t.Helper()
	var rows []struct {
		N    int64
		Item exchange.Item
		Seq  int64
	}
	if err := json.Unmarshal([]byte(value[string](h, "JSON.stringify(firnhand.s.rows)")), &rows); err != nil {
		h.t.Fatal(err)
	}
	server := h.onServer()
	if len(rows) != want {
		h.t.Errorf("%d items on the phone, %d were made", len(rows), want)
	}
	last := int64(0)
	for _, r := range rows {
		if server[r.Item.ID] != r.Item.Sum || r.Item.Sum != exchange.SumOf(r.Item) {
			h.t.Errorf("item %d: the phone has %s, the server %s, recomputed %s", r.N, r.Item.Sum, server[r.Item.ID], exchange.SumOf(r.Item))
		}
		if r.Seq <= last {
			h.t.Errorf("item %d has place %d in the records, after %d", r.N, r.Seq, last)
		}
		last = r.Seq
	}
}

// words is what the page shows, on one line.
func (h *hut) words() string {
	return strings.Join(strings.Fields(value[string](h, "document.body.innerText")), " ")
}

func cookieOf(token string) *http.Cookie { return &http.Cookie{Name: "firnhand", Value: token} }
