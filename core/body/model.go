package body

import (
	"slices"
	"strconv"
	"strings"

	"firnhand/core/source"
)

// Segment names one kind of body part.
type Segment string

// The eight kinds of segment; the last six are paired.
const (
	Head     Segment = "head"
	Trunk    Segment = "trunk"
	UpperArm Segment = "upper_arm"
	Forearm  Segment = "forearm"
	Hand     Segment = "hand"
	Thigh    Segment = "thigh"
	Shank    Segment = "shank"
	Foot     Segment = "foot"
)

// Segments lists the kinds from the head down.
func Segments() []Segment {
	return []Segment{Head, Trunk, UpperArm, Forearm, Hand, Thigh, Shank, Foot}
}

// Paired tells whether there is one left and one right.
func (s Segment) Paired() bool { return s != Head && s != Trunk }

// Part of a model: one segment's share of the body and where its mass lies.
type Share struct {
	// Mass of one side as a share of the body.
	Mass float64
	// Centre of mass as a share of the length from the upper end: vertex for the
	// head, cervicale for the trunk, shoulder, elbow, wrist, hip, knee; from the
	// heel for the foot. The lower ends are cervicale, mid-hip, elbow, wrist,
	// fingertip, knee, ankle, toe.
	Centre float64
}

// Model is one set of segment masses and centres, chosen as a whole.
type Model struct {
	Name    string   // "deleva_f"
	Title   string   // in words
	Reason  string   // why it was chosen
	Sources []string // tables and works
	Note    string   // what is doubtful about it for this person; may be empty
	Shares  map[Segment]Share
}

// Of returns the share of a segment.
func (m Model) Of(s Segment) Share { return m.Shares[s] }

// rescale makes the masses of the fourteen segments sum to one.
func (m *Model) rescale() {
	sum := 0.0
	for _, s := range Segments() {
		sum += m.Shares[s].Mass * m.count(s)
	}
	for _, s := range Segments() {
		x := m.Shares[s]
		x.Mass /= sum
		m.Shares[s] = x
	}
}

func (m *Model) count(s Segment) float64 {
	if s.Paired() {
		return 2
	}
	return 1
}

// centres are the endpoints whose rows of deleva1996 fit the joints used here.
var centreRows = map[Segment][2]string{
	Head: {"Head", "VERT-CERV"}, Trunk: {"Trunk", "CERV-MIDH"}, UpperArm: {"Upper arm", "SJC-EJC"}, Forearm: {"Forearm", "EJC-WJC"},
	Hand: {"Hand", "WJC-DAC3"}, Thigh: {"Thigh", "HJC-KJC"}, Shank: {"Shank", "KJC-AJC"}, Foot: {"Foot", "HEEL-TTIP"},
}

func number(r source.Row, column string) float64 {
	v, ok := r.Number(column)
	if !ok {
		panic("body: no number in " + column + " of " + r.String())
	}
	return v
}

func only(s source.Sheet) source.Row {
	r, ok := s.Only()
	if !ok {
		panic("body: not one row of " + s.Name)
	}
	return r
}

// deLeva returns the adult set of one sex, or the mean of both.
func deLeva(sex Sex) Model {
	name := map[Sex]string{Female: "deleva_f", Male: "deleva_m", Unsaid: "deleva"}[sex]
	title := map[Sex]string{Female: "adult women", Male: "adult men", Unsaid: "adults, mean of women and men"}[sex]
	m := Model{Name: name, Title: "de Leva 1996, " + title, Sources: []string{"deleva1996"}, Shares: map[Segment]Share{}}
	for seg, row := range centreRows {
		var x Share
		for _, s := range sexesOf(sex) {
			r := only(source.Table("deleva1996").Where("sex", string(s)).Where("segment", row[0]).Where("endpoints", row[1]))
			x.Mass += number(r, "mass_pct") * perCent
			x.Centre += number(r, "cm_pct") * perCent
		}
		n := float64(len(sexesOf(sex)))
		m.Shares[seg] = Share{x.Mass / n, x.Centre / n}
	}
	m.rescale()
	return m
}

// sexesOf lists the columns that stand for a sex: both where it is not said.
func sexesOf(s Sex) []Sex {
	if s == Unsaid {
		return []Sex{Female, Male}
	}
	return []Sex{s}
}

// jensenNames are the words of the tables after Jensen and Pavol.
var jensenNames = map[string]Segment{
	"headneck": Head, "trunk": Trunk, "thorax": Trunk, "abdopelvis": Trunk, "thoraxabdo": Trunk, "pelvis": Trunk,
	"arm": UpperArm, "forearm": Forearm, "hand": Hand, "thigh": Thigh, "leg": Shank, "foot": Foot,
}

// masses puts another table's masses over the centres of the adult set.
func masses(base Model, rows []source.Row, into map[Segment]float64) Model {
	for _, r := range rows {
		into[jensenNames[r.Text("segment")]] += number(r, "mass_pct") * perCent
	}
	for seg, mass := range into {
		base.Shares[seg] = Share{mass, base.Shares[seg].Centre}
	}
	return base
}

// jensen returns the children's set at an age, linear between its columns.
func jensen(age float64, sex Sex) Model {
	t := source.Table("jensen_children")
	ages := t.Names("age_years")
	at := func(name string) map[Segment]float64 {
		into := map[Segment]float64{}
		masses(deLeva(sex), t.Where("age_years", name).Rows(), into)
		return into
	}
	years := make([]float64, len(ages))
	for i, a := range ages {
		years[i] = number(t.Where("age_years", a).Rows()[0], "age_years")
	}
	i := max(0, min(len(ages)-2, slices.IndexFunc(years, func(y float64) bool { return y > age })-1))
	if age >= years[len(years)-1] {
		i = len(ages) - 2
	}
	w := min(1, max(0, (age-years[i])/(years[i+1]-years[i])))
	low, high := at(ages[i]), at(ages[i+1])
	m := deLeva(sex)
	m.Name, m.Title = "jensen", "Jensen 1986 and 1989, boys at "+strconv.FormatFloat(age, 'f', -1, 64)+" years"
	m.Sources = []string{"jensen_children", "deleva1996"}
	m.Note = "Twelve boys; no figures for girls were found. Centres are an adult's."
	if age < years[0] {
		m.Note += " Under " + ages[0] + " years the column of " + ages[0] + " is used, outside what was studied."
	}
	for _, s := range Segments() {
		m.Shares[s] = Share{low[s]*(1-w) + high[s]*w, m.Shares[s].Centre}
	}
	m.rescale()
	return m
}

// older returns one of the sets for older adults.
func older(table, name, title string, sex Sex) Model {
	into := map[Segment]float64{}
	m := deLeva(sex)
	for _, s := range sexesOf(sex) {
		m = masses(m, source.Table(table).Where("sex", string(s)).Rows(), into)
	}
	m.Name, m.Title, m.Sources = name, title, []string{table, "deleva1996"}
	m.Note = "Centres are those of younger adults."
	m.rescale()
	return m
}

// modelWords lists the names a person may be given by hand.
var modelWords = []string{"deleva", "deleva_f", "deleva_m", "jensen", "jensen_fletcher", "pavol"}

// Models lists the names of the sets a body can be posed with.
func Models() []string { return slices.Clone(modelWords) }

// choose picks the set of a person as a whole, and says why.
func choose(p Person) (Model, error) {
	child := figure("child_masses_until").Value
	old := figure("older_masses_from").Value
	name, reason := p.Model, "asked for by name"
	if name == "" {
		switch {
		case p.AgeYears == nil:
			name, reason = "deleva", "no age is given, so a grown person under "+strconv.Itoa(int(old))+" is taken"
		case *p.AgeYears < child:
			name, reason = "jensen", "under "+strconv.Itoa(int(child))+" years"
		case *p.AgeYears >= old:
			name, reason = "pavol", strconv.Itoa(int(old))+" years or older"
		default:
			name, reason = "deleva", "grown and under "+strconv.Itoa(int(old))+" years"
		}
		if p.Sex == Unsaid {
			reason += "; sex not given, so women and men are averaged"
		}
	}
	var m Model
	switch name {
	case "deleva":
		m = deLeva(p.Sex)
	case "deleva_f":
		m = deLeva(Female)
	case "deleva_m":
		m = deLeva(Male)
	case "jensen":
		if p.AgeYears == nil {
			return m, refuse("age_needed", "The children's set needs an age.")
		}
		m = jensen(*p.AgeYears, p.Sex)
	case "jensen_fletcher":
		m = older("jensen_fletcher1994", name, "Jensen and Fletcher 1994, older adults", p.Sex)
	case "pavol":
		m = older("pavol2002", name, "Pavol 2002, older adults", p.Sex)
	default:
		return m, refuse("unknown_model", "There is no set of segment masses called "+name+"; there are "+strings.Join(modelWords, ", ")+".")
	}
	m.Reason = reason
	return m, nil
}
