package person

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
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
