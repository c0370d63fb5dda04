package questions

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
)

// Typed is what was sent for the questions of a form.
type Typed struct {
	Values   map[finding.Key]string // as it will be recorded; left open: absent
	raw      map[finding.Key][]string
	Problems page.Problems
}

// Read takes what was typed for the questions. A value that does not read is a
// problem at its field; the others stand.
func Read(v *page.Visit, asks []Ask) Typed {
	t := Typed{Values: map[finding.Key]string{}, raw: map[finding.Key][]string{}}
	_ = v.R.ParseForm() // a body that does not parse sends nothing
	for _, a := range asks {
		for _, k := range a.Keys() {
			var sent []string
			for _, s := range v.R.PostForm[Name(k)] {
				if s = strings.TrimSpace(s); s != "" {
					sent = append(sent, s)
				}
			}
			t.raw[k] = sent
			if len(sent) == 0 {
				continue
			}
			if len(sent) > 1 {
				t.Problems.Add(Name(k), a.sided(k)+": write a value or tick one box, not both.")
				continue
			}
			text, err := a.canonical(k, sent[0])
			if err != nil {
				t.Problems.Add(Name(k), err.Error())
				continue
			}
			t.Values[k] = text
		}
	}
	return t
}

// sided names a question with its side.
func (a Ask) sided(k finding.Key) string {
	if k.Side == finding.NoSide {
		return a.label()
	}
	return a.label() + ", " + k.Side.Word()
}

// canonical checks a value and writes it as it is recorded.
func (a Ask) canonical(k finding.Key, text string) (string, error) {
	d := a.def()
	if d.Scale == finding.Number && text != "na" && text != "unknown" {
		text = strings.Replace(text, ",", ".", 1)
	}
	val, err := finding.Parse(k.ID, k.Side, k.State, text)
	if err == nil {
		return finding.Format(d, val), nil
	}
	var fe *finding.Error
	if !errors.As(err, &fe) {
		return "", err
	}
	unit := ""
	if d.Unit != "" {
		unit = " " + d.Unit
	}
	switch fe.Code {
	case "not_a_number":
		return "", fmt.Errorf("%s: write digits, such as %s, between %s and %s%s.", a.sided(k), //nolint:staticcheck // shown to people
			example(d), finding.FormatNumber(d.Min), finding.FormatNumber(d.Max), unit)
	case "out_of_range":
		return "", fmt.Errorf("%s: %s is outside %s to %s%s.", a.sided(k), clip(text), //nolint:staticcheck // shown to people
			finding.FormatNumber(d.Min), finding.FormatNumber(d.Max), unit)
	}
	return "", errors.New(fe.Sentence)
}

func example(d *finding.Def) string {
	x := math.Min(12, d.Max)
	if x < d.Min {
		x = d.Min
	}
	return strconv.FormatFloat(math.Floor(x), 'f', -1, 64)
}

func clip(s string) string {
	if len([]rune(s)) > 20 {
		return string([]rune(s)[:20]) + "..."
	}
	return s
}

// Keep puts what was typed into the questions again, with the problems.
func (t Typed) Keep(items []Item) []Item {
	for i := range items {
		t.keep(&items[i])
		items[i].Opens = t.Keep(items[i].Opens)
	}
	return items
}

func (t Typed) keep(it *Item) {
	switch {
	case it.Field != nil:
		t.keepField(it.Field)
	case it.Pair != nil:
		t.keepField(it.Pair.Left)
		t.keepField(it.Pair.Right)
	case it.Matrix != nil:
		for i := range it.Matrix.Rows {
			for _, cells := range [][]Cell{it.Matrix.Rows[i].Left, it.Matrix.Rows[i].Right} {
				for j := range cells {
					if sent := t.sent(cells[j].Name); len(sent) > 0 {
						cells[j].On = sent[0] == cells[j].Value
					}
				}
			}
		}
	}
}

func (t Typed) sent(name string) []string {
	for k, sent := range t.raw {
		if Name(k) == name {
			return sent
		}
	}
	return nil
}

func (t Typed) keepField(f *page.Field) {
	f.Problem = t.Problems.At(f.Name)
	sent := t.sent(f.Name)
	if len(sent) == 0 {
		return
	}
	f.Value = ""
	for i := range f.Extra {
		f.Extra[i].On = false
	}
	for _, s := range sent {
		tick := false
		for i := range f.Extra {
			if f.Extra[i].Value == s {
				f.Extra[i].On, tick = true, true
			}
		}
		if !tick {
			f.Choose(s)
		}
	}
}
