package progress

import (
	"fmt"
	"math"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// intervalZ bounds an interval that holds 90 of 100: five on each side.
const intervalZ = 1.6448536269514722 // exact: quantile of the normal distribution at 0.95

// mostCells bounds the groups of attempts the model looks at, so that a long
// record stays quick: of each record the newest.
const mostCells = 150

// Chance is what the model says of a clean attempt.
type Chance struct {
	Help      int // level it is asked for
	Clean     float64
	Low, High float64 // 90 of 100 lie between
}

// Estimate is what the model says of one record.
type Estimate struct {
	Enough bool    // else there are too few attempts to judge, and the chances lean on what is usual
	Why    string  // one sentence where there are not enough
	Less   Chance  // with one level less help than the last, fresh, on the same terrain
	Last   Chance  // with the help of the last attempt
	Days   int     // since the last attempt of this record
	Then   float64 // Less.Clean as it was on the day of the last attempt; the difference is what the days took
}

// Gap is left against right in one skill, or in all of them.
type Gap struct {
	Skill       string // "" for all skills
	Help        int
	Terrain     string
	Left, Right Chance // with the same help, terrain and aids; in all skills not given
	LeftN       int    // attempts
	RightN      int
	Weaker      finding.Side // NoSide where it is not clear
	Sure        float64      // probability that the weaker, or the lower, side is the lower
	Enough      bool
	Says        string
}

// Rise is what the model says of a skill on a plateau.
type Rise struct {
	Risen float64 // probability that the student does better now than when the plateau began
	Says  string
}

// Disagreement is where rule and model do not say the same. The rule stands.
type Disagreement struct {
	Kind    string // "model_doubts", "model_ready", "model_steady", "model_rises"
	Rule    string // what the rule says
	Model   string // what the model says
	Because string // why they differ
}

// Line is one record with what rules and model say.
type Line struct {
	Standing
	Estimate Estimate
	Disagree *Disagreement
}

// PlateauLine is a plateau with what the model says of it.
type PlateauLine struct {
	PlateauFlag
	Rise     Rise
	Disagree *Disagreement
}

// Reading is everything rules and model say of a history.
type Reading struct {
	Lines    []Line
	Plateaus []PlateauLine
	Gaps     []Gap // all skills first, then each skill with sides that was tried with the aids of now
	Reins    *ReinsFlag
	Changes  []ChangeFlag
	Stop     []Reason
	Passes   []ladder.Pass
	LeftOut  int // old attempts the model did not look at
	Cells    int // groups of attempts the model looked at
	Sweeps   int // of the fit
}

// reader joins the rules with the model.
type reader struct {
	*judge
	m       *model
	p       *posterior
	skills  map[string]int
	setUps  map[ladder.Aids]int
	lessons map[string]int
	counts  map[Track]int
}

// Read applies rules and model to a history in order of time. The error is an
// *Error and names the attempt that cannot be.
func Read(l *ladder.Ladder, n Numbers, history []Attempt, now Now) (*Reading, error) {
	j, err := newJudge(l, n, history, now)
	if err != nil {
		return nil, err
	}
	r := &reader{judge: j, m: figures(), skills: map[string]int{}, setUps: map[ladder.Aids]int{}, lessons: map[string]int{}, counts: map[Track]int{}}
	left := r.fit()
	report := j.report()
	out := &Reading{Reins: report.Reins, Changes: report.Changes, Stop: report.Stop, Passes: passes(l, j.all), LeftOut: left, Cells: len(r.p.cells), Sweeps: r.p.sweeps}
	for _, s := range report.Standings {
		out.Lines = append(out.Lines, r.line(s))
	}
	for _, f := range report.Plateaus {
		out.Plateaus = append(out.Plateaus, r.plateau(f))
	}
	out.Gaps = r.gaps(report)
	return out, nil
}

func index[K comparable](m map[K]int, k K) int {
	i, ok := m[k]
	if !ok {
		i = len(m)
		m[k] = i
	}
	return i
}

// fit turns the history into cells and computes the posterior.
func (r *reader) fit() (left int) {
	effects := make([]effect, len(r.all))
	offsets := make([]float64, len(r.all))
	outcomes := make([]Outcome, len(r.all))
	for i, a := range r.all {
		r.counts[a.track()]++
		effects[i] = effect{index(r.lessons, a.Lesson), float64(a.Day), index(r.skills, a.Skill), half(a.Side), index(r.setUps, a.Aids), float64(a.Help)}
		minute := a.Minute
		if minute == MinuteUnknown {
			minute = float64(r.n.of("fresh_min"))
		}
		offsets[i], outcomes[i] = r.offsetOf(a, float64(a.Help), minute), a.Outcome
	}
	cells, left := limit(r.m.cells(effects, offsets, outcomes), mostCells)
	r.p = r.m.fit(cells)
	return left
}

func half(s finding.Side) float64 {
	switch s {
	case finding.Left:
		return 0.5
	case finding.Right:
		return -0.5
	}
	return 0
}

// offsetOf is the known part of an attempt like this one. Poor snow, light or
// crowd counts as one terrain further up, since that is what rule TR4 takes
// off.
func (r *reader) offsetOf(a Attempt, help, minute float64) float64 {
	s, _ := r.l.Skill(a.Skill)
	_, at, _ := r.l.Terrain(a.Terrain)
	_, home, _ := r.l.Terrain(s.Place.ID)
	rank := float64(at - home)
	if a.Poor {
		rank++
	}
	return r.m.offset(help, rank, minute)
}

// effectNow is an attempt of a record now, or on the day of the last lesson.
func (r *reader) effectNow(t Track, help int, day int, lesson string) effect {
	at, ok := r.lessons[lesson]
	if !ok || lesson == "" {
		at = len(r.lessons) // a lesson nobody has seen
	}
	return effect{at, float64(day), index(r.skills, t.Skill), half(t.Side), index(r.setUps, t.Aids), float64(help)}
}

func (r *reader) along(e effect) along {
	return r.p.of(r.m.covariance(e, e), func(c effect) float64 { return r.m.covariance(e, c) })
}

// chance asks the model for an attempt like a, fresh, with other help.
func (r *reader) chance(t Track, a Attempt, help int, day int, lesson string) Chance {
	at := r.along(r.effectNow(t, help, day, lesson))
	off := r.offsetOf(a, float64(help), 0)
	c, _ := r.m.clean(at, off)
	return Chance{help, c, logistic(at.at(-intervalZ) + off), logistic(at.at(intervalZ) + off)}
}

// line adds the model to a standing.
func (r *reader) line(s Standing) Line {
	line := Line{Standing: s}
	a := s.Last
	if s.Attempts == 0 { // a parallel record that begins
		a = Attempt{Attempt: ladder.Attempt{Skill: s.Skill, Side: s.Side, Aids: s.Aids, Help: s.Advice.Help}, Day: r.now.Day}
		skill, _ := r.l.Skill(s.Skill)
		a.Terrain = skill.Place.ID
	}
	if r.now.Terrain != "" && s.Current {
		a.Terrain = r.now.Terrain
	}
	if s.Current {
		a.Poor = r.now.Poor
	}
	less := max(a.Help-1, ladder.LeastHelp)
	e := &line.Estimate
	e.Days = r.now.Day - a.Day
	e.Last = r.chance(s.Track, a, a.Help, r.now.Day, r.now.Lesson)
	e.Less = r.chance(s.Track, a, less, r.now.Day, r.now.Lesson)
	e.Then = r.chance(s.Track, a, less, a.Day, a.Lesson).Clean
	e.Enough = s.Attempts >= r.n.of("judge_attempts")
	if !e.Enough {
		e.Why = fmt.Sprintf("Too few to judge: %d of %d attempts in this record.", s.Attempts, r.n.of("judge_attempts"))
		return line
	}
	line.Disagree = r.disagree(s, *e)
	return line
}

// Percent writes a chance; nothing is ever sure.
func Percent(p float64) string {
	switch n := math.Round(100 * p); {
	case n < 1:
		return "under 1 %"
	case n > 99:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", n)
	}
}

func (c Chance) words() string {
	return fmt.Sprintf("a clean attempt at help level %d: %s, between %s and %s", c.Help, Percent(c.Clean), Percent(c.Low), Percent(c.High))
}

// disagree says where rule and model differ, and why.
func (r *reader) disagree(s Standing, e Estimate) *Disagreement {
	says := s.Advice.Reasons[len(s.Advice.Reasons)-1].Says
	doubt, ready := float64(r.n.of("doubt_pct"))/100, float64(r.n.of("ready_pct"))/100
	clean, all := r.record(s)
	count := fmt.Sprintf("of %d attempts at help level %d in this record %d were clean", all, s.Last.Help, clean)
	switch {
	case s.Advice.Change == Less && e.Less.Clean < doubt:
		return &Disagreement{"model_doubts", says, "The model doubts " + e.Less.words() + ".",
			"The rule looks at the last in a row; the model at everything, and " + count + ". Keep the old hold within reach for the first try."}
	case s.Advice.Change == Same && s.Last.Help > ladder.LeastHelp && e.Less.Clean >= ready:
		return &Disagreement{"model_ready", says, "The model expects " + e.Less.words() + ".",
			"The model looks at everything, and " + count + "; the rule wants its count, and it stands."}
	case s.Advice.Change == More && e.Last.Clean >= ready:
		return &Disagreement{"model_steady", says, "The model still expects " + e.Last.words() + ".",
			"The model looks at everything, and " + count + "; the rule looks at what just happened, and it stands."}
	}
	return nil
}

// record counts the attempts of a record at its last level.
func (r *reader) record(s Standing) (clean, all int) {
	for _, a := range r.all {
		if a.track() != s.Track || a.Help != s.Last.Help {
			continue
		}
		all++
		if a.Outcome == Clean {
			clean++
		}
	}
	return clean, all
}

// plateau asks the model whether the student does better than when a plateau
// began, whatever the help.
func (r *reader) plateau(f PlateauFlag) PlateauLine {
	_, of := r.visits()
	t := Track{Skill: f.Skill, Side: f.Side}
	vs := of[t]
	t.Aids = vs[len(vs)-1].aids[0]
	first, last := vs[len(vs)-f.Lessons], vs[len(vs)-1]
	// The form of a lesson is left out: two lessons nobody saw, without it.
	a := effect{-1, float64(last.day), r.skills[f.Skill], half(f.Side), r.setUps[t.Aids], r.m.middle}
	b := a
	b.lesson, b.day = -2, float64(first.day)
	v := r.m.covariance(a, a) + r.m.covariance(b, b) - 2*r.m.covariance(a, b) - 2*r.m.lesson
	line := PlateauLine{PlateauFlag: f}
	if v <= 0 {
		line.Rise = Rise{0.5, "The lessons lie on one day, too close to tell."}
		return line
	}
	d := r.p.of(v, func(c effect) float64 { return r.m.covariance(a, c) - r.m.covariance(b, c) })
	line.Rise.Risen = 1 - d.below(0)
	line.Rise.Says = "The model puts it at " + Percent(line.Rise.Risen) + " that the student does better now than when it began."
	if line.Rise.Risen >= float64(r.n.of("gap_pct"))/100 {
		line.Disagree = &Disagreement{"model_rises", f.Says, line.Rise.Says, "The level of help has not dropped, yet the attempts went better at it; the rule stands."}
	}
	return line
}
