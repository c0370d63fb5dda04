package cli

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"firnhand/programme"
)

// The commands of this file do on the programme's own machine what the lead
// does on the pages, for the day on which no lead can sign in. Whoever may read
// the files may do it anyway.

// opened opens the records for one command.
func (k keeping) opened(a *app, ctx context.Context) (*house, error) {
	if _, err := os.Stat(k.Data); err != nil {
		return nil, refuse("file", "There is no file of records at %s.", k.Data)
	}
	return openHouse(ctx, files{k.Data, k.keyFile()}, a.Clock, a.Clock, rand.Reader, time.Local, a.log())
}

// with runs a command on the open records.
func (k keeping) with(a *app, do func(ctx context.Context, h *house) error) error {
	ctx, stop := a.until()
	defer stop()
	h, err := k.opened(a, ctx)
	if err != nil {
		return err
	}
	return errors.Join(do(ctx, h), h.Close())
}

// staffCmd is about the people who work in the programme.
type staffCmd struct {
	List    staffListCmd    `cmd:"" help:"List staff, and where each is signed in."`
	Code    staffCodeCmd    `cmd:"" help:"Make a code with which somebody chooses a new login and password; their sign-ins, passwords and passkeys end."`
	SignOut staffSignOutCmd `cmd:"" help:"End all sign-ins of somebody, and let their phones keep nothing more."`
}

// findStaff finds one member of staff by id or name used.
func findStaff(ctx context.Context, h *house, who string) (programme.StaffState, error) {
	all, err := h.cases.Staff(ctx, steward, true)
	if err != nil {
		return programme.StaffState{}, err
	}
	var found []programme.StaffState
	for _, s := range all {
		if string(s.Staff) == who || strings.EqualFold(s.NameUsed, who) {
			found = append(found, s)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return programme.StaffState{}, refuse("not_found", "Nobody on the staff is called %q. \"firnhand staff list\" lists them.", who)
	}
	return programme.StaffState{}, refuse("conflict", "Several on the staff are called %q. Take the id from \"firnhand staff list\".", who)
}

type staffListCmd struct {
	keeping
	JSON bool `name:"json" help:"As JSON."`
}

type staffView struct {
	Staff   programme.ID     `json:"staff"`
	Name    string           `json:"name_used"`
	Roles   []programme.Role `json:"roles"`
	Ended   bool             `json:"ended"`
	SignIns []signInView     `json:"sign_ins"`
	Phones  []phoneView      `json:"phones"`
}

type signInView struct {
	Device   string    `json:"device"`
	Since    time.Time `json:"since"`
	LastUsed time.Time `json:"last_used"`
}

type phoneView struct {
	Phone   programme.ID `json:"phone"`
	Name    string       `json:"name"`
	Revoked bool         `json:"revoked"`
}

// Run lists staff.
func (c *staffListCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		all, err := h.cases.Staff(ctx, steward, true)
		if err != nil {
			return err
		}
		phones, err := h.cases.Phones(ctx, steward)
		if err != nil {
			return err
		}
		views := []staffView{}
		for _, s := range all {
			v := staffView{s.Staff, s.NameUsed, s.Roles, s.Ended, []signInView{}, []phoneView{}}
			list, err := h.desk.DevicesOf(ctx, steward, s.Staff)
			if err != nil {
				return err
			}
			for _, d := range list {
				v.SignIns = append(v.SignIns, signInView{d.Name, d.Began, d.LastSeen})
			}
			for _, p := range phones {
				if p.Staff == s.Staff {
					v.Phones = append(v.Phones, phoneView{p.Phone, p.Name, p.Revoked})
				}
			}
			views = append(views, v)
		}
		if c.JSON {
			return a.printJSON(views)
		}
		for _, v := range views {
			var roles []string
			for _, r := range v.Roles {
				roles = append(roles, r.Label())
			}
			ended := ""
			if v.Ended {
				ended = " (no longer here)"
			}
			fmt.Fprintf(a.Out, "%s  %s%s: %s\n", v.Staff, v.Name, ended, strings.Join(roles, ", "))
			for _, d := range v.SignIns {
				fmt.Fprintf(a.Out, "    signed in: %s, since %s, last used %s\n", d.Device, d.Since.Format(time.DateTime), d.LastUsed.Format(time.DateTime))
			}
			for _, p := range v.Phones {
				state := "keeps the day"
				if p.Revoked {
					state = "revoked"
				}
				fmt.Fprintf(a.Out, "    phone: %s, %s\n", p.Name, state)
			}
		}
		return nil
	})
}

type staffCodeCmd struct {
	Who string `arg:"" help:"Name used, or id."`
	keeping
	JSON bool `name:"json" help:"As JSON."`
}

// Run makes a code.
func (c *staffCodeCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		s, err := findStaff(ctx, h, c.Who)
		if err != nil {
			return err
		}
		code, ends, err := h.desk.Invite(ctx, steward, s.Staff)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(map[string]any{"staff": s.Staff, "code": code, "ends": ends})
		}
		fmt.Fprintf(a.Out, "%s\n", code)
		fmt.Fprintf(a.Err, "The line above lets %s choose a new login and password on the page /join, once, until %s.\n", s.NameUsed, ends.Format(time.DateTime))
		return nil
	})
}

type staffSignOutCmd struct {
	Who string `arg:"" help:"Name used, or id."`
	keeping
	JSON bool `name:"json" help:"As JSON."`
}

// Run ends sign-ins and revokes phones.
func (c *staffSignOutCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		s, err := findStaff(ctx, h, c.Who)
		if err != nil {
			return err
		}
		list, err := h.desk.DevicesOf(ctx, steward, s.Staff)
		if err != nil {
			return err
		}
		if err := h.desk.EndDevices(ctx, steward, s.Staff, ""); err != nil {
			return err
		}
		phones, err := h.cases.Phones(ctx, steward)
		if err != nil {
			return err
		}
		revoked := 0
		for _, p := range phones {
			if p.Staff == s.Staff && !p.Revoked {
				if _, err := h.cases.RevokePhone(ctx, steward, programme.Made{}, p.Phone, "signed out on the programme's machine"); err != nil {
					return err
				}
				revoked++
			}
		}
		if c.JSON {
			return a.printJSON(map[string]any{"staff": s.Staff, "ended": len(list), "revoked_phones": revoked})
		}
		fmt.Fprintf(a.Out, "%s is signed out everywhere: %d sign-ins ended, %d phones revoked.\n", s.NameUsed, len(list), revoked)
		return nil
	})
}

// studentCmd is about what is kept about students.
type studentCmd struct {
	List      studentListCmd      `cmd:"" help:"List students with their ids."`
	Export    studentExportCmd    `cmd:"" help:"Write everything that is kept about a student into a file."`
	Import    studentImportCmd    `cmd:"" help:"Take in what was exported elsewhere."`
	Forget    studentForgetCmd    `cmd:"" help:"Destroy everything written about a student, for good."`
	Retention studentRetentionCmd `cmd:"" help:"List whose record is due to be forgotten, and what speaks against it."`
}

// findStudent finds one student by id or name used.
func findStudent(ctx context.Context, h *house, who string) (programme.StudentLine, error) {
	all, err := h.cases.Students(ctx, steward, true)
	if err != nil {
		return programme.StudentLine{}, err
	}
	all = slices.DeleteFunc(all, func(l programme.StudentLine) bool {
		return string(l.Student) != who && !strings.EqualFold(l.NameUsed, who)
	})
	switch len(all) {
	case 1:
		return all[0], nil
	case 0:
		return programme.StudentLine{}, refuse("not_found", "No student here is called %q. \"firnhand student list\" lists them.", who)
	}
	return programme.StudentLine{}, refuse("conflict", "Several students are called %q. Take the id from \"firnhand student list\".", who)
}

type studentListCmd struct {
	keeping
	JSON bool `name:"json" help:"As JSON."`
}

// Run lists students.
func (c *studentListCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		all, err := h.cases.Students(ctx, steward, true)
		if err != nil {
			return err
		}
		type view struct {
			Student programme.ID `json:"student"`
			Name    string       `json:"name_used"`
			Ended   bool         `json:"ended"`
		}
		views := []view{}
		for _, l := range all {
			views = append(views, view{l.Student, l.NameUsed, l.Ended})
		}
		if c.JSON {
			return a.printJSON(views)
		}
		for _, v := range views {
			fmt.Fprintf(a.Out, "%s  %s\n", v.Student, v.Name)
		}
		return nil
	})
}

type studentExportCmd struct {
	Who    string `arg:"" help:"Name used, or id."`
	Output string `short:"o" required:"" placeholder:"FILE" help:"New file."`
	keeping
}

// Run writes an export.
func (c *studentExportCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		l, err := findStudent(ctx, h, c.Who)
		if err != nil {
			return err
		}
		if _, err := os.Lstat(c.Output); err == nil {
			return refuse("exists", "There is a file at %s already. It was left as it was.", c.Output)
		}
		e, err := h.cases.ExportStudent(ctx, steward, l.Student)
		if err != nil {
			return err
		}
		b, err := json.MarshalIndent(e, "", "  ")
		if err != nil {
			return internal(err, "The export could not be written.")
		}
		if err := os.WriteFile(c.Output, append(b, '\n'), 0o600); err != nil {
			return &fault{exit: ExitInput, code: "file", sentence: "The file " + c.Output + " cannot be written here.", cause: err}
		}
		fmt.Fprintf(a.Out, "%s written: %d entries, digest %s. It holds health data.\n", c.Output, len(e.Facts), e.Digest)
		return nil
	})
}

// mostExport bounds an export that is read.
const mostExport = 256 << 20

type studentImportCmd struct {
	File string `arg:"" help:"The export."`
	keeping
	JSON bool `name:"json" help:"As JSON."`
}

// Run takes an export in.
func (c *studentImportCmd) Run(a *app) error {
	f, err := os.Open(c.File)
	if err != nil {
		return &fault{exit: ExitInput, code: "file", sentence: "The file " + c.File + " cannot be read.", cause: err}
	}
	defer f.Close()
	var e programme.Export
	if err := json.NewDecoder(io.LimitReader(f, mostExport)).Decode(&e); err != nil {
		return &fault{exit: ExitInput, code: "damaged", sentence: c.File + " is not an export of Firnhand. Nothing was taken in.", cause: err}
	}
	return c.with(a, func(ctx context.Context, h *house) error {
		n, err := h.cases.ImportStudent(ctx, steward, e)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(map[string]any{"student": e.Student, "created": n, "exists": len(e.Facts) - n, "digest": e.Digest})
		}
		fmt.Fprintf(a.Out, "%d entries taken in, %d were there already. Digest %s.\n", n, len(e.Facts)-n, e.Digest)
		return nil
	})
}

type studentForgetCmd struct {
	Who string `arg:"" help:"Name used, or id."`
	keeping
	Yes  bool `help:"Really. It cannot be undone."`
	JSON bool `name:"json" help:"As JSON."`
}

// Run has a student forgotten.
func (c *studentForgetCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		l, err := findStudent(ctx, h, c.Who)
		if err != nil {
			return err
		}
		if !c.Yes {
			return refuse("usage", "Forgetting destroys everything written about this student and cannot be undone. Say --yes to do it.")
		}
		before, err := h.store.Counts(ctx)
		if err != nil {
			return err
		}
		if err := h.cases.ForgetStudent(ctx, steward, l.Student); err != nil {
			return err
		}
		after, err := h.store.Counts(ctx)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(map[string]any{"student": l.Student, "facts_before": before.Facts, "facts_after": after.Facts})
		}
		fmt.Fprintf(a.Out, "Forgotten. There are %d entries in all, as before; those about this student can no longer be read.\nMake a backup now, so that no older one brings them back.\n", after.Facts)
		return nil
	})
}

type studentRetentionCmd struct {
	keeping
	JSON bool `name:"json" help:"As JSON."`
}

// Run lists how long records are kept.
func (c *studentRetentionCmd) Run(a *app) error {
	return c.with(a, func(ctx context.Context, h *house) error {
		lines, err := h.cases.Retention(ctx, steward)
		if err != nil {
			return err
		}
		type view struct {
			Student   programme.ID   `json:"student"`
			Name      string         `json:"name_used"`
			LastOn    programme.Date `json:"last_written_on"`
			Due       programme.Date `json:"due_on"`
			IsDue     bool           `json:"due"`
			KeepUntil programme.Date `json:"waiver_kept_until"`
			OnPaper   bool           `json:"waiver_on_paper"`
			Conflict  bool           `json:"conflict"`
			Why       string         `json:"why"`
		}
		views := []view{}
		for _, l := range lines {
			views = append(views, view{l.Student, l.NameUsed, l.LastOn, l.Due, l.IsDue, l.KeepUntil, l.OnPaper, l.Conflict, l.Why})
		}
		if c.JSON {
			return a.printJSON(views)
		}
		for _, v := range views {
			fmt.Fprintf(a.Out, "%s  %s: %s\n", v.Student, v.Name, v.Why)
		}
		return nil
	})
}
