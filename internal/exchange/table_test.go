package exchange_test

import (
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"firnhand/internal/exchange"
)

var update = flag.Bool("update", false, "write the table into docs/reference/exchange.md")

// The table is complete: every mode has a cell for every event, save replies
// in modes in which no request of their kind is under way, which come as late.
func TestTableIsComplete(t *testing.T) {
	replies := map[exchange.EventKind][]exchange.Mode{
		exchange.Answered: {exchange.Sending}, exchange.Packed: {exchange.Fetching}, exchange.Summed: {exchange.Checking},
	}
	asking := []exchange.Mode{exchange.Sending, exchange.Fetching, exchange.Checking}
	for _, e := range []exchange.EventKind{exchange.NoAnswer, exchange.NotOurs, exchange.SignOut, exchange.Other, exchange.Revoke, exchange.TooLong} {
		replies[e] = asking
	}
	cells := 0
	for _, m := range exchange.Modes {
		for _, e := range exchange.Events {
			c, there := exchange.Standing[m][e]
			in, reply := replies[e]
			if want := !reply || slices.Contains(in, m); want != there {
				t.Errorf("%s, %s: a cell is there: %v, wanted: %v", m, e, there, want)
			}
			if !there {
				continue
			}
			cells++
			if len(c.Ways) == 0 || c.Ways[len(c.Ways)-1].If != "" {
				t.Errorf("%s, %s: the last way has a guard, so there may be no way on", m, e)
			}
			for i, w := range c.Ways {
				if w.If == "" && i < len(c.Ways)-1 {
					t.Errorf("%s, %s: ways after %d are never taken", m, e, i)
				}
				if w.If != "" && !slices.Contains(exchange.Guards, w.If) {
					t.Errorf("%s, %s: no guard %q", m, e, w.If)
				}
				if !slices.Contains(exchange.Modes, w.To) {
					t.Errorf("%s, %s: no mode %q", m, e, w.To)
				}
				for _, a := range append(slices.Clone(c.Do), w.Do...) {
					if !slices.Contains(exchange.Actions, a) {
						t.Errorf("%s, %s: no action %q", m, e, a)
					}
				}
			}
		}
		if n := len(exchange.Standing[m]); n > len(exchange.Events) {
			t.Errorf("%s has %d cells for %d events", m, n, len(exchange.Events))
		}
	}
	t.Logf("%d modes, %d events, %d cells, %d replies that come late", len(exchange.Modes), len(exchange.Events), cells, len(exchange.Modes)*len(exchange.Events)-cells)
}

const page = "../../docs/reference/exchange.md"

// The page of reference shows the table as it is.
func TestTableInTheDocsIsCurrent(t *testing.T) {
	const begin, end = "<!-- table: begin -->\n", "<!-- table: end -->"
	b, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(b), begin)
	old, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the table", page)
	}
	want := exchange.Standing.Describe()
	if strings.Contains(want, "|  |\n") {
		t.Error("a name of the table has no meaning")
	}
	if old == want {
		return
	}
	if !*update {
		t.Fatalf("the table in %s is not that of the code; go test ./internal/exchange -run Docs -update writes it", page)
	}
	if err := os.WriteFile(page, []byte(before+begin+want+end+after), 0o644); err != nil {
		t.Fatal(err)
	}
}
