package e2e

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

var (
	kills = flag.Int("kills", 200, "how often TestKillServer kills the server")
	seed  = flag.Uint64("seed", 0, "seed of the moments it is killed at; 0 takes a new one")
)

var factField = regexp.MustCompile(`name="fact" value="([^"]+)"`)

// TestKillServer kills the real server with SIGKILL in the middle of saving
// notes sent as forms by three browsers, again and again, and then reads every
// note back: what was acknowledged is there, and nothing is there twice. A
// note whose answer was lost is sent once more with the same fact id, as a
// browser does on reload, and must still be there only once.
func TestKillServer(t *testing.T) {
	if *seed == 0 {
		*seed = rand.Uint64()
	}
	t.Logf("seed=%d", *seed)
	random := rand.New(rand.NewPCG(*seed, 1))
	data := filepath.Join(t.TempDir(), "records.db")
	s := start(t, data, "use this code")
	lead := newBrowser(s.base)
	notes := begin(t, s, lead)

	acked := map[string]bool{}
	var unsure []url.Values // sent, answer lost
	lostAnswers, n := 0, 0
	for round := 0; round < *kills; round++ {
		if round > 0 {
			s = start(t, data, "serves")
			lead = lead.at(s.base)
		}
		for _, v := range unsure {
			send(lead, notes, v, acked)
		}
		unsure = unsure[:0]
		var mu sync.Mutex
		var all sync.WaitGroup
		stop := make(chan struct{})
		for hand := range 3 {
			all.Go(func() {
				for k := 0; ; k++ {
					select {
					case <-stop:
						return
					default:
					}
					page, _, err := lead.get(notes)
					m := factField.FindStringSubmatch(page)
					if err != nil || m == nil {
						return
					}
					v := url.Values{"fact": {m[1]}, "text": {fmt.Sprintf("Round %d, hand %d, note %d.", round, hand, k)}, "about": {"next step"}, "class": {"work"}}
					_, r, err := lead.post(notes, v)
					mu.Lock()
					switch {
					case err != nil || r.StatusCode >= 500:
						unsure = append(unsure, v)
						lostAnswers++
					case r.StatusCode == http.StatusOK && strings.Contains(r.Request.URL.RawQuery+r.Request.URL.Path, "notes"):
						acked[v.Get("text")] = true
						n++
					}
					mu.Unlock()
				}
			})
		}
		// In three rounds of four the clock starts with the first answer, so that a
		// slow machine tries the same; in the others the kill may come before.
		count := func() int { mu.Lock(); defer mu.Unlock(); return len(acked) }
		for before, limit := count(), time.Now().Add(20*time.Second); round%4 != 0 && count() == before && time.Now().Before(limit); {
			time.Sleep(time.Millisecond)
		}
		time.Sleep(time.Duration(random.IntN(100)) * time.Millisecond)
		s.kill()
		close(stop)
		all.Wait()
	}
	s = start(t, data, "serves")
	lead = lead.at(s.base)
	for _, v := range unsure {
		send(lead, notes, v, acked)
	}
	page, _, err := lead.get(notes)
	if err != nil {
		t.Fatal(err)
	}
	missing, twice := 0, 0
	for text := range acked {
		switch strings.Count(page, ">"+text+"<") {
		case 0:
			missing++
			t.Errorf("acknowledged but gone: %s", text)
		case 1:
		default:
			twice++
			t.Errorf("there more than once: %s", text)
		}
	}
	if len(acked) < *kills/2 {
		t.Errorf("only %d notes were acknowledged in %d rounds: the test did not try what it says", len(acked), *kills)
	}
	if all := strings.Count(page, ">Round "); all != len(acked) {
		t.Errorf("%d notes are on the page, %d were sent and answered in the end", all, len(acked))
	}
	t.Logf("%d kills, %d notes acknowledged, %d answers lost on the way, %d missing, %d twice", *kills, len(acked), lostAnswers, missing, twice)
	s.kill()
	if bin, err := exec.LookPath("sqlite3"); err == nil {
		out, err := exec.Command(bin, data, "PRAGMA integrity_check").CombinedOutput()
		if err != nil || strings.TrimSpace(string(out)) != "ok" {
			t.Errorf("integrity check: %s %v", out, err)
		}
	}
}

// send repeats a note whose answer was lost.
func send(b *browser, notes string, v url.Values, acked map[string]bool) {
	if _, r, err := b.post(notes, v); err == nil && r.StatusCode == http.StatusOK {
		acked[v.Get("text")] = true
	}
}

// begin makes the first lead with the printed code, adds a student and
// returns the address of the student's notes.
func begin(t *testing.T, s *server, b *browser) string {
	t.Helper()
	code := regexp.MustCompile(`use this code, [^:]*: .*?([0-9a-z]{5}(-[0-9a-z]{5})+)|: ([0-9a-z]{5}(-[0-9a-z]{5})+)`).FindStringSubmatch(s.said)
	if code == nil {
		t.Fatalf("no first-run code in %q", s.said)
	}
	word := code[1]
	if word == "" {
		word = code[3]
	}
	_, r, err := b.post("/first-run", url.Values{"code": {word}, "name": {"Ines"}, "login": {"ines"}, "password": {"four plain words here"}})
	if err != nil || r.Request.URL.Path != "/students" {
		t.Fatalf("first run: %v %v", r.Request.URL, err)
	}
	page, _, err := b.get("/students/new")
	if err != nil {
		t.Fatal(err)
	}
	v := url.Values{"name_used": {"Runa"}, "birth_date": {"1990-05-04"}, "binds_self": {"yes"}}
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([^"]+)" value="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		v.Set(m[1], m[2])
	}
	_, r, err = b.post("/students", v)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`^/students/([0-9a-f-]{36})`).FindStringSubmatch(r.Request.URL.Path)
	if m == nil {
		t.Fatalf("the new student led to %s", r.Request.URL)
	}
	return "/students/" + m[1] + "/notes"
}
