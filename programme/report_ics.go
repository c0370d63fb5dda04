package programme

import (
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// CalendarLesson is a lesson as it stands in a calendar: when, and with whom;
// nothing of health.
type CalendarLesson struct {
	ID       ID
	Begins   time.Time
	Ends     time.Time
	Name     string // name used
	Lead     string
	Recorded time.Time
}

// CalendarOf lists a record's lessons for a calendar. A lesson ends when it was
// closed, else after its planned minutes, else after an hour and a half.
func CalendarOf(r Record, staff map[ID]string) []CalendarLesson {
	var out []CalendarLesson
	for _, l := range r.Lessons {
		c := CalendarLesson{ID: l.ID, Begins: l.MadeAt, Name: r.NameUsed, Lead: staff[l.Lead], Recorded: l.RecordedAt}
		if c.Lead == "" {
			c.Lead = staff[l.By]
		}
		minutes := 90
		if l.Planned > 0 {
			minutes = l.Planned
		}
		c.Ends = c.Begins.Add(time.Duration(minutes) * time.Minute)
		if l.Closed && l.Closing.MadeAt.After(c.Begins) && l.Closing.MadeAt.Sub(c.Begins) <= MaxLessonMin*time.Minute {
			c.Ends = l.Closing.MadeAt
		}
		out = append(out, c)
	}
	return out
}

// WriteCalendar writes lessons as an iCalendar object (RFC 5545).
func WriteCalendar(w io.Writer, lessons []CalendarLesson) error {
	var b strings.Builder
	line := func(name, value string) { b.WriteString(folded(name+":"+value) + "\r\n") }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//Firnhand//Lessons//EN")
	line("CALSCALE", "GREGORIAN")
	for _, l := range lessons {
		line("BEGIN", "VEVENT")
		line("UID", string(l.ID)+"@firnhand")
		line("DTSTAMP", utcStamp(l.Recorded))
		line("DTSTART", utcStamp(l.Begins))
		line("DTEND", utcStamp(l.Ends))
		summary := "Ski lesson"
		if l.Name != "" {
			summary += ": " + l.Name
		}
		line("SUMMARY", calendarText(summary))
		if l.Lead != "" {
			line("DESCRIPTION", calendarText("With "+l.Lead))
		}
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

// utcStamp writes a date with UTC time, form 2 of RFC 5545 section 3.3.5.
func utcStamp(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

// calendarText escapes a text value (RFC 5545 section 3.3.11).
func calendarText(s string) string {
	return strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\r\n", "\\n", "\n", "\\n").Replace(s)
}

// foldAt is the longest line in octets without its break (RFC 5545 section 3.1).
const foldAt = 75

// folded breaks a long line; each part after the first begins with a space, and
// no character is split.
func folded(s string) string {
	var b strings.Builder
	used := 0
	for _, r := range s {
		n := utf8.RuneLen(r)
		if used+n > foldAt {
			b.WriteString("\r\n ")
			used = 1
		}
		b.WriteRune(r)
		used += n
	}
	return b.String()
}
