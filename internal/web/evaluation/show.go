package evaluation

import (
	"net/http"
	"slices"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

type testBody struct {
	finding.Test
	Items      []q.Item
	Aside      []q.Item
	Form       programme.ID
	Place, Of  int
	Back, Skip string
	Then       string // what the button leads to
	Normals    bool
	Panel      answer.Panel
}

func show(v *page.Visit) error {
	t, i, err := find(v.R.PathValue("test"))
	if err != nil {
		return err
	}
	r, e, open, err := opened(v)
	if err != nil {
		return err
	}
	if !open {
		return v.Go("/students/"+string(r.Student)+"/evaluation", "")
	}
	return render(v, http.StatusOK, t, i, r, e.ID, q.Typed{}, string(v.NewID()))
}

// render shows a test's page, with what was typed kept where it has problems.
func render(v *page.Visit, st int, t finding.Test, i int, r programme.Record, evaluation programme.ID, typed q.Typed, form string) error {
	base := "/students/" + string(r.Student) + "/evaluation"
	body := testBody{Test: t, Form: programme.ID(form), Place: i + 1, Of: len(finding.Tests()), Back: base}
	if i > 0 {
		body.Back = base + "/" + finding.Tests()[i-1].Number
		if t.Number == "19" {
			body.Back = base + "/tired"
		}
	}
	body.Skip, body.Then = after(base, i)
	var main, rest []q.Ask
	for _, a := range asksOf(t, finding.Fresh) {
		if slices.Contains(aside, a.ID) {
			rest = append(rest, a)
		} else {
			main = append(main, a)
		}
		d, _ := finding.Lookup(a.ID)
		body.Normals = body.Normals || d.Normal != ""
	}
	body.Items, body.Aside = q.Items(main, look(r, evaluation)), q.Items(rest, look(r, evaluation))
	if typed.Values != nil {
		body.Items, body.Aside = typed.Keep(body.Items), typed.Keep(body.Aside)
	}
	draw(body.Items)
	d, err := v.DecideOn(r, programme.AsOf{}, true)
	if err != nil {
		return err
	}
	body.Panel = answer.PanelOf(d)
	return v.Render(st, "test", page.View{Title: "Test " + t.Number + ", " + t.Title, Student: v.HeadingOf(r), Here: "evaluation",
		Problems: typed.Problems, Script: "panel.js", Body: body})
}

// draw puts the drawing of the legs above the pushes.
func draw(items []q.Item) {
	for _, it := range items {
		if it.Matrix != nil && it.Matrix.ID == "push_out" {
			it.Matrix.Figure = "legs"
		}
	}
}

// after says where a test leads on.
func after(base string, i int) (link, words string) {
	tests := finding.Tests()
	switch {
	case tests[i].Number == "18":
		return base + "/tired", "Save and go to the tired retest"
	case i+1 < len(tests):
		return base + "/" + tests[i+1].Number, "Save and go to test " + tests[i+1].Number
	}
	return base, "Save and go to the end"
}
