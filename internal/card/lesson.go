package card

import (
	"fmt"
	"strings"
	"unicode/utf8"

	plan "firnhand/core/lesson"
)

// mostMinuteLines is how many lines of the card the minutes of a lesson take:
// cautions need the room more.
const mostMinuteLines = 2

// Minutes says the plan of a lesson in a line or two: at which minute on snow
// what begins, a semicolon at each rest. The plan itself is in the record. It
// is empty where there is no plan.
func Minutes(r *plan.Result) []Line {
	if r == nil || r.None != nil {
		return nil
	}
	var pieces []string
	for _, b := range r.Blocks {
		if b.Role == plan.Rest {
			if n := len(pieces); n > 0 {
				pieces[n-1] = strings.TrimSuffix(pieces[n-1], ",") + ";"
			}
			continue
		}
		name := strings.ReplaceAll(b.Skill.Name, ",", "")
		if w := b.Side.Word(); w != "" {
			name += " " + w
		}
		pieces = append(pieces, fmt.Sprintf("%d %s,", b.Start, name))
	}
	if n := len(pieces); n > 0 {
		pieces[n-1] = strings.TrimRight(pieces[n-1], ",;")
	}
	var lines []Line
	for i, p := range pieces {
		n := len(lines)
		switch {
		case n > 0 && utf8.RuneCountInString(lines[n-1].Text)+1+utf8.RuneCountInString(p) <= mostText-2:
			lines[n-1].Text += " " + p
		case n == mostMinuteLines:
			lines[n-1].Text = strings.TrimRight(lines[n-1].Text, ",;") + " …"
			return lines
		default:
			label := "From minute"
			if i > 0 {
				label = "then"
			}
			lines = append(lines, Line{Label: label, Text: p, Second: i > 0})
		}
	}
	return lines
}
