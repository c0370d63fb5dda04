package fit

import (
	"math"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/quantity"
)

// slider fits the frame.
func (w *worker) slider() []Item {
	var list []Item
	for _, s := range body.Sides {
		if _, gone := w.hand(s); gone {
			list = append(list, Item{ID: "slider_handle", Label: "Slider handle over the snow", Side: s, Unit: "mm", Basis: None,
				Words: "No hand on this side: a forearm trough at elbow height, shoulders down, or the other hand alone."})
			continue
		}
		c := w.crease(s)
		item := Item{ID: "slider_handle", Label: "Slider handle over the snow", Side: s, Unit: "mm", Method: c.method, Basis: c.basis, Narrow: c.narrow, Sources: c.sources,
			Warnings: c.warnings, Sign: "Hips behind the slider, skis running ahead: handle too high or frame too far ahead. Lifted off the skis: trough or strap too high."}
		item = item.around(c.height*1000, c.sd*1000).recheck("After 20 minutes, and after each change of boots, plates or braces.")
		// The handle stands at the frame, beside the hips.
		outside := max(0, w.breadth().Value/2+fig("slider_hip_clear").Value*millimetre-w.frame.ShouldersApart.Value/2)
		hipY := w.stance.posed.Joints.MidHip.Y
		ahead := hipY + fig("slider_hands_ahead").Value*centimetre - w.stance.posed.Joints.Shoulder.At(s).Y
		if v := w.in.HandAhead.At(s); v != nil {
			ahead = float64(*v)
		}
		elbow := w.elbow(s, c.height, 0, c.sd, outside, ahead, w.in.HandAhead.At(s) != nil)
		elbow.ID, elbow.Label = "slider_elbow_bend", "Elbow bend at the slider"
		elbow.Method = "Two links from shoulder to grip, the hands " + mm(fig("slider_hands_ahead").Value*centimetre) + " mm ahead of the hips."
		elbow.Sources = []string{"S40b", "Leaflets", "slider_hands_ahead"}
		item.Warnings = append(item.Warnings, w.usual("handle_range", item.Value)...)
		list = append(list, item, elbow)
	}
	breadth := w.breadth()
	clear := fig("slider_hip_clear")
	width := Item{ID: "slider_width", Label: "Slider width inside", Unit: "mm", Basis: Combined, Sources: []string{"slider_hip_clear", "CP"},
		Method: "Hip breadth of " + mm(breadth.Value) + " mm and 30 to 50 mm clear at each hip.", Sign: "Hips rub or steer the frame: too narrow. Hips hinge sideways before the frame moves: too wide."}
	width.Known, width.Value = true, 1000*breadth.Value+2*clear.Value
	width.Low, width.High = 1000*(breadth.Value-wide*breadth.SD)+2*clear.Low, 1000*(breadth.Value+wide*breadth.SD)+2*clear.High
	if !breadth.Measured {
		width.Basis = Predicted
		width.Sources = append(width.Sources, "ansur2_ratio")
		width.Warnings = append(width.Warnings, Warning{"predicted", "Hip breadth is predicted without clothes: measure it clothed for snow."})
		width.Narrow = narrowed("hip_breadth_mm", "Measure the breadth of the hips, standing, clothed for snow.", breadth.SD*1000, fig("reading_error").Value)
	}
	d := fig("slider_width_range")
	if width.Value < d.Low*10 || width.Value > d.High*10 {
		width.Warnings = append(width.Warnings, Warning{"outside_usual", "Sliders are usually " + deg(d.Low*10) + " to " + deg(d.High*10) + " mm wide inside: look at the maker's plate."})
	}
	width = width.recheck("Push the frame 10 cm each way: the hips should follow, not hinge.")
	feet := Item{ID: "slider_feet", Label: "Feet in the slider", Unit: "mm", Basis: ByRule, Known: true, Value: 0, Low: -50, High: 0, Sources: []string{"CP", "tip_clear_of_bar", "slider_exit"},
		Method: "Ankles behind the front uprights by 0 to 50 mm, counted forward.",
		Words: "Feet under the hips, level with the front uprights or slightly behind, never hanging behind the frame; ski tips 50 mm clear of the cross bar; frame skis parallel to the student's; " +
			"strap at the hips, one release, tried with body weight on it: out of the frame in under 10 seconds.",
		Sign: "Skis run away in front, hips behind: feet too far ahead or frame too far ahead. Bent at the waist: feet too far back."}
	return append(list, width, feet.recheck("At every fitting, with the helper watching from the side."))
}

// range_ warns where a handle lies outside what is built.
func (w *worker) usual(id string, height float64) []Warning {
	which := id + "_adult"
	if w.child {
		which = id + "_child"
	}
	d := fig(which)
	if height >= d.Low*10 && height <= d.High*10 {
		return nil
	}
	return []Warning{{"outside_usual", "Handles of this kind are usually built for " + deg(d.Low*10) + " to " + deg(d.High*10) + " mm: look at the maker's plate."}}
}

// breadth is the breadth of the hips, measured or predicted.
func (w *worker) breadth() body.Length {
	p := w.in.Body.Person()
	if r := p.Measured.HipBreadth; r != nil {
		return body.Length{Value: float64(r.Value), SD: readingError(r), Measured: true}
	}
	return body.Predict("hipbreadth", p.Sex, quantity.Metre(w.stature), p.AgeYears)
}

// spacer is the bar between the boots.
func (w *worker) spacer() []Item {
	item := Item{ID: "spacer", Label: "Spacer, inside to inside of the boots", Unit: "mm", Sources: []string{"CP"}, Basis: None,
		Sign: "Knees drawn together or pushed apart, pain at hip or groin, one ski always on edge: off at once."}
	item = item.recheck("After the first slide and after 20 minutes; last on, first off, never without a tie.")
	if w.in.HipAtRisk {
		item.Warnings = append(item.Warnings, Warning{"hip_at_risk", "Hip at risk: never wider than the natural gap, no wedge, nothing that spreads the legs; no bar is always right."})
	}
	usual := fig("spacer_usual_adult")
	if w.child {
		usual = fig("spacer_usual_child")
	}
	if w.in.Gap == nil {
		item.Words = "Only from the measured gap: inside to inside of the boots, standing relaxed. It is never guessed."
		item.Narrow = &Narrow{"natural_boot_gap_mm", "Stand the student relaxed in boots and measure the gap, inside to inside.", (usual.High - usual.Low) * 10 / 2, wide * fig("reading_error").Value}
		return []Item{item}
	}
	gap := float64(*w.in.Gap) * 1000
	e := wide * fig("reading_error").Value
	item.Known, item.Basis, item.Value, item.Low, item.High = true, OnPerson, gap, max(0, gap-e), gap
	item.Method = "The natural gap as measured, never wider."
	if w.in.HipAtRisk {
		item.Low = 0
	}
	if gap < usual.Low*10 || gap > usual.High*10 {
		item.Warnings = append(item.Warnings, Warning{"outside_usual", "Bars are usually " + deg(usual.Low*10) + " to " + deg(usual.High*10) + " mm for this age: measure the gap again. The measured gap counts."})
	}
	return []Item{item}
}

// lifts are heel lift, length plate and cant of one leg.
func (w *worker) lifts(s body.Side) []Item {
	var list []Item
	for _, l := range w.in.Body.Person().Losses {
		if l.Side == s && !l.Level.Arm() && l.Prosthesis == nil {
			return nil // no foot to lift
		}
	}
	heel := pick(w.in.Numbers.HeelLiftMM, s)
	if heel != nil {
		item := Item{ID: "heel_lift", Label: "Heel lift inside the boot", Side: s, Unit: "mm", Known: true, Value: heel.Value, Low: heel.Low, High: heel.High, Basis: ByRule,
			Method: "For each missing degree of ankle bend, from the programme's settings; start low.", Sources: []string{"S41", "CP"},
			Sign: "Too much: crouched, knees far past the toes. Missing: hips behind, hands low, heel lifts in the boot."}
		item.Narrow = narrowedTo("knee_bend", "Re-test the knee bend, heels down, with the lift in, and raise it by 3 mm at most before the next.", (heel.High-heel.Low)/2, fig("heel_lift_step").Value/2)
		if heel.High > 0 {
			item.Warnings = append(item.Warnings, Warning{"under_brace", "With a brace the lift lies under the brace; look at the closure again. A shim under the binding does not help the ankle."})
			if toBall := body.Predict("balloffootlength", w.in.Body.Person().Sex, quantity.Metre(w.stature), w.in.Body.Person().AgeYears).Value * 1000; toBall < heelShort*fig("heel_to_ball").Value {
				item.Warnings = append(item.Warnings, Warning{"short_foot", "A short foot: 1 degree takes about " + quantity.Decimals(1).Text(toBall*math.Tan(math.Pi/180)) + " mm, so the same lift turns it by more."})
			}
		}
		list = append(list, item.recheck("Re-test knee bend with heels down after the lift is in; look at the heel after 20 minutes."))
	} else {
		item := Item{ID: "heel_lift", Label: "Heel lift inside the boot", Side: s, Unit: "mm", Basis: None, Words: "Not known before the ankle's bend is measured and the knee bend was watched.",
			Sources: []string{"S41", "CP"}}
		half, step := w.in.Settings["heel_most_mm"]/2, fig("heel_lift_step").Value/2
		item.Narrow = narrowedTo("ankle_deg", "Measure the ankle's bend with the knee bent.", half, step)
		if w.in.AnkleKnown.At(s) {
			item.Narrow = narrowedTo("knee_bend", "Watch five knee bends, heels down: do the heels stay?", half, step)
		}
		list = append(list, item)
	}
	if in, day, final := pick(w.in.Numbers.LengthInBootMM, s), pick(w.in.Numbers.LengthPlateDayMM, s), pick(w.in.Numbers.LengthPlateMM, s); in != nil && final != nil && *in+*final > 0 {
		sign := "Hips not level from behind, one knee always bent, the student veers to one side."
		list = append(list, Item{ID: "length_in_boot", Label: "Leg length, inside the boot", Side: s, Unit: "mm", Known: true, Value: *in, Low: 0, High: *in, Basis: ByRule,
			Method: "What fits inside, full length under the foot.", Sources: []string{"S41", "CP"}, Sign: sign}.recheck("Hips level on the block, again on skis."))
		if *final > 0 {
			first := *final
			if day != nil {
				first = *day
			}
			plate := Item{ID: "length_plate", Label: "Leg length, plate under boot and binding", Side: s, Unit: "mm", Known: true, Value: first, Low: min(first, *final), High: *final, Basis: ByRule,
				Method: "About two thirds on the first day, the rest later; toe and heel alike.", Sources: []string{"S41", "CP"}, Sign: sign,
				Warnings: []Warning{{"technician", "A plate under the boot or binding is made and checked by a certified technician; it voids the last binding setting."}}}
			plate.Narrow = narrowedTo("leg_short_mm", "Block under the short leg in boots until the hips are level, and measure the block.", (plate.High-plate.Low)/2, wide*fig("reading_error").Value/2)
			list = append(list, plate.recheck("Every lesson of the first week; the length of a prosthesis is the prosthetist's."))
		}
	}
	if c := w.in.Cant.At(s); c != nil {
		list = append(list, w.cant(s, *c))
	}
	return list
}

// pick returns the number of a side.
func pick[T any](p decide.Pair[T], s body.Side) T {
	if s == body.Left {
		return p.Left
	}
	return p.Right
}

func (w *worker) cant(s body.Side, angle quantity.Radian) Item {
	most, step := fig("cant_most").Value, fig("cant_step").Value
	a := angle.Degrees()
	item := Item{ID: "cant", Label: "Cant, thick side inside positive", Side: s, Unit: "deg", Basis: ByRule, Sources: []string{"CP", "cant_most", "cant_step"},
		Sign: "Paper still slides under one edge, or the knee tracks inside or outside the toes."}
	item = item.recheck("Paper test and knee over toes, in boots, relaxed; again on snow.")
	if math.Abs(a) > most {
		item.Words = "More than " + deg(most) + " degrees: to a boot technician, who also looks at the boot's sole."
		item.Basis = None
		item.Warnings = []Warning{{"technician", item.Words}}
		return item
	}
	item.Known, item.Value = true, math.Round(a/step)*step
	item.Low, item.High = max(-most, item.Value-step), min(most, item.Value+step)
	item.Method = "The shim fills the gap, in whole steps."
	item.Narrow = narrowedTo("cant_deg", "Try the shim in relaxed stance and slide the paper under both edges.", step, step/2)
	if f := w.in.FlexibleLeg.At(s); f != nil && *f {
		item.Words = "The leg follows the hand: try both ways, keep the one that leaves the base flat and the knee over the toes."
		item.Low, item.High = -math.Abs(item.Value), math.Abs(item.Value)
	}
	if item.Value != 0 {
		item.Warnings = append(item.Warnings, Warning{"technician", "A shim under the boot or binding is fitted by a technician."})
	}
	return item
}

// ski is the length of the skis.
func (w *worker) ski() Item {
	item := Item{ID: "ski_length", Label: "Ski length", Unit: "cm", Known: true, Basis: ByRule, Sources: []string{"CP", "drillis1966"},
		Sign: "Tips cross or catch, turns start late: too long. Dives or pitches over the tips: too short."}
	h := w.stature * 100
	chin, nose, armpit := drillis("chin height"), fig("nose_height").Value, fig("armpit_height").Value
	switch w.in.Way {
	case "slider":
		chest, e := drillis("nipple height"), fig("chest_height_spread").Value
		item.Value, item.Low, item.High = chest*h, (chest-e)*h, (chest+e)*h
		item.Method = "In a slider: to mid-chest, and the tips clear of the cross bar by 5 cm."
		item.Sources = append(item.Sources, "chest_height_spread")
	case "one_ski_left", "one_ski_right":
		item.Value, item.Low, item.High = (chin+nose)/2*h, chin*h, nose*h
		item.Method = "One ski: from chin to nose."
		item.Sources = append(item.Sources, "nose_height")
	default:
		item.Value, item.Low, item.High = (armpit+chin)/2*h, armpit*h, chin*h
		item.Method = "With outriggers: from armpit to chin."
		item.Sources = append(item.Sources, "armpit_height")
		if w.in.Way == "none" {
			item.Method = "Two skis without aids, no rule of its own: as with outriggers, from armpit to chin."
		}
	}
	if w.in.Way == "sitting" {
		item = Item{ID: item.ID, Label: item.Label, Unit: "cm", Basis: None, Words: "Sitting: the sit-ski's maker says which ski."}
	}
	item.Narrow = narrowedTo("height_cm", "Stand the ski beside the student, in socks, and look where the tip ends.", (item.High-item.Low)/2, wide*fig("reading_error").Value/10)
	return item.recheck("Stand the ski beside the student and look; then the first turns.")
}

// shells is the checklist of the bare shell.
func (w *worker) shells() []Check {
	var out []Check
	gap := fig("shell_gap")
	for _, s := range body.Sides {
		standing := w.stance.posed.Standing.At(s)
		if !standing {
			continue
		}
		b := w.in.Shell.At(s)
		add := func(id, result, sentence, do string) {
			if result == Pass {
				do = ""
			}
			out = append(out, Check{id, s, result, sentence, do, []string{"S41", "CP"}})
		}
		touch := Unknown
		if b.ToesTouch != nil {
			touch = result(*b.ToesTouch)
		}
		add("toes_touch", touch, "Foot in the bare shell, toes just touching the front.", "Slide the foot forward until the toes touch, then look behind the heel.")
		room, words, do := Unknown, "Two fingers fit behind the heel, toes touching.", "Measure the room behind the heel in the bare shell, toes touching."
		if b.Gap != nil {
			mmGap := float64(*b.Gap) * 1000
			room = result(mmGap >= gap.Low && mmGap <= gap.High && (b.ToesTouch == nil || *b.ToesTouch))
			words = "Room behind the heel " + deg(mmGap) + " mm; two fingers are " + deg(gap.Low) + " to " + deg(gap.High) + " mm."
			switch {
			case b.ToesTouch != nil && !*b.ToesTouch:
				do = "Toes do not touch: the room is not worth anything yet."
			case mmGap < gap.Low:
				do = "Too short: a larger shell. Toes that cannot straighten or feel make this count double."
			case mmGap > gap.High:
				do = "Too long: a smaller shell; thick socks do not make up for it."
			}
		}
		add("two_fingers", room, words, do)
		for _, x := range []struct {
			id       string
			ok       *bool
			sentence string
			do       string
			turn     bool
		}{
			{"toes_flat", b.ToesFlat, "Toes lie flat in the liner.", "Liner first on the foot, look that no toe is curled, then into the shell; rear-entry or wide throat for a stiff foot.", false},
			{"closes", b.Closes, "The boot closes over foot and brace.", "A bigger, wider or rear-entry boot; never force a buckle over a brace.", false},
			{"hot_spot", b.HotSpot, "No spot that hurts or stays red.", "Stop, refit, write it down. A foot that cannot feel is looked at, not asked about.", true},
		} {
			r := Unknown
			if x.ok != nil {
				r = result(*x.ok != x.turn)
			}
			add(x.id, r, x.sentence, x.do)
		}
	}
	return out
}

func result(ok bool) string {
	if ok {
		return Pass
	}
	return Fail
}

// heelShort is the share of the usual heel to ball under which a foot is called
// short; it decides about a remark only.
const heelShort = 0.85 // exact: where a remark begins, no figure
