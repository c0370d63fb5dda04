package card_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"firnhand/internal/card"
	"firnhand/internal/picture"
)

// names are invented; they cover the longest names and the scripts the card
// promises.
var names = []string{
	"Mila", "Jo", "Wolfeschlegelstein", "Anna-Maria Magdalena", "Maximilian-Alexander-Konstantin-Ferdina",
	"Nguyễn Thị Thuỳ Dương", "Đặng Hữu Phước", "Žydrūnė", "Þórðís", "Łucja Święcicka", "Ğülşen",
	"Александра", "Святослав-Всеволод", "Αικατερίνη", "ნინო", "Վարդուհի", "Zoë", "Ñancy", "Ŧŋoa", "Mbalientshe-Nkosazana",
}

var fragments = strings.Fields(`keep hands ahead look where you go start quiet one voice never pull the arm stop when tired
	flat run-out fan step clean stops feet skin toes cuffs warm up slow helper beside lead behind reins slack hold hips
	brake turns out boot buckle liner first shorter longer handle watch uphill edge rest chair water sugar radio count`)

// settingLabels are what such cards carry on two sides (trade notes, D1, D2, H1-H4).
var settingLabels = []string{"Outrigger handle", "Heel lift", "Plate under binding", "Ankle brace", "Boot", "Brake", "Forearm cuff", "Cant", "Slider handle"}

// gen makes contents from a seed.
type gen struct{ *rand.Rand }

func newGen(seed uint64) gen { return gen{rand.New(rand.NewPCG(seed, 42))} }

// phrase returns some words of together at most max characters.
func (g gen) phrase(max int) string {
	s := g.word()
	for {
		w := g.word()
		if len(s)+1+len(w) > max || g.IntN(14) == 0 {
			return s
		}
		s += " " + w
	}
}

func (g gen) word() string { return fragments[g.IntN(len(fragments))] }

// full returns words of together almost max characters.
func (g gen) full(max int) string {
	s := g.word()
	for {
		w := g.word()
		if len(s)+1+len(w) > max {
			return s
		}
		s += " " + w
	}
}

func (g gen) number(low, high int, unit string) card.Value {
	n := low + g.IntN(high-low)
	v := card.Value{Number: strconv.Itoa(n), Unit: unit}
	if g.IntN(4) > 0 {
		v.Low, v.High = strconv.Itoa(max(n-3, 0)), strconv.Itoa(n+3)
	}
	return v
}

func (g gen) value() card.Value {
	switch g.IntN(5) {
	case 0:
		return card.Value{Words: g.phrase(12)}
	case 1:
		return card.Value{Words: "none"}
	case 2:
		return card.Value{Measure: "wrist crease to snow, on skis", Unit: "cm", Low: "80", High: "95"}
	}
	return g.number(5, 130, []string{"cm", "mm", "°"}[g.IntN(3)])
}

func (g gen) lines(n, max int, label bool) []card.Line {
	out := make([]card.Line, n)
	for i := range out {
		out[i] = card.Line{Text: g.phrase(max), Second: g.IntN(2) == 0}
		if label || g.IntN(2) == 0 {
			out[i].Label = g.phrase(14)
		}
	}
	return out
}

// content makes a card within the budget the package promises to fit (see
// Content), with plan and handover as long as they like.
func (g gen) content(i int) card.Content {
	c := card.Content{
		FirstName: names[i%len(names)], LessonCode: fmt.Sprintf("L%d-14", g.IntN(99)), Day: day.AddDate(0, 0, g.IntN(90)), Slot: "10:00–12:00",
		Goal: g.phrase(60), StopWord: "“" + g.word() + "”", Cautions: g.lines(g.IntN(7), 40, false),
		SetUp: card.SetUp{Way: "Two skis, " + g.phrase(40)},
		Plan: card.Plan{FanLeft: g.number(15, 90, "°"), FanRight: g.number(15, 90, "°"), Block: g.number(10, 60, "min"), Rest: g.number(5, 20, "min"),
			Terrain: "8–12 %, " + g.phrase(40), Help: g.phrase(40), Helpers: g.phrase(40), More: g.lines(g.IntN(4), 60, true)},
		Handover: g.lines(g.IntN(10), 80, true), Contacts: g.lines(1+g.IntN(3), 16, true), Trace: trace(fmt.Sprintf("id-%08x", g.Uint32())),
	}
	for range g.IntN(4) {
		c.SetUp.Sided = append(c.SetUp.Sided, card.SidedSetting{Label: settingLabels[g.IntN(len(settingLabels))], Left: g.value(), Right: g.value()})
	}
	if g.IntN(2) == 0 {
		c.SetUp.Sided = append(c.SetUp.Sided, card.SidedSetting{Label: "Boot", Left: words(g.phrase(12)), Right: words("standard")})
	}
	for range g.IntN(5) {
		c.SetUp.Shared = append(c.SetUp.Shared, card.Setting{Label: g.phrase(18), Value: g.value(), Second: g.IntN(2) == 0})
	}
	if g.IntN(4) > 0 {
		c.SetUp.Figure = g.figure()
	}
	if g.IntN(5) == 0 {
		c.Hold = &card.Hold{Kind: card.HoldKind(g.IntN(2)), Instead: g.phrase(60), Needed: []card.Need{{What: g.phrase(60), From: "hip surgeon"}}}
		c.SetUp.Sided, c.SetUp.Figure = nil, nil
	}
	return c
}

func (g gen) figure() *picture.Above {
	a := &picture.Above{Support: picture.Support(g.IntN(6)), Tie: picture.Tie(g.IntN(3)), Spacer: g.IntN(2) == 0, Reins: picture.Reins(g.IntN(4))}
	for _, p := range g.Perm(4)[:g.IntN(4)] {
		a.People = append(a.People, picture.Person{Place: picture.Place(p), Label: []string{"lead", "helper"}[g.IntN(2)]})
	}
	return a
}

// overfull makes cards at the limits of what Validate lets through.
func (g gen) overfull(i int) card.Content {
	c := g.content(i)
	c.Cautions, c.Handover = nil, nil
	for range 4 + g.IntN(6) {
		c.Cautions = append(c.Cautions, card.Line{Label: g.full(16), Text: g.full(100)})
	}
	if i%2 == 0 {
		c.SetUp.Sided = append(c.SetUp.Sided, card.SidedSetting{Label: g.full(24), Left: card.Value{Words: g.full(28)}, Right: g.value()})
	}
	for range 9 {
		c.Handover = append(c.Handover, card.Line{Label: g.full(16), Text: g.full(100), Second: g.IntN(2) == 0})
	}
	return c
}

// contents returns more than 200 cards that can be made, and how many of the
// overfull ones were refused.
func contents(t *testing.T) (out []card.Content, refused int) {
	t.Helper()
	g := newGen(20250114)
	for i := range 200 {
		out = append(out, g.content(i))
	}
	for i := range 60 {
		c := g.overfull(i)
		_, err := card.Draw(c)
		var e *card.Error
		switch {
		case err == nil:
			out = append(out, c)
		case errors.As(err, &e) && e.Code == "card_full":
			refused++
		default:
			t.Fatalf("overfull card %d: %v", i, err)
		}
	}
	for _, name := range []string{"mila", "oskar", "walter", "jonas", "ben"} {
		out = append(out, fixtures()[name])
	}
	return out, refused
}
