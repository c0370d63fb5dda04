package web_test

import (
	"bytes"
	"log/slog"
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
)

// TestEveryStoreCallFails (trust.md S5) asks for every page and sends every
// form as the lead while the first, the second, ... call of the store fails as
// on a full disk. No page breaks, what fails says so in words, nothing is
// written by half, and the next try is answered as before.
func TestEveryStoreCallFails(t *testing.T) {
	var log bytes.Buffer
	s := webtest.Seed(webtest.New(t))
	s.Log(slog.New(slog.NewTextHandler(&log, nil)))
	cookie := s.Cookies["lead"]
	sites := 0
	for _, r := range table {
		method, _, _ := strings.Cut(r.route, " ")
		if method != http.MethodPost {
			method = http.MethodGet
		}
		if !r.lets('L') || strings.HasPrefix(r.route, "POST /sign-out") || strings.HasSuffix(r.route, "/forget") && method == http.MethodPost {
			continue
		}
		path := s.Path(r.route)
		for n := 1; n < 60; n++ {
			before := s.Facts()
			log.Reset()
			s.Store.FailAt(n)
			w := asked(s, method, path, cookie, r.send)
			calls := s.Store.FailAt(0)
			if strings.Contains(log.String(), "panic") {
				t.Fatalf("%s: call %d of the store fails, and the page breaks:\n%.1500s", r.route, n, log.String())
			}
			if calls < n { // all calls were tried
				if n > 1 && w.Code >= 500 {
					t.Errorf("%s: afterwards it still answers %d", r.route, w.Code)
				}
				break
			}
			sites++
			if w.Code == http.StatusInternalServerError {
				t.Errorf("%s: call %d fails: %d %.200s", r.route, n, w.Code, webtest.Squeeze(w.Body.String()))
			}
			if w.Code == http.StatusServiceUnavailable && !strings.Contains(w.Body.String(), "The disk is full.") {
				t.Errorf("%s: call %d fails, and the page does not say so: %.200s", r.route, n, webtest.Squeeze(w.Body.String()))
			}
			if w.Code == http.StatusServiceUnavailable && s.Facts() != before {
				t.Errorf("%s: call %d fails, and %d facts were written", r.route, n, s.Facts()-before)
			}
		}
	}
	t.Logf("%d failing calls", sites)
	if sites < 2*len(table) {
		t.Errorf("only %d failing calls were tried", sites)
	}
}
