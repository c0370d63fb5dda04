// Command testrun runs every test of the tree and ends with one line of
// counts: "N passed, N failed, N skipped".
//
// Packages are built with the race detector where a C compiler is at hand,
// except those that run on one goroutine only and do heavy arithmetic or
// drawing, which it would slow down for nothing. A test counts once: a parent with subtests
// counts as itself and as each of them.
package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"slices"
	"strings"
	"time"
)

// calm lists the trees that run on one goroutine, and those that put whole
// programs together from parts which are tried for races by themselves.
var calm = []string{
	"firnhand/core", "firnhand/e2e", "firnhand/tools", "firnhand/internal/card", "firnhand/internal/person", "firnhand/internal/picture",
	"firnhand/internal/rules", "firnhand/internal/verify", "firnhand/internal/exchange", "firnhand/internal/sim",
	"firnhand/internal/cli", "firnhand/internal/testkit", "firnhand/demo",
}

func main() {
	timeout := flag.Duration("timeout", 20*time.Minute, "time one package may take")
	flag.Parse()

	pkgs, err := packages()
	if err != nil {
		fmt.Fprintln(os.Stderr, "testrun:", err)
		os.Exit(1)
	}
	race, plain := split(pkgs)
	if !canRace() {
		fmt.Println("No C compiler here, so the race detector is off.")
		race, plain = nil, pkgs
	}

	var t tally
	began := time.Now()
	for _, group := range []struct {
		args []string
		pkgs []string
	}{{nil, plain}, {[]string{"-race"}, race}} {
		if len(group.pkgs) == 0 {
			continue
		}
		args := append([]string{"test", "-json", "-timeout", timeout.String()}, group.args...)
		if err := run(&t, append(args, group.pkgs...)); err != nil {
			fmt.Fprintln(os.Stderr, "testrun:", err)
			t.broken++
		}
	}
	t.report(os.Stdout, time.Since(began))
	if t.failed+t.broken > 0 || t.passed == 0 {
		os.Exit(1)
	}
}

func packages() ([]string, error) {
	out, err := exec.Command("go", "list", "./...").Output()
	if err != nil {
		return nil, fmt.Errorf("go list ./...: %w", err)
	}
	return strings.Fields(string(out)), nil
}

func split(pkgs []string) (race, plain []string) {
	for _, p := range pkgs {
		if slices.ContainsFunc(calm, func(tree string) bool { return p == tree || strings.HasPrefix(p, tree+"/") }) {
			plain = append(plain, p)
		} else {
			race = append(race, p)
		}
	}
	return race, plain
}

func canRace() bool {
	out, err := exec.Command("go", "env", "CGO_ENABLED", "CC").Output()
	if err != nil {
		return false
	}
	env := strings.Fields(string(out))
	if len(env) < 2 || env[0] != "1" {
		return false
	}
	_, err = exec.LookPath(env[1])
	return err == nil
}

// run executes one go test and reads its events into the tally.
func run(t *tally, args []string) error {
	cmd := exec.Command("go", args...)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	if err := t.read(os.Stdout, out); err != nil {
		return err
	}
	if err := cmd.Wait(); err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) && t.failed > 0 {
			return nil // the failed tests are counted already
		}
		return err
	}
	return nil
}

// event is one line of go test -json (see "go doc test2json").
type event struct {
	Action  string
	Package string
	Test    string
	Output  string
	Elapsed float64 // seconds
}

type tally struct {
	passed, failed, skipped int
	broken                  int // packages that failed outside any test, or did not build
	skips                   []string
	fails                   []string
}

// read counts the events of one run and prints a line per package, and all
// the output of whatever failed.
func (t *tally) read(w io.Writer, r io.Reader) error {
	output := map[string][]string{} // package + test -> its lines
	failedIn := map[string]int{}
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 1<<20), 1<<26)
	for lines.Scan() {
		var e event
		if err := json.Unmarshal(lines.Bytes(), &e); err != nil {
			fmt.Fprintln(w, lines.Text())
			continue
		}
		key := e.Package + " " + e.Test
		switch e.Action {
		case "build-output":
			fmt.Fprint(w, e.Output)
			continue
		case "output":
			output[key] = append(output[key], e.Output)
			continue
		case "pass", "fail", "skip":
		default:
			continue
		}
		if e.Test == "" {
			t.pack(w, e, output, failedIn[e.Package])
			continue
		}
		switch e.Action {
		case "pass":
			t.passed++
		case "fail":
			t.failed++
			failedIn[e.Package]++
			t.fails = append(t.fails, key)
			fmt.Fprint(w, strings.Join(output[key], ""))
		case "skip":
			t.skipped++
			t.skips = append(t.skips, key+": "+reason(output[key]))
		}
		delete(output, key)
	}
	return lines.Err()
}

// pack prints the line of a finished package, and before it, where the package
// failed, what it said itself and what tests said that never came to an end.
func (t *tally) pack(w io.Writer, e event, output map[string][]string, failed int) {
	switch {
	case e.Action == "fail":
		if failed == 0 {
			t.broken++
			t.fails = append(t.fails, e.Package)
		}
		for _, key := range slices.Sorted(maps.Keys(output)) {
			if strings.HasPrefix(key, e.Package+" ") {
				fmt.Fprint(w, strings.Join(output[key], ""))
			}
		}
		fmt.Fprintf(w, "FAIL %-40s %6.1f s\n", e.Package, e.Elapsed)
	case e.Action == "pass":
		fmt.Fprintf(w, "ok   %-40s %6.1f s\n", e.Package, e.Elapsed)
	}
}

// reason is the last thing a skipped test said, without its place.
func reason(out []string) string {
	for _, line := range slices.Backward(out) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "---") || strings.HasPrefix(line, "===") {
			continue
		}
		if _, said, ok := strings.Cut(line, ".go:"); ok {
			if _, said, ok = strings.Cut(said, ": "); ok {
				return said
			}
		}
		return line
	}
	return "no reason given"
}

func (t *tally) report(w io.Writer, took time.Duration) {
	fmt.Fprintln(w)
	for _, s := range t.skips {
		fmt.Fprintln(w, "skipped", s)
	}
	for _, f := range t.fails {
		fmt.Fprintln(w, "failed ", f)
	}
	fmt.Fprintf(w, "%d test packages could not be built or broke outside a test; took %.0f s\n", t.broken, took.Seconds())
	fmt.Fprintf(w, "%d passed, %d failed, %d skipped\n", t.passed, t.failed+t.broken, t.skipped)
}
