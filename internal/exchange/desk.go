package exchange

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strconv"
	"time"

	"firnhand/programme"
)

// Cases is what the server's side asks of the records.
type Cases interface {
	PhoneOf(ctx context.Context, phone programme.ID, secretHash string) (programme.PhoneState, error)
	EnrolPhone(ctx context.Context, a programme.Actor, phone programme.ID, secretHash, name string) (programme.PhoneState, error)
	TakeFromPhone(ctx context.Context, a programme.Actor, items []programme.PhoneItem) []programme.PhoneOutcome
	HoldFromPhone(ctx context.Context, p programme.PhoneState, items []programme.PhoneItem) []programme.PhoneOutcome
	FromPhone(ctx context.Context, a programme.Actor, ids []programme.ID) ([]programme.Fact, error)
}

// Desk is the server's side of the exchange.
type Desk struct {
	Cases Cases
	Clock programme.Clock
	Build string // of the server
	// Day returns the day's pack of a person, and its version.
	Day func(ctx context.Context, a programme.Actor) (version string, day json.RawMessage, err error)
	// LockAfter is how long a phone shows a day without contact.
	LockAfter time.Duration
}

// SecretHash is what the server keeps of a phone's secret.
func SecretHash(secret string) string {
	h := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(h[:])
}

// Answer answers one request of the person a, the zero Actor for nobody. name
// is what the person will recognise the phone by.
func (d Desk) Answer(ctx context.Context, a programme.Actor, name string, r Request) Answer {
	out := Answer{Firnhand: Marker, Exchange: Version, Echo: r.Echo, Person: string(a.Staff), At: d.Clock.Now().UnixMilli(), Build: d.Build,
		LockAfter: d.LockAfter.Milliseconds()}
	fail := func(code Code, sentence string) Answer {
		out.Code, out.Sentence = code, sentence
		return out
	}
	if len(r.Items) > MaxItems || len(r.IDs) > MaxQueried {
		return fail(TooBig, "This is too much at once.")
	}
	phone, err := d.Cases.PhoneOf(ctx, programme.ID(r.Device), SecretHash(r.Secret))
	known := err == nil
	switch {
	case known && phone.Revoked:
		out.Results = d.hold(ctx, phone, r.Items)
		return fail(Gone, "This phone was revoked.")
	case err != nil && programme.CodeOf(err) == programme.CodeNotAllowed:
		return fail(NotAllowed, programme.SentenceOf(err))
	case err != nil && programme.CodeOf(err) != programme.CodeNotFound:
		return fail(Busy, programme.SentenceOf(err))
	case a.Staff == "":
		return fail(SignedOut, "Sign in to send what is on this phone.")
	case !a.May(programme.LogSnow):
		return fail(NotAllowed, "Your role does not allow recording on snow.")
	case !r.Pack && r.Person != string(a.Staff):
		return fail(OtherPerson, "Somebody else is signed in.")
	}
	if !known || phone.Staff != a.Staff {
		if _, err := d.Cases.EnrolPhone(ctx, a, programme.ID(r.Device), SecretHash(r.Secret), name); err != nil {
			return fail(Busy, programme.SentenceOf(err))
		}
	}
	out.Code = Taken
	switch {
	case r.Pack:
		if out.Pack, out.Day, err = d.Day(ctx, a); err != nil {
			return fail(Busy, programme.SentenceOf(err))
		}
	case len(r.Items) > 0:
		out.Results = d.Take(ctx, a, r.Items)
	default:
		if out.Sums, err = d.sums(ctx, a, r.IDs); err != nil {
			return fail(Busy, programme.SentenceOf(err))
		}
	}
	return out
}

// MaxQueried bounds the checksums that one request may ask for.
const MaxQueried = 5000

// sound reads an item as the records want it, or says why not.
func sound(i Item) (programme.PhoneItem, *Result) {
	bad := func(code, sentence string) (programme.PhoneItem, *Result) {
		return programme.PhoneItem{}, &Result{ID: i.ID, Outcome: Refused, Code: code, Sentence: sentence}
	}
	if SumOf(i) != i.Sum {
		return bad("damaged", "What arrived is not what was recorded on the phone.")
	}
	at, err := time.Parse(time.RFC3339, i.MadeAt)
	if err != nil || at.Year() < 1 || at.Year() > 9999 {
		return bad("invalid", "The time at which it was recorded is no time.")
	}
	return programme.PhoneItem{ID: programme.ID(i.ID), Student: programme.ID(i.Student), Kind: programme.Kind(i.Kind), Version: i.Version,
		Payload: []byte(i.Payload), Names: programme.ID(i.Names), MadeAt: at, Author: programme.ID(i.Author)}, nil
}

// Take takes the sound items in order. Those of somebody else are put off: a
// page never sends them, and nobody may bring them in another's name.
func (d Desk) Take(ctx context.Context, a programme.Actor, items []Item) []Result {
	return d.each(items, func(i Item) *Result {
		if i.Author != string(a.Staff) {
			return &Result{ID: i.ID, Outcome: Later, Code: string(OtherPerson), Sentence: "It waits for the one who recorded it."}
		}
		return nil
	}, func(sound []programme.PhoneItem) []programme.PhoneOutcome {
		return d.Cases.TakeFromPhone(ctx, a, sound)
	})
}

func (d Desk) hold(ctx context.Context, p programme.PhoneState, items []Item) []Result {
	return d.each(items, func(Item) *Result { return nil },
		func(sound []programme.PhoneItem) []programme.PhoneOutcome {
			return d.Cases.HoldFromPhone(ctx, p, sound)
		})
}

// each answers every item: those that first answers, or that are not sound, at
// once, the others by then.
func (d Desk) each(items []Item, first func(Item) *Result, then func([]programme.PhoneItem) []programme.PhoneOutcome) []Result {
	out := make([]Result, len(items))
	var good []programme.PhoneItem
	var at []int
	for n, i := range items {
		if r := first(i); r != nil {
			out[n] = *r
			continue
		}
		it, bad := sound(i)
		if bad != nil {
			out[n] = *bad
			continue
		}
		good, at = append(good, it), append(at, n)
	}
	if len(good) == 0 {
		return out
	}
	for k, o := range then(good) {
		out[at[k]] = Result{ID: string(o.ID), Outcome: Outcome(o.Outcome), Seq: o.Seq, Code: string(o.Code), Sentence: o.Sentence}
	}
	return out
}

// sums reads the facts back from the store and returns the checksum of each.
func (d Desk) sums(ctx context.Context, a programme.Actor, ids []string) (map[string]string, error) {
	var want []programme.ID
	for _, id := range ids {
		want = append(want, programme.ID(id))
	}
	facts, err := d.Cases.FromPhone(ctx, a, want)
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for _, f := range facts {
		out[string(f.ID)] = SumOf(Item{ID: string(f.ID), Author: string(f.Author), Student: string(f.Student), Kind: string(f.Kind),
			Version: f.Version, Payload: string(f.Payload), Names: string(f.Names)})
	}
	return out, nil
}

// EventOf reads an answer as the event of the page that asked for it with an
// echo; request is the effect that asked: Send, Fetch or Check. Anything but an
// answer of this server to this request is NoAnswer or NotOurs.
func EventOf(body []byte, echo string, request EffectKind) (EventKind, *Answer) {
	var a Answer
	if err := json.Unmarshal(body, &a); err != nil {
		if looksCut(body) {
			return NoAnswer, nil
		}
		return NotOurs, nil
	}
	switch {
	case a.Firnhand != Marker:
		return NotOurs, nil
	case a.Echo != echo:
		return NoAnswer, nil // an answer to something else, kept by somebody on the way
	}
	switch a.Code {
	case Taken:
		switch {
		case request == Send:
			return Answered, &a
		case request == Fetch && a.Person != "":
			return Packed, &a
		case request == Check:
			return Summed, &a
		}
	case SignedOut, NotAllowed:
		return SignOut, &a
	case OtherPerson:
		if a.Person != "" {
			return Other, &a
		}
	case Gone:
		return Revoke, &a
	case TooBig:
		return TooLong, &a
	}
	return NoAnswer, nil
}

// looksCut tells whether a body began as ours and broke off.
func looksCut(body []byte) bool {
	const begins = `{"firnhand":"` + Marker + `"`
	n := min(len(body), len(begins))
	return string(body[:n]) == begins[:n]
}

// Bytes is the size of an item's payload as rows count it.
func (i Item) Bytes() int { return len(i.Payload) }

// String names an item in a log without what it says.
func (i Item) String() string { return i.Kind + " " + i.ID + " v" + strconv.Itoa(i.Version) }
