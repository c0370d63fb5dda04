package body

import (
	"slices"
	"strconv"
	"strings"

	"firnhand/core/source"
)

// Absent is a part of a body that is not there when it is weighed.
type Absent struct {
	Part string  // row of osterkamp1995, such as "foot" or "entire leg"
	Loss float64 // share of the intact body
}

// osterkampParts says which rows of the table make up each level, and which
// row is cut.
var osterkampParts = map[Level]struct {
	whole []string
	cut   string
	seg   Segment
}{
	AtFoot:       {whole: []string{"foot"}},
	Transtibial:  {whole: []string{"foot"}, cut: "lower leg without foot", seg: Shank},
	AtKnee:       {whole: []string{"lower leg with foot (transtibial at knee)"}},
	Transfemoral: {whole: []string{"lower leg with foot (transtibial at knee)"}, cut: "thigh", seg: Thigh},
	AtHip:        {whole: []string{"entire leg"}},
	AtHand:       {whole: []string{"hand"}},
	Transradial:  {whole: []string{"hand"}, cut: "forearm without hand", seg: Forearm},
	AtElbow:      {whole: []string{"forearm with hand"}},
	Transhumeral: {whole: []string{"forearm with hand"}, cut: "upper arm", seg: UpperArm},
	AtShoulder:   {whole: []string{"entire arm"}},
}

// OsterkampPart returns a row of Osterkamp's table by its words.
func OsterkampPart(part string) (Absent, error) {
	want := strings.ReplaceAll(plainWords(part), "-", " ")
	var names []string
	for _, r := range source.Table("osterkamp1995").Rows() {
		name := r.Text("part")
		short, _, _ := strings.Cut(name, " (")
		names = append(names, short)
		if plainWords(name) == want || plainWords(short) == want {
			return Absent{short, number(r, "pct_of_body_weight") * perCent}, nil
		}
	}
	return Absent{}, refuse("unknown_part", "Osterkamp's table has no part "+strconv.Quote(part)+"; it has "+strings.Join(names, ", ")+".")
}

// OsterkampLoss returns what a level takes away by Osterkamp's table. kept is
// the length of the residual as a share of its segment; below zero takes the
// dietician's convention, that a limb cut through a segment loses all of it
// (a loss below the knee counts as 5.9 %, foot and lower leg; above the knee
// as 16.0 %).
func OsterkampLoss(l Level, kept float64) ([]Absent, error) {
	form, ok := l.form()
	if !ok {
		words := make([]string, len(levelForms))
		for i, f := range levelForms {
			words[i] = string(f.level)
		}
		return nil, refuse("unknown_level", "There is no level of limb loss called "+string(l)+"; there are "+strings.Join(words, ", ")+".")
	}
	switch {
	case !finite(kept):
		return nil, refuse("not_a_number", "The residual is not a number.")
	case kept > 1:
		return nil, refuse("residual_too_long", "A residual cannot be longer than its segment.")
	case kept >= 0 && form.cut == "":
		return nil, refuse("residual_unused", "At the level "+string(l)+" a joint is the end; there is no residual to measure.")
	}
	rule := osterkampParts[l]
	var out []Absent
	for _, p := range rule.whole {
		a, err := OsterkampPart(p)
		if err != nil {
			return nil, err
		}
		out = append(out, a)
	}
	if rule.cut == "" {
		return out, nil
	}
	a, err := OsterkampPart(rule.cut)
	if err != nil {
		return nil, err
	}
	if kept >= 0 {
		mass, _ := Remaining(deLeva(Unsaid).Of(rule.seg).Centre, kept)
		a.Loss *= 1 - mass
	}
	return append(out, a), nil
}

// ModelLoss returns what a level takes away by one of the sets of segment
// masses, with the residual as a cone; kept as in OsterkampLoss.
func ModelLoss(m Model, l Level, kept float64) ([]Absent, error) {
	if _, err := OsterkampLoss(l, kept); err != nil {
		return nil, err
	}
	form, _ := l.form()
	var out []Absent
	for _, s := range form.gone {
		out = append(out, Absent{string(s), m.Of(s).Mass})
	}
	if form.cut != "" {
		mass := 0.0
		if kept >= 0 {
			mass, _ = Remaining(m.Of(form.cut).Centre, kept)
		}
		out = append(out, Absent{string(form.cut), m.Of(form.cut).Mass * (1 - mass)})
	}
	return out, nil
}

// LostSum adds the shares and refuses what leaves nobody.
func LostSum(absent []Absent) (float64, error) {
	sum := 0.0
	for _, a := range absent {
		if !finite(a.Loss) || a.Loss < 0 {
			return 0, refuse("share_impossible", "A lost share must not be below zero.")
		}
		sum += a.Loss
	}
	if sum >= 1 {
		return 0, refuse("share_impossible", "More is lost than a body has.")
	}
	return sum, nil
}

// IntactMass returns what a person would weigh with every limb, from the mass
// weighed without prostheses: measured / (1 - sum of what is lost).
func IntactMass(measured float64, absent []Absent) (float64, error) {
	lost, err := LostSum(absent)
	switch {
	case err != nil:
		return 0, err
	case !finite(measured):
		return 0, refuse("not_a_number", "The body mass is not a number.")
	case measured <= 0:
		return 0, refuse("mass_not_positive", "A body mass must be above zero.")
	}
	return measured / (1 - lost), nil
}

// RemainingMass returns what a person weighs without the lost parts, from the
// mass with every limb: intact x (1 - sum of what is lost).
func RemainingMass(intact float64, absent []Absent) (float64, error) {
	lost, err := LostSum(absent)
	switch {
	case err != nil:
		return 0, err
	case !finite(intact):
		return 0, refuse("not_a_number", "The body mass is not a number.")
	case intact <= 0:
		return 0, refuse("mass_not_positive", "A body mass must be above zero.")
	}
	return intact * (1 - lost), nil
}

// LeavesFootOn tells whether the parts hold a lower leg without its foot, and
// no foot: the slip of taking 4.4 % for a loss below the knee.
func LeavesFootOn(absent []Absent) bool {
	has := func(part string) bool {
		return slices.ContainsFunc(absent, func(a Absent) bool { return a.Part == part })
	}
	return has("lower leg without foot") && !has("foot")
}

// ModelNamed returns a set of segment masses by name; age in years is needed
// for the children's.
func ModelNamed(name string, sex Sex, age *float64) (Model, error) {
	return choose(Person{Model: name, Sex: sex, AgeYears: age})
}
