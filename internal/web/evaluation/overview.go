package evaluation

import (
	"net/http"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type step struct {
	finding.Test
	Done, Of int
}

type overviewBody struct {
	Open    bool
	Begun   programme.EvaluationState
	Stale   bool // begun on another day
	Before  string
	Steps   []step
	Tired   step
	Next    *step
	Reasons *page.Field
	Fact    programme.ID
	Summary *page.Field
	Last    *programme.EvaluationState
	Panel   answer.Panel
}

// reasons are the reasons for an evaluation, in words.
var reasonWords = map[string]string{"first": "First time here", "return": "Back after a while", "daily_check": "Check of the day",
	"season": "New season", "change": "Something changed", "recheck": "Look again at what was decided"}

func reasonField() *page.Field {
	f := &page.Field{Kind: "radio", Name: "reason", Label: "Why is the student evaluated?"}
	for _, r := range programme.EvaluationReasons {
		f.Options = append(f.Options, page.Option{Value: r, Label: reasonWords[r]})
	}
	return f
}

func overview(v *page.Visit) error { return show1(v, nil) }

func show1(v *page.Visit, problems page.Problems) error {
	r, e, open, err := opened(v)
	if err != nil {
		return err
	}
	body := overviewBody{Open: open, Begun: e, Before: finding.Before, Reasons: reasonField(), Fact: v.NewID(),
		Summary: &page.Field{Kind: "area", Name: "summary", Label: "In one or two sentences", Hint: "What the next instructor should know. May stay empty."}}
	body.Reasons.Problem = problems.At("reason")
	if last, ever := r.LastEvaluation(); ever {
		body.Last = &last
	}
	st := http.StatusOK
	if len(problems) > 0 {
		st = http.StatusUnprocessableEntity
	}
	if open {
		body.Stale = programme.DateOf(e.MadeAt) != v.Today()
		for _, t := range finding.Tests() {
			body.Steps = append(body.Steps, countOf(t, r, e.ID))
		}
		for i := range body.Steps {
			if body.Steps[i].Done == 0 {
				body.Next = &body.Steps[i]
				break
			}
		}
		body.Tired = tiredStep(r, e.ID)
		d, err := v.DecideOn(r, programme.AsOf{}, true)
		if err != nil {
			return err
		}
		body.Panel = answer.PanelOf(d)
	}
	return v.Render(st, "evaluation", page.View{Title: "Evaluation", Student: v.HeadingOf(r), Here: "evaluation", Problems: problems, Body: body})
}

// countOf counts the answers a test has in an evaluation.
func countOf(t finding.Test, r programme.Record, evaluation programme.ID) step {
	s := step{Test: t}
	for _, a := range asksOf(t, finding.Fresh) {
		for _, k := range a.Keys() {
			s.Of++
			if look(r, evaluation)(k).Value != "" {
				s.Done++
			}
		}
	}
	return s
}

func begin(v *page.Visit) error {
	reason := v.Typed("reason")
	if reason == "" {
		return show1(v, page.Problems{{Field: "reason", Sentence: "Say why the student is evaluated."}})
	}
	_, err := v.Kit.Cases.BeginEvaluation(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, v.StudentID(), programme.EvaluationBegun{Reason: reason})
	if err != nil {
		return err
	}
	return v.Go("/students/"+string(v.StudentID())+"/evaluation/1", "begun")
}

func closeIt(v *page.Visit) error {
	_, e, open, err := opened(v)
	if err != nil {
		return err
	}
	if !open {
		return v.Go("/students/"+string(v.StudentID())+"/answer", "")
	}
	_, err = v.Kit.Cases.CloseEvaluation(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, v.StudentID(),
		programme.EvaluationClosed{Evaluation: e.ID, Summary: v.Typed("summary"), Complete: v.Typed("complete") == "yes"})
	if err != nil {
		return err
	}
	return v.Go("/students/"+string(v.StudentID())+"/answer", "closed")
}
