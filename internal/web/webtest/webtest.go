// Package webtest puts the pages together over a store in memory, with a
// simple sign-in and a clock that stands still, for the tests of the pages.
package webtest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/internal/clock"
	"firnhand/internal/hill"
	"firnhand/internal/web"
	"firnhand/internal/web/page"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// Morning is the moment at which the clock stands: Thursday 14 January 2027.
var Morning = time.Date(2027, 1, 14, 8, 0, 0, 0, time.UTC)

// FirstCode is the code that makes the first lead.
const FirstCode = "snow-crow-tarn-1234"

// Bench is the pages with everything behind them.
type Bench struct {
	T      testing.TB
	Site   *web.Site
	Cases  *programme.Service
	Store  *programmetest.Memory
	Clock  *clock.Fixed
	SignIn *Door
	IDs    *programmetest.IDs
	Orders []page.CardOrder // cards that were asked for
	Sheets []page.SheetOrder
	Papers []page.PaperOrder
	Server *httptest.Server
	log    *slog.Logger
}

// New returns a bench without anybody in it.
func New(t testing.TB) *Bench {
	t.Helper()
	return NewWith(t, false)
}

// NewWith is New, with the pages told that they are served over TLS.
func NewWith(t testing.TB, secure bool) *Bench {
	t.Helper()
	b := &Bench{T: t, Store: programmetest.NewMemory(), Clock: clock.At(Morning), IDs: programmetest.NewIDs(1), log: slog.New(slog.DiscardHandler)}
	vocabulary := programme.CoreVocabulary{Table: decide.Standing()}
	b.Cases = programme.New(programme.Config{Store: b.Store, Clock: b.Clock, Vocabulary: vocabulary, Random: b.IDs, Holds: vocabulary.Holds})
	b.SignIn = &Door{b: b, tickets: map[string]programme.ID{}, people: map[string]login{}, codes: map[string]programme.ID{}}
	tables := &programme.Tables{}
	b.Site = web.New(web.Deps{
		Cases: b.Cases, SignIn: b.SignIn, Clock: b.Clock, Random: b.IDs, Secure: secure, Log: b.log, Version: "test",
		Table: func(ctx context.Context, a programme.Actor, at programme.AsOf) (*decide.Table, error) {
			signed, err := b.Cases.Settings(ctx, a, at)
			if err != nil {
				return nil, err
			}
			return tables.For(signed)
		},
		Card: b.card, Lesson: b.lesson, Phone: hill.Files(), Sheet: b.sheet, Paper: b.paper, Stance: b.stance, Shape: readShape, Forecast: readForecast,
	})
	return b
}

// card stands for the printer: it keeps the order and writes what the answer
// says, so that a test can see what would be printed.
func (b *Bench) card(_ context.Context, o page.CardOrder) (page.PrintedCard, error) {
	b.Orders = append(b.Orders, o)
	way, _ := o.Answer.Axis("way")
	text := fmt.Sprintf("%s\n%s\n%s\ncard %s\n", o.Record.NameUsed, o.ForDay, way.Label, o.ID)
	return page.PrintedCard{PDF: []byte("%PDF-1.4\n" + text), Text: text}, nil
}

// lesson stands for what a card says.
func (b *Bench) lesson(_ context.Context, o page.CardOrder) (json.RawMessage, error) {
	way, _ := o.Answer.Axis("way")
	return json.Marshal(map[string]any{"first_name": strings.Fields(o.Record.NameUsed)[0], "lesson_code": "X", "goal": "", "stop_word": "Stop",
		"cautions": []map[string]string{{"label": "Never", "text": "pull the right arm"}}, "set_up": map[string]any{"way": way.Label, "sided": nil, "shared": nil},
		"plan":     map[string]any{"fan_left": map[string]string{"number": "45", "unit": "°"}, "fan_right": map[string]string{"number": "30", "unit": "°"}, "block": map[string]string{"number": "20", "unit": "min"}, "rest": map[string]string{}, "terrain": "Under 5 %", "help": "4, light hold", "helpers": "1", "more": nil},
		"handover": nil, "contacts": []map[string]string{{"label": "Patrol", "text": "radio 1"}}})
}

// stance stands for the printer of stances.
func (b *Bench) stance(_ context.Context, o page.CardOrder, place string) ([]byte, error) {
	return []byte("%PDF-1.4\n" + o.Record.NameUsed + " " + place), nil
}

// sheet stands for the printer of requests to the binding technician.
func (b *Bench) sheet(_ context.Context, o page.SheetOrder) ([]byte, error) {
	b.Sheets = append(b.Sheets, o)
	return []byte("%PDF-1.4\n" + o.Name), nil
}

// Door is the simplest sign-in that could work.
type Door struct {
	b       *Bench
	mu      sync.Mutex
	tickets map[string]programme.ID
	people  map[string]login
	codes   map[string]programme.ID
}

type login struct {
	staff    programme.ID
	password string
}

var _ page.SignIn = (*Door)(nil)

func (d *Door) ticket(staff programme.ID) page.Ticket {
	sum := sha256.Sum256([]byte(string(staff) + string(d.b.IDs.Next())))
	t := hex.EncodeToString(sum[:])
	d.tickets[t] = staff
	return page.Ticket{Token: t, Ends: d.b.Clock.Now().Add(12 * time.Hour)}
}

// Who implements page.SignIn.
func (d *Door) Who(ctx context.Context, token string) (programme.Actor, error) {
	d.mu.Lock()
	staff, ok := d.tickets[token]
	d.mu.Unlock()
	if !ok {
		return programme.Actor{}, programme.Refuse(programme.CodeSignedOut, "Sign in to go on.")
	}
	return d.b.Cases.ActorOf(ctx, staff)
}

// Enter implements page.SignIn.
func (d *Door) Enter(_ context.Context, name, password, _, _ string) (page.Ticket, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	l, ok := d.people[name]
	if !ok || l.password != password {
		return page.Ticket{}, programme.Refuse(programme.CodeSignIn, "Login and password do not go together.")
	}
	return d.ticket(l.staff), nil
}

// Leave implements page.SignIn.
func (d *Door) Leave(_ context.Context, token string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.tickets, token)
	return nil
}

// FirstLead implements page.SignIn.
func (d *Door) FirstLead(ctx context.Context, code string, p page.Person, _, _ string) (page.Ticket, error) {
	if code != FirstCode {
		return page.Ticket{}, programme.Refuse(programme.CodeSignIn, "This code is not the one that was printed.")
	}
	staff := d.b.IDs.Next()
	_, err := d.b.Cases.FirstLead(ctx, programme.Made{ID: d.b.IDs.Next()}, programme.StaffDetails{Staff: staff, NameUsed: p.Name, Roles: []programme.Role{programme.Lead, programme.Instructor}})
	if err != nil {
		return page.Ticket{}, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.people[p.Login] = login{staff, p.Password}
	return d.ticket(staff), nil
}

// Invite implements page.SignIn.
func (d *Door) Invite(_ context.Context, _ programme.Actor, staff programme.ID) (string, time.Time, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	code := "join-" + string(d.b.IDs.Next())[30:]
	d.codes[code] = staff
	return code, d.b.Clock.Now().Add(time.Hour), nil
}

// Join implements page.SignIn.
func (d *Door) Join(_ context.Context, code string, p page.Person, _, _ string) (page.Ticket, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	staff, ok := d.codes[code]
	if !ok {
		return page.Ticket{}, programme.Refuse(programme.CodeSignIn, "This code is wrong or was used before.")
	}
	delete(d.codes, code)
	d.people[p.Login] = login{staff, p.Password}
	return d.ticket(staff), nil
}

// Devices implements page.SignIn.
func (d *Door) Devices(_ context.Context, token string) ([]page.Device, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []page.Device
	for t, staff := range d.tickets {
		if staff == d.tickets[token] {
			out = append(out, page.Device{ID: page.DerivedID(t), Name: "Chromium on Linux", Began: Morning, LastSeen: Morning, This: t == token})
		}
	}
	return out, nil
}

// EndDevice implements page.SignIn.
func (d *Door) EndDevice(_ context.Context, token string, id programme.ID) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	for t, staff := range d.tickets {
		if staff == d.tickets[token] && t != token && (id == "" || id == page.DerivedID(t)) {
			delete(d.tickets, t)
		}
	}
	return nil
}

// DevicesOf implements page.SignIn.
func (d *Door) DevicesOf(_ context.Context, _ programme.Actor, staff programme.ID) ([]page.Device, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []page.Device
	for t, who := range d.tickets {
		if who == staff {
			out = append(out, page.Device{ID: page.DerivedID(t), Name: "Chromium on Linux", Began: Morning, LastSeen: Morning})
		}
	}
	return out, nil
}

// EndDevices implements page.SignIn.
func (d *Door) EndDevices(_ context.Context, _ programme.Actor, staff, id programme.ID) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	for t, who := range d.tickets {
		if who == staff && (id == "" || id == page.DerivedID(t)) {
			delete(d.tickets, t)
		}
	}
	return nil
}

// PhoneCode implements page.SignIn.
func (d *Door) PhoneCode(_ context.Context, token string) (string, time.Time, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	code := "phone-" + string(d.b.IDs.Next())[30:]
	d.codes[code] = d.tickets[token]
	return code, d.b.Clock.Now().Add(10 * time.Minute), nil
}

// EnterPhone implements page.SignIn.
func (d *Door) EnterPhone(_ context.Context, code, _, _ string) (page.Ticket, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	staff, ok := d.codes[code]
	if !ok {
		return page.Ticket{}, programme.Refuse(programme.CodeSignIn, "This code is wrong or was used before.")
	}
	delete(d.codes, code)
	return d.ticket(staff), nil
}

// Passkeys are tried with the real sign-in; this one has none.
var errNoPasskeys = programme.Refuse(programme.CodeConflict, "Passkeys cannot be used under this address.")

// Origins implements page.SignIn.
func (d *Door) Origins(string) bool { return false }

// AskNewPasskey implements page.SignIn.
func (d *Door) AskNewPasskey(context.Context, string, string) (programme.ID, []byte, error) {
	return "", nil, errNoPasskeys
}

// AddPasskey implements page.SignIn.
func (d *Door) AddPasskey(context.Context, string, string, programme.ID, []byte, string) error {
	return errNoPasskeys
}

// AskPasskey implements page.SignIn.
func (d *Door) AskPasskey(context.Context, string) (programme.ID, []byte, error) {
	return "", nil, errNoPasskeys
}

// EnterPasskey implements page.SignIn.
func (d *Door) EnterPasskey(context.Context, string, programme.ID, []byte, string, string) (page.Ticket, error) {
	return page.Ticket{}, errNoPasskeys
}

// Passkeys implements page.SignIn.
func (d *Door) Passkeys(context.Context, string) ([]page.Passkey, error) { return nil, nil }

// RemovePasskey implements page.SignIn.
func (d *Door) RemovePasskey(context.Context, string, programme.ID) error { return errNoPasskeys }

// ChangePassword implements page.SignIn.
func (d *Door) ChangePassword(_ context.Context, token, old, new string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	for name, l := range d.people {
		if l.staff == d.tickets[token] {
			if l.password != old {
				return programme.Refuse(programme.CodeSignIn, "That is not the password you have now.")
			}
			if len(new) < 8 {
				return programme.Refuse(programme.CodeInvalid, "A password has at least 8 characters.")
			}
			d.people[name] = login{l.staff, new}
		}
	}
	return nil
}

// Log lets the pages write their log there from now on.
func (b *Bench) Log(l *slog.Logger) { *b.log = *slog.New(l.Handler()) }

// Serve starts the pages on loopback until the test ends.
func (b *Bench) Serve() *httptest.Server {
	if b.Server == nil {
		b.Server = httptest.NewServer(b.Site)
		b.T.Cleanup(b.Server.Close)
	}
	return b.Server
}

// Staff adds a member of staff with roles, and returns the person and a
// cookie with which a request is theirs. The first one asked for must lead.
func (b *Bench) Staff(name string, roles ...programme.Role) (programme.Actor, *http.Cookie) {
	b.T.Helper()
	ctx := context.Background()
	d := programme.StaffDetails{Staff: b.IDs.Next(), NameUsed: name, Roles: roles}
	has, err := b.Cases.HasLead(ctx)
	if err == nil && !has {
		_, err = b.Cases.FirstLead(ctx, programme.Made{ID: b.IDs.Next()}, d)
	} else if err == nil {
		_, err = b.Cases.PutStaff(ctx, programme.Actor{Staff: b.IDs.Next(), Roles: []programme.Role{programme.Lead}}, programme.Made{ID: b.IDs.Next()}, d)
	}
	if err != nil {
		b.T.Fatal(err)
	}
	a, err := b.Cases.ActorOf(ctx, d.Staff)
	if err != nil {
		b.T.Fatal(err)
	}
	b.SignIn.mu.Lock()
	defer b.SignIn.mu.Unlock()
	b.SignIn.people[strings.ToLower(name)] = login{d.Staff, "four plain words here"}
	return a, &http.Cookie{Name: "firnhand", Value: b.SignIn.ticket(d.Staff).Token}
}
