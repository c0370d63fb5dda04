package lift_test

import (
	"net/http"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// By hand: 2.4 m at 2.4 m over 4.1 s on the mean and 2 s to settle need 6.1 s;
// the chair leaves 8 s less 1.2 m at 2 m/s, 7.4 s.
func TestLiftPage(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	base := "/students/" + string(s.Student)
	c.Get(base+"/lift").Is(http.StatusOK).Says("needs 6.1 s", "there are 7.4 s", "to be named, never run at", "No lift today", "Could this student be lowered", "Request card for lift staff", "hand stays at the stop button",
		"If the lift stops", "Lift staff decide", "does not ride today", "It allows nothing today")
	c.Get(base + "/lift?at=" + string(s.IDs.Next())).Is(http.StatusNotFound)
	c.Get(base+"/lift/times").Is(http.StatusOK).Press("Save the times", map[string]string{"push_m": "2,4", "push_s": "1.0 1.2", "harness": "no", "gear": "two skis"}).Is(http.StatusOK).Says("The rescue harness does not fit", "two skis")
	before := s.Facts()
	c.Get(base+"/lift/times").Press("Save the times", map[string]string{"push_m": "2.4"}).Is(http.StatusUnprocessableEntity).Says("Write at least one push")
	c.Get(base+"/lift/times").Press("Save the times", map[string]string{"push_m": "", "push_s": "4"}).Is(http.StatusUnprocessableEntity).Says("Write the distance of the pushes")
	c.Get(base+"/lift/times").Press("Save the times", map[string]string{"push_m": "2.4", "push_s": "soon"}).Is(http.StatusUnprocessableEntity).Says("\"soon\" is not a number in s")
	c.Get(base+"/lift/times").Press("Save the times", map[string]string{"push_m": "2.4", "push_s": "4", "settle_s": "9999"}).Is(http.StatusUnprocessableEntity).Says("A time to settle must be")
	if s.Facts() != before {
		t.Error("something was written")
	}
}
