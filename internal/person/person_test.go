package person

import (
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/programme"
)

// want reads a file and compares single values, written as the vocabulary
// writes them: "push_in R tired" -> "2".
func want(t *testing.T, text string, values map[string]string) *Person {
	t.Helper()
	p, err := Read([]byte(text))
	if err != nil {
		t.Fatalf("refused:\n%v", err)
	}
	got := map[string]string{}
	for k, v := range p.Findings {
		d, _ := finding.Lookup(k.ID)
		got[k.String()] = finding.Format(d, v)
	}
	for k, v := range values {
		if got[k] != v {
			t.Errorf("%s is %q, want %q", k, got[k], v)
		}
	}
	return p
}

func TestFormsOfAValue(t *testing.T) {
	p := want(t, `
gates: {latex: no, anticoagulant: true, stable: yes, tbi_years: 5, cord_level: t4, waiver: valid, seizure_free_years: 1.5}
eval:
  gait: {fresh: W5, tired: W4}
  stand_s: 25 s
  grip: {L: 4/3, R: {fresh: 4, tired: 2}}
  push_down: {fresh: {L: 4, R: 3}, tired: {L: 3, R: 3}}
  toe_in_alone: yes
  place_of5: {L: 5, R: n/a}
  knee_bend: drops_knees_out
  field_gap: L
  sensation: {L: full}
  trunk: sits free, falls to a nudge
  cue: "copy me / slowly"
  scissor: unknown
  leg_short_mm: {R: 12 mm}
`, map[string]string{
		"latex_allergy": "no", "blood_thinner": "yes", "progressive": "no", "event_months": "60", "seizure_free_months": "18",
		"cord_injury": "T6_or_above", "gait": "W5", "gait tired": "W4", "stand_s": "25", "stand_s tired": "25",
		"grip L": "4", "grip L tired": "3", "grip R": "4", "grip R tired": "2",
		"push_down L": "4", "push_down L tired": "3", "push_down R": "3", "push_down R tired": "3",
		"toe_in_alone L": "yes", "toe_in_alone R tired": "yes", "place_of5 R": "na", "place_of5 L tired": "5",
		"knee_bend": "drops", "knee_path": "out", "field_gap": "left", "sensation L": "full", "sensation R": "",
		"trunk tired": "2", "cue": "copy me / slowly", "scissor": "unknown", "leg_short_mm R": "12", "leg_short_mm L": "0",
	})
	if _, listed := p.Findings[finding.Key{ID: "scissor"}]; !listed {
		t.Error("a finding recorded as unknown must stay in the set, so that nothing takes it as normal")
	}
}

// The short forms of the trade's evaluation sheet (working knowledge, B1 test
// 9, and the written case studies).
func TestTheTradesShortForms(t *testing.T) {
	p := want(t, `
gates_in: {hip_pain: on_loading, vision_today: clear, bladder_plan: yes}
eval:
  lateral_flat: {LO: 2, LI: 2, RO: 4, RI: 4}
  lateral_on_block: {LO: 4, LI: 4, RO: 4/3, RI: 4}
  load_test: {pass: no, pain: left_groin_100s, buckle_s: 100}
  vision: doubles_when_tired
  gait: 4/3
  stand_s: 60+
  scissor: no
`, map[string]string{
		"hip_pain": "yes", "vision_loss_new": "no", "push_out_flat L": "2", "push_in_flat R": "4", "push_out L tired": "4",
		"push_out R": "4", "push_out R tired": "3", "load_test": "no", "load_pain": "yes", "vision_fades": "yes",
		"gait tired": "W3", "stand_s": "60", "scissor": "none",
	})
	for written, means := range map[string]string{"120 s": "yes", "150": "yes", "119": "no", "0": "no", "pass": "yes"} {
		want(t, "eval: {load_test: "+written+"}", map[string]string{"load_test": means})
	}
	for written, means := range map[string]string{"T6_incomplete": "T6_or_above", "c5": "T6_or_above", "T10": "T7_to_T10", "T11": "below_T10", "L2, incomplete": "below_T10"} {
		want(t, "gates:\n  cord_level: "+written, map[string]string{"cord_injury": means})
	}
	q := want(t, "person: {name: 1e3, lesson_code: 007, slot: 10:00-11:30}\neval: {stop_word: no}", map[string]string{"stop_word": "no"})
	if q.Name != "1e3" || q.LessonCode != "007" || q.Slot != "10:00-11:30" {
		t.Errorf("words are kept as they are written: %q %q %q", q.Name, q.LessonCode, q.Slot)
	}
	if len(p.Notes) != 4 {
		t.Errorf("the words for hip pain, load pain, bladder plan and buckle time are kept as notes; got %v", p.Notes)
	}
}

// Each of these must be refused with its code, on its line, in a sentence.
func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		text, code, says string
		line             int
	}{
		"unknown finding":     {"eval:\n  gaitt: W4", "unknown_finding", "Did you mean gait?", 2},
		"unknown block":       {"evaluation: {}", "unknown_key", "eval", 1},
		"finding at the top":  {"gait: W4", "unknown_key", "goes into gates: or eval:", 1},
		"impossible level":    {"eval:\n  gait: W6", "unknown_level", "W0, W1", 2},
		"duplicate key":       {"eval:\n  gait: W4\n  gait: W5", "duplicate_key", "twice", 3},
		"duplicate block":     {"eval: {gait: W4}\neval: {gait: W4}", "duplicate_key", "line 1", 2},
		"two spellings":       {"gates:\n  latex: yes\n  latex_allergy: no", "given_twice", "line 2", 3},
		"two forms":           {"eval:\n  lateral: {LO: 3}\n  push_out: {L: 2}", "given_twice", "Push out at the knee, left, fresh", 3},
		"two names of gates":  {"gates: {latex: no}\ngates_in: {shunt: no}", "given_twice", "two names", 2},
		"not a number":        {"eval:\n  stand_s: NaN", "not_a_number", "number in s", 2},
		"YAML's not a number": {"eval:\n  stand_s: .nan", "not_a_number", "number in s", 2},
		"infinity":            {"person:\n  mass_kg: .inf", "not_a_number", "number in kg", 2},
		"huge":                {"person:\n  mass_kg: 1e999", "not_a_number", "number in kg", 2},
		"out of range":        {"person:\n  mass_kg: 700", "out_of_range", "between 5 and 250", 2},
		"no side":             {"eval:\n  ankle_deg: 12", "wrong_side", "left and the right", 2},
		"side too many":       {"eval:\n  trunk: {L: 3}", "wrong_side", "no sides", 2},
		"not tiring":          {"eval:\n  scissor: none/excited", "wrong_state", "write one", 2},
		"state in a state":    {"eval:\n  gait: {fresh: {tired: W4}}", "wrong_state", "inside", 2},
		"side in a side":      {"eval:\n  grip: {L: {R: 4}}", "wrong_side", "side inside a side", 2},
		"list":                {"eval:\n  gait: [W4, W5]", "invalid", "not a list", 2},
		"lateral key":         {"eval:\n  lateral: {XO: 3}", "unknown_key", "LO, LI, RO and RI", 2},
		"unlisted":            {"unlisted: maybe", "unknown_level", "unlisted is", 1},
		"empty":               {"# nothing\n", "empty", "empty", 0},
		"a list of people":    {"- person: {}\n", "not_a_person", "begins with keys", 1},
		"anchor":              {"eval:\n  gait: &a W4", "not_yaml", "Anchors", 2},
		"tag":                 {"eval:\n  gait: !!str W4", "not_yaml", "Tags", 2},
		"merge":               {"eval:\n  <<: {gait: W4}", "not_yaml", "Merges", 2},
		"two documents":       {"eval: {}\n---\neval: {}", "not_yaml", "One file holds one person", 3},
		"not YAML":            {"eval: {gait: W4", "not_yaml", "not written as YAML", 1},
		"binary":              {"eval:\x00", "not_text", "UTF-8", 0},
		"not UTF-8":           {"person:\n  name: \xff", "not_text", "UTF-8", 0},
		"deep":                {"eval: " + strings.Repeat("{a: ", 100), "not_yaml", "nested too deep", 1},
		"deep list":           {"eval: \n" + strings.Repeat("- ", 400), "not_yaml", "Lists are not put inside lists", 2},
		"long name":           {"person:\n  name: " + strings.Repeat("x", 41), "too_long", "at most 40", 2},
		"control character":   {"person:\n  name: \"a\\u202eb\"", "invalid", "plain words", 2},
		"hold without why":    {"holds:\n  - what: no_skiing", "invalid", "because", 2},
		"hold of what":        {"holds:\n  - {what: rest, because: tired}", "unknown_level", "no_standing", 2},
		"clearance half":      {"clearances:\n  - {gate: G7, cleared_by: Dr A}", "invalid", "does not say role_of_clearer", 2},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := Read([]byte(c.text))
			var problems Problems
			if p != nil || !errors.As(err, &problems) {
				t.Fatalf("got %v, %v; want a refusal", p, err)
			}
			first := problems[0]
			if first.Code != c.code || first.Line != c.line || !strings.Contains(first.Sentence, c.says) {
				t.Errorf("got %+v; want code %s on line %d saying %q", first, c.code, c.line, c.says)
			}
		})
	}
	if _, err := Read(make([]byte, MaxBytes+1)); err == nil || err.(Problems)[0].Code != "too_big" {
		t.Errorf("a file over 1 MB gave %v", err)
	}
}

func letter(change func(*Clearance)) *Person {
	c := Clearance{Gate: "G7", ClearedBy: "Dr Iva Orlen", Role: "orthopaedic_surgeon", RecordedBy: "Tove", RecorderRole: programme.Lead,
		On: programme.Date{Year: 2026, Month: 11, Day: 2}, Until: programme.Date{Year: 2027, Month: 5, Day: 1}, InWriting: true, Line: 9}
	change(&c)
	return &Person{Findings: finding.Set{}, Clearances: []Clearance{c}}
}

var day = programme.Date{Year: 2026, Month: 11, Day: 25}

// Who may clear what (working knowledge, A3): instructors never clear a
// medical hold; the lead only records who cleared it, when, in writing, until
// when; a parent's word is not clearance.
func TestClearances(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Clearance)
		code   programme.Code
		says   string
	}{
		"good":          {func(c *Clearance) {}, "", ""},
		"by reviewer":   {func(c *Clearance) { c.RecorderRole = programme.MedicalReviewer }, "", ""},
		"by instructor": {func(c *Clearance) { c.RecorderRole = programme.Instructor }, programme.CodeNotAllowed, "Instructors never clear a hold"},
		"not written":   {func(c *Clearance) { c.InWriting = false }, programme.CodeNotClearance, "only in writing"},
		"parent":        {func(c *Clearance) { c.Role = "mother" }, programme.CodeNotClearance, "parent's"},
		"wrong trade":   {func(c *Clearance) { c.Role = "cardiologist" }, programme.CodeNotClearance, "It needs: orthopaedic surgeon"},
		"no such gate":  {func(c *Clearance) { c.Gate = "G99" }, programme.CodeUnknown, "no gate called"},
		"rule only":     {func(c *Clearance) { c.Gate = "G12" }, programme.CodeNotClearance, "nothing to clear"},
		"refusal":       {func(c *Clearance) { c.Gate = "G16" }, programme.CodeNotClearance, "cannot be cleared"},
		"evaluation":    {func(c *Clearance) { c.Gate = "G13" }, programme.CodeNotClearance, "new evaluation"},
		"by hand":       {func(c *Clearance) { c.Gate = "HOLD" }, programme.CodeNotClearance, "by hand"},
		"future":        {func(c *Clearance) { c.On = day.AddDays(1) }, programme.CodeInvalid, "future"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := letter(c.change).Case(decide.Standing(), day, programme.NumbersOf(nil))
			if c.code == "" {
				if err != nil || !slices.Equal(got.Input.Cleared, []string{"G7"}) {
					t.Errorf("got %v, %v; want G7 cleared", got, err)
				}
				return
			}
			var problems Problems
			if got != nil || !errors.As(err, &problems) {
				t.Fatalf("got %v, %v; want a refusal", got, err)
			}
			if p := problems[0]; p.Code != string(c.code) || p.Line != 9 || !strings.Contains(p.Sentence, c.says) {
				t.Errorf("got %+v; want code %s on line 9 saying %q", p, c.code, c.says)
			}
		})
	}
	old, err := letter(func(c *Clearance) { c.Until = day.AddDays(-1) }).Case(decide.Standing(), day, programme.NumbersOf(nil))
	if err != nil || len(old.Input.Cleared) != 0 || len(old.Lapsed) != 1 {
		t.Errorf("a letter that ran out clears nothing and is no mistake; got %+v, %v", old, err)
	}
	_, err = letter(func(c *Clearance) { c.Until, c.RecorderRole = day.AddDays(-1), programme.Instructor }).Case(decide.Standing(), day, programme.NumbersOf(nil))
	if err == nil {
		t.Error("a letter that ran out is still refused when an instructor recorded it")
	}
}

func TestPolicies(t *testing.T) {
	read := func(text string) *Case {
		t.Helper()
		p, err := Read([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		c, err := p.Case(decide.Standing(), day, programme.NumbersOf(nil))
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	known := func(c *Case, id string, side finding.Side) bool {
		return c.Input.Findings.Get(id, side, finding.Fresh).Kind != finding.Unknown
	}
	usual := read("eval: {gait: W5, startle: unknown}")
	if !known(usual, "open_skin", finding.NoSide) || known(usual, "startle", finding.NoSide) || known(usual, "stand_s", finding.NoSide) {
		t.Error("usual: what has a normal value is filled in, what is written as unknown or has to be measured is not")
	}
	if len(usual.NotChecked) != 1 || usual.NotChecked[0].What != "waiver" {
		t.Errorf("the waiver must be named as not checked, got %v", usual.NotChecked)
	}
	nothing := read("eval: {gait: W5}\nunlisted: unknown")
	if len(nothing.Taken) != 0 || len(nothing.Input.Findings) != 2 {
		t.Errorf("unknown: nothing may be filled in, got %v", nothing.Input.Findings)
	}
	more := read("eval: {gait: W5}\nunlisted: normal")
	for _, d := range finding.All() {
		_, listed := obviousNormal[d.ID]
		for _, k := range d.Keys() {
			if d.Measured() && d.ID != "waiver" && d.ID != "gait" && known(more, k.ID, k.Side) != listed {
				t.Errorf("normal: %s is filled in: %v, want %v", k, !listed, listed)
			}
		}
	}
	missing := read("gates: {waiver: missing}")
	if a := decide.Standing().Decide(missing.Input); !a.Is("gate", "refuse") {
		t.Error("a missing waiver must hold (gate G16)")
	}
}

// The example of the reference page is read whole, and nothing in it is
// unknown to the rules.
func TestExampleRuns(t *testing.T) {
	b, err := os.ReadFile("../../demo/people/example.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Read(b)
	if err != nil {
		t.Fatal(err)
	}
	c, err := p.Case(decide.Standing(), day, programme.NumbersOf(nil))
	if err != nil {
		t.Fatal(err)
	}
	a := decide.Standing().Decide(c.Input)
	for _, x := range a.Axes {
		if x.Open {
			t.Errorf("the example leaves %s %s open", x.Axis, x.Side)
		}
	}
}

// FuzzRead looks for texts that crash the reader, or that it takes although a
// value it stored is not one the vocabulary can write and read again.
func FuzzRead(f *testing.F) {
	b, err := os.ReadFile("../../demo/people/example.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	for _, s := range []string{"", "a: b", "eval: {gait: W4/W3}", "eval:\n  lateral: {LO: 4/4}", "clearances:\n - gate: G7", "holds: {}",
		"eval: [", "\"", "eval:\n  cue: |\n    a\n    b", "eval: {cue: 'x''y', one_leg_s: {L: {fresh: 3, tired: 2}}}", "unlisted: normal", "- - -", "? a\n: b", "%YAML 1.2\n---\na: 1", "a: *b"} {
		f.Add([]byte(s))
	}
	table := decide.Standing()
	f.Fuzz(func(t *testing.T, data []byte) {
		begin := time.Now()
		p, err := Read(data)
		if took := time.Since(begin); took > 10*time.Second {
			t.Fatalf("%d bytes took %v", len(data), took)
		}
		if err != nil {
			var problems Problems
			if p != nil || !errors.As(err, &problems) || len(problems) == 0 || len(problems) > maxProblems+1 {
				t.Fatalf("a refusal is a list of problems and nothing else: %v, %v", p, err)
			}
			for _, one := range problems {
				if one.Code == "" || one.Sentence == "" || one.Line < 0 {
					t.Fatalf("a problem without code, sentence or line: %+v", one)
				}
			}
			return
		}
		for k, v := range p.Findings {
			d, ok := finding.Lookup(k.ID)
			if !ok {
				t.Fatalf("%v is not a finding", k)
			}
			back, err := finding.Parse(k.ID, k.Side, k.State, finding.Format(d, v))
			if err != nil || back.Kind != v.Kind || back.Text != v.Text || math.Abs(back.X-v.X) > 0.0005 { // written with three decimals
				t.Fatalf("%v: %v is written %q and read back as %v, %v", k, v, finding.Format(d, v), back, err)
			}
		}
		if _, err := p.Case(table, day, programme.NumbersOf(nil)); err != nil {
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("Case refused with %v", err)
			}
		}
	})
}
