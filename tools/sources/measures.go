package main

import (
	"errors"
	"strings"

	"firnhand/core/finding"
)

const (
	measuresBegin = "<!-- measures: written by \"make generate\" from core/finding -->\n"
	measuresEnd   = "<!-- measures: end -->"
)

// measures returns NOMENCLATURE.md with its list of measures made anew from
// the vocabulary of findings.
func measures(text string) (string, error) {
	before, rest, ok := strings.Cut(text, measuresBegin)
	_, after, ok2 := strings.Cut(rest, measuresEnd)
	if !ok || !ok2 {
		return "", errors.New("NOMENCLATURE.md has lost the lines between which the measures stand")
	}
	var b strings.Builder
	b.WriteString("\n| name | what | unit | range | sides | fresh and tired | better |\n|---|---|---|---|---|---|---|\n")
	for _, d := range finding.All() {
		if d.Scale != finding.Number {
			continue
		}
		better := "less"
		if d.MoreIsGood {
			better = "more"
		}
		row(&b, "`"+d.ID+"`", d.Label, d.Unit, figure(d.Min)+" to "+figure(d.Max), yes(d.Sided, "L, R"), yes(d.Tiring, "both"), better)
	}
	b.WriteString("\n")
	return before + measuresBegin + b.String() + measuresEnd + after, nil
}

func yes(is bool, word string) string {
	if is {
		return word
	}
	return ""
}
