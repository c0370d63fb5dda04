package rulebook_test

import (
	"strings"
	"testing"

	"firnhand/core/decide"
	"firnhand/internal/web/webtest"
)

// TestEveryRule: every rule of the table is on the page with its reason, and
// numbers stand in the conditions with their units.
func TestEveryRule(t *testing.T) {
	b := webtest.New(t)
	c := b.First().Get("/rules")
	text := c.Text()
	table := decide.Standing()
	for _, r := range table.Rules() {
		if !strings.Contains(text, r.Because) || !strings.Contains(text, r.ID) {
			t.Errorf("rule %s is not on the page: %s", r.ID, r.Because)
		}
	}
	for _, g := range table.Gates() {
		if !strings.Contains(text, g.Because) {
			t.Errorf("gate %s is not on the page", g.ID)
		}
	}
	if strings.Contains(text, "{") {
		t.Error("a setting is not filled in")
	}
	c.Says("endurance_min < 10 min", "common practice, no source", "proposed, not signed off yet")
}
