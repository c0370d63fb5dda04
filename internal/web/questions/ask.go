package questions

import (
	"strings"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// Ask says how one finding is asked. The zero values take the words of the
// vocabulary.
type Ask struct {
	ID      string
	Label   string // the question; the vocabulary's label when empty
	Hint    string
	Why     string // what it decides
	NA      string // words for "na"; "Cannot be tested" when empty
	Unknown string // words for "unknown"; "Not tested" when empty
	Follows string // id of the question that opens this one
	When    string // value that opens it; "any" for every level but the last
	State   finding.State
	NoYes   bool // leave out "yes": a paper that only some may record
}

// Known is what is shown as answered, and what was answered before.
type Known struct {
	Value string // the present answer; chosen in the form
	Last  string // an older answer in words; only shown
}

// Look returns what is known of a key.
type Look func(k finding.Key) Known

// Item is one question ready to be shown: exactly one of Field, Matrix and
// Pair is set.
type Item struct {
	Field  *page.Field
	Matrix *Matrix
	Pair   *Pair
	Opens  []Item // questions that an answer here opens
	When   string // the value that opens them
}

// Matrix asks several sided findings with the same levels at once: a row for
// each level, left columns at the left, right columns at the right.
type Matrix struct {
	ID      string
	Legend  string
	Why     string
	Hint    string
	Left    []Column
	Right   []Column
	Rows    []Row
	Problem string
	Figure  string // name of a drawing above the columns
}

// HasLast tells whether any column has an older answer.
func (m *Matrix) HasLast() bool {
	for _, c := range append(append([]Column(nil), m.Left...), m.Right...) {
		if c.Last != "" {
			return true
		}
	}
	return false
}

// Column is one finding of one side.
type Column struct{ Name, Head, Last string }

// Row is one level with a control for each column.
type Row struct {
	Label       string
	Left, Right []Cell
}

// Cell is one radio.
type Cell struct {
	Name, Value, Says, ID string
	On                    bool
}

// Pair asks a sided number.
type Pair struct {
	ID          string
	Legend      string
	Why, Hint   string
	Left, Right *page.Field
}

// Name is the name of the form value of a key.
func Name(k finding.Key) string {
	side := "n"
	if k.Side != finding.NoSide {
		side = strings.ToLower(k.Side.String())
	}
	return "f." + k.ID + "." + side + "." + k.State.String()
}

// ToKey writes a key as the records do.
func ToKey(k finding.Key) programme.FindingKey {
	side := k.Side.Word()
	if side == "" {
		side = "none"
	}
	state := k.State.String()
	if d, ok := finding.Lookup(k.ID); ok && !d.Tiring {
		state = "both"
	}
	return programme.FindingKey{Finding: k.ID, Side: side, State: state}
}

// Keys are the keys that a question records.
func (a Ask) Keys() []finding.Key {
	d := a.def()
	if !d.Sided {
		return []finding.Key{{ID: a.ID, State: a.State}}
	}
	return []finding.Key{{ID: a.ID, Side: finding.Left, State: a.State}, {ID: a.ID, Side: finding.Right, State: a.State}}
}

func (a Ask) def() *finding.Def {
	d, ok := finding.Lookup(a.ID)
	if !ok {
		panic("questions: no finding " + a.ID)
	}
	return d
}

func (a Ask) label() string {
	if a.Label != "" {
		return a.Label
	}
	return a.def().Label
}

func (a Ask) na() string {
	if a.NA != "" {
		return a.NA
	}
	return "Cannot be tested"
}

func (a Ask) unknown() string {
	if a.Unknown != "" {
		return a.Unknown
	}
	return "Not tested"
}

// LevelLabel writes a level for people, with its number where it has one.
func LevelLabel(l finding.Level) string {
	label := strings.ToUpper(l.Label[:1]) + l.Label[1:]
	if len(l.ID) == 1 && l.ID[0] >= '0' && l.ID[0] <= '9' && !strings.HasPrefix(label, "I") && !strings.HasPrefix(label, "V") {
		return l.ID + ": " + l.Label
	}
	if len(l.ID) == 2 && l.ID[0] == 'W' {
		return label + " (" + l.ID + ")"
	}
	return label
}

// options lists the choices of a finding with levels.
func (a Ask) options(now string) []page.Option {
	d := a.def()
	var out []page.Option
	for _, l := range d.Levels {
		if a.NoYes && l.ID == "yes" {
			continue
		}
		out = append(out, page.Option{Value: l.ID, Label: LevelLabel(l)})
	}
	out = append(out, a.extras("")...)
	for i := range out {
		out[i].On = out[i].Value == now && now != ""
	}
	return out
}

// extras are the answers "na", where there is one, and "unknown".
func (a Ask) extras(now string) []page.Option {
	var out []page.Option
	if a.def().NA {
		out = append(out, page.Option{Value: "na", Label: a.na(), On: now == "na"})
	}
	return append(out, page.Option{Value: "unknown", Label: a.unknown(), On: now == "unknown"})
}

// field makes the question for one key.
func (a Ask) field(k finding.Key, known Known) *page.Field {
	d := a.def()
	f := &page.Field{Name: Name(k), Label: a.label(), Hint: a.Hint, Why: a.Why, Value: known.Value, Last: known.Last}
	switch d.Scale {
	case finding.Text:
		f.Kind = "text"
		if known.Value == "unknown" {
			f.Value = ""
		}
	case finding.Number:
		f.Kind, f.Unit = "number", d.Unit
		f.Extra = a.extras(known.Value)
		if known.Value == "unknown" || known.Value == "na" {
			f.Value = ""
		}
	default:
		f.Kind, f.Options = "radio", a.options(known.Value)
	}
	return f
}

// Items makes the questions, in order. Sided findings with the same levels
// that follow one another share a matrix.
func Items(asks []Ask, look Look) []Item {
	var out []Item
	at := map[string]int{} // question that may open others
	for i := 0; i < len(asks); {
		a := asks[i]
		d := a.def()
		var item Item
		switch {
		case !d.Sided:
			k := a.Keys()[0]
			item.Field = a.field(k, look(k))
			i++
		case d.Scale == finding.Number:
			item.Pair = a.pair(look)
			i++
		default:
			n := 1
			for n < 2 && i+n < len(asks) && sameLevels(a, asks[i+n]) {
				n++
			}
			item.Matrix = matrix(asks[i:i+n], look)
			i += n
		}
		if j, ok := at[a.Follows]; ok && a.Follows != "" {
			out[j].When = a.When
			out[j].Opens = append(out[j].Opens, item)
			continue
		}
		at[a.ID] = len(out)
		out = append(out, item)
	}
	return out
}

func sameLevels(a, b Ask) bool {
	x, y := a.def(), b.def()
	if !y.Sided || y.Scale == finding.Number || len(x.Levels) != len(y.Levels) || x.NA != y.NA || a.State != b.State || a.Follows != b.Follows {
		return false
	}
	for i := range x.Levels {
		if x.Levels[i] != y.Levels[i] {
			return false
		}
	}
	return true
}

func (a Ask) pair(look Look) *Pair {
	keys := a.Keys()
	p := &Pair{ID: a.ID, Legend: a.label(), Why: a.Why, Hint: a.Hint}
	p.Left, p.Right = a.field(keys[0], look(keys[0])), a.field(keys[1], look(keys[1]))
	p.Left.Label, p.Right.Label = "Left", "Right"
	p.Left.Why, p.Right.Why, p.Left.Hint, p.Right.Hint = "", "", "", ""
	return p
}

// matrix puts left columns from outside to inside and right columns from
// inside to outside, as the body stands when seen from behind.
func matrix(asks []Ask, look Look) *Matrix {
	m := &Matrix{ID: asks[0].ID, Why: asks[0].Why, Hint: asks[0].Hint, Legend: asks[0].label()}
	if len(asks) > 1 {
		var names []string
		for _, a := range asks {
			names = append(names, a.label())
		}
		m.Legend = joinAnd(names)
	}
	ordered := append([]Ask(nil), asks...)
	for _, a := range ordered {
		keys := a.Keys()
		head := ""
		if len(asks) > 1 {
			head = short(a)
		}
		m.Left = append(m.Left, Column{Name(keys[0]), head, bare(look(keys[0]).Last)})
		m.Right = append([]Column{{Name(keys[1]), head, bare(look(keys[1]).Last)}}, m.Right...)
	}
	for i, o := range asks[0].options("") {
		row := Row{Label: o.Label}
		for _, a := range ordered {
			keys := a.Keys()
			row.Left = append(row.Left, a.cell(keys[0], o, look, i == 0))
			row.Right = append([]Cell{a.cell(keys[1], o, look, i == 0)}, row.Right...)
		}
		m.Rows = append(m.Rows, row)
	}
	return m
}

// bare leaves out when an older answer is from, for a narrow column.
func bare(last string) string {
	if _, says, ok := strings.Cut(last, ": "); ok {
		return says
	}
	return last
}

func (a Ask) cell(k finding.Key, o page.Option, look Look, first bool) Cell {
	c := Cell{Name: Name(k), Value: o.Value, On: look(k).Value == o.Value,
		Says: strings.ToUpper(k.Side.Word()[:1]) + k.Side.Word()[1:] + ", " + strings.ToLower(a.label()) + ": " + o.Label}
	if first {
		c.ID = c.Name
	}
	return c
}

// shortNames are the heads of columns where several findings share a matrix.
var shortNames = map[string]string{
	"push_out": "out", "push_in": "in", "push_out_flat": "out", "push_in_flat": "in", "grip": "grip", "push_down": "push down",
	"foot_corrects": "square by hand", "boot_closes": "boot closes", "brace_holds_knee": "holds knee",
	"brace_always": "never without", "spastic_foot": "turns or claws",
}

func short(a Ask) string {
	if s := shortNames[a.ID]; s != "" {
		return s
	}
	return strings.ToLower(a.label())
}

func joinAnd(s []string) string {
	for i := 1; i < len(s); i++ {
		s[i] = strings.ToLower(s[i][:1]) + s[i][1:]
	}
	if len(s) == 1 {
		return s[0]
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

// One asks for a single value of one key, side by side with nothing.
func (a Ask) One(k finding.Key, value string) *page.Field {
	f := a.field(k, Known{Value: value})
	if k.Side != finding.NoSide {
		f.Label += ", " + k.Side.Word()
	}
	return f
}
