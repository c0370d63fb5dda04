package consents

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// entry is one kind of consent with how it stands.
type entry struct {
	programme.ConsentState
	Rule  programme.ConsentRule
	State string   // in a word
	By    []string // who signed, where it may be read
}

type listBody struct {
	Entries    []entry
	Guardians  []programme.GuardianState
	Contact    bool // the person may read guardians
	MayRecord  bool
	MayPeople  bool
	NewPerson  programme.ID
	SignerText []string
}

func list(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	body := listBody{Guardians: r.Guardians, Contact: v.Actor.May(programme.ReadContact),
		MayRecord: v.Actor.May(programme.WriteConsent), MayPeople: v.Actor.May(programme.WriteStudent), NewPerson: v.NewID()}
	for _, c := range r.Consents {
		rule, _ := programme.ConsentRuleOf(c.Kind)
		body.Entries = append(body.Entries, entry{c, rule, state(c), signers(r, c)})
	}
	return v.Render(http.StatusOK, "consents", page.View{Title: "Consents", Student: v.HeadingOf(r), Here: "consents", Body: body})
}

func state(c programme.ConsentState) string {
	switch {
	case c.Valid:
		return "Given"
	case !c.Recorded:
		return "Not asked"
	case c.Answer == programme.ConsentRefused:
		return "Refused"
	case c.Answer == programme.ConsentWithdrawn:
		return "Withdrawn"
	}
	return "Not valid"
}

func signers(r programme.Record, c programme.ConsentState) []string {
	var by []string
	for _, s := range c.SignedBy {
		if s.Student {
			by = append(by, r.NameUsed)
		}
		for _, g := range r.Guardians {
			if g.Guardian == s.Guardian {
				by = append(by, g.Name)
			}
		}
	}
	return by
}
