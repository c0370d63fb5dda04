package e2e

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// block is one fenced part of a page: what is typed, and what is to come out.
type block struct{ typed, comes string }

// blocks reads the ```sh and ```text parts of a page in order.
func blocks(t *testing.T, page string) []block {
	t.Helper()
	var out []block
	kind, text := "", ""
	for line := range strings.Lines(page) {
		fence, is := strings.CutPrefix(strings.TrimSpace(line), "```")
		switch {
		case is && kind == "":
			kind, text = fence, ""
		case is && kind == "sh":
			out = append(out, block{typed: text})
			kind = ""
		case is && kind == "text":
			if len(out) == 0 || out[len(out)-1].comes != "" {
				t.Fatal("what is to come out stands after what is typed")
			}
			out[len(out)-1].comes = text
			kind = ""
		case is:
			kind = ""
		default:
			text += line
		}
	}
	return out
}

// matches tells whether output is as the page says; ... stands for anything.
func matches(comes, output string) bool {
	p := regexp.QuoteMeta(strings.TrimSpace(comes))
	p = strings.ReplaceAll(p, `\.\.\.`, `.*`)
	return regexp.MustCompile(`(?s)^` + p + `$`).MatchString(strings.TrimSpace(output))
}

func TestMatches(t *testing.T) {
	for _, c := range []struct {
		comes, output string
		want          bool
	}{
		{"a b", "a b\n", true}, {"a b", "a c", false}, {"a ... c", "a b c", true}, {"...\nlast", "one\ntwo\nlast", true},
		{"a.b", "axb", false}, {"first\n...", "second\nfirst", false}, {"a", "a\nb", false},
	} {
		if matches(c.comes, c.output) != c.want {
			t.Errorf("%q and %q", c.comes, c.output)
		}
	}
}

// TestDrills follows each drill of docs/operate word for word in a fresh clone
// of the source, and compares what comes out with what the page says.
func TestDrills(t *testing.T) {
	if testing.Short() {
		t.Skip("short run: the drills are not followed")
	}
	for _, tool := range []string{"git", "make", "curl", "bash"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is missing, so the drills cannot be followed here", tool)
		}
	}
	if _, err := os.Stat("../.git"); err != nil {
		t.Skip("this is no clone of the source, so a fresh one cannot be made")
	}
	pages, err := filepath.Glob("../docs/operate/drill-*.md")
	if err != nil || len(pages) != 3 {
		t.Fatalf("drills: %v, %v", pages, err)
	}
	source, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	clone := filepath.Join(t.TempDir(), "firnhand")
	git := func(args ...string) {
		t.Helper()
		if out, err := exec.Command("git", args...).CombinedOutput(); err != nil {
			t.Fatalf("git %v: %v\n%s", args, err, out)
		}
	}
	git("clone", "-q", "--no-hardlinks", source, clone)
	for _, path := range pages {
		t.Run(filepath.Base(path), func(t *testing.T) {
			page, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			git("-C", clone, "clean", "-fdxq", "-e", "/bin") // as fresh, but built before
			follow(t, clone, blocks(t, string(page)))
		})
	}
}

// follow types the blocks into one shell, one after the other.
func follow(t *testing.T, dir string, all []block) {
	t.Helper()
	if len(all) < 5 {
		t.Fatalf("the page has only %d blocks to type", len(all))
	}
	t.Cleanup(func() { // whatever happened, nothing is left running
		_ = exec.Command("bash", "-c", fmt.Sprintf("[ -f %[1]q ] && kill $(cat %[1]q)", filepath.Join(dir, "serve.pid"))).Run()
	})
	compared := 0
	for i, b := range all {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
		cmd := exec.CommandContext(ctx, "bash", "-euc", b.typed)
		cmd.Dir = dir
		cmd.WaitDelay = time.Second // a server in the background keeps the pipe
		var out bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &out
		err := cmd.Run()
		cancel()
		if err != nil && err != exec.ErrWaitDelay {
			t.Fatalf("block %d: %v\n%s\n%s", i+1, err, b.typed, out.String())
		}
		if b.comes == "" {
			continue
		}
		compared++
		if !matches(b.comes, out.String()) {
			t.Fatalf("block %d:\n%s\ncame out:\n%s\nthe page says:\n%s", i+1, b.typed, out.String(), b.comes)
		}
	}
	if compared < 4 {
		t.Errorf("only %d outputs are compared", compared)
	}
}
