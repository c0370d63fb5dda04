package vault_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"firnhand/internal/clock"
	"firnhand/internal/vault"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var ctx = context.Background()

func keys(t testing.TB, path string) *vault.Keys {
	t.Helper()
	k, err := vault.Open(path, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func newPath(t testing.TB) string { return filepath.Join(t.TempDir(), "keys") }

func note(ids *programmetest.IDs, words string) programme.Fact {
	return programme.Fact{ID: ids.Next(), Student: ids.Next(), Kind: programme.KindNote, Version: 1,
		Payload: []byte(words), Author: ids.Next(), MadeAt: programmetest.Noon}
}

func refused(t *testing.T, err error, code programme.Code, words string) {
	t.Helper()
	if programme.CodeOf(err) != code || !strings.Contains(programme.SentenceOf(err), words) {
		t.Errorf("got %v\nwant code %s and the words %q", err, code, words)
	}
}

// TestSealedStore: sealing changes nothing of what a store promises.
func TestSealedStore(t *testing.T) {
	programmetest.Exercise(t, func(t *testing.T) programme.Store {
		return vault.Wrap(programmetest.NewMemory(), keys(t, newPath(t)))
	})
}

// TestNothingInTheClear plants a word and looks for it in what is stored.
func TestNothingInTheClear(t *testing.T) {
	path, below := newPath(t), programmetest.NewMemory()
	s := vault.Wrap(below, keys(t, path))
	f := note(programmetest.NewIDs(1), "PLANTED word")
	if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
		t.Fatal(err)
	}
	raw, err := below.Fact(ctx, f.ID)
	if err != nil || raw.KeyID == "" || bytes.Contains(raw.Payload, []byte("PLANTED")) || len(raw.Payload) != len(f.Payload)+12+16 {
		t.Fatalf("stored as %q under %q, %v", raw.Payload, raw.KeyID, err)
	}
	file, err := os.ReadFile(path)
	if err != nil || bytes.Contains(file, []byte("PLANTED")) {
		t.Fatalf("%s, %v", file, err)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Fatalf("key file mode %v", info.Mode())
	}
	// Another opening of the same file reads it; sealing again is the same fact.
	again := vault.Wrap(below, keys(t, path))
	if got, err := again.Fact(ctx, f.ID); err != nil || string(got.Payload) != "PLANTED word" || got.KeyID != "" {
		t.Fatalf("read again: %+v, %v", got, err)
	}
	if got, err := again.Append(ctx, programmetest.Noon, f); err != nil || got[0].Outcome != programme.Exists {
		t.Fatalf("sent again: %+v, %v", got, err)
	}
	other := f
	other.Payload = []byte("PLANTED Word")
	_, err = again.Append(ctx, programmetest.Noon, other)
	refused(t, err, programme.CodeIDTaken, "used before")
	own := note(programmetest.NewIDs(2), "x")
	own.KeyID = "mine"
	_, err = again.Append(ctx, programmetest.Noon, own)
	refused(t, err, programme.CodeInvalid, "sealed by the store")
}

// TestAltered: any changed byte, and a sealed text moved to another fact, is
// noticed.
func TestAltered(t *testing.T) {
	k, ids := keys(t, newPath(t)), programmetest.NewIDs(3)
	f := note(ids, "words")
	id, sealed, err := k.Seal(f)
	if err != nil {
		t.Fatal(err)
	}
	f.KeyID, f.Payload = id, sealed
	if text, err := k.Open(f); err != nil || string(text) != "words" {
		t.Fatalf("%q, %v", text, err)
	}
	for i := range sealed {
		g := f
		g.Payload = bytes.Clone(sealed)
		g.Payload[i] ^= 1
		_, err := k.Open(g)
		refused(t, err, programme.CodeDamaged, "was altered")
	}
	for n := range sealed {
		g := f
		g.Payload = sealed[:n]
		if _, err := k.Open(g); programme.CodeOf(err) != programme.CodeDamaged {
			t.Fatalf("%d of %d bytes open: %v", n, len(sealed), err)
		}
	}
	for what, change := range map[string]func(*programme.Fact){
		"id":      func(f *programme.Fact) { f.ID = ids.Next() },
		"student": func(f *programme.Fact) { f.Student = ids.Next() },
		"kind":    func(f *programme.Fact) { f.Kind = programme.KindHold },
		"version": func(f *programme.Fact) { f.Version = 2 },
		"author":  func(f *programme.Fact) { f.Author = ids.Next() },
		"names":   func(f *programme.Fact) { f.Names = ids.Next() },
	} {
		g := f
		change(&g)
		if _, err := k.Open(g); programme.CodeOf(err) != programme.CodeDamaged {
			t.Errorf("the text opens as another %s's: %v", what, err)
		}
	}
}

func TestForgetStudent(t *testing.T) {
	path, below, at, ids := newPath(t), programmetest.NewMemory(), clock.At(programmetest.Noon), programmetest.NewIDs(4)
	k := keys(t, path)
	svc := programme.New(programme.Config{Store: vault.Wrap(below, k), Clock: at, Vocabulary: words{}, Random: ids, Keys: k})
	beside := vault.Wrap(below, keys(t, path)) // another program with the same files
	lead := programme.Actor{Staff: ids.Next(), Roles: []programme.Role{programme.Lead}}
	ann, bo := ids.Next(), ids.Next()
	for _, s := range []programme.ID{ann, bo} {
		if _, err := svc.AddStudent(ctx, lead, programme.Made{}, s, programme.StudentDetails{NameUsed: "Invented " + string(s[30:])}); err != nil {
			t.Fatal(err)
		}
		if _, err := svc.AddNote(ctx, lead, programme.Made{}, s, programme.Note{Class: programme.NoteWork, Text: "x"}); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := beside.Facts(ctx, programme.Query{Student: ann}); err != nil || len(got) != 2 || got[0].Forgotten {
		t.Fatalf("before: %+v, %v", got, err)
	}
	before, _ := below.Counts(ctx)
	secret := secretOf(t, path, ann)
	for range 2 { // twice is no error
		if err := svc.ForgetStudent(ctx, lead, ann); err != nil {
			t.Fatal(err)
		}
	}
	if file, _ := os.ReadFile(path); bytes.Contains(file, []byte(secret)) || !bytes.Contains(file, []byte("gone ")) {
		t.Fatalf("the key file still holds the key:\n%s", file)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".keys-*")); len(left) != 0 {
		t.Fatalf("left behind: %v", left)
	}
	after, err := svc.Store.Counts(ctx)
	if err != nil || after != before {
		t.Fatalf("counts %+v became %+v, %v", before, after, err)
	}
	for name, s := range map[string]programme.Store{"this": svc.Store, "another": beside, "a later": vault.Wrap(below, keys(t, path))} {
		got, err := s.Facts(ctx, programme.Query{Student: ann})
		if err != nil || len(got) != 2 || !got[0].Forgotten || got[0].Payload != nil || got[0].Seq == 0 {
			t.Fatalf("%s program reads %+v, %v", name, got, err)
		}
		_, err = s.Append(ctx, at.Now(), programme.Fact{ID: ids.Next(), Student: ann, Kind: programme.KindNote, Version: 1, MadeAt: at.Now()})
		refused(t, err, programme.CodeForgotten, "destroyed on request")
	}
	_, err = svc.StudentAt(ctx, lead, ann, programme.AsOf{})
	refused(t, err, programme.CodeForgotten, "This student was forgotten on request")
	_, err = svc.ExportStudent(ctx, lead, ann)
	refused(t, err, programme.CodeForgotten, "This student was forgotten on request")
	if log, err := svc.Readings(ctx, lead, ann, 0); err != nil || len(log) != 1 || log[0].What != programme.ReadForgotten || log[0].Staff != lead.Staff {
		t.Fatalf("the log says %+v, %v", log, err)
	}
	if due, err := svc.Retention(ctx, lead); err != nil || len(due) != 1 || due[0].Student != bo {
		t.Fatalf("retention %+v, %v", due, err)
	}
	list, err := svc.Students(ctx, lead, true)
	if err != nil || len(list) != 1 || list[0].Student != bo {
		t.Fatalf("list %+v, %v", list, err)
	}
	if rec, err := svc.StudentAt(ctx, lead, bo, programme.AsOf{}); err != nil || len(rec.Notes) != 1 {
		t.Fatalf("the other student: %+v, %v", rec, err)
	}
}

type words struct{}

func (words) CheckFinding(_ programme.FindingKey, v string) (string, error) { return v, nil }
func (words) Tires(string) bool                                             { return false }
func (words) NeedsPaper(string, string) bool                                { return false }
func (words) CheckSetting(_, v string) (string, error)                      { return v, nil }
func (words) CheckGate(string) error                                        { return nil }

func secretOf(t *testing.T, path string, student programme.ID) string {
	t.Helper()
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(file), "\n") {
		if f := strings.Fields(line); len(f) == 4 && f[2] == string(student) {
			return f[3]
		}
	}
	t.Fatalf("no key for %s in\n%s", student, file)
	return ""
}

// TestWrongKeyFile: a missing, foreign, older or damaged key file is a sentence,
// never an empty record.
func TestWrongKeyFile(t *testing.T) {
	path, below, ids := newPath(t), programmetest.NewMemory(), programmetest.NewIDs(5)
	s := vault.Wrap(below, keys(t, path))
	older, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	f := note(ids, "x")
	if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	foreign := newPath(t)
	if _, _, err := keys(t, foreign).Seal(note(ids, "y")); err != nil {
		t.Fatal(err)
	}
	theirs, _ := os.ReadFile(foreign)
	for name, content := range map[string][]byte{"older": older, "foreign": theirs} {
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := s.Facts(ctx, programme.Query{Everyone: true})
		t.Log(name)
		refused(t, err, programme.CodeDamaged, "Put the right key file back.")
	}
	for name, content := range map[string]string{
		"empty": "", "another file": "hello\n", "newer form": "firnhand keys 2\n",
		"odd line": "firnhand keys 1\nkey a b\n", "short key": "firnhand keys 1\nkey a " + string(f.Student) + " AAAA\n",
		"odd student": "firnhand keys 1\nkey a Ann " + strings.Repeat("A", 43) + "\n",
	} {
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := vault.Open(path, rand.Reader)
		t.Log(name)
		refused(t, err, programme.CodeDamaged, "The key file is damaged. It was left as it was")
		if now, _ := os.ReadFile(path); string(now) != content {
			t.Errorf("%s: the file was changed", name)
		}
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	_, err = s.Append(ctx, programmetest.Noon, note(ids, "z"))
	refused(t, err, programme.CodeDamaged, "The key file is missing.")
	if err := os.WriteFile(path, good, 0o600); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Fact(ctx, f.ID); err != nil || string(got.Payload) != "x" {
		t.Fatalf("with the right file: %+v, %v", got, err)
	}
	// A line that was being written when the machine stopped.
	if err := os.WriteFile(path, append(bytes.Clone(good), "key abc 0190"...), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(ctx, programmetest.Noon, note(ids, "w")); err != nil {
		t.Fatalf("after a broken line: %v", err)
	}
	if now, _ := os.ReadFile(path); bytes.Contains(now, []byte("key abc ")) || bytes.Count(now, []byte("\n")) != 3 {
		t.Fatalf("after a broken line:\n%s", now)
	}
}

// TestAtOnce: several programs make keys for the same students at the same
// time; each student gets one key, and each program reads all.
func TestAtOnce(t *testing.T) {
	path, below, ids := newPath(t), programmetest.NewMemory(), programmetest.NewIDs(6)
	facts := make([]programme.Fact, 12)
	for i := range facts {
		facts[i] = note(ids, fmt.Sprint(i))
	}
	var wg sync.WaitGroup
	for range 4 {
		s := vault.Wrap(below, keys(t, path))
		wg.Go(func() {
			for _, f := range facts {
				if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
					t.Errorf("Append: %v", err)
				}
			}
		})
	}
	wg.Wait()
	file, _ := os.ReadFile(path)
	if n := bytes.Count(file, []byte("key ")); n != len(facts) {
		t.Errorf("%d keys for %d students", n, len(facts))
	}
	got, err := vault.Wrap(below, keys(t, path)).Facts(ctx, programme.Query{Everyone: true})
	if err != nil || len(got) != len(facts) {
		t.Errorf("%d facts, %v", len(got), err)
	}
}

// BenchmarkFacts opens the 200 sealed facts of one student.
func BenchmarkFacts(b *testing.B) {
	ids := programmetest.NewIDs(7)
	s := vault.Wrap(programmetest.NewMemory(), keys(b, newPath(b)))
	f := note(ids, `{"finding":"push_out","side":"left","state":"fresh","value":"3","how":"rail, ski boots"}`)
	for range 200 {
		f.ID = ids.Next()
		if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
			b.Fatal(err)
		}
	}
	b.ResetTimer()
	for range b.N {
		if got, err := s.Facts(ctx, programme.Query{Student: f.Student}); err != nil || len(got) != 200 {
			b.Fatal(len(got), err)
		}
	}
}
