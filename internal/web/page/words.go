package page

import (
	"fmt"
	"html/template"
	"strings"
	"time"

	"firnhand/core/finding"
	"firnhand/core/source"
	"firnhand/programme"
)

// holdWords say in a word why a gate rule holds somebody.
var holdWords = map[string]string{
	"": "by hand", "G1": "neck", "G2": "shunt", "G3": "release missing", "G4": "seizures", "G5": "open skin",
	"G6": "fragile bone", "G7": "hip at risk", "G8": "heart", "G9": "emergency plan missing", "G9S": "emergency sign",
	"G10S": "blood sugar", "G11": "heart review", "G11S": "muscle overworked", "G12S": "head strike",
	"G13": "new evaluation needed", "G14": "breathing device or no helmet", "G16": "waiver", "G17": "evaluation too old",
	"G18": "new sign",
}

// HoldWord says in a word why a gate rule holds somebody; a rule without a
// word of its own is named.
func HoldWord(rule string) string {
	if w := holdWords[rule]; w != "" {
		return w
	}
	return "rule " + rule
}

// Day writes a civil day as "Tue 14 Jan 2027".
func Day(d programme.Date) string {
	if d.IsZero() {
		return ""
	}
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Format("Mon 2 Jan 2006")
}

// Basis is a mark of a rule or number with what it stands for.
type Basis struct{ Mark, Text string }

// Bases explains the marks of a rule.
func Bases(marks []string) []Basis {
	out := make([]Basis, len(marks))
	for i, m := range marks {
		out[i] = Basis{m, m}
		switch w, ok := source.Reference(m); {
		case m == "P":
			out[i].Text = "proposed, not signed off yet"
		case m == "CP":
			out[i].Text = "common practice, no source"
		case m == "M":
			out[i].Text = "from memory, the text was not at hand"
		case ok:
			out[i].Text = w.Text
		}
	}
	return out
}

// upper makes the first letter a capital.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// lower makes the first letter small.
func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// funcs are the functions of every template.
func (k *Kit) funcs() template.FuncMap {
	return template.FuncMap{
		"asset":          k.asset,
		"studentPages":   studentPagesFor,
		"programmePages": programmePagesFor,
		"styles":         func() []string { return k.styles },
		"day":            Day,
		"when":           func(t time.Time) string { return t.In(k.Zone).Format("Mon 2 Jan 2006, 15:04") },
		"upper":          upper,
		"num":            finding.FormatNumber,
		"bases":          Bases,
		"more":           func(n, shown int) int { return n - shown },
		"lastOf":         func(m interface{ HasLast() bool }) bool { return m.HasLast() },
		"may":            func(a programme.Actor, act string) bool { return a.May(programme.Action(act)) },
		"join":           strings.Join,
		"firstID": func(i int, name string) string {
			if i == 0 {
				return name
			}
			return ""
		},
		"lowerLabel": func(label, side string) string {
			if side == "" {
				return label
			}
			return lower(label)
		},
		"holdWord": HoldWord,
		"dict": func(pairs ...any) (map[string]any, error) {
			if len(pairs)%2 != 0 {
				return nil, fmt.Errorf("dict wants pairs")
			}
			m := map[string]any{}
			for i := 0; i < len(pairs); i += 2 {
				m[pairs[i].(string)] = pairs[i+1]
			}
			return m, nil
		},
	}
}
