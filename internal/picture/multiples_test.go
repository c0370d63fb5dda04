package picture_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"firnhand/internal/paper"
	"firnhand/internal/picture"
)

// lines counts the thin strokes of a drawing that lean, which join two lessons,
// or all that are level, which are the scale.
func strokes(d picture.Drawing, line float64) (level, leaning int) {
	for _, op := range d.Ops {
		p, ok := op.(picture.Path)
		if !ok || p.Line != line || len(p.Outline) != 2 {
			continue
		}
		if p.Outline[0].To.Y == p.Outline[1].To.Y {
			level++
		} else {
			leaning++
		}
	}
	return level, leaning
}

// One panel for each skill on the same scale, left and right told apart, in the
// box; a lesson without the skill is a gap that no line crosses, and under five
// points there is no line at all.
func TestMultiples(t *testing.T) {
	m := picture.Multiples{Title: "A season", Lessons: 7, Panels: []picture.Panel{
		{Name: "K25 uphill turn", Lines: []picture.PanelLine{
			{Label: "left", Level: []int{6, 5, 4, -1, 3, 2, 0}, Missed: make([]bool, 7)},
			{Label: "right", Level: []int{7, -1, -1, 6, -1, 5, -1}, Missed: []bool{false, true, false, false, false, false, false}}}},
		{Name: "K15 straight slide", Lines: []picture.PanelLine{{Level: []int{5, 4, -1, -1, -1, -1, -1}}}}}}
	d := m.Draw(180)
	inBox(t, d, 9)
	words := wordsOf(d)
	for _, want := range []string{"K25 uphill turn", "left 0", "right 5, few", "4, few"} {
		if !slices.Contains(words, want) {
			t.Errorf("%q is not in %q", want, words)
		}
	}
	for _, want := range []string{"left 6 (lesson 1) 5 (lesson 2) 4 (lesson 3) 3 (lesson 5) 2 (lesson 6) 0 (lesson 7)", "right 7 (lesson 1) 6 (lesson 4) 5 (lesson 6)"} {
		if !strings.Contains(d.Desc, want) {
			t.Errorf("not told to those who do not see: %q in %q", want, d.Desc)
		}
	}
	// Four lines to the left (6-5, 5-4, 3-2, 2-0), none across the gap, none of
	// the three points to the right; and the cross of a lesson never clean.
	if _, leaning := strokes(d, 0.3); leaning != 4+2 {
		t.Errorf("%d strokes that lean", leaning)
	}
	// The scale is that of the levels: the same in every panel.
	apart := m.Apart()
	if len(apart) != 2 {
		t.Fatalf("%d panels apart", len(apart))
	}
	for _, one := range apart {
		inBox(t, one, 9)
		if level, _ := strokes(one, 0.2); level != 8 { // 0 to 7
			t.Errorf("%s: %d lines of the scale", one.Title, level)
		}
		for _, op := range one.Ops {
			if text, ok := op.(picture.Text); ok && text.X+paper.Width(text.S, text.Size, text.Bold) > one.Width {
				t.Errorf("%q runs out of its panel", text.S)
			}
		}
	}
}

// Many lessons and many skills: what has no room is left out, the rest stays in
// its box.
func TestMultiplesMany(t *testing.T) {
	m := picture.Multiples{Title: "Long", Lessons: 40}
	for i := range picture.PanelsMost + 5 {
		l := picture.PanelLine{Label: "left", Level: make([]int, 40)}
		for n := range l.Level {
			l.Level[n] = (n + i) % 8
		}
		m.Panels = append(m.Panels, picture.Panel{Name: fmt.Sprint("K", i), Lines: []picture.PanelLine{l, {Label: "right", Level: slices.Clone(l.Level)}}})
	}
	for _, width := range []float64{60, 120, 180} {
		inBox(t, m.Draw(width), 9)
	}
	if n := len(m.Apart()); n != picture.PanelsMost {
		t.Errorf("%d panels", n)
	}
	if d := (picture.Multiples{Title: "Empty"}).Draw(180); d.Height != 0 || len(d.Ops) != 0 {
		t.Error("something is drawn of nothing")
	}
}
