package verify

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"firnhand/core/source"
)

// A closing check reads a table the way its author built it: the parts must
// make the whole. It finds slips in copying, and in print.

// number returns a cell that must hold a number.
func number(r source.Row, column string) float64 {
	v, ok := r.Number(column)
	if !ok {
		return math.NaN() // fails whatever check it enters
	}
	return v
}

// single returns the one row where each pair of column and text holds.
func single(table string, pairs ...string) source.Row {
	s := source.Table(table)
	for i := 0; i+1 < len(pairs); i += 2 {
		s = s.Where(pairs[i], pairs[i+1])
	}
	r, ok := s.Only()
	if !ok {
		panic("verify: not one row of " + table + " where " + strings.Join(pairs, " "))
	}
	return r
}

// closing makes a check of a sum. The tolerance is what rounding each of the
// printed terms to half of step can add up to.
func closing(table, id, what, unit, expected string, got float64, terms int, step float64) Check {
	s := source.Table(table)
	ref := s.Ref
	if ref == "" {
		ref = s.Rows()[0].Ref()
	}
	return Check{ID: table + "/" + id, What: what, Source: ref, Status: s.Status, Unit: unit, Expected: expected, Got: got,
		Tolerance: float64(terms) * step / 2, Note: "closing; " + strconv.Itoa(terms) + " rounded terms"}
}

var sexes = []struct{ code, word string }{{"F", "women"}, {"M", "men"}}

// adultChecks closes the tables of adult bodies.
func adultChecks() []Check {
	var checks []Check
	for _, sex := range sexes {
		checks = append(checks, deLevaMasses(sex.code, sex.word)...)
		checks = append(checks, deLevaRadii(sex.code, sex.word)...)
	}
	checks = append(checks, winterMasses()...)
	checks = append(checks, winterRadii()...)
	for _, col := range []string{"male", "female"} {
		sum := 0.0
		for _, r := range source.Table("plagenhoef1983").Rows() {
			m := number(r, "mass_pct_"+col)
			if seg := r.Text("segment"); seg != "Head and neck" && seg != "Trunk" {
				m *= 2
			}
			sum += m
		}
		checks = append(checks, closing("plagenhoef1983", "mass_"+col, "masses of all segments, "+col, "%", "100", sum, 14, 0.01))
	}
	return append(checks, giancoli(), chandler())
}

func deLevaMasses(sex, word string) []Check {
	mass := func(segment string) float64 {
		return number(single("deleva1996", "sex", sex, "set", "main", "segment", segment), "mass_pct")
	}
	whole := mass("Head") + mass("Trunk") + 2*(mass("Upper arm")+mass("Forearm")+mass("Hand")+mass("Thigh")+mass("Shank")+mass("Foot"))
	parts := mass("Upper trunk") + mass("Middle trunk") + mass("Lower trunk")
	trunk := single("deleva1996", "sex", sex, "set", "main", "segment", "Trunk").Text("mass_pct")
	low := strings.ToLower(sex)
	return []Check{
		closing("deleva1996", "mass_"+low, "masses of all segments, "+word, "%", "100", whole, 14, 0.01),
		closing("deleva1996", "trunk_"+low, "upper, middle and lower trunk together, "+word, "%", trunk, parts, 4, 0.01),
	}
}

// deLevaRadii uses that a radius of gyration is a length of the body: printed
// in percent of two different segment lengths, it must come out the same.
func deLevaRadii(sex, word string) []Check {
	var checks []Check
	axes := []string{"radius_sagittal_pct", "radius_transverse_pct", "radius_longitudinal_pct"}
	for _, alt := range source.Table("deleva1996").Where("sex", sex).Where("set", "alt").Rows() {
		main := single("deleva1996", "sex", sex, "set", "main", "segment", alt.Text("segment"))
		worst, tolerance := 0.0, 0.0
		for _, axis := range axes {
			a, ta := millimetres(alt, axis)
			m, tm := millimetres(main, axis)
			if d := math.Abs(a - m); d/(ta+tm) >= worst/math.Max(tolerance, guard) {
				worst, tolerance = d, ta+tm
			}
		}
		checks = append(checks, Check{
			ID:     "deleva1996/radius_" + strings.ToLower(sex) + "_" + strings.ToLower(strings.ReplaceAll(alt.Text("segment")+"_"+alt.Text("endpoints"), " ", "_")),
			What:   "radii of the " + strings.ToLower(alt.Text("segment")) + " over " + alt.Text("endpoints") + " against " + main.Text("endpoints") + ", " + word + ": largest difference",
			Source: "deLeva1996", Unit: "mm", Expected: "0.0", Got: worst, Tolerance: tolerance, Note: "closing",
		})
	}
	return checks
}

// millimetres returns a radius and what the rounding of its two printed
// factors leaves open.
func millimetres(r source.Row, axis string) (mm, tolerance float64) {
	const half = 0.05 // both are printed to one decimal
	length, percent := number(r, "mean_length_mm"), number(r, axis)
	return length * percent / 100, (length*half + percent*half) / 100
}

func winterMasses() []Check {
	m := func(segment string) float64 {
		return number(single("winter_dempster", "segment", segment), "mass_fraction")
	}
	var checks []Check
	for _, c := range []struct {
		whole string
		sum   float64
		terms int
		step  float64
	}{
		{"Forearm hand", m("Forearm") + m("Hand"), 3, 0.001},
		{"Total arm", m("Upper arm") + m("Forearm hand"), 3, 0.001},
		{"Foot leg", m("Foot") + m("Leg"), 3, 0.0005},
		{"Total leg", m("Foot leg") + m("Thigh"), 3, 0.001},
		{"Thorax abdomen", m("Thorax") + m("Abdomen"), 3, 0.001},
		{"Abdomen pelvis", m("Abdomen") + m("Pelvis"), 3, 0.001},
		{"Trunk", m("Thorax") + m("Abdomen") + m("Pelvis"), 4, 0.001},
		{"Trunk head neck", m("Trunk") + m("Head neck"), 3, 0.001},
		{"HAT", m("Trunk head neck") + 2*m("Total arm"), 4, 0.001},
	} {
		printed := single("winter_dempster", "segment", c.whole).Text("mass_fraction")
		id := "mass_" + strings.ToLower(strings.ReplaceAll(c.whole, " ", "_"))
		checks = append(checks, closing("winter_dempster", id, "mass of the parts of "+c.whole, "1", printed, c.sum, c.terms, c.step))
	}
	return append(checks, closing("winter_dempster", "mass", "mass of the whole body", "1", "1", m("HAT")+2*m("Total leg"), 3, 0.001))
}

// winterMisprints are radii that the book itself prints wrong; see the errata.
var winterMisprints = map[string]string{
	"Head neck proximal": "printed below the radius about the centre, which cannot be; 1.116 has lost its first digit",
	"Forearm distal":     "the printed figure does not follow from its row",
	"Upper arm distal":   "the printed figure does not follow from its row",
	"Total leg proximal": "the printed figure does not follow from its row",
	"Total leg distal":   "the printed figure does not follow from its row",
}

// winterRadii uses the parallel-axis rule: the radius about an end follows
// from the radius about the centre and the distance of the centre.
func winterRadii() []Check {
	var checks []Check
	for _, r := range source.Table("winter_dempster").Rows() {
		about, ok := r.Number("radius_about_cm")
		if !ok {
			continue
		}
		for _, end := range []string{"proximal", "distal"} {
			printed := r.Text("radius_about_" + end)
			if printed == "" {
				continue
			}
			c := Check{
				ID:     "winter_dempster/radius_" + end + "_" + strings.ToLower(strings.ReplaceAll(r.Text("segment"), " ", "_")),
				What:   "radius of " + r.Text("segment") + " about its " + end + " end from the one about its centre",
				Source: "Winter", Unit: "1", Expected: printed, Got: math.Hypot(about, number(r, "cm_from_"+end)),
				Tolerance: 0.0012, Note: "closing; three figures printed to 0.001",
			}
			c.Skipped = winterMisprints[r.Text("segment")+" "+end]
			checks = append(checks, c)
		}
	}
	return checks
}

func giancoli() Check {
	sum := 0.0
	for _, r := range source.Table("giancoli7_1").Rows() {
		if r.Text("part") != "whole body" {
			sum += number(r, "mass_pct") * number(r, "cm_height_pct") / 100
		}
	}
	return Check{ID: "giancoli7_1/centre", What: "height of the centre of mass of the whole body, in percent of stature", Source: "Giancoli",
		Unit: "%", Expected: "58.0", Got: sum, Note: "closing"}
}

func chandler() Check {
	const weight = 700.0 // newtons, an invented person
	sum := 0.0
	for _, r := range source.Table("chandler1975").Rows() {
		sum += number(r, "count") * (number(r, "per_body_weight")*weight + number(r, "constant_n"))
	}
	return Check{ID: "chandler1975/weight", What: "weights of the fourteen segments of a body of 700 N", Source: "Chandler1975", Unit: "N",
		Expected: "700", Got: sum, Tolerance: weight / 100, Note: "closing; regressions close to within 1 %, so segments are rescaled"}
}

// otherBodyChecks closes the tables of limb loss, children and statures.
func otherBodyChecks() []Check {
	part := func(name string) float64 { return number(single("osterkamp1995", "part", name), "pct_of_body_weight") }
	checks := []Check{
		closing("osterkamp1995", "arm", "hand, forearm and upper arm together", "%", "5.0", part("hand")+part("forearm without hand")+part("upper arm"), 4, 0.1),
		closing("osterkamp1995", "leg", "foot, lower leg and thigh together", "%", "16.0", part("foot")+part("lower leg without foot")+part("thigh"), 4, 0.1),
		closing("osterkamp1995", "lower_leg", "foot and lower leg together", "%", "5.9", part("foot")+part("lower leg without foot"), 3, 0.1),
		closing("osterkamp1995", "body", "all parts together", "%", "100.0",
			part("head")+part("trunk without limbs and head")+2*(part("entire arm")+part("entire leg")), 6, 0.1),
	}
	for i := range checks[:2] {
		checks[i].Note += "; upper arm and thigh are from memory"
	}
	checks[3].Note += "; head and trunk are from memory"
	checks = append(checks, childChecks()...)
	return append(checks, ratioChecks()...)
}

func childChecks() []Check {
	var checks []Check
	for _, age := range source.Table("jensen_children").Names("age_years") {
		sum := 0.0
		for _, r := range source.Table("jensen_children").Where("age_years", age).Rows() {
			m := number(r, "mass_pct")
			if seg := r.Text("segment"); seg != "headneck" && seg != "trunk" {
				m *= 2
			}
			sum += m
		}
		c := closing("jensen_children", "mass_"+age, "masses of all segments at "+age+" years", "%", "100", sum, 14, 0.1)
		c.Source = source.Table("jensen_children").Where("age_years", age).Rows()[0].Ref()
		checks = append(checks, c)
	}
	for _, age := range []string{"12", "15"} {
		r := single("jensen_children", "age_years", age, "segment", "headneck")
		years := number(r, "age_years")
		checks = append(checks, Check{ID: "jensen_children/head_" + age, What: "mass of head and neck at " + age + " years by the line 0.2376 - 0.0114 x age",
			Source: "Jensen1986", Unit: "%", Expected: r.Text("mass_pct"), Got: 100 * (0.2376 - 0.0114*years), Note: "see errata for the slope"})
	}
	fraction := func(item string) float64 { return number(single("drillis1966", "item", item), "fraction_of_stature") }
	return append(checks,
		closing("drillis1966", "hip", "ankle height, shank and thigh together against hip height", "1", "0.530",
			fraction("ankle height")+fraction("shank length (knee-ankle)")+fraction("thigh length (hip-knee)"), 4, 0.001),
		closing("drillis1966", "fingertip", "wrist height less hand length against fingertip height", "1", "0.377",
			fraction("wrist height")-fraction("hand length"), 3, 0.001),
		closing("drillis1966", "trunk", "shoulder height less hip height against trunk", "1", "0.288",
			fraction("shoulder (glenohumeral) height")-fraction("hip (trochanter) height"), 3, 0.001),
	)
}

// ratioChecks uses that a regression goes through the two means.
func ratioChecks() []Check {
	var checks []Check
	for _, sex := range sexes {
		stature := number(single("ansur2_summary", "sex", sex.code, "measure", "stature"), "mean")
		worst, at := 0.0, ""
		for _, r := range source.Table("ansur2_ratio").Where("sex", sex.code).Rows() {
			mean := number(single("ansur2_summary", "sex", sex.code, "measure", r.Text("measure")), "mean")
			if d := math.Abs(number(r, "slope_mm_per_mm")*stature + number(r, "intercept_mm") - mean); !(d <= worst) {
				worst, at = d, r.Text("measure")
			}
		}
		checks = append(checks, Check{ID: "ansur2_ratio/means_" + strings.ToLower(sex.code),
			What: "regressions on stature at mean stature against the means, " + sex.word + ": largest difference", Source: "ANSUR2", Unit: "mm",
			Expected: "0.0", Got: worst, Tolerance: stature*0.00005 + 0.015, Note: "closing; slopes printed to 0.0001; largest at " + at})
	}
	return checks
}

// growthChecks computes percentiles from L, M and S as the growth charts'
// authors do, against the percentiles they print.
func growthChecks() []Check {
	sexWord := map[string]string{"F": "girls", "M": "boys"}
	var checks []Check
	for _, r := range source.Table("cdc2000").Rows() {
		measure, unit, _ := strings.Cut(r.Text("measure"), "_")
		for _, p := range []struct {
			column, word string
			z            float64
		}{{"p5", "5th", -z95}, {"p95", "95th", z95}} {
			value := number(r, "M") * math.Pow(1+number(r, "L")*number(r, "S")*p.z, 1/number(r, "L"))
			checks = append(checks, Check{
				ID:     fmt.Sprintf("cdc2000/%s_%s_%s_%s", measure, strings.ToLower(r.Text("sex")), r.Text("age_months"), p.column),
				What:   fmt.Sprintf("%s of %s at %s months, %s percentile", measure, sexWord[r.Text("sex")], r.Text("age_months"), p.word),
				Source: "CDC2000", Unit: unit, Expected: r.Text(p.column), Got: value,
				Tolerance: value * lmsRounding, Note: "closing",
			})
		}
	}
	return checks
}

// lmsRounding is what the rounding of the printed L, M and S leaves open in a
// percentile, as a share of it: the percentiles were computed before.
const lmsRounding = 1e-8

// z95 is the 95th percentile of the standard normal distribution (any table
// of it; here to full precision).
const z95 = 1.6448536269514722
