package backup

import (
	"archive/tar"
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"filippo.io/age"

	"firnhand/programme"
)

// mostManifest bounds what is read before anything is known about it.
const mostManifest = 1 << 20

// Back is what Restore is asked for.
type Back struct {
	Backup  string
	With    []age.Identity
	Records string    // where the records go
	Keys    string    // where the key file goes
	Replace bool      // what is there is kept beside it under another name; else it must not be there
	Now     time.Time // for that other name
}

// Restored says what Restore did.
type Restored struct {
	Manifest  Manifest
	Aside     []string       // where what was there is now
	Forgotten []programme.ID // whose keys were in the backup and were destroyed again
}

// Check reads a whole backup and compares it with its manifest: sizes, digests
// of the parts, whether the records are whole, rows and digest of each table.
// work is where its parts lie meanwhile.
func (h House) Check(ctx context.Context, path string, with []age.Identity, work string) (Manifest, error) {
	dir, err := os.MkdirTemp(work, ".firnhand-check-")
	if err != nil {
		return Manifest{}, fail(err)
	}
	defer os.RemoveAll(dir)
	return h.unpack(ctx, path, with, dir)
}

// Restore takes a backup back. The records appear only after everything in it
// was compared with its manifest; after an error what was there is as it was.
// Students who were forgotten since the backup was made, by the list beside
// it or by the key file that is replaced, are forgotten again.
func (h House) Restore(ctx context.Context, b Back) (out Restored, err error) {
	for _, p := range []string{b.Records, b.Keys} {
		if _, err := os.Lstat(p); err == nil && !b.Replace {
			return out, programme.Refuse(programme.CodeConflict, "There is a file at %s already. It was left as it was: name another place, or say that it is to be replaced.", p)
		} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return out, fail(err)
		}
	}
	dir, err := os.MkdirTemp(filepath.Dir(b.Records), ".firnhand-restore-")
	if err != nil {
		return out, fail(err)
	}
	defer os.RemoveAll(dir)
	if out.Manifest, err = h.unpack(ctx, b.Backup, b.With, dir); err != nil {
		return out, err
	}
	if out.Forgotten, err = h.forgetAgain(ctx, b, filepath.Join(dir, partKeys)); err != nil {
		return out, err
	}
	if out.Aside, err = aside(b); err != nil {
		return out, err
	}
	// The records come last: without them nothing is there yet.
	if err := place(filepath.Join(dir, partKeys), b.Keys); err != nil {
		return out, errors.Join(err, putBack(b, out.Aside))
	}
	if err := place(filepath.Join(dir, partRecords), b.Records); err != nil {
		return out, errors.Join(err, os.Remove(b.Keys), putBack(b, out.Aside))
	}
	return out, nil
}

// unpack decrypts a backup into a folder and compares all of it.
func (h House) unpack(ctx context.Context, path string, with []age.Identity, dir string) (Manifest, error) {
	f, err := os.Open(path)
	if err != nil {
		return Manifest{}, fail(err)
	}
	defer f.Close()
	m, err := open(f, with, dir)
	if err != nil {
		return Manifest{}, err
	}
	got, err := h.Examine(ctx, filepath.Join(dir, partRecords))
	if err != nil {
		return Manifest{}, err
	}
	if d := m.Contents.Differs(got); len(d) > 0 || m.Contents.Schema != got.Schema {
		return Manifest{}, programme.Refuse(programme.CodeDamaged, "The backup does not hold what it says it holds (%s). Nothing was restored.", strings.Join(append(d, "tables compared"), ", "))
	}
	students, _, err := h.CheckKeys(filepath.Join(dir, partKeys))
	if err != nil {
		return Manifest{}, err
	}
	if students != m.Students {
		return Manifest{}, programme.Refuse(programme.CodeDamaged, "The backup does not hold the keys it says it holds. Nothing was restored.")
	}
	return m, nil
}

// open decrypts from r into files of a folder.
func open(r io.Reader, with []age.Identity, dir string) (m Manifest, err error) {
	plain, err := age.Decrypt(bufio.NewReaderSize(r, 1<<20), with...)
	var none *age.NoIdentityMatchError
	switch {
	case errors.As(err, &none):
		return m, programme.Fail(CodeWrongKey, err, "This is not the key for this backup. Nothing was restored.")
	case err != nil:
		return m, damaged(err)
	}
	t := tar.NewReader(plain)
	h, err := t.Next()
	if err != nil || h.Name != "manifest.json" || h.Size > mostManifest {
		return m, damaged(err)
	}
	head, err := io.ReadAll(t)
	if err != nil {
		return m, damaged(err)
	}
	if err := json.Unmarshal(head, &m); err != nil {
		return m, damaged(err)
	}
	if m.Format > format {
		return m, programme.Refuse(CodeNewer, "The backup was made by a newer Firnhand (its form is %d, this one knows %d). Use the newer program. Nothing was restored.", m.Format, format)
	}
	if m.Format != format || len(m.Parts) != 2 || m.Parts[0].Name != partRecords || m.Parts[1].Name != partKeys {
		return m, damaged(nil)
	}
	for _, p := range m.Parts {
		h, err := t.Next()
		if err != nil || h.Name != p.Name || h.Size != p.Bytes || h.Typeflag != tar.TypeReg {
			return m, damaged(err)
		}
		if err := extract(t, filepath.Join(dir, p.Name), p); err != nil {
			return m, err
		}
	}
	if _, err := t.Next(); err != io.EOF {
		return m, damaged(err)
	}
	// The end of the encrypted file says that nothing is cut off.
	if n, err := io.Copy(io.Discard, plain); err != nil || n > 1<<20 {
		return m, damaged(err)
	}
	return m, nil
}

func extract(r io.Reader, path string, p Part) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return fail(err)
	}
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(onlyDisk{f}, h), r)
	if errors.As(err, new(diskError)) {
		return errors.Join(fail(errors.Unwrap(err)), f.Close())
	}
	if err != nil {
		return errors.Join(damaged(err), f.Close())
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return fail(err)
	}
	if n != p.Bytes || hex.EncodeToString(h.Sum(nil)) != p.SHA256 {
		return damaged(nil)
	}
	return nil
}

// onlyDisk marks errors of writing, so that a full disk is not taken for a
// damaged backup.
type onlyDisk struct{ w io.Writer }

type diskError struct{ error }

func (e diskError) Unwrap() error { return e.error }

func (d onlyDisk) Write(b []byte) (int, error) {
	n, err := d.w.Write(b)
	if err != nil {
		err = diskError{err}
	}
	return n, err
}

// forgetAgain destroys in the unpacked key file the keys of everybody who was
// forgotten since.
func (h House) forgetAgain(ctx context.Context, b Back, keys string) ([]programme.ID, error) {
	all, err := Remembered(filepath.Dir(b.Backup))
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(b.Keys); err == nil {
		if _, gone, err := h.CheckKeys(b.Keys); err == nil { // a damaged one is being replaced for a reason
			all = append(all, gone...)
		}
	}
	_, had, err := h.CheckKeys(keys)
	if err != nil {
		return nil, err
	}
	known := map[programme.ID]bool{}
	for _, id := range had {
		known[id] = true
	}
	var again []programme.ID
	for _, id := range all {
		if !known[id] {
			known[id] = true
			again = append(again, id)
		}
	}
	if len(again) == 0 {
		return nil, nil
	}
	return again, h.Forget(ctx, keys, again)
}

// besides are the files that SQLite keeps beside the records.
var besides = []string{"-wal", "-shm"}

// aside gives what is there another name.
func aside(b Back) ([]string, error) {
	var moved []string
	mark := ".before-" + b.Now.UTC().Format("20060102T150405Z")
	for _, p := range []string{b.Records, b.Records + besides[0], b.Records + besides[1], b.Keys} {
		err := os.Rename(p, p+mark)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return moved, errors.Join(fail(err), putBack(b, moved))
		default:
			moved = append(moved, p+mark)
		}
	}
	return moved, nil
}

// putBack undoes aside.
func putBack(b Back, moved []string) error {
	mark := ".before-" + b.Now.UTC().Format("20060102T150405Z")
	for _, p := range moved {
		if err := os.Rename(p, strings.TrimSuffix(p, mark)); err != nil {
			return fail(err)
		}
	}
	return nil
}

// place gives a file its place, durably.
func place(from, to string) error {
	err := os.Rename(from, to)
	if errors.Is(err, syscall.EXDEV) { // another disk
		_, err = writeWhole(to, func(w io.Writer) error {
			f, err := os.Open(from)
			if err != nil {
				return err
			}
			defer f.Close()
			_, err = io.Copy(w, f)
			return err
		})
		return err
	}
	if err != nil {
		return fail(err)
	}
	return syncFolder(filepath.Dir(to))
}

func damaged(cause error) error {
	return programme.Fail(programme.CodeDamaged, cause, "The backup is damaged or is not Firnhand's. Nothing was restored: take another one.")
}
