package programme_test

import (
	"strings"
	"testing"
	"time"

	"firnhand/programme"
)

// Known facts only, each witness apart, gear taken out of use: the trade's rules
// for incidents (S11).

func happened() programme.Incident {
	help := 4
	return programme.Incident{Day: date("2027-01-14"), Time: "11:20", Where: "Foot of the carpet", What: "Ski tip caught the mat. Tamsin sat down to the left. No contact.",
		Help: &help, SetUp: "With outriggers", Tags: []string{"og 12", "TIE-3"}, Hurt: "no", Head: "no", Patrol: "no"}
}

func (r *rig) incident(a programme.Actor, id programme.ID) programme.IncidentState {
	r.t.Helper()
	i, err := r.IncidentByID(ctx, a, id)
	if err != nil {
		r.t.Fatal(err)
	}
	return i
}

func TestIncident(t *testing.T) {
	r := newRig(t)
	st := r.student()
	m := r.made()
	r.ok(r.RecordIncident(ctx, instructor, m, st, happened()))
	// The same again: one incident, one tag each.
	if got, err := r.RecordIncident(ctx, instructor, m, st, happened()); err != nil || got.Outcome != programme.Exists {
		t.Errorf("%v %v", got, err)
	}
	out, err := r.Quarantined(ctx, equipment)
	if err != nil || len(out) != 2 || out[0].Tag != "OG12" || out[0].Incident != m.ID || !strings.Contains(out[0].Reason, "2027-01-14") {
		t.Errorf("%v %+v", err, out)
	}

	// Witnesses apart.
	r.ok(r.AddWitness(ctx, scheduler, r.made(), programme.Witness{Incident: m.ID, Text: "I saw the tip catch."}))
	r.ok(r.AddWitness(ctx, equipment, r.made(), programme.Witness{Incident: m.ID, Name: "Ravi, parent", Text: "She went down slowly."}))
	for _, c := range []struct {
		a            programme.Actor
		seen, hidden int
	}{{lead, 2, 0}, {medical, 2, 0}, {scheduler, 1, 1}, {equipment, 1, 1}, {instructor, 0, 2}} {
		if i := r.incident(c.a, m.ID); len(i.Witnesses) != c.seen || i.Hidden != c.hidden {
			t.Errorf("%s reads %d statements, %d hidden", c.a.Name, len(i.Witnesses), i.Hidden)
		}
	}
	if _, err := r.IncidentByID(ctx, technician, m.ID); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("the technician reads it: %v", err)
	}
	if days, err := r.IncidentDays(ctx, technician); err != nil || len(days) != 1 || days[0].ID != m.ID || days[0].Time != "11:20" {
		t.Errorf("%v %+v", err, days)
	}
	if days, _ := r.IncidentDays(ctx, instructor); len(days) != 0 {
		t.Errorf("whoever wrote it is asked for it: %+v", days)
	}
	if log, err := r.Readings(ctx, lead, st, 0); err != nil || len(log) != 2 || log[0].What != "incident" {
		t.Errorf("%v %+v", err, log)
	}

	// A correction stands beside what it replaced.
	better := happened()
	better.What = "Ski tip caught the mat. Tamsin sat down to the right."
	if _, err := r.CorrectIncident(ctx, scheduler, r.made(), st, m.ID, better); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("a stranger corrects: %v", err)
	}
	r.ok(r.CorrectIncident(ctx, instructor, r.made(), st, m.ID, better))
	i := r.incident(lead, m.ID)
	if i.What != better.What || len(i.Earlier) != 1 || i.Earlier[0].What != happened().What || i.ID != m.ID || len(i.Witnesses) != 2 {
		t.Errorf("%+v", i)
	}
	if out, _ := r.Quarantined(ctx, lead); len(out) != 2 {
		t.Errorf("%d items out of use", len(out))
	}

	// Back in use with a reason, by those who may.
	back := programme.GearTag{Tag: "og12", Reason: "Looked at with the equipment lead, whole."}
	if _, err := r.ReleaseGear(ctx, instructor, r.made(), back); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("an instructor releases: %v", err)
	}
	if _, err := r.ReleaseGear(ctx, equipment, r.made(), programme.GearTag{Tag: "og12"}); programme.CodeOf(err) != programme.CodeInvalid {
		t.Errorf("without a reason: %v", err)
	}
	r.ok(r.ReleaseGear(ctx, equipment, r.made(), back))
	if _, err := r.ReleaseGear(ctx, equipment, r.made(), back); programme.CodeOf(err) != programme.CodeConflict {
		t.Errorf("twice: %v", err)
	}
	if out, _ := r.Quarantined(ctx, lead); len(out) != 1 || out[0].Tag != "TIE-3" {
		t.Errorf("%+v", out)
	}
	// An incident stays: it is corrected, not taken out.
	if _, err := r.Retract(ctx, lead, r.made(), st, m.ID, programme.Retraction{Reason: "Never happened"}); programme.CodeOf(err) != programme.CodeConflict {
		t.Errorf("an incident is retracted: %v", err)
	}
	// None of it makes the record unreadable.
	if rec := r.record(st); rec.Unread != 0 {
		t.Errorf("%d facts unread", rec.Unread)
	}
}

// Of nobody, too; and what was written down on snow waits to be written up.
func TestIncidentFromSnow(t *testing.T) {
	r := newRig(t)
	st := r.student()
	r.ok(r.RecordIncident(ctx, technician, r.made(), "", programme.Incident{NearMiss: true, Day: date("2027-01-14"), What: "A slider stood in the doorway."}))
	m := r.made()
	r.ok(r.RecordSnow(ctx, instructor, m, st, programme.SnowEvent{Event: programme.SnowNearMiss, Where: "Carpet", What: "Reins slipped", StoppedBy: "the loop"}))
	all, err := r.Incidents(ctx, lead)
	if err != nil || len(all) != 2 {
		t.Fatalf("%v %+v", err, all)
	}
	if mine, _ := r.Incidents(ctx, instructor); len(mine) != 1 || !mine[0].OnSnow || mine[0].StoppedBy != "the loop" {
		t.Errorf("%+v", mine)
	}
	up := programme.Incident{NearMiss: true, Day: date("2027-01-14"), What: "Reins slipped out of the left hand.", From: m.ID}
	r.ok(r.RecordIncident(ctx, instructor, r.made(), st, up))
	if all, _ := r.Incidents(ctx, lead); len(all) != 2 || all[0].OnSnow || all[1].OnSnow {
		t.Errorf("%+v", all)
	}
}

// The draft is filled from the log.
func TestIncidentDraft(t *testing.T) {
	r := newRig(t)
	st := r.student()
	id := r.lesson(st, "K23 left 4 c c m; K25 right 5 p")
	r.clock.Advance(time.Minute)
	r.ok(r.RecordSnow(ctx, instructor, r.made(), st, programme.SnowEvent{Event: programme.SnowFall, Hurt: "no", Head: "no"}))
	i, log, err := r.IncidentDraft(ctx, instructor, st)
	if err != nil || i.Lesson != id || i.Help == nil || *i.Help != 5 || i.SetUp != "With outriggers" || !strings.HasPrefix(i.Where, "Beginner slope") || i.Day != date("2027-01-14") || i.Time == "" || i.What != "" {
		t.Errorf("%v %+v", err, i)
	}
	if len(log) != 5 || !strings.HasSuffix(log[4], "fall") || !strings.Contains(log[3], "K25 uphill turn") {
		t.Errorf("%q", log)
	}
	if i, log, err := r.IncidentDraft(ctx, technician, st); err != nil || i.Help != nil || log != nil {
		t.Errorf("the technician reads the log: %v %+v %q", err, i, log)
	}
}

func TestIncidentRefuses(t *testing.T) {
	r := newRig(t)
	st := r.student()
	for name, change := range map[string]func(*programme.Incident){
		"What happened is missing": func(i *programme.Incident) { i.What = " " },
		"in the future":            func(i *programme.Incident) { i.Day = date("2027-01-15") },
		"day is missing":           func(i *programme.Incident) { i.Day = programme.Date{} },
		"14:05":                    func(i *programme.Incident) { i.Time = "25:00" },
		"tag has":                  func(i *programme.Incident) { i.Tags = []string{"a<b"} },
		"help level":               func(i *programme.Incident) { n := 9; i.Help = &n },
		"listed parts":             func(i *programme.Incident) { i.Part = "soul" },
		"yes, no or unknown":       func(i *programme.Incident) { i.Hurt = "perhaps" },
		"too long":                 func(i *programme.Incident) { i.What = strings.Repeat("x", programme.MaxText+1) },
	} {
		i := happened()
		change(&i)
		if _, err := r.RecordIncident(ctx, instructor, r.made(), st, i); programme.CodeOf(err) != programme.CodeInvalid || !strings.Contains(programme.SentenceOf(err), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := r.RecordIncident(ctx, instructor, r.made(), r.ids.Next(), happened()); programme.CodeOf(err) != programme.CodeNotFound {
		t.Errorf("of somebody nobody knows: %v", err)
	}
	if _, err := r.AddWitness(ctx, instructor, r.made(), programme.Witness{Incident: r.ids.Next(), Text: "I saw it."}); programme.CodeOf(err) != programme.CodeNotFound {
		t.Errorf("a statement about nothing: %v", err)
	}
	if out, _ := r.Quarantined(ctx, lead); len(out) != 0 {
		t.Errorf("refused incidents took gear out of use: %+v", out)
	}
}
