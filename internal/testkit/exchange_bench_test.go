package testkit_test

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/internal/clock"
	"firnhand/internal/exchange"
	"firnhand/internal/sqlite"
	"firnhand/internal/vault"
	"firnhand/programme"
)

const benchRows = 200 // of one request

// benchStore is a store on disk with the students of one instructor in it.
func benchStore(b testing.TB) (*sqlite.Store, *programme.Service, programme.Actor, []programme.ID) {
	b.Helper()
	ctx, dir := context.Background(), b.TempDir()
	store, err := sqlite.Open(ctx, filepath.Join(dir, "r.db"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	keys, err := vault.Open(filepath.Join(dir, "r.keys"), rand.Reader)
	if err != nil {
		b.Fatal(err)
	}
	v := programme.CoreVocabulary{Table: decide.Standing()}
	cases := programme.New(programme.Config{Store: vault.Wrap(store, keys), Clock: clock.System{}, Vocabulary: v, Random: rand.Reader, Keys: keys, Holds: v.Holds})
	lead := programme.Actor{Staff: newID(b), Roles: []programme.Role{programme.Lead, programme.Instructor}}
	var students []programme.ID
	for range 8 {
		id := newID(b)
		if _, err := cases.AddStudent(ctx, lead, programme.Made{ID: newID(b)}, id, programme.StudentDetails{NameUsed: "Somebody"}); err != nil {
			b.Fatal(err)
		}
		students = append(students, id)
	}
	return store, cases, lead, students
}

func newID(b testing.TB) programme.ID {
	id, err := programme.NewID(time.Now(), rand.Reader)
	if err != nil {
		b.Fatal(err)
	}
	return id
}

// benchItems are attempts as a phone records them.
func benchItems(b testing.TB, a programme.Actor, students []programme.ID) []exchange.Item {
	var items []exchange.Item
	for n := range benchRows {
		i := exchange.Item{ID: string(newID(b)), Author: string(a.Staff), Student: string(students[n%len(students)]), Kind: "attempt", Version: 1, MadeAt: "2027-01-14T09:00:00+01:00",
			Payload: fmt.Sprintf(`{"skill":"K15","side":"none","help":%d,"outcome":"clean","terrain":"beginner","way":"outriggers","tie":"none","minutes":%d}`, n%8, n)}
		i.Sum = exchange.SumOf(i)
		items = append(items, i)
	}
	return items
}

// BenchmarkExchange takes requests of 200 attempts as they come off the wire,
// with every rule of the records and each text sealed, on disk; and writes the
// same rows straight into the same kind of file, as many at once, with no rule
// and nothing sealed. Both take turns, so that a busy machine slows both. The
// ratio of rows a second is meant to be at least a half.
func BenchmarkExchange(b *testing.B) {
	ctx := context.Background()
	_, cases, lead, students := benchStore(b)
	straight, _, _, _ := benchStore(b)
	desk := exchange.Desk{Cases: cases, Clock: clock.System{}, Build: "bench"}
	device, rows := newID(b), 0
	var through, beside time.Duration
	for b.Loop() {
		items := benchItems(b, lead, students)
		body, err := json.Marshal(exchange.Request{Exchange: 1, Echo: "e", Device: string(device), Secret: "s", Person: string(lead.Staff), Items: items})
		if err != nil {
			b.Fatal(err)
		}
		began := time.Now()
		var r exchange.Request
		if err := json.Unmarshal(body, &r); err != nil {
			b.Fatal(err)
		}
		a := desk.Answer(ctx, lead, "bench", r)
		if _, err := json.Marshal(a); err != nil || len(a.Results) != benchRows || a.Results[0].Outcome != exchange.Created {
			b.Fatalf("%v, %+v", err, a.Results[:1])
		}
		through += time.Since(began)
		var facts []programme.Fact
		for _, i := range items {
			facts = append(facts, programme.Fact{ID: programme.ID(i.ID), Student: programme.ID(i.Student), Kind: programme.Kind(i.Kind), Version: 1, Payload: []byte(i.Payload), Author: lead.Staff, MadeAt: began})
		}
		began = time.Now()
		if _, err := straight.Append(ctx, began, facts...); err != nil {
			b.Fatal(err)
		}
		beside += time.Since(began)
		rows += benchRows
	}
	b.ReportMetric(float64(rows)/through.Seconds(), "rows/s")
	b.ReportMetric(float64(rows)/beside.Seconds(), "straight_rows/s")
	b.ReportMetric(beside.Seconds()/through.Seconds(), "ratio")
}
