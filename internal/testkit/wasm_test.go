package testkit_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every published figure the core is checked against comes out of the core as
// WebAssembly as it does here: the same verdict, and the same number to a
// millionth of a millionth.
func TestGoldensAsWebAssembly(t *testing.T) {
	if testing.Short() {
		t.Skip("short run: nothing is compiled for the browser")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed, so the core is not run as WebAssembly")
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	lines := map[string][]string{}
	for _, target := range []string{"native", "wasm"} {
		bin := filepath.Join(dir, target)
		build := exec.Command("go", "build", "-buildvcs=false", "-o", bin, "firnhand/internal/testkit/goldens")
		build.Env = append(os.Environ(), "CGO_ENABLED=0")
		run := exec.Command(bin)
		if target == "wasm" {
			build.Env = append(build.Env, "GOOS=js", "GOARCH=wasm")
			run = exec.Command(node, filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), bin)
		}
		if text, err := build.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", target, err, text)
		}
		run.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir}
		out, err := run.Output()
		if err != nil {
			t.Fatalf("%s: %v", target, err)
		}
		lines[target] = strings.Split(strings.TrimSpace(string(out)), "\n")
	}
	if len(lines["native"]) < 500 || len(lines["native"]) != len(lines["wasm"]) {
		t.Fatalf("%d checks here, %d as WebAssembly", len(lines["native"]), len(lines["wasm"]))
	}
	for i, l := range lines["native"] {
		here, there := strings.Split(l, "\t"), strings.Split(lines["wasm"][i], "\t")
		a, err1 := strconv.ParseFloat(here[2], 64)
		b, err2 := strconv.ParseFloat(there[2], 64)
		if err1 != nil || err2 != nil || here[0] != there[0] || here[1] != there[1] || here[3] != there[3] || math.Abs(a-b) > 1e-12*math.Max(1, math.Abs(a)) && !(math.IsNaN(a) && math.IsNaN(b)) {
			t.Errorf("here        %s\nWebAssembly %s", l, lines["wasm"][i])
		}
	}
	t.Logf("%d published figures are the same as WebAssembly", len(lines["native"]))
}
