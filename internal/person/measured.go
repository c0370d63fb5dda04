package person

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/finding"
)

// Measure is one number of the block measured:.
type Measure struct {
	Key   string
	Means string
	Sided bool // L and R apart; one number then stands for both
	Low   float64
	High  float64 // a limit of entry in the key's unit, beyond which a slip of the pen is more likely than a person
}

// measures lists the numbers of the block, in the order of the manual.
var measures = []Measure{
	{"wrist_crease_boots_mm", "wrist crease over the snow, in boots on skis, in the skiing stance, arm hanging", true, 150, 1500},
	{"wrist_crease_barefoot_mm", "wrist crease over the floor, barefoot, upright, arm hanging", true, 150, 1400},
	{"boot_ski_lift_mm", "sole of the foot over the snow in boots on skis", false, 0, 200},
	{"upper_arm_mm", "bony edge of the shoulder to the outer bone of the elbow", true, 60, 600},
	{"forearm_mm", "outer bone of the elbow to the wrist bone", true, 50, 500},
	{"forearm_grip_mm", "outer bone of the elbow to the middle of the fist", true, 60, 600},
	{"hand_length_mm", "wrist crease to fingertip", true, 30, 300},
	{"hip_breadth_mm", "breadth of the hips, standing, clothed as on snow", false, 100, 900},
	{"shoulder_width_mm", "bony edge to bony edge of the shoulders", false, 100, 700},
	{"ankle_height_mm", "middle of the outer ankle bone over the floor", false, 20, 200},
	{"knee_height_mm", "outer bone of the knee over the floor", false, 80, 900},
	{"hip_height_mm", "top of the greater trochanter over the floor", false, 150, 1500},
	{"shoulder_height_mm", "bony edge of the shoulder over the floor", false, 250, 2200},
	{"neck_height_mm", "bone at the base of the neck over the floor", false, 300, 2300},
	{"foot_length_mm", "heel to longest toe", false, 60, 450},
	{"boots_kg", "both boots together", false, 0, 30},
	{"skis_kg", "both skis with bindings together", false, 0, 40},
	{"outrigger_kg", "one outrigger", true, 0, 10},
	{"runner_ahead_mm", "outrigger runner ahead of the toe piece", true, -500, 800},
	{"runner_outside_mm", "outrigger runner outside the ski", true, 0, 800},
	{"hand_ahead_mm", "handle ahead of the shoulder centre in the stance", true, -400, 800},
	{"hand_outside_mm", "handle outside the shoulder centre in the stance", true, -400, 800},
	{"hinge_height_mm", "hinge of the outrigger's runner over the snow", false, 0, 300},
	{"hinge_most_deg", "most tilt of the shaft the hinge takes with the runner flat", false, 0, 90},
	{"stance_width_mm", "between the middles of the two feet", false, 0, 1200},
	{"stance_ankle_deg", "shank ahead of the vertical in the boot", true, -20, 45},
	{"stance_knee_deg", "bend of the knee in the straight-run stance", true, -10, 120},
	{"stance_trunk_deg", "trunk ahead of the vertical", false, -30, 90},
	{"shell_gap_mm", "room behind the heel in the bare shell, toes touching", true, 0, 80},
	{"cant_deg", "angle of the gap under the edge, thick side inside positive", true, -15, 15},
	{"handle_now_mm", "handle height over the snow as set now", true, 150, 1500},
	{"reading_error_mm", "how far off one reading may be", false, 0.5, 100},
}

// Measures lists the numbers that the block measured: knows.
func Measures() []Measure { return slices.Clone(measures) }

// answers are the yes and no of the block.
var answers = map[string]string{
	"toes_touch":              "toes touch the front of the bare shell",
	"toes_flat":               "toes lie flat in the liner",
	"closes":                  "boot closes over foot and brace",
	"hot_spot":                "a spot that hurts or stays red",
	"flexible_leg":            "leg shape follows the hand",
	"weighed_with_prosthesis": "the body mass includes the prostheses",
}

// Measured is what was measured on a person for fitting.
type Measured struct {
	Line     int
	Sex      string                // "F", "M" or ""
	Numbers  map[string]float64    // by key
	Sides    map[string]SidedValue // by key
	Yes      map[string]SidedAnswer
	LimbLoss []LimbLoss
	Holes    Sided[*Holes]
}

// Sided is one thing for the left and one for the right.
type Sided[T any] struct{ Left, Right T }

// SidedValue is a number measured left and right; nil where it was not.
type SidedValue = Sided[*float64]

// SidedAnswer is yes or no left and right; nil where nobody looked.
type SidedAnswer = Sided[*bool]

// LimbLoss is one limb that ends early, as written.
type LimbLoss struct {
	Side         finding.Side
	Level        string
	ResidualMM   *float64
	Worn         bool // a prosthesis is worn
	ProsthesisKg *float64
	BalanceMM    *float64
	Line         int
}

// Holes are the settings of the outriggers at hand.
type Holes struct {
	FirstMM float64 // handle height over the runner in the lowest hole
	StepMM  float64
	Count   int
	PlateKg *float64 // what the maker's plate allows
}

// measured reads the block.
func (r *reader) measured(p pair) {
	if p.value.kind == isWords && p.value.words == "" {
		return
	}
	if p.value.kind != isMap {
		r.refuse("invalid", p.line, "measured: holds keys and values, one a line.")
		return
	}
	m := &Measured{Line: p.line, Numbers: map[string]float64{}, Sides: map[string]SidedValue{}, Yes: map[string]SidedAnswer{}}
	r.p.Measured = m
	for _, q := range p.value.pairs {
		i := slices.IndexFunc(measures, func(x Measure) bool { return x.Key == q.key })
		switch {
		case i >= 0 && measures[i].Sided:
			m.Sides[q.key] = sidesOf(r, q, func(s pair) *float64 { return r.measure(measures[i], s) })
		case i >= 0:
			if v := r.measure(measures[i], q); v != nil {
				m.Numbers[q.key] = *v
			}
		case answers[q.key] != "":
			m.Yes[q.key] = sidesOf(r, q, r.yesNo)
		case q.key == "sex":
			if m.Sex = strings.ToUpper(q.value.words); m.Sex != "F" && m.Sex != "M" {
				r.refuse("unknown_level", q.line, "sex, which picks the body tables, is F or M; leave it out to average both.")
			}
		case q.key == "limb_loss":
			r.list(q, r.limbLoss)
		case q.key == "holes":
			m.Holes = sidesOf(r, q, r.holes)
		default:
			r.refuse("unknown_key", q.line, "measured: has no key %s.%s", quote(q.key), closest(q.key, measuredKeys()))
		}
	}
}

// measuredKeys lists every key of the block.
func measuredKeys() []string {
	keys := []string{"sex", "limb_loss", "holes"}
	for _, m := range measures {
		keys = append(keys, m.Key)
	}
	for k := range answers {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// sidesOf reads {L: .., R: ..}, or one thing for both.
func sidesOf[T any](r *reader, p pair, one func(pair) *T) Sided[*T] {
	sided := p.value.kind == isMap && len(p.value.pairs) > 0 && slices.Contains([]string{"l", "r", "left", "right"}, strings.ToLower(p.value.pairs[0].key))
	if !sided {
		v := one(p)
		return Sided[*T]{v, v}
	}
	var out Sided[*T]
	for _, q := range p.value.pairs {
		var to **T
		switch strings.ToLower(q.key) {
		case "l", "left":
			to = &out.Left
		case "r", "right":
			to = &out.Right
		default:
			r.refuse("unknown_key", q.line, "%s takes L and R, not %s.", p.key, quote(q.key))
			continue
		}
		if *to != nil {
			r.refuse("given_twice", q.line, "%s is given twice for one side.", p.key)
			continue
		}
		*to = one(pair{p.key, q.line, q.value})
	}
	return out
}

// measure reads one number within its limits; unknown gives none.
func (r *reader) measure(m Measure, p pair) *float64 {
	text := strings.TrimSpace(p.value.words)
	switch {
	case p.value.kind != isWords:
		r.refuse("invalid", p.line, "%s takes a number%s.", m.Key, map[bool]string{true: ", or {L: .., R: ..}"}[m.Sided])
		return nil
	case text == "" || strings.EqualFold(text, "unknown"):
		return nil
	}
	unit := m.Key[strings.LastIndex(m.Key, "_")+1:]
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, unit)), 64)
	switch {
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
		r.refuse("not_a_number", p.line, "%s (%s) takes a number in %s, not %s.", m.Key, m.Means, unit, quote(text))
		return nil
	case v < m.Low || v > m.High:
		r.refuse("out_of_range", p.line, "%s (%s) lies between %s and %s %s; %s is outside. Check the unit.", m.Key, m.Means,
			finding.FormatNumber(m.Low), finding.FormatNumber(m.High), unit, finding.FormatNumber(v))
		return nil
	}
	return &v
}

func (r *reader) yesNo(p pair) *bool {
	switch strings.ToLower(p.value.words) {
	case "yes", "true":
		v := true
		return &v
	case "no", "false":
		v := false
		return &v
	case "unknown", "":
		if p.value.kind == isWords {
			return nil
		}
	}
	r.refuse("unknown_level", p.line, "%s (%s) is yes or no.", p.key, answers[p.key])
	return nil
}

// plainMeasure reads a number of a small map.
func (r *reader) plainMeasure(key, means string, low, high float64, p pair) *float64 {
	return r.measure(Measure{Key: key, Means: means, Low: low, High: high}, p)
}

func (r *reader) holes(p pair) *Holes {
	if p.value.kind != isMap {
		r.refuse("invalid", p.line, "holes is written {first_mm: .., step_mm: .., count: ..}, for both or for L and R.")
		return nil
	}
	h, seen := &Holes{}, map[string]bool{}
	for _, q := range p.value.pairs {
		var v *float64
		switch q.key {
		case "first_mm":
			v = r.plainMeasure(q.key, "handle height in the lowest hole", 100, 1500, q)
		case "step_mm":
			v = r.plainMeasure(q.key, "distance of two holes", 1, 200, q)
		case "plate_kg":
			v = r.plainMeasure(q.key, "what the maker's plate allows", 10, 400, q)
		case "count":
			n, err := strconv.Atoi(q.value.words)
			if err != nil || n < 1 || n > 100 {
				r.refuse("out_of_range", q.line, "count, the number of holes, is a whole number from 1 to 100.")
				return nil
			}
			h.Count = n
			seen["count"] = true
			continue
		default:
			r.refuse("unknown_key", q.line, "holes has no key %s; it has first_mm, step_mm, count and plate_kg.", quote(q.key))
			return nil
		}
		if v == nil {
			return nil
		}
		seen[q.key] = true
		switch q.key {
		case "first_mm":
			h.FirstMM = *v
		case "step_mm":
			h.StepMM = *v
		case "plate_kg":
			h.PlateKg = v
		}
	}
	if !seen["first_mm"] || !seen["step_mm"] || !seen["count"] {
		r.refuse("invalid", p.line, "holes needs first_mm, step_mm and count.")
		return nil
	}
	return h
}

func (r *reader) limbLoss(n *node) {
	if n.kind != isMap {
		r.refuse("invalid", n.line, "A limb loss is written {side: L, level: transtibial, residual_mm: 160, prosthesis_kg: 1.8}.")
		return
	}
	l := LimbLoss{Line: n.line}
	for _, q := range n.pairs {
		switch q.key {
		case "side":
			switch strings.ToLower(q.value.words) {
			case "l", "left":
				l.Side = finding.Left
			case "r", "right":
				l.Side = finding.Right
			default:
				r.refuse("wrong_side", q.line, "A side is L or R, the student's own.")
			}
		case "level":
			l.Level = r.line(q, maxName)
		case "residual_mm":
			l.ResidualMM = r.plainMeasure(q.key, "length of what remains of the cut segment, from the joint above", 1, 900, q)
		case "prosthesis_kg":
			if l.ProsthesisKg = r.plainMeasure(q.key, "mass of the prosthesis", 0, 20, q); l.ProsthesisKg != nil {
				l.Worn = true
			}
		case "prosthesis_balance_mm":
			l.BalanceMM = r.plainMeasure(q.key, "where the prosthesis balances, from its far end", 0, 1500, q)
		case "prosthesis":
			switch strings.ToLower(q.value.words) {
			case "worn", "yes", "true":
				l.Worn = true
			case "none", "no", "false":
				if l.ProsthesisKg != nil {
					r.refuse("given_twice", q.line, "A prosthesis is weighed here and said to be none.")
				}
			default:
				r.refuse("unknown_level", q.line, "prosthesis is worn or none.")
			}
		default:
			r.refuse("unknown_key", q.line, "A limb loss has no key %s; it has side, level, residual_mm, prosthesis, prosthesis_kg and prosthesis_balance_mm.", quote(q.key))
		}
	}
	if l.Side == finding.NoSide || l.Level == "" {
		r.refuse("invalid", n.line, "A limb loss needs a side and a level.")
		return
	}
	r.p.Measured.LimbLoss = append(r.p.Measured.LimbLoss, l)
}

// Number returns a number of the block that has no sides.
func (m *Measured) Number(key string) (float64, bool) {
	if m == nil {
		return 0, false
	}
	v, ok := m.Numbers[key]
	return v, ok
}

// Side returns a sided number of the block.
func (m *Measured) Side(key string, s finding.Side) (float64, bool) {
	if m == nil {
		return 0, false
	}
	v := m.Sides[key].Left
	if s == finding.Right {
		v = m.Sides[key].Right
	}
	if v == nil {
		return 0, false
	}
	return *v, true
}

// Answer returns a yes or no of the block; nil where nobody looked.
func (m *Measured) Answer(key string, s finding.Side) *bool {
	if m == nil {
		return nil
	}
	if s == finding.Right {
		return m.Yes[key].Right
	}
	return m.Yes[key].Left
}

// MeasuredTable prints the numbers and answers of the block for the manual.
func MeasuredTable() string {
	var b strings.Builder
	b.WriteString("| key | what is measured | sides | from | to |\n|---|---|---|---|---|\n")
	for _, m := range measures {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", m.Key, m.Means, map[bool]string{true: "L, R"}[m.Sided], finding.FormatNumber(m.Low), finding.FormatNumber(m.High))
	}
	keys := []string{}
	for k := range answers {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		fmt.Fprintf(&b, "| `%s` | %s | L, R | no | yes |\n", k, answers[k])
	}
	return b.String()
}
