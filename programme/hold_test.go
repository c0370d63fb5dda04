package programme_test

import (
	"testing"

	"firnhand/core/decide"
	"firnhand/programme"
)

// hold raises G7 by its findings: hip pain on standing. Trade: "Hip at risk:
// hold for surgeon" and "orthopaedic surgeon for hips" (gate rule G7, condition
// sheet, column who clears).
func (r *rig) hip(student programme.ID) programme.HoldState {
	r.t.Helper()
	r.find(student, "hip_pain", "none", "both", "yes")
	open := r.at(student).OpenHolds()
	if len(open) != 1 || open[0].Rule != "G7" {
		r.t.Fatalf("open holds %+v, want G7", open)
	}
	return open[0]
}

func letter(hold programme.ID) programme.Clearance {
	return programme.Clearance{Hold: hold, ClearedBy: "Dr Invented", Licence: "orthopaedic_surgeon", InWriting: true,
		ClearedOn: date("2027-01-14"), ValidUntil: date("2027-03-31"), Paper: "folder 3"}
}

// TestNobodyClearsButOnPaper follows the trade's rule: "Instructors never clear
// a medical hold; the lead only records who cleared it, when, in writing, until
// when. A parent's word is not clearance."
func TestNobodyClearsButOnPaper(t *testing.T) {
	for _, c := range []struct {
		name   string
		who    programme.Actor
		change func(*programme.Clearance)
		code   programme.Code
		words  string
	}{
		{"Instructor", instructor, nil, programme.CodeNotAllowed, "Instructors never clear a hold."},
		{"Scheduler", scheduler, nil, programme.CodeNotAllowed, "Only the lead or the medical reviewer may record a written clearance."},
		{"EquipmentLead", equipment, nil, programme.CodeNotAllowed, "Only the lead or the medical reviewer"},
		{"Technician", technician, nil, programme.CodeNotAllowed, "Only the lead or the medical reviewer"},
		{"Stranger", programme.Actor{}, nil, programme.CodeSignedOut, "Please sign in."},
		{"Parent", lead, func(c *programme.Clearance) { c.Licence = "parent" }, programme.CodeNotClearance, "A parent's, carer's or student's word does not clear a medical hold."},
		{"Instructor's own word", lead, func(c *programme.Clearance) { c.Licence = "instructor" }, programme.CodeNotClearance, `"instructor" is not a licensed role`},
		{"ByPhone", lead, func(c *programme.Clearance) { c.InWriting = false }, programme.CodeNotClearance, "only in writing. The hold stays"},
		{"WrongSpecialist", medical, func(c *programme.Clearance) { c.Licence = "physiotherapist" }, programme.CodeNotClearance, "This hold is not cleared by: physiotherapist. It needs: orthopaedic surgeon"},
		{"Nobody named", lead, func(c *programme.Clearance) { c.ClearedBy = " " }, programme.CodeInvalid, "The name of the person who cleared is missing."},
		{"NoDate", lead, func(c *programme.Clearance) { c.ClearedOn = programme.Date{} }, programme.CodeInvalid, "The date of the letter is missing."},
		{"NoEnd", lead, func(c *programme.Clearance) { c.ValidUntil = programme.Date{} }, programme.CodeInvalid, "Until when the clearance holds is missing."},
		{"Tomorrow's letter", lead, func(c *programme.Clearance) { c.ClearedOn = date("2027-01-15") }, programme.CodeInvalid, "is in the future"},
		{"BackToFront", lead, func(c *programme.Clearance) { c.ValidUntil = date("2027-01-13") }, programme.CodeInvalid, "ends on 2027-01-13, before its date"},
		{"RanOut", lead, func(c *programme.Clearance) { c.ClearedOn, c.ValidUntil = date("2026-12-01"), date("2027-01-13") }, programme.CodeNotClearance, "ran out on 2027-01-13"},
		{"ForEver", lead, func(c *programme.Clearance) { c.ValidUntil = date("2028-01-15") }, programme.CodeInvalid, "at most 12 months from its date, here until 2028-01-14"},
		{"NoSuchHold", lead, func(c *programme.Clearance) { c.Hold = "0190a5d0-ac96-774b-8cce-b302099a8fff" }, programme.CodeNotFound, "no such hold"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t)
			student := r.student()
			h := r.hip(student)
			cl := letter(h.ID)
			if c.change != nil {
				c.change(&cl)
			}
			n := r.count()
			_, err := r.RecordClearance(ctx, c.who, r.made(), student, cl)
			r.refused(n, err, c.code, c.words)
			if len(r.at(student).OpenHolds()) != 1 {
				t.Error("the hold is gone")
			}
		})
	}
}

// TestClearanceRunsOut: the hold is back on the day after the last day.
func TestClearanceRunsOut(t *testing.T) {
	for _, who := range []programme.Actor{lead, medical} {
		r := newRig(t)
		student := r.student()
		h := r.hip(student)
		r.ok(r.RecordClearance(ctx, who, r.made(), student, letter(h.ID)))
		state := func() programme.HoldState { got, _ := r.at(student).HoldByID(h.ID); return got }
		if got := state(); got.Status != programme.HoldCleared || got.Until != date("2027-03-31") ||
			got.Why != "Cleared in writing (orthopaedic surgeon, 2027-01-14) until 2027-03-31." {
			t.Fatalf("after the letter: %+v", got)
		}
		r.clock.Advance(date("2027-03-31").Sub(date("2027-01-14")))
		if got := state(); got.Status != programme.HoldCleared {
			t.Fatalf("on the last day: %+v", got)
		}
		r.days(1)
		if got := state(); got.Status != programme.HoldOpen || !got.Lapsed || got.Why != "The clearance ran out on 2027-03-31; the hold is back." {
			t.Fatalf("the day after: %+v", got)
		}
		if lines, err := r.Students(ctx, scheduler, false); err != nil || !lines[0].Held || lines[0].HoldRules[0] != "G7" {
			t.Fatalf("the list says %+v, %v", lines, err)
		}
		next := letter(h.ID)
		next.ClearedOn, next.ValidUntil = date("2027-04-01"), date("2027-04-30")
		r.ok(r.RecordClearance(ctx, who, r.made(), student, next))
		if got := state(); got.Status != programme.HoldCleared || len(got.Clearances) != 2 {
			t.Fatalf("after a new letter: %+v", got)
		}
		// A retracted clearance never was one.
		last := state().Clearances[1].Fact
		n := r.count()
		_, err := r.Retract(ctx, instructor, r.made(), student, last, programme.Retraction{Reason: "x"})
		r.refused(n, err, programme.CodeNotAllowed, "Instructors never clear")
		r.ok(r.Retract(ctx, who, r.made(), student, last, programme.Retraction{Reason: "letter of another student"}))
		if got := state(); got.Status != programme.HoldOpen {
			t.Fatalf("after the retraction: %+v", got)
		}
	}
}

// TestHoldFromFindings: findings raise the hold in the same append; the same
// values again do not raise another; after a clearance only a changed value
// does, and then the old letter no longer serves.
func TestHoldFromFindings(t *testing.T) {
	r := newRig(t)
	student := r.student()
	v := programme.CoreVocabulary{Table: decide.Standing()}
	gate := func() string { // what core makes of the record
		a := v.Table.Decide(v.Input(r.at(student)))
		x, _ := a.Axis("gate")
		return x.Value
	}
	h := r.hip(student)
	if len(h.Because) == 0 || h.Clearer != "orthopaedic surgeon" || h.By != instructor.Staff {
		t.Fatalf("hold %+v", h)
	}
	r.find(student, "hip_pain", "none", "both", "yes")
	if n := len(r.at(student).Holds); n != 1 {
		t.Fatalf("%d holds after the same finding again", n)
	}
	if in := v.Input(r.at(student)); len(in.Cleared) != 0 || len(in.Held) != 0 {
		t.Fatalf("before the letter core gets %+v", in)
	}
	r.ok(r.RecordClearance(ctx, lead, r.made(), student, letter(h.ID)))
	if in := v.Input(r.at(student)); len(in.Cleared) != 1 || in.Cleared[0] != "G7" {
		t.Fatalf("after the letter core gets cleared %v", in.Cleared)
	}
	r.find(student, "hip_pain", "none", "both", "yes") // known to the surgeon
	if n := len(r.at(student).OpenHolds()); n != 0 {
		t.Fatal("the same value, said again, undid the letter")
	}
	r.days(10)
	r.find(student, "hip_pain", "none", "both", "no")
	r.find(student, "hip_pain", "none", "both", "yes") // new pain
	open := r.at(student).OpenHolds()
	if len(open) != 1 || open[0].ID == h.ID {
		t.Fatalf("new pain after the letter: %+v", open)
	}
	if in := v.Input(r.at(student)); len(in.Cleared) != 0 {
		t.Fatalf("the old letter still counts: %v", in.Cleared)
	}
	if gate() == "none" {
		t.Fatal("core lets the student ski")
	}
	n := r.count()
	_, err := r.RecordClearance(ctx, lead, r.made(), student, letter(open[0].ID))
	r.refused(n, err, programme.CodeNotClearance, "raised anew on 2027-01-24. The letter of 2027-01-14 is older")
	fresh := letter(open[0].ID)
	fresh.ClearedOn = date("2027-01-24")
	r.ok(r.RecordClearance(ctx, lead, r.made(), student, fresh))
	if n := len(r.at(student).OpenHolds()); n != 0 {
		t.Fatal("the new letter does not clear")
	}
	// Findings that no longer say so do not end a hold.
	other := r.student()
	h = r.hip(other)
	r.find(other, "hip_pain", "none", "both", "no")
	if open := r.at(other).OpenHolds(); len(open) != 1 || open[0].ID != h.ID {
		t.Fatalf("a better answer ended the hold: %+v", open)
	}
	if in := v.Input(r.at(other)); len(in.Held) != 1 || in.Held[0] != decide.HoldStanding {
		t.Fatalf("core gets held %v", in.Held)
	}
}

// TestPaperOnFile: saying that a letter is on file is recording a clearance.
func TestPaperOnFile(t *testing.T) {
	r := newRig(t)
	student := r.student()
	for _, id := range []string{"neck_exam", "release_letter", "seizure_letter", "bone_letter", "hip_surgeon_word", "ad_plan"} {
		n := r.count()
		_, err := r.RecordFindings(ctx, instructor, student, []programme.NewFinding{{Finding: f(id, "none", "both", "yes")}})
		r.refused(n, err, programme.CodeNotAllowed, "Instructors never clear a hold.")
		for _, who := range []programme.Actor{lead} {
			if _, err := r.RecordFindings(ctx, who, student, []programme.NewFinding{{Finding: f(id, "none", "both", "yes")}}); err != nil {
				t.Errorf("%s by the lead: %v", id, err)
			}
		}
		if _, err := r.RecordFindings(ctx, instructor, student, []programme.NewFinding{{Finding: f(id, "none", "both", "no")}}); err != nil {
			t.Errorf("no %s by an instructor: %v", id, err)
		}
		fact := r.at(student).Findings[programme.FindingKey{Finding: id, Side: "none", State: "fresh"}].Fact
		n = r.count()
		_, err = r.CorrectFinding(ctx, instructor, r.made(), student, fact, f(id, "none", "both", "yes"))
		r.refused(n, err, programme.CodeNotAllowed, "Instructors never clear a hold.")
	}
}

// TestHoldByHand: raised by those who see the student, ended by a letter alone.
func TestHoldByHand(t *testing.T) {
	r := newRig(t)
	student := r.student()
	n := r.count()
	_, err := r.RaiseHold(ctx, scheduler, r.made(), student, programme.Hold{Reason: "looked grey"})
	r.refused(n, err, programme.CodeNotAllowed, "Tell the lead.")
	_, err = r.RaiseHold(ctx, lead, r.made(), student, programme.Hold{Reason: "\n "})
	r.refused(n, err, programme.CodeInvalid, "The reason of the hold is missing.")
	_, err = r.RaiseHold(ctx, lead, r.made(), student, programme.Hold{Rule: "G99", Reason: "x"})
	r.refused(n, err, programme.CodeUnknown, `There is no gate rule called "G99".`)
	_, err = r.RaiseHold(ctx, lead, r.made(), student, programme.Hold{Reason: "x", Because: []programme.ID{r.ids.Next()}})
	r.refused(n, err, programme.CodeNotFound, "no such fact for the hold")
	first := r.ok(r.RaiseHold(ctx, instructor, r.made(), student, programme.Hold{Reason: "grey and short of breath"}))
	second := r.ok(r.RaiseHold(ctx, lead, r.made(), student, programme.Hold{Reason: "another matter"}))
	if open := r.at(student).OpenHolds(); len(open) != 2 {
		t.Fatalf("open %+v", open)
	}
	c := letter(first)
	c.Licence = "nurse" // nobody was named, so any licensed person
	r.ok(r.RecordClearance(ctx, medical, r.made(), student, c))
	if open := r.at(student).OpenHolds(); len(open) != 1 || open[0].ID != second {
		t.Fatalf("one letter cleared %+v", open)
	}
	// A gate's hold raised again while it is open is the same hold.
	a := r.ok(r.RaiseHold(ctx, lead, r.made(), student, programme.Hold{Rule: "G8", Reason: "fainted"}))
	again, err := r.RaiseHold(ctx, instructor, r.made(), student, programme.Hold{Rule: "G8", Reason: "fainted again"})
	if err != nil || again.Outcome != programme.Exists || again.ID != a {
		t.Fatalf("again = %+v, %v", again, err)
	}
}

// TestWithdrawHold: withdrawing is for mistakes, never a way of clearing.
func TestWithdrawHold(t *testing.T) {
	why := programme.Retraction{Reason: "wrong student"}
	gate := func(r *rig, s programme.ID) programme.ID { return r.hip(s).ID }
	byHand := func(by programme.Actor) func(*rig, programme.ID) programme.ID {
		return func(r *rig, s programme.ID) programme.ID {
			return r.ok(r.RaiseHold(ctx, by, r.made(), s, programme.Hold{Reason: "grey"}))
		}
	}
	corrected := func(r *rig, s programme.ID) programme.ID {
		h := r.hip(s)
		for _, id := range h.Because {
			e := r.at(s)
			for _, seen := range e.Findings {
				if seen.Fact == id {
					v := seen.Finding
					v.Value = "no"
					r.ok(r.CorrectFinding(ctx, instructor, r.made(), s, id, v))
					break
				}
			}
		}
		return h.ID
	}
	for _, c := range []struct {
		name string
		who  programme.Actor
		hold func(*rig, programme.ID) programme.ID
		may  bool
	}{
		{"instructor, own", instructor, byHand(instructor), false},
		{"scheduler", scheduler, byHand(lead), false},
		{"lead, own", lead, byHand(lead), true},
		{"lead, another's", lead, byHand(instructor), false},
		{"lead, another lead's", lead, byHand(lead2), false},
		{"medical reviewer, another's", medical, byHand(instructor), true},
		{"instructor, gate", instructor, gate, false},
		{"lead, gate", lead, gate, false},
		{"medical reviewer, gate", medical, gate, true},
		{"instructor, findings corrected", instructor, corrected, false},
		{"lead, findings corrected", lead, corrected, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t)
			s := r.student()
			h := c.hold(r, s)
			n := r.count()
			_, err := r.Retract(ctx, c.who, r.made(), s, h, why)
			if !c.may {
				r.refused(n, err, programme.CodeNotAllowed, "lear") // "never clear" or "written clearance"
				if len(r.at(s).OpenHolds()) != 1 {
					t.Error("the hold is gone")
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			got, ok := r.at(s).HoldByID(h)
			if !ok || got.Status != programme.HoldWithdrawn || got.Withdrawn != "wrong student" {
				t.Errorf("withdrawn hold = %+v", got)
			}
			_, err = r.RecordClearance(ctx, lead, r.made(), s, letter(h))
			if programme.CodeOf(err) != programme.CodeConflict {
				t.Errorf("clearing a withdrawn hold: %v", err)
			}
		})
	}
}
