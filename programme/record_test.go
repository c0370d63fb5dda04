package programme_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"firnhand/programme"
)

// TestNewID is the example of RFC 9562, appendix A.6.
func TestNewID(t *testing.T) {
	rnd, _ := hex.DecodeString("0cc318c4dc0c0c07398f")
	got, err := programme.NewID(time.UnixMilli(1645557742000), reader(rnd))
	if err != nil || got != "017f22e2-79b0-7cc3-98c4-dc0c0c07398f" {
		t.Fatalf("got %s, %v", got, err)
	}
	if err := got.Check(); err != nil {
		t.Fatal(err)
	}
	if _, err := programme.NewID(time.UnixMilli(0), reader(rnd[:9])); programme.CodeOf(err) != programme.CodeInternal {
		t.Fatalf("too little randomness: %v", err)
	}
}

type fixed struct{ b []byte }

func reader(b []byte) *fixed { return &fixed{b} }

func (f *fixed) Read(p []byte) (int, error) {
	if len(f.b) == 0 {
		return 0, fmt.Errorf("empty")
	}
	n := copy(p, f.b)
	f.b = f.b[n:]
	return n, nil
}

// TestDate checks civil dates against the Gregorian calendar: 2028 is a leap
// year, 2100 is not (from memory, the 400-year rule).
func TestDate(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{date("2027-01-31").AddMonths(1).String(), "2027-02-28"},
		{date("2028-01-31").AddMonths(1).String(), "2028-02-29"},
		{date("2028-02-29").AddMonths(12).String(), "2029-02-28"},
		{date("2027-11-30").AddMonths(3).String(), "2028-02-29"},
		{date("2100-02-28").AddDays(1).String(), "2100-03-01"},
		{date("2026-12-31").AddDays(1).String(), "2027-01-01"},
		{fmt.Sprint(date("2008-02-29").Years(date("2026-02-28"))), "17"},
		{fmt.Sprint(date("2008-02-29").Years(date("2026-03-01"))), "18"},
		{fmt.Sprint(date("2009-01-14").Years(date("2027-01-13"))), "17"},
		{fmt.Sprint(date("2009-01-14").Years(date("2027-01-14"))), "18"},
		{programme.Date{}.String(), ""},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
	for _, bad := range []string{"2027-02-29", "14.1.2027", "2027-1-4", "x"} {
		if _, err := programme.ParseDate(bad); programme.CodeOf(err) != programme.CodeInvalid {
			t.Errorf("%q was taken for a date: %v", bad, err)
		}
	}
	var d programme.Date
	if err := json.Unmarshal([]byte(`"2027-01-14"`), &d); err != nil || d != date("2027-01-14") {
		t.Errorf("%v, %v", d, err)
	}
	if err := json.Unmarshal([]byte(`7`), &d); programme.CodeOf(err) != programme.CodeInvalid {
		t.Errorf("a number as a date: %v", err)
	}
}

func value(t *testing.T, r programme.Record, finding, side, state string) programme.Seen {
	t.Helper()
	got, ok := r.Current(finding, side, state)
	if !ok {
		t.Fatalf("nothing is recorded for %s %s %s", finding, side, state)
	}
	return got
}

func TestFindings(t *testing.T) {
	r := newRig(t)
	s := r.student()
	eval := r.ok(r.BeginEvaluation(ctx, instructor, r.made(), s, programme.EvaluationBegun{Reason: "first"}))
	made := time.Date(2027, 1, 14, 9, 30, 0, 0, place)
	fs := []programme.NewFinding{
		{Made: programme.Made{ID: r.ids.Next(), At: made}, Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "push_out", Side: "left", State: "both"},
			Value: " 3 ", How: "rail, ski boots", Note: "slow", Evaluation: eval}},
		{Made: r.made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "push_out", Side: "right", State: "fresh"}, Value: "4", Evaluation: eval}},
		{Made: r.made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "push_out", Side: "right", State: "tired"}, Value: "2", Evaluation: eval}},
		{Made: r.made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "gait"}, Value: "w4", Evaluation: eval}},
		{Made: r.made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "load_test"}, Value: "yes", Evaluation: eval}},
	}
	got, err := r.RecordFindings(ctx, instructor, s, fs)
	if err != nil || len(got) != len(fs) {
		t.Fatalf("%v, %v", got, err)
	}
	rec := r.at(s)
	for _, c := range []struct{ finding, side, state, want string }{
		{"push_out", "left", "fresh", "3"}, {"push_out", "left", "tired", "3"},
		{"push_out", "right", "fresh", "4"}, {"push_out", "right", "tired", "2"},
		{"gait", "none", "fresh", "W4"}, {"gait", "none", "tired", "W4"}, {"load_test", "none", "fresh", "yes"},
	} {
		if v := value(t, rec, c.finding, c.side, c.state); v.Value != c.want {
			t.Errorf("%s %s %s = %s, want %s", c.finding, c.side, c.state, v.Value, c.want)
		}
	}
	if _, ok := rec.Current("load_test", "none", "tired"); ok {
		t.Error("the load test has a tired value, which its scale does not know")
	}
	v := value(t, rec, "push_out", "left", "tired")
	if v.By != instructor.Staff || !v.MadeAt.Equal(made) || v.Fact != fs[0].ID || v.Seq != got[0].Seq || v.How != "rail, ski boots" || v.Note != "slow" || v.Corrected() {
		t.Errorf("provenance %+v", v)
	}
	if rec.Evaluations[0].Findings != 5 || rec.Evaluations[0].Closed {
		t.Errorf("evaluation %+v", rec.Evaluations[0])
	}

	// Closing, and what closing stops.
	n := r.count()
	_, err = r.BeginEvaluation(ctx, instructor, r.made(), s, programme.EvaluationBegun{Reason: "return"})
	r.refused(n, err, programme.CodeConflict, "An evaluation of this student is open. Close it first.")
	r.ok(r.CloseEvaluation(ctx, instructor, r.made(), s, programme.EvaluationClosed{Evaluation: eval, Complete: true, Summary: "ready"}))
	n = r.count()
	_, err = r.CloseEvaluation(ctx, instructor, r.made(), s, programme.EvaluationClosed{Evaluation: eval})
	r.refused(n, err, programme.CodeConflict, "That evaluation is closed.")
	late := f("gait", "none", "both", "W5")
	late.Evaluation = eval
	_, err = r.RecordFindings(ctx, instructor, s, []programme.NewFinding{{Finding: late}})
	r.refused(n, err, programme.CodeConflict, "That evaluation is closed.")
	late.Evaluation = r.ids.Next()
	_, err = r.RecordFindings(ctx, instructor, s, []programme.NewFinding{{Finding: late}})
	r.refused(n, err, programme.CodeNotFound, "no such evaluation")
	if e, ok := r.at(s).LastEvaluation(); !ok || e.ID != eval || e.Summary != "ready" || e.Findings != 5 {
		t.Errorf("last evaluation %+v", e)
	}
	if again, err := r.RecordFindings(ctx, instructor, s, fs); err != nil || again[0].Outcome != programme.Exists {
		t.Errorf("sent again after closing: %v, %v", again, err)
	}
}

// TestCorrection: a correction takes the place of the earlier fact, keeps its
// rank, and can itself be corrected; a retraction is for good.
func TestCorrection(t *testing.T) {
	r := newRig(t)
	s := r.student()
	first := r.find(s, "stand_s", "none", "both", "20")
	second := r.find(s, "stand_s", "none", "both", "25")
	// A late correction of the first does not override the second.
	fix := r.ok(r.CorrectFinding(ctx, instructor, r.made(), s, first, f("stand_s", "none", "both", "2")))
	if v := value(t, r.at(s), "stand_s", "none", "fresh"); v.Value != "25" || v.Fact != second {
		t.Fatalf("current %+v", v)
	}
	fix2 := r.ok(r.CorrectFinding(ctx, lead, r.made(), s, fix, f("stand_s", "none", "both", "22")))
	r.ok(r.Retract(ctx, instructor, r.made(), s, second, programme.Retraction{Reason: "was another student"}))
	v := value(t, r.at(s), "stand_s", "none", "tired")
	if v.Value != "22" || v.Fact != fix2 || v.First != first || !v.Corrected() || v.By != lead.Staff {
		t.Fatalf("current %+v", v)
	}
	// The log shows what became of each.
	want := map[programme.ID]programme.Standing{first: programme.Corrected, second: programme.Retracted, fix: programme.Corrected, fix2: programme.Stands}
	for _, e := range r.at(s).Log {
		if st, ok := want[e.Fact]; ok && st != e.Standing {
			t.Errorf("%s is %s, want %s", e.Fact, e.Standing, st)
		}
		if e.Fact == second && (e.Reason != "was another student" || e.ByFact == "") {
			t.Errorf("retracted entry %+v", e)
		}
	}
	// The wrong side: the value moves.
	left := r.find(s, "push_in", "left", "both", "1")
	r.ok(r.CorrectFinding(ctx, instructor, r.made(), s, left, f("push_in", "right", "both", "1")))
	if _, ok := r.at(s).Current("push_in", "left", "fresh"); ok {
		t.Error("the wrong side still has a value")
	}
	if v := value(t, r.at(s), "push_in", "right", "fresh"); v.Value != "1" {
		t.Errorf("the right side %+v", v)
	}
	history := programme.FindingHistory(r.factsOf(s), programme.FindingKey{Finding: "stand_s", Side: "none", State: "fresh"})
	var values []string
	for _, h := range history {
		values = append(values, h.Value)
	}
	if !reflect.DeepEqual(values, []string{"20", "25", "2", "22"}) {
		t.Errorf("history %v", values)
	}

	n := r.count()
	_, err := r.CorrectFinding(ctx, instructor, r.made(), s, second, f("stand_s", "none", "both", "1"))
	r.refused(n, err, programme.CodeConflict, "That finding was retracted. Record it anew.")
	_, err = r.CorrectFinding(ctx, instructor, r.made(), s, r.ids.Next(), f("stand_s", "none", "both", "1"))
	r.refused(n, err, programme.CodeNotFound, "no such finding")
	_, err = r.CorrectNote(ctx, instructor, r.made(), s, first, programme.Note{Class: programme.NoteWork, Text: "x"})
	r.refused(n, err, programme.CodeInvalid, "That is not a note.")
	other := r.student()
	n = r.count()
	_, err = r.CorrectFinding(ctx, instructor, r.made(), other, first, f("stand_s", "none", "both", "1"))
	r.refused(n, err, programme.CodeNotFound, "no such finding")
	_, err = r.Retract(ctx, instructor, r.made(), s, second, programme.Retraction{Reason: "again"})
	r.refused(n, err, programme.CodeConflict, "was retracted")
	details := r.at(s).DetailsFrom.Fact
	_, err = r.Retract(ctx, lead, r.made(), s, details, programme.Retraction{Reason: "x"})
	r.refused(n, err, programme.CodeConflict, "changed, not retracted")
	_, err = r.Retract(ctx, lead, r.made(), s, first, programme.Retraction{})
	r.refused(n, err, programme.CodeInvalid, "The reason of the retraction is missing.")
}

func (r *rig) factsOf(s programme.ID) []programme.Fact {
	r.t.Helper()
	facts, err := r.store.Facts(ctx, programme.Query{Student: s})
	if err != nil {
		r.t.Fatal(err)
	}
	return facts
}

// TestAsOf: whatever is recorded later, the record as of a moment stays as it
// was, so that a card can be made again exactly.
func TestAsOf(t *testing.T) {
	r := newRig(t)
	s := r.student()
	type snap struct {
		as  programme.AsOf
		rec programme.Record
	}
	var snaps []snap
	take := func() {
		rec := r.at(s)
		n, _ := r.store.Counts(ctx)
		snaps = append(snaps, snap{programme.AsOf{Seq: n.LastSeq, Time: r.clock.Now()}, rec})
		r.clock.Advance(time.Minute)
	}
	take()
	g := r.guardian(s)
	first := r.find(s, "gait", "none", "both", "W3")
	h := r.hip(s)
	take()
	r.days(1)
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(self, g)))
	r.ok(r.RecordClearance(ctx, lead, r.made(), s, letter(h.ID)))
	take()
	r.ok(r.IssueCard(ctx, instructor, r.made(), s, programme.Card{UpTo: snaps[2].as.Seq, Digest: fmt.Sprintf("%x", sha256.Sum256(nil)), ForDay: date("2027-01-15")}))
	r.ok(r.CorrectFinding(ctx, instructor, r.made(), s, first, f("gait", "none", "both", "W2")))
	r.ok(r.Retract(ctx, lead, r.made(), s, r.at(s).ConsentOf(programme.ConsentWaiver).Fact, programme.Retraction{Reason: "x"}))
	take()
	r.days(200)
	r.ok(r.ChangeStudent(ctx, lead, r.made(), s, programme.StudentDetails{NameUsed: "Tam", BirthDate: date("1990-05-02"), BindsSelf: programme.BindsYes}))
	r.ok(r.PutSetting(ctx, lead, r.made(), programme.Setting{Name: "adult_age_years", Value: "21", SignedBy: "Lead", SignedOn: date("2027-08-03")}))
	take()
	r.days(1)
	for i, sn := range snaps {
		for _, as := range []programme.AsOf{sn.as, {Time: sn.as.Time}} {
			if got := r.at(s, as); !reflect.DeepEqual(got, sn.rec) {
				t.Errorf("snapshot %d as of %+v is\n%+v\nand was\n%+v", i, as, got, sn.rec)
			}
		}
	}
	if got := r.at(s, snaps[1].as); value(t, got, "gait", "none", "fresh").Value != "W3" || len(got.OpenHolds()) != 1 {
		t.Errorf("as of the second snapshot: %+v", got)
	}
	card := r.at(s).Cards[0]
	who, c, err := r.CardByID(ctx, instructor, card.Fact)
	if err != nil || who != s || c.UpTo != snaps[2].as.Seq {
		t.Fatalf("CardByID = %s, %+v, %v", who, c, err)
	}
	if got := r.at(s, programme.AsOf{Seq: c.UpTo}); !got.ConsentOf(programme.ConsentWaiver).Valid || got.UpTo != c.UpTo {
		t.Errorf("the card's record: %+v", got.ConsentOf(programme.ConsentWaiver))
	}
	if _, err := r.StudentAt(ctx, lead, s, programme.AsOf{Time: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)}); programme.CodeOf(err) != programme.CodeNotFound {
		t.Errorf("before the student came: %v", err)
	}
}

// TestRecordAgainstDumbVersion compares the record of random facts with a
// deliberately simple second version: for each key, walk over all facts, and
// for each finding follow its corrections one by one.
func TestRecordAgainstDumbVersion(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed=%d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	ids := func(i int) programme.ID { return programme.ID(fmt.Sprintf("0190a5d0-ac96-774b-8cce-%012x", i+1)) }
	finds := []string{"a", "b"}
	for range 50_000 {
		var facts []programme.Fact
		n := 1 + rng.IntN(12)
		for i := range n {
			fact := programme.Fact{ID: ids(i), Student: ids(999), Kind: programme.KindFinding, Version: 1, Seq: int64(i + 1), RecordedAt: time.UnixMilli(int64(i))}
			v := f(finds[rng.IntN(2)], []string{"left", "right"}[rng.IntN(2)], []string{"fresh", "tired", "both"}[rng.IntN(3)], fmt.Sprint(i))
			var payload any = v
			if i > 0 && rng.IntN(2) == 0 {
				fact.Names = ids(rng.IntN(i))
				if rng.IntN(3) == 0 {
					fact.Kind, payload = programme.KindRetraction, programme.Retraction{Reason: "x"}
				}
			}
			fact.Payload, _ = json.Marshal(payload)
			facts = append(facts, fact)
		}
		got := programme.RecordOf(ids(999), facts, programme.Judging{})
		for _, id := range finds {
			for _, side := range []string{"left", "right"} {
				for _, state := range []string{"fresh", "tired"} {
					want := dumb(facts, id, side, state)
					if g := got.Findings[programme.FindingKey{Finding: id, Side: side, State: state}].Value; g != want {
						t.Fatalf("seed=%d: %s %s %s is %q, the dumb version says %q; facts %s", seed, id, side, state, g, want, show(facts))
					}
				}
			}
		}
	}
}

func dumb(facts []programme.Fact, id, side, state string) string {
	byID := map[programme.ID]programme.Fact{}
	for _, f := range facts {
		byID[f.ID] = f
	}
	root := func(f programme.Fact) programme.ID { // follow what it names to the beginning
		for f.Names != "" && byID[f.Names].Kind != programme.KindRetraction {
			f = byID[f.Names]
		}
		return f.ID
	}
	want := ""
	for _, first := range facts {
		if first.Kind == programme.KindRetraction || root(first) != first.ID {
			continue
		}
		current, gone := first, false
		for _, f := range facts {
			if f.ID == first.ID || f.Names == "" || root(f) != first.ID || gone {
				continue
			}
			if f.Kind == programme.KindRetraction {
				gone = true
			} else {
				current = f
			}
		}
		var v programme.Finding
		_ = json.Unmarshal(current.Payload, &v)
		if !gone && v.Finding == id && v.Side == side && (v.State == state || v.State == "both") {
			want = v.Value
		}
	}
	return want
}

func show(facts []programme.Fact) string {
	out := ""
	for _, f := range facts {
		out += fmt.Sprintf("\n%d %s %s names %q %s", f.Seq, f.ID[30:], f.Kind, f.Names, f.Payload)
	}
	return out
}
