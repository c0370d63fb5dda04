package timeline_test

import (
	"testing"

	"firnhand/core/cold"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/lesson"
	"firnhand/core/quantity"
	"firnhand/internal/picture/timeline"
)

// A plan becomes as many blocks as it has; effort never falls, and the time
// since the last look never passes its limit.
func TestOf(t *testing.T) {
	look := quantity.Must(quantity.Minutes(30))
	w := quantity.Must(cold.Look(quantity.Must(cold.Freeze(-4, 2)), cold.Missing, cold.Limits{Stop: -27, StopReduced: -15, Look: look}))
	r, err := lesson.Make(lesson.Request{
		Student: lesson.Student{Setup: ladder.Setup{Aids: ladder.Aids{Way: "outriggers"}, RouteLeft: "wedge", RouteRight: "wedge"}, Plan: "PL-B",
			FirstTerrain: "under_5pct_runout", People: 2, BlockMin: 20, Lagging: finding.Right, Effort: &lesson.Effort{Mass: 50}},
		Day: lesson.Day{Minutes: 60, Terrains: []string{"run_out"}, People: 2, Cold: &w},
	})
	if err != nil || r.None != nil {
		t.Fatal(err, r.None)
	}
	l := timeline.Of(r)
	if len(l.Blocks) != len(r.Blocks) || len(l.Along) != 2 || len(l.Looks) == 0 || l.Minutes < float64(r.Minutes) {
		t.Fatalf("%+v", l)
	}
	for i := 1; i < len(l.Along[0].Value); i++ {
		if l.Along[0].Value[i] < l.Along[0].Value[i-1] {
			t.Error("effort falls")
		}
	}
	since := l.Along[1]
	for _, v := range since.Value {
		if v < 0 || v > since.Most {
			t.Errorf("%v min since the last look, at most %v", v, since.Most)
		}
	}
	if none := timeline.Of(&lesson.Result{Given: 60}); len(none.Blocks) != 0 {
		t.Error("no plan has blocks")
	}
}
