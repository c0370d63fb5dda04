package cards

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"time"

	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type showBody struct {
	Panel    answer.Panel
	Fact     programme.ID
	Day      *page.Field
	Underway bool
	Stale    bool
	AskAgain int
	Missing  bool
	Cards    []programme.CardState
	Names    map[programme.ID]string
}

func show(v *page.Visit) error { return showWith(v, nil) }

func showWith(v *page.Visit, problems page.Problems) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := showBody{Panel: answer.PanelOf(d), Fact: v.NewID(), Underway: d.Decision.Underway, AskAgain: len(d.Decision.AskAgain),
		Missing: len(d.Record.MissingConsents()) > 0, Names: names,
		Day: &page.Field{Kind: "date", Name: "for_day", Label: "For which day?", Value: v.Today().String(), Problem: problems.At("for_day")}}
	_, open := d.Record.OpenEvaluation()
	body.Stale = open && !d.Decision.Underway
	for i := len(d.Record.Cards) - 1; i >= 0; i-- {
		body.Cards = append(body.Cards, d.Record.Cards[i])
	}
	st := http.StatusOK
	if len(problems) > 0 {
		st = http.StatusUnprocessableEntity
	}
	return v.Render(st, "card", page.View{Title: "Card", Student: v.HeadingOf(d.Record), Here: "card", Problems: problems, Body: body})
}

// issue makes the card, writes down that it was made, and shows it.
func issue(v *page.Visit) error {
	day, err := programme.ParseDate(v.Typed("for_day"))
	switch {
	case err != nil || day.IsZero():
		return showWith(v, page.Problems{{Field: "for_day", Sentence: "Write the day of the lesson."}})
	case day.Before(v.Today()):
		return showWith(v, page.Problems{{Field: "for_day", Sentence: "That day is over. Write today or a later day."}})
	}
	id, now := v.FormID("fact"), v.Kit.Clock.Now().In(v.Kit.Zone).Truncate(time.Millisecond)
	if student, _, err := v.Kit.Cases.CardByID(v.R.Context(), v.Actor, id); err == nil && student == v.StudentID() {
		return v.Go("/cards/"+string(id), "card") // the form was sent before
	}
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	if d.Decision.Underway {
		return showWith(v, page.Problems{{Sentence: "Close the evaluation first: the card is made from a finished one."}})
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	o := order(d, h, id, day, now)
	printed, err := v.Kit.Card(v.R.Context(), o)
	if err != nil {
		if programme.CodeOf(err) == programme.CodeInvalid {
			return showWith(v, page.Problems{{Sentence: programme.SentenceOf(err)}})
		}
		return err
	}
	sum := sha256.Sum256(printed.PDF)
	_, err = v.Kit.Cases.IssueCard(v.R.Context(), v.Actor, programme.Made{ID: id, At: now}, d.Record.Student, programme.Card{
		UpTo: o.UpTo, Digest: hex.EncodeToString(sum[:]), ForDay: day, Rules: d.Table.Version, Software: v.Kit.Version})
	if err != nil {
		return err
	}
	return v.Go("/cards/"+string(id), "card")
}

// upTo is the last fact that a card is made from: of the student, of the hill,
// or a number that was signed off.
func upTo(d page.Decided, h programme.Hill) int64 {
	n := max(d.Record.UpTo, h.UpTo)
	for _, s := range d.Signed {
		n = max(n, s.From.Seq)
	}
	return n
}

func order(d page.Decided, h programme.Hill, id programme.ID, day programme.Date, made time.Time) page.CardOrder {
	o := page.CardOrder{ID: id, Record: d.Record, Decision: d.Decision, Table: d.Table, Answer: d.Answer, Hill: h, ForDay: day, MadeAt: made, UpTo: upTo(d, h)}
	if n := len(d.Record.Log); n > 0 {
		o.DataAt = d.Record.Log[n-1].RecordedAt
	}
	return o
}
