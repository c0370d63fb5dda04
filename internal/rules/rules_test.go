package rules_test

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"firnhand/internal/rules"
)

// The rules are the house's own (ARCHITECTURE.md, "Rules of the house"); there
// is no outside source to check them against. That each can fail is proved on
// the small trees below.
func TestThisTree(t *testing.T) {
	tree, err := rules.Load(os.DirFS("../.."))
	if err != nil {
		t.Fatal(err)
	}
	if len(tree.Files) < 20 {
		t.Fatalf("only %d files found", len(tree.Files))
	}
	for _, r := range rules.All() {
		t.Run(r.Name, func(t *testing.T) {
			for _, p := range r.Check(tree) {
				t.Error(p)
			}
		})
	}
}

const (
	doc  = "// Package x is invented.\npackage x\n"
	long = "a\n"
)

// fixture is a file that breaks one rule, or a file much like it that does
// not.
type fixture struct {
	rule, file, text string
	want             string // part of the one problem expected; "" for none
}

var fixtures = []fixture{
	{"core pure", "core/fit/a.go", doc + "import \"math\"", ""},
	{"core pure", "core/fit/a.go", doc + "import \"os\"", "knows no files"},
	{"core pure", "core/fit/a.go", doc + "import \"math/rand/v2\"", "passed in through a seed"},
	{"core pure", "core/fit/a.go", doc + "import \"net/http\"", "knows no network"},
	{"core pure", "core/fit/a.go", doc + "import \"time\"", "core/fit/a.go:3: the core may not import time"},
	{"core pure", "core/fit/a.go", doc + "import \"expvar\"", "not in the list"},
	{"core pure", "core/fit/a.go", doc + "import \"gonum.org/v1/gonum/mat\"", ""},
	{"core pure", "core/fit/a.go", doc + "import \"firnhand/core/decide\"", ""},
	{"core pure", "core/decide/a.go", doc + "import \"firnhand/core/fit\"", "arrows point inward"},
	{"core pure", "core/decide/a.go", doc + "import \"firnhand/programme\"", "arrows point inward"},
	{"core pure", "core/newpart/a.go", doc + "import \"firnhand/core/source\"", ""},
	{"core pure", "core/newpart/a.go", doc + "import \"firnhand/core/decide\"", "arrows point inward"},
	{"core pure", "core/fit/a_test.go", doc + "import \"os\"", ""},

	{"inward", "core/fit/a_test.go", doc + "import \"firnhand/programme\"", "arrows point inward"},
	{"inward", "core/fit/a_test.go", doc + "import \"firnhand/core/day\"", ""},
	{"inward", "programme/a.go", doc + "import \"firnhand/core/fit\"", ""},
	{"inward", "programme/a.go", doc + "import \"firnhand/internal/sqlite\"", "arrows point inward"},
	{"inward", "programme/a.go", doc + "import \"net/http\"", "the network is outside"},
	{"inward", "programme/a_test.go", doc + "import \"os\"", ""},
	{"inward", "programme/a_test.go", doc + "import \"firnhand/internal/clock\"", ""},
	{"inward", "programme/a.go", doc + "import \"firnhand/internal/clock\"", "arrows point inward"},
	{"inward", "internal/web/a.go", doc + "import \"firnhand/internal/clock\"", ""},
	{"inward", "internal/web/a.go", doc + "import \"firnhand/internal/web/page\"", ""},
	{"inward", "internal/web/a.go", doc + "import \"firnhand/internal/sqlite\"", "adapters do not know each other"},
	{"inward", "internal/web/a.go", doc + "import \"firnhand/demo\"", "loaded by internal/cli"},
	{"inward", "internal/web/a.go", doc + "import \"firnhand/internal/testkit\"", "adapters do not know each other"},
	{"inward", "internal/web/a_test.go", doc + "import \"firnhand/internal/testkit\"", ""},
	{"inward", "internal/web/a_test.go", doc + "import \"firnhand/internal/cli\"", "adapters do not know each other"},
	{"inward", "internal/cli/a.go", doc + "import \"firnhand/internal/sqlite\"", ""},
	{"inward", "internal/cli/a.go", doc + "import \"firnhand/tools/x\"", "nothing imports a command"},
	{"inward", "cmd/firnhand/a.go", doc + "import \"firnhand/internal/cli\"", ""},
	{"inward", "cmd/firnhand/a.go", doc + "import \"firnhand/internal/web\"", "only starts internal/cli"},
	{"inward", "demo/a.go", doc + "import \"firnhand/programme\"", ""},
	{"inward", "demo/a.go", doc + "import \"firnhand/internal/sqlite\"", "knows no adapter"},

	{"drivers", "internal/sqlite/a.go", doc + "import _ \"modernc.org/sqlite\"", ""},
	{"drivers", "internal/sqlite/a.go", doc + "import \"database/sql\"", ""},
	{"drivers", "internal/cli/a_test.go", doc + "import _ \"modernc.org/sqlite\"", "belongs to internal/sqlite"},
	{"drivers", "internal/web/a.go", doc + "import \"database/sql\"", "only a store speaks SQL"},

	{"documented", "core/fit/a.go", doc, ""},
	{"documented", "core/fit/a.go", "package x\n", "needs a comment that begins"},
	{"documented", "tools/a/main.go", "// Command a is invented.\npackage main\n", ""},
	{"documented", "tools/a/main.go", "// Package main is invented.\npackage main\n", "needs a comment that begins"},
	{"documented", "core/fit/a.go", doc + "func F() {}", "exported F"},
	{"documented", "core/fit/a.go", doc + "// F is.\nfunc F() {}\ntype t int\nfunc (t) M() {}", ""},
	{"documented", "core/fit/a.go", doc + "// T is.\ntype T int\nfunc (*T) M() {}", "exported M"},
	{"documented", "core/fit/a.go", doc + "type T int", "exported T"},
	{"documented", "core/fit/a.go", doc + "const (\nA = 1 // the first\n)", ""},
	{"documented", "core/fit/a.go", doc + "var A, B = 1, 2\nvar b int", "exported"},

	{"mapped", "core/fit/a.go", doc, "needs its line in ARCHITECTURE.md"},
	{"mapped", "core/fit/a_test.go", doc, ""},
	{"mapped", "ARCHITECTURE.md", "| `core/fit` | fits |\n", "core/fit is not a package"},
	{"mapped", "ARCHITECTURE.md", "| `core/...` | computes |\n", "core/... is not a package"},

	{"cited", "core/fit/a.go", doc + "const a = 1 // src: inch, S31", ""},
	{"cited", "core/fit/a.go", doc + "const a = 1 // src: inch, S99", `cites "S99"`},

	{"sourced", "core/fit/a.go", doc + "const a = 1.5", "1.5 needs its source"},
	{"sourced", "core/fit/a.go", doc + "const a = 1.5 // src: inch", ""},
	{"sourced", "core/fit/a.go", doc + "// exact: by definition\nconst a = 1.5", ""},
	{"sourced", "core/fit/a.go", doc + "// exact: by definition\n\nconst a = 1.5", "1.5 needs its source"},
	{"sourced", "core/fit/a.go", doc + "var a = []float64{0.0, 1.0, -1.0, 2.0, 0.5, 1e-9, 100.0, 0.001}", ""},
	{"sourced", "core/fit/a.go", doc + "var a = []float64{3, 1e-9, 1.01}", "1.01 needs its source"},
	{"sourced", "core/fit/a_test.go", doc + "const a = 1.5", ""},
	{"sourced", "internal/web/a.go", doc + "const a = 1.5", ""},

	{"parameters", "internal/sqlite/a.go", doc + "const q = `SELECT a FROM b WHERE c = ?`", ""},
	{"parameters", "internal/sqlite/a.go", doc + "const q = `SELECT a ` + `FROM b`", ""},
	{"parameters", "internal/sqlite/a.go", doc + "var t, q = `b`, `SELECT a FROM ` + t", "never put together"},
	{"parameters", "internal/sqlite/a.go", doc + "var q = f(t + ` WHERE c = ` + (u))", "never put together"},
	{"parameters", "internal/sqlite/a.go", doc + "func f(q string) { q += ` AND c = 1` }", "never put together"},
	{"parameters", "internal/sqlite/a.go", doc + "var q = fmt.Sprintf(`DELETE FROM %s`, t)", "never put together"},
	{"parameters", "internal/sqlite/a.go", doc + "var q = fmt.Sprintf(`%d selected`, n) + g(`x`)", ""},
	{"parameters", "internal/sqlite/a.go", doc + "func f(b *w) { b.WriteString(`SELECT a FROM b`) }", "never put together"},
	{"parameters", "internal/web/a.go", doc + "var q = fmt.Sprintf(`Select a student of %s`, n) + `Update ` + n", ""},

	{"timeless", "internal/web/a.go", doc + "var a = time.Now()", "only internal/clock asks"},
	{"timeless", "internal/web/a.go", doc + "var a = time.Since(b)", "time.Since"},
	{"timeless", "internal/web/a.go", doc + "var a = clock.Now()", ""},
	{"timeless", "internal/clock/a.go", doc + "var a = time.Now()", ""},
	{"timeless", "internal/web/a_test.go", doc + "var a = time.Now()", ""},

	{"short", "docs/a.md", strings.Repeat(long, 800), ""},
	{"short", "docs/a.md", strings.Repeat(long, 801), "801 lines"},
	{"short", "core/decide/a.rules", strings.Repeat(long, 801), ""},
	{"short", "internal/web/a.go", "// Code generated by x. DO NOT EDIT.\n\n" + doc + strings.Repeat("\n", 801), ""},
	{"short", "SOURCES.md", "<!-- Generated. DO NOT EDIT. -->\n" + strings.Repeat(long, 801), ""},

	{"words", "README.md", "all is well\n", ""},
	{"words", "README.md", "well\nthis will hope" + "fully do\n", "README.md:2"},
	{"words", "core/fit/a.go", doc + "// TO" + "DO: later", "does not wait in code"},
	{"words", "core/fit/a.go", doc + "// a mastodon\nvar toDo = 1", ""},

	{"hosts", "internal/web/a.html", "<a href=\"http://127.0.0.1:8737/\">\n<svg xmlns=\"http://www.w3.org/2000/svg\">", ""},
	{"hosts", "internal/web/a.html", "<script src=\"https://cdn.invalid/x.js\">", "points to another machine"},
	{"hosts", "internal/web/a.go", doc + "// See https://cdn.invalid/x.\nconst a = 1", ""},
	{"hosts", "internal/web/a.go", doc + "const a = `https://cdn.invalid/x`", "points to another machine"},
	{"hosts", "Makefile", "run:\n\techo http://$(ADDR)\n", ""},
	{"hosts", "README.md", "https://cdn.invalid/x", ""},
}

func TestEveryRuleCanFail(t *testing.T) {
	failed := map[string]bool{}
	check := map[string]func(*rules.Tree) []rules.Problem{}
	for _, r := range rules.All() {
		check[r.Name] = r.Check
	}
	for _, f := range fixtures {
		tree, err := rules.Load(fstest.MapFS{f.file: {Data: []byte(f.text)}})
		if err != nil {
			t.Fatalf("%s: %v", f.file, err)
		}
		if check[f.rule] == nil {
			t.Fatalf("there is no rule %q", f.rule)
		}
		problems := check[f.rule](tree)
		switch {
		case f.want == "" && len(problems) > 0:
			t.Errorf("%s should let this pass, but says %v:\n%s", f.rule, problems, f.text)
		case f.want != "" && (len(problems) == 0 || !strings.Contains(problems[0].String(), f.want)):
			t.Errorf("%s should say %q, but says %v:\n%.200s", f.rule, f.want, problems, f.text)
		case f.want != "":
			failed[f.rule] = true
		}
	}
	for _, r := range rules.All() {
		if !failed[r.Name] {
			t.Errorf("no fixture shows that %q can fail", r.Name)
		}
	}
}

// A package and its line in the map agree, and one line is enough.
func TestMapAgrees(t *testing.T) {
	files := fstest.MapFS{
		"ARCHITECTURE.md":       {Data: []byte("# Map\n\n| `core/fit` | fits |\n| `internal/web/...` | pages |\n")},
		"core/fit/a.go":         {Data: []byte(doc)},
		"internal/web/one/a.go": {Data: []byte(doc)},
		"internal/web/two/a.go": {Data: []byte(doc)},
	}
	mapped := func() []rules.Problem {
		tree, err := rules.Load(files)
		if err != nil {
			t.Fatal(err)
		}
		return rules.Mapped(tree)
	}
	if p := mapped(); len(p) > 0 {
		t.Error(p)
	}
	files["ARCHITECTURE.md"].Data = append(files["ARCHITECTURE.md"].Data, "| `core/fit` | fits |\n"...)
	if p := mapped(); len(p) != 1 || !strings.Contains(p[0].What, "two lines") {
		t.Error(p)
	}
}

func TestLoadSkipsWhatTheHouseDidNotWrite(t *testing.T) {
	tree, err := rules.Load(fstest.MapFS{
		"e2e/node_modules/a/b.js":   {Data: []byte("x")},
		"core/fit/testdata/a.go":    {Data: []byte("not go")},
		"core/fit/tables/numbers.x": {Data: []byte("1")},
		"core/fit/a.go":             {Data: []byte(doc)},
	})
	if err != nil || len(tree.Files) != 1 {
		t.Errorf("%v %v", tree, err)
	}
	if _, err := rules.Load(fstest.MapFS{"core/fit/a.go": {Data: []byte("not go")}}); err == nil {
		t.Error("a file that does not parse must be reported")
	}
}
