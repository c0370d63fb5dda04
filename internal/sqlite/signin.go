package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"firnhand/programme"
)

// PutCredential implements programme.SignInStore.
func (s *Store) PutCredential(ctx context.Context, cr programme.Credential) error {
	return s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		if cr.Kind == "password" {
			var other string
			err := c.QueryRowContext(ctx, "SELECT staff FROM credentials WHERE kind = 'password' AND login = ? AND staff <> ?", cr.Login, cr.Staff).Scan(&other)
			if err == nil {
				return programme.Refuse(programme.CodeConflict, "Somebody else signs in with that name.")
			}
			if !errors.Is(err, sql.ErrNoRows) {
				return err
			}
		}
		if _, err := c.ExecContext(ctx, "DELETE FROM credentials WHERE id = ?1 OR (?3 = 'password' AND kind = ?3 AND staff = ?2)",
			cr.ID, cr.Staff, cr.Kind); err != nil {
			return err
		}
		_, err := c.ExecContext(ctx, "INSERT INTO credentials (id, staff, kind, login, secret, changed) VALUES (?, ?, ?, ?, ?, ?)",
			cr.ID, cr.Staff, cr.Kind, cr.Login, cr.Secret, cr.Changed.UnixMilli())
		return err
	})
}

func scanCredential(row scanner) (programme.Credential, error) {
	var c programme.Credential
	var changed int64
	err := row.Scan(&c.ID, &c.Staff, &c.Kind, &c.Login, &c.Secret, &changed)
	c.Changed = time.UnixMilli(changed).UTC()
	return c, err
}

// CredentialByLogin implements programme.SignInStore.
func (s *Store) CredentialByLogin(ctx context.Context, login string) (programme.Credential, error) {
	c, err := scanCredential(s.rdb.QueryRowContext(ctx,
		"SELECT id, staff, kind, login, secret, changed FROM credentials WHERE kind = 'password' AND login = ?", login))
	if errors.Is(err, sql.ErrNoRows) {
		return programme.Credential{}, programme.Refuse(programme.CodeNotFound, "There is no such sign-in name.")
	}
	return c, fail(err)
}

// CredentialsOf implements programme.SignInStore.
func (s *Store) CredentialsOf(ctx context.Context, staff programme.ID) ([]programme.Credential, error) {
	return list(ctx, s, scanCredential,
		"SELECT id, staff, kind, login, secret, changed FROM credentials WHERE staff = ? ORDER BY changed, rowid", staff)
}

// DeleteCredential implements programme.SignInStore.
func (s *Store) DeleteCredential(ctx context.Context, id programme.ID) error {
	return s.exec(ctx, "DELETE FROM credentials WHERE id = ?", id)
}

// DeleteCredentials implements programme.SignInStore.
func (s *Store) DeleteCredentials(ctx context.Context, staff programme.ID) error {
	return s.exec(ctx, "DELETE FROM credentials WHERE staff = ?", staff)
}

// PutSession implements programme.SignInStore.
func (s *Store) PutSession(ctx context.Context, v programme.Session) error {
	return s.exec(ctx, `INSERT INTO sessions (id, token_hash, staff, device, began, last_seen, idle_ends, ends)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?)`, v.ID, v.TokenHash, v.Staff, v.Device,
		v.Began.UnixMilli(), v.LastSeen.UnixMilli(), v.IdleEnds.UnixMilli(), v.Ends.UnixMilli())
}

func scanSession(row scanner) (programme.Session, error) {
	var v programme.Session
	var began, seen, idle, ends int64
	err := row.Scan(&v.ID, &v.TokenHash, &v.Staff, &v.Device, &began, &seen, &idle, &ends)
	v.Began, v.LastSeen = time.UnixMilli(began).UTC(), time.UnixMilli(seen).UTC()
	v.IdleEnds, v.Ends = time.UnixMilli(idle).UTC(), time.UnixMilli(ends).UTC()
	return v, err
}

var errSessionEnded = programme.Refuse(programme.CodeNotFound, "That sign-in has ended.")

// SessionByToken implements programme.SignInStore.
func (s *Store) SessionByToken(ctx context.Context, hash []byte) (programme.Session, error) {
	v, err := scanSession(s.rdb.QueryRowContext(ctx, "SELECT id, token_hash, staff, device, began, last_seen, idle_ends, ends FROM sessions WHERE token_hash = ?", hash))
	if errors.Is(err, sql.ErrNoRows) {
		return programme.Session{}, errSessionEnded
	}
	return v, fail(err)
}

// TouchSession implements programme.SignInStore.
func (s *Store) TouchSession(ctx context.Context, id programme.ID, seen, idleEnds time.Time) error {
	return s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		res, err := c.ExecContext(ctx, "UPDATE sessions SET last_seen = ?, idle_ends = ? WHERE id = ?",
			seen.UnixMilli(), idleEnds.UnixMilli(), id)
		if err != nil {
			return err
		}
		n, err := res.RowsAffected()
		if err == nil && n == 0 {
			err = errSessionEnded
		}
		return err
	})
}

// SessionsOf implements programme.SignInStore.
func (s *Store) SessionsOf(ctx context.Context, staff programme.ID) ([]programme.Session, error) {
	return list(ctx, s, scanSession,
		"SELECT id, token_hash, staff, device, began, last_seen, idle_ends, ends FROM sessions WHERE staff = ? ORDER BY began DESC, rowid", staff)
}

// DeleteSession implements programme.SignInStore.
func (s *Store) DeleteSession(ctx context.Context, id programme.ID) error {
	return s.exec(ctx, "DELETE FROM sessions WHERE id = ?", id)
}

// DeleteSessionsOf implements programme.SignInStore.
func (s *Store) DeleteSessionsOf(ctx context.Context, staff, keep programme.ID) error {
	return s.exec(ctx, "DELETE FROM sessions WHERE staff = ? AND id <> ?", staff, keep)
}

// DeleteSessionsBefore implements programme.SignInStore.
func (s *Store) DeleteSessionsBefore(ctx context.Context, t time.Time) error {
	return s.exec(ctx, "DELETE FROM sessions WHERE idle_ends <= ?1 OR ends <= ?1", t.UnixMilli())
}

// PutCode implements programme.SignInStore.
func (s *Store) PutCode(ctx context.Context, v programme.OneTimeCode) error {
	return s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		if _, err := c.ExecContext(ctx, "DELETE FROM codes WHERE purpose = ? AND staff = ? AND used IS NULL", v.Purpose, v.Staff); err != nil {
			return err
		}
		_, err := c.ExecContext(ctx, "INSERT INTO codes (id, purpose, staff, hash, made, expires) VALUES (?, ?, ?, ?, ?, ?)",
			v.ID, v.Purpose, v.Staff, v.Hash, v.Made.UnixMilli(), v.Expires.UnixMilli())
		return err
	})
}

func scanCode(row scanner) (programme.OneTimeCode, error) {
	var v programme.OneTimeCode
	var made, expires int64
	err := row.Scan(&v.ID, &v.Purpose, &v.Staff, &v.Hash, &made, &expires)
	v.Made, v.Expires = time.UnixMilli(made).UTC(), time.UnixMilli(expires).UTC()
	return v, err
}

// Codes implements programme.SignInStore.
func (s *Store) Codes(ctx context.Context, purpose string) ([]programme.OneTimeCode, error) {
	return list(ctx, s, scanCode,
		"SELECT id, purpose, staff, hash, made, expires FROM codes WHERE purpose = ? AND used IS NULL ORDER BY made, rowid", purpose)
}

// UseCode implements programme.SignInStore.
func (s *Store) UseCode(ctx context.Context, id programme.ID, at time.Time) error {
	return s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		var used sql.NullInt64
		err := c.QueryRowContext(ctx, "SELECT used FROM codes WHERE id = ?", id).Scan(&used)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			return programme.Refuse(programme.CodeNotFound, "There is no such code.")
		case err != nil:
			return err
		case used.Valid:
			return programme.Refuse(programme.CodeConflict, "That code was used before.")
		}
		_, err = c.ExecContext(ctx, "UPDATE codes SET used = ? WHERE id = ?", at.UnixMilli(), id)
		return err
	})
}

// exec runs one statement in a transaction.
func (s *Store) exec(ctx context.Context, q string, args ...any) error {
	return s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		_, err := c.ExecContext(ctx, q, args...)
		return err
	})
}

// list reads all rows of a query.
func list[T any](ctx context.Context, s *Store, scan func(scanner) (T, error), q string, args ...any) ([]T, error) {
	rows, err := s.rdb.QueryContext(ctx, q, args...)
	if err != nil {
		return nil, fail(err)
	}
	defer rows.Close()
	out := []T{}
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, fail(err)
		}
		out = append(out, v)
	}
	return out, fail(rows.Err())
}
