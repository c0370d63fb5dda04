package backup

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"filippo.io/age"

	"firnhand/programme"
)

// key opens the backups of these tests. It is invented and opens nothing else.
func key(t testing.TB) *age.X25519Identity {
	t.Helper()
	id, err := age.ParseX25519Identity("AGE-SECRET-KEY-1QQQSYQCYQ5RQWZQFPG9SCRGWPUGPZYSNZS23V9CCRYDPK8QARC0SQM6Z4N")
	if err != nil {
		if id, err = age.GenerateX25519Identity(); err != nil {
			t.Fatal(err)
		}
	}
	return id
}

// small writes a backup of two small parts.
func small(t testing.TB, id *age.X25519Identity) []byte {
	t.Helper()
	dir := t.TempDir()
	m := Manifest{Format: format, Program: "test", MadeAt: time.Date(2027, 1, 14, 8, 0, 0, 0, time.UTC)}
	for _, name := range []string{partRecords, partKeys} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte("content of "+name), 0o600); err != nil {
			t.Fatal(err)
		}
		p, err := partOf(path)
		if err != nil {
			t.Fatal(err)
		}
		m.Parts = append(m.Parts, p)
	}
	var b bytes.Buffer
	if err := seal(&b, []age.Recipient{id.Recipient()}, m, dir); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// FuzzOpen: whatever a file holds, it is opened whole or refused in words, and
// nothing is written outside the folder it is unpacked into.
func FuzzOpen(f *testing.F) {
	id := key(f)
	whole := small(f, id)
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	f.Add([]byte("age-encryption.org/v1\n-> X25519 x\n\n---"))
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		dir := t.TempDir()
		m, err := open(bytes.NewReader(b), []age.Identity{id}, dir)
		if err == nil && (m.Format != format || len(m.Parts) != 2) {
			t.Fatalf("opened as %+v", m)
		}
		if c := programme.CodeOf(err); err != nil && c != programme.CodeDamaged && c != CodeWrongKey && c != CodeNewer {
			t.Fatalf("refused with %s: %v", c, err)
		}
		left, _ := filepath.Glob(filepath.Join(dir, "*"))
		for _, path := range left {
			if name := filepath.Base(path); name != partRecords && name != partKeys {
				t.Fatalf("%s was written", name)
			}
		}
	})
}

// TestInside: what is encrypted well but says something else is refused too:
// another form, a part too many, one that names a folder above, another size.
func TestInside(t *testing.T) {
	id := key(t)
	dir := t.TempDir()
	good := Manifest{Format: format, MadeAt: time.Date(2027, 1, 14, 8, 0, 0, 0, time.UTC)}
	for _, name := range []string{partRecords, partKeys, "more"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("content of "+name), 0o600); err != nil {
			t.Fatal(err)
		}
		p, err := partOf(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		good.Parts = append(good.Parts, p)
	}
	two := good
	two.Parts = good.Parts[:2]
	try := func(change func(*Manifest)) error {
		m := two
		m.Parts = append([]Part{}, two.Parts...)
		change(&m)
		var b bytes.Buffer
		if err := seal(&b, []age.Recipient{id.Recipient()}, m, dir); err != nil {
			return err
		}
		_, err := open(&b, []age.Identity{id}, t.TempDir())
		return err
	}
	if err := try(func(*Manifest) {}); err != nil {
		t.Fatalf("the good one: %v", err)
	}
	for name, c := range map[string]struct {
		change func(*Manifest)
		code   programme.Code
	}{
		"a newer form":    {func(m *Manifest) { m.Format = format + 1 }, CodeNewer},
		"an older form":   {func(m *Manifest) { m.Format = 0 }, programme.CodeDamaged},
		"three parts":     {func(m *Manifest) { m.Parts = good.Parts }, programme.CodeDamaged},
		"one part":        {func(m *Manifest) { m.Parts = m.Parts[:1] }, programme.CodeDamaged},
		"other order":     {func(m *Manifest) { m.Parts[0], m.Parts[1] = m.Parts[1], m.Parts[0] }, programme.CodeDamaged},
		"another digest":  {func(m *Manifest) { m.Parts[0].SHA256 = m.Parts[1].SHA256 }, programme.CodeDamaged},
		"a folder above":  {func(m *Manifest) { m.Parts[1].Name = "../" + filepath.Base(dir) + "/keys" }, programme.CodeDamaged},
		"two of the same": {func(m *Manifest) { m.Parts[1] = m.Parts[0] }, programme.CodeDamaged},
	} {
		if err := try(c.change); programme.CodeOf(err) != c.code {
			t.Errorf("%s: %v", name, err)
		}
	}
}
