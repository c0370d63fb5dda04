package lesson

import (
	"slices"

	"firnhand/core/cold"
	"firnhand/core/decide"
	"firnhand/core/effort"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/quantity"
)

// Error is a refusal: a short code for programs and one sentence for people.
type Error = ladder.Error

func refuse(code, format string, args ...any) *Error { return ladder.Refuse(code, format, args...) }

// Student is what a plan has to know of a person.
type Student struct {
	Setup  ladder.Setup
	Passes []ladder.Pass
	// Plan is that of the rule table: PL-A to PL-D ski standing, PL-F sits,
	// PL-H does not ski today.
	Plan string
	// FirstTerrain is the rule table's terrain for a first lesson.
	FirstTerrain string
	Reins        bool // reins are used
	People       int  // people around the student, lead included
	// BlockMin is the longest block before a rest, minutes; 0 where it is not
	// known.
	BlockMin int
	Split    bool // standing is split: short blocks, long rests
	// HardFirst tells that fresh is better than tired: what is new comes in the
	// first block only.
	HardFirst bool
	// Lagging is the side whose turns lag; NoSide where neither does.
	Lagging finding.Side
	// Goal is a skill of the ladder; "" for the plan's or the next milestone.
	Goal       string
	EasySlopes bool // nothing steep, nothing icy
	ShortRuns  bool // no long braking
	NoLift     bool // could not be lowered from a stopped lift
	// Effort is nil where the mass is not known.
	Effort *Effort
	// Chances replace the usual chance that a skill, worked through once, is
	// passed.
	Chances []Chance
}

// Chance is how likely a skill worked through once is passed.
type Chance struct {
	Skill string
	Side  finding.Side
	Pct   int // 0 to 100
}

// Effort is what moving costs this student.
type Effort struct {
	Mass       quantity.Kilogram
	Multiplier *effort.Multiplier // nil: that of a healthy adult
	Capacity   *effort.Capacity   // nil: not measured, so nothing is budgeted
}

// Day is what there is today.
type Day struct {
	Minutes  int      // on snow
	Terrains []string // that there are beside the flat
	Hard     bool     // ice, slush, crowd or flat light
	Carpet   bool
	Chair    bool
	People   int // lead included
	// Cold is the watch at the worst of the lesson; nil where there is no
	// forecast.
	Cold *cold.Watch
}

// Request is what a plan is made from.
type Request struct {
	Student Student
	Day     Day
	Numbers Numbers
}

// MostMinutes is the longest lesson planned.
const MostMinutes = 180

// Mirror swaps left and right.
func (r Request) Mirror() Request {
	s := &r.Student
	s.Setup, s.Lagging = s.Setup.Mirror(), s.Lagging.Other()
	s.Passes = slices.Clone(s.Passes)
	for i := range s.Passes {
		s.Passes[i] = s.Passes[i].Mirror()
	}
	s.Chances = slices.Clone(s.Chances)
	for i := range s.Chances {
		s.Chances[i].Side = s.Chances[i].Side.Other()
	}
	return r
}

// StudentOf reads from a decision what a plan has to know. Passes, goal, effort
// and chances are the caller's. The error says what is not decided yet.
func StudentOf(a *decide.Answer) (Student, error) {
	var s Student
	plan, ok := a.Axis("plan")
	if !ok || plan.Open {
		return s, refuse("plan_open", "The plan for today is not decided yet: findings are missing.")
	}
	s.Plan = plan.Value
	if s.Plan == "PL-H" || s.Plan == "PL-F" {
		return s, nil
	}
	setup, err := ladder.Of(a)
	if err != nil {
		return s, err
	}
	s.Setup = setup
	people, ok := a.Axis("people")
	if !ok || people.Open {
		return s, refuse("people_open", "How many people this student needs is not decided yet: findings are missing.")
	}
	for _, r := range people.Value {
		s.People = 10*s.People + int(r-'0')
	}
	if t, ok := a.Axis("terrain"); ok && !t.Open {
		s.FirstTerrain = t.Value
	} else {
		s.FirstTerrain = "under_5pct_runout"
	}
	if r, ok := a.Axis("reins"); !ok || r.Open || slices.Contains([]string{"tip_reins", "hip_harness", "frame"}, r.Value) {
		s.Reins = true // open: as if they were
	}
	if w, ok := a.Axis("weaker_turn"); ok && !w.Open {
		s.Lagging = map[string]finding.Side{"left": finding.Left, "right": finding.Right}[w.Value]
	}
	s.HardFirst = !a.Is("order", "usual")
	if b := a.Numbers.BlockMin; b != nil {
		s.BlockMin = int(*b)
	}
	for _, n := range a.Notes {
		switch n.Code {
		case "split_standing":
			s.Split = true
		case "blood_thinner_or_shunt_easy_slopes":
			s.EasySlopes = true
		case "short_runs_no_long_braking":
			s.ShortRuns = true
		case "no_lift_cannot_be_lowered":
			s.NoLift = true
		}
	}
	return s, nil
}

// check refuses what no plan can be made from.
func (r Request) check(l *ladder.Ladder) error {
	s, d := r.Student, r.Day
	if err := r.Numbers.check(); err != nil {
		return err
	}
	if !slices.Contains([]string{"PL-A", "PL-B", "PL-C", "PL-D", "PL-F", "PL-H"}, s.Plan) {
		return refuse("unknown_plan", "The plan is one of PL-A, PL-B, PL-C, PL-D, PL-F, PL-H, not %q.", s.Plan)
	}
	if d.Minutes < 0 || d.Minutes > MostMinutes {
		return refuse("out_of_range", "The minutes on snow lie between 0 and %d, not %d.", MostMinutes, d.Minutes)
	}
	if d.People < 0 || d.People > 20 || s.People < 0 || s.People > 20 {
		return refuse("out_of_range", "The people around a student are between 0 and 20.")
	}
	if s.BlockMin < 0 || s.BlockMin > MostMinutes {
		return refuse("out_of_range", "The longest block lies between 0 and %d minutes, not %d.", MostMinutes, s.BlockMin)
	}
	for _, t := range d.Terrains {
		if _, _, ok := l.Terrain(t); !ok {
			return refuse("unknown_terrain", "There is no terrain %q.", t)
		}
	}
	if _, ok := l.Skill(s.Goal); s.Goal != "" && !ok {
		return refuse("unknown_skill", "The goal is a skill of the ladder, K01 to K37, not %q.", s.Goal)
	}
	for _, c := range s.Chances {
		if _, ok := l.Skill(c.Skill); !ok || c.Pct < 0 || c.Pct > 100 {
			return refuse("out_of_range", "A chance names a skill of the ladder and lies between 0 and 100 percent.")
		}
	}
	return nil
}
