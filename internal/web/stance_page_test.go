package web_test

import (
	"net/http"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"firnhand/internal/web/webtest"
)

// TestStancePage looks at a stance page with everything on it, and at the
// set-up sheet with the drawing, as the other pages are looked at: structure,
// axe-core (rules after WCAG 2.2), and no sideways scrolling at 320 px (WCAG 1.4.10).
func TestStancePage(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	base := "/students/" + strings.Split(c.URL, "/")[2]
	c.Get(base + "/evaluation")
	c.EvaluateMila()
	c.Get(base+"/set-up/propose").Press("Propose from the answer", nil).Is(http.StatusOK).Says("How the student stands in it")
	pages := []string{base + "/stance", base + "/stance?in=across_valley_left", base + "/set-up"}
	for _, to := range pages {
		c.Get(to).Is(http.StatusOK)
		if c.Doc.Find("main svg").Length() == 0 {
			t.Errorf("%s: nothing is drawn", to)
		}
		for _, p := range faults(c) {
			t.Errorf("%s: %s", to, p)
		}
	}
	ctx := browser(t)
	signIn(t, ctx, b, c.Cookies)
	script, err := os.ReadFile("../../e2e/node_modules/axe-core/axe.min.js")
	for _, to := range pages {
		window(t, ctx, 320, 800)
		if err := chromedp.Do(ctx, chromedp.Navigate(b.Serve().URL+to)); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[any]("document.querySelectorAll('main details').forEach(d => d.open = true);0")); err != nil {
			t.Fatal(err)
		}
		if wide, err := chromedp.Run(ctx, chromedp.Evaluate[int]("document.documentElement.scrollWidth")); err != nil || wide > 320 {
			t.Errorf("%s is %d px wide in a window of 320: %v", to, wide, err)
		}
		if err != nil {
			continue // axe-core is not installed
		}
		for _, v := range axe(t, ctx, "", string(script)) {
			if v.Impact == "serious" || v.Impact == "critical" || v.ID == "color-contrast-enhanced" {
				t.Errorf("%s: %s (%s): %s\n%s", to, v.ID, v.Impact, v.Help, nodes(v))
			}
		}
	}
}
