package programme

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// Small cells are common practice without a source; that two reports are not to
// be subtracted from each other is the same rule applied to two.

// crowd is an invented programme: people who come and go through a season, some
// changing their way of skiing.
func crowd(r *rand.Rand, n int) []ReportPerson {
	ways := []string{"none", "outriggers", "one_outrigger_left", "slider", "one_ski_right"}
	var out []ReportPerson
	for i := range n {
		p := ReportPerson{ID: ID(fmt.Sprintf("0190a5d0-ac96-774b-8cce-%012x", r.IntN(1<<30)<<8|i)), AgeNow: 5 + r.IntN(75), AgeKnown: r.IntN(12) > 0, Added: Date{2026, time.December, 1}}
		way := ways[min(r.IntN(5), r.IntN(5))]
		day := Date{2026, time.December, 1}.AddDays(r.IntN(120))
		for range r.IntN(12) {
			if r.IntN(15) == 0 {
				way = ways[r.IntN(5)]
			}
			p.Lessons = append(p.Lessons, ReportLesson{Day: day, Way: way, Minutes: 60, Volunteer: 1, Levels: map[string]int{"K23 left": r.IntN(8)}})
			day = day.AddDays(1 + r.IntN(20))
		}
		out = append(out, p)
	}
	return out
}

// told is a published count with the people it stands for, as somebody who
// knows the programme would work it out.
type told struct {
	where string
	n     int
	of    set
}

// toldBy lists every count of a report, and every sum of rows of one table.
func toldBy(people []ReportPerson, rep SeasonReport) []told {
	if !rep.Shown {
		return nil
	}
	tables := []struct {
		name  string
		rows  []ReportRow
		label func(ReportPerson) string
	}{{"ways", rep.Ways, func(p ReportPerson) string { return wayGroup(p.wayAt(rep.From, rep.To)) }}, {"ages", rep.Ages, ageGroup}}
	var out []told
	for _, t := range tables {
		for mask := 1; mask < 1<<len(t.rows); mask++ {
			one := told{fmt.Sprintf("%s %v of %s", t.name, t.rows, rep.To), 0, newSet(len(people))}
			for i, row := range t.rows {
				if mask&(1<<i) == 0 {
					continue
				}
				one.n += row.N
				for q, p := range people {
					if p.wayAt(rep.From, rep.To) == "" { // no lesson by then
						continue
					}
					for part := range strings.SplitSeq(row.Label, ", or ") {
						if strings.EqualFold(part, t.label(p)) {
							one.of.add(q)
						}
					}
				}
			}
			out = append(out, one)
		}
	}
	return append(out, told{"people of " + rep.To.String(), rep.People, everyBy(people, rep)})
}

func everyBy(people []ReportPerson, rep SeasonReport) set {
	s := newSet(len(people))
	for i, p := range people {
		if p.wayAt(rep.From, rep.To) != "" {
			s.add(i)
		}
	}
	return s
}

// attack subtracts every count from every other and returns what tells of fewer
// than five people.
func attack(all []told) []string {
	var hits []string
	for i, a := range all {
		if a.n > 0 && a.n < LeastCell {
			hits = append(hits, a.where)
		}
		for _, b := range all[:i] {
			if singles(a.of, b.of) {
				hits = append(hits, a.where+" less "+b.where)
			}
		}
	}
	return hits
}

// TestReportsSingleNobodyOut: over whole seasons of invented programmes no count
// of any report, no sum of its rows and no difference between two reports tells
// of fewer than five people; and the counts are true.
func TestReportsSingleNobodyOut(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	shown, months, split := 0, 0, 0
	for range 150 {
		people := crowd(r, 3+r.IntN(40))
		var all []told
		lessons := map[string]ReportFigure{}
		from := Date{2026, time.July, 1}
		for day := (Date{2026, time.December, 10}); day.Before(Date{2027, time.July, 1}); day = day.AddDays(1 + r.IntN(25)) {
			rep := SeasonReportOf(people, from, day, ReportPerson{})
			months++
			if !rep.Shown {
				continue
			}
			shown++
			if len(rep.Ways) > 1 {
				split++
			}
			said := toldBy(sorted(people), rep)
			for _, one := range said {
				if one.of.size() != one.n {
					t.Fatalf("%s says %d, it is %d", one.where, one.n, one.of.size())
				}
			}
			all = append(all, said...)
			for _, f := range rep.Figures {
				had, ok := lessons[f.Label]
				if ok && had.Text != f.Text && !strings.Contains(f.Label, "1,000") {
					if n := contributors(people, had.UpTo, f.UpTo); n < LeastCell {
						t.Fatalf("%s went from %s (%s) to %s (%s) by %d people", f.Label, had.Text, had.UpTo, f.Text, f.UpTo, n)
					}
				}
				lessons[f.Label] = f
			}
		}
		if hits := attack(all); len(hits) > 0 {
			t.Fatalf("%d people: %s", len(people), hits[0])
		}
	}
	if shown < months/3 || split < shown/3 {
		t.Errorf("of %d reports %d were shown and %d told of ways", months, shown, split)
	}
}

func sorted(people []ReportPerson) []ReportPerson { return people }

// contributors counts people with a lesson after one day up to another.
func contributors(people []ReportPerson, after, to Date) int {
	n := 0
	for _, p := range people {
		for _, l := range p.Lessons {
			if l.Day.After(after) && !l.Day.After(to) {
				n++
				break
			}
		}
	}
	return n
}

// TestAttackSees: the same attack finds somebody in reports that only hide small
// cells.
func TestAttackSees(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 34))
	found := 0
	for range 60 {
		people := crowd(r, 15+r.IntN(20))
		var all []told
		for month := time.January; month <= time.April; month++ {
			end := monthEnd(Date{2027, month, 1})
			rep := SeasonReport{Shown: true, From: Date{2026, time.July, 1}, To: end}
			here := everyBy(people, rep)
			p := publisher{people: people}
			for _, g := range p.by(here, func(one ReportPerson) string { return wayGroup(one.wayAt(rep.From, end)) }) {
				if g.of.size() >= LeastCell {
					rep.Ways = append(rep.Ways, ReportRow{g.label, g.of.size()})
				}
			}
			rep.People = here.size()
			all = append(all, toldBy(people, rep)...)
		}
		if len(attack(all)) > 0 {
			found++
		}
	}
	if found < 40 {
		t.Errorf("the attack finds somebody in only %d of 60 careless reports", found)
	}
}

// TestAlikeSinglesNobodyOut: groups of others like somebody have five others at
// least and do not overlap, so asking for two students never tells of one.
func TestAlikeSinglesNobodyOut(t *testing.T) {
	r := rand.New(rand.NewPCG(35, 36))
	told := 0
	for range 200 {
		var people []FunctionPerson
		kinds := 1 + r.IntN(4)
		for i := range r.IntN(60) {
			p := FunctionPerson{ID: ID(fmt.Sprintf("0190a5d0-ac96-774b-8cce-%012x", i)), Way: []string{"none", "outriggers", "slider"}[r.IntN(3)], Lessons: r.IntN(9), Change: -r.Float64(), Passes: r.IntN(9)}
			base := float64(i%kinds) / float64(kinds)
			for range FunctionFindings {
				v := base + 0.15*r.Float64()
				if r.IntN(10) == 0 {
					v = math.NaN()
				}
				p.Values = append(p.Values, v)
			}
			people = append(people, p)
		}
		seen := map[int]bool{}
		for _, g := range alikeGroups(people) {
			if len(g) < LeastCell+1 {
				t.Fatalf("a group of %d", len(g))
			}
			for _, i := range g {
				if seen[i] {
					t.Fatal("somebody is in two groups")
				}
				seen[i] = true
			}
			first := AlikeOf(people, people[g[0]].ID)
			for _, i := range g {
				if a := AlikeOf(people, people[i].ID); a.Enough && fmt.Sprint(a) != fmt.Sprint(first) {
					t.Fatalf("two answers for one group:\n%+v\n%+v", a, first)
				}
			}
			if first.Enough {
				told++
				sum := 0
				for _, row := range first.SetUps {
					sum += row.N
					if row.N < LeastCell {
						t.Fatalf("a row of %d", row.N)
					}
				}
				if first.N < LeastCell || sum != first.N+1 {
					t.Fatalf("%+v", first)
				}
			}
		}
	}
	if told < 100 {
		t.Errorf("only %d answers", told)
	}
	if a := AlikeOf(nil, "nobody"); a.Enough || a.Why == "" {
		t.Errorf("%+v", a)
	}
}

// BenchmarkSeasonReport makes the report of 100,000 attempts from facts.
func BenchmarkSeasonReport(b *testing.B) {
	facts := map[ID][]Fact{}
	r := rand.New(rand.NewPCG(1, 1))
	for s := range 250 {
		student := ID(fmt.Sprintf("0190a5d0-ac96-774b-8cce-%012x", s))
		var all []Fact
		at := time.Date(2026, 12, 1+r.IntN(20), 9, 0, 0, 0, time.UTC)
		add := func(kind Kind, payload string) ID {
			n := len(all)
			f := Fact{ID: ID(fmt.Sprintf("0190a5d0-ac96-774b-%04x-%012x", 0x8000+s, n)), Student: student, Kind: kind, Version: 1, Seq: int64(n + 1), MadeAt: at, RecordedAt: at, Payload: []byte(payload)}
			all = append(all, f)
			return f.ID
		}
		add(KindStudent, `{"name_used":"X","birth_date":"1990-01-01"}`)
		for range 20 {
			at = at.AddDate(0, 0, 3)
			lesson := add(KindLessonOpened, fmt.Sprintf(`{"day":%q,"way":"outriggers"}`, DateOf(at)))
			for range 20 {
				at = at.Add(2 * time.Minute)
				add(KindAttempt, fmt.Sprintf(`{"lesson":%q,"skill":"K25","side":%q,"help":%d,"outcome":%q,"terrain":"beginner","way":"outriggers"}`,
					lesson, []string{"left", "right"}[r.IntN(2)], r.IntN(8), []string{"clean", "partly", "miss"}[r.IntN(3)]))
			}
		}
		facts[student] = all
	}
	for b.Loop() {
		var people []ReportPerson
		for id, all := range facts {
			people = append(people, ReportPersonOf(RecordOf(id, all, Judging{})))
		}
		if rep := SeasonReportOf(people, Date{2026, 7, 1}, Date{2027, 3, 31}, ReportPerson{}); !rep.Shown {
			b.Fatal("nothing shown")
		}
	}
}
