// Package auth lets staff in: passwords, sign-ins that end by themselves, codes
// that work once, and a limit on guessing. It keeps nothing itself; the rows
// lie behind programme.SignInStore, and who a person is and may do comes from
// programme's use cases.
//
// Figures (trust.md section 5, after ASVS 5.0): argon2id with 64 MiB; passwords
// of 8 characters or more, none that are easy to guess, no rules of
// composition; a sign-in ends after 30 minutes without use and after 12 hours
// in any case, on a phone that was enrolled by a code after 12 hours without use
// and after 7 days; at most 10 wrong tries in 15 minutes. Only hashes of tokens
// and codes are kept. Who leads or reviews and has a passkey signs in with it:
// the password alone is then no longer enough.
package auth

import (
	"context"
	"io"
	"log/slog"
	"sync"
	"time"

	"firnhand/programme"
)

// Lifetimes of sign-ins and codes.
const (
	IdleLife     = 30 * time.Minute
	AbsoluteLife = 12 * time.Hour
	FirstLife    = 24 * time.Hour // of the code that makes the first lead; a restart prints a new one
	JoinLife     = 24 * time.Hour // of the code with which staff join

	PhoneIdleLife     = 12 * time.Hour
	PhoneAbsoluteLife = 7 * 24 * time.Hour
	PhoneCodeLife     = 10 * time.Minute // of the code that a phone scans

	touchEvery = time.Minute // how exactly the last use of a sign-in is kept
)

// life is how long a sign-in lasts without use and in any case.
type life struct{ idle, absolute time.Duration }

var (
	office = life{IdleLife, AbsoluteLife}
	phone  = life{PhoneIdleLife, PhoneAbsoluteLife}
)

// lifeOf tells which a sign-in has: it is known by how long it may last.
func lifeOf(s programme.Session) life {
	if s.Ends.Sub(s.Began) > AbsoluteLife {
		return phone
	}
	return office
}

// Clock tells the time.
type Clock interface{ Now() time.Time }

// People is what auth needs of the use cases.
type People interface {
	ActorOf(ctx context.Context, staff programme.ID) (programme.Actor, error)
	HasLead(ctx context.Context) (bool, error)
	FirstLead(ctx context.Context, m programme.Made, d programme.StaffDetails) (programme.Receipt, error)
}

// Config is what a Desk is made of. All but Log are needed.
type Config struct {
	Store  programme.SignInStore
	People People
	Clock  Clock
	Random io.Reader    // cryptographic; safe for concurrent use
	Log    *slog.Logger // sign-ins and refusals, by staff id; never a login, a password or an address

	// Addresses are the origins that browsers reach the program under, such as
	// "https://ski.example.org": passkeys work there and nowhere else.
	Addresses []string
}

// Desk lets people in. It is safe for concurrent use.
type Desk struct {
	Config
	tries limiter
	hash  hasher
	asked ceremonies
	first sync.Mutex // one first lead at a time
}

// New returns a Desk.
func New(c Config) *Desk {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	return &Desk{Config: c, hash: newHasher()}
}

// Ticket is a sign-in as the browser keeps it.
type Ticket struct {
	Token string    // secret: goes into the cookie and nowhere else
	Ends  time.Time // when it ends for good
}

// Person is what somebody types to be known from then on.
type Person struct {
	Name     string // name used
	Login    string
	Password string
}

// The refusals say no more than a stranger may know.
var (
	errSignedOut  = programme.Refuse(programme.CodeSignedOut, "Please sign in.")
	errWrong      = programme.Refuse(programme.CodeSignIn, "The login or the password is not right.")
	errUsePasskey = programme.Refuse(programme.CodeSignIn, "You have a passkey: sign in with it. If it is lost, another lead can give you a new code.")
	errWrongCode  = programme.Refuse(programme.CodeSignIn, "The code is not right, was used before, or is too old.")
)
