package cli

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"firnhand": func() { os.Exit(Main("test")) }})
}

// TestScripts runs testdata/script: the command line as people type it, one
// topic a file. "exits N firnhand ..." checks the exit code itself.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			wd, err := os.Getwd()
			if err != nil {
				return err
			}
			e.Setenv("CASES", wd+"/testdata/cases")
			e.Setenv("EXAMPLE", wd+"/../../demo/people/example.yaml")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":     exits,
			"big":       big,
			"unchanged": unchanged,
			"withkey":   withKey,
			"newest":    newest,
		},
	})
}

// withKey runs a command with --for and the public half that public.txt holds.
func withKey(ts *testscript.TestScript, neg bool, args []string) {
	exits(ts, neg, append(args[1:], "--for", strings.TrimSpace(ts.ReadFile("public.txt"))))
}

// newest runs a command with the newest backup in the folder backups.
func newest(ts *testscript.TestScript, neg bool, args []string) {
	all, err := filepath.Glob(filepath.Join(ts.MkAbs("backups"), "*.firnhand-backup"))
	ts.Check(err)
	if len(all) == 0 {
		ts.Fatalf("no backup is there")
	}
	exits(ts, neg, append(args[1:], all[len(all)-1]))
}

// exits runs a program and compares its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code program args...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// big writes a file of so many bytes.
func big(ts *testscript.TestScript, neg bool, args []string) {
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat("eval: {}\n", n/9+1)[:n]), 0o644))
}

// unchanged checks that the working folder holds the named files and no other:
// a command that refuses writes nothing.
func unchanged(ts *testscript.TestScript, neg bool, args []string) {
	entries, err := os.ReadDir(ts.MkAbs("."))
	ts.Check(err)
	var have []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".tmp") && e.Name() != "tmp" {
			have = append(have, e.Name())
		}
	}
	if strings.Join(have, " ") != strings.Join(args, " ") {
		ts.Fatalf("the folder holds %v, want %v", have, args)
	}
}
