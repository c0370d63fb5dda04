package progress

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/ladder"
)

// Now is the moment for which help is asked.
type Now struct {
	Day     int
	Lesson  string      // the lesson that is going on; "" for one that is to begin
	Aids    ladder.Aids // zero: those of the last attempt
	Terrain string      // "" : that of the last attempt of each record
	Helper  string      // "" : not said
	Poor    bool        // ice, slush, crowd or flat light
	// KnownMinutes to loss of quality, from the evaluation; 0 where not known.
	KnownMinutes float64
	// ReinsReason tells that a reason for reins never slackened was written down
	// in or after the last lesson.
	ReinsReason bool
}

// Mirror swaps left and right.
func (n Now) Mirror() Now {
	n.Aids = n.Aids.Mirror()
	return n
}

// Reason is a rule with what it counted.
type Reason struct {
	Rule string
	Says string // one sentence
}

// Change says which way the help goes.
type Change string

// The ways.
const (
	Less   Change = "less"  // one level less help
	Same   Change = "same"  // go on
	More   Change = "more"  // step back
	Begin  Change = "begin" // a level to begin with
	NoHelp Change = "none"  // nothing was tried, so nothing is counted
)

// Advice is what the rules ask for.
type Advice struct {
	Help    int // level; -1 where nothing is counted
	Change  Change
	Stop    bool // the alternative to stepping back, or with pain the only answer
	Reasons []Reason
}

// Standing is how one record stands by the rules.
type Standing struct {
	Track
	Current  bool // with the aids of now
	Attempts int
	Lessons  int
	Last     Attempt // zero where nothing was tried with these aids
	Row      int     // clean ones at the end that count towards less help
	Unsure   int     // clean ones among them that do not count because the minute is not known
	Advice   Advice

	Stands int // the level where the record stands by the rules, before anything is added
	before int // where it stood before the last lesson; -1 in the first
}

// PlateauFlag tells that help no longer goes down.
type PlateauFlag struct {
	Skill   string
	Side    finding.Side
	Lessons int    // so long
	Help    int    // level of the last
	Next    string // "cue", "set_up" or "evaluation"
	Says    string
}

// ReinsFlag tells that reins were never slackened.
type ReinsFlag struct {
	Lessons int
	Says    string
}

// ChangeFlag tells that several things changed at once.
type ChangeFlag struct {
	Attempt int // index
	What    []string
	Says    string
}

// Report is what the rules say of a history.
type Report struct {
	Standings []Standing // by skill in the order of the ladder, side, current first
	Plateaus  []PlateauFlag
	Reins     *ReinsFlag
	Changes   []ChangeFlag // in the last lesson
	Stop      []Reason     // the lesson ends here
}

// Of returns a record's standing.
func (r *Report) Of(t Track) (Standing, bool) {
	t.Aids = t.Aids.Clean()
	i := slices.IndexFunc(r.Standings, func(s Standing) bool { return s.Track == t })
	if i < 0 {
		return Standing{}, false
	}
	return r.Standings[i], true
}

// judge holds what the rules read.
type judge struct {
	l   *ladder.Ladder
	n   Numbers
	now Now
	all []Attempt

	visitedIn []Track
	visited   map[Track][]visit
}

// Judge applies the counting rules to a history in order of time. The error is
// an *Error and names the attempt that cannot be.
func Judge(l *ladder.Ladder, n Numbers, history []Attempt, now Now) (*Report, error) {
	j, err := newJudge(l, n, history, now)
	if err != nil {
		return nil, err
	}
	return j.report(), nil
}

func newJudge(l *ladder.Ladder, n Numbers, history []Attempt, now Now) (*judge, error) {
	if err := n.Check(); err != nil {
		return nil, err
	}
	all, err := check(l, history)
	if err != nil {
		return nil, err
	}
	now.Aids = now.Aids.Clean()
	if now.Aids.Way == "" && len(all) > 0 {
		now.Aids = all[len(all)-1].Aids
	}
	if now.Aids.Way != "" {
		if err := now.Aids.Check(); err != nil {
			return nil, refuse("aids", "%s", err.Error())
		}
	}
	if _, _, ok := l.Terrain(now.Terrain); now.Terrain != "" && !ok {
		return nil, refuse("unknown_terrain", "There is no terrain %q.", now.Terrain)
	}
	if k := len(all); k > 0 {
		last := all[k-1]
		if now.Lesson != "" && now.Lesson == last.Lesson {
			now.Day = last.Day
		} else if now.Day < last.Day {
			return nil, refuse("order", "The day asked for lies before the last attempt.")
		}
	}
	if !(now.KnownMinutes >= 0 && now.KnownMinutes <= MaxMinute) {
		return nil, refuse("out_of_range", "The known minutes lie between 0 and %d.", MaxMinute)
	}
	return &judge{l: l, n: n, now: now, all: all}, nil
}

func (j *judge) report() *Report {
	r := &Report{}
	by := map[Track][]Attempt{}
	var order []Track
	for _, a := range j.all {
		t := a.track()
		if _, ok := by[t]; !ok {
			order = append(order, t)
		}
		by[t] = append(by[t], a)
	}
	for _, t := range order {
		r.Standings = append(r.Standings, j.standing(t, by[t]))
	}
	for _, t := range order {
		j.parallel(r, t)
	}
	at := map[string]int{}
	for i, s := range j.l.Skills() {
		at[s.ID] = i
	}
	slices.SortStableFunc(r.Standings, func(a, b Standing) int {
		if d := at[a.Skill] - at[b.Skill]; d != 0 {
			return d
		}
		if d := int(a.Side) - int(b.Side); d != 0 {
			return d
		}
		if a.Current != b.Current {
			return map[bool]int{true: -1, false: 1}[a.Current]
		}
		return strings.Compare(a.Aids.Key(), b.Aids.Key())
	})
	r.Plateaus = j.plateaus()
	r.Reins = j.reins()
	r.Changes = j.changes()
	r.Stop = j.stop()
	if len(r.Stop) > 0 {
		for i := range r.Standings {
			if s := &r.Standings[i]; s.Current {
				s.Advice.Stop = true
			}
		}
	}
	return r
}

// fresh tells whether an attempt was made fresh; known is false where its
// minute was not recorded.
func (j *judge) fresh(a Attempt) (fresh, known bool) {
	if a.Minute == MinuteUnknown {
		return false, false
	}
	return a.Minute <= j.freshUntil(), true
}

func (j *judge) freshUntil() float64 {
	if j.now.KnownMinutes > 0 {
		return j.now.KnownMinutes * float64(j.n.of("tired_pct")) / 100
	}
	return float64(j.n.of("fresh_min"))
}

// tired tells whether an attempt lies beyond the known minutes' share; without
// known minutes nobody knows.
func (j *judge) tired(a Attempt) bool {
	return j.now.KnownMinutes > 0 && a.Minute != MinuteUnknown && a.Minute > j.freshUntil()
}

// back is a step back that the rules ask for.
type back struct {
	level  int // -1: none
	stop   bool
	reason Reason
}

// stepBack reads the attempts of one record in one lesson. A step back stands
// until an attempt was made with that much help.
func (j *judge) stepBack(list []Attempt) back {
	b := back{level: -1}
	from := 0 // misses before a step back are not counted twice
	for i, a := range list {
		up, r, stop := 0, Reason{}, false
		misses := 0
		for _, m := range list[max(from, i+1-j.n.of("back_of")) : i+1] {
			if m.Outcome == Miss {
				misses++
			}
		}
		switch t := a.Trouble; {
		case t&^UncontrolledFall != 0:
			up, stop = 2, true
			says := upper(strings.Join((t&^UncontrolledFall).Words(), " and ")) + " at help level " + digit(a.Help)
			r = Reason{BackTwo, says + ": two levels more help, or stop."}
		case t&UncontrolledFall != 0:
			up, r = 1, Reason{BackOne, "An uncontrolled fall at help level " + digit(a.Help) + ": one level more help."}
		case misses >= j.n.of("back_misses"):
			up, r = 1, Reason{BackOne, fmt.Sprintf("%d misses in the last %d at help level %d: one level more help.", misses, min(i+1-from, j.n.of("back_of")), a.Help)}
		case j.tired(a) && a.Outcome != Clean:
			up, r = 1, Reason{BackOne, fmt.Sprintf("Quality was lost at minute %.0f, beyond %d %% of the known %.0f: one level more help.", a.Minute, j.n.of("tired_pct"), j.now.KnownMinutes)}
		}
		switch {
		case up > 0:
			level := a.Help + up
			if level > ladder.MostHelp {
				stop = true
				r.Says += " There is no more help than level 7, so stop."
			}
			b = back{max(min(level, ladder.MostHelp), b.level), stop, r}
			from = i + 1
		case a.Help >= b.level:
			b = back{level: -1}
		}
	}
	return b
}

// row counts the clean attempts at the end that speak for less help.
func (j *judge) row(list []Attempt) (n, unsure int) {
	last := list[len(list)-1]
	helper := last.Helper
	for i := len(list) - 1; i >= 0; i-- {
		a := list[i]
		if a.Trouble != 0 || a.Outcome != Clean || a.Help != last.Help || a.Terrain != last.Terrain || a.Poor != last.Poor ||
			a.Helper != "" && helper != "" && a.Helper != helper {
			break
		}
		if helper == "" {
			helper = a.Helper
		}
		switch fresh, known := j.fresh(a); {
		case fresh:
			n++
		case !known:
			unsure++
		}
	}
	return n, unsure
}

// standing reads one record.
func (j *judge) standing(t Track, list []Attempt) Standing {
	s := Standing{Track: t, Current: t.Aids == j.now.Aids, Attempts: len(list), Last: list[len(list)-1], Stands: -1}
	var b back
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && list[to].Lesson == list[from].Lesson {
			to++
		}
		lesson := list[from:to]
		s.Lessons++
		b = j.stepBack(lesson)
		s.Row, s.Unsure = j.row(lesson)
		s.before, s.Stands = s.Stands, j.settle(lesson[len(lesson)-1], s, b)
		from = to
	}
	s.Advice = j.advise(&s, b, list)
	return s
}

// settle says where a record stands after a lesson: at the level a step back
// asks for, one less than the last where that was earned, else at the last. A
// level that was only the one above, with which every lesson begins, does not
// raise it.
func (j *judge) settle(last Attempt, s Standing, b back) int {
	switch {
	case b.level >= 0:
		return max(b.level, last.Help)
	case s.Row >= j.n.of("fade_in_a_row") && j.mayFade(last):
		return last.Help - 1
	case s.Stands >= 0 && last.Help == s.Stands+1:
		return s.Stands
	}
	return last.Help
}

// used is the level that was in use last: a level earned and not tried yet does
// not count, nor the one above with which the lesson began.
func (s *Standing) used() int {
	if s.before >= 0 && s.Last.Help == s.before+1 {
		return max(s.Stands, s.before)
	}
	return max(s.Stands, s.Last.Help)
}

// mayFade tells whether there is less help to be had with this gear.
func (j *judge) mayFade(last Attempt) bool {
	less := last.Attempt
	less.Help--
	return less.Help >= ladder.LeastHelp && j.l.Admit(less) == nil
}

// advise turns what was counted into a level of help.
func (j *judge) advise(s *Standing, b back, list []Attempt) Advice {
	why := j.newThings(s.Last, list)
	begins := j.now.Lesson == "" || j.now.Lesson != s.Last.Lesson
	level := max(s.Last.Help, b.level) // within a lesson, the level in use
	if begins {
		if level = s.Stands; len(why) > 0 {
			level = s.used() // what was earned was not earned with something new
		}
		why = append([]Reason{{StartOfDay, fmt.Sprintf("A lesson begins one level above where this stands, which is %d.", level)}}, why...)
		if b.level > s.Last.Help {
			why = append(why, Reason{b.reason.Rule, "The last lesson ended with a step back. " + b.reason.Says})
		}
	}
	if len(why) > 0 {
		a := Advice{Help: min(level+1, ladder.MostHelp), Change: Begin, Reasons: why}
		if b.level > s.Last.Help && !begins {
			a.Change, a.Stop, a.Reasons = More, b.stop, append([]Reason{b.reason}, why...)
		}
		return a
	}
	if b.level >= 0 {
		return Advice{Help: max(b.level, s.Last.Help), Change: More, Stop: b.stop, Reasons: []Reason{b.reason}}
	}
	want := j.n.of("fade_in_a_row")
	stay := func(says string) Advice {
		return Advice{Help: s.Last.Help, Change: Same, Reasons: []Reason{{Fade, says}}}
	}
	switch {
	case s.Last.Help == ladder.LeastHelp:
		return stay("There is no help left to take away.")
	case s.Row < want && s.Row+s.Unsure >= want:
		return stay(fmt.Sprintf("%d clean in a row, but the minute of %d is not recorded, so nobody knows whether they were fresh.", s.Row+s.Unsure, s.Unsure))
	case s.Row < want:
		return stay(fmt.Sprintf("%d of %d clean in a row, fresh, at help level %d on the same terrain.", s.Row, want, s.Last.Help))
	}
	less := s.Last.Attempt
	less.Help--
	if err := j.l.Admit(less); err != nil { // mayFade, with the reason
		return stay(err.Error())
	}
	return Advice{Help: less.Help, Change: Less, Reasons: []Reason{{Fade, fmt.Sprintf("%d clean in a row, fresh, at help level %d on the same terrain: one level less help.", s.Row, s.Last.Help)}}}
}

// newThings lists what is new now for a record.
func (j *judge) newThings(last Attempt, list []Attempt) []Reason {
	var out []Reason
	if t := j.now.Terrain; t != "" && t != last.Terrain {
		_, now, _ := j.l.Terrain(t)
		_, then, _ := j.l.Terrain(last.Terrain)
		tried := slices.ContainsFunc(list, func(a Attempt) bool { return a.Terrain == t })
		if now > then || !tried {
			out = append(out, Reason{NewThing, "The terrain is new: one level above the last."})
		}
	}
	if h := j.now.Helper; h != "" && !slices.ContainsFunc(list, func(a Attempt) bool { return a.Helper == h }) {
		out = append(out, Reason{NewThing, "The helper is new: one level above the last."})
	}
	if j.now.Poor && !last.Poor {
		out = append(out, Reason{NewThing, "Ice, slush, crowd or flat light: one level above the last, and one terrain down (rule TR4)."})
	}
	if len(out) > 1 {
		out = append(out, Reason{OneChange, "Several things are new at once. Change one thing at a time."})
	}
	return out
}

// parallel adds the record that a skill begins with the aids of now, where it
// was only tried with others.
func (j *judge) parallel(r *Report, t Track) {
	here := Track{t.Skill, t.Side, j.now.Aids}
	if _, ok := r.Of(here); ok {
		return
	}
	try := ladder.Attempt{Skill: t.Skill, Side: t.Side, Aids: j.now.Aids, Help: ladder.MostHelp}
	for i := len(j.all) - 1; i >= 0; i-- {
		a := j.all[i]
		if a.Skill != t.Skill || a.Side != t.Side {
			continue
		}
		if try.Terrain = a.Terrain; j.l.Admit(try) != nil {
			return // not with these aids
		}
		from, _ := r.Of(a.track())
		up := max(j.l.Setting("aid_off_levels"), j.l.Setting("new_set_up_levels"))
		r.Standings = append(r.Standings, Standing{Track: here, Current: true, Stands: from.Stands, Advice: Advice{Help: min(from.used()+up, ladder.MostHelp), Change: Begin,
			Reasons: []Reason{{NewSetUp, fmt.Sprintf("First time %s. The last level %s was %d; a parallel record begins.", j.now.Aids.Words(), a.Aids.Words(), from.used())}}}})
		return
	}
}

// stop tells why the lesson that is going on ends here.
func (j *judge) stop() []Reason {
	if j.now.Lesson == "" {
		return nil
	}
	for i := len(j.all) - 1; i >= 0 && j.all[i].Lesson == j.now.Lesson; i-- {
		if j.all[i].Trouble&Pain != 0 {
			return []Reason{{BackTwo, "There was pain in this lesson: stop."}}
		}
	}
	return nil
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func digit(n int) string { return string(rune('0' + n)) }
