package holds

import (
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type clearBody struct {
	Hold programme.HoldState
	Word string
	Form page.Form
	Fact programme.ID
}

func clearForm(h programme.HoldState) page.Form {
	who := &page.Field{Kind: "radio", Name: "licence", Label: "Who wrote it?"}
	for _, c := range programme.Clearers {
		if h.MayClear(c.ID) {
			who.Options = append(who.Options, page.Option{Value: c.ID, Label: strings.ToUpper(c.Label[:1]) + c.Label[1:]})
		}
	}
	who.Options = append(who.Options, page.Option{Value: "somebody_else", Label: "Somebody else", Hint: "A parent's or carer's word does not clear a hold."})
	return page.Form{
		{Kind: "radio", Name: "in_writing", Label: "Is the letter here, in writing?", Options: []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No, it was said or is on its way"}}},
		who,
		{Kind: "text", Name: "cleared_by", Label: "Name or practice of the person who wrote it"},
		{Kind: "date", Name: "cleared_on", Label: "Date on the letter"},
		{Kind: "date", Name: "valid_until", Label: "Until when does it hold?", Hint: "The last day. A letter without one is asked back."},
		{Kind: "area", Name: "limits", Label: "Limits in the letter", Hint: "What it allows only with conditions. May stay empty."},
		{Kind: "text", Name: "paper", Label: "Where the letter is kept", Hint: "May stay empty."},
	}
}

func held(v *page.Visit) (programme.Record, programme.HoldState, error) {
	r, err := v.Record()
	if err != nil {
		return r, programme.HoldState{}, err
	}
	h, ok := r.HoldByID(programme.ID(v.R.PathValue("hold")))
	if !ok {
		return r, h, programme.Refuse(programme.CodeNotFound, "There is no such hold in this record.")
	}
	return r, h, nil
}

func showClear(v *page.Visit) error {
	r, h, err := held(v)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "clearance", page.View{Title: "Written clearance", Student: v.HeadingOf(r), Here: "holds",
		Body: clearBody{h, page.HoldWord(h.Rule), clearForm(h), v.NewID()}})
}

func clearance(v *page.Visit) error {
	r, h, err := held(v)
	if err != nil {
		return err
	}
	c, problems := readClearance(v, h.ID)
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RecordClearance(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, c)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/holds", "clearance")
		}
		if code := programme.CodeOf(err); code != programme.CodeInvalid && code != programme.CodeNotClearance {
			return err
		}
		problems.Add(field(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "clearance", page.View{Title: "Written clearance", Student: v.HeadingOf(r), Here: "holds", Problems: problems,
		Body: clearBody{h, page.HoldWord(h.Rule), clearForm(h).Fill(v, problems), v.FormID("fact")}})
}

// readClearance takes what was typed about a letter.
func readClearance(v *page.Visit, hold programme.ID) (programme.Clearance, page.Problems) {
	var p page.Problems
	c := programme.Clearance{Hold: hold, ClearedBy: v.Typed("cleared_by"), Licence: v.Typed("licence"), InWriting: v.Typed("in_writing") == "yes",
		Paper: v.Typed("paper"), Limits: v.Typed("limits")}
	switch v.Typed("in_writing") {
	case "":
		p.Add("in_writing", "Say whether the letter is here in writing.")
	case "no":
		p.Add("in_writing", "A clearance counts only in writing. The hold stays until the letter is here.")
	}
	switch c.Licence {
	case "":
		p.Add("licence", "Say who wrote the letter.")
	case "somebody_else":
		p.Add("licence", "Only one of the licensed people above clears this hold. The hold stays.")
	}
	if c.ClearedBy == "" {
		p.Add("cleared_by", "Write the name or practice of the person who wrote it.")
	}
	for _, d := range []struct {
		name, missing string
		into          *programme.Date
	}{{"cleared_on", "Write the date on the letter.", &c.ClearedOn}, {"valid_until", "Write the last day on which the letter holds.", &c.ValidUntil}} {
		day, err := programme.ParseDate(v.Typed(d.name))
		switch {
		case err != nil:
			p.Add(d.name, programme.SentenceOf(err))
		case day.IsZero():
			p.Add(d.name, d.missing)
		}
		*d.into = day
	}
	return c, p
}

// field finds the field that a refusal is about.
func field(sentence string) string {
	for _, f := range []struct{ word, field string }{{"ran out", "valid_until"}, {"holds for at most", "valid_until"}, {"ends on", "valid_until"}, {"Until when", "valid_until"},
		{"date of the letter", "cleared_on"}, {"letter of", "cleared_on"}, {"writing", "in_writing"}, {"name of the person", "cleared_by"}} {
		if strings.Contains(sentence, f.word) {
			return f.field
		}
	}
	return "licence"
}
