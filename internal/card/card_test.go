package card_test

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"firnhand/internal/card"
	"firnhand/internal/picture"

	"golang.org/x/text/unicode/norm"
)

const mmPerPt = 25.4 / 72

// leastPt are the type sizes of the printed-card rules (design notes 6.3:
// labels 11 pt, actions 14 pt, key numbers 24 pt); for actions this is the
// floor a full card may go down to.
var leastPt = map[string]float64{"number": 24, "name": 14, "action": 11, "label": 11, "trace": 8}

type box struct {
	x1, y1, x2, y2 float64
	s              string
}

func textBoxes(d picture.Drawing) []box {
	var out []box
	for _, op := range d.Ops {
		t, ok := op.(picture.Text)
		if !ok {
			continue
		}
		w := card.TextWidth(t.S, t.Size, t.Bold)
		x := t.X
		switch t.Anchor {
		case picture.Middle:
			x -= w / 2
		case picture.End:
			x -= w
		}
		// capitals above the baseline, a descender below
		out = append(out, box{x, t.Y - t.Size*mmPerPt*0.668, x + w, t.Y + t.Size*mmPerPt*0.15, t.S})
	}
	return out
}

// Margins, free zones, least sizes and no text over text, by our own metrics.
func TestLayoutKeepsItsPromises(t *testing.T) {
	all, refused := contents(t)
	small, moved := 0, 0
	for i, c := range all {
		d, err := card.Draw(c)
		report, _ := card.Fit(c)
		if err != nil {
			t.Fatalf("card %d within the budget: %v", i, err)
		}
		if report.ActionPt < 14 {
			small++
		}
		if report.Moved > 0 {
			moved++
		}
		for _, op := range d.Ops {
			if x, ok := op.(picture.Text); ok {
				least, known := leastPt[x.Class]
				if x.Class == "action" {
					least = min(report.ActionPt, 13) // a unit is 13 pt whatever the rest
				}
				if !known || x.Size < least {
					t.Errorf("card %d: %q is %q at %.1f pt, least %.1f", i, x.S, x.Class, x.Size, least)
				}
			}
		}
		if report.ActionPt < leastPt["action"] {
			t.Errorf("card %d: actions at %.1f pt", i, report.ActionPt)
		}
		boxes := textBoxes(d)
		for j, b := range boxes {
			if b.x1 < 8 || b.x2 > 148-8 || b.y1 < 8 || b.y2 > 210-15 {
				t.Errorf("card %d: %q reaches %.1f %.1f %.1f %.1f", i, b.s, b.x1, b.y1, b.x2, b.y2)
			}
			if b.x1 < 20 && b.y1 < 20 {
				t.Errorf("card %d: %q is in the punch-hole zone", i, b.s)
			}
			for _, o := range boxes[:j] {
				if min(b.x2, o.x2)-max(b.x1, o.x1) > 0.1 && min(b.y2, o.y2)-max(b.y1, o.y1) > 0.1 {
					t.Errorf("card %d: %q lies over %q", i, b.s, o.s)
				}
			}
		}
		if l, top, r, bottom := d.Bounds(); l < 8 || top < 8 || r > 140 || bottom > 195 {
			t.Errorf("card %d: lines reach %.1f %.1f %.1f %.1f", i, l, top, r, bottom)
		}
	}
	t.Logf("%d cards: %d below 14 pt, %d with lines moved to the record; %d overfull ones refused", len(all), small, moved, refused)
}

// need skips with a printed reason when an outside program is missing.
func need(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("skipped: %s is not installed (Debian packages poppler-utils, zbar-tools)", p)
		}
	}
}

func output(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s %v: %v", name, args, err)
	}
	return string(out)
}

var (
	pdfWord = regexp.MustCompile(`<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">(.*)</word>`)
	pdfPage = regexp.MustCompile(`<page width="([0-9.]+)" height="([0-9.]+)">`)
	unhtml  = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&quot;", `"`, "&#39;", "'", "&apos;", "'", "&amp;", "&")
)

var moreInRecord = regexp.MustCompile(`\b([0-9]+) more: see record`)

func float(t *testing.T, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// said lists every string of a content that must be on its card.
func said(c card.Content) []string {
	out := []string{c.LessonCode, c.Day.Format("Mon 2 Jan"), c.Slot, c.StopWord, c.SetUp.Way, c.Plan.Terrain, c.Plan.Help, c.Plan.Helpers,
		c.Trace.CardID, c.Trace.InputCode, c.Trace.CoreVersion, strconv.FormatUint(c.Trace.DataUpTo, 10), c.FirstName}
	value := func(v card.Value) { out = append(out, v.Number, v.Words, v.Measure, v.Low, v.High) }
	for _, ls := range [][]card.Line{c.Cautions, c.Contacts} {
		for _, l := range ls {
			out = append(out, l.Label, l.Text)
		}
	}
	for _, s := range c.SetUp.Sided {
		out = append(out, s.Label)
		value(s.Left)
		value(s.Right)
	}
	for _, v := range []card.Value{c.Plan.FanLeft, c.Plan.FanRight, c.Plan.Block, c.Plan.Rest} {
		value(v)
	}
	if c.Hold != nil {
		out = append(out, c.Hold.Kind.Says(), c.Hold.Instead)
		for _, n := range c.Hold.Needed {
			out = append(out, n.What, n.From)
		}
	}
	return out
}

// mayMove lists what may be in the record instead.
func mayMove(c card.Content) []string {
	out := []string{c.Goal}
	for _, ls := range [][]card.Line{c.Handover, c.Plan.More} {
		for _, l := range ls {
			out = append(out, l.Label+" "+l.Text)
		}
	}
	for _, s := range c.SetUp.Shared {
		out = append(out, s.Label+" "+s.Value.Words+s.Value.Number)
	}
	return out
}

// page is the text of a card as an outside reader gave it back.
type page struct {
	words   map[string]int
	letters string // without spaces, for words that had to be broken
	text    string
}

func pageOf(text string) page { return page{wordCount(text), squeeze(text), text} }

// lacks returns the first word of s that the page does not hold, or "".
func (p page) lacks(s string) string {
	for w := range wordCount(s) {
		if p.words[w] == 0 && !strings.Contains(p.letters, squeeze(w)) {
			return w
		}
	}
	return ""
}

func wordCount(s string) map[string]int {
	out := map[string]int{}
	for _, w := range strings.Fields(norm.NFC.String(s)) {
		out[w]++
	}
	return out
}

func squeeze(s string) string { return strings.Join(strings.Fields(norm.NFC.String(s)), "") }

// The card as an independent reader (poppler) sees it: one page, A5 (ISO 216:
// 148 x 210 mm), all fonts embedded, every word of the content extractable,
// every word inside the margins.
func TestPDFReadByPoppler(t *testing.T) {
	need(t, "pdftotext", "pdffonts")
	dir := t.TempDir()
	all, _ := contents(t)
	if len(all) < 200 {
		t.Fatalf("only %d cards", len(all))
	}
	for i, c := range all {
		if testing.Short() && i%5 > 0 && i < len(all)-5 {
			continue
		}
		report, err := card.Fit(c)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, fmt.Sprintf("%d.pdf", i))
		writeCard(t, file, c)
		got := readPDF(t, file, i)
		for _, s := range said(c) {
			if w := got.lacks(s); w != "" {
				t.Errorf("card %d: word %q of %q is not on the card", i, w, s)
			}
		}
		missing := 0
		for _, s := range mayMove(c) {
			if got.lacks(s) != "" {
				missing++
			}
		}
		if missing > report.Moved {
			t.Errorf("card %d: %d lines are missing, %d are said to be in the record", i, missing, report.Moved)
		}
		told := 0
		for _, m := range moreInRecord.FindAllStringSubmatch(got.text, -1) {
			n, _ := strconv.Atoi(m[1])
			told += n
		}
		if told != report.Moved {
			t.Errorf("card %d: %d lines moved, the card speaks of %d", i, report.Moved, told)
		}
		if i%10 == 0 {
			checkFonts(t, file)
		}
	}
}

// readPDF checks pages, size and margins of a card and returns its text.
func readPDF(t *testing.T, file string, i int) page {
	t.Helper()
	out := output(t, "pdftotext", "-bbox", file, "-")
	sizes := pdfPage.FindAllStringSubmatch(out, -1)
	if len(sizes) != 1 {
		t.Fatalf("card %d has %d pages", i, len(sizes))
	}
	if w, h := float(t, sizes[0][1])*mmPerPt, float(t, sizes[0][2])*mmPerPt; w < 147.5 || w > 148.5 || h < 209.5 || h > 210.5 {
		t.Errorf("card %d is %.1f x %.1f mm", i, w, h)
	}
	var text strings.Builder
	for _, m := range pdfWord.FindAllStringSubmatch(out, -1) {
		x1, x2 := float(t, m[1])*mmPerPt, float(t, m[3])*mmPerPt
		y1, y2 := float(t, m[2])*mmPerPt, float(t, m[4])*mmPerPt
		// poppler's boxes are as tall as the font's ascent and descent, which
		// is more than the ink; sideways they are exact
		if mid := (y1 + y2) / 2; x1 < 8 || x2 > 140.05 || mid < 9 || mid > 195 || y2 > 196 {
			t.Errorf("card %d: %q at %.1f %.1f %.1f %.1f mm", i, m[5], x1, y1, x2, y2)
		}
		text.WriteString(" " + unhtml.Replace(m[5]))
	}
	return pageOf(text.String())
}

func checkFonts(t *testing.T, file string) {
	t.Helper()
	rows := strings.Split(strings.TrimSpace(output(t, "pdffonts", file)), "\n")[2:]
	if len(rows) < 2 {
		t.Errorf("%s: %d fonts", file, len(rows))
	}
	for _, r := range rows {
		f := strings.Fields(r) // from the end: object id (2), uni, sub, emb
		if n := len(f); n < 6 || f[n-5] != "yes" || f[n-3] != "yes" {
			t.Errorf("font not embedded or without a map to Unicode: %s", r)
		}
	}
}

func writeCard(t *testing.T, file string, c card.Content) {
	t.Helper()
	var b bytes.Buffer
	if err := card.PDF(&b, c); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Left and right: every number of the left stands left of the drawing, every
// number of the right stands right of it, as read back by poppler; the fan
// steps stand at the outer edges the same way.
func TestSidesStandOnTheirSide(t *testing.T) {
	need(t, "pdftotext")
	c := walter()
	c.SetUp.Sided = []card.SidedSetting{
		{Label: "Outrigger handle", Left: num("91", "cm", "90", "92"), Right: num("71", "cm", "70", "72")},
		{Label: "Heel lift", Left: words("leftword"), Right: words("rightword")},
		{Label: "Forearm strap", Left: card.Value{Measure: "leftmeasure", Unit: "cm"}, Right: card.Value{Measure: "rightmeasure", Unit: "cm"}},
	}
	// how to measure stands below both columns, so it must name its side
	d, err := card.Draw(c)
	if err != nil {
		t.Fatal(err)
	}
	if s := squeeze(d.SVG()); !strings.Contains(s, "Measureleftforearmstrap:") || !strings.Contains(s, "Measurerightforearmstrap:") {
		t.Error("two ways to measure do not name their side")
	}
	c.Plan.FanLeft, c.Plan.FanRight = num("31", "°", "", ""), num("61", "°", "", "")
	file := filepath.Join(t.TempDir(), "sides.pdf")
	writeCard(t, file, c)
	at := map[string][2]float64{}
	for _, m := range pdfWord.FindAllStringSubmatch(output(t, "pdftotext", "-bbox", file, "-"), -1) {
		at[unhtml.Replace(m[5])] = [2]float64{float(t, m[1]) * mmPerPt, float(t, m[3]) * mmPerPt}
	}
	for _, w := range []string{"Left", "91", "90–92", "leftword", "31°"} {
		if b, ok := at[w]; !ok || b[1] > 74 {
			t.Errorf("%q is at %v, want left of the middle", w, b)
		}
	}
	for _, w := range []string{"Right", "71", "70–72", "rightword", "61°"} {
		if b, ok := at[w]; !ok || b[0] < 74 {
			t.Errorf("%q is at %v, want right of the middle", w, b)
		}
	}
}

// Greyscale print equals colour print (WCAG 1.4.1 idea): no pixel has a hue.
// Ink is spent on what is read: less than 12 % of the sheet is dark.
func TestRenderedCardIsGreyAndLight(t *testing.T) {
	need(t, "pdftoppm")
	dir := t.TempDir()
	for name, c := range fixtures() {
		img := render(t, dir, name, c, 80)
		dark, all := 0, 0
		b := img.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				r, g, bl, _ := img.At(x, y).RGBA()
				if r != g || g != bl {
					t.Fatalf("%s: colour at %d,%d", name, x, y)
				}
				all++
				if r < 0x8000 {
					dark++
				}
			}
		}
		share := float64(dark) / float64(all)
		if share > 0.12 || share < 0.02 {
			t.Errorf("%s: %.1f %% of the sheet is dark", name, 100*share)
		}
		t.Logf("%s: %.1f %% of the sheet is dark", name, 100*share)
	}
}

// Nothing is printed within 8 mm of an edge, 15 mm at the bottom, or in the
// punch-hole zone, measured on the rendered page (accents on capitals reach
// above what a font's metrics say).
func TestRenderedMargins(t *testing.T) {
	need(t, "pdftoppm")
	const dpi = 100
	dir := t.TempDir()
	for i, name := range []string{"Žydrūnė", "Ốc Ễn Ằng", "Maximilian-Alexander-Konstantin-Ferdina", "Ärla", "Նյ", "Joy", "ÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅ ÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅÅ"} {
		c := walter()
		c.FirstName = name
		img := render(t, dir, strconv.Itoa(i), c, dpi)
		b := img.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				if r, _, _, _ := img.At(x, y).RGBA(); r > 0xc000 {
					continue
				}
				mx, my := (float64(x)+0.5)*25.4/dpi, (float64(y)+0.5)*25.4/dpi
				if mx < 8 || mx > 140 || my < 8 || my > 195 || mx < 20 && my < 20 {
					t.Fatalf("%s: ink at %.1f, %.1f mm", name, mx, my)
				}
			}
		}
	}
}

func render(t *testing.T, dir, name string, c card.Content, dpi int) image.Image {
	t.Helper()
	file := filepath.Join(dir, name+".pdf")
	writeCard(t, file, c)
	output(t, "pdftoppm", "-r", strconv.Itoa(dpi), "-png", "-singlefile", file, filepath.Join(dir, name))
	f, err := os.Open(filepath.Join(dir, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// The QR code, read from the rendered page by an independent reader, holds the
// opaque id and nothing else.
func TestQRHoldsOnlyTheID(t *testing.T) {
	need(t, "pdftoppm", "zbarimg")
	dir := t.TempDir()
	for name, c := range fixtures() {
		if name == "ben" {
			c.Trace.CardID = strings.Repeat("Az-9_xyz", 4) // the longest id
		}
		render(t, dir, name, c, 200)
		got := strings.TrimSpace(output(t, "zbarimg", "--quiet", "--raw", filepath.Join(dir, name+".png")))
		if got != c.Trace.CardID {
			t.Errorf("%s: QR holds %q, want %q", name, got, c.Trace.CardID)
		}
	}
}

func TestSameContentSameBytes(t *testing.T) {
	for name, c := range fixtures() {
		c.FirstName = "Nguyễn" // brings the second font in
		var first []byte
		for i := range 10 {
			var b bytes.Buffer
			if err := card.PDF(&b, c); err != nil {
				t.Fatal(err)
			}
			if i == 0 {
				first = b.Bytes()
			} else if !bytes.Equal(first, b.Bytes()) {
				t.Fatalf("%s: run %d differs", name, i)
			}
		}
		if !bytes.Contains(first, []byte("D:20250114074200")) {
			t.Errorf("%s: creation date is not the time the card was made", name)
		}
	}
}

// Held students: the words are the largest on the card, and what is needed and
// from whom stands before everything else.
func TestHold(t *testing.T) {
	for kind, want := range map[card.HoldKind]string{card.NoSkiing: "No skiing today", card.NoStanding: "No standing today"} {
		c := oskar()
		c.Hold.Kind = kind
		d, err := card.Draw(c)
		if err != nil {
			t.Fatal(err)
		}
		found, needAt, cautionAt := false, -1, -1
		for i, op := range d.Ops {
			x, ok := op.(picture.Text)
			if !ok {
				continue
			}
			if x.S == want && x.Size >= 24 {
				found = true
			}
			if strings.Contains(x.S, "surgeon") {
				needAt = i
			}
			if x.S == "Cautions" {
				cautionAt = i
			}
		}
		if !found || needAt < 0 || needAt > cautionAt {
			t.Errorf("%s: said large %v, need at op %d, cautions at op %d", want, found, needAt, cautionAt)
		}
		var text bytes.Buffer
		if err := card.Text(&text, c); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(text.String(), want) || !strings.Contains(squeeze(text.String()), "From:orthopaedicsurgeon") {
			t.Errorf("terminal card does not say %q and from whom:\n%s", want, text.String())
		}
	}
}

func TestText(t *testing.T) {
	all, _ := contents(t)
	for i, c := range all {
		var b bytes.Buffer
		if err := card.Text(&b, c); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if n := utf8.RuneCountInString(line); n > 80 {
				t.Errorf("card %d: %d characters: %s", i, n, line)
			}
		}
		got := pageOf(b.String())
		for _, s := range append(said(c), mayMove(c)...) {
			if w := got.lacks(s); w != "" {
				t.Errorf("card %d: word %q of %q is not there", i, w, s)
			}
		}
	}
}

// A name in a script no embedded font has: paper shows the lesson code and
// says where the name is; the terminal shows the name.
func TestNameInAnotherScript(t *testing.T) {
	c := mila()
	c.FirstName, c.Goal = "美咲", "ski with 美咲 and friends"
	d, _ := card.Draw(c)
	report, err := card.Fit(c)
	if err != nil || !report.NameInRecord {
		t.Fatalf("report %+v, error %v", report, err)
	}
	var all strings.Builder
	for _, op := range d.Ops {
		if x, ok := op.(picture.Text); ok {
			all.WriteString(x.S + "\n")
			if x.Class == "name" && x.S != c.LessonCode {
				t.Errorf("printed name is %q, want the lesson code", x.S)
			}
		}
	}
	if !strings.Contains(all.String(), "Name: see record") || !strings.Contains(all.String(), "[see") || strings.Contains(all.String(), "美") {
		t.Errorf("card says:\n%s", all.String())
	}
	var text bytes.Buffer
	if err := card.Text(&text, c); err != nil || !strings.Contains(text.String(), "美咲") {
		t.Errorf("terminal card: %v\n%s", err, text.String())
	}
	for _, n := range names { // the promised scripts are never replaced
		c.FirstName = n
		if report, err := card.Fit(c); err != nil || report.NameInRecord {
			t.Errorf("%s: report %+v, error %v", n, report, err)
		}
	}
	// decomposed accents are composed, not lost
	c.FirstName = norm.NFD.String("Nguyễn")
	if report, err := card.Fit(c); err != nil || report.NameInRecord {
		t.Errorf("decomposed name: report %+v, error %v", report, err)
	}
}

// conditions are names of conditions and their usual abbreviations as a
// handwritten note might hold them (the trade's intake sheet, section A2 of
// the domain notes, and abbreviations from memory). None may reach a card.
var conditions = []string{
	"Down syndrome", "spina bifida", "cerebral palsy", "CP", "spastic diplegia", "MS", "multiple sclerosis", "stroke", "hemiplegia",
	"traumatic brain injury", "TBI", "spinal cord injury", "autonomic dysreflexia", "muscular dystrophy", "Duchenne", "amputation", "amputee",
	"osteoporosis", "osteogenesis imperfecta", "epilepsy", "blindness", "diabetes", "asthma", "autism", "ataxia", "hydrocephalus",
	"G80.1", "quadriparesis", "arthritis", "Parkinson's",
}

func TestConditionsNeverReachACard(t *testing.T) {
	g := newGen(9)
	for i := range 200 {
		c := g.content(i)
		word := conditions[i%len(conditions)]
		note := "has " + word + ", " + g.phrase(20)
		c.Goal = note
		c.Handover = append(g.lines(3, 40, true), card.Line{Label: "Changed", Text: note})
		d, err := card.Draw(c)
		if err != nil {
			t.Fatalf("a note with %q must not cost the card: %v", word, err)
		}
		var text bytes.Buffer
		if err := card.Text(&text, c); err != nil {
			t.Fatal(err)
		}
		shown := text.String()
		for _, op := range d.Ops {
			if x, ok := op.(picture.Text); ok {
				shown += x.S + "\n"
			}
		}
		for _, bad := range conditions {
			if regexp.MustCompile(`\b` + regexp.QuoteMeta(bad) + `\b`).MatchString(shown) {
				t.Errorf("card %d shows %q", i, bad)
			}
		}
		if !strings.Contains(text.String(), "see record") {
			t.Errorf("card %d does not say that something is in the record", i)
		}
		// where the programme itself chose the words, they are refused
		c = g.content(i)
		c.Cautions = []card.Line{{Label: "Watch", Text: note}}
		var e *card.Error
		if _, err := card.Draw(c); !errors.As(err, &e) || e.Code != "diagnosis" || strings.Contains(e.Sentence, word) {
			t.Errorf("caution with %q: %v", word, err)
		}
	}
	for _, fine := range []string{"handle 94 cm, wide grip", "call patrol at the first sign of a seizure", "Ms Berg, radio 4", "blue run, 8–12 %",
		"check sugar before the lift", "cues from the left", "left leg is the outside one", "K21 three times", "upright soft boot"} {
		if w := card.DiagnosisIn(fine); w != "" {
			t.Errorf("%q is taken for the condition %q", fine, w)
		}
	}
}

func TestValidate(t *testing.T) {
	long := strings.Repeat("x", 101)
	for name, bad := range map[string]struct {
		change func(*card.Content)
		code   string
	}{
		"no name":            {func(c *card.Content) { c.FirstName = " " }, "missing"},
		"long name":          {func(c *card.Content) { c.FirstName = strings.Repeat("é", 41) }, "too_long"},
		"name on two lines":  {func(c *card.Content) { c.FirstName = "Mila\nRed" }, "not_one_line"},
		"name turned round":  {func(c *card.Content) { c.FirstName = "Mila\u202e" }, "not_one_line"},
		"bad bytes":          {func(c *card.Content) { c.Goal = "a\xff" }, "not_one_line"},
		"no lesson code":     {func(c *card.Content) { c.LessonCode = "" }, "missing"},
		"no day":             {func(c *card.Content) { c.Day = time.Time{} }, "missing"},
		"no way":             {func(c *card.Content) { c.SetUp.Way = "" }, "missing"},
		"no contacts":        {func(c *card.Content) { c.Contacts = nil }, "missing"},
		"ten cautions":       {func(c *card.Content) { c.Cautions = make([]card.Line, 10) }, "too_many"},
		"ten handover lines": {func(c *card.Content) { c.Handover = make([]card.Line, 10) }, "too_many"},
		"long caution":       {func(c *card.Content) { c.Cautions[0].Text = long }, "too_long"},
		"empty caution":      {func(c *card.Content) { c.Cautions[0].Text = "" }, "missing"},
		"blank side":         {func(c *card.Content) { c.SetUp.Sided[0].Right = card.Value{} }, "missing"},
		"two values":         {func(c *card.Content) { c.SetUp.Sided[0].Right = card.Value{Number: "1", Words: "none"} }, "not_one_value"},
		"unit alone":         {func(c *card.Content) { c.SetUp.Sided[0].Right = card.Value{Unit: "cm"} }, "not_one_value"},
		"bare decimal":       {func(c *card.Content) { c.SetUp.Sided[0].Left = num(".5", "cm", "", "") }, "bad_number"},
		"comma":              {func(c *card.Content) { c.SetUp.Sided[0].Left = num("0,5", "cm", "", "") }, "bad_number"},
		"not a number":       {func(c *card.Content) { c.SetUp.Sided[0].Left = num("NaN", "cm", "", "") }, "bad_number"},
		"leading zero":       {func(c *card.Content) { c.SetUp.Sided[0].Left = num("07", "cm", "", "") }, "bad_number"},
		"outside its range":  {func(c *card.Content) { c.SetUp.Sided[0].Left = num("98", "cm", "91", "97") }, "outside_range"},
		"half a range":       {func(c *card.Content) { c.SetUp.Sided[0].Left = num("94", "cm", "91", "") }, "bad_range"},
		"range upside down":  {func(c *card.Content) { c.SetUp.Sided[0].Left = num("94", "cm", "97", "91") }, "bad_range"},
		"range of words":     {func(c *card.Content) { c.SetUp.Sided[0].Left = card.Value{Words: "out", Low: "1", High: "2"} }, "bad_range"},
		"hold without need":  {func(c *card.Content) { c.Hold = &card.Hold{Instead: "meet"} }, "missing"},
		"hold without plan":  {func(c *card.Content) { c.Hold = &card.Hold{Needed: []card.Need{{What: "word", From: "surgeon"}}} }, "missing"},
		"need from nobody":   {func(c *card.Content) { c.Hold = &card.Hold{Instead: "meet", Needed: []card.Need{{What: "word"}}} }, "missing"},
		"id with a name":     {func(c *card.Content) { c.Trace.CardID = "Mila Berg 9" }, "bad_id"},
		"no time made":       {func(c *card.Content) { c.Trace.MadeAt = time.Time{} }, "missing"},
		"no input code":      {func(c *card.Content) { c.Trace.InputCode = "" }, "missing"},
	} {
		for way, write := range map[string]func(io.Writer, card.Content) error{"pdf": card.PDF, "svg": card.SVG, "text": card.Text} {
			c := walter()
			bad.change(&c)
			var b bytes.Buffer
			var e *card.Error
			if err := write(&b, c); !errors.As(err, &e) || e.Code != bad.code || e.Field == "" || !strings.HasSuffix(e.Sentence, ".") {
				t.Errorf("%s, %s: got %v, want code %s", name, way, err, bad.code)
			}
			if b.Len() > 0 {
				t.Errorf("%s, %s: %d bytes written", name, way, b.Len())
			}
		}
	}
}

// FuzzCard: whatever the texts, a card is either refused with an *Error or
// comes out.
func FuzzCard(f *testing.F) {
	f.Add("Mila", "go slow", "94", "cm", "91", "97", uint8(3))
	f.Add("Nguyễn", strings.Repeat("w", 100), "", "°", "", "", uint8(200))
	f.Add("\u0301\u200d", "a\u00a0b", "0.5", "%", "0", "1", uint8(9))
	f.Fuzz(func(t *testing.T, name, text, number, unit, low, high string, n uint8) {
		c := walter()
		c.FirstName, c.Goal, c.StopWord = name, text, text
		c.SetUp.Sided[0].Left = card.Value{Number: number, Unit: unit, Low: low, High: high}
		c.Plan.Block = card.Value{Measure: text, Unit: unit}
		for range n % 8 {
			c.Handover = append(c.Handover, card.Line{Label: name, Text: text, Second: n%2 == 0})
		}
		var pdf, out bytes.Buffer
		var e *card.Error
		if err := card.PDF(&pdf, c); err != nil && !errors.As(err, &e) {
			t.Fatalf("not an *Error: %v", err)
		}
		if err := card.Text(&out, c); err != nil && !errors.As(err, &e) {
			t.Fatalf("not an *Error: %v", err)
		}
	})
}

func BenchmarkPDF(b *testing.B) {
	c := walter()
	for b.Loop() {
		if err := card.PDF(io.Discard, c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLayout(b *testing.B) {
	c := walter()
	for b.Loop() {
		if _, err := card.Draw(c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkText(b *testing.B) {
	c := walter()
	for b.Loop() {
		if err := card.Text(io.Discard, c); err != nil {
			b.Fatal(err)
		}
	}
}
