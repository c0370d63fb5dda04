// Package clock is the only place that asks the machine for the time.
//
// Everything else is handed a [Clock], so a test can hold time still and a
// record can be made again exactly as it was.
package clock

import (
	"sync"
	"time"
)

// Clock tells the time.
type Clock interface {
	// Now returns the present moment, in UTC.
	Now() time.Time
}

// System is the machine's clock.
type System struct{}

// Now returns the machine's time in UTC, without the monotonic reading, so
// that a time stored and read back equals the one that was stored.
func (System) Now() time.Time { return time.Now().UTC().Round(0) }

// Fixed is a clock that stands still until it is moved. It may be used from
// several goroutines; the zero value stands at the zero time.
type Fixed struct {
	mu  sync.Mutex
	now time.Time
}

// At returns a clock that stands at t.
func At(t time.Time) *Fixed { return &Fixed{now: t.UTC().Round(0)} }

// Now returns the moment the clock stands at.
func (c *Fixed) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// Advance moves the clock by d, which may be negative.
func (c *Fixed) Advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}
