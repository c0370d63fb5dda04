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

// The minutes of a plan stand on a card in one line, short enough for it, a
// semicolon at each rest.
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
		line := card.Minutes(r)
		if utf8.RuneCountInString(line) > 100 || !strings.HasPrefix(line, "0 ") || minutes == 60 && !strings.Contains(line, ";") {
			t.Errorf("%d minutes: %q", minutes, line)
		}
		if ends := strings.HasSuffix(line, "…"); minutes == 90 && !ends || minutes == 20 && ends {
			t.Errorf("%d minutes: whether there is more: %q", minutes, line)
		}
	}
	if card.Minutes(nil) != "" || card.Minutes(&plan.Result{None: &plan.None{}}) != "" {
		t.Error("no plan has minutes")
	}
}
