package binding

import (
	"fmt"
	"math"
	"strings"
)

// Error is a refused input: a code for programs and a sentence for people.
type Error struct {
	Code     string // "missing", "not_a_number", "out_of_range", "unknown_word"
	Field    string // which input, as the command line and JSON call it
	Sentence string
}

// Error returns the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code, field, format string, args ...any) *Error {
	return &Error{code, field, fmt.Sprintf(format, args...)}
}

// Type is the skier's own declaration of how they ski. Nobody declares it for
// them; who is unsure, or new to it, is type 1.
type Type string

// The types. TypeBelow and TypeAbove are known only from ISO 11088:2018 as
// cited elsewhere.
const (
	TypeUnsure Type = ""
	Type1      Type = "1"  // careful, slow, easy slopes
	Type2      Type = "2"  // neither 1 nor 3
	Type3      Type = "3"  // fast, steep
	TypeBelow  Type = "-1" // wants to release more easily than type 1
	TypeAbove  Type = "3+" // wants to release less easily than type 3
)

// Types lists the types that can be declared, in the order in which forms show
// them.
func Types() []Type { return []Type{Type1, Type2, Type3, TypeBelow, TypeAbove} }

// Says returns what the skier declares with a type.
func (t Type) Says() string {
	switch t {
	case Type1:
		return "type 1: skis carefully, on easy slopes, or is new to it"
	case Type2:
		return "type 2: neither type 1 nor type 3"
	case Type3:
		return "type 3: skis fast, on steep slopes"
	case TypeBelow:
		return "type -1: wants the binding to open more easily than for type 1"
	case TypeAbove:
		return "type 3+: wants the binding to open less easily than for type 3"
	}
	return "not declared: counts as type 1"
}

// ParseType reads a declared type; "", "unsure" and "unknown" are TypeUnsure.
func ParseType(s string) (Type, error) {
	t := Type(strings.TrimSpace(s))
	if t == "unsure" || t == "unknown" {
		return TypeUnsure, nil
	}
	if _, ok := typeRows[t]; !ok {
		return "", refuse("unknown_word", "type", "A skier type is 1, 2, 3, -1 or 3+, or \"unsure\", not %q.", clip(s))
	}
	return t, nil
}

// typeRows is how many rows a type lies away from A's side of type 1.
var typeRows = map[Type]int{TypeUnsure: 0, Type1: 0, Type2: 1, Type3: 2, TypeBelow: -1, TypeAbove: 3} // src: BindingManual, ISO11088

// Standard is what is printed on a boot sole.
type Standard string

// The soles.
const (
	SoleUnknown   Standard = ""
	SoleAlpineA   Standard = "iso_5355_a"  // adult alpine
	SoleAlpineC   Standard = "iso_5355_c"  // child alpine
	SoleWalk      Standard = "iso_23223"   // alpine sole with a walking profile
	SoleTouring   Standard = "iso_9523"    // touring
	SolePin       Standard = "pin"         // fittings for pins
	SoleUnmarked  Standard = "not_printed" // looked at: no standard can be read
	SoleSomething Standard = "other"
)

// Standards lists the soles in the order in which forms show them.
func Standards() []Standard {
	return []Standard{SoleAlpineA, SoleAlpineC, SoleWalk, SoleTouring, SolePin, SoleUnmarked, SoleSomething}
}

// Says returns the sole in words.
func (s Standard) Says() string {
	switch s {
	case SoleAlpineA:
		return "ISO 5355 A (adult alpine)"
	case SoleAlpineC:
		return "ISO 5355 C (child alpine)"
	case SoleWalk:
		return "ISO 23223 (alpine, walking profile)"
	case SoleTouring:
		return "ISO 9523 (touring)"
	case SolePin:
		return "pin fittings"
	case SoleUnmarked:
		return "no standard printed or readable"
	case SoleSomething:
		return "another standard"
	}
	return "not looked at"
}

// ParseStandard reads a sole by its short name.
func ParseStandard(s string) (Standard, error) {
	t := Standard(strings.ToLower(strings.TrimSpace(s)))
	if t == "" || t == "unknown" {
		return SoleUnknown, nil
	}
	for _, one := range Standards() {
		if one == t {
			return one, nil
		}
	}
	return "", refuse("unknown_word", "sole_standard", "A sole is iso_5355_a, iso_5355_c, iso_23223, iso_9523, pin, not_printed or other, not %q.", clip(s))
}

// Skier is what a record is checked against. A sole length of 0 is a side
// without a ski; at least one side has one.
type Skier struct {
	MassKG      float64 // above 0
	HeightCM    float64
	AgeYears    float64 // completed years count
	Type        Type
	SoleLeftMM  float64 // as printed on the boot, whole millimetres
	SoleRightMM float64
}

// limits are the values a person or a boot can have; those of the vocabulary
// of findings.
var limits = []struct {
	field, what, unit string
	low, high         float64
	of                func(Skier) float64
}{
	{"mass_kg", "The skier's mass", "kg", 5, 250, func(s Skier) float64 { return s.MassKG }},
	{"height_cm", "The skier's height", "cm", 50, 250, func(s Skier) float64 { return s.HeightCM }},
	{"age_years", "The skier's age", "years", 1, 110, func(s Skier) float64 { return s.AgeYears }},
	{"sole_left_mm", "The sole length of the left boot", "mm", 150, 400, func(s Skier) float64 { return s.SoleLeftMM }},
	{"sole_right_mm", "The sole length of the right boot", "mm", 150, 400, func(s Skier) float64 { return s.SoleRightMM }},
}

func (s Skier) check() *Error {
	one := s.SoleLeftMM != 0 || s.SoleRightMM != 0
	for _, l := range limits {
		v := l.of(s)
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			return refuse("not_a_number", l.field, "%s is not a number.", l.what)
		case v == 0 && l.unit == "mm" && one:
		case v == 0:
			return refuse("missing", l.field, "%s is missing.", l.what)
		case v < l.low || v > l.high:
			return refuse("out_of_range", l.field, "%s is %s %s; it must lie between %g and %g %s.", l.what, number(v), l.unit, l.low, l.high, l.unit)
		case l.unit == "mm" && v != math.Trunc(v):
			return refuse("not_a_number", l.field, "%s is printed on the boot in whole millimetres, not %s.", l.what, number(v))
		}
	}
	if _, ok := typeRows[s.Type]; !ok {
		_, err := ParseType(string(s.Type))
		return err.(*Error)
	}
	return nil
}

func clip(s string) string {
	const most = 40
	if len(s) > most {
		return s[:most] + "..."
	}
	return s
}

// number prints a number with at most three decimals and no trailing zeros.
func number(x float64) string {
	s := strings.TrimRight(fmt.Sprintf("%.3f", x), "0")
	return strings.TrimSuffix(s, ".")
}
