package programme

import (
	"slices"
	"strings"

	"firnhand/core/effort"
	"firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/core/slope"
)

// The kinds of fact about a student on the hill.
const (
	KindHillChoice Kind = "hill_choice" // HillChoice; the latest stands
	KindLiftTimes  Kind = "lift_times"  // LiftTimes; the latest of each lift stands
	KindStops      Kind = "stops"       // MeasuredStops; all stand
	KindEffort     Kind = "effort"      // EffortBasis; the latest stands
)

// HillChoice is the payload of a KindHillChoice fact: where this student skis
// next, and on which step of the fan each side is.
type HillChoice struct {
	Slope ID `json:"slope,omitempty"` // "": none yet
	Lift  ID `json:"lift,omitempty"`  // "": none yet
	// StepLeft and StepRight are steps of the trade's ladder of start angles, 1
	// to 6, by the student's own left and right; 0: none yet.
	StepLeft  int `json:"fan_step_left,omitempty"`
	StepRight int `json:"fan_step_right,omitempty"`
	// StartM is where on the slope they start, m on the map from its top.
	StartM float64 `json:"start_m,omitempty"`
	Note   string  `json:"note,omitempty"`
}

// Step returns the step of a side.
func (c HillChoice) Step(s slope.Side) int {
	if s == slope.Left {
		return c.StepLeft
	}
	return c.StepRight
}

// LiftTimes is the payload of a KindLiftTimes fact: what was timed with this
// student for one lift, on the gear of the day. Rehearsed off the lift it
// counts too.
type LiftTimes struct {
	Lift    ID        `json:"lift"`
	Day     Date      `json:"day"`
	PushM   float64   `json:"push_m"`             // the distance of the pushes
	PushS   []float64 `json:"push_s"`             // each push over it
	SettleS []float64 `json:"settle_s,omitempty"` // from arriving to ready to sit
	StandS  []float64 `json:"stand_s,omitempty"`  // from the word to standing
	ClearS  []float64 `json:"clear_s,omitempty"`  // from standing to the clear place of the lift
	Harness lift.Know `json:"harness_fits,omitempty"`
	Gear    string    `json:"gear,omitempty"` // what they were on, in words
	Note    string    `json:"note,omitempty"`
}

// MeasuredStops is the payload of a KindStops fact: stops of this student
// straight down the fall line, from the word to rest, as measured.
type MeasuredStops struct {
	Day    Date          `json:"day"`
	Slope  ID            `json:"slope,omitempty"`
	Pct    float64       `json:"gradient_pct"` // of the place, downhill positive
	How    string        `json:"how"`          // one of StopWays
	Trials []StopMeasure `json:"trials"`
	Note   string        `json:"note,omitempty"`
}

// StopMeasure is one stop: the speed when the braking begins, and the length
// or the time to rest.
type StopMeasure struct {
	SpeedKmh float64 `json:"speed_kmh"`
	LengthM  float64 `json:"length_m,omitempty"`
	TimeS    float64 `json:"time_s,omitempty"`
}

// EffortBasis is the payload of a KindEffort fact: from where this student's
// effort is known. A walk timed on the level, or a published group; what a
// clinic measured beside it.
type EffortBasis struct {
	Day   Date    `json:"day"`
	WalkM float64 `json:"walk_m,omitempty"`
	WalkS float64 `json:"walk_s,omitempty"`
	// OxygenML is the uptake a clinic measured on that walk, mL/(kg min).
	OxygenML *float64 `json:"walk_vo2_ml_kg_min,omitempty"`
	Group    string   `json:"group,omitempty"` // of effort.Published
	// CapacityML is the greatest uptake a clinic measured, mL/(kg min): one
	// number, or lowest, value and highest.
	CapacityML []float64 `json:"vo2max_ml_kg_min,omitempty"`
	Note       string    `json:"note,omitempty"`
}

// StopWay is a way of stopping.
type StopWay struct{ ID, Label string }

// StopWays lists the ways of stopping (common practice, no source).
var StopWays = []StopWay{
	{"wedge", "Wedge"}, {"outriggers", "Outrigger brake"}, {"turn", "Turn uphill"}, {"side", "Skidding to the side"},
	{"reins", "Held by reins"}, {"other", "Another way"},
}

// StopLabel returns a way of stopping in words.
func StopLabel(id string) string {
	for _, w := range StopWays {
		if w.ID == id {
			return w.Label
		}
	}
	return id
}

// HillChoiceState is a choice as recorded.
type HillChoiceState struct {
	Provenance
	HillChoice
}

// LiftTimesState is what was timed for one lift.
type LiftTimesState struct {
	Provenance
	LiftTimes
}

// StopsState is stops as measured.
type StopsState struct {
	Provenance
	MeasuredStops
}

// EffortState is from where a student's effort is known.
type EffortState struct {
	Provenance
	EffortBasis
}

// OnHill is what a student's record says about the hill.
type OnHill struct {
	Choices   []HillChoiceState // oldest first; the last one stands
	LiftTimes []LiftTimesState  // oldest first; the last one of each lift stands
	Stops     []StopsState      // oldest first
	Efforts   []EffortState     // oldest first; the last one stands
}

// Choice returns where the student skis next; ok is false where nobody has
// said.
func (h OnHill) Choice() (c HillChoiceState, ok bool) {
	if n := len(h.Choices); n > 0 {
		return h.Choices[n-1], true
	}
	return HillChoiceState{}, false
}

// TimesAt returns what was timed for a lift last.
func (h OnHill) TimesAt(id ID) (t LiftTimesState, ok bool) {
	for _, one := range h.LiftTimes {
		if one.Lift == id {
			t, ok = one, true
		}
	}
	return t, ok
}

// takeHill takes a fact about a student on the hill; ok is false where it
// cannot be read, and mine where it is of another kind.
func (p *projection) takeHill(f Fact, from Provenance) (ok, mine bool) {
	h := &p.r.Hill
	switch f.Kind {
	case KindHillChoice:
		c := HillChoiceState{Provenance: from}
		if ok = f.Read(&c.HillChoice) == nil; ok {
			h.Choices = append(h.Choices, c)
		}
	case KindLiftTimes:
		t := LiftTimesState{Provenance: from}
		if ok = f.Read(&t.LiftTimes) == nil; ok {
			h.LiftTimes = append(h.LiftTimes, t)
		}
	case KindStops:
		s := StopsState{Provenance: from}
		if ok = f.Read(&s.MeasuredStops) == nil; ok {
			h.Stops = append(h.Stops, s)
		}
	case KindEffort:
		e := EffortState{Provenance: from}
		if ok = f.Read(&e.EffortBasis) == nil; ok {
			h.Efforts = append(h.Efforts, e)
		}
	default:
		return true, false
	}
	return ok, true
}

func (c *HillChoice) check() error {
	for _, id := range []ID{c.Slope, c.Lift} {
		if id == "" {
			continue
		}
		if err := id.Check(); err != nil {
			return err
		}
	}
	if c.Slope == "" && c.Lift == "" && c.StepLeft == 0 && c.StepRight == 0 {
		return Refuse(CodeInvalid, "There is nothing to record: choose a slope, a lift or a step of the fan.")
	}
	for _, step := range []int{c.StepLeft, c.StepRight} {
		if step < 0 || step > slope.FanSteps {
			return Refuse(CodeInvalid, "A step of the fan is 1 to %d, or none yet.", slope.FanSteps)
		}
	}
	if err := figures(figure{"The start", &c.StartM, 0, MaxRunM, "m from the top", false}); err != nil {
		return err
	}
	return text("The note", &c.Note, MaxText, false, true)
}

// on checks a choice against the hill.
func (c HillChoice) on(h Hill) error {
	if c.Slope != "" {
		s, ok := h.SlopeByID(c.Slope)
		switch {
		case !ok:
			return Refuse(CodeNotFound, "The programme's hill has no such slope.")
		case s.Ended:
			return Refuse(CodeConflict, "%s is no longer used.", s.Name)
		case c.StartM >= s.LengthM():
			return Refuse(CodeInvalid, "The start lies behind the end of %s, which is %.0f m long.", s.Name, s.LengthM())
		}
	} else if c.StartM > 0 {
		return Refuse(CodeInvalid, "A start needs its slope.")
	}
	if c.Lift != "" {
		return onLift(h, c.Lift)
	}
	return nil
}

func onLift(h Hill, id ID) error {
	l, ok := h.LiftByID(id)
	switch {
	case !ok:
		return Refuse(CodeNotFound, "The programme's hill has no such lift.")
	case l.Ended:
		return Refuse(CodeConflict, "%s is no longer used.", l.Name)
	}
	return nil
}

// ofDay checks the day of something measured.
func ofDay(what string, day, today Date) error {
	switch {
	case day.IsZero():
		return Refuse(CodeInvalid, "The day of %s is missing.", what)
	case day.After(today):
		return Refuse(CodeInvalid, "The day of %s, %s, is in the future.", what, day)
	}
	return nil
}

func (t *LiftTimes) check(today Date) error {
	switch t.Harness {
	case "":
		t.Harness = lift.NotKnown
	case lift.Yes, lift.No, lift.NotKnown:
	default:
		return Refuse(CodeInvalid, "Whether the harness fits is yes, no or unknown, not %q.", clip(string(t.Harness)))
	}
	for _, err := range []error{
		t.Lift.Check(), ofDay("timing", t.Day, today),
		figures(figure{"The distance of the pushes", &t.PushM, 0, MaxDistM, "m", true}),
		every("A push", t.PushS, 0, 600, "s"),
		every("A time to settle", t.SettleS, 0, 600, "s"),
		every("A time to stand up", t.StandS, 0, 600, "s"),
		every("A time to get clear", t.ClearS, 0, 600, "s"),
		text("What they were on", &t.Gear, MaxShort, false, false),
		text("The note", &t.Note, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	if len(t.PushS) == 0 {
		return Refuse(CodeInvalid, "Time the student at least once, better three times.")
	}
	return nil
}

func (s *MeasuredStops) check(today Date) error {
	if err := ofDay("the stops", s.Day, today); err != nil {
		return err
	}
	if s.Slope != "" {
		if err := s.Slope.Check(); err != nil {
			return err
		}
	}
	if !slices.ContainsFunc(StopWays, func(w StopWay) bool { return w.ID == s.How }) {
		var ids []string
		for _, w := range StopWays {
			ids = append(ids, w.ID)
		}
		return Refuse(CodeInvalid, "A stop is one of %s, not %q.", strings.Join(ids, ", "), clip(s.How))
	}
	switch {
	case len(s.Trials) == 0:
		return Refuse(CodeInvalid, "There is no stop to record: give a speed with the length or the time to rest.")
	case len(s.Trials) > MaxTimes:
		return Refuse(CodeInvalid, "At most %d stops are recorded at once.", MaxTimes)
	}
	for i := range s.Trials {
		t := &s.Trials[i]
		if err := figures(figure{"The speed of a stop", &t.SpeedKmh, 0, 120, "km/h", true}, figure{"The length of a stop", &t.LengthM, 0, 500, "m", false},
			figure{"The time of a stop", &t.TimeS, 0, 300, "s", false}); err != nil {
			return err
		}
		if (t.LengthM > 0) == (t.TimeS > 0) {
			return Refuse(CodeInvalid, "A stop has a length or a time to rest, one of the two.")
		}
	}
	if err := figures(figure{"The gradient of the place", &s.Pct, -50, 100, "%", false}); err != nil {
		return err
	}
	return text("The note", &s.Note, MaxText, false, true)
}

func (e *EffortBasis) check(today Date) error {
	if err := ofDay("the walk", e.Day, today); err != nil {
		return err
	}
	walked := e.WalkM > 0 || e.WalkS > 0
	switch {
	case !walked && e.Group == "" && len(e.CapacityML) == 0:
		return Refuse(CodeInvalid, "There is nothing to record: give a timed walk, a group, or what a clinic measured.")
	case walked && e.Group != "":
		return Refuse(CodeInvalid, "Give the student's own walk or a group, not both.")
	case walked && (e.WalkM <= 0 || e.WalkS <= 0):
		return Refuse(CodeInvalid, "A timed walk has a distance and a time.")
	case !walked && e.OxygenML != nil:
		return Refuse(CodeInvalid, "Oxygen measured on a walk needs the walk.")
	}
	if _, _, err := e.multiplier(); err != nil {
		return err
	}
	if _, _, err := e.capacity(); err != nil {
		return err
	}
	return text("The note", &e.Note, MaxText, false, true)
}

// multiplier returns what the student's walking costs over that of a healthy
// adult; ok is false where nothing says so.
func (e EffortBasis) multiplier() (m effort.Multiplier, ok bool, err error) {
	switch {
	case e.WalkM > 0:
		m, err = effort.FromWalk(quantity.Metre(e.WalkM), quantity.Second(e.WalkS), e.OxygenML)
	case e.Group != "":
		m, err = effort.OfGroup(e.Group)
	default:
		return m, false, nil
	}
	return m, err == nil, hillFault(err)
}

// capacity returns the greatest uptake as measured; ok is false where nobody
// measured it.
func (e EffortBasis) capacity() (c effort.Capacity, ok bool, err error) {
	v := e.CapacityML
	switch len(v) {
	case 0:
		return c, false, nil
	case 1:
		c, err = effort.NewCapacity(v[0], v[0], v[0])
	case 3:
		c, err = effort.NewCapacity(v[1], v[0], v[2])
	default:
		return c, false, Refuse(CodeInvalid, "The greatest uptake is one number, or the lowest, the value and the highest.")
	}
	return c, err == nil, hillFault(err)
}
