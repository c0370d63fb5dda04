package programme

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"firnhand/core/ladder"
	"firnhand/core/progress"
)

// LeastCell is the smallest number of people that any count of a report may
// stand for, and the fewest by which two published counts may differ: five
// (common practice, no source).
const LeastCell = 5

// ReportPerson is what a report knows of one student: no name.
type ReportPerson struct {
	ID       ID
	Added    Date
	AgeNow   int
	AgeKnown bool
	Lessons  []ReportLesson // by day
	Passes   []ReportPass   // by day
	Near     []Date         // near misses
	Harm     []Date         // incidents
}

// ReportLesson is one lesson as counted.
type ReportLesson struct {
	Day       Date
	Way       string
	Minutes   int // on snow; 0 where nobody said
	Volunteer float64
	// Levels is the least help of a clean attempt of each skill and side.
	Levels map[string]int
}

// ReportPass is a skill passed, on the day it was first passed with so little
// help.
type ReportPass struct {
	Day   Date
	Skill string
}

// ReportRow is one group with how many people are in it.
type ReportRow struct {
	Label string
	N     int
}

// ReportFigure is one number of a report with the day up to which it counts.
type ReportFigure struct {
	Label string
	Text  string // "38", "fewer than 5", "not published yet"
	UpTo  Date
	Note  string
}

// SeasonReport is what may be told to others: counts, and no cell under five.
type SeasonReport struct {
	From, To Date // of the season; To is the month's end up to which it was published
	Asked    Date
	People   int
	Shown    bool // false: too few people for any report
	Ways     []ReportRow
	Ages     []ReportRow
	Figures  []ReportFigure
	Notes    []string
}

// waysOfSkiing are the broad groups by function, not by diagnosis.
var waysOfSkiing = []struct{ prefix, label string }{
	{"none", "Two skis, no hand aids"}, {"outriggers", "Two skis, outriggers"}, {"one_outrigger", "Two skis, outriggers"},
	{"slider", "Two skis, slider"}, {"one_ski", "One ski, outriggers"},
}

func wayGroup(way string) string {
	for _, w := range waysOfSkiing {
		if strings.HasPrefix(way, w.prefix) {
			return w.label
		}
	}
	return "Another way"
}

func ageGroup(p ReportPerson) string {
	switch {
	case !p.AgeKnown:
		return "Age not known"
	case p.AgeNow < 18:
		return "Under 18"
	case p.AgeNow < 65:
		return "18 to 64"
	}
	return "65 and over"
}

// set is some of the people of a report, by their place in the list.
type set []uint64

func newSet(n int) set { return make(set, (n+63)/64) }

func (s set) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]&(1<<(i%64)) != 0 }

func (s set) size() int {
	n := 0
	for _, w := range s {
		for ; w != 0; w &= w - 1 {
			n++
		}
	}
	return n
}

func (s set) or(o set) set {
	out := slices.Clone(s)
	for i := range o {
		out[i] |= o[i]
	}
	return out
}

// less counts those of s who are not in o.
func (s set) less(o set) int {
	n := 0
	for i := range s {
		for w := s[i] &^ o[i]; w != 0; w &= w - 1 {
			n++
		}
	}
	return n
}

// singles tells whether the two counts together tell of fewer than LeastCell
// people: one set lies within the other and leaves so few.
func singles(a, b set) bool {
	x, y := a.less(b), b.less(a)
	few := func(n int) bool { return n > 0 && n < LeastCell }
	return y == 0 && few(x) || x == 0 && few(y)
}

// group is a part of a published table.
type group struct {
	label string
	of    set
}

// publisher decides month by month what is published, so that neither one
// report nor two together tell of fewer than LeastCell people.
type publisher struct {
	people []ReportPerson
	out    []set // every set that was published so far, with unions of groups
}

// fits tells whether groups may be published beside all that is out already.
func (p *publisher) fits(groups []group) bool {
	var sets []set
	for mask := 1; mask < 1<<len(groups); mask++ {
		var u set
		for i, g := range groups {
			if mask&(1<<i) == 0 {
				continue
			}
			if u == nil {
				u = slices.Clone(g.of)
			} else {
				u = u.or(g.of)
			}
		}
		sets = append(sets, u)
	}
	for i, s := range sets {
		if n := s.size(); n > 0 && n < LeastCell {
			return false
		}
		for _, o := range sets[:i] {
			if singles(s, o) {
				return false
			}
		}
		for _, o := range p.out {
			if singles(s, o) {
				return false
			}
		}
	}
	return true
}

// publish puts groups out.
func (p *publisher) publish(groups []group) {
	for mask := 1; mask < 1<<len(groups); mask++ {
		u := newSet(len(p.people))
		for i, g := range groups {
			if mask&(1<<i) != 0 {
				u = u.or(g.of)
			}
		}
		if !slices.ContainsFunc(p.out, func(o set) bool { return slices.Equal(o, u) }) {
			p.out = append(p.out, u)
		}
	}
}

// table merges the smallest groups until what is left may be published; nil
// where not even the whole may.
func (p *publisher) table(groups []group) []group {
	groups = slices.DeleteFunc(slices.Clone(groups), func(g group) bool { return g.of.size() == 0 })
	for len(groups) > 0 {
		if p.fits(groups) {
			return groups
		}
		if len(groups) == 1 {
			return nil
		}
		slices.SortStableFunc(groups, func(a, b group) int { return b.of.size() - a.of.size() })
		n := len(groups)
		last := group{groups[n-2].label + ", or " + lowerFirst(groups[n-1].label), groups[n-2].of.or(groups[n-1].of)}
		groups = append(groups[:n-2:n-2], last)
	}
	return nil
}

// by groups some people by a label, in the order of the labels' first people.
func (p *publisher) by(who set, label func(ReportPerson) string) []group {
	var out []group
	for i, one := range p.people {
		if !who.has(i) {
			continue
		}
		l := label(one)
		at := slices.IndexFunc(out, func(g group) bool { return g.label == l })
		if at < 0 {
			at = len(out)
			out = append(out, group{l, newSet(len(p.people))})
		}
		out[at].of.add(i)
	}
	slices.SortStableFunc(out, func(a, b group) int { return strings.Compare(a.label, b.label) })
	return out
}

// SeasonReportOf computes what may be published on a day: the state of the last
// month's end at which it could be, each figure up to the month's end at which
// at least LeastCell people had added to it. from is the season's first day. It
// is pure: the same people give the same report, on whatever later day of the
// month it is asked for. none are incidents and near misses of no student.
func SeasonReportOf(people []ReportPerson, from, asked Date, none ReportPerson) SeasonReport {
	people = slices.Clone(people)
	slices.SortFunc(people, func(a, b ReportPerson) int { return strings.Compare(string(a.ID), string(b.ID)) })
	p := &publisher{people: people}
	r := SeasonReport{From: from, Asked: asked}
	q := newQuantities(people, none)
	for end := monthEnd(from); !end.After(asked); end = monthEnd(end.AddDays(1)) {
		here := newSet(len(people))
		for i, one := range people {
			if slices.ContainsFunc(one.Lessons, func(l ReportLesson) bool { return within(l.Day, from, end) }) {
				here.add(i)
			}
		}
		q.month(from, end)
		if !p.fits([]group{{"", here}}) || here.size() < LeastCell {
			continue
		}
		ways := p.table(p.by(here, func(one ReportPerson) string { return wayGroup(one.wayAt(from, end)) }))
		if ways == nil {
			continue
		}
		p.publish(ways)
		r.Shown, r.People, r.To, r.Ways, r.Ages = true, here.size(), end, rows(ways), nil
		if ages := p.table(p.by(here, ageGroup)); ages != nil {
			p.publish(ages)
			r.Ages = rows(ages)
		}
	}
	if !r.Shown {
		r.Notes = append(r.Notes, fmt.Sprintf("Fewer than %d people had lessons by the end of a month of this season, so nothing is told.", LeastCell))
		return r
	}
	r.Figures = q.figures()
	r.Notes = append(r.Notes, fmt.Sprintf("No number stands for fewer than %d people. Groups that would are put together, and a number is renewed at a month's end only once %d more people have added to it, so two reports never tell of fewer either.", LeastCell, LeastCell),
		"Groups are by way of skiing, never by diagnosis.", "Help levels run from 7, helpers move skis and body, to 0, independent; less help is fewer levels.")
	return r
}

func rows(groups []group) []ReportRow {
	var out []ReportRow
	for _, g := range groups {
		out = append(out, ReportRow{g.label, g.of.size()})
	}
	return out
}

func within(d, from, to Date) bool { return !d.Before(from) && !d.After(to) }

// monthEnd is the last day of a day's month.
func monthEnd(d Date) Date { return Date{d.Year, d.Month, 1}.AddMonths(1).AddDays(-1) }

func (p ReportPerson) wayAt(from, to Date) string {
	way := ""
	for _, l := range p.Lessons {
		if within(l.Day, from, to) {
			way = l.Way
		}
	}
	return way
}

// quantities are sums and means over lessons, each published anew only when
// LeastCell people have added to it since.
type quantities struct {
	people []ReportPerson
	none   ReportPerson
	of     []*renewed
}

// renewed is one figure: who adds to it up to a day, and its text then.
type renewed struct {
	label, note string
	adds        func(p ReportPerson, from, to Date) int // how often a person adds up to a day
	text        func(from, to Date) string
	least       int // of what is counted, for events

	last  []int // how often each had added when it was published
	said  string
	until Date
}

func newQuantities(people []ReportPerson, none ReportPerson) *quantities {
	q := &quantities{people: people, none: none}
	lessons := func(p ReportPerson, from, to Date) int {
		n := 0
		for _, l := range p.Lessons {
			if within(l.Day, from, to) {
				n++
			}
		}
		return n
	}
	sum := func(of func(ReportLesson) float64) func(from, to Date) string {
		return func(from, to Date) string {
			s := 0.0
			for _, p := range people {
				for _, l := range p.Lessons {
					if within(l.Day, from, to) {
						s += of(l)
					}
				}
			}
			return fmt.Sprintf("%.0f", s)
		}
	}
	total := func(count func(p ReportPerson, from, to Date) int) func(from, to Date) string {
		return func(from, to Date) string {
			n := 0
			for _, p := range people {
				n += count(p, from, to)
			}
			return fmt.Sprint(n)
		}
	}
	q.of = []*renewed{
		{label: "Lessons", adds: lessons, text: total(lessons)},
		{label: "Hours on snow", adds: lessons, text: sum(func(l ReportLesson) float64 { return float64(l.Minutes) / 60 }), note: "where the minutes were written down"},
		{label: "Hours of volunteers", adds: lessons, text: sum(func(l ReportLesson) float64 { return l.Volunteer })},
		{label: "Skills passed", adds: passed, text: total(passed), note: "each skill and side once, three clean in a row"},
		{label: "Change of help, mean", adds: lessons, text: func(from, to Date) string { return helpChange(people, from, to) }, note: "levels, first against last lesson of each skill and side tried in more than one; below zero is less help"},
		{label: "Days from first contact to first lesson, median", adds: func(p ReportPerson, from, to Date) int { return min(1, lessons(p, from, to)) },
			text: func(from, to Date) string { return waits(people, from, to) }},
	}
	return q
}

func passed(p ReportPerson, from, to Date) int {
	n := 0
	for _, x := range p.Passes {
		if within(x.Day, from, to) {
			n++
		}
	}
	return n
}

// month renews the figures to which enough people have added.
func (q *quantities) month(from, to Date) {
	for _, one := range q.of {
		now := make([]int, len(q.people))
		more := 0
		for i, p := range q.people {
			now[i] = one.adds(p, from, to)
			if now[i] > 0 && (one.last == nil || now[i] != one.last[i]) {
				more++
			}
		}
		if more >= LeastCell {
			one.last, one.said, one.until = now, one.text(from, to), to
		}
	}
}

func (q *quantities) figures() []ReportFigure {
	var out []ReportFigure
	lessons := 0
	var until Date
	for _, one := range q.of {
		f := ReportFigure{Label: one.label, Text: one.said, UpTo: one.until, Note: one.note}
		if f.Text == "" {
			f.Text = "not told: too few people"
		}
		if one.label == "Lessons" {
			_, _ = fmt.Sscan(one.said, &lessons)
			until = one.until
		}
		out = append(out, f)
	}
	for _, kind := range []struct {
		label string
		days  func(ReportPerson) []Date
	}{{"Incidents for 1,000 lessons", func(p ReportPerson) []Date { return p.Harm }}, {"Near misses for 1,000 lessons", func(p ReportPerson) []Date { return p.Near }}} {
		if lessons == 0 {
			continue
		}
		n := 0
		for _, p := range append(slices.Clone(q.people), q.none) {
			for _, d := range kind.days(p) {
				if !d.After(until) {
					n++
				}
			}
		}
		n -= n % LeastCell // told in fives: one more is never seen alone
		text := fmt.Sprintf("under %.0f, fewer than %d", math.Ceil(LeastCell*1000/float64(lessons)), LeastCell)
		if n > 0 {
			text = fmt.Sprintf("about %.0f, %d to %d", 1000*float64(n)/float64(lessons), n, n+LeastCell-1)
		}
		out = append(out, ReportFigure{kind.label, text, until, "counted in fives"})
	}
	return out
}

// helpChange is the mean over people of how the help of a skill and side changed
// from its first lesson to its last.
func helpChange(people []ReportPerson, from, to Date) string {
	sum, n := 0.0, 0
	for _, p := range people {
		first, last := map[string]int{}, map[string]int{}
		tried := map[string]int{}
		for _, l := range p.Lessons {
			if !within(l.Day, from, to) {
				continue
			}
			for k, level := range l.Levels {
				if tried[k]++; tried[k] == 1 {
					first[k] = level
				}
				last[k] = level
			}
		}
		own, m := 0, 0
		for k, times := range tried {
			if times > 1 {
				own, m = own+last[k]-first[k], m+1
			}
		}
		if m > 0 {
			sum, n = sum+float64(own)/float64(m), n+1
		}
	}
	if n < LeastCell {
		return "not told: too few people"
	}
	return fmt.Sprintf("%+.1f", sum/float64(n))
}

func waits(people []ReportPerson, from, to Date) string {
	var days []int
	for _, p := range people {
		for _, l := range p.Lessons {
			if within(l.Day, from, to) {
				if !p.Added.IsZero() && !p.Added.Before(from) {
					days = append(days, int(l.Day.Sub(p.Added).Hours()/24))
				}
				break
			}
		}
	}
	if len(days) < LeastCell {
		return "not told: too few people"
	}
	slices.Sort(days)
	return fmt.Sprint(days[len(days)/2])
}

// ReportPersonOf is what a report knows of a record.
func ReportPersonOf(r Record) ReportPerson {
	p := ReportPerson{ID: r.Student, AgeNow: r.AgeNow, AgeKnown: r.AgeKnown}
	if len(r.Log) > 0 {
		p.Added = DateOf(r.Log[0].MadeAt.In(r.zone()))
	}
	h := r.History()
	levels := map[string]map[string]int{}
	for _, a := range h.Attempts {
		if a.Outcome != progress.Clean {
			continue
		}
		if levels[a.Lesson] == nil {
			levels[a.Lesson] = map[string]int{}
		}
		k := a.Skill + " " + a.Side.Word() + " " + a.Aids.Key()
		if had, ok := levels[a.Lesson][k]; !ok || a.Help < had {
			levels[a.Lesson][k] = a.Help
		}
	}
	for _, l := range r.Lessons {
		one := ReportLesson{Day: l.Day, Way: l.Way, Volunteer: l.Volunteer, Levels: levels[string(l.ID)]}
		if l.OnSnow != nil {
			one.Minutes = *l.OnSnow
		}
		p.Lessons = append(p.Lessons, one)
	}
	slices.SortStableFunc(p.Lessons, func(a, b ReportLesson) int { return strings.Compare(a.Day.String(), b.Day.String()) })
	p.Passes = passesByDay(h)
	return p
}

// passesByDay names each skill and side once, when it was first passed.
func passesByDay(h History) []ReportPass {
	var out []ReportPass
	had := map[string]bool{}
	run := map[progress.Track]int{}
	last := map[progress.Track]progress.Attempt{}
	in := ladderOf().Setting("in_a_row")
	for _, a := range h.Attempts {
		t := progress.Track{Skill: a.Skill, Side: a.Side, Aids: a.Aids}
		b := last[t]
		last[t] = a
		switch {
		case a.Outcome != progress.Clean || a.Trouble != 0:
			run[t] = 0
			continue
		case b.Lesson != a.Lesson || b.Help != a.Help || b.Terrain != a.Terrain:
			run[t] = 0
		}
		run[t]++
		if run[t] != in || had[a.Skill+a.Side.String()] {
			continue
		}
		if _, err := ladderOf().AdmitPass(ladder.Pass(a.Attempt)); err != nil {
			continue
		}
		had[a.Skill+a.Side.String()] = true
		out = append(out, ReportPass{dateOfNumber(a.Day), a.Skill})
	}
	return out
}
