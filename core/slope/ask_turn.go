package slope

import (
	"math"
	"strings"

	"firnhand/core/entry"
	"firnhand/core/quantity"
)

// Turning is how a turn is skied.
type Turning struct {
	Radius Known // m in the slope plane
	Skid   Known // what turning the skis adds to friction
}

// UsualTurn returns the proposed radius and skid; nothing on them was
// published.
func UsualTurn() Turning { return Turning{Sourced("turn_radius"), Sourced("turn_skid")} }

func (t Turning) checkTurn() error {
	return entry.First(checkSpan(boundRadius, t.Radius.Span), checkSpan(boundFriction, t.Skid.Span))
}

// recordTurn records what entered; side is "left_" or "right_" where both do.
func (t Turning) recordTurn(out *Answer, side string) {
	name := strings.TrimSuffix(" ("+strings.TrimSuffix(side, "_")+")", " ()")
	out.took(side+"radius_m", "radius of the turn, in the slope plane"+name, "m", 1, t.Radius)
	out.took(side+"skid", "what turning the skis adds to friction"+name, "", 3, t.Skid)
	critical := Sourced("carve_critical")
	out.cite("Komissarov2019")
	if t.Skid.Low == 0 {
		out.outside("Without skid this is pure carving, which is possible only on slopes below ", quantity.Decimals(0).Text(critical.Low), " to ",
			quantity.Decimals(0).Text(critical.High), "° (Komissarov2019), and not what a first turn is.")
		out.cite("carve_critical")
	}
}

// Curve asks for one turn on a plane slope in still air: a J-turn or a
// garland.
type Curve struct {
	Ask // Path is where it begins; the edges always count
	Turning
	Side  Side
	Speed Known // at the beginning, m/s
	Glide Known // s of straight slide before a J-turn

	Dips      int     // dips of a garland; 0 for a J-turn
	High, Low float64 // path angles of a garland, rad from the fall line, without sign
}

func (q Curve) legs(mu, radius, skid, glide float64) []Leg {
	if q.Dips > 0 {
		return Garland(q.Side, q.Dips, q.High, q.Low, radius, mu, skid)
	}
	return JTurn(q.Side, glide, radius, mu, skid)
}

func (q Curve) check() error {
	if err := entry.First(asError(q.Ask.check()), asError(q.checkTurn()), checkSpan(boundSpeed, q.Speed.Span), checkSpan(boundTime, q.Glide.Span)); err != nil {
		return err
	}
	switch {
	case q.Side != Left && q.Side != Right:
		return entry.Refuse("unknown_side", "A turn goes to the left or to the right.")
	case q.HeadWind != 0:
		return entry.Refuse("no_wind_in_turns", "In a turn the wind changes its side all along; that is outside these equations. Ask in still air.")
	case q.Pull != 0:
		return entry.Refuse("no_pull_in_turns", "In a turn the line changes its angle all along; that is outside these equations. Ask without a pull.")
	case q.Slope.Low <= 0:
		return entry.Refuse("slope_needed", "A turn needs a slope that falls.")
	case q.Slope.High >= math.Pi/2:
		return entry.Refuse("wall", "A turn needs a slope that is not a wall.")
	case q.Dips < 0 || q.Dips > 100:
		return entry.Refuse("out_of_range", "A garland has between 1 and 100 dips.")
	case q.Dips > 0 && !(0 < q.Low && q.Low < q.High && q.High < math.Pi):
		return entry.Refuse("garland_angles", "The low angle of a garland must lie between the fall line and its high angle, so that it does not cross the fall line.")
	}
	return nil
}

// tracks follows the turn at the values and at the corners of the ranges.
func (q Curve) tracks() []Track {
	var out []Track
	for i, c := range q.choices() {
		h := Hill{Slope: c.Slope, Gravity: c.Gravity, Drag: c.Drag}
		for _, r := range startSpeeds(q.Radius, i == 0) {
			for _, k := range startSpeeds(q.Skid, i == 0) {
				for _, v := range startSpeeds(q.Speed, i == 0) {
					for _, t := range startSpeeds(q.Glide, i == 0) {
						out = append(out, h.Slide(q.legs(c.Friction, r, k, t), v, q.Path))
					}
				}
			}
		}
	}
	return out
}

// Answer follows the turn. The track is that of the values.
func (q Curve) Answer() (*Answer, Track, error) {
	q.Edges = true
	if q.Dips > 0 {
		q.Path = q.Side.sign() * q.High
	}
	if err := q.check(); err != nil {
		return nil, Track{}, err
	}
	what := "A J-turn: a straight slide, then a turn uphill to a stop"
	if q.Dips > 0 {
		what = "A garland: dips towards the fall line and back, without crossing it"
	}
	out := &Answer{About: what + ", to the " + string(q.Side), Cautions: append(Cautions(), cautionBraking), Sources: []string{"Komissarov2019", "D"}}
	tracks := q.tracks()
	t := tracks[0]
	describe(out, tracks)
	if q.Dips == 0 {
		j := FanRun{Track: t}
		if t.Starts {
			out.add("glide_s", "straight slide", "s", 1, Exactly(j.GlideTime()))
		}
	}
	q.record(out)
	q.recordTurn(out, "")
	out.took("start_speed_m_s", "speed at the beginning", "m/s", 2, q.Speed)
	if q.Dips == 0 {
		out.took("glide_time_s", "straight slide asked for", "s", 1, q.Glide)
	} else {
		out.took("dips_count", "dips", "", 0, Given(Exactly(float64(q.Dips))))
		out.took("high_deg", "path angle of the traverse, from the fall line", "°", 1, Given(Exactly(q.High*degrees)))
		out.took("low_deg", "path angle at the bottom of a dip, from the fall line", "°", 1, Given(Exactly(q.Low*degrees)))
	}
	return out, t, nil
}

// describe adds what a slide over legs comes to.
func describe(out *Answer, tracks []Track) {
	t := tracks[0]
	pick := func(f func(Track) float64) Span {
		s := Exactly(f(t))
		for _, o := range tracks[1:] {
			s = spanOf(s.Value, s.Low, s.High, f(o))
		}
		return s
	}
	peak := pick(func(t Track) float64 { return t.Peak.Speed })
	out.add("peak_m_s", "highest speed", "m/s", 2, peak)
	out.add("peak_kmh", "highest speed", "km/h", 1, kmh(peak))
	out.add("time_s", "time to the end", "s", 1, pick(func(o Track) float64 {
		if o.Starts != t.Starts || o.Stopped != t.Stopped {
			return t.End().Time // a track that ends otherwise is no limit of this one
		}
		return o.End().Time
	}))
	out.add("along_m", "length of the track", "m", 1, pick(func(t Track) float64 { return t.End().Along }))
	out.add("down_m", "end, down the fall line from the start", "m", 1, pick(func(t Track) float64 { return t.End().Down }))
	out.add("left_m", "end, to the left of the start looking downhill", "m", 1, pick(func(t Track) float64 { return t.End().Left }))
	out.add("end_speed_m_s", "speed at the end", "m/s", 2, pick(func(t Track) float64 { return t.End().Speed }))
	out.add("end_path_deg", "skis at the end, from the fall line", "°", 0, pick(func(t Track) float64 { return t.End().Path * degrees }))
	out.add("load_weights", "highest load, in weights", "", 2, pick(func(t Track) float64 { return t.Heavy.Load }))
	out.add("lean_deg", "lean at that moment, from the normal of the snow", "°", 0, pick(func(t Track) float64 { return t.Heavy.Lean() * degrees }))
	fast(out, peak.High)
	end := t.End()
	switch {
	case !t.Starts:
		out.say("The skier does not set off: the slope along the path is not steeper than friction holds.")
	case t.Stopped && math.Abs(end.Path) < math.Pi/2:
		out.say("The skier comes to rest before the skis are across the slope.")
	case t.Stopped:
		out.say("The skier comes to a full stop, skis ", quantity.Decimals(0).Text(math.Abs(end.Path)*degrees-90), "° above straight across.")
	default:
		out.say("The skier still moves at the end.")
	}
	if t.Starts && t.Stopped && !t.Stays {
		out.warn("Where it stops, the glide of the skis alone does not hold: without edges the skier slides on or back.")
	}
	for _, o := range tracks {
		if o.Stopped != t.Stopped || o.Starts != t.Starts {
			out.say("At other ends of the ranges that is not so.")
			break
		}
	}
}

// FanAsk asks for the fan of start angles on one plane slope.
type FanAsk struct {
	Ask
	Sides map[Side]FanSideAsk
}

// FanSideAsk is how one side is skied, and on which step the student is.
type FanSideAsk struct {
	Turning
	Glide Known // s
	Step  int   // 1 to 6 on the ladder of the trade; 0 where there is none yet
}

// UsualFanSide returns the proposed figures.
func UsualFanSide() FanSideAsk {
	return FanSideAsk{Turning: UsualTurn(), Glide: Sourced("fan_glide_time")}
}

// FanStep is one step of a ladder on one side.
type FanStep struct {
	Step     int     `json:"step"`
	Now      bool    `json:"now"`       // the step the student is on, or the one nearest to it in peak speed
	StartDeg float64 `json:"start_deg"` // from straight across, in the slope plane
	// GradientPct is that of the straight slide on the map.
	GradientPct float64 `json:"gradient_pct"`
	Starts      bool    `json:"sets_off"`
	Peak        Span    `json:"peak_m_s"`
	PeakKmh     Span    `json:"peak_kmh"`
	GlideS      Span    `json:"glide_s"`
	TotalS      Span    `json:"total_s"`
	StopDown    Span    `json:"stop_down_m"` // from the start, down the fall line
	StopLeft    Span    `json:"stop_left_m"` // and to the left of it
	EndPathDeg  float64 `json:"end_path_deg"`
	Stays       bool    `json:"stays"` // the glide alone holds where it stops
	Track       Track   `json:"-"`
}

// FanLadders are both ladders of one side.
type FanLadders struct {
	Side  Side      `json:"side"`
	Step  int       `json:"step"` // of the trade's ladder, 0 for none
	Trade []FanStep `json:"trade"`
	// Even rises in equal steps of peak speed; empty where not even the fall
	// line sets off.
	Even []FanStep `json:"even_speed"`
}

// Answer skis both ladders on both sides.
func (q FanAsk) Answer() (*Answer, []FanLadders, error) {
	q.Edges, q.Path = true, 0
	curve := Curve{Ask: q.Ask, Turning: UsualTurn(), Side: Left}
	if err := curve.check(); err != nil {
		return nil, nil, err
	}
	out := &Answer{About: "The fan: start angles on both sides, each run from rest with a J finish", Cautions: append(Cautions(), cautionBraking), Sources: []string{"Komissarov2019", "S48", "D"}}
	q.record(out)
	var ladders []FanLadders
	for _, side := range Sides {
		s, ok := q.Sides[side]
		if !ok {
			return nil, nil, entry.Refuse("side_needed", "The fan has a left and a right side.")
		}
		if err := entry.First(asError(s.checkTurn()), checkSpan(boundTime, s.Glide.Span)); err != nil {
			return nil, nil, err
		}
		if s.Step < 0 || s.Step > FanSteps {
			return nil, nil, entry.Refuse("out_of_range", "A step of the fan is 1 to 6, or 0 for none yet.")
		}
		s.recordTurn(out, string(side)+"_")
		out.took(string(side)+"_glide_time_s", "straight slide ("+string(side)+")", "s", 1, s.Glide)
		out.took(string(side)+"_step", "step on the trade's ladder ("+string(side)+")", "", 0, Given(Exactly(float64(s.Step))))
		ladders = append(ladders, q.side(out, side, s))
	}
	left, right := ladders[0], ladders[1]
	switch {
	case left.Step == 0 && right.Step == 0:
	case left.Step == right.Step:
		out.say("Both sides are on the same step.")
	default:
		out.say("The sides are on different steps: left ", stepText(left.Step), ", right ", stepText(right.Step), ". Each side goes on from its own.")
	}
	out.say("Move one step only after three clean stops of three on that side (proposed, to be signed off).")
	return out, ladders, nil
}

func stepText(step int) string {
	if step == 0 {
		return "none yet"
	}
	return quantity.Decimals(0).Text(float64(step)) + " of 6"
}

// fans returns the fan at the values, the slowest and the fastest corner.
func (q FanAsk) fans(side Side, s FanSideAsk) []Fan {
	k := func(mu, mass, area, density, slope, skid, radius, glide float64) Fan {
		drag := 0.0
		if mass > 0 {
			drag = DragOf(density, area, mass)
		}
		return Fan{Hill: Hill{Slope: slope, Gravity: q.Gravity, Drag: drag}, Friction: mu,
			Sides: map[Side]FanSide{side: {Glide: glide, Radius: radius, Skid: skid}}}
	}
	return []Fan{
		k(q.Friction.Value, q.Mass.Value, q.DragArea.Value, q.Density.Value, q.Slope.Value, s.Skid.Value, s.Radius.Value, s.Glide.Value),
		k(q.Friction.High, q.Mass.Low, q.DragArea.High, q.Density.High, q.Slope.Low, s.Skid.High, s.Radius.Low, s.Glide.Low),
		k(q.Friction.Low, q.Mass.High, q.DragArea.Low, q.Density.Low, q.Slope.High, s.Skid.Low, s.Radius.High, s.Glide.High),
	}
}

func (q FanAsk) side(out *Answer, side Side, s FanSideAsk) FanLadders {
	fans := q.fans(side, s)
	ladder := func(starts []float64) []FanStep {
		steps := make([]FanStep, len(starts))
		for i, start := range starts {
			steps[i] = fanStep(fans, side, start)
			steps[i].Step = i + 1
		}
		return steps
	}
	l := FanLadders{Side: side, Step: s.Step, Trade: ladder(TradeLadder()), Even: []FanStep{}}
	if starts, ok := fans[0].EvenLadder(side); ok {
		l.Even = ladder(starts)
	}
	if s.Step > 0 {
		now := &l.Trade[s.Step-1]
		now.Now = true
		best := -1
		for i := range l.Even {
			if best < 0 || math.Abs(l.Even[i].Peak.Value-now.Peak.Value) < math.Abs(l.Even[best].Peak.Value-now.Peak.Value) {
				best = i
			}
		}
		if best >= 0 {
			l.Even[best].Now = true
		}
	}
	stuck := 0
	for _, step := range l.Trade {
		if !step.Starts {
			stuck++
		}
		if step.Starts && !step.Stays {
			out.warn("Some runs stop with the skis so far up or down that the glide alone does not hold there: the edges must.")
		}
		fast(out, step.Peak.High)
	}
	if stuck > 0 {
		out.say("To the ", string(side), " ", quantity.Decimals(0).Text(float64(stuck)), " of the 6 steps of the trade's ladder cannot set off on this snow: the path is not steeper than friction holds.")
	}
	if len(l.Even) == 0 {
		out.say("To the ", string(side), " not even a start in the fall line sets off, so there is no ladder of even speeds.")
	}
	return l
}

func fanStep(fans []Fan, side Side, start float64) FanStep {
	runs := make([]FanRun, len(fans))
	for i, f := range fans {
		runs[i] = f.Run(side, start)
	}
	pick := func(f func(FanRun) float64) Span {
		s := Exactly(f(runs[0]))
		for _, r := range runs[1:] {
			s = spanOf(s.Value, s.Low, s.High, f(r))
		}
		return s
	}
	t := runs[0].Track
	step := FanStep{StartDeg: start * degrees, GradientPct: percentOf(runs[0].Gradient), Starts: t.Starts, Stays: t.Stays, Track: t,
		Peak: pick(func(r FanRun) float64 { return r.Track.Peak.Speed }), GlideS: pick(FanRun.GlideTime),
		TotalS:   pick(func(r FanRun) float64 { return r.Track.End().Time }),
		StopDown: pick(func(r FanRun) float64 { return r.Track.End().Down }), StopLeft: pick(func(r FanRun) float64 { return r.Track.End().Left }),
		EndPathDeg: t.End().Path * degrees}
	step.PeakKmh = kmh(step.Peak)
	return step
}
