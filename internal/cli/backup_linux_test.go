package cli

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"filippo.io/age"

	"firnhand/internal/backup"
	"firnhand/programme"
)

// TestBackupDiskFull (trust.md S4): neither a backup nor a restore leaves
// anything on a disk that filled up, and both say so.
func TestBackupDiskFull(t *testing.T) {
	s := newSafe(t)
	h := s.open()
	fill(t, h, 20, 4000)
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	good := s.make()
	small := t.TempDir()
	if err := syscall.Mount("none", small, "tmpfs", 0, "size=512k"); err != nil {
		t.Skipf("a small disk cannot be mounted here (%v)", err)
	}
	defer syscall.Unmount(small, 0)
	_, err := s.house().Make(t.Context(), backup.Order{Folder: small, Work: s.dir, For: []age.Recipient{s.id.Recipient()}, Now: s.now})
	full := func(err error) {
		t.Helper()
		if programme.CodeOf(err) != programme.CodeDiskFull || !strings.Contains(programme.SentenceOf(err), "The disk is full.") {
			t.Errorf("got %v", err)
		}
		if left := stateOf(t, small); left != "" {
			t.Errorf("left behind: %s", left)
		}
	}
	full(err)
	_, err = s.house().Make(t.Context(), backup.Order{Folder: s.backups, Work: small, For: []age.Recipient{s.id.Recipient()}, Now: s.now.Add(time.Hour)})
	full(err)
	_, err = s.house().Restore(t.Context(), backup.Back{Backup: good.Path, With: []age.Identity{s.id}, Records: filepath.Join(small, "r.db"), Keys: filepath.Join(small, "r.keys"), Now: s.now})
	full(err)
}
