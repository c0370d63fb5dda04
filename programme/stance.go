package programme

import (
	"cmp"
	"errors"
	"slices"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/fit"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
)

// StancePlaces are the situations of a lesson in which a stance is looked at,
// as [stance.Situations] names them, on the steepest slope that is planned for
// beginners. They carry the works they stand on.
func StancePlaces() []StancePlace {
	slope, slopeBy := stanceSlope()
	taken, takenBy := stance.Glide()
	list, err := stance.Situations(slope, taken)
	if err != nil {
		panic(err) // the figures are published ones; a test goes through them
	}
	var out []StancePlace
	for _, one := range list {
		p := StancePlace{Situation: one, Slope: slope, Basis: []string{slopeBy}}
		if one.Lean == (stance.Lean{}) {
			p.Slope, p.Basis = 0, nil
		}
		switch one.Code {
		case "straight_run":
			p.Along, p.Basis = slope, append(p.Basis, takenBy)
		case "waiting_down":
			p.Along = slope
		}
		out = append(out, p)
	}
	return out
}

// StancePlace is one situation.
type StancePlace struct {
	stance.Situation
	Slope quantity.Radian // of the hill; 0 on the flat
	Along quantity.Radian // of the snow along the skis, downhill ahead
	Basis []string
}

// stanceSlope returns the steepest that is planned for beginners, and the work
// that says so.
func stanceSlope() (quantity.Radian, string) {
	r, ok := source.Table("slope_grades").Where("system", "US planning").Where("class", "beginner").Only()
	if !ok {
		panic("programme: the slope for beginners is missing")
	}
	pct, _ := r.Number("high_pct")
	return quantity.Must(quantity.GradePercent(pct)), r.Ref()
}

// Stood is a record's student posed in the way that was decided.
type Stood struct {
	Way, Label string
	// Needs are findings without which nobody can be posed; the rest is then
	// empty.
	Needs  []string
	Fit    fit.Sheet
	Posed  *stance.Posed // on level snow
	Loads  *StanceLoads  // what each leg and arm is known to carry
	Flags  []MeasureFlag // what stands out among what was measured
	posing stance.Posing
	set    finding.Set
	m      Measures
	share  *quantity.Range[quantity.Ratio]
}

// StanceLoads tells which strengths are not known.
type StanceLoads struct {
	Legs, Arms []finding.Side
}

// Balance is a stance at one place.
type Balance struct {
	Place   StancePlace
	Posed   *stance.Posed // as the student stands there: upright
	Result  stance.Result
	Changes []stance.Change // what could be changed; filled in where it was asked for
	// Scales says what two bathroom scales were taken for; "" where there are
	// none.
	Scales string
	Basis  []string
}

// First returns the direction in which the least lean tips the body over the
// edge of its support, with that lean. ok is false outside the support.
func (b Balance) First() (to stance.Direction, lean quantity.Range[quantity.Radian], ok bool) {
	if b.Result.Margin.Value() <= 0 {
		return 0, lean, false
	}
	least := slices.MinFunc(b.Result.Rooms[:], func(x, y stance.Room) int { return cmp.Compare(x.Tips.Value(), y.Tips.Value()) })
	return least.Toward, least.Tips, true
}

// StanceOf poses the student of a record, as of its day, in the way the rules
// decide, with what was measured for the newest set-up sheet that is not void.
// It is pure. It refuses while the way of skiing is open, and for sitting.
func StanceOf(t *decide.Table, r Record) (*Stood, error) {
	sheet, has := r.LatestSetUp()
	has = has && sheet.Status != SetUpVoid
	var f Fitting
	if has {
		f = r.newest(sheet)
	}
	p, err := proposing(t, r, f)
	if err != nil {
		return nil, err
	}
	out := &Stood{Way: p.way, set: p.set, m: p.m}
	if x, ok := p.a.Axis("way"); ok {
		out.Label = x.Label
	}
	for _, id := range []string{"height_cm", "mass_kg"} {
		if _, ok := p.number(id, finding.NoSide); !ok {
			out.Needs = append(out.Needs, id)
		}
	}
	way, ok := stance.WayOf(p.way)
	if !ok {
		return nil, Fail(CodeInternal, nil, "There is no stance for this way of skiing.")
	}
	if len(out.Needs) > 0 {
		return out, nil
	}
	in, err := p.input(t)
	if err != nil {
		return nil, stanceFault(err)
	}
	if has {
		for _, s := range body.Sides {
			for _, item := range []string{"outrigger_handle", "slider_handle"} {
				if _, m, ok := sheet.Item(item, s.Word()); ok && m.Done && m.Value != nil {
					*in.HandleNow.Of(s) = metres(m.Value)
				}
			}
		}
	}
	out.posing = PosingOf(in, way, p.set, p.m)
	if out.share, err = ShareOf(p.set, p.m); err != nil {
		return nil, err
	}
	if out.Fit, err = fit.Propose(in); err != nil {
		return nil, stanceFault(err)
	}
	if out.Posed, err = out.posing.Pose(); err != nil {
		return nil, stanceFault(err)
	}
	out.Loads, out.Flags = out.unknown(), FlagsOf(p.set, p.m)
	return out, nil
}

// newest returns what was read for a sheet, without what was measured anew
// since.
func (r Record) newest(sheet SetUpState) Fitting {
	f := fittingOf(sheet.Taken)
	for _, x := range []struct {
		key, side string
		read      **float64
	}{{"wrist_crease_boots_mm", "left", &f.CreaseLeftCM}, {"wrist_crease_boots_mm", "right", &f.CreaseRightCM}, {"hip_breadth_mm", "none", &f.HipBreadthCM}} {
		if m, ok := r.Measures[MeasureKey{x.key, x.side}]; ok && m.Seq > sheet.Seq {
			*x.read = nil
		}
	}
	return f
}

// fittingOf reads back what was read for a proposal.
func fittingOf(taken []TakenReading) Fitting {
	var f Fitting
	for _, t := range taken {
		v := t.Value
		switch {
		case t.Measure == creaseTaken && t.Side == "left":
			f.CreaseLeftCM = &v
		case t.Measure == creaseTaken && t.Side == "right":
			f.CreaseRightCM = &v
		case t.Measure == hipsTaken:
			f.HipBreadthCM = &v
		}
	}
	return f
}

func stanceFault(err error) error {
	var b *body.Error
	var s *stance.Error
	switch {
	case errors.As(err, &b):
		return Refuse(CodeConflict, "%s", b.Sentence)
	case errors.As(err, &s):
		return Refuse(CodeConflict, "%s", s.Sentence)
	}
	return Fail(CodeInternal, err, "The stance could not be computed.")
}

// unknown lists the legs and arms in use whose strength nobody tested.
func (s *Stood) unknown() *StanceLoads {
	out := &StanceLoads{}
	for _, side := range body.Sides {
		_, weighed := s.m.Number("leg_most_kg", side)
		if s.Posed.Pose.Standing.At(side) && !weighed && !stance.Leg(s.set, side, 1).Known {
			out.Legs = append(out.Legs, side)
		}
		_, pushed := s.m.Number("arm_most_kg", side)
		if _, ok := stance.ArmScore(s.set, side); !ok && !pushed && s.Posed.Handle.At(side) != nil {
			out.Arms = append(out.Arms, side)
		}
	}
	return out
}

// In balances the student at a place, standing upright there; changes asks for
// what could be changed.
func (s *Stood) In(place StancePlace, changes bool) (Balance, error) {
	return s.balance(s.posing, place, changes)
}

func (s *Stood) balance(posing stance.Posing, place StancePlace, changes bool) (Balance, error) {
	b := Balance{Place: place, Basis: slices.Clone(place.Basis)}
	posing.Against = place.Lean
	posed, err := posing.Pose()
	if err != nil {
		return b, stanceFault(err)
	}
	b.Posed = posed
	st, err := posed.Stance()
	if err != nil {
		return b, stanceFault(err)
	}
	st.Lean = place.Lean.Met()
	LimitsOf(&st, s.set, s.m)
	if b.Scales, err = Shared(&st, s.share); err != nil {
		return b, stanceFault(err)
	}
	if b.Result, err = stance.Analyse(st); err != nil {
		return b, stanceFault(err)
	}
	b.Basis = append(b.Basis, b.Result.Basis...)
	if changes {
		if b.Changes, err = stance.Changes(st); err != nil {
			return b, stanceFault(err)
		}
	}
	return b, nil
}

// Shared puts into a stance the share of the left foot that two scales showed,
// and says what it was taken for; "" where there is none. With an aid it says
// how the feet share their load; without one it says where the weight acts
// between them. A share with which the stance is held less surely than without
// is left out, and that is said.
func Shared(st *stance.Stance, share *quantity.Range[quantity.Ratio]) (says string, err error) {
	var feet []stance.Contact
	for _, c := range st.Contacts {
		if c.Kind == stance.Ski {
			feet = append(feet, c)
		}
	}
	if share == nil || len(feet) != 2 {
		return "", nil
	}
	left := quantity.Decimals(0).Text(share.Value().Percent())
	if stance.AidOf(st.Contacts) == stance.NoAid {
		x := func(left quantity.Ratio) quantity.Metre { // of the centre of mass, for the weight to act there
			acts := feet[0].Rear.X*quantity.Metre(left) + feet[1].Rear.X*quantity.Metre(1-left)
			return acts - st.Centre.Height.Value()*quantity.Metre(st.Lean.Right.Value())
		}
		at, err := quantity.NewRange(x(share.Value()), x(share.High()), x(share.Low()))
		st.Centre.X = at
		return "By two scales the left foot carries " + left + " % of the weight: it is taken to act there between the feet.", err
	}
	free, err := stance.Analyse(*st)
	if err != nil {
		return "", err
	}
	with := *st
	with.LeftShare = share
	r, err := stance.Analyse(with)
	if err != nil {
		return "", err
	}
	if r.Verdict < free.Verdict {
		return "By two scales the left foot carries " + left + " % of what the feet carry. With that share it is not held as surely as it can be, so the feet are left to share otherwise.", nil
	}
	*st = with
	return "By two scales the left foot carries " + left + " % of what the feet carry; that is taken here.", nil
}

// Doubt is something about a stance that was taken and not measured, with how
// much of the margin hangs on it.
type Doubt struct {
	ID   string
	What string // what was taken: "lean of the trunk"
	// From and To are how far off it may be, in Unit.
	From, To float64
	Unit     string // "degrees" or "cm"
	Do       string // how to narrow it
	// Margin is how far the margin moves over that, from the least to the most;
	// Arms the same of the least arm load, as a share of the weight.
	Margin quantity.Metre
	Arms   quantity.Ratio
}

// Doubts returns what is taken and not measured, that on which most of the
// margin hangs first. Each is tried by posing the student anew.
func (s *Stood) Doubts(place StancePlace) ([]Doubt, error) {
	now, err := s.In(place, false)
	if err != nil {
		return nil, err
	}
	var out []Doubt
	try := func(d Doubt, set func(p *stance.Posing, to float64)) {
		least, most := room(now), room(now)
		armsLeast, armsMost := arms(now, now), arms(now, now)
		for _, to := range []float64{d.From, d.To} {
			p := s.posing
			set(&p, to)
			b, err := s.balance(p, place, false)
			if err != nil {
				continue // out of what a body does; nothing to say of it
			}
			least, most = min(least, room(b)), max(most, room(b))
			armsLeast, armsMost = min(armsLeast, arms(b, now)), max(armsMost, arms(b, now))
		}
		if d.Margin, d.Arms = most-least, armsMost-armsLeast; float64(d.Margin) >= tellingM {
			out = append(out, d)
		}
	}
	s.tryStance(try)
	s.tryGear(try)
	slices.SortStableFunc(out, func(a, b Doubt) int { return cmp.Compare(b.Margin, a.Margin) })
	return out, nil
}

// tellingM is the least change of a margin that is worth telling, a millimetre.
const tellingM = 0.001

// room is the distance inside what legs and arms carry, or inside the support
// where they carry nowhere.
func room(b Balance) quantity.Metre {
	if b.Result.RegionEmpty {
		return b.Result.Margin.Value()
	}
	return b.Result.Reserve.Value()
}

// arms is the least arm load as a share of the weight, or otherwise's where the
// stance is not held.
func arms(b, otherwise Balance) quantity.Ratio {
	if b.Result.Verdict == stance.NotHeld {
		b = otherwise
	}
	return quantity.Ratio(b.Result.Arms.Value() / b.Result.Weight)
}

// trying tries a doubt at both its ends.
type trying func(d Doubt, set func(p *stance.Posing, to float64))

// figured fills in how far off a figure may be.
func figured(id, what, unit, do, figure string) Doubt {
	f, ok := source.Figure(figure)
	if !ok {
		panic("programme: there is no figure " + figure)
	}
	return Doubt{ID: id, What: what, From: f.Low, To: f.High, Unit: unit, Do: do}
}

func (s *Stood) tryStance(try trying) {
	st := s.posing.Fit.Stance
	rad := func(deg float64) *quantity.Radian { v := quantity.Must(quantity.Degrees(deg)); return &v }
	if st.Trunk == nil {
		try(figured("trunk", "lean of the trunk", "degrees", "Look from the side in the skiing stance, with an angle gauge along the back.", "stance_trunk"),
			func(p *stance.Posing, to float64) { p.Fit.Stance.Trunk = rad(to) })
	}
	if st.Ankle.Left == nil && st.Ankle.Right == nil {
		try(figured("ankle", "lean of the shins", "degrees", "Measure the shin against the vertical, boots buckled, with an angle gauge.", "stance_ankle"),
			func(p *stance.Posing, to float64) { p.Fit.Stance.Ankle = body.Both(rad(to)) })
	}
	if st.Knee.Left == nil && st.Knee.Right == nil {
		try(figured("knee", "bend of the knees", "degrees", "Look from the side in the skiing stance, with an angle gauge at the knee.", "stance_knee"),
			func(p *stance.Posing, to float64) { p.Fit.Stance.Knee = body.Both(rad(to)) })
	}
	if apart := s.Posed.Body.Frame().HipsApart; st.Width == nil && len(standingSides(s.Posed)) == 2 {
		const both = 2 // standard errors to each side
		d := Doubt{ID: "width", What: "distance between the feet", From: 100 * max(apart.Value-both*apart.SD, 0), To: 100 * (apart.Value + both*apart.SD), Unit: "cm",
			Do: "Measure between the middles of the boots in the skiing stance."}
		try(d, func(p *stance.Posing, to float64) { p.Fit.Stance.Width = metres(&to) })
	}
}

func standingSides(p *stance.Posed) []finding.Side {
	var out []finding.Side
	for _, s := range body.Sides {
		if p.Pose.Standing.At(s) {
			out = append(out, s)
		}
	}
	return out
}

func (s *Stood) tryGear(try trying) {
	if s.posing.BootSole == nil {
		foot := 100 * s.Posed.Body.Frame().FootLength.Value
		d := figured("boot_sole_mm", "length of the boot soles", "cm", "Read it on the heel of the boot.", "sole_over_foot")
		d.From, d.To = foot+d.From/10, foot+d.To/10
		try(d, func(p *stance.Posing, to float64) { p.BootSole = metres(&to) })
	}
	for _, side := range body.Sides {
		for _, id := range []string{"outrigger_handle", "slider_handle"} {
			item, ok := s.Fit.Item(id, side)
			if !ok || !item.Known || s.Posed.Handle.At(side) == nil || s.posing.Fit.HandleNow.At(side) != nil {
				continue
			}
			d := Doubt{ID: "handle_" + side.Word(), What: side.Word() + " handle", From: item.Low / 10, To: item.High / 10, Unit: "cm", Do: "Measure it on the person, on the set-up sheet."}
			try(d, func(p *stance.Posing, to float64) { *p.Fit.HandleNow.Of(side) = metres(&to) })
		}
	}
	if s.Posed.Runner.Left == nil && s.Posed.Runner.Right == nil {
		return
	}
	const do = "Measure it on the snow in the skiing stance."
	in := s.posing.Fit
	measured := func(of body.Pair[*quantity.Metre]) bool { // on every side that has a runner
		for _, side := range body.Sides {
			if s.Posed.Runner.At(side) != nil && of.At(side) == nil {
				return false
			}
		}
		return true
	}
	if !measured(in.RunnerAhead) {
		try(figured("runner_ahead", "outrigger runners ahead of the toe piece", "cm", do, "runner_ahead_of_toe_piece"),
			func(p *stance.Posing, to float64) { p.Fit.RunnerAhead = body.Both(metres(&to)) })
	}
	if !measured(in.RunnerOutside) {
		try(figured("runner_outside", "outrigger runners outside the skis", "cm", do, "runner_outside_ski"),
			func(p *stance.Posing, to float64) { p.Fit.RunnerOutside = body.Both(metres(&to)) })
	}
}
