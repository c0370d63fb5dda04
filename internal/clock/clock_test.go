package clock_test

import (
	"encoding/json"
	"testing"
	"time"

	"firnhand/internal/clock"
)

var _ = []clock.Clock{clock.System{}, clock.At(time.Time{})}

func TestSystemReadsBackEqual(t *testing.T) {
	before := time.Now()
	now := clock.System{}.Now()
	if now.Before(before.Add(-time.Second)) || now.After(time.Now().Add(time.Second)) {
		t.Errorf("the machine says %v, the clock %v", before, now)
	}
	text, err := json.Marshal(now)
	if err != nil {
		t.Fatal(err)
	}
	var back time.Time
	if err := json.Unmarshal(text, &back); err != nil || back != now {
		t.Errorf("%v came back as %v (%v)", now, back, err)
	}
}

func TestFixed(t *testing.T) {
	at := time.Date(2026, 1, 17, 8, 30, 0, 0, time.FixedZone("", 3600))
	c := clock.At(at)
	if !c.Now().Equal(at) || c.Now().Location() != time.UTC {
		t.Errorf("stands at %v", c.Now())
	}
	c.Advance(90 * time.Minute)
	if want := at.Add(90 * time.Minute); !c.Now().Equal(want) {
		t.Errorf("moved to %v, want %v", c.Now(), want)
	}
}
