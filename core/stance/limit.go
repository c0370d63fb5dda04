package stance

import (
	"slices"
	"strconv"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// What legs and arms are taken to carry when nobody measured it on a scale, as
// ranges: what the findings show that they carry, what is taken, and what is
// not ruled out.
//
// Legs are scored 0 to 4 from the one-leg stand and the one-leg knee bends
// (figures leg_carries_0 to _4). What both legs were seen to do raises that:
// free standing, the load test in ski boots, walking (figures leg_shown_...).
// Somebody who walks steadily carries all of their weight on each leg in turn,
// however badly they stand on one. Arms have the score of the push-down, and
// carry the share arm_carries_0 to _4 of what a fit person takes off their feet
// with the same aid. All these shares are starting numbers to be signed off; a
// reading of a bathroom scale is better than any of them.

// Aid is what the arms lean on.
type Aid uint8

// The aids.
const (
	NoAid   Aid = iota
	OneHand     // one outrigger
	Pair        // an outrigger in each hand
	Slider      // a frame
)

// figure returns the figure that says how much of the body weight a fit person
// takes off their feet with an aid.
func (a Aid) figure() string {
	switch a {
	case OneHand:
		return "arms_most_single"
	case Pair:
		return "arms_most_pair"
	case Slider:
		return "arms_most_frame"
	}
	return ""
}

// AidOf returns the aid that the contacts of a stance make.
func AidOf(contacts []Contact) Aid {
	runners, frames := 0, 0
	for _, c := range contacts {
		switch c.Kind {
		case Runner:
			runners++
		case Frame:
			frames++
		}
	}
	switch {
	case frames > 0:
		return Slider
	case runners > 1:
		return Pair
	case runners == 1:
		return OneHand
	}
	return NoAid
}

// LegLimit returns what a leg of a score is taken to carry, for a body weight.
// A score outside 0 to 4 is refused.
func LegLimit(score int, weight quantity.Newton) (Limit, error) {
	id, err := scored("leg_carries_", score)
	if err != nil {
		return Limit{}, err
	}
	return shareOf(id).times(weight, "leg score "+strconv.Itoa(score), id), nil
}

// ArmLimit returns what one arm of a push-down score is taken to carry through
// an aid, for a body weight: never more than one outrigger takes, and half of a
// frame. A score outside 0 to 4 is refused.
func ArmLimit(score int, aid Aid, weight quantity.Newton) (Limit, error) {
	id, err := scored("arm_carries_", score)
	if err != nil {
		return Limit{}, err
	}
	of, half := "arms_most_single", 1.0
	if aid == Slider {
		of, half = "arms_most_frame", 0.5
	}
	arm, most := shareOf(id), shareOf(of)
	return shares{arm.value * most.value * half, arm.low * most.low * half, arm.high * most.high * half}.
		times(weight, "push-down score "+strconv.Itoa(score), id, of), nil
}

// ArmsLimit returns what both arms together are taken to carry: what their own
// limits add up to, and no more than a fit person takes off their feet with
// that aid.
func ArmsLimit(aid Aid, left, right Limit, weight quantity.Newton) Limit {
	of := aid.figure()
	if of == "" {
		return Limit{}
	}
	l := shareOf(of).times(weight, "what a fit person takes off their feet", of)
	if aid != Slider || !left.Known || !right.Known {
		return l
	}
	a, b := left.Range(), right.Range()
	if sum := a.Value() + b.Value(); sum < l.Most {
		l.Most, l.From = sum, "what both arms push down"
		l.Basis = append(slices.Concat(left.Basis, right.Basis), of)
	}
	l.Low, l.High = min(l.Low, a.Low()+b.Low(), l.Most), max(min(l.High, a.High()+b.High()), l.Most)
	if l.High == 0 { // arms that carry nothing
		l.Low = 0
	}
	return l
}

func scored(figure string, score int) (string, error) {
	if score < 0 || score > 4 {
		return "", refuse("out_of_range", "A strength score is 0 to 4, not %d.", score)
	}
	return figure + strconv.Itoa(score), nil
}

// shares are what is taken, what is shown and what is not ruled out, as shares
// of a weight.
type shares struct{ value, low, high float64 }

// shareOf reads a figure in percent.
func shareOf(id string) shares {
	d, ok := source.Figure(id)
	if !ok {
		panic("stance: there is no figure " + id)
	}
	of := func(pct float64) float64 { return float64(quantity.Must(quantity.Percent(pct))) }
	return shares{of(d.Value), of(d.Low), of(d.High)}
}

// times makes a limit of shares.
func (s shares) times(weight quantity.Newton, from string, basis ...string) Limit {
	w := float64(weight)
	return Limit{Known: true, Most: quantity.Newton(s.value * w), Low: quantity.Newton(s.low * w), High: quantity.Newton(s.high * w), From: from, Basis: basis}
}

// LegScore scores a leg from the findings, by the worse of fresh and tired: 4
// stands on it 10 s with a hand touch and bends five times, 3 does one of the
// two nearly, 2 holds for a moment or bends once, 1 does neither, 0 cannot be
// loaded. It is not known where neither the stand nor the bends are.
func LegScore(f finding.Set, side finding.Side) (score int, known bool) {
	if d, ok := finding.Lookup("leg"); ok {
		if v := f.Get("leg", side, finding.Fresh); v.Kind == finding.Known {
			switch d.Levels[int(v.X)].ID {
			case "absent", "cannot_load", "above_knee":
				return 0, true
			}
		}
	}
	stand, standKnown := worse(f, "one_leg_s", side)
	bends, bendsKnown := worse(f, "one_leg_bends", side)
	holds := source.Value("one_leg_holds")
	switch {
	case !standKnown && !bendsKnown:
		return 0, false
	case stand >= holds && bends >= source.Value("one_leg_bends_all"):
		return 4, true
	case stand >= holds || bends >= source.Value("one_leg_bends_few"):
		return 3, true
	case stand > 0 || bends > 0:
		return 2, true
	}
	return 1, true
}

// Leg returns what a leg is taken to carry by everything the findings show of
// it, for a body weight. It is not known where they show nothing.
func Leg(f finding.Set, side finding.Side, weight quantity.Newton) Limit {
	score, scored := LegScore(f, side)
	if scored && score == 0 {
		l, _ := LegLimit(0, weight)
		return l
	}
	other, otherScored := LegScore(f, side.Other())
	lone := otherScored && other == 0
	weaker := scored && otherScored && !lone && score < other

	var s shares
	var from string
	var basis []string
	take := func(id, words string, times float64) {
		one := shareOf(id)
		one.value, one.low = min(1, one.value*times), min(1, one.low*times)
		s.low = max(s.low, one.low)
		if one.value > s.value {
			s.value, from = one.value, words
		}
		basis = append(basis, id)
	}
	if scored {
		id := "leg_carries_" + strconv.Itoa(score)
		s, from, basis = shareOf(id), "leg score "+strconv.Itoa(score), []string{id}
	}
	// What both legs do together, the only leg does alone.
	together := func(id, words string) {
		switch {
		case lone:
			take(id, words+" on this leg alone", 2)
		case weaker:
			take("leg_shown_free_weaker", words+", as the weaker leg", 1)
		default:
			take(id, words, 1)
		}
	}
	if free, ok := worse(f, "stand_s", finding.NoSide); ok && free >= source.Value("leg_shown_free_s") {
		together("leg_shown_free", "stands free")
	}
	if pass, ok := worse(f, "load_test", finding.NoSide); ok && pass > 0 {
		together("leg_shown_load", "stood the load test")
	}
	switch walks, ok := worse(f, "gait", finding.NoSide); {
	case !ok || lone:
	case walks >= steadily:
		take("leg_shown_walk_5", "walks steadily", 1)
	case walks >= oneCane:
		take("leg_shown_walk_4", "walks with one cane or none", 1)
	}
	if len(basis) == 0 {
		return Limit{}
	}
	if !scored { // no test of it failed
		s.high = shareOf("leg_carries_4").high
	}
	s.high = max(s.high, s.value)
	return s.times(weight, from, basis...)
}

// Levels of walking, as the vocabulary counts them.
const (
	oneCane  = 4 // W4
	steadily = 5 // W5
)

// ArmScore returns the push-down score of an arm, the worse of fresh and tired.
func ArmScore(f finding.Set, side finding.Side) (score int, known bool) {
	v, ok := worse(f, "push_down", side)
	return int(v), ok
}

// worse returns the smaller of the fresh and the tired value. One that cannot
// be tested counts as not known.
func worse(f finding.Set, id string, side finding.Side) (least float64, known bool) {
	for _, state := range []finding.State{finding.Fresh, finding.Tired} {
		if v := f.Get(id, side, state); v.Kind == finding.Known && (!known || v.X < least) {
			least, known = v.X, true
		}
	}
	return least, known
}

// FromFindings fills in the limits of contacts and of both arms that are not
// known yet from an evaluation. What the findings leave open stays not known.
func (s *Stance) FromFindings(f finding.Set) {
	w, aid := s.BodyWeight(), AidOf(s.Contacts)
	var arms [2]Limit
	for i, side := range []finding.Side{finding.Left, finding.Right} {
		if score, ok := ArmScore(f, side); ok {
			arms[i], _ = ArmLimit(score, aid, w)
		}
	}
	for i := range s.Contacts {
		c := &s.Contacts[i]
		if c.Limit.Known {
			continue
		}
		switch c.Kind {
		case Ski:
			c.Limit = Leg(f, c.Side, w)
		case Runner:
			c.Limit = arms[0]
			if c.Side == finding.Right {
				c.Limit = arms[1]
			}
		}
	}
	if !s.Arms.Known {
		s.Arms = ArmsLimit(aid, arms[0], arms[1], w)
	}
}
