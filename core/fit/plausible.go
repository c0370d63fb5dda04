package fit

import (
	"math"
	"slices"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// legitimate ends the sentence of every flag.
const legitimate = " Limb loss, contracture and short or tall stature are as real as a slip of the tape: measure again, and if it comes out the same, keep it."

// z99 is the standard score of the 99th percentile.
var z99 = body.ScoreOf(0.99) // exact: the 99th percentile

func drillis(item string) float64 {
	r, ok := source.Table("drillis1966").Where("item", item).Only()
	if !ok {
		panic("fit: no row " + item)
	}
	v, _ := r.Number("fraction_of_stature")
	return v
}

// band is where the middle 98 of 100 people lie.
func (w *worker) band(measure string) (low, high float64) {
	p := w.in.Body.Person()
	sexes := []body.Sex{p.Sex}
	if p.Sex == body.Unsaid {
		sexes = []body.Sex{body.Female, body.Male}
	}
	widen := 1.0
	if w.child {
		widen = 2
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, s := range sexes {
		r, ok := source.Table("ansur2_ratio").Where("sex", string(s)).Where("measure", measure).Only()
		if !ok {
			panic("fit: no measure " + measure)
		}
		mean, _ := r.Number("mean_ratio")
		sd, _ := r.Number("sd_ratio")
		low, high = min(low, (mean-widen*z99*sd)*w.stature), max(high, (mean+widen*z99*sd)*w.stature)
	}
	return low, high
}

// flags compares what was entered with other people.
func (w *worker) flags() []Flag {
	var out []Flag
	p := w.in.Body.Person()
	look := func(key, words string, s body.Side, v, low, high float64, unit string, sources ...string) {
		if v >= low && v <= high {
			return
		}
		one := quantity.Decimals(0)
		if unit == "kg" || unit == "cm" {
			one = quantity.Decimals(1)
		}
		among := "grown people of that survey and stature"
		switch {
		case slices.Contains(sources, "cdc2000"):
			among = "children of this age"
		case slices.Contains(sources, "ansur2_summary"):
			among = "grown people of that survey"
		case w.child:
			among = "grown people, in proportion, or twice as far from them,"
		}
		side := ""
		if s != finding.NoSide {
			side = s.Word() + " "
		}
		out = append(out, Flag{key, s, v, low, high, unit, "The " + side + words + " of " + one.Text(v) + " " + unit + " lies outside " + one.Text(low) + " to " + one.Text(high) + " " + unit +
			", where 98 of 100 " + among + " lie." + legitimate, sources})
	}
	length := func(key, words, measure string, s body.Side, r *body.Reading, shift float64) {
		if r == nil {
			return
		}
		low, high := w.band(measure)
		e := wide * readingError(r)
		look(key, words, s, 1000*float64(r.Value), 1000*(low+shift-e), 1000*(high+shift+e), "mm", "ansur2_ratio")
	}
	w.people(look)
	m := p.Measured
	length("ankle_height_mm", "ankle height", "lateralmalleolusheight", finding.NoSide, m.AnkleHeight, 0)
	length("knee_height_mm", "knee height", "lateralfemoralepicondyleheight", finding.NoSide, m.KneeHeight, 0)
	length("hip_height_mm", "hip height", "trochanterionheight", finding.NoSide, m.HipHeight, 0)
	length("shoulder_height_mm", "shoulder height", "acromialheight", finding.NoSide, m.ShoulderHeight, 0)
	length("neck_height_mm", "neck height", "cervicaleheight", finding.NoSide, m.NeckHeight, 0)
	length("foot_length_mm", "foot length", "footlength", finding.NoSide, m.FootLength, 0)
	length("hip_breadth_mm", "hip breadth", "hipbreadth", finding.NoSide, m.HipBreadth, 0)
	length("shoulder_width_mm", "shoulder width", "biacromialbreadth", finding.NoSide, m.ShoulderWidth, 0)
	for _, s := range body.Sides {
		length("upper_arm_mm", "upper arm", "acromionradialelength", s, m.UpperArm.At(s), 0)
		length("forearm_mm", "forearm", "radialestylionlength", s, m.Forearm.At(s), 0)
		length("hand_length_mm", "hand", "handlength", s, m.HandLength.At(s), 0)
		length("wrist_crease_barefoot_mm", "wrist crease barefoot", "wristheight", s, w.in.CreaseBare.At(s), -float64(body.CreaseBelow()))
		// The fist lies a hand's share beyond the wrist bone.
		length("forearm_grip_mm", "forearm to grip", "radialestylionlength", s, m.ForearmGrip.At(s), w.frame.Grip.At(s).Value)
		if r := w.in.CreaseBoots.At(s); r != nil {
			st := w.stance
			shift := st.lift - st.drop - float64(body.CreaseBelow())
			e := wide * math.Hypot(st.liftSD, st.dropSD)
			low, high := w.band("wristheight")
			e += wide * readingError(r)
			look("wrist_crease_boots_mm", "wrist crease in boots", s, 1000*float64(r.Value), 1000*(low+shift-e), 1000*(high+shift+e), "mm", "ansur2_ratio", "boot_and_ski_lift")
		}
	}
	out = append(out, w.unusual()...)
	return append(out, w.uneven()...)
}

// unusual tells of a stance, and of places of runners and hands, outside what
// is taken of beginners where nobody measured it.
func (w *worker) unusual() []Flag {
	var out []Flag
	look := func(key, words, figure, unit string, s body.Side, v *float64) {
		d := fig(figure)
		low, high := d.Low, d.High
		if figure == "runner_ahead_of_toe_piece" || figure == "runner_outside_ski" {
			low, high = low*10, high*10 // cm
		}
		if v == nil || *v >= low && *v <= high {
			return
		}
		side := ""
		if s != finding.NoSide {
			side = s.Word() + " "
		}
		n := quantity.Decimals(0)
		word := map[string]string{"deg": "degrees"}[unit]
		if word == "" {
			word = unit
		}
		out = append(out, Flag{key, s, *v, low, high, unit, "The " + side + words + " of " + n.Text(*v) + " " + word + " lies outside " + n.Text(low) + " to " + n.Text(high) + " " + word +
			", which is taken of beginners: look again, and if it is so, keep it; it counts as measured.", []string{figure}})
	}
	deg := func(a *quantity.Radian) *float64 {
		if a == nil {
			return nil
		}
		v := a.Degrees()
		return &v
	}
	mm := func(l *quantity.Metre) *float64 {
		if l == nil {
			return nil
		}
		v := l.Millimetres()
		return &v
	}
	st := w.in.Stance
	look("stance_trunk_deg", "lean of the trunk", "stance_trunk", "deg", finding.NoSide, deg(st.Trunk))
	for _, s := range body.Sides {
		look("stance_ankle_deg", "lean of the shin", "stance_ankle", "deg", s, deg(st.Ankle.At(s)))
		look("stance_knee_deg", "bend of the knee", "stance_knee", "deg", s, deg(st.Knee.At(s)))
		look("runner_ahead_mm", "runner ahead of the toe piece", "runner_ahead_of_toe_piece", "mm", s, mm(w.in.RunnerAhead.At(s)))
		look("runner_outside_mm", "runner outside the ski", "runner_outside_ski", "mm", s, mm(w.in.RunnerOutside.At(s)))
		look("hand_ahead_mm", "handle ahead of the shoulder", "hand_ahead_shoulder", "mm", s, mm(w.in.HandAhead.At(s)))
		look("hand_outside_mm", "handle outside the shoulder", "hand_outside_shoulder", "mm", s, mm(w.in.HandOutside.At(s)))
	}
	return out
}

// people places stature and mass among others of that age.
func (w *worker) people(look func(key, words string, s body.Side, v, low, high float64, unit string, sources ...string)) {
	p := w.in.Body.Person()
	sexes := []body.Sex{p.Sex}
	if p.Sex == body.Unsaid {
		sexes = []body.Sex{body.Female, body.Male}
	}
	band := func(chart, measure string, scale float64) (low, high float64, src string, ok bool) {
		low, high = math.Inf(1), math.Inf(-1)
		for _, s := range sexes {
			if w.child {
				g, err := body.GrowthAt(chart, s, *p.AgeYears)
				if err != nil {
					return 0, 0, "", false
				}
				low, high = min(low, g.At(-z99)), max(high, g.At(z99))
				src = "cdc2000"
				continue
			}
			r, found := source.Table("ansur2_summary").Where("sex", string(s)).Where("measure", measure).Only()
			if !found {
				return 0, 0, "", false
			}
			p01, _ := r.Number("p01")
			p99, _ := r.Number("p99")
			low, high = min(low, p01*scale), max(high, p99*scale)
			src = "ansur2_summary"
		}
		return low, high, src, true
	}
	if p.Stature != nil {
		if low, high, src, ok := band("stature_cm", "stature", 0.1); ok {
			look("height_cm", "stature", finding.NoSide, 100*float64(*p.Stature), low, high, "cm", src)
		}
	}
	if low, high, src, ok := band("weight_kg", "weightkg", 1); ok {
		look("mass_kg", "mass with every limb", finding.NoSide, float64(w.in.Body.IntactMass()), low, high, "kg", src)
	}
}

// uneven tells of left and right that differ more than they usually do.
func (w *worker) uneven() []Flag {
	var out []Flag
	m := w.in.Body.Person().Measured
	for _, x := range []struct {
		key, words string
		p          body.Pair[*body.Reading]
	}{
		{"wrist_crease_boots_mm", "wrist creases in boots", w.in.CreaseBoots}, {"wrist_crease_barefoot_mm", "wrist creases barefoot", w.in.CreaseBare},
		{"upper_arm_mm", "upper arms", m.UpperArm}, {"forearm_mm", "forearms", m.Forearm}, {"forearm_grip_mm", "forearms to grip", m.ForearmGrip},
	} {
		if x.p.Left == nil || x.p.Right == nil {
			continue
		}
		d := float64(x.p.Left.Value - x.p.Right.Value)
		most := 2 * wide * math.Hypot(readingError(x.p.Left), readingError(x.p.Right)) / math.Sqrt2
		if math.Abs(d) <= most {
			continue
		}
		out = append(out, Flag{x.key, finding.NoSide, 1000 * d, -1000 * most, 1000 * most, "mm", "The " + x.words + " differ left and right by " + mm(math.Abs(d)) +
			" mm: look that the shoulders are level and lifts are in, and measure again." + legitimate, []string{"reading_error"}})
	}
	return out
}
