package sim

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"firnhand/internal/exchange"
	"firnhand/programme"
)

// play is the whole of one play: chaos, then quiet, then the last look.
func (w *world) play() {
	w.setUp()
	length := []int64{2 * hour, 26 * hour, 14 * 24 * hour}[w.r.IntN(3)]
	for _, p := range w.phones {
		for range 8 + w.r.IntN(28) {
			w.in(w.between(0, length), func() { w.something(p) })
		}
	}
	for range 2 + w.r.IntN(4) {
		w.in(w.between(0, length), w.somethingElse)
	}
	if w.report.Swizzle = w.chance(100); w.report.Swizzle {
		for range 3 {
			w.in(w.between(0, length), w.swizzle)
		}
	}
	w.finish = w.chance(300)
	if w.chance(120) {
		w.in(w.between(length/3, length), w.restore)
	}
	w.until(length)
	w.calm()
	if w.report.Wrong == "" {
		w.atTheEnd()
	}
}

func (w *world) setUp() {
	w.server = newServer(w)
	w.server.last = map[[2]string]int64{}
	w.quiet = true
	lead := programme.Actor{Staff: programme.ID(w.id()), Name: "Lead", Roles: []programme.Role{programme.Instructor, programme.Lead}}
	w.people = []programme.Actor{lead}
	for _, n := range []string{"First", "Second", "Third"} {
		w.people = append(w.people, programme.Actor{Staff: programme.ID(w.id()), Name: n, Roles: []programme.Role{programme.Instructor}})
	}
	for range 3 {
		st := programme.ID(w.id())
		if _, err := w.server.cases.AddStudent(w.ctx, lead, programme.Made{ID: programme.ID(w.id())}, st, programme.StudentDetails{NameUsed: "Somebody"}); err != nil {
			panic(err)
		}
		w.students = append(w.students, st)
	}
	w.quiet = false
	for n := range 2 + w.r.IntN(4) {
		p := &phone{w: w, n: n, build: int(w.between(1, 4)), link: link{up: true}, secrets: map[string]string{}}
		p.signed = string(w.people[w.r.IntN(len(w.people))].Staff)
		switch w.r.IntN(8) {
		case 0:
			p.clock = w.between(-10*365*24, 10*365*24) * hour
		case 1:
			p.clock = w.between(-25, 25) * hour
		case 2:
			p.clock = hour
		default:
			p.clock = w.between(-90, 90) * second
		}
		p.drift = w.between(-200, 200)
		w.phones = append(w.phones, p)
		w.in(w.between(0, 10*minute), func() { p.opens(); w.in(200, func() { p.all(exchange.Event{Kind: exchange.Nudge}) }) })
	}
}

// all gives an event to every page of a phone.
func (p *phone) all(e exchange.Event) {
	for _, t := range slices.Clone(p.pages) {
		t.happens(e)
	}
}

// page returns one of the open pages, opening one where there is none.
func (p *phone) page() *tab {
	if len(p.pages) == 0 {
		return p.opens()
	}
	return p.pages[p.w.r.IntN(len(p.pages))]
}

// something happens to a phone or its person.
func (w *world) something(p *phone) {
	if p.dead {
		return
	}
	t := p.page()
	switch n := w.r.IntN(100); {
	case n < 42:
		for range 1 + w.r.IntN(4) {
			w.in(w.between(0, 20*second), func() { w.record(p.page()) })
		}
	case n < 47:
		w.in(0, func() { t.happens(exchange.Event{Kind: exchange.Nudge}) })
	case n < 52:
		t.seen = !t.seen
		if t.seen {
			// The phone goes back into the pocket after a while.
			w.in(w.between(10*second, 15*minute), func() { t.seen = false })
			t.happens(exchange.Event{Kind: exchange.Hint})
		}
	case n < 58:
		p.link = link{up: w.chance(400), portal: w.chance(150), slow: w.chance(150), lossy: w.chance(500)}
		if p.link.up {
			p.all(exchange.Event{Kind: exchange.Hint})
		}
	case n < 63: // the page goes, or the whole phone stops
		for _, t := range slices.Clone(p.pages) {
			t.gone()
		}
		if w.chance(700) {
			w.in(w.between(second, 10*minute), func() {
				if !p.dead {
					p.opens()
				}
			})
		}
	case n < 66:
		if len(p.pages) < 3 {
			p.opens()
		}
	case n < 69:
		p.build = min(4, p.build+1) // a new build of the page arrives
		t.gone()
		p.opens()
	case n < 73:
		p.signed = "" // the sign-in ended
	case n < 80: // somebody signs in
		who := p.signed
		if who == "" || w.chance(150) {
			who = string(w.people[w.r.IntN(len(w.people))].Staff)
			if p.disk.Meta.Person != "" && w.chance(700) {
				who = p.disk.Meta.Person
			}
		}
		p.signed = who
		t.happens(exchange.Event{Kind: exchange.Nudge})
	case n < 84:
		t.happens(exchange.Event{Kind: exchange.Finish})
	case n < 87:
		w.release(t)
	case n < 89:
		w.file(t)
	case n < 92:
		p.full = !p.full
	case n < 94:
		t.happens(exchange.Event{Kind: exchange.Closed})
	case n < 96:
		p.clock += []int64{hour, -hour, 24 * hour, -24 * hour, 9 * hour, w.between(-10, 10) * 365 * 24 * hour, w.between(-3, 3) * minute}[w.r.IntN(7)]
	case n < 97 && w.chance(150): // storage is thrown away
		w.destroyed(p)
		for _, t := range slices.Clone(p.pages) {
			t.gone()
		}
		p.disk = exchange.Disk{}
		if w.chance(300) {
			p.tally = 0
		}
	case n < 98 && w.chance(100): // the phone is destroyed
		w.destroyed(p)
		p.dead = true
	default:
		if w.chance(100) {
			w.revoke(p)
		}
	}
}

// somethingElse happens to the server.
func (w *world) somethingElse() {
	switch w.r.IntN(4) {
	case 0:
		w.server.crash()
	case 1:
		w.server.full = true
		w.in(w.between(minute, 30*minute), func() { w.server.full = false })
	case 2: // a role is taken away, and given back later
		k := 1 + w.r.IntN(len(w.people)-1)
		w.people[k].Roles = []programme.Role{programme.Scheduler}
		w.in(w.between(10*minute, 5*hour), func() { w.people[k].Roles = []programme.Role{programme.Instructor} })
	case 3:
		if w.server.up {
			w.server.build = int(w.between(1, 4))
		}
	}
}

// restore puts an older copy of the records in place of what the server had:
// what came since is on the phones only, as far as they were not emptied.
func (w *world) restore() {
	s := w.server.store
	if !w.server.up {
		return
	}
	keep := int(w.between(int64(len(w.students)), int64(len(s.facts))))
	for _, f := range s.facts[keep:] {
		delete(s.at, f.ID)
		if i := w.items[string(f.ID)]; i != nil {
			i.sent, i.aside, i.undone = false, true, true
			i.gone = i.gone || i.cleared || !slices.ContainsFunc(i.phone.disk.Rows, func(r exchange.Row) bool { return r.Item.ID == i.item.ID })
		}
	}
	s.facts = slices.Clip(s.facts[:keep])
	w.finish = true // being done for the day brings it to light
}

// swizzle cuts the links one by one and restores them in another order.
func (w *world) swizzle() {
	order := w.r.Perm(len(w.phones))
	back := w.r.Perm(len(w.phones))
	for i := range order {
		a, b := w.phones[order[i]], w.phones[back[i]]
		w.in(int64(i)*40*second, func() { a.link.up = false })
		w.in(int64(len(order)+i)*40*second, func() { b.link.up = true; b.all(exchange.Event{Kind: exchange.Hint}) })
	}
}

func (w *world) revoke(p *phone) {
	device := p.disk.Meta.Device
	if device == "" || !w.server.up {
		return
	}
	_, err := w.server.cases.RevokePhone(w.ctx, w.people[0], programme.Made{ID: programme.ID(w.id())}, programme.ID(device), "lost")
	w.lookAtStore()
	if err != nil || p.dead {
		return
	}
	// After the next contact its day is gone within seconds.
	var watch func()
	watch = func() {
		if p.dead || p.disk.Meta.Device != device {
			return
		}
		if slices.ContainsFunc(p.pages, func(t *tab) bool { return t.s.Meta.Ending == exchange.Revoked }) && (p.disk.Pack || p.disk.List) {
			w.in(5*second, func() {
				if p.disk.Meta.Device == device && p.disk.Meta.Ending == exchange.Revoked && (p.disk.Pack || p.disk.List) {
					w.wrong("a revoked phone still has its day seconds after contact")
				}
			})
			return
		}
		if !w.quiet {
			w.in(minute, watch)
		}
	}
	w.in(0, watch)
}

func (w *world) release(t *tab) {
	var ids []string
	for _, r := range t.s.Rows {
		if r.State == exchange.SetAside {
			ids = append(ids, r.Item.ID)
		}
	}
	t.happens(exchange.Event{Kind: exchange.Release, IDs: ids})
}

// file saves what is not sent as a file and reads it back.
func (w *world) file(t *tab) {
	f := t.s.FileOf("now")
	b, err := json.Marshal(f)
	if err != nil {
		panic(err)
	}
	got, damaged, err := exchange.ReadFile(b)
	if err != nil || len(got.Items)+len(damaged) != len(f.Items) {
		w.wrong("a file of %d items is read as %d: %v", len(f.Items), len(got.Items), err)
	}
	var ids []string
	for k, i := range f.Items {
		if slices.Contains(damaged, k+1) && !w.items[i.ID].poison {
			w.wrong("a file damages %s", i)
		}
		ids = append(ids, i.ID)
	}
	t.happens(exchange.Event{Kind: exchange.Filed, IDs: ids})
}

// record lets the person record something.
func (w *world) record(t *tab) {
	p := t.p
	if p.dead || !t.open {
		return
	}
	if t.s.Meta.Person == "" {
		if t.s.Mode != exchange.Opening && t.s.Mode != exchange.Stuck { // there is nothing to tap yet
			t.happens(exchange.Event{Kind: exchange.Record, Item: &exchange.Item{ID: w.id()}})
		}
		return
	}
	f := w.make(t)
	e := exchange.Event{Kind: exchange.Record, Item: &f.item, Size: f.item.Bytes()}
	mode := t.s.Mode
	t.happens(e)
	if mode == exchange.Empty {
		return
	}
	for w.chance(100) { // a glove bounces
		w.in(w.between(1, 300), func() { t.happens(e) })
	}
}

// make makes an item.
func (w *world) make(t *tab) *fate {
	p := t.p
	f := &fate{phone: p, mark: w.id()}
	i := exchange.Item{ID: w.id(), Author: t.s.Meta.Person, Student: string(w.students[w.r.IntN(len(w.students))]), Version: 1,
		MadeAt: time.UnixMilli(p.wall()).UTC().Format(time.RFC3339)}
	extra := ""
	if p.build > 1 {
		extra = fmt.Sprintf(`,"since_%d":{"deep":[1,2,{"mark":%q}]}`, p.build, f.mark)
	}
	switch n := w.r.IntN(40); {
	case n < 18:
		i.Kind, i.Payload = string(programme.KindNote), fmt.Sprintf(`{"class":"work","about":"lesson","text":"Note %s"%s}`, f.mark, extra)
	case n < 26:
		i.Kind, i.Payload = string(programme.KindSnow), fmt.Sprintf(`{"event":"fall","hurt":"no","what":"Fell %s"%s}`, f.mark, extra)
	case n < 29:
		i.Kind, i.Payload = string(programme.KindFinding), fmt.Sprintf(`{"finding":"stand_s","side":"none","state":"fresh","value":"%d","note":%q%s}`, w.r.IntN(60), f.mark, extra)
	case n < 34:
		if !w.undo(f, &i) {
			i.Kind, i.Payload = string(programme.KindNote), fmt.Sprintf(`{"class":"work","text":"Note %s"%s}`, f.mark, extra)
		}
	case n < 36:
		i.Kind, i.Payload = fmt.Sprintf("later_%d", w.between(2, 4)), fmt.Sprintf(`{"new":%q}`, f.mark)
	default:
		w.poison(f, &i)
	}
	i.Sum = exchange.SumOf(i)
	f.item = i
	w.items[i.ID] = f
	w.order = append(w.order, f)
	return f
}

// undo takes back an earlier item of the same person on the same phone.
func (w *world) undo(f *fate, i *exchange.Item) bool {
	for k := len(w.order) - 1; k >= 0 && k > len(w.order)-12; k-- {
		o := w.order[k]
		if o.phone != f.phone || o.item.Author != i.Author || o.item.Names != "" || o.item.Student == "" {
			continue
		}
		// It is refused where the earlier one is, never arrived, or was taken back before.
		f.may = true
		i.Kind, i.Student, i.Names = string(programme.KindRetraction), o.item.Student, o.item.ID
		i.Payload = fmt.Sprintf(`{"reason":"Tapped by mistake %s"}`, f.mark)
		return true
	}
	return false
}

// poison makes an item that no server takes.
func (w *world) poison(f *fate, i *exchange.Item) {
	f.poison = true
	i.Kind, i.Payload = string(programme.KindNote), fmt.Sprintf(`{"class":"work","text":"Note %s"}`, f.mark)
	switch w.r.IntN(7) {
	case 0:
		i.Payload = `{"class":"work","text":"` + strings.Repeat("long ", exchange.MaxPayload/5) + f.mark + `"}`
	case 1:
		i.Payload = "{\"class\":\"work\",\"text\":\"\xff\xfe " + f.mark + "\"}"
	case 2:
		i.Student = w.id()
	case 3:
		i.Version = 9
	case 4:
		i.MadeAt = "yesterday"
	case 5:
		i.Payload = "no object " + f.mark
	case 6:
		i.Payload = fmt.Sprintf(`{"class":"secret","text":"Note %s"}`, f.mark)
	}
}

// calm ends all faults and lets every phone send what it has: each author on
// it signs in once a round.
func (w *world) calm() {
	w.quiet, w.calmFrom = true, max(1, w.now)
	w.server.full = false
	w.until(w.now + 10*minute) // a server that is down comes back
	w.server.build = 4
	for i := range w.people[1:] {
		w.people[i+1].Roles = []programme.Role{programme.Instructor}
	}
	for w.report.Rounds = 0; w.report.Rounds < 3 && w.report.Wrong == ""; {
		left := false
		for _, p := range w.phones {
			left = left || !p.dead && w.waits(p)
		}
		if !left && w.report.Rounds > 0 {
			return
		}
		w.report.Rounds++
		for _, p := range w.phones {
			w.calmPhone(p)
		}
	}
}

// waits tells whether a phone has something to send.
func (w *world) waits(p *phone) bool {
	return slices.ContainsFunc(p.disk.Rows, func(r exchange.Row) bool { return r.State == exchange.Kept })
}

func (w *world) calmPhone(p *phone) {
	if p.dead {
		return
	}
	p.link, p.full = link{up: true}, false
	authors := []string{p.disk.Meta.Person}
	for _, r := range p.disk.Rows {
		if (w.finish || r.State == exchange.Kept || r.Code == exchange.CodeNewer) && !slices.Contains(authors, r.Item.Author) {
			authors = append(authors, r.Item.Author)
		}
	}
	for _, who := range authors {
		if who == "" {
			continue
		}
		p.signed = who
		for _, t := range slices.Clone(p.pages) {
			t.gone()
		}
		t := p.opens()
		w.until(w.now + 2*second)
		t.happens(exchange.Event{Kind: exchange.Nudge})
		w.until(w.now + 3*minute)
		for n := 0; w.finish && n < 6 && t.s.Meta.Person != ""; n++ {
			w.file(t)
			t.happens(exchange.Event{Kind: exchange.Finish})
			t.happens(exchange.Event{Kind: exchange.Nudge})
			w.until(w.now + 6*minute)
		}
	}
}
