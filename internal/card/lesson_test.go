package card_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	plan "firnhand/core/lesson"
	"firnhand/internal/card"
)

// The minutes of a plan stand on a card in two lines at most, each short enough
// for it, a semicolon at each rest.
func TestMinutes(t *testing.T) {
	for _, minutes := range []int{20, 60, 90} {
		r, err := plan.Make(plan.Request{
			Student: plan.Student{Setup: ladder.Setup{Aids: ladder.Aids{Way: "outriggers"}, RouteLeft: "wedge", RouteRight: "wedge"}, Plan: "PL-B",
				FirstTerrain: "under_5pct_runout", People: 2, BlockMin: 20, Lagging: finding.Right},
			Day: plan.Day{Minutes: minutes, Terrains: []string{"run_out"}, People: 2},
		})
		if err != nil || r.None != nil {
			t.Fatal(err, r.None)
		}
		lines := card.Minutes(r)
		all := ""
		for _, l := range lines {
			if utf8.RuneCountInString(l.Text) > 100 || utf8.RuneCountInString(l.Label) > 16 {
				t.Errorf("too long for the card: %+v", l)
			}
			all += l.Text + " "
		}
		if len(lines) == 0 || len(lines) > 2 || !strings.HasPrefix(all, "0 ") || minutes == 60 && !strings.Contains(all, ";") {
			t.Errorf("%d minutes: %+v", minutes, lines)
		}
		if minutes == 90 && !strings.HasSuffix(strings.TrimSpace(all), "…") && strings.Count(all, ";") < 2 {
			t.Errorf("a long plan that does not say that there is more: %+v", lines)
		}
	}
	if card.Minutes(nil) != nil || card.Minutes(&plan.Result{None: &plan.None{}}) != nil {
		t.Error("no plan has minutes")
	}
}
