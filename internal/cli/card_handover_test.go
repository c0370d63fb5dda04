package cli

import (
	"context"
	"slices"
	"strings"
	"testing"

	"firnhand/core/decide"
	"firnhand/internal/card"
	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// What the last instructor handed on stands on the next card: the cue that
// works instead of the one of the evaluation, what tires, the next step. On a
// day with a hold nothing that is done on snow is handed on.
func TestCardCarriesTheHandover(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := programme.ID(strings.Split(c.URL, "/")[2])
	c.EvaluateMila()
	c.ConsentMila()
	ctx := context.Background()
	nia, _ := b.Staff("Nia", programme.Instructor)
	made := func() programme.Made { return programme.Made{ID: b.IDs.Next()} }
	content := func(table *decide.Table) card.Content {
		r, err := b.Cases.StudentAt(ctx, nia, student, programme.AsOf{})
		if err != nil {
			t.Fatal(err)
		}
		o := order(r)
		if table == nil { // as the day stands, holds and all
			o.Answer = o.Table.Decide(o.Decision.Input)
		}
		return contentOf(t, o)
	}
	texts := func(c card.Content) map[string]string {
		out := map[string]string{}
		for _, l := range c.Handover {
			out[l.Label] = l.Text
		}
		return out
	}
	if got := texts(content(decide.Standing())); got["Cue works"] != "copy me" || got["Tires"] != "" {
		t.Errorf("before the first lesson: %q", got)
	}
	opened := made()
	if _, err := b.Cases.OpenLesson(ctx, nia, opened, student, programme.LessonOpened{Day: programme.DateOf(b.Clock.Now()), Way: "outriggers", Tie: "elastic"}); err != nil {
		t.Fatal(err)
	}
	closed := programme.LessonClosed{Lesson: opened.ID}
	own := map[string]string{"cue": "Works: lead with the hat.", "tires": "After 20 min the knees meet.", "next": "The slide without a hand. " + strings.Repeat("Slowly. ", 20)}
	for _, k := range programme.HandoverKeys {
		text := own[k[0]]
		if text == "" {
			text = "As before."
		}
		closed.Handover = append(closed.Handover, programme.HandoverLine{Key: k[0], Text: text, Edited: true})
	}
	if _, err := b.Cases.CloseLesson(ctx, nia, made(), student, closed); err != nil {
		t.Fatal(err)
	}
	c1 := content(decide.Standing())
	got := texts(c1)
	if got["Cue works"] != "lead with the hat." || got["Tires"] != "After 20 min the knees meet." || !strings.HasPrefix(got["Next step"], "The slide without a hand.") || len([]rune(got["Next step"])) > 100 {
		t.Errorf("after it: %q", got)
	}
	if n := len(c1.Handover); n > 9 || slices.ContainsFunc(c1.Handover, func(l card.Line) bool { return l.Text == "" }) {
		t.Errorf("%d lines: %v", n, c1.Handover)
	}
	lead, _ := b.Staff("Ottar", programme.Lead)
	if _, err := b.Cases.RaiseHold(ctx, lead, made(), student, programme.Hold{Reason: "Fell down the stairs."}); err != nil {
		t.Fatal(err)
	}
	held := content(nil)
	if got := texts(held); got["Cue works"] == "" || got["Next step"] != "" {
		t.Errorf("with a hold: %q", got)
	}
}
