package measure_test

import (
	"net/http"
	"strings"
	"testing"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// evaluated is the trade's first case, evaluated: 128 cm, 27 kg, outriggers.
func evaluated(t *testing.T) (b *webtest.Bench, c *webtest.Client, base string) {
	t.Helper()
	b = webtest.New(t)
	c = b.First()
	c.MeetMila()
	c.EvaluateMila()
	return b, c, "/students/" + strings.Split(c.URL, "/")[2]
}

// TestMeasures: what is written down is shown with who and when, told in the
// record, used by the stance, and taken back by "unknown".
func TestMeasures(t *testing.T) {
	_, c, base := evaluated(t)
	c.Get(base+"/measures").Is(http.StatusOK).Says("Bathroom scales", "Nothing is measured.")
	c.Get(base+"/measures/stance").Is(http.StatusOK).Says("Bend of the knee, left", "with an angle gauge from the side")
	c.Press("Write it down", nil).Is(http.StatusUnprocessableEntity).Says("Nothing was written down.")
	c.Press("Write it down", map[string]string{"stance_knee_deg.left": "28", "stance_knee_deg.right": "30 degrees", "stance_width_mm.none": "160", "how": "beside the rail"}).Is(http.StatusOK).
		Says("Saved: what was measured.", "Left: 28 degrees", "Right: 30 degrees", "160 mm", "Ines")
	c.Get(base + "/measures/stance").Says("Written down: 28 degrees (Ines,")
	c.Get(base+"/stance").Is(http.StatusOK).SaysNot("bend of the knees", "distance between the feet")
	c.Get(base+"/record").Says("Measured", "Bend of the knee, left: 28 degrees")
	c.Get(base+"/measures/stance").Press("Write it down", map[string]string{"stance_width_mm.none": "unknown"}).Is(http.StatusOK).SaysNot("160 mm")
	for _, to := range []string{"/set-up", "/stance", "/evaluation"} {
		if c.Get(base + to).Is(http.StatusOK); c.Doc.Find("main a[href$='/measures']").Length() == 0 {
			t.Errorf("%s does not lead to the measures", to)
		}
	}
	c.Get(base + "/measures/nothing").Is(http.StatusNotFound)
	if c.Get(base + "/stance/card?in=waiting_down").Is(http.StatusOK); c.Header.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(c.Body, "%PDF") {
		t.Errorf("the stance's card is %s", c.Header.Get("Content-Type"))
	}
}

// TestRefused: bad input gets a sentence, keeps what was typed, and nothing is
// written; what stands out is told and kept.
func TestRefused(t *testing.T) {
	b, c, base := evaluated(t)
	for _, x := range []struct {
		topic, says string
		typed       map[string]string
	}{
		{"stance", "The left knee would bend backwards by 12 degrees", map[string]string{"stance_knee_deg.left": "-12"}},
		{"stance", "Bend of the knee: -60 degrees cannot be right", map[string]string{"stance_knee_deg.left": "-60"}},
		{"limbs", "is longer than the shank", map[string]string{"leg_level.left": "transtibial", "leg_residual_mm.left": "600"}},
		{"limbs", "Weight of the leg prosthesis: -2 kg cannot be right", map[string]string{"leg_level.left": "transtibial", "leg_prosthesis_kg.left": "-2"}},
		{"scales", "The scales show 40.0 kg together, more than the 27.0 kg they can carry by more than their error of 1.0 kg.", map[string]string{"scale_kg.left": "20", "scale_kg.right": "20"}},
		{"scales", "less than the mass of 27.0 kg", map[string]string{"scale_kg.left": "8", "scale_kg.right": "9"}},
		{"lengths", "Breadth of the hips: 36 mm cannot be right", map[string]string{"hip_breadth_mm.none": "36"}},
	} {
		before := b.Facts()
		c.Get(base+"/measures/"+x.topic).Press("Write it down", x.typed).Is(http.StatusUnprocessableEntity).Says(x.says)
		if b.Facts() != before {
			t.Errorf("%s: something was written", x.says)
		}
		for name, value := range x.typed {
			if in := c.Doc.Find("input[name='" + name + "']"); in.AttrOr("type", "") == "text" && in.AttrOr("value", "") != value {
				t.Errorf("%s: %s is not kept", x.says, name)
			}
		}
	}
	// The intake refuses a mass below zero in its own words.
	before := b.Facts()
	c.Get(base+"/intake/wish").Press("Save and continue", map[string]string{webtest.F("mass_kg"): "-27"}).Is(http.StatusUnprocessableEntity).Says("-27 is outside 5 to 250 kg")
	if b.Facts() != before {
		t.Error("a mass below zero was written")
	}
	c.Get(base+"/measures/stance").Press("Write it down", map[string]string{"stance_knee_deg.left": "8"}).Is(http.StatusOK).
		Says("Look again", "left bend of the knee of 8 degrees lies outside 20 to 40", "if it is so, keep it")
	c.Get(base + "/set-up").Says("Look again at what was measured")
	c.Get(base + "/stance").Says("Measured, and out of the usual")
}

// TestRoles: who may fit may measure; the medical reviewer reads.
func TestRoles(t *testing.T) {
	b, c, base := evaluated(t)
	c.Get(base+"/measures/scales").Press("Write it down", map[string]string{"scale_kg.left": "13", "scale_kg.right": "14"}).Is(http.StatusOK)
	for _, x := range []struct {
		role        programme.Role
		read, write int
	}{{programme.Instructor, 200, 200}, {programme.EquipmentLead, 200, 200}, {programme.MedicalReviewer, 200, 403}, {programme.Scheduler, 403, 403}, {programme.Technician, 403, 403}} {
		_, cookie := b.Staff(string(x.role), x.role)
		one := b.Client(cookie)
		one.Get(base + "/measures").Is(x.read)
		one.Get(base + "/measures/scales").Is(x.write)
	}
}

// TestSentTwice: a form sent twice writes once.
func TestSentTwice(t *testing.T) {
	b, c, base := evaluated(t)
	c.Get(base + "/measures/gear")
	doc, url := c.Doc, c.URL
	c.Press("Write it down", map[string]string{"boots_kg.none": "2.1"}).Is(http.StatusOK)
	once := b.Facts()
	c.Doc, c.URL = doc, url
	c.Press("Write it down", map[string]string{"boots_kg.none": "2.1"})
	if n := b.Facts(); n != once || c.Status >= 500 {
		t.Errorf("%d facts more, answer %d", n-once, c.Status)
	}
}
