package progress

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"firnhand/core/ladder"
	core "firnhand/core/progress"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type askBody struct {
	Skill  *ladder.Skill
	Skills []page.Option // to choose from, where none was chosen
	Form   page.Form
	Fact   programme.ID
	Aids   string
	Lesson programme.ID
}

// ask shows the skills to choose from, or the form for one.
func ask(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	return askOn(v, d, http.StatusOK, v.R.URL.Query().Get("skill"), nil)
}

func askOn(v *page.Visit, d page.Decided, st int, chosen string, problems page.Problems) error {
	l := ladder.Standing()
	aids, err := aidsOf(d)
	if err != nil {
		return err
	}
	body := askBody{Aids: aids.Words(), Fact: v.FormID("fact")}
	if going, ok := d.Record.OpenLesson(); ok {
		body.Lesson = going.ID
	}
	h := d.Record.History()
	if s, ok := l.Skill(strings.ToUpper(chosen)); ok {
		body.Skill, body.Form = s, form(l, s, aids, h)
		if problems != nil {
			body.Form.Fill(v, problems)
			for i, o := range body.Form.Get("trouble").Options {
				body.Form.Get("trouble").Options[i].On = slices.Contains(v.R.PostForm["trouble"], o.Value)
			}
		}
	} else {
		for _, s := range l.Skills() {
			if tryable(l, s, aids) {
				body.Skills = append(body.Skills, page.Option{Value: s.ID, Label: s.ID + " " + s.Name})
			}
		}
	}
	return v.Render(st, "attempt", page.View{Title: "Write down an attempt", Student: v.HeadingOf(d.Record), Here: "progress", Problems: problems, Body: body})
}

// aidsOf are the aids of the lesson that is going on, of the last attempt, or as
// decided.
func aidsOf(d page.Decided) (ladder.Aids, error) {
	if a, ok := d.Record.AidsOf(d.Record.History()); ok {
		return a, nil
	}
	s, err := ladder.Of(d.Answer)
	if err != nil {
		return ladder.Aids{}, programme.Refuse(programme.CodeConflict, "Nothing was tried yet and the set-up is not decided: finish the evaluation, or open a lesson first. %s", err)
	}
	return s.Aids.Clean(), nil
}

// tryable tells whether a skill can be tried with the aids at all.
func tryable(l *ladder.Ladder, s *ladder.Skill, aids ladder.Aids) bool {
	a := ladder.Attempt{Skill: s.ID, Terrain: s.Place.ID, Help: ladder.MostHelp, Aids: aids}
	if sides := s.SidesOf(aids); len(sides) > 0 {
		a.Side = sides[0]
	}
	return l.Admit(a) == nil
}

// form asks for one attempt at a skill. The help level and terrain of the last
// one are said, not chosen: nothing is chosen beforehand.
func form(l *ladder.Ladder, s *ladder.Skill, aids ladder.Aids, h programme.History) page.Form {
	f := page.Form{}
	if sides := s.SidesOf(aids); s.Sides != ladder.NoSides {
		side := &page.Field{Kind: "radio", Name: "side", Label: "Which side? The student's."}
		for _, one := range sides {
			side.Options = append(side.Options, page.Option{Value: one.Word(), Label: upper(s.SideWords(one))})
		}
		f = append(f, side)
	}
	outcome := &page.Field{Kind: "radio", Name: "outcome", Label: "How did it go?", Hint: "Passed when: " + s.Pass,
		Options: []page.Option{{Value: "clean", Label: "Clean"}, {Value: "partly", Label: "Partly"}, {Value: "miss", Label: "Miss"}}}
	help := &page.Field{Kind: "radio", Name: "help", Label: "With how much help?"}
	for _, level := range l.Levels() {
		help.Options = append(help.Options, page.Option{Value: fmt.Sprint(level.Level), Label: fmt.Sprintf("%d %s", level.Level, level.Name), Hint: level.Means})
	}
	where := &page.Field{Kind: "radio", Name: "terrain", Label: "On which terrain?"}
	for _, t := range l.Terrains() {
		where.Options = append(where.Options, page.Option{Value: t.ID, Label: upper(t.Name)})
	}
	for i := len(h.Attempts) - 1; i >= 0; i-- {
		if a := h.Attempts[i]; a.Skill == s.ID {
			t, _, _ := l.Terrain(a.Terrain)
			help.Last, where.Last = fmt.Sprintf("Last: %d", a.Help), "Last: "+t.Name
			break
		}
	}
	beside := &page.Field{Kind: "ticks", Name: "trouble", Label: "Did anything happen?", Hint: "Leave empty if not."}
	for i, name := range core.Troubles() {
		beside.Options = append(beside.Options, page.Option{Value: name, Label: upper(core.Trouble(1 << i).Words()[0])})
	}
	return append(f, outcome, help, where,
		&page.Field{Kind: "number", Name: "minutes", Label: "Minutes into the lesson", Unit: "min", Mode: "numeric", Hint: "Without it nobody knows whether it was fresh."},
		&page.Field{Kind: "text", Name: "helper", Label: "Who helped?"}, &page.Field{Kind: "text", Name: "cue", Label: "Which cue?", Hint: "Show, tell, touch, or in own words."},
		beside, &page.Field{Kind: "tick", Name: "poor", Label: "Ice, slush, crowd or flat light"})
}

// record takes one attempt.
func record(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	aids, err := aidsOf(d)
	if err != nil {
		return err
	}
	var problems page.Problems
	a := programme.AttemptMade{Skill: v.Typed("skill"), Side: v.Typed("side"), Outcome: v.Typed("outcome"), Terrain: v.Typed("terrain"), Way: aids.Way, Tie: aids.Tie,
		Helper: v.Typed("helper"), Cue: v.Typed("cue"), Poor: v.Ticked("poor"), Help: -1, Lesson: programme.ID(v.Typed("lesson"))}
	s, ok := ladder.Standing().Skill(a.Skill)
	if !ok {
		return programme.Refuse(programme.CodeUnknown, "There is no skill %q on the ladder.", page.Clip(a.Skill))
	}
	if s.Sides != ladder.NoSides && a.Side == "" {
		problems.Add("side", "Say which side.")
	}
	if a.Outcome == "" {
		problems.Add("outcome", "Say how it went.")
	}
	if t := v.Typed("help"); len(t) == 1 && t[0] >= '0' && t[0] <= '7' {
		a.Help = int(t[0] - '0')
	} else {
		problems.Add("help", "Say with how much help.")
	}
	if a.Terrain == "" {
		problems.Add("terrain", "Say on which terrain.")
	}
	if m := v.Number(&problems, "minutes", "min"); m != nil {
		n := int(*m)
		a.Minutes = &n
	}
	for _, name := range v.R.PostForm["trouble"] {
		if slices.Contains(core.Troubles(), name) {
			a.Trouble = append(a.Trouble, name)
		}
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.RecordAttempt(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, v.StudentID(), a)
		if err == nil {
			return v.Go("/students/"+string(v.StudentID())+"/progress", "attempt")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("outcome", programme.SentenceOf(err))
	}
	return askOn(v, d, http.StatusUnprocessableEntity, a.Skill, problems)
}
