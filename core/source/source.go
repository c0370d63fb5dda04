// Package source holds every published or common-practice figure the program
// computes with, each once: its value, unit, spread, where it was read and how
// sure it is.
//
// There are three kinds of thing here. A [Work] is something that can be
// cited: a paper, a standard, a page, or one of the marks "common practice",
// "from memory", "proposed" and "derived here". A [Datum] is a single figure
// out of a work. A [Sheet] is a table, kept as one CSV file for each
// published source, or for one kind of figure gathered from several; what was
// wrong in print is recorded as an [Erratum] beside it.
//
// Code refers to a figure by its id, so the list of who uses what can be made
// from the code. Asking for an id that does not exist is a mistake in the
// program and panics; code that reads ids from people asks [Known] first.
package source

import (
	"embed"
	"slices"
	"sync"
)

// Status tells how sure a figure is.
type Status string

// The statuses, surest first.
const (
	Exact    Status = "exact"                      // true by definition
	Seen     Status = "published, seen"            // read in the work or in a copy or abstract of it
	Memory   Status = "from memory"                // published, but the text was not at hand
	Practice Status = "common practice, no source" // what the trade does
	Derived  Status = "derived here"               // computed from other figures of this list
	Proposed Status = "proposed, to be signed off" // a starting number somebody qualified must accept
)

// Statuses lists every status, surest first.
func Statuses() []Status {
	return []Status{Exact, Seen, Memory, Practice, Derived, Proposed}
}

// Work is something that can be cited.
type Work struct {
	Mark   string // how it is cited: "S31", "deLeva1996", "CP"
	Text   string // short bibliographic form
	Status Status // how sure a statement is that cites nothing else
	Note   string // how it was read, and what is doubtful about it; may be empty
}

// Datum is one figure.
type Datum struct {
	ID       string  // how code names it
	Quantity string  // what it is, in words
	Value    float64 // in Unit
	Low      float64 // lower limit in Unit; equal to Value where none is known
	High     float64 // upper limit in Unit; equal to Value where none is known
	SD       float64 // standard deviation or standard error in Unit; 0 where none is known
	Unit     string  // SI symbol or trade unit; "1" for a number without unit
	Ref      string  // mark of the work
	Place    string  // table, page or section of the work; may be empty
	Status   Status
	Alt      string // what another work gives instead; may be empty
	Note     string // may be empty
}

// Erratum is a figure that is wrong in print, or in a copy that circulates.
type Erratum struct {
	Where   string // name of the table or id of the figure it belongs to
	Row     string // which row and column, in words
	Printed string // what the work or the copy prints
	Used    string // what is used here
	Why     string
}

//go:embed tables/*.csv
var files embed.FS

// library is everything in the embedded files.
type library struct {
	works  []Work
	data   []Datum
	sheets []Sheet
	errata []Erratum
}

var loaded = sync.OnceValue(func() *library { return must(load(files)) })

func must(l *library, err error) *library {
	if err != nil {
		panic("source: " + err.Error())
	}
	return l
}

// Figure returns the figure of an id; ok is false where there is none.
func Figure(id string) (d Datum, ok bool) {
	data := loaded().data
	i := slices.IndexFunc(data, func(d Datum) bool { return d.ID == id })
	if i < 0 {
		return Datum{}, false
	}
	return data[i], true
}

// Value returns the value of a figure in its own unit. It panics where there
// is no such figure.
func Value(id string) float64 {
	d, ok := Figure(id)
	if !ok {
		panic("source: there is no figure " + id)
	}
	return d.Value
}

// All returns every figure, in the order of its id.
func All() []Datum { return slices.Clone(loaded().data) }

// Reference returns the work of a mark such as "S31" or "CP"; ok is false
// where there is none.
func Reference(mark string) (w Work, ok bool) {
	works := loaded().works
	i := slices.IndexFunc(works, func(w Work) bool { return w.Mark == mark })
	if i < 0 {
		return Work{}, false
	}
	return works[i], true
}

// References returns every work, in the order of the list.
func References() []Work { return slices.Clone(loaded().works) }

// Table returns a table by name. It panics where there is no such table.
func Table(name string) Sheet {
	sheets := loaded().sheets
	i := slices.IndexFunc(sheets, func(s Sheet) bool { return s.Name == name })
	if i < 0 {
		panic("source: there is no table " + name)
	}
	return sheets[i]
}

// Tables returns every table, in the order of its name.
func Tables() []Sheet { return slices.Clone(loaded().sheets) }

// Errata returns everything known to be wrong in print.
func Errata() []Erratum { return slices.Clone(loaded().errata) }

// Known tells whether an id names a figure, a table or a work, which is what
// a rule's basis or a comment may cite.
func Known(id string) bool {
	if _, ok := Figure(id); ok {
		return true
	}
	if _, ok := Reference(id); ok {
		return true
	}
	return slices.ContainsFunc(loaded().sheets, func(s Sheet) bool { return s.Name == id })
}
