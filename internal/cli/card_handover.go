package cli

import (
	"strings"

	"firnhand/internal/card"
	"firnhand/internal/web/page"
)

// handedLines are the lines of a handover that the card carries, in its order;
// name, stop rules, set-up and start stand in blocks of their own.
var handedLines = []struct {
	key, label, drop string
	second           bool // may move to the record when the card is full
	snow             bool // stands only where nothing holds today
}{
	{"cue", "Cue works", "Works: ", false, false},
	{"weak", "Weak turn", "", false, false},
	{"tires", "Tires", "", false, false},
	{"next", "Next step", "", true, true},
	{"lift", "Lift last time", "", true, true},
}

// carryHandover puts the last handover on a card, as it stood when its lesson
// was closed.
func carryHandover(l *card.Lesson, o page.CardOrder) {
	free := (o.Answer.Is("gate", "none") || o.Answer.Is("gate", "none_with_rules")) && len(o.Record.OpenHolds()) == 0
	for _, h := range handedLines {
		text := strings.TrimPrefix(o.Record.HandedOver(h.key), h.drop)
		if text == "" || h.snow && !free {
			continue
		}
		l.Handover = append(l.Handover, card.Line{Label: h.label, Text: card.Shorten(text, 100), Second: h.second})
	}
}
