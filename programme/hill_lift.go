package programme

import (
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/core/source"
)

// OnLift is a student at one lift of the hill.
type OnLift struct {
	Lift  LiftState
	Line  lift.Line
	Rider lift.Rider
	Ask   lift.Ask
	// Timed tells that pushes of this student were timed for this lift; without
	// them Load is empty.
	Timed  bool
	Times  LiftTimesState
	Speed  quantity.Range[quantity.MetrePerSecond] // of the pushes
	Load   lift.Reach
	Unload *lift.Reach    // nil where it was not timed
	Stand  *lift.Standing // nil where standing up was not timed or the zone not measured
	// Limit is the slowest of the speeds to name at load and unload; HasLimit
	// is false where none can be named.
	Limit     speedMS
	HasLimit  bool
	Published []lift.Published
	Taken     []string // what was taken and not measured
	Verdict   HillVerdict
	Reasons   []HillReason
}

// Says returns the verdict on a lift in words.
func (o *OnLift) Says() string {
	return map[HillVerdict]string{
		HillHeld:    "No lift today.",
		HillAgainst: "Not at this speed: only slower, or stopped.",
		HillOpen:    "Not settled: something has to be known first. Until then no lift.",
		HillClear:   "Nothing that is recorded speaks against it. The lift staff decide.",
	}[o.Verdict]
}

// LiftOn puts the student of a record at a lift, as of the record's day. It is
// pure. A speed found is a limit to name, never one to run at.
func LiftOn(t *decide.Table, r Record, h Hill, id ID) (*OnLift, error) {
	l, ok := h.LiftByID(id)
	if !ok {
		return nil, Refuse(CodeNotFound, "The programme's hill has no such lift.")
	}
	out := &OnLift{Lift: l}
	var err error
	if out.Line, err = l.Line(); err != nil {
		return nil, err
	}
	d := DecisionOf(t, r)
	a := t.Decide(d.Input)
	out.Rider = lift.FromAnswer(a, d.Input.Findings, insulinEvery(t))
	out.Rider.Bar = l.Bar
	if out.Times, out.Timed = r.Hill.TimesAt(id); out.Timed {
		out.Rider.Harness = out.Times.Harness
		if err := out.reach(); err != nil {
			return nil, err
		}
	}
	out.Rider.CannotBend = stiffJoints(d.Input.Findings)
	var at *lift.Reach
	if out.Timed {
		at = &out.Load
		if out.HasLimit && out.Limit < at.Limit { // the unload asks for less
			slower := *at
			slower.Limit, slower.Verdict = out.Limit, lift.Tight
			at = &slower
		}
	}
	if out.Ask, err = lift.Asking(out.Rider, at); err != nil {
		return nil, hillFault(err)
	}
	if out.Published, err = lift.Compare(l.What, out.Line, false, 0); err != nil {
		return nil, hillFault(err)
	}
	out.weigh()
	return out, nil
}

func insulinEvery(t *decide.Table) quantity.Second {
	const minutes = 60
	for _, s := range t.Settings() {
		if s.Name == "insulin_check_h" {
			return quantity.Must(quantity.Minutes(s.Value * minutes))
		}
	}
	return 0
}

// stiffJoints are the joints that do not bend and that patrol must know of, as
// recorded: held by a brace, or by a contracture.
func stiffJoints(fs finding.Set) []string {
	var out []string
	for _, side := range []finding.Side{finding.Left, finding.Right} {
		switch level(fs, "brace", side) {
		case "long_locked":
			out = append(out, side.Word()+" knee and ankle")
		case "ankle":
			out = append(out, side.Word()+" ankle")
		}
	}
	if c := fs.Get("contracture_deg", finding.NoSide, finding.Fresh); c.Kind == finding.Known && c.X > 0 {
		out = append(out, "a knee or hip does not straighten")
	}
	return out
}

// level returns the level of a finding, "" where it is not known.
func level(fs finding.Set, id string, side finding.Side) string {
	v := fs.Get(id, side, finding.Fresh)
	d, ok := finding.Lookup(id)
	if !ok || v.Kind != finding.Known || len(d.Levels) == 0 || int(v.X) >= len(d.Levels) {
		return ""
	}
	return d.Levels[int(v.X)].ID
}

// rangeOf returns readings as a range, or what is usual where there are none.
func rangeOf[T quantity.Scalar](readings []float64, usual slope.Span) (quantity.Range[T], error) {
	s, ok := spread(readings)
	if !ok {
		s = usual
	}
	r, err := quantity.NewRange(T(s.Value), T(s.Low), T(s.High))
	return r, hillFault(err)
}

// taken notes something that was not measured.
func (o *OnLift) taken(missing bool, words string) {
	if missing {
		o.Taken = append(o.Taken, words)
	}
}

// reach sets what this student needs against what the lift leaves.
func (o *OnLift) reach() error {
	var pushes []quantity.Second
	for _, s := range o.Times.PushS {
		pushes = append(pushes, quantity.Second(s))
	}
	var err error
	if o.Speed, err = lift.Measured(quantity.Metre(o.Times.PushM), pushes); err != nil {
		return hillFault(err)
	}
	carrier := lift.Carrier()
	if len(o.Lift.CarrierM) > 0 {
		if carrier, err = rangeOf[quantity.Metre](o.Lift.CarrierM, slope.Span{}); err != nil {
			return err
		}
	}
	o.taken(len(o.Lift.CarrierM) == 0, "The length of a carrier along the line: 1.0 to 2.0 m, proposed.")
	o.taken(len(o.Lift.WaitM) == 0, "The distance from the wait line to the load line: 2 to 3 m, common practice.")
	o.taken(len(o.Times.SettleS) == 0, "No time to settle before sitting.")
	wait, err := rangeOf[quantity.Metre](o.Lift.WaitM, slope.Between(2, 3))
	if err != nil {
		return err
	}
	settle, err := rangeOf[quantity.Second](o.Times.SettleS, slope.Span{})
	if err != nil {
		return err
	}
	if o.Load, err = lift.Between(o.Line, lift.Student{Distance: wait, Speed: o.Speed, Settle: settle}, carrier, lift.Reserve()); err != nil {
		return hillFault(err)
	}
	o.Limit, o.HasLimit = o.Load.Limit, o.Load.HasAsk
	return o.unload(carrier)
}

// unload does the same for standing up and getting clear.
func (o *OnLift) unload(carrier quantity.Range[quantity.Metre]) error {
	stand, err := rangeOf[quantity.Second](o.Times.StandS, slope.Span{})
	if err != nil {
		return err
	}
	usual := source.Value("unload_clear")
	clear, err := rangeOf[quantity.Metre](o.Lift.ClearM, slope.Exactly(usual))
	if err != nil {
		return err
	}
	if len(o.Times.ClearS) > 0 {
		var times []quantity.Second
		for _, s := range o.Times.ClearS {
			times = append(times, quantity.Second(s))
		}
		o.taken(len(o.Lift.ClearM) == 0, "The distance from standing up to the clear place: 10 m, common practice.")
		o.taken(len(o.Times.StandS) == 0, "No time to stand up.")
		speed, err := lift.Measured(clear.Value(), times)
		if err != nil {
			return hillFault(err)
		}
		r, err := lift.Between(o.Line, lift.Student{Distance: clear, Speed: speed, Settle: stand}, carrier, lift.Reserve())
		if err != nil {
			return hillFault(err)
		}
		o.Unload = &r
		o.slower(r.Limit, r.HasAsk)
	}
	if len(o.Times.StandS) > 0 && len(o.Lift.ZoneM) > 0 && o.Line.Speed > 0 {
		zone, err := rangeOf[quantity.Metre](o.Lift.ZoneM, slope.Span{})
		if err != nil {
			return err
		}
		s, err := lift.StandUp(o.Line, zone, stand, 0)
		if err != nil {
			return hillFault(err)
		}
		o.Stand = &s
		o.slower(s.Limit, true)
	}
	return nil
}

func (o *OnLift) slower(limit speedMS, has bool) {
	if has && (!o.HasLimit || limit < o.Limit) {
		o.Limit, o.HasLimit = limit, true
	}
}

// weigh says what speaks against this lift.
func (o *OnLift) weigh() {
	add := func(code string, w HillVerdict, say string, basis ...string) {
		o.Reasons = append(o.Reasons, HillReason{Code: code, Weighs: w, Say: say, Basis: basis})
	}
	for _, i := range o.Ask.Refusals {
		add(i.Code, HillHeld, i.Say, i.Basis...)
	}
	if o.Lift.Ended {
		add("ended", HillAgainst, o.Lift.Name+" is no longer used.")
	}
	for _, i := range o.Ask.Waits {
		w := HillClear
		if i.Code == "ask_lowered" || strings.HasPrefix(i.Code, "open_") {
			w = HillOpen
		}
		add(i.Code, w, i.Say, i.Basis...)
	}
	switch {
	case !o.Timed:
		add("not_timed", HillOpen, "Nobody has timed this student for this lift: time pushes over a known distance, off the lift.", "CP")
	case o.Load.Verdict == lift.NotReached:
		add("load_not_reached", HillAgainst, "The load line is not reached between two carriers at this speed.", "D")
	case o.Load.Verdict == lift.Tight:
		add("load_tight", HillAgainst, "The load line is not reached between two carriers every time at this speed.", "D")
	}
	if o.Unload != nil && o.Unload.Verdict != lift.Reached {
		add("unload_tight", HillAgainst, "At the unload the student is not clear before the next carrier every time.", "D")
	}
	if o.Stand != nil && o.Stand.Verdict != lift.Reached {
		add("stand_tight", HillAgainst, "The zone to stand up in goes by faster than the student stands up every time.", "D")
	}
	if o.HasLimit && o.Lift.SlowestMS != nil && speedMS(*o.Lift.SlowestMS) > o.Limit {
		add("cannot_slow", HillAgainst, "The lift does not run that slowly: ask for a stop at load and unload.", "D")
	}
	o.Verdict = verdictOf(o.Reasons)
}
