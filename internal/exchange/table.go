package exchange

// Mode is what a page is about.
type Mode string

// The modes.
const (
	Opening  Mode = "opening"  // storage is being read
	Stuck    Mode = "stuck"    // storage can be neither read nor written
	Empty    Mode = "empty"    // nobody's day is on this phone
	Resting  Mode = "resting"  // nothing to do
	Sending  Mode = "sending"  // items are under way
	Fetching Mode = "fetching" // the day's pack is asked for
	Checking Mode = "checking" // checksums are asked for, before the phone is emptied
	Wiping   Mode = "wiping"   // the phone is being emptied
	Waiting  Mode = "waiting"  // the last try failed, or comes too soon; the next has its time
	AtDoor   Mode = "at_door"  // the server wants a sign-in
)

// Modes lists the modes in the order in which tables show them.
var Modes = []Mode{Opening, Stuck, Empty, Resting, Sending, Fetching, Checking, Wiping, Waiting, AtDoor}

// EventKind names what happened.
type EventKind string

// The events: of storage, of the person, of the page, of the server.
const (
	Loaded     EventKind = "loaded"     // the storage was read
	Unreadable EventKind = "unreadable" // it could not be
	Stored     EventKind = "stored"     // items are in it, durably
	NotStored  EventKind = "not_stored" // they are not
	Wiped      EventKind = "wiped"      // it is empty
	NotWiped   EventKind = "not_wiped"  // it held something else and was left alone
	Changed    EventKind = "changed"    // another page of this phone wrote to it
	Closed     EventKind = "closed"     // the connection to it was taken away

	Record  EventKind = "record"  // the person recorded an item
	Nudge   EventKind = "nudge"   // the person asks to send, or opened the page
	Finish  EventKind = "finish"  // "done for today"
	Filed   EventKind = "filed"   // the person has the items in a file
	Release EventKind = "release" // a set-aside item is to be tried again

	Hint EventKind = "hint" // the page came to the front, or a network came up
	Tick EventKind = "tick" // a time that was asked for has come

	Answered EventKind = "answered"  // the server took the items, each with its result
	Packed   EventKind = "packed"    // the day's pack came
	Summed   EventKind = "summed"    // the checksums came
	NoAnswer EventKind = "no_answer" // nothing, half an answer, or "not now"
	NotOurs  EventKind = "not_ours"  // something else answered
	SignOut  EventKind = "sign_out"  // nobody is signed in, or the role was taken away
	Other    EventKind = "other"     // somebody else is signed in
	Revoke   EventKind = "revoke"    // the phone was revoked
	TooLong  EventKind = "too_long"  // the request was too long
	Late     EventKind = "late"      // a reply to a request that was given up
)

// Events lists the events in the order in which tables show them.
var Events = []EventKind{
	Loaded, Unreadable, Stored, NotStored, Wiped, NotWiped, Changed, Closed,
	Record, Nudge, Finish, Filed, Release, Hint, Tick,
	Answered, Packed, Summed, NoAnswer, NotOurs, SignOut, Other, Revoke, TooLong, Late,
}

// Way is one way on: the first way of a cell whose guard holds is taken.
type Way struct {
	If Guard    `json:"if"` // "" always
	Do []Action `json:"do"`
	To Mode     `json:"to"`
}

// Cell is what an event means in a mode: what is done in any case, and the
// ways on. An empty cell is one that cannot come about: a reply in a mode in
// which no request of its kind is under way is the event Late.
type Cell struct {
	Do   []Action `json:"do"`
	Ways []Way    `json:"ways"`
}

// Table is every mode by every event.
type Table map[Mode]map[EventKind]Cell

func do(a ...Action) []Action { return a }

func to(m Mode, a ...Action) Way { return Way{"", a, m} }

func when(g Guard, m Mode, a ...Action) Way { return Way{g, a, m} }

func ways(w ...Way) []Way { return w }

// cell puts what is always done before the ways on.
func cell(first []Action, w ...Way) Cell { return Cell{first, w} }

// stay is a cell that changes no mode.
func stay(m Mode, a ...Action) Cell { return Cell{a, ways(to(m))} }

// onward chooses what comes next where a try is welcome at once.
func onward() []Way {
	return ways(
		when(somethingLeft, Sending, send),
		when(revokedClear, Wiping, wipe),
		when(nobody, Empty),
		when(endingSafe, Checking, check),
		when(ending, Resting, tellKeptBack),
		when(packOld, Fetching, fetch),
		to(Resting))
}

// asked chooses the same where a person wants word from the server: with
// nothing else to do the day is asked for, which also shows who is signed in.
func asked() []Way {
	w := onward()
	return append(w[:len(w)-3], to(Fetching, fetch))
}

// slowly chooses the same where nobody asked: at most one request in a while.
func slowly() []Way {
	return ways(
		when(somethingLeftMay, Sending, send),
		when(somethingLeft, Waiting, soon),
		when(revokedClear, Wiping, wipe),
		when(nobody, Empty),
		when(endingSafeMay, Checking, check),
		when(endingSafe, Waiting, soon),
		when(ending, Resting),
		when(packOldMay, Fetching, fetch),
		to(Resting))
}

// after puts ways before others.
func after(rest []Way, first ...Way) []Way { return append(first, rest...) }

// recording is the cell of Record in a mode that goes on as it was.
func recording(m Mode) Cell {
	return cell(nil, when(revoked, m, tellRevoked), when(nobody, m, tellNoDay), to(m, keep))
}

// asking fills the cells that all modes with a request under way share.
func asking(m Mode, own map[EventKind]Cell) map[EventKind]Cell {
	all := map[EventKind]Cell{
		Loaded:     {do(adopt, flush), after(slowly(), when(sameHand, m))},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(m, saved),
		NotStored:  stay(m, notSaved),
		Wiped:      stay(m, read),
		NotWiped:   stay(m, read),
		Changed:    stay(m, read),
		Closed:     stay(Opening, read),
		Record:     recording(m),
		Nudge:      stay(m),
		Finish:     stay(m, end),
		Filed:      stay(m, filed),
		Release:    stay(m, release),
		Hint:       stay(m),
		Tick:       stay(m),
		NoAnswer:   cell(do(later), when(nobody, Empty), to(Waiting)),
		NotOurs:    cell(do(tellNotOurs, later), when(nobody, Empty), to(Waiting)),
		SignOut:    stay(AtDoor, signOut),
		Other:      {do(turn), after(onward(), when(sameHand, Waiting, later))},
		Revoke:     {do(take, revoke), after(onward(), when(stalled, Waiting, later))},
		TooLong:    stay(Waiting, later),
		Late:       stay(m, takeLate),
	}
	for k, c := range own {
		all[k] = c
	}
	return all
}

// Standing is the table. docs/reference/exchange.md shows it.
var Standing = Table{
	Opening: {
		Loaded:     {do(adopt, flush), asked()},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(Opening, saved),
		NotStored:  stay(Opening, notSaved),
		Wiped:      stay(Opening),
		NotWiped:   stay(Opening),
		Changed:    stay(Opening, read),
		Closed:     stay(Opening, read),
		Record:     stay(Opening, hold),
		Nudge:      stay(Opening),
		Finish:     stay(Opening),
		Filed:      stay(Opening),
		Release:    stay(Opening),
		Hint:       stay(Opening),
		Tick:       stay(Opening),
		Late:       stay(Opening, takeLate),
	},
	Stuck: {
		Loaded:     {do(adopt, flush), onward()},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(Opening, saved, read),
		NotStored:  stay(Stuck, notSaved),
		Wiped:      stay(Opening, read),
		NotWiped:   stay(Opening, read),
		Changed:    stay(Opening, read),
		Closed:     stay(Stuck),
		Record:     stay(Stuck, hold, tellStuck),
		Nudge:      stay(Opening, read),
		Finish:     stay(Stuck, tellStuck),
		Filed:      stay(Stuck, filed),
		Release:    stay(Stuck),
		Hint:       stay(Opening, read),
		Tick:       stay(Stuck),
		Late:       stay(Stuck, takeLate),
	},
	Empty: {
		Loaded:     {do(adopt, flush), slowly()},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(Empty, saved),
		NotStored:  stay(Empty, notSaved),
		Wiped:      stay(Empty, read),
		NotWiped:   stay(Empty, read),
		Changed:    stay(Empty, read),
		Closed:     stay(Opening, read),
		Record:     stay(Empty, tellNoDay),
		Nudge:      stay(Fetching, fetch),
		Finish:     stay(Empty),
		Filed:      stay(Empty, filed),
		Release:    stay(Empty),
		Hint:       stay(Empty),
		Tick:       stay(Empty),
		Late:       stay(Empty, takeLate),
	},
	Resting: {
		Loaded:     {do(adopt, flush), slowly()},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     {do(saved), slowly()},
		NotStored:  stay(Resting, notSaved),
		Wiped:      stay(Resting, read),
		NotWiped:   stay(Resting, read),
		Changed:    stay(Resting, read),
		Closed:     stay(Opening, read),
		Record:     recording(Resting),
		Nudge:      {do(flush), asked()},
		Finish:     {do(end), onward()},
		Filed:      {do(filed), slowly()},
		Release:    {do(release), slowly()},
		Hint:       {do(flush), slowly()},
		Tick:       {nil, slowly()},
		Late:       stay(Resting, takeLate),
	},
	Sending: asking(Sending, map[EventKind]Cell{
		Answered: {do(take), after(onward(), when(stalled, Waiting, later))},
		TooLong:  {do(shrink), onward()},
	}),
	Fetching: asking(Fetching, map[EventKind]Cell{
		Packed: {do(takePack), onward()},
	}),
	Checking: asking(Checking, map[EventKind]Cell{
		Summed: {do(takeSums), after(onward(), when(checked, Wiping, wipe), when(somethingLeft, Waiting, later))},
	}),
	Wiping: {
		Loaded:     stay(Wiping, adopt),
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(Wiping, saved),
		NotStored:  stay(Wiping, notSaved),
		Wiped:      stay(Empty, emptied),
		NotWiped:   stay(Opening, read),
		Changed:    stay(Wiping),
		Closed:     stay(Opening, read),
		Record:     recording(Wiping),
		Nudge:      stay(Wiping),
		Finish:     stay(Wiping),
		Filed:      stay(Wiping, filed),
		Release:    stay(Wiping),
		Hint:       stay(Wiping),
		Tick:       stay(Wiping),
		Late:       stay(Wiping, takeLate),
	},
	Waiting: {
		Loaded:     {do(adopt, flush), after(slowly(), when(sameHand, Waiting))},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(Waiting, saved),
		NotStored:  stay(Waiting, notSaved),
		Wiped:      stay(Waiting, read),
		NotWiped:   stay(Waiting, read),
		Changed:    stay(Waiting, read),
		Closed:     stay(Opening, read),
		Record:     recording(Waiting),
		Nudge:      {do(flush), asked()},
		Finish:     {do(end), onward()},
		Filed:      stay(Waiting, filed),
		Release:    stay(Waiting, release),
		Hint:       {do(flush), slowly()},
		Tick:       cell(nil, after(onward(), when(early, Waiting))...),
		Late:       stay(Waiting, takeLate),
	},
	AtDoor: {
		Loaded:     {do(adopt, flush), after(slowly(), when(sameHand, AtDoor))},
		Unreadable: stay(Stuck, tellStuck),
		Stored:     stay(AtDoor, saved),
		NotStored:  stay(AtDoor, notSaved),
		Wiped:      stay(AtDoor, read),
		NotWiped:   stay(AtDoor, read),
		Changed:    stay(AtDoor, read),
		Closed:     stay(Opening, read),
		Record:     recording(AtDoor),
		Nudge:      {do(flush), after(asked(), when(nobody, Fetching, fetch))},
		Finish:     stay(AtDoor, end, tellSignedOut),
		Filed:      stay(AtDoor, filed),
		Release:    stay(AtDoor, release),
		Hint:       stay(AtDoor, flush),
		Tick:       stay(AtDoor),
		Late:       stay(AtDoor, takeLate),
	},
}
