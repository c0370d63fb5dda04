package main

import (
	"slices"
	"strings"
	"testing"
)

// The events below follow the fields and actions that "go doc test2json"
// describes.
const events = `{"Action":"start","Package":"p"}
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"pass","Package":"p","Test":"TestA","Elapsed":0.1}
{"Action":"output","Package":"p","Test":"TestB","Output":"    b_test.go:7: no chromium here\n"}
{"Action":"output","Package":"p","Test":"TestB","Output":"--- SKIP: TestB (0.00s)\n"}
{"Action":"skip","Package":"p","Test":"TestB"}
{"Action":"output","Package":"p","Test":"TestC","Output":"    c_test.go:9: wanted 2\n"}
{"Action":"fail","Package":"p","Test":"TestC"}
{"Action":"fail","Package":"p","Elapsed":1}
{"Action":"output","Package":"q","Output":"panic before any test\n"}
{"Action":"fail","Package":"q"}
{"Action":"skip","Package":"r"}
{"ImportPath":"s [s.test]","Action":"build-output","Output":"s.go:2:1: undefined: f\n"}
{"Action":"fail","Package":"s","FailedBuild":"s [s.test]"}
{"Action":"output","Package":"u","Test":"TestEndless","Output":"still running\n"}
{"Action":"output","Package":"u","Output":"panic: test timed out\n"}
{"Action":"fail","Package":"u"}
not an event
`

func TestTally(t *testing.T) {
	var tl tally
	var out strings.Builder
	if err := tl.read(&out, strings.NewReader(events)); err != nil {
		t.Fatal(err)
	}
	tl.report(&out, 0)
	if tl.passed != 1 || tl.failed != 1 || tl.skipped != 1 || tl.broken != 3 {
		t.Errorf("counted %+v", tl)
	}
	for _, want := range []string{"c_test.go:9: wanted 2", "panic before any test", "skipped p TestB: no chromium here", "not an event", "s.go:2:1: undefined: f", "still running", "test timed out"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the report lacks %q:\n%s", want, out.String())
		}
	}
	if !strings.HasSuffix(out.String(), "1 passed, 4 failed, 1 skipped\n") {
		t.Errorf("last line wrong:\n%s", out.String())
	}
}

func TestSplit(t *testing.T) {
	race, plain := split([]string{"firnhand/core/x", "firnhand/internal/web", "firnhand/programme", "firnhand/internal/cards", "firnhand/internal/card/font"})
	if !slices.Equal(race, []string{"firnhand/internal/web", "firnhand/programme", "firnhand/internal/cards"}) ||
		!slices.Equal(plain, []string{"firnhand/core/x", "firnhand/internal/card/font"}) {
		t.Errorf("race %v, plain %v", race, plain)
	}
}

func TestReasonWithoutWords(t *testing.T) {
	if got := reason([]string{"=== RUN TestX\n", "--- SKIP: TestX\n"}); got != "no reason given" {
		t.Errorf("reason = %q", got)
	}
}
