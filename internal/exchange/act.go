package exchange

import (
	"cmp"
	"slices"
)

// Action is a step of a cell.
type Action string

// The actions.
const (
	read          Action = "read"            // read the storage again
	adopt         Action = "adopt"           // take over what was read; items not confirmed stay
	flush         Action = "flush"           // try again to store what is not confirmed
	keep          Action = "keep"            // store the item; recording calls off "done for today"
	hold          Action = "hold"            // keep the item in the page only
	saved         Action = "saved"           // say "saved"
	notSaved      Action = "not_saved"       // say that it is not, and why
	send          Action = "send"            // send the oldest items, as many as there is room for
	fetch         Action = "fetch"           // ask for the day's pack
	check         Action = "check"           // ask for the checksums of all sent items
	take          Action = "take"            // write down what became of each item
	takeLate      Action = "take_late"       // the same from a reply that was given up: results only
	takePack      Action = "take_pack"       // keep the pack; unlock
	takeSums      Action = "take_sums"       // compare checksums; what the server lacks is sent again
	later         Action = "later"           // set the time of the next try, a longer wait each time
	soon          Action = "soon"            // set it to when a try is not too soon
	shrink        Action = "shrink"          // ask for less at once; an item too long by itself is set aside
	signOut       Action = "sign_out"        // say that a sign-in is needed
	turn          Action = "turn"            // the phone is somebody else's from now on
	revoke        Action = "revoke"          // drop the pack; everything goes to the lead
	end           Action = "end"             // the person is done for today
	wipe          Action = "wipe"            // empty the phone, if it holds nothing else
	emptied       Action = "emptied"         // forget what was on it
	filed         Action = "filed"           // note that items are in a file
	release       Action = "release"         // try a set-aside item again
	tellStuck     Action = "tell_stuck"      // say that this phone cannot keep anything
	tellNoDay     Action = "tell_no_day"     // say that nobody's day is here
	tellRevoked   Action = "tell_revoked"    // say that the phone was revoked
	tellNotOurs   Action = "tell_not_ours"   // say that something else answered
	tellSignedOut Action = "tell_signed_out" // say that a sign-in is needed to finish
	tellKeptBack  Action = "tell_kept_back"  // say what keeps the phone from being emptied
)

// doing is a step under way.
type doing struct {
	s   *Phone
	e   Event
	out []Effect
}

var actions = map[Action]func(*doing){
	read:          func(d *doing) { d.put(Effect{Kind: Read}) },
	adopt:         (*doing).adopt,
	flush:         (*doing).flush,
	keep:          (*doing).keep,
	hold:          (*doing).hold,
	saved:         (*doing).saved,
	notSaved:      (*doing).notSaved,
	send:          (*doing).send,
	fetch:         func(d *doing) { d.ask(Effect{Kind: Fetch, TimeoutMS: Timeout(RoomFirst)}) },
	check:         (*doing).check,
	take:          (*doing).take,
	takeLate:      (*doing).takeLate,
	takePack:      (*doing).takePack,
	takeSums:      (*doing).takeSums,
	later:         (*doing).later,
	soon:          func(d *doing) { d.arm(d.s.LastTry + MinGap) },
	shrink:        (*doing).shrink,
	signOut:       (*doing).signOut,
	turn:          (*doing).turn,
	revoke:        (*doing).revoke,
	end:           (*doing).end,
	wipe:          (*doing).wipe,
	emptied:       (*doing).emptied,
	filed:         (*doing).filed,
	release:       (*doing).release,
	tellStuck:     func(d *doing) { d.tell(SayStuck, len(d.s.Unsaved), "") },
	tellNoDay:     func(d *doing) { d.tell(SayNoDay, 0, "") },
	tellRevoked:   func(d *doing) { d.tell(SayRevoked, 0, "") },
	tellNotOurs:   func(d *doing) { d.tell(SayNotOurs, 0, "") },
	tellSignedOut: func(d *doing) { d.tell(SaySignedOut, d.s.Waiting(), d.s.Why) },
	tellKeptBack:  func(d *doing) { d.tell(SayKeptBack, d.s.keptBack()+d.s.ownUnsaved(), "") },
}

func (d *doing) put(e Effect) { d.out = append(d.out, e) }

func (d *doing) tell(what string, n int, sentence string) {
	d.put(Effect{Kind: Tell, Say: what, Count: n, Sentence: sentence})
}

func (d *doing) amend(p Patch) {
	d.s.Meta = p.Apply(d.s.Meta)
	d.put(Effect{Kind: Amend, Epoch: d.s.Meta.Epoch, Person: d.s.Meta.Person, Patch: &p})
}

// ask numbers a request and remembers when it went.
func (d *doing) ask(e Effect) {
	s := d.s
	s.No++
	s.SentMono, s.LastTry = s.Mono, s.Mono
	e.No, e.Person = s.No, s.Meta.Person
	s.Asked = e.IDs
	d.put(e)
}

// lockIfDue hides the day when the server was not heard of for the agreed
// time. A clock that was put back by as much locks too.
func (d *doing) lockIfDue() {
	s := d.s
	if s.Meta.Person == "" || s.Meta.Locked || s.Meta.LockAfter <= 0 {
		return
	}
	if away := s.Wall - s.Meta.Contact; away > s.Meta.LockAfter || away < -s.Meta.LockAfter {
		locked, none := true, ""
		d.put(Effect{Kind: DropPack})
		d.amend(Patch{Locked: &locked, Pack: &none})
		d.tell(SayLocked, 0, "")
	}
}

func (d *doing) adopt() {
	s, in := d.s, d.e.Snapshot
	had := s.Meta
	s.Meta, s.Rows = in.Meta, slices.Clone(in.Rows)
	s.Behind = false
	s.Turned = s.Mode != Opening && had.Epoch != in.Meta.Epoch
	if s.Turned {
		s.No++ // a reply to what was asked for the hand before comes late
	}
	s.Unsaved = slices.DeleteFunc(slices.Clone(s.Unsaved), func(p Pending) bool { return s.row(p.Item.ID) >= 0 })
	if in.Fresh && in.Tally > 0 {
		s.Lost = in.Tally
		d.tell(SayLost, s.Lost, "")
		d.tally()
	}
	d.lockIfDue()
}

func (s *Phone) row(id string) int {
	return slices.IndexFunc(s.Rows, func(r Row) bool { return r.Item.ID == id })
}

func (d *doing) tally() {
	n := 0
	for _, r := range d.s.Rows {
		if r.State != Sent {
			n++
		}
	}
	d.put(Effect{Kind: Tally, Count: n})
}

func (d *doing) store(items []Pending) {
	if len(items) > 0 {
		d.put(Effect{Kind: Put, Epoch: d.s.Meta.Epoch, Items: items})
	}
}

// flush leaves out what somebody else recorded before the phone changed hands.
func (d *doing) flush() {
	var mine []Pending
	for _, p := range d.s.Unsaved {
		if p.Item.Author == d.s.Meta.Person {
			mine = append(mine, p)
		}
	}
	d.store(mine)
}

// hold keeps the item in the page; the same item a second time is none.
func (d *doing) hold() {
	s, i := d.s, *d.e.Item
	if s.row(i.ID) < 0 && s.unsaved(i.ID) < 0 {
		s.Unsaved = append(s.Unsaved, Pending{i, d.e.Size})
	}
}

func (s *Phone) unsaved(id string) int {
	return slices.IndexFunc(s.Unsaved, func(p Pending) bool { return p.Item.ID == id })
}

// keep stores the item. One that is not confirmed is tried again when the
// person taps again.
func (d *doing) keep() {
	d.hold()
	i := d.s.unsaved(d.e.Item.ID)
	if i < 0 {
		return
	}
	if d.s.Meta.Ending == Done {
		none := NotEnding
		d.amend(Patch{Ending: &none})
	}
	d.store([]Pending{d.s.Unsaved[i]})
}

func (d *doing) saved() {
	s, n := d.s, 0
	for _, r := range d.e.Rows {
		if i := s.unsaved(r.Item.ID); i >= 0 {
			s.Unsaved = slices.Delete(slices.Clone(s.Unsaved), i, i+1)
			n++
		}
		if s.row(r.Item.ID) < 0 {
			s.Behind = s.Behind || len(s.Rows) == 0 || r.N != s.Rows[len(s.Rows)-1].N+1
			s.Rows = append(s.Rows, r)
		}
	}
	if s.Behind {
		d.put(Effect{Kind: Read})
	}
	slices.SortFunc(s.Rows, func(a, b Row) int { return cmp.Compare(a.N, b.N) })
	if n > 0 {
		d.tell(SaySaved, s.Waiting(), "")
	}
	var marks []Mark
	for _, r := range s.Rows {
		if r.State == Kept && r.Size > MaxPayload {
			marks = append(marks, Mark{ID: r.Item.ID, State: SetAside, Code: string(TooBig)})
		}
	}
	d.mark(marks)
	d.tally()
}

func (d *doing) notSaved() {
	d.tell(SayNotSaved, len(d.s.Unsaved), d.e.Why)
	if d.e.Why == "turned" {
		d.put(Effect{Kind: Read})
	}
}

// mark writes marks on the rows, here and in storage.
func (d *doing) mark(marks []Mark) {
	if len(marks) == 0 {
		return
	}
	for _, m := range marks {
		if i := d.s.row(m.ID); i >= 0 {
			d.s.Rows[i] = m.Apply(d.s.Rows[i])
		}
		if m.State == SetAside && !m.Exported {
			d.tell(SaySetAside, 1, m.Sentence)
		}
	}
	d.put(Effect{Kind: Write, Marks: marks})
}

func (d *doing) send() {
	s, size := d.s, 0
	var ids []string
	for _, r := range s.Rows {
		if !s.sendable(r) {
			continue
		}
		if len(ids) > 0 && (size+r.Size+Envelope > s.Room || len(ids) == MaxItems) {
			break
		}
		ids, size = append(ids, r.Item.ID), size+r.Size+Envelope
	}
	d.ask(Effect{Kind: Send, IDs: ids, TimeoutMS: Timeout(size)})
}

func (d *doing) check() {
	var ids []string
	for _, r := range d.s.Rows {
		if d.s.own(r) && r.State == Sent {
			ids = append(ids, r.Item.ID)
		}
	}
	d.s.Checked = nil
	d.ask(Effect{Kind: Check, IDs: ids, TimeoutMS: Timeout(RoomFirst)})
}

// heard notes that the server answered, its clock and its build. What an
// older build refused is tried again under another.
func (d *doing) heard() {
	s, a := d.s, d.e.Answer
	s.Tries = 0
	wall, known := s.Wall, true
	offset := a.At - (wall - (s.Mono-s.SentMono)/2)
	p := Patch{Contact: &wall, Offset: &offset, OffsetKnown: &known}
	if a.LockAfter > 0 && a.LockAfter != s.Meta.LockAfter {
		p.LockAfter = &a.LockAfter
	}
	if a.Build != "" && a.Build != s.Meta.Build {
		p.Build = &a.Build
	}
	var again []Mark
	for _, r := range s.Rows {
		if r.State == SetAside && r.Code == CodeNewer && a.Build != "" && r.Build != a.Build {
			again = append(again, Mark{ID: r.Item.ID, State: Kept})
		}
	}
	d.amend(p)
	d.mark(again)
}

// results writes down what became of each item and returns how many are with
// the server now, and how many were put off.
func (d *doing) results() (sent, off int) {
	var marks []Mark
	for _, r := range d.e.Answer.Results {
		i := d.s.row(r.ID)
		if i < 0 {
			continue
		}
		m := Mark{ID: r.ID, Seq: r.Seq, Code: r.Code, Sentence: r.Sentence}
		switch r.Outcome {
		case Created, Exists, Held:
			m.State, m.Sentence, m.Code = Sent, "", ""
			if r.Outcome == Held {
				m.Code = string(Held)
			}
			if d.s.Rows[i].State != Sent {
				sent++
			}
		case Refused:
			m.State, m.Seq, m.Build = SetAside, 0, d.e.Answer.Build
		default:
			off++
			continue
		}
		if d.s.Rows[i].State != Sent || m.State == Sent && d.s.Rows[i].Seq != m.Seq {
			marks = append(marks, m)
		}
	}
	d.mark(marks)
	if len(marks) > 0 {
		d.tally()
	}
	if sent > 0 {
		d.tell(SaySent, sent, "")
	}
	return sent, off
}

func (d *doing) take() {
	s := d.s
	asked := s.Asked
	d.heard()
	_, off := d.results()
	open := 0
	for _, id := range asked {
		if i := s.row(id); i >= 0 && s.Rows[i].State == Kept {
			open++
		}
	}
	s.Stalled = off > 0 || open > 0
	if !s.Stalled {
		s.Room = min(2*s.Room, RoomMost)
	}
}

func (d *doing) takeLate() {
	if d.e.Answer != nil {
		d.results()
	}
}

func (d *doing) takePack() {
	s, a := d.s, d.e.Answer
	if a.Person != s.Meta.Person {
		d.turnTo(a.Person)
	}
	d.heard()
	wall, locked := s.Wall, false
	p := Patch{Pack: &a.Pack, PackAt: &wall, Locked: &locked}
	s.Meta = p.Apply(s.Meta)
	d.put(Effect{Kind: KeepPack, No: s.No, Epoch: s.Meta.Epoch, Person: s.Meta.Person, Patch: &p})
}

func (d *doing) takeSums() {
	s, a := d.s, d.e.Answer
	d.heard()
	var marks []Mark
	for _, id := range s.Asked {
		i := s.row(id)
		if i < 0 {
			continue
		}
		switch sum, has := a.Sums[id]; {
		case !has:
			marks = append(marks, Mark{ID: id, State: Kept, Again: true})
		case sum != s.Rows[i].Item.Sum:
			marks = append(marks, Mark{ID: id, State: SetAside, Code: "differs", Again: true,
				Sentence: "The server has something else under this id."})
		default:
			s.Checked = append(s.Checked, id)
		}
	}
	d.mark(marks)
	if len(marks) > 0 {
		d.tally()
	}
}

func (d *doing) arm(at int64) {
	d.s.RetryAt = at
	d.put(Effect{Kind: Arm, At: at})
}

func (d *doing) later() {
	s := d.s
	s.Room = max(RoomLeast, s.Room/2)
	wait := int64(MinGap) << min(s.Tries, 3)
	s.Tries++
	d.arm(s.LastTry + min(wait, LongWait))
}

func (d *doing) shrink() {
	s := d.s
	if len(s.Asked) == 1 && s.Mode == Sending {
		d.mark([]Mark{{ID: s.Asked[0], State: SetAside, Code: string(TooBig)}})
		d.tally()
		return
	}
	s.Room = max(RoomLeast, s.Room/2)
}

func (d *doing) signOut() {
	d.s.Why = ""
	if d.e.Answer != nil {
		d.s.Why = string(d.e.Answer.Code)
	}
	d.tell(SaySignedOut, d.s.Waiting(), d.s.Why)
}

// turnTo hands the phone to somebody else: their day comes, and the items of
// the hand before stay and wait.
func (d *doing) turnTo(person string) {
	s := d.s
	d.put(Effect{Kind: Turn, Epoch: s.Meta.Epoch, Person: person})
	s.Meta, s.Turned = s.Meta.AfterTurn(person), true
	if n := s.HeldFor(); n > 0 {
		d.tell(SayOtherPerson, n, "")
	}
}

func (d *doing) turn() {
	d.s.Turned = false
	if a := d.e.Answer; a != nil && a.Person != d.s.Meta.Person {
		d.turnTo(a.Person)
	}
}

func (d *doing) revoke() {
	s := d.s
	if s.Meta.Ending == Revoked {
		return // what is refused a second time stays set aside, and goes with the phone
	}
	ending, none := Revoked, ""
	d.put(Effect{Kind: DropPack, All: true})
	d.amend(Patch{Ending: &ending, Pack: &none})
	var marks []Mark
	for _, r := range s.Rows {
		if r.State == SetAside && r.Size <= MaxPayload {
			marks = append(marks, Mark{ID: r.Item.ID, State: Kept})
		}
	}
	d.mark(marks)
	d.tell(SayRevoked, 0, "")
}

func (d *doing) end() {
	if d.s.Meta.Ending == NotEnding && d.s.Meta.Person != "" {
		done := Done
		d.amend(Patch{Ending: &done})
	}
}

func (d *doing) wipe() {
	s := d.s
	all := s.Meta.Ending == Revoked
	var ids []string
	for _, r := range s.Rows {
		if all || s.own(r) {
			ids = append(ids, r.Item.ID)
		}
	}
	d.put(Effect{Kind: Wipe, Epoch: s.Meta.Epoch, Person: s.Meta.Person, IDs: ids, All: all})
}

func (d *doing) emptied() {
	s := d.s
	all := s.Meta.Ending == Revoked
	s.Rows = slices.DeleteFunc(slices.Clone(s.Rows), func(r Row) bool { return all || s.own(r) })
	s.Meta = s.Meta.AfterWipe()
	s.Checked, s.Asked, s.Lost = nil, nil, 0
	d.tally()
	d.tell(SayEmptied, len(s.Rows), "")
	if all {
		d.put(Effect{Kind: Read}) // a phone that was revoked begins anew, under a new name
	}
}

func (d *doing) filed() {
	var marks []Mark
	for _, id := range d.e.IDs {
		if i := d.s.row(id); i >= 0 {
			r := d.s.Rows[i]
			marks = append(marks, Mark{ID: id, State: r.State, Seq: r.Seq, Code: r.Code, Sentence: r.Sentence, Build: r.Build, Exported: true})
		}
	}
	d.mark(marks)
}

func (d *doing) release() {
	var marks []Mark
	for _, id := range d.e.IDs {
		if i := d.s.row(id); i >= 0 && d.s.Rows[i].State == SetAside && d.s.Rows[i].Size <= MaxPayload {
			marks = append(marks, Mark{ID: id, State: Kept})
		}
	}
	d.mark(marks)
}
