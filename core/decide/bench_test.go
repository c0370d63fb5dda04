package decide

import (
	"math/rand/v2"
	"testing"

	"firnhand/core/finding"
)

// benchPeople are a typical person, the same with half of what is known
// forgotten, and nobody known at all.
func benchPeople(b *testing.B) map[string]Input {
	typical := student(b, mila)
	half := Input{Findings: finding.Set{}}
	r := rand.New(rand.NewPCG(*seedFlag, 0))
	for _, k := range typical.Findings.Keys() {
		if r.IntN(2) == 0 {
			half.Findings[k] = typical.Findings[k]
		}
	}
	return map[string]Input{"typical": typical, "half_unknown": half, "nothing_known": {Findings: finding.Set{}}}
}

func BenchmarkDecide(b *testing.B) {
	table := Standing()
	for name, in := range benchPeople(b) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				table.Decide(in)
			}
		})
	}
}

// BenchmarkArgue is the whole: decision, why, smallest change, next test. The
// target is 2 ms per student on one core.
func BenchmarkArgue(b *testing.B) {
	table := Standing()
	people := benchPeople(b)
	for _, c := range visibleCases {
		people[c.name[:3]] = student(b, c.person)
	}
	for name, in := range people {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				table.Argue(in)
			}
		})
	}
	b.Run("random_people", func(b *testing.B) {
		draw := drawer{plainRead(StandingText(), nil)}
		var ins []Input
		for n := range 200 {
			ins = append(ins, draw.person(n))
		}
		n := 0
		for b.Loop() {
			table.Argue(ins[n%len(ins)])
			n++
		}
	})
}

// BenchmarkParse reads and checks the standing table.
func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := Parse(StandingText()); err != nil {
			b.Fatal(err)
		}
	}
}
