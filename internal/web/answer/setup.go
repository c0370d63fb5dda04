package answer

import (
	"slices"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// Part is one line of the set-up: what was asked, the answer, its numbers, and
// the argument.
type Part struct {
	decide.AxisAnswer
	Asks    string
	Usual   bool // nothing out of the ordinary: "none", "usual", "either"
	Numbers []Number
	Open    bool
	Words   []string // what is still possible, when open
}

// Number is a number with its range, its unit and where it comes from.
type Number struct {
	Label     string
	Value     string
	Unit      string
	Low, High string // range it may be set within, or empty
	From      []From
	Ask       string // where a technician or a trial decides
}

// From is one programme number that a number rests on.
type From struct {
	Means  string
	Value  string
	Unit   string
	Min    string
	Max    string
	Name   string
	Basis  []string
	Signed *programme.SettingState
	Open   bool // proposed and not signed off
}

// Range writes the range: "5 and 10", as in "between 5 and 10".
func (n Number) Range() string {
	if n.Low == "" || n.Low == n.High {
		return ""
	}
	return n.Low + " and " + n.High
}

// Proposed tells whether the number rests on one that nobody signed off.
func (n Number) Proposed() bool {
	return slices.ContainsFunc(n.From, func(f From) bool { return f.Open })
}

// Short writes an answer in one line, with its numbers.
func (p Part) Short() string {
	if p.Open {
		return "open: " + strings.Join(p.Words, " or ")
	}
	s := p.Label
	for _, n := range p.Numbers {
		s += ", " + n.Value + " " + n.Unit
		if r := n.Range(); r != "" {
			s += " (between " + r + ")"
		}
	}
	return s
}

// setUpAxes are the lines of the set-up, in the order of the work.
var setUpAxes = []string{"way", "tie", "trough_left", "trough_right", "braces_left", "braces_right", "heel_left", "heel_right", "length_left", "length_right",
	"cant_left", "cant_right", "boot_left", "boot_right", "route_left", "route_right", "reins", "people", "guide", "helper_side", "cue_side", "weaker_turn", "terrain", "slot", "order", "plan"}

// usual are values that say nothing out of the ordinary.
var usual = []string{"none", "not_used", "usual", "either", "any", "no"}

// SetUpOf lists the set-up of a decision.
func SetUpOf(d page.Decided) []Part {
	var out []Part
	for _, id := range setUpAxes {
		x, ok := d.Answer.Axis(id)
		if !ok {
			continue
		}
		p := Part{AxisAnswer: *x, Asks: asks(x), Open: x.Open, Numbers: numbersOf(d, id)}
		for _, w := range x.Possible {
			p.Words = append(p.Words, w.Label)
		}
		if !x.Open && id != "way" && id != "tie" && id != "reins" {
			for _, u := range usual {
				p.Usual = p.Usual || x.Value == u
			}
		}
		if n := len(out); n > 0 && same(out[n-1], p) {
			out[n-1] = both(out[n-1], p)
			continue
		}
		out = append(out, p)
	}
	return out
}

// same tells whether a right side says the same as the left side before it.
func same(l, r Part) bool {
	if l.Side != "left" || r.Side != "right" || l.Axis != r.Axis || l.Value != r.Value || l.Open != r.Open || l.Rule != r.Rule ||
		len(l.Numbers) != len(r.Numbers) || strings.Join(l.Words, "|") != strings.Join(r.Words, "|") {
		return false
	}
	for i := range l.Numbers {
		if l.Numbers[i].Value != r.Numbers[i].Value || l.Numbers[i].Range() != r.Numbers[i].Range() {
			return false
		}
	}
	return true
}

// both makes one line of two sides that say the same.
func both(l, r Part) Part {
	l.Asks = strings.TrimSuffix(l.Asks, ", left") + ", both sides"
	if l.Axis == "route" {
		l.Asks = "Turns to both sides"
	}
	l.Side = ""
	l.Read = together(l.Read, r.Read)
	l.WaitsFor = together(l.WaitsFor, r.WaitsFor)
	return l
}

// together joins readings, each once.
func together(a, b []decide.Reading) []decide.Reading {
	out := slices.Clone(a)
	for _, r := range b {
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}

// numbersOf returns the numbers that go with an axis.
func numbersOf(d page.Decided, axis string) []Number {
	n := d.Answer.Numbers
	switch axis {
	case "heel_left":
		return heel(d, n.HeelLiftMM.Left)
	case "heel_right":
		return heel(d, n.HeelLiftMM.Right)
	case "length_left":
		return length(d, n.LengthInBootMM.Left, n.LengthPlateDayMM.Left, n.LengthPlateMM.Left)
	case "length_right":
		return length(d, n.LengthInBootMM.Right, n.LengthPlateDayMM.Right, n.LengthPlateMM.Right)
	case "tie":
		if s := n.SpacerMM; s != nil {
			return []Number{{Label: "Spacer, inside to inside of the boots", Value: finding.FormatNumber(s.Value), Unit: "mm", Ask: "Never wider than the natural gap that was measured."}}
		}
	}
	return nil
}

func heel(d page.Decided, r *decide.Range) []Number {
	if r == nil || r.High == 0 {
		return nil
	}
	return []Number{{Label: "Start with", Value: finding.FormatNumber(r.Value), Unit: "mm", Low: finding.FormatNumber(r.Low), High: finding.FormatNumber(r.High),
		From: froms(d, "heel_start_mm", "heel_most_mm", "heel_mm_per_deg", "boot_lean_deg", "ankle_needed_deg")}}
}

func length(d page.Decided, boot, day, final *float64) []Number {
	if boot == nil || *boot == 0 {
		return nil
	}
	out := []Number{{Label: "Inside the boot", Value: finding.FormatNumber(*boot), Unit: "mm", From: froms(d, "leg_length_split_mm")}}
	if final != nil && *final > 0 {
		out = append(out, Number{Label: "Plate under the boot, first day", Value: finding.FormatNumber(*day), Unit: "mm", From: froms(d, "leg_length_first_day"),
			Ask: "By a certified technician, who sets the binding anew."},
			Number{Label: "Plate in the end", Value: finding.FormatNumber(*final), Unit: "mm"})
	}
	return out
}

// DayNumbers are the numbers of the lesson, not of the gear.
func DayNumbers(d page.Decided) []Number {
	n := d.Answer.Numbers
	var out []Number
	if n.BlockMin != nil {
		out = append(out, Number{Label: "Longest block before a rest", Value: finding.FormatNumber(*n.BlockMin), Unit: "min", From: froms(d, "block_share", "block_most_min")})
	}
	if n.FeetCheckMin != nil {
		out = append(out, Number{Label: "Look at the feet every", Value: finding.FormatNumber(*n.FeetCheckMin), Unit: "min", From: froms(d, "feet_check_min")})
	}
	if n.WindChillStopC != nil {
		name := "wind_chill_stop_c"
		for _, note := range d.Answer.Notes {
			if note.Code == "feet_cannot_warn" {
				name = "wind_chill_stop_reduced_c"
			}
		}
		out = append(out, Number{Label: "Stop at a wind chill of", Value: finding.FormatNumber(*n.WindChillStopC), Unit: "°C", From: froms(d, name)})
	}
	return out
}

func froms(d page.Decided, names ...string) []From {
	var out []From
	for _, name := range names {
		for _, s := range d.Table.Settings() {
			if s.Name == name {
				out = append(out, FromSetting(s, d.Signed))
			}
		}
	}
	return out
}

// FromSetting says where a programme number stands.
func FromSetting(s *decide.Setting, signed map[string]programme.SettingState) From {
	f := From{Means: s.Means, Value: finding.FormatNumber(s.Value), Unit: s.Unit, Name: s.Name, Basis: s.Basis, Open: s.Proposed,
		Min: finding.FormatNumber(s.Min), Max: finding.FormatNumber(s.Max)}
	if st, ok := signed[s.Name]; ok {
		f.Signed, f.Open = &st, false
	}
	return f
}

// HoldTitle says in two words what a hold does.
func HoldTitle(g Gate) string {
	switch {
	case g.Refuse:
		return "No skiing"
	case g.Standing:
		return "No standing"
	case g.Again:
		return "Evaluate first"
	}
	return "Held"
}

// SayFinding writes a recorded value for people.
func SayFinding(f programme.Finding) string {
	d, ok := finding.Lookup(f.Finding)
	if !ok {
		return f.Value
	}
	k := finding.Key{ID: f.Finding}
	switch f.Side {
	case "left":
		k.Side = finding.Left
	case "right":
		k.Side = finding.Right
	}
	v, err := finding.Parse(k.ID, k.Side, finding.Fresh, f.Value)
	if err != nil {
		return f.Value
	}
	return finding.Say(d, v)
}

// SayLabel names a finding for people.
func SayLabel(id string) string {
	if d, ok := finding.Lookup(id); ok {
		return d.Label
	}
	return id
}
