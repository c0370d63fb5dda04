package programme_test

import (
	"math"
	"strings"
	"testing"

	"firnhand/core/decide"
	"firnhand/programme"
)

// person adds an adult with findings "id=value", "id.L=value".
func (r *rig) person(findings ...string) programme.ID {
	r.t.Helper()
	s := r.student(func(d *programme.StudentDetails) { d.BirthDate = date("1985-05-02") })
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(self)))
	for _, one := range append([]string{"height_cm=168", "mass_kg=64", "steps_x10=yes", "load_test=yes", "load_pain=no", "sitting_painless=yes", "trunk=3", "stand_s=20",
		"gait=W3", "grip.L=4", "grip.R=4", "push_down.L=4", "push_down.R=4", "place_of5.L=5", "place_of5.R=5", "balance_lost_lifting_one=no", "endurance_min=30",
		"push_out.L=4", "push_out.R=4", "push_in.L=4", "push_in.R=4", "toe_in_alone.L=yes", "toe_in_alone.R=yes", "ankle_deg.L=20", "ankle_deg.R=20",
		"scissor=none", "spasm_strong=no", "tips_wander=not_seen", "crouches=no", "hips_behind=no", "brace.L=none", "brace.R=none", "leg.L=whole", "leg.R=whole",
		"leg_short_mm.L=0", "leg_short_mm.R=0", "leg_shape.L=flat", "leg_shape.R=flat", "spastic_foot.L=no", "spastic_foot.R=no", "head_holds_helmet=yes", "wish=none",
		"bolts=no", "runs_off=no", "can_slow=yes", "can_steer=yes", "stop_delay_s=1", "natural_boot_gap_mm=180", "can_be_lowered=yes"}, findings...) {
		key, value, _ := strings.Cut(one, "=")
		id, side := key, "none"
		if base, ok := strings.CutSuffix(key, ".L"); ok {
			id, side = base, "left"
		}
		if base, ok := strings.CutSuffix(key, ".R"); ok {
			id, side = base, "right"
		}
		r.find(s, id, side, "both", value)
	}
	return s
}

func (r *rig) proposed(s programme.ID, f programme.Fitting) programme.SetUpState {
	r.t.Helper()
	p, err := programme.ProposalOf(decide.Standing(), r.at(s), f)
	if err != nil {
		r.t.Fatal(err)
	}
	return programme.SetUpState{SetUpProposal: p, Measured: make([]programme.MeasuredItem, len(p.Items))}
}

func lineOf(t *testing.T, p programme.SetUpState, item, side string) programme.SetUpItem {
	t.Helper()
	it, _, ok := p.Item(item, side)
	if !ok {
		t.Fatalf("the sheet has no line %s (%s)", item, side)
	}
	return it
}

// A measured wrist crease is the handle's height (crutch fitting: handle at
// the wrist crease with the arm hanging), whatever the body predicts, and its
// limits are narrower than those of the prediction.
func TestProposal(t *testing.T) {
	r := newRig(t)
	s := r.person()
	rough := r.proposed(s, programme.Fitting{})
	handle := lineOf(t, rough, "outrigger_handle", "left")
	if handle.Unit != "cm" || handle.Value == nil || *handle.Value < 70 || *handle.Value > 90 || *handle.Low >= *handle.Value || *handle.High <= *handle.Value ||
		len(handle.Wrong) < 2 || handle.Recheck == "" || !strings.Contains(handle.Measure, "wrist crease") || len(handle.Basis) == 0 {
		t.Errorf("predicted for 168 cm: %+v", handle)
	}
	fine := r.proposed(s, programme.Fitting{CreaseLeftCM: num(81), CreaseRightCM: num(79), Holes: &programme.HoleRow{FirstCM: 70, StepCM: 2.5, Count: 10}})
	for side, want := range map[string]float64{"left": 81, "right": 79} {
		it := lineOf(t, fine, "outrigger_handle", side)
		if *it.Value != want || *it.High-*it.Low >= *handle.High-*handle.Low {
			t.Errorf("%s: %v (%v to %v), want %v with less than %v", side, *it.Value, *it.Low, *it.High, want, *handle.High-*handle.Low)
		}
		if len(it.Holes) != 10 || it.Holes[1] != 72.5 || it.Hole == 0 || math.Abs(it.Holes[it.Hole-1]-*it.Value) > 6 {
			t.Errorf("%s: hole %d of %v for %v cm", side, it.Hole, it.Holes, *it.Value)
		}
	}
	if len(fine.Taken) != 2 || fine.Taken[0].Value != 81 || fine.Taken[1].Side != "right" {
		t.Errorf("taken: %+v", fine.Taken)
	}
	for _, it := range rough.Items {
		if it.Value != nil && (*it.Low > *it.Value || *it.High < *it.Value) {
			t.Errorf("%s: %v outside %v to %v", it.Item, *it.Value, *it.Low, *it.High)
		}
	}
	if it := lineOf(t, rough, "way", "none"); it.Words != "two skis and outriggers" || rough.Items[0].Item != "way" {
		t.Errorf("the first line is %+v", rough.Items[0])
	}
	if it := lineOf(t, rough, "tie", "none"); it.Words != "no tie" {
		t.Errorf("tie: %+v", it)
	}
	// The sheet is accepted as it is.
	r.ok(r.ProposeSetUp(ctx, instructor, r.made(), s, rough.SetUpProposal))
	r.ok(r.ProposeSetUp(ctx, instructor, r.made(), s, fine.SetUpProposal))
}

// What is on the sheet follows the answer: the trade's equipment for each way.
func TestProposalLines(t *testing.T) {
	for _, c := range []struct {
		name      string
		findings  []string
		has, lack string
	}{
		{"outriggers", nil, "outrigger_handle/left outrigger_handle/right cuff_below_elbow/left brake/right ski_length/none tie/none", "slider_handle/left spacer/none heel_lift/left length_plate/left braces/left"},
		{"one outrigger left", []string{"grip.R=1", "push_down.R=0", "place_of5.R=na"}, "outrigger_handle/left brake/left", "outrigger_handle/right brake/right slider_width/none"},
		{"slider with tie and spacer", []string{"gait=W2", "scissor=at_rest"}, "slider_handle/left slider_handle/right slider_width/none spacer/none reins/none", "outrigger_handle/left brake/left"},
		{"no aids", []string{"gait=W5", "stand_s=60"}, "way/none ski_length/none", "outrigger_handle/left slider_handle/left brake/left"},
		{"stiff right ankle", []string{"ankle_deg.R=3"}, "heel_lift/right boot/right", "heel_lift/left boot/left"},
		{"short right leg", []string{"leg_short_mm.R=24"}, "length_in_boot/right length_plate/right", "length_in_boot/left length_plate/left"},
		{"brace left", []string{"brace.L=ankle", "foot_corrects.L=yes", "brace_holds_knee.L=no", "brace_always.L=no"}, "braces/left", "braces/right"},
	} {
		r := newRig(t)
		p := r.proposed(r.person(c.findings...), programme.Fitting{})
		for _, key := range strings.Fields(c.has) {
			item, side, _ := strings.Cut(key, "/")
			if _, _, ok := p.Item(item, side); !ok {
				t.Errorf("%s: no line %s", c.name, key)
			}
		}
		for _, key := range strings.Fields(c.lack) {
			item, side, _ := strings.Cut(key, "/")
			if _, _, ok := p.Item(item, side); ok {
				t.Errorf("%s: a line %s", c.name, key)
			}
		}
	}
}

// The spacer is the natural gap that was measured, never wider.
func TestProposalSpacer(t *testing.T) {
	r := newRig(t)
	it := lineOf(t, r.proposed(r.person("gait=W2", "scissor=at_rest", "natural_boot_gap_mm=175"), programme.Fitting{}), "spacer", "none")
	if it.Unit != "mm" || *it.Value != 175 || *it.High != 175 || *it.Low > 175 {
		t.Errorf("%+v: %v (%v to %v)", it, *it.Value, *it.Low, *it.High)
	}
}

// Mirrored findings and readings give the mirrored sheet.
func TestProposalMirror(t *testing.T) {
	base := []string{"grip.R=1", "push_down.R=0", "place_of5.R=na", "ankle_deg.L=4", "leg_short_mm.R=24", "brace.L=ankle", "foot_corrects.L=yes", "brace_holds_knee.L=no", "brace_always.L=no"}
	flip := strings.NewReplacer(".L=", ".R=", ".R=", ".L=")
	var other []string
	for _, f := range base {
		other = append(other, flip.Replace(f))
	}
	r := newRig(t)
	a := r.proposed(r.person(base...), programme.Fitting{CreaseLeftCM: num(80), CreaseRightCM: num(78)})
	b := r.proposed(r.person(other...), programme.Fitting{CreaseLeftCM: num(78), CreaseRightCM: num(80)})
	if len(a.Items) != len(b.Items) {
		t.Fatalf("%d lines and %d", len(a.Items), len(b.Items))
	}
	mirror := map[string]string{"left": "right", "right": "left", "none": "none"}
	for _, it := range a.Items {
		m := lineOf(t, b, it.Item, mirror[it.Side])
		same := func(x, y *float64) bool { return x == nil && y == nil || x != nil && y != nil && *x == *y }
		words := strings.NewReplacer(" left", " right", " right", " left").Replace(it.Words)
		if !same(it.Value, m.Value) || !same(it.Low, m.Low) || !same(it.High, m.High) || words != m.Words {
			t.Errorf("%+v is not the mirror of %+v", m, it)
		}
	}
}

func TestProposalRefusals(t *testing.T) {
	r := newRig(t)
	refused := func(s programme.ID, f programme.Fitting, code programme.Code, words string) {
		t.Helper()
		_, err := programme.ProposalOf(decide.Standing(), r.at(s), f)
		if programme.CodeOf(err) != code || !strings.Contains(programme.SentenceOf(err), words) {
			t.Errorf("%v, want %s and %q", err, code, words)
		}
	}
	bare := r.student()
	refused(bare, programme.Fitting{}, programme.CodeConflict, "The way of skiing is not decided yet")
	refused(r.person("load_test=no"), programme.Fitting{}, programme.CodeConflict, "The answer is sitting")
	s := r.person()
	refused(s, programme.Fitting{CreaseLeftCM: num(810)}, programme.CodeInvalid, "left wrist crease is 810 cm; it must lie between 15 and 150 cm")
	refused(s, programme.Fitting{CreaseRightCM: num(math.NaN())}, programme.CodeInvalid, "The right wrist crease")
	refused(s, programme.Fitting{Holes: &programme.HoleRow{FirstCM: 2, StepCM: 2.5, Count: 5}}, programme.CodeInvalid, "The lowest hole lies between 20 and 160 cm")
	refused(s, programme.Fitting{Holes: &programme.HoleRow{FirstCM: 70, StepCM: 0, Count: 5}}, programme.CodeInvalid, "Holes are more than 0")
	refused(s, programme.Fitting{Holes: &programme.HoleRow{FirstCM: 70, StepCM: 2.5, Count: 500}}, programme.CodeInvalid, "between 1 and 40 holes")
	// Nobody weighed the student: everything stands to be measured, nothing is guessed.
	p := r.proposed(r.person("mass_kg=unknown"), programme.Fitting{})
	for _, it := range p.Items {
		if it.Value != nil || it.Unit != "" && it.Measure == "" {
			t.Errorf("without a body: %+v", it)
		}
	}
}
