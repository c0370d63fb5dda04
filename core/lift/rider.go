package lift

import (
	"slices"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/quantity"
)

// Know is yes, no, or not known yet.
type Know string

// The three.
const (
	Yes      Know = "yes"
	No       Know = "no"
	NotKnown Know = "unknown"
)

// Rider is what the lift needs to know of a student: what to do, no diagnosis.
type Rider struct {
	Mass *quantity.Kilogram // nil: not known
	// Way of skiing by the decision's values, such as "slider"; "" while open.
	Way      string
	Tie      bool
	Spacer   bool
	Reins    bool
	WeakSide finding.Side // the student's; NoSide where neither

	// Strapped is whether the rule "strap and a helper on both sides" holds.
	Strapped Know
	// Sugar is whether sugar is checked before boarding, SinceCheck when it
	// was last, and SugarEvery how often the programme asks for it.
	Sugar      Know
	SinceCheck *quantity.Second
	SugarEvery quantity.Second
	// Lowered is whether the student could be lowered from a stopped lift
	// today; Harness whether the rescue harness fits.
	Lowered Know
	Harness Know
	// TwoLift is whether two people must lift.
	TwoLift Know
	// FeelsLess is whether a part cannot warn of cold or pressure.
	FeelsLess Know
	// Alert is whether patrol needs the emergency plan that is on the card.
	Alert Know
	// CannotBend are joints in words: "left knee".
	CannotBend []string
	// Bar is whether the carrier has a bar that comes down.
	Bar Know
	// Held are the reasons of holds in force, OpenHolds of those not yet
	// known.
	Held, OpenHolds []Reason
}

// Reason is why something holds, with its basis.
type Reason struct {
	ID, Because string
	Basis       []string
}

// FromAnswer fills a rider from a decision and the findings it was made from.
// What neither says is left not known: the harness, the bar, the last check of
// sugar.
func FromAnswer(a *decide.Answer, fs finding.Set, sugarEvery quantity.Second) Rider {
	r := Rider{Strapped: No, Sugar: No, Alert: No, Harness: NotKnown, Bar: NotKnown, SugarEvery: sugarEvery,
		Lowered: answered(fs, "can_be_lowered"), TwoLift: answered(fs, "two_person_lift"), FeelsLess: feelsLess(fs)}
	if m := fs.Get("mass_kg", finding.NoSide, finding.Fresh); m.Kind == finding.Known {
		kg := quantity.Kilogram(m.X)
		r.Mass = &kg
	}
	if x, ok := a.Axis("way"); ok && !x.Open {
		r.Way = x.Value
	}
	if x, ok := a.Axis("tie"); ok && !x.Open {
		r.Tie = slices.Contains([]string{"elastic", "rigid", "rigid_spacer"}, x.Value)
		r.Spacer = x.Value == "rigid_spacer"
	}
	if x, ok := a.Axis("reins"); ok && !x.Open {
		r.Reins = slices.Contains([]string{"tip_reins", "hip_harness", "frame"}, x.Value)
	}
	switch {
	case a.Is("helper_side", "left"):
		r.WeakSide = finding.Left
	case a.Is("helper_side", "right"):
		r.WeakSide = finding.Right
	}
	for _, g := range a.Gates {
		r.gate(g)
	}
	if r.Alert == No && answered(fs, "shunt") != No {
		r.Alert = answered(fs, "shunt")
	}
	return r
}

// gate reads one gate of the decision.
func (r *Rider) gate(g decide.GateAnswer) {
	state := Yes
	if g.Open {
		state = NotKnown
	}
	switch g.ID {
	case "G4L":
		r.Strapped = state
	case "G10":
		r.Sugar = state
	case "G9L", "G11L", "G12":
		if r.Alert != Yes {
			r.Alert = state
		}
	}
	if g.Cleared || g.Effect == decide.NoEffect.String() || g.Effect == decide.RuleOnly.String() {
		return
	}
	reason := Reason{g.ID, g.Because, g.Basis}
	if g.Open {
		r.OpenHolds = append(r.OpenHolds, reason)
	} else {
		r.Held = append(r.Held, reason)
	}
}

// answered reads a yes/no finding.
func answered(fs finding.Set, id string) Know {
	v := fs.Get(id, finding.NoSide, finding.Fresh)
	d, _ := finding.Lookup(id)
	if v.Kind != finding.Known {
		return NotKnown
	}
	return Know(d.Levels[int(v.X)].ID)
}

func feelsLess(fs finding.Set) Know {
	d, _ := finding.Lookup("sensation")
	all := Know(No)
	if answered(fs, "poor_circulation") == Yes || answered(fs, "spina_bifida") == Yes {
		return Yes
	}
	for _, side := range []finding.Side{finding.Left, finding.Right} {
		v := fs.Get("sensation", side, finding.Fresh)
		switch {
		case v.Kind == finding.Unknown:
			all = NotKnown
		case v.Kind == finding.Known && d.Levels[int(v.X)].ID != "full":
			return Yes
		}
	}
	return all
}

// slider, outriggers and sitting tell what the rider brings to the lift.
func (r Rider) slider() bool { return r.Way == "slider" }

func (r Rider) sitting() bool { return r.Way == "sitting" }

func (r Rider) outriggers() bool {
	return r.Way == "outriggers" || strings.HasPrefix(r.Way, "one_outrigger") || strings.HasPrefix(r.Way, "one_ski")
}
