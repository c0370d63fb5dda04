// Package backup puts a copy of a programme's records and keys into one
// encrypted file, and takes it out again whole or not at all.
//
// The file is age-encrypted (format age-encryption.org/v1): a server that makes
// backups needs only the public half of the key and cannot read what it made.
// Inside is a tar archive: first manifest.json, with the size and SHA-256 of
// each part and the rows and digest of each table, then the parts.
//
// The package knows no store: what makes a copy and what looks into one are
// handed in.
package backup

import (
	"context"
	"time"

	"firnhand/programme"
)

// format is the version of what is inside the encrypted file.
const format = 1

// The names of the parts.
const (
	partRecords = "records.db"
	partKeys    = "keys"
)

// Ending of the name of a backup.
const Ending = ".firnhand-backup"

// Errors that a store does not have.
const (
	CodeWrongKey programme.Code = "wrong_key"
	CodeNewer    programme.Code = "newer_backup"
)

// Manifest says what is in a backup.
type Manifest struct {
	Format   int                `json:"format"`
	Program  string             `json:"program"` // version of the program that made it
	MadeAt   time.Time          `json:"made_at"`
	Contents programme.Contents `json:"contents"` // of the records
	Students int                `json:"students"` // that have a key
	Parts    []Part             `json:"parts"`
}

// Part is one file of a backup.
type Part struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// House is what a backup is made of and taken back into.
type House struct {
	// Copy writes a consistent copy of the records to a new file.
	Copy func(ctx context.Context, path string) error
	// Examine reads what is in a file of records and whether it is whole.
	Examine func(ctx context.Context, path string) (programme.Contents, error)
	// Keys is the key file; it is read after Copy, so that it opens all of it.
	Keys string
	// CheckKeys tells whether a key file is whole, how many students have a key
	// in it, and whose were destroyed.
	CheckKeys func(path string) (students int, gone []programme.ID, err error)
	// Forget destroys the keys of students in a key file.
	Forget func(ctx context.Context, keys string, students []programme.ID) error
}
