package programme

import (
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
)

// AttemptColumns are the columns of a table of attempts. The first row names
// them, in any order; the first four are needed. Without terrain it is where the
// skill is taught, without way and tie the aids that the reader is given.
var AttemptColumns = []string{"day", "skill", "help_level", "outcome", "side", "terrain", "way", "tie", "lesson", "minute", "helper", "cue", "trouble", "poor"}

var neededColumns = AttemptColumns[:4]

// MaxAttemptFile is the size of the largest table of attempts, bytes.
const MaxAttemptFile = 8 << 20

// RowProblem is one thing that is wrong with a table.
type RowProblem struct {
	Line     int // 0 where it is the whole
	Code     string
	Sentence string
}

// Error returns the sentence.
func (p RowProblem) Error() string { return p.Sentence }

// ReadAttempts reads a table of one student's attempts in order of time. aids
// are those of rows that name none. The attempts come with the line each stands
// in. What cannot be read is listed, up to 20 problems, and then nothing of the
// table is used.
func ReadAttempts(data []byte, aids ladder.Aids) (attempts []progress.Attempt, lines []int, problems []RowProblem) {
	whole := func(code, sentence string) ([]progress.Attempt, []int, []RowProblem) {
		return nil, nil, []RowProblem{{0, code, sentence}}
	}
	switch {
	case len(data) > MaxAttemptFile:
		return whole("too_big", "The table is larger than 8 MB.")
	case !utf8.Valid(data):
		return whole("not_text", "The table is not plain text in UTF-8.")
	}
	in := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\uFEFF")))
	in.FieldsPerRecord, in.TrimLeadingSpace = -1, true
	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return whole("empty", "The table is empty: its first line names the columns "+strings.Join(neededColumns, ", ")+".")
	}
	at := map[string]int{}
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		if _, twice := at[name]; twice && slices.Contains(AttemptColumns, name) {
			return nil, nil, []RowProblem{{1, "column_twice", "The column " + name + " stands twice."}}
		}
		at[name] = i
	}
	for _, name := range neededColumns {
		if _, ok := at[name]; !ok {
			return nil, nil, []RowProblem{{1, "no_column", "The first line must name the column " + name + "."}}
		}
	}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		line, _ := in.FieldPos(0)
		if err != nil {
			return nil, nil, append(problems, RowProblem{line, "not_csv", "This line is not comma-separated values: a quotation mark is out of place."})
		}
		cell := func(name string) string {
			if i, ok := at[name]; ok && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		if len(row) == 1 && cell(header[0]) == "" {
			continue
		}
		a, err := attemptOfRow(cell, aids)
		if err == nil {
			err = ladderOf().Admit(a.Attempt)
		}
		if err != nil {
			if problems = append(problems, problemOf(line, err)); len(problems) == 20 {
				break
			}
			continue
		}
		attempts, lines = append(attempts, a), append(lines, line)
	}
	if len(problems) > 0 {
		return nil, nil, problems
	}
	if len(attempts) == 0 {
		return whole("empty", "The table holds no attempts.")
	}
	return attempts, lines, nil
}

// problemOf gives a refusal of core or of a cell the shape of a row's.
func problemOf(line int, err error) RowProblem {
	var l *ladder.Error
	var p *progress.Error
	switch {
	case errors.As(err, &l):
		return RowProblem{line, l.Code, l.Sentence}
	case errors.As(err, &p):
		return RowProblem{line, p.Code, p.Sentence}
	}
	return RowProblem{line, "invalid", SentenceOf(err)}
}

func attemptOfRow(cell func(string) string, aids ladder.Aids) (progress.Attempt, error) {
	day, err := ParseDate(cell("day"))
	if err != nil {
		return progress.Attempt{}, err
	}
	if day.IsZero() {
		return progress.Attempt{}, Refuse(CodeInvalid, "The day is missing.")
	}
	a := progress.Attempt{Day: day.number(), Lesson: cell("lesson"), Helper: cell("helper"), Cue: cell("cue"), Minute: progress.MinuteUnknown,
		Attempt: ladder.Attempt{Skill: strings.ToUpper(cell("skill")), Terrain: cell("terrain"), Aids: aids}}
	if s, ok := ladderOf().Skill(a.Skill); ok && a.Terrain == "" {
		a.Terrain = s.Place.ID
	}
	if way := cell("way"); way != "" {
		a.Aids = ladder.Aids{Way: way}
	}
	if tie := cell("tie"); tie != "" {
		a.Aids.Tie = tie
	}
	a.Aids = a.Aids.Clean()
	if a.Lesson == "" {
		a.Lesson = day.String()
	}
	switch side := cell("side"); side {
	case "left", "L":
		a.Side = finding.Left
	case "right", "R":
		a.Side = finding.Right
	case "", "none":
	default:
		return a, Refuse(CodeInvalid, "A side is left, right or none, not %q.", clip(side))
	}
	if a.Help, err = strconv.Atoi(cell("help_level")); err != nil {
		return a, Refuse(CodeInvalid, "The help level is a whole number from 7, full, to 0, independent; not %q.", clip(cell("help_level")))
	}
	if a.Outcome, err = progress.ParseOutcome(cell("outcome")); err != nil {
		return a, err
	}
	if m := cell("minute"); m != "" {
		v, err := strconv.ParseFloat(m, 64)
		if err != nil || !(v >= 0 && v <= progress.MaxMinute) {
			return a, Refuse(CodeInvalid, "The minute lies between 0 and %d, not %q.", progress.MaxMinute, clip(m))
		}
		a.Minute = v
	}
	for _, name := range strings.FieldsFunc(cell("trouble"), func(r rune) bool { return r == ' ' || r == ';' }) {
		t, err := progress.ParseTrouble(name)
		if err != nil {
			return a, err
		}
		a.Trouble |= t
	}
	switch poor := cell("poor"); poor {
	case "yes":
		a.Poor = true
	case "", "no":
	default:
		return a, Refuse(CodeInvalid, "Ice, slush, crowd or flat light is yes or no, not %q.", clip(poor))
	}
	return a, nil
}

// WriteAttempts writes attempts as such a table.
func WriteAttempts(w io.Writer, attempts []progress.Attempt) error {
	out := csv.NewWriter(w)
	if err := out.Write(AttemptColumns); err != nil {
		return err
	}
	for _, a := range attempts {
		if err := out.Write(AttemptRow(a)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// AttemptRow writes an attempt as a row of such a table.
func AttemptRow(a progress.Attempt) []string {
	side, minute, poor := a.Side.Word(), "", ""
	if a.Minute != progress.MinuteUnknown {
		minute = strconv.FormatFloat(a.Minute, 'f', -1, 64)
	}
	if a.Poor {
		poor = "yes"
	}
	return []string{dateOfNumber(a.Day).String(), a.Skill, strconv.Itoa(a.Help), a.Outcome.String(), side, a.Terrain, a.Aids.Way, a.Aids.Tie, Harmless(a.Lesson),
		minute, Harmless(a.Helper), Harmless(a.Cue), strings.Join(a.Trouble.Names(), " "), poor}
}

// Harmless keeps a spreadsheet from taking a cell for a formula (ASVS 5.0,
// 1.2.10).
func Harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\x00\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// DayText writes the day of an attempt.
func DayText(day int) string { return dateOfNumber(day).String() }

// DayNumber counts a day as attempts do.
func DayNumber(d Date) int { return d.number() }
