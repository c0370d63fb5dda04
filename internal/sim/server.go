package sim

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"firnhand/core/decide"
	"firnhand/internal/exchange"
	"firnhand/programme"
)

// store is a store of facts whose disk can fail and whose machine can stop.
// What an append returned is on the disk, unless the play breaks just that.
type store struct {
	w      *world
	facts  []programme.Fact
	at     map[programme.ID]int
	soft   int // facts that a stop of the machine loses; 0 unless broken
	dies   int // the machine stops in this many appends; below 1: not
	before bool
}

func (s *store) fault() error {
	if s.w.quiet || s.w.server == nil {
		return nil
	}
	switch {
	case s.w.chance(15):
		return programme.Refuse(programme.CodeBusy, "The store is busy.")
	case s.w.server.full:
		return programme.Refuse(programme.CodeDiskFull, "The disk is full.")
	}
	return nil
}

// stopped is the panic of a machine that stops.
type stopped struct{}

func (s *store) Append(_ context.Context, now time.Time, facts ...programme.Fact) ([]programme.Receipt, error) {
	if err := programme.CheckFacts(facts); err != nil {
		return nil, err
	}
	if err := s.fault(); err != nil {
		return nil, err
	}
	s.dies--
	if s.dies == 0 && s.before {
		panic(stopped{})
	}
	had := len(s.facts)
	var out []programme.Receipt
	for _, f := range facts {
		r, err := s.one(now, f)
		if err != nil {
			for _, f := range s.facts[had:] {
				delete(s.at, f.ID)
			}
			s.facts = s.facts[:had]
			return nil, err
		}
		out = append(out, r)
	}
	if s.w.broken == AcksTooSoon {
		s.soft += len(s.facts) - had
	}
	if s.dies == 0 {
		panic(stopped{})
	}
	return out, nil
}

func (s *store) one(now time.Time, f programme.Fact) (programme.Receipt, error) {
	if i, ok := s.at[f.ID]; ok {
		if !programme.SameContent(s.facts[i], f) {
			return programme.Receipt{}, programme.Refuse(programme.CodeIDTaken, "The id was used before.")
		}
		return programme.Receipt{ID: f.ID, Outcome: programme.Exists, Seq: s.facts[i].Seq, RecordedAt: s.facts[i].RecordedAt}, nil
	}
	if f.Names != "" {
		if i, ok := s.at[f.Names]; !ok || s.facts[i].Student != f.Student {
			return programme.Receipt{}, programme.Refuse(programme.CodeNotFound, "The fact that this one names is not in the same record.")
		}
	}
	f.Seq, f.RecordedAt = int64(len(s.facts)+1), now
	s.at[f.ID] = len(s.facts)
	s.facts = append(s.facts, f)
	return programme.Receipt{ID: f.ID, Outcome: programme.Created, Seq: f.Seq, RecordedAt: now}, nil
}

// stop is what a power cut does to the disk: nothing, unless broken.
func (s *store) stop() {
	keep := len(s.facts)
	if s.w.broken == AcksTooSoon && s.soft > 0 {
		keep -= int(s.w.between(0, int64(s.soft)))
	}
	for _, f := range s.facts[keep:] {
		delete(s.at, f.ID)
	}
	s.facts, s.soft = s.facts[:keep], 0
}

func (s *store) Facts(_ context.Context, q programme.Query) ([]programme.Fact, error) {
	if err := s.fault(); err != nil {
		return nil, err
	}
	out := []programme.Fact{}
	for _, f := range s.facts {
		if q.Limit > 0 && len(out) == q.Limit {
			break
		}
		if (q.Everyone || f.Student == q.Student) && (len(q.Kinds) == 0 || slices.Contains(q.Kinds, f.Kind)) &&
			f.Seq > q.After && (q.UpTo == 0 || f.Seq <= q.UpTo) {
			out = append(out, f)
		}
	}
	return out, nil
}

func (s *store) Fact(_ context.Context, id programme.ID) (programme.Fact, error) {
	if i, ok := s.at[id]; ok {
		return s.facts[i], nil
	}
	return programme.Fact{}, programme.Refuse(programme.CodeNotFound, "There is no such fact.")
}

func (s *store) Counts(context.Context) (programme.Counts, error) {
	return programme.Counts{Facts: int64(len(s.facts)), LastSeq: int64(len(s.facts))}, nil
}

func (s *store) LogReading(context.Context, programme.Reading) error { return nil }

func (s *store) Readings(context.Context, programme.ID, int) ([]programme.Reading, error) {
	return nil, nil
}

func (s *store) Close() error { return nil }

// server is the machine with the records.
type server struct {
	w     *world
	store *store
	cases *programme.Service
	up    bool
	full  bool // its disk
	build int  // 1 to 4; pages of other builds talk to it

	looked int                 // facts looked at
	last   map[[2]string]int64 // place of the last fact of a phone and author
}

func newServer(w *world) *server {
	v := &server{w: w, up: true, build: int(w.between(2, 3)), store: &store{w: w, at: map[programme.ID]int{}}}
	v.begin()
	return v
}

// begin starts the program on what the disk holds.
func (v *server) begin() {
	vocabulary := programme.CoreVocabulary{Table: decide.Standing()}
	v.cases = programme.New(programme.Config{Store: v.store, Clock: v.w, Vocabulary: vocabulary, Random: v.w})
	v.up = true
}

// crash stops the machine for a while.
func (v *server) crash() {
	if !v.up {
		return
	}
	v.up = false
	v.store.stop()
	v.w.in(v.w.between(5*second, 5*minute), func() {
		if !v.w.quiet && v.w.chance(300) {
			v.build = int(v.w.between(1, 4)) // another build is started, newer or older
		}
		v.begin()
	})
}

// answer handles a request as it comes off the wire; no bytes: nothing came
// back.
func (v *server) answer(body []byte, a programme.Actor) (out []byte) {
	if !v.up {
		return nil
	}
	defer func() {
		if p := recover(); p != nil {
			if _, ok := p.(stopped); !ok {
				panic(p)
			}
			v.crash()
			out = nil
		}
	}()
	var r exchange.Request
	if json.Unmarshal(body, &r) != nil {
		return nil
	}
	if !v.w.quiet && v.w.chance(12) {
		v.store.dies, v.store.before = 1, v.w.chance(500)
	}
	desk := exchange.Desk{Cases: newer{v.cases, v}, Clock: v.w, Build: fmt.Sprint("build ", v.build), LockAfter: 12 * time.Hour,
		Day: func(context.Context, programme.Actor) (string, json.RawMessage, error) {
			return fmt.Sprint("day ", v.w.now/hour/24), json.RawMessage(`{"people":[]}`), nil
		}}
	got := desk.Answer(v.w.ctx, a, "phone", r)
	v.store.dies = 0
	for _, r := range got.Results {
		if f := v.w.items[r.ID]; f != nil && r.Outcome == exchange.Refused {
			f.aside = true
		}
	}
	b, err := json.Marshal(got)
	if err != nil {
		panic(err)
	}
	if v.build >= 3 { // a newer program says more than an older page knows
		b = append([]byte(`{"firnhand":"exchange","weather":{"wind":"west"},`), b[1:]...)
	}
	return b
}

// newer is a program of a later build: it knows kinds of fact that are not
// there yet.
type newer struct {
	*programme.Service
	v *server
}

// since returns the build from which a kind is known; 0 for those of today.
func since(k programme.Kind) int {
	n, ok := strings.CutPrefix(string(k), "later_")
	if !ok {
		return 0
	}
	return int(n[0] - '0')
}

// TakeFromPhone takes what a later build would, one after the other.
func (n newer) TakeFromPhone(ctx context.Context, a programme.Actor, items []programme.PhoneItem) []programme.PhoneOutcome {
	var out []programme.PhoneOutcome
	for len(items) > 0 {
		k := slices.IndexFunc(items, func(it programme.PhoneItem) bool { return since(it.Kind) > 0 && since(it.Kind) <= n.v.build })
		if k != 0 {
			if k < 0 {
				k = len(items)
			}
			out = append(out, n.some(ctx, a, items[:k])...)
			items = items[k:]
		} else {
			out = append(out, n.one(ctx, items[0]))
			items = items[1:]
		}
		if len(out) > 0 && out[len(out)-1].Outcome == programme.ItemLater {
			for _, it := range items {
				out = append(out, programme.PhoneOutcome{ID: it.ID, Outcome: programme.ItemLater})
			}
			return out
		}
	}
	return out
}

func (n newer) some(ctx context.Context, a programme.Actor, items []programme.PhoneItem) []programme.PhoneOutcome {
	if n.v.w.broken != SkipsAhead {
		return n.Service.TakeFromPhone(ctx, a, items)
	}
	var out []programme.PhoneOutcome
	for _, it := range items {
		out = append(out, n.Service.TakeFromPhone(ctx, a, []programme.PhoneItem{it})...)
	}
	return out
}

func (n newer) one(ctx context.Context, it programme.PhoneItem) programme.PhoneOutcome {
	got, err := n.v.store.Append(ctx, n.v.w.Now(), programme.Fact{ID: it.ID, Student: it.Student, Kind: it.Kind, Version: it.Version, Payload: it.Payload,
		Author: it.Author, Names: it.Names, MadeAt: it.MadeAt})
	if err != nil {
		return programme.PhoneOutcome{ID: it.ID, Outcome: programme.ItemLater, Code: programme.CodeOf(err)}
	}
	return programme.PhoneOutcome{ID: it.ID, Outcome: got[0].Outcome, Seq: got[0].Seq}
}
