package cli

import (
	"strings"
	"unicode/utf8"

	"firnhand/core/finding"
	"firnhand/internal/card"
	"firnhand/programme"
)

// gearLine is how a line of the set-up sheet stands on the card.
type gearLine struct {
	item   string
	label  string
	sided  bool
	second bool // may move to the record when the card is full
}

// gearLines are the numbers of a set-up sheet that the card carries, in its
// order. Labels that the answer uses too stand in the place of its own.
var gearLines = []gearLine{
	{"outrigger_handle", "Outrigger handle", true, false},
	{"slider_handle", "Slider handle", true, false},
	{"heel_lift", "Heel lift", true, false},
	{"length_in_boot", "Lift in the boot", true, false},
	{"length_plate", "Plate under boot", true, false},
	{"spacer", "Spacer, never wider", false, false},
	{"slider_width", "Slider inner width", false, false},
	{"ski_length", "Skis", false, true},
}

// gearWords are the lines in words; they stand on the card only where something
// else was set than was proposed.
var gearWords = []gearLine{
	{"braces", "Brace", true, false},
	{"boot", "Boot", true, false},
	{"cant", "Cant", true, false},
	{"trough", "Forearm trough", true, false},
	{"tie", "Tip tie", false, false},
	{"reins", "Reins", false, false},
}

// carryGear puts the set-up on a card: the numbers of the sheet that two people
// signed, or else what is proposed, as something to measure within its range.
func carryGear(l *card.Lesson, signed *programme.SetUpState, proposed []programme.SetUpItem) {
	g := gearOnCard{items: proposed}
	if signed != nil {
		g = gearOnCard{items: signed.Items, measured: signed.Measured}
	}
	for _, line := range gearLines {
		if line.sided {
			left, a := g.value(line.item, "left")
			right, b := g.value(line.item, "right")
			if a || b {
				l.Sided = append(l.Sided, card.SidedSetting{Label: line.label, Left: left, Right: right})
			}
			if line.item == "outrigger_handle" {
				g.holes(l)
			}
		} else if v, ok := g.value(line.item, "none"); ok {
			l.Shared = append(l.Shared, card.Setting{Label: line.label, Value: v, Second: line.second})
		}
	}
	for _, line := range gearWords {
		if line.sided {
			left, a := g.other(line.item, "left")
			right, b := g.other(line.item, "right")
			if a || b {
				l.Sided = append(l.Sided, card.SidedSetting{Label: line.label, Left: left, Right: right})
			}
		} else if v, ok := g.other(line.item, "none"); ok {
			l.Shared = append(l.Shared, card.Setting{Label: line.label, Value: v})
		}
	}
	if v, ok := g.other("way", "none"); ok {
		l.Handover = append(l.Handover, card.Line{Label: "Signed set-up", Text: v.Words})
	}
}

// gearOnCard reads a sheet for the card; measured is nil for a proposal.
type gearOnCard struct {
	items    []programme.SetUpItem
	measured []programme.MeasuredItem
}

func (g gearOnCard) find(item, side string) (programme.SetUpItem, *programme.MeasuredItem) {
	for i, it := range g.items {
		if it.Item == item && it.Side == side {
			if g.measured == nil {
				return it, nil
			}
			return it, &g.measured[i]
		}
	}
	return programme.SetUpItem{}, nil
}

// none stands on a side without the thing.
var none = card.Value{Words: "none"}

// value is a number as measured, with its range where it lies inside; or what
// is to be measured, with the range it is proposed within.
func (g gearOnCard) value(item, side string) (card.Value, bool) {
	it, m := g.find(item, side)
	if it.Item == "" || it.Unit == "" {
		return none, false
	}
	v := card.Value{Unit: it.Unit}
	if it.Low != nil && *it.Low >= 0 {
		v.Low, v.High = finding.FormatNumber(*it.Low), finding.FormatNumber(*it.High)
	}
	switch {
	case m != nil && m.Done && m.Value != nil:
		v.Number = finding.FormatNumber(*m.Value)
		if it.Outside(m.SetUpValue) { // two people signed it all the same
			v.Low, v.High = "", ""
		}
	default:
		v.Measure = howTo[item]
	}
	return v, true
}

// howTo says in few words how a number is found; sentences of the sheet are too
// long for the card.
var howTo = map[string]string{
	"outrigger_handle": "wrist crease to snow, in boots on skis",
	"slider_handle":    "wrist crease to snow, in boots on skis",
	"heel_lift":        "start low; knee bend with heels down",
	"length_in_boot":   "block until the hips are level",
	"length_plate":     "by a certified technician",
	"spacer":           "gap between the boots, relaxed",
	"slider_width":     "hips, and 3 to 5 cm clear on each side",
	"ski_length":       "stand the ski beside the student",
}

// holes puts holes and brakes of a signed sheet into one row.
func (g gearOnCard) holes(l *card.Lesson) {
	one := func(side string) (string, bool) {
		var parts []string
		if _, m := g.find("outrigger_handle", side); m != nil && m.Hole > 0 {
			parts = append(parts, "hole "+finding.FormatNumber(float64(m.Hole)))
		}
		if _, m := g.find("brake", side); m != nil && m.Value != nil {
			parts = append(parts, finding.FormatNumber(*m.Value)+" turns")
		}
		if len(parts) == 0 {
			return "none", false
		}
		return strings.Join(parts, ", "), true
	}
	left, a := one("left")
	right, b := one("right")
	if a || b {
		l.Sided = append(l.Sided, card.SidedSetting{Label: "Hole, brake", Left: card.Value{Words: left}, Right: card.Value{Words: right}})
	}
}

// other returns words that were set in the place of the proposed ones.
func (g gearOnCard) other(item, side string) (card.Value, bool) {
	const most = 28
	it, m := g.find(item, side)
	switch {
	case it.Item == "" || it.Unit != "":
		return none, false
	case m == nil || !m.Done || m.Words == it.Words:
		w := card.Shorten(it.Words, most)
		if w == "" {
			w = "decide at the test"
		}
		return card.Value{Words: w}, false
	}
	w := card.Shorten(m.Words, most)
	if card.DiagnosisIn(w) != "" || !utf8.ValidString(w) {
		w = "see the record"
	}
	return card.Value{Words: w}, true
}
