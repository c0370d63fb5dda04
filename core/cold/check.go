package cold

import (
	"firnhand/core/entry"
	"firnhand/core/finding"
	"firnhand/core/quantity"
)

// Feel is what a part of the body can feel.
type Feel string

// What a part can feel.
const (
	Full     Feel = "full"
	Reduced  Feel = "reduced" // or poor circulation
	Missing  Feel = "missing"
	NotKnown Feel = "unknown" // taken as missing until somebody has looked
)

// Feels lists them.
func Feels() []Feel { return []Feel{Full, Reduced, Missing, NotKnown} }

// Limits are the programme's own numbers.
type Limits struct {
	Stop        quantity.Celsius // wind chill at which lessons stop
	StopReduced quantity.Celsius // the same with reduced feeling or poor circulation
	Look        quantity.Second  // feet that feel less are looked at this often
}

func (l Limits) check() error {
	return entry.First(boundStop.Check(float64(l.Stop)), boundStop.Check(float64(l.StopReduced)), boundEvery.Check(float64(l.Look)))
}

// Watch is what the cold asks for.
type Watch struct {
	Freezing Freezing
	Feel     Feel
	// StopAt is the wind chill at which this student's lesson stops, and Stop
	// whether it is that cold. ToStop is how far it is away, in whole
	// degrees; below zero past it.
	StopAt float64
	Stop   bool
	ToStop float64
	// Timed tells whether parts are looked at by the clock. First is when for
	// the first time; Longest is what later looks may be apart when everything
	// is warm. Both are zero in the coldest band: nobody stays out.
	Timed          bool
	First, Longest quantity.Second
	Say            []string
}

// Look returns what the cold asks for of a student with a part that feels so
// much. With a stop in force the times are for the way in, not for going on.
func Look(f Freezing, feel Feel, by Limits) (Watch, error) {
	if err := by.check(); err != nil {
		return Watch{}, err
	}
	w := Watch{Freezing: f, Feel: feel, StopAt: whole.Round(float64(by.Stop))}
	switch feel {
	case Full:
	case Reduced, Missing, NotKnown:
		w.StopAt = whole.Round(max(float64(by.StopReduced), float64(by.Stop)))
	default:
		return Watch{}, entry.Refuse("unknown_feel", "Feeling is one of full, reduced, missing, unknown.")
	}
	chill := f.Chill.Printed()
	w.ToStop = chill - w.StopAt
	w.Stop = f.Chill.Known && chill <= w.StopAt
	w.timer(by)
	w.words()
	return w, nil
}

// timer sets when to look.
func (w *Watch) timer(by Limits) {
	k := known()
	minutes := func(m float64) quantity.Second { return quantity.Must(quantity.Minutes(m)) }
	f := w.Freezing
	switch w.Feel {
	case Full:
		if !f.Freezes {
			return
		}
		w.First, w.Longest = f.Least, f.Least
	case Reduced:
		w.First, w.Longest = by.Look, by.Look
		if f.Freezes {
			w.First, w.Longest = min(w.First, half(f.Least)), min(w.Longest, f.Least)
		}
	default:
		w.First, w.Longest = min(minutes(k.numbStart), by.Look), min(minutes(k.numbMost), by.Look)
		if f.Freezes {
			w.First, w.Longest = min(w.First, half(f.Least)), min(w.Longest, half(f.Least))
		}
	}
	w.Timed = true
}

// half is the time after which a part that cannot feel is looked at.
func half(t quantity.Second) quantity.Second {
	return quantity.Second(float64(t) * known().numbShare)
}

// Halved returns the time after which a part that cannot feel is looked at,
// where bare skin has a time; zero otherwise.
func (f Freezing) Halved() quantity.Second { return half(f.Least) }

// words says it.
func (w *Watch) words() {
	say := func(s string) { w.Say = append(w.Say, s) }
	switch {
	case w.Stop:
		say("Stop: the wind chill is at or past the programme's stop of " + text(w.StopAt, 0) + ". Indoors now.")
	case !w.Freezing.Chill.Known:
		say("No wind chill at this temperature; wet and wind still cool.")
	default:
		say("The programme's stop for this student is " + text(w.StopAt, 0) + ", " + text(w.ToStop, 0) + " away.")
	}
	if w.Feel == NotKnown {
		say("Nobody has tested the feeling: taken as missing until somebody has.")
	}
	if !w.Timed {
		return
	}
	every := text(w.First.Minutes(), 1)
	switch {
	case w.First == 0:
		say("Bare skin freezes at once: nobody stays out.")
	case w.Feel == Full:
		say("Bare skin may freeze after " + every + " minutes: cover it, and look at faces, ears and fingers before that.")
	case w.Stop && !w.Freezing.Freezes:
		say("Indoors look at every part that feels less, at once, by eye and hand.")
	case w.Stop:
		say("On the way in look at the parts that cannot feel after " + every + " minutes at the latest.")
	case w.First < w.Longest:
		say("Look at the parts that feel less by eye and hand after " + every + " minutes; found warm, every " + text(w.Longest.Minutes(), 1) + " minutes at most.")
	default:
		say("Look at the parts that feel less by eye and hand every " + every + " minutes at most.")
	}
}

// Moment is a moment of a forecast.
type Moment struct {
	Air  quantity.Celsius
	Wind quantity.MetrePerSecond // at 10 m
}

// Through returns the worst of standing, skiing and riding at a moment: the
// student's own speed and the chair's, each head-on into the wind.
func Through(m Moment, own, chair quantity.MetrePerSecond) (worst Freezing, felt quantity.MetrePerSecond, err error) {
	felt, err = Felt(m.Wind, max(own, chair))
	if err != nil {
		return Freezing{}, 0, err
	}
	worst, err = Freeze(m.Air, felt)
	return worst, felt, err
}

// FeelOf returns what the part of a person that feels least can feel, from the
// findings: the feet, and poor circulation. A foot that cannot be tested
// because it is not there is left out.
func FeelOf(fs finding.Set) Feel {
	worst := Full
	worse := func(f Feel) {
		rank := map[Feel]int{Full: 0, Reduced: 1, NotKnown: 2, Missing: 3}
		if rank[f] > rank[worst] {
			worst = f
		}
	}
	for _, side := range []finding.Side{finding.Left, finding.Right} {
		worse(read(fs, "sensation", side, map[string]Feel{"none": Missing, "reduced": Reduced, "full": Full}))
	}
	for _, id := range []string{"poor_circulation", "spina_bifida"} {
		// Not asked is not a reason by itself to take a foot for numb.
		if f := read(fs, id, finding.NoSide, map[string]Feel{"yes": Reduced, "no": Full}); f != NotKnown {
			worse(f)
		}
	}
	return worst
}

// read reads a finding of named levels.
func read(fs finding.Set, id string, side finding.Side, as map[string]Feel) Feel {
	d, ok := finding.Lookup(id)
	v := fs.Get(id, side, finding.Fresh)
	switch {
	case !ok || v.Kind == finding.Unknown:
		return NotKnown
	case v.Kind == finding.NotApplicable:
		return Full
	}
	return as[d.Levels[int(v.X)].ID]
}
