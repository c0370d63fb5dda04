package page

import (
	"strings"
)

// Field is one question of a form, as it is shown.
type Field struct {
	Kind    string // "text", "secret", "area", "number", "date", "radio", "tick"
	Name    string // of the form value, and the id of its first control
	Label   string
	Hint    string
	Why     string // the reason it is asked
	Unit    string // outside the box, and in the label
	Value   string // what was typed or chosen
	Options []Option
	Extra   []Option // number: ticks below the box ("not tested")
	Problem string
	Auto    string // autocomplete
	Mode    string // inputmode of a number; "decimal" when empty
	Short   bool   // a narrow box
	Last    string // what was known before, in words
}

// Option is one choice.
type Option struct {
	Value, Label, Hint string
	On                 bool
}

// Problem is one thing to mend, with the field it belongs to.
type Problem struct {
	Field    string // id to go to; "" for the whole form
	Sentence string
}

// Problems are what is wrong with a form.
type Problems []Problem

// Add notes a problem.
func (p *Problems) Add(field, sentence string) { *p = append(*p, Problem{field, sentence}) }

// At returns the sentence that belongs to a field.
func (p Problems) At(field string) string {
	for _, one := range p {
		if one.Field == field {
			return one.Sentence
		}
	}
	return ""
}

// Form is a list of fields in order.
type Form []*Field

// Fill puts in what was typed and the problems at their fields.
func (f Form) Fill(v *Visit, problems Problems) Form {
	for _, one := range f {
		one.Problem = problems.At(one.Name)
		if v == nil {
			continue
		}
		one.Value = strings.TrimSpace(v.R.PostFormValue(one.Name))
		one.Choose(one.Value)
	}
	return f
}

// Choose marks the option with a value.
func (f *Field) Choose(value string) {
	f.Value = value
	for i := range f.Options {
		f.Options[i].On = f.Options[i].Value == value && value != ""
	}
}

// Get returns the field with a name; it panics when there is none.
func (f Form) Get(name string) *Field {
	for _, one := range f {
		if one.Name == name {
			return one
		}
	}
	panic("page: no field " + name)
}

// Typed returns what was typed into a form value, trimmed.
func (v *Visit) Typed(name string) string { return strings.TrimSpace(v.R.PostFormValue(name)) }

// Ticked tells whether a box was ticked.
func (v *Visit) Ticked(name string) bool { return v.R.PostFormValue(name) != "" }
