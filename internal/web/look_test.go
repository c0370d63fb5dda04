//go:build look

// Pictures of the pages, and the pages themselves, for a look by eye:
//
//	FIRNHAND_SHOTS=/tmp/pictures go test -tags look -run Pictures ./internal/web
//	FIRNHAND_LOOK=20m go test -tags look -run Serve ./internal/web
package web_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"firnhand/internal/web/webtest"
)

// shoot takes a picture of every address at both sizes, when FIRNHAND_SHOTS
// names a folder for them.
func shoot(t *testing.T, ctx context.Context, b *webtest.Bench, c *webtest.Client, pages map[string]string) {
	t.Helper()
	dir := os.Getenv("FIRNHAND_SHOTS")
	only := os.Getenv("FIRNHAND_SHOTS_ONLY")
	for name, to := range pages {
		if only != "" && !strings.Contains(only, name) {
			continue
		}
		for _, s := range sizes {
			signIn(t, ctx, b, c.Cookies)
			window(t, ctx, s.width, s.height)
			if err := chromedp.Do(ctx, chromedp.Navigate(b.Serve().URL+to)); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if err := os.WriteFile(filepath.Join(dir, name+"-"+s.name+".png"), png, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestPictures takes pictures of the pages for a look by eye.
func TestPictures(t *testing.T) {
	if os.Getenv("FIRNHAND_SHOTS") == "" {
		t.Fatal("FIRNHAND_SHOTS names no folder for the pictures")
	}
	ctx := browser(t)
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	mid := c.URL
	student := "/students/" + strings.Split(mid, "/")[2]
	shoot(t, ctx, b, c, map[string]string{"begin": student + "/evaluation"})
	c.EvaluateMila()
	shoot(t, ctx, b, c, map[string]string{
		"students": "/students", "new": "/students/new", "intake": student + "/intake", "nerves": student + "/intake/nerves", "bones": student + "/intake/bones",
		"today": student + "/intake/today", "wish": student + "/intake/wish",
		"evaluation": student + "/evaluation", "test1": student + "/evaluation/1", "test2": student + "/evaluation/2", "test4": student + "/evaluation/4", "test6": student + "/evaluation/6",
		"test9": student + "/evaluation/9", "test13": student + "/evaluation/13", "tired": student + "/evaluation/tired", "signin": "/sign-in", "details": student + "/details", "missing": "/nowhere",
	})
	c.ConsentMila()
	c.Get(student+"/evaluation").Press("Close it as complete", map[string]string{"summary": "Quiet start works."})
	c.Get(student+"/card").Press("Make the card", nil)
	made := c.URL[:strings.Index(c.URL, "?")]
	c.Get(student+"/notes").Press("Save the note", map[string]string{"text": "Six linked turns to the left on the fan at 45 degrees, light hold.", "about": "next step", "class": "work"})
	shoot(t, ctx, b, c, map[string]string{
		"read": student, "consents": student + "/consents", "waiver": student + "/consents/waiver", "answer": student + "/answer", "card": student + "/card", "made": made,
		"notes": student + "/notes", "record": student + "/record", "settings": "/settings", "signoff": "/settings/upright_min", "rules": "/rules", "staff": "/staff", "me": "/me",
		"holdnew": student + "/holds/new", "readings": "/readings",
	})
	c.Get(student+"/holds/new").Press("Hold Mila from now on", map[string]string{"reason": "Fainted at breakfast, her mother says.", "standing": "all", "clearer": "physician"})
	c.Get(student+"/intake/bones").Press("Save and continue", map[string]string{f("standing_loss"): "yes"})
	hold := c.Get(student+"/holds").Doc.Find("a[href$=clearance]").First().AttrOr("href", "")
	c.Get(hold).Press("Write down the clearance", map[string]string{"in_writing": "no", "cleared_by": "Dr Fenn"})
	shoot(t, ctx, b, c, map[string]string{"holds": student + "/holds", "clearance": hold, "held": student, "heldanswer": student + "/answer", "heldlist": "/students"})
}

// TestServe keeps the pages open for as long as FIRNHAND_LOOK says.
func TestServe(t *testing.T) {
	d, err := time.ParseDuration(os.Getenv("FIRNHAND_LOOK"))
	if err != nil {
		t.Fatal("FIRNHAND_LOOK says no time")
	}
	b := webtest.New(t)
	os.Stderr.WriteString(b.Serve().URL + " first-run code " + webtest.FirstCode + "\n")
	time.Sleep(d)
}
