package webtest

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"golang.org/x/net/html"
)

// Client is a browser without script: it follows links, fills in the forms that
// are on the page and presses the buttons that are there, and nothing else.
type Client struct {
	T       testing.TB
	Handler http.Handler
	Cookies map[string]*http.Cookie
	URL     string // where it is
	Status  int
	Header  http.Header
	Body    string
	Doc     *goquery.Document
}

// Client returns a browser that nobody is signed in with; with a cookie it is
// that person's.
func (b *Bench) Client(cookies ...*http.Cookie) *Client {
	c := &Client{T: b.T, Handler: b.Site, Cookies: map[string]*http.Cookie{}}
	for _, one := range cookies {
		c.Cookies[one.Name] = one
	}
	return c
}

// Get opens an address and follows where it leads.
func (c *Client) Get(to string) *Client {
	c.T.Helper()
	return c.do(http.MethodGet, to, nil)
}

// Post sends values without a form, as nobody with a browser would.
func (c *Client) Post(to string, values url.Values) *Client {
	c.T.Helper()
	return c.do(http.MethodPost, to, values)
}

func (c *Client) do(method, to string, values url.Values) *Client {
	c.T.Helper()
	for range 10 {
		to, _, _ = strings.Cut(to, "#")
		r := httptest.NewRequest(method, to, strings.NewReader(values.Encode()))
		if method == http.MethodPost {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Header.Set("Sec-Fetch-Site", "same-origin")
		}
		for _, k := range c.Cookies {
			r.AddCookie(k)
		}
		w := httptest.NewRecorder()
		c.Handler.ServeHTTP(w, r)
		res := w.Result()
		for _, k := range res.Cookies() {
			if k.MaxAge < 0 {
				delete(c.Cookies, k.Name)
			} else {
				c.Cookies[k.Name] = k
			}
		}
		body, _ := io.ReadAll(res.Body)
		c.URL, c.Status, c.Header, c.Body = to, res.StatusCode, res.Header, string(body)
		if res.StatusCode >= 300 && res.StatusCode < 400 {
			method, to, values = http.MethodGet, res.Header.Get("Location"), nil
			continue
		}
		doc, err := goquery.NewDocumentFromReader(strings.NewReader(c.Body))
		if err != nil {
			c.T.Fatal(err)
		}
		c.Doc = doc
		return c
	}
	c.T.Fatalf("%s leads round in circles", to)
	return c
}

// Link follows the link with these words, which must be there.
func (c *Client) Link(words string) *Client {
	c.T.Helper()
	var to string
	c.Doc.Find("a").EachWithBreak(func(_ int, a *goquery.Selection) bool {
		if strings.Contains(Squeeze(a.Text()), words) {
			to, _ = a.Attr("href")
			return false
		}
		return true
	})
	if to == "" {
		c.T.Fatalf("%s has no link %q:\n%s", c.URL, words, c.brief())
	}
	return c.Get(to)
}

// Press fills in the form that has a button with these words, and presses it.
// Values are given by the name of their control; every one must exist on the
// page, and a choice must be one of those offered.
func (c *Client) Press(words string, values map[string]string) *Client {
	c.T.Helper()
	var button *goquery.Selection
	c.Doc.Find("button").EachWithBreak(func(_ int, s *goquery.Selection) bool {
		if strings.Contains(Squeeze(s.Text()), words) {
			button = s
			return false
		}
		return true
	})
	if button == nil {
		c.T.Fatalf("%s has no button %q:\n%s", c.URL, words, c.brief())
	}
	form := button.Closest("form")
	send := c.filled(form, values)
	if name, ok := button.Attr("name"); ok {
		send.Set(name, button.AttrOr("value", ""))
	}
	to := form.AttrOr("action", c.URL)
	if strings.EqualFold(form.AttrOr("method", "get"), "get") {
		return c.Get(to + "?" + send.Encode())
	}
	return c.Post(to, send)
}

// filled returns what a browser would send for a form with these values.
func (c *Client) filled(form *goquery.Selection, values map[string]string) url.Values {
	c.T.Helper()
	send := url.Values{}
	offered := map[string][]string{}
	form.Find("input, textarea, select").Each(func(_ int, s *goquery.Selection) {
		name, kind := s.AttrOr("name", ""), s.AttrOr("type", "text")
		value := s.AttrOr("value", "")
		if s.Is("textarea") {
			value = s.Text()
		}
		given, set := values[name]
		switch {
		case name == "":
		case s.Is("select"):
			s.Find("option").Each(func(_ int, o *goquery.Selection) {
				offered[name] = append(offered[name], o.AttrOr("value", o.Text()))
				if _, on := o.Attr("selected"); on && !set {
					send.Set(name, o.AttrOr("value", o.Text()))
				}
			})
			if set {
				send.Set(name, given)
			}
		case kind == "radio" || kind == "checkbox":
			offered[name] = append(offered[name], value)
			_, on := s.Attr("checked")
			if set && given == value || !set && on {
				send.Add(name, value)
			}
		default:
			offered[name] = append(offered[name], "*")
			if set && !slices.Contains([]string{"na", "unknown"}, given) {
				value = given
			}
			send.Add(name, value)
		}
	})
	for name, given := range values {
		if !slices.Contains(offered[name], given) && !slices.Contains(offered[name], "*") {
			c.T.Fatalf("%s offers %q for %s, not %q", c.URL, offered[name], name, given)
		}
	}
	return send
}

// brief cuts what a page says for the message of a failed test.
func (c *Client) brief() string {
	s := c.Main()
	if len(s) > 1200 {
		s = s[:1200] + " ..."
	}
	return s
}

// Text is what the page says, without its markup.
func (c *Client) Text() string { return Spoken(c.Doc.Find("body")) }

// Main is what the page says in its main part.
func (c *Client) Main() string { return Spoken(c.Doc.Find("main")) }

// inLine are the elements that do not end a word.
var inLine = []string{"a", "strong", "span", "small", "code", "abbr", "em"}

// Spoken is the text of a part of a page, with a space where one block ends
// and the next begins.
func Spoken(s *goquery.Selection) string {
	var b strings.Builder
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		switch {
		case n.Type == html.TextNode:
			b.WriteString(n.Data)
		case n.Type == html.ElementNode && !slices.Contains(inLine, n.Data):
			b.WriteByte(' ')
			defer b.WriteByte(' ')
		}
		for k := n.FirstChild; k != nil; k = k.NextSibling {
			walk(k)
		}
	}
	for _, n := range s.Nodes {
		walk(n)
	}
	return Squeeze(b.String())
}

// Says fails the test unless the page says the words.
func (c *Client) Says(words ...string) *Client {
	c.T.Helper()
	for _, w := range words {
		if !strings.Contains(c.Text(), w) {
			c.T.Errorf("%s does not say %q:\n%s", c.URL, w, c.brief())
		}
	}
	return c
}

// SaysNot fails the test if the page says any of the words.
func (c *Client) SaysNot(words ...string) *Client {
	c.T.Helper()
	for _, w := range words {
		if strings.Contains(c.Body, w) {
			c.T.Errorf("%s says %q", c.URL, w)
		}
	}
	return c
}

// Is fails the test unless the status is as given.
func (c *Client) Is(status int) *Client {
	c.T.Helper()
	if c.Status != status {
		c.T.Fatalf("%s answers %d, not %d:\n%s", c.URL, c.Status, status, c.brief())
	}
	return c
}

// Squeeze turns every run of white space into one space.
func Squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }

// F names the form value of a finding: F("gait"), F("push_out", "l"),
// F("gait", "n", "tired").
func F(id string, more ...string) string {
	side, state := "n", "fresh"
	if len(more) > 0 {
		side = more[0]
	}
	if len(more) > 1 {
		state = more[1]
	}
	return fmt.Sprintf("f.%s.%s.%s", id, side, state)
}
