package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"firnhand/internal/backup"
	"firnhand/internal/sqlite"
	"firnhand/programme"
)

// What doctor warns about.
const (
	backupOld = 36 * time.Hour // a daily one was missed
	roomLow   = 200 << 20      // bytes
)

// doctorCmd looks at the files of a programme and says what is wrong.
type doctorCmd struct {
	keeping
	Backups string `placeholder:"FOLDER" help:"Also look whether there is a recent backup in this folder."`
	JSON    bool   `name:"json" help:"As JSON."`
}

// looked is one thing that doctor looked at.
type looked struct {
	What     string `json:"what"`
	OK       bool   `json:"ok"`
	Sentence string `json:"sentence"`
}

// Run looks at everything and changes nothing. The exit code is 1 when
// something is wrong.
func (c *doctorCmd) Run(a *app) error {
	ctx, stop := a.until()
	defer stop()
	var all []looked
	say := func(what string, ok bool, format string, args ...any) {
		all = append(all, looked{what, ok, fmt.Sprintf(format, args...)})
	}
	contents, err := sqlite.Examine(ctx, c.Data)
	if err != nil {
		say("records", false, "%s", programme.SentenceOf(err))
	} else {
		newest := sqlite.Schema()
		say("records", true, "%s is whole: schema %d, %d facts, %d openings of medical details.", c.Data, contents.Schema, contents.Rows("facts"), contents.Rows("readings"))
		if contents.Schema < newest {
			say("schema", true, "The schema is %d; the program brings it to %d when it next serves. Make a backup first.", contents.Schema, newest)
		}
		say("settings", true, "When it serves, every write is on the disk before it is answered (write-ahead log, synchronous=FULL, one writer, a lock is waited for up to 10 s); asserted at each start.")
	}
	students, gone, err := checkKeys(c.keyFile())
	switch {
	case err != nil:
		say("keys", false, "%s", faultOf(err).sentence)
	default:
		say("keys", true, "%s is whole: %d students have a key, %d were forgotten.", c.keyFile(), students, len(gone))
	}
	for _, path := range []string{c.Data, c.keyFile()} {
		if info, err := os.Stat(path); err == nil && info.Mode().Perm()&0o077 != 0 {
			say("permissions", false, "%s can be read by others on this machine (mode %o). Make it 600.", path, info.Mode().Perm())
		}
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(c.Data), ".firnhand-*")); len(left) > 0 {
		say("leftovers", false, "A backup or restore was broken off and left %d folders named .firnhand-* beside the records. Remove them: they hold copies.", len(left))
	}
	if free, ok := room(filepath.Dir(c.Data)); ok {
		say("room", free >= roomLow, "%d MiB are free on the disk of the records.", free>>20)
	}
	if c.Backups != "" {
		c.lookAtBackups(a, say)
	}
	return c.print(a, all, contents)
}

func (c *doctorCmd) lookAtBackups(a *app, say func(string, bool, string, ...any)) {
	list, err := backup.List(c.Backups)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		say("backups", false, "There is no folder %s.", c.Backups)
	case err != nil:
		say("backups", false, "%s", programme.SentenceOf(err))
	case len(list) == 0:
		say("backups", false, "There is no backup in %s.", c.Backups)
	default:
		age := a.Clock.Now().Sub(list[len(list)-1].MadeAt).Round(time.Minute)
		say("backups", age <= backupOld, "%d backups; the newest is %s old.", len(list), age)
	}
}

func (c *doctorCmd) print(a *app, all []looked, contents programme.Contents) error {
	wrong := 0
	for _, l := range all {
		if !l.OK {
			wrong++
		}
	}
	if a.json {
		if err := a.printJSON(map[string]any{"well": wrong == 0, "looked_at": all, "contents": contents}); err != nil {
			return err
		}
	} else {
		for _, l := range all {
			mark := "ok   "
			if !l.OK {
				mark = "WRONG"
			}
			fmt.Fprintf(a.Out, "%s  %s\n", mark, l.Sentence)
		}
	}
	if wrong > 0 {
		return errFailed
	}
	return nil
}
