package programme

import (
	"fmt"
	"slices"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/slope"
)

// add notes a reason.
func (o *OnSlope) add(code string, weighs HillVerdict, basis []string, format string, args ...any) {
	o.Reasons = append(o.Reasons, HillReason{Code: code, Weighs: weighs, Say: fmt.Sprintf(format, args...), Basis: basis})
}

// weigh says what speaks against this slope, what is not known, and what is to
// be minded.
func (o *OnSlope) weigh(a *decide.Answer, r Record, q SlopeAsk) {
	o.held(a)
	o.terrain(a, q.Step)
	if o.Slope.Ended {
		o.add("ended", HillAgainst, nil, "%s is no longer used.", o.Slope.Name)
	}
	for _, id := range o.Needs {
		o.Reasons = append(o.Reasons, HillReason{Code: "needs_" + id, Weighs: HillOpen, Say: "The student's weight is not known, so no speed can be said.", Finds: id})
	}
	if len(o.Needs) == 0 {
		o.room()
		o.stopping(q.Step)
	}
	if o.Slope.AcrossPct == nil {
		o.add("no_across", HillClear, []string{"CP"}, "The fall across the run was not measured: the slope can be steeper than the run, and pull to one side.")
	}
	if x, ok := a.Axis("reins"); ok && !x.Open && slices.Contains([]string{"tip_reins", "hip_harness", "frame"}, x.Value) {
		o.Reasons = append(o.Reasons, HillReason{Code: "reins", Weighs: HillClear, Say: "Reins: " + x.Label + ". Only with somebody signed off for them; see their limits below.", Basis: x.Basis})
	}
	for _, n := range a.Notes {
		if slices.Contains([]string{"blood_thinner_or_shunt_easy_slopes", "tie_twists_both_legs", "fast_before_safe", "fallback_no_technician_in_boot_only_easy_terrain"}, n.Code) {
			w := HillClear
			if n.Code == "blood_thinner_or_shunt_easy_slopes" && o.Ground > GroundFan {
				w = HillAgainst
			}
			o.Reasons = append(o.Reasons, HillReason{Code: n.Code, Weighs: w, Say: n.Say, Basis: n.Basis})
		}
	}
}

// held tells holds: what the rules hold, and what of them is open. Many that
// are open are told as one: their questions were not asked yet.
func (o *OnSlope) held(a *decide.Answer) {
	const few = 3
	var open []HillReason
	for _, g := range a.Gates {
		one := HillReason{Code: "gate_" + g.ID, Weighs: HillHeld, Say: g.Because, Basis: g.Basis}
		switch {
		case g.Cleared || g.Effect == decide.NoEffect.String() || g.Effect == decide.RuleOnly.String():
		case g.Open:
			one.Weighs, one.Say = HillOpen, "Not known yet whether this hold stands: "+g.Because
			open = append(open, one)
		default:
			o.Reasons = append(o.Reasons, one)
		}
	}
	if len(open) > few {
		o.add("gates_open", HillOpen, nil, "%d holds could still stand: the questions that decide them are not answered for today.", len(open))
		return
	}
	o.Reasons = append(o.Reasons, open...)
}

// terrain compares the ground with what the rules and the steps of the fan
// allow. Each step of terrain down counts where the snow is not as usual.
func (o *OnSlope) terrain(a *decide.Answer, step map[slope.Side]int) {
	x, ok := a.Axis("terrain")
	if !ok || x.Open {
		o.add("terrain_open", HillOpen, nil, "Which terrain is open to this student is not decided yet.")
		return
	}
	left, right := step[slope.Left], step[slope.Right]
	begun, both := left > 0 || right > 0, left >= jFrom60 && right >= jFrom60
	allowed, why := Ground(0), x.Because
	switch x.Value {
	case "no_snow":
		o.Reasons = append(o.Reasons, HillReason{Code: "terrain_none", Weighs: HillHeld, Say: x.Because, Basis: x.Basis})
		return
	case "sitting_lead":
		o.Reasons = append(o.Reasons, HillReason{Code: "terrain_sitting", Weighs: HillOpen, Say: "The student skis sitting: the sitting lead decides where.", Basis: x.Basis})
		return
	case "under_5pct_runout":
		allowed = GroundFirst
	case "under_5pct_then_8_12pct":
		allowed = GroundFan
	}
	snow := level(o.set, "snow_today", finding.NoSide)
	odd := snow != "" && snow != "normal"
	if begun {
		allowed, why = max(allowed, GroundFan), "The fan has begun, so it is done on the beginners' class."
	}
	if both {
		allowed, why = max(allowed, GroundLift), "Both sides stop from 60 degrees, so the novices' class is open."
	}
	if odd && begun {
		allowed, why = max(allowed-1, GroundFirst), "Ice, slush, crowd or flat light: one terrain step down."
	}
	switch {
	case o.Ground == GroundBeyond && both && !odd:
		o.add("terrain_beyond", HillOpen, []string{"S39"}, "This slope is %s, and nothing recorded here says that this student is ready for it: the lead decides.", o.Ground.Says())
	case o.Ground > allowed:
		o.Reasons = append(o.Reasons, HillReason{Code: "terrain_steep", Weighs: HillAgainst, Basis: x.Basis,
			Say: "This slope is " + o.Ground.Says() + ". " + why + wanted(allowed)})
	case o.Ground == GroundFan && !begun:
		o.add("straight_first", HillClear, []string{"S39", "P"}, "A straight run that stops by itself on gentler ground comes first; then the fan here.")
	case o.Ground == GroundLift:
		o.add("before_lift", HillClear, []string{"CP", "P"}, "Before the lift: stops on the word three of three, sits ten minutes cold and calm, loading rehearsed, all helpers there.")
	}
}

// jFrom60 is the step of the fan, 60 degrees on both sides, after which the
// trade goes to the lift (common practice, no source).
const jFrom60 = 4

// wanted says which ground the student is meant for.
func wanted(g Ground) string {
	if g < GroundFirst {
		return " Flat ground and a rising run-out only."
	}
	return " Look for ground " + g.Says() + "."
}

// room compares the width with the runs of the fan.
func (o *OnSlope) room() {
	if len(o.Ladders) == 0 {
		return
	}
	need := o.WideLeftM + o.WideRightM
	zero := quantity.Decimals(0)
	switch {
	case o.Slope.WidthM == nil:
		o.add("no_width", HillOpen, []string{"CP"}, "The width of the slope was not measured; the runs of the fan lie up to %s m to the left and %s m to the right of the start.", zero.Text(o.WideLeftM), zero.Text(o.WideRightM))
	case o.WideM > *o.Slope.WidthM:
		o.add("narrow", HillAgainst, []string{"D"}, "The runs of the fan need %s m from side to side, and the slope is %s m wide.", zero.Text(o.WideM), zero.Text(*o.Slope.WidthM))
	case need > *o.Slope.WidthM:
		o.add("narrow_fast", HillClear, []string{"D"}, "At the fast end of the ranges the runs of the fan need %s m from side to side, and the slope is %s m wide.", zero.Text(need), zero.Text(*o.Slope.WidthM))
	}
}

// stopping compares the ground after the slope with what a stop needs.
func (o *OnSlope) stopping(step map[slope.Side]int) {
	n := o.RunOut
	zero := quantity.Decimals(0)
	switch {
	case o.Slope.RunOutM == nil || o.Slope.RunOutPct == nil:
		o.add("no_run_out", HillOpen, []string{"CP"}, "The run-out was not measured: pace its free length and say whether it rises.")
		return
	case n.Endless <= oneOfTen && n.P90 <= *n.ThereM:
		return
	}
	// Somebody on the fan stops uphill before the end; a first slide must stop
	// by itself.
	w := HillClear
	if step[slope.Left] == 0 && step[slope.Right] == 0 {
		w = HillAgainst
	}
	say := fmt.Sprintf("Straight from this start the run-out is too short: nine of ten stop within %s m, and there are %s m.", zero.Text(n.P90), zero.Text(*n.ThereM))
	if n.Endless > oneOfTen {
		say = fmt.Sprintf("Straight from this start %s %% never come to rest on this run-out by the glide alone.", zero.Text(100*n.Endless))
		if n.Braked {
			say = fmt.Sprintf("Straight from this start %s %% never come to rest on this run-out, braking as measured.", zero.Text(100*n.Endless))
		}
	}
	switch {
	case n.HasSuffices:
		say += fmt.Sprintf(" It suffices from no higher than %s m above the end.", zero.Text(n.Suffices))
	default:
		say += " It does not suffice from any start on this slope."
	}
	o.add("run_out_short", w, []string{"D"}, "%s", say)
}
