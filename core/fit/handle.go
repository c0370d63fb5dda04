package fit

import (
	"math"
	"strconv"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// handle is a wrist crease over the snow in the skiing stance, which is where a
// handle goes.
type handle struct {
	height, sd float64 // metres
	basis      Basis
	method     string
	sources    []string
	narrow     *Narrow
	warnings   []Warning
}

// crease finds the wrist crease over the snow in the stance, by the best way
// the measurements allow.
func (w *worker) crease(s body.Side) handle {
	read := fig("reading_error").Value * millimetre
	boots, bare := w.in.CreaseBoots.At(s), w.in.CreaseBare.At(s)
	st := w.stance
	measure := func(now float64) *Narrow {
		return narrowed("wrist_crease_boots_mm", "Measure the wrist crease over the snow in boots on skis, in the skiing stance, arm hanging.", now*1000, read*1000)
	}
	switch {
	case boots != nil:
		sd := readingError(boots)
		h := handle{height: float64(boots.Value), sd: sd, basis: OnPerson, method: "Wrist crease measured in boots on skis, in the skiing stance.",
			sources: []string{"Leaflets", "Kumar1995"}}
		h.narrow = narrowed("wrist_crease_boots_mm", "Measure the crease three times and take the mean.", sd*1000, sd*1000/math.Sqrt(3))
		if bare != nil {
			way, off := w.carried(bare)
			if math.Abs(way-h.height) > wide*math.Hypot(off, sd)+read {
				h.warnings = append(h.warnings, Warning{"creases_disagree", "Measured in boots on skis the crease is at " + mm(h.height) + " mm, carried over from barefoot at " +
					mm(way) + " mm. Measure both again; in boots on skis counts."})
			}
		}
		return h
	case bare != nil:
		height, sd := w.carried(bare)
		h := handle{height: height, sd: sd, basis: Combined, sources: []string{"Leaflets", "boot_and_ski_lift", "stance_ankle", "stance_knee", "stance_trunk"},
			method: "Barefoot wrist crease, and " + mm(st.lift) + " mm for boot and ski, less " + mm(st.drop) + " mm for the bent stance."}
		h.narrow = measure(sd)
		return h
	}
	p := w.in.Body.Person()
	wrist := body.Predict("wristheight", p.Sex, quantity.Metre(w.stature), p.AgeYears)
	height := wrist.Value - float64(body.CreaseBelow()) + st.lift - st.drop
	sd := math.Sqrt(wrist.SD*wrist.SD + st.liftSD*st.liftSD + st.dropSD*st.dropSD)
	h := handle{height: height, sd: sd, basis: Predicted, sources: []string{"ansur2_ratio", "boot_and_ski_lift", "stance_ankle", "stance_knee", "stance_trunk"},
		method: "Wrist height predicted from stature, boot and ski added, bent stance taken off."}
	h.narrow = measure(sd)
	h.warnings = append(h.warnings, Warning{"predicted", "Only a starting value: people of one stature differ by " + mm(wide*wrist.SD) + " mm either way. Measure the wrist crease before anybody leans on it."})
	if wrist.Outside {
		h.warnings = append(h.warnings, Warning{"outside_studied", "An adult's proportions are carried to somebody outside those studied."})
	}
	return h
}

// carried takes a barefoot crease to boots and skis in the stance.
func (w *worker) carried(bare *body.Reading) (height, sd float64) {
	st, e := w.stance, readingError(bare)
	return float64(bare.Value) + st.lift - st.drop, math.Sqrt(e*e + st.liftSD*st.liftSD + st.dropSD*st.dropSD)
}

// mm prints metres as whole millimetres.
func mm(v float64) string { return quantity.Decimals(0).Text(v / millimetre) }

func deg(v float64) string { return quantity.Decimals(0).Text(v) }

// hand returns whether there is a hand to hold a handle.
func (w *worker) hand(s body.Side) (lost body.Loss, gone bool) {
	for _, l := range w.in.Body.Person().Losses {
		if l.Side == s && l.Level.Arm() {
			return l, true
		}
	}
	return body.Loss{}, false
}

// offsets returns where the hand is from the shoulder centre.
func (w *worker) offsets(s body.Side) (outside, ahead float64, measured bool) {
	outside, ahead = fig("hand_outside_shoulder").Value*millimetre*w.small(), fig("hand_ahead_shoulder").Value*millimetre*w.small()
	o, a := w.in.HandOutside.At(s), w.in.HandAhead.At(s)
	if o != nil {
		outside = float64(*o)
	}
	if a != nil {
		ahead = float64(*a)
	}
	return outside, ahead, o != nil && a != nil
}

// small is what distances in front of and beside the body are taken by for
// somebody smaller than the grown people they were seen on; 1 for others.
func (w *worker) small() float64 {
	mean := 0.0
	for _, s := range []string{"F", "M"} {
		r, ok := source.Table("ansur2_summary").Where("sex", s).Where("measure", "stature").Only()
		if !ok {
			panic("fit: no stature")
		}
		v, _ := r.Number("mean")
		mean += v * millimetre / 2
	}
	return min(1, w.stature/mean)
}

// shoulderOver is how far the shoulder centre stands over the wrist crease of
// a straight, hanging arm.
func (w *worker) shoulderOver(s body.Side) float64 {
	return w.frame.UpperArm.At(s).Value + w.frame.Forearm.At(s).Value + float64(body.CreaseBelow())*w.small()
}

// Bend is the bend of an elbow, in degrees; a hand that does not reach counts
// as a straight arm.
type Bend struct {
	Value, Low, High float64
	Reaches          bool
}

// bend returns the bend of the elbow with the top of the handle over the
// wrist crease by over.
func (w *worker) bend(s body.Side, over, outside, ahead float64) (float64, bool) {
	up := w.shoulderOver(s) - over + float64(body.GripBelow())
	d := math.Sqrt(up*up + outside*outside + ahead*ahead)
	b, err := body.ElbowBend(quantity.Metre(d), quantity.Metre(w.frame.UpperArm.At(s).Value), quantity.Metre(w.frame.Forearm.At(s).Value+w.frame.Grip.At(s).Value))
	if err != nil {
		return 0, false
	}
	return b.Degrees(), true
}

// bends returns the bend with its limits, from the limits of the height and of
// where the hand is.
func (w *worker) bends(s body.Side, over, sd, outside, ahead float64, placed bool) Bend {
	v, ok := w.bend(s, over, outside, ahead)
	b := Bend{Value: v, Low: v, High: v, Reaches: ok}
	reach := 0.0
	if !placed {
		d := fig("hand_ahead_shoulder")
		reach = spreadOf(d) * wide * millimetre * w.small()
	}
	// Height and reach are independent: what each moves adds as squares.
	for sign, to := range map[float64]*float64{-1: &b.Low, 1: &b.High} {
		square := 0.0
		for _, try := range [][2]float64{{wide * sd, 0}, {-wide * sd, 0}, {0, reach}, {0, -reach}} {
			x, _ := w.bend(s, over+try[0], outside, ahead+try[1])
			if d := (x - v) * sign; d > 0 {
				square += d * d
			}
		}
		*to = max(0, v+sign*math.Sqrt(square))
	}
	return b
}

// outrigger fits one outrigger.
func (w *worker) outrigger(s body.Side) []Item {
	if l, gone := w.hand(s); gone {
		words := "No hand on this side: no outrigger here."
		if l.Prosthesis != nil {
			words = "An arm prosthesis on this side: whether it may carry an outrigger, and how it lets go in a fall, is for the prosthetist and the physician."
		}
		return []Item{{ID: "outrigger_handle", Label: "Outrigger handle over the snow", Side: s, Unit: "mm", Words: words, Basis: None}}
	}
	c := w.crease(s)
	outside, ahead, placed := w.offsets(s)
	item := Item{ID: "outrigger_handle", Label: "Outrigger handle over the snow", Side: s, Unit: "mm", Method: c.method, Basis: c.basis, Narrow: c.narrow,
		Sources: c.sources, Warnings: c.warnings,
		Sign: "Too long: shoulders at the ears, upright, sitting back. Too short: bent at the waist, hands low, hips back."}
	item = item.around(c.height*1000, c.sd*1000).recheck("Look again after 20 minutes on snow (boots settle) and as the stance improves; shorten by one hole a lesson at most. Measure anew after 3 cm of growth, new boots, plates or braces.")
	if w.in.Numbers.HeelLiftMM.Left != nil && w.in.Numbers.HeelLiftMM.Left.Value > 0 || w.in.Numbers.HeelLiftMM.Right != nil && w.in.Numbers.HeelLiftMM.Right.Value > 0 {
		item.Warnings = append(item.Warnings, Warning{"after_lift", "Fit the outriggers after the heel lift is in."})
	}
	if now := w.in.HandleNow.At(s); now != nil {
		most := fig("length_change_a_lesson").Value
		if d := c.height*1000 - now.Millimetres(); math.Abs(d) > most {
			item.Warnings = append(item.Warnings, Warning{"step_by_step", "Set at " + deg(now.Millimetres()) + " mm now: change it by " + deg(most) + " mm a lesson at most, unless it plainly does not fit."})
		}
	}
	elbow := w.elbow(s, c.height, 0, c.sd, outside, ahead, placed)
	list := []Item{item, elbow}
	height := c.height
	shaft, runner := w.runner(s, height, outside, ahead)
	if h := w.in.Holes.At(s); h != nil {
		hole, at, bendItem := w.hole(s, *h, c, shaft, outside, ahead, placed)
		list = append(list, hole)
		if hole.Known {
			list = append(list, bendItem)
			height = at
			_, runner = w.runner(s, height, outside, ahead)
		}
	}
	return append(list, append(runner, w.cuff(s))...)
}

// elbow is the check of a handle height.
func (w *worker) elbow(s body.Side, crease, over, sd, outside, ahead float64, placed bool) Item {
	b := w.bends(s, over, sd, outside, ahead, placed)
	item := Item{ID: "elbow_bend", Label: "Elbow bend with that handle", Side: s, Unit: "deg", Basis: Combined, Known: true, Value: b.Value, Low: b.Low, High: b.High,
		Method:  "Two links from shoulder to grip, the hand " + mm(outside) + " mm outside and " + mm(ahead) + " mm ahead of the shoulder.",
		Sources: []string{"Leaflets", "S40b", "Kumar1995", "elbow_bend_leaflets"},
		Sign:    "Straight elbows push the shoulders up; elbows bent past a right angle carry on muscle alone."}
	item = item.recheck("Look at the elbow in the stance, hands where they ski.")
	if !placed {
		item.Narrow = narrowedTo("hand_ahead_mm", "Measure how far the hand is ahead of and outside the shoulder in the stance: 50 mm of reach change the bend by 5 to 14 degrees.",
			(b.High-b.Low)/2, w.onlyHeight(s, over, sd, outside, ahead))
	}
	low, high := fig("elbow_bend_leaflets").Low, fig("elbow_bend_leaflets").High
	shown := quantity.Decimals(0).Round(b.Value) // what is printed decides
	switch {
	case !b.Reaches:
		item.Warnings = append(item.Warnings, Warning{"out_of_reach", "The arm does not reach a handle there: bring the hand nearer or raise the handle."})
	case shown < low:
		item.Warnings = append(item.Warnings, Warning{"elbow_straight", "Bent less than 15 degrees: little is left to push with. " + w.change(s, over, outside, ahead, low, "Raise") + ", or bring the hands nearer."})
	case shown > high:
		item.Warnings = append(item.Warnings, Warning{"elbow_bent", "Bent more than 30 degrees. " + w.change(s, over, outside, ahead, high, "Lower") + ", or let the hands go further ahead."})
	}
	return item
}

// change says by how much the handle must move for a bend.
func (w *worker) change(s body.Side, over, outside, ahead, want float64, verb string) string {
	d, err := body.DistanceForBend(degrees(want), quantity.Metre(w.frame.UpperArm.At(s).Value), quantity.Metre(w.frame.Forearm.At(s).Value+w.frame.Grip.At(s).Value))
	up := float64(d*d) - outside*outside - ahead*ahead
	if err != nil || up <= 0 {
		return verb + " the handle"
	}
	to := w.shoulderOver(s) + float64(body.GripBelow()) - math.Sqrt(up)
	return verb + " the handle by " + mm(math.Abs(to-over)) + " mm for " + deg(want) + " degrees"
}

// onlyHeight is half the width of the bend's limits once the hand's place is
// known.
func (w *worker) onlyHeight(s body.Side, over, sd, outside, ahead float64) float64 {
	b := w.bends(s, over, sd, outside, ahead, true)
	return (b.High - b.Low) / 2
}

// hole picks a hole of the pair at hand: the nearest in handle height, or its
// neighbour where only that bends the elbow as it should.
func (w *worker) hole(s body.Side, h Holes, c handle, shaft, outside, ahead float64, placed bool) (Item, float64, Item) {
	item := Item{ID: "outrigger_hole", Label: "Hole, counted from the lowest", Side: s, Unit: "1", Basis: c.basis, Sources: []string{"hole_step", "Leaflets"},
		Sign: "Shoulders not level, or one hand lower than the other: read the hole of each side again."}
	last := h.First + quantity.Metre(h.Count-1)*h.Step
	hinge := w.hinge()
	tilt := math.Acos(min(1, (c.height-hinge)/max(shaft-hinge, tiny)))
	heightOf := func(i int) float64 {
		length := float64(h.First + quantity.Metre(i)*h.Step)
		return (length-hinge)*math.Cos(tilt) + hinge
	}
	if h.Plate > 0 && w.in.Body.Person().Mass > h.Plate {
		item.Warnings = append(item.Warnings, Warning{"plate", "The person weighs more than the maker's plate of this pair allows: another pair."})
	}
	half := float64(h.Step) / 2
	switch {
	case shaft < float64(h.First)-half:
		item.Words = "The lowest hole of this pair is too long by " + mm(float64(h.First)-shaft) + " mm: a shorter pair."
		item.Basis = None
		item.Warnings = append(item.Warnings, Warning{"holes_too_long", item.Words})
		return item, 0, Item{}
	case shaft > float64(last)+half:
		item.Words = "The highest hole of this pair is too short by " + mm(shaft-float64(last)) + " mm: a longer pair."
		item.Basis = None
		item.Warnings = append(item.Warnings, Warning{"holes_too_short", item.Words})
		return item, 0, Item{}
	}
	best := 0
	for i := range h.Count {
		if math.Abs(heightOf(i)-c.height) < math.Abs(heightOf(best)-c.height) {
			best = i
		}
	}
	low, high := fig("elbow_bend_leaflets").Low, fig("elbow_bend_leaflets").High
	off := func(i int) float64 { // degrees outside the band
		b, ok := w.bend(s, heightOf(i)-c.height, outside, ahead)
		switch {
		case !ok:
			return 2 * high
		case b < low:
			return low - b
		}
		return max(0, b-high)
	}
	pick := best
	for _, i := range []int{best - 1, best + 1} {
		// Where the hand is, is an estimate: a neighbour must be better by far.
		if i >= 0 && i < h.Count && math.Abs(heightOf(i)-c.height) <= float64(h.Step) && off(i)+clearlyBetter < off(pick) {
			pick = i
		}
	}
	at := heightOf(pick)
	item.Known, item.Value = true, float64(pick+1)
	item.Low, item.High = item.Value, item.Value
	for i := range h.Count {
		if math.Abs(heightOf(i)-c.height) <= wide*c.sd {
			item.Low, item.High = min(item.Low, float64(i+1)), max(item.High, float64(i+1))
		}
	}
	item.Method = "Hole " + strconv.Itoa(pick+1) + ", " + mm(float64(h.First+quantity.Metre(pick)*h.Step)) + " mm along the shaft: the handle stands " + mm(at) + " mm over the snow, " + offBy(at-c.height) + "."
	if pick != best {
		item.Method += " The hole nearest in height would bend the elbow further outside 15 to 30 degrees."
	}
	item.Narrow = c.narrow
	item = item.recheck("Write the hole down, left and right. One hole (25 mm) turns the elbow by 15 to 20 degrees; change one hole a lesson at most.")
	b := w.elbow(s, c.height, at-c.height, c.sd, outside, ahead, placed)
	b.ID, b.Label = "elbow_bend_in_hole", "Elbow bend in that hole"
	return item, at, b
}

// clearlyBetter is by how many degrees a neighbouring hole must bring the elbow
// nearer to its band; half of what one hole does.
const clearlyBetter = 8 // exact: where the estimate of the hand's place begins to matter

// tiny keeps a division by zero away.
const tiny = 1e-9

func offBy(d float64) string {
	switch {
	case math.Abs(d) < millimetre/2:
		return "as wanted"
	case d > 0:
		return mm(d) + " mm above the wanted height"
	}
	return mm(-d) + " mm under the wanted height"
}

func (w *worker) hinge() float64 {
	if w.in.HingeHeight != nil {
		return float64(*w.in.HingeHeight)
	}
	return fig("runner_hinge_height").Value * millimetre
}

// runner places the runner and returns the length along the shaft, from the
// snow to the top of the handle, and the items.
func (w *worker) runner(s body.Side, height, outside, ahead float64) (float64, []Item) {
	j := w.stance.posed.Joints
	out := body.Outward(s)
	// Where a foot would be on a side that does not stand: under its hip.
	footX := j.Ankle.At(s).X
	toeY := j.Toe.At(s).Y
	if !w.stance.posed.Standing.At(s) {
		other := body.Left
		if s == body.Left {
			other = body.Right
		}
		footX, toeY = j.Ankle.At(other).X, j.Toe.At(other).Y
	}
	besides, before := fig("runner_outside_ski"), fig("runner_ahead_of_toe_piece")
	k := w.small()
	side, front := besides.Value*centimetre*k, before.Value*centimetre*k
	if v := w.in.RunnerOutside.At(s); v != nil {
		side = float64(*v)
	}
	if v := w.in.RunnerAhead.At(s); v != nil {
		front = float64(*v)
	}
	x := footX + out*(fig("ski_half_width").Value*millimetre+side)
	y := toeY + front
	hand := j.Shoulder.At(s).Add(body.Vec{X: out * outside, Y: ahead})
	dx, dy := out*(x-hand.X), y-hand.Y
	up := max(height-w.hinge(), tiny)
	across := math.Hypot(dx, dy)
	tilt := math.Atan2(across, up)
	shaft := up/math.Cos(tilt) + w.hinge()
	forward := math.Atan2(dy, up) / math.Pi * 180
	outward := math.Atan2(dx, up) / math.Pi * 180
	basis := []string{"runner_ahead_of_toe_piece", "S2", "ForearmCrutch"}
	frontItem := Item{ID: "runner_ahead", Label: "Runner ahead of the toe piece", Side: s, Unit: "mm", Known: true, Value: front * 1000, Low: before.Low * 10 * k, High: before.High * 10 * k,
		Method: "From the forearm crutch; the trade says just ahead of the toe piece.", Basis: ByRule, Sources: basis,
		Sign: "Claws too far ahead: upright, shoulders at the ears, weight back. Hands behind: cannot slow."}
	sideItem := Item{ID: "runner_outside", Label: "Runner outside the ski", Side: s, Unit: "mm", Known: true, Value: side * 1000, Low: besides.Low * 10 * k, High: besides.High * 10 * k,
		Method: "From the forearm crutch.", Basis: ByRule, Sources: []string{"runner_outside_ski", "ForearmCrutch"},
		Sign: "Runner on the ski, or arms spread wide and shoulders up."}
	frontItem = frontItem.recheck("Look from the side in the straight-run stance; bring the claws back as the stance improves.")
	sideItem = sideItem.recheck("Look from behind in the straight-run stance.")
	seen := wide * fig("reading_error").Value
	frontItem.Narrow = &Narrow{"runner_ahead_mm", "Stand the student in the stance, elbows lightly against the body, and measure where the runner is.", (frontItem.High - frontItem.Low) / 2, seen}
	sideItem.Narrow = &Narrow{"runner_outside_mm", "Stand the student in the stance and measure how far the runner is outside the ski.", (sideItem.High - sideItem.Low) / 2, seen}
	if v := w.in.RunnerAhead.At(s); v != nil {
		frontItem.Low, frontItem.High, frontItem.Basis, frontItem.Method, frontItem.Narrow = front*1000-seen, front*1000+seen, OnPerson, "As measured in the stance.", nil
	}
	if v := w.in.RunnerOutside.At(s); v != nil {
		sideItem.Low, sideItem.High, sideItem.Basis, sideItem.Method, sideItem.Narrow = side*1000-seen, side*1000+seen, OnPerson, "As measured in the stance.", nil
	}
	length := Item{ID: "shaft_length", Label: "Snow to the top of the handle, along the shaft", Side: s, Unit: "mm", Basis: Combined,
		Method:  "Handle height less the runner's hinge, over the cosine of the shaft's tilt of " + deg(tilt/math.Pi*180) + " degrees, and the hinge again.",
		Sources: []string{"runner_hinge_height"}, Sign: "Runner flat only at one end: the length or the hinge is wrong."}
	length = length.around(shaft*1000, w.crease(s).sd*1000/math.Cos(tilt)).recheck("Runner flat on the snow in the straight-run stance is the acceptance.")
	length.Narrow = w.crease(s).narrow
	hinge := Item{ID: "hinge_tilt", Label: "Tilt of the shaft the runner's hinge must take", Side: s, Unit: "deg", Known: true, Value: forward, Basis: Combined,
		Method:  "The runner stands ahead of the hand by " + mm(dy) + " mm; sideways the shaft leans " + deg(math.Abs(outward)) + " degrees.",
		Sources: []string{"runner_hinge_height", "runner_ahead_of_toe_piece"}, Sign: "Runner rests on its tip or its tail instead of flat: hinge stop, length or place."}
	hinge.Low = math.Atan2(dy-(front-before.Low*centimetre*k), up) / math.Pi * 180
	hinge.High = math.Atan2(dy+(before.High*centimetre*k-front), up) / math.Pi * 180
	hinge.Low, hinge.High = min(hinge.Low, forward), max(hinge.High, forward)
	hinge = hinge.recheck("Look from the side in the straight-run stance: runner flat along its whole length.")
	hinge.Narrow = &Narrow{"runner_ahead_mm", "Stand the student in the stance and measure how far the runner is ahead of the toe piece.", (hinge.High - hinge.Low) / 2,
		fig("reading_error").Value * millimetre / up / math.Pi * 180}
	if w.in.RunnerAhead.At(s) != nil {
		hinge.Narrow = nil
		e := fig("reading_error").Value * millimetre / up / math.Pi * 180
		hinge.Low, hinge.High = forward-wide*e, forward+wide*e
	}
	if m := w.in.HingeMost; m != nil && math.Abs(forward) > m.Degrees() {
		hinge.Warnings = append(hinge.Warnings, Warning{"hinge_range", "The hinge takes " + deg(m.Degrees()) + " degrees, " + deg(math.Abs(forward)) + " are needed: the runner will not lie flat. Bring the runner nearer or use another pair."})
	} else if m == nil {
		hinge.Warnings = append(hinge.Warnings, Warning{"hinge_unknown", "Check on the outrigger that its hinge takes this tilt with the runner flat."})
	}
	return shaft, []Item{frontItem, sideItem, length, hinge}
}

// cuff places the cuff by stature, as the sheets for forearm crutches do.
func (w *worker) cuff(s body.Side) Item {
	small, middle, tall := fig("cuff_below_elbow_small"), fig("cuff_below_elbow_middle"), fig("cuff_below_elbow_tall")
	const shortH, middleH, tallH = 1.50, 1.73, 1.83 // src: S40
	h := w.stature
	v := 0.0
	switch {
	case h <= shortH:
		v = small.Value
	case h <= middleH:
		v = small.Value + (middle.Value-small.Value)*(h-shortH)/(middleH-shortH)
	case h <= tallH:
		v = middle.Value + (tall.Value-middle.Value)*(h-middleH)/(tallH-middleH)
	default:
		v = tall.Value
	}
	item := Item{ID: "cuff_below_elbow", Label: "Top of the cuff under the elbow", Side: s, Unit: "mm", Known: true, Value: v * 10, Basis: ByRule,
		Method: "By stature, from a sheet for forearm crutches.", Sources: []string{"S40", "ForearmCrutch"},
		Sign: "Cuff knocks the elbow: too high. Wobbles at the wrist: too low. Move it 25 mm. A red mark that lasts over 20 minutes: stop and refit."}
	// The other handbook sets every cuff 25 to 40 mm under the elbow.
	item.Low, item.High = min(item.Value, 25), item.Value+25
	arm := w.frame.Forearm.At(s).Value * 1000
	if item.Value > arm/2 {
		item.Value, item.High = arm/2, arm/2
		item.Low = min(item.Low, item.Value)
		item.Method += " A short forearm: half of it at most."
	}
	if h < shortH {
		item.Warnings = append(item.Warnings, Warning{"outside_sheet", "The sheet begins at 1.50 m; the elbow must bend freely over the cuff."})
	}
	item.Narrow = narrowed("forearm_mm", "Hold the outrigger and bend the elbow: the cuff stays a thumb's width clear of it.", (item.High-item.Low)/(2*wide), fig("reading_error").Value)
	return item.recheck("After 20 minutes: no red mark, no knock.")
}
