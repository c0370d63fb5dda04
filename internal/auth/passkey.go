package auth

import (
	"context"
	"encoding/json"
	"errors"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"firnhand/programme"
)

// Passkeys: a key pair per person and device (W3C Web Authentication), of which
// the private half never leaves the device. The browser names who signs in, so
// no login is typed, and the device asks for its own lock (ASVS 5.0, 6.3.3: two
// factors in one).

const (
	kindPasskey  = "passkey"
	mostPasskeys = 10              // of one person
	ceremonyLife = 5 * time.Minute // from the question to the answer
	mostOpen     = 2000            // questions waiting for an answer
)

// Passkey is one passkey as its owner sees it.
type Passkey struct {
	ID    programme.ID
	Name  string
	Since time.Time
}

var errPasskey = programme.Refuse(programme.CodeSignIn, "The passkey was not accepted. Try again, or use your password.")

// Origins tells whether passkeys can be used under an address: the browser must
// be at one of the addresses that the program was told are its own.
func (d *Desk) Origins(origin string) bool { _, err := d.party(origin); return err == nil }

// party is the programme as the browser knows it under an address.
func (d *Desk) party(origin string) (*webauthn.WebAuthn, error) {
	u, err := url.Parse(origin)
	if err != nil || u.Host == "" || !slices.ContainsFunc(d.Addresses, func(a string) bool { return strings.EqualFold(a, origin) }) {
		return nil, programme.Refuse(programme.CodeConflict, "Passkeys cannot be used under this address.")
	}
	w, err := webauthn.New(&webauthn.Config{RPID: u.Hostname(), RPDisplayName: "Firnhand", RPOrigins: []string{origin},
		AuthenticatorSelection: protocol.AuthenticatorSelection{UserVerification: protocol.VerificationRequired, ResidentKey: protocol.ResidentKeyRequirementRequired}})
	if err != nil {
		return nil, programme.Fail(programme.CodeConflict, err, "Passkeys cannot be used under this address.")
	}
	return w, nil
}

// holder fits a member of staff to the library.
type holder struct {
	staff programme.ID
	name  string
	keys  []webauthn.Credential
}

func (h holder) WebAuthnID() []byte                         { return []byte(h.staff) }
func (h holder) WebAuthnName() string                       { return h.name }
func (h holder) WebAuthnDisplayName() string                { return h.name }
func (h holder) WebAuthnCredentials() []webauthn.Credential { return h.keys }

// open questions, in memory: a restart only means asking again.
type ceremonies struct {
	mu   sync.Mutex
	open map[programme.ID]ceremony
}

type ceremony struct {
	data  webauthn.SessionData
	staff programme.ID // "" for signing in
	ends  time.Time
}

func (c *ceremonies) put(id programme.ID, one ceremony, now time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.open == nil {
		c.open = map[programme.ID]ceremony{}
	}
	for old, o := range c.open {
		if !now.Before(o.ends) {
			delete(c.open, old)
		}
	}
	if len(c.open) >= mostOpen { // a flood of questions: all begin anew
		c.open = map[programme.ID]ceremony{}
	}
	c.open[id] = one
}

// take returns a question once.
func (c *ceremonies) take(id programme.ID, now time.Time) (ceremony, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	one, ok := c.open[id]
	delete(c.open, id)
	return one, ok && now.Before(one.ends)
}

// holderOf reads a person's passkeys.
func (d *Desk) holderOf(ctx context.Context, staff programme.ID) (holder, []programme.Credential, error) {
	a, err := d.People.ActorOf(ctx, staff)
	if err != nil {
		return holder{}, nil, err
	}
	all, err := d.Store.CredentialsOf(ctx, staff)
	if err != nil {
		return holder{}, nil, err
	}
	h := holder{staff: staff, name: a.Name}
	var mine []programme.Credential
	for _, c := range all {
		if c.Kind != kindPasskey {
			continue
		}
		var k webauthn.Credential
		if err := json.Unmarshal(c.Secret, &k); err != nil {
			return holder{}, nil, programme.Fail(programme.CodeDamaged, err, "A stored passkey cannot be read.")
		}
		h.keys, mine = append(h.keys, k), append(mine, c)
	}
	return h, mine, nil
}

// AskNewPasskey begins adding a passkey for the person behind a token. It
// returns a number for the answer and what the browser is to be asked.
func (d *Desk) AskNewPasskey(ctx context.Context, token, origin string) (programme.ID, []byte, error) {
	s, err := d.session(ctx, token)
	if err != nil {
		return "", nil, err
	}
	w, err := d.party(origin)
	if err != nil {
		return "", nil, err
	}
	h, _, err := d.holderOf(ctx, s.Staff)
	if err != nil {
		return "", nil, err
	}
	if len(h.keys) >= mostPasskeys {
		return "", nil, programme.Refuse(programme.CodeConflict, "You have %d passkeys. Remove one first.", mostPasskeys)
	}
	ask, data, err := w.BeginRegistration(h, webauthn.WithExclusions(webauthn.Credentials(h.keys).CredentialDescriptors()))
	if err != nil {
		return "", nil, programme.Fail(programme.CodeInternal, err, "The passkey could not be asked for.")
	}
	return d.ask(ask, *data, s.Staff)
}

func (d *Desk) ask(question any, data webauthn.SessionData, staff programme.ID) (programme.ID, []byte, error) {
	now := d.Clock.Now()
	id, err := programme.NewID(now, d.Random)
	if err != nil {
		return "", nil, err
	}
	b, err := json.Marshal(question)
	if err != nil {
		return "", nil, programme.Fail(programme.CodeInternal, err, "The passkey could not be asked for.")
	}
	d.asked.put(id, ceremony{data, staff, now.Add(ceremonyLife)}, now)
	return id, b, nil
}

// AddPasskey keeps the passkey that the browser answered with.
func (d *Desk) AddPasskey(ctx context.Context, token, origin string, asked programme.ID, answer []byte, name string) error {
	s, err := d.session(ctx, token)
	if err != nil {
		return err
	}
	w, err := d.party(origin)
	if err != nil {
		return err
	}
	c, ok := d.asked.take(asked, d.Clock.Now())
	if !ok || c.staff != s.Staff {
		return programme.Refuse(programme.CodeSignIn, "That took too long. Try again.")
	}
	h, _, err := d.holderOf(ctx, s.Staff)
	if err != nil {
		return err
	}
	parsed, err := protocol.ParseCredentialCreationResponseBytes(answer)
	if err != nil {
		return programme.Fail(programme.CodeSignIn, err, "%s", errPasskey.Sentence)
	}
	k, err := w.CreateCredential(h, c.data, parsed)
	if err != nil {
		return programme.Fail(programme.CodeSignIn, err, "%s", errPasskey.Sentence)
	}
	secret, err := json.Marshal(k)
	if err != nil {
		return programme.Fail(programme.CodeInternal, err, "The passkey could not be kept.")
	}
	now := d.Clock.Now()
	id, err := programme.NewID(now, d.Random)
	if err != nil {
		return err
	}
	d.Log.Info("passkey added", "staff", s.Staff)
	return d.Store.PutCredential(ctx, programme.Credential{ID: id, Staff: s.Staff, Kind: kindPasskey, Login: clip(strings.TrimSpace(name), programme.MaxName), Secret: secret, Changed: now})
}

// AskPasskey begins signing in with a passkey.
func (d *Desk) AskPasskey(_ context.Context, origin string) (programme.ID, []byte, error) {
	w, err := d.party(origin)
	if err != nil {
		return "", nil, err
	}
	ask, data, err := w.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired))
	if err != nil {
		return "", nil, programme.Fail(programme.CodeInternal, err, "The passkey could not be asked for.")
	}
	return d.ask(ask, *data, "")
}

// EnterPasskey signs in with the answer of the browser.
func (d *Desk) EnterPasskey(ctx context.Context, origin string, asked programme.ID, answer []byte, device, from string) (Ticket, error) {
	counted := limits("\x00passkey", from)
	if err := d.tries.take(d.Clock.Now(), counted[:2]); err != nil {
		return Ticket{}, err
	}
	w, err := d.party(origin)
	if err != nil {
		return Ticket{}, err
	}
	c, ok := d.asked.take(asked, d.Clock.Now())
	if !ok || c.staff != "" {
		return Ticket{}, programme.Refuse(programme.CodeSignIn, "That took too long. Try again.")
	}
	parsed, err := protocol.ParseCredentialRequestResponseBytes(answer)
	if err != nil {
		return Ticket{}, programme.Fail(programme.CodeSignIn, err, "%s", errPasskey.Sentence)
	}
	var staff programme.ID
	var mine []programme.Credential
	var broken error // of the store, not of the answer
	find := func(_, handle []byte) (webauthn.User, error) {
		id := programme.ID(handle)
		if id.Check() != nil {
			return nil, errPasskey
		}
		h, all, err := d.holderOf(ctx, id)
		if err != nil {
			if programme.CodeOf(err) != programme.CodeNotFound {
				broken = err
			}
			return nil, err
		}
		staff, mine = id, all
		return h, nil
	}
	_, k, err := w.ValidatePasskeyLogin(find, c.data, parsed)
	if broken != nil {
		return Ticket{}, broken
	}
	if err != nil {
		d.Log.Warn("sign-in refused: passkey", "staff", staff)
		return Ticket{}, programme.Fail(programme.CodeSignIn, err, "%s", errPasskey.Sentence)
	}
	if k.Authenticator.CloneWarning {
		d.Log.Warn("sign-in refused: the passkey counts backwards, it may have been copied", "staff", staff)
		return Ticket{}, errPasskey
	}
	if err := d.count(ctx, mine, k); err != nil {
		return Ticket{}, err
	}
	d.tries.forgive(counted[:2])
	return d.begin(ctx, staff, device, office)
}

// count keeps the passkey's counter, by which a copy is noticed.
func (d *Desk) count(ctx context.Context, mine []programme.Credential, k *webauthn.Credential) error {
	for _, c := range mine {
		var had webauthn.Credential
		if err := json.Unmarshal(c.Secret, &had); err != nil || !slices.Equal(had.ID, k.ID) {
			continue
		}
		secret, err := json.Marshal(k)
		if err != nil {
			return programme.Fail(programme.CodeInternal, err, "The passkey could not be kept.")
		}
		c.Secret = secret
		return d.Store.PutCredential(ctx, c)
	}
	return errors.New("a passkey was accepted that is not kept")
}

// Passkeys lists the passkeys of the person behind a token, oldest first.
func (d *Desk) Passkeys(ctx context.Context, token string) ([]Passkey, error) {
	s, err := d.session(ctx, token)
	if err != nil {
		return nil, err
	}
	return d.passkeysOf(ctx, s.Staff)
}

func (d *Desk) passkeysOf(ctx context.Context, staff programme.ID) ([]Passkey, error) {
	all, err := d.Store.CredentialsOf(ctx, staff)
	if err != nil {
		return nil, err
	}
	out := []Passkey{}
	for _, c := range all {
		if c.Kind == kindPasskey {
			out = append(out, Passkey{c.ID, c.Login, c.Changed})
		}
	}
	return out, nil
}

// RemovePasskey removes one of the person's own. Somebody else's is
// CodeNotFound.
func (d *Desk) RemovePasskey(ctx context.Context, token string, id programme.ID) error {
	s, err := d.session(ctx, token)
	if err != nil {
		return err
	}
	all, err := d.passkeysOf(ctx, s.Staff)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(all, func(p Passkey) bool { return p.ID == id }) {
		return programme.Refuse(programme.CodeNotFound, "You have no such passkey.")
	}
	d.Log.Info("passkey removed", "staff", s.Staff)
	return d.Store.DeleteCredential(ctx, id)
}
