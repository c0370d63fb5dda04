package verify

import (
	"fmt"
	"math"
	"strings"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// ok returns a value that a check's own figures must give.
func ok[T any](v T, err error) T {
	if err != nil {
		panic("verify: " + err.Error())
	}
	return v
}

func rad(deg float64) quantity.Radian { return ok(quantity.Degrees(deg)) }

// figures makes one check of several figures of one worked example.
type figures struct {
	id, what, source string
	note             string
}

func (f figures) is(name, unit, expected string, got float64) Check {
	return Check{ID: f.id + "_" + name, What: f.what + ": " + strings.ReplaceAll(name, "_", " "), Source: f.source, Unit: unit, Expected: expected, Got: got, Note: f.note}
}

// bodyChecks compares core/body with worked examples and published figures.
func bodyChecks() []Check {
	var all []Check
	for _, part := range []func() []Check{limbChecks, textbookBodyChecks, boardChecks, weightChecks, flexChecks, elbowChecks, lengthChecks} {
		all = append(all, part()...)
	}
	return all
}

// limbOfNotebook is the leg of the worked example: a body of 100 kg by the
// Winter table.
func limbOfNotebook() body.Plane {
	joint := map[string]body.Point{"toes": {X: 1.011, Y: 0.013}, "ankle": {X: 0.849, Y: 0.110}, "knee": {X: 0.864, Y: 0.549}, "hip": {X: 0.721, Y: 0.928}}
	var lumps []body.Lump
	for _, s := range [][3]string{{"Foot", "ankle", "toes"}, {"Leg", "knee", "ankle"}, {"Thigh", "hip", "knee"}} {
		c := ok(body.Row("winter_dempster", s[0], body.Unsaid, 0, 0))
		lumps = append(lumps, body.Lump{Name: s[0], Mass: 100 * c.Mass, From: joint[s[1]], To: joint[s[2]], Centre: c.Centre, Radius: c.Radius})
	}
	return ok(body.NewPlane(lumps))
}

func limbChecks() []Check {
	p := limbOfNotebook()
	hip := p.Lumps[2].From
	f := figures{"body/limb", "leg of a body of 100 kg in a plane", "BMCnotebook", ""}
	checks := []Check{}
	for i, want := range [][4]string{{"foot", "0.930", "0.062", "0.012"}, {"leg", "0.858", "0.359", "0.082"}, {"thigh", "0.783", "0.764", "0.171"}} {
		l := p.Lumps[i]
		checks = append(checks, f.is(want[0]+"_x", "m", want[1], l.At().X), f.is(want[0]+"_y", "m", want[2], l.At().Y), f.is(want[0]+"_inertia", "kg m²", want[3], l.Inertia()))
	}
	checks = append(checks, f.is("x", "m", "0.818", p.Centre.X), f.is("y", "m", "0.584", p.Centre.Y),
		f.is("inertia", "kg m²", "1.257", p.InertiaAbout(p.Centre)), f.is("inertia_about_the_hip", "kg m²", "3.317", p.InertiaAbout(hip)))
	// The common error: one limb's mass at its common centre, the spread of the
	// segments about it left out.
	dx, dy := p.Centre.X-hip.X, p.Centre.Y-hip.Y
	short := p.Mass * (dx*dx + dy*dy)
	for _, l := range p.Lumps {
		short += l.Inertia()
	}
	word := "not produced"
	if math.Abs(p.InertiaAbout(hip)-2.324) < 0.0005 {
		word = "produced"
	}
	checks = append(checks, f.is("inertia_built_wrongly", "kg m²", "2.324", short),
		Check{ID: "body/limb_common_error", What: "the wrong moment of inertia about the hip, 2.324 kg m²", Source: "BMCnotebook", Expected: "not produced", GotWord: word})
	two := func(angle float64) body.Plane {
		return ok(body.Chain(body.Point{}, []body.Link{{Name: "upper", Length: 0.46, Mass: 8.60, Centre: 0.5, Angle: float64(rad(angle))}, {Name: "lower", Length: 0.46, Mass: 5.25, Centre: 0.5}}))
	}
	f = figures{"body/two_link_leg", "even leg of 92 cm, 8.60 and 5.25 kg", "YoungFreedman", "computed here from the problem's inputs"}
	return append(checks, f.is("straight_below_hip", "cm", "40.4", -100*two(0).Centre.Y), f.is("bent_ahead", "cm", "31.7", 100*two(90).Centre.X), f.is("bent_below", "cm", "8.7", -100*two(90).Centre.Y))
}

// giancoliLeg hangs the textbook's leg from the hip.
func giancoliLeg(thigh float64) body.Plane {
	var links []body.Link
	for i, name := range []string{"upper legs", "lower legs", "feet"} {
		c := ok(body.Row("giancoli7_1", name, body.Unsaid, 0, 0))
		l := body.Link{Name: name, Length: c.Length, Mass: c.Mass, Centre: c.Centre}
		if i == 0 {
			l.Angle = float64(rad(thigh))
		}
		links = append(links, l)
	}
	return ok(body.Chain(body.Point{}, links))
}

func textbookBodyChecks() []Check {
	f := figures{"body/giancoli", "textbook's standing body", "Giancoli", ""}
	leg, arm := 0.0955, 0.13 // how far leg and arm hang from the middle, as the derivation took them
	whole, _, _, err := body.StandingCentre(leg, arm, nil)
	ok(0, err)
	checks := []Check{f.is("height", "%", "57.96", 100*whole)}
	straight, bent := giancoliLeg(0), giancoliLeg(90)
	lowest := func(p body.Plane) float64 {
		low := 0.0
		for _, l := range p.Lumps {
			low = min(low, l.To.Y)
		}
		return low
	}
	f.what = "textbook's leg"
	checks = append(checks, f.is("straight_below_hip", "%", "20.4", -100*straight.Centre.Y), f.is("straight_above_sole", "%", "31.7", 100*(straight.Centre.Y-lowest(straight))),
		f.is("straight_above_sole_at_1.70_m", "m", "0.54", 1.70*(straight.Centre.Y-lowest(straight))), f.is("bent_ahead_of_hip", "%", "14.9", 100*bent.Centre.X),
		f.is("bent_above_floor", "%", "23.0", 100*(bent.Centre.Y-lowest(bent))), f.is("bent_ahead_at_1.70_m", "m", "0.25", 1.70*bent.Centre.X),
		f.is("bent_above_floor_at_1.70_m", "m", "0.39", 1.70*(bent.Centre.Y-lowest(bent))))
	f = figures{"body/giancoli_without", "centre of the textbook's body without a limb", "Giancoli", "shift derived in the project's notes; consistency of two computations"}
	for _, x := range []struct {
		name, up, across string
		parts            []string
	}{
		{"foot", "1.0", "0.2", []string{"feet"}}, {"leg_at_knee", "3.1", "0.7", []string{"feet", "lower legs"}},
		{"leg_at_hip", "5.5", "2.0", []string{"feet", "lower legs", "upper legs"}}, {"arm_at_elbow", "0.2", "0.4", []string{"hands", "lower arms"}},
		{"arm_at_shoulder", "-0.3", "0.9", []string{"hands", "lower arms", "upper arms"}},
	} {
		gone := map[string]float64{}
		for _, p := range x.parts {
			gone[p] = 1
		}
		h, across, _, err := body.StandingCentre(leg, arm, gone)
		ok(0, err)
		checks = append(checks, f.is(x.name+"_up", "%", x.up, 100*(h-whole)), f.is(x.name+"_across", "%", x.across, 100*across))
		if x.name == "leg_at_hip" {
			checks = append(checks, f.is("leg_at_hip_up_at_1.75_m", "cm", "9.6", 175*(h-whole)), f.is("leg_at_hip_across_at_1.75_m", "cm", "3.5", 175*across))
		}
	}
	// Mid-thigh as the notes take it: half the thigh's mass, halfway between its
	// centre and the knee.
	all := ok(body.NewPlane([]body.Lump{{Mass: 100, From: body.Point{Y: 100 * whole}, To: body.Point{Y: 100 * whole}}}))
	at := func(m, y float64) body.Lump {
		return body.Lump{Mass: m, From: body.Point{X: -9.55, Y: y}, To: body.Point{X: -9.55, Y: y}}
	}
	_, mid, err := body.Exchange(all, []body.Lump{at(1.7, 1.8), at(4.8, 18.2), at(10.75/2, (28.5+42.5)/2)}, nil)
	ok(0, err)
	checks = append(checks, f.is("leg_at_mid_thigh_up", "%", "4.6", mid.Y-100*whole), f.is("leg_at_mid_thigh_across", "%", "1.3", mid.X))
	seated := ok(body.NewPlane([]body.Lump{{Mass: 44.9, From: body.Point{Y: 0.432}, To: body.Point{Y: 0.432}}, {Mass: 16.6, From: body.Point{X: 0.164}, To: body.Point{X: 0.164}},
		{Mass: 10.7, From: body.Point{X: 0.487, Y: -0.263}, To: body.Point{X: 0.487, Y: -0.263}}}))
	f = figures{"body/seated", "seated body of three parts", "ThreePartBody", ""}
	checks = append(checks, f.is("x", "m", "0.110", seated.Centre.X), f.is("y", "m", "0.230", seated.Centre.Y))
	f = figures{"body/deleva_upright", "upright body of the printed lengths", "deLeva1996", "derived in the project's notes; textbooks give 55 to 57 %"}
	for _, x := range []struct {
		sex         body.Sex
		above, part string
	}{{body.Male, "72.5", "55.6"}, {body.Female, "85.6", "55.5"}} {
		u := ok(body.DeLevaStanding(x.sex))
		checks = append(checks, f.is("above_hip_"+string(x.sex), "mm", x.above, 1000*u.AboveHip), f.is("height_"+string(x.sex), "%", x.part, 100*u.Height))
	}
	// The posed body with its own lengths, which are not de Leva's.
	for _, sex := range []body.Sex{body.Male, body.Female} {
		h := map[body.Sex]quantity.Metre{body.Male: 1.755, body.Female: 1.626}[sex]
		b := ok(body.New(body.Person{Sex: sex, Mass: 70, Stature: &h}))
		p := ok(b.Pose(body.Pose{}, body.Gear{}))
		word := "outside"
		if share := p.CM.Z / float64(h); share >= 0.55 && share <= 0.57 {
			word = "within 55 to 57 %"
		}
		checks = append(checks, Check{ID: "body/posed_upright_" + string(sex), What: "height of the centre of a posed, upright body in textbooks' range", Source: "M", Expected: "within 55 to 57 %", GotWord: word})
	}
	return checks
}

func boardChecks() []Check {
	scales := ok(body.OnScales([]body.Scale{{At: body.Point{}, Force: 290}, {At: body.Point{X: 2.50}, Force: 122}}))
	f := figures{"body/board_two_scales", "board on scales 2.50 m apart that show 290 and 122 N", "Walker", ""}
	checks := []Check{f.is("weight", "N", "412", scales.Force), f.is("mass_at_9.81", "kg", "42.0", scales.Force/9.81), f.is("from_head", "m", "0.740", scales.Centre.X)}
	f = figures{"body/reaction_board", "board of 1.8 m, 10.7 kg empty, 31.2 kg with 52 kg on it", "DelhiSlides", ""}
	checks = append(checks, f.is("from_pivot", "m", "0.710", ok(body.ReactionBoard(1.8, 10.7, 31.2, 52))))
	a, b, err := body.Reactions(0, 10, []body.Load{{At: 2, Force: 5}, {At: 4, Force: 8}})
	ok(0, err)
	f = figures{"body/beam", "5 N at 2 m and 8 N at 4 m on scales 10 m apart", "BeamForum", ""}
	checks = append(checks, f.is("near", "N", "8.8", a), f.is("far", "N", "4.2", b))
	f = figures{"body/pivot", "plank of 2.0 m and 80 N on a pivot at 0.50 m, 70 N at 1.80 m", "Cambridge9702", ""}
	return append(checks, f.is("load_at_0.30_m", "N", "655", ok(body.Counterweight(0.5, 0.3, []body.Load{{At: 1, Force: 80}, {At: 1.8, Force: 70}}))))
}

func weightChecks() []Check {
	below := ok(body.OsterkampLoss(body.Transtibial, -1))
	both := append(append([]body.Absent{}, below...), below...)
	f := figures{"body/limb_loss", "65.9 kg measured, both legs lost below the knee", "DietArticle", ""}
	checks := []Check{f.is("intact", "kg", "74.7", ok(body.IntactMass(65.9, both))), f.is("other_way_round", "kg", "65.9", ok(body.RemainingMass(74.7, both)))}
	f = figures{"body/osterkamp", "share lost", "Osterkamp1995", ""}
	for _, x := range []struct {
		level    body.Level
		expected string
	}{{body.AtHand, "0.7"}, {body.AtElbow, "2.3"}, {body.AtShoulder, "5.0"}, {body.AtFoot, "1.5"}, {body.Transtibial, "5.9"}, {body.AtKnee, "5.9"}, {body.AtHip, "16.0"}} {
		checks = append(checks, f.is("at_"+string(x.level), "%", x.expected, 100*ok(body.LostSum(ok(body.OsterkampLoss(x.level, -1))))))
	}
	sum := 0.0
	for _, c := range ok(body.Rows("chandler1975", body.Unsaid, 0, 700)) {
		sum += 700 * c.Mass * float64(c.Count)
	}
	checks = append(checks, Check{ID: "body/chandler_sum", What: "weights of the fourteen segments of a body of 700 N", Source: "Chandler1975", Unit: "N", Expected: "702.2", Got: sum})
	for _, sex := range []body.Sex{body.Female, body.Male} {
		m := ok(body.ModelNamed("deleva", sex, nil))
		leg := m.Of(body.Thigh).Mass + m.Of(body.Shank).Mass + m.Of(body.Foot).Mass
		arm := m.Of(body.UpperArm).Mass + m.Of(body.Forearm).Mass + m.Of(body.Hand).Mass
		want := map[body.Sex][2]string{body.Female: {"20.9", "4.5"}, body.Male: {"19.9", "4.9"}}[sex]
		checks = append(checks, Check{ID: "body/deleva_leg_" + string(sex), What: "whole leg", Source: "deLeva1996", Unit: "%", Expected: want[0], Got: 100 * leg},
			Check{ID: "body/deleva_arm_" + string(sex), What: "whole arm", Source: "deLeva1996", Unit: "%", Expected: want[1], Got: 100 * arm})
	}
	share := source.Value("prosthetic_shank_mass") / source.Value("sound_shank_mass")
	return append(checks, Check{ID: "body/prosthetic_shank", What: "prosthetic shank of the sound one", Source: "Hale1990", Unit: "%", Expected: "39", Got: 100 * share})
}

func flexChecks() []Check {
	f := figures{"body/flex", "shoulder of a bent body by the lengths of Drillis and Contini", "Drillis1966", "derived in the project's notes for statures 1.756 and 1.626 m, printed there as 1.76 and 1.63"}
	var checks []Check
	for _, x := range []struct {
		ankle, knee, trunk float64
		stature            float64
		drop, ahead        string
	}{
		{15, 30, 15, 1.20, "32", ""}, {15, 30, 15, 1.50, "40", ""}, {15, 30, 15, 1.626, "43", ""}, {15, 30, 15, 1.756, "47", "131"},
		{12, 25, 12, 1.756, "32", "98"}, {10, 15, 10, 1.756, "16", "125"}, {20, 50, 30, 1.756, "151", "185"},
	} {
		s, t, u := body.DrillisLengths(quantity.Metre(x.stature))
		g := ok(body.Flex(s, t, u, rad(x.ankle), rad(x.knee), rad(x.trunk)))
		name := fmt.Sprintf("%g_%g_%g_at_%g_m", x.ankle, x.knee, x.trunk, x.stature)
		checks = append(checks, f.is("drop_"+name, "mm", x.drop, g.Drop.Millimetres()))
		if x.ahead != "" {
			checks = append(checks, f.is("ahead_"+name, "mm", x.ahead, g.Ahead.Millimetres()))
		}
	}
	return checks
}

// elbowTable is the bend of the elbow of the 6068 bodies of ANSUR II, computed
// from their measurements in the project's notes: mean and spread.
var elbowTable = []struct {
	sex    body.Sex
	rule   body.HandleRule
	ahead  float64
	beside float64
	mean   string
	sd     string
}{
	{"F", "wrist_bone", 0, 0, "45.3", "3.3"}, {"F", "wrist_bone", 0, 100, "39.9", "3.8"}, {"F", "wrist_bone", 50, 100, "38.5", "4.0"},
	{"F", "wrist_bone", 100, 100, "33.8", "4.7"}, {"F", "wrist_bone", 150, 100, "23.9", "7.7"},
	{"F", "wrist_crease", 0, 0, "38.4", "3.9"}, {"F", "wrist_crease", 0, 100, "32.0", "5.0"}, {"F", "wrist_crease", 50, 100, "30.2", "5.4"},
	{"F", "wrist_crease", 100, 100, "23.9", "7.4"}, {"F", "wrist_crease", 150, 100, "9.9", "9.6"},
	{"F", "trochanter", 0, 0, "65.9", "12.8"}, {"F", "trochanter", 0, 100, "61.6", "13.8"}, {"F", "trochanter", 50, 100, "60.6", "14.1"},
	{"F", "trochanter", 100, 100, "57.2", "15.0"}, {"F", "trochanter", 150, 100, "51.1", "16.8"},
	{"M", "wrist_bone", 0, 0, "44.8", "3.3"}, {"M", "wrist_bone", 0, 100, "40.4", "3.7"}, {"M", "wrist_bone", 50, 100, "39.2", "3.9"},
	{"M", "wrist_bone", 100, 100, "35.4", "4.4"}, {"M", "wrist_bone", 150, 100, "27.9", "6.2"},
	{"M", "wrist_crease", 0, 0, "38.5", "3.9"}, {"M", "wrist_crease", 0, 100, "33.3", "4.7"}, {"M", "wrist_crease", 50, 100, "31.9", "5.0"},
	{"M", "wrist_crease", 100, 100, "27.0", "6.3"}, {"M", "wrist_crease", 150, 100, "16.4", "9.3"},
	{"M", "trochanter", 0, 0, "64.8", "12.6"}, {"M", "trochanter", 0, 100, "61.2", "13.5"}, {"M", "trochanter", 50, 100, "60.3", "13.7"},
	{"M", "trochanter", 100, 100, "57.5", "14.5"}, {"M", "trochanter", 150, 100, "52.5", "16.0"},
}

func elbowChecks() []Check {
	const consistency = "consistency only: their statistics here, the people there; the spread of the fist was fitted to one row for each sex"
	var checks []Check
	var crease [2]body.Population
	for _, x := range elbowTable {
		p := ok(body.ElbowOfPopulation(x.sex, x.rule, quantity.Metre(x.beside/1000), quantity.Metre(x.ahead/1000)))
		id := fmt.Sprintf("body/elbow_%s_%s_%g_%g", strings.ToLower(string(x.sex)), x.rule, x.beside, x.ahead)
		what := fmt.Sprintf("elbow bend, handle at the %s, %g mm outside and %g mm ahead of the shoulder", strings.ReplaceAll(string(x.rule), "_", " "), x.beside, x.ahead)
		checks = append(checks, Check{ID: id + "_mean", What: what + ": mean", Source: "ANSUR2", Status: source.Derived, Unit: "deg", Expected: x.mean, Got: p.Mean.Degrees(), Tolerance: 1, Note: consistency},
			Check{ID: id + "_sd", What: what + ": spread", Source: "ANSUR2", Status: source.Derived, Unit: "deg", Expected: x.sd, Got: p.SD.Degrees(), Tolerance: 1, Note: consistency})
		if x.rule == body.AtWristCrease && x.ahead == 100 {
			crease[map[body.Sex]int{body.Female: 0, body.Male: 1}[x.sex]] = p
		}
	}
	// Kumar's 52 people against women and men half and half; their standard
	// errors are 6.1/sqrt(52) and 6.1/sqrt(104).
	mean := (crease[0].Mean.Degrees() + crease[1].Mean.Degrees()) / 2
	apart := (crease[0].Mean.Degrees() - crease[1].Mean.Degrees()) / 2
	spread := math.Sqrt((math.Pow(crease[0].SD.Degrees(), 2)+math.Pow(crease[1].SD.Degrees(), 2))/2 + apart*apart)
	const note = "52 people; within their standard error; where the hand is was chosen to meet it, so consistency only"
	checks = append(checks, Check{ID: "body/elbow_kumar_mean", What: "elbow bend with the handle at the wrist crease, mean", Source: "Kumar1995", Unit: "deg", Expected: "25.4", Got: mean, Tolerance: 6.1 / math.Sqrt(52), Note: note},
		Check{ID: "body/elbow_kumar_sd", What: "elbow bend with the handle at the wrist crease, spread", Source: "Kumar1995", Unit: "deg", Expected: "6.1", Got: spread, Tolerance: 6.1 / math.Sqrt(104), Note: note})
	return checks
}

// lengthChecks compares predictions with the printed regressions, and Kumar's
// handle height with the wrists of ANSUR II.
func lengthChecks() []Check {
	var checks []Check
	for _, x := range []struct {
		measure, sex string
		slope, add   float64
	}{
		{"wristheight", "F", 0.508, -33.5}, {"wristheight", "M", 0.520, -66.4}, {"trochanterionheight", "F", 0.597, -126.9},
		{"trochanterionheight", "M", 0.610, -169.9}, {"crotchheight", "F", 0.590, -179.1}, {"crotchheight", "M", 0.582, -176.3},
	} {
		const stature = 1700.0
		expected := quantity.Decimals(1).Text(x.slope*stature + x.add)
		checks = append(checks, Check{ID: "body/predicted_" + x.measure + "_" + strings.ToLower(x.sex), What: x.measure + " at a stature of 1700 mm", Source: "ANSUR2", Unit: "mm",
			Expected: expected, Got: 1000 * body.Predict(x.measure, body.Sex(x.sex), 1.7, nil).Value, Tolerance: 0.0005*stature + 0.1, Note: "the slope is printed to 0.001"})
	}
	for _, x := range []struct{ sex, expected string }{{"F", "26"}, {"M", "30"}} {
		summary := source.Table("ansur2_summary").Where("sex", x.sex)
		mean := func(m string) float64 {
			r, _ := summary.Where("measure", m).Only()
			return number(r, "mean")
		}
		h := mean("stature")
		got := source.Value("handle_stature_slope")*h + 1000*source.Value("handle_stature_constant") - mean("wristheight")
		checks = append(checks, Check{ID: "body/kumar_heel_" + strings.ToLower(x.sex), What: "handle by stature less barefoot wrist height: a shoe's heel", Source: "Kumar1995", Unit: "mm", Expected: x.expected, Got: got,
			Note: "derived in the project's notes"})
	}
	for _, r := range source.Table("cdc2000").Rows() {
		if r.Text("age_months") != "60.5" && r.Text("age_months") != "120.5" && r.Text("age_months") != "180.5" {
			continue
		}
		g := ok(body.GrowthAt(r.Text("measure"), body.Sex(r.Text("sex")), number(r, "age_months")/12))
		for _, p := range []struct {
			column string
			z      float64
		}{{"p5", -z95}, {"p50", 0}, {"p95", z95}} {
			checks = append(checks, Check{ID: "body/growth_" + r.Text("measure") + "_" + strings.ToLower(r.Text("sex")) + "_" + r.Text("age_months") + "_" + p.column,
				What: "growth chart " + r.Text("measure") + " at " + r.Text("age_months") + " months", Source: "CDC2000", Unit: strings.Split(r.Text("measure"), "_")[1],
				Expected: r.Text(p.column), Got: g.At(p.z), Tolerance: g.At(p.z) * lmsRounding, Note: "closing"})
		}
	}
	return checks
}
