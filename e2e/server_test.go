package e2e

import (
	"bufio"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// program returns the binary under test: FIRNHAND_BIN, or one built now.
var program = sync.OnceValues(func() (string, error) {
	if bin := os.Getenv("FIRNHAND_BIN"); bin != "" {
		return bin, nil
	}
	dir, err := os.MkdirTemp("", "firnhand-e2e-")
	if err != nil {
		return "", err
	}
	bin := filepath.Join(dir, "firnhand")
	cmd := exec.Command("go", "build", "-buildvcs=false", "-o", bin, "../cmd/firnhand")
	if out, err := cmd.CombinedOutput(); err != nil {
		return string(out), err
	}
	return bin, nil
})

// server is a running program.
type server struct {
	cmd  *exec.Cmd
	base string // http://127.0.0.1:port
	said string // what it printed until it was ready
}

var address = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

// start runs "firnhand serve" on a free port and waits until it says so.
func start(t *testing.T, data string, ready string) *server {
	t.Helper()
	return startProgram(t, ready, "serve", "--data", data, "--addr", "127.0.0.1:0")
}

// startProgram runs the program and waits until it has printed an address and
// the words of ready.
func startProgram(t *testing.T, ready string, args ...string) *server {
	t.Helper()
	bin, err := program()
	if err != nil {
		t.Fatalf("the program cannot be built: %v\n%s", err, bin)
	}
	cmd := exec.Command(bin, args...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var errs strings.Builder
	cmd.Stderr = &errs
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	s := &server{cmd: cmd}
	t.Cleanup(s.kill)
	lines := make(chan string)
	go func() {
		defer close(lines)
		for sc := bufio.NewScanner(out); sc.Scan(); {
			lines <- sc.Text()
		}
		_, _ = io.Copy(io.Discard, out)
	}()
	limit := time.After(3 * time.Minute) // the demo writes its season first, on a machine that may be busy
	for {
		select {
		case line, ok := <-lines:
			if !ok {
				t.Fatalf("the server ended before it was ready: %s%s", s.said, errs.String())
			}
			s.said += line + "\n"
			if s.base == "" {
				s.base = address.FindString(line)
			}
			if s.base != "" && strings.Contains(s.said, ready) {
				go func() {
					for range lines { // nobody waits for what it says later
					}
				}()
				return s
			}
		case <-limit:
			t.Fatalf("the server was not ready in 3 min: %s%s", s.said, errs.String())
		}
	}
}

// kill ends the server as a power cut would.
func (s *server) kill() {
	if s.cmd.Process != nil {
		_ = s.cmd.Process.Kill()
		_ = s.cmd.Wait()
	}
}

// browser keeps cookies and sends forms as a browser does.
type browser struct {
	http http.Client
	jar  http.CookieJar
	base string
}

func newBrowser(base string) *browser {
	jar, _ := cookiejar.New(nil)
	return &browser{http: http.Client{Jar: jar, Timeout: 10 * time.Second}, jar: jar, base: base}
}

// at returns the same browser on another address of the same server.
func (b *browser) at(base string) *browser {
	n := newBrowser(base)
	from, _ := url.Parse(b.base)
	to, _ := url.Parse(base)
	n.jar.SetCookies(to, b.jar.Cookies(from))
	return n
}

func (b *browser) get(to string) (string, *http.Response, error) {
	r, err := b.http.Get(b.base + to)
	return read(r, err)
}

func (b *browser) post(to string, v url.Values) (string, *http.Response, error) {
	req, err := http.NewRequest(http.MethodPost, b.base+to, strings.NewReader(v.Encode()))
	if err != nil {
		return "", nil, err
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Origin", b.base)
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	return read(b.http.Do(req))
}

func read(r *http.Response, err error) (string, *http.Response, error) {
	if err != nil {
		return "", nil, err
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	return string(body), r, err
}
