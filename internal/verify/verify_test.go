package verify_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"firnhand/core/source"
	"firnhand/internal/verify"
)

// Every check passes, or says why it is not counted.
func TestEveryCheckPasses(t *testing.T) {
	rep, err := verify.Run(verify.All())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rep.Results {
		if r.Word() == "fail" {
			t.Errorf("%s: %s prints %s, this program gets %v (± %g)", r.ID, r.Source, r.Expected, r.Got, r.Tolerance)
		}
	}
	if rep.Passed < 200 {
		t.Errorf("only %d checks ran", rep.Passed)
	}
	if rep.Skipped > len(rep.Results)/20 {
		t.Errorf("%d of %d checks are skipped", rep.Skipped, len(rep.Results))
	}
}

// A figure moved by one unit of its last printed digit fails every check that
// is judged by half a digit, so none of them is blind.
func TestChecksCanFail(t *testing.T) {
	for _, c := range verify.All() {
		if c.Skipped != "" || c.Unit == "" {
			continue
		}
		r, err := c.Judge()
		if err != nil {
			t.Fatal(err)
		}
		c.Got += 2.5 * r.Tolerance
		if r, err = c.Judge(); err != nil || r.Pass {
			t.Errorf("%s passes with %v although %s is expected", c.ID, c.Got, c.Expected)
		}
		if r.Tolerance > 20*verify.HalfDigit(c.Expected) && !strings.Contains(c.Note, "closing") {
			t.Errorf("%s allows %g, more than twenty times its last digit", c.ID, r.Tolerance)
		}
		c.Got = math.NaN()
		if r, err = c.Judge(); err != nil || r.Pass {
			t.Errorf("%s passes with NaN", c.ID)
		}
	}
}

func TestHalfDigit(t *testing.T) {
	for printed, want := range map[string]float64{"0.082": 0.0005, "532": 0.5, "45": 0.5, "-0.23": 0.005, "1.5e3": 50, "2E-3": 0.0005, "100.0": 0.05} {
		if got := verify.HalfDigit(printed); math.Abs(got-want) > want*1e-12 {
			t.Errorf("half a digit of %s is %g, want %g", printed, got, want)
		}
	}
}

func check() verify.Check {
	return verify.Check{ID: "a/b", What: "a figure", Source: "CP", Unit: "m", Expected: "1.20", Got: 1.204}
}

func TestJudge(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*verify.Check)
		want   string
	}{
		{"within half a digit", func(c *verify.Check) {}, "pass"},
		{"exactly half a digit", func(c *verify.Check) { c.Got = 1.205 }, "pass"},
		{"beyond half a digit", func(c *verify.Check) { c.Got = 1.2051 }, "fail"},
		{"below", func(c *verify.Check) { c.Got = 1.1949 }, "fail"},
		{"own tolerance", func(c *verify.Check) { c.Got, c.Tolerance = 1.3, 0.1 }, "pass"},
		{"skipped", func(c *verify.Check) { c.Skipped = "misprint" }, "skipped"},
		{"same word", func(c *verify.Check) { c.Unit, c.Expected, c.GotWord = "", "K", "K" }, "pass"},
		{"other word", func(c *verify.Check) { c.Unit, c.Expected, c.GotWord = "", "K", "L" }, "fail"},
		{"skipped word", func(c *verify.Check) { c.Unit, c.Expected, c.GotWord, c.Skipped = "", "K", "K", "why" }, "skipped"},
	} {
		ch := check()
		c.change(&ch)
		r, err := ch.Judge()
		if err != nil || r.Word() != c.want || r.Status != source.Practice {
			t.Errorf("%s: %s (%v), want %s", c.name, r.Word(), err, c.want)
		}
	}
}

func TestRunRefusesBadChecks(t *testing.T) {
	for want, change := range map[string]func(*verify.Check){
		"no id":            func(c *verify.Check) { c.ID = "" },
		`cites "S99"`:      func(c *verify.Check) { c.Source = "S99" },
		"not a number":     func(c *verify.Check) { c.Expected = "1-2" },
		"have the id same": func(c *verify.Check) { c.ID = "same" },
	} {
		same, ch := check(), check()
		same.ID = "same"
		change(&ch)
		if _, err := verify.Run([]verify.Check{same, ch}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

func report(t *testing.T) verify.Report {
	t.Helper()
	pass, fail, skip, word := check(), check(), check(), check()
	fail.ID, fail.Got = "a/c", 2
	skip.ID, skip.Skipped = "a/d", "a misprint"
	word.ID, word.Unit, word.Expected, word.GotWord, word.Status, word.Note = "a/e", "", "K", "K", source.Memory, "a row"
	rep, err := verify.Run([]verify.Check{pass, fail, skip, word})
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

func TestText(t *testing.T) {
	var b strings.Builder
	if err := report(t).Text(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"pass     a/b    CP      1.20      1.2040  0.005  m     a figure",
		"fail     a/c    CP      1.20      2.0000  0.005  m     a figure",
		"a figure (skipped: a misprint)",
		"a figure (a row; from memory)",
		"CP: Common practice of the trade, no source (common practice, no source)",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the text lacks %q:\n%s", want, b.String())
		}
	}
	if !strings.HasSuffix(b.String(), "\n2 passed, 1 failed, 1 skipped\n") {
		t.Errorf("wrong last line:\n%s", b.String())
	}
}

func TestJSON(t *testing.T) {
	var b strings.Builder
	if err := report(t).JSON(&b); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Checks []map[string]any `json:"checks"`
		Passed int              `json:"passed_count"`
		Failed int              `json:"failed_count"`
	}
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatal(err)
	}
	if got.Passed != 2 || got.Failed != 1 || len(got.Checks) != 4 {
		t.Errorf("%+v", got)
	}
	first, last := got.Checks[0], got.Checks[3]
	if first["got_in_unit"] != 1.204 || first["unit"] != "m" || first["tolerance_in_unit"] != 0.005 || first["result"] != "pass" {
		t.Errorf("%v", first)
	}
	if _, has := last["got_in_unit"]; has || last["got_word"] != "K" || last["status"] != "from memory" {
		t.Errorf("%v", last)
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestWriteErrorsAreReturned(t *testing.T) {
	if report(t).Text(broken{}) == nil || report(t).JSON(broken{}) == nil {
		t.Error("a report that could not be written must say so")
	}
}
