package stance

import (
	"slices"

	"firnhand/core/source"
)

// works names what an answer stands on, each once.
func works(ids []string) []string {
	var out []string
	for _, id := range ids {
		name := id
		if f, ok := source.Figure(id); ok {
			name = f.Quantity + " (" + string(f.Status) + ")"
		} else if w, ok := source.Reference(id); ok {
			name = w.Text
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}
