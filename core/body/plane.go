package body

import (
	"math"
	"slices"
	"strings"

	"firnhand/core/source"
)

// Point is a point in a plane, in metres.
type Point struct {
	X float64 `json:"x_m"`
	Y float64 `json:"y_m"`
}

// Lump is a mass somewhere in a plane, a rod between two ends or a point where
// both ends are equal.
type Lump struct {
	Name   string
	Mass   float64 // kg
	From   Point   // proximal end
	To     Point   // distal end
	Centre float64 // share of the length from From
	// Radius of gyration about the lump's own centre, as a share of its length;
	// 0 for a point or where it is not known.
	Radius float64
}

// At returns where the lump's centre of mass is.
func (l Lump) At() Point {
	return Point{l.From.X + (l.To.X-l.From.X)*l.Centre, l.From.Y + (l.To.Y-l.From.Y)*l.Centre}
}

// Length returns the distance of the two ends.
func (l Lump) Length() float64 { return math.Hypot(l.To.X-l.From.X, l.To.Y-l.From.Y) }

// Inertia returns the moment of inertia about the lump's own centre, in kg m².
func (l Lump) Inertia() float64 {
	r := l.Radius * l.Length()
	return l.Mass * r * r
}

// Plane is a set of lumps in a plane, with their common centre.
type Plane struct {
	Lumps  []Lump
	Mass   float64
	Centre Point
}

// NewPlane joins lumps. It refuses none at all, a mass that is not above zero
// and numbers that are none.
func NewPlane(lumps []Lump) (Plane, error) {
	p := Plane{Lumps: slices.Clone(lumps)}
	if len(lumps) == 0 {
		return p, refuse("nothing_given", "There is no mass to find the centre of.")
	}
	var mx, my float64
	for _, l := range lumps {
		for _, v := range []float64{l.Mass, l.From.X, l.From.Y, l.To.X, l.To.Y, l.Centre, l.Radius} {
			if !finite(v) {
				return p, refuse("not_a_number", "A mass or place is not a number.")
			}
		}
		switch {
		case l.Mass <= 0:
			return p, refuse("mass_not_positive", "Each mass must be above zero.")
		case l.Radius < 0:
			return p, refuse("radius_negative", "A radius of gyration must not be below zero.")
		}
		c := l.At()
		p.Mass += l.Mass
		mx += l.Mass * c.X
		my += l.Mass * c.Y
	}
	p.Centre = Point{mx / p.Mass, my / p.Mass}
	if !finite(p.Centre.X) || !finite(p.Centre.Y) {
		return p, refuse("not_a_number", "A mass or place is too large to compute with.")
	}
	return p, nil
}

// InertiaAbout returns the moment of inertia about a point, in kg m²: each
// lump about its own centre, and its own mass times the square of its own
// distance. (Moving the whole by its common centre alone would leave out the
// spread of the lumps about it.)
func (p Plane) InertiaAbout(at Point) float64 {
	sum := 0.0
	for _, l := range p.Lumps {
		c := l.At()
		dx, dy := c.X-at.X, c.Y-at.Y
		sum += l.Inertia() + l.Mass*(dx*dx+dy*dy)
	}
	return sum
}

// Link is one piece of a chain that starts at a joint.
type Link struct {
	Name   string
	Length float64 // metres
	Mass   float64 // kg
	Centre float64 // share of the length from the near end; may lie beyond 1
	Radius float64 // share of the length
	Angle  float64 // from straight down, radians; positive forward
}

// Chain hangs links one after the other from a point. X is forward, Y is up.
func Chain(from Point, links []Link) (Plane, error) {
	lumps := make([]Lump, len(links))
	for i, l := range links {
		if !finite(l.Angle) || !finite(l.Length) || l.Length < 0 {
			return Plane{}, refuse("length_impossible", "The length of a link must not be below zero, its angle a number.")
		}
		to := Point{from.X + l.Length*math.Sin(l.Angle), from.Y - l.Length*math.Cos(l.Angle)}
		lumps[i] = Lump{l.Name, l.Mass, from, to, l.Centre, l.Radius}
		from = to
	}
	return NewPlane(lumps)
}

// Coefficients are one row of a published table: what a segment weighs and
// where its centre is.
type Coefficients struct {
	Segment string
	Mass    float64 // share of the body, one side
	Centre  float64 // share of the length from the proximal end
	Radius  float64 // share of the length about the centre; 0 where not printed
	Length  float64 // share of stature; 0 where not printed
	Source  string
	Count   int // how many a body has
}

// TableNames lists the published tables whose rows can be asked for.
func TableNames() []string {
	return []string{"deleva1996", "winter_dempster", "plagenhoef1983", "giancoli7_1", "chandler1975", "jensen_children", "jensen_fletcher1994", "pavol2002", "osterkamp1995"}
}

// Row returns the coefficients of a row by the words of its table: a segment,
// or a segment and its endpoints ("Shank KJC-AJC"). sex picks the column where
// the table has two; age the column of the children's table; weight in newtons
// is what the regression of chandler1975 needs. Radii are about the axis
// across the body, so for motion forward and back.
func Row(table, segment string, sex Sex, age, weight float64) (Coefficients, error) {
	rows, err := Rows(table, sex, age, weight)
	if err != nil {
		return Coefficients{}, err
	}
	want := plainWords(segment)
	for _, r := range rows {
		if plainWords(r.Segment) == want {
			return r, nil
		}
	}
	for _, r := range rows { // the segment without its endpoints: the first row
		name := plainWords(r.Segment)
		if i := strings.LastIndex(name, " "); i > 0 && name[:i] == want || sameSegment(name, want) {
			return r, nil
		}
	}
	names := make([]string, len(rows))
	for i, r := range rows {
		names[i] = r.Segment
	}
	return Coefficients{}, refuse("unknown_segment", "Table "+table+" has no segment "+segment+"; it has "+strings.Join(names, ", ")+".")
}

func plainWords(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(s, "_", " ")), " "))
}

// sameSegment knows the words different tables use for one segment.
func sameSegment(name, want string) bool {
	for _, group := range [][]string{
		{"head", "head and neck", "headneck", "head neck"}, {"trunk", "trunk and neck"}, {"upper arm", "arm", "upper arms"},
		{"forearm", "lower arm", "lower arms"}, {"hand", "hands"}, {"thigh", "upper leg", "upper legs"},
		{"shank", "leg", "lower leg", "lower legs"}, {"foot", "feet"},
	} {
		first, _, _ := strings.Cut(name, " ")
		if slices.Contains(group, want) && (slices.Contains(group, name) || slices.Contains(group, first) && name != "lower leg with foot" && name != "forearm hand") {
			return true
		}
	}
	return false
}

// Rows returns every row of a table in the order of print.
func Rows(table string, sex Sex, age, weight float64) ([]Coefficients, error) {
	needSex := func() error {
		if sex == Unsaid {
			return refuse("sex_needed", "Table "+table+" has a column for women and one for men; say which.")
		}
		return nil
	}
	var out []Coefficients
	switch table {
	case "deleva1996":
		if err := needSex(); err != nil {
			return nil, err
		}
		for _, r := range source.Table(table).Where("sex", string(sex)).Rows() {
			stature := map[Sex]string{Female: "deleva_stature_f", Male: "deleva_stature_m"}[sex]
			out = append(out, Coefficients{Segment: r.Text("segment") + " " + r.Text("endpoints"), Mass: number(r, "mass_pct") * perCent,
				Centre: number(r, "cm_pct") * perCent, Radius: number(r, "radius_transverse_pct") * perCent,
				Length: number(r, "mean_length_mm") * millimetre / figure(stature).Value, Source: table, Count: countOf(r.Text("segment"))})
		}
	case "winter_dempster":
		for _, r := range source.Table(table).Rows() {
			radius, _ := r.Number("radius_about_cm")
			out = append(out, Coefficients{Segment: r.Text("segment"), Mass: number(r, "mass_fraction"), Centre: number(r, "cm_from_proximal"),
				Radius: radius, Source: table, Count: countOf(r.Text("segment"))})
		}
	case "plagenhoef1983":
		if err := needSex(); err != nil {
			return nil, err
		}
		column := map[Sex]string{Female: "female", Male: "male"}[sex]
		for _, r := range source.Table(table).Rows() {
			out = append(out, Coefficients{Segment: r.Text("segment"), Mass: number(r, "mass_pct_"+column) * perCent,
				Centre: number(r, "cm_pct_from_proximal_"+column) * perCent, Source: table, Count: countOf(r.Text("segment"))})
		}
	case "giancoli7_1":
		out = giancoliRows()
	case "chandler1975":
		if !finite(weight) || weight <= 0 {
			return nil, refuse("weight_needed", "The regressions of chandler1975 need the body weight, above zero.")
		}
		for _, r := range source.Table(table).Rows() {
			share := (number(r, "per_body_weight")*weight + number(r, "constant_n")) / weight
			if share <= 0 {
				return nil, refuse("weight_outside", "At this body weight the regressions of chandler1975 give a segment of no weight.")
			}
			out = append(out, Coefficients{Segment: r.Text("segment"), Mass: share, Centre: number(r, "cm_pct_from_proximal") * perCent,
				Source: table, Count: int(number(r, "count"))})
		}
	case "jensen_children":
		if !finite(age) || age <= 0 {
			return nil, refuse("age_needed", "The children's table needs an age, above zero.")
		}
		m := jensen(age, sex)
		for _, s := range Segments() {
			out = append(out, Coefficients{Segment: string(s), Mass: m.Of(s).Mass, Centre: m.Of(s).Centre, Source: table, Count: int(m.count(s))})
		}
	case "jensen_fletcher1994", "pavol2002":
		if err := needSex(); err != nil {
			return nil, err
		}
		for _, r := range source.Table(table).Where("sex", string(sex)).Rows() {
			out = append(out, Coefficients{Segment: r.Text("segment"), Mass: number(r, "mass_pct") * perCent, Source: table,
				Count: countOf(string(jensenNames[r.Text("segment")]))})
		}
	case "osterkamp1995":
		for _, r := range source.Table(table).Rows() {
			out = append(out, Coefficients{Segment: r.Text("part"), Mass: number(r, "pct_of_body_weight") * perCent, Source: table, Count: countOf(r.Text("part"))})
		}
	default:
		return nil, refuse("unknown_table", "There is no table "+table+"; there are "+strings.Join(TableNames(), ", ")+".")
	}
	return out, nil
}

// countOf is how many of a segment a body has.
func countOf(segment string) int {
	s := strings.ToLower(segment)
	for _, middle := range []string{"head", "trunk", "thorax", "abdomen", "pelvis", "hat"} {
		if strings.HasPrefix(s, middle) || strings.HasSuffix(s, " "+middle) {
			return 1
		}
	}
	return 2
}

// StandingPart is one part of a textbook's standing body.
type StandingPart struct {
	Name   string
	Mass   float64 // share of the body, one side where paired
	Height float64 // of its centre, share of stature above the floor
	Joint  float64 // height of the joint above it, share of stature; 0 for none
	Paired bool
}

// Giancoli returns the standing body of the textbook table, each paired part
// once with the mass of one side.
func Giancoli() []StandingPart {
	var out []StandingPart
	for _, r := range source.Table("giancoli7_1").Rows() {
		name := r.Text("part")
		if name == "whole body" {
			continue
		}
		p := StandingPart{Name: name, Mass: number(r, "mass_pct") * perCent, Height: number(r, "cm_height_pct") * perCent,
			Paired: strings.HasSuffix(name, "s") || name == "feet"}
		if p.Paired {
			p.Mass /= 2
		}
		out = append(out, p)
	}
	return out
}

// giancoliRows turns the heights of the textbook table into segments that
// hang from their joint. The hand ends at its centre, the foot at the sole.
func giancoliRows() []Coefficients {
	joint := func(name string) float64 {
		return number(only(source.Table("giancoli7_1").Where("joint", name)), "joint_height_pct") * perCent
	}
	ends := map[string][2]float64{
		"head": {1, joint("skull base on spine")}, "trunk and neck": {joint("skull base on spine"), joint("hip")},
		"upper arms": {joint("shoulder"), joint("elbow")}, "lower arms": {joint("elbow"), joint("wrist")},
		"upper legs": {joint("hip"), joint("knee")}, "lower legs": {joint("knee"), joint("ankle")}, "feet": {joint("ankle"), 0},
	}
	out := []Coefficients{}
	for _, p := range Giancoli() {
		e, ok := ends[p.Name]
		if !ok { // the hand
			e = [2]float64{joint("wrist"), p.Height}
		}
		count := 1
		if p.Paired {
			count = 2
		}
		length := e[0] - e[1]
		out = append(out, Coefficients{Segment: p.Name, Mass: p.Mass, Centre: (e[0] - p.Height) / length, Length: length, Source: "giancoli7_1", Count: count})
	}
	return out
}

// StandingCentre returns where the centre of mass of a textbook's standing body
// is once parts are taken off, in shares of stature: its height, and how far it
// lies towards the other side. lateral gives how far from the middle the arm
// and the leg hang; taken lists the parts of one side that are gone with the
// share of each that is gone, cut from below.
func StandingCentre(legOut, armOut float64, taken map[string]float64) (height, across, left float64, err error) {
	moment := 0.0
	for _, p := range Giancoli() {
		n := 1.0
		if p.Paired {
			n = 2
		}
		left += n * p.Mass
		moment += n * p.Mass * p.Height
	}
	rows := giancoliRows()
	for name, gone := range taken {
		i := slices.IndexFunc(rows, func(c Coefficients) bool {
			return plainWords(c.Segment) == plainWords(name) || sameSegment(plainWords(c.Segment), plainWords(name))
		})
		switch {
		case i < 0 || rows[i].Count == 1:
			return 0, 0, 0, refuse("unknown_segment", "The textbook body has no limb part called "+name+".")
		case !finite(gone) || gone < 0 || gone > 1:
			return 0, 0, 0, refuse("share_impossible", "The share of a part that is gone lies between 0 and 1.")
		}
		p := Giancoli()[i]
		out := legOut
		if strings.Contains(p.Name, "arm") || p.Name == "hands" {
			out = armOut
		}
		// The far part of an even rod: its centre is halfway between the cut and
		// the far end, and the whole part keeps the table's own centre.
		height := p.Height
		if gone < 1 {
			kept, keptAt := Remaining(rows[i].Centre, 1-gone)
			top := p.Height + rows[i].Centre*rows[i].Length
			mass := 1 - kept
			height = top - (rows[i].Centre-kept*keptAt)/mass*rows[i].Length
			gone = mass
		}
		left -= p.Mass * gone
		moment -= p.Mass * gone * height
		across += p.Mass * gone * out
	}
	return moment / left, across / left, left, nil
}

// Exchange returns the mass and the centre of a body from which lumps were
// taken and to which others were added: (M r - sum m r + sum m' r') over
// (M - sum m + sum m'). Taking more than there is is refused.
func Exchange(whole Plane, minus, plus []Lump) (mass float64, centre Point, err error) {
	mass, centre = whole.Mass, Point{whole.Mass * whole.Centre.X, whole.Mass * whole.Centre.Y}
	for i, lumps := range [][]Lump{minus, plus} {
		if len(lumps) == 0 {
			continue
		}
		sign := float64(2*i - 1)
		p, err := NewPlane(lumps)
		if err != nil {
			return 0, Point{}, err
		}
		mass += sign * p.Mass
		centre.X += sign * p.Mass * p.Centre.X
		centre.Y += sign * p.Mass * p.Centre.Y
	}
	if mass <= 0 {
		return 0, Point{}, refuse("mass_not_positive", "More is taken away than there is.")
	}
	return mass, Point{centre.X / mass, centre.Y / mass}, nil
}

// Upright is the reference body of de Leva's table, standing with its arms
// down.
type Upright struct {
	AboveHip float64 // centre of mass above the hip centres, metres
	Height   float64 // share of stature, hips at stature less head and trunk
}

// DeLevaStanding stacks the printed mean lengths of de Leva's table: head
// VERT-CERV on trunk CERV-MIDH, shoulders at the length MIDS-MIDH, forearms to
// the wrist bone, legs by their joint centres, the foot's centre 30 mm under
// the ankle. The printed lengths do not stack to the stature exactly, so the
// hips are put at stature less head and trunk.
func DeLevaStanding(sex Sex) (Upright, error) {
	rows, err := Rows("deleva1996", sex, 0, 0)
	if err != nil {
		return Upright{}, err
	}
	stature := figure(map[Sex]string{Female: "deleva_stature_f", Male: "deleva_stature_m"}[sex]).Value
	row := func(name string) Coefficients {
		return rows[slices.IndexFunc(rows, func(c Coefficients) bool { return c.Segment == name })]
	}
	var mass, moment float64
	put := func(c Coefficients, count, top float64) float64 {
		length := c.Length * stature
		mass += count * c.Mass
		moment += count * c.Mass * (top - c.Centre*length)
		return top - length
	}
	head, trunk := row("Head VERT-CERV"), row("Trunk CERV-MIDH")
	neck := trunk.Length * stature // heights from the hips
	put(head, 1, neck+head.Length*stature)
	put(trunk, 1, neck)
	arm := row("Trunk MIDS-MIDH").Length * stature
	for _, name := range []string{"Upper arm SJC-EJC", "Forearm EJC-STYL", "Hand WJC-DAC3"} {
		arm = put(row(name), 2, arm)
	}
	leg := 0.0
	for _, name := range []string{"Thigh HJC-KJC", "Shank KJC-AJC"} {
		leg = put(row(name), 2, leg)
	}
	foot := row("Foot HEEL-TTIP")
	mass += 2 * foot.Mass
	moment += 2 * foot.Mass * (leg - figure("foot_centre_below_ankle").Value*millimetre)
	above := moment / mass
	hip := stature - (head.Length+trunk.Length)*stature
	return Upright{above, (hip + above) / stature}, nil
}
