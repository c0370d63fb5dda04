package lift

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Line is a lift at its load line.
type Line struct {
	Speed    quantity.MetrePerSecond
	Interval quantity.Second // from one carrier to the next
	Spacing  quantity.Metre  // from one carrier to the next
	Seats    int             // places of a carrier; 0 where it is not known
}

// Given is what is known of a lift; nil is not known.
type Given struct {
	Speed    *quantity.MetrePerSecond
	Interval *quantity.Second
	Spacing  *quantity.Metre
	Seats    int      // 0: not known
	PerHour  *float64 // people an hour at full chairs; with Seats it gives the interval
}

const (
	secondsPerHour = 3600
	// same is how far apart, as a share, figures for one thing may lie: what
	// rounding them for a sign leaves open.
	same = 0.02 // exact: a rule of this package, not a figure
)

// Solve finds what is missing. It takes two of speed, interval and spacing, or
// people an hour and places for the interval; what is given beyond that must
// agree within 2 %. The interval alone, without speed, leaves Speed and Spacing
// zero.
func Solve(g Given) (Line, error) {
	if err := g.check(); err != nil {
		return Line{}, err
	}
	l := Line{Seats: g.Seats}
	if g.Speed != nil {
		l.Speed = *g.Speed
	}
	if g.Spacing != nil {
		l.Spacing = *g.Spacing
	}
	switch {
	case g.Interval != nil:
		l.Interval = *g.Interval
	case g.PerHour != nil && g.Seats > 0:
		l.Interval = quantity.Second(secondsPerHour * float64(g.Seats) / *g.PerHour)
	case g.Speed != nil && g.Spacing != nil:
		l.Interval = quantity.Second(float64(*g.Spacing) / float64(*g.Speed))
	case g.PerHour != nil:
		return Line{}, entry.Refuse("missing", "People an hour need the places of a carrier with them.")
	default:
		return Line{}, entry.Refuse("missing", "Give the interval, or speed and spacing, or people an hour and places.")
	}
	switch {
	case g.Speed == nil && g.Spacing != nil:
		l.Speed = quantity.MetrePerSecond(float64(l.Spacing) / float64(l.Interval))
	case g.Speed != nil && g.Spacing == nil:
		l.Spacing = quantity.Metre(float64(l.Speed) * float64(l.Interval))
	}
	return l, l.agrees(g)
}

func (g Given) check() error {
	var errs []*Error
	if g.Speed != nil {
		errs = append(errs, boundSpeed.Check(float64(*g.Speed)))
	}
	if g.Interval != nil {
		errs = append(errs, boundInterval.Check(float64(*g.Interval)))
	}
	if g.Spacing != nil {
		errs = append(errs, boundSpacing.Check(float64(*g.Spacing)))
	}
	if g.Seats != 0 {
		errs = append(errs, boundSeats.Check(float64(g.Seats)))
	}
	if g.PerHour != nil {
		errs = append(errs, boundPerHour.Check(*g.PerHour))
	}
	return entry.First(errs...)
}

// agrees refuses figures that contradict each other.
func (l Line) agrees(g Given) error {
	off := func(a, b float64) bool { return math.Abs(a-b) > same*math.Max(a, b) }
	if l.Speed > 0 && off(float64(l.Speed)*float64(l.Interval), float64(l.Spacing)) {
		return entry.Refuse("contradiction", "Speed times interval is "+text(float64(l.Speed)*float64(l.Interval), 1)+" m, not the spacing of "+text(float64(l.Spacing), 1)+" m: one of the three is wrong.")
	}
	if people, ok := l.PerHour(); ok && g.PerHour != nil && off(people, *g.PerHour) {
		return entry.Refuse("contradiction", "An interval of "+text(float64(l.Interval), 1)+" s makes "+text(people, 0)+" people an hour, not "+text(*g.PerHour, 0)+".")
	}
	return entry.First(boundInterval.Check(float64(l.Interval)))
}

// PerHour returns the people an hour at full carriers; ok is false where the
// places are not known.
func (l Line) PerHour() (people float64, ok bool) {
	if l.Seats == 0 || l.Interval == 0 {
		return 0, false
	}
	return secondsPerHour * float64(l.Seats) / float64(l.Interval), true
}

// Slowed returns the line at a share of its speed: the spacing stays, the
// interval grows.
func (l Line) Slowed(share quantity.Ratio) (Line, error) {
	if err := entry.First(boundShare.Check(float64(share))); err != nil {
		return Line{}, err
	}
	l.Speed *= quantity.MetrePerSecond(share)
	l.Interval /= quantity.Second(share)
	return l, nil
}

// At returns the line at another speed. The speed of the line must be known.
func (l Line) At(speed quantity.MetrePerSecond) (Line, error) {
	if err := entry.First(boundSpeed.Check(float64(speed))); err != nil {
		return Line{}, err
	}
	if l.Speed == 0 {
		return Line{}, entry.Refuse("missing", "The speed of the lift is not known, so another speed says nothing about the interval.")
	}
	l.Interval = quantity.Second(float64(l.Spacing) / float64(speed))
	l.Speed = speed
	return l, nil
}

// Kind is a kind of lift.
type Kind string

// The kinds.
const (
	FixedChair      Kind = "fixed_chair"
	DetachableChair Kind = "detachable_chair"
	TBar            Kind = "t_bar"  // two on one outfit
	Single          Kind = "single" // one on one outfit
	Carpet          Kind = "carpet"
)

// Kinds lists them.
func Kinds() []Kind { return []Kind{FixedChair, DetachableChair, TBar, Single, Carpet} }

// Published is a published speed or interval held against a lift.
type Published struct {
	What   string
	Low    *float64 // in Unit
	High   *float64
	Unit   string // m/s or s
	Given  float64
	Within bool
	Ref    string
	Status source.Status
}

// Compare holds a lift against what is published for its kind. On foot is a
// person without skis on. Extension is the time the outfit of a surface lift
// takes to pull out. What is missing is left out. Being within is no
// permission.
func Compare(k Kind, l Line, onFoot bool, extension quantity.Second) ([]Published, error) {
	if err := entry.First(boundTime.Check(float64(extension))); err != nil {
		return nil, err
	}
	var items []string
	switch k {
	case FixedChair:
		items = chairRows(l.Seats, onFoot)
	case DetachableChair:
		items = []string{"detachable, speed in the station"}
	case TBar:
		items = []string{"T-bar, least interval"}
	case Single:
		items = []string{"single surface outfit, least interval"}
	case Carpet:
		items = []string{"snow conveyor, standard class", "snow conveyor, fast class"}
	default:
		return nil, entry.Refuse("unknown_kind", "A lift is one of fixed_chair, detachable_chair, t_bar, single, carpet.")
	}
	var out []Published
	for _, item := range items {
		row, _ := source.Table("lifts").Where("item", item).Only()
		p := Published{What: item, Unit: row.Text("unit"), Ref: row.Ref(), Status: row.Status()}
		if low, ok := row.Number("low"); ok {
			if p.Unit == "s" {
				low += float64(extension)
			}
			p.Low = &low
		}
		if high, ok := row.Number("high"); ok {
			p.High = &high
		}
		p.Given = float64(l.Speed)
		if p.Unit == "s" {
			p.Given = float64(l.Interval)
		}
		if p.Given == 0 {
			continue
		}
		const guard = 1e-9
		p.Within = (p.Low == nil || p.Given >= *p.Low-guard) && (p.High == nil || p.Given <= *p.High+guard)
		out = append(out, p)
	}
	return out, nil
}

// chairRows are the rows of the table for a fixed chair.
func chairRows(seats int, onFoot bool) []string {
	const pair, quad = 2, 4
	switch {
	case onFoot && seats > 0 && seats <= pair:
		return []string{"fixed grip, foot passengers, one or two seats", "fixed grip, foot passengers, one or two seats, standard"}
	case onFoot:
		return []string{"fixed grip, foot passengers, more than two seats", "fixed grip, foot passengers, more seats, standard"}
	case seats >= quad:
		return []string{"fixed grip, skiers", "loading limit, skiers, quad chair"}
	}
	return []string{"fixed grip, skiers", "loading limit, skiers, double and triple chair"}
}
