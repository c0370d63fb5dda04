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
	"slices"
	"strings"
	"syscall"
	"time"

	"filippo.io/age"

	"firnhand/programme"
)

// Order is what Make is asked for.
type Order struct {
	Folder  string // where the backup goes
	Work    string // where the copy in the clear lies while it is encrypted; the folder of the records serves
	For     []age.Recipient
	Now     time.Time
	Program string
	Keep    time.Duration // older backups in the folder are removed once this one is there; 0 keeps all
}

// Made says what Make did.
type Made struct {
	Path     string
	Bytes    int64
	Manifest Manifest
	Removed  []string // names of older backups
}

// Make writes a backup. The file appears whole or not at all; while it is
// being written the records may be used.
func (h House) Make(ctx context.Context, o Order) (Made, error) {
	o.Now = o.Now.UTC().Truncate(time.Second) // names tell seconds
	if len(o.For) == 0 {
		return Made{}, programme.Refuse(programme.CodeInvalid, "A backup is encrypted: say for whom.")
	}
	work, err := os.MkdirTemp(o.Work, ".firnhand-copy-")
	if err != nil {
		return Made{}, fail(err)
	}
	defer os.RemoveAll(work)
	records, keys := filepath.Join(work, partRecords), filepath.Join(work, partKeys)
	if err := h.Copy(ctx, records); err != nil {
		return Made{}, err
	}
	content, err := os.ReadFile(h.Keys)
	if err != nil {
		return Made{}, fail(err)
	}
	if err := os.WriteFile(keys, content, 0o600); err != nil {
		return Made{}, fail(err)
	}
	m := Manifest{Format: format, Program: o.Program, MadeAt: o.Now}
	if m.Contents, err = h.Examine(ctx, records); err != nil {
		return Made{}, err
	}
	var gone []programme.ID
	if m.Students, gone, err = h.CheckKeys(keys); err != nil {
		return Made{}, err
	}
	for _, path := range []string{records, keys} {
		p, err := partOf(path)
		if err != nil {
			return Made{}, fail(err)
		}
		m.Parts = append(m.Parts, p)
	}
	out := Made{Manifest: m, Path: filepath.Join(o.Folder, "firnhand-"+o.Now.Format("20060102T150405Z")+Ending)}
	if _, err := os.Lstat(out.Path); err == nil {
		return Made{}, programme.Refuse(programme.CodeConflict, "There is a backup of this very second already. It was left as it was.")
	}
	if out.Bytes, err = writeWhole(out.Path, func(w io.Writer) error { return seal(w, o.For, m, work) }); err != nil {
		return Made{}, err
	}
	if err := remember(o.Folder, gone); err != nil {
		return out, err
	}
	out.Removed, err = prune(o.Folder, o.Now, o.Keep, filepath.Base(out.Path))
	return out, err
}

func partOf(path string) (Part, error) {
	f, err := os.Open(path)
	if err != nil {
		return Part{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return Part{filepath.Base(path), n, hex.EncodeToString(h.Sum(nil))}, err
}

// seal writes the encrypted archive.
func seal(w io.Writer, to []age.Recipient, m Manifest, work string) error {
	buffered := bufio.NewWriterSize(w, 1<<20)
	sealed, err := age.Encrypt(buffered, to...)
	if err != nil {
		return err
	}
	t := tar.NewWriter(sealed)
	head, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	entry := func(name string, size int64, from io.Reader) error {
		if err := t.WriteHeader(&tar.Header{Name: name, Size: size, Mode: 0o600, ModTime: m.MadeAt}); err != nil {
			return err
		}
		_, err := io.Copy(t, from)
		return err
	}
	if err := entry("manifest.json", int64(len(head)), strings.NewReader(string(head))); err != nil {
		return err
	}
	for _, p := range m.Parts {
		f, err := os.Open(filepath.Join(work, p.Name))
		if err != nil {
			return err
		}
		err = entry(p.Name, p.Bytes, f)
		if err = errors.Join(err, f.Close()); err != nil {
			return err
		}
	}
	return errors.Join(t.Close(), sealed.Close(), buffered.Flush())
}

// writeWhole writes a file aside, syncs it and gives it its name.
func writeWhole(path string, write func(io.Writer) error) (int64, error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".firnhand-part-")
	if err != nil {
		return 0, fail(err)
	}
	err = write(f)
	size, seekErr := f.Seek(0, io.SeekEnd)
	err = errors.Join(err, seekErr, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return 0, fail(err)
	}
	return size, syncFolder(filepath.Dir(path))
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return fail(err)
	}
	return fail(errors.Join(d.Sync(), d.Close()))
}

// forgottenList is the name of the list, beside the backups, of students who
// were forgotten: ids only. A restored older backup does not bring them back.
const forgottenList = "forgotten"

// remember adds students to the list.
func remember(folder string, gone []programme.ID) error {
	known, err := Remembered(folder)
	if err != nil {
		return err
	}
	all := slices.Concat(known, gone)
	slices.Sort(all)
	all = slices.Compact(all)
	if len(all) == len(known) {
		return nil
	}
	_, err = writeWhole(filepath.Join(folder, forgottenList), func(w io.Writer) error {
		for _, id := range all {
			if _, err := io.WriteString(w, string(id)+"\n"); err != nil {
				return err
			}
		}
		return nil
	})
	return err
}

// Remembered reads the list of forgotten students beside the backups of a
// folder; no list is an empty one.
func Remembered(folder string) ([]programme.ID, error) {
	b, err := os.ReadFile(filepath.Join(folder, forgottenList))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fail(err)
	}
	var out []programme.ID
	for _, line := range strings.Fields(string(b)) {
		id := programme.ID(line)
		if err := id.Check(); err != nil {
			return nil, programme.Fail(programme.CodeDamaged, err, "The list of forgotten students beside the backups is damaged. Nothing was changed.")
		}
		out = append(out, id)
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// prune removes backups older than keep, never the newest.
func prune(folder string, now time.Time, keep time.Duration, newest string) ([]string, error) {
	if keep <= 0 {
		return nil, nil
	}
	all, err := List(folder)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, b := range all {
		if b.Name != newest && now.Sub(b.MadeAt) > keep {
			if err := os.Remove(filepath.Join(folder, b.Name)); err != nil {
				return out, fail(err)
			}
			out = append(out, b.Name)
		}
	}
	return out, nil
}

// Listed is a backup in a folder.
type Listed struct {
	Name   string
	MadeAt time.Time // by its name
	Bytes  int64
}

// List lists the backups in a folder, oldest first.
func List(folder string) ([]Listed, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fail(err)
	}
	var out []Listed
	for _, e := range entries {
		stamp := strings.TrimSuffix(strings.TrimPrefix(e.Name(), "firnhand-"), Ending)
		at, err := time.Parse("20060102T150405Z", stamp)
		if err != nil || e.Name() != "firnhand-"+stamp+Ending {
			continue
		}
		info, err := e.Info()
		if err != nil {
			return nil, fail(err)
		}
		out = append(out, Listed{e.Name(), at, info.Size()})
	}
	slices.SortFunc(out, func(a, b Listed) int { return a.MadeAt.Compare(b.MadeAt) })
	return out, nil
}

// fail turns an error of the file system into the one shape.
func fail(err error) error {
	var known *programme.Error
	switch {
	case err == nil || errors.As(err, &known):
		return err
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return programme.Fail(programme.CodeDiskFull, err, "The disk is full. No backup was made or taken back; what was there is as it was. Make room and try again.")
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return programme.Fail(programme.CodeReadOnly, err, "A file or folder may not be read or written here. What was there is as it was.")
	case errors.Is(err, fs.ErrNotExist):
		return programme.Fail(programme.CodeInvalid, err, "A file or folder that was named does not exist.")
	}
	return programme.Fail(programme.CodeInternal, err, "The disk reported an error. What was there is as it was.")
}
