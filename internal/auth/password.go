package auth

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"
	"github.com/trustelem/zxcvbn"
	"golang.org/x/text/unicode/norm"

	"firnhand/programme"
)

// Length of a password in characters (ASVS 5.0, 6.2.1 and 6.2.9: at least 8,
// and at least 64 must be allowed), and of a login.
const (
	MinPassword = 8
	MaxPassword = 128
	MaxLogin    = 64

	// easyGuesses is the number of guesses under which a password is refused: a
	// million, the upper end of "very guessable" in the estimator's own scale.
	easyGuesses = 1e6
	// estimated is how much of a password the estimator reads; it is slow on
	// long ones, and what is longer is not guessed from lists.
	estimated = 40
)

// cost is what hashing takes. ASVS 5.0, appendix C, asks of argon2id at least
// 46 MiB with one pass and one lane.
var cost = argon2id.Params{Memory: 64 << 10, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// hasher hashes and compares, two at a time, so that a flood of sign-ins cannot
// take all memory.
type hasher struct {
	slots chan struct{}
	dummy func() string
}

func newHasher() hasher {
	return hasher{
		slots: make(chan struct{}, 2),
		dummy: sync.OnceValue(func() string {
			h, err := argon2id.CreateHash("nobody's password", &cost)
			if err != nil {
				panic("auth: " + err.Error())
			}
			return h
		}),
	}
}

func (h hasher) make(password string) ([]byte, error) {
	h.slots <- struct{}{}
	defer func() { <-h.slots }()
	out, err := argon2id.CreateHash(fold(password), &cost)
	if err != nil {
		return nil, programme.Fail(programme.CodeInternal, err, "The password could not be kept. Nothing was saved.")
	}
	return []byte(out), nil
}

// matches compares a password with a hash; with an empty hash it takes as long
// and says no, so that an unknown login cannot be told from a wrong password.
func (h hasher) matches(password string, hash []byte) (ok, stale bool) {
	known := len(hash) > 0
	if !known {
		hash = []byte(h.dummy())
	}
	h.slots <- struct{}{}
	defer func() { <-h.slots }()
	ok, p, err := argon2id.CheckHash(fold(password), string(hash))
	if err != nil || !ok || !known {
		return false, false
	}
	return true, p.Memory < cost.Memory || p.Iterations < cost.Iterations
}

// fold writes equal passwords equally: the same characters typed on another
// keyboard may come in another form of Unicode.
func fold(password string) string { return norm.NFC.String(password) }

// foldLogin writes a login as it is kept and compared.
func foldLogin(login string) string {
	return strings.ToLower(norm.NFKC.String(strings.TrimSpace(login)))
}

func checkLogin(login string) error {
	n := utf8.RuneCountInString(login)
	if n == 0 || n > MaxLogin || !utf8.ValidString(login) {
		return programme.Refuse(programme.CodeInvalid, "A login has 1 to %d characters.", MaxLogin)
	}
	for _, r := range login {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("._-@", r) {
			return programme.Refuse(programme.CodeInvalid, "A login is made of letters, digits and . _ - @.")
		}
	}
	return nil
}

// checkPassword refuses short, overlong and easily guessed passwords. known are
// words that belong to the person.
func checkPassword(password string, known ...string) error {
	switch n := utf8.RuneCountInString(password); {
	case !utf8.ValidString(password):
		return programme.Refuse(programme.CodeInvalid, "The password is not readable text.")
	case n < MinPassword:
		return programme.Refuse(programme.CodeInvalid, "A password has at least %d characters. Several words in a row are easy to remember.", MinPassword)
	case n > MaxPassword:
		return programme.Refuse(programme.CodeInvalid, "A password has at most %d characters.", MaxPassword)
	}
	head := []rune(fold(password))
	if len(head) > estimated {
		head = head[:estimated]
	}
	if zxcvbn.PasswordStrength(string(head), append(known, "firnhand")).Guesses < easyGuesses {
		return programme.Refuse(programme.CodeInvalid, "This password is too easy to guess. Several words in a row that do not belong together make a good one.")
	}
	return nil
}
