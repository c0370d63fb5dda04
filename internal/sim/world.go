package sim

import (
	"container/heap"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"firnhand/internal/exchange"
	"firnhand/programme"
)

// Break is a fault put into the play on purpose, to see that it is found.
type Break string

// The faults.
const (
	Sound          Break = ""
	AcksTooSoon    Break = "server acknowledges before it has written"
	SaysSavedEarly Break = "page says saved before storage confirms"
	NewIDEachTry   Break = "items get a new id at each try"
	DropsSetAside  Break = "storage drops what the server refused"
	WipesUnchecked Break = "phone is emptied without asking for checksums"
	SendsOthers    Break = "items of others go with whoever is signed in"
	SkipsAhead     Break = "server goes on after an item it could not take"
	StaysOpen      Break = "a revoked phone keeps its day"
)

// Breaks lists them.
var Breaks = []Break{AcksTooSoon, SaysSavedEarly, NewIDEachTry, DropsSetAside, WipesUnchecked, SendsOthers, SkipsAhead, StaysOpen}

// Report is what a play came to.
type Report struct {
	Seed    uint64
	Wrong   string // the first breach; "" none
	At      string // when, in the play
	Steps   int
	Items   int // recorded
	Sent    int // in the store at the end
	Held    int // before the lead
	Aside   int // set aside on a phone at the end
	Gone    int // destroyed with a phone's storage before they were sent
	Rounds  int // quiet rounds until everything was sent
	Swizzle bool
	Taken   map[exchange.Taking]int // ways of the table, how often
}

const (
	second = 1000
	minute = 60 * second
	hour   = 60 * minute
)

// origin is when a play begins.
var origin = time.Date(2027, 1, 14, 7, 30, 0, 0, time.UTC)

// due is something that will happen.
type due struct {
	at, n int64
	do    func()
}

type dues []due

func (d dues) Len() int { return len(d) }
func (d dues) Less(a, b int) bool {
	return d[a].at < d[b].at || d[a].at == d[b].at && d[a].n < d[b].n
}
func (d dues) Swap(a, b int) { d[a], d[b] = d[b], d[a] }
func (d *dues) Push(x any)   { *d = append(*d, x.(due)) }
func (d *dues) Pop() any     { o := *d; x := o[len(o)-1]; *d = o[:len(o)-1]; return x }

// world is one play.
type world struct {
	seed     uint64
	broken   Break
	r        *rand.Rand
	now      int64 // ms since the beginning
	n        int64
	queue    dues
	ctx      context.Context
	table    exchange.Table
	quiet    bool  // no more faults
	calmFrom int64 // since when
	finish   bool  // everybody is done for the day at the end
	trace    func(string)

	server   *server
	phones   []*phone
	people   []programme.Actor // lead first
	students []programme.ID
	items    map[string]*fate
	order    []*fate // as recorded
	report   Report
}

// Run plays one seed.
func Run(seed uint64, broken Break) Report { return Trace(seed, broken, nil) }

// Trace is Run that also tells every step of every page, for looking into one
// play.
func Trace(seed uint64, broken Break, tell func(string)) Report {
	return playOf(seed, broken, tell).report
}

func playOf(seed uint64, broken Break, tell func(string)) *world {
	w := &world{seed: seed, broken: broken, r: rand.New(rand.NewPCG(seed, 0x6669726e)), ctx: context.Background(), items: map[string]*fate{},
		table: exchange.Standing}
	w.trace = tell
	w.report = Report{Seed: seed, Taken: map[exchange.Taking]int{}}
	if broken == WipesUnchecked {
		w.table = unchecked()
	}
	w.play()
	return w
}

// unchecked is the table without the question for checksums.
func unchecked() exchange.Table {
	t := exchange.Table{}
	for m, row := range exchange.Standing {
		t[m] = map[exchange.EventKind]exchange.Cell{}
		for e, c := range row {
			ways := slices.Clone(c.Ways)
			for i := range ways {
				if ways[i].To == exchange.Checking && ways[i].If != "" {
					ways[i].To, ways[i].Do = exchange.Wiping, []exchange.Action{"wipe"}
				}
			}
			t[m][e] = exchange.Cell{Do: c.Do, Ways: ways}
		}
	}
	return t
}

// Now implements programme.Clock: the server's clock is the right one.
func (w *world) Now() time.Time { return origin.Add(time.Duration(w.now) * time.Millisecond) }

// Read makes the randomness of ids.
func (w *world) Read(b []byte) (int, error) {
	for i := 0; i < len(b); i += 8 {
		var word [8]byte
		binary.LittleEndian.PutUint64(word[:], w.r.Uint64())
		copy(b[i:], word[:])
	}
	return len(b), nil
}

func (w *world) id() string {
	id, err := programme.NewID(w.Now(), w)
	if err != nil {
		panic(err)
	}
	return string(id)
}

// chance is true in so many of a thousand cases.
func (w *world) chance(perMille int) bool { return w.r.IntN(1000) < perMille }

// between returns a number from low up to high.
func (w *world) between(low, high int64) int64 { return low + w.r.Int64N(high-low+1) }

// in does something later.
func (w *world) in(ms int64, do func()) {
	w.n++
	heap.Push(&w.queue, due{w.now + max(0, ms), w.n, do})
}

// wrong notes the first breach.
func (w *world) wrong(format string, a ...any) {
	if w.report.Wrong == "" {
		w.report.Wrong = fmt.Sprintf(format, a...)
		w.report.At = w.Now().Format("2 Jan 15:04:05.000")
	}
}

// until lets happen what is due by then.
func (w *world) until(at int64) {
	for len(w.queue) > 0 && w.queue[0].at <= at && w.report.Wrong == "" {
		d := heap.Pop(&w.queue).(due)
		w.now = d.at
		w.report.Steps++
		d.do()
		if w.report.Steps > 200_000 {
			w.wrong("the play does not come to rest")
		}
	}
	w.now = max(w.now, at)
}
