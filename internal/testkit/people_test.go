package testkit_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/demo"
	"firnhand/internal/clock"
	"firnhand/internal/person"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

const peopleDir = "../../demo/people"

// fromFile decides from a person file on a day, by the proposed numbers.
func fromFile(t *testing.T, name, day string, change ...func(finding.Set)) *decide.Answer {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(peopleDir, name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	p, err := person.Read(data)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	on, err := programme.ParseDate(day)
	if err != nil {
		t.Fatal(err)
	}
	c, err := p.Case(decide.Standing(), on, programme.NumbersOf(nil))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, f := range change {
		f(c.Input.Findings)
	}
	return decide.Standing().Decide(c.Input)
}

func gateOf(a *decide.Answer) string {
	x, _ := a.Axis("gate")
	return x.Value
}

// The person files of the demo and its records tell of the same people: both
// ways of writing somebody down, by hand in a file and as facts over a season,
// come to the same answer on every axis, by the same rule table.
func TestPersonFilesAgreeWithTheRecords(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(peopleDir, "*.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	c := clock.At(p.Today.Add(24 * time.Hour))
	v := programme.CoreVocabulary{Table: decide.Standing()}
	s := programme.New(programme.Config{Store: programmetest.NewMemory(), Clock: c, Vocabulary: v, Random: demo.NewRandom(), Zone: p.Zone, Holds: v.Holds})
	if _, err := demo.Load(context.Background(), s, c); err != nil {
		t.Fatal(err)
	}
	lead, _ := p.StaffByKey("sunniva")
	both := 0
	for _, name := range names {
		key := strings.TrimSuffix(filepath.Base(name), ".yaml")
		file := fromFile(t, key, "2026-02-21")
		if x, _ := file.Axis("way"); x.Open {
			t.Errorf("%s: the way of skiing is open", key)
		}
		st, ok := p.StudentByKey(key)
		if !ok {
			continue
		}
		both++
		at := p.Today // those who come on Sundays are asked on Sunday morning
		if slices.Contains([]string{"maren", "pia", "dagny"}, key) {
			at = at.Add(24 * time.Hour)
		}
		r, err := s.StudentAt(context.Background(), lead.Actor(), st.ID, programme.AsOf{Time: at})
		if err != nil {
			t.Fatal(err)
		}
		record := decide.Standing().Decide(programme.DecisionOf(decide.Standing(), r).Input)
		for _, x := range file.Axes {
			id := x.Axis
			if x.Side != "" {
				id += "_" + x.Side
			}
			if y, _ := record.Axis(id); !y.Open && y.Value != x.Value {
				t.Errorf("%s: %s is %s from the file, %s from the record", key, id, x.Value, y.Value)
			}
		}
	}
	if both < 6 {
		t.Errorf("%d people are in both forms", both)
	}
}

// What the files' comments promise: the answer, the exit code (3 with a hold,
// else 0), and what changes when one value is changed. The rows are those the
// comments name.
func TestPersonFilesKeepTheirPromises(t *testing.T) {
	for name, want := range map[string]struct{ way, tie, gate string }{
		"tilde":     {"outriggers", "rigid", "none"},
		"emrys":     {"one_outrigger_right", "elastic", "none"},
		"rosalind":  {"slider", "elastic", "none_with_rules"},
		"maren":     {"slider", "carry_elastic", "none"},
		"kasimir":   {"slider", "none", "none"},
		"pia":       {"outriggers", "rigid", "none"},
		"nell":      {"slider", "rigid_spacer", "hold_standing"},
		"dagny":     {"one_ski_right", "not_used", "none"},
		"yara":      {"sitting", "not_used", "none_with_rules"},
		"seraphine": {"outriggers", "none", "hold"},
	} {
		a := fromFile(t, name, "2026-02-21")
		if !a.Is("way", want.way) || !a.Is("tie", want.tie) || gateOf(a) != want.gate {
			t.Errorf("%s: not %+v", name, want)
		}
	}
	if a := fromFile(t, "seraphine", "2026-01-25"); gateOf(a) != "none" || !a.Is("plan", "PL-B") {
		t.Errorf("seraphine in January: %s", gateOf(a))
	}
	set := func(id string, side finding.Side, value string) func(finding.Set) {
		return func(s finding.Set) {
			if err := s.PutBoth(id, side, value); err != nil {
				t.Fatal(err)
			}
		}
	}
	if a := fromFile(t, "emrys", "2026-02-21", set("trunk", finding.NoSide, "2")); !a.Is("way", "slider") || !a.Is("trough_left", "yes") || !a.Is("trough_right", "no") {
		t.Error("emrys with trunk 2 is not in a slider with a trough left")
	}
	a := fromFile(t, "kasimir", "2026-02-21", set("place_of5", finding.Left, "4"), set("balance_lost_lifting_one", finding.NoSide, "no"))
	if !a.Is("way", "outriggers") {
		t.Error("kasimir with 4 of 5 and balance kept has no outriggers")
	}
	noon := fromFile(t, "maren", "2026-02-22", set("booked_hour", finding.NoSide, "13"))
	nine := fromFile(t, "maren", "2026-02-22")
	says := func(a *decide.Answer, code string) bool {
		return slices.ContainsFunc(a.Notes, func(n decide.NoteAnswer) bool { return n.Code == code })
	}
	if !says(noon, "booked_after_noon") || says(nine, "booked_after_noon") || gateOf(noon) != gateOf(nine) {
		t.Error("maren at one o'clock is not warned, or held")
	}
	if a := fromFile(t, "pia", "2026-02-22"); !says(a, "tie_latex_free") || !says(a, "latex_free_whole_lesson") {
		t.Error("pia is not told to ski latex-free")
	}
}
