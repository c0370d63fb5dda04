package cli

import (
	"bytes"
	"context"
	"crypto/rand"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"firnhand/demo"
	"firnhand/internal/card"
	"firnhand/internal/clock"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// output collects what a running command prints.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

// server runs a command that serves, until the test or stop ends it.
type server struct {
	t    *testing.T
	out  *output
	url  string
	stop func() int
}

func start(t *testing.T, args ...string) *server {
	t.Helper()
	return newServer(t, regexp.MustCompile(`http://127\.0\.0\.1:\d+`), args...)
}

func newServer(t *testing.T, address *regexp.Regexp, args ...string) *server {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	s := &server{t: t, out: &output{}}
	ended := make(chan int, 1)
	go func() {
		ended <- Run(Env{Args: args, In: strings.NewReader(""), Out: s.out, Err: s.out, Clock: clock.System{}, Version: "test", Context: ctx})
	}()
	var once sync.Once
	exit := 0
	s.stop = func() int {
		once.Do(func() { cancel(); exit = <-ended })
		return exit
	}
	t.Cleanup(func() { s.stop() })
	s.url = s.wait(address)
	return s
}

// wait waits until what was printed matches, and returns the match.
func (s *server) wait(re *regexp.Regexp) string {
	s.t.Helper()
	for range 6 * 600 { // three minutes: the whole season is written first, on a machine that may be busy
		if m := re.FindString(s.out.String()); m != "" {
			return m
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.t.Fatalf("nothing like %v in:\n%s", re, s.out)
	return ""
}

func browser(t *testing.T) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &http.Client{Jar: jar}
}

// read returns a function that takes an answer apart: its status and its text.
func read(t *testing.T) func(*http.Response, error) (int, string) {
	return func(resp *http.Response, err error) (int, string) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		b, err := io.ReadAll(resp.Body)
		if err != nil {
			t.Fatal(err)
		}
		return resp.StatusCode, string(b)
	}
}

func TestFirstRun(t *testing.T) {
	data := filepath.Join(t.TempDir(), "records.db")
	s := start(t, "serve", "--data", data, "--addr", "127.0.0.1:0")
	code := regexp.MustCompile(`good once and until [^:]*:\d\d: (\S+)`).FindStringSubmatch(s.wait(regexp.MustCompile(`good once and until [^:]*:\d\d: \S+\n`)))[1]
	c := browser(t)
	if _, body := read(t)(c.Get(s.url + "/students")); strings.Contains(body, "Add a student") {
		t.Error("a stranger was let in")
	}
	lead := url.Values{"code": {code}, "name": {"Tove"}, "login": {"tove"}, "password": {"walnut sled harbour nine"}}
	if status, body := read(t)(c.PostForm(s.url+"/first-run", lead)); status != http.StatusOK || !strings.Contains(body, "Tove") {
		t.Fatalf("the first lead was not let in: %d\n%s", status, body)
	}
	if status, body := read(t)(browser(t).PostForm(s.url+"/first-run", lead)); status == http.StatusOK {
		t.Errorf("the code worked twice: %s", body)
	}
	if exit := s.stop(); exit != ExitAnswer {
		t.Errorf("exit code %d: %s", exit, s.out)
	}
	again := start(t, "serve", "--data", data, "--addr", "127.0.0.1:0")
	if status, body := read(t)(c.PostForm(again.url+"/sign-in", url.Values{"login": {"tove"}, "password": {"walnut sled harbour nine"}})); status != http.StatusOK || !strings.Contains(body, "Tove") {
		t.Errorf("the lead is gone after a restart: %d", status)
	}
	if strings.Contains(again.out.String(), "good once") {
		t.Error("a programme with a lead printed another code")
	}
}

func TestDemoServes(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	s := start(t, "demo", "serve", "--addr", "127.0.0.1:0")
	line := s.wait(regexp.MustCompile(`(?m)^  sunniva +\S.*programme lead`))
	password := strings.TrimSpace(regexp.MustCompile(`sunniva +(\S+ \S+ \S+ \S+)`).FindStringSubmatch(line)[1])
	c := browser(t)
	status, body := read(t)(c.PostForm(s.url+"/sign-in", url.Values{"login": {"sunniva"}, "password": {password}}))
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Students) < 12 {
		t.Errorf("the demo has only %d students", len(p.Students))
	}
	if status != http.StatusOK || !strings.Contains(body, "Maren") {
		t.Errorf("signing in as the demo says gave %d\n%s", status, body)
	}
	if exit := s.stop(); exit != ExitAnswer {
		t.Errorf("exit code %d: %s", exit, s.out)
	}
	left, err := os.ReadDir(os.Getenv("TMPDIR"))
	if err != nil || len(left) > 0 {
		t.Errorf("the demo left %v behind, %v", left, err)
	}
}

func TestAddressTaken(t *testing.T) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	data := filepath.Join(t.TempDir(), "records.db")
	exit, _, errs := run(t, "", "serve", "--data", data, "--addr", ln.Addr().String())
	if exit != ExitInput || !strings.Contains(errs, "is not free") {
		t.Errorf("exit %d, %q", exit, errs)
	}
	if _, err := os.Stat(data); err == nil {
		t.Error("records were made although nothing was served")
	}
}

// A card must come out for every student of the demo, held or not, on one
// page, from the records alone, the same bytes each time.
func TestEveryStudentGetsACard(t *testing.T) {
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	log := slog.New(slog.DiscardHandler)
	at := files{data: filepath.Join(t.TempDir(), "demo.db")}
	if _, err := loadDemo(ctx, at, clock.System{}, p, log); err != nil {
		t.Fatal(err)
	}
	h, err := openHouse(ctx, at, clock.At(p.Today), clock.System{}, rand.Reader, p.Zone, log)
	if err != nil {
		t.Fatal(err)
	}
	defer h.Close()
	table, err := h.table(ctx, steward, programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	made, held := 0, 0
	for _, student := range p.Students {
		r, err := h.cases.StudentAt(ctx, steward, student.ID, programme.AsOf{})
		if programme.CodeOf(err) == programme.CodeNotFound {
			continue // comes later in the season
		}
		if err != nil {
			t.Fatal(err)
		}
		d := programme.DecisionOf(table, r)
		o := page.CardOrder{ID: "01890000-0000-7000-8000-000000000001", Record: r, Decision: d, Table: table, Answer: table.Decide(d.Input),
			ForDay: r.Day, MadeAt: p.Today, DataAt: p.Today}
		one, err := printCard(ctx, o)
		if err != nil {
			t.Errorf("%s: %v", student.NameUsed, err)
			continue
		}
		two, err := printCard(ctx, o)
		if err != nil || !bytes.Equal(one.PDF, two.PDF) {
			t.Errorf("%s: the same order gave another card, %v", student.NameUsed, err)
		}
		if n := bytes.Count(one.PDF, []byte("/Type /Page\n")); n != 1 {
			t.Errorf("%s: %d pages", student.NameUsed, n)
		}
		if r.FullName != "" && r.FullName != r.NameUsed && strings.Contains(one.Text, r.FullName) {
			t.Errorf("%s: the full name stands on the card", student.NameUsed)
		}
		for _, l := range strings.Split(one.Text, "\n") {
			if word := card.DiagnosisIn(l); word != "" {
				t.Errorf("%s: the card says %q in %q", student.NameUsed, word, l)
			}
		}
		made++
		if strings.Contains(one.Text, "***") {
			held++
		}
	}
	if made < 12 || held == 0 {
		t.Errorf("%d cards, %d with a hold; the demo has at least 12 students and some held", made, held)
	}
}
