package slope

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Tethered asks what a line between a student and a handler asks of both.
type Tethered struct {
	Gravity float64
	Slope   Known // θ, rad, downhill positive

	StudentMass, StudentFriction Known
	HandlerMass, HandlerFriction Known // friction while braking; not asked where only the student's pull is

	Wanted   float64 // acceleration of the student held, m/s²; 0 for steady speed, below zero to slow
	DragArea Known   // m², of the student; 0 for none
	Density  Known
	Speed    float64 // m/s

	Line  Line
	Lines int // 1 or 2

	Grip  *Known // strongest grip of one hand of the handler, N; nil where it was not measured
	Sex   string // "F", "M" or "": which published grip stands in
	Hands int    // hands on the lines, 1 or 2

	Slack     float64 // m of slack, from rest; 0 for none
	Parting   float64 // m/s at which the two part when the line comes tight, instead of Slack
	Stiffness Known   // N/m
	Free      bool    // the handler moves too
}

func (q Tethered) check() error {
	if err := entry.First(boundGravity.Check(q.Gravity), checkSpan(boundSlope, q.Slope.Span), checkSpan(boundMass, q.StudentMass.Span), checkSpan(boundFriction, q.StudentFriction.Span),
		checkSpan(boundFriction, q.HandlerFriction.Span), checkSpan(boundArea, q.DragArea.Span), checkSpan(boundDensity, q.Density.Span), boundSpeed.Check(q.Speed),
		boundLength.Check(q.Slack), boundSpeed.Check(q.Parting), entry.Within("The acceleration", -20, 20, "between -20 and 20 m/s²").Check(q.Wanted),
		entry.Within("The angle of the line", -quarter, quarter, "between -90 and 90 degrees").Check(q.Line.Up, q.Line.Apart)); err != nil {
		return err
	}
	if q.HandlerMass.asked() {
		if err := checkSpan(boundMass, q.HandlerMass.Span); err != nil {
			return err
		}
	}
	switch {
	case q.Lines != 1 && q.Lines != 2:
		return entry.Refuse("out_of_range", "There are one or two lines.")
	case q.Hands != 1 && q.Hands != 2:
		return entry.Refuse("out_of_range", "One or two hands hold.")
	case (q.Slack > 0 || q.Parting > 0) && checkSpan(boundStiff, q.Stiffness.Span) != nil:
		return checkSpan(boundStiff, q.Stiffness.Span)
	case q.Slack > 0 && q.Parting > 0:
		return entry.Refuse("one_slack", "Give the slack, or the speed at which the two part, not both.")
	case q.Free && !q.HandlerMass.asked():
		return entry.Refuse("handler_needed", "Where the handler moves too, their mass and friction are needed.")
	case q.Slope.High >= math.Pi/2:
		return entry.Refuse("wall", "A slope for reins is not a wall.")
	}
	return nil
}

// teth is one choice of every number that has a range.
type teth struct{ slope, student, studentMu, handler, handlerMu, area, density, stiff float64 }

func (q Tethered) choices() []teth {
	out := []teth{{q.Slope.Value, q.StudentMass.Value, q.StudentFriction.Value, q.HandlerMass.Value, q.HandlerFriction.Value, q.DragArea.Value, q.Density.Value, q.Stiffness.Value}}
	// Nothing depends on more than these together, and each corner counts.
	for _, s := range ends(q.Slope) {
		for _, m := range ends(q.StudentMass) {
			for _, mu := range ends(q.StudentFriction) {
				for _, h := range ends(q.HandlerMass) {
					for _, hm := range ends(q.HandlerFriction) {
						for _, a := range ends(q.DragArea) {
							for _, d := range ends(q.Density) {
								for _, k := range ends(q.Stiffness) {
									out = append(out, teth{s, m, mu, h, hm, a, d, k})
								}
							}
						}
					}
				}
			}
		}
	}
	return out
}

func (t teth) pair() Pair { return Pair{t.student, t.studentMu, t.handler, t.handlerMu} }

func overTeth(list []teth, f func(teth) (float64, bool)) (s Span, ok bool) {
	v, ok := f(list[0])
	s = Exactly(v)
	for _, t := range list[1:] {
		if w, has := f(t); has {
			s.Low, s.High = min(s.Low, w), max(s.High, w)
		}
	}
	return s, ok
}

// Answer returns pulls, what the handler holds, the slope the pair no longer
// stops on, and the shock of slack: all of them limits, with their margins.
func (q Tethered) Answer() (*Answer, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	out := &Answer{About: "Reins: what the line asks of both, and where it ends", Cautions: ReinCautions(), Sources: []string{"D"}}
	list := q.choices()
	force, _ := overTeth(list, func(t teth) (float64, bool) { return q.force(t), true })
	out.add("hold_n", "force along the slope that holds the student", "N", 1, force)
	tension, pulls := overTeth(list, func(t teth) (float64, bool) { return q.Line.Tension(max(q.force(t), 0), t.studentMu) })
	if !pulls {
		out.say("The line runs up so steeply that no pull along it holds: it would only lift the student.")
	} else {
		out.add("line_n", "pull in the lines together, with what the line lifts", "N", 1, tension)
		out.add("each_line_n", "pull in each line, with what the line lifts", "N", 1, tension.Map(func(v float64) float64 { return v / float64(q.Lines) }))
		plainly := force.Map(func(v float64) float64 { return max(v, 0) / (float64(q.Lines) * q.Line.Useful()) })
		if q.Line != (Line{}) {
			out.add("each_line_plain_n", "the same without counting what the line lifts", "N", 1, plainly)
		}
	}
	if force.Value <= 0 {
		out.say("Nothing pulls on the line here: the student's own friction and the air hold this speed.")
	}
	if q.HandlerMass.asked() {
		q.handler(out, list, tension, pulls)
	}
	q.grip(out, tension)
	if q.Slack > 0 || q.Parting > 0 {
		q.shock(out, list)
	}
	q.record(out)
	return out, nil
}

func (q Tethered) force(t teth) float64 {
	return HoldForce(t.student, t.studentMu, t.slope, q.Wanted, DragOf(t.density, t.area, 0.5)*q.Speed*q.Speed, q.Gravity)
}

// handler adds what the handler's skis hold, and the pair.
func (q Tethered) handler(out *Answer, list []teth, tension Span, pulls bool) {
	holds, bounded := overTeth(list, func(t teth) (float64, bool) {
		return q.Line.HandlerHolds(t.handler, t.handlerMu, t.slope, q.Gravity)
	})
	if bounded {
		out.add("handler_holds_n", "most the handler's braking holds at steady speed", "N", 1, holds)
		if pulls {
			q.margin(out, "braking_margin", "the handler's braking", holds, tension)
		}
	}
	limit, _ := overTeth(list, func(t teth) (float64, bool) { return 100 * math.Tan(t.pair().LimitSlope()), true })
	out.add("limit_slope_pct", "slope beyond which the pair no longer stops", "%", 2, limit)
	out.add("limit_slope_deg", "the same", "°", 2, limit.Map(func(v float64) float64 { return math.Atan(v/100) * degrees }))
	slows, _ := overTeth(list, func(t teth) (float64, bool) { return t.pair().Slows(t.slope, q.Gravity), true })
	out.add("pair_slows_m_s2", "deceleration of the pair, both braking as given", "m/s²", 4, slows)
	here := percentOf(q.Slope.Value)
	one := quantity.Decimals(1)
	out.add("slope_margin_pct", "margin of that limit over this slope", "%", 1, spanOf(limit.Value-here, limit.Low-percentOf(q.Slope.High), limit.High-percentOf(q.Slope.Low)))
	if slows.Value <= 0 {
		out.warn("Beyond the limit: on this slope the pair does not stop, it gathers speed. The limit is ", one.Text(limit.Value), " %.")
		return
	}
	if slows.Low <= 0 {
		out.warn("At one end of the ranges the pair does not stop on this slope.")
	}
	tense, _ := overTeth(list, func(t teth) (float64, bool) { return t.pair().StopTension(t.slope, q.Gravity), true })
	out.add("stop_tension_n", "force along the line while the pair stops", "N", 1, tense)
	if q.Speed > 0 {
		stop, _ := overTeth(list, func(t teth) (float64, bool) {
			a := t.pair().Slows(t.slope, q.Gravity)
			return q.Speed * q.Speed / (2 * a), a > 0
		})
		out.add("pair_stop_m", "length in which the pair stops, without drag and reaction", "m", 2, stop)
	}
}

// margin compares a limit with a load, and says so as a limit.
func (q Tethered) margin(out *Answer, id, what string, limit, load Span) {
	left := Span{limit.Value - load.Value, limit.Low - load.High, limit.High - load.Low}
	out.add(id+"_n", "margin of "+what+" over the pull", "N", 0, left)
	zero := quantity.Decimals(0)
	switch {
	case left.Value < 0:
		out.warn("Beyond the limit: the pull is ", zero.Text(-left.Value), " N more than ", what, " holds.")
	case left.Low < 0:
		out.warn("Within the ranges the pull can be more than ", what, " holds.")
	}
}

// grip adds what hands hold.
func (q Tethered) grip(out *Answer, tension Span) {
	hand := Known{}
	switch {
	case q.Grip != nil:
		hand = *q.Grip
	case q.Sex == "F":
		hand = Sourced("grip_young_women")
	case q.Sex == "M":
		hand = Sourced("grip_young_men")
	default: // the weaker of the two
		hand = Sourced("grip_young_women")
	}
	hands := float64(q.Hands)
	most := hand.scaled(hands)
	minute, long := value("hold_share_minute"), value("hold_share_long")
	out.add("grip_n", "strongest grip of the hands that hold", "N", 0, most)
	out.add("grip_minute_n", "held about a minute", "N", 0, most.Map(func(v float64) float64 { return v * minute }))
	held := most.Map(func(v float64) float64 { return v * long })
	out.add("grip_long_n", "held long", "N", 0, held)
	out.took("grip_one_hand_n", "strongest grip of one hand", "N", 0, hand)
	out.cite("hold_share_minute", "hold_share_long")
	if q.Grip == nil {
		low := rowOf("pull_strength", "5th percentile momentary grip, men, left hand", "value", "value")
		out.cite(low.From...)
		out.warn("The grip was not measured; a published mean of young adults stands in. One man in twenty holds less than ", quantity.Decimals(0).Text(low.Value), " N (HFDS2003), a cold hand in a glove less again.")
	}
	q.margin(out, "grip_long_margin", "what the hands hold long", held, tension)
	pull := rowOf("pull_strength", map[bool]string{true: "most isometric pull standing, men", false: "most isometric pull standing, women"}[q.Sex == "M"], "value", "value")
	out.add("standing_pull_n", "most a person pulls standing, strongest position", "N", 0, pull.Span)
	out.cite(pull.From...)
	if tension.Value > pull.Value {
		out.warn("Beyond the limit: the pull is more than a person pulls standing.")
	}
}

// shock adds the peak when slack comes tight.
func (q Tethered) shock(out *Answer, list []teth) {
	peak, _ := overTeth(list, func(t teth) (float64, bool) {
		mass, free := t.student, q.force(t)/t.student
		if q.Free {
			mass, free = t.pair().Reduced(), t.pair().Parting(t.slope, q.Gravity)
		}
		free = max(free, 0)
		v := q.Parting
		if q.Slack > 0 {
			v = math.Sqrt(2 * free * q.Slack)
		}
		return Shock(mass, free, t.stiff, v), true
	})
	out.add("shock_n", "peak in the line when the slack comes tight", "N", 1, peak)
	factor, ok := source.Table("pull_strength").Where("item", "design factor, line between people").Only()
	if n, has := factor.Number("value"); ok && has {
		out.add("line_rating_n", "what the line must be made for: that peak times the factor for people", "N", 0, peak.Map(func(v float64) float64 { return v * n }))
		out.cite("pull_strength", factor.Ref())
	}
	out.say("A snatch like this throws the student back: slack is taken up gently before the start (S53).")
	out.cite("S53")
	if hold, has := out.Figure("grip_n"); has && peak.High > hold.Low {
		out.warn("Beyond the limit: the peak of the snatch is more than the hands hold.")
	}
	if hold, has := out.Figure("handler_holds_n"); has && peak.High > hold.Low {
		out.warn("Beyond the limit: the peak of the snatch is more than the handler's braking holds.")
	}
	out.outside("The line is taken as a spring that does not damp, and drag over the slack is left out: a real line gives a little less.")
}

// WrapWarning is the one use of the formula for a wrapped line: to say why
// nobody does it.
func WrapWarning() string {
	turn := Wrapped(value("line_on_post"), 2*math.Pi)
	return "Half a turn round a post holds " + quantity.Decimals(1).Text(Wrapped(value("line_on_post"), math.Pi)) + " times and a whole turn " +
		quantity.Decimals(1).Text(turn) + " times the pull at the free end: a hand inside a wrap cannot get out. " + cautionWrap
}

func (q Tethered) record(out *Answer) {
	out.took("gravity_m_s2", "free fall", "m/s²", 5, gravityFrom(q.Gravity))
	out.took("slope_pct", "slope", "%", 1, Known{q.Slope.Map(percentOf), q.Slope.From})
	out.took("student_mass_kg", "student with gear", "kg", 1, q.StudentMass)
	out.took("student_friction", "student's friction", "", 3, q.StudentFriction)
	if q.HandlerMass.asked() {
		out.took("handler_mass_kg", "handler with gear", "kg", 1, q.HandlerMass)
		out.took("handler_friction", "handler's friction while braking", "", 3, q.HandlerFriction)
	}
	out.took("wanted_m_s2", "acceleration of the student", "m/s²", 2, Given(Exactly(q.Wanted)))
	out.took("speed_m_s", "speed", "m/s", 2, Given(Exactly(q.Speed)))
	out.took("drag_area_m2", "drag area of the student", "m²", 3, q.DragArea)
	out.took("lines_count", "lines", "", 0, Given(Exactly(float64(q.Lines))))
	out.took("line_up_deg", "line, up from the snow", "°", 1, Given(Exactly(q.Line.Up*degrees)))
	out.took("line_apart_deg", "line, sideways from the path", "°", 1, Given(Exactly(q.Line.Apart*degrees)))
	if q.Slack > 0 || q.Parting > 0 {
		out.took("slack_m", "slack", "m", 2, Given(Exactly(q.Slack)))
		out.took("parting_m_s", "speed of parting", "m/s", 2, Given(Exactly(q.Parting)))
		out.took("stiffness_n_m", "stiffness of the line", "N/m", 0, q.Stiffness)
	}
	out.warn(WrapWarning())
}
