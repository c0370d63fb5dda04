package sqlite_test

import (
	"fmt"
	"path/filepath"
	"testing"

	"firnhand/internal/clock"
	"firnhand/internal/sqlite"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

func service(s *sqlite.Store, ids *programmetest.IDs) *programme.Service {
	return programme.New(programme.Config{Store: s, Clock: clock.At(programmetest.Noon), Vocabulary: anyWords{}, Random: ids})
}

func finding(ids *programmetest.IDs, i int) programme.NewFinding {
	return programme.NewFinding{Made: programme.Made{ID: ids.Next()}, Finding: programme.Finding{
		FindingKey: programme.FindingKey{Finding: fmt.Sprint("f", i%60)}, Value: fmt.Sprint(i % 5), How: "rail, ski boots"}}
}

// BenchmarkAppend is one finding, durable, as the store alone takes it. Figure
// to compare with: 0.52 ms per commit with synchronous=FULL on such a machine
// (trust.md S1).
func BenchmarkAppend(b *testing.B) {
	s, ids := open(b, filepath.Join(b.TempDir(), "records.db")), programmetest.NewIDs(10)
	facts := make([]programme.Fact, b.N)
	for i := range facts {
		facts[i] = note(ids, `{"finding":"push_out","side":"left","state":"fresh","value":"3"}`)
	}
	b.ResetTimer()
	for i := range b.N {
		if _, err := s.Append(ctx, programmetest.Noon, facts[i]); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkRecordFinding is one finding through the use case: rights, checks,
// the record of a student with 300 facts, and the durable append.
func BenchmarkRecordFinding(b *testing.B) {
	s, ids := open(b, filepath.Join(b.TempDir(), "records.db")), programmetest.NewIDs(11)
	svc := service(s, ids)
	student := fill(b, s, svc, ids, 1, 300)[0]
	b.ResetTimer()
	for i := range b.N {
		if i%100 == 99 { // keep the record at its size
			b.StopTimer()
			student = fill(b, s, svc, ids, 1, 300)[0]
			b.StartTimer()
		}
		if _, err := svc.RecordFindings(ctx, testLead, student, []programme.NewFinding{finding(ids, i)}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStudentAt loads one student of 200 facts from a store of 100,000.
func BenchmarkStudentAt(b *testing.B) {
	svc, students := full(b)
	b.ResetTimer()
	for i := range b.N {
		if _, err := svc.StudentAt(ctx, testLead, students[i%len(students)], programme.AsOf{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStudents lists 500 students from a store of 100,000 facts.
func BenchmarkStudents(b *testing.B) {
	svc, students := full(b)
	b.ResetTimer()
	for range b.N {
		got, err := svc.Students(ctx, testLead, false)
		if err != nil || len(got) != len(students) {
			b.Fatal(len(got), err)
		}
	}
}

// BenchmarkOpen opens a store of 100,000 facts (trust.md S13: start-up within
// 1 s on such a file).
func BenchmarkOpen(b *testing.B) {
	path := filepath.Join(b.TempDir(), "records.db")
	s, ids := open(b, path), programmetest.NewIDs(12)
	fill(b, s, service(s, ids), ids, 500, 200)
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	for range b.N {
		s, err := sqlite.Open(ctx, path)
		if err != nil {
			b.Fatal(err)
		}
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
}

func full(b *testing.B) (*programme.Service, []programme.ID) {
	b.Helper()
	s, ids := open(b, filepath.Join(b.TempDir(), "records.db")), programmetest.NewIDs(12)
	svc := service(s, ids)
	return svc, fill(b, s, svc, ids, 500, 200)
}

// fill adds students with so many facts each, mixed over each other in the
// order of the store.
func fill(b *testing.B, s *sqlite.Store, svc *programme.Service, ids *programmetest.IDs, students, each int) []programme.ID {
	b.Helper()
	out := make([]programme.ID, students)
	for i := range out {
		out[i] = ids.Next()
		_, err := svc.AddStudent(ctx, testLead, programme.Made{}, out[i], programme.StudentDetails{NameUsed: fmt.Sprint("Invented ", i)})
		if err != nil {
			b.Fatal(err)
		}
	}
	var batch []programme.Fact
	for k := 1; k < each; k++ {
		for _, st := range out {
			f := note(ids, fmt.Sprintf(`{"finding":"f%d","side":"none","state":"both","value":"%d","how":"rail, ski boots"}`, k%60, k%5))
			f.Student, f.Kind = st, programme.KindFinding
			batch = append(batch, f)
			if len(batch) == programme.MaxBatch {
				if _, err := s.Append(ctx, programmetest.Noon, batch...); err != nil {
					b.Fatal(err)
				}
				batch = batch[:0]
			}
		}
	}
	if _, err := s.Append(ctx, programmetest.Noon, batch...); err != nil {
		b.Fatal(err)
	}
	return out
}
