package cli

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/auth"
	"firnhand/internal/card"
	"firnhand/internal/hill"
	"firnhand/internal/sqlite"
	"firnhand/internal/vault"
	"firnhand/internal/web"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// house is one programme's records with everything that works on them.
type house struct {
	store  *sqlite.Store
	cases  *programme.Service
	desk   *auth.Desk
	tables *programme.Tables
	clock  programme.Clock // of the records
	secure bool            // browsers reach the pages over TLS
}

// files names what the records of one programme lie in.
type files struct {
	data string // the facts and the sign-ins
	keys string // the keys that open the students' text; "" for data + ".keys"
}

// openHouse opens the records, or makes them. facts is the clock of the records, wall that of sign-in: browsers compare a sign-in's end with their
// own time, so it is always the real one. random makes ids; secrets always come
// from the machine.
func openHouse(ctx context.Context, at files, facts, wall programme.Clock, random io.Reader, zone *time.Location, log *slog.Logger) (*house, error) {
	store, err := sqlite.Open(ctx, at.data)
	if err != nil {
		return nil, err
	}
	keys, err := openKeys(ctx, store, at)
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	h := &house{store: store, tables: &programme.Tables{}, clock: facts}
	h.cases = programme.New(programme.Config{Store: vault.Wrap(store, keys), Clock: facts, Vocabulary: programme.CoreVocabulary{Table: decide.Standing()},
		Random: random, Zone: zone, Keys: keys, Holds: h.holds})
	h.desk = auth.New(auth.Config{Store: store, People: h.cases, Clock: wall, Random: rand.Reader, Log: log})
	return h, nil
}

// openKeys opens the key file that belongs to the records. A new one is made
// only for records that are new too: beside older ones it could open nothing.
func openKeys(ctx context.Context, store programme.Store, at files) (*vault.Keys, error) {
	if at.keys == "" {
		at.keys = at.data + ".keys"
	}
	if _, err := os.Stat(at.keys); errors.Is(err, fs.ErrNotExist) {
		n, err := store.Counts(ctx)
		if err != nil {
			return nil, err
		}
		if n.Facts > 0 {
			return nil, refuse("no_keys", "There are records in %s, but their key file %s is missing. Put it back: without it nobody can read what is in them.", at.data, at.keys)
		}
	}
	return vault.Open(at.keys, rand.Reader)
}

func (h *house) Close() error { return h.store.Close() }

// steward is the machine's own hand: it reads the settings for the rules and
// does what whoever may start the program may do anyway.
var steward = programme.Actor{Staff: "00000000-0000-7000-8000-0000000000ff", Name: "this machine", Roles: []programme.Role{programme.Lead}}

// table returns the rule table with the numbers signed off by a moment.
func (h *house) table(ctx context.Context, a programme.Actor, at programme.AsOf) (*decide.Table, error) {
	signed, err := h.cases.Settings(ctx, a, at)
	if err != nil {
		return nil, err
	}
	return h.tables.For(signed)
}

// holds are the holds that the rules ask for, by the numbers signed off now.
// While those cannot be read, the proposed ones count: a hold is never lost
// for want of a number.
func (h *house) holds(r programme.Record) []programme.Hold {
	t, err := h.table(context.Background(), steward, programme.AsOf{})
	if err != nil {
		t = decide.Standing()
	}
	return programme.CoreVocabulary{Table: t}.Holds(r)
}

// pages puts the pages over the records.
func (h *house) pages(zone *time.Location, log *slog.Logger, version string) *web.Site {
	return web.New(web.Deps{
		Cases: h.cases, SignIn: door{h.desk}, Table: h.table, Card: printCard, Lesson: lessonContent, Phone: hill.Files(), Sheet: printSheet, Paper: printPaper, Stance: printStanceCard, Shape: readShape, Forecast: readForecast, Clock: h.clock, Random: rand.Reader,
		Zone: zone, Log: log, Secure: h.secure, Version: version,
	})
}

// door fits sign-in to the pages.
type door struct{ *auth.Desk }

var _ page.SignIn = door{}

func ticket(t auth.Ticket, err error) (page.Ticket, error) { return page.Ticket(t), err }

// Enter implements page.SignIn.
func (d door) Enter(ctx context.Context, login, password, device, from string) (page.Ticket, error) {
	return ticket(d.Desk.Enter(ctx, login, password, device, from))
}

// FirstLead implements page.SignIn.
func (d door) FirstLead(ctx context.Context, code string, p page.Person, device, from string) (page.Ticket, error) {
	return ticket(d.Desk.FirstLead(ctx, code, auth.Person(p), device, from))
}

// Join implements page.SignIn.
func (d door) Join(ctx context.Context, code string, p page.Person, device, from string) (page.Ticket, error) {
	return ticket(d.Desk.Join(ctx, code, auth.Person(p), device, from))
}

// printCard makes a card from what the records say. The same order gives the
// same bytes.
func printCard(_ context.Context, o page.CardOrder) (page.PrintedCard, error) {
	content, err := card.FromAnswer(lessonOf(o))
	if err != nil {
		return page.PrintedCard{}, cardRefused(err)
	}
	var pdf, text strings.Builder
	if err := errors.Join(card.PDF(&pdf, content), card.Text(&text, content)); err != nil {
		return page.PrintedCard{}, cardRefused(err)
	}
	return page.PrintedCard{PDF: []byte(pdf.String()), Text: text.String()}, nil
}

// lessonContent is what the card says, for a phone: the same words without the
// drawing.
func lessonContent(_ context.Context, o page.CardOrder) (json.RawMessage, error) {
	content, err := card.FromAnswer(lessonOf(o))
	if err != nil {
		return nil, cardRefused(err)
	}
	content.SetUp.Figure = nil
	return json.Marshal(content)
}

func cardRefused(err error) error {
	var e *card.Error
	if errors.As(err, &e) {
		return programme.Refuse(programme.CodeInvalid, "%s", e.Sentence)
	}
	return programme.Fail(programme.CodeInternal, err, "The card could not be made.")
}

// lessonOf gathers what a card is made from out of a student's record. It reads
// nothing that only some roles may see, so the same card comes out whoever asks
// for it again.
func lessonOf(o page.CardOrder) card.Lesson {
	id := strings.ReplaceAll(string(o.ID), "-", "")
	l := card.Lesson{
		FirstName: firstName(o.Record.NameUsed), Day: time.Date(o.ForDay.Year, o.ForDay.Month, o.ForDay.Day, 0, 0, 0, 0, time.UTC),
		Answer: o.Answer, Findings: o.Decision.Input.Findings,
		Contacts: []card.Line{{Label: "Lead", Text: "________________"}, {Label: "Patrol", Text: "________________"}},
		Trace: card.Trace{CardID: id, MadeAt: o.MadeAt, DataUpTo: uint64(max(0, o.Record.UpTo)), DataAt: o.DataAt,
			CoreVersion: o.Answer.Version, InputCode: inputCode(o)},
	}
	first, _ := utf8.DecodeRuneInString(l.FirstName)
	l.LessonCode = strings.ToUpper(string(first)) + "-" + tail(id, 4)
	for i := len(o.Record.Notes) - 1; i >= 0; i-- {
		if n := o.Record.Notes[i]; n.Class == programme.NoteWork && n.About == "lesson" {
			l.Handover = append(l.Handover, card.Line{Label: "Last time", Text: card.Shorten(n.Text, 100), Second: true})
			break
		}
	}
	carryHandover(&l, o)
	signed, proposed := gearOf(o)
	carryGear(&l, signed, proposed)
	l.Hill = hillOf(o)
	if p, err := programme.PlanOf(o.Table, o.Record, o.Hill, programme.PlanAsk{Day: o.ForDay, AllDay: true, Minutes: usualLesson}); err == nil {
		carryPlan(&l, p.Result)
	}
	return l
}

// gearOf returns the set-up that two people signed, or what is proposed: the
// newest sheet, or the numbers for this body as they follow from the answer. A
// sheet for another way of skiing or another tie than the answer's is left out.
func gearOf(o page.CardOrder) (signed *programme.SetUpState, proposed []programme.SetUpItem) {
	if s, ok := o.Record.SetUp(); ok && s.Changed(o.Answer) == "" {
		return &s, nil
	}
	if s, ok := o.Record.LatestSetUp(); ok && s.Status != programme.SetUpVoid && s.Changed(o.Answer) == "" {
		return nil, s.Items
	}
	items, err := programme.ProposedItems(o.Table, o.Answer, o.Decision.Input.Findings, o.Record.Measured(), programme.Fitting{})
	if err != nil {
		return nil, nil // not decided yet, or sitting: the card says so itself
	}
	return nil, items
}

// firstName is the first word of the name a student uses: the card carries no
// surname.
func firstName(s string) string {
	first, _, _ := strings.Cut(strings.TrimSpace(s), " ")
	return first
}

func tail(s string, n int) string { return s[max(0, len(s)-n):] }

// inputCode is a short code of everything the answer was made from.
func inputCode(o page.CardOrder) string {
	h := sha256.New()
	for _, k := range o.Decision.Input.Findings.Keys() {
		d, _ := finding.Lookup(k.ID)
		io.WriteString(h, k.String()+"="+finding.Format(d, o.Decision.Input.Findings[k])+"\n")
	}
	for _, c := range slices.Sorted(slices.Values(o.Decision.Input.Cleared)) {
		io.WriteString(h, "cleared "+c+"\n")
	}
	for _, e := range o.Decision.Input.Held {
		io.WriteString(h, "held "+e.String()+"\n")
	}
	for _, s := range o.Table.Settings() {
		io.WriteString(h, s.Name+"="+finding.FormatNumber(s.Value)+"\n")
	}
	if s, ok := o.Record.SetUp(); ok {
		io.WriteString(h, "signed set-up "+string(s.ID)+"\n")
	}
	if s, ok := o.Record.LatestSetUp(); ok {
		io.WriteString(h, "set-up "+string(s.ID)+" "+string(s.Status)+"\n")
		for i, it := range s.Items {
			if m := s.Measured[i]; m.Done {
				io.WriteString(h, it.Item+" "+it.Side+" "+string(m.Fact)+"\n")
			}
		}
	}
	code := hex.EncodeToString(h.Sum(nil))
	return code[:4] + "-" + code[4:8]
}

// Devices implements page.SignIn.
func (d door) Devices(ctx context.Context, token string) ([]page.Device, error) {
	list, err := d.Desk.Devices(ctx, token)
	return devices(list), err
}

// DevicesOf implements page.SignIn.
func (d door) DevicesOf(ctx context.Context, by programme.Actor, staff programme.ID) ([]page.Device, error) {
	list, err := d.Desk.DevicesOf(ctx, by, staff)
	return devices(list), err
}

func devices(list []auth.Device) []page.Device {
	var out []page.Device
	for _, x := range list {
		out = append(out, page.Device{ID: x.ID, Name: x.Name, Began: x.Began, LastSeen: x.LastSeen, This: x.This, Phone: x.Phone})
	}
	return out
}

// EnterPhone implements page.SignIn.
func (d door) EnterPhone(ctx context.Context, code, device, from string) (page.Ticket, error) {
	return ticket(d.Desk.EnterPhone(ctx, code, device, from))
}

// EnterPasskey implements page.SignIn.
func (d door) EnterPasskey(ctx context.Context, origin string, asked programme.ID, answer []byte, device, from string) (page.Ticket, error) {
	return ticket(d.Desk.EnterPasskey(ctx, origin, asked, answer, device, from))
}

// Passkeys implements page.SignIn.
func (d door) Passkeys(ctx context.Context, token string) ([]page.Passkey, error) {
	list, err := d.Desk.Passkeys(ctx, token)
	var out []page.Passkey
	for _, x := range list {
		out = append(out, page.Passkey(x))
	}
	return out, err
}
