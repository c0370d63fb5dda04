package vault_test

import (
	"bytes"
	"crypto/rand"
	"os"
	"testing"

	"firnhand/internal/vault"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// FuzzKeyFile: whatever a key file holds, it is read or refused in words and
// left as it was; one that is read seals and opens.
func FuzzKeyFile(f *testing.F) {
	path := newPath(f)
	k := keys(f, path)
	ids := programmetest.NewIDs(31)
	if _, _, err := k.Seal(note(ids, "x")); err != nil {
		f.Fatal(err)
	}
	good, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add(good[:len(good)-7])
	f.Add([]byte("firnhand keys 1\ngone a b\n"))
	f.Add([]byte("firnhand keys 2\n"))
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		path := newPath(t)
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		k, err := vault.Open(path, rand.Reader)
		after, readErr := os.ReadFile(path)
		if readErr != nil || !bytes.Equal(after, b) {
			t.Fatalf("opening changed the file, %v", readErr)
		}
		if err != nil {
			if programme.CodeOf(err) != programme.CodeDamaged {
				t.Fatalf("refused with %v", err)
			}
			return
		}
		one := note(programmetest.NewIDs(32), "text")
		id, sealed, err := k.Seal(one)
		if err != nil {
			if programme.CodeOf(err) == programme.CodeForgotten {
				return
			}
			t.Fatal(err)
		}
		text := one.Payload
		one.KeyID, one.Payload = id, sealed
		if got, err := k.Open(one); err != nil || !bytes.Equal(got, text) {
			t.Fatalf("%q, %v", got, err)
		}
	})
}
