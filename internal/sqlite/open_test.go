package sqlite_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var ctx = context.Background()

// raw opens the file without the package's own care.
func raw(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func do(t *testing.T, db *sql.DB, q string) {
	t.Helper()
	if _, err := db.Exec(q); err != nil {
		t.Fatalf("%s: %v", q, err)
	}
}

func note(ids *programmetest.IDs, words string) programme.Fact {
	return programme.Fact{ID: ids.Next(), Student: ids.Next(), Kind: programme.KindNote, Version: 1,
		Payload: []byte(words), Author: ids.Next(), MadeAt: programmetest.Noon}
}

func refused(t *testing.T, err error, code programme.Code, words string) {
	t.Helper()
	if programme.CodeOf(err) != code || !strings.Contains(programme.SentenceOf(err), words) {
		t.Fatalf("got %v, want code %s and %q", err, code, words)
	}
}

func sum(t *testing.T, path string) [32]byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return sha256.Sum256(b)
}

func TestOpen_NewFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "odd name ?#%&ü.db")
	s := open(t, path)
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("mode %v, %v: health data must be its owner's alone", info.Mode(), err)
	}
	if wrong, err := s.Check(ctx); err != nil || len(wrong) != 0 {
		t.Fatalf("Check = %v, %v", wrong, err)
	}
	ids := programmetest.NewIDs(5)
	f := note(ids, "kept")
	if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	again := open(t, path)
	if got, err := again.Fact(ctx, f.ID); err != nil || !programme.SameContent(got, f) {
		t.Fatalf("after reopening: %+v, %v", got, err)
	}
}

func TestOpen_Refusals(t *testing.T) {
	newer := func(t *testing.T, path string) {
		if err := open(t, path).Close(); err != nil {
			t.Fatal(err)
		}
		do(t, raw(t, path), "PRAGMA user_version = 9999")
	}
	for _, c := range []struct {
		name  string
		make  func(t *testing.T, path string)
		code  programme.Code
		words string
	}{
		{"Newer", newer, programme.CodeNewerStore, "written by a newer Firnhand (schema 9999"},
		{"AnotherProgramsFile", func(t *testing.T, path string) { do(t, raw(t, path), "CREATE TABLE a (b)") },
			programme.CodeDamaged, "does not hold Firnhand's records. It was left as it was."},
		{"NotADatabase", func(t *testing.T, path string) {
			if err := os.WriteFile(path, bytes.Repeat([]byte("words "), 1000), 0o600); err != nil {
				t.Fatal(err)
			}
		}, programme.CodeDamaged, "damaged or is not Firnhand's"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "records.db")
			c.make(t, path)
			before := sum(t, path)
			_, err := sqlite.Open(ctx, path)
			refused(t, err, c.code, c.words)
			if sum(t, path) != before {
				t.Error("the file was changed")
			}
		})
	}
	t.Run("NoFolder", func(t *testing.T) {
		dir := t.TempDir()
		_, err := sqlite.Open(ctx, filepath.Join(dir, "none", "records.db"))
		refused(t, err, programme.CodeInvalid, "The folder for the records does not exist.")
		if left, _ := os.ReadDir(dir); len(left) != 0 {
			t.Errorf("left behind: %v", left)
		}
	})
	t.Run("Folder", func(t *testing.T) {
		_, err := sqlite.Open(ctx, t.TempDir())
		refused(t, err, programme.CodeInvalid, "not a file")
	})
}

// TestOpen_SecondTime: bringing the schema up to date a second time changes
// nothing, and a file that was made but never filled is taken.
func TestOpen_SecondTime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := open(t, path).Close(); err != nil {
		t.Fatal(err)
	}
	before := sum(t, path)
	if err := open(t, path).Close(); err != nil {
		t.Fatal(err)
	}
	if sum(t, path) != before {
		t.Error("opening without writing changed the file")
	}
}

// TestOpen_OlderSchema starts from every earlier schema with rows in it: each
// is brought up to date and keeps its facts.
func TestOpen_OlderSchema(t *testing.T) {
	steps, err := filepath.Glob("schema/*.sql")
	if err != nil || len(steps) < 2 {
		t.Fatalf("%v, %v", steps, err)
	}
	for n := 1; n < len(steps); n++ {
		path := filepath.Join(t.TempDir(), "records.db")
		db := raw(t, path)
		for _, step := range steps[:n] {
			b, err := os.ReadFile(step)
			if err != nil {
				t.Fatal(err)
			}
			do(t, db, string(b))
		}
		do(t, db, `INSERT INTO facts (id, student, kind, version, payload, key_id, author, made_at, recorded_at)
			VALUES ('0190a5d0-ac96-774b-8cce-b302099a8001', '', 'note', 1, x'7b7d', '', '', '2026-12-01T10:00:00.000+01:00', 1764579600000)`)
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		s := open(t, path)
		f, err := s.Fact(ctx, "0190a5d0-ac96-774b-8cce-b302099a8001")
		if err != nil || string(f.Payload) != "{}" || f.Seq != 1 {
			t.Fatalf("from schema %d: %+v, %v", n, f, err)
		}
		if wrong, err := s.Check(ctx); err != nil || len(wrong) != 0 {
			t.Fatalf("from schema %d: %v, %v", n, wrong, err)
		}
		if _, err := s.Codes(ctx, "join"); err != nil {
			t.Fatalf("from schema %d: %v", n, err)
		}
	}
}

// TestOpen_AtOnce: several programs may open a new file at the same time.
func TestOpen_AtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	ids := programmetest.NewIDs(6)
	var wg sync.WaitGroup
	for range 5 {
		f := note(ids, "x")
		wg.Go(func() {
			s, err := sqlite.Open(ctx, path)
			if err != nil {
				t.Errorf("Open: %v", err)
				return
			}
			defer s.Close()
			if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
				t.Errorf("Append: %v", err)
			}
		})
	}
	wg.Wait()
	if n, err := open(t, path).Counts(ctx); err != nil || n.Facts != 5 {
		t.Fatalf("Counts = %+v, %v", n, err)
	}
}

// TestFactsStay: even past the package's own code a fact is neither changed
// nor removed.
func TestFactsStay(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	s := open(t, path)
	if _, err := s.Append(ctx, programmetest.Noon, note(programmetest.NewIDs(7), "x")); err != nil {
		t.Fatal(err)
	}
	db := raw(t, path)
	for q, want := range map[string]string{
		"UPDATE facts SET payload = x'00'": "facts are never changed",
		"DELETE FROM facts":                "facts are never removed",
	} {
		if _, err := db.Exec(q); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", q, err)
		}
	}
}

// TestBusy: a lock held by another program is waited for, and the answer says
// so when the wait was in vain.
func TestBusy(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for the 10 s of the busy timeout")
	}
	t.Parallel()
	path := filepath.Join(t.TempDir(), "records.db")
	s := open(t, path)
	other := raw(t, path)
	other.SetMaxOpenConns(1)
	do(t, other, "BEGIN IMMEDIATE")
	f := note(programmetest.NewIDs(8), "x")
	_, err := s.Append(ctx, programmetest.Noon, f)
	refused(t, err, programme.CodeBusy, "stayed locked by another program. Nothing was saved; try again.")
	do(t, other, "ROLLBACK")
	if _, err := s.Append(ctx, programmetest.Noon, f); err != nil {
		t.Fatal(err)
	}
}
