package stance_test

import (
	"context"
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestMissing: what lacks is named, with a link to where it is entered; without
// a decision there is no stance.
func TestMissing(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	base := "/students/" + strings.Split(c.URL, "/")[2]
	c.Get(base + "/stance").Is(http.StatusOK).Says("The way of skiing is not decided yet").SaysNot("can be held")
	c.Get(base + "/evaluation")
	c.EvaluateMila()
	c.Get(base+"/stance").Is(http.StatusOK).Says("Least load on the arms", "To measure first", "not a clearance")

	student := programme.ID(strings.Split(base, "/")[2])
	r, err := b.Cases.StudentAt(context.Background(), programme.Actor{}, student, programme.AsOf{})
	if err == nil {
		t.Fatalf("a stranger reads %v", r.Student)
	}
	lead, _ := b.Staff("Lene", programme.Lead)
	if r, err = b.Cases.StudentAt(context.Background(), lead, student, programme.AsOf{}); err != nil {
		t.Fatal(err)
	}
	for k, seen := range r.Findings {
		if k.Finding == "mass_kg" {
			if _, err := b.Cases.Retract(context.Background(), lead, programme.Made{ID: b.IDs.Next()}, student, seen.Fact, programme.Retraction{Reason: "wrong scale"}); err != nil {
				t.Fatal(err)
			}
		}
	}
	c.Get(base+"/stance").Is(http.StatusOK).Says("It lacks", "Weight").SaysNot("Least load")
	if to := c.Doc.Find("main a[href$='/intake/wish']").Length(); to != 1 {
		t.Errorf("%d links to where the mass is entered", to)
	}
}
