package person

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// The reference page must name every other spelling and every further word
// that the reader takes, so that nobody has to read the code to know them.
func TestReferencePageNamesEverySpelling(t *testing.T) {
	b, err := os.ReadFile("../../docs/reference/person-file.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(b)
	for _, row := range spellingRows() {
		if !strings.Contains(page, row) {
			t.Errorf("the page lacks the line\n%s", row)
		}
	}
	for id := range obviousNormal {
		if !strings.Contains(page, "`"+id+"`") {
			t.Errorf("the page does not say that %s counts as normal under the policy \"normal\"", id)
		}
	}
}

// spellingRows writes the rows of the page's tables.
func spellingRows() []string {
	var rows []string
	for _, key := range slices.Sorted(maps.Keys(aliases)) {
		a := aliases[key]
		var how []string
		if a.years {
			how = append(how, "in years")
		}
		if a.flip {
			how = append(how, "yes means no")
		}
		how = append(how, wordList(a.values)...)
		rows = append(rows, "| `"+key+"` | `"+a.to+"` | "+strings.Join(how, ", ")+" |")
	}
	for _, id := range slices.Sorted(maps.Keys(valueWords)) {
		rows = append(rows, "| `"+id+"` | "+strings.Join(wordList(valueWords[id]), ", ")+" |")
	}
	for _, key := range slices.Sorted(maps.Keys(remarks)) {
		rows = append(rows, "| `"+key+"` | "+remarks[key]+" |")
	}
	return rows
}

func wordList(words map[string]string) []string {
	by := map[string][]string{}
	for _, w := range slices.Sorted(maps.Keys(words)) {
		by[words[w]] = append(by[words[w]], w)
	}
	var out []string
	for _, to := range slices.Sorted(maps.Keys(by)) {
		out = append(out, strings.Join(by[to], ", ")+" = "+to)
	}
	return out
}

// Every other spelling must lead to a finding and a value that the vocabulary
// has, and may not hide a finding of that name.
func TestSpellingsLeadSomewhere(t *testing.T) {
	check := func(id, word string) {
		t.Helper()
		d, ok := finding.Lookup(id)
		if !ok {
			t.Errorf("there is no finding %s", id)
			return
		}
		if _, err := finding.Parse(id, d.Keys()[0].Side, finding.Fresh, word); err != nil {
			t.Errorf("%s: %v", id, err)
		}
	}
	for key, a := range aliases {
		if _, hidden := finding.Lookup(key); hidden {
			t.Errorf("%s is a finding of its own", key)
		}
		check(a.to, "unknown")
		for _, to := range a.values {
			check(a.to, to)
		}
	}
	for id, words := range valueWords {
		for word, to := range words {
			check(id, to)
			d, _ := finding.Lookup(id)
			for _, l := range d.Levels {
				if strings.EqualFold(l.ID, word) {
					t.Errorf("%s: %s is a level already", id, word)
				}
			}
		}
	}
	for id := range obviousNormal {
		check(id, obviousNormal[id])
		if d, _ := finding.Lookup(id); !d.Measured() {
			t.Errorf("%s has a normal value of its own", id)
		}
	}
	for key := range remarks {
		if known(key) {
			t.Errorf("%s is a finding, not a remark", key)
		}
	}
}
