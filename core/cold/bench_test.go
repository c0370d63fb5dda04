package cold_test

import (
	"testing"

	"firnhand/core/cold"
	"firnhand/core/quantity"
)

func BenchmarkOf(b *testing.B) {
	wind := quantity.Must(quantity.KilometresPerHour(30))
	for b.Loop() {
		if _, err := cold.Of(cold.InCelsius, -20, wind); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLook(b *testing.B) {
	wind := quantity.Must(quantity.KilometresPerHour(30))
	b.ReportAllocs()
	for b.Loop() {
		f, err := cold.Freeze(-20, wind)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := cold.Look(f, cold.Missing, limits); err != nil {
			b.Fatal(err)
		}
	}
}
