package rules

import (
	"go/ast"
	"slices"
	"strings"
)

// coreOrder is the order in which the parts of the core may know each other:
// a part may import those before it. It is the loop of the work itself, from
// what is observed to the plan of the day.
var coreOrder = []string{
	"core/quantity", "core/source", "core/entry",
	"core/finding", "core/decide", "core/body", "core/fit", "core/stance", "core/binding",
	"core/slope", "core/lift", "core/effort", "core/cold",
	"core/ladder", "core/progress", "core/lesson", "core/day",
}

// coreAllowed is the part of the standard library that computes and nothing
// else.
var coreAllowed = []string{
	"bytes", "cmp", "container/heap", "embed", "errors", "fmt", "iter", "maps", "math", "math/big", "math/bits",
	"math/cmplx", "slices", "sort", "strconv", "strings", "unicode", "unicode/utf8",
	"encoding/csv", "io", "io/fs", // core/source reads its embedded tables with these
	"sync", // for reading those tables once
}

// coreReasons says why the more tempting packages are not in that list.
var coreReasons = map[string]string{
	"archive":       "adapters read and write formats",
	"container":     "not used yet; add it to the list with its use",
	"context":       "the core waits for nothing",
	"crypto":        "the core has no secrets and no randomness",
	"database/sql":  "the core knows no store",
	"encoding":      "adapters read and write formats, and the core stays small on the phone",
	"github.com":    "the core needs only the standard library and gonum",
	"golang.org/x":  "the core needs only the standard library and gonum",
	"hash":          "the core makes no ids",
	"html":          "the core draws no pages",
	"log":           "the core reports by its results",
	"math/rand":     "randomness is passed in through a seed",
	"modernc.org":   "the core knows no store",
	"net":           "the core knows no network",
	"os":            "the core knows no files and no environment",
	"path":          "the core knows no files",
	"reflect":       "the core stays small on the phone",
	"regexp":        "the core stays small on the phone",
	"runtime":       "the core gives the same numbers on every machine",
	"sync/atomic":   "the core runs on one goroutine",
	"syscall":       "the core knows no machine",
	"testing":       "only tests test",
	"text/template": "the core prints no pages",
	"time":          "time is passed in as a number of days or minutes",
	"unsafe":        "the core trusts the compiler",
	Module:          "arrows point inward",
}

const coreLibrary = "gonum.org/v1/gonum"

// CorePure finds imports of the core that are neither pure computation nor an
// earlier part of the core.
func CorePure(t *Tree) []Problem {
	var found []Problem
	files := t.goFiles(func(f File) bool { return f.In("core") && !f.Test() })
	t.imports(files, func(f File, spec *ast.ImportSpec, imported string) {
		if slices.Contains(coreAllowed, imported) || within(imported, coreLibrary) {
			return
		}
		if dir, ok := own(imported); ok {
			if slices.Contains(coreBefore(f.Dir()), dir) || dir == f.Dir() {
				return
			}
		}
		found = append(found, Problem{t.at(spec), "the core may not import " + imported + ": " + coreReason(imported)})
	})
	return found
}

// coreBefore lists the parts a part of the core may import.
func coreBefore(dir string) []string {
	i := slices.IndexFunc(coreOrder, func(part string) bool { return within(dir, part) })
	if i < 0 {
		return coreOrder[:2] // a part not in the order yet knows only quantities and sources
	}
	return coreOrder[:i]
}

func coreReason(imported string) string {
	reason, longest := "it is not in the list of what only computes", 0
	for prefix, why := range coreReasons {
		if within(imported, prefix) && len(prefix) > longest {
			reason, longest = why, len(prefix)
		}
	}
	return reason
}

// leaves are the packages under internal that adapters may share, and why.
var leaves = map[string]string{
	"internal/clock":    "time is handed in",
	"internal/exchange": "phone, server and simulation speak one protocol",
	"internal/hill":     "the page for a phone is files",
	"internal/picture":  "one drawing serves screen, card and phone",
	"internal/paper":    "card and sheets are set in the same type and written the same way",
}

// meeting lists the packages that may know every adapter, and why.
var meeting = map[string]string{
	"internal/cli":     "the adapters meet here",
	"internal/testkit": "tests need the adapters put together",
}

// programmeBanned is what the records of a programme may not know, and why.
var programmeBanned = map[string]string{
	"database/sql":  "the store is behind a port",
	"net":           "the network is outside",
	"os":            "files are outside",
	"html":          "pages are outside",
	"log":           "errors carry their cause; the adapters log",
	"math/rand":     "randomness is passed in",
	"embed":         "the records carry no files",
	"text/template": "pages are outside",
}

// Inward finds imports that point outward: from the programme to an adapter,
// from one adapter to another, from anything to the commands.
func Inward(t *Tree) []Problem {
	var found []Problem
	files := t.goFiles(func(f File) bool { return !f.In("core") || f.Test() })
	t.imports(files, func(f File, spec *ast.ImportSpec, imported string) {
		if why := outward(f, imported); why != "" {
			found = append(found, Problem{t.at(spec), "may not import " + imported + ": " + why})
		}
	})
	return found
}

// outward says why a file may not import a package; "" where it may.
func outward(f File, imported string) string {
	to, house := own(imported)
	switch {
	case house && (within(to, "cmd") || within(to, "tools") || within(to, "e2e")):
		return "nothing imports a command"
	case f.In("core") || f.In("programme"):
		return fromWithin(f, imported, to, house)
	case f.In("internal"):
		if house {
			return fromAdapter(f, to)
		}
	case f.In("cmd"):
		if house && !within(to, "internal/cli") {
			return "a command only starts internal/cli"
		}
	case f.In("demo"):
		if house && !within(to, "core") && !within(to, "programme") && !within(to, "demo") {
			return "the invented programme is facts, and knows no adapter"
		}
	}
	return ""
}

func fromWithin(f File, imported, to string, house bool) string {
	if house {
		if within(to, "core") || f.In("programme") && within(to, "programme") {
			return ""
		}
		if f.In("programme") && f.Test() && to == "internal/clock" {
			return "" // so that a test can hold time still
		}
		return "arrows point inward"
	}
	if f.In("programme") && !f.Test() {
		for banned, why := range programmeBanned {
			if within(imported, banned) {
				return why
			}
		}
	}
	return ""
}

func fromAdapter(f File, to string) string {
	if !within(to, "internal") && !within(to, "demo") {
		return ""
	}
	from := adapter(f.Dir())
	switch _, shared := leaves[adapter(to)]; {
	case meeting[from] != "", adapter(to) == from, shared:
		return ""
	case f.Test() && meeting[adapter(to)] != "" && adapter(to) != "internal/cli":
		return ""
	case within(to, "demo"):
		return "the invented programme is loaded by internal/cli"
	}
	return "adapters do not know each other; they meet in internal/cli"
}

// adapter cuts a folder below internal to its first two parts.
func adapter(dir string) string {
	parts := strings.SplitN(dir, "/", 3)
	return strings.Join(parts[:min(2, len(parts))], "/")
}

// drivers are the SQL drivers known to this rule, with the adapter each
// belongs to.
var drivers = map[string]string{
	"modernc.org/sqlite":            "internal/sqlite",
	"github.com/mattn/go-sqlite3":   "internal/sqlite",
	"github.com/ncruces/go-sqlite3": "internal/sqlite",
	"zombiezen.com/go/sqlite":       "internal/sqlite",
	"github.com/jackc/pgx":          "internal/postgres",
	"github.com/lib/pq":             "internal/postgres",
}

// Drivers finds SQL drivers, and database/sql itself, imported outside the
// store they belong to. Tests are no exception.
func Drivers(t *Tree) []Problem {
	var found []Problem
	t.imports(t.goFiles(func(File) bool { return true }), func(f File, spec *ast.ImportSpec, imported string) {
		for driver, home := range drivers {
			if within(imported, driver) && !f.In(home) {
				found = append(found, Problem{t.at(spec), "only a store imports its SQL driver, and " + imported + " belongs to " + home})
			}
		}
		if within(imported, "database/sql") && !f.In("internal/sqlite") && !f.In("internal/postgres") {
			found = append(found, Problem{t.at(spec), "only a store speaks SQL"})
		}
	})
	return found
}
