package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/internal/person"
)

// Limits of a file of passes.
const (
	maxPassBytes = 1 << 20
	maxPasses    = 5000
)

// passColumns are the columns of a file of passes; the first two are asked for.
var passColumns = []string{"skill", "help_level", "side", "terrain", "way", "tie"}

// passRow is one row with the line it stands on.
type passRow struct {
	ladder.Pass
	line int
}

// passRows reads passes from comma-separated values: skill, help_level, and
// where they are not plain side, terrain, way and tie. Without a terrain the
// pass was seen where the skill is taught; without way and tie with the aids
// of today. Every problem of the file is told.
func passRows(data []byte, today ladder.Aids) ([]passRow, error) {
	if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
		return nil, refuse("not_text", "The passes are not plain text in UTF-8.")
	}
	in := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))
	in.TrimLeadingSpace, in.FieldsPerRecord, in.Comment = true, -1, '#'
	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return nil, refuse("empty", "The file of passes is empty: the first line names the columns skill and help_level, and if need be side, terrain, way, tie.")
	} else if err != nil {
		return nil, notCSV(err)
	}
	at, err := passHeader(header)
	if err != nil {
		return nil, err
	}
	var rows []passRow
	var problems person.Problems
	for {
		record, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, notCSV(err)
		}
		line, _ := in.FieldPos(0)
		if len(rows) == maxPasses {
			return nil, refuse("too_many", "The file has more than %d passes.", maxPasses)
		}
		p, bad := passOf(record, at, today)
		if bad == nil {
			_, bad = ladder.Standing().AdmitPass(p)
		}
		var e *ladder.Error
		if errors.As(bad, &e) && len(problems) < 20 {
			problems = append(problems, person.Problem{Code: e.Code, Sentence: e.Sentence, Line: line})
		}
		rows = append(rows, passRow{p, line})
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return rows, nil
}

func notCSV(err error) error {
	line := 0
	var p *csv.ParseError
	if errors.As(err, &p) {
		line = p.Line
	}
	return person.Problems{{Code: "not_csv", Sentence: "This line is not comma-separated values: a quotation mark is out of place.", Line: line}}
}

// passHeader finds the columns.
func passHeader(header []string) (map[string]int, error) {
	at := map[string]int{}
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		if !slices.Contains(passColumns, name) {
			continue
		}
		if _, twice := at[name]; twice {
			return nil, refuse("column_twice", "There is more than one column %s.", name)
		}
		at[name] = i
	}
	for _, name := range passColumns[:2] {
		if _, ok := at[name]; !ok {
			return nil, refuse("no_column", "The first line must name the column %s; the columns are %s.", name, strings.Join(passColumns, ", "))
		}
	}
	return at, nil
}

// passOf reads one row.
func passOf(record []string, at map[string]int, today ladder.Aids) (ladder.Pass, error) {
	cell := func(name string) string {
		if i, ok := at[name]; ok && i < len(record) {
			return strings.TrimSpace(record[i])
		}
		return ""
	}
	p := ladder.Pass{Skill: strings.ToUpper(cell("skill")), Terrain: cell("terrain"), Aids: today}
	if s, ok := ladder.Standing().Skill(p.Skill); ok && p.Terrain == "" {
		p.Terrain = s.Place.ID
	} else if p.Terrain == "" {
		p.Terrain = ladder.Standing().Terrains()[0].ID
	}
	switch side := strings.ToLower(cell("side")); side {
	case "":
	case "l", "left":
		p.Side = finding.Left
	case "r", "right":
		p.Side = finding.Right
	default:
		return p, &ladder.Error{Code: "unknown_side", Sentence: "The side is left or right, the student's, not " + strconv.Quote(clipped(side)) + "."}
	}
	help, err := strconv.Atoi(cell("help_level"))
	if err != nil {
		return p, &ladder.Error{Code: "not_a_number", Sentence: "The help level is a whole number from 7 to 0, not " + strconv.Quote(clipped(cell("help_level"))) + "."}
	}
	p.Help = help
	if way := cell("way"); way != "" {
		p.Aids = ladder.Aids{Way: way, Tie: cell("tie")}
	} else if tie := cell("tie"); tie != "" {
		p.Aids.Tie = tie
	}
	return p, nil
}

// clipped shortens what goes into a sentence.
func clipped(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// passes reads a file of passes; none where no file is named.
func (a *app) passes(file string, today ladder.Aids) ([]ladder.Pass, error) {
	if file == "" {
		return nil, nil
	}
	data, err := a.read(file, maxPassBytes, "the passes of a student are a few lines")
	if err != nil {
		return nil, err
	}
	rows, err := passRows(data, today)
	if err != nil {
		return nil, inFile(err, file)
	}
	out := make([]ladder.Pass, len(rows))
	for i, r := range rows {
		out[i] = r.Pass
	}
	return out, nil
}
