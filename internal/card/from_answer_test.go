package card

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/picture"
)

// set writes findings for a test: "grip L" -> "4", "stand_s tired" -> "12".
func set(t *testing.T, values map[string]string) finding.Set {
	t.Helper()
	fs := finding.Set{}
	for key, text := range values {
		id, rest, _ := strings.Cut(key, " ")
		side, state := finding.NoSide, rest
		switch {
		case strings.HasPrefix(rest, "L"):
			side, state = finding.Left, strings.TrimSpace(rest[1:])
		case strings.HasPrefix(rest, "R"):
			side, state = finding.Right, strings.TrimSpace(rest[1:])
		}
		var err error
		if state == "tired" {
			err = fs.Put(id, side, finding.Tired, text)
		} else {
			err = fs.PutBoth(id, side, text)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return fs
}

// usual fills in what counts as normal when nothing is noted.
func usual(fs finding.Set) finding.Set {
	fs.FillNormal(func(*finding.Def) bool { return true })
	return fs
}

var lessonDay = time.Date(2025, 1, 14, 0, 0, 0, 0, time.UTC)

func lesson(fs finding.Set) Lesson {
	return Lesson{FirstName: "Ilse", LessonCode: "I4-07", Day: lessonDay, Answer: decide.Standing().Decide(decide.Input{Findings: fs}),
		Findings: fs, Contacts: []Line{{Label: "Patrol", Text: "radio 1"}},
		Trace: Trace{CardID: "c7Qm2XvK9d", MadeAt: lessonDay, DataAt: lessonDay, CoreVersion: "2026.1", InputCode: "9c41-e07b"}}
}

func make1(t *testing.T, l Lesson) Content {
	t.Helper()
	c, err := FromAnswer(l)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Draw(c); err != nil {
		t.Fatalf("the card cannot be drawn: %v", err)
	}
	return c
}

// oneArm is a person much like the trade's case of one working arm: weak right
// side, gap in the view on the right, blood thinner.
func oneArm(t *testing.T) finding.Set {
	return usual(set(t, map[string]string{
		"waiver": "valid", "blood_thinner": "yes", "gait": "W4", "stand_s": "25", "load_test": "yes", "ankle_deg L": "16", "ankle_deg R": "3",
		"toe_in_alone L": "yes", "toe_in_alone R": "drags", "push_out L": "4", "push_in L": "4", "push_out R": "2", "push_in R": "2",
		"scissor": "none", "trunk": "3", "grip L": "4", "grip R": "1", "push_down L": "4", "push_down R": "0", "place_of5 L": "5", "place_of5 R": "na",
		"sensation R": "reduced", "field_gap": "right", "endurance_min": "30", "stop_word": "whoa", "cue": "show_it", "goal": "a blue run", "mass_kg": "70", "one_leg_s L": "5", "one_leg_s R": "1",
	}))
}

// What the trade wants on the card of such a person (case study of the weak
// right side: outrigger left, helper right, heel lift right 5-10 mm, left
// turns lag, head strike to hospital, never pull the right arm, 24 min, whoa).
func TestCardSaysWhatTheTradeWants(t *testing.T) {
	c := make1(t, lesson(oneArm(t)))
	var text strings.Builder
	if err := Text(&text, c); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"one outrigger, left hand", "helper, on the right", "whoa", "head strike", "hospital", "right arm",
		"Every 30 min", "24 min", "Left turns", "Crutch walk", "show it"} {
		if !strings.Contains(strings.Join(strings.Fields(text.String()), " "), want) {
			t.Errorf("the card does not say %q:\n%s", want, text.String())
		}
	}
	heel := c.SetUp.Sided[slices.IndexFunc(c.SetUp.Sided, func(s SidedSetting) bool { return s.Label == "Heel lift" })]
	if heel.Right != (Value{Number: "5", Unit: "mm", Low: "5", High: "10"}) || heel.Left.Words != "none" {
		t.Errorf("heel lift %+v", heel)
	}
	if c.SetUp.Figure.Support != picture.LeftOutrigger || c.SetUp.Figure.People[1].Place != picture.AtRight {
		t.Errorf("the drawing shows %+v", c.SetUp.Figure)
	}
}

// mirrorWord swaps the words left and right.
func mirrorWord(s string) string {
	r := strings.NewReplacer("left", "right", "right", "left", "Left", "Right", "Right", "Left")
	return r.Replace(s)
}

// Swapping a person's sides swaps the sides of the card and nothing else.
func TestCardMirrors(t *testing.T) {
	fs := oneArm(t)
	a, b := make1(t, lesson(fs)), make1(t, lesson(fs.Mirror()))
	if a.SetUp.Way != mirrorWord(b.SetUp.Way) || a.Plan.Helpers != mirrorWord(b.Plan.Helpers) {
		t.Errorf("%q, %q against %q, %q", a.SetUp.Way, a.Plan.Helpers, b.SetUp.Way, b.Plan.Helpers)
	}
	for i, s := range a.SetUp.Sided {
		if o := b.SetUp.Sided[i]; s.Left != o.Right || s.Right != o.Left {
			t.Errorf("%+v against %+v", s, o)
		}
	}
	for i, l := range a.Cautions {
		if l.Text != mirrorWord(b.Cautions[i].Text) {
			t.Errorf("%q against %q", l.Text, b.Cautions[i].Text)
		}
	}
	if d := a.SetUp.Figure.Mirror(); d.Support != b.SetUp.Figure.Support || d.LiftR != b.SetUp.Figure.LiftR {
		t.Errorf("the drawing %+v against %+v", d, b.SetUp.Figure)
	}
}

func TestCardOfAHold(t *testing.T) {
	hip := oneArm(t)
	if err := hip.PutBoth("hip_pain", finding.NoSide, "yes"); err != nil {
		t.Fatal(err)
	}
	c := make1(t, lesson(hip))
	if c.Hold == nil || c.Hold.Kind != NoStanding || c.Hold.Needed[0].From != "orthopaedic surgeon" || len(c.SetUp.Sided) != 0 {
		t.Errorf("hip pain on standing must show no standing, from the surgeon, and no set-up: %+v", c.Hold)
	}
	if !strings.Contains(c.Hold.Instead, "Sitting") || !strings.Contains(c.Hold.Instead, "else") {
		t.Errorf("whether sitting hurts is not known, so both must stand: %q", c.Hold.Instead)
	}
	for gate, values := range map[string]map[string]string{
		"G2": {"shunt_sign": "yes"}, "G16": {"waiver": "missing"}, "G14": {"helmet_possible": "no"}, "G13": {"new_brace": "yes"}, "G6": {"fragile_bone": "yes"},
	} {
		fs := oneArm(t)
		for id, v := range values {
			if err := fs.PutBoth(id, finding.NoSide, v); err != nil {
				t.Fatal(err)
			}
		}
		c := make1(t, lesson(fs))
		if c.Hold == nil || c.Hold.Kind != NoSkiing || len(c.Hold.Needed) == 0 || c.SetUp.Way != "" || c.Plan.Terrain != "" {
			t.Errorf("%s: %+v, set-up %q, terrain %q", gate, c.Hold, c.SetUp.Way, c.Plan.Terrain)
		}
	}
}

// A card is never a guess: with a gate unsettled it is a hold, with the way of
// skiing open it says so.
func TestCardOfWhatIsOpen(t *testing.T) {
	c := make1(t, lesson(finding.Set{}))
	if c.Hold == nil || c.Hold.Kind != NoSkiing || !strings.Contains(c.Hold.Needed[0].What, "questions") {
		t.Errorf("nothing is known, so the card must hold and say what to ask: %+v", c.Hold)
	}
	fs := oneArm(t)
	delete(fs, finding.Key{ID: "stand_s", State: finding.Tired})
	delete(fs, finding.Key{ID: "ankle_deg", Side: finding.Right})
	c = make1(t, lesson(fs))
	if !strings.Contains(c.SetUp.Way, "decide") || c.SetUp.Figure != nil {
		t.Errorf("way %q, drawing %v", c.SetUp.Way, c.SetUp.Figure)
	}
	if !slices.ContainsFunc(c.Plan.More, func(l Line) bool { return strings.Contains(l.Text, "2 free standing") }) {
		t.Errorf("the plan does not name the test the way waits for: %+v", c.Plan.More)
	}
}

// The tables of words must know every note of the built-in rules, and hold no
// code that the rules no longer have; each line must fit and name no condition.
func TestEveryNoteHasItsLine(t *testing.T) {
	codes := map[string]bool{}
	for _, n := range decide.Standing().Notes() {
		codes[n.Code] = true
		_, line := noteLines[n.Code]
		_, out := leftOut[n.Code]
		if !line && !out && !strings.HasPrefix(n.Code, "feet_looked_at_every_") {
			t.Errorf("note %s (%s) has no line of its own: %q", n.Code, n.Kind, n.Say)
		}
	}
	for code, l := range noteLines {
		if !codes[code] {
			t.Errorf("there is no note %s any more", code)
		}
		if utf8.RuneCountInString(l.text) > mostText || utf8.RuneCountInString(l.label) > mostLabel || DiagnosisIn(l.label+" "+l.text) != "" || l.rank != silent && l.text == "" {
			t.Errorf("the line of %s does not fit a card: %+v", code, l)
		}
	}
	for code, text := range leftOut {
		if !codes[code] || DiagnosisIn(text) != "" {
			t.Errorf("left out: %s, %q", code, text)
		}
	}
	gates := map[string]bool{}
	for _, g := range decide.Standing().Gates() {
		gates[g.ID] = true
		n := needOf(decide.GateAnswer{ID: g.ID, Effect: g.Effect.String(), Clears: g.Clears})
		if DiagnosisIn(n.What+" "+n.From) != "" || utf8.RuneCountInString(n.What) > 90 || utf8.RuneCountInString(n.From) > 40 {
			t.Errorf("what ends %s does not fit a card: %+v", g.ID, n)
		}
		for _, l := range linesOf(g.Card) {
			if utf8.RuneCountInString(l.Text) > mostText {
				t.Errorf("the card line of %s is too long: %+v", g.ID, l)
			}
		}
	}
	for code, l := range noteLines {
		for _, g := range l.unless {
			if !gates[g] {
				t.Errorf("%s names gate %s, which does not exist", code, g)
			}
		}
	}
	for code := range indoorsToo {
		if !codes[code] {
			t.Errorf("there is no note %s any more", code)
		}
	}
	for id := range needs {
		if !gates[id] {
			t.Errorf("there is no gate %s any more", id)
		}
	}
}

// Words of somebody else's rule table must still fit.
func TestLinesOfOtherRules(t *testing.T) {
	for _, say := range []string{
		"Keep the line slack.",
		"Wind: above the tree line nobody stands; " + strings.Repeat("look again, ", 20) + "end.",
		strings.Repeat("x", 250),
		"After a seizure disorder was named.",
		"",
	} {
		for _, l := range linesOf(say) {
			if utf8.RuneCountInString(l.Text) > mostText || utf8.RuneCountInString(l.Label) > mostLabel || DiagnosisIn(l.Text) != "" {
				t.Errorf("%q became %+v", say, l)
			}
		}
	}
}

// A crowded card keeps every caution about this student before those that
// hold for everybody, counts the rest, and still fits.
func TestCrowdedCard(t *testing.T) {
	fs := oneArm(t)
	for id, v := range map[string]string{"insulin": "yes", "seizure_free_months": "8", "seizure_letter": "yes", "latex_allergy": "yes", "insight": "poor",
		"shoulder_weak R": "yes", "heat_sensitive": "yes", "startle": "strong", "can_be_lowered": "no", "leg_short_mm L": "22", "last_note_tie": "rigid", "runs_off": "yes", "vision_fades": "yes"} {
		for k, val := range set(t, map[string]string{id: v}) {
			fs[k] = val
		}
	}
	c := make1(t, lesson(fs))
	if len(c.Cautions) > mostCautions {
		t.Errorf("%d cautions", len(c.Cautions))
	}
	if last := c.Cautions[len(c.Cautions)-1]; last.Label != "More" || !strings.Contains(last.Text, inRecord) {
		t.Errorf("the last line does not count what is missing: %+v", last)
	}
	if c.Cautions[0].Label == "More" || DiagnosisIn(c.Cautions[0].Text) != "" {
		t.Errorf("first line %+v", c.Cautions[0])
	}
}

func TestAnswerIsNeeded(t *testing.T) {
	if _, err := FromAnswer(Lesson{FirstName: "A", Day: time.Time{}}); err == nil {
		t.Error("a card without an answer must be refused")
	}
}

func BenchmarkFromAnswer(b *testing.B) {
	t := &testing.T{}
	l := lesson(oneArm(t))
	for b.Loop() {
		if _, err := FromAnswer(l); err != nil {
			b.Fatal(err)
		}
	}
}
