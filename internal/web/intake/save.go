package intake

import (
	"net/http"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

// save records a block's answers. The button "nothing noted" also answers what
// was left open with the value that silence stands for.
func save(v *page.Visit) error {
	b, i, ok := Find(v.R.PathValue("block"))
	if !ok {
		return programme.Refuse(programme.CodeNotFound, "There is no such block of questions.")
	}
	r, err := v.Record()
	if err != nil {
		return err
	}
	typed := q.Read(v, b.Asks)
	form := v.Typed("form")
	if len(typed.Problems) > 0 {
		return v.Render(http.StatusUnprocessableEntity, "intake-block", view(v, r, b, i, typed, form))
	}
	values, how := typed.Values, "asked"
	if v.Typed("rest") == "normal" {
		how = "asked; nothing noted where nothing was said"
		fill(values, b, look(r, b, v.Today()))
	}
	same := func(programme.Seen) bool { return true }
	if b.Daily {
		same = q.MadeOn(v.Today())
	}
	n, err := q.Save(v, r, form, values, how, same)
	if err != nil {
		return err
	}
	saved := "intake"
	if n == 0 {
		saved = "nothing"
	}
	to := "/students/" + string(r.Student)
	if i+1 < len(Blocks) {
		return v.Go(to+"/intake/"+Blocks[i+1].ID, saved)
	}
	if _, ever := r.LastEvaluation(); !ever {
		return v.Go(to+"/evaluation", saved)
	}
	return v.Go(to, saved)
}

// fill answers what was left open with the normal value of its finding.
func fill(values map[finding.Key]string, b Block, look q.Look) {
	for _, a := range b.Asks {
		d, _ := finding.Lookup(a.ID)
		if d.Normal == "" {
			continue
		}
		for _, k := range a.Keys() {
			if _, typed := values[k]; !typed && look(k).Value == "" {
				values[k] = d.Normal
			}
		}
	}
}
