package binding

import (
	"slices"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

// Side is the gear on one side, as it is read off boot, binding and ski.
type Side struct {
	SoleMM   float64  `json:"sole_mm,omitempty"` // printed on the boot; 0 where nobody looked
	Standard Standard `json:"sole_standard,omitempty"`
	Boot     string   `json:"boot,omitempty"`
	Binding  string   `json:"binding,omitempty"`
	Ski      string   `json:"ski,omitempty"`
	// Plate says what lies under boot or binding: "" where nobody looked,
	// "none", or in words.
	Plate   string  `json:"plate,omitempty"`
	PlateMM float64 `json:"plate_mm,omitempty"` // its height, where there is one
}

func (s Side) plate() maybe {
	switch s.Plate {
	case "":
		return unknown
	case NoPlate:
		return no
	}
	return yes
}

func (s Side) sole() maybe {
	return is(s.Standard != SoleAlpineA && s.Standard != SoleAlpineC && s.Standard != SoleWalk)
}

// NoPlate says that somebody looked and nothing lies under boot or binding.
const NoPlate = "none"

// Gear is what a request says beside the findings.
type Gear struct {
	Left, Right Side
	Type        Type   // the skier's own declaration
	LastTest    string // day of the last test as written; "" where it is not known
	Lent        *bool  // lent by the programme; nil where nobody said
	Line        *bool  // a line to skier or skis is used; nil: as decided
	AskedBy     string // who asks
}

func (g Gear) of(side finding.Side) Side {
	if side == finding.Left {
		return g.Left
	}
	return g.Right
}

func (g Gear) line() maybe {
	if g.Line == nil {
		return no // the answer decides
	}
	return is(*g.Line)
}

// Request is the sheet for the technician. It holds what was asked and found,
// and no setting.
type Request struct {
	MassKG    *float64 `json:"mass_kg"` // null: not known
	HeightCM  *float64 `json:"height_cm"`
	AgeYears  *float64 `json:"age_years"`
	Type      Type     `json:"skier_type"`
	TypeSays  string   `json:"skier_type_says"`
	Left      Side     `json:"left"`
	Right     Side     `json:"right"`
	LastTest  string   `json:"last_test,omitempty"`
	Lent      *bool    `json:"lent_by_programme,omitempty"`
	AskedBy   string   `json:"asked_by,omitempty"`
	Reasons   []Reason `json:"refer_reasons"`
	NotKnown  []string `json:"not_known"` // reasons nobody looked for yet
	Missing   []string `json:"missing"`   // what the technician needs and the sheet lacks
	Cautions  []string `json:"cautions"`
	ComesBack []string `json:"comes_back"`         // what the technician writes down
	OnlySki   string   `json:"only_ski,omitempty"` // "left" or "right" where there is one ski
}

// Compose fills the sheet from findings, the answer they gave, and the gear.
// A nil answer is one that was not asked for. The sole length among the
// findings stands for a side whose boot nobody read.
func Compose(set finding.Set, a *decide.Answer, g Gear) Request {
	l := looker{set, a}
	if !l.uses(finding.Left) {
		g.Left = Side{}
	}
	if !l.uses(finding.Right) {
		g.Right = Side{}
	}
	if mm, ok := l.number("boot_sole_mm", finding.NoSide); ok {
		if g.Left.SoleMM == 0 && l.uses(finding.Left) {
			g.Left.SoleMM = mm
		}
		if g.Right.SoleMM == 0 && l.uses(finding.Right) {
			g.Right.SoleMM = mm
		}
	}
	r := Request{Type: g.Type, TypeSays: g.Type.Says(), Left: g.Left, Right: g.Right, LastTest: g.LastTest, Lent: g.Lent, AskedBy: g.AskedBy,
		Reasons: []Reason{}, NotKnown: []string{}, Missing: []string{}, Cautions: cautions(g), ComesBack: comesBack()}
	for _, side := range bothSides {
		if !l.uses(side) {
			r.OnlySki = side.Other().Word()
		}
	}
	for _, q := range l.questions(g) {
		switch {
		case q.is == yes:
			r.Reasons = append(r.Reasons, reason(q.code, q.side))
		case q.is == unknown && !slices.Contains(r.NotKnown, q.ask):
			r.NotKnown = append(r.NotKnown, q.ask)
		}
	}
	s := r.numbers(l, g)
	if s.check() == nil {
		r.Reasons = append(r.Reasons, printed().reasons(s, printed().find(s))...)
	}
	slices.SortStableFunc(r.Reasons, func(x, y Reason) int {
		return slices.Index(reasonOrder, x.Code) - slices.Index(reasonOrder, y.Code)
	})
	return r
}

// numbers fills in what is known and lists what is missing.
func (r *Request) numbers(l looker, g Gear) Skier {
	s := Skier{Type: g.Type, SoleLeftMM: r.Left.SoleMM, SoleRightMM: r.Right.SoleMM}
	for _, n := range []struct {
		id, what string
		into     **float64
		skier    *float64
	}{
		{"mass_kg", "mass", &r.MassKG, &s.MassKG},
		{"height_cm", "height", &r.HeightCM, &s.HeightCM},
		{"age_years", "age", &r.AgeYears, &s.AgeYears},
	} {
		v, ok := l.number(n.id, finding.NoSide)
		if !ok {
			r.Missing = append(r.Missing, n.what)
			continue
		}
		*n.into, *n.skier = &v, v
	}
	if g.Type == TypeUnsure {
		r.Missing = append(r.Missing, "the skier's own declaration of type")
	}
	for _, side := range bothSides {
		if !l.uses(side) {
			continue
		}
		s, w := g.of(side), side.Word()
		for _, m := range []struct {
			what  string
			there bool
		}{
			{"sole length of the " + w + " boot", s.SoleMM != 0},
			{"standard printed on the " + w + " sole", s.Standard != SoleUnknown},
			{"model of the " + w + " boot", s.Boot != ""},
			{"model of the " + w + " binding", s.Binding != ""},
			{"the " + w + " ski", s.Ski != ""},
		} {
			if !m.there {
				r.Missing = append(r.Missing, m.what)
			}
		}
	}
	return s
}

// cautions go on every sheet.
func cautions(g Gear) []string {
	out := []string{
		"This sheet asks for a setting; it does not name one. Only a certified technician sets and tests, by the maker's current chart.",
		"Never tightened to stop releases by spasm.",
		"New boots, new soles, a plate or lift under boot or binding, or another weight class void the setting. A lift inside the boot does not.",
		"Brakes or straps work on both skis.",
	}
	if g.Lent == nil || *g.Lent {
		out = append(out, "Gear lent by a programme is usually treated like rental gear (ISO 13993, ASTM F1064; reading, not legal advice).")
	}
	return out
}

// comesBack is what the technician writes down.
func comesBack() []string {
	return []string{
		"indicator values, toe and heel, left and right",
		"measured torques, left and right: twist three times, forward lean three times, in N m",
		"instrument, day of the test, valid until",
		"name and signature",
	}
}
