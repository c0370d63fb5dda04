package stance_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
)

// Sitting back is the usual fault (trade: hips behind, weight on the hands, or
// falling back). A centre of mass behind the boots cannot be held; leaning
// forward, a heel lift and a helper must be among what is offered, and none of
// what makes it worse.
func TestChangesWhenSittingBack(t *testing.T) {
	s := fourPoints(0, -0.05)
	list, err := stance.Changes(s)
	if err != nil {
		t.Fatal(err)
	}
	codes := []string{}
	for _, c := range list {
		codes = append(codes, c.Code)
		for _, id := range c.Basis {
			if !source.Known(id) {
				t.Errorf("%s stands on %q, which nobody knows", c.Code, id)
			}
		}
	}
	for _, want := range []string{"lean_forward", "heel_lift", "slider", "helper_steadies"} {
		if !slices.Contains(codes, want) {
			t.Errorf("%s is not offered among %v", want, codes)
		}
	}
	for _, not := range []string{"lean_back", "outriggers_ahead", "outriggers_wider"} {
		if slices.Contains(codes, not) {
			t.Errorf("%s is offered, and buys nothing", not)
		}
	}
	// Statics: 5 cm behind the feet's line and 3 cm to spare (a figure) want a
	// push of W x 8 cm / 90 cm at the least.
	i := slices.IndexFunc(list, func(c stance.Change) bool { return c.Code == "helper_steadies" })
	least := 70 * 9.80665 * 0.08 / 0.9
	if f := float64(list[i].Force); f < least-0.5 || f > least*1.5 {
		t.Errorf("a helper pushes with %.1f N, at least %.1f are needed", f, least)
	}
}

// A change is worth what a new analysis of the changed stance says.
func TestChangesAreWhatTheySay(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 18))
	seen := map[string]int{}
	for range 200 {
		s := someone(r)
		before := analyse(t, s)
		list, err := stance.Changes(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range list {
			seen[c.Code]++
			if c.Code == "outriggers_wider" {
				with := s
				with.Contacts = slices.Clone(s.Contacts)
				for i := range with.Contacts {
					if k := &with.Contacts[i]; k.Kind == stance.Runner {
						d := quantity.Metre(source.Value("try_outrigger") / 100)
						if k.Side == finding.Left {
							d = -d
						}
						k.Rear.X, k.Front.X = k.Rear.X+d, k.Front.X+d
					}
				}
				after := analyse(t, with)
				if !after.RegionEmpty {
					near(t, "reserve", float64(c.Reserve), float64(after.Reserve.Value()), 1e-9)
					if !before.RegionEmpty {
						near(t, "bought", float64(c.Buys), float64(after.Reserve.Value()-before.Reserve.Value()), 1e-9)
					}
				}
			}
			if c.Force == 0 && c.Buys <= 0 && float64(c.Carried) <= float64(before.Carried) {
				t.Errorf("%s buys nothing: %+v", c.Code, c)
			}
			if math.IsNaN(float64(c.Reserve)) || c.Sentence == "" {
				t.Errorf("unfinished change %+v", c)
			}
		}
	}
	for _, code := range []string{"outriggers_wider", "outriggers_ahead", "outriggers_back", "feet_wider", "second_outrigger", "slider",
		"lean_forward", "lean_right", "lean_back", "lean_left", "heel_lift", "helper_steadies", "helper_carries"} {
		if seen[code] == 0 {
			t.Errorf("%s never came up", code)
		}
	}
}

// A slider steadies, it does not carry (trade, rule D1): legs that cannot carry
// are not made to by any change but a helper.
func TestWeakLegsStayWeak(t *testing.T) {
	s := fourPoints(0, 0.05)
	w := s.BodyWeight()
	for i := range s.Contacts[:2] {
		s.Contacts[i].Limit = stance.AtMost(w/5, "scale")
	}
	s.Contacts[2].Limit, s.Contacts[3].Limit = stance.AtMost(w/4, ""), stance.AtMost(w/4, "")
	s.Arms = stance.AtMost(w/2, "")
	r := analyse(t, s)
	if r.Verdict != stance.NotHeld || !r.RegionEmpty {
		t.Fatalf("%v, region empty %v", r.Verdict, r.RegionEmpty)
	}
	list, err := stance.Changes(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range list {
		if c.Verdict == stance.Held {
			t.Errorf("%s is said to hold a weight that legs and arms cannot carry", c.Code)
		}
	}
	i := slices.IndexFunc(list, func(c stance.Change) bool { return c.Code == "helper_carries" })
	if i < 0 {
		t.Fatal("no helper is asked to carry")
	}
	near(t, "a helper carries", float64(list[i].Force/w), 0.1, 1e-9)
}
