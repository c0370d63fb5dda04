package demo_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"firnhand/programme"
)

// TestLessonsOfTheSeason: the season has lessons, each closed with ten lines of
// which none is empty, and attempts that the rules would have asked for: less
// help comes one level at a time.
func TestLessonsOfTheSeason(t *testing.T) {
	s := whole(t)
	lessons, attempts := 0, 0
	for _, st := range s.p.Students {
		r := s.at(t, st.Key, "2026-03-29 18:00")
		for _, l := range r.Lessons {
			lessons++
			if !l.Closed {
				t.Errorf("%s: the lesson of %s is open", st.Key, l.Day)
			}
			for _, line := range l.Handover {
				if line.Text == "" {
					t.Errorf("%s, %s: %s is empty", st.Key, l.Day, line.Key)
				}
			}
		}
		h := r.History()
		attempts += len(h.Attempts)
		if len(h.Attempts) == 0 {
			continue
		}
		if _, _, err := programme.ProgressOf(r, nil); err != nil {
			t.Errorf("%s: %v", st.Key, err)
		}
		last := map[string]int{}
		for _, a := range h.Attempts {
			k := fmt.Sprint(a.Skill, a.Side, a.Aids)
			if had, ok := last[k]; ok && a.Help < had-1 {
				t.Errorf("%s: %s from %d to %d at once", st.Key, k, had, a.Help)
			}
			last[k] = a.Help
		}
	}
	if lessons < 80 || attempts < 1200 {
		t.Errorf("%d lessons, %d attempts", lessons, attempts)
	}
	if file := os.Getenv("HANDOVERS"); file != "" { // to be read by somebody
		var b strings.Builder
		for _, st := range s.p.Students {
			for _, l := range s.at(t, st.Key, "2026-03-29 18:00").Lessons {
				fmt.Fprintf(&b, "== %s, %s\n", st.NameUsed, l.Day)
				for _, line := range l.Handover {
					fmt.Fprintf(&b, "%-8s %s\n", line.Key, line.Text)
				}
			}
		}
		if err := os.WriteFile(file, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d lessons, %d attempts", lessons, attempts)
}
