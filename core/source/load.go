package source

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
)

// The files that list the others.
const (
	worksFile  = "works"
	dataFile   = "figures"
	sheetsFile = "tables"
	errataFile = "errata"
)

// load reads and checks every file.
func load(fsys fs.FS) (*library, error) {
	var l library
	for _, step := range []func(*library, fs.FS) error{readWorks, readData, readSheets, readErrata} {
		if err := step(&l, fsys); err != nil {
			return nil, err
		}
	}
	return &l, nil
}

func readWorks(l *library, fsys fs.FS) error {
	s, err := read(fsys, worksFile, nil)
	if err != nil {
		return err
	}
	for _, r := range s.Rows() {
		w := Work{r.Text("mark"), r.Text("text"), Status(r.Text("status")), r.Text("note")}
		if w.Text == "" || !slices.Contains(Statuses(), w.Status) {
			return errors.New(worksFile + ": work " + w.Mark + " lacks a text or a status")
		}
		if slices.ContainsFunc(l.works, func(o Work) bool { return o.Mark == w.Mark }) {
			return errors.New(worksFile + ": mark " + w.Mark + " twice")
		}
		l.works = append(l.works, w)
	}
	return nil
}

func readData(l *library, fsys fs.FS) error {
	s, err := read(fsys, dataFile, []string{"value", "low", "high", "sd"})
	if err != nil {
		return err
	}
	for _, r := range s.Rows() {
		d := Datum{
			ID: r.Text("id"), Quantity: r.Text("quantity"), Unit: r.Text("unit"),
			Ref: r.Text("ref"), Place: r.Text("place"), Status: Status(r.Text("status")),
			Alt: r.Text("alt"), Note: r.Text("note"),
		}
		var has bool
		if d.Value, has = r.Number("value"); !has {
			return errors.New(dataFile + ": figure " + d.ID + " has no value")
		}
		if d.Low, has = r.Number("low"); !has {
			d.Low = d.Value
		}
		if d.High, has = r.Number("high"); !has {
			d.High = d.Value
		}
		d.SD, _ = r.Number("sd")
		if err := l.check(d); err != nil {
			return err
		}
		l.data = append(l.data, d)
	}
	slices.SortFunc(l.data, func(a, b Datum) int { return strings.Compare(a.ID, b.ID) })
	return nil
}

func (l *library) check(d Datum) error {
	switch {
	case d.ID == "" || d.Quantity == "" || d.Unit == "":
		return errors.New(dataFile + ": figure " + d.ID + " lacks an id, a quantity or a unit")
	case slices.ContainsFunc(l.data, func(o Datum) bool { return o.ID == d.ID }):
		return errors.New(dataFile + ": figure " + d.ID + " twice")
	case d.Low > d.Value || d.Value > d.High || d.SD < 0:
		return errors.New(dataFile + ": figure " + d.ID + " lies outside its own limits")
	}
	return l.cites(dataFile+": figure "+d.ID, d.Ref, d.Status)
}

// cites checks that a mark and a status exist.
func (l *library) cites(what, mark string, status Status) error {
	if !slices.ContainsFunc(l.works, func(w Work) bool { return w.Mark == mark }) {
		return errors.New(what + " cites the unknown work " + strconv.Quote(mark))
	}
	if !slices.Contains(Statuses(), status) {
		return errors.New(what + " has the unknown status " + strconv.Quote(string(status)))
	}
	return nil
}

func readSheets(l *library, fsys fs.FS) error {
	list, err := read(fsys, sheetsFile, nil)
	if err != nil {
		return err
	}
	for _, r := range list.Rows() {
		s, err := read(fsys, r.Text("name"), strings.Fields(r.Text("numbers")))
		if err != nil {
			return err
		}
		s.Title, s.Ref, s.Place = r.Text("title"), r.Text("ref"), r.Text("place")
		s.Status, s.Note = Status(r.Text("status")), r.Text("note")
		for i, row := range s.Rows() {
			what := s.Name + ": row " + strconv.Itoa(i+1)
			if err := l.cites(what, row.Ref(), row.Status()); err != nil {
				return err
			}
		}
		l.sheets = append(l.sheets, s)
	}
	slices.SortFunc(l.sheets, func(a, b Sheet) int { return strings.Compare(a.Name, b.Name) })
	return nil
}

func readErrata(l *library, fsys fs.FS) error {
	s, err := read(fsys, errataFile, nil)
	if err != nil {
		return err
	}
	for _, r := range s.Rows() {
		e := Erratum{r.Text("where"), r.Text("row"), r.Text("printed"), r.Text("used"), r.Text("why")}
		known := slices.ContainsFunc(l.sheets, func(s Sheet) bool { return s.Name == e.Where }) ||
			slices.ContainsFunc(l.data, func(d Datum) bool { return d.ID == e.Where })
		if !known {
			return errors.New(errataFile + ": there is no figure or table " + e.Where)
		}
		l.errata = append(l.errata, e)
	}
	return nil
}

// read reads one CSV file and checks the columns that hold numbers.
func read(fsys fs.FS, name string, numbers []string) (Sheet, error) {
	file, err := fs.ReadFile(fsys, "tables/"+name+".csv")
	if err != nil {
		return Sheet{}, errors.New("there is no table file " + name)
	}
	records, err := csv.NewReader(strings.NewReader(string(file))).ReadAll()
	if err != nil {
		return Sheet{}, errors.New(name + ": " + err.Error())
	}
	if len(records) < 2 { // a header and one row
		return Sheet{}, errors.New(name + " has no rows")
	}
	s := Sheet{Name: name, header: records[0], numbers: numbers, rows: records[1:]}
	for _, column := range numbers {
		i := slices.Index(s.header, column)
		if i < 0 {
			return Sheet{}, errors.New(name + " has no column " + column)
		}
		for n, r := range s.rows {
			v, err := strconv.ParseFloat(r[i], 64)
			if r[i] != "" && (err != nil || math.IsNaN(v) || math.IsInf(v, 0)) {
				return Sheet{}, errors.New(name + ": row " + strconv.Itoa(n+1) + " has no number in " + column)
			}
		}
	}
	return s, nil
}
