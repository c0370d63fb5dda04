// Package vault seals the text of each student with a key of that student's
// own. The keys lie in a file of their own, outside the records, so a copy of
// the records alone reads as nothing, and destroying one key makes one student's
// text unreadable wherever a copy of the records lies, while every fact keeps
// its place, order and count.
//
// What it does not do: a person who has both files reads everything, so both
// belong on an encrypted disk and are backed up apart; and a copy of the key
// file made before a key was destroyed still holds that key, so such copies must
// not be kept longer than the programme promised.
package vault

import (
	"bytes"
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"

	"github.com/gofrs/flock"

	"firnhand/programme"
)

const (
	header   = "firnhand keys 1"
	keySize  = 32 // bytes; AES-256
	nonceLen = 12
)

// Keys is a key file. It is safe for concurrent use, and several programs may
// use the same file: each sees at its next call what another changed.
type Keys struct {
	path   string
	random io.Reader

	mu   sync.Mutex
	seen os.FileInfo               // the file as it was read
	read int64                     // bytes of whole lines read so far
	of   map[programme.ID]*key     // student -> key in use
	byID map[string]*key           // key id -> key
	gone map[string]programme.ID   // destroyed key id -> student
	lost map[programme.ID]struct{} // students whose key was destroyed
}

type key struct {
	id      string
	student programme.ID
	secret  []byte
	aead    cipher.AEAD
	nonce   []byte // key of the nonces
}

var _ programme.Keys = (*Keys)(nil)

// Open reads a key file, or makes an empty one that only its owner may read.
// random must be cryptographic. An unreadable file is CodeDamaged and is left
// as it was.
func Open(path string, random io.Reader) (*Keys, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fail(err)
	}
	k := &Keys{path: abs, random: random}
	if _, err := os.Stat(abs); errors.Is(err, fs.ErrNotExist) {
		if err := k.locked(func() error { return k.makeFile() }); err != nil {
			return nil, err
		}
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	return k, k.refresh()
}

// makeFile makes an empty key file unless another program was faster.
func (k *Keys) makeFile() error {
	if _, err := os.Stat(k.path); err == nil {
		return nil
	}
	return replace(k.path, []byte(header+"\n"))
}

// locked runs do while no other program changes the file.
func (k *Keys) locked(do func() error) (err error) {
	l := flock.New(k.path + ".lock")
	if err := l.Lock(); err != nil {
		return fail(err)
	}
	defer func() {
		if e := l.Unlock(); e != nil && err == nil {
			err = fail(e)
		}
	}()
	return do()
}

// replace writes a whole file: aside, synced, renamed, and the folder synced.
func replace(path string, content []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".keys-")
	if err != nil {
		return fail(err)
	}
	_, err = f.Write(content)
	err = errors.Join(err, f.Chmod(0o600), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return fail(err)
	}
	return syncFolder(path)
}

func syncFolder(path string) error {
	d, err := os.Open(filepath.Dir(path))
	if err != nil {
		return fail(err)
	}
	return fail(errors.Join(d.Sync(), d.Close()))
}

// refresh reads the file again if it changed. What was only appended is read
// alone, so that many students cost no more each than few. k.mu is held.
func (k *Keys) refresh() error {
	info, err := os.Stat(k.path)
	if err != nil {
		return fail(err)
	}
	same := k.seen != nil && os.SameFile(k.seen, info)
	if same && k.seen.Size() == info.Size() && k.seen.ModTime().Equal(info.ModTime()) {
		return nil
	}
	if same && info.Size() > k.seen.Size() && k.seen.Size() == k.read {
		return k.readTail(info)
	}
	content, err := os.ReadFile(k.path)
	if err != nil {
		return fail(err)
	}
	n := &Keys{of: map[programme.ID]*key{}, byID: map[string]*key{}, gone: map[string]programme.ID{}, lost: map[programme.ID]struct{}{}}
	whole := content[:bytes.LastIndexByte(content, '\n')+1]
	first, rest, _ := strings.Cut(string(whole), "\n")
	if first != header {
		return damaged(nil)
	}
	if err := n.parse(rest, k.byID); err != nil {
		return err
	}
	k.seen, k.read, k.of, k.byID, k.gone, k.lost = info, int64(len(whole)), n.of, n.byID, n.gone, n.lost
	return nil
}

// readTail reads the lines that were appended since the last time.
func (k *Keys) readTail(info os.FileInfo) error {
	f, err := os.Open(k.path)
	if err != nil {
		return fail(err)
	}
	defer f.Close()
	tail, err := io.ReadAll(io.NewSectionReader(f, k.read, info.Size()-k.read))
	if err != nil {
		return fail(err)
	}
	whole := tail[:bytes.LastIndexByte(tail, '\n')+1]
	if err := k.parse(string(whole), k.byID); err != nil {
		return err
	}
	k.seen, k.read = info, k.read+int64(len(whole))
	return nil
}

// parse reads lines after the first. A last line without an end was being
// written when the machine stopped; nothing was sealed with it yet, and it is
// not among these.
func (k *Keys) parse(lines string, known map[string]*key) error {
	for line := range strings.Lines(lines) {
		f := strings.Fields(line)
		switch {
		case len(f) == 4 && f[0] == "key":
			secret, err := base64.RawURLEncoding.DecodeString(f[3])
			if err != nil || len(secret) != keySize || programme.ID(f[2]).Check() != nil {
				return damaged(err)
			}
			one := known[f[1]]
			if one == nil || !hmac.Equal(one.secret, secret) {
				if one, err = newKey(f[1], programme.ID(f[2]), secret); err != nil {
					return damaged(err)
				}
			}
			k.byID[one.id], k.of[one.student] = one, one
		case len(f) == 3 && f[0] == "gone":
			k.gone[f[1]] = programme.ID(f[2])
			k.lost[programme.ID(f[2])] = struct{}{}
		default:
			return damaged(nil)
		}
	}
	return nil
}

// newKey derives from a student's secret what seals and what makes nonces.
func newKey(id string, student programme.ID, secret []byte) (*key, error) {
	seal, err := hkdf.Key(sha256.New, secret, nil, "firnhand seal 1", keySize)
	if err != nil {
		return nil, err
	}
	nonce, err := hkdf.Key(sha256.New, secret, nil, "firnhand nonce 1", keySize)
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(seal)
	if err != nil {
		return nil, err
	}
	aead, err := cipher.NewGCM(block)
	return &key{id: id, student: student, secret: secret, aead: aead, nonce: nonce}, err
}

// keyFor returns a student's key and makes it at need; a new key is on the disk
// before anything is sealed with it. k.mu is held and the file is fresh.
func (k *Keys) keyFor(student programme.ID) (*key, error) {
	if err := k.need([]programme.ID{student}); err != nil {
		return nil, err
	}
	return k.of[student], nil
}

// need makes the keys that these students lack, all in one write.
func (k *Keys) need(students []programme.ID) error {
	missing := func() ([]programme.ID, error) {
		var out []programme.ID
		for _, s := range students {
			if _, lost := k.lost[s]; lost {
				return nil, errForgotten
			}
			if k.of[s] == nil && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
		return out, nil
	}
	if out, err := missing(); err != nil || len(out) == 0 {
		return err
	}
	return k.locked(func() error {
		if err := k.refresh(); err != nil {
			return err
		}
		out, err := missing()
		if err != nil || len(out) == 0 {
			return err
		}
		return k.add(out)
	})
}

// add appends new keys to the file. k.mu and the lock are held, and the file is
// fresh.
func (k *Keys) add(students []programme.ID) error {
	var lines strings.Builder
	for _, student := range students {
		raw := make([]byte, keySize+8)
		if _, err := io.ReadFull(k.random, raw); err != nil {
			return programme.Fail(programme.CodeInternal, err, "No randomness was to be had for a key.")
		}
		lines.WriteString("key " + hex.EncodeToString(raw[keySize:]) + " " + string(student) + " " + base64.RawURLEncoding.EncodeToString(raw[:keySize]) + "\n")
	}
	if k.seen.Size() != k.read { // a line broken off by a crash
		content, err := os.ReadFile(k.path)
		if err != nil {
			return fail(err)
		}
		if err := replace(k.path, content[:k.read]); err != nil {
			return err
		}
	}
	f, err := os.OpenFile(k.path, os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		return fail(err)
	}
	_, err = f.WriteString(lines.String())
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fail(err)
	}
	return k.refresh()
}

// Gone lists the students whose key was destroyed, by id.
func (k *Keys) Gone() []programme.ID {
	k.mu.Lock()
	defer k.mu.Unlock()
	return slices.Sorted(maps.Keys(k.lost))
}

// Len tells how many students have a key.
func (k *Keys) Len() int {
	k.mu.Lock()
	defer k.mu.Unlock()
	return len(k.of)
}

// label binds a sealed text to its fact: it cannot be passed off as another's.
func label(f programme.Fact) []byte {
	return []byte(strings.Join([]string{string(f.ID), string(f.Student), string(f.Kind),
		strconv.Itoa(f.Version), string(f.Author), string(f.Names)}, "\x00"))
}

// Seal implements programme.Keys. The nonce is made from the text and its label,
// so the same fact always seals to the same bytes and no other fact to these.
func (k *Keys) Seal(f programme.Fact) (keyID string, sealed []byte, err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if err := k.refresh(); err != nil {
		return "", nil, err
	}
	return k.seal(f)
}

func (k *Keys) seal(f programme.Fact) (string, []byte, error) {
	one, err := k.keyFor(f.Student)
	if err != nil {
		return "", nil, err
	}
	ad := label(f)
	mac := hmac.New(sha256.New, one.nonce)
	mac.Write(ad)
	mac.Write([]byte{0})
	mac.Write(f.Payload)
	nonce := mac.Sum(nil)[:nonceLen:nonceLen]
	return one.id, one.aead.Seal(nonce, nonce, f.Payload, ad), nil
}

// Open implements programme.Keys.
func (k *Keys) Open(f programme.Fact) ([]byte, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if err := k.refresh(); err != nil {
		return nil, err
	}
	return k.open(f)
}

func (k *Keys) open(f programme.Fact) ([]byte, error) {
	one := k.byID[f.KeyID]
	switch _, gone := k.gone[f.KeyID]; {
	case gone:
		return nil, errForgotten
	case one == nil:
		return nil, programme.Refuse(programme.CodeDamaged, "The key file does not belong to these records, or is older than they are. Put the right key file back.")
	case len(f.Payload) < nonceLen:
		return nil, errAltered
	}
	text, err := one.aead.Open(nil, f.Payload[:nonceLen], f.Payload[nonceLen:], label(f))
	if err != nil {
		return nil, errAltered
	}
	return text, nil
}

// Destroy implements programme.Keys: it writes the file anew without the key,
// and then overwrites what the old file held.
func (k *Keys) Destroy(_ context.Context, student programme.ID) error {
	if err := student.Check(); err != nil {
		return err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.locked(func() error {
		if err := k.refresh(); err != nil {
			return err
		}
		if _, lost := k.lost[student]; lost {
			return nil
		}
		old, err := os.OpenFile(k.path, os.O_RDWR, 0)
		if err != nil {
			return fail(err)
		}
		defer old.Close()
		content, err := io.ReadAll(old)
		if err != nil {
			return fail(err)
		}
		var out bytes.Buffer
		id := "none"
		for _, line := range strings.SplitAfter(string(content[:bytes.LastIndexByte(content, '\n')+1]), "\n") {
			if f := strings.Fields(line); len(f) == 4 && f[2] == string(student) {
				id = f[1]
				out.WriteString("gone " + id + " " + string(student) + "\n")
				continue
			}
			out.WriteString(line)
		}
		if id == "none" { // nothing was ever sealed; nothing shall be
			out.WriteString("gone none-" + string(student) + " " + string(student) + "\n")
		}
		if err := replace(k.path, out.Bytes()); err != nil {
			return err
		}
		if _, err := old.WriteAt(make([]byte, len(content)), 0); err != nil {
			return fail(err)
		}
		if err := old.Sync(); err != nil {
			return fail(err)
		}
		return k.refresh()
	})
}

var (
	errForgotten = programme.Refuse(programme.CodeForgotten, "The text of this record was destroyed on request and cannot be read.")
	errAltered   = programme.Refuse(programme.CodeDamaged, "A sealed text was altered and cannot be read. Restore the last backup.")
)

func damaged(cause error) error {
	return programme.Fail(programme.CodeDamaged, cause, "The key file is damaged. It was left as it was: put a good copy back.")
}

// fail turns an error of the file system into the one shape.
func fail(err error) error {
	var known *programme.Error
	switch {
	case err == nil || errors.As(err, &known):
		return err
	case errors.Is(err, syscall.ENOSPC):
		return programme.Fail(programme.CodeDiskFull, err, "The disk is full. Nothing was saved. Make room and try again.")
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return programme.Fail(programme.CodeReadOnly, err, "The key file can only be read here. Nothing was saved.")
	case errors.Is(err, fs.ErrNotExist):
		return programme.Fail(programme.CodeDamaged, err, "The key file is missing. Put it back before going on.")
	}
	return programme.Fail(programme.CodeInternal, err, "The key file could not be read or written. Nothing was saved.")
}
