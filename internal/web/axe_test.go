package web_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// violation is one finding of axe-core.
type violation struct {
	ID     string `json:"id"`
	Impact string `json:"impact"`
	Help   string `json:"help"`
	Nodes  []struct {
		Target []any  `json:"target"`
		HTML   string `json:"html"`
		Why    string `json:"failureSummary"`
	} `json:"nodes"`
}

// axeRun asks for the rules of WCAG 2.2 A and AA, the house's own stricter
// wish for contrast (1.4.6, AAA) and target size, and axe's good practice.
const axeRun = `axe.run(document, {runOnly: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice','wcag2aaa'],
  rules: {'color-contrast-enhanced': {enabled: true}, 'target-size': {enabled: true}}}).then(r => JSON.stringify(r.violations))`

// TestAxe lets axe-core (npm, MPL-2.0; rules after WCAG 2.2) look at every page
// at both sizes. Nothing serious or critical may remain, and no contrast under
// 7:1.
func TestAxe(t *testing.T) {
	script, err := os.ReadFile("../../e2e/node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Skip("axe-core is not installed under e2e (npm ci), so pages are not checked by it")
	}
	ctx := browser(t)
	s := webtest.Seed(webtest.New(t))
	signIn(t, ctx, s.Bench, map[string]*http.Cookie{"firnhand": s.Cookies[programme.Lead]})
	// The checker must be able to fail before its silence means anything.
	if bad := axe(t, ctx, "data:text/html,<html><body><img src=x><p style='color:%23777'>a</p>", string(script)); len(bad) < 3 {
		t.Fatalf("axe-core finds only %d faults in a page full of them", len(bad))
	}

	for _, to := range pagesOf(s) {
		if sameParts.MatchString(to) {
			continue
		}
		for i, size := range sizes {
			window(t, ctx, size.width, size.height)
			address := s.Serve().URL + to
			if i > 0 {
				address = "" // the same page in another window
			}
			for _, v := range axe(t, ctx, address, string(script)) {

				if v.Impact == "serious" || v.Impact == "critical" || v.ID == "color-contrast-enhanced" {
					t.Errorf("%s at %s: %s (%s): %s\n%s", to, size.name, v.ID, v.Impact, v.Help, nodes(v))
				} else {
					t.Logf("%s at %s: %s (%s): %s\n%s", to, size.name, v.ID, v.Impact, v.Help, nodes(v))
				}
			}
		}
	}
	// A page with problems, and the pages that strangers see.
	c := s.Client()
	for _, to := range []string{"/sign-in", "/join"} {
		c.Get(to)
		if err := chromedp.Do(ctx, chromedp.Navigate(s.Serve().URL+to), chromedp.Click("main button"), chromedp.WaitVisible("#problems")); err != nil {
			t.Fatal(err)
		}
		for _, v := range axe(t, ctx, "", string(script)) {
			if v.Impact == "serious" || v.Impact == "critical" {
				t.Errorf("%s with problems: %s: %s\n%s", to, v.ID, v.Help, nodes(v))
			}
		}
	}
}

// sameParts are pages made of the same parts as pages that are looked at.
var sameParts = regexp.MustCompile(`/evaluation/(3|5|7|8|1[0-79])$|/intake/(changes|seizures|medicine|behaviour)$|upto=|correct=1|/nowhere$`)

// axe opens a page, unless it is open, and returns what axe-core finds. The
// script comes in through the browser's own door, past the page's policy.
func axe(t *testing.T, ctx context.Context, url, script string) []violation {
	t.Helper()
	if url != "" {
		if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
			t.Fatalf("%s: %v", url, err)
		}
	}
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[any](script+";0")); err != nil {
		t.Fatalf("%s: %v", url, err)
	}
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](axeRun, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%s: %v", url, err)
	}
	var found []violation
	if err := json.Unmarshal([]byte(text), &found); err != nil {
		t.Fatal(err)
	}
	return found
}

func nodes(v violation) string {
	var b strings.Builder
	for i, n := range v.Nodes {
		if i == 3 {
			fmt.Fprintf(&b, "  and %d more\n", len(v.Nodes)-3)
			break
		}
		fmt.Fprintf(&b, "  %v\n  %s\n  %s\n", n.Target, n.HTML, n.Why)
	}
	return b.String()
}
