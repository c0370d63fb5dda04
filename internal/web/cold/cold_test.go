package cold_test

import (
	"net/http"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

func TestColdPage(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	base := "/students/" + string(s.Student)
	c.Get(base+"/cold").Is(http.StatusOK).Says("Wind chill", "above the stop", "Feeling was not tested, so it counts as missing", "after 15.0 min, then every 20.0 min at most", "gives no warning", "What moving costs cannot be worked out yet", "Weight", "never a target")
	c.Get("/students/"+string(s.Student)+"/intake/wish").Press("Save", map[string]string{webtest.F("mass_kg"): "58"}).Is(http.StatusOK)
	c.Get(base+"/cold").Is(http.StatusOK).Says("times, this student, walked 240 m in 6.0 min", "Rest owed", "kcal a minute", "Sliding downhill")
	c.Get(base+"/effort").Is(http.StatusOK).Press("Save", map[string]string{"walk_m": "300", "walk_min": "6", "capacity": "20 23 26"}).Is(http.StatusOK).Says("walked 300 m", "% of the capacity")
	before := s.Facts()
	c.Get(base+"/effort").Press("Save", map[string]string{"walk_m": "300", "walk_min": ""}).Is(http.StatusUnprocessableEntity).Says("a distance and a time")
	c.Get(base+"/effort").Press("Save", map[string]string{"capacity": "26 23 20"}).Is(http.StatusUnprocessableEntity).Says("must not lie above")
	c.Get(base+"/effort").Press("Save", map[string]string{"walk_m": "", "walk_min": "", "capacity": ""}).Is(http.StatusUnprocessableEntity).Says("nothing to record")
	if s.Facts() != before {
		t.Error("something was written")
	}
}
