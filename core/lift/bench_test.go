package lift_test

import (
	"math/rand/v2"
	"testing"

	"firnhand/core/lift"
)

func BenchmarkBetween(b *testing.B) {
	l, s, c, reserve := randomReach(rand.New(rand.NewPCG(1, 1)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := lift.Between(l, s, c, reserve); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAsking(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := lift.Asking(settled(), nil); err != nil {
			b.Fatal(err)
		}
	}
}
