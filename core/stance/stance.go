package stance

import (
	"fmt"
	"math"
	"slices"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Kind says what touches the snow.
type Kind uint8

// The kinds of contact.
const (
	Ski    Kind = iota // carried by a leg
	Runner             // of an outrigger, carried by an arm
	Frame              // runner of a slider's frame, carried by both arms together
)

// String returns "ski", "runner" or "frame".
func (k Kind) String() string {
	switch k {
	case Runner:
		return "runner"
	case Frame:
		return "frame"
	}
	return "ski"
}

// Arm tells whether arms load the contact.
func (k Kind) Arm() bool { return k != Ski }

// Limit is the most a leg, an arm or both arms carry.
type Limit struct {
	Known bool            // false: nothing is known, and no limit is set
	Most  quantity.Newton // at least 0
	// Low is what was shown to be carried, and High what is not ruled out; a
	// High of 0 says that the limit is Most, exactly.
	Low, High quantity.Newton
	From      string   // what it comes from, in words; may be empty
	Basis     []string // marks and ids of core/source
}

// AtMost returns a limit that was measured.
func AtMost(force quantity.Newton, from string) Limit {
	return Limit{Known: true, Most: force, From: from}
}

// Range returns the limit with what was shown and what is not ruled out.
func (l Limit) Range() quantity.Range[quantity.Newton] {
	if l.High == 0 {
		return ranged(l.Most, l.Most, l.Most)
	}
	return ranged(l.Most, l.Low, l.High)
}

// trust says which end of what is known about limits is asked.
type trust uint8

const (
	asTaken trust = iota // the values
	shown                // only what was shown
	notOut               // all that is not ruled out
)

// share returns the limit as a share of a weight.
func (l Limit) share(weight float64, t trust) float64 {
	switch {
	case !l.Known:
		return math.Inf(1)
	case l.High == 0 || t == asTaken:
		return float64(l.Most) / weight
	case t == shown:
		return float64(l.Low) / weight
	}
	return float64(l.High) / weight
}

// Contact is one thing that touches the snow. Rear and Front are the ends of
// the line it can press on; both the same make a point.
type Contact struct {
	Kind        Kind
	Side        finding.Side // finding.Left or finding.Right
	Rear, Front Point
	Limit       Limit
}

// Name returns "left ski", "right runner", "left frame".
func (c Contact) Name() string { return c.Side.Word() + " " + c.Kind.String() }

// Centre is the centre of mass of everything the contacts carry, with what is
// not known about it: x and y along the snow, Height normal to it.
type Centre struct {
	X, Y, Height quantity.Range[quantity.Metre]
}

// At returns a centre of mass that is known exactly.
func At(x, y, height quantity.Metre) (Centre, error) {
	var c Centre
	for _, one := range []struct {
		into *quantity.Range[quantity.Metre]
		v    quantity.Metre
	}{{&c.X, x}, {&c.Y, y}, {&c.Height, height}} {
		r, err := quantity.Exactly(one.v)
		if err != nil {
			return Centre{}, refuse("not_a_number", "The place of the centre of mass must be three plain numbers.")
		}
		*one.into = r
	}
	return c, nil
}

// Stance is a standing skier.
type Stance struct {
	// Mass is everything the contacts carry: body, clothes, boots, skis, what
	// hands and back hold. Not the frame of a slider.
	Mass     quantity.Kilogram
	Gravity  quantity.MetrePerSecondSquared // 0 for the standard acceleration
	Centre   Centre
	Contacts []Contact
	Arms     Limit // of all arm contacts together
	Lean     Lean

	// Shaft is how outriggers are held, where it is known: for what a longer one
	// would bring.
	Shaft body.Pair[*Shaft]

	// LeftShare is how much of the feet's load is on the left foot, where two
	// scales told it; nil where not.
	LeftShare *quantity.Range[quantity.Ratio]

	// Right and Forward are the speed of the centre of mass against the skis,
	// and Pendulum the length it sways about; a length of 0 asks nothing.
	Right, Forward quantity.MetrePerSecond
	Pendulum       quantity.Metre
}

// Error is a stance that was refused: a code for programs and a sentence for
// people.
type Error struct {
	Code     string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, format string, args ...any) error {
	return &Error{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

// Limits of what can be a stance at all; beyond them a unit was mixed up.
const (
	heaviest  = 1000.0 // exact: kg
	farthest  = 100.0  // exact: m from the origin
	highest   = 10.0   // exact: m
	steepest  = 60.0   // exact: degrees
	strongest = 50.0   // exact: m/s² of gravity
	fastest   = 50.0   // exact: m/s
	apart     = 1e-3   // m by which two contacts must differ
	notNumber = "not_a_number"
)

// gravity returns g.
func (s *Stance) gravity() float64 {
	if s.Gravity == 0 {
		return source.Value("gravity_standard")
	}
	return float64(s.Gravity)
}

// BodyWeight returns mass times gravity.
func (s *Stance) BodyWeight() quantity.Newton {
	return quantity.Newton(float64(s.Mass) * s.gravity())
}

// Weight returns the part of the apparent weight that presses on the snow.
func (s *Stance) Weight() quantity.Newton {
	return quantity.Newton(float64(s.Mass) * s.gravity() * s.Lean.normal())
}

// check refuses what cannot be a stance.
func (s *Stance) check() error {
	for _, n := range []struct {
		name   string
		v      float64
		lo, hi float64
		unit   string
	}{
		{"The mass", float64(s.Mass), math.SmallestNonzeroFloat64, heaviest, "kg"},
		{"The acceleration of gravity", s.gravity(), math.SmallestNonzeroFloat64, strongest, "m/s²"},
		{"The speed to the right", float64(s.Right), -fastest, fastest, "m/s"},
		{"The speed forward", float64(s.Forward), -fastest, fastest, "m/s"},
		{"The length of the pendulum", float64(s.Pendulum), 0, highest, "m"},
		{"The height of the centre of mass", float64(s.Centre.Height.Low()), 0, highest, "m"},
		{"The height of the centre of mass", float64(s.Centre.Height.High()), 0, highest, "m"},
		{"The centre of mass to the right", float64(s.Centre.X.Low()), -farthest, farthest, "m"},
		{"The centre of mass to the right", float64(s.Centre.X.High()), -farthest, farthest, "m"},
		{"The centre of mass forward", float64(s.Centre.Y.Low()), -farthest, farthest, "m"},
		{"The centre of mass forward", float64(s.Centre.Y.High()), -farthest, farthest, "m"},
	} {
		if err := within(n.name, n.v, n.lo, n.hi, n.unit); err != nil {
			return err
		}
	}
	if err := s.Lean.check(); err != nil {
		return err
	}
	if err := checkLimit("both arms", s.Arms); err != nil {
		return err
	}
	if r := s.LeftShare; r != nil {
		if math.IsNaN(float64(r.Low())) || r.Low() < 0 || r.High() > 1 {
			return refuse("out_of_range", "The share of the left foot must lie between 0 and 100 %%.")
		}
		if !s.has(Ski, finding.Left) || !s.has(Ski, finding.Right) {
			return refuse("no_share", "A share between the feet needs two skis.")
		}
	}
	return s.checkContacts()
}

func within(name string, v, lo, hi float64, unit string) error {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return refuse(notNumber, "%s is not a number.", name)
	case lo > 0 && v <= 0:
		return refuse("not_positive", "%s must be more than 0 %s.", name, unit)
	case v < lo || v > hi:
		return refuse("out_of_range", "%s is %s %s; it must lie between %s and %s %s.", name,
			finding.FormatNumber(v), unit, finding.FormatNumber(lo), finding.FormatNumber(hi), unit)
	}
	return nil
}

func checkLimit(of string, l Limit) error {
	switch f := float64(l.Most); {
	case !l.Known:
		return nil
	case math.IsNaN(f) || math.IsInf(f, 0):
		return refuse(notNumber, "The most that %s can carry is not a number.", of)
	case f < 0:
		return refuse("negative", "The most that %s can carry must not be negative.", of)
	case l.High != 0 && !(l.Low >= 0 && l.Low <= l.Most && l.Most <= l.High && !math.IsInf(float64(l.High), 0)):
		return refuse("out_of_range", "What %s can carry lies outside its own range.", of)
	}
	return nil
}

// has tells whether there is such a contact.
func (s *Stance) has(k Kind, side finding.Side) bool { return s.find(k, side) >= 0 }

func (s *Stance) find(k Kind, side finding.Side) int {
	return slices.IndexFunc(s.Contacts, func(c Contact) bool { return c.Kind == k && c.Side == side })
}

func (s *Stance) checkContacts() error {
	if len(s.Contacts) == 0 {
		return refuse("no_contacts", "A stance needs at least one contact with the snow.")
	}
	for i, c := range s.Contacts {
		if c.Kind > Frame || c.Side != finding.Left && c.Side != finding.Right {
			return refuse("bad_contact", "A contact is a ski, a runner or a frame runner, on the left or the right.")
		}
		for _, v := range []quantity.Metre{c.Rear.X, c.Rear.Y, c.Front.X, c.Front.Y} {
			if err := within("An end of the "+c.Name(), float64(v), -farthest, farthest, "m"); err != nil {
				return err
			}
		}
		if c.Front.Y < c.Rear.Y {
			return refuse("turned_round", "The front end of the %s lies behind its rear end.", c.Name())
		}
		if err := checkLimit("the "+c.Name(), c.Limit); err != nil {
			return err
		}
		for _, o := range s.Contacts[:i] {
			if err := checkPair(o, c); err != nil {
				return err
			}
		}
	}
	if (s.has(Runner, finding.Left) || s.has(Runner, finding.Right)) && (s.has(Frame, finding.Left) || s.has(Frame, finding.Right)) {
		return refuse("both_aids", "Outriggers and a slider are not used together.")
	}
	return nil
}

func checkPair(a, b Contact) error {
	if a.Kind == b.Kind && a.Side == b.Side {
		return refuse("contact_twice", "There are two entries for the %s.", b.Name())
	}
	near := func(p, q Point) bool { return p.vec().sub(q.vec()).length() < apart }
	if near(a.Rear, b.Rear) && near(a.Front, b.Front) {
		return refuse("contacts_coincide", "The %s and the %s are in the same place.", a.Name(), b.Name())
	}
	if a.Kind == b.Kind {
		left, right := a, b
		if a.Side == finding.Right {
			left, right = b, a
		}
		if left.Rear.X > right.Rear.X && left.Front.X > right.Front.X {
			return refuse("sides_swapped", "The %s lies to the right of the %s; left and right are the student's.", left.Name(), right.Name())
		}
	}
	return nil
}

// problem writes the stance as shares of its weight, for a weight that acts
// within a box, with the limits as they are taken.
func (s *Stance) problem(box box) Problem { return s.problemBy(box, asTaken) }

// problemBy is problem with another end of the limits.
func (s *Stance) problemBy(box box, t trust) Problem {
	w := float64(s.Weight())
	p := Problem{ArmsMost: s.Arms.share(w, t), X: [2]float64{box.lo.x, box.hi.x}, Y: [2]float64{box.lo.y, box.hi.y}}
	for _, c := range s.Contacts {
		one := Support{
			RearX: float64(c.Rear.X), RearY: float64(c.Rear.Y), FrontX: float64(c.Front.X), FrontY: float64(c.Front.Y),
			Most: c.Limit.share(w, t), Arm: c.Kind.Arm(),
		}
		if c.Kind == Ski {
			one.Foot = c.Side
		}
		p.Supports = append(p.Supports, one)
	}
	if r := s.LeftShare; r != nil {
		p.HasShare, p.Share = true, [2]float64{float64(r.Low()), float64(r.High())}
	}
	return p
}

// box is what may be the place where the weight acts.
type box struct{ lo, mid, hi vec }

func (b box) exact() box { return box{b.mid, b.mid, b.mid} }

func (b box) corners() [4]vec {
	return [4]vec{b.lo, {b.hi.x, b.lo.y}, b.hi, {b.lo.x, b.hi.y}}
}

func (b box) wide() bool { return b.hi != b.lo }

// acts returns where the line of apparent gravity through the centre of mass
// meets the snow.
func (s *Stance) acts() box {
	x := reach(s.Centre.X, s.Centre.Height, s.Lean.Right)
	y := reach(s.Centre.Y, s.Centre.Height, s.Lean.Forward)
	return box{vec{x[0], y[0]}, vec{x[1], y[1]}, vec{x[2], y[2]}}
}

// reach returns least, value and most of at + height x lean.
func reach(at, height quantity.Range[quantity.Metre], lean quantity.Range[quantity.Ratio]) [3]float64 {
	least, most := math.Inf(1), math.Inf(-1)
	for _, h := range []quantity.Metre{height.Low(), height.High()} {
		for _, t := range []quantity.Ratio{lean.Low(), lean.High()} {
			d := float64(h) * float64(t)
			least, most = min(least, d), max(most, d)
		}
	}
	return [3]float64{
		float64(at.Low()) + least,
		float64(at.Value()) + float64(height.Value())*float64(lean.Value()),
		float64(at.High()) + most,
	}
}
