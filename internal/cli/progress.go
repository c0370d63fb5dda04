package cli

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/internal/person"
	"firnhand/programme"
)

// progressCmd reads a student's attempts by the counting rules and the model.
type progressCmd struct {
	Attempts string `arg:"" help:"Attempts as comma-separated values: day, skill, help_level, outcome, and side, terrain, way, tie, lesson, minute, helper, cue, trouble, poor; - reads from standard input."`
	setupFlags
	Going     bool     `help:"The last lesson of the file is still going on: what comes next in it. Without it: how the next lesson begins."`
	Terrain   string   `placeholder:"NAME" help:"The terrain now, where it is another than that of the last attempts."`
	Helper    string   `placeholder:"NAME" help:"Who helps now."`
	Poor      bool     `help:"Ice, slush, crowd or flat light now."`
	KnownMin  float64  `name:"known-min" placeholder:"N" help:"The student's known minutes to loss of quality."`
	Reason    bool     `name:"reins-reason" help:"A reason for reins never slackened was written down."`
	Set       []string `placeholder:"NAME=N" help:"A number of the programme in place of the proposed one; see settings in the answer."`
	WithModel bool     `name:"figures" help:"List the figures of the model too."`
	JSON      bool     `name:"json" help:"As JSON."`
}

// progressFault gives a refusal of attempts the one shape, with the line of the
// attempt it is about.
func progressFault(err error, file string, lines []int) error {
	var e *progress.Error
	if !errors.As(err, &e) {
		return err
	}
	f := refuse(e.Code, "%s", e.Sentence)
	if e.Attempt >= 0 && e.Attempt < len(lines) {
		return inFile(person.Problems{{Code: e.Code, Sentence: e.Sentence, Line: lines[e.Attempt]}}, file)
	}
	return f
}

// Run reads and answers.
func (c *progressCmd) Run(a *app) error {
	s, given, held, err := c.setup(a)
	if err != nil {
		return err
	}
	data, err := a.read(c.Attempts, programme.MaxAttemptFile, "the attempts of one student are a few hundred lines")
	if err != nil {
		return err
	}
	attempts, lines, wrong := programme.ReadAttempts(data, s.Aids)
	if len(wrong) > 0 {
		var p person.Problems
		for _, w := range wrong {
			p = append(p, person.Problem{Code: w.Code, Sentence: w.Sentence, Line: w.Line})
		}
		return inFile(p, c.Attempts)
	}
	numbers, err := numbersOf(c.Set)
	if err != nil {
		return err
	}
	now, day, err := c.now(a, attempts)
	if err != nil {
		return err
	}
	if given {
		now.Aids = s.Aids
	}
	l := ladder.Standing()
	r, err := progress.Read(l, numbers, attempts, now)
	if err != nil {
		return progressFault(err, c.Attempts, lines)
	}
	if !given {
		s.Aids = attempts[len(attempts)-1].Aids
	}
	b, err := l.Open(s, r.Passes)
	if err != nil {
		return ladderFault(err)
	}
	v := viewProgress(r, b, numbers, day, c.Going)
	if c.WithModel {
		v.Figures = progressFigures()
	}
	if c.JSON {
		err = a.printJSON(v)
	} else {
		p := &sheet{w: a.Out}
		v.print(p)
		err = p.err
	}
	if err == nil && held {
		return errHeld
	}
	return err
}

// now is the moment asked for: today, or the day of the last attempt where that
// is later.
func (c *progressCmd) now(a *app, attempts []progress.Attempt) (progress.Now, string, error) {
	last := attempts[len(attempts)-1]
	on := programme.DateOf(a.Clock.Now())
	if c.On != "" {
		var err error
		if on, err = programme.ParseDate(c.On); err != nil {
			return progress.Now{}, "", err
		}
	}
	day := programme.DayNumber(on)
	if c.On == "" {
		day = max(day, last.Day)
	}
	now := progress.Now{Day: day, Terrain: c.Terrain, Helper: c.Helper, Poor: c.Poor, KnownMinutes: c.KnownMin, ReinsReason: c.Reason}
	if c.Going {
		now.Lesson, now.Day = last.Lesson, last.Day
	}
	return now, programme.DayText(now.Day), nil
}

// numbersOf reads NAME=N.
func numbersOf(set []string) (progress.Numbers, error) {
	n := progress.Numbers{}
	for _, one := range set {
		name, value, ok := strings.Cut(one, "=")
		v, err := strconv.Atoi(strings.TrimSpace(value))
		if !ok || err != nil {
			return nil, refuse("usage", "--set takes NAME=N with a whole number, such as fade_in_a_row=4; not %q.", one)
		}
		n[strings.TrimSpace(name)] = v
	}
	if err := n.Check(); err != nil {
		return nil, progressFault(err, "", nil)
	}
	return n, nil
}

func (v progressView) print(p *sheet) {
	p.line("Progress on %s, %s", v.On, v.When)
	p.para(2, "With the aids of now: "+v.Aids.Words+".")
	for _, s := range v.Stop {
		p.blank()
		p.para(0, "STOP: "+s.Sentence)
	}
	p.heading("HELP NEXT")
	for _, r := range v.Records {
		if r.Current {
			r.print(p)
		}
	}
	if len(v.Gaps) > 0 {
		p.heading("LEFT AGAINST RIGHT")
		for _, g := range v.Gaps {
			label := "All skills"
			if g.Skill != "" {
				label = g.Skill + ", " + g.Name
			}
			p.bullet(label + ": " + g.Says + g.chances())
		}
	}
	if len(v.Plateaus) > 0 || v.Reins != nil || len(v.Changes) > 0 {
		p.heading("LOOK AT")
	}
	for _, f := range v.Plateaus {
		p.bullet(f.Skill + " " + f.SideWords + ": " + f.Says + " " + f.ModelSays)
	}
	if v.Reins != nil {
		p.bullet(v.Reins.Says)
	}
	for _, s := range v.Changes {
		p.bullet(s)
	}
	if other := v.others(); other != "" {
		p.heading("PARALLEL RECORDS")
		p.para(2, other)
	}
	var passed []string
	for _, x := range v.Passes {
		passed = append(passed, strings.TrimSpace(x.Skill+" "+x.Side)+" at "+strconv.Itoa(x.Help))
	}
	if len(passed) > 0 {
		p.heading("PASSED IN THESE ATTEMPTS")
		p.para(2, strings.Join(passed, ", ")+".")
	}
	if len(v.Figures) > 0 {
		p.heading("FIGURES OF THE MODEL")
		for _, f := range v.Figures {
			p.labelled(2, 24, f.ID, fmt.Sprintf("%g %s; %s", f.Value, f.Unit, f.What))
		}
	}
	if v.LeftOut > 0 {
		p.blank()
		p.para(0, fmt.Sprintf("The model looked at the newest attempts of each record and left %d older ones out.", v.LeftOut))
	}
	p.tell(nil, nil, v.Cautions)
}

func (r progressRecord) print(p *sheet) {
	head := r.Skill + ", " + r.Name
	if r.SideWords != "" {
		head += ", " + r.SideWords
	}
	answer := "nothing counted"
	if r.Advice.Help >= 0 {
		answer = fmt.Sprintf("help level %d (%s)", r.Advice.Help, r.Advice.HelpName)
		if r.Advice.Stop {
			answer += ", or stop"
		}
	}
	p.labelled(2, 40, head, answer)
	for _, why := range r.Advice.Reasons {
		p.para(4, why.Rule+": "+why.Sentence)
	}
	switch {
	case !r.Chance.Enough:
		p.para(4, "Model: "+r.Chance.Why)
	default:
		p.para(4, "Model: "+r.Chance.Less.words()+".")
	}
	if d := r.Disagree; d != nil {
		p.para(4, "They disagree. "+d.Model+" "+d.Because)
	}
}

func (c chanceView) words() string {
	return fmt.Sprintf("a clean attempt at help level %d has a chance of %s, between %s and %s", c.Help, progress.Percent(c.Clean), progress.Percent(c.Low), progress.Percent(c.High))
}

func (g gapView) chances() string {
	if g.Left == nil || !g.Enough {
		return ""
	}
	return fmt.Sprintf(" At help level %d on %s: left %s, right %s clean.", g.Left.Help, words(g.Terrain), progress.Percent(g.Left.Clean), progress.Percent(g.Right.Clean))
}

// others names the records with other aids.
func (v progressView) others() string {
	of, order := map[string][]string{}, []string{}
	for _, r := range v.Records {
		if r.Current {
			continue
		}
		if of[r.AidsWords] == nil {
			order = append(order, r.AidsWords)
		}
		of[r.AidsWords] = append(of[r.AidsWords], fmt.Sprintf("%s at %d", strings.TrimSpace(r.Skill+" "+r.Side), r.Last.Help))
	}
	var out []string
	for _, o := range order {
		out = append(out, upperFirst(o)+": "+strings.Join(of[o], ", "))
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, ". ") + "."
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
