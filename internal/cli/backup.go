package cli

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"filippo.io/age"

	"firnhand/internal/backup"
	"firnhand/internal/sqlite"
	"firnhand/internal/vault"
	"firnhand/programme"
)

// backupCmd makes backups and looks at them.
type backupCmd struct {
	Key   backupKeyCmd   `cmd:"" help:"Make the key that opens backups; it belongs on another machine."`
	Make  backupMakeCmd  `cmd:"" help:"Write an encrypted backup, also while the program serves."`
	Check backupCheckCmd `cmd:"" help:"Read a whole backup and compare it with what it says it holds."`
	List  backupListCmd  `cmd:"" help:"List the backups in a folder."`
}

// keeping says where the records and keys lie.
type keeping struct {
	Data string `default:"firnhand.db" placeholder:"FILE" help:"File that holds the records."`
	Keys string `placeholder:"FILE" help:"File that holds the keys to the students' text; without it FILE.keys beside the records."`
}

func (k keeping) keyFile() string {
	if k.Keys == "" {
		return k.Data + ".keys"
	}
	return k.Keys
}

// house is what backups are made of: the store and the key file.
func (k keeping) house() backup.House {
	return backup.House{
		Copy:      func(ctx context.Context, to string) error { return sqlite.Copy(ctx, k.Data, to) },
		Examine:   sqlite.Examine,
		Keys:      k.keyFile(),
		CheckKeys: checkKeys,
		Forget: func(ctx context.Context, path string, students []programme.ID) error {
			keys, err := vault.Open(path, rand.Reader)
			for _, s := range students {
				if err == nil {
					err = keys.Destroy(ctx, s)
				}
			}
			return err
		},
	}
}

// checkKeys reads a key file that must be there.
func checkKeys(path string) (int, []programme.ID, error) {
	if _, err := os.Stat(path); err != nil {
		return 0, nil, refuse("no_keys", "The key file %s is missing. Without it nobody can read what the records say about students.", path)
	}
	keys, err := vault.Open(path, rand.Reader)
	if err != nil {
		return 0, nil, err
	}
	return keys.Len(), keys.Gone(), nil
}

type backupKeyCmd struct {
	File string `arg:"" help:"New file for the secret key."`
}

// Run makes a key pair: the secret half into the file, the public one on the
// screen.
func (c *backupKeyCmd) Run(a *app) error {
	id, err := age.GenerateX25519Identity()
	if err != nil {
		return internal(err, "No randomness was to be had for a key.")
	}
	f, err := os.OpenFile(c.File, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return refuse("exists", "There is a file at %s already. It was left as it was: backups may depend on it.", c.File)
	}
	if err != nil {
		return &fault{exit: ExitInput, code: "file", sentence: "The file " + c.File + " cannot be written here.", cause: err}
	}
	_, err = fmt.Fprintf(f, "# opens Firnhand's backups; public half: %s\n%s\n", id.Recipient(), id)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return internal(err, "The key could not be written.")
	}
	fmt.Fprintf(a.Out, "%s\n", id.Recipient())
	fmt.Fprintf(a.Err, "The line above is the public half: backups are made with it. %s opens them.\nKeep it on another machine or on paper; without it no backup can be read.\n", c.File)
	return nil
}

type backupMakeCmd struct {
	keeping
	To   string   `required:"" placeholder:"FOLDER" help:"Folder for the backup."`
	For  []string `required:"" placeholder:"KEY" help:"Public half of the key that will open it; several times for several keys."`
	Keep int      `default:"0" placeholder:"DAYS" help:"Then remove older backups from the folder; 0 keeps all."`
	JSON bool     `name:"json" help:"As JSON."`
}

// Run makes a backup.
func (c *backupMakeCmd) Run(a *app) error {
	var to []age.Recipient
	for _, s := range c.For {
		r, err := age.ParseX25519Recipient(strings.TrimSpace(s))
		if err != nil {
			return refuse("usage", "%q is not the public half of a key. \"firnhand backup key FILE\" makes a pair.", s)
		}
		to = append(to, r)
	}
	if c.Keep < 0 {
		return refuse("usage", "Backups are kept for 0 days (all of them) or more.")
	}
	ctx, stop := a.until()
	defer stop()
	made, err := c.house().Make(ctx, backup.Order{Folder: c.To, Work: filepath.Dir(c.Data), For: to, Now: a.Clock.Now(), Program: a.Version,
		Keep: time.Duration(c.Keep) * 24 * time.Hour})
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(map[string]any{"file": made.Path, "size_bytes": made.Bytes, "manifest": made.Manifest, "removed": append([]string{}, made.Removed...)})
	}
	fmt.Fprintf(a.Out, "%s written: %d facts about %d students with a key, %d bytes.\n", made.Path, made.Manifest.Contents.Rows("facts"), made.Manifest.Students, made.Bytes)
	for _, name := range made.Removed {
		fmt.Fprintf(a.Out, "%s removed: older than %d days.\n", name, c.Keep)
	}
	return nil
}

// identities reads the secret key.
func identities(path string) ([]age.Identity, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, &fault{exit: ExitInput, code: "file", sentence: "The key file " + path + " cannot be read.", cause: err}
	}
	defer f.Close()
	ids, err := age.ParseIdentities(f)
	if err != nil {
		return nil, refuse("wrong_key", "%s does not hold the secret half of a key for backups.", path)
	}
	return ids, nil
}

type backupCheckCmd struct {
	Backup string `arg:"" help:"The backup."`
	With   string `required:"" placeholder:"FILE" help:"File with the secret key."`
	JSON   bool   `name:"json" help:"As JSON."`
}

// Run reads a backup and says whether all of it is as it should be.
func (c *backupCheckCmd) Run(a *app) error {
	ids, err := identities(c.With)
	if err != nil {
		return err
	}
	ctx, stop := a.until()
	defer stop()
	m, err := keeping{}.house().Check(ctx, c.Backup, ids, filepath.Dir(c.Backup))
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(m)
	}
	fmt.Fprintf(a.Out, "%s is whole. Made %s by Firnhand %s, schema %d, %d students with a key.\n", c.Backup, m.MadeAt.Format(time.RFC3339), m.Program, m.Contents.Schema, m.Students)
	printContents(a, m.Contents)
	return nil
}

func printContents(a *app, c programme.Contents) {
	for _, t := range c.Tables {
		fmt.Fprintf(a.Out, "  %-12s %8d rows  %s\n", t.Name, t.Rows, t.Digest)
	}
}

type backupListCmd struct {
	Folder string `arg:"" help:"The folder."`
	JSON   bool   `name:"json" help:"As JSON."`
}

// Run lists backups.
func (c *backupListCmd) Run(a *app) error {
	all, err := backup.List(c.Folder)
	if err != nil {
		return err
	}
	type line struct {
		File   string    `json:"file"`
		MadeAt time.Time `json:"made_at"`
		Bytes  int64     `json:"size_bytes"`
	}
	lines := []line{}
	for _, b := range all {
		lines = append(lines, line{b.Name, b.MadeAt, b.Bytes})
	}
	if c.JSON {
		return a.printJSON(lines)
	}
	for _, l := range lines {
		fmt.Fprintf(a.Out, "%s  %d bytes\n", l.File, l.Bytes)
	}
	if len(lines) == 0 {
		fmt.Fprintln(a.Out, "No backup is here.")
	}
	return nil
}

// restoreCmd takes a backup back.
type restoreCmd struct {
	Backup string `arg:"" help:"The backup."`
	With   string `required:"" placeholder:"FILE" help:"File with the secret key."`
	keeping
	Replace bool `help:"Replace the records that are there; they stay beside under another name. End the program first."`
	JSON    bool `name:"json" help:"As JSON."`
}

// Run restores.
func (c *restoreCmd) Run(a *app) error {
	ids, err := identities(c.With)
	if err != nil {
		return err
	}
	if _, err := os.Stat(c.Data); err == nil {
		release, err := holdAlone(c.Data)
		if err != nil {
			return err
		}
		defer release()
	}
	ctx, stop := a.until()
	defer stop()
	done, err := c.house().Restore(ctx, backup.Back{Backup: c.Backup, With: ids, Records: c.Data, Keys: c.keyFile(), Replace: c.Replace, Now: a.Clock.Now()})
	if err != nil {
		return err
	}
	got, err := sqlite.Examine(ctx, c.Data)
	if err != nil {
		return err
	}
	if d := done.Manifest.Contents.Differs(got); len(d) > 0 {
		return internal(nil, "The restored records differ from the backup in: %s.", strings.Join(d, ", "))
	}
	if c.JSON {
		return a.printJSON(map[string]any{"file": c.Data, "keys": c.keyFile(), "contents": got, "aside": append([]string{}, done.Aside...),
			"forgotten_again": len(done.Forgotten), "made_at": done.Manifest.MadeAt})
	}
	fmt.Fprintf(a.Out, "%s and %s restored, as they were at %s. Every digest is equal.\n", c.Data, c.keyFile(), done.Manifest.MadeAt.Format(time.RFC3339))
	printContents(a, got)
	if n := len(done.Forgotten); n > 0 {
		fmt.Fprintf(a.Out, "Forgotten again, because they were forgotten after this backup was made: %d.\n", n)
	}
	for _, p := range done.Aside {
		fmt.Fprintf(a.Out, "What was there is now %s\n", p)
	}
	fmt.Fprintln(a.Out, "Everybody signs in anew: sign-ins and codes are not in a backup.")
	return nil
}
