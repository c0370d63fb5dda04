package picture_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"firnhand/internal/picture"
)

// The drawings of a slope are the house's own; what they must show is checked
// here, how they look is looked at (docs/pictures).

func inventedHill() picture.HillProfile {
	var h picture.HillProfile
	for x := 0.0; x <= 300; x += 5 {
		h.Distance = append(h.Distance, x)
		h.Height = append(h.Height, 1500-0.08*x-6/(1+math.Exp(-(x-150)/15)))
	}
	h.Marks = []picture.HillMark{{From: 140, To: 160, Label: "steepest 20 m: 17.0 %"}, {From: 125, To: 175, Label: "steepest 50 m: 15.0 %"}}
	return h
}

func inventedFan() picture.Fan {
	var f picture.Fan
	for _, left := range []bool{true, false} {
		s := -1.0
		if left {
			s = 1
		}
		f.Runs = append(f.Runs, picture.FanTrack{Left: left, Step: "15°"},
			picture.FanTrack{Left: left, Step: "45°", Note: "4 km/h", Track: [][2]float64{{0, 0}, {2, 2 * s}, {2.5, 3.5 * s}}, Now: left},
			picture.FanTrack{Left: left, Step: "90°", Note: "8 km/h", Track: [][2]float64{{0, 0}, {6, 0}, {8, 4 * s}}})
	}
	return f
}

// inBox checks that nothing is drawn outside the page, and that no text is
// smaller than a card allows.
func inBox(t *testing.T, d picture.Drawing, least float64) {
	t.Helper()
	l, top, r, bottom := d.Bounds()
	if l < 0 || top < 0 || r > d.Width || bottom > d.Height {
		t.Errorf("%s: %v %v %v %v lies outside %v x %v", d.Title, l, top, r, bottom, d.Width, d.Height)
	}
	for _, op := range d.Ops {
		if text, ok := op.(picture.Text); ok {
			if text.Size < least || text.X < 0 || text.X > d.Width || text.Y < 0 || text.Y > d.Height {
				t.Errorf("%s: %+v", d.Title, text)
			}
		}
	}
}

func wordsOf(d picture.Drawing) []string {
	var out []string
	for _, op := range d.Ops {
		if text, ok := op.(picture.Text); ok {
			out = append(out, text.S)
		}
	}
	return out
}

func TestHillProfile(t *testing.T) {
	h := inventedHill()
	for _, size := range [][2]float64{{160, 80}, {90, 60}, {300, 120}} {
		inBox(t, h.Draw(size[0], size[1]), 11)
	}
	d := h.Draw(160, 80)
	for _, want := range []string{"steepest 20 m: 17.0 %", "height, m", "100", "1490"} {
		if !slices.Contains(wordsOf(d), want) {
			t.Errorf("lacks %q: %q", want, wordsOf(d))
		}
	}
	// Heights never more than five times as large as distances, and it says so.
	if !strings.Contains(d.Desc, "times as large as distances") || strings.Contains(d.Desc, "NaN") {
		t.Error(d.Desc)
	}
	flat := picture.HillProfile{Distance: []float64{0, 100}, Height: []float64{5, 5}}
	inBox(t, flat.Draw(160, 80), 11)
	for _, bad := range []picture.HillProfile{{}, {Distance: []float64{0}, Height: []float64{1}}, {Distance: []float64{0, 1}, Height: []float64{1}}} {
		if d := bad.Draw(100, 60); len(d.Ops) != 0 {
			t.Error("a run without places draws nothing")
		}
	}
	far := inventedHill()
	far.Marks = []picture.HillMark{{From: 280, To: 300, Label: "end"}, {From: 900, To: 950, Label: "beyond"}, {From: 0, To: 20, Label: "top"}}
	inBox(t, far.Draw(160, 80), 11)
}

func TestSpeedBand(t *testing.T) {
	b := picture.SpeedBand{Distance: []float64{0, 50, 100}, Low: []float64{0, 10, 12}, Middle: []float64{0, 14, 13}, High: []float64{0, 18, 14}}
	d := b.Draw(160, 80)
	inBox(t, d, 11)
	for _, want := range []string{"half 13", "9 of 10 14", "1 of 10 12", "km/h"} {
		if !slices.Contains(wordsOf(d), want) {
			t.Errorf("lacks %q: %q", want, wordsOf(d))
		}
	}
	bands := 0
	for _, op := range d.Ops {
		if p, ok := op.(picture.Path); ok && p.Fill == picture.Band {
			bands++
		}
	}
	if bands != 1 {
		t.Errorf("%d bands", bands)
	}
	// Labels that would meet are pushed apart.
	var ys []float64
	for _, op := range d.Ops {
		if text, ok := op.(picture.Text); ok && strings.Contains(text.S, "1") && text.Anchor == picture.Start {
			ys = append(ys, text.Y)
		}
	}
	for i := 1; i < len(ys); i++ {
		if ys[i]-ys[i-1] < 4 {
			t.Errorf("labels %v", ys)
		}
	}
	b.Low = nil
	if d := b.Draw(160, 80); len(d.Ops) != 0 {
		t.Error("a band without its lines draws nothing")
	}
	still := picture.SpeedBand{Distance: []float64{0, 50}, Low: []float64{0, 0}, Middle: []float64{0, 0}, High: []float64{0, 0}}
	inBox(t, still.Draw(160, 80), 11)
}

func TestFan(t *testing.T) {
	f := inventedFan()
	d := f.Draw(160, 110)
	inBox(t, d, 11)
	for _, want := range []string{"left", "right", "downhill", "45°: 4 km/h", "no glide: 15°", "2 m"} {
		if !slices.Contains(wordsOf(d), want) {
			t.Errorf("lacks %q: %q", want, wordsOf(d))
		}
	}
	// The student's left is left, downhill is up the page; the present step is
	// the thickest line.
	thickest, line := picture.Path{}, 0.0
	for _, op := range d.Ops {
		if p, ok := op.(picture.Path); ok && p.Fill == picture.NoInk && p.Line > line && len(p.Outline) > 2 {
			thickest, line = p, p.Line
		}
	}
	end, start := thickest.Outline[len(thickest.Outline)-1].To, thickest.Outline[0].To
	if !(end.X < start.X && end.Y < start.Y) || start.X != 80 {
		t.Errorf("the run to the left goes from %+v to %+v", start, end)
	}
	// Swapped sides give the mirror image.
	swapped := inventedFan()
	for i := range swapped.Runs {
		r := &swapped.Runs[i]
		r.Left = !r.Left
		for j := range r.Track {
			r.Track[j][1] = -r.Track[j][1]
		}
	}
	lines := func(d picture.Drawing) []string {
		var out []string
		for _, op := range d.Ops {
			if p, ok := op.(picture.Path); ok {
				svg := picture.Drawing{Ops: []picture.Op{p}}
				out = append(out, svg.SVG())
			}
		}
		slices.Sort(out)
		return out
	}
	// The dashed axes run the other way and the arrow's corners turn, so only
	// the tracks are compared.
	tracks := func(d picture.Drawing) (out []string) {
		for _, s := range lines(d) {
			if !strings.Contains(s, "dasharray") && strings.Contains(s, `fill="none"`) {
				out = append(out, s)
			}
		}
		return out
	}
	a, b := tracks(d.Mirror()), tracks(swapped.Draw(160, 110))
	if len(a) < 4 {
		t.Fatal("no tracks")
	}
	same := 0
	for _, s := range b {
		if slices.Contains(a, s) {
			same++
		}
	}
	if same < len(b)-1 { // the scale bar runs the other way
		t.Errorf("%d of %d tracks are mirrored", same, len(b))
	}
	inBox(t, picture.Fan{}.Draw(160, 110), 11)
	crowded := picture.Fan{}
	for range 12 {
		crowded.Runs = append(crowded.Runs, picture.FanTrack{Left: true, Step: "15°", Track: [][2]float64{{0, 0}, {0.1, 3}}})
	}
	inBox(t, crowded.Draw(160, 110), 11)
}
