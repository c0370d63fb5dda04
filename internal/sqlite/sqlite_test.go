package sqlite_test

import (
	"context"
	"path/filepath"
	"testing"

	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

func open(t testing.TB, path string) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(context.Background(), path)
	if err != nil {
		t.Fatalf("Open: %v (%v)", err, programmeCause(err))
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func TestStore(t *testing.T) {
	newStore := func(t *testing.T) programme.Store {
		return open(t, filepath.Join(t.TempDir(), "records.db"))
	}
	programmetest.Exercise(t, newStore)
	programmetest.ExerciseKeyIDs(t, newStore)
}

func TestSignInStore(t *testing.T) {
	programmetest.ExerciseSignIn(t, func(t *testing.T) programme.SignInStore {
		return open(t, filepath.Join(t.TempDir(), "records.db"))
	})
}

// programmeCause digs out the cause for a test's message.
func programmeCause(err error) error {
	if e, ok := err.(*programme.Error); ok {
		return e.Cause
	}
	return nil
}
