package stance

import (
	"cmp"
	"math"
	"slices"

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
func Changes(st Stance) ([]Change, error) {
	if err := st.check(); err != nil {
		return nil, err
	}
	var solver Solver
	now, carried, _ := solver.reserve(&st)
	var out []Change
	try := func(code, sentence, basis string, with Stance) {
		if with.check() != nil {
			return
		}
		reserve, carries, verdict := solver.reserve(&with)
		if reserve <= now+sameWithin && carries <= carried+heldWithin {
			return
		}
		c := Change{Code: code, Sentence: sentence, Verdict: verdict, Carried: quantity.Ratio(carries), Basis: []string{"D", basis}}
		if reserve > nothing {
			c.Reserve = quantity.Metre(reserve)
			if now > nothing {
				c.Buys = quantity.Metre(reserve - now)
			}
		}
		if verdict == Held {
			p := with.problem(with.acts().exact())
			solver.Load(&p)
			c.Arms = quantity.Newton(solver.LeastArms() * float64(with.Weight()))
		}
		out = append(out, c)
	}
	st.tryGear(try)
	st.tryBody(try)
	slices.SortStableFunc(out, func(a, b Change) int {
		return cmp.Or(cmp.Compare(b.Verdict, a.Verdict), cmp.Compare(b.Buys, a.Buys), cmp.Compare(b.Carried, a.Carried))
	})
	if h, ok := st.helper(&solver); ok {
		out = append(out, h)
	}
	return out, nil
}

// reserve returns the distance inside the region, the share of the weight that
// can be carried, and the verdict, at the middle of what the centre of mass may
// be.
func (s *Solver) reserve(st *Stance) (reserve, carried float64, v Verdict) {
	p := st.problem(st.acts().exact())
	s.Load(&p)
	carried = min(1, s.Carried())
	if s.Held() {
		v, carried = Held, 1
	}
	var g polygon
	s.region(&p, &g)
	reserve = nothing
	if g.n > 0 {
		reserve, _ = g.margin(vec{p.X[0], p.Y[0]})
	}
	return reserve, carried, v
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

type trying func(code, sentence, basis string, with Stance)

// tryGear tries other places of the contacts, and other gear.
func (s *Stance) tryGear(try trying) {
	step := metres("try_outrigger", centimetre)
	cm := quantity.Decimals(0).Text(step / centimetre)
	aid := AidOf(s.Contacts)
	if aid == OneHand || aid == Pair {
		try("outriggers_wider", "Set the outriggers "+cm+" cm further out.", "try_outrigger", s.moved(Runner, step, 0))
		try("outriggers_ahead", "Set the outriggers "+cm+" cm further ahead; the shafts must be longer for it.", "try_outrigger", s.moved(Runner, 0, step))
		try("outriggers_back", "Set the outriggers "+cm+" cm further back.", "try_outrigger", s.moved(Runner, 0, -step))
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

// tryBody tries leans of the body and a heel lift.
func (s *Stance) tryBody(try trying) {
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
func (s *Stance) helper(solver *Solver) (Change, bool) {
	p := s.problem(s.acts().exact())
	var g polygon
	solver.region(&p, &g)
	w, n := float64(s.Weight()), quantity.Every(5, 0)
	if g.n == 0 {
		force := lacks(s, s.Weight()) * w
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
	reserve, carried, v := solver.reserve(&with)
	c := Change{Code: "helper_steadies", Force: quantity.Newton(force), Verdict: v, Reserve: quantity.Metre(reserve), Buys: quantity.Metre(reserve - margin),
		Carried: quantity.Ratio(carried), Basis: []string{"D", "pull_strength"}}
	if v == Held {
		q := with.problem(with.acts().exact())
		solver.Load(&q)
		c.Arms = quantity.Newton(solver.LeastArms() * w)
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
