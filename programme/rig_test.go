package programme_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/internal/clock"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var ctx = context.Background()

// rig is a programme in memory whose clock stands at noon of 14 January 2027
// in a place one hour east of UTC, with one person of each role.
type rig struct {
	t     *testing.T
	store programme.Store
	clock *clock.Fixed
	ids   *programmetest.IDs
	*programme.Service
}

var place = time.FixedZone("place", 3600)

func newRig(t *testing.T) *rig { return rigOn(t, programmetest.NewMemory()) }

func rigOn(t *testing.T, store programme.Store) *rig {
	t.Helper()
	v := programme.CoreVocabulary{Table: decide.Standing()}
	r := &rig{t: t, store: store, clock: clock.At(time.Date(2027, 1, 14, 11, 0, 0, 0, time.UTC)), ids: programmetest.NewIDs(1)}
	r.Service = programme.New(programme.Config{Store: store, Clock: r.clock, Vocabulary: v, Random: r.ids, Zone: place, Holds: v.Holds})
	return r
}

func actor(role programme.Role, n string) programme.Actor {
	return programme.Actor{Staff: programme.ID("0190a5d0-ac96-774b-8cce-b3020990" + n), Name: role.Label(), Roles: []programme.Role{role}}
}

var (
	lead       = actor(programme.Lead, "0001")
	instructor = actor(programme.Instructor, "0002")
	scheduler  = actor(programme.Scheduler, "0003")
	equipment  = actor(programme.EquipmentLead, "0004")
	technician = actor(programme.Technician, "0005")
	medical    = actor(programme.MedicalReviewer, "0006")
	lead2      = actor(programme.Lead, "0007")
	everybody  = []programme.Actor{instructor, lead, scheduler, equipment, technician, medical}
)

// made is a new id with no time of its own.
func (r *rig) made() programme.Made { return programme.Made{ID: r.ids.Next()} }

// date reads a date of a test.
func date(s string) programme.Date {
	d, err := programme.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// days moves the clock.
func (r *rig) days(n int) { r.clock.Advance(time.Duration(n) * 24 * time.Hour) }

// student adds an adult who signs in person.
func (r *rig) student(change ...func(*programme.StudentDetails)) programme.ID {
	r.t.Helper()
	d := programme.StudentDetails{NameUsed: "Tamsin", FullName: "Tamsin Orrel", Language: "en", BirthDate: date("1990-05-02"), BindsSelf: programme.BindsYes}
	for _, c := range change {
		c(&d)
	}
	id := r.ids.Next()
	r.ok(r.AddStudent(ctx, lead, r.made(), id, d))
	return id
}

// ok demands a receipt of a new fact.
func (r *rig) ok(got programme.Receipt, err error) programme.ID {
	r.t.Helper()
	if err != nil || got.Outcome != programme.Created || got.Seq <= 0 {
		r.t.Fatalf("got %+v, %v", got, err)
	}
	return got.ID
}

// at returns the record now, as the lead sees it.
func (r *rig) at(student programme.ID, as ...programme.AsOf) programme.Record {
	r.t.Helper()
	var when programme.AsOf
	if len(as) > 0 {
		when = as[0]
	}
	got, err := r.StudentAt(ctx, lead, student, when)
	if err != nil {
		r.t.Fatal(err)
	}
	return got
}

func (r *rig) find(student programme.ID, finding, side, state, value string) programme.ID {
	r.t.Helper()
	got, err := r.RecordFindings(ctx, instructor, student, []programme.NewFinding{{Made: r.made(), Finding: f(finding, side, state, value)}})
	if err != nil || len(got) != 1 {
		r.t.Fatalf("RecordFindings = %v, %v", got, err)
	}
	return got[0].ID
}

func f(finding, side, state, value string) programme.Finding {
	return programme.Finding{FindingKey: programme.FindingKey{Finding: finding, Side: side, State: state}, Value: value}
}

func (r *rig) count() int64 {
	r.t.Helper()
	n, err := r.store.Counts(ctx)
	if err != nil {
		r.t.Fatal(err)
	}
	return n.Facts
}

// refused demands a code, words of the sentence, and that nothing was written.
func (r *rig) refused(before int64, err error, code programme.Code, words string) {
	r.t.Helper()
	if programme.CodeOf(err) != code || !strings.Contains(programme.SentenceOf(err), words) {
		r.t.Errorf("got %v\nwant code %s and the words %q", err, code, words)
	}
	if n := r.count(); n != before {
		r.t.Errorf("%d facts were written by a refused call", n-before)
	}
}
