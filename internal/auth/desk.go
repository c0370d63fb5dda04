package auth

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"encoding/base64"
	"io"
	"strings"
	"time"

	"firnhand/programme"
)

// Enter checks login and password and signs in. device is what the person will
// recognise the browser by; from is where the request came from. CodeSignIn
// when they do not match, CodeTooManyTries after too many that did not.
func (d *Desk) Enter(ctx context.Context, login, password, device, from string) (Ticket, error) {
	login = foldLogin(login)
	counted := limits(clip(login, MaxLogin), from)
	if err := d.tries.take(d.Clock.Now(), counted); err != nil {
		d.Log.Warn("sign-in refused: too many tries")
		return Ticket{}, err
	}
	c, err := d.Store.CredentialByLogin(ctx, login)
	if err != nil && programme.CodeOf(err) != programme.CodeNotFound {
		return Ticket{}, err
	}
	ok, stale := d.hash.matches(clip(password, MaxPassword+1), c.Secret)
	if !ok {
		d.Log.Warn("sign-in refused: login or password", "staff", c.Staff)
		return Ticket{}, errWrong
	}
	a, err := d.People.ActorOf(ctx, c.Staff)
	if err != nil {
		if programme.CodeOf(err) != programme.CodeNotFound {
			return Ticket{}, err
		}
		d.Log.Warn("sign-in refused: no longer on the staff", "staff", c.Staff)
		return Ticket{}, errWrong
	}
	d.tries.forgive(counted)
	if a.May(programme.ReadMedical) {
		keys, err := d.passkeysOf(ctx, c.Staff)
		if err != nil {
			return Ticket{}, err
		}
		if len(keys) > 0 {
			d.Log.Warn("sign-in refused: a password where there is a passkey", "staff", c.Staff)
			return Ticket{}, errUsePasskey
		}
	}
	if stale {
		d.rehash(ctx, c, password)
	}
	return d.begin(ctx, c.Staff, device, office)
}

// rehash keeps a password with today's cost. Failing is no harm: the old hash
// stays.
func (d *Desk) rehash(ctx context.Context, c programme.Credential, password string) {
	h, err := d.hash.make(password)
	if err == nil {
		c.Secret = h
		err = d.Store.PutCredential(ctx, c)
	}
	if err != nil {
		d.Log.Warn("a password could not be hashed anew", "staff", c.Staff, "cause", err)
	}
}

// begin makes a new sign-in; every one has a token of its own.
func (d *Desk) begin(ctx context.Context, staff programme.ID, device string, lasts life) (Ticket, error) {
	now := d.Clock.Now()
	if err := d.Store.DeleteSessionsBefore(ctx, now); err != nil {
		return Ticket{}, err
	}
	var secret [32]byte // 256 bits
	if _, err := io.ReadFull(d.Random, secret[:]); err != nil {
		return Ticket{}, programme.Fail(programme.CodeInternal, err, "No randomness was to be had for a sign-in.")
	}
	token := base64.RawURLEncoding.EncodeToString(secret[:])
	id, err := programme.NewID(now, d.Random)
	if err != nil {
		return Ticket{}, err
	}
	s := programme.Session{ID: id, TokenHash: hashOf(token), Staff: staff, Device: clip(device, programme.MaxName),
		Began: now, LastSeen: now, IdleEnds: now.Add(lasts.idle), Ends: now.Add(lasts.absolute)}
	if err := d.Store.PutSession(ctx, s); err != nil {
		return Ticket{}, err
	}
	d.Log.Info("signed in", "staff", staff, "session", id)
	return Ticket{Token: token, Ends: s.Ends}, nil
}

func hashOf(secret string) []byte {
	h := sha256.Sum256([]byte(secret))
	return h[:]
}

func clip(s string, most int) string {
	r := []rune(s)
	return string(r[:min(len(r), most)])
}

// session finds the sign-in behind a token and counts the use.
func (d *Desk) session(ctx context.Context, token string) (programme.Session, error) {
	if token == "" || len(token) > 100 {
		return programme.Session{}, errSignedOut
	}
	s, err := d.Store.SessionByToken(ctx, hashOf(token))
	if programme.CodeOf(err) == programme.CodeNotFound {
		return s, errSignedOut
	}
	if err != nil {
		return s, err
	}
	now := d.Clock.Now()
	if !now.Before(s.IdleEnds) || !now.Before(s.Ends) {
		if err := d.Store.DeleteSession(ctx, s.ID); err != nil {
			return s, err
		}
		d.Log.Info("sign-in ended by time", "staff", s.Staff, "session", s.ID)
		return s, programme.Refuse(programme.CodeSignedOut, "You were signed out after a while. Please sign in again.")
	}
	if now.Sub(s.LastSeen) >= touchEvery {
		err := d.Store.TouchSession(ctx, s.ID, now, now.Add(lifeOf(s).idle))
		if programme.CodeOf(err) == programme.CodeNotFound {
			return s, errSignedOut
		}
		if err != nil {
			return s, err
		}
	}
	return s, nil
}

// Who returns the person behind a token. CodeSignedOut when there is none, the
// sign-in ended, or the person is no longer on the staff.
func (d *Desk) Who(ctx context.Context, token string) (programme.Actor, error) {
	s, err := d.session(ctx, token)
	if err != nil {
		return programme.Actor{}, err
	}
	a, err := d.People.ActorOf(ctx, s.Staff)
	if programme.CodeOf(err) == programme.CodeNotFound {
		if err := d.Store.DeleteSessionsOf(ctx, s.Staff, ""); err != nil {
			return programme.Actor{}, err
		}
		d.Log.Info("sign-ins ended: no longer on the staff", "staff", s.Staff)
		return programme.Actor{}, errSignedOut
	}
	return a, err
}

// Leave ends a sign-in; one that has ended is no error.
func (d *Desk) Leave(ctx context.Context, token string) error {
	s, err := d.Store.SessionByToken(ctx, hashOf(token))
	if programme.CodeOf(err) == programme.CodeNotFound {
		return nil
	}
	if err != nil {
		return err
	}
	d.Log.Info("signed out", "staff", s.Staff, "session", s.ID)
	return d.Store.DeleteSession(ctx, s.ID)
}

// Device is one sign-in as its owner sees it.
type Device struct {
	ID       programme.ID
	Name     string
	Began    time.Time
	LastSeen time.Time
	Ends     time.Time
	This     bool // the one that asks
	Phone    bool // enrolled by a code, and so lasting longer
}

// Devices lists the person's sign-ins, newest first.
func (d *Desk) Devices(ctx context.Context, token string) ([]Device, error) {
	s, err := d.session(ctx, token)
	if err != nil {
		return nil, err
	}
	return d.devices(ctx, s.Staff, s.ID)
}

func (d *Desk) devices(ctx context.Context, staff, this programme.ID) ([]Device, error) {
	all, err := d.Store.SessionsOf(ctx, staff)
	if err != nil {
		return nil, err
	}
	now, out := d.Clock.Now(), []Device{}
	for _, o := range all {
		if now.Before(o.IdleEnds) && now.Before(o.Ends) {
			out = append(out, Device{o.ID, o.Device, o.Began, o.LastSeen, o.Ends, o.ID == this, lifeOf(o) == phone})
		}
	}
	return out, nil
}

// EndDevice ends one of the person's own sign-ins; with an empty id, all but
// this one. Somebody else's is CodeNotFound.
func (d *Desk) EndDevice(ctx context.Context, token string, id programme.ID) error {
	s, err := d.session(ctx, token)
	if err != nil {
		return err
	}
	if id == "" {
		return d.Store.DeleteSessionsOf(ctx, s.Staff, s.ID)
	}
	all, err := d.Store.SessionsOf(ctx, s.Staff)
	if err != nil {
		return err
	}
	for _, o := range all {
		if o.ID == id {
			d.Log.Info("sign-in ended by its owner", "staff", s.Staff, "session", id)
			return d.Store.DeleteSession(ctx, id)
		}
	}
	return programme.Refuse(programme.CodeNotFound, "You have no such sign-in.")
}

// ChangePassword checks the old password, sets the new one and ends every other
// sign-in of the person. A wrong old password is CodeSignIn and counts as a
// wrong try, a bad new one CodeInvalid.
func (d *Desk) ChangePassword(ctx context.Context, token, old, new string) error {
	s, err := d.session(ctx, token)
	if err != nil {
		return err
	}
	counted := limits("", string(s.Staff))
	if err := d.tries.take(d.Clock.Now(), counted[:1]); err != nil {
		return err
	}
	all, err := d.Store.CredentialsOf(ctx, s.Staff)
	if err != nil {
		return err
	}
	var c programme.Credential
	for _, o := range all {
		if o.Kind == "password" {
			c = o
		}
	}
	if ok, _ := d.hash.matches(clip(old, MaxPassword+1), c.Secret); !ok {
		d.Log.Warn("password not changed: the old one was wrong", "staff", s.Staff)
		return programme.Refuse(programme.CodeSignIn, "The password you have now is not right.")
	}
	d.tries.forgive(counted[:1])
	a, err := d.People.ActorOf(ctx, s.Staff)
	if err != nil {
		return err
	}
	if err := checkPassword(new, a.Name, c.Login); err != nil {
		return err
	}
	if c.Secret, err = d.hash.make(new); err != nil {
		return err
	}
	c.Changed = d.Clock.Now()
	if err := d.Store.PutCredential(ctx, c); err != nil {
		return err
	}
	d.Log.Info("password changed", "staff", s.Staff)
	return d.Store.DeleteSessionsOf(ctx, s.Staff, s.ID)
}

// The purposes of codes.
const (
	purposeFirst = "first_lead"
	purposeJoin  = "join"
)

// codeAlphabet has no letters that are taken for digits or for each other.
var codeAlphabet = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

// newCode makes a code of 100 bits, in groups that can be read aloud, and keeps
// its hash.
func (d *Desk) newCode(ctx context.Context, purpose string, staff programme.ID, life time.Duration) (string, time.Time, error) {
	now := d.Clock.Now()
	var secret [13]byte
	if _, err := io.ReadFull(d.Random, secret[:]); err != nil {
		return "", now, programme.Fail(programme.CodeInternal, err, "No randomness was to be had for a code.")
	}
	code := codeAlphabet.EncodeToString(secret[:])[:20]
	id, err := programme.NewID(now, d.Random)
	if err != nil {
		return "", now, err
	}
	c := programme.OneTimeCode{ID: id, Purpose: purpose, Staff: staff, Hash: hashOf(code), Made: now, Expires: now.Add(life)}
	if err := d.Store.PutCode(ctx, c); err != nil {
		return "", now, err
	}
	return code[:5] + "-" + code[5:10] + "-" + code[10:15] + "-" + code[15:], c.Expires, nil
}

// findCode finds an unused, fresh code by what was typed.
func (d *Desk) findCode(ctx context.Context, purpose, typed string) (programme.OneTimeCode, error) {
	plain := strings.NewReplacer("-", "", " ", "", "o", "0", "i", "1", "l", "1").Replace(strings.ToLower(clip(typed, 100)))
	all, err := d.Store.Codes(ctx, purpose)
	if err != nil {
		return programme.OneTimeCode{}, err
	}
	hash, now := hashOf(plain), d.Clock.Now()
	for _, c := range all {
		if subtle.ConstantTimeCompare(c.Hash, hash) == 1 && now.Before(c.Expires) {
			return c, nil
		}
	}
	d.Log.Warn("code refused", "purpose", purpose)
	return programme.OneTimeCode{}, errWrongCode
}

// FirstCode makes the code that makes the first lead, for the program to print
// once when it starts. needed is false, and there is no code, when the programme
// has a lead. An earlier code stops working.
func (d *Desk) FirstCode(ctx context.Context) (code string, ends time.Time, needed bool, err error) {
	has, err := d.People.HasLead(ctx)
	if err != nil || has {
		return "", time.Time{}, false, err
	}
	code, ends, err = d.newCode(ctx, purposeFirst, "", FirstLife)
	return code, ends, err == nil, err
}

// FirstLead makes the first lead with that code and signs them in. CodeSignIn
// for a wrong, used or old code, CodeConflict when there is a lead already.
func (d *Desk) FirstLead(ctx context.Context, code string, p Person, device, from string) (Ticket, error) {
	d.first.Lock()
	defer d.first.Unlock()
	counted := limits("\x00first", from)
	if err := d.tries.take(d.Clock.Now(), counted); err != nil {
		return Ticket{}, err
	}
	if has, err := d.People.HasLead(ctx); err != nil {
		return Ticket{}, err
	} else if has {
		return Ticket{}, programme.Refuse(programme.CodeConflict, "The programme has a lead already. Ask the lead to add you.")
	}
	c, err := d.findCode(ctx, purposeFirst, code)
	if err != nil {
		return Ticket{}, err
	}
	d.tries.forgive(counted)
	// The staff id and the fact's id are the code's: a try that broke off half-way
	// can be made again, and of two at once only one can succeed.
	lead := programme.StaffDetails{Staff: c.ID, NameUsed: p.Name, Roles: []programme.Role{programme.Instructor, programme.Lead}}
	if err := d.setPassword(ctx, c.ID, p); err != nil {
		return Ticket{}, err
	}
	if _, err := d.People.FirstLead(ctx, programme.Made{ID: c.ID}, lead); err != nil {
		return Ticket{}, err
	}
	if err := d.Store.UseCode(ctx, c.ID, d.Clock.Now()); err != nil {
		return Ticket{}, err
	}
	d.Log.Info("first lead made", "staff", c.ID)
	return d.begin(ctx, c.ID, device, office)
}

// setPassword checks and keeps a person's login and password.
func (d *Desk) setPassword(ctx context.Context, staff programme.ID, p Person) error {
	login := foldLogin(p.Login)
	if err := checkLogin(login); err != nil {
		return err
	}
	if err := checkPassword(p.Password, p.Name, login); err != nil {
		return err
	}
	h, err := d.hash.make(p.Password)
	if err != nil {
		return err
	}
	now := d.Clock.Now()
	id, err := programme.NewID(now, d.Random)
	if err != nil {
		return err
	}
	return d.Store.PutCredential(ctx, programme.Credential{ID: id, Staff: staff, Kind: "password", Login: login, Secret: h, Changed: now})
}

// Invite makes a code with which a member of staff chooses a login and a
// password. Earlier codes, passwords and sign-ins of theirs end, so it also
// serves when a password is lost. Only those who manage staff may, and not for
// themselves (CodeConflict).
func (d *Desk) Invite(ctx context.Context, by programme.Actor, staff programme.ID) (code string, ends time.Time, err error) {
	none := time.Time{}
	switch {
	case by.Staff == "":
		return "", none, errSignedOut
	case !by.May(programme.ManageStaff):
		return "", none, programme.Refuse(programme.CodeNotAllowed, "Only the lead may invite staff.")
	case by.Staff == staff:
		return "", none, programme.Refuse(programme.CodeConflict, "You have a sign-in. Change your own password instead.")
	}
	if _, err := d.People.ActorOf(ctx, staff); err != nil {
		return "", none, err
	}
	code, ends, err = d.newCode(ctx, purposeJoin, staff, JoinLife)
	if err != nil {
		return "", none, err
	}
	if err := d.Store.DeleteCredentials(ctx, staff); err != nil {
		return "", none, err
	}
	if err := d.Store.DeleteSessionsOf(ctx, staff, ""); err != nil {
		return "", none, err
	}
	d.Log.Info("invited", "staff", staff, "by", by.Staff)
	return code, ends, nil
}

// Join uses such a code and signs the person in. p.Name is not used.
func (d *Desk) Join(ctx context.Context, code string, p Person, device, from string) (Ticket, error) {
	counted := limits("\x00join", from)
	if err := d.tries.take(d.Clock.Now(), counted); err != nil {
		return Ticket{}, err
	}
	c, err := d.findCode(ctx, purposeJoin, code)
	if err != nil {
		return Ticket{}, err
	}
	d.tries.forgive(counted)
	a, err := d.People.ActorOf(ctx, c.Staff)
	if err != nil {
		return Ticket{}, err
	}
	p.Name = a.Name
	if err := d.joinable(ctx, c.Staff, p); err != nil {
		return Ticket{}, err
	}
	if err := d.Store.UseCode(ctx, c.ID, d.Clock.Now()); err != nil {
		if programme.CodeOf(err) == programme.CodeConflict {
			err = errWrongCode
		}
		return Ticket{}, err
	}
	if err := d.setPassword(ctx, c.Staff, p); err != nil {
		return Ticket{}, err
	}
	d.Log.Info("joined", "staff", c.Staff)
	return d.begin(ctx, c.Staff, device, office)
}

// joinable refuses what setPassword would refuse, before the code is used up.
func (d *Desk) joinable(ctx context.Context, staff programme.ID, p Person) error {
	login := foldLogin(p.Login)
	if err := checkLogin(login); err != nil {
		return err
	}
	if err := checkPassword(p.Password, p.Name, login); err != nil {
		return err
	}
	c, err := d.Store.CredentialByLogin(ctx, login)
	switch {
	case programme.CodeOf(err) == programme.CodeNotFound:
		return nil
	case err != nil:
		return err
	case c.Staff != staff:
		return programme.Refuse(programme.CodeConflict, "Somebody else signs in with that name.")
	}
	return nil
}
