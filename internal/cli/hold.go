package cli

import (
	"github.com/gofrs/flock"
)

// A program that serves records holds them: a file beside them, locked as long
// as the process lives, so that a restore is not laid under its feet. Several
// programs may serve the same records.

func holdFile(data string) string { return data + ".serving" }

// holdServing marks records as served.
func holdServing(data string) (release func() error, err error) {
	l := flock.New(holdFile(data))
	ok, err := l.TryRLock()
	if err != nil {
		return nil, internal(err, "The file that says that the records are served cannot be written.")
	}
	if !ok {
		return nil, refuse("busy", "The records in %s are being restored. Try again when that is done.", data)
	}
	return l.Unlock, nil
}

// holdAlone refuses while any program serves the records.
func holdAlone(data string) (release func() error, err error) {
	l := flock.New(holdFile(data))
	ok, err := l.TryLock()
	if err != nil {
		return nil, refuse("file", "Nothing can be written beside %s.", data)
	}
	if !ok {
		return nil, refuse("busy", "A program serves the records in %s. End it first; nothing was restored.", data)
	}
	return l.Unlock, nil
}
