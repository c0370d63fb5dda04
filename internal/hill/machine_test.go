package hill_test

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/dop251/goja"
	"github.com/evanw/esbuild/pkg/api"

	"firnhand/internal/exchange"
	"firnhand/internal/exchange/exchangetest"
	"firnhand/internal/hill/bundle"
)

// script runs a module of the page in an engine for script of its own.
func script(t *testing.T, source string) *goja.Runtime {
	t.Helper()
	r := api.Build(api.BuildOptions{Stdin: &api.StdinOptions{Contents: source, ResolveDir: "src", Loader: api.LoaderTS}, Bundle: true,
		Format: api.FormatIIFE, Target: api.ES2017, Define: map[string]string{"BUILD": `"test"`}})
	if len(r.Errors) > 0 {
		t.Fatal(api.FormatMessages(r.Errors, api.FormatMessagesOptions{}))
	}
	vm := goja.New()
	if _, err := vm.RunString("globalThis.TextEncoder = class { encode(s) { return s } }"); err != nil {
		t.Fatal(err)
	}
	if _, err := vm.RunString(string(r.OutputFiles[0].Contents)); err != nil {
		t.Fatal(err)
	}
	return vm
}

// plain reads JSON with empty lists and missing ones alike.
func plain(t *testing.T, text string) any {
	t.Helper()
	var v any
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	return tidy(v)
}

func tidy(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			if x = tidy(x); x == nil {
				delete(v, k)
			} else {
				v[k] = x
			}
		}
	case []any:
		if len(v) == 0 {
			return nil
		}
		for i := range v {
			v[i] = tidy(v[i])
		}
	}
	return v
}

func text(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// The machine on the phone does what the one in Go does: same state, same
// effects, from states and events made at random, several steps long.
func TestScriptIsTheSameMachine(t *testing.T) {
	vm := script(t, `import { step, newPhone, names } from "./machine";
		globalThis.firnhand = { step(s, e) { const p = JSON.parse(s); for (const k of ["rows", "unsaved", "asked", "checked"]) p[k] = p[k] || [];
			const out = step(p, JSON.parse(e)); return JSON.stringify({ state: p, effects: out }); }, fresh: () => JSON.stringify(newPhone()), names: JSON.stringify(names) };`)
	page := vm.Get("firnhand").ToObject(vm)
	step, _ := goja.AssertFunction(page.Get("step"))
	fresh, _ := goja.AssertFunction(page.Get("fresh"))
	if got, err := fresh(goja.Undefined()); err != nil || !reflect.DeepEqual(plain(t, got.String()), plain(t, text(t, exchange.New()))) {
		t.Fatalf("a new page is %v in script, %v; in Go %s", got, err, text(t, exchange.New()))
	}
	var names struct{ Guards, Actions []string }
	if err := json.Unmarshal([]byte(page.Get("names").String()), &names); err != nil {
		t.Fatal(err)
	}
	if len(names.Guards) != len(exchange.Guards) || len(names.Actions) != len(exchange.Actions) {
		t.Errorf("script has %d guards and %d actions, Go %d and %d", len(names.Guards), len(names.Actions), len(exchange.Guards), len(exchange.Actions))
	}
	r := exchangetest.States{Rand: rand.New(rand.NewPCG(7, 8))}
	steps, taken := 0, map[exchange.Taking]bool{}
	rounds := 4
	if testing.Short() {
		rounds = 2
	}
	for _, m := range exchange.Modes {
		for _, k := range exchange.Events {
			for range rounds {
				s := r.Phone(m)
				kind := k
				for range 5 {
					e := r.Event(kind, s)
					before, event := text(t, s), text(t, e)
					got, err := step(goja.Undefined(), vm.ToValue(before), vm.ToValue(event))
					if err != nil {
						t.Fatalf("%s in %s: %v\nfrom %s\nby %s", kind, s.Mode, err, before, event)
					}
					out, way := exchange.Standing.StepSeen(s, e)
					taken[way] = true
					steps++
					want := plain(t, text(t, map[string]any{"state": s, "effects": out}))
					if have := plain(t, got.String()); !reflect.DeepEqual(have, want) {
						t.Fatalf("%s in %s\nfrom   %s\nby     %s\nscript %s\nGo     %s", kind, way.Mode, before, event, text(t, have), text(t, want))
					}
					kind = exchange.Events[r.IntN(len(exchange.Events))]
				}
			}
		}
	}
	t.Logf("%d steps, %d ways of the table", steps, len(taken))
}

// What the phone sums up and how it reads an answer is what the server does.
func TestScriptReadsAnswersAsGoDoes(t *testing.T) {
	vm := script(t, `import { eventOf } from "./net"; import { timeout } from "./machine"; globalThis.firnhand = { read: (b, e, k) => eventOf(b, e, k).kind, timeout };`)
	page := vm.Get("firnhand").ToObject(vm)
	read, _ := goja.AssertFunction(page.Get("read"))
	timeout, _ := goja.AssertFunction(page.Get("timeout"))
	ours := `{"firnhand":"exchange","exchange":1,"echo":"e","code":"taken","person":"p","results":[],"at":5}`
	bodies := []string{"", "<html>Welcome</html>", "null", "[]", "7", `{"ok":true}`, ours, ours[:20], ours[:len(ours)-1], strings.Replace(ours, `"e"`, `"other"`, 1), ours + "x"}
	for _, code := range []string{"signed_out", "not_allowed", "other_person", "revoked", "too_big", "busy", "a_later_code"} {
		bodies = append(bodies, strings.Replace(ours, "taken", code, 1))
	}
	for _, b := range bodies {
		for _, k := range []exchange.EffectKind{exchange.Send, exchange.Fetch, exchange.Check} {
			want, _ := exchange.EventOf([]byte(b), "e", k)
			got, err := read(goja.Undefined(), vm.ToValue(b), vm.ToValue("e"), vm.ToValue(string(k)))
			if err != nil || got.String() != string(want) {
				t.Errorf("%q to %s: script %v, %v; Go %s", b, k, got, err, want)
			}
		}
	}
	for _, n := range []int{0, 1, 511, 4096, 4097, 65536, 262144} {
		if got, err := timeout(goja.Undefined(), vm.ToValue(n)); err != nil || got.ToInteger() != exchange.Timeout(n) {
			t.Errorf("time for %d bytes: %v, %v; Go %d", n, got, err, exchange.Timeout(n))
		}
	}
}

// dist and the table in script are made from what is in the tree.
func TestFilesOfThePageAreCurrent(t *testing.T) {
	if b, err := os.ReadFile("src/table.gen.ts"); err != nil || string(b) != string(bundle.Table()) {
		t.Error("src/table.gen.ts is not the table of the exchange; go generate ./internal/hill writes it")
	}
	files, err := bundle.Make("../..")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range files {
		if got, err := os.ReadFile("dist/" + name); err != nil || string(got) != string(want) {
			t.Errorf("dist/%s is not what its sources give; go generate ./internal/hill makes it: %v", name, err)
		}
	}
	entries, err := os.ReadDir("dist")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if _, ok := files[e.Name()]; !ok && !strings.HasPrefix(e.Name(), "engine") {
			t.Errorf("dist/%s comes from no source", e.Name())
		}
	}
}
