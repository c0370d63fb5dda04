package stance

import (
	"math"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Verdict tells whether a stance can be held.
type Verdict uint8

// The verdicts.
const (
	NotHeld Verdict = iota // whatever is not known about limits and centre of mass
	Partly                 // for some of what is not known, not for all of it: it could not be shown to hold
	Held                   // whatever is not known
)

// String returns "not_held", "partly" or "held".
func (v Verdict) String() string { return [...]string{"not_held", "partly", "held"}[v] }

// Direction is one of eight directions, from forward round by the right.
type Direction uint8

// directions names them, each 45° on from the one before.
var directions = [8]string{"forward", "forward right", "right", "back right", "back", "back left", "left", "forward left"}

// String returns the direction in words.
func (d Direction) String() string { return directions[d%8] }

// way returns the unit vector of the direction. The four straight ones are
// exact.
func (d Direction) way() vec {
	const h = math.Sqrt2 / 2
	return [8]vec{{0, 1}, {h, h}, {1, 0}, {h, -h}, {0, -1}, {-h, -h}, {-1, 0}, {-h, h}}[d%8]
}

// toward returns the nearest of the eight directions.
func toward(v vec) Direction {
	steps := math.Round(math.Atan2(v.x, v.y) / (math.Pi / 4))
	return Direction(int(steps+8) % 8)
}

// Room is the room in one direction.
type Room struct {
	Toward Direction
	// Edge is how far the weight can move that way before it leaves the support
	// polygon, and Tips the further lean of apparent gravity, or of the body
	// against it, that does it. Both are 0 where it is outside already.
	Edge quantity.Range[quantity.Metre]
	Tips quantity.Range[quantity.Radian]
	// Limit and Fails are the same for what arms and legs can carry.
	Limit quantity.Range[quantity.Metre]
	Fails quantity.Range[quantity.Radian]
}

// Load is what one contact carries, newtons normal to the snow.
type Load struct {
	Contact Contact
	// Possible is the least and the most that can be on it, whatever the skier
	// does; its value is the even share. Wide is the same with all that is open
	// about the centre of mass.
	Possible quantity.Range[quantity.Newton]
	Wide     quantity.Range[quantity.Newton]
	// Even is the force where all contacts give alike, and its two ends. At a
	// point all of it is on the rear end.
	Even, EvenRear, EvenFront quantity.Newton
	AtLimit                   bool // the even share uses all the contact can carry
}

// Moving is the extrapolated centre of mass of a stance that moves against its
// skis.
type Moving struct {
	At     Point
	Lead   Point // how far it leads the place where the weight acts
	Rate   float64
	Margin quantity.Range[quantity.Metre]
}

// Note is something to know about an answer.
type Note struct {
	Code     string
	Sentence string
}

// Result is the balance of one stance.
type Result struct {
	Of      Stance // what was balanced
	Verdict Verdict
	Weight  quantity.Newton // normal to the snow
	Acts    [2]quantity.Range[quantity.Metre]
	// Carried is the largest share of the weight that legs and arms can carry in
	// this place, by the limits as they are taken; 1 where they carry it.
	Carried quantity.Ratio
	// Sure is the same by what was shown that they carry.
	Sure quantity.Ratio
	// Arms is the least that the arms must carry together, and ArmsEven what
	// they carry in the even share. Where the verdict is Partly the range covers
	// the part that is held; where it is NotHeld both are zero.
	Arms     quantity.Range[quantity.Newton]
	ArmsEven quantity.Newton
	Loads    []Load // in the order of the contacts
	// Polygon is the support polygon, and Region the part of it in which arms and
	// legs can carry the weight, both counter-clockwise seen from above.
	Polygon, Region []Point
	// Margin is the distance from where the weight acts to the nearest edge of
	// the polygon, negative outside, and Edge where that edge is.
	Margin quantity.Range[quantity.Metre]
	Edge   Direction
	// Reserve is the same for the region, its least by what legs and arms were
	// shown to carry and its most by what is not ruled out. RegionEmpty says that
	// together they cannot carry the weight anywhere, and NothingShown that what
	// was shown does not; the least of the reserve is then that of the limits as
	// they are taken.
	Reserve      quantity.Range[quantity.Metre]
	Nearest      Direction
	RegionEmpty  bool
	NothingShown bool
	Rooms        [8]Room
	// Along and Over are what the snow must hold along the skis (positive
	// where it pushes the skier back) and across them (positive where it pushes to
	// the student's left).
	Along, Over quantity.Newton
	Lean        quantity.Radian
	Moving      *Moving
	Residual    float64 // largest error of the three equations, newtons and newton metres
	Notes       []Note
	Basis       []string // marks and ids of core/source that went in
}

// Analyse balances a stance. It refuses with an *Error what cannot be one.
func Analyse(s Stance) (Result, error) {
	var solver Solver
	return solver.Analyse(s)
}

// Analyse is Analyse with a solver to be used again.
func (s *Solver) Analyse(st Stance) (Result, error) {
	if err := st.check(); err != nil {
		return Result{}, err
	}
	b := st.acts()
	w := st.Weight()
	r := Result{Of: st, Weight: w, Lean: st.Lean.Angle()}
	r.Acts = [2]quantity.Range[quantity.Metre]{
		ranged(quantity.Metre(b.mid.x), quantity.Metre(b.lo.x), quantity.Metre(b.hi.x)),
		ranged(quantity.Metre(b.mid.y), quantity.Metre(b.lo.y), quantity.Metre(b.hi.y)),
	}
	r.Loads = make([]Load, len(st.Contacts))
	for i, c := range st.Contacts {
		r.Loads[i].Contact = c
	}
	r.Sure, _ = s.carried(&st, b.exact(), shown)
	exact := st.problem(b.exact())
	s.Load(&exact)
	r.Carried = quantity.Ratio(min(1, s.Carried()))
	if s.Held() {
		r.Carried = 1
		s.loads(&st, &exact, &r)
	}
	s.open(&st, b, &r)
	s.geometry(&st, b, &r)
	r.Along = quantity.Newton(float64(w) * float64(st.Lean.Forward.Value()))
	r.Over = quantity.Newton(float64(w) * float64(st.Lean.Right.Value()))
	r.basis(&st)
	r.notes(&st)
	return r, nil
}

// ranged makes a range of limits that rounding may have crossed.
func ranged[T quantity.Scalar](value, low, high T) quantity.Range[T] {
	return quantity.Must(quantity.NewRange(value, min(value, low), max(value, high)))
}

// loads fills in what follows for a stance that is held as given.
func (s *Solver) loads(st *Stance, p *Problem, r *Result) {
	w := float64(r.Weight)
	arms := quantity.Newton(s.LeastArms() * w)
	r.Arms = ranged(arms, arms, arms)
	var even [maxEnds]float64
	balanced := s.Even(&even)
	for i := range r.Loads {
		l := &r.Loads[i]
		least, most := s.Interval(i)
		least, most = max(0, least)*w, max(0, most)*w
		l.EvenRear, l.EvenFront = quantity.Newton(even[2*i]*w), quantity.Newton(even[2*i+1]*w)
		l.Even = l.EvenRear + l.EvenFront
		if !balanced { // never met; the middle is still possible for each alone
			l.Even = quantity.Newton((least + most) / 2)
		}
		l.Possible = ranged(l.Even, quantity.Newton(least), quantity.Newton(most))
		l.Wide = l.Possible
		l.AtLimit = l.Contact.Limit.Known && float64(l.Even) >= float64(l.Contact.Limit.Most)*(1-heldWithin)
		if l.Contact.Kind.Arm() {
			r.ArmsEven += l.Even
		}
	}
	r.Residual = residual(p, &even, w)
}

// residual puts forces into the three equations.
func residual(p *Problem, forces *[maxEnds]float64, weight float64) float64 {
	sum, mx, my := -1.0, 0.0, 0.0
	for i, c := range p.Supports {
		rear, front := forces[2*i], forces[2*i+1]
		sum += rear + front
		mx += rear*(c.RearX-p.X[0]) + front*(c.FrontX-p.X[0])
		my += rear*(c.RearY-p.Y[0]) + front*(c.FrontY-p.Y[0])
	}
	return weight * max(math.Abs(sum), math.Abs(mx), math.Abs(my))
}

// carried returns the largest share of the weight that can be carried for some
// place in a box, and whether that is all of it.
func (s *Solver) carried(st *Stance, b box, t trust) (quantity.Ratio, bool) {
	p := st.problemBy(b, t)
	if s.Load(&p); s.Held() {
		return 1, true
	}
	return quantity.Ratio(min(1, s.Carried())), false
}

// open judges the stance by all that is open, and widens the answer by it: where
// the weight acts, and what legs and arms carry. All that can be held is convex
// in that place: it is held everywhere when it is at the four corners, the
// least arm load is largest at one of them, and least somewhere that the linear
// programme finds by itself.
func (s *Solver) open(st *Stance, b box, r *Result) {
	w := float64(r.Weight)
	asGiven := r.Carried == 1
	all, some := true, asGiven
	low, high := math.Inf(1), math.Inf(-1)
	at := b.corners()
	corners := at[:]
	if !b.wide() {
		corners = corners[:1]
	}
	for _, c := range corners {
		p := st.problemBy(box{c, c, c}, shown)
		if s.Load(&p); !s.Held() {
			all = false
			continue
		}
		high = max(high, s.LeastArms()*w)
	}
	p := st.problemBy(b, notOut)
	if s.Load(&p); s.Held() {
		some = true
		low = s.LeastArms() * w
		high = max(high, low)
		for i := range r.Loads {
			least, most := s.Interval(i)
			l := &r.Loads[i]
			least, most = max(0, least)*w, max(0, most)*w
			if asGiven {
				l.Wide = ranged(l.Even, quantity.Newton(least), quantity.Newton(most))
			} else {
				l.Wide = ranged(quantity.Newton((least+most)/2), quantity.Newton(least), quantity.Newton(most))
			}
		}
	}
	switch {
	case all && some:
		r.Verdict = Held
	case some:
		r.Verdict = Partly
	}
	switch {
	case math.IsInf(low, 1): // not held whatever is open
	case asGiven:
		r.Arms = ranged(r.Arms.Value(), quantity.Newton(low), quantity.Newton(high))
	default:
		r.Arms = ranged(quantity.Newton((low+high)/2), quantity.Newton(low), quantity.Newton(high))
	}
}

// geometry fills in polygon, region and the room in them.
func (s *Solver) geometry(st *Stance, b box, r *Result) {
	p := st.problem(b.exact())
	var base, region, sure, most polygon
	base.base(p.Supports)
	s.region(&p, &region)
	r.Polygon, r.Region = outline(&base), outline(&region)
	r.RegionEmpty = region.n == 0
	r.Margin, r.Edge = margins(&base, b)
	p = st.problemBy(b.exact(), shown)
	s.region(&p, &sure)
	r.NothingShown = sure.n == 0
	if !r.RegionEmpty {
		r.Reserve, r.Nearest = margins(&region, b)
		p = st.problemBy(b.exact(), notOut)
		s.region(&p, &most)
		wide, _ := margins(&most, b)
		low := r.Reserve.Low()
		if !r.NothingShown {
			least, _ := margins(&sure, b)
			low = min(low, least.Low())
		}
		r.Reserve = ranged(r.Reserve.Value(), low, max(r.Reserve.High(), wide.High()))
	}
	for d := range r.Rooms {
		room := &r.Rooms[d]
		room.Toward = Direction(d)
		room.Edge, room.Tips = rooms(&base, b, st, room.Toward)
		if !r.RegionEmpty {
			room.Limit, room.Fails = rooms(&region, b, st, room.Toward)
		}
	}
	if st.Pendulum > 0 {
		rate := math.Sqrt(st.gravity() / float64(st.Pendulum))
		lead := vec{float64(st.Right) / rate, float64(st.Forward) / rate}
		ahead := box{b.lo.add(lead), b.mid.add(lead), b.hi.add(lead)}
		m := Moving{At: ahead.mid.point(), Lead: lead.point(), Rate: rate}
		m.Margin, _ = margins(&base, ahead)
		r.Moving = &m
	}
}

func outline(g *polygon) []Point {
	out := make([]Point, g.n)
	for i, c := range g.corners() {
		out[i] = c.point()
	}
	return out
}

// margins returns the margin of the middle of a box with the least and the most
// it can be in the box, and where the nearest edge is. The least is at a
// corner, because the margin is concave; the most is bounded by each edge alone
// and by how far the box reaches.
func margins(g *polygon, b box) (quantity.Range[quantity.Metre], Direction) {
	m, edge := g.margin(b.mid)
	low, high, far := m, m, 0.0
	var most [maxCorners]float64
	for i := range g.n {
		most[i] = math.Inf(-1)
	}
	for _, c := range b.corners() {
		at, _ := g.margin(c)
		low = min(low, at)
		far = max(far, c.sub(b.mid).length())
		for i := range g.n {
			most[i] = max(most[i], g.inside(i, c))
		}
	}
	high = m + far
	if g.n > 2 {
		for i := range g.n {
			high = min(high, most[i])
		}
	} else {
		high = min(high, 0)
	}
	where := toward(b.mid)
	if g.n > 0 {
		where = g.faces(edge, b.mid)
	}
	return ranged(quantity.Metre(m), quantity.Metre(low), quantity.Metre(high)), where
}

// inside returns how far p lies on the inner side of the line through an edge.
func (g *polygon) inside(edge int, p vec) float64 {
	a, b := g.at[edge], g.at[(edge+1)%g.n]
	along := b.sub(a)
	if size := along.length(); size > 0 {
		return along.cross(p.sub(a)) / size
	}
	return -p.sub(a).length()
}

// faces returns the direction in which an edge looks outward.
func (g *polygon) faces(edge int, p vec) Direction {
	if g.n < 3 {
		return toward(p.sub(g.at[0]))
	}
	along := g.at[(edge+1)%g.n].sub(g.at[edge])
	return toward(vec{along.y, -along.x})
}

// rooms returns how far the weight can move in a direction, and the lean that
// takes it there. The way out is concave in where it starts, so the least is at
// a corner of the box; the most is bounded by each edge alone.
func rooms(g *polygon, b box, st *Stance, d Direction) (quantity.Range[quantity.Metre], quantity.Range[quantity.Radian]) {
	way := d.way()
	value, ok := g.reach(b.mid, way)
	if !ok {
		return quantity.Range[quantity.Metre]{}, quantity.Range[quantity.Radian]{}
	}
	low, high := value, value
	if b.wide() {
		high = math.Inf(1)
		for _, c := range b.corners() {
			at, _ := g.reach(c, way)
			low = min(low, at)
		}
		for i := range g.n {
			along := g.at[(i+1)%g.n].sub(g.at[i])
			out := -along.cross(way) / along.length()
			if g.n < 3 || out <= tieWidth {
				continue
			}
			most := 0.0
			for _, c := range b.corners() {
				most = max(most, g.inside(i, c)/out)
			}
			high = min(high, most)
		}
		if math.IsInf(high, 1) {
			high = value
		}
	}
	h, lean := st.Centre.Height, st.Lean
	from := func(height, distance float64) float64 {
		q := vec{float64(lean.Right.Value()) * height, float64(lean.Forward.Value()) * height}
		to := q.add(way.times(distance))
		if height == 0 {
			return math.Pi / 2 * min(1, distance/sameWithin)
		}
		return math.Atan2(math.Hypot(q.cross(to), height*to.sub(q).length()), q.dot(to)+height*height)
	}
	angle := from(float64(h.Value()), value)
	least, most := angle, angle
	for _, height := range []quantity.Metre{h.Low(), h.High()} {
		least = min(least, from(float64(height), low))
		most = max(most, from(float64(height), high))
	}
	return ranged(quantity.Metre(value), quantity.Metre(low), quantity.Metre(high)),
		ranged(quantity.Radian(angle), quantity.Radian(least), quantity.Radian(most))
}

// basis gathers what the answer stands on.
func (r *Result) basis(st *Stance) {
	add := func(ids ...string) {
		for _, id := range ids {
			if !slices.Contains(r.Basis, id) {
				r.Basis = append(r.Basis, id)
			}
		}
	}
	add("D")
	if st.Gravity == 0 {
		add("gravity_standard")
	}
	add(st.Arms.Basis...)
	for _, c := range st.Contacts {
		add(c.Limit.Basis...)
	}
	if r.Moving != nil {
		add("Hof2005")
	}
}

// notes says what to know about the answer.
func (r *Result) notes(st *Stance) {
	say := func(code, sentence string) { r.Notes = append(r.Notes, Note{code, sentence}) }
	cm, newtons := quantity.Decimals(0), quantity.Decimals(0)
	switch {
	case r.Verdict == NotHeld && r.RegionEmpty:
		say("too_weak", "Legs and arms together cannot carry the weight, however it is placed: they lack "+
			newtons.Text(float64(r.Weight)*lacks(st, r.Weight, asTaken))+" N.")
	case r.Verdict == NotHeld:
		say("not_held", "This stance cannot be held: the weight acts "+cm.Text(-100*float64(r.Reserve.Value()))+
			" cm outside what legs and arms can carry.")
	case r.Verdict == Partly && r.NothingShown && lacks(st, r.Weight, shown) > 0:
		say("not_shown", "It could not be shown to hold: what legs and arms were seen to carry lacks "+
			newtons.Text(float64(r.Weight)*lacks(st, r.Weight, shown))+" N of the weight; what they may carry is enough. A bathroom scale under each foot and each hand tells it.")
	case r.Verdict == Partly && r.Sure < 1:
		say("not_shown", "It could not be shown to hold: with what legs and arms were seen to carry it is not held here; with what they may carry it is. "+
			"A bathroom scale under each foot and each hand tells it.")
	case r.Verdict == Partly:
		say("partly", "It could not be shown to hold: that depends on where the centre of mass is within its range.")
	}
	small := source.Value("stance_margin_small") / 1000
	if low := float64(r.Reserve.Low()); r.Verdict == Held && low < small {
		say("narrow", "It is held with little to spare: "+cm.Text(100*max(0, low))+" cm towards "+r.Nearest.String()+".")
	}
	if open := unlimited(st); len(open) > 0 {
		say("not_measured", "It is not known how much can be carried by "+strings.Join(open, ", ")+"; no limit was set there.")
	}
	if limit := glides(); math.Abs(float64(st.Lean.Forward.Value())) > limit {
		say("holds_along", "The snow must hold "+newtons.Text(math.Abs(float64(r.Along)))+" N along the skis; flat skis begin to slide. "+
			"Edges, brakes or a helper have to hold it.")
	}
	if limit := glides(); math.Abs(float64(st.Lean.Right.Value())) > limit {
		side := "right"
		if st.Lean.Right.Value() < 0 {
			side = "left"
		}
		say("holds_across", "The snow must hold "+newtons.Text(math.Abs(float64(r.Over)))+" N across the skis, with the valley on the "+side+
			"; the edges have to hold it.")
	}
	if m := r.Moving; m != nil && m.Margin.Low() < 0 {
		say("moves_out", "At this speed the body does not stop above its supports without a step or a push.")
	}
}

// unlimited names what carries without a known limit.
func unlimited(st *Stance) []string {
	var open []string
	for _, c := range st.Contacts {
		if !c.Limit.Known && c.Kind != Frame {
			open = append(open, "the "+c.Name())
		}
	}
	if !st.Arms.Known && AidOf(st.Contacts) != NoAid {
		open = append(open, "the arms together")
	}
	return open
}

// lacks returns the share of the weight that all limits together lack.
func lacks(st *Stance, weight quantity.Newton, t trust) float64 {
	legs, arms := 0.0, 0.0
	for _, c := range st.Contacts {
		if share := c.Limit.share(float64(weight), t); c.Kind.Arm() {
			arms += share
		} else {
			legs += share
		}
	}
	return max(0, 1-legs-min(arms, st.Arms.share(float64(weight), t)))
}

// glides returns the least friction a straight ski has been measured with.
func glides() float64 {
	taken, _ := Glide()
	return float64(taken.Low())
}

// Side returns the load of a kind of contact on a side, and whether there is
// one.
func (r *Result) Side(k Kind, side finding.Side) (Load, bool) {
	for _, l := range r.Loads {
		if l.Contact.Kind == k && l.Contact.Side == side {
			return l, true
		}
	}
	return Load{}, false
}
