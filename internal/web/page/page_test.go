package page_test

import (
	"testing"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// TestDerivedID: the same parts give the same id, other parts another one, also
// where the joined text is the same; and each has the form that the records
// accept (UUID version 4, RFC 9562).
func TestDerivedID(t *testing.T) {
	seen := map[programme.ID][]string{}
	for _, parts := range [][]string{{"a", "b"}, {"ab"}, {"a", "b", ""}, {"", "ab"}, {"b", "a"}, {}} {
		id := page.DerivedID(parts...)
		if err := id.Check(); err != nil {
			t.Errorf("%q: %v", parts, err)
		}
		if id != page.DerivedID(parts...) {
			t.Errorf("%q gives two ids", parts)
		}
		if had, twice := seen[id]; twice {
			t.Errorf("%q and %q give one id", had, parts)
		}
		seen[id] = parts
	}
}

// TestHoldWords: every gate that can hold somebody has a word of its own.
func TestHoldWords(t *testing.T) {
	for _, rule := range []string{"G1", "G2", "G3", "G4", "G5", "G6", "G7", "G8", "G9", "G11", "G13", "G14", "G16", "G17", ""} {
		if w := page.HoldWord(rule); w == "rule "+rule {
			t.Errorf("rule %s has no word", rule)
		}
	}
	if page.HoldWord("G99") != "rule G99" {
		t.Error("an unknown rule is not named")
	}
}
