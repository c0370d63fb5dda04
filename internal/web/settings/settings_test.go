package settings_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
)

// TestSignedNumber: a number that the lead signs off changes the answer's
// argument and says who signed.
func TestSignedNumber(t *testing.T) {
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	student := strings.Split(c.URL, "/")[2]
	c.EvaluateMila()
	c.Get("/students/" + student + "/answer").Says("Longest block before a rest 20 min proposed, not signed off yet")
	c.Get("/settings/block_share").Press("Sign it off", map[string]string{"value": "0,6", "signed_by": "Ines, lead"}).Is(http.StatusOK).Says("Signed off by Ines, lead on Thu 14 Jan 2027")
	// 60 % of the 25 minutes that were seen: the arithmetic of the setting's own text.
	c.Get("/students/"+student+"/answer").Says("Longest block before a rest 15 min", "Signed off by Ines, lead")
	c.Get("/settings/block_share").Press("Sign it off", map[string]string{"value": "9", "signed_by": "Ines, lead"}).Is(http.StatusUnprocessableEntity).Says("Write a number between 0.5 and 1")
}
