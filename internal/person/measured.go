package person

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/programme"
)

// Measure is one number of the block measured:.
type Measure struct {
	Key   string
	Means string
	Sided bool // L and R apart; one number then stands for both
	Low   float64
	High  float64 // a limit of entry in the key's unit, beyond which a slip of the pen is more likely than a person
}

// measures lists the numbers of the block, in the order of the manual: those
// of the programme, but for limbs, which have a list of their own.
var measures = func() []Measure {
	var out []Measure
	for _, k := range programme.MeasureKinds() {
		if k.Levels == nil && k.Topic != "limbs" {
			out = append(out, Measure{k.Key, k.Means, k.Sided, k.Low, k.High})
		}
	}
	return out
}()

// Measures lists the numbers that the block measured: knows.
func Measures() []Measure { return slices.Clone(measures) }

// answers are the yes and no of the block.
var answers = func() map[string]string {
	out := map[string]string{}
	for _, k := range programme.MeasureKinds() {
		if k.Levels != nil && k.Levels[0].ID == "yes" && !(k.Topic == "limbs" && k.Sided) {
			out[k.Key] = k.Means
		}
	}
	return out
}()

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
	l.Level = strings.ToLower(l.Level)
	for _, o := range r.p.Measured.LimbLoss {
		if o.Side == l.Side && body.Level(o.Level).Arm() == body.Level(l.Level).Arm() {
			r.refuse("limb_twice", n.line, "Two losses are given for one limb; give the one nearest the body.")
			return
		}
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

// Measures returns everything that was measured as the programme keeps it.
func (m *Measured) Measures() programme.Measures {
	out := programme.Measures{}
	if m == nil {
		return out
	}
	put := func(key string, s finding.Side, value string) {
		out[programme.MeasureKey{Measure: key, Side: map[finding.Side]string{finding.NoSide: "none", finding.Left: "left", finding.Right: "right"}[s]}] = value
	}
	if m.Sex != "" {
		put("body_table", finding.NoSide, m.Sex)
	}
	for key, v := range m.Numbers {
		out.Set(key, finding.NoSide, v)
	}
	for key, v := range m.Sides {
		if v.Left != nil {
			out.Set(key, finding.Left, *v.Left)
		}
		if v.Right != nil {
			out.Set(key, finding.Right, *v.Right)
		}
	}
	said := func(key string, s finding.Side, yes *bool) {
		if yes != nil {
			put(key, s, map[bool]string{true: "yes", false: "no"}[*yes])
		}
	}
	for key, a := range m.Yes {
		if k, _ := programme.MeasureKindOf(key); k.Sided {
			said(key, finding.Left, a.Left)
			said(key, finding.Right, a.Right)
		} else {
			said(key, finding.NoSide, a.Left)
		}
	}
	for _, l := range m.LimbLoss {
		limb := "leg"
		if body.Level(l.Level).Arm() {
			limb = "arm"
		}
		put(limb+"_level", l.Side, l.Level)
		said(limb+"_prosthesis", l.Side, &l.Worn)
		for key, v := range map[string]*float64{"_residual_mm": l.ResidualMM, "_prosthesis_kg": l.ProsthesisKg, "_prosthesis_balance_mm": l.BalanceMM} {
			if v != nil {
				out.Set(limb+key, l.Side, *v)
			}
		}
	}
	return out
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
		kind, _ := programme.MeasureKindOf(k)
		fmt.Fprintf(&b, "| `%s` | %s | %s | no | yes |\n", k, answers[k], map[bool]string{true: "L, R"}[kind.Sided])
	}
	return b.String()
}
