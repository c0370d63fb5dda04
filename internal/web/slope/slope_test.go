package slope_test

import (
	"net/http"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// The page says first how it stands, with the sides apart, and every caution.
func TestSlopePage(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Lead])
	base := "/students/" + string(s.Student)
	c.Get(base+"/slope").Is(http.StatusOK).Says("Lower Larch, from the top", "Held:", "It allows nothing today", "Left: step 3 of 6, 45 degrees", "speed not known", "The student's weight is not known", "never a recommendation", "Local rules, lift staff and ski patrol come first")
	if c.Doc.Find("main svg").Length() != 1 { // the run; no speeds without a weight
		t.Errorf("%d pictures", c.Doc.Find("main svg").Length())
	}
	weigh(s)
	c.Get(base+"/slope").Is(http.StatusOK).Says("Left: step 3 of 6, 45 degrees", "Right: step 5 of 6, 75 degrees", "Straight down, nothing slowing", "Run-out needed after the end, braking as measured", "40 m are there",
		"what could happen, not what to do", "Move one step only after three clean stops", "from glides timed here today", "Wedge, 1 measured", "Braking friction was not published")
	if n := c.Doc.Find("main svg").Length(); n != 3 {
		t.Errorf("%d pictures, not fan, run and speed", n)
	}
	// Reins and a wanted speed are asked without writing anything.
	before := s.Facts()
	c.Get(base+"/slope?handler_kg=75&handler_mu=0.25+0.35&slack_m=0.4&kmh=8").Is(http.StatusOK).Says("Slope beyond which the pair no longer stops", "No line is ever wrapped round a hand", "Never let go of a moving student", "A straight run that ends at 8.0 km/h", "Start lower than this first")
	c.Get(base + "/slope?handler_kg=75").Is(http.StatusOK).Says("The reins need the handler's mass and the friction")
	c.Get(base + "/slope?kmh=fast").Is(http.StatusOK).Says("\"fast\" is not a number in km/h")
	c.Get(base + "/slope?handler_kg=-4&handler_mu=0.3").Is(http.StatusOK).Says("The mass must be above 0")
	if s.Facts() != before {
		t.Error("asking wrote something")
	}
	c.Get(base + "/slope?on=" + string(s.IDs.Next())).Is(http.StatusNotFound)
}

// weigh records the weight that speeds need.
func weigh(s *webtest.Seeded) {
	s.T.Helper()
	c := s.Client(s.Cookies[programme.Lead])
	c.Get("/students/"+string(s.Student)+"/intake/wish").Press("Save", map[string]string{webtest.F("mass_kg"): "58"})
	if c.Status != http.StatusOK {
		s.T.Fatalf("the weight was not saved: %d", c.Status)
	}
}

func TestChoose(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	base := "/students/" + string(s.Student)
	c.Get(base+"/slope/choose").Is(http.StatusOK).Press("Save the choice", map[string]string{"step_left": "4", "step_right": "0", "start": "60", "lift": "none"}).Is(http.StatusOK).
		Says("from 60 m below the top", "Right: no step of the fan yet")
	c.Get(base + "/lift").Is(http.StatusOK).Says("No lift is chosen")
	before := s.Facts()
	c.Get(base+"/slope/choose").Press("Save the choice", map[string]string{"start": "900"}).Is(http.StatusUnprocessableEntity).Says("behind the end of Lower Larch")
	c.Get(base+"/slope/choose").Press("Save the choice", map[string]string{"start": "top"}).Is(http.StatusUnprocessableEntity).Says("\"top\" is not a number in m")
	if s.Facts() != before {
		t.Error("something was written")
	}
}

func TestStops(t *testing.T) {
	s := webtest.Seed(webtest.New(t))
	c := s.Client(s.Cookies[programme.Instructor])
	base := "/students/" + string(s.Student)
	c.Get(base+"/slope/stops").Is(http.StatusOK).Says("Measured stops").Press("Save the stops", map[string]string{"how": "outriggers", "speed_1": "9 km/h", "length_1": "4,5", "speed_2": "8", "time_2": "2.2"}).Is(http.StatusOK).Says("Outrigger brake, 2 measured")
	before := s.Facts()
	for _, one := range []struct {
		values map[string]string
		words  string
	}{
		{map[string]string{"how": "wedge"}, "There is no stop to record"},
		{map[string]string{"how": "wedge", "speed_1": "9"}, "a length or a time to rest"},
		{map[string]string{"how": "wedge", "speed_1": "9", "length_1": "4", "time_1": "2"}, "one of the two"},
		{map[string]string{"speed_1": "9", "length_1": "4"}, "Say how they stop"},
		{map[string]string{"how": "wedge", "speed_1": "9", "length_1": "4", "pct": ""}, "gradient of the place"},
	} {
		c.Get(base+"/slope/stops").Press("Save the stops", one.values).Is(http.StatusUnprocessableEntity).Says(one.words)
	}
	if s.Facts() != before {
		t.Error("something was written")
	}
}
