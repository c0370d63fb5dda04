package testkit_test

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"

	core "firnhand/core/stance"
	"firnhand/demo"
	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestStancePageSaysWhatCoreSays: verdict, arm load, loads and drawings of invented
// students are those of the core, in every situation.
func TestStancePageSaysWhatCoreSays(t *testing.T) {
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	b := webtest.New(t)
	if _, err := demo.Load(context.Background(), b.Cases, b.Clock); err != nil {
		t.Fatal(err)
	}
	lead, cookie := b.Staff("Ines", programme.Lead)
	c := b.Client(cookie)
	var tables programme.Tables
	signed, err := b.Cases.Settings(context.Background(), lead, programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := tables.For(signed)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"bo", "hollis", "emrys", "kasimir", "nell"} {
		st, _ := p.StudentByKey(key)
		r, err := b.Cases.StudentAt(context.Background(), lead, st.ID, programme.AsOf{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := programme.StanceOf(table, r)
		if err != nil {
			t.Fatalf("%s: %v", key, err)
		}
		for _, place := range programme.StancePlaces() {
			want, err := s.In(place, false)
			if err != nil {
				t.Fatal(err)
			}
			c.Get("/students/" + string(st.ID) + "/stance?in=" + place.Code).Is(http.StatusOK)
			answer := c.Doc.Find(".answer-line").Text()
			if says := map[core.Verdict]string{core.Held: "can be held", core.Partly: "could not be shown to hold", core.NotHeld: "cannot be held"}[want.Result.Verdict]; !strings.Contains(answer, says) {
				t.Errorf("%s, %s: the page says %q, core says %s", key, place.Code, answer, want.Result.Verdict)
			}
			drawings := 2
			if strings.HasPrefix(place.Code, "across_") {
				drawings = 3 // from behind too: across a slope the lean is sideways
			}
			if n, words := c.Doc.Find(".drawings svg").Length(), c.Doc.Find(".drawings svg desc").Length(); n != drawings || words != n {
				t.Errorf("%s, %s: %d drawings, %d with words; want %d", key, place.Code, n, words, drawings)
			}
			if want.Result.Verdict == core.Held {
				for _, l := range want.Result.Loads {
					c.Says(strconv.FormatFloat(float64(l.Even), 'f', 0, 64) + " N")
				}
			} else if c.Doc.Find("h2:contains('What to change')").Length() != 1 {
				t.Errorf("%s, %s: nothing about what to change", key, place.Code)
			}
		}
	}
}
