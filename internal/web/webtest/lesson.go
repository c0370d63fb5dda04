package webtest

import (
	"context"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// seedLesson records a lesson with attempts, closed with its handover, and an
// incident with a statement and an item out of use.
func (s *Seeded) seedLesson(must func(programme.Receipt, error)) {
	b, ctx := s.Bench, context.Background()
	instructor, lead := s.Actors[programme.Instructor], s.Actors[programme.Lead]
	made := func() programme.Made { return programme.Made{ID: b.IDs.Next()} }
	day := programme.DateOf(b.Clock.Now())
	open := made()
	s.Lesson = open.ID
	must(b.Cases.OpenLesson(ctx, instructor, open, s.Student, programme.LessonOpened{Day: day, Way: "outriggers", Terrain: "beginner"}))
	for i, side := range []string{"left", "left", "left", "right", "right", "right"} {
		minutes := 3 * i
		must(b.Cases.RecordAttempt(ctx, instructor, made(), s.Student, programme.AttemptMade{Lesson: s.Lesson, Skill: "K25", Side: side, Help: 4, Outcome: "clean", Terrain: "beginner",
			Way: "outriggers", Minutes: &minutes}))
	}
	c := programme.LessonClosed{Lesson: s.Lesson}
	for _, k := range programme.HandoverKeys {
		c.Handover = append(c.Handover, programme.HandoverLine{Key: k[0], Text: "Handover-Sallow", Edited: true})
	}
	must(b.Cases.CloseLesson(ctx, instructor, made(), s.Student, c))

	incident := made()
	s.Incident = incident.ID
	must(b.Cases.RecordIncident(ctx, lead, incident, s.Student, programme.Incident{Day: day, What: "Incident-Spindle", Tags: []string{"OG-12"}}))
	must(b.Cases.AddWitness(ctx, s.Actors[programme.MedicalReviewer], made(), programme.Witness{Incident: s.Incident, Text: "Witness-Bramble"}))
}

// paper prints an order as plain text, so that a test reads what would stand on
// the page.
func (b *Bench) paper(_ context.Context, order page.PaperOrder) ([]byte, error) {
	b.Papers = append(b.Papers, order)
	text := "%PDF-1.3\n" + order.Title + "\n" + order.Lead + "\n"
	for _, block := range order.Blocks {
		text += block.Heading + "\n" + strings.Join(block.Lines, "\n") + "\n"
		for _, row := range block.Rows {
			text += row[0] + ": " + row[1] + "\n"
		}
	}
	return []byte(text + order.Foot), nil
}
