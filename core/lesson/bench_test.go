package lesson

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkMake plans for invented students, one after another.
func BenchmarkMake(b *testing.B) {
	r := rand.New(rand.NewPCG(10, 9))
	var all []Request
	for len(all) < 200 {
		if q := invented(r); q.Day.Minutes >= 60 {
			all = append(all, q)
		}
	}
	i := 0
	for b.Loop() {
		if _, err := Make(all[i%len(all)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

// BenchmarkHardest plans three hours for students far up the ladder whose effort
// is budgeted: the most there is to choose from.
func BenchmarkHardest(b *testing.B) {
	r := rand.New(rand.NewPCG(10, 10))
	var all []Request
	for len(all) < 40 {
		q := invented(r)
		if q.Day.Minutes = MostMinutes; len(q.Student.Passes) > 30 && q.Student.Effort != nil && q.Student.Effort.Capacity != nil {
			all = append(all, q)
		}
	}
	i := 0
	for b.Loop() {
		if _, err := Make(all[i%len(all)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
}
