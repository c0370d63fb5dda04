package programme_test

import (
	"math"
	"strings"
	"testing"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/stance"
	"firnhand/programme"
)

// taken reads "key=value", "key.L=value" into what a form sends.
func taken(values ...string) programme.MeasuresTaken {
	var t programme.MeasuresTaken
	for _, one := range values {
		key, value, _ := strings.Cut(one, "=")
		side := "none"
		if base, ok := strings.CutSuffix(key, ".L"); ok {
			key, side = base, "left"
		}
		if base, ok := strings.CutSuffix(key, ".R"); ok {
			key, side = base, "right"
		}
		t.Values = append(t.Values, programme.MeasureTaken{MeasureKey: programme.MeasureKey{Measure: key, Side: side}, Value: value})
	}
	return t
}

func (r *rig) measure(s programme.ID, values ...string) programme.ID {
	r.t.Helper()
	return r.ok(r.RecordMeasures(ctx, equipment, r.made(), s, taken(values...)))
}

// The latest of each measure stands, with who took it; an empty one is not
// known any more, and what was recorded in error is taken out.
func TestMeasuresStand(t *testing.T) {
	r := newRig(t)
	s := r.person()
	r.measure(s, "wrist_crease_boots_mm.L=815 mm", "wrist_crease_boots_mm.R=812,5", "stance_trunk_deg=14°", "closes.L=yes")
	wrong := r.measure(s, "wrist_crease_boots_mm.L=905", "closes.L=unknown")
	m := r.at(s).Measured()
	if v, ok := m.Number("wrist_crease_boots_mm", finding.Left); !ok || v != 905 {
		t.Errorf("left crease %v, %v", v, ok)
	}
	if v, _ := m.Number("wrist_crease_boots_mm", finding.Right); v != 812.5 {
		t.Errorf("right crease %v", v)
	}
	if m.Yes("closes", finding.Left) != nil {
		t.Error("what is not known any more is still there")
	}
	if got := r.at(s).Measures[programme.MeasureKey{Measure: "stance_trunk_deg", Side: "none"}]; got.Value != "14" || got.By != equipment.Staff {
		t.Errorf("trunk %+v", got)
	}
	r.ok(r.Retract(ctx, equipment, r.made(), s, wrong, programme.Retraction{Reason: "another student's"}))
	if v, _ := r.at(s).Measured().Number("wrist_crease_boots_mm", finding.Left); v != 815 {
		t.Errorf("after it was taken out the left crease is %v", v)
	}
	if got, err := r.StudentAt(ctx, scheduler, s, programme.AsOf{}); err != nil || got.Measures != nil {
		t.Errorf("the scheduler reads %v, %v", got.Measures, err)
	}
}

// What contradicts itself or no body can be is refused with a sentence, and
// nothing is written; what only stands out is told.
func TestMeasuresRefused(t *testing.T) {
	r := newRig(t)
	s := r.person() // 168 cm, 64 kg
	for _, c := range []struct {
		values []string
		words  string
	}{
		{[]string{"stance_knee_deg.L=-12"}, "The left knee would bend backwards by 12 degrees"},
		{[]string{"stance_knee_deg.R=-45"}, "Bend of the knee: -45 degrees cannot be right"},
		{[]string{"leg_level.L=transtibial", "leg_residual_mm.L=700"}, "A residual of 700 mm from the knee is longer than the shank"},
		{[]string{"leg_level.L=foot", "leg_residual_mm.L=100"}, "The left leg ends at a joint"},
		{[]string{"leg_residual_mm.R=160"}, "say where the right leg ends"},
		{[]string{"arm_level.L=transradial", "arm_prosthesis.L=no", "arm_prosthesis_kg.L=0.8"}, "weighed here and said not to be worn"},
		{[]string{"leg_prosthesis_kg.L=-1"}, "Weight of the leg prosthesis: -1 kg cannot be right"},
		{[]string{"scale_kg.L=40", "scale_kg.R=40"}, "The scales show 80.0 kg together, more than the 64.0 kg"},
		{[]string{"scale_kg.L=20", "scale_kg.R=30"}, "were the hands free?"},
		{[]string{"scale_kg.L=0", "scale_kg.R=0"}, "Both scales show nothing."},
		{[]string{"knee_height_mm=600", "hip_height_mm=500"}, "knee"},
		{[]string{"upper_arm_mm=300"}, "Shoulder edge to elbow is measured left or right."},
		{[]string{"hip_breadth_mm.L=300"}, "Breadth of the hips has no sides."},
		{[]string{"upper_arm_mm.L=NaN"}, `"NaN" is not a number in mm`},
		{[]string{"upper_arm_mm.L=30 cm"}, `"30 cm" is not a number in mm`},
		{[]string{"sole_mm=300"}, `There is no measure called "sole_mm".`},
		{[]string{"closes.L=perhaps"}, "perhaps"},
		{[]string{"hip_breadth_mm=300", "hip_breadth_mm=310"}, "given twice"},
		{nil, "nothing to record"},
	} {
		n := r.count()
		_, err := r.RecordMeasures(ctx, equipment, r.made(), s, taken(c.values...))
		r.refused(n, err, programme.CodeInvalid, c.words)
	}
	n := r.count()
	_, err := r.RecordMeasures(ctx, scheduler, r.made(), s, taken("hip_breadth_mm=300"))
	r.refused(n, err, programme.CodeNotAllowed, "")

	// Two scales that agree with the mass, and one hand resting.
	r.measure(s, "scale_kg.L=25.5", "scale_kg.R=38.5")
	r.measure(s, "scale_kg.L=20", "scale_kg.R=30", "scale_hands=yes")
	// A weight written down later that the scales contradict does not undo them,
	// but the next measuring says so.
	r.find(s, "mass_kg", "none", "both", "45")
	n = r.count()
	_, err = r.RecordMeasures(ctx, equipment, r.made(), s, taken("hip_breadth_mm=350"))
	r.refused(n, err, programme.CodeInvalid, "The scales show 50.0 kg together")
}

// Flags tell, and refuse nothing (ANSUR II, 98 of 100 people).
func TestMeasuresFlagged(t *testing.T) {
	r := newRig(t)
	s := r.person()
	if f := programme.FlagsOf(r.at(s).Set(), r.at(s).Measured()); len(f) != 0 {
		t.Errorf("an average person: %v", f)
	}
	r.measure(s, "upper_arm_mm.L=240", "stance_knee_deg.R=5", "leg_most_kg.L=90", "runner_ahead_mm.L=500")
	flags := programme.FlagsOf(r.at(s).Set(), r.at(s).Measured())
	for _, want := range []string{"left upper arm of 240 mm lies outside", "right bend of the knee of 5 degrees lies outside 20 to 40", "90 kg, more than the student weighs", "runner ahead of the toe piece of 500 mm"} {
		found := false
		for _, f := range flags {
			found = found || strings.Contains(f.Sentence, want)
		}
		if !found {
			t.Errorf("%q is not told among %v", want, flags)
		}
	}
}

// A record and a file of the same person give the same body (the leg-length
// difference, the limb's own level and residual too).
func TestPersonOfUsesWhatWasMeasured(t *testing.T) {
	r := newRig(t)
	s := r.person("leg_short_mm.R=24", "leg.L=below_knee")
	rec := r.at(s)
	p, ok := programme.PersonOf(rec.Set(), rec.Measured())
	if !ok || math.Abs(p.LegShort.Right.Millimetres()-24) > 1e-9 || len(p.Losses) != 1 || p.Losses[0].Level != body.Transtibial || p.Losses[0].Prosthesis == nil || p.Losses[0].Residual != nil {
		t.Fatalf("%+v", p)
	}
	r.measure(s, "leg_residual_mm.L=150", "leg_prosthesis_kg.L=1.9", "weighed_with_prosthesis=yes", "body_table=F")
	rec = r.at(s)
	p, _ = programme.PersonOf(rec.Set(), rec.Measured())
	if l := p.Losses[0]; l.Residual == nil || math.Abs(l.Residual.Millimetres()-150) > 1e-9 || math.Abs(float64(l.Prosthesis.Mass.Value())-1.9) > 1e-9 || math.Abs(float64(p.Mass)-62.1) > 1e-9 || p.Sex != body.Female {
		t.Fatalf("%+v, %+v", p, l)
	}
	// Measured more exactly than the evaluation said: through the knee.
	r.measure(s, "leg_level.L=knee", "leg_residual_mm.L=", "leg_prosthesis.L=yes")
	rec = r.at(s)
	if p, _ = programme.PersonOf(rec.Set(), rec.Measured()); p.Losses[0].Level != body.AtKnee {
		t.Fatalf("%+v", p.Losses)
	}
}

// Another limb or prosthesis voids a set-up; what was not known before does
// not.
func TestMeasuredLimbVoidsASetUp(t *testing.T) {
	for _, c := range []struct {
		name   string
		before []string
		after  []string
		void   string
	}{
		{"residual measured for the first time", []string{"leg_level.L=transtibial"}, []string{"leg_residual_mm.L=150"}, ""},
		{"the same again", []string{"leg_level.L=transtibial", "leg_residual_mm.L=150"}, []string{"leg_residual_mm.L=150"}, ""},
		{"another residual", []string{"leg_level.L=transtibial", "leg_residual_mm.L=150"}, []string{"leg_residual_mm.L=140"}, "Another leg or prosthesis, left (2027-01-14)."},
		{"another prosthesis", []string{"arm_level.R=hand", "arm_prosthesis_kg.R=0.5"}, []string{"arm_prosthesis_kg.R=0.9"}, "Another arm or prosthesis, right (2027-01-14)."},
		{"something else", nil, []string{"hip_breadth_mm=340"}, ""},
	} {
		r := newRig(t)
		s := r.person()
		if c.before != nil {
			r.measure(s, c.before...)
		}
		r.signedSheet(s)
		r.measure(s, c.after...)
		got, _ := r.at(s).LatestSetUp()
		if (got.Status == programme.SetUpVoid) != (c.void != "") || c.void != "" && got.Void[0].Say != c.void {
			t.Errorf("%s: %s, %+v", c.name, got.Status, got.Void)
		}
	}
}

// Two scales place the weight between the feet of who stands free, and share
// it between the feet of who holds something (statics); a leg's most on a scale
// is its limit.
func TestScalesInTheStance(t *testing.T) {
	level := programme.StancePlaces()[0]
	r := newRig(t)
	free := r.person("gait=W5", "stand_s=60", "one_leg_s.L=20", "one_leg_s.R=20", "one_leg_bends.L=5", "one_leg_bends.R=5")
	r.measure(free, "scale_kg.L=25.6", "scale_kg.R=38.4", "leg_most_kg.L=45")
	st, err := programme.StanceOf(decide.Standing(), r.at(free))
	if err != nil || st.Way != "none" {
		t.Fatalf("%v, %v", st, err)
	}
	b, err := st.In(level, true)
	if err != nil {
		t.Fatal(err)
	}
	left, _ := b.Result.Side(stance.Ski, finding.Left)
	if share := float64(left.Even / b.Result.Weight); math.Abs(share-0.4) > 1e-6 || !strings.Contains(b.Scales, "40 %") {
		t.Errorf("the left foot carries %v, %q", share, b.Scales)
	}
	if want := 45 * 9.80665; math.Abs(float64(left.Contact.Limit.Most)-want) > 1e-6 {
		t.Errorf("limit %v, want %v", left.Contact.Limit.Most, want)
	}
	aided := r.person()
	r.measure(aided, "scale_kg.L=25.6", "scale_kg.R=38.4")
	if st, err = programme.StanceOf(decide.Standing(), r.at(aided)); err != nil || st.Way != "outriggers" {
		t.Fatalf("%v, %v", st, err)
	}
	if b, err = st.In(level, false); err != nil {
		t.Fatal(err)
	}
	left, _ = b.Result.Side(stance.Ski, finding.Left)
	right, _ := b.Result.Side(stance.Ski, finding.Right)
	if share := float64(left.Even / (left.Even + right.Even)); math.Abs(share-0.4) > 0.01 || b.Result.Of.LeftShare == nil {
		t.Errorf("of the feet's load the left carries %v", share)
	}
}

// What was measured of the stance, the runners and the body is what is posed,
// and is no longer among the doubts.
func TestMeasuredStanceIsPosed(t *testing.T) {
	r := newRig(t)
	s := r.person()
	before, _ := programme.StanceOf(decide.Standing(), r.at(s))
	r.measure(s, "stance_width_mm=260", "stance_ankle_deg.L=13", "stance_ankle_deg.R=13", "stance_knee_deg.L=24", "stance_knee_deg.R=24", "stance_trunk_deg=12",
		"runner_ahead_mm.L=200", "runner_ahead_mm.R=200", "runner_outside_mm.L=90", "runner_outside_mm.R=90", "boots_kg=3.2", "skis_kg=5.5")
	st, err := programme.StanceOf(decide.Standing(), r.at(s))
	if err != nil {
		t.Fatal(err)
	}
	j := st.Posed.Pose.Joints
	if w := j.Ankle.Right.X - j.Ankle.Left.X; math.Abs(w-0.26) > 1e-9 {
		t.Errorf("stands %v m wide", w)
	}
	if d := st.Posed.Runner.Left.Y - j.Toe.Left.Y; math.Abs(d-0.2) > 1e-9 {
		t.Errorf("runner %v m ahead of the toe", d)
	}
	if m := st.Posed.Pose.Mass - st.Posed.Pose.BodyMass - 3.2 - 5.5; math.Abs(m-2*0.95) > 0.2 {
		t.Errorf("besides boots and skis %v kg of outriggers", m)
	}
	d1, _ := before.Doubts(programme.StancePlaces()[0])
	d2, err := st.Doubts(programme.StancePlaces()[0])
	if err != nil || len(d2) >= len(d1) {
		t.Errorf("%d doubts before, %d after measuring: %v", len(d1), len(d2), err)
	}
	for _, d := range d2 {
		if d.ID == "width" || d.ID == "knee" || strings.HasPrefix(d.ID, "runner") {
			t.Errorf("%s was measured and is still in doubt", d.ID)
		}
	}
}

// The printed table's rows change at 10 and at 50 years: passing either makes
// a binding's record void, and a request that waits has to be asked again.
func TestBindingAgeAndHeight(t *testing.T) {
	born := func(s string) func(*programme.StudentDetails) {
		return func(d *programme.StudentDetails) { d.BirthDate = date(s) }
	}
	for _, c := range []struct {
		name   string
		birth  string
		days   int
		height string
		void   string
	}{
		{"34 stays 34", "1992-05-02", 40, "", ""},
		{"turns 50", "1977-02-01", 40, "", "Turned 50 on 2027-02-01: from that age on another row counts."},
		{"was 50 before", "1977-01-14", 40, "", ""},
		{"turns 51", "1976-02-01", 40, "", ""},
		{"turns 10", "2017-02-10", 40, "", "Turned 10 on 2027-02-10: from that age on another row counts."},
		{"turns 11", "2016-02-10", 40, "", ""},
		{"the day before", "1977-02-24", 40, "", ""},
		{"grew into another row", "1992-05-02", 40, "168", "Another height class: 165 cm before, 168 cm now (2027-02-23)."},
		{"grew within the row", "1992-05-02", 40, "166", ""},
	} {
		r := newRig(t)
		s := r.student(born(c.birth))
		r.find(s, "mass_kg", "none", "both", "75") // by mass row K; the height decides
		r.find(s, "height_cm", "none", "both", "165")
		waiting := r.ask(s)
		r.ok(r.RecordBindingTest(ctx, technician, r.made(), s, tested(waiting)))
		r.days(c.days)
		if c.height != "" {
			r.find(s, "height_cm", "none", "both", c.height)
		}
		b, _ := r.at(s).Binding()
		if (b.Status == programme.BindingVoid) != (c.void != "") || c.void != "" && (b.Void[0].Say != c.void || b.Usable()) {
			t.Errorf("%s: %s, %v", c.name, b.Status, b.Void)
		}
		if c.void == "" {
			continue
		}
		n := r.count()
		_, err := r.RecordBindingTest(ctx, technician, r.made(), s, tested(waiting))
		r.refused(n, err, programme.CodeConflict, "Ask again before anything is recorded.")
		next := r.ask(s)
		r.ok(r.RecordBindingTest(ctx, technician, r.made(), s, tested(next)))
		if b, _ = r.at(s).Binding(); b.Status == programme.BindingVoid {
			t.Errorf("%s: asked again it is still %s: %v", c.name, b.Status, b.Void)
		}
	}
}

// What is written reads back as the same measure, for every kind.
func TestMeasureKinds(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range programme.MeasureKinds() {
		if seen[k.Key] || k.Label == "" || k.Means == "" {
			t.Errorf("%+v", k)
		}
		seen[k.Key] = true
		if k.Levels != nil {
			for _, l := range k.Levels {
				if got, err := k.Parse(strings.ToUpper(l.ID)); err != nil || got != l.ID || k.Says(got) != l.Label {
					t.Errorf("%s: %q, %v", k.Key, got, err)
				}
			}
			continue
		}
		if !(k.Low < k.High) || k.Unit() != "mm" && k.Unit() != "kg" && k.Unit() != "deg" {
			t.Errorf("%s lies between %g and %g %s", k.Key, k.Low, k.High, k.Unit())
		}
		for _, v := range []float64{k.Low, k.High, (k.Low + k.High) / 2} {
			if got, err := k.Parse(finding.FormatNumber(v)); err != nil || got != finding.FormatNumber(v) {
				t.Errorf("%s: %q, %v", k.Key, got, err)
			}
		}
		for _, bad := range []float64{k.Low - 1, k.High + 1} {
			if _, err := k.Parse(finding.FormatNumber(bad)); programme.CodeOf(err) != programme.CodeInvalid {
				t.Errorf("%s takes %g: %v", k.Key, bad, err)
			}
		}
	}
	topics := map[string]bool{}
	for _, topic := range programme.MeasureTopics {
		topics[topic.ID] = true
	}
	for _, k := range programme.MeasureKinds() {
		if !topics[k.Topic] {
			t.Errorf("%s is of no topic: %s", k.Key, k.Topic)
		}
	}
}
