package finding_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// The sequence of a standing evaluation as the trade does it (working
// knowledge, section B1, common practice): what each test is done with, and
// what it must record.
func TestTestsFollowTheTradesSequence(t *testing.T) {
	want := []struct {
		figure  string // a figure of the column "how"
		records []string
	}{
		{"10 m", []string{"gait"}},
		{"60", []string{"stand_s", "base"}},
		{"2 minutes", []string{"load_test", "load_pain"}},
		{"five", []string{"one_leg_s", "one_leg_bends"}},
		{"30 degrees", []string{"knee_bend", "knee_path"}},
		{"brace", []string{"brace", "foot_corrects"}},
		{"degrees", []string{"ankle_deg", "leg_short_mm"}},
		{"toes in", []string{"toe_in_alone"}},
		{"0 to 4", []string{"push_out", "push_in"}},
		{"clap", []string{"scissor"}},
		{"Nudge", []string{"trunk"}},
		{"10 minutes", []string{"head_holds_helmet"}},
		{"0 to 4", []string{"grip", "push_down", "shoulder_weak"}},
		{"10 cm", []string{"place_of5", "balance_lost_lifting_one"}},
		{"Eyes shut", []string{"sensation"}},
		{"noise", []string{"startle"}},
		{"1, 3 and 6 m", []string{"vision_m", "field_gap"}},
		{"Ten minutes", []string{"endurance_min"}},
		{"stop", []string{"cue", "stop_delay_s"}},
	}
	tests := finding.Tests()
	if len(tests) != len(want) {
		t.Fatalf("%d tests, the trade has %d", len(tests), len(want))
	}
	for i, x := range tests {
		if x.Number != strconv.Itoa(i+1) || x.Title == "" || x.How == "" || x.Why == "" {
			t.Errorf("test %d is not whole: %+v", i+1, x)
		}
		if !strings.Contains(x.How, want[i].figure) {
			t.Errorf("test %s does not say %q", x.Number, want[i].figure)
		}
		for _, id := range want[i].records {
			if !slices.Contains(x.Findings, id) {
				t.Errorf("test %s does not record %s, only %v", x.Number, id, x.Findings)
			}
		}
	}
}

// Every finding that is not asked at intake belongs to one of the tests.
func TestEveryFindingHasItsTest(t *testing.T) {
	in := map[string]string{}
	for _, x := range finding.Tests() {
		for _, id := range x.Findings {
			in[id] = x.Number
		}
	}
	for _, d := range finding.All() {
		if d.Test != "person" && d.Test != "gates" && in[d.ID] != d.Test {
			t.Errorf("%s is recorded by test %q, but no such test lists it", d.ID, d.Test)
		}
	}
}
