package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"io/fs"
	"path"
	"sort"
	"strconv"
	"sync"

	"firnhand/programme"
)

// schema holds the steps of the schema. The list only grows: a step that was
// ever released is never changed. Step n is file 000n_*.sql and sets
// user_version to n.
//
//go:embed schema/*.sql
var schema embed.FS

// migrations returns the steps in order.
var migrations = sync.OnceValue(func() []string {
	names, err := fs.Glob(schema, "schema/*.sql")
	if err != nil {
		panic("sqlite: " + err.Error())
	}
	sort.Strings(names)
	steps := make([]string, len(names))
	for i, name := range names {
		if n, err := strconv.Atoi(path.Base(name)[:4]); err != nil || n != i+1 {
			panic("sqlite: schema steps are not numbered 1, 2, 3: " + name)
		}
		b, err := schema.ReadFile(name)
		if err != nil {
			panic("sqlite: " + err.Error())
		}
		steps[i] = string(b)
	}
	return steps
})

// migrate brings the schema up to date, each step whole or not at all. Two
// processes may do it at once: the second finds the work done.
func migrate(ctx context.Context, c *sql.Conn) error {
	for {
		done, err := migrateOne(ctx, c)
		if err != nil || done {
			return err
		}
	}
}

func migrateOne(ctx context.Context, c *sql.Conn) (done bool, err error) {
	err = inTx(ctx, c, func() error {
		var version int
		if err := c.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
			return err
		}
		steps := migrations()
		if version > len(steps) {
			return newer(version)
		}
		if version == len(steps) {
			done = true
			return nil
		}
		if _, err := c.ExecContext(ctx, steps[version]); err != nil {
			cause := fail(err)
			if programme.CodeOf(cause) != programme.CodeInternal {
				return cause
			}
			return programme.Fail(programme.CodeInternal, err, "The records could not be brought up to date (step %d). They are as they were.", version+1)
		}
		var now int
		if err := c.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil {
			return err
		}
		if now != version+1 {
			return programme.Refuse(programme.CodeInternal, "Step %d of the schema does not number itself.", version+1)
		}
		return nil
	})
	return done, err
}

// inTx runs do between BEGIN IMMEDIATE and COMMIT, and rolls back on any
// error, so that the connection is always left outside a transaction. A
// transaction that began runs to its end even if ctx is cancelled, so that an
// answer is never left open.
func inTx(ctx context.Context, c *sql.Conn, do func() error) (err error) {
	if err := ctx.Err(); err != nil {
		return programme.Fail(programme.CodeInternal, err, "The request was broken off. Nothing was saved.")
	}
	whole := context.WithoutCancel(ctx)
	if _, err := c.ExecContext(whole, "BEGIN IMMEDIATE"); err != nil {
		return fail(err)
	}
	defer func() {
		if err != nil {
			_, _ = c.ExecContext(whole, "ROLLBACK") // fails only if SQLite rolled back itself
			err = fail(err)
		}
	}()
	if err := do(); err != nil {
		return err
	}
	_, err = c.ExecContext(whole, "COMMIT")
	return err
}

// Schema is the step of the schema that this program writes.
func Schema() int { return len(migrations()) }
