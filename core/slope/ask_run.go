package slope

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
)

// RunGiven is a run of pieces and where they are from.
type RunGiven struct {
	Pieces []Piece
	From   string // "a profile of 600 m" and the like, for the answer
}

// BandAsk asks for the band of speeds along a run.
type BandAsk struct {
	Ask      // Slope and Path are not read: the pieces have theirs
	Run      RunGiven
	Speed    float64 // at the beginning, m/s
	Draws    int
	Seed     uint64
	MuChance Chance  // a posterior instead of the range of friction; nil for the range
	SlopeSD  float64 // standard deviation of the gradients, as a gradient
	Reaction Known
	BrakeMu  Known   // friction while braking after the run; not asked for none
	RunOut   float64 // θ of the ground after the run, rad
	WithStop bool
}

// Answer draws the band.
func (q BandAsk) Answer() (*Answer, BandResult, error) {
	q.Slope = Given(Exactly(0.1))
	const most = 200000 // exact: draws
	if err := entry.First(asError(q.check()), checkSpan(boundMass, q.Mass.Span), boundSpeed.Check(q.Speed), boundSD.Check(q.SlopeSD), checkSpan(boundTime, q.Reaction.Span),
		checkSpan(boundFriction, q.BrakeMu.Span), boundSlope.Check(q.RunOut)); err != nil {
		return nil, BandResult{}, err
	}
	switch {
	case len(q.Run.Pieces) == 0:
		return nil, BandResult{}, entry.Refuse("no_run", "There is no run to slide on.")
	case q.Draws < 10 || q.Draws > most:
		return nil, BandResult{}, entry.Refuse("out_of_range", "Between 10 and 200 000 draws are made.")
	case q.HeadWind != 0 || q.Pull != 0:
		return nil, BandResult{}, entry.Refuse("no_wind_in_band", "The band is computed in still air and without a line; wind in a band is outside these equations.")
	}
	b := Band{Pieces: q.Run.Pieces, Start: q.Speed, Friction: q.Friction.Span, Mass: q.Mass.Span, DragArea: q.DragArea.Span, Density: q.Density.Span,
		Gravity: q.Gravity, Edges: q.Edges, Draws: q.Draws, Random: Seeded(q.Seed)}
	if q.MuChance != nil {
		b.Friction = q.MuChance
	}
	if q.SlopeSD > 0 {
		b.SlopeMiss = Normal{0, q.SlopeSD}
	}
	if q.WithStop {
		b.RunOut = &RunOut{Slope: q.RunOut, Friction: q.BrakeMu.Span, Reaction: q.Reaction.Span}
	}
	r := b.Speeds()
	out := &Answer{About: "Speeds along a run, from " + quantity.Decimals(0).Text(float64(q.Draws)) + " draws", Cautions: append([]string{cautionBraking}, Cautions()...), Sources: []string{"D"}}
	spanOfDeciles := func(d Deciles) Span { return Span{d.P50, d.P10, d.P90} }
	peak, end := spanOfDeciles(r.Peak), spanOfDeciles(r.At[len(r.At)-1].Speed)
	out.add("peak_m_s", "highest speed, half of the draws (a tenth to nine tenths)", "m/s", 2, peak)
	out.add("peak_kmh", "the same", "km/h", 1, kmh(peak))
	out.add("end_m_s", "speed at the end", "m/s", 2, end)
	out.add("end_kmh", "the same", "km/h", 1, kmh(end))
	share := quantity.Decimals(0)
	const few = 0.05 // exact: not worth a sentence
	if still := 1 - r.At[min(1, len(r.At)-1)].Moving; still > few && q.Speed == 0 {
		out.say(share.Text(100*still), " % of the draws stop on the first piece or never set off there: begin the run where it is steeper, or with a speed.")
	}
	if r.Stopped > 0 {
		out.add("stopped_pct", "draws that stop before the end", "%", 1, Exactly(100*r.Stopped))
		out.add("stop_at_m", "where those stop, from the start", "m", 0, spanOfDeciles(r.StopAt))
	}
	if q.WithStop {
		if r.Endless < 1 {
			out.add("run_out_m", "ground needed after the run, from the word to rest", "m", 1, spanOfDeciles(r.RunOut))
		}
		if r.Endless > 0 {
			out.warn(share.Text(100*r.Endless), " % of the draws never come to rest on the ground after the run with this braking.")
		}
		out.took("run_out_deg", "ground after the run", "°", 1, Given(Exactly(q.RunOut*degrees)))
		out.took("brake_friction", "friction while braking", "", 3, q.BrakeMu)
		out.took("reaction_s", "reaction", "s", 2, q.Reaction)
	}
	q.runInputs(out)
	out.took("slope_sd_pct", "error of the gradients", "%", 1, Given(Exactly(100*q.SlopeSD)))
	out.took("draws_count", "draws", "", 0, Given(Exactly(float64(q.Draws))))
	out.took("seed", "seed of the draws", "", 0, Given(Exactly(float64(q.Seed))))
	c := q.choices()[0]
	mid := c.Conditions.Glide(withFriction(q.Run.Pieces, q.Friction.Value), q.Speed)
	bends(out, q.Run.Pieces, mid, q.Gravity)
	fast(out, r.Peak.P90)
	return out, r, nil
}

func withFriction(pieces []Piece, mu float64) []Piece {
	out := make([]Piece, len(pieces))
	for i, p := range pieces {
		p.Friction += mu
		out[i] = p
	}
	return out
}

// runInputs records what entered where the slope is a run.
func (a Ask) runInputs(out *Answer) {
	out.took("gravity_m_s2", "free fall", "m/s²", 5, gravityFrom(a.Gravity))
	out.took("friction", "friction", "", 3, a.Friction)
	out.took("mass_kg", "mass with gear", "kg", 1, a.Mass)
	out.took("drag_area_m2", "drag area", "m²", 3, a.DragArea)
	out.took("density_kg_m3", "air density", "kg/m³", 3, a.Density)
	a.judge(out, true)
}

// bends says how much the hollows and crests that were left out would load.
func bends(out *Answer, pieces []Piece, r Run, gravity float64) {
	hollow, crest := Bends(pieces, r, gravity)
	const much = 0.1 // exact: a tenth of the weight is worth saying
	one := quantity.Decimals(0)
	if hollow > much {
		out.outside("In the sharpest hollow the snow would press with ", one.Text(100*hollow), " % of the weight more; that is left out, so the speed behind it is a little too high.")
	}
	if crest > much {
		out.outside("On the sharpest crest the snow would press with ", one.Text(100*crest), " % of the weight less; that is left out. At 100 % the skis would leave the snow.")
	}
}

// Gliding asks for a straight run over a chain of pieces.
type Gliding struct {
	Ask   // Slope and Path are not read: the pieces have theirs
	Run   RunGiven
	Speed Known // at the beginning, m/s
}

// Answer slides over the run. The run returned is that of the values.
func (q Gliding) Answer() (*Answer, Run, error) {
	q.Slope = Given(Exactly(0.1))
	if err := entry.First(asError(q.check()), checkSpan(boundSpeed, q.Speed.Span)); err != nil {
		return nil, Run{}, err
	}
	if len(q.Run.Pieces) == 0 {
		return nil, Run{}, entry.Refuse("no_run", "There is no run to slide on.")
	}
	var runs []Run
	for i, c := range q.choices() {
		pieces := withFriction(q.Run.Pieces, c.Friction)
		for j := range pieces {
			pieces[j].Pull = c.Pull
		}
		for _, v := range startSpeeds(q.Speed, i == 0) {
			runs = append(runs, c.Conditions.Glide(pieces, v))
		}
	}
	out := &Answer{About: "A straight run over " + q.Run.From, Cautions: Cautions(), Sources: []string{"HRW10", "D"}}
	best := runs[0]
	pick := func(f func(Run) float64) Span {
		s := Exactly(f(best))
		for _, r := range runs[1:] {
			s = spanOf(s.Value, s.Low, s.High, f(r))
		}
		return s
	}
	peak := pick(func(r Run) float64 { return r.Peak })
	end := pick(func(r Run) float64 { return r.End().Speed })
	out.add("peak_m_s", "highest speed", "m/s", 2, peak)
	out.add("peak_kmh", "highest speed", "km/h", 1, kmh(peak))
	out.add("peak_at_m", "where, along the snow", "m", 0, pick(func(r Run) float64 { return r.PeakAt }))
	out.add("speed_m_s", "speed at the end", "m/s", 2, end)
	out.add("speed_kmh", "speed at the end", "km/h", 1, kmh(end))
	out.add("time_s", "time", "s", 1, pick(func(r Run) float64 {
		if r.Stopped != best.Stopped {
			return best.End().Time // a run that ends otherwise is no limit of this one
		}
		return r.End().Time
	}))
	out.add("distance_m", "distance on the snow", "m", 1, pick(func(r Run) float64 { return r.End().Distance }))
	out.add("drop_m", "fall of height", "m", 1, pick(func(r Run) float64 { return r.End().Drop }))
	one := quantity.Decimals(0)
	switch {
	case best.Stopped && best.End().Distance == 0:
		out.say("The skier does not set off: the first part is not steeper than friction holds. Begin the run lower, or with a speed.")
	case best.Stopped:
		out.say("The skier comes to rest after ", one.Text(best.End().Distance), " m.")
	}
	if best.Stopped && !best.Stays {
		out.warn("The ground rises more than friction holds: after the stop the skier slides back unless they edge.")
	}
	for _, r := range runs {
		if r.Stopped != best.Stopped {
			out.say("At other ends of the ranges that is not so.")
			break
		}
	}
	q.runInputs(out)
	out.took("start_speed_m_s", "speed at the beginning", "m/s", 2, q.Speed)
	bends(out, q.Run.Pieces, best, q.Gravity)
	fast(out, peak.High)
	return out, best, nil
}

// StartAsk asks how far before a place of a run a straight run must start
// from rest, so that it comes there with a wanted speed.
type StartAsk struct {
	Ask    // Path is not read; Slope only where there is no run
	Run    RunGiven
	At     *float64 // the place, m along the snow from the start of the run; nil for its end
	Wanted float64  // m/s
}

// Answer finds the start.
func (q StartAsk) Answer() (*Answer, error) {
	plane := len(q.Run.Pieces) == 0
	if !plane {
		q.Slope = Given(Exactly(0.1))
	}
	if err := entry.First(asError(q.check()), boundSpeed.Check(q.Wanted)); err != nil {
		return nil, err
	}
	switch {
	case q.Wanted == 0:
		return nil, entry.Refuse("out_of_range", "The wanted speed must be above 0.")
	case q.HeadWind != 0 || q.Path != 0:
		return nil, entry.Refuse("fall_line_only", "The start is found for a straight run down the fall line in still air.")
	case q.At != nil && plane:
		return nil, entry.Refuse("no_run", "A place of the run needs the run.")
	}
	out := &Answer{About: "Where a straight run must start from rest to come with a wanted speed", Cautions: Cautions(), Sources: []string{"D"}}
	pieces := q.Run.Pieces
	if plane {
		const long = 20000 // exact: longer than any slope
		pieces = []Piece{{Length: long, Slope: math.NaN()}}
	} else if q.At != nil {
		var err error
		if pieces, err = cutAt(pieces, *q.At); err != nil {
			return nil, err
		}
	}
	choices := q.choices()
	find := func(c choice) (float64, bool) {
		mine := withFriction(pieces, c.Friction)
		for i := range mine {
			mine[i].Pull = c.Pull
			if plane {
				mine[i].Slope = c.Slope
			}
		}
		return c.Conditions.Before(mine, q.Wanted)
	}
	s, ok, all := over(choices, find)
	if ok {
		out.add("start_m", "start before that place, on the snow", "m", 1, s)
	} else {
		out.say("No start gives that speed there: ", map[bool]string{true: "on this slope the steady speed is lower.", false: "even from the top of the run it is not reached."}[plane])
		if v, has := choices[0].Motion(choices[0].Piece).Steady(); plane && has {
			out.add("steady_m_s", "steady speed of the slope", "m/s", 2, Exactly(v))
		}
	}
	if ok && !all {
		out.warn("At the slow end of the ranges no start gives that speed; the upper limit is that of the other ends.")
	}
	if ok {
		out.warn("Start lower than this first: at the fast end of the ranges the same speed comes from ", quantity.Decimals(1).Text(s.Low), " m.")
	}
	if plane {
		q.record(out)
	} else {
		q.runInputs(out)
	}
	out.took("wanted_m_s", "wanted speed", "m/s", 2, Given(Exactly(q.Wanted)))
	fast(out, q.Wanted)
	return out, nil
}

// cutAt returns the pieces down to a place.
func cutAt(pieces []Piece, at float64) ([]Piece, error) {
	var out []Piece
	x := 0.0
	for _, p := range pieces {
		if x+p.Length >= at {
			p.Length = at - x
			if p.Length > 0 {
				out = append(out, p)
			}
			x = at
			break
		}
		x += p.Length
		out = append(out, p)
	}
	if !(at > 0) || x < at {
		return nil, entry.Refuse("out_of_range", "That place does not lie on the run.")
	}
	return out, nil
}

// SnowAsk asks for the friction of today.
type SnowAsk struct {
	Glides
	Snow string // kind of snow, for what is held before; see [Snows]
	Air  Known  // as Density in Glides
	Area Known  // as DragArea in Glides
}

// Answer returns the friction with its 90 % interval.
func (q SnowAsk) Answer() (*Answer, Posterior, error) {
	prior, from, err := PriorOf(q.Snow)
	if err != nil {
		return nil, Posterior{}, err
	}
	q.Prior, q.DragArea, q.Density = prior, q.Area.Span, q.Air.Value
	if err := q.check(); err != nil {
		return nil, Posterior{}, err
	}
	p, err := q.Friction()
	if err != nil {
		return nil, Posterior{}, err
	}
	out := &Answer{About: "The friction of the glide on today's snow, from timed glides", Cautions: Cautions(), Sources: append([]string{"D"}, from...)}
	const most = 0.9 // exact: the share of the interval
	s := p.Within(most)
	out.add("friction", "friction, middle and 90 % interval", "", 4, s)
	out.add("friction_mean", "mean", "", 4, Exactly(p.Mean))
	out.add("friction_sd", "standard deviation", "", 4, Exactly(p.SD))
	hold := s.Map(func(mu float64) float64 { return 100 * mu })
	out.add("coasting_pct", "gradient that this friction just holds", "%", 1, hold)
	before := Posterior{}
	if bare, err := (Glides{Prior: prior, Gravity: q.Gravity, Mass: q.Mass, Density: q.Density, DragArea: q.DragArea, WatchSD: q.WatchSD}).Friction(); err == nil {
		before = bare
		b := before.Within(most)
		out.add("friction_before", "before any glide, from what was published", "", 3, b)
	}
	const much, little = 0.2, 0.8 // exact: shares worth a sentence
	if p.Edge > much {
		out.outside("The glides point to the edge of what was published: the interval is held in by that. Check slope, length and start; or the snow is of another kind.")
	}
	if before.SD > 0 && p.SD > little*before.SD {
		out.warn("The glides taught little: a longer or steeper part, or a better reading of the slope, would teach more.")
	}
	out.say("The error of the slope is one and the same for all glides on one part: more glides there do not take it away, another part does.")
	out.took("gravity_m_s2", "free fall", "m/s²", 5, gravityFrom(q.Gravity))
	out.took("mass_kg", "mass with gear", "kg", 1, Given(Exactly(q.Mass)))
	out.took("drag_area_m2", "drag area", "m²", 3, q.Area)
	out.took("density_kg_m3", "air density", "kg/m³", 3, q.Air)
	out.took("watch_sd_s", "error of a time by hand", "s", 2, Given(Exactly(q.WatchSD)))
	for i, t := range q.Timed {
		n := "part_" + quantity.Decimals(0).Text(float64(i+1)) + "_"
		out.took(n+"slope_pct", "part "+n[5:len(n)-1]+", slope", "%", 1, Given(Exactly(percentOf(t.Slope))))
		out.took(n+"slope_sd_pct", "its error", "%", 1, Given(Exactly(100*t.SlopeSD)))
		out.took(n+"length_m", "its length", "m", 1, Given(Exactly(t.Length)))
		if t.Mass > 0 {
			out.took(n+"mass_kg", "mass of who slid there, with gear", "kg", 1, Given(Exactly(t.Mass)))
		}
		if t.From > 0 {
			out.took(n+"from_m_s", "speed at its beginning", "m/s", 2, Given(Exactly(t.From)))
		}
		for j, v := range t.Times {
			out.took(n+"time_"+quantity.Decimals(0).Text(float64(j+1))+"_s", "a time", "s", 2, Given(Exactly(v)))
		}
		if t.Short > 0 {
			out.took(n+"short_count", "glides that stopped on it", "", 0, Given(Exactly(float64(t.Short))))
		}
	}
	return out, p, nil
}

func (q SnowAsk) check() error {
	if err := entry.First(boundGravity.Check(q.Gravity), boundMass.Check(q.Mass), boundDensity.Check(q.Density), checkSpan(boundArea, q.DragArea),
		boundTime.Check(q.WatchSD)); err != nil {
		return err
	}
	if q.WatchSD == 0 {
		return entry.Refuse("out_of_range", "The error of the stopwatch must be above 0: no time by hand is exact.")
	}
	if len(q.Timed) == 0 {
		return entry.Refuse("no_glide", "Give at least one timed glide.")
	}
	for _, t := range q.Timed {
		if err := entry.First(boundSlope.Check(t.Slope), boundSD.Check(t.SlopeSD), boundLength.Check(t.Length), boundSpeed.Check(t.From)); err != nil {
			return err
		}
		if t.Mass != 0 && boundMass.Check(t.Mass) != nil {
			return boundMass.Check(t.Mass)
		}
		switch {
		case t.Length == 0:
			return entry.Refuse("out_of_range", "The length of a timed glide must be above 0.")
		case t.Slope+t.SlopeSD >= math.Pi/2 || t.Slope < -math.Pi/4 || t.SlopeSD > 0.5:
			return entry.Refuse("out_of_range", "The slope of a timed glide and its error cannot be so; check the unit.")
		case len(t.Times) > 0 && t.Short > 0:
			return entry.Refuse("mixed", "On one part some glides came to the end and some did not, which one friction does not do. Enter them as parts of their own.")
		case len(t.Times) == 0 && t.Short <= 0:
			return entry.Refuse("no_glide", "A part without a time needs glides that stopped on it.")
		case len(t.Times) > 1000:
			return entry.Refuse("out_of_range", "More than 1000 times on one part are not taken.")
		}
		for _, v := range t.Times {
			if err := boundTime.Check(v); err != nil {
				return err
			}
			if v == 0 {
				return entry.Refuse("out_of_range", "A time must be above 0.")
			}
		}
	}
	return nil
}
