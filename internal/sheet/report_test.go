package sheet_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firnhand/internal/paper"
	"firnhand/internal/picture"
	"firnhand/internal/sheet"
)

func report() sheet.Report {
	season := picture.Multiples{Title: "A season", Lessons: 6}
	for i := range picture.PanelsMost {
		season.Panels = append(season.Panels, picture.Panel{Name: fmt.Sprintf("K%02d a skill", i+10), Lines: []picture.PanelLine{
			{Label: "left", Level: []int{6, 5, 5, 4, 3, 2}, Missed: make([]bool, 6)}, {Label: "right", Level: []int{-1, 6, 6, 5, 5, 4}, Missed: make([]bool, 6)}}})
	}
	return sheet.Report{Title: "Pétra, the season", Lead: "6 lessons from Sat 5 Dec 2026 to Sun 10 Jan 2027.", MadeAt: time.Date(2027, 1, 14, 9, 30, 0, 0, time.UTC), Version: "test",
		Foot: "Help levels are what instructors saw.",
		Blocks: []sheet.Block{{Heading: "What works", Lines: []string{"Traverse: to the left with reins", "Straight slide: alone"}, Bullets: true},
			{Heading: "Figures", Rows: [][2]string{{"Lessons", "6"}, {"Hours on snow", strings.Repeat("a long line of words ", 12)}}},
			{Drawing: season.Draw}}}
}

// A report is one page in which everything stands that was given, and the same
// report gives the same bytes.
func TestReport(t *testing.T) {
	var a, b bytes.Buffer
	if err := errors.Join(sheet.ReportPDF(&a, report()), sheet.ReportPDF(&b, report())); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same report gives other bytes")
	}
	text := textOf(t, a.Bytes())
	for _, want := range []string{"Pétra, the season", "6 lessons from", "What works", "Straight slide: alone", "Hours on snow", "K21 a skill", "left 2", "right 4", "Help levels are what instructors saw. Firnhand test."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	if *lookDir != "" {
		if err := os.WriteFile(filepath.Join(*lookDir, "report.pdf"), a.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// What does not fit is refused, never cut; the type is made smaller before.
func TestReportFull(t *testing.T) {
	r := report()
	r.Blocks = r.Blocks[:1]
	for lines := range 400 {
		r.Blocks[0].Lines = append(r.Blocks[0].Lines, fmt.Sprintf("Line %d", lines))
		d, err := sheet.DrawReport(r)
		if err != nil {
			var refused *sheet.Error
			if !errors.As(err, &refused) || refused.Code != "sheet_full" || lines < 40 {
				t.Errorf("with %d lines: %v", lines, err)
			}
			return
		}
		for _, op := range d.Ops {
			if text, ok := op.(picture.Text); ok && (text.Y > d.Height || text.X+paper.Width(text.S, text.Size, text.Bold) > d.Width) {
				t.Fatalf("with %d lines %q leaves the page", lines, text.S)
			}
		}
	}
	t.Error("400 lines are on one page")
}

func TestReportRefuses(t *testing.T) {
	if err := sheet.ReportPDF(&bytes.Buffer{}, sheet.Report{Title: " "}); err == nil {
		t.Error("a report without a title")
	}
	r := report()
	r.Blocks[0].Lines = []string{"雪の上で"} // in a script that no font here has
	d, err := sheet.DrawReport(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, op := range d.Ops {
		if text, ok := op.(picture.Text); ok && strings.Contains(text.S, "雪") {
			t.Error("printed as empty boxes")
		}
	}
}
