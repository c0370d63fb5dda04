// Package answer shows what the rules say about a student: the panel beside
// the evaluation, and the whole answer with its argument.
package answer

import (
	"strings"
)

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
