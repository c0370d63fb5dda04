package card

import (
	"fmt"
	"strings"
	"unicode/utf8"

	plan "firnhand/core/lesson"
)

// Minutes says the plan of a lesson in one line: at which minute on snow what
// begins, a semicolon at each rest, three dots where it goes on. Cautions need
// the room more; the plan itself is in the record. It is empty where there is
// no plan.
func Minutes(r *plan.Result) string {
	if r == nil || r.None != nil {
		return ""
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
	line := ""
	for i, p := range pieces {
		longer := strings.TrimSpace(line + " " + p)
		if utf8.RuneCountInString(longer) > mostText-2 {
			return strings.TrimRight(line, ",;") + " …"
		}
		if line = longer; i == len(pieces)-1 {
			return line
		}
	}
	return line
}
