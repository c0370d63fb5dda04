package decide

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// small is a whole table of a few rules, for tests that break it.
const small = `table small
version 1

setting stand_s_min = 10 s, 5 to 30
  means Standing this long is enough.
  basis P

define weak = either push_out <= 1

gate X1 hold
  when open_skin = yes
  clears nurse
  because Skin first.
  basis CP
gate X2 rule
  when insulin = yes
  because Sugar first.
  card Look at {stand_s_min} s
  basis S37

axis way
  asks Way of skiing
  value none no aids
  value outriggers outriggers
rule A1
  for way
  when weak or stand_s < {stand_s_min}
  then outriggers
  because Needs hands.
  basis CP
rule A2
  for way
  otherwise none
  because Steady.
  basis CP

axis brace_in each side
  asks Brace
  value yes in
  value no out
rule B1
  for brace_in
  when this foot_corrects = no
  then yes
  because The foot does not come square.
  basis CP
rule B2
  for brace_in
  otherwise no
  because It does.
  basis CP

axis people_base
  asks People before extras
  value 1 one
  value 2 two
rule C1
  for people_base
  when way = outriggers
  then 2
  because One helper.
  basis CP
rule C2
  for people_base
  otherwise 1
  because The lead.
  basis CP
sum people
  asks People
  from people_base
  most 3
extra C3
  for people
  when bolts = yes
  because May bolt.
  basis P

note stop_word stop
  when way in (none, outriggers)
  say The student's word ends the run.
  basis CP
`

func TestSmallTable(t *testing.T) {
	table, err := Parse(small)
	if err != nil {
		t.Fatal(err)
	}
	if table.Name != "small" || table.Version != "1" || len(table.Settings()) != 1 || len(table.Notes()) != 1 {
		t.Errorf("%+v", table)
	}
	if s := table.Settings()[0]; s.Name != "stand_s_min" || s.Value != 10 || s.Unit != "s" || s.Min != 5 || s.Max != 30 || !s.Proposed ||
		s.Means != "Standing this long is enough." || s.Basis[0] != "P" {
		t.Errorf("%+v", s)
	}
	var ids []string
	for _, r := range table.Rules() {
		ids = append(ids, r.ID+" "+r.Side.String())
	}
	if got := strings.Join(ids, ","); got != "A1 ,A2 ,B1 L,B2 L,B1 R,B2 R,C1 ,C2 ,C3 " {
		t.Error(got)
	}
	in := Input{Findings: finding.Set{}}
	a := table.Decide(in)
	if x, _ := a.Axis("way"); !x.Open || len(x.Possible) != 2 {
		t.Errorf("%+v", x)
	}
	if a.Numbers != (Numbers{}) {
		t.Errorf("a table without those settings has no numbers: %+v", a.Numbers)
	}
	if !a.has("stop_word") {
		t.Error("the note does not depend on anything")
	}
	for _, k := range []string{"stand_s", "bolts", "foot_corrects L", "foot_corrects R", "push_out L", "push_out R", "open_skin", "insulin"} {
		id, side, _ := strings.Cut(k, " ")
		s := map[string]finding.Side{"": finding.NoSide, "L": finding.Left, "R": finding.Right}[side]
		v := map[string]string{"stand_s": "9.9", "push_out": "3", "foot_corrects": "yes", "bolts": "yes", "open_skin": "no", "insulin": "yes"}[id]
		if err := in.Findings.PutBoth(id, s, v); err != nil {
			t.Fatal(err)
		}
	}
	a = table.Decide(in)
	for axis, want := range map[string]string{"way": "outriggers", "brace_in_left": "no", "people": "3", "gate": "none_with_rules"} {
		if !a.Is(axis, want) {
			x, _ := a.Axis(axis)
			t.Errorf("%s: %+v", axis, x)
		}
	}
	if len(a.Gates) != 1 || a.Gates[0].Card != "Look at 10 s" {
		t.Errorf("%+v", a.Gates)
	}
	if _, ok := a.Axis("nothing"); ok || a.Is("nothing", "") {
		t.Error("there is no axis nothing")
	}
}

// broken is one fault put into the small table, or a text of its own.
type broken struct {
	old, new string // replaced in the small table
	code     string
	says     string
}

// Every fault of a table is found, with its line, its code and a sentence that
// names what is wrong.
func TestProblems(t *testing.T) {
	for _, c := range []broken{
		// syntax
		{"table small\n", "tabel small\n  means this\n", "syntax", `"tabel" does not start anything`},
		{"  because Needs hands.", "  becos Needs hands.", "syntax", `"becos" is not a line of a rule`},
		{"setting stand_s_min = 10 s, 5 to 30", "setting stand_s_min 10 s, 5 to 30", "syntax", "Write: setting name = value unit, low to high."},
		{"setting stand_s_min = 10 s, 5 to 30", "setting stand_s_min = 10 s", "syntax", "Write: setting"},
		{"10 s, 5 to 30", "ten s, 5 to 30", "syntax", "needs a value inside its own range"},
		{"10 s, 5 to 30", "10 s, 5 - 30", "syntax", "needs a value inside its own range"},
		{"10 s, 5 to 30", "40 s, 5 to 30", "syntax", "needs a value inside its own range"},
		{"setting stand_s_min = 10 s, 5 to 30", "setting", "syntax", "A setting needs a name."},
		{"define weak = either push_out <= 1", "define weak", "syntax", "Write: define name = condition."},
		{"gate X1 hold", "gate X1", "syntax", "Write: gate id effect"},
		{"  when open_skin = yes\n", "", "syntax", "Gate X1 needs a condition and a reason."},
		{"  because Skin first.\n", "", "syntax", "Gate X1 needs a condition and a reason."},
		{"  clears nurse\n", "", "syntax", "Gate X1 holds but does not say who clears it."},
		{"note stop_word stop", "note stop_word shout", "syntax", "Write: note name kind"},
		{"note stop_word stop", "note stop_word", "syntax", "Write: note name kind"},
		{"note stop_word stop", "note stop_word stop each side", "syntax", "needs a code with {this} or {other}"},
		{"  say The student's word ends the run.\n", "", "syntax", "Note stop_word needs a condition and something to say."},
		{"  because Needs hands.\n", "", "syntax", "Rule A1 gives no reason."},
		{"  when weak or stand_s < {stand_s_min}\n", "", "syntax", "Rule A1 needs a line that starts with when or otherwise."},
		{"  because Needs hands.\n  basis CP\n", "  because Needs hands.\n", "syntax", "has no basis"},
		{"  most 3", "  most many", "syntax", "Sum people needs a whole number as its most."},
		{"  most 3", "  most 0", "syntax", "Sum people needs a whole number"},
		{"  value none no aids\n", "", "syntax", "Axis way needs between 2 and 31 values."},
		{"when weak or", "when weak or or", "unknown_id", `"or"`},
		{"when weak or", "when (weak or", "syntax", "A ( without its )."},
		{"when weak or", "when weak ) or", "syntax", `")" is not expected here.`},
		{"stand_s < {stand_s_min}", "stand_s <", "syntax", "stand_s < needs a value."},
		{"stand_s < {stand_s_min}", "stand_s", "syntax", "stand_s must be followed by"},
		{"stand_s < {stand_s_min}", "not", "syntax", "The condition ends too early."},
		{"stand_s < {stand_s_min}", "stand_s < {stand_s_min", "syntax", "A { without its }."},
		{"stand_s < {stand_s_min}", "stand_s in (5", "syntax", "The list after stand_s in is not closed."},
		{"stand_s < {stand_s_min}", "stand_s in 5", "syntax", "Write: stand_s in (a, b)."},
		{"weak or stand_s", "each stand_s", "syntax", "stand_s has no sides."},
		{"when this foot_corrects = no", "when foot_corrects = no", "syntax", "foot_corrects has a left and a right"},
		{"when this foot_corrects = no", "when tired this foot_corrects = no", "syntax", "foot_corrects has no tired value."},
		{"define weak = either push_out <= 1", "define weak = this push_out <= 1", "syntax", `"this" needs a block that says: each side.`},
		{"  because Needs hands.", "  because Needs the {this} hand.", "syntax", "{this} needs a block that says: each side."},
		{"when bolts = yes", "when goal = yes", "syntax", "goal is free text"},
		{"when bolts = yes", "when wish < poles", "syntax", "wish has no order"},
		{"when bolts = yes", "when gap stand_s >= 2", "syntax", "Write: gap finding >= levels"},
		{"when bolts = yes", "when gap push_out >= x", "syntax", "Write: gap finding >= levels"},
		{"when bolts = yes", "when gap push_out < 2", "syntax", "Write: gap finding >= levels"},
		{"when this foot_corrects = no", "when this ankle_deg < other ankle_deg", "syntax", "can only be compared with the other side of itself"},
		{"when this foot_corrects = no", "when this foot_corrects = other foot_corrects", "syntax", "can only be compared with the other side of itself"},
		{"when this foot_corrects = no", "when this foot_corrects < other push_out", "syntax", "can only be compared with the other side of itself"},
		{"define weak = either push_out <= 1", "define weak = either push_out < other push_out", "syntax", `"other" needs a block`},
		{"when way = outriggers", "when way < outriggers", "syntax", "way can only be compared with =, != or in."},
		{"when way = outriggers", "when way", "syntax", "way must be followed by"},
		{"when way = outriggers", "when brace_in = yes", "syntax", "brace_in has a left and a right: say which side."},
		// unknown_id
		{"when bolts = yes", "when boltz = yes", "unknown_id", "Did you mean bolts?"},
		{"when bolts = yes", "when bolts = maybe", "unknown_id", `no level "maybe"`},
		{"when bolts = yes", "when bolts = unknown", "unknown_id", `bolts cannot be compared with "unknown"`},
		{"stand_s < {stand_s_min}", "stand_s < 61", "unknown_id", "must lie between 0 and 60"},
		{"stand_s < {stand_s_min}", "stand_s < {stand_min}", "unknown_id", `There is no setting called "stand_min".`},
		{"when way = outriggers", "when way = slider", "unknown_id", `way has no answer "slider".`},
		{"  then outriggers", "  then slider", "unknown_id", `Rule A1 answers "slider", which is not a value of axis way.`},
		{"rule A1\n  for way", "rule A1\n  for wey", "unknown_id", `Rule A1 is for "wey"`},
		{"rule A1\n  for way", "rule A1\n  for people", "unknown_id", `Rule A1 is for "people"`},
		{"extra C3\n  for people", "extra C3\n  for way", "unknown_id", `Extra C3 is for "way"`},
		{"  from people_base", "  from way_base", "unknown_id", `Sum people starts from "way_base"`},
		{"gate X1 hold", "gate X1 stop", "unknown_id", `"stop" is not an effect of a gate.`},
		{"basis S37", "basis S57", "unknown_id", `"S57" is not a basis`},
		{"basis S37", "basis S0", "unknown_id", `"S0" is not a basis`},
		{"basis S37", "basis heard", "unknown_id", `"heard" is not a basis`},
		{"basis S37", "basis Sx", "unknown_id", `"Sx" is not a basis`},
		{"  because Skin first.", "  because Skin first.\n  assume open_skinn = no", "unknown_id", "open_skinn"},
		// duplicate
		{"rule A2\n", "rule A1\n", "duplicate", "The rule A1 is already on line"},
		{"extra C3\n", "extra A1\n", "duplicate", "The rule A1 is already on line"},
		{"gate X2 rule", "gate X1 rule", "duplicate", "The gate X1 is already on line"},
		{"axis people_base\n", "axis way\n", "duplicate", "The axis way is already on line"},
		{"define weak =", "define weak = bolts = yes\ndefine weak =", "duplicate", "The define weak is already on line"},
		{"define weak =", "setting stand_s_min = 1 s, 0 to 2\n  basis P\ndefine weak =", "duplicate", "The setting stand_s_min is already on line"},
		{"axis people_base\n", "axis gait\n", "duplicate", "gait is the name of a finding already."},
		// contradiction
		{"rule A2\n", "rule A1b\n  for way\n  when weak or stand_s  <  {stand_s_min}\n  then none\n  because No.\n  basis CP\nrule A2\n", "contradiction",
			"Rules A1 and A1b have the same condition and answer outriggers and none."},
		// unreachable
		{"rule A2\n", "rule A1b\n  for way\n  when weak\n  then none\n  because No.\n  basis CP\nrule A2\n", "unreachable", "Rule A1b of axis way can never decide"},
		{"stand_s < {stand_s_min}", "stand_s < 0", "", ""}, // not unreachable: weak still decides
		{"when weak or stand_s < {stand_s_min}", "when weak and stand_s < 0", "unreachable", "Rule A1 of axis way can never decide"},
		{"when open_skin = yes", "when open_skin = yes and open_skin = no", "unreachable", "The condition of gate X1 can never hold."},
		{"when bolts = yes", "when bolts = yes and bolts = no", "unreachable", "The condition of extra C3 can never hold."},
		{"when way in (none, outriggers)", "when way = none and way = outriggers", "unreachable", "The condition of note stop_word can never hold."},
		{"when weak or stand_s", "when stand_s", "unreachable", "The condition weak is named but never used."},
		// gap
		{"rule A2\n  for way\n  otherwise none", "rule A2\n  for way\n  when bolts = no\n  then none", "gap", "The last rule of axis way must say otherwise"},
		{"note stop_word stop", "axis lonely\n  asks Alone\n  value a a\n  value b b\nnote stop_word stop", "gap", "Axis lonely has no rules."},
		// cycle
		{"define weak = either push_out <= 1", "define weak = bolts = yes or weak", "cycle", "The condition weak is defined by itself."},
		{"when weak or stand_s < {stand_s_min}", "when weak or people_base = 2", "cycle", "people_base is asked for before it is decided"},
		{"when weak or stand_s < {stand_s_min}", "when weak or tires people_base", "cycle", "people_base is asked for before it is decided"},
	} {
		text := strings.Replace(small, c.old, c.new, 1)
		if text == small {
			t.Errorf("%q is not in the small table", c.old)
			continue
		}
		table, err := Parse(text)
		if c.code == "" {
			if err != nil {
				t.Errorf("%q: %v", c.new, err)
			}
			continue
		}
		var problems Problems
		if !errors.As(err, &problems) || table != nil {
			t.Errorf("%q: no problem", c.new)
			continue
		}
		found := false
		for _, p := range problems {
			found = found || (p.Code == c.code && strings.Contains(p.Sentence, c.says))
			if p.Line < 1 || p.Line > 2+strings.Count(text, "\n") || !strings.HasSuffix(p.Sentence, ".") && !strings.HasSuffix(p.Sentence, "?") {
				t.Errorf("%q: line %d, sentence %q", c.new, p.Line, p.Sentence)
			}
		}
		if !found {
			t.Errorf("%q: want %s %q, got\n%v", c.new, c.code, c.says, err)
		}
		if !strings.HasPrefix(err.Error(), "line ") {
			t.Errorf("%v", err)
		}
	}
}

// The line named is the line the fault is on, and all faults are told, in
// order.
func TestProblemLines(t *testing.T) {
	text := strings.Replace(strings.Replace(small, "when bolts = yes", "when boltz = yes", 1), "when open_skin = yes", "when open_skim = yes", 1)
	_, err := Parse(text)
	var problems Problems
	if !errors.As(err, &problems) || len(problems) != 2 {
		t.Fatalf("%v", err)
	}
	lines := strings.Split(text, "\n")
	if lines[problems[0].Line-1] != "gate X1 hold" || lines[problems[1].Line-1] != "extra C3" {
		t.Errorf("%v", err)
	}
}

// The table that comes with the program is clean, and Standing is it.
func TestStandingTableIsClean(t *testing.T) {
	table, err := Parse(StandingText())
	if err != nil {
		t.Fatal(err)
	}
	if got, want := len(table.Rules()), len(Standing().Rules()); got != want {
		t.Errorf("%d rules, Standing has %d", got, want)
	}
	for _, s := range table.Settings() {
		if s.Means == "" || s.Value < s.Min || s.Value > s.Max || (s.Unit == "" && strings.HasSuffix(s.Name, "_mm")) {
			t.Errorf("setting %+v", s)
		}
	}
	// Every gate G1 to G17 of trade A3 is there.
	gates := map[string]bool{}
	for _, g := range table.Gates() {
		gates[g.ID] = true
	}
	for n := 1; n <= 17; n++ {
		if id := fmt.Sprintf("G%d", n); !gates[id] {
			t.Errorf("gate %s is missing", id)
		}
	}
	// Every rule row of trade B2 that gives an answer is there under its id.
	rules := map[string]bool{}
	for _, r := range table.Rules() {
		rules[r.ID] = true
	}
	for _, id := range strings.Fields("D1 D2 D3 D4 D5 D5c D6 D7 D8 D9 D10 T0 T1 T1b T2 T3 B1 B2 B3 B4 H1 H2 H3 H4 C2 N0 N1 N2 N3 P1 P2 P3 P4 P6 TR1 TR2 TR4") {
		if !rules[id] {
			t.Errorf("rule %s of the trade is missing", id)
		}
	}
}

// A number marked [P] in trade A3 and B is a setting that says so.
func TestProposedNumbersAreSettings(t *testing.T) {
	for name, want := range map[string]struct {
		value float64
		basis string
	}{
		"shunt_surgery_months":      {3, "P"},    // A2, G2
		"release_months":            {12, "S13"}, // G3
		"seizure_hold_months":       {3, "S14"},  // G4
		"seizure_letter_months":     {12, "S31"}, // A2
		"hip_migration_pct":         {30, "S28"}, // A2
		"heart_review_months":       {12, "P"},   // A2
		"relapse_months":            {3, "P"},    // A2
		"botulinum_months":          {3, "M"},    // A2
		"growth_cm":                 {3, "P"},    // G13
		"evaluation_days_changing":  {60, "P"},   // G17
		"upright_min":               {10, "P"},   // D9
		"stand_unaided_s":           {30, "P"},   // D3
		"stand_slider_s":            {5, "P"},    // D5
		"stand_one_outrigger_s":     {10, "P"},   // D6
		"arm_level":                 {3, "P"},    // D4
		"place_hits":                {4, "P"},    // D4, D5c
		"one_leg_s":                 {10, "P"},   // D2
		"one_leg_bends":             {5, "P"},    // D2
		"guide_sight_m":             {6, "P"},    // D7
		"slider_heavy_kg":           {70, "P"},   // P3
		"people_most":               {4, "P"},    // P5
		"stop_delay_s":              {3, "P"},    // N0
		"boot_lean_deg":             {17, "S41"}, // H1
		"heel_mm_per_deg":           {3.5, "CP"}, // H1
		"heel_start_mm":             {5, "CP"},   // H1
		"leg_length_split_mm":       {10, "CP"},  // H4
		"hip_contracture_deg":       {30, "P"},   // B4
		"block_share":               {0.8, "P"},  // E7
		"feet_check_min":            {30, "P"},   // E7
		"insulin_check_h":           {2, "S37"},  // G10
		"wind_chill_stop_c":         {-27, "P"},  // E7
		"wind_chill_stop_reduced_c": {-15, "P"},  // E7
	} {
		s := Standing().settingMap[name]
		if s == nil || s.Value != want.value || s.Basis[0] != want.basis || s.Proposed != (want.basis == "P") {
			t.Errorf("%s: %+v, want %v", name, s, want)
		}
	}
	// H1: 3.5 mm buys 1 degree: tan 1 degree over 200 mm heel to ball.
	if got := 200 * math.Tan(math.Pi/180); math.Abs(got-Standing().setting("heel_mm_per_deg")) > 0.05 {
		t.Errorf("tan 1 degree over 200 mm is %.3f mm", got)
	}
}

// A trainer's edit: a number of the programme's own changes what is decided,
// and a number outside its range is refused with a sentence.
func TestProgrammeNumbers(t *testing.T) {
	in := student(t, steady, "stand_s 25")
	if !Standing().Decide(in).Is("way", "outriggers") {
		t.Fatal("D4: stands 5-29 s")
	}
	own, err := ParseWith(StandingText(), map[string]float64{"stand_unaided_s": 20, "insulin_check_h": 1, "people_most": 3})
	if err != nil {
		t.Fatal(err)
	}
	if !own.Decide(in).Is("way", "none") {
		t.Error("with 20 s as the programme's number, 25 s is enough")
	}
	if s := own.settingMap["stand_unaided_s"]; s.Value != 20 || !s.Proposed {
		t.Errorf("%+v", s)
	}
	for _, g := range own.Gates() {
		if g.ID == "G10" && !strings.Contains(g.Card, "every 1 h") {
			t.Errorf("the card says %q", g.Card)
		}
	}
	crowd := student(t, steady, "gait W2\nmass_kg 90\nvision_m 2\nbolts yes\ntwo_person_lift yes")
	if !own.Decide(crowd).Is("people", "3") || !Standing().Decide(crowd).Is("people", "4") {
		t.Error("the most people around a student is the programme's number")
	}
	if !Standing().Decide(in).Is("way", "outriggers") {
		t.Error("the standing table has changed")
	}
	for name, bad := range map[string]float64{"stand_unaided_s": 61, "people_most": 1, "heel_most_mm": 13, "arm_level": math.NaN(), "wind_chill_stop_c": math.Inf(-1)} {
		table, err := ParseWith(StandingText(), map[string]float64{name: bad})
		if err == nil || table != nil || !strings.Contains(err.Error(), "Setting "+name+" is ") || !strings.Contains(err.Error(), "must lie between") {
			t.Errorf("%s = %v: %v", name, bad, err)
		}
	}
	if _, err := ParseWith(StandingText(), map[string]float64{"stand_unaded_s": 20}); err == nil || !strings.Contains(err.Error(), `There is no setting called "stand_unaded_s".`) {
		t.Errorf("%v", err)
	}
	if _, err := ParseWith(StandingText(), map[string]float64{"people_most": 2.5}); err == nil || !strings.Contains(err.Error(), "whole number") {
		t.Errorf("half a person: %v", err)
	}
}

// With every setting at its lowest, at its highest and at numbers drawn
// between, the engine still agrees with the plain version.
func TestPlainWithOtherNumbers(t *testing.T) {
	const tables, people = 12, 12
	sayPeople(t, tables*people)
	for n := range tables {
		r := source(n)
		values := map[string]float64{}
		for _, s := range Standing().Settings() {
			x := []float64{0, 1, math.Round(r.Float64()*8) / 8}[min(n, 2)]
			values[s.Name] = math.Round((s.Min+x*(s.Max-s.Min))*4) / 4
			values[s.Name] = min(max(values[s.Name], s.Min), s.Max)
			switch s.Name {
			case "people_most", "arm_level":
				values[s.Name] = math.Round(values[s.Name])
			}
		}
		table, err := ParseWith(StandingText(), values)
		var problems Problems
		if errors.As(err, &problems) { // extreme numbers may make a rule unreachable, which is worth a warning but is still a table
			for _, p := range problems {
				if p.Code != "unreachable" {
					t.Errorf("%v: %v", values, p)
				}
			}
			if table, err = read(StandingText(), values, false); err != nil {
				t.Fatal(err)
			}
		}
		plain := plainRead(StandingText(), values)
		draw := drawer{plain}
		var y plainTally
		for k := range people {
			in := draw.person(2_000_000 + n*people + k)
			if diff := comparePlain(table, plain, in, 100, &y); diff != "" {
				t.Fatalf("seed=%d table %d person %d (%s):\n%s\n%v", *seedFlag, n, k, written(in), diff, values)
			}
		}
	}
}

// Texts nobody means well with: refused with a sentence, never a panic, and
// never a table that decides something else than it says.
func TestTooMuchOrMeaningless(t *testing.T) {
	numbered := func(n int, block string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(strings.ReplaceAll(strings.ReplaceAll(block, "#1", fmt.Sprint(i+1)), "#", fmt.Sprint(i)))
		}
		return b.String()
	}
	for name, text := range map[string]string{
		"300 gates":               small + numbered(300, "gate Z# hold\n  when bolts = yes\n  clears x\n  because y\n  basis CP\n"),
		"an axis without a name":  small + "axis\n  value a a\n  value b b\n",
		"a sum without a name":    small + "sum\n  from people_base\n  most 3\n",
		"less than na":            strings.Replace(small, "when bolts = yes", "when hip_check_months < na", 1),
		"40 numbers for a value":  small + numbered(40, "note z# warn\n  when stand_s < #1\n  say y\n  basis CP\n"),
		"tired before a define":   strings.Replace(small, "when weak or", "when tired weak or", 1),
		"gap before a define":     strings.Replace(small, "when weak or", "when gap weak or", 1),
		"gap before an axis":      strings.Replace(small, "when way = outriggers", "when gap way = outriggers", 1),
		"a sum from words":        strings.Replace(small, "from people_base", "from way", 1),
		"a sum from the gate":     strings.Replace(small, "from people_base", "from gate", 1),
		"the same value twice":    strings.Replace(small, "  value none no aids\n", "  value none no aids\n  value none nothing\n", 1),
		"na where it cannot be":   strings.Replace(small, "when bolts = yes", "when bolts = yes or bolts = na", 1),
		"two sides at once":       strings.Replace(small, "when this foot_corrects = no", "when left right foot_corrects = no", 1),
		"tires before a finding":  strings.Replace(small, "when bolts = yes", "when bolts = yes or tires gait", 1),
		"an each-side gate":       strings.Replace(small, "gate X1 hold", "gate X1 hold each side", 1),
		"a note for another axis": strings.Replace(small, "  say The student's word ends the run.", "  say {other} turns.", 1),
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if r := recover(); r != nil {
					t.Errorf("panic: %v", r)
				}
			}()
			_, err := Parse(text)
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatal("accepted")
			}
			for _, p := range problems {
				if name == "tires before a finding" && p.Code == "cycle" {
					t.Errorf("says a cycle where there is none: %s", p.Sentence)
				}
			}
		})
	}
	t.Run("40 rules of one axis", func(t *testing.T) { // fine, all of them can decide
		var b strings.Builder
		ids := 0
		for _, d := range finding.All() {
			if d.Scale == finding.Ordered && !d.Sided && !d.Tiring && ids < 36 {
				fmt.Fprintf(&b, "rule Z%d\n  for way\n  when %s = %s\n  then outriggers\n  because y\n  basis CP\n", ids, d.ID, d.Levels[0].ID)
				ids++
			}
		}
		if ids < 36 {
			t.Fatal("not enough findings for the test")
		}
		if _, err := Parse(strings.Replace(small, "rule A1\n", b.String()+"rule A1\n", 1)); err != nil {
			t.Error(err)
		}
	})
}

// A text of 5 MB is read or refused, and quickly.
func TestBigText(t *testing.T) {
	if testing.Short() {
		t.Skip("short run")
	}
	const size = 5 << 20
	for name, text := range map[string]string{
		"one word":       strings.Repeat("x", size),
		"one condition":  strings.Replace(small, "when bolts = yes", "when bolts = yes"+strings.Repeat(" or bolts = yes", size/15), 1),
		"deep":           strings.Replace(small, "when bolts = yes", "when "+strings.Repeat("(", 100_000)+"bolts = yes", 1),
		"many problems":  strings.Repeat("what is this\n", size/13),
		"many nots":      strings.Replace(small, "when bolts = yes", "when "+strings.Repeat("not ", size/4)+"bolts = yes", 1),
		"doubled define": small + doubling(24),
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := Parse(text); name != "one condition" && err == nil && name != "many nots" {
				t.Error("read without a problem")
			}
		})
	}
}

// doubling is a short text whose conditions double with each line.
func doubling(n int) string {
	var b strings.Builder
	b.WriteString("define d0 = bolts = yes\n")
	for i := 1; i <= n; i++ {
		fmt.Fprintf(&b, "define d%d = d%d or d%d\n", i, i-1, i-1)
	}
	fmt.Fprintf(&b, "note doubled warn\n  when d%d\n  say Too much.\n  basis CP\n", n)
	return b.String()
}

// FuzzParse: whatever text a trainer writes, Parse answers with a table or
// with problems, and a table it accepts decides about people without panic.
func FuzzParse(f *testing.F) {
	f.Add(small)
	for _, block := range strings.SplitAfter(small, "\n\n") {
		f.Add(block)
	}
	f.Add("table a\naxis x each side\n  value a a\n  value b b\nrule r\n  for x\n  otherwise a\n  because b\n  basis CP\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<13 {
			t.Skip()
		}
		parseAndUse(t, text)
	})
}

// FuzzEdit edits the small table in one place: some bytes out, some in.
func FuzzEdit(f *testing.F) {
	f.Add(uint16(40), byte(2), "99")
	f.Add(uint16(strings.Index(small, "weak or")), byte(4), "either push_out in (1, na)")
	f.Add(uint16(strings.Index(small, "weak or")), byte(4), "not gap push_in >= 2 and tires way = 1")
	f.Add(uint16(strings.Index(small, "weak or")), byte(4), "fresh gait <= W4")
	f.Add(uint16(strings.Index(small, "this foot")), byte(0), "this push_out > other push_out or ")
	f.Add(uint16(strings.Index(small, "way in")), byte(0), "left brace_in = yes or ")
	f.Fuzz(func(t *testing.T, at uint16, cut byte, insert string) {
		if len(insert) > 200 {
			t.Skip()
		}
		from := int(at) % len(small)
		parseAndUse(t, small[:from]+insert+small[min(from+int(cut), len(small)):])
	})
}

func parseAndUse(t *testing.T, text string) {
	table, err := Parse(text)
	var problems Problems
	if err != nil {
		if !errors.As(err, &problems) || len(problems) == 0 || table != nil {
			t.Fatalf("%v", err)
		}
		return
	}
	table.Argue(Input{Findings: finding.Set{}})
	a, next := table.Argue(Input{Findings: well(), Cleared: []string{"X1"}, Held: []Effect{Hold}})
	for _, x := range a.Axes {
		if x.Open {
			t.Fatalf("everything is known, yet %s is open: %v", x.Axis, x.WaitsFor)
		}
	}
	if len(next) > 0 {
		t.Fatalf("everything is known, yet %v is worth testing", next)
	}
}
