package cli

import (
	"math"
	"testing"

	"firnhand/core/quantity"
)

func TestSpanned(t *testing.T) {
	for text, want := range map[string][3]float64{
		"2": {2, 2, 2}, "2..3": {2.5, 2, 3}, "2.4,2..3": {2.4, 2, 3}, "-20..-15": {-17.5, -20, -15}, "5,6,7": {6, 5, 7}, " 1 , 2 ": {1.5, 1, 2}, "3..3": {3, 3, 3},
	} {
		r, err := spanned[quantity.Metre]("x", text)
		if err != nil || math.Abs(float64(r.Value())-want[0]) > 1e-12 || float64(r.Low()) != want[1] || float64(r.High()) != want[2] {
			t.Errorf("%q: %v %v, want %v", text, r, err, want)
		}
	}
	for _, text := range []string{"", "a", "3..2", "1..", "..2", "1,2..3..4", "1,2,3..4", "1..2,3", "NaN", "Inf", "1e999", "4,2..3"} {
		if r, err := spanned[quantity.Metre]("x", text); err == nil {
			t.Errorf("%q was taken as %v", text, r)
		}
	}
}
