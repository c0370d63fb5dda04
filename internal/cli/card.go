package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"firnhand/core/lesson"
	"firnhand/internal/card"
	"firnhand/internal/person"
	"firnhand/programme"
)

// cardCmd prints the lesson card.
type cardCmd struct {
	File  string `arg:"" help:"The person's file; - reads from standard input."`
	Out   string `short:"o" placeholder:"FILE.pdf" help:"Write the card as a PDF of one A5 page to this file."`
	Text  bool   `help:"Print it as text; this is what happens without -o and --json."`
	JSON  bool   `name:"json" help:"Print what it says as JSON."`
	On    string `placeholder:"DATE" help:"The day the card is for (YYYY-MM-DD) instead of today."`
	Rules string `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`
}

// Run decides, makes the card and writes it.
func (c *cardCmd) Run(a *app) error {
	d, err := a.decide(c.File, c.Rules, c.On)
	if err != nil {
		return err
	}
	content, err := a.content(d)
	if err != nil {
		return err
	}
	if c.Out != "" {
		var pdf bytes.Buffer
		if err := card.PDF(&pdf, content); err != nil {
			return cardFault(err)
		}
		if err := replace(c.Out, pdf.Bytes()); err != nil {
			return err
		}
	}
	switch {
	case c.JSON:
		err = a.printJSON(content)
	case c.Text || c.Out == "":
		err = card.Text(a.Out, content)
	default:
		_, err = fmt.Fprintln(a.Out, "Wrote", c.Out)
	}
	if err != nil {
		return cardFault(err)
	}
	if content.Hold != nil {
		return errHeld
	}
	return nil
}

// content makes the card of a decision from a file.
func (a *app) content(d *decided) (card.Content, error) {
	if d.person.Name == "" {
		return card.Content{}, refuse("missing", "A card needs the student's first name: write name: under person: in the file.")
	}
	now := a.Clock.Now()
	day := time.Date(d.on.Year, d.on.Month, d.on.Day, 0, 0, 0, 0, time.UTC)
	inputs, err := json.Marshal(d.view())
	if err != nil {
		return card.Content{}, internal(err, "The inputs of the card could not be written down.")
	}
	sum := sha256.Sum256(inputs)
	code := hex.EncodeToString(sum[:])
	l := card.Lesson{
		FirstName: d.person.Name, LessonCode: lessonCode(d), Day: day, Slot: d.person.Slot,
		Answer: d.answer, Findings: d.c.Input.Findings,
		Trace: card.Trace{CardID: code[8:20], MadeAt: now, DataAt: now, CoreVersion: d.answer.Version, InputCode: code[:4] + "-" + code[4:8]},
	}
	for _, c := range d.person.Contacts {
		l.Contacts = append(l.Contacts, card.Line{Label: c.About, Text: c.Text})
	}
	if len(l.Contacts) == 0 {
		l.Contacts = []card.Line{{Label: "Lead", Text: "________________"}, {Label: "Patrol", Text: "________________"}}
	}
	if items, err := programme.ProposedItems(d.table, d.answer, d.c.Input.Findings, d.person.Measured.Measures(), fittingOf(d.person)); err == nil {
		carryGear(&l, nil, items)
	}
	if s, err := lesson.StudentOf(d.answer); err == nil {
		day := lesson.Day{Minutes: usualLesson, Terrains: []string{"run_out", "beginner"}, People: s.People, Hard: hardSnow(d.c.Input.Findings)}
		if r, err := lesson.Make(lesson.Request{Student: s, Day: day}); err == nil {
			carryPlan(&l, r)
		}
	}
	content, err := card.FromAnswer(l)
	if err != nil {
		return card.Content{}, cardFault(err)
	}
	return content, nil
}

// usualLesson is how many minutes on snow a card plans for.
const usualLesson = 60

// carryPlan puts the minutes of a plan and its rest on a card.
func carryPlan(l *card.Lesson, r *lesson.Result) {
	if r == nil || r.None != nil {
		return
	}
	l.Minutes = card.Minutes(r)
	l.Rest = card.Value{Number: strconv.Itoa(r.RestMin), Unit: "min"}
}

// fittingOf takes the holes of the pair at hand that a file names; the two sides
// of a pair are alike.
func fittingOf(p *person.Person) programme.Fitting {
	var f programme.Fitting
	if p.Measured == nil {
		return f
	}
	if l, r := p.Measured.Holes.Left, p.Measured.Holes.Right; l != nil && r != nil && l.FirstMM == r.FirstMM && l.StepMM == r.StepMM && l.Count == r.Count {
		f.Holes = &programme.HoleRow{FirstCM: l.FirstMM / 10, StepCM: l.StepMM / 10, Count: l.Count}
	}
	return f
}

// lessonCode is the file's, or one made from the first letter and the day.
func lessonCode(d *decided) string {
	if d.person.LessonCode != "" {
		return d.person.LessonCode
	}
	first, _ := utf8.DecodeRuneInString(d.person.Name)
	return fmt.Sprintf("%s-%02d%02d", strings.ToUpper(string(first)), d.on.Month, d.on.Day)
}

// cardFault gives a refused card the one shape of a fault.
func cardFault(err error) error {
	var e *card.Error
	if errors.As(err, &e) {
		return refuse(e.Code, "%s", e.Sentence)
	}
	return err
}

// replace writes a whole file or nothing: into a new file beside it, then in
// its place.
func replace(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".firnhand-*")
	if err != nil {
		return cannotWrite(path, err)
	}
	defer os.Remove(f.Name()) // gone already when all went well
	_, err = f.Write(data)
	for _, step := range []func() error{f.Sync, f.Close, func() error { return os.Rename(f.Name(), path) }} {
		if next := step(); err == nil {
			err = next
		}
	}
	if err != nil {
		return cannotWrite(path, err)
	}
	return nil
}

func cannotWrite(path string, err error) error {
	f := refuse("no_file", "%s cannot be written. Nothing was written.", path)
	if errors.Is(err, os.ErrNotExist) {
		f.sentence = "The folder of " + path + " does not exist. Nothing was written."
	}
	f.cause = err
	return f
}
