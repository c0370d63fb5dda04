package sim

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"firnhand/internal/exchange"
	"firnhand/programme"
)

// phone is a device: its storage, its clock, its link, who is signed in in its
// browser, and the pages open on it.
type phone struct {
	w       *world
	n       int
	disk    exchange.Disk
	fresh   bool              // storage was never written, or was thrown away
	tally   int               // the note outside it
	secrets map[string]string // by device
	signed  string            // whose sign-in the browser has; "" nobody's
	busy    int64             // until when storage works on what was asked before
	pages   []*tab
	build   int
	clock   int64 // ms by which its clock is ahead
	drift   int64 // ms an hour
	link    link
	full    bool // storage quota
	dead    bool // destroyed
	revoked bool
	old     [][]byte // answers that somebody on the way kept
}

// link is how a phone reaches the server.
type link struct {
	up     bool
	portal bool // something else answers
	slow   bool // 2 kbit/s, answers after 3 s
	lossy  bool
}

// tab is one open page.
type tab struct {
	p       *phone
	s       *exchange.Phone
	life    int // rises when the page goes
	open    bool
	seen    bool
	born    int64
	heard   int64 // when the server last answered
	last    int64 // Mono of its last request
	asked   int   // requests since a person did something
	told    []string
	replies map[int]asking // requests under way
}

type asking struct {
	kind exchange.EffectKind
	echo string
}

func (p *phone) wall() int64 {
	return origin.UnixMilli() + p.w.now + p.clock + p.drift*p.w.now/hour
}

// opens opens a page.
func (p *phone) opens() *tab {
	t := &tab{p: p, s: exchange.New(), open: true, seen: true, born: p.w.now, last: -1 << 40, replies: map[int]asking{}}
	p.pages = append(p.pages, t)
	t.do(exchange.Effect{Kind: exchange.Read})
	p.w.in(p.w.between(minute, 40*minute), func() { t.seen = false })
	return t
}

// gone closes a page; what it had not stored is gone with it.
func (t *tab) gone() {
	t.open = false
	t.life++
	t.p.pages = slices.DeleteFunc(t.p.pages, func(o *tab) bool { return o == t })
}

func (t *tab) mono() int64 { return t.p.w.now - t.born }

// happens gives an event to the page and does what it wants done.
func (t *tab) happens(e exchange.Event) {
	if !t.open || t.p.dead || t.p.w.report.Wrong != "" {
		return
	}
	p, w := t.p, t.p.w
	e.Wall, e.Mono = p.wall(), t.mono()
	before := t.s.Mode
	out, taken := w.table.StepSeen(t.s, e)
	w.report.Taken[taken]++
	if w.trace != nil {
		w.trace(t.line(e, before, out))
	}
	if taken.Way < 0 {
		w.wrong("%s in %s has no way on", e.Kind, before)
		return
	}
	w.afterStep(t, before, e, out)
	for _, f := range out {
		t.do(f)
	}
	w.lookAtPage(t)
}

// line writes one step of a page.
func (t *tab) line(e exchange.Event, before exchange.Mode, out []exchange.Effect) string {
	var rows, does []string
	for _, r := range t.s.Rows {
		if r.State != exchange.Sent {
			rows = append(rows, fmt.Sprintf("%d %s", r.N, r.State))
		}
	}
	for _, f := range out {
		does = append(does, strings.TrimSpace(fmt.Sprintf("%s %s%s", f.Kind, f.Say, strings.Join(f.IDs, ","))))
	}
	return fmt.Sprintf("%s phone %d page %d: %s in %s -> %s; not sent: %s; %s", t.p.w.Now().Format("2 Jan 15:04:05.000"), t.p.n, t.born, e.Kind, before, t.s.Mode,
		strings.Join(rows, ", "), strings.Join(does, "; "))
}

// storing does something on the phone's storage after what was asked before,
// and then tells the page. A page that went away may or may not have got
// through.
func (t *tab) storing(do func(), then func()) {
	p, w := t.p, t.p.w
	life := t.life
	p.busy = max(p.busy, w.now) + w.between(1, 15)
	w.in(p.busy-w.now, func() {
		if p.dead || t.life != life && w.chance(500) {
			return
		}
		do()
		if then != nil {
			w.in(w.between(0, 5), func() {
				if t.life == life {
					then()
				}
			})
		}
	})
}

// others tells the other pages of the phone that storage changed.
func (t *tab) others() {
	for _, o := range slices.Clone(t.p.pages) {
		if o != t {
			t.p.w.in(t.p.w.between(0, 20), func() { o.happens(exchange.Event{Kind: exchange.Changed}) })
		}
	}
}

// do carries out one effect.
func (t *tab) do(f exchange.Effect) {
	p, w := t.p, t.p.w
	d := &p.disk
	switch f.Kind {
	case exchange.Read:
		fail := !w.quiet && w.chance(8)
		var got exchange.Snapshot
		t.storing(func() {
			if d.Meta.Device == "" {
				d.Meta.Device, p.fresh = w.id(), true
				p.secrets[d.Meta.Device] = w.id()
			}
			got = d.Read()
			got.Fresh, got.Tally = p.fresh, p.tally
			p.fresh = false
		}, func() {
			if fail {
				t.happens(exchange.Event{Kind: exchange.Unreadable})
				return
			}
			t.happens(exchange.Event{Kind: exchange.Loaded, Snapshot: &got})
		})
	case exchange.Put:
		t.put(f)
	case exchange.Write:
		t.storing(func() {
			d.Write(f.Marks)
			if w.broken == DropsSetAside {
				d.Rows = slices.DeleteFunc(d.Rows, func(r exchange.Row) bool { return r.State == exchange.SetAside })
			}
			t.others()
		}, nil)
	case exchange.Amend:
		t.storing(func() { d.Amend(f.Epoch, f.Person, *f.Patch) }, nil)
	case exchange.Turn:
		var ok bool
		t.storing(func() { ok = d.Turn(f.Epoch, f.Person); t.others() }, func() {
			if !ok {
				t.happens(exchange.Event{Kind: exchange.Changed})
			}
		})
	case exchange.KeepPack:
		t.storing(func() { d.KeepPack(f.Epoch, f.Person, *f.Patch); t.others() }, nil)
	case exchange.DropPack:
		if w.broken == StaysOpen && f.All {
			break
		}
		t.storing(func() { d.DropPack(f.All) }, nil)
	case exchange.Wipe:
		t.wipe(f)
	case exchange.Send, exchange.Fetch, exchange.Check:
		t.request(f)
	case exchange.Arm:
		life := t.life
		w.in(f.At-t.mono(), func() {
			if t.life == life && t.seen {
				t.happens(exchange.Event{Kind: exchange.Tick})
			}
		})
	case exchange.Tally:
		p.tally = f.Count
	case exchange.Tell:
		t.told = append(t.told, f.Say)
	}
}

func (t *tab) put(f exchange.Effect) {
	p, w := t.p, t.p.w
	var rows []exchange.Row
	ok, why := false, ""
	t.storing(func() {
		switch {
		case p.full && !w.quiet:
			why = "full"
		case !w.quiet && w.chance(10):
			why = "closed"
		default:
			if rows, ok = p.disk.Put(f.Epoch, f.Items); !ok {
				why = "turned"
				return
			}
			for _, r := range rows {
				w.stored(p, r)
			}
			t.others()
		}
	}, func() {
		if w.broken == SaysSavedEarly {
			return
		}
		if ok {
			t.happens(exchange.Event{Kind: exchange.Stored, Rows: rows})
			return
		}
		var ids []string
		for _, i := range f.Items {
			ids = append(ids, i.Item.ID)
		}
		t.happens(exchange.Event{Kind: exchange.NotStored, IDs: ids, Why: why})
	})
	if w.broken == SaysSavedEarly {
		var early []exchange.Row
		for _, i := range f.Items {
			early = append(early, exchange.Row{N: p.disk.Last + int64(len(early)) + 1, Item: i.Item, Size: i.Size, State: exchange.Kept})
		}
		w.in(0, func() { t.happens(exchange.Event{Kind: exchange.Stored, Rows: early}) })
	}
}

func (t *tab) wipe(f exchange.Effect) {
	p, w := t.p, t.p.w
	ok := false
	t.storing(func() {
		had := slices.Clone(p.disk.Rows)
		device := w.id()
		if ok = p.disk.Wipe(f.Epoch, f.Person, f.IDs, f.All, device); ok {
			if f.All {
				p.secrets[device] = w.id()
			}
			w.wiped(p, had, f.All)
			t.others()
		}
	}, func() {
		kind := exchange.Wiped
		if !ok {
			kind = exchange.NotWiped
		}
		t.happens(exchange.Event{Kind: kind})
	})
}

// request sends a request over the network.
func (t *tab) request(f exchange.Effect) {
	p, w := t.p, t.p.w
	ask := asking{f.Kind, w.id()}
	t.replies[f.No] = ask
	r := exchange.Request{Exchange: exchange.Version, Echo: ask.echo, Device: t.s.Meta.Device, Secret: p.secrets[t.s.Meta.Device], Person: f.Person, Build: fmt.Sprint("page ", p.build), Now: p.wall()}
	switch f.Kind {
	case exchange.Fetch:
		r.Pack = true
	case exchange.Check:
		r.IDs = f.IDs
		if len(r.IDs) == 0 {
			r.IDs = nil
		}
	default:
		for _, id := range f.IDs {
			i := slices.IndexFunc(t.s.Rows, func(row exchange.Row) bool { return row.Item.ID == id })
			item := t.s.Rows[i].Item
			if w.broken == NewIDEachTry {
				item.ID = w.id()
				item.Sum = exchange.SumOf(item)
			}
			if w.broken == SendsOthers && p.signed != "" && item.Author != p.signed {
				item.Author = p.signed
				item.Sum = exchange.SumOf(item)
			}
			r.Items = append(r.Items, item)
		}
	}
	body, err := json.Marshal(r)
	if err != nil {
		panic(err)
	}
	if p.build >= 3 {
		body = append([]byte(`{"mood":"good",`), body[1:]...)
	}
	no, life := f.No, t.life
	w.in(f.TimeoutMS, func() { t.reply(no, life, nil) })
	p.travels(body, func(answer []byte) { t.reply(no, life, answer) })
}

// reply gives an answer to the page, once for each request unless it comes
// late; no bytes: the time is up.
func (t *tab) reply(no, life int, body []byte) {
	if t.life != life {
		return
	}
	ask := t.replies[no]
	if body == nil {
		if ask.echo != "" {
			delete(t.replies, no)
			t.happens(exchange.Event{Kind: exchange.NoAnswer, No: no})
		}
		return
	}
	echo := ask.echo
	if echo == "" {
		// Given up before: what it says of the items is true all the same.
		var a exchange.Answer
		if json.Unmarshal(body, &a) == nil && a.Firnhand == exchange.Marker {
			t.happens(exchange.Event{Kind: exchange.Late, No: no, Answer: &a})
		}
		return
	}
	delete(t.replies, no)
	kind, a := exchange.EventOf(body, echo, ask.kind)
	t.happens(exchange.Event{Kind: kind, No: no, Answer: a})
}

// travels carries a request to the server and its answer back, or does not.
func (p *phone) travels(body []byte, back func([]byte)) {
	w := p.w
	l := p.link
	if !l.up {
		if w.chance(500) { // the browser knows at once, or nobody knows for long
			w.in(w.between(1, 50), func() { back([]byte{}) })
		}
		return
	}
	if l.portal {
		w.in(w.between(20, 400), func() { back([]byte("<html><title>Welcome to our guests' network</title>Accept to go on</html>")) })
		return
	}
	way := func(n int) int64 {
		ms := w.between(15, 400)
		if l.slow {
			ms = 1500 + int64(n)*4
		}
		return ms
	}
	if !w.quiet && w.chance(25) && len(p.old) > 0 {
		kept := p.old[w.r.IntN(len(p.old))]
		w.in(w.between(5, 60), func() { back(kept) })
		return
	}
	copies := 1
	if l.lossy && !w.quiet {
		switch {
		case w.chance(150):
			copies = 0
		case w.chance(80):
			copies = 2
		}
	}
	for range copies {
		ms := way(len(body))
		if l.lossy && !w.quiet && w.chance(60) {
			ms += w.between(second, 3*minute) // lies somewhere on the way
		}
		w.in(ms, func() { p.arrives(body, way, back) })
	}
}

func (p *phone) arrives(body []byte, way func(int) int64, back func([]byte)) {
	w := p.w
	who := w.actorOf(p.signed)
	answer := w.server.answer(body, who)
	w.lookAtStore()
	if answer == nil {
		return
	}
	if len(p.old) < 8 {
		p.old = append(p.old, bytes.Clone(answer))
	}
	if !w.quiet && (!p.link.up || p.link.lossy && w.chance(150)) {
		if w.chance(400) { // broken off on the way back
			cut := answer[:w.r.IntN(len(answer))]
			w.in(way(len(cut)), func() { back(cut) })
		}
		return
	}
	w.in(way(len(answer)), func() { back(answer) })
}

// actorOf returns who a browser's sign-in stands for.
func (w *world) actorOf(person string) programme.Actor {
	for _, a := range w.people {
		if string(a.Staff) == person {
			return a
		}
	}
	return programme.Actor{}
}
