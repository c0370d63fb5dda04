package sqlite_test

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// smallDisk mounts a disk of 1 MiB in memory, or skips where that is not
// allowed.
func smallDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("a small disk cannot be mounted here (%v)", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// TestDiskFull (trust.md S4): a clear message, nothing half written, what was
// acknowledged stays, and work goes on once there is room.
func TestDiskFull(t *testing.T) {
	dir := smallDisk(t)
	s := open(t, filepath.Join(dir, "records.db"))
	ids := programmetest.NewIDs(9)
	var acked []programme.Fact
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 300<<10), 0o600); err != nil {
		t.Fatal(err)
	}
	var full error
	for i := 0; full == nil && i < 1000; i++ {
		f := note(ids, strings.Repeat("x", 2000))
		if _, full = s.Append(ctx, programmetest.Noon, f); full == nil {
			acked = append(acked, f)
		}
	}
	refused(t, full, programme.CodeDiskFull, "The disk is full. Nothing was saved, and what was there is safe. Make room and try again.")
	if len(acked) < 20 {
		t.Fatalf("only %d facts fitted", len(acked))
	}
	n, err := s.Counts(ctx)
	if err != nil || n.Facts != int64(len(acked)) {
		t.Fatalf("Counts = %+v, %v; acknowledged %d", n, err, len(acked))
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(ctx, programmetest.Noon, note(ids, "after")); err != nil {
		t.Fatalf("after making room: %v", err)
	}
	if wrong, err := s.Check(ctx); err != nil || len(wrong) != 0 {
		t.Fatalf("Check = %v, %v", wrong, err)
	}
	for _, f := range acked {
		if got, err := s.Fact(ctx, f.ID); err != nil || !programme.SameContent(got, f) {
			t.Fatalf("an acknowledged fact is %+v, %v", got, err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestReadOnlyDisk (trust.md S4): opening says what is the matter and changes
// nothing.
func TestReadOnlyDisk(t *testing.T) {
	dir := smallDisk(t)
	path := filepath.Join(dir, "records.db")
	if err := open(t, path).Close(); err != nil {
		t.Fatal(err)
	}
	before := sum(t, path)
	if err := syscall.Mount("none", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("the disk cannot be made read-only here (%v)", err)
	}
	_, err := sqlite.Open(ctx, path)
	if programme.CodeOf(err) != programme.CodeReadOnly {
		t.Fatalf("Open on a read-only disk: %v (%v)", err, programmeCause(err))
	}
	if !strings.Contains(programme.SentenceOf(err), "Nothing was saved.") {
		t.Errorf("sentence %q", programme.SentenceOf(err))
	}
	if sum(t, path) != before {
		t.Error("the file was changed")
	}
	_, err = sqlite.Open(ctx, filepath.Join(dir, "new.db"))
	refused(t, err, programme.CodeReadOnly, "can only be read here. Nothing was saved.")
}
