package binding

import (
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type testSide struct {
	Side   string
	Fields page.Form
}

type testBody struct {
	Request programme.BindingState
	Skier   []row
	Gear    []row
	Sides   []testSide
	Rest    page.Form
	Fact    programme.ID
}

// testForm asks for what the technician set and measured, on the sides that
// have a ski.
func testForm(b programme.BindingState) ([]testSide, page.Form) {
	var out []testSide
	for _, s := range sides {
		if b.Sheet.OnlySki != "" && b.Sheet.OnlySki != s.Word {
			continue
		}
		out = append(out, testSide{s.Side, page.Form{
			{Kind: "number", Name: "toe_" + s.Key, Label: "Indicator value, toe, " + s.Word},
			{Kind: "number", Name: "heel_" + s.Key, Label: "Indicator value, heel, " + s.Word},
			{Kind: "text", Name: "twist_" + s.Key, Label: "Twist, three tests, " + s.Word, Unit: "N m", Hint: "Three values with a space between, such as 41 42 41."},
			{Kind: "text", Name: "lean_" + s.Key, Label: "Forward lean, three tests, " + s.Word, Unit: "N m"},
			{Kind: "number", Mode: "numeric", Name: "sole_" + s.Key, Label: "Sole length as you read it, " + s.Word, Unit: "mm", Hint: "Only where the request says something else."},
		}})
	}
	return out, page.Form{
		{Kind: "text", Name: "instrument", Label: "Instrument", Hint: "What the torques were measured with."},
		{Kind: "date", Name: "tested_on", Label: "Day of the test"},
		{Kind: "date", Name: "valid_until", Label: "Valid until", Hint: "The last day."},
		{Kind: "area", Name: "note", Label: "Note", Hint: "May stay empty."},
		{Kind: "text", Name: "technician", Label: "Your name, as you sign"},
		{Kind: "tick", Name: "signed", Label: "I set and tested these bindings as a certified technician, and sign for it"},
	}
}

func asked(v *page.Visit) (programme.Record, programme.BindingState, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.BindingState{}, err
	}
	b, ok := r.BindingByID(programme.ID(v.R.PathValue("request")))
	if !ok {
		return r, b, programme.Refuse(programme.CodeNotFound, "There is no such request in this record.")
	}
	return r, b, nil
}

func showTest(v *page.Visit) error {
	r, b, err := asked(v)
	if err != nil {
		return err
	}
	two, rest := testForm(b)
	return v.Render(http.StatusOK, "binding-test", page.View{Title: "Record a test", Student: v.HeadingOf(r), Here: "binding",
		Body: testBody{b, skierRows(b.Sheet), gearRows(b.Sheet), two, rest, v.NewID()}})
}

func test(v *page.Visit) error {
	r, b, err := asked(v)
	if err != nil {
		return err
	}
	rec, problems := readTest(v, b)
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RecordBindingTest(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, rec)
		if err == nil {
			return v.Go(address(r), "test")
		}
		if c := programme.CodeOf(err); c != programme.CodeInvalid && c != programme.CodeConflict {
			return err
		}
		problems.Add(fieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	two, rest := testForm(b)
	rest.Fill(v, problems)
	for i := range two {
		two[i].Fields.Fill(v, problems)
	}
	return v.Render(http.StatusUnprocessableEntity, "binding-test", page.View{Title: "Record a test", Student: v.HeadingOf(r), Here: "binding", Problems: problems,
		Body: testBody{b, skierRows(b.Sheet), gearRows(b.Sheet), two, rest, v.FormID("fact")}})
}

// readTest takes what was typed.
func readTest(v *page.Visit, b programme.BindingState) (programme.BindingRecord, page.Problems) {
	var p page.Problems
	rec := programme.BindingRecord{Request: b.ID, Technician: v.Typed("technician"), Instrument: v.Typed("instrument"), Signed: v.Ticked("signed"), Note: v.Typed("note")}
	for _, s := range sides {
		if b.Sheet.OnlySki != "" && b.Sheet.OnlySki != s.Word {
			continue
		}
		ski := &rec.Left
		if s.Key == "r" {
			ski = &rec.Right
		}
		for _, f := range []struct {
			name, what string
			into       *float64
		}{{"toe_" + s.Key, "Write the indicator value of the " + s.Word + " toe.", &ski.Toe}, {"heel_" + s.Key, "Write the indicator value of the " + s.Word + " heel.", &ski.Heel}} {
			switch n := number(v, &p, f.name, ""); {
			case n != nil:
				*f.into = *n
			case p.At(f.name) == "":
				p.Add(f.name, f.what)
			}
		}
		ski.TwistNM = three(v, &p, "twist_"+s.Key)
		ski.LeanNM = three(v, &p, "lean_"+s.Key)
		if mm := number(v, &p, "sole_"+s.Key, "mm"); mm != nil {
			ski.SoleMM = *mm
		}
	}
	if rec.Instrument == "" {
		p.Add("instrument", "Write what the torques were measured with.")
	}
	for _, d := range []struct {
		name, missing string
		into          *programme.Date
	}{{"tested_on", "Write the day of the test.", &rec.TestedOn}, {"valid_until", "Write the last day on which it is valid.", &rec.ValidUntil}} {
		day, err := programme.ParseDate(v.Typed(d.name))
		switch {
		case err != nil:
			p.Add(d.name, programme.SentenceOf(err))
		case day.IsZero():
			p.Add(d.name, d.missing)
		}
		*d.into = day
	}
	if rec.Technician == "" {
		p.Add("technician", "Write your name, as you sign.")
	}
	if !rec.Signed {
		p.Add("signed", "Sign for what you set and measured.")
	}
	return rec, p
}

// three reads three torques; none at all means that nothing was measured.
func three(v *page.Visit, p *page.Problems, field string) []float64 {
	text := v.Typed(field)
	for _, unit := range []string{"N m", "Nm", ";", "/"} {
		text = strings.ReplaceAll(text, unit, " ")
	}
	words := strings.Fields(text)
	for i := range words {
		words[i] = strings.TrimSuffix(words[i], ",")
	}
	if len(words) == 1 && strings.Count(words[0], ",") == 2 {
		words = strings.Split(words[0], ",")
	}
	if len(words) == 0 {
		return nil
	}
	if len(words) != 3 {
		p.Add(field, "Write three values, or leave it empty: the median of three counts.")
		return nil
	}
	var out []float64
	for _, w := range words {
		x, ok := parse(w, "")
		if !ok {
			p.Add(field, "\""+clip(w)+"\" is not a number in N m.")
			return nil
		}
		out = append(out, x)
	}
	return out
}

// fieldOf finds the field that a refusal is about.
func fieldOf(sentence string) string {
	for _, s := range sides {
		if !strings.Contains(sentence, s.Word) {
			continue
		}
		for _, f := range []struct{ words, field string }{{"toe", "toe_"}, {"heel", "heel_"}, {"twist", "twist_"}, {"lean", "lean_"}, {"sole", "sole_"}} {
			if strings.Contains(sentence, f.words) {
				return f.field + s.Key
			}
		}
	}
	for _, f := range []struct{ words, field string }{{"valid", "valid_until"}, {"day of the test", "tested_on"}, {"instrument", "instrument"}, {"name", "technician"}, {"signs", "signed"}} {
		if strings.Contains(sentence, f.words) {
			return f.field
		}
	}
	return ""
}
