package stance

import (
	"slices"
	"strconv"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// What legs and arms are taken to carry when nobody measured it on a scale.
// Legs are scored 0 to 4 from the one-leg stand and the one-leg knee bends, and
// carry the share of the body weight of the figures leg_carries_0 to _4. Arms
// have the score of the push-down, and carry the share arm_carries_0 to _4 of
// what a fit person takes off their feet with the same aid. The shares are
// starting numbers to be signed off; a reading of a bathroom scale is better
// than any of them.

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
	most, _ := percent(id)
	return Limit{Known: true, Most: weight * quantity.Newton(most), From: "leg score " + strconv.Itoa(score), Basis: []string{id}}, nil
}

// ArmLimit returns what one arm of a push-down score is taken to carry through
// an aid, for a body weight: never more than one outrigger takes, and half of a
// frame. A score outside 0 to 4 is refused.
func ArmLimit(score int, aid Aid, weight quantity.Newton) (Limit, error) {
	id, err := scored("arm_carries_", score)
	if err != nil {
		return Limit{}, err
	}
	share, _ := percent(id)
	of := "arms_most_single"
	most, _ := percent(of)
	if aid == Slider {
		of = "arms_most_frame"
		most, _ = percent(of)
		most /= 2
	}
	return Limit{Known: true, Most: weight * quantity.Newton(share*most), From: "push-down score " + strconv.Itoa(score), Basis: []string{id, of}}, nil
}

// ArmsLimit returns what both arms together are taken to carry: what their own
// limits add up to, and no more than a fit person takes off their feet with
// that aid.
func ArmsLimit(aid Aid, left, right Limit, weight quantity.Newton) Limit {
	of := aid.figure()
	if of == "" {
		return Limit{}
	}
	share, _ := percent(of)
	l := Limit{Known: true, Most: weight * quantity.Newton(share), From: "what a fit person takes off their feet", Basis: []string{of}}
	if aid == Slider && left.Known && right.Known && left.Most+right.Most < l.Most {
		l.Most, l.From = left.Most+right.Most, "what both arms push down"
		l.Basis = append(slices.Concat(left.Basis, right.Basis), of)
	}
	return l
}

func scored(figure string, score int) (string, error) {
	if score < 0 || score > 4 {
		return "", refuse("out_of_range", "A strength score is 0 to 4, not %d.", score)
	}
	return figure + strconv.Itoa(score), nil
}

// percent returns a figure in percent as a share.
func percent(id string) (float64, bool) {
	d, ok := source.Figure(id)
	return float64(quantity.Must(quantity.Percent(d.Value))), ok
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
			if score, ok := LegScore(f, c.Side); ok {
				c.Limit, _ = LegLimit(score, w)
			}
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
