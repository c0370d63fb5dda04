package web_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"firnhand/internal/web/webtest"
)

// hands is somebody who has only a keyboard.
type hands struct {
	t   *testing.T
	ctx context.Context
}

func (h hands) key(keys string) {
	h.t.Helper()
	if err := chromedp.Do(h.ctx, chromedp.KeyEvent(keys)); err != nil {
		h.t.Fatal(err)
	}
}

func eval[T any](h hands, script string) T {
	h.t.Helper()
	got, err := chromedp.Run(h.ctx, chromedp.Evaluate[T](script))
	if err != nil {
		h.t.Fatalf("%s: %v", script, err)
	}
	return got
}

// here describes what has the focus: kind, name, value and words.
const here = `(() => { const e = document.activeElement; return [e.tagName, e.name || '', e.value || '', (e.textContent || '').replace(/\s+/g, ' ').trim(), e.id].join('|') })()`

// tabTo presses Tab until the focus is where it should be.
func (h hands) tabTo(what string, is func(tag, name, value, words string) bool) {
	h.t.Helper()
	for range 120 {
		f := strings.Split(eval[string](h, here), "|")
		if is(f[0], f[1], f[2], f[3]) {
			return
		}
		h.key(kb.Tab)
	}
	h.t.Fatalf("Tab does not reach %s on %s", what, eval[string](h, "location.pathname"))
}

// choose picks a choice with the arrow keys.
func (h hands) choose(name, value string) {
	h.t.Helper()
	h.tabTo(name, func(_, n, _, _ string) bool { return n == name })
	h.key(" ")
	for range 12 {
		f := strings.Split(eval[string](h, here), "|")
		if f[1] == name && f[2] == value {
			if !eval[bool](h, "document.activeElement.checked") {
				h.key(" ")
			}
			return
		}
		h.key(kb.ArrowDown)
	}
	h.t.Fatalf("the arrow keys do not reach %s = %s", name, value)
}

func (h hands) write(name, text string) {
	h.t.Helper()
	h.tabTo(name, func(tag, n, _, _ string) bool { return n == name && tag != "BUTTON" })
	h.key(text)
}

// press goes to a button or link and presses Enter, and waits for the page.
func (h hands) press(words string) {
	h.t.Helper()
	h.tabTo(words, func(tag, _, _, w string) bool {
		return (tag == "BUTTON" || tag == "A") && strings.Contains(w, words)
	})
	// What has the focus must be seen to have it (WCAG 2.4.7, 2.4.13).
	if !eval[bool](h, `(() => { const s = getComputedStyle(document.activeElement); return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 4 })()`) {
		h.t.Errorf("%q has the focus and does not show it", words)
	}
	eval[string](h, "document.body.dataset.old = 'yes'")
	h.key(kb.Enter)
	for range 200 {
		done, err := chromedp.Run(h.ctx, chromedp.Evaluate[bool](`document.readyState === 'complete' && !document.body.dataset.old`))
		if err == nil && done {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	h.t.Fatalf("nothing happens after %q on %s", words, eval[string](h, "location.pathname"))
}

// TestKeyboardAlone signs in and takes an evaluation from its beginning to its
// end with Tab, arrows, Space and Enter, and nothing else.
func TestKeyboardAlone(t *testing.T) {
	ctx := browser(t)
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := strings.Split(c.URL, "/")[2]
	h := hands{t, ctx}
	window(t, ctx, 1280, 800)
	if err := chromedp.Do(ctx, chromedp.Navigate(b.Serve().URL+"/sign-in")); err != nil {
		t.Fatal(err)
	}
	h.write("login", "ines")
	h.write("password", "four plain words here")
	h.press("Sign in")
	h.press("Mila")
	h.press("Evaluation")
	h.choose("reason", "first")
	h.press("Begin the evaluation")
	for _, values := range webtest.MilaTests {
		for _, one := range []string{"n", "l", "r"} { // in the order of the page
			for name, value := range values {
				if !strings.Contains(name, "."+one+".") {
					continue
				}
				h.enter(name, value)
			}
		}
		button := "Save and go to"
		if eval[bool](h, `!!document.querySelector('button[value=normal]')`) {
			button = "Looked at"
		}
		h.press(button)
	}
	h.press("Everything looked the same as fresh")
	h.press("Looked at")
	h.press("Close it as complete")
	if got := eval[string](h, "location.pathname"); got != "/students/"+student+"/answer" {
		t.Fatalf("it ends on %s", got)
	}
	if got := eval[string](h, "document.querySelector('.answer-line, .stop-box').textContent"); !strings.Contains(got, "No skiing: waiver") {
		t.Errorf("the answer is %q", got)
	}
	if got := eval[string](h, "document.querySelector('.argument').textContent"); !strings.Contains(webtest.Squeeze(got), "Two skis and outriggers") {
		t.Errorf("the argument is %.200q", got)
	}
}

// enter fills in one value; the focus starts again from the top of the form,
// as the order of the values is not that of the page.
func (h hands) enter(name, value string) {
	h.t.Helper()
	eval[bool](h, `(document.activeElement.blur(), document.getElementById('main').focus(), true)`)
	number := eval[bool](h, fmt.Sprintf(`document.getElementsByName(%q)[0].type === 'text'`, name))
	switch {
	case number && (value == "na" || value == "unknown"):
		h.tabTo(name+" "+value, func(_, n, v, _ string) bool { return n == name && v == value })
		h.key(" ")
	case number:
		h.write(name, strings.TrimSuffix(value, " s"))
	default:
		h.choose(name, value)
	}
}

// TestPanelFollows: the panel changes with what is typed, before it is saved,
// and nothing is saved by that.
func TestPanelFollows(t *testing.T) {
	ctx := browser(t)
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	base := strings.TrimSuffix(strings.Split(c.URL, "?")[0], "/evaluation")
	c.Get(base+"/evaluation").Press("Begin the evaluation", map[string]string{"reason": "first"})
	signIn(t, ctx, b, c.Cookies)
	h := hands{t, ctx}
	window(t, ctx, 1280, 800)
	if err := chromedp.Do(ctx, chromedp.Navigate(b.Serve().URL+base+"/evaluation/3")); err != nil {
		t.Fatal(err)
	}
	said := eval[string](h, `document.querySelector('#panel [role=status]').textContent`)
	h.choose(f("load_test"), "no") // rule D1: a failed load test means sitting
	for range 100 {
		if now := eval[string](h, `document.querySelector('#panel [role=status]').textContent`); now != said {
			break
		}
		time.Sleep(30 * time.Millisecond)
	}
	if got := webtest.Squeeze(eval[string](h, `document.getElementById('panel').textContent`)); !strings.Contains(got, "Sitting") || !strings.Contains(got, "not saved yet") {
		t.Errorf("the panel says %q", got)
	}
	c.Get(base + "/evaluation").Says("Load test not done")
}

// TestReflow: at 320 px no page scrolls sideways (WCAG 1.4.10), also with text
// twice the size (1.4.4) and wide spacing (1.4.12); what is pressed by itself
// is at least 44 px high (2.5.5).
func TestReflow(t *testing.T) {
	ctx := browser(t)
	s := webtest.Seed(webtest.New(t))
	h := hands{t, ctx}
	signIn(t, ctx, s.Bench, s.Client(s.Cookies["lead"]).Cookies)
	window(t, ctx, 320, 800)
	for _, to := range pagesOf(s) {
		if sameParts.MatchString(to) {
			continue
		}
		if err := chromedp.Do(ctx, chromedp.Navigate(s.Serve().URL+to)); err != nil {
			t.Fatal(err)
		}
		if wide := eval[int](h, "document.documentElement.scrollWidth"); wide > 320 {
			t.Errorf("%s is %d px wide: %s", to, wide, eval[string](h, tooWide))
		}
		if small := eval[string](h, tooSmall); small != "" {
			t.Errorf("%s: too small to press: %s", to, small)
		}
		eval[int](h, `(document.documentElement.style.fontSize = '200%', document.body.style.cssText = 'line-height:1.5;letter-spacing:.12em;word-spacing:.16em', 1)`)
		if wide := eval[int](h, "document.documentElement.scrollWidth"); wide > 640 {
			t.Errorf("%s with text twice the size is %d px wide: %s", to, wide, eval[string](h, tooWide))
		}
	}
}

// tooWide names what sticks out; tooSmall what is too small to press. Links
// within a line of text are let off, as 2.5.5 lets them off.
const (
	tooWide = `[...document.querySelectorAll('main *')].filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).slice(0, 4).map(e => e.tagName + '.' + e.className + ' ' + (e.textContent || '').slice(0, 30)).join('; ')`

	tooSmall = `[...document.querySelectorAll('button, summary, label.choice, .cell label, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), textarea, a.button, nav a, .links a, .steps a, .students a')]
		.filter(e => e.getClientRects().length && !e.closest('.skip, svg')).map(e => [e, e.getBoundingClientRect()])
		.filter(([e, r]) => r.height < 43.5 || r.width < 24).slice(0, 4).map(([e, r]) => e.tagName + ' "' + (e.textContent || e.name).trim().slice(0, 30) + '" ' + Math.round(r.width) + 'x' + Math.round(r.height)).join('; ')`
)
