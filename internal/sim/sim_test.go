package sim_test

import (
	"flag"
	"fmt"
	"slices"
	"testing"
	"time"

	"firnhand/internal/exchange"
	"firnhand/internal/sim"
)

var (
	seeds = flag.Int("seeds", 2000, "how many seeds are played")
	first = flag.Uint64("seed", 1, "the first of them")
)

// No play breaks a promise, and the plays together take the ways of the table.
func TestPlays(t *testing.T) {
	began := time.Now()
	taken := map[exchange.Taking]int{}
	var total sim.Report
	wrong := 0
	for seed := *first; seed < *first+uint64(*seeds); seed++ {
		r := sim.Run(seed, sim.Sound)
		if r.Wrong != "" {
			t.Errorf("seed=%d, %s: %s", seed, r.At, r.Wrong)
			if wrong++; wrong > 10 {
				t.FailNow()
			}
		}
		total.Steps += r.Steps
		total.Items += r.Items
		total.Sent += r.Sent
		total.Held += r.Held
		total.Aside += r.Aside
		total.Gone += r.Gone
		total.Rounds = max(total.Rounds, r.Rounds)
		for k, n := range r.Taken {
			taken[k] += n
		}
	}
	t.Logf("%d plays, %d steps, %d items: %d in the store, %d before the lead, %d set aside, %d destroyed with a phone; at most %d quiet rounds; %v",
		*seeds, total.Steps, total.Items, total.Sent, total.Held, total.Aside, total.Gone, total.Rounds, time.Since(began).Round(time.Millisecond))
	all, missed := 0, []string{}
	for m, row := range exchange.Standing {
		for e, c := range row {
			for i := range c.Ways {
				all++
				if taken[exchange.Taking{Mode: m, Event: e, Way: i}] == 0 {
					missed = append(missed, fmt.Sprintf("%s %s %d", m, e, i))
				}
			}
		}
	}
	slices.Sort(missed)
	t.Logf("%d of %d ways of the table were taken", all-len(missed), all)
	for _, m := range missed {
		t.Log("not taken: ", m)
	}
	cells := map[[2]string]bool{}
	for w := range taken {
		cells[[2]string{string(w.Mode), string(w.Event)}] = true
	}
	// The rest is tried from states made at random, in package exchange.
	if least := 120; *seeds >= 2000 && len(cells) < least {
		t.Errorf("the plays came to %d cells of the table, fewer than %d", len(cells), least)
	}
}

// Each fault put in on purpose is found, by what it breaks.
func TestBreaksAreFound(t *testing.T) {
	for _, b := range sim.Breaks {
		t.Run(string(b), func(t *testing.T) {
			for seed := uint64(1); seed <= 300; seed++ {
				if r := sim.Run(seed, b); r.Wrong != "" {
					t.Logf("seed=%d: %s", seed, r.Wrong)
					return
				}
			}
			t.Error("300 plays did not find it")
		})
	}
}
