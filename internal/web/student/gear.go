package student

import (
	"fmt"
	"strings"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// gear says how the set-up sheet and the bindings stand: the numbers that two
// people signed, or what is still missing. A setting of a binding is not among
// them.
func gear(d page.Decided) []string {
	var out []string
	r := d.Record
	if s, ok := r.SetUp(); ok && s.Changed(d.Answer) == "" {
		out = append(out, signedNumbers(s)...)
	} else if s, ok := r.LatestSetUp(); ok {
		why := s.Changed(d.Answer)
		if why == "" {
			why = s.Why
		}
		out = append(out, "Set-up sheet: "+why)
	}
	if b, ok := r.Binding(); ok {
		out = append(out, "Bindings: "+b.Why)
	}
	return out
}

// signedNumbers writes one sentence for each thing with its sides: "Outrigger
// handle: left 62.5 cm (hole 8), right 61 cm (hole 8)".
func signedNumbers(s programme.SetUpState) []string {
	var order []string
	parts := map[string][]string{}
	for i, it := range s.Items {
		m := s.Measured[i]
		if it.Unit == "" || m.Value == nil {
			continue
		}
		text := finding.FormatNumber(*m.Value) + " " + it.Unit
		if it.Side != "none" {
			text = it.Side + " " + text
		}
		if m.Hole > 0 {
			text += fmt.Sprintf(" (hole %d)", m.Hole)
		}
		if parts[it.Label] == nil {
			order = append(order, it.Label)
		}
		parts[it.Label] = append(parts[it.Label], text)
	}
	var out []string
	for _, label := range order {
		out = append(out, label+", signed: "+strings.Join(parts[label], ", "))
	}
	return out
}
