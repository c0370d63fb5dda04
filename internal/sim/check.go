package sim

import (
	"encoding/json"
	"slices"

	"firnhand/internal/exchange"
	"firnhand/programme"
)

// fate is what the play knows of one item, whatever phone and server say.
type fate struct {
	item    exchange.Item
	phone   *phone
	device  string // of the phone then
	n       int64  // place on the phone, once stored
	poison  bool   // can never be taken
	may     bool   // may be refused: it takes back something that may be
	stored  bool
	saved   bool // the person was told so
	sent    bool // the person was told so
	aside   bool // was set aside at some time, so its order is its own
	undone  bool // the server had it, and then an older copy of its records
	cleared bool // left the phone by its rules
	gone    bool // destroyed with the phone's storage
	mark    string
}

// stored is called when a phone's storage has an item.
func (w *world) stored(p *phone, r exchange.Row) {
	f := w.items[r.Item.ID]
	if f == nil {
		w.wrong("a phone stored an item that nobody recorded")
		return
	}
	if f.stored && f.n != r.N {
		w.wrong("an item has two places on its phone: %d and %d", f.n, r.N)
	}
	f.stored, f.n, f.device = true, r.N, p.disk.Meta.Device
}

// inStore finds an item among the facts, or kept for the lead.
func (w *world) inStore(id string) (f programme.Fact, held bool, ok bool) {
	s := w.server.store
	i, ok := s.at[programme.ID(id)]
	if !ok {
		return f, false, false
	}
	return s.facts[i], s.facts[i].Kind == programme.KindHeldItem, true
}

// same tells whether a fact says what was recorded.
func same(f programme.Fact, i exchange.Item) bool {
	if f.Kind == programme.KindHeldItem {
		var h programme.HeldItem
		return json.Unmarshal(f.Payload, &h) == nil && h.Payload == i.Payload && string(h.Author) == i.Author && string(h.Kind) == i.Kind
	}
	return string(f.Payload) == i.Payload && string(f.Author) == i.Author && string(f.Kind) == i.Kind && string(f.Student) == i.Student &&
		f.Version == i.Version && string(f.Names) == i.Names
}

// lookAtStore looks at the facts that came since the last look.
func (w *world) lookAtStore() {
	s := w.server.store
	v := w.server
	v.looked = min(v.looked, len(s.facts))
	for ; v.looked < len(s.facts); v.looked++ {
		f := s.facts[v.looked]
		switch f.Kind {
		case programme.KindStaff, programme.KindStudent, programme.KindPhone, programme.KindHold:
			continue
		}
		i := w.items[string(f.ID)]
		if i == nil {
			w.wrong("the store has %s, an id that nobody's phone made", f.Kind)
			return
		}
		if !same(f, i.item) {
			w.wrong("the store has something else than what was recorded: %s", i.item)
			return
		}
		// What may have been refused at first has an order of its own.
		if f.Kind == programme.KindHeldItem || i.aside || i.may || since(f.Kind) > 0 {
			continue
		}
		last := v.last[[2]string{i.device, i.item.Author}]
		if i.n <= last {
			w.wrong("item %d of a phone came after item %d of the same person", i.n, last)
			return
		}
		v.last[[2]string{i.device, i.item.Author}] = i.n
	}
}

// afterStep looks at what a page just did.
func (w *world) afterStep(t *tab, before exchange.Mode, e exchange.Event, out []exchange.Effect) {
	told := func(say string) bool {
		return slices.ContainsFunc(out, func(f exchange.Effect) bool { return f.Kind == exchange.Tell && f.Say == say })
	}
	switch e.Kind {
	case exchange.Stored:
		for _, r := range e.Rows {
			f := w.items[r.Item.ID]
			if f == nil || !told(exchange.SaySaved) {
				continue
			}
			f.saved = true
			if !slices.ContainsFunc(t.p.disk.Rows, func(d exchange.Row) bool { return d.Item.ID == r.Item.ID }) && !f.cleared && !f.gone {
				w.wrong("the page said saved, and storage does not have it")
			}
		}
	case exchange.Record:
		w.mustTell(t, e.Item.ID)
	case exchange.Packed, exchange.Summed:
		t.heard = w.now
	case exchange.Answered, exchange.Late, exchange.Revoke:
		if e.Kind == exchange.Answered {
			t.heard = w.now
		}
		if e.Answer != nil {
			w.lookAtResults(t, e.Answer)
		}
	case exchange.Nudge, exchange.Finish:
		t.asked = 0
	}
	for _, f := range out {
		if f.Kind != exchange.Send && f.Kind != exchange.Fetch && f.Kind != exchange.Check {
			continue
		}
		unasked := slices.Contains([]exchange.EventKind{exchange.Hint, exchange.Tick, exchange.Stored, exchange.Changed, exchange.Filed, exchange.Release}, e.Kind) ||
			e.Kind == exchange.Loaded && before != exchange.Opening && before != exchange.Stuck
		if unasked && t.mono()-t.last < exchange.MinGap {
			w.wrong("two requests that nobody asked for within a minute, after %s in %s", e.Kind, before)
		}
		if t.mono()-t.last > minute {
			t.asked = 0
		}
		if t.asked++; t.asked > 60+len(t.s.Rows) {
			w.wrong("requests without end, after %s in %s", e.Kind, before)
		}
		t.last = t.mono()
	}
}

// mustTell looks, a second later, whether the person was told what became of
// what they recorded.
func (w *world) mustTell(t *tab, id string) {
	life, told := t.life, len(t.told)
	w.in(second, func() {
		waits := slices.ContainsFunc(t.s.Unsaved, func(p exchange.Pending) bool { return p.Item.ID == id })
		if t.life != life || !waits || t.s.Mode == exchange.Opening {
			return
		}
		if !slices.ContainsFunc(t.told[told:], func(s string) bool { return s == exchange.SayNotSaved || s == exchange.SayStuck }) {
			w.wrong("an item is not saved after a second, and nobody was told")
		}
	})
}

func (w *world) lookAtResults(t *tab, a *exchange.Answer) {
	for _, r := range a.Results {
		f := w.items[r.ID]
		switch r.Outcome {
		case exchange.Created, exchange.Exists, exchange.Held:
			got, _, ok := w.inStore(r.ID)
			if !ok {
				w.wrong("the server said %s, and the store does not have it", r.Outcome)
			} else if f != nil && !same(got, f.item) {
				w.wrong("the server said %s of something else", r.Outcome)
			}
			if f != nil {
				f.sent = true
			}
		case exchange.Refused:
			if f != nil {
				f.aside = true
			}
		}
	}
}

// lookAtPage looks at the state of a page after every step.
func (w *world) lookAtPage(t *tab) {
	m := t.s.Meta
	if m.Person != "" && m.LockAfter > 0 && m.Pack != "" && t.s.Mode != exchange.Opening {
		if away := t.s.Wall - m.Contact; away > m.LockAfter || away < -m.LockAfter {
			w.wrong("a day can be read %d h after the last contact", away/hour)
		}
	}
	if m.Ending == exchange.Revoked && m.Pack != "" {
		w.wrong("a revoked phone shows a day")
	}
	for i, r := range t.s.Rows {
		if i > 0 && r.N <= t.s.Rows[i-1].N {
			w.wrong("items on a page are out of order")
		}
		if r.State == exchange.SetAside {
			if f := w.items[r.Item.ID]; f != nil {
				f.aside = true
			}
		}
	}
	for _, p := range t.s.Unsaved {
		if f := w.items[p.Item.ID]; f != nil && slices.ContainsFunc(t.s.Rows, func(r exchange.Row) bool { return r.Item.ID == p.Item.ID }) {
			w.wrong("an item is saved and not saved at once")
		}
	}
}

// wiped is called when a phone's storage was emptied by its rules.
func (w *world) wiped(p *phone, had []exchange.Row, all bool) {
	for _, r := range had {
		if slices.ContainsFunc(p.disk.Rows, func(d exchange.Row) bool { return d.Item.ID == r.Item.ID }) {
			continue
		}
		f := w.items[r.Item.ID]
		got, _, ok := w.inStore(r.Item.ID)
		switch {
		case f == nil:
			w.wrong("a phone held an item that nobody recorded")
		case ok && same(got, f.item):
		case r.Exported, all && r.State == exchange.SetAside && (f.poison || f.may):
		case all && r.State == exchange.Sent && f.undone:
			f.gone = true // a revoked phone does not ask again for what was sent
		default:
			w.wrong("a phone was emptied of %s, which is nowhere else (%s)", f.item, r.State)
		}
		if f != nil {
			f.cleared = true
		}
	}
}

// destroyed is called when a phone's storage is lost against its rules.
func (w *world) destroyed(p *phone) {
	for _, r := range p.disk.Rows {
		f := w.items[r.Item.ID]
		if _, _, ok := w.inStore(r.Item.ID); !ok && f != nil && !f.cleared {
			f.gone = true
			w.report.Gone++
		}
	}
}

// atTheEnd looks at everything once more.
func (w *world) atTheEnd() {
	marks := map[string]bool{}
	for _, f := range w.server.store.facts {
		i := w.items[string(f.ID)]
		if i == nil {
			continue
		}
		if marks[i.mark] {
			w.wrong("something recorded once is in the store twice")
		}
		marks[i.mark] = true
	}
	for _, f := range w.order {
		got, held, ok := w.inStore(f.item.ID)
		at := slices.IndexFunc(f.phone.disk.Rows, func(r exchange.Row) bool { return r.Item.ID == f.item.ID })
		switch {
		case ok && !same(got, f.item):
			w.wrong("%s was changed", f.item)
		case ok && held:
			w.report.Held++
		case ok:
			w.report.Sent++
		case !f.stored:
			if f.saved {
				w.wrong("%s was called saved and was never stored", f.item)
			}
		case f.sent && !f.gone:
			w.wrong("%s was called sent and is not in the store", f.item)
		case f.gone, f.cleared:
		case f.phone.dead:
			w.report.Gone++
		case at < 0:
			w.wrong("%s was saved and is nowhere", f.item)
		case f.phone.disk.Rows[at].State == exchange.SetAside && (f.poison || f.may):
			w.report.Aside++
		case f.phone.disk.Rows[at].State == exchange.SetAside:
			w.wrong("%s is set aside without a cause: %s", f.item, f.phone.disk.Rows[at].Code)
		default:
			w.wrong("%s is %s on its phone after all is well again", f.item, f.phone.disk.Rows[at].State)
		}
	}
	for _, p := range w.phones {
		for _, t := range p.pages {
			m := t.s.Meta
			if p.dead || m.Person == "" || t.heard < w.calmFrom {
				continue // nothing was heard since clocks were last changed
			}
			if off := w.now + origin.UnixMilli() - p.wall(); m.ClockShown() != (off > exchange.ClockOff || off < -exchange.ClockOff) &&
				abs(abs(off)-exchange.ClockOff) > 10*second {
				w.wrong("a clock off by %d s is shown: %v", off/second, m.ClockShown())
			}
		}
	}
	w.report.Items = len(w.order)
}

func abs(v int64) int64 { return max(v, -v) }
