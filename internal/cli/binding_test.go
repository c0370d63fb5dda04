package cli

import (
	"bytes"
	"context"
	"crypto/rand"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"firnhand/core/binding"
	"firnhand/internal/clock"
	"firnhand/internal/web/page"
	"firnhand/programme"
	"firnhand/programme/programmetest"
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

// TestBindingInTheHouse goes through the real store with sealed text: asked,
// printed, recorded, closed, opened again, forgotten.
func TestBindingInTheHouse(t *testing.T) {
	ctx, now := context.Background(), clock.At(time.Date(2027, 1, 14, 9, 30, 0, 0, time.UTC))
	at := files{data: filepath.Join(t.TempDir(), "records.db")}
	open := func() *house {
		h, err := openHouse(ctx, at, now, now, rand.Reader, time.UTC, slog.New(slog.DiscardHandler))
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	h := open()
	ids := programmetest.NewIDs(9)
	student, request, made := ids.Next(), ids.Next(), func() programme.Made { return programme.Made{ID: ids.Next()} }
	lead := programme.Actor{Staff: ids.Next(), Name: "Ines", Roles: []programme.Role{programme.Lead, programme.Instructor}}
	tech := programme.Actor{Staff: ids.Next(), Name: "Bertil", Roles: []programme.Role{programme.Technician}}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	_, err := h.cases.AddStudent(ctx, lead, made(), student, programme.StudentDetails{NameUsed: "Orla", BirthDate: programme.Date{Year: 1992, Month: 5, Day: 2}})
	must(err)
	var all []programme.NewFinding
	for id, v := range map[string]string{"height_cm": "165", "mass_kg": "60"} {
		all = append(all, programme.NewFinding{Made: made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: id}, Value: v}})
	}
	_, err = h.cases.RecordFindings(ctx, lead, student, all)
	must(err)
	side := binding.Side{SoleMM: 305, Standard: binding.SoleAlpineA, Boot: "Larch 90"}
	_, err = h.cases.AskBinding(ctx, lead, programme.Made{ID: request}, student, programme.BindingGear{Left: side, Right: side, Type: binding.Type1})
	must(err)
	ski := programme.BindingSki{Toe: 4.5, Heel: 4.5, TwistNM: []float64{43, 43, 43}, LeanNM: []float64{165, 165, 165}}
	day := programme.Date{Year: 2027, Month: 1, Day: 14}
	_, err = h.cases.RecordBindingTest(ctx, tech, made(), student, programme.BindingRecord{Request: request, Left: ski, Right: ski, Technician: "Bertil Osk", Instrument: "bench",
		TestedOn: day, ValidUntil: day.AddMonths(12), Signed: true})
	must(err)
	must(h.Close())

	// Nothing of it lies readable in the file.
	raw, err := os.ReadFile(at.data)
	must(err)
	for _, word := range []string{"Larch 90", "Bertil Osk"} {
		if bytes.Contains(raw, []byte(word)) {
			t.Errorf("%q lies readable in the file", word)
		}
	}
	h = open()
	defer h.Close()
	r, err := h.cases.StudentAt(ctx, tech, student, programme.AsOf{})
	must(err)
	b, ok := r.Binding()
	if !ok || b.Status != programme.BindingInUse || b.Record.Verdict.Row != "J" || b.Sheet.Left.Boot != "Larch 90" || *b.Sheet.MassKG != 60 {
		t.Fatalf("read back: %+v", b)
	}
	pdf, err := printSheet(ctx, page.SheetOrder{ID: b.ID, Name: r.NameUsed, MadeAt: b.MadeAt, Sheet: b.Sheet})
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF")) {
		t.Fatalf("%.20q, %v", pdf, err)
	}
	must(h.cases.ForgetStudent(ctx, lead, student))
	r, err = h.cases.StudentAt(ctx, lead, student, programme.AsOf{})
	if err == nil && (len(r.Bindings) > 0 || !r.Forgotten) {
		t.Errorf("forgotten, but %+v", r.Bindings)
	}
}
