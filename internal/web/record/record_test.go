package record_test

import (
	"net/http"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestAsItWas: a correction and what came before it.
func TestAsItWas(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	base := "/students/" + string(s.Student)
	c := s.Client(s.Cookies[programme.Lead]).Get(base + "/facts/" + string(s.Finding) + "/correct")
	c.Says("What would make this a good day", "Goal-Tarnlight").Press("Save the correction", map[string]string{webtest.F("goal"): "see the valley", "note": "misheard"}).
		Is(http.StatusOK).Says("Saved: the correction.", "see the valley. misheard", "corrected later")
	last := c.Doc.Find("a[href*=upto]").First().AttrOr("href", "")
	c.Get(base+"/record?upto=15").Says("As it was on", "Goal-Tarnlight").SaysNot("see the valley", "Correct it")
	c.Link("The answer as it was").Is(http.StatusOK).Says("As it was on")
	c.Get(last).Says("see the valley")
	c.Get(base + "/record?on=2026-12-24").Is(http.StatusNotFound).Says("Nothing was recorded about this student by the end of that day.")
	c.Get(base + "/record?on=yesterday").Is(http.StatusUnprocessableEntity)
}
