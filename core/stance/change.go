package stance

import (
	"cmp"
	"math"
	"slices"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Change is one thing to try on a stance, and what it buys. The steps are the
// figures try_*; none is advice until somebody has looked at the student.
type Change struct {
	Code     string
	Sentence string
	Verdict  Verdict         // with the change
	Reserve  quantity.Metre  // distance inside what legs and arms can carry, with the change
	Buys     quantity.Metre  // of that distance
	Carried  quantity.Ratio  // largest share of the weight that can be carried in that place
	Arms     quantity.Newton // least the arms carry together; 0 where it is not held
	Force    quantity.Newton // of a helper, where one is the change; 0 otherwise
	Basis    []string
}

// nothing stands for the reserve of a stance that carries nowhere.
const nothing = -1e6

// Changes returns what could be changed on a stance, what buys most first. Only
// what buys something is listed; what would keep the stance as it is, is not.
// What is bought is counted by the limits as they are taken, or, where those
// hold the stance already, by what was shown that legs and arms carry.
func Changes(st Stance) ([]Change, error) {
	tr, err := trying(st)
	if err != nil {
		return nil, err
	}
	tr.now.tryGear(tr.add)
	tr.now.tryBody(tr.add)
	return tr.list(), nil
}

// trial tries changes on a stance.
type trial struct {
	now     Stance
	solver  Solver
	by      trust
	reserve float64
	carried float64
	out     []Change
}

func trying(st Stance) (*trial, error) {
	if err := st.check(); err != nil {
		return nil, err
	}
	t := &trial{now: st}
	var held bool
	if t.reserve, t.carried, held = t.solver.reserve(&st, asTaken); held {
		t.by = shown
		t.reserve, t.carried, _ = t.solver.reserve(&st, shown)
	}
	return t, nil
}

// add takes a change where it buys something.
func (t *trial) add(code, sentence, basis string, with Stance) {
	if with.check() != nil {
		return
	}
	reserve, carries, held := t.solver.reserve(&with, t.by)
	if reserve <= t.reserve+sameWithin && carries <= t.carried+heldWithin {
		return
	}
	c := Change{Code: code, Sentence: sentence, Verdict: t.solver.verdict(&with), Carried: quantity.Ratio(carries), Basis: []string{"D", basis}}
	if reserve > nothing {
		c.Reserve = quantity.Metre(reserve)
		if t.reserve > nothing {
			c.Buys = quantity.Metre(reserve - t.reserve)
		}
	}
	if held {
		p := with.problemBy(with.acts().exact(), t.by)
		t.solver.Load(&p)
		c.Arms = quantity.Newton(t.solver.LeastArms() * float64(with.Weight()))
	}
	t.out = append(t.out, c)
}

// list returns what buys something, what buys most first, and what a helper
// would have to do last.
func (t *trial) list() []Change {
	out := t.out
	slices.SortStableFunc(out, func(a, b Change) int {
		return cmp.Or(cmp.Compare(b.Verdict, a.Verdict), cmp.Compare(b.Buys, a.Buys), cmp.Compare(b.Carried, a.Carried))
	})
	if h, ok := t.helper(); ok {
		out = append(out, h)
	}
	return out
}

// reserve returns the distance inside the region, the share of the weight that
// can be carried, and whether that is all, at the middle of what the centre of
// mass may be.
func (s *Solver) reserve(st *Stance, t trust) (reserve, carried float64, held bool) {
	p := st.problemBy(st.acts().exact(), t)
	s.Load(&p)
	carried = min(1, s.Carried())
	if held = s.Held(); held {
		carried = 1
	}
	var g polygon
	s.region(&p, &g)
	reserve = nothing
	if g.n > 0 {
		reserve, _ = g.margin(vec{p.X[0], p.Y[0]})
	}
	return reserve, carried, held
}

// verdict judges a stance by all that is open about it, as Analyse does.
func (s *Solver) verdict(st *Stance) Verdict {
	b := st.acts()
	if _, some := s.carried(st, b, notOut); !some {
		return NotHeld
	}
	for _, c := range b.corners() {
		if _, held := s.carried(st, box{c, c, c}, shown); !held {
			return Partly
		}
	}
	return Held
}

// clone returns a copy whose contacts can be moved.
func (s *Stance) clone() Stance {
	out := *s
	out.Contacts = slices.Clone(s.Contacts)
	return out
}

// moved returns the stance with the contacts of a kind moved: out is away from
// the middle.
func (s *Stance) moved(k Kind, out, forward float64) Stance {
	with := s.clone()
	for i := range with.Contacts {
		c := &with.Contacts[i]
		if c.Kind != k {
			continue
		}
		dx := quantity.Metre(out)
		if c.Side == finding.Left {
			dx = -dx
		}
		for _, p := range []*Point{&c.Rear, &c.Front} {
			p.X, p.Y = p.X+dx, p.Y+quantity.Metre(forward)
		}
	}
	return with
}

func metres(id string, unit float64) float64 { return source.Value(id) * unit }

// Sizes of the units of the figures, in metres.
const (
	centimetre = 1e-2
	millimetre = 1e-3
)

type adding func(code, sentence, basis string, with Stance)

// tryGear tries other places of the contacts, and other gear.
func (s *Stance) tryGear(try adding) {
	step := metres("try_outrigger", centimetre)
	cm := quantity.Decimals(0).Text(step / centimetre)
	aid := AidOf(s.Contacts)
	if aid == OneHand || aid == Pair {
		for _, m := range []struct {
			code, word   string
			out, forward float64
		}{{"outriggers_wider", "further out", step, 0}, {"outriggers_ahead", "further ahead", 0, step}, {"outriggers_back", "further back", 0, -step}} {
			with := s.moved(Runner, m.out, m.forward)
			try(m.code, "Set the outriggers "+cm+" cm "+m.word+s.shaftsFor(&with)+".", "try_outrigger", with)
		}
		s.tryLonger(try)
	}
	if s.has(Ski, finding.Left) && s.has(Ski, finding.Right) {
		feet := metres("try_feet", centimetre)
		try("feet_wider", "Stand with each foot "+quantity.Decimals(0).Text(feet/centimetre)+" cm further out; never against a hip at risk.", "try_feet", s.moved(Ski, feet, 0))
	}
	if aid == OneHand {
		for _, c := range s.Contacts {
			if c.Kind != Runner {
				continue
			}
			with, other := s.clone(), c
			other.Side = c.Side.Other()
			other.Rear.X, other.Front.X = -c.Rear.X, -c.Front.X
			with.Contacts = append(with.Contacts, other)
			with.Arms = s.pairOf(c.Limit)
			try("second_outrigger", "Give the other hand an outrigger too, if it can hold one as well as the first.", "arms_most_pair", with)
		}
	}
	if aid != Slider {
		try("slider", "Stand in a slider instead.", "arms_most_frame", s.inSlider())
	}
}

// pairOf returns the limit of two arms that are both as strong as one.
func (s *Stance) pairOf(one Limit) Limit {
	return ArmsLimit(Pair, one, one, s.BodyWeight())
}

// inSlider returns the stance with a slider's runners in place of outriggers.
// Both arms carry what they carried, up to what a fit person takes off the feet
// with a frame; arms not known take no more than that.
func (s *Stance) inSlider() Stance {
	with := *s
	with.Contacts = nil
	var arms [2]Limit
	for _, c := range s.Contacts {
		switch {
		case c.Kind == Ski:
			with.Contacts = append(with.Contacts, c)
		case c.Side == finding.Left:
			arms[0] = c.Limit
		default:
			arms[1] = c.Limit
		}
	}
	with.Contacts = append(with.Contacts, UsualSlider()...)
	with.Arms = ArmsLimit(Slider, arms[0], arms[1], s.BodyWeight())
	return with
}

// UsualSlider returns the runners of a usual slider around a student whose
// ankles are at the origin.
func UsualSlider() []Contact {
	return SliderFrame(quantity.Metre(metres("try_frame_half", centimetre)), quantity.Metre(metres("try_frame_ahead", centimetre)),
		quantity.Metre(metres("try_frame_behind", centimetre)))
}

// SliderFrame returns the runners of a slider: half their distance, and how far
// they reach ahead of the origin and behind it.
func SliderFrame(half, ahead, behind quantity.Metre) []Contact {
	return []Contact{
		{Kind: Frame, Side: finding.Left, Rear: Point{-half, -behind}, Front: Point{-half, ahead}},
		{Kind: Frame, Side: finding.Right, Rear: Point{half, -behind}, Front: Point{half, ahead}},
	}
}

// Shaft is an outrigger as it is held.
type Shaft struct {
	Grip  body.Vec       // where the hand closes round it
	Hinge quantity.Metre // height of the runner's hinge over the snow
}

// shaft returns the length from the hinge of a runner to the hand, for a
// contact that an outrigger makes, and how far the hinge is from under it.
func (s *Stance) shaft(c Contact) (length, rise float64, off vec, ok bool) {
	held := s.Shaft.At(c.Side)
	if c.Kind != Runner || held == nil {
		return 0, 0, vec{}, false
	}
	off = c.Rear.vec().add(c.Front.vec()).times(0.5).sub(vec{held.Grip.X, held.Grip.Y})
	rise = held.Grip.Z - float64(held.Hinge)
	return math.Hypot(off.length(), rise), rise, off, rise > 0
}

// shaftsFor says how much longer the shafts are that reach runners elsewhere,
// the hands where they are.
func (s *Stance) shaftsFor(with *Stance) string {
	most := 0.0
	for i, c := range s.Contacts {
		before, _, _, ok := s.shaft(c)
		after, _, _, _ := with.shaft(with.Contacts[i])
		if ok && math.Abs(after-before) > math.Abs(most) {
			most = after - before
		}
	}
	cm := quantity.Decimals(0)
	switch text := cm.Text(math.Abs(most) / centimetre); {
	case text == "0":
		return ""
	case most > 0:
		return "; with the hands where they are that takes " + text + " cm more of shaft"
	default:
		return "; with the hands where they are that takes " + text + " cm less of shaft"
	}
}

// tryLonger tries outriggers that are longer by a hole, the hands where they
// are: the runners then stand further from under the hands.
func (s *Stance) tryLonger(try adding) {
	hole := metres("hole_step", millimetre)
	with, moved := s.clone(), 0.0
	for i := range with.Contacts {
		c := &with.Contacts[i]
		length, rise, off, ok := s.shaft(*c)
		if !ok || off.length() < apart {
			continue
		}
		d := math.Sqrt((length+hole)*(length+hole)-rise*rise) - off.length()
		by := off.times(d / off.length())
		for _, p := range []*Point{&c.Rear, &c.Front} {
			p.X, p.Y = p.X+quantity.Metre(by.x), p.Y+quantity.Metre(by.y)
		}
		moved = max(moved, d)
	}
	if moved > 0 {
		cm := quantity.Decimals(0)
		try("outriggers_longer", "Make the outriggers one hole ("+quantity.Decimals(1).Text(hole/centimetre)+" cm) longer and let the runners stand "+
			cm.Text(moved/centimetre)+" cm further from the hands, the hands where they are.", "hole_step", with)
	}
}

// tryBody tries leans of the body and a heel lift.
func (s *Stance) tryBody(try adding) {
	lean := float64(quantity.Must(quantity.Degrees(source.Value("try_lean"))))
	deg := quantity.Decimals(0).Text(source.Value("try_lean"))
	h := float64(s.Centre.Height.Value())
	for _, d := range []struct {
		code, word string
		way        Direction
	}{{"lean_forward", "forward", 0}, {"lean_right", "to the right", 2}, {"lean_back", "back", 4}, {"lean_left", "to the left", 6}} {
		try(d.code, "Lean the whole body "+deg+" degrees further "+d.word+".", "try_lean", s.shifted(d.way.way().times(h*math.Tan(lean))))
	}
	lift := source.Value("try_heel_lift")
	tip := lift / source.Value("heel_to_ball")
	if s.has(Ski, finding.Left) || s.has(Ski, finding.Right) {
		try("heel_lift", "Raise the heels by "+quantity.Decimals(0).Text(lift)+" mm in the boots, if the ankles miss that bend; the body then comes forward by "+
			quantity.Decimals(1).Text(quantity.Radian(math.Atan(tip)).Degrees())+" degrees.", "try_heel_lift", s.shifted(vec{0, h * tip}))
	}
}

// shifted returns the stance with its centre of mass elsewhere.
func (s *Stance) shifted(by vec) Stance {
	with := *s
	move := func(r quantity.Range[quantity.Metre], d float64) quantity.Range[quantity.Metre] {
		return r.Add(quantity.Must(quantity.Exactly(quantity.Metre(d))))
	}
	with.Centre.X, with.Centre.Y = move(s.Centre.X, by.x), move(s.Centre.Y, by.y)
	return with
}

// helper returns what a helper has to do so that a stance that is not held is
// held with a small margin: take weight where legs and arms are too weak, or
// push at the height of the centre of mass.
func (t *trial) helper() (Change, bool) {
	s := &t.now
	p := s.problemBy(s.acts().exact(), t.by)
	var g polygon
	t.solver.region(&p, &g)
	w, n := float64(s.Weight()), quantity.Every(5, 0)
	if g.n == 0 {
		force := lacks(s, s.Weight(), t.by) * w
		return Change{Code: "helper_carries", Force: quantity.Newton(force), Verdict: NotHeld, Basis: []string{"D"},
			Sentence: "A helper would have to carry at least " + n.Text(force) + " N; a stance that leans on a helper's strength is not one to ski in."}, force > 0
	}
	at := vec{p.X[0], p.Y[0]}
	small := metres("stance_margin_small", millimetre)
	margin, _ := g.margin(at)
	h := float64(s.Centre.Height.Value())
	if margin >= small || h <= 0 {
		return Change{}, false
	}
	to := g.deepest(at, small)
	way := to.sub(at)
	force := w * way.length() / h
	with := s.shifted(way)
	reserve, carried, held := t.solver.reserve(&with, t.by)
	c := Change{Code: "helper_steadies", Force: quantity.Newton(force), Verdict: t.solver.verdict(&with), Reserve: quantity.Metre(reserve), Buys: quantity.Metre(reserve - margin),
		Carried: quantity.Ratio(carried), Basis: []string{"D", "pull_strength"}}
	if held {
		q := with.problemBy(with.acts().exact(), t.by)
		t.solver.Load(&q)
		c.Arms = quantity.Newton(t.solver.LeastArms() * w)
	}
	least, most := helperStrength()
	hold := "one helper can hold that"
	switch {
	case force > most:
		hold = "that is more than one helper holds"
	case force > least:
		hold = "that takes a strong helper in a firm stance"
	}
	c.Sentence = "A helper steadies the hips with " + n.Text(force) + " N towards " + toward(way).String() + "; " + hold + "."
	return c, true
}

// helperStrength returns the least and the most of the mean strengths of grown
// men in 120 tasks of pulling, pushing and lifting.
func helperStrength() (least, most float64) {
	r, ok := source.Table("pull_strength").Where("item", "mean isometric strength, 120 tasks, men").Only()
	if !ok {
		panic("stance: the strength of a helper is missing")
	}
	least, _ = r.Number("value")
	most, _ = r.Number("high")
	return least, most
}

// deepest returns a place with the margin asked for, or the best there is on
// the way to the middle of the polygon.
func (g *polygon) deepest(from vec, margin float64) vec {
	var middle vec
	for _, c := range g.corners() {
		middle = middle.add(c.times(1 / float64(g.n)))
	}
	if m, _ := g.margin(middle); m <= margin {
		return middle
	}
	// The margin rises from a place outside to the middle: halve the way.
	low, high := 0.0, 1.0
	for range 60 {
		half := (low + high) / 2
		if m, _ := g.margin(from.add(middle.sub(from).times(half))); m < margin {
			low = half
		} else {
			high = half
		}
	}
	return from.add(middle.sub(from).times(high))
}
