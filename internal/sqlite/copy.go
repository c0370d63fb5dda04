package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"

	"firnhand/programme"
)

// contents are the tables whose rows count, each with a question that reads all
// of it in an order that a copy keeps, and the step of the schema that made it.
// Sign-ins and codes are not among them: they end with the machine.
var contents = []struct {
	name  string
	since int
	all   string
}{
	{"facts", 1, "SELECT seq, id, student, kind, version, payload, key_id, author, names, made_at, recorded_at FROM facts ORDER BY seq"},
	{"readings", 1, "SELECT n, at, staff, student, what FROM readings ORDER BY n"},
	{"credentials", 2, "SELECT id, staff, kind, login, secret, changed FROM credentials ORDER BY id"},
}

// passing are the tables that a copy leaves empty.
var passing = []struct {
	name  string
	since int
	empty string
}{
	{"sessions", 2, "DELETE FROM sessions"},
	{"codes", 2, "DELETE FROM codes"},
}

// Copy writes a consistent copy of a file of records to a new file while any
// program uses them: what was acknowledged before the call is in it, and
// nothing by half. The copy has the schema of the original, and no sign-ins
// and no codes. After an error there is no new file.
func Copy(ctx context.Context, from, to string) (err error) {
	source, err := filepath.Abs(from)
	if err != nil {
		return fail(err)
	}
	abs, err := filepath.Abs(to)
	if err != nil {
		return fail(err)
	}
	if _, err := os.Stat(source); err != nil {
		return noFile(err)
	}
	if err := inspect(ctx, source); err != nil {
		return err
	}
	if _, err := os.Lstat(abs); !errors.Is(err, fs.ErrNotExist) {
		return programme.Refuse(programme.CodeConflict, "There is a file at the place of the copy already. It was left as it was.")
	}
	f, err := os.OpenFile(abs, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return fail(err)
	}
	defer func() {
		if err != nil {
			_ = os.Remove(abs)
		}
	}()
	if err := f.Close(); err != nil {
		return fail(err)
	}
	old, err := sql.Open("sqlite", dsn(source))
	if err != nil {
		return fail(err)
	}
	defer old.Close()
	if _, err := old.ExecContext(ctx, "VACUUM INTO ?", abs); err != nil {
		return fail(err)
	}
	copied, err := sql.Open("sqlite", dsn(abs, "journal_mode(DELETE)", "secure_delete(1)"))
	if err != nil {
		return fail(err)
	}
	defer copied.Close()
	var version int
	if err := copied.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return fail(err)
	}
	for _, t := range passing {
		if t.since > version {
			continue
		}
		if _, err := copied.ExecContext(ctx, t.empty); err != nil {
			return fail(err)
		}
	}
	return fail(copied.Close())
}

func noFile(err error) error {
	return programme.Fail(programme.CodeInvalid, err, "There is no file of records at this place.")
}

// Contents reads what is in the open records.
func (s *Store) Contents(ctx context.Context) (programme.Contents, error) {
	return contentsOf(ctx, s.rdb)
}

// Examine reads what is in a file of records without changing it, and asks
// SQLite whether the file is whole. A damaged file or another program's is
// CodeDamaged, one of a newer schema CodeNewerStore.
func Examine(ctx context.Context, path string) (programme.Contents, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return programme.Contents{}, fail(err)
	}
	if _, err := os.Stat(abs); err != nil {
		return programme.Contents{}, noFile(err)
	}
	if err := inspect(ctx, abs); err != nil {
		return programme.Contents{}, err
	}
	db, err := sql.Open("sqlite", dsn(abs, "query_only(1)")+"&mode=ro")
	if err != nil {
		return programme.Contents{}, fail(err)
	}
	defer db.Close()
	wrong, err := checkAll(ctx, db)
	if err != nil {
		return programme.Contents{}, err
	}
	if len(wrong) > 0 {
		return programme.Contents{}, programme.Refuse(programme.CodeDamaged, "The records' file is damaged: %s.", wrong[0])
	}
	return contentsOf(ctx, db)
}

// contentsOf reads all tables in one transaction, so that they belong together.
func contentsOf(ctx context.Context, db *sql.DB) (programme.Contents, error) {
	var c programme.Contents
	tx, err := db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return c, fail(err)
	}
	defer tx.Rollback()
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&c.Schema); err != nil {
		return c, fail(err)
	}
	for _, t := range contents {
		if t.since > c.Schema {
			continue
		}
		one := programme.TableContents{Name: t.name}
		if one.Rows, one.Digest, err = digest(ctx, tx, t.all); err != nil {
			return c, fail(err)
		}
		c.Tables = append(c.Tables, one)
	}
	return c, nil
}

// digest is the SHA-256 of every value of every row: its type, its length, its
// bytes.
func digest(ctx context.Context, tx *sql.Tx, all string) (n int64, sum string, err error) {
	rows, err := tx.QueryContext(ctx, all)
	if err != nil {
		return 0, "", err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return 0, "", err
	}
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	h := sha256.New()
	put := func(kind byte, b []byte) {
		var head [9]byte
		head[0] = kind
		binary.BigEndian.PutUint64(head[1:], uint64(len(b)))
		h.Write(head[:])
		h.Write(b)
	}
	var word [8]byte
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return 0, "", err
		}
		for _, v := range values {
			switch v := v.(type) {
			case nil:
				put('0', nil)
			case int64:
				binary.BigEndian.PutUint64(word[:], uint64(v))
				put('i', word[:])
			case float64:
				binary.BigEndian.PutUint64(word[:], math.Float64bits(v))
				put('r', word[:])
			case string:
				put('t', []byte(v))
			case []byte:
				put('b', v)
			default:
				return 0, "", programme.Refuse(programme.CodeInternal, "A stored value has a type that has no digest.")
			}
		}
		n++
	}
	return n, hex.EncodeToString(h.Sum(nil)), rows.Err()
}
