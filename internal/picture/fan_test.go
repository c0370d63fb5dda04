package picture_test

import (
	"slices"
	"strings"
	"testing"

	"firnhand/internal/picture"
)

// The hill below the fan: lines of height, and the edges where they lie within
// the drawing; the tracks stay as they were.
func TestFanOnAHill(t *testing.T) {
	bare := inventedFan().Draw(160, 110)
	f := inventedFan()
	f.Wide, f.PerMetre = 12, 8
	d := f.Draw(160, 110)
	inBox(t, d, 11)
	grey, edges := 0, 0
	for _, op := range d.Ops {
		p, ok := op.(picture.Path)
		switch {
		case ok && p.Stroke == picture.Band:
			grey++
		case ok && p.Line == 0.9 && p.Outline[0].To.X == p.Outline[1].To.X:
			edges++
		}
	}
	if grey < 3 || edges != 0 || !strings.Contains(d.Desc, "0.2 m of height lower") || !strings.Contains(d.Desc, "12 m wide") {
		t.Errorf("%d lines of height, %d edges: %s", grey, edges, d.Desc)
	}
	if len(d.Ops) != len(bare.Ops)+grey+1 { // the lines and their words
		t.Errorf("%d things more", len(d.Ops)-len(bare.Ops))
	}
	f.Wide = 6
	edges = 0
	for _, op := range f.Draw(160, 110).Ops {
		if p, ok := op.(picture.Path); ok && p.Line == 0.9 && p.Outline[0].To.X == p.Outline[1].To.X {
			edges++
		}
	}
	if edges != 2 {
		t.Errorf("%d edges of a slope of 6 m", edges)
	}
	f.Wide = 500 // beyond the drawing: told, not drawn
	if d := f.Draw(160, 110); !strings.Contains(d.Desc, "500 m wide") {
		t.Error(d.Desc)
	}
	f.PerMetre = 0.5 // steep: a line each few metres
	d = f.Draw(160, 110)
	inBox(t, d, 11)
	if strings.Contains(d.Desc, "is 1 m of height") || !strings.Contains(d.Desc, "m of height lower") {
		t.Error(d.Desc)
	}
}

// The ground after a run: what is there and what a stop needs, also where that
// is far more.
func TestProfileRunOut(t *testing.T) {
	for _, c := range []struct {
		r    picture.HillRunOut
		want []string
	}{
		{picture.HillRunOut{Length: 60, Grade: -0.03, Need: 45}, []string{"run-out 60 m", "9 of 10 stop within 45 m"}},
		{picture.HillRunOut{Length: 20, Grade: 0, Need: 900}, []string{"run-out 20 m", "9 of 10 stop within 900 m"}},
		{picture.HillRunOut{Length: 0, Grade: 0.05, Need: 5.2}, []string{"run-out 0 m", "9 of 10 stop within 6 m"}},
		{picture.HillRunOut{Length: 60}, []string{"run-out 60 m"}},
	} {
		h := inventedHill()
		h.RunOut, h.Start = &c.r, 100
		for _, size := range [][2]float64{{160, 80}, {92, 62}} {
			d := h.Draw(size[0], size[1])
			inBox(t, d, 11)
			for _, w := range append(c.want, "start") {
				if !slices.Contains(wordsOf(d), w) {
					t.Errorf("%+v lacks %q: %q", c.r, w, wordsOf(d))
				}
			}
			if !strings.Contains(d.Desc, "m are free") || c.r.Need == 0 && strings.Contains(d.Desc, "Nine of ten") {
				t.Error(d.Desc)
			}
		}
	}
}
