package cards

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// made is a card with what it is made from, made again.
type made struct {
	Student programme.ID
	Card    programme.CardState
	Printed page.PrintedCard
	Same    bool // to the last byte as it was printed
	Decided page.Decided
}

// remake makes the card in the address again from the facts it names, as they
// stood when it was made.
func remake(v *page.Visit) (made, error) {
	id := cardID(v.R.PathValue("card"))
	student, c, err := v.Kit.Cases.CardByID(v.R.Context(), v.Actor, id)
	if err != nil {
		return made{}, err
	}
	at := programme.AsOf{Seq: c.UpTo, Time: c.MadeAt}
	r, err := v.Kit.Cases.StudentAt(v.R.Context(), v.Actor, student, at)
	if err != nil {
		return made{}, err
	}
	d, err := v.DecideOn(r, at, false)
	if err != nil {
		return made{}, err
	}
	h, err := v.Kit.Cases.HillAt(v.R.Context(), v.Actor, at)
	if err != nil {
		return made{}, err
	}
	p, err := v.Kit.Card(v.R.Context(), order(d, h, id, c.ForDay, c.MadeAt))
	if err != nil {
		return made{}, err
	}
	sum := sha256.Sum256(p.PDF)
	return made{student, c, p, hex.EncodeToString(sum[:]) == c.Digest, d}, nil
}

// cardID reads the id of a card as it stands in an address or, without its
// dashes, in the code on the card.
func cardID(s string) programme.ID {
	if s = strings.ToLower(s); len(s) == 32 {
		s = s[:8] + "-" + s[8:12] + "-" + s[12:16] + "-" + s[16:20] + "-" + s[20:]
	}
	return programme.ID(s)
}

func again(v *page.Visit) error {
	m, err := remake(v)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "card-made", page.View{Title: "Card for " + page.Day(m.Card.ForDay), Student: v.HeadingOf(m.Decided.Record), Here: "card", Body: m})
}

func pdf(v *page.Visit) error {
	m, err := remake(v)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Disposition", `inline; filename="card-`+m.Card.ForDay.String()+`.pdf"`)
	return v.Send("application/pdf", m.Printed.PDF)
}

func text(v *page.Visit) error {
	m, err := remake(v)
	if err != nil {
		return err
	}
	return v.Send("text/plain; charset=utf-8", []byte(m.Printed.Text))
}
