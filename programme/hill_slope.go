package programme

import (
	"math"
	"slices"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/core/source"
)

// HillVerdict is how a slope or lift stands for a student on a day. None of
// them is a permission.
type HillVerdict string

// The verdicts, hardest first.
const (
	HillHeld    HillVerdict = "held"    // a hold forbids skiing, or standing
	HillAgainst HillVerdict = "against" // something that is known speaks against it
	HillOpen    HillVerdict = "open"    // something has to be known first
	HillClear   HillVerdict = "clear"   // nothing that is recorded speaks against it
)

// Says returns the verdict on a slope in words.
func (v HillVerdict) Says() string {
	return map[HillVerdict]string{
		HillHeld:    "No: a hold is in force.",
		HillAgainst: "Not here today.",
		HillOpen:    "Not settled: something has to be known first.",
		HillClear:   "Nothing that is recorded speaks against it. The lead on the snow decides.",
	}[v]
}

// HillReason is one thing that weighs on a verdict.
type HillReason struct {
	Code   string      `json:"code"`
	Weighs HillVerdict `json:"weighs"` // clear: only to be minded
	Say    string      `json:"sentence"`
	Basis  []string    `json:"basis,omitempty"` // marks of works
	// Finds is a finding that would settle it; "" for none.
	Finds string `json:"finding,omitempty"`
}

// verdictOf returns the hardest of reasons.
func verdictOf(reasons []HillReason) HillVerdict {
	for _, v := range []HillVerdict{HillHeld, HillAgainst, HillOpen} {
		if slices.ContainsFunc(reasons, func(r HillReason) bool { return r.Weighs == v }) {
			return v
		}
	}
	return HillClear
}

// Ground is a step of the trade's ladder of terrain.
type Ground int

// The steps.
const (
	GroundFirst  Ground = iota + 1 // for a first slide: gentle, ending flat or rising
	GroundFan                      // for the fan: the beginners' class
	GroundLift                     // reached by a lift: the novices' class
	GroundBeyond                   // steeper than that
)

// Says returns what the ground is for, in words.
func (g Ground) Says() string {
	return map[Ground]string{
		GroundFirst:  "gentle enough for a first slide, ending flat or rising",
		GroundFan:    "for the fan, within the beginners' class",
		GroundLift:   "reached by a lift, within the novices' class",
		GroundBeyond: "steeper than the novices' class",
	}[g]
}

// OnSlope is a student on one slope of the hill.
type OnSlope struct {
	Slope   SlopeState
	Day     Date
	StartM  float64 // on the map from the top
	Verdict HillVerdict
	Reasons []HillReason

	Ground  Ground
	Shape   *slope.Answer // of the whole run
	Profile slope.Profile
	Classes []slope.Class
	Snow    SnowToday

	// Needs are findings without which there is no speed; the rest is then
	// empty.
	Needs  []string
	Mass   slope.Known // kg, with gear
	Way    string      // of skiing, "" while open
	Band   *slope.Answer
	Speeds slope.BandResult
	Worst  slope.BandAt // where nine of ten draws come fastest
	RunOut RunOutNeed

	Fan     *slope.Answer
	Ladders []slope.FanLadders // left, right
	// WideLeftM and WideRightM are how far to each side the runs up to the
	// step the side is on come to lie, at the far end of the ranges; WideM is
	// from side to side at the values.
	WideLeftM, WideRightM, WideM float64
	Step                         map[slope.Side]int // as asked; 0 for none yet

	set   finding.Set
	ask   slope.Ask
	table *decide.Table
}

// RunOutNeed is the ground a stop needs after the slope, against what is there.
type RunOutNeed struct {
	slope.Deciles
	ThereM  *float64 // nil: not measured
	Endless float64  // share of draws that never come to rest on it
	// Braked tells that somebody measured this student's stops; else the glide
	// alone must end it.
	Braked bool
	How    string // the way of stopping that was measured
	// Suffices is the highest start from which the ground there suffices for
	// nine of ten draws, m before the end on the map; HasSuffices is false
	// where none does or it is not known.
	Suffices    float64
	HasSuffices bool
}

// bandDraws is how many draws a band takes: those of the product's target.
const bandDraws = 10000

// roughDraws are enough to find a start by halving.
const roughDraws = 1500

// oneOfTen is the share of draws beyond the ninth decile.
const oneOfTen = 0.1

// SlopeAsk is what is asked of a student on a slope.
type SlopeAsk struct {
	Slope  ID
	StartM float64
	Step   map[slope.Side]int
	Day    Date
	Now    int // minutes since midnight
}

// SlopeAskOf takes what was chosen for a record's student; ok is false where
// no slope was.
func SlopeAskOf(r Record, day Date, now int) (q SlopeAsk, ok bool) {
	c, ok := r.Hill.Choice()
	return SlopeAsk{c.Slope, c.StartM, map[slope.Side]int{slope.Left: c.StepLeft, slope.Right: c.StepRight}, day, now}, ok && c.Slope != ""
}

// SlopeOn puts the student of a record on a slope, as of the record's day. It
// is pure. What is computed is a limit, never advice to go there.
func SlopeOn(t *decide.Table, r Record, h Hill, q SlopeAsk) (*OnSlope, error) {
	s, ok := h.SlopeByID(q.Slope)
	if !ok {
		return nil, Refuse(CodeNotFound, "The programme's hill has no such slope.")
	}
	d := DecisionOf(t, r)
	a := t.Decide(d.Input)
	out := &OnSlope{Slope: s, Day: q.Day, StartM: q.StartM, Step: q.Step, set: d.Input.Findings, table: t}
	if q.StartM < 0 || q.StartM >= s.LengthM() {
		return nil, Refuse(CodeInvalid, "The start lies behind the end of %s, which is %.0f m long.", s.Name, s.LengthM())
	}
	if x, ok := a.Axis("way"); ok && !x.Open {
		out.Way = x.Value
	}
	if err := out.shape(r); err != nil {
		return nil, err
	}
	var err error
	if out.Snow, err = SnowOn(h, q.Day, s); err != nil {
		return nil, err
	}
	out.skier()
	if len(out.Needs) == 0 {
		if err := out.slide(r); err != nil {
			return nil, err
		}
		if err := out.fan(q.Step); err != nil {
			return nil, err
		}
	}
	out.weigh(a, r, q)
	c, err := ColdOn(t, r, h, ColdAsk{Day: q.Day, Now: q.Now, OwnMS: out.SkiingMS(), Slope: s.Slope})
	if err != nil {
		return nil, err
	}
	out.Reasons = append(out.Reasons, c.reasons()...)
	out.Verdict = verdictOf(out.Reasons)
	return out, nil
}

// shape looks at the run itself.
func (o *OnSlope) shape(r Record) error {
	across := 0.0
	if o.Slope.AcrossPct != nil {
		across = *o.Slope.AcrossPct / 100
	}
	a, p, classes, err := slope.Shape{Stations: o.Slope.Stations, Smoothing: o.Slope.Smoothing(), Across: across}.Answer()
	if err != nil {
		return hillFault(err)
	}
	o.Shape, o.Profile, o.Classes = a, p, classes
	o.Ground = o.Slope.ground(a, float64(r.numbers.FirstSlidePct))
	return nil
}

// ground places a slope on the trade's ladder of terrain, judged on tenths of
// a percent as printed. A first slide's must end flat or rising, as measured.
func (d SlopeDetails) ground(a *slope.Answer, firstPct float64) Ground {
	tenth := quantity.Decimals(1)
	long, short := figureOf(a, "steepest_50_pct"), figureOf(a, "steepest_20_pct")
	if f, ok := a.Figure("fall_line_pct"); ok {
		long, short = max(long, f.Value), max(short, f.Value)
	}
	long, short = tenth.Round(long), tenth.Round(short)
	beginner, novice := planned("beginner"), planned("novice")
	switch {
	case long <= firstPct && short <= beginner.most && d.RunOutPct != nil && *d.RunOutPct <= 0:
		return GroundFirst
	case long <= beginner.most:
		return GroundFan
	case long <= novice.most && short <= novice.short:
		return GroundLift
	}
	return GroundBeyond
}

// Ground places the slope on the ladder of terrain, with the programme's
// number for a first slide.
func (d SlopeDetails) Ground(n Numbers) (Ground, error) {
	across := 0.0
	if d.AcrossPct != nil {
		across = *d.AcrossPct / 100
	}
	a, _, _, err := slope.Shape{Stations: d.Stations, Smoothing: d.Smoothing(), Across: across}.Answer()
	if err != nil {
		return 0, hillFault(err)
	}
	return d.ground(a, float64(n.FirstSlidePct)), nil
}

func figureOf(a *slope.Answer, id string) float64 {
	f, _ := a.Figure(id)
	return f.Value
}

// class is a class of slopes as the trade plans them.
type class struct{ most, short float64 }

// planned reads a class of the planning system that grades by 50 m and names
// short pitches; its work is S39.
func planned(name string) class {
	row, ok := source.Table("slope_grades").Where("system", "US planning").Where("class", name).Only()
	if !ok {
		panic("programme: there is no class of slopes " + name)
	}
	c := class{}
	c.most, _ = row.Number("high_pct")
	if c.short, ok = row.Number("short_pct"); !ok {
		c.short = c.most
	}
	return c
}

// skier fills in what slides.
func (o *OnSlope) skier() {
	m := o.set.Get("mass_kg", finding.NoSide, finding.Fresh)
	if m.Kind != finding.Known {
		o.Needs = append(o.Needs, "mass_kg")
		return
	}
	gear := GearMass(o.Way)
	o.Mass = slope.Known{Span: slope.Span{Value: m.X + gear.Value, Low: m.X + gear.Low, High: m.X + gear.High}, From: gear.From}
	air, err := slope.AirAt(1000)
	if o.Slope.TopM != nil {
		if at, e := slope.AirAt(*o.Slope.TopM); e == nil {
			air, err = at, nil
		}
	}
	if err != nil {
		panic("programme: the air of 1000 m is missing")
	}
	o.ask = slope.Ask{Gravity: source.Value("gravity_standard"), Friction: o.Snow.Friction, Mass: o.Mass, DragArea: slope.Upright(), Density: air}
}

// GearMass is the mass of boots, skis and outriggers, kg, as usual for grown
// people.
func GearMass(way string) slope.Known {
	out := body.Both(false)
	switch way {
	case "outriggers", "one_ski_left", "one_ski_right":
		out = body.Both(true)
	case "one_outrigger_left":
		out.Left = true
	case "one_outrigger_right":
		out.Right = true
	}
	g := body.UsualGear(out)
	k := slope.Known{From: []string{"boots_mass", "skis_mass"}}
	add := func(r quantity.Range[quantity.Kilogram]) {
		k.Value, k.Low, k.High = k.Value+float64(r.Value()), k.Low+float64(r.Low()), k.High+float64(r.High())
	}
	for _, side := range body.Sides {
		if way != "one_ski_left" && way != "one_ski_right" || way == "one_ski_"+side.Word() {
			add(g.Boot.At(side))
			add(g.Ski.At(side))
		}
		if one := g.Outrigger.At(side); one != nil {
			add(one.Mass)
			if !slices.Contains(k.From, "outrigger_mass") {
				k.From = append(k.From, "outrigger_mass")
			}
		}
	}
	return k
}

// pieces returns the run below a start.
func (o *OnSlope) pieces(start float64) ([]slope.Piece, error) {
	d := o.Slope.SlopeDetails
	if start > 0 {
		d.Stations, d.Drawn = below(o.drawn(), start), true
	}
	return d.Pieces()
}

// drawn returns the stations that count: as drawn, or as smoothed.
func (o *OnSlope) drawn() []slope.Station {
	if o.Slope.Drawn {
		return o.Slope.Stations
	}
	out := make([]slope.Station, len(o.Profile.Height))
	for i, h := range o.Profile.Height {
		out[i] = slope.Station{Distance: float64(i) * o.Profile.Spacing, Height: h}
	}
	return out
}

// below keeps what lies below a start.
func below(s []slope.Station, start float64) []slope.Station {
	var out []slope.Station
	for i, at := range s {
		if at.Distance > start && len(out) == 0 && i > 0 {
			before := s[i-1]
			t := (start - before.Distance) / (at.Distance - before.Distance)
			out = append(out, slope.Station{Distance: start, Height: before.Height + t*(at.Height-before.Height)})
		}
		if at.Distance > start {
			out = append(out, at)
		}
	}
	return out
}

// slide goes straight down from the start, with nothing that slows but the
// snow and the air, and looks at the ground after the end.
func (o *OnSlope) slide(r Record) error {
	brake, how := o.braking(r)
	o.RunOut = RunOutNeed{ThereM: o.Slope.RunOutM, Braked: how != "", How: how}
	band, err := o.bandFrom(o.StartM, bandDraws, brake)
	if err != nil {
		return err
	}
	a, got, err := band.Answer()
	if err != nil {
		return hillFault(err)
	}
	o.Band, o.Speeds = a, got
	for _, at := range got.At {
		if at.Speed.P90 > o.Worst.Speed.P90 {
			o.Worst = at
		}
	}
	if o.Slope.RunOutPct == nil || o.Slope.RunOutM == nil {
		return nil
	}
	o.RunOut.Deciles, o.RunOut.Endless = got.RunOut, got.Endless
	return o.suffices(brake)
}

// braking returns the friction with which the ground after the slope is met:
// from this student's measured stops, else the glide alone.
func (o *OnSlope) braking(r Record) (slope.Known, string) {
	var all []float64
	how := ""
	for _, st := range r.Hill.Stops {
		for _, one := range st.Trials {
			t := slope.BrakeTrial{Speed: kmh(one.SpeedKmh), Length: one.LengthM, Time: one.TimeS}
			for _, area := range []float64{o.ask.DragArea.Low, o.ask.DragArea.High} {
				all = append(all, t.Friction(math.Atan(st.Pct/100), o.ask.Gravity, slope.DragOf(o.ask.Density.Value, area, o.Mass.Value)))
			}
		}
		how = st.How
	}
	s, ok := spread(all)
	if !ok || s.Low <= 0 { // a stop that gravity alone would explain says nothing
		return o.Snow.Friction, ""
	}
	return slope.Given(s), how
}

// spread returns the mean of readings with the least and the greatest; ok is
// false where there is none.
func spread(readings []float64) (s slope.Span, ok bool) {
	if len(readings) == 0 {
		return s, false
	}
	s = slope.Span{Low: slices.Min(readings), High: slices.Max(readings)}
	for _, v := range readings {
		s.Value += v / float64(len(readings))
	}
	s.Value = min(max(s.Value, s.Low), s.High) // the mean of equal readings may miss them by a digit
	return s, true
}

func kmh(v float64) float64 { return float64(quantity.Must(quantity.KilometresPerHour(v))) }

// bandFrom asks for the band from a start to rest on the ground after the end.
func (o *OnSlope) bandFrom(start float64, draws int, brake slope.Known) (slope.BandAsk, error) {
	pieces, err := o.pieces(start)
	if err != nil {
		return slope.BandAsk{}, err
	}
	q := slope.BandAsk{Ask: o.ask, Run: slope.RunGiven{Pieces: inParts(pieces), From: o.Slope.Name}, Draws: draws, Seed: 1, SlopeSD: o.Slope.ErrorPct / 100, MuChance: o.Snow.Chance}
	if o.Slope.RunOutPct != nil {
		q.WithStop, q.RunOut, q.BrakeMu = true, math.Atan(*o.Slope.RunOutPct/100), brake
		q.Reaction = slope.Given(slope.Exactly(0))
		if o.RunOut.Braked {
			q.Reaction = slope.Sourced("reaction_time")
		}
	}
	return q, nil
}

// inParts cuts pieces into parts of a few metres, so that speeds are known
// along them and not only at their ends. The speeds are the same.
func inParts(pieces []slope.Piece) []slope.Piece {
	most := slope.Usual().Spacing
	var out []slope.Piece
	for _, p := range pieces {
		n := max(int(math.Ceil(p.Length/most)), 1)
		p.Length /= float64(n)
		for range n {
			out = append(out, p)
		}
	}
	return out
}

// suffices finds by halving the highest start for which the ground there is
// long enough nine times of ten.
func (o *OnSlope) suffices(brake slope.Known) error {
	enough := func(start float64) (bool, error) {
		q, err := o.bandFrom(start, roughDraws, brake)
		if err != nil {
			return false, err
		}
		_, got, err := q.Answer()
		if err != nil {
			return false, hillFault(err)
		}
		return got.Endless <= oneOfTen && got.RunOut.P90 <= *o.RunOut.ThereM, nil
	}
	length := o.Slope.LengthM()
	low, high := length-1, 0.0 // from one that may do to the top
	ok, err := enough(low)
	if err != nil || !ok {
		return err
	}
	if ok, err = enough(high); err != nil {
		return err
	}
	for !ok && low-high > 1 {
		middle := (low + high) / 2
		done, err := enough(middle)
		if err != nil {
			return err
		}
		if done {
			low = middle
		} else {
			high = middle
		}
	}
	if ok {
		low = high
	}
	o.RunOut.Suffices, o.RunOut.HasSuffices = math.Floor(length-low), true
	return nil
}

// fan asks for both ladders on the 50 m below the start.
func (o *OnSlope) fan(step map[slope.Side]int) error {
	theta := o.BelowStart()
	if theta.Low <= 0 {
		return nil // no slope to turn on
	}
	q := slope.FanAsk{Ask: o.ask, Sides: map[slope.Side]slope.FanSideAsk{}}
	q.Slope = slope.Given(theta)
	for _, side := range slope.Sides {
		s := slope.UsualFanSide()
		s.Step = step[side]
		q.Sides[side] = s
	}
	a, ladders, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	o.Fan, o.Ladders = a, ladders
	for i, l := range ladders {
		wide := &o.WideLeftM
		if i == 1 {
			wide = &o.WideRightM
		}
		usual := 0.0
		for _, s := range l.Trade {
			if s.Step <= max(l.Step, 1) {
				*wide = max(*wide, math.Abs(s.StopLeft.Low), math.Abs(s.StopLeft.High))
				usual = max(usual, math.Abs(s.StopLeft.Value))
			}
		}
		o.WideM += usual
	}
	return nil
}

// BelowStart returns the slope θ in rad of the 50 m below the start, with the fall across,
// and with twice the error of the gradients to each side.
func (o *OnSlope) BelowStart() slope.Span {
	const window = 50
	length := min(window, o.Profile.Length()-o.StartM)
	along := (o.Profile.At(o.StartM) - o.Profile.At(o.StartM+length)) / length
	across := 0.0
	if o.Slope.AcrossPct != nil {
		across = *o.Slope.AcrossPct / 100
	}
	at := func(along float64) float64 {
		theta, _ := slope.Grade{Along: along, Across: across}.Steepest()
		if across == 0 && along < 0 {
			return -theta
		}
		return theta
	}
	err := 2 * o.Slope.ErrorPct / 100
	return slope.Span{Value: at(along), Low: at(along - err), High: at(along + err)}
}

// Now returns the step a side is on; ok is false where it is on none.
func (o *OnSlope) Now(side slope.Side) (s slope.FanStep, ok bool) {
	for _, l := range o.Ladders {
		if l.Side == side && l.Step > 0 {
			return l.Trade[l.Step-1], true
		}
	}
	return s, false
}

// SkiingMS is how fast the student skis at the most on the steps they are on,
// m/s.
func (o *OnSlope) SkiingMS() float64 {
	v := 0.0
	for _, side := range slope.Sides {
		if s, ok := o.Now(side); ok {
			v = max(v, s.Peak.High)
		}
	}
	return v
}

// StartFor returns where a straight run must start for a wanted speed at the
// end, as a limit.
func (o *OnSlope) StartFor(wantedKmh float64) (*slope.Answer, error) {
	pieces, err := o.pieces(0)
	if err != nil {
		return nil, err
	}
	a, err := slope.StartAsk{Ask: o.ask, Run: slope.RunGiven{Pieces: pieces, From: o.Slope.Name}, Wanted: kmh(wantedKmh)}.Answer()
	return a, hillFault(err)
}

// Handler is who holds the reins.
type Handler struct {
	MassKG float64
	Mu     slope.Span // friction of their braking, as measured
	SlackM float64
	Lines  int
}

// Reins returns what the line asks of student and handler on the steepest 50 m.
func (o *OnSlope) Reins(by Handler) (*slope.Answer, error) {
	steep := figureOf(o.Shape, "steepest_50_pct")
	if f, ok := o.Shape.Figure("fall_line_pct"); ok {
		steep = max(steep, f.Value)
	}
	q := slope.Tethered{Gravity: o.ask.Gravity, Slope: slope.Given(slope.Exactly(math.Atan(steep / 100))), StudentMass: o.Mass, StudentFriction: o.Snow.Friction,
		HandlerMass: slope.Given(slope.Exactly(by.MassKG)), HandlerFriction: slope.Given(by.Mu), Lines: by.Lines, Hands: 2, Slack: by.SlackM, Density: o.ask.Density}
	if by.SlackM > 0 {
		q.Stiffness = slope.Sourced("line_stiffness")
	}
	a, err := q.Answer()
	return a, hillFault(err)
}
