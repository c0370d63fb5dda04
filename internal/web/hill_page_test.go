package web_test

import (
	"net/http"
	"os"
	"testing"

	"github.com/chromedp/chromedp"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestHillPages looks at the pages of the hill with everything on them, as the
// other pages are looked at: structure, axe-core (rules after WCAG 2.2), and no
// sideways scrolling at 320 px (WCAG 1.4.10).
func TestHillPages(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	base := "/students/" + string(s.Student)
	c.Get(base+"/intake/wish").Press("Save", map[string]string{webtest.F("mass_kg"): "58"}).Is(http.StatusOK)
	pages := []string{base + "/slope?kmh=8&handler_kg=75&handler_mu=0.3", base + "/lift", base + "/cold", "/hill/slopes/" + string(s.Slope), "/hill/day", "/hill/slopes/" + string(s.IDs.Next()) + "/change", base + "/slope/stops"}
	for _, to := range pages {
		c.Get(to).Is(http.StatusOK)
		for _, p := range faults(c) {
			t.Errorf("%s: %s", to, p)
		}
	}
	ctx := browser(t)
	signIn(t, ctx, s.Bench, c.Cookies)
	script, err := os.ReadFile("../../e2e/node_modules/axe-core/axe.min.js")
	for _, to := range pages {
		window(t, ctx, 320, 800)
		if err := chromedp.Do(ctx, chromedp.Navigate(s.Serve().URL+to)); err != nil {
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
