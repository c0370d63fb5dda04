package ladder

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/decide"
)

// Aids are what a record belongs to: the way of skiing and the tie, with the
// names of the rule table.
type Aids struct {
	Way string // none, outriggers, one_outrigger_left, slider, one_ski_right ...
	Tie string // none, elastic, rigid, rigid_spacer; "" is none
}

// Setup is what decides which skills are open: the aids, and the route into
// the turns of each direction, with the names of the rule table; "" where it
// is not known.
type Setup struct {
	Aids
	RouteLeft, RouteRight string
}

// The ways and ties of a standing ladder, as the rule table names them. More
// tie is further back.
var (
	ways = []string{"none", "outriggers", "one_outrigger_left", "one_outrigger_right", "slider", "one_ski_left", "one_ski_right"}
	ties = []string{"none", "elastic", "rigid", "rigid_spacer"}
)

var routes = []string{"", "not_used", "wedge", "wedge_early_then_wedgeless", "wedge_or_wedgeless", "wedgeless"}

// Ways lists the ways of skiing that have a ladder.
func Ways() []string { return slices.Clone(ways) }

// Ties lists the ties, least first.
func Ties() []string { return slices.Clone(ties) }

// Error is a refusal: a short code for programs and one sentence for people.
type Error struct {
	Code     string
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

// Refuse returns a refusal.
func Refuse(code, format string, args ...any) *Error {
	return &Error{code, fmt.Sprintf(format, args...)}
}

// Clean returns the aids with what means the same written one way.
func (a Aids) Clean() Aids {
	switch a.Tie {
	case "", "not_used", "carry_elastic": // carried is not fitted
		a.Tie = "none"
	}
	return a
}

// Check refuses aids that are not aids, or do not go together.
func (a Aids) Check() error {
	a = a.Clean()
	switch {
	case a.Way == "sitting":
		return Refuse("sitting", "Sitting has a ladder of its own, kept by the sitting lead; this one is for standing.")
	case !slices.Contains(ways, a.Way):
		return Refuse("unknown_way", "The way of skiing is one of %s, not %q.", strings.Join(ways, ", "), a.Way)
	case !slices.Contains(ties, a.Tie):
		return Refuse("unknown_tie", "The tie is one of %s, not %q.", strings.Join(ties, ", "), a.Tie)
	case a.OneSki() && a.Tie != "none":
		return Refuse("tie_on_one_ski", "One ski has nothing to tie.")
	}
	return nil
}

// Check refuses a set-up with unknown names.
func (s Setup) Check() error {
	for _, r := range []string{s.RouteLeft, s.RouteRight} {
		if !slices.Contains(routes, r) {
			return Refuse("unknown_route", "The route is one of %s, not %q.", strings.Join(routes[2:], ", "), r)
		}
	}
	return s.Aids.Check()
}

// OneSki tells whether there is only one ski.
func (a Aids) OneSki() bool { return strings.HasPrefix(a.Way, "one_ski") }

// Outriggers tells whether there is an outrigger in a hand.
func (a Aids) Outriggers() bool {
	return a.OneSki() || a.Way == "outriggers" || a.OneOutrigger()
}

// OneOutrigger tells whether there is only one.
func (a Aids) OneOutrigger() bool { return strings.HasPrefix(a.Way, "one_outrigger") }

// Slider tells whether the student stands in a slider.
func (a Aids) Slider() bool { return a.Way == "slider" }

// Tied tells whether a tie is fitted.
func (a Aids) Tied() bool { return a.Clean().Tie != "none" }

// Spacer tells whether a spacer bar is fitted.
func (a Aids) Spacer() bool { return a.Tie == "rigid_spacer" }

// Key names a record: "outriggers+elastic".
func (a Aids) Key() string {
	a = a.Clean()
	return a.Way + "+" + a.Tie
}

var wayWords = map[string]string{"none": "without hand aids", "outriggers": "with outriggers", "one_outrigger_left": "with one outrigger, left hand",
	"one_outrigger_right": "with one outrigger, right hand", "slider": "with a slider", "one_ski_left": "on one ski, left leg, with outriggers",
	"one_ski_right": "on one ski, right leg, with outriggers"}

var tieWords = map[string]string{"none": "", "elastic": "with elastic tie", "rigid": "with rigid tie", "rigid_spacer": "with rigid tie and spacer"}

// TieWords says the tie as it stands beside a skill: "with elastic tie"; ""
// without one.
func (a Aids) TieWords() string { return tieWords[a.Clean().Tie] }

// Words says the aids: "with outriggers, with elastic tie".
func (a Aids) Words() string {
	w := wayWords[a.Way]
	if t := a.TieWords(); t != "" {
		w += ", " + t
	}
	return w
}

// covers tells whether b has every aid of a, and perhaps more: what was passed
// with a counts with b.
func (a Aids) covers(b Aids) bool {
	a, b = a.Clean(), b.Clean()
	if slices.Index(ties, a.Tie) > slices.Index(ties, b.Tie) {
		return false
	}
	return a.Way == b.Way || a.Way == "none" && !b.OneSki() || a.OneOutrigger() && b.Way == "outriggers"
}

// Mirror swaps left and right.
func (a Aids) Mirror() Aids {
	if w, ok := strings.CutSuffix(a.Way, "left"); ok {
		a.Way = w + "right"
	} else if w, ok := strings.CutSuffix(a.Way, "right"); ok {
		a.Way = w + "left"
	}
	return a
}

// Mirror swaps left and right.
func (s Setup) Mirror() Setup {
	return Setup{s.Aids.Mirror(), s.RouteRight, s.RouteLeft}
}

// Wedge tells whether both legs can make a wedge: yes, while fresh, no, or not
// known.
type Wedge uint8

// The answers, from none.
const (
	WedgeUnknown Wedge = iota
	WedgeNo
	WedgeFresh
	WedgeYes
)

// Wedge returns whether the set-up has the route of the wedge on both sides.
func (s Setup) Wedge() Wedge {
	least := WedgeYes
	for _, r := range []string{s.RouteLeft, s.RouteRight} {
		w := WedgeNo
		switch r {
		case "":
			w = WedgeUnknown
		case "wedge":
			w = WedgeYes
		case "wedge_early_then_wedgeless":
			w = WedgeFresh
		}
		// One leg that cannot settles it, whatever the other can.
		if w == WedgeNo || least == WedgeNo {
			least = WedgeNo
		} else {
			least = min(least, w)
		}
	}
	return least
}

// Of returns the set-up of a decision. The error names what is still open, and
// refuses a decision that does not stand.
func Of(a *decide.Answer) (Setup, error) {
	var s Setup
	value := func(id string) string {
		if x, ok := a.Axis(id); ok && !x.Open {
			return x.Value
		}
		return ""
	}
	s.Way, s.Tie = value("way"), value("tie")
	s.RouteLeft, s.RouteRight = value("route_left"), value("route_right")
	if s.Way == "" {
		return s, Refuse("way_open", "The way of skiing is not decided yet, so no skill is open.")
	}
	if s.Tie == "" {
		return s, Refuse("tie_open", "The tie is not decided yet, so it is not known which skills are open.")
	}
	s.Aids = s.Aids.Clean()
	return s, s.Check()
}
