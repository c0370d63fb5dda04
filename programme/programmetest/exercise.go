package programmetest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"firnhand/programme"
)

// Noon is the moment at which the exercises happen.
var Noon = time.Date(2027, 1, 14, 12, 0, 0, 123e6, time.UTC)

// IDs makes ids from a seed; every call gives the next one. It is safe for
// concurrent use.
type IDs struct {
	mu   sync.Mutex
	seed uint64
	n    uint64
	left []byte
}

// NewIDs returns a maker of ids for a seed.
func NewIDs(seed uint64) *IDs { return &IDs{seed: seed} }

// Next returns a new id.
func (g *IDs) Next() programme.ID {
	id, err := programme.NewID(Noon, g)
	if err != nil {
		panic(err)
	}
	return id
}

// Read fills b with the seed's bytes (SHA-256 of seed and count), so that IDs
// can stand for randomness.
func (g *IDs) Read(b []byte) (int, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for i := range b {
		if len(g.left) == 0 {
			g.n++
			block := sha256.Sum256(binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(nil, g.seed), g.n))
			g.left = block[:]
		}
		b[i], g.left = g.left[0], g.left[1:]
	}
	return len(b), nil
}

type bench struct {
	t   *testing.T
	s   programme.Store
	ids *IDs
	ctx context.Context
}

// ExerciseKeyIDs checks that a store keeps sealed payloads and their key ids as
// they are. A store that seals by itself does not let callers do so.
func ExerciseKeyIDs(t *testing.T, newStore func(t *testing.T) programme.Store) {
	s := newStore(t)
	t.Cleanup(func() { _ = s.Close() })
	b := bench{t, s, NewIDs(1), context.Background()}
	f := b.note(b.ids.Next(), strings.Repeat("\xff", programme.MaxPayload+programme.SealRoom))
	f.KeyID = "key-1"
	b.append(Noon, f)
	if got, err := b.s.Fact(b.ctx, f.ID); err != nil || !programme.SameContent(got, f) {
		t.Fatalf("kept %.40q under key %q, %v", got.Payload, got.KeyID, err)
	}
	f.KeyID = "key-2"
	_, err := b.s.Append(b.ctx, Noon, f)
	b.refused(programme.CodeIDTaken, "used before", err)
	f = b.note(f.Student, strings.Repeat("x", programme.MaxPayload+programme.SealRoom+1))
	f.KeyID = "key-1"
	_, err = b.s.Append(b.ctx, Noon, f)
	b.refused(programme.CodeInvalid, "at most 65536 bytes", err)
}

// Exercise checks a store against every promise of programme.Store's contract.
// newStore returns an empty store; Exercise closes it.
func Exercise(t *testing.T, newStore func(t *testing.T) programme.Store) {
	cases := []struct {
		name string
		run  func(b bench)
	}{
		{"EmptyStore", exerciseEmpty},
		{"CreatedThenExists", exerciseCreated},
		{"SameIDOtherContent", exerciseOtherContent},
		{"AllOrNone", exerciseAllOrNone},
		{"KeepsEveryField", exerciseFields},
		{"SequenceAndTime", exerciseOrder},
		{"Queries", exerciseQueries},
		{"Names", exerciseNames},
		{"Limits", exerciseLimits},
		{"CallerMayChangeItsBytes", exerciseBytes},
		{"ConcurrentRetries", exerciseConcurrent},
		{"Readings", exerciseReadings},
		{"CancelledRequest", exerciseCancelled},
		{"Closed", exerciseClosed},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := newStore(t)
			t.Cleanup(func() { _ = s.Close() })
			c.run(bench{t, s, NewIDs(1), context.Background()})
		})
	}
}

func (b bench) note(student programme.ID, words string) programme.Fact {
	return programme.Fact{ID: b.ids.Next(), Student: student, Kind: programme.KindNote, Version: 1,
		Payload: []byte(words), Author: "01890a5d-ac96-774b-bcce-b302099a8057", MadeAt: Noon}
}

func (b bench) append(now time.Time, facts ...programme.Fact) []programme.Receipt {
	b.t.Helper()
	got, err := b.s.Append(b.ctx, now, facts...)
	if err != nil {
		b.t.Fatalf("Append: %v", err)
	}
	if len(got) != len(facts) {
		b.t.Fatalf("Append gave %d receipts for %d facts", len(got), len(facts))
	}
	for i, r := range got {
		if r.ID != facts[i].ID || r.Seq <= 0 || r.RecordedAt.IsZero() {
			b.t.Fatalf("receipt %d = %+v for fact %s", i, r, facts[i].ID)
		}
	}
	return got
}

func (b bench) refused(code programme.Code, words string, err error) {
	b.t.Helper()
	if programme.CodeOf(err) != code || !strings.Contains(programme.SentenceOf(err), words) {
		b.t.Fatalf("got %v, want code %s and %q", err, code, words)
	}
}

func (b bench) facts(q programme.Query) []programme.Fact {
	b.t.Helper()
	got, err := b.s.Facts(b.ctx, q)
	if err != nil {
		b.t.Fatalf("Facts: %v", err)
	}
	return got
}

func (b bench) count(want int64) {
	b.t.Helper()
	n, err := b.s.Counts(b.ctx)
	if err != nil || n.Facts != want {
		b.t.Fatalf("Counts = %+v, %v; want %d facts", n, err, want)
	}
}

func exerciseEmpty(b bench) {
	if got := b.facts(programme.Query{Everyone: true}); got == nil || len(got) != 0 {
		b.t.Fatalf("an empty store gave %v", got)
	}
	n, err := b.s.Counts(b.ctx)
	if err != nil || n != (programme.Counts{}) {
		b.t.Fatalf("Counts = %+v, %v", n, err)
	}
	_, err = b.s.Fact(b.ctx, b.ids.Next())
	b.refused(programme.CodeNotFound, "no such fact", err)
	if got, err := b.s.Append(b.ctx, Noon); err != nil || len(got) != 0 {
		b.t.Fatalf("appending nothing = %v, %v", got, err)
	}
}

func exerciseCreated(b bench) {
	f := b.note(b.ids.Next(), "one")
	first := b.append(Noon, f)[0]
	if first.Outcome != programme.Created || !first.RecordedAt.Equal(Noon) {
		b.t.Fatalf("first append = %+v", first)
	}
	again := f
	again.MadeAt = Noon.Add(time.Hour) // a label, not content
	second := b.append(Noon.Add(time.Minute), again)[0]
	if second.Outcome != programme.Exists || second.Seq != first.Seq || !second.RecordedAt.Equal(first.RecordedAt) {
		b.t.Fatalf("second append = %+v, first was %+v", second, first)
	}
	if got, err := b.s.Fact(b.ctx, f.ID); err != nil || !got.MadeAt.Equal(Noon) {
		b.t.Fatalf("the first label did not stay: %v, %v", got.MadeAt, err)
	}
	g := b.note(f.Student, "two")
	got := b.append(Noon, g, g)
	if got[0].Outcome != programme.Created || got[1].Outcome != programme.Exists || got[0].Seq != got[1].Seq {
		b.t.Fatalf("the same fact twice in one call = %+v", got)
	}
	b.count(2)
}

func exerciseOtherContent(b bench) {
	f := b.note(b.ids.Next(), "one")
	f.Names = ""
	b.append(Noon, f)
	root := b.note(f.Student, "root")
	b.append(Noon, root)
	change := map[string]func(*programme.Fact){
		"student": func(f *programme.Fact) { f.Student = b.ids.Next() },
		"kind":    func(f *programme.Fact) { f.Kind = programme.KindFinding },
		"version": func(f *programme.Fact) { f.Version = 2 },
		"payload": func(f *programme.Fact) { f.Payload = []byte("One") },
		"author":  func(f *programme.Fact) { f.Author = b.ids.Next() },
		"names":   func(f *programme.Fact) { f.Names = root.ID },
	}
	for what, do := range change {
		other := f
		do(&other)
		_, err := b.s.Append(b.ctx, Noon, other)
		if programme.CodeOf(err) != programme.CodeIDTaken {
			b.t.Errorf("another %s under the same id: %v", what, err)
		}
		b.refused(programme.CodeIDTaken, "used before for something else. Nothing was saved.", err)
	}
	new := b.note(f.Student, "x")
	twin := new
	twin.Payload = []byte("y")
	_, err := b.s.Append(b.ctx, Noon, new, twin)
	b.refused(programme.CodeIDTaken, string(new.ID), err)
	b.count(2)
}

func exerciseAllOrNone(b bench) {
	student := b.ids.Next()
	taken := b.note(student, "taken")
	b.append(Noon, taken)
	other := taken
	other.Payload = []byte("other")
	good := []programme.Fact{b.note(student, "a"), b.note(student, "b")}
	_, err := b.s.Append(b.ctx, Noon, append(good, other)...)
	b.refused(programme.CodeIDTaken, "Nothing was saved", err)
	b.count(1)
	for _, f := range good {
		if _, err := b.s.Fact(b.ctx, f.ID); programme.CodeOf(err) != programme.CodeNotFound {
			b.t.Fatalf("half an append stayed: %v", err)
		}
	}
	b.append(Noon, good...) // and the store goes on
	b.count(3)
}

func exerciseFields(b bench) {
	student := b.ids.Next()
	root := b.note(student, "root")
	zone := time.FixedZone("", -(9*3600 + 30*60))
	f := programme.Fact{ID: b.ids.Next(), Student: student, Kind: "some_later_kind", Version: 7,
		Payload: []byte{0, 255, 1, '\n', 0xc3, 0x28}, Author: b.ids.Next(), Names: root.ID,
		MadeAt: time.Date(2031, 2, 28, 23, 59, 59, 987654321, zone)}
	r := b.append(Noon, root, f)[1]
	got, err := b.s.Fact(b.ctx, f.ID)
	if err != nil {
		b.t.Fatal(err)
	}
	_, offset := got.MadeAt.Zone()
	if !programme.SameContent(got, f) || !got.MadeAt.Equal(f.MadeAt.Truncate(time.Millisecond)) || offset != -(9*3600+30*60) ||
		got.Seq != r.Seq || !got.RecordedAt.Equal(Noon) || got.RecordedAt.Location() != time.UTC || got.Forgotten {
		b.t.Fatalf("kept %+v\nof    %+v", got, f)
	}
	list := b.facts(programme.Query{Student: student, After: r.Seq - 1})
	if len(list) != 1 || !programme.SameContent(list[0], f) || list[0].Seq != r.Seq {
		b.t.Fatalf("listed %+v", list)
	}
	empty := b.note("", "")
	empty.Author = ""
	b.append(Noon, empty)
	if got, err := b.s.Fact(b.ctx, empty.ID); err != nil || len(got.Payload) != 0 || !programme.SameContent(got, empty) {
		b.t.Fatalf("a fact without a payload came back as %+v, %v", got, err)
	}
}

func exerciseOrder(b bench) {
	student := b.ids.Next()
	last, lastAt := int64(0), time.Time{}
	for i, step := range []time.Duration{0, time.Second, -time.Hour, time.Millisecond, 3 * time.Second, -time.Millisecond} {
		r := b.append(Noon.Add(step), b.note(student, fmt.Sprint(i)), b.note(student, fmt.Sprint(i, "b")))
		if r[0].Seq <= last || r[1].Seq <= r[0].Seq {
			b.t.Fatalf("sequence %d, %d after %d", r[0].Seq, r[1].Seq, last)
		}
		if r[0].RecordedAt.Before(lastAt) || r[1].RecordedAt.Before(r[0].RecordedAt) {
			b.t.Fatalf("time went back from %s to %s", lastAt, r[0].RecordedAt)
		}
		last, lastAt = r[1].Seq, r[1].RecordedAt
	}
	if !lastAt.Equal(Noon.Add(3 * time.Second)) {
		b.t.Fatalf("the latest time is %s", lastAt)
	}
}

func exerciseQueries(b bench) {
	ann, bo := b.ids.Next(), b.ids.Next()
	kinds := []programme.Kind{programme.KindNote, programme.KindFinding, programme.KindHold}
	var all []programme.Fact
	for i := range 30 {
		f := b.note([]programme.ID{ann, bo, ""}[i%3], fmt.Sprint(i))
		f.Kind = kinds[i/3%3]
		r := b.append(Noon.Add(time.Duration(i)*time.Second), f)[0]
		f.Seq, f.RecordedAt = r.Seq, r.RecordedAt
		all = append(all, f)
	}
	queries := map[string]programme.Query{
		"programme":      {},
		"student":        {Student: ann},
		"nobody":         {Student: b.ids.Next()},
		"everyone":       {Everyone: true, Student: ann},
		"kind":           {Student: bo, Kinds: kinds[:1]},
		"kinds":          {Everyone: true, Kinds: kinds[1:]},
		"no such kind":   {Everyone: true, Kinds: []programme.Kind{"'; DROP TABLE facts; --"}},
		"after":          {Everyone: true, After: all[9].Seq},
		"up to":          {Student: ann, UpTo: all[9].Seq},
		"up to time":     {Student: ann, UpToTime: all[9].RecordedAt},
		"before time":    {Student: ann, UpToTime: all[9].RecordedAt.Add(-time.Millisecond)},
		"before all":     {Everyone: true, UpToTime: Noon.Add(-time.Hour)},
		"both limits":    {Everyone: true, UpTo: all[20].Seq, UpToTime: all[10].RecordedAt},
		"limit":          {Everyone: true, Limit: 4, After: all[3].Seq},
		"all at once":    {Student: bo, Kinds: kinds, After: all[2].Seq, UpTo: all[28].Seq, UpToTime: all[27].RecordedAt, Limit: 5},
		"negative limit": {Everyone: true, Limit: -1},
	}
	for name, q := range queries {
		want := []programme.Fact{}
		for _, f := range all { // the dumb way
			in := q.Everyone || f.Student == q.Student
			kind := len(q.Kinds) == 0
			for _, k := range q.Kinds {
				kind = kind || k == f.Kind
			}
			if in && kind && f.Seq > q.After && (q.UpTo == 0 || f.Seq <= q.UpTo) &&
				(q.UpToTime.IsZero() || !f.RecordedAt.After(q.UpToTime)) && (q.Limit <= 0 || len(want) < q.Limit) {
				want = append(want, f)
			}
		}
		got := b.facts(q)
		if len(got) != len(want) {
			b.t.Errorf("%s: %d facts, want %d", name, len(got), len(want))
			continue
		}
		for i := range got {
			if !programme.SameContent(got[i], want[i]) || got[i].Seq != want[i].Seq {
				b.t.Errorf("%s: fact %d is %s, want %s", name, i, got[i].Payload, want[i].Payload)
			}
		}
	}
	n, err := b.s.Counts(b.ctx)
	if err != nil || n.Facts != 30 || n.Students != 2 || n.LastSeq != all[29].Seq {
		b.t.Errorf("Counts = %+v, %v", n, err)
	}
}

func exerciseNames(b bench) {
	ann, bo := b.ids.Next(), b.ids.Next()
	root := b.note(ann, "root")
	b.append(Noon, root)
	lost := b.note(ann, "names nothing")
	lost.Names = b.ids.Next()
	_, err := b.s.Append(b.ctx, Noon, lost)
	b.refused(programme.CodeNotFound, "not in the same record", err)
	foreign := b.note(bo, "names another student's")
	foreign.Names = root.ID
	_, err = b.s.Append(b.ctx, Noon, foreign)
	b.refused(programme.CodeNotFound, "not in the same record", err)
	early := b.note(ann, "names a later one")
	later := b.note(ann, "later")
	early.Names = later.ID
	_, err = b.s.Append(b.ctx, Noon, early, later)
	b.refused(programme.CodeNotFound, "not in the same record", err)
	good := b.note(ann, "good")
	good.Names = root.ID
	better := b.note(ann, "better")
	better.Names = good.ID
	b.append(Noon, good, better)
	b.count(3)
}

func exerciseLimits(b bench) {
	student := b.ids.Next()
	for name, do := range map[string]func(*programme.Fact){
		"no id":          func(f *programme.Fact) { f.ID = "" },
		"odd id":         func(f *programme.Fact) { f.ID = "x" },
		"upper case id":  func(f *programme.Fact) { f.ID = programme.ID(strings.ToUpper("0190a5d0-ac96-774b-bcce-b302099a8abc")) },
		"version 1 uuid": func(f *programme.Fact) { f.ID = "c232ab00-9414-11ec-b3c8-9f6bdeced846" },
		"odd student":    func(f *programme.Fact) { f.Student = "Ann" },
		"odd author":     func(f *programme.Fact) { f.Author = "me" },
		"odd name":       func(f *programme.Fact) { f.Names = "that" },
		"no kind":        func(f *programme.Fact) { f.Kind = "" },
		"no version":     func(f *programme.Fact) { f.Version = 0 },
		"year 10000":     func(f *programme.Fact) { f.MadeAt = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) },
		"payload":        func(f *programme.Fact) { f.Payload = bytes.Repeat([]byte("x"), programme.MaxPayload+1) },
	} {
		f := b.note(student, "x")
		do(&f)
		if _, err := b.s.Append(b.ctx, Noon, f); programme.CodeOf(err) != programme.CodeInvalid {
			b.t.Errorf("%s: %v", name, err)
		}
	}
	big := b.note(student, strings.Repeat("x", programme.MaxPayload))
	many := []programme.Fact{big}
	for len(many) < programme.MaxBatch {
		many = append(many, b.note(student, "x"))
	}
	_, err := b.s.Append(b.ctx, Noon, append(many, b.note(student, "one too many"))...)
	b.refused(programme.CodeInvalid, "At most 1000 facts are saved at once.", err)
	b.count(0)
	b.append(Noon, many...)
	b.count(programme.MaxBatch)
	if got, err := b.s.Fact(b.ctx, big.ID); err != nil || len(got.Payload) != programme.MaxPayload {
		b.t.Fatalf("the largest payload came back with %d bytes, %v", len(got.Payload), err)
	}
}

func exerciseBytes(b bench) {
	f := b.note(b.ids.Next(), "before")
	b.append(Noon, f)
	copy(f.Payload, "XXXXXX")
	got, err := b.s.Fact(b.ctx, f.ID)
	if err != nil || string(got.Payload) != "before" {
		b.t.Fatalf("payload %q, %v", got.Payload, err)
	}
	copy(got.Payload, "YYYYYY")
	if list := b.facts(programme.Query{Student: f.Student}); string(list[0].Payload) != "before" {
		b.t.Fatalf("payload %q", list[0].Payload)
	}
}

// exerciseConcurrent lets several writers send the same facts, each in its own
// order: every fact is created exactly once.
func exerciseConcurrent(b bench) {
	const writers, n = 6, 40
	student := b.ids.Next()
	facts := make([]programme.Fact, n)
	for i := range facts {
		facts[i] = b.note(student, fmt.Sprint(i))
	}
	var mu sync.Mutex
	created := map[programme.ID]int{}
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			step := []int{1, 3, 7, 9, 11, 13}[w] // each has no divisor in common with n
			for k := range n {
				i := (k*step + 5*w) % n
				got, err := b.s.Append(b.ctx, Noon, facts[i])
				if err != nil {
					b.t.Errorf("writer %d: %v", w, err)
					return
				}
				list, err := b.s.Facts(b.ctx, programme.Query{Student: student, After: got[0].Seq - 1, Limit: 1})
				if err != nil || len(list) != 1 || list[0].ID != facts[i].ID {
					b.t.Errorf("writer %d does not see its own fact: %v, %v", w, list, err)
					return
				}
				if got[0].Outcome == programme.Created {
					mu.Lock()
					created[facts[i].ID]++
					mu.Unlock()
				}
			}
		})
	}
	wg.Wait()
	for _, f := range facts {
		if created[f.ID] != 1 {
			b.t.Errorf("fact %s was created %d times", f.ID, created[f.ID])
		}
	}
	b.count(n)
}

func exerciseReadings(b bench) {
	ann, bo, me := b.ids.Next(), b.ids.Next(), b.ids.Next()
	for i := range 5 {
		r := programme.Reading{At: Noon.Add(time.Duration(i) * time.Minute), Staff: me, Student: ann, What: fmt.Sprint("record ", i)}
		if i == 3 {
			r.Student = bo
		}
		if err := b.s.LogReading(b.ctx, r); err != nil {
			b.t.Fatal(err)
		}
	}
	got, err := b.s.Readings(b.ctx, ann, 3)
	if err != nil || len(got) != 3 || got[0].What != "record 4" || got[1].What != "record 2" || !got[0].At.Equal(Noon.Add(4*time.Minute)) || got[0].Staff != me {
		b.t.Fatalf("Readings = %+v, %v", got, err)
	}
	if got, err := b.s.Readings(b.ctx, "", 0); err != nil || len(got) != 5 {
		b.t.Fatalf("all readings = %+v, %v", got, err)
	}
}

// exerciseCancelled: after an error nothing was written.
func exerciseCancelled(b bench) {
	f := b.note(b.ids.Next(), "x")
	ctx, cancel := context.WithCancel(b.ctx)
	cancel()
	_, err := b.s.Append(ctx, Noon, f)
	_, there := b.s.Fact(b.ctx, f.ID)
	if (err == nil) != (there == nil) {
		b.t.Fatalf("append said %v, the store says %v", err, there)
	}
	b.append(Noon, b.note(f.Student, "y"))
}

func exerciseClosed(b bench) {
	f := b.note(b.ids.Next(), "x")
	b.append(Noon, f)
	if err := b.s.Close(); err != nil {
		b.t.Fatal(err)
	}
	_, err := b.s.Append(b.ctx, Noon, b.note(f.Student, "y"))
	b.refused(programme.CodeInternal, "", err)
	if _, err := b.s.Facts(b.ctx, programme.Query{Everyone: true}); programme.CodeOf(err) != programme.CodeInternal {
		b.t.Fatalf("reading a closed store: %v", err)
	}
	if err := b.s.Close(); err != nil {
		b.t.Fatalf("closing twice: %v", err)
	}
}
