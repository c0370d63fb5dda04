package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"

	"firnhand/internal/clock"
)

// The people in testdata/cases are the trade's written case studies (domain
// working knowledge: expectations, warnings and flip tests are theirs; common
// practice, with proposed numbers where they say so). They are put through the
// command line as it is used, and everything is read back from its JSON.
type caseFile struct {
	Exit     int               `yaml:"exit"`
	Expect   map[string]any    `yaml:"expect"`
	Holds    map[string]string `yaml:"holds"`
	MustWarn []string          `yaml:"must_warn"`
	MustNot  []string          `yaml:"must_not"`
	Recheck  []string          `yaml:"recheck"`
	Mirror   bool              `yaml:"mirror"`
	Flips    []flip            `yaml:"flips"`
}

type flip struct {
	Replace map[string]string `yaml:"replace"`
	Because string            `yaml:"because"`
	Exit    int               `yaml:"exit"`
	Becomes map[string]any    `yaml:"becomes"`
	Warns   []string          `yaml:"warns"`
}

// run runs a command with a text as its standard input.
func run(t testing.TB, in string, args ...string) (exit int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	exit = Run(Env{Args: args, In: strings.NewReader(in), Out: &o, Err: &e, Version: "test",
		Clock: clock.At(time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC))})
	return exit, o.String(), e.String()
}

// answerOf decides on a text and returns the JSON.
func answerOf(t testing.TB, text string) (int, map[string]any) {
	t.Helper()
	exit, out, errs := run(t, text, "decide", "-", "--json")
	var v map[string]any
	if err := json.Unmarshal([]byte(out), &v); err != nil || errs != "" {
		t.Fatalf("exit %d, no JSON (%v): %s%s", exit, err, out, errs)
	}
	return exit, v
}

// at follows a path such as "answer.route.left_turns".
func at(v any, path string) any {
	for _, key := range strings.Split(path, ".") {
		m, ok := v.(map[string]any)
		if !ok {
			return fmt.Sprintf("nothing at %s", path)
		}
		v = m[key]
	}
	return v
}

// text writes a value so that 90 from YAML and 90 from JSON are the same.
func text(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func codes(v map[string]any, lists ...string) []string {
	var out []string
	for _, list := range lists {
		for _, s := range v[list].([]any) {
			out = append(out, s.(map[string]any)["code"].(string))
		}
	}
	return out
}

func compare(t *testing.T, v map[string]any, want map[string]any) {
	t.Helper()
	for _, path := range slices.Sorted(maps.Keys(want)) {
		if got := at(v, path); text(got) != text(want[path]) {
			t.Errorf("%s is %s, want %s", path, text(got), text(want[path]))
		}
	}
}

func all(t *testing.T, what string, have, want []string) {
	t.Helper()
	for _, code := range want {
		if !slices.Contains(have, code) {
			t.Errorf("%s lacks %s; it has %v", what, code, have)
		}
	}
}

func caseFiles(t testing.TB) map[string]caseFile {
	t.Helper()
	names, err := filepath.Glob("testdata/cases/*.expect")
	if err != nil || len(names) == 0 {
		t.Fatal("no cases", err)
	}
	out := map[string]caseFile{}
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		var c caseFile
		if err := yaml.UnmarshalWithOptions(b, &c, yaml.Strict()); err != nil {
			t.Fatalf("%s: %v", n, err)
		}
		out[strings.TrimSuffix(n, ".expect")] = c
	}
	return out
}

func TestCases(t *testing.T) {
	for name, c := range caseFiles(t) {
		t.Run(filepath.Base(name), func(t *testing.T) {
			b, err := os.ReadFile(name + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			exit, v := answerOf(t, string(b))
			if exit != c.Exit {
				t.Errorf("exit code %d, want %d", exit, c.Exit)
			}
			compare(t, v, c.Expect)
			all(t, "warnings and stop rules", codes(v, "warn", "stop_rules"), c.MustWarn)
			all(t, "must not", codes(v, "must_not"), c.MustNot)
			all(t, "recheck", codes(v, "recheck"), c.Recheck)
			for id, clears := range c.Holds {
				found := false
				for _, h := range v["holds"].([]any) {
					h := h.(map[string]any)
					found = found || h["id"] == id && strings.Contains(h["clears"].(string), clears)
				}
				if !found {
					t.Errorf("no hold %s that %s clears in %s", id, clears, text(v["holds"]))
				}
			}
			for i, f := range c.Flips {
				t.Run(fmt.Sprintf("flip %d", i+1), func(t *testing.T) { flipCase(t, string(b), v, f) })
			}
			if c.Mirror {
				t.Run("mirror", func(t *testing.T) { mirrorCase(t, string(b), v) })
			}
			t.Run("waiver", func(t *testing.T) { waiverCase(t, string(b)) })
			t.Run("card", func(t *testing.T) { cardCase(t, name+".yaml", c.Exit) })
		})
	}
}

// flipCase changes the inputs of a flip test: what it names must change to
// what it says, and nothing else in the answer may.
func flipCase(t *testing.T, file string, before map[string]any, f flip) {
	for from, to := range f.Replace {
		if strings.Count(file, from) != 1 {
			t.Fatalf("%q stands %d times in the file", from, strings.Count(file, from))
		}
		file = strings.Replace(file, from, to, 1)
	}
	exit, after := answerOf(t, file)
	if exit != f.Exit {
		t.Errorf("exit code %d, want %d", exit, f.Exit)
	}
	compare(t, after, f.Becomes)
	all(t, "warnings", codes(after, "warn", "stop_rules"), f.Warns)
	was, is := before["answer"].(map[string]any), after["answer"].(map[string]any)
	for key := range is {
		if key == "possible" {
			continue // follows the open answers, which are compared
		}
		named := false
		for path := range f.Becomes {
			named = named || strings.HasPrefix(path+".", "answer."+key+".")
		}
		if !named && text(was[key]) != text(is[key]) {
			t.Errorf("%s changed too: %s, then %s (%s)", key, text(was[key]), text(is[key]), f.Because)
		}
	}
}

// mirrorWords swaps every side in a text: keys, values and codes.
var mirrorWords = strings.NewReplacer(`"L":`, `"R":`, `"R":`, `"L":`, "left", "right", "right", "left", "Left", "Right", "Right", "Left")

// mirrorCase swaps left and right in the input (cross-check 5 of the cases):
// every sided output must swap and nothing else.
func mirrorCase(t *testing.T, file string, before map[string]any) {
	swap := strings.NewReplacer("{L:", "{R:", "{R:", "{L:", " L:", " R:", " R:", " L:", "LO:", "RO:", "RO:", "LO:", "LI:", "RI:", "RI:", "LI:", "field_gap: right", "field_gap: left")
	_, after := answerOf(t, swap.Replace(file))
	for _, part := range []string{"answer", "today", "gate", "warn", "must_not", "recheck", "do", "stop_rules", "holds", "rules"} {
		want := mirrorWords.Replace(text(before[part]))
		var back any
		if err := json.Unmarshal([]byte(want), &back); err != nil {
			t.Fatal(err)
		}
		got := text(after[part])
		if part == "answer" || part == "today" || part == "gate" {
			mirrorRoute(back)
			if text(back) != got {
				t.Errorf("%s:\n%s\nmirrored:\n%s", part, got, text(back))
			}
			continue
		}
		a, b := after[part].([]any), back.([]any)
		if len(a) != len(b) {
			t.Errorf("%s: %s\nmirrored: %s", part, got, text(back))
			continue
		}
		var x, y []string
		for i := range a {
			x, y = append(x, text(a[i])), append(y, text(b[i]))
		}
		slices.Sort(x)
		slices.Sort(y)
		if part != "holds" && part != "rules" && !slices.Equal(x, y) {
			t.Errorf("%s: %v\nmirrored: %v", part, x, y)
		}
	}
}

// mirrorRoute writes the summary of a mirrored route in its usual order.
func mirrorRoute(answer any) {
	m, ok := answer.(map[string]any)
	if !ok {
		return
	}
	if r, ok := m["route"].(map[string]any); ok && r["left_turns"] != r["right_turns"] {
		r["summary"] = fmt.Sprintf("left_turns_%s_right_turns_%s", r["left_turns"], r["right_turns"])
	}
}

// waiverCase is cross-check 1 of the cases: without a waiver everybody is
// held, by gate G16.
func waiverCase(t *testing.T, file string) {
	exit, v := answerOf(t, strings.Replace(file, "waiver: valid", "waiver: missing", 1))
	if exit != ExitHold || v["gate"] != "refuse" || text(at(v, "answer.plan")) != `["PL-H"]` || at(v, "today.skiing") != "no" {
		t.Errorf("exit %d, gate %v, plan %v", exit, v["gate"], at(v, "answer.plan"))
	}
	if !strings.Contains(text(v["holds"]), "G16") {
		t.Errorf("G16 is not among %s", text(v["holds"]))
	}
}

// cardCase is cross-check 10 of the cases: the card of every case fits, its
// handover has at most ten lines, and no diagnosis stands on it. The words
// looked for are those of the case's own condition.
func cardCase(t *testing.T, file string, want int) {
	exit, out, errs := run(t, "", "card", file, "--text")
	if exit != want || errs != "" {
		t.Fatalf("exit %d: %s", exit, errs)
	}
	low := strings.ToLower(out)
	for _, word := range []string{"diplegia", "spastic", "cerebral", "hemiplegia", "stroke", "sclerosis", "ataxia", "brain", "displacement", "migration", "blood thinner", "orthopaedic_yearly"} {
		if strings.Contains(low, word) {
			t.Errorf("the card says %q:\n%s", word, out)
		}
	}
	_, handed, _ := strings.Cut(out, "Handed over")
	handed, _, _ = strings.Cut(handed, "Contacts")
	if n := strings.Count(handed, "\n"); n > 11 {
		t.Errorf("%d lines of handover", n)
	}
	for _, line := range strings.Split(out, "\n") {
		if len([]rune(line)) > 80 {
			t.Errorf("wider than 80 columns: %q", line)
		}
	}
}
