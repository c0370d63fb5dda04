package programme_test

import (
	"encoding/json"
	"testing"

	"firnhand/internal/clock"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// FuzzImport: whatever a file says, it is taken in whole with the digest it
// names, or refused with nothing written.
func FuzzImport(f *testing.F) {
	f.Add([]byte(`{"form":1,"student":"0190a5d0-ac96-774b-8cce-b302099a8001","facts":[],"digest":""}`))
	f.Add([]byte(`{"form":1,"student":"0190a5d0-ac96-774b-8cce-b302099a8001","digest":"x","facts":[{"id":"0190a5d0-ac96-774b-8cce-b302099a8002","kind":"note","version":1,"author":"","made_at":"2027-01-14T08:00:00Z","payload":{"class":"work","text":"x"}}]}`))
	f.Add([]byte(`{"form":2}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var e programme.Export
		if json.Unmarshal(b, &e) != nil {
			return
		}
		store := programmetest.NewMemory()
		s := programme.New(programme.Config{Store: store, Clock: clock.At(programmetest.Noon), Random: programmetest.NewIDs(1)})
		n, err := s.ImportStudent(ctx, lead, e)
		c, _ := store.Counts(ctx)
		if err != nil && c.Facts != 0 || err == nil && int(c.Facts) != n {
			t.Fatalf("%v, %d told, %d written", err, n, c.Facts)
		}
	})
}
