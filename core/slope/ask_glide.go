package slope

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
)

// Sliding asks for a slide over one straight piece.
type Sliding struct {
	Ask
	Speed Known // at the beginning, m/s
	// One of these ends it: a length in m, a fall of height in m (below zero
	// for a rise), a time in s.
	Length, Drop, Lasts *float64
}

func (q Sliding) end() (kind string, v float64, err error) {
	count := 0
	for _, e := range []struct {
		kind  string
		v     *float64
		bound entry.Bound
	}{{"length", q.Length, boundLength}, {"drop", q.Drop, boundHeight}, {"time", q.Lasts, boundTime}} {
		if e.v == nil {
			continue
		}
		count++
		kind, v = e.kind, *e.v
		if bad := e.bound.Check(v); bad != nil {
			return "", 0, bad
		}
	}
	if count != 1 {
		return "", 0, entry.Refuse("end_needed", "Give one end of the slide: a length, a fall of height, or a time.")
	}
	return kind, v, nil
}

// arrive slides one choice.
func (q Sliding) arrive(c choice, v0 float64, kind string, v float64) (Arrival, error) {
	m := c.Motion(c.Piece)
	switch kind {
	case "time":
		return m.After(v0, v), nil
	case "drop":
		sin := math.Sin(c.Slope) * math.Cos(c.Path)
		if v/sin < 0 || sin == 0 {
			return Arrival{}, entry.Refuse("drop_direction", "On this path the height cannot change so: a rise is a fall below zero, and goes with a slope below zero.")
		}
		v /= sin
	}
	return m.Over(v0, v), nil
}

// Answer slides.
func (q Sliding) Answer() (*Answer, error) {
	if err := entry.First(asError(q.check()), checkSpan(boundSpeed, q.Speed.Span)); err != nil {
		return nil, err
	}
	kind, end, err := q.end()
	if err != nil {
		return nil, err
	}
	out := &Answer{About: "A slide on one straight piece of slope", Cautions: Cautions(), Sources: []string{"HRW10", "D"}}
	choices := q.choices()
	var all []Arrival
	for i, c := range choices {
		for _, v0 := range startSpeeds(q.Speed, i == 0) {
			a, err := q.arrive(c, v0, kind, end)
			if err != nil {
				return nil, err
			}
			all = append(all, a)
		}
	}
	best := all[0]
	pick := func(f func(Arrival) float64) Span {
		s := Exactly(f(best))
		for _, a := range all[1:] {
			s = spanOf(s.Value, s.Low, s.High, f(a))
		}
		return s
	}
	speed := pick(func(a Arrival) float64 { return a.Speed })
	out.add("speed_m_s", "speed at the end", "m/s", 2, speed)
	out.add("speed_kmh", "speed at the end", "km/h", 1, kmh(speed))
	out.add("time_s", "time", "s", 1, pick(func(a Arrival) float64 {
		if a.Stopped != best.Stopped {
			return best.Time // a slide that ends otherwise is no limit of this one
		}
		return a.Time
	}))
	out.add("distance_m", "distance on the snow", "m", 1, pick(func(a Arrival) float64 { return a.Distance }))
	sin := math.Sin(choices[0].Slope) * math.Cos(q.Path)
	out.add("drop_m", "fall of height", "m", 2, pick(func(a Arrival) float64 { return a.Distance * sin }))
	q.steady(out, choices)
	stops := 0
	for _, a := range all {
		if a.Stopped {
			stops++
		}
	}
	q.tell(out, best, stops, len(all), choices[0])
	fast(out, speed.High)
	q.record(out)
	out.took("start_speed_m_s", "speed at the beginning", "m/s", 2, q.Speed)
	return out, nil
}

func startSpeeds(k Known, first bool) []float64 {
	if first {
		return []float64{k.Value}
	}
	return ends(k)
}

// asError keeps a nil *Error from becoming an error that is not nil.
func asError(err error) *Error {
	if err == nil {
		return nil
	}
	return err.(*Error)
}

// steady adds what does not depend on the end: acceleration, gradient of the
// path, steady speed.
func (q Ask) steady(out *Answer, choices []choice) {
	drive, _, _ := over(choices, func(c choice) (float64, bool) { return c.Conditions.Drive(c.Piece), true })
	out.add("drive_m_s2", "acceleration by gravity and friction", "m/s²", 3, drive)
	gradient, _, _ := over(choices, func(c choice) (float64, bool) { return PathSlope(c.Slope, c.Path), true })
	if math.Abs(gradient.Value) < quarter-1e-6 {
		out.add("path_gradient_pct", "gradient of the path", "%", 1, gradient.Map(percentOf))
	}
	v, ok, _ := over(choices, func(c choice) (float64, bool) { return c.Motion(c.Piece).Steady() })
	if ok {
		out.add("steady_m_s", "steady speed it tends to", "m/s", 2, v)
		out.add("steady_kmh", "steady speed it tends to", "km/h", 1, kmh(v))
	}
}

func (q Sliding) tell(out *Answer, best Arrival, stops, of int, c choice) {
	one := quantity.Decimals(1)
	switch {
	case best.Stopped && best.Distance == 0:
		out.say("The skier does not set off: the slope along the path is not steeper than friction holds.")
	case best.Stopped:
		out.say("The skier comes to rest after ", one.Text(best.Distance), " m and ", one.Text(best.Time), " s.")
	}
	if best.Stopped && !c.Stays(c.Piece) && c.Slope < 0 {
		out.warn("The ground rises more than friction holds: after the stop the skier slides back unless they edge.")
	}
	if stops > 0 && !best.Stopped {
		out.say("At the slow end of the ranges the skier comes to rest on the way.")
	}
	if stops < of && best.Stopped {
		out.say("At the fast end of the ranges the skier does not come to rest on the way.")
	}
}

// Balance asks for the forces on a skier on one straight piece.
type Balance struct {
	Ask
	Speed         Known    // m/s
	FrictionForce *float64 // N, where friction is asked from its force
}

// Answer returns the forces, the acceleration, and the friction that a force
// or a steady speed stands for.
func (q Balance) Answer() (*Answer, error) {
	if q.FrictionForce != nil {
		if err := entry.First(boundForce.Check(*q.FrictionForce), checkSpan(boundMass, q.Mass.Span), checkSpan(boundSlope, q.Slope.Span), boundGravity.Check(q.Gravity)); err != nil {
			return nil, err
		}
		weight := q.Mass.Value * q.Gravity * NormalLoad(q.Slope.Value, q.Path, q.Edges)
		if weight < 1e-9 {
			return nil, entry.Refuse("no_load", "On a wall nothing presses on the snow, so a force says nothing about friction.")
		}
		q.Friction = Given(Exactly(*q.FrictionForce / weight))
	}
	if err := entry.First(asError(q.check()), checkSpan(boundSpeed, q.Speed.Span)); err != nil {
		return nil, err
	}
	out := &Answer{About: "The forces on a skier on one straight piece of slope", Cautions: Cautions(), Sources: []string{"HRW10", "OpenStax", "D"}}
	choices := q.choices()
	if q.Mass.asked() {
		force := func(id, label string, f func(choice) float64) {
			s, _, _ := over(choices, func(c choice) (float64, bool) { return c.mass * f(c), true })
			out.add(id, label, "N", 2, s)
		}
		force("normal_n", "force of the snow square to it", func(c choice) float64 { return c.Gravity * NormalLoad(c.Slope, c.Path, c.Edges) })
		force("gravity_along_n", "gravity along the path", func(c choice) float64 { return c.Gravity * math.Sin(c.Slope) * math.Cos(c.Path) })
		force("friction_n", "friction", func(c choice) float64 { return c.Friction * c.Gravity * NormalLoad(c.Slope, c.Path, c.Edges) })
		force("drag_n", "drag", func(c choice) float64 { u := q.Speed.Value + c.HeadWind; return c.Drag * u * math.Abs(u) })
	}
	out.add("friction_coefficient", "coefficient of friction", "", 4, q.Friction.Span)
	a, _, _ := over(choices, func(c choice) (float64, bool) { return c.Motion(c.Piece).at(q.Speed.Value), true })
	out.add("acceleration_m_s2", "acceleration along the path", "m/s²", 4, a)
	q.steady(out, choices)
	hold := q.Friction.Map(math.Atan)
	out.add("coasting_deg", "slope on which this friction just holds a steady speed without drag", "°", 4, hold.Map(func(v float64) float64 { return v * degrees }))
	out.add("coasting_pct", "the same as a gradient", "%", 2, hold.Map(percentOf))
	if c := choices[0]; q.Speed.Value > 0 && math.Cos(c.Slope) > 1e-9 {
		mu, _, _ := over(choices, func(c choice) (float64, bool) {
			u := q.Speed.Value + c.HeadWind
			return (c.Gravity*math.Sin(c.Slope)*math.Cos(c.Path) - c.Drag*u*math.Abs(u)) / (c.Gravity * NormalLoad(c.Slope, c.Path, c.Edges)), true
		})
		out.add("steady_friction", "friction that would hold this speed steady", "", 4, mu)
	}
	q.record(out)
	out.took("speed_m_s", "speed", "m/s", 2, q.Speed)
	return out, nil
}

// Energy asks for the speed after a change of height with work done.
type Energy struct {
	Gravity          float64
	Mass             Known   // kg
	Speed            float64 // at the beginning, m/s
	Drop             float64 // m, below zero for a rise
	Work             float64 // J by everything but gravity, below zero where it slows
	Slope            float64 // θ, rad; 0 where friction is in the work
	Friction         float64 // μ along the slope
	FrictionOnLength bool    // count friction along Drop / sin θ
}

// Answer returns the speed by the balance of energy.
func (q Energy) Answer() (*Answer, error) {
	if err := entry.First(boundGravity.Check(q.Gravity), checkSpan(boundMass, q.Mass.Span), boundSpeed.Check(q.Speed), boundHeight.Check(q.Drop),
		boundWork.Check(q.Work), boundSlope.Check(q.Slope), boundFriction.Check(q.Friction)); err != nil {
		return nil, err
	}
	out := &Answer{About: "Speed by the balance of energy", Cautions: Cautions(), Sources: []string{"OpenStax", "D"}}
	work := func(m float64) float64 {
		if q.FrictionOnLength && q.Slope != 0 {
			return q.Work - q.Friction*m*q.Gravity*math.Abs(q.Drop)/math.Tan(math.Abs(q.Slope))
		}
		return q.Work
	}
	v, reached := EnergySpeed(q.Speed, q.Drop, work(q.Mass.Value), q.Mass.Value, q.Gravity)
	if !reached {
		out.say("The energy does not suffice to come there.")
	} else {
		s := spanOf(v)
		for _, m := range ends(q.Mass) {
			w, _ := EnergySpeed(q.Speed, q.Drop, work(m), m, q.Gravity)
			s = spanOf(s.Value, s.Low, s.High, w)
		}
		out.add("speed_m_s", "speed at the end", "m/s", 2, s)
		out.add("speed_kmh", "speed at the end", "km/h", 1, kmh(s))
		fast(out, v)
	}
	out.took("gravity_m_s2", "free fall", "m/s²", 5, gravityFrom(q.Gravity))
	out.took("mass_kg", "mass", "kg", 1, q.Mass)
	out.took("drop_m", "fall of height", "m", 2, Given(Exactly(q.Drop)))
	out.took("work_j", "work by everything but gravity", "J", 1, Given(Exactly(work(q.Mass.Value))))
	out.took("start_speed_m_s", "speed at the beginning", "m/s", 2, Given(Exactly(q.Speed)))
	return out, nil
}

// Stopping asks how far and how long a stop takes.
type Stopping struct {
	Ask             // Friction is that of the braking
	Speed    Known  // m/s when the word comes
	Reaction Known  // s from the word to the beginning of the braking
	Glide    *Known // friction until then; nil where the speed is held till then
}

// Answer returns the distance and time of the reaction, of the braking, and of
// both.
func (q Stopping) Answer() (*Answer, error) {
	if err := entry.First(asError(q.check()), checkSpan(boundSpeed, q.Speed.Span), checkSpan(boundTime, q.Reaction.Span)); err != nil {
		return nil, err
	}
	if q.Glide != nil {
		if err := checkSpan(boundFriction, q.Glide.Span); err != nil {
			return nil, err
		}
	}
	out := &Answer{About: "A stop, from the word to rest", Cautions: append([]string{cautionBraking}, Cautions()...), Sources: []string{"D"}}
	choices := q.choices()
	type stop struct{ react, brake, brakeTime, plain float64 }
	var got []stop
	endless := 0
	for i, c := range choices {
		for _, v := range startSpeeds(q.Speed, i == 0) {
			for _, t := range startSpeeds(q.Reaction, i == 0) {
				s := stop{react: v * t}
				if q.Glide != nil {
					p := c.Piece
					p.Friction = q.Glide.Value
					if i > 0 {
						p.Friction = q.Glide.Low // the fastest until the braking
					}
					a := c.Motion(p).After(v, t)
					s.react, v = a.Distance, a.Speed
				}
				m := c.Motion(c.Piece)
				x, end, ok := m.Stop(v)
				if !ok {
					endless++
					if i == 0 {
						q.never(out, choices)
						return out, nil
					}
					continue
				}
				s.brake, s.brakeTime = x, end
				s.plain, _ = brake(-m.Drive, 0, v)
				if m.Drive >= 0 {
					s.plain = math.NaN()
				}
				got = append(got, s)
			}
		}
	}
	pick := func(f func(stop) float64) Span {
		s := Exactly(f(got[0]))
		for _, g := range got[1:] {
			s = spanOf(s.Value, s.Low, s.High, f(g))
		}
		return s
	}
	out.add("stop_m", "from the word to rest", "m", 1, pick(func(s stop) float64 { return s.react + s.brake }))
	out.add("reaction_m", "of that before the braking", "m", 1, pick(func(s stop) float64 { return s.react }))
	out.add("brake_m", "of that braking", "m", 3, pick(func(s stop) float64 { return s.brake }))
	out.add("brake_no_drag_m", "braking, if there were no drag", "m", 3, pick(func(s stop) float64 { return s.plain }))
	out.add("brake_s", "time of the braking", "s", 3, pick(func(s stop) float64 { return s.brakeTime }))
	out.add("stop_s", "time from the word to rest", "s", 1, spanOf(got[0].brakeTime+q.Reaction.Value,
		pick(func(s stop) float64 { return s.brakeTime }).Low+q.Reaction.Low, pick(func(s stop) float64 { return s.brakeTime }).High+q.Reaction.High))
	slow, _, _ := over(choices, func(c choice) (float64, bool) { return -c.Conditions.Drive(c.Piece), true })
	out.add("deceleration_m_s2", "deceleration by gravity and friction", "m/s²", 4, slow)
	if endless > 0 {
		out.warn("At one end of the ranges the skier never comes to rest here: the upper limits are those of the other ends.")
	}
	if c := choices[0]; !c.Stays(c.Piece) && c.Slope < 0 {
		out.warn("The ground rises more than this friction holds: after the stop the skier slides back unless they edge.")
	}
	if q.Glide == nil && q.Slope.Value > 0 && q.Reaction.Value > 0 {
		out.warn("Until the braking begins the speed is taken as held. On a slope steeper than the glide holds it grows: give the friction of the glide to count that.")
	}
	q.record(out)
	out.took("speed_m_s", "speed at the word", "m/s", 2, q.Speed)
	out.took("reaction_s", "reaction", "s", 2, q.Reaction)
	if q.Glide != nil {
		out.took("glide_friction", "friction until the braking", "", 3, *q.Glide)
	}
	fast(out, q.Speed.High)
	return out, nil
}

// never answers where no stop comes.
func (q Stopping) never(out *Answer, choices []choice) {
	out.say("With this friction on this slope the skier never comes to rest: gravity along the path is at least as strong as the braking.")
	slow, _, _ := over(choices, func(c choice) (float64, bool) { return -c.Conditions.Drive(c.Piece), true })
	out.add("deceleration_m_s2", "deceleration by gravity and friction", "m/s²", 4, slow)
	hold := q.Friction.Map(func(mu float64) float64 { return 100 * mu })
	out.add("limit_slope_pct", "slope beyond which this friction no longer stops anybody", "%", 1, hold)
	q.record(out)
	out.took("speed_m_s", "speed at the word", "m/s", 2, q.Speed)
}

// Braking asks what friction measured stops stand for.
type Braking struct {
	Ask    // Friction is not read
	Trials []BrakeTrial
}

// Answer returns the braking friction of this student on this snow.
func (q Braking) Answer() (*Answer, error) {
	q.Friction = Known{}
	if err := q.check(); err != nil {
		return nil, err
	}
	if len(q.Trials) == 0 {
		return nil, entry.Refuse("no_trial", "Give at least one measured stop: the speed, and the length or the time to rest.")
	}
	if q.Path != 0 || q.HeadWind != 0 || q.Pull != 0 {
		return nil, entry.Refuse("fall_line_only", "A braking trial is skied straight down the fall line, in still air, without a line.")
	}
	out := &Answer{About: "Braking friction, calibrated from measured stops", Cautions: append([]string{cautionBraking}, Cautions()...), Sources: []string{"D"}}
	mean, mid := 0.0, 0.0
	span := Span{0, math.Inf(1), math.Inf(-1)}
	choices := q.choices()
	for _, t := range q.Trials {
		if err := entry.First(boundSpeed.Check(t.Speed), boundLength.Check(t.Length), boundTime.Check(t.Time)); err != nil {
			return nil, err
		}
		if t.Speed == 0 || t.Length == 0 && t.Time == 0 {
			return nil, entry.Refuse("trial_empty", "A measured stop needs a speed above zero, and a length or a time above zero.")
		}
		for i, c := range choices {
			mu := t.Friction(c.Slope, c.Gravity, c.Drag)
			if i == 0 {
				mean += mu / float64(len(q.Trials))
				mid = t.slows(c.Drag)
			}
			span.Low, span.High = min(span.Low, mu), max(span.High, mu)
		}
	}
	span.Value = mean
	out.add("friction", "friction while braking: unpublished, calibrated here", "", 4, span)
	if len(q.Trials) == 1 {
		out.add("deceleration_m_s2", "deceleration by gravity and friction", "m/s²", 4, Exactly(mid))
		out.warn("One stop says nothing about how much the next one differs: measure at least three.")
	}
	out.say("Unpublished, calibrated here: it holds for this student, this way of braking and this snow, and is to be measured again when one of them changes.")
	if span.Low < 0 {
		out.outside("A trial comes out below zero: drag and gravity alone would have stopped the skier sooner. Check speed, length, slope and drag area.")
	}
	if span.High > 1 {
		out.outside("A friction above 1 is more than skis on snow were ever said to give: check speed and length.")
	}
	q.recordAll(out, false)
	for i, t := range q.Trials {
		n := quantity.Decimals(0).Text(float64(i + 1))
		out.took("trial_"+n+"_speed_m_s", "stop "+n+", speed", "m/s", 2, Given(Exactly(t.Speed)))
		if t.Length > 0 {
			out.took("trial_"+n+"_length_m", "stop "+n+", length", "m", 2, Given(Exactly(t.Length)))
		} else {
			out.took("trial_"+n+"_time_s", "stop "+n+", time", "s", 2, Given(Exactly(t.Time)))
		}
	}
	return out, nil
}
