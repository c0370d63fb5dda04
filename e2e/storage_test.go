package e2e

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"firnhand/internal/sqlite"
	"firnhand/internal/vault"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// left are words about a student that a browser must not keep. The name used
// is not among them: it comes onto the phone, encrypted.
var left = map[string]string{
	"full name": "Quorrimast", "birth date": "1987-06-05", "guardian": "Tellowine", "phone number": "5550199887",
	"diagnosis": "Spinabifidaquist", "work note": "Wobblegate", "hold": "Marrowreason",
}

// planted writes a student with all of that into new records.
func planted(t *testing.T, data string) programme.ID {
	t.Helper()
	ctx := context.Background()
	store, err := sqlite.Open(ctx, data)
	if err != nil {
		t.Fatal(err)
	}
	keys, err := vault.Open(data+".keys", rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	ids := programmetest.NewIDs(41)
	student, author := ids.Next(), ids.Next()
	fact := func(kind programme.Kind, payload string, args ...any) programme.Fact {
		return programme.Fact{ID: ids.Next(), Student: student, Kind: kind, Version: 1, Author: author, MadeAt: time.Now(), Payload: fmt.Appendf(nil, payload, args...)}
	}
	facts := []programme.Fact{
		fact(programme.KindStudent, `{"name_used":"Zindel","full_name":"Zindel %s","birth_date":%q,"binds_self":"yes"}`, left["full name"], left["birth date"]),
		fact(programme.KindGuardian, `{"guardian":%q,"name":%q,"phone":%q,"may_sign":true}`, ids.Next(), left["guardian"], left["phone number"]),
		fact(programme.KindNote, `{"class":"medical","text":%q}`, left["diagnosis"]),
		fact(programme.KindNote, `{"class":"work","about":"lesson","text":%q}`, left["work note"]),
		fact(programme.KindHold, `{"reason":%q,"clearer":"physician"}`, left["hold"]),
	}
	if _, err := vault.Wrap(store, keys).Append(ctx, time.Now(), facts...); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	return student
}

// TestBrowserKeepsNothing (trust.md U2 and ASVS 5.0, 14.3.2): a lead reads every
// page about a student and takes the day onto the page for the phone. Then the
// browser ends, and everything it left on the disk is searched: history,
// caches, cookies, databases.
func TestBrowserKeepsNothing(t *testing.T) {
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed, so this is not tried in a real browser")
	}
	if testing.Short() {
		t.Skip("short run: this is not tried in a real browser")
	}
	data, profile := filepath.Join(t.TempDir(), "records.db"), t.TempDir()
	student := planted(t, data)
	srv := start(t, data, "use this code")
	code := regexp.MustCompile(`([0-9a-z]{5}(-[0-9a-z]{5}){3})`).FindString(srv.said)
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	actx, ended := chromedp.NewExecAllocator(context.Background(), opts...)
	defer ended()
	ctx, closed := chromedp.NewContext(actx)
	defer closed()
	ctx, late := context.WithTimeout(ctx, 2*time.Minute)
	defer late()
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Skipf("chromium does not start here: %v", err)
	}
	s := surfer{t, ctx}
	s.open(srv.base + "/first-run")
	s.fill(map[string]string{"code": code, "name": "Ines", "login": "ines", "password": "four plain words here"})
	s.press("Begin as lead")
	s.until("Zindel")
	seen := ""
	for _, page := range []string{"", "/details", "/consents", "/holds", "/notes", "/record", "/answer", "/assigned", "/forget"} {
		s.open(srv.base + "/students/" + string(student) + page)
		seen += s.eval(`document.documentElement.outerHTML`)
	}
	for what, word := range left {
		if !strings.Contains(seen, word) {
			t.Errorf("the %s was on no page, so this proves nothing about it", what)
		}
	}
	s.open(srv.base + "/phones")
	s.until("Zindel")
	s.eval(`document.querySelector('input[name=student]').click()`)
	s.press("Save who comes onto the phone")
	s.until("Saved: who comes onto the phone.")
	if s.eval(`document.querySelector('input[name=student]').checked`) != "true" {
		t.Fatalf("the student is not chosen:\n%s", s.eval("document.body.innerText"))
	}
	// A word that is kept on purpose shows that the search below finds words.
	s.eval(`localStorage.setItem('here', 'Tarnfound')`)
	found := false
	s.open(srv.base + "/phone/")
	s.until("Zindel")
	time.Sleep(time.Second) // what is written behind the page is written now
	if err := chromedp.Cancel(ctx); err != nil {
		t.Logf("the browser ended with %v", err)
	}
	ended()
	files, bytesRead := 0, 0
	err = filepath.WalkDir(profile, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil // a file that went away meanwhile keeps nothing
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return nil
		}
		files++
		bytesRead += len(b)
		found = found || bytes.Contains(b, []byte("Tarnfound")) || bytes.Contains(b, []byte("T\x00a\x00r\x00n\x00f\x00o\x00u\x00n\x00d"))
		for what, word := range left {
			wide := make([]byte, 0, 2*len(word)) // as databases of browsers write text
			for i := range len(word) {
				wide = append(wide, word[i], 0)
			}
			if bytes.Contains(b, []byte(word)) || bytes.Contains(b, wide) {
				rel, _ := filepath.Rel(profile, path)
				t.Errorf("the %s is in %s", what, rel)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d files, %d KiB of what the browser left were searched", files, bytesRead>>10)
	if !found {
		t.Error("a word that was kept on purpose was not found, so the search proves nothing")
	}
	if files < 20 {
		t.Errorf("only %d files were there to be searched", files)
	}
}
