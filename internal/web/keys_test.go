package web_test

import (
	"firnhand/core/finding"
	"firnhand/internal/web/questions"
	"firnhand/programme"
)

// keyName is the form value of one key of the vocabulary, with what it must
// offer.
type keyName struct {
	name   string
	values []string
}

// keyNames lists every value that a person is asked for.
func keyNames() []keyName {
	var out []keyName
	for _, d := range finding.All() {
		if programme.FromRecord(d.ID) {
			continue
		}
		for _, k := range d.Keys() {
			n := keyName{name: questions.Name(k)}
			switch d.Scale {
			case finding.Text:
				n.values = []string{"*"}
			case finding.Number:
				n.values = []string{"*", "unknown"}
			default:
				n.values = []string{"unknown"}
				for _, l := range d.Levels {
					n.values = append(n.values, l.ID)
				}
			}
			if d.NA {
				n.values = append(n.values, "na")
			}
			out = append(out, n)
		}
	}
	return out
}
