package programme

import (
	"errors"
	"slices"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/lesson"
	"firnhand/core/lift"
	"firnhand/core/progress"
	"firnhand/core/quantity"
)

// PlanAsk is what is asked of a lesson.
type PlanAsk struct {
	Day     Date
	Begins  int  // minutes since midnight
	AllDay  bool // the worst of the day counts, whenever the lesson begins
	Minutes int  // on snow
	People  int  // there are, lead included; 0: as many as the student needs
	Goal    string
	Numbers lesson.Numbers
}

// Planned is a lesson as planned from a record and the hill.
type Planned struct {
	Request lesson.Request
	Result  *lesson.Result
	Taken   []string // what was taken for granted, in sentences
	Waits   []decide.Reading
	Stops   string // why nothing can be planned yet; "" where it can
	Goal    string // what would make this a good day, in the student's words
}

// PlanOf plans a lesson for the student of a record. It is pure: what a person
// can do comes from findings and attempts, what there is from the hill and the
// day.
func PlanOf(t *decide.Table, r Record, h Hill, q PlanAsk) (*Planned, error) {
	d := DecisionOf(t, r)
	a := t.Decide(d.Input)
	out := &Planned{}
	if g := d.Input.Findings.Get("goal", finding.NoSide, finding.Fresh); g.Kind == finding.Known {
		out.Goal = g.Text
	}
	s, err := lesson.StudentOf(a)
	if err != nil {
		out.Stops = SentenceOf(planFault(err))
		if x, ok := a.Axis("plan"); ok && x.Open {
			out.Waits = x.WaitsFor
		}
		return out, nil
	}
	s.Goal = q.Goal
	if s.Plan != "PL-H" && s.Plan != "PL-F" {
		if s.Passes, err = progress.Passes(ladder.Standing(), r.History().Attempts); err != nil {
			return nil, planFault(err)
		}
	}
	if s.Effort, err = out.effort(r, d.Input.Findings); err != nil {
		return nil, err
	}
	day := lesson.Day{Minutes: q.Minutes, People: q.People}
	if q.People == 0 {
		day.People = s.People
		if s.People > 0 {
			out.Taken = append(out.Taken, "The people this student needs are taken to be there.")
		}
	}
	snow := d.Input.Findings.Get("snow_today", finding.NoSide, finding.Fresh)
	if def, ok := finding.Lookup("snow_today"); ok && snow.Kind == finding.Known {
		day.Hard = def.Levels[int(snow.X)].ID != def.Normal
	}
	out.hill(&day, h, r.numbers)
	if err := out.cold(&day, t, r, h, q); err != nil {
		return nil, err
	}
	out.Request = lesson.Request{Student: s, Day: day, Numbers: q.Numbers}
	out.Result, err = lesson.Make(out.Request)
	return out, planFault(err)
}

// planFault turns a refusal of the ladder or the plan into the one shape.
func planFault(err error) error {
	var e *ladder.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &e):
		return Refuse(CodeInvalid, "%s", e.Sentence)
	}
	return hillFault(err)
}

// effort reads what moving costs this student.
func (p *Planned) effort(r Record, fs finding.Set) (*lesson.Effort, error) {
	mass := fs.Get("mass_kg", finding.NoSide, finding.Fresh)
	if mass.Kind != finding.Known {
		return nil, nil
	}
	e := &lesson.Effort{Mass: quantity.Kilogram(mass.X)}
	n := len(r.Hill.Efforts)
	if n == 0 {
		return e, nil
	}
	m, ok, err := r.Hill.Efforts[n-1].multiplier()
	if err != nil {
		return nil, err
	}
	if ok {
		e.Multiplier = &m
	}
	c, ok, err := r.Hill.Efforts[n-1].capacity()
	if err != nil {
		return nil, err
	}
	if ok {
		e.Capacity = &c
	}
	return e, nil
}

// hill reads which terrain, carpet and chair there are.
func (p *Planned) hill(day *lesson.Day, h Hill, n Numbers) {
	slopes, lifts := h.InUse()
	for _, s := range slopes {
		g, err := s.Ground(n)
		id := map[Ground]string{GroundFirst: "run_out", GroundFan: "beginner", GroundLift: "novice"}[g]
		if err == nil && id != "" && !slices.Contains(day.Terrains, id) {
			day.Terrains = append(day.Terrains, id)
		}
	}
	if len(slopes) == 0 {
		day.Terrains = []string{"run_out", "beginner"}
		p.Taken = append(p.Taken, "The hill has no slope written down: a run-out and a beginner slope are taken to be there.")
	}
	for _, l := range lifts {
		switch l.What {
		case lift.Carpet:
			day.Carpet = true
		case lift.FixedChair, lift.DetachableChair:
			day.Chair = true
		}
	}
}

// cold reads the watch at the worst of the lesson's time.
func (p *Planned) cold(day *lesson.Day, t *decide.Table, r Record, h Hill, q PlanAsk) error {
	choice, _ := r.Hill.Choice()
	c, err := ColdOn(t, r, h, ColdAsk{Day: q.Day, Now: q.Begins, Slope: choice.Slope, Lift: choice.Lift})
	if err != nil || !c.Known {
		return err
	}
	begun := -1 // the time that holds when the lesson begins
	for i, one := range c.Hours {
		if m, _ := one.Minutes(); m <= q.Begins || begun < 0 {
			begun = i
		}
	}
	for i := range c.Hours {
		m, _ := c.Hours[i].Minutes()
		if !q.AllDay && i != begun && (m < q.Begins || m >= q.Begins+q.Minutes) {
			continue
		}
		if w := &c.Hours[i].Watch; day.Cold == nil || w.ToStop < day.Cold.ToStop {
			day.Cold = w
		}
	}
	return nil
}
