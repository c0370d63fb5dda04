package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/source"
	"firnhand/internal/verify"
)

const head = `<!-- Written by "make generate" from core/source and the tree. DO NOT EDIT. -->

# Sources

Every figure the program knows, once. How sure each is: *exact* by definition; *published, seen*; *from memory*
(published, the text was not at hand); *common practice, no source*; *derived here* from other figures; *proposed*, a
starting number somebody qualified must sign off. "Checked in" names the packages whose tests or checks read the figure;
where "used in" is empty, the part that computes with it is still to come.
`

// document returns the text of SOURCES.md for the tree at root.
func document(root string) (string, error) {
	u, settings, err := survey(root)
	if err != nil {
		return "", err
	}
	rep, err := verify.Run(verify.All())
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(head)
	fmt.Fprintf(&b, "\n`bin/firnhand verify` runs %d checks against outside sources; %d of them are not counted, each with its reason.\n",
		len(rep.Results), rep.Skipped)
	writeFigures(&b, u)
	writeTables(&b, u, rep)
	writeSettings(&b, settings)
	writeErrata(&b)
	writeWorks(&b, u, rep)
	return b.String(), nil
}

func writeFigures(b *strings.Builder, u uses) {
	b.WriteString("\n## Figures\n\n| id | what | value | range or ± | unit | source | how sure | used in | checked in |\n|---|---|---|---|---|---|---|---|---|\n")
	for _, d := range source.All() {
		spread := ""
		switch {
		case d.SD > 0:
			spread = "± " + figure(d.SD)
		case d.Low != d.High:
			spread = figure(d.Low) + " to " + figure(d.High)
		}
		row(b, "`"+d.ID+"`", d.Quantity+aside(d.Alt, d.Note), figure(d.Value), spread, unit(d.Unit), cite(d.Ref, d.Place),
			string(d.Status), places(u.code[d.ID]), places(u.checks[d.ID]))
	}
}

func writeTables(b *strings.Builder, u uses, rep verify.Report) {
	counts := map[string]int{}
	for _, r := range rep.Results {
		part, _, _ := strings.Cut(r.ID, "/")
		counts[part]++
	}
	b.WriteString("\n## Tables\n\nOne file each in `core/source/tables`.\n\n| table | what | rows | source | how sure | used in | checked in | checks |\n|---|---|---|---|---|---|---|---|\n")
	for _, s := range source.Tables() {
		var marks, sure []string
		for _, r := range s.Rows() {
			marks = insert(marks, r.Ref())
			sure = insert(sure, string(r.Status()))
		}
		checks := ""
		if n := counts[s.Name]; n > 0 {
			checks = strconv.Itoa(n)
		}
		row(b, "`"+s.Name+"`", s.Title+aside(s.Note), strconv.Itoa(len(s.Rows())), cite(strings.Join(marks, ", "), s.Place),
			strings.Join(sure, "; "), places(u.code[s.Name]), places(u.checks[s.Name]), checks)
	}
}

func writeSettings(b *strings.Builder, settings []setting) {
	if len(settings) == 0 {
		return
	}
	b.WriteString("\n## Settings of the rule tables\n\nNumbers the rules decide with. A programme may change them within their range; a proposed one (P) waits for a signature.\n\n| setting | table | value, range | means | basis |\n|---|---|---|---|---|\n")
	for _, s := range settings {
		row(b, "`"+s.name+"`", s.table, s.value, s.means, strings.Join(s.basis, ", "))
	}
}

func writeErrata(b *strings.Builder) {
	b.WriteString("\n## Wrong in print, or in a copy that circulates\n\n| where | which | printed | used | why |\n|---|---|---|---|---|\n")
	for _, e := range source.Errata() {
		row(b, "`"+e.Where+"`", e.Row, e.Printed, e.Used, e.Why)
	}
}

func writeWorks(b *strings.Builder, u uses, rep verify.Report) {
	checks := map[string]int{}
	for _, r := range rep.Results {
		checks[r.Source]++
	}
	b.WriteString("\n## Works\n\n| mark | work | how sure | rules and settings that stand on it | checks |\n|---|---|---|---|---|\n")
	for _, w := range source.References() {
		n := ""
		if checks[w.Mark] > 0 {
			n = strconv.Itoa(checks[w.Mark])
		}
		row(b, w.Mark, w.Text+aside(w.Note), string(w.Status), standing(u.bases[w.Mark]), n)
	}
}

// standing lists the rules of a work, or counts them where the list would not
// be read.
func standing(names []string) string {
	const most = 12
	if len(names) > most {
		return strconv.Itoa(len(names)) + " rules and settings"
	}
	return strings.Join(names, ", ")
}

func row(b *strings.Builder, cells ...string) {
	b.WriteString("|")
	for _, c := range cells {
		b.WriteString(" " + strings.ReplaceAll(c, "|", "\\|") + " |")
	}
	b.WriteString("\n")
}

func figure(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func unit(u string) string {
	if u == "1" {
		return ""
	}
	return u
}

func cite(mark, place string) string {
	if place == "" {
		return mark
	}
	return mark + ", " + place
}

// aside puts what is worth knowing behind a name.
func aside(notes ...string) string {
	notes = slices.DeleteFunc(notes, func(n string) bool { return n == "" })
	if len(notes) == 0 {
		return ""
	}
	return " (" + strings.TrimSuffix(strings.Join(notes, "; "), ".") + ")"
}

// places lists folders, without repeating and in order.
func places(dirs []string) string {
	return strings.Join(slices.Sorted(slices.Values(dirs)), ", ")
}

func insert(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}
