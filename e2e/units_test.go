package e2e

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestUnits: the units of docs/operate are what systemd takes, each command in
// them is one the program knows, and the container file names what a release
// builds.
func TestUnits(t *testing.T) {
	bin, err := program()
	if err != nil {
		t.Fatalf("the program cannot be built: %v\n%s", err, bin)
	}
	if bin, err = filepath.Abs(bin); err != nil {
		t.Fatal(err)
	}
	units, err := filepath.Glob("../docs/operate/firnhand*.*")
	if err != nil || len(units) != 3 {
		t.Fatalf("%v, %v", units, err)
	}
	dir := t.TempDir()
	var copies []string
	commands := 0
	for _, path := range units {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(dir, filepath.Base(path))
		if err := os.WriteFile(to, []byte(strings.ReplaceAll(string(b), "/usr/local/bin/firnhand", bin)), 0o600); err != nil {
			t.Fatal(err)
		}
		copies = append(copies, to)
		for line := range strings.Lines(string(b)) {
			_, command, is := strings.Cut(strings.TrimSpace(line), "=/usr/local/bin/firnhand ")
			if !is {
				continue
			}
			commands++
			// With --help every flag is read and nothing is done.
			command = strings.ReplaceAll(command, "${BACKUP_FOR}", "age1x")
			if out, err := exec.Command(bin, append(strings.Fields(command), "--help")...).CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%.300s", command, err, out)
			}
			for _, word := range strings.Fields(command) {
				if !strings.HasPrefix(word, "--") {
					continue
				}
				out, _ := exec.Command(bin, append(strings.Fields(command)[:wordsOf(command)], "--help")...).Output()
				if !strings.Contains(string(out), word) {
					t.Errorf("the program knows no %s here: %s", word, command)
				}
			}
		}
	}
	if commands != 3 {
		t.Errorf("%d commands", commands)
	}
	box, err := os.ReadFile("../docs/operate/Containerfile")
	if err != nil || !strings.Contains(string(box), "COPY dist/firnhand-linux-amd64 /firnhand") {
		t.Errorf("the container file: %v", err)
	}
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("systemd-analyze is missing, so the units were not given to it")
	}
	if out, err := exec.Command("systemd-analyze", append([]string{"verify", "--man=no"}, copies...)...).CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}

// wordsOf is how many words of a command come before its first flag.
func wordsOf(command string) int {
	for i, w := range strings.Fields(command) {
		if strings.HasPrefix(w, "-") {
			return i
		}
	}
	return len(strings.Fields(command))
}
