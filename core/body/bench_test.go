package body_test

import (
	"testing"

	"firnhand/core/body"
)

func BenchmarkNew(b *testing.B) {
	p := middle()
	for b.Loop() {
		made(b, p)
	}
}

func BenchmarkPose(b *testing.B) {
	one, pose, gear := made(b, middle()), bent(), body.UsualGear(body.Both(true))
	for b.Loop() {
		posed(b, one, pose, gear)
	}
}

func BenchmarkPlace(b *testing.B) {
	one, pose, gear := made(b, middle()), bent(), body.UsualGear(body.Both(true))
	for b.Loop() {
		if _, err := one.Place(pose, gear); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkElbowOfPopulation(b *testing.B) {
	for b.Loop() {
		if _, err := body.ElbowOfPopulation(body.Female, body.AtTrochanter, 0.1, 0.1); err != nil {
			b.Fatal(err)
		}
	}
}
