-- Sign-in. Only hashes are kept. Times are milliseconds since 1970, UTC.
CREATE TABLE credentials (
    id      TEXT    PRIMARY KEY,
    staff   TEXT    NOT NULL,
    kind    TEXT    NOT NULL,
    login   TEXT    NOT NULL,
    secret  BLOB    NOT NULL,
    changed INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX password_login ON credentials (login) WHERE kind = 'password';
CREATE UNIQUE INDEX password_of ON credentials (staff) WHERE kind = 'password';
CREATE INDEX credentials_of ON credentials (staff);

CREATE TABLE sessions (
    id         TEXT    PRIMARY KEY,
    token_hash BLOB    NOT NULL UNIQUE,
    staff      TEXT    NOT NULL,
    device     TEXT    NOT NULL,
    began      INTEGER NOT NULL,
    last_seen  INTEGER NOT NULL,
    idle_ends  INTEGER NOT NULL,
    ends       INTEGER NOT NULL
) STRICT;
CREATE INDEX sessions_of ON sessions (staff, began);

CREATE TABLE codes (
    id      TEXT    PRIMARY KEY,
    purpose TEXT    NOT NULL,
    staff   TEXT    NOT NULL,
    hash    BLOB    NOT NULL,
    made    INTEGER NOT NULL,
    expires INTEGER NOT NULL,
    used    INTEGER             -- NULL: not yet
) STRICT;
CREATE INDEX codes_open ON codes (purpose) WHERE used IS NULL;

PRAGMA user_version = 2;
