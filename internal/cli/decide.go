package cli

import (
	"errors"
	"io"
	"os"
	"time"

	"firnhand/core/decide"
	"firnhand/internal/person"
	"firnhand/programme"
)

// decideCmd decides from a file.
type decideCmd struct {
	File  string `arg:"" help:"The person's file; - reads from standard input."`
	JSON  bool   `name:"json" help:"As JSON, with everything."`
	All   bool   `help:"Also what was taken as normal, every axis, why not, and every number used."`
	On    string `placeholder:"DATE" help:"Decide as of this day (YYYY-MM-DD) instead of today."`
	Rules string `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`
}

// Run decides and prints.
func (c *decideCmd) Run(a *app) error {
	d, err := a.decide(c.File, c.Rules, c.On)
	if err != nil {
		return err
	}
	if c.JSON {
		err = a.printJSON(d.view())
	} else {
		err = d.print(&sheet{w: a.Out}, c.All)
	}
	if err != nil {
		return err
	}
	if d.held() {
		return errHeld
	}
	return nil
}

// held tells whether a hold, a refusal or a wanted re-evaluation is in force.
func (d *decided) held() bool {
	gate, _ := axisValue(d.answer, "gate")
	return gate != open && gate != "" && gate != decide.NoEffect.String() && gate != decide.RuleOnly.String()
}

// decide reads a file and decides with the argument.
func (a *app) decide(file, rules, on string) (*decided, error) {
	p, err := a.readPerson(file)
	if err != nil {
		return nil, err
	}
	t, err := a.table(rules)
	if err != nil {
		return nil, err
	}
	day, err := a.day(on)
	if err != nil {
		return nil, err
	}
	c, err := p.Case(t, day, programme.NumbersOf(nil))
	if err != nil {
		return nil, inFile(err, file)
	}
	d := &decided{person: p, c: c, table: t, on: day}
	d.answer, d.next = t.Argue(c.Input)
	d.later = t.AfterClearance(c.Input)
	return d, nil
}

func (a *app) readPerson(file string) (*person.Person, error) {
	data, err := a.read(file, person.MaxBytes, "a person's file has a few pages at most")
	if err != nil {
		return nil, err
	}
	p, err := person.Read(data)
	if err != nil {
		return nil, inFile(err, file)
	}
	return p, nil
}

// inFile names the file in problems found in it.
func inFile(err error, file string) error {
	f := faultOf(err)
	if f.file = file; file == "-" {
		f.file = "standard input"
	}
	return f
}

// read reads a whole file that may not be larger than most bytes.
func (a *app) read(file string, most int64, because string) ([]byte, error) {
	in := a.In
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, cannotOpen(file, err)
		}
		defer f.Close()
		if info, err := f.Stat(); err == nil && info.IsDir() {
			return nil, refuse("no_file", "%s is a folder, not a file.", file)
		}
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, most+1))
	switch {
	case err != nil:
		return nil, internal(err, "%s could not be read to its end.", file)
	case int64(len(data)) > most:
		return nil, inFile(refuse("too_big", "The file is larger than %d MB; %s. Nothing was read.", most>>20, because), file)
	}
	return data, nil
}

func cannotOpen(file string, err error) *fault {
	switch {
	case errors.Is(err, os.ErrNotExist):
		return refuse("no_file", "There is no file %s.", file)
	case errors.Is(err, os.ErrPermission):
		return refuse("no_file", "The file %s may not be read by this user.", file)
	}
	return refuse("no_file", "The file %s cannot be opened.", file)
}

// table returns the rule table of a file, or the built-in one.
func (a *app) table(file string) (*decide.Table, error) {
	if file == "" {
		return decide.Standing(), nil
	}
	text, err := a.rules(file)
	if err != nil {
		return nil, err
	}
	t, err := decide.Parse(text)
	if err != nil {
		return nil, inFile(ruleFault(err), file)
	}
	return t, nil
}

// rules returns the text of a rule table, or of the built-in one.
func (a *app) rules(file string) (string, error) {
	if file == "" {
		return decide.StandingText(), nil
	}
	text, err := a.read(file, 1<<20, "a rule table has some thousand lines at most")
	return string(text), err
}

// ruleFault turns the problems of a rule table into a fault.
func ruleFault(err error) error {
	var problems decide.Problems
	if !errors.As(err, &problems) {
		return err
	}
	var out person.Problems
	for _, p := range problems {
		out = append(out, person.Problem{Code: p.Code, Sentence: p.Sentence, Line: p.Line})
	}
	return out
}

// day reads a date, or takes the clock's day where this machine is.
func (a *app) day(on string) (programme.Date, error) {
	if on == "" {
		return programme.DateOf(a.Clock.Now().In(time.Local)), nil
	}
	d, err := programme.ParseDate(on)
	if err != nil {
		return d, refuse("usage", "%s", programme.SentenceOf(err))
	}
	return d, nil
}
