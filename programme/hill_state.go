package programme

import (
	"errors"
	"math"
	"slices"
	"strings"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/slope"
)

// Shorter names for quantities, for a missing one carried over.
type (
	speedMS    = quantity.MetrePerSecond
	seconds    = quantity.Second
	metresLong = quantity.Metre
)

// of carries over a figure that may be missing.
func of[T quantity.Scalar](v *float64) *T {
	if v == nil {
		return nil
	}
	q := T(*v)
	return &q
}

// hillFault turns a refusal of the engines into the one shape of errors.
func hillFault(err error) error {
	var e *entry.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &e):
		return Refuse(CodeInvalid, "%s", e.Sentence)
	}
	return Fail(CodeInternal, err, "It could not be computed.")
}

// SlopeState is a slope as known.
type SlopeState struct {
	Provenance
	SlopeDetails
}

// LiftState is a lift as known.
type LiftState struct {
	Provenance
	LiftDetails
}

// DayState is a day as known.
type DayState struct {
	Provenance
	DayDetails
}

// GlidesState is glides timed on one part of a slope.
type GlidesState struct {
	Provenance
	TimedGlides
}

// Hill is everything known about the programme's hill at a moment, computed
// from facts.
type Hill struct {
	Slopes []SlopeState  // by name, ended ones too
	Lifts  []LiftState   // by name, ended ones too
	Days   []DayState    // by day
	Glides []GlidesState // oldest first, without those taken back
	UpTo   int64         // Seq of the last fact about the hill; 0: none
}

// hillKinds are the facts that a hill is made from.
var hillKinds = []Kind{KindSlope, KindLift, KindDay, KindGlides, KindRetraction}

// HillOf computes the hill from facts in rising Seq. It is pure. Facts of
// students and of other kinds are left out.
func HillOf(facts []Fact) Hill {
	var h Hill
	mine := slices.DeleteFunc(slices.Clone(facts), func(f Fact) bool { return f.Student != "" || !slices.Contains(hillKinds, f.Kind) })
	var log Record // takes the places; only its log is written
	for _, pl := range log.takePlaces(mine) {
		if !pl.retracted {
			h.take(pl.current(), pl.from())
		}
	}
	for _, f := range mine {
		h.UpTo = max(h.UpTo, f.Seq)
	}
	byName := func(a, b string) int { return strings.Compare(strings.ToLower(a), strings.ToLower(b)) }
	slices.SortStableFunc(h.Slopes, func(a, b SlopeState) int { return byName(a.Name, b.Name) })
	slices.SortStableFunc(h.Lifts, func(a, b LiftState) int { return byName(a.Name, b.Name) })
	slices.SortStableFunc(h.Days, func(a, b DayState) int { return strings.Compare(a.Day.String(), b.Day.String()) })
	return h
}

// take takes one fact; one that cannot be read is left out.
func (h *Hill) take(f Fact, from Provenance) {
	switch f.Kind {
	case KindSlope:
		s := SlopeState{Provenance: from}
		if f.Read(&s.SlopeDetails) == nil {
			h.Slopes = latest(h.Slopes, s, func(o SlopeState) bool { return o.Slope == s.Slope })
		}
	case KindLift:
		l := LiftState{Provenance: from}
		if f.Read(&l.LiftDetails) == nil {
			h.Lifts = latest(h.Lifts, l, func(o LiftState) bool { return o.Lift == l.Lift })
		}
	case KindDay:
		d := DayState{Provenance: from}
		if f.Read(&d.DayDetails) == nil {
			h.Days = latest(h.Days, d, func(o DayState) bool { return o.Day == d.Day })
		}
	case KindGlides:
		g := GlidesState{Provenance: from}
		if f.Read(&g.TimedGlides) == nil {
			h.Glides = append(h.Glides, g)
		}
	}
}

// latest puts one in the place of the one before it of the same thing.
func latest[T any](all []T, one T, same func(T) bool) []T {
	if i := slices.IndexFunc(all, same); i >= 0 {
		all[i] = one
		return all
	}
	return append(all, one)
}

// SlopeByID finds a slope.
func (h Hill) SlopeByID(id ID) (SlopeState, bool) {
	i := slices.IndexFunc(h.Slopes, func(s SlopeState) bool { return s.Slope == id })
	if i < 0 {
		return SlopeState{}, false
	}
	return h.Slopes[i], true
}

// LiftByID finds a lift.
func (h Hill) LiftByID(id ID) (LiftState, bool) {
	i := slices.IndexFunc(h.Lifts, func(l LiftState) bool { return l.Lift == id })
	if i < 0 {
		return LiftState{}, false
	}
	return h.Lifts[i], true
}

// DayOf finds what is known of a day.
func (h Hill) DayOf(day Date) (DayState, bool) {
	i := slices.IndexFunc(h.Days, func(d DayState) bool { return d.Day == day })
	if i < 0 {
		return DayState{}, false
	}
	return h.Days[i], true
}

// GlidesOn returns the glides timed on a day; with a slope, those on it.
func (h Hill) GlidesOn(day Date, on ID) []GlidesState {
	var out []GlidesState
	for _, g := range h.Glides {
		if g.Day == day && (on == "" || g.Slope == on) {
			out = append(out, g)
		}
	}
	return out
}

// InUse returns the slopes and lifts that have not ended.
func (h Hill) InUse() (slopes []SlopeState, lifts []LiftState) {
	for _, s := range h.Slopes {
		if !s.Ended {
			slopes = append(slopes, s)
		}
	}
	for _, l := range h.Lifts {
		if !l.Ended {
			lifts = append(lifts, l)
		}
	}
	return slopes, lifts
}

// Smoothing returns how the stations of a slope become its profile: as they
// are where somebody drew them, else as the trade smooths a recording.
func (d SlopeDetails) Smoothing() slope.Smoothing {
	s := slope.Usual()
	if d.Drawn {
		s.Sigma, s.Dense = 0, 0
	}
	return s
}

// Profile returns the run at equal spacings.
func (d SlopeDetails) Profile() (slope.Profile, error) {
	p, err := slope.Smooth(d.Stations, d.Smoothing())
	return p, hillFault(err)
}

// Pieces returns the run as pieces straight down.
func (d SlopeDetails) Pieces() ([]slope.Piece, error) {
	if d.Drawn {
		return slope.PiecesOf(d.Stations), nil
	}
	p, err := d.Profile()
	if err != nil {
		return nil, err
	}
	return p.Pieces(), nil
}

// LengthM returns the length of the run on the map, m.
func (d SlopeDetails) LengthM() float64 {
	if len(d.Stations) == 0 {
		return 0
	}
	return d.Stations[len(d.Stations)-1].Distance
}

// FallM returns by how much the run falls from top to end, m.
func (d SlopeDetails) FallM() float64 {
	if len(d.Stations) == 0 {
		return 0
	}
	return d.Stations[0].Height - d.Stations[len(d.Stations)-1].Height
}

// MeanPct returns its mean gradient in percent.
func (d SlopeDetails) MeanPct() float64 {
	if length := d.LengthM(); length > 0 {
		return 100 * d.FallM() / length
	}
	return math.NaN()
}

// sameName tells whether two names are one to a reader.
func sameName(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }
