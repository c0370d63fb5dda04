package sqlite

import (
	"errors"
	"io/fs"
	"syscall"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"firnhand/programme"
)

var errClosed = programme.Refuse(programme.CodeInternal, "The records are closed.")

// fail turns an error of the driver or the file system into the one shape.
func fail(err error) error {
	var known *programme.Error
	if err == nil || errors.As(err, &known) {
		return err
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return diskFull(err)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return readOnly(err)
	}
	var e *driver.Error
	if !errors.As(err, &e) {
		return programme.Fail(programme.CodeInternal, err, "The records could not be read or written. Nothing was saved.")
	}
	switch e.Code() & 0xff { // the low byte is the primary code
	case codes.SQLITE_FULL:
		return diskFull(err)
	case codes.SQLITE_READONLY, codes.SQLITE_PERM:
		return readOnly(err)
	case codes.SQLITE_CANTOPEN:
		return programme.Fail(programme.CodeReadOnly, err, "The records' file cannot be opened. Nothing was saved.")
	case codes.SQLITE_BUSY, codes.SQLITE_LOCKED:
		return programme.Fail(programme.CodeBusy, err, "The records stayed locked by another program. Nothing was saved; try again.")
	case codes.SQLITE_CORRUPT, codes.SQLITE_NOTADB:
		return programme.Fail(programme.CodeDamaged, err, "The records' file is damaged or is not Firnhand's. Restore the last backup.")
	case codes.SQLITE_IOERR:
		return programme.Fail(programme.CodeInternal, err, "The disk reported an error. Nothing was saved.")
	}
	return programme.Fail(programme.CodeInternal, err, "The records could not be read or written. Nothing was saved.")
}

func diskFull(err error) error {
	return programme.Fail(programme.CodeDiskFull, err, "The disk is full. Nothing was saved, and what was there is safe. Make room and try again.")
}

func readOnly(err error) error {
	return programme.Fail(programme.CodeReadOnly, err, "The records can only be read here. Nothing was saved.")
}
