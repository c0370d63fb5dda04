// Package timeline turns the plan of a lesson into its drawing: blocks along
// the minutes, with effort and the time since the last look running along, for
// page, card and phone alike.
package timeline

import (
	"fmt"
	"strings"

	"firnhand/core/lesson"
	"firnhand/internal/picture"
)

// Of returns the drawing of a plan; it is empty where there is none.
func Of(r *lesson.Result) picture.Timeline {
	t := picture.Timeline{Minutes: float64(r.Given), HardUntil: float64(r.HardUntil)}
	if len(r.Blocks) == 0 {
		return t
	}
	t.Minutes = max(float64(r.Minutes+r.RestAfter), min(t.Minutes, float64(r.Minutes)+free))
	for _, b := range r.Blocks {
		x := picture.TimeBlock{From: float64(b.Start), To: float64(b.Start + b.Minutes), Short: b.Short(), Lines: []string{b.Title()},
			Rest: b.Role == lesson.Rest, Strong: b.Role == lesson.New}
		if !x.Rest {
			ground := strings.ReplaceAll(b.Terrain.ID, "_", " ")
			x.One = fmt.Sprintf("%s; help %d; %s", b.Title(), b.Help, ground)
			x.Lines = append(x.Lines, b.HelpWords()+"; "+ground)
			more := b.Role.Words()
			if after := b.AfterWords(); after != "" {
				more += ", " + after
			}
			x.Lines = append(x.Lines, more)
		}
		t.Blocks = append(t.Blocks, x)
	}
	for _, m := range r.Looks {
		t.Looks = append(t.Looks, float64(m))
	}
	if a, ok := effort(r); ok {
		t.Along = append(t.Along, a)
	}
	if a, ok := looks(r); ok {
		t.Along = append(t.Along, a)
	}
	return t
}

// free is the most minutes drawn after the end; the plan says how many there
// are.
const free = 10

// effort is the energy so far against what there is.
func effort(r *lesson.Result) (picture.Along, bool) {
	if r.Kcal == nil {
		return picture.Along{}, false
	}
	a := picture.Along{Name: "effort", Unit: "kcal", Minute: []float64{0}, Value: []float64{0}}
	sum := 0.0
	for _, b := range r.Blocks {
		sum += b.Kcal
		a.Minute, a.Value = append(a.Minute, float64(b.Start+b.Minutes)), append(a.Value, sum)
	}
	if r.KcalMost != nil {
		a.Most = *r.KcalMost
	}
	return a, true
}

// looks is the time since the last look against the most there may be.
func looks(r *lesson.Result) (picture.Along, bool) {
	if r.LookMost == nil {
		return picture.Along{}, false
	}
	a := picture.Along{Name: "since look", Unit: "min", Most: max(*r.LookFirst, *r.LookMost), Minute: []float64{0}, Value: []float64{0}}
	last := 0.0
	for _, m := range r.Looks {
		at := float64(m)
		a.Minute, a.Value = append(a.Minute, at, at), append(a.Value, at-last, 0)
		last = at
	}
	return a, true
}
