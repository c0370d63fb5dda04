package web_test

import (
	"os"
	"testing"
	"time"

	"firnhand/internal/web/webtest"
)

// TestServeByHand keeps the pages open for a look with a browser. It runs only
// when FIRNHAND_WEB_LOOK names a number of minutes.
func TestServeByHand(t *testing.T) {
	d, err := time.ParseDuration(os.Getenv("FIRNHAND_WEB_LOOK"))
	if err != nil {
		t.Skip("FIRNHAND_WEB_LOOK is not set: nobody wants to look")
	}
	b := webtest.New(t)
	url := b.Serve().URL
	t.Log(url, "first-run code", webtest.FirstCode)
	os.Stderr.WriteString(url + "\n")
	time.Sleep(d)
}
