package programme

import "slices"

// KindAssignment is the kind of fact that opens a student's medical details to
// one more person.
const KindAssignment Kind = "assignment" // Assignment; the latest of each person stands

// Assignment is the payload of a KindAssignment fact: until a day a member of
// staff reads this student's medical details too.
type Assignment struct {
	Staff ID     `json:"staff"`
	Until Date   `json:"until"` // last day on which it holds
	Why   string `json:"why"`   // for what it is needed
	Ended bool   `json:"ended,omitempty"`
}

// AssignmentState is an assignment as known.
type AssignmentState struct {
	Provenance
	Assignment
	Holds bool // on the record's day
}

// MaxAssignedDays is the longest time for which medical details are opened at
// once.
const MaxAssignedDays = 180

func (v *Assignment) check(today Date) error {
	if err := v.Staff.Check(); err != nil {
		return err
	}
	if v.Ended {
		return nil
	}
	switch {
	case v.Until.IsZero() || v.Until.Before(today):
		return Refuse(CodeInvalid, "Say until which day the medical details are open; it may not be past.")
	case today.AddDays(MaxAssignedDays).Before(v.Until):
		return Refuse(CodeInvalid, "Medical details are opened for at most %d days at once.", MaxAssignedDays)
	}
	return text("reason", &v.Why, MaxShort, true, false)
}

// takeAssignment keeps the latest of each person.
func (p *projection) takeAssignment(f Fact, from Provenance) (ok, mine bool) {
	if f.Kind != KindAssignment {
		return true, false
	}
	s := AssignmentState{Provenance: from}
	if f.Read(&s.Assignment) != nil {
		return false, true
	}
	s.Holds = !s.Ended && !s.Until.Before(p.r.Day)
	for i := range p.r.Assigned {
		if p.r.Assigned[i].Staff == s.Staff {
			p.r.Assigned[i] = s
			return true, true
		}
	}
	p.r.Assigned = append(p.r.Assigned, s)
	return true, true
}

// opens tells whether somebody may read something of this record: by role, or
// medical details because they work with this student and were assigned.
func (r *Record) opens(a Actor, act Action) bool {
	if a.May(act) {
		return true
	}
	return act == ReadMedical && a.May(ReadWork) && slices.ContainsFunc(r.Assigned, func(s AssignmentState) bool { return s.Holds && s.Staff == a.Staff })
}
