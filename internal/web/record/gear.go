package record

import (
	"fmt"
	"strings"

	"firnhand/core/finding"
	"firnhand/programme"
)

// gearSays says what a fact of set-up or bindings says. What a technician set
// stands on the binding's own page and nowhere else.
func gearSays(r programme.Record, e programme.Entry) string {
	switch e.Kind {
	case programme.KindSetUpProposed:
		if s, ok := r.SetUpByID(e.First); ok {
			return fmt.Sprintf("Version %d, %d lines", s.Version, len(s.Items))
		}
	case programme.KindSetUpMeasured:
		var parts []string
		for _, s := range r.SetUps {
			for i, m := range s.Measured {
				if m.Done && m.Fact == e.Fact {
					parts = append(parts, measuredWords(s.Items[i], m))
				}
			}
		}
		return strings.Join(parts, "; ")
	case programme.KindSetUpSigned:
		for _, s := range r.SetUps {
			for _, sg := range s.Signatures {
				if sg.Fact == e.Fact {
					return fmt.Sprintf("Version %d", s.Version)
				}
			}
		}
		return "Does not count: something was measured or changed since, or the sheet was replaced"
	case programme.KindMeasured:
		var parts []string
		for _, k := range programme.MeasureKinds() {
			for _, side := range []string{"none", "left", "right"} {
				if m, ok := r.Measures[programme.MeasureKey{Measure: k.Key, Side: side}]; ok && m.Fact == e.Fact {
					label := k.Label
					if side != "none" {
						label += ", " + side
					}
					parts = append(parts, label+": "+k.Says(m.Value))
				}
			}
		}
		if len(parts) == 0 {
			return "Nothing of it stands any more"
		}
		return strings.Join(parts, "; ")
	case programme.KindGearChanged:
		for _, c := range r.GearChanges {
			if c.Fact == e.Fact {
				return strings.TrimSuffix(c.Says(), ".")
			}
		}
	case programme.KindBindingRequested:
		if b, ok := r.BindingByID(e.First); ok {
			return fmt.Sprintf("%d reasons why the usual table may not apply", len(b.Sheet.Reasons))
		}
	case programme.KindBindingRecorded:
		for _, b := range r.Bindings {
			if b.Record != nil && b.Record.Fact == e.Fact {
				return "By " + b.Record.Technician + ": " + string(b.Record.Verdict.Word) + ", valid until " + b.Record.ValidUntil.String()
			}
		}
	}
	return ""
}

func measuredWords(it programme.SetUpItem, m programme.MeasuredItem) string {
	s := it.Label
	if it.Side != "none" {
		s += ", " + it.Side
	}
	if m.Value != nil {
		s += " " + finding.FormatNumber(*m.Value) + " " + it.Unit
	} else {
		s += ": " + m.Words
	}
	if m.Hole > 0 {
		s += fmt.Sprintf(", hole %d", m.Hole)
	}
	return s
}

// mayRetractGear tells who may take such a fact out.
func mayRetractGear(a programme.Actor, r programme.Record, e programme.Entry) bool {
	switch e.Kind {
	case programme.KindSetUpMeasured, programme.KindSetUpSigned, programme.KindGearChanged, programme.KindMeasured:
		return a.May(programme.WriteSetUp)
	case programme.KindBindingRequested:
		b, ok := r.BindingByID(e.First)
		return ok && b.Record == nil && a.May(programme.RequestBinding)
	case programme.KindBindingRecorded:
		return a.May(programme.RecordBinding)
	}
	return false
}
