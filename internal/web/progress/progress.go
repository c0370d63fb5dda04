// Package progress shows how far a student is: the help that is due next for
// each skill and side by the counting rules, what the model makes of the same
// attempts, left against right, the ladder; and takes attempts that were
// written on paper.
package progress

import (
	"embed"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"firnhand/core/ladder"
	core "firnhand/core/progress"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}/progress", programme.ReadWork, show)
	k.Handle("GET /students/{student}/attempts/new", programme.LogSnow, ask)
	k.Handle("POST /students/{student}/attempts", programme.LogSnow, record)
}

// cell is one record: a skill on one side with the aids of now.
type cell struct {
	Side     string // "Left hand", "To the left"; "" for a skill without sides
	Level    string // "5"; "" where nothing is counted
	Name     string // of the level
	Begins   bool
	Stop     bool
	Why      []string
	Chance   string // the chance with one level less
	TooFew   string
	Disagree *core.Disagreement
	Tried    string // "12 tries in 3 lessons, last Tue 14 Jan 2027 at level 5, clean"
}

// skill is one row of the answer.
type skill struct {
	ID, Name string
	Cells    []cell
	Gap      string
}

type ladderGroup struct {
	Title string
	Rows  []string
	Open  bool // shown at once
}

type attemptRow struct {
	Day, Skill, Help, Outcome, Where, Minute, Note string
	First                                          programme.ID
}

type showBody struct {
	Says     []string
	Nothing  bool
	Going    bool
	Aids     string
	Stop     []core.Reason
	Skills   []skill // the furthest first
	Front    []skill // shown at once
	Further  []skill
	More     string // how many further ones
	AllSides string
	Plateaus []core.PlateauLine
	Sides    map[string]string // words of a plateau's side
	Reins    *core.ReinsFlag
	Changes  []core.ChangeFlag
	Ladder   []ladderGroup
	Parallel []string
	Rows     []attemptRow
	Older    int
	LeftOut  int
	Rules    []core.Rule
	Numbers  []number
	Cautions []string
	MayLog   bool
	Lesson   programme.ID
	Unclosed []programme.LessonState
}

type number struct{ Means, Value, Basis string }

func show(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	body, err := bodyOf(v, d)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "progress", page.View{Title: "Progress", Student: v.HeadingOf(d.Record), Here: "progress", Body: body})
}

// rowsShown bounds the list of attempts, skillsShown the skills that are not
// folded.
const (
	rowsShown   = 60
	skillsShown = 3
)

func bodyOf(v *page.Visit, d page.Decided) (showBody, error) {
	r := d.Record
	n := programme.ProgressNumbers(d.Signed)
	read, h, err := programme.ProgressOf(r, n)
	if err != nil {
		return showBody{}, err
	}
	l := ladder.Standing()
	now := r.ProgressNow(h)
	body := showBody{Nothing: len(h.Attempts) == 0, Going: now.Lesson != "", Stop: read.Stop, Reins: read.Reins, Changes: read.Changes, Plateaus: read.Plateaus,
		LeftOut: read.LeftOut, Rules: n.Rules(), Cautions: core.Cautions(), MayLog: v.Actor.May(programme.LogSnow), Unclosed: r.UnclosedLessons(), Sides: map[string]string{}}
	if now.Aids.Way != "" {
		body.Aids = now.Aids.Words()
	}
	if going, ok := r.OpenLesson(); ok {
		body.Lesson = going.ID
	}
	for _, p := range read.Plateaus {
		if s, ok := l.Skill(p.Skill); ok {
			body.Sides[p.Skill+p.Side.String()] = strings.TrimSpace(s.ID + " " + s.Name + " " + s.SideWords(p.Side))
		}
	}
	body.skills(l, read)
	body.Says = answerOf(body)
	body.Front, body.Further = body.Skills[:min(len(body.Skills), skillsShown)], body.Skills[min(len(body.Skills), skillsShown):]
	body.More = many(len(body.Further), "more skill", "more skills")
	body.ladder(l, d, read, now.Aids)
	body.rows(l, h)
	for _, s := range core.Settings() {
		value, basis := s.Value, "proposed, not signed off yet"
		if x, ok := n[s.Name]; ok {
			value, basis = x, "signed off by "+d.Signed[s.Name].SignedBy
		}
		body.Numbers = append(body.Numbers, number{s.Means, fmt.Sprint(value), basis})
	}
	return body, nil
}

// skills puts the records with the aids of now into rows, the furthest skill
// first.
func (b *showBody) skills(l *ladder.Ladder, read *core.Reading) {
	for _, line := range read.Lines {
		if !line.Current {
			continue
		}
		s, ok := l.Skill(line.Skill)
		if !ok {
			continue
		}
		if n := len(b.Skills); n == 0 || b.Skills[n-1].ID != s.ID {
			b.Skills = append(b.Skills, skill{ID: s.ID, Name: s.Name})
		}
		row := &b.Skills[len(b.Skills)-1]
		row.Cells = append(row.Cells, cellOf(l, s, line))
	}
	slices.Reverse(b.Skills)
	for _, g := range read.Gaps {
		if g.Skill == "" {
			b.AllSides = g.Says
			continue
		}
		text := g.Says
		if g.Enough {
			text += fmt.Sprintf(" At help level %d: left %s clean, right %s.", g.Help, core.Percent(g.Left.Clean), core.Percent(g.Right.Clean))
		}
		for i := range b.Skills {
			if b.Skills[i].ID == g.Skill {
				b.Skills[i].Gap = together(text)
			}
		}
	}
}

func cellOf(l *ladder.Ladder, s *ladder.Skill, line core.Line) cell {
	c := cell{Side: upper(s.SideWords(line.Side)), Begins: line.Advice.Change == core.Begin, Stop: line.Advice.Stop, Disagree: line.Disagree}
	if h, ok := l.Level(line.Advice.Help); ok {
		c.Level, c.Name = fmt.Sprint(h.Level), h.Name
	}
	for _, r := range line.Advice.Reasons {
		c.Why = append(c.Why, together(r.Says+" ("+r.Rule+")"))
	}
	e := line.Estimate
	if !e.Enough {
		c.TooFew = e.Why
	} else {
		c.Chance = fmt.Sprintf("With level %d: %s clean, between %s and %s.", e.Less.Help, core.Percent(e.Less.Clean), core.Percent(e.Less.Low), core.Percent(e.Less.High))
		if faded := e.Then - e.Less.Clean; faded >= 0.05 {
			c.Chance += fmt.Sprintf(" On the last day it was %s; %d days have passed.", core.Percent(e.Then), e.Days)
		}
	}
	c.Chance = together(c.Chance)
	if line.Attempts > 0 {
		c.Tried = fmt.Sprintf("%s in %s, the last at level %d, %s", many(line.Attempts, "try", "tries"), many(line.Lessons, "lesson", "lessons"), line.Last.Help, line.Last.Outcome)
	}
	return c
}

// together keeps a number and its percent sign on one line.
func together(s string) string { return strings.ReplaceAll(s, " %", "\u00a0%") }

func many(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// answerOf says the help of the furthest skill in a line.
func answerOf(b showBody) []string {
	if len(b.Skills) == 0 {
		return nil
	}
	s := b.Skills[0]
	for _, one := range b.Skills { // a lift is the way up, not what is learned
		if one.ID != "K13" && one.ID != "K34" {
			s = one
			break
		}
	}
	var parts []string
	for _, c := range s.Cells {
		if c.Level != "" {
			parts = append(parts, strings.TrimSpace(strings.ToLower(c.Side)+" level "+c.Level+", "+c.Name))
		}
	}
	when := "Next lesson"
	if b.Going {
		when = "Now"
	}
	return []string{when + ": " + s.Name + ", " + strings.Join(parts, "; ") + "."}
}

// ladder groups where every skill stands.
func (b *showBody) ladder(l *ladder.Ladder, d page.Decided, read *core.Reading, aids ladder.Aids) {
	setup, err := ladder.Of(d.Answer)
	switch {
	case aids.Way != "" && (err != nil || setup.Aids.Clean() != aids):
		setup = ladder.Setup{Aids: aids}
	case err != nil:
		return
	}
	board, err := l.Open(setup, read.Passes)
	if err != nil {
		return
	}
	for _, g := range []struct {
		title string
		state ladder.State
		open  bool
	}{{"Open now", ladder.Open, true}, {"Passed with these aids", ladder.Passed, true}, {"Passed with fewer aids", ladder.Carried, false},
		{"Waiting", ladder.Waiting, false}, {"Not with this set-up", ladder.Impossible, false}} {
		group := ladderGroup{Title: g.title, Open: g.open}
		for _, e := range board.Entries {
			if e.State == g.state {
				group.Rows = append(group.Rows, entry(e))
			}
		}
		if len(group.Rows) > 0 {
			b.Ladder = append(b.Ladder, group)
		}
	}
	of, order := map[string][]string{}, []string{}
	for _, line := range read.Lines {
		if line.Current {
			continue
		}
		w := line.Aids.Words()
		if of[w] == nil {
			order = append(order, w)
		}
		of[w] = append(of[w], strings.TrimSpace(line.Skill+" "+line.Side.Word())+" at "+fmt.Sprint(line.Last.Help))
	}
	for _, w := range order {
		b.Parallel = append(b.Parallel, upper(w)+": "+strings.Join(of[w], ", "))
	}
}

// entry says where a skill stands, in a line.
func entry(e ladder.Entry) string {
	text := strings.TrimSpace(e.Skill.ID + " " + e.Skill.Name + ", " + e.Skill.SideWords(e.Side))
	text = strings.TrimSuffix(text, ",")
	if e.With != "" && (e.State == ladder.Passed || e.Skill.WedgeRoute) {
		text += " (" + e.With + ")"
	}
	if e.Help >= 0 {
		text += fmt.Sprintf(", at level %d", e.Help)
	}
	if e.State == ladder.Open {
		text += ". Passed when: " + e.Skill.Pass
	}
	if e.State == ladder.Waiting && len(e.Missing) > 0 {
		var waits []string
		for _, m := range e.Missing {
			waits = append(waits, strings.TrimSpace(m.Skill+" "+m.Side.Word()))
		}
		text += ", waits for " + strings.Join(waits, ", ")
	}
	if e.Reopened {
		text += "; an aid has come off"
	}
	if e.Why != "" {
		text += ". " + strings.TrimPrefix(e.Why, e.Skill.ID+", "+e.Skill.Name+": ")
	}
	return text
}

// rows lists the attempts, newest first.
func (b *showBody) rows(l *ladder.Ladder, h programme.History) {
	for i := len(h.Attempts) - 1; i >= 0; i-- {
		if len(b.Rows) == rowsShown {
			b.Older = i + 1
			return
		}
		a := h.Attempts[i]
		s, _ := l.Skill(a.Skill)
		t, _, _ := l.Terrain(a.Terrain)
		row := attemptRow{Day: programme.DayText(a.Day), Skill: strings.TrimSpace(a.Skill + " " + s.SideWords(a.Side)), Help: fmt.Sprint(a.Help), Outcome: a.Outcome.String(),
			Where: t.Name, First: h.From[i]}
		if a.Minute != core.MinuteUnknown {
			row.Minute = fmt.Sprintf("%.0f", a.Minute)
		}
		var note []string
		if w := a.Aids.TieWords(); w != "" {
			note = append(note, w)
		}
		note = append(note, a.Trouble.Words()...)
		if a.Poor {
			note = append(note, "poor snow, light or crowd")
		}
		row.Note = strings.Join(note, ", ")
		b.Rows = append(b.Rows, row)
	}
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
