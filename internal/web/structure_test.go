package web_test

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// pagesOf lists the address of every page that a lead can open.
func pagesOf(s *webtest.Seeded) []string {
	var out []string
	for _, r := range s.Site.Routes {
		if method, _, _ := strings.Cut(r.Pattern, " "); method != http.MethodGet || strings.Contains(r.Pattern, "static") ||
			strings.HasSuffix(r.Pattern, "/pdf") || strings.HasSuffix(r.Pattern, "/text") ||
			strings.HasSuffix(r.Pattern, "/export") || strings.HasSuffix(r.Pattern, "/stance/card") || // files
			strings.HasSuffix(r.Pattern, "/csv") || strings.HasSuffix(r.Pattern, "/ics") {
			continue
		}
		out = append(out, s.Path(r.Pattern))
	}
	base := "/students/" + string(s.Student)
	for _, block := range []string{"wish", "changes", "nerves", "seizures", "medicine", "behaviour", "today"} {
		out = append(out, base+"/intake/"+block)
	}
	for _, test := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "10", "11", "12", "13", "14", "15", "16", "17", "18", "19"} {
		out = append(out, base+"/evaluation/"+test)
	}
	return append(out, base+"/record?upto=9", base+"/answer?upto=9", base+"/record?on=2027-01-14", base+"/consents/waiver?correct=1",
		"/staff/"+string(s.IDs.Next()), base+"/guardians/"+string(s.IDs.Next()), "/nowhere")
}

// TestStructure reads every page as a program that reads pages aloud would:
// one heading of the first rank, a name for every control, targets for every
// link within the page, no script or style in the page itself. Basis: WCAG 2.2
// success criteria 1.3.1, 2.4.2, 2.4.6, 3.3.2, 4.1.2, and the page policy.
func TestStructure(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	for _, to := range pagesOf(s) {
		c := s.Client(s.Cookies[programme.Lead]).Get(to)
		for _, p := range faults(c) {
			t.Errorf("%s: %s", to, p)
		}
	}
}

// TestStructureCheckerFails shows that the checker finds what it looks for.
func TestStructureCheckerFails(t *testing.T) {
	for html, want := range map[string]string{
		`<html><body><h1>a</h1></body></html>`:                                                                     "no language",
		`<html lang="en"><head><title>a</title></head><body></body></html>`:                                        "0 headings of the first rank",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><input name="x">`:                            "control x has no name",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><a href="#b">b</a>`:                          "no place b",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><p id="b"></p><p id="b"></p>`:                "id b is used twice",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><button></button>`:                           "a button without words",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><p style="color:red">`:                       "style in the page",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><p onclick="x()">`:                           "script in the page",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><label>a<input type="number" name="x">`:      "type=number",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><label>a<input type="radio" name="x">`:       "choice x stands outside a named group",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><h3>b</h3>`:                                  "heading \"b\" leaves out a rank",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><img src="/static/a.png">`:                   "a picture without words",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><a href="https://a.example.org/">b</a>`:      "leads to another machine",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><form method="post" action="/no"></form>`:    "a form without a button",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><p>Please try again</p>`:                     "word",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><p>ZgotmplZ</p>`:                             "word",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><button disabled>b</button>`:                 "a button that cannot be pressed",
		`<html lang="en"><head><title>a</title></head><body><h1>a</h1><input aria-label="x" aria-describedby="q">`: "no description q",
	} {
		doc, err := goquery.NewDocumentFromReader(strings.NewReader(html))
		if err != nil {
			t.Fatal(err)
		}
		got := strings.Join(faults(&webtest.Client{Doc: doc}), "; ")
		if !strings.Contains(got, want) {
			t.Errorf("%s\nshould have %q, has %q", html, want, got)
		}
	}
}

// wordsOut are words that do not stand on a page: house style of the look, and
// signs of a template that went wrong.
var wordsOut = regexp.MustCompile(`(?i)\b(please|sorry|invalid|oops)\b|ZgotmplZ|<no value>|%!|\bNaN\b|\[\]|map\[`)

func faults(c *webtest.Client) []string {
	var out []string
	add := func(s string) { out = append(out, s) }
	doc := c.Doc
	if doc.Find("html").AttrOr("lang", "") == "" {
		add("no language")
	}
	if strings.TrimSpace(doc.Find("title").Text()) == "" {
		add("no title")
	}
	if n := doc.Find("h1").Length(); n != 1 {
		add(string(rune('0'+n)) + " headings of the first rank")
	}
	rank := 0
	doc.Find("main h1, main h2, main h3, main h4, body > h1, body > h3").Each(func(_ int, h *goquery.Selection) {
		now := int(goquery.NodeName(h)[1] - '0')
		if now > rank+1 && rank > 0 {
			add("heading \"" + webtest.Squeeze(h.Text()) + "\" leaves out a rank")
		}
		rank = now
	})
	ids := map[string]bool{}
	doc.Find("[id]").Each(func(_ int, s *goquery.Selection) {
		id := s.AttrOr("id", "")
		if ids[id] {
			add("id " + id + " is used twice")
		}
		ids[id] = true
	})
	controls(doc, ids, add)
	doc.Find("a[href]").Each(func(_ int, a *goquery.Selection) {
		href := a.AttrOr("href", "")
		switch {
		case strings.HasPrefix(href, "#") && !ids[href[1:]]:
			add("no place " + href[1:])
		case strings.HasPrefix(href, "http"):
			add(href + " leads to another machine")
		}
		if webtest.Squeeze(a.Text()) == "" && a.AttrOr("aria-label", "") == "" {
			add("a link without words to " + href)
		}
	})
	doc.Find("form").Each(func(_ int, f *goquery.Selection) {
		if f.Find("button").Length() == 0 {
			add("a form without a button")
		}
	})
	doc.Find("[style], style").Each(func(_ int, _ *goquery.Selection) { add("style in the page") })
	doc.Find("script").Each(func(_ int, s *goquery.Selection) {
		if s.AttrOr("src", "") == "" {
			add("script in the page")
		}
	})
	doc.Find("*").Each(func(_ int, s *goquery.Selection) {
		for _, a := range s.Nodes[0].Attr {
			if strings.HasPrefix(a.Key, "on") {
				add("script in the page")
			}
		}
	})
	doc.Find("img:not([alt])").Each(func(_ int, _ *goquery.Selection) { add("a picture without words") })
	doc.Find("main .out-of-sight").Remove()
	if w := wordsOut.FindString(webtest.Spoken(doc.Find("body"))); w != "" {
		add("word " + w)
	}
	return out
}

// controls checks that everything that can be filled in or pressed has a name.
func controls(doc *goquery.Document, ids map[string]bool, add func(string)) {
	named := map[string]bool{}
	doc.Find("label[for]").Each(func(_ int, l *goquery.Selection) { named[l.AttrOr("for", "")] = true })
	doc.Find("input:not([type=hidden]), textarea, select").Each(func(_ int, s *goquery.Selection) {
		name := s.AttrOr("name", "")
		if s.AttrOr("aria-label", "") == "" && s.Closest("label").Length() == 0 && !named[s.AttrOr("id", "")] {
			add("control " + name + " has no name")
		}
		switch s.AttrOr("type", "text") {
		case "number":
			add("type=number is not used: " + name)
		case "radio":
			if s.Closest("fieldset").Find("legend").Length() == 0 {
				add("choice " + name + " stands outside a named group")
			}
		}
		for _, id := range strings.Fields(s.AttrOr("aria-describedby", "")) {
			if !ids[id] {
				add("no description " + id)
			}
		}
	})
	doc.Find("button").Each(func(_ int, b *goquery.Selection) {
		if webtest.Squeeze(b.Text()) == "" {
			add("a button without words")
		}
		if _, off := b.Attr("disabled"); off {
			add("a button that cannot be pressed")
		}
	})
	doc.Find("table").Each(func(_ int, tb *goquery.Selection) {
		if tb.Find("th[scope]").Length() == 0 {
			add("a table without heads")
		}
	})
}
