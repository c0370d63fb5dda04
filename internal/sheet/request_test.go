package sheet_test

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"firnhand/core/binding"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/source"
	"firnhand/internal/paper"
	"firnhand/internal/picture"
	"firnhand/internal/sheet"
)

var lookDir = flag.String("look", "", "write the sheets as PDF into this directory, to be looked at")

func request(t testing.TB, full bool) sheet.Request {
	t.Helper()
	set := finding.Set{}
	put := func(id string, side finding.Side, v string) {
		if err := set.PutBoth(id, side, v); err != nil {
			t.Fatal(err)
		}
	}
	put("mass_kg", finding.NoSide, "64")
	put("height_cm", finding.NoSide, "168")
	put("age_years", finding.NoSide, "41")
	s := binding.Side{SoleMM: 305, Standard: binding.SoleAlpineA, Boot: "Larch 90", Binding: "Tarn 10", Ski: "Scree, 150 cm", Plate: binding.NoPlate}
	lent := true
	g := binding.Gear{Left: s, Right: s, Type: binding.Type1, LastTest: "2026-12-01", Lent: &lent, AskedBy: "Ines Rautavaara"}
	var a *decide.Answer
	if full { // everything that can be said at once
		put("mass_kg", finding.NoSide, "104")
		put("height_cm", finding.NoSide, "146")
		put("fragile_bone", finding.NoSide, "yes")
		put("scissor", finding.NoSide, "at_rest")
		for _, side := range []finding.Side{finding.Left, finding.Right} {
			put("brace", side, "ankle")
			put("sensation", side, "reduced")
			put("leg", side, "below_knee")
		}
		put("gait", finding.NoSide, "W2")
		g.Left.SoleMM, g.Right.SoleMM = 340, 240
		g.Left.Standard, g.Right.Standard = binding.SoleTouring, binding.SoleUnknown
		g.Left.Plate, g.Left.PlateMM, g.Right.Plate, g.Right.PlateMM = "wedge under the whole binding, screwed", 12, "plate", 8
		g.Left.Binding, g.Right.Ski = "A long name of a model that takes some room on the line", strings.Repeat("W", 60)
		g.Type = binding.TypeUnsure
		a = decide.Standing().Decide(decide.Input{Findings: set})
	}
	made := time.Date(2027, 1, 14, 9, 30, 0, 0, time.UTC)
	return sheet.Request{Name: "Pétra Ångström", Code: "0190a5d0", Day: made, MadeAt: made, Version: "test", Sheet: binding.Compose(set, a, g)}
}

// The sheet's contents are those of the trade's list: mass, height, age,
// declared type, sole length and standard, binding, ski, boot, every reason,
// plate, last test, who asks; and room for indicator values, torques,
// instrument, name, date, valid until and signature.
func TestSheetIsComplete(t *testing.T) {
	for name, full := range map[string]bool{"plain": false, "full": true} {
		r := request(t, full)
		var pdf bytes.Buffer
		if err := sheet.PDF(&pdf, r); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if *lookDir != "" {
			if err := os.WriteFile(filepath.Join(*lookDir, "request-"+name+".pdf"), pdf.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		text := textOf(t, pdf.Bytes())
		want := []string{"Request to a certified binding technician", "does not name one", "Pétra Ångström", "Thu 14 Jan 2027", "Ines Rautavaara", "Mass", " kg", "Height", " cm", "41 years",
			"own declaration", "Sole length, as printed", "Standard on the sole", "Last test", "2026-12-01", "Why the usual table may not apply",
			"Indicator value, toe", "Indicator value, heel", "Twist (N m), three tests", "Forward lean (N m), three", "Instrument", "Day of the test", "Valid until",
			"Name, in block letters", "Signature of the certified technician", "Never tightened to stop releases by spasm", "lift inside the boot does not", "ISO 13993"}
		for _, one := range r.Sheet.Reasons {
			words := strings.Fields(one.Say)
			want = append(want, strings.Join(words[1:5], " "))
		}
		for _, m := range append(slices.Clone(r.Sheet.Missing), r.Sheet.NotKnown...) {
			want = append(want, m)
		}
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s: the sheet does not say %q:\n%s", name, w, text)
			}
		}
		if full && len(r.Sheet.Reasons) < 15 {
			t.Errorf("the full sheet has only %d reasons", len(r.Sheet.Reasons))
		}
	}
}

// textOf reads a PDF back with pdftotext, white space as single spaces, and
// checks that it is one page of A4 with its fonts inside.
func textOf(t *testing.T, pdf []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("poppler-utils is not installed, so the PDF is not read back")
	}
	file := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	info, err := exec.Command("pdfinfo", file).Output()
	if err != nil || !strings.Contains(string(info), "Pages:           1\n") || !strings.Contains(string(info), "A4") {
		t.Fatalf("%v\n%s", err, info)
	}
	fonts, err := exec.Command("pdffonts", file).Output() // emb is the first of three yes or no
	if err != nil || !strings.Contains(string(fonts), "Identity-H       yes") {
		t.Fatalf("%v\n%s", err, fonts)
	}
	out, err := exec.Command("pdftotext", "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

// The same request gives the same bytes, and nothing stands outside the
// margins or over something else, whatever is on it.
func TestSheetLayout(t *testing.T) {
	for _, full := range []bool{false, true} {
		var a, b bytes.Buffer
		if sheet.PDF(&a, request(t, full)) != nil || sheet.PDF(&b, request(t, full)) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Error("two sheets of the same request differ")
		}
		d, err := sheet.Draw(request(t, full))
		if err != nil {
			t.Fatal(err)
		}
		type box struct {
			x1, y1, x2, y2 float64
			s              string
		}
		var boxes []box
		for _, op := range d.Ops {
			x, ok := op.(picture.Text)
			if !ok {
				continue
			}
			if x.Size < 7.2 || x.Ink != picture.Black {
				t.Errorf("%q is set in %.1f pt, ink %v", x.S, x.Size, x.Ink)
			}
			boxes = append(boxes, box{x.X, x.Y - x.Size*picture.MMPerPoint*0.668, x.X + paper.Width(x.S, x.Size, x.Bold), x.Y + x.Size*picture.MMPerPoint*0.15, x.S})
		}
		for i, a := range boxes {
			if a.x1 < 14.9 || a.x2 > 195.1 || a.y1 < 10 || a.y2 > 284 {
				t.Errorf("%q leaves the margins: %+v", a.s, a)
			}
			for _, b := range boxes[:i] {
				if a.x1 < b.x2 && b.x1 < a.x2 && a.y1 < b.y2 && b.y1 < a.y2 {
					t.Errorf("%q stands over %q", a.s, b.s)
				}
			}
		}
	}
}

// A sheet prints no start value and no torque of the table: every number on it
// was put in, or belongs to its fixed words.
func TestSheetPrintsNoSetting(t *testing.T) {
	r := request(t, true)
	d, err := sheet.Draw(r)
	if err != nil {
		t.Fatal(err)
	}
	table := map[string]bool{}
	for _, row := range source.Table("binding_table").Rows() {
		for _, c := range source.Table("binding_table").Columns() {
			if strings.HasPrefix(c, "z_bsl") || strings.HasSuffix(c, "_nm") {
				if v, ok := row.Number(c); ok {
					table[strconv.FormatFloat(v, 'f', -1, 64)] = true
				}
			}
		}
	}
	in := map[string]bool{"104": true, "146": true, "41": true, "340": true, "240": true, "12": true, "8": true, "14": true, "1": true, "1.3": true, "10": true, "5": true}
	for _, op := range d.Ops {
		x, ok := op.(picture.Text)
		if !ok {
			continue
		}
		for _, w := range strings.FieldsFunc(x.S, func(r rune) bool { return (r < '0' || r > '9') && r != '.' }) {
			if w = strings.Trim(w, "."); table[w] && !in[w] {
				t.Errorf("%s stands on the sheet: %q", w, x.S)
			}
		}
	}
}

// What no font can show is left to the record, and a sheet without a name is
// refused with a sentence.
func TestSheetOddInput(t *testing.T) {
	r := request(t, false)
	r.Name, r.Sheet.Left.Boot = "佐藤", "靴"
	d, err := sheet.Draw(r)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, op := range d.Ops {
		if x, ok := op.(picture.Text); ok && x.S == "(in the record)" {
			n++
		}
	}
	if n != 2 {
		t.Errorf("%d texts are left to the record", n)
	}
	r.Name = " "
	if _, err := sheet.Draw(r); err == nil || err.Error() != "The request needs the skier's name." {
		t.Errorf("without a name: %v", err)
	}
	r = request(t, true)
	r.Sheet.Left.Ski = strings.Repeat("scree ", 400)
	if _, err := sheet.Draw(r); err == nil || !strings.Contains(err.Error(), "does not fit on one page") {
		t.Errorf("far too much: %v", err)
	}
}
