package programme_test

import (
	"fmt"
	"testing"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/programme"
)

// evaluated is a record in which every finding that has a usual value was
// looked at.
func evaluated(b *testing.B) (programme.CoreVocabulary, programme.Record) {
	var facts []programme.Fact
	for _, d := range finding.All() {
		if d.Normal == "" || programme.FromRecord(d.ID) {
			continue
		}
		sides := []string{"none"}
		if d.Sided {
			sides = []string{"left", "right"}
		}
		for _, side := range sides {
			n := len(facts) + 1
			facts = append(facts, programme.Fact{ID: programme.ID(fmt.Sprintf("0190a5d0-ac96-774b-8cce-%012x", n)), Kind: programme.KindFinding, Version: 1, Seq: int64(n),
				Payload: []byte(fmt.Sprintf(`{"finding":%q,"side":%q,"state":"both","value":%q}`, d.ID, side, d.Normal))})
		}
	}
	r := programme.RecordOf("0190a5d0-ac96-774b-8cce-b302099a8fff", facts, programme.Judging{})
	if r.Unread > 0 || len(r.Findings) < 60 {
		b.Fatalf("%d findings, %d unread", len(r.Findings), r.Unread)
	}
	return programme.CoreVocabulary{Table: decide.Standing()}, r
}

// BenchmarkHolds is what recording a finding adds to look for holds.
func BenchmarkHolds(b *testing.B) {
	v, r := evaluated(b)
	for range b.N {
		v.Holds(r)
	}
}
