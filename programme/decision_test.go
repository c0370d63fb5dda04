package programme_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/programme"
)

func decision(r *rig, student programme.ID) (programme.Decision, *decide.Answer) {
	r.t.Helper()
	d := programme.DecisionOf(decide.Standing(), r.at(student))
	return d, decide.Standing().Decide(d.Input)
}

// gate returns how a gate stands in an answer: "", "open", "active" or "cleared".
func gate(a *decide.Answer, id string) string {
	for _, g := range a.Gates {
		switch {
		case g.ID != id:
		case g.Open:
			return "open"
		case g.Cleared:
			return "cleared"
		default:
			return "active"
		}
	}
	return ""
}

// evaluated closes a complete evaluation.
func (r *rig) evaluated(student programme.ID, complete bool) {
	r.t.Helper()
	e := r.ok(r.BeginEvaluation(ctx, lead, r.made(), student, programme.EvaluationBegun{Reason: "change"}))
	r.ok(r.CloseEvaluation(ctx, lead, r.made(), student, programme.EvaluationClosed{Evaluation: e, Complete: complete}))
}

// TestYesterdaysFlags: "each morning: today vs baseline" (trade, recheck list,
// common practice). A good answer about a day ends with it; a bad one stays
// until somebody asks again.
func TestYesterdaysFlags(t *testing.T) {
	if n := len(programme.AskedEachDay()); n < 15 {
		t.Fatalf("only %d findings are asked each day", n)
	}
	for _, id := range programme.AskedEachDay() {
		def, _ := finding.Lookup(id)
		bad := ""
		for _, l := range def.Levels {
			if l.ID != def.Normal {
				bad = l.ID
				break
			}
		}
		if bad == "" {
			bad = "9" // an hour
		}
		state := id == "can_be_lowered" || id == "technician_available" || id == "snow_today" || id == "booked_hour"
		for _, value := range []string{def.Normal, bad} {
			r := newRig(t)
			s := r.student()
			r.find(s, id, "none", "both", value)
			k := finding.Key{ID: id}
			if d, _ := decision(r, s); d.Input.Findings[k].Kind == finding.Unknown || slices.Contains(d.AskAgain, k) {
				t.Errorf("%s = %s does not count on its own day", id, value)
			}
			r.days(1)
			d, _ := decision(r, s)
			gone := d.Input.Findings[k].Kind == finding.Unknown
			if want := value == def.Normal || state; gone != want || slices.Contains(d.AskAgain, k) != want {
				t.Errorf("%s = %s on the next day: gone %v, asked again %v, want %v", id, value, gone, slices.Contains(d.AskAgain, k), want)
			}
		}
	}
}

// TestCorrectionIsOfItsDay: correcting yesterday's answer does not answer for
// today.
func TestCorrectionIsOfItsDay(t *testing.T) {
	r := newRig(t)
	s := r.student()
	id := r.find(s, "acute_sign", "none", "both", "yes")
	r.days(1)
	r.ok(r.CorrectFinding(ctx, lead, r.made(), s, id, f("acute_sign", "none", "both", "no")))
	if d, _ := decision(r, s); !slices.Contains(d.AskAgain, finding.Key{ID: "acute_sign"}) {
		t.Error("a correction of yesterday counts for today")
	}
}

// TestFilmsGrowOld: hips at gross motor levels III to V are overdue after 12
// months (setting hip_check_months; trade's condition sheet), whenever the
// film's age was written down.
func TestFilmsGrowOld(t *testing.T) {
	r := newRig(t)
	s := r.student()
	r.find(s, "gross_motor_level", "none", "both", "3")
	r.find(s, "hip_migration", "left", "both", "18")
	r.find(s, "hip_migration", "right", "both", "21")
	r.find(s, "standing_loss", "none", "both", "no")
	r.find(s, "hip_surgeon_word", "none", "both", "no")
	r.find(s, "hip_check_months", "none", "both", "7")
	for _, step := range []struct {
		days int
		want float64
		gate string
	}{{0, 7, ""}, {30, 7, ""}, {1, 8, ""}, {120, 12, ""}, {29, 12, ""}, {1, 13, "active"}} {
		// 14 January: one month is over on 14 February (31 days), five on 14 June
		// (151 days), six on 14 July (181 days); counted on a calendar.
		r.days(step.days)
		r.find(s, "hip_pain", "none", "both", "no") // asked that morning
		d, a := decision(r, s)
		if got := d.Input.Findings.Get("hip_check_months", finding.NoSide, finding.Fresh).X; got != step.want {
			t.Errorf("after %d more days the film is %v months old, not %v", step.days, got, step.want)
		}
		if got := gate(a, "G7"); got != step.gate {
			t.Errorf("film of %v months: G7 is %q, not %q", step.want, got, step.gate)
		}
	}
}

// TestMonthsThatMustPassDoNotPass: free of seizures is only known by asking.
func TestMonthsThatMustPassDoNotPass(t *testing.T) {
	r := newRig(t)
	s := r.student()
	r.find(s, "seizure_free_months", "none", "both", "2")
	r.days(400)
	if d, a := decision(r, s); d.Input.Findings.Get("seizure_free_months", finding.NoSide, finding.Fresh).X != 2 || gate(a, "G4") != "active" {
		t.Errorf("two months free of seizures became %v by waiting", d.Input.Findings.Get("seizure_free_months", finding.NoSide, finding.Fresh).X)
	}
}

// TestNewEvaluationEnds: gate rule G13 asks for a new evaluation after a new
// brace; a complete one closed later answers it, one broken off does not, and a
// later change asks again.
func TestNewEvaluationEnds(t *testing.T) {
	r := newRig(t)
	s := r.student()
	r.evaluated(s, true)
	r.find(s, "new_brace", "none", "both", "yes")
	want := func(when, state string) {
		t.Helper()
		if _, a := decision(r, s); gate(a, "G13") != state {
			t.Errorf("%s: G13 is %q, not %q", when, gate(a, "G13"), state)
		}
	}
	want("new brace after the evaluation", "active")
	r.evaluated(s, false)
	want("after one that was broken off", "active")
	e := r.ok(r.BeginEvaluation(ctx, lead, r.made(), s, programme.EvaluationBegun{Reason: "change"}))
	want("while one is under way", "cleared")
	if d, _ := decision(r, s); !d.Underway {
		t.Error("the evaluation is not seen to be under way")
	}
	r.days(1)
	want("one left open since yesterday", "active")
	r.ok(r.CloseEvaluation(ctx, lead, r.made(), s, programme.EvaluationClosed{Evaluation: e, Complete: true}))
	want("after a complete one", "cleared")
	r.find(s, "new_brace", "none", "both", "no")
	r.find(s, "new_brace", "none", "both", "yes")
	want("another brace", "active")
}

// TestOldEvaluation: gate rule G17 (300 days as proposed) is not answered by
// the old evaluation itself.
func TestOldEvaluation(t *testing.T) {
	r := newRig(t)
	s := r.student()
	r.find(s, "progressive", "none", "both", "no")
	r.evaluated(s, true)
	for _, step := range []struct {
		days int
		want string
	}{{300, ""}, {1, "active"}} {
		r.days(step.days)
		if _, a := decision(r, s); gate(a, "G17") != step.want {
			t.Errorf("G17 is %q, not %q", gate(a, "G17"), step.want)
		}
	}
	r.evaluated(s, true)
	if _, a := decision(r, s); gate(a, "G17") != "" {
		t.Error("a new evaluation does not answer G17")
	}
}

// TestWaiting makes nothing more permissive: whatever time does to a record
// without a new fact, each answer that was possible before stays possible, or
// the gate becomes stricter. Random records, seed printed.
func TestWaiting(t *testing.T) {
	seed := uint64(20270114)
	rng := rand.New(rand.NewPCG(seed, 1))
	table := decide.Standing()
	for n := range 60 {
		r := newRig(t)
		s := r.student()
		var fs []programme.NewFinding
		for _, d := range finding.All() {
			if programme.FromRecord(d.ID) || rng.IntN(3) == 0 {
				continue
			}
			for _, k := range d.Keys() {
				value := d.Normal
				if len(d.Levels) > 0 && rng.IntN(4) == 0 {
					value = d.Levels[rng.IntN(len(d.Levels))].ID
				} else if d.Scale == finding.Number && value == "" {
					value = finding.FormatNumber(d.Min + float64(rng.IntN(int(d.Max-d.Min)+1)))
				}
				if value == "" || value == "na" && !d.NA {
					continue
				}
				side, state := k.Side.Word(), k.State.String()
				if side == "" {
					side = "none"
				}
				if !d.Tiring {
					state = "both"
				}
				fs = append(fs, programme.NewFinding{Made: r.made(), Finding: f(d.ID, side, state, value)})
			}
		}
		if _, err := r.RecordFindings(ctx, medicalInstructor, s, fs); err != nil {
			t.Fatalf("seed %d, person %d: %v", seed, n, err)
		}
		r.evaluated(s, true)
		before := table.Decide(programme.DecisionOf(table, r.at(s)).Input)
		r.days(1 + rng.IntN(200))
		after := table.Decide(programme.DecisionOf(table, r.at(s)).Input)
		if stricter(after) >= 3 { // held or refused all the same
			continue
		}
		x, _ := before.Axis("gate")
		if !x.Open && strictness[x.Value] > stricter(after) {
			t.Errorf("seed %d, person %d: waiting turned %s into rank %d", seed, n, x.Value, stricter(after))
		}
		for _, id := range []string{"way", "tie", "people", "reins"} {
			was, _ := before.Axis(id)
			now, _ := after.Axis(id)
			if !was.Open && !now.Open && was.Value != now.Value {
				t.Errorf("seed %d, person %d: waiting turned %s from %s into %s", seed, n, id, was.Value, now.Value)
			}
		}
	}
}

// medicalInstructor may record papers and findings alike.
var medicalInstructor = programme.Actor{Staff: lead.Staff, Roles: []programme.Role{programme.Lead, programme.MedicalReviewer}}

var strictness = map[string]int{"none": 0, "none_with_rules": 1, "re_evaluate": 2, "hold_standing": 3, "hold": 4, "refuse": 5}

// stricter is the strictest the gate can still be.
func stricter(a *decide.Answer) int {
	x, _ := a.Axis("gate")
	if !x.Open {
		return strictness[x.Value]
	}
	worst := 0
	for _, v := range x.Possible {
		worst = max(worst, strictness[v.ID])
	}
	return worst
}

// TestTables: the same signed numbers give the same table, other numbers
// another one, and what nobody signed is as proposed.
func TestTables(t *testing.T) {
	var ts programme.Tables
	set := func(pairs ...string) map[string]programme.SettingState {
		out := map[string]programme.SettingState{}
		for i := 0; i < len(pairs); i += 2 {
			out[pairs[i]] = programme.SettingState{Setting: programme.Setting{Name: pairs[i], Value: pairs[i+1]}}
		}
		return out
	}
	get := func(signed map[string]programme.SettingState) *decide.Table {
		t.Helper()
		got, err := ts.For(signed)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	if get(nil) != decide.Standing() || get(set("adult_age_years", "16")) != decide.Standing() {
		t.Error("without a signed number of the rules it is not the standing table")
	}
	a := get(set("upright_min", "12"))
	if a == decide.Standing() || a != get(set("upright_min", "12")) || a == get(set("upright_min", "13")) {
		t.Error("tables are mixed up")
	}
	for _, s := range a.Settings() {
		if s.Name == "upright_min" && s.Value != 12 {
			t.Errorf("upright_min is %v", s.Value)
		}
	}
	for i := range 30 { // more than are kept
		get(set("upright_min", fmt.Sprint(i%20+1)))
	}
	for _, bad := range []map[string]programme.SettingState{set("upright_min", "much"), set("upright_min", "NaN"), set("upright_min", "1000"), set("no_such", "1")} {
		if _, err := ts.For(bad); programme.CodeOf(err) != programme.CodeInvalid {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// TestAllFindings lists each standing value once, as it was corrected.
func TestAllFindings(t *testing.T) {
	r := newRig(t)
	s := r.student()
	first := r.find(s, "gait", "none", "both", "W3")
	r.find(s, "trunk", "none", "both", "2")
	r.ok(r.CorrectFinding(ctx, lead, r.made(), s, first, f("gait", "none", "both", "W4")))
	r.find(s, "gait", "none", "fresh", "W5")
	var got []string
	for _, seen := range r.at(s).AllFindings() {
		got = append(got, seen.Finding.Finding+" "+seen.Value)
	}
	if want := []string{"trunk 2", "gait W4", "gait W5"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
