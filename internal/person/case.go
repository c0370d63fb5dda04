package person

import (
	"fmt"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/programme"
)

// Case is what a rule table decides from, made from a Person on a day, with
// what was taken for granted on the way.
type Case struct {
	Input decide.Input
	// Taken are the values that the file did not state and that count as
	// normal, in vocabulary order.
	Taken []Taken
	// NotChecked says what this answer rests on without having been looked at.
	NotChecked []Unchecked
	// Cleared are the gates that a letter clears on the day.
	Cleared []Letter
	// Lapsed are letters that ran out; their gates hold again.
	Lapsed []Letter
}

// Taken is one value taken as normal.
type Taken struct {
	Key      finding.Key
	Value    string // as the vocabulary writes it
	Measured bool   // usually has to be measured; only the policy "normal" fills it in
}

// Unchecked is one thing that was not checked.
type Unchecked struct {
	What     string `json:"what"`
	Sentence string `json:"sentence"`
}

// Letter is a written clearance of one gate.
type Letter struct {
	Gate      string
	ClearedBy string
	Role      string
	Until     programme.Date
}

// Case makes the input of a decision. Clearances are checked as the programme
// checks them when they are recorded; a letter that ran out clears nothing
// but is no mistake. The error is a Problems.
func (p *Person) Case(t *decide.Table, on programme.Date, n programme.Numbers) (*Case, error) {
	c := &Case{Input: decide.Input{Findings: p.Findings.Clone()}}
	var wrong Problems
	for _, cl := range p.Clearances {
		if err := c.letter(t, cl, on, n); err != nil {
			wrong = append(wrong, Problem{string(programme.CodeOf(err)), programme.SentenceOf(err), cl.Line})
		}
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	for _, h := range p.Holds {
		c.Input.Held = append(c.Input.Held, h.Effect)
	}
	c.fill(p.Unlisted)
	c.unchecked(p)
	return c, nil
}

// letter checks one clearance and clears its gate.
func (c *Case) letter(t *decide.Table, cl Clearance, on programme.Date, n programme.Numbers) error {
	var gate *decide.Gate
	for _, g := range t.Gates() {
		if strings.EqualFold(g.ID, cl.Gate) {
			gate = g
		}
	}
	switch {
	case gate == nil:
		return programme.Refuse(programme.CodeUnknown, "There is no gate called %s; \"firnhand rules list\" shows them.", quote(cl.Gate))
	case gate.Clears == "" && gate.Effect == decide.RuleOnly:
		return programme.Refuse(programme.CodeNotClearance, "%s holds nobody: it puts a rule on the card, and there is nothing to clear.", gate.ID)
	case gate.Effect == decide.Refuse:
		return programme.Refuse(programme.CodeNotClearance, "%s cannot be cleared by a letter: %s", gate.ID, gate.Because)
	case gate.Effect == decide.ReEvaluate:
		return programme.Refuse(programme.CodeNotClearance, "%s does not end with a letter: it waits for a new evaluation.", gate.ID)
	case gate.Line == 0: // not written in the table: a hold by hand
		return programme.Refuse(programme.CodeNotClearance, "A hold entered by hand ends where it was entered: take it out of holds: once its reason is gone.")
	}
	hold := programme.Hold{Rule: gate.ID, Reason: gate.Because, Clearer: gate.Clears}
	letter := programme.Clearance{ClearedBy: cl.ClearedBy, Licence: cl.Role, InWriting: cl.InWriting, ClearedOn: cl.On, ValidUntil: cl.Until}
	recorder := programme.Actor{Staff: "00000000-0000-7000-8000-000000000001", Name: cl.RecordedBy, Roles: []programme.Role{cl.RecorderRole}}
	day, lapsed := on, cl.Until.Before(on)
	if lapsed {
		day = cl.Until // was it good on its last day?
	}
	if err := programme.CheckLetter(recorder, hold, letter, day, n); err != nil {
		return programme.Refuse(programme.CodeOf(err), "Clearance of %s: %s", gate.ID, programme.SentenceOf(err))
	}
	l := Letter{gate.ID, cl.ClearedBy, cl.Role, cl.Until}
	if lapsed {
		c.Lapsed = append(c.Lapsed, l)
		return nil
	}
	c.Cleared = append(c.Cleared, l)
	c.Input.Cleared = append(c.Input.Cleared, gate.ID)
	return nil
}

// fill applies the policy for what the file does not list.
func (c *Case) fill(policy Policy) {
	if policy == AsUnknown {
		return
	}
	set := c.Input.Findings
	for _, d := range finding.All() {
		normal, measured := d.Normal, false
		if normal == "" && policy == AlsoMeasured {
			normal, measured = obviousNormal[d.ID], true
		}
		if normal == "" {
			continue
		}
		for _, k := range d.Keys() {
			if _, stated := set[k]; stated {
				continue
			}
			v, err := finding.Parse(d.ID, k.Side, k.State, normal)
			if err != nil {
				panic(fmt.Sprintf("person: normal value of %s: %v", d.ID, err)) // a test of the vocabulary excludes it
			}
			set[k] = v
			c.Taken = append(c.Taken, Taken{k, normal, measured})
		}
	}
}

// unchecked handles the waiver and names the papers nobody here has seen.
func (c *Case) unchecked(p *Person) {
	key := finding.Key{ID: "waiver"}
	if _, stated := p.Findings[key]; !stated && p.Unlisted != AsUnknown {
		// The consent record decides on the programme's own server; a file that
		// does not mention the waiver is not a hold, and not a clean record either.
		if err := c.Input.Findings.Put(key.ID, key.Side, key.State, "valid"); err == nil {
			c.NotChecked = append(c.NotChecked, Unchecked{"waiver", "The waiver of this season is not in the file and was not checked. Nobody skis without it."})
		}
	}
	for _, d := range finding.All() {
		k := finding.Key{ID: d.ID}
		v, stated := p.Findings[k]
		if stated && v.Kind == finding.Known && (programme.CoreVocabulary{}).NeedsPaper(d.ID, finding.Format(d, v)) {
			c.NotChecked = append(c.NotChecked, Unchecked{d.ID, d.Label + ": taken from the file; the paper itself was not seen here."})
		}
	}
}
