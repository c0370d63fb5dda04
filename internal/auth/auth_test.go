package auth_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"log/slog"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"firnhand/internal/auth"
	"firnhand/internal/clock"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var ctx = context.Background()

const (
	good  = "velvet tractor ninety plums"
	other = "copper lantern under seven"
	here  = "127.0.0.1"
)

type words struct{}

func (words) CheckFinding(_ programme.FindingKey, v string) (string, error) { return v, nil }
func (words) Tires(string) bool                                             { return false }
func (words) NeedsPaper(string, string) bool                                { return false }
func (words) CheckSetting(_, v string) (string, error)                      { return v, nil }
func (words) CheckGate(string) error                                        { return nil }

type rig struct {
	t     *testing.T
	store *programmetest.Memory
	clock *clock.Fixed
	cases *programme.Service
	log   *bytes.Buffer
	*auth.Desk
}

func newRig(t *testing.T) *rig {
	r := &rig{t: t, store: programmetest.NewMemory(), clock: clock.At(programmetest.Noon), log: &bytes.Buffer{}}
	ids := programmetest.NewIDs(1)
	r.cases = programme.New(programme.Config{Store: r.store, Clock: r.clock, Vocabulary: words{}, Random: ids})
	r.Desk = auth.New(auth.Config{Store: r.store, People: r.cases, Clock: r.clock, Random: ids, Log: slog.New(slog.NewTextHandler(r.log, nil))})
	return r
}

// lead makes the first lead and returns the sign-in.
func (r *rig) lead() auth.Ticket {
	r.t.Helper()
	code, _, needed, err := r.FirstCode(ctx)
	if err != nil || !needed {
		r.t.Fatalf("FirstCode: %v, %v", needed, err)
	}
	k, err := r.FirstLead(ctx, code, auth.Person{Name: "Wenna", Login: "wenna", Password: good}, "Browser", here)
	if err != nil {
		r.t.Fatal(err)
	}
	return k
}

func (r *rig) who(k auth.Ticket) programme.Actor {
	r.t.Helper()
	a, err := r.Who(ctx, k.Token)
	if err != nil {
		r.t.Fatal(err)
	}
	return a
}

func refused(t *testing.T, err error, code programme.Code, words string) {
	t.Helper()
	if programme.CodeOf(err) != code || !strings.Contains(programme.SentenceOf(err), words) {
		t.Errorf("got %v\nwant code %s and the words %q", err, code, words)
	}
}

func TestFirstLead(t *testing.T) {
	r := newRig(t)
	old, _, _, err := r.FirstCode(ctx)
	if err != nil {
		t.Fatal(err)
	}
	code, ends, needed, err := r.FirstCode(ctx)
	if err != nil || !needed || !ends.Equal(programmetest.Noon.Add(24*time.Hour)) || !regexp.MustCompile(`^([0-9a-z]{5}-){3}[0-9a-z]{5}$`).MatchString(code) {
		t.Fatalf("code %q until %s, %v, %v", code, ends, needed, err)
	}
	p := auth.Person{Name: "Wenna", Login: " Wenna ", Password: good}
	_, err = r.FirstLead(ctx, old, p, "Browser", here)
	refused(t, err, programme.CodeSignIn, "The code is not right, was used before, or is too old.")
	_, err = r.FirstLead(ctx, "", p, "Browser", here)
	refused(t, err, programme.CodeSignIn, "The code is not right")
	weak := p
	weak.Password = "password1"
	_, err = r.FirstLead(ctx, code, weak, "Browser", here)
	refused(t, err, programme.CodeInvalid, "too easy to guess")
	nameless := p
	nameless.Name = ""
	_, err = r.FirstLead(ctx, code, nameless, "Browser", here)
	refused(t, err, programme.CodeInvalid, "The name used is missing.")
	if has, _ := r.cases.HasLead(ctx); has {
		t.Fatal("a refused try made a lead")
	}
	// As it is read aloud and typed: capitals, spaces, o for 0, l for 1.
	typed := strings.NewReplacer("-", " ", "0", "O", "1", "l").Replace(strings.ToUpper(code))
	k, err := r.FirstLead(ctx, typed, p, "Browser", here)
	if err != nil {
		t.Fatal(err)
	}
	a := r.who(k)
	if a.Name != "Wenna" || !a.May(programme.ManageStaff) || !a.May(programme.Evaluate) {
		t.Fatalf("the first lead is %+v", a)
	}
	_, err = r.FirstLead(ctx, code, auth.Person{Name: "Thief", Login: "thief", Password: other}, "Browser", here)
	refused(t, err, programme.CodeConflict, "The programme has a lead already.")
	if _, _, needed, err := r.FirstCode(ctx); err != nil || needed {
		t.Fatalf("another code is made: %v, %v", needed, err)
	}
	if codes, _ := r.store.Codes(ctx, "first_lead"); len(codes) != 0 {
		t.Fatal("the code still works")
	}
	if _, err := r.Enter(ctx, "WENNA", good, "Browser", here); err != nil {
		t.Fatalf("signing in: %v", err)
	}
}

func TestFirstCodeExpires(t *testing.T) {
	r := newRig(t)
	code, _, _, _ := r.FirstCode(ctx)
	r.clock.Advance(24 * time.Hour)
	_, err := r.FirstLead(ctx, code, auth.Person{Name: "Wenna", Login: "wenna", Password: good}, "Browser", here)
	refused(t, err, programme.CodeSignIn, "is too old")
}

// TestFirstLeadOnce: of several at once exactly one becomes lead, also through
// two desks on one store.
func TestFirstLeadOnce(t *testing.T) {
	r := newRig(t)
	code, _, _, _ := r.FirstCode(ctx)
	second := auth.New(auth.Config{Store: r.store, People: programme.New(r.cases.Config), Clock: r.clock, Random: programmetest.NewIDs(9)})
	var wg sync.WaitGroup
	var mu sync.Mutex
	won := 0
	for i := range 4 {
		desk := []*auth.Desk{r.Desk, second}[i%2]
		wg.Go(func() {
			_, err := desk.FirstLead(ctx, code, auth.Person{Name: fmt.Sprint("Number ", i), Login: fmt.Sprint("n", i), Password: good}, "Browser", here)
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				won++
			}
		})
	}
	wg.Wait()
	staff, err := r.cases.Staff(ctx, programme.Actor{Staff: "x", Roles: []programme.Role{programme.Lead}}, true)
	if err != nil || len(staff) != 1 || won != 1 {
		t.Fatalf("%d won, staff %+v, %v", won, staff, err)
	}
}

func TestEnter(t *testing.T) {
	r := newRig(t)
	first := r.lead()
	k, err := r.Enter(ctx, "wenna", good, "Browser", here)
	if err != nil || k.Token == first.Token || !k.Ends.Equal(programmetest.Noon.Add(12*time.Hour)) {
		t.Fatalf("%+v, %v", k, err)
	}
	raw, err := base64.RawURLEncoding.DecodeString(k.Token)
	if err != nil || len(raw) != 32 {
		t.Fatalf("the token has %d bytes (%v), want 32: 256 bits", len(raw), err)
	}
	hash := sha256.Sum256([]byte(k.Token))
	if _, err := r.store.SessionByToken(ctx, hash[:]); err != nil {
		t.Fatalf("the store does not keep the hash alone: %v", err)
	}
	for _, c := range [][2]string{{"wenna", other}, {"wenna", ""}, {"wenna", good + " "}, {"nobody", good}, {"", ""}, {"wenna", strings.Repeat("x", 1<<20)}} {
		_, err := r.Enter(ctx, c[0], c[1], "Browser", "127.0.0.2")
		refused(t, err, programme.CodeSignIn, "The login or the password is not right.")
	}
	// ASVS 5.0, appendix C: argon2id with at least 46 MiB (47104 KiB), one pass.
	c, _ := r.store.CredentialByLogin(ctx, "wenna")
	m := regexp.MustCompile(`^\$argon2id\$v=19\$m=(\d+),t=(\d+),p=(\d+)\$`).FindStringSubmatch(string(c.Secret))
	if m == nil || len(m[1]) < 5 || m[1] < "47104" || m[2] < "1" {
		t.Fatalf("the password is kept as %.30s", c.Secret)
	}
	// The same password from a keyboard that writes é in two characters.
	if err := r.ChangePassword(ctx, k.Token, good, "caf\u00e9 velvet tractor"); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Enter(ctx, "wenna", "cafe\u0301 velvet tractor", "Browser", here); err != nil {
		t.Fatalf("another form of the same characters: %v", err)
	}
	for _, secret := range []string{good, other, "wenna", "nobody", k.Token, here, "velvet"} {
		if strings.Contains(r.log.String(), secret) {
			t.Errorf("the log holds %q", secret)
		}
	}
	if !strings.Contains(r.log.String(), "sign-in refused") || !strings.Contains(r.log.String(), "signed in") {
		t.Errorf("the log says nothing: %s", r.log)
	}
}

// TestUnknownLoginTakesAsLong (trust.md U9): an unknown login must cost a hash
// too, else a stranger learns who works here. A hash takes 64 MiB, so whether
// one was made shows in what was allocated, however busy the machine is; the
// times are logged.
func TestUnknownLoginTakesAsLong(t *testing.T) {
	r := newRig(t)
	r.lead()
	try := func(login string) (took time.Duration, allocated uint64) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		var all []time.Duration
		for i := range 5 {
			begin := time.Now()
			_, err := r.Enter(ctx, login, other, "Browser", fmt.Sprint("127.0.1.", i))
			all = append(all, time.Since(begin))
			refused(t, err, programme.CodeSignIn, "The login or the password is not right.")
		}
		runtime.ReadMemStats(&after)
		slices.Sort(all)
		return all[2], (after.TotalAlloc - before.TotalAlloc) / 5
	}
	try("nobody") // the first one also makes the hash that stands in
	const hash = 64 << 20
	for _, login := range []string{"wenna", "nobody", ""} {
		took, allocated := try(login)
		t.Logf("login %q: median %v, %d MiB each", login, took, allocated>>20)
		if allocated < hash || allocated > 2*hash {
			t.Errorf("login %q: %d MiB for each try, one hash takes 64", login, allocated>>20)
		}
	}
}

// TestLimits (trust.md U9): after 10 wrong tries in 15 minutes no more are
// looked at, not even right ones, until the oldest is 15 minutes old.
func TestLimits(t *testing.T) {
	r := newRig(t)
	r.lead()
	for i := range 10 {
		_, err := r.Enter(ctx, "wenna", other, "Browser", here)
		if programme.CodeOf(err) != programme.CodeSignIn {
			t.Fatalf("try %d: %v", i+1, err)
		}
		r.clock.Advance(time.Minute)
	}
	_, err := r.Enter(ctx, "Wenna", good, "Browser", here)
	refused(t, err, programme.CodeTooManyTries, "Wait 6 minutes and try again.")
	if _, err := r.Enter(ctx, "wenna", good, "Browser", "127.0.0.9"); err != nil {
		t.Errorf("from elsewhere: %v", err)
	}
	r.clock.Advance(5*time.Minute - time.Millisecond)
	_, err = r.Enter(ctx, "wenna", good, "Browser", here)
	refused(t, err, programme.CodeTooManyTries, "Wait 1 minutes")
	r.clock.Advance(time.Millisecond)
	if _, err := r.Enter(ctx, "wenna", good, "Browser", here); err != nil {
		t.Errorf("after 15 minutes: %v", err)
	}
	// Many logins from one address.
	stopped := 0
	for i := range 40 {
		if _, err := r.Enter(ctx, fmt.Sprint("guess", i), other, "Browser", "127.0.0.3"); programme.CodeOf(err) == programme.CodeTooManyTries {
			stopped++
		}
	}
	if stopped != 10 {
		t.Errorf("%d of 40 tries from one address were stopped, want 10", stopped)
	}
	// Codes are guessed no more often.
	code, _, err := r.Invite(ctx, r.leadActor(), r.member())
	if err != nil {
		t.Fatal(err)
	}
	for range 10 {
		_, err := r.Join(ctx, "00000-00000-00000-00000", auth.Person{Login: "a", Password: good}, "Browser", here)
		refused(t, err, programme.CodeSignIn, "The code is not right")
	}
	_, err = r.Join(ctx, code, auth.Person{Login: "a", Password: good}, "Browser", here)
	refused(t, err, programme.CodeTooManyTries, "too many wrong tries")
}

func (r *rig) leadActor() programme.Actor {
	r.t.Helper()
	k, err := r.Enter(ctx, "wenna", good, "Browser", "127.0.9.9")
	if err != nil {
		r.t.Fatal(err)
	}
	return r.who(k)
}

// member adds an instructor to the staff.
func (r *rig) member() programme.ID {
	r.t.Helper()
	id, err := programme.NewID(r.clock.Now(), r.Random)
	if err != nil {
		r.t.Fatal(err)
	}
	_, err = r.cases.PutStaff(ctx, r.leadActor(), programme.Made{}, programme.StaffDetails{Staff: id, NameUsed: "Jory", Roles: []programme.Role{programme.Instructor}})
	if err != nil {
		r.t.Fatal(err)
	}
	return id
}

// TestSessionEnds: 30 minutes without use, 12 hours in any case (trust.md,
// ASVS 7.3.1 and 7.3.2).
func TestSessionEnds(t *testing.T) {
	r := newRig(t)
	k := r.lead()
	r.clock.Advance(30*time.Minute - time.Millisecond)
	r.who(k) // used, so it goes on
	r.clock.Advance(30*time.Minute - time.Millisecond)
	r.who(k)
	r.clock.Advance(30 * time.Minute)
	_, err := r.Who(ctx, k.Token)
	refused(t, err, programme.CodeSignedOut, "You were signed out after a while.")
	_, err = r.Who(ctx, k.Token)
	refused(t, err, programme.CodeSignedOut, "Please sign in.")

	k, err = r.Enter(ctx, "wenna", good, "Browser", here)
	if err != nil {
		t.Fatal(err)
	}
	end := r.clock.Now().Add(12 * time.Hour)
	for r.clock.Now().Add(20 * time.Minute).Before(end) {
		r.clock.Advance(20 * time.Minute)
		r.who(k)
	}
	r.clock.Advance(end.Sub(r.clock.Now()) - time.Millisecond)
	r.who(k)
	r.clock.Advance(time.Millisecond)
	_, err = r.Who(ctx, k.Token)
	refused(t, err, programme.CodeSignedOut, "after a while")
	for _, token := range []string{"", "x", k.Token + "x", strings.Repeat("x", 1<<20)} {
		_, err := r.Who(ctx, token)
		refused(t, err, programme.CodeSignedOut, "Please sign in.")
	}
}

func TestDevices(t *testing.T) {
	r := newRig(t)
	a := r.lead()
	r.clock.Advance(time.Minute)
	b, _ := r.Enter(ctx, "wenna", good, "Firefox on Linux", here)
	r.clock.Advance(time.Minute)
	c, _ := r.Enter(ctx, "wenna", good, "Safari on iPhone", here)
	list, err := r.Devices(ctx, b.Token)
	if err != nil || len(list) != 3 || list[0].Name != "Safari on iPhone" || list[0].This || !list[1].This || list[1].Name != "Firefox on Linux" {
		t.Fatalf("%+v, %v", list, err)
	}
	if err := r.EndDevice(ctx, b.Token, list[0].ID); err != nil {
		t.Fatal(err)
	}
	_, err = r.Who(ctx, c.Token)
	refused(t, err, programme.CodeSignedOut, "Please sign in.")
	r.who(a)
	refused(t, r.EndDevice(ctx, b.Token, list[0].ID), programme.CodeNotFound, "You have no such sign-in.")
	if err := r.EndDevice(ctx, b.Token, ""); err != nil {
		t.Fatal(err)
	}
	_, err = r.Who(ctx, a.Token)
	refused(t, err, programme.CodeSignedOut, "")
	if err := r.Leave(ctx, b.Token); err != nil {
		t.Fatal(err)
	}
	if err := r.Leave(ctx, b.Token); err != nil {
		t.Fatalf("leaving twice: %v", err)
	}
	_, err = r.Who(ctx, b.Token)
	refused(t, err, programme.CodeSignedOut, "")
	_, err = r.Devices(ctx, b.Token)
	refused(t, err, programme.CodeSignedOut, "")
}

func TestChangePassword(t *testing.T) {
	r := newRig(t)
	a := r.lead()
	b, _ := r.Enter(ctx, "wenna", good, "Browser", here)
	refused(t, r.ChangePassword(ctx, b.Token, other, other), programme.CodeSignIn, "The password you have now is not right.")
	refused(t, r.ChangePassword(ctx, b.Token, good, "short"), programme.CodeInvalid, "A password has at least 8 characters.")
	refused(t, r.ChangePassword(ctx, b.Token, good, "wennawenna"), programme.CodeInvalid, "too easy to guess")
	refused(t, r.ChangePassword(ctx, "", good, other), programme.CodeSignedOut, "Please sign in.")
	if err := r.ChangePassword(ctx, b.Token, good, other); err != nil {
		t.Fatal(err)
	}
	r.who(b)
	_, err := r.Who(ctx, a.Token)
	refused(t, err, programme.CodeSignedOut, "")
	_, err = r.Enter(ctx, "wenna", good, "Browser", here)
	refused(t, err, programme.CodeSignIn, "not right")
	if _, err := r.Enter(ctx, "wenna", other, "Browser", here); err != nil {
		t.Fatal(err)
	}
	for range 10 {
		_ = r.ChangePassword(ctx, b.Token, good, other)
	}
	refused(t, r.ChangePassword(ctx, b.Token, other, good), programme.CodeTooManyTries, "too many wrong tries")
}

// TestPasswords: the shortest and longest that are taken, and common ones that
// are not. The common ones are from memory, as found in every published list.
func TestPasswords(t *testing.T) {
	r := newRig(t)
	k := r.lead()
	now := good
	try := func(p string) error {
		err := r.ChangePassword(ctx, k.Token, now, p)
		if err == nil {
			now = p
		}
		return err
	}
	for _, p := range []string{"password", "12345678", "123456789", "qwertyuiop", "iloveyou", "password123", "Password1", "letmein1", "sunshine1",
		"football1", "princess", "abcd1234", "11111111", "firnhand", "firnhand1", "trustno1", "zaq12wsx"} {
		refused(t, try(p), programme.CodeInvalid, "too easy to guess")
	}
	refused(t, try("q7#Vd!x"), programme.CodeInvalid, "at least 8 characters")
	refused(t, try(strings.Repeat("velvet tractor ", 9)), programme.CodeInvalid, "at most 128 characters")
	refused(t, try("velvet \xff tractor"), programme.CodeInvalid, "not readable text")
	for _, p := range []string{"q7#Vd!xK", "tractor velvet", "пароль горы зима лыжи", strings.Repeat("velvet tractor ", 8) + "12345678"} {
		if err := try(p); err != nil {
			t.Errorf("%q (%d characters): %v", p, len([]rune(p)), err)
		}
	}
}

func TestInviteAndJoin(t *testing.T) {
	r := newRig(t)
	k := r.lead()
	lead := r.who(k)
	jory := r.member()
	code, ends, err := r.Invite(ctx, lead, jory)
	if err != nil || !ends.Equal(r.clock.Now().Add(24*time.Hour)) {
		t.Fatalf("%s, %v", ends, err)
	}
	for _, c := range []struct {
		by    programme.Actor
		staff programme.ID
		code  programme.Code
		words string
	}{
		{programme.Actor{}, jory, programme.CodeSignedOut, "Please sign in."},
		{programme.Actor{Staff: jory, Roles: []programme.Role{programme.Instructor}}, lead.Staff, programme.CodeNotAllowed, "Only the lead may invite staff."},
		{lead, lead.Staff, programme.CodeConflict, "Change your own password instead."},
		{lead, "0190a5d0-ac96-774b-8cce-b302099a8fff", programme.CodeNotFound, "There is no such staff member here."},
	} {
		_, _, err := r.Invite(ctx, c.by, c.staff)
		refused(t, err, c.code, c.words)
	}
	_, err = r.Join(ctx, code, auth.Person{Login: "wenna", Password: other}, "Browser", here)
	refused(t, err, programme.CodeConflict, "Somebody else signs in with that name.")
	_, err = r.Join(ctx, code, auth.Person{Login: "jo ry", Password: other}, "Browser", here)
	refused(t, err, programme.CodeInvalid, "letters, digits and . _ - @")
	_, err = r.Join(ctx, code, auth.Person{Login: "jory", Password: "joryjory"}, "Browser", here)
	refused(t, err, programme.CodeInvalid, "too easy to guess")
	j, err := r.Join(ctx, code, auth.Person{Login: "jory", Password: other}, "Browser", here)
	if err != nil {
		t.Fatal(err)
	}
	if a := r.who(j); a.Staff != jory || a.Name != "Jory" || a.May(programme.ManageStaff) {
		t.Fatalf("joined as %+v", a)
	}
	_, err = r.Join(ctx, code, auth.Person{Login: "jory2", Password: other}, "Browser", here)
	refused(t, err, programme.CodeSignIn, "was used before")
	// The first-run code and the join code are not each other's.
	if _, err := r.FirstLead(ctx, code, auth.Person{Name: "x", Login: "x", Password: other}, "Browser", here); err == nil {
		t.Fatal("a join code made a lead")
	}
	// A new invitation ends what was before.
	code, _, err = r.Invite(ctx, lead, jory)
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.Who(ctx, j.Token)
	refused(t, err, programme.CodeSignedOut, "")
	_, err = r.Enter(ctx, "jory", other, "Browser", here)
	refused(t, err, programme.CodeSignIn, "")
	r.clock.Advance(24 * time.Hour)
	_, err = r.Join(ctx, code, auth.Person{Login: "jory", Password: other}, "Browser", here)
	refused(t, err, programme.CodeSignIn, "too old")
}

// TestEndedStaff: whose time has ended is out at once.
func TestEndedStaff(t *testing.T) {
	r := newRig(t)
	r.lead()
	jory := r.member()
	code, _, err := r.Invite(ctx, r.leadActor(), jory)
	if err != nil {
		t.Fatal(err)
	}
	j, err := r.Join(ctx, code, auth.Person{Login: "jory", Password: other}, "Browser", here)
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.cases.PutStaff(ctx, r.leadActor(), programme.Made{}, programme.StaffDetails{Staff: jory, NameUsed: "Jory", Roles: []programme.Role{programme.Instructor}, Ended: true})
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.Who(ctx, j.Token)
	refused(t, err, programme.CodeSignedOut, "Please sign in.")
	_, err = r.Enter(ctx, "jory", other, "Browser", here)
	refused(t, err, programme.CodeSignIn, "The login or the password is not right.")
	_, _, err = r.Invite(ctx, r.leadActor(), jory)
	refused(t, err, programme.CodeNotFound, "no such staff member")
}
