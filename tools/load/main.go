// Command load tries the built program as a busy morning does, and says how
// long answers took.
//
//	go run ./tools/load -bin bin/firnhand                      30 people open their pages for a minute, 10 exchanges a second
//	go run ./tools/load -bin bin/firnhand -soak 8h -restart 1h lighter, for hours, with restarts: does anything grow?
//
// It loads the invented programme into a folder of its own, serves it on
// loopback, and removes it. Targets (trust.md S11 and S12): p95 100 ms, p99
// 250 ms, no error; memory grows by at most 1 MB an hour, open files and
// goroutines not at all. The exit code is 1 when one is missed.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

var (
	bin       = flag.String("bin", "bin/firnhand", "the built program")
	people    = flag.Int("people", 30, "people who open their pages")
	each      = flag.Float64("exchanges", 10, "exchanges of phones a second, all together")
	lasting   = flag.Duration("for", time.Minute, "how long the load lasts")
	think     = flag.Duration("think", 3*time.Second, "between two pages of one person, on average")
	soak      = flag.Duration("soak", 0, "instead: run for so long and watch for growth")
	restart   = flag.Duration("restart", time.Hour, "with -soak: time between restarts of the server")
	seed      = flag.Uint64("seed", 0, "seed of the order of pages; 0 takes a new one")
	asJSON    = flag.Bool("json", false, "print figures as JSON")
	mostP95MS = flag.Float64("p95-ms", 100, "target")
	mostP99MS = flag.Float64("p99-ms", 250, "target")
)

func main() {
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	ok, err := run(ctx)
	if err != nil {
		fmt.Fprintln(os.Stderr, "load:", err)
		os.Exit(2)
	}
	if !ok {
		os.Exit(1)
	}
}

func run(ctx context.Context) (bool, error) {
	if *seed == 0 {
		*seed = rand.Uint64()
	}
	dir, err := os.MkdirTemp("", "firnhand-load-")
	if err != nil {
		return false, err
	}
	defer os.RemoveAll(dir)
	data := filepath.Join(dir, "records.db")
	logins, err := loadDemo(ctx, data)
	if err != nil {
		return false, err
	}
	if *soak > 0 {
		return soakFor(ctx, data, logins)
	}
	srv, err := serve(ctx, data)
	if err != nil {
		return false, err
	}
	defer srv.stop()
	crowd, entering, err := signInAll(ctx, srv.base, logins, *people)
	if err != nil {
		return false, err
	}
	before := srv.figures(ctx)
	rec := &record{}
	morning(ctx, crowd, rec, *lasting, *each, *think)
	after := srv.figures(ctx)
	return report(rec, entering, before, after), nil
}

// record collects how long answers took, by what was asked.
type record struct {
	mu     sync.Mutex
	took   map[string][]float64 // ms
	failed map[string]int
	first  map[string]string // the first failure of each kind
}

func (r *record) add(what string, took time.Duration, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.took == nil {
		r.took, r.failed, r.first = map[string][]float64{}, map[string]int{}, map[string]string{}
	}
	if err != nil {
		r.failed[what]++
		if r.first[what] == "" {
			r.first[what] = err.Error()
		}
		return
	}
	r.took[what] = append(r.took[what], float64(took.Microseconds())/1000)
}

// line is what is said about one kind of request.
type line struct {
	What   string  `json:"what"`
	N      int     `json:"n"`
	Failed int     `json:"failed"`
	P50    float64 `json:"p50_ms"`
	P95    float64 `json:"p95_ms"`
	P99    float64 `json:"p99_ms"`
	Max    float64 `json:"max_ms"`
	First  string  `json:"first_failure,omitempty"`
}

// quantile is the smallest value that at least a share q of all does not
// exceed (nearest rank).
func quantile(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	i := int(q*float64(len(sorted))+0.999999) - 1
	return sorted[min(max(i, 0), len(sorted)-1)]
}

func lineOf(what string, took []float64, failed int, first string) line {
	slices.Sort(took)
	l := line{What: what, N: len(took), Failed: failed, First: first}
	l.P50, l.P95, l.P99 = quantile(took, 0.50), quantile(took, 0.95), quantile(took, 0.99)
	if len(took) > 0 {
		l.Max = took[len(took)-1]
	}
	return l
}

func (r *record) lines() (kinds []line, all line) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var everything []float64
	failed, first := 0, ""
	names := map[string]bool{}
	for what := range r.took {
		names[what] = true
	}
	for what := range r.failed {
		names[what] = true
	}
	for what := range names {
		kinds = append(kinds, lineOf(what, slices.Clone(r.took[what]), r.failed[what], r.first[what]))
		everything = append(everything, r.took[what]...)
		failed += r.failed[what]
		if r.first[what] != "" {
			first = r.first[what]
		}
	}
	slices.SortFunc(kinds, func(a, b line) int { return b.N - a.N })
	return kinds, lineOf("all", everything, failed, first)
}

func report(rec *record, entering []float64, before, after map[string]float64) bool {
	kinds, all := rec.lines()
	in := lineOf("sign-in, one after the other", entering, 0, "")
	ok := all.N > 0 && all.Failed == 0 && all.P95 <= *mostP95MS && all.P99 <= *mostP99MS
	cpu := after["process_cpu_seconds_total"] - before["process_cpu_seconds_total"]
	rss := after["process_resident_memory_bytes"]
	if *asJSON {
		b, _ := json.MarshalIndent(map[string]any{"people": *people, "exchanges_per_s": *each, "lasted_s": lasting.Seconds(), "seed": *seed, "kinds": kinds, "all": all, "sign_in": in,
			"server_cpu_s": cpu, "server_memory_bytes": rss, "target_p95_ms": *mostP95MS, "target_p99_ms": *mostP99MS, "ok": ok}, "", "  ")
		fmt.Println(string(b))
		return ok
	}
	fmt.Printf("%d people for %v, a page every %v, and %g exchanges a second; seed=%d\n", *people, *lasting, *think, *each, *seed)
	for _, l := range append(append(kinds, all), in) {
		fmt.Printf("%-34s %6d  p50 %7.1f  p95 %7.1f  p99 %7.1f  max %7.1f ms  failed %d %s\n", l.What, l.N, l.P50, l.P95, l.P99, l.Max, l.Failed, l.First)
	}
	fmt.Printf("the server used %.1f s of processor and %.0f MiB\n", cpu, rss/(1<<20))
	if !ok {
		fmt.Printf("MISSED: p95 at most %g ms, p99 at most %g ms, no failure\n", *mostP95MS, *mostP99MS)
	}
	return ok
}
