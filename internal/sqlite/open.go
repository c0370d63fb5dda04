// Package sqlite keeps the records in one SQLite file behind the ports of
// package programme. It is the only package that imports a driver for SQLite.
//
// The file is in write-ahead mode with synchronous=FULL, so that what was
// acknowledged survives a power cut; foreign keys are on; a lock is waited for
// up to 10 seconds. One connection writes, a few others read. All of that is
// asserted when the file is opened.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"sync"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"firnhand/programme"
)

// applicationID marks a file as Firnhand's ("FIRN" as a number); step 1 of the
// schema sets it.
const applicationID = 0x4649524e

// readers is the number of connections that read at once.
const readers = 4

// Store is one open file. It is safe for concurrent use, and other processes
// may have the same file open.
type Store struct {
	path string

	mu     sync.Mutex // one writer
	writer *sql.Conn
	wdb    *sql.DB
	rdb    *sql.DB
	closed bool
}

var (
	_ programme.Store       = (*Store)(nil)
	_ programme.SignInStore = (*Store)(nil)
)

// Open opens the file, or makes it when there is none; its folder must exist.
// It brings an older schema up to date. A file written by a newer Firnhand
// (CodeNewerStore) or by something else (CodeDamaged) is left as it was.
func Open(ctx context.Context, path string) (*Store, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, programme.Fail(programme.CodeInvalid, err, "The path of the records cannot be read.")
	}
	isNew, err := makeFile(abs)
	if err != nil {
		return nil, err
	}
	if !isNew {
		if err := inspect(ctx, abs); err != nil {
			return nil, err
		}
	}
	s := &Store{path: abs}
	if err := s.connect(ctx); err != nil {
		s.shut()
		return nil, err
	}
	return s, nil
}

// makeFile makes an empty file that only its owner may read, if there is none.
func makeFile(path string) (isNew bool, err error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	switch {
	case err == nil:
		return true, f.Close()
	case errors.Is(err, fs.ErrExist):
		info, err := os.Stat(path)
		if err != nil || info.IsDir() {
			return false, programme.Fail(programme.CodeInvalid, err, "The path of the records is not a file.")
		}
		return info.Size() == 0, nil
	case errors.Is(err, fs.ErrNotExist):
		return false, programme.Fail(programme.CodeInvalid, err, "The folder for the records does not exist.")
	}
	return false, fail(err)
}

// dsn builds the address of the file with its settings. The busy timeout comes
// first, so that it holds for the settings after it.
func dsn(path string, pragmas ...string) string {
	q := url.Values{"_pragma": append([]string{"busy_timeout(10000)"}, pragmas...)}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}).String()
}

// inspect reads whose file it is and which schema it has, changing nothing. Only
// when the power went while the file was made, or a copy of it, what was begun is
// taken back first: there is no other way to read it.
func inspect(ctx context.Context, path string) error {
	err := inspectAt(ctx, dsn(path, "query_only(1)")+"&mode=ro")
	var e *driver.Error
	if errors.As(err, &e) && (e.Code() == codes.SQLITE_READONLY_ROLLBACK || e.Code() == codes.SQLITE_READONLY_RECOVERY) {
		err = inspectAt(ctx, dsn(path, "query_only(1)"))
	}
	return err
}

func inspectAt(ctx context.Context, at string) error {
	db, err := sql.Open("sqlite", at)
	if err != nil {
		return fail(err)
	}
	defer db.Close()
	var app, version, tables int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&app); err != nil {
		return fail(err)
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return fail(err)
	}
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return fail(err)
	}
	switch {
	case app == 0 && version == 0 && tables == 0:
		return nil // made, but never filled
	case app != applicationID:
		return programme.Refuse(programme.CodeDamaged, "This file does not hold Firnhand's records. It was left as it was.")
	case version > len(migrations()):
		return newer(version)
	}
	return nil
}

func newer(version int) error {
	return programme.Refuse(programme.CodeNewerStore,
		"These records were written by a newer Firnhand (schema %d; this one knows %d). They were left as they were: use the newer program.",
		version, len(migrations()))
}

// connect opens both pools, brings the schema up to date and asserts the
// settings.
func (s *Store) connect(ctx context.Context) error {
	var err error
	settings := []string{"journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)"}
	if s.wdb, err = sql.Open("sqlite", dsn(s.path, settings...)); err != nil {
		return fail(err)
	}
	s.wdb.SetMaxOpenConns(1)
	if s.writer, err = s.wdb.Conn(ctx); err != nil {
		return fail(err)
	}
	if err := migrate(ctx, s.writer); err != nil {
		return err
	}
	if s.rdb, err = sql.Open("sqlite", dsn(s.path, append(settings, "query_only(1)")...)); err != nil {
		return fail(err)
	}
	s.rdb.SetMaxOpenConns(readers)
	s.rdb.SetMaxIdleConns(readers)
	reader, err := s.rdb.Conn(ctx)
	if err != nil {
		return fail(err)
	}
	defer reader.Close()
	if err := assertSettings(ctx, s.writer, "0"); err != nil {
		return err
	}
	return assertSettings(ctx, reader, "1")
}

// assertSettings refuses a connection on which a setting did not take.
func assertSettings(ctx context.Context, c *sql.Conn, queryOnly string) error {
	for _, want := range [][2]string{
		{"PRAGMA journal_mode", "wal"}, {"PRAGMA synchronous", "2"}, {"PRAGMA foreign_keys", "1"},
		{"PRAGMA busy_timeout", "10000"}, {"PRAGMA query_only", queryOnly},
		{"PRAGMA application_id", strconv.Itoa(applicationID)}, {"PRAGMA user_version", strconv.Itoa(len(migrations()))},
	} {
		var got string
		if err := c.QueryRowContext(ctx, want[0]).Scan(&got); err != nil {
			return fail(err)
		}
		if got != want[1] {
			return programme.Refuse(programme.CodeInternal, "The records' file cannot be used safely: %s is %s instead of %s.", want[0], got, want[1])
		}
	}
	return nil
}

// Check asserts the settings again and asks SQLite to check the whole file.
// It returns what is wrong, one sentence a line; empty when all is well.
func (s *Store) Check(ctx context.Context) ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil, errClosed
	}
	if err := assertSettings(ctx, s.writer, "0"); err != nil {
		return nil, err
	}
	return checkAll(ctx, s.writer)
}

// asker is a connection or a pool of them.
type asker interface {
	QueryContext(ctx context.Context, q string, args ...any) (*sql.Rows, error)
}

// checkAll asks SQLite to check the whole file and lists what is wrong.
func checkAll(ctx context.Context, c asker) ([]string, error) {
	var wrong []string
	for _, q := range []string{"PRAGMA integrity_check", "PRAGMA foreign_key_check"} {
		rows, err := c.QueryContext(ctx, q)
		if err != nil {
			return nil, fail(err)
		}
		for rows.Next() {
			var line sql.NullString
			cols, _ := rows.Columns()
			into := make([]any, len(cols))
			into[0] = &line
			for i := 1; i < len(into); i++ {
				into[i] = new(any)
			}
			if err := rows.Scan(into...); err != nil {
				rows.Close()
				return nil, fail(err)
			}
			if line.String != "ok" {
				wrong = append(wrong, line.String)
			}
		}
		if err := rows.Err(); err != nil {
			return nil, fail(err)
		}
	}
	return wrong, nil
}

// Close implements programme.Store. Closing twice is no error.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	return s.shut()
}

func (s *Store) shut() error {
	var errs []error
	if s.rdb != nil {
		errs = append(errs, s.rdb.Close())
	}
	if s.writer != nil {
		errs = append(errs, s.writer.Close())
	}
	if s.wdb != nil {
		errs = append(errs, s.wdb.Close())
	}
	if err := errors.Join(errs...); err != nil {
		return fail(err)
	}
	return nil
}
