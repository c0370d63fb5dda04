package decide

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// student reads a person from lines "id value", "id side value" with side L,
// R or LR, and "value/value" for fresh and tired. What is not written is
// normal, the waiver is valid and the load test passed, unless "unknown"
// stands there.
func student(t testing.TB, texts ...string) Input {
	t.Helper()
	in := Input{Findings: finding.Set{}}
	lines := strings.Split("waiver valid\nload_test yes\n"+strings.Join(texts, "\n"), "\n")
	for _, line := range lines {
		line, _, _ = strings.Cut(line, "#")
		w := strings.Fields(line)
		if len(w) == 0 {
			continue
		}
		switch w[0] {
		case "cleared":
			in.Cleared = append(in.Cleared, w[1:]...)
			continue
		case "held":
			in.Held = append(in.Held, Hold)
			continue
		}
		sides := []finding.Side{finding.NoSide}
		def, ok := finding.Lookup(w[0])
		if !ok {
			t.Fatalf("%q: no such finding", line)
		}
		value := strings.Join(w[1:], " ")
		if def.Sided {
			sides = map[string][]finding.Side{"L": {finding.Left}, "R": {finding.Right}, "LR": {finding.Left, finding.Right}}[w[1]]
			value = strings.Join(w[2:], " ")
		}
		fresh, tired, apart := strings.Cut(value, "/")
		for _, s := range sides {
			err := in.Findings.PutBoth(w[0], s, fresh)
			if err == nil && apart {
				err = in.Findings.Put(w[0], s, finding.Tired, tired)
			}
			if err != nil {
				t.Fatalf("%q: %v", line, err)
			}
		}
	}
	in.Findings.FillNormal(func(*finding.Def) bool { return true })
	return in
}

// steady is somebody well, for tests that change a few things.
const steady = `
	age_years 30
	height_cm 170
	mass_kg 65
	gait W5
	stand_s 60
	one_leg_s LR 20
	one_leg_bends LR 5
	ankle_deg LR 18
	toe_in_alone LR yes
	push_out LR 4
	push_in LR 4
	trunk 3
	place_of5 LR 5
	sitting_painless yes
	endurance_min 60`

// flat writes an answer as lines that can be compared.
func flat(a *Answer) map[string]string {
	out := map[string]string{}
	for _, x := range a.Axes {
		id := x.Axis
		if x.Side != "" {
			id += "_" + x.Side
		}
		out[id] = x.Value
		if x.Open {
			var ids []string
			for _, v := range x.Possible {
				ids = append(ids, v.ID)
			}
			out[id] = "open: " + strings.Join(ids, " ")
		}
	}
	for _, g := range a.Gates {
		v := g.Effect
		if g.Open {
			v += " open"
		}
		if g.Cleared {
			v += " cleared"
		}
		out["gate "+g.ID] = v
	}
	for _, n := range a.Notes {
		out[n.Kind+" "+n.Code] = "yes"
	}
	number := func(name string, x *float64) {
		if x != nil {
			out[name] = finding.FormatNumber(*x)
		}
	}
	span := func(name string, r *Range) {
		if r != nil {
			out[name] = finding.FormatNumber(r.Low) + "-" + finding.FormatNumber(r.High)
			if r.Low == r.High {
				out[name] = finding.FormatNumber(r.Low)
			}
		}
	}
	n := a.Numbers
	span("heel_lift_mm_left", n.HeelLiftMM.Left)
	span("heel_lift_mm_right", n.HeelLiftMM.Right)
	span("spacer_mm", n.SpacerMM)
	number("length_in_boot_mm_left", n.LengthInBootMM.Left)
	number("length_in_boot_mm_right", n.LengthInBootMM.Right)
	number("length_plate_first_day_mm_left", n.LengthPlateDayMM.Left)
	number("length_plate_first_day_mm_right", n.LengthPlateDayMM.Right)
	number("length_plate_final_mm_left", n.LengthPlateMM.Left)
	number("length_plate_final_mm_right", n.LengthPlateMM.Right)
	number("block_min", n.BlockMin)
	number("feet_check_min", n.FeetCheckMin)
	number("wind_chill_stop_c", n.WindChillStopC)
	return out
}

// wants checks lines "name = value", "name by rule" for the rule that decided,
// "kind code" for a note that must be there and "no kind code" for one that
// must not. Whatever follows a # says why.
func wants(t *testing.T, a *Answer, lines string) {
	t.Helper()
	have := flat(a)
	for _, line := range strings.Split(lines, "\n") {
		line, _, _ = strings.Cut(line, "#")
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		if name, value, ok := strings.Cut(line, " = "); ok {
			if have[name] != value {
				t.Errorf("%s is %q, want %q", name, have[name], value)
			}
			continue
		}
		if name, rule, ok := strings.Cut(line, " by "); ok {
			x, found := a.Axis(name)
			if !found || x.Rule != rule {
				t.Errorf("%s decided by another rule than %s: %+v", name, rule, x)
			}
			continue
		}
		if note, ok := strings.CutPrefix(line, "no "); ok {
			if have[note] != "" {
				t.Errorf("there must be no %q", note)
			}
			continue
		}
		if have[line] == "" {
			t.Errorf("missing: %s", line)
		}
	}
}

// differences lists what changed from a to b: "name: before -> after",
// "+ kind code" and "- kind code".
func differences(a, b *Answer) []string {
	before, after := flat(a), flat(b)
	names := map[string]bool{}
	for k := range before {
		names[k] = true
	}
	for k := range after {
		names[k] = true
	}
	var out []string
	for k := range names {
		switch x, y := before[k], after[k]; {
		case x == y:
		case x == "":
			out = append(out, strings.TrimSuffix(fmt.Sprintf("+ %s %s", k, strings.TrimPrefix(y, "yes")), " "))
		case y == "":
			out = append(out, strings.TrimSuffix(fmt.Sprintf("- %s %s", k, strings.TrimPrefix(x, "yes")), " "))
		default:
			out = append(out, fmt.Sprintf("%s: %s -> %s", k, x, y))
		}
	}
	sort.Strings(out)
	return out
}

// changesExactly checks that the answers differ in the lines given and in
// nothing else. Whatever follows a # says why.
func changesExactly(t *testing.T, a, b *Answer, lines string) {
	t.Helper()
	var want []string
	for _, line := range strings.Split(lines, "\n") {
		line, _, _ = strings.Cut(line, "#")
		if line = strings.TrimSpace(line); line != "" {
			want = append(want, line)
		}
	}
	got := differences(a, b)
	for _, g := range got {
		if !slices.Contains(want, g) {
			t.Errorf("changed too: %s", g)
		}
	}
	for _, w := range want {
		if !slices.Contains(got, w) {
			t.Errorf("did not change: %s", w)
		}
	}
}

// ------------------------------------------------------------------- mirror

// notSides are the phrases of the rule text in which left is not a side.
var notSides = strings.NewReplacer("left-right gap", "gap between the sides", "prosthesis, left off on snow", "prosthesis, off on snow",
	"nor left out", "nor forgotten", "upright", "up", "Upright", "Up")

var sideWord = regexp.MustCompile(`(?i)left|right|\b[LR]\b`)

// swapSides swaps left and right in a text.
func swapSides(s string) string {
	return sideWord.ReplaceAllStringFunc(notSides.Replace(s), func(w string) string {
		return map[string]string{"left": "right", "right": "left", "Left": "Right", "Right": "Left", "L": "R", "R": "L"}[w]
	})
}

// sidedText writes all of an argument that has to mirror: one line for each
// thing said, in no order, since lists go left before right. The findings a
// reason quotes are left out where either of two sides is reason enough, and
// smallest changes are left out where there are more than are listed; the
// plain version checks those.
func sidedText(a *Answer, tests []NextTest) []string {
	var out []string
	put := func(v any) {
		b, err := json.Marshal(v)
		if err != nil {
			panic(err)
		}
		out = append(out, notSides.Replace(string(b)))
	}
	for i := range a.Axes {
		x := a.Axes[i]
		id := x.Axis + " " + x.Side
		put([]any{id, x.Asks, x.Open, x.Value, x.Label, x.Rule, x.Because, x.Basis})
		for _, v := range x.Possible {
			put([]any{id, "possible", v})
		}
		for _, r := range x.WaitsFor {
			put([]any{id, "waits for", r})
		}
		for _, w := range x.WhyNot {
			put([]any{id, "why not", w.Value, w.Label, w.Rule, w.Against, w.Because})
		}
		steps := 0
		if len(x.Changes) > 0 {
			steps = x.Changes[0].Steps
		}
		put([]any{id, "changes", x.ChangesFound, steps})
		for _, c := range x.Changes {
			if x.ChangesFound > ChangesShown {
				continue
			}
			var parts []string
			for _, f := range c.Findings {
				b, _ := json.Marshal(f)
				parts = append(parts, notSides.Replace(string(b)))
			}
			sort.Strings(parts)
			put([]any{id, "change", c.To, c.Label, c.Steps})
			out = append(out, parts...)
		}
	}
	for _, g := range a.Gates {
		put([]any{g.ID, g.Effect, g.Open, g.Cleared, g.Clears, g.Because, g.Card})
	}
	for _, n := range a.Notes {
		put([]any{n.Code, n.Kind, n.Side, n.Say})
	}
	for _, r := range a.WaitsFor {
		put([]any{"waits for", r})
	}
	put([]any{"left", a.Numbers.HeelLiftMM.Left, a.Numbers.LengthInBootMM.Left, a.Numbers.LengthPlateDayMM.Left, a.Numbers.LengthPlateMM.Left})
	put([]any{"right", a.Numbers.HeelLiftMM.Right, a.Numbers.LengthInBootMM.Right, a.Numbers.LengthPlateDayMM.Right, a.Numbers.LengthPlateMM.Right})
	put([]any{a.Numbers.SpacerMM, a.Numbers.BlockMin, a.Numbers.FeetCheckMin, a.Numbers.WindChillStopC, fmt.Sprintf("%.9f", a.OpenBits)})
	for _, n := range tests {
		settles := slices.Clone(n.Settles)
		for i := range settles {
			settles[i] = fmt.Sprintf("settles %s with %s %s %s", settles[i], n.Finding, n.Side, n.State)
		}
		out = append(out, settles...)
		put([]any{"test", n.Finding, n.Side, n.State, n.Label, n.Test, fmt.Sprintf("%.9f", n.DropBits)})
	}
	return out
}

// minus returns what is in a more often than in b; both are sorted.
func minus(a, b []string) (out []string) {
	left := map[string]int{}
	for _, s := range b {
		left[s]++
	}
	for _, s := range a {
		if left[s]--; left[s] < 0 {
			out = append(out, s)
		}
	}
	return out
}
