package sqlite_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// TestContentsNamesEveryTable: a table that is added to the schema is either
// compared after a restore or left out with a reason.
func TestContentsNamesEveryTable(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	s := open(t, path)
	if _, err := s.Append(ctx, programmetest.Noon, note(programmetest.NewIDs(3), "x")); err != nil {
		t.Fatal(err)
	}
	c, err := s.Contents(ctx)
	if err != nil {
		t.Fatal(err)
	}
	known := []string{"sessions", "codes", "sqlite_sequence"} // end with the machine; SQLite's own
	for _, one := range c.Tables {
		known = append(known, one.Name)
	}
	rows, err := raw(t, path).Query("SELECT name FROM sqlite_schema WHERE type = 'table'")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		if !slices.Contains(known, name) {
			t.Errorf("the table %q is not among the contents that a restore compares: add it in copy.go", name)
		}
	}
	if c.Rows("facts") != 1 || c.Schema != sqlite.Schema() {
		t.Errorf("contents %+v", c)
	}
}

// TestDigest: every value counts: any change of any column of any row shows.
func TestDigest(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "records.db")
	s := open(t, path)
	ids := programmetest.NewIDs(4)
	for range 3 {
		if _, err := s.Append(ctx, programmetest.Noon, note(ids, "x")); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.LogReading(ctx, programme.Reading{At: programmetest.Noon, Staff: ids.Next(), Student: ids.Next(), What: "record"}); err != nil {
		t.Fatal(err)
	}
	if err := s.PutCredential(ctx, programme.Credential{ID: ids.Next(), Staff: ids.Next(), Kind: "password", Login: "a", Secret: []byte("h"), Changed: programmetest.Noon}); err != nil {
		t.Fatal(err)
	}
	whole, err := s.Contents(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	changes := map[string][]string{
		"facts": {"id = 'x'", "student = 'x'", "kind = 'x'", "version = 9", "payload = x'00'", "key_id = 'x'", "author = 'x'",
			"names = (SELECT min(id) FROM facts)", "made_at = 'x'", "recorded_at = 1", "seq = 99"},
		"readings":    {"at = 1", "staff = 'x'", "student = 'x'", "what = 'x'", "n = 99"},
		"credentials": {"id = 'x'", "staff = 'x'", "kind = 'x'", "login = 'x'", "secret = x'00'", "changed = 1"},
	}
	n := 0
	for table, sets := range changes {
		for _, set := range sets {
			other := filepath.Join(dir, fmt.Sprint("other", n, ".db"))
			n++
			if err := sqlite.Copy(ctx, path, other); err != nil {
				t.Fatal(err)
			}
			if c, err := sqlite.Examine(ctx, other); err != nil || len(whole.Differs(c)) != 0 {
				t.Fatalf("the copy differs in %v, %v", whole.Differs(c), err)
			}
			db := raw(t, other)
			if table == "facts" {
				do(t, db, "DROP TRIGGER facts_stay")
			}
			do(t, db, "UPDATE "+table+" SET "+set+" WHERE rowid = (SELECT max(rowid) FROM "+table+")")
			c, err := sqlite.Examine(ctx, other)
			if err != nil || !slices.Equal(whole.Differs(c), []string{table}) {
				t.Errorf("%s: after %s the digests differ in %v, %v", table, set, whole.Differs(c), err)
			}
		}
	}
}

// TestCopy: sign-ins and codes stay behind, nothing is overwritten, and what is
// no file of records is refused.
func TestCopy(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "records.db")
	s := open(t, path)
	ids := programmetest.NewIDs(5)
	if err := s.PutSession(ctx, programme.Session{ID: ids.Next(), TokenHash: []byte("secret-token-hash"), Staff: ids.Next(), Began: programmetest.Noon, Ends: programmetest.Noon}); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(dir, "copy.db")
	if err := sqlite.Copy(ctx, path, to); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(to)
	if err != nil || strings.Contains(string(b), "secret-token-hash") {
		t.Errorf("a sign-in is in the copy, %v", err)
	}
	before := sum(t, to)
	refused(t, sqlite.Copy(ctx, path, to), programme.CodeConflict, "There is a file at the place of the copy already.")
	if sum(t, to) != before {
		t.Error("the file was changed")
	}
	refused(t, sqlite.Copy(ctx, filepath.Join(dir, "none.db"), filepath.Join(dir, "c2.db")), programme.CodeInvalid, "There is no file of records")
	odd := filepath.Join(dir, "odd.db")
	if err := os.WriteFile(odd, []byte(strings.Repeat("words ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	refused(t, sqlite.Copy(ctx, odd, filepath.Join(dir, "c3.db")), programme.CodeDamaged, "damaged or is not Firnhand's")
	for _, name := range []string{"c2.db", "c3.db"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err == nil {
			t.Errorf("%s was left behind", name)
		}
	}
}

// stepsTo runs the first n steps of the schema on a new file and fills in rows
// as a season writes them.
func stepsTo(t *testing.T, path string, n int, steps []string) {
	t.Helper()
	db := raw(t, path)
	for _, step := range steps[:n] {
		do(t, db, step)
	}
	ids := programmetest.NewIDs(uint64(n))
	staff, student := ids.Next(), ids.Next()
	for i := range 40 {
		_, err := db.Exec(`INSERT INTO facts (id, student, kind, version, payload, key_id, author, made_at, recorded_at)
			VALUES (?, ?, 'note', 1, ?, '', ?, '2026-12-01T10:00:00.000+01:00', 1764579600000)`, ids.Next(), student, fmt.Appendf(nil, `{"text":"note %d, Zoë"}`, i), staff)
		if err != nil {
			t.Fatal(err)
		}
	}
	do(t, db, "INSERT INTO readings (at, staff, student, what) VALUES (1764579600000, 'a', 'b', 'record')")
	if n >= 2 {
		do(t, db, "INSERT INTO credentials (id, staff, kind, login, secret, changed) VALUES ('c', 'a', 'password', 'wenna', x'00ff', 1764579600000)")
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

// statements cuts a step where one statement ends.
func statements(step string) []string {
	var out []string
	var one strings.Builder
	trigger := false
	for line := range strings.Lines(step) {
		code, _, _ := strings.Cut(line, "--")
		one.WriteString(line)
		trigger = trigger || strings.Contains(code, "CREATE TRIGGER")
		end := strings.HasSuffix(strings.TrimSpace(code), ";")
		if end && (!trigger || strings.Contains(code, "END;")) {
			out = append(out, one.String())
			one.Reset()
			trigger = false
		}
	}
	return out
}

// TestMigrations (trust.md S6): from every schema that was ever released, with
// rows in it, broken off after each statement as a crash does: the next start
// brings it up to date, and every table that was there has the same digest.
func TestMigrations(t *testing.T) {
	names, err := filepath.Glob("schema/*.sql")
	if err != nil || len(names) < 2 {
		t.Fatalf("%v, %v", names, err)
	}
	var steps []string
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		steps = append(steps, string(b))
	}
	tried := 0
	for n := 1; n <= len(steps); n++ {
		var next []string
		if n < len(steps) {
			next = statements(steps[n])
		}
		for cut := 0; cut <= len(next); cut++ {
			path := filepath.Join(t.TempDir(), "records.db")
			stepsTo(t, path, n, steps)
			before, err := sqlite.Examine(ctx, path)
			if err != nil || before.Schema != n {
				t.Fatalf("schema %d: %+v, %v", n, before, err)
			}
			breakOff(t, path, next[:cut])
			s := open(t, path)
			after, err := s.Contents(ctx)
			if err != nil || after.Schema != len(steps) {
				t.Fatalf("from schema %d, broken off after %d statements: %+v, %v", n, cut, after, err)
			}
			for _, name := range before.Differs(after) {
				if before.Rows(name) > 0 {
					t.Errorf("from schema %d, broken off after %d statements: %s differs", n, cut, name)
				}
			}
			if wrong, err := s.Check(ctx); err != nil || len(wrong) > 0 {
				t.Errorf("from schema %d: %v, %v", n, wrong, err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			whole := sum(t, path)
			if err := open(t, path).Close(); err != nil || sum(t, path) != whole {
				t.Errorf("from schema %d: the second run changed the file, %v", n, err)
			}
			tried++
		}
	}
	t.Logf("%d migrations from %d schemas", tried, len(steps))
}

// breakOff runs statements in a transaction that never ends.
func breakOff(t *testing.T, path string, some []string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	c, err := db.Conn(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	for _, q := range append([]string{"PRAGMA journal_mode(WAL)", "BEGIN IMMEDIATE"}, some...) {
		if _, err := c.ExecContext(ctx, q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}
