package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"firnhand/internal/clock"
)

var printedNumbers = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// TestNoSettingInARequest prints the request for every person file there is,
// as text, JSON and PDF: every number on it was put in or belongs to its fixed
// words, and no row of a table is named. The technician's verdict on a record,
// read the same way, does name a row, so the search is not blind.
func TestNoSettingInARequest(t *testing.T) {
	fixed := map[string]bool{}
	for _, n := range printedNumbers.FindAllString("22 95 148 "+ // limits that a reason states
		"5355 9523 23223 13993 1064 939 11088 2018 "+ // standards
		"1 2 3 305 6.6 90 10 150 "+ // the type, and the gear below
		"2026 11 25 2027 01 14 09 30 0", -1) {
		fixed[n] = true
	}
	row := regexp.MustCompile(`\b[Rr]ow "?[A-O]\b|"row"`)
	files, err := filepath.Glob("../../demo/people/*.yaml")
	cases, err2 := filepath.Glob("testdata/cases/*.yaml")
	if files = append(files, cases...); err != nil || err2 != nil || len(files) < 15 {
		t.Fatalf("%d files, %v, %v", len(files), err, err2)
	}
	_, err = exec.LookPath("pdftotext")
	read := err == nil
	if !read {
		t.Log("poppler-utils is not installed, so the PDFs are not read back")
	}
	for _, file := range files {
		run := func(args ...string) string {
			var out, errs bytes.Buffer
			args = append([]string{"binding", "request", file, "--type", "3", "--sole-mm", "305", "--sole-standard", "iso_5355_a", "--boot", "Larch 90",
				"--binding-model", "Tarn 10", "--ski", "Scree 150", "--plate", "wedge", "--plate-mm", "6.6", "--on", "2026-11-25"}, args...)
			exit := Run(Env{Args: args, In: strings.NewReader(""), Out: &out, Err: &errs, Version: "test",
				Clock: clock.At(time.Date(2027, 1, 14, 9, 30, 0, 0, time.UTC))})
			if exit != ExitAnswer {
				t.Fatalf("%s: exit %d\n%s", file, exit, errs.String())
			}
			return out.String()
		}
		pdf := filepath.Join(t.TempDir(), "sheet.pdf")
		texts := []string{run(), run("--json")}
		run("-o", pdf)
		if read {
			text, err := exec.Command("pdftotext", "-raw", pdf, "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			texts = append(texts, string(text))
		} else if _, err := os.Stat(pdf); err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		given := map[string]bool{}
		for _, n := range printedNumbers.FindAllString(string(data), -1) {
			given[n] = true
		}
		for _, text := range texts {
			for _, n := range printedNumbers.FindAllString(text, -1) {
				if !fixed[n] && !given[n] {
					t.Errorf("%s: %s stands on the request and was not put in:\n%s", file, n, text)
				}
			}
			if m := row.FindString(text); m != "" {
				t.Errorf("%s: the request says %q", file, m)
			}
		}
	}
	var out bytes.Buffer
	Run(Env{Args: strings.Fields("binding check --technician T --instrument i --date 2026-11-20 --mass-kg 52 --height-cm 160 --age-years 34 --type 1 --sole-mm 275" +
		" --recorded-toe-left 4 --recorded-toe-right 4 --recorded-heel-left 4 --recorded-heel-right 4"), Out: &out, Err: &out,
		Clock: clock.At(time.Date(2027, 1, 14, 9, 30, 0, 0, time.UTC))})
	if row.FindString(out.String()) != "Row I" {
		t.Errorf("the verdict on a record names no row:\n%s", out.String())
	}
}
