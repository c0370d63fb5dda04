// Command simulate plays phones, a server and the network between them from
// many seeds, and says which of them broke a promise of the exchange.
//
//	go run ./tools/simulate -seeds 200000 -log docs/reference/simulation.txt
//	go run ./tools/simulate -seed 42 -trace
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"time"

	"firnhand/internal/exchange"
	"firnhand/internal/sim"
)

func main() {
	seeds := flag.Int("seeds", 2000, "how many seeds are played")
	first := flag.Uint64("seed", 1, "the first of them")
	trace := flag.Bool("trace", false, "play only the first seed and print every step")
	broken := flag.String("break", "", "put a fault in on purpose: one of the names printed by -breaks")
	breaks := flag.Bool("breaks", false, "list the faults that can be put in")
	at := flag.String("commit", "", "what is played, for the log; without it git is asked")
	path := flag.String("log", "", "file to write the same lines to")
	flag.Parse()
	out := io.Writer(os.Stdout)
	switch {
	case *breaks:
		for _, b := range sim.Breaks {
			fmt.Println(b)
		}
		return
	case *trace:
		r := sim.Trace(*first, sim.Break(*broken), func(line string) { fmt.Println(line) })
		fmt.Println(r.At, r.Wrong)
		return
	case *path != "":
		f, err := os.Create(*path)
		if err != nil {
			fmt.Fprintln(os.Stderr, "simulate:", err)
			os.Exit(2)
		}
		defer f.Close()
		out = io.MultiWriter(os.Stdout, f)
	}
	if !run(out, *at, *first, *seeds, sim.Break(*broken)) {
		os.Exit(1)
	}
}

// run plays the seeds and prints what came of them.
func run(out io.Writer, at string, first uint64, seeds int, broken sim.Break) bool {
	began := time.Now()
	if at == "" {
		at = commit()
	}
	fmt.Fprintf(out, "seeds %d to %d, commit %s, fault put in: %q\n", first, first+uint64(seeds)-1, at, broken)
	taken := map[exchange.Taking]int{}
	var sum sim.Report
	wrong, swizzles, rounds := 0, 0, map[int]int{}
	for k := range seeds {
		r := sim.Run(first+uint64(k), broken)
		if r.Wrong != "" {
			wrong++
			fmt.Fprintf(out, "seed=%d, %s: %s\n", r.Seed, r.At, r.Wrong)
		}
		sum.Steps, sum.Items, sum.Sent, sum.Held = sum.Steps+r.Steps, sum.Items+r.Items, sum.Sent+r.Sent, sum.Held+r.Held
		sum.Aside, sum.Gone = sum.Aside+r.Aside, sum.Gone+r.Gone
		rounds[r.Rounds]++
		if r.Swizzle {
			swizzles++
		}
		for w, n := range r.Taken {
			taken[w] += n
		}
		if (k+1)%10000 == 0 {
			fmt.Fprintf(out, "%d plays, %d broke a promise, %s\n", k+1, wrong, time.Since(began).Round(time.Second))
		}
	}
	cells := map[[2]string]bool{}
	for w := range taken {
		cells[[2]string{string(w.Mode), string(w.Event)}] = true
	}
	fmt.Fprintf(out, "%d plays (%d with links cut and restored in another order), %d steps, %d items recorded\n", seeds, swizzles, sum.Steps, sum.Items)
	fmt.Fprintf(out, "in the records %d, held for the lead %d, set aside and visible %d, destroyed with a phone %d\n", sum.Sent, sum.Held, sum.Aside, sum.Gone)
	fmt.Fprintf(out, "quiet rounds until all was sent: one %d, two %d, three %d\n", rounds[1], rounds[2], rounds[3])
	fmt.Fprintf(out, "%d cells and %d ways of the table were taken\n", len(cells), len(taken))
	fmt.Fprintf(out, "%d broke a promise; %s\n", wrong, time.Since(began).Round(time.Second))
	return wrong == 0
}

// commit names what is played, as far as that can be found out.
func commit() string {
	b, err := exec.Command("git", "describe", "--always", "--dirty").Output()
	if err != nil {
		return "unknown"
	}
	return strings.TrimSpace(string(b))
}
