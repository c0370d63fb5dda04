package binding

import (
	"slices"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

// Reason is one reason why the usual table may not apply to this skier, for
// the technician to read.
type Reason struct {
	Code  string   `json:"code"`
	Side  string   `json:"side,omitempty"` // "left", "right", or "" where it has no side
	Say   string   `json:"says"`
	Basis []string `json:"basis"` // marks of works, known to core/source
}

// The reasons, in the order in which a sheet prints them.
const (
	Slider         = "slider"
	Outriggers     = "outriggers"
	LineOnSkier    = "line"
	Linked         = "linked"
	Orthosis       = "orthosis"
	Prosthesis     = "prosthesis"
	LimbDifference = "limb_difference"
	LowBoneDensity = "low_bone_density"
	Spasticity     = "spasticity"
	ReducedFeeling = "reduced_sensation"
	UnequalBoots   = "unequal_boots"
	Plate          = "plate"
	TooLight       = "mass_under_22_kg"
	TooHeavy       = "mass_over_95_kg"
	Short          = "height_148_cm_or_less"
	BlankCell      = "blank_cell"
	DoubtfulCell   = "doubtful_cell"
	OtherSole      = "sole"
	OutsideBands   = "outside_bands"
)

// said is what each reason says, and what it rests on.
var said = map[string]struct {
	say   string
	basis []string
}{
	Slider:         {"Skis in a slider: the skier holds on to and steers a frame, and the standard's values may be wrong for that.", []string{"F939"}},
	Outriggers:     {"Skis with outriggers: hands carry part of the load through runners on the snow; the standard does not address it.", []string{"F939"}},
	LineOnSkier:    {"A line to the skier or the skis is used, or may be, and can pull while a boot is held.", []string{"CP"}},
	Linked:         {"Tips or boots are linked, or may be: a side force at the link twists the boot hard, a ski that let go stays hanging on the other, and a test on separate skis sees none of it.", []string{"D"}},
	Orthosis:       {"A brace is worn on this leg; nothing published says what setting suits that.", []string{"CP"}},
	Prosthesis:     {"A prosthesis is in this boot: the leg does not give or hurt as the table assumes.", []string{"CP"}},
	LimbDifference: {"A limb is missing or cannot be loaded on this side, so one leg takes everything.", []string{"CP"}},
	LowBoneDensity: {"Bone breaks more easily than the table assumes.", []string{"CP"}},
	Spasticity:     {"Legs tighten or cross by themselves. A release by that is never answered by tightening.", []string{"CP"}},
	ReducedFeeling: {"The foot feels less, so a boot that sits badly or a twist may go unnoticed.", []string{"CP"}},
	UnequalBoots:   {"The two boots differ: each side is set and tested by its own sole.", []string{"CP"}},
	Plate:          {"A plate or lift lies under this boot or binding: it voids any earlier setting. A lift inside the boot does not.", []string{"CP"}},
	TooLight:       {"Lighter than 22 kg: sources give four different rules.", []string{"BindingManual", "ISO11088"}},
	TooHeavy:       {"Heavier than 95 kg: the last band of the table is open above.", []string{"BindingManual"}},
	Short:          {"At 148 cm or less sources disagree about this weight.", []string{"BindingManual", "ISO11088"}},
	BlankCell:      {"The table prints nothing for this sole length; nothing may be filled in between.", []string{"BindingManual"}},
	DoubtfulCell:   {"The copy of the table at hand is doubtful for this sole length.", []string{"BindingManual"}},
	OtherSole:      {"The sole is a touring or pin sole, or its standard is not known.", []string{"ISO5355", "ISO9523", "ISO23223"}},
	OutsideBands:   {"Outside the bands of the table.", []string{"BindingManual"}},
}

// Together returns the reasons for people to read: one for each code, with the
// sides it holds for said in its sentence and Side empty.
func Together(all []Reason) []Reason {
	out := []Reason{}
	for _, one := range all {
		i := slices.IndexFunc(out, func(o Reason) bool { return o.Code == one.Code })
		if i < 0 {
			out = append(out, Reason{Code: one.Code, Say: one.Say, Basis: one.Basis})
		}
	}
	for i := range out {
		var sides []string
		for _, r := range all {
			if r.Code == out[i].Code && r.Side != "" && !slices.Contains(sides, r.Side) {
				sides = append(sides, r.Side)
			}
		}
		if s := strings.Join(sides, " and "); s != "" {
			out[i].Say = strings.ToUpper(s[:1]) + s[1:] + ": " + strings.ToLower(out[i].Say[:1]) + out[i].Say[1:]
		}
	}
	return out
}

// reasonOrder is the order above.
var reasonOrder = []string{Slider, Outriggers, LineOnSkier, Linked, Orthosis, Prosthesis, LimbDifference, LowBoneDensity,
	Spasticity, ReducedFeeling, UnequalBoots, Plate, TooLight, TooHeavy, Short, BlankCell, DoubtfulCell, OtherSole, OutsideBands}

func reason(code string, side finding.Side) Reason {
	s := said[code]
	return Reason{code, side.Word(), s.say, s.basis}
}

// reasons are those that follow from numbers and table alone.
func (t *table) reasons(s Skier, f found) []Reason {
	out := []Reason{}
	add := func(when bool, code string, side finding.Side) {
		if when {
			out = append(out, reason(code, side))
		}
	}
	add(f.tooLight, TooLight, finding.NoSide)
	add(f.tooHeavy, TooHeavy, finding.NoSide)
	add(f.short, Short, finding.NoSide)
	if f.row >= 0 {
		for _, side := range bothSides {
			if s.sole(side) == 0 {
				continue
			}
			c := t.rows[f.row].start[t.column(s.sole(side))]
			add(!c.ok, BlankCell, side)
			add(c.ok && c.doubts, DoubtfulCell, side)
		}
	}
	add(f.outside, OutsideBands, finding.NoSide)
	return out
}

var bothSides = []finding.Side{finding.Left, finding.Right}

func (s Skier) sole(side finding.Side) float64 {
	if side == finding.Left {
		return s.SoleLeftMM
	}
	return s.SoleRightMM
}

// maybe is yes, no, or not known.
type maybe uint8

const (
	unknown maybe = iota
	no
	yes
)

func is(b bool) maybe {
	if b {
		return yes
	}
	return no
}

// or is yes where either is, and unknown before no.
func or(all ...maybe) maybe {
	out := no
	for _, m := range all {
		if m == yes {
			return yes
		}
		if m == unknown {
			out = unknown
		}
	}
	return out
}

// looker answers yes, no or not known from findings and answer.
type looker struct {
	set finding.Set
	a   *decide.Answer
}

// axis tells whether an axis is decided with one of these values; unknown
// where it is open and one of them is still possible.
func (l looker) axis(id string, values ...string) maybe {
	if l.a == nil {
		return unknown
	}
	x, ok := l.a.Axis(id)
	if !ok {
		return unknown
	}
	in := func(v string) bool {
		for _, one := range values {
			if one == v {
				return true
			}
		}
		return false
	}
	if !x.Open {
		return is(in(x.Value))
	}
	for _, p := range x.Possible {
		if in(p.ID) {
			return unknown
		}
	}
	return no
}

// level tells whether a finding is known as one of these levels. What cannot
// be tested on this person is no.
func (l looker) level(id string, side finding.Side, levels ...string) maybe {
	v := l.set.Get(id, side, finding.Fresh)
	def, ok := finding.Lookup(id)
	if !ok || v.Kind == finding.Unknown {
		return unknown
	}
	if v.Kind == finding.NotApplicable {
		return no
	}
	word := finding.Format(def, v)
	for _, one := range levels {
		if one == word {
			return yes
		}
	}
	return no
}

// number returns a known number.
func (l looker) number(id string, side finding.Side) (float64, bool) {
	v := l.set.Get(id, side, finding.Fresh)
	return v.X, v.Kind == finding.Known
}

// question is one reason as it is looked for.
type question struct {
	code string
	side finding.Side
	is   maybe
	ask  string // what is not known, where it is not
}

// questions looks for the reasons that findings, answer and gear give.
func (l looker) questions(g Gear) []question {
	const way, reins, tie = "the way of skiing", "whether a line is used", "whether tips or boots are linked"
	out := []question{
		{Slider, finding.NoSide, l.axis("way", "slider"), way},
		{Outriggers, finding.NoSide, l.axis("way", "outriggers", "one_outrigger_left", "one_outrigger_right", "one_ski_left", "one_ski_right"), way},
		{LineOnSkier, finding.NoSide, or(g.line(), l.axis("reins", "none_at_start", "tip_reins", "hip_harness", "frame")), reins},
		{Linked, finding.NoSide, l.axis("tie", "carry_elastic", "elastic", "rigid", "rigid_spacer"), tie},
		{LowBoneDensity, finding.NoSide, l.level("fragile_bone", finding.NoSide, "yes"), "whether bone is fragile"},
		{Spasticity, finding.NoSide, or(l.level("spasm_strong", finding.NoSide, "yes"), l.level("scissor", finding.NoSide, "at_rest", "excited"),
			l.level("spastic_foot", finding.Left, "yes"), l.level("spastic_foot", finding.Right, "yes"), l.botulinum()), "whether legs tighten or cross by themselves"},
		{UnequalBoots, finding.NoSide, l.unequal(g), "whether the two boots are alike"},
	}
	for _, side := range bothSides {
		s := side.Word()
		out = append(out,
			question{Prosthesis, side, l.level("leg", side, "above_knee", "above_knee_ski", "below_knee"), "whether the " + s + " leg is whole"},
			question{LimbDifference, side, l.level("leg", side, "absent", "cannot_load"), "whether the " + s + " leg is whole"},
		)
		if !l.uses(side) {
			continue
		}
		out = append(out,
			question{Orthosis, side, l.level("brace", side, "long_locked", "ankle"), "whether a brace is worn on the " + s},
			question{ReducedFeeling, side, or(l.level("sensation", side, "none", "reduced"), ifYes(l.level("spina_bifida", finding.NoSide, "yes"))), "feeling in the " + s + " foot"},
			question{Plate, side, l.plate(g, side), "whether a plate or lift is under the " + s + " boot or binding"},
			question{OtherSole, side, g.of(side).sole(), ""},
		)
	}
	return out
}

// plate: one lies there, or is decided. Who looked and found none knows enough
// while nothing is decided.
func (l looker) plate(g Gear, side finding.Side) maybe {
	decided := l.axis("length_"+side.Word(), "plate")
	if g.of(side).plate() == no {
		return ifYes(decided)
	}
	return or(g.of(side).plate(), decided)
}

// uses tells whether a ski is on this side.
func (l looker) uses(side finding.Side) bool {
	return l.axis("way", "one_ski_"+side.Other().Word()) != yes
}

// botulinum is yes where it was ever given: it is given for legs that tighten.
func (l looker) botulinum() maybe {
	_, given := l.number("botulinum_months", finding.NoSide)
	return is(given)
}

// ifYes keeps a yes; anything else decides nothing.
func ifYes(m maybe) maybe {
	if m == yes {
		return yes
	}
	return no
}

// unequal: other lengths, other soles, another boot on one side.
func (l looker) unequal(g Gear) maybe {
	if !l.uses(finding.Left) || !l.uses(finding.Right) {
		return no
	}
	a, b := g.Left, g.Right
	differ := a.SoleMM != 0 && b.SoleMM != 0 && a.SoleMM != b.SoleMM ||
		a.Standard != SoleUnknown && b.Standard != SoleUnknown && a.Standard != b.Standard ||
		a.Boot != "" && b.Boot != "" && a.Boot != b.Boot
	if differ {
		return yes
	}
	var left, right string
	if l.a != nil {
		for _, side := range bothSides {
			x, ok := l.a.Axis("boot_" + side.Word())
			if !ok || x.Open {
				continue
			}
			if side == finding.Left {
				left = x.Value
			} else {
				right = x.Value
			}
		}
	}
	if left != "" && right != "" && left != right {
		return yes
	}
	if a.SoleMM == 0 || b.SoleMM == 0 {
		return unknown
	}
	return no
}
