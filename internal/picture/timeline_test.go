package picture_test

import (
	"slices"
	"strings"
	"testing"

	"firnhand/internal/picture"
)

func inventedLesson() picture.Timeline {
	return picture.Timeline{Minutes: 60, HardUntil: 45, Looks: []float64{15, 20, 50},
		Blocks: []picture.TimeBlock{
			{From: 0, To: 5, Short: "K15", Lines: []string{"K15 straight slide, free", "help 3", "works"}},
			{From: 5, To: 15, Short: "K25 left", Lines: []string{"K25 uphill turn, 15-30°, to the left", "help 4, light hold", "new"}, Strong: true},
			{From: 15, To: 20, Short: "Rest", Lines: []string{"Rest"}, Rest: true},
			{From: 20, To: 50, Short: "K15", Lines: []string{"K15 straight slide, free", "help 3", "works"}},
		},
		Along: []picture.Along{
			{Name: "effort", Unit: "kcal", Minute: []float64{0, 15, 20, 50}, Value: []float64{0, 60, 65, 160}, Most: 180},
			{Name: "since look", Unit: "min", Minute: []float64{0, 15, 15, 20, 20, 50}, Value: []float64{0, 15, 0, 5, 0, 30}, Most: 30},
		}}
}

// The drawing is the house's own: what it must show is checked here, how it
// looks is looked at.
func TestTimeline(t *testing.T) {
	l := inventedLesson()
	for _, size := range [][2]float64{{160, l.HeightFor()}, {90, l.HeightFor()}, {60, 60}, {300, 200}} {
		inBox(t, l.Draw(size[0], size[1]), 11)
	}
	d := l.Draw(160, l.HeightFor())
	for _, want := range []string{"K25 uphill turn, 15-30°, to the left", "Rest", "effort", "180 kcal", "since look", "60", "15"} {
		if !slices.Contains(wordsOf(d), want) {
			t.Errorf("lacks %q: %q", want, wordsOf(d))
		}
	}
	if !strings.Contains(d.Desc, "Minute 5 to 15: K25 uphill turn") || !strings.Contains(d.Desc, "effort reaches 160 kcal, at most 180.") {
		t.Error(d.Desc)
	}
	// Where there is little room the short title stands, and what runs along is
	// left out before the blocks are.
	narrow := wordsOf(l.Draw(60, l.HeightFor()))
	if !slices.Contains(narrow, "K25 left") || slices.Contains(narrow, "effort") {
		t.Errorf("narrow: %q", narrow)
	}
	rests, strong := 0, 0
	for _, op := range d.Ops {
		if p, ok := op.(picture.Path); ok {
			if p.Fill == picture.Band {
				rests++
			}
			if p.Line == 0.8 {
				strong++
			}
		}
	}
	if rests != 1 || strong != 1 {
		t.Errorf("%d rests, %d new", rests, strong)
	}
	for _, empty := range []picture.Timeline{{}, {Minutes: 60}, {Blocks: l.Blocks}} {
		if d := empty.Draw(160, 90); len(d.Ops) != 0 {
			t.Error("no lesson draws nothing")
		}
	}
}
