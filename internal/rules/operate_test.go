package rules_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestUpgradeNotes: every step of the schema has a note for whoever upgrades.
func TestUpgradeNotes(t *testing.T) {
	steps, err := filepath.Glob("../sqlite/schema/*.sql")
	if err != nil || len(steps) == 0 {
		t.Fatal(err)
	}
	page, err := os.ReadFile("../../docs/operate/upgrade.md")
	if err != nil {
		t.Fatal(err)
	}
	for i := range steps {
		if !strings.Contains(string(page), fmt.Sprintf("\n| %d | ", i+1)) {
			t.Errorf("docs/operate/upgrade.md has no note for schema %d", i+1)
		}
	}
}

// TestNamedTestsExist: each promise, and each row of a table of what is held,
// names a test, and every test so named exists.
func TestNamedTestsExist(t *testing.T) {
	have := map[string]bool{}
	err := filepath.WalkDir("../..", func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git" || d.Name() == ".cache") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, "_test.go") {
			return nil
		}
		b, err := os.ReadFile(path)
		for _, m := range regexp.MustCompile(`(?m)^func ((?:Test|Fuzz|Benchmark|Example)\w+)\(`).FindAllStringSubmatch(string(b), -1) {
			have[m[1]] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, page := range []string{"GUARANTEES.md", "THREATS.md", "docs/operate/figures.md", "docs/operate/requirements.md"} {
		b, err := os.ReadFile("../../" + page)
		if err != nil {
			t.Error(err)
			continue
		}
		named := regexp.MustCompile("`((?:Test|Fuzz|Benchmark)[A-Z]\\w+)`").FindAllStringSubmatch(string(b), -1)
		if len(named) < 5 {
			t.Errorf("%s names only %d tests", page, len(named))
		}
		for _, m := range named {
			if !have[m[1]] {
				t.Errorf("%s names the test %s, which does not exist", page, m[1])
			}
		}
	}
	// A guarantee without a test is none.
	b, err := os.ReadFile("../../GUARANTEES.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(b), "\n") {
		if regexp.MustCompile(`^\| G\d+ \|`).MatchString(line) && !strings.Contains(line, "`Test") {
			t.Errorf("a guarantee names no test: %s", line)
		}
	}
}
