// Package cli is the command line, and the place where the adapters meet: the
// reader of person files, the card, the checks, the store, sign-in and the
// pages. It prints what the core decides in words that fit 80 columns, or as
// JSON, and turns every outcome into one of four exit codes.
package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"firnhand/internal/clock"
	"firnhand/internal/person"
	"firnhand/programme"
)

// The exit codes.
const (
	ExitAnswer   = 0 // there is an answer, and no hold in it
	ExitInternal = 1 // the program failed; the fault is ours
	ExitInput    = 2 // the command or its input was refused; nothing was written
	ExitHold     = 3 // a hold or refusal is in force; the answer was printed
)

// Env is what a command runs in.
type Env struct {
	Args    []string // without the program's name
	In      io.Reader
	Out     io.Writer
	Err     io.Writer
	Clock   programme.Clock
	Version string
	Context context.Context // ends a server; nil: a signal does
}

// Main runs the command in the process it is in and returns its exit code.
func Main(version string) int {
	return Run(Env{Args: os.Args[1:], In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Clock: clock.System{}, Version: version})
}

// commands is the grammar of the command line.
type commands struct {
	Decide   decideCmd   `cmd:"" help:"Decide from a person's file, and say why."`
	Card     cardCmd     `cmd:"" help:"Print the lesson card from a person's file."`
	Body     bodyCmd     `cmd:"" help:"Mass, lengths and joints of a body, and the worked sums behind them."`
	Stance   stanceCmd   `cmd:"" help:"Can this stance be held: loads on skis, outriggers or slider, margins, what would help."`
	Binding  bindingCmd  `cmd:"" help:"Ask a binding technician, and look at what comes back."`
	Fit      fitCmd      `cmd:"" help:"Propose settings of outriggers, slider, lifts and skis from a person's file."`
	Lift     liftCmd     `cmd:"" help:"Lifts: intervals, the reach to the load line, what to ask lift staff for."`
	Effort   effortCmd   `cmd:"" help:"What moving costs, what is kept up, and the rest that is owed."`
	Cold     coldCmd     `cmd:"" help:"Wind chill, freezing of skin, the stop and the timer."`
	Hill     hillCmd     `cmd:"" help:"The programme's hill in its records, and a student on it."`
	Slope    slopeCmd    `cmd:"" help:"Slides, stops, turns, the fan, speed along a run, today's snow, reins."`
	Ladder   ladderCmd   `cmd:"" help:"The ladder of skills, and what is open for a set-up and the passes so far."`
	Lesson   lessonCmd   `cmd:"" help:"Plan the minutes on snow: blocks, rests, limits, and what did not fit."`
	Progress progressCmd `cmd:"" help:"What help is due next: the counting rules, and beside them a model of the attempts."`
	Rules    rulesCmd    `cmd:"" help:"List, show and check the rules."`
	Settings settingsCmd `cmd:"" help:"List the programme's numbers and who signed them off."`
	Findings findingsCmd `cmd:"" help:"List what can be recorded about a person."`
	Tests    testsCmd    `cmd:"" help:"List the tests of the evaluation and how each is done."`
	Verify   verifyCmd   `cmd:"" help:"Check every published figure the program computes with."`
	Sources  sourcesCmd  `cmd:"" help:"List every figure with where it was read."`
	Phone    phoneCmd    `cmd:"" help:"The page for a phone on the hill: what it weighs, and outboxes saved as files."`
	Serve    serveCmd    `cmd:"" help:"Serve the pages on this machine."`
	Backup   backupCmd   `cmd:"" help:"Make encrypted backups, and check them."`
	Restore  restoreCmd  `cmd:"" help:"Take a backup back."`
	Staff    staffCmd    `cmd:"" help:"Staff on the programme's own machine: sign-ins, new codes."`
	Student  studentCmd  `cmd:"" help:"What is kept about students: copy, take in, forget, how long."`
	Doctor   doctorCmd   `cmd:"" help:"Look whether records, keys and backups are well."`
	Demo     demoCmd     `cmd:"" help:"An invented programme to look at."`
	Version  versionCmd  `cmd:"" help:"Print the version."`
}

// app is what every command is handed.
type app struct {
	Env
	json bool // the command was asked for JSON
}

// fault is an outcome that is not an answer.
type fault struct {
	exit     int
	code     string
	sentence string
	line     int
	file     string
	more     person.Problems
	cause    error
}

func (f *fault) Error() string { return f.sentence }

func (f *fault) Unwrap() error { return f.cause }

func refuse(code, format string, args ...any) *fault {
	return &fault{exit: ExitInput, code: code, sentence: fmt.Sprintf(format, args...)}
}

func internal(err error, format string, args ...any) *fault {
	return &fault{exit: ExitInternal, code: "internal", sentence: fmt.Sprintf(format, args...), cause: err}
}

// held is the outcome of an answer with a hold in it. Everything was printed.
var errHeld = &fault{exit: ExitHold}

// errFailed is the outcome of a check that fails. Everything was printed.
var errFailed = &fault{exit: ExitInternal}

// leave carries an exit code out of the parser, which asks for the process to
// end after it printed its help.
type leave int

// Run runs one command and returns its exit code.
func Run(e Env) (exit int) {
	a := &app{Env: e, json: slices.Contains(e.Args, "--json")}
	defer func() {
		if code, ok := recover().(leave); ok {
			exit = int(code)
		}
	}()
	var c commands
	parser, err := kong.New(&c, kong.Name("firnhand"), kong.Writers(e.Out, e.Err), kong.Exit(func(code int) { panic(leave(code)) }),
		kong.Description("Firnhand helps an adaptive ski instructor decide, fit and teach. It advises; it clears nobody.\n\n"+
			"Exit codes: 0 answer, 1 fault of the program, 2 command or input refused, 3 a hold is in force (the answer is printed)."),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: width}))
	if err != nil {
		return a.end(internal(err, "The command line could not be built."))
	}
	ctx, err := parser.Parse(joinNegatives(e.Args))
	if err != nil {
		return a.end(refuse("usage", "%s. \"firnhand --help\" lists the commands.", sentenceOf(err.Error())))
	}
	return a.end(ctx.Run(a))
}

// end prints what is left to say and returns the exit code.
func (a *app) end(err error) int {
	if err == nil {
		return ExitAnswer
	}
	f := faultOf(err)
	if f == errHeld || f == errFailed {
		return f.exit
	}
	if a.json {
		a.printJSON(f.view())
	} else {
		fmt.Fprintln(a.Err, f.text())
	}
	if f.cause != nil && f.exit == ExitInternal {
		fmt.Fprintln(a.Err, "cause:", f.cause)
	}
	return f.exit
}

// faultOf gives an error of another shape the one shape.
func faultOf(err error) *fault {
	var f *fault
	var problems person.Problems
	var refused *programme.Error
	switch {
	case errors.As(err, &f):
		return f
	case errors.As(err, &problems) && len(problems) > 0:
		return &fault{exit: ExitInput, code: problems[0].Code, sentence: problems[0].Sentence, line: problems[0].Line, more: problems}
	case errors.As(err, &refused):
		exit := ExitInput
		if refused.Code == programme.CodeInternal {
			exit = ExitInternal
		}
		return &fault{exit: exit, code: string(refused.Code), sentence: refused.Sentence, cause: refused.Cause}
	}
	return internal(err, "Something went wrong here.")
}

// faultView is a fault as JSON.
type faultView struct {
	Code     string          `json:"code"`
	Sentence string          `json:"sentence"`
	File     string          `json:"file,omitempty"`
	Line     int             `json:"line,omitempty"`
	Problems person.Problems `json:"problems,omitempty"` // all of them, where there are several
}

func (f *fault) view() faultView {
	v := faultView{Code: f.code, Sentence: f.sentence, File: f.file, Line: f.line}
	if len(f.more) > 1 {
		v.Problems = f.more
	}
	return v
}

// text writes one problem a line, unwrapped, so that a line is whole wherever
// it goes.
func (f *fault) text() string {
	if len(f.more) == 0 {
		return strings.TrimPrefix(f.file+": ", ": ") + f.sentence
	}
	var lines []string
	for _, p := range f.more {
		at := f.file
		if p.Line > 0 {
			at += fmt.Sprintf(", line %d", p.Line)
		}
		lines = append(lines, strings.TrimPrefix(at+": ", ": ")+p.Sentence)
	}
	return strings.Join(lines, "\n")
}

// printJSON prints one value. JSON has no NaN; a value with one is a fault of
// ours and is not printed.
func (a *app) printJSON(v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return internal(err, "The answer could not be written as JSON.")
	}
	_, err = a.Out.Write(append(b, '\n'))
	return err
}

// sentenceOf makes the parser's half sentences begin like sentences.
func sentenceOf(s string) string {
	s = strings.TrimSuffix(strings.TrimSpace(s), ".")
	if s == "" {
		return "The command was not understood"
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// versionCmd prints the version.
type versionCmd struct {
	JSON bool `name:"json" help:"As JSON."`
}

// Run prints the version.
func (c *versionCmd) Run(a *app) error {
	if c.JSON {
		return a.printJSON(map[string]string{"version": a.Version})
	}
	fmt.Fprintln(a.Out, "firnhand", a.Version)
	return nil
}
