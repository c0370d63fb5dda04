package cli

import (
	"strings"

	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/core/source"
	"firnhand/programme"
)

// progressView is the whole answer as JSON. Chances lie between 0 and 1.
type progressView struct {
	On       string            `json:"on"`
	When     string            `json:"when"` // "a lesson that begins" or "in the lesson that is going on"
	Aids     setupView         `json:"aids"`
	Records  []progressRecord  `json:"records"`
	Gaps     []gapView         `json:"gaps"`
	Plateaus []plateauView     `json:"plateaus"`
	Reins    *reinsView        `json:"reins_never_slackened"`
	Changes  []string          `json:"several_changes_at_once"`
	Stop     []reasonView      `json:"stop"`
	Passes   []passView        `json:"passes"`
	Ladder   []entryView       `json:"ladder"`
	LeftOut  int               `json:"attempts_left_out"`
	Settings []ladderSetting   `json:"settings"`
	Rules    []countRuleView   `json:"rules"`
	Figures  []modelFigureView `json:"model_figures,omitempty"`
	Cautions []string          `json:"cautions"`
}

type countRuleView struct {
	ID      string   `json:"id"`
	When    string   `json:"when"`
	Then    string   `json:"then"`
	Because string   `json:"because"`
	Basis   []string `json:"basis"`
}

type modelFigureView struct {
	ID    string  `json:"id"`
	What  string  `json:"what"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Basis string  `json:"basis"`
}

type reasonView struct {
	Rule     string `json:"rule"`
	Sentence string `json:"sentence"`
}

type adviceView struct {
	Help     int          `json:"help_level"` // -1: nothing is counted
	HelpName string       `json:"help_name,omitempty"`
	Change   string       `json:"change"` // less, same, more, begin
	Stop     bool         `json:"or_stop"`
	Reasons  []reasonView `json:"reasons"`
}

type chanceView struct {
	Help  int     `json:"help_level"`
	Clean float64 `json:"clean_chance"`
	Low   float64 `json:"clean_chance_low"`
	High  float64 `json:"clean_chance_high"`
}

type estimateView struct {
	Enough bool       `json:"enough"`
	Why    string     `json:"why,omitempty"`
	Less   chanceView `json:"one_level_less"`
	Same   chanceView `json:"same_level"`
	Days   int        `json:"days_since_last"`
	Then   float64    `json:"one_level_less_chance_on_last_day"`
}

type disagreeView struct {
	Kind    string `json:"kind"`
	Rule    string `json:"rule_says"`
	Model   string `json:"model_says"`
	Because string `json:"because"`
}

type lastView struct {
	Day     string `json:"day"`
	Lesson  string `json:"lesson"`
	Help    int    `json:"help_level"`
	Outcome string `json:"outcome"`
	Terrain string `json:"terrain"`
}

type progressRecord struct {
	Skill     string        `json:"skill"`
	Name      string        `json:"name"`
	Side      string        `json:"side,omitempty"`
	SideWords string        `json:"side_words,omitempty"`
	Way       string        `json:"way"`
	Tie       string        `json:"tie"`
	AidsWords string        `json:"aids_words"`
	Current   bool          `json:"current"` // with the aids of now
	Attempts  int           `json:"attempts"`
	Lessons   int           `json:"lessons"`
	Row       int           `json:"clean_in_a_row"`
	Unsure    int           `json:"clean_of_unknown_minute"`
	Last      *lastView     `json:"last"`
	Advice    adviceView    `json:"advice"`
	Chance    estimateView  `json:"model"`
	Disagree  *disagreeView `json:"disagreement"`
}

type gapView struct {
	Skill   string      `json:"skill,omitempty"` // "" for all skills
	Name    string      `json:"name,omitempty"`
	Weaker  string      `json:"weaker,omitempty"`
	Sure    float64     `json:"sure"` // that the lower side is the lower
	Enough  bool        `json:"enough"`
	LeftN   int         `json:"attempts_left"`
	RightN  int         `json:"attempts_right"`
	Terrain string      `json:"terrain,omitempty"`
	Left    *chanceView `json:"left"`
	Right   *chanceView `json:"right"`
	Says    string      `json:"says"`
}

type plateauView struct {
	Skill     string        `json:"skill"`
	Side      string        `json:"side,omitempty"`
	SideWords string        `json:"side_words,omitempty"`
	Lessons   int           `json:"lessons"`
	Help      int           `json:"help_level"`
	Next      string        `json:"next"`
	Says      string        `json:"says"`
	Risen     float64       `json:"risen_chance"`
	ModelSays string        `json:"model_says"`
	Disagree  *disagreeView `json:"disagreement"`
}

type reinsView struct {
	Lessons int    `json:"lessons"`
	Says    string `json:"says"`
}

func viewReasons(reasons []progress.Reason) []reasonView {
	out := []reasonView{}
	for _, r := range reasons {
		out = append(out, reasonView{r.Rule, r.Says})
	}
	return out
}

func viewDisagree(d *progress.Disagreement) *disagreeView {
	if d == nil {
		return nil
	}
	return &disagreeView{d.Kind, d.Rule, d.Model, d.Because}
}

func viewChance(c progress.Chance) chanceView { return chanceView{c.Help, c.Clean, c.Low, c.High} }

func viewProgress(r *progress.Reading, b *ladder.Board, n progress.Numbers, on string, going bool) progressView {
	l := ladder.Standing()
	board := viewBoard(b, r.Passes)
	v := progressView{On: on, When: "for a lesson that begins", Aids: board.Setup, Records: []progressRecord{}, Gaps: []gapView{}, Plateaus: []plateauView{},
		Changes: []string{}, Stop: viewReasons(r.Stop), Passes: board.Passes, Ladder: board.Skills, LeftOut: r.LeftOut, Cautions: progress.Cautions()}
	if going {
		v.When = "in the lesson that is going on"
	}
	for _, line := range r.Lines {
		v.Records = append(v.Records, viewRecord(l, line))
	}
	for _, g := range r.Gaps {
		w := gapView{Skill: g.Skill, Weaker: g.Weaker.Word(), Sure: g.Sure, Enough: g.Enough, LeftN: g.LeftN, RightN: g.RightN, Terrain: g.Terrain, Says: g.Says}
		if s, ok := l.Skill(g.Skill); ok {
			w.Name, w.Left, w.Right = s.Name, ptr(viewChance(g.Left)), ptr(viewChance(g.Right))
		}
		v.Gaps = append(v.Gaps, w)
	}
	for _, p := range r.Plateaus {
		s, _ := l.Skill(p.Skill)
		v.Plateaus = append(v.Plateaus, plateauView{p.Skill, p.Side.Word(), s.SideWords(p.Side), p.Lessons, p.Help, p.Next, p.Says, p.Rise.Risen, p.Rise.Says, viewDisagree(p.Disagree)})
	}
	if r.Reins != nil {
		v.Reins = &reinsView{r.Reins.Lessons, r.Reins.Says}
	}
	for _, c := range r.Changes {
		v.Changes = append(v.Changes, c.Says)
	}
	for _, s := range progress.Settings() {
		value, proposed := s.Value, s.Proposed
		if x, ok := n[s.Name]; ok {
			value, proposed = x, false
		}
		v.Settings = append(v.Settings, ladderSetting{s.Name, value, s.Min, s.Max, s.Means, s.Basis, proposed})
	}
	for _, c := range n.Rules() {
		v.Rules = append(v.Rules, countRuleView{c.ID, c.When, c.Then, c.Because, c.Basis})
	}
	return v
}

func viewRecord(l *ladder.Ladder, line progress.Line) progressRecord {
	s, _ := l.Skill(line.Skill)
	a := line.Advice
	out := progressRecord{Skill: line.Skill, Name: s.Name, Side: line.Side.Word(), SideWords: s.SideWords(line.Side), Way: line.Aids.Way, Tie: line.Aids.Tie,
		AidsWords: line.Aids.Words(), Current: line.Current, Attempts: line.Attempts, Lessons: line.Lessons, Row: line.Row, Unsure: line.Unsure,
		Advice:   adviceView{Help: a.Help, Change: string(a.Change), Stop: a.Stop, Reasons: viewReasons(a.Reasons)},
		Chance:   estimateView{line.Estimate.Enough, line.Estimate.Why, viewChance(line.Estimate.Less), viewChance(line.Estimate.Last), line.Estimate.Days, line.Estimate.Then},
		Disagree: viewDisagree(line.Disagree)}
	if h, ok := l.Level(a.Help); ok {
		out.Advice.HelpName = h.Name
	}
	if line.Attempts > 0 {
		out.Last = &lastView{programme.DayText(line.Last.Day), line.Last.Lesson, line.Last.Help, line.Last.Outcome.String(), line.Last.Terrain}
	}
	return out
}

// progressFigures are the figures the model computes with.
func progressFigures() []modelFigureView {
	var out []modelFigureView
	for _, d := range source.All() {
		if strings.HasPrefix(d.ID, "progress_") {
			out = append(out, modelFigureView{d.ID, d.Quantity, d.Value, d.Unit, string(d.Status)})
		}
	}
	return out
}
