package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/internal/person"
	"firnhand/programme"
)

// bodyCMCmd finds centres of mass.
type bodyCMCmd struct {
	File string `arg:"" optional:"" help:"A person's file; - reads from standard input. With the pose flags below."`

	KgAt    []string `name:"kg-at-m" sep:"none" placeholder:"KG@X[,Y]" help:"Instead of a file: a mass at a place; once for each."`
	MinusAt []string `name:"minus-kg-at-m" sep:"none" placeholder:"KG@X[,Y]" help:"A mass taken away from those."`
	PlusAt  []string `name:"plus-kg-at-m" sep:"none" placeholder:"KG@X[,Y]" help:"A mass put in its place."`

	Segments []string `sep:"none" placeholder:"K=V,..." help:"Instead of a file: segments between --point places, as in \"body limb\"."`
	Point    []string `sep:"none" placeholder:"NAME=X,Y" help:"A joint for --segments, in metres."`

	Table   string   `placeholder:"NAME" help:"Instead of a file: the standing body of giancoli7_1 or deleva1996; or the table for --segments."`
	Sex     string   `enum:",F,M" default:"" help:"F or M, for tables with a column for each."`
	Without []string `sep:"none" placeholder:"PART[=PCT]" help:"With giancoli7_1: a part of one side that is gone, whole or by percent of its length from below."`
	LegOut  *float64 `name:"leg-out-pct" placeholder:"N" help:"How far the leg hangs from the middle, percent of stature."`
	ArmOut  *float64 `name:"arm-out-pct" placeholder:"N" help:"The same for the arm."`
	MassKg  *float64 `name:"mass-kg" placeholder:"N" help:"Mass of the whole body, for --segments."`
	Stature *float64 `name:"stature-cm" placeholder:"N" help:"Stature, to give lengths beside percent."`

	poseFlags
	Model string `placeholder:"NAME" help:"Set of segment masses for a file instead of the one by age and sex: deleva, deleva_f, deleva_m, jensen, jensen_fletcher, pavol."`
	JSON  bool   `name:"json" help:"As JSON."`
}

// poseFlags bend a person. Values for left and right are written L,R.
type poseFlags struct {
	Ankle   string   `name:"ankle-deg" placeholder:"N[,N]" help:"Shank ahead of the vertical; one number, or left,right."`
	Knee    string   `name:"knee-deg" placeholder:"N[,N]" help:"Knee bend."`
	Abduct  string   `name:"abduction-deg" placeholder:"N[,N]" help:"Leg tilted outward."`
	Trunk   *float64 `name:"trunk-deg" placeholder:"N" help:"Trunk ahead of the vertical."`
	Side    *float64 `name:"trunk-right-deg" placeholder:"N" help:"Trunk to the student's right."`
	ArmFwd  string   `name:"arm-deg" placeholder:"N[,N]" help:"Upper arm swung forward."`
	ArmOutD string   `name:"arm-out-deg" placeholder:"N[,N]" help:"Upper arm swung outward."`
	Elbow   string   `name:"elbow-deg" placeholder:"N[,N]" help:"Elbow bend."`
	Width   *float64 `name:"stance-width-cm" placeholder:"N" help:"Between the ankles."`
	Gear    bool     `help:"Also boots, skis, and outriggers where their mass is known or --outriggers is given."`
	Rigs    bool     `name:"outriggers" help:"An outrigger in each hand."`
}

// Run computes.
func (c *bodyCMCmd) Run(a *app) error {
	kinds := 0
	for _, on := range []bool{c.File != "", len(c.KgAt) > 0, len(c.Segments) > 0, c.Table != "" && len(c.Segments) == 0 && len(c.KgAt) == 0} {
		if on {
			kinds++
		}
	}
	if kinds != 1 {
		return refuse("usage", "Give one of: a person's file, masses (--kg-at-m), segments (--segments), or a textbook's standing body (--table).")
	}
	switch {
	case c.File != "":
		return c.posed(a)
	case len(c.KgAt) > 0:
		return c.masses(a)
	case len(c.Segments) > 0:
		limb := bodyLimbCmd{tableFlags: tableFlags{Table: c.Table, Sex: c.Sex, MassKg: c.MassKg, Gravity: source.Value("gravity_standard"), Stature: c.Stature},
			Point: c.Point, Segment: c.Segments, From: "0,0", JSON: c.JSON}
		return limb.Run(a)
	}
	return c.standing(a)
}

func (c *bodyCMCmd) masses(a *app) error {
	var sets [3][]body.Lump
	for i, texts := range [][]string{c.KgAt, c.MinusAt, c.PlusAt} {
		var err error
		if sets[i], err = lumpsAt([]string{"--kg-at-m", "--minus-kg-at-m", "--plus-kg-at-m"}[i], texts); err != nil {
			return err
		}
	}
	whole, err := body.NewPlane(sets[0])
	if err != nil {
		return bodyFault(err)
	}
	mass, centre, err := body.Exchange(whole, sets[1], sets[2])
	if err != nil {
		return bodyFault(err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"mass_kg": mass, "cm": pointView(centre)})
	}
	p := a.sheet(c.JSON)
	p.line("%s kg at (%.3f, %.3f) m", short(mass), centre.X, centre.Y)
	return p.err
}

// standing is the textbook's body.
func (c *bodyCMCmd) standing(a *app) error {
	table := c.Table
	if long, ok := tableShort[table]; ok {
		table = long
	}
	if c.Stature != nil && !(*c.Stature > 0) {
		return refuse("length_not_positive", "The stature must be above zero.")
	}
	out := map[string]any{"table": table}
	var height float64
	switch table {
	case "giancoli7_1":
		leg, arm := c.LegOut, c.ArmOut
		if leg == nil {
			leg = ptr(50 * drillis("hip width"))
		}
		if arm == nil {
			arm = ptr(100 * drillis("half shoulder width"))
		}
		gone := map[string]float64{}
		for _, text := range c.Without {
			part, pct, some := strings.Cut(text, "=")
			share := 1.0
			if some {
				v, err := real("--without", strings.TrimSuffix(pct, "%"))
				if err != nil {
					return err
				}
				share = v / 100
			}
			if _, twice := gone[part]; twice {
				return refuse("given_twice", "%s is taken off twice.", part)
			}
			gone[part] = share
		}
		h, across, left, err := body.StandingCentre(*leg/100, *arm/100, gone)
		if err != nil {
			return bodyFault(err)
		}
		whole, _, _, err := body.StandingCentre(*leg/100, *arm/100, nil)
		if err != nil {
			return bodyFault(err)
		}
		height = h
		out["cm_height_pct_of_stature"], out["mass_left_pct"] = 100*h, 100*left
		out["cm_raised_pct_of_stature"], out["cm_to_sound_side_pct_of_stature"] = 100*(h-whole), 100*across
		if c.Stature != nil {
			out["cm_raised_m"], out["cm_to_sound_side_m"] = (h-whole)**c.Stature/100, across**c.Stature/100
		}
	case "deleva1996":
		b, err := body.DeLevaStanding(body.Sex(c.Sex))
		if err != nil {
			return bodyFault(err)
		}
		height = b.Height
		out["cm_above_hip_mm"], out["cm_height_pct_of_stature"] = 1000*b.AboveHip, 100*b.Height
	default:
		return refuse("unknown_table", "A standing body is known of giancoli7_1 and deleva1996.")
	}
	if c.Stature != nil {
		out["cm_height_m"] = height * *c.Stature / 100
	}
	if c.JSON {
		return a.printJSON(out)
	}
	p := a.sheet(c.JSON)
	p.line("centre of mass at %.2f %% of stature", 100*height)
	if v, ok := out["cm_to_sound_side_pct_of_stature"].(float64); ok && v != 0 {
		p.line("raised by %.1f %%, %.1f %% to the sound side", out["cm_raised_pct_of_stature"], v)
	}
	if v, ok := out["cm_height_m"].(float64); ok {
		p.line("%.3f m above the floor", v)
	}
	return p.err
}

func drillis(item string) float64 {
	r, ok := source.Table("drillis1966").Where("item", item).Only()
	if !ok {
		panic("cli: no row " + item)
	}
	v, _ := r.Number("fraction_of_stature")
	return v
}

// bodyOf makes the core's person from a file.
func bodyOf(p *person.Person, model string) (body.Person, error) {
	out, ok := programme.PersonOf(p.Findings, p.Measured.Measures())
	if !ok {
		return out, refuse("mass_needed", "The file does not say the person's mass_kg.")
	}
	out.Model = model
	return out, nil
}

// sidesOf reads "N" or "L,R" in degrees; "" keeps the values of otherwise.
func sidesOf(flag, text string, otherwise body.Pair[quantity.Radian]) (body.Pair[quantity.Radian], error) {
	if text == "" {
		return otherwise, nil
	}
	l, r, two := strings.Cut(text, ",")
	if !two {
		r = l
	}
	out := body.Pair[quantity.Radian]{}
	for i, t := range []string{l, r} {
		v, err := real(flag, t)
		if err != nil {
			return out, err
		}
		*out.Of(body.Sides[i]) = quantity.Radian(v / 180 * math.Pi)
	}
	return out, nil
}

// pose puts the flags over the stance measured in the file.
func (f *poseFlags) pose(m *person.Measured) (body.Pose, error) {
	measured := func(key string) body.Pair[quantity.Radian] {
		var pair body.Pair[quantity.Radian]
		for _, s := range body.Sides {
			if v, ok := m.Side(key, s); ok {
				*pair.Of(s) = quantity.Radian(v / 180 * math.Pi)
			}
		}
		return pair
	}
	var pose body.Pose
	none := body.Pair[quantity.Radian]{}
	var parts [6]body.Pair[quantity.Radian]
	for i, x := range []struct {
		flag, text string
		otherwise  body.Pair[quantity.Radian]
	}{{"--ankle-deg", f.Ankle, measured("stance_ankle_deg")}, {"--knee-deg", f.Knee, measured("stance_knee_deg")}, {"--abduction-deg", f.Abduct, none},
		{"--arm-deg", f.ArmFwd, none}, {"--arm-out-deg", f.ArmOutD, none}, {"--elbow-deg", f.Elbow, none}} {
		p, err := sidesOf(x.flag, x.text, x.otherwise)
		if err != nil {
			return pose, err
		}
		parts[i] = p
	}
	for _, s := range body.Sides {
		*pose.Leg.Of(s) = body.LegPose{Ankle: parts[0].At(s), Knee: parts[1].At(s), Abduction: parts[2].At(s)}
		*pose.Arm.Of(s) = body.ArmPose{Forward: parts[3].At(s), Out: parts[4].At(s), Elbow: parts[5].At(s)}
	}
	trunk := f.Trunk
	if v, ok := m.Number("stance_trunk_deg"); ok && trunk == nil {
		trunk = &v
	}
	if trunk != nil {
		pose.Trunk.Forward = quantity.Radian(*trunk / 180 * math.Pi)
	}
	if f.Side != nil {
		pose.Trunk.Right = quantity.Radian(*f.Side / 180 * math.Pi)
	}
	switch v, ok := m.Number("stance_width_mm"); {
	case f.Width != nil:
		pose.StanceWidth = ptr(quantity.Metre(*f.Width / 100))
	case ok:
		pose.StanceWidth = ptr(quantity.Metre(v / 1000))
	}
	return pose, nil
}

// gear is what is worn and held where it is asked for: as weighed, else as
// usual.
func (f *poseFlags) gear(b *body.Body, m *person.Measured) body.Gear {
	if !f.Gear && !f.Rigs {
		return body.Gear{}
	}
	return programme.GearOf(b, m.Measures(), body.Both(f.Rigs))
}

type partView struct {
	Name   string   `json:"name"`
	Side   string   `json:"side,omitempty"`
	MassKg float64  `json:"mass_kg"`
	CM     body.Vec `json:"cm"`
	From   body.Vec `json:"from"`
	To     body.Vec `json:"to"`
	Worn   bool     `json:"worn,omitempty"`
}

type lengthMM struct {
	Name     string  `json:"name"`
	Value    float64 `json:"value_mm"`
	SD       float64 `json:"sd_mm"`
	Measured bool    `json:"measured"`
	Source   string  `json:"source,omitempty"`
	Outside  bool    `json:"outside_studied,omitempty"`
}

func viewLength(name string, l body.Length) lengthMM {
	return lengthMM{name, 1000 * l.Value, 1000 * l.SD, l.Measured, l.Source, l.Outside}
}

// posed is the body of a person's file.
func (c *bodyCMCmd) posed(a *app) error {
	p, err := a.readPerson(c.File)
	if err != nil {
		return err
	}
	made, err := bodyOf(p, c.Model)
	if err != nil {
		return inFile(err, c.File)
	}
	b, err := body.New(made)
	if err != nil {
		return inFile(bodyFault(err), c.File)
	}
	pose, err := c.pose(p.Measured)
	if err != nil {
		return err
	}
	posed, err := b.Pose(pose, c.gear(b, p.Measured))
	if err != nil {
		return inFile(bodyFault(err), c.File)
	}
	f := b.Frame()
	if c.JSON {
		parts := []partView{}
		for _, x := range posed.Parts {
			parts = append(parts, partView{x.Name, x.Side.String(), x.Mass, x.At, x.From, x.To, x.Worn})
		}
		return a.printJSON(map[string]any{
			"model": b.Model().Name, "model_title": b.Model().Title, "model_because": b.Model().Reason, "model_note": b.Model().Note, "sources": b.Model().Sources,
			"mass_kg": posed.Mass, "body_mass_kg": posed.BodyMass, "intact_mass_kg": float64(b.IntactMass()), "lost_pct": 100 * b.LostShare(),
			"cm": posed.CM, "cm_sd": posed.SD, "body_cm": posed.BodyCM, "cm_height_pct_of_stature": 100 * posed.CM.Z / f.Stature.Value,
			"standing": posed.Standing, "joints": jointsView(posed.Joints), "parts": parts, "notes": append([]string{}, b.Notes()...),
			"lengths": []lengthMM{viewLength("stature", f.Stature), viewLength("ankle_height", f.Ankle), viewLength("knee_height", f.Knee), viewLength("hip_height", f.Hip),
				viewLength("shoulder_centre_height", f.Shoulder), viewLength("neck_height", f.Neck), viewLength("foot_length", f.FootLength),
				viewLength("hips_apart", f.HipsApart), viewLength("shoulders_apart", f.ShouldersApart), viewLength("upper_arm_left", f.UpperArm.Left),
				viewLength("upper_arm_right", f.UpperArm.Right), viewLength("forearm_left", f.Forearm.Left), viewLength("forearm_right", f.Forearm.Right)},
		})
	}
	out := a.sheet(c.JSON)
	out.labelled(0, 20, "Segment masses", b.Model().Title+" ("+b.Model().Reason+")")
	if n := b.Model().Note; n != "" {
		out.para(20, n)
	}
	out.labelled(0, 20, "Mass", fmt.Sprintf("%.1f kg with everything worn; the body %.1f kg", posed.Mass, posed.BodyMass))
	if b.LostShare() > 0 {
		out.labelled(0, 20, "With every limb", fmt.Sprintf("%.1f kg by these segment masses", b.IntactMass()))
	}
	out.labelled(0, 20, "Centre of mass", fmt.Sprintf("%.0f ± %.0f mm over the snow, %.0f ± %.0f mm ahead of the ankles, %s", 1000*posed.CM.Z, 1000*posed.SD.Z, 1000*posed.CM.Y, 1000*posed.SD.Y, sideways(posed.CM.X, posed.SD.X)))
	for _, n := range b.Notes() {
		out.bullet(n)
	}
	return out.err
}

// sideways says how far to a side.
func sideways(x, sd float64) string {
	side := "right"
	if x < 0 {
		side = "left"
	}
	return strconv.FormatFloat(math.Abs(1000*x), 'f', 0, 64) + " ± " + strconv.FormatFloat(1000*sd, 'f', 0, 64) + " mm to the " + side
}

func jointsView(j body.Joints) map[string]any {
	return map[string]any{"vertex": j.Vertex, "neck": j.Neck, "mid_hip": j.MidHip, "shoulder": j.Shoulder, "elbow": j.Elbow, "wrist": j.Wrist, "grip": j.Grip,
		"fingertip": j.Fingertip, "hip": j.Hip, "knee": j.Knee, "ankle": j.Ankle, "heel": j.Heel, "toe": j.Toe}
}

// bodyPredictCmd predicts lengths and places a person among others.
type bodyPredictCmd struct {
	Stature *float64 `name:"stature-cm" placeholder:"N" help:"Stature without shoes."`
	MassKg  *float64 `name:"mass-kg" placeholder:"N" help:"Body mass, for the growth chart."`
	Sex     string   `enum:",F,M" default:"" help:"F or M; both averaged where not given."`
	AgeYrs  *float64 `name:"age-years" placeholder:"N" help:"Age, for children."`
	AgeMon  *float64 `name:"age-months" placeholder:"N" help:"Age in months instead."`
	Measure []string `placeholder:"NAME" help:"ANSUR II measure, such as wristheight; all where none is named."`
	Z       *float64 `name:"z" placeholder:"N" help:"A standard score: gives the chart's value at it."`
	Pct     *float64 `name:"percentile" placeholder:"N" help:"A percentile of the chart, 0 to 100."`
	JSON    bool     `name:"json" help:"As JSON."`
}

// Run predicts.
func (c *bodyPredictCmd) Run(a *app) error {
	age := c.AgeYrs
	if c.AgeMon != nil {
		if age != nil {
			return refuse("given_twice", "Give the age in years or in months, not both.")
		}
		age = ptr(*c.AgeMon / 12)
	}
	out := map[string]any{}
	p := a.sheet(c.JSON)
	if age != nil && c.Sex != "" && *age <= 20 {
		if err := c.charts(*age, out, p); err != nil {
			return err
		}
	}
	if c.Stature != nil {
		if !(*c.Stature >= 40 && *c.Stature <= 260) {
			return refuse("length_impossible", "A stature between 40 and 260 cm is expected.")
		}
		list := []lengthMM{}
		names := c.Measure
		known := source.Table("ansur2_ratio").Names("measure")
		if len(names) == 0 {
			names = known
		}
		for _, n := range names {
			if !contains(known, n) {
				return refuse("unknown_measure", "There is no measure %s; there are %s.", n, strings.Join(known, ", "))
			}
			l := viewLength(n, body.Predict(n, body.Sex(c.Sex), quantity.Metre(*c.Stature/100), age))
			list = append(list, l)
			note := ""
			if l.Outside {
				note = ", outside those studied"
			}
			p.labelled(0, 36, n, fmt.Sprintf("%.0f ± %.0f mm%s", l.Value, l.SD, note))
		}
		out["predicted"] = list
		crutch := 1000 * (source.Value("handle_stature_slope")**c.Stature/100 + source.Value("handle_stature_constant"))
		out["crutch_handle_in_shoes_mm"] = crutch
		p.labelled(0, 36, "crutch handle in shoes", fmt.Sprintf("%.0f mm", crutch))
	}
	if len(out) == 0 {
		return refuse("usage", "Give --stature-cm, or --sex and --age-years (to 20) for the growth chart.")
	}
	if c.JSON {
		return a.printJSON(out)
	}
	return p.err
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func (c *bodyPredictCmd) charts(age float64, out map[string]any, p *sheet) error {
	for _, chart := range []struct {
		name, key string
		given     *float64
	}{{"stature_cm", "stature", c.Stature}, {"weight_kg", "weight", c.MassKg}} {
		g, err := body.GrowthAt(chart.name, body.Sex(c.Sex), age)
		if err != nil {
			return bodyFault(err)
		}
		unit := chart.name[strings.LastIndex(chart.name, "_")+1:]
		v := map[string]any{"median_" + unit: g.M, "p5_" + unit: g.At(body.ScoreOf(0.05)), "p95_" + unit: g.At(body.ScoreOf(0.95))}
		p.labelled(0, 36, chart.key+" at this age", fmt.Sprintf("%.4g %s (5th percentile %.4g, 95th %.4g)", g.M, unit, v["p5_"+unit], v["p95_"+unit]))
		if c.Z != nil {
			v["at_z_"+unit] = g.At(*c.Z)
		}
		if c.Pct != nil {
			if !(*c.Pct > 0 && *c.Pct < 100) {
				return refuse("usage", "A percentile lies between 0 and 100.")
			}
			v["at_percentile_"+unit] = g.At(body.ScoreOf(*c.Pct / 100))
		}
		if chart.given != nil {
			if !(*chart.given > 0) {
				return refuse("length_not_positive", "What is placed on a growth chart must be above zero.")
			}
			z := g.Score(*chart.given)
			v["z"], v["percentile"] = z, 100*body.ShareBelow(z)
			p.labelled(0, 36, "", fmt.Sprintf("z %.2f, percentile %.1f", z, 100*body.ShareBelow(z)))
		}
		out[chart.key] = v
	}
	return nil
}
