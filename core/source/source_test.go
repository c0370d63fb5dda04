package source_test

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firnhand/core/source"
)

// A published table is a frozen fixture: whoever changes a figure must change
// its fingerprint too, so it cannot happen in passing.
func TestTablesAreFrozen(t *testing.T) {
	list, err := os.ReadFile("testdata/frozen.sha256")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	for line := range strings.Lines(string(list)) {
		sum, name, ok := strings.Cut(strings.TrimSpace(line), "  ")
		if !ok {
			t.Fatalf("unreadable line %q", line)
		}
		want[name] = sum
	}
	names, err := filepath.Glob("tables/*.csv")
	if err != nil || len(names) != len(want) {
		t.Errorf("%d files, %d fingerprints (%v)", len(names), len(want), err)
	}
	for _, path := range names {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(text)
		if got := hex.EncodeToString(sum[:]); got != want[filepath.Base(path)] {
			t.Errorf("%s changed: its fingerprint is now %s", path, got)
		}
	}
}

// Every file under tables is listed, so none can lie there unread.
func TestEveryFileIsListed(t *testing.T) {
	lists := []string{"works", "figures", "tables", "errata"}
	paths, err := filepath.Glob("tables/*.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		name := strings.TrimSuffix(filepath.Base(path), ".csv")
		listed := slices.ContainsFunc(source.Tables(), func(s source.Sheet) bool { return s.Name == name })
		if !listed && !slices.Contains(lists, name) {
			t.Errorf("%s is not in tables.csv", path)
		}
	}
}

func TestFigure(t *testing.T) {
	// Resolution 2 of the 3rd CGPM, 1901: standard acceleration 9.80665 m/s².
	if got := source.Value("gravity_standard"); got != 9.80665 {
		t.Errorf("standard gravity %v", got)
	}
	d, ok := source.Figure("elbow_bend_wrist_crease")
	// Kumar, Roe and Scremin 1995, abstract: 25.4 ± 6.1 degrees.
	if !ok || d.Value != 25.4 || d.SD != 6.1 || d.Low != 25.4 || d.High != 25.4 || d.Unit != "deg" || d.Status != source.Seen {
		t.Errorf("%+v %v", d, ok)
	}
	if _, ok := source.Figure("no such figure"); ok {
		t.Error("found a figure that is not there")
	}
	if all := source.All(); len(all) < 50 || !slices.IsSortedFunc(all, func(a, b source.Datum) int { return strings.Compare(a.ID, b.ID) }) {
		t.Errorf("%d figures, or out of order", len(all))
	}
}

// The trade's list has the marks S1 to S56, with S25b, S36b, S37b and S40b and
// without S30.
func TestTradeMarks(t *testing.T) {
	var marks []string
	for _, w := range source.References() {
		if w.Mark[0] == 'S' && len(w.Mark) > 1 && '0' <= w.Mark[1] && w.Mark[1] <= '9' {
			marks = append(marks, w.Mark)
		}
	}
	if len(marks) != 55+4 {
		t.Errorf("%d marks: %v", len(marks), marks)
	}
	for _, m := range []string{"S1", "S25b", "S36b", "S37b", "S40b", "S56", "CP", "M", "P", "D"} {
		if w, ok := source.Reference(m); !ok || w.Text == "" {
			t.Errorf("mark %s: %+v %v", m, w, ok)
		}
	}
	if _, ok := source.Reference("S30"); ok {
		t.Error("S30 is not in the list")
	}
}

func TestKnown(t *testing.T) {
	for id, want := range map[string]bool{"S31": true, "CP": true, "inch": true, "deleva1996": true, "S57": false, "": false} {
		if source.Known(id) != want {
			t.Errorf("Known(%q) = %v", id, !want)
		}
	}
}

func TestSheet(t *testing.T) {
	s := source.Table("deleva1996")
	r, ok := s.Where("sex", "M").Where("segment", "Thigh").Only()
	if !ok {
		t.Fatal("no single thigh")
	}
	// de Leva 1996, table 4: men, thigh 14.16 % of mass, centre at 40.95 %.
	if m, ok := r.Number("mass_pct"); !ok || m != 14.16 {
		t.Errorf("mass %v %v", m, ok)
	}
	if c, ok := r.Number("cm_pct"); !ok || c != 40.95 {
		t.Errorf("centre %v %v", c, ok)
	}
	if r.Text("endpoints") != "HJC-KJC" || r.Ref() != "deLeva1996" || r.Status() != source.Seen {
		t.Errorf("%v from %s, %s", r, r.Ref(), r.Status())
	}
	if got := r.String(); got != "M, Thigh, HJC-KJC, main, 422.2, 14.16, 40.95, 32.9, 32.9, 14.9" {
		t.Errorf("row prints as %q", got)
	}
	if _, ok := s.Only(); ok {
		t.Error("a table of many rows has no only row")
	}
	if got := s.Names("sex"); !slices.Equal(got, []string{"F", "M"}) {
		t.Errorf("names %v", got)
	}
	if got := s.Columns(); got[0] != "sex" || len(got) != 10 {
		t.Errorf("columns %v", got)
	}
	if len(s.Rows()) != 42 { // 2 sexes, 11 main and 10 other pairs of endpoints
		t.Errorf("%d rows", len(s.Rows()))
	}
}

// A row with a source of its own overrules its table's.
func TestRowOwnSource(t *testing.T) {
	r, ok := source.Table("friction").Where("item", "gliding wedge, small").Only()
	if !ok || r.Ref() != "CP" || r.Status() != source.Practice {
		t.Errorf("%v: %s, %s", r, r.Ref(), r.Status())
	}
	r, ok = source.Table("osterkamp1995").Where("part", "thigh").Only()
	if !ok || r.Ref() != "Osterkamp1995" || r.Status() != source.Memory {
		t.Errorf("%v: %s, %s", r, r.Ref(), r.Status())
	}
	if _, ok := r.Number("copies"); ok {
		t.Error("a blank cell is not a number")
	}
}

func TestMistakesPanic(t *testing.T) {
	for name, f := range map[string]func(){
		"figure": func() { source.Value("no such figure") },
		"table":  func() { source.Table("no such table") },
		"column": func() { source.Table("friction").Where("no such column", "") },
		"number": func() { source.Table("friction").Rows()[0].Number("item") },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("expected a panic")
				}
			}()
			f()
		})
	}
}

func TestErrataHaveReasons(t *testing.T) {
	if len(source.Errata()) < 10 {
		t.Errorf("%d errata", len(source.Errata()))
	}
	for _, e := range source.Errata() {
		if e.Row == "" || e.Printed == "" || e.Used == "" || e.Why == "" {
			t.Errorf("incomplete: %+v", e)
		}
	}
}
