package programme_test

import (
	"testing"

	"firnhand/core/decide"
	"firnhand/programme"
)

// FuzzRecord: whatever bytes a store holds, a record is computed without a
// panic, every fact is in the log, and core can decide on it.
func FuzzRecord(f *testing.F) {
	for _, p := range []string{`{}`, `{"finding":"gait","value":"W3","side":"none","state":"both"}`, `{"consent":"waiver","answer":"given","signed_on":"2027-01-14","expires":"x"}`,
		`{"rule":"G7","reason":"x","because":["y"]}`, `{"hold":"0190a5d0-ac96-774b-8cce-000000000001","in_writing":true,"licence":"nurse","cleared_on":"0001-01-01","valid_until":"9999-12-31"}`,
		`{"name_used":"a","birth_date":"9999-12-31"}`, `[`, `null`, `{"guardian":7}`} {
		f.Add([]byte(p), uint32(0))
		f.Add([]byte(p), uint32(1<<31|77))
	}
	kinds := []programme.Kind{programme.KindStudent, programme.KindGuardian, programme.KindConsent, programme.KindHold, programme.KindClearance,
		programme.KindEvaluationBegun, programme.KindEvaluationClosed, programme.KindFinding, programme.KindNote, programme.KindCard, programme.KindRetraction, "later"}
	v := programme.CoreVocabulary{Table: decide.Standing()}
	f.Fuzz(func(t *testing.T, payload []byte, shape uint32) {
		var facts []programme.Fact
		for i := range 4 {
			fact := programme.Fact{ID: programme.ID("0190a5d0-ac96-774b-8cce-00000000000" + string(rune('0'+i))), Version: 1,
				Kind: kinds[int(shape>>(4*i))%16%len(kinds)], Payload: payload, Seq: int64(i + 1)}
			if i > 0 && shape>>(16+i)&1 == 1 {
				fact.Names = facts[int(shape>>(20+i))%i].ID
			}
			facts = append(facts, fact)
		}
		r := programme.RecordOf("0190a5d0-ac96-774b-8cce-000000000009", facts, programme.Judging{})
		if len(r.Log) != 4 || r.UpTo != 4 || len(r.Consents) != len(programme.ConsentRules) {
			t.Fatalf("record %+v", r)
		}
		for _, h := range r.Holds {
			if h.Status != programme.HoldOpen && h.Status != programme.HoldCleared && h.Status != programme.HoldWithdrawn {
				t.Fatalf("hold without a state: %+v", h)
			}
		}
		v.Table.Decide(v.Input(r))
		v.Holds(r)
	})
}

// FuzzIDAndDate: what is taken comes out as it went in.
func FuzzIDAndDate(f *testing.F) {
	for _, s := range []string{"", "2027-01-14", "2028-02-29", "017f22e2-79b0-7cc3-98c4-dc0c0c07398f", "017F22E2-79B0-7CC3-98C4-DC0C0C07398F", "0000-00-00", "９９９９-01-01"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if d, err := programme.ParseDate(s); err == nil && d.String() != s {
			t.Errorf("%q became %q", s, d)
		} else if err != nil && programme.CodeOf(err) != programme.CodeInvalid {
			t.Errorf("%q: %v", s, err)
		}
		if err := programme.ID(s).Check(); err == nil && len(s) != 36 || err != nil && programme.CodeOf(err) != programme.CodeInvalid {
			t.Errorf("%q: %v", s, err)
		}
	})
}
