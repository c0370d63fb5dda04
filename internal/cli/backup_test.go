package cli

import (
	"bytes"
	"context"
	"crypto/sha256"
	flags "flag"
	"fmt"
	"io/fs"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"filippo.io/age"

	"firnhand/internal/backup"
	"firnhand/internal/clock"
	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var (
	people = flags.Int("people", 500, "students in TestRestoreMany")
	notes  = flags.Int("notes", 5_000, "notes in TestRestoreMany")
	seed   = flags.Uint64("seed", 0, "seed of random trials; 0 takes a new one")
)

func random(t testing.TB) *rand.Rand {
	if *seed == 0 {
		*seed = rand.Uint64()
	}
	t.Logf("seed=%d", *seed)
	return rand.New(rand.NewPCG(*seed, 2))
}

// safe is a programme's files in a folder, with a key for backups.
type safe struct {
	t       testing.TB
	dir     string // of the records
	backups string
	keeping
	id  *age.X25519Identity
	now time.Time
}

func newSafe(t testing.TB) *safe {
	t.Helper()
	s := &safe{t: t, dir: t.TempDir(), backups: t.TempDir(), now: programmetest.Noon.Truncate(time.Second)}
	s.Data = filepath.Join(s.dir, "records.db")
	var err error
	if s.id, err = age.GenerateX25519Identity(); err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *safe) open() *house {
	s.t.Helper()
	at := clock.At(programmetest.Noon)
	h, err := openHouse(s.t.Context(), files{s.Data, s.Keys}, at, at, programmetest.NewIDs(7), time.UTC, slog.New(slog.DiscardHandler))
	if err != nil {
		s.t.Fatal(err)
	}
	return h
}

func (s *safe) make() backup.Made {
	s.t.Helper()
	s.now = s.now.Add(time.Second)
	made, err := s.house().Make(s.t.Context(), backup.Order{Folder: s.backups, Work: s.dir, For: []age.Recipient{s.id.Recipient()}, Now: s.now, Program: "test"})
	if err != nil {
		s.t.Fatal(err)
	}
	return made
}

// back restores into a new folder.
func (s *safe) back(path string) (*safe, backup.Restored, error) {
	n := &safe{t: s.t, dir: s.t.TempDir(), backups: s.backups, id: s.id, now: s.now}
	n.Data = filepath.Join(n.dir, "records.db")
	r, err := n.house().Restore(s.t.Context(), backup.Back{Backup: path, With: []age.Identity{s.id}, Records: n.Data, Keys: n.keyFile(), Now: s.now})
	return n, r, err
}

// fill appends notes about students, sealed, in large appends.
func fill(t testing.TB, h *house, students, notes int) []programme.ID {
	t.Helper()
	ids := programmetest.NewIDs(11)
	who := make([]programme.ID, students)
	var batch []programme.Fact
	add := func(f programme.Fact) {
		if batch = append(batch, f); len(batch) == programme.MaxBatch {
			if _, err := h.cases.Store.Append(t.Context(), programmetest.Noon, batch...); err != nil {
				t.Fatal(err)
			}
			batch = batch[:0]
		}
	}
	author := ids.Next()
	for i := range who {
		who[i] = ids.Next()
		add(programme.Fact{ID: ids.Next(), Student: who[i], Kind: programme.KindStudent, Version: 1, Author: author, MadeAt: programmetest.Noon,
			Payload: fmt.Appendf(nil, `{"name_used":"Student %d","birth_date":"1990-05-04","binds_self":"yes"}`, i)})
	}
	for i := range notes {
		add(programme.Fact{ID: ids.Next(), Student: who[i%len(who)], Kind: programme.KindNote, Version: 1, Author: author, MadeAt: programmetest.Noon,
			Payload: fmt.Appendf(nil, `{"class":"work","about":"lesson","text":"Note %d: three garlands to the left, weight came over late, hands low, and better after a rest."}`, i)})
	}
	if _, err := h.cases.Store.Append(t.Context(), programmetest.Noon, batch...); err != nil {
		t.Fatal(err)
	}
	return who
}

// TestBackupWhileWriting (trust.md S8): backups are made while notes are
// appended. Each holds everything that was acknowledged before it began, no
// gap, and every text opens.
func TestBackupWhileWriting(t *testing.T) {
	s := newSafe(t)
	h := s.open()
	who := fill(t, h, 20, 100)
	stop, done := make(chan struct{}), make(chan int64)
	go func() {
		ids, n := programmetest.NewIDs(12), int64(0)
		for {
			select {
			case <-stop:
				done <- n
				return
			default:
			}
			_, err := h.cases.Store.Append(context.Background(), programmetest.Noon, programme.Fact{ID: ids.Next(), Student: who[int(n)%len(who)], Kind: programme.KindNote,
				Version: 1, Payload: fmt.Appendf(nil, `{"class":"work","text":"While copying %d"}`, n), Author: who[0], MadeAt: programmetest.Noon})
			if err != nil {
				t.Error(err)
			}
			n++
		}
	}()
	var least []int64
	var paths []string
	for range 5 {
		n, err := h.store.Counts(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		least = append(least, n.Facts)
		paths = append(paths, s.make().Path)
	}
	close(stop)
	if n := <-done; n < 5 {
		t.Fatalf("only %d notes were written meanwhile", n)
	}
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	for i, path := range paths {
		n, r, err := s.back(path)
		if err != nil {
			t.Fatal(err)
		}
		got, err := sqlite.Examine(t.Context(), n.Data)
		if err != nil || len(r.Manifest.Contents.Differs(got)) != 0 {
			t.Fatalf("the restored tables differ: %v, %v", r.Manifest.Contents.Differs(got), err)
		}
		again := n.open()
		facts, err := again.cases.Store.Facts(t.Context(), programme.Query{Everyone: true})
		if err != nil {
			t.Fatalf("a text does not open: %v", err)
		}
		if int64(len(facts)) < least[i] || facts[len(facts)-1].Seq != int64(len(facts)) {
			t.Errorf("backup %d holds %d facts up to %d; %d were acknowledged before it began", i, len(facts), facts[len(facts)-1].Seq, least[i])
		}
		if err := again.Close(); err != nil {
			t.Fatal(err)
		}
	}
	left, _ := filepath.Glob(filepath.Join(s.dir, ".firnhand-*"))
	if len(left) > 0 {
		t.Errorf("copies in the clear are left: %v", left)
	}
}

// TestRestoreMany (trust.md S8): many people come back with every digest
// equal. The full size is tried on the built program, in e2e.
func TestRestoreMany(t *testing.T) {
	s := newSafe(t)
	h := s.open()
	begin := time.Now()
	fill(t, h, *people, *notes)
	before, err := h.store.Contents(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	filled := time.Since(begin)
	begin = time.Now()
	made := s.make()
	backed := time.Since(begin)
	begin = time.Now()
	n, _, err := s.back(made.Path)
	if err != nil {
		t.Fatal(err)
	}
	took := time.Since(begin)
	after, err := sqlite.Examine(t.Context(), n.Data)
	if err != nil || len(before.Differs(after)) > 0 {
		t.Fatalf("not equal: %v, %v", before.Differs(after), err)
	}
	if after.Rows("facts") != int64(*people+*notes) {
		t.Errorf("%d facts came back", after.Rows("facts"))
	}
	t.Logf("%d people, %d notes: written in %.1f s, backed up in %.1f s (%d MiB), restored and compared in %.1f s", *people, *notes,
		filled.Seconds(), backed.Seconds(), made.Bytes>>20, took.Seconds())
}

// TestDamagedBackups (trust.md S9): a flipped byte, a cut or lengthened file,
// the wrong key, a newer form: 1,000 of them, each refused, none applied even
// in part to the records that are there.
func TestDamagedBackups(t *testing.T) {
	r := random(t)
	s := newSafe(t)
	h := s.open()
	fill(t, h, 3, 30)
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(s.make().Path)
	if err != nil {
		t.Fatal(err)
	}
	stranger, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	before := stateOf(t, s.dir)
	newest := filepath.Join(s.backups, "damaged")
	refusals := map[programme.Code]int{}
	for i := range 1000 {
		b, with := bytes.Clone(whole), age.Identity(s.id)
		what := ""
		switch i % 10 {
		case 0:
			with, what = stranger, "another key"
		case 1, 2:
			n := r.IntN(len(b))
			b, what = b[:n], fmt.Sprintf("cut at %d of %d", n, len(whole))
		case 3:
			b, what = append(b, byte(r.Uint32())), "one byte more"
		case 4:
			n := r.IntN(min(400, len(b)))
			b[n] ^= 1 << r.IntN(8)
			what = fmt.Sprintf("bit of byte %d of the head", n)
		case 5:
			n, m := r.IntN(len(b)), r.IntN(len(b))
			for n == m || b[n] == b[m] {
				n, m = r.IntN(len(b)), r.IntN(len(b))
			}
			b[n], b[m] = b[m], b[n]
			what = fmt.Sprintf("bytes %d and %d exchanged", n, m)
		default:
			n := r.IntN(len(b))
			b[n] ^= 1 << r.IntN(8)
			what = fmt.Sprintf("bit of byte %d", n)
		}
		if err := os.WriteFile(newest, b, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := s.house().Restore(t.Context(), backup.Back{Backup: newest, With: []age.Identity{with}, Records: s.Data, Keys: s.keyFile(), Replace: true, Now: s.now})
		code := programme.CodeOf(err)
		refusals[code]++
		if code != programme.CodeDamaged && code != backup.CodeWrongKey {
			t.Fatalf("%s: %v", what, err)
		}
		if !strings.Contains(programme.SentenceOf(err), "Nothing was restored") {
			t.Errorf("%s: %q", what, programme.SentenceOf(err))
		}
		if i%50 == 0 || i == 999 {
			if after := stateOf(t, s.dir); after != before {
				t.Fatalf("%s: the records that were there changed:\n%s\n%s", what, before, after)
			}
		}
	}
	t.Logf("1,000 damaged backups: %v", refusals)
	if refusals[backup.CodeWrongKey] < 100 || refusals[programme.CodeDamaged] < 800 {
		t.Errorf("refusals %v", refusals)
	}
}

// stateOf describes every file below a folder by its bytes.
func stateOf(t testing.TB, dir string) string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, ".lock") {
			return err
		}
		b, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out = append(out, fmt.Sprintf("%s %x", rel, sha256.Sum256(b)))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

// TestForgottenStaysForgotten: who was forgotten after a backup was made does
// not come back with it: by the list beside the backups, and by the key file
// that is replaced. Counts stay.
func TestForgottenStaysForgotten(t *testing.T) {
	for _, how := range []string{"by the list beside the backups", "by the key file that is replaced"} {
		t.Run(how, func(t *testing.T) {
			s := newSafe(t)
			h := s.open()
			who := fill(t, h, 3, 30)
			old := s.make()
			lead := programme.Actor{Staff: who[0], Roles: []programme.Role{programme.Lead}}
			if err := h.cases.ForgetStudent(t.Context(), lead, who[1]); err != nil {
				t.Fatal(err)
			}
			if err := h.Close(); err != nil {
				t.Fatal(err)
			}
			n := s
			if strings.Contains(how, "list") {
				s.make() // the next one writes the list
				var r backup.Restored
				var err error
				if n, r, err = s.back(old.Path); err != nil || len(r.Forgotten) != 1 || r.Forgotten[0] != who[1] {
					t.Fatalf("%+v, %v", r, err)
				}
			} else {
				r, err := s.house().Restore(t.Context(), backup.Back{Backup: old.Path, With: []age.Identity{s.id}, Records: s.Data, Keys: s.keyFile(), Replace: true, Now: s.now})
				if err != nil || len(r.Forgotten) != 1 || len(r.Aside) != 2 {
					t.Fatalf("%+v, %v", r, err)
				}
			}
			h = n.open()
			facts, err := h.cases.Store.Facts(t.Context(), programme.Query{Everyone: true})
			if err != nil || len(facts) != 33 {
				t.Fatalf("%d facts, %v", len(facts), err)
			}
			for _, f := range facts {
				if f.Forgotten != (f.Student == who[1]) || f.Forgotten && len(f.Payload) > 0 {
					t.Fatalf("fact %d about %s: forgotten %v", f.Seq, f.Student, f.Forgotten)
				}
			}
			if err := h.Close(); err != nil {
				t.Fatal(err)
			}
		})
	}
}

// TestKeepBackups: older ones go once a newer one is there, and only backups.
func TestKeepBackups(t *testing.T) {
	s := newSafe(t)
	if err := s.open().Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(s.backups, "letter.txt"), []byte("keep"), 0o600); err != nil {
		t.Fatal(err)
	}
	order := backup.Order{Folder: s.backups, Work: s.dir, For: []age.Recipient{s.id.Recipient()}, Now: s.now, Keep: 35 * 24 * time.Hour}
	for day := range 50 {
		order.Now = s.now.AddDate(0, 0, day)
		if _, err := s.house().Make(t.Context(), order); err != nil {
			t.Fatal(err)
		}
	}
	all, err := backup.List(s.backups)
	if err != nil || len(all) != 36 || !all[0].MadeAt.Equal(s.now.AddDate(0, 0, 14)) {
		t.Errorf("%d backups, the oldest of %v, %v", len(all), all[0].MadeAt, err)
	}
	if _, err := os.Stat(filepath.Join(s.backups, "letter.txt")); err != nil {
		t.Error(err)
	}
}

// BenchmarkRestore restores 1,000 people with 10,000 notes.
func BenchmarkRestore(b *testing.B) {
	s := newSafe(b)
	h := s.open()
	fill(b, h, 1000, 10_000)
	if err := h.Close(); err != nil {
		b.Fatal(err)
	}
	made := s.make()
	b.SetBytes(made.Bytes)
	for b.Loop() {
		if _, _, err := s.back(made.Path); err != nil {
			b.Fatal(err)
		}
	}
}
