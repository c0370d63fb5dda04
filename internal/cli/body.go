package cli

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

// bodyCmd is about mass and lengths of bodies.
type bodyCmd struct {
	CM       bodyCMCmd       `cmd:"" name:"cm" help:"Centre of mass: of a person's posed body, of masses in a plane, or of a textbook's standing body."`
	Limb     bodyLimbCmd     `cmd:"" help:"Centre and moment of inertia of limbs in a plane, by a table's segments or your own."`
	Board    bodyBoardCmd    `cmd:"" help:"Weight and centre from scales, a reaction board, a beam on two supports or a pivot."`
	Weight   bodyWeightCmd   `cmd:"" help:"Weight with every limb, or without one."`
	Elbow    bodyElbowCmd    `cmd:"" help:"Bend of the elbow from lengths and the place of a handle."`
	Flex     bodyFlexCmd     `cmd:"" help:"How far the shoulder sinks and comes forward when the body bends."`
	Segments bodySegmentsCmd `cmd:"" help:"Masses, centres and radii of the segments by a published table."`
	Predict  bodyPredictCmd  `cmd:"" help:"Heights and lengths predicted from stature, and where a person stands among others."`
}

// sheet returns a sheet to write for people on, which swallows everything where
// JSON was asked for.
func (a *app) sheet(json bool) *sheet {
	if json {
		return &sheet{w: io.Discard}
	}
	return &sheet{w: a.Out}
}

// joinNegatives writes "--flag -5" as "--flag=-5", since a value that begins
// with a dash is otherwise taken for another flag.
func joinNegatives(args []string) []string {
	var out []string
	for _, a := range args {
		negative := len(a) > 1 && a[0] == '-' && (a[1] >= '0' && a[1] <= '9' || a[1] == '.')
		if n := len(out); negative && n > 0 && strings.HasPrefix(out[n-1], "--") && !strings.Contains(out[n-1], "=") {
			out[n-1] += "=" + a
			continue
		}
		out = append(out, a)
	}
	return out
}

// bodyFault gives a refusal of the body's the one shape.
func bodyFault(err error) error {
	var e *body.Error
	if errors.As(err, &e) {
		return refuse(e.Code, "%s", e.Sentence)
	}
	return err
}

// pairs reads "key=value,key=value".
func pairs(what, text string, keys ...string) (map[string]string, error) {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ",") {
		key, value, ok := strings.Cut(part, "=")
		key = strings.TrimSpace(key)
		known := false
		for _, k := range keys {
			known = known || k == key
		}
		if !ok || !known {
			return nil, refuse("usage", "%s takes %s, each written key=value and parted by commas; %q is none of them.", what, strings.Join(keys, ", "), part)
		}
		if _, twice := out[key]; twice {
			return nil, refuse("given_twice", "%s: %s is given twice.", what, key)
		}
		out[key] = strings.TrimSpace(value)
	}
	return out, nil
}

// real reads a number; NaN and infinities are left to the core, which refuses
// them with its own sentence.
func real(what, text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil && !errors.Is(err, strconv.ErrRange) {
		return 0, refuse("not_a_number", "%s: %q is not a number.", what, text)
	}
	return v, nil
}

// placed reads "AMOUNT@X" or "AMOUNT@X,Y".
func placed(what, text string) (amount float64, at body.Point, err error) {
	a, where, ok := strings.Cut(text, "@")
	if !ok {
		return 0, at, refuse("usage", "%s is written AMOUNT@PLACE, such as 44.9@0.5 or 44.9@0,0.432; not %q.", what, text)
	}
	if amount, err = real(what, a); err != nil {
		return 0, at, err
	}
	at, err = point(what, where)
	return amount, at, err
}

// point reads "X" or "X,Y".
func point(what, text string) (body.Point, error) {
	x, y, two := strings.Cut(text, ",")
	if !two {
		y = "0"
	}
	px, err := real(what, x)
	if err != nil {
		return body.Point{}, err
	}
	py, err := real(what, y)
	return body.Point{X: px, Y: py}, err
}

func lumpsAt(what string, texts []string) ([]body.Lump, error) {
	var out []body.Lump
	for i, text := range texts {
		m, at, err := placed(what, text)
		if err != nil {
			return nil, err
		}
		out = append(out, body.Lump{Name: strconv.Itoa(i + 1), Mass: m, From: at, To: at})
	}
	return out, nil
}

// tableFlags pick rows of a published table.
type tableFlags struct {
	Table   string   `placeholder:"NAME" help:"Published table: deleva1996, winter_dempster, plagenhoef1983, giancoli7_1, chandler1975, jensen_children, jensen_fletcher1994, pavol2002, osterkamp1995."`
	Sex     string   `enum:",F,M" default:"" help:"F or M, for tables with a column for each."`
	AgeYrs  *float64 `name:"age-years" placeholder:"N" help:"Age, for the children's table."`
	MassKg  *float64 `name:"mass-kg" placeholder:"N" help:"Mass of the whole body."`
	WeightN *float64 `name:"weight-n" placeholder:"N" help:"Weight of the whole body in newtons, instead of its mass."`
	Gravity float64  `name:"g-m-s2" default:"9.80665" help:"Free fall, to turn newtons into kilograms."`
	Stature *float64 `name:"stature-cm" placeholder:"N" help:"Stature, for tables of shares of stature."`
}

// names lets short names stand for tables.
var tableShort = map[string]string{"deleva": "deleva1996", "winter": "winter_dempster", "dempster": "winter_dempster", "plagenhoef": "plagenhoef1983",
	"giancoli": "giancoli7_1", "chandler": "chandler1975", "jensen": "jensen_children", "jensen_fletcher": "jensen_fletcher1994", "pavol": "pavol2002", "osterkamp": "osterkamp1995"}

func (t *tableFlags) table() string {
	if long, ok := tableShort[t.Table]; ok {
		return long
	}
	return t.Table
}

// mass returns the whole body's mass in kg, and whether it was given.
func (t *tableFlags) mass() (float64, bool, error) {
	switch {
	case t.MassKg != nil && t.WeightN != nil:
		return 0, false, refuse("given_twice", "Give the mass or the weight, not both.")
	case t.MassKg != nil:
		return *t.MassKg, true, checkMass(*t.MassKg)
	case t.WeightN != nil:
		if !(t.Gravity > 0) {
			return 0, false, refuse("usage", "Free fall must be above zero.")
		}
		return *t.WeightN / t.Gravity, true, checkMass(*t.WeightN)
	}
	return 0, false, nil
}

func checkMass(m float64) error {
	switch {
	case math.IsNaN(m) || math.IsInf(m, 0):
		return refuse("not_a_number", "The body mass is not a number.")
	case m <= 0:
		return refuse("mass_not_positive", "A body mass must be above zero.")
	}
	return nil
}

func (t *tableFlags) weightN(kg float64) float64 {
	if t.WeightN != nil {
		return *t.WeightN
	}
	return kg * t.Gravity
}

func (t *tableFlags) age() float64 {
	if t.AgeYrs == nil {
		return 0
	}
	return *t.AgeYrs
}

// row returns one row of the table.
func (t *tableFlags) row(segment string, kg float64) (body.Coefficients, error) {
	if t.Table == "" {
		return body.Coefficients{}, refuse("usage", "Segment %q needs --table, or its own mass and centre.", segment)
	}
	c, err := body.Row(t.table(), segment, body.Sex(t.Sex), t.age(), t.weightN(kg))
	return c, bodyFault(err)
}

// bodySegmentsCmd lists a table.
type bodySegmentsCmd struct {
	tableFlags
	JSON bool `name:"json" help:"As JSON."`
}

type segmentView struct {
	Segment   string   `json:"segment"`
	Count     int      `json:"count"`
	MassPct   float64  `json:"mass_pct"`
	MassKg    *float64 `json:"mass_kg,omitempty"`
	WeightN   *float64 `json:"weight_n,omitempty"`
	CentrePct *float64 `json:"centre_pct_from_proximal,omitempty"`
	RadiusPct *float64 `json:"radius_pct,omitempty"`
	LengthPct *float64 `json:"length_pct_of_stature,omitempty"`
	LengthCm  *float64 `json:"length_cm,omitempty"`
}

// Run lists the segments.
func (c *bodySegmentsCmd) Run(a *app) error {
	if c.Table == "" {
		return refuse("usage", "Name a table: --table %s.", strings.Join(body.TableNames(), ", "))
	}
	kg, given, err := c.mass()
	if err != nil {
		return err
	}
	rows, err := body.Rows(c.table(), body.Sex(c.Sex), c.age(), c.weightN(kg))
	if err != nil {
		return bodyFault(err)
	}
	sum, list := 0.0, []segmentView{}
	for _, r := range rows {
		v := segmentView{Segment: r.Segment, Count: r.Count, MassPct: 100 * r.Mass}
		if r.Centre != 0 {
			v.CentrePct = ptr(100 * r.Centre)
		}
		if r.Radius != 0 {
			v.RadiusPct = ptr(100 * r.Radius)
		}
		if r.Length != 0 {
			v.LengthPct = ptr(100 * r.Length)
			if c.Stature != nil {
				v.LengthCm = ptr(r.Length * *c.Stature)
			}
		}
		if given {
			v.MassKg, v.WeightN = ptr(r.Mass*kg), ptr(r.Mass*c.weightN(kg))
		}
		sum += float64(r.Count) * r.Mass
		list = append(list, v)
	}
	if c.JSON {
		out := map[string]any{"table": c.table(), "segments": list}
		if closes(c.table()) {
			out["sum_pct"] = 100 * sum
			if given {
				out["sum_kg"], out["sum_n"] = sum*kg, sum*c.weightN(kg)
			}
		}
		return a.printJSON(out)
	}
	p := a.sheet(c.JSON)
	for _, v := range list {
		text := fmt.Sprintf("%d x %s %%", v.Count, short(v.MassPct))
		if v.MassKg != nil {
			text += fmt.Sprintf(", %s kg, %s N each", short(*v.MassKg), short(*v.WeightN))
		}
		if v.CentrePct != nil {
			text += ", centre " + short(*v.CentrePct) + " %"
		}
		if v.RadiusPct != nil {
			text += ", radius " + short(*v.RadiusPct) + " %"
		}
		if v.LengthPct != nil {
			text += ", length " + short(*v.LengthPct) + " % of stature"
		}
		p.labelled(0, 26, v.Segment, text)
	}
	if closes(c.table()) {
		p.line("all together %s %% of the body", short(100*sum))
	}
	return p.err
}

// closes tells whether the rows of a table make up one body.
func closes(table string) bool {
	return table != "deleva1996" && table != "winter_dempster" && table != "osterkamp1995"
}

func ptr[T any](v T) *T { return &v }

// mils prints a length to the millimetre, without a sign before zero.
func mils(v float64) string { return quantity.Decimals(3).Text(v) }

// short prints a number with four significant digits.
func short(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

// bodyLimbCmd is about limbs in a plane.
type bodyLimbCmd struct {
	tableFlags
	Point   []string `sep:"none" placeholder:"NAME=X,Y" help:"A joint in metres, x forward, y up."`
	Segment []string `sep:"none" placeholder:"K=V,..." help:"A segment between two points: segment=thigh,from=hip,to=knee, or mass_kg=8,centre_pct=43.3,radius_pct=32.3,from=..,to=.."`
	Link    []string `sep:"none" placeholder:"K=V,..." help:"The next link of a chain from its first joint: segment=thigh,angle_deg=90 (from straight down, forward), or mass_kg=..,length_cm=..,centre_pct=50,angle_deg=.."`
	From    string   `placeholder:"X,Y" default:"0,0" help:"Where the chain of links begins, metres."`
	About   []string `sep:"none" placeholder:"NAME" help:"A point, or X,Y, about which to give the moment of inertia too."`
	JSON    bool     `name:"json" help:"As JSON."`
}

type pointView struct {
	X float64 `json:"x_m"`
	Y float64 `json:"y_m"`
}

type lumpView struct {
	Name    string    `json:"name"`
	MassKg  float64   `json:"mass_kg"`
	CM      pointView `json:"cm"`
	Inertia float64   `json:"inertia_about_cm_kg_m2"`
}

// Run computes.
func (c *bodyLimbCmd) Run(a *app) error {
	plane, points, err := c.plane()
	if err != nil {
		return err
	}
	first := plane.Lumps[0].From
	lowest := math.Inf(1)
	lumps := []lumpView{}
	for _, l := range plane.Lumps {
		lowest = min(lowest, l.From.Y, l.To.Y)
		lumps = append(lumps, lumpView{l.Name, l.Mass, pointView(l.At()), l.Inertia()})
	}
	out := map[string]any{
		"segments": lumps, "mass_kg": plane.Mass, "cm": pointView(plane.Centre),
		"cm_from_first_m":           math.Hypot(plane.Centre.X-first.X, plane.Centre.Y-first.Y),
		"cm_ahead_of_first_m":       plane.Centre.X - first.X,
		"cm_below_first_m":          first.Y - plane.Centre.Y,
		"cm_above_lowest_m":         plane.Centre.Y - lowest,
		"inertia_about_cm_kg_m2":    plane.InertiaAbout(plane.Centre),
		"inertia_about_first_kg_m2": plane.InertiaAbout(first),
	}
	if c.Stature != nil {
		pct := 1e4 / *c.Stature // of metres
		out["cm_ahead_of_first_pct_of_stature"] = (plane.Centre.X - first.X) * pct
		out["cm_below_first_pct_of_stature"] = (first.Y - plane.Centre.Y) * pct
		out["cm_above_lowest_pct_of_stature"] = (plane.Centre.Y - lowest) * pct
	}
	about := []map[string]any{}
	for _, name := range c.About {
		at, ok := points[name]
		if !ok {
			if at, err = point("--about", name); err != nil {
				return refuse("unknown_point", "There is no point %q; name one with --point.", name)
			}
		}
		about = append(about, map[string]any{"about": name, "at": pointView(at), "inertia_kg_m2": plane.InertiaAbout(at)})
	}
	out["about"] = about
	bare := []string{}
	for _, l := range plane.Lumps {
		if l.Radius == 0 && l.Length() > 0 {
			bare = append(bare, l.Name)
		}
	}
	out["without_radius_of_gyration"] = bare
	if c.JSON {
		return a.printJSON(out)
	}
	p := a.sheet(c.JSON)
	for _, l := range lumps {
		p.labelled(0, 16, l.Name, fmt.Sprintf("%s kg at (%s, %s) m, %.3f kg m² about its centre", short(l.MassKg), mils(l.CM.X), mils(l.CM.Y), l.Inertia))
	}
	p.labelled(0, 16, "together", fmt.Sprintf("%s kg at (%s, %s) m, %.3f kg m² about this centre, %.3f about the first joint; %.3f m from the first joint, %.3f m above the lowest",
		short(plane.Mass), mils(plane.Centre.X), mils(plane.Centre.Y), out["inertia_about_cm_kg_m2"], out["inertia_about_first_kg_m2"], out["cm_from_first_m"], plane.Centre.Y-lowest))
	if len(bare) > 0 {
		p.para(0, "No radius of gyration is known for some pieces: the moments of inertia take them as points.")
	}
	for _, x := range about {
		p.labelled(0, 16, "about "+x["about"].(string), fmt.Sprintf("%.3f kg m²", x["inertia_kg_m2"]))
	}
	return p.err
}

// plane puts the segments together.
func (c *bodyLimbCmd) plane() (body.Plane, map[string]body.Point, error) {
	points := map[string]body.Point{}
	for _, text := range c.Point {
		name, at, ok := strings.Cut(text, "=")
		if !ok {
			return body.Plane{}, nil, refuse("usage", "A point is written NAME=X,Y; not %q.", text)
		}
		p, err := point("--point "+name, at)
		if err != nil {
			return body.Plane{}, nil, err
		}
		points[name] = p
	}
	if len(c.Segment) > 0 && len(c.Link) > 0 {
		return body.Plane{}, nil, refuse("usage", "Give segments between points, or the links of a chain, not both.")
	}
	kg, given, err := c.mass()
	if err != nil {
		return body.Plane{}, nil, err
	}
	if !given {
		kg = 1 // shares of the body
	}
	if c.Stature != nil && !(*c.Stature > 0) {
		return body.Plane{}, nil, refuse("length_not_positive", "The stature must be above zero.")
	}
	if len(c.Link) > 0 {
		return c.chain(kg, points)
	}
	var lumps []body.Lump
	for _, text := range c.Segment {
		f, err := pairs("--segment", text, "segment", "name", "from", "to", "mass_kg", "centre_pct", "radius_pct")
		if err != nil {
			return body.Plane{}, nil, err
		}
		l, _, err := c.own(f, kg)
		if err != nil {
			return body.Plane{}, nil, err
		}
		for key, to := range map[string]*body.Point{"from": &l.From, "to": &l.To} {
			at, ok := points[f[key]]
			if !ok {
				return body.Plane{}, nil, refuse("unknown_point", "Segment %q wants %s: the name of a --point.", text, key)
			}
			*to = at
		}
		lumps = append(lumps, l)
	}
	plane, err := body.NewPlane(lumps)
	return plane, points, bodyFault(err)
}

// own reads mass, centre and radius, from the table where segment is named;
// what is written wins.
func (c *bodyLimbCmd) own(f map[string]string, kg float64) (body.Lump, float64, error) {
	l, length := body.Lump{Name: f["name"], Centre: 0.5}, 0.0
	if seg := f["segment"]; seg != "" {
		r, err := c.row(seg, kg)
		if err != nil {
			return l, 0, err
		}
		if l.Name == "" {
			l.Name = seg
		}
		l.Mass, l.Centre, l.Radius, length = r.Mass*kg, r.Centre, r.Radius, r.Length
	} else if f["mass_kg"] == "" {
		return l, 0, refuse("usage", "A piece needs segment= (of a table) or mass_kg=.")
	}
	for key, to := range map[string]*float64{"mass_kg": &l.Mass, "centre_pct": &l.Centre, "radius_pct": &l.Radius} {
		if f[key] == "" {
			continue
		}
		v, err := real(key, f[key])
		if err != nil {
			return l, 0, err
		}
		if key != "mass_kg" {
			v /= 100
		}
		*to = v
	}
	return l, length, nil
}

func (c *bodyLimbCmd) chain(kg float64, points map[string]body.Point) (body.Plane, map[string]body.Point, error) {
	from, err := point("--from", c.From)
	if err != nil {
		return body.Plane{}, nil, err
	}
	var links []body.Link
	for _, text := range c.Link {
		f, err := pairs("--link", text, "segment", "name", "mass_kg", "length_cm", "centre_pct", "radius_pct", "angle_deg")
		if err != nil {
			return body.Plane{}, nil, err
		}
		l, share, err := c.own(f, kg)
		if err != nil {
			return body.Plane{}, nil, err
		}
		length := 0.0
		switch {
		case f["length_cm"] != "":
			if length, err = real("length_cm", f["length_cm"]); err != nil {
				return body.Plane{}, nil, err
			}
		case share > 0 && c.Stature != nil:
			length = share * *c.Stature
		default:
			return body.Plane{}, nil, refuse("usage", "Link %q wants length_cm=, or --stature-cm where the table has lengths.", text)
		}
		angle := 0.0
		if f["angle_deg"] != "" {
			if angle, err = real("angle_deg", f["angle_deg"]); err != nil {
				return body.Plane{}, nil, err
			}
		}
		links = append(links, body.Link{Name: l.Name, Length: length / 100, Mass: l.Mass, Centre: l.Centre, Radius: l.Radius, Angle: angle / 180 * math.Pi})
	}
	plane, err := body.Chain(from, links)
	return plane, points, bodyFault(err)
}

// bodyWeightCmd is about lost limbs and weight.
type bodyWeightCmd struct {
	tableFlags
	MeasuredKg   *float64 `name:"measured-kg" placeholder:"N" help:"Mass as weighed, without the lost parts."`
	ProsthesisKg *float64 `name:"prosthesis-kg" placeholder:"N" help:"Mass of prostheses that were on the scale; taken off first."`
	IntactKg     *float64 `name:"intact-kg" placeholder:"N" help:"Mass with every limb; gives the mass without the lost parts."`
	Lost         []string `sep:"none" placeholder:"LEVEL" help:"A lost limb: foot, transtibial, knee, transfemoral, hip, hand, transradial, elbow, transhumeral, shoulder; once for each. left:transtibial and right:transtibial name the side; transtibial=40 says 40 % of the segment's length remain."`
	Part         []string `sep:"none" placeholder:"NAME" help:"A lost part by the table's own words, such as \"entire leg\"; once for each."`
	Pct          []string `sep:"none" placeholder:"N" help:"A lost share in percent of the whole body, from another chart; once for each."`
	JSON         bool     `name:"json" help:"As JSON."`
}

type absentView struct {
	Part string  `json:"part"`
	Pct  float64 `json:"pct_of_body_weight"`
}

// Run computes.
func (c *bodyWeightCmd) Run(a *app) error {
	absent, notes, err := c.absent()
	if err != nil {
		return err
	}
	lost, err := body.LostSum(absent)
	if err != nil {
		return bodyFault(err)
	}
	for _, kg := range []*float64{c.MeasuredKg, c.IntactKg} { // before anything is printed
		if kg != nil {
			if err := checkMass(*kg); err != nil {
				return err
			}
		}
	}
	out := map[string]any{"lost_pct": 100 * lost}
	var parts []absentView
	for _, x := range absent {
		parts = append(parts, absentView{x.Part, 100 * x.Loss})
	}
	out["parts"] = parts
	p := a.sheet(c.JSON)
	for _, x := range parts {
		p.labelled(0, 30, x.Part, short(x.Pct)+" %")
	}
	p.labelled(0, 30, "lost", short(100*lost)+" % of the body")
	switch {
	case c.MeasuredKg != nil && c.IntactKg == nil:
		measured := *c.MeasuredKg
		if c.ProsthesisKg != nil {
			if !(*c.ProsthesisKg >= 0) {
				return refuse("mass_not_positive", "The mass of a prosthesis must not be below zero.")
			}
			measured -= *c.ProsthesisKg
		}
		intact, err := body.IntactMass(measured, absent)
		if err != nil {
			return bodyFault(err)
		}
		out["measured_kg"], out["intact_kg"], out["missing_kg"] = measured, intact, intact-measured
		p.labelled(0, 30, "with every limb", fmt.Sprintf("%.1f kg; %.1f kg are missing", intact, intact-measured))
	case c.IntactKg != nil && c.MeasuredKg == nil:
		left, err := body.RemainingMass(*c.IntactKg, absent)
		if err != nil {
			return bodyFault(err)
		}
		out["intact_kg"], out["remaining_kg"], out["missing_kg"] = *c.IntactKg, left, *c.IntactKg-left
		p.labelled(0, 30, "without the lost parts", fmt.Sprintf("%.1f kg; %.1f kg are missing", left, *c.IntactKg-left))
	default:
		return refuse("usage", "Give --measured-kg (weighed without the lost parts) or --intact-kg, one of them.")
	}
	if body.LeavesFootOn(absent) {
		notes = append(notes, "A lower leg without foot is counted and no foot: that leaves the foot on. A loss below the knee is the lower leg with foot.")
	}
	out["notes"] = append([]string{}, notes...)
	if c.JSON {
		return a.printJSON(out)
	}
	for _, n := range notes {
		p.para(0, n)
	}
	return p.err
}

func (c *bodyWeightCmd) absent() (all []body.Absent, notes []string, err error) {
	limbs := map[string]bool{}
	for _, text := range c.Lost {
		side, level, sided := strings.Cut(text, ":")
		if !sided {
			side, level = "", text
		}
		level, pct, cut := strings.Cut(level, "=")
		l, kept := body.Level(strings.TrimSpace(level)), -1.0
		if cut {
			v, err := real("--lost", strings.TrimSuffix(pct, "%"))
			if err != nil {
				return nil, nil, err
			}
			if kept = v / 100; kept < 0 {
				return nil, nil, refuse("length_not_positive", "What remains of a segment must not be below zero.")
			}
		}
		if sided {
			switch strings.ToLower(side) {
			case "l", "left", "r", "right":
			default:
				return nil, nil, refuse("usage", "A side is left or right, not %q.", side)
			}
			key := strings.ToLower(side[:1]) + strconv.FormatBool(l.Arm())
			if limbs[key] {
				return nil, nil, refuse("limb_twice", "Two losses are given for one limb; give the one nearest the body.")
			}
			limbs[key] = true
		}
		var absent []body.Absent
		switch table := c.table(); table {
		case "", "osterkamp1995":
			absent, err = body.OsterkampLoss(l, kept)
		default:
			m, e := c.model(table)
			if e != nil {
				return nil, nil, bodyFault(e)
			}
			absent, err = body.ModelLoss(m, l, kept)
		}
		if err != nil {
			return nil, nil, bodyFault(err)
		}
		if l.Cut() != "" && !cut {
			notes = append(notes, fmt.Sprintf("%s: the whole %s is counted as lost, as dieticians do; write %s=40 where 40 %% of its length remain.", l,
				strings.ReplaceAll(string(l.Cut()), "_", " "), l))
		}
		all = append(all, absent...)
	}
	for _, text := range c.Part {
		x, err := body.OsterkampPart(text)
		if err != nil {
			return nil, nil, bodyFault(err)
		}
		all = append(all, x)
	}
	for _, text := range c.Pct {
		v, err := real("--pct", text)
		if err != nil {
			return nil, nil, err
		}
		all = append(all, body.Absent{Part: "share given", Loss: v / 100})
	}
	if len(all) == 0 {
		return nil, nil, refuse("usage", "Say what is lost, with --lost, --part or --pct.")
	}
	return all, notes, nil
}

// model picks a set of segment masses for the other convention.
func (c *bodyWeightCmd) model(table string) (body.Model, error) {
	name := map[string]string{"deleva1996": "deleva", "jensen_children": "jensen", "jensen_fletcher1994": "jensen_fletcher", "pavol2002": "pavol"}[table]
	if name == "" {
		name = table
	}
	return body.ModelNamed(name, body.Sex(c.Sex), c.AgeYrs)
}

// bodyElbowCmd is about the two-link arm.
type bodyElbowCmd struct {
	UpperArmMM    *float64 `name:"upper-arm-mm" placeholder:"N" help:"Shoulder centre to elbow."`
	AcromionMM    *float64 `name:"acromion-elbow-mm" placeholder:"N" help:"Instead: bony edge of the shoulder to elbow; 10.4 % are taken off."`
	ForearmGripMM *float64 `name:"forearm-grip-mm" placeholder:"N" help:"Elbow to the middle of the fist."`
	DistanceMM    *float64 `name:"distance-mm" placeholder:"N" help:"Shoulder centre to the middle of the fist, instead of heights."`
	ShoulderMM    *float64 `name:"shoulder-height-mm" placeholder:"N" help:"Height of the shoulder's centre."`
	HandleMM      *float64 `name:"handle-height-mm" placeholder:"N" help:"Height of the top of the handle."`
	BelowMM       *float64 `name:"grip-below-mm" placeholder:"N" help:"Middle of the fist under the top of the handle; 15 where not given."`
	OutsideMM     float64  `name:"outside-mm" default:"0" help:"Handle outside the shoulder."`
	AheadMM       float64  `name:"ahead-mm" default:"0" help:"Handle ahead of the shoulder."`
	BendDeg       *float64 `name:"bend-deg" placeholder:"N" help:"Ask for this bend: gives the handle's height instead."`
	Population    string   `enum:",F,M" default:"" help:"F or M: the bend of grown women or men of ANSUR II instead of one arm."`
	Handle        string   `default:"wrist_crease" help:"With --population, what the handle is set to: wrist_bone, wrist_crease, trochanter."`
	JSON          bool     `name:"json" help:"As JSON."`
}

// Run computes.
func (c *bodyElbowCmd) Run(a *app) error {
	if c.Population != "" {
		return c.people(a)
	}
	upper := c.UpperArmMM
	if upper == nil && c.AcromionMM != nil {
		upper = ptr(*c.AcromionMM * (1 - body.AcromionShare()))
	}
	if upper == nil || c.ForearmGripMM == nil {
		return refuse("usage", "The bend needs --upper-arm-mm (or --acromion-elbow-mm) and --forearm-grip-mm, or --population.")
	}
	below := body.GripBelow().Millimetres()
	if c.BelowMM != nil {
		below = *c.BelowMM
	}
	mm := func(v float64) quantity.Metre { return quantity.Metre(v / 1000) }
	out := map[string]any{}
	p := a.sheet(c.JSON)
	if c.BendDeg != nil {
		if c.ShoulderMM == nil {
			return refuse("usage", "A handle for a bend needs --shoulder-height-mm.")
		}
		d, err := body.DistanceForBend(quantity.Must(quantity.Degrees(0))+quantity.Radian(*c.BendDeg/180*math.Pi), mm(*upper), mm(*c.ForearmGripMM))
		if err != nil {
			return bodyFault(err)
		}
		up := float64(d)*float64(d) - (c.OutsideMM*c.OutsideMM+c.AheadMM*c.AheadMM)/1e6
		if !(up >= 0) {
			return refuse("out_of_reach", "With that bend the hand does not come so far outside and ahead.")
		}
		height := *c.ShoulderMM - 1000*math.Sqrt(up) + below
		out["bend_deg"], out["distance_mm"], out["handle_height_mm"] = *c.BendDeg, d.Millimetres(), height
		p.line("handle top at %.0f mm for a bend of %s degrees", height, short(*c.BendDeg))
		if c.JSON {
			return a.printJSON(out)
		}
		return p.err
	}
	var distance quantity.Metre
	switch {
	case c.DistanceMM != nil:
		distance = mm(*c.DistanceMM)
	case c.ShoulderMM != nil && c.HandleMM != nil:
		distance = body.Handle{Shoulder: mm(*c.ShoulderMM), Top: mm(*c.HandleMM), Below: mm(below), Outside: mm(c.OutsideMM), Ahead: mm(c.AheadMM)}.Distance()
	default:
		return refuse("usage", "Give --distance-mm, or --shoulder-height-mm and --handle-height-mm, or --bend-deg.")
	}
	bend, err := body.ElbowBend(distance, mm(*upper), mm(*c.ForearmGripMM))
	if err != nil {
		return bodyFault(err)
	}
	out["bend_deg"], out["distance_mm"], out["upper_arm_mm"], out["forearm_grip_mm"] = bend.Degrees(), distance.Millimetres(), *upper, *c.ForearmGripMM
	out["within_15_30"] = bend.Degrees() >= 15 && bend.Degrees() <= 30
	if c.JSON {
		return a.printJSON(out)
	}
	p.line("elbow bent %.1f degrees; a fitted aid has 15 to 30", bend.Degrees())
	return p.err
}

func (c *bodyElbowCmd) people(a *app) error {
	pop, err := body.ElbowOfPopulation(body.Sex(c.Population), body.HandleRule(c.Handle), quantity.Metre(c.OutsideMM/1000), quantity.Metre(c.AheadMM/1000))
	if err != nil {
		return bodyFault(err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"bend_mean_deg": pop.Mean.Degrees(), "bend_sd_deg": pop.SD.Degrees(), "within_15_30_pct": 100 * pop.Within,
			"does_not_reach_pct": 100 * pop.Straight, "note": "From the statistics of ANSUR II, not from its people."})
	}
	p := a.sheet(c.JSON)
	p.line("elbow bent %.1f ± %.1f degrees, %.0f %% within 15 to 30", pop.Mean.Degrees(), pop.SD.Degrees(), 100*pop.Within)
	return p.err
}
