package person

import (
	"sort"
	"strings"

	"firnhand/core/finding"
)

// spellings lists every key that person:, gates: and eval: know.
func spellings() []string {
	var out []string
	for _, d := range finding.All() {
		out = append(out, d.ID)
	}
	for k := range aliases {
		out = append(out, k)
	}
	for k := range remarks {
		out = append(out, k)
	}
	for k := range laterals {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// closest ends a refusal with the spelling that was probably meant.
func closest(key string, among []string) string {
	key = strings.ToLower(key)
	if len(key) > 40 || len(key) < 2 {
		return ""
	}
	best, least := "", 2+len(key)/6
	for _, s := range among {
		if n := distance(key, s); n < least {
			best, least = s, n
		}
	}
	for _, s := range among {
		if best == "" && len(key) >= 4 && (strings.HasPrefix(s, key) || strings.HasPrefix(key, s)) {
			best = s
		}
	}
	if best == "" {
		return ""
	}
	return " Did you mean " + best + "?"
}

// distance counts the letters to put in, leave out or exchange.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		last := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := last
			if a[i-1] != b[j-1] {
				cost++
			}
			last = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
