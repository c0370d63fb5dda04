package questions

import (
	"slices"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// Save records what was typed. What stands in the record already is left
// alone, as same tells. form is the id that the page put into the form: it
// makes the ids of the facts, so that the same form sent twice records once.
// It returns how many values were recorded.
func Save(v *page.Visit, r programme.Record, form string, values map[finding.Key]string, how string, same func(programme.Seen) bool) (int, error) {
	if programme.ID(form).Check() != nil {
		form = string(v.NewID())
	}
	evaluation := programme.ID("")
	if e, open := r.OpenEvaluation(); open {
		evaluation = e.ID
	}
	keys := make([]finding.Key, 0, len(values))
	for k := range values {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b finding.Key) int {
		if finding.Less(a, b) {
			return -1
		}
		return 1
	})
	var fs []programme.NewFinding
	now := v.Kit.Clock.Now().In(v.Kit.Zone) // one moment for all of them
	for _, k := range keys {
		key, value := ToKey(k), values[k]
		seen, ok := r.Current(k.ID, key.Side, k.State.String())
		if ok && seen.Value == value && same(seen) {
			continue
		}
		fs = append(fs, programme.NewFinding{
			Made:    programme.Made{ID: page.DerivedID(form, Name(k), value, string(seen.Fact)), At: now},
			Finding: programme.Finding{FindingKey: key, Value: value, How: how, Evaluation: evaluation},
		})
	}
	if len(fs) == 0 {
		return 0, nil
	}
	_, err := v.Kit.Cases.RecordFindings(v.R.Context(), v.Actor, r.Student, fs)
	return len(fs), err
}

// InEvaluation tells whether a value was recorded in an evaluation.
func InEvaluation(id programme.ID) func(programme.Seen) bool {
	return func(s programme.Seen) bool { return s.Evaluation == id }
}

// MadeOn tells whether a value was recorded on a day.
func MadeOn(day programme.Date) func(programme.Seen) bool {
	return func(s programme.Seen) bool { return programme.DateOf(s.MadeAt) == day }
}
