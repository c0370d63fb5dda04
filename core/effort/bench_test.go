package effort_test

import (
	"testing"

	"firnhand/core/effort"
)

func BenchmarkWalk(b *testing.B) {
	for b.Loop() {
		if _, err := effort.Walk(0.8, 8); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPublished(b *testing.B) {
	for b.Loop() {
		if len(effort.Published()) == 0 {
			b.Fatal("none")
		}
	}
}

func BenchmarkSpendDay(b *testing.B) {
	r, _, err := effort.Activity("19150")
	if err != nil {
		b.Fatal(err)
	}
	bouts := make([]effort.Bout, 40)
	for i := range bouts {
		bouts[i] = effort.Bout{What: "slide", Time: 180, Rate: r.Power(60)}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := effort.Spend(bouts, effort.Murrell()); err != nil {
			b.Fatal(err)
		}
	}
}
