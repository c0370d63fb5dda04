package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/internal/clock"
)

// progressRun runs the command on a table of attempts.
func progressRun(t *testing.T, table string, args ...string) (exit int, out, errs string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "attempts.csv")
	if err := os.WriteFile(file, []byte(table), 0o600); err != nil {
		t.Fatal(err)
	}
	var o, e bytes.Buffer
	exit = Run(Env{Args: append([]string{"progress", file}, args...), In: strings.NewReader(""), Out: &o, Err: &e,
		Clock: clock.At(time.Date(2027, 1, 20, 9, 0, 0, 0, time.UTC)), Version: "test"})
	return exit, o.String(), e.String()
}

const threeClean = "day,skill,help_level,outcome,side,way,minute\n" +
	"2027-01-14,K23,4,clean,left,outriggers,3\n2027-01-14,K23,4,clean,left,outriggers,6\n2027-01-14,K23,4,clean,left,outriggers,9\n"

// TestProgressManualRuns: every command written in the manual runs, in text and
// as JSON.
func TestProgressManualRuns(t *testing.T) {
	text, err := os.ReadFile("../../docs/reference/progress.md")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for line := range strings.Lines(string(text)) {
		args, ok := strings.CutPrefix(strings.TrimSpace(line), "firnhand progress demo/")
		if !ok {
			continue
		}
		n++
		for _, more := range [][]string{nil, {"--json"}} {
			var out, errs bytes.Buffer
			all := append(append([]string{"progress"}, strings.Fields("../../demo/"+args)...), more...)
			if exit := Run(Env{Args: all, In: strings.NewReader(""), Out: &out, Err: &errs, Clock: clock.System{}, Version: "test"}); exit != ExitAnswer || errs.Len() > 0 {
				t.Errorf("%v: exit %d, %s", all, exit, errs.String())
			}
			if more == nil {
				for l := range strings.Lines(out.String()) {
					if w := len([]rune(strings.TrimRight(l, "\n"))); w > width {
						t.Errorf("%d columns: %s", w, l)
					}
				}
			}
		}
	}
	if n < 5 {
		t.Errorf("only %d commands", n)
	}
}

// TestProgressAnswers: rules, model, sides, ladder, one answer.
func TestProgressAnswers(t *testing.T) {
	exit, out, errs := progressRun(t, threeClean, "--going", "--json")
	if exit != ExitAnswer {
		t.Fatal(errs)
	}
	var v progressView
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		t.Fatal(err)
	}
	r := v.Records[0]
	if r.Advice.Help != 3 || r.Advice.Change != "less" || r.Advice.Reasons[0].Rule != "A1" || r.Chance.Enough || len(v.Ladder) < 40 || len(v.Rules) != 9 || len(v.Passes) != 1 {
		t.Errorf("%+v", r)
	}
	// The clock stands at the 20th: a lesson begins.
	_, out, _ = progressRun(t, threeClean)
	if !strings.Contains(out, "2027-01-20") || !strings.Contains(out, "A2: A lesson begins one level above where this stands, which is 3.") {
		t.Error(out)
	}
	_, out, _ = progressRun(t, threeClean, "--way", "none")
	if !strings.Contains(out, "A9") || !strings.Contains(out, "PARALLEL RECORDS") {
		t.Error(out)
	}
	_, out, _ = progressRun(t, threeClean, "--going", "--set", "fade_in_a_row=4")
	if !strings.Contains(out, "3 of 4 clean in a row") {
		t.Error(out)
	}
}

// TestProgressRefuses: what cannot be is refused with its line.
func TestProgressRefuses(t *testing.T) {
	row := func(s string) string { return threeClean + s + "\n" }
	for _, c := range []struct {
		table string
		args  []string
		says  []string
	}{
		{"", nil, []string{"empty"}},
		{"day,skill\n", nil, []string{"line 1", "help_level"}},
		{"day,skill,help_level,outcome,side,way\n", nil, []string{"no attempts"}},
		{row("2027-01-14,K11,4,clean,left,outriggers,12") + "2027-01-14,K99,4,clean,,outriggers,12\n", nil, []string{"line 6", "no skill"}},
		{row("2027-13-14,K23,4,clean,left,outriggers,12"), nil, []string{"line 5", "not a date"}},
		{row("2027-01-14,K23,9,clean,left,outriggers,12"), nil, []string{"line 5", "7, full"}},
		{row("2027-01-14,K23,four,clean,left,outriggers,12"), nil, []string{"line 5", "four"}},
		{row("2027-01-14,K23,4,nearly,left,outriggers,12"), nil, []string{"line 5", "miss, partly or clean"}},
		{row("2027-01-14,K23,4,clean,,outriggers,12"), nil, []string{"line 5", "say which"}},
		{row("2027-01-13,K23,4,clean,left,outriggers,12"), nil, []string{"line 5", "order of time"}},
		{row("2027-01-14,K23,4,clean,left,outriggers,\"1"), nil, []string{"line 5", "quotation mark"}},
		{row("2027-01-14,K23,4,clean,left,outriggers,900"), nil, []string{"line 5", "minute"}},
		{"day,skill,help_level,outcome,side,way,tie\n2027-01-14,K11,4,clean,left,outriggers,elastic\n", nil, []string{"line 2", "not with a tie on"}},
		{threeClean, []string{"--set", "fade_in_a_row"}, []string{"NAME=N"}},
		{threeClean, []string{"--set", "fade_in_a_row=99"}, []string{"between 2 and 6"}},
		{threeClean, []string{"--on", "2027-01-01"}, []string{"before the last attempt"}},
		{threeClean, []string{"--way", "sitting"}, []string{"ladder of its own"}},
		{threeClean, []string{"--terrain", "moon"}, []string{"no terrain"}},
		{"\xff\xfe", nil, []string{"UTF-8"}},
	} {
		exit, out, errs := progressRun(t, c.table, c.args...)
		if exit != ExitInput || out != "" || slices.ContainsFunc(c.says, func(s string) bool { return !strings.Contains(errs, s) }) {
			t.Errorf("%q %v: exit %d, %s", c.table, c.args, exit, errs)
		}
	}
	var e bytes.Buffer
	if exit := Run(Env{Args: []string{"progress", "/nowhere.csv"}, Out: &e, Err: &e, Clock: clock.System{}}); exit != ExitInput {
		t.Errorf("a file that is not there: %d", exit)
	}
}
