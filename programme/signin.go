package programme

import (
	"context"
	"time"
)

// Credential is how a staff member proves who they are. Kind "password" holds
// an argon2id string, kind "passkey" the public half of a key pair.
type Credential struct {
	ID      ID
	Staff   ID
	Kind    string // "password" or "passkey"
	Login   string // password: the name typed at sign-in, folded by the caller, unique among passwords; passkey: what its owner calls it
	Secret  []byte // hash or public key, never a secret in the clear
	Changed time.Time
}

// Session is one sign-in of one person on one device. Only a hash of its token
// is kept.
type Session struct {
	ID        ID
	TokenHash []byte // SHA-256 of the token, 32 bytes
	Staff     ID
	Device    string // what the person will recognise: "Firefox on Linux"
	Began     time.Time
	LastSeen  time.Time
	IdleEnds  time.Time // moves with use
	Ends      time.Time // never moves
}

// Code is a secret used once: to make the first lead, or to join. Only a hash
// is kept.
type OneTimeCode struct {
	ID      ID
	Purpose string // "first_lead", "join", "phone"
	Staff   ID     // whom it lets in; "" for first_lead
	Hash    []byte // SHA-256, 32 bytes
	Made    time.Time
	Expires time.Time
	Used    time.Time // zero: not yet
}

// SignInStore keeps credentials, sessions and codes. It is safe for concurrent
// use, durable when a call returns, and all errors are *Error. These rows may
// be changed and removed; they are not facts.
type SignInStore interface {
	// PutCredential adds it, or replaces the one with the same ID. A password
	// also replaces the person's earlier password; a Login that another person
	// has is CodeConflict.
	PutCredential(ctx context.Context, c Credential) error
	// CredentialByLogin finds a password. CodeNotFound when there is none.
	CredentialByLogin(ctx context.Context, login string) (Credential, error)
	// CredentialsOf returns a person's credentials, oldest first.
	CredentialsOf(ctx context.Context, staff ID) ([]Credential, error)
	// DeleteCredential removes one; a missing one is no error.
	DeleteCredential(ctx context.Context, id ID) error
	// DeleteCredentials removes all of a person's credentials.
	DeleteCredentials(ctx context.Context, staff ID) error

	// PutSession adds a session.
	PutSession(ctx context.Context, s Session) error
	// SessionByToken finds one by hash. CodeNotFound when there is none.
	SessionByToken(ctx context.Context, hash []byte) (Session, error)
	// TouchSession moves LastSeen and IdleEnds. CodeNotFound when it is gone.
	TouchSession(ctx context.Context, id ID, seen, idleEnds time.Time) error
	// SessionsOf returns a person's sessions, newest first.
	SessionsOf(ctx context.Context, staff ID) ([]Session, error)
	// DeleteSession ends one; a missing one is no error.
	DeleteSession(ctx context.Context, id ID) error
	// DeleteSessionsOf ends all of a person's but the one in keep ("" keeps none).
	DeleteSessionsOf(ctx context.Context, staff, keep ID) error
	// DeleteSessionsBefore removes those that ended (idle or for good) by t.
	DeleteSessionsBefore(ctx context.Context, t time.Time) error

	// PutCode adds a code and removes earlier unused ones of the same purpose and
	// staff member.
	PutCode(ctx context.Context, c OneTimeCode) error
	// Codes returns the unused codes of a purpose.
	Codes(ctx context.Context, purpose string) ([]OneTimeCode, error)
	// UseCode marks the code used. CodeConflict when it was used before,
	// CodeNotFound when there is none: exactly one of several callers succeeds.
	UseCode(ctx context.Context, id ID, at time.Time) error
}
