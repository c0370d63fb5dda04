//go:build look

package web_test

import (
	"os"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"firnhand/internal/web/webtest"
	"firnhand/programme"
)

// TestGearPictures takes pictures of the set-up sheet and of the binding's
// pages:
//
//	FIRNHAND_SHOTS=/tmp/pictures go test -tags look -run GearPictures ./internal/web
func TestGearPictures(t *testing.T) {
	if os.Getenv("FIRNHAND_SHOTS") == "" {
		t.Fatal("FIRNHAND_SHOTS names no folder for the pictures")
	}
	ctx := browser(t)
	b := webtest.New(t)
	c := b.First()
	c.MeetMila()
	c.EvaluateMila()
	base := "/students/" + strings.Split(c.URL, "/")[2]
	as := func(name string, role programme.Role) *webtest.Client {
		_, cookie := b.Staff(name, role)
		return b.Client(cookie)
	}
	shoot(t, ctx, b, c, map[string]string{"setup-none": base + "/set-up", "setup-propose": base + "/set-up/propose", "binding-none": base + "/binding", "binding-ask": base + "/binding/ask"})
	c.Get(base+"/set-up/propose").Press("Propose from the answer", map[string]string{"crease_left": "61.5", "crease_right": "61", "hole_first": "45", "hole_step": "2.5", "hole_count": "10"})
	measure := c.Doc.Find("a[href$=measure]").AttrOr("href", "")
	c.Get(measure).Press("Write it down", map[string]string{"v.outrigger_handle.left": "62.5", "h.outrigger_handle.left": "8", "v.outrigger_handle.right": "58", "h.outrigger_handle.right": "6"})
	c.Get(base+"/measures/stance").Press("Write it down", map[string]string{"stance_knee_deg.left": "28", "stance_knee_deg.right": "9", "stance_width_mm.none": "160"})
	c.Get(base+"/measures/scales").Press("Write it down", map[string]string{"scale_kg.left": "12", "scale_kg.right": "15"})
	shoot(t, ctx, b, c, map[string]string{"measures": base + "/measures", "measures-scales": base + "/measures/scales", "measures-limbs": base + "/measures/limbs", "stance-waiting": base + "/stance?in=waiting_down"})
	shoot(t, ctx, b, c, map[string]string{"setup-draft": base + "/set-up", "stance": base + "/stance", "stance-across": base + "/stance?in=across_valley_right", "setup-measure": measure})
	values := map[string]string{}
	c.Get(measure).Doc.Find("main form input").Each(func(_ int, in *goquery.Selection) {
		if name := in.AttrOr("name", ""); strings.HasPrefix(name, "v.") && in.AttrOr("type", "") == "radio" {
			values[name] = "as_proposed"
		} else if strings.HasPrefix(name, "v.") && !strings.Contains(name, "handle") {
			values[name] = "7"
		}
	})
	c.Press("Write it down", values).Press("Sign this set-up", nil)
	gear := as("Edmund", programme.EquipmentLead)
	gear.Get(base+"/set-up").Press("Sign this set-up", nil)
	shoot(t, ctx, b, gear, map[string]string{"setup-signed": base + "/set-up"})
	gear.Get(base+"/binding/ask").Press("Ask the technician", map[string]string{"type": "1", "sole_l": "235", "sole_r": "235", "standard_l": "iso_5355_c", "standard_r": "iso_5355_c", "boot_l": "Larch 50", "boot_r": "Larch 50",
		"binding_l": "Tarn 4", "binding_r": "Tarn 4", "ski_l": "Scree 110", "ski_r": "Scree 110", "plate_l": "none", "plate_r": "none", "lent": "yes"})
	tech := as("Bertil", programme.Technician)
	request := tech.Get(base+"/binding").Doc.Find("a[href$=test]").AttrOr("href", "")
	shoot(t, ctx, b, tech, map[string]string{"bindings": "/bindings", "binding-waits": base + "/binding", "binding-test": request})
	tech.Get(request).Press("Record and sign", map[string]string{"toe_l": "1.75", "toe_r": "1.75", "heel_l": "1.75", "heel_r": "2", "twist_l": "17 17 18", "twist_r": "17 18 22", "lean_l": "64 66 64", "lean_r": "64 64 65",
		"instrument": "bench 2", "tested_on": "2027-01-14", "valid_until": "2027-12-31", "technician": "Bertil Osk", "signed": "yes"})
	shoot(t, ctx, b, tech, map[string]string{"binding-recorded": base + "/binding"})
	gear.Get(base+"/set-up/changed").Press("The gear changed", map[string]string{"what": "boots", "side": "none", "note": "one size up"})
	gear.Get(base+"/set-up/propose").Press("Propose from the answer", nil)
	shoot(t, ctx, b, gear, map[string]string{"setup-again": base + "/set-up", "setup-changed": base + "/set-up/changed"})
}
