// Package testkit_test puts the adapters together with the invented programme.
package testkit_test

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/demo"
	"firnhand/internal/clock"
	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// loadDemo loads the whole invented season into a store.
func loadDemo(t testing.TB, store programme.Store) demo.Report {
	t.Helper()
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	c := clock.At(time.Date(p.Last.Year, p.Last.Month, p.Last.Day, 18, 0, 0, 0, p.Zone))
	v := programme.CoreVocabulary{Table: decide.Standing()}
	s := programme.New(programme.Config{Store: store, Clock: c, Vocabulary: v, Random: demo.NewRandom(), Zone: p.Zone, Holds: v.Holds})
	report, err := demo.Load(context.Background(), s, c)
	if err != nil {
		t.Fatalf("%v: %v", err, err.(*programme.Error).Cause)
	}
	return report
}

func openFile(t testing.TB, path string) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func factsOf(t testing.TB, s programme.Store) []programme.Fact {
	t.Helper()
	facts, err := s.Facts(context.Background(), programme.Query{Everyone: true})
	if err != nil {
		t.Fatal(err)
	}
	return facts
}

// The invented season goes into a file as it goes into memory, fact by fact;
// it is there after the file was closed, and loading it again adds nothing.
// The store in memory is the second opinion: both are checked against the same
// contract elsewhere, and here against each other.
func TestDemoLoadsIntoAFile(t *testing.T) {
	memory := programmetest.NewMemory()
	first := loadDemo(t, memory)
	path := filepath.Join(t.TempDir(), "demo.db")
	file := openFile(t, path)
	if got := loadDemo(t, file); got != first || got.Created == 0 || got.Exists != 0 {
		t.Fatalf("file: %+v, memory: %+v", got, first)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}

	file = openFile(t, path)
	if got := loadDemo(t, file); got.Created != 0 || got.Exists != first.Created {
		t.Errorf("second load: %+v after %+v", got, first)
	}
	want, have := factsOf(t, memory), factsOf(t, file)
	if len(want) != len(have) {
		t.Fatalf("%d facts in memory, %d in the file", len(want), len(have))
	}
	for i := range want {
		if !programme.SameContent(want[i], have[i]) || !want[i].RecordedAt.Equal(have[i].RecordedAt) || !want[i].MadeAt.Equal(have[i].MadeAt) {
			t.Fatalf("fact %d: %s %s in memory, %s %s in the file", i, want[i].Kind, want[i].ID, have[i].Kind, have[i].ID)
		}
	}
}

func BenchmarkLoadDemoFile(b *testing.B) {
	dir, n := b.TempDir(), 0
	var report demo.Report
	for b.Loop() {
		n++
		store := openFile(b, filepath.Join(dir, time.Duration(n).String()+".db"))
		report = loadDemo(b, store)
	}
	b.ReportMetric(float64(report.Created), "facts")
}
