package cli

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"firnhand/internal/clock"
)

// Every command written in the manuals of the hill and of the lesson runs, in
// text and as JSON.
func TestHillManualRuns(t *testing.T) {
	for manual, least := range map[string]int{"effort-cold-lift": 15, "lesson": 6, "ladder": 2} {
		text, err := os.ReadFile("../../docs/reference/" + manual + ".md")
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for line := range strings.Lines(string(text)) {
			args, ok := strings.CutPrefix(strings.TrimSpace(line), "firnhand ")
			if !ok || strings.Contains(args, "passes.csv") { // a file of the reader's own
				continue
			}
			n++
			args = strings.ReplaceAll(args, "demo/people", "../../demo/people")
			for _, more := range [][]string{nil, {"--json"}} {
				var out, errs bytes.Buffer
				exit := Run(Env{Args: append(strings.Fields(args), more...), In: strings.NewReader(""), Out: &out, Err: &errs, Clock: clock.System{}, Version: "test"})
				if exit != ExitAnswer && exit != ExitHold || out.Len() == 0 || errs.Len() > 0 {
					t.Errorf("firnhand %s %v: exit %d, %s", args, more, exit, errs.String())
				}
			}
		}
		if n < least {
			t.Errorf("only %d commands in %s", n, manual)
		}
	}
}
