package decide

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// conditions are ways to write a condition, each as the condition of a rule
// of its own and read twice, by the engine and by the plain version.
var conditions = []string{
	"gait = W4", "gait != W4", "gait < W3", "gait <= W3", "gait > W3", "gait >= W3", "gait in (W1, W3)", "gait not in (W1, W3)",
	"fresh gait = W4", "tired gait = W4", "tired gait != W4", "fresh gait < W3 and tired gait < W2", "not gait >= W3",
	"stand_s < 5", "stand_s <= 5", "stand_s > 5", "stand_s >= 5", "stand_s = 5", "stand_s != 5", "stand_s in (5, 10)", "fresh stand_s > 10 and not tired stand_s > 10",
	"mass_kg < 70", "mass_kg > 70", "growth_cm <= 0", "growth_cm >= 40", "growth_cm > 0",
	"hip_check_months > 12", "hip_check_months = na", "hip_check_months != na", "hip_check_months in (3, na)", "not hip_check_months <= 12",
	"each push_out >= 3", "either push_out <= 1", "left push_out = 2", "right push_out != 2", "not each push_out >= 3", "not either push_out <= 1",
	"gap push_out >= 2", "gap push_in >= 4", "fresh gap push_out >= 1", "tired gap push_out >= 1", "gap foot_corrects >= 1",
	"left push_in < right push_in", "left push_in > right push_in", "right grip < left grip", "left leg < right leg", "fresh left grip > right grip",
	"either push_out = na", "each push_out not in (na, 4)", "left push_out in (0, na)",
	"wish = poles", "wish != poles", "wish in (poles, sitting)", "field_gap = left", "field_gap not in (left, none)", "last_note_weak_leg = right",
	"(bolts = yes or runs_off = yes) and not (insulin = yes and heat_sensitive = no)",
	"not not bolts = yes", "bolts = yes and (gait <= W2 or (stand_s < 5 and not trunk = 3))",
	"either hip_migration > 30", "either hip_migration <= 30", "cord_injury in (T6_or_above, none)", "left brace in (ankle, long_locked) or right leg <= below_knee",
	"left ankle_deg < -10.5", "vision_m < 100", "place = yes", "tires place", "not tires place", "place != no and fresh place = yes",
	"left lean = yes or right lean = no", "either lean = yes", "fresh left lean = yes", "gate = hold", "gate not in (none, none_with_rules)",
	"count = 2", "fresh count in (1, 3)", "fresh gate = none", "strong", "each weak", "either weak", "left weak", "fresh each weak", "not either weak",
}

// conditionTable is a table with one note for every condition.
func conditionTable() string {
	var b strings.Builder
	b.WriteString(`table conditions
version 1
define weak = this push_in <= 2 and this grip < 4
define strong = left push_in >= 3 and fresh right push_in >= 3
gate Y1 hold
  when heart_symptom = yes
  clears x
  because y
  basis CP
gate Y2 rule
  when insulin = yes
  because y
  card z
  basis CP
axis place
  value yes y
  value no n
rule p1
  for place
  when stand_s < 10 or trunk <= 1
  then yes
  because y
  basis CP
rule p2
  for place
  otherwise no
  because y
  basis CP
axis lean each side
  value yes y
  value no n
rule l1
  for lean
  when this weak and not other weak
  then yes
  because y
  basis CP
rule l2
  for lean
  otherwise no
  because y
  basis CP
axis base_n
  value 1 a
  value 2 b
rule b1
  for base_n
  when place = yes
  then 2
  because y
  basis CP
rule b2
  for base_n
  otherwise 1
  because y
  basis CP
sum count
  from base_n
  most 3
extra c1
  for count
  when bolts = yes
  basis CP
extra c2
  for count
  when runs_off = yes
  basis CP
`)
	for i, c := range conditions {
		fmt.Fprintf(&b, "note n%d do\n  when %s\n  say %d\n  basis CP\n", i, c, i)
	}
	return b.String()
}

// TestConditions: every way to write a condition means the same to the engine
// and to the plain version, for people with everything known and, as far as
// what is possible goes, with some things unknown.
func TestConditions(t *testing.T) {
	const people = 1500
	sayPeople(t, people)
	text := conditionTable()
	table, err := read(text, nil, false)
	if err != nil {
		t.Fatal(err)
	}
	plain := plainRead(text, nil)
	draw := drawer{plain}
	held := make([][2]int, len(conditions))
	for n := range people {
		in := draw.person(n)
		a := table.Decide(in)
		p := plain.person(in)
		seen := p.nothingSeen()
		for i := range plain.notes {
			certain := p.says(&plain.notes[i], finding.NoSide, seen)
			never := !seen.answers[1]
			got := slices.ContainsFunc(a.Notes, func(x NoteAnswer) bool { return x.Say == fmt.Sprint(i) })
			w := table.world(in)
			w.runAll()
			if m := w.axes[table.notes[i].axis]; (m == 1 && !never) || (m == 2 && !certain) || (p.missed < 0 && !slices.ContainsFunc(plain.keys, func(k finding.Key) bool { return in.Findings[k].Kind == finding.Unknown }) && got != certain) {
				t.Fatalf("seed=%d person %d: %q: engine %b, plain certain %v, never %v (%s)", *seedFlag, n, conditions[i], m, certain, never, written(in))
			}
			if certain {
				held[i][1]++
			} else if never {
				held[i][0]++
			}
		}
	}
	for i, c := range conditions {
		if held[i][0] == 0 || held[i][1] == 0 {
			t.Errorf("%q held for %d and failed for %d, so it was not tried", c, held[i][1], held[i][0])
		}
	}
}

// TestBandTexts: a number is told as the stretch of its scale no rule can tell
// apart, in words that say which ends belong to it.
func TestBandTexts(t *testing.T) {
	for _, c := range []struct{ cond, value, say string }{
		{"stand_s < 5", "4", "under 5 s"}, {"stand_s < 5", "5", "5 s or more"},
		{"stand_s <= 5", "5", "5 s or less"}, {"stand_s <= 5", "5.1", "more than 5 s"},
		{"stand_s < 5 or stand_s > 10", "5", "5 to 10 s"}, {"stand_s < 5 or stand_s >= 10", "9", "5 to under 10 s"},
		{"stand_s <= 5 or stand_s >= 10", "9", "more than 5 to under 10 s"}, {"stand_s <= 5 or stand_s > 10", "10", "more than 5 to 10 s"},
		{"stand_s = 5", "5", "5 s"}, {"stand_s = 5", "4", "under 5 s"},
		{"stand_s >= 0 and bolts = yes", "5", "any"}, {"stand_s <= 60 and bolts = yes", "5", "any"},
		{"left place_of5 < 4", "3", "under 4"}, {"left place_of5 < 4", "4", "4 or more"},
		{"gait < W3", "W4", "one cane, or unsteady"}, {"left push_out = na", "na", "cannot be tested or does not apply"},
		{"left push_out = na", "unknown", "not known"},
	} {
		text := "gate Z hold\n  when " + c.cond + "\n  clears x\n  because y\n  basis CP\n"
		table, err := read(text, nil, false)
		if err != nil {
			t.Fatal(err)
		}
		id := strings.TrimPrefix(strings.Fields(c.cond)[0], "left")
		side := finding.NoSide
		if id == "" {
			id, side = strings.Fields(c.cond)[1], finding.Left
		}
		s := finding.Set{}
		if err := s.PutBoth(id, side, c.value); err != nil {
			t.Fatal(err)
		}
		w := table.world(Input{Findings: s})
		i := table.cellIndex[finding.Key{ID: id, Side: side}]
		if _, say := table.bandText(&table.cells[i], w.cells[i]); say != c.say {
			t.Errorf("%s with %s: %q, want %q", c.cond, c.value, say, c.say)
		}
	}
}

// TestExploreGivesUp: a table whose answer hangs on very many unknown findings
// is not explored for ever; what is said then is never less than is possible.
func TestExploreGivesUp(t *testing.T) {
	var b strings.Builder
	ids := []string{}
	for _, d := range finding.All() {
		if d.Scale == finding.Ordered && !d.Sided && !d.Tiring && len(d.Levels) == 2 && len(ids) < 18 {
			ids = append(ids, d.ID)
		}
	}
	// Parity of the first k findings, as a chain of two-rule axes.
	for i, id := range ids {
		before := "bolts = no and bolts = yes"
		if i > 0 {
			before = fmt.Sprintf("p%d = odd", i-1)
		}
		fmt.Fprintf(&b, "axis p%d\n  value even e\n  value odd o\nrule r%d\n  for p%d\n  when (%s and %s = no) or (not (%s) and %s = yes)\n  then odd\n  because y\n  basis CP\nrule s%d\n  for p%d\n  otherwise even\n  because y\n  basis CP\n",
			i, i, i, before, id, before, id, i, i)
	}
	last := len(ids) - 1
	b.WriteString("axis parity\n  asks Odd\n  value even e\n  value odd o\n  value other x\n")
	fmt.Fprintf(&b, "rule q1\n  for parity\n  when p%d = odd and p%d = even\n  then odd\n  because y\n  basis CP\nrule q2\n  for parity\n  when p%d = odd\n  then even\n  because y\n  basis CP\nrule q3\n  for parity\n  otherwise even\n  because y\n  basis CP\n", last, last, last)
	table, err := read(b.String(), nil, false)
	if err != nil {
		t.Fatal(err)
	}
	a := table.Decide(Input{Findings: finding.Set{}})
	x, _ := a.Axis("parity")
	if !x.Open && x.Value != "even" {
		t.Errorf("%+v", x)
	}
	if x.Open && !slices.ContainsFunc(x.Possible, func(v Value) bool { return v.ID == "even" }) {
		t.Errorf("%+v", x)
	}
}
