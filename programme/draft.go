package programme

import (
	"context"
	"encoding/json"
	"reflect"
	"slices"
	"sync"
	"time"
)

// draft is a store whose appends are not written yet, over one that is only
// read. It lets the use cases look at several things in turn as if each were
// written, so that all can be written at once.
type draft struct {
	Store
	base  map[asked][]Fact // what was read, by question
	found map[ID]Fact      // what was read or appended, by id
	none  map[ID]error     // what is not there
	facts []Fact           // appended here
}

func newDraft(below Store) *draft {
	return &draft{Store: below, base: map[asked][]Fact{}, found: map[ID]Fact{}, none: map[ID]error{}}
}

// asked is a question as a key.
type asked struct {
	student     ID
	everyone    bool
	after, upTo int64
	upToTime    time.Time
	limit       int
	kinds       string
}

// takesAsNew lets the draft hold ids for new without looking: the store says
// in the end whether they are.
func (d *draft) takesAsNew(items []PhoneItem) {
	err := Refuse(CodeNotFound, "There is no such fact.")
	for _, it := range items {
		d.none[it.ID] = err
	}
}

// draftSeq is where the numbers of a draft begin: behind those of any store.
const draftSeq = 1 << 40

// Append implements Store, in memory only.
func (d *draft) Append(ctx context.Context, now time.Time, facts ...Fact) ([]Receipt, error) {
	if err := CheckFacts(facts); err != nil {
		return nil, err
	}
	var out []Receipt
	had := len(d.facts)
	for _, f := range facts {
		r, err := d.one(ctx, now, f)
		if err != nil {
			for _, f := range d.facts[had:] {
				delete(d.found, f.ID)
			}
			d.facts = d.facts[:had]
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}

func (d *draft) one(ctx context.Context, now time.Time, f Fact) (Receipt, error) {
	switch had, err := d.Fact(ctx, f.ID); {
	case err == nil && !SameContent(had, f):
		return Receipt{}, idTaken(f.ID)
	case err == nil:
		return Receipt{ID: f.ID, Outcome: Exists, Seq: had.Seq, RecordedAt: had.RecordedAt}, nil
	case CodeOf(err) != CodeNotFound:
		return Receipt{}, err
	}
	if f.Names != "" {
		named, err := d.Fact(ctx, f.Names)
		if CodeOf(err) == CodeNotFound || err == nil && named.Student != f.Student {
			return Receipt{}, Refuse(CodeNotFound, "The fact that this one names is not in the same record.")
		}
		if err != nil {
			return Receipt{}, err
		}
	}
	f.Seq, f.RecordedAt = draftSeq+int64(len(d.facts)), now
	d.facts, d.found[f.ID] = append(d.facts, f), f
	delete(d.none, f.ID)
	return Receipt{ID: f.ID, Outcome: Created, Seq: f.Seq, RecordedAt: now}, nil
}

// Fact implements Store. An id is asked of the store below once.
func (d *draft) Fact(ctx context.Context, id ID) (Fact, error) {
	if f, ok := d.found[id]; ok {
		return f, nil
	}
	if err := d.none[id]; err != nil {
		return Fact{}, err
	}
	f, err := d.Store.Fact(ctx, id)
	switch {
	case err == nil:
		d.found[id] = f
	case CodeOf(err) == CodeNotFound:
		d.none[id] = err
	}
	return f, err
}

// Facts implements Store. A question is asked of the store below once.
func (d *draft) Facts(ctx context.Context, q Query) ([]Fact, error) {
	key := asked{q.Student, q.Everyone, q.After, q.UpTo, q.UpToTime, q.Limit, ""}
	for _, k := range q.Kinds {
		key.kinds += " " + string(k)
	}
	base, known := d.base[key]
	if !known {
		var err error
		if base, err = d.Store.Facts(ctx, q); err != nil {
			return nil, err
		}
		d.base[key] = base
	}
	out := slices.Clip(base)
	if q.Limit > 0 && len(out) >= q.Limit {
		return out, nil
	}
	for _, f := range d.facts {
		if q.Limit > 0 && len(out) >= q.Limit {
			break
		}
		if (q.Everyone || f.Student == q.Student) && (len(q.Kinds) == 0 || slices.Contains(q.Kinds, f.Kind)) &&
			f.Seq > q.After && (q.UpTo == 0 || f.Seq <= q.UpTo) && (q.UpToTime.IsZero() || !f.RecordedAt.After(q.UpToTime)) {
			out = append(out, f)
		}
	}
	return out, nil
}

// lockAll keeps out other writers of several students at once, in an order in
// which two such calls cannot wait for each other.
func (s *Service) lockAll(students []ID) (unlock func()) {
	var at []int
	for _, id := range students {
		at = append(at, s.writerOf(id))
	}
	slices.Sort(at)
	at = slices.Compact(at)
	var held []*sync.Mutex
	for _, i := range at {
		s.writers[i].Lock()
		held = append(held, &s.writers[i])
	}
	return func() {
		for _, m := range held {
			m.Unlock()
		}
	}
}

// reread writes a payload again after reading it into the form of another.
func reread(raw []byte, like any) ([]byte, error) {
	v := reflect.New(reflect.TypeOf(like)).Interface()
	if err := json.Unmarshal(raw, v); err != nil {
		return nil, Refuse(CodeInvalid, "What was recorded there cannot be read.")
	}
	return json.Marshal(v)
}
