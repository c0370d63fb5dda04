package hill_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"firnhand/internal/hill/reckon"
)

// compiled compiles a command for the browser, or skips the test.
func compiled(t *testing.T, pkg string) (wasm, node string) {
	t.Helper()
	if testing.Short() {
		t.Skip("short run: nothing is compiled for the browser")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed, so what is compiled for the browser is not run here")
	}
	wasm = filepath.Join(t.TempDir(), "a.wasm")
	c := exec.Command("go", "build", "-buildvcs=false", "-ldflags", "-s -w", "-gcflags", "all=-l", "-o", wasm, pkg)
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if text, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return wasm, node
}

// What the engine answers as WebAssembly is what the same code answers here,
// byte by byte.
func TestEngineAnswersTheSameAsWebAssembly(t *testing.T) {
	wasm, node := compiled(t, "firnhand/internal/hill/engine")
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	type question struct{ What, Question string }
	var asks []question
	for _, pct := range []string{"3", "8", "10", "17.5", "25"} {
		for _, snow := range []string{"all", "cold", "wet", "fresh"} {
			asks = append(asks, question{"fan", `{"gradient_pct":` + pct + `,"snow":"` + snow + `","mass_kg":70}`})
		}
	}
	for _, air := range []string{"-35", "-20", "-12.3", "-5", "0", "4"} {
		asks = append(asks, question{"cold", `{"air_c":` + air + `,"wind_m_s":5.5,"findings":[{"finding":"sensation","side":"left","state":"fresh","value":"reduced"}]}`})
	}
	before := `[{"finding":"gait","side":"none","state":"fresh","value":"W5"},{"finding":"stand_s","side":"none","state":"fresh","value":"30"}]`
	for _, v := range []string{"W0", "W1", "W2", "W3", "W4", "W5"} {
		asks = append(asks, question{"decide", `{"before":` + before + `,"after":` + strings.Replace(before, "W5", v, 1) + `}`})
	}
	asks = append(asks, question{"snow", `{"snow":"all","glides":[{"length_m":20,"gradient_pct":10,"gradient_sd_pct":0.5,"mass_kg":70,"watch_sd_s":0.2,"times_s":[9.1,9.3]}]}`},
		question{"advise", `{"here":[{"skill":"K15","side":"none","help":4,"outcome":"clean","terrain":"beginner","way":"outriggers","minutes":1}],"skill":"K15","side":"none","aids":{"way":"outriggers"}}`}, question{"nothing", `{}`})
	in, err := json.Marshal(asks)
	if err != nil {
		t.Fatal(err)
	}
	const run = `const fs = require("fs"); globalThis.require = require; globalThis.fs = fs; globalThis.path = require("path"); globalThis.TextEncoder = require("util").TextEncoder; globalThis.TextDecoder = require("util").TextDecoder;
		require(process.argv[1]); const go = new Go(); WebAssembly.instantiate(fs.readFileSync(process.argv[2]), go.importObject).then(({ instance }) => { go.run(instance);
		process.stdout.write(JSON.stringify(JSON.parse(fs.readFileSync(0, "utf8")).map((q) => firnhandEngine(q.What, q.Question)))); process.exit(0) })`
	c := exec.Command(node, "-e", run, filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"), wasm)
	c.Stdin = strings.NewReader(string(in))
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	if err := json.Unmarshal(out, &got); err != nil || len(got) != len(asks) {
		t.Fatalf("%v: %.200s", err, out)
	}
	for i, q := range asks {
		if want := string(reckon.Answer(q.What, []byte(q.Question))); got[i] != want {
			t.Errorf("%s %s\nWebAssembly %s\nhere        %s", q.What, q.Question, got[i], want)
		}
	}
	t.Logf("%d answers are the same", len(asks))
}
