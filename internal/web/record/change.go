package record

import (
	"net/http"
	"slices"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

type correctBody struct {
	Seen  programme.Seen
	What  string
	Says  string
	Items []q.Item
	Note  *page.Field
	Fact  programme.ID
}

// found returns the finding in the address, as it stands.
func found(v *page.Visit) (programme.Record, programme.Seen, q.Ask, finding.Key, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.Seen{}, q.Ask{}, finding.Key{}, err
	}
	id := programme.ID(v.R.PathValue("fact"))
	all := r.AllFindings()
	i := slices.IndexFunc(all, func(s programme.Seen) bool { return s.Fact == id })
	if i < 0 {
		return r, programme.Seen{}, q.Ask{}, finding.Key{}, programme.Refuse(programme.CodeNotFound, "There is no such finding that stands. It may have been corrected already.")
	}
	seen := all[i]
	a := q.Ask{ID: seen.Finding.Finding}
	if _, ok := finding.Lookup(a.ID); !ok {
		return r, seen, a, finding.Key{}, programme.Refuse(programme.CodeNotFound, "This version does not know that finding any more.")
	}
	if seen.State == "tired" {
		a.State = finding.Tired
	}
	a.NoYes = !v.Actor.May(programme.RecordClears) && (programme.CoreVocabulary{}).NeedsPaper(a.ID, "yes")
	k := a.Keys()[0]
	if seen.Side == "right" {
		k = a.Keys()[1]
	}
	return r, seen, a, k, nil
}

// items asks for the one value that is corrected.
func items(a q.Ask, k finding.Key, value string) []q.Item {
	return []q.Item{{Field: a.One(k, value)}}
}

func showCorrect(v *page.Visit) error {
	r, seen, a, k, err := found(v)
	if err != nil {
		return err
	}
	what, says := sayFinding(seen)
	return v.Render(http.StatusOK, "correct", page.View{Title: "Correct a finding", Student: v.HeadingOf(r), Here: "record",
		Body: correctBody{seen, what, says, items(a, k, seen.Value), noteField(seen.Note), v.NewID()}})
}

func noteField(value string) *page.Field {
	return &page.Field{Kind: "text", Name: "note", Label: "Why is it corrected?", Hint: "May stay empty. It stays with the value.", Value: value}
}

func correct(v *page.Visit) error {
	r, seen, a, k, err := found(v)
	if err != nil {
		return err
	}
	typed := q.Read(v, []q.Ask{a})
	value, has := typed.Values[k]
	if !has && len(typed.Problems) == 0 {
		typed.Problems.Add(q.Name(k), "Say what the value should have been.")
	}
	if len(typed.Problems) == 0 {
		f := seen.Finding
		f.Value, f.Note = value, v.Typed("note")
		_, err := v.Kit.Cases.CorrectFinding(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, seen.Fact, f)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/record", "correction")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		typed.Problems.Add(q.Name(k), programme.SentenceOf(err))
	}
	what, says := sayFinding(seen)
	return v.Render(http.StatusUnprocessableEntity, "correct", page.View{Title: "Correct a finding", Student: v.HeadingOf(r), Here: "record", Problems: typed.Problems,
		Body: correctBody{seen, what, says, typed.Keep(items(a, k, seen.Value)), noteField(v.Typed("note")), v.FormID("fact")}})
}

type retractBody struct {
	Event  event
	Reason *page.Field
	Fact   programme.ID
	Hold   bool
}

// entry returns the fact in the address.
func entry(v *page.Visit) (programme.Record, programme.Entry, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.Entry{}, err
	}
	id := programme.ID(v.R.PathValue("fact"))
	i := slices.IndexFunc(r.Log, func(e programme.Entry) bool { return e.Fact == id })
	if i < 0 {
		return r, programme.Entry{}, programme.Refuse(programme.CodeNotFound, "There is no such fact in this record.")
	}
	return r, r.Log[i], nil
}

func reasonField() *page.Field {
	return &page.Field{Kind: "area", Name: "reason", Label: "Why was it recorded in error?", Hint: "Written down for good beside what is taken out."}
}

func showRetract(v *page.Visit) error {
	r, e, err := entry(v)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "retract", page.View{Title: "Take out of the record", Student: v.HeadingOf(r), Here: "record",
		Body: retractBody{describe(r, e, valuesOf(r)), reasonField(), v.NewID(), e.Kind == programme.KindHold}})
}

func retract(v *page.Visit) error {
	r, e, err := entry(v)
	if err != nil {
		return err
	}
	var problems page.Problems
	if v.Typed("reason") == "" {
		problems.Add("reason", "Write why it was recorded in error.")
	} else {
		_, err := v.Kit.Cases.Retract(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, e.Fact, programme.Retraction{Reason: v.Typed("reason")})
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/record", "retraction")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("reason", programme.SentenceOf(err))
	}
	f := reasonField()
	f.Value, f.Problem = v.Typed("reason"), problems.At("reason")
	return v.Render(http.StatusUnprocessableEntity, "retract", page.View{Title: "Take out of the record", Student: v.HeadingOf(r), Here: "record", Problems: problems,
		Body: retractBody{describe(r, e, valuesOf(r)), f, v.FormID("fact"), e.Kind == programme.KindHold}})
}
