package main

import (
	"math"
	"testing"
)

// TestQuantile: nearest rank, as in the worked example of ordinal ranks that
// statistics books give (15, 20, 35, 40, 50: the 40th percentile is 20).
func TestQuantile(t *testing.T) {
	five := []float64{15, 20, 35, 40, 50}
	for q, want := range map[float64]float64{0.05: 15, 0.30: 20, 0.40: 20, 0.50: 35, 1.00: 50} {
		if got := quantile(five, q); got != want {
			t.Errorf("%g: %g, want %g", q, got, want)
		}
	}
	if quantile(nil, 0.95) != 0 {
		t.Error("nothing has a quantile")
	}
}

// TestSlope: a straight line has its own slope, whatever the spread around it.
func TestSlope(t *testing.T) {
	var s []sample
	for i := range 100 {
		h := float64(i) / 50
		s = append(s, sample{Hours: h, Heap: 3e6 + 2.5e6*h + float64(i%2*2-1)})
	}
	if got := slope(s, func(s sample) float64 { return s.Heap }); math.Abs(got-2.5e6) > 10 {
		t.Errorf("%g", got)
	}
	if slope(nil, func(sample) float64 { return 1 }) != 0 || slope(s[:1], func(sample) float64 { return 1 }) != 0 {
		t.Error("one sample has no slope")
	}
}
