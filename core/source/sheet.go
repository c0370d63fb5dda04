package source

import (
	"slices"
	"strconv"
	"strings"
)

// Sheet is a published table: a header and rows of text, with the columns
// that hold numbers checked when the table is loaded.
type Sheet struct {
	Name   string
	Title  string
	Ref    string // mark of the work; empty where each row has its own
	Place  string // table or page of the work; may be empty
	Status Status // of every row that does not say otherwise
	Note   string // may be empty

	header  []string
	numbers []string // names of the columns that hold numbers or nothing
	rows    [][]string
}

// Columns returns the names of the columns.
func (s Sheet) Columns() []string { return slices.Clone(s.header) }

// Rows returns the rows in the order of print.
func (s Sheet) Rows() []Row {
	rows := make([]Row, len(s.rows))
	for i := range s.rows {
		rows[i] = Row{s, s.rows[i]}
	}
	return rows
}

// Where returns the part of the table whose column holds exactly this text.
func (s Sheet) Where(column, text string) Sheet {
	i := s.column(column)
	part := s
	part.rows = nil
	for _, r := range s.rows {
		if r[i] == text {
			part.rows = append(part.rows, r)
		}
	}
	return part
}

// Only returns the row of a table that has just one; ok is false otherwise.
func (s Sheet) Only() (r Row, ok bool) {
	if len(s.rows) != 1 {
		return Row{}, false
	}
	return Row{s, s.rows[0]}, true
}

func (s Sheet) column(name string) int {
	i := slices.Index(s.header, name)
	if i < 0 {
		panic("source: table " + s.Name + " has no column " + name)
	}
	return i
}

// Row is one row of a table.
type Row struct {
	sheet Sheet
	cells []string
}

// Text returns a cell as it stands. It panics where there is no such column.
func (r Row) Text(column string) string { return r.cells[r.sheet.column(column)] }

// Number returns a cell as a number in the unit its column names; ok is false
// where the cell is blank. It panics where the column holds no numbers.
func (r Row) Number(column string) (v float64, ok bool) {
	if !slices.Contains(r.sheet.numbers, column) {
		panic("source: column " + column + " of table " + r.sheet.Name + " does not hold numbers")
	}
	cell := r.Text(column)
	if cell == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(cell, 64)
	return v, err == nil // loading the table has checked it
}

// Ref returns the mark of the work this row comes from.
func (r Row) Ref() string { return r.own("ref", r.sheet.Ref) }

// Status returns how sure this row is.
func (r Row) Status() Status { return Status(r.own("status", string(r.sheet.Status))) }

func (r Row) own(column, otherwise string) string {
	if i := slices.Index(r.sheet.header, column); i >= 0 && r.cells[i] != "" {
		return r.cells[i]
	}
	return otherwise
}

// Names returns the distinct texts of a column in the order of print.
func (s Sheet) Names(column string) []string {
	i := s.column(column)
	var names []string
	for _, r := range s.rows {
		if !slices.Contains(names, r[i]) {
			names = append(names, r[i])
		}
	}
	return names
}

// String names the row for messages: its cells, joined.
func (r Row) String() string { return strings.Join(r.cells, ", ") }
