//go:build look

package web_test

import (
	"context"
	"net/http"
	"os"
	"testing"
	"time"

	"firnhand/demo"
	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestStancePictures takes pictures of the stance of invented students:
//
//	FIRNHAND_SHOTS=/tmp/pictures go test -tags look -run StancePictures ./internal/web
func TestStancePictures(t *testing.T) {
	if os.Getenv("FIRNHAND_SHOTS") == "" {
		t.Fatal("FIRNHAND_SHOTS names no folder for the pictures")
	}
	ctx := browser(t)
	b, p := season(t)
	_, cookie := b.Staff("Ines", programme.Lead)
	c := b.Client(cookie)
	pages := map[string]string{}
	for _, key := range []string{"bo", "magnus", "hollis", "emrys", "kasimir", "dagny", "nell", "theo"} {
		st, _ := p.StudentByKey(key)
		pages["stance-"+key] = "/students/" + string(st.ID) + "/stance"
		if key == "magnus" {
			pages["stance-across-"+key] = pages["stance-"+key] + "?in=across_valley_right"
			c.Get("/students/"+string(st.ID)+"/set-up/propose").Press("Propose from the answer", nil).Is(http.StatusOK)
			pages["stance-setup-"+key] = "/students/" + string(st.ID) + "/set-up"
		}
	}
	shoot(t, ctx, b, c, pages)
}

// season is a bench with the invented programme in it, at the end of its
// season.
func season(t *testing.T) (*webtest.Bench, *demo.Programme) {
	t.Helper()
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	b := webtest.New(t)
	if _, err := demo.Load(context.Background(), b.Cases, b.Clock); err != nil {
		t.Fatal(err)
	}
	if end := time.Date(p.Last.Year, p.Last.Month, p.Last.Day, 8, 0, 0, 0, time.UTC); b.Clock.Now().Before(end) {
		b.Clock.Advance(end.Sub(b.Clock.Now()))
	}
	return b, p
}
