package programme

import (
	"errors"
	"fmt"
)

// Error is the one shape of error that leaves this package, the stores and
// sign-in: a code for programs, a sentence for people, and the cause for the
// log. The sentence never holds a person's data beyond what the caller sent.
type Error struct {
	Code     Code
	Sentence string
	Cause    error // for the log only; may be nil
}

// Code tells programs what kind of refusal an Error is.
type Code string

// The codes. A caller may meet others inside Cause, never here.
const (
	CodeInvalid      Code = "invalid"        // the input breaks a limit or a rule of the records
	CodeUnknown      Code = "unknown_id"     // a finding, setting, role or kind that the vocabulary does not know
	CodeNotFound     Code = "not_found"      // no such student, staff member, hold, fact, card ...
	CodeIDTaken      Code = "id_taken"       // the same id was used before for something else
	CodeNotAllowed   Code = "not_allowed"    // the role may not do this
	CodeNotClearance Code = "not_clearance"  // what was brought does not clear a medical hold
	CodeSignedOut    Code = "signed_out"     // nobody is signed in, or the session ended
	CodeSignIn       Code = "sign_in"        // name, password or code is wrong, used or expired
	CodeTooManyTries Code = "too_many_tries" // rate limit
	CodeConflict     Code = "conflict"       // the state of the record does not allow it (already closed, already retracted)
	CodeDiskFull     Code = "disk_full"      // nothing was written
	CodeReadOnly     Code = "read_only"      // nothing was written
	CodeBusy         Code = "busy"           // the store stayed locked too long; nothing was written
	CodeDamaged      Code = "damaged"        // the store's file is not readable as a store
	CodeNewerStore   Code = "newer_store"    // the store was written by a newer Firnhand
	CodeForgotten    Code = "forgotten"      // the student's key was destroyed; the text cannot be read any more
	CodeInternal     Code = "internal"       // anything else
)

// Error returns the code and the sentence; the cause stays out of it.
func (e *Error) Error() string { return string(e.Code) + ": " + e.Sentence }

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

// Refuse builds an Error without a cause.
func Refuse(code Code, format string, args ...any) *Error {
	return &Error{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

// Fail builds an Error around a cause. The sentence is for people.
func Fail(code Code, cause error, format string, args ...any) *Error {
	return &Error{Code: code, Sentence: fmt.Sprintf(format, args...), Cause: cause}
}

// CodeOf returns the code of err, "" for nil and CodeInternal for an error of
// another shape.
func CodeOf(err error) Code {
	if err == nil {
		return ""
	}
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return CodeInternal
}

// SentenceOf returns the sentence to show for err. An error of another shape
// shows a general sentence, never its own text.
func SentenceOf(err error) string {
	if err == nil {
		return ""
	}
	var e *Error
	if errors.As(err, &e) {
		return e.Sentence
	}
	return "Something went wrong here, and it was written to the log. Nothing was saved."
}
