package cli

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"firnhand/internal/auth"
	"firnhand/internal/clock"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// planted are words about people that belong into the body of a page for
// somebody who may read them, and nowhere else.
var planted = map[string]string{
	"name used": "Zindelvara", "full name": "Quorrimast", "birth date": "1987-06-05", "guardian": "Tellowine", "phone": "5550199887",
	"diagnosis": "Spinabifidaquist", "medical note": "Gallopressin", "work note": "Wobblegate", "goal": "Summitlarch", "hold": "Marrowreason",
	"clearer": "Doktorhazelnut", "paper": "Willowdrawer", "login": "wenna.kestrel", "password": "velvet tractor ninety plums", "staff": "Kestrelwenna",
}

// plant writes a record that holds all of them.
func plant(t *testing.T, h *house) (student, card programme.ID) {
	t.Helper()
	ctx := t.Context()
	code, _, _, err := h.desk.FirstCode(ctx)
	if err != nil {
		t.Fatal(err)
	}
	k, err := h.desk.FirstLead(ctx, code, auth.Person{Name: planted["staff"], Login: planted["login"], Password: planted["password"]}, "Browser", "127.0.0.1")
	if err != nil {
		t.Fatal(err)
	}
	lead, err := h.desk.Who(ctx, k.Token)
	if err != nil {
		t.Fatal(err)
	}
	ids := programmetest.NewIDs(77)
	student = ids.Next()
	day := programme.DateOf(h.clock.Now())
	must := func(r programme.Receipt, err error) programme.ID {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return r.ID
	}
	made := func() programme.Made { return programme.Made{ID: ids.Next()} }
	born, _ := programme.ParseDate(planted["birth date"])
	must(h.cases.AddStudent(ctx, lead, made(), student, programme.StudentDetails{NameUsed: planted["name used"], FullName: planted["full name"], BirthDate: born, BindsSelf: programme.BindsYes}))
	must(h.cases.PutGuardian(ctx, lead, made(), student, programme.GuardianDetails{Guardian: ids.Next(), Name: planted["guardian"], Phone: planted["phone"], MaySign: true}))
	must(h.cases.AddNote(ctx, lead, made(), student, programme.Note{Class: programme.NoteWork, About: "lesson", Text: planted["work note"]}))
	must(h.cases.AddNote(ctx, lead, made(), student, programme.Note{Class: programme.NoteMedical, Text: planted["medical note"] + " " + planted["diagnosis"]}))
	hold := must(h.cases.RaiseHold(ctx, lead, made(), student, programme.Hold{Reason: planted["hold"], Clearer: "physician"}))
	must(h.cases.RecordClearance(ctx, lead, made(), student, programme.Clearance{Hold: hold, ClearedBy: planted["clearer"], Licence: "physician", InWriting: true,
		ClearedOn: day, ValidUntil: day.AddMonths(3), Paper: planted["paper"]}))
	_, err = h.cases.RecordFindings(ctx, lead, student, []programme.NewFinding{{Made: made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "goal", Side: "none", State: "both"}, Value: planted["goal"]}}})
	if err != nil {
		t.Fatal(err)
	}
	return student, ids.Next()
}

var mains = regexp.MustCompile(`(?s)<main.*?</main>`)

var titles = regexp.MustCompile(`(?s)<title>(.*?)</title>`)

// TestCanary (trust.md U2) asks for every page of the real server as the lead,
// with good and bad ids, sends every form with planted words in it, tries to
// sign in wrongly, and then looks for the words where they must not be: in the
// log at its most talkative, in headers, addresses, titles, answers to errors,
// and in the figures about the program.
func TestCanary(t *testing.T) {
	s := newSafe(t)
	at := clock.System{}
	h, err := openHouse(t.Context(), files{s.Data, s.Keys}, at, at, programmetest.NewIDs(7), s.now.Location(), (&app{Env: Env{Err: io.Discard}}).log())
	if err != nil {
		t.Fatal(err)
	}
	student, other := plant(t, h)
	routes := h.pages(s.now.Location(), (&app{Env: Env{Err: io.Discard}}).log(), "test").Routes
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	srv := start(t, "serve", "--data", s.Data, "--addr", "127.0.0.1:0", "--metrics", "127.0.0.1:0", "--log-level", "info", "--log-json")
	figures := strings.TrimPrefix(srv.wait(regexp.MustCompile(`Figures about the program: http://[0-9.:]+/metrics`)), "Figures about the program: ")

	jar, _ := cookiejar.New(nil)
	var found []string
	look := func(where, text string) {
		for what, word := range planted {
			if strings.Contains(strings.ToLower(text), strings.ToLower(word)) || strings.Contains(strings.ToLower(text), strings.ToLower(url.QueryEscape(word))) {
				found = append(found, where+" holds the "+what)
			}
		}
	}
	asked, seen := 0, map[string]bool{}
	client := &http.Client{Jar: jar, CheckRedirect: func(r *http.Request, _ []*http.Request) error { return http.ErrUseLastResponse }}
	ask := func(method, path string, form url.Values) (int, string) {
		t.Helper()
		req, err := http.NewRequestWithContext(context.Background(), method, srv.url+path, strings.NewReader(form.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		if method == http.MethodPost {
			req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}
		req.Header.Set("Sec-Fetch-Site", "same-origin")
		req.Header.Set("Origin", srv.url)
		res, err := client.Do(req)
		if err != nil {
			t.Fatalf("%s %s: %v", method, path, err)
		}
		defer res.Body.Close()
		b, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		asked++
		look("a header of "+method+" "+path, fmt.Sprint(res.Header))
		if m := titles.FindStringSubmatch(string(b)); m != nil {
			look("the title of "+path, m[1])
		}
		if res.StatusCode >= 400 && res.StatusCode != http.StatusUnprocessableEntity && res.StatusCode != http.StatusConflict {
			// The frame of a page names who is signed in, to themselves.
			said := string(b)
			if m := mains.FindString(said); m != "" {
				said = m
			}
			look(fmt.Sprintf("the answer %d of %s %s", res.StatusCode, method, path), said)
		}
		for _, word := range planted {
			seen[word] = seen[word] || strings.Contains(string(b), word)
		}
		return res.StatusCode, string(b)
	}
	for _, wrong := range []url.Values{{"login": {planted["login"]}, "password": {planted["goal"]}}, {"login": {planted["full name"]}, "password": {planted["password"]}}} {
		if code, _ := ask(http.MethodPost, "/sign-in", wrong); code != http.StatusUnprocessableEntity {
			t.Fatalf("a wrong sign-in gets %d", code)
		}
	}
	enter := func() {
		if code, _ := ask(http.MethodPost, "/sign-in", url.Values{"login": {planted["login"]}, "password": {planted["password"]}}); code != http.StatusSeeOther {
			t.Fatalf("signing in gets %d", code)
		}
	}
	enter()
	name := regexp.MustCompile(`\{[^}]*\}`)
	every := url.Values{}
	for i, field := range []string{"text", "about", "reason", "name", "name_used", "full_name", "summary", "note", "code", "login", "device", "staff", "words", "why", "technician", "boot", "phone", "relation"} {
		for _, word := range planted {
			every.Set(field, word)
			if i%2 == 0 {
				break
			}
		}
	}
	for _, r := range routes {
		method, path, spaced := strings.Cut(r.Pattern, " ")
		if !spaced {
			method, path = http.MethodGet, r.Pattern
		}
		if path == "/sign-out" || path == "/me/devices" || path == "/me/password" || strings.HasSuffix(path, "/forget") {
			continue // tried below, or they end what is being tried
		}
		for _, id := range []programme.ID{student, other, programme.ID(planted["full name"])} {
			to := strings.ReplaceAll(strings.ReplaceAll(path, "{student}", string(id)), "{$}", "")
			to = name.ReplaceAllString(to, string(other))
			if method == http.MethodPost {
				ask(method, to, every)
			} else {
				ask(method, to, nil)
			}
		}
	}
	enter() // in case a form ended it
	for _, odd := range []string{"/students?name=" + url.QueryEscape(planted["full name"]), "/nowhere/" + planted["full name"], "/static/" + planted["goal"] + ".css"} {
		ask(http.MethodGet, odd, nil)
	}
	ask(http.MethodPost, "/me/password", url.Values{"old": {planted["goal"]}, "new": {planted["work note"]}})
	ask(http.MethodPost, "/sign-out", nil)
	res, err := http.Get(figures)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := io.ReadAll(res.Body)
	res.Body.Close()
	look("the figures about the program", string(b))
	if !strings.Contains(string(b), "firnhand_requests_total{pattern=\"GET /students/{student}\"") || !strings.Contains(string(b), "firnhand_facts ") {
		t.Errorf("the figures say nothing:\n%.600s", b)
	}
	srv.stop()
	log := srv.out.String()
	for _, line := range strings.Split(log, "\n") {
		look("the log: "+line, line)
	}
	// What was planted was there to be found: every word was shown in some body,
	// and the log spoke.
	for what, word := range planted {
		if what != "password" && what != "login" && what != "paper" && !seen[word] {
			t.Errorf("the %s was shown on no page, so this test proves nothing about it", what)
		}
	}
	for _, want := range []string{`"msg":"request"`, `"pattern":"GET /students/{student}"`, `"msg":"sign-in refused`, `"msg":"signed in"`} {
		if !strings.Contains(log, want) {
			t.Errorf("the log lacks %s", want)
		}
	}
	for _, f := range found {
		t.Error(f)
	}
	t.Logf("%d requests, %d lines of log", asked, strings.Count(log, "\n"))
}
