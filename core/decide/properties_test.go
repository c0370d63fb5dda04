package decide

import (
	"math/rand/v2"
	"slices"
	"sort"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// ------------------------------------------------------------------- mirror

// TestMirror: swapping left and right in what was found swaps every sided
// output and nothing else (cases.md, cross-check 5, for everybody).
func TestMirror(t *testing.T) {
	const people = 300
	sayPeople(t, people)
	table := Standing()
	draw := drawer{plainRead(StandingText(), nil)}
	for n := range people {
		in := draw.person(n)
		a, tests := table.Argue(in)
		back := in
		back.Findings = in.Findings.Mirror()
		b, testsBack := table.Argue(back)
		want := sidedText(a, tests)
		for i := range want {
			want[i] = swapSides(want[i])
		}
		got := sidedText(b, testsBack)
		sort.Strings(want)
		sort.Strings(got)
		if missing, extra := minus(want, got), minus(got, want); len(missing)+len(extra) > 0 {
			t.Fatalf("seed=%d person %d (%s)\nonly one way round: %s\nonly the other: %s", *seedFlag, n, written(in),
				strings.Join(missing, "\n  "), strings.Join(extra, "\n  "))
		}
	}
}

// -------------------------------------------------- holds never permit more

// strictness orders what gate and plan permit; larger is stricter.
func strictness(t *testing.T, a *Answer) (gate, plan []int) {
	t.Helper()
	for _, id := range []string{"gate", "plan"} {
		x, ok := a.Axis(id)
		if !ok {
			t.Fatal("no axis " + id)
		}
		answers := []string{x.Value}
		if x.Open {
			answers = nil
			for _, v := range x.Possible {
				answers = append(answers, v.ID)
			}
		}
		for _, v := range answers {
			switch {
			case id == "gate":
				gate = append(gate, slices.Index(effectNames[:], v))
			case v == "PL-H":
				plan = append(plan, 2)
			case v == "PL-F":
				plan = append(plan, 1)
			default:
				plan = append(plan, 0)
			}
		}
	}
	return gate, plan
}

// notMore fails when b permits something a does not.
func notMore(t *testing.T, what string, in Input, a, b *Answer) {
	t.Helper()
	ga, pa := strictness(t, a)
	gb, pb := strictness(t, b)
	if slices.Min(gb) < slices.Min(ga) || slices.Max(gb) < slices.Max(ga) {
		t.Errorf("%s opens the gate: %v to %v (%s)", what, ga, gb, written(in))
	}
	if slices.Min(pb) < slices.Min(pa) || slices.Max(pb) < slices.Max(pa) {
		t.Errorf("%s permits more: plan strictness %v to %v (%s)", what, pa, pb, written(in))
	}
}

// signs are the findings that speak for a hold, each with the value that does
// and the gate it belongs to (trade A2 and A3).
var signs = [][3]string{
	{"neck_sign", "yes", "G1"}, {"neck_exam", "no", "G1"}, {"down_syndrome", "yes", "G1"}, {"shunt_sign", "yes", "G2"}, {"shunt_surgery_months", "1", "G2"},
	{"recent_injury", "yes", "G3"}, {"release_letter", "no", "G3"}, {"event_months", "2", "G3"}, {"seizure_free_months", "1", "G4"},
	{"seizure_risk_today", "yes", "G4"}, {"seizure_letter", "no", "G4"}, {"open_skin", "yes", "G5"}, {"stump_sore", "yes", "G5"},
	{"fragile_bone", "yes", "G6"}, {"bone_letter", "no", "G6"}, {"hip_pain", "yes", "G7"}, {"standing_loss", "yes", "G7"},
	{"hip_surgeon_word", "no", "G7"}, {"heart_symptom", "yes", "G8"}, {"cord_injury", "T6_or_above", "G9"}, {"ad_plan", "no", "G9"},
	{"ad_sign", "yes", "G9S"}, {"insulin", "yes", "G10"}, {"sugar_today", "low", "G10S"}, {"muscle_disease", "yes", "G11"},
	{"muscle_overwork_sign", "yes", "G11S"}, {"blood_thinner", "yes", "G12"}, {"head_strike", "yes", "G12S"}, {"botulinum_months", "1", "G13"},
	{"pump_change", "yes", "G13"}, {"growth_cm", "5", "G13"}, {"new_brace", "yes", "G13"}, {"breathing_device", "yes", "G14"},
	{"helmet_possible", "no", "G14"}, {"runs_off", "yes", "G15"}, {"waiver", "missing", "G16"}, {"waiver", "expired", "G16"},
	{"evaluation_age_days", "800", "G17"}, {"progressive", "yes", "G17"}, {"acute_sign", "yes", "G18"}, {"vision_loss_new", "yes", "G18"},
	{"legs_heavier_today", "yes", "G18"},
}

// TestHoldNeverPermitsMore: a hold, a sign of one or a clearance taken back
// never makes gate or plan more permissive (trade A3).
func TestHoldNeverPermitsMore(t *testing.T) {
	const people = 1500
	sayPeople(t, people)
	table := Standing()
	draw := drawer{plainRead(StandingText(), nil)}
	for n := range people {
		r := rand.New(rand.NewPCG(*seedFlag+1, uint64(n)))
		in := draw.person(n)
		before := table.Decide(in)
		for _, e := range []Effect{HoldStanding, Hold} {
			more := in
			more.Held = append(slices.Clone(in.Held), e)
			notMore(t, "a hold by hand", in, before, table.Decide(more))
		}
		for i := range in.Cleared {
			less := in
			less.Cleared = slices.Delete(slices.Clone(in.Cleared), i, i+1)
			notMore(t, "taking back the clearance of "+in.Cleared[i], in, before, table.Decide(less))
		}
		for range 6 {
			s := signs[r.IntN(len(signs))]
			more := in
			more.Findings = in.Findings.Clone()
			if v := in.Findings.Get(s[0], finding.NoSide, finding.Fresh); v.Kind == finding.Known {
				if d, _ := finding.Lookup(s[0]); d.Scale == finding.Number && ((d.MoreIsGood && v.X < 2) || (!d.MoreIsGood && v.X > 5)) {
					continue // worse already
				}
			}
			if err := more.Findings.Put(s[0], finding.NoSide, finding.Fresh, s[1]); err != nil {
				t.Fatal(err)
			}
			notMore(t, s[0]+" = "+s[1], in, before, table.Decide(more))
		}
		if t.Failed() {
			t.Fatalf("seed=%d person %d", *seedFlag, n)
		}
	}
}

// TestEverySignSpeaks: each of those signs has its gate come up for somebody
// well who has whatever the gate is about.
func TestEverySignSpeaks(t *testing.T) {
	context := map[string]string{
		"G1": "down_syndrome yes\nneck_exam yes", "G3": "recent_injury yes\nrelease_letter yes", "G4": "seizure_free_months 8\nseizure_letter yes",
		"G6": "fragile_bone yes\nbone_letter yes", "G7": "gross_motor_level 3\nhip_check_months 20\nhip_surgeon_word yes",
		"G9": "cord_injury T6_or_above\nad_plan yes", "G17": "progressive yes\nevaluation_age_days 100",
	}
	alone := map[string]string{"down_syndrome": "neck_exam no", "cord_injury": "ad_plan no", "fragile_bone": "bone_letter no",
		"recent_injury": "release_letter no", "event_months": "release_letter no\nrecent_injury no"}
	for _, s := range signs {
		for _, g := range Standing().Decide(student(t, steady, context[s[2]], alone[s[0]], s[0]+" "+s[1])).Gates {
			if g.ID == s[2] && !g.Open {
				s[2] = ""
			}
		}
		if s[2] != "" {
			t.Errorf("%s = %s does not bring up %s", s[0], s[1], s[2])
		}
	}
}

// ------------------------------------------------------------------ unknown

// TestUnknownKeepsTheAnswer: forgetting a finding never decides a question
// otherwise, and the old answer stays among the possible ones.
func TestUnknownKeepsTheAnswer(t *testing.T) {
	const people = 600
	sayPeople(t, people)
	table := Standing()
	plain := plainRead(StandingText(), nil)
	draw := drawer{plain}
	for n := range people {
		r := rand.New(rand.NewPCG(*seedFlag+2, uint64(n)))
		in := draw.person(n)
		before := table.Decide(in)
		for range 8 {
			less := in
			less.Findings = in.Findings.Clone()
			for range 1 + r.IntN(3) {
				delete(less.Findings, plain.keys[r.IntN(len(plain.keys))])
			}
			after := table.Decide(less)
			for i := range before.Axes {
				x, y := &before.Axes[i], &after.Axes[i]
				if y.mask&x.mask != x.mask {
					t.Fatalf("seed=%d person %d: %s was %v, with less known it is %v (%s)", *seedFlag, n, x.Axis, flat(before)[x.Axis], flat(after)[y.Axis], written(less))
				}
				if y.Open && len(y.WaitsFor) == 0 {
					t.Fatalf("seed=%d person %d: %s is open but waits for nothing (%s)", *seedFlag, n, y.Axis, written(less))
				}
			}
			if after.OpenBits < before.OpenBits-1e-9 {
				t.Fatalf("seed=%d person %d: less known, less open: %g to %g bits", *seedFlag, n, before.OpenBits, after.OpenBits)
			}
		}
	}
}

// TestWaitsFor: once everything a question waits for is known, it is decided;
// that is what an instructor reads the list as.
func TestWaitsFor(t *testing.T) {
	const people = 500
	sayPeople(t, people)
	table := Standing()
	draw := drawer{plainRead(StandingText(), nil)}
	for n := range people {
		r := rand.New(rand.NewPCG(*seedFlag+3, uint64(n)))
		in := draw.person(n)
		for k := range in.Findings { // many more unknown
			if r.IntN(12) == 0 {
				delete(in.Findings, k)
			}
		}
		for i, x := range table.Decide(in).Axes {
			if !x.Open {
				continue
			}
			known := in
			known.Findings = in.Findings.Clone()
			for _, f := range x.WaitsFor {
				d, _ := finding.Lookup(f.Finding)
				for _, k := range readKeys(f) {
					known.Findings[k] = draw.any(r, d)
				}
			}
			if y := table.Decide(known).Axes[i]; y.Open {
				t.Fatalf("seed=%d person %d: %s waits for %v; with those known it waits for %v (%s)", *seedFlag, n, x.Axis, x.WaitsFor, y.WaitsFor, written(in))
			}
		}
	}
}

// readKeys returns the values a reading is about.
func readKeys(f Reading) []finding.Key {
	k := finding.Key{ID: f.Finding}
	switch f.Side {
	case "left":
		k.Side = finding.Left
	case "right":
		k.Side = finding.Right
	}
	tired := k
	tired.State = finding.Tired
	switch f.State {
	case "tired":
		return []finding.Key{tired}
	case "fresh and tired":
		return []finding.Key{k, tired}
	}
	return []finding.Key{k}
}

// ----------------------------------------------------------- reasons suffice

// TestReasonsSuffice: what a reason quotes is reason enough. Everything else
// about the person is replaced by somebody else's, numbers move within the
// band the reason names, and the rule still holds or still fails.
func TestReasonsSuffice(t *testing.T) {
	const people = 250
	sayPeople(t, people)
	table := Standing()
	plain := plainRead(StandingText(), nil)
	draw := drawer{plain}
	var strangers []finding.Set
	for n := range 300 {
		r := rand.New(rand.NewPCG(*seedFlag+6, uint64(n)))
		s := draw.person(1_000_000 + n).Findings
		for _, k := range plain.keys {
			if d, _ := finding.Lookup(k.ID); s[k].Kind == finding.Unknown || r.IntN(4) == 0 {
				s[k] = draw.any(r, d)
			}
		}
		strangers = append(strangers, s)
	}
	for n := range people {
		r := rand.New(rand.NewPCG(*seedFlag+4, uint64(n)))
		in := draw.person(n)
		a := table.Decide(in)
		// stranger keeps only what was read.
		stranger := func(read []Reading) *plainPerson {
			out := Input{Findings: strangers[r.IntN(len(strangers))].Clone(), Cleared: in.Cleared, Held: in.Held}
			for _, f := range read {
				for _, k := range readKeys(f) {
					v := in.Findings[k]
					if v.Kind == finding.Known {
						v = plain.steps[k.ID][plain.step(k.ID, v)]
					}
					if v.Kind != finding.Unknown {
						out.Findings[k] = v
					}
				}
			}
			return plain.person(out)
		}
		for _, q := range plain.questions() {
			x, _ := a.Axis(q.id())
			if x.Open || q.axis.from != nil {
				continue
			}
			own := plain.person(in)
			if own.reset(); own.answer(q.axis, q.side, false) >= 0 && own.missed >= 0 {
				continue // several rules may be the one, all with this answer
			}
			for range 3 {
				p := stranger(x.Read)
				p.reset()
				if q.axis.id == "gate" {
					if x.Value != "none" && q.axis.values[p.gate()] != x.Value {
						t.Fatalf("seed=%d person %d: gate %s does not follow from %v (%s)", *seedFlag, n, x.Value, x.Read, written(in))
					}
					continue
				}
				if !p.ruleHolds(q, x.Rule, x.Value) {
					t.Fatalf("seed=%d person %d: %s rule %s does not follow from %v (%s)", *seedFlag, n, q.id(), x.Rule, x.Read, written(in))
				}
				for _, w := range x.WhyNot {
					p := stranger(w.Read)
					p.reset()
					switch by, over := strings.CutPrefix(w.Against, "overruled by "); {
					case over && !p.ruleHolds(q, by, x.Value):
						t.Fatalf("seed=%d person %d: %s not %s: %s does not follow from %v (%s)", *seedFlag, n, q.id(), w.Value, by, w.Read, written(in))
					case w.Against == "not met" && p.ruleMet(q, w.Rule, w.Value):
						t.Fatalf("seed=%d person %d: %s not %s: that %s fails does not follow from %v (%s)", *seedFlag, n, q.id(), w.Value, w.Rule, w.Read, written(in))
					}
				}
			}
		}
	}
}

// ruleMet asks the condition of one rule, in the turn that gives the answer.
func (p *plainPerson) ruleMet(q plainQuestion, rule, value string) bool {
	for _, r := range q.axis.rules {
		turns := []finding.Side{q.side}
		if r.each {
			turns = []finding.Side{finding.Left, finding.Right}
		}
		for _, this := range turns {
			if r.id == rule && q.axis.values[r.then[this]] == value {
				return r.cond(p, this, false)
			}
		}
	}
	panic("no rule " + rule + " for " + value)
}

// ruleHolds is ruleMet, except that a rule that says "otherwise" holds when
// the question comes out that way.
func (p *plainPerson) ruleHolds(q plainQuestion, rule, value string) bool {
	if q.axis.rules[len(q.axis.rules)-1].id == rule {
		return q.axis.values[p.answer(q.axis, q.side, false)] == value
	}
	return p.ruleMet(q, rule, value)
}

// ----------------------------------------------------------------- monotone

// worsening is a claim of the trade: this getting worse never moves that
// answer towards less.
type worsening struct {
	id, axis string
	order    []string // from least to most
	source   string
	with     string // what else has to be there for the claim to bite
}

var (
	lessTie   = []string{"none", "carry_elastic", "elastic", "rigid", "rigid_spacer"}
	lessHelp  = []string{"none", "outriggers", "slider", "sitting"}
	lessWedge = []string{"wedge", "wedge_early_then_wedgeless", "wedge_or_wedgeless", "wedgeless"}
	lessHeel  = []string{"none", "lift"}
	fewer     = []string{"1", "2", "3", "4"}
)

var worsenings = []worsening{
	{"push_out", "tie", lessTie, "B2 T0-T3", ""}, {"push_in", "tie", lessTie, "B2 T0-T3", ""}, {"scissor", "tie", lessTie, "B2 T0-T3", ""},
	{"spasm_strong", "tie", lessTie, "B2 T2", ""}, {"mass_kg", "tie", lessTie, "B2 T2", ""}, {"tips_wander", "tie", lessTie, "B2 T0", ""},
	{"gait", "way", lessHelp, "B2 D3-D5", ""}, {"stand_s", "way", lessHelp, "B2 D3-D5", ""}, {"trunk", "way", lessHelp, "B2 D1-D5", ""},
	{"push_out", "way", lessHelp, "B2 D3, D4", ""}, {"steps_x10", "way", lessHelp, "B2 D3", ""}, {"load_test", "way", lessHelp, "B2 D1", ""},
	{"load_pain", "way", lessHelp, "B2 D1", ""}, {"endurance_min", "way", lessHelp, "B2 D9", ""}, {"head_holds_helmet", "way", lessHelp, "B2 D1", ""},
	{"balance_lost_lifting_one", "way", lessHelp, "B2 D5c", ""},
	{"toe_in_alone", "route_left", lessWedge, "B2 wedge", ""}, {"toe_in_alone", "route_right", lessWedge, "B2 wedge", ""},
	{"push_out", "route_left", lessWedge, "B2 wedge", ""}, {"push_out", "route_right", lessWedge, "B2 wedge", ""},
	{"ankle_deg", "heel_left", lessHeel, "B2 H1", ""}, {"ankle_deg", "heel_right", lessHeel, "B2 H1", ""},
	{"mass_kg", "people", fewer, "B2 P3", ""}, {"seizure_free_months", "people", fewer, "B2 P5", ""}, {"bolts", "people", fewer, "B2 P5", ""},
	{"runs_off", "people", fewer, "A3 G15", ""}, {"two_person_lift", "people", fewer, "B2 P5", ""},
	{"vision_m", "guide", []string{"no", "yes"}, "B2 D7", ""},
	{"seizure_free_months", "gate", effectNames[:], "A3 G4", ""}, {"evaluation_age_days", "gate", effectNames[:], "A3 G17", ""},
	{"growth_cm", "gate", effectNames[:], "A3 G13", ""}, {"heart_review_months", "gate", effectNames[:], "A3 G11", "muscle_disease yes"},
	{"hip_migration", "gate", effectNames[:], "A3 G7", ""}, {"hip_check_months", "gate", effectNames[:], "A3 G7", "gross_motor_level 3"},
}

// TestWorseNeverGetsLess holds every claim against random people: the finding
// gets worse by some steps, fresh and tired alike or tired alone.
func TestWorseNeverGetsLess(t *testing.T) {
	const people = 3000
	sayPeople(t, people)
	table := Standing()
	plain := plainRead(StandingText(), nil)
	draw := drawer{plain}
	moved := map[string]int{}
	for n := range people {
		r := rand.New(rand.NewPCG(*seedFlag+5, uint64(n)))
		for range 4 {
			c := worsenings[r.IntN(len(worsenings))]
			in := draw.person(n)
			if id, v, ok := strings.Cut(c.with, " "); ok {
				_ = in.Findings.Put(id, finding.NoSide, finding.Fresh, v)
			}
			p := plain.person(in)
			d, _ := finding.Lookup(c.id)
			keys := d.Keys()
			k := keys[r.IntN(len(keys))]
			v := in.Findings[k]
			if v.Kind != finding.Known {
				continue
			}
			step := plain.step(c.id, v)
			up := d.Scale == finding.Number && !d.MoreIsGood
			if (up && step == len(plain.steps[c.id])-1) || (!up && step == 0) {
				continue
			}
			to := step - 1 - r.IntN(max(step, 1))
			if up {
				to = step + 1 + r.IntN(len(plain.steps[c.id])-1-step)
			}
			worse := in
			worse.Findings = in.Findings.Clone()
			worse.Findings[k] = plain.steps[c.id][max(to, 0)]
			q := plainQuestion{plain.axes[strings.TrimSuffix(strings.TrimSuffix(c.axis, "_left"), "_right")], finding.NoSide}
			if strings.HasSuffix(c.axis, "_left") {
				q.side = finding.Left
			} else if strings.HasSuffix(c.axis, "_right") {
				q.side = finding.Right
			}
			seen := p.nothingSeen()
			was, ok := p.possible(q, seen).only()
			now, ok2 := plain.person(worse).possible(q, seen).only()
			a, b := slices.Index(c.order, q.axis.values[was]), slices.Index(c.order, q.axis.values[max(now, 0)])
			if !ok || !ok2 || a < 0 || b < 0 {
				continue
			}
			if b < a {
				t.Fatalf("seed=%d person %d: %s from %s to %s moves %s from %s to %s against %s (%s)", *seedFlag, n, k, finding.Format(d, v),
					finding.Format(d, worse.Findings[k]), c.axis, c.order[a], c.order[b], c.source, written(in))
			}
			if b > a {
				moved[c.id+" "+c.axis]++
			}
			if got, _ := table.Decide(worse).Axis(c.axis); got.Value != c.order[b] {
				t.Fatalf("seed=%d person %d: %s is %s, plain %s", *seedFlag, n, c.axis, got.Value, c.order[b])
			}
		}
	}
	for _, c := range worsenings {
		if moved[c.id+" "+c.axis] == 0 {
			t.Errorf("%s never moved %s, so the claim was not tried", c.id, c.axis)
		}
	}
}
