package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"math"
	"time"

	"firnhand/programme"
)

// labelTime is how made_at is written: RFC 3339 to the millisecond.
const labelTime = "2006-01-02T15:04:05.000Z07:00"

// The questions about facts. Each is whole, so that each uses an index.
const (
	factByID = `SELECT seq, id, student, kind, version, payload, key_id, author, coalesce(names, ''), made_at, recorded_at
		FROM facts WHERE id = ?`
	factsOfStudent = `SELECT seq, id, student, kind, version, payload, key_id, author, coalesce(names, ''), made_at, recorded_at
		FROM facts WHERE student = ?1 AND seq > ?2 AND seq <= ?3 AND recorded_at <= ?4
		AND (?5 = '[]' OR kind IN (SELECT value FROM json_each(?5))) ORDER BY seq LIMIT ?6`
	factsOfKinds = `SELECT seq, id, student, kind, version, payload, key_id, author, coalesce(names, ''), made_at, recorded_at
		FROM facts WHERE kind IN (SELECT value FROM json_each(?5)) AND seq > ?2 AND seq <= ?3 AND recorded_at <= ?4
		AND ?1 IS NOT NULL ORDER BY seq LIMIT ?6`
	factsOfAll = `SELECT seq, id, student, kind, version, payload, key_id, author, coalesce(names, ''), made_at, recorded_at
		FROM facts WHERE seq > ?2 AND seq <= ?3 AND recorded_at <= ?4
		AND ?1 IS NOT NULL AND ?5 IS NOT NULL ORDER BY seq LIMIT ?6`
	insertFact = `INSERT INTO facts (id, student, kind, version, payload, key_id, author, names, made_at, recorded_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`
)

// write runs do on the one writing connection inside a transaction.
func (s *Store) write(ctx context.Context, do func(ctx context.Context, c *sql.Conn) error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	whole := context.WithoutCancel(ctx)
	return inTx(ctx, s.writer, func() error { return do(whole, s.writer) })
}

// Append implements programme.Store.
func (s *Store) Append(ctx context.Context, now time.Time, facts ...programme.Fact) ([]programme.Receipt, error) {
	if err := programme.CheckFacts(facts); err != nil {
		return nil, err
	}
	out := make([]programme.Receipt, 0, len(facts))
	err := s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		at, err := recordTime(ctx, c, now)
		if err != nil {
			return err
		}
		// Prepared once: a thousand facts are read in and found again faster.
		had, err := c.PrepareContext(ctx, factByID)
		if err != nil {
			return err
		}
		defer had.Close()
		insert, err := c.PrepareContext(ctx, insertFact)
		if err != nil {
			return err
		}
		defer insert.Close()
		for _, f := range facts {
			r, err := appendOne(ctx, c, had, insert, at, f)
			if err != nil {
				return err
			}
			out = append(out, r)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// recordTime returns now, or the time of the last fact when that is later.
func recordTime(ctx context.Context, c *sql.Conn, now time.Time) (int64, error) {
	var last int64
	err := c.QueryRowContext(ctx, "SELECT recorded_at FROM facts ORDER BY seq DESC LIMIT 1").Scan(&last)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return 0, err
	}
	return max(now.UnixMilli(), last), nil
}

func appendOne(ctx context.Context, c *sql.Conn, byID, insert *sql.Stmt, at int64, f programme.Fact) (programme.Receipt, error) {
	had, err := scanFact(byID.QueryRowContext(ctx, f.ID))
	switch {
	case err == nil && programme.SameContent(had, f):
		return programme.Receipt{ID: f.ID, Outcome: programme.Exists, Seq: had.Seq, RecordedAt: had.RecordedAt}, nil
	case err == nil:
		return programme.Receipt{}, programme.Refuse(programme.CodeIDTaken, "The id %s was used before for something else. Nothing was saved.", f.ID)
	case !errors.Is(err, sql.ErrNoRows):
		return programme.Receipt{}, err
	}
	var names any
	if f.Names != "" {
		var student programme.ID
		err := c.QueryRowContext(ctx, "SELECT student FROM facts WHERE id = ?", f.Names).Scan(&student)
		if errors.Is(err, sql.ErrNoRows) || err == nil && student != f.Student {
			return programme.Receipt{}, programme.Refuse(programme.CodeNotFound, "The fact that this one names is not in the same record.")
		}
		if err != nil {
			return programme.Receipt{}, err
		}
		names = string(f.Names)
	}
	payload := f.Payload
	if payload == nil {
		payload = []byte{}
	}
	res, err := insert.ExecContext(ctx, f.ID, f.Student, f.Kind, f.Version, payload, f.KeyID, f.Author, names, f.MadeAt.Format(labelTime), at)
	if err != nil {
		return programme.Receipt{}, err
	}
	seq, err := res.LastInsertId()
	return programme.Receipt{ID: f.ID, Outcome: programme.Created, Seq: seq, RecordedAt: time.UnixMilli(at).UTC()}, err
}

type scanner interface{ Scan(...any) error }

func scanFact(row scanner) (programme.Fact, error) {
	var f programme.Fact
	var made string
	var recorded int64
	err := row.Scan(&f.Seq, &f.ID, &f.Student, &f.Kind, &f.Version, &f.Payload, &f.KeyID, &f.Author, &f.Names, &made, &recorded)
	if err != nil {
		return f, err
	}
	f.RecordedAt = time.UnixMilli(recorded).UTC()
	f.MadeAt, err = time.Parse(labelTime, made)
	return f, err
}

// Facts implements programme.Store.
func (s *Store) Facts(ctx context.Context, q programme.Query) ([]programme.Fact, error) {
	kinds, err := json.Marshal(append([]programme.Kind{}, q.Kinds...))
	if err != nil {
		return nil, fail(err)
	}
	ask := factsOfStudent
	if q.Everyone {
		ask = factsOfKinds
		if len(q.Kinds) == 0 {
			ask = factsOfAll
		}
	}
	upTo, upToTime, limit := q.UpTo, int64(math.MaxInt64), q.Limit
	if upTo <= 0 {
		upTo = math.MaxInt64
	}
	if !q.UpToTime.IsZero() {
		upToTime = q.UpToTime.UnixMilli()
	}
	if limit <= 0 || limit > programme.MaxQuery {
		limit = programme.MaxQuery
	}
	rows, err := s.rdb.QueryContext(ctx, ask, q.Student, q.After, upTo, upToTime, string(kinds), limit)
	if err != nil {
		return nil, fail(err)
	}
	defer rows.Close()
	out := []programme.Fact{}
	for rows.Next() {
		f, err := scanFact(rows)
		if err != nil {
			return nil, fail(err)
		}
		out = append(out, f)
	}
	return out, fail(rows.Err())
}

// Fact implements programme.Store.
func (s *Store) Fact(ctx context.Context, id programme.ID) (programme.Fact, error) {
	f, err := scanFact(s.rdb.QueryRowContext(ctx, factByID, id))
	if errors.Is(err, sql.ErrNoRows) {
		return programme.Fact{}, programme.Refuse(programme.CodeNotFound, "There is no such fact.")
	}
	return f, fail(err)
}

// Counts implements programme.Store.
func (s *Store) Counts(ctx context.Context) (programme.Counts, error) {
	var n programme.Counts
	err := s.rdb.QueryRowContext(ctx, `SELECT count(*), count(DISTINCT nullif(student, '')), coalesce(max(seq), 0) FROM facts`).
		Scan(&n.Facts, &n.Students, &n.LastSeq)
	return n, fail(err)
}

// LogReading implements programme.Store.
func (s *Store) LogReading(ctx context.Context, r programme.Reading) error {
	return s.write(ctx, func(ctx context.Context, c *sql.Conn) error {
		_, err := c.ExecContext(ctx, "INSERT INTO readings (at, staff, student, what) VALUES (?, ?, ?, ?)",
			r.At.UnixMilli(), r.Staff, r.Student, r.What)
		return err
	})
}

// Readings implements programme.Store.
func (s *Store) Readings(ctx context.Context, student programme.ID, limit int) ([]programme.Reading, error) {
	if limit <= 0 {
		limit = 1000
	}
	rows, err := s.rdb.QueryContext(ctx,
		"SELECT at, staff, student, what FROM readings WHERE ?1 = '' OR student = ?1 ORDER BY n DESC LIMIT ?2", student, limit)
	if err != nil {
		return nil, fail(err)
	}
	defer rows.Close()
	out := []programme.Reading{}
	for rows.Next() {
		var r programme.Reading
		var at int64
		if err := rows.Scan(&at, &r.Staff, &r.Student, &r.What); err != nil {
			return nil, fail(err)
		}
		r.At = time.UnixMilli(at).UTC()
		out = append(out, r)
	}
	return out, fail(rows.Err())
}
