-- What is observed is appended and never changed: the triggers hold that even
-- against a slip in the code above. The payload is opaque bytes; key_id names
-- the key that sealed it, '' when it is in the clear, so forgetting a student
-- destroys a key and leaves rows, order and counts as they were.
CREATE TABLE facts (
    seq         INTEGER PRIMARY KEY AUTOINCREMENT,
    id          TEXT    NOT NULL UNIQUE,
    student     TEXT    NOT NULL,              -- '' for facts of the programme
    kind        TEXT    NOT NULL,
    version     INTEGER NOT NULL,
    payload     BLOB    NOT NULL,
    key_id      TEXT    NOT NULL,
    author      TEXT    NOT NULL,
    names       TEXT    REFERENCES facts (id), -- the fact corrected or retracted
    made_at     TEXT    NOT NULL,              -- RFC 3339 with offset: a label
    recorded_at INTEGER NOT NULL               -- milliseconds since 1970, UTC
) STRICT;
CREATE INDEX facts_by_student ON facts (student, seq);
CREATE INDEX facts_by_kind ON facts (kind, seq);
CREATE TRIGGER facts_stay BEFORE UPDATE ON facts
BEGIN SELECT RAISE (ABORT, 'facts are never changed'); END;
CREATE TRIGGER facts_remain BEFORE DELETE ON facts
BEGIN SELECT RAISE (ABORT, 'facts are never removed'); END;

CREATE TABLE readings (
    n       INTEGER PRIMARY KEY AUTOINCREMENT,
    at      INTEGER NOT NULL,
    staff   TEXT    NOT NULL,
    student TEXT    NOT NULL,
    what    TEXT    NOT NULL
) STRICT;
CREATE INDEX readings_by_student ON readings (student, n);

PRAGMA application_id = 1179210318; -- FIRN
PRAGMA user_version = 1;
