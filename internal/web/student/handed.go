package student

import (
	"slices"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// handedOver puts the last handover into the ten lines, as it stood when its
// lesson was closed: in the place of what the evaluation knows about cue and
// tiring and of older notes, beside what is decided about start, weak turn and
// lift. What was written later stands first.
func handedOver(r programme.Record, lines []line) []line {
	l, ok := r.LastHandover()
	if !ok {
		return lines
	}
	newer := map[string]string{} // notes about something since
	for _, n := range r.Notes {
		if n.Class == programme.NoteWork && n.Seq > l.Closing.Seq {
			newer[n.About] = n.Text
		}
	}
	for i := range lines {
		one := &lines[i]
		k := slices.IndexFunc(programme.HandoverKeys[:], func(k [2]string) bool { return k[1] == one.Title })
		if k < 0 {
			continue
		}
		key := programme.HandoverKeys[k][0]
		text := r.HandedOverIn(l.ID, key)
		if text == "" {
			continue
		}
		switch key {
		case "start", "lift", "weak":
			one.Says = append(without(one.Says, notes(r, one.noteAbout())), "Last time: "+text)
		case "cue", "tires", "next":
			one.Says = []string{text}
		default:
			continue
		}
		if n := newer[one.noteAbout()]; n != "" {
			one.Says = append([]string{n}, one.Says...)
		}
		if key == "next" {
			one.Link, one.Then = "/students/"+string(r.Student)+"/handover", "Handover of "+page.Day(l.Day)
		}
	}
	return lines
}

// noteAbout is what a note for this line is about.
func (l line) noteAbout() string {
	return map[string]string{"Tires": "tires", "Lift": "lift", "Next step": "next step"}[l.Title]
}

func without(list, gone []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return slices.Contains(gone, s) })
}
