package evaluation

import (
	"slices"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

// asked are words for findings that read better as a question here.
var asked = map[string]q.Ask{
	"load_test":         {Label: "Did the legs hold for 2 minutes?"},
	"load_pain":         {Label: "Did it hurt?"},
	"steps_x10":         {Label: "Ten steps alone?"},
	"tips_wander":       {Hint: "Only seen on snow; leave it for later if this is indoors."},
	"can_steer":         {Hint: "Only seen on snow."},
	"can_slow":          {Hint: "Only seen on snow."},
	"sitting_painless":  {Label: "Does the student sit without pain?"},
	"head_holds_helmet": {Label: "Does the head carry the helmet for 10 minutes?"},
	"stop_delay_s":      {NA: "Not tried in motion"},
	"one_leg_s":         {NA: "This leg cannot be tested"},
	"one_leg_bends":     {NA: "This leg cannot be tested"},
	"ankle_deg":         {NA: "No ankle to test", Hint: "Below 0 when the foot does not come to square."},
}

// order puts findings of one test into the order in which they are asked,
// where that is not the vocabulary's.
var order = map[string][]string{
	"6": {"brace", "spastic_foot", "foot_corrects", "boot_closes", "brace_holds_knee", "brace_always"},
}

// aside are findings that are asked only on demand.
var aside = []string{"push_out_flat", "push_in_flat"}

// find returns a test and its place.
func find(number string) (finding.Test, int, error) {
	tests := finding.Tests()
	i := slices.IndexFunc(tests, func(t finding.Test) bool { return t.Number == number })
	if i < 0 {
		return finding.Test{}, 0, programme.Refuse(programme.CodeNotFound, "There is no such test.")
	}
	return tests[i], i, nil
}

// asksOf lists the questions of a test.
func asksOf(t finding.Test, state finding.State) []q.Ask {
	ids := t.Findings
	if o := order[t.Number]; o != nil {
		ids = o
	}
	var out []q.Ask
	for _, id := range ids {
		a := asked[id]
		a.ID, a.State = id, state
		if d, ok := finding.Lookup(id); ok && !d.Tiring {
			a.State = finding.Fresh
		}
		out = append(out, a)
	}
	return out
}

// look shows what was recorded in the open evaluation as the answer, and what
// is older as the last one.
func look(r programme.Record, evaluation programme.ID) q.Look {
	return func(k finding.Key) q.Known {
		seen, ok := r.Current(k.ID, q.ToKey(k).Side, k.State.String())
		if !ok {
			return q.Known{}
		}
		if seen.Evaluation == evaluation && evaluation != "" {
			return q.Known{Value: seen.Value}
		}
		d, _ := finding.Lookup(k.ID)
		val, err := finding.Parse(k.ID, k.Side, k.State, seen.Value)
		if err != nil || val.Kind == finding.Unknown {
			return q.Known{}
		}
		return q.Known{Last: "Last time: " + finding.Say(d, val) + ", " + page.Day(programme.DateOf(seen.MadeAt))}
	}
}

// opened reads the record and its open evaluation; without one the pages of
// the tests lead to where it is begun.
func opened(v *page.Visit) (programme.Record, programme.EvaluationState, bool, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.EvaluationState{}, false, err
	}
	e, open := r.OpenEvaluation()
	return r, e, open, nil
}
