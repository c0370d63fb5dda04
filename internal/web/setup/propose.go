package setup

import (
	"net/http"
	"strconv"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type proposeBody struct {
	Form page.Form
	Fact programme.ID
	Way  string
}

// proposeForm asks for what makes a proposal surer, for the way that was
// decided. Everything may stay empty.
func proposeForm(way string) page.Form {
	var f page.Form
	hands := strings.Contains(way, "outrigger") || strings.HasPrefix(way, "one_ski")
	if hands || way == "slider" {
		f = append(f,
			&page.Field{Kind: "number", Name: "crease_left", Label: "Left wrist crease over the snow", Unit: "cm", Hint: "In boots on skis, in the straight-run stance, the arm hanging.", Why: "It narrows the handle's height more than anything else."},
			&page.Field{Kind: "number", Name: "crease_right", Label: "Right wrist crease over the snow", Unit: "cm"})
	}
	if hands {
		f = append(f,
			&page.Field{Kind: "number", Name: "hole_first", Label: "Lowest hole of the pair at hand", Unit: "cm", Hint: "From the snow to the top of the handle, along the shaft. May stay empty until a pair is chosen."},
			&page.Field{Kind: "number", Name: "hole_step", Label: "From hole to hole", Unit: "cm"},
			&page.Field{Kind: "number", Mode: "numeric", Name: "hole_count", Label: "How many holes"})
	}
	if way == "slider" {
		f = append(f, &page.Field{Kind: "number", Name: "hips", Label: "Breadth of the hips", Unit: "cm", Hint: "Standing, clothed for snow."})
	}
	return f
}

// wayOf returns the decided way of skiing.
func wayOf(d page.Decided) (way, words string, err error) {
	x, ok := d.Answer.Axis("way")
	switch {
	case !ok || x.Open:
		return "", "", programme.Refuse(programme.CodeConflict, "The way of skiing is not decided yet. Finish the evaluation first.")
	case x.Value == "sitting":
		return "", "", programme.Refuse(programme.CodeConflict, "The answer is sitting: the sitting lead fits that.")
	}
	return x.Value, x.Label, nil
}

func showPropose(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	way, words, err := wayOf(d)
	if err != nil {
		return v.Go(address(d.Record), "") // where it says so
	}
	return v.Render(http.StatusOK, "set-up-propose", page.View{Title: "Propose a set-up", Student: v.HeadingOf(d.Record), Here: "set-up",
		Body: proposeBody{proposeForm(way), v.NewID(), words}})
}

func propose(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	id := v.FormID("fact")
	if _, ok := d.Record.SetUpByID(id); ok {
		return v.Go(address(d.Record), "proposal") // the form was sent before
	}
	way, words, err := wayOf(d)
	if err != nil {
		return showSheet(v, "", page.Problems{{Sentence: programme.SentenceOf(err)}})
	}
	f, problems := fitting(v)
	if len(problems) == 0 {
		var p programme.SetUpProposal
		if p, err = programme.ProposalOf(d.Table, d.Record, f); err == nil {
			if _, err = v.Kit.Cases.ProposeSetUp(v.R.Context(), v.Actor, programme.Made{ID: id}, d.Record.Student, p); err == nil {
				return v.Go(address(d.Record), "proposal")
			}
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add(fieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "set-up-propose", page.View{Title: "Propose a set-up", Student: v.HeadingOf(d.Record), Here: "set-up", Problems: problems,
		Body: proposeBody{proposeForm(way).Fill(v, problems), id, words}})
}

// fieldOf finds the field that a refusal is about.
func fieldOf(sentence string) string {
	for _, f := range []struct{ words, field string }{{"left wrist crease", "crease_left"}, {"right wrist crease", "crease_right"}, {"hips", "hips"},
		{"lowest hole", "hole_first"}, {"apart", "hole_step"}, {"holes", "hole_count"}} {
		if strings.Contains(sentence, f.words) {
			return f.field
		}
	}
	return ""
}

// fitting reads what was typed.
func fitting(v *page.Visit) (programme.Fitting, page.Problems) {
	var p page.Problems
	f := programme.Fitting{CreaseLeftCM: number(v, &p, "crease_left", "cm"), CreaseRightCM: number(v, &p, "crease_right", "cm"), HipBreadthCM: number(v, &p, "hips", "cm")}
	first, step, count := number(v, &p, "hole_first", "cm"), number(v, &p, "hole_step", "cm"), number(v, &p, "hole_count", "")
	if first == nil && step == nil && count == nil {
		return f, p
	}
	for _, need := range []struct {
		v           *float64
		field, what string
	}{{first, "hole_first", "Write the lowest hole of the pair."}, {step, "hole_step", "Write how far the holes are apart."}, {count, "hole_count", "Write how many holes the pair has."}} {
		if need.v == nil && p.At(need.field) == "" {
			p.Add(need.field, need.what)
		}
	}
	if len(p) == 0 {
		f.Holes = &programme.HoleRow{FirstCM: *first, StepCM: *step, Count: int(*count)}
	}
	return f, p
}

// number reads a number that may be missing; the unit may be typed after it.
func number(v *page.Visit, p *page.Problems, field, unit string) *float64 {
	text := v.Typed(field)
	if text == "" {
		return nil
	}
	s := strings.ReplaceAll(strings.TrimSpace(strings.TrimSuffix(text, unit)), ",", ".")
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || x != x || x > 1e9 || x < -1e9 {
		what := "a number"
		if unit != "" {
			what += " in " + unit
		}
		p.Add(field, "\""+clip(text)+"\" is not "+what+".")
		return nil
	}
	return &x
}

func clip(s string) string {
	if r := []rune(s); len(r) > 30 {
		return string(r[:30]) + "..."
	}
	return s
}
