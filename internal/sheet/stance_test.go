package sheet_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"firnhand/internal/picture"
	"firnhand/internal/sheet"
)

func stanceCard() sheet.Stance {
	above := picture.StanceAbove{Loads: true, Verdict: "This stance can be held.", Feet: []picture.Foot{
		{Rear: picture.Point{X: -12, Y: -9}, Front: picture.Point{X: -12, Y: 21}, Press: picture.Point{X: -12, Y: 5}, Share: 0.4, Newtons: 275},
		{Right: true, Rear: picture.Point{X: 12, Y: -9}, Front: picture.Point{X: 12, Y: 21}, Press: picture.Point{X: 12, Y: 5}, Share: 0.6, Newtons: 412}}}
	at := time.Date(2027, 1, 14, 12, 0, 0, 0, time.UTC)
	return sheet.Stance{Name: "Mila", Day: at, MadeAt: at, Way: "Two skis and outriggers, straight run", Verdict: "This stance can be held.",
		Lines: []string{"The arms carry at least 3 % of the weight."}, Drawings: []sheet.Drawable{above, above},
		Numbers: []sheet.StanceNumber{{Label: "Outrigger handle", Left: "61.5 cm (59 to 64)", Right: "61 cm (58.5 to 63.5)"}}}
}

// The card is one A5 page (ISO 216, 148 by 210 mm) with everything inside it,
// the numbers with their units and ranges, and the same bytes each time.
func TestStanceCard(t *testing.T) {
	s := stanceCard()
	d, err := s.Draw()
	if err != nil {
		t.Fatal(err)
	}
	if d.Width != 148 || d.Height != 210 {
		t.Errorf("the card is %g by %g mm", d.Width, d.Height)
	}
	left, top, right, bottom := d.Bounds()
	if left < 0 || top < 0 || right > 148 || bottom > 210 {
		t.Errorf("it reaches %.1f %.1f %.1f %.1f", left, top, right, bottom)
	}
	said := ""
	for _, op := range d.Ops {
		if x, ok := op.(picture.Text); ok {
			said += " " + x.S
			if x.Y > 205 || x.Size < 8 {
				t.Errorf("%q stands at %.1f mm with %g points", x.S, x.Y, x.Size)
			}
		}
	}
	for _, want := range []string{"Mila", "61.5 cm (59 to 64)", "61 cm (58.5 to 63.5)", "can be held", "not a clearance"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not on the card: %s", want, said)
		}
	}
	var a, b bytes.Buffer
	if s.PDF(&a) != nil || s.PDF(&b) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) || !bytes.HasPrefix(a.Bytes(), []byte("%PDF")) {
		t.Error("the PDF differs from one time to the next")
	}
}

// What cannot be printed is refused with a sentence.
func TestStanceCardRefuses(t *testing.T) {
	for name, change := range map[string]func(*sheet.Stance){
		"no name":    func(s *sheet.Stance) { s.Name = " " },
		"no drawing": func(s *sheet.Stance) { s.Drawings = nil },
		"three":      func(s *sheet.Stance) { s.Drawings = append(s.Drawings, s.Drawings[0]) },
		"too much":   func(s *sheet.Stance) { s.Lines = []string{strings.Repeat("A sentence that goes on. ", 200)} },
	} {
		s := stanceCard()
		change(&s)
		var e *sheet.Error
		if _, err := s.Draw(); !errors.As(err, &e) || e.Sentence == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}
