package web_test

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// FuzzRequests sends anything to any route as the lead: forms, the exchange of
// phones, the answers of passkeys, queries. No page breaks.
func FuzzRequests(f *testing.F) {
	for i, r := range table {
		f.Add(uint16(i), r.send, "")
	}
	f.Add(uint16(0), "fact=x&signed_on=2027-13-40&expires=-&answer=given&signed_by=student", "upto=99999999999999999999")
	f.Add(uint16(1), `{"exchange":1,"echo":"x","device":"0190a5d0-ac96-774b-8cce-b302099a8001","secret":"x","items":[{"id":"x","kind":"snow","payload":"{"}]}`, "on=yesterday")
	f.Add(uint16(2), "f.stand_s.n.fresh=1e309&f.gait.n.fresh=%00&value=NaN&height_cm=-1", "v=%ff")
	var log bytes.Buffer
	var s *webtest.Seeded
	n := 0
	f.Fuzz(func(t *testing.T, at uint16, body, query string) {
		if n%200 == 0 { // what was written is thrown away now and then
			s = webtest.Seed(webtest.New(t))
			s.Log(slog.New(slog.NewTextHandler(&log, nil)))
		}
		n++
		r := table[int(at)%len(table)]
		method, _, _ := strings.Cut(r.route, " ")
		if method != http.MethodPost {
			method = http.MethodGet
		}
		if strings.HasPrefix(r.route, "POST /sign-out") {
			return
		}
		log.Reset()
		req := httptest.NewRequest(method, s.Path(r.route), strings.NewReader(body))
		req.URL.RawQuery = query
		req.Header.Set("Sec-Fetch-Site", "same-origin")
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if strings.HasPrefix(body, "{") {
			req.Header.Set("Content-Type", "application/json")
		}
		req.AddCookie(s.Cookies[programme.Lead])
		w := httptest.NewRecorder()
		s.Site.ServeHTTP(w, req)
		if w.Code >= 500 {
			t.Fatalf("%s answers %d to %q ? %q\n%.1500s", r.route, w.Code, body, query, log.String())
		}
	})
}
