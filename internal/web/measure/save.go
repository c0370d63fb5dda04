package measure

import (
	"net/http"
	"slices"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// asked is one measure of the form with a field for each side.
type asked struct {
	Label string
	Means string
	Sides []askedSide
}

type askedSide struct {
	Side  string
	Field *page.Field
}

type formBody struct {
	programme.MeasureTopic
	Asked    []asked
	HowField *page.Field
	Fact     programme.ID
	Flags    []programme.MeasureFlag
}

func fieldName(k programme.MeasureKey) string { return k.Measure + "." + k.Side }

// notKnown is the choice that takes a value back.
const notKnown = "unknown"

// form lists the fields of a topic, with what is known beside each.
func form(t programme.MeasureTopic, r programme.Record, names map[programme.ID]string) ([]asked, page.Form) {
	var out []asked
	var all page.Form
	for _, k := range programme.MeasureKinds() {
		if k.Topic != t.ID {
			continue
		}
		one := asked{Label: k.Label}
		if means := upper(k.Means); means != k.Label {
			one.Means = means + "."
		}
		for _, side := range sidesOf(k) {
			key := programme.MeasureKey{Measure: k.Key, Side: side}
			f := &page.Field{Kind: "number", Name: fieldName(key), Label: k.Label, Unit: unitWord(k.Unit())}
			if side != "none" {
				f.Label += ", " + side
			} else {
				f.Hint, one.Means = one.Means, ""
			}
			if k.Levels != nil {
				f.Kind, f.Unit = "radio", ""
				for _, l := range k.Levels {
					f.Options = append(f.Options, page.Option{Value: l.ID, Label: l.Label})
				}
			}
			if seen, ok := r.Measures[key]; ok {
				f.Last = "Written down: " + k.Says(seen.Value) + " (" + names[seen.By] + ", " + page.Day(programme.DateOf(seen.MadeAt)) + ")"
				gone := page.Option{Value: notKnown, Label: "Not known any more"}
				if k.Levels != nil {
					f.Options = append(f.Options, gone)
				} else {
					f.Extra = []page.Option{gone}
				}
			}
			one.Sides = append(one.Sides, askedSide{heading(side), f})
			all = append(all, f)
		}
		out = append(out, one)
	}
	return out, all
}

func unitWord(unit string) string {
	if unit == "deg" {
		return "degrees"
	}
	return unit
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func howField() *page.Field {
	return &page.Field{Kind: "text", Name: "how", Label: "How it was measured", Hint: "In words. May stay empty."}
}

// open reads the topic in the address.
func open(v *page.Visit) (programme.MeasureTopic, programme.Record, map[programme.ID]string, error) {
	r, err := v.Record()
	if err != nil {
		return programme.MeasureTopic{}, r, nil, err
	}
	i := slices.IndexFunc(programme.MeasureTopics, func(t programme.MeasureTopic) bool { return t.ID == v.R.PathValue("topic") })
	if i < 0 {
		return programme.MeasureTopic{}, r, nil, programme.Refuse(programme.CodeNotFound, "There is no such topic to measure.")
	}
	names, err := v.StaffNames()
	return programme.MeasureTopics[i], r, names, err
}

func showForm(v *page.Visit) error {
	t, r, names, err := open(v)
	if err != nil {
		return err
	}
	lines, _ := form(t, r, names)
	return v.Render(http.StatusOK, "measure-topic", page.View{Title: "Measure: " + t.Title, Student: v.HeadingOf(r), Here: "measures", Body: formBody{t, lines, howField(), v.NewID(), flagsOf(t, r)}})
}

// flagsOf are the flags of a topic.
func flagsOf(t programme.MeasureTopic, r programme.Record) []programme.MeasureFlag {
	return slices.DeleteFunc(programme.FlagsOf(r.Set(), r.Measured()), func(f programme.MeasureFlag) bool {
		k, ok := programme.MeasureKindOf(f.Measure)
		return !ok || k.Topic != t.ID
	})
}

func save(v *page.Visit) error {
	t, r, names, err := open(v)
	if err != nil {
		return err
	}
	taken, problems := read(v, t)
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RecordMeasures(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, taken)
		if err == nil {
			return v.Go(address(r), "measured")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("", programme.SentenceOf(err)+" Nothing was saved.")
	}
	lines, all := form(t, r, names)
	how := howField()
	append(all, how).Fill(v, problems)
	return v.Render(http.StatusUnprocessableEntity, "measure-topic", page.View{Title: "Measure: " + t.Title, Student: v.HeadingOf(r), Here: "measures", Problems: problems,
		Body: formBody{t, lines, how, v.FormID("fact"), flagsOf(t, r)}})
}

// read takes what was typed. A field left empty is not written down this time;
// "not known any more" takes back what was known.
func read(v *page.Visit, t programme.MeasureTopic) (programme.MeasuresTaken, page.Problems) {
	var p page.Problems
	out := programme.MeasuresTaken{How: v.Typed("how")}
	for _, k := range programme.MeasureKinds() {
		if k.Topic != t.ID {
			continue
		}
		for _, side := range sidesOf(k) {
			key := programme.MeasureKey{Measure: k.Key, Side: side}
			text := v.Typed(fieldName(key))
			if all := v.R.PostForm[fieldName(key)]; slices.Contains(all, notKnown) { // ticked below the box
				if len(all) > 1 && text != "" && text != notKnown {
					p.Add(fieldName(key), k.Label+": a value, or not known any more? Both are given.")
					continue
				}
				text = notKnown
			}
			if text == "" {
				continue
			}
			value, err := k.Parse(text)
			if err != nil {
				p.Add(fieldName(key), programme.SentenceOf(err))
				continue
			}
			out.Values = append(out.Values, programme.MeasureTaken{MeasureKey: key, Value: value})
		}
	}
	if len(out.Values) == 0 && len(p) == 0 {
		p.Add("", "Nothing was written down. Fill in at least one line.")
	}
	return out, p
}
