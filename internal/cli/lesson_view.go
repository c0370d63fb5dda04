package cli

import (
	"fmt"
	"strings"

	"firnhand/core/effort"
	"firnhand/core/ladder"
	"firnhand/core/lesson"
)

// blockView is a block as JSON. A rest has a role and minutes only.
type blockView struct {
	Role      string        `json:"role"`
	Start     int           `json:"start_min"`
	Minutes   int           `json:"length_min"`
	Skill     string        `json:"skill,omitempty"`
	Name      string        `json:"name,omitempty"`
	Side      string        `json:"side,omitempty"`
	SideWords string        `json:"side_words,omitempty"`
	Terrain   string        `json:"terrain,omitempty"`
	Help      *int          `json:"help_level,omitempty"`
	Aim       *int          `json:"aim_help_level,omitempty"`
	HelpWords string        `json:"help_words,omitempty"`
	Pass      string        `json:"pass,omitempty"`
	After     []missingView `json:"only_after_clean,omitempty"`
	People    int           `json:"people,omitempty"`
	Kcal      *float64      `json:"kcal,omitempty"`
	Gain      float64       `json:"expected_steps"`
	With      string        `json:"with,omitempty"`
	Full      bool          `json:"worked_through,omitempty"`
}

type leftView struct {
	Skill string `json:"skill"`
	Name  string `json:"name"`
	Side  string `json:"side,omitempty"`
	Code  string `json:"code"`
	Why   string `json:"why"`
}

type aroundView struct {
	What  string `json:"what"`
	Least int    `json:"least_min"`
	Most  int    `json:"most_min"`
}

type noneView struct {
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

// lessonLimits are the limits a plan keeps.
type lessonLimits struct {
	Minutes    int      `json:"on_snow_min"`
	FirstBlock int      `json:"first_block_most_min"`
	LaterBlock int      `json:"later_block_most_min"`
	Rest       int      `json:"rest_least_min"`
	HardUntil  int      `json:"harder_begins_before_min"`
	People     int      `json:"people_there"`
	Needed     int      `json:"people_needed"`
	Terrains   []string `json:"terrains"`
	KcalMost   *float64 `json:"kcal_most"`
	RestAfter  int      `json:"rest_owed_after_min"`
	LookFirst  *float64 `json:"look_first_min"`
	LookMost   *float64 `json:"look_most_min"`
}

// lessonView is a plan as JSON.
type lessonView struct {
	Name       string          `json:"name,omitempty"`
	LessonCode string          `json:"lesson_code,omitempty"`
	On         string          `json:"on"`
	None       *noneView       `json:"none"` // why there is no plan
	Plan       string          `json:"plan"`
	PlanName   string          `json:"plan_name,omitempty"`
	First      bool            `json:"first_lesson"`
	Goal       string          `json:"goal,omitempty"`
	GoalName   string          `json:"goal_name,omitempty"`
	Setup      *setupView      `json:"set_up,omitempty"`
	Before     []aroundView    `json:"before"`
	Blocks     []blockView     `json:"blocks"`
	AfterIt    []aroundView    `json:"after"`
	Minutes    int             `json:"planned_min"`
	Free       int             `json:"free_min"`
	Gain       float64         `json:"expected_steps"`
	Kcal       *float64        `json:"kcal"`
	Looks      []int           `json:"looks_min"`
	EitherSide bool            `json:"either_side_first"`
	Limits     lessonLimits    `json:"limits"`
	Left       []leftView      `json:"left_out"`
	Says       []string        `json:"says"`
	Cold       []string        `json:"cold"`
	Cautions   []string        `json:"cautions"`
	Settings   []ladderSetting `json:"settings_used"`
}

func viewLesson(d *decided, q lesson.Request, r *lesson.Result) lessonView {
	v := lessonView{Name: d.person.Name, LessonCode: d.person.LessonCode, On: d.on.String(), Plan: q.Student.Plan, First: r.First, Before: []aroundView{}, Blocks: []blockView{},
		AfterIt: []aroundView{}, Minutes: r.Minutes, Gain: r.Gain, Kcal: r.Kcal, Looks: r.Looks, EitherSide: r.EitherSide, Left: []leftView{}, Says: list(r.Say), Cold: []string{},
		Cautions: append(lesson.Cautions(), effort.Cautions()[:1]...),
		Limits: lessonLimits{Minutes: r.Given, FirstBlock: r.FirstBlock, LaterBlock: r.LaterBlock, Rest: r.RestMin, HardUntil: r.HardUntil, People: q.Day.People,
			Needed: q.Student.People, Terrains: append([]string{"flat"}, q.Day.Terrains...), KcalMost: r.KcalMost, RestAfter: r.RestAfter, LookFirst: r.LookFirst, LookMost: r.LookMost}}
	if v.Looks == nil {
		v.Looks = []int{}
	}
	if q.Day.Cold != nil {
		v.Cold = list(q.Day.Cold.Say)
	}
	if r.None != nil {
		v.None = &noneView{r.None.Code, r.None.Why}
	}
	for _, s := range lesson.Settings() {
		x := viewSetting(s)
		if n, ok := q.Numbers[s.Name]; ok {
			x.Value = n
		}
		v.Settings = append(v.Settings, x)
	}
	if r.Goal == nil {
		return v
	}
	v.Goal, v.GoalName, v.PlanName = r.Goal.ID, r.Goal.Name, r.Plan.Name
	setup := viewSetup(q.Student.Setup)
	v.Setup = &setup
	if r.None != nil {
		return v
	}
	v.Free = r.Given - r.Minutes
	for _, x := range lesson.Before() {
		v.Before = append(v.Before, aroundView(x))
	}
	for _, x := range lesson.After() {
		v.AfterIt = append(v.AfterIt, aroundView(x))
	}
	for _, b := range r.Blocks {
		v.Blocks = append(v.Blocks, viewBlock(b, q, r))
	}
	for _, l := range r.Left {
		v.Left = append(v.Left, leftView{l.Skill.ID, l.Skill.Name, l.Side.Word(), l.Code, l.Why})
	}
	return v
}

func viewBlock(b lesson.Block, q lesson.Request, r *lesson.Result) blockView {
	x := blockView{Role: string(b.Role), Start: b.Start, Minutes: b.Minutes, Gain: b.Gain, Full: b.Full}
	if r.Kcal != nil {
		x.Kcal = ptr(b.Kcal)
	}
	if b.Role == lesson.Rest {
		return x
	}
	x.Skill, x.Name, x.Side, x.SideWords = b.Skill.ID, b.Skill.Name, b.Side.Word(), b.Skill.SideWords(b.Side)
	x.Terrain, x.Help, x.Aim, x.Pass, x.People = b.Terrain.ID, ptr(b.Help), ptr(b.Aim), b.Skill.Pass, b.People
	x.HelpWords = b.HelpWords()
	x.With = q.Student.Setup.TieWords()
	for _, m := range b.After {
		x.After = append(x.After, missingView{m.Skill, m.Side.Word()})
	}
	return x
}

func (v lessonView) print(p *sheet) {
	title := "Lesson plan"
	if v.Name != "" {
		title += " for " + v.Name
	}
	p.line("%s, %s", title, v.On)
	if v.None != nil {
		p.blank()
		p.para(0, v.None.Sentence)
		for _, s := range v.Says {
			p.para(0, s)
		}
		p.tell(nil, nil, v.Cautions)
		return
	}
	goal := v.Goal + ", " + v.GoalName
	if v.First {
		p.para(0, "First lesson, "+v.Plan+": "+v.PlanName+". Goal "+goal+".")
	} else {
		p.para(0, "Goal "+goal+".")
	}
	p.para(0, fmt.Sprintf("%s: %d of %d min on snow, expected gain %s steps of the ladder toward the goal.", v.Setup.Words, v.Minutes, v.Limits.Minutes, fixed(v.Gain, 1)))
	p.heading("BEFORE THE SNOW")
	for _, x := range v.Before {
		p.bullet(x.says())
	}
	p.heading("ON SNOW")
	for _, b := range v.Blocks {
		b.print(p)
	}
	if v.Free > 0 {
		p.para(2, fmt.Sprintf("%d min are left free: rest, or end earlier.", v.Free))
	}
	if v.EitherSide {
		p.para(2, "Neither side lags: either may come first.")
	}
	p.heading("AFTER IT")
	for _, x := range v.AfterIt {
		p.bullet(x.says())
	}
	v.limits(p)
	if len(v.Left) > 0 {
		p.heading("WHAT DID NOT FIT, AND WHY")
		const most = 12
		for i, l := range v.Left {
			if i == most {
				p.para(2, fmt.Sprintf("and %d more; --json lists them", len(v.Left)-most))
				break
			}
			p.labelled(2, 12, strings.TrimSpace(l.Skill+" "+l.Side), l.Name+": "+l.Why)
		}
	}
	unsigned := 0
	for _, s := range v.Settings {
		if s.Proposed {
			unsigned++
		}
	}
	p.tell(nil, append(v.Says, fmt.Sprintf("%d of the %d numbers in a plan are proposed and nobody has signed them off: \"firnhand lesson --settings\".", unsigned, len(v.Settings))), v.Cautions)
}

func (x aroundView) says() string {
	minutes := fmt.Sprintf("%d min", x.Most)
	if x.Least < x.Most {
		minutes = fmt.Sprintf("%d to %d min", x.Least, x.Most)
	}
	return minutes + ": " + x.What + "."
}

func (b blockView) print(p *sheet) {
	label := fmt.Sprintf("%d-%d", b.Start, b.Start+b.Minutes)
	if b.Role == string(lesson.Rest) {
		p.labelled(2, 11, label, "rest")
		return
	}
	title := b.Skill + " " + b.Name
	if b.SideWords != "" {
		title += ", " + b.SideWords
	}
	if b.With != "" && (b.Skill == "K19" || b.Skill == "K20") {
		title += " (" + b.With + ")"
	}
	p.labelled(2, 11, label, title)
	t, _, _ := ladder.Standing().Terrain(b.Terrain)
	how := b.HelpWords + "; " + t.Name + "; " + lesson.Role(b.Role).Words()
	p.para(11, how)
	text := "Passed: " + strings.ToLower(b.Pass[:1]) + b.Pass[1:]
	if n := len(b.After); n > 0 { // the last; the others come before it
		text += " Only after " + strings.TrimSpace(b.After[n-1].Skill+" "+b.After[n-1].Side) + " was clean today."
	}
	p.para(11, text)
}

// limits prints what the plan keeps within.
func (v lessonView) limits(p *sheet) {
	p.heading("LIMITS, NEVER GOALS")
	l := v.Limits
	block := fmt.Sprintf("at most %d min", l.LaterBlock)
	if l.FirstBlock != l.LaterBlock {
		block = fmt.Sprintf("at most %d min at first, %d later", l.FirstBlock, l.LaterBlock)
	}
	p.labelled(2, 20, "Before a rest", block+fmt.Sprintf("; rest %d min or more", l.Rest))
	p.labelled(2, 20, "Something harder", fmt.Sprintf("begins before minute %d", l.HardUntil))
	p.labelled(2, 20, "People", fmt.Sprintf("%d needed, %d there, lead included", l.Needed, l.People))
	p.labelled(2, 20, "Terrain", strings.ReplaceAll(strings.Join(l.Terrains, ", "), "_", " "))
	switch {
	case v.Kcal != nil && l.KcalMost != nil:
		p.labelled(2, 20, "Effort", fmt.Sprintf("%s kcal, at most %s; rest owed after the end %d min", fixed(*v.Kcal, 0), fixed(*l.KcalMost, 0), l.RestAfter))
	case v.Kcal != nil:
		p.labelled(2, 20, "Effort", fixed(*v.Kcal, 0)+" kcal; nothing is budgeted by it")
	}
	if l.LookMost != nil {
		var at []string
		for _, m := range v.Looks {
			at = append(at, fmt.Sprint(m))
		}
		p.labelled(2, 20, "Looks", "at minute "+strings.Join(at, ", ")+"; at most "+fixed(*l.LookFirst, 1)+" min to the first, "+fixed(*l.LookMost, 1)+" between two")
	}
	for _, s := range v.Cold {
		p.labelled(2, 20, "Cold", s)
	}
}
