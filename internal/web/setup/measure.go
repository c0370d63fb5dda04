package setup

import (
	"fmt"
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// asked is one line of the form: a field for each side, with the hole where
// the gear has holes.
type asked struct {
	Label string
	Sides []askedSide
	Wrong []string
}

type askedSide struct {
	Side  string // "Left", "Right" or ""
	Value *page.Field
	Hole  *page.Field
	Else  *page.Field
}

type measureBody struct {
	Sheet programme.SetUpState
	Asked []asked
	Fact  programme.ID
	Note  *page.Field
}

// asProposed is the choice that takes the proposed words.
const asProposed = "as_proposed"

func fieldName(kind string, k programme.SetUpKey) string { return kind + "." + k.Item + "." + k.Side }

// form lists the fields of a sheet in order.
func form(s programme.SetUpState, names map[programme.ID]string) ([]asked, page.Form) {
	var out []asked
	var all page.Form
	at := map[string]int{}
	for i, it := range s.Items {
		m := s.Measured[i]
		c := cellOf(it, m, names)
		side := askedSide{Side: c.Side}
		label := it.Label
		if c.Side != "" {
			label += ", " + it.Side
		}
		last := ""
		if m.Done {
			last = "Written down: " + c.Measured
			if c.AtHole != "" {
				last += ", " + c.AtHole
			}
			last += " (" + c.By + ")"
		}
		switch {
		case it.Unit != "":
			side.Value = &page.Field{Kind: "number", Name: fieldName("v", it.SetUpKey), Label: label, Unit: it.Unit, Hint: hint(c, it), Last: last}
			if len(it.Holes) > 0 {
				side.Hole = &page.Field{Kind: "number", Mode: "numeric", Name: fieldName("h", it.SetUpKey), Label: "Hole, " + it.Side, Hint: fmt.Sprintf("1 to %d, counted from the lowest", len(it.Holes))}
			}
		case it.Words != "":
			side.Value = &page.Field{Kind: "radio", Name: fieldName("v", it.SetUpKey), Label: label, Last: last,
				Options: []page.Option{{Value: asProposed, Label: "As proposed: " + it.Words}, {Value: "else", Label: "Something else, written below"}}}
			side.Else = &page.Field{Kind: "text", Name: fieldName("e", it.SetUpKey), Label: "Something else: " + label}
		default:
			side.Else = &page.Field{Kind: "text", Name: fieldName("e", it.SetUpKey), Label: label, Hint: it.Measure, Last: last}
		}
		n, ok := at[it.Item]
		if !ok {
			n = len(out)
			at[it.Item] = n
			out = append(out, asked{Label: it.Label, Wrong: it.Wrong})
		}
		out[n].Sides = append(out[n].Sides, side)
		for _, f := range []*page.Field{side.Value, side.Hole, side.Else} {
			if f != nil {
				all = append(all, f)
			}
		}
	}
	return out, all
}

func hint(c cell, it programme.SetUpItem) string {
	if c.Proposed == "" {
		return it.Measure
	}
	s := "Proposed " + c.Proposed
	if c.Between != "" {
		s += ", " + c.Between
	}
	if c.Hole != "" {
		s += ", " + c.Hole
	}
	return s + "."
}

func noteField() *page.Field {
	return &page.Field{Kind: "text", Name: "note", Label: "Note", Hint: "May stay empty. It goes with everything written down here."}
}

// open reads the sheet in the address.
func open(v *page.Visit) (programme.Record, programme.SetUpState, map[programme.ID]string, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.SetUpState{}, nil, err
	}
	s, ok := r.SetUpByID(programme.ID(v.R.PathValue("sheet")))
	if !ok {
		return r, s, nil, programme.Refuse(programme.CodeNotFound, "There is no such set-up sheet in this record.")
	}
	names, err := v.StaffNames()
	return r, s, names, err
}

func showMeasure(v *page.Visit) error {
	r, s, names, err := open(v)
	if err != nil {
		return err
	}
	lines, _ := form(s, names)
	return v.Render(http.StatusOK, "set-up-measure", page.View{Title: "Measure on the person", Student: v.HeadingOf(r), Here: "set-up",
		Body: measureBody{s, lines, v.NewID(), noteField()}})
}

func measure(v *page.Visit) error {
	r, s, names, err := open(v)
	if err != nil {
		return err
	}
	m, problems := readMeasures(v, s)
	if len(problems) == 0 {
		_, err := v.Kit.Cases.MeasureSetUp(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, m)
		if err == nil {
			return v.Go(address(r), "measured")
		}
		if c := programme.CodeOf(err); c != programme.CodeInvalid && c != programme.CodeConflict {
			return err
		}
		problems.Add("", programme.SentenceOf(err))
	}
	lines, all := form(s, names)
	note := noteField()
	append(all, note).Fill(v, problems)
	return v.Render(http.StatusUnprocessableEntity, "set-up-measure", page.View{Title: "Measure on the person", Student: v.HeadingOf(r), Here: "set-up", Problems: problems,
		Body: measureBody{s, lines, v.FormID("fact"), note}})
}

// readMeasures takes what was typed. A line left empty is not written down this
// time.
func readMeasures(v *page.Visit, s programme.SetUpState) (programme.SetUpMeasures, page.Problems) {
	var p page.Problems
	out := programme.SetUpMeasures{SetUp: s.ID}
	for _, it := range s.Items {
		one := programme.SetUpValue{SetUpKey: it.SetUpKey, Note: v.Typed("note")}
		value, hole, other := fieldName("v", it.SetUpKey), fieldName("h", it.SetUpKey), fieldName("e", it.SetUpKey)
		switch {
		case it.Unit != "":
			before := len(p)
			one.Value = number(v, &p, value, it.Unit)
			if h := number(v, &p, hole, ""); h != nil {
				one.Hole = int(*h)
				switch {
				case one.Value == nil && len(p) == before:
					p.Add(value, it.Label+", "+it.Side+": write the height too, not only the hole.")
				case *h != float64(one.Hole) || one.Hole < 1 || one.Hole > len(it.Holes):
					p.Add(hole, fmt.Sprintf("A hole is a whole number from 1 to %d.", len(it.Holes)))
				}
			}
			if one.Value == nil {
				continue
			}
			if *one.Value < 0 && (it.Low == nil || *it.Low >= 0) {
				p.Add(value, it.Label+" cannot be below 0.")
			}
		default:
			one.Words = v.Typed(other)
			switch v.Typed(value) {
			case asProposed:
				if one.Words != "" {
					p.Add(value, it.Label+": as proposed, or something else? Both are given.")
				}
				one.Words = it.Words
			case "else":
				if one.Words == "" {
					p.Add(other, "Write what was chosen instead.")
				}
			}
			if one.Words == "" {
				continue
			}
		}
		out.Values = append(out.Values, one)
	}
	if len(out.Values) == 0 && len(p) == 0 {
		p.Add("", "Nothing was written down. Fill in at least one line.")
	}
	return out, p
}
